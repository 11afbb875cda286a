//! What the pages promise: commands that run, links that lead somewhere, options and verdicts that exist.
//!
//! The pages are read as people write them, not by a Markdown parser: fenced blocks, links in one line, tables with bars.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The folder of the project: commands of the pages are typed there.
fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A page's text, named from the project's folder.
fn page(name: &str) -> String {
    fs::read_to_string(project().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Runs the program as from a shell in the project's folder, without a terminal.
fn wellbled(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_wellbled"))
        .args(arguments)
        .env("WELLBLED_STORE", "/nowhere/at-all")
        .current_dir(project())
        .output()
        .expect("the program was built beside this test")
}

/// Fenced blocks of a page: what stands above each, and its lines.
fn blocks(text: &str) -> Vec<(&str, Vec<&str>)> {
    let mut found = Vec::new();
    let mut above = "";
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if line.starts_with("```") {
            found.push((above, lines.by_ref().take_while(|line| !line.starts_with("```")).collect()));
        }
        if !line.trim().is_empty() {
            above = line;
        }
    }
    found
}

/// Lines of a page outside fenced blocks, with their numbers.
fn prose(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut fenced = false;
    text.lines().enumerate().filter_map(move |(index, line)| {
        let fence = line.starts_with("```");
        fenced ^= fence;
        (!fence && !fenced).then_some((index + 1, line))
    })
}

/// The text with every run of blanks and line ends as one blank.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

mod readme {
    use super::*;

    #[test]
    fn opens_with_a_paragraph_and_then_the_two_commands() {
        let text = page("README.md");
        let mut opening = text.lines().filter(|line| !line.is_empty());
        assert_eq!(opening.next(), Some("# wellbled"));
        let first = opening.next().expect("something follows the title");
        assert!(first.starts_with(char::is_alphabetic), "no paragraph after the title: {first}");
        let blocks = blocks(&text);
        let commands = &blocks.first().expect("the README has commands").1;
        assert!(matches!(commands.as_slice(), [run, "cargo test"] if run.starts_with("cargo run -- check ")), "{commands:?}");
        let before = text.split("```").next().expect("a text has a beginning");
        let paragraphs = before.split("\n\n").filter(|paragraph| !paragraph.trim().is_empty()).count();
        assert_eq!(paragraphs, 2, "only the title and one paragraph stand before the commands");
    }

    /// Arguments of the first command, after cargo's own, and the exit code that the comment promises.
    fn first_command(text: &str) -> (Vec<&str>, i32) {
        let command = text.lines().find_map(|line| line.strip_prefix("cargo run -- ")).expect("the README runs the program");
        let promise = text.lines().find_map(|line| line.strip_prefix("<!-- exit code ")?.strip_suffix(" -->"));
        let code = promise.expect("a line of its own says <!-- exit code N -->").parse().expect("the exit code is a number");
        (command.split(' ').collect(), code)
    }

    #[test]
    fn its_first_command_names_files_that_exist_and_ends_as_promised() {
        let text = page("README.md");
        let (arguments, code) = first_command(&text);
        let files: Vec<&&str> = arguments.iter().filter(|argument| argument.contains('/')).collect();
        assert_eq!(files.len(), 3, "log, vehicle file and level notes: {arguments:?}");
        for file in files {
            assert!(project().join(file).is_file(), "{file} is not there");
        }
        let output = wellbled(&arguments);
        assert_eq!(output.status.code(), Some(code), "{}", String::from_utf8_lossy(&output.stderr));
    }

    #[test]
    fn the_excerpt_is_what_the_command_prints() {
        let text = page("README.md");
        let printed = squeezed(&String::from_utf8_lossy(&wellbled(&first_command(&text).0).stdout));
        let excerpt = blocks(&text).into_iter().find(|(above, _)| *above == "<!-- output -->").expect("an excerpt is marked").1.join("\n");
        let mut rest = printed.as_str();
        for piece in excerpt.split('…').map(squeezed).filter(|piece| !piece.is_empty()) {
            let Some(at) = rest.find(&piece) else {
                panic!("README.md shows `{piece}`, which the command does not print there; paste what it prints now:\n{printed}");
            };
            rest = &rest[at + piece.len()..];
        }
    }

    #[test]
    fn every_option_that_it_names_exists() {
        let helps = ["check", "columns", "plan", "rehearse", "history", "fleet", "serve"].map(|verb| wellbled(&[verb, "--help"]).stdout);
        let known: BTreeSet<String> = helps.iter().flat_map(|help| options(&String::from_utf8_lossy(help))).collect();
        assert!(known.contains("--report"), "the help was not understood: {known:?}");
        let text = page("README.md");
        // What a line gives to cargo itself ends at ` -- `.
        let ours = text.lines().map(|line| match line.strip_prefix("cargo ") {
            Some(command) => command.split_once(" -- ").map_or("", |(_, ours)| ours),
            None => line,
        });
        let named: BTreeSet<String> = ours.filter(|line| !line.starts_with("<!--")).flat_map(options).collect();
        assert!(named.len() >= 5, "{named:?}");
        let unknown: Vec<&String> = named.difference(&known).collect();
        assert!(unknown.is_empty(), "README.md names options that no verb has: {unknown:?}");
    }

    /// Long options in a text.
    fn options(text: &str) -> Vec<String> {
        let letter = |c: &char| c.is_ascii_lowercase() || *c == '-';
        let starts =
            text.match_indices("--").map(|(at, _)| at).filter(|&at| !text[..at].ends_with(|c: char| c == '-' || c.is_alphanumeric()));
        starts.map(|at| text[at..].chars().take_while(letter).collect::<String>()).filter(|option| option.len() > 3).collect()
    }

    #[test]
    fn every_exit_code_that_it_names_is_the_help_s() {
        let help = wellbled(&["--help"]);
        let codes = "0 pass, 1 recheck, 2 could not run, 3 inconclusive";
        assert!(squeezed(&String::from_utf8_lossy(&help.stdout)).contains(codes));
        assert!(squeezed(&page("README.md")).contains(codes));
    }
}

mod pages {
    use super::*;

    /// Every page, named from the project's folder.
    fn all() -> Vec<PathBuf> {
        let mut found: Vec<PathBuf> = ["README.md", "DEVELOPERS.md", "sample-logs/README.md"].map(PathBuf::from).into();
        let mut folders = vec![PathBuf::from("docs")];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(project().join(&folder)).expect("the folder can be listed") {
                let path = folder.join(entry.expect("the entry can be read").file_name());
                if project().join(&path).is_dir() {
                    folders.push(path);
                } else if path.extension().is_some_and(|ending| ending == "md") {
                    found.push(path);
                }
            }
        }
        found.sort();
        found
    }

    /// Targets of the relative links of a page, with their lines.
    fn links(text: &str) -> Vec<(usize, &str)> {
        let targets = |line: &'_ str| -> Vec<(usize, usize)> {
            line.match_indices("](").filter_map(|(at, _)| Some((at + 2, at + 2 + line[at + 2..].find(')')?))).collect()
        };
        let all = prose(text).flat_map(|(number, line)| targets(line).into_iter().map(move |(from, to)| (number, &line[from..to])));
        all.filter(|(_, target)| !target.contains("://") && !target.starts_with('#')).collect()
    }

    #[test]
    fn every_relative_link_leads_somewhere() {
        let mut broken = Vec::new();
        let mut seen = 0;
        for name in all() {
            let path = project().join(&name);
            let text = fs::read_to_string(&path).expect("the page can be read");
            for (number, target) in links(&text) {
                seen += 1;
                let file = target.split('#').next().unwrap_or(target);
                if !path.with_file_name(file).exists() {
                    broken.push(format!("{}:{number}: {target}", name.display()));
                }
            }
        }
        assert!(seen > 40, "only {seen} links were found: the pages were not understood");
        assert!(broken.is_empty(), "{}", broken.join("\n"));
    }

    #[test]
    fn the_index_leads_to_every_page() {
        let index = page("docs/README.md");
        let listed: Vec<PathBuf> = links(&index).into_iter().map(|(_, target)| Path::new("docs").join(target)).collect();
        let missing: Vec<PathBuf> = all()
            .into_iter()
            .filter(|name| name.starts_with("docs") && !name.ends_with("docs/README.md") && !listed.contains(name))
            .collect();
        assert!(missing.is_empty(), "docs/README.md does not lead to {missing:?}");
    }

    #[test]
    fn the_verdicts_of_the_sample_logs_are_those_that_the_program_gives() {
        let text = page("sample-logs/README.md");
        let stories: Vec<Vec<&str>> = text
            .lines()
            .filter(|line| line.starts_with("| ["))
            .map(|row| row.trim_matches('|').split('|').map(str::trim).collect())
            .collect();
        let folders = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs"))
            .unwrap()
            .filter(|entry| entry.as_ref().unwrap().path().is_dir())
            .count();
        assert_eq!(stories.len(), folders, "a row a folder");
        for row in stories {
            let name = row[0].trim_start_matches('[').split(']').next().unwrap_or_default();
            let file = |file: &str| format!("sample-logs/{name}/{file}");
            let output = wellbled(&["check", &file("log.csv"), "--vehicle", &file("vehicle.toml"), "--levels", &file("levels.csv")]);
            let verdict = match output.status.code() {
                Some(0) => "pass",
                Some(1) => "recheck",
                Some(3) => "inconclusive",
                other => panic!("{name}: exit code {other:?}: {}", String::from_utf8_lossy(&output.stderr)),
            };
            assert_eq!(row.last(), Some(&verdict), "verdict of {name} in sample-logs/README.md");
        }
    }

    #[test]
    fn every_dependency_has_its_reason() {
        let reasons = page("docs/decisions/0009-dependencies.md");
        let manifest = page("Cargo.toml");
        let mut section = "";
        let mut without = Vec::new();
        for line in manifest.lines() {
            if line.starts_with('[') {
                section = line;
            } else if let ("[dependencies]" | "[dev-dependencies]", Some((name, _))) = (section, line.split_once(" = "))
                && !reasons.lines().any(|row| row.starts_with('|') && row.contains(&format!("`{name}`")))
            {
                without.push(name);
            }
        }
        assert!(without.is_empty(), "no row in 0009-dependencies.md: {without:?}");
    }

    #[test]
    fn every_source_named_in_the_code_is_in_the_bibliography() {
        let bibliography = page("docs/bibliography.md");
        let mut missing = BTreeSet::new();
        let mut folders = vec![project().join("src")];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).expect("the folder can be listed") {
                let path = entry.expect("the entry can be read").path();
                if path.is_dir() {
                    folders.push(path);
                } else if path.extension().is_some_and(|ending| ending == "rs") {
                    let text = fs::read_to_string(&path).expect("the source can be read");
                    let listed = text.lines().skip_while(|line| *line != "//! # References").take_while(|line| line.starts_with("//!"));
                    let entries = listed.filter_map(|line| line.strip_prefix("//! - ")).filter(|entry| !entry.starts_with(['`', '[']));
                    missing.extend(entries.map(key).filter(|key| !bibliography.contains(key.as_str())));
                }
            }
        }
        assert!(missing.is_empty(), "not in docs/bibliography.md: {missing:?}");
    }

    /// What a source is found by: an author's family name, or an issuer with the number of its paper.
    fn key(entry: &str) -> String {
        let mut words = entry.split(' ').map(|word| word.trim_end_matches([',', ';', '.', ':']));
        let first = words.next().unwrap_or_default();
        let issuer = first.len() > 1 && first.chars().all(|c| c.is_ascii_uppercase());
        let family = if first == "von" { words.next().unwrap_or_default() } else { first };
        match words.next() {
            Some(number) if issuer => format!("{first} {number}"),
            _ => family.to_owned(),
        }
    }
}
