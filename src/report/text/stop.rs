//! One stop as text.

use super::page::{Align, Page};
use super::{limit_figures, not_given, notes, put_below_its_own, verdict_of, why_not_judged};
use crate::report::show;
use crate::report::view::{self, Judged};
use crate::study::results::{
    ArrayAtStop, Assessment, FourVoltages, LimitLine, NotGiven, Peak, RecordKind, StopResult,
};

pub(super) fn stop(page: &mut Page, assessment: &Assessment, index: usize, stop: &StopResult) {
    page.heading(&heading(assessment, index, stop, page.units));
    page.named(0, "Station", &view::station_sentence(stop, page.units));
    page.named(0, "Record", &view::record_sentence(&stop.record, page.units));
    temperatures(page, stop);
    for array in &stop.arrays {
        if assessment.arrays.len() > 1 {
            page.subheading(&format!("Array {}", array.name));
        }
        voltages(page, stop, array);
        currents(page, stop, array);
        let facts = assessment.arrays.iter().find(|facts| facts.name == array.name);
        limits(page, assessment, (index, stop), array, facts.map_or(&[], |facts| facts.not_given.as_slice()));
    }
    if !stop.notes.is_empty() {
        page.subheading("Notes on the weather");
        notes(page, 0, &view::told(&stop.notes).collect::<Vec<_>>());
    }
}

pub(super) fn heading(
    assessment: &Assessment,
    index: usize,
    stop: &StopResult,
    units: show::Units,
) -> String {
    let mut text = if assessment.stops.len() > 1 {
        format!("Stop {} of {}: {}", index + 1, assessment.stops.len(), stop.place)
    } else {
        stop.place.clone()
    };
    match stop.elevation_m {
        Some(elevation) => text.push_str(&format!(", {}", show::elevation(elevation, units))),
        None => text.push_str(", height not known"),
    }
    match &stop.window {
        Some(window) => text.push_str(&format!(", {window}")),
        None => text.push_str(", whole years"),
    }
    text
}

fn temperatures(page: &mut Page, stop: &StopResult) {
    page.subheading("Air temperature at the place");
    let rows = view::design_rows(stop, page.units)
        .into_iter()
        .map(|row| vec![row.name.to_owned(), row.value, row.remark])
        .collect::<Vec<_>>();
    if rows.is_empty() {
        page.paragraph(1, "none that this record can support");
    }
    page.table(&["what", "value", "remark"], &[Align::Left, Align::Right, Align::Left], rows);
}

fn voltages(page: &mut Page, stop: &StopResult, array: &ArrayAtStop) {
    let four = &array.voltage_v;
    four_voltages(page, stop, four, Beside::Levels);
    page.paragraph(1, &format!("The code sum's temperature: {}.", four.code_temperature_from));
    for line in view::voltage_remarks(four) {
        page.paragraph(1, &line);
    }
}

/// What stands beside the four voltages.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Beside {
    /// The plain 20- and 50-year levels.
    Levels,
    /// The worst case that is expected: the figure that decides.
    Expected,
}

pub(super) fn four_voltages(page: &mut Page, stop: &StopResult, four: &FourVoltages, beside: Beside) {
    page.subheading("Four cold voltages of the highest string");
    let units = page.units;
    let mut rows = vec![vec![
        "code sum".to_owned(),
        four.code.map_or_else(|| "-".to_owned(), show::volts),
        four.code_temperature_c.map_or_else(|| "-".to_owned(), |air| show::temperature(air, units)),
        if four.code.is_some() { "1000 W/m2".to_owned() } else { "-".to_owned() },
        "whole years".to_owned(),
        "-".to_owned(),
    ]];
    for (name, peak) in
        [("steady", &four.steady), ("sudden sun", &four.sudden_sun), ("worst case", &four.worst_case)]
    {
        let mut row = peak_row(name, peak, stop, units);
        if beside == Beside::Expected {
            let figure = view::expected(four).filter(|_| name == "worst case");
            row.pop();
            row.push(figure.map_or_else(|| "-".to_owned(), show::volts));
        }
        rows.push(row);
    }
    let last = if beside == Beside::Expected { "expected" } else { "20-/50-year level" };
    page.table(
        &["voltage", "largest", "cell", "light", "local time", last],
        &[Align::Left, Align::Right, Align::Right, Align::Right, Align::Left, Align::Right],
        rows,
    );
}

fn peak_row(name: &str, peak: &Peak, stop: &StopResult, units: show::Units) -> Vec<String> {
    let dash = || "-".to_owned();
    let levels = match (peak.level_20_year, peak.level_50_year) {
        (Some(a), Some(b)) => format!("{} / {}", show::volts(a), show::volts(b)),
        (Some(a), None) => show::volts(a),
        _ => dash(),
    };
    vec![
        name.to_owned(),
        peak.max.map_or_else(dash, show::volts),
        peak.cell_c.map_or_else(dash, |cell| show::temperature(cell, units)),
        peak.irradiance_w_m2.map_or_else(dash, |light| format!("{} W/m2", show::fixed(light, 0))),
        peak.at.map_or_else(dash, |at| at.local(stop.utc_offset)),
        levels,
    ]
}

