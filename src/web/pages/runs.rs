//! What is kept: all of it, and the history of one vehicle.

use super::asked::Asked;
use super::check::lead;
use super::trend;
use crate::archive::{Entry, NotOpened};
use crate::estimate::spoken::number;
use crate::vehicle::known_by;
use crate::web::App;
use crate::web::markup::{Page, in_address, text};
use crate::web::refusal::Refusal;
use axum::extract::State;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Most runs of a list; a vehicle's own list shows the rest.
const MOST_LISTED: usize = 500;

/// Known vehicles: the run whose vehicle file counts (the latest with that name), and the name. Without an archive there are none.
///
/// # Errors
///
/// [`Refusal`] if too many wait.
pub async fn vehicles(app: &Arc<App>) -> Result<Vec<(String, String)>, Refusal> {
    let Some(archive) = app.archive.clone() else { return Ok(Vec::new()) };
    app.gate
        .pass(false, move || {
            // What cannot be listed is told on the page of kept runs; nobody needs it to check a drive.
            let entries = archive.listing().map(|listing| listing.entries).unwrap_or_default();
            let mut seen: BTreeMap<String, (String, String)> = BTreeMap::new();
            for entry in entries {
                if let Some(name) = entry.vehicle {
                    seen.entry(known_by(&name)).or_insert((entry.id, name));
                }
            }
            seen.into_values().collect()
        })
        .await
}

/// `GET /runs`.
///
/// # Errors
///
/// [`Refusal`] if the runs cannot be listed.
pub async fn list(State(app): State<Arc<App>>, Asked(asked): Asked) -> Result<Page, Refusal> {
    let archive = app.store()?.clone();
    let vehicle = asked.text("vehicle").to_owned();
    let listed = archive.clone();
    let listing = app.gate.pass(false, move || listed.listing().map_err(|error| Refusal::archive(&error))).await??;
    if vehicle.is_empty() {
        return Ok(all(&listing.entries, &listing.not_opened));
    }
    let wanted = Some(known_by(&vehicle));
    let of = |entry: &Entry| entry.vehicle.as_deref().map(known_by) == wanted;
    let runs: Vec<Entry> = listing.entries.into_iter().filter(of).collect();
    let name = runs.first().and_then(|run| run.vehicle.clone()).unwrap_or(vehicle);
    let alone = app.alone_with(runs.iter().take(trend::MOST).map(|run| run.id.as_str()));
    app.gate.pass(alone, move || trend::section(&archive, &name, &runs).map(|trend| one(&name, &runs, &trend))).await?
}

fn all(runs: &[Entry], not_opened: &[NotOpened]) -> Page {
    let mut names: BTreeMap<String, (&str, usize)> = BTreeMap::new();
    for name in runs.iter().filter_map(|run| run.vehicle.as_deref()) {
        names.entry(known_by(name)).or_insert((name, 0)).1 += 1;
    }
    let vehicles: String = names
        .values()
        .map(|(name, count)| {
            let runs = if *count == 1 { "1 run".to_owned() } else { format!("{count} runs") };
            format!("<li><a href=\"/runs?vehicle={}\">{}</a> <span class=\"quiet\">{runs}</span></li>\n", in_address(name), text(name))
        })
        .collect();
    let vehicles = if vehicles.is_empty() {
        vehicles
    } else {
        format!("<section class=\"card\">\n<h2>By vehicle</h2>\n<ul class=\"ways\">\n{vehicles}</ul>\n</section>\n")
    };
    let words = if runs.is_empty() {
        "Nothing is kept yet. Check a drive, then keep it."
    } else {
        "Every run that was kept, the latest drive first."
    };
    Page::new("Kept runs", format!("{}{vehicles}{}{}", lead("Kept runs", words), table(runs, true), damaged(not_opened))).at("/runs")
}

fn one(name: &str, runs: &[Entry], trend: &str) -> Page {
    let words = match runs.len() {
        0 => "No run of this vehicle is kept.".to_owned(),
        1 => "One run is kept.".to_owned(),
        many => format!("{many} runs are kept, the latest drive first."),
    };
    let compare = match runs {
        [later, earlier, ..] => format!(
            "<section class=\"card\">\n<ul class=\"ways\">\n<li><a id=\"compare-latest\" href=\"/compare?earlier={}&amp;later={}\">Compare the latest two</a></li>\n</ul>\n</section>\n",
            earlier.id, later.id
        ),
        _ => String::new(),
    };
    Page::new(name, format!("{}{compare}{trend}{}", lead(name, &words), table(runs, false))).at("/runs")
}

fn table(runs: &[Entry], with_vehicle: bool) -> String {
    if runs.is_empty() {
        return String::new();
    }
    let rows: String = runs.iter().take(MOST_LISTED).map(|run| row(run, with_vehicle)).collect();
    let left = runs.len().saturating_sub(MOST_LISTED);
    let more = if left > 0 { format!("<p>{left} more are kept; choose a vehicle to see its runs.</p>\n") } else { String::new() };
    let vehicle = if with_vehicle { "<th scope=\"col\">Vehicle</th>" } else { "" };
    format!(
        "<section class=\"card\">\n<h2>Runs</h2>\n<table class=\"stacked\">\n<caption>Each run with its verdict; its day leads to it.</caption>\n\
         <thead><tr><th scope=\"col\">Driven</th><th scope=\"col\">Verdict</th>{vehicle}<th scope=\"col\">Log</th><th scope=\"col\">Length</th></tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n{more}</section>\n"
    )
}

fn row(run: &Entry, with_vehicle: bool) -> String {
    let undated = if run.started.is_none() { " (kept; the log has no date)" } else { "" };
    let before = if run.before_work { " <span class=\"quiet\">before the work</span>" } else { "" };
    let vehicle = if with_vehicle {
        let name = run.vehicle.as_deref();
        let link =
            name.map(|name| format!("<a href=\"/runs?vehicle={}\">{}</a>", in_address(name), text(name))).unwrap_or_else(|| "–".to_owned());
        format!("<td data-label=\"Vehicle\">{link}</td>")
    } else {
        String::new()
    };
    format!(
        "<tr><th scope=\"row\"><a href=\"/runs/{}\">{}</a>{undated}</th><td data-label=\"Verdict\">{}{before}</td>{vehicle}<td data-label=\"Log\">{}</td><td data-label=\"Length\" class=\"number\">{}</td></tr>\n",
        run.id,
        run.driven().format("%Y-%m-%d %H:%M"),
        tag(&run.verdict),
        text(&run.source),
        text(&format!("{} min", number(run.duration_s / 60.0, 0)))
    )
}

/// A kept verdict's word in its frame; a word that is none of the three has none of their colours.
pub fn tag(verdict: &str) -> String {
    let class = ["pass", "recheck", "inconclusive"].into_iter().find(|known| *known == verdict).unwrap_or("unjudged");
    format!("<span class=\"tag {class}\">{}</span>", text(verdict))
}

fn damaged(not_opened: &[NotOpened]) -> String {
    if not_opened.is_empty() {
        return String::new();
    }
    let items: String = not_opened.iter().map(|run| format!("<li>{}: {}</li>\n", text(&run.id), text(&run.why))).collect();
    format!(
        "<section class=\"card\">\n<h2>Could not be opened, and left as they are</h2>\n<ul>\n{items}</ul>\n<p>Put such a run's folder back from a copy.</p>\n</section>\n"
    )
}
