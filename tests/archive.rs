//! Kept runs: wholly kept or not there, whatever happens; found again, recognised, judged anew.
//!
//! What interrupts a writer is real here: the signal that nothing survives, a disk that is full, a folder that may not be written in,
//! another writer. Where a system does not offer one of them the test says so and passes over it.

#[path = "support/program.rs"]
mod program;

#[path = "support/made_store.rs"]
mod made_store;

use made_store::{drive, keep, log_of, names, reseal, run_of, tree};
use polars_io::prelude::{ParquetReader, SerReader};
use program::{Answer, command, sample, wellbled};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use wellbled::archive::{Archive, ArchiveError, Judged, Kept};

/// A folder of one test's own, in memory where the system has such a place: there are thousands of synchronisations here, and none of
/// these faults is the disk's own.
fn folder() -> TempDir {
    let mut named = tempfile::Builder::new();
    let named = named.prefix("wellbled-");
    named.tempdir_in("/dev/shm").or_else(|_| named.tempdir()).expect("a temporary folder can be made")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("temporary names are UTF-8")
}

/// An archive in a folder of one test's own.
fn archive() -> (TempDir, Archive) {
    let folder = folder();
    let archive = Archive::at(folder.path().join("store"));
    (folder, archive)
}

/// What must hold of every store at every moment: each run that is there opens, and no folder is there that is none.
fn all_whole(archive: &Archive) -> Vec<String> {
    let listing = archive.listing().expect("it can be listed");
    assert_eq!(listing.not_opened, [], "a run is wholly kept or not there");
    let ids: Vec<String> = listing.entries.into_iter().map(|entry| entry.id).collect();
    for id in &ids {
        let kept = archive.open(id).expect("a listed run opens");
        assert_eq!(Archive::id_of(&kept.log), *id);
    }
    ids
}

fn kept_id(kept: Kept) -> String {
    match kept {
        Kept::Now(id) => id,
        Kept::Already(id) => panic!("{id} was there"),
    }
}

/// `check` on a log with more arguments, kept in a store.
fn check_keep(log: &Path, store: &Path, more: &[&str]) -> Answer {
    wellbled(&[&["check", text(log), "--keep", "--store", text(store)], more].concat())
}

fn history(store: &Path, arguments: &[&str]) -> Answer {
    wellbled(&[&["history", "--store", text(store)], arguments].concat())
}

/// A made log as a file.
fn log_file(folder: &Path, seed: u64) -> PathBuf {
    let path = folder.join(format!("drive-{seed}.csv"));
    fs::write(&path, log_of(&drive(seed))).expect("a temporary file can be written");
    path
}

mod keeping {
    use super::*;

    #[test]
    fn what_comes_back_is_what_was_given() {
        let folder = folder();
        let store = folder.path().join("deep/store");
        let (log, vehicle, levels) = (sample("bakery-van/log.csv"), sample("bakery-van/vehicle.toml"), sample("bakery-van/levels.csv"));
        let plain = wellbled(&["check", text(&log), "--vehicle", text(&vehicle), "--levels", text(&levels), "--air-prior", "5%"]);
        let kept = check_keep(
            &log,
            &store,
            &["--vehicle", text(&vehicle), "--levels", text(&levels), "--air-prior", "5%", "--column", "engine-speed=#2"],
        );
        assert_eq!(kept.code, plain.code, "keeping a run does not change what is said of it: {}", kept.err);
        assert!(kept.err.starts_with("kept as "), "{}", kept.err);

        let archive = Archive::at(&store);
        let id = all_whole(&archive).pop().expect("one is kept");
        let run = archive.open(&id).expect("it opens");
        assert_eq!(run.log, fs::read(&log).expect("the sample is there"), "the original bytes");
        let judging = run.latest().expect("it was judged");
        assert_eq!(judging.vehicle_toml.as_deref(), fs::read_to_string(&vehicle).ok().as_deref(), "the vehicle file as it was written");
        let noted = wellbled::ingest::levels::read(&fs::read(&levels).expect("it is there")).expect("they are level notes");
        assert_eq!(judging.levels, noted);
        assert_eq!((judging.summary.air_prior, judging.summary.verdict.as_str()), (0.05, "pass"));
        assert_eq!(run.record.read.columns, [("engine_speed".to_owned(), "#2".to_owned())], "how it was read");
        let findings: serde_json::Value = serde_json::from_str(&judging.findings).expect("they are JSON");
        assert_eq!((&findings["verdict"], &findings["schema_version"]), (&"pass".into(), &1.into()));
        let coolant = archive.coolant(&id).expect("the readings are there");
        let read = wellbled::ingest::read(&run.log, "log.csv", &run.record.read.options()).expect("it can be read").run;
        let trace = read.trace(wellbled::channel::Channel::CoolantTemperature).expect("it has one");
        assert_eq!(&coolant, trace, "the readings");
        let kept = fs::read(run.folder.join("judged-1/samples.parquet")).expect("they are kept as a table too");
        let table = ParquetReader::new(std::io::Cursor::new(kept)).finish().expect("any program can read it");
        let column = |name: &str| table.column(name).and_then(|column| Ok(column.f64()?.into_no_null_iter().collect::<Vec<f64>>()));
        assert_eq!(column("time_s").ok(), Some(trace.time.clone()));
        assert_eq!(column("coolant_temperature").ok(), Some(trace.value.clone()));
    }

    #[test]
    fn a_packed_log_is_kept_packed() {
        let (_folder, archive) = archive();
        let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        std::io::Write::write_all(&mut packed, log_of(&drive(1)).as_bytes()).expect("memory can be written");
        let bytes = packed.finish().expect("memory can be written");
        let id = kept_id(keep(&archive, &bytes, &run_of(&bytes)).expect("it can be kept"));
        let run = archive.open(&id).expect("it opens");
        assert_eq!((run.record.log_name(), &run.log), ("log.csv.gz", &bytes));
    }

    #[test]
    fn the_same_log_is_recognised_by_its_bytes_whatever_its_name() {
        let folder = folder();
        let store = folder.path().join("store");
        let first = log_file(folder.path(), 1);
        let again = folder.path().join("another name.csv");
        fs::copy(&first, &again).expect("it can be copied");
        let code = check_keep(&first, &store, &[]).code;
        let before = tree(&store.join("runs"));
        let second = check_keep(&again, &store, &["--cold-before", "42mm"]);
        assert_eq!(second.code, code, "the log is checked all the same");
        assert!(second.err.starts_with("this log is kept since ") && second.err.contains("history add "), "{}", second.err);
        assert_eq!(tree(&store.join("runs")), before, "nothing was changed");
    }

