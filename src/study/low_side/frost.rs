//! A lithium battery in frost, where no controller's low side tells of it.

use super::{LowRun, words};
use crate::array::{Battery, Chemistry};
use crate::study::results::{ArrayAtStop, LowSide};
use serde::Serialize;

/// A lithium battery that takes no charge in frost, in a plan without a controller.
#[derive(Clone, Debug, Serialize)]
pub struct BatteryFrost {
    /// Hours of sun with air below 0 C, of a year or a stay.
    pub hours_below_0_c: f64,
    /// Hours of sun in that time.
    pub sun_hours: f64,
    /// In words.
    pub text: String,
}

/// Hours of sun with air below 0 °C, and hours of sun, of a year or a stay; `None` where the battery is no lithium one.
#[must_use]
pub fn hours_of_frost(array: &ArrayAtStop) -> Option<(f64, f64)> {
    let alone = || array.battery_frost.as_ref().map(|frost| (frost.hours_below_0_c, frost.sun_hours));
    let with = |low: &LowSide| Some((low.battery_below_0_c_hours?, low.sun_hours));
    array.low_side.as_ref().map_or_else(alone, with)
}

/// Whether frost keeps a battery from being charged.
#[must_use]
pub fn is_lithium(battery: &Battery) -> bool {
    matches!(battery.chemistry, Chemistry::Lfp | Chemistry::Nmc)
}

pub(super) fn alone(battery: &Battery, found: &LowRun, dated: bool) -> Option<BatteryFrost> {
    is_lithium(battery).then(|| {
        let hours_below_0_c = found.below_0_c.iter().sum();
        let text = words::frost_alone(hours_below_0_c, found.sun_hours, dated);
        BatteryFrost { hours_below_0_c, sun_hours: found.sun_hours, text }
    })
}
