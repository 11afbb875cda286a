//! An invented report: a lifeboat station's launch truck after a refill. Nothing in it is real.

use serde_json::{Value, json};
use wellbled::channel::Channel;
use wellbled::estimate::{Estimate, Unit};
use wellbled::report::document::{
    Account, AccountPart, AccountRow, Band, Chart, Curve, Document, Mark, MarkKind, Measure, Panel, Phase, Reason, RunSummary, Section,
    Words,
};
use wellbled::run::{Defect, DefectKind};
use wellbled::verdict::decision::{Decision, Verdict};

/// Length of the drive, in seconds.
const DURATION_S: f64 = 2710.0;

/// The launch truck's report: an ordinary warm-up, a gap, a level loss that straddles its limit.
pub fn document() -> Document {
    Document {
        title: "the lifeboat station's launch truck".to_owned(),
        run: RunSummary {
            source: "launch-truck.csv".to_owned(),
            started: Some("2026-03-02T07:41:10".to_owned()),
            duration_s: DURATION_S,
            samples: 5391,
            channels: vec![Channel::CoolantTemperature, Channel::EngineSpeed, Channel::VehicleSpeed, Channel::IntakeAirTemperature],
            defects: vec![
                defect(DefectKind::Gap, None, Some(1312.0), 1, "the opening and the settling lie outside it; the band is weighted by time without it"),
                defect(DefectKind::Sentinel, Some(Channel::CoolantTemperature), Some(4.0), 3, "left out: the readings before and after are 11 °C"),
                defect(DefectKind::CutOffRow, None, None, 1, "left out"),
            ],
        },
        verdict: Verdict::Inconclusive,
        headline: "The temperatures are those of a bled system, but the fall of the cold level cannot tell uptake from loss yet.".to_owned(),
        summary: vec![
            "Opening and regulation are each wholly inside their limits; trapped air is unlikely.".to_owned(),
            "One more cold reading after the next drive would decide.".to_owned(),
        ],
        cautions: vec![
            "Do not open the cap or a bleed point before 12:20 by the log's clock, and then only if the hoses are cold: hot coolant under pressure scalds.".to_owned(),
            "The fan can start by itself with the engine off: keep hands and clothes clear. A hybrid's engine may start unasked.".to_owned(),
        ],
        reasons: reasons(),
        level_account: Some(account()),
        differences: None,
        next_steps: vec![
            "Let the truck stand overnight on the same level spot.".to_owned(),
            "Read the cold level before the next start and note it as \"cold after\".".to_owned(),
            "Top up to the cold mark with the same mixture if the level is below it, and note the amount.".to_owned(),
        ],
        measures: measures(),
        method: vec![
            Section {
                title: "Opening".to_owned(),
                paragraphs: vec!["The rise is compared with a two-lump model of engine and coolant; where the reading leaves the model for good, the valve lifts.".to_owned()],
            },
            Section {
                title: "Regulation".to_owned(),
                paragraphs: vec!["5th and 95th percentile of the reading, weighted by time, from settled to the end of the log.".to_owned()],
            },
        ],
        sources: vec!["JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in conformity assessment.".to_owned()],
        findings: findings(),
        comparison: None,
        chart: chart(),
        overlay: None,
    }
}

