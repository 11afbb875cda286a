//! The job card: the sheet of work as one page of paper, to be filled in by hand.
//!
//! It needs nothing else: no script, no network, no font of its own; black on white, so that any printer and a dirty thumb will do.
//! Each step has its dangers, what is to be done with the computed volumes, and boxes for what was seen. The ruled rows are the level
//! notes: one below the other they are the table that `check --levels` reads, with its columns and its occasions, so that nothing is
//! written twice.
//!
//! Limits: one page of A4 or Letter for what is ordinarily planned; more than a few rounds run over to a second page.

use super::plan::{Sheet, Step, Work, dangers};
use super::text::first_sentence;
use super::words::escape;
use crate::verdict::cautions::Caution;

mod boxes;
mod notes;

/// The card's look.
const STYLE: &str = include_str!("job_card/card.css");

/// Most letters that fill one page in large type; from there on the type is smaller (own choice, measured on A4 and Letter).
const ROOMY_LETTERS: usize = 2100;

/// Writes the card.
pub fn render(sheet: &Sheet) -> String {
    let vehicle = sheet.head.vehicle.as_deref();
    let mut page = String::with_capacity(16 * 1024);
    page.push_str("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.push_str("<meta name=\"viewport\" content=\"width=800\">\n");
    page.push_str("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n");
    page.push_str(&format!("<title>Coolant job card{}</title>\n", escape(&vehicle.map(|name| format!(": {name}")).unwrap_or_default())));
    let density = if letters(sheet) > ROOMY_LETTERS { " class=\"dense\"" } else { "" };
    page.push_str(&format!("<style>\n{STYLE}</style>\n</head>\n<body{density}>\n<main>\n"));
    page.push_str(&boxes::head(&sheet.head));
    sheet.steps.iter().enumerate().for_each(|(index, one)| page.push_str(&step(index + 1, one, sheet)));
    page.push_str(&format!(
        "</main>\n<footer>\n<p>The ruled rows, from top to bottom, are the level notes: type them under <code>{}</code>. \
         A bracket holds the truth 95 times in 100.</p>\n</footer>\n</body>\n</html>\n",
        notes::heading()
    ));
    page
}

/// How much there is on the card: the letters of its sentences, and a line's worth for each row beyond those of a single drain.
fn letters(sheet: &Sheet) -> usize {
    const A_ROW: usize = 200;
    let sentences: usize = sheet.steps.iter().flat_map(|step| &step.does).map(|sentence| sentence.chars().count()).sum();
    sentences + A_ROW * 2 * sheet.drains.saturating_sub(1)
}

/// One step: beside its name the dangers, then the work, then what is written down.
fn step(number: usize, step: &Step, sheet: &Sheet) -> String {
    let title = escape(step.work.title());
    let cautions: Vec<String> = step.cautions.iter().map(|caution| escape(&said(step.work, *caution))).collect();
    // Of several rounds each has a line of its own.
    let rounds = if step.work == Work::Fill && sheet.drains > 1 { sheet.drains } else { 0 };
    let does = step.does.iter().enumerate().map(|(index, sentence)| match emphasised(sentence) {
        round if index < rounds => format!("<span class=\"round\">{round}</span>"),
        sentence => sentence,
    });
    let does: Vec<String> = does.collect();
    let work = format!("<p>{} {}</p>\n", does.join(" "), boxes::fields(step.work));
    let caution = if cautions.is_empty() { String::new() } else { format!("<p class=\"caution\">{}</p>\n", cautions.join(" ")) };
    // Without a danger the work itself stands beside the name.
    let (beside, below) = if caution.is_empty() { (work, String::new()) } else { (caution, work) };
    format!(
        "<section class=\"step\">\n<div class=\"top\">\n<h2><span class=\"tick\"></span>{number} {title}</h2>\n{beside}</div>\n\
         {below}{}{}</section>\n",
        boxes::seen(step.work),
        notes::rows(step.work, sheet.drains)
    )
}

/// A caution in full at the step that it is about most of all, elsewhere a reminder; what the hot system does, at its first opening too.
fn said(work: Work, caution: Caution) -> String {
    let home = match caution {
        Caution::Maker => Work::Plan,
        Caution::Raised | Caution::Glycol => Work::Drain,
        Caution::Overheating | Caution::Fan | Caution::Exhaust => Work::WarmUp,
        Caution::Recorder => Work::Settle,
        Caution::HotCap => Work::CoolDown,
    };
    match (caution, work) {
        _ if work == home => dangers::in_full(caution),
        (Caution::HotCap, Work::Drain) => first_sentence(caution.text()).to_owned(),
        _ => dangers::reminder(caution),
    }
}

/// The sentence, escaped, with every quantity outside brackets in bold.
fn emphasised(sentence: &str) -> String {
    let mut depth = 0i32;
    let words = escape(sentence);
    let words = words.split(' ').map(|word| {
        let outside = depth == 0 && !word.starts_with('(');
        depth += word.matches('(').count() as i32 - word.matches(')').count() as i32;
        let quantity = word.contains('\u{a0}') && word.starts_with(|c: char| c.is_ascii_digit() || c == '−');
        if !(outside && quantity) {
            return word.to_owned();
        }
        let bare = word.trim_end_matches(['.', ',', ';', ':']);
        format!("<b>{bare}</b>{}", word.get(bare.len()..).unwrap_or_default())
    });
    words.collect::<Vec<_>>().join(" ")
}
