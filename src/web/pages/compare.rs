//! Two kept runs against each other.

use super::asked::Asked;
use super::check::lead;
use super::kept::{called, open};
use super::report::{self, Units};
use super::runs::tag;
use crate::archive::{Archive, Entry, KeptRun};
use crate::comparison;
use crate::keeping::earlier;
use crate::report::{build, moved};
use crate::vehicle::known_by;
use crate::web::App;
use crate::web::markup::{Fields, Page, text};
use crate::web::refusal::Refusal;
use crate::web::typed::Typed;
use axum::extract::State;
use std::sync::Arc;

/// `GET /compare`.
///
/// # Errors
///
/// [`Refusal`] if a run is not kept, or cannot be read.
pub async fn page(State(app): State<Arc<App>>, Asked(asked): Asked) -> Result<Page, Refusal> {
    let archive = app.store()?.clone();
    let alone = app.alone_with([asked.text("earlier"), asked.text("later")].into_iter());
    app.gate
        .pass(alone, move || {
            let (one, other) = (asked.text("earlier"), asked.text("later"));
            if one.is_empty() || other.is_empty() || one == other {
                return choose(&archive, &asked);
            }
            compared(&archive, one, other, Units::of(asked.text("units")))
        })
        .await?
}

fn choose(archive: &Archive, asked: &Typed) -> Result<Page, Refusal> {
    let listing = archive.listing().map_err(|error| Refusal::archive(&error))?;
    let choices: Vec<(String, String)> = listing.entries.iter().map(|entry| (entry.id.clone(), in_list(entry))).collect();
    let filled = |name: &str| asked.text(name).to_owned();
    let fields = Fields { filled: &filled, wrong: &[] };
    let words = if choices.len() < 2 { "Two kept runs are needed." } else { "Choose the earlier and the later one." };
    let form = format!(
        "<form class=\"card\" method=\"get\" action=\"/compare\">\n<div class=\"columns\">\n{}{}</div>\n<p><button type=\"submit\" id=\"compare\">Compare</button></p>\n</form>\n",
        fields.choice("earlier", "The earlier run", "", &choices),
        fields.choice("later", "The later run", "", &choices)
    );
    let form = if choices.len() < 2 { String::new() } else { form };
    Ok(Page::new("Compare two runs", format!("{}{form}", lead("Compare two runs", words))).at("/runs"))
}

fn in_list(entry: &Entry) -> String {
    let vehicle = entry.vehicle.as_deref().map(|name| format!("{name}, ")).unwrap_or_default();
    format!("{vehicle}{}", called(entry))
}

/// What moved between two runs. Whichever is named first, the one driven first is the earlier.
fn compared(archive: &Archive, one: &str, other: &str, units: Units) -> Result<Page, Refusal> {
    let (one, other) = (open(archive, one)?, open(archive, other)?);
    let (then, now) = if one.driven() <= other.driven() { (one, other) } else { (other, one) };
    let measured = |kept: &KeptRun| earlier::measured(kept).map_err(|error| Refusal::archive(&error));
    let (earlier, later) = (measured(&then)?, measured(&now)?);
    let comparison = comparison::compare(earlier.drive(), later.drive());
    let moved = units.moved(build::comparison::between(&comparison, earlier.drive(), later.drive()));
    let side = |kept: &KeptRun, name: &str| {
        let verdict = kept.latest().map_or("", |judging| judging.summary.verdict.as_str());
        format!("<li>{name}: <a href=\"/runs/{}\">{}</a> {}</li>\n", kept.id, text(&kept.called()), tag(verdict))
    };
    let two_vehicles = match (&earlier.run.vehicle.name, &later.run.vehicle.name) {
        (Some(then), Some(now)) if known_by(then) != known_by(now) => {
            vec![format!("These are two vehicles, {then} and {now}: what differs between them is no change.")]
        }
        _ => Vec::new(),
    };
    let body = format!(
        "<section class=\"card lead\" id=\"result\" tabindex=\"-1\">\n<h1>This drive against an earlier one</h1>\n<div class=\"headline\">\n{}</div>\n<ul class=\"plain\">\n{}{}</ul>\n</section>\n{}{}\
         <section class=\"card\">\n<ul class=\"ways\">\n<li><a href=\"/compare\">Compare two others</a></li>\n<li><a href=\"/runs\">All kept runs</a></li>\n</ul>\n</section>\n",
        moved::sentences(&moved),
        side(&now, "Now"),
        side(&then, "Then"),
        report::notes(&two_vehicles),
        moved::readable(&moved).map_err(|error| Refusal::undrawn(&error))?,
    );
    Ok(Page::new("Compared", body).at("/runs"))
}
