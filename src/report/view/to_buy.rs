//! The words of a part to buy, alike in the first lines of the terminal, in the report's first box and in the table of needs.

use super::shown_name;
use crate::array::Carries;
use crate::report::show;
use crate::study::results::{ArrayFacts, Assessment, ComponentNeed};
use crate::study::{PartToBuy, ToBuy, lacking_name};
use crate::units::{at_least, listed};

pub(super) fn is_cable(row: &str) -> bool {
    row.ends_with(" cable")
}

/// "6 mm2 or 10 AWG on a hot roof", of a cable that the plan lacks.
pub(super) fn cable_size(need: &ComponentNeed) -> Option<String> {
    need.size.as_ref().map(|size| format!("{size} on a hot roof"))
}

/// "60 V dc", of the class to order; the volts themselves where none is that large.
pub(super) fn volts(class_v: Option<f64>, least_v: f64) -> String {
    match class_v {
        Some(class_v) => format!("{} dc", show::rating(class_v, "V")),
        None => format!("at least {:.1} V dc", at_least(least_v)),
    }
}

/// "50 A", of the class to order; the amps themselves where none is that large.
pub(super) fn amps(class_a: Option<f64>, least_a: f64) -> String {
    match class_a {
        Some(class_a) => show::rating(class_a, "A"),
        None => format!("at least {:.1} A", at_least(least_a)),
    }
}

/// The clause of a remark that says so.
fn clause<'a>(need: Option<&'a ComponentNeed>, word: &str) -> Option<&'a str> {
    let mut clauses = need?.remark.split("; ");
    let found = clauses.find(|clause| clause.contains(word))?;
    Some(found.strip_prefix("one in each string, ").unwrap_or(found))
}

/// "roof disconnect: 60 V dc, 20 A or more; opens 2 conductors at once, under load".
pub(crate) fn part_to_buy(
    assessment: &Assessment,
    facts: &ArrayFacts,
    buy: &ToBuy<'_>,
    part: &PartToBuy<'_>,
) -> String {
    let name = match part.is_planned {
        true => format!("in place of {}", shown_name(assessment, &facts.name, part.name)),
        false => lacking_name(facts.strings, part.name),
    };
    let each = match (part.is_planned, part.carries) {
        (true, Carries::String) if facts.strings > 1 => {
            format!(", one in each of the {} strings", facts.strings)
        }
        _ => String::new(),
    };
    if part.is_open {
        return format!("{name}: it or its fuse has to be another one; the changes below say which");
    }
    let most = [Some(buy.buy_by_v), buy.reaches_v, buy.table_v].into_iter().flatten().fold(0.0, f64::max);
    let mut asks = vec![volts(buy.class_v(part.kind), most)];
    if part.kind == "cable" {
        let size = match (part.need.and_then(|need| need.size.clone()), part.is_planned) {
            (Some(size), true) => format!("{size} where it runs"),
            (Some(size), false) => format!("{size} on a hot roof"),
            (None, _) => "thicker than the sizes known here".to_owned(),
        };
        asks.insert(0, size);
    } else {
        asks.extend(amps_of(part));
    }
    format!("{name}{each}: {}{}", asks.join(", "), more(facts, buy, part))
}

/// The amps to ask for, with what they are held against.
fn amps_of(part: &PartToBuy<'_>) -> Option<String> {
    // A breaker's two series differ.
    if let Some(both) = clause(part.need, "(IEC 60059)") {
        return Some(both.to_owned());
    }
    let of = if part.kind == "controller" { " of short circuit" } else { "" };
    let words = format!("{}{of}", amps(part.class_a, part.least_a?));
    if part.class_a.is_some() {
        // Of what protects nothing more is no harm: the plan's may be larger already.
        let or_more = if matches!(part.kind, "disconnect" | "switch") { " or more" } else { "" };
        return Some(words + or_more);
    }
    Some(match (clause(part.need, "none fits"), clause(part.need, "more than common")) {
        (Some(none), _) => none.to_owned(),
        (_, Some(more)) => format!("{words}, {}", more.split(": ").next().unwrap_or(more)),
        _ => words,
    })
}

/// What it has to be besides, or instead of which it is bought.
fn more(facts: &ArrayFacts, buy: &ToBuy<'_>, part: &PartToBuy<'_>) -> String {
    let breaks = |name: &str| buy.must.iter().any(|other| other.kind == part.kind && other.name == name);
    match part.kind {
        "disconnect" => {
            let conductors = match facts.needs.poles {
                1 => "1 conductor".to_owned(),
                several => format!("{several} conductors at once"),
            };
            let or = or_what_it_is(facts).filter(|_| !part.is_planned);
            let or = or.map_or_else(String::new, |name| format!("; none, if {name} is one"));
            format!("; opens {conductors}, under load{or}")
        }
        "fuse" | "breaker" => {
            let most = clause(part.need, "at most the label's").and_then(|most| most.split(": give").next());
            most.map_or_else(String::new, |most| format!("; {most}"))
        }
        "cable" if !part.is_planned => " (not in the plan, so not judged)".to_owned(),
        "controller" if breaks(part.name) && part.is_planned => {
            let others: Vec<&String> =
                facts.rival_controllers.iter().filter(|name| !breaks(name.as_str())).collect();
            match others.as_slice() {
                [] => String::new(),
                others => format!("; none, if {} alone will be fitted", others_or(others)),
            }
        }
        _ => String::new(),
    }
}

/// "A", "A or B".
fn others_or(names: &[&String]) -> String {
    listed(names).replace(" and ", " or ")
}

/// A breaker or switch of the plan that may be the disconnect that it lacks.
pub(super) fn or_what_it_is(facts: &ArrayFacts) -> Option<&str> {
    let mut parts = facts.wiring.components.iter();
    let found = parts.find(|part| matches!(part.kind.as_str(), "breaker" | "switch"))?;
    Some(&found.name)
}
