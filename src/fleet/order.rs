//! Worst first: which log a workshop looks at before the others, and which of its reasons is named.
//!
//! Recheck, inconclusive, pass, then what could not be read. Within a verdict by how urgent its main reason is ([`URGENCY`], our own
//! choice: what can strand or scald comes first), then the likelier trapped air, then by name. Nothing else has a say, so the order is the
//! same however the rows came together.

use super::number::AIR;
use super::row::{Row, Said};
use crate::verdict::decision::{Decision, Verdict};
use crate::verdict::ruling::{NEEDED, Topic};
use std::cmp::Ordering;

/// Findings, most urgent first: near boiling, heat that is not carried off, coolant that goes away, air, then what the thermostat does,
/// then what only blurs the answer.
pub const URGENCY: [Topic; 8] = [
    Topic::BoilingMargin,
    Topic::HeatRejection,
    Topic::LevelLoss,
    Topic::TrappedAir,
    Topic::LevelExpansion,
    Topic::Regulation,
    Topic::Opening,
    Topic::SensorOffset,
];

/// Place in [`URGENCY`]; what is not known comes last.
fn urgency(topic: Option<Topic>) -> usize {
    topic.and_then(|topic| URGENCY.iter().position(|one| *one == topic)).unwrap_or(URGENCY.len())
}

/// The most urgent of the reasons that make the verdict what it is. Of a pass, and of an answer that is open only because something was
/// not recorded, that is one of the findings that a pass needs.
pub fn deciding<'a>(verdict: Verdict, said: &'a [Said<'a>]) -> Option<&'a Said<'a>> {
    let needed = |said: &&Said| Topic::from_finding(said.finding).is_some_and(|topic| NEEDED.contains(&topic));
    let most_urgent = |decision: Decision| {
        let decided = said.iter().filter(move |said| said.decision == decision);
        decided.min_by_key(|said| urgency(Topic::from_finding(said.finding)))
    };
    let most_urgent_needed = |decision: Decision| {
        let decided = said.iter().filter(needed).filter(|said| said.decision == decision);
        decided.min_by_key(|said| urgency(Topic::from_finding(said.finding)))
    };
    match verdict {
        Verdict::Recheck => most_urgent(Decision::Recheck),
        Verdict::Inconclusive => most_urgent(Decision::Inconclusive).or_else(|| most_urgent_needed(Decision::NotJudged)),
        Verdict::Pass => most_urgent_needed(Decision::Pass),
    }
}

/// Puts the worst row first.
pub fn worst_first(rows: &mut [Row]) {
    rows.sort_by(compare);
}

/// Which of two rows comes first.
pub fn compare(one: &Row, other: &Row) -> Ordering {
    let place = |row: &Row| match row.found().map(|found| found.verdict) {
        Some(Verdict::Recheck) => 0,
        Some(Verdict::Inconclusive) => 1,
        Some(Verdict::Pass) => 2,
        None => 3,
    };
    let urgent = |row: &Row| row.found().map_or(0, |found| urgency(found.main.topic));
    let air = |row: &Row| row.found().and_then(|found| found.number(AIR)).map_or(0.0, |air| air.value);
    let named = |row: &Row| (row.log.clone(), row.sha256.clone(), row.vehicle_file.clone(), row.levels_file.clone());
    place(one)
        .cmp(&place(other))
        .then_with(|| urgent(one).cmp(&urgent(other)))
        .then_with(|| air(other).total_cmp(&air(one)))
        .then_with(|| named(one).cmp(&named(other)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_finding_has_its_urgency() {
        assert!(Topic::ALL.iter().all(|topic| URGENCY.contains(topic)));
    }

    #[test]
    fn the_main_reason_is_the_most_urgent_that_decides() {
        let said = |finding: &'static str, decision: Decision| Said { finding, decision, statement: "", advice: None };
        use Decision::{Inconclusive, NotJudged, Pass, Recheck};
        let all =
            [said("opening", Recheck), said("trapped_air", Recheck), said("boiling_margin", Inconclusive), said("regulation", NotJudged)];
        assert_eq!(deciding(Verdict::Recheck, &all).map(|said| said.finding), Some("trapped_air"));
        assert_eq!(deciding(Verdict::Inconclusive, &all).map(|said| said.finding), Some("boiling_margin"));
        let unjudged = [said("heat_rejection", NotJudged), said("regulation", NotJudged), said("trapped_air", Pass)];
        assert_eq!(deciding(Verdict::Inconclusive, &unjudged).map(|said| said.finding), Some("regulation"));
        let passed = [said("boiling_margin", Pass), said("opening", Pass), said("trapped_air", Pass)];
        assert_eq!(deciding(Verdict::Pass, &passed).map(|said| said.finding), Some("trapped_air"));
    }
}
