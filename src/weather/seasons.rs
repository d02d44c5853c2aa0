//! Season by season: how much of the cold time the record holds, and its low.

use super::daily_course::days;
use super::intervals::held_reports;
use super::{Chronological, Hour, Intervals, Origin};
use crate::note::{Note, NoteKind};
use crate::time::{DAY_S, Hemisphere, LocalDay, Season, Stamp, UtcOffset};

/// Share of the promised reports from which on a season counts as complete (decided for this project: gaps in cold
/// are not random).
pub const COMPLETE_SHARE: f64 = 0.95;
/// Length of the cold window in calendar days.
const WINDOW_DAYS: usize = 90;
/// Seasons from which on the record itself says when it is cold.
const SEASONS_FOR_OWN_WINDOW: usize = 5;
/// Slots of a season's calendar, 29 February included.
const SLOTS: usize = 366;

/// One season of a record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeasonCoverage {
    /// Which.
    pub season: Season,
    /// Reports in the cold window over those that the season's own interval promises, 0 to 1.
    pub share: f64,
    /// That interval, h, as it is in the middle of the window.
    pub step_h: u32,
    /// Whether the share reaches [`COMPLETE_SHARE`].
    pub complete: bool,
    /// Lowest air temperature of the whole season, C.
    pub low_c: f64,
    /// The hour of that low.
    pub low_at: Stamp,
    /// Where it stands.
    pub origin: Origin,
}

/// All seasons of which the record holds at least one hour, in order. `offset` is that of the local days.
///
/// The cold window is the 90 calendar days with the lowest mean over the record; under five seasons it is December
/// to February, south of the equator June to August.
#[must_use]
pub fn seasons(record: &Chronological, hemisphere: Hemisphere, offset: UtcOffset) -> Vec<SeasonCoverage> {
    let mut spans: Vec<(Season, &[Hour])> = Vec::new();
    let mut rest = &record.hours[..];
    while let Some(first) = rest.first() {
        let season = Season::of(first.start.local_day(offset), hemisphere);
        let end = season.end_day().start(offset);
        let (inside, after) = rest.split_at(rest.partition_point(|hour| hour.start < end).max(1));
        spans.push((season, inside));
        rest = after;
    }
    let window = cold_window(&spans, hemisphere, offset);
    let intervals = Intervals::of(&record.hours, record.step_h, offset);
    spans.iter().filter_map(|&(season, hours)| coverage(season, hours, &intervals, window, offset)).collect()
}

fn coverage(
    season: Season,
    hours: &[Hour],
    intervals: &Intervals,
    window: (usize, usize),
    offset: UtcOffset,
) -> Option<SeasonCoverage> {
    let low = hours.iter().reduce(|low, hour| if hour.air_low_c < low.air_low_c { hour } else { low })?;
    let days =
        || calendar(season).filter(|&(slot, _)| (window.0..window.1).contains(&slot)).map(|(_, day)| day);
    let (first, last) = (days().next()?, days().last()?);
    let middle = intervals.on(LocalDay(first.0 + (last.0 - first.0) / 2));
    let (mut held, mut promised) = (0, 0);
    let mut day = first;
    while day <= last {
        // Stretches of one interval: a window that reaches over the first of April or October has two.
        let interval = intervals.on(day);
        let begin = day;
        while day <= last && intervals.on(day) == interval {
            day = LocalDay(day.0 + 1);
        }
        let (begin_at, end_at) = (begin.start(offset), day.start(offset));
        let from = hours.partition_point(|hour| hour.start < begin_at);
        let to = hours.partition_point(|hour| hour.start < end_at);
        held += held_reports(interval, &hours[from..to]);
        promised += i64::from(day.0 - begin.0) * DAY_S / interval.step_s();
    }
    #[expect(clippy::cast_precision_loss, reason = "a few thousand reports")]
    let share = (held as f64 / promised.max(1) as f64).min(1.0);
    Some(SeasonCoverage {
        season,
        share,
        step_h: middle.step_h,
        complete: share >= COMPLETE_SHARE,
        low_c: low.air_low_c,
        low_at: low.start,
        origin: low.origin,
    })
}

/// The days of a season with their slot in a calendar that has 29 February in every season.
fn calendar(season: Season) -> impl Iterator<Item = (usize, LocalDay)> {
    let (first, end) = (season.first_day(), season.end_day());
    // The last of February is slot `leap - 1` from the season's begin; a season without the 29th skips it.
    let leap_slot = if first.month_day().month == 1 { 59 } else { 243 };
    let short = end.0 - first.0 < 366;
    (first.0..end.0)
        .enumerate()
        .map(move |(at, day)| (at + usize::from(short && at >= leap_slot), LocalDay(day)))
}

