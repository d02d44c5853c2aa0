//! How an array is wired, for the report's diagram and its commissioning card.

use crate::array::{Array, Battery, Component, ComponentKind, Conductor, Heading, StringGroup, Tilt};
use crate::module::StringCurve;
use crate::study::pictures::{ComponentFacts, ExpectedReading, ExpectedVolts, StringFacts, Wiring};
use crate::units::Celsius;

/// Light of the commissioning card, W/m2: a dull, a bright and a full sun.
const CARD_LIGHT_W_M2: [f64; 3] = [200.0, 500.0, 1000.0];
/// Cell temperatures of the card, C.
const CARD_CELLS_C: [f64; 5] = [-10.0, 10.0, 25.0, 40.0, 55.0];

/// The array's wiring, from its plan.
#[must_use]
pub fn wiring(array: &Array) -> Wiring {
    Wiring {
        strings: array.groups.iter().map(string).collect(),
        components: array.components.iter().map(component).collect(),
        battery: array.battery.as_ref().map(battery),
        expected: array.groups.iter().map(expected).collect(),
    }
}

fn string(group: &StringGroup) -> StringFacts {
    StringFacts {
        panels: group.modules.iter().map(|label| label.id.clone()).collect(),
        in_parallel: group.in_parallel,
        mount: format!("{}, {}", group.mount.word(), stance(group)),
        voc_v: group.modules.iter().map(|label| label.voc.0).sum(),
        // The panel with the least current limits a string at work; the bypass diodes let the largest through at
        // short circuit.
        isc_a: group.modules.iter().map(|label| label.isc.0).fold(0.0, f64::max),
    }
}

/// How the panels stand, in two words.
fn stance(group: &StringGroup) -> String {
    match (group.tilt, group.heading) {
        (Tilt::Any, _) => "any tilt".to_owned(),
        (Tilt::Fixed(tilt), _) if tilt.abs() < 0.05 => "flat".to_owned(),
        (Tilt::Fixed(tilt), Heading::Any) => format!("{tilt:.0} deg, any heading"),
        (Tilt::Fixed(tilt), Heading::Fixed(heading)) => format!("{tilt:.0} deg to {heading:.0} deg"),
    }
}

fn component(component: &Component) -> ComponentFacts {
    let (rated_a, detail) = match &component.kind {
        ComponentKind::Controller { max_isc, .. } => (max_isc.or(component.rated_a), None),
        ComponentKind::Cable { conductor, insulation_c, ambient_c } => {
            let size = match conductor {
                Conductor::Mm2(size) => format!("{size} mm2"),
                Conductor::Awg(size) => format!("{size} AWG"),
            };
            (component.rated_a, Some(format!("{size}, {insulation_c:.0} °C, at {ambient_c:.0} °C")))
        }
        _ => (component.rated_a, None),
    };
    ComponentFacts {
        name: component.name.clone(),
        kind: component.kind.word().to_owned(),
        carries: component.carries,
        max_v: component.max_v.map(|volts| volts.0),
        rated_a: rated_a.map(|amps| amps.0),
        poles_opened: component.kind.poles().and_then(|poles| poles.opened),
        detail,
    }
}

fn battery(battery: &Battery) -> String {
    format!("{} V {}, charged at {:.1} V", battery.nominal.0, battery.chemistry.word(), battery.charge.0)
}

fn expected(group: &StringGroup) -> ExpectedVolts {
    let curve = StringCurve::central(&group.modules);
    let first = group.modules.first().map_or("", |label| label.id.as_str());
    let string = if group.modules.iter().all(|label| label.id == first) {
        format!("{} x {first}", group.modules.len())
    } else {
        let ids: Vec<&str> = group.modules.iter().map(|label| label.id.as_str()).collect();
        ids.join(" + ")
    };
    let readings = CARD_CELLS_C.into_iter().flat_map(|cell_c| {
        CARD_LIGHT_W_M2.into_iter().filter_map(move |irradiance_w_m2| {
            let voc_v = curve.volts(irradiance_w_m2, Celsius(cell_c))?.0;
            Some(ExpectedReading { irradiance_w_m2, cell_c, voc_v })
        })
    });
    ExpectedVolts { string, readings: readings.collect() }
}
