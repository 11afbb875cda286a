//! The body of a request, read whole: bounded in size, charged to the account of memory as it comes, and in time, so that a sender who
//! trickles holds a place for seconds and not for hours.

use super::budget::Charge;
use super::limits::Limits;
use super::refusal::Refusal;
use axum::body::{Body, Bytes, HttpBody};
use axum::http::StatusCode;
use std::future::poll_fn;
use std::pin::Pin;
use std::time::Instant;
use tokio::time::timeout;

/// Bytes that a body begins with and grows by at least.
const STEP: usize = 65_536;

/// A body with its charge; parts of it share both.
#[derive(Debug)]
pub struct Received {
    /// All of it.
    pub bytes: Bytes,
    /// What it is charged with.
    pub charge: Charge,
}

/// Reads a body of at most so many bytes. `make_room` is asked to free so many bytes when the account is full.
///
/// # Errors
///
/// [`Refusal`] if it is too large, too slow, cut off, or more than the account holds.
pub async fn read(
    mut body: Body,
    (limits, most): (&Limits, usize),
    mut charge: Charge,
    make_room: impl Fn(usize),
) -> Result<Received, Refusal> {
    if body.size_hint().lower() > most as u64 {
        return Err(too_large(most));
    }
    let announced = body.size_hint().exact().and_then(|exact| usize::try_from(exact).ok()).unwrap_or(most);
    let started = Instant::now();
    let mut bytes: Vec<u8> = Vec::new();
    loop {
        let next = poll_fn(|context| Pin::new(&mut body).poll_frame(context));
        let frame = match timeout(limits.piece, next).await {
            Err(_) => return Err(too_slow()),
            Ok(None) => break,
            Ok(Some(Err(_))) => return Err(Refusal::malformed("What was sent broke off before its end.")),
            Ok(Some(Ok(frame))) => frame,
        };
        let Ok(data) = frame.into_data() else { continue };
        if bytes.len() + data.len() > most {
            return Err(too_large(most));
        }
        if started.elapsed() > limits.body_time(bytes.len()) {
            return Err(too_slow());
        }
        let needed = bytes.len() + data.len();
        if needed > bytes.capacity() {
            let grown = needed.max(bytes.capacity() * 3 / 2).max(STEP.min(announced)).min(announced.max(needed));
            let more = grown - bytes.capacity();
            if !charge.grow(more) {
                make_room(more);
                if !charge.grow(more) {
                    return Err(Refusal::busy("The program holds as much of other visitors as its memory is meant for."));
                }
            }
            bytes.reserve_exact(grown - bytes.len());
        }
        bytes.extend_from_slice(&data);
    }
    Ok(Received { bytes: Bytes::from(bytes), charge })
}

fn too_large(most: usize) -> Refusal {
    Refusal::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "Too large",
        format!(
            "What was sent is larger than {}.",
            if most < 1_000_000 { format!("{} kB", most / 1000) } else { format!("{} MB", most / 1_000_000) }
        ),
        "Cut out the drive after the refill and send that part alone.",
    )
}

fn too_slow() -> Refusal {
    Refusal::new(
        StatusCode::REQUEST_TIMEOUT,
        "Too slow",
        "What was sent came so slowly that the program stopped waiting.",
        "Go closer to the access point, or open the page on the machine itself, and send it again.",
    )
}
