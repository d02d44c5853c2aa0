//! What the volts of the recommended arrangement leave: the smallest common class that holds them, and what lies outside.

use super::results::SeriesOption;
use crate::limits::Verdict;
use crate::limits::mistakes::MADE_TO_BREAK_DC;
use crate::limits::voltage::margin_percent;
use crate::study::classes::{class_condition, device_class};
use crate::study::counted;
use crate::study::needed::VoltsNeeded;
use crate::study::outside::{Outside, WHAT_LIES_OUTSIDE};
use crate::study::results::LimitLine;
use crate::units::{self, at_least};

/// "6.2 %" of a rating.
pub(super) fn spare(rating_v: f64, volts: f64) -> String {
    units::spare(margin_percent(rating_v, volts))
}

/// What a switch or breaker of the class has to have on it, where the class is a system's name too.
fn opens(class_v: f64) -> String {
    if class_condition("switch", class_v).is_empty() {
        return String::new();
    }
    format!("; a disconnect, breaker or switch of it only if {MADE_TO_BREAK_DC}")
}

/// Sentences without the last full stop; `None` where no volts are known.
pub(super) fn of(option: &SeriesOption, needed: &VoltsNeeded) -> Option<String> {
    let most_v = option.decide_v?;
    let class = device_class(needed);
    let close = |close: f64| format!("{close} V would leave {} only", spare(close, most_v));
    let volts = format!("{most_v:.1} V at most");
    let mut text = match (class.with_room, class.close) {
        (Some(room), tight) => {
            let tight = tight.map_or_else(String::new, |tight| format!("; {}", close(tight)));
            format!(
                "{volts}: the smallest common class of devices that holds with room is {room} V ({} to \
                 spare{tight}{})",
                spare(room, most_v),
                opens(room)
            )
        }
        (None, Some(tight)) => {
            format!("{volts}: no common class of devices leaves room: {}", close(tight))
        }
        (None, None) => format!("{volts}: more than any common class of devices"),
    };
    if let Some(outside) = option.outside {
        text.push_str(&format!(". {}", beyond(option, outside, class.with_room)));
    }
    Some(text)
}

/// What lies outside the figures, against the ratings that leave little and the class that is advised.
fn beyond(option: &SeriesOption, outside: Outside, class_v: Option<f64>) -> String {
    let Outside { adds_v, reaches_v } = outside;
    let is_narrow = |line: &&LimitLine| {
        let verdict = counted(line);
        let is_passed = line.rating.is_some_and(|rating| reaches_v > rating);
        line.unit == "V" && (verdict == Verdict::Close || (verdict == Verdict::Within && is_passed))
    };
    let narrow = || option.limits.iter().filter(is_narrow);
    let mut ratings: Vec<(f64, String)> = Vec::new();
    for line in narrow() {
        let rating = line.rating.map(|rating| (rating, format!("the {rating} V of {}", line.component)));
        ratings.extend(rating.filter(|rating| !ratings.contains(rating)));
    }
    let has_class = narrow().any(|line| line.rating == class_v);
    ratings.extend(class_v.filter(|_| !has_class).map(|class_v| (class_v, format!("{class_v} V"))));
    let (passed, kept): (Vec<_>, Vec<_>) = ratings.iter().partition(|(volts, _)| reaches_v > *volts);
    let listed = |word: &str, some: &[&(f64, String)]| {
        let words: Vec<&str> = some.iter().map(|(_, words)| words.as_str()).collect();
        if words.is_empty() { String::new() } else { format!(", {word} {}", words.join(" and ")) }
    };
    let against = format!("{}{}", listed("which passes", &passed), listed("still below", &kept));
    // Where the code sum is the larger figure, the worst case is another than the one just told.
    let worst_v = reaches_v - adds_v;
    let is_other = option.decide_v.is_some_and(|most_v| most_v - worst_v > 0.05);
    let of = if is_other { format!(" of {worst_v:.1} V") } else { String::new() };
    let reach = format!("{:.1} V", at_least(reaches_v));
    format!(
        "{WHAT_LIES_OUTSIDE} together {:.1} V above the worst case{of}: {reach}{against}",
        at_least(adds_v)
    )
}
