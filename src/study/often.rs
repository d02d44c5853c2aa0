//! How often a rating is passed: means over whole seasons or windows, what they are worth, and when in the year and day.

use crate::extreme;
use crate::hourly::{Block, Blocks, ByVoltage, Clock, Over, Seen, Voltage};
use crate::study::results::{HoursRange, RangeKind, SeasonHours};
use crate::time::YEAR_H;

/// Seed of the resampled intervals: any fixed number, so that the same record gives the same interval.
const SEED: u64 = 690;

/// What was counted over one rating, a year or a trip.
#[derive(Clone, Debug)]
pub struct Often {
    /// Mean hours.
    pub hours: ByVoltage<f64>,
    /// Around them.
    pub range: ByVoltage<HoursRange>,
    /// Mean days.
    pub days: ByVoltage<f64>,
    /// The block with the most hours of sudden sun; `None` where none was seen in a complete block.
    pub most: Option<SeasonHours>,
    /// Mean hours of sudden sun by calendar month; `None` where none was seen in a complete block.
    pub by_month: Option<[f64; 12]>,
    /// The same by local hour of the day.
    pub by_hour_of_day: Option<[f64; 24]>,
}

/// Means over the complete blocks: a season's hours are scaled by 8766 / hours observed, a window's by its own length /
/// hours observed. A report every three hours stands for three hours in both, by the interval of its own half-year, so that
/// a winter between two denser summers is not taken for a third of itself; and a day is seen as soon as one is in it.
/// Readings between two reports share the hours between them, so that no season holds more hours than it has, and neither
/// hours nor days of a stretch of denser readings are scaled down by it.
///
/// `None` without a complete block.
#[must_use]
pub fn often(blocks: Blocks, seen: &Seen, over: &Over) -> Option<Often> {
    let complete: Vec<(&Block, f64)> = complete(blocks, seen).collect();
    if complete.is_empty() {
        return None;
    }
    let count = complete.len() as f64;
    let counts = |block: &Block| over.blocks.get(&block.key).copied().unwrap_or_default();
    let mut hours = ByVoltage::<Vec<f64>>::default();
    let mut days = ByVoltage::<f64>::default();
    for &(block, scale) in &complete {
        let counts = counts(block);
        for voltage in Voltage::ALL {
            let seen = counts.of(voltage);
            hours.of_mut(voltage).push(seen.hours * scale);
            *days.of_mut(voltage) += f64::from(seen.days) * scale / count;
        }
    }
    let all: f64 = hours.sudden_sun.iter().sum();
    let seasons = complete.iter().map(|(block, _)| blocks.season(block.key)).zip(&hours.sudden_sun);
    let most = seasons.max_by(|a, b| a.1.total_cmp(b.1)).filter(|(_, hours)| **hours > 0.0);
    let most = most.map(|(season, &hours)| SeasonHours { season, hours, share: hours / all });
    let mut clock = Clock::default();
    let mut any = false;
    for &(block, scale) in &complete {
        if let Some(this) = over.clocks.get(&block.key) {
            any = true;
            add(&mut clock.by_month, &this.by_month, scale / count);
            add(&mut clock.by_hour, &this.by_hour, scale / count);
        }
    }
    Some(Often {
        most,
        range: hours.map(|seasons| range(seasons)),
        hours: hours.map(|seasons| seasons.iter().sum::<f64>() / count),
        days,
        by_month: any.then_some(clock.by_month),
        by_hour_of_day: any.then_some(clock.by_hour),
    })
}

/// The mean steady hours of [`often`] alone: its intervals cost more than a year's hours do.
#[must_use]
pub fn steady_hours(blocks: Blocks, seen: &Seen, over: &Over) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0);
    for (block, scale) in complete(blocks, seen) {
        sum += over.blocks.get(&block.key).map_or(0.0, |counts| counts.steady.hours) * scale;
        count += 1;
    }
    (count > 0).then(|| sum / f64::from(count))
}

/// The complete blocks, each with what scales its hours to those promised.
fn complete(blocks: Blocks, seen: &Seen) -> impl Iterator<Item = (&Block, f64)> {
    seen.blocks
        .iter()
        .filter(|block| block.complete)
        .map(move |block| (block, promised_h(blocks, block.key) / block.hours.max(1.0)))
}

fn promised_h(blocks: Blocks, key: i32) -> f64 {
    match blocks {
        Blocks::Seasons(_) => YEAR_H,
        Blocks::Windows { .. } => {
            blocks.days(key).map_or(0.0, |(first, end)| f64::from(end.0 - first.0) * 24.0)
        }
    }
}

fn add(sums: &mut [f64], values: &[f64], weight: f64) {
    for (sum, value) in sums.iter_mut().zip(values) {
        *sum += value * weight;
    }
}

/// The 90 % interval of the mean where the record allows one, else the mildest and the worst season.
fn range(seasons: &[f64]) -> HoursRange {
    match extreme::resampled_interval(seasons, SEED) {
        Some((low, high)) => HoursRange { low, high, kind: RangeKind::Interval90 },
        None => HoursRange {
            low: seasons.iter().copied().fold(f64::INFINITY, f64::min),
            high: seasons.iter().copied().fold(0.0, f64::max),
            kind: RangeKind::Observed,
        },
    }
}
