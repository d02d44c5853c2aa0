//! The sun over one place: any moment, and an hour at a time.

use crate::num::{larger, smaller};
use crate::sun::turn::Turns;
use crate::sun::{HourSun, LIT_ELEVATION_DEG, Nodes, STEPS, SunMoment};
use crate::time::Stamp;

/// Equatorial horizontal parallax of the sun at one astronomical unit, arcseconds [REDA2004] eq. 34.
pub(crate) const PARALLAX_ARCSECONDS: f64 = 8.794;

/// The sun as one place sees it.
#[derive(Clone, Debug)]
pub struct Track<'nodes> {
    nodes: &'nodes Nodes,
    sin_latitude: f64,
    cos_latitude: f64,
    longitude_rad: f64,
    lit_cos_zenith: f64,
    turns: Turns,
}

impl<'nodes> Track<'nodes> {
    /// The track over a place: degrees north, degrees east.
    #[must_use]
    pub fn new(nodes: &'nodes Nodes, latitude_deg: f64, longitude_deg: f64) -> Self {
        let (sin_latitude, cos_latitude) = latitude_deg.to_radians().sin_cos();
        Self {
            nodes,
            sin_latitude,
            cos_latitude,
            longitude_rad: longitude_deg.to_radians(),
            lit_cos_zenith: LIT_ELEVATION_DEG.to_radians().sin(),
            turns: Turns::new(),
        }
    }

    /// The sun at one moment, `seconds` since 1970: true zenith and azimuth, seen from the ground.
    ///
    /// cos z = sin(lat) sin(dec) + cos(lat) cos(dec) cos(H) [REDA2004], lowered by the parallax of a sphere,
    /// p sin2 z (its flattening and the place's elevation change the zenith by less than 0.00001 deg).
    /// Accuracy: 0.001 deg of zenith.
    #[must_use]
    pub fn moment(&self, seconds: f64) -> SunMoment {
        let sun = self.nodes.at(seconds);
        let (sin_declination, cos_declination) = sun.declination_rad.sin_cos();
        let (sin_hour, cos_hour) = (sun.greenwich_hour_angle_rad + self.longitude_rad).sin_cos();
        let horizon = Horizon { sin_declination, cos_declination, sin_hour, cos_hour };
        self.seen(&horizon, parallax_rad(sun.distance_au))
    }

    /// The sun at the twelve midpoints of the interval that begins at `start` and lasts `seconds`.
    ///
    /// As [`Track::moment`] at each of them; for tilted planes of fixed heading.
    #[must_use]
    pub fn moments(&self, start: Stamp, seconds: i64) -> [SunMoment; STEPS] {
        let step = seconds as f64 / STEPS as f64;
        std::array::from_fn(|index| self.moment(start.0 as f64 + (index as f64 + 0.5) * step))
    }

