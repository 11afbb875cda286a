//! Fleet: many logs, one table, worst first; and what the kept runs say of a fleet.
//!
//! Logs are the sample logs and made drives, in folders of each test's own.

#[path = "support/program.rs"]
mod program;

use polars::prelude::{AnyValue, DataFrame};
use polars_io::prelude::{ParquetReader, SerReader};
use program::{Answer, command, sample, wellbled};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use wellbled::check::{Beside, Checked};
use wellbled::fleet::number::KEYS;
use wellbled::fleet::{self, Found, Row, Table, columns, html};
use wellbled::ingest::{self, Options};
use wellbled::report::text::Style;
use wellbled::vehicle::Vehicle;

/// A folder of one test's own.
fn folder() -> TempDir {
    tempfile::Builder::new().prefix("wellbled-fleet-").tempdir().expect("a temporary folder can be made")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("temporary names are UTF-8")
}

fn written(path: PathBuf, bytes: impl AsRef<[u8]>) -> PathBuf {
    fs::create_dir_all(path.parent().expect("it lies in a folder")).expect("a folder can be made");
    fs::write(&path, bytes).expect("a temporary file can be written");
    path
}

fn read(path: &Path) -> Vec<u8> {
    fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Stories with a pass, a recheck and an open answer.
const STORIES: [(&str, &str); 3] = [("bakery-van", "pass"), ("launch-truck", "recheck"), ("riding-school-tractor", "inconclusive")];

/// Puts a story's files into a folder.
fn put(story: &str, into: &Path) {
    for file in ["log.csv", "vehicle.toml", "levels.csv"] {
        written(into.join(file), read(&sample(&format!("{story}/{file}"))));
    }
}

/// A fleet of the three stories, with something in it that is no log, and a bad log.
fn small_fleet() -> TempDir {
    let fleet = folder();
    STORIES.iter().for_each(|(story, _)| put(story, &fleet.path().join("north").join(story)));
    written(fleet.path().join("south/broken.csv"), "Time (s),Speed (km/h)\n0,1\n1,2\n");
    written(fleet.path().join("south/picture.png"), b"\x89PNG\r\n");
    written(fleet.path().join("south/letter.txt"), "Dear yard,\nplease look at the van.\n");
    fleet
}

fn run(fleet: &Path, more: &[&str]) -> Answer {
    wellbled(&[&["fleet", text(fleet)], more].concat())
}

/// Rows of a CSV as name and cell.
fn table(csv_text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(csv_text.as_bytes());
    let headings = reader.headers().expect("it has a heading").clone();
    let row = |row: csv::StringRecord| headings.iter().map(str::to_owned).zip(row.iter().map(str::to_owned)).collect();
    reader.records().map(|record| row(record.expect("it is a row"))).collect()
}

/// A drive that was checked as `check` does.
fn checked(story: &str) -> (wellbled::run::Run, Checked) {
    let mut run = ingest::read(&read(&sample(&format!("{story}/log.csv"))), "log.csv", &Options::default()).expect("it is a log").run;
    let toml = String::from_utf8(read(&sample(&format!("{story}/vehicle.toml")))).expect("it is text");
    run.vehicle = Vehicle::from_toml(&toml).expect("it is a vehicle file");
    run.levels = ingest::levels::read(&read(&sample(&format!("{story}/levels.csv")))).expect("they are level notes");
    let checked = Checked::of(&run, &Beside::default());
    (run, checked)
}

fn row_of(log: &str, story: &str) -> Row {
    let (run, checked) = checked(story);
    Row {
        log: log.to_owned(),
        sha256: String::new(),
        vehicle_file: String::new(),
        levels_file: String::new(),
        remark: String::new(),
        program: String::new(),
        answer: fleet::Answer::Checked(Box::new(Found::of(&run, &checked.document))),
    }
}

mod the_table {
    use super::*;

    #[test]
    fn holds_every_log_worst_first_and_what_could_not_be_read_last() {
        let fleet = small_fleet();
        let answer = run(fleet.path(), &["--format", "csv"]);
        let rows = table(&answer.out);
        let order: Vec<(&str, &str)> = rows.iter().map(|row| (row["log"].as_str(), row["verdict"].as_str())).collect();
        assert_eq!(
            order,
            [
                ("north/launch-truck/log.csv", "recheck"),
                ("north/riding-school-tractor/log.csv", "inconclusive"),
                ("north/bakery-van/log.csv", "pass"),
                ("south/broken.csv", "not read"),
            ]
        );
        assert!(rows[3]["not_read"].contains("no coolant temperature"), "{:?}", rows[3]);
        assert!(!rows[3]["next_step"].is_empty(), "a way out");
        assert_eq!(answer.code, Some(1), "one recheck decides");
    }

    #[test]
    fn says_of_each_log_what_check_says() {
        let fleet = small_fleet();
        let rows = table(&run(fleet.path(), &["--format", "csv"]).out);
        for (story, verdict) in STORIES {
            let row = rows.iter().find(|row| row["log"] == format!("north/{story}/log.csv")).expect("it is in the table");
            let (log, vehicle, levels) =
                (sample(&format!("{story}/log.csv")), sample(&format!("{story}/vehicle.toml")), sample(&format!("{story}/levels.csv")));
            let answer = wellbled(&["check", text(&log), "--vehicle", text(&vehicle), "--levels", text(&levels), "--format", "json"]);
            let report: serde_json::Value = serde_json::from_str(&answer.out).expect("it is JSON");
            assert_eq!(row["verdict"], verdict);
            assert_eq!(report["verdict"], verdict);
            let main = report["reasons"].as_array().expect("a list").iter().find(|reason| reason["finding"] == row["finding"].as_str());
            assert_eq!(main.expect("the main reason is one of them")["statement"], row["reason"].as_str());
            for (at, end) in [("/value", ""), ("/interval_95/0", "_low"), ("/interval_95/1", "_high")] {
                let said = report["findings"].pointer(&format!("/trapped_air/probability{at}")).and_then(serde_json::Value::as_f64);
                let cell: f64 = row[&format!("trapped_air_probability{end}")].parse().expect("it is a number");
                assert_eq!(said, Some(cell));
            }
        }
    }

    #[test]
    fn has_a_column_for_every_number_that_a_report_lists_and_finds_it_in_a_kept_one() {
        let mut met = BTreeSet::new();
        for entry in fs::read_dir(sample("")).expect("the samples are there") {
            let story = entry.expect("it can be listed").file_name().to_string_lossy().into_owned();
            if !sample(&format!("{story}/levels.csv")).is_file() {
                continue;
            }
            let (_, Checked { document, .. }) = checked(&story);
            for measure in &document.measures {
                let key = KEYS.iter().find(|key| key.is(measure));
                let key = key.unwrap_or_else(|| panic!("{} {} has no column", measure.finding, measure.member));
                assert!(key.among(&document.measures).is_some());
                assert_eq!(key.in_findings(&document.findings), key.among(&document.measures), "{}", key.column);
                met.insert(key.column);
            }
        }
        assert!(met.len() >= KEYS.len() - 2, "the samples show nearly all of them: {met:?}");
    }

    #[test]
    fn reads_back_to_the_same_rows_bit_for_bit() {
        let rows: Vec<Row> = STORIES.iter().map(|(story, _)| row_of(story, story)).collect();
        let written = columns::csv(rows.iter()).expect("it is written");
        let mut reader = csv::Reader::from_reader(written.as_bytes());
        let headings = reader.headers().expect("a heading").clone();
        let back = columns::read::Reader::of(headings.iter()).expect("every column is there");
        for (record, row) in reader.records().zip(&rows) {
            let record = record.expect("it is a row");
            assert_eq!(&back.row(|place| record.get(place)).expect("it was written here"), row);
        }
    }

    #[test]
    fn fits_a_terminal_and_a_phone() {
        let mut rows: Vec<Row> = STORIES.iter().map(|(story, _)| row_of(&format!("a/long/way/down/{story}/{story}.csv"), story)).collect();
        rows[0].remark = "several vehicle files could be meant, so none was taken".to_owned();
        let table = Table::of(rows);
        for width in [80, 40] {
            for line in fleet::text::render(&table, Style { color: false, width }).lines() {
                assert!(line.chars().count() <= width, "{width}: {line}");
            }
        }
    }

    #[test]
    fn gives_the_cautions_of_the_steps_that_it_names() {
        let table = Table::of(vec![row_of("a.csv", "launch-truck")]);
        for shown in [fleet::text::render(&table, Style { color: false, width: 80 }), html::render(&table)] {
            assert!(shown.contains("Never open cap or bleed point hot"), "{shown}");
            assert!(shown.contains("rated stands"), "the thermostat is taken out: {shown}");
        }
    }

    #[test]
    fn is_a_page_that_a_screen_reader_can_follow_and_that_passes_nothing_on() {
        let mut rows: Vec<Row> = STORIES.iter().map(|(story, _)| row_of(story, story)).collect();
        rows[0].log = "<script>alert(1)</script>.csv".to_owned();
        let page = html::render(&Table::of(rows));
        assert!(!page.contains("<script"), "escaped");
        for wanted in
            ["<caption>", "<th scope=\"col\">", "<th scope=\"row\">", "lang=\"en\"", "<h1>", ">recheck</span>", "<strong>Next:</strong>"]
        {
            assert!(page.contains(wanted), "{wanted}");
        }
        assert_eq!(page.matches("scope=\"row\"").count(), 3);
    }
}

mod exit_codes {
    use super::*;

    #[test]
    fn all_pass_is_0_any_recheck_1_else_3() {
        for (stories, bad, code) in [
            (vec!["bakery-van"], false, 0),
            (vec!["bakery-van", "riding-school-tractor"], false, 3),
            (vec!["bakery-van", "riding-school-tractor", "launch-truck"], true, 1),
            (vec!["bakery-van"], true, 3),
        ] {
            let fleet = folder();
            stories.iter().for_each(|story| put(story, &fleet.path().join(story)));
            if bad {
                written(fleet.path().join("bad.csv"), "nothing\n");
            }
            assert_eq!(run(fleet.path(), &[]).code, Some(code), "{stories:?}, bad file: {bad}");
        }
    }

    #[test]
    fn what_cannot_run_is_2_with_a_way_out() {
        let empty = folder();
        assert!(run(empty.path(), &[]).failed().err.contains("there is no log in it"));
        assert!(run(Path::new("/nowhere/at-all"), &[]).failed().err.contains("there is no such file"));
        let log = sample("bakery-van/log.csv");
        assert!(run(&log, &[]).failed().err.contains("to check one log: check FILE"));
        let fleet = small_fleet();
        assert!(run(fleet.path(), &["--table", "fleet.txt"]).failed().err.contains(".csv"));
        assert!(run(fleet.path(), &["--parquet", "/nowhere/at-all/x"]).failed().err.contains("its folder is not there"));
        assert_eq!(run(fleet.path(), &["--part", "17/16"]).code, Some(2));
        assert_eq!(wellbled(&["fleet"]).code, Some(2));
    }
}

mod what_is_a_log {
    use super::*;

    #[test]
    fn our_own_files_pictures_and_letters_are_no_errors() {
        let fleet = small_fleet();
        let answer = run(fleet.path(), &["--format", "csv"]);
        assert!(
            answer.err.starts_with("note: 2 files that are no logs passed over (south/letter.txt, south/picture.png)"),
            "{}",
            answer.err
        );
        // What this program writes into the folder changes nothing on the next run.
        let (report, numbers) = (fleet.path().join("fleet.html"), fleet.path().join("numbers.csv"));
        let own = fleet.path().join("fleet.csv");
        run(fleet.path(), &["--report", text(&report), "--table", text(&own)]);
        fs::write(numbers, wellbled(&["check", text(&sample("bakery-van/log.csv")), "--format", "csv"]).out).expect("it is written");
        assert_eq!(run(fleet.path(), &["--format", "csv"]).out, answer.out);
    }

    #[test]
    fn hidden_files_are_passed_over_and_a_folder_of_kept_runs_is_named() {
        let fleet = small_fleet();
        let before = run(fleet.path(), &["--format", "csv"]).out;
        written(fleet.path().join(".hidden.csv"), "nothing\n");
        written(fleet.path().join(".trash/log.csv"), "nothing\n");
        let store = fleet.path().join("kept");
        let kept = wellbled(&["check", text(&sample("bakery-van/log.csv")), "--keep", "--store", text(&store)]);
        assert!(kept.err.contains("kept as"), "{}", kept.err);
        let answer = run(fleet.path(), &["--format", "csv"]);
        assert_eq!(answer.out, before);
        assert!(answer.err.contains("kept holds kept runs"), "{}", answer.err);
    }

    #[cfg(unix)]
    #[test]
    fn links_are_followed_and_a_loop_ends() {
        use std::os::unix::fs::symlink;
        let (fleet, other) = (small_fleet(), folder());
        put("bakery-van", &other.path().join("elsewhere"));
        symlink(fleet.path(), fleet.path().join("north/loop")).expect("a link can be made");
        symlink(other.path(), fleet.path().join("a-link")).expect("a link can be made");
        symlink("/nowhere/at-all", fleet.path().join("nothing.csv")).expect("a link can be made");
        let rows = table(&run(fleet.path(), &["--format", "csv"]).out);
        let logs: Vec<&str> = rows.iter().map(|row| row["log"].as_str()).collect();
        assert_eq!(logs.len(), 5, "{logs:?}");
        assert!(logs.contains(&"a-link/elsewhere/log.csv"), "{logs:?}");
    }

    #[cfg(unix)]
    #[test]
    fn a_name_that_is_no_text_is_read_all_the_same() {
        use std::os::unix::ffi::OsStrExt;
        let fleet = folder();
        let name = std::ffi::OsStr::from_bytes(b"drive-\xff.csv");
        fs::copy(sample("bakery-van/log.csv"), fleet.path().join(name)).expect("it can be copied");
        let rows = table(&run(fleet.path(), &["--format", "csv"]).out);
        assert_eq!((rows[0]["log"].as_str(), rows[0]["verdict"].as_str()), ("drive-\u{fffd}.csv", "pass"));
    }

    #[test]
    fn a_bad_file_stops_nothing() {
        let fleet = small_fleet();
        written(fleet.path().join("south/zeros.csv"), vec![0; 100_000]);
        written(fleet.path().join("south/empty.csv"), "");
        written(fleet.path().join("south/gz.csv.gz"), b"\x1f\x8bno");
        written(fleet.path().join("east/log.csv"), read(&sample("bakery-van/log.csv")));
        written(fleet.path().join("east/vehicle.toml"), "capacity = \"seven\"\n");
        let rows = table(&run(fleet.path(), &["--format", "csv"]).out);
        let bad: BTreeMap<&str, &str> =
            rows.iter().filter(|row| row["verdict"] == "not read").map(|row| (row["log"].as_str(), row["not_read"].as_str())).collect();
        assert_eq!(bad.len(), 5, "{bad:?}");
        assert_eq!(rows.len(), 8);
        assert!(bad["east/log.csv"].starts_with("east/vehicle.toml: "), "the vehicle file is what cannot be read: {bad:?}");
        assert!(bad.values().all(|why| !why.contains(text(fleet.path()))), "no path of this machine: {bad:?}");
    }
}

mod pairing {
    use super::*;
    use wellbled::fleet::kind::Kind;
    use wellbled::fleet::pairing::{Listed, pair};

    /// Of files by their names: `log` with the vehicle file and the notes that were taken, and whether something is to be said.
    fn paired(names: &[&str]) -> Vec<(String, Option<String>, Option<String>, bool)> {
        let kind = |name: &str| match name {
            name if name.ends_with(".toml") => Kind::Vehicle,
            name if name.contains("levels") || name.contains("notes") => Kind::Notes,
            _ => Kind::Log,
        };
        let files: Vec<Listed> = names.iter().map(|name| Listed { name: (*name).to_owned(), kind: kind(name) }).collect();
        let named = |place: Option<usize>| place.map(|place| files[place].name.clone());
        pair(&files)
            .into_iter()
            .map(|job| (files[job.log].name.clone(), named(job.vehicle), named(job.levels), !job.remark.is_empty()))
            .collect()
    }

    fn expect(names: &[&str], log: &str, vehicle: Option<&str>, levels: Option<&str>, said: bool) {
        let all = paired(names);
        let found = all.iter().find(|one| one.0 == log).unwrap_or_else(|| panic!("{log} in {names:?}"));
        let expected = (log.to_owned(), vehicle.map(str::to_owned), levels.map(str::to_owned), said);
        assert_eq!(*found, expected, "{names:?}");
    }

    #[test]
    fn a_folder_s_vehicle_file_holds_for_each_of_its_logs_and_for_folders_below() {
        expect(&["a.csv", "b.csv", "vehicle.toml"], "b.csv", Some("vehicle.toml"), None, false);
        expect(&["van/2026/a.csv", "van/van.toml"], "van/2026/a.csv", Some("van/van.toml"), None, false);
        expect(&["van/a.csv", "vehicle.toml", "van/own.toml"], "van/a.csv", Some("van/own.toml"), None, false);
    }

    #[test]
    fn a_file_of_the_log_s_own_name_comes_first_and_is_no_other_log_s() {
        let names = ["a.csv", "a.toml", "a.levels.csv", "b.csv.gz", "vehicle.toml"];
        expect(&names, "a.csv", Some("a.toml"), Some("a.levels.csv"), false);
        expect(&names, "b.csv.gz", Some("vehicle.toml"), None, false);
        expect(&["a.csv", "b.csv.gz", "B.toml", "b.levels.csv"], "b.csv.gz", Some("B.toml"), Some("b.levels.csv"), false);
        expect(&["a.csv", "b.csv.gz", "b.toml"], "a.csv", None, None, false);
    }

    #[test]
    fn notes_belong_to_one_log() {
        expect(&["x/a.csv", "x/levels.csv"], "x/a.csv", None, Some("x/levels.csv"), false);
        expect(&["x/a.csv", "x/my notes.csv"], "x/a.csv", None, Some("x/my notes.csv"), false);
        expect(&["x/a.csv", "levels.csv"], "x/a.csv", None, None, false);
    }

    #[test]
    fn what_could_be_meant_for_several_is_said_and_not_guessed() {
        expect(&["a.csv", "one.toml", "two.toml"], "a.csv", None, None, true);
        expect(&["a.csv", "b.csv", "levels.csv"], "a.csv", None, None, true);
        expect(&["a.csv", "b.csv", "levels.csv", "a.levels.csv"], "a.csv", None, Some("a.levels.csv"), false);
        expect(&["a.csv", "notes 1.csv", "notes 2.csv"], "a.csv", None, None, true);
    }

    #[test]
    fn the_table_names_what_was_taken_and_what_was_not() {
        let fleet = folder();
        let van = fleet.path().join("van");
        written(van.join("first.csv"), read(&sample("bakery-van/log.csv")));
        written(van.join("second.csv"), read(&sample("bakery-van/log.csv")));
        written(van.join("levels.csv"), read(&sample("bakery-van/levels.csv")));
        written(fleet.path().join("vehicle.toml"), read(&sample("bakery-van/vehicle.toml")));
        let answer = run(fleet.path(), &["--format", "csv"]);
        for row in table(&answer.out) {
            assert_eq!((row["vehicle_file"].as_str(), row["levels_file"].as_str()), ("vehicle.toml", ""));
            assert!(row["remark"].contains("levels.csv"), "{row:?}");
        }
        assert!(
            squeezed(&run(fleet.path(), &[]).out)
                .contains("Note: level notes of another log could be meant (levels.csv), so none was taken")
        );
    }

    fn squeezed(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

mod a_list {
    use super::*;

    #[test]
    fn names_logs_with_what_goes_with_them_relative_to_itself() {
        let fleet = small_fleet();
        let list = written(
            fleet.path().join("lists/spring.csv"),
            "vehicle,log,levels\n../north/bakery-van/vehicle.toml,../north/bakery-van/log.csv,../north/bakery-van/levels.csv\n,../north/launch-truck/log.csv,\n,../gone.csv,\n",
        );
        let rows = table(&run(&list, &["--format", "csv"]).out);
        let short: Vec<(&str, &str, &str)> =
            rows.iter().map(|row| (row["log"].as_str(), row["verdict"].as_str(), row["vehicle_file"].as_str())).collect();
        assert_eq!(
            short,
            [
                ("../north/launch-truck/log.csv", "recheck", ""),
                ("../north/bakery-van/log.csv", "pass", "../north/bakery-van/vehicle.toml"),
                ("../gone.csv", "not read", ""),
            ]
        );
        assert!(rows[2]["not_read"].contains("there is no such file"), "{:?}", rows[2]);
    }

    #[test]
    fn that_cannot_be_understood_says_where() {
        let folder = folder();
        let list = written(folder.path().join("list.csv"), "log,vehicle\na.csv,\n,van.toml\n");
        assert!(run(&list, &[]).failed().err.contains("line 3: no log is named"));
    }
}

mod the_same_answer {
    use super::*;

    /// Every file that a run writes, with its bytes, and what it prints.
    fn everything(fleet: &Path, more: &[&str]) -> Vec<(String, Vec<u8>)> {
        let out = folder();
        let files = ["fleet.html", "fleet.csv"].map(|name| out.path().join(name));
        let parquet = out.path().join("parquet");
        let mut all = Vec::new();
        for format in ["text", "json", "csv"] {
            let args = ["--format", format, "--report", text(&files[0]), "--table", text(&files[1]), "--parquet", text(&parquet)];
            all.push((format.to_owned(), run(fleet, &[&args, more].concat()).out.into_bytes()));
        }
        all.extend(files.iter().map(|file| (file.file_name().unwrap().to_string_lossy().into_owned(), read(file))));
        all.extend(parquet_files(&parquet).into_iter().map(|(name, path)| (name, read(&path))));
        all
    }

    #[test]
    fn for_any_number_of_threads_byte_for_byte() {
        let fleet = small_fleet();
        let one = everything(fleet.path(), &["--threads", "1"]);
        assert!(one.len() >= 9, "{:?}", one.iter().map(|file| &file.0).collect::<Vec<_>>());
        for threads in ["2", "5", "16"] {
            assert!(everything(fleet.path(), &["--threads", threads]) == one, "{threads} threads");
        }
    }

    #[test]
    fn from_parts_put_together_as_from_one_run() {
        let fleet = small_fleet();
        let out = folder();
        let parts: Vec<PathBuf> = (1..=3).map(|part| out.path().join(format!("part-{part}.csv"))).collect();
        let (one_run, together) = (out.path().join("one.html"), out.path().join("together.html"));
        let mut held = Vec::new();
        for (number, path) in (1..).zip(&parts) {
            let part = format!("{number}/3");
            run(fleet.path(), &["--part", &part, "--table", text(path)]);
            held.extend(table(&String::from_utf8(read(path)).unwrap()).into_iter().map(|row| row["log"].clone()));
        }
        held.sort();
        let mut all: Vec<String> = table(&run(fleet.path(), &["--format", "csv"]).out).into_iter().map(|row| row["log"].clone()).collect();
        all.sort();
        assert_eq!(held, all, "disjoint, and together complete");
        for format in ["text", "json", "csv"] {
            let whole = run(fleet.path(), &["--format", format, "--report", text(&one_run)]);
            // In any order.
            let merged = wellbled(&[
                "fleet",
                "--merge",
                text(&parts[2]),
                text(&parts[0]),
                text(&parts[1]),
                "--format",
                format,
                "--report",
                text(&together),
            ]);
            assert_eq!(merged.out, whole.out);
            assert_eq!(merged.code, whole.code);
            assert!(read(&one_run) == read(&together));
        }
    }

    #[test]
    fn what_is_no_part_of_it_is_not_put_together() {
        let fleet = small_fleet();
        let out = folder();
        let (one, other) = (out.path().join("one.csv"), written(out.path().join("other.csv"), "a,b\n1,2\n"));
        run(fleet.path(), &["--table", text(&one)]);
        assert!(wellbled(&["fleet", "--merge", text(&one), text(&one)]).failed().err.contains("is in two tables"));
        assert!(wellbled(&["fleet", "--merge", text(&one), text(&other)]).failed().err.contains("has no column `log`"));
        let spoilt = String::from_utf8(read(&one)).unwrap().replacen(",recheck,", ",perhaps,", 1);
        let spoilt = written(out.path().join("spoilt.csv"), spoilt);
        assert!(wellbled(&["fleet", "--merge", text(&spoilt)]).failed().err.contains("line 2, column `verdict`"));
    }

    #[test]
    fn without_progress_where_nobody_watches() {
        let fleet = folder();
        put("bakery-van", fleet.path());
        let answer = run(fleet.path(), &[]);
        assert_eq!(answer.err, "", "standard error is no terminal here");
    }
}

/// Files of a partitioned table: name inside it, and path.
fn parquet_files(root: &Path) -> Vec<(String, PathBuf)> {
    let mut found = Vec::new();
    let mut folders = vec![root.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("the folder is there") {
            let path = entry.expect("it can be listed").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                found.push((path.strip_prefix(root).unwrap().to_string_lossy().into_owned(), path));
            }
        }
    }
    found.sort();
    found
}

fn frame(path: &Path) -> DataFrame {
    ParquetReader::new(fs::File::open(path).expect("it is there")).finish().expect("it is Parquet")
}

/// A frame's row as the CSV has it.
fn cells(frame: &DataFrame, row: usize) -> BTreeMap<String, String> {
    let cell = |value: AnyValue| match value {
        AnyValue::Null => String::new(),
        AnyValue::String(text) => text.to_owned(),
        AnyValue::StringOwned(text) => text.to_string(),
        AnyValue::Float64(number) => number.to_string(),
        AnyValue::Datetime(micros, _, _) | AnyValue::DatetimeOwned(micros, _, _) => {
            chrono::DateTime::from_timestamp_micros(micros).expect("a moment").naive_utc().format("%Y-%m-%dT%H:%M:%S%.f").to_string()
        }
        other => panic!("{other:?}"),
    };
    frame.columns().iter().map(|column| (column.name().to_string(), cell(column.get(row).expect("it is there")))).collect()
}

mod parquet {
    use super::*;

    #[test]
    fn lies_by_vehicle_and_year_and_reads_back_to_the_table() {
        let fleet = small_fleet();
        let out = folder();
        let root = out.path().join("table");
        let mut rows = table(&run(fleet.path(), &["--format", "csv", "--parquet", text(&root)]).out);
        let files = parquet_files(&root);
        let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
        // Two of the logs have a clock without a date.
        assert_eq!(
            names,
            [
                "vehicle=__HIVE_DEFAULT_PARTITION__/year=__HIVE_DEFAULT_PARTITION__/part-00001-of-00001.parquet",
                "vehicle=the%20bakery%27s%20van/year=__HIVE_DEFAULT_PARTITION__/part-00001-of-00001.parquet",
                "vehicle=the%20lifeboat%20station%27s%20launch%20truck/year=2026/part-00001-of-00001.parquet",
                "vehicle=the%20riding%20school%27s%20tractor/year=__HIVE_DEFAULT_PARTITION__/part-00001-of-00001.parquet",
            ]
        );
        let mut back: Vec<BTreeMap<String, String>> = Vec::new();
        for (_, path) in &files {
            let frame = frame(path);
            back.extend((0..frame.height()).map(|row| cells(&frame, row)));
        }
        let by_log = |rows: &mut Vec<BTreeMap<String, String>>| rows.sort_by(|one, other| one["log"].cmp(&other["log"]));
        by_log(&mut rows);
        by_log(&mut back);
        assert_eq!(back, rows);
        assert!(rows.iter().any(|row| !row["opening_temperature_degc_low"].is_empty()), "numbers with their intervals");
    }

    #[test]
    fn of_parts_shares_one_folder_and_no_file() {
        let fleet = small_fleet();
        let out = folder();
        let (shared, whole) = (out.path().join("shared"), out.path().join("whole"));
        for part in ["1/2", "2/2"] {
            run(fleet.path(), &["--part", part, "--parquet", text(&shared)]);
        }
        run(fleet.path(), &["--parquet", text(&whole)]);
        let logs = |root: &Path| -> Vec<BTreeMap<String, String>> {
            let mut rows: Vec<_> = parquet_files(root)
                .iter()
                .flat_map(|(_, path)| {
                    let frame = frame(path);
                    (0..frame.height()).map(|row| cells(&frame, row)).collect::<Vec<_>>()
                })
                .collect();
            rows.sort_by(|one, other| one["log"].cmp(&other["log"]));
            rows
        };
        assert_eq!(logs(&shared), logs(&whole));
        let refused = run(fleet.path(), &["--parquet", text(&shared)]).failed();
        assert!(refused.err.contains("it holds a table in 2 parts"), "{}", refused.err);
    }

    #[test]
    fn written_again_replaces_its_own_files_and_leaves_none_behind() {
        let fleet = small_fleet();
        let out = folder();
        let root = out.path().join("table");
        run(fleet.path(), &["--parquet", text(&root)]);
        fs::remove_dir_all(fleet.path().join("north/bakery-van")).expect("it can be removed");
        run(fleet.path(), &["--parquet", text(&root)]);
        let names: Vec<String> = parquet_files(&root).into_iter().map(|(name, _)| name).collect();
        assert_eq!(names.len(), 3, "{names:?}");
        let left: Vec<_> = fs::read_dir(&root).expect("it is there").map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left.len(), 3, "no empty folder, nothing that was written aside: {left:?}");
    }
}

mod resumed {
    use super::*;
    use std::time::{Duration, Instant};

    /// Keys of a journal's lines, in their order.
    fn keys(journal: &Path) -> Vec<String> {
        let text = fs::read_to_string(journal).unwrap_or_default();
        text.lines().skip(1).filter_map(|line| line.split(',').nth(1).map(str::to_owned)).collect()
    }

    #[test]
    fn nothing_is_done_twice_and_the_table_is_the_same() {
        let fleet = small_fleet();
        let journal = fleet.path().join("fleet.journal");
        let plain = run(fleet.path(), &["--format", "csv"]);
        let first = run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]);
        let done = read(&journal);
        assert_eq!(keys(&journal).len(), 4);
        let second = run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]);
        assert_eq!([&first.out, &second.out], [&plain.out, &plain.out]);
        assert!(read(&journal) == done, "what is done is not done again");
    }

    #[test]
    fn what_changed_is_done_again_and_nothing_else() {
        let fleet = small_fleet();
        let journal = fleet.path().join("fleet.journal");
        run(fleet.path(), &["--resume", text(&journal)]);
        // Another name for the folder is no change; another vehicle file or chance is.
        fs::rename(fleet.path().join("north"), fleet.path().join("east")).expect("it can be renamed");
        let renamed = run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]);
        assert_eq!(keys(&journal).len(), 4);
        assert!(renamed.out.contains("east/bakery-van/log.csv"));
        written(fleet.path().join("east/bakery-van/vehicle.toml"), "name = \"another van\"\n");
        let changed = run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]);
        assert!(changed.out.contains("another van"));
        assert_eq!(keys(&journal).len(), 5);
        run(fleet.path(), &["--air-prior", "30%", "--resume", text(&journal)]);
        assert_eq!(keys(&journal).len(), 9);
    }

    #[test]
    fn killed_at_any_moment_it_goes_on_where_it_was() {
        let fleet = folder();
        for copy in 0..12 {
            put(STORIES[copy % 3].0, &fleet.path().join(format!("{copy:02}")));
            // Each log its own bytes, so that each has its own line.
            let log = fleet.path().join(format!("{copy:02}/log.csv"));
            let own = [read(&log), "\n".repeat(copy + 1).into_bytes()].concat();
            fs::write(log, own).expect("it can be written");
        }
        let journal = fleet.path().join("fleet.journal");
        let whole = run(fleet.path(), &["--format", "csv"]);
        for wanted in [1, 4, 7] {
            let mut child =
                command(&["fleet", text(fleet.path()), "--threads", "2", "--resume", text(&journal)]).spawn().expect("it starts");
            let start = Instant::now();
            while keys(&journal).len() < wanted && child.try_wait().expect("it can be asked").is_none() {
                assert!(start.elapsed() < Duration::from_secs(120), "nothing is noted");
                std::thread::sleep(Duration::from_millis(1));
            }
            child.kill().expect("it can be killed");
            child.wait().expect("it ends");
            assert!(keys(&journal).len() >= wanted, "what was noted stays");
        }
        let resumed = run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]);
        assert_eq!((resumed.out, resumed.code), (whole.out, whole.code));
        // Whole lines: a log that was under way at a kill has none, so no log has two.
        let mut whole_lines =
            csv::ReaderBuilder::new().has_headers(false).comment(Some(b'#')).flexible(true).from_path(&journal).expect("it is there");
        let lines = whole_lines.records().map(|line| line.expect("it is text")).filter(|line| line.len() == columns::headings().len() + 2);
        let done: Vec<String> = lines.map(|line| line[1].to_owned()).collect();
        assert_eq!((done.len(), done.iter().collect::<BTreeSet<_>>().len()), (12, 12));
    }

    #[test]
    fn a_line_cut_short_or_changed_counts_as_not_done() {
        let fleet = small_fleet();
        let journal = fleet.path().join("fleet.journal");
        let whole = run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]);
        let lines = read(&journal);
        for cut in [3, 30, lines.len() / 2, lines.len() - 1] {
            fs::write(&journal, &lines[..cut]).expect("it can be written");
            assert_eq!(run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]).out, whole.out, "cut at {cut}");
            assert_eq!(run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]).out, whole.out, "and again");
        }
        let spoilt = String::from_utf8(lines).unwrap().replace(",pass,", ",recheck,");
        fs::write(&journal, spoilt).expect("it can be written");
        assert_eq!(run(fleet.path(), &["--format", "csv", "--resume", text(&journal)]).out, whole.out);
    }

    #[test]
    fn another_file_is_not_taken_for_a_journal() {
        let fleet = small_fleet();
        let other = fleet.path().join("north/bakery-van/vehicle.toml");
        let before = read(&other);
        assert!(run(fleet.path(), &["--resume", text(&other)]).failed().err.contains("this is no journal of a fleet"));
        assert!(read(&other) == before);
    }
}

