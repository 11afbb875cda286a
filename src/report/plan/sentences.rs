//! What each step of the sheet says.

use super::{Work, due, pours, remarks};
use crate::estimate::Estimate;
use crate::estimate::spoken::number;
use crate::planning::coming_drive::StopSign;
use crate::planning::figure::{Figure, percent, volume};
use crate::planning::job::{Drains, Job, Wanted};
use crate::planning::rounds::{Needed, Reach};
use crate::planning::{Plan, Remark};

/// A plan and what it was made from.
pub(super) struct Stated<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What was asked.
    pub job: &'a Job,
}

impl Stated<'_> {
    /// First of all: what to pour, and what that makes.
    pub fn answer(&self) -> Vec<String> {
        let run = if self.plan.rounds.len() > 1 { ", with a run between" } else { "" };
        let mut answer = vec![format!("Pour {}{run}.", pours::all(&self.plan.rounds, self.job)), self.makes()];
        answer.extend(self.plan.remarks.iter().filter(|remark| remarks::foremost(remark)).map(Remark::spoken));
        answer
    }

    /// What the hands do.
    pub fn does(&self, work: Work) -> Vec<String> {
        match work {
            Work::Plan => vec![self.asked()],
            Work::Drain => self.drain(),
            Work::Fill => self.fill(),
            Work::WarmUp => self.warm_up(),
            Work::Settle => vec![format!(
                "Drive until the reading has held steady for ten minutes: expected about {}.",
                self.plan.coming_drive.holds.spoken_whole()
            )],
            Work::HotReading => vec![self.hot_reading()],
            Work::CoolDown => self.cool_down(),
            Work::ColdReading => vec![
                "On the same spot, read the level cold before anything is opened. Then top up cold to the mark with the final mixture, and \
                 note how much."
                    .to_owned(),
            ],
            Work::Look => vec![
                "Engine off and cold, underside dry and clean: look at hoses, clamps, radiator, pump and drains, and for a damp floor \
                 inside under the heater. If the loss goes on, have a competent person pressure-test it, cold."
                    .to_owned(),
            ],
            Work::Decide => vec![
                "Type the notes into a file, and check: wellbled check LOG --levels NOTES --vehicle FILE. Pass: hand it back. Otherwise do what \
                 it says, then one more heat cycle, on a new card."
                    .to_owned(),
            ],
            Work::NextYear => self.next_year(),
        }
    }

    /// What there is to know besides.
    pub fn tells(&self, work: Work) -> Vec<String> {
        match work {
            Work::Plan => [self.strength(), self.freezing(), self.boiling(), self.one_round(), self.old_left(), self.needed(), self.used()]
                .into_iter()
                .flatten()
                .collect(),
            Work::HotReading => self.growth().into_iter().collect(),
            Work::CoolDown => vec!["Never leave the ignition on for hours to record it: two readings, before and after, serve.".to_owned()],
            // The last two of them are said elsewhere: when it is due, and that the maker's schedule outranks it.
            Work::NextYear => self.plan.interval.iter().flat_map(|interval| interval.reasoning().into_iter().rev().skip(2).rev()).collect(),
            _ => Vec::new(),
        }
    }

    fn makes(&self) -> String {
        let relied_on = match self.plan.protection.relied_on() {
            Some(celsius) => format!("; rely on it down to {} °C", number(celsius.ceil(), 0)),
            None => "; beyond 60 % no freezing point is published".to_owned(),
        };
        format!("That makes {}{relied_on}.", percent(&self.plan.strength))
    }

    fn asked(&self) -> String {
        let wanted = match (&self.job.wanted, &self.plan.wanted) {
            (Some(Wanted::ProtectedTo(point)), Some(share)) => {
                format!(" Wanted: protection down to {} °C, which takes {}.", number(point.celsius(), 0), percent(share))
            }
            (_, Some(share)) => format!(" Wanted: {}.", percent(share)),
            _ => String::new(),
        };
        format!("System: {}. In it now: {}.{wanted}", volume(&self.plan.capacity), percent(&self.plan.present))
    }

    fn drain(&self) -> Vec<String> {
        let open = match self.job.drain.opened {
            Some(Drains::RadiatorOnly) => "Open the radiator's drain; the block stays full.",
            Some(Drains::RadiatorAndBlock) => "Open the drains of radiator and block.",
            None => "Open the drains.",
        };
        let out = volume(&self.plan.drained);
        let expected = match self.job.drain.measured {
            Some(_) => format!("Reckoned: {out} at 20 °C"),
            None => format!("Expect {out}"),
        };
        vec![format!("{open} Catch and measure what comes out, and look at it. {expected}; {} stay in.", pours::amount(&self.plan.left))]
    }

    fn fill(&self) -> Vec<String> {
        let rounds = &self.plan.rounds;
        let mut does: Vec<String> = (0..rounds.len()).map(|index| pours::round(index, rounds, self.job)).collect();
        does.push("Nose up, filler highest, bleed points open: pour slowly until no more bubbles come, then close them.".to_owned());
        does.push(self.makes());
        does
    }

    fn warm_up(&self) -> Vec<String> {
        let drive = &self.plan.coming_drive;
        let signs: Vec<String> = drive.stop_at.iter().map(|sign: &StopSign| sign.spoken()).collect();
        let (last, first) = signs.split_last().map_or((String::new(), String::new()), |(last, first)| (last.clone(), first.join(", ")));
        vec![
            format!(
                "Close the cap and note the level cold. Start the recorder, then the engine; heaters full hot, front and rear. Idle a \
                 little, then drive gently: the thermostat should open at {}.",
                drive.opens.spoken_whole()
            ),
            format!("Stop at {first}, or {last}, whichever comes first."),
        ]
    }

    fn hot_reading(&self) -> String {
        let drive = &self.plan.coming_drive;
        let rise = match (&drive.level_rise_mm, &drive.level_rise) {
            (Some(mm), _) => format!(" Expected is {} above cold.", figure(mm, 0)),
            (None, Some(rise)) => format!(" Expected is {} above cold.", volume(rise)),
            (None, None) => String::new(),
        };
        format!("Park where the cold level was read; read it again from outside, cap closed.{rise}")
    }

    fn growth(&self) -> Option<String> {
        let drive = &self.plan.coming_drive;
        match (&drive.level_rise, &drive.because) {
            (Some(rise), _) => {
                let in_ml = drive.level_rise_mm.as_ref().map(|_| format!("The rise is {}. ", volume(rise)));
                let growth = drive.coolant_growth.as_ref().map(|growth| format!("All coolant grows by {}. ", volume(growth)));
                let account = in_ml.unwrap_or_default() + &growth.unwrap_or_default();
                Some(format!("{account}What the level falls short of may be coolant that went in to replace air."))
            }
            (None, Some(because)) => Some(format!("How far the level should rise is not known: {because}.")),
            (None, None) => None,
        }
    }

    fn cool_down(&self) -> Vec<String> {
        let wait = match &self.plan.coming_drive.cold_after {
            Some(wait) => format!("Ignition off. A level counts as cold after about {}, or overnight.", wait.spoken()),
            None => "Ignition off. Leave it overnight.".to_owned(),
        };
        vec![format!("{wait} This says nothing about opening.")]
    }

    fn next_year(&self) -> Vec<String> {
        let after = self.plan.interval.as_ref().map(|interval| interval.reasoning());
        let due = self.plan.interval.as_ref().and_then(due);
        let both = self.plan.interval.as_ref().is_some_and(|interval| interval.due_odometer.is_some() && interval.due_date.is_some());
        let first = if both { ", whichever comes first" } else { "" };
        let coolant = match (due, after) {
            (Some(due), _) => format!("Coolant due: {due}{first}."),
            (None, Some(reasons)) => reasons.into_iter().rev().nth(1).unwrap_or_default(),
            (None, None) => "Take the coolant's next date from its label or the maker's schedule.".to_owned(),
        };
        vec![format!("{coolant} In a year, the same drive again with its levels.")]
    }

    fn strength(&self) -> Option<String> {
        Some(format!("In the end it has {} by volume, {} by mass.", percent(&self.plan.strength), percent(&self.plan.strength_by_mass)))
    }

    fn freezing(&self) -> Option<String> {
        let protection = &self.plan.protection;
        let by = [("ASHRAE's table", &protection.freezing_ashrae), ("Melinder's polynomial", &protection.freezing_melinder)];
        let by: Vec<String> =
            by.into_iter().filter_map(|(name, point)| Some(format!("{} by {name}", point.as_ref()?.spoken_value()))).collect();
        let band = protection.freezing.as_ref()?;
        Some(format!("First ice at {}: {}. The warm end is what to rely on.", band.spoken(), by.join(", ")))
    }

    fn boiling(&self) -> Option<String> {
        let protection = &self.plan.protection;
        let air = protection.boils_at_air.as_ref()?;
        let at_cap = protection.boils_at_cap.as_ref().map(|at| format!("; at the cap's pressure at {}, a ceiling", at.spoken_whole()));
        Some(format!("It boils at {} at local air pressure{}.", air.spoken_whole(), at_cap.unwrap_or_default()))
    }

    fn one_round(&self) -> Option<String> {
        let what = pours::product(self.job);
        let strongest = percent(&self.plan.strongest_in_one);
        self.plan.reached_in_one.map(|reach| match reach {
            Reach::Yes => format!("One round reaches what is wanted: with {what} alone it would come to {strongest}."),
            Reach::Unsettled => format!("Whether one round reaches what is wanted is open: with {what} alone it comes to {strongest}."),
            Reach::No => format!("One round does not reach what is wanted: with {what} alone it comes to {strongest}."),
        })
    }

    fn old_left(&self) -> Option<String> {
        let left = self.plan.old_left.iter().enumerate().map(|(index, left)| match index {
            0 => format!("{} after one drain", percent(left)),
            _ => format!("{} after {}", percent(left), index + 1),
        });
        let left: Vec<String> = left.collect();
        (!left.is_empty()).then(|| format!("Old coolant left, with a run between: {}.", left.join(", ")))
    }

    fn needed(&self) -> Option<String> {
        let Needed { wanted_new, drains, drains_95: [few, many] } = self.plan.needed.as_ref()?;
        let wanted = format!("{} % of new coolant", number(100.0 * wanted_new, if *wanted_new > 0.99 { 1 } else { 0 }));
        Some(match (drains, few, many) {
            (Some(drains), Some(few), Some(many)) => format!("{wanted} takes {drains} drains ({few} to {many})."),
            (Some(drains), ..) => format!("{wanted} takes {drains} drains, or many more if less comes out than was reckoned."),
            (None, ..) => format!("{wanted} is out of reach: too little comes out each time."),
        })
    }

    fn used(&self) -> Option<String> {
        let cost = self.plan.cost.as_ref().map(|cost| format!(", for {}", figure(cost, if cost.value < 10.0 { 2 } else { 0 })));
        let more = self.plan.rounds.len() > 1;
        if cost.is_none() && !more {
            return None;
        }
        let water: &Estimate = &self.plan.water_used;
        let product = format!("{} of {}{}", volume(&self.plan.product_used), pours::product(self.job), cost.unwrap_or_default());
        let water = if more && water.value > 0.0 { format!("; and {} of water", volume(water)) } else { String::new() };
        Some(format!("It takes {product}{water}."))
    }
}

/// A figure with its interval: `17 mm (10 to 23)`.
fn figure(of: &Figure, decimals: usize) -> String {
    let [low, high] = of.interval_95.map(|end| number(end, decimals));
    let value = format!("{} {}", number(of.value, decimals), of.unit);
    if of.standard_uncertainty > 0.0 { format!("{value} ({low} to {high})") } else { value }
}
