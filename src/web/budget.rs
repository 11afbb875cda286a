//! The account of memory: whoever holds bytes of a visitor has a charge on it, and gives it back by letting go.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The account.
#[derive(Debug)]
pub struct Budget {
    most: usize,
    used: AtomicUsize,
}

impl Budget {
    /// An account of so many bytes.
    pub fn new(most: usize) -> Arc<Self> {
        Arc::new(Self { most, used: AtomicUsize::new(0) })
    }

    /// Bytes that are charged now.
    pub fn used(&self) -> usize {
        self.used.load(Ordering::Relaxed)
    }

    /// A charge of nothing yet.
    pub fn open(self: &Arc<Self>) -> Charge {
        Charge { budget: self.clone(), bytes: 0 }
    }
}

/// Bytes charged to the account until this is dropped.
#[derive(Debug)]
pub struct Charge {
    budget: Arc<Budget>,
    bytes: usize,
}

impl Charge {
    /// Charges more; `false` if the account does not hold it, and then nothing is charged.
    pub fn grow(&mut self, more: usize) -> bool {
        let most = self.budget.most;
        let fits = |used: usize| used.checked_add(more).filter(|used| *used <= most);
        let charged = self.budget.used.fetch_update(Ordering::Relaxed, Ordering::Relaxed, fits).is_ok();
        self.bytes += if charged { more } else { 0 };
        charged
    }

    /// Bytes of this charge.
    pub fn bytes(&self) -> usize {
        self.bytes
    }
}

impl Drop for Charge {
    fn drop(&mut self) {
        self.budget.used.fetch_sub(self.bytes, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_charged_comes_back_and_never_more_than_there_is() {
        let budget = Budget::new(100);
        let (mut one, mut other) = (budget.open(), budget.open());
        assert!(one.grow(60) && !other.grow(41) && other.grow(40) && !one.grow(1) && !one.grow(usize::MAX));
        assert_eq!((budget.used(), one.bytes()), (100, 60));
        drop(one);
        assert_eq!(budget.used(), 40);
    }
}
