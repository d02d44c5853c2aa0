//! Readings become hours: each is checked against the possible, then folded into the hour it stands for.

use super::doubted::Doubted;
use super::misread::Unread;
use super::reading::Reading;
use super::tally::{Count, Tally, Why};
use super::{Hour, Lows, Origin, Published, Station};
use crate::note::Note;
use crate::sky::Light;
use crate::time::{DAY_S, Stamp};

/// Air temperatures that can be, C: the lowest and highest ever measured at the surface are -89.2 and 56.7 (World
/// Meteorological Organization's archive of extremes, from memory), rounded outwards.
const LOWEST_AIR_C: f64 = -90.0;
const HIGHEST_AIR_C: f64 = 60.0;
/// Irradiances that can be, W/m2: sensors read a little below nought at night; cloud edges reach 1.5 times a clear
/// sky for minutes. Chosen wide: what is inside and wrong is the clock check's to find.
const LIGHT_W_M2: Bounds = Bounds { low: -20.0, high: 2000.0 };
/// Wind speeds that can be, m/s: the strongest gust on record is 113 m/s (same archive, from memory).
const WIND_M_S: Bounds = Bounds { low: 0.0, high: 120.0 };

/// Stamps that can be, from and up to: 1850-01-01 and 2150-01-01, days 43829 before and 65744 after the begin of 1970.
/// Chosen wide: the oldest hourly records begin in the second half of the 19th century (from memory), and other years
/// stand for "missing" or are slips.
const STAMPS: std::ops::Range<i64> = -43_829 * DAY_S..65_744 * DAY_S;

/// Room that is left over is given back where it is more than one in so many hours. A little is kept: it was never touched,
/// so it is no memory, and a block that keeps its size is used again by the next record instead of being asked for page by
/// page (measured: a third of the time of reading).
const WORTH_RETURNING: usize = 8;

/// From and to, both included.
#[derive(Clone, Copy)]
struct Bounds {
    low: f64,
    high: f64,
}

/// What a reader declares about its file.
#[derive(Clone, Debug, Default)]
pub(super) struct Declared {
    /// Who measured, and where.
    pub station: Station,
    /// Whether months of different years were put together.
    pub typical_year: bool,
    /// Whether the file may lack air temperature because another file of the station brings it.
    pub joins: bool,
    /// What it knows of the air between its readings.
    pub lows: Lows,
    /// Design conditions that it carries.
    pub published: Option<Published>,
    /// Remarks, a few at most.
    pub notes: Vec<Note>,
}

/// What one file gave.
#[derive(Clone, Debug)]
pub(super) struct Gathered {
    /// What its reader declared.
    pub declared: Declared,
    /// Rows that gave an air temperature.
    pub rows: u64,
    /// What was left out.
    pub tally: Tally,
    /// The first cells that could not be read.
    pub unread: Unread,
}

/// A running mean.
#[derive(Clone, Copy, Debug, Default)]
struct Mean {
    sum: f64,
    count: u32,
}

impl Mean {
    fn add(&mut self, value: f64) {
        self.sum += value;
        self.count += 1;
    }

    fn value(self) -> Option<f64> {
        match self.count {
            0 => None,
            // As nearly always; dividing by one changes nothing and takes its time.
            1 => Some(self.sum),
            count => Some(self.sum / f64::from(count)),
        }
    }

    #[expect(clippy::cast_possible_truncation, reason = "weather needs no more digits")]
    fn narrow(self) -> Option<f32> {
        self.value().map(|value| value as f32)
    }
}

/// The hour that is being put together.
#[derive(Clone, Copy, Debug)]
struct Draft {
    start: Stamp,
    air: Mean,
    low_c: f64,
    high_c: f64,
    low_line: u32,
    ghi: Mean,
    dni: Mean,
    dhi: Mean,
    oktas: Mean,
    wind: Mean,
}

impl Draft {
    fn new(start: Stamp) -> Self {
        let none = Mean::default();
        Self {
            start,
            air: none,
            low_c: f64::INFINITY,
            high_c: f64::NEG_INFINITY,
            low_line: 0,
            ghi: none,
            dni: none,
            dhi: none,
            oktas: none,
            wind: none,
        }
    }

    fn light(&self) -> Light {
        match (self.ghi.narrow(), self.dni.narrow(), self.dhi.narrow(), self.oktas.narrow()) {
            (Some(ghi), Some(dni), Some(dhi), _) => Light::Parts { ghi, dni, dhi },
            (Some(ghi), ..) => Light::GlobalOnly { ghi },
            (None, _, _, Some(oktas)) => Light::Clouds { oktas },
            _ => Light::Unknown,
        }
    }
}

