//! What fewer panels in series cost on the hot side.

use super::{Demand, LowRun};
use crate::array::{Array, Battery, ControllerType};
use crate::study::OpenStop;
use crate::study::results::LowLost;

/// Margins of a controller that the plan does not describe, V: common practice, no source.
pub const START_ABOVE_BATTERY_V: f64 = 5.0;
/// The same to keep running.
pub const RUN_ABOVE_BATTERY_V: f64 = 1.0;

/// What a count in series costs at one stop.
#[derive(Clone, Debug, PartialEq)]
pub struct FewerInSeries {
    /// The array.
    pub array: String,
    /// Panels in series.
    pub in_series: usize,
    /// The place.
    pub place: String,
    /// Nominal volts of the battery.
    pub battery_v: f64,
    /// Whether the plan has dates there: hours are those of a trip, else of a year.
    pub dated: bool,
    /// Hours of sun there.
    pub sun_hours: f64,
    /// Lost with the hottest credible cells.
    pub hot: LowLost,
    /// Lost with cells cooled by the file's wind.
    pub cool: LowLost,
    /// Whether it rests on a guessed operating voltage.
    pub guessed: bool,
}

/// What a controller asks for with every count of an array from one panel to those planned, the planned one last. Without a
/// controller in the plan an mppt one is assumed.
pub(super) fn demands(array: &Array, battery: &Battery, stated: Option<Demand>) -> Vec<Demand> {
    let charge = battery.charge.0;
    let demand = stated.unwrap_or(Demand {
        start_v: charge + START_ABOVE_BATTERY_V,
        run_v: charge + RUN_ABOVE_BATTERY_V,
        battery_v: charge,
        in_series: 1.0,
        kind: ControllerType::Mppt,
    });
    let planned = array.modules_in_series();
    (1..=planned).map(|count| Demand { in_series: count as f64 / planned as f64, ..demand }).collect()
}

/// What was found for each of these demands.
pub(super) fn costs(
    open: &OpenStop<'_>,
    array: &Array,
    battery: &Battery,
    found: &LowRun,
) -> Vec<FewerInSeries> {
    let guessed = super::is_guessed(array);
    let counts = (1..).zip(&found.lost);
    counts
        .map(|(in_series, &(hot, cool))| FewerInSeries {
            array: array.name.clone(),
            in_series,
            place: open.stop.place.clone(),
            battery_v: battery.nominal.0,
            dated: open.stop.window.is_some(),
            sun_hours: found.sun_hours,
            hot,
            cool,
            guessed,
        })
        .collect()
}
