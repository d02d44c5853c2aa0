//! What is worth knowing about an array and is never a limit: touch-voltage classes, the band in which a controller
//! waits, whether strings need fuses.

use crate::array::{Array, ComponentKind, ControllerType};
use crate::hourly::{ByVoltage, Over};
use crate::limits::current::CIRCUIT_FACTOR;
use crate::limits::rules::fuse::{self, StringFuses};
use crate::limits::rules::touch::{DRY_V, EXTRA_LOW_V, TouchClass, WET_V};
use crate::study::lines::ArrayAt;
use crate::study::often::{often, steady_hours};
use crate::study::results::{Information, Touch};
use crate::study::words::tidy;
use crate::units::at_least;

/// Touch voltages over which steady hours are counted, V.
pub const TOUCH_V: [f64; 3] = [WET_V, DRY_V, EXTRA_LOW_V];

/// Voltages over which the fold counts hours for information, behind those of the limits: the operating limit of each
/// controller that has one.
pub fn thresholds(array: &Array) -> impl Iterator<Item = f64> {
    operating_limits(array).map(|(_, volts, _)| volts)
}

/// Name, operating limit and absolute limit of the controllers that have an operating one.
fn operating_limits(array: &Array) -> impl Iterator<Item = (&str, f64, Option<f64>)> {
    array.components.iter().filter_map(|component| match &component.kind {
        ComponentKind::Controller { max_operating: Some(volts), .. } => {
            Some((component.name.as_str(), volts.0, component.max_v.map(|volts| volts.0)))
        }
        _ => None,
    })
}

/// The class of touch voltage by the largest figure of all.
#[must_use]
pub fn touch(at: &ArrayAt<'_>) -> Touch {
    // Where neither light nor a code temperature is known, the window's own sum, else the label: never less than it.
    let label: f64 = at
        .groups
        .iter()
        .map(|ready| ready.group.modules.iter().map(|label| label.voc.0).sum())
        .fold(0.0, f64::max);
    let known = at.figures.decide.largest().map(|(volts, _)| volts).or(at.figures.voltage.window_code);
    let class = TouchClass::of(known.unwrap_or(label).max(label));
    let hours = |index: usize| {
        let over = at.seen.steady_over.get(index).filter(|_| !at.dated)?;
        steady_hours(at.blocks?, at.seen, over)
    };
    Touch {
        class: class.word().into(),
        meaning: class.meaning().into(),
        hours_per_year_above_30_v: hours(0),
        hours_per_year_above_60_v: hours(1),
        hours_per_year_above_120_v: hours(2),
    }
}

fn hours(at: &ArrayAt<'_>, over: &Over) -> Option<ByVoltage<f64>> {
    Some(often(at.blocks?, at.seen, over)?.hours)
}

/// The remarks of one array at one stop. `limits` is how many of `seen.over` belong to limits.
#[must_use]
pub fn lines(at: &ArrayAt<'_>, array: &Array, limits: usize) -> Vec<Information> {
    let mut lines = Vec::new();
    for (index, (name, operating_v, absolute)) in operating_limits(array).enumerate() {
        let hours = at.seen.over.get(limits + index).and_then(|over| hours(at, over));
        lines.push(Information {
            component: name.into(),
            what: "waiting band".into(),
            text: waiting(at, operating_v, absolute, hours.as_ref()),
            hours_per_year: hours,
        });
    }
    for component in &array.components {
        if let ComponentKind::Controller { max_charge: Some(amps), kind, .. } = &component.kind {
            lines.push(Information {
                component: component.name.clone(),
                what: "largest charge current".into(),
                text: match kind {
                    ControllerType::Mppt => charging(array, amps.0),
                    ControllerType::Pwm => passed_on(array, amps.0),
                },
                hours_per_year: None,
            });
        }
    }
    let fuses = fuse::string_fuses(array);
    if fuses != StringFuses::OneString {
        lines.push(Information {
            component: "strings".into(),
            what: "string fuses".into(),
            text: fuses.in_words(at.assumptions.rules),
            hours_per_year: None,
        });
    }
    lines
}

/// A pwm controller limits no current.
fn passed_on(array: &Array, amps: f64) -> String {
    let most_a = array.label_isc_a() * CIRCUIT_FACTOR;
    let judged =
        if most_a > amps { "more than it is made for, and it does not clip" } else { "which it is made for" };
    format!(
        "{amps} A; a pwm controller passes the array's own current on, up to {:.1} A (1.25 x the short-circuit current): {judged} \
         (common practice, no source)",
        at_least(most_a)
    )
}

/// What a controller's largest charge current means for the array: lost harvest, never a limit.
fn charging(array: &Array, amps: f64) -> String {
    let Some(battery) = &array.battery else {
        return format!(
            "{amps} A: name the battery to see from which power on the controller clips: a loss, no danger"
        );
    };
    let takes_w = amps * battery.charge.0;
    let takes = format!("{amps} A at {:.1} V take {takes_w:.0} W", battery.charge.0);
    match label_w(array) {
        Some(gives_w) if gives_w > takes_w => format!(
            "{takes}, and the labels give {gives_w:.0} W: what an hour gives above the rating is clipped, a loss, no danger"
        ),
        Some(gives_w) => format!("{takes}; the labels' {gives_w:.0} W stay below"),
        None => format!("{takes}; above it the controller clips: a loss, no danger"),
    }
}

/// Label power of an array, W; `None` where a label has no working point.
pub(super) fn label_w(array: &Array) -> Option<f64> {
    array.groups.iter().try_fold(0.0, |sum, group| {
        let mut string_w = 0.0;
        for label in &group.modules {
            string_w += label.vmp?.0 * label.imp?.0;
        }
        Some(sum + string_w * f64::from(group.in_parallel))
    })
}

fn waiting(
    at: &ArrayAt<'_>,
    operating_v: f64,
    absolute: Option<f64>,
    hours: Option<&ByVoltage<f64>>,
) -> String {
    let up_to = absolute.map_or_else(String::new, |volts| format!(" up to its absolute {volts} V"));
    let band = format!("above {operating_v} V{up_to} it waits: unharmed, and it charges nothing");
    match hours {
        Some(hours) => format!(
            "{band}; hours a {}: steady {}, sudden sun {}",
            if at.dated { "stay" } else { "year" },
            tidy(hours.steady),
            tidy(hours.sudden_sun)
        ),
        None => {
            let largest = at.figures.decide.largest().map_or(0.0, |(volts, _)| volts);
            let reached = if largest > operating_v { "reach it" } else { "stay below it" };
            format!("{band}; the largest volts here, {largest:.1} V, {reached}")
        }
    }
}
