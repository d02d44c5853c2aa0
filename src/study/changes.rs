//! What to change so that every limit holds, with what each change does.

use crate::array::Carries;
use crate::limits::Verdict;
use crate::study::classes::{ARRAY_CABLE, STRING_FUSE, next_class_a, next_class_v};
use crate::study::counted;
use crate::study::results::{ArrayFacts, Assessment, LimitLine, StopResult};
use crate::study::weeks::OtherWeek;
use crate::study::words::MONTHS;

/// One sentence a change; empty where every limit holds with room to spare. From the results alone.
#[must_use]
pub fn changes(assessment: &Assessment, weeks: &[OtherWeek]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for facts in &assessment.arrays {
        for line in worth_a_change(assessment, facts) {
            if counted(line) == Verdict::Close {
                out.extend(room_to_spare(line));
                continue;
            }
            let mut sentences = remedies(facts, line);
            if line.unit == "V" {
                sentences.extend(other_stop(assessment, &facts.name, line));
                sentences.extend(other_week(&facts.name, line, weeks));
                if assessment.stops.iter().all(|stop| stop.window.is_none()) {
                    sentences.extend(months(line));
                }
            }
            for sentence in sentences {
                if !out.contains(&sentence) {
                    out.push(sentence);
                }
            }
        }
    }
    out
}

/// The limits of an array that are broken or close, each at the stop where it fares worst, in the order of the plan; without
/// a stop, those of the code sum.
fn worth_a_change<'a>(assessment: &'a Assessment, facts: &'a ArrayFacts) -> Vec<&'a LimitLine> {
    let mut found: Vec<&LimitLine> = Vec::new();
    let at_stops = assessment.stops.iter().flat_map(|stop| &stop.arrays).filter(|at| at.name == facts.name);
    let alone = facts.code_alone.iter().flat_map(|code| &code.limits);
    for line in at_stops.flat_map(|at| &at.limits).chain(alone) {
        if !matches!(counted(line), Verdict::Exceeded | Verdict::NotMet | Verdict::Close) {
            continue;
        }
        let rank = |line: &LimitLine| (counted(line).severity(), line.worst.unwrap_or(0.0));
        let same =
            found.iter_mut().find(|other| other.component == line.component && other.rule == line.rule);
        match same {
            Some(other) if rank(line) > rank(other) => *other = line,
            Some(_) => {}
            None => found.push(line),
        }
    }
    found
}

/// A limit that holds by little: the class that leaves room.
fn room_to_spare(line: &LimitLine) -> Option<String> {
    let (rating, worst, margin) = (line.rating?, line.worst?, line.margin_percent?);
    let class = next_class_v(rating + 1.0).filter(|_| is_device(line))?;
    Some(format!(
        "{}: holds by {margin:.1} % only; the next common class of {class} V would leave {:.0} %.",
        line.component,
        (class - worst) / class * 100.0
    ))
}

/// Whether a limit in volts is that of something that is sold in classes.
fn is_device(line: &LimitLine) -> bool {
    !matches!(line.kind.as_str(), "module" | "touch")
}

fn remedies(facts: &ArrayFacts, line: &LimitLine) -> Vec<String> {
    let (Some(rating), Some(worst)) = (line.rating, line.worst) else {
        return vec![format!("{}: {}.", line.component, line.reason)];
    };
    if line.unit == "A" {
        return vec![more_amps(facts, line, rating, worst)];
    }
    let volts = facts.needs.disconnect_v.map_or(worst, |needed| needed.max(worst));
    let mut out = vec![match next_class_v(volts).filter(|_| is_device(line)) {
        Some(class) => format!(
            "{}: one for at least {volts:.1} V dc holds; the next common class of {class} V leaves {:.0} % to spare.",
            line.component,
            (class - volts) / class * 100.0
        ),
        None => format!("{}: one for at least {volts:.1} V dc holds.", line.component),
    }];
    out.extend(fewer_in_series(facts, rating, volts));
    out.extend(measured_panels(line, rating, worst));
    out
}

/// What clears a limit in amps.
fn more_amps(facts: &ArrayFacts, line: &LimitLine, rating: f64, worst: f64) -> String {
    let name = &line.component;
    // There the fuse is too large for the panel, not too small for the current.
    if line.rule.starts_with("string fuse") {
        return format!("{name}: {}.", line.reason);
    }
    let carries = facts.wiring.components.iter().find(|part| part.name == *name).map(|part| part.carries);
    if line.kind == "fuse" && carries == Some(Carries::String) {
        // Never a size above the panel's own largest.
        let need = facts.needs.components.iter().find(|need| need.component == STRING_FUSE);
        return match need.map(|need| (need.next_class_a, &need.remark)) {
            Some((Some(class), remark)) => {
                format!("{name}: {class} A instead of {rating} A ({worst:.1} A are asked for): {remark}.")
            }
            Some((None, remark)) => {
                format!("{name}: {worst:.1} A are asked for and it has {rating} A: {remark}.")
            }
            None => format!(
                "{name}: one rated for at least {worst:.1} A and at most the label's largest series fuse holds; today it is \
                 {rating} A."
            ),
        };
    }
    if line.kind == "cable" {
        let size = facts.needs.components.iter().find(|need| need.component == ARRAY_CABLE);
        return match size.filter(|_| carries == Some(Carries::Array)) {
            Some(need) => format!("{name}: {}; or a cooler way for it.", need.remark),
            None => format!("{name}: a thicker one, or a cooler way for it: {}.", line.reason),
        };
    }
    let class = next_class_a(&line.kind, worst)
        .map_or_else(String::new, |class| format!("; the next common class is {class} A"));
    format!(
        "{name}: one rated for at least {worst:.1} A ({}) holds{class}; today it is {rating} A.",
        line.rule
    )
}

