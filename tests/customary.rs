//! US customary units: in everything that a report makes people read no SI unit is left behind a number, and every number is right.
//!
//! The check reads both reports word by word and converts with its own table; it shares no code with the program.

#[path = "support/made_reports.rs"]
mod made_reports;
#[path = "support/report_fixture.rs"]
mod report_fixture;

use wellbled::report::customary;
use wellbled::report::document::Document;
use wellbled::report::{csv, html, json, text};

/// A customary unit, SI to one of it, reading of zero.
type Form = (&'static str, f64, f64);

/// NIST SP 811 (2008), appendix B.8: unit, and the customary units that it may become.
const UNITS: [(&str, &[Form]); 9] = [
    ("°C", &[("°F", 5.0 / 9.0, 32.0)]),
    ("K", &[("°F", 5.0 / 9.0, 0.0)]),
    ("K/min", &[("°F/min", 5.0 / 9.0, 0.0)]),
    ("mL", &[("fl_oz", 29.573_53, 0.0)]),
    ("L", &[("qt", 0.946_352_9, 0.0), ("gal", 3.785_412, 0.0)]),
    ("km", &[("mi", 1.609_344, 0.0)]),
    ("km/h", &[("mph", 1.609_344, 0.0)]),
    ("kPa", &[("psi", 6.894_757, 0.0)]),
    ("mm", &[("in", 25.4, 0.0)]),
];

/// A word without the marks around it.
fn bare(word: &str) -> &str {
    word.trim_matches(['(', ')', ',', ';', ':', '.', '?', '!'])
}

/// The number that a word is, with how many decimals it has.
fn number(word: &str) -> Option<(f64, usize)> {
    let text = bare(word).replace('−', "-").replace('\u{a0}', "");
    let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    (text != "unknown" && text.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '+'))
        .then(|| text.parse().ok())?
        .map(|value| (value, decimals))
}

