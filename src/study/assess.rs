//! `assess`: the main job. Stop by stop, array by array, limit by limit.

use crate::array::Array;
use crate::hourly::{self, Blocks, Loop, ReadyGroup, Seen, fold};
use crate::limits::Verdict;
use crate::note::Note;
use crate::plan::Plan;
use crate::study::blocks::{cut, refuse_empty_window};
use crate::study::choice::{Choice, Detail};
use crate::study::collect;
use crate::study::dip;
use crate::study::doubts::{self, Doubt};
use crate::study::explain::{Asking, Beyond, Explained};
use crate::study::figures;
use crate::study::lines::{self, ArrayAt};
use crate::study::months::other_months;
use crate::study::open_stop;
use crate::study::pictures::Pictures;
use crate::study::record_facts::record_facts;
use crate::study::results::{ArrayAtStop, Assessment, SeasonMaximum, StationFacts, StopResult};
use crate::study::series::Counts;
use crate::study::stop_run::StopRun;
use crate::study::weeks::other_weeks;
use crate::study::{
    OpenStop, StudyError, beside, changes, extremes, information, ladder, low_side, needs, notes, stay,
    strip, summary, temperatures, trip, winter,
};
use crate::sun::Nodes;
use crate::trip::Stop;

/// Version of the JSON layout.
pub const SCHEMA: u32 = 1;

/// The calculation of the stop and array that decide: the smallest margin of a limit in volts, else the highest volts.
fn deciding(assessment: &Assessment, runs: Vec<StopRun>) -> Option<Explained> {
    let mut best: Option<(f64, Explained)> = None;
    for (stop, run) in assessment.stops.iter().zip(runs) {
        for (array, explained) in stop.arrays.iter().zip(run.explained) {
            let margins = array.limits.iter().filter(|line| line.unit == "V");
            let margin = margins.filter_map(|line| line.margin_percent).fold(f64::INFINITY, f64::min);
            let volts = array.voltage_v.worst_case.max.unwrap_or(0.0);
            // Without a rating the highest volts lead: far behind any margin, and in their own order.
            let rank = if margin.is_finite() { margin } else { 1e6 - volts };
            if let Some(explained) = explained
                && best.as_ref().is_none_or(|(least, _)| rank < *least)
            {
                best = Some((rank, explained));
            }
        }
    }
    best.map(|(_, explained)| explained)
}

/// Assesses a plan.
///
/// # Errors
/// Unreadable weather, missing coordinates, dates without weather, a choice that does not exist, nothing to assess.
pub fn assess(plan: &Plan, choice: &Choice) -> Result<Assessment, StudyError> {
    let stops = choice.stops(plan)?;
    let arrays = choice.arrays(plan)?;
    if stops.is_empty() && !needs::code_alone(plan) {
        return Err(StudyError::NoStops);
    }
    let mut counts = match choice.detail {
        Detail::Figures => Vec::new(),
        Detail::Pictures => ladder::begin(&arrays),
    };
    let (results, mut runs) = at_stops(plan, stops, &arrays, choice.detail, &mut counts)?;
    let mut facts: Vec<_> = arrays.iter().map(|array| needs::facts(array, &results, plan)).collect();
    for ((facts, array), counts) in facts.iter_mut().zip(&arrays).zip(counts) {
        facts.ladder = counts.and_then(|counts| ladder::ladder(array, counts));
    }
    let trip = trip::odds(plan, &runs, &results);
    let mut assessment = Assessment {
        schema: SCHEMA,
        title: plan.title.clone(),
        prepared_for: plan.prepared_for.clone(),
        prepared_by: plan.prepared_by.clone(),
        date: plan.date.clone(),
        verdict: Verdict::Within,
        summary: String::new(),
        doubts: Vec::new(),
        arrays: facts,
        trip,
        stops: results,
        assumptions: plan.stated.clone(),
        notes: plan.notes.clone(),
        cautions: summary::cautions(),
        missing: Vec::new(),
        changes: Vec::new(),
        other_dates: None,
        other_ways: Vec::new(),
        explained: None,
        plan_text: Some(plan.text.clone()),
        rules: plan.assumptions.rules,
    };
    let by_place = |what: fn(&StopRun) -> Option<&str>| -> Vec<(String, String)> {
        let pairs = assessment.stops.iter().zip(&runs);
        pairs.filter_map(|(stop, run)| Some((stop.place.clone(), what(run)?.to_owned()))).collect()
    };
    let no_winter = by_place(|run| run.no_winter.as_deref());
    let mut one_year = by_place(|run| run.one_year);
    let found = changes::Found {
        dates: runs.iter_mut().flat_map(|run| std::mem::take(&mut run.dates)).collect(),
        fewer: runs.iter_mut().flat_map(|run| std::mem::take(&mut run.fewer)).collect(),
    };
    let doubts: Vec<_> = runs.iter_mut().map(|run| std::mem::take(&mut run.doubts)).collect();
    assessment.explained = deciding(&assessment, runs);
    summary::conclude(&mut assessment, plan, &arrays);
    assessment.doubts = doubts::in_words(&assessment.stops, &doubts);
    // Beside what breaks anyway, the year that is missing is no news.
    if !matches!(assessment.verdict, Verdict::Within | Verdict::Close) {
        one_year.clear();
    }
    for places in [&no_winter, &one_year] {
        assessment.doubts.extend(winter::clauses(places, plan.stops.len() > 1));
    }
    let told = changes::changes(&assessment, plan, &arrays, &found);
    assessment.other_dates = told.other_dates;
    assessment.other_ways = told.other_ways;
    assessment.changes = told.sentences;
    summary::temper(&mut assessment);
    summary::poles_to_count(&mut assessment, &arrays);
    summary::no_all_clear(&mut assessment);
    // Of dates too nothing is claimed while the weather is in doubt.
    if summary::is_in_doubt(&assessment) {
        assessment.other_dates = None;
    }
    Ok(assessment)
}

