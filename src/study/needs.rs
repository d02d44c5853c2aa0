//! What an array needs, with or without components in the plan: the smallest ratings that hold.

use crate::array::{Array, Carries, Component, ComponentKind};
use crate::assumptions::{CodeTemperature, Rules};
use crate::cite::Clause;
use crate::hourly::ReadyGroup;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::rules::fuse::{StringFuses, string_fuses};
use crate::limits::{DecidedBy, mistakes, poles};
use crate::note::{Note, NoteKind};
use crate::plan::Plan;
use crate::study::cables;
use crate::study::classes::{charging, component_needs, device_class, remarks};
use crate::study::figures::code_sum;
use crate::study::lines;
use crate::study::needed::VoltsNeeded;
use crate::study::not_given::not_given;
use crate::study::one_pole::{halves, one_pole};
use crate::study::results::{
    ArrayFacts, CodeAlone, ComponentNeed, DesignTemperature, Needs, Planned, StopResult,
};
use crate::study::wiring::wiring;
use crate::units::{at_least, so_many};

/// Whether a plan without a stop still has a code answer: a numeric code temperature.
#[must_use]
pub fn code_alone(plan: &Plan) -> bool {
    matches!(plan.assumptions.code_temperature, CodeTemperature::Fixed(_))
}

/// An array as its labels give it, and what it needs at all the stops together.
#[must_use]
pub fn facts(array: &Array, stops: &[StopResult], plan: &Plan) -> ArrayFacts {
    let isc_a = array.label_isc_a();
    let stc_v = array.label_voc_v();
    let years = plan.assumptions.return_years;
    let volts = largest(array, stops, years).or_else(|| code_only(array, plan));
    let needed = volts_needed(array, stops, plan);
    let charge = charging(array, stops);
    let coldest_c = stops.iter().filter_map(|stop| coldest(&stop.design_temperature_c)).reduce(f64::min);
    let mut notes = mistakes::notes(array, plan.assumptions.rules);
    notes.extend(cables::not_protected(array, plan.assumptions.rules));
    for label in array.groups.iter().flat_map(|group| &group.modules) {
        for note in &label.notes {
            if !notes.contains(note) {
                notes.push(note.clone());
            }
        }
    }
    notes.extend(string_leads(array, plan.assumptions.rules));
    let components = component_needs(array, &needed, &plan.assumptions);
    ArrayFacts {
        name: array.name.clone(),
        modules_in_series: array.modules_in_series(),
        strings: array.strings(),
        layout: array.groups.iter().map(layout).collect(),
        stc_v,
        isc_a,
        max_circuit_a: isc_a * CIRCUIT_FACTOR,
        conductor_a: isc_a * CONTINUOUS_FACTOR,
        needs: Needs {
            disconnect_v: volts.as_ref().map(|(volts, _)| *volts),
            disconnect_a: isc_a * CONTINUOUS_FACTOR,
            breaker_a: isc_a * CONTINUOUS_FACTOR,
            poles: poles::conductors_needed(plan.assumptions.array_earthed),
            controller_v: volts.as_ref().map(|(volts, _)| *volts),
            controller_isc_a: isc_a * CIRCUIT_FACTOR,
            connector_a: isc_a * CIRCUIT_FACTOR,
            cable_a: isc_a * CONTINUOUS_FACTOR,
            charge_a: charge.as_ref().map(|charge| charge.amps),
            charge_class_a: charge.as_ref().and_then(|charge| charge.class_a),
            remarks: of_strings(array, plan.assumptions.rules)
                .into_iter()
                .chain([cables::LENGTHS.to_owned()])
                .chain(cables::whose_table(plan.assumptions.rules))
                .chain(remarks(&needed, charge.as_ref()))
                .collect(),
            charge_from: charge.map(|charge| charge.from),
            next_class_v: device_class(&needed).with_room,
            lacking: lacking(&components),
            components,
            volts_from: volts.map_or_else(|| "no temperature is known".into(), |(_, from)| from),
        },
        code_alone: if stops.is_empty() { code_answer(array, plan) } else { None },
        notes,
        ladder: None,
        rival_controllers: rival_controllers(array),
        not_given: not_given(array, needed.largest()),
        unprotected: cables::unprotected(array, plan.assumptions.rules),
        one_pole: one_pole(&halves(array), needed.largest()),
        wiring: wiring(array, coldest_c),
    }
}

