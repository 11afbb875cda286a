//! The signs of one run as numbers of comparable size: what the combination weighs.
//!
//! Every sign belongs to a group that a run has or has not: the reading of the drive, the reading after the valve opened, a heater
//! outlet, a logged level, the fill, the hot level, later cold levels. What is absent is 0 throughout and so says nothing
//! either way; a sign that has a number for being present has 1 there.

use super::drive::{Drive, STEP_S};
use super::heater::{self, Heater};
use super::late_opening::{self, Overshoot};
use super::unexplained::{self, Unexplained};
use super::{Findings, sharp_changes};
use crate::analysis::levels::gulps::{self, Gulp};
use crate::analysis::opening::State;
use crate::estimate::Estimate;
use crate::run::Run;

/// How many numbers there are.
pub const COUNT: usize = 22;

/// One number of the combination: its name for tables, its group, and whether more of it can only mean more air.
#[derive(Clone, Copy, Debug)]
pub struct Meaning {
    /// Name in tables.
    pub name: &'static str,
    /// Group.
    pub group: Group,
    /// Whether its weight may not be negative.
    pub only_raises: bool,
}

/// What a sign is told from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Rises and falls of the reading that nothing explains.
    Changes,
    /// Bursts of sharp changes.
    Bursts,
    /// Overshoot at the opening.
    Overshoot,
    /// The heater's outlet.
    Heater,
    /// Steps of a logged level.
    Gulps,
    /// What was filled against what was drained.
    Fill,
    /// The hot level.
    HotLevel,
    /// Later cold levels.
    LaterLoss,
}

impl Group {
    /// Every group.
    pub const ALL: [Group; 8] =
        [Group::Changes, Group::Bursts, Group::Overshoot, Group::Heater, Group::Gulps, Group::Fill, Group::HotLevel, Group::LaterLoss];

    /// What it is told from, in the trade's words.
    pub fn spoken(self) -> &'static str {
        match self {
            Group::Changes => "changes that the drive does not explain",
            Group::Bursts => "sharp changes in bursts",
            Group::Overshoot => "overshoot at the opening",
            Group::Heater => "the heater's outlet",
            Group::Gulps => "steps of the logged level",
            Group::Fill => "filled against drained",
            Group::HotLevel => "the hot level",
            Group::LaterLoss => "later cold levels",
        }
    }

    /// Stable name, as the JSON contract has it.
    pub fn id(self) -> &'static str {
        match self {
            Group::Changes => "unexplained_changes",
            Group::Bursts => "sharp_bursts",
            Group::Overshoot => "late_opening",
            Group::Heater => "heater_comes_and_goes",
            Group::Gulps => "level_gulps",
            Group::Fill => "fill_short_of_drain",
            Group::HotLevel => "hot_level_off",
            Group::LaterLoss => "level_falls_again",
        }
    }
}

const fn meaning(name: &'static str, group: Group, only_raises: bool) -> Meaning {
    Meaning { name, group, only_raises }
}

/// What each number means, in the order of [`Numbers`].
pub const MEANINGS: [Meaning; COUNT] = [
    meaning("drive: present", Group::Changes, false),
    meaning("drive: unexplained rise, ln of K in 15 s", Group::Changes, true),
    meaning("drive: the same in its last third", Group::Changes, true),
    meaning("drive: unexplained fall, ln of K in 15 s", Group::Changes, true),
    meaning("drive: ordinary change, ln of K in 15 s", Group::Changes, false),
    meaning("drive: sharp fall, ln of K in 12 s", Group::Changes, false),
    meaning("after the opening: present", Group::Changes, false),
    meaning("after the opening: unexplained rise, ln of K in 15 s", Group::Changes, true),
    meaning("after the opening: burstiness, ln", Group::Bursts, true),
    meaning("overshoot beyond the wax's lag, standard uncertainties", Group::Overshoot, true),
    meaning("heater outlet: present", Group::Heater, false),
    meaning("heater outlet: more warmth lost at low revs, tenths", Group::Heater, true),
    meaning("heater outlet: comes and goes, tenths", Group::Heater, true),
    meaning("logged level: present", Group::Gulps, false),
    meaning("logged level: fall in steps, ln of thresholds and one", Group::Gulps, true),
    meaning("fill: present", Group::Fill, false),
    meaning("fill: shortfall beyond the threshold, standard uncertainties", Group::Fill, true),
    meaning("fill: the same less the first cold-to-cold loss", Group::Fill, true),
    meaning("hot level: present", Group::HotLevel, false),
    meaning("hot level: below expectation, thresholds", Group::HotLevel, true),
    meaning("hot level: above expectation, thresholds", Group::HotLevel, true),
    meaning("later cold level: fall beyond the threshold, standard uncertainties", Group::LaterLoss, true),
];