/// Light and wind of an hour whose air temperature stands in another file.
#[derive(Clone, Copy, Debug)]
struct Aside {
    start: Stamp,
    light: Light,
    wind_m_s: Option<f32>,
}

/// Takes readings file by file.
#[derive(Debug, Default)]
pub(super) struct Gather {
    hours: Vec<Hour>,
    asides: Vec<Aside>,
    draft: Option<Draft>,
    unsorted: bool,
    file: u16,
    rows: u64,
    tally: Tally,
    declared: Declared,
    /// The first cells of the file that could not be read.
    pub unread: Unread,
    /// Readings that are left out because they are doubted.
    pub doubted: Doubted,
    /// Hours in which several readings of one file met.
    pub several: Option<Count>,
    /// Hours that several files gave.
    pub overlap: Option<Count>,
}

fn count(counter: &mut Option<Count>, first: Origin) {
    counter.get_or_insert(Count { count: 0, first }).count += 1;
}

/// `value` where it can be; else it is counted and left out.
#[inline]
fn possible(value: Option<f64>, bounds: Bounds, why: Why, tally: &mut Tally, at: Origin) -> Option<f64> {
    let value = value?;
    if value >= bounds.low && value <= bounds.high {
        return Some(value);
    }
    tally.add(why, at);
    None
}

/// An air temperature that can be, C; else it is counted and left out.
#[inline]
fn possible_air(air_c: Option<f64>, tally: &mut Tally, at: Origin) -> Option<f64> {
    let above = Bounds { low: LOWEST_AIR_C, high: f64::INFINITY };
    let below = Bounds { low: f64::NEG_INFINITY, high: HIGHEST_AIR_C };
    possible(possible(air_c, above, Why::TooColdAir, tally, at), below, Why::TooHotAir, tally, at)
}

impl Gather {
    /// Begins a file.
    pub(super) fn begin(&mut self, file: u16) {
        self.file = file;
        self.rows = 0;
        self.tally = Tally::default();
        self.declared = Declared::default();
        self.unread = Unread::default();
    }

    /// Ends a file.
    pub(super) fn end(&mut self) -> Gathered {
        self.flush();
        self.join();
        Gathered {
            declared: std::mem::take(&mut self.declared),
            rows: self.rows,
            tally: std::mem::take(&mut self.tally),
            unread: std::mem::take(&mut self.unread),
        }
    }

    /// Makes room for so many more hours: growing step by step copies them again and again.
    pub(super) fn expect(&mut self, hours: usize) {
        self.hours.reserve(hours);
    }

    /// What the reader says about its file.
    pub(super) fn declare(&mut self) -> &mut Declared {
        &mut self.declared
    }

    /// Counts something that was left out.
    pub(super) fn leave_out(&mut self, why: Why, line: u32) {
        self.tally.add(why, Origin { file: self.file, line });
    }

    /// Counts a row that was left out, and keeps the first that cannot be read for a message.
    pub(super) fn leave_out_row(&mut self, why: Why, line: u32, row: &[u8]) {
        self.unread.row(why, row);
        self.leave_out(why, line);
    }

    /// Takes one reading.
    pub(super) fn push(&mut self, reading: &Reading) {
        let start = reading.span.hour();
        // The years of a typical year are of no account.
        if !STAMPS.contains(&start.0) && !self.declared.typical_year {
            return self.leave_out(Why::FarStamp, reading.line);
        }
        if self.draft.as_ref().is_none_or(|draft| draft.start != start) {
            self.flush();
            self.draft = Some(Draft::new(start));
        }
        let at = Origin { file: self.file, line: reading.line };
        let tally = &mut self.tally;
        let Some(draft) = &mut self.draft else { return };
        let air_c = match reading.air {
            Ok(air_c) => Some(air_c),
            Err(why) => {
                if !self.declared.joins {
                    tally.add(why, at);
                }
                if let Some(air_c) =
                    reading.doubted_c.filter(|air_c| (LOWEST_AIR_C..=HIGHEST_AIR_C).contains(air_c))
                {
                    self.doubted.take(air_c, start, at);
                }
                None
            }
        };
        if let Some(air_c) = possible_air(air_c, tally, at) {
            self.rows += 1;
            draft.air.add(air_c);
            let low_c = possible_air(reading.low_c, tally, at).unwrap_or(air_c).min(air_c);
            let high_c = possible_air(reading.high_c, tally, at).unwrap_or(air_c).max(air_c);
            if low_c < draft.low_c {
                draft.low_c = low_c;
                draft.low_line = reading.line;
            }
            draft.high_c = draft.high_c.max(high_c);
            if draft.air.count == 2 {
                count(&mut self.several, at);
            }
        }
        for (value, mean) in
            [(reading.ghi, &mut draft.ghi), (reading.dni, &mut draft.dni), (reading.dhi, &mut draft.dhi)]
        {
            if let Some(value) = possible(value, LIGHT_W_M2, Why::ImpossibleLight, tally, at) {
                mean.add(value.max(0.0));
            }
        }
        if let Some(oktas) = reading.oktas.filter(|oktas| (0.0..=8.0).contains(oktas)) {
            draft.oktas.add(oktas);
        }
        if let Some(wind) = possible(reading.wind_m_s, WIND_M_S, Why::ImpossibleWind, tally, at) {
            draft.wind.add(wind);
        }
    }

