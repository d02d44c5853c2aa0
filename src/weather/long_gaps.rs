//! Whole months or years that a record skips: mostly a file that was not downloaded.

use super::{Chronological, Intervals, SeasonCoverage};
use crate::note::{Note, NoteKind};
use crate::time::{DAY_S, Hemisphere, Season, UtcOffset};

/// Shortest gap that is named. Chosen because outages end sooner and a missing file mostly holds a year.
const LONG_S: i64 = 60 * DAY_S;
/// Most gaps that are named.
const NAMED: usize = 5;

/// A remark on long gaps: from when to when, and how many winters wait for the files of that time.
#[must_use]
pub fn long_gap_note(
    record: &Chronological,
    hemisphere: Hemisphere,
    seasons: &[SeasonCoverage],
) -> Option<Note> {
    let long: Vec<_> =
        record.hours.windows(2).filter(|pair| pair[1].start.0 - pair[0].start.0 > LONG_S).collect();
    if long.is_empty() {
        return None;
    }
    let intervals = Intervals::of(&record.hours, record.step_h, UtcOffset::UTC);
    let named: Vec<String> = long
        .iter()
        .take(NAMED)
        .map(|pair| {
            let from = pair[0].start.plus_s(intervals.at(pair[0].start).step_s()).local_day(UtcOffset::UTC);
            let to = pair[1].start.plus_s(-1).local_day(UtcOffset::UTC);
            let complete = |season: Season| seasons.iter().any(|one| one.season == season && one.complete);
            let winters = (Season::of(from, hemisphere).first_year..=Season::of(to, hemisphere).first_year)
                .filter(|&year| !complete(Season::new(year, hemisphere)))
                .count();
            let files =
                if from.year() == to.year() { "that year's file" } else { "the files of those years" };
            let gain = match winters {
                0 => String::new(),
                1 => format!(": with {files} 1 more winter may count"),
                more => format!(": with {files} {more} more winters may count"),
            };
            format!("from {from} to {to}{gain}")
        })
        .collect();
    let more = match long.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!("; and {more} more such gaps"),
    };
    Some(Note::counted(NoteKind::Gap, long.len() as u64, format!("no reading {}{more}", named.join("; "))))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::super::{Record, Request, open, seasons};
    use super::*;
    use std::path::PathBuf;

    /// The fixture lacks the file of 2014 (its note of provenance says so); 2013/14 and 2014/15 are torn by that.
    #[test]
    fn the_year_that_a_record_skips_is_named() {
        let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/formats/isd_lite");
        let files: Vec<PathBuf> =
            [2012, 2013, 2015, 2016].iter().map(|year| root.join(format!("725300-{year}.gz"))).collect();
        let opened = open(&Request { files: &files, columns: None, utc_offset: None }).unwrap();
        let Record::Chronological(record) = opened.record else { panic!("a typical year") };
        let seasons = seasons(&record, Hemisphere::North, UtcOffset::UTC);
        let note = long_gap_note(&record, Hemisphere::North, &seasons).unwrap();
        assert_eq!(
            note.text,
            "no reading from 2014-01-01 to 2014-12-31: with that year's file 2 more winters may count"
        );
        let first = &record.hours[..100];
        let short = Chronological { hours: first.to_vec(), step_h: 1 };
        assert_eq!(long_gap_note(&short, Hemisphere::North, &[]), None);
    }
}
