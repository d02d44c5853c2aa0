//! Which of several controllers of a plan carries which arrangement.

use super::{Align, Page};
use crate::limits::current::controller_demand;
use crate::report::show;
use crate::study::series::{ControllerOfPlan, SeriesOption, SeriesResult};
use crate::units::at_least;

/// Where controllers of one array were held each alone, which of them to take out of the plan: `assess` and the report judge all
/// of an array as fitted.
pub(super) fn next_step(page: &mut Page, result: &SeriesResult) {
    let own: Vec<&ControllerOfPlan> =
        result.controllers.iter().filter(|one| one.array == result.array).collect();
    let [_, _, ..] = own.as_slice() else { return };
    let names = |list: &[&ControllerOfPlan]| {
        list.iter().map(|one| one.name.as_str()).collect::<Vec<_>>().join(" and ")
    };
    let judged = format!(
        "`dawnvolt assess` and the report judge {} as fitted",
        if own.len() == 2 { "both" } else { "all of them" }
    );
    let chosen = result.recommended.as_ref().and_then(|best| best.controller.as_deref());
    // Which of the ways is taken is the reader's: one may stand on another controller than what holds as planned.
    let mut ways = result.exchange.iter().chain(&result.other_exchange);
    let is_open = chosen.is_some() && ways.any(|way| way.arrangement.controller.as_deref() != chosen);
    let chosen = chosen.filter(|_| !is_open);
    let text = match chosen {
        Some(chosen) => {
            let others: Vec<_> = own.into_iter().filter(|one| one.name != chosen).collect();
            format!(
                "Next, if {chosen} is the one: take {} out of the plan ({} [[component]], deleted or put in a plan of its own). Until \
                 then {judged}.",
                names(&others),
                if others.len() == 1 { "its" } else { "each" }
            )
        }
        // Of a class that was asked for none stands in the plan.
        None if !is_open && result.recommended.as_ref().is_some_and(|best| best.controller_v.is_some()) => {
            format!(
                "Next: put the controller that you take into the plan in place of {}. Until then {judged}.",
                names(&own)
            )
        }
        None => format!(
            "Next: leave one of {} in the plan and delete the [[component]] of {}, or give each a plan of its own. Until then {judged}.",
            names(&own),
            if own.len() == 2 { "the other" } else { "the others" }
        ),
    };
    page.paragraph(0, &text);
}

/// Which controller of the plan carries which arrangement, by volts and amps, where another array has one too.
pub(super) fn on_controllers(page: &mut Page, result: &SeriesResult, shown: &[&SeriesOption]) {
    let controllers = &result.controllers;
    // What those of this array carry stands in the table of arrangements.
    if controllers.iter().all(|one| one.array == result.array) {
        return;
    }
    page.heading("Which controller carries which");
    let figure = |value: Option<f64>, unit: &str| {
        value.map_or_else(
            || format!("{unit}\u{a0}not\u{a0}known"),
            |value| show::rating(value, unit).replace(' ', "\u{a0}"),
        )
    };
    let mut header = vec!["layout".to_owned(), "most V".to_owned(), "amps".to_owned()];
    header.extend(controllers.iter().enumerate().map(|(index, one)| {
        let is_twin =
            controllers.iter().enumerate().any(|(other, two)| other != index && two.name == one.name);
        let array = if is_twin { format!(" ({})", one.array) } else { String::new() };
        format!("{}{array}: {}, {}", one.name, figure(one.max_v, "V"), figure(one.max_isc_a, "A"))
    }));
    let mut align = vec![Align::Left, Align::Right, Align::Right];
    align.resize(header.len(), Align::Left);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for option in shown {
        let mut row = vec![
            format!("{}S{}P", option.in_series, option.in_parallel),
            option.decide_v.map_or_else(|| "-".to_owned(), |volts| show::fixed(volts, 1)),
            show::fixed(at_least(option.isc_a * controller_demand().factor), 1),
        ];
        row.extend(controllers.iter().map(|one| {
            let said = match (one.holds_volts(option), one.holds_amps(option)) {
                (Some(true), Some(true)) => "carries it",
                (Some(false), Some(false)) => "too many volts and amps",
                (Some(false), _) => "too many volts",
                (_, Some(false)) => "too many amps",
                (Some(true), None) => "volts hold",
                (None, Some(true)) => "amps hold",
                (None, None) => "-",
            };
            said.to_owned()
        }));
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    page.table(&header, &align, rows);
    page.paragraph(
        1,
        "amps: 1.25 x Isc of the array, against the largest PV short-circuit amps of a controller's manual (max_isc_a). All \
         controllers of the plan stand here, whatever array they serve.",
    );
}
