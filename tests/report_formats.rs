//! One document, many formats: each says everything, breaks nothing and stays inside its frame.

#[path = "support/json_schema.rs"]
mod json_schema;
#[path = "support/report_fixture.rs"]
mod report_fixture;

use read_back::{decoded_png, elements};
use report_fixture::{document, hostile};
use serde_json::Value;
use std::time::{Duration, Instant};
use unicode_width::UnicodeWidthStr;
use wellbled::channel::Channel;
use wellbled::report::chart::{self, ChartError, Theme};
use wellbled::report::document::{Chart, Curve, Document, Mark, MarkKind, Panel, Phase};
use wellbled::report::text::Style;
use wellbled::report::{csv, html, json, text, words};
use wellbled::run::{Defect, DefectKind};
use wellbled::verdict::decision::{Decision, Verdict};

fn plain_text(document: &Document, width: usize) -> String {
    text::render(document, Style { color: false, width })
}

fn schema() -> Value {
    serde_json::from_str(include_str!("../docs/schema.json")).expect("docs/schema.json is JSON")
}

fn json_value(document: &Document) -> Value {
    serde_json::from_str(&json::render(document).expect("a document can be written")).expect("what was written is JSON")
}

/// The page as a reader sees it: no-break spaces are spaces.
fn page(document: &Document) -> String {
    html::render(document).expect("the page's plots have fixed sizes").replace('\u{a0}', " ")
}

mod every_format {
    use super::*;

    #[test]
    fn holds_every_measured_number() {
        let document = document();
        let (wide, narrow, page) = (plain_text(&document, 80), plain_text(&document, 40), page(&document));
        let (table, report) = (csv::render(&document).expect("a table can be written"), json_value(&document));
        for measure in &document.measures {
            let (value, interval) = (words::value(&measure.estimate), words::interval(&measure.estimate));
            // The text leaves the bend that an eye sees to the page: it says nearly what the opening says. Levels stand in their account.
            let shown_in_text = measure.member != "knee_temperature";
            for (name, text) in [("text at 80", &wide), ("text at 40", &narrow), ("html", &page)] {
                if name != "html" && measure.finding.starts_with("level_") {
                    assert!(text.contains(&value), "{name} lacks {value} ({})", measure.label);
                    continue;
                }
                if name != "html" && !shown_in_text {
                    assert!(!text.contains(&measure.label), "{name} has {}", measure.label);
                    continue;
                }
                assert!(text.contains(&value), "{name} lacks {value} ({})", measure.label);
                assert!(text.contains(&interval), "{name} lacks {interval} ({})", measure.label);
            }
            let [low, high] = measure.estimate.interval_95;
            let exact = [measure.estimate.value, measure.estimate.standard_uncertainty, low, high];
            let row = table.lines().find(|row| row.contains(&measure.label)).unwrap_or_else(|| panic!("csv lacks {}", measure.label));
            let written: Vec<f64> = row.split(',').filter_map(|cell| cell.parse().ok()).collect();
            assert!(written.starts_with(&exact) && (written.len() == 4 || row.ends_with(",1")), "csv has {row}, not {exact:?}");
            let finding = &report["findings"][measure.finding];
            let quantity = if finding.get("value").is_some() { finding } else { &finding[measure.member] };
            assert_eq!(*quantity, serde_json::to_value(measure.estimate).expect("an estimate is JSON"), "json, {}", measure.label);
        }
    }

    #[test]
    fn says_the_verdict_every_caution_and_every_step() {
        for verdict in [Verdict::Pass, Verdict::Recheck, Verdict::Inconclusive] {
            let document = Document { verdict, ..document() };
            let (text, page) = (plain_text(&document, 400), page(&document));
            assert!(text.starts_with(&verdict.spoken().to_uppercase()));
            assert!(page.contains(&format!("<span>{}</span>", verdict.spoken())));
            assert_eq!(json_value(&document)["verdict"], verdict.spoken());
            let statements = document.reasons.iter().map(|reason| &reason.statement);
            for sentence in document.next_steps.iter().chain(statements.clone()) {
                assert!(text.contains(sentence.as_str()), "text lacks: {sentence}");
            }
            for caution in &document.cautions {
                let first = caution.split_inclusive(". ").next().expect("a caution says something").trim_end();
                assert!(text.contains(first), "text lacks: {first}");
            }
            for sentence in document.cautions.iter().chain(&document.next_steps).chain(statements) {
                assert!(page.contains(&words::escape(sentence).replace('\u{a0}', " ")), "html lacks: {sentence}");
            }
        }
    }

