//! What to buy: the figures in volts that it rests on, and part by part the classes to order.

use crate::report::clean::line;
use crate::report::show;
use crate::report::view;
use crate::study::results::{ArrayFacts, Assessment};
use crate::study::{ToBuy, to_buy};
use crate::units::at_least;
use maud::{Markup, html};

/// Whether the box says what to buy.
pub(super) fn is_any(assessment: &Assessment) -> bool {
    assessment.arrays.iter().any(|facts| to_buy(assessment, facts).is_some())
}

/// What the volts rest on, one line an array, and below it a line for each part; apart from them what may stay.
pub(super) fn lines(assessment: &Assessment) -> Markup {
    html! {
        @for facts in &assessment.arrays {
            @if let Some(buy) = to_buy(assessment, facts) {
                p.buy dir="auto" { (line(&head(assessment, facts, &buy))) }
                ul.buy {
                    @for part in &buy.must {
                        li dir="auto" { (line(&view::part_to_buy(assessment, facts, &buy, part))) }
                    }
                }
                @if !buy.advised.is_empty() { p dir="auto" { (line(&advised(assessment, facts, &buy))) } }
            }
        }
    }
}

/// Whether a change says what the list says: which volts a part of it must hold.
pub(super) fn is_listed(assessment: &Assessment, change: &str) -> bool {
    assessment.arrays.iter().any(|facts| {
        let whose =
            if assessment.arrays.len() > 1 { format!("array {}: ", facts.name) } else { String::new() };
        let Some(change) = change.strip_prefix(whose.as_str()) else { return false };
        to_buy(assessment, facts).is_some_and(|buy| {
            let is_about = |name: &str, says: &str| {
                change.strip_prefix(name).is_some_and(|rest| rest.starts_with(": ") && rest.contains(says))
            };
            buy.must.iter().any(|part| !part.is_open && is_about(part.name, ": one for at least "))
                || buy.advised.iter().any(|part| is_about(part.name, ": holds by "))
        })
    })
}

/// "What to buy for the wiring as planned (1 in series is the other way, ...), by 54.1 V (worst case found in 25 stays; colder can
/// come), 55.6 V with what lies outside:".
fn head(assessment: &Assessment, facts: &ArrayFacts, buy: &ToBuy<'_>) -> String {
    let whose = match assessment.arrays.len() {
        1 => String::new(),
        _ => format!(" for array {}", facts.name),
    };
    let other =
        view::other_way_in_short(assessment, facts).map_or_else(String::new, |way| format!(" ({way})"));
    let volts = |volts: f64| show::volts(at_least(volts));
    let from = match facts.needs.volts_from.as_str() {
        "" => String::new(),
        from => format!(" ({from})"),
    };
    let mut figures = vec![format!("{}{from}", volts(buy.buy_by_v))];
    figures.extend(buy.reaches_v.map(|reaches| format!("{} with what lies outside", volts(reaches))));
    figures.extend(buy.table_v.map(|table| format!("{} by the code's table of factors", volts(table))));
    let room = if buy.device_v.is_none() { "; no common class holds it with room" } else { "" };
    let only_if = buy.only_if.map_or_else(String::new, |mark| format!("; a switch only if {mark}"));
    format!("What to buy{whose} for the wiring as planned{other}, by {}{room}{only_if}:", figures.join(", "))
}

/// "Advised, not asked for: charge controller: 60 V dc, 20 A of short circuit (may stay; a larger one holds
/// 55.6 V)".
fn advised(assessment: &Assessment, facts: &ArrayFacts, buy: &ToBuy<'_>) -> String {
    let parts = buy.advised.iter().map(|part| view::part_to_buy(assessment, facts, buy, part));
    let parts: Vec<String> = parts.collect();
    // Why a larger one is better: the figures above, which decide nothing, come near its rating or pass it.
    let reason = [buy.reaches_v, buy.table_v].into_iter().flatten().reduce(f64::max);
    let reason = reason.map_or_else(
        || if parts.len() > 1 { "they hold by little" } else { "it holds by little" }.to_owned(),
        |reason| format!("may stay; a larger one holds {}", show::volts(at_least(reason))),
    );
    format!("Advised, not asked for: {} ({reason}).", parts.join(" and "))
}
