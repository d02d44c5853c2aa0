//! Ratings that a plan does not give, so that nothing could be held against them: no limits, but rows for a reader to see.

use crate::array::{Array, Component, ComponentKind};
use crate::limits::current::{self, CIRCUIT_FACTOR, CONTINUOUS_FACTOR};

/// A rating that a component lacks in the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct NotGiven {
    /// The component's name.
    pub component: String,
    /// Its kind.
    pub kind: String,
    /// The plan's key for it.
    pub key: &'static str,
    /// V or A.
    pub unit: &'static str,
    /// What it has to stand; `None` where no temperature is known.
    pub least: Option<f64>,
}

/// What the components of an array lack, in the order of the plan; `volts`: the largest figure of all. The volts of switches
/// and controllers are no part of it: a rule of their own asks for them.
#[must_use]
pub(super) fn not_given(array: &Array, volts: Option<f64>) -> Vec<NotGiven> {
    array.components.iter().flat_map(|component| of(component, array, volts)).collect()
}

fn of(component: &Component, array: &Array, volts: Option<f64>) -> Vec<NotGiven> {
    let isc_a = array.carried_isc_a(component.carries);
    let lacks = |key, unit, least| NotGiven {
        component: component.name.clone(),
        kind: component.kind.word().to_owned(),
        key,
        unit,
        least,
    };
    let mut out = Vec::new();
    match &component.kind {
        ComponentKind::Controller { max_isc: None, .. } => {
            out.push(lacks("max_isc_a", "A", Some(isc_a * CIRCUIT_FACTOR)));
        }
        ComponentKind::Cable { .. } => {
            let key = component.cable_lacks();
            out.extend(key.map(|key| lacks(key, "A", Some(isc_a * CONTINUOUS_FACTOR))));
        }
        ComponentKind::Controller { .. } => {}
        _ if component.rated_a.is_none() => {
            let asked = current::demand(component).map(|demand| demand.factor * isc_a);
            out.extend(asked.map(|amps| lacks("rated_a", "A", Some(amps))));
        }
        _ => {}
    }
    let silent = matches!(
        component.kind,
        ComponentKind::Connector | ComponentKind::Cable { .. } | ComponentKind::Fuse
    );
    if silent && component.max_v.is_none() {
        out.push(lacks("max_v", "V", volts));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::two_in_series;

    /// By hand: 1.25 x 5.8 A = 7.25 A for a controller and a plug, 1.5625 x 5.8 A = 9.0625 A for a disconnect and a cable (NEC 690.8).
    #[test]
    fn what_a_plan_lacks_stands_with_what_it_must_be() {
        let array = two_in_series(
            "[[component]]\nkind = 'disconnect'\nmax_v = 150\n[[component]]\nkind = 'controller'\nmax_v = 100\n\
             [[component]]\nkind = 'connector'\nmax_v = 600\n[[component]]\nkind = 'fuse'\nrated_a = 10\n\
             [[component]]\nkind = 'cable'\nmm2 = 4\nambient_c = 65\nmax_v = 600\n",
        );
        let rows: Vec<_> =
            not_given(&array, Some(50.0)).into_iter().map(|row| (row.kind, row.key, row.least)).collect();
        let expected = [
            ("disconnect".to_owned(), "rated_a", Some(9.0625)),
            ("controller".to_owned(), "max_isc_a", Some(7.25)),
            ("connector".to_owned(), "rated_a", Some(7.25)),
            ("fuse".to_owned(), "max_v", Some(50.0)),
            ("cable".to_owned(), "insulation_c", Some(9.0625)),
        ];
        assert_eq!(rows, expected);
    }
}
