//! Does the air fit the place? The warmest hour of the day against the sun's noon, the warm half of the year against the
//! side of the equator. It catches a forgotten sign of a coordinate and stamps of another zone where no light is read.

use super::Hour;
use crate::time::{DAY_S, HOUR_S, Hemisphere, MonthDay, UtcOffset};

/// Hours of a day.
const DAY_H: f64 = 24.0;
/// When the air is warmest, h after midnight by the sun: three hours behind noon (common practice, no source: one to
/// five hours behind it).
const WARMEST_H: f64 = 15.0;
/// Distance from [`WARMEST_H`] that is not believed, h. Chosen because coasts and cloud shift it by less.
const APART_H: f64 = 5.0;
/// Least range of the mean day, K. Chosen because seas and polar nights lie below, where weather makes the warmest hour.
const CLEAR_K: f64 = 4.0;
/// Fewest days that tell. Chosen so that passing fronts average out.
const DAYS: u32 = 60;
/// Nearer to the equator than this the months say nothing of the side, degrees. Chosen because rains make the seasons
/// there.
const TROPIC_DEG: f64 = 15.0;
/// Fewest days of January and of July that tell.
const MONTH_DAYS: u32 = 20;
/// Least difference of those months, K.
const MONTHS_APART_K: f64 = 3.0;

/// Days of a record, by UTC, none of them empty.
pub(super) fn days(hours: &[Hour]) -> impl Iterator<Item = &[Hour]> {
    let mut rest = hours;
    std::iter::from_fn(move || {
        let begin = rest.first()?.start.0.div_euclid(DAY_S) * DAY_S;
        // Compared, not divided hour by hour: a record is gone through in days several times.
        let day = begin..begin + DAY_S;
        let length = rest.iter().position(|hour| !day.contains(&hour.start.0)).unwrap_or(rest.len());
        let (this, behind) = rest.split_at(length);
        rest = behind;
        Some(this)
    })
}

/// Hour of the day, 0 to 23, by UTC.
fn clock(hour: &Hour) -> usize {
    usize::try_from(hour.start.0.rem_euclid(DAY_S) / HOUR_S).unwrap_or(0)
}

/// The warmest hour of the mean day, h by UTC; `None` where the days are too few or too even. Each day is taken against
/// its own mean, so that gaps in a season weigh nothing.
#[must_use]
pub fn warmest_hour_utc(hours: &[Hour]) -> Option<f64> {
    let mut sums = [(0.0_f64, 0_u32); 24];
    let mut whole_days = 0;
    for day in days(hours) {
        let mut of_day = [(0.0_f64, 0_u32); 24];
        for hour in day {
            let (sum, count) = &mut of_day[clock(hour)];
            *sum += hour.air_mean_c;
            *count += 1;
        }
        // Half a day's mean would bend the course.
        if of_day.chunks_exact(6).any(|quarter| quarter.iter().all(|&(_, count)| count == 0)) {
            continue;
        }
        whole_days += 1;
        let mean_c = of_day.iter().map(|(sum, _)| sum).sum::<f64>() / day.len() as f64;
        for ((sum, count), (this, times)) in sums.iter_mut().zip(of_day) {
            *sum += this - f64::from(times) * mean_c;
            *count += times;
        }
    }
    if whole_days < DAYS {
        return None;
    }
    // Hours that few days report stand on other days than the rest.
    let course = || {
        sums.iter()
            .enumerate()
            .filter(|(_, (_, count))| count * 2 >= whole_days)
            .map(|(at, (sum, count))| (at as f64 + 0.5, sum / f64::from(*count)))
    };
    let warmest = course().max_by(|one, other| one.1.total_cmp(&other.1))?;
    let coldest = course().min_by(|one, other| one.1.total_cmp(&other.1))?;
    (warmest.1 - coldest.1 > CLEAR_K).then_some(warmest.0)
}