    #[test]
    fn puts_the_cautions_before_the_advice() {
        let document = document();
        for text in [plain_text(&document, 400), page(&document)] {
            let place = |sentence: &str| text.find(&sentence[..40]).unwrap_or_else(|| panic!("lacks: {sentence}"));
            assert!(place(&document.cautions[0]) < place(&document.next_steps[0]));
        }
    }

    #[test]
    fn goes_from_the_verdict_over_its_reasons_and_the_levels_to_what_to_do_and_the_rest() {
        let document = document();
        let part = &document.level_account.as_ref().expect("the truck's levels were noted").parts[1];
        for (format, text) in [("text", plain_text(&document, 400)), ("page", page(&document))] {
            let order = [
                &document.headline,
                &document.reasons[0].statement,
                &document.reasons[1].statement,
                &document.reasons[2].statement,
                &document.chart.description,
                &part.title,
                &part.rows[2].words.interval,
                &document.next_steps[0],
                &document.reasons[3].statement,
                &document.run.source,
                &document.method[0].paragraphs[0],
                &document.sources[0],
            ];
            let in_format = |sentence: &&&String| format == "page" || text.contains(sentence.as_str());
            let places: Vec<usize> = order
                .iter()
                .filter(in_format)
                .map(|sentence| text.find(sentence.as_str()).unwrap_or_else(|| panic!("{format} lacks: {sentence}")))
                .collect();
            assert!(places.is_sorted() && places.len() >= 9, "{format}: {places:?}");
        }
    }

    #[test]
    fn says_a_reason_once_and_what_was_not_judged_never_among_the_first() {
        let mut document = document();
        document.reasons.reverse();
        let (first, others) = document.first_reasons();
        assert_eq!((first.len(), others.len()), (3, 2));
        assert_eq!(others[0].decision, Decision::NotJudged);
        for text in [plain_text(&document, 400), page(&document)] {
            for reason in &document.reasons {
                assert_eq!(text.matches(reason.statement.as_str()).count(), 1, "{}", reason.statement);
            }
        }
    }

    #[test]
    fn shows_the_levels_as_a_table_that_can_be_followed() {
        let document = document();
        let (text, page) = (plain_text(&document, 80), page(&document));
        for row in document.level_account.iter().flat_map(|account| &account.parts).flat_map(|part| &part.rows) {
            assert!(page.contains(&format!(">{}</th>", row.label)), "the page lacks {}", row.label);
            assert!(page.contains(&format!(">{}</td>", row.words.value)), "the page lacks {}", row.words.value);
            let noted = row.estimate.is_none();
            assert_eq!(text.contains(&row.words.value), !noted, "{}", row.label);
        }
        let without = Document { level_account: None, ..document };
        assert!(!plain_text(&without, 80).contains("Level account"));
        assert!(plain_text(&without, 80).contains("cold level fell by"), "without an account the number stands among the measured ones");
    }

    #[test]
    fn says_a_step_once() {
        let mut document = document();
        document.reasons[0].advice = document.next_steps.clone();
        for text in [plain_text(&document, 400), page(&document)] {
            for step in &document.next_steps {
                // The first words will do: quotes are written differently in a page.
                assert_eq!(text.matches(&step[..30]).count(), 1, "{step}");
            }
        }
    }

    #[test]
    fn can_say_nothing_at_all() {
        let empty = Document {
            title: String::new(),
            headline: String::new(),
            summary: vec![],
            level_account: None,
            cautions: vec![],
            reasons: vec![],
            next_steps: vec![],
            measures: vec![],
            method: vec![],
            sources: vec![],
            chart: Chart::default(),
            ..document()
        };
        assert!(!plain_text(&empty, 80).is_empty());
        assert!(page(&empty).ends_with("</html>\n"));
        assert_eq!(csv::render(&empty).expect("a heading can be written").lines().count(), 1);
        assert!(chart::png(&empty.chart, (600, 400)).is_ok());
    }
}

mod text_format {
    use super::*;

    #[test]
    fn reads_well_at_80_and_40_columns() {
        insta::assert_snapshot!("text_80", plain_text(&document(), 80));
        insta::assert_snapshot!("text_40", plain_text(&document(), 40));
    }

