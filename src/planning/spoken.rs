//! How each remark is said.

use super::circuit::DrainFits;
use super::figure::{percent, volume};
use super::remarks::Remark;
use crate::estimate::Estimate;
use crate::estimate::spoken::number;

impl Remark {
    /// As sentences for the person.
    pub fn spoken(&self) -> String {
        let share = |share: &f64| format!("{:.0} %", 100.0 * share);
        match self {
            Self::LogBefore => {
                "Before the work, log one drive from cold until the reading holds, and note the level cold, hot and cold again: \
                 it becomes this vehicle's own baseline for the check afterwards."
                    .to_owned()
            }
            Self::PresentAssumed { strength } => format!(
                "What is in the system was not stated; {} was assumed. A refractometer reading of the old coolant, cold, makes \
                 the volumes sharper.",
                percent(strength)
            ),
            Self::BlockStaysFull => {
                "With the radiator's drain alone the block stays full: half of the old coolant or more stays in it.".to_owned()
            }
            Self::DrainLooksLike { drained_share, looks_like } => drain_looks_like(drained_share, *looks_like),
            Self::RunBetweenRounds => {
                "Between two rounds run the engine until the thermostat has opened and the heater blows hot, and let it go cold: \
                 without a run the next drain brings out what was just poured in."
                    .to_owned()
            }
            Self::ConcentrateFirst => {
                "Pour the concentrate first, or mix it beforehand, then water up to the mark; soft or deionised water (common \
                 practice). So an error of the pan does not change the strength."
                    .to_owned()
            }
            Self::LostOnMixing { volume: lost } => {
                format!("Mixing loses about {}: have some of the final mixture ready to top up.", volume(lost))
            }
            Self::NotInOneRound { strongest, wanted } => format!(
                "One round cannot reach {}: too much stays. Even with no water it comes to {} only. Drain more, or repeat after a \
                 run.",
                share(wanted),
                percent(strongest)
            ),
            Self::PerhapsNotInOneRound { strongest, wanted } => format!(
                "One round may just miss {}: with no water it comes to {}. Measure what comes out, and check the strength after \
                 the drive.",
                share(wanted),
                percent(strongest)
            ),
            Self::StaysWeaker { strength, wanted } => {
                format!("In the end it has {}, less than the {} that is wanted.", percent(strength), share(wanted))
            }
            Self::StaysStronger { strength, wanted } => format!(
                "What stays is strong: with water alone it has {} in the end, more than the {} that is wanted. Water has no \
                 inhibitors: ask what the maker states before filling with water alone.",
                percent(strength),
                share(wanted)
            ),
            Self::CheckStrength { wanted_degc, relied_on_degc } => format!(
                "Protection down to {} °C is wanted; with what is known of the volumes and of the old coolant only {} °C is \
                 certain. Check the strength with a refractometer after the first drive, cold.",
                number(*wanted_degc, 0),
                number(relied_on_degc.ceil(), 0)
            ),
            Self::TooStrong { strength } => format!(
                "{} is or may be too strong: the published tables end at 60 %, and beyond that protection against frost no longer \
                 grows and then falls (from memory). It also carries heat less well. Pour less concentrate.",
                percent(strength)
            ),
            Self::TooWeak { strength } => format!(
                "{} is too weak: coolants are meant for 40 to 70 % (ASTM D3306, scope), and thinner they protect metal less.",
                percent(strength)
            ),
            Self::TypesMix { old, new, old_left } => format!(
                "{} coolant meets {} coolant, and {} of the old stays: types do not mix well, and the shorter life counts. Rinse, \
                 or stay with what the maker states.",
                capitalised(old.spoken()),
                new.spoken(),
                percent(old_left)
            ),
            Self::OldTypeUnknown => {
                "The type of the old coolant is not stated. Colour does not tell it; types that do not belong together can gel \
                 (common practice): take what the maker states, or rinse first."
                    .to_owned()
            }
            Self::BasesMix { old, new } => format!(
                "{} meets {}: a refractometer of either scale then reads wrong, and freezing and boiling are given for the worse \
                 of both.",
                capitalised(old.spoken()),
                new.spoken()
            ),
            Self::AirToComeOut { air } => format!(
                "At one temperature {} less went in than came out: an estimate of the air still to come out, within what a pan \
                 tells. It is no verdict; the levels after the drive decide.",
                volume(air)
            ),
            Self::MoreWentIn { air } => {
                let more = Estimate { value: -air.value, interval_95: [-air.interval_95[1], -air.interval_95[0]], ..*air };
                format!(
                    "At one temperature {} more went in than came out: the system was low before, something was spilled or not \
                 measured, or it goes somewhere else. Look underneath.",
                    volume(&more)
                )
            }
            Self::FillAgrees { air } => format!(
                "What went in agrees with what came out within what a pan tells (the difference is {}). That is no proof that no \
                 air is left.",
                volume(air)
            ),
            Self::StateThermostat => {
                "State the thermostat's stamp and kind in the vehicle file: the expected opening is then much narrower.".to_owned()
            }
            Self::CapIsACeiling => {
                "The boiling point at the cap's pressure is a ceiling, not a promise: pressure builds up only if the cap holds \
                 and the system is tight."
                    .to_owned()
            }
            Self::LimitNearOrdinary { limit_degc } => format!(
                "This thermostat may ordinarily hold a reading near or above {limit_degc:.0} °C, where coolant boils without \
                 pressure. The maker's own limit counts; until the system is known to be tight, drive gently and stay with the \
                 reading."
            ),
            Self::AirPressureAssumed => {
                "Neither altitude nor air pressure is stated: anything from the sea to 1500 m was reckoned with; higher up it \
                 boils earlier."
                    .to_owned()
            }
            Self::AmbientAssumed => "Today's air temperature is not stated; 15 °C was assumed.".to_owned(),
            Self::WaitIsUsual => {
                "The wait until cold is what vehicles usually need (time constant one to three hours; common practice, no \
                 source). It says when a level counts as cold, not when the system may be opened."
                    .to_owned()
            }
            Self::MakersSchedule => "The maker's schedule outranks this interval.".to_owned(),
        }
    }
}

fn drain_looks_like(share: &Estimate, looks_like: DrainFits) -> String {
    let share = percent(share);
    match looks_like {
        DrainFits::LessThanRadiator => {
            format!(
                "{share} of the capacity came out, less than a radiator usually gives: a drain is blocked, or it is still \
             running."
            )
        }
        DrainFits::RadiatorOnly => {
            format!(
                "{share} of the capacity came out, what a radiator usually gives alone: the block is still full, or its drain is \
             blocked."
            )
        }
        DrainFits::RadiatorAndBlock => {
            format!(
                "{share} of the capacity came out, more than a radiator usually gives alone: check the capacity, and what else \
             ran out."
            )
        }
        DrainFits::NearlyAll => {
            format!("{share} of the capacity came out, more than drains alone usually give: check the capacity, and the pan.")
        }
        DrainFits::MoreThanCapacity => {
            format!(
                "{share} of the capacity came out: the capacity or the pan is off, so everything came out as far as it can be \
             told."
            )
        }
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
