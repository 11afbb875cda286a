//! Elapsed time of a walked table, with what had to be put right in its clock and its rows.

use super::assign::Chosen;
use super::clock::{self, steps};
use super::columns::Heading;
use super::dialect::Dialect;
use super::error::Problem;
use super::rows::Rows;
use super::table::{MOST_ROWS, Table, Trouble};
use super::understanding::Layout;
use super::{Options, Walked, long};
use crate::channel::Channel;
use crate::excerpt::shorten;
use crate::run::{Defect, DefectKind};
use chrono::NaiveDateTime;
use std::collections::{BTreeMap, BTreeSet};

/// The clock of a walked table.
pub(crate) struct Timed {
    /// Elapsed seconds of each row; NaN where a row has none or was left out.
    pub rows: Vec<f64>,
    /// In a long table: elapsed seconds of each chosen signal's numbers, in the order of the channels.
    pub each: Option<Vec<Vec<f64>>>,
    /// All elapsed seconds, in order.
    pub order: Vec<f64>,
    pub spacing: f64,
    pub coarse: bool,
    pub started: Option<NaiveDateTime>,
    pub description: String,
    pub defects: Vec<Defect>,
}

/// An error if the walk met no row with as many cells as the heading has names.
pub(crate) fn refuse_empty(table: &Table, dialect: &Dialect) -> Result<(), Problem> {
    if table.too_many {
        return Err(Problem::TooManyRows { most: MOST_ROWS });
    }
    match (table.lines.is_empty(), table.ragged.count) {
        (false, _) => Ok(()),
        (true, 0) => Err(Problem::NoRows { line: dialect.heading_line }),
        (true, _) => Err(Problem::WidthMismatch {
            line: dialect.heading_line,
            names: dialect.names.len(),
            cells: dialect.width,
            row: table.ragged.line,
        }),
    }
}

fn defect(kind: DefectKind, at_s: Option<f64>, line: Option<u64>, count: usize, effect: impl Into<String>) -> Defect {
    Defect { kind, channel: None, at_s, line, count, effect: effect.into() }
}

/// A defect for something that was cut off.
pub(crate) fn cut_off(line: Option<u64>, effect: &str) -> Defect {
    defect(DefectKind::CutOffRow, None, line, 1, effect)
}

