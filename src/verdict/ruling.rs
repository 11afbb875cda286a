//! One finding's decision with its words, and how the decisions add up.

use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, Verdict};

/// What a ruling is about: the findings of the JSON contract.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// The thermostat's opening.
    Opening,
    /// The band that the reading holds.
    Regulation,
    /// Gas left in the circuit.
    TrappedAir,
    /// Fan and radiator.
    HeatRejection,
    /// Distance to boiling.
    BoilingMargin,
    /// The coolant sensor.
    SensorOffset,
    /// The hot level.
    LevelExpansion,
    /// The cold level.
    LevelLoss,
}

impl Topic {
    /// Every finding that decides.
    pub const ALL: [Topic; 8] = [
        Topic::Opening,
        Topic::Regulation,
        Topic::TrappedAir,
        Topic::HeatRejection,
        Topic::BoilingMargin,
        Topic::SensorOffset,
        Topic::LevelExpansion,
        Topic::LevelLoss,
    ];

    /// The finding with this name in the JSON contract.
    pub fn from_finding(name: &str) -> Option<Topic> {
        Topic::ALL.into_iter().find(|topic| topic.finding() == name)
    }

    /// The finding's name in the JSON contract.
    pub fn finding(self) -> &'static str {
        match self {
            Topic::Opening => "opening",
            Topic::Regulation => "regulation",
            Topic::TrappedAir => "trapped_air",
            Topic::HeatRejection => "heat_rejection",
            Topic::BoilingMargin => "boiling_margin",
            Topic::SensorOffset => "sensor_offset",
            Topic::LevelExpansion => "level_expansion",
            Topic::LevelLoss => "level_loss",
        }
    }

    /// The finding's name in the trade's words.
    pub fn title(self) -> &'static str {
        match self {
            Topic::Opening => "Thermostat opening",
            Topic::Regulation => "Temperature held",
            Topic::TrappedAir => "Trapped air",
            Topic::HeatRejection => "Fan and radiator",
            Topic::BoilingMargin => "Distance to boiling",
            Topic::SensorOffset => "Coolant sensor",
            Topic::LevelExpansion => "Hot level",
            Topic::LevelLoss => "Cold level",
        }
    }
}

/// One finding's decision.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruling {
    /// What it is about.
    pub topic: Topic,
    /// What was decided.
    pub decision: Decision,
    /// Measured value, limit and place, as sentences.
    pub statement: String,
    /// What to do about it.
    pub advice: Vec<Advice>,
}

impl Ruling {
    /// A ruling.
    pub fn new(topic: Topic, decision: Decision, statement: impl Into<String>, advice: &[Advice]) -> Self {
        Self { topic, decision, statement: statement.into(), advice: advice.to_vec() }
    }
}

/// Findings without which nothing passes.
pub const NEEDED: [Topic; 3] = [Topic::Opening, Topic::Regulation, Topic::TrappedAir];

/// All rulings together: one recheck makes the verdict recheck; a pass needs opening, regulation and trapped air each inside and
/// nothing else outside or straddling; what was never recorded by itself stops no pass.
pub fn together(rulings: &[Ruling]) -> Verdict {
    let any = |decision: Decision| rulings.iter().any(|ruling| ruling.decision == decision);
    let passes = |topic: &Topic| rulings.iter().any(|ruling| ruling.topic == *topic && ruling.decision == Decision::Pass);
    if any(Decision::Recheck) {
        Verdict::Recheck
    } else if NEEDED.iter().all(passes) && !any(Decision::Inconclusive) {
        Verdict::Pass
    } else {
        Verdict::Inconclusive
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rulings(decisions: &[(Topic, Decision)]) -> Vec<Ruling> {
        decisions.iter().map(|(topic, decision)| Ruling::new(*topic, *decision, "", &[])).collect()
    }

    #[test]
    fn decisions_add_up_as_the_principles_say() {
        use Decision::{Inconclusive, NotJudged, Pass, Recheck};
        let needed = [(Topic::Opening, Pass), (Topic::Regulation, Pass), (Topic::TrappedAir, Pass)];
        let with = |more: &[(Topic, Decision)]| together(&rulings(&[&needed, more].concat()));
        assert_eq!(with(&[]), Verdict::Pass);
        assert_eq!(with(&[(Topic::LevelLoss, NotJudged)]), Verdict::Pass);
        assert_eq!(with(&[(Topic::LevelLoss, Inconclusive)]), Verdict::Inconclusive);
        assert_eq!(with(&[(Topic::LevelLoss, Inconclusive), (Topic::BoilingMargin, Recheck)]), Verdict::Recheck);
        assert_eq!(
            together(&rulings(&[(Topic::Opening, Pass), (Topic::Regulation, Pass), (Topic::TrappedAir, NotJudged)])),
            Verdict::Inconclusive
        );
    }
}
