//! The classes in which components are commonly sold, and what each component of an array needs of them. Generic: common
//! practice, no source, unless a line says otherwise; shown, never a limit to pass by.

mod cable_rows;
mod charging;

pub(super) use charging::{Charging, charging};

use crate::array::{Array, Carries, Component, ComponentKind, StringGroup};
use crate::assumptions::{Assumptions, Rules};
use crate::limits::Verdict;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::mistakes::{MADE_TO_BREAK_DC, is_name_of_a_system};
use crate::limits::poles;
use crate::limits::rules::behind::IEC;
use crate::limits::rules::fuse::{COMMON_FUSES_A, StringFuses, string_fuses, window as fuse_window};
use crate::study::cables::{self, Device};
use crate::study::needed::{Class, VoltsNeeded};
use crate::study::planned::{self, Planned};
use crate::study::results::LimitLine;
use crate::study::trunk;
use crate::units::{at_least, spare};
use cable_rows::{CableRow, cable_rows, too_thin, unprotected};
use serde::Serialize;

/// Volts of dc devices and controllers.
const DEVICE_V: [f64; 11] = [48.0, 50.0, 60.0, 75.0, 100.0, 125.0, 150.0, 250.0, 500.0, 600.0, 1000.0];
/// The row of the fuses that strings need, one in each.
const STRING_FUSE: &str = "string fuse";
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
const CONNECTOR_A: [f64; 3] = [17.0, 22.0, MOST_OF_PLUGS_A];
/// The most of them.
pub(super) const MOST_OF_PLUGS_A: f64 = 30.0;

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
    /// The size of a cable to take, by each of the rules that the plan may mean, or with the rule by which alone it holds; null for
    /// other components, and where none does.
    pub size: Option<String>,
    /// Whether the plan has such a part, and whether it wants one.
    pub in_plan: Planned,
    /// What else it asks for.
    pub remark: String,
}

/// The class of disconnects and controllers that holds what is needed.
pub(super) fn device_class(needed: &VoltsNeeded) -> Class {
    needed.class(&DEVICE_V)
}

/// Whether a kind is sold in the classes of dc devices; plugs, cables and string fuses have classes of their own.
pub(super) fn is_dc_device(kind: &str) -> bool {
    matches!(kind, "disconnect" | "breaker" | "switch" | "controller")
}

