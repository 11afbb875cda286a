//! What is stated beside a log, as fields: on the start page, and to be corrected once the log is held.

use super::asked::{Asked, Named, lead_to};
use super::runs;
use crate::ingest::levels;
use crate::web::App;
use crate::web::held::Held;
use crate::web::labels::label;
use crate::web::markup::{self, Fields, Page, Wrong, text};
use crate::web::outcome::Outcome;
use crate::web::refusal::Refusal;
use crate::web::session::Session;
use crate::web::typed::LEVELS;
use crate::web::uploads::{self, Wanted};
use crate::web::vehicle_form;
use axum::Extension;
use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;
use std::sync::Arc;

/// Fields of the typed levels with their hints.
const LEVEL_WORDS: [(&str, &str); 4] = [
    ("cold_before", "With its unit: 42 mm, 620 mL, 80 %, or 0.5 marks."),
    ("hot_after", "Read from outside. Leave the cap closed."),
    ("cold_after", "After it stood for hours; later is fine too."),
    ("added", "A volume: 150 mL."),
];

/// The levels typed one by one; `only` leaves out the others.
pub fn level_fields(fields: &Fields, only: &[&str]) -> String {
    let wanted = LEVEL_WORDS.iter().filter(|(name, _)| only.is_empty() || only.contains(name));
    let lines: String = wanted.map(|(name, hint)| fields.line(name, label(name), hint, &format!(" data-level=\"{name}\""))).collect();
    format!("<div class=\"columns levels\">\n{lines}</div>\n")
}

/// The name of a file that is held already.
fn sent(name: &str) -> String {
    format!(" Held: <strong>{}</strong>. Choose another one to replace it.", text(name))
}

/// Levels, vehicle and work, as sections of a form. `files` are names of files that are held already.
pub fn beside(fields: &Fields, vehicles: &[(String, String)], files: &[(&str, String)]) -> String {
    let held = |field: &str| files.iter().find(|(name, _)| *name == field).map(|(_, file)| sent(file)).unwrap_or_default();
    let any = |names: &[&str]| {
        names.iter().any(|name| !(fields.filled)(name).is_empty() || fields.wrong.iter().any(|wrong| wrong.field == *name))
    };
    let open = |open: bool| if open { " open" } else { "" };
    let typed_vehicle = any(&["v_name", "v_capacity", "v_rating"]) || fields.wrong.iter().any(|wrong| wrong.field.starts_with("v_"));
    let known = if vehicles.is_empty() {
        String::new()
    } else {
        let none = std::iter::once((String::new(), "none of these".to_owned()));
        let choices: Vec<(String, String)> = none.chain(vehicles.iter().cloned()).collect();
        fields.choice("vehicle_known", label("vehicle_known"), "", &choices)
    };
    format!(
        "<section class=\"card\" aria-labelledby=\"levels-title\">\n<h2 id=\"levels-title\">Levels on the reservoir</h2>\n\
         <p class=\"warning\"><strong>Never open the cap hot.</strong> Scalding coolant comes out under pressure.</p>\n{levels}\
         <details{notes_open}>\n<summary>I have level notes as a file</summary>\n{notes}</details>\n</section>\n\
         <section class=\"card\" aria-labelledby=\"vehicle-title\">\n<h2 id=\"vehicle-title\">The vehicle</h2>\n{known}\
         <details{file_open}>\n<summary>I have a vehicle file</summary>\n{file}</details>\n\
         <details{typed_open}>\n<summary>Type what is known of it</summary>\n{typed}</details>\n</section>\n\
         <section class=\"card\" aria-labelledby=\"work-title\">\n<h2 id=\"work-title\">The drive</h2>\n{before}{against}{units}</section>\n",
        levels = level_fields(fields, &[]),
        notes_open = open(any(&["notes"]) || files.iter().any(|(name, _)| *name == "notes")),
        notes = fields.file(
            "notes",
            label("notes"),
            &format!("Columns: occasion, reading, and more if you have them.{}", held("notes")),
            ".csv,.txt,text/csv,text/plain"
        ),
        file_open = open(any(&["vehicle_file"]) || files.iter().any(|(name, _)| *name == "vehicle_file")),
        file = fields.file("vehicle_file", label("vehicle_file"), &held("vehicle_file"), ".toml,.txt,text/plain"),
        typed_open = open(typed_vehicle),
        typed = vehicle_form::fields(fields),
        before = fields.tick("before_work", label("before_work"), "What the vehicle always did; a later drive is weighed against it."),
        against = fields.choice(
            "against",
            label("against"),
            "",
            &[(String::new(), "nothing".to_owned()), ("last".to_owned(), "the last kept drive of this vehicle".to_owned())],
        ),
        units = fields.choice(
            "units",
            label("units"),
            "",
            &[(String::new(), "°C, mL, L, mm".to_owned()), ("us".to_owned(), "°F, fl oz, qt, in".to_owned())]
        ),
    )
}

