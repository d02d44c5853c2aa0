//! The classes in which components are commonly sold, and what each component of an array needs of them. Generic: common
//! practice, no source, unless a line says otherwise; shown, never a limit to pass by.

use crate::array::{Array, Carries, Component, ComponentKind, ControllerType, StringGroup};
use crate::assumptions::{Assumptions, Rules};
use crate::limits::Verdict;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::mistakes::{MADE_TO_BREAK_DC, is_name_of_a_system};
use crate::limits::poles;
use crate::limits::rules::fuse::{COMMON_FUSES_A, StringFuses, string_fuses, window as fuse_window};
use crate::study::cables::{self, Cable};
use crate::study::needed::{Class, VoltsNeeded};
use crate::study::planned::{self, Planned};
use crate::units::{at_least, spare};
use serde::Serialize;

/// Volts of dc devices and controllers.
const DEVICE_V: [f64; 11] = [48.0, 50.0, 60.0, 75.0, 100.0, 125.0, 150.0, 250.0, 500.0, 600.0, 1000.0];
/// The row of the fuses that strings need, one in each.
pub const STRING_FUSE: &str = "string fuse";
/// Volts of plugs, solar cables and string fuses.
const WIRING_V: [f64; 3] = [600.0, 1000.0, 1500.0];
/// Amps of disconnects, breakers and switches: preferred currents of switchgear (IEC 60059, from memory).
const SWITCH_A: [f64; 14] =
    [6.0, 10.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0];
/// Standard ratings of breakers and fuses in North America, A (NEC 240.6(A), from memory; 6 and 10 are its fuses alone).
const BREAKER_NEC_A: [f64; 20] = [
    6.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 125.0,
    150.0, 175.0, 200.0,
];
/// Largest array currents of charge controllers.
const CONTROLLER_A: [f64; 12] = [10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 85.0, 100.0];
/// Amps of plug connectors with cables of 1.5, 2.5 and 4 to 6 mm2 (read in a data sheet).
const CONNECTOR_A: [f64; 3] = [17.0, 22.0, 30.0];
/// What one component must stand, and the next common class that does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ComponentNeed {
    /// Which component.
    pub component: String,
    /// dc volts; null where no temperature is known.
    pub volts: Option<f64>,
    /// The next common class, V; null where none is that large.
    pub next_class_v: Option<f64>,
    /// Amps.
    pub amps: f64,
    /// The next common class, A; null where none is that large, or where the remark names a size.
    pub next_class_a: Option<f64>,
    /// Whether the plan has such a part, and whether it wants one.
    pub in_plan: Planned,
    /// What else it asks for.
    pub remark: String,
}

/// The class of disconnects and controllers that holds what is needed.
pub(super) fn device_class(needed: &VoltsNeeded) -> Class {
    needed.class(&DEVICE_V)
}

/// The class of a kind of component that holds the volts needed.
pub(super) fn class_v(kind: &str, needed: &VoltsNeeded) -> Class {
    match kind {
        "connector" | "cable" | "fuse" => needed.class(&WIRING_V),
        _ => device_class(needed),
    }
}

/// The condition under which a class may be bought: what it says is also the name of a battery system, and then most switches and
/// breakers of it are not made to open an array. Empty for all others.
pub(super) fn class_condition(kind: &str, class_v: f64) -> String {
    let opens = matches!(kind, "disconnect" | "breaker" | "switch");
    if opens && is_name_of_a_system(class_v) {
        format!(" (only one {MADE_TO_BREAK_DC})")
    } else {
        String::new()
    }
}

/// "60 V", or "48 V (only one marked as made to break dc under load)".
pub(super) fn class_v_words(kind: &str, class_v: f64) -> String {
    format!("{class_v} V{}", class_condition(kind, class_v))
}

/// The smallest class of a kind of component that holds the volts needed with room, and `reaches_v` besides.
pub(super) fn class_that_holds(kind: &str, needed: &VoltsNeeded, reaches_v: f64) -> Option<f64> {
    let classes: &[f64] = match kind {
        "connector" | "cable" | "fuse" => &WIRING_V,
        _ => &DEVICE_V,
    };
    let holds = |class: &f64| *class >= reaches_v && needed.verdict(*class) == Verdict::Within;
    classes.iter().copied().find(holds)
}

/// The next common class of amps of a kind of component; `None` for a cable, and where none is that large.
pub(super) fn next_class_a(kind: &str, amps: f64) -> Option<f64> {
    match kind {
        "breaker" => next_breaker_a(amps),
        "disconnect" | "switch" => next(&SWITCH_A, amps),
        "controller" => next(&CONTROLLER_A, amps),
        "connector" => next(&CONNECTOR_A, amps),
        "fuse" => next(&COMMON_FUSES_A, amps),
        _ => None,
    }
}

