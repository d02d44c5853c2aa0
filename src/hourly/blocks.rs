//! Which block an hour belongs to: a season, or one year's trip window.

use crate::time::{Hemisphere, LocalDay, Season};
use crate::trip::Window;

/// How a record is cut into blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blocks {
    /// Whole seasons.
    Seasons(Hemisphere),
    /// The days of a trip, year after year.
    Windows {
        /// The days at this stop.
        window: Window,
        /// Years from the trip's calendar start to this window's start: 1 for a stop reached after New Year on a
        /// trip that began before it.
        years_after_start: i32,
        /// For the season's name.
        hemisphere: Hemisphere,
    },
}

impl Blocks {
    /// The key of the block that a local day falls in: the season's first year, or the year of the trip's
    /// calendar start. `None` outside the window.
    #[must_use]
    pub fn key(&self, day: LocalDay) -> Option<i32> {
        match *self {
            Self::Seasons(hemisphere) => Some(Season::of(day, hemisphere).first_year),
            Self::Windows { window, years_after_start, .. } => {
                window.year_of(day).map(|began| began - years_after_start)
            }
        }
    }

    /// First day, and first day after the end, of a block.
    #[must_use]
    pub fn days(&self, key: i32) -> Option<(LocalDay, LocalDay)> {
        match *self {
            Self::Seasons(hemisphere) => {
                let season = Season::new(key, hemisphere);
                Some((season.first_day(), season.end_day()))
            }
            Self::Windows { window, years_after_start, .. } => {
                let (first, last) = window.days_from(key + years_after_start)?;
                Some((first, LocalDay(last.0 + 1)))
            }
        }
    }

    /// The season in which a block begins.
    #[must_use]
    pub fn season(&self, key: i32) -> Season {
        match *self {
            Self::Seasons(hemisphere) => Season::new(key, hemisphere),
            Self::Windows { hemisphere, .. } => {
                let first = self.days(key).map_or(LocalDay(0), |(first, _)| first);
                Season::of(first, hemisphere)
            }
        }
    }

    /// Whether a day counts for the coverage of its block: the colder six months of a season (October to March
    /// in the north, April to September in the south: the half-year around the lowest sun, chosen because
    /// 11-21 % of voltage maxima fall outside December to February and nearly none outside these six), every day
    /// of a window.
    #[must_use]
    pub fn counts_for_coverage(&self, day: LocalDay) -> bool {
        match *self {
            Self::Seasons(hemisphere) => {
                let month = day.month_day().month;
                let summer_half = (4..=9).contains(&month);
                match hemisphere {
                    Hemisphere::North => !summer_half,
                    Hemisphere::South => summer_half,
                }
            }
            Self::Windows { .. } => true,
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::time::MonthDay;

    fn day(year: i32, month: u32, day: u32) -> LocalDay {
        LocalDay::from_civil(year, month, day).unwrap()
    }

    fn window(arrive: (u32, u32), leave: (u32, u32)) -> Window {
        Window {
            arrive: MonthDay { month: arrive.0, day: arrive.1 },
            leave: MonthDay { month: leave.0, day: leave.1 },
        }
    }

    #[test]
    fn a_window_across_new_year_is_one_block() {
        let blocks = Blocks::Windows {
            window: window((12, 20), (1, 15)),
            years_after_start: 0,
            hemisphere: Hemisphere::North,
        };
        assert_eq!(blocks.key(day(1999, 12, 20)), Some(1999));
        assert_eq!(blocks.key(day(2000, 1, 15)), Some(1999));
        assert_eq!(blocks.key(day(2000, 1, 16)), None);
        assert_eq!(blocks.key(day(1999, 12, 19)), None);
        assert_eq!(blocks.days(1999), Some((day(1999, 12, 20), day(2000, 1, 16))));
        assert_eq!(blocks.season(1999).to_string(), "1999/00");
    }

    #[test]
    fn a_stop_after_new_year_belongs_to_the_trips_own_year() {
        let blocks = Blocks::Windows {
            window: window((1, 10), (1, 10)),
            years_after_start: 1,
            hemisphere: Hemisphere::North,
        };
        assert_eq!(blocks.key(day(2000, 1, 10)), Some(1999));
        assert_eq!(blocks.days(1999), Some((day(2000, 1, 10), day(2000, 1, 11))));
    }

    #[test]
    fn a_leap_day_arrival_exists_in_every_year() {
        let blocks = Blocks::Windows {
            window: window((2, 29), (3, 2)),
            years_after_start: 0,
            hemisphere: Hemisphere::North,
        };
        assert_eq!(blocks.days(2001), Some((day(2001, 2, 28), day(2001, 3, 3))));
        // In a common year the 28th stands in for the 29th, on both sides of the question.
        assert_eq!(blocks.key(day(2001, 2, 28)), Some(2001));
        assert_eq!(blocks.key(day(2004, 2, 28)), None);
    }
}
