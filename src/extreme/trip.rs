//! The chance that a whole trip breaks a limit in a season, from the seasons themselves.
//!
//! Neighbouring stops share cold spells, so chances of stops can be neither added nor multiplied. Every season's trip is
//! replayed instead: it broke the limit where any of its stops did, and a spell that reached two stops counts once.
//!
//! What the fold over the hours must deliver, for every stop: each window that its record covers, broken or not, under
//! the year in which the whole trip begins (`trip::years_after_start`), from the same limit and the same voltage. A window
//! that is not covered well enough but was broken may be entered as broken; entered as not broken it would count a
//! missing winter as mild.

use super::odds::{CONFIDENCE, Odds, clopper_pearson, odds};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Common seasons from which the trip's chance is printed; below only bounds.
pub const COMMON_SEASONS_FOR_CHANCE: usize = 10;

/// What one stop's window did in every season that its record covers: true where the limit was broken.
///
/// The key is the year in which the whole **trip** begins, for every stop: a trip that leaves on 20 December 1990 has
/// its January stop under 1990 too. A window that the record does not cover has no entry; it is never "not broken".
pub type StopSeasons = BTreeMap<i32, bool>;

/// The whole trip's chance in one season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TripChance {
    /// Years of the trip's start for which every stop has an entry.
    pub common_seasons: Vec<i32>,
    /// Those in which any stop broke the limit.
    pub broken_seasons: Vec<i32>,
    /// k of N with its 90 % interval; `None` under 10 common seasons.
    pub odds: Option<Odds>,
    /// What holds however the stops hang together, each from its own seasons.
    pub bounds: Bounds,
    /// The stop with the largest chance of its own, by position; the first of equals; `None` where none broke.
    pub deciding_stop: Option<usize>,
}

/// Bounds of the trip's chance that need no common season.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bounds {
    /// The largest single chance: all stops break together or not at all.
    pub largest_single: f64,
    /// The sum of the single chances, at most 1: no two stops ever break in the same season.
    pub sum: f64,
    /// One-sided 95 % bound of the trip's chance, which also speaks where no break was seen.
    pub at_most: f64,
}

/// The trip's chance from its stops, in the order of the trip.
///
/// `None` without a stop, or where a stop has no season at all.
#[must_use]
pub fn chance(stops: &[StopSeasons]) -> Option<TripChance> {
    let (first, others) = stops.split_first()?;
    if stops.iter().any(BTreeMap::is_empty) {
        return None;
    }
    let common_seasons: Vec<i32> =
        first.keys().copied().filter(|year| others.iter().all(|stop| stop.contains_key(year))).collect();
    let broken: BTreeSet<i32> = stops
        .iter()
        .flat_map(|stop| stop.iter().filter(|&(_, &broken)| broken).map(|(&year, _)| year))
        .collect();
    let broken_seasons: Vec<i32> =
        common_seasons.iter().copied().filter(|year| broken.contains(year)).collect();
    let counted = odds(broken_seasons.len() as u64, common_seasons.len() as u64)
        .filter(|_| common_seasons.len() >= COMMON_SEASONS_FOR_CHANCE);
    let singles: Vec<f64> = stops.iter().map(|stop| broken_in(stop) as f64 / stop.len() as f64).collect();
    let largest_single = singles.iter().copied().fold(0.0, f64::max);
    let deciding_stop = singles.iter().position(|&single| single == largest_single && single > 0.0);
    let at_most = at_most(stops, broken_seasons.len(), common_seasons.len());
    Some(TripChance {
        common_seasons,
        broken_seasons,
        odds: counted,
        bounds: Bounds { largest_single, sum: singles.iter().sum::<f64>().min(1.0), at_most },
        deciding_stop,
    })
}

fn broken_in(stop: &StopSeasons) -> usize {
    stop.values().filter(|&&broken| broken).count()
}

/// Upper bound of the trip's chance, at 95 %: either from the trip's own common seasons, or the stops' bounds added,
/// each with its share of the error, so that all hold at once whether or not the stops hang together.
///
/// Which of the two is decided by the lengths of the records alone: the one that would be tighter had nothing broken.
/// Choosing by what was seen would spoil the 95 %.
fn at_most(stops: &[StopSeasons], broken: usize, common: usize) -> f64 {
    let end = |broken: usize, seasons: usize, tail: f64| {
        clopper_pearson(broken as u64, seasons as u64, tail).map_or(1.0, |(_, high)| high)
    };
    let share = ERROR / stops.len() as f64;
    let added = |count: fn(&StopSeasons) -> usize| -> f64 {
        stops.iter().map(|stop| end(count(stop), stop.len(), share)).sum()
    };
    let bound =
        if end(0, common, ERROR) <= added(|_| 0) { end(broken, common, ERROR) } else { added(broken_in) };
    bound.min(1.0)
}

