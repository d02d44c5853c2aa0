//! The brief form of `assess`: what decides, what to buy, what to change, and each place in a few lines. Whatever bears on
//! safety stands here in full: verdicts and their reasons, the figure that decides step by step, doubts of the weather,
//! every caution. Tables of levels, assumptions and remarks on method wait in the full form.

use super::page::{Align, Page};
use super::{Judged, TextOptions, changes, head_and_missing, stop};
use crate::hourly::ByVoltage;
use crate::limits::Verdict;
use crate::note::Note;
use crate::report::{asides, glance, show, view};
use crate::study::results::{ArrayAtStop, Assessment, FourVoltages, LimitLine, StopResult, TripOdds};
use crate::units::so_many;

/// The assessment in brief, ending with a line break. What it leaves out is said in its last lines.
#[must_use]
pub fn assess_in_brief(assessment: &Assessment, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    head_and_missing(&mut page, assessment);
    limits(&mut page, assessment);
    super::all_needs(&mut page, assessment);
    changes(&mut page, assessment);
    if let Some(odds) = &assessment.trip {
        page.heading("The whole trip");
        trip(&mut page, assessment, odds);
    }
    match assessment.stops.as_slice() {
        [] => {}
        [only] => one_place(&mut page, assessment, only),
        several => {
            page.heading("Place by place");
            places(&mut page, assessment, several);
            how_often(&mut page, assessment);
            records(&mut page, several);
        }
    }
    if let Some(frost) = asides::frost_sentence(assessment) {
        page.line(0, "");
        page.named(0, "Battery in frost", &frost);
    }
    let on_the_plan: Vec<&Note> = view::told(&assessment.notes).collect();
    if !on_the_plan.is_empty() {
        page.heading("Notes on the plan");
        super::notes(&mut page, 0, &on_the_plan);
    }
    super::cautions(&mut page, assessment);
    page.line(0, "");
    page.paragraph(0, &left_out(assessment));
    page.finish()
}

/// The table, then what each limit that does not simply hold says, and the decider's figure step by step. How often they are
/// passed is told once, in its own table.
fn limits(page: &mut Page, assessment: &Assessment) {
    let judged = view::worst_of_each(assessment);
    let lacking = assessment.arrays.iter().any(|facts| !facts.not_given.is_empty());
    if judged.is_empty() && (assessment.stops.is_empty() || !lacking) {
        return;
    }
    let several = assessment.stops.len() > 1;
    page.heading(if several { "Limits, each at the stop where it fares worst" } else { "Limits" });
    super::overview(page, assessment);
    let decider = view::decider(assessment);
    for limit in &judged {
        let decides = decider.as_ref().is_some_and(|decider| is_same(decider, limit));
        if !decides && view::counting_verdict(limit.limit) == Verdict::Within {
            continue;
        }
        let LimitLine { component, rule, reason, how_often, unit, .. } = limit.limit;
        // What holds by little has its figures in the table, and its sentence under what to change.
        let is_close = view::counting_verdict(limit.limit) == Verdict::Close && unit == "V";
        let steps = if decides { view::step_lines(limit.limit) } else { Vec::new() };
        // What the first lines say already is not said again.
        let is_said =
            is_close || (decides && assessment.summary.contains(reason.trim_start_matches("holds: ")));
        let often = limit.limit.hours_per_year.is_none().then_some(how_often).filter(|text| !text.is_empty());
        if is_said && steps.is_empty() && often.is_none() {
            continue;
        }
        let name = view::shown_name(assessment, &limit.array.name, component);
        let mut text = format!("{name}, {rule}:");
        if !is_said {
            text.push_str(&format!(" {reason}"));
        }
        if let Some(often) = often {
            let stop = if is_said || reason.ends_with('.') { "" } else { "." };
            text.push_str(&format!("{stop} {}", view::sentence(often)));
        }
        page.bullet(0, &text);
        for line in &steps {
            page.paragraph(2, line);
        }
    }
    if let Some(counts) = asides::counts_sentence(assessment) {
        page.named(0, "Counts", &counts);
    }
}

