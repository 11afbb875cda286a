//! A look at a log that cannot be read as it stands: its columns with their ranges, so that the person can name the right one.

use super::assign::{self, Chosen};
use super::columns::{self, Fit, Heading};
use super::error::Problem;
use super::understanding::{Layout, Understanding};
use super::{Options, clock, clock_source, describe, dialect, frames, infer, long, table, text, walk_wide};
use crate::channel::Channel;
use std::collections::BTreeMap;

/// What can be said of the columns; `None` if there is no table of readings at all.
pub(crate) fn at(bytes: &[u8], options: &Options, problem: &Problem) -> Option<Understanding> {
    let text = text::decode(bytes).ok()?;
    let dialect = dialect::find(&text.text).ok()?;
    let headings: Vec<Heading> = columns::headings(&dialect);
    let names: Vec<String> = headings.iter().map(|heading| heading.name.trim().to_owned()).collect();
    if frames::frame_columns(&names).is_some() {
        return None;
    }
    let (sample, shorts_kept) = table::sample(&text.text, &dialect);
    let fits: Vec<Option<Fit>> = headings.iter().map(columns::fit).collect();
    // Without a clock the rows are only counted.
    let found = clock_source(&headings, &fits, &sample, &dialect, options).ok();
    let source = found.unwrap_or(clock::Source::Period(1.0));
    let (walked, fits) = match long::long_columns(&headings, &sample, &dialect) {
        Some(places) => {
            let (table, headings, series) = long::walk(&text.text, &dialect, source, places).ok()?;
            let fits = headings.iter().map(columns::fit).collect();
            (super::Walked { table, headings, series, layout: Layout::Long }, fits)
        }
        None => {
            let may_be_taken = |column: usize| fits.get(column).is_some_and(Option::is_some);
            (walk_wide(&text.text, &dialect, source, shorts_kept, headings.clone(), true, may_be_taken), fits)
        }
    };
    let mut chosen: BTreeMap<Channel, Chosen> = BTreeMap::new();
    for channel in Channel::all() {
        if let Ok(Some(best)) = assign::best(channel, &walked.headings, &fits, &walked.series, &BTreeMap::new(), dialect.heading_line) {
            chosen.insert(channel, best);
        }
    }
    let taken = infer::units_of(&chosen, &walked.headings, &walked.series);
    let columns = describe(&walked, &chosen, &taken, &fits, source, true);
    let clock = match source {
        clock::Source::Numbers(index) | clock::Source::Stamps(index, _) => {
            format!("`{}`", headings.get(index).map_or("", |heading| heading.name.trim()))
        }
        clock::Source::Period(period) if found.is_some() => format!("a row every {period} s, as told"),
        clock::Source::Period(_) => "none found".to_owned(),
    };
    Some(Understanding {
        encoding: text.encoding.to_owned(),
        compressed: text.compressed,
        delimiter: char::from(dialect.delimiter),
        decimal_comma: dialect.decimals.comma,
        preamble_lines: dialect.preamble,
        heading_line: dialect.heading_line,
        second_heading_line: dialect.below.as_ref().map(|(line, _)| *line),
        layout: walked.layout,
        clock,
        rows: walked.table.lines.len(),
        duration_s: 0.0,
        columns,
        gaps: Vec::new(),
        problem: Some(problem.to_string()),
    })
}
