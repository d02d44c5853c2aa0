//! How few seasons stand behind the volts of a stop: said where more years of weather would move them.

use super::{ArrayFigures, At};
use crate::assumptions::CodeTemperature;
use crate::limits::DecidedBy;
use crate::limits::voltage::{ALLOWANCE_K, LEVEL_SEASONS};
use crate::note::{Note, NoteKind};
use crate::study::temperatures::LEVEL_WINTERS;
use crate::units::so_many;

/// A line where the allowance, or fewer than ten complete seasons, stand behind the figure that decides.
pub(super) fn note(at: &At<'_>, figures: &ArrayFigures) -> Option<Note> {
    let stop = at.open.stop;
    let (_, by) = figures.decide.largest()?;
    let is_allowed = by == DecidedBy::Allowance;
    if is_allowed && !at.open.is_chronological() {
        return Some(Note::once(
            NoteKind::TypicalYear,
            format!(
                "volts at {}: a typical year, so an allowance of {ALLOWANCE_K} K is inside; a station's record of \
                 {LEVEL_SEASONS} winters or more would replace it",
                stop.place
            ),
        ));
    }
    // A code temperature that somebody gave or published rests on no season of this record.
    let is_given = stop.code_temperature.is_some()
        || matches!(at.plan.assumptions.code_temperature, CodeTemperature::Fixed(_))
        || at.design.published.is_some();
    if (by == DecidedBy::Code && is_given) || (!is_allowed && figures.complete >= LEVEL_WINTERS) {
        return None;
    }
    let noun = if stop.window.is_some() { "complete stay" } else { "complete season" };
    let held = match figures.complete {
        0 => format!("no {noun}"),
        complete if is_allowed => so_many(complete, noun),
        complete => format!("only {}", so_many(complete, noun)),
    };
    let rest = if is_allowed {
        format!(", so an allowance of {ALLOWANCE_K} K is inside; {LEVEL_SEASONS} or more would replace it")
    } else {
        format!("; {LEVEL_WINTERS} or more would make them surer")
    };
    Some(Note::once(NoteKind::ShortRecord, format!("volts at {}: {held}{rest}", stop.place)))
}
