//! The classes in which components are commonly sold, and what each component of an array needs of them. Generic: common
//! practice, no source, unless a line says otherwise; shown, never a limit to pass by.

use crate::array::{Array, Carries, ComponentKind, Conductor};
use crate::limits::Verdict;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::poles;
use crate::limits::rules::ampacity;
use crate::limits::rules::fuse::{COMMON_FUSES_A, StringFuses, string_fuses};
use serde::Serialize;

/// Volts of dc devices and controllers.
const DEVICE_V: [f64; 11] = [48.0, 50.0, 60.0, 75.0, 100.0, 125.0, 150.0, 250.0, 500.0, 600.0, 1000.0];
/// Volts of plugs, solar cables and string fuses.
const WIRING_V: [f64; 3] = [600.0, 1000.0, 1500.0];
/// Amps of disconnects, breakers and switches: preferred currents of switchgear (IEC 60059, from memory).
const SWITCH_A: [f64; 14] =
    [6.0, 10.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0];
/// Largest array currents of charge controllers.
const CONTROLLER_A: [f64; 12] = [10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 85.0, 100.0];
/// Amps of plug connectors with cables of 1.5, 2.5 and 4 to 6 mm2 (read in a data sheet).
const CONNECTOR_A: [f64; 3] = [17.0, 22.0, 30.0];
/// Sizes in which cables are sold, mm2 and the gauge that stands for it; those whose ampacity was read.
const CABLES: [(f64, u32); 6] = [(2.5, 14), (4.0, 12), (6.0, 10), (10.0, 8), (16.0, 6), (25.0, 4)];
/// Insulation of solar cables and air under panels on a roof, C, where the plan names no cable.
const USUAL_CABLE_C: (f64, f64) = (90.0, 65.0);

/// The row of the cable that carries the whole array.
pub(super) const ARRAY_CABLE: &str = "array cable";
/// The row of the fuses of strings that need them.
pub(super) const STRING_FUSE: &str = "string fuse";

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
    /// What else it asks for.
    pub remark: String,
}

/// The next common class of disconnects and controllers that holds `volts`.
#[must_use]
pub fn next_class_v(volts: f64) -> Option<f64> {
    next(&DEVICE_V, volts)
}

/// The next common class of amps of a kind of component; `None` for a cable, and where none is that large.
pub(super) fn next_class_a(kind: &str, amps: f64) -> Option<f64> {
    match kind {
        "disconnect" | "breaker" | "switch" => next(&SWITCH_A, amps),
        "controller" => next(&CONTROLLER_A, amps),
        "connector" => next(&CONNECTOR_A, amps),
        "fuse" => next(&COMMON_FUSES_A, amps),
        _ => None,
    }
}

/// All classes of disconnects and controllers, V, smallest first.
pub(super) fn device_classes_v() -> impl Iterator<Item = f64> {
    DEVICE_V.into_iter()
}

fn next(classes: &[f64], least: f64) -> Option<f64> {
    // products of label amps carry rounding in their last digit
    classes.iter().copied().find(|&class| class >= least - 1e-9)
}

