//! Does a column of stamps without zone follow a clock with daylight saving?
//!
//! Such a clock leaves out an hour of a Sunday night in one half of the year and repeats one in the other. Read with
//! one fixed offset it would put half of the year an hour off, so the sun would stand elsewhere.

use crate::time::{DAY_S, HOUR_S, LocalDay};

/// Civil hours within which clocks are changed.
const CHANGE_HOURS: std::ops::RangeInclusive<i64> = 0..=3;
/// Months in which clocks are changed.
const CHANGE_MONTHS: [u32; 5] = [3, 4, 9, 10, 11];

/// Watches civil stamps go by.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct CivilClock {
    before: Option<i64>,
    step: Option<i64>,
    skipped: Option<u32>,
    repeated: Option<u32>,
}

impl CivilClock {
    /// The stamp of the next row.
    pub(super) fn pass(&mut self, civil_s: i64, line: u32) {
        let Some(before) = self.before.replace(civil_s) else { return };
        let step = civil_s - before;
        if (-HOUR_S..=0).contains(&step) {
            if sunday_night(civil_s) {
                self.repeated.get_or_insert(line);
            }
        } else if step > 0 && step <= HOUR_S {
            self.step = Some(self.step.map_or(step, |least| least.min(step)));
        } else if self.step.is_some_and(|least| step == least + HOUR_S) && sunday_night(civil_s) {
            self.skipped.get_or_insert(line);
        }
    }

    /// The lines where an hour is left out and where one is repeated, where both happen.
    pub(super) fn change(&self) -> Option<(u32, u32)> {
        self.skipped.zip(self.repeated)
    }
}

fn sunday_night(civil_s: i64) -> bool {
    let days = civil_s.div_euclid(DAY_S);
    // 1970-01-01 was a Thursday.
    let sunday = (days + 4).rem_euclid(7) == 0;
    let hour = civil_s.rem_euclid(DAY_S) / HOUR_S;
    let day = i32::try_from(days).map(LocalDay);
    sunday
        && CHANGE_HOURS.contains(&hour)
        && day.is_ok_and(|day| CHANGE_MONTHS.contains(&day.month_day().month))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn hour(month: u32, day: u32, hour: u32) -> i64 {
        crate::time::Stamp::from_utc(2013, month, day, hour, 0, 0).unwrap().0
    }

    #[test]
    fn a_clock_that_jumps_twice_a_year_is_seen() {
        // 10 March and 3 November 2013 were the changes in the United States.
        let mut clock = CivilClock::default();
        for (line, stamp) in [
            hour(3, 10, 0),
            hour(3, 10, 1),
            hour(3, 10, 3),
            hour(7, 1, 0),
            hour(11, 3, 0),
            hour(11, 3, 1),
            hour(11, 3, 1),
        ]
        .into_iter()
        .enumerate()
        {
            clock.pass(stamp, u32::try_from(line).unwrap());
        }
        assert_eq!(clock.change(), Some((2, 6)));
    }

    #[test]
    fn gaps_and_repeats_elsewhere_are_no_change_of_clocks() {
        let mut clock = CivilClock::default();
        for stamp in
            [hour(3, 11, 0), hour(3, 11, 1), hour(3, 11, 3), hour(11, 4, 1), hour(11, 4, 1), hour(11, 10, 15)]
        {
            clock.pass(stamp, 1);
        }
        assert_eq!(clock.change(), None);
    }
}
