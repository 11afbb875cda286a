//! The survey as one page in the look of the report.

use super::text::{QUESTIONS, counted, drifts, steps};
use super::{NO_INTERVAL, Standing, Survey};
use crate::fleet::html::{answer, close, open, rows};
use crate::fleet::row::Row;
use crate::fleet::{Counts, cautions};
use crate::report::html::parts;
use crate::report::words::escape;

/// Writes the page.
pub fn render(survey: &Survey) -> String {
    let looks: Vec<&Standing> = survey.vehicles.iter().filter(|standing| standing.look).collect();
    let shown: Vec<Row> = looks.iter().map(|standing| shown(standing)).collect();
    let mut html = open("Kept runs of the fleet");
    let latest = Counts::of(survey.vehicles.iter().map(|standing| &standing.latest.row));
    html.push_str(&answer(&latest, ["vehicle", "vehicles"]));
    html.push_str(&parts::cautions(&cautions(&steps(survey))));
    html.push_str(&format!("<section class=\"fleet\">\n<h2>{}</h2>\n<p>{}</p>\n", QUESTIONS[0], escape(&counted(survey))));
    html.push_str(&rows("The latest run of each vehicle that needs a look, worst first.", shown.iter()));
    html.push_str(&format!("</section>\n<section>\n<h2>{}</h2>\n", QUESTIONS[1]));
    drifts(survey).iter().for_each(|said| html.push_str(&format!("<p>{}</p>\n", escape(said))));
    html.push_str(&format!("</section>\n<section>\n<h2>{}</h2>\n<p>{}</p>\n</section>\n", QUESTIONS[2], escape(NO_INTERVAL)));
    if !survey.not_opened.is_empty() {
        let named: Vec<String> = survey.not_opened.iter().map(|(id, why)| format!("{id}: {why}")).collect();
        html.push_str(&format!("<section>\n<h2>Could not be opened, and left as they are</h2>\n{}</section>\n", parts::list("ul", &named)));
    }
    close(&html)
}

/// The latest run with what changed beside its reason.
fn shown(standing: &Standing) -> Row {
    let mut row = standing.latest.row.clone();
    if !standing.latest.changed.is_empty() {
        row.remark = super::text::why(standing).pop().unwrap_or_default();
    }
    row
}
