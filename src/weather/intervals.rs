//! How often a record reports, half-year by half-year.
//!
//! Archives of many decades begin with a report every three hours and end with one every hour. A winter is judged by
//! the interval that it keeps itself: held against the whole record's hour, the early winters would count as two thirds
//! missing, and their hours over a limit as seen in full. Half-years are cut at the first of April and of October, so
//! that each holds one winter or one summer whole, on either side of the equator.

use super::Hour;
use crate::time::{HOUR_S, LocalDay, Stamp, UtcOffset};

/// Longest interval that a winter may keep and be complete, h. Chosen because what lies between reports every three
/// hours is known (0.5 to 2 K, printed beside the lows) and what lies between rarer ones is not: with a report every six
/// hours a winter holds half of what it promises.
const LONGEST_H: u32 = 3;
/// Share of the distances between neighbouring hours from which on their commonest is the half-year's own interval.
/// Chosen: with less of it nothing regular is there, and the record's own interval holds.
const REGULAR_SHARE: f64 = 0.5;

/// A regular time between reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Interval {
    /// Its length, h: 1, 2 or 3.
    pub step_h: u32,
    /// What is left of a report's stamp beyond whole intervals, s.
    phase_s: i64,
}

impl Interval {
    /// Its length, s.
    #[must_use]
    pub fn step_s(self) -> i64 {
        i64::from(self.step_h) * HOUR_S
    }

    /// Number of the promised report that a reading stands for.
    #[must_use]
    pub fn report(self, stamp: Stamp) -> i64 {
        // Divided by what the compiler knows, where that is what it is.
        match self.step_h {
            1 => (stamp.0 - self.phase_s).div_euclid(HOUR_S),
            _ => (stamp.0 - self.phase_s).div_euclid(self.step_s()),
        }
    }

    /// Where that report is promised.
    #[must_use]
    pub fn promised_at(self, report: i64) -> Stamp {
        Stamp(self.phase_s + report * self.step_s())
    }

    /// The first report promised at or after a moment.
    #[must_use]
    pub fn first_from(self, moment: Stamp) -> Stamp {
        moment.plus_s((self.phase_s - moment.0).rem_euclid(self.step_s()))
    }
}

/// The intervals of a record.
#[derive(Clone, Debug)]
pub struct Intervals {
    /// By half-year, in order; those without hours have the whole record's.
    halves: Vec<(i32, Interval)>,
    whole: Interval,
    offset: UtcOffset,
}

/// Number of the half-year that a day lies in: April to September, October to March.
fn half_year(day: LocalDay) -> i32 {
    let month = i32::try_from(day.month_day().month).unwrap_or(1) - 1;
    (day.year() * 12 + month - 3).div_euclid(6)
}

/// The first day of a half-year.
fn first_day(half: i32) -> LocalDay {
    let month = half * 6 + 3;
    let of_year = u32::try_from(month.rem_euclid(12)).unwrap_or(0) + 1;
    LocalDay::from_civil(month.div_euclid(12), of_year, 1).unwrap_or(LocalDay(i32::MAX))
}

impl Intervals {
    /// From sorted hours and the interval of the whole record. `offset` is that of the local days.
    #[must_use]
    pub fn of(hours: &[Hour], whole_h: u32, offset: UtcOffset) -> Self {
        let whole_h = whole_h.clamp(1, LONGEST_H);
        let mut halves: Vec<(i32, Interval)> = Vec::new();
        let mut rest = hours;
        while let Some(first) = rest.first() {
            let half = half_year(first.start.local_day(offset));
            let end = first_day(half + 1).start(offset);
            let (inside, after) = rest.split_at(rest.partition_point(|hour| hour.start < end).max(1));
            // A typical year's months jump: the first stretch of a half-year speaks for it.
            if halves.last().is_none_or(|(last, _)| *last < half) {
                halves.push((half, interval(inside, own_h(inside).unwrap_or(whole_h))));
            }
            rest = after;
        }
        Self { halves, whole: interval(&hours[..hours.len().min(1)], whole_h), offset }
    }

    /// The interval that holds on a local day.
    #[must_use]
    pub fn on(&self, day: LocalDay) -> Interval {
        let half = half_year(day);
        match self.halves.binary_search_by_key(&half, |(half, _)| *half) {
            Ok(at) => self.halves[at].1,
            Err(_) => self.whole,
        }
    }

