//! More years of weather, where a limit is broken or close only because a record is short.

use super::{Way, listed};
use crate::limits::voltage::{self, ALLOWANCE_K, LEVEL_SEASONS, VoltageFigures, margin_percent};
use crate::limits::{DecidedBy, Verdict};
use crate::study::counted;
use crate::study::results::{ArrayAtStop, LimitLine, RecordKind, StopResult};
use crate::study::temperatures::LEVEL_WINTERS;
use crate::units::so_many;

impl Way<'_> {
    /// One sentence a stop.
    pub(super) fn longer_records(&self) -> Vec<String> {
        let stops = &self.assessment.stops;
        stops.iter().filter_map(|stop| self.longer_record(stop)).collect()
    }

    fn longer_record(&self, stop: &StopResult) -> Option<String> {
        let at = stop.arrays.iter().find(|at| at.name == self.facts.name)?;
        let lines: Vec<&LimitLine> = at.limits.iter().filter(|line| self.is_for_want(at, line)).collect();
        let first = *lines.first()?;
        let names: Vec<String> = lines.iter().map(|line| line.component.clone()).collect();
        let (names, place) = (listed(&names), self.which(stop));
        let noun = if stop.window.is_some() { "complete stay" } else { "complete season" };
        if stop.record.kind == RecordKind::TypicalYear {
            return Some(format!(
                "a station's record for {place}: {LEVEL_SEASONS} {noun}s or more would replace the {ALLOWANCE_K:.0} K allowance that \
                 decides for {names}; the typical year there does not tell what they show."
            ));
        }
        let held = so_many(first.seasons, noun);
        let what = if first.decided_by == Some(DecidedBy::Allowance) {
            format!(
                "{LEVEL_SEASONS} {noun}s or more would replace the {ALLOWANCE_K:.0} K allowance that decides for {names} (the \
                 record has {held})"
            )
        } else {
            format!(
                "the level that decides for {names} rests on {held} only and has a margin for that, which shrinks with more"
            )
        };
        let seen_v = by_seen(at).largest()?.0;
        let outcomes: Vec<String> = lines.iter().filter_map(|line| outcome(line, seen_v)).collect();
        Some(format!(
            "more years of weather for {place}: {what}; by the largest figure seen alone, {:.1} V, {} (not a promise).",
            seen_v,
            listed(&outcomes)
        ))
    }

    /// Whether a limit in volts fares as it does for want of seasons: the allowance, or the level of few seasons, decides, and
    /// what was seen would leave it better off. Of a limit that another stop breaks for another reason nothing is offered.
    fn is_for_want(&self, at: &ArrayAtStop, line: &LimitLine) -> bool {
        let verdict = counted(line);
        let (Some(rating), true) = (line.rating, line.unit == "V") else { return false };
        let is_worth = matches!(verdict, Verdict::Exceeded | Verdict::Close);
        let seen = voltage::judge(rating, &by_seen(at)).both;
        let elsewhere = self.assessment.stops.iter().flat_map(|stop| &stop.arrays);
        let broken_elsewhere = elsewhere
            .filter(|other| other.name == self.facts.name)
            .flat_map(|other| &other.limits)
            .filter(|other| other.component == line.component && other.rule == line.rule)
            .any(|other| counted(other) == Verdict::Exceeded && !is_of_few(other));
        is_worth && is_of_few(line) && seen.severity() < verdict.severity() && !broken_elsewhere
    }

    /// A place, and of one that is visited more than once which of its stays is meant.
    fn which(&self, stop: &StopResult) -> String {
        let visits = self.assessment.stops.iter().filter(|other| other.place == stop.place).count();
        match &stop.window {
            Some(days) if visits > 1 => format!("{} ({days})", stop.place),
            _ => stop.place.clone(),
        }
    }
}

/// Whether the figure that decides is raised because seasons are few.
fn is_of_few(line: &LimitLine) -> bool {
    match line.decided_by {
        Some(DecidedBy::Allowance) => true,
        Some(DecidedBy::Level) => line.seasons < LEVEL_WINTERS,
        _ => false,
    }
}

/// The figures that no want of seasons raises.
fn by_seen(at: &ArrayAtStop) -> VoltageFigures {
    let four = &at.voltage_v;
    VoltageFigures { code: four.code, seen: four.worst_case.max, ..VoltageFigures::default() }
}

/// "old switch would stay 1.9 % below 48 V".
fn outcome(line: &LimitLine, seen_v: f64) -> Option<String> {
    let rating = line.rating?;
    Some(format!(
        "{} would stay {:.1} % below {rating} V",
        line.component,
        (margin_percent(rating, seen_v) * 10.0).floor() / 10.0
    ))
}