fn is_same(one: &Judged<'_>, other: &Judged<'_>) -> bool {
    std::ptr::eq(one.limit, other.limit)
}

/// The trip: its chance, what other dates would do in one line, and the night that decides.
fn trip(page: &mut Page, assessment: &Assessment, odds: &TripOdds) {
    page.paragraph(0, &view::trip_sentence(assessment, odds));
    for remark in view::trip_remarks(assessment, odds) {
        page.paragraph(0, &remark);
    }
    let departures = view::departures(assessment, odds);
    let parts: Vec<String> =
        [(i32::MIN..0, " days earlier"), (0..1, "as planned"), (1..i32::MAX, " days later")]
            .into_iter()
            .filter_map(|(side, word)| {
                let on_it = || departures.iter().filter(|departure| side.contains(&departure.shift_days));
                let days: Vec<String> = on_it()
                    .filter(|at| at.shift_days != 0)
                    .map(|at| at.shift_days.abs().to_string())
                    .collect();
                let chances: Vec<String> = on_it().map(|at| percent(&show::chance(at.chance))).collect();
                (!chances.is_empty()).then(|| format!("{}{word} {} %", days.join(", "), chances.join(", ")))
            })
            .collect();
    if !parts.is_empty() {
        page.named(0, "Seasons with it, by departure", &(parts.join("; ") + "."));
    }
    let counted: Vec<String> = view::departures_seen(assessment, odds)
        .iter()
        .map(|at| format!("{} {}", view::shift_words(at.shift_days), view::seen_words(at)))
        .collect();
    if !counted.is_empty() {
        let said = format!("{}. {}", counted.join("; "), view::DEPARTURES_SEEN_SAY_LITTLE);
        page.named(0, view::DEPARTURES_SEEN, &said);
    }
}

/// "17" of "17 %".
fn percent(chance: &str) -> String {
    chance.strip_suffix(" %").unwrap_or(chance).to_owned()
}

/// A plan with a single place: its voltages with hour, light and cell.
fn one_place(page: &mut Page, assessment: &Assessment, stop: &StopResult) {
    page.heading(&stop::heading(assessment, 0, stop, page.units));
    page.named(0, "Record", &view::sentence(&asides::record_in_brief(&stop.record)));
    let lows: Vec<String> = view::design_rows(stop, page.units)
        .into_iter()
        .filter(|row| !row.name.contains("daylight"))
        .map(|row| format!("{} {}", row.name, row.value))
        .collect();
    if !lows.is_empty() {
        page.named(0, "Air", &(lows.join(", ") + "."));
    }
    for array in &stop.arrays {
        if assessment.arrays.len() > 1 {
            page.subheading(&format!("Array {}", array.name));
        }
        stop::four_voltages(page, stop, &array.voltage_v, stop::Beside::Expected);
        if view::expected(&array.voltage_v).is_some() {
            page.paragraph(1, &expected(assessment));
        }
        // Where the code sum decides, its own step has said it.
        let from = &array.voltage_v.code_temperature_from;
        let decider = view::decider(assessment);
        let is_said =
            |judged: Judged<'_>| judged.limit.steps.iter().any(|step| step.text.contains(from.as_str()));
        if !decider.is_some_and(is_said) {
            page.paragraph(1, &format!("The code sum's temperature: {from}."));
        }
        if let Some(most) = array.current_a.max_hour {
            page.named(0, "Current", &format!("largest hour mean {} (information)", show::amps(most)));
            if let Some(bursts) = view::bursts_above(assessment, &array.name) {
                page.paragraph(1, &bursts);
            }
        }
        page.named(0, "Touch voltage", &view::touch_sentence(&array.touch));
    }
    if let Some(tables) = asides::table_factor_sentence(assessment) {
        page.paragraph(0, &tables);
    }
    how_often(page, assessment);
    let notes = plain_notes(stop);
    if !notes.is_empty() {
        page.subheading("Notes on the weather");
    }
    for note in notes {
        page.bullet(0, &note);
    }
}

