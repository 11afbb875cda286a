//! The scale: from what a person noted to millilitres.
//!
//! ```text
//! mm      reading · mL per mm                    from a zero of its own
//! mL      reading
//! %       reading · total / 100
//! marks   MIN + reading · (MAX − MIN)
//! ```
//!
//! Two errors are kept apart. That of a single *reading* is a person's: ± 2 mm as a half-width. That of the *scale* is the same in
//! every reading and grows with the difference that is taken, because no tank is a prism and no mark is printed to a millilitre.
//!
//! Limits: a level in millimetres has a zero of its own, so it is compared only with others in millimetres.
//!
//! # References
//!
//! - JCGM 100:2008, 4.3.7: a quantity known within ± a has the standard uncertainty a/√3.

use crate::run::{LevelReading, ReadingUnit};
use crate::vehicle::Reservoir;

/// Half-width of a person's reading, in mm (common practice, no source).
pub const READING_HALF_WIDTH_MM: f64 = 2.0;

/// Half-width that another spot or a slope adds, in mm: one degree over the 300 mm from the tank to where the circuit pivots (own
/// choice).
const OTHER_SPOT_HALF_WIDTH_MM: f64 = 5.0;

/// Share of a difference in mm, % or marks by which the scale may be off, as a standard uncertainty (own choice: a tank filled in
/// with a jug by the tenth of a litre).
const SCALE_SHARE: f64 = 0.04;

/// The same for graduations in millilitres (own choice).
const GRADUATION_SHARE: f64 = 0.02;

/// Height of a whole tank in mm where only its volume is stated (common practice, no source: 100 to 160).
const TANK_HEIGHT_MM: f64 = 125.0;

/// Distance of the marks in mm where only their volumes are stated (common practice, no source: 25 to 50).
const MARKS_APART_MM: f64 = 35.0;

/// Volume of a millimetre where nothing is stated and the reading is in mL (common practice, no source: cars have 6 to 25 mL).
const MILLILITRES_PER_MM: f64 = 12.0;

/// From which zero a level counts. Only levels of one frame can be compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Frame {
    /// A height from a zero of its own.
    Height,
    /// The volume in the tank.
    Volume,
}

/// A noted level in millilitres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// From the frame's zero, mL.
    pub millilitres: f64,
    /// Standard uncertainty of this reading alone, mL.
    pub reading_u: f64,
    /// Standard uncertainty of the scale as a share of a difference of levels.
    pub scale_share: f64,
    /// Zero from which it counts.
    pub frame: Frame,
}

/// Why a reading is no volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoScale {
    /// Millimetres without a scale.
    #[error("the level was read in mm, and no volume of a millimetre is stated")]
    PerMillimetre,
    /// Marks without volumes.
    #[error("the level was read by the marks, and their volumes are not stated")]
    Marks,
    /// Per cent without a total.
    #[error("the level was read in % of the tank, and its volume is not stated")]
    Total,
    /// A pressure is no level.
    #[error("a pressure was noted where a level belongs")]
    Pressure,
}

impl NoScale {
    /// The way out, as a sentence for the person.
    pub fn hint(self) -> &'static str {
        match self {
            Self::PerMillimetre => {
                "state reservoir.per_mm in the vehicle file, or reservoir.marks_apart with min_mark and max_mark; fill it in with a jug, cold"
            }
            Self::Marks => "state reservoir.min_mark and reservoir.max_mark in the vehicle file; fill it in with a jug, cold",
            Self::Total => "state reservoir.total in the vehicle file",
            Self::Pressure => "note levels in mm, mL, % or marks; pressures belong to a pressure test",
        }
    }
}

/// Turns readings of one reservoir into millilitres.
#[derive(Clone, Copy, Debug)]
pub struct Scale<'a> {
    reservoir: &'a Reservoir,
}

impl<'a> Scale<'a> {
    /// The scale of a reservoir.
    pub fn of(reservoir: &'a Reservoir) -> Self {
        Self { reservoir }
    }

    /// A noted level in millilitres.
    ///
    /// # Errors
    ///
    /// [`NoScale`] where the vehicle file lacks what the unit needs.
    pub fn level(&self, note: &LevelReading) -> Result<Level, NoScale> {
        let (millilitres, scale_share, frame) = match note.unit {
            ReadingUnit::Millimetre => {
                (note.reading * self.reservoir.millilitres_per_mm.ok_or(NoScale::PerMillimetre)?, SCALE_SHARE, Frame::Height)
            }
            ReadingUnit::Millilitre => (note.reading, GRADUATION_SHARE, Frame::Volume),
            ReadingUnit::Percent => {
                (note.reading / 100.0 * self.reservoir.total.ok_or(NoScale::Total)?.millilitres(), SCALE_SHARE, Frame::Volume)
            }
            ReadingUnit::Marks => {
                let (min, apart) = self.marks().ok_or(NoScale::Marks)?;
                (min + note.reading * apart, SCALE_SHARE, Frame::Volume)
            }
            ReadingUnit::Kilopascal => return Err(NoScale::Pressure),
        };
        let spot = if super::remarks::other_spot(&note.note) { OTHER_SPOT_HALF_WIDTH_MM } else { 0.0 };
        let reading_u = READING_HALF_WIDTH_MM.hypot(spot) / 3f64.sqrt() * self.per_mm();
        Ok(Level { millilitres, reading_u, scale_share, frame })
    }

    /// A volume that was added: poured, or as a rise of the level. Value and standard uncertainty, mL.
    ///
    /// # Errors
    ///
    /// As [`Scale::level`].
    pub fn added(&self, note: &LevelReading) -> Result<(f64, f64), NoScale> {
        /// A jug or bottle as a share and at least this many mL, standard uncertainties (own choice).
        const JUG: (f64, f64) = (0.03, 5.0);
        let rise = |volume: f64| (volume, 2f64.sqrt() * READING_HALF_WIDTH_MM / 3f64.sqrt() * self.per_mm());
        match note.unit {
            ReadingUnit::Millilitre => Ok((note.reading, (JUG.0 * note.reading).hypot(JUG.1))),
            ReadingUnit::Marks => self.marks().map(|(_, apart)| rise(note.reading * apart)).ok_or(NoScale::Marks),
            _ => self.level(note).map(|level| rise(level.millilitres)),
        }
    }

    /// Volume at the MIN mark and from there to the MAX mark, mL.
    fn marks(&self) -> Option<(f64, f64)> {
        let (min, max) = self.reservoir.min_mark.zip(self.reservoir.max_mark)?;
        Some((min.millilitres(), (max - min).millilitres()))
    }

    /// Volume of a millimetre for the size of a reading's error, mL; guessed from the tank's size where it is not stated.
    fn per_mm(&self) -> f64 {
        let total = self.reservoir.total.map(|total| total.millilitres() / TANK_HEIGHT_MM);
        let marks = || self.marks().map(|(_, apart)| apart / MARKS_APART_MM);
        self.reservoir.millilitres_per_mm.or(total).or_else(marks).unwrap_or(MILLILITRES_PER_MM)
    }
}