/// `GET /check/{number}/stated`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held.
pub async fn show(State(app): State<Arc<App>>, Extension(session): Extension<Session>, Named(number): Named) -> Result<Response, Refusal> {
    let held = app.shelf.get(&number, &app.limits)?;
    page(&app, &session, &held).await
}

/// The page on which what was typed is corrected.
///
/// # Errors
///
/// [`Refusal`] if the kept vehicles cannot be listed in time.
pub async fn page(app: &Arc<App>, session: &Session, held: &Held) -> Result<Response, Refusal> {
    let vehicles = runs::vehicles(app).await?;
    let wrong: &[Wrong] = if let Outcome::Wrong(wrong) = &*held.outcome { wrong } else { &[] };
    let filled = |name: &str| held.typed.text(name).to_owned();
    let fields = Fields { filled: &filled, wrong };
    let files: Vec<(&str, String)> =
        ["notes", "vehicle_file"].into_iter().filter_map(|name| Some((name, held.typed.file(name)?.name.clone()))).collect();
    let log_hint = match &held.log {
        Some(log) => sent(&log.name),
        None => "None was given.".to_owned(),
    };
    let forget: String =
        files.iter().map(|(name, file)| fields.tick(&format!("without_{name}"), &format!("Leave out {}", text(file)), "")).collect();
    let body = format!(
        "<section class=\"card lead\">\n<h1>What is stated beside the log</h1>\n<p>What was sent is held; nothing has to be chosen again.</p>\n</section>\n{errors}{form}",
        errors = markup::errors(wrong, &label),
        form = markup::form(
            "stated",
            &format!("/check/{}/stated", held.token),
            &app.sessions.form_token(session),
            &format!(
                "<section class=\"card\" aria-labelledby=\"log-title\">\n<h2 id=\"log-title\">The log</h2>\n<div class=\"drop\" id=\"drop\">\n{}</div>\n</section>\n{}{forget}\
                 <div class=\"go\">\n<button type=\"submit\" id=\"go\">Check again</button>\n<p id=\"progress\" class=\"progress\" role=\"status\" hidden></p>\n</div>\n",
                fields.file("log", label("log"), &log_hint, ".csv,.txt,.tsv,.log,.gz,text/csv,text/plain"),
                beside(&fields, &vehicles, &files)
            )
        )
    );
    let status = if wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, Page::new(if wrong.is_empty() { "What is stated" } else { "Something to change" }, body).at("/")).into_response())
}

/// `POST /check/{number}/stated`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held, or the form cannot be taken.
pub async fn correct(
    State(app): State<Arc<App>>,
    Extension(session): Extension<Session>,
    Named(number): Named,
    request: Request,
) -> Result<Redirect, Refusal> {
    let held = app.shelf.get(&number, &app.limits)?;
    let mut form = uploads::receive_files(&app, &session, request).await?;
    let mut wanted = Wanted::again(&held);
    // Bytes stay charged as long as a file of theirs is held.
    let files_sent = form.typed.has_files();
    if let Some(log) = form.typed.take_file("log") {
        wanted.log = Some(crate::web::held::Log { name: log.name, bytes: log.bytes });
        wanted.reading = crate::ingest::Options::default();
        wanted.story = None;
        if !held.typed.has_files() {
            wanted.charges.clear();
        }
    }
    form.typed.keep_files_of(&held.typed);
    for name in ["notes", "vehicle_file"] {
        if !form.typed.text(&format!("without_{name}")).is_empty() {
            form.typed.take_file(name);
        }
    }
    wanted.typed = form.typed;
    if files_sent {
        wanted.charges.push(form.charge);
    }
    Ok(lead_to(&uploads::check(&app, wanted).await?))
}

/// `GET /level`: whether a level can be read, as JSON for the script.
///
/// # Errors
///
/// [`Refusal`] (404) for an occasion that there is not.
pub async fn level(Asked(asked): Asked) -> Result<Response, Refusal> {
    let occasion = LEVELS.iter().find(|(field, _)| *field == asked.text("occasion")).map(|(_, occasion)| *occasion);
    let occasion = occasion.ok_or_else(|| Refusal::not_found("There is no such occasion.", ""))?;
    let answer = match levels::quick(occasion, asked.text("text")) {
        Ok(_) => json!({ "read": true }),
        Err(error) => json!({ "read": false, "what": error.to_string(), "hint": error.hint() }),
    };
    Ok(([(header::CONTENT_TYPE, "application/json")], answer.to_string()).into_response())
}
