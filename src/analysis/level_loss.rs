//! The cold level: how much did the circuit take, cycle by cycle, and is it air that runs out or a leak that does not?
//!
//! Every cold level is brought to 20 °C, top-ups are counted ([`cycles`]), and what the series says is weighed ([`series`]):
//!
//! ```text
//! loss_k = purge · ρ^(k−1) + leak        k-th heat cycle
//! ```
//!
//! One cycle cannot tell the two apart. A later loss within reading error clears, unless the series as a whole makes a leak more likely
//! than not. A leak is called from three cycles on, at odds of four to one ([`LEAK_CALLED_FROM`]); or at once by a pressure test that
//! falls beyond what temperature and hoses explain ([`pressure_test`]), or coolant that the notes say was seen outside.
//!
//! Limits: gas that is made anew in every cycle (combustion gas) loses coolant as steadily as a leak, and levels alone cannot tell
//! them apart; whoever prints a leak or a loss that goes on names both, and a weak pump. An overflow bottle behind a cap that was
//! opened hot does not get its coolant back, so the account begins anew there.
//!
//! # References
//!
//! - `docs/detectors/level_loss.md`: model, priors and what was measured.

pub mod cycles;
pub mod pressure_test;
pub mod series;

use crate::analysis::ambient::Ambient;
use crate::analysis::cooling_down::CoolingDown;
use crate::analysis::levels::refill::Refill;
use crate::analysis::levels::remarks;
use crate::analysis::levels::warmth::Drive;
use crate::analysis::opening::State;
use crate::analysis::phases::Phases;
use crate::estimate::Estimate;
use crate::run::{Occasion, Run};
use cycles::Course;
use pressure_test::PressureTest;
use serde::Serialize;

/// Fewest heat cycles from which a series alone can name a leak.
pub const FEWEST_CYCLES_FOR_A_LEAK: usize = 3;

/// Probability from which a series is called a leak (own choice): a call sends someone to do a pressure test, a miss leaves an engine
/// without coolant; of systems that only purge, fewer than one in a hundred reach it.
pub const LEAK_CALLED_FROM: f64 = 0.8;

/// Probability from which a last loss within reading error no longer clears (own choice: a leak is more likely than not).
pub const LEAK_DOUBTED_FROM: f64 = 0.5;

/// Cycles in which air may still come out without anything being the matter (common practice, no source: two or three).
pub const CYCLES_OF_PURGING: usize = 3;

/// What the cold levels say, for whoever judges.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Account {
    /// No heat cycle was measured.
    #[default]
    None,
    /// One cycle, loss within reading error.
    Unchanged,
    /// One cycle with a loss: ordinary up to a limit, and not to be told from a leak.
    FirstUptake,
    /// The last of several cycles lost nothing beyond reading error.
    Clears,
    /// The second or third cycle still lost something; too early to tell.
    StillFalling,
    /// Losing goes on past the third cycle: look for combustion gas, a weak pump, a leak.
    GoesOn,
    /// The level rose beyond reading error: an unnoted top-up, an engine that was not cold, or a bottle that was not drawn back.
    Rises,
    /// It leaks.
    Leak(LeakSign),
}

/// What a leak was told by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeakSign {
    /// The series of cold levels.
    Series,
    /// A pressure test that did not hold.
    PressureTest,
    /// Coolant seen outside.
    SeenOutside,
}

/// What was found about the cold level.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LevelLoss {
    /// Fall from the first cold level of the account to the last, both at 20 °C, top-ups counted; positive for a loss.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cold_to_cold: Option<Estimate>,
    /// The same for each heat cycle.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub per_cycle: Vec<Estimate>,
    /// What it amounts to.
    #[serde(skip)]
    pub account: Account,
    /// Probability of a steady loss, from the series; `None` under [`FEWEST_CYCLES_FOR_A_LEAK`] cycles.
    #[serde(skip)]
    pub leak_probability: Option<f64>,
    /// Steady loss in a heat cycle, mL; its interval begins at 0 where no leak remains credible.
    #[serde(skip)]
    pub leak_rate: Option<Estimate>,
    /// The last pressure test in the notes.
    #[serde(skip)]
    pub pressure_test: Option<PressureTest>,
    /// The note that says that coolant was seen outside.
    #[serde(skip)]
    pub seen_outside: Option<String>,
    /// What was drained against what was filled.
    #[serde(skip)]
    pub refill: Option<Refill>,
    /// Why there is no account, as a sentence with the way out.
    #[serde(skip)]
    pub because: Option<String>,
    /// What makes the numbers weaker than they look.
    #[serde(skip)]
    pub caveats: Vec<String>,
}

