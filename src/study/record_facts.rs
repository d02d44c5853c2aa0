//! A record in numbers: span, coverage, lowest reading.

use crate::study::results::{RecordFacts, RecordKind};
use crate::time::UtcOffset;
use crate::weather::{Intervals, Opened, Record, SeasonCoverage};

/// Hours of a common year, which is what a typical year promises.
const TYPICAL_YEAR_H: f64 = 8760.0;

/// The record's numbers. `seasons` are those of a chronological record; empty for a typical year.
#[must_use]
pub fn record_facts(opened: &Opened, seasons: &[SeasonCoverage]) -> RecordFacts {
    let record = &opened.record;
    let hours = record.hours();
    let (first, last) = record.span();
    let lowest = record.lowest();
    let coverage = match record {
        Record::Chronological(record) => {
            Intervals::of(hours, record.step_h, UtcOffset::UTC).share(&record.hours)
        }
        Record::TypicalYear(_) => (hours.len() as f64 / TYPICAL_YEAR_H).min(1.0),
    };
    RecordFacts {
        format: opened.format(),
        files: opened
            .files
            .iter()
            .map(|file| {
                file.path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
            })
            .collect(),
        kind: if record.is_chronological() { RecordKind::Chronological } else { RecordKind::TypicalYear },
        first,
        last,
        hours: hours.len(),
        winters: seasons.len(),
        complete_winters: seasons.iter().filter(|season| season.complete).count(),
        coverage,
        lowest_c: lowest.map_or(0.0, |hour| hour.air_low_c),
        lowest_at: lowest.map_or(first, |hour| hour.start),
    }
}
