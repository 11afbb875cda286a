//! `plan` and its job card: what is typed, what comes back, what stands on the sheet, and how it fails.
//!
//! The numbers themselves are held in `planning.rs`; here they are only met again.

#[path = "support/program.rs"]
mod program;

use program::{Answer, wellbled};
use std::fs;
use std::path::Path;
use std::process::Command;
use wellbled::ingest::levels::{self, COLUMNS};
use wellbled::planning::job::{Drain, Fill, Measured, Wanted};
use wellbled::planning::product::Product;
use wellbled::planning::strength::Strength;
use wellbled::planning::{Job, Plan};
use wellbled::report::job_card;
use wellbled::report::plan::{Sheet, Work, json, text};
use wellbled::report::text::Style;
use wellbled::units::{Temperature, Volume};
use wellbled::vehicle::Vehicle;
use wellbled::verdict::cautions::Caution;

/// The first worked example of `docs/planning.md`, as it is typed.
const LORRY: [&str; 20] = [
    "plan",
    "--capacity",
    "17L",
    "--drained",
    "10L@20C",
    "--present",
    "-27C",
    "--wanted",
    "-30C",
    "--present-type",
    "hybrid",
    "--type",
    "hybrid",
    "--odometer",
    "182000km",
    "--date",
    "2026-03-02",
    "--filled",
    "9.5L@15C",
    "--price=8EUR",
];

fn lorry(more: &[&str]) -> Answer {
    wellbled(&[&LORRY, more].concat())
}

/// A van with everything stated that a person would state.
fn van() -> (Vehicle, Job) {
    let vehicle = Vehicle::from_toml(
        r#"
        name = "the bakery's van"
        capacity = "7.2 L"
        thermostat = { rating = "83 degC", side = "outlet", control = "wax" }
        reservoir = { kind = "expansion tank", per_mm = "12 mL", cap = "110 kPa" }
        coolant = { base = "ethylene glycol", volume_percent = 50 }
        "#,
    )
    .expect("the vehicle file is right");
    let job = Job {
        drain: Drain { measured: Some(Measured::of(Volume::from_litres(4.5))), ..Drain::default() },
        wanted: Some(Wanted::ProtectedTo(Temperature::from_celsius(-30.0))),
        product: Some(Product::HybridOrganic),
        odometer_km: Some(182_000.0),
        date: chrono::NaiveDate::from_ymd_opt(2026, 3, 2),
        ambient: Some(Temperature::from_celsius(8.0)),
        altitude_m: Some(200.0),
        ..Job::default()
    };
    (vehicle, job)
}

fn sheet((vehicle, job): &(Vehicle, Job)) -> Sheet {
    Sheet::of(&Plan::of(vehicle, job).unwrap_or_else(|error| panic!("{error}")), vehicle, job)
}

/// The sections of a card, one a step, without what stands before and after.
fn sections(card: &str) -> Vec<&str> {
    card.split("<section class=\"step\">").skip(1).map(|rest| rest.split("</section>").next().unwrap_or_default()).collect()
}

