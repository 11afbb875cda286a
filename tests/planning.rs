//! Planning a refill: what is poured, what it stands, when it is due, what to expect, and what is refused.
//!
//! Values from outside come first (`reference/`, see its README-planning.md), then made jobs with known truth, then the trade's own
//! examples. The page `docs/planning.md` is part of the test: its worked examples are reckoned again, line by line, and its table of
//! reference tables is compared with what is found here.

use chrono::NaiveDate;
use std::path::PathBuf;
use wellbled::analysis::cooling_down::usual_wait;
use wellbled::analysis::levels::system::CAVITY_PER_K;
use wellbled::coolant::boiling::air_pressure_at_altitude;
use wellbled::coolant::{Base, Mixture, expansion};
use wellbled::estimate::{Estimate, Unit};
use wellbled::planning::circuit::DrainFits;
use wellbled::planning::coming_drive::{OpensBy, StopSign};
use wellbled::planning::figure::{grouped, percent, volume};
use wellbled::planning::job::{Drain, Drains, Fill, Measured, Present, Price, Wanted};
use wellbled::planning::mixing::lost_share;
use wellbled::planning::product::{Life, Product};
use wellbled::planning::rounds::{Reach, drains_needed};
use wellbled::planning::strength::{Strength, share_for};
use wellbled::planning::{Job, Plan, PlanError, Remark, Stage};
use wellbled::units::{Pressure, Temperature, Volume, VolumeFraction, parse};
use wellbled::vehicle::{Control, ReservoirKind, Side, Vehicle};
use wellbled::verdict::cautions::Caution;

// --- helpers ---------------------------------------------------------------------------------------------------------------------

fn celsius(value: f64) -> Temperature {
    Temperature::from_celsius(value)
}

/// A volume measured at 20 °C, so that nothing is added or taken away.
fn at_20(litres: f64) -> Measured {
    Measured { volume: Volume::from_litres(litres), within: None, temperature: Some(celsius(20.0)) }
}

fn drained(litres: f64) -> Drain {
    Drain { measured: Some(at_20(litres)), ..Drain::default() }
}

fn percent_by_volume(percent: f64) -> Strength {
    Strength::VolumePercent(percent)
}

fn holding(percent: f64) -> Present {
    Present { strength: Some(percent_by_volume(percent)), ..Present::default() }
}

fn ready(percent: f64) -> Fill {
    Fill::ReadyMix { strength: percent_by_volume(percent) }
}

fn wanted(percent: f64) -> Option<Wanted> {
    Some(Wanted::Strength(percent_by_volume(percent)))
}

/// A job on so many litres.
fn job(capacity: f64) -> Job {
    Job { capacity: Some(at_20(capacity)), ..Job::default() }
}

fn plan(job: &Job) -> Plan {
    Plan::of(&Vehicle::default(), job).unwrap_or_else(|error| panic!("{job:?}: {error}"))
}

fn refused(job: &Job) -> (String, String) {
    match Plan::of(&Vehicle::default(), job) {
        Ok(plan) => panic!("{job:?}: planned as {plan:?}"),
        Err(error) => (error.to_string(), error.hint()),
    }
}

fn holds(estimate: &Estimate, truth: f64) -> bool {
    (estimate.interval_95[0]..=estimate.interval_95[1]).contains(&truth)
}

fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((got - expected).abs() <= tolerance, "{what}: got {got}, expected {expected} ± {tolerance}");
}

fn page() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/planning.md");
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

// --- values from outside ---------------------------------------------------------------------------------------------------------

/// One row of a table, read by the name of the column.
struct Row {
    headings: csv::StringRecord,
    cells: csv::StringRecord,
}

impl Row {
    fn text(&self, column: &str) -> &str {
        let at = self.headings.iter().position(|heading| heading == column).unwrap_or_else(|| panic!("no column {column}"));
        &self.cells[at]
    }
    fn optional(&self, column: &str) -> Option<f64> {
        self.text(column).parse().ok()
    }
    fn number(&self, column: &str) -> f64 {
        self.optional(column).unwrap_or_else(|| panic!("no number in {column}: {:?}", self.cells))
    }
    fn base(&self) -> Base {
        if self.text("glycol") == "EG" { Base::EthyleneGlycol } else { Base::PropyleneGlycol }
    }
}

fn table(name: &str) -> Vec<Row> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let headings = reader.headers().unwrap().clone();
    reader.records().map(|cells| Row { headings: headings.clone(), cells: cells.unwrap() }).collect()
}

/// The largest difference from a table.
#[derive(Default)]
struct Worst {
    rows: usize,
    difference: f64,
    place: String,
}

impl Worst {
    fn compare(&mut self, got: f64, expected: f64, place: impl std::fmt::Debug) {
        self.rows += 1;
        let difference = (got - expected).abs();
        assert!(difference.is_finite(), "{place:?}: got {got}");
        if difference >= self.difference {
            self.difference = difference;
            self.place = format!("{place:?}: got {got:.8}, the table says {expected:.8}");
        }
    }

    /// Fails past the tolerance, and unless `docs/planning.md` states rows and difference in the line that begins with `name`.
    fn assert_within(&self, tolerance: f64, unit: &str, name: &str) {
        println!("{name}: {} rows, largest difference {:.2e} {unit} ({})", self.rows, self.difference, self.place);
        assert!(self.difference <= tolerance, "{name}: {:.3e} > {tolerance:.1e}: {}", self.difference, self.place);
        // Under a billionth it is the arithmetic's own rounding, which differs between machines.
        let shown = match self.difference {
            none if none < 1e-9 => "none".to_owned(),
            little if little < 1e-3 => format!("{little:.0e} {unit}"),
            more => format!("{more:.2} {unit}"),
        };
        let expected = format!("| {name} | {} | {shown} |", self.rows);
        assert!(page().lines().any(|line| line.starts_with(&expected)), "docs/planning.md does not say `{expected}`");
    }
}

/// Closed form (1 − d)ⁿ. The table has ten decimals.
#[test]
fn what_is_left_of_the_old_coolant_follows_the_closed_form() {
    let mut worst = Worst::default();
    for row in table("dilution_residual.csv") {
        let (share, drains) = (row.number("drained_fraction_each_time"), row.number("exchanges") as u32);
        let Some(index) = drains.checked_sub(1) else { continue };
        let found = plan(&Job { drain: Drain { share: Some(share), ..Drain::default() }, fill: ready(50.0), rounds: drains, ..job(8.0) });
        worst.compare(found.old_left[index as usize].value, row.number("old_coolant_fraction_left"), (share, drains));
    }
    worst.assert_within(5.1e-11, "", "`dilution_residual.csv`");
}

/// The smallest n with (1 − d)ⁿ not above the goal. Whole numbers: no tolerance.
#[test]
fn drains_for_a_wanted_share_are_counted_as_the_table_counts_them() {
    let mut worst = Worst::default();
    for row in table("dilution_exchanges_needed.csv") {
        let (share, goal) = (row.number("drained_fraction_each_time"), row.number("goal_old_left_pct_at_most") / 100.0);
        let found = plan(&Job {
            drain: Drain { share: Some(share), ..Drain::default() },
            fill: ready(50.0),
            wanted_new: Some(1.0 - goal),
            ..job(8.0)
        });
        let drains = found.needed.and_then(|needed| needed.drains).unwrap();
        worst.compare(f64::from(drains), row.number("exchanges_needed"), (share, goal));
    }
    worst.assert_within(0.0, "drains", "`dilution_exchanges_needed.csv`");
}

