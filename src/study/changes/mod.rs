//! What to change so that every limit holds, with what each change does.

mod amps;
mod coefficient;
mod elsewhere;
mod fewer;
mod more;
mod parts;
mod records;
mod rules;

pub(crate) use rules::NOT_JUDGED;
mod volts;

use self::more::More;
use crate::array::Array;
use crate::limits::Verdict;
use crate::plan::Plan;
use crate::study::low_side::{FewerInSeries, hours_of_frost};
use crate::study::needed::VoltsNeeded;
use crate::study::needs::volts_needed;
use crate::study::results::{ArrayFacts, Assessment, LimitLine, RecordKind, StopResult};
use crate::study::weeks::OtherDates;
use crate::study::words::tidy;
use crate::study::{counted, decisive};
use crate::units::listed;

/// What the runs of the stops found besides their results.
pub(super) struct Found {
    /// What other dates do.
    pub dates: Vec<OtherDates>,
    /// What fewer panels in series cost on the hot side.
    pub fewer: Vec<FewerInSeries>,
}

/// One array, with what its changes rest on.
struct Way<'a> {
    plan: &'a Plan,
    assessment: &'a Assessment,
    facts: &'a ArrayFacts,
    array: &'a Array,
    needed: VoltsNeeded,
    found: &'a Found,
}

/// The panels of an array in strings of another length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherWay {
    /// The array.
    pub array: String,
    /// Panels in series.
    pub in_series: usize,
}

/// What to change, and what of it the answer names.
pub(super) struct Told {
    /// One sentence a change; empty where every limit was judged and holds with room to spare.
    pub sentences: Vec<String>,
    /// What other dates do at the stop that decides, where its own break a limit in volts.
    pub other_dates: Option<String>,
    /// Other arrangements of the panels that are ways out.
    pub other_ways: Vec<OtherWay>,
}

/// What helps, array by array, then what the remarks ask for.
#[must_use]
pub(super) fn changes(assessment: &Assessment, plan: &Plan, arrays: &[&Array], found: &Found) -> Told {
    let mut out: Vec<String> = Vec::new();
    let (mut other_dates, mut other_ways) = (None, Vec::new());
    let decides = decisive(assessment).filter(|_| assessment.verdict == Verdict::Exceeded);
    for (facts, &array) in assessment.arrays.iter().zip(arrays) {
        let needed = volts_needed(array, &assessment.stops, plan);
        let way = Way { plan, assessment, facts, array, needed, found };
        let whose = if arrays.len() > 1 { format!("array {}: ", facts.name) } else { String::new() };
        let (sentences, in_series) = way.sentences();
        other_ways.extend(in_series.map(|in_series| OtherWay { array: facts.name.clone(), in_series }));
        if let Some((stop, at, line)) = decides {
            let stop = &assessment.stops[stop];
            let at = &stop.arrays[at];
            if at.name == facts.name {
                other_dates = way.other_dates_at(&at.limits[line], stop);
            }
        }
        for sentence in sentences {
            let sentence = format!("{whose}{sentence}");
            if !out.contains(&sentence) {
                out.push(sentence);
            }
        }
    }
    for sentence in asked_by_notes(assessment) {
        if !out.contains(&sentence) {
            out.push(sentence);
        }
    }
    out.extend(battery_frost(assessment));
    Told { sentences: out, other_dates: other_dates.or_else(|| dates_do_not_matter(assessment)), other_ways }
}

/// That dates change nothing where no volts are broken: what is close by the code sum stays so, and what is out of reach too. `None`
/// without days, and where dates may matter.
fn dates_do_not_matter(assessment: &Assessment) -> Option<String> {
    if assessment.stops.is_empty() || assessment.stops.iter().any(|stop| stop.window.is_none()) {
        return None;
    }
    let volts = || {
        let at_stops = assessment.stops.iter().flat_map(|stop| &stop.arrays);
        at_stops.flat_map(|at| &at.limits).filter(|line| line.unit == "V")
    };
    match assessment.verdict {
        Verdict::Close => {
            let (stop, at, line) = decisive(assessment)?;
            let line = &assessment.stops[stop].arrays[at].limits[line];
            (line.unit == "V" && line.code_verdict == Some(Verdict::Close)).then(|| {
                "other dates do not help: the code sum, a rule for the whole year, is close by itself"
                    .to_owned()
            })
        }
        Verdict::Within if volts().next().is_some() && volts().all(|line| line.out_of_reach.is_some()) => {
            Some("other dates change nothing: the cold there reaches no voltage rating".to_owned())
        }
        _ => None,
    }
}

/// What a lithium battery in frost asks for: nobody who reads the changes alone should charge it frozen.
fn battery_frost(assessment: &Assessment) -> Option<String> {
    let mut places: Vec<String> = Vec::new();
    for stop in &assessment.stops {
        let span = if stop.window.is_some() { "stay" } else { "year" };
        let most = stop.arrays.iter().filter_map(hours_of_frost).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((hours, sun)) = most.filter(|(hours, _)| *hours >= 0.05) {
            places.push(format!(
                "in {} of {} hours of sun a {span} at {}",
                tidy(hours),
                tidy(sun),
                stop.place
            ));
        }
    }
    (!places.is_empty()).then(|| {
        format!(
            "battery in frost: lithium must not be charged below 0 °C, and the air is colder {}: see in its manual whether it stops the charge \
             itself or is heated, or give it a warm place.",
            listed(&places)
        )
    })
}

