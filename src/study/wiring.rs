//! How an array is wired, for the report's diagram and its commissioning card.

use crate::array::{Array, Battery, Component, ComponentKind, Conductor, Heading, StringGroup, Tilt};
use crate::module::StringCurve;
use crate::study::pictures::{ComponentFacts, ExpectedReading, ExpectedVolts, StringFacts, Wiring};
use crate::units::Celsius;

/// Light of the commissioning card, W/m2: a dull, a bright and a full sun.
const CARD_LIGHT_W_M2: [f64; 3] = [200.0, 500.0, 1000.0];
/// Warmest cell of the card, C, and the step from row to row, K: 25 °C of the label is one of them.
const CARD_WARMEST_C: f64 = 55.0;
const CARD_STEP_K: f64 = 15.0;
/// The card reaches down at least to here, C; without weather it does not know how cold it gets, and goes further.
const CARD_COLD_C: f64 = -5.0;
const CARD_COLD_UNKNOWN_C: f64 = -35.0;

/// The array's wiring, from its plan; `coldest_c` is the lowest air in daylight at any stop.
#[must_use]
pub fn wiring(array: &Array, coldest_c: Option<f64>) -> Wiring {
    let cells = card_cells(coldest_c);
    Wiring {
        strings: array.groups.iter().map(string).collect(),
        components: array.components.iter().map(component).collect(),
        battery: array.battery.as_ref().map(battery),
        expected: array.groups.iter().map(|group| expected(group, &cells)).collect(),
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
            let known =
                [insulation_c.map(|c| format!(", {c:.0} °C")), ambient_c.map(|c| format!(", at {c:.0} °C"))];
            (component.rated_a, Some(size + &known.into_iter().flatten().collect::<String>()))
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

/// Rows of the card, from cold to warm: the lowest is at or below the coldest air in daylight.
fn card_cells(coldest_c: Option<f64>) -> Vec<f64> {
    let lowest = coldest_c.unwrap_or(CARD_COLD_UNKNOWN_C).min(CARD_COLD_C);
    let mut cells = vec![CARD_WARMEST_C];
    while cells.last().is_some_and(|cell| *cell > lowest) {
        cells.push(cells[cells.len() - 1] - CARD_STEP_K);
    }
    cells.reverse();
    cells
}

fn expected(group: &StringGroup, cells: &[f64]) -> ExpectedVolts {
    let curve = StringCurve::central(&group.modules);
    let first = group.modules.first().map_or("", |label| label.id.as_str());
    let string = if group.modules.iter().all(|label| label.id == first) {
        format!("{} x {first}", group.modules.len())
    } else {
        let ids: Vec<&str> = group.modules.iter().map(|label| label.id.as_str()).collect();
        ids.join(" + ")
    };
    let readings = cells.iter().flat_map(|&cell_c| {
        let curve = &curve;
        CARD_LIGHT_W_M2.into_iter().filter_map(move |irradiance_w_m2| {
            let voc_v = curve.volts(irradiance_w_m2, Celsius(cell_c))?.0;
            Some(ExpectedReading { irradiance_w_m2, cell_c, voc_v })
        })
    });
    ExpectedVolts { string, readings: readings.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_card_reaches_below_the_cold_of_the_place_and_stays_short() {
        // What was asked of the card: the lowest row at or below the coldest daylight, one step at most; rows for a box lid.
        for cold in [-62.0, -50.0, -35.1, -24.9, -5.0, 12.0] {
            let cells = card_cells(Some(cold));
            assert!(cells[0] <= cold && cells[0] > cold.min(-5.0) - 15.0, "{cold}: {cells:?}");
            assert!(cells.contains(&25.0) && cells.len() <= 9, "{cold}: {cells:?}");
        }
        assert!(card_cells(None)[0] <= -30.0);
    }
}
