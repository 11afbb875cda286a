//! How much is taken from visitors at once: bytes, time, counts.
//!
//! Memory is bounded by what these add up to. Bodies on their way and uploads that are held share one account
//! ([`super::budget`]); what a check needs besides is bounded by the number of checks that run, and logs beyond
//! [`Limits::heavy_bytes`] are checked alone; connections have buffers of fixed size.

use crate::ingest::text;
use std::time::Duration;

/// The limits. Each is our own choice, with its reason.
#[derive(Clone, Debug)]
pub struct Limits {
    /// Largest body of a request, in bytes: the largest log that is read, and room for what goes with it.
    pub body_bytes: usize,
    /// Bodies on their way and held uploads together, in bytes: one largest log as it grows, and many ordinary ones.
    pub memory_bytes: usize,
    /// Uploads that are held, the oldest giving way: two days of a busy yard.
    pub held: usize,
    /// How long an upload is held after it was last looked at: over a cooling down.
    pub held_for: Duration,
    /// Checks that run at once: one a core.
    pub checks: usize,
    /// Requests that wait for their check; more are asked to come again.
    pub waiting: usize,
    /// From this size on a log is checked alone, and so is every packed one, whose size shows only when it is unpacked.
    pub heavy_bytes: usize,
    /// How long the next piece of a body may stay out.
    pub piece: Duration,
    /// How long a body may take whatever its size; beyond it `least_rate` holds on average.
    pub body: Duration,
    /// Least bytes a second of a long body: a phone at the edge of the yard's network sends ten times as many.
    pub least_rate: usize,
    /// How long the heading of a request may take, and how long an idle connection is kept.
    pub heading: Duration,
    /// Largest heading of a request, in bytes.
    pub heading_bytes: usize,
    /// How long an answer may stand unread.
    pub unread: Duration,
    /// Connections at once; more wait to be taken.
    pub connections: usize,
    /// How long open connections are waited for when the program ends.
    pub farewell: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        Self {
            body_bytes: text::LIMIT + 8_000_000,
            memory_bytes: 1_024_000_000,
            held: 64,
            held_for: Duration::from_secs(4 * 3600),
            checks: cores,
            waiting: 256,
            heavy_bytes: 32_000_000,
            piece: Duration::from_secs(15),
            body: Duration::from_secs(30),
            least_rate: 16_384,
            heading: Duration::from_secs(10),
            heading_bytes: 32_768,
            unread: Duration::from_secs(30),
            connections: 256,
            farewell: Duration::from_secs(5),
        }
    }
}

impl Limits {
    /// How long a body of so many bytes may take in all.
    pub fn body_time(&self, bytes: usize) -> Duration {
        self.body + Duration::from_secs_f64(bytes as f64 / self.least_rate.max(1) as f64)
    }
}