    /// The interval that holds at a moment.
    #[must_use]
    pub fn at(&self, stamp: Stamp) -> Interval {
        self.on(stamp.local_day(self.offset))
    }

    /// Share of the reports promised from the first hour to the last that are there, 0 to 1. Of several readings between
    /// two promised reports one counts.
    #[must_use]
    pub fn share(&self, hours: &[Hour]) -> f64 {
        let (Some(first), Some(last)) = (hours.first(), hours.last()) else { return 0.0 };
        let (mut held, mut promised) = (0, 0);
        let mut rest = hours;
        let mut begin = first.start;
        while let Some(next) = rest.first() {
            let half = half_year(next.start.local_day(self.offset));
            let end = first_day(half + 1).start(self.offset);
            let (inside, after) = rest.split_at(rest.partition_point(|hour| hour.start < end).max(1));
            let interval = self.at(next.start);
            held += held_reports(interval, inside);
            // A half-year without a single hour between two others is promised too, in the next one's interval.
            promised += (end.0.min(last.start.0 + interval.step_s()) - begin.0) / interval.step_s();
            begin = end;
            rest = after;
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of hours")]
        let share = held as f64 / promised.max(1) as f64;
        share.min(1.0)
    }

    /// Whether winters or summers of the record keep different intervals: its shortest and its longest, h.
    #[must_use]
    pub fn mixed_h(&self) -> Option<(u32, u32)> {
        let steps = || self.halves.iter().map(|(_, interval)| interval.step_h);
        let (shortest, longest) = (steps().min()?, steps().max()?);
        (shortest < longest).then_some((shortest, longest))
    }
}

/// Promised reports for which there is at least one hour.
pub(super) fn held_reports(interval: Interval, hours: &[Hour]) -> i64 {
    let step_s = interval.step_s();
    let mut held = 0;
    // What the last report counted stands for; none as yet.
    let mut begin = i64::MIN;
    for hour in hours {
        let start = hour.start.0;
        if held > 0 && (begin..begin + step_s).contains(&start) {
            continue;
        }
        held += 1;
        // As a rule the next one, which needs no division.
        let next = begin.saturating_add(step_s);
        begin = match (next..next.saturating_add(step_s)).contains(&start) {
            true => next,
            false => interval.promised_at(interval.report(hour.start)).0,
        };
    }
    held
}

/// The commonest distance between neighbouring hours, where it is regular and short enough.
fn own_h(hours: &[Hour]) -> Option<u32> {
    if let [first, .., last] = hours
        && 4 * (last.start.0 - first.start.0) <= 5 * HOUR_S * i64::try_from(hours.len() - 1).ok()?
    {
        // Four hours of five are there: more than half of the distances must be one hour.
        return Some(1);
    }
    let mut counts = [0_usize; 1 + LONGEST_H as usize];
    for pair in hours.windows(2) {
        let distance = (pair[1].start.0 - pair[0].start.0) / HOUR_S;
        if let Some(count) = usize::try_from(distance).ok().and_then(|hours| counts.get_mut(hours)) {
            *count += 1;
        }
    }
    let step_h = (1..=LONGEST_H).max_by_key(|&step_h| (counts[step_h as usize], LONGEST_H - step_h))?;
    #[expect(clippy::cast_precision_loss, reason = "counts of hours")]
    let share = counts[step_h as usize] as f64 / hours.len().saturating_sub(1).max(1) as f64;
    (share >= REGULAR_SHARE).then_some(step_h)
}

/// With reports where most of these hours stand.
fn interval(hours: &[Hour], step_h: u32) -> Interval {
    let step_s = i64::from(step_h) * HOUR_S;
    if let (1, Some(first)) = (step_h, hours.first()) {
        return Interval { step_h, phase_s: first.start.0.rem_euclid(HOUR_S) };
    }
    let mut phases: Vec<(i64, u32)> = Vec::new();
    for hour in hours {
        let phase = hour.start.0.rem_euclid(step_s);
        match phases.iter_mut().find(|(known, _)| *known == phase) {
            Some((_, count)) => *count += 1,
            None => phases.push((phase, 1)),
        }
    }
    let commonest = phases.iter().max_by_key(|(phase, count)| (*count, -phase));
    Interval { step_h, phase_s: commonest.map_or(0, |(phase, _)| *phase) }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::super::Origin;
    use super::*;
    use crate::sky::Light;

    fn hours(stamps: impl Iterator<Item = i64>) -> Vec<Hour> {
        let hour = |start| Hour {
            start: Stamp(start),
            air_mean_c: 0.0,
            air_low_c: 0.0,
            air_high_c: 0.0,
            wind_m_s: None,
            light: Light::Unknown,
            origin: Origin { file: 0, line: 1 },
        };
        stamps.map(hour).collect()
    }

    fn at(year: i32, month: u32, day: u32) -> i64 {
        Stamp::from_utc(year, month, day, 0, 0, 0).unwrap().0
    }

    #[test]
    fn half_years_begin_in_april_and_october() {
        for (year, month, day, first) in [
            (2030, 4, 1, (2030, 4)),
            (2030, 9, 30, (2030, 4)),
            (2030, 10, 1, (2030, 10)),
            (2031, 3, 31, (2030, 10)),
        ] {
            let half = half_year(LocalDay::from_civil(year, month, day).unwrap());
            assert_eq!(first_day(half), LocalDay::from_civil(first.0, first.1, 1).unwrap());
        }
    }

    #[test]
    fn reports_counted_by_comparing_are_those_counted_by_dividing() {
        let mut seed = 7_u64;
        let mut random = |below: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % below
        };
        for step_h in 1..=3 {
            for phase_s in [0, 1200, 3540] {
                // Mostly the next hour, at times a few minutes, a day, or half a year on.
                let mut stamp = at(1969, 12, 30);
                let stamps: Vec<i64> = (0..4000)
                    .map(|_| {
                        stamp += match random(10) {
                            0 => i64::try_from(random(7200)).unwrap(),
                            1 => i64::try_from(random(180)).unwrap() * 86_400 + 60,
                            _ => HOUR_S,
                        };
                        stamp
                    })
                    .collect();
                let hours = hours(stamps.into_iter());
                let interval = Interval { step_h, phase_s };
                let mut plain: Vec<i64> = hours.iter().map(|hour| interval.report(hour.start)).collect();
                plain.dedup();
                assert_eq!(held_reports(interval, &hours), i64::try_from(plain.len()).unwrap());
            }
        }
    }

