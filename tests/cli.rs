//! The program as a whole: what is typed, what comes back, what is written, and how it fails.
//!
//! Verdicts on the sample logs are in `sample_logs.rs`; here they only stand for their exit codes.

#[path = "support/program.rs"]
mod program;

use program::{Answer, command, sample, wellbled, wellbled_fed};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// A folder of one test's own.
fn folder() -> TempDir {
    tempfile::Builder::new().prefix("wellbled-").tempdir().expect("a temporary folder can be made")
}

fn written(folder: &TempDir, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
    let path = folder.path().join(name);
    fs::write(&path, bytes).expect("a temporary file can be written");
    path
}

fn text(path: &Path) -> &str {
    path.to_str().expect("temporary names are UTF-8")
}

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the folder is there");
    let mut names: Vec<String> = entries.map(|entry| entry.expect("it can be listed").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// `check` on the bakery's van with more arguments.
fn check(more: &[&str]) -> Answer {
    let log = sample("bakery-van/log.csv");
    wellbled(&[&["check", text(&log)], more].concat())
}

/// The bakery's log with another heading in place of one column's.
fn with_heading(from: &str, to: &str) -> String {
    let log = fs::read_to_string(sample("bakery-van/log.csv")).expect("the sample is there");
    assert!(log.contains(from), "the sample's heading has `{from}`");
    log.replacen(from, to, 1)
}

mod exit_codes {
    use super::*;

    // 2 is met all over this file.
    #[test]
    fn pass_is_0_recheck_is_1_and_inconclusive_is_3_in_every_format() {
        for (log, code, verdict) in [
            ("bakery-van/log.csv", 0, "pass"),
            ("launch-truck/log.csv", 1, "recheck"),
            ("riding-school-tractor/log.csv", 3, "inconclusive"),
        ] {
            for format in ["text", "json", "csv"] {
                let answer = wellbled(&["check", text(&sample(log)), "--format", format]);
                assert_eq!(answer.code, Some(code), "{log} as {format}: {}", answer.err);
                assert_eq!(answer.err, "", "{log} as {format}");
                match format {
                    "text" => assert!(answer.out.starts_with(&format!("{}  log.csv\n", verdict.to_uppercase())), "{}", answer.out),
                    "json" => {
                        let report: serde_json::Value = serde_json::from_str(&answer.out).expect("--format json is JSON");
                        assert_eq!(report["verdict"], verdict);
                    }
                    _ => {
                        let mut rows = csv::Reader::from_reader(answer.out.as_bytes());
                        assert!(rows.records().all(|row| row.is_ok()) && rows.headers().is_ok(), "{}", answer.out);
                    }
                }
            }
        }
    }

    #[test]
    fn verbs_that_judge_nothing_end_with_0() {
        let log = sample("bakery-van/log.csv");
        for arguments in [
            &["columns", text(&log)][..],
            &["rehearse"],
            &["history", "--store", "nowhere"],
            &["plan", "--capacity=7L", "--drained=4L", "--wanted=50%"],
            &["--help"],
            &["--version"],
            &["completions", "bash"],
            &["manual"],
        ] {
            let answer = wellbled(arguments);
            assert_eq!((answer.code, answer.err.as_str()), (Some(0), ""), "{arguments:?}");
            assert!(answer.out.len() > 10, "{arguments:?}");
        }
    }

    #[test]
    fn what_was_not_understood_is_2_and_nothing_is_printed() {
        for arguments in [&[][..], &["polish"], &["check"], &["check", "a.csv", "b.csv"], &["check", "a.csv", "--format", "prose"]] {
            let answer = wellbled(arguments);
            assert_eq!((answer.code, answer.out.as_str()), (Some(2), ""), "{arguments:?}");
            assert!(answer.err.contains("--help") || answer.err.contains("-h, "), "{arguments:?}: {}", answer.err);
        }
        assert!(wellbled(&["chek", "a.csv"]).err.contains("'check'"), "a slip of the finger is answered with the nearest verb");
    }
}

mod standard_input_and_output {
    use super::*;

    #[test]
    fn a_dash_reads_standard_input() {
        let log = fs::read(sample("launch-truck/log.csv")).expect("the sample is there");
        let (piped, named) = (wellbled_fed(&["check", "-"], &log), wellbled(&["check", text(&sample("launch-truck/log.csv"))]));
        assert_eq!(piped.code, Some(1));
        assert_eq!(piped.out.replace("standard input", "log.csv"), named.out, "only the source's name differs");
        assert_eq!(wellbled_fed(&["columns", "-"], &log).code, Some(0));
    }

    #[test]
    fn an_empty_standard_input_is_said_to_be_empty() {
        let answer = wellbled_fed(&["check", "-"], b"").failed();
        assert!(answer.err.starts_with("error: standard input: the file is empty"), "{}", answer.err);
    }

    /// A reader that has seen enough is no failure: `check LOG | head -1`.
    #[test]
    fn a_closed_pipe_is_no_error() {
        let log = sample("bakery-van/log.csv");
        for format in ["text", "json"] {
            let mut child = command(&["check", text(&log), "--format", format]).spawn().expect("the program starts");
            let mut first = String::new();
            let mut out = BufReader::with_capacity(16, child.stdout.take().expect("it was asked for"));
            out.read_line(&mut first).expect("a line comes");
            drop(out);
            let rest = child.wait_with_output().expect("the program ends");
            assert_eq!((rest.status.code(), String::from_utf8_lossy(&rest.stderr).as_ref()), (Some(0), ""), "{format}");
        }
        // Gone before the first byte, on both streams.
        for (arguments, code) in [(vec!["check", text(&log)], 0), (vec!["columns", text(&log)], 0), (vec!["check", "nowhere.csv"], 2)] {
            let mut child = command(&arguments).spawn().expect("the program starts");
            drop((child.stdout.take(), child.stderr.take()));
            assert_eq!(child.wait().expect("the program ends").code(), Some(code), "{arguments:?}");
        }
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_behind_standard_output_is_an_error() {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("Linux has it");
        let output = command(&["check", text(&sample("bakery-van/log.csv"))]).stdout(full).output().expect("the program starts");
        assert_eq!(output.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&output.stderr).starts_with("error: cannot print: "));
    }

    /// No terminal here, so never an escape code; and no line wider than the eighty columns that are then assumed.
    #[test]
    fn without_a_terminal_text_is_plain_and_eighty_wide() {
        for story in ["bakery-van", "riding-school-tractor", "launch-truck", "market-garden-pickup", "ferry-shuttle"] {
            let log = sample(&format!("{story}/log.csv"));
            for no_color in [None, Some("1")] {
                let mut command = command(&["check", text(&log)]);
                no_color.map(|value| command.env("NO_COLOR", value));
                let output = command.output().expect("the program starts");
                let out = String::from_utf8(output.stdout).expect("UTF-8");
                assert!(!out.contains('\u{1b}'), "{story} with NO_COLOR {no_color:?}");
                let widest = out.lines().max_by_key(|line| line.chars().count()).expect("something is printed");
                assert!(widest.chars().count() <= 80, "{story}: {widest}");
            }
        }
        assert!(!wellbled(&["polish"]).err.contains('\u{1b}'), "usage errors too");
    }
}

mod files_written {
    use super::*;
    use polars_io::prelude::{ParquetReader, SerReader};

    #[test]
    fn report_plot_and_samples_are_written_whole() {
        let folder = folder();
        let at = |name: &str| folder.path().join(name);
        for (flag, name) in
            [("--report", "r.html"), ("--plot", "p.PNG"), ("--plot", "p.svg"), ("--samples", "s.csv"), ("--samples", "s.parquet")]
        {
            let answer = check(&[flag, text(&at(name))]);
            assert_eq!((answer.code, answer.err.as_str()), (Some(0), ""), "{flag} {name}");
        }
        assert_eq!(names(folder.path()), ["p.PNG", "p.svg", "r.html", "s.csv", "s.parquet"], "nothing else is left behind");

        let page = fs::read_to_string(at("r.html")).expect("UTF-8");
        assert!(page.starts_with("<!doctype html>") || page.starts_with("<!DOCTYPE html>"), "{}", &page[..40]);
        assert!(page.trim_end().ends_with("</html>"));
        assert!(!page.contains("<script") && !page.contains("src=\"http"), "the page stands alone");

        let mut picture =
            png::Decoder::new(BufReader::new(fs::File::open(at("p.PNG")).expect("it was written"))).read_info().expect("a PNG");
        let mut pixels = vec![0; picture.output_buffer_size()];
        let frame = picture.next_frame(&mut pixels).expect("all of its pixels");
        assert!(frame.width >= 800 && pixels.iter().any(|&byte| byte != pixels[0]), "something is drawn");

        let drawing = fs::read_to_string(at("p.svg")).expect("UTF-8");
        assert!(drawing.contains("<svg") && drawing.trim_end().ends_with("</svg>"));

        let rows = fs::read_to_string(sample("bakery-van/log.csv")).expect("the sample is there").lines().count() - 1;
        let mut table = csv::Reader::from_path(at("s.csv")).expect("it was written");
        let heading = table.headers().expect("it has a heading").clone();
        assert!(heading.iter().take(2).eq(["time_s", "coolant_temperature"]), "{heading:?}");
        assert_eq!(table.records().filter(|row| row.is_ok()).count(), rows, "one row a coolant reading, each whole");

        let frame = ParquetReader::new(fs::File::open(at("s.parquet")).expect("it was written")).finish().expect("a Parquet file");
        assert_eq!(frame.height(), rows);
        assert!(frame.schema().iter_names().map(|name| name.as_str()).eq(heading.iter()), "the same columns in both forms");
    }

    #[test]
    fn a_wrong_ending_is_refused_before_anything_is_read_or_written() {
        let folder = folder();
        let at = |name: &str| folder.path().join(name);
        let report = at("r.html");
        for (flag, name, endings) in [
            ("--plot", "p.gif", ".png or .svg"),
            ("--plot", "p", ".png or .svg"),
            ("--report", "r.pdf", ".html or .htm"),
            ("--samples", "s.xlsx", ".csv or .parquet"),
        ] {
            let answer = wellbled(&["check", "nowhere.csv", "--report", text(&report), flag, text(&at(name))]);
            // A flag given twice is clap's own error; the report is asked for a second time only in that one row.
            let answer = if flag == "--report" { wellbled(&["check", "nowhere.csv", flag, text(&at(name))]) } else { answer }.failed();
            assert!(answer.err.contains(name) && answer.err.contains(endings), "{}", answer.err);
        }
        assert_eq!(names(folder.path()), [""; 0]);
    }

    #[test]
    fn where_nothing_can_be_written_the_error_names_the_file_and_the_old_one_stays() {
        let folder = folder();
        let file = written(&folder, "file", "no folder");
        fs::create_dir(folder.path().join("dir.html")).expect("a folder can be made");
        for (path, what) in [
            (folder.path().join("none/r.html"), "its folder is not there"),
            (file.join("r.html"), "its folder is not there"),
            (folder.path().join("dir.html"), "this is a folder"),
        ] {
            let answer = check(&["--report", text(&path)]).failed();
            assert!(answer.err.contains(text(&path)) && answer.err.contains(what), "{}", answer.err);
        }
        assert_eq!(names(folder.path()), ["dir.html", "file"], "no temporary file is left");
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_that_is_read_only_keeps_its_old_report() {
        use std::os::unix::fs::PermissionsExt;
        let folder = folder();
        let old = written(&folder, "r.html", "old");
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).expect("our own folder");
        let may_write_anyway = fs::write(folder.path().join("probe"), "").is_ok();
        let answer = check(&["--report", text(&old)]);
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).expect("our own folder");
        if may_write_anyway {
            println!("skipped: this user writes where writing is forbidden");
            return;
        }
        assert!(answer.failed().err.contains("permission denied"));
        assert_eq!((fs::read_to_string(&old).expect("it is there").as_str(), names(folder.path())), ("old", vec!["r.html".to_owned()]));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_followed_and_what_is_no_file_is_not_replaced() {
        let folder = folder();
        let target = written(&folder, "target.html", "old");
        let link = folder.path().join("link.html");
        std::os::unix::fs::symlink(&target, &link).expect("links can be made");
        assert_eq!(check(&["--report", text(&link)]).code, Some(0));
        assert!(fs::symlink_metadata(&link).expect("it is there").is_symlink(), "the link is still a link");
        assert!(fs::read_to_string(&target).expect("it is there").contains("</html>"));

        let sink = folder.path().join("sink.html");
        std::os::unix::fs::symlink("/dev/null", &sink).expect("links can be made");
        assert_eq!(check(&["--report", text(&sink)]).code, Some(0));
        assert!(!fs::metadata("/dev/null").expect("it is there").is_file(), "the system's own sink was not replaced");
    }

    #[test]
    fn rehearse_makes_its_folder_and_says_what_it_wrote() {
        let folder = folder();
        let out = folder.path().join("a/b");
        let answer = wellbled(&["rehearse", "--story", "bakery-van", "--seed", "3", "--out", text(&out)]);
        assert_eq!(answer.code, Some(0), "{}", answer.err);
        assert_eq!(names(&out), ["levels.csv", "log.csv", "truth.json", "vehicle.toml"]);
        assert!(names(&out).iter().all(|name| answer.out.contains(name.as_str())), "{}", answer.out);
        let unknown = wellbled(&["rehearse", "--story", "nobody"]).failed();
        assert!(unknown.err.contains("`nobody`") && unknown.err.contains("bakery-van"), "{}", unknown.err);
        let file = written(&folder, "file", "");
        assert!(wellbled(&["rehearse", "--story", "bakery-van", "--out", text(&file.join("x"))]).failed().err.contains("folder"));
    }
}

mod files_that_are_no_log {
    use super::*;

    #[test]
    fn each_is_told_for_what_it_is() {
        let folder = folder();
        // Bytes of no text: a linear congruential generator (Knuth, TAOCP vol. 2, table 3.3.4-1, line 26) is as good as any.
        let noise: Vec<u8> = std::iter::successors(Some(1_u64), |&x| Some(x.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1)))
            .take(50_000)
            .map(|x| (x >> 56) as u8)
            .collect();
        for (path, what) in [
            (folder.path().join("nowhere.csv"), "there is no such file"),
            (folder.path().to_owned(), "this is a folder"),
            (written(&folder, "empty.csv", ""), "the file is empty"),
            (written(&folder, "blank.csv", "\r\n\r\n  \n"), "the file is empty"),
            (written(&folder, "noise.csv", &noise), "a binary file"),
            (written(&folder, "sheet.csv", b"PK\x03\x04rest of an archive"), "a spreadsheet"),
            (written(&folder, "letter.csv", "Dear Sir,\nthe van is ready.\n"), "table"),
            (written(&folder, "heading.csv", "time (s),coolant temperature (°C)\n"), "no row"),
            (written(&folder, "short.csv", "time (s),coolant temperature (°C)\n0,20\n1,20\n2,21\n"), "at least 60 s"),
            (written(&folder, "oil.csv", "time (s),oil temperature (°C)\n0,20\n90,40\n"), "no coolant temperature column"),
        ] {
            for verb in ["check", "columns"] {
                let answer = wellbled(&[verb, text(&path)]);
                // A log that has columns is shown with them, so that the right one can be named.
                let shown = verb == "columns" && answer.out.contains("\nColumns\n  time (s)\n      the clock\n");
                let answer = if shown { Answer { out: String::new(), ..answer }.failed() } else { answer.failed() };
                assert_eq!(shown, verb == "columns" && ["at least 60 s", "no coolant temperature column"].contains(&what));
                assert!(answer.err.contains(what), "{verb} {}: {}", path.display(), answer.err);
                let name = path.file_name().expect("it has a name").to_string_lossy();
                assert!(answer.err.contains(name.as_ref()), "the file is named: {}", answer.err);
            }
        }
    }

    /// Two gigabytes in a second or two and a few megabytes: a damaged card must not stall a phone. The sparse file takes no space.
    #[test]
    fn two_gigabytes_of_zeros_are_refused_at_once() {
        let folder = folder();
        let path = folder.path().join("zeros.csv");
        fs::File::create(&path).and_then(|file| file.set_len(2_000_000_000)).expect("a sparse file");
        let begun = Instant::now();
        let answer = wellbled(&["check", text(&path)]).failed();
        assert!(answer.err.contains("a file of zeros"), "{}", answer.err);
        assert!(begun.elapsed() < Duration::from_secs(5), "{:?}", begun.elapsed());
        #[cfg(target_os = "linux")]
        {
            let endless = fs::File::open("/dev/zero").expect("Linux has it");
            let output = command(&["check", "-"]).stdin(endless).output().expect("the program starts");
            assert!(String::from_utf8_lossy(&output.stderr).starts_with("error: standard input: this is a file of zeros"));
        }
    }

    /// The same in bounded memory: with 300 MB of address space (the program itself and its threads' stacks among them) the
    /// refusal still comes.
    #[cfg(target_os = "linux")]
    #[test]
    fn large_files_are_refused_in_little_memory() {
        let folder = folder();
        let zeros = folder.path().join("zeros.csv");
        fs::File::create(&zeros).and_then(|file| file.set_len(2_000_000_000)).expect("a sparse file");
        let long = written(&folder, "long.csv", "time (s),coolant temperature (°C)\n".to_owned() + &"1,20\n".repeat(20_000));
        fs::OpenOptions::new().write(true).open(&long).and_then(|file| file.set_len(2_000_000_000)).expect("a sparse file");
        for (path, what) in [(zeros, "a file of zeros"), (long, "larger than 512 MB")] {
            let limited = format!("ulimit -v 300000; exec '{}' check '{}'", env!("CARGO_BIN_EXE_wellbled"), text(&path));
            let output = std::process::Command::new("sh").args(["-c", &limited]).output().expect("there is a shell");
            let err = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(2), "{err}");
            assert!(err.contains(what), "{err}");
        }
    }
}