/// Elapsed seconds for every row (and signal), and what had to be put right.
pub(crate) fn time(
    walked: &Walked,
    chosen: &BTreeMap<Channel, Chosen>,
    source: clock::Source,
    heading: Option<&Heading>,
    options: &Options,
    text: &str,
    dialect: &Dialect,
) -> Result<Timed, Problem> {
    let table = &walked.table;
    let meaning = meaning(table, source, heading, options, text, dialect)?;
    let mut stamps = meaning.seconds;
    let mut defects = Vec::new();
    let repeats = if matches!(source, clock::Source::Period(_)) { 0 } else { leave_out_repeats(&mut stamps, &table.repeats) };
    let picked: Vec<_> = chosen.values().filter_map(|chosen| walked.series.get(chosen.column)).collect();
    let coolant = chosen.get(&Channel::CoolantTemperature).and_then(|chosen| walked.series.get(chosen.column));
    let (elapsed, each) = if walked.layout == Layout::Long {
        let mut each = long::elapse_each(&stamps, meaning.of_day, &picked);
        let earliest =
            each.iter().flat_map(|elapsed| &elapsed.seconds).copied().filter(|second| second.is_finite()).fold(f64::INFINITY, f64::min);
        each.iter_mut().flat_map(|elapsed| &mut elapsed.seconds).for_each(|second| *second -= earliest);
        let mut rows = vec![f64::NAN; stamps.len()];
        for (series, elapsed) in picked.iter().zip(&each) {
            for (&row, &second) in series.row.iter().zip(&elapsed.seconds) {
                if let Some(slot) = rows.get_mut(row as usize) {
                    *slot = second;
                }
            }
        }
        let most = each.iter().max_by_key(|elapsed| elapsed.steps.len()).cloned().unwrap_or_default();
        // Steps are counted from the signal that shows most of them; their rows there are numbers of that signal.
        let steps = Vec::new();
        let set = most.steps.iter().filter(|step| step.kind != steps::StepKind::Midnight).count();
        if set > 0 {
            defects.push(defect(
                DefectKind::ClockBack,
                None,
                None,
                set,
                "the clock was set; each signal was joined one of its usual spacings on",
            ));
        }
        let seconds: Vec<Vec<f64>> = each.into_iter().map(|elapsed| elapsed.seconds).collect();
        (steps::Elapsed { seconds: rows, steps, ..most }, Some(seconds))
    } else {
        let runs_on = |before: usize, after: usize| {
            let value = |row: usize| {
                let series = coolant?;
                let at = series.row.partition_point(|&have| (have as usize) <= row).checked_sub(1)?;
                series.value.get(at).copied()
            };
            matches!((value(before), value(after)), (Some(a), Some(b)) if (a - b).abs() <= 3.0)
        };
        (steps::elapse(&stamps, steps::Nature { of_day: meaning.of_day }, runs_on), None)
    };
    let at = |row: usize| elapsed.seconds.get(row).copied().filter(|second| second.is_finite());
    let line = |row: usize| table.lines.get(row).map(|&line| u64::from(line));
    if let Some(&first) = table.repeats.first().filter(|_| repeats > 0) {
        defects.push(defect(
            DefectKind::Duplicate,
            at(first.saturating_sub(1)),
            line(first),
            repeats,
            "the same row twice; the second left out",
        ));
    }
    step_defects(&elapsed, &table.restarts, at, line, &mut defects);
    row_defects(table, at, &mut defects);
    let mut description = meaning.description;
    if let Some(inferred) = meaning.inferred {
        defects.push(defect(DefectKind::UnitInferred, None, None, 1, inferred.clone()));
        description = format!("{description} ({inferred})");
    }
    if elapsed.coarse && elapsed.spacing > 0.0 {
        let rebuilt = format!("rows share a stamp; the clock between was rebuilt, a row about every {:.2} s", elapsed.spacing);
        defects.push(defect(DefectKind::CoarseClock, Some(0.0), line(0), elapsed.shared, format!("kept; {rebuilt}")));
        description = format!("{description}; {rebuilt}");
    } else if elapsed.shared > 0 && each.is_none() {
        defects.push(defect(
            DefectKind::CoarseClock,
            None,
            None,
            elapsed.shared,
            "kept; rows that share a stamp were spread up to the next one",
        ));
    }
    if elapsed.steps.iter().any(|step| step.kind == steps::StepKind::Midnight) {
        description.push_str("; it runs over midnight");
    }
    let mut order: Vec<f64> = match &each {
        Some(each) => each.iter().flatten().copied().filter(|second| second.is_finite()).collect(),
        None => elapsed.seconds.iter().copied().filter(|second| second.is_finite()).collect(),
    };
    if order.windows(2).any(|pair| pair.first() > pair.last()) {
        order.sort_unstable_by(f64::total_cmp);
    }
    if order.is_empty() {
        return Err(no_clock(heading, dialect));
    }
    Ok(Timed {
        rows: elapsed.seconds,
        each,
        order,
        spacing: elapsed.spacing,
        coarse: elapsed.coarse,
        started: meaning.started,
        description,
        defects,
    })
}

fn no_clock(heading: Option<&Heading>, dialect: &Dialect) -> Problem {
    let tried = heading.map(|heading| format!("; no cell of `{}` can be read as a time", shorten(heading.name.trim(), 40)));
    Problem::NoClock {
        line: dialect.heading_line,
        headings: dialect.names.iter().map(|name| (*name).to_owned()).collect(),
        tried: tried.unwrap_or_default(),
    }
}

/// What the clock's cells mean, or an error that shows the cell that can be read two ways.
pub(crate) fn meaning(
    table: &Table,
    source: clock::Source,
    heading: Option<&Heading>,
    options: &Options,
    text: &str,
    dialect: &Dialect,
) -> Result<clock::Meaning, Problem> {
    clock::interpret(&table.clock, source, heading, options.day_first).map_err(|ambiguous| {
        let line = table.lines.get(ambiguous.row).map_or(dialect.first_row, |&line| u64::from(line));
        let column = match source {
            clock::Source::Stamps(index, date) => date.unwrap_or(index),
            _ => 0,
        };
        let mut rows = Rows::new(text, dialect.line_end, dialect.delimiter);
        let mut cells = Vec::new();
        while rows.read(&mut cells).is_some_and(|row| row.line < line) {}
        Problem::AmbiguousDate { line, text: shorten(cells.get(column).copied().unwrap_or_default(), 40) }
    })
}

/// Takes the stamp from rows that repeat the row before, where the clock is finer than the rows; how many there were.
fn leave_out_repeats(stamps: &mut [f64], repeats: &[usize]) -> usize {
    let shared = stamps.windows(2).filter(|pair| pair.first() == pair.last()).count();
    let fine = stamps.iter().any(|stamp| stamp.is_finite() && (stamp - stamp.round()).abs() > 1e-6);
    if shared * 5 > stamps.len() && !(fine && shared <= repeats.len()) {
        return 0;
    }
    for &row in repeats {
        if let Some(stamp) = stamps.get_mut(row) {
            *stamp = f64::NAN;
        }
    }
    repeats.len()
}

