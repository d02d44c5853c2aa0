//! The invented weather of a starter plan: a place that does not exist, hour by hour, from a fixed seed.

use crate::extreme::Random;
use crate::time::{DAY_S, HOUR_S, Stamp};
use std::f64::consts::TAU;

/// The record begins on 1 July of this year.
const FIRST_YEAR: i32 = 2001;
/// Whole winters, chosen because five give a mean annual low and eight still make a small file.
const WINTERS: i32 = 8;
/// Any seed would do; another one gives other winters.
const SEED: u64 = 46_110;
/// Local clock of the place, h east of UTC.
const LOCAL_H: i64 = -7;

/// Mean of the year, C.
const MEAN_C: f64 = 5.5;
/// Half the difference between midsummer and midwinter, K.
const YEARLY_K: f64 = 12.0;
/// Half the daily range under a clear sky, K.
const DAILY_K: f64 = 5.0;
/// Standard deviation of the weather that wanders over days, K.
const WANDER_K: f64 = 3.2;
/// Hours over which that weather forgets itself.
const WANDER_H: f64 = 60.0;
/// Hours over which clouds forget themselves.
const CLOUD_H: f64 = 8.0;
/// Mean depth of a cold spell beyond the first kelvins, K: depths follow an exponential law, so that winters' lows come
/// out close to a Gumbel law.
const SPELL_K: f64 = 3.4;
/// What every cold spell has, K.
const SPELL_LEAST_K: f64 = 2.0;
/// Cold spells a winter, on average, in ten slots of ten days from 25 November.
const SPELLS: f64 = 3.0;

/// The file's text: a CSV with the hour's stamp (UTC), air temperature in C and clouds in eighths. Every number is
/// invented.
#[must_use]
pub fn starter_weather() -> String {
    let mut dice = Random::seeded(SEED);
    let (Some(begin), Some(end)) =
        (Stamp::from_utc(FIRST_YEAR, 7, 1, 0, 0, 0), Stamp::from_utc(FIRST_YEAR + WINTERS, 7, 1, 0, 0, 0))
    else {
        return String::new();
    };
    let chill_k = cold_spells(&mut dice, begin, end);
    let mut text = String::from("time,temp_c,cloud\n");
    let (mut wander, mut veil) = (0.0, 0.0);
    for (index, chill_k) in chill_k.into_iter().enumerate() {
        let start = begin.plus_s(index as i64 * HOUR_S);
        wander += -wander / WANDER_H + (2.0 / WANDER_H).sqrt() * normal(&mut dice);
        veil += -veil / CLOUD_H + (2.0 / CLOUD_H).sqrt() * normal(&mut dice);
        // The first hours of UTC are still 30 June at the place: with them a season of one evening would begin.
        let is_june_there = index as i64 + LOCAL_H < 0;
        // 18 January is the coldest day of this climate, 1970-01-18 is day 17.
        let turn = TAU * (start.0 as f64 / DAY_S as f64 - 17.0) / 365.25;
        let winter = 0.5 * (1.0 + turn.cos());
        // In winter mild air is cloudy air; a cold spell is clear.
        let covered = 4.4 + (1.6 * winter - (1.0 - winter)) * wander + 2.2 * veil - 0.9 * chill_k;
        let oktas = covered.round().clamp(0.0, 8.0);
        let clear = 1.0 - 0.75 * oktas / 8.0;
        let local_h = (start.0.div_euclid(HOUR_S) + LOCAL_H).rem_euclid(24) as f64;
        let swing = DAILY_K * clear * (1.0 - 0.35 * winter) * (TAU * (local_h - 15.0) / 24.0).cos();
        let air =
            MEAN_C - YEARLY_K * turn.cos() + WANDER_K * (0.55 + 0.45 * winter) * wander + swing - chill_k;
        // Adding nought turns a negative nought into a plain one.
        let tenths = (air * 10.0).round() / 10.0 + 0.0;
        if !is_june_there {
            text.push_str(&format!("{},{tenths:.1},{oktas:.0}\n", start.iso()));
        }
    }
    text
}

/// Kelvin to take off, hour by hour.
fn cold_spells(dice: &mut Random, begin: Stamp, end: Stamp) -> Vec<f64> {
    let hours = usize::try_from((end.0 - begin.0) / HOUR_S).unwrap_or(0);
    let mut chill = vec![0.0_f64; hours];
    for year in FIRST_YEAR..FIRST_YEAR + WINTERS {
        let Some(first) = Stamp::from_utc(year, 11, 25, 0, 0, 0) else { continue };
        let first = usize::try_from((first.0 - begin.0) / HOUR_S).unwrap_or(0);
        for slot in 0..10 {
            if dice.unit() >= SPELLS / 10.0 {
                continue;
            }
            let start = first + slot * 240 + dice.below(120);
            let length = 60 + dice.below(72);
            let depth = SPELL_LEAST_K - SPELL_K * dice.unit().ln();
            for step in 0..length {
                let share = (std::f64::consts::PI * step as f64 / length as f64).sin();
                if let Some(chill) = chill.get_mut(start + step) {
                    *chill = chill.max(depth * share);
                }
            }
        }
    }
    chill
}

/// A standard normal number (Box and Muller).
fn normal(dice: &mut Random) -> f64 {
    (-2.0 * dice.unit().ln()).sqrt() * (TAU * dice.unit()).cos()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_hour_of_eight_years_is_there_once() {
        let text = starter_weather();
        // 8 years with the leap days of 2004 and 2008, from midnight of 1 July at the place, seven hours after that of UTC.
        assert_eq!(text.lines().count(), 1 + (8 * 365 + 2) * 24 - 7);
        assert!(text.lines().nth(1).is_some_and(|line| line.starts_with("2001-07-01T07:00:00Z,")));
        assert_eq!(text, starter_weather(), "the same seed gives the same weather");
    }

    #[test]
    fn winters_differ_and_are_cold_but_not_beyond_belief() {
        let text = starter_weather();
        let lows: Vec<f64> = (0..8)
            .map(|winter| {
                let season = |line: &&str| {
                    let (year, month) =
                        (line[..4].parse::<i32>().unwrap_or(0), line[5..7].parse::<i32>().unwrap_or(0));
                    (if month < 7 { year - 1 } else { year }) == FIRST_YEAR + winter
                };
                text.lines()
                    .skip(1)
                    .filter(season)
                    .filter_map(|line| line.split(',').nth(1)?.parse::<f64>().ok())
                    .fold(f64::INFINITY, f64::min)
            })
            .collect();
        assert!(lows.iter().all(|low| (-40.0..-12.0).contains(low)), "{lows:?}");
        let (first, rest) = (lows[0], &lows[1..]);
        assert!(rest.iter().all(|low| (low - first).abs() > 0.05), "{lows:?}");
    }
}