    #[test]
    fn what_cannot_be_checked_is_not_kept() {
        let folder = folder();
        let store = folder.path().join("store");
        let path = folder.path().join("short.csv");
        fs::write(&path, "time (s),coolant temperature (°C)\n0,20\n1,20\n").expect("a temporary file can be written");
        check_keep(&path, &store, &[]).failed();
        assert!(!store.exists(), "not even the folder is made");
        let levels = sample("bakery-van/levels.csv");
        assert_eq!(wellbled(&["check", "--levels", text(&levels), "--keep"]).code, Some(2), "a run is kept with its log");
    }

    #[test]
    fn the_folder_is_named_by_flag_by_environment_or_by_the_platform() {
        let folder = folder();
        let log = log_file(folder.path(), 1);
        let keep = |arguments: &[&str], environment: &[(&str, &Path)]| {
            let mut command = command(&[&["check", text(&log), "--keep"], arguments].concat());
            command.env_remove("WELLBLED_STORE").env_remove("XDG_DATA_HOME").env_remove("HOME").env_remove("APPDATA");
            let output = command.envs(environment.iter().copied()).output().expect("the program starts");
            (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
        };
        let at = |name: &str| folder.path().join(name);
        let (code, err) = keep(&["--store", text(&at("flag"))], &[("WELLBLED_STORE", &at("variable"))]);
        assert!(code != Some(2) && at("flag/runs").is_dir() && !at("variable").exists(), "{err}");
        keep(&[], &[("WELLBLED_STORE", &at("variable")), ("HOME", &at("home"))]);
        assert!(at("variable/runs").is_dir() && !at("home").exists());
        if cfg!(target_os = "linux") {
            keep(&[], &[("HOME", &at("home"))]);
            assert!(at("home/.local/share/wellbled/runs").is_dir());
            let (code, err) = keep(&[], &[]);
            assert_eq!(code, Some(2));
            assert!(err.contains("hint: say where: --store FOLDER"), "{err}");
        }
    }
}

mod killed_at_any_moment {
    use super::*;

    /// Names the store to the child that is this same test program; without it the child's test does nothing.
    const STORE: &str = "WELLBLED_TEST_WRITER";

    /// The child: keeps, adds and removes runs until it is killed, and says each thing when it is done.
    #[test]
    fn writer_that_is_killed() {
        let Some(store) = std::env::var_os(STORE) else { return };
        let archive = Archive::at(PathBuf::from(store));
        let first = u64::from(std::process::id()) << 20;
        let mut kept = Vec::new();
        println!("\nstarting");
        for seed in first.. {
            let log = log_of(&drive(seed));
            let id = kept_id(keep(&archive, log.as_bytes(), &run_of(log.as_bytes())).expect("it can be kept"));
            println!("\nkept {id}");
            kept.push(id);
            if seed % 2 == 0 {
                let id = kept.last().expect("one was kept");
                let run = archive.open(id).expect("it opens");
                let number =
                    archive.add(&run, &Judged { verdict: "recheck", ..made_store::judged(&run_of(&run.log)) }).expect("it can be added");
                println!("\nadded {id} {number}");
            }
            if seed % 3 == 0 {
                let id = kept.remove(0);
                println!("\nremoving {id}");
                archive.remove(&id).expect("it can be removed");
                println!("\nremoved {id}");
            }
        }
    }

    /// Killed some hundred times at moments that nobody chose. What was said to be done is done, everything else is wholly there or
    /// wholly not, and the next writer is not hindered.
    #[cfg(unix)]
    #[test]
    fn a_killed_writer_leaves_whole_runs() {
        const ROUNDS: u32 = 150;
        let (folder, archive) = archive();
        let said_file = folder.path().join("said");
        let (mut keeps, mut adds, mut removes, mut unsaid) = (0, 0, 0, 0);
        for round in 0..ROUNDS {
            let said = fs::File::create(&said_file).expect("a temporary file can be written");
            let mut child = Command::new(std::env::current_exe().expect("this program is a file"))
                .args(["--exact", "killed_at_any_moment::writer_that_is_killed", "--nocapture", "--test-threads=1"])
                .env(STORE, archive.folder())
                .stdin(Stdio::null())
                .stdout(said)
                .stderr(Stdio::null())
                .spawn()
                .expect("this program starts");
            // Every other writer is let do something first. Steps that share no divisor with anything in the writer spread the
            // moments over all that it does.
            let first = if round % 2 == 0 { "\nstarting" } else { "\nkept" };
            let begun = Instant::now();
            while !fs::read_to_string(&said_file).is_ok_and(|said| said.contains(first)) && begun.elapsed() < Duration::from_secs(20) {
                std::thread::sleep(Duration::from_micros(200));
            }
            std::thread::sleep(Duration::from_micros(u64::from(round) * 7_919 % 30_000));
            child.kill().expect("it can be killed");
            child.wait().expect("it ends");

            let there = all_whole(&archive);
            let said = fs::read_to_string(&said_file).expect("it said something or nothing");
            let (mut expected, mut removing) = (Vec::new(), Vec::new());
            for line in said.lines() {
                match line.split(' ').collect::<Vec<_>>()[..] {
                    ["kept", id] => {
                        keeps += 1;
                        expected.push(id.to_owned());
                    }
                    ["added", id, number] => {
                        adds += 1;
                        // It may have been removed since.
                        if let Ok(run) = archive.open(id) {
                            assert_eq!(run.judgings.len().to_string(), number);
                        }
                    }
                    ["removing", id] => removing.push(id.to_owned()),
                    ["removed", id] => {
                        removes += 1;
                        removing.retain(|one| one != id);
                        expected.retain(|one| one != id);
                        assert!(!there.contains(&id.to_owned()), "{id} was removed");
                    }
                    _ => {}
                }
            }
            expected.retain(|id| !removing.contains(id));
            let lost: Vec<&String> = expected.iter().filter(|id| !there.contains(id)).collect();
            assert!(lost.is_empty(), "round {round}: said to be kept and not there: {lost:?}");
            unsaid += there.len() - expected.len();
            // The next round starts from nothing but what was left waiting.
            there.iter().for_each(|id| archive.remove(id).expect("it can be removed"));
        }
        let left = names(&archive.folder().join("waiting")).len();
        println!(
            "{ROUNDS} kills: {keeps} keeps, {adds} additions, {removes} removals said; {unsaid} done and not said; {left} folders left waiting"
        );
        assert!(keeps >= ROUNDS / 2, "the writers were killed before they did anything");
        let log = log_of(&drive(1));
        keep(&archive, log.as_bytes(), &run_of(log.as_bytes())).expect("what was left does not hinder");
        assert_eq!(all_whole(&archive).len(), 1);
    }

