//! The drive: road speed, engine speed and brake power, second by second.
//!
//! A driver follows a string of target speeds with stops between. Acceleration is limited by the driver and by the power that the
//! driver uses; power follows from mass, rolling, drag, slope and acceleration (the usual road-load sum); the gear is the highest
//! that keeps the engine above a speed which rises with the power asked, changed no oftener than every three seconds, with the
//! clutch open for one; lifting off above walking pace cuts the fuel. Figures a kind of road are choices within common sense.
//!
//! Limits: no wind, no bends, one driver; automatic gearboxes differ only in how often they change.

use super::arithmetic::share_between;
use super::combustion::Demand;
use super::random::Random;
use super::scenario::{Body, Road, Scenario};

/// One second of the drive.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Second {
    /// Whether the ignition is on.
    pub key_on: bool,
    /// Road speed at its end, km/h.
    pub speed: f64,
    /// What the engine must do.
    pub demand: Demand,
}

/// What a kind of road asks of the driver.
struct Manner {
    /// Target speeds, km/h.
    speed: [f64; 2],
    /// Seconds at a target.
    cruise: [f64; 2],
    /// Seconds standing.
    stop: [f64; 2],
    /// Share of targets that end with a stop.
    stops: f64,
    /// Slope, as a share: its mean when climbing, and the scatter from stretch to stretch.
    slope: [f64; 2],
}

#[rustfmt::skip]
fn manner(road: Road) -> Manner {
    match road {
        Road::Idle => Manner { speed: [0.0, 0.0], cruise: [0.0, 0.0], stop: [1e9, 1e9], stops: 1.0, slope: [0.0, 0.0] },
        Road::Town | Road::Mixed => Manner { speed: [22.0, 56.0], cruise: [6.0, 45.0], stop: [3.0, 45.0], stops: 0.7, slope: [0.0, 0.012] },
        Road::Rural => Manner { speed: [50.0, 95.0], cruise: [30.0, 200.0], stop: [2.0, 20.0], stops: 0.2, slope: [0.0, 0.018] },
        Road::Motorway => Manner { speed: [95.0, 130.0], cruise: [90.0, 500.0], stop: [0.0, 0.0], stops: 0.0, slope: [0.0, 0.012] },
        Road::Traffic => Manner { speed: [5.0, 30.0], cruise: [3.0, 12.0], stop: [4.0, 50.0], stops: 0.9, slope: [0.0, 0.008] },
        Road::Hill => Manner { speed: [40.0, 75.0], cruise: [30.0, 150.0], stop: [2.0, 15.0], stops: 0.1, slope: [0.055, 0.015] },
    }
}

/// Where the driver is in the string of targets.
struct Driver {
    speed: f64,
    target: f64,
    seconds_left: f64,
    standing: f64,
    slope: f64,
    drift: f64,
    gear: u32,
    gear_held: f64,
}

/// Drag of the air at 1.2 kg/m³; gravity; the share that rotating masses add; gearbox and axle.
const AIR: f64 = 1.2;
const GRAVITY: f64 = 9.81;
const ROTATING: f64 = 1.05;
const TRANSMISSION: f64 = 0.9;

/// Every second of the logged drive, from ignition on to key-off.
pub fn plan(scenario: &Scenario) -> Vec<Second> {
    plan_of(scenario, 1)
}

/// The same for another drive of the same kind; `stream` tells the drives of a scenario apart.
pub fn plan_of(scenario: &Scenario, stream: u64) -> Vec<Second> {
    let drive = &scenario.drive;
    let mut random = Random::new(scenario.seed, stream);
    let mut driver = Driver { speed: 0.0, target: 0.0, seconds_left: 0.0, standing: 0.0, slope: 0.0, drift: 0.0, gear: 1, gear_held: 9.0 };
    let [before, idle, moving, after] =
        [drive.fires_after, drive.idle_before, drive.moving, drive.idle_after].map(|seconds| seconds.clamp(0.0, 36_000.0).round());
    let mut seconds = vec![Second { key_on: true, ..Second::default() }; before as usize];
    let waiting = accessory_only(scenario);
    seconds.extend((0..idle as usize).map(|at| waiting(at as f64)));
    for at in 0..moving as usize {
        let road = match (drive.road, at as f64 / moving) {
            (Road::Mixed, share) if (0.25..0.55).contains(&share) => Road::Rural,
            (Road::Mixed, share) if (0.55..0.8).contains(&share) => Road::Motorway,
            // Nobody starts on the open road: the first two and a half minutes lead out of town.
            (Road::Rural | Road::Motorway | Road::Hill, _) if at < 150 => Road::Town,
            (road, _) => road,
        };
        seconds.push(driver.second(scenario, road, at as f64, moving, &mut random));
    }
    // Roll to a stand before the last idling; it counts as part of it.
    let mut at = 0.0;
    while at < after || driver.speed > 0.0 {
        (driver.target, driver.seconds_left, driver.standing) = (0.0, 1e9, 1e9);
        seconds.push(driver.second(scenario, Road::Idle, moving + at, moving + at + 1.0, &mut random));
        at += 1.0;
    }
    seconds
}

