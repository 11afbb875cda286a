//! What a visitor is told when a request cannot be answered: what happened and the way out, as a page.

use super::markup::{self, Page, text};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// A request that is not answered as asked.
#[derive(Clone, Debug)]
pub struct Refusal {
    /// The status.
    pub status: StatusCode,
    /// Heading of the page.
    pub title: &'static str,
    /// What happened.
    pub what: String,
    /// The way out, one sentence a line.
    pub hint: String,
    /// After how many seconds to come again.
    pub retry_after: Option<u32>,
}

impl Refusal {
    /// A refusal with its way out.
    pub fn new(status: StatusCode, title: &'static str, what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { status, title, what: what.into(), hint: hint.into(), retry_after: None }
    }

    /// Something that was asked for and is not there.
    pub fn not_found(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, "Not here", what, hint)
    }

    /// A request that no page of this program makes.
    pub fn malformed(what: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, "Not understood", what, "Go back, load the page anew, and try again.")
    }

    /// A request that comes from elsewhere.
    pub fn foreign(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(StatusCode::FORBIDDEN, "Not taken", what, hint)
    }

    /// More than is handled at once.
    pub fn busy(what: impl Into<String>) -> Self {
        let hint = "Wait a few seconds, then go back and send it again. What you typed is still in the page before.";
        Self { retry_after: Some(10), ..Self::new(StatusCode::SERVICE_UNAVAILABLE, "Busy", what, hint) }
    }

    /// A fault of the program.
    pub fn fault(what: &str) -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "A fault in the program",
            format!("{what} The fault is in this program, not in what you did. Nothing was kept or changed."),
            "Try once more. If it happens again, check the log on the command line: wellbled check LOG\n\
             The window in which the program runs shows where it failed; whoever mends it needs that line and the log.",
        )
    }

    /// The archive's own words.
    pub fn archive(error: &crate::archive::ArchiveError) -> Self {
        use crate::archive::ArchiveError as Error;
        let (status, title) = match error {
            Error::NoSuchRun { .. } => (StatusCode::NOT_FOUND, "Not here"),
            Error::SeveralRuns { .. } | Error::NameTaken { .. } | Error::Overtaken { .. } => (StatusCode::CONFLICT, "Not done"),
            _ => (StatusCode::INTERNAL_SERVER_ERROR, "The kept runs"),
        };
        Self::new(status, title, error.to_string(), error.hint())
    }

    /// A plot that could not be drawn.
    pub fn undrawn(error: &crate::report::chart::ChartError) -> Self {
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, "The plot", error.to_string(), error.hint())
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let hints: String =
            self.hint.lines().filter(|line| !line.is_empty()).map(|line| format!("<p>{}</p>\n", text(&markup::sentence(line)))).collect();
        let body = format!(
            "<section id=\"errors\" class=\"errors\" tabindex=\"-1\" aria-labelledby=\"errors-title\">\n<h1 id=\"errors-title\">{}</h1>\n\
             <p class=\"what\">{}</p>\n{hints}</section>\n{}",
            text(self.title),
            text(&markup::sentence(&self.what)),
            markup::ways_on()
        );
        let mut response = (self.status, Page::new(self.title, body)).into_response();
        if let Some(seconds) = self.retry_after {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response
    }
}
