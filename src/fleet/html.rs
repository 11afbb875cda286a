//! The table as one page in the look of the report: no script, no network, no font.
//!
//! Two columns, so that it can be read on a phone without scrolling sideways: the answer's word with vehicle and log, and why with what
//! to do next. Everything that comes from a log, a list or a vehicle file is escaped.

use super::row::{Answer, Row};
use super::text::{sentence, steps};
use super::{Counts, Table, cautions};
use crate::report::html::{STYLE, footer, head, look, parts};
use crate::report::words::escape;
use crate::verdict::decision::Verdict;
use std::fmt::Write;

/// What this page adds to the look of the report.
const OWN: &str = ".fleet th:first-child { width: 34%; }\n.fleet .log { display: block; font-weight: 400; color: var(--quiet); font-size: .9rem; }\n\
    .fleet .named { display: block; font-weight: 600; margin-top: .2rem; }\n.fleet p { margin: 0 0 .4rem; max-width: none; }\n\
    .unread { --tone: var(--unjudged); }\n.counts { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .4rem .8rem; }\n";

/// Writes the page.
pub fn render(table: &Table) -> String {
    let counts = table.counts();
    let mut html = open(&counts.spoken());
    html.push_str(&answer(&counts, ["log", "logs"]));
    html.push_str(&parts::cautions(&cautions(&steps(table))));
    html.push_str("<section class=\"fleet\">\n<h2>Every log, worst first</h2>\n");
    html.push_str(&rows("Each log with its answer, the main reason and the next step.", table.rows.iter()));
    html.push_str("</section>\n");
    close(&html)
}

/// The page up to its first card.
pub(super) fn open(title: &str) -> String {
    format!("{}<body>\n<main>\n", head(title, &format!("{STYLE}{OWN}")))
}

/// The page after its last card.
pub(super) fn close(html: &str) -> String {
    format!("{html}</main>\n{}</body>\n</html>\n", footer())
}

/// How many got which answer, under the worst of them; `what` they are, one and many.
pub(super) fn answer(counts: &Counts, [one_of, many_of]: [&str; 2]) -> String {
    let worst = match counts.exit_code() {
        1 => Verdict::Recheck,
        0 => Verdict::Pass,
        _ => Verdict::Inconclusive,
    };
    let (class, shape) = look(worst);
    let one = |class: &str, word: &str, count: usize| format!("<li><span class=\"tag {class}\">{count} {word}</span></li>\n");
    format!(
        "<header class=\"answer {class}\">\n<p class=\"about\">Fleet</p>\n<h1>{shape}<span>{} {}</span></h1>\n<ul class=\"counts\">\n{}{}{}{}</ul>\n\
         <p>The worst answer of them decides the sign: {}.</p>\n</header>\n",
        counts.logs(),
        if counts.logs() == 1 { one_of } else { many_of },
        one("recheck", "recheck", counts.recheck),
        one("inconclusive", "inconclusive", counts.inconclusive),
        one("pass", "pass", counts.pass),
        one("unread", "not read", counts.not_read),
        worst.spoken(),
    )
}

/// A table of logs.
pub(super) fn rows<'a>(caption: &str, rows: impl Iterator<Item = &'a Row>) -> String {
    let body: String = rows.map(row).collect();
    format!(
        "<table>\n<caption>{}</caption>\n<thead><tr><th scope=\"col\">Answer, vehicle, log</th><th scope=\"col\">Why, and what to do next</th></tr></thead>\n\
         <tbody>\n{body}</tbody>\n</table>\n",
        escape(caption)
    )
}

fn row(row: &Row) -> String {
    let mut why = String::new();
    let mut paragraph = |label: &str, text: &str| {
        if !text.is_empty() {
            let label = if label.is_empty() { String::new() } else { format!("<strong>{}</strong> ", escape(label)) };
            let _ = writeln!(why, "<p>{label}{}</p>", escape(&sentence(text)));
        }
    };
    match &row.answer {
        Answer::NotRead(not_read) => paragraph("", &not_read.why),
        Answer::Checked(found) if found.main.reason.is_empty() => paragraph("", &found.headline),
        Answer::Checked(found) => paragraph(&format!("{}.", found.main.title()), &found.main.reason),
    }
    paragraph("Next:", row.next_step());
    paragraph("Note:", &row.remark);
    let named = row.found().and_then(|found| found.vehicle.as_deref());
    format!(
        "<tr><th scope=\"row\"><span class=\"tag {}\">{}</span>{}<span class=\"log\">{}</span></th><td>\n{why}</td></tr>\n",
        row.found().map_or("unread", |found| look(found.verdict).0),
        escape(row.word()),
        named.map(|name| format!("<span class=\"named\">{}</span>", escape(name))).unwrap_or_default(),
        escape(&row.log),
    )
}