/// What the remarks ask for: on labels and components first, then on the weather, where the places of which the same is asked
/// stand together.
fn asked_by_notes(assessment: &Assessment) -> Vec<String> {
    let whole = |text: &str| format!("{}.", text.trim_end_matches('.'));
    let of_plan = assessment.arrays.iter().flat_map(|facts| &facts.notes).chain(&assessment.notes);
    let mut out: Vec<String> = of_plan.filter(|note| note.asks).map(|note| whole(&note.text)).collect();
    out.extend(no_code_sum(assessment));
    let mut of_weather: Vec<(&str, Vec<String>)> = Vec::new();
    for stop in &assessment.stops {
        for note in stop.notes.iter().filter(|note| note.asks) {
            match of_weather.iter_mut().find(|(text, _)| *text == note.text) {
                Some((_, places)) if places.contains(&stop.place) => {}
                Some((_, places)) => places.push(stop.place.clone()),
                None => of_weather.push((&note.text, vec![stop.place.clone()])),
            }
        }
    }
    out.extend(
        of_weather.iter().map(|(text, places)| format!("weather of {}: {}", listed(places), whole(text))),
    );
    out
}

/// What gives a typical year its code sum.
fn no_code_sum(assessment: &Assessment) -> Option<String> {
    let without = |stop: &&StopResult| {
        stop.record.kind == RecordKind::TypicalYear
            && stop.arrays.iter().any(|array| array.voltage_v.code.is_none())
    };
    let mut places: Vec<String> = Vec::new();
    for stop in assessment.stops.iter().filter(without) {
        if !places.contains(&stop.place) {
            places.push(stop.place.clone());
        }
    }
    (!places.is_empty()).then(|| {
        format!(
            "{}: add code_temperature to the stop, the lowest expected air there as codes or handbooks publish it: a typical year \
             gives no code sum.",
            listed(&places)
        )
    })
}

impl Way<'_> {
    /// The sentences, and the number in series of another arrangement that is a way out.
    fn sentences(&self) -> (Vec<String>, Option<usize>) {
        let mut out = Vec::new();
        let lines = self.worth_a_change();
        // Once for all of them, at the first: what clears the lowest rating clears the others.
        let breaks = |line: &&&LimitLine| line.unit == "V" && counted(line) == Verdict::Exceeded;
        let lowest = lines.iter().filter(breaks).filter_map(|line| line.rating).reduce(f64::min);
        out.extend(self.look_up_coefficient(&lines));
        let mut fewer = lowest.and_then(|rating| self.fewer_in_series(rating));
        let mut more = self.more_in_series(&lines);
        let in_series = match &more {
            Some(More::Holds(count, _)) => Some(*count),
            _ => fewer.as_ref().and_then(|fewer| fewer.in_series),
        };
        for line in lines {
            out.extend(match (counted(line), line.unit.as_str()) {
                (Verdict::NotAssessed, _) => vec![self.not_assessed(line)],
                (Verdict::NotMet, _) => vec![self.not_met(line)],
                (Verdict::Close, _) => vec![self.room_to_spare(line)],
                (_, "V") => self.fewer_volts(line, fewer.take()),
                _ if self.is_too_much_for_the_array(line) => match (more.take(), self.more_amps(line)) {
                    // What costs no part comes first.
                    (Some(More::Holds(_, sentence)), told) => std::iter::once(sentence).chain(told).collect(),
                    (Some(More::NoWay(clause)), told) => {
                        told.into_iter().map(|sentence| format!("{sentence} {clause}")).collect()
                    }
                    (None, told) => told,
                },
                _ => self.more_amps(line),
            });
        }
        out.extend(self.between_classes());
        out.extend(self.short_of_outside());
        out.extend(self.longer_records());
        out.extend(self.never_judged());
        (out, in_series)
    }

    /// The limits that are broken, close or not assessed, each at the stop where it fares worst, in the order of the plan;
    /// without a stop, those of the code sum.
    fn worth_a_change(&self) -> Vec<&LimitLine> {
        let mut found: Vec<&LimitLine> = Vec::new();
        let stops = self.assessment.stops.iter().flat_map(|stop| &stop.arrays);
        let at_stops = stops.filter(|at| at.name == self.facts.name);
        let alone = self.facts.code_alone.iter().flat_map(|code| &code.limits);
        for line in at_stops.flat_map(|at| &at.limits).chain(alone) {
            if counted(line) == Verdict::Within {
                continue;
            }
            let rank = |line: &LimitLine| (counted(line).severity(), line.worst.unwrap_or(0.0));
            // Two cables may bear one name: what is said of amps rests on the figures too.
            let same = found.iter_mut().find(|other| {
                other.component == line.component
                    && other.rule == line.rule
                    && (line.unit == "V" || (other.rating, &other.reason) == (line.rating, &line.reason))
            });
            match same {
                Some(other) if rank(line) > rank(other) => *other = line,
                Some(_) => {}
                None => found.push(line),
            }
        }
        found
    }
}
