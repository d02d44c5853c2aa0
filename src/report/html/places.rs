//! Places and dates: stop by stop.

use super::client;
use super::document::{figure, list, temperature, verdict};
use crate::report::charts::{Chart, Role, minus};
use crate::report::clean::line;
use crate::report::glance;
use crate::report::show::{self, Units};
use crate::report::view;
use crate::study::results::{ArrayAtStop, Assessment, CodeBasis, FourVoltages, NotHeld, Peak, StopResult};
use crate::units::at_least;
use maud::{Markup, html};

/// Stops whose charts stand in the leading section: the worst of each array.
pub(super) fn leading_stops(assessment: &Assessment) -> Vec<usize> {
    let mut stops: Vec<usize> =
        assessment.arrays.iter().filter_map(|array| view::leading_stop(assessment, &array.name)).collect();
    stops.sort_unstable();
    stops.dedup();
    stops
}

pub(super) fn places(assessment: &Assessment, charts: &[Chart]) -> Option<Markup> {
    if assessment.stops.is_empty() {
        return None;
    }
    let leading = leading_stops(assessment);
    let notes: Vec<Vec<String>> = assessment
        .stops
        .iter()
        .map(|stop| {
            let told = view::told(&stop.notes).filter(|note| !view::is_about_method(note));
            told.map(|note| client::words(&view::note_text(note))).collect()
        })
        .collect();
    let shared = glance::shared(&notes);
    Some(html! {
        @if assessment.stops.len() > 1 { (route(assessment)) }
        (everywhere(assessment, &shared))
        @for (index, stop) in assessment.stops.iter().enumerate() {
            div.stop id={ "stop-" (index + 1) } {
                h3 { bdi { (line(&stop.place)) } }
                p {
                    @match stop.elevation_m {
                        Some(elevation) => { (show::elevation(elevation, Units::Us)) ", " }
                        None => "height not known, ",
                    }
                    @match &stop.window {
                        Some(window) => { (line(&glance::window(window))) }
                        None => "whole years",
                    }
                    ". Station: " bdi { (line(&view::station_sentence(stop, Units::Us))) } "."
                }
                (temperatures(stop))
                @for array in &stop.arrays { (voltages(assessment, stop, array)) }
                @if !leading.contains(&index) {
                    @for chart in charts.iter().filter(|chart| chart.role == Role::Stop(index)) { (figure(chart)) }
                    @let own: Vec<String> = charts_in_words(charts, index);
                    @if !own.is_empty() {
                        p.paper.small dir="auto" { "Its charts, in report.html and as pictures in the folder charts: " (line(&own.join("; "))) "." }
                    }
                } @else if let Some(chart) = charts.iter().find(|chart| chart.role == Role::Stop(index)) {
                    p { "Its charts stand above: " a href={ "#" (chart.id) } { (line(&chart.title)) } "." }
                }
                (own_notes(&notes[index], &shared))
            }
        }
    })
}

/// What the charts of a stop show, each with the name of its file.
fn charts_in_words(charts: &[Chart], stop: usize) -> Vec<String> {
    let own = charts.iter().filter(|chart| chart.role == Role::Stop(stop));
    own.map(|chart| format!("{} ({}.png)", chart.title, chart.id)).collect()
}

/// Remarks on the voltages and currents of an array at a stop.
fn remarks(stop: &StopResult, array: &ArrayAtStop) -> Vec<String> {
    let mut texts = voltage_remarks(&array.voltage_v);
    texts.extend(currents(array, stop));
    texts.push(format!("Touch voltage: {}.", view::touch_sentence(&array.touch)));
    texts.extend(
        view::information(array).into_iter().map(|(name, text)| view::sentence(&format!("{name}: {text}"))),
    );
    texts
}

