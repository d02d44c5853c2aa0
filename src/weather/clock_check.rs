//! Do the stamps fit the light?
//!
//! The commonest error in reading weather is a clock that is an hour or half an hour off: zone, label (hour ending or
//! beginning), daylight saving. Irradiance shows it: its course through the day fits that of a clear sky best when the
//! stamps are right. Clouds weaken the fit and, over many days, do not shift it.

use super::{Columns, Hour};
use crate::note::{Note, NoteKind};
use crate::place::Place;
use crate::sky::{ClearSky, Light};
use crate::sun::{Nodes, STEPS, Track};
use crate::time::{DAY_S, HOUR_S, Stamp};

/// Largest shift that is tried, min.
const REACH_MIN: i64 = 60;
/// Distance of the shifts that are tried, min: three 5-minute steps.
const STEP_MIN: i64 = 15;
const SHIFTS: usize = (2 * REACH_MIN / STEP_MIN + 1) as usize;
/// Largest shift in whole hours, one way.
const HOURS: i64 = 12;
const WHOLE_SHIFTS: usize = (2 * HOURS + 1) as usize;
/// Correlation below which whole hours are tried in any case. Chosen because cloudy places reach 0.8 with the right stamps.
pub(super) const POOR: f64 = 0.6;
/// Shift from which on a better fit is a fault. Chosen because snapshots of satellites, taken for the hour's mean,
/// lie 15 to 20 minutes off by their nature.
const FAULT_MIN: i64 = 30;
/// Least gain in correlation for a word. Chosen because shifts of real, rightly stamped files gain less.
pub(super) const GAIN: f64 = 0.003;
/// Spans of the record that are looked at, evenly spread. Chosen because two dozen months hold enough clear days.
const SAMPLES: usize = 24;
/// Length of one span.
const SAMPLE_S: i64 = 31 * DAY_S;
/// Clear-sky light below which an hour says nothing, W/m2.
const DIM_W_M2: f64 = 20.0;
/// Fewest lit hours from which a shift is told.
pub(super) const LIT_HOURS: u32 = 200;

/// Sums for a correlation.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fit {
    count: u32,
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

impl Fit {
    pub(super) fn add(&mut self, x: f64, y: f64) {
        self.count += 1;
        self.x += x;
        self.y += y;
        self.xx += x * x;
        self.yy += y * y;
        self.xy += x * y;
    }

    pub(super) fn correlation(&self) -> Option<f64> {
        let count = f64::from(self.count);
        let spread = (count * self.xx - self.x * self.x) * (count * self.yy - self.y * self.y);
        (spread > 0.0).then(|| (count * self.xy - self.x * self.y) / spread.sqrt())
    }
}

fn global_w_m2(light: &Light) -> Option<f64> {
    match light {
        Light::Parts { ghi, .. } | Light::GlobalOnly { ghi } => Some(f64::from(*ghi)),
        Light::Clouds { .. } | Light::Unknown => None,
    }
}

/// How much the stamps would have to be moved for the light to fit the sun best, min, with the correlations there and
/// as they stand; `None` where the record holds too little light to tell.
#[must_use]
pub fn best_shift_min(hours: &[Hour], place: Place) -> Option<(i64, f64, f64)> {
    let lit: Vec<usize> =
        (0..hours.len()).filter(|&at| global_w_m2(&hours[at].light).is_some_and(|ghi| ghi > 0.0)).collect();
    if lit.is_empty() {
        return None;
    }
    let sky = ClearSky::at(place.elevation_m, None);
    let mut fits = [Fit::default(); SHIFTS];
    each_sample(hours, &lit, place, |track, sample| {
        let mut around = Around { track, sky: &sky, middle: None, clear: [0.0; 3 * STEPS] };
        for hour in sample {
            if let Some(ghi) = global_w_m2(&hour.light) {
                around.turn_to(hour.start);
                compare(&around.clear, ghi, &mut fits);
            }
        }
    })?;
    let middle = SHIFTS / 2;
    if fits[middle].count < LIT_HOURS {
        return None;
    }
    let near = best(&fits, STEP_MIN);
    if near.is_some_and(|(shift_min, _, now)| shift_min.abs() < REACH_MIN && now >= POOR) {
        return near;
    }
    let mut fits = [Fit::default(); WHOLE_SHIFTS];
    each_sample(hours, &lit, place, |track, sample| compare_whole(track, &sky, sample, &mut fits))?;
    // The two sums hold different hours, night being in the second: each shift is judged within its own.
    match (near, best(&fits, 60)) {
        (_, Some(far)) if far.0.abs() > REACH_MIN => Some(far),
        (near, far) => near.or(far),
    }
}