/// The warmest hour of the mean day by the sun at this longitude, h, where it lies too far from the afternoon.
#[must_use]
pub fn warmest_hour_apart(hours: &[Hour], longitude_deg: f64) -> Option<f64> {
    let by_sun_h = (warmest_hour_utc(hours)? + longitude_deg / 15.0).rem_euclid(DAY_H);
    let apart_h = (by_sun_h - WARMEST_H).abs();
    (apart_h.min(DAY_H - apart_h) > APART_H).then_some(by_sun_h)
}

/// The side of the equator that the record's months tell, where that is not the side of this latitude.
#[must_use]
pub fn other_side(hours: &[Hour], latitude_deg: f64) -> Option<Hemisphere> {
    if latitude_deg.abs() <= TROPIC_DEG {
        return None;
    }
    let mut months = [(0.0_f64, 0_u32); 2];
    for day in days(hours) {
        let MonthDay { month, .. } = day[0].start.local_day(UtcOffset::UTC).month_day();
        let (sum, count) = match month {
            1 => &mut months[0],
            7 => &mut months[1],
            _ => continue,
        };
        *sum += day.iter().map(|hour| hour.air_mean_c).sum::<f64>() / day.len() as f64;
        *count += 1;
    }
    if months.iter().any(|&(_, count)| count < MONTH_DAYS) {
        return None;
    }
    let [january_c, july_c] = months.map(|(sum, count)| sum / f64::from(count));
    let told = if january_c > july_c { Hemisphere::South } else { Hemisphere::North };
    ((january_c - july_c).abs() > MONTHS_APART_K && told != Hemisphere::of_latitude(latitude_deg))
        .then_some(told)
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::super::{Request, open};
    use super::*;
    use std::path::PathBuf;

    fn hours(files: &[&str]) -> Vec<Hour> {
        let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/formats");
        let files: Vec<PathBuf> = files.iter().map(|file| root.join(file)).collect();
        open(&Request { files: &files, columns: None, utc_offset: None }).unwrap().record.hours().to_vec()
    }

    /// Chicago O'Hare, 41.995 N, 87.934 W, and Northway, 62.96 N, 141.93 W, as in the plans of the tests.
    #[test]
    fn real_days_are_warmest_in_the_afternoon_and_a_forgotten_sign_shows() {
        let chicago = hours(&["isd_lite/725300-2016.gz"]);
        assert_eq!(warmest_hour_apart(&chicago, -87.934), None);
        let by_sun_h = warmest_hour_apart(&chicago, 87.934).unwrap();
        // 15 h behind the true noon's midnight, and twice 87.934 degrees at 15 degrees an hour: 15 + 11.7 - 24 = 2.7.
        assert!((by_sun_h - 2.7).abs() < 1.5, "{by_sun_h}");
        let northway = hours(&["isd_lite/702910-2018.gz", "isd_lite/702910-2019.gz"]);
        assert_eq!(warmest_hour_apart(&northway, -141.93), None);
        let greensboro = hours(&["tmy3/723170TYA.CSV.gz"]);
        assert_eq!(warmest_hour_apart(&greensboro, -79.95), None);
    }

    #[test]
    fn days_by_comparing_are_days_by_dividing() {
        // An hourly record with gaps, and a typical year, whose months jump.
        for files in [&["isd_lite/702910-2018.gz"][..], &["tmy3/723170TYA.CSV.gz"]] {
            let hours = hours(files);
            let plain = hours
                .chunk_by(|one, next| one.start.0.div_euclid(DAY_S) == next.start.0.div_euclid(DAY_S))
                .map(<[Hour]>::len);
            assert!(days(&hours).map(<[Hour]>::len).eq(plain), "{files:?}");
        }
    }

    #[test]
    fn the_warm_month_tells_the_side_of_the_equator() {
        let chicago = hours(&["isd_lite/725300-2016.gz"]);
        assert_eq!(other_side(&chicago, 41.995), None);
        assert_eq!(other_side(&chicago, -41.995), Some(Hemisphere::North));
        assert_eq!(other_side(&chicago, -14.0), None, "too near to the equator to tell");
    }
}