/// What stands under the four voltages, in words for a reader who does not wire.
fn voltage_remarks(four: &FourVoltages) -> Vec<String> {
    let mut lines = vec![
        "Cells: the code sum's at the code temperature; steady, warmed by the sun; sudden sun's at the air moved from the station to the \
         place's height; the worst case's at the air moved by the steeper fall that a bound takes, less the cooling of a clear night."
            .to_owned(),
    ];
    match four.code_basis {
        Some(CodeBasis::Coefficient) => lines.push(
            "The code sum (rule) uses the label's own figure for how volts grow in the cold, not the code's table for \
             crystalline panels."
                .to_owned(),
        ),
        Some(CodeBasis::Table) => lines.push(
            "The code sum (rule) uses the code's table for crystalline panels, since the label says nothing of the cold.".to_owned(),
        ),
        Some(CodeBasis::Bound) => lines.push(
            "The code sum (rule) rests on a stated bound: neither label nor code's table says how volts grow in the cold.".to_owned(),
        ),
        None => {}
    }
    let beside: Vec<String> = [
        four.table
            .filter(|_| four.code_basis != Some(CodeBasis::Table))
            .map(|table| format!("by the table {}", show::volts(table))),
        four.window_code.map(|window| {
            format!(
                "with the lowest air seen in the days of the stay alone {} (information)",
                show::volts(window)
            )
        }),
    ]
    .into_iter()
    .flatten()
    .collect();
    if !beside.is_empty() {
        lines.push(format!("Code sum otherwise: {}.", beside.join("; ")));
    }
    if let Some(sum) = &four.decides {
        lines.push(format!("Worst case expected (level, or what the short record asks for): {sum}."));
    }
    if let Some(seconds) = four.sudden_sun.within_2_percent_s {
        lines.push(format!(
            "Sudden sun lasts, each time: within 2 % of its peak for about {}, then the sun has warmed a glass panel (a glued one \
             warms more slowly).",
            show::seconds(seconds)
        ));
    }
    if !four.not_held.is_empty() {
        let part = |part: &NotHeld| format!("{} {}", part.what, show::volts(part.volts));
        let parts: Vec<String> = four.not_held.iter().map(part).collect();
        let all: f64 = four.not_held.iter().map(|part| part.volts).sum();
        let together = match parts.len() {
            0 | 1 => String::new(),
            _ => format!("; together {} (rounded up)", show::volts(at_least(all))),
        };
        lines.push(format!("Left out of the worst case: {}{together}.", parts.join(", ")));
    }
    lines
}

/// Largest currents of the hours seen; none of them is a way to pass a rule.
fn currents(array: &ArrayAtStop, stop: &StopResult) -> Option<String> {
    let current = &array.current_a;
    let mut text = format!(
        "Amps seen (information, never a way to pass): hour mean up to {}",
        show::amps(current.max_hour?)
    );
    if let Some(at) = current.at {
        text.push_str(&format!(" on {} local time", at.local(stop.utc_offset)));
    }
    if let Some(three) = current.highest_3_hour_mean {
        text.push_str(&format!(", three hours in a row {}", show::amps(three)));
    }
    if let Some(burst) = current.burst {
        text.push_str(&format!(
            "; bound at cloud edges, for seconds to minutes, {} ({} times clear sky)",
            show::amps(burst),
            current.burst_factor
        ));
    }
    Some(text + ".")
}

/// The remarks that an array shares with itself at every stop.
fn shared_remarks(assessment: &Assessment, name: &str) -> Vec<String> {
    let lists: Vec<Vec<String>> = assessment
        .stops
        .iter()
        .filter_map(|stop| {
            let array = stop.arrays.iter().find(|array| array.name == name)?;
            Some(remarks(stop, array))
        })
        .collect();
    glance::shared(&lists)
}

/// What holds at every stop, told once.
fn everywhere(assessment: &Assessment, notes: &[String]) -> Markup {
    let several = assessment.arrays.len() > 1;
    let mut texts: Vec<String> = Vec::new();
    for facts in &assessment.arrays {
        let own = shared_remarks(assessment, &facts.name);
        let named = |text: String| if several { format!("Array {}: {text}", facts.name) } else { text };
        texts.extend(own.into_iter().map(named));
    }
    texts.extend(notes.iter().map(|note| view::sentence(note)));
    html! {
        @if !texts.is_empty() {
            h3 { "At every stop" }
            ul.remarks { @for text in &texts { li dir="auto" { (line(text)) } } }
        }
    }
}

