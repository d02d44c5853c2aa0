//! What the renderers share: one line per limit over all stops, and who decides.

use super::glance;
use super::show::{self, Units, fixed};
use crate::extreme::FIT_HOLDS;
use crate::limits::{DecidedBy, Verdict};
use crate::note::{Note, NoteKind};
use crate::study::results::{
    ArrayAtStop, Assessment, Chance, CodeBasis, ComponentNeed, Departure, DesignTemperature, FourVoltages,
    LimitLine, Needs, NotGiven, RecordFacts, RecordKind, StopResult, Touch, TripChance, TripOdds,
};
use crate::study::{counted, decisive, is_anything_checked, is_in_doubt, outside_in_words};
use crate::time::{Stamp, UtcOffset};
use crate::units::{at_least, so_many};
use std::cmp::Ordering;

/// A limit with the stop and array where it was judged.
#[derive(Clone, Copy)]
pub(crate) struct Judged<'a> {
    /// Index of the stop.
    pub stop_index: usize,
    /// The stop.
    pub stop: &'a StopResult,
    /// The array there.
    pub array: &'a ArrayAtStop,
    /// The limit there.
    pub limit: &'a LimitLine,
}

impl Judged<'_> {
    /// Whether the limit rests on labels alone, so that it comes to the same wherever the vehicle stands.
    pub fn is_everywhere(&self) -> bool {
        self.limit.unit != "V"
    }

    fn order(&self, other: &Self) -> Ordering {
        worse_first(self.limit, other.limit)
    }
}

/// The worse verdict first, then the smaller margin; a tie keeps the order of the plan.
fn worse_first(one: &LimitLine, other: &LimitLine) -> Ordering {
    let margin = |limit: &LimitLine| limit.margin_percent.unwrap_or(f64::INFINITY);
    let severity = counting_verdict(other).severity().cmp(&counting_verdict(one).severity());
    severity.then(margin(one).total_cmp(&margin(other)))
}

/// Every limit of every array at every stop, in the order of the plan.
pub(crate) fn all_limits(assessment: &Assessment) -> impl Iterator<Item = Judged<'_>> {
    assessment.stops.iter().enumerate().flat_map(|(stop_index, stop)| {
        stop.arrays.iter().flat_map(move |array| {
            array.limits.iter().map(move |limit| Judged { stop_index, stop, array, limit })
        })
    })
}

/// One line a limit: at the stop where it fares worst. In the order of the plan.
pub(crate) fn worst_of_each(assessment: &Assessment) -> Vec<Judged<'_>> {
    let mut lines: Vec<Judged<'_>> = Vec::new();
    for judged in all_limits(assessment) {
        let same = lines.iter_mut().find(|line| {
            line.array.name == judged.array.name
                && line.limit.component == judged.limit.component
                && line.limit.kind == judged.limit.kind
                && line.limit.rule == judged.limit.rule
        });
        match same {
            Some(line) => {
                if judged.order(line) == Ordering::Less {
                    *line = judged;
                }
            }
            None => lines.push(judged),
        }
    }
    lines
}

/// The limit that decides the whole analysis.
pub(crate) fn decider(assessment: &Assessment) -> Option<Judged<'_>> {
    let (stop_index, array, limit) = decisive(assessment)?;
    let stop = &assessment.stops[stop_index];
    let array = &stop.arrays[array];
    Some(Judged { stop_index, stop, array, limit: &array.limits[limit] })
}

/// The other stops, in their order, at which the limit that decides is broken too.
pub(crate) fn broken_too<'a>(assessment: &'a Assessment, decider: &Judged<'_>) -> Vec<&'a str> {
    let is_broken =
        |limit: &LimitLine| matches!(counting_verdict(limit), Verdict::Exceeded | Verdict::NotMet);
    let others = all_limits(assessment).filter(|other| {
        other.stop_index != decider.stop_index
            && other.array.name == decider.array.name
            && other.limit.component == decider.limit.component
            && other.limit.kind == decider.limit.kind
            && other.limit.rule == decider.limit.rule
    });
    others.filter(|other| is_broken(other.limit)).map(|other| other.stop.place.as_str()).collect()
}

/// Of the limits in volts the one with the least room.
pub(crate) fn tightest_volts(assessment: &Assessment) -> Option<Judged<'_>> {
    let judged =
        all_limits(assessment).filter(|judged| judged.limit.unit == "V" && judged.limit.rating.is_some());
    judged.min_by(Judged::order)
}