    #[test]
    fn never_leaves_its_columns() {
        for document in [document(), hostile()] {
            for width in [text::NARROWEST, 32, 40, 57, 80, 120] {
                for line in plain_text(&document, width).lines() {
                    assert!(line.width() <= width, "{width} columns, {} used: {line}", line.width());
                }
            }
        }
        assert!(plain_text(&document(), 0).lines().all(|line| line.width() <= text::NARROWEST));
    }

    #[test]
    fn leaves_what_every_logger_does_to_the_page_and_says_units_in_one_line() {
        let defect = |kind, channel, effect: &str| Defect { kind, channel, at_s: None, line: None, count: 1, effect: effect.to_owned() };
        let mut document = document();
        document.run.defects = vec![
            defect(DefectKind::StaleRepeat, Some(Channel::EngineSpeed), "kept"),
            defect(DefectKind::BeforeStart, None, "kept"),
            defect(DefectKind::CoarseClock, None, "kept"),
            defect(
                DefectKind::UnitInferred,
                Some(Channel::CoolantTemperature),
                "no unit stated; taken as °C: in °F it would start below freezing",
            ),
            defect(DefectKind::UnitInferred, None, "no unit stated; taken: engine speed as rpm, oil temperature as °C"),
        ];
        let (text, page) = (plain_text(&document, 80), page(&document));
        assert!(text.contains("  Units were not stated; read as °C, rpm.\n"), "{text}");
        for defect in &document.run.defects {
            assert!(!text.contains(words::defect_kind(defect.kind)), "{text}");
            assert!(page.contains(words::defect_kind(defect.kind)) && page.contains(&defect.effect));
        }
    }

    #[test]
    fn colour_only_repeats_the_words() {
        let coloured = text::render(&document(), Style { color: true, width: 80 });
        assert!(coloured.contains('\u{1b}'));
        let mut bare = String::new();
        let mut rest = coloured.as_str();
        while let Some((before, after)) = rest.split_once('\u{1b}') {
            bare.push_str(before);
            rest = after.split_once('m').map_or("", |(_, after)| after);
        }
        bare.push_str(rest);
        assert_eq!(bare, plain_text(&document(), 80));
    }

    #[test]
    fn passes_no_escape_code_of_the_log_on() {
        let text = plain_text(&hostile(), 80);
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'));
    }
}

mod json_format {
    use super::*;

    #[test]
    fn keeps_its_contract() {
        insta::assert_snapshot!("json", json::render(&document()).expect("a document can be written"));
    }

    #[test]
    fn agrees_with_the_published_schema() {
        for document in [document(), hostile()] {
            let none: Vec<String> = vec![];
            assert_eq!(json_schema::violations(&schema(), &json_value(&document)), none);
        }
        let compared = Document {
            comparison: Some(serde_json::json!({"against": "2025-03-01", "changes": [{
                "measure": "opening.temperature",
                "difference": {"value": 0.4, "standard_uncertainty": 0.7, "interval_95": [-1.0, 1.8], "unit": "K"},
                "decision": "alike"
            }]})),
            ..document()
        };
        let none: Vec<String> = vec![];
        assert_eq!(json_schema::violations(&schema(), &json_value(&compared)), none);
    }

    #[test]
    fn a_report_that_breaks_the_schema_is_noticed() {
        type Break = fn(&mut Value);
        let breaks: [(&str, Break); 8] = [
            ("verdict", |report| report["verdict"] = "good".into()),
            ("missing", |report| drop(report.as_object_mut().map(|members| members.remove("run")))),
            ("unknown", |report| report["extra"] = 1.into()),
            ("unit", |report| report["findings"]["opening"]["temperature"]["unit"] = "K".into()),
            ("interval", |report| report["findings"]["opening"]["temperature"]["interval_95"] = serde_json::json!([1.0])),
            ("state", |report| report["findings"]["opening"]["state"] = "ajar".into()),
            ("probability", |report| report["findings"]["trapped_air"]["prior"] = 1.5.into()),
            ("channel", |report| report["run"]["channels"][0] = "temperature".into()),
        ];
        for (name, spoil) in breaks {
            let mut report = json_value(&document());
            spoil(&mut report);
            assert!(!json_schema::violations(&schema(), &report).is_empty(), "{name} went unnoticed");
        }
    }

