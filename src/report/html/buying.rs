//! What to buy: the one figure in volts for all that is to be bought, and part by part the volts and amps to ask for.

use crate::report::clean::line;
use crate::report::show;
use crate::report::view;
use crate::study::results::{ArrayFacts, Assessment};
use crate::study::{VoltsToBuy, serves, volts_to_buy};
use crate::units::at_least;
use maud::{Markup, html};

/// Whether the box says what to buy.
pub(super) fn is_any(assessment: &Assessment) -> bool {
    assessment.arrays.iter().any(|facts| volts_to_buy(assessment, facts).is_some())
}

/// What the volts rest on, one line an array, and below it a line for each part.
pub(super) fn lines(assessment: &Assessment) -> Markup {
    html! {
        @for facts in &assessment.arrays {
            @if let Some(buy) = volts_to_buy(assessment, facts) {
                p.buy dir="auto" { (line(&head(assessment, facts, &buy))) }
                ul.buy { @for part in &buy.parts { li dir="auto" { (line(&asked(assessment, facts, &buy, part))) } } }
            }
        }
    }
}

/// "What to buy, for 54.1 V by the figures here, 55.6 V with what lies outside them:".
fn head(assessment: &Assessment, facts: &ArrayFacts, buy: &VoltsToBuy) -> String {
    let whose = match assessment.arrays.len() {
        1 => String::new(),
        _ => format!(" for array {}", facts.name),
    };
    let volts = |volts: f64| show::volts(at_least(volts));
    let mut figures = vec![format!("{} by the figures here", volts(buy.decides_v))];
    figures.extend(buy.reaches_v.map(|reaches| format!("{} with what lies outside them", volts(reaches))));
    figures.extend(buy.table_v.map(|table| format!("{} by the code's table of factors", volts(table))));
    let room = if buy.class_v.is_none() { "; no common class holds it with room" } else { "" };
    let only_if = buy.only_if.map_or_else(String::new, |mark| format!("; a switch only if {mark}"));
    format!("What to buy{whose}, for {}{room}{only_if}:", figures.join(", "))
}

/// "roof disconnect: 60 V dc or more, 19.3 A or more".
fn asked(assessment: &Assessment, facts: &ArrayFacts, buy: &VoltsToBuy, part: &str) -> String {
    let most = [Some(buy.decides_v), buy.reaches_v, buy.table_v].into_iter().flatten().fold(0.0, f64::max);
    let volts = buy.class_v.map_or_else(|| show::volts(at_least(most)), |class| show::rating(class, "V"));
    let name = view::shown_name(assessment, &facts.name, part);
    match amps(facts, part) {
        Some((amps, of)) => format!("{name}: {volts} dc or more, {amps} or more{of}"),
        None => format!("{name}: {volts} dc or more"),
    }
}

/// The amps that a part must stand, rounded up, and which of a part's amps they are held against.
fn amps(facts: &ArrayFacts, part: &str) -> Option<(String, &'static str)> {
    let planned = facts.wiring.components.iter().find(|planned| planned.name == part);
    let need = facts.needs.components.iter().find(|need| match planned {
        Some(own) => serves(&own.kind, &own.name, own.carries, &need.component, facts.strings),
        None => part.split_once(' ').is_some_and(|(_, kind)| kind == need.component),
    })?;
    let of = if need.component == "controller" { " (array short circuit)" } else { "" };
    Some((show::amps(at_least(need.amps)), of))
}