    fn flush(&mut self) {
        let Some(draft) = &self.draft else { return };
        let light = draft.light();
        let wind_m_s = draft.wind.narrow();
        match draft.air.value() {
            Some(air_mean_c) => {
                let hour = Hour {
                    start: draft.start,
                    air_mean_c,
                    air_low_c: draft.low_c,
                    #[expect(clippy::cast_possible_truncation, reason = "the hot side needs no more digits")]
                    air_high_c: draft.high_c as f32,
                    wind_m_s,
                    light,
                    origin: Origin { file: self.file, line: draft.low_line },
                };
                self.unsorted |= self.hours.last().is_some_and(|last| last.start >= hour.start);
                self.hours.push(hour);
            }
            None if self.declared.joins && (light != Light::Unknown || wind_m_s.is_some()) => {
                self.asides.push(Aside { start: draft.start, light, wind_m_s });
            }
            None => {}
        }
        self.draft = None;
    }

    /// Gives what was put aside to the hours that are there, and forgets it.
    fn join(&mut self) {
        if self.hours.is_empty() || self.asides.is_empty() {
            return;
        }
        self.sort();
        self.asides.sort_by_key(|aside| aside.start);
        let mut hours = self.hours.iter_mut().peekable();
        self.asides.retain(|aside| {
            while hours.next_if(|hour| hour.start < aside.start).is_some() {}
            let Some(hour) = hours.peek_mut().filter(|hour| hour.start == aside.start) else { return true };
            hour.light = richer(hour.light, aside.light);
            hour.wind_m_s = hour.wind_m_s.or(aside.wind_m_s);
            false
        });
    }

    /// Sorts the hours and makes one of those that are alike.
    fn sort(&mut self) {
        if !std::mem::take(&mut self.unsorted) {
            return;
        }
        self.hours.sort_by_key(|hour| hour.start);
        let (several, overlap) = (&mut self.several, &mut self.overlap);
        self.hours.dedup_by(|next, kept| {
            if next.start != kept.start {
                return false;
            }
            let counter = if next.origin.file == kept.origin.file { &mut *several } else { &mut *overlap };
            count(counter, next.origin);
            merge(kept, next);
            true
        });
    }

    /// The hours of consecutive time: sorted, one row an hour.
    pub(super) fn chronological(mut self) -> (Vec<Hour>, [Option<Count>; 2]) {
        self.join();
        self.sort();
        if self.hours.capacity() - self.hours.len() > self.hours.len() / WORTH_RETURNING {
            self.hours.shrink_to_fit();
        }
        (self.hours, [self.several, self.overlap])
    }

    /// The hours in the file's own order.
    pub(super) fn typical(self) -> Vec<Hour> {
        self.hours
    }
}

/// Folds `other` into `hour`: its lowest, its highest, the middle of the means, the richer light.
fn merge(hour: &mut Hour, other: &Hour) {
    if other.air_low_c < hour.air_low_c {
        hour.air_low_c = other.air_low_c;
        hour.origin = other.origin;
    }
    hour.air_high_c = hour.air_high_c.max(other.air_high_c);
    hour.air_mean_c = 0.5 * (hour.air_mean_c + other.air_mean_c);
    hour.light = richer(hour.light, other.light);
    hour.wind_m_s = hour.wind_m_s.or(other.wind_m_s);
}

/// The one of two lights that says more; the first where they say alike.
fn richer(one: Light, other: Light) -> Light {
    let rank = |light: &Light| match light {
        Light::Parts { .. } => 3,
        Light::GlobalOnly { .. } => 2,
        Light::Clouds { .. } => 1,
        Light::Unknown => 0,
    };
    if rank(&other) > rank(&one) { other } else { one }
}

