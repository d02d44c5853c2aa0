//! What goes with the work: the label for the box, and the card for commissioning.

use crate::report::clean::line;
use crate::report::show;
use crate::study::pictures::ExpectedVolts;
use crate::study::reach_outside_v;
use crate::study::results::{ArrayFacts, Assessment};
use maud::{Markup, html};

/// Text for a label beside each array's disconnect.
pub(super) fn labels(assessment: &Assessment) -> Option<Markup> {
    (!assessment.arrays.is_empty()).then(|| {
        html! {
            p { "To be put, readable and lasting, beside the disconnect; local rules may ask for other words." }
            @for facts in &assessment.arrays { (label(assessment, facts)) }
        }
    })
}

fn label(assessment: &Assessment, facts: &ArrayFacts) -> Markup {
    let outside =
        assessment.stops.iter().flat_map(|stop| &stop.arrays).filter(|array| array.name == facts.name);
    let outside = outside.filter_map(|array| reach_outside_v(&array.voltage_v));
    let needs = facts.needs.disconnect_v.into_iter().chain(facts.needs.controller_v);
    let volts = needs.chain(outside).reduce(f64::max);
    html! {
        div.label {
            p.word { "Solar array" @if assessment.arrays.len() > 1 { ": " bdi { (line(&facts.name)) } } }
            p {
                "Largest voltage: "
                @match volts {
                    // Rounded up: a label must not promise less than there can be.
                    Some(volts) => { b { (show::fixed((volts - 1e-6).ceil(), 0)) " V dc" } " (rounded up, with cloud edge, slope and soaked module; a camp in a closed basin can be colder)" },
                    None => b { "_____ V dc (not assessed)" },
                }
                ", largest current: " b { (show::exact_amps((facts.max_circuit_a * 100.0 - 1e-6).ceil() / 100.0)) " dc" }
            }
            p { "Live whenever light falls on the panels. Both sides may be live when open." }
            @if facts.needs.poles > 1 {
                p { "It must open both conductors at once: never one that opens a single one." }
            }
        }
    }
}

/// What to measure before the first use.
pub(super) fn commissioning(assessment: &Assessment) -> Option<Markup> {
    let any = assessment.arrays.iter().any(|facts| !facts.wiring.expected.is_empty());
    any.then(|| {
        html! {
            ol {
                li { "Look: dc ratings, line and load marks, both conductors through the disconnect, no bare ends." }
                li { "Disconnect open. Measure each string alone: polarity first, then the open-circuit volts. Note time, sun and the \
                      temperature at the back of a panel." }
                li { "Compare with the card. More than 5 % off, or strings that differ by more than 3 %: find out why before going on." }
                li { "Measure from each conductor to the chassis. In an array that is not earthed the reading sinks to about 0 V; where it stays at the \
                      string's volts the other conductor touches the chassis: find it first." }
                li { "Battery to the controller first, array last. Taking apart: array first, battery last." }
                li { "Close the disconnect and read the volts at the controller." }
                li { "After the first cold, clear morning: read the highest volts that the controller has logged, and compare with this report." }
            }
            @for facts in &assessment.arrays {
                @for expected in &facts.wiring.expected { (card(expected)) }
            }
        }
    })
}

/// Volts by cell temperature and light, with room for the reading.
fn card(expected: &ExpectedVolts) -> Markup {
    let mut lights: Vec<f64> = expected.readings.iter().map(|reading| reading.irradiance_w_m2).collect();
    lights.sort_by(f64::total_cmp);
    lights.dedup();
    let mut cells: Vec<f64> = expected.readings.iter().map(|reading| reading.cell_c).collect();
    cells.sort_by(f64::total_cmp);
    cells.dedup();
    let volts = |cell: f64, light: f64| {
        let mut readings = expected.readings.iter();
        readings
            .find(|reading| reading.cell_c == cell && reading.irradiance_w_m2 == light)
            .map(|reading| reading.voc_v)
    };
    html! {
        div.scroll role="region" tabindex="0" aria-label={ "Volts to expect: " (line(&expected.string)) } {
            table {
                caption { "Volts with nothing connected to expect on one string, as its label says (a stronger panel reads up to its tolerance more): " bdi { (line(&expected.string)) } }
                thead { tr {
                    th scope="col" { "Cell" }
                    @for light in &lights { th.number scope="col" { (show::fixed(*light, 0)) " W/m²" } }
                    th scope="col" { "Measured" }
                } }
                tbody { @for cell in &cells {
                    tr {
                        th scope="row" { (super::document::temperature(*cell)) }
                        @for light in &lights {
                            td.number { (super::places::optional(volts(*cell, *light), show::volts)) }
                        }
                        td.fill { "" }
                    }
                } }
            }
        }
    }
}
