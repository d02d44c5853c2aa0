//! Light on the rear of a panel.

use crate::heat::Mount;

/// Most light on the rear, as a share of the front's. Chosen because panels on stands over snow reach about 0.3.
const LARGEST_REAR_SHARE: f64 = 0.3;

/// What the rear of a panel sees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RearInput {
    /// How it is mounted: rears close to a roof see none.
    pub mount: Mount,
    /// Light on the front, W/m2.
    pub front_w_m2: f64,
    /// Global horizontal light, W/m2.
    pub ghi_w_m2: f64,
    /// Share that the ground throws back.
    pub albedo: f64,
    /// Tilt, degrees from horizontal.
    pub tilt_deg: f64,
}

/// Light on the rear, W/m2: GHI albedo (1 + cos tilt)/2 for a free-standing panel, held to 0.3 of the front; none
/// on a roof or with a narrow gap.
///
/// The ground in a panel's own shade is left out, so it reads high: the safe side.
#[must_use]
pub fn rear_light(input: RearInput) -> f64 {
    match input.mount {
        Mount::Roof | Mount::Gap => 0.0,
        Mount::Frame => {
            let ground = input.ghi_w_m2 * input.albedo * (1.0 + input.tilt_deg.to_radians().cos()) / 2.0;
            ground.min(LARGEST_REAR_SHARE * input.front_w_m2).max(0.0)
        }
    }
}

/// Light that counts for a bifacial panel, W/m2: front + ratio x rear. `bifacial` is the label's ratio, 0 for a
/// panel with a closed back. Comes before any factor of a code.
#[must_use]
pub fn with_rear(front_w_m2: f64, rear_w_m2: f64, bifacial: f64) -> f64 {
    front_w_m2 + bifacial * rear_w_m2
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_free_rear_sees_light() {
        let input = RearInput {
            mount: Mount::Frame,
            front_w_m2: 800.0,
            ghi_w_m2: 500.0,
            albedo: 0.8,
            tilt_deg: 60.0,
        };
        assert!((rear_light(input) - 240.0).abs() < 1e-9);
        assert!((rear_light(RearInput { albedo: 0.2, ..input }) - 75.0).abs() < 1e-9);
        assert!(rear_light(RearInput { mount: Mount::Roof, ..input }) == 0.0);
        assert!((with_rear(800.0, 240.0, 0.8) - 992.0).abs() < 1e-9);
    }
}
