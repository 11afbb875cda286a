//! The system: how much coolant there is, and how it and the cavity around it grow.
//!
//! ```text
//! coolant   V · (ρ(from)/ρ(to) − 1)                    published tables, their distance as uncertainty
//! cavity    V · κ · (T(to) − T(from))                  metal and hoses
//! pressure  V · c · p                                  hoses and plastic tank widening
//! ```
//!
//! κ is not stated by anyone who fills a system. Its metal lies between cast iron (linear 11.0·10⁻⁶/K) and aluminium (23.1·10⁻⁶/K;
//! handbook values, from memory), its hoses, an eighth of the volume, between nothing and 3·10⁻⁴/K (own choice: woven rubber).
//! Together 63·10⁻⁶/K, with an interval that reaches from iron to above aluminium: an aluminium engine takes back 11 to 12 % of what
//! half glycol grows from 20 to 90 °C.
//!
//! Limits: one coefficient for the whole circuit; what is not stated (capacity, mixture) is assumed with an uncertainty that covers
//! most cars, and named.

use super::scale::{Frame, Level};
use super::warmth::Warmth;
use crate::coolant::{Base, CoolantError, Mixture, expansion};
use crate::estimate::{Estimate, Unit};
use crate::units::{Temperature, VolumeFraction};
use crate::vehicle::{ReservoirKind, Vehicle};

/// Volume growth of the cavity, 1/K, and its standard uncertainty: see the header.
pub const CAVITY_PER_K: (f64, f64) = (6.3e-5, 1.4e-5);

/// Linear growth of cast iron and of aluminium, 1/K (handbook, from memory).
pub const METAL_LINEAR_PER_K: [f64; 2] = [11.0e-6, 23.1e-6];

/// Widening of hoses and tank with pressure, mL per kPa and litre, and its standard uncertainty (own choice: 100 kPa widen a hose of
/// reinforced rubber by 2 to 4 % of its volume, and hoses hold an eighth).
const WIDENING: (f64, f64) = (0.04, 0.015);

/// Capacity, in L, and its standard uncertainty where none is stated: cars hold 5 to 12 L (common practice, no source), vans and trucks
/// more. Good enough to bring one cold level to the temperature of another, and for nothing else.
const ASSUMED_CAPACITY: (f64, f64) = (9.0, 5.0);

/// Standard uncertainty of a stated capacity as a share: handbooks give it to a tenth of a litre, and engines with and without a rear
/// heater the same figure (own choice).
pub const CAPACITY_SHARE: f64 = 0.02;

/// Standard uncertainty of the growth as a share where the mixture is not stated: water and 60 % glycol lie a fifth apart from half.
const MIXTURE_SHARE: f64 = 0.10;

/// Half the share of the capacity that an overflow bottle holds where its marks are not stated, and standard uncertainty (common
/// practice, no source): whether it is counted in is not known.
const BOTTLE_SHARE: (f64, f64) = (0.05, 0.03);

/// Opening pressure of a cap that is not stated, gauge kPa, and standard uncertainty (common practice, no source: 60 to 140).
const CAP_KPA: (f64, f64) = (100.0, 23.0);

/// The circuit as far as level accounts need it.
#[derive(Clone, Debug)]
pub struct System {
    /// Coolant in the circuit, mL, and its standard uncertainty; an overflow bottle's content is not in it.
    pub coolant_ml: (f64, f64),
    /// What the coolant is.
    pub mixture: Mixture,
    /// Standard uncertainty of its growth as a share, beyond the tables'.
    mixture_share: f64,
    /// How the reservoir belongs to the circuit; an expansion tank where it is not stated.
    pub kind: ReservoirKind,
    /// Opening pressure of the cap, gauge kPa, and its standard uncertainty.
    pub cap_kpa: (f64, f64),
    /// What was not stated and is assumed, in words.
    pub assumed: Vec<&'static str>,
}

impl System {
    /// The circuit of a vehicle with the reservoir at `level`, where that is known as a volume.
    ///
    /// # Errors
    ///
    /// [`CoolantError`] where the stated share of concentrate is none.
    pub fn of(vehicle: &Vehicle, level: Option<&Level>) -> Result<Self, CoolantError> {
        let mut assumed = Vec::new();
        let capacity = match vehicle.capacity {
            Some(stated) => (stated.millilitres(), CAPACITY_SHARE * stated.millilitres()),
            None => {
                assumed.push("a capacity of about 9 L");
                (1000.0 * ASSUMED_CAPACITY.0, 1000.0 * ASSUMED_CAPACITY.1)
            }
        };
        let (base, share, mixture_share) = match vehicle.coolant {
            Some(stated) => (stated.base, stated.volume_fraction, 0.0),
            None => {
                assumed.push("half ethylene glycol");
                (Base::EthyleneGlycol, 0.5, MIXTURE_SHARE)
            }
        };
        let fraction = VolumeFraction::new(share).ok_or(CoolantError::NotAShare(share))?;
        let mixture = Mixture::by_volume(base, fraction)?;
        let kind = vehicle.reservoir.kind.unwrap_or_else(|| {
            assumed.push("a pressurised expansion tank");
            ReservoirKind::ExpansionTank
        });
        let cap_kpa = vehicle.reservoir.cap.map_or(CAP_KPA, |cap| (cap.kilopascals(), 0.1 * cap.kilopascals()));
        Ok(Self { coolant_ml: filled(vehicle, kind, capacity, level), mixture, mixture_share, kind, cap_kpa, assumed })
    }

