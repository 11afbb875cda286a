//! Bad inputs and the exact words that each gets: `docs/bad-inputs.md` is what the program says, and this keeps it so.
//!
//! Each case is made anew in an empty folder and given to the program. To write the page after a message was changed on purpose:
//!
//! ```text
//! cargo test --test bad_inputs -- --ignored
//! ```

#[path = "bad_inputs/cases.rs"]
mod cases;
#[path = "support/program.rs"]
mod program;

use cases::{CASES, Case};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// What the program says: the error, and the ways out.
struct Said {
    error: String,
    hints: Vec<String>,
}

/// Gives a case to the program.
fn said(case: &Case) -> Said {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let arguments: Vec<&str> = case.typed.split('|').collect();
    cases::prepared(case, folder.path());
    let output = program::command(&arguments).current_dir(folder.path()).output().expect("the program was built beside this test");
    let text = String::from_utf8(output.stderr).expect("the program writes UTF-8");
    assert_eq!(output.status.code(), Some(2), "{}: {text}", case.what);
    assert!(!text.contains("panicked") && !text.contains("os error"), "{}: {text}", case.what);
    let own = folder.path().to_string_lossy().into_owned();
    assert!(!text.contains(&own), "{}: names this machine's folders: {text}", case.what);
    let (first, rest) = text.split_once("\n\n").unwrap_or((&text, ""));
    // A question may stand before it.
    let (_, error) = first.split_once("error: ").unwrap_or_else(|| panic!("{}: {text}", case.what));
    // What the reader of the command line says it says over several lines, and names the help as the way out.
    let hints = rest.lines().map(str::trim).filter(|line| !line.is_empty());
    let hints = hints.map(|line| line.strip_prefix("hint: ").or(line.strip_prefix("tip: ")).unwrap_or(line).to_owned()).collect();
    Said { error: error.lines().map(str::trim).collect::<Vec<_>>().join(" "), hints }
}

fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/bad-inputs.md")
}

/// The page as the program makes it.
fn written() -> String {
    let mut page = String::from(
        "# Bad inputs\n\nWhat the program says of inputs that it cannot use, word for word; `tests/bad_inputs.rs` makes each of them and compares.\n\
         An error says where, what was there, and the way out. It goes to standard error, with exit code 2.\n\n\
         What is wrong with a log but can be worked around is no error: it is counted, placed and said in the report\n\
         ([the log](log-format.md)). What an input may ask for at most is in [limits](limits.md).\n",
    );
    let mut group = "";
    for case in CASES {
        if case.group != group {
            group = case.group;
            let _ = write!(page, "\n## {group}\n| input | error | way out |\n|---|---|---|\n");
        }
        let Said { error, hints } = said(case);
        let cell = |text: &str| text.replace('|', "\\|").replace('<', "&lt;");
        let _ = writeln!(
            page,
            "| {} | {} | {} |",
            cell(case.what),
            cell(&error),
            hints.iter().map(|hint| cell(hint)).collect::<Vec<_>>().join("<br>")
        );
    }
    page
}

#[test]
fn the_page_says_what_the_program_says() {
    let (there, made) = (fs::read_to_string(page()).unwrap_or_default(), written());
    for (line, (there, made)) in there.lines().zip(made.lines()).enumerate() {
        assert_eq!(there, made, "docs/bad-inputs.md, line {}", line + 1);
    }
    assert_eq!(there.lines().count(), made.lines().count());
}

#[test]
#[ignore = "writes docs/bad-inputs.md"]
fn write_the_page() {
    fs::write(page(), written()).expect("the page can be written");
}

/// Every message by itself: something is said, with a way out, on no more than a few lines, and of no two cases the same.
#[test]
fn every_message_can_be_acted_on() {
    assert!(CASES.len() >= 60, "{} cases", CASES.len());
    let names: BTreeSet<&str> = CASES.iter().map(|case| case.what).collect();
    assert_eq!(names.len(), CASES.len(), "every case has a name of its own");
    for case in CASES {
        let Said { error, hints } = said(case);
        assert!(error.chars().count() > 15 && error.chars().count() < 500, "{}: {error}", case.what);
        assert!(!hints.is_empty() && hints.iter().all(|hint| hint.chars().count() > 5), "{}: no way out of: {error}", case.what);
        assert!(!error.ends_with('.'), "{}: {error}", case.what);
    }
}
