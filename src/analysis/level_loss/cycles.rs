//! The course of the cold level: one point a cold reading, at 20 °C, with what was added before it.
//!
//! ```text
//! A_k = level_k(20 °C) − Σ added up to k        loss of cycle k = A_(k−1) − A_k
//! ```
//!
//! A cycle begins with a "cold before" or with the "cold after" of the one before, and every "cold after" ends it. What was lost
//! while parked between two drives thus counts in the later cycle. A "cold before" that stands above what the account expects by more
//! than its uncertainty shows a top-up that nobody noted: it is taken as one of just that size.
//!
//! The account begins anew where it must: at a drain or a fill, at a top-up whose size is not known, and at an overflow bottle whose
//! cap was opened hot (the circuit then draws air instead of the bottle's coolant).
//!
//! Limits: levels of one unit only (see [`Frame`]); the widening of hoses by what pressure a cold circuit keeps is left out.

use crate::analysis::levels::in_order;
use crate::analysis::levels::scale::{Frame, Scale};
use crate::analysis::levels::system::System;
use crate::analysis::levels::warmth::{Drive, Warmth};
use crate::estimate::{Estimate, Unit};
use crate::run::{LevelReading, Occasion, Run};
use crate::vehicle::ReservoirKind;

/// Longest course that is kept, in points; older ones are dropped.
const LONGEST: usize = 40;

/// How many standard uncertainties a cold level must stand above the account to show an unnoted top-up: one in three hundred by
/// chance (own choice).
const UNNOTED: f64 = 3.0;

/// Standard uncertainty of an overflow bottle's own, K of the circuit: it follows the circuit down at once but up only after the cap
/// lifts, so it shows the coolest moment before the reading (own choice).
const BOTTLE_LAG_K: f64 = 1.0;

/// A cold level.
#[derive(Clone, Copy, Debug)]
pub struct Point {
    /// Level at 20 °C less all that was added since the account began, mL.
    pub account: f64,
    /// Variance of this reading alone with its temperature, mL².
    pub variance: f64,
    /// Variance of what was added between the point before and this one, mL².
    pub added_variance: f64,
    /// Standard uncertainty of the scale as a share of a difference.
    pub scale_share: f64,
    /// Correction to 20 °C per kelvin, mL/K, for the error in the run's air temperature that points share.
    shared: f64,
}

/// The course of an account.
#[derive(Clone, Debug, Default)]
pub struct Course {
    /// Cold levels; the first begins the account, every other ends a heat cycle.
    pub points: Vec<Point>,
    /// Coolant in the circuit, mL.
    pub coolant_ml: f64,
    /// Why there is no cycle, where there is none.
    pub because: Option<String>,
    /// What makes it weaker than it looks.
    pub caveats: Vec<String>,
}

impl Course {
    /// The account in the notes of a run.
    ///
    /// # Errors
    ///
    /// A sentence with the way out where no account can be made.
    pub fn of(run: &Run, drive: &Drive) -> Result<Self, String> {
        let notes = in_order(&run.levels);
        let is_cold = |note: &&&LevelReading| matches!(note.occasion, Occasion::ColdBefore | Occasion::ColdAfter);
        let Some(first) = notes.iter().find(is_cold) else {
            return Err("no cold level was noted; note it cold before the drive and cold again after it, on the same spot".to_owned());
        };
        let scale = Scale::of(&run.vehicle.reservoir);
        let level = scale.level(first).map_err(|error| format!("{error}; {}", error.hint()))?;
        let system = System::of(&run.vehicle, Some(&level)).map_err(|error| format!("{error}; {}", error.hint()))?;
        let mut walk = Walk {
            course: Course { coolant_ml: system.coolant_ml.0, ..Course::default() },
            drive,
            scale,
            system: &system,
            frame: level.frame,
            added: (0.0, 0.0),
            pending: 0.0,
            opened_hot: false,
        };
        for note in notes {
            walk.take(note)?;
        }
        let mut course = walk.course;
        if course.cycles() == 0 && course.because.is_none() {
            course.because = Some("no heat cycle is complete; note the level cold before a drive and cold again after it".to_owned());
        }
        if !system.assumed.is_empty() && course.cycles() > 0 {
            course.caveats.push(format!("The vehicle file does not state everything; assumed: {}.", system.assumed.join(", ")));
        }
        let excess = course.points.len().saturating_sub(LONGEST);
        course.points.drain(..excess);
        Ok(course)
    }

    /// How many heat cycles it holds.
    pub fn cycles(&self) -> usize {
        self.points.len().saturating_sub(1)
    }

    /// Loss of each cycle.
    pub fn losses(&self) -> Vec<Estimate> {
        self.points.windows(2).map(fall).collect()
    }

    /// Loss from the first point to the last.
    pub fn whole(&self) -> Option<Estimate> {
        (self.cycles() > 0).then(|| fall(&self.points))
    }
}

