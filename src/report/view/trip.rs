//! The whole trip in words.

use super::{all_limits, chance_words, sentence};
use crate::report::glance;
use crate::study::results::{Assessment, Chance, Departure, DepartureSeen, TripChance, TripOdds};
use crate::time::UtcOffset;

/// Whether no voltage rating of any stop can be reached in its cold: then there are no odds.
fn is_out_of_reach(assessment: &Assessment) -> bool {
    let mut volts = all_limits(assessment).filter(|judged| judged.limit.unit == "V").peekable();
    volts.peek().is_some() && volts.all(|judged| judged.limit.out_of_reach.is_some())
}

/// The trip's chance in words.
pub(crate) fn trip_sentence(assessment: &Assessment, odds: &TripOdds) -> String {
    if is_out_of_reach(assessment) && odds.common_seasons > 1 {
        return "Every voltage rating is out of reach of the cold at every stop, so there are no odds."
            .to_owned();
    }
    match &odds.chance_per_season {
        Some(TripChance { low, best: Some(best), high }) => format!(
            "Any voltage rating passed in sudden sun: {} of {} seasons common to all stops, {}.",
            odds.seasons_broken,
            odds.common_seasons,
            chance_words(&Chance { low: *low, best: *best, high: *high })
        ),
        // Bounds alone, or none: the sentence of the study says why.
        _ => sentence(&odds.in_words),
    }
}

/// Departures with the chance of each; empty where there are no odds, and where nothing breaks on any of them.
pub(crate) fn departures<'a>(assessment: &Assessment, odds: &'a TripOdds) -> &'a [Departure] {
    let quiet = odds.by_departure.iter().all(|departure| departure.chance == 0.0);
    if quiet || is_out_of_reach(assessment) { &[] } else { &odds.by_departure }
}

/// Departures with the seasons counted on each, where these are too few for a chance; empty where nothing breaks on any of them,
/// and where a single season shows what can happen and not how often.
pub(crate) fn departures_seen<'a>(assessment: &Assessment, odds: &'a TripOdds) -> &'a [DepartureSeen] {
    let counted = &odds.by_departure_seen;
    let quiet = counted.iter().all(|departure| departure.seasons_broken == 0);
    let single = counted.iter().all(|departure| departure.common_seasons < 2);
    let has_chances = !odds.by_departure.is_empty();
    if quiet || single || has_chances || is_out_of_reach(assessment) { &[] } else { counted }
}

/// "1 of 4".
pub(crate) fn seen_words(departure: &DepartureSeen) -> String {
    format!("{} of {}", departure.seasons_broken, departure.common_seasons)
}

/// What stands before the counts of other departures.
pub(crate) const DEPARTURES_SEEN: &str =
    "Seasons in which sudden sun broke a voltage rating, had the trip begun on another day";

/// What stands behind them.
pub(crate) const DEPARTURES_SEEN_SAY_LITTLE: &str = "So few seasons show what can happen, not how often; a season that breaks nothing does not make a part safe.";

/// The same chance with longer stays, and the night that decides.
pub(crate) fn trip_remarks(assessment: &Assessment, odds: &TripOdds) -> Vec<String> {
    let mut remarks = Vec::new();
    let reached = !is_out_of_reach(assessment);
    if let Some(TripChance { low, best: Some(best), high }) = odds.padded_chance.filter(|_| reached) {
        remarks.push(format!(
            "With every stay a week longer at both ends: {}.",
            chance_words(&Chance { low, best, high })
        ));
    }
    let counted = &odds.by_departure_seen;
    let is_quiet =
        counted.iter().all(|departure| departure.seasons_broken == 0 && departure.common_seasons > 1);
    let days = counted.iter().map(|departure| departure.shift_days.abs()).max();
    if let Some(days) = days.filter(|&days| is_quiet && days > 0) {
        let seasons = if odds.by_departure.is_empty() { "None of these few seasons" } else { "No season" };
        remarks.push(format!(
            "{seasons} breaks a rating on any departure up to {days} days earlier or later either."
        ));
    }
    if let (Some(at), Some(place)) = (odds.deciding_at, &odds.deciding_stop) {
        // A place that is visited once has its days in the table.
        let visits = assessment.stops.iter().filter(|stop| stop.place == *place).count();
        let dates = odds
            .deciding_window
            .as_ref()
            .filter(|_| visits > 1)
            .map(|days| format!(" ({})", glance::window(days)))
            .unwrap_or_default();
        // The clock of the place; a place visited twice has one.
        let when = match assessment.stops.iter().find(|stop| stop.place == *place) {
            Some(stop) => format!("{} local time (UTC{})", glance::moment(at, stop), stop.utc_offset),
            None => format!("{} UTC", at.local(UtcOffset::UTC)),
        };
        remarks.push(format!("The hour of the largest worst case at {place}{dates}: {when}."));
    }
    remarks
}

/// "as planned", "7 days earlier", "1 day later".
pub(crate) fn shift_words(days: i32) -> String {
    let plural = if days.abs() == 1 { "" } else { "s" };
    match days {
        0 => "as planned".to_owned(),
        days if days < 0 => format!("{} day{plural} earlier", -days),
        days => format!("{days} day{plural} later"),
    }
}