mod from_store {
    use super::*;
    use wellbled::comparison::trend::Trend;
    use wellbled::fleet::kept::{About, KeptRun};
    use wellbled::fleet::survey::{self, Drift, Survey};

    /// A kept run as the archive lists it, opening at a temperature.
    fn kept(vehicle: Option<&str>, day: u32, opening: Option<f64>, verdict: &str, comparison: &str) -> KeptRun {
        let driven =
            chrono::NaiveDate::from_yo_opt(2020 + i32::try_from(day / 365).unwrap(), day % 365 + 1).unwrap().and_hms_opt(8, 0, 0).unwrap();
        let about = About {
            id: format!("{day:012x}"),
            source: "drive.csv".to_owned(),
            driven,
            started: Some(driven),
            duration_s: 3600.0,
            vehicle: vehicle.map(str::to_owned),
            verdict: verdict.to_owned(),
            headline: "A headline.".to_owned(),
        };
        let opening = opening.map(|celsius| {
            format!(
                r#""opening": {{"state": "opened", "temperature": {{"value": {celsius}, "standard_uncertainty": 1.0, "interval_95": [{}, {}], "unit": "degC"}}}}"#,
                celsius - 2.0,
                celsius + 2.0
            )
        });
        let findings = format!(r#"{{"findings": {{{}}}{comparison}}}"#, opening.unwrap_or_default());
        KeptRun::of(about, &findings).expect("it is a kept report")
    }

    fn survey(runs: &[KeptRun]) -> Survey {
        Survey::of(runs, Vec::new()).expect("the dataframe library reports nothing")
    }

    const CHANGED: &str = r#", "comparison": {"against": "x", "changes": [{"measure": "opening.temperature", "decision": "changed"}, {"measure": "sensor_offset", "decision": "alike"}]}"#;

    #[test]
    fn a_vehicle_needs_a_look_by_its_latest_run_alone() {
        let runs = [
            kept(Some("A"), 10, None, "recheck", ""),
            kept(Some(" a "), 400, None, "pass", ""),
            kept(Some("B"), 300, None, "pass", CHANGED),
            kept(Some("C"), 200, None, "inconclusive", ""),
            kept(Some("C"), 100, None, "pass", ""),
            kept(None, 50, None, "recheck", ""),
        ];
        let survey = survey(&runs);
        let standings: Vec<(&str, usize, bool)> = survey.vehicles.iter().map(|one| (one.vehicle.as_str(), one.runs, one.look)).collect();
        assert_eq!(standings, [("C", 2, true), ("B", 1, true), (" a ", 2, false)]);
        assert_eq!((survey.nameless, survey.exit_code()), (1, 3));
        let said = survey::text::render(&survey, Style { color: false, width: 80 });
        assert!(said.contains("Changed since the run that it was compared with: opening temperature."), "{said}");
        assert!(said.contains("1 run without a vehicle's name left out"), "{said}");
        assert!(!said.contains("sensor offset"), "what is alike is not named: {said}");
    }

    #[test]
    fn a_thermostat_drifts_from_five_openings_on_and_not_before() {
        let openings = [82.0, 83.5, 84.0, 86.0, 87.5];
        let runs = |count: usize| -> Vec<KeptRun> {
            (0..count).map(|run| kept(Some("van"), 365 * run as u32, Some(openings[run]), "pass", "")).collect()
        };
        let four = survey(&runs(4));
        assert_eq!(four.vehicles[0].opening, Trend::TooFew { have: 4 });
        assert!(survey::text::render(&four, Style { color: false, width: 80 }).contains("Too few runs to say of 1"));
        let five = survey(&runs(5));
        // Five rises in a row: a chance of 2 in 120 without any drift. They made 5.5 K over four years, more than the margin of 2 K.
        let Drift::Beyond(moved) = five.vehicles[0].drift() else { panic!("{:?}", five.vehicles[0].drift()) };
        assert!(moved.interval_95[0] > 2.0 && moved.interval_95[0] < 5.5 && moved.interval_95[1] > 5.5, "{moved:?}");
        let said = survey::text::render(&five, Style { color: false, width: 200 });
        assert!(said.contains("van: over 4.0 years the reading at opening moved by") && said.contains("rated stands"), "{said}");
        // A tenth of it is shown just as clearly, and is of no consequence.
        let runs_of = |openings: [f64; 5]| -> Vec<KeptRun> {
            (0..5).map(|run| kept(Some("van"), 365 * run as u32, Some(openings[run]), "pass", "")).collect()
        };
        assert!(matches!(survey(&runs_of(openings.map(|celsius| celsius / 10.0 + 75.0))).vehicles[0].drift(), Drift::Small(_)));
        assert_eq!((five.tested(), five.by_chance()), (1, 0.05));
        // No drift: the same readings in no order.
        assert_eq!(survey(&runs_of([84.0, 82.0, 87.5, 83.5, 86.0])).vehicles[0].drift(), Drift::NoneShown);
    }

    #[test]
    fn of_fleets_without_any_drift_no_more_vehicles_are_named_than_it_says() {
        // 400 vehicles of six runs each; the order of the readings is chance (a linear congruential generator).
        let mut state = 7u64;
        let mut random = move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 40) as f64 / (1u64 << 24) as f64
        };
        let mut runs = Vec::new();
        for vehicle in 0..400 {
            runs.extend((0..6).map(|run| kept(Some(&format!("vehicle {vehicle}")), 365 * run, Some(82.0 + 4.0 * random()), "pass", "")));
        }
        let survey = survey(&runs);
        let named = survey.vehicles.iter().filter(|one| matches!(one.drift(), Drift::Small(_) | Drift::Beyond(_))).count() as f64;
        // 20 are foretold as the most; of six runs the exact count comes to 0.7 to 1.7 %, and three standard deviations of 20 are 13.
        assert!(survey.by_chance() == 20.0 && named <= 33.0, "{named}");
    }

    #[test]
    fn no_next_interval_is_guessed() {
        let survey = survey(&[kept(Some("van"), 1, Some(85.0), "pass", "")]);
        for shown in [
            survey::text::render(&survey, Style { color: false, width: 200 }),
            survey::html::render(&survey),
            survey::json::render(&survey).expect("it is JSON"),
        ] {
            assert!(shown.contains("No kept run says how long its coolant lasts"), "{shown}");
        }
        let json: serde_json::Value = serde_json::from_str(&survey::json::render(&survey).unwrap()).unwrap();
        assert!(json["vehicles"][0]["next_due"].is_null());
        let rows = table(&survey::json::csv(&survey).unwrap());
        assert_eq!(rows[0]["next_due"], "");
    }

    #[test]
    fn asks_the_archive() {
        let store = folder();
        let keep = |story: &str, more: &[&str]| {
            let (log, vehicle) = (sample(&format!("{story}/log.csv")), sample(&format!("{story}/vehicle.toml")));
            let args = ["check", text(&log), "--vehicle", text(&vehicle), "--keep", "--store", text(store.path())];
            assert!(wellbled(&[&args, more].concat()).err.contains("kept as"));
        };
        let ask = |more: &[&str]| wellbled(&[&["fleet", "--from-store", "--store", text(store.path())], more].concat());
        assert!(ask(&[]).failed().err.contains("no run is kept in"));
        keep("bakery-van", &[]);
        assert_eq!(ask(&[]).code, Some(0));
        keep("launch-truck", &[]);
        let answer = ask(&[]);
        assert_eq!(answer.code, Some(1));
        let (look, rest) = answer.out.split_once("Which thermostats drift").expect("the second question");
        assert!(look.contains("RECHECK  the lifeboat station's launch truck") && !look.contains("bakery"), "{look}");
        assert!(rest.contains("Too few runs to say of 2") && rest.contains("Whose next interval is due"), "{rest}");
        // The tables hold every kept run, with the numbers of its findings.
        let out = folder();
        let (csv, page, parquet) = (out.path().join("kept.csv"), out.path().join("kept.html"), out.path().join("kept"));
        ask(&["--table", text(&csv), "--report", text(&page), "--parquet", text(&parquet)]);
        let rows = table(&String::from_utf8(read(&csv)).unwrap());
        assert_eq!(rows.len(), 2);
        assert!(rows.iter().any(|row| !row["opening_temperature_degc"].is_empty()));
        assert_eq!(parquet_files(&parquet).len(), 2);
        assert!(String::from_utf8(read(&page)).unwrap().contains("Which thermostats drift"));
        // A damaged run is named; the others are asked all the same.
        let id = rows.iter().find(|row| row["vehicle_name"].contains("bakery")).expect("it is kept")["log"][..12].to_owned();
        let findings = store.path().join(format!("runs/{id}/judged-1/findings.json"));
        let spoilt = String::from_utf8(read(&findings)).unwrap().replacen("pass", "PASS", 1);
        fs::write(&findings, spoilt).expect("it can be written");
        let damaged = ask(&[]);
        assert!(damaged.out.contains("Could not be opened") && damaged.out.contains(&id), "{}", damaged.out);
        assert!(damaged.out.contains("RECHECK  the lifeboat station's launch truck"));
    }
}
