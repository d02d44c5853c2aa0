//! The brief form of `assess`: what decides, what to buy, what to change, and each place in a few lines. Whatever bears on
//! safety stands here in full: verdicts and their reasons, the figure that decides step by step, doubts of the weather,
//! every caution. Tables of levels, assumptions and remarks on method wait in the full form.

use super::page::{Align, Page};
use super::{Judged, TextOptions, changes, head_and_missing, stop, trip};
use crate::limits::Verdict;
use crate::report::{glance, show, view};
use crate::study::results::{ArrayAtStop, Assessment, LimitLine, StopResult};
use crate::units::so_many;

/// The assessment in brief, ending with a line break. What it leaves out is said in its last lines.
#[must_use]
pub fn assess_in_brief(assessment: &Assessment, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    head_and_missing(&mut page, assessment);
    limits(&mut page, assessment);
    super::all_needs(&mut page, assessment);
    changes(&mut page, assessment);
    if let Some(odds) = &assessment.trip {
        page.heading("The whole trip");
        trip(&mut page, assessment, odds);
    }
    match assessment.stops.as_slice() {
        [] => {}
        [only] => one_place(&mut page, assessment, only),
        several => {
            page.heading("Place by place");
            places(&mut page, assessment, several);
            hours_of_all(&mut page, assessment);
            records(&mut page, several);
        }
    }
    if !assessment.notes.is_empty() {
        page.heading("Notes on the plan");
        super::notes(&mut page, 0, &assessment.notes);
    }
    super::cautions(&mut page, assessment);
    page.heading("What this leaves out");
    page.paragraph(0, &left_out(assessment));
    page.finish()
}

/// The table, then what each limit that does not simply hold says, and the decider's figure step by step.
fn limits(page: &mut Page, assessment: &Assessment) {
    let judged = view::worst_of_each(assessment);
    if judged.is_empty() {
        return;
    }
    let several = assessment.stops.len() > 1;
    page.heading(if several { "Limits, each at the stop where it fares worst" } else { "Limits" });
    super::overview(page, assessment);
    let decider = view::decider(assessment);
    for limit in &judged {
        let decides = decider.as_ref().is_some_and(|decider| is_same(decider, limit));
        if !decides && view::counting_verdict(limit.limit) == Verdict::Within {
            continue;
        }
        page.bullet(0, &stop::sentences(limit.limit));
        if decides {
            for line in view::step_lines(limit.limit) {
                page.paragraph(2, &line);
            }
        }
    }
}

fn is_same(one: &Judged<'_>, other: &Judged<'_>) -> bool {
    std::ptr::eq(one.limit, other.limit)
}

/// A plan with a single place: its voltages with hour, light and cell.
fn one_place(page: &mut Page, assessment: &Assessment, stop: &StopResult) {
    page.heading(&stop::heading(assessment, 0, stop, page.units));
    page.named(0, "Record", &view::record_sentence(&stop.record, page.units));
    let lows: Vec<String> = view::design_rows(stop, page.units)
        .into_iter()
        .filter(|row| !row.name.contains("daylight"))
        .map(|row| format!("{} {}", row.name, row.value))
        .collect();
    if !lows.is_empty() {
        page.named(0, "Air", &(lows.join(", ") + "."));
    }
    for array in &stop.arrays {
        if assessment.arrays.len() > 1 {
            page.subheading(&format!("Array {}", array.name));
        }
        stop::four_voltages(page, stop, &array.voltage_v);
        page.paragraph(1, &format!("The code sum's temperature: {}.", array.voltage_v.code_temperature_from));
        if let Some(most) = array.current_a.max_hour {
            page.named(0, "Current", &format!("largest hour mean {} (information)", show::amps(most)));
        }
        page.named(0, "Touch voltage", &view::touch_sentence(&array.touch));
        let rows: Vec<_> = array.limits.iter().filter(|limit| stop::is_passed(limit)).collect();
        if !rows.is_empty() {
            stop::how_often(page, stop, &rows);
        } else if array.limits.iter().any(|limit| limit.hours_per_year.is_some()) {
            page.named(0, "How often", NONE_COUNTED);
        }
    }
    if !stop.notes.iter().all(view::is_detail) {
        page.subheading("Notes on the weather");
    }
    for note in plain_notes(stop) {
        page.bullet(0, &note);
    }
}

