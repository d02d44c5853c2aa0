//! Hours that cannot be believed: each is left out with its reason, and a cold one is listed, with what the record
//! would say with it.
//!
//! Whatever is left out counts as missing, never as mild. Nothing is filled in.

use super::{Hour, Intervals, Origin};
use crate::note::{Note, NoteKind};
use crate::num::{larger, smaller};
use crate::time::{DAY_S, HOUR_S, UtcOffset};

/// Kelvin without any reading between a few hours and the rest of the record, which set those apart. Chosen because
/// air passes through all temperatures on its way: hourly records of any length show no hole above 3 K.
const HOLE_K: usize = 10;
/// Largest share of the hours that may stand apart. Chosen because bad runs are rare, and more would be a season.
const APART_SHARE: f64 = 0.01;
/// Fewest hours of a record in which holes mean something. Chosen: about a month.
const HOLE_HOURS: usize = 700;
/// Farther than this, h, from the next ordinary hour a reading cannot be told from a change of weather.
const NEIGHBOUR_H: i64 = 6;

/// Kelvin colder than both neighbours at once, which nothing but a bad reading is. Chosen above the largest real
/// step between two reports that is known (19 K), which no return follows.
const SPIKE_K: f64 = 20.0;
/// The same where neighbours are two hours or more away.
const SPIKE_K_3_HOURLY: f64 = 30.0;

/// Hours at one and the same temperature after which a sensor counts as stuck. Chosen because melting snow and fog
/// hold whole degrees for a day or two.
const STUCK_H: i64 = 72;
/// Share of a record that may count as stuck. Chosen: with more of it nothing could be told from what is left, so it is
/// kept and said.
const STUCK_SHARE: f64 = 0.2;
/// Hours at one and the same temperature from which on it is mentioned.
const FLAT_H: i64 = 24;

/// Most cold extremes that are listed one by one.
const LISTED: usize = 12;
/// Hours of one reason that lie no farther apart are one event.
const EVENT_S: i64 = DAY_S;
/// Half of the time around an event in which the lowest reading is compared, in blocks of thirty days.
const BLOCK_S: i64 = 30 * DAY_S;
const BLOCKS_AROUND: i64 = 6;

/// Why an hour is not believed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Doubt {
    Apart,
    Spike,
    Stuck,
}

impl Doubt {
    fn words(self) -> String {
        match self {
            Self::Apart => format!(
                "the whole record holds nothing within {HOLE_K} K of it, and it begins or ends at once"
            ),
            Self::Spike => "far colder than the readings before and after, which agree".to_owned(),
            Self::Stuck => {
                format!("the same temperature for more than {STUCK_H} hours: the sensor was stuck")
            }
        }
    }
}

/// Leaves out the hours that cannot be believed, and says so. `locate` names file and line of an origin.
pub(super) fn clean(hours: &mut Vec<Hour>, step_h: u32, locate: impl Fn(Origin) -> String) -> Vec<Note> {
    let mut doubts: Vec<Option<Doubt>> = vec![None; hours.len()];
    let intervals = Intervals::of(hours, step_h, UtcOffset::UTC);
    let (flat, nature) = stuck(hours, &intervals, &mut doubts);
    // Holes and spikes mean something only in air that moves.
    if nature == Nature::Moves {
        apart(hours, &mut doubts);
        spikes(hours, &intervals, &mut doubts);
    }
    let mut notes = Vec::new();
    if let Some((count, first)) = flat {
        notes.push(Note::counted(
            NoteKind::Doubtful,
            count,
            format!(
                "{count} x more than {FLAT_H} hours at one and the same temperature, first in {}: kept, since fog and \
                 melting snow do that; a stuck sensor would miss lows",
                locate(first)
            ),
        ));
    }
    if doubts.iter().all(Option::is_none) {
        return notes;
    }
    notes.extend(listed(hours, &doubts, &locate));
    let mut doubts = doubts.iter();
    hours.retain(|_| doubts.next().is_none_or(Option::is_none));
    notes
}

