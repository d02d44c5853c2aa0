//! Results that are information: currents of the array, and what its volts mean to who touches it.

use crate::time::Stamp;
use serde::Serialize;

/// Currents of the whole array.
#[derive(Clone, Debug, Serialize)]
pub struct Currents {
    /// Largest hour mean.
    pub max_hour: Option<f64>,
    /// When.
    pub at: Option<Stamp>,
    /// Largest mean of three consecutive hours, as information.
    pub highest_3_hour_mean: Option<f64>,
    /// What cloud edges can make of it for seconds to minutes, as information.
    pub burst: Option<f64>,
    /// The hour that it is counted from.
    pub burst_at: Option<Stamp>,
    /// How many times clear-sky light a cloud's edge is taken for.
    pub burst_factor: f64,
}

/// Touch voltage, as information.
#[derive(Clone, Debug, Serialize)]
pub struct Touch {
    /// "to 30 V", "30 to 60 V", "60 to 120 V", "above 120 V", by the code sum or the worst case.
    pub class: String,
    /// What that means to who touches it.
    pub meaning: String,
    /// Hours a year with the steady voltage above 30 V.
    pub hours_per_year_above_30_v: Option<f64>,
    /// Hours a year with the steady voltage above 60 V.
    pub hours_per_year_above_60_v: Option<f64>,
    /// Hours a year with the steady voltage above 120 V.
    pub hours_per_year_above_120_v: Option<f64>,
}
