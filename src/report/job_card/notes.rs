//! The level notes on the card: rows with the columns and occasions of the notes file.
//!
//! Each row stands at the step at which it is written. Headings are in every table for whoever has it read aloud; on paper each box
//! carries its column's name.

use crate::ingest::levels::{COLUMNS, occasion_name};
use crate::report::plan::Work;
use crate::report::words::escape;
use crate::run::Occasion;

/// The columns as the notes file heads them.
pub(super) fn heading() -> String {
    COLUMNS.join(",")
}

/// What is noted at a step, in the order of the rows.
fn occasions(work: Work, drains: usize) -> Vec<Occasion> {
    match work {
        Work::Drain if drains <= 1 => vec![Occasion::Drained],
        Work::Fill if drains <= 1 => vec![Occasion::Filled],
        // Drains and fills take turns: each row below the other in the order in which they are done.
        Work::Fill => [Occasion::Drained, Occasion::Filled].repeat(drains),
        Work::WarmUp => vec![Occasion::ColdBefore],
        Work::HotReading => vec![Occasion::HotAfterDrive],
        Work::ColdReading => vec![Occasion::ColdAfter, Occasion::ToppedUp],
        Work::Look => vec![Occasion::PressureTestStart, Occasion::PressureTestEnd],
        Work::Plan | Work::Drain | Work::Settle | Work::CoolDown | Work::Decide | Work::NextYear => vec![],
    }
}

/// The rows of a step as a table; empty where nothing is noted.
pub(super) fn rows(work: Work, drains: usize) -> String {
    let occasions = occasions(work, drains);
    if occasions.is_empty() {
        return String::new();
    }
    let headings: String = COLUMNS.iter().map(|column| format!("<th scope=\"col\">{column}</th>")).collect();
    let columns: String = COLUMNS.iter().map(|column| format!("<col class=\"{column}\">")).collect();
    let mut html = format!(
        "<table class=\"notes\">\n<caption>Level notes: {}</caption>\n<colgroup>{columns}</colgroup>\n<thead><tr>{headings}</tr></thead>\n<tbody>\n",
        escape(work.title())
    );
    occasions.into_iter().for_each(|occasion| html.push_str(&row(occasion)));
    html.push_str("</tbody>\n</table>\n");
    html
}

/// One row: the occasion is printed, the rest is written in, or ringed where there is a choice.
fn row(occasion: Occasion) -> String {
    let cells = COLUMNS.map(|column| match column {
        "occasion" => format!("<th scope=\"row\" data-column=\"{column}\">{}</th>", escape(occasion_name(occasion))),
        _ => format!("<td data-column=\"{column}\">{}</td>", choices(column, occasion)),
    });
    format!("<tr>{}</tr>\n", cells.concat())
}

/// What is printed in a cell: the words of which one is ringed, where the notes file knows only these.
fn choices(column: &str, occasion: Occasion) -> String {
    let words: &[&str] = match (column, occasion) {
        ("cap", Occasion::HotAfterDrive) => &["closed"],
        ("cap", _) => &["opened", "closed"],
        ("method", Occasion::Filled) => &["gravity", "vacuum", "maker's"],
        // The account of the fill takes the temperature of what came out from its note.
        ("note", Occasion::Drained) => &["at", "degC,"],
        _ => &[],
    };
    let blank = if column == "note" { "<span class=\"short\"></span>" } else { " " };
    words.iter().map(|word| format!("<span>{}</span>", escape(word))).collect::<Vec<_>>().join(blank)
}
