//! The gate before every piece of work: as many at once as there are cores, a bounded line behind them, and a fault of one is a page
//! for its visitor and nothing to the others.

use super::limits::Limits;
use super::refusal::Refusal;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use tokio::sync::Semaphore;

/// The gate.
#[derive(Debug)]
pub struct Gate {
    places: Arc<Semaphore>,
    all: u32,
    waiting: AtomicUsize,
    most_waiting: usize,
}

impl Gate {
    /// A gate with these limits.
    pub fn new(limits: &Limits) -> Self {
        let checks = limits.checks.clamp(1, 1024);
        // At most 1024.
        Self { places: Arc::new(Semaphore::new(checks)), all: checks as u32, waiting: AtomicUsize::new(0), most_waiting: limits.waiting }
    }

    /// Does a piece of work when its turn comes, off the threads that talk to visitors; `alone` waits for every place.
    ///
    /// # Errors
    ///
    /// [`Refusal`] (503) if too many wait already, (500) if the work fails.
    pub async fn pass<T: Send + 'static>(&self, alone: bool, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Refusal> {
        let line = Waiting::join(&self.waiting, self.most_waiting)?;
        let places = self.places.clone().acquire_many_owned(if alone { self.all } else { 1 }).await;
        drop(line);
        let Ok(places) = places else { return Err(Refusal::busy("The program is ending.")) };
        // The place is given back when the work is done, also where the visitor has gone away meanwhile.
        let done = tokio::task::spawn_blocking(move || {
            let done = work();
            drop(places);
            done
        });
        done.await.map_err(|_| Refusal::fault("This could not be worked out."))
    }
}

/// A place in the line.
struct Waiting<'a>(&'a AtomicUsize);

impl<'a> Waiting<'a> {
    fn join(line: &'a AtomicUsize, most: usize) -> Result<Self, Refusal> {
        let joined = line.fetch_update(Ordering::Relaxed, Ordering::Relaxed, |waiting| (waiting < most).then_some(waiting + 1));
        joined.map(|_| Self(line)).map_err(|_| Refusal::busy(format!("{most} others are waiting for an answer already.")))
    }
}

impl Drop for Waiting<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[tokio::test]
    async fn a_fault_of_one_is_a_page_for_its_visitor_and_the_gate_stays_open() {
        let gate = Gate::new(&Limits { checks: 1, ..Limits::default() });
        for _ in 0..3 {
            let fault = gate.pass(false, || -> () { panic!("on purpose") }).await;
            assert_eq!(fault.err().map(|refusal| refusal.status.as_u16()), Some(500));
        }
        assert_eq!(gate.pass(true, || 1).await.ok(), Some(1));
    }

    #[tokio::test]
    async fn the_line_is_bounded_and_whoever_leaves_it_makes_room() {
        let gate = Arc::new(Gate::new(&Limits { checks: 1, waiting: 1, ..Limits::default() }));
        let held = gate.places.clone().acquire_owned().await.unwrap();
        let patient = {
            let gate = gate.clone();
            tokio::spawn(async move { gate.pass(false, || ()).await.is_ok() })
        };
        tokio::time::sleep(Duration::from_millis(20)).await;
        assert_eq!(gate.pass(false, || ()).await.err().map(|refusal| refusal.status.as_u16()), Some(503));
        patient.abort();
        assert!(patient.await.is_err());
        drop(held);
        assert!(gate.pass(false, || ()).await.is_ok());
    }
}