/// The next common class of a breaker or array fuse, A: the smaller of both series, since the cable must stand behind it.
fn next_breaker_a(amps: f64) -> Option<f64> {
    let both = [next(&BREAKER_NEC_A, amps), next(&SWITCH_A, amps)];
    both.into_iter().flatten().reduce(f64::min)
}

/// "60 A (NEC 240.6(A)) or 63 A (IEC 60059)" for a breaker, where the two series differ.
fn both_series(amps: f64) -> Option<String> {
    let (nec, iec) = (next(&BREAKER_NEC_A, amps)?, next(&SWITCH_A, amps)?);
    (nec != iec).then(|| format!("{nec} A (NEC 240.6(A)) or {iec} A (IEC 60059)"))
}

/// The next common class of amps in words: of a breaker both series, where they differ.
pub(super) fn next_class_a_words(kind: &str, amps: f64) -> Option<String> {
    let class = next_class_a(kind, amps)?;
    let both = if kind == "breaker" { both_series(amps) } else { None };
    Some(both.unwrap_or_else(|| format!("{class} A")))
}

/// All classes of disconnects and controllers, V, smallest first.
pub(super) fn device_classes_v() -> impl Iterator<Item = f64> {
    DEVICE_V.into_iter()
}

fn next(classes: &[f64], least: f64) -> Option<f64> {
    // products of label amps carry rounding in their last digit
    classes.iter().copied().find(|&class| class >= least - 1e-9)
}

/// The largest series fuse of the panels, A, where a fuse or breaker there is what protects a string: in a string, or in an
/// array of one string. `None` where it protects none, or where no label says.
pub(super) fn label_cap_a(array: &Array, carries: Carries) -> Option<f64> {
    let in_a_string = carries == Carries::String || array.strings() == 1;
    array.groups.iter().filter_map(StringGroup::label_fuse_a).reduce(f64::min).filter(|_| in_a_string)
}

/// Amps that flow into the battery at most, where one is named.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Charging {
    /// Amps.
    pub amps: f64,
    /// The next common class of controllers.
    pub class_a: Option<f64>,
    /// What they rest on.
    pub from: String,
    /// What a controller for fewer amps does.
    pub smaller: String,
}

/// Of a label without a working point this share of Voc x Isc is taken as its power: the upper ends of ordinary labels,
/// 0.847 of Voc and 0.95 of Isc.
const FILL_AT_MOST: f64 = 0.805;

/// The most that the controller of an array can be asked to put into its battery: the labels' watts over the nominal volts,
/// below which a battery is hardly ever charged. A pwm controller passes the array's own current on.
pub(super) fn charging(array: &Array) -> Option<Charging> {
    let battery = array.battery.as_ref()?;
    let is_pwm = array.components.iter().any(
        |part| matches!(part.kind, ComponentKind::Controller { kind, .. } if kind == ControllerType::Pwm),
    );
    let (amps, from) = if is_pwm {
        let amps = array.label_isc_a() * CIRCUIT_FACTOR;
        (amps, "pwm passes on 1.25 x the short-circuit current".to_owned())
    } else {
        let (watts, guessed) = label_watts(array);
        let nominal = battery.nominal.0;
        let basis = if guessed { " (labels without vmp_v and imp_a: a high guess)" } else { "" };
        (
            watts / nominal,
            format!("{watts:.0} W{basis} over its nominal {nominal} V, the least it charges at"),
        )
    };
    let smaller = if is_pwm {
        "a pwm controller for less does not clip, it is overloaded (common practice, no source)".to_owned()
    } else {
        clips(array, amps, battery.charge.0 / battery.nominal.0)
    };
    Some(Charging { amps, class_a: next(&CONTROLLER_A, amps), from, smaller })
}

/// The controllers of the plan that take less than the labels can give, so that both figures are not read as a fault.
///
/// `amps` over the nominal volts; `rise` is the charge volts over those: a controller may clip over an empty battery alone.
fn clips(array: &Array, amps: f64, rise: f64) -> String {
    let planned = array.components.iter().filter_map(|part| match part.kind {
        ComponentKind::Controller { max_charge: Some(most), .. } => Some((part.name.as_str(), most.0)),
        _ => None,
    });
    let planned: Vec<(&str, f64)> = planned.collect();
    let small: Vec<String> = planned
        .iter()
        .filter(|(_, most)| *most < amps)
        .map(|(name, most)| {
            let when = if most * rise >= amps { " while the battery is low" } else { "" };
            format!("{name} clips at {most} A{when}")
        })
        .collect();
    match (planned.is_empty(), small.is_empty()) {
        (_, false) => format!("{}: a loss, no danger", small.join(", ")),
        (true, true) => "a smaller controller clips: a loss, no danger".to_owned(),
        (false, true) => "the planned controller takes it all".to_owned(),
    }
}

