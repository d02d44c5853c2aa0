//! `series` as text: the answer, the table of arrangements, the ladder.

use super::TextOptions;
use super::page::{Align, Page};
use crate::extreme::number_in_words;
use crate::limits::Verdict;
use crate::limits::current::{CONTINUOUS_FACTOR, controller_demand};
use crate::limits::rules::fuse::Wanting;
use crate::report::show;
use crate::report::view::capital;
use crate::study::counted;
use crate::study::results::LimitLine;
use crate::study::series::{Arrangement, SeriesOption, SeriesResult};
use crate::units::{at_least, so_many};

/// Widest and narrowest bars of the ladder, characters.
const LADDER: (usize, usize) = (48, 12);
/// Room that the words beside a bar need: with the widest bar a line fits into 80.
const BESIDE: usize = 30;

/// The arrangements as text, ending with a line break.
#[must_use]
pub fn series(result: &SeriesResult, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    page.paragraph(
        0,
        &format!(
            "{}: {} \"{}\" in array \"{}\"",
            result.title,
            so_many(result.panels, "panel"),
            result.panel,
            result.array
        ),
    );
    let is_doubted = !result.doubts.is_empty();
    if is_doubted {
        page.paragraph(
            0,
            &format!(
                "CHECK THE WEATHER FIRST: {}. Until that is settled what follows is only what the files give, and no \
                 recommendation.",
                result.doubts.join("; ")
            ),
        );
    }
    let word = if is_doubted { "Not yet a recommendation" } else { "Recommended" };
    let by_volts_alone = result.options.iter().all(|option| option.harvest_lost_percent.is_none());
    let alone = match (by_volts_alone, is_doubted) {
        (true, true) => ", by volts and amps alone, harvest not judged",
        (true, false) => " by volts and amps alone, harvest not judged",
        (false, _) => "",
    };
    match &result.recommended {
        Some(best) => {
            page.paragraph(0, &format!("{word}{alone}: {}: {}.", words(best, result.panels), best.why));
        }
        None => page.paragraph(
            0,
            &format!(
                "{word}{alone}: none. No arrangement of these panels holds every limit and loses under 2 % of the harvest \
                 to low volts."
            ),
        ),
    }
    if let Some(next) = &result.runner_up {
        let place = if result.recommended.is_some() { "Runner-up" } else { "Nearest" };
        let needs = next.would_need.as_deref().filter(|needs| !needs.starts_with("nothing"));
        let needs = needs.map_or_else(String::new, |needs| format!(" It would need: {needs}."));
        let carried = carried_elsewhere(result, next).unwrap_or_default();
        page.paragraph(0, &format!("{place}: {}; {}.{needs}{carried}", words(next, result.panels), next.why));
        if let Some(beside) = &next.beside_recommended {
            page.paragraph(0, &format!("{}.", capital(beside)));
        }
    }
    for missing in &result.missing {
        page.bullet(0, missing);
    }
    for note in &result.notes {
        page.bullet(0, &note.text);
    }
    lines_to_paste(&mut page, result);
    for larger in &result.larger_classes {
        let next = &larger.arrangement;
        page.paragraph(
            0,
            &format!(
                "With nothing below {} V: {}; {}. It would need: {}.",
                larger.class_v,
                words(next, result.panels),
                next.why,
                next.would_need.as_deref().unwrap_or("nothing")
            ),
        );
    }
    if result.places.len() > 1 {
        page.paragraph(
            0,
            &format!("Each arrangement at the stop where it fares worst: {}.", result.places.join(", ")),
        );
    }
    page.heading("Arrangements");
    let shown = shown(result);
    table(&mut page, result, &shown);
    let further = if shown.len() < result.options.len() {
        " Left to --json: counts further past a limit, and fewer strings."
    } else {
        ""
    };
    page.paragraph(
        1,
        &format!(
            "2S3P: 2 in series, 3 strings; +1: one panel left over, -1: one missing. limit: the controller's. Volts of one \
             string: code sum; most: the larger of it and the worst case, which decides. % lost: harvest lost to low volts, \
             cells cooled by wind to hottest; no limit, but from 2 % on none is recommended. amps: 1.5625 x Isc of the array, \
             for disconnect, breaker and cable. Remarks: the limit that breaks first; fuses, one in each string.{further}"
        ),
    );
    let by_amps = by_amps_alone(&shown);
    if !by_amps.is_empty() {
        page.paragraph(1, &format!("Volts within, amps exceeded: {}.", by_amps.join(", ")));
    }
    if wastes_above_battery(result) {
        page.paragraph(
            1,
            "% above: harvest that a pwm controller wastes in the volts above the battery's while it runs, with cells cooled by \
             wind; it breaks no limit.",
        );
    }
    on_controllers(&mut page, result, &shown);
    page.heading("Ladder: from hot volts under load to cold open-circuit volts");
    ladder(&mut page, &shown);
    page.heading("Cautions");
    for caution in result.cautions.iter().filter(|caution| SAID.iter().any(|said| caution.starts_with(said)))
    {
        page.bullet(0, caution);
    }
    page.bullet(0, "These are the first; `dawnvolt assess` and the report print all.");
    page.finish()
}

