//! Lows of the air while the sun is up or about to rise, beside the lows of all hours.
//!
//! A panel makes volts in light only. The lowest air of a winter comes around sunrise as a rule, but in long nights and
//! behind passing fronts it comes in the dark, where no string ever meets it.

use crate::hourly::site::Site;
use crate::sun::{Nodes, Track};
use crate::time::{HOUR_S, Stamp};
use crate::weather::{Hour, SeasonCoverage};

/// Hours before sunrise whose air still counts. Chosen because a soaked module keeps the night's cold into the first
/// sun, and because two hours are several of its time constants (minutes), so the cold side is meant.
const HOURS_BEFORE_SUNRISE: i64 = 2;

/// Hours looked ahead for a sunrise: beyond a day the sun does not rise at all for a while.
const LOOK_AHEAD_H: i64 = 24;

/// The lows of a record in daylight.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Daylight {
    /// Season by season, in the order of the seasons given: lowest air at the place, C, and its hour; `None` where the
    /// season holds no such hour.
    pub lows: Vec<Option<(f64, Stamp)>>,
}

/// The daylight lows of seasons: the lowest air in hours of which any part is lit or lies within two hours before
/// sunrise, at the place.
#[must_use]
pub fn daylight_lows(site: &Site, nodes: &Nodes, hours: &[Hour], seasons: &[SeasonCoverage]) -> Daylight {
    let track = Track::new(nodes, site.place.latitude_deg, site.place.longitude_deg);
    let colder_k = site.colder_k();
    let lows = seasons
        .iter()
        .map(|season| {
            let from =
                hours.partition_point(|hour| hour.start < season.season.first_day().start(site.offset));
            let to = hours.partition_point(|hour| hour.start < season.season.end_day().start(site.offset));
            let mut low: Option<(f64, Stamp)> = None;
            for hour in &hours[from..to] {
                // The sun is asked only where the answer matters.
                if low.is_none_or(|(lowest, _)| hour.air_low_c < lowest)
                    && hours_to_light(&track, hour.start).is_some_and(|ahead| ahead <= HOURS_BEFORE_SUNRISE)
                {
                    low = Some((hour.air_low_c, hour.start));
                }
            }
            low.map(|(low, at)| (low - colder_k, at))
        })
        .collect();
    Daylight { lows }
}

/// Hours from one hour to the next with light: 0 where the hour is lit itself, `None` where none follows within a day.
#[must_use]
pub fn hours_until_light(site: &Site, nodes: &Nodes, start: Stamp) -> Option<i64> {
    hours_to_light(&Track::new(nodes, site.place.latitude_deg, site.place.longitude_deg), start)
}

fn hours_to_light(track: &Track<'_>, start: Stamp) -> Option<i64> {
    (0..=LOOK_AHEAD_H).find(|ahead| track.hour(start.plus_s(ahead * HOUR_S), HOUR_S).lit != 0)
}
