//! Style, script and picture of the pages, out of the program itself.

use super::pages::asked::Named;
use super::refusal::Refusal;
use crate::report::html;
use axum::http::header;
use axum::response::{IntoResponse, Response};

const STYLE: &str = include_str!("assets/page.css");
const SCRIPT: &str = include_str!("assets/page.js");
const ICON: &str = include_str!("assets/icon.svg");

/// One of them.
///
/// # Errors
///
/// [`Refusal`] (404) if there is none of that name.
pub async fn asset(Named(name): Named) -> Result<Response, Refusal> {
    let (kind, text) = match name.as_str() {
        "page.css" => ("text/css; charset=utf-8", html::look_of_parts() + STYLE),
        "page.js" => ("text/javascript; charset=utf-8", SCRIPT.to_owned()),
        "icon.svg" => ("image/svg+xml", ICON.to_owned()),
        _ => return Err(Refusal::not_found("There is no such file.", "")),
    };
    Ok(([(header::CONTENT_TYPE, kind)], text).into_response())
}
