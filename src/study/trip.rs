//! The whole trip: its chance in one season, the stop that decides, and what a shift of dates would change.

use crate::extreme::trip::{StopSeasons, TripChance as Found, chance};
use crate::extreme::{Counted, odds_in_words_of};
use crate::hourly::{Blocks, Seen};
use crate::plan::Plan;
use crate::study::results::{Departure, DepartureSeen, LimitLine, StopResult, TripChance, TripOdds};
use crate::study::stop_run::StopRun;
use crate::time::{LocalDay, Stamp};
use crate::units::listed;
use crate::weather::COMPLETE_SHARE;

/// Shifts of the departure that are tried, days: four weeks either way, by weeks.
const SHIFTS_DAYS: [i32; 9] = [-28, -21, -14, -7, 0, 7, 14, 21, 28];

/// How every sentence begins that gives a reason instead of the chance; "no chance" would read as a chance of zero.
const NOT_PRINTED: &str = "the chance for the whole trip is not printed";

/// Days by which every window is widened at both ends to see how much hangs on the exact dates.
const PADDING_DAYS: i32 = 7;

/// The trip's odds; `None` without dates.
pub(super) fn odds(plan: &Plan, runs: &[StopRun], results: &[StopResult]) -> Option<TripOdds> {
    if !plan.stops.iter().any(|stop| stop.window.is_some()) {
        return None;
    }
    let decides = deciding(results);
    let mut trip = TripOdds {
        chance_per_season: None,
        common_seasons: 0,
        seasons_broken: 0,
        at_most: None,
        padded_chance: None,
        in_words: String::new(),
        deciding_stop: decides.map(|(stop, _)| stop.place.clone()),
        deciding_window: decides.and_then(|(stop, _)| stop.window.clone()),
        deciding_component: decides.map(|(_, line)| line.component.clone()),
        deciding_at: decides.and_then(|(stop, line)| moment(stop, line)),
        by_departure: Vec::new(),
        by_departure_seen: Vec::new(),
    };
    let planned = plan.stops.iter().filter(|stop| stop.window.is_some()).count();
    if results.iter().filter(|result| result.window.is_some()).count() < planned {
        trip.in_words = format!("{NOT_PRINTED}: not all of its stops were asked for");
        return Some(trip);
    }
    // A stop whose record gives no odds leaves the trip without odds: left out, it would count as never broken.
    let silent: Vec<&str> = runs
        .iter()
        .zip(results)
        .filter(|(run, result)| result.window.is_some() && run.blocks.is_none())
        .map(|(_, result)| result.place.as_str())
        .collect();
    if !silent.is_empty() {
        trip.in_words = format!(
            "{NOT_PRINTED}: the weather of {} is a typical year, which holds no extremes",
            silent.join(", ")
        );
        return Some(trip);
    }
    let dated: Vec<&StopRun> =
        runs.iter().filter(|run| matches!(run.blocks, Some(Blocks::Windows { .. }))).collect();
    if dated.is_empty() || dated.iter().all(|run| run.seen.iter().all(|(_, ratings)| ratings.is_empty())) {
        trip.in_words = format!("{NOT_PRINTED}: no component has a voltage rating");
        return Some(trip);
    }
    let replayed =
        |moved: Moved| -> Vec<StopSeasons> { dated.iter().map(|run| seasons(run, moved)).collect() };
    let at = |moved: Moved| chance(&replayed(moved));
    match at(PLANNED) {
        Some(found) => {
            trip.common_seasons = found.common_seasons.len();
            trip.seasons_broken = found.broken_seasons.len();
            trip.at_most = Some(found.bounds.at_most);
            trip.chance_per_season = Some(as_chance(&found));
            trip.in_words = in_words(&found, &counts(results, &replayed(PLANNED)));
        }
        None => {
            trip.in_words = format!("{NOT_PRINTED}: some stop's record covers its days in no season");
        }
    }
    trip.padded_chance =
        at(Moved { first: -PADDING_DAYS, last: PADDING_DAYS }).map(|found| as_chance(&found));
    for shift in SHIFTS_DAYS {
        let Some(found) = at(Moved { first: shift, last: shift }) else { continue };
        // Few common seasons give no chance, here as for the planned dates.
        if let Some(odds) = &found.odds {
            trip.by_departure.push(Departure { shift_days: shift, chance: odds.best });
        }
        trip.by_departure_seen.push(DepartureSeen {
            shift_days: shift,
            seasons_broken: found.broken_seasons.len(),
            common_seasons: found.common_seasons.len(),
        });
    }
    Some(trip)
}

fn as_chance(found: &Found) -> TripChance {
    match found.odds {
        Some(odds) => TripChance { low: odds.low, best: Some(odds.best), high: odds.high },
        None => TripChance {
            low: found.bounds.largest_single,
            best: None,
            // Where nothing broke the sum is 0, and no bound: what so few seasons leave open stands instead. Elsewhere it stands
            // beside them, as `at_most`.
            high: if found.bounds.sum > 0.0 { found.bounds.sum } else { found.bounds.at_most },
        },
    }
}

/// Common seasons below which nothing is said of a whole trip's chance: one replay shows what can happen, not how often.
const FEWEST_COMMON: u64 = 2;

