//! One row of the hour-by-hour table.

use crate::time::Stamp;

/// The state of one array in one hour of the record. `None` is an empty cell: what the file lacks, or an hour
/// too dim to compute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourRow {
    /// Start of the clock hour.
    pub time: Stamp,
    /// Geometric elevation of the sun at mid-hour, deg.
    pub sun_elevation_deg: f64,
    /// Global horizontal irradiance of the file, hour mean, W/m2.
    pub ghi_w_m2: Option<f64>,
    /// Light on the plane, hour mean, W/m2.
    pub plane_w_m2: Option<f64>,
    /// Air at the place, C.
    pub air_c: f64,
    /// Cell warmed by the hour's sun, C.
    pub cell_steady_c: Option<f64>,
    /// Parked in the hour's mean light, V.
    pub voc_steady_v: Option<f64>,
    /// Largest of the hour in sudden sun, V.
    pub voc_sudden_sun_v: Option<f64>,
    /// Largest of the hour in the worst case, V.
    pub voc_worst_case_v: Option<f64>,
    /// Short-circuit current of the whole array, A.
    pub isc_a: Option<f64>,
    /// Volts at the maximum power point, V.
    pub vmp_v: Option<f64>,
    /// Current there, A.
    pub imp_a: Option<f64>,
}