    #[test]
    fn an_unknown_number_is_null_and_never_zero() {
        let mut document = document();
        document.run.duration_s = f64::NAN;
        assert!(json_value(&document)["run"]["duration_s"].is_null());
        document.measures[0].estimate.standard_uncertainty = f64::NAN;
        let table = csv::render(&document).expect("a table can be written");
        assert!(table.lines().nth(1).is_some_and(|row| row.contains("87.1,,")), "{table}");
    }
}

mod csv_format {
    use super::*;

    #[test]
    fn is_one_row_a_number() {
        insta::assert_snapshot!("csv", csv::render(&document()).expect("a table can be written"));
    }
}

mod page_format {
    use super::*;

    #[test]
    fn needs_nothing_from_elsewhere() {
        let page = page(&document());
        for forbidden in
            ["<script", "<link", "<img", "<iframe", "src=", "href=", "url(", "@import", "http://", "https://", " onload", "javascript:"]
        {
            assert!(!page.contains(forbidden), "the page contains {forbidden}");
        }
        assert!(page.contains("default-src 'none'"), "the page forbids what it does not need");
    }

    #[test]
    fn text_of_the_log_never_becomes_markup() {
        let (tame, hostile) = (page(&document()), page(&hostile()));
        assert!(!hostile.contains("<script") && !hostile.contains('\u{1b}') && !hostile.contains('\u{202e}'));
        assert!(hostile.contains("&lt;script&gt;"));
        // The plots may wrap or drop longer words; everything else has the very same elements.
        let frame = |page: &str| {
            let (before, rest) = page.split_once("<figure>").expect("one figure");
            let (_, after) = rest.split_once("</figure>").expect("that ends");
            elements(&format!("{before}{after}"))
        };
        assert_eq!(frame(&tame), frame(&hostile));
    }

    #[test]
    fn every_element_is_closed() {
        for page in [page(&document()), page(&hostile())] {
            let mut open: Vec<String> = vec![];
            for element in elements(&page) {
                let name: String = element.trim_start_matches('/').chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
                if element.starts_with('!') || element.ends_with('/') || name == "meta" {
                    continue;
                }
                if element.starts_with('/') {
                    assert_eq!(open.pop().as_deref(), Some(name.as_str()));
                } else {
                    open.push(name);
                }
            }
            assert!(open.is_empty(), "left open: {open:?}");
        }
    }

    #[test]
    fn headings_step_down_one_at_a_time() {
        let page = page(&document());
        let level = |element: &String| element.strip_prefix('h')?.chars().next()?.to_digit(10);
        let levels: Vec<u32> = elements(&page).iter().filter_map(level).collect();
        assert_eq!(levels.first(), Some(&1));
        assert_eq!(levels.iter().filter(|&&level| level == 1).count(), 1);
        assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
    }

    #[test]
    fn says_which_cells_head_which_and_what_the_plot_shows() {
        let page = page(&document());
        let headless = elements(&page).into_iter().filter(|element| element.starts_with("th") && element.len() == 2).count();
        assert_eq!(headless, 0, "a table head without scope");
        assert_eq!(page.matches("role=\"img\" aria-labelledby=\"plot-text\"").count(), 2);
        assert!(page.contains("<figcaption id=\"plot-text\">The coolant rises"));
    }

    /// Contrast of Web Content Accessibility Guidelines 2.2, success criterion 1.4.3: 4.5 to 1 for text.
    #[test]
    fn everything_written_stands_out_from_its_ground() {
        let page = page(&document());
        let linear = |byte: u32| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        // Light first, then dark.
        let luminance = |name: &str, theme: usize| {
            let before = format!(" --{name}: #");
            let rgb = page.split(before.as_str()).nth(theme + 1).and_then(|rest| u32::from_str_radix(&rest[..6], 16).ok());
            let rgb = rgb.unwrap_or_else(|| panic!("{name} is not set"));
            0.2126 * linear(rgb >> 16) + 0.7152 * linear(rgb >> 8 & 255) + 0.0722 * linear(rgb & 255)
        };
        let on_paper = ["text", "quiet", "pass", "recheck", "inconclusive", "unjudged"].map(|ink| (ink, "paper"));
        for (ink, ground) in on_paper.into_iter().chain([("quiet", "ground"), ("caution", "caution-ground"), ("text", "caution-ground")]) {
            for theme in 0..2 {
                let (one, other) = (luminance(ink, theme), luminance(ground, theme));
                let contrast = (one.max(other) + 0.05) / (one.min(other) + 0.05);
                assert!(contrast >= 4.5, "{ink} on {ground}, theme {theme}: {contrast:.2}");
            }
        }
    }

