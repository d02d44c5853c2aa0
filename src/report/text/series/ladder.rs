//! The ladder of `series`: one bar a count, from hot volts under load to cold open-circuit volts.

use super::Page;
use crate::report::show;
use crate::study::series::SeriesOption;

/// Widest and narrowest bars of the ladder, characters.
const LADDER: (usize, usize) = (48, 12);
/// Room that the words beside a bar need: with the widest bar a line fits into 80.
const BESIDE: usize = 30;

/// Each value once, the smallest first.
fn each(values: impl Iterator<Item = Option<f64>>) -> Vec<f64> {
    let mut found: Vec<f64> = values.flatten().collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}

/// One bar a count: '=' from hot to cold volts, '<' what controllers need to run over each battery, '>' their ceilings.
pub(super) fn ladder(page: &mut Page, shown: &[&SeriesOption]) {
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
    let mut is_blind = false;
    for option in rungs {
        let Some(cold) = option.decide_v else { continue };
        let mut bar = vec!['.'; width];
        let hot = option.hot_vmp_v;
        is_blind |= hot.is_none();
        for cell in bar.iter_mut().take(place(cold) + 1).skip(place(hot.unwrap_or(cold))) {
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
            &format!(
                "{:>2}S {bar} {}to {}",
                option.in_series,
                hot.map_or_else(|| "up ".to_owned(), |hot| show::volts(hot) + " "),
                show::volts(cold)
            ),
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
    if is_blind {
        legend = "'=' the largest volts of one string, on a scale from 0 V; its hot volts under load are not known here: they take \
                  the label's vmp_v, and weather with light and the hot months"
            .to_owned();
    }
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
