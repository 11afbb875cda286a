//! The hot level: did the reservoir rise as far as the coolant's growth asks?
//!
//! ```text
//! expected  = growth of the coolant − growth of the cavity − widening under pressure
//! observed  = hot level − cold level − what was added between
//! shortfall = expected − observed = gas that has left so far − growth of the gas still shut in
//! ```
//!
//! Behind a cap the rise has first to widen the hoses up to the cap's opening pressure; what is left over goes into an overflow
//! bottle, if the circuit is full. With gas in the circuit the cap lifts later or not at all, and the bottle stays behind.
//!
//! The pressure at the hot reading is seldom known. It is in the interval of `expected`, between none and the cap's; and once more, as
//! what it does to gas still shut in, in that of [`LevelExpansion::replaced`].
//!
//! Limits: how much gas is shut in is not known here, only how much is usual ([`SHUT_IN_SHARE`]); a bottle that stands at its brim
//! shows no rise. The shortfall of a first drive after a refill is ordinary, and no verdict by itself.
//!
//! # References
//!
//! - `docs/detectors/level_expansion.md`: components of the uncertainty and what was measured.

use crate::analysis::ambient::Ambient;
use crate::analysis::cooling_down::CoolingDown;
use crate::analysis::levels::scale::{Frame, Level, Scale};
use crate::analysis::levels::system::System;
use crate::analysis::levels::warmth::{Drive, Warmth};
use crate::analysis::levels::{gas, in_order};
use crate::analysis::opening::State;
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::spoken::number;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::{LevelReading, Occasion, Run};
use crate::units::{Pressure, Temperature};
use crate::vehicle::ReservoirKind;
use serde::Serialize;

/// Gas usually shut in after a refill as a share of the coolant; taken as exponential, so that it is also its standard deviation (own
/// choice: 40 mL in 7 L).
pub const SHUT_IN_SHARE: f64 = 0.006;

/// Standard uncertainty of a logged pressure, kPa (own choice).
const LOGGED_PRESSURE_KPA: f64 = 5.0;

/// Share of the whole tank from which it counts as full to the brim.
const BRIM: f64 = 0.97;

/// What the cold and the hot level say.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LevelExpansion {
    /// Growth of all coolant at fixed mass from the cold to the hot reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coolant_growth: Option<Estimate>,
    /// Rise of the reservoir that it should make.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected: Option<Estimate>,
    /// Rise that was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub observed: Option<Estimate>,
    /// Expected less observed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shortfall: Option<Estimate>,
    /// Gas that has left the circuit so far: the shortfall freed from what gas still shut in did, whose amount and pressure are in the interval.
    #[serde(skip)]
    pub replaced: Option<Estimate>,
    /// Mean temperature of the circuit at the cold and at the hot reading.
    #[serde(skip)]
    pub warmth: Option<[Warmth; 2]>,
    /// Gauge pressure at the hot reading, kPa, and its standard uncertainty.
    #[serde(skip)]
    pub pressure_kpa: Option<(f64, f64)>,
    /// Whether the growth is enough to lift the cap of a system with an overflow bottle, were it full.
    #[serde(skip)]
    pub cap_lifts: Option<bool>,
    /// Why a member is missing, as a sentence, with the way out.
    #[serde(skip)]
    pub because: Option<String>,
    /// What makes the numbers weaker than they look.
    #[serde(skip)]
    pub caveats: Vec<String>,
}

