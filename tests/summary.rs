//! The customer's page: it says what a customer needs, in full sentences, and nothing that a log could smuggle in.

#[path = "support/report_fixture.rs"]
mod report_fixture;

use report_fixture::{document, hostile};
use wellbled::report::customary;
use wellbled::report::document::{Chart, Document};
use wellbled::report::summary::{self, Facts};
use wellbled::run::{LevelReading, NoteTime, Occasion, ReadingUnit, Run};
use wellbled::verdict::cautions::Caution;
use wellbled::verdict::decision::Verdict;

/// The page as a reader sees it: no-break spaces are spaces.
fn page(document: &Document, facts: &Facts) -> String {
    summary::render(document, facts).expect("the page's plots have fixed sizes").replace('\u{a0}', " ")
}

fn facts() -> Facts {
    let some = |text: &str| Some(text.to_owned());
    Facts {
        vehicle: some("the launch truck"),
        date: some("2026-03-02"),
        odometer: Some(Facts::kilometres(128_400.0)),
        coolant: some("ethylene glycol, 50 % by volume"),
        volumes: some("4.50 L drained, 4.65 L filled"),
        next_due: some("2031-03, or at 260000 km"),
        ask: some("the yard, 555-0100"),
    }
}

/// What stands between each `<` and `>`.
fn elements(markup: &str) -> Vec<&str> {
    markup.split('<').skip(1).map(|rest| rest.split('>').next().unwrap_or("")).collect()
}

#[test]
fn says_the_verdict_in_plain_words_the_reasons_the_levels_the_steps_and_who_to_ask() {
    for (verdict, plainly) in [
        (Verdict::Pass, "The drive after the refill showed nothing wrong."),
        (Verdict::Recheck, "Not in order yet"),
        (Verdict::Inconclusive, "Not settled yet"),
    ] {
        let document = Document { verdict, ..document() };
        let page = page(&document, &facts());
        assert!(page.contains(plainly) && page.contains(&document.headline));
        for reason in document.reasons.iter().take(3) {
            assert!(page.contains(&reason.statement), "{}", reason.statement);
        }
        assert!(!page.contains(&document.reasons[4].statement), "what was not judged belongs into the report");
        assert!(page.contains(&document.level_account.as_ref().expect("levels were noted").in_brief[0]));
        for step in &document.next_steps {
            assert!(page.contains(&step.replace('"', "&quot;")), "{step}");
        }
        assert!(page.contains("Ask the yard, 555-0100."));
        assert!(page.contains(Caution::Maker.text().replace('\'', "&#39;").as_str()));
    }
}

#[test]
fn says_on_every_page_when_to_stop_driving_and_cautions_before_advice() {
    let document = document();
    let page = page(&document, &Facts::default());
    assert!(page.contains("Overheating (warning lamp, steam, heater suddenly cold): stop when safe, engine off, open nothing."));
    let place = |text: &str| page.find(text).unwrap_or_else(|| panic!("lacks: {text}"));
    assert!(place("Overheating") < place(&document.next_steps[0]));
}

#[test]
fn leaves_out_what_is_not_stated() {
    let all = page(&document(), &facts());
    for name in ["Vehicle", "Date", "Odometer", "Coolant", "Volumes", "Next due"] {
        assert!(all.contains(&format!("<dt>{name}</dt>")), "{name}");
    }
    let none = page(&document(), &Facts::default());
    assert!(!none.contains("<dt>") && none.contains("Ask whoever did the work."));
    let bare = Document { level_account: None, reasons: vec![], next_steps: vec![], chart: Chart::default(), ..document() };
    let bare = page(&bare, &Facts::default());
    assert!(bare.contains("Nothing further is asked for now.") && !bare.contains("<figure>") && !bare.contains("Coolant level"));
}

#[test]
fn holds_no_more_steps_than_a_sheet_and_says_so() {
    let steps: Vec<String> = (1..=8).map(|n| format!("Step number {n}.")).collect();
    let page = page(&Document { next_steps: steps, ..document() }, &facts());
    assert!(page.contains("Step number 5.") && !page.contains("Step number 6.") && page.contains("And 3 more, in the full report."));
}

