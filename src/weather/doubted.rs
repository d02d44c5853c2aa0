//! Cold readings that the archive itself doubts: left out, and never silently.
//!
//! A flag is set by rules, and rules sometimes take the coldest morning of a winter for a fault. So the coldest doubted
//! reading of each half-year is kept aside and, where it lies below everything that was believed around it, listed with
//! what the record would say with it.

use super::{Hour, Origin};
use crate::note::{Note, NoteKind};
use crate::time::{DAY_S, Stamp};
use std::collections::BTreeMap;

/// Length of the stretches of which the coldest is kept, s: half a year, so that a bad sensor of years fills no memory.
const STRETCH_S: i64 = 183 * DAY_S;
/// Most that are listed one by one.
const LISTED: usize = 8;

#[derive(Clone, Copy, Debug)]
struct Coldest {
    air_c: f64,
    start: Stamp,
    origin: Origin,
}

/// The coldest doubted readings of a record.
#[derive(Clone, Debug, Default)]
pub(super) struct Doubted {
    coldest: BTreeMap<i64, Coldest>,
}

impl Doubted {
    /// A reading of `air_c` that is left out because it is doubted.
    pub(super) fn take(&mut self, air_c: f64, start: Stamp, origin: Origin) {
        let this = Coldest { air_c, start, origin };
        let kept = self.coldest.entry(start.0.div_euclid(STRETCH_S)).or_insert(this);
        if air_c < kept.air_c {
            *kept = this;
        }
    }

    /// One note for each that lies below all hours of the half-years before and after it.
    pub(super) fn notes(&self, hours: &[Hour], locate: impl Fn(Origin) -> String) -> Vec<Note> {
        let mut found: Vec<(Coldest, f64)> = self
            .coldest
            .values()
            .filter_map(|doubted| {
                let from = hours.partition_point(|hour| hour.start.0 < doubted.start.0 - STRETCH_S);
                let to = hours.partition_point(|hour| hour.start.0 <= doubted.start.0 + STRETCH_S);
                let kept_c = hours[from..to].iter().map(|hour| hour.air_low_c).reduce(f64::min)?;
                (doubted.air_c < kept_c).then_some((*doubted, kept_c))
            })
            .collect();
        found.sort_by(|one, other| one.0.air_c.total_cmp(&other.0.air_c));
        let more = found.len().saturating_sub(LISTED);
        let mut notes: Vec<Note> = found
            .iter()
            .take(LISTED)
            .map(|(doubted, kept_c)| {
                Note::once(
                    NoteKind::ColdExtremeDropped,
                    format!(
                        "{:.1} C on {} in {} is left out, because the archive itself marks it as doubtful. With it the \
                         lowest of the half years around would be {:.1} C instead of {kept_c:.1} C; look at its \
                         neighbours, and if it is true clear its mark in the file",
                        doubted.air_c,
                        doubted.start,
                        locate(doubted.origin),
                        doubted.air_c
                    ),
                )
            })
            .collect();
        if let Some(((first, _), true)) = found.get(LISTED).map(|first| (first, more > 0)) {
            notes.push(Note::counted(
                NoteKind::ColdExtremeDropped,
                more as u64,
                format!(
                    "{more} more half years hold a doubtful reading below all others, the coldest {:.1} C in {}",
                    first.air_c,
                    locate(first.origin)
                ),
            ));
        }
        notes
    }
}
