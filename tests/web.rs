//! The page without a socket: journeys from the first visit to a kept run, what every page promises, what is refused and how.

#[path = "web/journeys.rs"]
mod journeys;
#[path = "web/promises.rs"]
mod promises;
#[path = "web/refusals.rs"]
mod refusals;
#[path = "web/soak.rs"]
mod soak;
#[path = "support/visitor.rs"]
mod visitor;
