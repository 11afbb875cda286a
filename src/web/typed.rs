//! What is typed and sent beside a log: the texts of a form, level notes, a vehicle; and what they state.

use super::markup::Wrong;
use super::multipart::Part;
use super::refusal::Refusal;
use super::vehicle_form;
use crate::archive::{Archive, is_id};
use crate::ingest::levels;
use crate::run::{LevelReading, Occasion};
use crate::vehicle::Vehicle;
use axum::body::Bytes;
use std::collections::BTreeMap;

/// Most bytes of a text that is typed.
const MOST_TEXT: usize = 4096;

/// Most bytes of a vehicle file: an ordinary one has about one thousand.
const MOST_VEHICLE: usize = 256_000;

/// Levels that are typed one by one: field, occasion.
pub const LEVELS: [(&str, Occasion); 4] = [
    ("cold_before", Occasion::ColdBefore),
    ("hot_after", Occasion::HotAfterDrive),
    ("cold_after", Occasion::ColdAfter),
    ("added", Occasion::ToppedUp),
];

/// A small file.
#[derive(Clone, Debug)]
pub struct Sent {
    /// Its name.
    pub name: String,
    /// Its bytes.
    pub bytes: Bytes,
}

/// What was typed and sent.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    texts: BTreeMap<String, String>,
    files: BTreeMap<String, Sent>,
}

/// What is stated beside a log.
#[derive(Clone, Debug, Default)]
pub struct Stated {
    /// The vehicle.
    pub vehicle: Vehicle,
    /// Its file's text, written by hand or by the form.
    pub vehicle_toml: Option<String>,
    /// Rows of the level notes.
    pub noted: Vec<LevelReading>,
    /// Levels typed one by one.
    pub flagged: Vec<LevelReading>,
    /// Whether it was driven before the work.
    pub before_work: bool,
    /// Whether to compare it with the last kept drive of the vehicle.
    pub against_last: bool,
}

impl Typed {
    /// Of a form's parts.
    ///
    /// # Errors
    ///
    /// [`Refusal`] (400) if a text is none.
    pub fn of(parts: Vec<Part>) -> Result<Self, Refusal> {
        let mut typed = Self::default();
        for part in parts {
            match part.file {
                // A field for a file that was left empty comes without a name and without content.
                Some(name) if !(name.is_empty() && part.bytes.is_empty()) => {
                    typed.files.insert(part.name, Sent { name: file_name(&name), bytes: part.bytes });
                }
                Some(_) => {}
                None => {
                    let text = std::str::from_utf8(&part.bytes).ok().filter(|text| text.len() <= MOST_TEXT && !text.contains('\0'));
                    let text = text.ok_or_else(|| Refusal::malformed(format!("The field `{}` holds no text.", part.name)))?;
                    if !text.trim().is_empty() {
                        typed.texts.insert(part.name, text.trim().to_owned());
                    }
                }
            }
        }
        Ok(typed)
    }

    /// What a field holds; empty if nothing was typed.
    pub fn text(&self, name: &str) -> &str {
        self.texts.get(name).map_or("", String::as_str)
    }

    /// A file that was sent.
    pub fn file(&self, name: &str) -> Option<&Sent> {
        self.files.get(name)
    }

    /// Whether any file was sent.
    pub fn has_files(&self) -> bool {
        !self.files.is_empty()
    }

    /// Takes a file out.
    pub fn take_file(&mut self, name: &str) -> Option<Sent> {
        self.files.remove(name)
    }

    /// Takes over files of an earlier form that this one did not send anew.
    pub fn keep_files_of(&mut self, earlier: &Typed) {
        for (name, file) in &earlier.files {
            self.files.entry(name.clone()).or_insert_with(|| file.clone());
        }
    }

    /// The same with a text in a field.
    pub fn with(mut self, name: &str, text: &str) -> Self {
        self.texts.insert(name.to_owned(), text.to_owned());
        self
    }

    /// The same with a file.
    pub fn with_file(mut self, name: &str, file: Sent) -> Self {
        self.files.insert(name.to_owned(), file);
        self
    }

