//! Which kept run counts as the earlier one of a drive: the last of its vehicle, or its drive before the work.
//!
//! A vehicle is known by its name as stated, capitals and outer blanks apart. A run without a name has no earlier one, because a store
//! holds many vehicles.

use super::listing::{Entry, Listing};
use crate::vehicle::known_by;
use chrono::NaiveDateTime;

/// The drive for which an earlier one is sought.
#[derive(Clone, Copy, Debug)]
pub struct Sought<'a> {
    /// The vehicle's name.
    pub vehicle: Option<&'a str>,
    /// When it was driven, by its log's clock; without it, every kept run counts as earlier.
    pub driven: Option<NaiveDateTime>,
    /// Its own name in the archive, or the one that it would have: no drive is its own past.
    pub own: &'a str,
}

impl Listing {
    /// The latest kept drive of the same vehicle before this one.
    pub fn last_before<'a>(&'a self, sought: &'a Sought) -> Option<&'a Entry> {
        self.earlier(sought).max_by_key(|entry| entry.driven())
    }

    /// The latest drive of the same vehicle that was marked as driven before the work.
    pub fn before_work<'a>(&'a self, sought: &'a Sought) -> Option<&'a Entry> {
        self.earlier(sought).filter(|entry| entry.before_work).max_by_key(|entry| entry.driven())
    }

    fn earlier<'a>(&'a self, sought: &'a Sought) -> impl Iterator<Item = &'a Entry> {
        let (own, driven, name) = (sought.own, sought.driven, sought.vehicle.map(known_by));
        self.entries.iter().filter(move |entry| {
            let same = name.is_some() && entry.vehicle.as_deref().map(known_by) == name;
            same && entry.id != own && driven.is_none_or(|driven| entry.driven() < driven)
        })
    }
}
