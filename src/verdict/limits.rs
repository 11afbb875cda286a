//! Limits: every number that decides a verdict, with its reason and its mark.
//!
//! Marks: *(CP)* common practice with no source, *(M)* from memory, *(own)* our own choice. A stated rating, cap or coolant
//! narrows the limits; without them only what no healthy engine shows is outside.

/// Lowest and highest reading at which a thermostat may open when its rating is unknown, °C: ratings run from 71 °C (old engines,
/// M) to 105 °C (heated valves, M), less the tolerance below and with the lag of the reading above.
pub const OPENING_ANY: [f64; 2] = [67.0, 112.0];

/// How far the rise through the engine, wax lag and the toe of the lift curve put the first lift's reading above the stamped
/// rating, in kelvin, with its standard uncertainty: the sensor beside an outlet valve.
pub const OUTLET_GAP_K: (f64, f64) = (1.0, 1.0);

/// The same for a valve on the return: it opens in water that the bypass brings back cooler than the sensor.
pub const INLET_GAP_K: (f64, f64) = (4.0, 2.0);

/// The same when the valve's place is not stated.
pub const UNKNOWN_GAP_K: (f64, f64) = (2.0, 2.2);

/// How far a healthy valve's opening may lie from its expected place, in kelvin: the rating's tolerance of 2 K (M) and ageing within
/// what workshops accept (CP).
pub const OPENING_TOLERANCE_K: f64 = 4.0;

/// Regulation band when no rating is stated, °C: from the lowest rating's band to the highest that heated valves hold (M).
pub const BAND_ANY: [f64; 2] = [68.0, 113.0];

/// How far the band may reach below and above a stated wax rating, in kelvin. Below: hysteresis of a few kelvin and falls as a
/// vehicle moves off after a fan phase (CP). Above: full lift lies 10 to 15 K over the rating (M).
pub const BAND_ABOUT_RATING_K: [f64; 2] = [-7.0, 15.0];

/// Least distance to boiling at the cap's pressure, in kelvin (own): metal runs hotter than the sensor.
pub const BOILING_MARGIN_AT_CAP_K: f64 = 8.0;

/// Least distance to boiling at air pressure when no cap is stated, in kelvin (own). Every closed system adds pressure, so a
/// smaller one is not yet a fault.
pub const BOILING_MARGIN_AT_AIR_K: f64 = 3.0;

/// Distance below air-pressure boiling (negative) at which no cap in use is enough, in kelvin (M: caps of 150 kPa lift boiling by
/// about 30 K).
pub const BOILING_MARGIN_HOPELESS_K: f64 = -22.0;

/// How far the coolant sensor may differ from the air after a cold soak, in kelvin: two sensors of 2 K each (M).
pub const SENSOR_OFFSET_K: f64 = 5.0;
