//! From label to figure, step by step.

use crate::hourly::{ReadyGroup, Spot};
use crate::limits::DecidedBy;
use crate::limits::voltage::ALLOWANCE_K;
use crate::study::figures::{FULL_SUN_W_M2, highest, without_tolerance};
use crate::study::lines::ArrayAt;
use crate::study::results::Step;
use crate::units::{Celsius, Volts};

/// The steps of the figure that decides.
#[must_use]
pub fn from_label(at: &ArrayAt<'_>, figure: f64, by: DecidedBy) -> Vec<Step> {
    let mut steps = vec![of_label(at.groups)];
    if by == DecidedBy::Code {
        let air = at.figures.voltage.code_temperature_c.unwrap_or(0.0);
        steps.push(step(
            "cold",
            figure,
            format!(
                "the code sum: full sun on cells at {air:.1} °C ({})",
                at.figures.voltage.code_temperature_from
            ),
        ));
        return steps;
    }
    let Some(peak) = at.seen.peak.worst_case else { return steps };
    steps.extend(of_spot(at.groups, peak.spot));
    steps.extend(beyond_the_hour(at, figure, by));
    steps
}

/// The steps of the worst case at one moment, behind the label.
#[must_use]
pub fn of_spot(groups: &[ReadyGroup<'_>], spot: Spot) -> Vec<Step> {
    let mut steps = Vec::new();
    // The group that made the peak: the one whose worst curve gives it.
    let Some(ready) = groups.iter().min_by(|a, b| {
        miss(a, spot.irradiance_w_m2, spot.cell_c, spot.volts).total_cmp(&miss(
            b,
            spot.irradiance_w_m2,
            spot.cell_c,
            spot.volts,
        ))
    }) else {
        return steps;
    };
    let plain = without_tolerance(ready);
    let air = Celsius(spot.cell_c + ready.sky_cooling_k);
    let volts = |curve: &crate::module::StringCurve, light: f64, cell: Celsius| {
        curve.volts(light, cell).map_or(0.0, |volts| volts.0)
    };
    steps.push(step(
        "cold",
        volts(&plain, FULL_SUN_W_M2, air),
        format!("cells at the bound's air temperature, {air}, in full sun"),
    ));
    steps.push(step(
        "light",
        volts(&plain, spot.irradiance_w_m2, air),
        format!("{:.0} W/m2 on the panel instead of 1000", spot.irradiance_w_m2),
    ));
    let tolerance = ready.group.modules.iter().map(|label| label.tolerance).fold(0.0, f64::max);
    steps.push(step(
        "tolerance",
        volts(&ready.worst, spot.irradiance_w_m2, air),
        format!("a panel {:.0} % above its label", tolerance * 100.0),
    ));
    steps.push(step(
        "cooling",
        spot.volts,
        format!("cells {:.0} K below the air after a clear night", ready.sky_cooling_k),
    ));
    steps
}

/// What is added to the worst hour where more than that hour decides.
#[must_use]
pub fn beyond_the_hour(at: &ArrayAt<'_>, figure: f64, by: DecidedBy) -> Option<Step> {
    match by {
        DecidedBy::Level => Some(step(
            "level",
            figure,
            format!(
                "what the next season passes with a chance of 1 in {:.0}, from {} complete seasons",
                at.assumptions.return_years, at.figures.complete
            ),
        )),
        DecidedBy::Allowance => Some(step(
            "allowance",
            figure,
            format!(
                "raised by the volts of {ALLOWANCE_K:.0} K colder air, because the record is short or typical"
            ),
        )),
        DecidedBy::Code | DecidedBy::Seen | DecidedBy::Rule => None,
    }
}

/// The first step: the label.
#[must_use]
pub fn of_label(groups: &[ReadyGroup<'_>]) -> Step {
    let volts =
        highest(groups, |ready| Some(Volts(ready.group.modules.iter().map(|label| label.voc.0).sum())));
    step("label", volts.unwrap_or(0.0), "label volts at 1000 W/m2 and 25 °C, summed over the string".into())
}

fn miss(ready: &ReadyGroup<'_>, light: f64, cell_c: f64, volts: f64) -> f64 {
    ready.worst.volts(light, Celsius(cell_c)).map_or(f64::INFINITY, |found| (found.0 - volts).abs())
}

fn step(what: &str, volts: f64, text: String) -> Step {
    Step { what: what.into(), value: volts, unit: "V".into(), text }
}
