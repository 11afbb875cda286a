//! The start page: a log, or levels; and what is known of the vehicle.

use super::stated::beside;
use crate::web::App;
use crate::web::labels::label;
use crate::web::markup::{self, Fields, Page};
use crate::web::refusal::Refusal;
use crate::web::session::Session;
use axum::Extension;
use axum::extract::State;
use std::sync::Arc;

/// `GET /`.
///
/// # Errors
///
/// [`Refusal`] if the kept vehicles cannot be listed in time.
pub async fn page(State(app): State<Arc<App>>, Extension(session): Extension<Session>) -> Result<Page, Refusal> {
    let vehicles = super::runs::vehicles(&app).await?;
    let fields = Fields { filled: &|_| String::new(), wrong: &[] };
    let body = format!(
        "<section class=\"card lead\">\n<h1>Is the cooling system bled?</h1>\n\
         <p>Give the log of the drive after the refill. It takes one file, as the recorder wrote it: a text table with time and coolant temperature. \
         Levels and the vehicle make the answer sharper; leave out what you do not know.</p>\n</section>\n{}",
        markup::form(
            "check",
            "/check",
            &app.sessions.form_token(&session),
            &format!(
                "<section class=\"card\" aria-labelledby=\"log-title\">\n<h2 id=\"log-title\">The log</h2>\n\
                 <div class=\"drop\" id=\"drop\">\n{}</div>\n</section>\n{}\
                 <div class=\"go\">\n<button type=\"submit\" id=\"go\">Check the drive</button>\n\
                 <p id=\"progress\" class=\"progress\" role=\"status\" hidden></p>\n</div>\n",
                fields.file(
                    "log",
                    label("log"),
                    "It goes to this program and nowhere else.",
                    ".csv,.txt,.tsv,.log,.gz,text/csv,text/plain"
                ),
                beside(&fields, &vehicles, &[])
            )
        )
    );
    Ok(Page::new("Check a drive", body).at("/"))
}