/// Marks hours that a hole in the distribution sets apart, on the cold and on the hot side.
fn apart(hours: &[Hour], doubts: &mut [Option<Doubt>]) {
    if hours.len() < HOLE_HOURS {
        return;
    }
    const LOWEST_C: f64 = -100.0;
    const BINS: usize = 200;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded in the same line")]
    // By way of the signed number that the machine converts at once.
    let bin = |air_c: f64| larger(smaller(air_c - LOWEST_C, (BINS - 1) as f64), 0.0) as i32 as usize;
    let border = |bins: &mut dyn Iterator<Item = usize>, counts: &[u32; BINS]| {
        let (mut seen, mut empty, mut edge) = (0_u32, 0, None);
        for at in bins {
            if counts[at] == 0 {
                empty += 1;
                continue;
            }
            if seen > 0 && empty >= HOLE_K {
                edge = Some(at);
            }
            empty = 0;
            seen += counts[at];
            if f64::from(seen) > APART_SHARE * hours.len() as f64 {
                break;
            }
        }
        edge
    };
    let (mut lows, mut highs) = ([0_u32; BINS], [0_u32; BINS]);
    for hour in hours {
        lows[bin(hour.air_low_c)] += 1;
        highs[bin(f64::from(hour.air_high_c))] += 1;
    }
    let cold = border(&mut (0..BINS), &lows);
    let hot = border(&mut (0..BINS).rev(), &highs);
    if cold.is_none() && hot.is_none() {
        return;
    }
    let outside = |hour: &Hour| {
        cold.is_some_and(|edge| bin(hour.air_low_c) < edge)
            || hot.is_some_and(|edge| bin(f64::from(hour.air_high_c)) > edge)
    };
    let mut at = 0;
    while at < hours.len() {
        if !outside(&hours[at]) {
            at += 1;
            continue;
        }
        let run = hours[at..].iter().take_while(|hour| outside(hour)).count();
        let near = |one: Option<&Hour>, other: &Hour| {
            one.is_some_and(|one| (one.start.0 - other.start.0).abs() <= NEIGHBOUR_H * HOUR_S)
        };
        let before = at.checked_sub(1).and_then(|before| hours.get(before));
        if near(before, &hours[at]) || near(hours.get(at + run), &hours[at + run - 1]) {
            doubts[at..at + run].fill(Some(Doubt::Apart));
        }
        at += run;
    }
}

/// Marks single hours that are far colder than those before and after.
fn spikes(hours: &[Hour], intervals: &Intervals, doubts: &mut [Option<Doubt>]) {
    for (at, trio) in hours.windows(3).enumerate() {
        let [before, here, after] = trio else { continue };
        let least = before.air_low_c.min(after.air_low_c);
        if least - here.air_low_c <= SPIKE_K {
            continue;
        }
        let (limit_k, reach_s) = match intervals.at(here.start).step_h {
            1 => (SPIKE_K, 3 * HOUR_S),
            _ => (SPIKE_K_3_HOURLY, 6 * HOUR_S),
        };
        let close = here.start.0 - before.start.0 <= reach_s && after.start.0 - here.start.0 <= reach_s;
        let agree = (before.air_low_c - after.air_low_c).abs() < limit_k / 2.0;
        if close
            && agree
            && least - here.air_low_c > limit_k
            && doubts[at..at + 3].iter().all(Option::is_none)
        {
            doubts[at + 1] = Some(Doubt::Spike);
        }
    }
}

/// Whether the air of a record moves as air does.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Nature {
    Moves,
    HardlyMoves,
}

/// Marks runs at one temperature that are too long; gives the count and first place of those that are only long.
fn stuck(
    hours: &[Hour],
    intervals: &Intervals,
    doubts: &mut [Option<Doubt>],
) -> (Option<(u64, Origin)>, Nature) {
    let mut flat = None;
    let mut at = 0;
    while at < hours.len() {
        let same = |pair: &&[Hour]| {
            let [one, next] = pair else { return false };
            one.air_mean_c == next.air_mean_c
                && next.air_low_c == next.air_mean_c
                && one.air_low_c == one.air_mean_c
                && next.start.0 - one.start.0 <= 2 * intervals.at(one.start).step_s()
        };
        let run = hours[at..].windows(2).take_while(same).count() + 1;
        let begin = hours[at].start;
        let mut span_h = (hours[at + run - 1].start.0 - begin.0) / HOUR_S;
        if run > 1 {
            span_h += i64::from(intervals.at(begin).step_h);
        }
        if span_h > STUCK_H {
            for doubt in &mut doubts[at..at + run] {
                *doubt = doubt.or(Some(Doubt::Stuck));
            }
        } else if span_h > FLAT_H {
            let (count, first) = flat.unwrap_or((0, hours[at].origin));
            flat = Some((count + 1, first));
        }
        at += run;
    }
    // Where so much of a record never moves it is no sensor that stuck but what the file is: a model's, or a made-up one.
    let stuck = doubts.iter().filter(|doubt| **doubt == Some(Doubt::Stuck)).count();
    if stuck as f64 > STUCK_SHARE * hours.len() as f64 {
        let first = doubts.iter().position(|doubt| *doubt == Some(Doubt::Stuck)).unwrap_or(0);
        for doubt in doubts.iter_mut().filter(|doubt| **doubt == Some(Doubt::Stuck)) {
            *doubt = None;
        }
        let (count, origin) = flat.unwrap_or((0, hours[first].origin));
        return (Some((count + 1, origin)), Nature::HardlyMoves);
    }
    (flat, Nature::Moves)
}