/// All stops, one after the other: they share the sun's nodes.
fn at_stops(
    plan: &Plan,
    stops: Vec<(usize, &Stop)>,
    arrays: &[&Array],
    detail: Detail,
    counts: &mut [Option<Counts>],
) -> Result<(Vec<StopResult>, Vec<StopRun>), StudyError> {
    let mut nodes = None;
    let mut results = Vec::with_capacity(stops.len());
    let mut runs = Vec::with_capacity(stops.len());
    for (index, stop) in stops {
        let open = OpenStop::open(stop, &plan.assumptions)?;
        refuse_empty_window(&open, stop.window)?;
        let blocks = cut(plan, index, &open);
        let nodes = open.sun_nodes(&mut nodes)?;
        let at = StopAt { plan, open: &open, blocks, nodes, detail };
        let (result, run) = match detail {
            Detail::Figures => assess_stop(&at, arrays),
            // Two questions of one record: side by side where there are two cores.
            Detail::Pictures => {
                let look = |counts: &mut Counts| counts.look(plan, &open, nodes, blocks);
                rayon::join(|| assess_stop(&at, arrays), || counts.iter_mut().flatten().for_each(look)).0
            }
        };
        results.push(result);
        runs.push(run);
    }
    Ok((results, runs))
}

/// A stop made ready, with its place in the plan's trip.
struct StopAt<'a> {
    plan: &'a Plan,
    open: &'a OpenStop<'a>,
    blocks: Option<Blocks>,
    nodes: &'a Nodes,
    detail: Detail,
}

