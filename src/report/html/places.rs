//! Places and dates: stop by stop.

use super::document::{figure, temperature, verdict};
use super::tables;
use crate::report::charts::{Chart, Role, minus};
use crate::report::clean::line;
use crate::report::show::{self, Units};
use crate::report::view;
use crate::study::results::{ArrayAtStop, Assessment, Peak, StopResult};
use maud::{Markup, html};

/// Stops whose charts stand in the leading section: the worst of each array.
pub(super) fn leading_stops(assessment: &Assessment) -> Vec<usize> {
    let mut stops: Vec<usize> =
        assessment.arrays.iter().filter_map(|array| view::coldest_stop(assessment, &array.name)).collect();
    stops.sort_unstable();
    stops.dedup();
    stops
}

pub(super) fn places(assessment: &Assessment, charts: &[Chart]) -> Option<Markup> {
    if assessment.stops.is_empty() {
        return None;
    }
    let leading = leading_stops(assessment);
    Some(html! {
        @if assessment.stops.len() > 1 { (route(assessment)) }
        @for (index, stop) in assessment.stops.iter().enumerate() {
            div.stop id={ "stop-" (index + 1) } {
                h3 { bdi { (line(&stop.place)) } }
                p {
                    @if let Some(elevation) = stop.elevation_m { (show::elevation(elevation, Units::Us)) ", " }
                    @match &stop.window {
                        Some(window) => { (line(window)) }
                        None => "whole years",
                    }
                    ". Station: " bdi { (line(&view::station_sentence(stop, Units::Us))) } "."
                }
                (temperatures(stop))
                @for array in &stop.arrays { (voltages(assessment, stop, array)) }
                @if !leading.contains(&index) {
                    @for chart in charts.iter().filter(|chart| chart.role == Role::Stop(index)) { (figure(chart)) }
                } @else if let Some(chart) = charts.iter().find(|chart| chart.role == Role::Stop(index)) {
                    p { "Its charts stand above: " a href={ "#" (chart.id) } { (line(&chart.title)) } "." }
                }
                @if !stop.notes.is_empty() { (tables::notes(&stop.notes)) }
            }
        }
    })
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
                    th scope="col" { "Code temperature" }
                    th scope="col" { "Record low" }
                    th.number scope="col" { "Code sum" }
                    th.number scope="col" { "Sudden sun" }
                    th.number scope="col" { "Worst case" }
                    th scope="col" { "Verdict" }
                } }
                tbody { @for (index, stop, array) in rows {
                    tr {
                        th scope="row" { a href={ "#stop-" (index + 1) } { bdi { (line(&stop.place)) } } }
                        @if several { td data-label="Array" { bdi { (line(&array.name)) } } }
                        td data-label="Dates" { (stop.window.as_deref().map_or_else(|| "whole years".to_owned(), line)) }
                        td data-label="Code temperature" { (optional(array.voltage_v.code_temperature_c, temperature)) }
                        td data-label="Record low" { (optional(stop.design_temperature_c.record_low, temperature)) }
                        td.number data-label="Code sum" { (optional(array.voltage_v.code, show::volts)) }
                        td.number data-label="Sudden sun" { (optional(array.voltage_v.sudden_sun.max, show::volts)) }
                        td.number data-label="Worst case" { (optional(array.voltage_v.worst_case.max, show::volts)) }
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
                table {
                    caption { "Air temperature at the place" }
                    thead { tr { th scope="col" { "What" } th.number scope="col" { "Value" } th scope="col" { "Remark" } } }
                    tbody { @for row in rows {
                        tr {
                            th scope="row" { (row.name) }
                            td.number { (minus(&row.value)) }
                            td dir="auto" { (line(&row.remark)) }
                        }
                    } }
                }
            }
        }
    }
}

fn voltages(assessment: &Assessment, stop: &StopResult, array: &ArrayAtStop) -> Markup {
    let four = &array.voltage_v;
    html! {
        @if assessment.arrays.len() > 1 { h4 { "Array " bdi { (line(&array.name)) } } }
        div.scroll role="region" tabindex="0" aria-label={ "Four cold voltages at " (line(&stop.place)) } {
            table.stacked {
                caption { "Four cold voltages of the highest string" }
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
                        th scope="row" { "Code sum" }
                        td.number data-label="Largest" { (optional(four.code, show::volts)) }
                        td.number data-label="Cell" { (optional(four.code_temperature_c, temperature)) }
                        td.number data-label="Light" { @if four.code.is_some() { "1000 W/m²" } @else { "–" } }
                        td data-label="When" { (line(&four.code_temperature_from)) }
                        td.number data-label="20-year level" { "–" }
                        td.number data-label="50-year level" { "–" }
                    }
                    (peak("Steady", &four.steady, stop))
                    (peak("Sudden sun", &four.sudden_sun, stop))
                    (peak("Worst case", &four.worst_case, stop))
                }
            }
        }
        @for remark in view::voltage_remarks(four) { p { (line(&remark)) } }
        @if let Some(current) = view::current_sentence(array, stop) { p { "Current: " (current) "." } }
        p { "Touch voltage: " (line(&view::touch_sentence(&array.touch))) "." }
        @for (name, text) in view::information(array) { p { (line(&name)) ": " (line(text)) "." } }
    }
}

fn peak(name: &str, peak: &Peak, stop: &StopResult) -> Markup {
    html! {
        tr {
            th scope="row" { (name) }
            td.number data-label="Largest" { (optional(peak.max, show::volts)) }
            td.number data-label="Cell" { (optional(peak.cell_c, temperature)) }
            td.number data-label="Light" { (optional(peak.irradiance_w_m2, |light| format!("{} W/m²", show::fixed(light, 0)))) }
            td data-label="When" { @match peak.at { Some(at) => (at.local(stop.utc_offset)), None => "–" } }
            td.number data-label="20-year level" { (optional(peak.level_20_year, show::volts)) }
            td.number data-label="50-year level" { (optional(peak.level_50_year, show::volts)) }
        }
    }
}