/// Hours of one reason that lie together.
struct Event {
    doubt: Doubt,
    hours: u64,
    first: usize,
    last: usize,
    coldest: usize,
}

/// One note for each cold extreme, one for the rest.
fn listed(hours: &[Hour], doubts: &[Option<Doubt>], locate: &impl Fn(Origin) -> String) -> Vec<Note> {
    let mut events: Vec<Event> = Vec::new();
    for (at, doubt) in doubts.iter().enumerate().filter_map(|(at, doubt)| doubt.map(|doubt| (at, doubt))) {
        match events.last_mut() {
            Some(event)
                if event.doubt == doubt && hours[at].start.0 - hours[event.last].start.0 <= EVENT_S =>
            {
                event.hours += 1;
                event.last = at;
                if hours[at].air_low_c < hours[event.coldest].air_low_c {
                    event.coldest = at;
                }
            }
            _ => events.push(Event { doubt, hours: 1, first: at, last: at, coldest: at }),
        }
    }
    let lows = Lows::new(hours, doubts);
    // The coldest first: where many are left out it is never among those that are only counted.
    events.sort_by(|one, other| hours[one.coldest].air_low_c.total_cmp(&hours[other.coldest].air_low_c));
    let mut notes = Vec::new();
    let (mut others, mut first_other) = (0, None);
    let mut coldest_c = f64::INFINITY;
    for event in &events {
        let coldest = &hours[event.coldest];
        let kept_c = lows.around(coldest.start.0).filter(|&kept_c| coldest.air_low_c < kept_c);
        match kept_c {
            Some(kept_c) if notes.len() < LISTED => notes.push(Note::counted(
                NoteKind::ColdExtremeDropped,
                event.hours,
                format!(
                    "{} from {} on, as cold as {:.1} C in {}, left out: {}. With them the lowest of the half years around \
                     would be {:.1} C instead of {kept_c:.1} C; look at it, and if it is true correct the file's \
                     neighbours",
                    counted_hours(event.hours),
                    hours[event.first].start,
                    coldest.air_low_c,
                    locate(coldest.origin),
                    event.doubt.words(),
                    coldest.air_low_c,
                ),
            )),
            _ => {
                others += event.hours;
                coldest_c = coldest_c.min(coldest.air_low_c);
                first_other.get_or_insert((coldest.origin, event.doubt, kept_c.is_some()));
            }
        }
    }
    if let Some((origin, doubt, cold)) = first_other {
        let what = if cold { "more cold extremes among them" } else { "none the lowest of its time" };
        let more = if notes.is_empty() { "" } else { " more" };
        notes.push(Note::counted(
            NoteKind::Doubtful,
            others,
            format!(
                "{}{more} left out ({what}, the coldest {coldest_c:.1} C), first in {}: {}",
                counted_hours(others),
                locate(origin),
                doubt.words()
            ),
        ));
    }
    notes
}

fn counted_hours(count: u64) -> String {
    if count == 1 { "1 hour".to_owned() } else { format!("{count} hours") }
}

/// The lowest believed reading in blocks of thirty days.
struct Lows {
    begin_s: i64,
    blocks: Vec<f64>,
}

impl Lows {
    fn new(hours: &[Hour], doubts: &[Option<Doubt>]) -> Self {
        let begin_s = hours.first().map_or(0, |hour| hour.start.0);
        let mut blocks = Vec::new();
        for (hour, doubt) in hours.iter().zip(doubts) {
            let Ok(block) = usize::try_from((hour.start.0 - begin_s) / BLOCK_S) else { continue };
            if blocks.len() <= block {
                blocks.resize(block + 1, f64::INFINITY);
            }
            if doubt.is_none() {
                blocks[block] = blocks[block].min(hour.air_low_c);
            }
        }
        Self { begin_s, blocks }
    }

