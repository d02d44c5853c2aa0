//! The whole trip: its chance in one season, the stop that decides, and what a shift of dates would change.

use crate::extreme::trip::{StopSeasons, chance};
use crate::hourly::Blocks;
use crate::plan::Plan;
use crate::study::assess::StopRun;
use crate::study::results::{Departure, LimitLine, StopResult, TripChance, TripOdds};
use crate::time::LocalDay;
use crate::trip::Stop;
use std::collections::BTreeMap;

/// Shifts of the departure that are tried, days: four weeks either way, by weeks.
const SHIFTS_DAYS: [i32; 9] = [-28, -21, -14, -7, 0, 7, 14, 21, 28];

/// Share of a window's days with weather from which a shifted window counts.
const DAYS_SHARE: f64 = 0.95;

/// Years from the trip's calendar start to the start of this stop's window: it grows by one wherever the calendar
/// turns between two stops.
#[must_use]
pub fn years_after_start(stops: &[Stop], index: usize) -> i32 {
    let arrivals: Vec<_> =
        stops[..=index].iter().filter_map(|stop| stop.window).map(|window| window.arrive).collect();
    let turns = arrivals.windows(2).filter(|pair| pair[1] < pair[0]).count();
    i32::try_from(turns).unwrap_or(i32::MAX)
}

/// The trip's odds; `None` unless every stop assessed has dates and blocks.
pub(super) fn odds(plan: &Plan, runs: &[StopRun], results: &[StopResult]) -> Option<TripOdds> {
    if !plan.stops.iter().any(|stop| stop.window.is_some()) {
        return None;
    }
    let (deciding_stop, deciding_component) = deciding(results);
    let dated: Vec<&StopRun> =
        runs.iter().filter(|run| matches!(run.blocks, Some(Blocks::Windows { .. }))).collect();
    let mut trip = TripOdds {
        chance_per_season: None,
        common_seasons: 0,
        seasons_broken: 0,
        deciding_stop,
        deciding_component,
        by_departure: Vec::new(),
    };
    if dated.is_empty() || dated.iter().all(|run| run.seen.iter().all(|(_, ratings)| ratings.is_empty())) {
        return Some(trip);
    }
    let seasons: Vec<StopSeasons> = dated.iter().map(|run| own_seasons(run)).collect();
    if let Some(found) = chance(&seasons) {
        trip.common_seasons = found.common_seasons.len();
        trip.seasons_broken = found.broken_seasons.len();
        trip.chance_per_season = Some(match found.odds {
            Some(odds) => TripChance { low: odds.low, best: Some(odds.best), high: odds.high },
            None => TripChance {
                low: found.bounds.largest_single,
                best: None,
                high: found.bounds.sum.max(found.bounds.largest_single),
            },
        });
    }
    trip.by_departure = SHIFTS_DAYS.iter().filter_map(|&shift| shifted(&dated, shift)).collect();
    Some(trip)
}

/// A stop's windows: broken where any voltage rating was passed in sudden sun; complete windows that held; no entry
/// for windows that the record does not cover.
fn own_seasons(run: &StopRun) -> StopSeasons {
    let mut seasons = StopSeasons::new();
    for (seen, ratings) in &run.seen {
        for block in &seen.blocks {
            let broke =
                seen.over.iter().take(ratings.len()).any(|over| {
                    over.blocks.get(&block.key).is_some_and(|count| count.sudden_sun.hours > 0.0)
                });
            if broke {
                seasons.insert(block.key, true);
            } else if block.complete {
                seasons.entry(block.key).or_insert(false);
            }
        }
    }
    seasons
}

/// The chance with every window moved by `shift` days.
fn shifted(runs: &[&StopRun], shift: i32) -> Option<Departure> {
    let stops: Vec<StopSeasons> = runs.iter().map(|run| shifted_seasons(run, shift)).collect();
    let found = chance(&stops)?;
    // Few common seasons give no chance, here as for the planned dates.
    let odds = found.odds?;
    Some(Departure { shift_days: shift, chance: odds.best })
}

fn shifted_seasons(run: &StopRun, shift: i32) -> StopSeasons {
    let mut seasons = StopSeasons::new();
    let Some(blocks) = run.blocks else { return seasons };
    for (seen, ratings) in &run.seen {
        let mut days_by_key: BTreeMap<i32, i32> = BTreeMap::new();
        for (day, _) in &seen.days {
            if let Some(key) = blocks.key(LocalDay(day.0 - shift)) {
                *days_by_key.entry(key).or_default() += 1;
            }
        }
        for (&key, &days) in &days_by_key {
            let length = blocks.days(key).map_or(0, |(first, end)| end.0 - first.0);
            if f64::from(days) >= DAYS_SHARE * f64::from(length) {
                seasons.entry(key).or_insert(false);
            }
        }
        for over in seen.over.iter().take(ratings.len()) {
            for day in &over.sudden_days {
                if let Some(key) = blocks.key(LocalDay(day.0 - shift)) {
                    seasons.insert(key, true);
                }
            }
        }
    }
    seasons
}

/// The stop and the component with the smallest margin in volts.
fn deciding(results: &[StopResult]) -> (Option<String>, Option<String>) {
    let lines = results.iter().flat_map(|stop| {
        stop.arrays.iter().flat_map(move |array| array.limits.iter().map(move |line| (stop, line)))
    });
    let volts = lines.filter(|(_, line)| line.unit == "V" && line.margin_percent.is_some());
    let margin = |line: &LimitLine| line.margin_percent.unwrap_or(f64::INFINITY);
    match volts.min_by(|a, b| margin(a.1).total_cmp(&margin(b.1))) {
        Some((stop, line)) => (Some(stop.place.clone()), Some(line.component.clone())),
        None => (None, None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::MonthDay;
    use crate::trip::Window;

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
        let summer = [stop((6, 1), (6, 20)), stop((6, 20), (7, 15))];
        assert_eq!(years_after_start(&summer, 1), 0);
    }
}