    #[test]
    fn states_its_language_and_its_title_and_only_what_opens_takes_the_focus() {
        let page = page(&document());
        assert!(page.contains("<html lang=\"en\">") && page.contains("<title>inconclusive: the lifeboat station"));
        for element in elements(&page) {
            let name = element.split([' ', '/']).next().unwrap_or("");
            assert!(!["a", "button", "input", "select"].contains(&name) && !element.contains("tabindex"), "{element}");
        }
        assert_eq!(page.matches("<summary>").count(), 1);
    }

    #[test]
    fn sets_every_colour_of_the_plot_for_light_and_dark() {
        let page = page(&document());
        let used: std::collections::BTreeSet<&str> =
            page.match_indices("var(--plot-").map(|(at, _)| page[at + 4..].split(')').next().unwrap_or("")).collect();
        assert!(used.len() >= 8, "{used:?}");
        for name in used {
            assert_eq!(page.matches(&format!("{name}:")).count(), 2, "{name} is not set for both");
        }
        let (_, figure) = page.split_once("<figure>").expect("one figure");
        assert!(!figure.split("</figure>").next().unwrap_or("").contains("\"#"), "a fixed colour would not follow the theme");
    }
}

mod plots {
    use super::*;

    #[test]
    fn png_has_the_asked_size_and_shows_something() {
        for size in [(240, 200), (360, 480), (1200, 800), (1333, 401)] {
            let file = chart::png(&document().chart, size).expect("the size is fine");
            let (decoded, pixels) = decoded_png(&file);
            assert_eq!(decoded, size);
            let ink = pixels.chunks(3).filter(|pixel| **pixel != [255, 255, 255]).count();
            assert!(ink * 20 > pixels.len() / 3, "{size:?}: hardly anything is drawn");
        }
    }

    #[test]
    fn pictures_come_out_the_same_every_time() {
        let chart = document().chart;
        assert!(chart::png(&chart, (600, 400)).ok() == chart::png(&chart, (600, 400)).ok());
        assert!(chart::svg(&chart, Theme::Paper, (600, 400)).ok() == chart::svg(&chart, Theme::Paper, (600, 400)).ok());
    }

    #[test]
    fn a_size_that_cannot_hold_a_plot_is_an_error_with_a_way_out() {
        for size in [(0, 0), (100, 800), (800, 100), (u32::MAX, 800), (9000, 800)] {
            for error in [chart::png(&document().chart, size).err(), chart::svg(&document().chart, Theme::Paper, size).err()] {
                let error = error.expect("no picture");
                assert!(matches!(error, ChartError::Size { .. }));
                assert!(error.hint().contains("240"));
            }
        }
    }

