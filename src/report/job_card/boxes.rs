//! What is written on the card beside the level notes: its head, and the boxes of each step.

use crate::report::plan::{Head, Work};
use crate::report::words::escape;

/// Title and what the job is about; what is not stated is a line to write on.
pub(super) fn head(head: &Head) -> String {
    let entries = [
        ("Vehicle", head.vehicle.as_deref()),
        ("Date", head.date.as_deref()),
        ("Odometer", head.odometer.as_deref()),
        ("Coolant", Some(head.coolant.as_str())),
        ("Next due", head.next_due.as_deref()),
        ("Done by", None),
    ];
    let entry =
        |(name, stated): (&str, Option<&str>)| format!("<div><dt>{name}</dt><dd>{}</dd></div>\n", escape(stated.unwrap_or_default()));
    format!("<header>\n<h1>Coolant job card</h1>\n<dl>\n{}</dl>\n</header>\n", entries.map(entry).concat())
}

/// Boxes of a step, in the line of its text; empty where it has none.
pub(super) fn fields(work: Work) -> String {
    let fields: &[(&str, &str)] = match work {
        Work::Plan => &[("Log before the work:", "")],
        Work::WarmUp => &[("Log:", ""), ("Opened at", "°C"), ("after", "min")],
        Work::Settle => &[("Held", ""), ("to", "°C")],
        Work::ColdReading => &[("Strength read:", "")],
        _ => &[],
    };
    let fields: String = fields.iter().map(|(name, unit)| field(name, unit)).collect();
    let verdicts =
        ["pass", "recheck", "inconclusive"].map(|verdict| format!("<span class=\"field\"><span class=\"tick\"></span>{verdict}</span> "));
    if work == Work::Decide { verdicts.concat() + &fields } else { fields }
}

/// The box for what was seen.
pub(super) fn seen(work: Work) -> &'static str {
    if work == Work::Look { "<p class=\"seen\">Seen on the dry, clean underside and at the drains:</p>\n" } else { "" }
}

fn field(name: &str, unit: &str) -> String {
    format!("<span class=\"field\">{} <span class=\"line\"></span> {}</span> ", escape(name), escape(unit))
}