/// Several places in one table: how cold, how many volts and amps.
fn places(page: &mut Page, assessment: &Assessment, stops: &[StopResult]) {
    let several = assessment.arrays.len() > 1;
    let units = page.units;
    let dash = || "-".to_owned();
    let volts = |value: Option<f64>| value.map_or_else(dash, show::volts);
    let mut rows = Vec::new();
    for stop in stops {
        let design = &stop.design_temperature_c;
        let air = |value: Option<f64>| value.map_or_else(dash, |air| show::temperature(air, units));
        for array in &stop.arrays {
            let four = &array.voltage_v;
            let mut place = stop.place.clone();
            if several {
                place.push_str(&format!(", {}", array.name));
            }
            rows.push(vec![
                place,
                stop.window.clone().unwrap_or_else(|| "whole years".to_owned()),
                air(design.mean_annual_low),
                air(design.record_low),
                volts(four.code),
                volts(four.steady.max),
                volts(four.sudden_sun.max),
                volts(four.worst_case.max),
            ]);
        }
    }
    let right = Align::Right;
    page.table(
        &["stop", "days", "mean low", "record low", "code sum", "steady", "sudden sun", "worst case"],
        &[Align::Left, Align::Left, right, right, right, right, right, right],
        rows,
    );
    page.paragraph(
        1,
        "Lows: of the air there in whole years, the mean of the annual ones and the lowest. Volts: the largest of the highest \
         string.",
    );
    for facts in &assessment.arrays {
        let touched = stops.iter().flat_map(|stop| &stop.arrays).filter(|array| array.name == facts.name);
        let amps = touched.clone().filter_map(|array| array.current_a.max_hour).fold(0.0, f64::max);
        // What its coldest place says of touch holds for the vehicle.
        if let Some(array) = touched.max_by(|a, b| most_volts(a).total_cmp(&most_volts(b))) {
            let text = format!("{}: {} (information)", array.touch.class, array.touch.meaning);
            let name =
                if several { format!("Touch voltage of {}", facts.name) } else { "Touch voltage".to_owned() };
            page.named(0, &name, &text);
        }
        if amps > 0.0 {
            let name = if several { format!("Current of {}", facts.name) } else { "Current".to_owned() };
            page.named(0, &name, &format!("largest hour mean {} (information)", show::amps(amps)));
        }
    }
}

/// "8 of 25, 32 % (17 % to 50 %)".
fn seasons_and_chance(limit: &LimitLine) -> String {
    let seasons = view::seasons_words(limit);
    match &limit.chance_per_season {
        Some(chance) => format!("{seasons}, {}", view::chance_words(chance)),
        None => seasons,
    }
}

fn most_volts(array: &ArrayAtStop) -> f64 {
    let four = &array.voltage_v;
    [four.worst_case.max, four.code].into_iter().flatten().fold(0.0, f64::max)
}

/// How often, of every place and limit that is passed or may be.
fn hours_of_all(page: &mut Page, assessment: &Assessment) {
    let mut rows = Vec::new();
    let mut counted = false;
    for judged in view::all_limits(assessment) {
        let Some(hours) = judged.limit.hours_per_year else { continue };
        counted = true;
        if !stop::is_passed(judged.limit) {
            continue;
        }
        let rating = judged
            .limit
            .rating
            .map_or_else(|| "-".to_owned(), |value| show::rating(value, &judged.limit.unit));
        rows.push(vec![
            format!("{}, {rating}", judged.limit.component),
            judged.stop.place.clone(),
            show::count(hours.steady),
            show::count(hours.sudden_sun),
            show::count(hours.worst_case),
            seasons_and_chance(judged.limit),
        ]);
    }
    if rows.is_empty() {
        if counted {
            page.named(0, "How often", NONE_COUNTED);
        }
        return;
    }
    page.subheading("How often: hours a stay (or a year) over a rating");
    let right = Align::Right;
    page.table(
        &["limit", "stop", "parked", "sudden sun", "worst case*", "seasons with it in sudden sun (90 %)"],
        &[Align::Left, Align::Left, right, right, right, Align::Left],
        rows,
    );
    page.paragraph(1, view::WORST_CASE_HOURS);
}

/// What each place rests on, and what must be known of it; what holds for all of them once.
fn records(page: &mut Page, stops: &[StopResult]) {
    let told: Vec<Vec<String>> = stops.iter().map(plain_notes).collect();
    let shared = glance::shared(&told);
    page.subheading("Their weather");
    for (stop, notes) in stops.iter().zip(&told) {
        page.bullet(0, &format!("{}: {}", stop.place, view::record_sentence(&stop.record, page.units)));
        for note in notes.iter().filter(|note| !shared.contains(note)) {
            page.bullet(1, note);
        }
    }
    for note in &shared {
        page.bullet(0, &format!("every stop: {note}"));
    }
}

/// Of what was counted alone: hours outside a stay, and those that a record lacks, are not in it.
const NONE_COUNTED: &str = "of the hours counted none lies over a voltage rating, not even in the worst case";

/// What a reader must know of a place's weather before the answer is believed.
fn plain_notes(stop: &StopResult) -> Vec<String> {
    stop.notes.iter().filter(|note| !view::is_detail(note)).map(view::note_text).collect()
}

fn left_out(assessment: &Assessment) -> String {
    let notes: usize = assessment
        .stops
        .iter()
        .map(|stop| stop.notes.iter().filter(|note| view::is_detail(note)).count())
        .sum();
    let mut parts = vec!["each limit's own steps".to_owned()];
    if !assessment.stops.is_empty() {
        parts.push("lows and volts with their errors".to_owned());
        parts.push("frost, heat and charging at each place".to_owned());
    }
    if notes > 0 {
        parts.push(so_many(notes, "note") + " on data and method");
    }
    parts.push(so_many(assessment.assumptions.len(), "assumption"));
    format!(
        "{} with --full; as a page with charts by the command report. The answer: {}, as the first lines say.",
        view::sentence(&parts.join(", ")).trim_end_matches('.'),
        view::headline(assessment).0
    )
}