#[cfg(test)]
mod tests {
    use super::super::reading::Span;
    use super::*;

    fn reading(minute: i64, air_c: f64, line: u32) -> Reading {
        Reading { air: Ok(air_c), ..Reading::new(Span::Instant(Stamp(minute * 60)), line) }
    }

    #[test]
    fn several_readings_of_an_hour_give_low_mean_and_high() {
        let mut gather = Gather::default();
        gather.begin(0);
        for (minute, air_c) in [(5, -3.0), (51, -6.0), (59, 0.0), (60, 1.0)] {
            gather.push(&reading(minute, air_c, 10 + u32::try_from(minute).unwrap_or(0)));
        }
        gather.end();
        let (hours, [several, overlap]) = gather.chronological();
        assert_eq!(hours.len(), 2);
        assert_eq!((hours[0].air_low_c, hours[0].air_mean_c, hours[0].air_high_c), (-6.0, -3.0, 0.0));
        assert_eq!(hours[0].origin.line, 61);
        assert_eq!(several.map(|count| count.count), Some(1));
        assert_eq!(overlap, None);
    }

    #[test]
    fn files_in_any_order_become_one_record_and_overlaps_are_counted() {
        let mut gather = Gather::default();
        for (file, minutes) in [(0, [180, 240]), (1, [0, 180])] {
            gather.begin(file);
            for minute in minutes {
                gather.push(&reading(minute, f64::from(file), 1));
            }
            gather.end();
        }
        let (hours, [_, overlap]) = gather.chronological();
        assert_eq!(hours.iter().map(|hour| hour.start.0 / 3600).collect::<Vec<_>>(), [0, 3, 4]);
        assert_eq!(hours[1].air_low_c, 0.0);
        assert_eq!(hours[1].air_mean_c, 0.5);
        assert_eq!(overlap.map(|count| count.count), Some(1));
    }

    #[test]
    fn the_impossible_is_counted_and_left_out() {
        let mut gather = Gather::default();
        gather.begin(0);
        gather.push(&reading(0, -99.9, 3));
        let dark = Reading { ghi: Some(-3.0), wind_m_s: Some(-1.0), ..reading(60, 4.0, 4) };
        gather.push(&dark);
        let gathered = gather.end();
        assert_eq!(gathered.tally.count(Why::TooColdAir), 1);
        assert_eq!(gathered.tally.count(Why::ImpossibleWind), 1);
        let (hours, _) = gather.chronological();
        assert_eq!(hours.len(), 1);
        assert_eq!(hours[0].light, Light::GlobalOnly { ghi: 0.0 });
        assert_eq!(hours[0].wind_m_s, None);
    }

    #[test]
    fn years_without_measurements_are_counted_and_left_out() {
        let mut gather = Gather::default();
        gather.begin(0);
        let edges =
            [(1849, 12, 31, 23), (1850, 1, 1, 0), (2149, 12, 31, 23), (2150, 1, 1, 0), (9999, 1, 1, 1)];
        for (line, (year, month, day, hour)) in (2..).zip(edges) {
            let stamp = Stamp::from_utc(year, month, day, hour, 0, 0).unwrap_or(Stamp(0));
            gather.push(&Reading { air: Ok(1.0), ..Reading::new(Span::Instant(stamp), line) });
        }
        let tally = gather.end().tally;
        assert_eq!(tally.count(Why::FarStamp), 3);
        assert_eq!(tally.iter().next().map(|(_, count)| count.first.line), Some(2));
        let years: Vec<String> = gather.chronological().0.iter().map(|hour| hour.start.iso()).collect();
        assert_eq!(years, ["1850-01-01T00:00:00Z", "2149-12-31T23:00:00Z"]);
    }

    #[test]
    fn light_of_one_file_joins_air_of_another() {
        let mut gather = Gather::default();
        gather.begin(0);
        gather.declare().joins = true;
        for minute in [0, 60] {
            let light = Reading { ghi: Some(100.0), ..Reading::new(Span::Instant(Stamp(minute * 60)), 1) };
            gather.push(&light);
        }
        gather.end();
        gather.begin(1);
        gather.push(&reading(60, -1.0, 1));
        gather.end();
        let (hours, _) = gather.chronological();
        assert_eq!(hours.len(), 1);
        assert_eq!(hours[0].light, Light::GlobalOnly { ghi: 100.0 });
    }
}
