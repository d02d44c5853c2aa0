//! How much of the promised light of a day a record holds.

use crate::hourly::blocks::Blocks;
use crate::hourly::hour::Spot;
use crate::hourly::site::Site;
use crate::sun::{HourSun, Track};
use crate::time::{DAY_S, HOUR_S, LocalDay, Stamp};
use crate::weather::{Hour, Interval, Intervals};
use std::collections::BTreeMap;

/// Days before and after a window whose light is kept too, for trips that are shifted by up to four weeks and widened
/// by one.
pub const MARGIN_DAYS: i32 = 35;

/// Lit reports of one local day.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DayCover {
    /// That the record holds.
    pub seen: u32,
    /// That its own interval promises.
    pub promised: u32,
    /// The largest worst case of the day, also outside the window; `None` without a lit hour.
    pub worst: Option<Spot>,
}

/// What one local day of a record holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct DaySeen {
    /// The day.
    pub day: LocalDay,
    /// Lit reports.
    pub lit: u32,
    /// Reports, lit or not, that stand where they are promised to the second.
    pub punctual: u32,
    /// The largest worst case.
    pub worst: Option<Spot>,
}

/// What one hour is to the promised reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Report {
    /// Whether it stands for a promised lit report that was not seen yet.
    pub lit: bool,
    /// Whether it is new and stands where it is promised to the second.
    pub punctual: bool,
}

/// Counts lit reports as the interval of each half-year of the record promises them: of several readings between two promised reports one
/// counts, so that a stretch of denser readings never makes up for a gap.
pub(super) struct LitReports<'a> {
    track: Track<'a>,
    site: &'a Site,
    intervals: Intervals,
    /// That of the day at hand.
    today: Interval,
    /// Where the report of the reading before was promised.
    last: Option<Stamp>,
}

impl<'a> LitReports<'a> {
    pub(super) fn new(track: Track<'a>, site: &'a Site, step_h: u32, hours: &[Hour]) -> Self {
        let intervals = Intervals::of(hours, step_h, site.offset);
        let today = intervals.on(LocalDay(i32::MIN));
        Self { track, site, intervals, today, last: None }
    }

    /// Goes on to the hours of a local day: the hours between its reports.
    pub(super) fn turn_to(&mut self, day: LocalDay) -> u32 {
        let interval = self.intervals.on(day);
        if interval != self.today {
            self.today = interval;
            self.last = None;
        }
        interval.step_h
    }

    /// What this hour is. Hours come in order.
    pub(super) fn take(&mut self, start: Stamp, sun: &HourSun) -> Report {
        let step_s = self.today.step_s();
        let promised_at = match self.last.map(|last| (last, start.0 - last.0)) {
            Some((_, behind_s)) if (0..step_s).contains(&behind_s) => {
                return Report { lit: false, punctual: false };
            }
            // The next one, as a rule: found without a division.
            Some((last, behind_s)) if (step_s..2 * step_s).contains(&behind_s) => last.plus_s(step_s),
            _ => self.today.promised_at(self.today.report(start)),
        };
        self.last = Some(promised_at);
        let punctual = promised_at == start;
        Report { lit: if punctual { sun.lit != 0 } else { self.is_lit(promised_at) }, punctual }
    }

    /// Lit reports promised on a local day.
    pub(super) fn promised(&self, day: LocalDay) -> u32 {
        let interval = self.intervals.on(day);
        let begin = day.start(self.site.offset);
        let mut promised = 0;
        let mut at = interval.first_from(begin);
        while at.0 < begin.0 + DAY_S {
            promised += u32::from(self.is_lit(at));
            at = at.plus_s(interval.step_s());
        }
        promised
    }

    /// Lit reports promised in the part of a block that counts for coverage. `seen`, in order, holds the days of the
    /// record: of a day whose every report is there the sun need not be asked again.
    pub(super) fn promised_in(&self, cut: &Blocks, key: i32, seen: &[DaySeen]) -> u32 {
        let Some((first, end)) = cut.days(key) else { return 0 };
        let mut rest = &seen[seen.partition_point(|held| held.day < first)..];
        (first.0..end.0)
            .map(LocalDay)
            .filter(|&day| cut.counts_for_coverage(day))
            .map(|day| {
                while rest.first().is_some_and(|held| held.day < day) {
                    rest = &rest[1..];
                }
                match rest.first() {
                    Some(held) if held.day == day && held.punctual == 24 / self.intervals.on(day).step_h => {
                        held.lit
                    }
                    _ => self.promised(day),
                }
            })
            .sum()
    }

    /// The light of every day in or near a window, `seen` being what the record holds; empty for whole seasons.
    pub(super) fn near_windows(&self, cut: &Blocks, seen: &[DaySeen]) -> BTreeMap<LocalDay, DayCover> {
        let mut days = BTreeMap::new();
        let (Blocks::Windows { .. }, Some(first), Some(last)) = (cut, seen.first(), seen.last()) else {
            return days;
        };
        let (first, last) = (first.day, last.day);
        for key in first.year() - 3..=last.year() + 1 {
            let Some((begin, end)) = cut.days(key) else { continue };
            // Not farther from the record than its nodes of the sun reach; a window out there is not covered anyway.
            let from = (begin.0 - MARGIN_DAYS).max(first.0 - 300);
            let to = (end.0 + MARGIN_DAYS).min(last.0 + 300);
            for day in (from..to).map(LocalDay) {
                days.entry(day)
                    .or_insert_with(|| DayCover { promised: self.promised(day), ..DayCover::default() });
            }
        }
        for held in seen {
            if let Some(cover) = days.get_mut(&held.day) {
                cover.seen = held.lit;
                cover.worst = held.worst;
            }
        }
        days
    }

    fn is_lit(&self, at: Stamp) -> bool {
        self.track.is_lit(at, HOUR_S)
    }
}