/// `stops`: the place of each with a preposition before it, its seasons broken, and counted.
fn in_words(found: &Found, stops: &[(String, usize, usize)]) -> String {
    let (broken, common) = (found.broken_seasons.len() as u64, found.common_seasons.len() as u64);
    if let Some(odds) = &found.odds {
        return odds_in_words_of(Counted::Trips, broken, common, odds);
    }
    let bounds = found.bounds;
    if common < FEWEST_COMMON {
        let seen = if bounds.sum > 0.0 { "some stop" } else { "no stop" };
        return format!(
            "{NOT_PRINTED}: {} all stops; counted stop by stop, {seen} broke a limit in the seasons seen",
            if common == 0 { "no season is common to" } else { "a single season is common to" }
        );
    }
    let seen = if bounds.sum > 0.0 {
        let stops: Vec<String> =
            stops.iter().map(|(place, broken, of)| format!("{broken} of {of}{place}")).collect();
        let mut text = format!("counted stop by stop, {} broke a limit", listed(&stops));
        // One bound alone, or two that print alike, say nothing that the counts do not.
        if bounds.sum - bounds.largest_single >= 0.005 {
            text.push_str(&format!(
                "; the chance for the whole trip lies between {:.0} % (the largest single chance) and {:.0} % (their sum)",
                bounds.largest_single * 100.0,
                bounds.sum * 100.0
            ));
        }
        text
    } else {
        "no stop broke a limit in the seasons seen".into()
    };
    let whose = if stops.len() == 1 { "were seen" } else { "are common to all stops" };
    let mut text = format!("{common} seasons {whose}, too few for a single figure: {seen}");
    if bounds.at_most < 0.995 {
        text.push_str(&format!(
            "; so few seasons leave room for a chance of up to {:.0} % (one-sided, 95 %)",
            bounds.at_most * 100.0
        ));
    }
    text
}

/// Seasons broken and counted of each dated stop, with its place; the dates too where a place is visited twice.
fn counts(results: &[StopResult], stops: &[StopSeasons]) -> Vec<(String, usize, usize)> {
    let dated: Vec<&StopResult> = results.iter().filter(|result| result.window.is_some()).collect();
    let place = |result: &StopResult| {
        let visits = dated.iter().filter(|other| other.place == result.place).count();
        let days = result.window.as_ref().filter(|_| visits > 1).map(|days| format!(" ({days})"));
        if dated.len() > 1 {
            format!(" at {}{}", result.place, days.unwrap_or_default())
        } else {
            String::new()
        }
    };
    let broken = |seasons: &StopSeasons| seasons.values().filter(|&&broken| broken).count();
    dated.iter().zip(stops).map(|(result, seasons)| (place(result), broken(seasons), seasons.len())).collect()
}

/// Days by which the two ends of every window are moved.
#[derive(Clone, Copy)]
struct Moved {
    first: i32,
    last: i32,
}

/// The dates as they are.
const PLANNED: Moved = Moved { first: 0, last: 0 };

/// A stop's windows, moved: broken where any voltage rating was passed in sudden sun; held where it was covered and
/// not broken; no entry where the record does not cover it. A gap is never counted as mild.
fn seasons(run: &StopRun, moved: Moved) -> StopSeasons {
    let mut seasons = StopSeasons::new();
    let Some(blocks) = run.blocks else { return seasons };
    for (seen, ratings) in &run.seen {
        let (Some((first, _)), Some((last, _))) = (seen.days.first_key_value(), seen.days.last_key_value())
        else {
            continue;
        };
        for key in first.year() - 3..=last.year() + 1 {
            let Some((begin, end)) = blocks.days(key) else { continue };
            let (begin, end) = (LocalDay(begin.0 + moved.first), LocalDay(end.0 + moved.last));
            let broke = seen.over.iter().take(ratings.len()).any(|over| {
                let after = over.sudden_days.partition_point(|day| *day < begin);
                over.sudden_days.get(after).is_some_and(|day| *day < end)
            });
            if broke {
                seasons.insert(key, true);
            } else if is_covered(seen, begin, end) {
                seasons.entry(key).or_insert(false);
            }
        }
    }
    seasons
}

/// Whether a record holds at least the share of a window's promised light that counts as complete.
pub(super) fn is_covered(seen: &Seen, begin: LocalDay, end: LocalDay) -> bool {
    let (mut held, mut promised) = (0, 0);
    for day in (begin.0..end.0).map(LocalDay) {
        let Some(cover) = seen.days.get(&day) else { return false };
        held += cover.seen;
        promised += cover.promised;
    }
    promised > 0 && f64::from(held) >= COMPLETE_SHARE * f64::from(promised)
}

/// The stop and the line with the smallest margin in volts.
fn deciding(results: &[StopResult]) -> Option<(&StopResult, &LimitLine)> {
    let lines = results.iter().flat_map(|stop| {
        stop.arrays.iter().flat_map(move |array| array.limits.iter().map(move |line| (stop, line)))
    });
    let margin = |line: &LimitLine| line.margin_percent.unwrap_or(f64::INFINITY);
    lines
        .filter(|(stop, line)| stop.window.is_some() && line.unit == "V" && line.margin_percent.is_some())
        .min_by(|a, b| margin(a.1).total_cmp(&margin(b.1)))
}

/// The hour of the largest worst case in the stop's own days, on the array of the line: the night that decides.
fn moment(stop: &StopResult, line: &LimitLine) -> Option<Stamp> {
    let array =
        stop.arrays.iter().find(|array| array.limits.iter().any(|other| std::ptr::eq(other, line)))?;
    array.voltage_v.worst_case.at
}
