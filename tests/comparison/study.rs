//! What a comparison says of made pairs, beside what is true of them.

use super::pairs::{self, Drive, Pair};
use std::ops::Range;
use wellbled::comparison::{self, Comparison, Decision, Measure, compare};
use wellbled::rehearsal::scenario::Fault;
use wellbled::rehearsal::truth::Opening;
use wellbled::rehearsal::{Truth, rehearse};
use wellbled::vehicle::Side;

/// One pair's answers.
pub struct Case {
    pub change: Option<Fault>,
    pub side: Side,
    pub comparison: Comparison,
    /// Whether both drives truly show the valve opening.
    pub both_open: bool,
    /// Each measure's true difference of the vehicle's, where it is known.
    truths: Vec<(Measure, f64)>,
    /// Width that √(u² + v²) of the two openings as reported would give, K.
    pub plain_width: Option<f64>,
}

impl Case {
    pub fn truth(&self, measure: Measure) -> Option<f64> {
        self.truths.iter().find(|(of, _)| *of == measure).map(|(_, truth)| *truth)
    }
}

/// The pairs of these seeds, without those whose log is refused.
pub fn cases(seeds: Range<u64>, pair: impl Fn(u64) -> Pair) -> Vec<Case> {
    seeds.filter_map(|seed| case(&pair(seed))).collect()
}

fn case(pair: &Pair) -> Option<Case> {
    let (earlier, later) = (pairs::drive(&pair.earlier)?, pairs::drive(&pair.later)?);
    let unchanged = if pair.change.is_some() { rehearse(&pair.later_unchanged()).truth } else { later.truth.clone() };
    let comparison = compare(of(&earlier), of(&later));
    let opened = |drive: &Drive| drive.truth.opening == Opening::Opened;
    let widths = [&earlier, &later].map(|drive| drive.analysis.opening.temperature.map(|t| t.interval_95[1] - t.interval_95[0]));
    Some(Case {
        change: pair.change,
        side: pair.earlier.valve.side,
        both_open: opened(&earlier) && opened(&later),
        truths: truths(pair.change, &earlier.truth, &later.truth, &unchanged),
        plain_width: widths[0].zip(widths[1]).map(|(then, now)| then.hypot(now)),
        comparison,
    })
}

pub fn of(drive: &Drive) -> comparison::Drive<'_> {
    comparison::Drive { name: &drive.run.source, run: &drive.run, analysis: &drive.analysis }
}

/// What the change did to the vehicle, measure by measure. For the band it is the later drive against itself without the change; a rise or a
/// heat balance has no truth of its own, so it is known (nothing) only where the change does not touch it.
fn truths(change: Option<Fault>, then: &Truth, now: &Truth, unchanged: &Truth) -> Vec<(Measure, f64)> {
    let offset = now.sensor_offset - then.sensor_offset;
    let mut known = vec![(Measure::SensorOffset, offset), (Measure::LevelLoss, now.levels.loss_at_20 - then.levels.loss_at_20)];
    if then.opening == Opening::Opened && now.opening == Opening::Opened {
        known.push((Measure::Opening, now.starts_to_lift - then.starts_to_lift + offset));
    }
    if let (Some(with), Some(without)) = (now.band, unchanged.band) {
        known.extend([(Measure::BandLow, with[0] - without[0]), (Measure::BandHigh, with[1] - without[1])]);
    }
    let stuck = matches!(change, Some(Fault::StuckOpen(_)));
    if !stuck && offset.abs() < 1e-9 {
        known.extend([(Measure::HeatCapacity, 0.0), (Measure::HeatLoss, 0.0), (Measure::CoolingDown, 0.0)]);
    }
    if matches!(change, None | Some(Fault::LeakHot(_) | Fault::SensorOffset(_))) {
        known.extend([(Measure::RiseStanding, 0.0), (Measure::RiseMoving, 0.0)]);
    }
    known
}

/// How the answers of one measure fare.
#[derive(Debug, Default, Clone, PartialEq)]
pub struct Score {
    pub compared: usize,
    pub known: usize,
    pub held: usize,
    /// "Changed" where the truth lies within the margin, out of so many.
    pub false_changed: usize,
    pub within: usize,
    pub alike: usize,
    pub median_width: f64,
}

impl Score {
    pub fn of(cases: &[Case], measure: Measure) -> Self {
        let mut score = Self::default();
        let mut widths = Vec::new();
        for case in cases {
            let Some(change) = case.comparison.change(measure) else { continue };
            score.compared += 1;
            let Some(difference) = change.difference else {
                // A state that is said to have changed while the valve truly opens as it did.
                let alike = case.truth(measure).is_some_and(|truth| truth.abs() <= change.margin);
                score.within += usize::from(alike);
                score.false_changed += usize::from(alike);
                continue;
            };
            widths.push(difference.interval_95[1] - difference.interval_95[0]);
            let Some(truth) = case.truth(measure) else { continue };
            score.known += 1;
            score.held += usize::from((difference.interval_95[0]..=difference.interval_95[1]).contains(&truth));
            if truth.abs() <= change.margin {
                score.within += 1;
                score.false_changed += usize::from(change.decision == Decision::Changed);
                score.alike += usize::from(change.decision == Decision::Alike);
            }
        }
        widths.sort_by(f64::total_cmp);
        score.median_width = widths.get(widths.len() / 2).copied().unwrap_or(f64::NAN);
        score
    }

    pub fn coverage(&self) -> f64 {
        self.held as f64 / self.known.max(1) as f64
    }

    pub fn false_share(&self) -> f64 {
        self.false_changed as f64 / self.within.max(1) as f64
    }
}

/// The table of all measures, as the page has it.
pub fn table(cases: &[Case]) -> String {
    let mut text =
        "| measure | pairs | interval holds | median width | false \"changed\" | \"alike\" where it is |\n|---|---|---|---|---|---|\n"
            .to_owned();
    for measure in Measure::ALL {
        let score = Score::of(cases, measure);
        if score.known > 0 {
            text.push_str(&format!(
                "| `{}` | {} | {:.1} % of {} | {:.2} | {:.1} % of {} | {:.0} % |\n",
                measure.id(),
                score.compared,
                100.0 * score.coverage(),
                score.known,
                score.median_width,
                100.0 * score.false_share(),
                score.within,
                100.0 * score.alike as f64 / score.within.max(1) as f64
            ));
        }
    }
    text
}