/// What every component of an array needs, in the order of the current. `volts`: the largest figure of all.
#[must_use]
pub fn component_needs(array: &Array, volts: Option<f64>, array_earthed: bool) -> Vec<ComponentNeed> {
    let isc_a = array.label_isc_a();
    let string_isc_a = array.carried_isc_a(Carries::String);
    let of = |component: &str, volt_classes: &[f64], amps: f64, amp_classes: &[f64], remark: String| {
        ComponentNeed {
            component: component.to_owned(),
            volts,
            next_class_v: volts.and_then(|volts| next(volt_classes, volts)),
            amps,
            next_class_a: next(amp_classes, amps),
            remark,
        }
    };
    let (circuit_a, continuous_a) = (isc_a * CIRCUIT_FACTOR, isc_a * CONTINUOUS_FACTOR);
    let mut needs = vec![of(
        "connector of a string",
        &WIRING_V,
        string_isc_a * CIRCUIT_FACTOR,
        &CONNECTOR_A,
        String::new(),
    )];
    if array.strings() > 1 {
        let split = if circuit_a > 30.0 { "more than common plugs carry: split the array" } else { "" };
        needs.push(of("connector of the array", &WIRING_V, circuit_a, &CONNECTOR_A, split.into()));
    }
    if let StringFuses::Needed { window, label_a, .. } = string_fuses(array) {
        let remark = match window.common_a {
            Some(_) => format!("one in each string, at most the label's {label_a} A"),
            None => format!("none fits below the label's {label_a} A: fewer strings in parallel"),
        };
        let need = of(STRING_FUSE, &WIRING_V, window.least_a, &COMMON_FUSES_A, remark);
        needs.push(ComponentNeed { next_class_a: window.common_a, ..need });
    }
    needs.push(of(ARRAY_CABLE, &WIRING_V, continuous_a, &[], cable_remark(array, isc_a)));
    let conductors = match poles::conductors_needed(array_earthed) {
        1 => "opens 1 conductor".to_owned(),
        several => format!("opens {several} conductors at once"),
    };
    needs.push(of("disconnect", &DEVICE_V, continuous_a, &SWITCH_A, conductors));
    needs.push(of("breaker or array fuse", &DEVICE_V, continuous_a, &SWITCH_A, String::new()));
    needs.push(of(
        "controller",
        &DEVICE_V,
        circuit_a,
        &CONTROLLER_A,
        "largest array short-circuit current".into(),
    ));
    needs
}

/// The smallest size that holds where the plan's array cable runs, or on a usual roof.
fn cable_remark(array: &Array, isc_a: f64) -> String {
    let planned = array.components.iter().find_map(|component| match component.kind {
        ComponentKind::Cable { insulation_c, ambient_c, .. } if component.carries == Carries::Array => {
            Some((insulation_c, ambient_c))
        }
        _ => None,
    });
    let (insulation_c, air_c) = planned.unwrap_or(USUAL_CABLE_C);
    let holds = |gauge: u32| {
        let judged = ampacity::judge(Conductor::Awg(gauge), insulation_c, air_c, isc_a);
        judged.verdict == Verdict::Within
    };
    let whence = if planned.is_some() { "as in the plan" } else { "taken as usual on a roof" };
    let conditions = format!("{insulation_c:.0} °C insulation in air of {air_c:.0} °C, {whence}");
    match CABLES.into_iter().find(|&(_, gauge)| holds(gauge)) {
        Some((mm2, gauge)) => format!("{mm2} mm2 or {gauge} AWG ({conditions})"),
        None => format!("more than 25 mm2 or 4 AWG ({conditions})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::{PANEL, array};

    fn need(needs: &[ComponentNeed], name: &str) -> ComponentNeed {
        needs.iter().find(|need| need.component == name).cloned().unwrap_or_else(|| ComponentNeed {
            component: "missing".into(),
            volts: None,
            next_class_v: None,
            amps: 0.0,
            next_class_a: None,
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
        let needs = component_needs(&four, Some(51.1), false);
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
        assert!(need(&needs, "array cable").remark.starts_with("10 mm2 or 8 AWG"));
        assert!(need(&needs, "disconnect").remark.contains("2 conductors"));
    }

    #[test]
    fn one_string_needs_no_fuse_and_too_many_amps_no_plug() {
        let one = array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n"));
        let needs = component_needs(&one, None, true);
        assert_eq!(need(&needs, "string fuse").component, "missing");
        assert_eq!(need(&needs, "controller").next_class_v, None);
        assert!(need(&needs, "disconnect").remark.contains("1 conductor"));
        let six = array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 6\nmount = 'roof'\n"
        ));
        // 1.25 x 34.8 = 43.5 A
        let trunk = need(&component_needs(&six, Some(26.0), false), "connector of the array");
        assert_eq!(trunk.next_class_a, None);
        assert!(trunk.remark.contains("split the array"));
    }
}
