//! How often, how long, and when a voltage stood over a rating.

use crate::hourly::hour::{Air, GroupHour, LitHour, ReadyGroup};
use crate::hourly::voltage::{ByVoltage, Voltage};
use crate::sun::{HourSun, STEPS};
use crate::time::{LocalDay, Stamp};
use std::collections::BTreeMap;

/// Hours and days over a rating in one block.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Count {
    /// Hours: lit 5-minute steps / 12, or the hour's sun-up share where its mean decides, times the hours that the report
    /// stands for.
    pub hours: f64,
    /// Local days with at least one such step.
    pub days: u32,
}

/// Hours of sudden sun over a rating in one block, by calendar month and by local hour of the day.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Clock {
    /// January to December, h.
    pub by_month: [f64; 12],
    /// Hours that begin at 0 to 23 o'clock, h.
    pub by_hour: [f64; 24],
}

/// What was seen over one rating.
#[derive(Clone, Debug, Default)]
pub struct Over {
    /// The rating, V.
    pub rating_v: f64,
    /// By block key.
    pub blocks: BTreeMap<i32, ByVoltage<Count>>,
    /// When in the year and in the day, by block key, sudden sun.
    pub clocks: BTreeMap<i32, Clock>,
    /// Longest run of consecutive lit steps over the rating in sudden sun, h.
    pub longest_run_h: Option<f64>,
    /// First and last hour over the rating in sudden sun.
    pub sudden_span: Option<(Stamp, Stamp)>,
    /// First and last hour over the rating in the worst case.
    pub worst_span: Option<(Stamp, Stamp)>,
    /// Every local day of the record with sudden sun over the rating, also outside the blocks.
    pub sudden_days: Vec<LocalDay>,
}

/// One hour as the counters see it.
#[derive(Clone, Copy)]
pub(super) struct Now<'a> {
    /// Its local day.
    pub day: LocalDay,
    /// That day's month, 1 to 12.
    pub month: u32,
    /// Hour of the local day in which it begins.
    pub hour_of_day: u32,
    /// Key of its block.
    pub key: Option<i32>,
    /// Hours that this reading stands for: what lies between it and the next is not seen.
    pub stands_for_h: f64,
    /// Its start.
    pub start: Stamp,
    /// Whether it follows the last one without a gap.
    pub follows: bool,
    /// The sun.
    pub sun: &'a HourSun,
    /// The air.
    pub air: &'a Air,
    /// The array and its groups, where lit.
    pub lit: Option<(&'a LitHour, &'a [GroupHour])>,
    /// The groups' curves.
    pub ready: &'a [ReadyGroup<'a>],
}

/// Counts of the block at hand, kept out of the maps while its hours run by.
struct AtHand {
    key: i32,
    counts: ByVoltage<Count>,
    /// `None` as long as no hour of sudden sun was over.
    clock: Option<Clock>,
}

/// Counts over one rating while the loop runs.
pub(super) struct OverCounter {
    over: Over,
    at_hand: Option<AtHand>,
    run_steps: u32,
    longest_steps: u32,
    last_day: ByVoltage<Option<LocalDay>>,
}

impl OverCounter {
    pub(super) fn new(rating_v: f64) -> Self {
        Self {
            over: Over { rating_v, ..Over::default() },
            at_hand: None,
            run_steps: 0,
            longest_steps: 0,
            last_day: ByVoltage::default(),
        }
    }