/// Closed form f + (c₀ − f)(1 − d)ⁿ, in per cent with eight decimals.
#[test]
fn strength_after_repeated_fills_follows_the_closed_form() {
    let mut worst = Worst::default();
    for row in table("dilution_concentration.csv") {
        let rounds = row.number("exchanges") as u32;
        if rounds == 0 {
            continue;
        }
        let found = plan(&Job {
            drain: Drain { share: Some(row.number("drained_fraction")), ..Drain::default() },
            present: holding(row.number("start_glycol_volume_pct")),
            fill: ready(row.number("fill_glycol_volume_pct")),
            rounds,
            ..job(8.0)
        });
        worst.compare(100.0 * found.strength.value, row.number("glycol_volume_pct"), &row.cells);
    }
    worst.assert_within(5.1e-9, "points", "`dilution_concentration.csv`");
}

/// Strengths and volumes of a fill: `4 at 100 % + 1 at 0 %`.
fn parts(filled: &str) -> Vec<(f64, f64)> {
    let part = |text: &str| {
        let (volume, percent) = text.trim().trim_end_matches('%').trim().split_once(" at ").unwrap();
        (volume.parse().unwrap(), percent.parse().unwrap())
    };
    filled.split('+').map(part).collect()
}

/// Stepwise recursions, rinses, concentrate and ready mixtures, six decimals in per cent.
#[test]
fn the_worked_jobs_come_out_step_by_step() {
    let rows = table("dilution_worked.csv");
    let mut worst = Worst::default();
    for start in rows.iter().filter(|row| row.text("action") == "start") {
        let steps: Vec<&Row> = rows.iter().filter(|row| row.text("case") == start.text("case") && row.text("action") != "start").collect();
        let last = steps.last().unwrap();
        let fills: Vec<Vec<(f64, f64)>> = steps.iter().map(|row| parts(row.text("filled"))).collect();
        let rinses = fills.iter().filter(|fill| fill.len() == 1 && fill[0].1 == 0.0).count() as u32;
        let with_concentrate = fills.last().unwrap().iter().any(|(_, percent)| *percent == 100.0);
        let found = plan(&Job {
            drain: drained(last.number("drained_volume")),
            present: holding(start.number("glycol_volume_pct")),
            fill: if with_concentrate { Fill::Concentrate { percent: 100.0 } } else { ready(fills[0][0].1) },
            wanted: with_concentrate.then(|| wanted(last.number("glycol_volume_pct"))).flatten(),
            rinses,
            rounds: steps.len() as u32 - rinses,
            ..job(last.number("system_volume"))
        });
        assert_eq!(found.rounds.len(), steps.len());
        for (round, step) in found.rounds.iter().zip(&steps) {
            worst.compare(100.0 * round.strength.value, step.number("glycol_volume_pct"), &step.cells);
            worst.compare(100.0 * round.old_left.value, step.number("old_coolant_left_pct"), &step.cells);
        }
        // As much concentrate as the fills of the case hold, whatever they were mixed from.
        if with_concentrate {
            let poured: f64 = fills.iter().flatten().map(|(volume, percent)| volume * percent / 100.0).sum();
            near(found.product_used.value / 1000.0, poured, 1e-6, start.text("case"));
        }
    }
    worst.assert_within(5.1e-7, "points", "`dilution_worked.csv`");
}

/// The concentrate that brings a part drain to a strength, and whether there is room for it; six decimals.
#[test]
fn concentrate_for_a_wanted_strength_fits_or_is_said_not_to() {
    let mut worst = Worst::default();
    for row in table("dilution_concentrate_needed.csv") {
        let (system, left) = (row.number("system_volume"), row.number("volume_left_after_drain"));
        let found = plan(&Job {
            drain: drained(system - left),
            present: holding(row.number("glycol_pct_of_what_is_left")),
            wanted: wanted(row.number("target_pct")),
            ..job(system)
        });
        worst.compare(100.0 * found.strongest_in_one.value, row.number("highest_reachable_pct"), &row.cells);
        worst.compare(found.drained.value / 1000.0, row.number("room"), &row.cells);
        let reachable = row.text("reachable") == "yes";
        if reachable {
            worst.compare(found.rounds[0].product.value / 1000.0, row.number("concentrate_needed"), &row.cells);
            worst.compare(found.rounds[0].water.value / 1000.0, row.number("water_to_add"), &row.cells);
        } else {
            assert_eq!(found.reached_in_one, Some(Reach::No), "{:?}", row.cells);
            assert_eq!(found.rounds[0].water.value, 0.0, "it comes as near as it can: {:?}", row.cells);
        }
    }
    worst.assert_within(5.1e-7, "L or points", "`dilution_concentrate_needed.csv`");
}

/// Melinder's density against those of the parts at 20 °C. The table takes water from IAPWS-95 and has three decimals; under 10 % by mass
/// the program joins the polynomial to water, which the table does not.
#[test]
fn the_loss_on_mixing_is_that_of_the_densities() {
    let mut worst = Worst::default();
    for row in table("glycol_mass_volume.csv") {
        let Some(change) = row.optional("mixing_volume_change_pct_melinder_20degC").filter(|_| row.number("mass_pct") >= 10.0) else {
            continue;
        };
        let share = row.number("volume_pct_unmixed_at_20degC") / 100.0;
        worst.compare(100.0 * lost_share(row.base(), share).unwrap(), -change, &row.cells);
    }
    worst.assert_within(0.004, "points", "`glycol_mass_volume.csv`, volume lost on mixing");
    assert!(lost_share(Base::EthyleneGlycol, 0.0).unwrap().abs() < 1e-9 && lost_share(Base::EthyleneGlycol, 1.0).unwrap() == 0.0);
}

/// ASHRAE (2001): a reading of each tabulated freezing point gives back its share by volume.
#[test]
fn a_reading_is_read_back_through_ashraes_table() {
    for (base, tag) in [(Base::EthyleneGlycol, "eg"), (Base::PropyleneGlycol, "pg")] {
        let name = format!("glycol_{tag}_freezing_ashrae2001.csv");
        let mut worst = Worst::default();
        for row in table(&name).iter().filter(|row| row.number("glycol_volume_pct") <= 60.0) {
            let reading = celsius(row.number("freezing_point_degC"));
            let found = Strength::FreezesAt(reading).of_label(base).unwrap();
            worst.compare(100.0 * found.value, row.number("glycol_volume_pct"), &row.cells);
        }
        worst.assert_within(1e-6, "points", &format!("`{name}`, read backwards"));
    }
}

/// Every other published freezing point lies in the interval of its own reading, up to 60 % by volume; but one operator's manual in whole
/// degrees, whose last entry stands at the end of the tables. An engine handbook that does not state its basis is left out: by mass or by
/// volume, it stands apart from all others.
#[test]
fn the_interval_of_a_reading_holds_what_other_tables_say() {
    let (mut rows, mut outside) = (0, Vec::new());
    for row in table("glycol_freezing_all_sources.csv") {
        let (base, reading) = (row.base(), row.number("freezing_point_degC"));
        let stated = row.number("glycol_pct");
        let strength = if row.text("basis").contains("mass") { Strength::MassPercent(stated) } else { percent_by_volume(stated) };
        let truth = strength.of_label(base).unwrap().value;
        if truth > 0.60 || reading > 0.0 || row.text("source").contains("basis not stated") {
            continue;
        }
        let Ok(found) = Strength::FreezesAt(celsius(reading)).of_system(base) else { continue };
        rows += 1;
        if !holds(&found, truth) {
            outside.push(format!("{:?}: {}", row.cells, percent(&found)));
        }
    }
    println!("readings of all tables: {rows}, {} outside: {outside:#?}", outside.len());
    assert!(rows >= 150 && outside.len() <= 1, "{rows} rows, outside: {outside:#?}");
}

