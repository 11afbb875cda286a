//! Comparing from the command line: `check --against`, a drive from before the work, `compare`, `history trend`.
//!
//! The vehicle is invented: a van whose thermostat opens earlier from year to year, or stays as it was.

#[path = "support/program.rs"]
mod program;

use program::{Answer, wellbled};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use wellbled::rehearsal::rehearse;
use wellbled::rehearsal::scenario::{Clock, Fault, Scenario};
use wellbled::rehearsal::stories::story;

/// One drive of the van, written into a folder of its own.
struct Drive {
    log: PathBuf,
    vehicle: PathBuf,
    levels: PathBuf,
}

/// The van driven in a year, its valve opening so much earlier than its stamp, in kelvin.
fn driven(folder: &Path, year: i32, earlier: f64, seed: u64) -> Drive {
    let van = story("bakery-van", seed).expect("there is such a story");
    let mut scenario = Scenario { started: format!("{year}-03-02T05:12:20"), ..van };
    scenario.logger.dialect.clock = Clock::Iso;
    if earlier != 0.0 {
        scenario.faults.push(Fault::OpensEarly(earlier));
    }
    let made = rehearse(&scenario);
    let own = folder.join(format!("{year}-{seed}"));
    fs::create_dir_all(&own).expect("a temporary folder can be made");
    let write = |name: &str, bytes: &[u8]| {
        let path = own.join(name);
        fs::write(&path, bytes).expect("a temporary file can be written");
        path
    };
    let notes = wellbled::ingest::levels::write(&made.levels);
    Drive {
        log: write("log.csv", &made.log),
        vehicle: write("vehicle.toml", made.vehicle_toml.as_bytes()),
        levels: write("levels.csv", notes.as_bytes()),
    }
}

fn text(path: &Path) -> &str {
    path.to_str().expect("temporary names are plain")
}

fn keep(drive: &Drive, store: &Path, more: &[&str]) -> Answer {
    let given =
        ["check", text(&drive.log), "--vehicle", text(&drive.vehicle), "--levels", text(&drive.levels), "--keep", "--store", text(store)];
    wellbled(&[&given[..], more].concat())
}

fn json(answer: &Answer) -> Value {
    serde_json::from_str(&answer.out).unwrap_or_else(|error| panic!("{error}: {answer:?}"))
}

/// A text without its line breaks.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn folder() -> TempDir {
    tempfile::Builder::new().prefix("wellbled-").tempdir().expect("a temporary folder can be made")
}

mod against_an_earlier_run {
    use super::*;

    #[test]
    fn last_is_the_last_kept_drive_of_this_vehicle_and_never_the_log_itself() {
        let folder = folder();
        let store = folder.path().join("store");
        let (then, now) = (driven(folder.path(), 2025, 0.0, 1), driven(folder.path(), 2026, 0.0, 2));
        keep(&then, &store, &[]);
        keep(&now, &store, &[]);
        let again =
            ["check", text(&now.log), "--vehicle", text(&now.vehicle), "--against", "last", "--store", text(&store), "--format", "json"];
        let report = json(&wellbled(&again));
        assert_eq!(report["comparison"]["against"], "log.csv of 2025-03-02");
        let changes = report["comparison"]["changes"].as_array().expect("something was compared");
        assert!(changes.iter().any(|change| change["measure"] == "opening.temperature"), "{changes:?}");
        assert!(changes.iter().all(|change| change["decision"] != "changed"), "{changes:?}");
        assert!(report["findings"]["warm_up"]["heat_capacity_ratio"]["interval_95"].is_array(), "{}", report["findings"]["warm_up"]);
    }

    #[test]
    fn the_verdict_is_of_this_drive_alone_and_what_moved_stands_beside_it() {
        let folder = folder();
        let (then, now) = (driven(folder.path(), 2025, 0.0, 1), driven(folder.path(), 2026, 12.0, 2));
        let plain = wellbled(&["check", text(&now.log), "--vehicle", text(&now.vehicle)]);
        let against = wellbled(&["check", text(&now.log), "--vehicle", text(&now.vehicle), "--against", text(&then.log)]);
        assert_eq!(plain.code, against.code);
        let said = one_line(&against.out);
        assert!(said.contains("Changed since log.csv of 2025-03-02: thermostat's opening"), "{}", against.out);
        assert!(said.contains("opens earlier than it did: the valve is tiring"), "{}", against.out);
        assert!(against.out.lines().all(|line| line.chars().count() <= 80));
    }

