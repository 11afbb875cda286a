//! Limits: every number that decides a verdict, with its reason and its mark.
//!
//! Marks: *(CP)* common practice with no source, *(M)* from memory, *(own)* our own choice. A stated rating, cap or coolant
//! narrows the limits; without them only what no healthy engine shows is outside.

/// Lowest and highest reading at which a thermostat may open when its rating is unknown, °C: ratings run from 71 °C (old engines,
/// M) to 105 °C (heated valves, M), less the tolerance below and with the lag of the reading above.
pub const OPENING_ANY: [f64; 2] = [67.0, 112.0];

/// How long the wax takes to follow the coolant, in seconds, with its standard uncertainty: 15 to 45 s in its chamber (M), less
/// with a stream about it; made runs show 21 s. The faster the reading rises, the further it stands above the wax when the valve
/// lifts.
pub const WAX_LAG_S: (f64, f64) = (21.0, 7.0);

/// How far the middle of a held band stands above the valve's first lift, in kelvin, when the sensor is beside an outlet valve: the
/// lift that an ordinary load asks for (M; made runs show 1.5 K).
pub const HELD_ABOVE_LIFT_K: f64 = 1.5;

/// How well the middle of a band tells the first lift: a fraction of the band's width, and at least so many kelvin.
pub const HELD_TELLS: (f64, f64) = (0.22, 0.7);

/// Where a healthy valve's first lift may lie about its stamp, in kelvin: the rating's tolerance of 2 K (M) and ageing, 5 K in all, as
/// workshops accept (CP). For an outlet valve the sensor stands in the water that the wax feels.
pub const OUTLET_ABOUT_RATING_K: [f64; 2] = [-5.0, 5.0];

/// The same for a valve on the return: heater and bypass bring water back to it that is 0 to 12 K cooler than the sensor, vehicle by
/// vehicle (M), so the reading may stand that much higher and smaller shifts do not show.
pub const INLET_ABOUT_RATING_K: [f64; 2] = [-5.0, 15.0];

/// The same when the valve's place is not stated: either may be true.
pub const UNKNOWN_ABOUT_RATING_K: [f64; 2] = [-5.0, 15.0];

/// Regulation band when no rating is stated, °C: from the lowest rating's band to the highest that heated valves hold (M).
pub const BAND_ANY: [f64; 2] = [68.0, 113.0];

/// How far below a stated wax rating the upper edge of the band may lie, in kelvin: a valve that closes lets the reading come up to
/// its rating whenever there is heat. The lower edge decides nothing: descents, idling in frost and moving off after a fan phase
/// take it far down and are no fault (CP).
pub const BAND_REACHES_RATING_K: f64 = -3.5;

/// How far above a stated wax rating the upper edge of the band may lie, in kelvin: full lift comes 10 to 15 K over the rating (M),
/// a fan adds its own band, an inlet valve reads higher.
pub const BAND_ABOVE_RATING_K: f64 = 27.0;

/// Least distance to boiling at the cap's pressure, in kelvin (own): metal runs hotter than the sensor.
pub const BOILING_MARGIN_AT_CAP_K: f64 = 8.0;

/// Least distance to boiling at air pressure when no cap is stated, in kelvin (own). Every closed system adds pressure, so a
/// smaller one is not yet a fault.
pub const BOILING_MARGIN_AT_AIR_K: f64 = 3.0;

/// Distance below air-pressure boiling (negative) at which no cap in use is enough, in kelvin (M: caps of 150 kPa lift boiling by
/// about 30 K).
pub const BOILING_MARGIN_HOPELESS_K: f64 = -22.0;

/// Reading from which an engine overheats whatever its cap holds, °C: heated valves hold 110, fans start by 108, and warning lamps come on
/// from about here (M).
pub const OVERHEATS_C: f64 = 117.0;

/// How far the coolant sensor may differ from the air after a cold soak, in kelvin: two sensors of 2 K each (M).
pub const SENSOR_OFFSET_K: f64 = 5.0;

/// Coolant that a system may take up over the first heat cycle after a part drain and refill: a share of its capacity, and at least
/// so many millilitres (CP: a 17 L system with 10 L exchanged that takes 200 to 300 mL is ordinary).
pub const FIRST_UPTAKE: (f64, f64) = (0.03, 200.0);

/// Probability of trapped air that may be left, by its whole interval (own): with one vehicle in three handed back with a pocket the drive
/// was not worth its fuel, and with two in three looked at again for nothing neither is the bleeding.
pub const TRAPPED_AIR_AT_MOST: f64 = 0.3;