/// Text between tags, with one blank between words.
fn shown(html: &str) -> String {
    let words: String = html.split('<').map(|part| part.split_once('>').map_or(part, |(_, text)| text)).collect::<Vec<_>>().join(" ");
    let plain = words.replace("&#39;", "'").replace('\u{a0}', " ").replace("&quot;", "\"").replace("&lt;", "<").replace("&amp;", "&");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

mod command {
    use super::*;

    #[test]
    fn the_first_lines_say_what_to_pour() {
        let answer = lorry(&[]);
        assert_eq!((answer.code, answer.err.as_str()), (Some(0), ""));
        let start =
            "PLAN  a refill\nPour 4.80 L of concentrate and 5.20 L of water.\nThat makes 45 % (44 to 47); rely on it down to −28 °C.\n";
        assert!(answer.out.starts_with(start), "{}", answer.out);
        let lines = answer.out.split_whitespace().collect::<Vec<_>>().join(" ");
        for said in [
            "for 38 EUR (36 to 40)",
            "41 % (37 to 45) after one drain, 17 % (14 to 20) after 2",
            "Coolant due: 276 000 km or 2029-02-02, whichever comes first",
            "59 % (55 to 63) of the coolant is new",
            "the difference is 480 mL (−200 to 1160)",
        ] {
            assert!(lines.replace('\u{a0}', " ").contains(said), "`{said}` is missing:\n{}", answer.out);
        }
    }

    #[test]
    fn the_steps_come_in_the_order_of_the_work() {
        let out = lorry(&[]).out;
        let places: Vec<usize> = Work::ALL
            .iter()
            .enumerate()
            .map(|(index, work)| out.find(&format!("\n{}. {}\n", index + 1, work.title())).unwrap_or_else(|| panic!("{work:?}:\n{out}")))
            .collect();
        assert!(places.is_sorted(), "{places:?}");
    }

    #[test]
    fn json_has_the_numbers_and_the_sentences() {
        let answer = lorry(&["--format", "json"]);
        let plan: serde_json::Value = serde_json::from_str(&answer.out).expect("--format json is JSON");
        assert_eq!(plan["schema_version"], 1);
        assert_eq!(plan["program"]["name"], "wellbled");
        let product = &plan["plan"]["rounds"][0]["product"];
        assert_eq!(product["unit"], "mL");
        assert!((product["value"].as_f64().expect("a number") - 4778.7).abs() < 0.1, "{product}");
        assert_eq!(plan["plan"]["interval"]["due_date"], "2029-02-02");
        assert_eq!(plan["steps"].as_array().map(Vec::len), Some(Work::ALL.len()));
        assert_eq!(plan["steps"][3]["step"], "warm_up");
        assert!(plan["steps"][3]["cautions"][0].as_str().is_some_and(|caution| caution.starts_with("Overheating")));
    }

    /// One vehicle file and two flags are enough: the wanted strength is the one that the file has.
    #[test]
    fn a_vehicle_file_stands_for_what_is_not_typed() {
        let file = program::sample("bakery-van/vehicle.toml");
        let answer = wellbled(&["plan", "--vehicle", file.to_str().expect("the sample has a plain name"), "--drained", "4.5L"]);
        assert_eq!((answer.code, answer.err.as_str()), (Some(0), ""));
        assert!(answer.out.contains("PLAN  the bakery's van\n") && answer.out.contains("Wanted: 50 %."), "{}", answer.out);
    }

    #[test]
    fn errors_name_the_flag_what_was_there_and_the_way_out() {
        let base = ["--capacity=7L", "--drained=4L", "--wanted=50%"];
        for (more, error, hint) in [
            (&["--capacity=7.2"][..], "error: --capacity 7.2: `7.2` has no unit", "mL, L"),
            (&["--capacity=7L"], "drained", "--drained 4.5L, or --drains radiator"),
            (&["--capacity=7L", "--drained=4L"], "is to reach", "--wanted -30C"),
            (&["--drained=4L", "--wanted=-30C"], "capacity is not stated", "--capacity 7.2L"),
            (&["--capacity=7L", "--drained=9L", "--wanted=-30C"], "error: --drained 9L, --capacity 7L: 8.9", "drain pan"),
            (&["--capacity=700L", "--drained=4L", "--wanted=-30C"], "error: --capacity 700L: capacity: 700 L", "unit"),
            (&["--capacity=7L", "--drained=4L", "--wanted=-80C"], "error: --wanted -80C: ", "ask the maker"),
            (&["--capacity=7L", "--drained=4L", "--wanted=50"], "error: --wanted 50: `50` has no unit", "%"),
            (&["--capacity=7L", "--drains=half", "--wanted=50%"], "error: --drains half: `half` names no drains", "radiator-and-block"),
            (&[base[0], base[1], base[2], "--air=99C"], "error: --air 99C: ", "air temperature"),
            (&[base[0], base[1], base[2], "--odometer=182.000km"], "error: --odometer 182.000km: ", "separator of thousands"),
            (&[base[0], base[1], base[2], "--life=5years/2years"], "error: --life 5years/2years: ", "160000km/5years"),
            (&[base[0], base[1], base[2], "--price=EUR8"], "error: --price EUR8: ", "8EUR"),
            (&[base[0], base[1], base[2], "--date=2.3.2026"], "error: --date 2.3.2026: ", "2026-03-02"),
            (&[base[0], base[1], base[2], "--altitude=9000m"], "error: --altitude 9000m: ", "above the sea"),
            (&[base[0], base[1], base[2], "--rounds=30"], "error: --rounds 30: ", "rounds"),
            (&[base[0], base[1], base[2], "--concentrate=40%"], "error: --concentrate 40%: ", "strength"),
            (&[base[0], base[1], base[2], "--card=card.pdf"], "error: card.pdf: a job card is written as .html", ".html"),
        ] {
            let answer = wellbled(&[&["plan"], more].concat()).failed();
            assert!(answer.err.contains(error), "{more:?} should say `{error}`:\n{}", answer.err);
            let hints = answer.err.split("\n\n").nth(1).unwrap_or_default();
            assert!(hints.contains(hint), "{more:?} should hint at `{hint}`:\n{}", answer.err);
        }
    }

    #[test]
    fn a_negative_temperature_needs_no_quotation_marks() {
        let answer = wellbled(&["plan", "--capacity", "7L", "--drained", "4L", "--concentrate", "--wanted", "-30C", "--air", "-5C"]);
        assert_eq!(answer.code, Some(0), "{}", answer.err);
        let minus = wellbled(&["plan", "--capacity", "7L", "--drained", "4L", "--wanted", "−30 °C", "--air", "23 degF"]);
        assert_eq!(minus.out, answer.out, "however a minus and a degree are typed");
    }

    #[test]
    fn the_card_is_written_beside_what_is_printed() {
        let folder = tempfile::Builder::new().prefix("wellbled-").tempdir().expect("a temporary folder can be made");
        let card = folder.path().join("card.html");
        let with = lorry(&["--card", card.to_str().expect("temporary names are UTF-8")]);
        assert_eq!((with.code, with.out.as_str()), (Some(0), lorry(&[]).out.as_str()));
        let html = fs::read_to_string(&card).expect("the card is there");
        assert!(html.starts_with("<!doctype html>\n<html lang=\"en\">") && html.ends_with("</html>\n"));
    }
}

mod sheet {
    use super::*;

    /// From the whole width of a terminal to a narrow phone.
    #[test]
    fn no_line_of_the_text_is_wider_than_the_terminal() {
        let sheet = sheet(&van());
        for width in 24..=100 {
            let text = text::render(&sheet, Style { color: false, width });
            let widest = text.lines().map(|line| line.chars().count()).max().unwrap_or_default();
            assert!(widest <= width, "{widest} > {width}");
        }
    }

    #[test]
    fn what_takes_something_back_stands_in_the_first_lines() {
        let (vehicle, job) = van();
        let weak = Job { present: wellbled::planning::job::Present { strength: Some(Strength::VolumePercent(5.0)), ..job.present }, ..job };
        let weak = Job { drain: Drain { measured: Some(Measured::of(Volume::from_litres(2.0))), ..Drain::default() }, ..weak };
        let text = text::render(&sheet(&(vehicle, weak)), Style { color: false, width: 80 });
        let first = text.split("\n\n").next().unwrap_or_default();
        assert!(first.contains("One round cannot reach") && first.contains("less than the"), "{text}");
        assert_eq!(text.matches("One round cannot reach").count(), 1, "said once");
    }

    #[test]
    fn a_ready_mixture_beyond_the_tables_gets_no_freezing_point() {
        let (vehicle, job) = van();
        let strong = Job { fill: Fill::ReadyMix { strength: Strength::VolumePercent(90.0) }, wanted: None, rounds: 3, ..job };
        let answer = sheet(&(vehicle, strong)).answer.join(" ");
        assert!(answer.contains("no freezing point is published") && answer.contains("too strong"), "{answer}");
        assert!(answer.starts_with("Pour 3 times 4.45 L of ready mixture, with a run between."), "{answer}");
    }

    /// Every number of the JSON is one: what is unknown is `null` or absent.
    #[test]
    fn json_can_be_read_back() {
        let (vehicle, job) = van();
        let plan = Plan::of(&vehicle, &job).expect("the van can be planned");
        let text = json::render(&plan, &Sheet::of(&plan, &vehicle, &job)).expect("a plan can be written");
        let value: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
        assert_eq!(value["vehicle"], "the bakery's van");
        assert_eq!(value["plan"]["cost"], serde_json::Value::Null);
        assert!(text.ends_with("}\n"));
    }
}

mod card {
    use super::*;

    /// Which dangers bind at which step, and by which words each is known.
    #[test]
    fn every_caution_stands_at_its_steps() {
        use Caution::{Exhaust, Fan, Glycol, HotCap, Maker, Overheating, Raised, Recorder};
        let binds: [(Work, &[Caution]); 11] = [
            (Work::Plan, &[HotCap, Exhaust, Recorder, Maker]),
            (Work::Drain, &[HotCap, Raised, Glycol]),
            (Work::Fill, &[HotCap, Glycol]),
            (Work::WarmUp, &[Overheating, HotCap, Fan, Exhaust]),
            (Work::Settle, &[Overheating, Recorder]),
            (Work::HotReading, &[HotCap, Fan]),
            (Work::CoolDown, &[HotCap]),
            (Work::ColdReading, &[HotCap, Glycol]),
            (Work::Look, &[HotCap, Fan, Raised]),
            (Work::Decide, &[]),
            (Work::NextYear, &[Maker]),
        ];
        let words = |caution: Caution| match caution {
            Overheating => "Overheating: stop when safe, engine off, open nothing.",
            HotCap => "Never open cap or bleed point hot",
            Fan => "The fan can start by itself, engine off",
            Exhaust => "Run the engine outdoors or with exhaust extraction",
            Raised => "A raised vehicle stands on rated stands, never on a jack alone.",
            Glycol => "Coolant is poisonous and tastes sweet",
            Recorder => "Never handle the recorder while driving.",
            Maker => "The maker's procedure outranks anything printed here.",
        };
        let card = job_card::render(&sheet(&van()));
        let sections = sections(&card);
        assert_eq!(sections.len(), binds.len());
        for ((work, expected), section) in binds.into_iter().zip(&sections) {
            let section = shown(section);
            for caution in Plan::cautions() {
                assert_eq!(section.contains(words(caution)), expected.contains(&caution), "{caution:?} at {work:?}: {section}");
            }
        }
        let all = shown(&card);
        for caution in Plan::cautions().into_iter().filter(|caution| *caution != Overheating) {
            assert!(all.contains(caution.text()), "in full at least once: {}", caution.text());
        }
        assert!(all.contains("Do not pour cold coolant into a hot engine."), "{all}");
    }

    #[test]
    fn the_computed_volumes_and_readings_are_on_it() {
        let all = shown(&job_card::render(&sheet(&van())));
        for said in ["the bakery's van", "2026-03-02", "182 000 km", "hybrid organic, ethylene glycol", "281 000 km or 2029-04-02"] {
            assert!(all.contains(said), "head: {said}: {all}");
        }
        for said in [
            "1.90 L (1.70 to 2.10) of concentrate",
            "2.55 L (2.35 to 2.75)",
            "4.45 L (4.25 to 4.70)",
            "85 °C (79 to 90)",
            "15 mm (9 to 21)",
        ] {
            assert!(all.contains(said), "{said}: {all}");
        }
        for boxed in
            ["Seen on the dry, clean underside", "pressure test start", "Opened at", "Held", "Strength read:", "inconclusive", "Done by"]
        {
            assert!(all.contains(boxed), "{boxed}");
        }
    }

    /// What is ruled on the card is the notes file: its columns in its order, and all of its occasions.
    #[test]
    fn the_rows_are_those_of_the_notes_file() {
        let card = job_card::render(&sheet(&van()));
        let tables: Vec<&str> = card.split("<table").skip(1).map(|rest| rest.split("</table>").next().unwrap_or_default()).collect();
        let cells = |html: &str, open: &str| -> Vec<String> {
            html.split(open).skip(1).map(|cell| shown(&format!("<{}", cell.split("</t").next().unwrap_or_default()))).collect()
        };
        let mut typed = COLUMNS.join(",") + "\n";
        for table in &tables {
            assert_eq!(cells(table, "<th scope=\"col\""), COLUMNS);
            for row in table.split("<tr>").skip(2) {
                let occasion = cells(row, "<th scope=\"row\"").concat();
                assert_eq!(row.matches("data-column=").count(), COLUMNS.len(), "{row}");
                let unit = match occasion.as_str() {
                    "drained" | "filled" => "L",
                    start if start.starts_with("pressure") => "kPa",
                    _ => "mm",
                };
                typed += &format!("07:00,{occasion},10,{unit},8 degC,closed,,\n");
            }
        }
        let notes = levels::read(typed.as_bytes()).expect("what is typed in from the card can be read");
        let mut occasions: Vec<&str> = notes.iter().map(|note| levels::occasion_name(note.occasion)).collect();
        let order =
            ["drained", "filled", "cold before", "hot after drive", "cold after", "topped up", "pressure test start", "pressure test end"];
        assert_eq!(occasions, order);
        occasions.dedup();
        assert_eq!(occasions.len(), 8, "each occasion that the notes file knows");
    }

    #[test]
    fn each_of_several_rounds_has_its_rows() {
        let (vehicle, job) = van();
        let card = job_card::render(&sheet(&(vehicle, Job { rinses: 1, rounds: 2, ..job })));
        assert_eq!((card.matches(">drained<").count(), card.matches(">filled<").count()), (3, 3));
        assert!(shown(&card).contains("Round 1 of 3, a rinse. Fill up to the mark with water"), "{}", shown(&card));
    }

    #[test]
    fn it_needs_nothing_from_outside() {
        let card = job_card::render(&sheet(&van()));
        for fetched in
            ["<script", "<link", "<img", "<iframe", "src=", "href=", "url(", "@import", "http://", "https://", " onload", "javascript:"]
        {
            assert!(!card.contains(fetched), "{fetched}");
        }
        assert!(card.contains("default-src 'none'"));
    }

    #[test]
    fn what_the_owner_writes_is_escaped() {
        let (mut vehicle, job) = van();
        vehicle.name = Some("<script>alert(1)</script> & \"Söhne\" \u{202e}".to_owned());
        let card = job_card::render(&sheet(&(vehicle, job)));
        assert!(!card.contains("<script") && !card.contains('\u{202e}'));
        assert!(card.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;Söhne&quot;"));
    }

    #[test]
    fn it_can_be_read_aloud() {
        let card = job_card::render(&sheet(&van()));
        assert!(card.contains("<html lang=\"en\">") && card.contains("<title>Coolant job card: the bakery&#39;s van</title>"));
        assert_eq!((card.matches("<h1").count(), card.matches("<h2").count()), (1, Work::ALL.len()));
        assert_eq!(card.matches("<table").count(), card.matches("<caption>").count());
        assert_eq!(card.matches("<tr>").count() - card.matches("<thead>").count(), card.matches("<th scope=\"row\"").count());
    }

    /// Pages of the card when a browser prints it; `None` where there is none to ask.
    fn pages(card: &str, paper: &str, folder: &Path) -> Option<usize> {
        let (html, pdf) = (folder.join(format!("{paper}.html")), folder.join(format!("{paper}.pdf")));
        fs::write(&html, card.replace("@page {", &format!("@page {{ size: {paper};"))).expect("a temporary file can be written");
        let browser = Command::new("chromium")
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"])
            .arg(format!("--user-data-dir={}", folder.join("profile").display()))
            .arg(format!("--print-to-pdf={}", pdf.display()))
            .arg(&html)
            .output();
        if browser.is_err() {
            return None;
        }
        let bytes = fs::read(&pdf).expect("the browser wrote what was asked for");
        let text = String::from_utf8_lossy(&bytes);
        Some(text.split("/Type /Page").skip(1).filter(|rest| !rest.starts_with('s')).count())
    }

    /// One round and two, with everything stated and with next to nothing.
    #[test]
    fn it_fits_one_page_of_a4_and_of_letter() {
        let folder = tempfile::Builder::new().prefix("wellbled-").tempdir().expect("a temporary folder can be made");
        let (vehicle, job) = van();
        let two = Job {
            rounds: 2,
            present: wellbled::planning::job::Present { product: Some(Product::Inorganic), ..job.present },
            ..job.clone()
        };
        let bare = Job { capacity: Some(Measured::of(Volume::from_litres(7.2))), drain: job.drain, wanted: job.wanted, ..Job::default() };
        for (what, vehicle, job) in [("a van", &vehicle, &job), ("two rounds", &vehicle, &two), ("a bare job", &Vehicle::default(), &bare)]
        {
            let card = job_card::render(&Sheet::of(&Plan::of(vehicle, job).expect("it can be planned"), vehicle, job));
            for paper in ["A4", "Letter"] {
                match pages(&card, paper, folder.path()) {
                    Some(pages) => assert_eq!(pages, 1, "{what} on {paper}"),
                    None => println!("no browser to print with: {what} on {paper} was not counted"),
                }
            }
        }
    }
}
