//! Limit lines of a plan without a stop: the code sum alone, at the temperature that the plan names.

use crate::array::Array;
use crate::assumptions::{Assumptions, CodeTemperature};
use crate::hourly::ReadyGroup;
use crate::limits::voltage::{self, VoltageFigures, margin_percent};
use crate::limits::{DecidedBy, Verdict};
use crate::study::figures::{code_sum, reached_at_c};
use crate::study::lines::{self, amps};
use crate::study::results::{CodeAlone, LimitLine, Step};

/// The code sum against every component; `None` unless the plan gives a number for its code temperature.
#[must_use]
pub fn code_alone(array: &Array, assumptions: &Assumptions) -> Option<CodeAlone> {
    let CodeTemperature::Fixed(air) = assumptions.code_temperature else { return None };
    let groups: Vec<ReadyGroup<'_>> =
        array.groups.iter().map(|group| ReadyGroup::new(group, assumptions.sky_cooling_k)).collect();
    let sum = code_sum(&groups, air)?;
    let figures = VoltageFigures { code: Some(sum.volts.0), ..VoltageFigures::default() };
    let (ratings, without) = lines::voltage_ratings(array, assumptions);
    let mut limits: Vec<LimitLine> = ratings
        .iter()
        .map(|rating| {
            let judged = voltage::judge(rating.volts, &figures);
            let off = margin_percent(rating.volts, sum.volts.0);
            let reason = match judged.both {
                Verdict::Exceeded => format!(
                    "exceeded by the code sum: {:.1} V at {air} against {} V, {:.1} % over",
                    sum.volts.0, rating.volts, -off
                ),
                Verdict::Close => {
                    format!(
                        "close: the code sum of {:.1} V stays only {off:.1} % below {} V",
                        sum.volts.0, rating.volts
                    )
                }
                _ => format!(
                    "holds by the code sum alone, without weather: {:.1} V stays {off:.1} % below {} V",
                    sum.volts.0, rating.volts
                ),
            };
            LimitLine {
                rating: Some(rating.volts),
                unit: "V".into(),
                worst: Some(sum.volts.0),
                decided_by: Some(DecidedBy::Code),
                margin_percent: Some(off),
                code_verdict: judged.code,
                reached_at_c: reached_at_c(&groups, rating.volts),
                steps: vec![Step {
                    what: "cold".into(),
                    value: sum.volts.0,
                    unit: "V".into(),
                    text: format!("the code sum: full sun on cells at {air}"),
                }],
                ..amps::bare_line(&rating.component, &rating.kind, &rating.rule, judged.both, reason)
            }
        })
        .collect();
    limits.extend(without.iter().map(|(name, kind, judged)| amps::rule_line(name, kind, judged)));
    limits.extend(lines::other_lines(array, assumptions));
    lines::sort_by_component(&mut limits, array);
    Some(CodeAlone {
        code: sum.volts.0,
        code_temperature_c: air.0,
        code_basis: sum.basis,
        table: sum.table.map(|volts| volts.0),
        limits,
    })
}