/// Label watts of all panels, and whether some are guessed.
fn label_watts(array: &Array) -> (f64, bool) {
    let mut guessed = false;
    let mut watts = 0.0;
    for group in &array.groups {
        for label in &group.modules {
            let each = match (label.vmp, label.imp) {
                (Some(volts), Some(amps)) => volts.0 * amps.0,
                _ => {
                    guessed = true;
                    label.voc.0 * label.isc.0 * FILL_AT_MOST
                }
            };
            watts += each * f64::from(group.in_parallel);
        }
    }
    (watts, guessed)
}

/// What every component of an array needs, in the order of the current.
#[must_use]
pub(super) fn component_needs(
    array: &Array,
    needed: &VoltsNeeded,
    assumptions: &Assumptions,
) -> Vec<ComponentNeed> {
    let rules = assumptions.rules;
    let isc_a = array.label_isc_a();
    let string_isc_a = array.carried_isc_a(Carries::String);
    let of = |component: &str, volt_classes: &[f64], amps: f64, class_a: Option<f64>, remark: String| {
        let class = needed.class(volt_classes);
        let in_plan = planned::planned(array, component);
        let condition = breaks_dc(array, component, class.with_room);
        ComponentNeed {
            component: component.to_owned(),
            volts: needed.largest(),
            next_class_v: class.with_room,
            amps,
            next_class_a: class_a,
            in_plan,
            remark: joined(&[condition, planned::condition(in_plan, component).to_owned(), remark]),
        }
    };
    let (circuit_a, continuous_a) = (isc_a * CIRCUIT_FACTOR, isc_a * CONTINUOUS_FACTOR);
    let plug_a = string_isc_a * CIRCUIT_FACTOR;
    let mut needs =
        vec![of("connector of a string", &WIRING_V, plug_a, next(&CONNECTOR_A, plug_a), String::new())];
    if array.strings() > 1 {
        let split = if circuit_a > 30.0 { "more than common plugs carry: split the array" } else { "" };
        let class_a = next(&CONNECTOR_A, circuit_a);
        needs.push(of("connector of the array", &WIRING_V, circuit_a, class_a, split.into()));
    }
    let mut string_fuse = None;
    if let StringFuses::Needed { window, label_a, .. } = string_fuses(array) {
        string_fuse = window.common_a;
        let remark = match window.common_a {
            Some(fuse_a) => joined(&[
                format!("one in each string, at most the label's {label_a} A"),
                too_thin(array, Carries::String, fuse_a, rules),
            ]),
            None => format!("none fits below the label's {label_a} A: fewer strings in parallel"),
        };
        needs.push(of(STRING_FUSE, &WIRING_V, window.least_a, window.common_a, remark));
    }
    // A label that does not say leaves a condition, and its figure is known.
    if let StringFuses::Unknown { reverse_a } = string_fuses(array) {
        let window = fuse_window(string_isc_a, None);
        let remark = format!(
            "where the label's largest series fuse (max_series_fuse_a) is below {:.1} A, and never above that",
            at_least(reverse_a)
        );
        needs.push(of(STRING_FUSE, &WIRING_V, window.least_a, window.common_a, remark));
    }
    let breaker = breaker(array, continuous_a, rules);
    let string_cables = cable_rows(array, Carries::String, string_fuse, rules);
    for (name, remark) in string_cables {
        needs.push(of(&name, &WIRING_V, string_isc_a * CONTINUOUS_FACTOR, None, remark));
    }
    for (name, remark) in cable_rows(array, Carries::Array, breaker.0, rules) {
        needs.push(of(&name, &WIRING_V, continuous_a, None, remark));
    }
    let conductors = match poles::conductors_needed(assumptions.array_earthed) {
        1 => "opens 1 conductor".to_owned(),
        several => format!("opens {several} conductors at once"),
    };
    let disconnect = |name: &str, carries: Carries, amps: f64, which: &str| {
        let class_a = next(&SWITCH_A, amps);
        let plain = match label_cap_a(array, carries) {
            Some(cap) if class_a.is_some_and(|class| class > cap) => {
                format!("as a plain switch: a breaker in the string may have at most the label's {cap} A")
            }
            _ => String::new(),
        };
        of(name, &DEVICE_V, amps, class_a, joined(&[which.to_owned(), conductors.clone(), plain]))
    };
    // Where the plan opens each string by itself, one of them stands the amps of its string alone.
    let has = |row: &str| planned::planned(array, row) == Planned::InPlan;
    let by_string = array.strings() > 1 && has(planned::OF_A_STRING);
    if by_string {
        let amps = string_isc_a * CONTINUOUS_FACTOR;
        needs.push(disconnect(planned::OF_A_STRING, Carries::String, amps, "one in each string"));
    }
    if !by_string || has("disconnect") {
        needs.push(disconnect("disconnect", Carries::Array, continuous_a, ""));
    }
    needs.push(of(planned::BREAKER, &DEVICE_V, continuous_a, breaker.0, breaker.1));
    needs.push(of(
        "controller",
        &DEVICE_V,
        circuit_a,
        next(&CONTROLLER_A, circuit_a),
        "largest array short-circuit current".into(),
    ));
    needs
}

