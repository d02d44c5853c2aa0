//! The week around the largest voltage, hour by hour, for the strip chart.

use crate::hourly::{Loop, Seen, each_hour};
use crate::module::DIMMEST_W_M2;
use crate::study::OpenStop;
use crate::study::results::StripHour;
use crate::sun::STEPS;
use crate::time::{DAY_S, HOUR_S, LocalDay, Stamp, UtcOffset};
use crate::trip::Window;

/// Days before and after the day of the largest voltage.
const DAYS_AROUND: i64 = 3;

/// First day and end of the strip: seven local days around `day`, moved so far that they lie in the stay. A shorter stay
/// is shown whole, without the days beside it, which count in no figure.
fn days_around(day: LocalDay, window: Option<&Window>, offset: UtcOffset) -> (Stamp, Stamp) {
    let noon = day.start(offset);
    let (first, end) = (noon.plus_s(-DAYS_AROUND * DAY_S), noon.plus_s((DAYS_AROUND + 1) * DAY_S));
    let stay = window.and_then(|window| window.days_from(window.year_of(day)?));
    let Some((arrive, leave)) = stay else { return (first, end) };
    let (arrive, left) = (arrive.start(offset), leave.start(offset).plus_s(DAY_S));
    let length_s = (2 * DAYS_AROUND + 1) * DAY_S;
    let first = first.min(left.plus_s(-length_s)).max(arrive);
    (first, first.plus_s(length_s).min(left))
}

/// A week hour by hour, and rating by rating the hours of it in which sudden sun passes, counted in 5-minute steps as over the whole
/// record: a clock hour with a few bright minutes counts for these alone.
pub struct Week {
    /// Its hours.
    pub hours: Vec<StripHour>,
    /// Rating, V, and how long it is passed, h.
    pub over_h: Vec<(f64, f64)>,
}

/// The seven local days around the largest sudden-sun voltage (else the largest worst case), inside the stay.
#[must_use]
pub fn worst_week(job: &Loop<'_>, open: &OpenStop<'_>, seen: &Seen) -> Week {
    let mut over_h: Vec<(f64, f64)> = job.ratings.iter().map(|&rating| (rating, 0.0)).collect();
    let Some(peak) = seen.peak.sudden_sun.or(seen.peak.worst_case) else {
        return Week { hours: Vec::new(), over_h };
    };
    let offset = job.site.offset;
    let (first, end) = days_around(peak.start.local_day(offset), open.stop.window.as_ref(), offset);
    let hours = open.opened.record.hours();
    let inside = |start: Stamp| first <= start && start < end;
    let from = hours.iter().position(|hour| inside(hour.start)).unwrap_or(hours.len());
    let until =
        hours[from..].iter().position(|hour| !inside(hour.start)).map_or(hours.len(), |count| from + count);
    let mut strip = Vec::with_capacity(until - from);
    let of_week = &hours[from..until];
    // What a report stands for: up to the next one, and no longer than they commonly lie apart.
    let gaps = of_week.windows(2).map(|pair| pair[1].start.0 - pair[0].start.0);
    #[expect(clippy::cast_precision_loss, reason = "a few hours")]
    let stands_for_h = gaps.min().unwrap_or(HOUR_S).clamp(HOUR_S, 6 * HOUR_S) as f64 / HOUR_S as f64;
    each_hour(job, of_week, |hour, _, air, lit| {
        if let Some((state, groups)) = lit {
            for (rating, passed_h) in &mut over_h {
                if state.peak.sudden_sun.is_none_or(|spot| spot.volts <= *rating) {
                    continue;
                }
                let steps = groups
                    .iter()
                    .zip(job.groups)
                    .fold(0_u16, |bits, (group, ready)| bits | group.sudden_steps_over(ready, air, *rating));
                *passed_h += f64::from(steps.count_ones()) / STEPS as f64 * stands_for_h;
            }
        }
        let row = match lit {
            None => StripHour {
                start: hour.start,
                air_c: air.mean.0,
                plane_w_m2: 0.0,
                steady_v: Some(0.0),
                sudden_sun_v: Some(0.0),
                worst_case_v: Some(0.0),
            },
            Some((state, _)) => StripHour {
                start: hour.start,
                air_c: air.mean.0,
                plane_w_m2: state.plane_mean_w_m2,
                steady_v: state
                    .peak
                    .steady
                    .filter(|_| state.plane_mean_w_m2 >= DIMMEST_W_M2)
                    .map(|spot| spot.volts),
                sudden_sun_v: state.peak.sudden_sun.map(|spot| spot.volts),
                worst_case_v: state.peak.worst_case.map(|spot| spot.volts),
            },
        };
        strip.push(row);
    });
    Week { hours: strip, over_h }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::time::MonthDay;

    /// First and last day of the strip, by the calendar.
    fn strip(day: (i32, u32, u32), stay: Option<((u32, u32), (u32, u32))>) -> (String, String) {
        let month_day =
            |(month, day): (u32, u32)| LocalDay::from_civil(2000, month, day).unwrap().month_day();
        let window = stay.map(|(arrive, leave)| -> Window {
            let (arrive, leave): (MonthDay, MonthDay) = (month_day(arrive), month_day(leave));
            Window { arrive, leave }
        });
        let day = LocalDay::from_civil(day.0, day.1, day.2).unwrap();
        let (first, end) = days_around(day, window.as_ref(), UtcOffset::UTC);
        let named = |at: Stamp| at.local_day(UtcOffset::UTC).to_string();
        (named(first), named(end.plus_s(-1)))
    }

    #[test]
    fn the_week_lies_in_the_stay_and_a_shorter_stay_is_shown_whole() {
        let days = |first: &str, last: &str| (first.to_owned(), last.to_owned());
        assert_eq!(strip((2018, 2, 3), None), days("2018-01-31", "2018-02-06"));
        let stay = Some(((1, 25), (2, 3)));
        assert_eq!(strip((2018, 2, 3), stay), days("2018-01-28", "2018-02-03"));
        assert_eq!(strip((2018, 1, 26), stay), days("2018-01-25", "2018-01-31"));
        assert_eq!(strip((2018, 1, 30), stay), days("2018-01-27", "2018-02-02"));
        // over the turn of the year, and five days only
        let stay = Some(((12, 30), (1, 3)));
        assert_eq!(strip((2019, 1, 1), stay), days("2018-12-30", "2019-01-03"));
        assert_eq!(strip((2018, 12, 30), stay), days("2018-12-30", "2019-01-03"));
    }
}
