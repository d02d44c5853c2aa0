//! Hours a year with an interval, by resampling whole seasons.

use super::moments::moments;
use super::odds::{CONFIDENCE, clopper_pearson};
use super::random::Random;

/// Seasons from which hours a year get an interval: with 10 such an interval covers 51 to 80 % instead of 90.
pub const SEASONS_FOR_INTERVAL: usize = 20;

/// Broken seasons from which hours a year get an interval.
pub const BROKEN_FOR_INTERVAL: usize = 5;

/// Resampled records. Chosen because more move the ends by less than 2 %.
const RESAMPLES: usize = 4000;

/// Error allowed to the lower end of the chance of a season that holds the lower end of the hours down. Chosen so that
/// the interval covers 85 % and more also among the records that print one only because they happened to hold many breaks.
const FLOOR_TAIL: f64 = 0.005;

/// Broken seasons from which a record no longer prints an interval by luck. Chosen as twice the number that it needs.
const BROKEN_BEYOND_CHANCE: usize = 2 * BROKEN_FOR_INTERVAL;

/// 90 % interval of the mean of `per_season` (hours, days) by resampling whole seasons, since hours within a season
/// hang together. The studentised bootstrap [EFRON1993]: each resampled mean is measured in its own standard errors,
/// which keeps the upper end honest for skewed counts.
///
/// A record prints an interval only once it holds enough breaks, so records with luckless draws are chosen: at a true
/// chance of 0.1 one of 25 records of 20 seasons prints one, and the plain studentised interval would lie too high in a
/// fifth to two fifths of those. Under ten broken seasons the lower end is therefore never above the mean times (lower Clopper-Pearson end of the
/// chance at 0.5 %) / (chance seen) [CLOPPER1934]. Simulated coverage among the records that print one: 84 to 98 % on
/// Gumbel draws and on bounded tails, chances from 0.1 to 0.9, 20 and 40 seasons (`tests/calibration.rs`); below a chance
/// of 0.1 next to no record prints one (one in 400 at 0.05), and there it still lies too high, on the safe side.
///
/// `None` with fewer than 20 seasons or fewer than 5 that are above zero, where no interval can be trusted: print the
/// observed range and the season's chance instead. Also `None` without any spread, and for values that are not finite or
/// are negative. The same `seed` gives the same interval.
#[must_use]
pub fn resampled_interval(per_season: &[f64], seed: u64) -> Option<(f64, f64)> {
    let count = per_season.len();
    let broken = per_season.iter().filter(|&&hours| hours > 0.0).count();
    if count < SEASONS_FOR_INTERVAL
        || broken < BROKEN_FOR_INTERVAL
        || per_season.iter().any(|&hours| hours < 0.0)
    {
        return None;
    }
    let seen = moments(per_season)?;
    if seen.sd <= 0.0 {
        return None;
    }
    let mut random = Random::seeded(seed);
    let mut drawn = vec![0.0; count];
    // A resample without any spread has no standard error to measure itself by, and drops out.
    let mut studentised: Vec<f64> = (0..RESAMPLES)
        .filter_map(|_| {
            drawn.fill_with(|| per_season[random.below(count)]);
            let resampled = moments(&drawn)?;
            (resampled.sd > 0.0).then(|| (resampled.mean - seen.mean) / resampled.sd)
        })
        .collect();
    studentised.sort_by(f64::total_cmp);
    let tail = 0.5 * (1.0 - CONFIDENCE);
    let at =
        |share: f64| -> Option<f64> { studentised.get((share * studentised.len() as f64) as usize).copied() };
    let (lowest, highest) = (at(tail)?, at(1.0 - tail)?);
    let mut low = (seen.mean - highest * seen.sd).max(0.0);
    if broken < BROKEN_BEYOND_CHANCE {
        let (surely, _) = clopper_pearson(broken as u64, count as u64, FLOOR_TAIL)?;
        low = low.min(seen.mean * surely / (broken as f64 / count as f64));
    }
    Some((low, seen.mean - lowest * seen.sd))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn seasons(broken: usize, whole: usize) -> Vec<f64> {
        (0..whole).map(|i| if i < broken { 1.0 + (i * 7 % 5) as f64 } else { 0.0 }).collect()
    }

    /// Six broken of twenty: the lower end is held down to the mean times 0.0846 / 0.3 (0.5 % end of the chance; scipy
    /// 1.17.1: beta.ppf(0.005, 6, 15)); with ten broken it is not.
    #[test]
    fn few_breaks_hold_the_lower_end_down() {
        let few: Vec<f64> = (0..20).map(|i| if i < 6 { 10.0 } else { 0.0 }).collect();
        let (low, _) = resampled_interval(&few, 1).unwrap();
        assert!((low - 3.0 * 0.084_550 / 0.3).abs() < 1e-3, "{low}");
        let many: Vec<f64> = (0..20).map(|i| if i < 10 { 10.0 } else { 0.0 }).collect();
        assert!(resampled_interval(&many, 1).unwrap().0 > 5.0 * 0.2177 / 0.5 + 0.1);
    }

    #[test]
    fn silent_on_thin_records() {
        assert_eq!(resampled_interval(&seasons(10, 19), 1), None);
        assert_eq!(resampled_interval(&seasons(4, 30), 1), None);
        assert_eq!(resampled_interval(&[3.0; 25], 1), None);
        assert_eq!(resampled_interval(&[f64::NAN; 25], 1), None);
        assert!(resampled_interval(&seasons(5, 20), 1).is_some());
    }

    #[test]
    fn holds_the_mean_repeats_itself_and_scales() {
        let hours = seasons(12, 30);
        let mean = hours.iter().sum::<f64>() / 30.0;
        let (low, high) = resampled_interval(&hours, 5).unwrap();
        assert!(0.0 < low && low < mean && mean < high);
        assert_eq!(resampled_interval(&hours, 5), Some((low, high)));
        let doubled: Vec<f64> = hours.iter().map(|h| 2.0 * h).collect();
        assert_eq!(resampled_interval(&doubled, 5), Some((2.0 * low, 2.0 * high)));
        let (other_low, other_high) = resampled_interval(&hours, 6).unwrap();
        assert!((other_low - low).abs() < 0.1 * mean && (other_high - high).abs() < 0.1 * mean);
    }

    /// Where counts are near normal the interval is the textbook one: mean +- 1.699 sd / sqrt 30 (Student's t with 29
    /// degrees of freedom, 95 % point from memory of the standard table).
    #[test]
    fn agrees_with_student_on_even_counts() {
        let hours: Vec<f64> = (0..30).map(|i| 100.0 + f64::from(i) - 14.5).collect();
        let sd = moments(&hours).unwrap().sd;
        let half = 1.699 * sd / 30.0_f64.sqrt();
        let (low, high) = resampled_interval(&hours, 2).unwrap();
        assert!((low - (100.0 - half)).abs() < 0.1 * half, "{low} {half}");
        assert!((high - (100.0 + half)).abs() < 0.1 * half, "{high} {half}");
    }
}