/// Fewer panels in series, where volts are in proportion: every figure of a string is a sum over its panels.
fn fewer_in_series(facts: &ArrayFacts, rating: f64, volts: f64) -> Option<String> {
    let uniform = facts.wiring.strings.iter().all(|string| {
        string.panels.len() == facts.modules_in_series
            && string.panels.iter().all(|id| *id == string.panels[0])
    });
    if !uniform || facts.wiring.strings.is_empty() || facts.modules_in_series < 2 {
        return None;
    }
    let each = volts / facts.modules_in_series as f64;
    let most = (1..facts.modules_in_series).rev().find(|&count| each * count as f64 <= rating)?;
    let spare = (rating - each * most as f64) / rating * 100.0;
    Some(format!(
        "{most} in series instead of {}: the largest voltage falls to {:.1} V, {spare:.0} % below {rating} V; with as many \
         panels the amps rise to {:.1} A short circuit in all, so look at fuses, cable and connectors again.",
        facts.modules_in_series,
        each * most as f64,
        facts.isc_a * facts.modules_in_series as f64 / most as f64
    ))
}

/// Measuring the panels, where the label's tolerance alone decides: the line's own steps say what it is worth.
fn measured_panels(line: &LimitLine, rating: f64, worst: f64) -> Option<String> {
    if line.code_verdict == Some(Verdict::Exceeded) {
        return None;
    }
    let after = line.steps.iter().position(|step| step.what == "tolerance")?;
    let (before, with) = (line.steps.get(after.checked_sub(1)?)?.value, line.steps.get(after)?.value);
    let as_labelled = worst * before / with;
    (with > 0.0 && before < with && as_labelled <= rating).then(|| {
        format!(
            "{}: the tolerance of the label alone decides: panels measured at or below their label reach {as_labelled:.1} V, \
             {:.1} % below {rating} V; measure each, and write voc_tolerance_percent = 0 where that is so.",
            line.component,
            (rating - as_labelled) / rating * 100.0
        )
    })
}

/// Leaving out the stops that break it, where others of the trip hold.
fn other_stop(assessment: &Assessment, array: &str, line: &LimitLine) -> Option<String> {
    let same = |stop: &StopResult| {
        let at = stop.arrays.iter().find(|at| at.name == array)?;
        let limits = &at.limits;
        let found =
            limits.iter().find(|other| other.component == line.component && other.rule == line.rule)?;
        Some((stop.place.clone(), counted(found), found.worst))
    };
    let all: Vec<_> = assessment.stops.iter().filter_map(same).collect();
    let names = |broken: bool| -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for (place, verdict, _) in &all {
            if (*verdict == Verdict::Exceeded) == broken && !names.contains(place) {
                names.push(place.clone());
            }
        }
        names
    };
    let (broken, held) = (names(true), names(false));
    // A place that is visited twice and holds once is a matter of weeks.
    if held.is_empty() || broken.is_empty() || held.iter().any(|place| broken.contains(place)) {
        return None;
    }
    let left = all.iter().filter(|(_, verdict, _)| *verdict != Verdict::Exceeded);
    let most = left.filter_map(|(_, _, worst)| *worst).fold(0.0, f64::max);
    Some(format!(
        "{}: without {} it holds: {most:.1} V at most at {}.",
        line.component,
        listed(&broken),
        listed(&held)
    ))
}

/// The same stops in other weeks.
fn other_week(array: &str, line: &LimitLine, weeks: &[OtherWeek]) -> Option<String> {
    let texts: Vec<&str> = weeks
        .iter()
        .filter(|week| week.array == array && week.component == line.component && week.rule == line.rule)
        .map(|week| week.text.as_str())
        .collect();
    (!texts.is_empty()).then(|| format!("{}: {}.", line.component, texts.join("; ")))
}

/// Without dates: the months in which no sudden sun was seen over the rating.
fn months(line: &LimitLine) -> Option<String> {
    let hours = line.hours_by_month.filter(|_| line.code_verdict != Some(Verdict::Exceeded))?;
    let free: Vec<usize> = (0..12).filter(|&month| hours[month] == 0.0).collect();
    if free.is_empty() || free.len() == 12 {
        return None;
    }
    // Named from the month after the last broken one, so that a stretch across New Year is one.
    let starts = free.iter().copied().filter(|&month| hours[(month + 11) % 12] > 0.0);
    let stretches: Vec<String> = starts
        .map(|start| {
            let length = (0..12).take_while(|step| hours[(start + step) % 12] == 0.0).count();
            let last = MONTHS[(start + length - 1) % 12];
            if length == 1 { last.to_owned() } else { format!("{} to {last}", MONTHS[start]) }
        })
        .collect();
    Some(format!(
        "{}: no sudden sun over it was seen in {} ({} complete seasons; odds, not a verdict: add arrive and leave to the stop \
         for these days alone).",
        line.component,
        listed(&stretches),
        line.seasons
    ))
}

/// "A", "A and B", "A, B and C".
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
