//! Trapped air: is the probability that gas is still in the circuit small enough?

use crate::analysis::Analysis;
use crate::analysis::opening::State;
use crate::analysis::trapped_air::signs::Group;
use crate::analysis::trapped_air::{Signature, TrappedAir, Where};
use crate::channel::Channel;
use crate::estimate::spoken::{clock, number};
use crate::run::{Occasion, Run};
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the probability of trapped air.
pub fn judge(run: &Run, analysis: &Analysis) -> Ruling {
    let air = &analysis.trapped_air;
    let pressed_in = analysis.level_loss.rises_again();
    let decision = match within(&air.probability, 0.0, limits::TRAPPED_AIR_AT_MOST) {
        // A log that ends before the signs could show has not shown that there are none; gas that is pressed in never runs out.
        Decision::Pass if !air.could_tell() || pressed_in => Decision::Inconclusive,
        decided => decided,
    };
    let mut sentences = vec![chance(air)];
    if pressed_in {
        sentences.push("The cold level that rises says that gas is pressed in all the same.".to_owned());
    } else if !air.could_tell() {
        sentences.push(cannot_tell(run, analysis.opening.state).to_owned());
    } else if decision == Decision::Inconclusive {
        sentences.push("The interval reaches past that, so it is not settled.".to_owned());
    }
    // Where the evidence as a whole speaks against air, single signs only confuse.
    let seen: Vec<String> = air.signatures.iter().filter(|_| air.likelihood_ratio > 1.0).filter_map(|sign| words(air, sign)).collect();
    if !seen.is_empty() {
        sentences.push(format!("What speaks for air: {}.", seen.join("; ")));
    }
    let place = match air.place {
        Where::Sensor => "the sensor, high in the engine",
        Where::Thermostat => "the thermostat",
        Where::Heater => "the heater",
        Where::RadiatorTop => "the top of the radiator",
        Where::None | Where::Unknown => "",
    };
    if decision != Decision::Pass && !place.is_empty() {
        sentences.push(format!("The signs point to {place}."));
    }
    Ruling::new(Topic::TrappedAir, decision, sentences.join(" "), &advice(run, analysis, decision))
}

/// The probability with its limit, as a sentence.
fn chance(air: &TrappedAir) -> String {
    let [from, to] = air.probability.interval_95;
    format!(
        "The chance that more than {:.0} mL of air is still in the system is {} (95 % interval {} to {}), calibrated on simulated runs; before this \
         drive it was put at {}. It should be {} at most.",
        air.threshold,
        per_cent(air.probability.value),
        digits(from),
        per_cent(to),
        per_cent(air.prior),
        per_cent(limits::TRAPPED_AIR_AT_MOST),
    )
}

/// Why the records cannot show air.
fn cannot_tell(run: &Run, opening: State) -> &'static str {
    match opening {
        _ if run.trace(Channel::CoolantTemperature).is_none() => "There is no log of the drive that could show it.",
        State::NotReached => "The thermostat did not open, so coolant did not go round the radiator: air there cannot show.",
        _ => "The log holds too little of the drive after the opening for air to show.",
    }
}

/// What to do, less what the notes say was done.
fn advice(run: &Run, analysis: &Analysis, decision: Decision) -> Vec<Advice> {
    let has = |occasion: Occasion| run.levels.iter().any(|note| note.occasion == occasion);
    let mut steps = match decision {
        Decision::Recheck => vec![Advice::BleedAgain, Advice::FastIdle, Advice::FillByVacuum, Advice::AnotherCycle],
        Decision::Inconclusive if analysis.level_loss.rises_again() => vec![Advice::CombustionTest],
        Decision::Inconclusive => {
            let signs = analysis.trapped_air.likelihood_ratio > 1.0 && !analysis.trapped_air.signatures.is_empty();
            let first = signs.then_some(Advice::BleedAgain);
            let next = if analysis.trapped_air.could_tell() { Advice::AnotherCycle } else { Advice::RecordFromCold };
            first.into_iter().chain([Advice::NoteLevels, next, Advice::NoteRefill]).collect()
        }
        Decision::Pass | Decision::NotJudged => Vec::new(),
    };
    let by_vacuum = run.levels.iter().any(|note| note.occasion == Occasion::Filled && note.method.as_deref() == Some("vacuum"));
    steps.retain(|step| match step {
        Advice::FillByVacuum => !by_vacuum,
        Advice::NoteRefill => !(has(Occasion::Drained) && has(Occasion::Filled)),
        Advice::NoteLevels => !(has(Occasion::ColdBefore) && has(Occasion::HotAfterDrive) && has(Occasion::ColdAfter)),
        _ => true,
    });
    steps
}

/// A sign in words, with what was measured and when.
fn words(air: &TrappedAir, signature: &Signature) -> Option<String> {
    let seen = &air.seen;
    let between = signature.at_s.map_or(String::new(), |[from, to]| format!(", between {} and {}", clock(from), clock(to)));
    Some(match signature.group {
        Group::Changes => {
            let changes = seen.changes()?;
            let most = changes.greatest.first().map_or(changes.rise, |[_, rise]| *rise);
            format!("readings up to {} K above what the drive explains within 15 s{between}", number(most, 1))
        }
        Group::Bursts => "sharp changes in bursts, as when slugs of vapour pass the sensor".to_owned(),
        Group::Overshoot => {
            let excess = seen.overshoot?.excess;
            format!("an overshoot at the opening, {} K more than the wax's lag explains{between}", number(excess.value, 1))
        }
        Group::Heater => "a heater outlet that goes cold and warm again with the revs".to_owned(),
        Group::Gulps => format!("a level that fell in steps, {} mL in all{between}", number(seen.gulped()?, 0)),
        Group::Fill => format!("{} less filled than drained, at one temperature", seen.fill?.spoken()),
        Group::HotLevel => {
            let short = seen.hot?.value;
            format!("a hot level {} mL {} expectation", number(short.abs(), 0), if short > 0.0 { "below" } else { "above" })
        }
        Group::LaterLoss => format!("a cold level that fell again, by {} mL", number(seen.later_loss?.value, 0)),
    })
}

/// A probability in per cent.
fn per_cent(share: f64) -> String {
    format!("{} %", digits(share))
}

/// Its number: whole per cent, one decimal below 1 %.
fn digits(share: f64) -> String {
    match 100.0 * share {
        hundredths if hundredths < 0.1 => "under 0.1".to_owned(),
        hundredths if hundredths < 1.0 => number(hundredths, 1),
        hundredths => number(hundredths.min(99.0), 0),
    }
}
