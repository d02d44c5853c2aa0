//! The table of `series`: an arrangement a row, and what its columns mean.

use super::{Align, Page};
use crate::limits::Verdict;
use crate::limits::current::CONTINUOUS_FACTOR;
use crate::limits::rules::fuse::Wanting;
use crate::limits::voltage::margin_percent;
use crate::report::show;
use crate::study::counted;
use crate::study::results::LimitLine;
use crate::study::series::{Frost, SeriesOption, SeriesResult};
use crate::units::at_least;

/// Whether an arrangement is the runner-up, or the recommended one, that with any battery and controller.
fn is_answer(result: &SeriesResult, option: &SeriesOption) -> bool {
    let layout = (option.in_series, option.in_parallel);
    let is_best =
        result.recommended.as_ref().is_some_and(|best| (best.in_series, best.in_parallel) == layout);
    let is_next = result.runner_up.as_ref().is_some_and(|next| {
        (next.in_series, next.in_parallel) == layout
            && (next.battery_v, next.controller_v) == (option.battery_v, option.controller_v)
            && next.controller == option.controller
    });
    is_best || is_next
}

/// The arrangements that help to choose: with as many strings as the panels allow, up to one count past the largest that holds
/// with each battery and controller. The answers always; all others stand in the JSON.
pub(super) fn shown(result: &SeriesResult) -> Vec<&SeriesOption> {
    let breaks_volts = |option: &SeriesOption| {
        option
            .limits
            .iter()
            .any(|line| line.unit == "V" && matches!(counted(line), Verdict::Exceeded | Verdict::NotMet))
    };
    let past = |option: &SeriesOption| {
        result.options.iter().any(|fewer| {
            fewer.in_series < option.in_series
                && (fewer.battery_v, fewer.controller_v) == (option.battery_v, option.controller_v)
                && fewer.controller == option.controller
                && breaks_volts(fewer)
        })
    };
    let useful = |option: &SeriesOption| option.panels_left_over < option.in_series && !past(option);
    let mut shown: Vec<&SeriesOption> =
        result.options.iter().filter(|option| is_answer(result, option) || useful(option)).collect();
    // One layout stands together; batteries and controllers as they were asked for.
    shown.sort_by_key(|option| (option.in_series, option.in_parallel));
    shown
}

/// Whether a controller of the plan wastes volts above the battery's.
fn wastes_above_battery(result: &SeriesResult) -> bool {
    result.options.iter().any(|option| option.above_battery_percent.is_some())
}

/// Width from which there is room for what the ratings leave; narrower pages would show the table as a list.
const SPARE_FROM: usize = 96;

/// Which columns a table has: what is the same in every row stands in the ladder and the first sentences.
struct Columns {
    battery: bool,
    controller: bool,
    spare: bool,
    above: bool,
    /// Whether little room is left for remarks.
    tight: bool,
}

impl Columns {
    fn of(result: &SeriesResult, shown: &[&SeriesOption], width: usize) -> Self {
        let differs = |of: fn(&SeriesOption) -> String| {
            let first = result.options.first().map(of);
            result.options.iter().any(|option| Some(of(option)) != first)
        };
        let battery = differs(|option| volts_word(option.battery_v));
        let controller = differs(|option| {
            format!("{:?} {:?} {:?}", option.controller_v, option.controller, option.controller_max_isc_a)
        });
        let is_wide = width >= SPARE_FROM;
        Self {
            battery,
            controller,
            spare: is_wide && shown.iter().any(|option| spare_percent(option).is_some()),
            above: wastes_above_battery(result),
            tight: controller && (battery || !is_wide),
        }
    }
}

/// A row: what it shows, and the batteries and controllers of which it is true.
struct Row {
    cells: Vec<String>,
    spare_percent: Option<f64>,
    remark: String,
    batteries: Vec<String>,
    controllers: Vec<String>,
    /// Volts of its controllers, where they are passed.
    passed: Vec<String>,
}

fn volts_word(volts: Option<f64>) -> String {
    volts.map_or_else(|| "-".to_owned(), |volts| volts.to_string())
}

