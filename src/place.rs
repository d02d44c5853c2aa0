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

/// Mean radius of the earth, km (International Union of Geodesy and Geophysics, reference system of 1980, from memory).
const EARTH_KM: f64 = 6371.0;

impl Place {
    /// Distance along the ground of a round earth, km, by the haversine formula; good to 0.5 %. Heights do not count.
    #[must_use]
    pub fn distance_km(&self, other: &Self) -> f64 {
        let half_sine = |from_deg: f64, to_deg: f64| (0.5 * (to_deg - from_deg).to_radians()).sin().powi(2);
        let across = half_sine(self.longitude_deg, other.longitude_deg)
            * self.latitude_deg.to_radians().cos()
            * other.latitude_deg.to_radians().cos();
        let sum = half_sine(self.latitude_deg, other.latitude_deg) + across;
        2.0 * EARTH_KM * sum.clamp(0.0, 1.0).sqrt().asin()
    }

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

#[cfg(test)]
mod tests {
    use super::*;

    fn place(latitude_deg: f64, longitude_deg: f64) -> Place {
        Place { latitude_deg, longitude_deg, elevation_m: 0.0 }
    }

    /// The metre was made so that a quarter of the meridian measures 10 000 km (decree of 1795; it is 10 002 km), and a
    /// minute of arc is a nautical mile of 1.852 km.
    #[test]
    fn distances_are_those_of_the_old_metre_and_the_nautical_mile() {
        let quarter = place(0.0, 10.0).distance_km(&place(90.0, 10.0));
        assert!((quarter - 10_000.0).abs() < 20.0, "{quarter}");
        let mile = place(0.0, 179.99).distance_km(&place(0.0, 179.99 + 1.0 / 60.0 - 360.0));
        assert!((mile - 1.852).abs() < 0.005, "{mile}");
        // Along a parallel a degree shrinks with the cosine: half at 60 degrees.
        let parallel = place(60.0, -0.5).distance_km(&place(60.0, 0.5));
        assert!((parallel - 60.0 * 1.852 / 2.0).abs() < 0.2, "{parallel}");
    }
}
