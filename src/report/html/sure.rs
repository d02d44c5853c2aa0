//! How sure the answer is, in a few lines: what was read, what stands around the figure that decides, what is measured and what
//! modelled, and the three kinds of number with the plan's own figures.

use super::answer::told;
use crate::extreme::{SEASONS_FOR_FIT, SEASONS_FOR_PREDICTIVE, mean_half_width};
use crate::limits::DecidedBy;
use crate::note::NoteKind;
use crate::report::glance;
use crate::report::show::{self, fixed};
use crate::report::view::{self, Judged};
use crate::study::results::{Assessment, LimitLine, RecordKind, StopResult};
use crate::time::UtcOffset;
use crate::units::{at_least, listed, so_many};
use maud::{Markup, html};

/// Height above the station from which it is told, m: the air differs by half a kelvin.
const TOLD_M: f64 = 50.0;
/// Places that are named one by one.
const MOST_PLACES: usize = 3;

pub(super) fn sure(assessment: &Assessment) -> Option<Markup> {
    if assessment.stops.is_empty() {
        return None;
    }
    // Of a plan whose amps decide, what is unsure is its volts.
    let decider = view::decider(assessment);
    let in_volts = decider.filter(|judged| judged.limit.unit == "V" && judged.limit.rating.is_some());
    let volts = in_volts.or_else(|| view::tightest_volts(assessment));
    let mut lines = vec![("What was read", read(assessment))];
    if let Some(amps) = decider.filter(|judged| judged.limit.unit == "A")
        && let Some(worst) = amps.limit.worst
    {
        let text = "decide: a rule on the labels, without weather, as sure as the labels are";
        lines.push(("The figure that decides", format!("{} {text}.", show::demand(worst, "A"))));
    }
    if let Some(judged) = &volts {
        let name = if lines.len() > 1 { "In volts" } else { "The figure that decides" };
        lines.extend(figure(judged).map(|text| (name, text)));
    }
    lines.push(("The law behind levels", law(assessment, decider.as_ref())));
    lines.push(("Measured, modelled, ruled", KINDS.to_owned()));
    if let Some(judged) = &volts {
        lines.push(("A chance (in %)", chance(assessment, judged)));
        lines.push(("A level (in V)", level(assessment, judged)));
        lines.push(("Hours", hours(judged)));
    }
    Some(html! {
        dl.sure { @for (name, text) in &lines { div { dt { (name) } dd dir="auto" { (told(&view::sentence(text))) } } } }
    })
}

/// What the words in the brackets of the tables mean.
const KINDS: &str = "from the files come the air, and the light where they have it (a station measures, a grid is modelled); \
modelled here are clear sky, cells and volts, from the labels as typed. Seen: counted or computed from the hours on record. Bound: \
the most that label and clear sky allow in such an hour. Rule: asked for by a code or a maker, whatever the weather.";

