//! What the light of a table of no known format tells of its clock: the zone of the stamps, and what a stamp means.
//!
//! The sun rises by no zone. Of all clocks half an hour apart, that is taken under which the light follows a clear sky
//! best; a zone is named only where the light fits one that such tables have: UTC, or the zone of the longitude.

use super::clock_check::{Fit, GAIN, LIT_HOURS, POOR};
use crate::place::Place;
use crate::sky::ClearSky;
use crate::sun::{Nodes, STEPS, Track};
use crate::time::{DAY_S, HOUR_S, Stamp};

/// Half an hour: labels differ by no less.
const HALF_S: i64 = HOUR_S / 2;
/// Largest distance of a clock from UTC that is tried, and an hour for the label, in halves.
const REACH: i64 = 2 * 14;
const SHIFTS: usize = (2 * REACH + 1) as usize;
/// Readings that are looked at: a year of hours holds every length of day.
const MOST: usize = 9000;

/// What a stamp may mean, by the begin of the hour that the light fell in, halves of an hour from the stamp.
const LABELS: [(i64, &str); 3] = [(-2, "hour-ending"), (-1, "instant"), (0, "hour-beginning")];

/// What the light says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Told {
    /// Begin of the hour (UTC) that a stamp stands for, halves of an hour from the stamp read as UTC.
    halves: i64,
    /// How well the light follows the clear sky then.
    pub correlation: f64,
}

/// The clock of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Clock {
    /// Hours of its zone from UTC.
    pub zone_h: i64,
    /// What a stamp means.
    pub label: &'static str,
    /// Whether the other zone with another label fits the same light.
    pub is_ambiguous: bool,
}

impl Told {
    /// The clock among UTC and the zone of the longitude; `None` where the light fits neither.
    pub fn clock(self, zone_h: i64) -> Option<Clock> {
        let of = |zone_h: i64| {
            let own = self.halves + 2 * zone_h;
            LABELS.iter().find(|(halves, _)| *halves == own).map(|&(_, label)| (zone_h, label))
        };
        let (utc, local) = (of(0), of(zone_h).filter(|_| zone_h != 0));
        let (zone_h, label) = utc.or(local)?;
        Some(Clock { zone_h, label, is_ambiguous: utc.is_some() && local.is_some() })
    }
}

/// Where the light of these readings (stamp as if it were UTC, W/m2) fits the sun; `None` where it is too little, or fits
/// no clock clearly better than those half an hour beside it.
pub(super) fn told(readings: &[(i64, f64)], place: Place) -> Option<Told> {
    let readings = &readings[..readings.len().min(MOST)];
    let first = readings.iter().map(|one| one.0).min()?;
    let last = readings.iter().map(|one| one.0).max().filter(|last| last - first < 2 * 366 * DAY_S)?;
    let begin = first - REACH * HALF_S;
    let nodes = Nodes::covering(Stamp(begin - DAY_S), Stamp(last + (REACH + 4) * HALF_S + DAY_S)).ok()?;
    let track = Track::new(&nodes, place.latitude_deg, place.longitude_deg);
    let sky = ClearSky::at(place.elevation_m, None);
    let clear: Vec<f64> = (0..=(last - first) / HALF_S + 2 * REACH + 2)
        .map(|at| {
            sky.global_over(&track.hour(Stamp(begin + at * HALF_S), HALF_S)).iter().sum::<f64>()
                / STEPS as f64
        })
        .collect();
    let mut fits = [Fit::default(); SHIFTS];
    let mut lit = 0;
    for &(stamp, ghi) in readings.iter().filter(|(stamp, _)| (stamp - first) % HALF_S == 0) {
        let Ok(at) = usize::try_from((stamp - first) / HALF_S) else { continue };
        lit += u32::from(ghi > 0.0);
        for (fit, two) in fits.iter_mut().zip(clear[at..].windows(2)) {
            fit.add((two[0] + two[1]) / 2.0, ghi);
        }
    }
    if lit < LIT_HOURS {
        return None;
    }
    let fits: Vec<f64> = fits.iter().map(|fit| fit.correlation().unwrap_or(-1.0)).collect();
    let best = (0..SHIFTS).max_by(|&one, &other| fits[one].total_cmp(&fits[other]))?;
    let mut beside =
        [best.checked_sub(1), Some(best + 1)].into_iter().flatten().filter_map(|at| fits.get(at));
    let is_clear = fits[best] >= POOR && beside.all(|near| fits[best] - near > GAIN);
    let halves = i64::try_from(best).ok()? - REACH;
    is_clear.then_some(Told { halves, correlation: fits[best] })
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: stamps of a clock seven hours behind UTC (14 halves) that end their hour begin it at +14 - 2.
    #[test]
    fn the_clock_is_utc_or_that_of_the_longitude() {
        let clock = |halves, zone_h| Told { halves, correlation: 0.9 }.clock(zone_h);
        let some = |zone_h, label, is_ambiguous| Some(Clock { zone_h, label, is_ambiguous });
        assert_eq!(clock(-2, -7), some(0, "hour-ending", false));
        assert_eq!(clock(12, -7), some(-7, "hour-ending", false));
        assert_eq!(clock(13, -7), some(-7, "instant", false));
        assert_eq!(clock(0, 0), some(0, "hour-beginning", false));
        // the end of an hour of UTC is the begin of the same in the zone of central Europe
        assert_eq!(clock(-2, 1), some(0, "hour-ending", true));
        assert_eq!(clock(-3, 1), some(1, "instant", false));
        assert_eq!(clock(5, -7), None);
    }
}
