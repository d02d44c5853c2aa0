//! The top of the answer: the worst verdict, one sentence, the cautions, what is missing.

use crate::array::{Array, ComponentKind};
use crate::cite;
use crate::limits::Verdict;
use crate::limits::rules::fuse;
use crate::note::{Note, NoteKind};
use crate::plan::Plan;
use crate::study::changes::NOT_JUDGED;
use crate::study::results::{Assessment, LimitLine, RecordKind};
use crate::study::words::TYPICAL_YEAR;

/// Short cautions, always printed.
#[must_use]
pub fn cautions() -> Vec<String> {
    [
        "An array is live whenever light falls on it, at dusk, under snow edges and by lamps too; opening the switch does \
         not make the roof side dead. Cover it or work in the dark, and test before touching.",
        "Above 60 V dc (30 to 35 V where wet) treat it as a shock hazard; open-circuit volts decide, not battery volts. A \
         dc arc does not stop by itself.",
        "Never pull connectors under load. Use dc-rated, correctly poled load-break devices.",
        "Battery first on, array first off. The battery side needs its own fuse near the battery; this does not size it.",
        "Weather files are stations or grids: frost hollows and ridges can be several degrees colder; bright bursts of \
         seconds, and modules cooled below the air on clear nights by more than the report assumes, are outside \
         hourly data. The code sum governs; a lower \
         weather figure is not permission, and a higher one counts.",
        "Label tolerance beyond the stated one (3 % where a label says none; the assumptions name it), ageing, mixed panels \
         and shade are yours to add. Whether parts and battery work in such cold at all is for their manuals.",
        "Local codes, the makers' manuals (the largest PV volts above all) and a licensed or competent person come first; \
         rules differ by country, vehicle and boat, and editions are named in the sources. This informs; it is no \
         certificate.",
        "Not for buildings, grid-tied systems or more than 1000 V.",
    ]
    .map(String::from)
    .to_vec()
}

/// How a note begins, behind the name of the array, on a plan without any means to disconnect it.
pub const NO_DISCONNECT: &str = "has no disconnect in the plan";

/// Fills verdict, summary, notes on what the plan lacks.
pub fn conclude(assessment: &mut Assessment, plan: &Plan, arrays: &[&Array]) {
    let asked_for = cite::disconnect_asked_for(plan.assumptions.rules);
    for array in arrays {
        let has =
            array.components.iter().any(|component| matches!(component.kind, ComponentKind::Disconnect(_)));
        if !has {
            let other = array.components.iter().find(|component| {
                matches!(component.kind, ComponentKind::Breaker(_) | ComponentKind::Switch(_))
            });
            let has_not = format!("array \"{}\" {NO_DISCONNECT} (kind = \"disconnect\")", array.name);
            let note = Note::once(
                NoteKind::Wiring,
                match other {
                    Some(other) => format!(
                        "{has_not}: if its {} \"{}\" is the disconnect too, name it so, that its poles are judged (kind = \"disconnect\"); \
                         {asked_for}",
                        other.kind.word(),
                        other.name
                    ),
                    None => format!("{has_not}; {asked_for}"),
                },
            );
            assessment.notes.push(note.asking());
        }
    }
    if assessment.stops.is_empty() {
        assessment.missing = vec![
            "no [[stop]] in the plan: these are the code answers alone, from the code temperature that the plan gives"
                .into(),
            "missing without weather: steady, sudden sun and worst-case volts, how often, and design temperatures of \
             the places"
                .into(),
        ];
        let lines: Vec<String> = code_lines(assessment)
            .map(|line| format!("{}: {} - {}", line.verdict.word(), line.component, line.reason))
            .collect();
        assessment.missing.extend(lines);
    }
    let at_stops = assessment.stops.iter().flat_map(|stop| &stop.arrays).flat_map(|array| &array.limits);
    assessment.verdict =
        at_stops.chain(code_lines(assessment)).map(counted).fold(Verdict::Within, Verdict::or_worse);
    let verdict = assessment.verdict;
    let decisive = decisive(assessment);
    let several = plan.stops.len() > 1;
    let code_decides = code_lines(assessment)
        .filter(|line| counted(line) == verdict)
        .min_by(|a, b| margin(a).total_cmp(&margin(b)));
    assessment.summary = match decisive {
        None if assessment.stops.is_empty() => match code_decides {
            Some(line) => {
                format!("by the code answers alone, without weather: {}: {}", line.component, line.reason)
            }
            None => format!("the code answers alone, without weather; {NOTHING_TO_CHECK}"),
        },
        None => NOTHING_TO_CHECK.into(),
        Some((stop, array, line)) => {
            let stop = &assessment.stops[stop];
            let line = &stop.arrays[array].limits[line];
            let place = match (several, line.unit.as_str()) {
                (false, _) => String::new(),
                (true, "V") => format!(" at {}", stop.place),
                // Amps rest on the labels.
                (true, _) => ", at every stop".to_owned(),
            };
            let text = match verdict {
                Verdict::Within => {
                    let reason = line.reason.strip_prefix("holds: ").unwrap_or(&line.reason);
                    format!(
                        "{EVERY_LIMIT} holds; the least room is left at {}{place}: {reason}",
                        line.component
                    )
                }
                _ => format!("{}{place}: {}", line.component, line.reason),
            };
            text + &unchecked_volts(assessment) + &typical_years(assessment, &stop.place, &line.reason)
        }
    };
}

