//! The facts of the customer's page, as typed.

use super::failure::Failure;
use crate::cli::summary::SummaryArgs;
use crate::report::summary::Facts;
use crate::units::parse;

/// The most that an odometer shows, in km.
const MOST_KM: f64 = 10_000_000.0;

/// What was typed.
///
/// # Errors
///
/// [`Failure`] if the odometer is no distance.
pub fn typed(args: &SummaryArgs) -> Result<Facts, Failure> {
    Ok(Facts {
        vehicle: None,
        date: args.date.clone(),
        odometer: args.odometer.as_deref().map(odometer).transpose()?,
        coolant: args.coolant.clone(),
        volumes: args.volumes.clone(),
        next_due: args.next_due.clone(),
        ask: args.ask.clone(),
    })
}

fn odometer(text: &str) -> Result<String, Failure> {
    let km = parse::distance_kilometres(text).map_err(|error| Failure::new(format_args!("--odometer {text}: {error}"), error.hint()))?;
    if !(0.0..=MOST_KM).contains(&km) {
        return Err(Failure::new(format_args!("--odometer {text}: no odometer shows that"), "write what it shows: 182000km, 113000mi"));
    }
    Ok(Facts::kilometres(km))
}
