//! Remarks that follow from a record and its results.

use crate::extreme;
use crate::note::{Note, NoteKind};
use crate::study::OpenStop;
use crate::study::doubts;
use crate::study::results::{ArrayAtStop, DesignTemperature};
use crate::study::temperatures::{LEVEL_WINTERS, MEAN_WINTERS};
use crate::time::Hemisphere;
use crate::weather::{self, Lows, Opened, Record, SeasonCoverage, Stamps};

/// The remarks of one stop.
#[must_use]
pub fn of_record(open: &OpenStop<'_>, design: &DesignTemperature, arrays: &[ArrayAtStop]) -> Vec<Note> {
    let mut notes = Vec::new();
    if open.is_chronological() {
        length(&open.seasons, &mut notes);
    }
    notes.extend(doubts::nearby(open));
    elevation(open, &mut notes);
    sampling(&open.opened, &open.seasons, arrays, &mut notes);
    unseen_sun(open.step_h(), &open.seasons, &mut notes);
    mean_low(design, &mut notes);
    typed_code_temperature(design, arrays, &mut notes);
    trend(&open.seasons, &mut notes);
    notes.extend(gaps(&open.opened.record, open.site.hemisphere, &open.seasons));
    // The reader asks the light about the clock only where the files themselves say where they were read.
    let station = &open.opened.station;
    if station.latitude_deg.is_none() || station.longitude_deg.is_none() {
        notes.extend(weather::clock_note(
            open.opened.record.hours(),
            open.site.place,
            Stamps::of(open.stop.columns.as_ref()),
        ));
    }
    notes
}

fn gaps(record: &Record, hemisphere: Hemisphere, seasons: &[SeasonCoverage]) -> Vec<Note> {
    match record {
        Record::Chronological(record) => {
            let long = weather::long_gap_note(record, hemisphere, seasons);
            long.into_iter().chain(weather::gap_note(record, seasons)).collect()
        }
        Record::TypicalYear(_) => Vec::new(),
    }
}

/// The remarks of a station alone.
#[must_use]
pub fn of_station(
    opened: &Opened,
    hemisphere: Hemisphere,
    seasons: &[SeasonCoverage],
    design: &DesignTemperature,
) -> Vec<Note> {
    let record = &opened.record;
    let mut notes = Vec::new();
    if record.is_chronological() {
        length(seasons, &mut notes);
        sampling(opened, seasons, &[], &mut notes);
        mean_low(design, &mut notes);
        trend(seasons, &mut notes);
        notes.extend(gaps(record, hemisphere, seasons));
    }
    notes
}

fn length(seasons: &[SeasonCoverage], notes: &mut Vec<Note>) {
    let complete = seasons.iter().filter(|season| season.complete).count();
    let broken: Vec<String> =
        seasons.iter().filter(|season| !season.complete).map(|season| season.season.to_string()).collect();
    let mut text = match complete {
        0..MEAN_WINTERS => format!(
            "{complete} complete {}: too few for a mean annual low (needs {MEAN_WINTERS}) or an n-year low (needs \
             {LEVEL_WINTERS})",
            if complete == 1 { "winter" } else { "winters" }
        ),
        MEAN_WINTERS..LEVEL_WINTERS => format!(
            "{complete} complete winters: enough for a mean annual low and the level that decides, too few for n-year \
             lows (need {LEVEL_WINTERS})"
        ),
        _ => return incomplete(&broken, complete, notes),
    };
    if !broken.is_empty() {
        text.push_str(&format!("; incomplete, and never counted as mild: {}", broken.join(", ")));
    }
    notes.push(Note::counted(NoteKind::ShortRecord, complete as u64, text));
}

fn incomplete(broken: &[String], complete: usize, notes: &mut Vec<Note>) {
    if !broken.is_empty() {
        notes.push(Note::counted(
            NoteKind::ShortRecord,
            broken.len() as u64,
            format!(
                "{complete} complete winters; incomplete, and never counted as mild: {}",
                broken.join(", ")
            ),
        ));
    }
}

fn elevation(open: &OpenStop<'_>, notes: &mut Vec<Note>) {
    let above = open.site.above_station_m;
    if above > 0.0 {
        notes.push(Note::once(
            NoteKind::Elevation,
            format!(
                "the place lies {above:.0} m above its station: air is taken {:.1} K colder (6.5 K/km), in the worst \
                 case {:.1} K (9.8 K/km)",
                open.site.colder_k(),
                open.site.colder_bound_k()
            ),
        ));
    } else if above < 0.0 {
        notes.push(Note::once(
            NoteKind::Elevation,
            format!(
                "the place lies {:.0} m below its station: air is taken as it is, never warmer, since cold air gathers \
                 in basins",
                -above
            ),
        ));
    }
}

/// Longest interval for which what lies between readings is known, h.
const KNOWN_H: u32 = 3;

/// What readings every so many hours miss of the true low, K (physical decisions of this project: 0.3 to 1.5 for hourly
/// readings, 0.5 to 2 for those every three hours).
fn missed_k(step_h: u32) -> (f64, f64) {
    if step_h == 1 { (0.3, 1.5) } else { (0.5, 2.0) }
}

