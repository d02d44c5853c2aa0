//! n-year levels and the predictive level from the moments of season extremes.

use super::factors;
use super::gumbel::frequency_factor;
use super::moments::{Moments, Side};
use serde::Serialize;

/// Complete seasons from which an n-year level is printed. Chosen because the standard error of a 20-year level is
/// 0.83 standard deviations at 10 seasons and grows fast below.
pub const SEASONS_FOR_LEVEL: usize = 10;

/// Complete seasons from which the predictive level is printed. Chosen because its factor, 3.07 at 5 seasons for 20
/// years, doubles below.
pub const SEASONS_FOR_PREDICTIVE: usize = 5;

/// An n-year level with what is known about its accuracy.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Level {
    /// Return period: in the long run one season in so many lies beyond the level.
    pub years: f64,
    /// The level, in the unit of the extremes.
    pub value: f64,
    /// Standard error of the level.
    pub standard_error: f64,
    /// One-sided bound: in nine of ten records the true level lies on the mild side of it.
    pub bound_90: f64,
}

/// n-year value by the method of moments, in the unit of the extremes, whatever the number of seasons.
///
/// M - F s for lows, M + F s for maxima [ASHRAE2009]. Reports use [`level`], which is silent on short records.
#[must_use]
pub fn n_year_value(moments: &Moments, years: f64, side: Side) -> f64 {
    side.beyond(moments.mean, frequency_factor(years) * moments.sd)
}

/// Standard error of the n-year value by moments, Gumbel law: s sqrt((1 + 1.1396 F + 1.1000 F^2) / N) [KITE1977].
///
/// For large N; at 10 seasons the spread of simulated levels agrees within a few per cent, but they scatter to the mild
/// side more than a normal law would, hence the multiples behind [`Level::bound_90`].
#[must_use]
pub fn standard_error(moments: &Moments, years: f64) -> f64 {
    let f = frequency_factor(years);
    moments.sd * ((1.0 + 1.1396 * f + 1.1000 * f * f) / moments.n as f64).sqrt()
}

/// The n-year level of season extremes by the method of moments.
///
/// `years` from 2 to 200; `None` outside, and below 10 seasons. [ASHRAE2009] for the value, [KITE1977] for its error;
/// the bound lies a simulated multiple of the standard error beyond it (1.94 at 10 seasons, 1.61 at 30 for 20 years,
/// instead of 1.28, which would hold in 76 to 86 % of records only).
#[must_use]
pub fn level(moments: &Moments, years: f64, side: Side) -> Option<Level> {
    if moments.n < SEASONS_FOR_LEVEL {
        return None;
    }
    let multiple = factors::bound_multiple(moments.n, years)?;
    let value = n_year_value(moments, years, side);
    let standard_error = standard_error(moments, years);
    Some(Level { years, value, standard_error, bound_90: side.beyond(value, multiple * standard_error) })
}

/// The level that the next season passes with chance 1 / years, given what so few seasons can say.
///
/// `years` from 2 to 200; `None` outside, and below 5 seasons. M + k s with k by simulation of Gumbel records: the plain
/// n-year value takes mean and standard deviation for known and is passed too often (by 8 % of seasons instead of 5 %
/// for 20 years from 10 seasons).
#[must_use]
pub fn predictive(moments: &Moments, years: f64, side: Side) -> Option<f64> {
    let factor = predictive_factor(moments.n, years)?;
    Some(side.beyond(moments.mean, factor * moments.sd))
}

/// The k of [`predictive`]: 3.07, 2.67, 2.39, 2.22, 2.12, 2.05 for 5, 7, 10, 15, 20, 30 seasons and 20 years.
#[must_use]
pub fn predictive_factor(seasons: usize, years: f64) -> Option<f64> {
    if seasons < SEASONS_FOR_PREDICTIVE {
        return None;
    }
    factors::predictive(seasons, years)
}

/// Chance that at least one of `seasons` seasons lies beyond the true n-year level: 1 - (1 - 1/n)^N.
///
/// A record low beyond the 20-year level is normal in a long record: 0.64 at 20 seasons.
#[must_use]
pub fn chance_beyond_level(years: f64, seasons: usize) -> f64 {
    1.0 - (1.0 - 1.0 / years).powf(seasons as f64)
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    const UNIT: Moments = Moments { n: 10, mean: 0.0, sd: 1.0 };

    /// Hydrology texts: mean 500, standard deviation 100, 100 years: 813.7. ASHRAE 2009, Amsterdam: -8.7, 3.8, 20
    /// years: -15.7 (each printed to 0.1, the spread counts twice).
    #[test]
    fn printed_levels() {
        let flood = Moments { n: 30, mean: 500.0, sd: 100.0 };
        assert!((n_year_value(&flood, 100.0, Side::High) - 813.7).abs() < 0.05);
        let amsterdam = Moments { n: 30, mean: -8.7, sd: 3.8 };
        assert!((n_year_value(&amsterdam, 20.0, Side::Low) + 15.7).abs() < 0.25);
        assert_eq!(
            level(&amsterdam, 20.0, Side::Low).unwrap().value,
            n_year_value(&amsterdam, 20.0, Side::Low)
        );
    }

    /// By hand: F(20) = 1.8658, so sqrt((1 + 1.1396 F + 1.1 F^2) / 10) = sqrt(6.9557 / 10) = 0.8340.
    #[test]
    fn the_error_of_a_level_by_hand() {
        assert!((standard_error(&UNIT, 20.0) - 0.8340).abs() < 1e-4);
        let wide = Moments { n: 40, sd: 3.0, ..UNIT };
        assert!((standard_error(&wide, 20.0) - 3.0 * 0.8340 / 2.0).abs() < 2e-4);
    }

    #[test]
    fn a_bound_lies_beyond_its_level_and_short_records_have_neither() {
        let low = level(&UNIT, 20.0, Side::Low).unwrap();
        assert_eq!((low.years, low.standard_error), (20.0, standard_error(&UNIT, 20.0)));
        // 1.945 standard errors at 10 seasons, from the table.
        assert!((low.bound_90 - (low.value - 1.945 * low.standard_error)).abs() < 1e-9);
        let high = level(&UNIT, 20.0, Side::High).unwrap();
        assert_eq!((high.value, high.bound_90), (-low.value, -low.bound_90));
        assert_eq!(level(&Moments { n: 9, ..UNIT }, 20.0, Side::Low), None);
        assert_eq!(level(&UNIT, 201.0, Side::Low), None);
    }

    #[test]
    fn the_predictive_level_by_its_factor() {
        let seen = Moments { n: 10, mean: -20.0, sd: 3.0 };
        assert!((predictive(&seen, 20.0, Side::Low).unwrap() - (-20.0 - 3.0 * 2.396)).abs() < 1e-9);
        assert!((predictive(&seen, 20.0, Side::High).unwrap() - (-20.0 + 3.0 * 2.396)).abs() < 1e-9);
        assert!((predictive_factor(5, 20.0).unwrap() - 3.061).abs() < 1e-9);
        assert_eq!(predictive_factor(4, 20.0), None);
    }

    /// 1 - 0.95^20 = 0.6415.
    #[test]
    fn a_long_record_passes_its_own_level() {
        assert!((chance_beyond_level(20.0, 20) - 0.6415).abs() < 1e-4);
        assert_eq!(chance_beyond_level(20.0, 0), 0.0);
        assert!((chance_beyond_level(20.0, 1) - 0.05).abs() < 1e-12);
    }
}
