//! Which month an hour belongs to, and how many hours a year it stands for.

use crate::time::{LocalDay, Stamp, UtcOffset};
use crate::trip::Window;

/// Hours of the calendar months, February with its share of leap years.
const MONTH_H: [f64; 12] =
    [744.0, 678.0, 744.0, 720.0, 744.0, 720.0, 744.0, 744.0, 720.0, 744.0, 720.0, 744.0];
/// A common year in which a window is measured; any one would do.
const ANY_YEAR: i32 = 2001;

/// Counts the hours of each month that are there, inside the trip's days.
pub(super) struct Months {
    window: Option<Window>,
    offset: UtcOffset,
    observed: [f64; 12],
    today: Option<(LocalDay, Option<usize>)>,
}

impl Months {
    pub(super) fn new(window: Option<Window>, offset: UtcOffset) -> Self {
        Self { window, offset, observed: [0.0; 12], today: None }
    }

    /// The month of an hour, from 0; `None` outside the trip's days.
    pub(super) fn take(&mut self, start: Stamp) -> Option<usize> {
        let day = start.local_day(self.offset);
        let month = match self.today {
            Some((known, month)) if known == day => month,
            _ => {
                let date = day.month_day();
                let inside = self.window.is_none_or(|window| window.holds(date));
                let month = usize::try_from(date.month).ok().and_then(|month| month.checked_sub(1));
                let month = month.filter(|&month| inside && month < 12);
                self.today = Some((day, month));
                month
            }
        }?;
        self.observed[month] += 1.0;
        Some(month)
    }

    /// Months of the year, or of the trip, from 0, of which no hour was observed.
    pub(super) fn unseen(&self) -> Vec<usize> {
        let promised = self.promised();
        (0..12).filter(|&month| promised[month] > 0.0 && self.observed[month] == 0.0).collect()
    }

    /// Hours a year, or in one trip, that one observed hour of each month stands for.
    pub(super) fn scale(&self) -> [f64; 12] {
        let promised = self.promised();
        std::array::from_fn(|month| {
            if self.observed[month] > 0.0 { promised[month] / self.observed[month] } else { 0.0 }
        })
    }

    /// Hours of each month in a year, or in one trip.
    fn promised(&self) -> [f64; 12] {
        let mut promised = [0.0; 12];
        match self.window.and_then(|window| window.days_from(ANY_YEAR)) {
            None => promised = MONTH_H,
            Some((first, last)) => {
                for number in first.0..=last.0 {
                    let month = LocalDay(number).month_day().month;
                    if let Some(hours) =
                        usize::try_from(month).ok().and_then(|month| promised.get_mut(month - 1))
                    {
                        *hours += 24.0;
                    }
                }
            }
        }
        promised
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_without_an_hour_are_told() {
        let mut months = Months::new(None, UtcOffset::UTC);
        for month in [1, 2, 3, 11, 12] {
            let start = Stamp::from_utc(2031, month, 5, 12, 0, 0).unwrap_or(Stamp(0));
            assert_eq!(months.take(start), usize::try_from(month).ok().map(|month| month - 1));
        }
        assert_eq!(months.unseen(), [3, 4, 5, 6, 7, 8, 9]);
    }
}
