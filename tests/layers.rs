//! Who may import whom: the core stays pure, and imports point one way.

use std::fs;
use std::path::{Path, PathBuf};

/// For each module (a file or folder directly under `src`): the modules that it may name.
const MAY_IMPORT: &[(&str, &[&str])] = &[
    ("excerpt", &[]),
    ("units", &["excerpt"]),
    ("estimate", &["units"]),
    ("channel", &["units", "estimate"]),
    ("coolant", &["units", "estimate"]),
    ("numeric", &["units", "estimate"]),
    ("vehicle", &["excerpt", "units", "estimate", "channel", "coolant"]),
    ("run", &["units", "estimate", "channel", "coolant", "vehicle"]),
    ("table", &["channel", "run"]),
    ("ingest", &["excerpt", "channel", "units", "vehicle", "run", "numeric"]),
    ("analysis", &["units", "estimate", "channel", "coolant", "numeric", "vehicle", "run"]),
    ("verdict", &["units", "estimate", "channel", "coolant", "numeric", "vehicle", "run", "analysis"]),
    ("comparison", &["units", "estimate", "channel", "numeric", "vehicle", "run", "analysis", "verdict"]),
    // What it foretells is what the check will measure and judge by: it asks the same functions and limits.
    ("planning", &["units", "estimate", "channel", "coolant", "vehicle", "run", "analysis", "verdict"]),
    ("rehearsal", &["vehicle", "coolant", "units", "channel", "run", "ingest"]),
    // The job card's table of notes has the columns and occasions that `ingest::levels` reads.
    ("report", &["units", "estimate", "channel", "coolant", "vehicle", "run", "ingest", "analysis", "verdict", "comparison", "planning"]),
    ("check", &["run", "analysis", "verdict", "comparison", "report"]),
    // It keeps what it is given: judging and wording are done before.
    ("archive", &["excerpt", "channel", "units", "vehicle", "run", "table", "ingest"]),
    // Rows are made of reports, and laid out with their look.
    ("fleet", &["vehicle", "run", "ingest", "estimate", "verdict", "comparison", "report"]),
    ("cli", &["channel", "rehearsal", "fleet"]),
    // It joins what the archive holds with the check, for the command line and the page.
    ("keeping", &["channel", "run", "vehicle", "archive", "check", "report"]),
];

/// Modules that may touch files, the clock, the environment, the network and the terminal.
const SHELL: &[&str] = &["archive", "commands", "main", "cli", "web"];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Lines of code with their numbers; comments and everything from the unit tests on are left out.
fn code(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .take_while(|line| line.trim() != "#[cfg(test)]")
        .enumerate()
        .map(|(i, line)| (i + 1, line.split("//").next().unwrap_or("")))
}

fn module_of(path: &Path) -> String {
    let inside = path.strip_prefix(src()).unwrap();
    inside.iter().next().unwrap().to_string_lossy().trim_end_matches(".rs").to_owned()
}

/// The top-level modules named on a line by `crate::…`.
fn named(line: &str) -> impl Iterator<Item = String> + '_ {
    line.split("crate::").skip(1).map(|rest| rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect())
}

#[test]
fn imports_point_one_way() {
    let mut wrong = Vec::new();
    for path in sources(&src()) {
        let module = module_of(&path);
        let Some((_, allowed)) = MAY_IMPORT.iter().find(|(name, _)| *name == module) else { continue };
        for (number, line) in code(&fs::read_to_string(&path).unwrap()) {
            for import in named(line).filter(|import| *import != module && !allowed.contains(&import.as_str())) {
                wrong.push(format!("{}:{number}: {module} names {import}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_page_does_not_call_the_command_line() {
    let mut wrong = Vec::new();
    for path in sources(&src()).into_iter().filter(|path| module_of(path) == "web") {
        for (number, line) in code(&fs::read_to_string(&path).unwrap()) {
            wrong.extend(
                named(line)
                    .filter(|import| ["commands", "cli"].contains(&import.as_str()))
                    .map(|import| format!("{}:{number}: web names {import}", path.display())),
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_module_has_its_place_in_the_table() {
    let placed: Vec<&str> = MAY_IMPORT.iter().map(|(name, _)| *name).chain(SHELL.iter().copied()).chain(["lib"]).collect();
    for path in sources(&src()) {
        let module = module_of(&path);
        assert!(placed.contains(&module.as_str()), "{module} has no row in MAY_IMPORT");
    }
}

#[test]
fn the_core_touches_no_file_clock_environment_or_terminal() {
    let banned = [
        "std::fs",
        "std::env",
        "std::net",
        "std::process",
        "SystemTime",
        "Instant::",
        "Utc::now",
        "Local::now",
        "println!",
        "eprintln!",
        "print!(",
        "dbg!",
    ];
    let mut wrong = Vec::new();
    for path in sources(&src()) {
        if SHELL.contains(&module_of(&path).as_str()) {
            continue;
        }
        for (number, line) in code(&fs::read_to_string(&path).unwrap()) {
            wrong.extend(banned.iter().filter(|word| line.contains(**word)).map(|word| format!("{}:{number}: {word}", path.display())));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
