//! Readings years away from all others: a mistyped year, or a row that belongs to another file. Kept, one of them would
//! stretch the record over winters that nobody meant to look at.

use super::{Hour, Origin};
use crate::note::{Note, NoteKind};
use crate::time::{DAY_S, UtcOffset};

/// Time without a reading on every side that sets hours apart. Chosen as two years: files of single years are left out of a
/// download by ones, and a station that rests longer comes back for more than a day.
const AWAY_S: i64 = 2 * 366 * DAY_S;
/// Most hours that may stand there. Chosen as a day: more was measured on purpose.
const MOST_HOURS: usize = 24;
/// Fewest hours of the rest, so that there is a record that they are away from. Chosen: about a month.
const FEWEST_HOURS: usize = 700;
/// Most that are named.
const NAMED: usize = 5;

/// Leaves out hours years away from all others, and says which. `hours` are in order; `locate` names file and line.
pub(super) fn leave_out(hours: &mut Vec<Hour>, locate: impl Fn(Origin) -> String) -> Option<Note> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    let mut begin = 0;
    for next in 1..=hours.len() {
        if next == hours.len() || hours[next].start.0 - hours[next - 1].start.0 > AWAY_S {
            runs.push((begin, next));
            begin = next;
        }
    }
    runs.retain(|(begin, end)| end - begin <= MOST_HOURS);
    let count: usize = runs.iter().map(|(begin, end)| end - begin).sum();
    if count == 0 || hours.len() - count < FEWEST_HOURS {
        return None;
    }
    let strays = || runs.iter().flat_map(|&(begin, end)| &hours[begin..end]);
    let low_c = strays().map(|hour| hour.air_low_c).fold(f64::INFINITY, f64::min);
    let mut named: Vec<String> = strays()
        .take(NAMED)
        .map(|hour| format!("{} ({})", locate(hour.origin), hour.start.local_day(UtcOffset::UTC)))
        .collect();
    if count > NAMED {
        named.push(format!("and {} more", count - NAMED));
    }
    let text = format!(
        "{count} x an hour more than two years from all others: {}; left out, as of a mistyped year (the lowest is {low_c:.1} °C); \
         correct the year, or add the readings between",
        named.join(", ")
    );
    let mut index = 0;
    hours.retain(|_| {
        let is_stray = runs.iter().any(|&(begin, end)| (begin..end).contains(&index));
        index += 1;
        !is_stray
    });
    Some(Note::counted(NoteKind::Doubtful, count as u64, text))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sky::Light;
    use crate::time::{HOUR_S, Stamp};

    fn hours(runs: &[(i64, usize)]) -> Vec<Hour> {
        let hour = |start: i64| Hour {
            start: Stamp(start),
            air_mean_c: 0.0,
            air_low_c: -1.0,
            air_high_c: 1.0,
            wind_m_s: None,
            light: Light::Unknown,
            origin: Origin { file: 0, line: 1 },
        };
        let of = |&(day, count): &(i64, usize)| {
            (0..count).map(move |at| hour(day * DAY_S + i64::try_from(at).unwrap_or(0) * HOUR_S))
        };
        runs.iter().flat_map(of).collect()
    }

    /// Days counted from an epoch; what is left is counted by hand.
    #[test]
    fn only_a_few_hours_years_away_are_left_out() {
        for (runs, left, told) in [
            // before, between and behind; one reading each
            (&[(0, 1), (1000, 800), (2000, 1), (3000, 800), (9000, 1)][..], 1600, Some(3)),
            // a day behind is left out, a day and an hour is a campaign
            (&[(0, 800), (9000, 24)][..], 800, Some(24)),
            (&[(0, 800), (9000, 25)][..], 825, None),
            // less than two years away
            (&[(0, 800), (700, 1)][..], 801, None),
            // nothing that it is away from
            (&[(0, 600), (9000, 1)][..], 601, None),
            (&[][..], 0, None),
        ] {
            let mut record = hours(runs);
            let note = leave_out(&mut record, |_| "file:1".to_owned());
            assert_eq!((record.len(), note.map(|note| note.count)), (left, told), "{runs:?}");
        }
    }
}
