//! The key: what a visitor on a network types once, to be let in.

use super::asked::lead_to;
use super::check::lead;
use crate::web::App;
use crate::web::guard::strange_form;
use crate::web::markup::{self, ENTER, Fields, Page, Wrong};
use crate::web::refusal::Refusal;
use crate::web::session::{Session, Tried};
use crate::web::uploads;
use axum::Extension;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use std::time::Duration;

/// What a wrong key costs: a second, so that trying takes time.
const WRONG: Duration = Duration::from_secs(1);

/// The page that asks for the key.
pub fn page(app: &App, session: &Session, wrong: Option<Wrong>) -> Response {
    let wrong: Vec<Wrong> = wrong.into_iter().collect();
    let fields = Fields { filled: &|_| String::new(), wrong: &wrong };
    let inside = format!(
        "<section class=\"card\">\n{}</section>\n<div class=\"go\">\n<button type=\"submit\" id=\"go\">Let me in</button>\n</div>\n",
        fields.line("key", "Key", "Three groups of four; capitals and dashes do not matter.", " inputmode=\"text\" class=\"key\"")
    );
    let words = "The program printed a key where it was started. Type it here once; each device needs one of its own.";
    let body = format!(
        "{}{}{}",
        markup::errors(&wrong, &|_| ""),
        lead("The key, please", words),
        markup::form("enter", ENTER, &app.sessions.form_token(session), &inside)
    );
    (StatusCode::UNAUTHORIZED, Page::new("The key, please", body).outside()).into_response()
}

/// `GET /enter`.
pub async fn show(State(app): State<Arc<App>>, Extension(session): Extension<Session>) -> Response {
    if session.let_in() { lead_to("/").into_response() } else { page(&app, &session, None) }
}

/// `POST /enter`.
///
/// # Errors
///
/// [`Refusal`] if the form cannot be taken.
pub async fn try_key(State(app): State<Arc<App>>, Extension(session): Extension<Session>, request: Request) -> Result<Response, Refusal> {
    if !app.sessions.need_key() {
        return Err(strange_form());
    }
    let typed = uploads::receive(&app, &session, request).await?.typed;
    let fault = |_| Refusal::fault("The system gives no random numbers.");
    match app.sessions.try_key(typed.text("key")).map_err(fault)? {
        Tried::Wrong => {
            tokio::time::sleep(WRONG).await;
            let wrong = Wrong::new(
                "key",
                "this is not the key",
                "look again where the program was started; a key is used up once it let somebody in",
            );
            Ok(page(&app, &session, Some(wrong)))
        }
        Tried::LetIn => {
            let session = app.sessions.open(true).map_err(fault)?;
            let mut response = lead_to("/").into_response();
            if let Ok(cookie) = HeaderValue::from_str(&app.sessions.set_cookie(&session)) {
                response.headers_mut().insert(header::SET_COOKIE, cookie);
            }
            Ok(response)
        }
    }
}
