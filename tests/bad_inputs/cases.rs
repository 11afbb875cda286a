//! The cases: what is wrong, the files that stand there, and what is typed.

use std::fs;
use std::io::Write;
use std::path::Path;

/// One bad input.
pub struct Case {
    /// Heading of its table.
    pub group: &'static str,
    /// What is wrong, in words.
    pub what: &'static str,
    /// Files in the folder; the text `@NAME` stands for something made ([`content`]).
    pub files: &'static [(&'static str, &'static str)],
    /// What is typed, its parts between bars.
    pub typed: &'static str,
}

const fn case(group: &'static str, what: &'static str, files: &'static [(&'static str, &'static str)], typed: &'static str) -> Case {
    Case { group, what, files, typed }
}

const FILE: &str = "The file";
const TABLE: &str = "The table";
const COLUMNS: &str = "Columns";
const CLOCK: &str = "The clock";
const FRAMES: &str = "Raw answers";
const NOTES: &str = "Level notes";
const VEHICLE: &str = "The vehicle file";
const FLAGS: &str = "What is typed";
const OUT: &str = "Files to write";
const STORE: &str = "Kept runs";
const COMPARED: &str = "An earlier run";
const PLAN: &str = "A plan";
const REHEARSE: &str = "A rehearsal";

/// Every case.
pub const CASES: &[Case] = &[
    case(FILE, "a file that is not there", &[], "check|log.csv"),
    case(FILE, "a folder", &[("log.csv/inside", "")], "check|log.csv"),
    case(FILE, "an empty file", &[("log.csv", "")], "check|log.csv"),
    case(FILE, "blank lines only", &[("log.csv", "\r\n \r\n")], "check|log.csv"),
    case(FILE, "a spreadsheet", &[("log.csv", "PK\u{3}\u{4}\u{14}")], "check|log.csv"),
    case(FILE, "a printed report", &[("log.csv", "%PDF-1.7\n")], "check|log.csv"),
    case(FILE, "a picture", &[("log.csv", "GIF89a")], "check|log.csv"),
    case(FILE, "a web page in place of a download", &[("log.csv", "<!DOCTYPE html>\n<p>Please log in\n")], "check|log.csv"),
    case(FILE, "JSON", &[("log.csv", "{\"time\": 1}\n")], "check|log.csv"),
    case(FILE, "a card of zeros", &[("log.csv", "@ZEROS")], "check|log.csv"),
    case(FILE, "a binary file", &[("log.csv", "@BINARY")], "check|log.csv"),
    case(FILE, "a packed file that is damaged from its start", &[("log.csv.gz", "@DAMAGED")], "check|log.csv.gz"),
    case(FILE, "a file packed twice", &[("log.csv.gz", "@TWICE")], "check|log.csv.gz"),
    case(TABLE, "a letter", &[("log.csv", "Dear customer,\n\nyour van is ready.\n")], "check|log.csv"),
    case(TABLE, "numbers from the first line on", &[("log.csv", "0,20\n1,20\n2,21\n")], "check|log.csv"),
    case(TABLE, "a heading alone", &[("log.csv", "time (s),coolant temperature (°C),engine speed (rpm)\n")], "check|log.csv"),
    case(TABLE, "a name too few", &[("log.csv", "time (s),coolant temperature (°C)\n0,20,800\n1,20,810\n2,21,820\n")], "check|log.csv"),
    case(TABLE, "three thousand columns", &[("log.csv", "@WIDE")], "check|log.csv"),
    case(TABLE, "half a minute", &[("log.csv", "@LOG time (s),coolant temperature (°C) 31 1")], "check|log.csv"),
    case(COLUMNS, "no coolant temperature", &[("log.csv", "@LOG time,speed,temp_1 100 1")], "check|log.csv"),
    case(
        COLUMNS,
        "a sensor's voltage in place of its temperature",
        &[("log.csv", "@LOG time (s),coolant temperature sensor (V) 100 1")],
        "check|log.csv",
    ),
    case(
        COLUMNS,
        "two columns that fit equally well",
        &[("log.csv", "@LOG time (s),coolant temperature (°C),ECT (°C) 100 1")],
        "check|log.csv",
    ),
    case(COLUMNS, "one name twice", &[("log.csv", "@LOG time (s),coolant temp,coolant temp 100 1")], "check|log.csv"),
    case(COLUMNS, "a name that cannot be typed", &[("log.csv", "@LOG time (s),temp \"1\" 100 1")], "check|log.csv"),
    case(
        COLUMNS,
        "a column asked for that is not there",
        &[("log.csv", "@LOG time (s),ECT 100 1")],
        "check|log.csv|--column|coolant-temperature=water",
    ),
    case(
        COLUMNS,
        "a column asked for that holds volts",
        &[("log.csv", "@LOG time (s),probe (V) 100 1")],
        "check|log.csv|--column|coolant-temperature=probe (V)",
    ),
    case(COLUMNS, "a coolant column of codes", &[("log.csv", "@CELL time (s),ECT (°C) 100 -40")], "check|log.csv"),
    case(COLUMNS, "a coolant column of words", &[("log.csv", "@CELL time (s),ECT (°C),engine speed (rpm) 100 None,800")], "check|log.csv"),
    case(COLUMNS, "an empty coolant column", &[("log.csv", "@CELL time (s),ECT (°C),engine speed (rpm) 100 ,800")], "check|log.csv"),
    case(CLOCK, "no clock", &[("log.csv", "@LOG row,coolant temperature (°C) 100 1")], "check|log.csv"),
    case(CLOCK, "a clock of words", &[("log.csv", "@CLOCK noon noon")], "check|log.csv|--time-column|time"),
    case(CLOCK, "a clock asked for that is not there", &[("log.csv", "@LOG time (s),ECT 100 1")], "check|log.csv|--time-column|watch"),
    case(CLOCK, "a period that makes no clock", &[("log.csv", "@LOG row,ECT 100 1")], "check|log.csv|--period|0"),
    case(
        CLOCK,
        "day and month that cannot be told apart",
        &[("log.csv", "@CLOCK 02/03/2026_07:00:00 04/03/2026_07:01:00")],
        "check|log.csv",
    ),
    case(CLOCK, "a clock that spans years", &[("log.csv", "@LOG time (s),ECT 100 100000000")], "check|log.csv"),
    case(FRAMES, "no answer of a control unit", &[("log.csv", "@FRAMES 123 03 41 05 7B")], "check|log.csv"),
    case(FRAMES, "answers without the coolant's temperature", &[("log.csv", "@FRAMES 7E8 04 41 0C 1A F8")], "check|log.csv"),
    case(FRAMES, "refusals only", &[("log.csv", "@FRAMES 7E8 03 7F 01 12")], "check|log.csv"),
    case(FRAMES, "identifiers that a spreadsheet made numbers of", &[("log.csv", "@FRAMES 7E+08 03 41 05 7B")], "check|log.csv"),
    case(NOTES, "notes that are not there", &[], "check|--levels|notes.csv"),
    case(NOTES, "empty notes", &[("notes.csv", "# nothing yet\n")], "check|--levels|notes.csv"),
    case(NOTES, "a misspelt heading", &[("notes.csv", "occasion,raeding\ncold before,42 mm\n")], "check|--levels|notes.csv"),
    case(NOTES, "a heading twice", &[("notes.csv", "occasion,reading,reading\ncold before,42 mm,43 mm\n")], "check|--levels|notes.csv"),
    case(NOTES, "no column of readings", &[("notes.csv", "time,occasion\n07:41,cold before\n")], "check|--levels|notes.csv"),
    case(NOTES, "a reading without a unit", &[("notes.csv", "occasion,reading\ncold before,42\n")], "check|--levels|notes.csv"),
    case(
        NOTES,
        "a unit that measures something else",
        &[("notes.csv", "occasion,reading\ncold before,42 kPa\n")],
        "check|--levels|notes.csv",
    ),
    case(NOTES, "two units for one reading", &[("notes.csv", "occasion,reading,unit\ncold before,42 mm,mL\n")], "check|--levels|notes.csv"),
    case(NOTES, "a separator of thousands", &[("notes.csv", "occasion;reading\nfilled;6.125 mL\n")], "check|--levels|notes.csv"),
    case(NOTES, "a slipped decimal point", &[("notes.csv", "occasion,reading\nfilled,6100 L\n")], "check|--levels|notes.csv"),
    case(NOTES, "an occasion that is none", &[("notes.csv", "occasion,reading\nlunch,42 mm\n")], "check|--levels|notes.csv"),
    case(
        NOTES,
        "a time that can be read two ways",
        &[("notes.csv", "time,occasion,reading\n02/03/2026 07:41,cold before,42 mm\n")],
        "check|--levels|notes.csv",
    ),
    case(NOTES, "a decimal comma that parts a cell", &[("notes.csv", "occasion,reading\nfilled,6,1 L\n")], "check|--levels|notes.csv"),
    case(
        NOTES,
        "a quotation mark left open",
        &[("notes.csv", "occasion,reading,note\ncold before,42 mm,\"dry\ncold after,39 mm,\n")],
        "check|--levels|notes.csv",
    ),
    case(NOTES, "the log in place of the notes", &[("notes.csv", "@WIDE")], "check|--levels|notes.csv"),
    case(NOTES, "a spreadsheet file", &[("notes.csv", "PK\u{3}\u{4}\u{14}\u{0}")], "check|--levels|notes.csv"),
    case(NOTES, "a level typed without a unit", &[], "check|--cold-before|42"),
    case(VEHICLE, "a misspelt entry", &[("van.toml", "name = \"van\"\ncapcity = \"7.2 L\"\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "no TOML", &[("van.toml", "capacity 7.2 L\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "a number without its unit", &[("van.toml", "capacity = 7.2\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "a text without its unit", &[("van.toml", "capacity = \"7.2\"\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "a volume in kilopascals", &[("van.toml", "capacity = \"7.2 kPa\"\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "a slipped decimal point in a capacity", &[("van.toml", "capacity = \"720 L\"\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "a rating in the wrong scale", &[("van.toml", "[thermostat]\nrating = \"188 degC\"\n")], "plan|--vehicle|van.toml"),
    case(
        VEHICLE,
        "marks the wrong way round",
        &[("van.toml", "[reservoir]\nmin_mark = \"800 mL\"\nmax_mark = \"400 mL\"\n")],
        "plan|--vehicle|van.toml",
    ),
    case(
        VEHICLE,
        "a reservoir larger than the system",
        &[("van.toml", "capacity = \"7 L\"\n[reservoir]\ntotal = \"15 L\"\n")],
        "plan|--vehicle|van.toml",
    ),
    case(VEHICLE, "a base that is none", &[("van.toml", "[coolant]\nbase = \"water\"\nvolume_percent = 50\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "a fuel that is none", &[("van.toml", "fuel = \"petroleum\"\n")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "another encoding", &[("van.toml", "@LATIN")], "plan|--vehicle|van.toml"),
    case(VEHICLE, "the log in place of the vehicle file", &[("van.toml", "@LARGE")], "plan|--vehicle|van.toml"),
    case(FLAGS, "nothing to check", &[], "check"),
    case(FLAGS, "a flag that is none", &[], "check|log.csv|--verbose"),
    case(FLAGS, "a channel that is none", &[], "check|log.csv|--column|water=temp"),
    case(FLAGS, "a column without its channel", &[], "check|log.csv|--column|temp"),
    case(FLAGS, "a period in words", &[], "check|log.csv|--period|half"),
    case(FLAGS, "neither yes nor no", &[], "check|log.csv|--day-first|maybe"),
    case(FLAGS, "a chance beyond certainty", &[], "check|log.csv|--air-prior|120%"),
    case(
        FLAGS,
        "an odometer that no vehicle shows",
        &[("log.csv", "@LOG time (s),ECT 100 1")],
        "check|log.csv|--summary|page.html|--odometer|99999999km",
    ),
    case(
        FLAGS,
        "an odometer with a separator of thousands",
        &[("log.csv", "@LOG time (s),ECT 100 1")],
        "check|log.csv|--summary|page.html|--odometer|182,000km",
    ),
    case(OUT, "a report with another ending", &[], "check|log.csv|--report|report.pdf"),
    case(OUT, "a plot with another ending", &[], "check|log.csv|--plot|plot.jpg"),
    case(OUT, "readings with another ending", &[], "check|log.csv|--samples|samples.xlsx"),
    case(OUT, "a folder that is not there", &[("log.csv", "@LOG time (s),ECT 100 1")], "check|log.csv|--report|there/report.html"),
    case(
        OUT,
        "a folder in place of a file",
        &[("log.csv", "@LOG time (s),ECT 100 1"), ("report.html/inside", "")],
        "check|log.csv|--report|report.html",
    ),
    case(STORE, "no run of that name", &[], "history|show|3f9a|--store|kept"),
    case(STORE, "none kept at all", &[], "history|show|last|--store|kept"),
    case(STORE, "a store of a newer program", &[("kept/store.json", "{\"format\": 2, \"about\": \"\"}")], "history|--store|kept"),
    case(STORE, "a run without its seal", &[("kept/runs/0123456789ab/log.csv", "time,ECT\n")], "history|show|0123|--store|kept"),
    case(
        STORE,
        "a seal that does not agree with itself",
        &[("kept/runs/0123456789ab/seal.txt", "00  8 log.csv\n00  seal\n")],
        "history|show|0123|--store|kept",
    ),
    case(
        STORE,
        "the beginning of two names",
        &[("kept/runs/0123456789ab/x", ""), ("kept/runs/0124456789ab/x", "")],
        "history|show|012|--store|kept",
    ),
    case(STORE, "a removal that nobody agreed to", &[("kept/runs/0123456789ab/x", "")], "history|remove|0123|--store|kept"),
    case(STORE, "a flag before the verb", &[], "history|--vehicle|bakery|show|last|--store|kept"),
    case(
        COMPARED,
        "neither a file nor a kept run",
        &[("log.csv", "@LOG time (s),ECT 100 1")],
        "check|log.csv|--against|monday|--store|kept",
    ),
    case(
        COMPARED,
        "the last run of a vehicle without a name",
        &[("log.csv", "@LOG time (s),ECT 100 1")],
        "check|log.csv|--against|last|--store|kept",
    ),
    case(
        COMPARED,
        "no earlier run of this vehicle",
        &[("log.csv", "@LOG time (s),ECT 100 1"), ("van.toml", "name = \"van\"\n")],
        "check|log.csv|--vehicle|van.toml|--against|last|--store|kept",
    ),
    case(
        COMPARED,
        "an earlier log that cannot be read",
        &[("log.csv", "@LOG time (s),ECT 100 1"), ("before.csv", "")],
        "check|log.csv|--against|before.csv",
    ),
    case(PLAN, "nothing stated", &[], "plan"),
    case(PLAN, "nothing drained", &[], "plan|--capacity|6.5L|--wanted|-30C"),
    case(PLAN, "nothing wanted", &[], "plan|--capacity|6.5L|--drained|3.6L"),
    case(PLAN, "a capacity without a unit", &[], "plan|--capacity|6.5"),
    case(PLAN, "a capacity that no vehicle has", &[], "plan|--capacity|6500L|--drained|3.6L|--ready|50%"),
    case(PLAN, "more drained than there was", &[], "plan|--capacity|6.5L|--drained|9L|--ready|50%"),
    case(PLAN, "colder than the tables go", &[], "plan|--capacity|6.5L|--drained|3.6L|--wanted|-90C"),
    case(PLAN, "a strength beyond all", &[], "plan|--capacity|6.5L|--drained|3.6L|--ready|150%"),
    case(PLAN, "drains that nobody knows", &[], "plan|--capacity|6.5L|--drains|heater|--ready|50%"),
    case(PLAN, "a life stated twice", &[], "plan|--capacity|6.5L|--drained|3.6L|--ready|50%|--life|5years/2years"),
    case(PLAN, "a date that can be read two ways", &[], "plan|--capacity|6.5L|--drained|3.6L|--ready|50%|--date|02.03.2026"),
    case(PLAN, "a price without a currency", &[], "plan|--capacity|6.5L|--drained|3.6L|--ready|50%|--price|8"),
    case(PLAN, "a height with a separator of thousands", &[], "plan|--capacity|6.5L|--drained|3.6L|--ready|50%|--altitude|1.200m"),
    case(PLAN, "a thousand rounds", &[], "plan|--capacity|6.5L|--drained|3.6L|--wanted|50%|--rounds|1000"),
    case(PLAN, "no round", &[], "plan|--capacity|6.5L|--drained|3.6L|--wanted|50%|--rounds|0"),
    case(PLAN, "a product type that is none", &[], "plan|--type|pink"),
    case(PLAN, "a card with another ending", &[], "plan|--card|card.pdf"),
    case(REHEARSE, "a story that is not told", &[], "rehearse|--story|night-train"),
    case(REHEARSE, "a road that is none", &[], "rehearse|--story|bakery-van|--drive|desert"),
    case(REHEARSE, "no weather to drive in", &[], "rehearse|--story|bakery-van|--ambient|90"),
];

/// Puts a case's files into a folder.
pub fn prepared(case: &Case, folder: &Path) {
    for (name, text) in case.files {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().expect("it lies in a folder")).expect("a folder can be made");
        fs::write(path, content(text)).expect("a file can be written");
    }
}

/// A file's bytes: the text as it stands, or what it stands for.
///
/// `@LOG heading rows step` is a log with a warm-up in every column but the first, `@CELL heading rows cell` one with the same cell in
/// every row, `@CLOCK first later` one with two clock cells, `@FRAMES id bytes` one of the same frame again and again.
fn content(text: &str) -> Vec<u8> {
    let parts = |prefix: &str| text.strip_prefix(prefix).map(|rest| rest.rsplitn(3, ' ').collect::<Vec<_>>());
    let rows = |count: &str, row: &dyn Fn(usize) -> String| (0..count.parse().expect("it is a number")).map(row).collect::<String>();
    if let Some([step, count, heading]) = parts("@LOG ").as_deref() {
        let step: usize = step.parse().expect("it is a number");
        let columns = heading.split(',').count() - 1;
        let row = |row: usize| {
            format!("{},{}\n", row * step, (1..=columns).map(|column| (20 + row / 10 * column).to_string()).collect::<Vec<_>>().join(","))
        };
        return format!("{heading}\n{}", rows(count, &row)).into_bytes();
    }
    if let Some([cell, count, heading]) = parts("@CELL ").as_deref() {
        return format!("{heading}\n{}", rows(count, &|row| format!("{row},{cell}\n"))).into_bytes();
    }
    if let Some((first, later)) = text.strip_prefix("@CLOCK ").and_then(|rest| rest.split_once(' ')) {
        let row = |row: usize| format!("{},{}\n", if row < 60 { first } else { later }.replace('_', " "), 20 + row / 10);
        return format!("time,coolant temperature (°C)\n{}", rows("120", &row)).into_bytes();
    }
    if let Some((id, bytes)) = text.strip_prefix("@FRAMES ").and_then(|rest| rest.split_once(' ')) {
        return format!("time,id,bytes\n{}", rows("100", &|row| format!("{row},{id},{bytes}\n"))).into_bytes();
    }
    match text {
        "@ZEROS" => vec![0; 100_000],
        "@BINARY" => (0..4000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8 & 0x1f).collect(),
        "@DAMAGED" => b"\x1f\x8b\x08\x00garbage".to_vec(),
        "@TWICE" => packed(&packed(b"time,ECT\n1,20\n")),
        "@WIDE" => format!("{}\n{}\n", "ECT,".repeat(3000), "1,".repeat(3000)).into_bytes(),
        "@LATIN" => b"name = \"K\xfchlwagen\"\n".to_vec(),
        "@LARGE" => b"time,ECT\n".repeat(500_000),
        plain => plain.as_bytes().to_vec(),
    }
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(bytes).expect("memory can be written");
    packer.finish().expect("memory can be written")
}