/// That another controller of the plan carries an arrangement which breaks that of its array.
fn carried_elsewhere(result: &SeriesResult, next: &Arrangement) -> Option<String> {
    let option = result.options.iter().find(|option| {
        (option.in_series, option.in_parallel) == (next.in_series, next.in_parallel)
            && (option.battery_v, option.controller_v) == (next.battery_v, next.controller_v)
    })?;
    let broken: Vec<&str> = option
        .broken()
        .filter(|line| line.kind == "controller")
        .map(|line| line.component.as_str())
        .collect();
    if broken.is_empty() {
        return None;
    }
    let names: Vec<String> = result
        .controllers
        .iter()
        .filter(|one| !broken.contains(&one.name.as_str()) && one.holds_volts(option) == Some(true))
        .filter_map(|one| match one.holds_amps(option) {
            Some(true) => Some(one.name.clone()),
            None => Some(format!("{} by volts (give its max_isc_a)", one.name)),
            Some(false) => None,
        })
        .collect();
    (!names.is_empty())
        .then(|| format!(" Of the plan's other controllers it is carried by {}.", names.join(", ")))
}

/// The arrangements whose volts hold and whose amps do not, each once.
fn by_amps_alone(shown: &[&SeriesOption]) -> Vec<String> {
    let mut layouts: Vec<String> = Vec::new();
    for option in shown {
        let layout = format!("{}S{}P", option.in_series, option.in_parallel);
        let mut broken = option.broken().peekable();
        if broken.peek().is_some() && broken.all(|line| line.unit == "A") && !layouts.contains(&layout) {
            layouts.push(layout);
        }
    }
    layouts
}

/// How the cautions begin that stand here too; the others are about weather and labels, and about what is not for this tool.
const SAID: [&str; 4] = ["An array is live", "Above 60 V dc", "Never pull connectors", "Local codes"];

/// What the plan lacks for the harvest to be judged, as it is typed.
fn lines_to_paste(page: &mut Page, result: &SeriesResult) {
    let lacks =
        |of: fn(&SeriesOption) -> Option<f64>| result.options.iter().all(|option| of(option).is_none());
    let (battery, controller) = (lacks(|option| option.battery_v), lacks(|option| option.controller_v));
    if !battery && !controller {
        return;
    }
    page.line(0, "Lines for the plan, with your own figures:");
    if battery {
        for line in ["[battery]", "chemistry = \"lfp\"", "nominal_v = 12"] {
            page.line(1, line);
        }
    }
    if controller {
        for line in [
            "[[component]]",
            "kind = \"controller\"",
            "max_v = 100        # the largest PV volts of its manual",
        ] {
            page.line(1, line);
        }
    }
}

/// Whether an arrangement is the runner-up, or the recommended one, that with any battery and controller.
fn is_answer(result: &SeriesResult, option: &SeriesOption) -> bool {
    let layout = (option.in_series, option.in_parallel);
    let is_best =
        result.recommended.as_ref().is_some_and(|best| (best.in_series, best.in_parallel) == layout);
    let is_next = result.runner_up.as_ref().is_some_and(|next| {
        (next.in_series, next.in_parallel) == layout
            && (next.battery_v, next.controller_v) == (option.battery_v, option.controller_v)
    });
    is_best || is_next
}