    /// Killed at each system call, one after the other, that touches names or contents of files, with `strace` if it is there.
    #[cfg(target_os = "linux")]
    #[test]
    fn killed_at_each_system_call() {
        const CALLS: &str = "mkdir,mkdirat,openat,write,fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,rmdir,link,linkat";
        if Command::new("strace").arg("-V").output().is_err() {
            println!("strace is not here: not killed at each system call");
            return;
        }
        let folder = folder();
        let log = log_file(folder.path(), 1);
        let seed = |store: &Path| keep(&Archive::at(store), log_of(&drive(2)).as_bytes(), &run_of(log_of(&drive(2)).as_bytes()));
        let of_log = Archive::id_of(&fs::read(&log).expect("it was written"));
        let (mut call, mut there, mut killed) = (1, 0, 0);
        loop {
            let store = folder.path().join(format!("store-{call}"));
            seed(&store).expect("a run can be kept");
            let output = Command::new("strace")
                .args(["-f", "-qq", "-o", "/dev/null", "-e", &format!("inject={CALLS}:signal=KILL:when={call}")])
                .args([env!("CARGO_BIN_EXE_wellbled"), "check", text(&log), "--keep", "--store", text(&store)])
                .output()
                .expect("strace starts");
            if call == 1
                && !output.stderr.is_empty()
                && output.status.code() == Some(1)
                && !String::from_utf8_lossy(&output.stderr).contains("kept")
            {
                println!("strace may not trace here: {}", String::from_utf8_lossy(&output.stderr));
                return;
            }
            let ids = all_whole(&Archive::at(&store));
            assert!((1..=2).contains(&ids.len()), "the run that was there is still there");
            there += usize::from(ids.contains(&of_log));
            if output.status.code().is_some() {
                assert!(ids.contains(&of_log), "it ran to its end");
                break;
            }
            killed += 1;
            call += 1;
            fs::remove_dir_all(&store).expect("a temporary folder can be removed");
        }
        println!(
            "killed at each of {killed} system calls: the run was wholly there after {} of them, not there after the others",
            there - 1
        );
        assert!(killed > 20, "only {killed} calls were met");
    }
}

mod a_disk_that_refuses {
    use super::*;

    /// A disk that is full after so many bytes: a small file system in memory, seen by the program alone.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_keeps_nothing_of_a_run() {
        let folder = folder();
        let (log, mount) = (log_file(folder.path(), 1), folder.path().join("disk"));
        fs::create_dir(&mount).expect("a temporary folder can be made");
        let run = |kilobytes: u32| {
            // The store is looked at before the file system goes away with its name space.
            let script = format!(
                "mount -t tmpfs -o size={kilobytes}k tmpfs {at} || exit 99; {program} check {log} --keep --store {at}/s >/dev/null; echo code $?; \
                 {program} history verify --store {at}/s; ls {at}/s/waiting 2>/dev/null | wc -l",
                at = text(&mount),
                program = env!("CARGO_BIN_EXE_wellbled"),
                log = text(&log)
            );
            Command::new("unshare").args(["-m", "sh", "-c", &script]).output()
        };
        let (mut refused, mut kilobytes) = (0, 4);
        loop {
            let output = match run(kilobytes) {
                Ok(output) if output.status.code() != Some(99) && !String::from_utf8_lossy(&output.stderr).contains("unshare") => output,
                _ => return println!("no file system can be mounted here: a full disk was not tried"),
            };
            let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
            assert!(!err.contains("panicked"), "{err}");
            if !out.contains("code 2\n") {
                assert!(out.contains("1 run is whole"), "{kilobytes} kB: {out}{err}");
                break;
            }
            refused += 1;
            assert!(out.contains("0 runs are whole"), "{kilobytes} kB: {out}{err}");
            assert!(err.starts_with("error: ") && err.contains("cannot write it") && err.contains("\n\nhint: "), "{kilobytes} kB: {err}");
            assert!(out.trim_end().ends_with('0'), "{kilobytes} kB: what was begun was cleared away: {out}");
            kilobytes += 4;
            assert!(kilobytes < 1000, "a small run fits a megabyte");
        }
        println!("disks of 4 to {kilobytes} kB: {refused} were full, nothing of a run was on them; the last held it whole");
        assert!(refused > 5);
    }

    /// No file may grow beyond so many blocks: each file is once the one that fails.
    #[cfg(unix)]
    #[test]
    fn a_write_that_fails_half_way_keeps_nothing_of_a_run() {
        let folder = folder();
        let log = log_file(folder.path(), 1);
        let mut refused = 0;
        for blocks in 0.. {
            let store = folder.path().join(format!("store-{blocks}"));
            let script = format!(
                "trap '' XFSZ; ulimit -f {blocks}; exec {} check {} --keep --store {} 2>&1 >/dev/null | cat",
                env!("CARGO_BIN_EXE_wellbled"),
                text(&log),
                text(&store)
            );
            let output = Command::new("sh").args(["-c", &script]).output().expect("there is a shell");
            let out = String::from_utf8_lossy(&output.stdout);
            let ids = all_whole(&Archive::at(&store));
            if out.starts_with("kept as") {
                assert_eq!(ids.len(), 1);
                break;
            }
            refused += 1;
            assert!(out.starts_with("error: ") && out.contains("\n\nhint: no part of a run is left behind"), "{blocks}: {out}");
            assert!(ids.is_empty() && names(&store.join("waiting")).is_empty(), "{blocks}: nothing of it is left");
            assert!(blocks < 1000, "a small run fits");
        }
        println!("{refused} limits on the length of a file, each in the way of some file: nothing was kept");
        assert!(refused > 3);
    }

    /// The same for what is added to a kept run: the run stays as it was.
    #[cfg(unix)]
    #[test]
    fn an_addition_that_fails_half_way_changes_nothing() {
        let folder = folder();
        let store = folder.path().join("store");
        check_keep(&log_file(folder.path(), 1), &store, &[]);
        let before = tree(&store.join("runs"));
        let mut refused = 0;
        for blocks in 0..1000 {
            let script = format!(
                "trap '' XFSZ; ulimit -f {blocks}; exec {} history add last --cold-after 39mm --store {} 2>&1 >/dev/null | cat",
                env!("CARGO_BIN_EXE_wellbled"),
                text(&store)
            );
            let output = Command::new("sh").args(["-c", &script]).output().expect("there is a shell");
            let out = String::from_utf8_lossy(&output.stdout);
            if out.starts_with("kept as judging 2 ") {
                break;
            }
            refused += 1;
            assert!(out.starts_with("error: ") && out.contains("\n\nhint: no part of a run is left behind"), "{blocks}: {out}");
            assert_eq!(tree(&store.join("runs")), before, "{blocks}");
        }
        let archive = Archive::at(&store);
        assert_eq!(archive.open(&all_whole(&archive)[0]).expect("it opens").judgings.len(), 2);
        assert!(refused > 3, "{refused}");
    }