/// First and one-past-last slot of the cold window.
fn cold_window(spans: &[(Season, &[Hour])], hemisphere: Hemisphere, offset: UtcOffset) -> (usize, usize) {
    // December 1st and June 1st, counted from the season's begin with 29 February.
    let fixed = match hemisphere {
        Hemisphere::North => 153,
        Hemisphere::South => 152,
    };
    let fixed_days = if hemisphere == Hemisphere::North { 91 } else { 92 };
    if spans.len() < SEASONS_FOR_OWN_WINDOW {
        return (fixed, fixed + fixed_days);
    }
    let mut sums = [(0.0_f64, 0_u32); SLOTS];
    for &(season, hours) in spans {
        let slots: Vec<usize> = calendar(season).map(|(slot, _)| slot).collect();
        let first = season.first_day();
        for hour in hours {
            let day = hour.start.local_day(offset).0 - first.0;
            if let Some(&slot) = usize::try_from(day).ok().and_then(|day| slots.get(day)) {
                sums[slot].0 += hour.air_mean_c;
                sums[slot].1 += 1;
            }
        }
    }
    let means: Vec<f64> = sums.iter().filter(|sum| sum.1 > 0).map(|sum| sum.0 / f64::from(sum.1)).collect();
    if means.len() + 1 < SLOTS {
        // Some day of the year is never reported (29 February aside): the record cannot say which days are coldest.
        return (fixed, fixed + fixed_days);
    }
    let coldest = means
        .windows(WINDOW_DAYS)
        .map(|days| days.iter().sum::<f64>())
        .enumerate()
        .fold((0, f64::INFINITY), |best, (at, sum)| if sum < best.1 { (at, sum) } else { best })
        .0;
    (coldest, coldest + WINDOW_DAYS)
}

/// Degrees beyond which no place has its warmer half of the year in the other half's summer.
const TROPICS_DEG: f64 = 23.5;
/// How much warmer the wrong month has to be, K. Chosen above what two Januaries of a few days may bring.
const WRONG_SIDE_K: f64 = 3.0;

/// A doubt about the sign of a latitude, where January or July is the warmer one on its wrong side.
fn wrong_side(latitude: f64, means: Option<(f64, f64)>) -> Option<Note> {
    let (january, july) = means?;
    let north = Hemisphere::of_latitude(latitude) == Hemisphere::North;
    let excess = if north { january - july } else { july - january };
    (latitude.abs() > TROPICS_DEG && excess > WRONG_SIDE_K).then(|| {
        let (warm, cold) = if north { ("January", "July") } else { ("July", "January") };
        let text = format!(
            "{warm} is {excess:.0} K warmer than {cold}, and the latitude of {latitude} lies {} of the equator: is its sign \
             right (south is negative)? Seasons, light, and the hours over a limit, are wrong where it is not",
            if north { "north" } else { "south" }
        );
        Note::once(NoteKind::Place, text)
    })
}

