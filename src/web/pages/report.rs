//! The report inside a page, and as a page of its own.

use crate::report::chart::ChartError;
use crate::report::document::Document;
use crate::report::moved::Moved;
use crate::report::summary::{self, Facts};
use crate::report::{customary, html};
use crate::run::Run;
use crate::web::markup::{Fields, Wrong, text};
use crate::web::outcome::Answer;
use crate::web::refusal::Refusal;
use crate::web::typed::Typed;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use std::borrow::Cow;

/// Units of what people read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// °C, mL, L.
    Si,
    /// °F, US fl oz, qt and gal.
    Us,
}

impl Units {
    /// By the value of the field `units`.
    pub fn of(text: &str) -> Self {
        if text == "us" { Self::Us } else { Self::Si }
    }

    /// The document in these units.
    pub fn document(self, document: &Document) -> Cow<'_, Document> {
        match self {
            Self::Si => Cow::Borrowed(document),
            Self::Us => Cow::Owned(customary::document(document)),
        }
    }

    /// What moved, in these units.
    pub fn moved(self, moved: Moved) -> Moved {
        match self {
            Self::Si => moved,
            Self::Us => customary::moved(&moved),
        }
    }

    /// The facts in these units.
    pub fn facts(self, facts: Facts) -> Facts {
        match self {
            Self::Si => facts,
            Self::Us => customary::facts(&facts),
        }
    }
}

/// The report as parts of a page. The answer can be brought to: its `id` is `result`.
///
/// # Errors
///
/// [`ChartError`] where the plot cannot be drawn, which is a fault of the program.
pub fn answer(document: &Document, notes: Vec<String>) -> Result<Answer, ChartError> {
    let head = html::answer(document).replacen("<header class=\"answer", "<header id=\"result\" tabindex=\"-1\" class=\"answer", 1);
    let rest = html::readable_drive(document)? + &html::accounts(document)? + &html::rest(document);
    Ok(Answer { title: html::title(document), verdict: document.verdict, head, rest, notes, understanding: None })
}

/// Remarks beside an answer; empty if there are none.
pub fn notes(notes: &[String]) -> String {
    if notes.is_empty() {
        return String::new();
    }
    let items: String = notes.iter().map(|note| format!("<li>{}</li>\n", text(note))).collect();
    format!("<section class=\"notes\" aria-label=\"Notes\">\n<ul>\n{items}</ul>\n</section>\n")
}

/// A whole page that the report's own code wrote: it brings its look with it, and the policy allows that look alone.
pub fn whole(page: String) -> Response {
    let style = page.split_once("<style>").and_then(|(_, rest)| rest.split_once("</style>")).map_or("", |(style, _)| style);
    let hash = base64(&Sha256::digest(style.as_bytes()));
    let policy = format!("default-src 'none'; style-src 'sha256-{hash}'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'");
    let mut response = ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], page).into_response();
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    }
    response
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let three = |chunk: &[u8]| {
        let bits = chunk.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte)) << (8 * (3 - chunk.len()));
        let sign = |place: usize| SIGNS.get((bits >> (18 - 6 * place)) as usize & 63).filter(|_| place <= chunk.len());
        (0..4).map(|place| sign(place).copied().map_or('=', char::from)).collect::<String>()
    };
    bytes.chunks(3).map(three).collect()
}

/// The customer's page.
///
/// # Errors
///
/// [`Refusal`] if the odometer is none.
pub fn summary(document: &Document, run: &Run, asked: &Typed) -> Result<Response, Refusal> {
    let field = |name: &str| Some(asked.text(name).to_owned()).filter(|text| !text.is_empty());
    let odometer = field("odometer").map(|typed| {
        Facts::odometer(&typed).map_err(|(what, hint)| {
            Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, "The odometer", format!("{typed}: {what}"), format!("Go back, and {hint}."))
        })
    });
    let typed = Facts {
        vehicle: None,
        date: field("date"),
        odometer: odometer.transpose()?,
        coolant: field("coolant"),
        volumes: field("volumes"),
        next_due: field("next_due"),
        ask: field("ask"),
    };
    let units = Units::of(asked.text("units"));
    let page = summary::render(&units.document(document), &units.facts(typed.or(Facts::of(run))));
    page.map(whole).map_err(|error| Refusal::undrawn(&error))
}

/// The form that asks for the customer's page.
pub fn customer_form(action: &str, units: Units) -> String {
    let none: &[Wrong] = &[];
    let fields = Fields { filled: &|_| String::new(), wrong: none };
    let units = if units == Units::Us { "<input type=\"hidden\" name=\"units\" value=\"us\">\n" } else { "" };
    format!(
        "<details class=\"card\" id=\"customer\">\n<summary>A page for the customer</summary>\n<form method=\"get\" action=\"{action}\">\n{units}<div class=\"columns\">\n{}{}{}{}{}</div>\n\
         <p><button type=\"submit\" class=\"second\">Make the customer's page</button></p>\n</form>\n</details>\n",
        fields.line("odometer", "Odometer", "182000 km or 113000 mi", ""),
        fields.line("date", "Day of the work", "In place of the log's.", ""),
        fields.line("coolant", "What is in it", "In place of the vehicle's entry.", ""),
        fields.line("next_due", "Coolant is due again", "2031-03, or at 260000 km", ""),
        fields.line("ask", "Who answers questions", "A name and a number.", ""),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_its_standard() {
        for (plain, coded) in
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg=="), ("fooba", "Zm9vYmE="), ("foobar", "Zm9vYmFy")]
        {
            assert_eq!(base64(plain.as_bytes()), coded, "RFC 4648, section 10");
        }
    }
}
