//! What the air does to the direct light: pressure, refraction, air mass.

use crate::units::Celsius;

/// Standard pressure at sea level, Pa (ISO 2533).
pub const STANDARD_PRESSURE_PA: f64 = 101_325.0;

/// Air temperature that stands for all seasons where refraction enters the light, C: the bending changes by 4 %
/// in 12 K, which moves a sun on the horizon by 0.02 deg.
pub const STANDARD_AIR: Celsius = Celsius(12.0);

/// Air pressure at an elevation, Pa, in the standard atmosphere.
///
/// `elevation_m` -450 to 9000, in metres; beyond 44 km the result would be zero. p = 100 ((44331.514 - h) /
/// 11880.516)^(1/0.1902632), the form of the reference library, within 0.01 % of ISO 2533 below 5000 m.
#[must_use]
pub fn pressure_pa(elevation_m: f64) -> f64 {
    100.0 * ((44_331.514 - elevation_m).max(0.0) / 11_880.516).powf(1.0 / 0.190_263_2)
}

/// The air that bends the light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refraction {
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Air temperature.
    pub air: Celsius,
}

impl Refraction {
    /// Standard air temperature and pressure at an elevation.
    #[must_use]
    pub fn at_elevation(elevation_m: f64) -> Self {
        Self { pressure_pa: pressure_pa(elevation_m), air: STANDARD_AIR }
    }
}

/// Geometric elevation below which no refraction is applied, deg: the sun's radius (0.26667) and the refraction
/// at the horizon (0.5667) below it [REDA2004].
const REFRACTION_FROM_DEG: f64 = -(0.266_67 + 0.566_7);

/// How much higher the sun appears than it stands, deg, for a true elevation in degrees.
///
/// (P / 1010 hPa) (283 / (273 + T)) 1.02 / (60 tan(e + 10.3 / (e + 5.11))) [REDA2004] eq. 42, zero below -0.833
/// deg. Accuracy about 0.02 deg above the horizon; close to it real air strays by more.
#[must_use]
pub fn refraction_deg(elevation_deg: f64, refraction: Refraction) -> f64 {
    if elevation_deg < REFRACTION_FROM_DEG {
        return 0.0;
    }
    let bent = (elevation_deg + 10.3 / (elevation_deg + 5.11)).to_radians().tan();
    // 273 and not 273.15: the constant of the paper.
    (refraction.pressure_pa / 101_000.0) * (283.0 / (273.0 + refraction.air.0)) * 1.02 / (60.0 * bent)
}

/// Apparent zenith angle, deg, for a true one in degrees.
#[must_use]
pub fn apparent_zenith_deg(zenith_deg: f64, refraction: Refraction) -> f64 {
    zenith_deg - refraction_deg(90.0 - zenith_deg, refraction)
}

/// Relative optical air mass at an apparent zenith angle in degrees, 1 overhead, 38 at the horizon.
///
/// 1 / (cos z + 0.50572 (96.07995 - z)^-1.6364) [KASTEN1989]. Valid to 90 deg; beyond, the value at 90.
#[must_use]
pub fn relative_air_mass(apparent_zenith_deg: f64) -> f64 {
    let zenith = apparent_zenith_deg.min(90.0);
    1.0 / (zenith.to_radians().cos() + 0.505_72 * (96.079_95 - zenith).powf(-1.636_4))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressure_follows_the_standard_atmosphere() {
        // ISO 2533 standard atmosphere, Pa.
        for (metres, pascal) in [(0.0, 101_325.0), (1000.0, 89_875.0), (2000.0, 79_496.0), (3000.0, 70_109.0)]
        {
            assert!((pressure_pa(metres) / pascal - 1.0).abs() < 2e-4, "{metres} m");
        }
    }

    #[test]
    fn the_sun_on_the_horizon_appears_half_a_degree_higher() {
        let sea = Refraction::at_elevation(0.0);
        assert!((refraction_deg(-0.5, sea) - 0.55).abs() < 0.05);
        assert!(refraction_deg(8.0, sea) < 0.12);
        assert!(refraction_deg(-1.0, sea) == 0.0);
    }
}
