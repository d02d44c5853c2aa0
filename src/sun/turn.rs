//! Sine and cosine of many angles: from a table of parts of a turn and short series, at a third of the cost of the
//! standard library's, which stands beside and holds this form in a test.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// Parts of a turn in the table: a power of two, so that a part is found by masking.
const PARTS: usize = 128;

/// Sine and cosine at the beginning of each part.
static TABLE: LazyLock<[(f64, f64); PARTS]> = LazyLock::new(|| {
    std::array::from_fn(|part| {
        // From the first quarter, where the angle itself is rounded least.
        let (sin, cos) = ((part % (PARTS / 4)) as f64 * (PI / 64.0)).sin_cos();
        match part / (PARTS / 4) {
            0 => (sin, cos),
            1 => (cos, -sin),
            2 => (-sin, -cos),
            _ => (-cos, sin),
        }
    })
});

/// What the double nearest to pi lacks of it.
const PI_REST: f64 = 1.224_646_799_147_353_2e-16;
/// A part of a turn, in three: the first of few enough bits that whole multiples of it are exact, the second what the
/// double nearest to a part has besides, the third what that lacks.
const PART_HIGH: f64 = f64::from_bits((PI / 64.0).to_bits() & !0x3fff_ffff);
const PART_MIDDLE: f64 = PI / 64.0 - PART_HIGH;
const PART_LOW: f64 = PI_REST / 64.0;

/// Added to a number below 2^51 it leaves that number's nearest whole one in the lowest bits.
const TO_WHOLE: f64 = 6_755_399_441_055_744.0;

/// Largest angle for which multiples of [`PART_HIGH`] (23 bits) are exact, radians: 2^29 parts. A record of four
/// hundred years turns through a million.
const LARGEST: f64 = 2.0e7;

/// The table at hand: fetched once by whoever asks for many angles.
#[derive(Clone, Copy)]
pub(super) struct Turns(&'static [(f64, f64); PARTS]);

impl std::fmt::Debug for Turns {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Turns")
    }
}

impl Turns {
    pub(super) fn new() -> Self {
        Self(&TABLE)
    }

    /// Sine and cosine of `radians`, within 5e-16 of the standard library's.
    #[inline]
    pub(super) fn sin_cos(self, radians: f64) -> (f64, f64) {
        if radians.abs() >= LARGEST || radians.is_nan() {
            return radians.sin_cos();
        }
        let shifted = radians * (PARTS as f64 / (2.0 * PI)) + TO_WHOLE;
        let parts = shifted - TO_WHOLE;
        #[expect(clippy::cast_possible_truncation, reason = "the lowest bits are meant")]
        let (sin_part, cos_part) = self.0[shifted.to_bits() as usize % PARTS];
        let rest = ((radians - parts * PART_HIGH) - parts * PART_MIDDLE) - parts * PART_LOW;
        // At most half a part, 0.0245: the first terms left out are below 1e-17 of the whole.
        // Multiplied by reciprocals: each division would wait for the one before, and take four times as long.
        let s = rest * rest;
        let sin = rest * (1.0 - s * (1.0 / 6.0) * (1.0 - s * (1.0 / 20.0) * (1.0 - s * (1.0 / 42.0))));
        let cos =
            1.0 - 0.5 * s * (1.0 - s * (1.0 / 12.0) * (1.0 - s * (1.0 / 30.0) * (1.0 - s * (1.0 / 56.0))));
        (sin_part * cos + cos_part * sin, cos_part * cos - sin_part * sin)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_angle_gives_what_the_standard_library_gives(radians in -1.2e6..1.2e6_f64) {
            let ((sin, cos), (plain_sin, plain_cos)) = (Turns::new().sin_cos(radians), radians.sin_cos());
            prop_assert!((sin - plain_sin).abs() <= 5e-16 && (cos - plain_cos).abs() <= 5e-16);
        }
    }

    #[test]
    fn so_do_the_borders_of_parts_and_the_far_out() {
        for part in -300..=300 {
            for aside in [-1e-9, 0.0, 1e-9, 0.5, 0.499_999_999, 0.25] {
                let radians = (f64::from(part) + aside) * (PI / 64.0);
                let ((sin, cos), (plain_sin, plain_cos)) = (Turns::new().sin_cos(radians), radians.sin_cos());
                assert!((sin - plain_sin).abs() <= 5e-16 && (cos - plain_cos).abs() <= 5e-16, "{radians}");
            }
        }
        for radians in [1e8, -3e12, f64::NAN, f64::INFINITY] {
            let ((sin, cos), (plain_sin, plain_cos)) = (Turns::new().sin_cos(radians), radians.sin_cos());
            assert_eq!((sin.to_bits(), cos.to_bits()), (plain_sin.to_bits(), plain_cos.to_bits()));
        }
    }
}
