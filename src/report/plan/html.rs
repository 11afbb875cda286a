//! The plan as parts of a page: what to pour first of all, then the steps in the order of the work.
//!
//! A caution stands in full at the step where it comes first, and as a reminder at later ones; none is behind something that has to be opened.

use super::{Sheet, dangers};
use crate::report::words::escape;
use crate::verdict::cautions::Caution;

/// What to pour, as paragraphs.
pub fn answer(sheet: &Sheet) -> String {
    sheet.answer.iter().map(|sentence| format!("<p>{}</p>\n", escape(sentence))).collect()
}

/// The steps, each under a heading of the third order.
pub fn steps(sheet: &Sheet) -> String {
    let mut warned: Vec<Caution> = Vec::new();
    let mut html = String::new();
    for (index, step) in sheet.steps.iter().enumerate() {
        html.push_str(&format!("<h3>{}. {}</h3>\n", index + 1, escape(step.work.title())));
        let said = |caution: &Caution| if warned.contains(caution) { dangers::reminder(*caution) } else { dangers::in_full(*caution) };
        html.push_str(&list("dangers", step.cautions.iter().map(said)));
        // What the first lines have said is not said again.
        html.push_str(&list("does", step.does.iter().filter(|sentence| !sheet.answer.contains(sentence)).cloned()));
        html.push_str(&list("tells", step.tells.iter().cloned()));
        warned.extend(&step.cautions);
    }
    html
}

fn list(class: &str, sentences: impl Iterator<Item = String>) -> String {
    let items: String = sentences.map(|sentence| format!("<li>{}</li>\n", escape(&sentence))).collect();
    if items.is_empty() { items } else { format!("<ul class=\"{class}\">\n{items}</ul>\n") }
}