/// One number a sign, 0 for an absent one.
pub type Numbers = [f64; COUNT];

/// What was seen on one run.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    /// For how long the reading is known with coolant in the whole circuit, s: from the opening, or throughout where the valve was open.
    pub whole_circuit_s: f64,
    /// Unexplained changes of the whole drive.
    pub drive: Option<Unexplained>,
    /// How sharply the reading fell, in kelvin.
    pub sharp_fall: Option<f64>,
    /// Unexplained changes after the valve opened.
    pub after: Option<Unexplained>,
    /// Burstiness after the valve opened, else of the whole drive.
    pub burstiness: Option<f64>,
    /// Overshoot beyond the wax's lag.
    pub overshoot: Option<Overshoot>,
    /// The heater's outlet.
    pub heater: Option<Heater>,
    /// Steps of a logged level.
    pub gulps: Option<Vec<Gulp>>,
    /// Shortfall of the fill against the drain, mL.
    pub fill: Option<Estimate>,
    /// Fall of the cold level over the first noted cycle, mL.
    pub first_loss: Option<Estimate>,
    /// Fall over the last of several cycles, mL.
    pub later_loss: Option<Estimate>,
    /// Shortfall of the hot level, mL.
    pub hot: Option<Estimate>,
}

/// How long after the opening the reading is left to settle, in seconds.
const SETTLES_S: f64 = 60.0;

impl Seen {
    /// Looks for every sign.
    pub fn of(run: &Run, findings: &Findings) -> Self {
        let drive = Drive::of(run, findings.phases, findings.heat);
        let all = drive.len();
        let opened = findings.opening.time.map(|time| drive.step(time.value + SETTLES_S)).filter(|from| *from < all);
        let loss = findings.loss;
        let end = findings.phases.drive_end(run);
        let open_from = match findings.opening.state {
            State::Opened => findings.opening.time.map_or(end, |time| time.value),
            State::AlreadyOpen | State::OpenThroughout => findings.phases.fired_s,
            State::NotReached | State::NotObservable => end,
        };
        Self {
            whole_circuit_s: drive.known[drive.step(open_from)..].iter().filter(|known| **known).count() as f64 * STEP_S,
            drive: unexplained::measure(&drive, 0, all),
            sharp_fall: sharp_changes::fall(&drive, 0, all),
            after: opened.and_then(|from| unexplained::measure(&drive, from, all)),
            burstiness: sharp_changes::burstiness(&drive, opened.unwrap_or(0), all),
            overshoot: late_opening::look(&drive, findings.opening),
            heater: heater::look(run, findings.phases, findings.ambient),
            gulps: gulps::gulps(run, findings.phases.fired_s, end),
            fill: loss.refill.as_ref().map(|refill| refill.air),
            first_loss: loss.per_cycle.first().copied().or(loss.cold_to_cold),
            later_loss: loss.per_cycle.get(1..).and_then(|later| later.last()).copied(),
            hot: findings.expansion.shortfall,
        }
    }

