//! The guard at the door: every request passes it, and every answer.
//!
//! ```text
//! Host ─▶ method ─▶ origin of what changes something ─▶ size and kind of its body ─▶ session ─▶ (key) ─▶ page ─▶ headers
//! ```
//!
//! A request is refused before a byte of its body is read. What other sites can make a browser send falls at the `Host` (rebinding),
//! at `Origin` and `Sec-Fetch-Site`, and at the form's token; a page of ours can load nothing but ours, runs no script but the one
//! file, and is shown in no frame.
//!
//! # References
//!
//! - The Fetch standard (`Origin`; `null` for forms under the referrer policy `no-referrer`, hence `same-origin` here, which tells other
//!   sites as little), Fetch Metadata, Content Security Policy Level 3.

use super::App;
use super::markup;
use super::refusal::Refusal;
use super::session::Session;
use super::{multipart, pages};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

/// What a page may load: its own style, script and picture, and it may talk to where it comes from.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; \
    frame-ancestors 'none'; base-uri 'none'";

/// Headers of every answer.
const HEADERS: [(HeaderName, &str); 7] = [
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (header::CACHE_CONTROL, "no-store"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
];

/// Passes a request to its page, or refuses it.
pub async fn watch(State(app): State<Arc<App>>, mut request: Request, next: Next) -> Response {
    let mut cookie = None;
    let mut response = match admit(&app, &request, &mut cookie) {
        Err(refusal) => refusal.into_response(),
        Ok(Entry::Closed(session)) => pages::enter::page(&app, &session, None).into_response(),
        Ok(Entry::Open(session)) => {
            request.extensions_mut().insert(session);
            // A task of its own, so that a fault in it is this visitor's alone.
            match Ended(tokio::spawn(next.run(request))).finish().await {
                Some(response) => response,
                None => Refusal::fault("This page could not be made.").into_response(),
            }
        }
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(POLICY));
    if let Some(cookie) =
        cookie.and_then(|cookie| HeaderValue::from_str(&cookie).ok()).filter(|_| !headers.contains_key(header::SET_COOKIE))
    {
        headers.insert(header::SET_COOKIE, cookie);
    }
    response
}

/// A task that ends with whoever waits for it.
struct Ended(tokio::task::JoinHandle<Response>);

impl Ended {
    async fn finish(mut self) -> Option<Response> {
        (&mut self.0).await.ok()
    }
}

impl Drop for Ended {
    fn drop(&mut self) {
        self.0.abort();
    }
}

enum Entry {
    Open(Session),
    /// The key is asked for.
    Closed(Session),
}

fn admit(app: &App, request: &Request, cookie: &mut Option<String>) -> Result<Entry, Refusal> {
    let headers = request.headers();
    let host = host(app, request)?;
    let changes = match *request.method() {
        Method::GET | Method::HEAD => false,
        Method::POST => true,
        _ => return Err(method_not_allowed()),
    };
    if changes {
        from_here(headers, &host)?;
        multipart::boundary(one(headers, &header::CONTENT_TYPE).unwrap_or_default())?;
    }
    let known = app.sessions.of(headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok()));
    let session = match known {
        Some(session) => session,
        None if changes => return Err(strange_form()),
        None => {
            let session = app.sessions.open(false).map_err(|_| Refusal::fault("The system gives no random numbers."))?;
            *cookie = Some(app.sessions.set_cookie(&session));
            session
        }
    };
    let path = request.uri().path();
    let open = session.let_in() || path == markup::ENTER || path.starts_with("/assets/");
    Ok(if open { Entry::Open(session) } else { Entry::Closed(session) })
}

/// The one name under which this program was asked.
fn host(app: &App, request: &Request) -> Result<String, Refusal> {
    let mut hosts = request.headers().get_all(header::HOST).iter();
    let (Some(host), None) = (hosts.next(), hosts.next()) else {
        return Err(Refusal::malformed("The request does not say once for whom it is meant."));
    };
    let host = host.to_str().unwrap_or_default().to_owned();
    let elsewhere = request.uri().authority().is_some_and(|authority| authority.as_str() != host);
    if elsewhere || !app.hosts.answers_to(&host) {
        return Err(Refusal::new(
            StatusCode::MISDIRECTED_REQUEST,
            "Not under this name",
            "This program does not answer to the name in the address bar.",
            "Open the address that the program printed. If it is meant to be reached by another name, start it with --name NAME.",
        ));
    }
    Ok(host)
}

/// Whether a request that changes something comes from a page of this program.
fn from_here(headers: &HeaderMap, host: &str) -> Result<(), Refusal> {
    let foreign = || {
        Refusal::foreign(
            "What was sent does not come from a page of this program.",
            "Open the address that the program printed, and send it from there.",
        )
    };
    let site = one(headers, &HeaderName::from_static("sec-fetch-site"));
    let same = match headers.get(header::ORIGIN) {
        Some(origin) => origin.to_str().is_ok_and(|origin| origin.strip_prefix("http://") == Some(host)),
        None => site == Some("same-origin"),
    };
    if same && site.is_none_or(|site| site == "same-origin") { Ok(()) } else { Err(foreign()) }
}

/// A header's value, if it is there once.
fn one<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    let value = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(value)
}

/// A form without its session: the program was started anew since, or cookies are off.
pub fn strange_form() -> Refusal {
    Refusal::foreign(
        "This form is not one that this program gave to this browser. It may have been started anew since.",
        "Open the start page again and fill it in there. The page needs its cookie: let the browser take it.",
    )
}

/// A method that no page has.
pub fn method_not_allowed() -> Refusal {
    Refusal::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "Not that way",
        "This address cannot be asked in that way.",
        "Open it as a page, or send the form that belongs to it.",
    )
}