    /// For whoever may not write there: reading works, also without an index; keeping says why it does not.
    #[cfg(unix)]
    #[test]
    fn a_folder_that_is_read_only_can_be_read() {
        use std::os::unix::fs::PermissionsExt;
        use std::os::unix::process::CommandExt;
        let folder = folder();
        let store = folder.path().join("store");
        let (log, other) = (log_file(folder.path(), 1), log_file(folder.path(), 2));
        check_keep(&log, &store, &[]);
        fs::remove_file(store.join("index.csv")).ok();
        let set = |mode: u32, files: u32| {
            for path in std::iter::once(store.clone()).chain(made_store::paths(&store)) {
                let mode = if path.is_dir() { mode } else { files };
                fs::set_permissions(&path, fs::Permissions::from_mode(mode)).expect("the mode can be set");
            }
        };
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).expect("the mode can be set");
        set(0o555, 0o444);
        // The superuser may write anywhere: then somebody else is asked to.
        let superuser = fs::write(store.join("probe"), "").is_ok();
        let _ = fs::remove_file(store.join("probe"));
        let run = |arguments: &[&str]| {
            let mut command = command(arguments);
            if superuser {
                command.uid(65_534).gid(65_534);
            }
            command.output().map(|output| {
                let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
                (output.status.code(), text(&output.stdout), text(&output.stderr))
            })
        };
        let Ok((code, out, err)) = run(&["history", "--store", text(&store)]) else {
            set(0o755, 0o644);
            return println!("the program cannot be started by somebody else here: a read-only folder was not tried");
        };
        let id = Archive::id_of(&fs::read(&log).expect("it was written"));
        assert_eq!((code, err.as_str()), (Some(0), ""));
        assert!(out.contains(&id), "{out}");
        for arguments in [
            &["check", text(&other), "--keep", "--store", text(&store)][..],
            &["history", "add", &id, "--cold-after", "39mm", "--store", text(&store)],
            &["history", "remove", &id, "--yes", "--store", text(&store)],
        ] {
            let (code, out, err) = run(arguments).expect("it started before");
            assert_eq!((code, out.as_str()), (Some(2), ""), "{arguments:?}");
            assert!(err.contains("cannot write it: permission denied") && err.contains("\n\nhint: "), "{err}");
        }
        set(0o755, 0o644);
        assert_eq!(all_whole(&Archive::at(&store)), [id]);
    }

    #[test]
    fn a_file_in_the_place_of_the_folder_is_named() {
        let folder = folder();
        let log = log_file(folder.path(), 1);
        let failed = check_keep(&log, &log, &[]).failed();
        assert!(failed.err.contains("cannot write it"), "{}", failed.err);
    }
}

mod two_writers {
    use super::*;

    /// Starts the program several times at once.
    fn at_once(arguments: &[Vec<String>]) -> Vec<(String, String)> {
        let children: Vec<_> = arguments.iter().map(|arguments| command(arguments).spawn().expect("the program starts")).collect();
        let ended = children.into_iter().map(|child| child.wait_with_output().expect("it ends"));
        ended
            .map(|output| (String::from_utf8_lossy(&output.stdout).into_owned(), String::from_utf8_lossy(&output.stderr).into_owned()))
            .collect()
    }

    fn arguments(words: &[&str]) -> Vec<String> {
        words.iter().map(|&word| word.to_owned()).collect()
    }

    #[test]
    fn of_one_log_keep_it_once() {
        let folder = folder();
        let log = log_file(folder.path(), 1);
        for round in 0..10 {
            let store = folder.path().join(format!("store-{round}"));
            let said = at_once(&vec![arguments(&["check", text(&log), "--keep", "--store", text(&store)]); 4]);
            let kept = said.iter().filter(|(_, err)| err.starts_with("kept as ")).count();
            let recognised = said.iter().filter(|(_, err)| err.starts_with("this log is kept ")).count();
            assert_eq!((kept, recognised), (1, 3), "{said:?}");
            assert_eq!(all_whole(&Archive::at(&store)).len(), 1);
            assert_eq!(names(&store.join("waiting")), [""; 0], "what the others wrote is cleared away");
        }
    }

    #[test]
    fn of_different_logs_keep_all_of_them() {
        let folder = folder();
        let store = folder.path().join("store");
        let logs: Vec<PathBuf> = (1..=8).map(|seed| log_file(folder.path(), seed)).collect();
        let said = at_once(&logs.iter().map(|log| arguments(&["check", text(log), "--keep", "--store", text(&store)])).collect::<Vec<_>>());
        assert!(said.iter().all(|(_, err)| err.starts_with("kept as ")), "{said:?}");
        assert_eq!(all_whole(&Archive::at(&store)).len(), 8);
    }

    #[test]
    fn who_add_to_one_run_lose_nothing_of_each_other() {
        let folder = folder();
        let store = folder.path().join("store");
        check_keep(&log_file(folder.path(), 1), &store, &["--cold-before", "42mm"]);
        let adding =
            (31..=36).map(|mm| arguments(&["history", "add", "last", "--cold-after", &format!("{mm}mm"), "--store", text(&store)]));
        let said = at_once(&adding.collect::<Vec<_>>());
        assert!(said.iter().all(|(_, err)| err.starts_with("kept as judging ")), "{said:?}");
        let archive = Archive::at(&store);
        let run = archive.open(&all_whole(&archive)[0]).expect("it opens");
        assert_eq!(run.judgings.len(), 7);
        let mut read: Vec<f64> = run.latest().expect("it was judged").levels.iter().map(|level| level.reading).collect();
        read.sort_by(f64::total_cmp);
        assert_eq!(read, [31.0, 32.0, 33.0, 34.0, 35.0, 36.0, 42.0], "the latest judging has every reading");
    }
}

mod damage {
    use super::*;