    #[test]
    fn svg_alone_is_well_formed_and_says_what_it_shows() {
        for chart in [document().chart, hostile().chart] {
            let svg = chart::svg(&chart, Theme::Paper, (900, 560)).expect("the size is fine");
            assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"900\" height=\"560\""));
            assert!(svg.contains("<desc>The coolant rises from"));
            assert!(!svg.contains("<script") && !svg.contains('\u{1b}'));
            let mut depth = 0i32;
            for element in elements(&svg) {
                depth += if element.starts_with('/') { -1 } else { i32::from(!element.ends_with('/')) };
                assert!(depth >= 0);
            }
            assert_eq!(depth, 0, "every element is closed");
        }
    }

    #[test]
    fn everything_marked_is_named_in_the_picture() {
        let svg = chart::svg(&document().chart, Theme::Paper, (900, 560)).expect("the size is fine");
        for words in [
            "opens 87.1 °C at 4:57",
            "knee",
            "regulation 86.2 to 88.4 °C",
            "stamped 82 °C",
            "gap 14 s",
            "swing without a cause",
            "warm-up",
            "settling",
            "hot soak",
            "temperature, °C",
            "intake air",
            "time from the first row, minutes",
        ] {
            assert!(svg.contains(words), "the plot does not say: {words}");
        }
    }

    #[test]
    fn nothing_is_drawn_outside_the_sheet() {
        for (width, height) in [(240, 200), (340, 520), (920, 580)] {
            let svg = chart::svg(&hostile().chart, Theme::Paper, (width, height)).expect("the size is fine");
            for line in svg.lines().filter_map(|line| line.split_once("points=\"")) {
                for point in line.1.split('"').next().unwrap_or("").split_whitespace() {
                    let (x, y) = point.split_once(',').expect("a point has two numbers");
                    let (x, y): (f64, f64) = (x.parse().expect("a number"), y.parse().expect("a number"));
                    assert!((0.0..=f64::from(width) * 10.0).contains(&x) && (0.0..=f64::from(height) * 10.0).contains(&y), "{point}");
                }
            }
        }
    }

    /// Half a second is a bound for a slow machine with the development build; the work itself takes a tenth of that.
    #[test]
    fn a_day_at_ten_a_second_draws_at_once() {
        let day: Vec<(f64, f64)> =
            (0..864_000u32).map(|n| (f64::from(n) / 10.0, 80.0 + f64::from(n.wrapping_mul(7919) % 100) / 10.0)).collect();
        let chart = Chart {
            panels: vec![Panel {
                curves: vec![Curve { name: "coolant".into(), points: day, main: true }],
                weight: 1.0,
                ..Panel::default()
            }],
            duration_s: 86_400.0,
            ..Chart::default()
        };
        let begun = Instant::now();
        let svg = chart::svg(&chart, Theme::Page, (920, 580)).expect("the size is fine");
        assert!(begun.elapsed() < Duration::from_millis(500), "{:?}", begun.elapsed());
        assert!(svg.len() < 200_000, "{} bytes", svg.len());
        assert!(svg.contains("hours:minutes"));
    }

    #[test]
    fn numbers_that_are_none_break_nothing() {
        let strange = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300, 0.0, -0.0, 5.0];
        let points: Vec<(f64, f64)> = strange.iter().flat_map(|&t| strange.iter().map(move |&v| (t, v))).collect();
        for &duration_s in &strange {
            let marks = strange.iter().map(|&at_s| Mark {
                name: "mark".into(),
                kind: MarkKind::Defect,
                at_s,
                interval_s: [at_s, 3.0],
                value: Some(at_s),
                value_interval: Some([at_s, at_s]),
            });
            let marks: Vec<Mark> =
                marks.flat_map(|mark| [MarkKind::Opening, MarkKind::Defect].map(|kind| Mark { kind, ..mark.clone() })).collect();
            let panel =
                Panel { weight: duration_s, curves: vec![Curve { points: points.clone(), ..Curve::default() }], marks, ..Panel::default() };
            let phases = vec![Phase { name: "phase".into(), from_s: duration_s, to_s: 1e300 }];
            let chart = Chart { panels: vec![panel.clone(), Panel::default(), panel], phases, duration_s, ..Chart::default() };
            assert!(chart::png(&chart, (300, 300)).is_ok());
            assert!(chart::svg(&chart, Theme::Paper, (300, 300)).is_ok());
        }
    }
}

/// Reading pictures and markup back without the library that wrote them.
mod read_back {
    /// Size and pixels of a PNG.
    pub fn decoded_png(file: &[u8]) -> ((u32, u32), Vec<u8>) {
        let mut reader = png::Decoder::new(file).read_info().expect("a PNG");
        let mut pixels = vec![0; reader.output_buffer_size()];
        let info = reader.next_frame(&mut pixels).expect("with a picture");
        ((info.width, info.height), pixels)
    }

    /// What stands between each `<` and `>`.
    pub fn elements(markup: &str) -> Vec<String> {
        markup.split('<').skip(1).map(|rest| rest.split('>').next().unwrap_or("").to_owned()).collect()
    }
}

/// A drive whose only coolant reading comes after the engine stopped has no highest reading, and says none.
#[test]
fn a_drive_without_a_reading_while_the_engine_runs_has_no_highest() {
    let rows: String =
        (0..61).map(|row| format!("{},{},{}\n", row * 10, if row == 24 { "88" } else { "" }, if row < 4 { 800 } else { 0 })).collect();
    let log = format!("time (s),coolant temperature (°C),engine speed (rpm)\n{rows}");
    let run = wellbled::ingest::read(log.as_bytes(), "log.csv", &wellbled::ingest::Options::default()).expect("it is a log").run;
    let document = wellbled::check::Checked::of(&run, &wellbled::check::Beside::default()).document;
    assert!(
        document.chart.description.starts_with("Coolant temperature over 10:00 min: from 88 to 88 °C."),
        "{}",
        document.chart.description
    );
}