fn assess_stop(at: &StopAt<'_>, arrays: &[&Array]) -> (StopResult, StopRun) {
    let StopAt { plan, open, blocks, nodes, detail } = *at;
    let stop = open.stop;
    let window = stop.window;
    let lows = temperatures::annual_lows(open);
    let daylight = hourly::daylight_lows(&open.site, nodes, open.opened.record.hours(), &open.seasons);
    let mut design = temperatures::design_temperature(open, &lows, Some(&daylight), &plan.assumptions);
    let mut at_stop = Vec::with_capacity(arrays.len());
    let mut seen_by_array = Vec::with_capacity(arrays.len());
    let mut explained = Vec::with_capacity(arrays.len());
    let mut dates = Vec::new();
    let mut fewer = Vec::new();
    let mut of_figures = Vec::new();
    for (number, array) in arrays.iter().enumerate() {
        let groups: Vec<ReadyGroup<'_>> =
            array.groups.iter().map(|group| ReadyGroup::new(group, plan.assumptions.sky_cooling_k)).collect();
        let (ratings, without) = lines::voltage_ratings(array, &plan.assumptions);
        let mut volts: Vec<f64> = ratings.iter().map(|rating| rating.volts).collect();
        volts.extend(information::thresholds(array));
        let job = Loop {
            site: &open.site,
            sky: &open.sky,
            nodes,
            groups: &groups,
            ratings: &volts,
            steady_only: &information::TOUCH_V,
            blocks,
            only: window,
            step_h: open.step_h(),
        };
        let seen = fold(&job, open.opened.record.hours());
        if number == 0 {
            design.window_low = window.and(seen.block_air_low_c);
        }
        let code_temperature = temperatures::code_temperature(open, &design, &plan.assumptions);
        explained.push(match detail {
            Detail::Figures => None,
            Detail::Pictures => {
                let asking = Asking {
                    title: &plan.title,
                    array,
                    job: &job,
                    open,
                    code_air: &code_temperature,
                    rules: plan.assumptions.rules,
                };
                asking.worst(&seen)
            }
        });
        let mut figures =
            figures::figures(open, &groups, &seen, code_temperature, design.window_low, &plan.assumptions);
        if let Some(Some(explained)) = explained.last_mut() {
            explained.add(&Beyond {
                groups: &groups,
                seen: &seen,
                decide: &figures.decide,
                assumptions: &plan.assumptions,
            });
        }
        figures.voltage.sudden_sun.within_2_percent_s = beside::lasts_s(open, &groups, &seen);
        let at = ArrayAt {
            open,
            groups: &groups,
            seen: &seen,
            figures: &figures,
            blocks,
            dated: window.is_some(),
            assumptions: &plan.assumptions,
        };
        let limits = lines::all(&at, array, &ratings, &without);
        dates.extend(other_weeks(&at, &array.name, &limits));
        dates.extend(other_months(&at, &job, open.opened.record.hours(), &array.name, &limits));
        let whose = if arrays.len() > 1 { format!(" of array {}", array.name) } else { String::new() };
        of_figures.extend(stay::above_its_season(&at, &job, open.opened.record.hours(), &whose));
        if let Some(peak) = seen.peak.worst_case {
            of_figures.extend(dip::of_largest(peak.start, open.opened.record.hours(), &whose));
        }
        let low = low_side::of_array(open, nodes, array, &groups);
        let week = strip::worst_week(&job, open, &seen);
        fewer.extend(low.fewer);
        at_stop.push(ArrayAtStop {
            name: array.name.clone(),
            touch: information::touch(&at),
            information: information::lines(&at, array, ratings.len()),
            low_side: low.result,
            battery_frost: low.frost,
            current_a: beside::currents(open, &seen),
            limits,
            season_maxima_v: season_maxima(&seen),
            worst_week: week.hours,
            worst_week_over_h: week.over_h,
            pictures: match detail {
                Detail::Figures => Pictures::default(),
                Detail::Pictures => {
                    let named: Vec<_> =
                        ratings.iter().map(|rating| (rating.component.as_str(), rating.volts)).collect();
                    collect::pictures(&job, open, &named, array)
                }
            },
            voltage_v: figures.voltage,
        });
        seen_by_array.push((seen, ratings));
    }
    let mut doubts = doubts::of_stop(open);
    let mut remarks: Vec<Note> = doubts.iter().map(Doubt::note).collect();
    remarks.extend(open.opened.notes.iter().cloned());
    remarks.extend(open.notes.iter().cloned());
    let no_winter = winter::unseen(open, &at_stop);
    remarks.extend(no_winter.as_deref().map(winter::note));
    let one_year = winter::of_one_year(open);
    remarks.extend(notes::of_record(open, &design, &at_stop));
    remarks.extend(of_figures);
    remarks.extend(beside::allowances(open, &at_stop));
    let dark_h = design.record_low_at.and_then(|at| hourly::hours_until_light(&open.site, nodes, at));
    let volts_per_k = at_stop.first().and_then(|array| array.voltage_v.code_volts_per_k);
    remarks.extend(extremes::in_the_dark(&lows, &daylight.lows, &design, dark_h, volts_per_k));
    remarks.extend(extremes::of_lows(&lows, &design));
    for (array, (seen, _)) in at_stop.iter().zip(&seen_by_array) {
        remarks.extend(extremes::of_volts(array, seen, arrays.len() > 1));
    }
    remarks.extend(extremes::beside_published(&design, &lows, open.step_h()));
    remarks.extend(open_stop::unplaced(&open.opened));
    doubts::add_clock(&mut doubts, &mut remarks);
    let result = StopResult {
        place: stop.place.clone(),
        window: window.map(|window| format!("{} to {}", window.arrive, window.leave)),
        // Sea level is assumed for the light where nobody says; it is no height of the place.
        elevation_m: stop.elevation_m.or(open.station_elevation_m),
        station: StationFacts {
            name: open.opened.station.name.clone().or_else(|| open.opened.station.id.clone()),
            latitude_deg: open.opened.station.latitude_deg.or(stop.latitude_deg),
            longitude_deg: open.opened.station.longitude_deg.or(stop.longitude_deg),
            elevation_m: open.station_elevation_m,
        },
        record: record_facts(&open.opened, &open.seasons),
        design_temperature_c: design,
        arrays: at_stop,
        annual_low_c: lows,
        notes: remarks,
        utc_offset: open.site.offset,
    };
    (result, StopRun { blocks, seen: seen_by_array, dates, fewer, explained, no_winter, one_year, doubts })
}

fn season_maxima(seen: &Seen) -> Vec<SeasonMaximum> {
    seen.blocks
        .iter()
        .map(|block| SeasonMaximum {
            season: block.season,
            steady: block.peak.steady.map(|peak| peak.spot.volts),
            sudden_sun: block.peak.sudden_sun.map(|peak| peak.spot.volts),
            worst_case: block.peak.worst_case.map(|peak| peak.spot.volts),
            coverage: block.share,
            counted: block.complete,
        })
        .collect()
}
