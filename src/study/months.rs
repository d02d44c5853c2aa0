//! A stop without dates: the months in which the weather, over every season seen, breaks a limit no longer.

use crate::hourly::{Blocks, Loop, Voltage, fold};
use crate::limits::Verdict;
use crate::limits::voltage;
use crate::study::figures::{block_maxima, weather_figures};
use crate::study::lines::ArrayAt;
use crate::study::results::LimitLine;
use crate::study::weeks::OtherDates;
use crate::time::{MONTHS, MonthDay};
use crate::trip::Window;

/// Last days of the calendar months; 28 February stands in for the 29th.
const LAST_DAY: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Months that follow one another: the first, from 0, and how many.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stretch {
    first: usize,
    length: usize,
}

impl Stretch {
    fn last(self) -> usize {
        (self.first + self.length - 1) % 12
    }

    fn window(self) -> Window {
        let day = |month: usize, day: u32| MonthDay { month: month as u32 + 1, day };
        Window { arrive: day(self.first, 1), leave: day(self.last(), LAST_DAY[self.last()]) }
    }

    fn words(self) -> String {
        let Window { arrive, leave } = self.window();
        let months = match self.length {
            1 => MONTHS[self.first].to_owned(),
            _ => format!("{} to {}", MONTHS[self.first], MONTHS[self.last()]),
        };
        format!("{months} (arrive = \"{arrive}\", leave = \"{leave}\"")
    }
}

/// For each limit in volts that the weather of a stop without dates breaks, while the code sum holds: the months that clear it.
/// The code sum rests on whole years: where it breaks a limit, no dates are offered.
#[must_use]
pub fn other_months(
    at: &ArrayAt<'_>,
    job: &Loop<'_>,
    hours: &[crate::weather::Hour],
    array: &str,
    limits: &[LimitLine],
) -> Vec<OtherDates> {
    let Some(Blocks::Seasons(_)) = at.blocks else { return Vec::new() };
    let broken = limits.iter().filter(|line| {
        line.unit == "V" && line.verdict == Verdict::Exceeded && line.code_verdict != Some(Verdict::Exceeded)
    });
    let mut found: Vec<OtherDates> = Vec::new();
    for line in broken {
        let Some(rating) = line.rating else { continue };
        let free: Vec<Judged> = stretches(&at.seen.month_worst_v, rating)
            .into_iter()
            .filter_map(|stretch| narrowed(at, job, hours, rating, stretch))
            .collect();
        let text = if free.is_empty() {
            "no month that the record holds whole clears it".to_owned()
        } else {
            let words: Vec<String> = free.iter().map(Judged::words).collect();
            format!("stays in {} hold by the weather of every season seen", words.join(" or "))
        };
        found.push(OtherDates {
            array: array.to_owned(),
            component: line.component.clone(),
            rule: line.rule.clone(),
            place: at.open.stop.place.clone(),
            window: None,
            text,
            clears: !free.is_empty(),
        });
    }
    found
}

/// Months that clear a rating, with the figure that decides and how many of their years are whole.
struct Judged {
    stretch: Stretch,
    volts: f64,
    verdict: Verdict,
    years: usize,
}

impl Judged {
    fn words(&self) -> String {
        let close = if self.verdict == Verdict::Close { ", which is close" } else { "" };
        format!("{}; {:.1} V at most{close}; {} whole years)", self.stretch.words(), self.volts, self.years)
    }
}

/// The stretches of months in which no season, whole or not, was seen over the rating.
fn stretches(worst_v: &[Option<f64>; 12], rating_v: f64) -> Vec<Stretch> {
    // A month that was never seen is not offered.
    let free = |month: usize| worst_v[month % 12].is_some_and(|volts| volts <= rating_v);
    // With all of them free it is not a month that breaks the limit, but what is expected beyond the seasons seen: then the
    // month that comes nearest to it divides the year.
    let worst = (0..12).max_by(|&a, &b| worst_v[a].unwrap_or(0.0).total_cmp(&worst_v[b].unwrap_or(0.0)));
    let split = worst.filter(|_| (0..12).all(free));
    let free = |month: usize| free(month) && split != Some(month % 12);
    (0..12)
        .filter(|&month| free(month) && !free(month + 11))
        .map(|first| Stretch { first, length: (0..12).take_while(|step| free(first + step)).count() })
        .collect()
}

/// A stretch as `assess` would judge a stay of all its days; months are taken off the end that comes nearest to the rating until
/// it holds.
fn narrowed(
    at: &ArrayAt<'_>,
    job: &Loop<'_>,
    hours: &[crate::weather::Hour],
    rating_v: f64,
    mut stretch: Stretch,
) -> Option<Judged> {
    let worst = |month: usize| at.seen.month_worst_v[month].unwrap_or(f64::INFINITY);
    while stretch.length > 0 {
        let judged = judge(at, job, hours, rating_v, stretch);
        if let Some(judged) = judged.filter(|judged| judged.verdict != Verdict::Exceeded) {
            return Some(judged);
        }
        if worst(stretch.first) >= worst(stretch.last()) {
            stretch.first = (stretch.first + 1) % 12;
        }
        stretch.length -= 1;
    }
    None
}

/// `None` where no year holds these months whole.
fn judge(
    at: &ArrayAt<'_>,
    job: &Loop<'_>,
    hours: &[crate::weather::Hour],
    rating_v: f64,
    stretch: Stretch,
) -> Option<Judged> {
    let window = stretch.window();
    let hemisphere = at.open.site.hemisphere;
    let blocks = Blocks::Windows { window, years_after_start: 0, hemisphere };
    let job = Loop { ratings: &[], steady_only: &[], blocks: Some(blocks), only: Some(window), ..*job };
    let seen = fold(&job, hours);
    let years = seen.blocks.iter().filter(|block| block.complete).count();
    if years == 0 {
        return None;
    }
    let worst = seen.peak.worst_case.map(|peak| peak.spot);
    let maxima = block_maxima(&seen, Voltage::WorstCase);
    let figures = weather_figures(at.groups, worst, &maxima, years, at.assumptions);
    let verdict = voltage::judge(rating_v, &figures).weather;
    Some(Judged { stretch, volts: figures.worst_case()?.0, verdict, years })
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: over 50 V in November to February and in April: March alone, and May to October.
    #[test]
    fn months_are_offered_in_stretches() {
        let mut volts = [Some(48.0); 12];
        for month in [0, 1, 3, 10, 11] {
            volts[month] = Some(50.5);
        }
        let found = stretches(&volts, 50.0);
        assert_eq!(found, [Stretch { first: 2, length: 1 }, Stretch { first: 4, length: 6 }]);
        assert_eq!(found[1].words(), "May to October (arrive = \"05-01\", leave = \"10-31\"");
        // across New Year, in the south; a month that was never seen is none
        let mut volts = [Some(48.0); 12];
        (4..9).for_each(|month| volts[month] = Some(51.0));
        volts[9] = None;
        assert_eq!(stretches(&volts, 50.0), [Stretch { first: 10, length: 6 }]);
        // none seen over it: the coldest month divides the year
        let mut volts = [Some(48.0); 12];
        volts[0] = Some(49.9);
        assert_eq!(stretches(&volts, 50.0), [Stretch { first: 1, length: 11 }]);
    }
}
