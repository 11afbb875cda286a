//! A form on its way in: its body read and taken apart, its token compared, and the check that it asks for.

use super::App;
use super::budget::Charge;
use super::guard;
use super::held::{Held, Log, Shelf};
use super::multipart;
use super::outcome::{Input, Outcome};
use super::refusal::Refusal;
use super::session::Session;
use super::{body, typed::Typed};
use crate::ingest::Options;
use axum::extract::Request;
use axum::http::header;
use std::sync::Arc;

/// A form that was received.
#[derive(Debug)]
pub struct Form {
    /// Its fields.
    pub typed: Typed,
    /// What its bytes are charged with.
    pub charge: Arc<Charge>,
}

/// Most bytes of a form without a file.
const SMALL: usize = 131_072;

/// Receives a form without a file.
///
/// # Errors
///
/// As [`receive_files`].
pub async fn receive(app: &App, session: &Session, request: Request) -> Result<Form, Refusal> {
    received(app, session, request, SMALL).await
}

/// Receives a form of this session.
///
/// # Errors
///
/// [`Refusal`] if it is too large, too slow, not whole, or of another session.
pub async fn receive_files(app: &App, session: &Session, request: Request) -> Result<Form, Refusal> {
    received(app, session, request, app.limits.body_bytes).await
}

async fn received(app: &App, session: &Session, request: Request, most: usize) -> Result<Form, Refusal> {
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let boundary = multipart::boundary(kind)?;
    let received = body::read(request.into_body(), (&app.limits, most), app.budget.open(), |bytes| app.shelf.make_room(bytes)).await?;
    let typed = Typed::of(multipart::parts(&received.bytes, &boundary)?)?;
    if !app.sessions.is_form_of(typed.text("form"), session) {
        return Err(guard::strange_form());
    }
    Ok(Form { typed, charge: Arc::new(received.charge) })
}

/// What is to be checked and held.
#[derive(Debug)]
pub struct Wanted {
    /// The number it is held under; a new one if there is none yet.
    pub token: Option<String>,
    /// The log.
    pub log: Option<Log>,
    /// What was typed.
    pub typed: Typed,
    /// How the log is to be read.
    pub reading: Options,
    /// The story that was made up.
    pub story: Option<&'static str>,
    /// What its bytes are charged with.
    pub charges: Vec<Arc<Charge>>,
}

impl Wanted {
    /// What was held, to be checked anew.
    pub fn again(held: &Held) -> Self {
        Self {
            token: Some(held.token.clone()),
            log: held.log.clone(),
            typed: held.typed.clone(),
            reading: held.reading.clone(),
            story: held.story,
            charges: held.charges.clone(),
        }
    }
}

/// Checks and holds; returns the address of the answer.
///
/// # Errors
///
/// [`Refusal`] if too many wait, or if the check fails by a fault of the program.
pub async fn check(app: &App, wanted: Wanted) -> Result<String, Refusal> {
    let input = input(app, &wanted.log, &wanted.typed, &wanted.reading, wanted.story);
    let outcome = app.gate.pass(app.alone(wanted.log.as_ref()), move || input.outcome()).await?;
    let outcome = Arc::new(outcome.map_err(|error| Refusal::undrawn(&error))?);
    let mut answer = app.budget.open();
    if !answer.grow(outcome.bytes()) {
        app.shelf.make_room(outcome.bytes());
        if !answer.grow(outcome.bytes()) {
            return Err(Refusal::busy("The program holds as much of other visitors as its memory is meant for."));
        }
    }
    let token = match wanted.token {
        Some(token) => token,
        None => Shelf::number()?,
    };
    let Wanted { log, typed, reading, story, charges, .. } = wanted;
    let anchor = if matches!(*outcome, Outcome::Checked(_)) { "result" } else { "errors" };
    let address = format!("/check/{token}#{anchor}");
    app.shelf.put(Held { token, log, typed, reading, story, outcome, charges, answer }, &app.limits);
    Ok(address)
}

/// The check of what is held.
pub fn input_of(app: &App, held: &Held) -> Input {
    input(app, &held.log, &held.typed, &held.reading, held.story)
}

fn input(app: &App, log: &Option<Log>, typed: &Typed, reading: &Options, story: Option<&str>) -> Input {
    let archive = app.archive.clone().filter(|_| story.is_none());
    Input { log: log.clone(), typed: typed.clone(), reading: reading.clone(), archive }
}