/// The stop whose voltages are highest for an array: by the worst case, else sudden sun, else the code sum.
pub(crate) fn coldest_stop(assessment: &Assessment, array: &str) -> Option<usize> {
    let volts = |stop: &StopResult| {
        let at = stop.arrays.iter().find(|candidate| candidate.name == array)?;
        at.voltage_v.worst_case.max.or(at.voltage_v.sudden_sun.max).or(at.voltage_v.code)
    };
    let mut best: Option<(usize, f64)> = None;
    for (index, stop) in assessment.stops.iter().enumerate() {
        if let Some(volts) = volts(stop)
            && best.is_none_or(|(_, most)| volts > most)
        {
            best = Some((index, volts));
        }
    }
    best.map(|(index, _)| index)
}

/// Ratings in volts of an array's limits at a stop: component and rating, each pair once.
pub(crate) fn volt_ratings(array: &ArrayAtStop) -> Vec<(&str, f64)> {
    let mut ratings: Vec<(&str, f64)> = Vec::new();
    for limit in array.limits.iter().filter(|limit| limit.unit == "V") {
        if let Some(rating) = limit.rating
            && !ratings.contains(&(limit.component.as_str(), rating))
        {
            ratings.push((&limit.component, rating));
        }
    }
    ratings
}

/// The figure of the array's worst limit in volts at a stop, and who decided it.
pub(crate) fn volts_decider(array: &ArrayAtStop) -> Option<(f64, DecidedBy)> {
    let in_volts = array.limits.iter().filter(|limit| limit.unit == "V" && limit.rating.is_some());
    let worst = in_volts.min_by(|a, b| worse_first(a, b))?;
    Some((worst.worst?, worst.decided_by?))
}

/// The verdict that counts: the worse of the dated and the whole-year one.
pub(crate) fn counting_verdict(limit: &LimitLine) -> Verdict {
    counted(limit)
}

/// The word at the top of the answer with the verdict that colours it. A plan in which nothing has a rating, or whose weather
/// is in doubt, is `within` for scripts; a person must not read that as an answer.
pub(crate) fn headline(assessment: &Assessment) -> (&'static str, Verdict) {
    if is_in_doubt(assessment) {
        ("check the weather first", Verdict::NotAssessed)
    } else if assessment.verdict != Verdict::Within || is_anything_checked(assessment) {
        (show::verdict(assessment.verdict), assessment.verdict)
    } else {
        ("nothing to check", Verdict::NotAssessed)
    }
}

/// What belongs beside the first sentence of the answer: that there is no code sum, and what lies outside the figures where
/// little room is left.
pub(crate) fn beside_the_answer(assessment: &Assessment) -> Vec<String> {
    let has_code = |stop: &StopResult| stop.arrays.iter().all(|array| array.voltage_v.code.is_some());
    let typical = |stop: &&StopResult| stop.record.kind == RecordKind::TypicalYear && !has_code(stop);
    let mut places: Vec<&str> = Vec::new();
    for stop in assessment.stops.iter().filter(typical) {
        if !places.contains(&stop.place.as_str()) {
            places.push(&stop.place);
        }
    }
    let at = match assessment.stops.len() {
        0 | 1 => String::new(),
        _ => format!(" at {}", places.join(", ")),
    };
    let no_code =
        (!places.is_empty()).then(|| format!("Code sum not assessed{at}: a typical year gives none."));
    no_code.into_iter().chain(outside_in_words(assessment)).collect()
}

/// The word for a rating that the plan does not give, where a verdict would stand.
pub(crate) const NOT_GIVEN: &str = "not judged";

/// What such rows mean.
pub(crate) const WHY_NOT_JUDGED: &str = "Not judged: the plan does not give that rating, so look on the part or in its manual; the \
figure is what it must stand. No limit, and not in the verdict.";

/// What a part whose rating the plan does not give must stand.
pub(crate) fn must_stand(lacking: &NotGiven) -> String {
    lacking.least.map_or_else(|| "unknown".to_owned(), |least| show::figure(at_least(least), lacking.unit))
}

/// What one component must stand, printed.
pub(crate) struct Need<'a> {
    /// Which component.
    pub component: &'a str,
    /// Volts.
    pub volts: String,
    /// Amps.
    pub amps: String,
    /// The next common class.
    pub class: String,
    /// Whether the plan has it: "yes", "no: needed", "no: only if".
    pub in_plan: &'static str,
    /// What else.
    pub remark: &'a str,
}

