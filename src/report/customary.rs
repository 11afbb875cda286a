//! A report in US customary units, for whoever thinks in them.
//!
//! Numbers are converted by value, and so are curves and axes; what stands inside finished sentences is converted from its printed
//! digits, unless they are an estimate that the report holds ([`sentence`]). Estimates, findings and channels stay in SI, so that JSON and CSV are the same whatever people read. Names,
//! published sources and quotations are nobody's to rewrite.

pub mod scale;
pub mod sentence;

use super::document::{Account, AccountRow, Chart, Document, Panel, Words};
use super::moved::Moved;
use super::summary::Facts;
use crate::estimate::{Estimate, Unit};
use scale::Scale;
use sentence::{Known, converted};

/// The report with everything that people read in °F, fl oz, qt, gal, mi, mph, psi and in.
pub fn document(document: &Document) -> Document {
    let mut document = document.clone();
    let rewriter = Rewriter { known: known(estimates(&document)) };
    rewriter.document(&mut document);
    document
}

/// The customer's facts in the same units; what was typed in them stays.
pub fn facts(facts: &Facts) -> Facts {
    let mut facts = facts.clone();
    let rewriter = Rewriter { known: Known::default() };
    let measured = [&mut facts.odometer, &mut facts.coolant, &mut facts.volumes, &mut facts.next_due];
    measured.into_iter().flatten().for_each(|fact| rewriter.text(fact));
    facts
}

/// What moved, in customary units.
pub fn moved(moved: &Moved) -> Moved {
    let mut moved = moved.clone();
    let rows = moved.account.parts.iter().flat_map(|part| &part.rows);
    let rewriter = Rewriter { known: known(rows.filter_map(|row| row.estimate.as_ref())) };
    std::iter::once(&mut moved.headline).chain(&mut moved.steps).chain(&mut moved.cautions).for_each(|text| rewriter.text(text));
    rewriter.account(&mut moved.account);
    moved.chart.iter_mut().for_each(|chart| rewriter.chart(chart));
    moved
}

/// An estimate as people read it in customary units; a time or a share stays as it is.
pub fn words(estimate: &Estimate) -> Words {
    let Some(scale) = scale_of(estimate.unit) else { return Words::of(estimate) };
    let spread = Estimate { standard_uncertainty: scale.span(estimate.standard_uncertainty), ..*estimate };
    written(&scale, estimate, spread.decimals())
}

fn written(scale: &Scale, estimate: &Estimate, decimals: usize) -> Words {
    let [low, high] = estimate.interval_95.map(|end| scale.written(end, decimals));
    Words { value: format!("{} {}", scale.written(estimate.value, decimals), scale.customary), interval: format!("{low} to {high}") }
}

fn scale_of(unit: Unit) -> Option<Scale> {
    Scale::named(unit.spoken().trim_start())
}

/// Every estimate of a report.
fn estimates(document: &Document) -> impl Iterator<Item = &Estimate> {
    let rows = document.level_account.iter().chain(&document.differences).flat_map(|account| &account.parts).flat_map(|part| &part.rows);
    document.measures.iter().map(|measure| &measure.estimate).chain(rows.filter_map(|row| row.estimate.as_ref()))
}

/// Estimates in the two ways in which sentences give them with their intervals.
fn known<'a>(estimates: impl Iterator<Item = &'a Estimate>) -> Known {
    let mut known = Known::default();
    let bracketed = |words: Words| format!("{} ({})", words.value, words.interval);
    for estimate in estimates {
        let Some(scale) = scale_of(estimate.unit) else { continue };
        known.add(estimate.spoken(), bracketed(words(estimate)));
        known.add(estimate.spoken_whole(), bracketed(written(&scale, estimate, 0)));
    }
    known
}

/// Goes through a report and rewrites what people read.
struct Rewriter {
    known: Known,
}

impl Rewriter {
    fn text(&self, text: &mut String) {
        *text = converted(text, &self.known);
    }

    fn document(&self, document: &mut Document) {
        let text = |text: &mut String| self.text(text);
        document.run.defects.iter_mut().for_each(|defect| text(&mut defect.effect));
        text(&mut document.headline);
        [&mut document.summary, &mut document.cautions, &mut document.next_steps].into_iter().flatten().for_each(text);
        for reason in &mut document.reasons {
            text(&mut reason.statement);
            reason.advice.iter_mut().for_each(text);
        }
        for measure in &mut document.measures {
            text(&mut measure.label);
            measure.words = words(&measure.estimate);
        }
        document.level_account.iter_mut().chain(&mut document.differences).for_each(|account| self.account(account));
        for section in &mut document.method {
            text(&mut section.title);
            section.paragraphs.iter_mut().for_each(text);
        }
        std::iter::once(&mut document.chart).chain(&mut document.overlay).for_each(|chart| self.chart(chart));
    }

    fn account(&self, account: &mut Account) {
        for part in &mut account.parts {
            self.text(&mut part.title);
            part.rows.iter_mut().for_each(|row| self.row(row));
        }
        account.remarks.iter_mut().chain(&mut account.in_brief).for_each(|sentence| self.text(sentence));
    }

    fn row(&self, row: &mut AccountRow) {
        self.text(&mut row.label);
        match &row.estimate {
            Some(estimate) if scale_of(estimate.unit).is_some() => {
                let sign = if row.words.value.starts_with('+') { "+" } else { "" };
                row.words = words(estimate);
                row.words.value.insert_str(0, sign);
            }
            _ => self.text(&mut row.words.value),
        }
    }

    fn chart(&self, chart: &mut Chart) {
        self.text(&mut chart.description);
        chart.phases.iter_mut().for_each(|phase| self.text(&mut phase.name));
        chart.panels.iter_mut().for_each(|panel| self.panel(panel));
    }

    fn panel(&self, panel: &mut Panel) {
        self.text(&mut panel.label);
        panel.curves.iter_mut().for_each(|curve| self.text(&mut curve.name));
        panel.bands.iter_mut().for_each(|band| self.text(&mut band.name));
        panel.marks.iter_mut().for_each(|mark| self.text(&mut mark.name));
        let Some(scale) = Scale::named(&panel.unit) else { return };
        panel.unit = scale.customary.to_owned();
        panel.curves.iter_mut().flat_map(|curve| &mut curve.points).for_each(|point| point.1 = scale.of(point.1));
        for band in &mut panel.bands {
            (band.low, band.high) = (scale.of(band.low), scale.of(band.high));
        }
        for mark in &mut panel.marks {
            mark.value = mark.value.map(|value| scale.of(value));
            mark.value_interval = mark.value_interval.map(|ends| ends.map(|end| scale.of(end)));
        }
    }
}
