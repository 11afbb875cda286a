//! The vehicle file: what may stand in it, what it comes to, and what is refused, with the way out.

use wellbled::units::{Pressure, Temperature, TemperatureDifference, Volume};
use wellbled::vehicle::{Base, Control, Coolant, Fuel, ReservoirKind, Side, Vehicle, VehicleError};

const EVERY_ENTRY: &str = r#"
name = "the bakery's van"
capacity = "7.2 L"
fuel = "diesel"
[thermostat]
rating = "87 degC"
side = "outlet"
control = "wax"
[reservoir]
kind = "expansion tank"
total = "1.5 L"
min_mark = "400 mL"
max_mark = "800 mL"
per_mm = "12 mL"
cap = "110 kPa"
[coolant]
base = "ethylene glycol"
volume_percent = 50
[sensor]
offset = "0.5 K"
"#;

fn read(text: &str) -> Vehicle {
    Vehicle::from_toml(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// The error of a file, as the person sees it: message and hint.
fn refused(text: &str) -> (String, String) {
    match Vehicle::from_toml(text) {
        Ok(vehicle) => panic!("{text}: read as {vehicle:?}"),
        Err(error) => (error.to_string(), error.hint()),
    }
}

#[test]
fn a_file_with_every_entry() {
    let vehicle = read(EVERY_ENTRY);
    assert_eq!(vehicle.name.as_deref(), Some("the bakery's van"));
    assert_eq!(vehicle.capacity, Some(Volume::from_litres(7.2)));
    assert_eq!(vehicle.fuel, Some(Fuel::Diesel));
    assert_eq!(vehicle.thermostat.rating, Some(Temperature::from_celsius(87.0)));
    assert_eq!((vehicle.thermostat.side, vehicle.thermostat.control), (Side::Outlet, Control::Wax));
    assert_eq!(vehicle.reservoir.kind, Some(ReservoirKind::ExpansionTank));
    assert_eq!(vehicle.reservoir.total, Some(Volume::from_millilitres(1500.0)));
    assert_eq!(vehicle.reservoir.min_mark, Some(Volume::from_millilitres(400.0)));
    assert_eq!(vehicle.reservoir.max_mark, Some(Volume::from_millilitres(800.0)));
    assert_eq!(vehicle.reservoir.millilitres_per_mm, Some(12.0));
    assert_eq!(vehicle.reservoir.cap, Some(Pressure::from_kilopascals(110.0)));
    assert_eq!(vehicle.coolant, Some(Coolant { base: Base::EthyleneGlycol, volume_fraction: 0.5 }));
    assert_eq!(vehicle.sensor_offset, TemperatureDifference::from_kelvin(0.5));
}

#[test]
fn every_line_may_be_left_out() {
    assert_eq!(read(""), Vehicle::default());
    assert_eq!(read("# nothing known yet\n"), Vehicle::default());
    for skipped in EVERY_ENTRY.lines().filter(|line| line.contains('=')) {
        // The base and the strength of a coolant say nothing without each other.
        if !skipped.starts_with("base") && !skipped.starts_with("volume_percent") {
            read(&EVERY_ENTRY.replace(skipped, ""));
        }
    }
    assert_eq!(read("[thermostat]\n").thermostat.side, Side::Unknown);
    assert_eq!(read("name = \"  \"").name, None);
}

#[test]
fn a_file_from_a_text_editor_on_another_system_is_the_same_file() {
    let crlf = format!("\u{feff}{}", EVERY_ENTRY.replace('\n', "\r\n"));
    assert_eq!(read(&crlf), read(EVERY_ENTRY));
}

/// NIST SP 811: US gallon 3.785 411 784 L, pound-force per square inch 6.894 757 kPa, 1.8 °F to the kelvin.
#[test]
fn customary_units_become_si() {
    let vehicle = read(
        "capacity = \"1.9 gal\"\n[thermostat]\nrating = \"188 degF\"\n[reservoir]\ncap = \"16 psi\"\n[sensor]\noffset = \"-1.8 degF\"",
    );
    assert!((vehicle.capacity.unwrap().litres() - 7.192_282_39).abs() < 1e-8);
    assert!((vehicle.thermostat.rating.unwrap().celsius() - 86.666_666_67).abs() < 1e-8);
    assert!((vehicle.reservoir.cap.unwrap().kilopascals() - 110.316_112).abs() < 1e-6);
    assert!((vehicle.sensor_offset.kelvin() + 1.0).abs() < 1e-12);
    assert_eq!(read("capacity = \"7,2 L\"").capacity, Some(Volume::from_litres(7.2)), "a decimal comma");
}

#[test]
fn the_scale_of_the_reservoir_comes_from_its_marks_where_it_is_not_stated() {
    let marks = "[reservoir]\nmin_mark = \"400 mL\"\nmax_mark = \"800 mL\"\nmarks_apart = \"1.25 in\"";
    // 400 mL over 1.25 in = 31.75 mm
    assert!((read(marks).reservoir.millilitres_per_mm.unwrap() - 400.0 / 31.75).abs() < 1e-12);
    assert_eq!(read(&format!("{marks}\nper_mm = \"12 mL\"")).reservoir.millilitres_per_mm, Some(12.0), "what is stated counts");
    assert_eq!(read("[reservoir]\nmin_mark = \"400 mL\"").reservoir.millilitres_per_mm, None);
}

#[test]
fn a_quantity_that_is_none_is_named_with_the_units_that_would_do() {
    for (text, entry, was_there, unit) in [
        ("capacity = \"7.2\"", "capacity", "7.2", "gal"),
        ("capacity = \"seven litres\"", "capacity", "seven litres", "mL"),
        ("capacity = \"7.2 kPa\"", "capacity", "kPa", "L"),
        ("capacity = \"7,200 mL\"", "capacity", "7,200 mL", "thousands"),
        ("[thermostat]\nrating = \"87\"", "thermostat.rating", "87", "degC"),
        ("[reservoir]\ncap = \"1.1\"", "reservoir.cap", "1.1", "psi"),
        ("[reservoir]\nmin_mark = \"40 mm\"", "reservoir.min_mark", "mm", "mL"),
        ("[reservoir]\nmarks_apart = \"33 mL\"", "reservoir.marks_apart", "mL", "mm"),
        ("[sensor]\noffset = \"0\"", "sensor.offset", "0", "K"),
    ] {
        let (message, hint) = refused(text);
        assert!(message.contains(&format!("`{entry}`")) && message.contains(was_there), "{text}: {message}");
        assert!(hint.contains(unit), "{text}: {hint}");
    }
}

#[test]
fn what_no_road_vehicle_has_is_refused() {
    for (text, entry) in [
        ("capacity = \"0.2 L\"", "capacity"),
        ("capacity = \"720 L\"", "capacity"),
        ("capacity = \"-7 L\"", "capacity"),
        ("[thermostat]\nrating = \"188 degC\"", "thermostat.rating"),
        ("[thermostat]\nrating = \"8 degC\"", "thermostat.rating"),
        ("[reservoir]\ntotal = \"-1 L\"", "reservoir.total"),
        ("[reservoir]\nmin_mark = \"-400 mL\"", "reservoir.min_mark"),
        ("[reservoir]\nper_mm = \"0 mL\"", "reservoir.per_mm"),
        ("[reservoir]\nper_mm = \"12 L\"", "reservoir.per_mm"),
        ("[reservoir]\ncap = \"1.1 kPa\"", "reservoir.cap"),
        ("[reservoir]\ncap = \"110 bar\"", "reservoir.cap"),
        ("[reservoir]\nkind = \"tank\"", "reservoir.kind"),
        ("[coolant]\nbase = \"water\"\nvolume_percent = 50", "coolant.base"),
        ("[coolant]\nbase = \"ethylene glycol\"\nvolume_percent = 150", "coolant.volume_percent"),
        ("[coolant]\nbase = \"ethylene glycol\"\nvolume_percent = nan", "coolant.volume_percent"),
        ("[sensor]\noffset = \"87 K\"", "sensor.offset"),
    ] {
        let error = Vehicle::from_toml(text).expect_err(text);
        assert!(matches!(&error, VehicleError::Contradiction { entry: found, .. } if *found == entry), "{text}: {error}");
        assert!(error.hint().contains(entry), "{text}: {}", error.hint());
    }
}

#[test]
fn entries_that_cannot_both_be_true_are_refused() {
    let reservoir = |entries: &str| format!("[reservoir]\nmin_mark = \"400 mL\"\n{entries}");
    for (text, entry) in [
        (reservoir("max_mark = \"400 mL\""), "reservoir.max_mark"),
        (reservoir("total = \"300 mL\""), "reservoir.total"),
        (reservoir("max_mark = \"800 mL\"\ntotal = \"700 mL\""), "reservoir.total"),
        (reservoir("max_mark = \"800 mL\"\nmarks_apart = \"0 mm\""), "reservoir.marks_apart"),
        (reservoir("max_mark = \"800 mL\"\nmarks_apart = \"33 mm\"\nper_mm = \"1.2 mL\""), "reservoir.per_mm"),
        (reservoir("marks_apart = \"33 mm\""), "reservoir.marks_apart"),
        ("capacity = \"7 L\"\n[reservoir]\ntotal = \"15 L\"".to_owned(), "reservoir.total"),
        ("capacity = \"0.7 L\"\n[reservoir]\nmax_mark = \"800 mL\"".to_owned(), "reservoir.max_mark"),
    ] {
        let (message, _) = refused(&text);
        assert!(message.contains(&format!("`{entry}`")), "{text}: {message}");
    }
    read("[reservoir]\nmax_mark = \"800 mL\"\ntotal = \"800 mL\"");
}

/// A mistyped entry would be a statement that is quietly not used.
#[test]
fn an_unknown_entry_is_refused_and_the_line_is_shown() {
    for text in ["capcity = \"7.2 L\"", "[thermostat]\nrated = \"87 degC\"", "[reservior]\ncap = \"110 kPa\"", "fuel = \"petroleum\""] {
        let (message, hint) = refused(text);
        let typed = text.lines().last().unwrap_or_default().split_whitespace().next().unwrap_or_default();
        assert!(message.contains(typed) || message.contains("reservior"), "{text}: {message}");
        assert!(hint.contains("docs/vehicle-file.md"), "{hint}");
    }
    refused("capacity = 7.2");
    refused("capacity \"7.2 L\"");
    refused("[coolant]\nbase = \"ethylene glycol\"");
}
