//! A lithium battery in frost, where no controller's low side tells of it.

use super::{LowRun, words};
use crate::array::{Battery, Chemistry};
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