/// Power of alternator and accessories at the engine: 2 % of a small engine's power at least, and the cycling accessory.
fn accessory(scenario: &Scenario, at: f64) -> f64 {
    let cabin = &scenario.cabin;
    let on = (at / cabin.accessory_period.max(2.0)).fract() < 0.5;
    0.45 + 0.12 * scenario.engine.displacement + if on { cabin.accessory } else { 0.0 }
}

fn accessory_only(scenario: &Scenario) -> impl Fn(f64) -> Second + '_ {
    |at| Second { key_on: true, speed: 0.0, demand: Demand { running: true, power: accessory(scenario, at), ..Demand::default() } }
}

impl Driver {
    /// Picks the next target once the last has run out.
    fn next_target(&mut self, body: &Body, road: Road, progress: f64, random: &mut Random) {
        let manner = manner(road);
        let stop = random.chance(manner.stops);
        if stop && self.target > 0.0 {
            (self.target, self.seconds_left) = (0.0, 1e9);
            self.standing = random.between(manner.stop[0], manner.stop[1]);
            return;
        }
        let fastest = body.top_speed.min(manner.speed[1]);
        let slowest = manner.speed[0].min(0.7 * body.top_speed);
        self.target = random.between(slowest, fastest);
        self.seconds_left = random.between(manner.cruise[0], manner.cruise[1]);
        // Up for the first six tenths of a hill road, then down.
        let direction = if progress < 0.6 { 1.0 } else { -1.0 };
        self.slope = manner.slope[0] * direction + manner.slope[1] * random.normal();
    }

    fn second(&mut self, scenario: &Scenario, road: Road, at: f64, whole: f64, random: &mut Random) -> Second {
        let (body, engine) = (&scenario.body, &scenario.engine);
        if self.target <= 0.0 && self.speed <= 0.0 {
            self.standing -= 1.0;
            if self.standing <= 0.0 {
                self.next_target(body, road, at / whole, random);
            }
        } else {
            self.seconds_left -= 1.0;
            if self.seconds_left <= 0.0 {
                self.next_target(body, road, at / whole, random);
            }
        }
        // No one holds a speed exactly: 3 % of wander with a memory of 20 s.
        self.drift += -self.drift / 20.0 + 0.03 * 0.3 * random.normal();
        let wanted = self.target * (1.0 + self.drift);
        let heavy = share_between(body.mass, 1500.0, 20_000.0);
        let (harder, gentler) = (1.3 - 0.8 * heavy, 1.4 - 0.7 * heavy); // m/s²
        let before = self.speed / 3.6;
        let resisting = body.mass * GRAVITY * (body.rolling * f64::from(u8::from(before > 0.0)) + self.slope)
            + 0.5 * AIR * body.drag_area * before * before;
        let used = engine.rated_power * scenario.drive.eagerness.clamp(0.1, 1.0) * if at < 300.0 { 0.67 } else { 1.0 };
        let spare = used * 1000.0 * TRANSMISSION / before.max(4.0) - resisting;
        let most = (spare / (body.mass * ROTATING)).min(harder);
        let acceleration = ((wanted / 3.6 - before) * 0.7).clamp(-gentler, harder).min(most);
        let now = (before + acceleration).max(0.0);
        let now = if self.target <= 0.0 && now < 0.4 { 0.0 } else { now };
        let force = resisting + body.mass * ROTATING * (now - before);
        let at_wheels = force * 0.5 * (now + before) / 1000.0;
        self.speed = now * 3.6;
        let power = if at_wheels > 0.0 { at_wheels / TRANSMISSION } else { at_wheels * TRANSMISSION };
        Second { key_on: true, speed: self.speed, demand: self.demand(scenario, power, at) }
    }

    /// Engine speed and fuel for a power at the gearbox's input.
    fn demand(&mut self, scenario: &Scenario, power: f64, at: f64) -> Demand {
        let (body, engine) = (&scenario.body, &scenario.engine);
        let ratio = |gear: u32| (gear..body.gears).fold(body.top_gear, |ratio, _| ratio * 1.38);
        let share = (power / engine.rated_power).clamp(0.0, 1.0);
        let least = engine.idle_speed * 1.55 + (engine.rated_speed * 0.62 - engine.idle_speed * 1.55).max(0.0) * share;
        self.gear_held += 1.0;
        let speed = self.speed * ratio(self.gear);
        let mut changing = false;
        if self.gear_held >= 3.0 && self.speed > 3.0 {
            let wanted = (1..=body.gears).rev().find(|&gear| self.speed * ratio(gear) >= least).unwrap_or(1);
            if speed < 0.85 * least || speed > 1.45 * least || speed > 0.9 * engine.rated_speed {
                changing = wanted != self.gear;
                self.gear = wanted;
                self.gear_held = if changing { 0.0 } else { self.gear_held };
            }
        }
        let accessories = accessory(scenario, at);
        let speed = self.speed * ratio(self.gear);
        let engaged = self.speed > 6.0 && !changing;
        let fuel_cut = engaged && power < -0.02 * engine.rated_power && speed > 1.4 * engine.idle_speed;
        Demand {
            running: true,
            speed: if engaged { speed.min(engine.rated_speed) } else { 0.0 },
            power: if changing || fuel_cut { accessories } else { power.max(0.0) + accessories },
            fuel_cut,
        }
    }
}
