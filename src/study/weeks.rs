//! The same stop in another week: how far its days must be moved until the weather breaks a limit no longer.

use crate::hourly::{Blocks, Spot};
use crate::limits::Verdict;
use crate::limits::voltage;
use crate::study::figures::weather_figures;
use crate::study::lines::ArrayAt;
use crate::study::results::LimitLine;
use crate::study::trip::is_covered;
use crate::time::LocalDay;
use crate::trip::Window;

/// Weeks that are tried either way: as far as the light of the days beside a window is kept.
const MOST_WEEKS: i32 = 4;
/// Days in one of them.
const WEEK_DAYS: i32 = 7;

/// What other dates do for one broken limit.
#[derive(Clone, Debug, PartialEq)]
pub struct OtherDates {
    /// The array.
    pub array: String,
    /// The component.
    pub component: String,
    /// Its rule.
    pub rule: String,
    /// The place.
    pub place: String,
    /// The days planned there; a place may be visited twice.
    pub window: Option<Window>,
    /// What it does there: a sentence without its place.
    pub text: String,
    /// Whether these dates clear it there.
    pub clears: bool,
}

impl OtherDates {
    /// The days planned there, as the results of a stop write them.
    pub(super) fn days(&self) -> Option<String> {
        self.window.map(|window| format!("{} to {}", window.arrive, window.leave))
    }
}

/// For each limit that these dates break: the nearest earlier and later weeks in which the weather breaks it no longer.
#[must_use]
pub fn other_weeks(at: &ArrayAt<'_>, array: &str, limits: &[LimitLine]) -> Vec<OtherDates> {
    let broken = limits.iter().filter(|line| line.unit == "V" && line.verdict == Verdict::Exceeded);
    broken.filter_map(|line| other_week(at, array, line)).collect()
}

fn other_week(at: &ArrayAt<'_>, array: &str, line: &LimitLine) -> Option<OtherDates> {
    let rating = line.rating?;
    if !at.dated || !matches!(at.blocks?, Blocks::Windows { .. }) {
        return None;
    }
    let (clears, text) = if line.code_verdict == Some(Verdict::Exceeded) {
        (false, "other dates do not help: the code sum is a rule for the whole year".to_owned())
    } else {
        let found = |sign: i32| {
            (1..=MOST_WEEKS).map(|week| sign * week * WEEK_DAYS).find_map(|days| {
                let (verdict, volts) = moved(at, rating, days)?;
                (verdict != Verdict::Exceeded).then_some((days, verdict, volts))
            })
        };
        let word = |sign: i32, word: &str| {
            found(sign).map(|(days, verdict, volts)| {
                let close = if verdict == Verdict::Close { ", which is close" } else { "" };
                format!("{} days {word} ({:.1} V at most{close})", days.abs(), volts)
            })
        };
        let weeks: Vec<String> = [word(-1, "earlier"), word(1, "later")].into_iter().flatten().collect();
        if weeks.is_empty() {
            (false, format!("no stay up to {MOST_WEEKS} weeks earlier or later clears it"))
        } else {
            (true, format!("the same stay {} holds", weeks.join(" or ")))
        }
    };
    Some(OtherDates {
        array: array.to_owned(),
        component: line.component.clone(),
        rule: line.rule.clone(),
        place: at.open.stop.place.clone(),
        window: at.open.stop.window,
        text,
        clears,
    })
}

/// The verdict of the weather, and its deciding figure, with every window moved by `days`; `None` where no moved window
/// is covered.
fn moved(at: &ArrayAt<'_>, rating_v: f64, days: i32) -> Option<(Verdict, f64)> {
    let blocks = at.blocks?;
    let known = &at.seen.days;
    let (first, last) = (known.first_key_value()?.0, known.last_key_value()?.0);
    let mut worst: Option<Spot> = None;
    let mut maxima = Vec::new();
    for key in first.year() - 3..=last.year() + 1 {
        let Some((begin, end)) = blocks.days(key) else { continue };
        let (begin, end) = (LocalDay(begin.0 + days), LocalDay(end.0 + days));
        let spots = known.range(begin..end).filter_map(|(_, day)| day.worst);
        let Some(largest) = spots.max_by(|a, b| a.volts.total_cmp(&b.volts)) else { continue };
        maxima.push((largest.volts, is_covered(at.seen, begin, end)));
        if worst.is_none_or(|worst| largest.volts > worst.volts) {
            worst = Some(largest);
        }
    }
    let complete = maxima.iter().filter(|(_, complete)| *complete).count();
    if complete == 0 {
        return None;
    }
    let figures = weather_figures(at.groups, worst, &maxima, complete, at.assumptions);
    let judged = voltage::judge(rating_v, &figures);
    Some((judged.weather, figures.worst_case()?.0))
}
