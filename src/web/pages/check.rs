//! An upload: taken, shown, printed, kept.

use super::asked::{Asked, Named, lead_to};
use super::report::{self, Units};
use super::{columns, stated};
use crate::archive::{Evidence, How, Kept};
use crate::ingest::Options;
use crate::keeping::Judging;
use crate::report::html;
use crate::web::App;
use crate::web::held::{Held, Log};
use crate::web::markup::{self, Page, text};
use crate::web::outcome::{Answer, Outcome};
use crate::web::refusal::Refusal;
use crate::web::session::Session;
use crate::web::uploads::{self, Wanted};
use axum::Extension;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::sync::Arc;

/// `POST /check`.
///
/// # Errors
///
/// [`Refusal`] if the form cannot be taken, or too many wait.
pub async fn send(State(app): State<Arc<App>>, Extension(session): Extension<Session>, request: Request) -> Result<Redirect, Refusal> {
    let mut form = uploads::receive_files(&app, &session, request).await?;
    let log = form.typed.take_file("log").map(|sent| Log { name: sent.name, bytes: sent.bytes });
    let wanted = Wanted { token: None, log, typed: form.typed, reading: Options::default(), story: None, charges: vec![form.charge] };
    Ok(lead_to(&uploads::check(&app, wanted).await?))
}

/// `GET /check/{number}`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held.
pub async fn show(State(app): State<Arc<App>>, Extension(session): Extension<Session>, Named(number): Named) -> Result<Response, Refusal> {
    let held = app.shelf.get(&number, &app.limits)?;
    match &*held.outcome {
        Outcome::Checked(answer) => Ok(verdict(&app, &session, &held, answer).into_response()),
        Outcome::Unread(unread) => Ok(columns::unread(&app, &session, &held, unread)),
        Outcome::Wrong(_) => stated::page(&app, &session, &held).await,
    }
}

/// The page of the verdict.
fn verdict(app: &App, session: &Session, held: &Held, answer: &Answer) -> Page {
    let at = format!("/check/{}", held.token);
    let token = app.sessions.form_token(session);
    let can_keep = held.log.is_some() && held.story.is_none() && app.archive.is_some();
    let keep = if can_keep {
        markup::form("keep", &format!("{at}/keep"), &token, "<button type=\"submit\" id=\"keep-button\">Keep this run</button>\n")
    } else {
        String::new()
    };
    let read = if held.log.is_some() {
        format!("<li><a id=\"columns-link\" href=\"{at}/columns\">How the log was read</a></li>\n")
    } else {
        String::new()
    };
    let body = format!(
        "{made_up}{head}<section class=\"card actions\" aria-label=\"What you can do with this answer\">\n{keep}<ul class=\"ways\">\n\
         <li><a id=\"stated-link\" href=\"{at}/stated\">Add or change levels, vehicle, notes</a></li>\n{read}\
         <li><a id=\"report-link\" href=\"{at}/report\">Whole report, to print</a></li>\n\
         <li><a href=\"/\">Check another drive</a></li>\n</ul>\n</section>\n{notes}{rest}{customer}",
        made_up = held.story.map(super::try_out::made_up).unwrap_or_default(),
        head = answer.head,
        notes = report::notes(&answer.notes),
        rest = answer.rest,
        customer = report::customer_form(&format!("{at}/summary"), Units::of(held.typed.text("units"))),
    );
    Page::new(answer.title.clone(), body).at(if held.story.is_some() { "/try" } else { "/" })
}

/// What is held, gathered and checked anew for a page of its own.
async fn anew<T: Send + 'static>(
    app: &Arc<App>,
    held: &Arc<Held>,
    then: impl FnOnce(crate::web::outcome::Gathered, crate::check::Checked) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let input = uploads::input_of(app, held);
    let work = move || {
        let gathered = input.gather().map_err(|_| not_checked())?;
        let (checked, _) = input.check(&gathered);
        then(gathered, checked)
    };
    app.gate.pass(app.alone(held.log.as_ref()), work).await?
}

fn not_checked() -> Refusal {
    Refusal::new(
        StatusCode::CONFLICT,
        "Not checked yet",
        "There is no answer yet, because something has to be changed first.",
        "Go back and change it.",
    )
}

/// `GET /check/{number}/report`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held, or not checked.
pub async fn report(State(app): State<Arc<App>>, Named(number): Named) -> Result<Response, Refusal> {
    let held = app.shelf.get(&number, &app.limits)?;
    let units = Units::of(held.typed.text("units"));
    anew(&app, &held, move |_, checked| {
        html::render(&units.document(&checked.document)).map(report::whole).map_err(|error| Refusal::undrawn(&error))
    })
    .await
}

/// `GET /check/{number}/summary`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held, not checked, or the odometer is none.
pub async fn summary(State(app): State<Arc<App>>, Named(number): Named, Asked(asked): Asked) -> Result<Response, Refusal> {
    let held = app.shelf.get(&number, &app.limits)?;
    anew(&app, &held, move |gathered, checked| report::summary(&checked.document, &gathered.run, &asked)).await
}

/// `POST /check/{number}/keep`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held, is made up, has no log, or cannot be kept.
pub async fn keep(
    State(app): State<Arc<App>>,
    Extension(session): Extension<Session>,
    Named(number): Named,
    request: Request,
) -> Result<Redirect, Refusal> {
    uploads::receive(&app, &session, request).await?;
    let held = app.shelf.get(&number, &app.limits)?;
    let archive = app.store()?.clone();
    let log = held.log.clone().filter(|_| held.story.is_none()).ok_or_else(|| {
        let what = if held.story.is_some() {
            "A made-up drive is not kept among the real ones."
        } else {
            "Without a log there is no run to keep."
        };
        Refusal::new(StatusCode::CONFLICT, "Not kept", what, "Check the log of a drive, and keep that.")
    })?;
    let how = How::of(&held.reading);
    let kept = anew(&app, &held, move |gathered, checked| {
        let run = &gathered.run;
        let judging = Judging {
            run,
            vehicle_toml: gathered.stated.vehicle_toml,
            air_prior: crate::check::Beside::default().air_prior,
            before_work: gathered.stated.before_work,
            document: &checked.document,
        };
        let evidence = Evidence { log: &log.bytes, source: &log.name, how: &how, run };
        judging.formed(|judged| archive.keep(&evidence, judged)).map_err(|error| Refusal::archive(&error))
    })
    .await?;
    Ok(lead_to(&match kept {
        Kept::Now(id) => format!("/runs/{id}?kept=now#result"),
        Kept::Already(id) => format!("/runs/{id}?kept=already#result"),
    }))
}

/// A heading with a paragraph, for pages that have little else.
pub fn lead(title: &str, words: &str) -> String {
    format!("<section class=\"card lead\">\n<h1>{}</h1>\n<p>{}</p>\n</section>\n", text(title), text(words))
}