impl LevelExpansion {
    /// Examines a run; `valve` is what its log shows of the thermostat.
    pub fn of(run: &Run, phases: &Phases, ambient: &Ambient, valve: State, cooling: &CoolingDown) -> Self {
        let silent = |because: String| Self { because: Some(because), ..Self::default() };
        let drive = Drive::of(run, phases, ambient, valve, cooling);
        let notes = in_order(&run.levels);
        let Some((cold, between, hot)) = pair(&notes, &drive) else {
            let has_hot = notes.iter().any(|note| note.occasion == Occasion::HotAfterDrive);
            return silent(missing(has_hot).to_owned());
        };
        if run.vehicle.capacity.is_none() {
            return silent(
                "the system's capacity is not stated, and the growth is in proportion to it; state capacity in the vehicle file".to_owned(),
            );
        }
        let scale = Scale::of(&run.vehicle.reservoir);
        let (cold_level, hot_level) = (scale.level(cold), scale.level(hot));
        let system = match System::of(&run.vehicle, cold_level.as_ref().ok()) {
            Ok(system) => system,
            Err(error) => return silent(format!("{error}; {}", error.hint())),
        };
        let Some(hot_warmth) = drive.hot(hot) else {
            return silent("the log has no coolant temperature from the end of the drive, so the growth is not known".to_owned());
        };
        let warmth = [drive.cold(cold), hot_warmth];
        let mut found = Self { warmth: Some(warmth), ..Self::default() };
        found.expect(run, &system, warmth, (phases.drive_end(run), hot));
        if !system.assumed.is_empty() {
            found.caveats.push(format!("The vehicle file does not state everything; assumed: {}.", system.assumed.join(", ")));
        }
        match (cold_level, hot_level) {
            (Ok(cold), Ok(hot)) => found.observe(run, &scale, [cold, hot], &between),
            (Err(error), _) | (_, Err(error)) => found.because = Some(format!("{error}; {}", error.hint())),
        }
        found.replaced = found.shortfall.and_then(|shortfall| found.gas_that_left(&system, &shortfall));
        found
    }

    /// Growth and expected rise.
    fn expect(&mut self, run: &Run, system: &System, [cold, hot]: [Warmth; 2], (end, note): (f64, &LevelReading)) {
        let (growth, net) = match (system.coolant_growth(&cold, &hot), system.net_growth(&cold, &hot)) {
            (Ok(growth), Ok(net)) => (growth, net),
            (Err(error), _) | (_, Err(error)) => {
                self.because = Some(format!("{error}; {}", error.hint()));
                return;
            }
        };
        let logged = run.trace(Channel::SystemPressure).and_then(|trace| robust::median(&trace.between(end - 30.0, end + 30.0).value));
        let opened = note.cap_opened == Some(true);
        let bottle = system.kind == ReservoirKind::OverflowBottle;
        let pressure = match logged {
            _ if opened => (0.0, 0.0),
            Some(gauge) => (gauge.max(0.0), LOGGED_PRESSURE_KPA),
            None if bottle => system.cap_kpa,
            None => (system.cap_kpa.0 / 2.0, (system.cap_kpa.0 / 12f64.sqrt()).hypot(system.cap_kpa.1 / 2.0)),
        };
        if opened {
            self.caveats.push(
                "The cap was opened before the hot reading, so the level and what was drawn in since are not those of a closed system."
                    .to_owned(),
            );
        }
        let (widening, widening_u) = system.widening(pressure);
        let mut expected = net.shifted(-widening).widened(widening_u);
        if bottle {
            self.cap_lifts = Some(expected.value > 0.0);
            // Before the cap lifts nothing reaches the bottle, and nothing falls either.
            let floor = |value: f64| value.max(0.0);
            expected = Estimate { value: floor(expected.value), interval_95: expected.interval_95.map(floor), ..expected };
        }
        self.coolant_growth = Some(growth);
        self.expected = Some(expected);
        self.pressure_kpa = Some(pressure);
    }

    /// Observed rise and shortfall.
    fn observe(&mut self, run: &Run, scale: &Scale, [cold, hot]: [Level; 2], between: &[&LevelReading]) {
        if cold.frame != hot.frame {
            self.because = Some("the cold and the hot level have different zeros; note both in the same unit".to_owned());
            return;
        }
        let mut added = (0.0, 0.0f64);
        for note in between.iter().filter(|note| note.occasion == Occasion::ToppedUp) {
            match scale.added(note) {
                Ok((volume, u)) => added = (added.0 + volume, added.1.hypot(u)),
                Err(error) => {
                    self.because = Some(format!("coolant was added before the hot reading: {error}; {}", error.hint()));
                    return;
                }
            }
        }
        let rise = hot.millilitres - cold.millilitres;
        let u = cold.reading_u.hypot(hot.reading_u).hypot(cold.scale_share.max(hot.scale_share) * rise).hypot(added.1);
        let observed = Estimate::normal(rise - added.0, u, Unit::Millilitre);
        self.observed = Some(observed);
        let brim = run.vehicle.reservoir.total.map(|total| BRIM * total.millilitres());
        if hot.frame == Frame::Volume && brim.is_some_and(|brim| hot.millilitres.max(cold.millilitres) >= brim) {
            self.because = Some("the reservoir stood at its brim, so it could not show the rise".to_owned());
            return;
        }
        self.shortfall = self.expected.map(|expected| difference(&expected, &observed));
    }

