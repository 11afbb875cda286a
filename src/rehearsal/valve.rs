//! The wax thermostat: wax temperature to lift.
//!
//! Lift follows an S over `span` kelvin from the true start of lift. Between opening and closing lies a play of `hysteresis`
//! kelvin: the stem follows the wax only after the wax has crossed the play (a backlash operator, of which hysteresis loops of
//! any other form are sums). Nothing here jumps: even a fast wax moves the lift without a step.
//!
//! Limits: spring, pressure drop over the disc and friction are within play and tolerance; no ageing.
//!
//! # References
//!
//! - Mayergoyz, I. D. (2003). *Mathematical Models of Hysteresis and Their Applications*, play operators (from memory).

use super::arithmetic::s_curve;
use super::scenario::{Fault, Scenario};

/// Lift at which the valve counts as opening: 2 % of full.
pub const FIRST_LIFT: f64 = 0.02;

/// The thermostat of one run, faults included.
#[derive(Clone, Copy, Debug)]
pub struct Thermostat {
    start: f64,
    span: f64,
    half_play: f64,
    least: f64,
}

impl Thermostat {
    /// The thermostat that a scenario describes.
    pub fn of(scenario: &Scenario) -> Self {
        let mut valve = Self {
            start: scenario.valve.rating + scenario.valve.tolerance,
            span: scenario.valve.span.max(1.0),
            half_play: scenario.valve.hysteresis.max(0.0) / 2.0,
            least: 0.0,
        };
        for fault in &scenario.faults {
            match *fault {
                Fault::StuckOpen(share) => valve.least = share.clamp(0.0, 1.0),
                Fault::OpensEarly(by) => valve.start -= by,
                Fault::OpensLate(by) => valve.start += by,
                Fault::StuckShut => valve.start += 1000.0,
                _ => {}
            }
        }
        valve
    }

    /// The stem's place in the play, in kelvin of wax, from where it last stood. `wax` is the wax's temperature.
    pub fn stem(&self, wax: f64, last: f64) -> f64 {
        last.clamp(wax - self.half_play, wax + self.half_play)
    }

    /// Lift as a share of full, for the stem's place. Rising wax drags the stem half a play behind itself; that half is in
    /// the maker's start-to-open figure, so it is added back here.
    pub fn lift(&self, stem: f64) -> f64 {
        s_curve((stem + self.half_play - self.start) / self.span).max(self.least)
    }

    /// Wax temperature at which lift starts, °C.
    pub fn starts(&self) -> f64 {
        self.start
    }

    /// Whether the valve can be seen to open at all: false if it never shuts below [`FIRST_LIFT`].
    pub fn shuts(&self) -> bool {
        self.least < FIRST_LIFT
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_opens_at_its_rating_and_closes_below_by_the_hysteresis() {
        let scenario = Scenario::default();
        let valve = Thermostat::of(&scenario);
        let mut stem = 20.0;
        let mut walk = |wax: f64| {
            stem = valve.stem(wax, stem);
            valve.lift(stem)
        };
        assert_eq!(walk(82.9), 0.0);
        assert!(walk(84.5) > FIRST_LIFT);
        assert_eq!(walk(97.0), 1.0);
        let opening_half_way = 83.0 + 6.5;
        let rising = valve.lift(valve.stem(opening_half_way, 20.0));
        let falling = walk(opening_half_way - scenario.valve.hysteresis);
        assert!((rising - falling).abs() < 1e-12, "the same lift, the hysteresis apart: {rising} {falling}");
    }
}
