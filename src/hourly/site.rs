//! The place of the vehicle against the place of the station.

use crate::place::Place;
use crate::time::{Hemisphere, UtcOffset};

/// Fall of temperature with height for design temperatures, the code sum, steady and sudden sun, K/m: the standard
/// atmosphere's.
const LAPSE_USUAL_K_PER_M: f64 = 6.5e-3;
/// The same for the worst case, K/m: the dry adiabatic fall of a windy cold outbreak.
const LAPSE_BOUND_K_PER_M: f64 = 9.8e-3;

/// Where the vehicle stands, and how its air differs from the station's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// The vehicle's place.
    pub place: Place,
    /// Metres that the vehicle stands above the station; 0 where either elevation is unknown.
    pub above_station_m: f64,
    /// Clock of local days.
    pub offset: UtcOffset,
    /// Decides where seasons begin.
    pub hemisphere: Hemisphere,
}

impl Site {
    /// Kelvin that the place is colder than the station: 6.5 K/km above it, and never warmer below it, since a
    /// basin below a station is as often colder as warmer.
    #[must_use]
    pub fn colder_k(&self) -> f64 {
        self.above_station_m.max(0.0) * LAPSE_USUAL_K_PER_M
    }

    /// The same for the worst case: 9.8 K/km.
    #[must_use]
    pub fn colder_bound_k(&self) -> f64 {
        self.above_station_m.max(0.0) * LAPSE_BOUND_K_PER_M
    }
}
