//! The stops of a trip and the days spent at each.

use crate::time::{LocalDay, MonthDay, UtcOffset};
use crate::units::Celsius;
use crate::weather::Columns;
use std::path::PathBuf;

/// When the vehicle stands at a stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// First whole local day.
    pub arrive: MonthDay,
    /// Last whole local day, included.
    pub leave: MonthDay,
}

impl Window {
    /// The window that begins in `year`: first day and last day, both included. A window whose `leave` lies before
    /// its `arrive` ends in the next year.
    #[must_use]
    pub fn days_from(&self, year: i32) -> Option<(LocalDay, LocalDay)> {
        let first = self.arrive.in_year(year)?;
        let last = self.leave.in_year(if self.leave < self.arrive { year + 1 } else { year })?;
        Some((first, last))
    }

    /// The year in which the window that holds `day` begins; `None` outside. Asked by dates and not by month and day,
    /// so that 28 February stands in for the 29th in common years.
    #[must_use]
    pub fn year_of(&self, day: LocalDay) -> Option<i32> {
        let year = day.year();
        [year, year - 1]
            .into_iter()
            .find(|&began| self.days_from(began).is_some_and(|(first, last)| (first..=last).contains(&day)))
    }

    /// Whether a calendar day lies inside.
    #[must_use]
    pub fn holds(&self, day: MonthDay) -> bool {
        if self.leave < self.arrive {
            day >= self.arrive || day <= self.leave
        } else {
            self.arrive <= day && day <= self.leave
        }
    }
}

/// A published low of a place, as the plan gives it.
#[derive(Clone, Debug, PartialEq)]
pub struct PublishedLow {
    /// Mean of annual lows.
    pub mean: Celsius,
    /// Standard deviation of annual lows, K.
    pub sd_k: Option<f64>,
    /// Where it is published.
    pub source: String,
}

/// One place of the trip.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Its name.
    pub place: String,
    /// Patterns as typed, for messages.
    pub weather: Vec<String>,
    /// Weather files, resolved and sorted.
    pub files: Vec<PathBuf>,
    /// Days spent there; `None`: the whole year counts.
    pub window: Option<Window>,
    /// Where the vehicle stands, m.
    pub elevation_m: Option<f64>,
    /// The station's own elevation where the file has none, m.
    pub station_elevation_m: Option<f64>,
    /// Only where the file does not say, deg.
    pub latitude_deg: Option<f64>,
    /// Only where the file does not say, deg.
    pub longitude_deg: Option<f64>,
    /// Zone of the stamps where the format leaves it open; else of local days only.
    pub utc_offset: Option<UtcOffset>,
    /// A published or agreed code temperature for this place.
    pub code_temperature: Option<Celsius>,
    /// A published low, printed beside ours.
    pub published_low: Option<PublishedLow>,
    /// Columns of a CSV of no known format.
    pub columns: Option<Columns>,
}

/// Years from the trip's calendar start to the start of this stop's window: it grows by one wherever the calendar
/// turns between two stops. 29 February needs no care: days are compared by month and day. A window that begins in `year` belongs to the trip of `year` less these.
#[must_use]
pub fn years_after_start(stops: &[Stop], index: usize) -> i32 {
    let arrivals: Vec<_> =
        stops[..=index].iter().filter_map(|stop| stop.window).map(|window| window.arrive).collect();
    let turns = arrivals.windows(2).filter(|pair| pair[1] < pair[0]).count();
    i32::try_from(turns).unwrap_or(i32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stop(arrive: (u32, u32), leave: (u32, u32)) -> Stop {
        Stop {
            place: "Invented Place".into(),
            weather: Vec::new(),
            files: Vec::new(),
            window: Some(Window {
                arrive: MonthDay { month: arrive.0, day: arrive.1 },
                leave: MonthDay { month: leave.0, day: leave.1 },
            }),
            elevation_m: None,
            station_elevation_m: None,
            latitude_deg: None,
            longitude_deg: None,
            utc_offset: None,
            code_temperature: None,
            published_low: None,
            columns: None,
        }
    }

    #[test]
    fn the_calendar_turns_once_between_stops() {
        let trip =
            [stop((12, 1), (12, 20)), stop((12, 20), (1, 15)), stop((1, 15), (2, 1)), stop((2, 1), (2, 20))];
        let years: Vec<i32> = (0..4).map(|index| years_after_start(&trip, index)).collect();
        assert_eq!(years, [0, 0, 1, 1]);
        let leap = [stop((12, 20), (1, 15)), stop((2, 29), (3, 3))];
        assert_eq!(years_after_start(&leap, 1), 1);
        let long = [stop((12, 1), (1, 5)), stop((1, 5), (6, 1)), stop((6, 1), (1, 2)), stop((1, 2), (1, 9))];
        assert_eq!(years_after_start(&long, 3), 2);
        let summer = [stop((6, 1), (6, 20)), stop((6, 20), (7, 15))];
        assert_eq!(years_after_start(&summer, 1), 0);
    }
}
