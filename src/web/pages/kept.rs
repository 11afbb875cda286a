//! A kept run: judged anew by this program, with its earlier judgings, and later readings added.

use super::asked::{Asked, Named, NamedTwice, lead_to};
use super::report::{self, Units};
use super::runs::tag;
use super::stated::level_fields;
use crate::archive::{Archive, Entry, KeptRun, is_id};
use crate::keeping::again::{self, Addition, Again};
use crate::report::html;
use crate::web::App;
use crate::web::labels::label;
use crate::web::markup::{self, Fields, Page, Wrong, in_address, text};
use crate::web::refusal::Refusal;
use crate::web::session::Session;
use crate::web::typed::Typed;
use crate::web::uploads;
use axum::Extension;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

/// Levels that come later than the drive.
const LATER: [&str; 3] = ["hot_after", "cold_after", "added"];

/// Opens a run by its full name; nothing else is ever looked for.
pub fn open(archive: &Archive, id: &str) -> Result<KeptRun, Refusal> {
    if !is_id(id) {
        return Err(Refusal::not_found("No kept run has this name.", "Choose one among the kept runs."));
    }
    archive.open(id).map_err(|error| Refusal::archive(&error))
}

/// Opens and judges a run, off the threads that talk, and makes something of it.
async fn judged<T: Send + 'static>(
    app: &Arc<App>,
    id: String,
    then: impl FnOnce(&Archive, &KeptRun, Again) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let archive = app.store()?.clone();
    let alone = app.alone_with([id.as_str()].into_iter());
    let work = move || {
        let kept = open(&archive, &id)?;
        let again = again::anew(&archive, &kept).map_err(|error| Refusal::archive(&error))?;
        then(&archive, &kept, again)
    };
    app.gate.pass(alone, work).await?
}

/// `GET /runs/{run}`.
///
/// # Errors
///
/// [`Refusal`] if it is not kept, or cannot be read.
pub async fn show(
    State(app): State<Arc<App>>,
    Extension(session): Extension<Session>,
    Named(id): Named,
    Asked(asked): Asked,
) -> Result<Page, Refusal> {
    let token = app.sessions.form_token(&session);
    judged(&app, id, move |archive, kept, again| page(archive, kept, &again, &token, &asked, &[])).await
}

fn page(archive: &Archive, kept: &KeptRun, again: &Again, token: &str, asked: &Typed, wrong: &[Wrong]) -> Result<Page, Refusal> {
    let units = Units::of(asked.text("units"));
    let mut notes = again.notes.clone();
    match asked.text("kept") {
        "now" => {
            notes.push("This run is kept.".to_owned());
            notes.extend(crate::keeping::twins(archive, &kept.id, &again.run));
        }
        "already" => notes.push("This very log is kept already; nothing was changed. Add what is new below.".to_owned()),
        "added" => notes.push("The readings were added and the run was judged again. The earlier judgings stay.".to_owned()),
        _ => {}
    }
    let document = units.document(&again.checked.document);
    let answer = report::answer(&document, notes).map_err(|error| Refusal::undrawn(&error))?;
    let others = archive.listing().map(|listing| listing.entries).unwrap_or_default();
    let filled = |name: &str| asked.text(name).to_owned();
    let fields = Fields { filled: &filled, wrong };
    let add = markup::form(
        "levels",
        &format!("/runs/{}/levels", kept.id),
        token,
        &format!(
            "{}<p><button type=\"submit\" class=\"second\" id=\"add\">Add and judge again</button></p>\n",
            level_fields(&fields, &LATER)
        ),
    );
    let vehicle = again.run.vehicle.name.as_deref();
    let history = vehicle
        .map(|name| format!("<li><a id=\"history-link\" href=\"/runs?vehicle={}\">All runs of {}</a></li>\n", in_address(name), text(name)))
        .unwrap_or_default();
    let body = format!(
        "{head}{errors}{notes}<section class=\"card actions\" aria-label=\"What you can do with this run\">\n<ul class=\"ways\">\n{history}\
         <li><a id=\"report-link\" href=\"/runs/{id}/report{query}\">Whole report, to print</a></li>\n<li><a href=\"/runs\">All kept runs</a></li>\n</ul>\n</section>\n\
         <section class=\"card\" aria-labelledby=\"add-title\">\n<h2 id=\"add-title\">Add a later reading</h2>\n\
         <p class=\"warning\"><strong>Never open the cap hot.</strong> Read the level from outside.</p>\n{add}</section>\n\
         {compare}{rest}{judgings}{customer}",
        errors = markup::errors(wrong, &label),
        head = answer.head,
        notes = report::notes(&answer.notes),
        id = kept.id,
        query = if units == Units::Us { "?units=us" } else { "" },
        compare = compare_form(kept, vehicle, &others),
        rest = answer.rest,
        judgings = judgings(kept),
        customer = report::customer_form(&format!("/runs/{}/summary", kept.id), units),
    );
    Ok(Page::new(answer.title, body).at("/runs"))
}

/// The form that compares with another run; empty where there is none.
fn compare_form(kept: &KeptRun, vehicle: Option<&str>, others: &[Entry]) -> String {
    let mine = vehicle.map(crate::vehicle::known_by);
    let same = |entry: &&Entry| mine.is_some() && entry.vehicle.as_deref().map(crate::vehicle::known_by) == mine;
    let choices: Vec<(String, String)> =
        others.iter().filter(|entry| entry.id != kept.id).filter(same).map(|entry| (entry.id.clone(), called(entry))).collect();
    if choices.is_empty() {
        return String::new();
    }
    let fields = Fields { filled: &|_| String::new(), wrong: &[] };
    format!(
        "<section class=\"card\" aria-labelledby=\"compare-title\">\n<h2 id=\"compare-title\">Compare with another run of this vehicle</h2>\n\
         <form method=\"get\" action=\"/compare\">\n<input type=\"hidden\" name=\"later\" value=\"{}\">\n{}<p><button type=\"submit\" class=\"second\" id=\"compare\">Compare</button></p>\n</form>\n</section>\n",
        kept.id,
        fields.choice("earlier", "The other run", "", &choices)
    )
}

