//! The facts of the customer's page, as typed.

use super::failure::Failure;
use crate::cli::summary::SummaryArgs;
use crate::report::summary::Facts;

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
    Facts::odometer(text).map_err(|(what, hint)| Failure::new(format_args!("--odometer {text}: {what}"), hint))
}
