//! Where hours are missing close to a season's low.

use super::{Chronological, Intervals, SeasonCoverage};
use crate::note::{Note, NoteKind};
use crate::time::{DAY_S, HOUR_S, Stamp, UtcOffset};

/// How near to its low a season is searched. Chosen because a cold spell lasts three to ten days.
const NEAR_S: i64 = 5 * DAY_S;
/// Shortest gap that is mentioned, in reporting intervals. Chosen because single reports are often missing.
const INTERVALS: i64 = 4;
/// Most seasons that are named.
const NAMED: usize = 8;

/// The longest time without an hour within five days of a season's low.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// First missing moment.
    pub from: Stamp,
    /// Hours that are missing.
    pub hours: i64,
}

/// The longest gap near each season's low, in the order of `seasons`; `None` where nothing is missing there.
#[must_use]
pub fn gaps_near_lows(record: &Chronological, seasons: &[SeasonCoverage]) -> Vec<Option<Gap>> {
    let intervals = Intervals::of(&record.hours, record.step_h, UtcOffset::UTC);
    seasons
        .iter()
        .map(|season| {
            let step_s = intervals.at(season.low_at).step_s();
            let from = record.hours.partition_point(|hour| hour.start.0 < season.low_at.0 - NEAR_S);
            let to = record.hours.partition_point(|hour| hour.start.0 <= season.low_at.0 + NEAR_S);
            // The hour before and the one behind, so that a gap that reaches out of the time is seen whole.
            let near = &record.hours[from.saturating_sub(1)..(to + 1).min(record.hours.len())];
            near.windows(2)
                .map(|pair| Gap {
                    from: pair[0].start.plus_s(step_s),
                    hours: (pair[1].start.0 - pair[0].start.0 - step_s) / HOUR_S,
                })
                .filter(|gap| gap.hours > 0)
                .max_by_key(|gap| gap.hours)
        })
        .collect()
}

/// A remark on gaps near the lows of complete seasons: the true low may lie in them.
#[must_use]
pub fn gap_note(record: &Chronological, seasons: &[SeasonCoverage]) -> Option<Note> {
    let intervals = Intervals::of(&record.hours, record.step_h, UtcOffset::UTC);
    let shortest_h = |season: &SeasonCoverage| INTERVALS * i64::from(intervals.at(season.low_at).step_h);
    let found: Vec<String> = seasons
        .iter()
        .zip(gaps_near_lows(record, seasons))
        .filter(|(season, _)| season.complete)
        .filter_map(|(season, gap)| Some((season, gap.filter(|gap| gap.hours >= shortest_h(season))?)))
        .map(|(season, gap)| format!("{} ({} h from {})", season.season, gap.hours, gap.from))
        .collect();
    let more = found.len().saturating_sub(NAMED);
    let mut named = found[..found.len() - more].join(", ");
    if more > 0 {
        named.push_str(&format!(" and {more} more"));
    }
    (!found.is_empty()).then(|| {
        let text = format!(
            "hours are missing within five days of a winter's low, which may have been lower: {named}"
        );
        Note::counted(NoteKind::Gap, found.len() as u64, text)
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::super::{Hour, Origin, seasons};
    use super::*;
    use crate::sky::Light;
    use crate::time::{Hemisphere, UtcOffset};

    #[test]
    fn the_longest_gap_near_the_low_is_found() {
        let begin = Stamp::from_utc(2010, 11, 1, 0, 0, 0).unwrap();
        let low = Stamp::from_utc(2011, 1, 10, 6, 0, 0).unwrap();
        let hours = (0..24 * 130)
            .map(|at| begin.plus_s(at * HOUR_S))
            // Missing: seven hours three days before the low, twenty far away from it.
            .filter(|stamp| !(low.0 - 3 * DAY_S..low.0 - 3 * DAY_S + 7 * HOUR_S).contains(&stamp.0))
            .filter(|stamp| !(low.0 + 20 * DAY_S..low.0 + 20 * DAY_S + 20 * HOUR_S).contains(&stamp.0))
            .map(|start| {
                #[expect(clippy::cast_precision_loss)]
                let air_c = -20.0 + (start.0 - low.0).abs() as f64 / 1e5;
                Hour {
                    start,
                    air_mean_c: air_c,
                    air_low_c: air_c,
                    air_high_c: 0.0,
                    wind_m_s: None,
                    light: Light::Unknown,
                    origin: Origin { file: 0, line: 1 },
                }
            })
            .collect();
        let record = Chronological { hours, step_h: 1 };
        let seasons = seasons(&record, Hemisphere::North, UtcOffset::UTC);
        let gaps = gaps_near_lows(&record, &seasons);
        assert_eq!(gaps, [Some(Gap { from: low.plus_s(-3 * DAY_S), hours: 7 })]);
        let note = gap_note(&record, &seasons).unwrap();
        assert!(note.text.contains("2010/11 (7 h from 2011-01-07T06:00:00Z)"), "{}", note.text);
    }
}
