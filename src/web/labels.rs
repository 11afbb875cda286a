//! What each field of the forms is called: above it, and in the list of what has to be changed.

/// Fields with their labels.
const LABELS: [(&str, &str); 27] = [
    ("v_name", "Name"),
    ("v_capacity", "Capacity of the whole system"),
    ("v_fuel", "Fuel"),
    ("v_rating", "Thermostat: stamped temperature"),
    ("v_side", "Thermostat: where it sits"),
    ("v_control", "Thermostat: what moves it"),
    ("v_kind", "Reservoir"),
    ("v_total", "Reservoir: whole tank"),
    ("v_min_mark", "Volume at the MIN mark"),
    ("v_max_mark", "Volume at the MAX mark"),
    ("v_marks_apart", "Distance between the marks"),
    ("v_per_mm", "Volume of one millimetre"),
    ("v_cap", "Opening pressure of the cap"),
    ("v_base", "Coolant made of"),
    ("v_percent", "Concentrate in it"),
    ("v_offset", "Coolant sensor reads too high by"),
    ("vehicle_known", "A vehicle that is known from kept runs"),
    ("notes", "Level notes (CSV)"),
    ("vehicle_file", "Vehicle file (TOML)"),
    ("before_work", "It was driven before the work"),
    ("against", "Compare with"),
    ("units", "Show in"),
    ("log", "Log of the drive (CSV, also packed with gzip)"),
    ("cold_before", "Cold, before the drive"),
    ("hot_after", "Hot, after the drive"),
    ("cold_after", "Cold again"),
    ("added", "Added after that"),
];

/// The label of a field; empty for one that has none.
pub fn label(field: &str) -> &'static str {
    LABELS.iter().find(|(name, _)| *name == field).map_or("", |(_, label)| label)
}