    #[test]
    fn each_half_year_keeps_its_own_interval_and_a_sparse_one_that_of_the_record() {
        // Every three hours (at 1, 4, 7 o'clock), then hourly, then every six hours, then twice a day.
        let three = (at(2000, 10, 1) + HOUR_S..at(2001, 10, 1)).step_by(3 * 3600);
        let one = (at(2001, 10, 1)..at(2003, 10, 1)).step_by(3600);
        let six = (at(2003, 10, 1)..at(2004, 4, 1)).step_by(6 * 3600);
        let twelve = (at(2004, 4, 1)..at(2004, 10, 1)).step_by(12 * 3600);
        let hours = hours(three.chain(one).chain(six).chain(twelve));
        let intervals = Intervals::of(&hours, 1, UtcOffset::UTC);
        let on = |year, month| intervals.on(LocalDay::from_civil(year, month, 15).unwrap());
        assert_eq!((on(2001, 1).step_h, on(2001, 7).step_h), (3, 3));
        assert_eq!(on(2001, 1).first_from(Stamp(at(2001, 1, 15))), Stamp(at(2001, 1, 15) + HOUR_S));
        for (year, month) in [(2002, 1), (2003, 7), (2004, 1), (2004, 7), (2010, 1)] {
            assert_eq!(on(year, month).step_h, 1, "{year}-{month}");
        }
        assert_eq!(intervals.mixed_h(), Some((1, 3)));
    }

    #[test]
    fn the_share_counts_reports_not_readings() {
        let winter = (at(2000, 10, 1)..at(2001, 4, 1)).step_by(3 * 3600);
        let mut stamps: Vec<i64> =
            winter.filter(|stamp| !(at(2001, 1, 1)..at(2001, 2, 1)).contains(stamp)).collect();
        // A fortnight every hour makes up for nothing.
        stamps.extend((at(2000, 11, 1)..at(2000, 11, 15)).step_by(3600));
        stamps.sort_unstable();
        stamps.dedup();
        let hours = hours(stamps.into_iter());
        let share = Intervals::of(&hours, 1, UtcOffset::UTC).share(&hours);
        assert!((share - 151.0 / 182.0).abs() < 0.001, "{share}");
    }
}