/// Seasons of every stop, and what is doubtful of the stations.
fn read(assessment: &Assessment) -> String {
    let stops = &assessment.stops;
    let seasons: Vec<String> = stops.iter().map(winters).collect();
    let same = seasons.iter().all(|text| *text == seasons[0]);
    let mut text = match stops.len() {
        1 => format!("{}: {}", stops[0].place, seasons[0]),
        _ if same => format!("at each of the {} stops {}", stops.len(), seasons[0]),
        _ => {
            let fewest = stops.iter().zip(&seasons).min_by_key(|(stop, _)| complete(stop));
            let most = stops.iter().zip(&seasons).max_by_key(|(stop, _)| complete(stop));
            let named = |found: Option<(&StopResult, &String)>| {
                found.map_or_else(String::new, |(stop, text)| format!("{text} at {}", stop.place))
            };
            format!("fewest, {}; most, {}", named(fewest), named(most))
        }
    };
    if !assessment.doubts.is_empty() {
        text.push_str(&format!(". In doubt: {}", assessment.doubts.join("; ")));
    }
    let above = |stop: &StopResult| Some(stop.elevation_m? - stop.station.elevation_m?);
    let far = |stop: &StopResult| above(stop).filter(|metres| metres.abs() >= TOLD_M);
    let heights = places(stops, |stop| {
        let metres = far(stop)?;
        let side = if metres > 0.0 { "above" } else { "below" };
        Some(format!("{} lies {:.0} m {side} its station", stop.place, metres.abs()))
    });
    if !heights.is_empty() {
        text.push_str(&format!(". {}; the air is moved by that height", heights.join(", ")));
        if stops.iter().any(|stop| far(stop).is_some_and(|metres| metres < 0.0)) {
            text.push_str(", never to the warmer");
        }
    }
    let asks =
        |stop: &StopResult, kind: NoteKind| stop.notes.iter().any(|note| note.kind == kind && note.asks);
    let unknown = places(stops, |stop| asks(stop, NoteKind::Elevation).then(|| stop.place.clone()));
    if !unknown.is_empty() {
        let of = listed(&unknown);
        text.push_str(&format!(
            ". Nobody says how high the station of {of} lies: if far below, the air is colder than read"
        ));
    }
    let unknown = places(stops, |stop| asks(stop, NoteKind::Assumed).then(|| stop.place.clone()));
    if !unknown.is_empty() {
        text.push_str(&format!(". Nobody says how high {} lies: the air is the station's", listed(&unknown)));
    }
    text
}

/// What is to be said of stops, the first of them by name.
fn places(stops: &[StopResult], say: impl Fn(&StopResult) -> Option<String>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for text in stops.iter().filter_map(say) {
        if !all.contains(&text) {
            all.push(text);
        }
    }
    if all.len() > MOST_PLACES {
        let more = all.len() - MOST_PLACES;
        all.truncate(MOST_PLACES);
        all.push(format!("{more} more"));
    }
    all
}

fn complete(stop: &StopResult) -> usize {
    if stop.record.kind == RecordKind::TypicalYear { 0 } else { stop.record.complete_winters }
}

/// "25 complete winters (1995 to 2020)".
fn winters(stop: &StopResult) -> String {
    let record = &stop.record;
    if record.kind == RecordKind::TypicalYear {
        return "a typical year, put together from unremarkable months".to_owned();
    }
    let year = |day: crate::time::Stamp| day.local_day(UtcOffset::UTC).year();
    let (first, last) = (year(record.first), year(record.last));
    let span = if first == last { first.to_string() } else { format!("{first} to {last}") };
    match (record.winters, record.complete_winters) {
        (all, complete) if all == complete => format!("{} ({span})", so_many(all, "complete winter")),
        (all, 0) => format!("{} ({span}), none of them complete", so_many(all, "winter")),
        (all, complete) => format!("{} ({span}), {complete} of them complete", so_many(all, "winter")),
    }
}

