//! Reports of the sample logs and of every story that can be rehearsed: what the program really prints.

use std::path::Path;
use wellbled::analysis::Analysis;
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::{self, STORIES};
use wellbled::report::build;
use wellbled::report::document::Document;
use wellbled::vehicle::Vehicle;
use wellbled::verdict::Judgement;

/// A report with the name of what it is about.
pub type Named = (String, Document);

/// The sample logs' reports.
pub fn samples() -> Vec<Named> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs");
    let mut stories: Vec<_> =
        std::fs::read_dir(folder).expect("the folder is there").map(|entry| entry.expect("readable").path()).collect();
    stories.retain(|path| path.is_dir());
    stories.sort();
    let read = |path: &Path, name: &str| std::fs::read(path.join(name)).unwrap_or_default();
    let report = |path: &Path| {
        let name = path.file_name().expect("a folder has a name").to_string_lossy().into_owned();
        (name, checked(&read(path, "log.csv"), &read(path, "vehicle.toml"), &read(path, "levels.csv")))
    };
    stories.iter().map(|path| report(path)).collect()
}

/// Reports of every story told with this seed.
#[allow(dead_code, reason = "not every test of reports needs the stories")]
pub fn stories(seed: u64) -> Vec<Named> {
    let told = |name: &str| {
        let scenario = rehearsal::story_with(name, seed, None, None, None).expect("a story of the list can be told");
        let made = rehearsal::rehearse(&scenario);
        (format!("{name}, seed {seed}"), checked(&made.log, made.vehicle_toml.as_bytes(), made.notes_csv.as_bytes()))
    };
    STORIES.iter().map(|story| told(story.0)).collect()
}

fn checked(log: &[u8], vehicle: &[u8], notes: &[u8]) -> Document {
    let mut run = ingest::read(log, "log.csv", &Options::default()).expect("a sample can be read").run;
    run.vehicle = Vehicle::from_toml(&String::from_utf8_lossy(vehicle)).expect("its vehicle file is in order");
    if !notes.is_empty() {
        run.levels = ingest::levels::read(notes).expect("its notes are in order");
    }
    let analysis = Analysis::of(&run);
    build::document(&run, &analysis, &Judgement::of(&run, &analysis))
}