mod choosing_columns {
    use super::*;

    #[test]
    fn two_columns_that_fit_alike_are_an_error_with_the_way_out_and_the_way_out_works() {
        let folder = folder();
        let two = with_heading("Intake air temperature (°C)", "Coolant temperature of the engine (°C)");
        let path = written(&folder, "two.csv", &two);
        let answer = wellbled(&["check", text(&path)]).failed();
        assert!(answer.err.starts_with("error: two.csv: line 1: two columns could be the coolant temperature: "), "{}", answer.err);
        for name in ["`Engine coolant temperature (°C)`", "`Coolant temperature of the engine (°C)`"] {
            assert!(answer.err.contains(name), "{}", answer.err);
        }
        let way_out = "--column coolant-temperature=\"Engine coolant temperature (°C)\"";
        assert!(answer.err.contains(&format!("hint: say which: {way_out}")), "{}", answer.err);

        let settled = wellbled(&["check", text(&path), "--column", "coolant-temperature=Engine coolant temperature (°C)"]);
        assert_eq!((settled.code, settled.err.as_str()), (Some(0), ""));
        let by_number = wellbled(&["columns", text(&path), "--column", "coolant-temperature=#5"]);
        assert!(by_number.out.contains("coolant temperature: °C, 9 to 8"), "{}", by_number.out);
    }

