//! What a reader finds without searching: the answer in short words.

use super::show;
use super::view::{self, Judged};
use crate::extreme::SEASONS_FOR_LEVEL;
use crate::limits::Verdict;
use crate::study::results::{Assessment, FourVoltages, LimitLine, Planned, StopResult};
use crate::study::{NOT_JUDGED, is_in_doubt};
use crate::time::{MONTHS, Stamp};
use crate::units::{listed, so_many};

/// "30 December 2004, 11:00", on the clock of the place.
pub(crate) fn moment(at: Stamp, stop: &StopResult) -> String {
    let local = at.local(stop.utc_offset);
    match local.split_once(' ') {
        Some((day, clock)) => format!("{}, {clock}", date_words(day)),
        None => local,
    }
}

/// "8 December to 22 December" for "12-08 to 12-22"; anything else as it is.
pub(crate) fn window(window: &str) -> String {
    match window.split_once(" to ") {
        Some((arrive, leave)) => format!("{} to {}", date_words(arrive), date_words(leave)),
        None => window.to_owned(),
    }
}

/// A date of numbers in words: "12-08" or "2031-12-08"; anything else as it is.
fn date_words(date: &str) -> String {
    let parts: Option<Vec<u32>> = date.split('-').map(|part| part.parse().ok()).collect();
    let name = |month: u32| MONTHS.get((month as usize).wrapping_sub(1));
    match parts.as_deref() {
        Some(&[month, day]) => name(month).map(|name| format!("{day} {name}")),
        Some(&[year, month, day]) => name(month).map(|name| format!("{day} {name} {year}")),
        _ => None,
    }
    .unwrap_or_else(|| date.to_owned())
}

/// The rule without its clause, for a narrow column; the clause stands with the limit's own sentence.
pub(crate) fn rule(limit: &LimitLine) -> &str {
    limit.rule.split(" (").next().unwrap_or(&limit.rule)
}

/// How often the limit is passed, in a sentence or two.
pub(crate) fn how_often(judged: &Judged<'_>) -> String {
    let limit = judged.limit;
    if judged.is_everywhere() {
        let same = "It rests on the labels, not on the weather: the same at every hour";
        return match judged.limit.verdict {
            Verdict::Within => format!("{same}, and it holds."),
            Verdict::Close => format!("{same}, and it holds by little."),
            _ => format!("{same}."),
        };
    }
    if let Some(sentence) = &limit.out_of_reach {
        return view::sentence(sentence);
    }
    let Some(hours) = limit.hours_per_year else { return view::sentence(&limit.how_often) };
    let (span, noun) = match judged.stop.window {
        Some(_) => ("stay", "stay"),
        None => ("year", "season"),
    };
    let few = too_few(limit.seasons_counted, noun);
    let broken = limit.seasons_broken.map_or(0, |broken| broken.sudden_sun);
    if let Some(few) = few.as_ref().filter(|_| broken == 0)
        && hours.sudden_sun.max(hours.worst_case).max(hours.steady) == 0.0
    {
        let room = limit.chance_per_season.as_ref().filter(|chance| chance.high < 0.995);
        let room = room.map_or_else(String::new, |chance| {
            format!(" more than that a chance of up to {} a {noun} is left open", show::chance(chance.high))
        });
        return format!("In sudden sun, in the worst case and parked {few}{room}.");
    }
    let amount = |hours: f64| match (hours, &few) {
        (0.0, Some(_)) => "not seen".to_owned(),
        (0.0, None) => "no hour counted".to_owned(),
        (hours, _) => format!("{} hours a {span}", show::count(hours)),
    };
    let mean = if hours.sudden_sun > 0.0 && limit.seasons > 1 { " on average" } else { "" };
    let sudden = format!("{}{mean}{}", amount(hours.sudden_sun), most(limit, noun));
    let mut text = String::from("In sudden sun ");
    text.push_str(&match (limit.seasons_broken, &limit.chance_per_season) {
        (Some(broken), _) if limit.seasons_counted > 0 && few.is_some() => match broken.sudden_sun {
            0 => few.clone().unwrap_or_default(),
            broken => format!(
                "in {broken} of {}{}, too few for a chance; {}",
                so_many(limit.seasons_counted, noun),
                view::of_complete(judged).map_or_else(String::new, |complete| format!(" ({complete})")),
                sudden
            ),
        },
        (Some(broken), Some(chance)) if limit.seasons_counted > 0 => format!(
            "in {} of {}{}, a chance of {} ({} to {}); {}",
            broken.sudden_sun,
            so_many(limit.seasons_counted, noun),
            view::of_complete(judged).map_or_else(String::new, |complete| format!(" ({complete})")),
            show::chance(chance.best),
            show::chance(chance.low),
            show::chance(chance.high),
            sudden
        ),
        _ => sudden,
    });
    text.push_str(&format!(
        ". Worst case {}{}. Parked {}.",
        amount(hours.worst_case),
        if hours.worst_case > 0.0 { ", if full clear sun fell then" } else { "" },
        amount(hours.steady)
    ));
    text
}