/// Several places in one table: how cold, how many volts and amps.
fn places(page: &mut Page, assessment: &Assessment, stops: &[StopResult]) {
    let several = assessment.arrays.len() > 1;
    let units = page.units;
    let dash = || "-".to_owned();
    let volts = |value: Option<f64>| value.map_or_else(dash, show::volts);
    let mut rows = Vec::new();
    for stop in stops {
        let low = stop.design_temperature_c.record_low;
        for array in &stop.arrays {
            let four = &array.voltage_v;
            let mut place = stop.place.clone();
            if several {
                place.push_str(&format!(", {}", array.name));
            }
            let (seen, expected) = (four.worst_case.max, view::expected(four));
            let most = [four.code, seen, expected].into_iter().flatten().fold(0.0, f64::max);
            let marked = |value: Option<f64>| match value {
                Some(value) if value >= most => format!("{}{DECIDES}", show::volts(value)),
                value => volts(value),
            };
            rows.push(vec![
                place,
                stop.window.clone().unwrap_or_else(|| "whole years".to_owned()),
                low.map_or_else(dash, |air| show::temperature(air, units)),
                marked(four.code),
                volts(four.steady.max),
                volts(four.sudden_sun.max),
                marked(seen),
                marked(expected),
            ]);
        }
    }
    let right = Align::Right;
    page.table(
        &["stop", "days", "coldest", "code sum", "steady", "sudden sun", "worst case", "expected"],
        &[Align::Left, Align::Left, right, right, right, right, right, right],
        rows,
    );
    page.paragraph(
        1,
        &format!(
            "Coldest: air there in any year. {} {DECIDES} what parts are bought by.",
            expected(assessment)
        ),
    );
    for facts in &assessment.arrays {
        if let Some(air) = code_temperatures(stops, &facts.name, units) {
            let whose = if several { format!(" of {}", facts.name) } else { String::new() };
            page.paragraph(1, &format!("The code sum{whose} is at {air}."));
        }
    }
    if let Some(tables) = asides::table_factor_sentence(assessment) {
        page.paragraph(1, &tables);
    }
    for facts in &assessment.arrays {
        let touched = stops.iter().flat_map(|stop| &stop.arrays).filter(|array| array.name == facts.name);
        let amps = touched.clone().filter_map(|array| array.current_a.max_hour).fold(0.0, f64::max);
        // What its coldest place says of touch holds for the vehicle.
        if let Some(array) = touched.max_by(|a, b| most_volts(a).total_cmp(&most_volts(b))) {
            let text = format!("{}: {} (information)", array.touch.class, array.touch.meaning);
            let name =
                if several { format!("Touch voltage of {}", facts.name) } else { "Touch voltage".to_owned() };
            page.named(0, &name, &text);
        }
        if amps > 0.0 {
            let name = if several { format!("Current of {}", facts.name) } else { "Current".to_owned() };
            page.named(0, &name, &format!("largest hour mean {} (information)", show::amps(amps)));
            if let Some(bursts) = view::bursts_above(assessment, &facts.name) {
                page.paragraph(1, &bursts);
            }
        }
    }
}

/// "8 of 25 (17 to 50 %)".
fn seasons_and_chance(judged: &Judged<'_>) -> String {
    let limit = judged.limit;
    let mut seasons = view::seasons_words(limit);
    if let Some(complete) = view::of_complete(judged) {
        seasons.push_str(&format!(" ({complete})"));
    }
    let is_few = glance::too_few(limit.seasons_counted, "season").is_some();
    match &limit.chance_per_season {
        Some(_) if is_few => format!("{seasons}: too few to say"),
        Some(chance) => {
            format!("{seasons} ({} to {})", percent(&show::chance(chance.low)), show::chance(chance.high))
        }
        None => seasons,
    }
}

fn most_volts(array: &ArrayAtStop) -> f64 {
    let four = &array.voltage_v;
    [four.worst_case.max, four.code].into_iter().flatten().fold(0.0, f64::max)
}

