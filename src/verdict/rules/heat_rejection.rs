//! Heat rejection: do fan and radiator keep up?

use crate::analysis::Analysis;
use crate::analysis::heat_rejection::State;
use crate::verdict::advice::Advice;
use crate::verdict::decision::Decision;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges fan and radiator.
pub fn judge(analysis: &Analysis) -> Ruling {
    let rejection = &analysis.heat_rejection;
    let (decision, advice): (Decision, &[Advice]) = match rejection.state {
        State::Ordinary => (Decision::Pass, &[]),
        State::RisesAtIdle => (Decision::Recheck, &[Advice::CheckFan]),
        State::RisesWithLoad => (Decision::Recheck, &[Advice::CheckRadiator]),
        State::NotObservable => (Decision::NotJudged, &[]),
    };
    Ruling::new(Topic::HeatRejection, decision, rejection.spoken().join(" "), advice)
}