/// A device that holds only with two or more poles in series in every conductor that it opens: nobody but its owner can
/// count its poles, and with one in each conductor it would be passed.
pub(super) fn poles_to_count(assessment: &mut Assessment, arrays: &[&Array]) {
    let mut clauses = Vec::new();
    for array in arrays {
        let needs = assessment.arrays.iter().find(|facts| facts.name == array.name).map(|facts| &facts.needs);
        let Some(volts) = needs.and_then(|needs| needs.disconnect_v) else { continue };
        for component in &array.components {
            let Some(poles) = component.kind.poles() else { continue };
            let (Some((each, in_series)), Some(opened)) = (poles.max_v_per_pole, poles.opened) else {
                continue;
            };
            if in_series > 1 && opened > 1 && volts > each.0 {
                clauses.push(format!(
                    "; but count the poles of {}: {in_series} in series in each of {opened} conductors are {}; with one in each \
                     conductor it carries {} V only",
                    component.name,
                    in_series * opened,
                    each.0
                ));
            }
        }
    }
    assessment.summary.push_str(&clauses.concat());
}

const EVERY_LIMIT: &str = "every limit";

/// Takes back a little of the praise where a component has no figure that something could have been held against.
pub(super) fn temper(assessment: &mut Assessment) {
    if assessment.changes.iter().any(|change| change.contains(NOT_JUDGED))
        && let Some(rest) = assessment.summary.strip_prefix(EVERY_LIMIT)
    {
        assessment.summary = format!("{EVERY_LIMIT} that has its figure in the plan{rest}");
    }
}

/// Puts the doubts of the weather into the sentence: behind a verdict that is bad anyway, before one that would be read as an
/// all-clear.
pub(super) fn no_all_clear(assessment: &mut Assessment) {
    let doubts = &assessment.doubts;
    if doubts.is_empty() {
        return;
    }
    assessment.summary = if is_in_doubt(assessment) {
        format!(
            "no all-clear before this is settled: {}. Until then this is only what the files give: {}",
            doubts.join("; and "),
            assessment.summary
        )
    } else {
        let clauses: Vec<String> = doubts.iter().map(|doubt| format!("; but check: {doubt}")).collect();
        assessment.summary.clone() + &clauses.concat()
    };
}

/// Whether a verdict that holds rests on weather that is in doubt, so that it must not be read as an all-clear.
#[must_use]
pub fn is_in_doubt(assessment: &Assessment) -> bool {
    matches!(assessment.verdict, Verdict::Within | Verdict::Close) && !assessment.doubts.is_empty()
}