/// The shift of the best fit, min, its correlation, and that of the middle one, which is no shift.
fn best(fits: &[Fit], step_min: i64) -> Option<(i64, f64, f64)> {
    let middle = fits.len() / 2;
    let now = fits[middle].correlation()?;
    let best = (0..fits.len())
        .filter_map(|at| Some((at, fits[at].correlation()?)))
        .fold((middle, now), |best, one| if one.1 > best.1 { one } else { best });
    let steps = i64::try_from(best.0).ok()? - i64::try_from(middle).ok()?;
    Some((steps * step_min, best.1, now))
}

/// Hands over stretches of a record, evenly spread, with the sun's track around each; `None` outside the years of the
/// sun's algorithm.
fn each_sample(
    hours: &[Hour],
    lit: &[usize],
    place: Place,
    mut look: impl FnMut(&Track<'_>, &[Hour]),
) -> Option<()> {
    let stride = (lit.len() / SAMPLES).max(1);
    let mut next = 0;
    while let Some(&begin) = lit.get(next) {
        let first = hours[begin].start;
        let span = hours[begin..]
            .iter()
            .take_while(|hour| (first.0..first.0 + SAMPLE_S).contains(&hour.start.0))
            .count();
        let last = hours[begin + span - 1].start;
        let nodes = Nodes::covering(first.plus_s(-DAY_S), last.plus_s(DAY_S)).ok()?;
        look(&Track::new(&nodes, place.latitude_deg, place.longitude_deg), &hours[begin..begin + span]);
        // On to the next sample, or behind this one where the record is short.
        let behind = lit.partition_point(|&at| at < begin + span);
        next = behind.max(next + stride);
    }
    Some(())
}

/// A stretch of hours against the clear sky at each whole hour around the clock, nights included.
fn compare_whole(track: &Track<'_>, sky: &ClearSky, sample: &[Hour], fits: &mut [Fit; WHOLE_SHIFTS]) {
    let [first, .., last] = sample else { return };
    let begin = first.start.0 - HOURS * HOUR_S;
    let clear: Vec<f64> = (0..=(last.start.0 - first.start.0) / HOUR_S + 2 * HOURS)
        .map(|at| {
            let steps = sky.global_over(&track.hour(Stamp(begin + at * HOUR_S), HOUR_S));
            steps.iter().sum::<f64>() / STEPS as f64
        })
        .collect();
    for hour in sample {
        let Some(ghi) = global_w_m2(&hour.light) else { continue };
        let Ok(at) = usize::try_from((hour.start.0 - first.start.0) / HOUR_S) else { continue };
        for (fit, &clear) in fits.iter_mut().zip(&clear[at..]) {
            fit.add(clear, ghi);
        }
    }
}

/// The clear sky of three hours of 5-minute steps around one: a shift is a window of twelve in them.
struct Around<'a> {
    track: &'a Track<'a>,
    sky: &'a ClearSky,
    /// Start of the hour in the middle.
    middle: Option<Stamp>,
    clear: [f64; 3 * STEPS],
}

impl Around<'_> {
    /// The hours before and behind `start`. Of the hours around the one before, two serve again.
    fn turn_to(&mut self, start: Stamp) {
        let known = match self.middle {
            Some(middle) if middle.plus_s(HOUR_S) == start => {
                self.clear.copy_within(STEPS.., 0);
                2
            }
            _ => 0,
        };
        self.middle = Some(start);
        for at in known..3 {
            let begin = start.plus_s((i64::try_from(at).unwrap_or(0) - 1) * HOUR_S);
            let light = self.sky.global_over(&self.track.hour(begin, HOUR_S));
            self.clear[at * STEPS..(at + 1) * STEPS].copy_from_slice(&light);
        }
    }
}