/// The needs of an array as rows.
pub(crate) fn needs(needs: &Needs) -> Vec<Need<'_>> {
    let up = |value: f64| fixed(at_least(value), 1);
    let row = |need: &'_ ComponentNeed| {
        let classes = [(need.next_class_v, "V"), (need.next_class_a, "A")];
        let classes: Vec<String> =
            classes.into_iter().filter_map(|(class, unit)| Some(show::rating(class?, unit))).collect();
        (
            need.volts.map_or_else(|| "unknown".to_owned(), |volts| format!("{} V dc", up(volts))),
            format!("{} A", up(need.amps)),
            if classes.is_empty() { "-".to_owned() } else { classes.join(", ") },
        )
    };
    let rows = needs.components.iter().map(|need| {
        let (volts, amps, class) = row(need);
        let remark = if need.remark.is_empty() { "-" } else { need.remark.as_str() };
        Need { component: &need.component, volts, amps, class, in_plan: need.in_plan.word(), remark }
    });
    rows.collect()
}

/// Whether no voltage rating of any stop can be reached in its cold: then there are no odds.
fn is_out_of_reach(assessment: &Assessment) -> bool {
    let mut volts = all_limits(assessment).filter(|judged| judged.limit.unit == "V").peekable();
    volts.peek().is_some() && volts.all(|judged| judged.limit.out_of_reach.is_some())
}

/// The trip's chance in words.
pub(crate) fn trip_sentence(assessment: &Assessment, odds: &TripOdds) -> String {
    if is_out_of_reach(assessment) && odds.common_seasons > 1 {
        return "Every voltage rating is out of reach of the cold at every stop, so there are no odds."
            .to_owned();
    }
    match &odds.chance_per_season {
        Some(TripChance { low, best: Some(best), high }) => format!(
            "Any voltage rating passed in sudden sun: {} of {} seasons common to all stops, {}.",
            odds.seasons_broken,
            odds.common_seasons,
            chance_words(&Chance { low: *low, best: *best, high: *high })
        ),
        // Bounds alone, or none: the sentence of the study says why.
        _ => sentence(&odds.in_words),
    }
}

/// Departures with the chance of each; empty where there are no odds, and where nothing breaks on any of them.
pub(crate) fn departures<'a>(assessment: &Assessment, odds: &'a TripOdds) -> &'a [Departure] {
    let quiet = odds.by_departure.iter().all(|departure| departure.chance == 0.0);
    if quiet || is_out_of_reach(assessment) { &[] } else { &odds.by_departure }
}

/// The same chance with longer stays, and the night that decides.
pub(crate) fn trip_remarks(assessment: &Assessment, odds: &TripOdds) -> Vec<String> {
    let mut remarks = Vec::new();
    let reached = !is_out_of_reach(assessment);
    if let Some(TripChance { low, best: Some(best), high }) = odds.padded_chance.filter(|_| reached) {
        remarks.push(format!(
            "With every stay a week longer at both ends: {}.",
            chance_words(&Chance { low, best, high })
        ));
    }
    let shifts = || odds.by_departure.iter().map(|departure| departure.shift_days.abs());
    if let Some(days) = shifts().max().filter(|_| reached && departures(assessment, odds).is_empty()) {
        remarks.push(format!(
            "No season breaks a rating on any departure up to {days} days earlier or later either."
        ));
    }
    if let (Some(at), Some(place)) = (odds.deciding_at, &odds.deciding_stop) {
        // A place that is visited once has its days in the table.
        let visits = assessment.stops.iter().filter(|stop| stop.place == *place).count();
        let dates = odds
            .deciding_window
            .as_ref()
            .filter(|_| visits > 1)
            .map(|days| format!(" ({})", glance::window(days)))
            .unwrap_or_default();
        // The clock of the place; a place visited twice has one.
        let when = match assessment.stops.iter().find(|stop| stop.place == *place) {
            Some(stop) => format!("{} local time", glance::moment(at, stop)),
            None => format!("{} UTC", at.local(UtcOffset::UTC)),
        };
        remarks.push(format!("The largest worst case, at {place}{dates}: {when}."));
    }
    remarks
}

/// "as planned", "7 days earlier", "1 day later".
pub(crate) fn shift_words(days: i32) -> String {
    let plural = if days.abs() == 1 { "" } else { "s" };
    match days {
        0 => "as planned".to_owned(),
        days if days < 0 => format!("{} day{plural} earlier", -days),
        days => format!("{days} day{plural} later"),
    }
}