fn words(text: &str) -> Vec<String> {
    text.replace("fl oz", "fl_oz").replace('–', " – ").split([' ', '\n']).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// Numbers of the quantity whose unit is the word at this place: those before it, and those of the interval behind it.
fn numbers_of(words: &[String], unit: usize) -> Vec<usize> {
    let mut found = Vec::new();
    let mut at = unit;
    while at > 0 && number(&words[at - 1]).is_some() {
        found.push(at - 1);
        let joined = at >= 3 && ["to", "and", "or", "–"].contains(&words[at - 2].as_str()) && number(&words[at - 3]).is_some();
        if !joined || words[at - 3].ends_with(['.', ',', ')']) {
            break;
        }
        at -= 2;
    }
    let bracket = words
        .get(unit + 1..unit + 4)
        .filter(|next| next[0].starts_with('(') && next[1] == "to" && next[2].trim_end_matches(['.', ',', ';', ':']).ends_with(')'));
    if bracket.is_some() && !words[unit].ends_with(['.', ',', ')']) {
        found.extend([unit + 1, unit + 3]);
    }
    found
}

/// What is wrong with the customary form of a text.
fn wrong(si: &str, customary: &str) -> Vec<String> {
    let (before, after) = (words(si), words(customary));
    if before.len() != after.len() {
        return vec![format!("other words: {si:?}, {customary:?}")];
    }
    let mut faults = Vec::new();
    let mut may_change = vec![false; before.len()];
    for (at, word) in before.iter().enumerate() {
        let Some((_, forms)) = UNITS.iter().find(|(unit, _)| *unit == bare(word)) else { continue };
        let numbers = numbers_of(&before, at);
        if numbers.is_empty() {
            continue; // a unit alone names how something is written
        }
        may_change[at] = true;
        let Some((_, per, zero)) = forms.iter().find(|(unit, ..)| *unit == bare(&after[at])) else {
            faults.push(format!("{word} became {}: {customary}", after[at]));
            continue;
        };
        for place in numbers {
            may_change[place] = true;
            let (Some((si, si_decimals)), Some((us, decimals))) = (number(&before[place]), number(&after[place])) else {
                faults.push(format!("no number: {customary}"));
                continue;
            };
            // An estimate is converted before it is rounded: it may lie half a last digit of SI off what is printed there.
            let step = 0.5 * 10f64.powi(-(decimals as i32)) + 0.5 * 10f64.powi(-(si_decimals as i32)) / per;
            let exact = si / per + zero;
            if (us - exact).abs() > step * 1.001 + 1e-4 * exact.abs() {
                faults.push(format!("{si} {word} became {us}, is {exact:.3}: {customary}"));
            }
        }
    }
    let unchanged = before.iter().zip(&after).zip(&may_change).filter(|(_, may)| !**may).find(|((a, b), _)| a != b);
    faults.extend(unchanged.map(|((a, b), _)| format!("{a} became {b}: {customary}")));
    faults
}

/// Everything that is converted from its printed digits.
fn sentences(document: &Document) -> Vec<String> {
    let mut all = vec![document.headline.clone(), document.chart.description.clone()];
    all.extend([&document.summary, &document.cautions, &document.next_steps].into_iter().flatten().cloned());
    for reason in &document.reasons {
        all.push(reason.statement.clone());
        all.extend(reason.advice.iter().cloned());
    }
    all.extend(document.measures.iter().map(|measure| measure.label.clone()));
    all.extend(document.method.iter().flat_map(|section| section.paragraphs.iter().cloned()));
    all.extend(document.run.defects.iter().map(|defect| defect.effect.clone()));
    for part in document.level_account.iter().flat_map(|account| &account.parts) {
        all.push(part.title.clone());
        all.extend(part.rows.iter().map(|row| row.label.clone()));
        all.extend(part.rows.iter().filter(|row| row.estimate.is_none()).map(|row| row.words.value.clone()));
    }
    all.extend(document.level_account.iter().flat_map(|account| account.in_brief.iter().chain(&account.remarks)).cloned());
    for panel in &document.chart.panels {
        all.extend(panel.bands.iter().map(|band| band.name.clone()));
        all.extend(panel.marks.iter().map(|mark| mark.name.clone()));
    }
    all
}

/// The program's own reports: sample logs, and every story with two seeds.
fn reports() -> Vec<made_reports::Named> {
    let mut reports = made_reports::samples();
    reports.extend([1, 2].into_iter().flat_map(made_reports::stories));
    reports.push(("the invented report".to_owned(), report_fixture::document()));
    reports
}

#[test]
fn every_sentence_of_every_report_is_right_in_customary_units() {
    let mut quantities = 0;
    for (name, si) in reports() {
        let us = customary::document(&si);
        let faults: Vec<String> = sentences(&si).iter().zip(sentences(&us)).flat_map(|(before, after)| wrong(before, &after)).collect();
        assert!(faults.is_empty(), "{name}:\n{}", faults.join("\n"));
        quantities += sentences(&si).iter().zip(sentences(&us)).filter(|(before, after)| *before != after).count();

        // The words of estimates: value and interval as one quantity, against the exact number.
        let estimates = |document: &Document| {
            let rows = document.level_account.clone().into_iter().flat_map(|account| account.parts).flat_map(|part| part.rows);
            let rows = rows.filter_map(|row| Some((row.estimate?, row.words)));
            document.measures.iter().map(|measure| (measure.estimate, measure.words.clone())).chain(rows).collect::<Vec<_>>()
        };
        for ((estimate, before), (kept, after)) in estimates(&si).into_iter().zip(estimates(&us)) {
            assert_eq!(estimate, kept, "{name}: an estimate stays in SI");
            let exact = format!("{} {} {}", estimate.value, estimate.interval_95[0], estimate.interval_95[1]);
            let unit = before.value.rsplit(' ').next().unwrap_or("");
            let Some((_, forms)) = UNITS.iter().find(|(si, _)| *si == unit) else {
                assert_eq!(before, after, "{name}: a time or a share stays");
                continue;
            };
            let said = words(&format!("{} {}", after.value, after.interval));
            let (_, per, zero) =
                forms.iter().find(|(unit, ..)| said.iter().any(|word| word == unit)).unwrap_or_else(|| panic!("{name}: {after:?}"));
            for (exact, said) in exact.split(' ').zip(said.iter().filter_map(|word| number(word))) {
                let exact = exact.parse::<f64>().expect("a number") / per + zero;
                assert!(
                    (said.0 - exact).abs() <= 0.5 * 10f64.powi(-(said.1 as i32)) + 1e-4 * exact.abs(),
                    "{name}: {exact} said as {}",
                    said.0
                );
            }
        }
    }
    assert!(quantities > 300, "only {quantities} sentences held a quantity");
}

#[test]
fn a_wrong_conversion_is_noticed() {
    for (si, customary) in [
        ("by 5 K.", "by 5 °F."),
        ("by 5 K.", "by 41 °F."),
        ("by 5 K.", "by 5 K."),
        ("at 5 °C,", "at 9 °F,"),
        ("5 K (1 to 2)", "9 °F (1 to 2)"),
        ("between 83 and 92 °C", "between 83 and 198 °F"),
        ("3 cycles of 5 K", "4 cycles of 9 °F"),
        ("590 mL", "20.0 qt"),
    ] {
        assert!(!wrong(si, customary).is_empty(), "{si}: {customary}");
    }
    assert!(wrong("between 83 and 92 °C (80 to 95), 3 times by 5 K", "between 181 and 198 °F (176 to 203), 3 times by 9 °F").is_empty());
}

#[test]
fn a_number_is_the_same_in_the_table_and_in_the_sentence() {
    let mut found = 0;
    for (name, si) in reports() {
        let us = customary::document(&si);
        for (measure, converted) in si.measures.iter().zip(&us.measures) {
            let said = |of: &wellbled::report::document::Words| format!("{} ({})", of.value, of.interval);
            for (before, after) in si.reasons.iter().zip(&us.reasons) {
                if before.statement.contains(&said(&measure.words)) {
                    assert!(
                        after.statement.contains(&said(&converted.words)),
                        "{name}: {} in: {}",
                        said(&converted.words),
                        after.statement
                    );
                    found += 1;
                }
            }
        }
    }
    assert!(found > 50, "{found}");
}

#[test]
fn no_si_unit_is_left_behind_a_number_in_text_page_and_plot() {
    for (name, si) in reports() {
        let us = customary::document(&si);
        let text = text::render(&us, text::Style { color: false, width: 400 });
        let page = html::render(&us).expect("the page's plots have fixed sizes").replace(['<', '>', '\u{a0}'], " ");
        for (format, text) in [("text", text), ("page", page)] {
            let words = words(&text);
            for pair in words.windows(2) {
                let unit = UNITS.iter().any(|(unit, _)| *unit == bare(&pair[1]));
                assert!(!(unit && number(&pair[0]).is_some()), "{name}, {format}: {} {}", pair[0], pair[1]);
            }
        }
    }
}

#[test]
fn the_plot_keeps_its_shape() {
    for (name, si) in made_reports::samples() {
        let us = customary::document(&si);
        for (before, after) in si.chart.panels.iter().zip(&us.chart.panels) {
            let Some((_, forms)) = UNITS.iter().find(|(unit, _)| *unit == before.unit) else {
                assert_eq!(before.unit, after.unit);
                continue;
            };
            let (unit, per, zero) = forms[0];
            assert_eq!(after.unit, unit, "{name}");
            for (curve, converted) in before.curves.iter().zip(&after.curves) {
                for (a, b) in curve.points.iter().zip(&converted.points) {
                    assert!(a.0 == b.0 && (a.1.is_nan() && b.1.is_nan() || (a.1 / per + zero - b.1).abs() < 1e-3), "{name}: {a:?} {b:?}");
                }
            }
        }
    }
}

#[test]
fn programs_read_si_whatever_people_read() {
    for (name, si) in made_reports::samples() {
        let us = customary::document(&si);
        let measured = |document: &Document| json::render(document).map(|text| text.split("\"findings\"").nth(1).map(str::to_owned));
        assert_eq!(measured(&si).expect("JSON"), measured(&us).expect("JSON"), "{name}");
        let numbers = |document: &Document| -> Vec<String> {
            let table = csv::render(document).expect("a table");
            table.lines().map(|row| row.split(',').rev().take(5).collect::<Vec<_>>().join(",")).collect()
        };
        assert_eq!(numbers(&si), numbers(&us), "{name}");
    }
}