/// The condition under which the class of a row may be bought; empty where the plan's parts say that they meet it.
fn breaks_dc(array: &Array, row: &str, class_v: Option<f64>) -> String {
    let kind = match row {
        planned::OF_A_STRING => "disconnect",
        planned::BREAKER => "breaker",
        other => other,
    };
    let own = || {
        let serves = |part: &&Component| {
            planned::serves(part.kind.word(), &part.name, part.carries, row, array.strings())
        };
        array.components.iter().filter(serves)
    };
    let is_looked_up = own().next().is_some()
        && own().all(|part| part.kind.poles().is_none_or(|poles| poles.load_break == Some(true)));
    match class_v {
        Some(class_v) if !class_condition(kind, class_v).is_empty() && !is_looked_up => {
            let what = if row == planned::BREAKER { "a breaker of" } else { "of" };
            format!("{what} {class_v} V only one {MADE_TO_BREAK_DC}")
        }
        _ => String::new(),
    }
}

/// The class of a breaker or fuse of the whole array, and what it asks of label and cable.
fn breaker(array: &Array, continuous_a: f64, rules: Rules) -> (Option<f64>, String) {
    let class = next_breaker_a(continuous_a);
    let Some(class_a) = class else {
        return (None, "more than common breakers carry: split the array".into());
    };
    match label_cap_a(array, Carries::Array) {
        Some(cap) if class_a > cap => {
            let fits = COMMON_FUSES_A.into_iter().find(|&fuse| fuse >= continuous_a - 1e-9 && fuse <= cap);
            match fits {
                Some(fuse_a) => (
                    Some(fuse_a),
                    joined(&[
                        format!("a fuse: at most the label's {cap} A"),
                        too_thin(array, Carries::Array, fuse_a, rules),
                    ]),
                ),
                None => (
                    None,
                    format!(
                        "none fits below the label's {cap} A; one string needs none: a plain switch does"
                    ),
                ),
            }
        }
        cap => {
            let silent = cap.is_none() && array.strings() == 1;
            let label =
                if silent { "at most the label's largest series fuse: give max_series_fuse_a" } else { "" };
            let series = both_series(continuous_a).unwrap_or_default();
            (
                Some(class_a),
                joined(&[series, label.to_owned(), too_thin(array, Carries::Array, class_a, rules)]),
            )
        }
    }
}

/// What is to be known of the planned cables of a circuit behind a device of so many amps; empty where all may stand there by
/// every rule, or where none is planned: then the row of the cable says which size may.
fn too_thin(array: &Array, carries: Carries, device_a: f64, rules: Rules) -> String {
    let isc_a = array.carried_isc_a(carries);
    let planned = cables::cables(array).filter(|cable| cable.component.carries == carries);
    let texts: Vec<String> =
        planned.filter_map(|cable| cables::behind_in_words(&cable, isc_a, device_a, rules)).collect();
    texts.join("; ")
}

