//! How the record of a stop is cut into blocks, and whether any hour of it lies in the dates asked for.

use crate::hourly::Blocks;
use crate::plan::Plan;
use crate::study::{OpenStop, StudyError};
use crate::trip::{Window, years_after_start};

/// How a stop's record is cut: seasons, or the trip's windows; a typical year is not cut.
pub(super) fn cut(plan: &Plan, index: usize, open: &OpenStop<'_>) -> Option<Blocks> {
    if !open.is_chronological() {
        return None;
    }
    let hemisphere = open.site.hemisphere;
    Some(match open.stop.window {
        None => Blocks::Seasons(hemisphere),
        Some(window) => {
            Blocks::Windows { window, years_after_start: years_after_start(&plan.stops, index), hemisphere }
        }
    })
}

pub(super) fn refuse_empty_window(open: &OpenStop<'_>, window: Option<Window>) -> Result<(), StudyError> {
    let Some(window) = window else { return Ok(()) };
    let mut last_day = None;
    let inside = open.opened.record.hours().iter().any(|hour| {
        let day = hour.start.local_day(open.site.offset);
        let new = last_day != Some(day);
        last_day = Some(day);
        new && if open.is_chronological() {
            window.year_of(day).is_some()
        } else {
            window.holds(day.month_day())
        }
    });
    if inside {
        return Ok(());
    }
    Err(StudyError::NothingInWindow {
        place: open.stop.place.clone(),
        window: format!("{} to {}", window.arrive, window.leave),
        first: open.span.0.iso(),
        last: open.span.1.iso(),
    })
}
