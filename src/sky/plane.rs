//! Light on a tilted plane.

use crate::sky::{Clearness, Parts, erbs};

/// Share of light that the ground throws back where nothing is known: grass (common practice).
pub const ALBEDO: f64 = 0.2;

/// The same for fresh snow; 0.75 is typical, 0.8 serves as the bound.
pub const ALBEDO_SNOW: f64 = 0.8;

/// Smallest cosine of the zenith angle by which light is projected: 89 deg, as the reference library has it.
const SMALLEST_COS: f64 = 0.017_45;

/// Zenith beyond which sky light on a plane is capped, deg, and the cap in multiples of diffuse horizontal light.
/// Chosen because the ratio of projections has no meaning at the horizon.
pub(crate) const CAP_FROM_DEG: f64 = 85.0;
const CAP_FACTOR: f64 = 2.5;

/// Where a plane looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// Tilted and turned as built, degrees from horizontal and clockwise from north.
    Fixed {
        /// 0 to 90.
        tilt_deg: f64,
        /// 0 to 360.
        heading_deg: f64,
    },
    /// Tilted as built, turned to the sun: the bound where the heading may be anything.
    FacingSun {
        /// 0 to 90.
        tilt_deg: f64,
    },
    /// Tilted as built, the mean over all headings: the typical case where the heading may be anything.
    EveryHeading {
        /// 0 to 90.
        tilt_deg: f64,
    },
    /// Square to the sun: the bound where the tilt may be anything too.
    SunNormal,
}

impl Aim {
    /// Whether the plane lies flat, so that its heading means nothing.
    #[must_use]
    pub fn is_flat(self) -> bool {
        match self {
            Self::Fixed { tilt_deg, .. } | Self::FacingSun { tilt_deg } | Self::EveryHeading { tilt_deg } => {
                tilt_deg == 0.0
            }
            Self::SunNormal => false,
        }
    }

    /// Cosine of the tilt, and the cosine of the angle of incidence where the sun is in front, else 0.
    fn cosines(self, sun: PlaneSun) -> (f64, f64) {
        let cos_z = sun.cos_apparent_zenith;
        let sin_z = (1.0 - cos_z * cos_z).max(0.0).sqrt();
        match self {
            Self::Fixed { tilt_deg, heading_deg } => {
                let (sin_tilt, cos_tilt) = tilt_deg.to_radians().sin_cos();
                let turned = (sun.azimuth_rad - heading_deg.to_radians()).cos();
                (cos_tilt, (cos_tilt * cos_z + sin_tilt * sin_z * turned).max(0.0))
            }
            Self::FacingSun { tilt_deg } => {
                let (sin_tilt, cos_tilt) = tilt_deg.to_radians().sin_cos();
                (cos_tilt, (cos_tilt * cos_z + sin_tilt * sin_z).max(0.0))
            }
            Self::EveryHeading { tilt_deg } => {
                let (sin_tilt, cos_tilt) = tilt_deg.to_radians().sin_cos();
                (cos_tilt, mean_positive(cos_tilt * cos_z, sin_tilt * sin_z))
            }
            Self::SunNormal => (cos_z.max(0.0), 1.0),
        }
    }
}

/// Mean of max(a + b cos x, 0) over a full turn of x, b not negative.
fn mean_positive(a: f64, b: f64) -> f64 {
    if a >= b {
        return a;
    }
    if a <= -b {
        return 0.0;
    }
    let edge = (-a / b).acos();
    (a * edge + b * edge.sin()) / std::f64::consts::PI
}

/// What Hay and Davies' sky needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HayDaviesInput {
    /// Diffuse horizontal, W/m2.
    pub dhi_w_m2: f64,
    /// Direct normal, W/m2.
    pub dni_w_m2: f64,
    /// Above the air, facing the sun, W/m2.
    pub extraterrestrial_w_m2: f64,
    /// Cosine of the (apparent) zenith angle.
    pub cos_zenith: f64,
    /// Cosine of the angle of incidence on the plane; below 0 it counts as 0.
    pub cos_incidence: f64,
    /// Cosine of the plane's tilt.
    pub cos_tilt: f64,
}

/// Sky light on a tilted plane, W/m2 [HAYDAVIES1980]: DHI (A Rb + (1 - A)(1 + cos tilt)/2), A = DNI / E0,
/// Rb = max(cos incidence, 0) / max(cos z, 0.01745).
///
/// Pure: no cap, no shortcut. About 5 % of the sky light.
#[must_use]
pub fn hay_davies(input: HayDaviesInput) -> f64 {
    let anisotropy = input.dni_w_m2 / input.extraterrestrial_w_m2;
    let ratio = input.cos_incidence.max(0.0) / input.cos_zenith.max(SMALLEST_COS);
    let isotropic = (1.0 - anisotropy) * 0.5 * (1.0 + input.cos_tilt);
    (input.dhi_w_m2 * (anisotropy * ratio + isotropic)).max(0.0)
}

/// The sun as a plane sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneSun {
    /// Cosine of the true zenith angle, for splitting global light.
    pub cos_zenith: f64,
    /// Cosine of the apparent zenith angle, for projecting it.
    pub cos_apparent_zenith: f64,
    /// Radians clockwise from north.
    pub azimuth_rad: f64,
}