/// "8 % (2 % to 23 %)".
pub(crate) fn chance_words(chance: &Chance) -> String {
    format!("{} ({} to {})", show::chance(chance.best), show::chance(chance.low), show::chance(chance.high))
}

/// "2 of 25", by sudden sun.
pub(crate) fn seasons_words(limit: &LimitLine) -> String {
    match limit.seasons_broken {
        Some(broken) => format!("{} of {}", broken.sudden_sun, limit.seasons_counted),
        None => "-".to_owned(),
    }
}

/// The remarks that are only to be known: what the others ask for stands under what to change.
pub(crate) fn told(notes: &[Note]) -> impl Iterator<Item = &Note> {
    notes.iter().filter(|note| !note.asks)
}

/// The worst case that is expected: its level, or the largest seen with the allowance.
pub(crate) fn expected(four: &FourVoltages) -> Option<f64> {
    four.worst_case.predictive_level.or(four.allowance)
}

/// A note with its count.
pub(crate) fn note_text(note: &Note) -> String {
    // Many a text counts by itself.
    if note.count > 1 && !note.text.contains(&note.count.to_string()) {
        format!("{} ({} times)", note.text, note.count)
    } else {
        note.text.clone()
    }
}

/// Whether a note is about how far the statistics of a record go, so that it belongs to the record's details.
pub(crate) fn is_about_method(note: &Note) -> bool {
    matches!(note.kind, NoteKind::Fit | NoteKind::Trend)
}

/// Whether a note says that the levels printed beside it are rough, or not to be gone by.
fn is_poor_fit(note: &Note) -> bool {
    note.kind == NoteKind::Fit && !note.text.contains(FIT_HOLDS)
}

/// Whether a note is about data and method alone: nothing in it changes what a reader does, or how far the answer is to be
/// believed.
pub(crate) fn is_detail(note: &Note) -> bool {
    use NoteKind as Kind;
    (is_about_method(note) && !is_poor_fit(note))
        || matches!(
            note.kind,
            Kind::Missing
                | Kind::Flagged
                | Kind::Impossible
                | Kind::SeveralReadings
                | Kind::Overlap
                | Kind::RowsPassedOver
                | Kind::Daylight
                | Kind::Sampling
        )
}

/// What must stand beside worst-case hours wherever they are printed.
pub(crate) const WORST_CASE_HOURS: &str = "* if full clear sun fell then. Sudden sun and worst case count steps of \
5 minutes and are opportunities: the vehicle must also roll into that sun. Parked counts the daylight of each hour whose mean is \
over the rating, so it can show more hours than the others.";

/// Name, place and elevation of the station.
pub(crate) fn station_sentence(stop: &StopResult, units: Units) -> String {
    let station = &stop.station;
    let mut parts = vec![station.name.clone().unwrap_or_else(|| "without a name".to_owned())];
    if let (Some(latitude), Some(longitude)) = (station.latitude_deg, station.longitude_deg) {
        parts.push(show::coordinates(latitude, longitude));
    }
    if let Some(elevation) = station.elevation_m {
        parts.push(show::elevation(elevation, units));
    }
    if let (Some(own), Some(place)) = (station.elevation_m, stop.elevation_m)
        && (own - place).abs() >= 0.5
    {
        let word = if place > own { "above" } else { "below" };
        parts.push(format!("the place lies {} {word} it", show::elevation((place - own).abs(), units)));
    }
    parts.join(", ")
}

/// Span, kind, coverage and lowest reading of the record.
pub(crate) fn record_sentence(record: &RecordFacts, units: Units) -> String {
    let day = |stamp: Stamp| stamp.local_day(UtcOffset::UTC);
    let span = match record.kind {
        RecordKind::Chronological => format!(
            "{} to {}, {}, {} of which {} complete, {} % of the reports there",
            day(record.first),
            day(record.last),
            so_many(record.hours, "hour"),
            so_many(record.winters, "winter"),
            record.complete_winters,
            fixed(record.coverage * 100.0, 1)
        ),
        RecordKind::TypicalYear => {
            format!("typical year of {} hours (it carries no extremes)", record.hours)
        }
    };
    let files = match record.files.as_slice() {
        [] => String::new(),
        [one] => format!(" ({one})"),
        [first, .., last] => format!(" ({} files, {first} to {last})", record.files.len()),
    };
    format!(
        "{}{files}; {span}; lowest at the station {} on {} UTC",
        record.format,
        show::temperature(record.lowest_c, units),
        record.lowest_at.local(UtcOffset::UTC)
    )
}

