//! Whether a reading fits, and what it may mean where it does not.

use super::{Known, Reading, StringMeter, label};
use crate::array::StringGroup;
use crate::module::string_short_circuit;
use crate::plan::Plan;
use crate::units::Celsius;
use serde::Serialize;

/// So many times what is expected is no matter of a wrong count of panels. Chosen: strings of vans differ by less.
const IMPOSSIBLE: f64 = 4.0;

/// Where a reading lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fit {
    /// Inside the spread.
    Fits,
    /// Below it.
    Low,
    /// Above it.
    High,
    /// Too dim to say, or amps contradict the light by which volts would fit.
    NotJudged,
}

/// The label that a good reading supports.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LabelSupport {
    /// Name of the panel in the plan.
    pub module: String,
    /// Its Voc at 1000 W/m2 and 25 C by this reading, V.
    pub voc_v: f64,
    /// How far that may be off, per cent: for `voc_tolerance_percent`.
    pub voc_tolerance_percent: f64,
    /// Whether it says more volts than the label with its tolerance; one that says fewer is no reason to change a plan.
    pub raises: bool,
    /// The two lines for the plan.
    pub plan_lines: String,
}

/// What readings say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadingAnswer {
    /// Volts as read.
    pub read_v: Option<f64>,
    /// Where they lie.
    pub volts: Option<Fit>,
    /// Amps as read.
    pub read_a: Option<f64>,
    /// Where they lie.
    pub amps: Option<Fit>,
    /// The light that the amps stand for on this string, W/m2.
    pub light_by_amps_w_m2: Option<f64>,
    /// The label that the volts support; empty where they support none.
    pub supports: Vec<LabelSupport>,
    /// In words.
    pub sentences: Vec<String>,
}

/// Judges the readings of a string; `None` without one.
pub(super) fn judged(
    plan: &Plan,
    group: &StringGroup,
    string: &StringMeter,
    reading: Reading,
) -> Option<ReadingAnswer> {
    if reading.volts.is_none() && reading.amps.is_none() {
        return None;
    }
    let mut answer = ReadingAnswer {
        read_v: reading.volts,
        volts: None,
        read_a: reading.amps,
        amps: None,
        light_by_amps_w_m2: None,
        supports: Vec::new(),
        sentences: Vec::new(),
    };
    // Amps tell the light. Where they contradict it, that comes first, and no volts fit by such a light.
    let said = reading.amps.map(|amps| amps_of(group, string, amps, &mut answer));
    let contradicted = matches!(answer.amps, Some(Fit::High | Fit::Low));
    if contradicted {
        answer.sentences.extend(said.clone());
    }
    if let Some(volts) = reading.volts {
        let fit = volts_of(group, string, volts, contradicted, &mut answer);
        answer.volts = Some(fit);
        if !contradicted && matches!(fit, Fit::Fits | Fit::High) && is_of_these_panels(group, string, volts) {
            label::supports(plan, group, string, volts, &mut answer);
        }
    }
    if !contradicted {
        answer.sentences.extend(said);
    }
    Some(answer)
}

fn fit(value: f64, range: Option<[f64; 2]>) -> Fit {
    match range {
        None => Fit::NotJudged,
        Some([low, _]) if value < low => Fit::Low,
        Some([_, high]) if value > high => Fit::High,
        Some(_) => Fit::Fits,
    }
}

/// Whether no panel more or fewer explains the volts better than the panels of the plan.
fn is_of_these_panels(group: &StringGroup, string: &StringMeter, volts: f64) -> bool {
    let panels = group.modules.len() as f64;
    string.voc_v.is_some_and(|expected| volts <= expected * (1.0 + 0.5 / panels))
}

