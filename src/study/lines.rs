//! The limit lines of an array at a stop.

use crate::array::{Array, Carries, Component, ComponentKind};
use crate::assumptions::Assumptions;
use crate::extreme;
use crate::hourly::{Blocks, ByVoltage, Over, ReadyGroup, Seen, Voltage};
use crate::limits::current::{self, CurrentDemand};
use crate::limits::poles::{self, RuleJudgement};
use crate::limits::voltage::{self, margin_percent};
use crate::limits::{DecidedBy, Verdict};
use crate::study::OpenStop;
use crate::study::figures::{ArrayFigures, out_of_reach, reached_at_c};
use crate::study::often::often;
use crate::study::results::{Chance, LimitLine, Step};
use crate::study::{steps, words};

/// One voltage rating of an array.
#[derive(Clone, Debug)]
pub struct VoltageRating {
    /// The component's name.
    pub component: String,
    /// Its kind.
    pub kind: String,
    /// The rule.
    pub rule: String,
    /// Volts.
    pub volts: f64,
}

/// What belongs to one array at one stop.
pub struct ArrayAt<'a> {
    /// The stop.
    pub open: &'a OpenStop<'a>,
    /// Its groups.
    pub groups: &'a [ReadyGroup<'a>],
    /// What was seen.
    pub seen: &'a Seen,
    /// The figures.
    pub figures: &'a ArrayFigures,
    /// How the record is cut.
    pub blocks: Option<Blocks>,
    /// Whether trip dates narrow the weather lines.
    pub dated: bool,
    /// The plan's assumptions.
    pub assumptions: &'a Assumptions,
}

const VOLTS_RULE: &str = "largest open-circuit volts below its dc rating (NEC 690.7, IEC 60364-7-712)";
const CONTROLLER_RULE: &str = "largest open-circuit volts below its absolute limit (maker's manual)";
const SYSTEM_RULE: &str = "largest open-circuit volts below the panel's system voltage (label, IEC 61730)";
const TOUCH_RULE: &str = "touch voltage chosen in the plan";

/// The voltage ratings of an array, and the judgements where a component has none.
#[must_use]
pub fn voltage_ratings(
    array: &Array,
    assumptions: &Assumptions,
) -> (Vec<VoltageRating>, Vec<(String, String, RuleJudgement)>) {
    let mut ratings = Vec::new();
    let mut without = Vec::new();
    for component in &array.components {
        let named = |volts: f64, rule: &str| VoltageRating {
            component: component.name.clone(),
            kind: component.kind.word().into(),
            rule: rule.into(),
            volts,
        };
        match &component.kind {
            ComponentKind::Disconnect(_) | ComponentKind::Breaker(_) | ComponentKind::Switch(_) => {
                match poles::dc_volts(component) {
                    Ok(volts) => ratings.push(named(volts, VOLTS_RULE)),
                    Err(judged) => {
                        without.push((component.name.clone(), component.kind.word().into(), judged));
                    }
                }
            }
            ComponentKind::Controller { .. } => match component.max_v {
                Some(volts) => ratings.push(named(volts.0, CONTROLLER_RULE)),
                None => {
                    if let Err(judged) = poles::dc_volts(component) {
                        without.push((component.name.clone(), component.kind.word().into(), judged));
                    }
                }
            },
            ComponentKind::Connector | ComponentKind::Cable { .. } | ComponentKind::Fuse => {
                if let Some(volts) = component.max_v {
                    ratings.push(named(volts.0, VOLTS_RULE));
                }
            }
        }
    }
    let mut panels: Vec<(&str, f64)> = Vec::new();
    for label in array.groups.iter().flat_map(|group| &group.modules) {
        if let Some(volts) = label.max_system
            && !panels.iter().any(|(id, _)| *id == label.id)
        {
            panels.push((&label.id, volts.0));
        }
    }
    for (id, volts) in panels {
        ratings.push(VoltageRating {
            component: id.into(),
            kind: "module".into(),
            rule: SYSTEM_RULE.into(),
            volts,
        });
    }
    if let Some(volts) = assumptions.touch_limit {
        ratings.push(VoltageRating {
            component: "touch voltage".into(),
            kind: "touch".into(),
            rule: TOUCH_RULE.into(),
            volts: volts.0,
        });
    }
    (ratings, without)
}