    /// An hour outside every block: only its day is kept.
    pub(super) fn outside(
        &mut self,
        day: LocalDay,
        air: &Air,
        lit: Option<(&LitHour, &[GroupHour])>,
        ready: &[ReadyGroup<'_>],
    ) {
        self.run_steps = 0;
        if self.sudden_steps(air, lit, ready) != 0 {
            self.keep_day(day);
        }
    }

    pub(super) fn take(&mut self, now: &Now<'_>) {
        let Now { day, month, hour_of_day, key, stands_for_h, start, follows, sun, air, lit, ready } = *now;
        let Some((state, groups)) = lit else {
            self.run_steps = 0;
            return;
        };
        if !follows {
            self.run_steps = 0;
        }
        let rating = self.over.rating_v;
        let steady = state.peak.steady.is_some_and(|spot| spot.volts > rating);
        let sudden = self.sudden_steps(air, lit, ready);
        let worst = if state.peak.worst_case.is_some_and(|spot| spot.volts > rating) {
            groups
                .iter()
                .zip(ready)
                .fold(0, |bits, (group, ready)| bits | group.worst_steps_over(ready, air, rating))
        } else {
            0
        };
        self.run(sudden);
        if !steady && sudden == 0 && worst == 0 {
            return;
        }
        let hours = ByVoltage {
            steady: if steady { sun.sun_up_fraction() * stands_for_h } else { 0.0 },
            sudden_sun: f64::from(sudden.count_ones()) / STEPS as f64 * stands_for_h,
            worst_case: f64::from(worst.count_ones()) / STEPS as f64 * stands_for_h,
        };
        if sudden != 0 {
            self.keep_day(day);
            stretch(&mut self.over.sudden_span, start);
        }
        if worst != 0 {
            stretch(&mut self.over.worst_span, start);
        }
        let Some(key) = key else { return };
        let last_day = &mut self.last_day;
        let block = at_hand(&mut self.at_hand, &mut self.over, key);
        if sudden != 0 {
            let clock = block.clock.get_or_insert_default();
            clock.by_month[month as usize - 1] += hours.sudden_sun;
            clock.by_hour[hour_of_day as usize] += hours.sudden_sun;
        }
        for voltage in Voltage::ALL {
            let this = *hours.of(voltage);
            if this > 0.0 {
                let count = block.counts.of_mut(voltage);
                count.hours += this;
                if last_day.of(voltage) != &Some(day) {
                    count.days += 1;
                    *last_day.of_mut(voltage) = Some(day);
                }
            }
        }
    }

    /// An hour over a voltage of which only the steady hours are asked for.
    pub(super) fn take_steady(&mut self, now: &Now<'_>) {
        let (Some((state, _)), Some(key)) = (now.lit, now.key) else { return };
        if state.peak.steady.is_none_or(|spot| spot.volts <= self.over.rating_v) {
            return;
        }
        let count = &mut at_hand(&mut self.at_hand, &mut self.over, key).counts.steady;
        count.hours += now.sun.sun_up_fraction() * now.stands_for_h;
        if self.last_day.steady != Some(now.day) {
            count.days += 1;
            self.last_day.steady = Some(now.day);
        }
    }

    fn sudden_steps(
        &self,
        air: &Air,
        lit: Option<(&LitHour, &[GroupHour])>,
        ready: &[ReadyGroup<'_>],
    ) -> u16 {
        let rating = self.over.rating_v;
        match lit {
            // Only hours whose largest voltage passes the rating need their twelve steps.
            Some((state, groups)) if state.peak.sudden_sun.is_some_and(|spot| spot.volts > rating) => groups
                .iter()
                .zip(ready)
                .fold(0, |bits, (group, ready)| bits | group.sudden_steps_over(ready, air, rating)),
            _ => 0,
        }
    }

    fn keep_day(&mut self, day: LocalDay) {
        if self.over.sudden_days.last() != Some(&day) {
            self.over.sudden_days.push(day);
        }
    }

    fn run(&mut self, steps: u16) {
        if steps == 0 {
            self.run_steps = 0;
            return;
        }
        for step in 0..STEPS {
            if steps >> step & 1 == 1 {
                self.run_steps += 1;
                self.longest_steps = self.longest_steps.max(self.run_steps);
            } else {
                self.run_steps = 0;
            }
        }
    }

    pub(super) fn finish(mut self) -> Over {
        if self.longest_steps > 0 {
            let step_h = 1.0 / STEPS as f64;
            self.over.longest_run_h = Some(f64::from(self.longest_steps) * step_h);
        }
        put_back(&mut self.at_hand, &mut self.over);
        self.over
    }
}

/// The counts of block `key`, taken out of the maps where they are not at hand.
fn at_hand<'h>(held: &'h mut Option<AtHand>, over: &mut Over, key: i32) -> &'h mut AtHand {
    if held.as_ref().is_none_or(|block| block.key != key) {
        put_back(held, over);
    }
    // Hours come in order, so a block that was left is hardly ever met again.
    held.get_or_insert_with(|| AtHand {
        key,
        counts: over.blocks.remove(&key).unwrap_or_default(),
        clock: over.clocks.remove(&key),
    })
}

fn put_back(held: &mut Option<AtHand>, over: &mut Over) {
    let Some(block) = held.take() else { return };
    over.blocks.insert(block.key, block.counts);
    if let Some(clock) = block.clock {
        over.clocks.insert(block.key, clock);
    }
}

fn stretch(span: &mut Option<(Stamp, Stamp)>, start: Stamp) {
    *span = Some(match *span {
        Some((first, last)) => (first.min(start), last.max(start)),
        None => (start, start),
    });
}