    /// What it states.
    ///
    /// # Errors
    ///
    /// Every field that cannot be used, with the way out.
    pub fn stated(&self, archive: Option<&Archive>) -> Result<Stated, Vec<Wrong>> {
        let mut wrong = Vec::new();
        let mut flagged = Vec::new();
        for (field, occasion) in LEVELS.iter().filter(|(field, _)| !self.text(field).is_empty()) {
            match levels::quick(*occasion, self.text(field)) {
                Ok(level) => flagged.push(level),
                Err(error) => wrong.push(Wrong::new(*field, error.to_string(), error.hint())),
            }
        }
        let noted = self.file("notes").map(|file| {
            levels::read(&file.bytes).map_err(|error| wrong.push(Wrong::new("notes", format!("{}: {error}", file.name), error.hint())))
        });
        let vehicle = self.vehicle(archive).map_err(|mut errors| wrong.append(&mut errors)).ok().flatten();
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let (vehicle, vehicle_toml) = vehicle.unzip();
        Ok(Stated {
            vehicle: vehicle.unwrap_or_default(),
            vehicle_toml,
            noted: noted.and_then(Result::ok).unwrap_or_default(),
            flagged,
            before_work: !self.text("before_work").is_empty(),
            against_last: self.text("against") == "last",
        })
    }

    /// The vehicle that is meant, with its file's text: a known one, a file, or what was typed; one of the three.
    fn vehicle(&self, archive: Option<&Archive>) -> Result<Option<(Vehicle, String)>, Vec<Wrong>> {
        let known = self.text("vehicle_known");
        let typed = vehicle_form::is_filled(self);
        let ways = [("vehicle_known", !known.is_empty()), ("vehicle_file", self.file("vehicle_file").is_some()), ("v_name", typed)];
        if ways.iter().filter(|(_, used)| *used).count() > 1 {
            let last = ways.iter().rev().find(|(_, used)| *used).map_or("vehicle_known", |(field, _)| field);
            return Err(vec![Wrong::new(
                last,
                "the vehicle is stated in more than one way",
                "choose a known one, or a file, or type it, and clear the others",
            )]);
        }
        if typed {
            return vehicle_form::read(self).map(Some);
        }
        if let Some(file) = self.file("vehicle_file") {
            if file.bytes.len() > MOST_VEHICLE {
                let what = format!("{}: larger than {} kB, so it is no vehicle file", file.name, MOST_VEHICLE / 1000);
                return Err(vec![Wrong::new("vehicle_file", what, "was the log chosen in its place?")]);
            }
            let text = String::from_utf8(file.bytes.to_vec()).map_err(|_| {
                vec![Wrong::new("vehicle_file", format!("{}: this is no text", file.name), "save it as plain text in UTF-8")]
            })?;
            let vehicle = Vehicle::from_toml(&text)
                .map_err(|error| vec![Wrong::new("vehicle_file", format!("{}: {error}", file.name), error.hint())])?;
            return Ok(Some((vehicle, text)));
        }
        if known.is_empty() { Ok(None) } else { known_vehicle(archive, known).map(Some) }
    }
}

/// The vehicle of a kept run, as its file states it.
pub fn known_vehicle(archive: Option<&Archive>, id: &str) -> Result<(Vehicle, String), Vec<Wrong>> {
    let wrong = |what: String, hint: String| vec![Wrong::new("vehicle_known", what, hint)];
    let (Some(archive), true) = (archive, is_id(id)) else {
        return Err(wrong("no such vehicle is known".to_owned(), "choose one of the list".to_owned()));
    };
    let kept = archive.open(id).map_err(|error| wrong(error.to_string(), error.hint()))?;
    let toml = kept.latest().and_then(|judging| judging.vehicle_toml.clone());
    let toml = toml.ok_or_else(|| wrong("nothing is kept of this vehicle".to_owned(), "choose another one, or type it".to_owned()))?;
    let vehicle = Vehicle::from_toml(&toml).map_err(|error| wrong(error.to_string(), error.hint()))?;
    Ok((vehicle, toml))
}

/// The last part of a file's name, as some browsers send paths; it is only ever shown.
fn file_name(sent: &str) -> String {
    let name = sent.rsplit(['/', '\\']).next().unwrap_or_default();
    let name: String = name.chars().filter(|c| !c.is_control()).take(120).collect();
    if name.trim().is_empty() { "unnamed".to_owned() } else { name }
}
