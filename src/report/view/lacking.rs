//! What an array cannot do without and the plan does not have: no limit judges it, so no verdict says it.

use super::served::class_v_to_buy;
use super::to_buy::{amps, cable_size, is_cable, or_what_it_is, volts};
use crate::cite::Clause;
use crate::study::results::{ArrayFacts, Assessment, ComponentNeed, Planned};
use crate::study::{lacking_name, to_buy};
use crate::units::listed;

/// One sentence an array that lacks a part, with what to buy: it belongs right below the verdict. Cables alone are no reason for it:
/// every array has some, and those are not judged.
pub(crate) fn lacking(assessment: &Assessment) -> Vec<String> {
    assessment.arrays.iter().filter_map(|facts| of_array(assessment, facts)).collect()
}

/// The same above a list of what to buy, which has the sizes; in full where there is none.
pub(crate) fn lacking_above_a_list(assessment: &Assessment) -> Vec<String> {
    let told = assessment.arrays.iter().filter_map(|facts| match to_buy(assessment, facts) {
        Some(_) => {
            devices(facts).next()?;
            let parts: Vec<String> =
                needed(facts).map(|need| lacking_name(facts.strings, &need.component)).collect();
            sentence(assessment, facts, &parts)
        }
        None => of_array(assessment, facts),
    });
    told.collect()
}

/// Whether the first lines tell what an array lacks.
pub(crate) fn is_told_first(assessment: &Assessment, facts: &ArrayFacts) -> bool {
    devices(facts).next().is_some() || to_buy(assessment, facts).is_some()
}

fn of_array(assessment: &Assessment, facts: &ArrayFacts) -> Option<String> {
    let parts: Vec<String> = devices(facts).map(|need| part_in_words(assessment, facts, need)).collect();
    let told = sentence(assessment, facts, &parts)?;
    let cables: Vec<String> =
        needed(facts).filter(|need| is_cable(&need.component)).map(cable_in_words).collect();
    Some(match cables.as_slice() {
        [] => told,
        cables => format!("{told} Not in the plan either, so not judged: {}.", listed(cables)),
    })
}

/// "Not in the plan and needed: ..."; `None` without a part.
fn sentence(assessment: &Assessment, facts: &ArrayFacts, parts: &[String]) -> Option<String> {
    let whose =
        if assessment.arrays.len() > 1 { format!("Array {}: not", facts.name) } else { "Not".to_owned() };
    let them = if parts.len() > 1 { "them" } else { "it" };
    (!parts.is_empty()).then(|| {
        format!(
            "{whose} in the plan and needed: {}. No limit judges what is not there: the array must not be built without {them}.",
            parts.join("; ")
        )
    })
}

/// What the array cannot do without and the plan does not have.
fn needed(facts: &ArrayFacts) -> impl Iterator<Item = &ComponentNeed> {
    facts.needs.components.iter().filter(|need| need.in_plan == Planned::Needed)
}

/// Of these all but cables.
fn devices(facts: &ArrayFacts) -> impl Iterator<Item = &ComponentNeed> {
    needed(facts).filter(|need| !is_cable(&need.component))
}

/// "string cable (6 mm2 or 10 AWG on a hot roof)".
fn cable_in_words(need: &ComponentNeed) -> String {
    let size = cable_size(need).map_or_else(String::new, |size| format!(" ({size})"));
    format!("{}{size}", need.component)
}

/// "a disconnect (60 V dc, 40 A or more; opens 2 conductors at once, under load; NEC 690.13)".
fn part_in_words(assessment: &Assessment, facts: &ArrayFacts, need: &ComponentNeed) -> String {
    let mut asks: Vec<String> = need
        .volts
        .map(|least_v| volts(class_v_to_buy(assessment, facts, need), least_v))
        .into_iter()
        .collect();
    asks.push(amps(need.next_class_a, need.amps));
    let (name, buy) = (lacking_name(facts.strings, &need.component), asks.join(", "));
    let [strings, disconnect] =
        [Clause::Strings, Clause::Disconnect].map(|clause| clause.under(assessment.rules));
    match need.component.as_str() {
        "string fuse" if need.next_class_a.is_none() => {
            format!("{name}, of which {} ({strings})", need.remark)
        }
        "string fuse" => format!("{name} ({buy}; {strings})"),
        "disconnect" => {
            let or = or_what_it_is(facts)
                .map(|name| format!(", or {name}, if it may serve as one: then give it a second entry with kind = \"disconnect\""));
            let (opens, more) = need.remark.split_once("; ").unwrap_or((&need.remark, ""));
            let more = if more.is_empty() { String::new() } else { format!("; {more}") };
            let or_more = if need.next_class_a.is_some() { " or more" } else { "" };
            format!(
                "{name} ({buy}{or_more}; {opens}, under load{more}; {disconnect}){}",
                or.unwrap_or_default()
            )
        }
        "controller" => format!("{name} ({buy} of short circuit)"),
        _ => format!("{name} ({buy})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan;
    use crate::study::{Choice, assess};
    use std::path::Path;

    /// Without a stop and by a code temperature: two strings of two panels of 22.5 V and 5.8 A at -20 °C, -0.30 %/K: 45.0 x 1.135 = 51.1 V
    /// ask for 60 V; 1.5625 x 11.6 A = 18.1 A for 20 A. A third string feeds 14.5 A into a label of 10 A: fuses of 10 A (NEC 690.9(A)).
    fn told(in_parallel: u32, more: &str) -> Result<Vec<String>, Box<dyn std::error::Error>> {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\nvoc_temp_coeff = '-0.30 %/K'\nmax_series_fuse_a = 10\n\
             [[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = {in_parallel}\nmount = 'roof'\n{more}\
             [assumptions]\ncode_temperature = -20\n"
        );
        let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new()))?;
        Ok(lacking(&assess(&plan, &Choice::default())?))
    }

    const CONTROLLER: &str = "[[component]]\nkind = 'controller'\nmax_v = 100\nmax_isc_a = 35\n";
    const DISCONNECT: &str =
        "[[component]]\nkind = 'disconnect'\nmax_v = 100\nrated_a = 40\npoles_opened = 2\n";

    #[test]
    fn a_lack_is_told_with_what_to_buy() -> Result<(), Box<dyn std::error::Error>> {
        let without = told(2, CONTROLLER)?.concat();
        assert!(
            without.starts_with(
                "Not in the plan and needed: a disconnect (60 V dc, 20 A or more; opens 2 conductors at once, under load; NEC 690.13). No limit judges"
            ),
            "{without}"
        );
        assert!(
            without.contains("so not judged: string cable (2.5 mm2 or 14 AWG on a hot roof)"),
            "{without}"
        );
        let fused = told(3, &format!("{CONTROLLER}{DISCONNECT}"))?.concat();
        assert!(
            fused.starts_with(
                "Not in the plan and needed: 3 fuses, one in each string (600 V dc, 10 A; NEC 690.9(A))."
            ),
            "{fused}"
        );
        // Cables alone are not judged, and no part that one forgets to buy.
        assert_eq!(told(2, &format!("{CONTROLLER}{DISCONNECT}"))?, Vec::<String>::new());
        let breaker = "[[component]]\nkind = 'breaker'\nname = 'roof breaker'\nmax_v = 100\nrated_a = 40\npoles_opened = 2\n";
        assert!(
            told(2, &format!("{CONTROLLER}{breaker}"))?
                .concat()
                .contains(", or roof breaker, if it may serve as one: then give it a second entry")
        );
        Ok(())
    }
}