    /// The sun over the interval that begins at `start` and lasts `seconds` (an hour as a rule; it may begin at
    /// any minute).
    ///
    /// Declination and hour angle run linearly through the interval, so that the twelve midpoints follow from
    /// each other by one rotation. Within 1e-6 of [`Track::moment`] for intervals up to three hours.
    #[must_use]
    pub fn hour(&self, start: Stamp, seconds: i64) -> HourSun {
        let length = seconds as f64;
        let sun = self.nodes.at(start.0 as f64 + length / 2.0);
        let (sin_declination, cos_declination) = self.turns.sin_cos(sun.declination_rad);
        let (sin_hour, cos_hour) = self.turns.sin_cos(sun.greenwich_hour_angle_rad + self.longitude_rad);
        let middle = Horizon { sin_declination, cos_declination, sin_hour, cos_hour };

        let parallax = parallax_rad(sun.distance_au);
        let seen = self.seen(&middle, parallax);
        let extraterrestrial_w_m2 = sun.extraterrestrial_w_m2();
        // Half the interval's turn bounds how far the cosine can rise: deep night needs no steps.
        let rise = self.cos_latitude * cos_declination * sun.hour_angle_rad_s * 0.5 * length;
        if seen.cos_zenith + rise + DRIFT_MARGIN < self.lit_cos_zenith {
            return HourSun {
                extraterrestrial_w_m2,
                middle: seen,
                cos_zenith: [seen.cos_zenith; STEPS],
                lit: 0,
            };
        }

        // Midpoints lie in pairs around the middle, an odd number of half steps away.
        let half = 0.5 * length / STEPS as f64;
        let (sin_half, cos_half) = small_sin_cos(sun.hour_angle_rad_s * half);
        let (sin_step, cos_step) = (2.0 * sin_half * cos_half, 1.0 - 2.0 * sin_half * sin_half);
        let drift = sun.declination_rad_s * half;
        let mut turns = [(sin_half, cos_half); STEPS / 2];
        for pair in 1..STEPS / 2 {
            let (sin_away, cos_away) = turns[pair - 1];
            turns[pair] =
                (sin_away * cos_step + cos_away * sin_step, cos_away * cos_step - sin_away * sin_step);
        }

        // Loops without a branch, which go through vector registers.
        let mut cos_zenith = [0.0; STEPS];
        for (pair, (sin_away, cos_away)) in turns.into_iter().enumerate() {
            let away = (2 * pair + 1) as f64;
            for (index, side) in [(STEPS / 2 - 1 - pair, -1.0), (STEPS / 2 + pair, 1.0)] {
                let turned = side * away * drift;
                let sin_declination_then = sin_declination + cos_declination * turned;
                let cos_declination_then = cos_declination - sin_declination * turned;
                let cos_hour_then = cos_hour * cos_away - side * sin_hour * sin_away;
                cos_zenith[index] = self.sin_latitude * sin_declination_then
                    + self.cos_latitude * cos_declination_then * cos_hour_then;
            }
        }
        for cos in &mut cos_zenith {
            *cos = lowered(*cos, parallax);
        }
        let mut lit = 0;
        for (index, cos) in cos_zenith.iter().enumerate() {
            lit |= u16::from(*cos > self.lit_cos_zenith) << index;
        }
        HourSun { extraterrestrial_w_m2, middle: seen, cos_zenith, lit }
    }

    /// Whether any of the twelve midpoints of the interval is lit: [`Track::hour`] without its steps where the middle
    /// alone decides.
    #[must_use]
    pub fn is_lit(&self, start: Stamp, seconds: i64) -> bool {
        let length = seconds as f64;
        let sun = self.nodes.at(start.0 as f64 + length / 2.0);
        let (sin_declination, cos_declination) = self.turns.sin_cos(sun.declination_rad);
        let (_, cos_hour) = self.turns.sin_cos(sun.greenwich_hour_angle_rad + self.longitude_rad);
        let cos_zenith = self.sin_latitude * sin_declination + self.cos_latitude * cos_declination * cos_hour;
        // How far the cosine can move: to the nearest midpoint, half a step away, and to the ends of the interval.
        let turn = self.cos_latitude * cos_declination * sun.hour_angle_rad_s * 0.5 * length;
        if cos_zenith - turn / STEPS as f64 - DRIFT_MARGIN > self.lit_cos_zenith {
            return true;
        }
        cos_zenith + turn + DRIFT_MARGIN >= self.lit_cos_zenith && self.hour(start, seconds).lit != 0
    }

    fn seen(&self, sun: &Horizon, parallax_rad: f64) -> SunMoment {
        SunMoment {
            cos_zenith: lowered(self.geocentric_cos_zenith(sun), parallax_rad),
            east: -sun.cos_declination * sun.sin_hour,
            north: self.cos_latitude * sun.sin_declination
                - self.sin_latitude * sun.cos_declination * sun.cos_hour,
        }
    }

    fn geocentric_cos_zenith(&self, sun: &Horizon) -> f64 {
        self.sin_latitude * sun.sin_declination + self.cos_latitude * sun.cos_declination * sun.cos_hour
    }
}