    /// Growth of all coolant at fixed mass, mL; negative when it cools.
    ///
    /// # Errors
    ///
    /// [`CoolantError`] where the coolant's growth is not published, or the coolant may be frozen.
    pub fn coolant_growth(&self, from: &Warmth, to: &Warmth) -> Result<Estimate, CoolantError> {
        self.grown(from, to, (0.0, 0.0))
    }

    /// Growth of the coolant less that of the cavity, mL.
    ///
    /// # Errors
    ///
    /// As [`System::coolant_growth`].
    pub fn net_growth(&self, from: &Warmth, to: &Warmth) -> Result<Estimate, CoolantError> {
        self.grown(from, to, CAVITY_PER_K)
    }

    /// What the coolant grows beyond a cavity with this coefficient and its uncertainty.
    fn grown(&self, from: &Warmth, to: &Warmth, cavity: (f64, f64)) -> Result<Estimate, CoolantError> {
        let celsius = Temperature::from_celsius;
        let share = expansion::growth(&self.mixture, celsius(from.celsius), celsius(to.celsius))?;
        let slope = |at: &Warmth| {
            // Towards the middle of the range, so that the step stays inside it.
            let step = if at.celsius > 40.0 { -1.0 } else { 1.0 };
            let growth = expansion::growth(&self.mixture, celsius(at.celsius), celsius(at.celsius + step));
            growth.map_or(0.0, |growth| growth.value / step - cavity.0)
        };
        let (volume, volume_u) = self.coolant_ml;
        let kelvin = to.celsius - from.celsius;
        let net = share.value - cavity.0 * kelvin;
        let (low, high) = (slope(from), slope(to));
        // An error in the air's temperature that both share moves the growth by the difference only.
        let shared = from.shared_u.max(to.shared_u) * (high * to.air_share - low * from.air_share);
        let shares = [
            share.standard_uncertainty,
            self.mixture_share * share.value,
            cavity.1 * kelvin,
            low * from.own_u,
            high * to.own_u,
            shared,
            net * volume_u / volume,
        ];
        let u = volume * shares.iter().map(|part| part * part).sum::<f64>().sqrt();
        Ok(Estimate::normal(volume * net, u, Unit::Millilitre))
    }

    /// What hoses and tank widen at a gauge pressure in kPa, mL: value and standard uncertainty.
    pub fn widening(&self, (gauge, gauge_u): (f64, f64)) -> (f64, f64) {
        let litres = self.coolant_ml.0 / 1000.0;
        let (per_kpa, u) = WIDENING;
        (litres * per_kpa * gauge, litres * (per_kpa * gauge_u).hypot(u * gauge))
    }
}

/// Coolant in the circuit at the cold reading.
fn filled(vehicle: &Vehicle, kind: ReservoirKind, (capacity, capacity_u): (f64, f64), level: Option<&Level>) -> (f64, f64) {
    let (min, max) = (vehicle.reservoir.min_mark.map(|mark| mark.millilitres()), vehicle.reservoir.max_mark.map(|mark| mark.millilitres()));
    let (less, less_u) = match (kind, level.filter(|level| level.frame == Frame::Volume), min, max) {
        // Handbooks count the bottle in or leave it out (common practice, no source).
        (ReservoirKind::OverflowBottle, _, _, Some(max)) => (max / 2.0, max / 12f64.sqrt()),
        (ReservoirKind::OverflowBottle, ..) => (BOTTLE_SHARE.0 * capacity, BOTTLE_SHARE.1 * capacity),
        (ReservoirKind::ExpansionTank, Some(level), _, Some(max)) => (max - level.millilitres, level.reading_u),
        // People keep the level between the marks.
        (ReservoirKind::ExpansionTank, None, Some(min), Some(max)) => ((max - min) / 2.0, (max - min) / 12f64.sqrt()),
        (ReservoirKind::ExpansionTank, ..) => (0.02 * capacity, 0.02 * capacity),
    };
    ((capacity - less).max(0.2 * capacity), capacity_u.hypot(less_u))
}
