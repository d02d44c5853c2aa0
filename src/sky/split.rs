//! Splitting global light into direct and diffuse.

use crate::sky::Parts;

/// Smallest cosine of the zenith angle in the clearness index (the reference library's choice).
const SMALLEST_COS: f64 = 0.065;

/// Zenith beyond which all light counts as diffuse, deg [ERBS1982].
const DIFFUSE_ONLY_FROM_DEG: f64 = 87.0;

/// What Erbs' split needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearness {
    /// Global horizontal, W/m2, 0 or more.
    pub ghi_w_m2: f64,
    /// Cosine of the true (unrefracted) zenith angle.
    pub cos_zenith: f64,
    /// Above the air, on a plane that faces the sun, W/m2.
    pub extraterrestrial_w_m2: f64,
}

/// Direct and diffuse light from global light [ERBS1982] eq. 1.
///
/// kt = GHI / (E0 max(cos z, 0.065)), held to 0..1; diffuse share 1 - 0.09 kt up to kt 0.22, a quartic up to 0.80,
/// 0.165 above; DNI = (GHI - DHI) / cos z. Beyond 87 deg of zenith DNI = 0 and DHI = GHI. Hourly means only; the
/// diffuse share of one hour strays by about 0.15.
#[must_use]
pub fn erbs(input: Clearness) -> Parts {
    let Clearness { ghi_w_m2: ghi, cos_zenith, extraterrestrial_w_m2 } = input;
    let ghi = ghi.max(0.0);
    let diffuse_only = Parts { ghi, dni: 0.0, dhi: ghi };
    if cos_zenith < DIFFUSE_ONLY_FROM_DEG.to_radians().cos() {
        return diffuse_only;
    }
    let kt = (ghi / (extraterrestrial_w_m2 * cos_zenith.max(SMALLEST_COS))).clamp(0.0, 1.0);
    let share = if kt <= 0.22 {
        1.0 - 0.09 * kt
    } else if kt <= 0.80 {
        0.9511 - 0.1604 * kt + 4.388 * kt.powi(2) - 16.638 * kt.powi(3) + 12.336 * kt.powi(4)
    } else {
        0.165
    };
    let dhi = share * ghi;
    Parts { ghi, dni: (ghi - dhi) / cos_zenith, dhi }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_parts_always_make_the_whole() {
        for zenith in [0.0_f64, 30.0, 60.0, 80.0, 86.9, 87.1, 89.0, 91.0] {
            for ghi in [0.0, 5.0, 80.0, 300.0, 900.0, 1400.0] {
                let cos_zenith = zenith.to_radians().cos();
                let parts = erbs(Clearness { ghi_w_m2: ghi, cos_zenith, extraterrestrial_w_m2: 1361.0 });
                assert!(parts.dni >= 0.0 && parts.dhi >= 0.0);
                assert!((parts.dni * cos_zenith + parts.dhi - ghi).abs() < 1e-9);
            }
        }
    }
}
