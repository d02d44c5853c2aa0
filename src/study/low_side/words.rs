//! The low side in a few sentences.

use super::SUN_W_M2;
use crate::study::results::LowSide;
use crate::study::words::{spread, tidy};
use crate::time::MONTHS;
use crate::units::at_least;

/// Amps into the battery: the controller's rating, and the most that the hours looked at make of the panels.
#[derive(Clone, Copy)]
pub(super) struct Charged {
    /// Rated, A.
    pub rated_a: f64,
    /// The largest hour mean, A, at the battery's charge volts; more than the rating where it clips.
    pub most_a: f64,
}

/// The sentences.
pub(super) fn of(low: &LowSide, charged: Option<Charged>, dated: bool) -> String {
    let span = if dated { "stay" } else { "year" };
    let asks = if low.kind == "pwm" {
        format!("it needs {:.1} V under load, the battery's own", low.run_v)
    } else {
        format!(
            "it starts at {:.1} V and runs down to {:.1} V over a battery at {:.1} V",
            low.start_v, low.run_v, low.battery_v
        )
    };
    let mut text = frost(low, span);
    // Said once, at the first hours that are told.
    let which = if text.is_empty() { which_hours() } else { String::new() };
    text.push_str(&asks);
    if low.hot.hours.max(low.cool.hours) > 0.0 || low.hot.harvest_percent > 0.0 {
        text.push_str(&format!(
            "; of {:.0} hours of sun{which} a {span} it does not run in {}, with {} of the harvest lost{}",
            low.sun_hours,
            spread(low.cool.hours, low.hot.hours),
            percent_band(low.cool.harvest_percent, low.hot.harvest_percent),
            if low.kind == "pwm" { " to low volts" } else { "" },
        ));
    } else {
        text.push_str(&format!(
            "; by its volts alone it runs in all {:.0} hours of sun{which} a {span}",
            low.sun_hours
        ));
    }
    if let Some(months) = months(&low.hot.by_month) {
        text.push_str(&format!(", most of them in {months}"));
    }
    if let (Some(cool), Some(hot)) = (low.cool.above_battery_percent, low.hot.above_battery_percent) {
        text.push_str(&format!(
            "; while it runs it wastes {} of the harvest in the volts above the battery's",
            percent_band(cool, hot)
        ));
    }
    text.push_str(
        " (with cells from those cooled by the file's wind to the hottest credible; information, never a limit)",
    );
    if let Some(volts) = low.hot_vmp_v {
        text.push_str(&format!(". Fewest volts under load in good light {volts:.1} V"));
    }
    // A pwm controller clips nothing.
    if let Some(percent) = low.above_charge_limit_percent.filter(|_| low.kind != "pwm") {
        if let Some(Charged { rated_a, most_a }) = charged {
            text.push_str(&format!(
                ". Into the battery it is rated for {rated_a} A; the largest modelled, an hour's mean, is {:.1} A",
                at_least(most_a)
            ));
        }
        text.push_str(&format!(
            ". What it clips above its rating is {} of the harvest{}",
            percent_words(percent),
            if dated { " in the days of the stay" } else { "" }
        ));
    }
    text
}

/// That months are missing, behind "the record"; `None` where none is.
pub(super) fn unseen(months: &[usize]) -> Option<String> {
    let name = |month: usize| MONTHS.get(month).copied().unwrap_or_default();
    let held: Vec<&str> = (0..12).filter(|month| !months.contains(month)).map(name).collect();
    let which = match months.len() {
        0 => return None,
        1..=6 => {
            format!("holds no hour of {}", months.iter().copied().map(name).collect::<Vec<_>>().join(", "))
        }
        _ => format!("holds only {}", held.join(", ")),
    };
    Some(format!("{which}: what low volts cost in the heat of months that it lacks is in no figure here"))
}

/// A lithium battery in frost, before all else: it is then that the array stands unloaded in the cold. Empty where there are
/// no such hours.
fn frost(low: &LowSide, span: &str) -> String {
    low.battery_below_0_c_hours.filter(|&hours| hours > 0.0).map_or_else(String::new, |hours| {
        format!(
            "a lithium battery as cold as the air takes no charge below 0 °C: in {} hours of sun{} a {span} the array stands \
             unloaded at its open-circuit volts, and these are the coldest hours. As for volts, ",
            tidy(hours),
            which_hours()
        )
    })
}

/// The same where the plan has no controller.
pub(super) fn frost_alone(hours: f64, sun_hours: f64, dated: bool) -> String {
    format!(
        "a lithium battery as cold as the air takes no charge below 0 °C: in {} of {} hours of sun{} a {} the array stands unloaded \
         at its open-circuit volts (information, never a limit)",
        tidy(hours),
        tidy(sun_hours),
        which_hours(),
        if dated { "stay" } else { "year" }
    )
}

/// Which hours count as hours of sun.
fn which_hours() -> String {
    format!(" (at least {SUN_W_M2:.0} W/m2 on the panels)")
}

fn percent_band(low: f64, high: f64) -> String {
    format!("{} %", spread(low, high))
}

fn percent_words(percent: f64) -> String {
    format!("{} %", tidy(percent))
}

/// The months that hold most of the lost hours; `None` where there are none.
fn months(by_month: &[f64; 12]) -> Option<String> {
    let total: f64 = by_month.iter().sum();
    if total < 0.5 {
        return None;
    }
    let mut order: Vec<usize> = (0..12).collect();
    order.sort_by(|&a, &b| by_month[b].total_cmp(&by_month[a]));
    let mut sum = 0.0;
    let mut named = Vec::new();
    for month in order {
        named.push(month);
        sum += by_month[month];
        // Never more than seven: as many of the largest hold more than half.
        if sum > total / 2.0 {
            break;
        }
    }
    named.sort_unstable();
    let names: Vec<&str> = named.into_iter().filter_map(|month| MONTHS.get(month).copied()).collect();
    Some(names.join(", "))
}
