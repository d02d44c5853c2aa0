//! The loop over a record: what was seen at most, in which block, how often and how long over each rating.

use crate::hourly::blocks::Blocks;
use crate::hourly::count::{Now, Over, OverCounter};
use crate::hourly::cover::{DayCover, DaySeen, LitReports};
use crate::hourly::hour::{Air, GroupHour, LitHour, ReadyGroup, Spot};
use crate::hourly::light::HourSky;
use crate::hourly::site::Site;
use crate::hourly::voltage::{ByVoltage, Voltage};
use crate::module::string_short_circuit;
use crate::sky::ClearSky;
use crate::sun::{HourSun, Nodes, STEPS, Track};
use crate::time::{DAY_S, HOUR_S, LocalDay, Season, Stamp};
use crate::weather::{COMPLETE_SHARE, Hour, Origin};
use std::collections::BTreeMap;

/// A largest value, with the hour that caused it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeakMoment {
    /// Volts, cell and light.
    pub spot: Spot,
    /// Start of the hour.
    pub start: Stamp,
    /// File and line of the hour.
    pub origin: Origin,
}

/// One season, or one year's window, of one array.
#[derive(Clone, Debug)]
pub struct Block {
    /// Key of the block.
    pub key: i32,
    /// Season in which it begins.
    pub season: Season,
    /// Hours for which there are readings: one every three hours stands for three, and for no more than lies between it
    /// and the next. Whole in hourly records.
    pub hours: f64,
    /// Lit reports with weather in the part that counts for coverage.
    pub lit_seen: u32,
    /// Share of the promised lit hours that are there, 0 to 1.
    pub share: f64,
    /// Whether at least 95 % of them are.
    pub complete: bool,
    /// Largest of each voltage.
    pub peak: ByVoltage<Option<PeakMoment>>,
    /// Lowest air at the place.
    pub air_low_c: f64,
}

/// The currents of an array over a record.
#[derive(Clone, Copy, Debug, Default)]
pub struct CurrentSeen {
    /// Largest hour mean and its hour.
    pub max_hour: Option<(f64, Stamp)>,
    /// Largest mean of three consecutive hours.
    pub highest_3_hour_mean: Option<f64>,
    /// Largest current of any 5 minutes in the light of the bound, and its hour: what bursts are counted from.
    pub brightest: Option<(f64, Stamp)>,
}

/// What one array saw over one record.
#[derive(Clone, Debug)]
pub struct Seen {
    /// Largest of each voltage, inside the blocks.
    pub peak: ByVoltage<Option<PeakMoment>>,
    /// Block by block, in order of their keys.
    pub blocks: Vec<Block>,
    /// Counts over each rating asked for, in the order asked.
    pub over: Vec<Over>,
    /// Steady hours alone over each voltage asked for, likewise.
    pub steady_over: Vec<Over>,
    /// Currents, inside the blocks.
    pub current: CurrentSeen,
    /// Whether any hour inside the blocks was lit.
    pub any_lit: bool,
    /// Lowest air at the place over the whole record, C, and when.
    pub air_low: Option<(f64, Stamp)>,
    /// Lowest air inside the blocks, C.
    pub block_air_low_c: Option<f64>,
    /// Largest worst case of each calendar month, January first, in blocks whole or not; `None` where it was never lit.
    pub month_worst_v: [Option<f64>; 12],
    /// The light of every day in or near a window, for shifted trips; empty for whole seasons.
    pub days: BTreeMap<LocalDay, DayCover>,
}

/// What the loop needs besides the record.
#[derive(Clone, Copy)]
pub struct Loop<'a> {
    /// The place.
    pub site: &'a Site,
    /// Its clear sky.
    pub sky: &'a ClearSky,
    /// The sun's nodes.
    pub nodes: &'a Nodes,
    /// Groups of the array.
    pub groups: &'a [ReadyGroup<'a>],
    /// Ratings over which hours are counted, V.
    pub ratings: &'a [f64],
    /// Voltages over which only the steady hours are counted, V.
    pub steady_only: &'a [f64],
    /// How the record is cut; `None` for a typical year, which has no blocks.
    pub blocks: Option<Blocks>,
    /// Days that count where there are no blocks: a typical year in trip dates.
    pub only: Option<crate::trip::Window>,
    /// The record's commonest reporting interval, h.
    pub step_h: u32,
}