/// Raoult's law by another hand. Its vapour pressures are those of the thermo library and IAPWS-95, ours the WebBook's Antoine
/// constants and IF97: 0.1 K covers the difference, as in the test of the coolant itself.
#[test]
fn boiling_points_are_raoults_at_air_pressure_and_under_a_cap() {
    let mut worst = Worst::default();
    for row in table("glycol_boiling.csv") {
        let gauge = 100.0 * row.number("gauge_bar");
        if !row.text("basis").starts_with("volume") || row.number("glycol_pct") > 60.0 || (gauge > 0.0 && gauge < 10.0) {
            continue;
        }
        let found = plan(&Job {
            base: Some(row.base()),
            drain: Drain { share: Some(1.0), ..Drain::default() },
            fill: ready(row.number("glycol_pct")),
            air_pressure: Some(Pressure::from_kilopascals(row.number("pressure_abs_kPa") - gauge.max(0.0))),
            cap: (gauge > 0.0).then(|| Pressure::from_kilopascals(gauge)),
            ..job(8.0)
        });
        let boils = if gauge > 0.0 { found.protection.boils_at_cap } else { found.protection.boils_at_air }.unwrap();
        worst.compare(boils.value, row.number("boiling_raoult_degC"), &row.cells);
        for model in ["boiling_unifac_degC", "boiling_unifac_dortmund_degC"] {
            assert!(holds(&boils, row.number(model)), "{model} {:?}: {}", row.cells, boils.spoken());
        }
    }
    worst.assert_within(0.1, "K", "`glycol_boiling.csv`, Raoult, at air pressure and under a cap");
}

/// ASTM D3306, figures from memory: half-and-half freezes at or below, and boils at or above (0.1 K for its rounding). The table of
/// `docs/planning.md` states them and what is found here.
#[test]
fn half_and_half_meets_the_remembered_standard() {
    for (base, freezes, boils) in [(Base::EthyleneGlycol, -36.4, 107.8), (Base::PropyleneGlycol, -31.0, 104.0)] {
        let found = plan(&Job {
            base: Some(base),
            drain: Drain { share: Some(1.0), ..Drain::default() },
            fill: ready(50.0),
            air_pressure: Some(Pressure::from_kilopascals(101.325)),
            ..job(8.0)
        });
        let protection = &found.protection;
        let (ashrae, raoult) = (protection.freezing_ashrae.unwrap().value, protection.boils_at_air.unwrap().value);
        assert!(ashrae <= freezes && raoult >= boils - 0.1, "{base:?}: {ashrae}, {raoult}");
        let minus = |value: f64| format!("{value:.1}").replace('-', "−").replace(".0 ", " ");
        let freezes = minus(freezes).trim_end_matches(".0").to_owned();
        let boils = format!("{boils:.1}").trim_end_matches(".0").to_owned();
        let line = format!("| {} | {freezes} °C | {boils} °C | {} °C | {raoult:.1} °C |", base.spoken(), minus(ashrae));
        assert!(page().contains(&line), "docs/planning.md does not say `{line}`");
    }
}

// --- made jobs with known truth --------------------------------------------------------------------------------------------------

/// Numbers from a fixed start (a linear congruential generator: Knuth's constants, from memory).
struct Chance(u64);