/// ", most of it in one stay: 14 h in 2004/05": the mean over all seasons hides the worst of them.
fn most(limit: &LimitLine, noun: &str) -> String {
    let Some(most) = limit.most_hours.filter(|most| most.share < 1.0 || limit.seasons > 1) else {
        return String::new();
    };
    let share = match most.share {
        share if share > 0.9995 => "all",
        share if share >= 0.5 => "most",
        _ => return format!(", at most {} h in one {noun} ({})", show::count(most.hours), most.season),
    };
    format!(", {share} of it in one {noun}: {} h in {}", show::count(most.hours), most.season)
}

/// "not seen in 2 stays: too few to say", of fewer than the seasons from which a trip has its odds and levels are given.
pub(crate) fn too_few(seasons: usize, noun: &str) -> Option<String> {
    (seasons < SEASONS_FOR_LEVEL).then(|| format!("not seen in {}: too few to say", so_many(seasons, noun)))
}

/// The answer in one sentence for a person who pays and does not wire; `None` where only the rule's own words serve.
pub(crate) fn plain(assessment: &Assessment) -> Option<String> {
    let judged = view::decider(assessment)?;
    let limit = judged.limit;
    let (rating, worst) = (limit.rating?, limit.worst?);
    let (component, place) = (&limit.component, &judged.stop.place);
    let worst = if limit.unit == "V" { largest(&judged, worst) } else { worst };
    let (rating, worst) = (show::rating(rating, &limit.unit), show::demand(worst, &limit.unit));
    if is_in_doubt(assessment) {
        return Some(
            "This is no all-clear: the weather that it rests on is in doubt. Settle that first, then ask again."
                .to_owned(),
        );
    }
    let text = match (assessment.verdict, limit.unit.as_str()) {
        (Verdict::Exceeded, "V") => format!(
            "In the cold of {place} the panels can reach {worst}, and {component} is made for {rating}: as planned it must not \
             be used"
        ),
        (Verdict::Exceeded, _) => {
            format!(
                "{component} must be made for {worst}, and it is made for {rating}: as planned it must not be used"
            )
        }
        (Verdict::Close, "V") => format!(
            "In the cold of {place} the panels can reach {worst}, close below the {rating} that {component} is made for"
        ),
        (Verdict::Within, "V") => format!(
            "As far as the cold and the limits of this plan go, nothing speaks against it: of all that it names {component} has \
             the least room, {worst} at {place} against {rating}"
        ),
        (Verdict::Close | Verdict::Within, _) => {
            let cold =
                view::tightest_volts(assessment).map(|judged| format!("of its volts {}; ", room(&judged)));
            format!(
                "What this plan names can stand what the panels give: {}of its amps {component} has the least room, {worst} \
                 against {rating}",
                cold.unwrap_or_default()
            )
        }
        _ => return None,
    };
    Some(view::sentence(&text))
}

/// Of volts the largest figure of all: the one that decides may be the code sum, with a larger worst case behind it.
fn largest(judged: &Judged<'_>, worst: f64) -> f64 {
    largest_of(&judged.array.voltage_v, worst)
}

/// The largest figure of an array at a stop, by which parts are bought.
pub(crate) fn largest_of(four: &FourVoltages, worst: f64) -> f64 {
    [four.code, four.worst_case.max, four.worst_case.predictive_level, four.allowance]
        .into_iter()
        .flatten()
        .fold(worst, f64::max)
}

/// Name of the test by the code sum.
pub(crate) const CODE_SUM: &str = "code sum";

/// One figure that a rating in volts has to hold.
pub(crate) struct Test {
    /// Its name.
    pub name: &'static str,
    /// Volts.
    pub volts: f64,
    /// Per cent of the rating to spare; below zero it is passed.
    pub margin_percent: f64,
    /// The hour that it belongs to; `None` where it belongs to none.
    pub at: Option<Stamp>,
    /// What it rests on where it rests on no hour.
    pub rests_on: &'static str,
}

/// What a rating in volts is held against, one by one: the code sum, the worst case found, and what is expected beyond that
/// where it is larger. Empty for a limit in other units.
pub(crate) fn tests(judged: &Judged<'_>) -> Vec<Test> {
    let Some(rating) = judged.limit.rating.filter(|rating| judged.limit.unit == "V" && *rating > 0.0) else {
        return Vec::new();
    };
    let four = &judged.array.voltage_v;
    let seen = four.worst_case.max;
    let expected = view::expected(four).filter(|volts| seen.is_none_or(|seen| *volts > seen));
    let all = [
        (CODE_SUM, four.code, None, "a rule that rests on no hour"),
        ("worst case found", seen, four.worst_case.at, "one hour of the record"),
        match four.worst_case.predictive_level {
            Some(_) => ("worst case expected", expected, None, "it rests on all seasons (stays) counted"),
            None => (
                "worst case found, for air 10 K colder",
                expected,
                None,
                "an allowance: the record gives no expected figure",
            ),
        },
    ];
    all.into_iter()
        .filter_map(|(name, volts, at, rests_on)| {
            let volts = volts?;
            Some(Test { name, volts, margin_percent: (rating - volts) / rating * 100.0, at, rests_on })
        })
        .collect()
}