/// One hour with the sun above it: shared by the loop and by the hour-by-hour table.
pub fn each_hour(
    job: &Loop<'_>,
    hours: &[Hour],
    mut act: impl FnMut(&Hour, &HourSun, &Air, Option<(&LitHour, &[GroupHour])>),
) {
    let track = Track::new(job.nodes, job.site.place.latitude_deg, job.site.place.longitude_deg);
    let mut groups: Vec<GroupHour> = Vec::with_capacity(job.groups.len());
    for hour in hours {
        let sun = track.hour(hour.start, HOUR_S);
        let air = Air::at(job.site, hour);
        if sun.lit == 0 {
            act(hour, &sun, &air, None);
            continue;
        }
        let hour_sky = HourSky::new(job.sky, &sun, hour.light);
        groups.clear();
        groups.extend(job.groups.iter().map(|ready| {
            GroupHour::new(ready, &air, &hour_sky, |step| track.moment(step_middle_s(hour.start, step)))
        }));
        let lit = LitHour::join(&hour_sky, &groups);
        act(hour, &sun, &air, Some((&lit, &groups)));
    }
}

/// The middle of a 5-minute step, seconds since 1970.
fn step_middle_s(start: Stamp, step: usize) -> f64 {
    start.0 as f64 + (step as f64 + 0.5) * (HOUR_S as f64 / STEPS as f64)
}

/// Runs the loop over the hours of a record.
#[must_use]
pub fn fold<'a>(job: &'a Loop<'a>, hours: &'a [Hour]) -> Seen {
    let mut folding = Folding::new(job, hours);
    each_hour(job, hours, |hour, sun, air, lit| folding.take(hour, sun, air, lit));
    folding.finish()
}

struct Folding<'a> {
    job: &'a Loop<'a>,
    reports: LitReports<'a>,
    /// Those of the hours that come after the one at hand.
    ahead: &'a [Hour],
    peak: ByVoltage<Option<PeakMoment>>,
    /// In the order met; the last one is at hand.
    blocks: Vec<Block>,
    counters: Vec<OverCounter>,
    steady_counters: Vec<OverCounter>,
    current: CurrentSeen,
    last_amps: [Option<f64>; 2],
    last_start: Option<Stamp>,
    any_lit: bool,
    air_low: Option<(f64, Stamp)>,
    block_air_low_c: Option<f64>,
    month_worst_v: [Option<f64>; 12],
    days: Vec<DaySeen>,
    today: Today,
}

/// What holds for a whole local day, looked up once a day.
#[derive(Clone, Copy)]
struct Today {
    day: LocalDay,
    /// Its first moment.
    begin: Stamp,
    inside: bool,
    key: Option<i32>,
    counts: bool,
    month: u32,
    /// Hours between its half-year's reports.
    step_h: u32,
}

impl<'a> Folding<'a> {
    fn new(job: &'a Loop<'a>, hours: &'a [Hour]) -> Self {
        let track = Track::new(job.nodes, job.site.place.latitude_deg, job.site.place.longitude_deg);
        Self {
            job,
            reports: LitReports::new(track, job.site, job.step_h, hours),
            ahead: hours,
            peak: ByVoltage::default(),
            blocks: Vec::new(),
            counters: job.ratings.iter().map(|&rating| OverCounter::new(rating)).collect(),
            steady_counters: job.steady_only.iter().map(|&volts| OverCounter::new(volts)).collect(),
            current: CurrentSeen::default(),
            last_amps: [None; 2],
            last_start: None,
            any_lit: false,
            air_low: None,
            block_air_low_c: None,
            month_worst_v: [None; 12],
            days: Vec::new(),
            today: Today {
                day: LocalDay(i32::MIN),
                begin: Stamp(i64::MIN),
                inside: false,
                key: None,
                counts: false,
                step_h: 1,
                month: 1,
            },
        }
    }

