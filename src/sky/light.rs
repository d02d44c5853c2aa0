//! What light an hour of a record really holds.

/// The light of one hour, as the file gives it. Irradiance is the mean over the hour, W/m2; `f32` keeps an hour
/// of record small and is exact to 0.0001 W/m2 at full sun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Light {
    /// Global horizontal, direct normal and diffuse horizontal irradiance.
    Parts {
        /// Global horizontal, W/m2.
        ghi: f32,
        /// Direct normal, W/m2.
        dni: f32,
        /// Diffuse horizontal, W/m2.
        dhi: f32,
    },
    /// Global horizontal irradiance only.
    GlobalOnly {
        /// Global horizontal, W/m2.
        ghi: f32,
    },
    /// No irradiance, but how much of the sky is covered.
    Clouds {
        /// Eighths of the sky, 0 to 8.
        oktas: f32,
    },
    /// Neither.
    Unknown,
}

/// Light of one moment or one hour, as its parts, W/m2.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Parts {
    /// Global, on a horizontal plane.
    pub ghi: f64,
    /// Direct, on a plane that faces the sun.
    pub dni: f64,
    /// Diffuse, on a horizontal plane.
    pub dhi: f64,
}