/// What the array cannot do without and the plan does not have.
fn lacking(components: &[ComponentNeed]) -> Vec<String> {
    let needed = components.iter().filter(|need| need.in_plan == Planned::Needed);
    needed.map(|need| need.component.clone()).collect()
}

/// That the strings need no fuses of their own; where they do, or a label leaves it open, a row says so.
fn of_strings(array: &Array, rules: Rules) -> Option<String> {
    let fuses = string_fuses(array);
    matches!(fuses, StringFuses::OneString | StringFuses::NotNeeded { .. })
        .then(|| format!("String fuses: {}", fuses.in_words(rules)))
}

/// Several controllers on one array, which are judged together, though they may stand there to be chosen from.
fn rival_controllers(array: &Array) -> Vec<String> {
    let is_controller = |part: &&Component| matches!(part.kind, ComponentKind::Controller { .. });
    let names: Vec<String> =
        array.components.iter().filter(is_controller).map(|part| part.name.clone()).collect();
    if names.len() > 1 { names } else { Vec::new() }
}

/// The leads of the strings, where the plan names a cable of the whole array alone: who reads that a cable holds is to know
/// which one.
fn string_leads(array: &Array, rules: Rules) -> Option<Note> {
    let cables: Vec<_> = cables::cables(array).collect();
    if array.strings() < 2 || cables.iter().any(|cable| cable.component.carries == Carries::String) {
        return None;
    }
    let planned = match cables.len() {
        0 => return None,
        1 => "the plan's cable carries the array".to_owned(),
        several => format!("each of the plan's {several} cables is judged as carrying the whole array"),
    };
    let isc_a = array.carried_isc_a(Carries::String);
    let text = format!(
        "string leads are not judged: {planned}. Each lead must carry {:.1} A in the air where it runs and {:.1} A \
         at 30 °C (1.25 and 1.5625 x Isc of the label, {}); to have them judged, put this cable in the plan with its size, its insulation and the air \
         around it ([[component]] with kind = \"cable\", carries = \"string\", mm2 or awg, insulation_c and ambient_c)",
        at_least(isc_a * CIRCUIT_FACTOR),
        at_least(isc_a * CONTINUOUS_FACTOR),
        Clause::LeadAmps.under(rules)
    );
    Some(Note::once(NoteKind::Wiring, text).unjudged())
}

/// The lowest air in which a meter may be held to the array at a place.
fn coldest(design: &DesignTemperature) -> Option<f64> {
    let published = || design.published.as_ref().map(|low| low.low_20_year.unwrap_or(low.mean));
    design.daylight_record_low.or(design.record_low).or_else(published)
}

/// The figures that decide for an array at all its stops; without one, the code sum alone.
pub(super) fn volts_needed(array: &Array, stops: &[StopResult], plan: &Plan) -> VoltsNeeded {
    let at_stops = VoltsNeeded::at(stops, &array.name, |_| true);
    match at_stops.largest().is_some() {
        true => at_stops,
        false => VoltsNeeded::of_sum(code_only(array, plan).map(|(volts, _)| volts), None),
    }
}

fn layout(group: &crate::array::StringGroup) -> String {
    use crate::array::{Heading, Tilt};
    let mut ids: Vec<(&str, usize)> = Vec::new();
    for label in &group.modules {
        match ids.last_mut() {
            Some((id, count)) if *id == label.id => *count += 1,
            _ => ids.push((&label.id, 1)),
        }
    }
    let panels: Vec<String> = ids.iter().map(|(id, count)| format!("{count} x {id}")).collect();
    let tilt = match group.tilt {
        Tilt::Fixed(0.0) => "flat".to_string(),
        Tilt::Fixed(degrees) => format!("tilted {degrees} degrees"),
        Tilt::Any => "any tilt".into(),
    };
    let heading = match group.heading {
        _ if group.tilt == Tilt::Fixed(0.0) => String::new(),
        Heading::Fixed(degrees) => format!(", heading {degrees} degrees"),
        Heading::Any => ", any heading".into(),
    };
    format!(
        "{} in series, {} in parallel; mount {}, {tilt}{heading}",
        panels.join(" + "),
        group.in_parallel,
        group.mount.word()
    )
}