/// A controller in its column: its volts, and its amps where another of the same volts has others.
fn controller_word(result: &SeriesResult, option: &SeriesOption) -> String {
    let is_twin = |other: &SeriesOption| {
        other.controller_v == option.controller_v
            && (other.controller_max_isc_a != option.controller_max_isc_a
                || other.controller != option.controller)
    };
    let volts = volts_word(option.controller_v);
    match option.controller_max_isc_a {
        Some(amps) if result.options.iter().any(is_twin) => format!("{volts}/{amps}A"),
        _ => volts,
    }
}

/// What the tightest rating in volts leaves, per cent of it, below 0 what it lacks.
fn spare_percent(option: &SeriesOption) -> Option<f64> {
    let lines = option.limits.iter().filter(|line| line.unit == "V");
    let margins = lines.filter_map(|line| {
        let (rating, worst) = (line.rating?, line.worst?);
        // The worst of the stops may be another one's than that of the line.
        Some(margin_percent(rating, option.decide_v.unwrap_or(worst).max(worst)))
    });
    margins.reduce(f64::min)
}

pub(super) fn table(page: &mut Page, result: &SeriesResult, shown: &[&SeriesOption]) {
    let columns = Columns::of(result, shown, page.width());
    let mut rows: Vec<Row> = Vec::new();
    for option in shown {
        let row = row(result, option, &columns);
        // Rows that differ in the controller alone are one; the room is that on the smallest.
        let same = |other: &&mut Row| {
            other.cells == row.cells
                && other.remark == row.remark
                && other.batteries == row.batteries
                && other.passed.is_empty() == row.passed.is_empty()
        };
        match rows.iter_mut().find(same) {
            Some(other) => {
                add(&mut other.controllers, row.controllers);
                add(&mut other.passed, row.passed);
                other.spare_percent = least(other.spare_percent, row.spare_percent);
            }
            None => rows.push(row),
        }
    }
    // And those that then differ in the battery alone.
    let mut merged: Vec<Row> = Vec::new();
    for row in rows {
        let same = |other: &&mut Row| {
            other.cells == row.cells
                && other.spare_percent == row.spare_percent
                && other.remark == row.remark
                && other.controllers == row.controllers
        };
        match merged.iter_mut().find(same) {
            Some(other) => add(&mut other.batteries, row.batteries),
            None => merged.push(row),
        }
    }
    let mut header = vec!["verdict", "layout"];
    let mut align = vec![Align::Left, Align::Left];
    for (name, is_there) in [("battery V", columns.battery), ("controller V", columns.controller)] {
        if is_there {
            header.push(name);
            align.push(Align::Left);
        }
    }
    header.extend(["code V", "most V"]);
    if columns.spare {
        header.push("% spare");
    }
    header.push("% lost");
    if columns.above {
        header.push("% above");
    }
    header.push("amps");
    align.resize(header.len(), Align::Right);
    for row in &mut merged {
        row.remark = with_passed(row);
    }
    let remarks = merged.iter().any(|row| !row.remark.is_empty());
    if remarks {
        header.push("remark");
        align.push(Align::Left);
    }
    let cells = |row: Row| {
        let mut cells = row.cells;
        if columns.spare {
            // Rounded down: no row has more room than there is.
            let floor = |percent: f64| show::fixed((percent * 10.0).floor() / 10.0, 1);
            cells.insert(SPARE_AT, row.spare_percent.map_or_else(|| "-".to_owned(), floor));
        }
        for (list, is_there) in [(row.controllers, columns.controller), (row.batteries, columns.battery)] {
            if is_there {
                cells.insert(2, listed(&list));
            }
        }
        if remarks {
            cells.push(row.remark);
        }
        cells
    };
    let rows = merged.into_iter().map(cells).collect();
    if remarks {
        page.remarked(&header, &align, rows);
    } else {
        page.table(&header, &align, rows);
    }
}

/// The remark with the volts that pass those of the row's controllers, which a row whose verdict says so would else leave blank.
fn with_passed(row: &Row) -> String {
    if row.passed.is_empty() {
        return row.remark.clone();
    }
    let most_v = row.cells.get(MOST_V).map_or("", String::as_str);
    let volts = format!("{most_v} on {}\u{a0}V", row.passed.join(", "));
    if row.remark.is_empty() { volts } else { format!("{volts}; {}", row.remark) }
}

/// A few as one word, as they are typed, which stays on one line; many may break.
fn listed(list: &[String]) -> String {
    list.join(if list.len() > 2 { ", " } else { "," })
}

/// Behind verdict, layout and volts.
const SPARE_AT: usize = 4;
/// The place of the largest volts, before columns are put between.
const MOST_V: usize = 3;