fn own_notes(notes: &[String], shared: &[String]) -> Markup {
    let own: Vec<String> =
        notes.iter().filter(|note| !shared.contains(note)).map(|note| view::sentence(note)).collect();
    html! {
        @if !own.is_empty() {
            div.notes {
                p { b { "Notes on the weather" } }
                (list(own.iter().map(String::as_str)).unwrap_or_default())
            }
        }
    }
}

/// All stops in one table: what decides at a glance.
fn route(assessment: &Assessment) -> Markup {
    let rows = assessment
        .stops
        .iter()
        .enumerate()
        .flat_map(|(index, stop)| stop.arrays.iter().map(move |array| (index, stop, array)));
    let several = assessment.arrays.len() > 1;
    html! {
        div.scroll role="region" tabindex="0" aria-label="Stops in order" {
            table.stacked {
                caption { "Stops in the order of the trip" }
                thead { tr {
                    th scope="col" { "Stop" }
                    @if several { th scope="col" { "Array" } }
                    th scope="col" { "Dates" }
                    th scope="col" { "Code temperature (rule)" }
                    th scope="col" { "Record low (seen)" }
                    th.number scope="col" { "Code sum (rule)" }
                    th.number scope="col" { "Sudden sun (seen)" }
                    th.number scope="col" { "Worst case (bound)" }
                    th scope="col" { "Verdict" }
                } }
                tbody { @for (index, stop, array) in rows {
                    tr {
                        th scope="row" { a href={ "#stop-" (index + 1) } { bdi { (line(&stop.place)) } } }
                        @if several { td data-label="Array" { bdi { (line(&array.name)) } } }
                        td data-label="Dates" { (stop.window.as_deref().map_or_else(|| "whole years".to_owned(), |window| line(&glance::window(window)))) }
                        td.none[array.voltage_v.code_temperature_c.is_none()] data-label="Code temperature" { (degrees(array.voltage_v.code_temperature_c)) }
                        td.none[stop.design_temperature_c.record_low.is_none()] data-label="Record low" { (degrees(stop.design_temperature_c.record_low)) }
                        td.number.none[array.voltage_v.code.is_none()] data-label="Code sum" { (optional(array.voltage_v.code, show::volts)) }
                        td.number.none[array.voltage_v.sudden_sun.max.is_none()] data-label="Sudden sun" { (optional(array.voltage_v.sudden_sun.max, show::volts)) }
                        td.number.none[array.voltage_v.worst_case.max.is_none()] data-label="Worst case" { (optional(array.voltage_v.worst_case.max, show::volts)) }
                        td data-label="Verdict" {
                            @let worst = array.limits.iter().map(view::counting_verdict).max_by_key(|v| v.severity());
                            @match worst { Some(worst) => (verdict(worst)), None => "no limits" }
                        }
                    }
                } }
            }
        }
    }
}

/// A temperature with both scales, one below the other in a narrow column.
fn degrees(celsius: Option<f64>) -> Markup {
    html! {
        @match celsius.map(temperature) {
            Some(text) => @match text.split_once(" (") {
                Some((celsius, fahrenheit)) => { span.whole { (celsius) } " " span.whole.small { "(" (fahrenheit) } }
                None => (text),
            },
            None => "–",
        }
    }
}

/// A printed value, or a dash.
pub(super) fn optional(value: Option<f64>, print: impl Fn(f64) -> String) -> String {
    value.map_or_else(|| "–".to_owned(), print)
}