    /// Goes on to the local day of an hour.
    fn turn_to(&mut self, start: Stamp) {
        if (self.today.begin.0..self.today.begin.0 + DAY_S).contains(&start.0) {
            return;
        }
        let day = start.local_day(self.job.site.offset);
        let key = self.job.blocks.and_then(|blocks| blocks.key(day));
        let inside = match (self.job.blocks, self.job.only) {
            (Some(_), _) => key.is_some(),
            (None, Some(window)) => window.holds(day.month_day()),
            (None, None) => true,
        };
        let counts = self.job.blocks.is_some_and(|blocks| blocks.counts_for_coverage(day));
        let step_h = self.reports.turn_to(day);
        let begin = day.start(self.job.site.offset);
        self.today = Today { day, begin, inside, key, counts, month: day.month_day().month, step_h };
        self.days.push(DaySeen { day, lit: 0, punctual: 0, worst: None });
    }

    fn take(&mut self, hour: &Hour, sun: &HourSun, air: &Air, lit: Option<(&LitHour, &[GroupHour])>) {
        self.turn_to(hour.start);
        self.ahead = self.ahead.get(1..).unwrap_or_default();
        let follows = self.last_start.is_some_and(|last| last.plus_s(HOUR_S) == hour.start);
        self.last_start = Some(hour.start);
        let report = self.reports.take(hour.start, sun);
        if let Some(held) = self.days.last_mut() {
            held.lit += u32::from(report.lit);
            held.punctual += u32::from(report.punctual);
            if let Some(spot) = lit.and_then(|(state, _)| state.peak.worst_case)
                && held.worst.is_none_or(|worst| spot.volts > worst.volts)
            {
                held.worst = Some(spot);
            }
        }
        let low = air.low_usual.0;
        if self.air_low.is_none_or(|(lowest, _)| low < lowest) {
            self.air_low = Some((low, hour.start));
        }
        if !self.today.inside {
            self.last_amps = [None; 2];
            // Ratings are still counted by day, so that a shifted trip can be judged.
            for counter in &mut self.counters {
                counter.outside(self.today.day, air, lit, self.job.groups);
            }
            return;
        }
        if self.block_air_low_c.is_none_or(|lowest| low < lowest) {
            self.block_air_low_c = Some(low);
        }
        let stands_for_h = self.stands_for_h(hour.start);
        self.take_block(hour, stands_for_h, report.lit, air, lit);
        self.take_current(hour, follows, lit.and_then(|(state, _)| state.isc_a));
        if let Some((_, groups)) = lit {
            self.take_brightest(hour, groups);
        }
        let Today { day, month, key, .. } = self.today;
        let (start, ready) = (hour.start, self.job.groups);
        let hour_of_day = u32::try_from((start.0 - self.today.begin.0) / HOUR_S).unwrap_or(0);
        let now = Now { day, month, hour_of_day, key, stands_for_h, start, follows, sun, air, lit, ready };
        for counter in &mut self.counters {
            counter.take(&now);
        }
        for counter in &mut self.steady_counters {
            counter.take_steady(&now);
        }
        if let Some((state, _)) = lit {
            self.any_lit = true;
            // Where there are blocks the largest of theirs is found at the end.
            if self.job.blocks.is_none() {
                for voltage in Voltage::ALL {
                    raise(self.peak.of_mut(voltage), *state.peak.of(voltage), hour);
                }
            }
            let worst = state.peak.worst_case.map(|spot| spot.volts);
            if let Some(of_month) = self.month_worst_v.get_mut(month as usize - 1)
                && worst > *of_month
            {
                *of_month = worst;
            }
        }
    }

    /// Hours that the reading at hand stands for: its half-year's interval, and where a reading comes between two reports
    /// only what lies up to that. So no block holds more hours than its days have.
    fn stands_for_h(&self, start: Stamp) -> f64 {
        match (self.today.step_h, self.ahead.first()) {
            (1, _) => 1.0,
            (step_h, Some(next)) if next.start > start => {
                ((next.start.0 - start.0) as f64 / HOUR_S as f64).min(f64::from(step_h))
            }
            // The last one, or the last before the months of a typical year jump back.
            (step_h, _) => f64::from(step_h),
        }
    }

