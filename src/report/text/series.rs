//! `series` as text: the answer, the table of arrangements, the ladder.

use super::TextOptions;
use super::page::{Align, Page};
use crate::extreme::number_in_words;
use crate::report::show;
use crate::study::series::{Arrangement, SeriesOption, SeriesResult};
use crate::units::so_many;

/// Widest and narrowest bars of the ladder, characters.
const LADDER: (usize, usize) = (48, 12);
/// Room that the words beside a bar need: with the widest bar a line fits into 80.
const BESIDE: usize = 34;

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
    for missing in &result.missing {
        page.bullet(0, missing);
    }
    match &result.recommended {
        Some(best) => {
            page.paragraph(0, &format!("Recommended: {}: {}.", words(best, result.panels), best.why));
        }
        None => page.paragraph(
            0,
            "Recommended: none. No arrangement of these panels holds every limit and loses under 2 % of the harvest to \
             low volts.",
        ),
    }
    if let Some(next) = &result.runner_up {
        let place = if result.recommended.is_some() { "Runner-up" } else { "Nearest" };
        let needs = next.would_need.as_deref().unwrap_or("nothing");
        page.paragraph(
            0,
            &format!("{place}: {}; {}. It would need: {needs}.", words(next, result.panels), next.why),
        );
        if let Some(beside) = &next.beside_recommended {
            page.paragraph(0, &format!("Beside the recommended one: {beside}."));
        }
    }
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
    table(&mut page, result);
    page.paragraph(
        1,
        "2S3P: 2 in series, 3 strings in parallel; +1: one panel left over, -1: one missing. limit: the controller's. Volts of one string: code sum; the figure that decides, the largest of code sum and worst case, as in assess; steady; fewest under \
         load in good light on the hottest cells. Lost are hours of sun in which the controller does not run, and harvest lost to low volts: \
         cells cooled by wind to hottest; information, never a limit.",
    );
    if wastes_above_battery(result) {
        page.paragraph(
            1,
            "% above: harvest that a pwm controller wastes in the volts above the battery's while it runs, with cells cooled by \
             wind; it breaks no limit.",
        );
    }
    page.heading("Ladder: from hot volts under load to cold open-circuit volts");
    ladder(&mut page, &result.options);
    for note in &result.notes {
        page.bullet(0, &note.text);
    }
    page.heading("Cautions");
    for caution in &result.cautions {
        page.bullet(0, caution);
    }
    page.finish()
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

fn table(page: &mut Page, result: &SeriesResult) {
    let volts = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| show::fixed(value, 1));
    let class = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |volts| volts.to_string());
    let band = |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(low), Some(high)) => {
            let (low, high) = (show::count(low), show::count(high));
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
    let rows = result
        .options
        .iter()
        // Strings that could stand in parallel and do not are for the JSON, unless they are the answer.
        .filter(|option| {
            let answer = result.recommended.as_ref().is_some_and(|best| {
                (best.in_series, best.in_parallel) == (option.in_series, option.in_parallel)
            });
            answer || option.panels_left_over < option.in_series
        })
        .map(|option| {
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
            if controllers {
                row.push(class(option.controller_v));
            }
            row.extend([
                volts(option.code_v),
                volts(option.decide_v),
                volts(option.steady_max_v),
                volts(option.hot_vmp_v),
                band(option.lost_start_hours_cool, option.lost_start_hours_per_year),
                band(option.harvest_lost_percent_cool, option.harvest_lost_percent),
            ]);
            if above {
                row.push(option.above_battery_percent_cool.map_or_else(|| "-".to_owned(), show::count));
            }
            row
        })
        .collect();
    let mut header = vec!["verdict", "layout"];
    if batteries {
        header.push("battery V");
    }
    if controllers {
        header.push("limit V");
    }
    header.extend(["code V", "decides V", "steady V", "hot V", "h lost", "% lost"]);
    if above {
        header.push("% above");
    }
    let mut align = vec![Align::Left, Align::Left];
    align.resize(header.len(), Align::Right);
    page.table(&header, &align, rows);
}

/// One bar a count, battery and controller: '=' from hot to cold volts, '<' the controller's floor, '>' its ceiling.
fn ladder(page: &mut Page, options: &[SeriesOption]) {
    let mut rungs: Vec<&SeriesOption> = Vec::new();
    for option in options {
        let same = |other: &&SeriesOption| {
            (other.in_series, other.battery_v, other.controller_v)
                == (option.in_series, option.battery_v, option.controller_v)
        };
        if !rungs.iter().any(same) {
            rungs.push(option);
        }
    }
    let most = rungs
        .iter()
        .flat_map(|option| [option.decide_v, option.controller_v])
        .flatten()
        .fold(1.0_f64, f64::max);
    let width = page.width().saturating_sub(BESIDE).clamp(LADDER.1, LADDER.0);
    let place = |volts: f64| ((volts / most * (width - 1) as f64).round().max(0.0) as usize).min(width - 1);
    for option in rungs {
        let Some(cold) = option.decide_v else { continue };
        let mut bar = vec!['.'; width];
        let hot = option.hot_vmp_v.unwrap_or(cold);
        for cell in bar.iter_mut().take(place(cold) + 1).skip(place(hot)) {
            *cell = '=';
        }
        if let Some(floor) = option.run_v {
            bar[place(floor)] = '<';
        }
        if let Some(ceiling) = option.controller_v {
            bar[place(ceiling)] = '>';
        }
        let bar: String = bar.into_iter().collect();
        let battery = option.battery_v.map_or_else(String::new, |volts| format!(" {volts} V"));
        page.line(
            1,
            &format!(
                "{:>2}S{battery:<6} {bar} {} to {}",
                option.in_series,
                show::volts(hot),
                show::volts(cold)
            ),
        );
    }
    page.paragraph(
        1,
        "'=' volts of one string; '<' what the controller needs to run; '>' its absolute limit. Scale from 0 V.",
    );
}
