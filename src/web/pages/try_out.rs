//! Trying it out: a made-up drive through the same check, marked as made up wherever it is shown.

use super::asked::lead_to;
use super::check::lead;
use crate::excerpt::shorten;
use crate::rehearsal::{self, STORIES};
use crate::web::App;
use crate::web::held::Log;
use crate::web::markup::{self, Fields, Page, Wrong, text};
use crate::web::refusal::Refusal;
use crate::web::session::Session;
use crate::web::typed::{Sent, Typed};
use crate::web::uploads::{self, Wanted};
use axum::Extension;
use axum::body::Bytes;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

/// What stands above everything about a made-up drive.
pub fn made_up(story: &'static str) -> String {
    let what = STORIES.iter().find(|(name, _)| *name == story).map_or("", |(_, what)| what);
    format!(
        "<section class=\"made-up\" id=\"made-up\" aria-label=\"Made up\">\n<p><strong>Made up.</strong> No vehicle was driven: this program simulated it, and checks it like any other log. {}</p>\n</section>\n",
        text(what)
    )
}

/// `GET /try`.
pub async fn page(State(app): State<Arc<App>>, Extension(session): Extension<Session>) -> Page {
    form(&app, &session, &Typed::default().with("story", STORIES[0].0), &[])
}

fn form(app: &App, session: &Session, typed: &Typed, wrong: &[Wrong]) -> Page {
    let filled = |name: &str| typed.text(name).to_owned();
    let fields = Fields { filled: &filled, wrong };
    let stories: Vec<(String, String)> = STORIES
        .iter()
        .map(|(name, what)| ((*name).to_owned(), format!("<strong>{}</strong> {}", text(&name.replace('-', " ")), text(what))))
        .collect();
    let inside = format!(
        "<section class=\"card\">\n{}<details>\n<summary>Another telling of it</summary>\n{}</details>\n</section>\n<div class=\"go\">\n<button type=\"submit\" id=\"go\">Drive it and check</button>\n</div>\n",
        fields.radios("story", "Which story?", "", &stories),
        fields.line("seed", "Number of the telling", "The same number gives the same drive.", " inputmode=\"numeric\"")
    );
    let words = "Choose a story. The program simulates the drive and checks its log as it checks yours, so you see what an answer looks like before you have a log. All of it is invented.";
    let body = format!(
        "{}{}{}",
        markup::errors(wrong, &|_| ""),
        lead("Try it out", words),
        markup::form("try", "/try", &app.sessions.form_token(session), &inside)
    );
    Page::new("Try it out", body).at("/try")
}

/// `POST /try`.
///
/// # Errors
///
/// [`Refusal`] if the form cannot be taken, or too many wait.
pub async fn make(State(app): State<Arc<App>>, Extension(session): Extension<Session>, request: Request) -> Result<Response, Refusal> {
    let typed = uploads::receive(&app, &session, request).await?.typed;
    let story = STORIES.iter().map(|(name, _)| *name).find(|name| *name == typed.text("story"));
    let seed = if typed.text("seed").is_empty() { Some(1) } else { typed.text("seed").parse::<u64>().ok() };
    let (Some(story), Some(seed)) = (story, seed) else {
        let wrong = if story.is_none() {
            Wrong::new("story", "no story of this name is told", "choose one of the list")
        } else {
            Wrong::new(
                "seed",
                format!("`{}` is no number of a telling", shorten(typed.text("seed"), 60)),
                "write a whole number, such as 7",
            )
        };
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, form(&app, &session, &typed, &[wrong])).into_response());
    };
    let made = app.gate.pass(false, move || rehearsal::story(story, seed).map(|scenario| rehearsal::rehearse(&scenario))).await?;
    let made = made.ok_or_else(|| Refusal::fault("This story could not be told."))?;
    let mut charge = app.budget.open();
    if !charge.grow(made.log.len() + made.notes_csv.len() + made.vehicle_toml.len()) {
        return Err(Refusal::busy("The program holds as much of other visitors as its memory is meant for."));
    }
    let file = |name: &str, text: String| Sent { name: name.to_owned(), bytes: Bytes::from(text) };
    let mut stated = Typed::default().with_file("vehicle_file", file("made-up-vehicle.toml", made.vehicle_toml));
    if !made.notes_csv.is_empty() {
        stated = stated.with_file("notes", file("made-up-levels.csv", made.notes_csv));
    }
    let log = Log { name: format!("made-up-{story}.csv"), bytes: Bytes::from(made.log) };
    let wanted = Wanted {
        token: None,
        log: Some(log),
        typed: stated,
        reading: crate::ingest::Options::default(),
        story: Some(story),
        charges: vec![Arc::new(charge)],
    };
    Ok(lead_to(&uploads::check(&app, wanted).await?).into_response())
}