/// "It breaks two tests": how many of them the figures pass.
pub(crate) fn tests_words(tests: &[Test]) -> String {
    let broken = tests.iter().filter(|test| test.margin_percent < 0.0).count();
    match (broken, tests.len()) {
        (0, 1) => "It holds its test".to_owned(),
        (0, _) => "It holds every test".to_owned(),
        (1, 1) => "It breaks its test".to_owned(),
        (1, all) => format!("It breaks one test of {all}"),
        (2, _) => "It breaks two tests".to_owned(),
        (several, _) => format!("It breaks {several} tests"),
    }
}

/// "the switch has the least room, 55.5 V at Marrow Halt against 60 V".
fn room(judged: &Judged<'_>) -> String {
    let limit = judged.limit;
    let figure = |value: Option<f64>| {
        value.map_or_else(|| "-".to_owned(), |value| show::demand(largest(judged, value), &limit.unit))
    };
    format!(
        "{} has the least room, {} at {} against {}",
        limit.component,
        figure(limit.worst),
        judged.stop.place,
        limit.rating.map_or_else(|| "-".to_owned(), |rating| show::rating(rating, &limit.unit))
    )
}

/// What the cold does, where amps decide: the limit in volts with the least room, its margin, how often.
pub(crate) fn volts(judged: &Judged<'_>) -> String {
    let margin = judged.limit.margin_percent.map(|percent| format!(" ({})", show::margin(percent)));
    let text = format!(
        "{}: {}{}",
        show::verdict(view::counting_verdict(judged.limit)),
        room(judged),
        margin.unwrap_or_default()
    );
    format!("{} {}", view::sentence(&text), how_often(judged))
}

/// "Of 9 limits 1 is exceeded, 1 close, 7 within."; `None` without a limit.
pub(crate) fn tally(assessment: &Assessment) -> Option<String> {
    let limits = view::worst_of_each(assessment);
    let count = |verdict: Verdict| {
        limits.iter().filter(|judged| view::counting_verdict(judged.limit) == verdict).count()
    };
    let parts: Vec<String> =
        [Verdict::Exceeded, Verdict::NotMet, Verdict::NotAssessed, Verdict::Close, Verdict::Within]
            .into_iter()
            .filter_map(|verdict| match count(verdict) {
                0 => None,
                many => Some(format!("{many} {}", show::verdict(verdict))),
            })
            .collect();
    let unjudged = if assessment.changes.iter().any(|change| change.contains(NOT_JUDGED)) {
        " Ratings that the plan does not give were not judged and are not counted here."
    } else {
        ""
    };
    let lacking = needed_and_not_planned(assessment);
    let unjudged = match lacking[..] {
        [] => unjudged.to_owned(),
        _ => format!("{unjudged} Needed, not in the plan and so not judged: {}.", listed(&lacking)),
    };
    match limits.len() {
        0 => None,
        1 => Some(format!("The plan has one limit: {}.{unjudged}", parts.join(", "))),
        many => Some(format!("Of {many} limits: {}.{unjudged}", parts.join(", "))),
    }
}

/// Parts that some array cannot do without and that the plan does not have, each once; none of what stands with what to buy right
/// below the verdict.
fn needed_and_not_planned(assessment: &Assessment) -> Vec<&str> {
    let arrays = assessment.arrays.iter().filter(|facts| !view::is_told_first(assessment, facts));
    let needs = arrays.flat_map(|facts| &facts.needs.components);
    let mut names: Vec<&str> = Vec::new();
    for need in needs.filter(|need| need.in_plan == Planned::Needed) {
        if !names.contains(&need.component.as_str()) {
            names.push(&need.component);
        }
    }
    names
}

/// What stands in the list of every stop, told once: each text that all lists hold, in the order of the first. Of a
/// single list nothing.
pub(crate) fn shared(lists: &[Vec<String>]) -> Vec<String> {
    let Some((first, others)) = lists.split_first().filter(|(_, others)| !others.is_empty()) else {
        return Vec::new();
    };
    first.iter().filter(|text| others.iter().all(|list| list.contains(text))).cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_read_as_words_and_other_text_stays() {
        assert_eq!(window("12-08 to 01-06"), "8 December to 6 January");
        assert_eq!(window("2031-12-08 to 2032-02-29"), "8 December 2031 to 29 February 2032");
        for odd in ["13-01 to 00-00", "whole years", "<b> to -"] {
            assert_eq!(window(odd), odd);
        }
    }

    #[test]
    fn only_what_every_list_holds_is_told_once() {
        let lists = [vec!["a".to_owned(), "b".to_owned()], vec!["b".to_owned(), "c".to_owned()]];
        assert_eq!(shared(&lists), ["b"]);
        assert!(shared(&lists[..1]).is_empty());
    }
}
