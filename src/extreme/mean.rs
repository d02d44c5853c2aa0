//! How far the mean of a few seasons may lie from the true one.

use super::odds::CONFIDENCE;
use crate::num::bisect;
use statrs::function::beta::beta_reg;

/// Largest multiple that is looked for: that of two seasons is 6.3.
const LARGEST: f64 = 100.0;

/// Half the width of the 90 % interval around the mean of `n` seasons with the standard deviation `sd`: Student's t times
/// sd / sqrt(n). Exact for normal seasons; those of extremes are a little askew, which ten of them hardly show. `None` below two.
#[must_use]
pub fn mean_half_width(sd: f64, n: usize) -> Option<f64> {
    if n < 2 {
        return None;
    }
    let freedom = n as f64 - 1.0;
    // Both tails beyond t: I_x(freedom / 2, 1 / 2) with x = freedom / (freedom + t^2).
    let tails = |t: f64| beta_reg(freedom / 2.0, 0.5, freedom / (freedom + t * t));
    let t = bisect(0.0, LARGEST, |t| tails(t) - (1.0 - CONFIDENCE))?;
    Some(t * sd / (n as f64).sqrt())
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Student's t, two-sided 90 %, as printed tables have it (from memory): 6.314 for 1 degree of freedom, 2.132 for 4, 1.711
    /// for 24, 1.660 for 100.
    #[test]
    fn the_multiples_are_those_of_students_tables() {
        for (freedom, t) in [(1_usize, 6.314), (4, 2.132), (24, 1.711), (100, 1.660)] {
            let n = freedom + 1;
            let found = mean_half_width((n as f64).sqrt(), n).unwrap();
            assert!((found - t).abs() < 6e-4, "{freedom}: {found}");
        }
        assert_eq!(mean_half_width(1.0, 1), None);
    }
}
