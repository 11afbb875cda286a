//! The page's sections, each empty where the document has nothing for it.

use super::class;
use crate::report::document::{Measure, Reason, RunSummary, Section};
use crate::report::words::{self, escape};
use crate::verdict::decision::Decision;

/// Sign of a pass: a tick in a circle.
pub(super) const TICK: &str = "<svg class=\"sign\" viewBox=\"0 0 24 24\" aria-hidden=\"true\"><circle cx=\"12\" cy=\"12\" r=\"11\"/>\
    <path d=\"M6.5 12.5l3.8 3.8 7.4-8.2\"/></svg>";
/// Sign of a recheck: an exclamation mark in a triangle.
pub(super) const ALERT: &str = "<svg class=\"sign\" viewBox=\"0 0 24 24\" aria-hidden=\"true\"><path class=\"shape\" d=\"M12 1.5L23.5 22H.5z\"/>\
    <path d=\"M12 9v6.2M12 18.2v.6\"/></svg>";
/// Sign of an undecided run: a question mark in a square.
pub(super) const QUERY: &str = "<svg class=\"sign\" viewBox=\"0 0 24 24\" aria-hidden=\"true\"><rect x=\"1.5\" y=\"1.5\" width=\"21\" height=\"21\" rx=\"4\"/>\
    <path d=\"M8.6 9.2a3.5 3.5 0 1 1 5.2 3c-1.2.7-1.8 1.3-1.8 2.6M12 18.2v.6\"/></svg>";

/// A decision as a word in a frame.
pub(in crate::report) fn decision(decision: Decision) -> String {
    format!("<span class=\"tag {}\">{}</span>", class(decision), escape(decision.spoken()))
}

pub(crate) fn list(tag: &str, items: &[String]) -> String {
    let items: String = items.iter().map(|item| format!("<li>{}</li>\n", escape(item))).collect();
    format!("<{tag}>\n{items}</{tag}>\n")
}

/// Warnings of harm.
pub(crate) fn cautions(cautions: &[String]) -> String {
    if cautions.is_empty() {
        return String::new();
    }
    format!("<section class=\"cautions\">\n<h2>Cautions</h2>\n{}</section>\n", list("ul", cautions))
}

/// What to do, in order, and what the first reasons advise besides.
pub(in crate::report) fn next_steps(steps: &[String], besides: &[String]) -> String {
    if steps.is_empty() && besides.is_empty() {
        return String::new();
    }
    let lists: String =
        [("ol", steps), ("ul", besides)].iter().filter(|(_, items)| !items.is_empty()).map(|(tag, items)| list(tag, items)).collect();
    format!("<section class=\"steps\">\n<h2>What to do now</h2>\n{lists}</section>\n")
}

/// One of the reasons below the headline; what it advises stands behind the cautions.
pub(super) fn first_reason(reason: &Reason) -> String {
    format!("<li>{} <strong>{}.</strong> {}</li>\n", decision(reason.decision), escape(reason.title), escape(&reason.statement))
}

/// The other findings, each with its decision and its words.
pub(super) fn reasons(reasons: &[&Reason], steps: &[String]) -> String {
    if reasons.is_empty() {
        return String::new();
    }
    let mut html = "<section class=\"reasons\">\n<h2>What else was looked at</h2>\n".to_owned();
    for reason in reasons {
        html.push_str(&format!(
            "<section class=\"reason {}\">\n<h3>{} {}</h3>\n<p>{}</p>\n{}</section>\n",
            class(reason.decision),
            escape(reason.title),
            decision(reason.decision),
            escape(&reason.statement),
            advice(reason, steps)
        ));
    }
    html.push_str("</section>\n");
    html
}

/// A reason's advice, unless it stands among the steps.
fn advice(reason: &Reason, steps: &[String]) -> String {
    let advice: Vec<String> = reason.advice.iter().filter(|advice| !steps.contains(advice)).cloned().collect();
    if advice.is_empty() { String::new() } else { format!("\n{}", list("ul", &advice)) }
}

/// The measured numbers.
pub(super) fn measures(measures: &[Measure]) -> String {
    if measures.is_empty() {
        return String::new();
    }
    let mut html = "<section>\n<h2>Measured</h2>\n<table>\n\
        <caption>Each number with the interval that should hold the truth 95 times in 100.</caption>\n\
        <thead><tr><th scope=\"col\">What</th><th scope=\"col\">Value</th><th scope=\"col\">95 % interval</th></tr></thead>\n<tbody>\n"
        .to_owned();
    for measure in measures {
        html.push_str(&format!(
            "<tr><th scope=\"row\">{}</th><td class=\"number value\">{}</td><td class=\"number\">{}</td></tr>\n",
            escape(&measure.label),
            escape(&measure.words.value),
            escape(&measure.words.interval)
        ));
    }
    html.push_str("</tbody>\n</table>\n</section>\n");
    html
}

/// The log and what was wrong with it.
pub(super) fn log(run: &RunSummary) -> String {
    let mut html = format!("<section>\n<h2>The log</h2>\n<p>{}</p>\n", escape(&words::log_line(run)));
    if !run.channels.is_empty() {
        html.push_str(&format!("<p>Channels: {}.</p>\n", escape(&words::channels(run))));
    }
    if run.defects.is_empty() {
        html.push_str("<p>Nothing was found wrong with it.</p>\n</section>\n");
        return html;
    }
    html.push_str(
        "<table>\n<caption>What was wrong with the log, and what was done about it.</caption>\n\
         <thead><tr><th scope=\"col\">What</th><th scope=\"col\">Where</th><th scope=\"col\">What was done</th></tr></thead>\n<tbody>\n",
    );
    for defect in &run.defects {
        let channel = defect.channel.map(|channel| format!(" in {}", channel.spoken())).unwrap_or_default();
        html.push_str(&format!(
            "<tr><th scope=\"row\">{}{}</th><td>{}</td><td>{}</td></tr>\n",
            escape(words::defect_kind(defect.kind)),
            escape(&channel),
            escape(&words::defect_place(defect)),
            escape(&defect.effect)
        ));
    }
    html.push_str("</tbody>\n</table>\n</section>\n");
    html
}

/// How it was computed, closed until asked for.
pub(super) fn method(sections: &[Section]) -> String {
    if sections.is_empty() {
        return String::new();
    }
    let mut html = "<section>\n<h2>How it was computed</h2>\n<details>\n<summary>Show how each number was computed</summary>\n".to_owned();
    for section in sections {
        html.push_str(&format!("<h3>{}</h3>\n", escape(&section.title)));
        section.paragraphs.iter().for_each(|paragraph| html.push_str(&format!("<p>{}</p>\n", escape(paragraph))));
    }
    html.push_str("</details>\n</section>\n");
    html
}

/// What the numbers rest on.
pub(super) fn sources(sources: &[String]) -> String {
    if sources.is_empty() {
        return String::new();
    }
    format!("<section class=\"sources\">\n<h2>Sources</h2>\n{}</section>\n", list("ul", sources))
}
