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