fn least(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    [a, b].into_iter().flatten().reduce(f64::min)
}

fn add(list: &mut Vec<String>, more: Vec<String>) {
    for word in more {
        if !list.contains(&word) {
            list.push(word);
        }
    }
}

fn row(result: &SeriesResult, option: &SeriesOption, columns: &Columns) -> Row {
    let volts = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| show::fixed(value, 1));
    let band = |low: Option<f64>, high: Option<f64>| {
        low.zip(high).map_or_else(|| "-".to_owned(), |(low, high)| lost_band(low, high))
    };
    let left = match (option.panels_missing, option.panels_left_over) {
        (0, 0) => String::new(),
        (0, left) => format!("+{left}"),
        (missing, _) => format!("-{missing}"),
    };
    let mut cells = vec![
        show::verdict(option.verdict).to_owned(),
        format!("{}S{}P{left}", option.in_series, option.in_parallel),
        volts(option.code_v),
        volts(option.decide_v),
    ];
    cells.push(band(option.harvest_lost_percent_cool, option.harvest_lost_percent));
    if columns.above {
        cells.push(option.above_battery_percent_cool.map_or_else(|| "-".to_owned(), show::count));
    }
    cells.push(show::fixed(at_least(option.isc_a * CONTINUOUS_FACTOR), 1));
    Row {
        cells,
        spare_percent: spare_percent(option),
        remark: remark(option, columns),
        batteries: vec![volts_word(option.battery_v)],
        controllers: vec![controller_word(result, option)],
        passed: option
            .broken()
            .filter(|line| is_seen(columns, line))
            .filter_map(|line| line.rating)
            .map(|rating| rating.to_string())
            .collect(),
    }
}

/// Shares lost, from cooled cells to hottest, narrower than in prose and one word.
pub(super) fn lost_band(low: f64, high: f64) -> String {
    let narrow = |percent: f64| match percent {
        percent if percent < 10.0 => show::count(percent).replace("under ", "<"),
        percent => show::fixed(percent, 0),
    };
    let (low, high) = (narrow(low), narrow(high));
    if low == high { low } else { format!("{low}-{high}") }
}

/// Whether that a limit breaks is that of the volts of the controller which the row's column names.
fn is_seen(columns: &Columns, line: &LimitLine) -> bool {
    columns.controller && line.unit == "V" && line.kind == "controller"
}

/// What the columns mean, and what is in none of them.
pub(super) fn legend(page: &mut Page, result: &SeriesResult, shown: &[&SeriesOption]) {
    let columns = Columns::of(result, shown, page.width());
    let mut parts =
        vec!["2S3P: 2 in series, 3 strings; +1: one panel left over, -1: one missing.".to_owned()];
    if columns.controller {
        parts.push(controllers(result));
    }
    if let [_, _, ..] = result.places.as_slice() {
        parts.push(format!("Each row at the stop where it fares worst ({}).", result.places.join(", ")));
    }
    parts.push("code V: code sum of one string; most V: the larger of it and the worst case.".to_owned());
    if columns.spare {
        let on = if columns.controller { " (on the smallest controller of the row)" } else { "" };
        parts.push(format!("% spare: what the tightest rating in volts leaves{on}."));
    }
    let clipping = if result.options.iter().any(|option| option.clips_w.is_some()) {
        " (what a controller clips is not in it)"
    } else {
        ""
    };
    parts.push(format!(
        "% lost: harvest lost to low volts alone{clipping}, cells cooled by wind to hottest; from 2 % on none is recommended. amps: \
         1.5625 x Isc of the array, for disconnect, breaker and cable. Fuses: one in each string."
    ));
    if shown.len() < result.options.len() {
        parts.push("Left to --json: further counts, fewer strings.".to_owned());
    }
    page.paragraph(1, &parts.join(" "));
    if columns.above {
        page.paragraph(
            1,
            "% above: harvest that a pwm controller wastes in the volts above the battery's while it runs, with cells cooled by \
             wind; it breaks no limit.",
        );
    }
    if !result.frost.is_empty() {
        page.paragraph(1, &frost(&result.frost));
    }
}

