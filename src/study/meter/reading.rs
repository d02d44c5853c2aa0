//! Whether a reading fits, what it may mean where it does not, and what a good one says about the label.

use super::{GOOD_LIGHT_W_M2, MODEL_SHARE, Reading, StringMeter};
use crate::array::StringGroup;
use crate::module::{StringCurve, string_short_circuit};
use crate::units::Celsius;
use serde::Serialize;

/// What a hand-held meter may be off by, a share (common practice, no source: 0.5 % and a digit).
const METER_SHARE: f64 = 0.005;
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
    /// Too dim to say.
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
    /// The label that the volts support; null where they support none.
    pub supports: Vec<LabelSupport>,
    /// In words.
    pub sentences: Vec<String>,
}

/// Judges the readings of a string; `None` without one.
pub(super) fn judged(group: &StringGroup, string: &StringMeter, reading: Reading) -> Option<ReadingAnswer> {
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
    if let Some(volts) = reading.volts {
        volts_of(group, string, volts, &mut answer);
    }
    if let Some(amps) = reading.amps {
        amps_of(group, string, amps, &mut answer);
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

fn volts_of(group: &StringGroup, string: &StringMeter, volts: f64, answer: &mut ReadingAnswer) {
    let fit = fit(volts, string.voc_range_v);
    answer.volts = Some(fit);
    let (Some(expected), Some([low, high])) = (string.voc_v, string.voc_range_v) else {
        answer.sentences.push("too dim to judge the volts".into());
        return;
    };
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
             brighter than stated. Assess with the higher value"
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
    if fit == Fit::Fits {
        supports(group, string, volts, answer);
    }
}

/// The label by which the string would give just these volts: each panel's label raised by the same share.
fn supports(group: &StringGroup, string: &StringMeter, volts: f64, answer: &mut ReadingAnswer) {
    let (light, cell) = (&string.conditions.irradiance_w_m2, &string.conditions.cell_c);
    if light.expected < GOOD_LIGHT_W_M2 {
        answer.sentences.push("in less than 400 W/m2 it supports no label value".into());
        return;
    }
    let curve = StringCurve::central(&group.modules);
    let at = |light: f64, cell: f64| curve.volts(light, Celsius(cell)).map_or(0.0, |volts| volts.0);
    let full = curve.full_light(Celsius(cell.expected)).0;
    let expected = at(light.expected, cell.expected);
    // The light's share of the volts does not follow the label, so it is taken off before the two are compared.
    let share = (volts - (expected - full)) / full;
    let unsure = (at(light.high, cell.low) - at(light.low, cell.high)) / 2.0 / expected;
    let percent = ((unsure + MODEL_SHARE + METER_SHARE) * 1000.0).ceil() / 10.0;
    let wide = percent > 6.0;
    for (label, _) in super::super::explain::panel_kinds(group) {
        let voc_v = (label.voc.0 * share * 100.0).round() / 100.0;
        answer.supports.push(LabelSupport {
            module: label.id.clone(),
            voc_v,
            voc_tolerance_percent: percent,
            raises: voc_v * (1.0 + percent / 100.0) > label.voc.0 * (1.0 + label.tolerance),
            plan_lines: format!("voc_v = {voc_v:.2}\nvoc_tolerance_percent = {percent:.1}"),
        });
    }
    answer.sentences.push(if wide {
        "light and cell are too uncertain for this reading to replace a label: measure both".into()
    } else {
        "this string supports the label value and tolerance printed here. They hold for the panels that were measured, in \
         good light and with both light and cell measured; keep the higher of label and reading where you are not sure"
            .into()
    });
    if wide {
        answer.supports.clear();
    }
}

fn amps_of(group: &StringGroup, string: &StringMeter, amps: f64, answer: &mut ReadingAnswer) {
    let fit = fit(amps, string.isc_range_a);
    answer.amps = Some(fit);
    let per_w = string_short_circuit(&group.modules, 1.0, Celsius(string.conditions.cell_c.expected))
        .map_or(0.0, |range| range.smallest.0);
    if per_w > 0.0 {
        answer.light_by_amps_w_m2 = Some(amps / per_w);
    }
    let Some([low, high]) = string.isc_range_a else {
        answer.sentences.push("too dim to judge the amps".into());
        return;
    };
    answer.sentences.push(match fit {
        Fit::Fits => format!("{amps:.2} A fits: {low:.2} to {high:.2} A can be expected"),
        Fit::High => format!(
            "{amps:.2} A is above {high:.2} A: more light than stated (snow, a bright cloud, light on the rear), or more \
             strings on the lead than one"
        ),
        Fit::Low => format!(
            "{amps:.2} A is below {low:.2} A: less light on the panel than stated, shade, dirt, snow, or a panel turned away"
        ),
        Fit::NotJudged => "too dim to judge the amps".into(),
    });
}