/// A row for each planned cable of a circuit, its own run; one on a usual roof where none is planned, with what to give so
/// that it is judged. The leads of an only string are the array's.
fn cable_rows(array: &Array, carries: Carries, device_a: Option<f64>, rules: Rules) -> Vec<(String, String)> {
    let isc_a = array.carried_isc_a(carries);
    let planned: Vec<Cable<'_>> =
        cables::cables(array).filter(|cable| cable.component.carries == carries).collect();
    let word = match carries {
        Carries::String => "string cable",
        Carries::Array => "array cable",
    };
    // A string's device is its fuse, named only where the strings need one.
    let size = |run: cables::Run, whence: &str| {
        // The limit shows the tighter of two demands, the row the larger: both stand beside the size.
        let (own, table) = (at_least(isc_a * CIRCUIT_FACTOR), at_least(isc_a * CONTINUOUS_FACTOR));
        let whence = format!("{whence}: must carry {own:.1} A in that air and {table:.1} A in air of 30 °C");
        match (carries, device_a) {
            (Carries::String, Some(fuse_a)) => cables::behind_a_fuse(run, &whence, isc_a, fuse_a, rules),
            _ => cables::remark(run, &whence, isc_a, device_a, rules),
        }
    };
    if planned.is_empty() {
        let row = || (word.to_owned(), size(cables::USUAL, "taken as usual on a roof"));
        let mut remark = row();
        let judge = match carries {
            Carries::Array => "kind = \"cable\"",
            Carries::String if array.strings() < 2 => return Vec::new(),
            Carries::String => "kind = \"cable\" and carries = \"string\"",
        };
        if carries == Carries::String
            && matches!(string_fuses(array), StringFuses::Unknown { .. })
            && array.strings() > 2
        {
            remark.1.push_str("; without a fuse in each string also what the others feed into it");
        }
        remark.1.push_str("; not judged");
        // Beside a cable of the array a remark of its own says what to give.
        if cables::cables(array).next().is_none() {
            remark.1.push_str(&format!(" until it is in the plan ({judge})"));
        }
        return vec![remark];
    }
    let several = planned.len() > 1;
    let row = |cable: &Cable<'_>| {
        let name = if several { format!("{word}: {}", cable.component.name) } else { word.to_owned() };
        (name, size(cable.run, "as in the plan"))
    };
    planned.iter().map(row).collect()
}

/// What stands below the rows: the class that only just holds, and the amps into the battery.
pub(super) fn remarks(needed: &VoltsNeeded, charging: Option<&Charging>) -> Vec<String> {
    let class = device_class(needed);
    let close = class.close.map(|close| {
        let close = close_words(needed, close);
        match class.with_room {
            Some(_) => format!("The class named for disconnect, breaker and controller leaves room: {close}"),
            None => format!("No common class of disconnects and controllers leaves room: {close}"),
        }
    });
    let charging = charging.map(|found| {
        let class = found.class_a.map_or_else(
            || ", more than common controllers take".to_owned(),
            |class| format!(", common class {class} A"),
        );
        format!(
            "Into the battery: up to {:.1} A{class}: a size to buy by, not what flows ({}); {}",
            at_least(found.amps),
            found.from,
            found.smaller
        )
    });
    close.into_iter().chain(charging).collect()
}

/// "60 V would leave 2.1 % only".
pub(super) fn close_words(needed: &VoltsNeeded, close: f64) -> String {
    format!("{close} V would leave {} only", spare(needed.spare_percent(close).unwrap_or(0.0)))
}