/// The sentence of a plan in which nothing has a rating: a word of praise would be read as an answer.
const NOTHING_TO_CHECK: &str = "no component of the plan has a rating, so nothing was held against a limit. To check one, \
     add its part and its largest volts (a [[component]] with its kind and max_v): the disconnect and the controller first. What each must stand at least \
     is told under what the array needs";

/// Whether any line was held against anything, at the stops or by the code sum alone.
#[must_use]
pub fn is_anything_checked(assessment: &Assessment) -> bool {
    let at_stops = assessment.stops.iter().flat_map(|stop| &stop.arrays).flat_map(|array| &array.limits);
    at_stops.chain(code_lines(assessment)).next().is_some()
}

/// Behind a sentence about amps or rules: that no volts were checked, where none were.
fn unchecked_volts(assessment: &Assessment) -> String {
    let mut lines = assessment.stops.iter().flat_map(|stop| &stop.arrays).flat_map(|array| &array.limits);
    let holds = matches!(assessment.verdict, Verdict::Within | Verdict::Close);
    if !holds || lines.any(|line| line.unit == "V") {
        return String::new();
    }
    "; no volts were checked: no component of the plan has its dc volts (max_v)".to_owned()
}

/// Behind a sentence about the stop `at`: which stops rest on typical years. Where the sentence says so of its own stop, the
/// others are of that kind too.
fn typical_years(assessment: &Assessment, at: &str, said: &str) -> String {
    let is_said = said.contains(TYPICAL_YEAR);
    let (mut typical, mut others): (Vec<&str>, bool) = (Vec::new(), false);
    for stop in &assessment.stops {
        let place = stop.place.as_str();
        let is_told = typical.contains(&place) || (is_said && place == at);
        if stop.record.kind != RecordKind::TypicalYear {
            others = true;
        } else if !is_told {
            typical.push(place);
        }
    }
    let places = || typical.join(", ");
    match (typical.is_empty(), is_said, others) {
        (true, ..) | (_, true, false) => String::new(),
        (_, true, true) => format!("; the weather of {} is of that kind too", places()),
        (_, false, false) => format!("; the weather is that of {TYPICAL_YEAR}, which holds no extremes"),
        (_, false, true) => {
            format!("; the weather of {} is that of {TYPICAL_YEAR}, which holds no extremes", places())
        }
    }
}

/// The line that decides: its stop, its array there, its place among the limits. Of the lines that count as the whole
/// does the one with the smallest margin; a tie keeps the order of the plan.
#[must_use]
pub fn decisive(assessment: &Assessment) -> Option<(usize, usize, usize)> {
    let mut best: Option<((usize, usize, usize), &LimitLine)> = None;
    for (at, stop) in assessment.stops.iter().enumerate() {
        for (number, array) in stop.arrays.iter().enumerate() {
            for (index, line) in array.limits.iter().enumerate() {
                if counted(line) == assessment.verdict
                    && best.is_none_or(|(_, other)| margin(line) < margin(other))
                {
                    best = Some(((at, number, index), line));
                }
            }
        }
    }
    best.map(|(place, _)| place)
}

/// A rule without a number says least: it speaks only where no line with a margin does. A fuse that holds is as large as its
/// label allows at most: there less room is no worse.
fn margin(line: &LimitLine) -> f64 {
    let is_at_most = fuse::RULE.is(&line.rule) && counted(line) == Verdict::Within;
    line.margin_percent.filter(|_| !is_at_most).unwrap_or(f64::INFINITY)
}

/// Lines of arrays that were held against the code sum alone.
fn code_lines(assessment: &Assessment) -> impl Iterator<Item = &LimitLine> {
    assessment.arrays.iter().flat_map(|array| &array.code_alone).flat_map(|code| &code.limits)
}

/// The worse of a line's two verdicts.
#[must_use]
pub fn counted(line: &LimitLine) -> Verdict {
    match line.code_verdict {
        Some(code) if line.verdict != Verdict::NotAssessed => line.verdict.or_worse(code),
        Some(code) => code,
        None => line.verdict,
    }
}
