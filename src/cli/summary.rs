//! The customer's page: what can be typed.
//!
//! All of it is optional. What is not typed is taken from the vehicle file, the log and the level notes, or left out.

use clap::Args;
use std::path::PathBuf;

const PAGE: &str = "A page for the customer";

/// Flags of the customer's page.
#[derive(Args, Debug, Default)]
pub struct SummaryArgs {
    /// Write the answer on one page for the customer, to print or to send.
    #[arg(long, value_name = "FILE.html", help_heading = PAGE)]
    pub summary: Option<PathBuf>,
    /// Day of the work, in place of the log's.
    #[arg(long, value_name = "DATE", requires = "summary", help_heading = PAGE)]
    pub date: Option<String>,
    /// Odometer: 182000km, 113000mi.
    #[arg(long, value_name = "DISTANCE", requires = "summary", help_heading = PAGE)]
    pub odometer: Option<String>,
    /// What is in it, in place of the vehicle file's words.
    #[arg(long, value_name = "WORDS", requires = "summary", help_heading = PAGE)]
    pub coolant: Option<String>,
    /// What came out and went in, in place of the level notes': "4.5 L out, 4.6 L in".
    #[arg(long, value_name = "WORDS", requires = "summary", help_heading = PAGE)]
    pub volumes: Option<String>,
    /// When coolant is due again: "2031-03, or at 260000 km".
    #[arg(long, value_name = "WORDS", requires = "summary", help_heading = PAGE)]
    pub next_due: Option<String>,
    /// Who answers questions: "the yard, 555-0100".
    #[arg(long, value_name = "WORDS", requires = "summary", help_heading = PAGE)]
    pub ask: Option<String>,
}