    #[test]
    fn the_page_has_both_readings_over_the_heat_put_in() {
        let folder = folder();
        let (then, now) = (driven(folder.path(), 2025, 0.0, 1), driven(folder.path(), 2026, 0.0, 2));
        let page = folder.path().join("report.html");
        wellbled(&["check", text(&now.log), "--vehicle", text(&now.vehicle), "--against", text(&then.log), "--report", text(&page)]);
        let page = fs::read_to_string(page).expect("it was written");
        assert!(page.contains("Against the earlier run") && page.contains("This drive and the earlier one"));
        assert!(page.contains("Both are drawn over the heat put in"));
        for id in ["plot-text", "overlay-text"] {
            assert_eq!(page.matches(&format!("id=\"{id}\"")).count(), 1, "{id}");
        }
    }

    #[test]
    fn what_cannot_be_found_says_so_with_the_way_out() {
        let folder = folder();
        let store = folder.path().join("store");
        let drive = driven(folder.path(), 2026, 0.0, 1);
        let against = |asked: &str, vehicle: bool| {
            let mut given = vec!["check", text(&drive.log), "--store", text(&store), "--against", asked];
            if vehicle {
                given.extend(["--vehicle", text(&drive.vehicle)]);
            }
            wellbled(&given).failed().err
        };
        assert!(against("last", false).contains("the vehicle has no name"));
        assert!(against("last", true).contains("no earlier run of `the bakery's van` is kept in"));
        assert!(against("gone.csv", true).contains("`gone.csv` is neither a file nor a kept run in"));
        let nothing = folder.path().join("nothing.csv");
        fs::write(&nothing, "a,b\n1,2\n").expect("a temporary file can be written");
        assert!(against(text(&nothing), true).contains("nothing.csv"), "the error is that of the other log");
    }
}

mod a_drive_from_before_the_work {
    use super::*;

    fn checked(drive: &Drive, store: &Path, more: &[&str]) -> Value {
        let given = ["check", text(&drive.log), "--vehicle", text(&drive.vehicle), "--store", text(store), "--format", "json"];
        json(&wellbled(&[&given[..], more].concat()))
    }

    #[test]
    fn is_weighed_in_by_the_next_check_of_the_vehicle() {
        let folder = folder();
        let store = folder.path().join("store");
        let (before, after) = (driven(folder.path(), 2025, 0.0, 1), driven(folder.path(), 2026, 0.0, 2));
        let alone = checked(&after, &store, &[]);
        keep(&before, &store, &["--before-work"]);
        let weighed = checked(&after, &store, &[]);
        assert_eq!(weighed["findings"]["trapped_air"]["before_work"], "log.csv of 2025-03-02");
        assert_ne!(weighed["findings"]["trapped_air"]["likelihood_ratio"], alone["findings"]["trapped_air"]["likelihood_ratio"]);
        assert_eq!(checked(&after, &store, &["--alone"]), alone, "--alone leaves it out");
        assert!(checked(&before, &store, &[])["findings"]["trapped_air"]["before_work"].is_null(), "no drive is its own baseline");
        let told = wellbled(&["check", text(&after.log), "--vehicle", text(&after.vehicle), "--store", text(&store)]).out;
        assert!(one_line(&told).contains("weighed against the drive before the work, log.csv of 2025-03-02"), "{told}");
    }

    #[test]
    fn counts_only_for_later_drives_of_its_own_vehicle() {
        let folder = folder();
        let store = folder.path().join("store");
        keep(&driven(folder.path(), 2026, 0.0, 1), &store, &["--before-work"]);
        let earlier = driven(folder.path(), 2024, 0.0, 2);
        assert!(checked(&earlier, &store, &[])["findings"]["trapped_air"]["before_work"].is_null());
        let other = driven(folder.path(), 2027, 0.0, 3);
        fs::write(&other.vehicle, "name = \"another van\"\n").expect("a temporary file can be written");
        assert!(checked(&other, &store, &[])["findings"]["trapped_air"]["before_work"].is_null());
    }

