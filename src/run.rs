//! One drive: what the log holds, what the person noted, what the owner states.
//!
//! The analysis takes only this. Each channel keeps its own clock ([`Trace`]), because logs poll channels in turn: nothing is
//! stretched onto a common grid before the method that needs one says so.

use crate::channel::Channel;
use crate::vehicle::Vehicle;
use chrono::NaiveDateTime;
use serde::Serialize;
use std::collections::BTreeMap;

/// One channel's readings in time order, each with the moment at which the row was written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    /// Seconds from the first row of the log; strictly increasing.
    pub time: Vec<f64>,
    /// Readings in [`Channel::unit`]; as long as `time`, every one finite.
    pub value: Vec<f64>,
    /// Step between neighbouring values that the unit can report (1 for whole degrees), found from the data; 0 if none is seen.
    pub step: f64,
}

impl Trace {
    /// Whether the trace holds no reading.
    pub fn is_empty(&self) -> bool {
        self.time.is_empty()
    }

    /// How many readings the trace holds.
    pub fn len(&self) -> usize {
        self.time.len()
    }

    /// Readings with their times.
    pub fn iter(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.time.iter().copied().zip(self.value.iter().copied())
    }

    /// The part of the trace from `from` (included) to `to` (included), in seconds.
    pub fn between(&self, from: f64, to: f64) -> Trace {
        let first = self.time.partition_point(|&t| t < from);
        let last = self.time.partition_point(|&t| t <= to).max(first);
        let part = |list: &[f64]| list.get(first..last).unwrap_or_default().to_vec();
        Trace { time: part(&self.time), value: part(&self.value), step: self.step }
    }

    /// The last reading at or before `time`; `None` before the first.
    pub fn at(&self, time: f64) -> Option<f64> {
        let after = self.time.partition_point(|&t| t <= time);
        after.checked_sub(1).and_then(|index| self.value.get(index)).copied()
    }
}

/// What was wrong with a log, and what was done about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DefectKind {
    /// No row for much longer than usual.
    Gap,
    /// A value repeated because the channel was not polled for this row.
    StaleRepeat,
    /// The same row written twice.
    Duplicate,
    /// A value outside what the channel can hold.
    OutOfRange,
    /// A code that means "no reading" (−40, 215, 255 …).
    Sentinel,
    /// A word where a number should be ("None", "n/a").
    NotANumber,
    /// A single reading far from both its neighbours.
    Jump,
    /// The heading appears again: the recorder was restarted.
    Restart,
    /// A channel that stops being updated before the log ends.
    TraceStops,
    /// Rows from before the engine fired.
    BeforeStart,
    /// The answers of two control units written into one cell.
    GluedValue,
    /// A second control unit answered the same question; its answers are not mixed with the first one's.
    SecondUnit,
    /// The clock steps back.
    ClockBack,
    /// The clock jumps ahead by more than the rows explain.
    ClockAhead,
    /// Whole-second stamps shared by several rows; the clock between them is rebuilt.
    CoarseClock,
    /// A row with fewer or more fields than the heading.
    RaggedRow,
    /// The last row was cut off.
    CutOffRow,
    /// A unit that the log does not state and that was inferred from the values.
    UnitInferred,
    /// A raw frame that could not be assembled or decoded.
    BadFrame,
}

/// A defect found in the log: counted, placed, and with what was done about it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Defect {
    /// What it is.
    pub kind: DefectKind,
    /// Channel concerned, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub channel: Option<Channel>,
    /// Where it was first seen, in seconds from the first row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_s: Option<f64>,
    /// Line of the file (first line is 1) where it was first seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u64>,
    /// How often it was seen.
    pub count: usize,
    /// What was done, in words: "left out", "the clock between them was rebuilt" …
    pub effect: String,
}

/// When a level (or a volume, or a pressure) was noted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Occasion {
    /// Before the drive, engine cold.
    ColdBefore,
    /// After the drive, engine hot, cap closed.
    HotAfterDrive,
    /// Cold again after the drive; ends a heat cycle.
    ColdAfter,
    /// Coolant added.
    ToppedUp,
    /// What came out at the drain.
    Drained,
    /// What went in at the fill.
    Filled,
    /// Gauge pressure at the start of a pressure test.
    PressureTestStart,
    /// Gauge pressure at the end of a pressure test.
    PressureTestEnd,
}

/// Unit of a noted reading, as the person wrote it, with customary units already turned into SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum ReadingUnit {
    /// Millimetres on the reservoir.
    #[serde(rename = "mm")]
    Millimetre,
    /// Millilitres.
    #[serde(rename = "mL")]
    Millilitre,
    /// Per cent of the whole tank.
    #[serde(rename = "%")]
    Percent,
    /// Share of the way from MIN (0) to MAX (1).
    #[serde(rename = "marks")]
    Marks,
    /// Kilopascals, gauge.
    #[serde(rename = "kPa")]
    Kilopascal,
}

/// Time of a note as far as the person gave one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum NoteTime {
    /// Date and time.
    Full(NaiveDateTime),
    /// A time of day without a date.
    OfDay(chrono::NaiveTime),
    /// None: the order of the rows counts.
    Order,
}

/// One row of the level notes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LevelReading {
    /// When it was read.
    pub time: NoteTime,
    /// On which occasion.
    pub occasion: Occasion,
    /// The number, in `unit`.
    pub reading: f64,
    /// Its unit.
    pub unit: ReadingUnit,
    /// Air temperature at the reading, °C.
    pub ambient: Option<f64>,
    /// Whether the cap was opened since the last reading.
    pub cap_opened: Option<bool>,
    /// How the system was filled: gravity, vacuum or maker's.
    pub method: Option<String>,
    /// Free text.
    pub note: String,
}

/// One drive's log with everything stated beside it.
#[derive(Clone, Debug, Default)]
pub struct Run {
    /// Where the log came from: a file name, never a path.
    pub source: String,
    /// Date and time of the first row by the log's own clock, where it has a date.
    pub started: Option<NaiveDateTime>,
    /// Seconds from the first row to the last.
    pub duration: f64,
    /// Rows read.
    pub samples: usize,
    /// Every channel that was recognised and holds at least one reading.
    pub traces: BTreeMap<Channel, Trace>,
    /// Stretches without rows, `[from, to]` in seconds.
    pub gaps: Vec<[f64; 2]>,
    /// What was wrong with the log.
    pub defects: Vec<Defect>,
    /// What the owner states.
    pub vehicle: Vehicle,
    /// What was read on the reservoir.
    pub levels: Vec<LevelReading>,
}

impl Run {
    /// How a report calls it: its file, with the day on which it was driven where the log says so.
    pub fn called(&self) -> String {
        match self.started {
            Some(started) => format!("{} of {}", self.source, started.format("%Y-%m-%d")),
            None => self.source.clone(),
        }
    }

    /// A channel's trace, if the log has it.
    pub fn trace(&self, channel: Channel) -> Option<&Trace> {
        self.traces.get(&channel).filter(|trace| !trace.is_empty())
    }

    /// The channels that the log has, in report order.
    pub fn channels(&self) -> Vec<Channel> {
        self.traces.keys().copied().collect()
    }
}