/// The arrangements that help to choose: with as many strings as the panels allow, up to one count past the largest that holds
/// with each battery and controller. The answers always; all others stand in the JSON.
fn shown(result: &SeriesResult) -> Vec<&SeriesOption> {
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
                && breaks_volts(fewer)
        })
    };
    let useful = |option: &SeriesOption| option.panels_left_over < option.in_series && !past(option);
    let mut shown: Vec<&SeriesOption> =
        result.options.iter().filter(|option| is_answer(result, option) || useful(option)).collect();
    // One layout on several controllers stands together; batteries as they were asked for.
    let batteries: Vec<Option<f64>> = shown.iter().map(|option| option.battery_v).collect();
    shown.sort_by_key(|option| {
        let battery = batteries.iter().position(|&volts| volts == option.battery_v);
        (battery, option.in_series, option.in_parallel)
    });
    shown
}

fn words(arrangement: &Arrangement, panels: usize) -> String {
    let mut text = format!("{} in series, {} in parallel", arrangement.in_series, arrangement.in_parallel);
    match panels.saturating_sub(arrangement.in_series * arrangement.in_parallel) {
        0 => {}
        1 => text.push_str(", one panel left over"),
        left => text.push_str(&format!(", {} panels left over", number_in_words(left as u64))),
    }
    if let Some(volts) = arrangement.battery_v {
        text.push_str(&format!(", {volts} V battery"));
    }
    if let Some(volts) = arrangement.controller_v {
        text.push_str(&format!(", {volts} V controller"));
    }
    text
}

/// Whether a controller of the plan wastes volts above the battery's.
fn wastes_above_battery(result: &SeriesResult) -> bool {
    result.options.iter().any(|option| option.above_battery_percent.is_some())
}

fn table(page: &mut Page, result: &SeriesResult, shown: &[&SeriesOption]) {
    let volts = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| show::fixed(value, 1));
    let class = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |volts| volts.to_string());
    let band = |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(low), Some(high)) => {
            // Narrower than in prose.
            let (low, high) =
                (show::count(low).replace("under ", "<"), show::count(high).replace("under ", "<"));
            if low == high { low } else { format!("{low} to {high}") }
        }
        _ => "-".to_owned(),
    };
    let differs = |of: fn(&SeriesOption) -> Option<f64>| {
        let first = result.options.first().and_then(of);
        result.options.iter().any(|option| of(option) != first)
    };
    // What is the same in every row stands in the ladder.
    let (batteries, controllers) =
        (differs(|option| option.battery_v), differs(|option| option.controller_v));
    let above = wastes_above_battery(result);
    let remark = |option: &SeriesOption| remark(option, controllers);
    let remarks = shown.iter().any(|option| !remark(option).is_empty());
    // Rows that differ in the controller's class alone are one.
    let mut rows: Vec<(Vec<String>, Vec<String>)> = Vec::new();
    for option in shown {
        let left = match (option.panels_missing, option.panels_left_over) {
            (0, 0) => String::new(),
            (0, left) => format!("+{left}"),
            (missing, _) => format!("-{missing}"),
        };
        let mut row = vec![
            show::verdict(option.verdict).to_owned(),
            format!("{}S{}P{left}", option.in_series, option.in_parallel),
        ];
        if batteries {
            row.push(class(option.battery_v));
        }
        row.extend([
            volts(option.code_v),
            // Rounded up like the sentences, by which devices are bought.
            volts(option.decide_v),
            band(option.harvest_lost_percent_cool, option.harvest_lost_percent),
        ]);
        if above {
            row.push(option.above_battery_percent_cool.map_or_else(|| "-".to_owned(), show::count));
        }
        row.push(show::fixed(at_least(option.isc_a * CONTINUOUS_FACTOR), 1));
        if remarks {
            row.push(remark(option));
        }
        let limit = class(option.controller_v);
        match rows.iter_mut().find(|(cells, _)| *cells == row) {
            Some((_, limits)) if limits.contains(&limit) => {}
            Some((_, limits)) => limits.push(limit),
            None => rows.push((row, vec![limit])),
        }
    }
    let mut header = vec!["verdict", "layout"];
    if batteries {
        header.push("battery V");
    }
    header.extend(["code V", "most V", "% lost"]);
    if above {
        header.push("% above");
    }
    header.push("amps");
    let mut align = vec![Align::Left, Align::Left];
    align.resize(header.len(), Align::Right);
    if remarks {
        header.push("remark");
        align.push(Align::Left);
    }
    let at = header.iter().position(|name| *name == "code V").unwrap_or(2);
    if controllers {
        header.insert(at, "limit V");
        align.insert(at, Align::Left);
    }
    // The classes that were asked for, to write neighbours of them as a range.
    let mut classes: Vec<String> = Vec::new();
    for option in &result.options {
        let limit = class(option.controller_v);
        if !classes.contains(&limit) {
            classes.push(limit);
        }
    }
    let range = |limits: &[String]| match limits {
        [first, _, .., last] if classes.windows(limits.len()).any(|some| some == limits) => {
            format!("{first} to {last}")
        }
        // One word, as it is typed: it stays on one line.
        _ => limits.join(","),
    };
    let rows = rows
        .into_iter()
        .map(|(mut cells, limits)| {
            if controllers {
                cells.insert(at, range(&limits));
            }
            cells
        })
        .collect();
    page.table(&header, &align, rows);
}

