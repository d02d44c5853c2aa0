//! Cell temperature in steady sun.

use crate::heat::Mount;
use crate::units::Celsius;

/// Wind taken where a record has none, m/s. Chosen because it is calm, as test conditions of modules are
/// (800 W/m2, 20 C, 1 m/s), and as a camp behind trees is.
pub const CALM_UNKNOWN_M_S: f64 = 1.0;

/// Heat loss of an open module [FAIMAN2008].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaimanLoss {
    /// Loss in still air, W/m2K.
    pub u0_w_m2_k: f64,
    /// What each metre per second of wind adds, W s/m3 K.
    pub u1_w_s_m3_k: f64,
}

impl FaimanLoss {
    /// Open frame [FAIMAN2008], IEC 61853-2 form.
    pub const OPEN: Self = Self { u0_w_m2_k: 25.0, u1_w_s_m3_k: 6.84 };
}

/// Module temperature by Faiman: T = Ta + G / (u0 + u1 v) [FAIMAN2008].
///
/// `irradiance_w_m2` on the plane, 0 or more; `wind_m_s` at the module, 0 or more. About 2 K.
#[must_use]
pub fn faiman(air: Celsius, irradiance_w_m2: f64, wind_m_s: f64, loss: FaimanLoss) -> Celsius {
    Celsius(air.0 + irradiance_w_m2 / (loss.u0_w_m2_k + loss.u1_w_s_m3_k * wind_m_s))
}

/// Coefficients of the Sandia module temperature model [KING2004] table 3.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SandiaHeat {
    /// Natural logarithm of the heating in still air, ln(K m2/W).
    pub a: f64,
    /// What wind takes from it, s/m.
    pub b: f64,
    /// Cell above back sheet at 1000 W/m2, K.
    pub delta_k: f64,
}

impl SandiaHeat {
    /// Glass, cell, glass on an open rack.
    pub const OPEN_GLASS: Self = Self { a: -3.47, b: -0.0594, delta_k: 3.0 };
    /// Glass, cell, glass close to a roof.
    pub const CLOSE_GLASS: Self = Self { a: -2.98, b: -0.0471, delta_k: 1.0 };
    /// Glass, cell, polymer sheet on an open rack.
    pub const OPEN_POLYMER: Self = Self { a: -3.56, b: -0.0750, delta_k: 3.0 };
    /// Glass, cell, polymer sheet with an insulated back.
    pub const INSULATED: Self = Self { a: -2.81, b: -0.0455, delta_k: 0.0 };
}

/// Cell temperature by the Sandia model: T = Ta + G exp(a + b v) + G/1000 dT [KING2004] eq. 11, 12.
///
/// `irradiance_w_m2` on the plane, 0 or more; `wind_m_s` 0 or more (the model means 10 m height; no height law is
/// applied). About 5 K.
#[must_use]
pub fn sandia(air: Celsius, irradiance_w_m2: f64, wind_m_s: f64, heat: SandiaHeat) -> Celsius {
    let module = irradiance_w_m2 * (heat.a + heat.b * wind_m_s).exp() + air.0;
    Celsius(module + irradiance_w_m2 / 1000.0 * heat.delta_k)
}

/// Cell temperature in steady sun, by mount: frame as an open module [FAIMAN2008], gap as a close mount and roof
/// as an insulated back [KING2004].
///
/// `irradiance_w_m2` on the plane, 0 or more; `wind_m_s` as the file gives it, 1 m/s where unknown.
#[must_use]
pub fn steady(mount: Mount, air: Celsius, irradiance_w_m2: f64, wind_m_s: Option<f64>) -> Celsius {
    let wind = wind_m_s.unwrap_or(CALM_UNKNOWN_M_S).max(0.0);
    match mount {
        Mount::Frame => faiman(air, irradiance_w_m2, wind, FaimanLoss::OPEN),
        Mount::Gap => sandia(air, irradiance_w_m2, wind, SandiaHeat::CLOSE_GLASS),
        Mount::Roof => sandia(air, irradiance_w_m2, wind, SandiaHeat::INSULATED),
    }
}

/// Heating of a panel on a roof in still air, K per W/m2: measured glass 59 K at 1000 W/m2, with the cell 2 to 3 K
/// above it (common practice, no source to cite).
const ROOF_STILL_K_PER_W_M2: f64 = 0.063;

/// The hottest credible cell, for the low-voltage side: still air, by mount.
///
/// `irradiance_w_m2` on the plane, 0 or more. [`steady`] with the file's wind is the other end of the band.
#[must_use]
pub fn hottest(mount: Mount, air: Celsius, irradiance_w_m2: f64) -> Celsius {
    match mount {
        Mount::Roof => Celsius(air.0 + ROOF_STILL_K_PER_W_M2 * irradiance_w_m2),
        Mount::Gap | Mount::Frame => steady(mount, air, irradiance_w_m2, Some(0.0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// pvlib 0.16.1, a row of `tests/reference/d_cell_temperature.csv`, where many are held: 708.37 W/m2, 3.06 C, 0.81 m/s.
    #[test]
    fn cells_of_an_independent_library() {
        let sandia = |heat| sandia(Celsius(3.06), 708.37, 0.81, heat).0;
        for (found, expected) in [
            (faiman(Celsius(3.06), 708.37, 0.81, FaimanLoss::OPEN).0, 26.254_522_7),
            (sandia(SandiaHeat::OPEN_GLASS), 26.192_043_6),
            (sandia(SandiaHeat::CLOSE_GLASS), 38.401_666_9),
            (sandia(SandiaHeat::OPEN_POLYMER), 24.142_930_8),
            (sandia(SandiaHeat::INSULATED), 44.164_251_4),
        ] {
            assert!((found - expected).abs() < 1e-6, "{found} {expected}");
        }
    }

    #[test]
    fn without_sun_a_cell_is_as_warm_as_the_air() {
        for mount in [Mount::Roof, Mount::Gap, Mount::Frame] {
            assert!((steady(mount, Celsius(-12.5), 0.0, None).0 + 12.5).abs() < 1e-12);
            assert!((hottest(mount, Celsius(-12.5), 0.0).0 + 12.5).abs() < 1e-12);
        }
    }

    #[test]
    fn the_closer_to_the_roof_the_hotter() {
        for wind in [0.0, 1.0, 5.0, 12.0] {
            let cell = |mount| steady(mount, Celsius(20.0), 900.0, Some(wind)).0;
            assert!(cell(Mount::Roof) > cell(Mount::Gap) && cell(Mount::Gap) > cell(Mount::Frame));
            for mount in [Mount::Roof, Mount::Gap, Mount::Frame] {
                assert!(hottest(mount, Celsius(20.0), 900.0).0 >= cell(mount));
            }
        }
    }
}
