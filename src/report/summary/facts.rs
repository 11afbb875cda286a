//! What a customer wants to find again: vehicle, date, odometer, coolant, volumes, next due. All of it is optional.

use crate::estimate::spoken::number;
use crate::run::{NoteTime, Occasion, ReadingUnit, Run};
use crate::units::{Volume, parse};
use crate::vehicle::Base;

/// The most that an odometer shows, in km.
const MOST_KM: f64 = 10_000_000.0;

/// Facts as they are printed; `None` leaves a fact out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Facts {
    /// Name of the vehicle.
    pub vehicle: Option<String>,
    /// Day of the work.
    pub date: Option<String>,
    /// What the odometer showed.
    pub odometer: Option<String>,
    /// What is in it.
    pub coolant: Option<String>,
    /// What came out and what went in.
    pub volumes: Option<String>,
    /// When coolant is due again, by date, distance or both.
    pub next_due: Option<String>,
    /// Who answers questions.
    pub ask: Option<String>,
}

impl Facts {
    /// What a run itself states: the vehicle file's name and coolant, the date of the log or of the notes, the volumes of the notes.
    pub fn of(run: &Run) -> Self {
        Self {
            vehicle: run.vehicle.name.clone(),
            date: date(run),
            coolant: run.vehicle.coolant.map(|coolant| {
                let base = match coolant.base {
                    Base::EthyleneGlycol => "ethylene glycol",
                    Base::PropyleneGlycol => "propylene glycol",
                };
                format!("{base}, {} % by volume", number(100.0 * coolant.volume_fraction, 0))
            }),
            volumes: volumes(run),
            ..Self::default()
        }
    }

    /// These facts, and those of `stated` where they lack one.
    pub fn or(self, stated: Self) -> Self {
        Self {
            vehicle: self.vehicle.or(stated.vehicle),
            date: self.date.or(stated.date),
            odometer: self.odometer.or(stated.odometer),
            coolant: self.coolant.or(stated.coolant),
            volumes: self.volumes.or(stated.volumes),
            next_due: self.next_due.or(stated.next_due),
            ask: self.ask.or(stated.ask),
        }
    }

    /// An odometer as it is typed, in the words in which it is printed.
    ///
    /// # Errors
    ///
    /// Why it is none, and what to write.
    pub fn odometer(text: &str) -> Result<String, (String, String)> {
        let km = parse::distance_kilometres(text).map_err(|error| (error.to_string(), error.hint()))?;
        if !(0.0..=MOST_KM).contains(&km) {
            return Err(("no odometer shows that".to_owned(), "write what it shows: 182000km, 113000mi".to_owned()));
        }
        Ok(Self::kilometres(km))
    }

    /// An odometer's reading as it is printed: `128 400 km`.
    pub fn kilometres(km: f64) -> String {
        let digits = number(km, 0);
        let parted = |(index, digit): (usize, char)| {
            let space = index > 0 && digits.len() > 4 && (digits.len() - index).is_multiple_of(3);
            space.then_some('\u{a0}').into_iter().chain([digit])
        };
        format!("{} km", digits.chars().enumerate().flat_map(parted).collect::<String>())
    }
}

/// The day of the drive, else that of the first dated note.
fn date(run: &Run) -> Option<String> {
    let noted = run.levels.iter().find_map(|note| match note.time {
        NoteTime::Full(moment) => Some(moment),
        NoteTime::OfDay(_) | NoteTime::Order => None,
    });
    run.started.or(noted).map(|day| day.format("%Y-%m-%d").to_string())
}

/// `10.05 L drained, 9.65 L filled, 0.15 L added`, as far as the notes have volumes.
fn volumes(run: &Run) -> Option<String> {
    let kinds = [(Occasion::Drained, "drained"), (Occasion::Filled, "filled"), (Occasion::ToppedUp, "added")];
    let noted = kinds.map(|(occasion, word)| {
        let notes = run.levels.iter().filter(|note| note.occasion == occasion && note.unit == ReadingUnit::Millilitre);
        let volume = notes.map(|note| Volume::from_millilitres(note.reading)).reduce(|all, more| all + more)?;
        Some(format!("{} L {word}", number(volume.litres(), 2)))
    });
    let noted: Vec<String> = noted.into_iter().flatten().collect();
    (!noted.is_empty()).then(|| noted.join(", "))
}