/// What is known of the light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlaneLight {
    /// Global horizontal alone, W/m2.
    Global(f64),
    /// All three parts.
    Parts(Parts),
}

/// What light on a plane needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneInput {
    /// Where the plane looks.
    pub aim: Aim,
    /// What light there is.
    pub light: PlaneLight,
    /// Where the sun stands.
    pub sun: PlaneSun,
    /// Above the air, facing the sun, W/m2.
    pub extraterrestrial_w_m2: f64,
    /// Share of light that the ground throws back, 0 to 1.
    pub albedo: f64,
}

/// Light on a plane, W/m2: direct, sky [HAYDAVIES1980] and ground GHI albedo (1 - cos tilt)/2.
///
/// A flat plane given global light alone receives exactly that; given parts, DNI cos z + DHI. Global light on a
/// tilted plane is split first [ERBS1982]. Beyond 85 deg of zenith sky light is capped at 2.5 DHI; beyond 90 deg
/// there is no direct light. No losses by incidence or dirt.
#[must_use]
pub fn plane(input: PlaneInput) -> f64 {
    let parts = match input.light {
        PlaneLight::Global(ghi) if input.aim.is_flat() => return ghi,
        PlaneLight::Global(ghi_w_m2) => erbs(Clearness {
            ghi_w_m2,
            cos_zenith: input.sun.cos_zenith,
            extraterrestrial_w_m2: input.extraterrestrial_w_m2,
        }),
        PlaneLight::Parts(parts) => parts,
    };
    let cos_zenith = input.sun.cos_apparent_zenith;
    if input.aim.is_flat() && cos_zenith >= SMALLEST_COS {
        return parts.dni * cos_zenith + parts.dhi;
    }
    let (cos_tilt, cos_incidence) = input.aim.cosines(input.sun);
    let direct = if cos_zenith > 0.0 { parts.dni * cos_incidence } else { 0.0 };
    let mut sky = hay_davies(HayDaviesInput {
        dhi_w_m2: parts.dhi,
        dni_w_m2: parts.dni,
        extraterrestrial_w_m2: input.extraterrestrial_w_m2,
        cos_zenith,
        cos_incidence,
        cos_tilt,
    });
    if cos_zenith < CAP_FROM_DEG.to_radians().cos() {
        sky = sky.min(CAP_FACTOR * parts.dhi);
    }
    direct + sky + parts.ghi * input.albedo * (1.0 - cos_tilt) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn input(aim: Aim, light: PlaneLight, zenith_deg: f64) -> PlaneInput {
        let cos = zenith_deg.to_radians().cos();
        let sun = PlaneSun { cos_zenith: cos, cos_apparent_zenith: cos, azimuth_rad: 2.5 };
        PlaneInput { aim, light, sun, extraterrestrial_w_m2: 1361.0, albedo: ALBEDO }
    }

    #[test]
    fn a_flat_plane_given_global_light_receives_exactly_that() {
        for zenith in [20.0, 75.0, 89.9, 90.5] {
            for aim in [
                Aim::Fixed { tilt_deg: 0.0, heading_deg: 77.0 },
                Aim::FacingSun { tilt_deg: 0.0 },
                Aim::EveryHeading { tilt_deg: 0.0 },
            ] {
                assert!(plane(input(aim, PlaneLight::Global(123.456), zenith)) == 123.456);
            }
        }
    }

    #[test]
    fn facing_the_sun_beats_every_heading_and_square_beats_all() {
        let parts = Parts { ghi: 400.0, dni: 800.0, dhi: 60.0 };
        let light = PlaneLight::Parts(parts);
        let best = plane(input(Aim::FacingSun { tilt_deg: 40.0 }, light, 65.0));
        let mut sum = 0.0;
        for heading in 0..3600 {
            let aim = Aim::Fixed { tilt_deg: 40.0, heading_deg: f64::from(heading) / 10.0 };
            let fixed = plane(input(aim, light, 65.0));
            assert!(fixed <= best + 1e-9);
            sum += fixed;
        }
        let mean = plane(input(Aim::EveryHeading { tilt_deg: 40.0 }, light, 65.0));
        assert!((sum / 3600.0 - mean).abs() < 1e-3, "{} {mean}", sum / 3600.0);
        // Square to the sun the direct light is all there is of it; 65 deg of tilt sees more ground.
        let square = plane(input(Aim::SunNormal, light, 65.0));
        let same = plane(input(Aim::FacingSun { tilt_deg: 65.0 }, light, 65.0));
        assert!((square - same).abs() < 1e-9 && square > best - parts.dhi);
    }

    #[test]
    fn the_cap_holds_at_the_horizon() {
        let parts = Parts { ghi: 30.0, dni: 500.0, dhi: 20.0 };
        let at = plane(input(Aim::FacingSun { tilt_deg: 90.0 }, PlaneLight::Parts(parts), 89.5));
        assert!(at <= 500.0 + 2.5 * 20.0 + 30.0);
    }
}