/// Fall from the first of some neighbouring points to the last.
fn fall(points: &[Point]) -> Estimate {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Estimate::normal(0.0, f64::INFINITY, Unit::Millilitre);
    };
    let value = first.account - last.account;
    let added: f64 = points.iter().skip(1).map(|point| point.added_variance).sum();
    let variance = first.variance + last.variance + added;
    let u = variance.sqrt().hypot(first.scale_share.max(last.scale_share) * value).hypot(first.shared - last.shared);
    Estimate::normal(value, u, Unit::Millilitre)
}

/// Goes through the notes in order.
struct Walk<'a> {
    course: Course,
    drive: &'a Drive,
    scale: Scale<'a>,
    system: &'a System,
    frame: Frame,
    /// Added since the account began, mL, and the variance of what was added since the last point.
    added: (f64, f64),
    /// Noted as added since the last point, mL.
    pending: f64,
    opened_hot: bool,
}

impl Walk<'_> {
    fn take(&mut self, note: &LevelReading) -> Result<(), String> {
        match note.occasion {
            Occasion::Drained | Occasion::Filled => self.begin_anew(None),
            Occasion::ToppedUp => match self.scale.added(note) {
                Ok((volume, u)) => {
                    self.added = (self.added.0 + volume, self.added.1 + u * u);
                    self.pending += volume;
                }
                Err(error) => self.begin_anew(Some(format!("Coolant was added, but not how much in mL: {error}; {}.", error.hint()))),
            },
            Occasion::HotAfterDrive => self.opened_hot |= note.cap_opened == Some(true),
            Occasion::ColdBefore => self.before(note)?,
            Occasion::ColdAfter => self.after(note)?,
            Occasion::PressureTestStart | Occasion::PressureTestEnd => {}
        }
        Ok(())
    }

    fn before(&mut self, note: &LevelReading) -> Result<(), String> {
        let Some(point) = self.point(note)? else { return Ok(()) };
        let Some(last) = self.course.points.last() else {
            self.push(point);
            return Ok(());
        };
        let above = point.account - last.account;
        let variance = point.variance + last.variance + self.added.1;
        if above > UNNOTED * variance.sqrt().hypot(last.scale_share * (self.pending + above)) {
            self.added = (self.added.0 + above, self.added.1 + variance);
            self.pending += above;
            self.course.caveats.push(format!(
                "Before a drive the cold level stood {above:.0} mL above the account: taken as a top-up that was not noted."
            ));
        }
        Ok(())
    }

    fn after(&mut self, note: &LevelReading) -> Result<(), String> {
        let Some(point) = self.point(note)? else { return Ok(()) };
        let bottle = self.system.kind == ReservoirKind::OverflowBottle;
        if bottle && (self.opened_hot || note.cap_opened == Some(true)) {
            let why = "The cap was opened between the hot and the cold reading: behind it the circuit draws air instead of the bottle's coolant, so that cycle is left out.";
            let level_at_20 = point.account + self.added.0;
            self.begin_anew(Some(why.to_owned()));
            self.course.because = Some("the cap was opened after the drive, so the bottle's level says nothing about the circuit; top up the cold circuit and note the next heat cycle, cap closed".to_owned());
            self.push(Point { account: level_at_20, added_variance: 0.0, ..point });
            return Ok(());
        }
        self.push(point);
        Ok(())
    }

    fn push(&mut self, point: Point) {
        self.course.points.push(point);
        self.added.1 = 0.0;
        self.pending = 0.0;
        self.opened_hot = false;
    }

    fn begin_anew(&mut self, why: Option<String>) {
        self.course.points.clear();
        self.added = (0.0, 0.0);
        self.pending = 0.0;
        self.opened_hot = false;
        self.course.caveats.extend(why);
    }

    /// The point of a cold reading; `None` where it cannot be compared with the others.
    fn point(&mut self, note: &LevelReading) -> Result<Option<Point>, String> {
        let level = self.scale.level(note).map_err(|error| format!("{error}; {}", error.hint()))?;
        if level.frame != self.frame {
            self.course
                .caveats
                .push("Cold levels in mm and in volumes have different zeros; those unlike the first are left out.".to_owned());
            return Ok(None);
        }
        let mut warmth = self.drive.cold(note);
        if self.system.kind == ReservoirKind::OverflowBottle {
            warmth.own_u = warmth.own_u.hypot(BOTTLE_LAG_K);
        }
        let net =
            |from: &Warmth| self.system.net_growth(from, &Warmth::exactly(20.0)).map_err(|error| format!("{error}; {}", error.hint()));
        let alone = net(&Warmth { shared_u: 0.0, ..warmth })?;
        let shared = if warmth.shared_u > 0.0 {
            let moved = net(&Warmth { celsius: warmth.celsius + 1.0, shared_u: 0.0, ..warmth })?;
            (moved.value - alone.value) * warmth.shared_u * warmth.air_share
        } else {
            0.0
        };
        let u = level.reading_u.hypot(alone.standard_uncertainty);
        Ok(Some(Point {
            account: level.millilitres + alone.value - self.added.0,
            variance: u * u,
            added_variance: self.added.1,
            scale_share: level.scale_share,
            shared,
        }))
    }
}