#[test]
fn needs_nothing_from_elsewhere_and_turns_no_text_into_markup() {
    let evil = Some("<script>alert(1)</script>\"\u{1b}[31m\u{202e}".to_owned());
    let facts = Facts {
        vehicle: evil.clone(),
        date: evil.clone(),
        odometer: evil.clone(),
        coolant: evil.clone(),
        volumes: evil.clone(),
        next_due: evil.clone(),
        ask: evil,
    };
    let page = page(&hostile(), &facts);
    for forbidden in ["<script", "<link", "<img", "src=", "href=", "url(", "@import", "http://", "https://", "\u{1b}", "\u{202e}"] {
        assert!(!page.contains(forbidden), "the page contains {forbidden}");
    }
    assert!(page.contains("default-src 'none'"));
}

#[test]
fn is_well_formed_in_a_stated_language_with_headings_in_order() {
    for page in [page(&document(), &facts()), page(&hostile(), &Facts::default())] {
        assert!(page.contains("<html lang=\"en\">") && page.contains("<title>Cooling system, inconclusive: "));
        let mut open = vec![];
        for element in elements(&page) {
            let name: String = element.trim_start_matches('/').chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
            if element.starts_with('!') || element.ends_with('/') || name == "meta" {
                continue;
            }
            if element.starts_with('/') {
                assert_eq!(open.pop(), Some(name));
            } else {
                open.push(name);
            }
        }
        assert!(open.is_empty(), "left open: {open:?}");
        let levels: Vec<u32> =
            elements(&page).iter().filter_map(|element| element.strip_prefix('h')?.chars().next()?.to_digit(10)).collect();
        assert_eq!(levels.first(), Some(&1));
        assert!(levels[1..].iter().all(|level| *level == 2), "{levels:?}");
        assert!(page.contains("aria-labelledby=\"plot-text\"") && page.contains("<figcaption id=\"plot-text\">The coolant rises"));
    }
}

#[test]
fn facts_come_from_the_vehicle_file_the_log_and_the_notes_and_what_is_typed_outranks_them() {
    let note = |occasion, reading, unit| LevelReading {
        time: NoteTime::Full(chrono::NaiveDate::from_ymd_opt(2026, 7, 20).and_then(|day| day.and_hms_opt(5, 30, 0)).expect("a moment")),
        occasion,
        reading,
        unit,
        ambient: None,
        cap_opened: None,
        method: None,
        note: String::new(),
    };
    let run = Run {
        levels: vec![
            note(Occasion::Drained, 4500.0, ReadingUnit::Millilitre),
            note(Occasion::Filled, 4000.0, ReadingUnit::Millilitre),
            note(Occasion::Filled, 650.0, ReadingUnit::Millilitre),
            note(Occasion::ToppedUp, 12.0, ReadingUnit::Millimetre),
        ],
        ..Run::default()
    };
    let stated = Facts::of(&run);
    assert_eq!(stated.volumes.as_deref(), Some("4.50 L drained, 4.65 L filled"), "what was topped up by the height has no volume");
    assert_eq!(stated.date.as_deref(), Some("2026-07-20"), "a log without a date has that of the first note");
    let typed = Facts { date: Some("yesterday".to_owned()), ..Facts::default() }.or(stated.clone());
    assert_eq!(typed, Facts { date: Some("yesterday".to_owned()), ..stated });
    assert_eq!(Facts::kilometres(1_284_000.4), "1\u{a0}284\u{a0}000 km");
    assert_eq!(Facts::kilometres(9850.0), "9850 km");
}

/// 128 400 km / 1.609 344 = 79 784 mi; 4.50 L / 0.946 353 = 4.76 qt; 260 000 km = 161 557 mi.
#[test]
fn facts_follow_the_units() {
    let us = customary::facts(&facts());
    assert_eq!(us.odometer.as_deref(), Some("79\u{a0}784 mi"));
    assert_eq!(us.volumes.as_deref(), Some("4.76 qt drained, 4.91 qt filled"));
    assert_eq!(us.next_due.as_deref(), Some("2031-03, or at 161557 mi"));
    assert_eq!((us.vehicle, us.date, us.ask), (facts().vehicle, facts().date, facts().ask));
}