    fn around(&self, at_s: i64) -> Option<f64> {
        let block = (at_s - self.begin_s) / BLOCK_S;
        (block - BLOCKS_AROUND..=block + BLOCKS_AROUND)
            .filter_map(|block| self.blocks.get(usize::try_from(block).ok()?))
            .copied()
            .reduce(f64::min)
            .filter(|low| low.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sky::Light;
    use crate::time::Stamp;

    /// Half a year of hourly air with a daily swing, from +10 C down to -15 C and back.
    fn half_year() -> Vec<Hour> {
        (0..4380_i32)
            .map(|at| {
                let season = f64::from(at) / 4380.0 * std::f64::consts::PI;
                let clock = f64::from(at) / 24.0 * std::f64::consts::TAU;
                let air_c = 10.0 - 20.0 * season.sin() - 5.0 * clock.cos();
                hour(i64::from(at), (air_c * 10.0).round() / 10.0)
            })
            .collect()
    }

    fn hour(at: i64, air_c: f64) -> Hour {
        #[expect(clippy::cast_possible_truncation)]
        let air_high_c = air_c as f32;
        Hour {
            start: Stamp(at * HOUR_S),
            air_mean_c: air_c,
            air_low_c: air_c,
            air_high_c,
            wind_m_s: None,
            light: Light::Unknown,
            origin: Origin { file: 0, line: u32::try_from(at + 2).unwrap_or(0) },
        }
    }

    fn cleaned(mut hours: Vec<Hour>) -> (usize, Vec<Note>) {
        let before = hours.len();
        let notes = clean(&mut hours, 1, |origin| format!("invented.csv:{}", origin.line));
        (before - hours.len(), notes)
    }

    fn set(hours: &mut [Hour], at: std::ops::Range<usize>, air_c: f64) {
        for index in at {
            hours[index] = hour(i64::try_from(index).unwrap_or(0), air_c);
        }
    }

    #[test]
    fn an_ordinary_record_is_left_alone() {
        assert_eq!(cleaned(half_year()), (0, Vec::new()));
    }

    #[test]
    fn a_bad_run_far_below_the_record_is_listed_with_what_it_would_mean() {
        let mut hours = half_year();
        set(&mut hours, 100..104, -48.5);
        let (dropped, notes) = cleaned(hours);
        assert_eq!(dropped, 4);
        assert_eq!(notes.len(), 1);
        assert_eq!((notes[0].kind, notes[0].count), (NoteKind::ColdExtremeDropped, 4));
        for part in ["-48.5 C", "invented.csv:102", "1970-01-05T04:00:00Z", "instead of -15.0 C"] {
            assert!(notes[0].text.contains(part), "{part}: {}", notes[0].text);
        }
    }

    #[test]
    fn a_cold_spell_that_comes_and_goes_by_degrees_is_kept() {
        let mut hours = half_year();
        for (step, index) in (2000..2060_usize).enumerate() {
            let depth = 30.0 - f64::from(u32::try_from(step.abs_diff(30)).unwrap_or(0));
            hours[index] =
                hour(i64::try_from(index).unwrap_or(0), -15.0 - depth + 0.1 * f64::from(step as u32 % 2));
        }
        assert_eq!(cleaned(hours).0, 0);
    }

    #[test]
    fn a_spike_inside_the_range_is_left_out_and_is_no_extreme() {
        let mut hours = half_year();
        set(&mut hours, 12..13, -14.5);
        let (dropped, notes) = cleaned(hours);
        assert_eq!(dropped, 1);
        // The half year around reaches -15.0 C by itself.
        assert_eq!(notes[0].kind, NoteKind::Doubtful);
        assert!(notes[0].text.contains("none the lowest"), "{}", notes[0].text);
    }

    #[test]
    fn a_real_plunge_without_return_is_kept() {
        // The largest real step between two reports that is known: 19 K.
        let mut hours = half_year();
        set(&mut hours, 2100..2101, -6.0);
        set(&mut hours, 2101..2102, -25.0);
        for (step, index) in (2102..2130_usize).enumerate() {
            hours[index] = hour(i64::try_from(index).unwrap_or(0), -25.0 + 0.3 * f64::from(step as u32));
        }
        assert_eq!(cleaned(hours).0, 0);
    }

    #[test]
    fn a_stuck_sensor_is_missing_and_a_day_of_fog_is_not() {
        let mut hours = half_year();
        set(&mut hours, 1000..1030, 0.0);
        set(&mut hours, 3000..3090, 1.0);
        let (dropped, notes) = cleaned(hours);
        assert_eq!(dropped, 90);
        assert_eq!(notes.iter().filter(|note| note.kind == NoteKind::Doubtful).count(), 2);
    }

    #[test]
    fn a_lone_winter_day_in_a_summers_record_is_kept() {
        // The day stands alone in time, so nothing says that it is wrong.
        let mut hours = half_year();
        hours.truncate(800);
        for at in 0..12 {
            hours.push(hour(3000 + at, -40.0 + 0.1 * f64::from(u32::try_from(at).unwrap_or(0))));
        }
        assert_eq!(cleaned(hours).0, 0);
    }
}
