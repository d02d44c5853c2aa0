//! How often: k broken seasons of N, with an interval that never says "never".

use serde::Serialize;
use statrs::function::beta::beta_reg;

/// Confidence of every two-sided interval that is printed.
pub const CONFIDENCE: f64 = 0.90;

/// The chance of a break in one season.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Odds {
    /// Lower end of the 90 % interval.
    pub low: f64,
    /// k of N.
    pub best: f64,
    /// Upper end of the 90 % interval.
    pub high: f64,
}

/// Seasons between two breaks, on average, with the same 90 % interval as the odds it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ReturnPeriod {
    /// Shortest: from the upper end of the chance.
    pub shortest: f64,
    /// From k of N; `None` where no break was seen.
    pub best: Option<f64>,
    /// Longest; `None` where no break was seen: the record sets no upper end.
    pub longest: Option<f64>,
}

/// Exact interval for a proportion [CLOPPER1934].
///
/// `tail` is the error allowed on each side: 0.05 gives a 90 % interval, and each end alone is a one-sided 95 % bound.
/// Covers at least as often as asked, for any true chance; with few trials clearly more often. `None` where `broken`
/// exceeds `trials`, `trials` is 0, or `tail` lies outside 0 to 0.5. Accuracy 1e-9.
///
/// Low end: the p for which k or more of N have chance `tail`, I_p(k, N - k + 1) = tail; high end: the p for which k or
/// fewer have it, I_p(k + 1, N - k) = 1 - tail; 0 and 1 for none and all.
#[must_use]
pub fn clopper_pearson(broken: u64, trials: u64, tail: f64) -> Option<(f64, f64)> {
    if trials == 0 || broken > trials || !(tail > 0.0 && tail < 0.5) {
        return None;
    }
    let (k, rest) = (broken as f64, (trials - broken) as f64);
    let low = if broken == 0 { 0.0 } else { beta_quantile(k, rest + 1.0, tail) };
    let high = if broken == trials { 1.0 } else { beta_quantile(k + 1.0, rest, 1.0 - tail) };
    Some((low, high))
}

/// Chance of a break in one season from the seasons that broke among those seen, with its 90 % Clopper-Pearson interval.
///
/// `None` without a season, or with more breaks than seasons.
#[must_use]
pub fn odds(broken: u64, seasons: u64) -> Option<Odds> {
    let (low, high) = clopper_pearson(broken, seasons, 0.5 * (1.0 - CONFIDENCE))?;
    Some(Odds { low, best: broken as f64 / seasons as f64, high })
}

/// Mean number of seasons between breaks: 1 / chance, end by end.
#[must_use]
pub fn return_period(odds: &Odds) -> ReturnPeriod {
    let period = |chance: f64| (chance > 0.0).then(|| 1.0 / chance);
    ReturnPeriod { shortest: 1.0 / odds.high, best: period(odds.best), longest: period(odds.low) }
}

/// Where the regularised incomplete beta function reaches `p`, by bisection: the function rises from 0 to 1.
fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    while high - low > 1e-12 {
        let middle = 0.5 * (low + high);
        if beta_reg(a, b, middle) < p { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn an_error_of_a_half_or_none_is_no_interval() {
        assert!(clopper_pearson(1, 10, 0.499).is_some());
        assert_eq!((clopper_pearson(1, 10, 0.5), clopper_pearson(1, 10, 0.0)), (None, None));
    }

    #[test]
    fn ends_are_what_they_are_defined_to_be() {
        // By direct sums of the binomial law, an independent way to the same ends.
        for (broken, seasons) in [(0_u64, 10_u64), (1, 10), (4, 17), (9, 10), (10, 10)] {
            let interval = odds(broken, seasons).unwrap();
            let at_least = |p: f64, k: u64| -> f64 { (k..=seasons).map(|i| binomial(seasons, i, p)).sum() };
            if broken > 0 {
                assert!((at_least(interval.low, broken) - 0.05).abs() < 1e-8);
            }
            if broken < seasons {
                assert!((1.0 - at_least(interval.high, broken + 1) - 0.05).abs() < 1e-8);
            }
        }
    }

    fn binomial(n: u64, k: u64, p: f64) -> f64 {
        let ways: f64 = (0..k).map(|i| (n - i) as f64 / (k - i) as f64).product();
        ways * p.powi(k as i32) * (1.0 - p).powi((n - k) as i32)
    }

    #[test]
    fn mirrors_and_orders() {
        for seasons in [1, 5, 25, 80] {
            let mut before = -1.0;
            for broken in 0..=seasons {
                let here = odds(broken, seasons).unwrap();
                let mirrored = odds(seasons - broken, seasons).unwrap();
                assert!((here.low - (1.0 - mirrored.high)).abs() < 1e-9);
                assert!(here.low <= here.best && here.best <= here.high);
                assert!(here.high > 0.0 && here.high > before, "never is not an answer");
                before = here.high;
            }
        }
    }

    #[test]
    fn refuses_what_makes_no_sense() {
        assert_eq!(odds(0, 0), None);
        assert_eq!(odds(3, 2), None);
        assert_eq!(clopper_pearson(1, 10, 0.0), None);
        assert_eq!(clopper_pearson(1, 10, f64::NAN), None);
    }

    #[test]
    fn a_break_never_seen_has_no_longest_period() {
        let period = return_period(&odds(0, 20).unwrap());
        assert_eq!((period.best, period.longest), (None, None));
        assert!((period.shortest - 1.0 / 0.1391).abs() < 0.01);
        let seen = return_period(&odds(2, 20).unwrap());
        assert!((seen.best.unwrap() - 10.0).abs() < 1e-12);
        assert!(seen.shortest < 10.0 && seen.longest.unwrap() > 10.0);
    }
}
