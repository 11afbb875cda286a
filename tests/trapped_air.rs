//! Trapped air: what each sign answers to, what it leaves alone, and how the evidence adds up.

use wellbled::analysis::Analysis;
use wellbled::analysis::heat_input::HeatInput;
use wellbled::analysis::phases::Phases;
use wellbled::analysis::trapped_air::drive::Drive;
use wellbled::analysis::trapped_air::signs::{Group, MEANINGS};
use wellbled::analysis::trapped_air::weights::WEIGHTS;
use wellbled::analysis::trapped_air::{PRIOR, Where, sharp_changes, unexplained};
use wellbled::channel::Channel;
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::{Scenario, rehearse, story, twin_without_air};
use wellbled::run::{Occasion, Run, Trace};
use wellbled::vehicle::Vehicle;
use wellbled::verdict::Judgement;
use wellbled::verdict::advice::Advice;
use wellbled::verdict::decision::{Decision, Verdict};
use wellbled::verdict::ruling::Topic;

/// Forty minutes at a wandering load: the reading holds 90 °C, follows the heat by two kelvin and a fan cycle of 150 s by one and a half;
/// `more` is added to it.
fn drive(more: impl Fn(f64) -> f64) -> Run {
    let time: Vec<f64> = (0..2400).map(f64::from).collect();
    let load = |t: f64| 35.0 + 12.0 * (t / 97.0).sin() + 9.0 * (t / 61.0).sin();
    let reading = |t: f64| 88.0 + 0.16 * (load(t - 25.0) - 35.0) + 1.5 * (t / 150.0 * std::f64::consts::TAU).sin() + more(t);
    let mut run = Run { duration: 2399.0, samples: time.len(), ..Run::default() };
    let mut add = |channel: Channel, value: &dyn Fn(f64) -> f64, step: f64| {
        let value = time.iter().map(|&t| (value(t) / step).round() * step).collect();
        run.traces.insert(channel, Trace { time: time.clone(), value, step });
    };
    add(Channel::CoolantTemperature, &reading, 0.5);
    add(Channel::EngineLoad, &load, 0.4);
    add(Channel::EngineSpeed, &|t| 1900.0 + 400.0 * (t / 97.0).sin(), 1.0);
    add(Channel::VehicleSpeed, &|t| 60.0 + 15.0 * (t / 97.0).sin(), 1.0);
    run
}

fn laid_out(run: &Run) -> Drive {
    let phases = Phases::of(run);
    Drive::of(run, &phases, &HeatInput::of(run, &phases))
}

/// A slug of hot coolant that comes within three seconds and dies out within half a minute.
fn slug(t: f64, at: f64, height: f64) -> f64 {
    if t < at { 0.0 } else { height * (1.0 - (-(t - at) / 1.5).exp()) * (-(t - at) / 12.0).exp() }
}

#[test]
fn load_and_fan_cycles_are_learned_and_slugs_are_not() {
    let calm = laid_out(&drive(|_| 0.0));
    let calm = unexplained::measure(&calm, 0, calm.len()).expect("forty minutes are enough");
    assert!(calm.rise < 0.5, "all but rounding is explained: {calm:?}");
    let times = [310.0, 745.0, 1010.0, 1390.0, 1720.0, 2111.0];
    let slugs = laid_out(&drive(|t| times.iter().map(|&at| slug(t, at, 9.0)).sum()));
    let found = unexplained::measure(&slugs, 0, slugs.len()).expect("forty minutes are enough");
    assert!(found.rise > 3.0 * calm.rise, "{found:?}");
    for [at, _] in &found.greatest {
        assert!(times.iter().any(|time| (time - at).abs() < 25.0), "{at} is no slug: {found:?}");
    }
    let burstiness = |drive: &Drive| sharp_changes::burstiness(drive, 0, drive.len()).expect("enough");
    assert!(burstiness(&slugs) > 3.0 * burstiness(&laid_out(&drive(|_| 0.0))));
}

#[test]
fn gas_that_left_early_leaves_the_last_third_calm() {
    let early = laid_out(&drive(|t| [200.0, 420.0, 650.0, 800.0].iter().map(|&at| slug(t, at, 9.0)).sum()));
    let found = unexplained::measure(&early, 0, early.len()).expect("enough");
    assert!(found.late_rise < 0.5 * found.rise, "{found:?}");
}

#[test]
fn a_gap_in_the_log_and_a_single_odd_reading_are_no_sign() {
    let mut run = drive(|_| 0.0);
    let coolant = run.traces.get_mut(&Channel::CoolantTemperature).expect("it is there");
    // The reading is 8 K higher after the gap, as after a stop; one value is a loose plug's.
    for (time, value) in coolant.time.iter().zip(&mut coolant.value) {
        if *time > 1500.0 {
            *value += 8.0;
        }
    }
    let kept: Vec<usize> = (0..coolant.time.len()).filter(|&i| !(1400..1520).contains(&i)).collect();
    coolant.time = kept.iter().map(|&i| f64::from(i as u32)).collect();
    coolant.value = kept.iter().map(|&i| coolant.value[i]).collect();
    coolant.value[700] = 40.0;
    let drive = laid_out(&run);
    let found = unexplained::measure(&drive, 0, drive.len()).expect("enough");
    assert!(found.rise < 0.8, "{found:?}");
}