impl LevelLoss {
    /// Examines a run; `valve` is what its log shows of the thermostat.
    pub fn of(run: &Run, phases: &Phases, ambient: &Ambient, valve: State, cooling: &CoolingDown) -> Self {
        let drive = Drive::of(run, phases, ambient, valve, cooling);
        let mut found = Self {
            pressure_test: PressureTest::of(&run.levels),
            seen_outside: seen_outside(run),
            refill: Refill::of(run, ambient),
            ..Self::default()
        };
        match Course::of(run, &drive) {
            Ok(course) => {
                found.cold_to_cold = course.whole();
                found.per_cycle = course.losses();
                if course.cycles() >= FEWEST_CYCLES_FOR_A_LEAK
                    && let Some(weighed) = series::weigh(&course)
                {
                    found.leak_probability = Some(weighed.leak_probability);
                    found.leak_rate = Some(weighed.leak_rate);
                }
                found.because = (course.cycles() == 0).then(|| course.because.clone()).flatten();
                found.caveats = course.caveats;
            }
            Err(because) => found.because = Some(because),
        }
        found.account = found.state();
        found
    }

    /// The state that the numbers amount to.
    fn state(&self) -> Account {
        if self.pressure_test.as_ref().is_some_and(PressureTest::failed) {
            return Account::Leak(LeakSign::PressureTest);
        }
        if self.seen_outside.is_some() {
            return Account::Leak(LeakSign::SeenOutside);
        }
        let Some(last) = self.per_cycle.last() else { return Account::None };
        let cycles = self.per_cycle.len();
        let leaks = |from: f64| self.leak_probability.is_some_and(|probability| probability >= from);
        if leaks(LEAK_CALLED_FROM) {
            return Account::Leak(LeakSign::Series);
        }
        if last.interval_95[1] < 0.0 {
            return Account::Rises;
        }
        match last.interval_95[0] > 0.0 || leaks(LEAK_DOUBTED_FROM) {
            false if cycles == 1 => Account::Unchanged,
            false => Account::Clears,
            true if cycles == 1 => Account::FirstUptake,
            true if cycles <= CYCLES_OF_PURGING => Account::StillFalling,
            true => Account::GoesOn,
        }
    }

    /// Whether the cold level rises cycle after cycle, as it does when gas is pressed into the circuit.
    pub fn rises_again(&self) -> bool {
        self.account == Account::Rises && self.per_cycle.iter().filter(|fell| fell.interval_95[1] < 0.0).count() >= 2
    }

    /// What was found, as sentences.
    pub fn sentences(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        if let Some(whole) = &self.cold_to_cold {
            let over = match self.per_cycle.len() {
                0 | 1 => String::new(),
                cycles => format!(" over {cycles} heat cycles"),
            };
            let (did, volume) = if whole.interval_95[1] < 0.0 { ("gave back", whole.negated()) } else { ("took", *whole) };
            sentences.push(format!("Cold level against cold level, both at 20 °C, the circuit {did} {}{over}.", volume.spoken()));
        }
        if self.per_cycle.len() > 1 {
            let each: Vec<String> = self.per_cycle.iter().map(Estimate::spoken_value).collect();
            sentences.push(format!("Taken up cycle by cycle: {}.", each.join(", ")));
        }
        if let Some(rate) = self.leak_rate.as_ref().filter(|_| self.account != Account::Rises) {
            sentences.push(format!("Of that a steady loss of {} in each cycle.", rate.spoken()));
        }
        if let Some(refill) = &self.refill {
            sentences.push(format!("Drained less filled, both at 20 °C: {} of air to come out.", refill.air.spoken()));
        }
        sentences.extend(self.pressure_test.as_ref().map(PressureTest::sentence));
        sentences.extend(self.seen_outside.as_ref().map(|note| format!("The notes say that coolant was seen outside: \"{note}\".")));
        sentences.extend(self.because.as_ref().map(|because| format!("The cold level is not judged: {because}.")));
        sentences.extend(self.caveats.iter().cloned());
        sentences
    }
}

/// The first note since the last refill that says so; notes of draining, filling and topping up speak of what was spilled.
fn seen_outside(run: &Run) -> Option<String> {
    let notes = crate::analysis::levels::in_order(&run.levels);
    let job = |occasion: Occasion| matches!(occasion, Occasion::Drained | Occasion::Filled);
    let begins = notes.iter().rposition(|note| job(note.occasion)).map_or(0, |index| index + 1);
    let said = notes.iter().skip(begins).filter(|note| note.occasion != Occasion::ToppedUp);
    said.map(|note| note.note.as_str()).find(|note| remarks::coolant_seen_outside(note)).map(str::to_owned)
}