/// The same report with everything that a hostile log could put into it.
#[allow(dead_code, reason = "not every test of reports is about hostile logs")]
pub fn hostile() -> Document {
    let evil = "<script>alert('x')</script>\"&\u{1b}[31m\u{202e}";
    let mut document = document();
    for text in
        [&mut document.title, &mut document.headline, &mut document.run.source, &mut document.chart.title, &mut document.chart.description]
    {
        text.push_str(evil);
    }
    let lists = [&mut document.summary, &mut document.cautions, &mut document.next_steps, &mut document.sources];
    lists.into_iter().flatten().for_each(|text| text.push_str(evil));
    document.reasons.iter_mut().for_each(|reason| reason.statement.push_str(evil));
    document.measures.iter_mut().for_each(|measure| measure.label.push_str(evil));
    document.run.defects.iter_mut().for_each(|defect| defect.effect.push_str(evil));
    for part in document.level_account.iter_mut().flat_map(|account| &mut account.parts) {
        part.title.push_str(evil);
        part.rows.iter_mut().for_each(|row| row.label.push_str(evil));
    }
    document.level_account.iter_mut().flat_map(|account| &mut account.remarks).for_each(|remark| remark.push_str(evil));
    for panel in &mut document.chart.panels {
        panel.label.push_str(evil);
        panel.curves.iter_mut().for_each(|curve| curve.name.push_str(evil));
        panel.marks.iter_mut().for_each(|mark| mark.name.push_str(evil));
        panel.bands.iter_mut().for_each(|band| band.name.push_str(evil));
    }
    document.chart.phases.iter_mut().for_each(|phase| phase.name.push_str(evil));
    document
}

fn defect(kind: DefectKind, channel: Option<Channel>, at_s: Option<f64>, count: usize, effect: &str) -> Defect {
    Defect { kind, channel, at_s, line: Some(2632).filter(|_| kind == DefectKind::Gap), count, effect: effect.to_owned() }
}

fn reasons() -> Vec<Reason> {
    let reason = |finding, title, decision, statement: &str, advice: &[&str]| Reason {
        finding,
        title,
        decision,
        statement: statement.to_owned(),
        advice: advice.iter().map(|one| (*one).to_owned()).collect(),
    };
    vec![
        reason(
            "level_loss",
            "cold level",
            Decision::Inconclusive,
            "The cold level fell by 140 mL (90 to 190); an ordinary first uptake is up to 150 mL, and one heat cycle cannot tell air from loss.",
            &["Read the cold level again after the next drive.", "Look under the truck and at the drain points."],
        ),
        reason(
            "opening",
            "thermostat opening",
            Decision::Pass,
            "It opens at 87.1 °C (86.1 to 88.1), 4:57 after the first row; 80 to 90 °C suits the stamped 82 °C.",
            &[],
        ),
        reason("regulation", "regulation", Decision::Pass, "Once settled the reading holds 86.2 to 88.4 °C.", &[]),
        reason(
            "trapped_air",
            "trapped air",
            Decision::Pass,
            "More than 70 mL of air is unlikely: probability 0.03 (calibrated on simulated runs).",
            &[],
        ),
        reason(
            "heater_flow",
            "heater flow",
            Decision::NotJudged,
            "No heater outlet temperature was logged.",
            &["Log a vent temperature next time."],
        ),
    ]
}

fn account() -> Account {
    let noted = |label: &str, value: &str| AccountRow {
        label: label.to_owned(),
        estimate: None,
        words: Words { value: value.to_owned(), interval: String::new() },
        result: false,
    };
    let reckoned = |label: &str, value: f64, u: f64, result: bool| {
        let estimate = Estimate::normal(value, u, Unit::Millilitre);
        AccountRow { label: label.to_owned(), estimate: Some(estimate), words: Words::of(&estimate), result }
    };
    let part = |title: &str, noted: bool, rows| AccountPart { title: title.to_owned(), noted, rows };
    Account {
        parts: vec![
            part(
                "As noted",
                true,
                vec![
                    noted("cold before the drive, 2026-03-02 07:30, air 9 °C", "42 mm"),
                    noted("cold after the drive, 2026-03-03 06:50, air 8 °C", "30.5 mm"),
                ],
            ),
            part(
                "Cold against cold, brought to 20 °C",
                false,
                vec![
                    reckoned("first cold level", 512.0, 14.0, false),
                    reckoned("cold level after heat cycle 1, top-ups taken out", 372.0, 14.0, false),
                    reckoned("taken up by the circuit", 140.0, 25.0, true),
                ],
            ),
        ],
        remarks: vec!["Each row is rounded by itself, so a sum may differ by one in its last digit.".to_owned()],
        in_brief: vec!["Cold against cold, the system took up 140 mL (91 to 189).".to_owned()],
    }
}

