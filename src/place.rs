//! Where something stands on the earth.

/// A point on the earth's surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Degrees north of the equator, -90 to 90.
    pub latitude_deg: f64,
    /// Degrees east of Greenwich, -180 to 180.
    pub longitude_deg: f64,
    /// Metres above sea level, -450 to 9000.
    pub elevation_m: f64,
}

/// Lowest and highest elevation that a place may have, m: the shore of the lowest lake and the highest
/// summit, rounded outwards.
pub const ELEVATION_RANGE_M: std::ops::RangeInclusive<f64> = -450.0..=9000.0;

impl Place {
    /// The name of the first coordinate that lies outside its range, with the value found.
    #[must_use]
    pub fn fault(&self) -> Option<(&'static str, f64)> {
        if !(-90.0..=90.0).contains(&self.latitude_deg) {
            return Some(("latitude_deg", self.latitude_deg));
        }
        if !(-180.0..=180.0).contains(&self.longitude_deg) {
            return Some(("longitude_deg", self.longitude_deg));
        }
        if !ELEVATION_RANGE_M.contains(&self.elevation_m) {
            return Some(("elevation_m", self.elevation_m));
        }
        None
    }
}