    /// The shortfall freed from the growth of gas still shut in.
    fn gas_that_left(&self, system: &System, shortfall: &Estimate) -> Option<Estimate> {
        /// Air pressure, kPa: what is lost by altitude and weather is less than the cap's range.
        const AIR_KPA: f64 = 98.0;
        let ([cold, hot], (gauge, u)) = (self.warmth?, self.pressure_kpa?);
        let state = |warmth: Warmth, gauge: f64| (Temperature::from_celsius(warmth.celsius), Pressure::from_kilopascals(AIR_KPA + gauge));
        // The pressure lies anywhere within √3 u of its middle.
        let spread = [-1.5, -0.75, 0.0, 0.75, 1.5];
        let growths: Vec<f64> = spread
            .iter()
            .filter_map(|z| gas::growth_factor(&system.mixture, state(cold, 0.0), state(hot, (gauge + z * u).max(0.0))))
            .map(|factor| factor - 1.0)
            .collect();
        let n = growths.len() as f64;
        if growths.is_empty() {
            return None;
        }
        let (mean, square) = (growths.iter().sum::<f64>() / n, growths.iter().map(|g| g * g).sum::<f64>() / n);
        let amount = SHUT_IN_SHARE * system.coolant_ml.0;
        // Second moment of an exponential amount: 2·mean².
        let variance = amount * amount * (2.0 * square - mean * mean);
        Some(shortfall.shifted(amount * mean).widened(variance.max(0.0).sqrt()))
    }

    /// What was found, as sentences.
    pub fn sentences(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        if let (Some(expected), Some([cold, hot])) = (&self.expected, &self.warmth) {
            sentences.push(format!(
                "From {} to {} °C in the mean of the circuit the level should rise by {}.",
                number(cold.celsius, 0),
                number(hot.celsius, 0),
                expected.spoken()
            ));
        }
        if let Some(observed) = &self.observed {
            sentences.push(format!("It was read {} higher hot than cold.", observed.spoken()));
        }
        if let Some(shortfall) = &self.shortfall {
            let [low, high] = shortfall.interval_95;
            let above = Estimate { value: -shortfall.value, interval_95: [-high, -low], ..*shortfall };
            sentences.push(match shortfall.value < 0.0 {
                true => format!("It stood {} above that.", above.spoken()),
                false => format!("It stood {} short of that.", shortfall.spoken()),
            });
        }
        sentences.extend(self.because.as_ref().map(|because| format!("The rise is not known in full: {because}.")));
        sentences.extend(self.caveats.iter().cloned());
        sentences
    }
}

/// The hot reading of this drive, the cold one before it, and what was noted between.
fn pair<'a>(notes: &[&'a LevelReading], drive: &Drive) -> Option<(&'a LevelReading, Vec<&'a LevelReading>, &'a LevelReading)> {
    let hot = notes.iter().rposition(|note| note.occasion == Occasion::HotAfterDrive && drive.owns_hot(note))?;
    let before = notes.get(..hot)?;
    let cold = before.iter().rposition(|note| matches!(note.occasion, Occasion::ColdBefore | Occasion::ColdAfter))?;
    // A refill between the two readings makes the cold one that of another filling.
    let between = before.get(cold + 1..)?.to_vec();
    let refilled = between.iter().any(|note| matches!(note.occasion, Occasion::Drained | Occasion::Filled));
    (!refilled).then(|| (before.get(cold).copied().zip(notes.get(hot).copied())).map(|(cold, hot)| (cold, between, hot)))?
}

fn missing(has_hot: bool) -> &'static str {
    if has_hot {
        "no cold level was noted before a hot one of this drive; note both, by date and time, on the same spot"
    } else {
        "no hot level was noted after this drive; read it from outside, cap closed, when the engine has just been switched off"
    }
}

/// One independent estimate less another; their half-intervals add in quadrature.
fn difference(a: &Estimate, b: &Estimate) -> Estimate {
    let value = a.value - b.value;
    let (low, high) =
        ((a.value - a.interval_95[0]).hypot(b.interval_95[1] - b.value), (a.interval_95[1] - a.value).hypot(b.value - b.interval_95[0]));
    Estimate {
        value,
        standard_uncertainty: a.standard_uncertainty.hypot(b.standard_uncertainty),
        interval_95: [value - low, value + high],
        unit: Unit::Millilitre,
    }
}
