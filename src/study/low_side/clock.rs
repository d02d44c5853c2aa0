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

    /// Hours a year, or in one trip, that one observed hour of each month stands for.
    pub(super) fn scale(&self) -> [f64; 12] {
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
        std::array::from_fn(|month| {
            if self.observed[month] > 0.0 { promised[month] / self.observed[month] } else { 0.0 }
        })
    }
}