/// Error of the one-sided bound; each end of a 90 % interval has the same.
const ERROR: f64 = 0.5 * (1.0 - CONFIDENCE);

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn stop(seasons: &[(i32, u8)]) -> StopSeasons {
        seasons.iter().map(|&(year, broken)| (year, broken == 1)).collect()
    }

    /// Worked by hand. Three stops; the record of the second begins a year later, that of the third lacks 2004.
    ///
    /// | trip begins | A | B | C | trip |
    /// |---|---|---|---|---|
    /// | 2001 | broken | - | held | not common |
    /// | 2002 | held | held | held | held |
    /// | 2003 | broken | broken | held | broken, one spell at two stops |
    /// | 2004 | held | broken | - | not common |
    /// | 2005 | held | held | broken | broken |
    /// | 2006 | held | held | held | held |
    ///
    /// Common: 2002, 2003, 2005, 2006; broken: 2 of 4. Under ten, so bounds alone: singles 2/6, 2/5, 1/5; the largest
    /// 0.4 to their sum 14/15. The second stop decides.
    #[test]
    fn three_stops_and_six_seasons() {
        let a = stop(&[(2001, 1), (2002, 0), (2003, 1), (2004, 0), (2005, 0), (2006, 0)]);
        let b = stop(&[(2002, 0), (2003, 1), (2004, 1), (2005, 0), (2006, 0)]);
        let c = stop(&[(2001, 0), (2002, 0), (2003, 0), (2005, 1), (2006, 0)]);
        let trip = chance(&[a, b, c]).unwrap();
        assert_eq!(trip.common_seasons, [2002, 2003, 2005, 2006]);
        assert_eq!(trip.broken_seasons, [2003, 2005]);
        assert_eq!(trip.odds, None);
        assert!((trip.bounds.largest_single - 0.4).abs() < 1e-12);
        assert!((trip.bounds.sum - 14.0 / 15.0).abs() < 1e-12);
        // 2 of 4, one-sided 95 %: the p with 1 - 4 p^3 (1 - p) - p^4 = 0.05 (scipy 1.17.1: beta.ppf(0.95, 3, 2)).
        assert!((trip.bounds.at_most - 0.902_388).abs() < 1e-6);
        assert_eq!(trip.deciding_stop, Some(1));
    }

    #[test]
    fn shared_spells_count_once() {
        let years = 1990..2010;
        let seasons: StopSeasons = years.map(|year| (year, year % 5 == 0)).collect();
        let trip = chance(&[seasons.clone(), seasons.clone()]).unwrap();
        assert_eq!((trip.broken_seasons.len(), trip.common_seasons.len()), (4, 20));
        assert_eq!(trip.odds, odds(4, 20));
        assert_eq!(trip.deciding_stop, Some(0), "the first of equals");
        let alone = chance(&[seasons]).unwrap();
        assert_eq!(alone.odds, trip.odds);
        assert!((alone.bounds.at_most - alone.odds.unwrap().high).abs() < 1e-9);
    }

    #[test]
    fn no_break_seen_is_no_promise() {
        let quiet: StopSeasons = (2000..2008).map(|year| (year, false)).collect();
        let trip = chance(&[quiet.clone(), quiet]).unwrap();
        assert_eq!((trip.odds, trip.deciding_stop), (None, None));
        assert_eq!((trip.bounds.largest_single, trip.bounds.sum), (0.0, 0.0));
        assert!((trip.bounds.at_most - (1.0 - 0.05_f64.powf(1.0 / 8.0))).abs() < 1e-9);
    }

    /// Two stops of thirty quiet seasons with one season in common: the added bounds say more than that one season.
    #[test]
    fn long_records_with_little_in_common_are_added() {
        let first: StopSeasons = (1970..2000).map(|year| (year, false)).collect();
        let second: StopSeasons = (1999..2029).map(|year| (year, false)).collect();
        let trip = chance(&[first, second]).unwrap();
        assert_eq!(trip.common_seasons, [1999]);
        assert!((trip.bounds.at_most - 2.0 * (1.0 - 0.025_f64.powf(1.0 / 30.0))).abs() < 1e-9);
    }

    #[test]
    fn without_seasons_no_chance() {
        assert_eq!(chance(&[]), None);
        assert_eq!(chance(&[StopSeasons::new(), stop(&[(2000, 0)])]), None);
        let apart = chance(&[stop(&[(2000, 0)]), stop(&[(2001, 1)])]).unwrap();
        assert!(apart.common_seasons.is_empty() && apart.odds.is_none());
    }
}
