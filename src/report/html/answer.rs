//! The first screen: the verdict, who decides, where, when, by how much, how often, and what to change.

use super::document::{class_of, verdict_word};
use super::tables;
use crate::report::clean::line;
use crate::report::glance;
use crate::report::show::{self, Units};
use crate::report::view::{self, Judged};
use crate::study::results::Assessment;
use maud::{Markup, html};

/// Changes that stand in the box; more of them stand in their own section.
pub(super) const CHANGES: usize = 2;

pub(super) fn answer(assessment: &Assessment) -> Markup {
    let headline = view::headline(assessment);
    html! {
        div.box.(class_of(headline.1)) {
            p.word { (verdict_word(headline)) }
            @if let Some(plain) = glance::plain(assessment) { p.plain dir="auto" { b { (line(&plain)) } } }
            p.summary dir="auto" { (told(&view::sentence(&assessment.summary))) }
            @for beside in view::beside_the_answer(assessment) { p dir="auto" { (told(&beside)) } }
            @if let Some(decider) = view::decider(assessment) {
                (deciding(assessment, &decider))
            }
            @for missing in &assessment.missing { p { (line(missing)) } }
        }
        (tables::notes(&assessment.notes))
    }
}

/// A sentence with both scales of temperature, as a client anywhere reads it.
fn told(text: &str) -> String {
    line(&show::both_scales(text, Units::Us)).to_string()
}

/// Dry skin is no protection above these volts dc [IEC60364-4-41].
const SHOCK_V: f64 = 60.0;

/// What everyone who opens a cover has to know first.
fn shock(assessment: &Assessment) -> Option<String> {
    let needs = assessment.arrays.iter().map(|array| &array.needs);
    let most =
        needs.filter_map(|needs| needs.disconnect_v.into_iter().chain(needs.controller_v).reduce(f64::max));
    let most = most.reduce(f64::max).filter(|&volts| volts > SHOCK_V)?;
    Some(format!(
        "The array can reach {}: above {SHOCK_V} V dc bare parts are a shock hazard, also to dry hands.",
        show::volts(most)
    ))
}

/// The line that decides, point by point.
fn deciding(assessment: &Assessment, decider: &Judged<'_>) -> Markup {
    let limit = decider.limit;
    let four = &decider.array.voltage_v;
    let date = if limit.unit == "V" { four.worst_case.at.or(four.sudden_sun.at) } else { None };
    html! {
        dl.facts {
            div { dt { "Component" } dd { bdi { (line(&limit.component)) } } }
            div { dt { "Place" } dd {
                @if decider.is_everywhere() { "every stop" } @else { bdi { (line(&decider.stop.place)) } }
            } }
            @if let Some(rating) = limit.rating {
                div { dt { "Rating" } dd { (show::rating(rating, &limit.unit)) } }
            }
            @if let Some(worst) = limit.worst {
                div {
                    dt { "Deciding figure" }
                    dd {
                        (show::figure(worst, &limit.unit))
                        @if let Some(by) = limit.decided_by { " " span.small { (show::decided_by(by)) } }
                    }
                }
            }
            @if let Some(margin) = limit.margin_percent {
                div { dt { "Margin" } dd { (show::margin(margin)) } }
            }
            @if let Some(date) = date {
                div { dt { "Worst hour (local time)" } dd { (glance::moment(date, decider.stop)) } }
            }
            @if let Some(volts) = view::tightest_volts(assessment).filter(|_| limit.unit != "V") {
                div.wide { dt { "The cold" } dd dir="auto" { (told(&glance::volts(&volts))) } }
            }
            @if let Some(shock) = shock(assessment) {
                div.wide { dt { "Touch" } dd { (shock) } }
            }
            div.wide { dt { "How often" } dd dir="auto" { (told(&glance::how_often(decider))) } }
            div.wide { dt { "What to change" } dd { (changes(assessment)) } }
            @if let Some(tally) = glance::tally(assessment) {
                div.wide { dt { "All limits" } dd { (tally) " " a href="#limits" { "Table" } } }
            }
        }
    }
}

fn changes(assessment: &Assessment) -> Markup {
    let all = &assessment.changes;
    html! {
        @if all.is_empty() && !assessment.doubts.is_empty() {
            "First settle what speaks against the weather; then ask again."
        } @else if all.is_empty() {
            "Nothing: every limit that the plan names was judged and holds, and no remark asks for anything."
        } @else {
            ul { @for change in all.iter().take(CHANGES) { li dir="auto" { (told(change)) } } }
            @if all.len() > CHANGES { a href="#change" { (all.len() - CHANGES) " more" } }
        }
    }
}