    #[test]
    fn two_columns_of_one_name_are_told_apart_by_their_number() {
        let folder = folder();
        let path = written(&folder, "twins.csv", with_heading("Intake air temperature (°C)", "Engine coolant temperature (°C)"));
        let answer = wellbled(&["check", text(&path)]).failed();
        assert!(answer.err.contains("`#5 Engine coolant temperature (°C)` and `#9 Engine coolant temperature (°C)`"), "{}", answer.err);
        assert!(answer.err.contains("--column coolant-temperature=\"#5\""), "{}", answer.err);
        assert_eq!(wellbled(&["check", text(&path), "--column", "coolant-temperature=#5"]).code, Some(0));
    }

    #[test]
    fn a_column_that_is_not_recognised_can_be_named() {
        let folder = folder();
        let path = written(&folder, "temp1.csv", with_heading("Engine coolant temperature (°C)", "probe 1"));
        let answer = wellbled(&["check", text(&path)]).failed();
        assert!(answer.err.contains("no coolant temperature column") && answer.err.contains("probe 1"), "{}", answer.err);
        let named = wellbled(&["check", text(&path), "--column", "coolant-temperature=probe 1"]);
        assert_eq!((named.code, named.err.as_str()), (Some(0), ""));
        let wrong = wellbled(&["check", text(&path), "--column", "coolant-temperature=probe 2"]).failed();
        assert!(wrong.err.contains("no column is named `probe 2`"), "{}", wrong.err);
    }