    /// Ways in which a file goes bad; `None` for a file that is gone.
    fn damaged(bytes: &[u8]) -> Vec<(String, Option<Vec<u8>>)> {
        let mut ways =
            vec![("gone".to_owned(), None), ("empty".to_owned(), Some(Vec::new())), ("longer".to_owned(), Some([bytes, b"\n"].concat()))];
        for cut in [1, bytes.len() / 2, bytes.len() - 1] {
            ways.push((format!("cut to {cut}"), Some(bytes[..cut].to_vec())));
        }
        // Every byte of the small files, some two hundred of the large ones.
        for at in (0..bytes.len()).step_by((bytes.len() / 200).max(1)) {
            let mut flipped = bytes.to_vec();
            flipped[at] ^= 1 << (at % 8);
            ways.push((format!("byte {at} flipped"), Some(flipped)));
        }
        ways
    }

    #[test]
    fn of_any_file_is_named_and_the_others_open() {
        let (_folder, archive) = archive();
        let ids: Vec<String> = (1..=3)
            .map(|seed| {
                let log = log_of(&drive(seed));
                kept_id(keep(&archive, log.as_bytes(), &run_of(log.as_bytes())).expect("it can be kept"))
            })
            .collect();
        let bad = &ids[1];
        let run = archive.open(bad).expect("it opens");
        archive.add(&run, &made_store::judged(&run_of(&run.log))).expect("it can be added");
        let mut tried = 0;
        for path in made_store::paths(&archive.folder().join("runs").join(bad)).into_iter().filter(|path| path.is_file()) {
            let good = fs::read(&path).expect("it can be read");
            for (way, bytes) in damaged(&good) {
                match &bytes {
                    Some(bytes) => fs::write(&path, bytes),
                    None => fs::remove_file(&path),
                }
                .expect("it can be damaged");
                let error = archive.open(bad).expect_err(&format!("{}: {way}", path.display()));
                assert!(matches!(error, ArchiveError::Damaged { .. }), "{}: {way}: {error}", path.display());
                assert!(error.to_string().contains(bad.as_str()), "the run is named: {error}");
                assert!(archive.open(&ids[0]).is_ok() && archive.open(&ids[2]).is_ok(), "the others open");
                assert_eq!(fs::read(&path).ok(), bytes, "what is damaged is left alone");
                tried += 1;
            }
            fs::write(&path, &good).expect("it can be repaired");
            assert!(archive.open(bad).is_ok(), "put back from a copy, it opens again");
        }
        println!("{tried} damages tried, all found");
    }

    #[test]
    fn is_named_in_the_list_and_by_every_verb() {
        let folder = folder();
        let store = folder.path().join("store");
        let ids: Vec<String> = (1..=3)
            .map(|seed| {
                let log = log_file(folder.path(), seed);
                check_keep(&log, &store, &[]);
                Archive::id_of(&fs::read(log).expect("it was written"))
            })
            .collect();
        history(&store, &[]);
        for file in ["log.csv", "record.json", "seal.txt", "judged-1/judged.json", "judged-1/samples.parquet", "judged-1/seal.txt"] {
            let path = store.join("runs").join(&ids[0]).join(file);
            let good = fs::read(&path).expect("it can be read");
            fs::write(&path, &good[..good.len() / 2]).expect("it can be damaged");
            let listed = history(&store, &[]);
            assert_eq!((listed.code, listed.err.as_str()), (Some(0), ""), "{file}");
            let (list, not_opened) = listed.out.split_once("\nCould not be opened, and left as they are\n").expect(file);
            assert!(not_opened.contains(&ids[0]) && not_opened.contains("damaged: "), "{file}: {not_opened}");
            assert!(!list.contains(&ids[0]) && list.contains(&ids[1]) && list.contains(&ids[2]), "{file}: {list}");
            let out = folder.path().join("out");
            for verb in [&["show", &ids[0]][..], &["add", &ids[0], "--cold-after", "39mm"], &["export", &ids[0], "--out", text(&out)]] {
                assert!(history(&store, verb).failed().err.contains("damaged: "), "{file} {verb:?}");
            }
            let verified = history(&store, &["verify"]);
            assert!(
                verified.code == Some(2) && verified.out.starts_with("2 runs are whole") && verified.out.contains(&ids[0]),
                "{verified:?}"
            );
            let again = check_keep(&folder.path().join("drive-1.csv"), &store, &[]).failed();
            assert!(again.err.contains("damaged: "), "the same log is not kept over it: {}", again.err);
            fs::write(&path, &good).expect("it can be repaired");
            assert!(history(&store, &[]).out.contains(&ids[0]), "{file}: it is listed again");
        }
        let path = store.join("runs").join(&ids[0]).join("log.csv");
        fs::write(&path, "").expect("it can be damaged");
        assert_eq!(history(&store, &["remove", &ids[0], "--yes"]).code, Some(0), "a damaged run can be removed");
        assert_eq!(history(&store, &["verify"]).code, Some(0));
    }

    #[test]
    fn of_the_index_costs_nothing_but_time() {
        let (_folder, archive) = archive();
        for seed in 1..=3 {
            let log = log_of(&drive(seed));
            keep(&archive, log.as_bytes(), &run_of(log.as_bytes())).expect("it can be kept");
        }
        let right = archive.listing().expect("it can be listed");
        let index = archive.folder().join("index.csv");
        let good = fs::read(&index).expect("it was written");
        for (way, bytes) in damaged(&good) {
            match bytes {
                Some(bytes) => fs::write(&index, bytes),
                None => fs::remove_file(&index),
            }
            .expect("it can be damaged");
            assert_eq!(archive.listing().expect("it can be listed"), right, "{way}");
            assert_eq!(fs::read(&index).ok().as_deref(), Some(good.as_slice()), "{way}: it was built anew");
        }
    }

    #[test]
    fn a_folder_that_is_no_run_is_named_and_files_of_a_file_manager_are_passed_over() {
        let (_folder, archive) = archive();
        let log = log_of(&drive(1));
        let id = kept_id(keep(&archive, log.as_bytes(), &run_of(log.as_bytes())).expect("it can be kept"));
        let runs = archive.folder().join("runs");
        fs::create_dir(runs.join("holiday")).expect("a folder can be made");
        fs::create_dir(runs.join(".trash")).expect("a folder can be made");
        fs::write(runs.join("desktop.ini"), "").expect("a file can be made");
        fs::write(runs.join(&id).join("thumbs.db"), "").expect("a file can be made");
        let copy = runs.join(format!("{id} (copy)"));
        fs::create_dir(&copy).expect("a folder can be made");
        let listing = archive.listing().expect("it can be listed");
        assert_eq!(listing.entries.iter().map(|entry| entry.id.as_str()).collect::<Vec<_>>(), [id.as_str()]);
        let mut named: Vec<&str> = listing.not_opened.iter().map(|run| run.id.as_str()).collect();
        named.sort_unstable();
        assert_eq!(named, [format!("{id} (copy)").as_str(), "holiday"]);
    }
}

