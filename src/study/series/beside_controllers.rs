//! The recommended wiring on the plan's other controllers: which carry it too, what they leave and take, and why they come later.

use super::choose::{Ranked, deciding_step};
use super::results::SeriesOption;
use super::room::spare;

/// Other controllers that are told of.
const TOLD: usize = 2;

/// Sentences without the last full stop; `None` where no other controller of the plan carries it.
pub(super) fn of(best: &Ranked<'_>, order: &[Ranked<'_>]) -> Option<String> {
    let own = best.option.controller.as_ref()?;
    // Of a smaller one that is close the answer says so where it tells what decides.
    let is_told = |other: &Ranked<'_>| {
        other.rank.is_close && !best.rank.is_close && other.rank.controller_v < best.rank.controller_v
    };
    let carries = |other: &&Ranked<'_>| {
        other.is_same_layout(best)
            && other.holds()
            && other.option.battery_v == best.option.battery_v
            && other.option.controller.is_some()
            && other.option.controller.as_ref() != Some(own)
            && !is_told(other)
    };
    let others = order.iter().filter(carries).take(TOLD);
    let sentences: Vec<String> = others
        .filter_map(|other| {
            let name = other.option.controller.as_ref()?;
            let room = room(other)?;
            let (charges, differs) = charging(best.option, other.option);
            let loss =
                if differs { "; what is clipped is a loss, no danger, and decides nothing here" } else { "" };
            Some(format!(
                "{} carries it too, {room}{charges}; {own} comes first because {}{loss}",
                titled(name),
                deciding_step(best, other)
            ))
        })
        .collect();
    (!sentences.is_empty()).then(|| sentences.join(". "))
}

fn titled(name: &str) -> String {
    let kind = if name.to_lowercase().contains("controller") { "" } else { "Controller " };
    format!("{kind}{name}")
}

/// "with 41 % to spare in volts".
fn room(other: &Ranked<'_>) -> Option<String> {
    let percent = spare(other.option.controller_v?, other.option.decide_v?);
    let close = if other.rank.is_close { "but close, " } else { "" };
    Some(format!("{close}with {percent} to spare in volts"))
}

/// What it charges with beside the recommended one, and whether that is anything else.
fn charging(best: &SeriesOption, other: &SeriesOption) -> (String, bool) {
    let most = |option: &SeriesOption| option.clips_w.map(|(takes_w, _)| takes_w.round());
    let text = match (most(best), most(other)) {
        (Some(own_w), Some(other_w)) if own_w != other_w => {
            format!(", and charges with at most {other_w} W instead of {own_w} W")
        }
        (Some(own_w), None) if other.takes.is_some() => {
            format!(", and takes all that the labels give instead of at most {own_w} W")
        }
        (None, Some(other_w)) if best.takes.is_some() => {
            format!(", but charges with at most {other_w} W, where {} takes all", named(best))
        }
        _ => String::new(),
    };
    let differs = !text.is_empty();
    (text, differs)
}

fn named(option: &SeriesOption) -> &str {
    option.controller.as_deref().unwrap_or("the other")
}