    #[test]
    fn a_channel_or_a_clock_that_makes_no_sense_is_refused() {
        for (value, what) in [("nonsense", "no `=`"), ("warmth=probe 1", "`warmth` is no channel")] {
            let answer = check(&["--column", value]);
            assert_eq!(answer.code, Some(2));
            assert!(answer.err.contains(what), "{}", answer.err);
        }
        assert!(check(&["--period", "0"]).failed().err.contains("a period of 0 s"));
        assert!(check(&["--time-column", "Engine clock"]).failed().err.contains("`Engine clock`"));
    }
}

mod what_stands_beside_the_log {
    use super::*;

    #[test]
    fn quick_levels_and_files_are_taken() {
        let quick = check(&["--cold-before", "42mm", "--hot-after", "620 mL", "--cold-after", "80%", "--added", "150mL"]);
        assert_eq!((quick.code, quick.err.as_str()), (Some(0), ""));
        let (levels, vehicle) = (sample("bakery-van/levels.csv"), sample("bakery-van/vehicle.toml"));
        let files = check(&["--levels", text(&levels), "--vehicle", text(&vehicle)]);
        assert_eq!((files.code, files.err.as_str()), (Some(0), ""));
        assert!(files.out.starts_with("PASS  the bakery's van\n"), "the vehicle's name heads the report: {}", files.out);
    }

