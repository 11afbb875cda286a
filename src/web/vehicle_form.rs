//! The form in which a vehicle is typed, and the vehicle file that it becomes.
//!
//! The fields are the entries of the file (`docs/vehicle-file.md`), so that the file's reader judges both, and what was typed once is kept as
//! a file like any other.

use super::labels::label;
use super::markup::{Fields, Wrong};
use super::typed::Typed;
use crate::excerpt::shorten;
use crate::vehicle::{Vehicle, VehicleError};
use toml::{Table, Value};

/// Each field with its entry: table and key.
const ENTRIES: [(&str, &str, &str); 16] = [
    ("v_name", "", "name"),
    ("v_capacity", "", "capacity"),
    ("v_fuel", "", "fuel"),
    ("v_rating", "thermostat", "rating"),
    ("v_side", "thermostat", "side"),
    ("v_control", "thermostat", "control"),
    ("v_kind", "reservoir", "kind"),
    ("v_total", "reservoir", "total"),
    ("v_min_mark", "reservoir", "min_mark"),
    ("v_max_mark", "reservoir", "max_mark"),
    ("v_marks_apart", "reservoir", "marks_apart"),
    ("v_per_mm", "reservoir", "per_mm"),
    ("v_cap", "reservoir", "cap"),
    ("v_base", "coolant", "base"),
    ("v_percent", "coolant", "volume_percent"),
    ("v_offset", "sensor", "offset"),
];

/// Whether anything was typed.
pub fn is_filled(typed: &Typed) -> bool {
    ENTRIES.iter().any(|(field, ..)| !typed.text(field).is_empty())
}

/// The vehicle, and the file that states it.
///
/// # Errors
///
/// The fields that cannot be used.
pub fn read(typed: &Typed) -> Result<(Vehicle, String), Vec<Wrong>> {
    let mut file = Table::new();
    for (field, table, key) in ENTRIES.iter().filter(|(field, ..)| !typed.text(field).is_empty()) {
        let text = typed.text(field);
        let entry = match *field {
            "v_percent" => Value::Float(percent(text).ok_or_else(|| {
                vec![Wrong::new(
                    *field,
                    format!("`{}` is no percentage", shorten(text, 60)),
                    "write the share of concentrate by volume: 50",
                )]
            })?),
            _ => Value::String(text.to_owned()),
        };
        if table.is_empty() {
            file.insert((*key).to_owned(), entry);
        } else if let Value::Table(inside) = file.entry(*table).or_insert_with(|| Value::Table(Table::new())) {
            inside.insert((*key).to_owned(), entry);
        }
    }
    for (one, other, what) in [("v_base", "v_percent", "how strong the coolant is"), ("v_percent", "v_base", "what the coolant is made of")]
    {
        if !typed.text(one).is_empty() && typed.text(other).is_empty() {
            return Err(vec![Wrong::new(other, format!("{what} is missing"), "state both, or neither")]);
        }
    }
    let toml = toml::to_string(&file).map_err(|error| vec![Wrong::new("v_name", error.to_string(), "")])?;
    let vehicle = Vehicle::from_toml(&toml).map_err(|error| vec![wrong(&error)])?;
    Ok((vehicle, toml))
}

/// `50` or `50 %`.
fn percent(text: &str) -> Option<f64> {
    text.trim_end_matches('%').trim_end().replace(',', ".").parse().ok().filter(|percent: &f64| percent.is_finite())
}

/// The field whose entry the file's reader names.
fn wrong(error: &VehicleError) -> Wrong {
    let entry = match error {
        VehicleError::Quantity { entry, .. } | VehicleError::Contradiction { entry, .. } => entry,
        VehicleError::Syntax { .. } => "",
    };
    let of = |table: &str, key: &str| if table.is_empty() { key.to_owned() } else { format!("{table}.{key}") };
    let field = ENTRIES.iter().find(|(_, table, key)| of(table, key) == entry).map_or("v_name", |(field, ..)| field);
    let what = match error {
        VehicleError::Quantity { cause, .. } => cause.to_string(),
        VehicleError::Contradiction { reason, .. } => reason.clone(),
        VehicleError::Syntax { .. } => error.to_string(),
    };
    Wrong::new(field, what, error.hint())
}

/// The form's fields.
pub fn fields(fields: &Fields) -> String {
    let choice = |name: &'static str, label: &str, hint: &str, words: &[&str]| fields.words(name, label, hint, "not known", words);
    [
        "<div class=\"columns\">\n".to_owned(),
        fields.line("v_name", label("v_name"), "What you call it: <q>the bakery's van</q>. Its runs are found again by this.", ""),
        fields.line("v_capacity", label("v_capacity"), "With its unit: 7.2 L or 1.9 gal.", ""),
        choice("v_fuel", label("v_fuel"), "", &["petrol", "diesel", "gas"]),
        fields.line("v_rating", label("v_rating"), "Where it starts to open: 87 °C or 189 °F.", ""),
        choice("v_side", label("v_side"), "Outlet: before the radiator. Inlet: before the pump.", &["outlet", "inlet"]),
        choice("v_control", label("v_control"), "", &["wax", "heated", "driven"]),
        choice(
            "v_kind",
            label("v_kind"),
            "An expansion tank is under pressure; an overflow bottle stands behind the cap.",
            &["expansion tank", "overflow bottle"],
        ),
        fields.line("v_total", label("v_total"), "1.5 L", ""),
        fields.line("v_min_mark", label("v_min_mark"), "400 mL", ""),
        fields.line("v_max_mark", label("v_max_mark"), "800 mL", ""),
        fields.line("v_marks_apart", label("v_marks_apart"), "33 mm. Levels in mm need this, or the volume of one millimetre.", ""),
        fields.line("v_per_mm", label("v_per_mm"), "12 mL", ""),
        fields.line("v_cap", label("v_cap"), "Stamped on it: 110 kPa, 1.1 bar or 16 psi.", ""),
        choice("v_base", label("v_base"), "", &["ethylene glycol", "propylene glycol"]),
        fields.line("v_percent", label("v_percent"), "Per cent by volume: 50", " inputmode=\"decimal\""),
        fields.line("v_offset", label("v_offset"), "0 K if it reads right; -2 K if too low.", ""),
        "</div>\n".to_owned(),
    ]
    .concat()
}
