//! The sun as the sky rooms see it: one moment, and one hour of a place.

/// 5-minute steps in an hour.
pub const STEPS: usize = 12;

/// Geometric elevation above which a moment counts as lit, deg: the upper limb stands on the horizon with usual
/// refraction (34' refraction + 16' radius).
pub const LIT_ELEVATION_DEG: f64 = -0.83;

/// Where the sun stands at one moment, seen from one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunMoment {
    /// Cosine of the true (unrefracted, topocentric) zenith angle.
    pub cos_zenith: f64,
    /// Towards the east, in the horizon's plane, of any length.
    pub east: f64,
    /// Towards the north, of the same length.
    pub north: f64,
}

impl SunMoment {
    /// Azimuth, radians clockwise from north, 0 to 2 pi. Asked only by planes of fixed heading: it costs more than all the
    /// rest of the moment.
    #[must_use]
    pub fn azimuth_rad(&self) -> f64 {
        let azimuth = self.east.atan2(self.north);
        if azimuth < 0.0 { azimuth + std::f64::consts::TAU } else { azimuth }
    }
}

/// The sun over one hour at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourSun {
    /// Extraterrestrial irradiance on a plane facing the sun, W/m2 (1361.0 / r2).
    pub extraterrestrial_w_m2: f64,
    /// At mid-interval.
    pub middle: SunMoment,
    /// Cosine of the true zenith angle at the twelve 5-minute midpoints (2.5, 7.5, ... 57.5 min). Where no midpoint is
    /// lit all twelve may hold the middle's instead: nothing asks for them.
    pub cos_zenith: [f64; STEPS],
    /// Bit i is set where midpoint i is lit: elevation above -0.83 deg.
    pub lit: u16,
}

impl HourSun {
    /// Number of lit midpoints, 0 to 12.
    #[must_use]
    pub fn lit_steps(&self) -> u32 {
        self.lit.count_ones()
    }

    /// Whether midpoint `step` is lit.
    #[must_use]
    pub fn is_lit(&self, step: usize) -> bool {
        self.lit >> step & 1 == 1
    }

    /// Share of the hour in which the sun is up, in twelfths.
    #[must_use]
    pub fn sun_up_fraction(&self) -> f64 {
        f64::from(self.lit_steps()) / 12.0
    }
}