/// What stands in the controllers' column, and by which amps they are held.
fn controllers(result: &SeriesResult) -> String {
    let mut names: Vec<String> = Vec::new();
    for option in &result.options {
        let Some(name) = &option.controller else { continue };
        add(&mut names, vec![format!("{} is {name}", controller_word(result, option))]);
    }
    let names = if names.is_empty() { String::new() } else { format!("; {}", names.join(", ")) };
    let has_amps = result.options.iter().any(|option| option.controller_max_isc_a.is_some());
    let amps = if has_amps { " Its amps (max_isc_a) are held against 1.25 x Isc." } else { "" };
    format!("controller V: its largest volts{names}.{amps}")
}

/// A lithium battery in the cold, which no share lost to low volts knows.
fn frost(places: &[Frost]) -> String {
    let each: Vec<String> = places
        .iter()
        .map(|one| format!("{} of {:.0} at {}", hours(one.hours_below_0_c), one.sun_hours, one.place))
        .collect();
    let span = if places.iter().all(|one| one.of_a_stay) { "in a stay" } else { "a year" };
    format!(
        "Not in % lost: a lithium battery as cold as the air takes no charge below 0 °C, whatever the arrangement. Hours of sun \
         that cold {span}: {}.",
        each.join(", ")
    )
}

/// Hours, whole from ten on.
fn hours(hours: f64) -> String {
    if hours < 10.0 { show::count(hours) } else { show::fixed(hours, 0) }
}

/// Broken limits that a row names with their figures; of the rest the names.
const BROKEN: usize = 2;

/// What a verdict does not say: which limits break, that it starves, and what its strings need in fuses.
fn remark(option: &SeriesOption, columns: &Columns) -> String {
    let by_controller = columns.controller;
    let lines: Vec<&LimitLine> = option.broken().filter(|line| !is_seen(columns, line)).collect();
    let mut parts: Vec<String> = Vec::new();
    let mut rest: Vec<String> = Vec::new();
    for line in &lines {
        // The row's controller is named by its column.
        let is_in_column = by_controller && line.kind == "controller";
        let part = broken(option, line, if is_in_column { "" } else { &line.component });
        if parts.contains(&part) {
            continue;
        }
        if parts.len() < BROKEN {
            parts.push(part);
            continue;
        }
        let name = if is_in_column { "controller" } else { &line.component };
        // Of a part that breaks by volts and by amps each is told.
        let is_twice = lines.iter().any(|other| other.component == line.component && other.unit != line.unit);
        let name = match line.unit.as_str() {
            "V" if is_twice => format!("{name} by volts"),
            "A" if is_twice => format!("{name} by amps"),
            _ => name.to_owned(),
        };
        add(&mut rest, vec![name]);
    }
    if !rest.is_empty() {
        parts.push(format!("also {}", rest.join(", ")));
    }
    let fuses = option.wanting.map(|wanting| match wanting {
        Wanting::Fuse { fits_a } => format!("{fits_a} A fuses"),
        Wanting::NoneFits { .. } => "no fuse fits".to_owned(),
        Wanting::Unknown => "fuses?".to_owned(),
    });
    let starving = option.starving.map(|starving| starving.word().to_owned());
    // Lines break between them, and within what breaks; where there is little room also within what starves.
    let whole = |words: String| words.replace(' ', "\u{a0}");
    let starving = if columns.tight { starving } else { starving.map(whole) };
    parts.into_iter().chain(starving).chain(fuses.map(whole)).collect::<Vec<_>>().join("; ")
}

/// "disconnect 42.9 A on 40 A".
fn broken(option: &SeriesOption, line: &LimitLine, name: &str) -> String {
    let (Some(rating), Some(worst)) = (line.rating, line.worst) else { return name.to_owned() };
    if line.kind == "cable" && rating <= 0.0 {
        return format!("{name} too hot for its insulation");
    }
    let is_volts = line.unit == "V";
    // The worst of the stops may be another one's than that of the line.
    let worst = if is_volts { option.decide_v.unwrap_or(worst).max(worst) } else { worst };
    // The volts as their own column has them, unless they would seem to hold.
    let near = (worst * 10.0).round() / 10.0;
    let worst = if is_volts && near > rating { near } else { at_least(worst) };
    let worst = format!("{}\u{a0}{}", show::fixed(worst, 1), line.unit);
    let name = if name.is_empty() { String::new() } else { format!("{name} ") };
    format!("{name}{worst} on {}", show::rating(rating, &line.unit).replace(' ', "\u{a0}"))
}