mod formats {
    use super::*;

    /// A store as version 0.1.0 wrote it, format 1. It is never written anew: every later program must open it as it stands.
    fn first_format() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/store-1")
    }

    #[test]
    fn a_store_of_the_first_format_opens() {
        let (_folder, archive) = archive();
        made_store::copy(&first_format(), archive.folder());
        let before = tree(&archive.folder().join("runs"));
        let ids = all_whole(&archive);
        assert_eq!(ids.len(), 1);
        let run = archive.open(&ids[0]).expect("it opens");
        assert_eq!((run.record.format, run.judgings.len()), (1, 2));
        assert_eq!(run.judgings[0].levels.len() + 1, run.judgings[1].levels.len());
        assert!(run.latest().is_some_and(|judging| judging.vehicle_toml.is_some()));
        assert!(archive.coolant(&ids[0]).expect("its readings are there").len() > 100);
        assert_eq!(tree(&archive.folder().join("runs")), before, "reading an older format rewrites nothing");
        let added = history(archive.folder(), &["add", &ids[0], "--cold-after", "38mm"]);
        assert_ne!(added.code, Some(2), "it can be judged again: {}", added.err);
    }

    /// The member `format` of a kept JSON file is set, and the folder sealed again as a newer program would.
    fn set_format(folder: &Path, file: &str, format: &str) {
        let path = folder.join(file);
        let json = fs::read_to_string(&path).expect("it can be read").replacen("\"format\": 1", &format!("\"format\": {format}"), 1);
        fs::write(&path, json).expect("it can be written");
        reseal(folder);
    }

    #[test]
    fn a_newer_format_is_named_and_left_alone() {
        for file in ["record.json", "judged-1/judged.json"] {
            let (_folder, archive) = archive();
            let ids: Vec<String> = (1..=2)
                .map(|seed| {
                    let log = log_of(&drive(seed));
                    kept_id(keep(&archive, log.as_bytes(), &run_of(log.as_bytes())).expect("it can be kept"))
                })
                .collect();
            let path = archive.folder().join("runs").join(&ids[0]).join(file);
            set_format(path.parent().expect("it is in a folder"), path.file_name().expect("it has a name").to_str().expect("UTF-8"), "7");
            assert!(matches!(archive.open(&ids[0]), Err(ArchiveError::Newer { found: 7, known: 1, .. })), "{file}");
            let listing = archive.listing().expect("it can be listed");
            assert_eq!((listing.entries.len(), listing.not_opened.len()), (1, 1));
            assert!(listing.not_opened[0].why.contains("kept in format 7 by a newer program"), "{}", listing.not_opened[0].why);
            assert_ne!(history(archive.folder(), &["show", &ids[0]]).failed().err, "");
        }
    }

    #[test]
    fn a_store_with_a_newer_layout_is_not_touched() {
        let folder = folder();
        let store = folder.path().join("store");
        let log = log_file(folder.path(), 1);
        check_keep(&log, &store, &[]);
        fs::write(store.join("store.json"), "{\"format\": 2, \"about\": \"\"}").expect("it can be written");
        let before = tree(&store);
        for failed in [history(&store, &[]), check_keep(&log_file(folder.path(), 2), &store, &[])] {
            assert!(failed.failed().err.contains("kept in format 2 by a newer program; this one reads up to 1"));
        }
        assert_eq!(tree(&store), before);
        // Damaged, it says nothing, and the runs say their own.
        fs::write(store.join("store.json"), "{\"form").expect("it can be written");
        assert_eq!(all_whole(&Archive::at(&store)).len(), 1);
    }
}

mod copies_of_a_trace {
    use super::*;
    use wellbled::archive::{fingerprint, twin};
    use wellbled::channel::Channel;
    use wellbled::rehearsal;
    use wellbled::run::Trace;

    /// The coolant of a sample log.
    fn coolant(bytes: &[u8]) -> Trace {
        let run = wellbled::ingest::read(bytes, "log.csv", &wellbled::ingest::Options::default()).expect("it is a log").run;
        run.trace(Channel::CoolantTemperature).expect("it has one").clone()
    }

    /// What keeping a log would find of another.
    fn found(first: &Trace, second: &Trace) -> Option<twin::Twin> {
        fingerprint::of(first).alike(&fingerprint::of(second)).then(|| twin::of(first, second)).flatten()
    }

    fn logs() -> Vec<(&'static str, Trace)> {
        let made = rehearsal::STORIES.iter().map(|story| {
            let scenario = rehearsal::story_with(story.0, 1, None, None, None).expect("it is a story");
            (story.0, coolant(&rehearsal::rehearse(&scenario).log))
        });
        made.collect()
    }

    #[test]
    fn whole_shifted_in_time_or_by_a_constant_are_recognised() {
        for (name, trace) in logs() {
            let moved = |from: usize, shift: f64, constant: f64| Trace {
                // Written and read back, a number comes back to its decimals.
                time: trace.time[from..].iter().map(|time| ((time + shift) * 1000.0).round() / 1000.0).collect(),
                value: trace.value[from..].iter().map(|value| ((value + constant) * 100.0).round() / 100.0).collect(),
                step: trace.step,
            };
            let tenth = trace.len() / 10;
            for (from, shift, constant) in [
                (0, 0.0, 0.0),
                (0, 12.345, 0.0),
                (0, -3600.0, 0.0),
                (0, 0.0, 3.0),
                (0, 0.0, -2.5),
                (0, 7.1, 1.7),
                // The beginning cut off, and the clock begun anew.
                (tenth, -trace.time[tenth], 0.0),
                (2 * tenth, -trace.time[2 * tenth], -4.0),
            ] {
                let copy = moved(from, shift, constant);
                let twin =
                    found(&copy, &trace).unwrap_or_else(|| panic!("{name}: not recognised, from row {from}, {shift} s, {constant} K"));
                assert!((twin.shift_s + shift).abs() < 0.06 && (twin.constant_k + constant).abs() < 0.011, "{name}: {twin:?}");
                assert!(twin.share > 0.99, "{name}: {twin:?}");
            }
        }
    }

