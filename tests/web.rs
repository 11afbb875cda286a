//! The page without a socket: journeys from the first visit to a kept run, what every page promises, what is refused and how.

#[path = "web/journeys.rs"]
mod journeys;
#[path = "support/long_log.rs"]
#[allow(dead_code, reason = "of its forms one is needed here")]
mod long_log;
#[path = "web/promises.rs"]
mod promises;
#[path = "web/refusals.rs"]
mod refusals;
#[path = "web/soak.rs"]
mod soak;
#[path = "support/visitor.rs"]
mod visitor;