/// Which half of the earth: by the latitude, else by the warmer of January and July, with a note; where the record
/// is too short to tell, north.
#[must_use]
pub fn hemisphere(latitude: Option<f64>, hours: &[Hour]) -> (Hemisphere, Option<Note>) {
    let mut sums = [(0.0_f64, 0_u32); 2];
    for day in days(hours) {
        let sum = match day[0].start.local_day(UtcOffset::UTC).month_day().month {
            1 => &mut sums[0],
            7 => &mut sums[1],
            _ => continue,
        };
        for hour in day {
            sum.0 += hour.air_mean_c;
            sum.1 += 1;
        }
    }
    let [january, july] = sums.map(|(sum, count)| (count > 0).then(|| sum / f64::from(count)));
    if let Some(latitude) = latitude {
        return (Hemisphere::of_latitude(latitude), wrong_side(latitude, january.zip(july)));
    }
    let (hemisphere, why) = match (january, july) {
        (Some(january), Some(july)) if january > july => (Hemisphere::South, "January is warmer than July"),
        (Some(_), Some(_)) => (Hemisphere::North, "July is warmer than January"),
        _ => (Hemisphere::North, "the record is too short to tell"),
    };
    let side = match hemisphere {
        Hemisphere::North => "north of the equator, with seasons from July to June",
        Hemisphere::South => "south of the equator, with seasons from January to December",
    };
    let text =
        format!("the station's latitude is not known; taken as {side} ({why}); give its latitude to be sure");
    (hemisphere, Some(Note::once(NoteKind::Assumed, text)))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::sky::Light;
    use crate::time::HOUR_S;

    fn hour(start: Stamp, air_c: f64) -> Hour {
        Hour {
            start,
            air_mean_c: air_c,
            air_low_c: air_c,
            air_high_c: 0.0,
            wind_m_s: None,
            light: Light::Unknown,
            origin: Origin { file: 0, line: 1 },
        }
    }

    /// Hourly, coldest on 20 January.
    fn record(from_year: i32, to_year: i32, step_h: u32, keep: impl Fn(Stamp) -> bool) -> Chronological {
        let begin = Stamp::from_utc(from_year, 7, 1, 0, 0, 0).unwrap();
        let end = Stamp::from_utc(to_year, 7, 1, 0, 0, 0).unwrap();
        let step = i64::from(step_h) * HOUR_S;
        let hours = (begin.0..end.0)
            .step_by(usize::try_from(step).unwrap())
            .map(Stamp)
            .filter(|&stamp| keep(stamp))
            .map(|stamp| {
                let day = f64::from(stamp.local_day(UtcOffset::UTC).0);
                hour(stamp, -20.0 * ((day - 19.0) / 365.25 * std::f64::consts::TAU).cos())
            })
            .collect();
        Chronological { hours, step_h }
    }

    #[test]
    fn whole_winters_are_complete_at_any_interval() {
        for step_h in [1, 3] {
            let seasons = seasons(&record(2000, 2008, step_h, |_| true), Hemisphere::North, UtcOffset::UTC);
            assert_eq!(seasons.len(), 8);
            assert!(seasons.iter().all(|season| season.complete && season.share > 0.999), "{seasons:?}");
        }
    }

    #[test]
    fn a_month_without_reports_breaks_its_winter_only() {
        let hole = |stamp: Stamp| {
            let date = stamp.local_day(UtcOffset::UTC);
            !(date.year() == 2004 && date.month_day().month == 1)
        };
        let seasons = seasons(&record(2000, 2008, 1, hole), Hemisphere::North, UtcOffset::UTC);
        let broken: Vec<_> = seasons.iter().filter(|season| !season.complete).collect();
        assert_eq!(broken.len(), 1);
        assert_eq!(broken[0].season.to_string(), "2003/04");
        // 31 of the 90 days around 20 January are gone.
        assert!((broken[0].share - 59.0 / 90.0).abs() < 0.012, "{}", broken[0].share);
    }

    #[test]
    fn the_window_lies_around_the_coldest_day() {
        let record = record(2000, 2008, 1, |_| true);
        let spans: Vec<_> = (2000..2008)
            .map(|year| {
                let season = Season::new(year, Hemisphere::North);
                let from = record
                    .hours
                    .partition_point(|hour| hour.start < season.first_day().start(UtcOffset::UTC));
                let to =
                    record.hours.partition_point(|hour| hour.start < season.end_day().start(UtcOffset::UTC));
                (season, &record.hours[from..to])
            })
            .collect();
        let (from, to) = cold_window(&spans, Hemisphere::North, UtcOffset::UTC);
        // 20 January is day 203 of the season; the window is centred on it.
        assert!((from + to).abs_diff(2 * 203) <= 4, "{from}..{to}");
        assert_eq!(cold_window(&spans[..3], Hemisphere::North, UtcOffset::UTC), (153, 244));
    }

    #[test]
    fn december_to_february_is_meant_where_the_record_is_short() {
        let season = Season::new(2010, Hemisphere::North);
        let days: Vec<LocalDay> =
            calendar(season).filter(|(slot, _)| (153..244).contains(slot)).map(|(_, day)| day).collect();
        assert_eq!(days.first(), LocalDay::from_civil(2010, 12, 1).as_ref());
        assert_eq!(days.last(), LocalDay::from_civil(2011, 2, 28).as_ref());
        let leap: Vec<LocalDay> = calendar(Season::new(2011, Hemisphere::North))
            .filter(|(slot, _)| (153..244).contains(slot))
            .map(|(_, day)| day)
            .collect();
        assert_eq!(leap.last(), LocalDay::from_civil(2012, 2, 29).as_ref());
        let south: Vec<LocalDay> = calendar(Season::new(2011, Hemisphere::South))
            .filter(|(slot, _)| (152..244).contains(slot))
            .map(|(_, day)| day)
            .collect();
        assert_eq!(south.first(), LocalDay::from_civil(2011, 6, 1).as_ref());
        assert_eq!(south.last(), LocalDay::from_civil(2011, 8, 31).as_ref());
    }

    #[test]
    fn the_warmer_of_january_and_july_tells_the_hemisphere() {
        let (north, note) = hemisphere(None, &record(2000, 2001, 1, |_| true).hours);
        assert_eq!(north, Hemisphere::North);
        assert!(note.is_some());
        let mut flipped = record(2000, 2001, 1, |_| true).hours;
        flipped.iter_mut().for_each(|hour| hour.air_mean_c = -hour.air_mean_c);
        assert_eq!(hemisphere(None, &flipped).0, Hemisphere::South);
        assert_eq!(hemisphere(Some(10.0), &flipped).0, Hemisphere::North);
        // A sign that was forgotten is doubted outside the tropics, on either side; a right one never.
        let north = record(2000, 2001, 1, |_| true).hours;
        for (latitude, hours, doubted) in [
            (-45.0, &north, true),
            (45.0, &flipped, true),
            (45.0, &north, false),
            (-45.0, &flipped, false),
            (10.0, &flipped, false),
        ] {
            let note = hemisphere(Some(latitude), hours).1;
            assert_eq!(
                note.is_some_and(|note| note.text.contains("is its sign right")),
                doubted,
                "{latitude}"
            );
        }
        assert_eq!(hemisphere(None, &[]).0, Hemisphere::North);
    }
}