/// Sine and cosine by their series up to the tenth power, exact to the last digit below 0.05 rad (the turn of the
/// earth in 11 minutes); beyond, the standard library's.
fn small_sin_cos(x: f64) -> (f64, f64) {
    if x.abs() > 0.05 {
        return x.sin_cos();
    }
    // The series' ratios as reciprocals: a chain of divisions takes four times as long.
    const SIN: [f64; 4] = [1.0 / 6.0, 1.0 / 20.0, 1.0 / 42.0, 1.0 / 72.0];
    const COS: [f64; 5] = [1.0 / 2.0, 1.0 / 12.0, 1.0 / 30.0, 1.0 / 56.0, 1.0 / 90.0];
    let s = x * x;
    let series = |ratios: &[f64]| ratios.iter().rev().fold(1.0, |rest, ratio| 1.0 - s * ratio * rest);
    (x * series(&SIN), series(&COS))
}

/// More than declination can add to the cosine of the zenith angle within three hours (0.05 deg), and more than
/// parallax takes off it.
const DRIFT_MARGIN: f64 = 0.001;

/// Horizontal parallax at a distance, radians.
fn parallax_rad(distance_au: f64) -> f64 {
    (PARALLAX_ARCSECONDS / 3600.0).to_radians() / distance_au
}

/// From the ground the sun stands lower by p sin z.
#[inline]
fn lowered(cos_zenith: f64, parallax_rad: f64) -> f64 {
    larger(smaller(cos_zenith - parallax_rad * (1.0 - cos_zenith * cos_zenith), 1.0), -1.0)
}

/// Declination and local hour angle, as sines and cosines.
struct Horizon {
    sin_declination: f64,
    cos_declination: f64,
    sin_hour: f64,
    cos_hour: f64,
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::time::DAY_S;

    #[test]
    fn the_hour_and_the_moment_agree() {
        let first = Stamp::from_utc(1999, 1, 1, 0, 0, 0).unwrap();
        let nodes = Nodes::covering(first, first.plus_s(400 * DAY_S)).unwrap();
        for (latitude, longitude) in [(0.0, 0.0), (64.9, -141.9), (-41.3, 174.8), (90.0, 0.0), (-77.0, 166.0)]
        {
            let track = Track::new(&nodes, latitude, longitude);
            for turn in 0..2000 {
                let start = first.plus_s(turn * 17_291);
                let hour = track.hour(start, 3600);
                assert_eq!(track.is_lit(start, 3600), hour.lit != 0);
                let moments = track.moments(start, 3600);
                for (step, moment) in moments.iter().enumerate() {
                    // In deep night, where no step is lit, the steps are not computed.
                    assert!(hour.lit == 0 || (hour.cos_zenith[step] - moment.cos_zenith).abs() < 1e-6);
                    let lit = moment.cos_zenith > LIT_ELEVATION_DEG.to_radians().sin();
                    let edge = (moment.cos_zenith - LIT_ELEVATION_DEG.to_radians().sin()).abs() < 1e-6;
                    assert!(edge || lit == hour.is_lit(step));
                }
                let middle = track.moment(start.0 as f64 + 1800.0);
                assert!((hour.middle.cos_zenith - middle.cos_zenith).abs() < 1e-12);
                assert!((hour.middle.azimuth_rad() - middle.azimuth_rad()).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn the_series_is_the_standard_librarys() {
        for step in -500..=500 {
            let x = f64::from(step) * 1.0e-4;
            let ((sin, cos), (plain_sin, plain_cos)) = (small_sin_cos(x), x.sin_cos());
            assert!((sin - plain_sin).abs() <= 1e-17 + f64::EPSILON * plain_sin.abs());
            assert!((cos - plain_cos).abs() <= 2.0 * f64::EPSILON);
        }
    }

    #[test]
    fn the_sun_crosses_the_meridian_in_the_south_of_the_north() {
        let noon = Stamp::from_utc(2021, 12, 21, 12, 0, 0).unwrap();
        let nodes = Nodes::covering(noon, noon).unwrap();
        let moment = Track::new(&nodes, 50.0, 0.0).moment(noon.0 as f64);
        assert!((moment.azimuth_rad().to_degrees() - 180.0).abs() < 1.0);
        // Zenith at noon of the solstice: latitude + obliquity (23.44 deg).
        assert!((moment.cos_zenith.acos().to_degrees() - 73.44).abs() < 0.02);
        let morning = Track::new(&nodes, 50.0, -40.0).moment(noon.0 as f64);
        assert!(morning.azimuth_rad().to_degrees() < 180.0);
    }
}