    #[test]
    fn what_is_wrong_in_them_is_said_with_its_place() {
        let folder = folder();
        for (flag, value, what) in [
            ("--cold-before", "lots", "--cold-before lots: "),
            ("--hot-after", "47", "--hot-after 47: "),
            ("--cold-after", "-5%", "--cold-after -5%: "),
            ("--added", "150 kg", "--added 150 kg: "),
        ] {
            let answer = check(&[&format!("{flag}={value}")]).failed();
            assert!(answer.err.contains(what), "{}", answer.err);
        }
        let vehicle = written(&folder, "v.toml", "capacity = \"seven litres\"\n");
        assert!(check(&["--vehicle", text(&vehicle)]).failed().err.contains("v.toml: "));
        let levels = written(&folder, "l.csv", "occasion,reading,unit\ncold before,42,furlong\n");
        assert!(check(&["--levels", text(&levels)]).failed().err.contains("l.csv: "));
        assert!(check(&["--levels", "nowhere.csv"]).failed().err.contains("nowhere.csv: there is no such file"));
    }

    #[test]
    fn a_log_named_in_place_of_a_note_is_no_gigabyte_of_notes() {
        let folder = folder();
        let path = folder.path().join("zeros.csv");
        fs::File::create(&path).and_then(|file| file.set_len(2_000_000_000)).expect("a sparse file");
        for flag in ["--levels", "--vehicle"] {
            assert!(check(&[flag, text(&path)]).failed().err.contains("larger than 4 MB"));
        }
    }
}