fn volts_of(
    group: &StringGroup,
    string: &StringMeter,
    volts: f64,
    contradicted: bool,
    answer: &mut ReadingAnswer,
) -> Fit {
    let fit = fit(volts, string.voc_range_v);
    let (Some(expected), Some([low, high])) = (string.voc_v, string.voc_range_v) else {
        answer.sentences.push("too dim to judge the volts".into());
        return fit;
    };
    if contradicted && fit == Fit::Fits {
        answer.sentences.push(format!(
            "{volts:.2} V lies within {low:.1} to {high:.1} V, but those are of the light that the amps contradict"
        ));
        return Fit::NotJudged;
    }
    let panels = group.modules.len() as f64;
    let share = if expected > 0.0 { volts / expected } else { f64::INFINITY };
    answer.sentences.push(match fit {
        Fit::Fits => format!("{volts:.2} V fits: {low:.1} to {high:.1} V can be expected"),
        Fit::High if share > IMPOSSIBLE => format!(
            "{volts:.2} V cannot come from this string, which gives at most {high:.1} V: look at the meter's range and leads, \
             and at what else is connected, before anything is touched"
        ),
        Fit::High if panels > 0.0 && share > 1.0 + 0.5 / panels => format!(
            "{volts:.2} V is {:.0} % above what is expected, about {:.0} panels in series and not {panels:.0}: count them \
             before anything is connected",
            (share - 1.0) * 100.0,
            share * panels
        ),
        Fit::High => format!(
            "{volts:.2} V is above {high:.1} V: the panel is stronger than its label and tolerance allow, or colder or \
             brighter than stated"
        ),
        Fit::Low if volts < 0.05 * expected => {
            format!("{volts:.2} V is nothing: an open connector, a blown fuse, reversed leads, or covered panels")
        }
        Fit::Low if panels > 1.0 && share < 1.0 - 0.5 / panels => format!(
            "{volts:.2} V is what about {:.0} of {panels:.0} panels give: one is missing, shaded, or short-circuited",
            (share * panels).round()
        ),
        Fit::Low => format!(
            "{volts:.2} V is below {low:.1} V: shade on part of the string, a bypass diode that conducts, warmer cells or \
             less light than stated, or a weak panel. A low reading now is no proof of a low voltage in the cold"
        ),
        Fit::NotJudged => "too dim to judge the volts".into(),
    });
    fit
}

/// Judges the amps and says so.
fn amps_of(group: &StringGroup, string: &StringMeter, amps: f64, answer: &mut ReadingAnswer) -> String {
    let fit = fit(amps, string.isc_range_a);
    answer.amps = Some(fit);
    let per_w = string_short_circuit(&group.modules, 1.0, Celsius(string.conditions.cell_c.expected))
        .map_or(0.0, |range| range.smallest.0);
    if per_w > 0.0 {
        answer.light_by_amps_w_m2 = Some(amps / per_w);
    }
    let Some([low, high]) = string.isc_range_a else {
        return "too dim to judge the amps".into();
    };
    let light = &string.conditions.irradiance_w_m2;
    let contradicted = || {
        let stated = match string.conditions.known {
            Known::Both | Known::Light => "measured",
            Known::Neither => "taken from the sky",
        };
        let by_amps = answer.light_by_amps_w_m2.unwrap_or(0.0);
        format!(
            "the amps contradict the light: they stand for {by_amps:.0} W/m2, and {:.0} W/m2 ({:.0} to {:.0}) was {stated}",
            light.expected, light.low, light.high
        )
    };
    match fit {
        Fit::Fits => format!("{amps:.2} A fits: {low:.2} to {high:.2} A can be expected"),
        Fit::High => format!(
            "{}. {amps:.2} A is above {high:.2} A: more light than stated (snow, a bright cloud, light on the rear), or more \
             strings on the lead than one. Measure both again; until they agree the volts say nothing about a label",
            contradicted()
        ),
        Fit::Low => format!(
            "{}. {amps:.2} A is below {low:.2} A: less light on the panel than stated, shade, dirt, snow, or a panel turned \
             away. Measure both again; until they agree the volts say nothing about a label",
            contradicted()
        ),
        Fit::NotJudged => "too dim to judge the amps".into(),
    }
}
