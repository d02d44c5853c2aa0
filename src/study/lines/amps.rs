//! Lines of the current ratings and of the rules without a number.

use crate::array::{Array, Component, ComponentKind};
use crate::assumptions::{Assumptions, Rules};
use crate::limits::current::{self, CurrentDemand};
use crate::limits::poles::{self, RuleJudgement};
use crate::limits::rules::{Judged, ampacity, fuse, lead};
use crate::limits::voltage::margin_percent;
use crate::limits::{DecidedBy, Verdict};
use crate::study::cables::{self, Device};
use crate::study::results::{LimitLine, Step};
use crate::units::{at_least, at_most};

/// Lines of the current ratings and of the rules without a number.
#[must_use]
pub fn other_lines(array: &Array, assumptions: &Assumptions) -> Vec<LimitLine> {
    let rules = assumptions.rules;
    let mut lines = Vec::new();
    for component in &array.components {
        if let Some(judged) = poles::conductors(component, assumptions.array_earthed) {
            lines.push(rule_line(&component.name, component.kind.word(), &judged, rules));
        }
        lines.extend(current_line(array, component, rules));
        lines.extend(cable_line(array, component, rules));
        lines.extend(lead_line(array, component, rules));
        lines.extend(fuse::against_label(component, array, rules).map(|judged| {
            let step =
                step("rated", judged.demand_a, format!("the fuse's own rating, {} A", judged.demand_a));
            amps_line(component, judged, vec![step], rules)
        }));
    }
    lines
}

fn current_line(array: &Array, component: &Component, rules: Rules) -> Option<LimitLine> {
    let isc_a = array.carried_isc_a(component.carries);
    let (rating, demand): (f64, CurrentDemand) = match &component.kind {
        ComponentKind::Controller { max_isc, .. } => (max_isc.as_ref()?.0, current::controller_demand()),
        _ => (component.rated_a?.0, current::demand(component)?),
    };
    let judged = current::judge(rating, isc_a, demand);
    let steps = vec![
        step("label", isc_a, format!("short-circuit current, {isc_a:.2} A")),
        step("factor", judged.demand_a, format!("{} times that", demand.factor)),
    ];
    Some(amps_line(
        component,
        Judged {
            rule: demand.rule,
            rating_a: rating,
            demand_a: judged.demand_a,
            verdict: judged.verdict,
            reason: judged.reason,
        },
        steps,
        rules,
    ))
}

fn cable_line(array: &Array, component: &Component, rules: Rules) -> Option<LimitLine> {
    let ComponentKind::Cable { conductor, insulation_c: Some(insulation_c), ambient_c: Some(ambient_c) } =
        component.kind
    else {
        return None;
    };
    let isc_a = array.carried_isc_a(component.carries);
    let judged = ampacity::judge(conductor, insulation_c, ambient_c, isc_a);
    let steps = vec![
        step("label", isc_a, format!("short-circuit current, {isc_a:.2} A")),
        step(
            "factor",
            judged.demand_a,
            "the tighter of 1.5625 x Isc at 30 °C and 1.25 x Isc in its own air".into(),
        ),
    ];
    let unknown = judged.rating_a <= 0.0 && judged.verdict == Verdict::NotAssessed;
    let mut line = amps_line(component, judged, steps, rules);
    if unknown {
        line.rating = None;
        line.margin_percent = None;
    }
    Some(line)
}

/// The line of a lead that its fuse does not protect; `None` where it does, or where nothing can harm it.
fn lead_line(array: &Array, component: &Component, rules: Rules) -> Option<LimitLine> {
    let lead = lead::overfed(component, array, rules)?;
    let (device, rated_a) = lead.too_large()?;
    let cable = cables::cable(component)?;
    let isc_a = array.carried_isc_a(component.carries);
    let thicker = |device_a: f64| match cables::offered(cable.run, isc_a, Device::of_plan(device_a), rules) {
        Some(size) => format!("{} behind {device_a} A", size.words()),
        None => format!(
            "a cable that may stand behind {device_a} A (no size up to {} may there)",
            cables::THICKEST
        ),
    };
    let way = match lead.fits_a {
        Some(fits_a) => {
            format!("a fuse of {fits_a} A protects it and carries the string, or take {}", thicker(rated_a))
        }
        None => {
            format!("no common fuse that carries the string would protect it, so take {}", thicker(rated_a))
        }
    };
    let reason = format!(
        "the other strings can feed {:.1} A into it, it carries {:.1} A in its air, and it stands behind {} of {rated_a} A where {} A \
         is the most allowed ({}); {way}",
        at_least(lead.fed_a),
        at_most(lead.behind.carries_a),
        device.name,
        at_most(lead.allowed_a),
        lead.behind.clause(rules)
    );
    Some(bare_line(&component.name, component.kind.word(), &lead::RULE.under(rules), Verdict::NotMet, reason))
}

fn amps_line(component: &Component, judged: Judged, steps: Vec<Step>, rules: Rules) -> LimitLine {
    LimitLine {
        rating: Some(judged.rating_a),
        unit: "A".into(),
        worst: Some(judged.demand_a),
        margin_percent: (judged.rating_a > 0.0).then(|| margin_percent(judged.rating_a, judged.demand_a)),
        steps,
        ..bare_line(
            &component.name,
            component.kind.word(),
            &judged.rule.under(rules),
            judged.verdict,
            judged.reason,
        )
    }
}

fn step(what: &str, value: f64, text: String) -> Step {
    Step { what: what.into(), value, unit: "A".into(), text }
}

/// The line of a rule without a number.
pub(super) fn rule_line(component: &str, kind: &str, judged: &RuleJudgement, rules: Rules) -> LimitLine {
    bare_line(component, kind, &judged.rule.under(rules), judged.verdict, judged.reason.clone())
}

pub(super) fn bare_line(
    component: &str,
    kind: &str,
    rule: &str,
    verdict: Verdict,
    reason: String,
) -> LimitLine {
    LimitLine {
        component: component.into(),
        kind: kind.into(),
        rule: rule.into(),
        rating: None,
        unit: String::new(),
        worst: None,
        decided_by: Some(DecidedBy::Rule),
        margin_percent: None,
        verdict,
        code_verdict: None,
        reason,
        steps: Vec::new(),
        reached_at_c: None,
        out_of_reach: None,
        hours_per_year: None,
        hours_range: None,
        most_hours: None,
        hours_by_month: None,
        hours_by_hour_of_day: None,
        days_per_year: None,
        seasons: 0,
        seasons_seen: 0,
        seasons_broken: None,
        seasons_counted: 0,
        chance_per_season: None,
        return_period_seasons: None,
        longest_run_h: None,
        first_broken: None,
        last_broken: None,
        worst_case_first_broken: None,
        worst_case_last_broken: None,
        how_often: String::new(),
    }
}