mod help {
    use super::*;

    /// One screen of a small terminal for the program, two for its largest verb, each line within eighty columns.
    #[test]
    fn is_short_and_grouped() {
        for (arguments, most, headings) in [
            (&["--help"][..], 24, &["Commands:", "Options:", "Exit codes:"][..]),
            (
                &["check", "--help"],
                60,
                &[
                    "Files to write:",
                    "What is known of the vehicle:",
                    "What was read on the reservoir:",
                    "What is known of the work:",
                    "A page for the customer:",
                    "Kept runs:",
                    "Reading the log:",
                ],
            ),
            (&["columns", "--help"], 24, &["Reading the log:"]),
            (&["rehearse", "--help"], 24, &["Options:"]),
            (&["history", "--help"], 30, &["Commands:", "Options:", "Examples:"]),
        ] {
            let help = wellbled(arguments).out;
            assert!(help.lines().count() <= most, "{} lines:\n{help}", help.lines().count());
            assert!(help.lines().all(|line| line.chars().count() <= 80), "{help}");
            for heading in headings {
                assert!(help.contains(heading), "{heading} in\n{help}");
            }
        }
        assert_eq!(wellbled(&["check", "-h"]).out, wellbled(&["check", "--help"]).out, "nothing is hidden behind the long form");
    }

    #[test]
    fn completions_are_there_for_the_common_shells() {
        for (shell, mark) in [("bash", "complete -F"), ("zsh", "#compdef wellbled"), ("fish", "complete -c wellbled")] {
            let script = wellbled(&["completions", shell]).out;
            assert!(script.contains(mark), "{shell}: {}", script.lines().next().unwrap_or_default());
            assert!(script.contains("cold-before"), "{shell} knows the flags");
        }
    }

    #[test]
    fn the_manual_page_is_roff_and_has_every_verb() {
        let page = wellbled(&["manual"]).out;
        let first = page.lines().find(|line| !line.starts_with(".ie") && !line.starts_with(".el")).expect("it is not empty");
        assert!(first.starts_with(".TH wellbled 1"), "{first}");
        for word in ["\\-\\-cold\\-before", "\\-\\-time\\-column", "\\-\\-story", "Exit codes"] {
            assert!(page.contains(word), "{word}");
        }
    }
}
