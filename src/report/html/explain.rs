//! The worst hour as a worked calculation.

use crate::report::clean::line;
use crate::report::{show, view};
use crate::study::explain::{Explained, Part, WorkedStep, WorkedTable};
use maud::{Markup, html};

pub(super) fn explained(explained: &Explained, several: bool) -> Markup {
    let figures = &explained.figures;
    let rows = [
        ("steady", figures.steady_v, "V"),
        ("sudden sun", figures.sudden_sun_v, "V"),
        ("worst case", figures.worst_case_v, "V"),
        ("short-circuit current", figures.isc_a, "A"),
        ("voltage at maximum power", figures.vmp_v, "V"),
        ("current at maximum power", figures.imp_a, "A"),
    ];
    html! {
        p {
            @if several { "Array " bdi { (line(&explained.array)) } ", " }
            bdi { (line(&explained.place)) } ", string "
            bdi { (line(&explained.string)) } ", the hour from " (explained.local) " local time (" (explained.at.iso()) "): "
            (line(&explained.chosen)) ". Reading: " bdi { (line(&explained.line)) } "."
        }
        p {
            "It makes the worst case there, of all hours on record in the days of the stay (without dates: of all hours), and that alone. The code sum belongs to no hour and is worked beside it; a limit has to \
             hold both, and parts are bought by the larger."
        }
        p {
            "The same hour has several temperatures, each for a reason: air read at the station; moved to the place's height where that \
             differs (sudden sun); moved by the steeper fall that a bound takes (worst case); and less the cooling of a clear night \
             (the worst case's cells)."
        }
        @for remark in &explained.remarks { p { (line(&view::sentence(remark))) } }
        p.closed { "This browser prints only the parts that stand open: open them first." }
        p.paper {
            "On paper stand the parts that make these two; the others (the sun, the clear sky, steady, sudden sun, amps) \
             open in report.html, and `dawnvolt explain` prints all."
        }
        div.parts { @for part in &explained.parts { (part_of(part)) } }
        p {
            "The program's own figures for this hour, not rounded on the way: "
            @for (index, (name, value, unit)) in rows.into_iter().enumerate() {
                @if index > 0 { "; " }
                (name) " "
                @match value {
                    Some(value) => b { (show::fixed(value, 3)) " " (unit) },
                    None => "not computed",
                }
            }
            "."
        }
    }
}

/// How the parts begin that print: from the air to the volts that decide.
const ON_PAPER: [&str; 5] = ["The reading", "Light of the worst", "Worst case", "Beside it", "The level"];

fn part_of(part: &Part) -> Markup {
    let deep = !ON_PAPER.iter().any(|begin| part.title.starts_with(begin));
    html! {
        details.deep[deep] {
            summary { (line(&part.title)) }
            @if let Some(table) = &part.table { (table_of(table)) }
            @if !part.steps.is_empty() { ol { @for step in &part.steps { li { (step_of(step)) } } } }
            @if let Some(remark) = &part.remark { p { (line(remark)) } }
        }
    }
}

fn step_of(step: &WorkedStep) -> Markup {
    let symbol = &step.result.symbol;
    html! {
        (line(&step.what)) ": "
        @if let Some(formula) = step.formula {
            (symbol) " = " (formula)
            @for (index, input) in step.inputs.iter().enumerate() {
                @if index == 0 { "; " } @else { ", " }
                (input.symbol) " = " (input.text())
            }
            "; "
        }
        b { (symbol) " = " (step.result.text()) }
        @if let Some(remark) = &step.remark { " (" (line(remark)) ")" }
        @if let Some(source) = step.source { " [" (source) "]" }
    }
}

fn table_of(table: &WorkedTable) -> Markup {
    html! {
        div.scroll role="region" tabindex="0" aria-label=(line(&table.what)) {
            table {
                caption { (line(&table.what)) }
                @if let Some(first) = table.rows.first() {
                    thead { tr {
                        th scope="col" { "Moment" }
                        @for value in &first.values {
                            th.number scope="col" {
                                (value.symbol) @if !value.unit.is_empty() { " (" (value.unit) ")" }
                            }
                        }
                    } }
                }
                tbody {
                    @for row in &table.rows {
                        tr {
                            th scope="row" { (row.moment) }
                            @for value in &row.values { td.number { (value.places.text(value.value)) } }
                        }
                    }
                }
            }
        }
    }
}