/// Which controller of the plan carries which arrangement, by volts and amps: where there are several, or the one has its
/// amps.
fn on_controllers(page: &mut Page, result: &SeriesResult, shown: &[&SeriesOption]) {
    let controllers = &result.controllers;
    let has_amps = controllers.iter().any(|one| one.max_isc_a.is_some());
    if !has_amps && controllers.len() < 2 {
        return;
    }
    page.heading("Which controller carries which");
    let figure = |value: Option<f64>, unit: &str| {
        value.map_or_else(
            || format!("{unit}\u{a0}not\u{a0}known"),
            |value| show::rating(value, unit).replace(' ', "\u{a0}"),
        )
    };
    let mut header = vec!["layout".to_owned(), "most V".to_owned(), "amps".to_owned()];
    header.extend(controllers.iter().enumerate().map(|(index, one)| {
        let is_twin =
            controllers.iter().enumerate().any(|(other, two)| other != index && two.name == one.name);
        let array = if is_twin { format!(" ({})", one.array) } else { String::new() };
        format!("{}{array}: {}, {}", one.name, figure(one.max_v, "V"), figure(one.max_isc_a, "A"))
    }));
    let mut align = vec![Align::Left, Align::Right, Align::Right];
    align.resize(header.len(), Align::Left);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for option in shown {
        let mut row = vec![
            format!("{}S{}P", option.in_series, option.in_parallel),
            option.decide_v.map_or_else(|| "-".to_owned(), |volts| show::fixed(volts, 1)),
            show::fixed(at_least(option.isc_a * controller_demand().factor), 1),
        ];
        row.extend(controllers.iter().map(|one| {
            let said = match (one.holds_volts(option), one.holds_amps(option)) {
                (Some(true), Some(true)) => "carries it",
                (Some(false), Some(false)) => "too many volts and amps",
                (Some(false), _) => "too many volts",
                (_, Some(false)) => "too many amps",
                (Some(true), None) => "volts hold",
                (None, Some(true)) => "amps hold",
                (None, None) => "-",
            };
            said.to_owned()
        }));
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    page.table(&header, &align, rows);
    page.paragraph(
        1,
        "amps: 1.25 x Isc of the array, against the largest PV short-circuit amps of a controller's manual (max_isc_a). All \
         controllers of the plan stand here, whatever array they serve.",
    );
}

/// What a verdict does not say: which limit breaks first, that it starves, and what its strings need in fuses.
fn remark(option: &SeriesOption, by_class: bool) -> String {
    // That volts pass the controller's class is seen where a column of the row holds it.
    let is_seen = |line: &LimitLine| by_class && line.unit == "V" && line.kind == "controller";
    let broken = option.broken().next().filter(|line| !is_seen(line)).map(|line| broken(option, line));
    let fuses = option.wanting.map(|wanting| match wanting {
        Wanting::Fuse { fits_a } => format!("{fits_a} A fuses"),
        Wanting::NoneFits { .. } => "no fuse fits".to_owned(),
        Wanting::Unknown => "fuses?".to_owned(),
    });
    let starving = option.starving.map(|starving| starving.word().to_owned());
    // Lines break between them, and within what breaks.
    let short = starving.into_iter().chain(fuses).map(|words| words.replace(' ', "\u{a0}"));
    broken.into_iter().chain(short).collect::<Vec<_>>().join("; ")
}

/// "disconnect 42.9 A on 40 A".
fn broken(option: &SeriesOption, line: &LimitLine) -> String {
    let (Some(rating), Some(worst)) = (line.rating, line.worst) else { return line.component.clone() };
    let is_volts = line.unit == "V";
    // The worst of the stops may be another one's than that of the line.
    let worst = if is_volts { option.decide_v.unwrap_or(worst).max(worst) } else { worst };
    let worst = format!("{}\u{a0}{}", show::fixed(at_least(worst), 1), line.unit);
    format!("{} {worst} on {}", line.component, show::rating(rating, &line.unit).replace(' ', "\u{a0}"))
}

/// Each value once, the smallest first.
fn each(values: impl Iterator<Item = Option<f64>>) -> Vec<f64> {
    let mut found: Vec<f64> = values.flatten().collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}

/// One bar a count: '=' from hot to cold volts, '<' what controllers need to run over each battery, '>' their ceilings.
fn ladder(page: &mut Page, shown: &[&SeriesOption]) {
    let mut rungs: Vec<&SeriesOption> = Vec::new();
    for option in shown {
        if !rungs.iter().any(|other| other.in_series == option.in_series) {
            rungs.push(option);
        }
    }
    rungs.sort_by_key(|option| option.in_series);
    let floors = each(shown.iter().map(|option| option.run_v));
    let ceilings = each(shown.iter().map(|option| option.controller_v));
    let highest = rungs.iter().filter_map(|option| option.decide_v).fold(1.0_f64, f64::max);
    // Classes further up than the first that stands every count would only shorten the bars.
    let most = ceilings.iter().copied().find(|&volts| volts >= highest).unwrap_or(highest);
    let width = page.width().saturating_sub(BESIDE).clamp(LADDER.1, LADDER.0);
    let place = |volts: f64| ((volts / most * (width - 1) as f64).round().max(0.0) as usize).min(width - 1);
    for option in rungs {
        let Some(cold) = option.decide_v else { continue };
        let mut bar = vec!['.'; width];
        let hot = option.hot_vmp_v.unwrap_or(cold);
        for cell in bar.iter_mut().take(place(cold) + 1).skip(place(hot)) {
            *cell = '=';
        }
        for (volts, mark) in [(&floors, '<'), (&ceilings, '>')] {
            for &volts in volts.iter().filter(|&&volts| volts <= most) {
                bar[place(volts)] = mark;
            }
        }
        let bar: String = bar.into_iter().collect();
        page.line(
            1,
            &format!("{:>2}S {bar} {} to {}", option.in_series, show::volts(hot), show::volts(cold)),
        );
    }
    let listed = |values: &[f64]| {
        let values: Vec<String> =
            values.iter().map(|&volts| show::fixed(volts, 1).replace(".0", "")).collect();
        values.join(", ")
    };
    let mut legend =
        "'=' volts of one string, on a scale from 0 V; the lower ones in good light on the hottest cells"
            .to_owned();
    if !floors.is_empty() {
        let batteries = each(shown.iter().map(|option| option.battery_v));
        legend.push_str(&format!(
            "; '<' what the controller needs to run: {} V, to start {} V (battery of {} V)",
            listed(&floors),
            listed(&each(shown.iter().map(|option| option.start_v))),
            listed(&batteries)
        ));
    }
    if !ceilings.is_empty() {
        let (on, beyond): (Vec<f64>, Vec<f64>) = ceilings.iter().partition(|&&volts| volts <= most);
        legend.push_str(&format!("; '>' its absolute limit: {} V", listed(&on)));
        if !beyond.is_empty() {
            legend.push_str(&format!("; {} V lie beyond the scale", listed(&beyond)));
        }
    }
    page.paragraph(1, &format!("{legend}."));
}