/// Whether a limit is that of something that one can buy in a larger class, not of the panels or of those who touch them.
pub(super) fn is_sold(line: &LimitLine) -> bool {
    !matches!(line.kind.as_str(), "module" | "touch")
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
pub(super) fn next_class_a(kind: &str, amps: f64, rules: Rules) -> Option<f64> {
    match kind {
        "breaker" => next_breaker_a(amps, rules),
        "disconnect" | "switch" => next(&SWITCH_A, amps),
        "controller" => next(&CONTROLLER_A, amps),
        "connector" => next(&CONNECTOR_A, amps),
        "fuse" => next(&COMMON_FUSES_A, amps),
        _ => None,
    }
}

/// The next common class of a breaker or array fuse, A, in the series of the rules that the plan names; of a plan that names none
/// the smaller of both, since the cable must stand behind it.
fn next_breaker_a(amps: f64, rules: Rules) -> Option<f64> {
    let (nec, iec) = (next(&BREAKER_NEC_A, amps), next(&SWITCH_A, amps));
    match rules {
        Rules::All => [nec, iec].into_iter().flatten().reduce(f64::min),
        Rules::Nec2023 => nec,
        Rules::Iec | Rules::AsNzs => iec,
    }
}

/// "60 A (NEC 240.6(A)) or 63 A (IEC 60059)" for a breaker, where the two series differ and the plan names no rules.
fn both_series(amps: f64, rules: Rules) -> Option<String> {
    if rules != Rules::All {
        return None;
    }
    let (nec, iec) = (next(&BREAKER_NEC_A, amps)?, next(&SWITCH_A, amps)?);
    (nec != iec).then(|| format!("{nec} A (NEC 240.6(A)) or {iec} A (IEC 60059)"))
}

/// The breaker or fuse of the whole array in both series, as far as some cable may stand behind it by the rule of its series; `None`
/// where a cable may by none.
pub(super) fn series_with_a_cable(array: &Array, device: Device, rules: Rules) -> Option<String> {
    let is_carried = |rules: Rules| cables::is_carried(array, Carries::Array, device, rules);
    if rules != Rules::All {
        return is_carried(rules).then(String::new);
    }
    match (is_carried(Rules::Nec2023), is_carried(Rules::Iec)) {
        (true, true) => Some(both_series(array.label_isc_a() * CONTINUOUS_FACTOR, rules).unwrap_or_default()),
        (true, false) => Some(format!(
            "{} A (NEC 240.6(A)); {} A by {IEC} only with {}",
            device.nec_a,
            device.iec_a,
            cables::THICKER
        )),
        (false, _) => None,
    }
}

/// The next common class of amps in words: of a breaker both series, where they differ.
pub(super) fn next_class_a_words(kind: &str, amps: f64, rules: Rules) -> Option<String> {
    let class = next_class_a(kind, amps, rules)?;
    let both = if kind == "breaker" { both_series(amps, rules) } else { None };
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
            size: None,
            in_plan,
            remark: joined(&[condition, planned::condition(in_plan, component).to_owned(), remark]),
        }
    };
    let (circuit_a, continuous_a) = (isc_a * CIRCUIT_FACTOR, isc_a * CONTINUOUS_FACTOR);
    let plug_a = string_isc_a * CIRCUIT_FACTOR;
    let mut needs =
        vec![of("connector of a string", &WIRING_V, plug_a, next(&CONNECTOR_A, plug_a), String::new())];
    if array.strings() > 1 {
        let class_a = next(&CONNECTOR_A, circuit_a);
        needs.push(of(
            "connector of the array",
            &WIRING_V,
            circuit_a,
            class_a,
            trunk::too_much_for_plugs(array),
        ));
    }
    let mut string_fuse = None;
    if let StringFuses::Needed { window, label_a, .. } = string_fuses(array) {
        string_fuse = window.common_a;
        let remark = match window.common_a {
            Some(fuse_a) => joined(&[
                format!("one in each string, at most the label's {label_a} A"),
                too_thin(array, Carries::String, Device::of_plan(fuse_a), rules),
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
    let mut breaker = breaker(array, continuous_a, rules);
    breaker.1 = joined(&[unprotected(array, rules), breaker.1]);
    let cable = |row: CableRow, amps: f64| ComponentNeed {
        size: row.size,
        ..of(&row.name, &WIRING_V, amps, None, row.remark)
    };
    for row in cable_rows(array, Carries::String, string_fuse.map(Device::of_plan), rules) {
        needs.push(cable(row, string_isc_a * CONTINUOUS_FACTOR));
    }
    for row in cable_rows(array, Carries::Array, array_device(array, rules), rules) {
        needs.push(cable(row, continuous_a));
    }
    let conductors = match poles::conductors_needed(assumptions.array_earthed) {
        1 => "opens 1 conductor".to_owned(),
        several => format!("opens {several} conductors at once"),
    };
    let disconnect = |name: &str, carries: Carries, amps: f64, which: &str| {
        let class_a = next(&SWITCH_A, amps);
        let plain = match label_cap_a(array, carries) {
            Some(cap) if has_above(array, cap) => {
                format!("as a plain switch: above the label's {cap} A it protects no panel")
            }
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

/// Whether the plan has a disconnect above the panel's largest series fuse.
fn has_above(array: &Array, cap: f64) -> bool {
    array.components.iter().any(|part| {
        matches!(part.kind, ComponentKind::Disconnect(_)) && part.rated_a.is_some_and(|amps| amps.0 > cap)
    })
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

/// The fuse or breaker of the whole array that is advised, in both series; `None` where none is.
pub(super) fn array_device(array: &Array, rules: Rules) -> Option<Device> {
    let continuous_a = array.label_isc_a() * CONTINUOUS_FACTOR;
    let class_a = next_breaker_a(continuous_a, rules)?;
    match label_cap_a(array, Carries::Array).filter(|&cap| class_a > cap) {
        Some(cap) => fuse_below(continuous_a, cap).map(Device::of_plan),
        None => Some(Device {
            nec_a: next(&BREAKER_NEC_A, continuous_a).unwrap_or(class_a),
            iec_a: next(&SWITCH_A, continuous_a).unwrap_or(class_a),
        }),
    }
}

/// A common fuse that carries so many amps and is no larger than a label allows.
fn fuse_below(continuous_a: f64, cap_a: f64) -> Option<f64> {
    COMMON_FUSES_A.into_iter().find(|&fuse| fuse >= continuous_a - 1e-9 && fuse <= cap_a)
}

/// The class of a breaker or fuse of the whole array, and what it asks of label and cable.
fn breaker(array: &Array, continuous_a: f64, rules: Rules) -> (Option<f64>, String) {
    let class = next_breaker_a(continuous_a, rules);
    let Some(class_a) = class else {
        return (None, "more than common breakers carry: split the array".into());
    };
    match label_cap_a(array, Carries::Array) {
        Some(cap) if class_a > cap => match fuse_below(continuous_a, cap) {
            Some(fuse_a) => (
                Some(fuse_a),
                joined(&[
                    format!("a fuse: at most the label's {cap} A"),
                    too_thin(array, Carries::Array, Device::of_plan(fuse_a), rules),
                ]),
            ),
            None => (None, no_breaker_fits(array, cap)),
        },
        cap => {
            let silent = cap.is_none() && array.strings() == 1;
            let label =
                if silent { "at most the label's largest series fuse: give max_series_fuse_a" } else { "" };
            let device = array_device(array, rules).unwrap_or(Device::of_plan(class_a));
            let Some(series) = series_with_a_cable(array, device, rules) else {
                let remark = format!(
                    "no cable up to {} may stand behind one of {}: take {}",
                    cables::THICKEST,
                    device.words(rules),
                    cables::THICKER
                );
                return (None, remark);
            };
            let thin = too_thin(array, Carries::Array, device, rules);
            (Some(class_a), joined(&[series, label.to_owned(), thin]))
        }
    }
}

/// That no breaker or fuse of an only string lies between what it carries and the label; of one that the plan has above the label what
/// it is then, so that nobody exchanges it.
fn no_breaker_fits(array: &Array, cap: f64) -> String {
    let above = array.components.iter().find_map(|part| {
        let rated = part.rated_a.filter(|_| matches!(part.kind, ComponentKind::Breaker(_)))?;
        (rated.0 > cap).then_some(rated.0)
    });
    match above {
        Some(rated) => format!(
            "as a switch: {rated} A are above the label's {cap} A, so it protects no panel, and one string needs no protection"
        ),
        None => format!("none fits below the label's {cap} A; one string needs none: a plain switch does"),
    }
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
mod tests;