/// One hour against the clear sky at each shift.
fn compare(clear: &[f64; 3 * STEPS], ghi: f64, fits: &mut [Fit; SHIFTS]) {
    if clear.iter().all(|&light| light < DIM_W_M2) {
        return;
    }
    // A shift is a quarter of an hour, so every mean is made of four quarters.
    let mut quarters = [0.0; STEPS];
    for (sum, three) in quarters.iter_mut().zip(clear.chunks_exact(3)) {
        *sum = three[0] + three[1] + three[2];
    }
    for (fit, four) in fits.iter_mut().zip(quarters.windows(4)) {
        fit.add((four[0] + four[1] + four[2] + four[3]) / 12.0, ghi);
    }
}

/// Whose stamps they are: what to type differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stamps {
    /// Of a table that the plan describes.
    Described,
    /// Of a format that says what its stamps are.
    OfFormat,
}

impl Stamps {
    /// Those of files with, or without, a table of columns.
    #[must_use]
    pub fn of(columns: Option<&Columns>) -> Self {
        columns.map_or(Self::OfFormat, |_| Self::Described)
    }

    /// What to try where they are off by so much, min.
    fn step(self, shift_min: i64) -> &'static str {
        match self {
            Self::Described if shift_min.abs() > REACH_MIN => {
                "are they UTC? Then add utc_offset = \"+00:00\" under [stop.columns]; is each the end of its hour? Then \
                 label = \"hour-ending\"; west of Greenwich longitude_deg is negative"
            }
            Self::Described if shift_min == -REACH_MIN => {
                "try label = \"hour-ending\" under [stop.columns], else check the zone"
            }
            Self::Described if shift_min == REACH_MIN => {
                "try label = \"hour-beginning\" under [stop.columns], else check the zone"
            }
            Self::Described | Self::OfFormat => {
                "check the zone (are they UTC?) and whether a stamp is an instant, the beginning or the end of its hour"
            }
        }
    }
}

/// A remark where the light fits the sun clearly better with other stamps.
#[must_use]
pub fn clock_note(hours: &[Hour], place: Place, stamps: Stamps) -> Option<Note> {
    let (shift_min, best, now) = best_shift_min(hours, place)?;
    (shift_min.abs() >= FAULT_MIN && best - now > GAIN).then(|| {
        let direction = if shift_min > 0 { "later" } else { "earlier" };
        let distance = match shift_min.abs() {
            minutes @ 0..=REACH_MIN => format!("{minutes} minutes"),
            minutes => format!("{} hours", minutes / 60),
        };
        let far = shift_min.abs() > REACH_MIN;
        Note::once(
            if far { NoteKind::ClockHours } else { NoteKind::Clock },
            format!(
                "its light fits the sun best with stamps {distance} {direction} (correlation {best:.3}, as they stand \
                 {now:.3}): {}; with a clock that is off, light on tilted panels and the hours over a limit are wrong",
                stamps.step(shift_min)
            ),
        )
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn hours_that_follow_each_other_see_the_same_sky_as_hours_alone() {
        let begin = Stamp::from_utc(2019, 3, 20, 0, 0, 0).unwrap();
        let nodes = Nodes::covering(begin, begin.plus_s(9 * DAY_S)).unwrap();
        let track = Track::new(&nodes, 52.0, 13.0);
        let sky = ClearSky::at(40.0, None);
        let fresh = || Around { track: &track, sky: &sky, middle: None, clear: [0.0; 3 * STEPS] };
        let mut kept = fresh();
        for at in (0..150).filter(|at| at % 7 != 0) {
            let start = begin.plus_s(at * HOUR_S + if at > 90 { 1800 } else { 0 });
            kept.turn_to(start);
            let mut alone = fresh();
            alone.turn_to(start);
            assert_eq!(kept.clear, alone.clear, "hour {at}");
        }
    }
}