    #[test]
    fn that_is_damaged_is_named_and_does_not_stop_the_check() {
        let folder = folder();
        let store = folder.path().join("store");
        let after = driven(folder.path(), 2026, 0.0, 2);
        let alone = wellbled(&["check", text(&after.log), "--vehicle", text(&after.vehicle)]);
        keep(&driven(folder.path(), 2025, 0.0, 1), &store, &["--before-work"]);
        let run = fs::read_dir(store.join("runs")).expect("one is kept").next().expect("one is kept").expect("it can be listed").path();
        let mut log = fs::read(run.join("log.csv")).expect("it is there");
        log[200] ^= 1;
        fs::write(run.join("log.csv"), log).expect("a temporary file can be written");
        let checked = wellbled(&["check", text(&after.log), "--vehicle", text(&after.vehicle), "--store", text(&store)]);
        assert_eq!((checked.code, &checked.out), (alone.code, &alone.out));
        assert!(
            checked.err.contains("the drive before the work was left out of account") && checked.err.contains("damaged"),
            "{}",
            checked.err
        );
    }
}

mod two_runs {
    use super::*;

    #[test]
    fn go_in_the_order_of_their_days_whatever_is_typed_first() {
        let folder = folder();
        let (then, now) = (driven(folder.path(), 2025, 0.0, 1), driven(folder.path(), 2026, 12.0, 2));
        let one = wellbled(&["compare", text(&then.log), text(&now.log), "--vehicle", text(&now.vehicle), "--format", "json"]);
        let other = wellbled(&["compare", text(&now.log), text(&then.log), "--vehicle", text(&now.vehicle), "--format", "json"]);
        assert_eq!((one.code, &one.out), (Some(1), &other.out));
        let report = json(&one);
        assert_eq!((&report["earlier"], &report["schema_version"]), (&"log.csv of 2025-03-02".into(), &1.into()));
        assert!(report["comparison"]["changes"].as_array().is_some_and(|changes| !changes.is_empty()));
        assert!(report["not_compared"].is_array() && report["unlike"].is_array());
    }

    #[test]
    fn of_an_unchanged_vehicle_end_with_0_and_give_every_format() {
        let folder = folder();
        let (then, now) = (driven(folder.path(), 2025, 0.0, 1), driven(folder.path(), 2026, 0.0, 2));
        let (page, picture) = (folder.path().join("moved.html"), folder.path().join("moved.png"));
        let files = ["--report", text(&page), "--plot", text(&picture)];
        let given = ["compare", text(&then.log), text(&now.log), "--vehicle", text(&now.vehicle)];
        let answer = wellbled(&[&given[..], &files].concat());
        assert_eq!(answer.code, Some(0), "{answer:?}");
        assert!(answer.out.starts_with("WHAT MOVED  log.csv of 2026-03-02 against log.csv of 2025-03-02"), "{}", answer.out);
        assert!(answer.out.contains("Nothing is shown to have changed"), "never \"the same\" for want of proof");
        assert!(fs::read(picture).is_ok_and(|bytes| bytes.starts_with(b"\x89PNG")));
        let page = fs::read_to_string(page).expect("it was written");
        assert!(page.contains("<h1>What moved</h1>") && page.contains("default-src 'none'"));
        let us = wellbled(&[&given[..], &["--units", "us"]].concat()).out;
        assert!(us.contains("°F") && !us.contains("°C") && !us.contains(" K "), "{us}");
    }

    #[test]
    fn with_one_name_are_called_with_their_folder() {
        let folder = folder();
        let (then, now) = (driven(folder.path(), 2026, 0.0, 1), driven(folder.path(), 2026, 0.0, 2));
        let answer = wellbled(&["compare", text(&then.log), text(&now.log)]);
        assert!(answer.out.starts_with("WHAT MOVED  2026-2/log.csv against 2026-1/log.csv\n"), "{}", answer.out);
    }
}

mod several_runs {
    use super::*;

    /// Kept runs of so many years, the valve opening so much earlier each year, in kelvin.
    fn years(folder: &Path, years: i32, earlier_a_year: f64) -> PathBuf {
        let store = folder.join("store");
        for year in 0..years {
            let answer = keep(&driven(folder, 2018 + year, earlier_a_year * f64::from(year), 3 + year as u64), &store, &[]);
            assert!(answer.err.contains("kept as"), "{answer:?}");
        }
        store
    }