/// A run in a list of choices.
pub fn called(entry: &Entry) -> String {
    format!("{}, {}, {}", entry.driven().format("%Y-%m-%d"), entry.source, entry.verdict)
}

fn judgings(kept: &KeptRun) -> String {
    let row = |judging: &crate::archive::Judging| {
        let summary = &judging.summary;
        let notes = match judging.levels.len() {
            1 => "1 level note".to_owned(),
            many => format!("{many} level notes"),
        };
        format!(
            "<tr><th scope=\"row\"><a href=\"/runs/{}/judgings/{}\">{}</a></th><td data-label=\"When (UTC)\">{}</td><td data-label=\"Verdict\">{}</td><td data-label=\"With\">{notes}, version {}</td></tr>\n",
            kept.id,
            summary.number,
            summary.number,
            summary.at.format("%Y-%m-%d %H:%M"),
            tag(&summary.verdict),
            text(&summary.program)
        )
    };
    let rows: String = kept.judgings.iter().map(row).collect();
    format!(
        "<section class=\"card\">\n<h2>Judgings, as they were kept</h2>\n<table class=\"stacked\">\n<caption>What this page shows is the latest, reckoned anew by this program.</caption>\n\
         <thead><tr><th scope=\"col\">Judging</th><th scope=\"col\">When (UTC)</th><th scope=\"col\">Verdict</th><th scope=\"col\">With</th></tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n</section>\n"
    )
}

/// `GET /runs/{run}/judgings/{judging}`: the report as it was kept.
///
/// # Errors
///
/// [`Refusal`] if there is none.
pub async fn judging(State(app): State<Arc<App>>, NamedTwice(id, number): NamedTwice) -> Result<Page, Refusal> {
    let archive = app.store()?.clone();
    app.gate
        .pass(app.alone_with([id.as_str()].into_iter()), move || {
            let kept = open(&archive, &id)?;
            let found = kept.judgings.iter().find(|judging| judging.summary.number.to_string() == number);
            let judging = found.ok_or_else(|| Refusal::not_found("This run has no judging of that number.", "Go back to the run."))?;
            let report: String = judging.report.lines().map(|line| format!("{}\n", text(line))).collect();
            let title = format!("Judging {number} of {}", kept.called());
            let body = format!(
                "<section class=\"card lead\">\n<h1>{}</h1>\n<p>As it was kept on {} UTC. <a href=\"/runs/{id}\">The run as it is judged now</a></p>\n</section>\n\
                 <section class=\"card\" aria-label=\"Report\">\n<pre class=\"scroll\" tabindex=\"0\">{report}</pre>\n</section>\n",
                text(&title),
                judging.summary.at.format("%Y-%m-%d %H:%M")
            );
            Ok(Page::new(title, body).at("/runs"))
        })
        .await?
}

/// `GET /runs/{run}/report`.
///
/// # Errors
///
/// [`Refusal`] if it is not kept, or cannot be read.
pub async fn report(State(app): State<Arc<App>>, Named(id): Named, Asked(asked): Asked) -> Result<Response, Refusal> {
    let units = Units::of(asked.text("units"));
    judged(&app, id, move |_, _, again| {
        html::render(&units.document(&again.checked.document)).map(report::whole).map_err(|error| Refusal::undrawn(&error))
    })
    .await
}

/// `GET /runs/{run}/summary`.
///
/// # Errors
///
/// [`Refusal`] if it is not kept, cannot be read, or the odometer is none.
pub async fn summary(State(app): State<Arc<App>>, Named(id): Named, Asked(asked): Asked) -> Result<Response, Refusal> {
    judged(&app, id, move |_, _, again| report::summary(&again.checked.document, &again.run, &asked)).await
}

/// `POST /runs/{run}/levels`.
///
/// # Errors
///
/// [`Refusal`] if it is not kept, or cannot be judged or written.
pub async fn add(
    State(app): State<Arc<App>>,
    Extension(session): Extension<Session>,
    Named(id): Named,
    request: Request,
) -> Result<Response, Refusal> {
    let form = uploads::receive(&app, &session, request).await?;
    let archive = app.store()?.clone();
    let token = app.sessions.form_token(&session);
    app.gate
        .pass(app.alone_with([id.as_str()].into_iter()), move || {
            let kept = open(&archive, &id)?;
            let stated = form.typed.stated(None).and_then(|stated| {
                if stated.flagged.is_empty() {
                    return Err(vec![Wrong::new(LATER[1], "no reading was typed", "type at least one of the three")]);
                }
                Ok(stated)
            });
            match stated {
                Err(wrong) => {
                    let again = again::anew(&archive, &kept).map_err(|error| Refusal::archive(&error))?;
                    let page = page(&archive, &kept, &again, &token, &form.typed, &wrong)?;
                    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
                }
                Ok(stated) => {
                    let addition = Addition { flagged: stated.flagged, ..Addition::default() };
                    let added = again::add(&archive, &id, &addition).map_err(|error| Refusal::archive(&error))?;
                    Ok(lead_to(&format!("/runs/{}?kept=added#result", added.id)).into_response())
                }
            }
        })
        .await?
}