impl Chance {
    fn even(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn normal(&mut self, u: f64) -> f64 {
        let (r, angle) = ((-2.0 * self.even(1e-12, 1.0).ln()).sqrt(), self.even(0.0, std::f64::consts::TAU));
        u * r * angle.cos()
    }
}

/// Capacity, pan and strength are off as much as is reckoned with; the planned concentrate is poured, then water up to the mark. The
/// intervals for the strength and for what is left of the old hold the truth 95 times in 100; 92 to 98.5 allow for chance, for a
/// uniform error being taken as normal, and for straight pieces in place of curves.
#[test]
fn intervals_hold_the_truth_of_made_jobs() {
    let mut chance = Chance(20_260_302);
    let jobs = 4000;
    let (mut strength_held, mut old_held, mut frozen_early) = (0, 0, 0);
    for _ in 0..jobs {
        let (capacity, share) = (chance.even(4.0, 20.0), chance.even(0.35, 0.85));
        let (stated, target) = (chance.even(20.0, 55.0), chance.even(40.0, 50.0));
        let pan = capacity * share;
        let rounds = if chance.even(0.0, 1.0) < 0.5 { 1 } else { 2 };
        let with_ready_mix = chance.even(0.0, 1.0) < 0.3;
        let found = plan(&Job {
            drain: drained(pan),
            present: holding(stated),
            fill: if with_ready_mix { ready(50.0) } else { Fill::Concentrate { percent: 100.0 } },
            wanted: (!with_ready_mix).then(|| wanted(target)).flatten(),
            rounds,
            ..job(capacity)
        });
        let true_capacity = capacity * (1.0 + chance.normal(0.02));
        let room = (pan * (1.0 + chance.normal(0.025))).min(true_capacity);
        let mut strength = stated / 100.0 + chance.even(-0.05, 0.05);
        let product = if with_ready_mix { 0.5 + chance.even(-0.01, 0.01) } else { 1.0 };
        for round in &found.rounds {
            let planned = round.product.value / 1000.0;
            let poured = if with_ready_mix || round.water.value < 1e-6 { room } else { planned.min(room) };
            strength = (strength * (true_capacity - room) + product * poured) / true_capacity;
        }
        let old = (1.0 - room / true_capacity).powi(rounds as i32);
        strength_held += usize::from(holds(&found.strength, strength));
        old_held += usize::from(holds(&found.rounds.last().unwrap().old_left, old));
        // What may be relied on is relied on by the warmest curve at the weakest strength.
        let relied_on = found.protection.relied_on().unwrap();
        let needed = share_for(Base::EthyleneGlycol, celsius(relied_on.min(0.0))).unwrap_or(0.6);
        frozen_early += usize::from(strength < needed - 1e-6);
    }
    let shares = [strength_held, old_held].map(|held| 100.0 * held as f64 / jobs as f64);
    println!("held: strength {:.1} %, old coolant left {:.1} %; weaker than relied on {frozen_early} of {jobs}", shares[0], shares[1]);
    assert!(shares.iter().all(|share| (92.0..=98.5).contains(share)), "{shares:?}");
    assert!(frozen_early * 25 <= jobs, "{frozen_early} of {jobs} were weaker than what was relied on");
}

// --- what to pour ----------------------------------------------------------------------------------------------------------------

#[test]
fn a_wanted_freezing_point_is_met_by_the_warmest_curve() {
    for base in [Base::EthyleneGlycol, Base::PropyleneGlycol] {
        let found = plan(&Job {
            base: Some(base),
            drain: Drain { share: Some(1.0), ..Drain::default() },
            wanted: Some(Wanted::ProtectedTo(celsius(-30.0))),
            capacity: Some(Measured { within: Some(Volume::from_litres(0.0)), ..at_20(8.0) }),
            ..Job::default()
        });
        // Nothing stays, capacity and concentrate are exact: only the publications' band is left.
        near(found.protection.relied_on().unwrap(), -30.0, 0.01, base.spoken());
        assert!(found.protection.freezing.unwrap().value < -30.0);
        assert!(!found.remarks.iter().any(|remark| matches!(remark, Remark::CheckStrength { .. })));
    }
}

#[test]
fn mass_and_volume_and_a_reading_state_the_same_strength() {
    let half = |strength: Strength| strength.of_system(Base::EthyleneGlycol).unwrap();
    // 52.72 % by mass are 50 % by volume with the densities of README.md: 1113.389 and 998.207 kg/m³.
    near(half(Strength::MassPercent(52.727)).value, 0.5, 1e-4, "by mass");
    let read = half(Strength::FreezesAt(celsius(-37.0)));
    near(read.value, 0.5, 0.002, "ASHRAE has −36.4 °C at 49.6 % and −37.9 °C at 50.6 %");
    assert!(read.interval_95[0] > 0.45 && read.interval_95[1] < 0.54 && holds(&read, 0.48), "{}", percent(&read));
    assert_eq!(half(percent_by_volume(0.0)).standard_uncertainty, 0.0, "water is water");
}

#[test]
fn a_strong_rest_asks_for_water_only_and_says_so() {
    let found = plan(&Job { drain: drained(2.0), present: holding(58.0), wanted: wanted(40.0), ..job(8.0) });
    assert_eq!(found.rounds[0].product.value, 0.0);
    assert!(found.remarks.iter().any(|remark| matches!(remark, Remark::StaysStronger { .. })), "{:?}", found.remarks);
}

#[test]
fn beyond_the_tables_there_is_a_warning_and_no_number() {
    let found = plan(&Job { drain: drained(7.0), present: holding(50.0), fill: ready(70.0), ..job(8.0) });
    assert!(found.strength.value > 0.6 && found.protection.freezing.is_none() && found.protection.freezing_melinder.is_none());
    let said = found.remarks.iter().find(|remark| matches!(remark, Remark::TooStrong { .. })).expect("a warning").spoken();
    assert!(said.contains("60 %") && said.contains("from memory"), "{said}");
    let weak = plan(&Job { drain: drained(5.0), present: holding(50.0), fill: ready(20.0), ..job(8.0) });
    assert!(weak.remarks.iter().any(|remark| matches!(remark, Remark::TooWeak { .. })));
}

#[test]
fn a_second_round_of_concentrate_reaches_what_the_first_could_not() {
    let base = Job { drain: drained(3.0), present: holding(0.0), wanted: wanted(50.0), ..job(8.0) };
    let one = plan(&base);
    assert_eq!(one.reached_in_one, Some(Reach::No));
    assert!(one.remarks.iter().any(|remark| matches!(remark, Remark::NotInOneRound { .. })));
    let two = plan(&Job { rounds: 2, ..base });
    near(two.strength.value, 0.5, 1e-9, "after two rounds");
    assert!(two.remarks.contains(&Remark::RunBetweenRounds));
    assert!(two.rounds[1].water.value > 0.0, "the second round needs less than there is room for");
}

#[test]
fn coolant_used_is_summed_and_priced() {
    let price = Some(Price { per_litre: 6.0, currency: "EUR".to_owned() });
    let found = plan(&Job { drain: drained(5.0), fill: ready(50.0), rinses: 1, rounds: 2, price, ..job(8.0) });
    near(found.product_used.value, 10_000.0, 1e-6, "two rounds of 5 L");
    near(found.water_used.value, 5_000.0, 1e-6, "one rinse of 5 L");
    let cost = found.cost.unwrap();
    near(cost.value, 60.0, 1e-9, "10 L at 6 EUR");
    assert!(cost.interval_95[0] < 58.0 && cost.interval_95[1] > 62.0 && cost.unit == "EUR");
}

#[test]
fn an_uncertain_drain_widens_what_follows() {
    let known = plan(&Job { drain: drained(4.0), present: holding(45.0), wanted: wanted(50.0), ..job(8.0) });
    let within = Measured { within: Some(Volume::from_litres(1.0)), ..at_20(4.0) };
    let vague = plan(&Job {
        drain: Drain { measured: Some(within), ..Drain::default() },
        present: holding(45.0),
        wanted: wanted(50.0),
        ..job(8.0)
    });
    assert_eq!(known.rounds[0].product.value, vague.rounds[0].product.value);
    assert!(vague.old_left[0].standard_uncertainty > 2.0 * known.old_left[0].standard_uncertainty);
    near(vague.drained.interval_95[1] - vague.drained.value, 1000.0, 10.0, "the half-width that was stated");
    let planned = plan(&Job {
        drain: Drain { opened: Some(Drains::RadiatorOnly), ..Drain::default() },
        present: holding(45.0),
        wanted: wanted(50.0),
        ..job(8.0)
    });
    assert!(planned.old_left[0].standard_uncertainty > known.old_left[0].standard_uncertainty);
    assert!(planned.remarks.contains(&Remark::BlockStaysFull));
}

// --- when it is due again --------------------------------------------------------------------------------------------------------

fn due(share_of_17: f64, job: Job) -> Plan {
    plan(&Job { drain: drained(share_of_17), fill: ready(50.0), present: Present { product: job.product, ..holding(50.0) }, ..job })
}

/// Common practice, no source: 10 of 17 L renewed on a coolant of 160 000 km is called about 100 000 km. Agreement within 10 %.
#[test]
fn ten_of_seventeen_litres_are_good_for_about_a_hundred_thousand_kilometres() {
    let stated =
        Job { product: Some(Product::HybridOrganic), odometer_km: Some(182_000.0), date: NaiveDate::from_ymd_opt(2026, 3, 2), ..job(17.0) };
    let interval = due(10.0, stated).interval.unwrap();
    let distance = interval.distance.as_ref().unwrap();
    near(distance.value, 100_000.0, 10_000.0, "the trade's figure");
    near(distance.value, 160_000.0 * 10.0 / 17.0, 0.5, "in proportion to the share renewed");
    assert!(distance.interval_95[0] < 90_000.0 && distance.interval_95[1] > 98_000.0);
    near(interval.due_odometer.as_ref().unwrap().value, 276_117.6, 0.5, "odometer");
    assert_eq!(interval.due_date, NaiveDate::from_ymd_opt(2029, 2, 2), "10/17 of 60 months, 35 whole ones");
    let reasoning = interval.reasoning().join(" ");
    for said in [
        "160\u{a0}000 km or 5 years",
        "common practice, no source",
        "59 %",
        "counted as spent",
        "whichever comes first",
        "maker's schedule outranks",
    ] {
        assert!(reasoning.contains(said), "`{said}` is not in: {reasoning}");
    }
}

#[test]
fn a_stated_life_replaces_the_usual_one() {
    let stated = Job { product: Some(Product::Inorganic), life: Some(Life { km: None, years: Some(3.0) }), ..job(10.0) };
    let interval = due(10.0, stated).interval.unwrap();
    assert_eq!(interval.distance, None);
    near(interval.time.as_ref().unwrap().value, 3.0, 1e-9, "all of it is new");
    assert!(!interval.reasoning().join(" ").contains("whichever"), "there is one count only");
    assert_eq!(plan(&Job { drain: drained(5.0), fill: ready(50.0), ..job(8.0) }).interval, None, "nothing is known of the product");
}

#[test]
fn types_that_mix_are_warned_about_and_the_shorter_life_counts() {
    let mixed = |drain: f64, rounds: u32| {
        plan(&Job {
            drain: drained(drain),
            fill: ready(50.0),
            rounds,
            present: Present { product: Some(Product::Inorganic), ..holding(50.0) },
            product: Some(Product::Organic),
            ..job(10.0)
        })
    };
    let part = mixed(6.0, 1);
    assert_eq!(part.interval.as_ref().unwrap().full_life, Product::Inorganic.usual_life());
    let said: String = part.remarks.iter().map(Remark::spoken).collect();
    assert!(said.contains("Inorganic coolant meets organic coolant"), "{said}");
    let rinsed = mixed(8.0, 2);
    assert_eq!(rinsed.interval.as_ref().unwrap().full_life, Product::Organic.usual_life(), "4 % of the old are left");
    assert!(rinsed.remarks.iter().any(|remark| matches!(remark, Remark::TypesMix { .. })), "and they are still named");
    let unknown = plan(&Job { drain: drained(6.0), fill: ready(50.0), product: Some(Product::Organic), ..job(10.0) });
    assert!(unknown.remarks.contains(&Remark::OldTypeUnknown));
}

#[test]
fn two_bases_in_one_system_are_given_the_worse_of_both() {
    let of = |old: Base| {
        let present = Present { base: Some(old), ..holding(50.0) };
        plan(&Job { base: Some(Base::PropyleneGlycol), drain: drained(4.0), present, fill: ready(50.0), altitude_m: Some(0.0), ..job(8.0) })
    };
    let (alone, mixed) = (of(Base::PropyleneGlycol), of(Base::EthyleneGlycol));
    assert!(mixed.remarks.iter().any(|remark| matches!(remark, Remark::BasesMix { .. })));
    assert!(mixed.protection.relied_on() >= alone.protection.relied_on());
    assert!(mixed.protection.boils_at_air.unwrap().value <= alone.protection.boils_at_air.unwrap().value);
}

// --- drained against filled ------------------------------------------------------------------------------------------------------

/// 10 L drained at 60 °C are about 0.2 L less at 20 °C (half ethylene glycol: 2.1 %).
#[test]
fn drained_and_filled_are_brought_to_one_temperature() {
    let warm = Measured { temperature: Some(celsius(60.0)), ..at_20(10.0) };
    let found = plan(&Job {
        drain: Drain { measured: Some(warm), ..Drain::default() },
        present: holding(50.0),
        fill: ready(50.0),
        filled: Some(at_20(9.3)),
        ..job(12.0)
    });
    let account = found.account.as_ref().unwrap();
    near(account.drained.value, 9790.0, 15.0, "10 L at 60 °C");
    near(account.air.value, 490.0, 15.0, "air to come out");
    near(account.air.standard_uncertainty, 0.025 * 9790f64.hypot(9300.0), 12.0, "a pan is read to 2.5 %");
    assert!(matches!(
        found.remarks.iter().find(|remark| remark.stage() == Stage::Fill && remark.spoken().contains("pan")),
        Some(Remark::FillAgrees { .. })
    ));
    near(found.drained.value, account.drained.value, 1e-9, "the plan reckons with what came out at 20 °C");
}

#[test]
fn a_shortfall_is_an_estimate_and_no_verdict() {
    let fill = |litres: f64| plan(&Job { drain: drained(10.0), fill: ready(50.0), filled: Some(at_20(litres)), ..job(17.0) });
    let said = |plan: &Plan| plan.remarks.iter().map(Remark::spoken).collect::<Vec<_>>().join(" ");
    let short = fill(8.5);
    assert!(short.remarks.iter().any(|remark| matches!(remark, Remark::AirToComeOut { .. })));
    assert!(said(&short).contains("no verdict"), "{}", said(&short));
    let over = fill(11.5);
    assert!(over.remarks.iter().any(|remark| matches!(remark, Remark::MoreWentIn { .. })));
    assert!(over.account.unwrap().air.value < 0.0);
}

#[test]
fn a_drain_is_held_against_what_was_opened() {
    let opened = |litres: f64, opened: Option<Drains>| {
        let drain = Drain { opened, ..drained(litres) };
        let found = plan(&Job { drain, fill: ready(50.0), ..job(10.0) });
        found.remarks.into_iter().find_map(|remark| match remark {
            Remark::DrainLooksLike { looks_like, .. } => Some(looks_like),
            _ => None,
        })
    };
    assert_eq!(opened(4.0, Some(Drains::RadiatorAndBlock)), Some(DrainFits::RadiatorOnly), "the block is still full");
    assert_eq!(opened(7.5, Some(Drains::RadiatorAndBlock)), None);
    assert_eq!(opened(4.0, Some(Drains::RadiatorOnly)), None);
    assert_eq!(opened(7.5, Some(Drains::RadiatorOnly)), Some(DrainFits::RadiatorAndBlock));
    assert_eq!(opened(1.5, None), Some(DrainFits::LessThanRadiator));
    assert_eq!(opened(10.3, None), Some(DrainFits::MoreThanCapacity), "within what a pan is off");
    let everything = plan(&Job { drain: drained(10.3), fill: ready(50.0), ..job(10.0) });
    assert_eq!(everything.left.value, 0.0);
    assert!(everything.old_left[0].interval_95[1] > 0.0, "but perhaps not everything came out");
}

// --- the coming drive ------------------------------------------------------------------------------------------------------------

fn van() -> Vehicle {
    let text = r#"
        capacity = "7.2 L"
        [thermostat]
        rating = "87 degC"
        side = "outlet"
        control = "wax"
        [reservoir]
        kind = "expansion tank"
        per_mm = "12 mL"
        cap = "110 kPa"
        [coolant]
        base = "ethylene glycol"
        volume_percent = 50
    "#;
    Vehicle::from_toml(text).unwrap()
}

fn refill() -> Job {
    Job { drain: drained(4.0), wanted: wanted(50.0), ambient: Some(celsius(10.0)), altitude_m: Some(0.0), ..Job::default() }
}

#[test]
fn the_opening_is_expected_about_the_stamp_of_a_wax_thermostat() {
    let expected = |control: Control, side: Side, offset: f64| {
        let mut vehicle = van();
        (vehicle.thermostat.control, vehicle.thermostat.side) = (control, side);
        vehicle.sensor_offset = wellbled::units::TemperatureDifference::from_kelvin(offset);
        Plan::of(&vehicle, &refill()).unwrap().coming_drive
    };
    let wax = expected(Control::Wax, Side::Outlet, 0.0);
    assert_eq!(wax.opens_by, OpensBy::Stamp);
    assert!(holds(&wax.opens, 87.0) && holds(&wax.opens, 92.0) && !holds(&wax.opens, 80.0) && !holds(&wax.opens, 98.0), "{:?}", wax.opens);
    assert!(holds(&wax.holds, 88.5), "{:?}", wax.holds);
    let inlet = expected(Control::Wax, Side::Inlet, 0.0);
    assert!(inlet.opens.value > wax.opens.value && holds(&inlet.opens, 100.0), "the valve on the return sees cooler coolant");
    let offset = expected(Control::Wax, Side::Outlet, 3.0);
    near(offset.opens.value - wax.opens.value, 3.0, 1e-9, "readings are expected as the sensor will give them");
    near(offset.limit_reading().unwrap() - wax.limit_reading().unwrap(), 3.0, 1e-9, "limit");
    near(offset.level_rise.unwrap().value, wax.level_rise.unwrap().value, 1e-6, "the coolant is no warmer for it");
    let driven = expected(Control::Heated, Side::Outlet, 0.0);
    assert_eq!(driven.opens_by, OpensBy::NotByStamp, "a heated valve does not follow its stamp");
    assert_eq!(expected(Control::Unknown, Side::Outlet, 0.0).opens_by, OpensBy::StampIfWax);
}

/// By hand: 7.2 L less 2 % stand in an expansion tank's usual level; half glycol from 10 °C to a mean of 10 + 0.78·78.75 °C; cavity of
/// 63·10⁻⁶/K; hoses widen under half the cap's pressure by 0.04 mL per kPa and litre.
#[test]
fn the_level_is_expected_to_rise_as_a_hand_reckons_it() {
    let found = Plan::of(&van(), &refill()).unwrap();
    let drive = &found.coming_drive;
    let half = Mixture::by_volume(Base::EthyleneGlycol, VolumeFraction::new(found.strength.value).unwrap()).unwrap();
    let hot = 10.0 + 0.78 * (drive.holds.value - 10.0);
    let growth = expansion::growth(&half, celsius(10.0), celsius(hot)).unwrap().value;
    let litres = 0.98 * 7.2;
    let by_hand = 1000.0 * litres * (growth - CAVITY_PER_K.0 * (hot - 10.0)) - litres * 0.04 * 55.0;
    let rise = drive.level_rise.unwrap();
    near(rise.value, by_hand, 1.0, "mL");
    assert!(rise.standard_uncertainty > 20.0, "where the coolant is how warm is not known to a kelvin");
    near(drive.level_rise_mm.as_ref().unwrap().value, by_hand / 12.0, 0.1, "mm");
    assert!(drive.coolant_growth.unwrap().value > rise.value);
    let mut bottle = van();
    bottle.reservoir.kind = Some(ReservoirKind::OverflowBottle);
    let behind = Plan::of(&bottle, &refill()).unwrap().coming_drive.level_rise.unwrap();
    assert!(behind.value < rise.value && behind.interval_95[0] >= 0.0, "the hoses widen before the cap lifts");
}

#[test]
fn one_stops_at_the_first_of_four_signs() {
    let at = |altitude: f64| Plan::of(&van(), &Job { altitude_m: Some(altitude), ..refill() }).unwrap();
    let (sea, high) = (at(0.0), at(2500.0));
    let signs = &sea.coming_drive.stop_at;
    assert!(matches!(signs.as_slice(), [StopSign::WarningLamp, StopSign::Steam, StopSign::HeaterCold, StopSign::Reading { .. }]));
    let limit = sea.coming_drive.limit_reading().unwrap();
    let boils = sea.protection.boils_at_air.unwrap();
    assert!(limit < boils.interval_95[0] && boils.value - limit < 5.0, "{limit}, {boils:?}");
    assert_eq!(limit.fract(), 0.0);
    // 2500 m: 74.7 kPa, where half glycol boils some 8 K lower.
    near(limit - high.coming_drive.limit_reading().unwrap(), 8.5, 1.6, "higher up it boils earlier");
    assert!(sea.remarks.contains(&Remark::CapIsACeiling) && !sea.remarks.contains(&Remark::AirPressureAssumed));
    let unknown = Plan::of(&van(), &Job { altitude_m: None, ..refill() }).unwrap();
    assert!(unknown.remarks.contains(&Remark::AirPressureAssumed));
    assert!(unknown.coming_drive.limit_reading().unwrap() < limit, "what is not known is not taken as favourable");
    let mut hot = van();
    hot.thermostat.rating = Some(celsius(103.0));
    let near_limit = Plan::of(&hot, &refill()).unwrap();
    assert!(near_limit.remarks.iter().any(|remark| matches!(remark, Remark::LimitNearOrdinary { .. })));
    hot.thermostat.control = Control::Heated;
    let heated = Plan::of(&hot, &refill()).unwrap().remarks;
    assert!(heated.iter().any(|remark| matches!(remark, Remark::LimitNearOrdinary { .. })), "it may hold 100 to 110 °C");
    assert!(!heated.contains(&Remark::StateThermostat), "what is stated is not asked for");
}

/// τ·ln((T_hot − T_air)/5 K) with one, two and three hours.
#[test]
fn it_is_cold_after_a_usual_wait() {
    let drive = Plan::of(&van(), &refill()).unwrap().coming_drive;
    let falls = ((drive.holds.value - 10.0) / 5.0).ln();
    let wait = drive.cold_after.unwrap();
    near(wait.value, 7200.0 * falls, 1.0, "s");
    assert!(wait.interval_95[0] <= 3600.0 * falls && wait.interval_95[1] >= 10_800.0 * falls && wait.unit == Unit::Second);
    assert_eq!(usual_wait(drive.holds.value, 10.0, 5.0).unwrap(), [3600.0 * falls, 10_800.0 * falls]);
    let remarks = Plan::of(&van(), &refill()).unwrap().remarks;
    let said = remarks.iter().find(|remark| **remark == Remark::WaitIsUsual).unwrap();
    assert!(said.spoken().contains("not when the system may be opened") && said.cautions().contains(&Caution::HotCap));
}

// --- remarks, refusals, JSON -----------------------------------------------------------------------------------------------------

#[test]
fn a_drive_before_the_work_is_always_asked_for_and_remarks_follow_the_work() {
    let found = Plan::of(&van(), &Job { rounds: 2, product: Some(Product::Organic), ..refill() }).unwrap();
    assert_eq!(found.remarks.first(), Some(&Remark::LogBefore));
    assert!(found.remarks[0].spoken().contains("baseline"));
    assert!(found.remarks.is_sorted_by_key(Remark::stage), "{:?}", found.remarks);
    assert_eq!(found.remarks.last().map(Remark::stage), Some(Stage::After), "the maker has the last word");
    assert!(found.remarks.iter().all(|remark| remark.spoken().ends_with('.')));
    assert_eq!(Plan::cautions().first(), Some(&Caution::Overheating));
}

#[test]
fn what_cannot_be_is_refused_with_a_way_out() {
    let whole = Job { drain: drained(4.0), wanted: wanted(50.0), ..job(8.0) };
    let refuses = |job: Job, said: &str, out: &str| {
        let (message, hint) = refused(&job);
        assert!(message.contains(said) && hint.contains(out), "{message} / {hint}");
    };
    refuses(Job { capacity: None, ..whole.clone() }, "capacity is not stated", "vehicle file");
    refuses(Job { drain: Drain::default(), ..whole.clone() }, "drained", "radiator only");
    refuses(Job { wanted: None, ..whole.clone() }, "freezing point nor a strength", "maker");
    refuses(Job { drain: drained(9.5), ..whole.clone() }, "9.50 L drained is more than the system's 8.00 L", "pan");
    refuses(Job { wanted: wanted(65.0), ..whole.clone() }, "65 %", "from memory");
    refuses(Job { wanted: Some(Wanted::ProtectedTo(celsius(-60.0))), ..whole.clone() }, "-60 °C is colder", "maker");
    let reading = Present { strength: Some(Strength::FreezesAt(celsius(-60.0))), ..Present::default() };
    refuses(Job { present: reading, ..whole.clone() }, "-60 °C is colder", "half and half");
    refuses(Job { wanted: Some(Wanted::ProtectedTo(celsius(5.0))), ..whole.clone() }, "5 °C lies outside", "freezing point");
    refuses(Job { rounds: 0, ..whole.clone() }, "number of rounds", "rounds");
    refuses(Job { rinses: u32::MAX, rounds: u32::MAX, ..whole.clone() }, "rounds", "rounds");
    refuses(Job { altitude_m: Some(90_000.0), ..whole.clone() }, "90000 m", "altitude");
    refuses(Job { odometer_km: Some(-1.0), product: Some(Product::Organic), ..whole.clone() }, "odometer", "odometer");
    refuses(Job { price: Some(Price { per_litre: -1.0, currency: String::new() }), ..whole.clone() }, "price", "price");
    refuses(Job { drain: Drain { share: Some(1.5), ..Drain::default() }, ..whole.clone() }, "share that drains", "share");
    refuses(Job { life: Some(Life { km: Some(0.0), years: None }), ..whole }, "life", "life");
}

/// Not a number anywhere never becomes a plan with a number in it.
#[test]
fn what_is_not_a_number_is_refused() {
    let nothing = f64::NAN;
    let whole = || Job { drain: drained(4.0), wanted: wanted(50.0), product: Some(Product::Organic), ..job(8.0) };
    let cases = [
        Job { capacity: Some(at_20(nothing)), ..whole() },
        Job { drain: drained(nothing), ..whole() },
        Job { drain: drained(f64::INFINITY), ..whole() },
        Job { drain: Drain { share: Some(nothing), ..Drain::default() }, ..whole() },
        Job { wanted: wanted(nothing), ..whole() },
        Job { wanted: Some(Wanted::ProtectedTo(celsius(nothing))), ..whole() },
        Job { present: holding(nothing), ..whole() },
        Job { fill: ready(nothing), ..whole() },
        Job { wanted_new: Some(nothing), ..whole() },
        Job { filled: Some(at_20(nothing)), ..whole() },
        Job { ambient: Some(celsius(nothing)), ..whole() },
        Job { altitude_m: Some(nothing), ..whole() },
        Job { air_pressure: Some(Pressure::from_kilopascals(nothing)), ..whole() },
        Job { cap: Some(Pressure::from_kilopascals(nothing)), ..whole() },
        Job { odometer_km: Some(nothing), ..whole() },
        Job { life: Some(Life { km: Some(nothing), years: None }), ..whole() },
    ];
    for case in cases {
        assert!(matches!(Plan::of(&Vehicle::default(), &case), Err(PlanError::OutOfRange { .. } | PlanError::Coolant(_))), "{case:?}");
    }
}

/// Whatever a person may state, each number of the plan is finite, each interval is in order and holds its value.
#[test]
fn any_job_gives_numbers_in_order_or_a_reason() {
    let mut chance = Chance(7);
    let mut planned = 0;
    for _ in 0..2000 {
        let strength = |chance: &mut Chance| match chance.even(0.0, 3.0) as u8 {
            0 => percent_by_volume(chance.even(0.0, 100.0)),
            1 => Strength::MassPercent(chance.even(0.0, 100.0)),
            _ => Strength::FreezesAt(celsius(chance.even(-60.0, 0.0))),
        };
        let base = if chance.even(0.0, 1.0) < 0.5 { Base::EthyleneGlycol } else { Base::PropyleneGlycol };
        let stated = Job {
            drain: match chance.even(0.0, 3.0) as u8 {
                0 => Drain { measured: Some(Measured::of(Volume::from_litres(chance.even(0.0, 20.0)))), ..Drain::default() },
                1 => Drain { share: Some(chance.even(0.0, 1.0)), ..Drain::default() },
                _ => Drain { opened: Some(Drains::RadiatorAndBlock), ..Drain::default() },
            },
            base: Some(base),
            present: Present { strength: Some(strength(&mut chance)), ..Present::default() },
            fill: if chance.even(0.0, 1.0) < 0.5 { Fill::ReadyMix { strength: strength(&mut chance) } } else { Job::default().fill },
            wanted: Some(Wanted::Strength(strength(&mut chance))),
            rinses: chance.even(0.0, 3.0) as u32,
            rounds: 1 + chance.even(0.0, 3.0) as u32,
            wanted_new: Some(chance.even(0.0, 0.99)),
            filled: Some(Measured::of(Volume::from_litres(chance.even(0.0, 20.0)))),
            product: Some(Product::Organic),
            ambient: Some(celsius(chance.even(-30.0, 45.0))),
            altitude_m: Some(chance.even(-400.0, 5000.0)),
            ..job(chance.even(2.0, 20.0))
        };
        match Plan::of(&van(), &stated) {
            Ok(plan) => {
                planned += 1;
                in_order(&serde_json::to_value(&plan).unwrap(), &stated);
            }
            Err(error) => assert!(!error.to_string().is_empty() && !error.hint().is_empty()),
        }
    }
    assert!(planned > 500, "{planned} of 2000 could be planned");
}

/// Looks at every estimate in a JSON value.
fn in_order(value: &serde_json::Value, job: &Job) {
    match value {
        serde_json::Value::Object(members) => {
            if let Some(interval) = members.get("interval_95") {
                let numbers = [&interval[0], &members["value"], &interval[1]].map(|number| number.as_f64().unwrap_or(f64::NAN));
                let [low, middle, high] = numbers;
                assert!(low <= middle + 1e-6 && middle <= high + 1e-6, "{members:?} of {job:?}");
                assert!(members["standard_uncertainty"].as_f64().is_some_and(|u| u >= 0.0), "{members:?}");
                assert!(members["unit"].is_string(), "{members:?}");
            }
            members.values().for_each(|member| in_order(member, job));
        }
        serde_json::Value::Array(members) => members.iter().for_each(|member| in_order(member, job)),
        _ => {}
    }
}

#[test]
fn drains_are_counted_to_an_end() {
    assert_eq!(drains_needed(0.0, 0.99), Some(1));
    assert_eq!(drains_needed(0.5, 0.0), Some(0), "nothing new is wanted");
    assert_eq!(drains_needed(0.5, 0.75), Some(2), "exactly enough is enough");
    assert_eq!(drains_needed(1.0, 0.5), None, "nothing comes out");
}

// --- the page --------------------------------------------------------------------------------------------------------------------

/// Fenced blocks of the page that state a job.
fn examples(text: &str) -> Vec<Vec<&str>> {
    let mut lines = text.lines();
    let mut found = Vec::new();
    while let Some(line) = lines.next() {
        if line.starts_with("```") {
            let block: Vec<&str> = lines.by_ref().take_while(|line| !line.starts_with("```")).collect();
            if block.iter().any(|line| line.starts_with("= ")) {
                found.push(block);
            }
        }
    }
    found
}

fn stated_strength(text: &str) -> Strength {
    match text.strip_suffix('%') {
        Some(number) => percent_by_volume(number.trim().parse().unwrap()),
        None => Strength::FreezesAt(parse::temperature(text).unwrap()),
    }
}

fn stated_volume(text: &str) -> Measured {
    let (volume, warm) = text.split_once(" at ").map_or((text, None), |(volume, warm)| (volume, Some(parse::temperature(warm).unwrap())));
    Measured { volume: parse::volume(volume).unwrap(), within: None, temperature: warm }
}

fn product(text: &str) -> Product {
    [Product::Inorganic, Product::Organic, Product::HybridOrganic].into_iter().find(|product| product.spoken() == text).unwrap()
}

/// One line of a job's statement.
fn state(vehicle: &mut Vehicle, job: &mut Job, name: &str, text: &str) {
    match name {
        "capacity" => job.capacity = Some(stated_volume(text)),
        "drained" => job.drain.measured = Some(stated_volume(text)),
        "drains" => job.drain.opened = Some(if text == "radiator only" { Drains::RadiatorOnly } else { Drains::RadiatorAndBlock }),
        "in it" => job.present.strength = Some(stated_strength(text)),
        "base" => job.base = Some(if text == Base::PropyleneGlycol.spoken() { Base::PropyleneGlycol } else { Base::EthyleneGlycol }),
        "fill" => job.fill = Fill::ReadyMix { strength: stated_strength(text.strip_prefix("ready ").unwrap()) },
        "wanted" => {
            job.wanted = Some(match stated_strength(text) {
                Strength::FreezesAt(temperature) => Wanted::ProtectedTo(temperature),
                strength => Wanted::Strength(strength),
            });
        }
        "wanted new" => job.wanted_new = Some(text.trim_end_matches('%').trim().parse::<f64>().unwrap() / 100.0),
        "rinses" => job.rinses = text.parse().unwrap(),
        "rounds" => job.rounds = text.parse().unwrap(),
        "old type" => job.present.product = Some(product(text)),
        "new type" => job.product = Some(product(text)),
        "odometer" => job.odometer_km = Some(text.parse().unwrap()),
        "date" => job.date = Some(text.parse().unwrap()),
        "filled" => job.filled = Some(stated_volume(text)),
        "price" => {
            let (number, currency) = text.split_once(' ').unwrap();
            job.price = Some(Price { per_litre: number.parse().unwrap(), currency: currency.to_owned() });
        }
        "altitude" => job.altitude_m = Some(text.parse().unwrap()),
        "cap" => job.cap = Some(parse::pressure(text).unwrap()),
        "air temperature" => job.ambient = Some(parse::temperature(text).unwrap()),
        "stamp" => {
            vehicle.thermostat.rating = Some(parse::temperature(text).unwrap());
            (vehicle.thermostat.control, vehicle.thermostat.side) = (Control::Wax, Side::Outlet);
        }
        "tank" => {
            vehicle.reservoir.kind = Some(ReservoirKind::ExpansionTank);
            vehicle.reservoir.millilitres_per_mm = Some(parse::volume(text).unwrap().millilitres());
        }
        other => panic!("docs/planning.md states `{other}`, which no job has"),
    }
}

/// One line of a plan's answer.
fn answer(plan: &Plan, ready_mix: bool, name: &str) -> String {
    let spoken = |estimate: &Option<Estimate>| estimate.as_ref().map_or("–".to_owned(), Estimate::spoken);
    let drive = &plan.coming_drive;
    match name {
        "pour" => {
            let rounds = plan.rounds.iter().map(|round| match (round.rinse, ready_mix) {
                (true, _) => format!("{} of water", volume(&round.water)),
                (_, true) => format!("{} of the mixture", volume(&round.product)),
                _ => format!("{} of concentrate and {} of water", volume(&round.product), volume(&round.water)),
            });
            rounds.collect::<Vec<_>>().join("; then ")
        }
        "strength" => plan.rounds.iter().map(|round| percent(&round.strength)).collect::<Vec<_>>().join("; then "),
        "by mass" => percent(&plan.strength_by_mass),
        "freezing" => spoken(&plan.protection.freezing),
        "relied on" => format!("{:.0} °C", plan.protection.relied_on().unwrap().ceil()).replace('-', "−"),
        "one round" => {
            let reach = match plan.reached_in_one {
                Some(Reach::Yes) => "reaches it",
                Some(Reach::Unsettled) => "may not reach it",
                Some(Reach::No) => "does not reach it",
                None => "nothing is wanted",
            };
            format!("{reach}; at most {}", percent(&plan.strongest_in_one))
        }
        "old left" => plan.old_left.iter().map(percent).collect::<Vec<_>>().join(", "),
        "drains needed" => {
            let needed = plan.needed.as_ref().unwrap();
            let count = |drains: Option<u32>| drains.map_or("no number".to_owned(), |drains| drains.to_string());
            format!("{} ({} to {})", count(needed.drains), count(needed.drains_95[0]), count(needed.drains_95[1]))
        }
        "lost on mixing" => volume(&plan.lost_on_mixing),
        "cost" => {
            let cost = plan.cost.as_ref().unwrap();
            format!("{:.0} {} ({:.0} to {:.0})", cost.value, cost.unit, cost.interval_95[0], cost.interval_95[1])
        }
        "due" => {
            let interval = plan.interval.as_ref().unwrap();
            format!(
                "after {} km, at {} km, or on {}",
                grouped(interval.distance.as_ref().unwrap().value),
                grouped(interval.due_odometer.as_ref().unwrap().value),
                interval.due_date.unwrap()
            )
            .replace('\u{a0}', " ")
        }
        "air" => volume(&plan.account.as_ref().unwrap().air),
        "boils at air pressure" => spoken(&plan.protection.boils_at_air),
        "boils at the cap's pressure" => spoken(&plan.protection.boils_at_cap),
        "opens" => drive.opens.spoken(),
        "holds" => drive.holds.spoken(),
        "level rises" => spoken(&drive.level_rise),
        "in mm" => {
            let rise = drive.level_rise_mm.as_ref().unwrap();
            format!("{:.0} mm ({:.0} to {:.0})", rise.value, rise.interval_95[0], rise.interval_95[1])
        }
        "stop at" => drive.stop_at.iter().map(|sign| sign.spoken()).collect::<Vec<_>>().join(", or "),
        "cold after" => spoken(&drive.cold_after),
        other => panic!("docs/planning.md asks for `{other}`, which no plan answers"),
    }
}

#[test]
fn the_worked_examples_of_the_page_are_what_the_plan_answers() {
    let text = page();
    let examples = examples(&text);
    assert!(examples.len() >= 5, "{} examples were found", examples.len());
    let mut wrong = Vec::new();
    for block in examples {
        let (mut vehicle, mut job) = (Vehicle::default(), Job::default());
        for (name, text) in block.iter().filter(|line| !line.starts_with("= ")).map(|line| line.split_once(": ").unwrap()) {
            state(&mut vehicle, &mut job, name, text);
        }
        let plan = Plan::of(&vehicle, &job).unwrap_or_else(|error| panic!("{block:?}: {error}"));
        let ready_mix = matches!(job.fill, Fill::ReadyMix { .. });
        for line in block.iter().filter_map(|line| line.strip_prefix("= ")) {
            let (name, stated) = line.split_once(':').unwrap();
            let found = answer(&plan, ready_mix, name);
            if stated.trim() != found {
                wrong.push(format!("= {name}: {found}"));
            }
        }
    }
    assert!(wrong.is_empty(), "docs/planning.md should say:\n{}", wrong.join("\n"));
}

/// The lives and usual shares that the page prints are those that are reckoned with.
#[test]
fn the_page_states_the_lives_and_shares_that_are_used() {
    let text = page();
    for product in [Product::Inorganic, Product::Organic, Product::HybridOrganic] {
        let life = product.usual_life();
        let line =
            format!("| {} | {} km | {} years |", product.spoken(), grouped(life.km.unwrap()).replace('\u{a0}', " "), life.years.unwrap());
        assert!(text.contains(&line), "docs/planning.md does not say `{line}`");
    }
    for drains in [Drains::RadiatorOnly, Drains::RadiatorAndBlock] {
        let [least, most] = drains.usual().map(|share| 100.0 * share);
        assert!(text.contains(&format!("{least:.0} to {most:.0} %")), "docs/planning.md does not say {least} to {most} %");
    }
    assert!(air_pressure_at_altitude(1500.0).is_ok());
}
