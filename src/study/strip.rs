//! The week around the largest voltage, hour by hour, for the strip chart.

use crate::hourly::{Loop, Seen, each_hour};
use crate::module::DIMMEST_W_M2;
use crate::study::OpenStop;
use crate::study::results::StripHour;
use crate::time::{DAY_S, Stamp};

/// Days before and after the day of the largest voltage.
const DAYS_AROUND: i64 = 3;

/// The seven local days around the largest sudden-sun voltage (else the largest worst case).
#[must_use]
pub fn worst_week(job: &Loop<'_>, open: &OpenStop<'_>, seen: &Seen) -> Vec<StripHour> {
    let Some(peak) = seen.peak.sudden_sun.or(seen.peak.worst_case) else { return Vec::new() };
    let noon = peak.start.local_day(job.site.offset);
    let first = noon.start(job.site.offset).plus_s(-DAYS_AROUND * DAY_S);
    let end = noon.start(job.site.offset).plus_s((DAYS_AROUND + 1) * DAY_S);
    let hours = open.opened.record.hours();
    let inside = |start: Stamp| first <= start && start < end;
    let from = hours.iter().position(|hour| inside(hour.start)).unwrap_or(hours.len());
    let until =
        hours[from..].iter().position(|hour| !inside(hour.start)).map_or(hours.len(), |count| from + count);
    let mut strip = Vec::with_capacity(until - from);
    each_hour(job, &hours[from..until], |hour, _, air, lit| {
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
    strip
}