#[test]
fn a_run_without_evidence_answers_with_the_prior() {
    for prior in [0.02, PRIOR, 0.5] {
        let air = Analysis::with_prior(&Run::default(), prior).trapped_air;
        assert!((air.probability.value - prior).abs() < 1e-9 && (air.likelihood_ratio - 1.0).abs() < 1e-12, "{air:?}");
        assert!(!air.could_tell() && air.signatures.is_empty() && air.place == Where::None);
    }
}

#[test]
fn the_prior_moves_the_odds_and_not_the_evidence() {
    let run = made(&story("trapped-air", 7).expect("there is such a story"));
    let said = [0.05, 0.1, 0.3].map(|prior| Analysis::with_prior(&run, prior).trapped_air);
    for air in &said {
        let odds = |p: f64| p / (1.0 - p);
        let ratio = odds(air.probability.value) / odds(air.prior);
        assert!((ratio / air.likelihood_ratio - 1.0).abs() < 1e-9 && (ratio / said[0].likelihood_ratio - 1.0).abs() < 1e-9);
        let [low, high] = air.probability.interval_95;
        assert!(low < air.probability.value && air.probability.value < high);
    }
}

#[test]
fn signs_that_can_only_mean_air_never_speak_against_it() {
    for (meaning, weight) in MEANINGS.iter().zip(WEIGHTS) {
        assert!(!meaning.only_raises || weight >= 0.0, "{}: {weight}", meaning.name);
        assert!(weight.abs() < 4.0, "{}: {weight} would let one sign decide", meaning.name);
    }
    assert!(Group::ALL.iter().all(|group| MEANINGS.iter().any(|meaning| meaning.group == *group)));
}

fn made(scenario: &Scenario) -> Run {
    let made = rehearse(scenario);
    let options = Options { day_first: Some(true), ..Options::default() };
    let mut run = ingest::read(&made.log, "made.csv", &options).expect("its own logs read").run;
    run.vehicle = Vehicle::from_toml(&made.vehicle_toml).expect("its own vehicles read");
    run.levels = made.levels;
    run
}

#[test]
fn the_stories_with_air_stand_above_their_twins_without() {
    for name in ["trapped-air", "chapel-minibus", "ski-tow-pickup"] {
        let told = story(name, 7).expect("there is such a story");
        let [with, without] = [&told, &twin_without_air(&told)].map(|scenario| Analysis::of(&made(scenario)).trapped_air);
        assert!(
            with.likelihood_ratio > 2.0 * without.likelihood_ratio,
            "{name}: {:.2} with air, {:.2} without",
            with.likelihood_ratio,
            without.likelihood_ratio
        );
    }
}

#[test]
fn air_is_advised_on_and_what_was_done_is_left_out() {
    let mut run = made(&story("chapel-minibus", 7).expect("there is such a story"));
    let judged = |run: &Run| {
        let judgement = Judgement::of(run, &Analysis::with_prior(run, 0.6));
        let ruling = judgement.rulings.iter().find(|ruling| ruling.topic == Topic::TrappedAir).expect("it is always judged").clone();
        (judgement.verdict, ruling)
    };
    let (verdict, ruling) = judged(&run);
    assert_eq!((verdict, ruling.decision), (Verdict::Recheck, Decision::Recheck), "{}", ruling.statement);
    assert!(ruling.advice.contains(&Advice::BleedAgain) && ruling.advice.contains(&Advice::FillByVacuum));
    run.levels.iter_mut().filter(|note| note.occasion == Occasion::Filled).for_each(|note| note.method = Some("vacuum".to_owned()));
    assert!(!judged(&run).1.advice.contains(&Advice::FillByVacuum));
}

#[test]
fn a_log_that_ends_before_the_opening_cannot_pass() {
    let mut run = drive(|_| 0.0);
    // It rises from 20 to 60 °C and ends.
    let coolant = run.traces.get_mut(&Channel::CoolantTemperature).expect("it is there");
    coolant.value = coolant.time.iter().map(|t| (20.0 + t / 60.0).round()).collect();
    let analysis = Analysis::of(&run);
    let judgement = Judgement::of(&run, &analysis);
    let ruling = judgement.rulings.iter().find(|ruling| ruling.topic == Topic::TrappedAir).expect("it is always judged");
    assert_eq!(ruling.decision, Decision::Inconclusive, "{}", ruling.statement);
}