/// Winters by the interval between their reports: how many keep a longer one than the record's commonest, and the longest.
fn sparser(step_h: u32, seasons: &[SeasonCoverage]) -> Option<(usize, u32)> {
    let longer: Vec<u32> =
        seasons.iter().map(|season| season.step_h).filter(|&own_h| own_h > step_h).collect();
    Some((longer.len(), longer.iter().copied().max()?))
}

fn sampling(opened: &Opened, seasons: &[SeasonCoverage], arrays: &[ArrayAtStop], notes: &mut Vec<Note>) {
    let step_h = opened.record.step_h();
    if opened.lows == Lows::OfWholeHours {
        let text =
            "each hour's own lowest temperature is in the files, so lows miss nothing between readings";
        return notes.push(Note::once(NoteKind::Sampling, text));
    }
    if step_h > KNOWN_H {
        let text = format!(
            "readings every {step_h} h or more seldom: how far the true low lies below them is not known, beyond 2 K, so \
             no winter here counts as complete; add a record that reads at least every three hours"
        );
        return notes.push(Note::once(NoteKind::Sampling, text));
    }
    let (low_k, high_k) = missed_k(step_h);
    let mut text =
        format!("readings every {step_h} h miss the true low between them by {low_k} to {high_k} K");
    let mut most_k = high_k;
    if let Some((count, longest_h)) = sparser(step_h, seasons) {
        let (low_k, high_k) = missed_k(longest_h);
        most_k = most_k.max(high_k);
        text.push_str(&format!(
            ", those of {count} of {} winters, every {longest_h} h, by {low_k} to {high_k} K",
            seasons.len()
        ));
    }
    let volts = arrays
        .iter()
        .filter_map(|array| Some((array.voltage_v.code?, array.voltage_v.code_volts_per_k?)))
        .map(|(_, per_k)| per_k * most_k)
        .fold(0.0, f64::max);
    if volts > 0.0 {
        text.push_str(&format!(", worth up to {volts:.1} V"));
    }
    text.push_str("; this is printed here and not added to any figure");
    notes.push(Note::once(NoteKind::Sampling, text));
}

/// Where reports are rarer than hours, what was over a limit between them is not in the record.
fn unseen_sun(step_h: u32, seasons: &[SeasonCoverage], notes: &mut Vec<Note>) {
    let (where_from, longest_h) = match (step_h, sparser(step_h, seasons)) {
        (1, None) => return,
        (1, Some((count, longest_h))) => {
            (format!("{count} of {} winters report every {longest_h} h", seasons.len()), longest_h)
        }
        (_, sparser) => (
            format!("the record reports every {step_h} h"),
            sparser.map_or(step_h, |(_, longest_h)| longest_h),
        ),
    };
    notes.push(Note::once(
        NoteKind::Sampling,
        format!(
            "{where_from}: the sun and the air of the hours between were not seen. Each report stands for up to \
             {longest_h} h in hours and days a year; the largest voltages are those of one hour in {longest_h}, so true \
             ones lie higher, and no run over a limit shows as longer than its hour"
        ),
    ));
}

fn mean_low(design: &DesignTemperature, notes: &mut Vec<Note>) {
    if design.mean_annual_low.is_some() {
        notes.push(Note::once(
            NoteKind::Published,
            "a third to a half of all seasons are colder than the mean annual low: it is the temperature that the note to \
             NEC 690.7 points to, not a floor",
        ));
    }
}

/// Kelvin from which a code temperature typed in the plan stands apart from the record. Chosen because a mean of annual
/// lows is known to a kelvin or so from five winters.
const TYPED_APART_K: f64 = 3.0;

/// A code temperature from the plan that is milder than the place, or that belongs to a colder one.
fn typed_code_temperature(design: &DesignTemperature, arrays: &[ArrayAtStop], notes: &mut Vec<Note>) {
    let Some(four) = arrays.first().map(|array| &array.voltage_v) else { return };
    if !four.code_temperature_from.starts_with("given for") {
        return;
    }
    let (Some(typed), Some(mean)) = (four.code_temperature_c, design.mean_annual_low) else { return };
    if typed > mean + TYPED_APART_K {
        let volts = four.code_volts_per_k.map_or_else(String::new, |per_k| {
            format!(", worth {:.1} V in the code sum", per_k * (typed - mean))
        });
        notes.push(Note::once(
            NoteKind::Doubtful,
            format!(
                "the code temperature that the plan gives, {typed:.1} °C, is {:.1} K milder than the mean annual low of this \
                 record, {mean:.1} °C{volts}: an average of winters, of days, or of another place is no lowest expected \
                 temperature",
                typed - mean
            ),
        ));
    } else if let Some(low) = design.record_low.filter(|low| typed < low - TYPED_APART_K) {
        notes.push(Note::once(
            NoteKind::Doubtful,
            format!(
                "the code temperature that the plan gives, {typed:.1} °C, is {:.1} K colder than anything in this record \
                 ({low:.1} °C): the safe side, but the record low of a country or state belongs to another place and can cost \
                 a panel for nothing",
                low - typed
            ),
        ));
    }
}

fn trend(seasons: &[SeasonCoverage], notes: &mut Vec<Note>) {
    let lows: Vec<(i32, f64)> = seasons
        .iter()
        .filter(|season| season.complete)
        .map(|season| (season.season.first_year, season.low_c))
        .collect();
    if let Some(trend) = extreme::trend(&lows) {
        notes.push(Note::once(NoteKind::Trend, format!("annual lows: {}", trend.in_words("K"))));
    }
}