/// The line of one voltage rating.
#[must_use]
pub fn voltage_line(at: &ArrayAt<'_>, rating: &VoltageRating, over: &Over) -> LimitLine {
    let judged = voltage::judge(rating.volts, &at.figures.decide);
    let out_of_reach = out_of_reach(at.groups, at.seen, at.open, rating.volts);
    let broken = |voltage: Voltage| {
        u32::try_from(over.blocks.values().filter(|count| count.of(voltage).hours > 0.0).count())
            .unwrap_or(u32::MAX)
    };
    let has_blocks = at.blocks.is_some();
    let seasons_broken = has_blocks.then(|| ByVoltage {
        steady: broken(Voltage::Steady),
        sudden_sun: broken(Voltage::SuddenSun),
        worst_case: broken(Voltage::WorstCase),
    });
    let (broke, counted) = seasons_counted(at.seen, over);
    let chance = if out_of_reach.is_some() || counted == 0 { None } else { chance_of(broke, counted) };
    let often = at.blocks.and_then(|blocks| often(blocks, at.seen, over, at.open.step_h()));
    let mut line = LimitLine {
        component: rating.component.clone(),
        kind: rating.kind.clone(),
        rule: rating.rule.clone(),
        rating: Some(rating.volts),
        unit: "V".into(),
        worst: judged.decides.map(|(figure, _)| figure),
        decided_by: judged.decides.map(|(_, by)| by),
        margin_percent: judged.decides.map(|(figure, _)| margin_percent(rating.volts, figure)),
        verdict: if at.dated { judged.weather } else { judged.both },
        code_verdict: judged.code,
        reason: words::voltage_reason(at, rating.volts, &judged),
        steps: Vec::new(),
        reached_at_c: reached_at_c(at.groups, rating.volts),
        hours_per_year: often.as_ref().map(|often| often.hours),
        hours_range: often.as_ref().map(|often| often.range),
        hours_by_month: often.as_ref().and_then(|often| often.by_month),
        hours_by_hour_of_day: often.as_ref().and_then(|often| often.by_hour_of_day),
        days_per_year: often.as_ref().map(|often| often.days),
        seasons: at.figures.complete,
        seasons_broken,
        seasons_counted: counted,
        chance_per_season: chance,
        return_period_seasons: chance.map(|chance| extreme::return_period(&chance.odds())),
        longest_run_h: over.longest_run_h,
        first_broken: over.sudden_span.or(over.worst_span).map(|(first, _)| first),
        last_broken: over.sudden_span.or(over.worst_span).map(|(_, last)| last),
        how_often: String::new(),
        out_of_reach,
    };
    line.steps = judged.decides.map(|(figure, by)| steps::from_label(at, figure, by)).unwrap_or_default();
    line.how_often = words::how_often(at, &line);
    line
}

/// k and N of the sudden-sun odds: N are the complete seasons, and the incomplete ones that broke. Both 0 without
/// a complete season.
fn seasons_counted(seen: &Seen, over: &Over) -> (usize, usize) {
    if !seen.blocks.iter().any(|block| block.complete) {
        return (0, 0);
    }
    let broke = |key: i32| over.blocks.get(&key).is_some_and(|count| count.sudden_sun.hours > 0.0);
    let broken = seen.blocks.iter().filter(|block| broke(block.key)).count();
    let counted = seen.blocks.iter().filter(|block| block.complete || broke(block.key)).count();
    (broken, counted)
}

fn chance_of(broken: usize, counted: usize) -> Option<Chance> {
    let odds = extreme::odds(broken as u64, counted as u64)?;
    Some(Chance { low: odds.low, best: odds.best, high: odds.high })
}

/// Lines of the current ratings and of the rules without a number.
#[must_use]
pub fn other_lines(array: &Array, assumptions: &Assumptions) -> Vec<LimitLine> {
    let mut lines = Vec::new();
    for component in &array.components {
        if let Some(judged) = poles::conductors(component, assumptions.array_earthed) {
            lines.push(rule_line(&component.name, component.kind.word(), &judged));
        }
        lines.extend(current_line(array, component));
    }
    lines
}

/// Label short-circuit current that flows through a component, A.
#[must_use]
pub fn label_isc_a(array: &Array, carries: Carries) -> f64 {
    let string = |group: &crate::array::StringGroup| {
        // With bypass diodes a mixed string can carry its largest panel's current.
        group.modules.iter().map(|label| label.isc.0).fold(0.0, f64::max)
    };
    match carries {
        Carries::String => array.groups.iter().map(string).fold(0.0, f64::max),
        Carries::Array => array.groups.iter().map(|group| string(group) * f64::from(group.in_parallel)).sum(),
    }
}

fn current_line(array: &Array, component: &Component) -> Option<LimitLine> {
    let isc_a = label_isc_a(array, component.carries);
    let (rating, demand): (f64, CurrentDemand) = match &component.kind {
        ComponentKind::Controller { max_isc, .. } => (max_isc.as_ref()?.0, current::controller_demand()),
        _ => (component.rated_a?.0, current::demand(component)?),
    };
    let judged = current::judge(rating, isc_a, demand);
    Some(LimitLine {
        rating: Some(rating),
        unit: "A".into(),
        worst: Some(judged.demand_a),
        margin_percent: Some(margin_percent(rating, judged.demand_a)),
        steps: vec![
            Step {
                what: "label".into(),
                value: isc_a,
                unit: "A".into(),
                text: format!("short-circuit current, {isc_a:.2} A"),
            },
            Step {
                what: "factor".into(),
                value: judged.demand_a,
                unit: "A".into(),
                text: format!("{} times that", demand.factor),
            },
        ],
        ..bare_line(&component.name, component.kind.word(), demand.rule, judged.verdict, judged.reason)
    })
}

/// The line of a rule without a number.
#[must_use]
pub fn rule_line(component: &str, kind: &str, judged: &RuleJudgement) -> LimitLine {
    bare_line(component, kind, judged.rule, judged.verdict, judged.reason.clone())
}

fn bare_line(component: &str, kind: &str, rule: &str, verdict: Verdict, reason: String) -> LimitLine {
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
        hours_by_month: None,
        hours_by_hour_of_day: None,
        days_per_year: None,
        seasons: 0,
        seasons_broken: None,
        seasons_counted: 0,
        chance_per_season: None,
        return_period_seasons: None,
        longest_run_h: None,
        first_broken: None,
        last_broken: None,
        how_often: String::new(),
    }
}