/// Hours of a record in which the array was lit and its volts computed, where the report counted them.
pub(crate) fn lit_hours(stop: &StopResult) -> Option<u64> {
    let cells = stop.arrays.iter().find_map(|array| array.pictures.light_and_air.as_ref())?;
    Some(cells.hours.iter().flatten().map(|&hours| u64::from(hours)).sum())
}

/// A row of the table of design temperatures.
pub(crate) struct DesignRow {
    /// What.
    pub name: &'static str,
    /// Printed value.
    pub value: String,
    /// Interval, date or source.
    pub remark: String,
}

/// What stands behind a time of day on the clock of `offset`.
fn clock_word(offset: UtcOffset) -> &'static str {
    if offset == UtcOffset::UTC { "UTC" } else { "local time" }
}

/// Design temperatures that the record supports.
pub(crate) fn design_rows(stop: &StopResult, units: Units) -> Vec<DesignRow> {
    design_rows_of(&stop.design_temperature_c, stop.utc_offset, units)
}

/// The same on the clock of `offset`.
pub(crate) fn design_rows_of(design: &DesignTemperature, offset: UtcOffset, units: Units) -> Vec<DesignRow> {
    let mut rows = Vec::new();
    let mut add = |name, value: Option<f64>, remark: String| {
        if let Some(value) = value {
            rows.push(DesignRow { name, value: show::temperature(value, units), remark });
        }
    };
    let at = design.record_low_at.map(|at| format!("{} {}", at.local(offset), clock_word(offset)));
    add("record low", design.record_low, at.unwrap_or_default());
    let spread = design.sd.map(|sd| format!("standard deviation {}", show::kelvin(sd, units)));
    add("mean of annual lows", design.mean_annual_low, spread.unwrap_or_default());
    let levels = [
        ("5-year low", design.low_5_year),
        ("10-year low", design.low_10_year),
        ("20-year low", design.low_20_year),
        ("50-year low", design.low_50_year),
    ];
    for (index, (name, value)) in levels.into_iter().enumerate() {
        let mut remark = Vec::new();
        if let Some(errors) = design.standard_errors {
            remark.push(format!("standard error {}", show::kelvin(errors[index], units)));
        }
        if let Some(bounds) = design.bounds_90 {
            remark.push(format!("90 % bound {}", show::temperature(bounds[index], units)));
        }
        add(name, value, remark.join(", "));
    }
    add("lowest in daylight", design.daylight_record_low, "or within 2 h before sunrise".to_owned());
    add("mean annual low in daylight", design.daylight_mean_annual_low, String::new());
    add("lowest in the stay's days", design.window_low, String::new());
    if let Some(published) = &design.published {
        let mut remark = published.source.clone();
        if let Some(sd) = published.sd {
            remark.push_str(&format!(", standard deviation {}", show::kelvin(sd, units)));
        }
        if let Some(low) = published.low_20_year {
            remark.push_str(&format!(", 20-year low {}", show::temperature(low, units)));
        }
        add("published mean annual low", Some(published.mean), remark);
    }
    rows
}

/// What stands under the four voltages.
pub(crate) fn voltage_remarks(four: &FourVoltages) -> Vec<String> {
    let mut lines = Vec::new();
    let basis = match four.code_basis {
        Some(CodeBasis::Coefficient) => Some("the label's coefficient"),
        Some(CodeBasis::Table) => Some("the crystalline table's factor"),
        Some(CodeBasis::Bound) => Some("the stated bound, since label and table are silent"),
        None => None,
    };
    if let Some(basis) = basis {
        let mut line = format!("The code sum rests on {basis}");
        if let Some(table) = four.table.filter(|_| four.code_basis != Some(CodeBasis::Table)) {
            line.push_str(&format!("; with the crystalline table's factor it is {}", show::volts(table)));
        }
        lines.push(line + ".");
    }
    if let Some(window) = four.window_code {
        lines.push(format!(
            "At the lowest air of the stay's own days the same sum is {} (information; codes know no travel dates).",
            show::volts(window)
        ));
    }
    if let Some(sum) = &four.decides {
        lines.push(format!("The worst case that is expected (seen or expected, the larger decides): {sum}."));
        if let (Some(level), Some(expected)) =
            (four.worst_case.level_20_year, four.worst_case.predictive_level)
        {
            lines.push(format!(
                "The plain 20-year level, {}, takes the seasons seen for the whole truth; the expected figure, {}, adds what so few \
                 of them leave open.",
                show::volts(level),
                show::volts(expected)
            ));
        }
    }
    if let Some(seconds) = four.sudden_sun.within_2_percent_s {
        lines.push(format!(
            "The largest sudden-sun voltage stays within 2 % of its peak for about {} while that sun warms a glass panel; \
             glued to a roof it warms more slowly.",
            show::seconds(seconds)
        ));
    }
    if !four.not_held.is_empty() {
        let parts: Vec<String> =
            four.not_held.iter().map(|part| format!("{} {}", part.what, show::volts(part.volts))).collect();
        let all: f64 = four.not_held.iter().map(|part| part.volts).sum();
        let together = if parts.len() > 1 {
            format!("; together {}", show::volts(at_least(all)))
        } else {
            String::new()
        };
        lines.push(format!("Not inside the worst case: {}{together}.", parts.join(", ")));
    }
    lines
}