    fn take_block(
        &mut self,
        hour: &Hour,
        stands_for_h: f64,
        report: bool,
        air: &Air,
        lit: Option<(&LitHour, &[GroupHour])>,
    ) {
        let (Some(key), Some(blocks)) = (self.today.key, self.job.blocks) else { return };
        let counts = self.today.counts;
        let at = match self.blocks.last() {
            Some(last) if last.key == key => self.blocks.len() - 1,
            // Hours come in order, so a block that was left is hardly ever met again.
            _ => self.blocks.iter().position(|block| block.key == key).unwrap_or_else(|| {
                self.blocks.push(Block {
                    key,
                    season: blocks.season(key),
                    hours: 0.0,
                    lit_seen: 0,
                    share: 0.0,
                    complete: false,
                    peak: ByVoltage::default(),
                    air_low_c: f64::INFINITY,
                });
                self.blocks.len() - 1
            }),
        };
        let block = &mut self.blocks[at];
        block.hours += stands_for_h;
        block.air_low_c = block.air_low_c.min(air.low_usual.0);
        block.lit_seen += u32::from(report && counts);
        if let Some((state, _)) = lit {
            for voltage in Voltage::ALL {
                raise(block.peak.of_mut(voltage), *state.peak.of(voltage), hour);
            }
        }
    }

    /// The current in the light of the bound, on cells as warm as the hour's sun makes them.
    fn take_brightest(&mut self, hour: &Hour, groups: &[GroupHour]) {
        let mut amps = 0.0;
        for (group, ready) in groups.iter().zip(self.job.groups) {
            let Some(spot) = group.peak.worst_case else { continue };
            let modules = &ready.group.modules;
            if let Some(string) = string_short_circuit(modules, spot.irradiance_w_m2, group.cell_steady) {
                amps += string.largest.0 * f64::from(ready.group.in_parallel);
            }
        }
        if amps > 0.0 && self.current.brightest.is_none_or(|(most, _)| amps > most) {
            self.current.brightest = Some((amps, hour.start));
        }
    }

    fn take_current(&mut self, hour: &Hour, follows: bool, amps: Option<f64>) {
        if !follows {
            self.last_amps = [None; 2];
        }
        if let Some(amps) = amps {
            if self.current.max_hour.is_none_or(|(most, _)| amps > most) {
                self.current.max_hour = Some((amps, hour.start));
            }
            if let [Some(before), Some(last)] = self.last_amps {
                let mean = (before + last + amps) / 3.0;
                self.current.highest_3_hour_mean =
                    Some(self.current.highest_3_hour_mean.map_or(mean, |most| most.max(mean)));
            }
        }
        self.last_amps = [self.last_amps[1], amps];
    }

    fn finish(self) -> Seen {
        let Self {
            job,
            reports,
            peak,
            blocks,
            counters,
            steady_counters,
            current,
            any_lit,
            air_low,
            block_air_low_c,
            month_worst_v,
            days,
            ..
        } = self;
        let (mut blocks, mut peak) = (blocks, peak);
        for block in &blocks {
            for voltage in Voltage::ALL {
                let (best, of_block) = (peak.of_mut(voltage), block.peak.of(voltage));
                if let Some(this) = of_block
                    && best.is_none_or(|best| this.spot.volts > best.spot.volts)
                {
                    *best = *of_block;
                }
            }
        }
        blocks.sort_by_key(|block| block.key);
        if let Some(cut) = job.blocks {
            for block in &mut blocks {
                let promised = reports.promised_in(&cut, block.key, &days);
                block.share = if promised == 0 {
                    0.0
                } else {
                    (f64::from(block.lit_seen) / f64::from(promised)).min(1.0)
                };
                block.complete = block.share >= COMPLETE_SHARE;
            }
        }
        Seen {
            peak,
            blocks,
            over: counters.into_iter().map(OverCounter::finish).collect(),
            steady_over: steady_counters.into_iter().map(OverCounter::finish).collect(),
            current,
            any_lit,
            air_low,
            block_air_low_c,
            month_worst_v,
            days: job.blocks.map(|cut| reports.near_windows(&cut, &days)).unwrap_or_default(),
        }
    }
}

fn raise(best: &mut Option<PeakMoment>, spot: Option<Spot>, hour: &Hour) {
    if let Some(spot) = spot
        && best.is_none_or(|best| spot.volts > best.spot.volts)
    {
        *best = Some(PeakMoment { spot, start: hour.start, origin: hour.origin });
    }
}
