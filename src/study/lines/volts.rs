//! The line of a voltage rating: who decides, how often it is passed, from label to figure.

use crate::extreme;
use crate::hourly::{ByVoltage, Over, ReadyGroup, Seen, Voltage};
use crate::limits::Verdict;
use crate::limits::voltage::{self, VoltageFigures, margin_percent};
use crate::study::figures::{out_of_reach, reached_at_c};
use crate::study::lines::amps::bare_line;
use crate::study::lines::{ArrayAt, VoltageRating};
use crate::study::often::often;
use crate::study::results::{Chance, LimitLine};
use crate::study::{steps, words};
use crate::units::{Celsius, over};

/// The line of one voltage rating.
#[must_use]
pub fn voltage_line(at: &ArrayAt<'_>, rating: &VoltageRating, over: &Over) -> LimitLine {
    let judged = voltage::judge(rating.volts, &at.figures.decide);
    let out_of_reach = out_of_reach(at.groups, at.seen, at.open, &at.figures.decide, rating.volts);
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
    let often = at.blocks.and_then(|blocks| often(blocks, at.seen, over));
    let mut line = LimitLine {
        component: rating.component.clone(),
        kind: rating.kind.clone(),
        rule: rating.rule.clone(),
        rating: Some(rating.volts),
        unit: "V".into(),
        worst: judged.decides.map(|(figure, _)| figure),
        decided_by: judged.decides.map(|(_, by)| by),
        margin_percent: judged.decides.map(|(figure, _)| margin_percent(rating.volts, figure)),
        // Without a lit hour in the dates the code sum alone speaks.
        verdict: if at.dated && judged.weather != Verdict::NotAssessed {
            judged.weather
        } else {
            judged.both
        },
        code_verdict: judged.code,
        reason: words::voltage_reason(at, rating.volts, &judged),
        steps: Vec::new(),
        reached_at_c: reached_at_c(at.groups, rating.volts),
        hours_per_year: often.as_ref().map(|often| often.hours),
        hours_range: often.as_ref().map(|often| often.range),
        most_hours: often.as_ref().and_then(|often| often.most),
        hours_by_month: often.as_ref().and_then(|often| often.by_month),
        hours_by_hour_of_day: often.as_ref().and_then(|often| often.by_hour_of_day),
        days_per_year: often.as_ref().map(|often| often.days),
        seasons: at.figures.complete,
        seasons_seen: at.seen.blocks.len(),
        seasons_broken,
        seasons_counted: counted,
        chance_per_season: chance,
        return_period_seasons: chance.map(|chance| extreme::return_period(&chance.odds())),
        longest_run_h: over.longest_run_h,
        first_broken: over.sudden_span.map(|(first, _)| first),
        last_broken: over.sudden_span.map(|(_, last)| last),
        worst_case_first_broken: over.worst_span.map(|(first, _)| first),
        worst_case_last_broken: over.worst_span.map(|(_, last)| last),
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

/// The line of a voltage rating by the code sum alone.
pub(super) fn code_line(
    rating: &VoltageRating,
    decide: &VoltageFigures,
    groups: &[ReadyGroup<'_>],
    air: Celsius,
) -> LimitLine {
    let judged = voltage::judge(rating.volts, decide);
    let figure = judged.decides.map(|(figure, _)| figure);
    let reason = match figure {
        Some(volts) => format!(
            "the code sum of {volts:.1} V at {air} {} {} V ({} {}); no weather was looked at",
            if volts > rating.volts { "passes" } else { "stays below" },
            rating.volts,
            match margin_percent(rating.volts, volts) {
                passed if passed < 0.0 => over(-passed),
                left => words::percent_left(left),
            },
            if volts > rating.volts { "over" } else { "to spare" },
        ),
        None => "not assessed: no code temperature".into(),
    };
    LimitLine {
        rating: Some(rating.volts),
        unit: "V".into(),
        worst: figure,
        decided_by: judged.decides.map(|(_, by)| by),
        margin_percent: figure.map(|volts| margin_percent(rating.volts, volts)),
        code_verdict: judged.code,
        reached_at_c: reached_at_c(groups, rating.volts),
        ..bare_line(&rating.component, &rating.kind, &rating.rule, judged.both, reason)
    }
}