    /// A copy that lacks its beginning or its end shares less of the fingerprint the more it lacks.
    #[test]
    fn copies_that_lack_a_part_are_recognised_while_most_of_it_is_there() {
        let logs = logs();
        for percent in [10, 20, 30, 40, 50, 60, 70] {
            let (mut met, mut all) = (0, 0);
            for (_, trace) in &logs {
                let cut = trace.len() * percent / 100;
                for rows in [cut..trace.len(), 0..trace.len() - cut] {
                    let first = trace.time[rows.start];
                    let time = trace.time[rows.clone()].iter().map(|time| time - first).collect();
                    let part = Trace { time, value: trace.value[rows].iter().map(|value| value + 2.0).collect(), step: trace.step };
                    all += 1;
                    met += usize::from(found(&part, trace).is_some());
                }
            }
            println!("{percent} % cut off: {met} of {all} recognised");
            assert!(percent > 30 || met == all, "{percent} %: {met} of {all}");
        }
    }

    /// Three tellings of each story, all pairs: the same vehicle on the same road on another day is another drive.
    #[test]
    fn two_drives_are_never_taken_for_copies() {
        let traces: Vec<(String, Trace)> = rehearsal::STORIES
            .iter()
            .flat_map(|story| (1..=3).map(move |seed| (story.0, seed)))
            .map(|(story, seed)| {
                let scenario = rehearsal::story_with(story, seed, None, None, None).expect("it is a story");
                (format!("{story} {seed}"), coolant(&rehearsal::rehearse(&scenario).log))
            })
            .collect();
        let prints: Vec<_> = traces.iter().map(|(_, trace)| fingerprint::of(trace)).collect();
        let (mut pairs, mut compared) = (0, 0);
        for first in 0..traces.len() {
            for second in 0..first {
                pairs += 1;
                compared += usize::from(prints[first].alike(&prints[second]));
                let twin = twin::of(&traces[first].1, &traces[second].1);
                assert!(twin.is_none(), "{} and {}: {twin:?}", traces[first].0, traces[second].0);
            }
        }
        println!("{pairs} pairs of different drives: {compared} had fingerprints alike, none was taken for a copy");
    }

    #[test]
    fn a_copy_is_pointed_out_when_it_is_kept() {
        let folder = folder();
        let store = folder.path().join("store");
        let first = log_file(folder.path(), 1);
        check_keep(&first, &store, &[]);
        let id = Archive::id_of(&fs::read(&first).expect("it was written"));
        let mut other = drive(1);
        // Five minutes late and three kelvin up, under another name.
        other.iter_mut().for_each(|(time, celsius)| (*time, *celsius) = (*time + 300.0, *celsius + 3.0));
        let copy = folder.path().join("sunday.csv");
        fs::write(&copy, log_of(&other)).expect("a temporary file can be written");
        let kept = check_keep(&copy, &store, &[]);
        assert!(kept.err.starts_with("kept as "), "it is kept: {}", kept.err);
        let note = kept.err.lines().find(|line| line.starts_with("note: ")).expect("it is pointed out");
        assert!(note.contains(&id) && note.contains("by 3.0 K"), "{note}");
        assert!(!check_keep(&log_file(folder.path(), 2), &store, &[]).err.contains("note:"), "another drive is not");
    }
}

mod history_verb {
    use super::*;

    /// Two vans and a truck.
    fn three(folder: &Path) -> PathBuf {
        let store = folder.join("store");
        for story in ["bakery-van", "ferry-shuttle", "launch-truck"] {
            let (log, vehicle) = (sample(&format!("{story}/log.csv")), sample(&format!("{story}/vehicle.toml")));
            assert!(check_keep(&log, &store, &["--vehicle", text(&vehicle)]).err.starts_with("kept as "));
        }
        store
    }

    #[test]
    fn lists_latest_drive_first_and_by_vehicle() {
        let folder = folder();
        let store = three(folder.path());
        let list = history(&store, &[]);
        assert_eq!((list.code, list.err.as_str()), (Some(0), ""));
        assert_eq!(list.out.lines().count(), 5, "a heading, three runs, a remark on logs without a date: {}", list.out);
        let drives: Vec<&str> = list.out.lines().skip(1).take(3).map(|line| &line[14..24]).collect();
        assert!(drives.is_sorted_by(|first, second| first >= second), "{drives:?}");
        let vans = history(&store, &["--vehicle", "BAKERY"]);
        assert!(
            vans.out.lines().nth(1).is_some_and(|line| line.contains("bakery"))
                && vans.out.matches(".csv").count() == 1
                && vans.out.contains("the bakery's van"),
            "{}",
            vans.out
        );
        assert!(history(&store, &["--vehicle", "tram"]).out.starts_with("No run of a vehicle named `tram`"));

        let json: serde_json::Value = serde_json::from_str(&history(&store, &["--format", "json"]).out).expect("it is JSON");
        let runs = json["runs"].as_array().expect("a list");
        assert_eq!((runs.len(), json["not_opened"].as_array().map(Vec::len)), (3, Some(0)));
        assert!(runs.iter().all(|run| run["verdict"].is_string() && run["id"].as_str().is_some_and(|id| id.len() == 12)));

        let nothing = history(&folder.path().join("nowhere"), &[]);
        assert!(nothing.code == Some(0) && nothing.out.starts_with("No run is kept in "), "{nothing:?}");
        assert!(!folder.path().join("nowhere").exists(), "looking makes no folder");
    }

    #[test]
    fn shows_the_report_as_it_was_and_as_json() {
        let folder = folder();
        let store = three(folder.path());
        let checked = wellbled(&["check", text(&sample("launch-truck/log.csv")), "--vehicle", text(&sample("launch-truck/vehicle.toml"))]);
        let shown = history(&store, &["show", "last"]);
        assert_eq!((shown.code, shown.err.as_str()), (Some(0), ""));
        assert!(shown.out.ends_with(&checked.out), "{}", shown.out);
        let json: serde_json::Value =
            serde_json::from_str(&history(&store, &["show", "last", "--format", "json"]).out).expect("it is JSON");
        assert_eq!((&json["report"]["verdict"], &json["judgings"][0]["number"]), (&"recheck".into(), &1.into()));
        assert!(history(&store, &["show", "last", "--judging", "2"]).failed().err.contains("has no judging number 2"));
        assert!(history(&store, &["show", "zzz"]).failed().err.contains("no kept run is named `zzz`"));
        assert!(history(&store, &["--format", "json", "show", "last"]).failed().err.contains("before the verb"));
    }