    /// Whether the records have a group.
    pub fn has(&self, group: Group) -> bool {
        match group {
            Group::Changes => self.drive.is_some() && self.sharp_fall.is_some(),
            Group::Bursts => self.burstiness.is_some(),
            Group::Overshoot => self.overshoot.is_some(),
            Group::Heater => self.heater.is_some(),
            Group::Gulps => self.gulps.is_some(),
            Group::Fill => self.fill.is_some(),
            Group::HotLevel => self.hot.is_some(),
            Group::LaterLoss => self.later_loss.is_some(),
        }
    }

    /// Unexplained changes after the opening, else of the whole drive.
    pub fn changes(&self) -> Option<&Unexplained> {
        self.after.as_ref().or(self.drive.as_ref())
    }

    /// Volume of the steps of a logged level, mL.
    pub fn gulped(&self) -> Option<f64> {
        let gulps = self.gulps.as_ref()?;
        Some(gulps.iter().filter_map(|gulp| gulp.volume).map(|volume| volume.value.max(0.0)).sum())
    }

    /// Fill shortfall less what the cold level has lost since, mL: gas that is still in the circuit by both accounts.
    pub fn remains(&self) -> Option<Estimate> {
        let (fill, loss) = (self.fill?, self.first_loss?);
        let u = fill.standard_uncertainty.hypot(loss.standard_uncertainty);
        Some(Estimate::normal(fill.value - loss.value, u, fill.unit))
    }

    /// As numbers; `threshold` is the volume asked about, mL.
    pub fn numbers(&self, threshold: f64) -> Numbers {
        let log = |kelvin: f64| kelvin.max(0.3).ln();
        // How far beyond the threshold, in standard uncertainties; a part of the threshold is added to them, so that a very good
        // reading of a near miss does not count for everything.
        let beyond = |estimate: Estimate, share: f64| {
            ((estimate.value - threshold) / estimate.standard_uncertainty.hypot(share * threshold)).clamp(-4.0, 4.0)
        };
        let in_thresholds =
            |estimate: Estimate, sign: f64| (sign * estimate.value / threshold.hypot(estimate.standard_uncertainty)).clamp(0.0, 5.0);
        let mut numbers = [0.0; COUNT];
        if let (Some(drive), Some(fall)) = (&self.drive, self.sharp_fall) {
            numbers[..6].copy_from_slice(&[1.0, log(drive.rise), log(drive.late_rise), log(drive.fall), log(drive.ordinary), log(fall)]);
        }
        if let Some(after) = &self.after {
            numbers[6..8].copy_from_slice(&[1.0, log(after.rise)]);
        }
        numbers[8] = self.burstiness.map_or(0.0, |burstiness| burstiness.clamp(0.7, 20.0).ln());
        numbers[9] = self.overshoot.map_or(0.0, |over| (over.excess.value / over.excess.standard_uncertainty.max(0.1)).clamp(0.0, 5.0));
        if let Some(heater) = &self.heater {
            let (idle, goes) = (heater.more_at_idle.value.clamp(0.0, 0.6), heater.comes_and_goes.clamp(0.0, 0.8));
            numbers[10..13].copy_from_slice(&[1.0, 10.0 * idle, 10.0 * goes]);
        }
        if let Some(gulped) = self.gulped() {
            numbers[13..15].copy_from_slice(&[1.0, (1.0 + gulped / threshold).ln()]);
        }
        if let Some(fill) = self.fill {
            numbers[15..17].copy_from_slice(&[1.0, beyond(fill, 0.5)]);
        }
        numbers[17] = self.remains().map_or(0.0, |remains| beyond(remains, 0.3));
        if let Some(hot) = self.hot {
            numbers[18..21].copy_from_slice(&[1.0, in_thresholds(hot, 1.0), in_thresholds(hot, -1.0)]);
        }
        numbers[21] = self.later_loss.map_or(0.0, |loss| beyond(loss, 0.5).max(0.0));
        numbers
    }
}