fn noun(judged: &Judged<'_>) -> &'static str {
    if judged.stop.window.is_some() { "stay" } else { "season" }
}

/// The figure in volts, with what stands around it.
fn figure(judged: &Judged<'_>) -> Option<String> {
    let limit = judged.limit;
    let (worst, rating) = (limit.worst?, limit.rating?);
    let four = &judged.array.voltage_v;
    let volts = show::volts(worst);
    let seen = so_many(limit.seasons_seen.max(1), noun(judged));
    Some(match limit.decided_by? {
        DecidedBy::Code => {
            let at =
                four.code_temperature_c.map_or_else(String::new, |air| format!(" at {} °C", fixed(air, 1)));
            let what = format!("{volts}, the code sum{at}");
            match around_the_sum(judged) {
                Some((kelvin, around)) => {
                    let turns = (rating - worst).abs() <= around;
                    let turns = if turns {
                        format!(
                            ": {} lies within that, so more winters can turn the verdict",
                            show::rating(rating, "V")
                        )
                    } else {
                        String::new()
                    };
                    format!(
                        "{what}: nine times in ten the true mean of yearly lows lies within {} K of it, which is worth {}{turns}. A \
                         rule's figure, no ceiling: a third to a half of all winters are colder",
                        fixed(kelvin, 1),
                        show::volts(at_least(around))
                    )
                }
                None => format!(
                    "{what} ({}): as sure as that temperature is; no interval belongs to it, and it is no ceiling",
                    four.code_temperature_from
                ),
            }
        }
        DecidedBy::Seen => format!(
            "{volts}, the largest worst case in {}: no estimate, so no interval; more years can only raise it",
            if judged.stop.record.kind == RecordKind::TypicalYear {
                "a typical year".to_owned()
            } else {
                seen
            }
        ),
        DecidedBy::Level => {
            let around = match (four.worst_case.level_20_year, four.worst_case.bounds_90) {
                (Some(plain), Some(bounds)) => format!(
                    ". The plain 20-year level is {}, and nine times in ten the true one lies below {}",
                    show::volts(plain),
                    show::volts(at_least(bounds[0]))
                ),
                _ => String::new(),
            };
            format!(
                "{volts}, a level from {}, with room for what so few leave open{around}",
                so_many(limit.seasons, noun(judged))
            )
        }
        DecidedBy::Allowance => format!(
            "{volts}, the largest worst case found in air 10 K colder: our own allowance, since the record is too short for a \
             level; no interval belongs to it, and a longer record replaces it"
        ),
        DecidedBy::Rule => return None,
    })
}

/// Kelvin and volts by which nine times in ten the code sum's mean of yearly lows may be off; `None` where it rests on no mean.
fn around_the_sum(judged: &Judged<'_>) -> Option<(f64, f64)> {
    let (four, design) = (&judged.array.voltage_v, &judged.stop.design_temperature_c);
    let is_mean = (four.code_temperature_c? - design.mean_annual_low?).abs() < 1e-6;
    let count = judged.stop.annual_low_c.iter().filter(|low| low.in_mean).count();
    let kelvin = mean_half_width(design.sd?, count).filter(|_| is_mean)?;
    Some((kelvin, kelvin * four.code_volts_per_k?.abs()))
}

/// The law by which rare seasons are told from those seen, and what it means where they do not follow it.
fn law(assessment: &Assessment, decider: Option<&Judged<'_>>) -> String {
    const LAW: &str = "“1 in so many” is told from the seasons seen by a law of extremes (Gumbel's)";
    let arrays = || assessment.stops.iter().flat_map(|stop| &stop.arrays);
    if arrays().all(|array| array.voltage_v.worst_case.predictive_level.is_none()) {
        return format!("{LAW}; here no level is given, so no volts rest on it");
    }
    let mut poor: Vec<String> = Vec::new();
    let (mut tested, mut rests) = (false, false);
    for (index, stop) in assessment.stops.iter().enumerate() {
        for note in stop.notes.iter().filter(|note| note.kind == NoteKind::Fit) {
            tested = true;
            let Some((what, _)) = note.text.split_once(": ").filter(|_| view::is_poor_fit(note)) else {
                continue;
            };
            rests |= decider.is_some_and(|judged| judged.stop_index == index && rests_on(judged, what));
            let text = format!("{what} at {}", stop.place);
            if !poor.contains(&text) {
                poor.push(text);
            }
        }
    }
    if !tested {
        return format!(
            "{LAW}; too few seasons here to test it ({SEASONS_FOR_FIT} are needed), so take levels as rough"
        );
    }
    if poor.is_empty() {
        return format!("{LAW}; the seasons here do not speak against it");
    }
    if poor.len() > MOST_PLACES {
        let more = poor.len() - MOST_PLACES;
        poor.truncate(MOST_PLACES);
        poor.push(format!("{more} more"));
    }
    let so = if rests {
        "the figure that decides is one: leave more room than its margin says"
    } else {
        "the figure that decides is none of them"
    };
    format!(
        "{LAW}. These fit it poorly: {}. Their levels are rough, so go by what was seen and counted; {so}",
        listed(&poor)
    )
}

/// Whether the figure that decides a limit is a level of these extremes.
fn rests_on(judged: &Judged<'_>, extremes: &str) -> bool {
    let from = &judged.array.voltage_v.code_temperature_from;
    match judged.limit.decided_by {
        // Of several arrays the note names its own.
        Some(DecidedBy::Level) => {
            extremes.starts_with("worst-case")
                && (!extremes.contains('"') || extremes.contains(&judged.array.name))
        }
        Some(DecidedBy::Code) => extremes == "annual lows" && from.contains("-year low"),
        _ => false,
    }
}

fn rated(limit: &LimitLine) -> String {
    let rating = limit
        .rating
        .map_or_else(|| "the rating".to_owned(), |rating| format!("the {}", show::rating(rating, "V")));
    format!("{rating} of {}", limit.component)
}

/// The chance, of the limit and of the trip.
fn chance(assessment: &Assessment, judged: &Judged<'_>) -> String {
    let (limit, noun) = (judged.limit, noun(judged));
    let trip = assessment.trip.as_ref().and_then(|odds| odds.chance_per_season);
    let trip = trip.and_then(|odds| Some((odds.low, odds.best?, odds.high))).map(|(low, best, high)| {
        let words = format!("{} ({} to {})", show::chance(best), show::chance(low), show::chance(high));
        format!("; for any part on the whole trip it is {words}")
    });
    let broken = limit.seasons_broken.map_or(0, |broken| broken.sudden_sun);
    match (&limit.chance_per_season, glance::too_few(limit.seasons_counted, noun)) {
        _ if limit.out_of_reach.is_some() => {
            format!("none is given: {} is out of reach of the cold here", rated(limit))
        }
        (Some(chance), None) => format!(
            "{} is a share of the {noun}s: in {broken} of {} sudden sun passed {} at least once{}. In brackets: what so few leave \
             open, right nine times in ten; none seen is not never",
            view::chance_words(chance),
            limit.seasons_counted,
            rated(limit),
            trip.unwrap_or_default()
        ),
        _ if judged.stop.record.kind == RecordKind::TypicalYear => {
            "none is given: a typical year holds no seasons to count".to_owned()
        }
        _ => format!(
            "none is given: {} counted, too few to say how often{}{}",
            so_many(limit.seasons_counted, noun),
            limit.chance_per_season.as_ref().filter(|chance| chance.high < 0.995).map_or_else(
                String::new,
                |chance| format!("; a chance of up to {} a {noun} is left open", show::chance(chance.high))
            ),
            if broken > 0 {
                format!(", of which {broken} passed {} in sudden sun", rated(limit))
            } else {
                String::new()
            }
        ),
    }
}

/// The level of the worst case.
fn level(assessment: &Assessment, judged: &Judged<'_>) -> String {
    let four = &judged.array.voltage_v;
    let noun = noun(judged);
    let years = assessment.assumptions.iter().find(|row| row.name == "level that decides");
    let years = years.map_or_else(|| "so many".to_owned(), |row| row.value.clone());
    match (four.worst_case.predictive_level, four.allowance) {
        (Some(level), _) => format!(
            "{} is what the largest worst case of the next {noun} passes with a chance of 1 in {years}, whatever the parts stand",
            show::volts(level)
        ),
        (None, Some(allowance)) => format!(
            "none is given below {SEASONS_FOR_PREDICTIVE} complete {noun}s; in its place stands {}, the largest worst case found in \
             air 10 K colder",
            show::volts(allowance)
        ),
        (None, None) => format!("none is given below {SEASONS_FOR_PREDICTIVE} complete {noun}s with light"),
    }
}

/// The hours over the rating.
fn hours(judged: &Judged<'_>) -> String {
    let limit = judged.limit;
    let span = if judged.stop.window.is_some() { "stay" } else { "year" };
    match limit.hours_per_year {
        Some(hours) if hours.sudden_sun > 0.0 => format!(
            "in {} hours a {span}, on average, rolling into the sun passes {}, each time for minutes until the panels are warm{}",
            show::count(hours.sudden_sun),
            rated(limit),
            if hours.steady > 0.0 { ", or longer: parked volts pass it too" } else { "" }
        ),
        Some(_) => {
            format!("how long in a {span}, on average; none was counted over {} in sudden sun", rated(limit))
        }
        None => format!(
            "how long in a {span}, on average; none is counted here for want of complete {}s",
            noun(judged)
        ),
    }
}