    #[test]
    fn later_readings_judge_it_again_and_the_earlier_findings_stay() {
        let folder = folder();
        let store = folder.path().join("store");
        let (log, vehicle, levels) = (sample("bakery-van/log.csv"), sample("bakery-van/vehicle.toml"), sample("bakery-van/levels.csv"));
        check_keep(&log, &store, &["--vehicle", text(&vehicle)]);
        let before = tree(&store.join("runs"));
        let added = history(&store, &["add", "last", "--levels", text(&levels)]);
        let whole = wellbled(&["check", text(&log), "--vehicle", text(&vehicle), "--levels", text(&levels)]);
        assert_eq!((added.code, &added.out), (whole.code, &whole.out), "as if all had been known at once");
        assert!(added.err.starts_with("kept as judging 2 of "), "{}", added.err);
        let after = tree(&store.join("runs"));
        assert!(before.iter().all(|file| after.contains(file)), "nothing that was kept has changed");
        assert!(history(&store, &["show", "last", "--judging", "1"]).out.contains("no level notes"), "the earlier findings can be shown");

        // The file has grown since: what it had is not counted twice, a flag is always a new reading.
        let grown = folder.path().join("grown.csv");
        let notes = fs::read_to_string(&levels).expect("it is there");
        let row = notes.lines().last().expect("it has rows");
        fs::write(&grown, format!("{}\n{row}\n", notes.trim_end())).expect("a temporary file can be written");
        history(&store, &["add", "last", "--levels", text(&grown)]);
        history(&store, &["add", "last", "--cold-after", "39mm"]);
        history(&store, &["add", "last", "--cold-after", "39mm"]);
        let archive = Archive::at(&store);
        let run = archive.open(&all_whole(&archive)[0]).expect("it opens");
        let counts: Vec<usize> = run.judgings.iter().map(|judging| judging.levels.len()).collect();
        let noted = counts[1];
        assert_eq!(counts, [0, noted, noted + 1, noted + 2, noted + 3]);
        assert!(run.latest().is_some_and(|judging| judging.vehicle_toml.is_some()), "the vehicle stays stated");
        assert!(history(&store, &["add", "last"]).failed().err.contains("nothing to add was given"));
    }

    #[test]
    fn exports_what_check_takes_again() {
        let folder = folder();
        let store = folder.path().join("store");
        let (log, vehicle, levels) = (sample("bakery-van/log.csv"), sample("bakery-van/vehicle.toml"), sample("bakery-van/levels.csv"));
        let checked = check_keep(&log, &store, &["--vehicle", text(&vehicle), "--levels", text(&levels)]);
        let out = folder.path().join("a/b");
        assert_eq!(history(&store, &["export", "last", "--out", text(&out)]).code, Some(0));
        assert_eq!(names(&out), ["findings.json", "judged.json", "levels.csv", "log.csv", "report.txt", "samples.parquet", "vehicle.toml"]);
        let at = |name: &str| text(&out.join(name)).to_owned();
        let again = wellbled(&["check", &at("log.csv"), "--vehicle", &at("vehicle.toml"), "--levels", &at("levels.csv")]);
        assert_eq!((again.code, again.out), (checked.code, checked.out));
        assert!(history(&store, &["export", "last", "--out", text(&out)]).failed().err.contains("there is such a file already"));
    }

    #[test]
    fn removes_only_when_it_is_meant() {
        let folder = folder();
        let store = three(folder.path());
        let first = all_whole(&Archive::at(&store)).remove(0);
        for answer in ["", "no\n", "what\n"] {
            let arguments = ["history", "remove", &first, "--store", text(&store)];
            let said = program::wellbled_fed(&arguments, answer.as_bytes());
            assert!(said.code == Some(2) && said.err.contains("was not removed"), "{answer:?}: {said:?}");
        }
        assert_eq!(all_whole(&Archive::at(&store)).len(), 3);
        let said = program::wellbled_fed(&["history", "remove", &first, "--store", text(&store)], b"yes\n");
        assert_eq!(said.code, Some(0), "{said:?}");
        assert_eq!(history(&store, &["remove", "last", "--yes"]).code, Some(0));
        assert_eq!(all_whole(&Archive::at(&store)).len(), 1);
        assert!(history(&store, &["remove", &first, "--yes"]).failed().err.contains("no kept run"));
        assert_eq!(names(&store.join("waiting")), [""; 0]);
    }

    #[test]
    fn a_copied_store_is_a_store() {
        let folder = folder();
        let store = three(folder.path());
        let copy = folder.path().join("copy");
        made_store::copy(&store, &copy);
        assert_eq!(history(&copy, &[]).out, history(&store, &[]).out);
        assert_eq!(history(&copy, &["verify"]).code, Some(0));
    }
}

/// 10,000 runs. The times are printed and not asserted: they are the machine's.
#[test]
fn ten_thousand_runs_are_listed_and_found() {
    const RUNS: u64 = 10_000;
    // 80,000 small files are written in seconds and, on a busy disk, cleared away in minutes: in memory if half a gigabyte of it is free.
    let roomy = folder();
    let probe = roomy.path().join("probe");
    let fits = fs::write(&probe, vec![0_u8; 500_000_000]).and_then(|()| fs::remove_file(&probe)).is_ok();
    let folder = if fits { roomy } else { tempfile::Builder::new().prefix("wellbled-").tempdir().expect("a temporary folder can be made") };
    let archive = Archive::at(folder.path().join("store"));
    let begun = Instant::now();
    made_store::many(&archive, RUNS);
    println!("{RUNS} runs written in {:.1} s", begun.elapsed().as_secs_f64());
    let timed = |what: &str, arguments: &[&str]| {
        let begun = Instant::now();
        let answer = history(archive.folder(), arguments);
        println!("{what}: {:.2} s", begun.elapsed().as_secs_f64());
        assert_eq!((answer.code, answer.err.as_str()), (Some(0), ""));
        answer.out
    };
    let list = timed("listed with the index to be built", &[]);
    assert_eq!(list.lines().count() as u64, RUNS + 1);
    assert_eq!(timed("listed", &[]), list);
    assert_eq!(timed("listed by vehicle", &["--vehicle", "vehicle 00077"]).lines().count(), 2);
    let id = &list.lines().nth(5000).expect("there are as many")[..12];
    assert!(timed("one found and shown", &["show", &id[..8]]).starts_with(id));
    // One gone, one come. Renamed by hand: a synchronisation would wait for the disk to take all of the others.
    let (runs, elsewhere) = (archive.folder().join("runs"), folder.path().join("elsewhere"));
    fs::rename(runs.join(id), &elsewhere).expect("a folder can be renamed");
    let changed = timed("listed after one went", &[]);
    assert!(changed.matches("  pass ").count() as u64 == RUNS - 1 && !changed.contains(id));
    fs::rename(&elsewhere, runs.join(id)).expect("a folder can be renamed");
    assert_eq!(timed("listed after one came", &[]), list);
}
