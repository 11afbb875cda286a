//! `plan`: what can be typed.
//!
//! Quantities stay text here: the verb reads them, so that every one is refused in the same words, with its flag and a way out. Only what
//! can lie below zero may begin with a minus (`-30C`).

use clap::{Args, ValueEnum};
use std::path::PathBuf;

const SYSTEM: &str = "The system";
const PRESENT: &str = "What is in it now";
const WANTED: &str = "What is wanted of it";
const OUT: &str = "What comes out";
const FILL: &str = "What goes in";
const SERVICE: &str = "Service";
const TODAY: &str = "Today, and where it is driven";
const OUTPUT: &str = "Output";

const EXAMPLES: &str = "Examples:
  wellbled plan --vehicle van.toml --drained 4.5L --present 50% --wanted -30C
  wellbled plan --capacity 17L --drains radiator --wanted -37C --rounds 2
  wellbled plan --capacity 6.5L --drained 3.6L@40C --ready 50% --card card.html

Every quantity carries its unit: 4.5L, 1.2gal, -30C, -20F, 110kPa, 16psi.
A strength is 50%, \"52% by mass\", or the freezing point it was read at.
A measured volume may say how well it is known and how warm it was:
4.5L, 4.5L@40C, 4.5L+-0.1L, \"4.5 L +- 0.1 L at 40 degC\".";

/// `plan`.
#[derive(Args, Debug, Default)]
#[command(after_help = EXAMPLES)]
pub struct PlanArgs {
    /// What the owner states: capacity, thermostat, reservoir (docs/vehicle-file.md).
    #[arg(long, value_name = "FILE.toml", help_heading = SYSTEM)]
    pub vehicle: Option<PathBuf>,
    /// Capacity of the whole system, in place of the vehicle file's.
    #[arg(long, value_name = "VOLUME", help_heading = SYSTEM)]
    pub capacity: Option<String>,
    /// Opening pressure of the cap, gauge, in place of the vehicle file's.
    #[arg(long, value_name = "PRESSURE", help_heading = SYSTEM)]
    pub cap: Option<String>,

    /// Strength of what is in it; else that of the vehicle file, else assumed.
    #[arg(long, value_name = "STRENGTH", allow_hyphen_values = true, help_heading = PRESENT)]
    pub present: Option<String>,
    /// Its product type: inorganic, organic or hybrid.
    #[arg(long, value_name = "TYPE", hide_possible_values = true, help_heading = PRESENT)]
    pub present_type: Option<ProductType>,
    /// What it is made of, if not of the same as the new: ethylene or propylene.
    #[arg(long, value_name = "GLYCOL", hide_possible_values = true, help_heading = PRESENT)]
    pub present_base: Option<GlycolBase>,

    /// Freezing point to reach, or a strength; else the strength in the vehicle file.
    #[arg(long, value_name = "-30C|50%", allow_hyphen_values = true, help_heading = WANTED)]
    pub wanted: Option<String>,
    /// Share of new coolant to reach: how many drains does it take?
    #[arg(long, value_name = "PERCENT", help_heading = WANTED)]
    pub wanted_new: Option<String>,

    /// What came out, or what will.
    #[arg(long, value_name = "VOLUME", help_heading = OUT)]
    pub drained: Option<String>,
    /// Which drains are opened (radiator, radiator-and-block), or the share that comes out (60%).
    #[arg(long, value_name = "WHICH|PERCENT", help_heading = OUT)]
    pub drains: Option<String>,

    /// Pour concentrate and water (the default); a weaker concentrate states its strength.
    #[arg(long, value_name = "PERCENT", num_args = 0..=1, default_missing_value = "100%", conflicts_with = "ready", help_heading = FILL)]
    pub concentrate: Option<String>,
    /// Pour a ready mixture of this strength.
    #[arg(long, value_name = "STRENGTH", allow_hyphen_values = true, help_heading = FILL)]
    pub ready: Option<String>,
    /// What the new coolant is made of, in place of the vehicle file's: ethylene or propylene.
    #[arg(long, value_name = "GLYCOL", hide_possible_values = true, help_heading = FILL)]
    pub base: Option<GlycolBase>,
    /// Drains refilled with water alone, before the coolant.
    #[arg(long, value_name = "NUMBER", help_heading = FILL)]
    pub rinses: Option<u32>,
    /// Drains refilled with coolant, each with a run before the next.
    #[arg(long, value_name = "NUMBER", help_heading = FILL)]
    pub rounds: Option<u32>,
    /// What went in, once it is in: the account of the fill.
    #[arg(long, value_name = "VOLUME", help_heading = FILL)]
    pub filled: Option<String>,
    /// Price of a litre of the product: 8EUR, 30USD/gal.
    #[arg(long, value_name = "PRICE", help_heading = FILL)]
    pub price: Option<String>,

    /// Product type of the new coolant: inorganic, organic or hybrid.
    #[arg(long = "type", value_name = "TYPE", hide_possible_values = true, help_heading = SERVICE)]
    pub product: Option<ProductType>,
    /// Life of a full fill by its label or the maker's schedule: 160000km, 5years, 160000km/5years.
    #[arg(long, value_name = "LIFE", help_heading = SERVICE)]
    pub life: Option<String>,
    /// Odometer: 182000km, 113000mi.
    #[arg(long, value_name = "DISTANCE", help_heading = SERVICE)]
    pub odometer: Option<String>,
    /// Day of the work: 2026-03-02, or today.
    #[arg(long, value_name = "DATE", help_heading = SERVICE)]
    pub date: Option<String>,

    /// Air temperature at the work.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true, help_heading = TODAY)]
    pub air: Option<String>,
    /// Altitude where it is driven at its highest: 200m, 5000ft.
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true, help_heading = TODAY)]
    pub altitude: Option<String>,
    /// Local air pressure, absolute; counts before the altitude.
    #[arg(long, value_name = "PRESSURE", help_heading = TODAY)]
    pub pressure: Option<String>,

    /// What is printed: text or json.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true, help_heading = OUTPUT)]
    pub format: PlanFormat,
    /// Write the job card: one sheet to print from any browser.
    #[arg(long, value_name = "FILE.html", help_heading = OUTPUT)]
    pub card: Option<PathBuf>,
}

/// Formats of a plan on standard output.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum PlanFormat {
    /// For reading on a terminal.
    #[default]
    Text,
    /// For programs (docs/plan.md).
    Json,
}

/// Product types as they are typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ProductType {
    /// Silicates and other salts.
    Inorganic,
    /// Organic acids.
    Organic,
    /// Organic acids with some silicate or phosphate.
    #[value(name = "hybrid", alias = "hybrid-organic")]
    Hybrid,
}

/// Bases as they are typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum GlycolBase {
    /// Ethylene glycol.
    #[value(name = "ethylene", alias = "ethylene-glycol")]
    Ethylene,
    /// Propylene glycol.
    #[value(name = "propylene", alias = "propylene-glycol")]
    Propylene,
}
