//! The amps into the battery that a controller is bought by.

use super::{CONTROLLER_A, next};
use crate::array::{Array, ComponentKind, ControllerType};
use crate::limits::current::CIRCUIT_FACTOR;
use crate::study::results::StopResult;
use crate::study::words::tidy;

/// Amps that flow into the battery at most, where one is named.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::study) struct Charging {
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
///
/// `stops`: where the array was looked at, for what a controller clips there.
pub(in crate::study) fn charging(array: &Array, stops: &[StopResult]) -> Option<Charging> {
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
        clips(array, stops, amps, battery.charge.0 / battery.nominal.0)
    };
    Some(Charging { amps, class_a: next(&CONTROLLER_A, amps), from, smaller })
}

/// The controllers of the plan that take less than the labels can give, so that both figures are not read as a fault.
///
/// `amps` over the nominal volts; `rise` is the charge volts over those: a controller may clip over an empty battery alone.
fn clips(array: &Array, stops: &[StopResult], amps: f64, rise: f64) -> String {
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
            format!("{name} clips at {most} A{when}{}", share(&array.name, name, stops))
        })
        .collect();
    match (planned.is_empty(), small.is_empty()) {
        (_, false) => format!("{}: a loss, no danger", small.join(", ")),
        (true, true) => "a smaller controller clips: a loss, no danger".to_owned(),
        (false, true) => "the planned controller takes it all".to_owned(),
    }
}

/// " (0 % of the modelled harvest)": what a controller clips at the stop where that is most; empty where it is not known.
fn share(array: &str, controller: &str, stops: &[StopResult]) -> String {
    let sides = stops.iter().flat_map(|stop| &stop.arrays).filter(|at| at.name == array);
    let own = sides.filter_map(|at| at.low_side.as_ref()).filter(|low| low.controller == controller);
    own.filter_map(|low| low.above_charge_limit_percent)
        .reduce(f64::max)
        .map_or_else(String::new, |percent| format!(" ({} % of the modelled harvest)", tidy(percent)))
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