fn measures() -> Vec<Measure> {
    let measure = |finding, member, label: &str, estimate| Measure::new(finding, member, label, estimate);
    vec![
        measure("opening", "temperature", "thermostat opens at", Estimate::normal(87.1, 0.5, Unit::Celsius)),
        measure("opening", "time", "thermostat opens after", Estimate::from_interval(297.0, [285.0, 309.0], Unit::Second)),
        measure("opening", "knee_temperature", "reading visibly leaves its rise at", Estimate::normal(87.9, 0.4, Unit::Celsius)),
        measure("warm_up", "rate", "mean rise from 40 to 70 °C", Estimate::normal(13.62, 0.21, Unit::KelvinPerMinute)),
        measure("regulation", "low", "lower edge of the regulation band", Estimate::normal(86.2, 0.3, Unit::Celsius)),
        measure("regulation", "high", "upper edge of the regulation band", Estimate::normal(88.4, 0.3, Unit::Celsius)),
        measure("regulation", "swing_period", "period of the swing", Estimate::normal(55.0, 6.0, Unit::Second)),
        measure("level_loss", "cold_to_cold", "cold level fell by", Estimate::normal(140.0, 25.0, Unit::Millilitre)),
        measure("sensor_offset", "sensor_offset", "sensor against air after the cold soak", Estimate::normal(-0.6, 0.9, Unit::Kelvin)),
        measure("cooling_down", "cold_at_s", "counts as cold after", Estimate::from_interval(14_280.0, [11_400.0, 17_400.0], Unit::Second)),
        measure("trapped_air", "probability", "probability of trapped air", Estimate::from_interval(0.03, [0.005, 0.09], Unit::One)),
    ]
}

fn findings() -> Value {
    let quantity = |estimate: Estimate| serde_json::to_value(estimate).expect("an estimate is JSON");
    let of = |finding: &str, member: &str| {
        measures().into_iter().find(|m| m.finding == finding && m.member == member).map_or(Value::Null, |m| quantity(m.estimate))
    };
    json!({
        "opening": {
            "state": "opened", "temperature": of("opening", "temperature"), "time": of("opening", "time"),
            "knee_temperature": of("opening", "knee_temperature"), "knee_time": null
        },
        "warm_up": {"rate": of("warm_up", "rate"), "heat_capacity_ratio": null},
        "regulation": {
            "low": of("regulation", "low"), "high": of("regulation", "high"), "swing_period": of("regulation", "swing_period"),
            "moved_by": ["speed"]
        },
        "heat_rejection": {"state": "ordinary"},
        "trapped_air": {"probability": of("trapped_air", "probability"), "prior": 0.05, "likelihood_ratio": 0.6, "where": "none", "signatures": []},
        "cooling_down": {"time_constant": null, "open_not_before_s": null, "cold_at_s": of("cooling_down", "cold_at_s")},
        "level_loss": {"cold_to_cold": of("level_loss", "cold_to_cold"), "per_cycle": []},
        "boiling_margin": null,
        "sensor_offset": of("sensor_offset", "sensor_offset"),
        "heater_flow": {}
    })
}

/// A number between 0 and 1 that looks random and is the same on every machine.
fn dither(n: u32) -> f64 {
    f64::from(n.wrapping_mul(2_654_435_761) >> 8) / f64::from(1u32 << 24)
}

fn coolant(t: f64, n: u32) -> f64 {
    let warming = 11.0 + 100.0 * (1.0 - (-t / 207.5).exp());
    let held = 87.3 + 1.1 * (t / 8.7).sin() * (1.0 - (-(t - 330.0).max(0.0) / 60.0).exp()) + 0.8 * (t / 213.0).sin();
    let soak = if t > 2400.0 { 5.0 * (1.0 - (-(t - 2400.0) / 60.0).exp()) - (t - 2400.0) * 0.012 } else { 0.0 };
    (warming.min(held) + soak + 0.3 * dither(n)).floor()
}