fn temperatures(stop: &StopResult) -> Markup {
    let rows = view::design_rows(stop, Units::Us);
    html! {
        @if rows.is_empty() {
            p { "The record supports no design temperature." }
        } @else {
            div.scroll role="region" tabindex="0" aria-label={ "Air temperature at " (line(&stop.place)) } {
                table.stacked {
                    caption { "Air temperature at the place: lows seen, and levels" }
                    thead { tr {
                        th scope="col" { "What" }
                        th scope="col" { "Kind" }
                        th.number scope="col" { "Value" }
                        th scope="col" { "Remark" }
                    } }
                    tbody { @for row in rows {
                        tr {
                            th scope="row" { (row.name) }
                            td data-label="Kind" { (kind(row.name)) }
                            td.number data-label="Value" { (minus(&row.value)) }
                            td.none[row.remark.is_empty()] data-label="Remark" dir="auto" { (line(&row.remark)) }
                        }
                    } }
                }
            }
        }
    }
}

/// What kind of number a design temperature is.
fn kind(name: &str) -> &'static str {
    match name {
        name if name.ends_with("-year low") => "level",
        name if name.starts_with("published") => "published",
        name if name.starts_with("mean") => "mean of those seen",
        _ => "seen",
    }
}

fn voltages(assessment: &Assessment, stop: &StopResult, array: &ArrayAtStop) -> Markup {
    let four = &array.voltage_v;
    html! {
        @if assessment.arrays.len() > 1 { h4 { "Array " bdi { (line(&array.name)) } } }
        div.scroll role="region" tabindex="0" aria-label={ "Four cold voltages at " (line(&stop.place)) } {
            table.stacked {
                caption { "Four cold voltages of the highest string: the largest of the hours seen, and levels" }
                thead { tr {
                    th scope="col" { "Voltage" }
                    th.number scope="col" { "Largest" }
                    th.number scope="col" { "Cell" }
                    th.number scope="col" { "Light" }
                    th scope="col" { "When (local time)" }
                    th.number scope="col" { "20-year level" }
                    th.number scope="col" { "50-year level" }
                } }
                tbody {
                    tr {
                        th scope="row" { "Code sum (rule)" }
                        td.number.none[four.code.is_none()] data-label="Largest" { (optional(four.code, show::volts)) }
                        td.number.none[four.code_temperature_c.is_none()] data-label="Cell" { (optional(four.code_temperature_c, temperature)) }
                        td.number.none[four.code.is_none()] data-label="Light" { @if four.code.is_some() { "1000 W/m²" } @else { "–" } }
                        td data-label="When" { (line(&four.code_temperature_from)) }
                        td.number.none data-label="20-year level" { "–" }
                        td.number.none data-label="50-year level" { "–" }
                    }
                    (peak("Steady (seen)", &four.steady, stop))
                    (peak("Sudden sun (seen)", &four.sudden_sun, stop))
                    (peak("Worst case (bound)", &four.worst_case, stop))
                }
            }
        }
        @let shared = shared_remarks(assessment, &array.name);
        @let own: Vec<String> =
            remarks(stop, array).into_iter().filter(|text| !shared.contains(text)).collect();
        @if !own.is_empty() { ul.remarks { @for text in &own { li dir="auto" { (line(text)) } } } }
    }
}

fn peak(name: &str, peak: &Peak, stop: &StopResult) -> Markup {
    html! {
        tr {
            th scope="row" { (name) }
            td.number.none[peak.max.is_none()] data-label="Largest" { (optional(peak.max, show::volts)) }
            td.number.none[peak.cell_c.is_none()] data-label="Cell" { (optional(peak.cell_c, temperature)) }
            td.number.none[peak.irradiance_w_m2.is_none()] data-label="Light" { (optional(peak.irradiance_w_m2, |light| format!("{} W/m²", show::fixed(light, 0)))) }
            td.none[peak.at.is_none()] data-label="When" { @match peak.at { Some(at) => (at.local(stop.utc_offset)), None => "–" } }
            td.number.none[peak.level_20_year.is_none()] data-label="20-year level" { (optional(peak.level_20_year, show::volts)) }
            td.number.none[peak.level_50_year.is_none()] data-label="50-year level" { (optional(peak.level_50_year, show::volts)) }
        }
    }
}
