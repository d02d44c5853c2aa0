//! Which arrangement to take, by a stated objective: no limit broken that the count in series or in parallel can help;
//! under 2 % of the harvest lost to low volts; as many of the panels as possible; then the lowest class of touch voltage;
//! then fewer strings in parallel; then the lower controller class and battery.

use super::results::{Arrangement, SeriesOption};
use crate::limits::rules::touch::TouchClass;
use crate::study::needs::next_class_v;

/// Share of the harvest that may be lost to low volts, per cent.
const HARVEST_PERCENT: f64 = 2.0;

/// The rank of an option, the smaller the better, step by step.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
struct Rank {
    missing: usize,
    broken: usize,
    starved: f64,
    left_over: usize,
    touch: u8,
    strings: usize,
    controller_v: f64,
    battery_v: f64,
    in_series: usize,
}

/// Steps in words, in the order of the fields.
const STEPS: [&str; 9] = [
    "the others need more panels than there are",
    "it breaks no limit where others do",
    "it loses less than 2 % of the harvest to low volts, where others lose more",
    "it uses more of the panels",
    "it has the lowest class of touch voltage of those that hold",
    "it needs fewer strings in parallel",
    "a smaller controller class is enough",
    "a lower battery voltage is enough",
    "it has fewer panels in series",
];

fn rank(option: &SeriesOption) -> Rank {
    let lost = option.harvest_lost_percent.unwrap_or(0.0);
    Rank {
        missing: option.panels_missing,
        broken: option.broken().count(),
        starved: if lost < HARVEST_PERCENT { 0.0 } else { lost },
        left_over: option.panels_left_over,
        touch: option.decide_v.map_or(0, |volts| TouchClass::of(volts) as u8),
        strings: option.in_parallel,
        controller_v: option.controller_v.unwrap_or(0.0),
        battery_v: option.battery_v.unwrap_or(0.0),
        in_series: option.in_series,
    }
}

/// The step by which `a` comes before `b`.
fn deciding_step(a: &Rank, b: &Rank) -> &'static str {
    let differs = [
        a.missing != b.missing,
        a.broken != b.broken,
        a.starved != b.starved,
        a.left_over != b.left_over,
        a.touch != b.touch,
        a.strings != b.strings,
        a.controller_v != b.controller_v,
        a.battery_v != b.battery_v,
        a.in_series != b.in_series,
    ];
    differs
        .iter()
        .position(|&differs| differs)
        .and_then(|step| STEPS.get(step).copied())
        .unwrap_or("it stands first")
}

/// The recommended arrangement and the runner-up.
pub(super) fn choose(options: &[SeriesOption], panels: usize) -> (Option<Arrangement>, Option<Arrangement>) {
    let mut order: Vec<(Rank, &SeriesOption)> = options
        .iter()
        .filter(|option| option.panels_missing == 0 && panels > 0)
        .map(|option| (rank(option), option))
        .collect();
    order.sort_by(|a, b| a.0.partial_cmp(&b.0).unwrap_or(std::cmp::Ordering::Equal));
    let Some((best_rank, best)) = order.first().filter(|(rank, _)| rank.broken == 0) else {
        // Nothing holds: the least broken one, with what it would need.
        let next = order.first().map(|(_, option)| {
            arrangement(option, "no arrangement holds every limit; this one breaks the fewest".into(), true)
        });
        return (None, next);
    };
    let other =
        |option: &SeriesOption| (option.in_series, option.in_parallel) != (best.in_series, best.in_parallel);
    // The next one with all its panels, even where a limit is in the way: that is what a larger class would buy.
    let runner = order
        .iter()
        .filter(|(rank, option)| other(option) && rank.left_over <= best_rank.left_over)
        .min_by(|a, b| {
            (a.0.starved, a.0).partial_cmp(&(b.0.starved, b.0)).unwrap_or(std::cmp::Ordering::Equal)
        })
        .or_else(|| order.iter().find(|(_, option)| other(option)));
    let mut why = match runner {
        Some((rank, _)) => deciding_step(best_rank, rank).to_owned(),
        None => "it is the only arrangement of these panels".to_owned(),
    };
    if best_rank.starved > 0.0 {
        why.push_str(&format!(
            "; it still loses {:.0} % of the harvest to low volts, the least of those that hold",
            best_rank.starved
        ));
    }
    let runner_up = runner.map(|(rank, option)| {
        arrangement(
            option,
            format!("the recommended one comes first because {}", deciding_step(best_rank, rank)),
            true,
        )
    });
    (Some(arrangement(best, why, false)), runner_up)
}

fn arrangement(option: &SeriesOption, why: String, with_needs: bool) -> Arrangement {
    Arrangement {
        in_series: option.in_series,
        in_parallel: option.in_parallel,
        battery_v: option.battery_v,
        controller_v: option.controller_v,
        why,
        would_need: with_needs.then(|| would_need(option)),
    }
}

/// What one would have to change to use an arrangement.
fn would_need(option: &SeriesOption) -> String {
    let mut needs: Vec<String> = option
        .broken()
        .map(|line| match (line.rating, line.worst, line.unit.as_str()) {
            (Some(rating), Some(worst), "V") => {
                let worst = option.decide_v.map_or(worst, |volts| volts.max(worst));
                match next_class_v(worst) {
                    Some(class) => {
                        format!("{}: {class} V instead of {rating} V ({worst:.1} V)", line.component)
                    }
                    None => format!("{}: more than {worst:.1} V instead of {rating} V", line.component),
                }
            }
            (Some(rating), Some(worst), _) => {
                format!("{}: {worst:.1} A instead of {rating} A", line.component)
            }
            _ => format!("{}: {}", line.component, line.reason),
        })
        .collect();
    if let Some(lost) = option.harvest_lost_percent.filter(|&lost| lost >= HARVEST_PERCENT) {
        needs.push(format!("patience: {lost:.0} % of the harvest is lost to low volts"));
    }
    if needs.is_empty() { "nothing: it holds every limit".into() } else { needs.join("; ") }
}
