//! Which controller an arrangement is held against: those of the plan, each alone, or classes of volts that are asked for.

use super::{Component, Volts, low_side};
use crate::array::{Array, Carries, ComponentKind, ControllerType};
use crate::note::{Note, NoteKind};

/// Margins of a controller that the plan does not describe: common practice, no source.
pub(super) const START_ABOVE_BATTERY: Volts = Volts(low_side::START_ABOVE_BATTERY_V);
pub(super) const RUN_ABOVE_BATTERY: Volts = Volts(low_side::RUN_ABOVE_BATTERY_V);

/// The components of an array with one controller among them.
#[derive(Clone)]
pub(super) struct Fitting {
    pub(super) components: Vec<Component>,
    /// Its name, where the plan has it as it is.
    pub(super) controller: Option<String>,
}

impl Fitting {
    /// All components of the plan together, as `assess` judges them.
    pub(super) fn as_planned(array: &Array) -> Self {
        let mut own = array.components.iter().filter(|part| is_controller(part));
        let only = own.next().filter(|_| own.next().is_none());
        Self { components: array.components.clone(), controller: only.map(|part| part.name.clone()) }
    }

    /// The array on the controller at a place in its list, the others taken away: one array has one, and who plans several is
    /// choosing.
    fn on(array: &Array, at: usize) -> Self {
        let parts = array.components.iter().enumerate();
        let kept = parts.filter(|(index, part)| *index == at || !is_controller(part));
        Self {
            components: kept.map(|(_, part)| part.clone()).collect(),
            controller: array.components.get(at).map(|part| part.name.clone()),
        }
    }

    /// Of another class than any of the plan's: an only one with its volts exchanged, its amps kept; else volts alone.
    fn of_class(array: &Array, own: &[usize], class_v: f64) -> Self {
        if let [at] = own {
            let mut fitting = Self::on(array, *at);
            for part in &mut fitting.components {
                if let ComponentKind::Controller { max_operating, .. } = &mut part.kind {
                    *max_operating = None;
                    part.max_v = Some(Volts(class_v));
                }
            }
            return Self { controller: None, ..fitting };
        }
        let others = array.components.iter().filter(|part| !is_controller(part)).cloned();
        Self { components: others.chain([bare(array, class_v)]).collect(), controller: None }
    }
}

/// The controllers to hold the arrangements against: without classes each of the plan's; of a class those of the plan that have
/// its volts, or one of which nothing but the volts is known.
pub(super) fn fittings(array: &Array, classes_v: &[f64]) -> Vec<Fitting> {
    let parts = || array.components.iter().enumerate();
    let own: Vec<usize> = parts().filter(|(_, part)| is_controller(part)).map(|(at, _)| at).collect();
    let each = |which: &[usize]| which.iter().map(|&at| Fitting::on(array, at)).collect::<Vec<_>>();
    if classes_v.is_empty() {
        return if own.is_empty() { vec![Fitting::as_planned(array)] } else { each(&own) };
    }
    let of_class = |&class_v: &f64| {
        let has = |(_, part): &(usize, &Component)| controller_v(part) == Some(class_v);
        let same: Vec<usize> = parts().filter(has).map(|(at, _)| at).collect();
        if same.is_empty() { vec![Fitting::of_class(array, &own, class_v)] } else { each(&same) }
    };
    classes_v.iter().flat_map(of_class).collect()
}

/// What is not known of a class that no controller of the plan has.
pub(super) fn classes_unlike_the_plan(array: &Array, classes_v: &[f64]) -> Option<Note> {
    let own: Vec<&Component> = array.components.iter().filter(|part| is_controller(part)).collect();
    let unlike: Vec<String> = classes_v
        .iter()
        .filter(|&&class_v| own.iter().all(|part| controller_v(part) != Some(class_v)))
        .map(ToString::to_string)
        .collect();
    if unlike.is_empty() {
        return None;
    }
    let classes = format!("{} V", unlike.join(", "));
    let text = match own.as_slice() {
        [one] => match controller_a(one) {
            Some(amps) => format!(
                "controller of {classes}: held against the amps of {} ({amps} A of short circuit), the plan's only one; a \
                 controller of that class as a [[component]] with its own max_isc_a is held against those",
                one.name
            ),
            None => not_judged(&classes),
        },
        _ => not_judged(&classes),
    };
    Some(Note::once(NoteKind::Assumed, text))
}

fn not_judged(classes: &str) -> String {
    format!("controller of {classes}: amps are not judged until it stands in the plan as a [[component]]")
}

/// A controller of which nothing but the volts is known. Type and margins are those that all of the plan share, else the usual.
fn bare(array: &Array, class_v: f64) -> Component {
    let mut kinds = array.components.iter().filter_map(|part| match part.kind {
        ComponentKind::Controller { start_above_battery, run_above_battery, kind, .. } => {
            Some((start_above_battery, run_above_battery, kind))
        }
        _ => None,
    });
    let usual = (START_ABOVE_BATTERY, RUN_ABOVE_BATTERY, ControllerType::Mppt);
    let first = kinds.next().unwrap_or(usual);
    let (start_above_battery, run_above_battery, kind) =
        if kinds.all(|other| other == first) { first } else { usual };
    Component {
        name: format!("controller of {class_v} V"),
        kind: ComponentKind::Controller {
            max_operating: None,
            max_isc: None,
            max_charge: None,
            start_above_battery,
            run_above_battery,
            kind,
        },
        carries: Carries::Array,
        max_v: Some(Volts(class_v)),
        rated_a: None,
    }
}

fn is_controller(part: &Component) -> bool {
    matches!(part.kind, ComponentKind::Controller { .. })
}

/// The largest volts of a controller.
pub(super) fn controller_v(part: &Component) -> Option<f64> {
    part.max_v.filter(|_| is_controller(part)).map(|volts| volts.0)
}

/// The largest short-circuit amps of a controller.
pub(super) fn controller_a(part: &Component) -> Option<f64> {
    match part.kind {
        ComponentKind::Controller { max_isc, .. } => max_isc.map(|amps| amps.0),
        _ => None,
    }
}
