//! What a good reading says about the label, and whether a plan would take it.

use super::{GOOD_LIGHT_W_M2, Known, LabelSupport, MODEL_SHARE, ReadingAnswer, StringMeter};
use crate::array::StringGroup;
use crate::module::StringCurve;
use crate::plan::{self, Plan};
use crate::units::Celsius;

/// What a hand-held meter may be off by, a share (common practice, no source: 0.5 % and a digit).
const METER_SHARE: f64 = 0.005;

/// The label by which the string would give just these volts: each panel's label raised by the same share.
pub(super) fn supports(
    plan: &Plan,
    group: &StringGroup,
    string: &StringMeter,
    volts: f64,
    answer: &mut ReadingAnswer,
) {
    let (light, cell) = (&string.conditions.irradiance_w_m2, &string.conditions.cell_c);
    let why_not = match string.conditions.known {
        _ if light.expected < GOOD_LIGHT_W_M2 => "in less than 400 W/m2 it supports no label value",
        Known::Neither => {
            "it supports no label value: that takes light and cell measured (--irradiance and --cell)"
        }
        Known::Light => "it supports no label value: that takes the cell measured too (--cell)",
        Known::Both => "",
    };
    if !why_not.is_empty() {
        answer.sentences.push(why_not.into());
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
    let mut found = Vec::new();
    for (label, _) in crate::study::explain::panel_kinds(group) {
        let voc_v = (label.voc.0 * share * 100.0).round() / 100.0;
        if let Err(why) = plan::with_voc(plan, &label.id, voc_v, percent) {
            answer.sentences.push(format!(
                "by it panel \"{}\" would have voc_v = {voc_v:.2}, which no plan takes: {why}. Check the reading, the label's \
                 cells_in_series, and the count of panels in series",
                label.id
            ));
            return;
        }
        found.push(LabelSupport {
            module: label.id.clone(),
            voc_v,
            voc_tolerance_percent: percent,
            raises: voc_v * (1.0 + percent / 100.0) > label.voc.0 * (1.0 + label.tolerance),
            plan_lines: format!("voc_v = {voc_v:.2}\nvoc_tolerance_percent = {percent:.1}"),
        });
    }
    if found.iter().any(|support| support.raises) {
        answer.sentences.push(
            "it supports the label value and tolerance printed here, of one panel: assess with them. They hold for the panels \
             that were measured; keep the higher of label and reading where you are not sure"
                .into(),
        );
    }
    answer.supports = found;
}