    fn opening(report: &Value) -> &Value {
        let all = report["series"].as_array().expect("there are series");
        all.iter().find(|series| series["measure"] == "opening.temperature").expect("each drive shows it")
    }

    #[test]
    fn under_five_are_drawn_and_no_trend_is_stated() {
        let folder = folder();
        let store = years(folder.path(), 4, 3.0);
        let picture = folder.path().join("years.svg");
        let answer = wellbled(&["history", "trend", "bakery", "--store", text(&store), "--plot", text(&picture)]);
        assert_eq!(answer.code, Some(0));
        assert!(answer.out.contains("4 runs are too few to say whether anything moves"), "{}", answer.out);
        let svg = fs::read_to_string(picture).expect("it was written");
        assert!(svg.contains("band, lower edge") && svg.contains("time from the first run, years") && !svg.contains("trend"), "{svg}");
        let report = json(&wellbled(&["history", "trend", "bakery", "--store", text(&store), "--format", "json"]));
        assert_eq!(opening(&report)["trend"]["state"], "too_few");
    }

    #[test]
    fn from_five_on_a_trend_is_stated_and_when_it_meets_the_limit() {
        let folder = folder();
        let store = years(folder.path(), 7, 1.5);
        let answer = wellbled(&["history", "trend", "bakery", "--store", text(&store)]);
        assert_eq!(answer.code, Some(1), "{answer:?}");
        let report = json(&wellbled(&["history", "trend", "bakery", "--store", text(&store), "--format", "json"]));
        let opening = opening(&report);
        assert_eq!((&opening["trend"]["state"], &opening["limit"]["limit"]), (&"moves".into(), &78.0.into()), "{opening}");
        let [low, high] = [0, 1].map(|end| opening["trend"]["interval_95"][end].as_f64().expect("it is a number"));
        assert!((low..=high).contains(&-1.5), "the truth is −1.5 K a year: {low} to {high}");
        assert!(one_line(&answer.out).contains("Thermostat's opening: it falls by"), "{}", answer.out);
        let (page, picture) = (folder.path().join("years.html"), folder.path().join("years.svg"));
        wellbled(&["history", "trend", "bakery", "--store", text(&store), "--report", text(&page), "--plot", text(&picture)]);
        assert!(fs::read_to_string(picture).is_ok_and(|svg| svg.contains("trend")), "with the trend's line");
        assert!(fs::read_to_string(page).is_ok_and(|page| page.contains("<h1>What moved</h1>")));
    }

    #[test]
    fn of_a_steady_vehicle_show_no_trend_that_matters() {
        let folder = folder();
        let store = years(folder.path(), 6, 0.0);
        let answer = wellbled(&["history", "trend", "bakery", "--store", text(&store)]);
        assert_eq!(answer.code, Some(0));
        assert!(answer.out.contains("6 runs show no trend that goes beyond what counts as alike"), "{}", answer.out);
    }

    #[test]
    fn can_be_named_one_by_one() {
        let folder = folder();
        let drives: Vec<Drive> = (0..3).map(|year| driven(folder.path(), 2024 + year, 0.0, 9 + year as u64)).collect();
        let mut given = vec!["compare"];
        given.extend(drives.iter().map(|drive| text(&drive.log)));
        assert!(wellbled(&given).out.contains("3 runs are too few"));
        let undated = folder.path().join("undated.csv");
        let rows: String = (0..900).map(|second| format!("{second},{}\n", 20 + second / 20)).collect();
        fs::write(&undated, format!("Time (s),Engine coolant temperature (°C)\n{rows}")).expect("a temporary file can be written");
        given.push(text(&undated));
        assert!(wellbled(&given).failed().err.contains("the log has no date"));
    }

    #[test]
    fn of_no_vehicle_or_of_two_say_so() {
        let folder = folder();
        let store = years(folder.path(), 1, 0.0);
        let other = driven(folder.path(), 2030, 0.0, 40);
        fs::write(&other.vehicle, "name = \"the bakery's second van\"\n").expect("a temporary file can be written");
        keep(&other, &store, &[]);
        let trend = |name: &str| wellbled(&["history", "trend", name, "--store", text(&store)]).failed().err;
        assert!(trend("tram").contains("no run of a vehicle named `tram`"));
        assert!(trend("bakery").contains("part of several vehicles' names"));
    }
}