fn chart() -> Chart {
    let rows: Vec<(f64, u32)> = (0..5420u32).map(|n| (f64::from(n) * 0.5, n)).filter(|(t, _)| !(1312.0..1326.0).contains(t)).collect();
    let speed = |t: f64| if t > 2400.0 { 0.0 } else { ((t / 47.0).sin() * 34.0 + (t / 311.0).sin() * 22.0 + 26.0).clamp(0.0, 90.0) };
    let trace = |value: &dyn Fn(f64, u32) -> f64| {
        let mut points: Vec<(f64, f64)> = rows.iter().map(|&(t, n)| (t, value(t, n))).collect();
        points.insert(2624, (1319.0, f64::NAN));
        points
    };
    let curve = |name: &str, main, points| Curve { name: name.to_owned(), points, main };
    let mark = |name: &str, kind, at_s, interval_s, value, value_interval| Mark {
        name: name.to_owned(),
        kind,
        at_s,
        interval_s,
        value,
        value_interval,
    };
    let band = |name: &str, from_s, low, high| Band { name: name.to_owned(), from_s, to_s: 2400.0, low, high };
    Chart {
        title: "the lifeboat station's launch truck: inconclusive, the cold level cannot tell yet".to_owned(),
        description: "The coolant rises from 11 °C, the thermostat opens at 87.1 °C after 4:57 min, then the reading holds 86.2 to 88.4 °C until key-off at 40:00; a gap of 14 s at 21:52.".to_owned(),
        panels: vec![
            Panel {
                label: "temperature".to_owned(),
                unit: "°C".to_owned(),
                weight: 3.0,
                curves: vec![curve("coolant", true, trace(&coolant)), curve("intake air", false, trace(&|t, n| (9.0 + 6.0 * (t / 500.0).sin().abs() + dither(n)).floor()))],
                bands: vec![band("regulation 86.2 to 88.4 °C", 380.0, 86.2, 88.4), band("stamped 82 °C", 0.0, 82.0, 82.0)],
                marks: vec![
                    mark("opens 87.1 °C at 4:57", MarkKind::Opening, 297.0, [285.0, 309.0], Some(87.1), Some([86.1, 88.1])),
                    mark("knee", MarkKind::Moment, 318.0, [310.0, 326.0], Some(87.9), Some([87.1, 88.7])),
                    mark("swing without a cause", MarkKind::Signature, 1730.0, [1690.0, 1770.0], Some(88.0), None),
                    mark("gap 14 s", MarkKind::Defect, 1312.0, [1312.0, 1326.0], None, None),
                ],
            },
            Panel {
                label: "heat input (speed × load)".to_owned(),
                unit: "relative".to_owned(),
                weight: 1.0,
                curves: vec![curve("heat", true, trace(&|t, n| if t > 2400.0 { 0.0 } else { 0.2 + speed(t) / 90.0 * (0.6 + 0.4 * dither(n)) }))],
                ..Panel::default()
            },
            Panel {
                label: "speed".to_owned(),
                unit: "km/h".to_owned(),
                weight: 1.0,
                curves: vec![curve("vehicle", true, trace(&|t, _| speed(t).round())), curve("engine, 100 rpm", false, trace(&|t, n| if t > 2400.0 { 0.0 } else { (8.0 + speed(t) / 3.0 + 4.0 * dither(n)).round() }))],
                ..Panel::default()
            },
        ],
        phases: [("warm-up", 0.0, 297.0), ("settling", 297.0, 380.0), ("regulation", 380.0, 2400.0), ("hot soak", 2400.0, DURATION_S)]
            .map(|(name, from_s, to_s)| Phase { name: name.to_owned(), from_s, to_s })
            .to_vec(),
        duration_s: DURATION_S,
        ..Chart::default()
    }
}