/// Largest currents, if any hour was computed.
pub(crate) fn current_sentence(array: &ArrayAtStop, stop: &StopResult) -> Option<String> {
    let current = &array.current_a;
    let most = current.max_hour?;
    let mut text = format!("largest hour mean {}", show::amps(most));
    if let Some(at) = current.at {
        text.push_str(&format!(" on {} local time", at.local(stop.utc_offset)));
    }
    if let Some(three) = current.highest_3_hour_mean {
        text.push_str(&format!(
            "; highest mean of three hours in a row {} (information, never a way to pass)",
            show::amps(three)
        ));
    }
    if let Some(burst) = current.burst {
        text.push_str(&format!(
            "; at cloud edges up to {} for seconds to minutes ({} times clear sky with snow and rear light where the plan has \
             them; information)",
            show::amps(burst),
            current.burst_factor
        ));
    }
    Some(text)
}

/// Touch class and hours over its lines.
pub(crate) fn touch_sentence(touch: &Touch) -> String {
    let mut text = format!("{}: {} (information)", touch.class, touch.meaning);
    let hours = [
        (30, touch.hours_per_year_above_30_v),
        (60, touch.hours_per_year_above_60_v),
        (120, touch.hours_per_year_above_120_v),
    ];
    let counted: Vec<String> = hours
        .into_iter()
        .filter_map(|(volts, hours)| hours.map(|hours| format!("{volts} V in {}", show::count(hours))))
        .collect();
    if !counted.is_empty() {
        text.push_str(&format!("; parked, hours a year above {}", counted.join(", ")));
    }
    text
}

/// What is worth knowing and never a limit: a name and its sentence.
pub(crate) fn information(array: &ArrayAtStop) -> Vec<(String, &str)> {
    let mut lines: Vec<(String, &str)> = array
        .information
        .iter()
        .map(|line| (format!("{}, {}", line.component, line.what), line.text.as_str()))
        .collect();
    if let Some(low) = &array.low_side {
        lines.push((format!("{}, frost and heat", low.controller), low.text.as_str()));
    }
    lines
}

/// The steps from label to figure, one line each.
pub(crate) fn step_lines(limit: &LimitLine) -> Vec<String> {
    limit
        .steps
        .iter()
        .map(|step| format!("{}: {} ({})", step.what, show::step(step.value, &step.unit), step.text))
        .collect()
}

/// Longest run and first and last day over the rating.
pub(crate) fn run_sentence(limit: &LimitLine, offset: UtcOffset) -> Option<String> {
    let mut parts = Vec::new();
    if let Some(run) = limit.longest_run_h.filter(|run| *run > 0.0) {
        parts.push(format!("longest in one go, in sudden sun: {} hours", show::count(run)));
    }
    for (voltage, span) in [
        ("sudden sun", limit.first_broken.zip(limit.last_broken)),
        ("the worst case", limit.worst_case_first_broken.zip(limit.worst_case_last_broken)),
    ] {
        if let Some((first, last)) = span {
            let (first, last) = (first.local_day(offset), last.local_day(offset));
            parts.push(format!("in {voltage} first on {first}, last on {last}"));
        }
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// The text with a capital at its beginning and a full stop at its end.
pub(crate) fn sentence(text: &str) -> String {
    let mut out = capital(text.trim());
    if !out.is_empty() && !out.ends_with(['.', '!', '?', ':']) {
        out.push('.');
    }
    out
}

/// The text with a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
    first + letters.as_str()
}