fn currents(page: &mut Page, stop: &StopResult, array: &ArrayAtStop) {
    if let Some(line) = view::current_sentence(array, stop) {
        page.named(0, "Current", &line);
    }
    page.named(0, "Touch voltage", &view::touch_sentence(&array.touch));
    for (name, text) in view::information(array) {
        page.named(0, &name, text);
    }
}

fn limits(
    page: &mut Page,
    assessment: &Assessment,
    (index, stop): (usize, &StopResult),
    array: &ArrayAtStop,
    lacking: &[NotGiven],
) {
    if array.limits.is_empty() && lacking.is_empty() {
        return;
    }
    page.subheading("Limits");
    let judged = |limit| Judged { stop_index: index, stop, array, limit };
    let rows = array.limits.iter().map(|limit| {
        let judged = judged(limit);
        let [rating, worst, margin, by] = limit_figures(&judged);
        let name = view::shown_name(assessment, &array.name, &limit.component);
        vec![verdict_of(&judged).to_owned(), name, rating, worst, margin, by]
    });
    let mut rows: Vec<Vec<String>> = rows.collect();
    lacking
        .iter()
        .for_each(|lacking| put_below_its_own(&mut rows, not_given(assessment, &array.name, lacking)));
    page.table(
        &["verdict", "component", "rating", "decides", "margin", "decided by"],
        &[Align::Left, Align::Left, Align::Right, Align::Right, Align::Left, Align::Left],
        rows,
    );
    why_not_judged(page, !lacking.is_empty());
    let mut told: Vec<(&str, Vec<String>)> = Vec::new();
    for limit in &array.limits {
        // Currents rest on labels, so their sentence is the same at every stop: once is enough.
        if limit.unit != "V" && index > 0 {
            continue;
        }
        page.bullet(0, &sentences(&view::shown_name(assessment, &array.name, &limit.component), limit));
        let steps = view::step_lines(limit);
        // Limits of one string share their steps: the second time a pointer is enough.
        match told.iter().find(|(_, told)| *told == steps) {
            _ if steps.is_empty() => {}
            Some((name, _)) => page.paragraph(2, &format!("steps as for {name}")),
            None => {
                for line in &steps {
                    page.paragraph(2, line);
                }
                told.push((&limit.component, steps));
            }
        }
    }
    let counted: Vec<&LimitLine> =
        array.limits.iter().filter(|limit| limit.hours_per_year.is_some()).collect();
    if !counted.is_empty() {
        how_often(page, assessment, (stop, &array.name), &counted);
    }
}

/// Component, rule, and what is to be said, sentence by sentence.
fn sentences(name: &str, limit: &LimitLine) -> String {
    let mut text = format!("{name}, {}: {}", limit.rule, limit.reason);
    if !text.ends_with(['.', '!', '?']) {
        text.push('.');
    }
    for more in [limit.out_of_reach.as_deref(), Some(limit.how_often.as_str())].into_iter().flatten() {
        if !more.is_empty() {
            text.push(' ');
            text.push_str(&view::sentence(more));
        }
    }
    text
}

/// Whether any hour lies over the rating, or any season was broken: hours are means over complete seasons, breaks are not.
pub(super) fn is_passed(limit: &LimitLine) -> bool {
    let any = |count: f64| count > 0.0;
    let hours = limit
        .hours_per_year
        .is_some_and(|hours| any(hours.worst_case) || any(hours.sudden_sun) || any(hours.steady));
    let seasons = limit.seasons_broken;
    hours || seasons.is_some_and(|seen| seen.worst_case > 0 || seen.sudden_sun > 0 || seen.steady > 0)
}

fn how_often(
    page: &mut Page,
    assessment: &Assessment,
    (stop, array): (&StopResult, &str),
    counted: &[&LimitLine],
) {
    let year = if stop.record.kind == RecordKind::TypicalYear { "typical year" } else { "year" };
    let span = if stop.window.is_some() { "stay" } else { year };
    page.subheading(&format!("How often: hours a {span} over the rating"));
    let rows = counted
        .iter()
        .map(|limit| {
            let hours = limit.hours_per_year.unwrap_or_default();
            vec![
                format!(
                    "{}, {}",
                    view::shown_name(assessment, array, &limit.component),
                    limit.rating.map_or_else(|| "-".to_owned(), |rating| show::rating(rating, &limit.unit))
                ),
                show::count(hours.steady),
                show::count(hours.sudden_sun),
                show::count(hours.worst_case),
                view::seasons_words(limit),
                limit.chance_per_season.as_ref().map_or_else(|| "-".to_owned(), view::chance_words),
            ]
        })
        .collect();
    let right = Align::Right;
    page.table(
        &[
            "limit",
            "parked (steady)",
            "sudden sun",
            "worst case*",
            "seasons (sudden sun)",
            "chance a season (90 %)",
        ],
        &[Align::Left, right, right, right, right, right],
        rows,
    );
    page.paragraph(1, &view::worst_case_hours(counted.iter().copied()));
    if counted.iter().any(|limit| limit.out_of_reach.is_some() && limit.chance_per_season.is_none()) {
        page.paragraph(1, "-: odds are left out where a rating is out of reach of the cold in this record; a short record proves little.");
    }
    for limit in counted {
        if let Some(line) = view::run_sentence(limit, stop.utc_offset) {
            page.bullet(1, &format!("{}: {line}", limit.component));
        }
    }
}