/// The largest figure of an array over all stops, in words, with how sure it is: none of them is a ceiling.
fn largest(array: &Array, stops: &[StopResult], return_years: f64) -> Option<(f64, String)> {
    let mut best: Option<(f64, String)> = None;
    for stop in stops {
        let Some(at) = stop.arrays.iter().find(|at| at.name == array.name) else { continue };
        let volts = &at.voltage_v;
        let figures = [
            (volts.code, DecidedBy::Code),
            (volts.worst_case.max, DecidedBy::Seen),
            (volts.worst_case.predictive_level, DecidedBy::Level),
            (volts.allowance, DecidedBy::Allowance),
        ];
        for (figure, by) in figures {
            let Some(figure) = figure else { continue };
            if best.as_ref().is_none_or(|(most, _)| figure > *most) {
                let (noun, place) = (if stop.window.is_some() { "stay" } else { "season" }, &stop.place);
                let what = match by {
                    DecidedBy::Code => format!("code sum at {place}, a rule"),
                    DecidedBy::Level => {
                        format!("worst case expected at {place} in one {noun} out of {return_years:.0}")
                    }
                    DecidedBy::Allowance => format!(
                        "worst case found, taken for air 10 K colder because the record is short or typical, at {place}"
                    ),
                    DecidedBy::Seen | DecidedBy::Rule => {
                        let seen = at.season_maxima_v.iter().filter(|season| season.worst_case.is_some());
                        match seen.count() {
                            0 => format!("worst case found at {place}"),
                            seen => format!("worst case found at {place} in {}", so_many(seen, noun)),
                        }
                    }
                };
                best = Some((figure, format!("{what}; {COLDER_CAN_COME}")));
            }
        }
    }
    best
}

/// Behind every figure that parts are bought by.
const COLDER_CAN_COME: &str = "colder can come";

/// The code sum against every component; `None` unless the plan gives a number for its code temperature.
fn code_answer(array: &Array, plan: &Plan) -> Option<CodeAlone> {
    let CodeTemperature::Fixed(air) = plan.assumptions.code_temperature else { return None };
    let groups: Vec<ReadyGroup<'_>> =
        array.groups.iter().map(|group| ReadyGroup::new(group, plan.assumptions.sky_cooling_k)).collect();
    let sum = code_sum(&groups, air)?;
    Some(CodeAlone {
        code: sum.volts.0,
        code_temperature_c: air.0,
        code_basis: sum.basis,
        table: sum.table.map(|volts| volts.0),
        limits: lines::code_alone(array, &plan.assumptions, air),
    })
}

fn code_only(array: &Array, plan: &Plan) -> Option<(f64, String)> {
    let CodeTemperature::Fixed(air) = plan.assumptions.code_temperature else { return None };
    let groups: Vec<ReadyGroup<'_>> =
        array.groups.iter().map(|group| ReadyGroup::new(group, plan.assumptions.sky_cooling_k)).collect();
    let sum = code_sum(&groups, air)?;
    Some((sum.volts.0, format!("code sum at {air}, given in the plan; no weather")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::{PANEL, array};

    // One controller is fitted; two may be a choice, and the contract judges both: our own decision, no source.
    #[test]
    fn two_controllers_on_one_array_are_said_to_be_judged_together() {
        let strings = "[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n";
        let part = |name: &str| format!("[[component]]\nkind = 'controller'\nname = '{name}'\nmax_v = 100\n");
        let told = |parts: &str| rival_controllers(&array(&format!("{PANEL}{strings}{parts}")));
        assert_eq!(told(&format!("{}{}", part("left"), part("right"))), ["left", "right"]);
        assert!(told(&part("left")).is_empty());
    }

    // 5.8 A of label: 1.25 times 7.25 A, 1.5625 times 9.06 A, rounded up [NEC690.8].
    #[test]
    fn string_leads_beside_a_cable_of_the_array_are_not_judged_in_silence() {
        let told = |in_parallel: u32, cables: &str| {
            let strings = format!(
                "[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = {in_parallel}\nmount = 'roof'\n"
            );
            string_leads(&array(&format!("{PANEL}{strings}{cables}")), Rules::All).map(|note| note.text)
        };
        let of_array = "[[component]]\nkind = 'cable'\nmm2 = 6\ninsulation_c = 90\nambient_c = 65\n";
        let of_string = format!("{of_array}carries = 'string'\n");
        let text = told(2, of_array).unwrap_or_default();
        assert!(text.contains("7.3 A in the air") && text.contains("9.1 A at 30 °C"), "{text}");
        assert!(text.contains("carries = \"string\""), "{text}");
        assert_eq!(told(2, &format!("{of_array}{of_string}")), None);
        assert_eq!((told(1, of_array), told(2, "")), (None, None));
    }
}
