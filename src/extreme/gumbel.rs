//! The Gumbel law of largest values, in its standard form: mode 0, scale 1.

use super::random::Random;

/// Mean of the standard law with the four digits of [ASHRAE2009] (Euler's constant is 0.57722); kept at four digits so
/// that levels agree with published tables.
pub const MEAN: f64 = 0.5772;

/// Standard deviation of the standard law: pi / sqrt 6.
pub const SD: f64 = 1.282_549_830_161_864;

/// Chance that a draw is at most `x`: exp(-exp(-x)).
#[must_use]
pub fn at_most(x: f64) -> f64 {
    (-(-x).exp()).exp()
}

/// Chance that a draw is above `x`, exact also where it is tiny.
#[must_use]
pub fn above(x: f64) -> f64 {
    -(-(-x).exp()).exp_m1()
}

/// The value that a draw stays below with chance `p`, for 0 < p < 1: -ln(-ln p). Infinite at 0 and 1.
#[must_use]
pub fn quantile(p: f64) -> f64 {
    -(-p.ln()).ln()
}

/// Number of standard deviations between the mean and the n-year level.
///
/// `years` above 1. F = -(sqrt 6 / pi) (0.5772 + ln ln(n / (n - 1))) [ASHRAE2009]; formula checked against six
/// published station records. Exact for the Gumbel law apart from the four digits of 0.5772 (0.00002).
#[must_use]
pub fn frequency_factor(years: f64) -> f64 {
    -(MEAN + (years / (years - 1.0)).ln().ln()) / SD
}

/// A draw, by the inverse of the distribution function.
///
/// Own, because the sampler of the statistics crate gives no number for this law.
pub fn draw(random: &mut Random) -> f64 {
    quantile(random.unit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_undoes_the_distribution() {
        for p in [1e-9, 0.05, 0.3679, 0.5, 0.9, 0.95, 0.98, 0.999_999] {
            assert!((at_most(quantile(p)) - p).abs() < 1e-12);
            assert!((above(quantile(p)) - (1.0 - p)).abs() < 1e-12);
        }
        assert!((quantile(0.5) - 0.366_512_920_581_664_35).abs() < 1e-12); // -ln ln 2
    }

    /// Largest distance between the drawn and the true distribution (Kolmogorov-Smirnov): 1.63 / sqrt N is its 1 %
    /// critical value, a value from memory of the standard table.
    #[test]
    fn draws_follow_the_distribution() {
        let mut random = Random::seeded(20);
        let mut drawn: Vec<f64> = (0..40_000).map(|_| draw(&mut random)).collect();
        drawn.sort_by(f64::total_cmp);
        let count = drawn.len() as f64;
        let distance = drawn
            .iter()
            .enumerate()
            .map(|(rank, &x)| {
                (at_most(x) - rank as f64 / count).abs().max((at_most(x) - (rank + 1) as f64 / count).abs())
            })
            .fold(0.0, f64::max);
        assert!(distance < 1.63 / count.sqrt(), "{distance}");
        let mean = drawn.iter().sum::<f64>() / count;
        let variance = drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count;
        assert!((mean - MEAN).abs() < 4.0 * SD / count.sqrt(), "{mean}");
        assert!((variance.sqrt() - SD).abs() < 0.03, "{variance}");
    }
}