/// How often, of every place and limit that is passed, or that does not simply hold.
fn how_often(page: &mut Page, assessment: &Assessment) {
    let mut shown: Vec<(Judged<'_>, ByVoltage<f64>)> = Vec::new();
    let mut counted = false;
    let mut fewest = usize::MAX;
    for judged in view::all_limits(assessment) {
        let Some(hours) = judged.limit.hours_per_year else { continue };
        counted = true;
        fewest = fewest.min(judged.limit.seasons_counted);
        if stop::is_passed(judged.limit) || view::counting_verdict(judged.limit) != Verdict::Within {
            shown.push((judged, hours));
        }
    }
    if !shown.iter().any(|(judged, _)| stop::is_passed(judged.limit)) {
        if counted {
            let few = glance::too_few(fewest, "season or stay").is_some();
            page.named(0, "How often", &format!("{NONE_COUNTED}{}", if few { TOO_FEW } else { "" }));
            if let Some((component, reach)) = out_of_reach(assessment) {
                page.named(0, "How far away", &format!("{component}: {reach}"));
            }
        }
        return;
    }
    let dated = shown.iter().filter(|(judged, _)| judged.stop.window.is_some()).count();
    let span = match dated {
        0 => "year",
        all if all == shown.len() => "stay",
        _ => "stay (or a year)",
    };
    page.subheading(&format!(
        "How often: hours a {span} over a rating, and in how many {}",
        match dated {
            0 => "seasons",
            all if all == shown.len() => "stays",
            _ => "seasons or stays",
        }
    ));
    let several = assessment.stops.len() > 1;
    let rows = shown.iter().map(|(judged, hours)| {
        let limit = judged.limit;
        let rating = limit.rating.map_or_else(|| "-".to_owned(), |value| show::rating(value, &limit.unit));
        let mut row = vec![
            format!("{}, {rating}", view::shown_name(assessment, &judged.array.name, &limit.component)),
            show::count(hours.steady),
            show::count(hours.sudden_sun),
            show::count(hours.worst_case),
            seasons_and_chance(judged),
        ];
        if several {
            row.insert(1, judged.stop.place.clone());
        }
        row
    });
    let right = Align::Right;
    let mut header = vec!["limit", "parked", "sudden sun", "worst case", "sudden sun in (90 %)"];
    let mut align = vec![Align::Left, right, right, right, Align::Left];
    if several {
        header.insert(1, "stop");
        align.insert(1, Align::Left);
    }
    page.table(&header, &align, rows.collect());
    let more = shown.iter().any(|(_, hours)| hours.steady > hours.sudden_sun.min(hours.worst_case));
    let rolling = view::rolling(shown.iter().map(|(judged, _)| judged.limit));
    page.paragraph(
        1,
        &format!("Sudden sun: hours in which {rolling}. {IF_CLEAR}{}", if more { PARKED } else { "" }),
    );
    let decides = view::decider(assessment);
    for (judged, _) in &shown {
        if decides.as_ref().is_some_and(|decider| is_same(decider, judged))
            && let Some(when) = asides::when_sentence(judged.limit)
        {
            page.paragraph(1, &format!("{}: {when}.", judged.limit.component));
        }
    }
}

/// How far the tightest volts are from being passed, where they are out of reach.
fn out_of_reach(assessment: &Assessment) -> Option<(&str, &str)> {
    let tightest = view::tightest_volts(assessment)?;
    Some((tightest.limit.component.as_str(), tightest.limit.out_of_reach.as_deref()?))
}

/// What each place rests on, and what must be known of it; what holds for several of them once.
fn records(page: &mut Page, stops: &[StopResult]) {
    let told: Vec<Vec<String>> = stops.iter().map(plain_notes).collect();
    let at = |note: &String| -> Vec<&str> {
        let with = stops.iter().zip(&told).filter(|(_, notes)| notes.contains(note));
        with.map(|(stop, _)| stop.place.as_str()).collect()
    };
    let once = |places: &[&str]| {
        let mut seen: Vec<&str> = Vec::new();
        for place in places {
            if !seen.contains(place) {
                seen.push(place);
            }
        }
        seen.join(", ")
    };
    page.subheading("Their weather");
    for (stop, notes) in stops.iter().zip(&told) {
        page.bullet(0, &format!("{}: {}", stop.place, asides::record_in_brief(&stop.record)));
        for note in notes.iter().filter(|note| at(note).len() == 1) {
            page.bullet(1, note);
        }
    }
    let mut shared: Vec<&String> = Vec::new();
    for note in told.iter().flatten().filter(|note| at(note).len() > 1) {
        if !shared.contains(&note) {
            shared.push(note);
        }
    }
    for note in shared {
        let places = at(note);
        let whose = if places.len() == stops.len() { "every stop".to_owned() } else { once(&places) };
        page.bullet(0, &format!("{whose}: {note}"));
    }
}

/// Marks the figure that decides.
const DECIDES: char = '*';

/// What the column of the expected worst case holds.
fn expected(assessment: &Assessment) -> String {
    let years = assessment.assumptions.iter().find(|assumption| assumption.name == "level that decides");
    let level = format!(
        "the worst case of one season (stay) in {}",
        years.map_or("20", |years| years.value.as_str())
    );
    let allowed = "the worst case found, taken for air 10 K colder because the record is short or typical (the code sum is not); five complete seasons or stays would end that";
    let of = |stop: &&StopResult| stop.arrays.iter().any(|array| is_allowed(&array.voltage_v));
    let mut short: Vec<&str> = Vec::new();
    for stop in assessment.stops.iter().filter(of) {
        if !short.contains(&stop.place.as_str()) {
            short.push(&stop.place);
        }
    }
    let all = assessment.stops.iter().all(|stop| of(&stop));
    match short.as_slice() {
        [] => format!("Expected: {level}."),
        _ if all => format!("Expected: {allowed}."),
        places => format!("Expected: {level}; at {} {allowed}.", places.join(", ")),
    }
}

/// Whether the expected worst case is the one seen with an allowance.
fn is_allowed(four: &FourVoltages) -> bool {
    four.worst_case.predictive_level.is_none() && four.allowance.is_some()
}

/// "-19.1 °C at Cinder Ford, -24.9 °C at Marrow Saddle".
fn code_temperatures(stops: &[StopResult], array: &str, units: show::Units) -> Option<String> {
    let mut parts: Vec<String> = Vec::new();
    for stop in stops {
        let Some(at) = stop.arrays.iter().find(|at| at.name == array) else { continue };
        let Some(air) = at.voltage_v.code_temperature_c else { continue };
        let part = format!("{} at {}", show::temperature(air, units), stop.place);
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// What must stand beside worst-case hours.
const IF_CLEAR: &str = "Worst case: the same, if full clear sun fell then.";

/// Why parked hours can be more than the others.
const PARKED: &str =
    " Parked counts the daylight of each hour whose mean is over the rating, so it can show more hours.";

/// Of what was counted alone: hours outside a stay, and those that a record lacks, are not in it.
const NONE_COUNTED: &str = "of the hours counted none lies over a voltage rating, not even in the worst case";

/// Behind it, where the record holds too few seasons or stays for odds.
const TOO_FEW: &str = "; the seasons or stays are too few to say more than that";

/// What a reader must know of a place's weather before the answer is believed.
fn plain_notes(stop: &StopResult) -> Vec<String> {
    view::told(&stop.notes).filter(|note| !view::is_detail(note)).map(view::note_text).collect()
}

fn left_out(assessment: &Assessment) -> String {
    let notes: usize = assessment
        .stops
        .iter()
        .map(|stop| stop.notes.iter().filter(|note| view::is_detail(note)).count())
        .sum();
    let mut parts = vec!["each limit's steps".to_owned()];
    if !assessment.stops.is_empty() {
        parts.push("levels with errors".to_owned());
        parts.push("frost, heat, charging".to_owned());
    }
    if notes > 0 {
        parts.push(so_many(notes, "note") + " on data and method");
    }
    parts.push(so_many(assessment.assumptions.len(), "assumption"));
    format!(
        "With --full also: {}; with charts: report. The answer: {}, as the first lines say.",
        parts.join(", "),
        view::headline(assessment).0
    )
}
