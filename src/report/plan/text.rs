//! The plan for a terminal: what to pour on the first lines, then the steps in the order of the work.
//!
//! Of a caution it holds the first sentence, and a reminder at later steps; the job card holds all of it. Lines never exceed the asked width.

use super::{Sheet, dangers};
use crate::report::text::page::Page;
use crate::report::text::{NARROWEST, Style, first_sentence};
use crate::verdict::cautions::Caution;
use anstyle::Style as Ansi;

/// Lays the sheet out as lines that end with a line feed.
pub fn render(sheet: &Sheet, style: Style) -> String {
    let mut page = Page::new(style.color, style.width.max(NARROWEST));
    page.tagged("PLAN", Ansi::new().bold(), sheet.head.vehicle.as_deref().unwrap_or("a refill"));
    sheet.answer.iter().for_each(|sentence| page.paragraph(0, sentence));
    let mut warned: Vec<Caution> = Vec::new();
    for (index, step) in sheet.steps.iter().enumerate() {
        page.heading(&format!("{}. {}", index + 1, step.work.title()), Ansi::new().bold());
        for caution in &step.cautions {
            let again = warned.contains(caution);
            page.item(2, "!", &if again { dangers::reminder(*caution) } else { first_sentence(caution.text()).to_owned() });
            warned.push(*caution);
        }
        // What the first lines have said is not said again.
        step.does.iter().filter(|sentence| !sheet.answer.contains(sentence)).for_each(|sentence| page.item(2, "-", sentence));
        step.tells.iter().for_each(|sentence| page.item(2, "·", sentence));
    }
    page.gap();
    page.paragraph(0, "The number before a bracket is the likely one; the truth lies within the bracket 95 times in 100.");
    page.paragraph(0, "For the yard, add --card FILE.html and print that page.");
    page.finish()
}
