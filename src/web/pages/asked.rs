//! What an address asks for: the part of it that names something, and the fields behind its question mark.

use crate::web::refusal::Refusal;
use crate::web::typed::Typed;
use axum::extract::{FromRequestParts, Path, Query};
use axum::http::request::Parts;
use axum::response::Redirect;

/// The one name in an address; an entry of a table, never a path.
#[derive(Clone, Debug)]
pub struct Named(pub String);

impl<S: Send + Sync> FromRequestParts<S> for Named {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let path = Path::<String>::from_request_parts(parts, state).await;
        path.map(|Path(name)| Self(name))
            .map_err(|_| Refusal::not_found("There is no such address.", "Look at the address, or start from the start page."))
    }
}

/// Two names in an address.
#[derive(Clone, Debug)]
pub struct NamedTwice(pub String, pub String);

impl<S: Send + Sync> FromRequestParts<S> for NamedTwice {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let path = Path::<(String, String)>::from_request_parts(parts, state).await;
        path.map(|Path((one, other))| Self(one, other))
            .map_err(|_| Refusal::not_found("There is no such address.", "Look at the address, or start from the start page."))
    }
}

/// The fields of an address.
#[derive(Clone, Debug)]
pub struct Asked(pub Typed);

impl<S: Send + Sync> FromRequestParts<S> for Asked {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        let fields = Query::<Vec<(String, String)>>::try_from_uri(&parts.uri);
        let Query(fields) =
            fields.map_err(|_| Refusal::malformed("What stands behind the question mark of the address cannot be read."))?;
        let mut typed = Typed::default();
        for (name, text) in fields.into_iter().filter(|(_, text)| !text.trim().is_empty()) {
            if text.contains('\0') {
                return Err(Refusal::malformed(format!("The field `{name}` holds no text.")));
            }
            typed = typed.with(&name, text.trim());
        }
        Ok(Self(typed))
    }
}

/// Leads the browser on to a page after a form.
pub fn lead_to(address: &str) -> Redirect {
    Redirect::to(address)
}