fn joined(parts: &[String]) -> String {
    let parts: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    parts.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::{PANEL, array};

    fn volts(largest: f64) -> VoltsNeeded {
        VoltsNeeded::of_sum(None, Some(largest))
    }

    fn need(needs: &[ComponentNeed], name: &str) -> ComponentNeed {
        needs.iter().find(|need| need.component == name).cloned().unwrap_or_else(|| ComponentNeed {
            component: "missing".into(),
            volts: None,
            next_class_v: None,
            amps: 0.0,
            next_class_a: None,
            in_plan: Planned::Needed,
            remark: String::new(),
        })
    }

    // Worked by hand: four strings of 5.8 A: 1.25 x 23.2 = 29.0 A, 1.5625 x 23.2 = 36.25 A; one: 7.25 A. 10 AWG in air of
    // 65 C carries 26.0 A, 8 AWG 35.75 A. Three other strings feed 21.75 A, more than a label of 15 A; 9.06 A ask for 10 A.
    #[test]
    fn every_component_has_its_class() {
        let four = array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\nmount = 'roof'\n"
        ));
        let needs = component_needs(&four, &volts(51.1), &Assumptions::default());
        for (name, class_v, amps, class_a) in [
            ("connector of a string", 600.0, 7.25, Some(17.0)),
            ("connector of the array", 600.0, 29.0, Some(30.0)),
            ("string fuse", 600.0, 9.0625, Some(10.0)),
            ("array cable", 600.0, 36.25, None),
            ("disconnect", 60.0, 36.25, Some(40.0)),
            ("breaker or array fuse", 60.0, 36.25, Some(40.0)),
            ("controller", 60.0, 29.0, Some(30.0)),
        ] {
            let found = need(&needs, name);
            assert_eq!((found.next_class_v, found.next_class_a), (Some(class_v), class_a), "{name}");
            assert!((found.amps - amps).abs() < 1e-9, "{name}: {}", found.amps);
        }
        let cable = need(&needs, "array cable").remark;
        assert!(cable.starts_with("10 mm2 or 8 AWG"), "{cable}");
        // 35.75 A are less than a device of 40 A, the next standard size; 6 AWG carries 75 x 0.65 = 48.75 A
        assert!(cable.contains("; a fuse or breaker of 40 A may protect it by NEC 240.4(B)"), "{cable}");
        assert!(cable.contains("IEC 60364-4-43 asks for 16 mm2 or 6 AWG"), "{cable}");
        assert!(need(&needs, "disconnect").remark.contains("2 conductors"));
        // A lead of one string: 9.06 A at 30 °C, and a fuse of 10 A before it: 14 AWG may stand behind 15 A.
        let lead = need(&needs, "string cable");
        assert!(
            (lead.amps - 9.0625).abs() < 1e-9 && lead.remark.starts_with("2.5 mm2 or 14 AWG ("),
            "{lead:?}"
        );
        assert!(
            lead.remark.ends_with(
                "; not judged until it is in the plan (kind = \"cable\" and carries = \"string\")"
            )
        );
    }

    #[test]
    fn one_string_needs_no_fuse_and_too_many_amps_no_plug() {
        let one = array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n"));
        let earthed = Assumptions { array_earthed: true, ..Assumptions::default() };
        let needs = component_needs(&one, &VoltsNeeded::default(), &earthed);
        assert_eq!(need(&needs, "string fuse").component, "missing");
        assert_eq!(need(&needs, "controller").next_class_v, None);
        assert!(need(&needs, "disconnect").remark.contains("1 conductor"));
        let six = array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 6\nmount = 'roof'\n"
        ));
        // 1.25 x 34.8 = 43.5 A
        let trunk =
            need(&component_needs(&six, &volts(26.0), &Assumptions::default()), "connector of the array");
        assert_eq!(trunk.next_class_a, None);
        assert!(trunk.remark.contains("split the array"));
    }

    // 48 V on a small switch or breaker is mostly that of battery circuits (common practice, no source): what is advised here is what the
    // remark about such a part of the plan asks for, and neither says more where the plan has looked it up.
    #[test]
    fn a_class_that_is_a_systems_name_is_advised_with_its_condition() {
        use crate::limits::mistakes::testing::says;
        let with = |part: &str| {
            array(&format!(
                "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 2\nmount = 'roof'\n{part}"
            ))
        };
        let disconnect = |max_v: f64, more: &str| {
            with(&format!(
                "[[component]]\nkind = 'disconnect'\nmax_v = {max_v}\nrated_a = 32\npoles_opened = 2\n{more}"
            ))
        };
        let row = |array: &Array, volts: f64, name: &str| {
            need(
                &component_needs(array, &VoltsNeeded::of_sum(None, Some(volts)), &Assumptions::default()),
                name,
            )
        };
        let needed = |array: &Array, name: &str| row(array, 27.0, name);
        for (array, doubted) in
            [(with(""), true), (disconnect(48.0, ""), true), (disconnect(48.0, "load_break = true"), false)]
        {
            let found = needed(&array, "disconnect");
            assert_eq!(found.next_class_v, Some(48.0));
            assert_eq!(
                found.remark.starts_with(&format!("of 48 V only one {MADE_TO_BREAK_DC}")),
                doubted,
                "{found:?}"
            );
        }
        assert!(says(&disconnect(48.0, ""), MADE_TO_BREAK_DC));
        assert!(!says(&disconnect(48.0, "load_break = true"), MADE_TO_BREAK_DC));
        assert!(needed(&with(""), planned::BREAKER).remark.starts_with("a breaker of 48 V only one"));
        // Of a controller nothing is opened, and no battery system is called 60 V.
        assert!(!needed(&with(""), "controller").remark.contains("48 V"));
        assert_eq!(row(&with(""), 55.0, "disconnect").next_class_v, Some(60.0));
        assert!(!row(&with(""), 55.0, "disconnect").remark.contains("only one"));
        assert_eq!(class_v_words("switch", 48.0), "48 V (only one marked as made to break dc under load)");
        assert_eq!(
            (class_v_words("controller", 48.0), class_v_words("switch", 60.0)),
            ("48 V".into(), "60 V".into())
        );
    }

    fn strings(isc_a: f64, label: &str, in_parallel: u32, rest: &str) -> Vec<ComponentNeed> {
        let array = array(&format!(
            "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = {isc_a}\n{label}\n\
             [[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {in_parallel}\nmount = 'roof'\n{rest}"
        ));
        component_needs(&array, &volts(26.0), &Assumptions::default())
    }

    // One string of 10.3 A asks for 1.5625 x 10.3 = 16.09 A, so a breaker of 20 A: more than a label of 15 A allows in a string,
    // and no fuse lies between. With a label of 20 A the 20 A hold. Two strings: 32.2 A ask for 35 A (40 A in the IEC's series), which protects the trunk
    // and not the panel. By hand; NEC 690.9, and the label's largest series fuse (IEC 61730).
    #[test]
    fn nothing_larger_than_the_label_protects_a_string() {
        let breaker = |needs: &[ComponentNeed]| need(needs, "breaker or array fuse");
        let small = strings(10.3, "max_series_fuse_a = 15", 1, "");
        assert_eq!(breaker(&small).next_class_a, None);
        assert!(breaker(&small).remark.contains("none fits below the label's 15 A"));
        assert_eq!(need(&small, "disconnect").next_class_a, Some(20.0));
        assert!(need(&small, "disconnect").remark.contains("as a plain switch"));
        assert_eq!(breaker(&strings(10.3, "max_series_fuse_a = 20", 1, "")).next_class_a, Some(20.0));
        let two = breaker(&strings(10.3, "max_series_fuse_a = 20", 2, ""));
        assert_eq!(two.next_class_a, Some(35.0));
        assert!(two.remark.contains("; 35 A (NEC 240.6(A)) or 40 A (IEC 60059)"), "{}", two.remark);
        assert!(breaker(&strings(10.3, "", 1, "")).remark.contains("give max_series_fuse_a"));
    }

    // Three strings of 11.4 A: 22.8 A (1.25 x 2 x 11.4 = 28.5 A) of the others against a label of 20 A, so fuses of 20 A, behind
    // which 12 AWG may stand (at 65 °C 0.65 x 30 = 19.5 A, so 20 A by NEC 240.4(B) and (D)) and 14 AWG (15 A) may not; by IEC
    // 60364-4-43 10 AWG (26 A).
    #[test]
    fn the_lead_of_a_string_is_named_behind_its_fuse_alone() {
        let lead = need(&strings(11.4, "max_series_fuse_a = 20", 3, ""), "string cable").remark;
        assert!(lead.starts_with("4 mm2 or 12 AWG (") && !lead.contains("14 AWG"), "{lead}");
        assert!(lead.contains("; IEC 60364-4-43 asks for 6 mm2 or 10 AWG"), "{lead}");
        assert!(lead.contains("may not stand behind the string fuse of 20 A"), "{lead}");
    }

    // Two others of 5.8 A feed 1.25 x 11.6 = 14.5 A into the third: only a label below that asks for fuses (NEC 690.9(A)); 1.5625 x
    // 5.8 = 9.06 A ask for 10 A. By hand.
    #[test]
    fn a_silent_label_leaves_a_condition_for_string_fuses() {
        let fuse = need(&strings(5.8, "", 3, ""), "string fuse");
        assert_eq!((fuse.in_plan, fuse.next_class_a), (Planned::OnlyIf, Some(10.0)));
        assert!(
            fuse.remark.starts_with("where the label's largest series fuse")
                && fuse.remark.contains("below 14.5 A")
        );
        assert_eq!(
            need(&strings(5.8, "max_series_fuse_a = 10", 3, ""), "string fuse").in_plan,
            Planned::Needed
        );
        assert_eq!(need(&strings(5.8, "max_series_fuse_a = 15", 3, ""), "string fuse").component, "missing");
    }

    // 4 x 8.56 A ask for 53.5 A: 60 A in the code's series (NEC 240.6(A)), 63 A in the IEC's; at 65 °C 4 AWG carries
    // 95 x 0.65 = 61.75 A, enough for 60 A and not for 63 A. By hand, Table 310.16 and its correction.
    #[test]
    fn the_advised_cable_holds_behind_the_advised_breaker() {
        use crate::array::Conductor;
        use crate::limits::rules::ampacity::judge;
        use crate::limits::rules::behind::behind;
        let needs = strings(8.56, "", 4, "");
        let breaker = need(&needs, "breaker or array fuse");
        assert_eq!(breaker.next_class_a, Some(60.0));
        assert!(breaker.remark.ends_with("; 60 A (NEC 240.6(A)) or 63 A (IEC 60059)"), "{}", breaker.remark);
        let cable = need(&needs, "array cable").remark;
        assert!(cable.contains("25 mm2 or 4 AWG"), "{cable}");
        let mut advised = 0;
        for isc_a in [3.1, 5.8, 8.56, 8.9, 10.3] {
            for in_parallel in 2..=5 {
                let needs = strings(isc_a, "", in_parallel, "");
                let class = need(&needs, "breaker or array fuse").next_class_a.unwrap_or(0.0);
                let remark = need(&needs, "array cable").remark;
                let sizes = remark.split(" where a fuse").next().unwrap_or_default();
                let gauge =
                    sizes.rsplit(" mm2 or ").next().and_then(|rest| rest.split(' ').next()?.parse().ok());
                let (Some(gauge), false) =
                    (gauge, remark.contains("no size up to") || remark.starts_with("more than"))
                else {
                    continue;
                };
                advised += 1;
                let most = behind(Conductor::Awg(gauge), 90.0, 65.0);
                assert!(most.is_some_and(|most| most.allows(class, Rules::All)), "{class} A: {remark}");
                let judged = judge(Conductor::Awg(gauge), 90.0, 65.0, isc_a * f64::from(in_parallel));
                assert_eq!(judged.verdict, Verdict::Within, "{remark}");
            }
        }
        assert!(advised >= 12, "{advised}");
    }

    // 9.06 A ask for 10 A; at 80 °C 14 AWG carries 25 x 0.41 = 10.25 A and may stand behind 10 A; at 85 °C 25 x 0.29 = 7.25 A,
    // just what 1.25 x 5.8 A ask for, and 10 A is the next standard size: by IEC 60364-4-43 it may not; 12 AWG carries 8.7 A, 10
    // AWG 11.6 A. By hand from Table 310.16 and its correction.
    #[test]
    fn a_planned_cable_and_its_device_are_chosen_together() {
        let with = |ambient_c: f64| {
            let cable = format!(
                "[[component]]\nkind = 'cable'\nname = 'roof cable'\nawg = 14\ninsulation_c = 90\nambient_c = {ambient_c}\n"
            );
            need(&strings(5.8, "max_series_fuse_a = 15", 1, &cable), "breaker or array fuse").remark
        };
        assert!(!with(80.0).contains("roof cable"), "{}", with(80.0));
        assert!(
            with(85.0).contains(
                "10 A may protect roof cable by NEC 240.4(B), the next standard size above 7.2 A; IEC 60364-4-43 asks for a device of at most 7.2 A"
            ),
            "{}",
            with(85.0)
        );
    }

    // A cable on the hot roof and one inside: 23.2 A ask for 29.0 A. At 75 °C (x 0.50) 8 AWG carries 27.5 A and 6 AWG 37.5 A; at
    // 40 °C (x 0.91) 10 AWG carries 36.4 A, but 36.25 A at 30 °C need its 40 A. By hand.
    #[test]
    fn each_cable_is_sized_in_its_own_air() {
        let cable = |name: &str, ambient_c: f64| {
            format!(
                "[[component]]\nkind = 'cable'\nname = '{name}'\nawg = 14\ninsulation_c = 90\nambient_c = {ambient_c}\n"
            )
        };
        let needs = strings(5.8, "", 4, &format!("{}{}", cable("inside", 40.0), cable("roof", 75.0)));
        assert!(
            need(&needs, "array cable: inside")
                .remark
                .starts_with("6 mm2 or 10 AWG (90 °C insulation in air of 40 °C")
        );
        assert!(
            need(&needs, "array cable: roof")
                .remark
                .starts_with("16 mm2 or 6 AWG (90 °C insulation in air of 75 °C")
        );
    }

    // 2 x 2 panels of 18.6 V x 5.38 A: 400.3 W over 12 V: 33.4 A, so 35 A; without a working point 0.805 x 22.5 x 5.8 x 4 = 420.2 W,
    // 35.02 A; a pwm controller passes on 1.25 x 11.6 = 14.5 A. By hand.
    #[test]
    fn a_controller_is_told_what_flows_into_the_battery() {
        let of = |label: &str, controller: &str| {
            let array = array(&format!(
                "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\n{label}\n[[string]]\nmodules = 'p'\nin_series = 2\n\
                 in_parallel = 2\nmount = 'roof'\n[battery]\nchemistry = 'lfp'\nnominal_v = 12\n{controller}"
            ));
            charging(&array).unwrap_or(Charging {
                amps: 0.0,
                class_a: None,
                from: String::new(),
                smaller: String::new(),
            })
        };
        let printed = of("vmp_v = 18.6\nimp_a = 5.38", "");
        assert!((printed.amps - 4.0 * 18.6 * 5.38 / 12.0).abs() < 1e-9 && printed.class_a == Some(35.0));
        let told = remarks(&volts(51.1), Some(&printed)).join(" ");
        assert!(told.contains(
                "up to 33.4 A, common class 35 A: a size to buy by, not what flows (400 W over its nominal 12 V"
            ), "{told}");
        // 59.0 V of worst case leave 1.67 % of 60 V, and never more is printed than there is
        let told = remarks(&volts(59.0), None).join(" ");
        assert!(told.contains("60 V would leave 1.6 % only"), "{told}");
        let guessed = of("", "");
        assert!((guessed.amps - 35.02).abs() < 0.01 && guessed.class_a == Some(40.0), "{guessed:?}");
        assert!(guessed.from.contains("a high guess"));
        let pwm = of("", "[[component]]\nkind = 'controller'\ntype = 'pwm'\nmax_v = 60\n");
        assert!((pwm.amps - 14.5).abs() < 1e-9 && pwm.class_a == Some(15.0));
    }
}