fn step_defects(
    elapsed: &steps::Elapsed,
    restarts: &[Trouble],
    at: impl Fn(usize) -> Option<f64>,
    line: impl Fn(usize) -> Option<u64>,
    defects: &mut Vec<Defect>,
) {
    let back: BTreeSet<usize> = elapsed.steps.iter().filter(|step| step.kind == steps::StepKind::Back).map(|step| step.row).collect();
    let restarted: BTreeSet<usize> = restarts.iter().map(|restart| restart.row).collect();
    let mut told = Vec::new();
    for restart in restarts {
        let effect = if back.contains(&restart.row) {
            "the recorder was restarted and its clock with it; the rows were joined, so the length of the break is unknown"
        } else {
            "the heading appears again: the recorder was restarted; rows before and after it were read"
        };
        told.push(defect(DefectKind::Restart, at(restart.row), Some(restart.line), 1, effect));
    }
    told_in_brief(
        told,
        "the heading appears again and again: the recorder was restarted; what its clock did each time was put right",
        defects,
    );
    for kind in [steps::StepKind::Back, steps::StepKind::Stray, steps::StepKind::LateRow, steps::StepKind::Ahead, steps::StepKind::Stuck] {
        let steps =
            || elapsed.steps.iter().filter(|step| step.kind == kind && !(kind == steps::StepKind::Back && restarted.contains(&step.row)));
        let told: Vec<Defect> = steps().map(|step| step_defect(step, at(step.row), line(step.row))).collect();
        let largest = steps().map(|step| step.size.abs()).fold(0.0, f64::max);
        told_in_brief(told, &format!("the clock was put right each time, by {largest:.1} s at most"), defects);
    }
}

/// One step of the clock and what was done about it.
fn step_defect(step: &steps::Step, at: Option<f64>, line: Option<u64>) -> Defect {
    let size = step.size.abs();
    let (kind, effect) = match step.kind {
        steps::StepKind::Midnight | steps::StepKind::Back => {
            (DefectKind::ClockBack, format!("the clock was set back by {size:.1} s; the rest of the log was moved on"))
        }
        steps::StepKind::Stray => {
            let kind = if step.size < 0.0 { DefectKind::ClockBack } else { DefectKind::ClockAhead };
            (kind, "a stamp that fits neither neighbour; its row was left out".to_owned())
        }
        steps::StepKind::LateRow => (DefectKind::ClockBack, "a row written late; it was put in its place".to_owned()),
        steps::StepKind::Ahead => {
            (DefectKind::ClockAhead, format!("the clock was set ahead by {size:.0} s; the rest of the log was moved back"))
        }
        steps::StepKind::Stuck => (
            DefectKind::CoarseClock,
            format!("the clock stood still for {size:.0} s while rows went on; they were laid on at their usual spacing"),
        ),
    };
    defect(kind, at, line, 1, effect)
}

/// Defects of one kind: those with the same words together, and all of them as one, in the words of `brief`, where there are many.
fn told_in_brief(told: Vec<Defect>, brief: &str, defects: &mut Vec<Defect>) {
    const MOST_TOLD: usize = 10;
    let mut by_words: BTreeMap<(DefectKind, String), usize> = BTreeMap::new();
    let mut few: Vec<Defect> = Vec::new();
    let count = told.len();
    let first = told.first().map(|defect| (defect.kind, defect.at_s, defect.line));
    for one in told {
        let place = *by_words.entry((one.kind, one.effect.clone())).or_insert(few.len());
        match few.get_mut(place) {
            Some(have) => have.count += 1,
            None => few.push(one),
        }
        if few.len() > MOST_TOLD {
            let first = first.map(|(kind, at_s, line)| defect(kind, at_s, line, count, brief));
            defects.extend(first);
            return;
        }
    }
    defects.append(&mut few);
}

/// Rows that were left out.
pub(crate) fn row_defects(table: &Table, at: impl Fn(usize) -> Option<f64>, defects: &mut Vec<Defect>) {
    if table.ragged.count > 0 {
        let place = &table.ragged;
        defects.push(defect(
            DefectKind::RaggedRow,
            at(place.row),
            Some(place.line),
            place.count,
            "not as many cells as the heading has names; left out",
        ));
    }
    if table.timeless.count > 0 {
        let place = &table.timeless;
        defects.push(defect(DefectKind::NotANumber, None, Some(place.line), place.count, "no usable time in the row; left out"));
    }
    if let Some(line) = table.cut_off {
        defects.push(cut_off(Some(line), "the last row was cut off; what is doubtful in it was left out"));
    }
}
