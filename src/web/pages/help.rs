//! Help, and what an address that is none leads to.

use crate::web::markup::Page;
use crate::web::refusal::Refusal;

/// The page's words. They repeat nothing that a page says where it is needed.
const HELP: &str = include_str!("help.html");

/// `GET /help`.
pub async fn page() -> Page {
    Page::new("Help", HELP)
}

/// Every other address.
pub async fn nowhere() -> Refusal {
    Refusal::not_found("There is no page at this address.", "Look at the address, or start from one of these.")
}
