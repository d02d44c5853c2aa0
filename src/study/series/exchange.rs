//! Which parts to exchange so that more of the panels find a place than with those of the plan: the fewest; then cables, plugs and
//! fuses before disconnects and breakers, and those before a controller; then the lowest class of touch voltage. Beside them the
//! exchange for fewer volts to touch, which one part less must not hide.

use super::choose::{arrangement, beside, is_device, smallest_class, starved};
use super::for_amps::ForAmps;
use super::results::{Arrangement, Exchange, SeriesOption};
use crate::extreme::number_in_words;
use crate::limits::Verdict;
use crate::limits::current::CONTINUOUS_FACTOR;
use crate::limits::rules::fuse::Wanting;
use crate::limits::rules::touch::TouchClass;
use crate::study::classes::class_v_words;
use crate::study::counted;
use crate::study::results::LimitLine;
use crate::study::string_disconnects;
use crate::units::at_least;
use std::cmp::Ordering;

/// A part that is exchanged.
struct Part {
    name: String,
    kind: String,
    buy: Vec<String>,
    have: Vec<String>,
    /// What is exchanged for its sake.
    with: Vec<String>,
}

impl Part {
    /// What is less work and cost goes first.
    fn work(&self) -> usize {
        match self.kind.as_str() {
            "cable" | "connector" | "fuse" => 0,
            "controller" => 2,
            _ => 1,
        }
    }

    /// "roof disconnect of 60 V instead of 50 V".
    fn words(&self, option: &SeriesOption) -> String {
        let buy = self.buy.join(" and ");
        if self.kind == "controller" {
            return another_controller(option, &self.name, &buy);
        }
        let own = format!("{} of {buy} instead of {}", self.name, self.have.join(" and "));
        std::iter::once(own).chain(self.with.iter().cloned()).collect::<Vec<_>>().join(" and ")
    }
}

/// A controller of other figures is another one: the plan's keeps its name for itself.
pub(super) fn another_controller(option: &SeriesOption, name: &str, buy: &str) -> String {
    match &option.controller {
        Some(_) => format!("another controller of {buy} in place of {name}"),
        // A class that was asked for has no name.
        None => match option.controller_v {
            Some(volts) => format!("a controller of {buy} in place of one of {volts} V"),
            None => format!("another controller of {buy}"),
        },
    }
}

/// What a part must become for one of its limits, and what it is; `None` where no exchange helps.
fn exchanged(option: &SeriesOption, line: &LimitLine) -> Option<(String, String, Vec<String>)> {
    if line.unit == "V" {
        let class = smallest_class(&line.kind, option).filter(|_| is_device(line))?;
        return Some((class_v_words(&line.kind, class), format!("{} V", line.rating?), Vec::new()));
    }
    let ForAmps { buy, have, with, .. } = for_amps(option, line)?;
    let of_what = if line.kind == "controller" { " of short circuit" } else { "" };
    Some((format!("{}{of_what}", buy.as_ref()?), have.clone(), with.clone()))
}

/// What the part of a line must become for its amps.
pub(super) fn for_amps<'a>(option: &'a SeriesOption, line: &LimitLine) -> Option<&'a ForAmps> {
    option.for_amps.iter().find(|part| part.component == line.component && part.rule == line.rule)
}

/// Whether not even its coldest volts start the controller: known without the weather by which a share lost is judged.
fn never_starts(option: &SeriesOption) -> bool {
    option.start_v.zip(option.decide_v).is_some_and(|(start_v, most_v)| most_v < start_v)
}

/// The parts to exchange for an option; `None` where it fails for something else, or for nothing.
fn parts(option: &SeriesOption) -> Option<Vec<Part>> {
    if option.panels_missing > 0 || starved(option).is_some() || never_starts(option) || option.no_fuse_fits()
    {
        return None;
    }
    let mut parts: Vec<Part> = Vec::new();
    for line in option.broken() {
        let (buy, have, with) = exchanged(option, line)?;
        let at = parts.iter().position(|part| part.name == line.component && part.kind == line.kind);
        let at = at.unwrap_or_else(|| {
            let (name, kind) = (line.component.clone(), line.kind.clone());
            parts.push(Part { name, kind, buy: Vec::new(), have: Vec::new(), with: Vec::new() });
            parts.len() - 1
        });
        let part = parts.get_mut(at)?;
        let words = with.into_iter().map(|with| (2, with));
        for (list, word) in [(0, buy), (1, have)].into_iter().chain(words) {
            let list = match list {
                0 => &mut part.buy,
                1 => &mut part.have,
                _ => &mut part.with,
            };
            if !list.contains(&word) {
                list.push(word);
            }
        }
    }
    for part in parts.iter_mut().filter(|part| part.kind == "controller") {
        // Whose amps alone are too few keeps its volts.
        let volts = option.controller_v.filter(|_| part.buy.iter().all(|buy| !buy.ends_with(" V")));
        if let Some(volts) = volts {
            part.buy.insert(0, format!("{volts} V"));
        }
    }
    (!parts.is_empty()).then_some(parts)
}

/// How many parts are exchanged, with those that another one asks for.
fn count(parts: &[Part]) -> usize {
    parts.iter().map(|part| 1 + part.with.len()).sum()
}

/// The order: panels left over, parts, their work (of the hardest, then of all), touch class, strings, controller, battery.
fn key(option: &SeriesOption, parts: &[Part]) -> [f64; 9] {
    let hardest = parts.iter().map(Part::work).max().unwrap_or(0);
    let work: usize = parts.iter().map(Part::work).sum();
    [
        option.panels_left_over as f64,
        count(parts) as f64,
        hardest as f64,
        work as f64,
        option.decide_v.map_or(0.0, |volts| f64::from(TouchClass::of(volts) as u8)),
        option.in_parallel as f64,
        option.controller_v.unwrap_or(0.0),
        option.controller_max_isc_a.unwrap_or(f64::INFINITY),
        option.battery_v.unwrap_or(0.0),
    ]
}

/// The exchanges that are told.
pub(super) struct Exchanges {
    /// By which most panels find a place; `None` where none gives more of them one than the recommended arrangement.
    pub(super) best: Option<Exchange>,
    /// Another one with as many panels, that has something for it: lower volts to touch, or no more to buy.
    pub(super) other: Option<Exchange>,
}

/// An option with the parts to exchange for it.
type Found<'a> = (&'a SeriesOption, Vec<Part>);

/// The exchanges to tell beside the recommended arrangement.
pub(super) fn of(options: &[SeriesOption], recommended: Option<&Arrangement>) -> Exchanges {
    let recommended = recommended.and_then(|best| {
        options.iter().find(|option| {
            (option.in_series, option.in_parallel) == (best.in_series, best.in_parallel)
                && (option.battery_v, option.controller_v) == (best.battery_v, best.controller_v)
                && option.controller == best.controller
        })
    });
    let found: Vec<Found<'_>> = options.iter().filter_map(|option| Some((option, parts(option)?))).collect();
    let uses_more = |(option, _): &&Found<'_>| {
        recommended.is_none_or(|best| option.panels_left_over < best.panels_left_over)
    };
    let best = found.iter().filter(uses_more).min_by(|a, b| by_key(a, b));
    let other = match (best, recommended) {
        (Some(best), _) => beside_it(&found, best),
        (None, Some(recommended)) => with_lower_volts(&found, recommended),
        (None, None) => None,
    };
    let told = |found: &Found<'_>| exchange(found, recommended);
    Exchanges { best: best.map(told), other: other.map(told) }
}

fn by_key((a, of_a): &Found<'_>, (b, of_b): &Found<'_>) -> Ordering {
    key(a, of_a).partial_cmp(&key(b, of_b)).unwrap_or(Ordering::Equal)
}

/// The class of touch voltage by which one exchange goes before another. Below 60 V all are alike: what is wet is no reason to
/// buy parts for twice the amps.
fn touch(option: &SeriesOption) -> TouchClass {
    option.decide_v.map_or(TouchClass::Dry, TouchClass::of).max(TouchClass::Dry)
}

fn by_touch(a: &Found<'_>, b: &Found<'_>) -> Ordering {
    touch(a.0).cmp(&touch(b.0)).then_with(|| by_key(a, b))
}

/// Kinds of things to buy: the parts, and fuses for strings that need them.
fn to_buy(option: &SeriesOption, parts: &[Part]) -> usize {
    count(parts) + usize::from(matches!(option.wanting, Some(Wanting::Fuse { .. })))
}

/// The other way for as many panels: of a lower class of touch voltage, or no more to buy, and then never above 120 V for its sake.
fn beside_it<'a, 'b>(found: &'b [Found<'a>], (best, of_best): &Found<'a>) -> Option<&'b Found<'a>> {
    let has_something = |(option, parts): &&Found<'a>| {
        let is_lower = touch(option) < touch(best);
        let is_as_low = touch(option) == touch(best) || touch(option) <= TouchClass::ExtraLow;
        option.panels_left_over == best.panels_left_over
            && option.in_series != best.in_series
            && (is_lower || (is_as_low && to_buy(option, parts) <= to_buy(best, of_best)))
    };
    found.iter().filter(has_something).min_by(|a, b| by_touch(a, b))
}

/// What would lower the class of touch voltage of a recommended arrangement that no exchange gives more panels.
fn with_lower_volts<'a, 'b>(found: &'b [Found<'a>], recommended: &SeriesOption) -> Option<&'b Found<'a>> {
    let is_lower = |(option, _): &&Found<'a>| {
        option.panels_left_over <= recommended.panels_left_over && touch(option) < touch(recommended)
    };
    found.iter().filter(is_lower).min_by(|a, b| by_touch(a, b))
}

fn exchange((option, parts): &Found<'_>, recommended: Option<&SeriesOption>) -> Exchange {
    let why = uses(option);
    let beside = recommended.and_then(|best| beside(option, best)).map(|beside| format!("it has {beside}"));
    // What clips is a loss that the other way may share: told with the one way, not beside another.
    let alone = SeriesOption { clips_w: None, ..(*option).clone() };
    Exchange {
        with: parts.iter().map(|part| part.words(option)).collect::<Vec<_>>().join(" and "),
        parts: count(parts),
        to_buy: to_buy(option, parts),
        most_v: option.decide_v,
        touch_class: option.decide_v.map(|volts| TouchClass::of(volts).word()),
        amps_a: at_least(option.isc_a * CONTINUOUS_FACTOR),
        harvest_lost_percent: option.harvest_lost_percent,
        harvest_lost_percent_cool: option.harvest_lost_percent_cool,
        clipped_percent: with_its_controller(option).clipped_percent,
        string_disconnects: in_each_string(option, parts),
        remarks: not_assessed(option) + &arrangement(&alone, String::new(), true).why,
        arrangement: Arrangement {
            step: why.clone(),
            beside_recommended: beside,
            ..arrangement(&with_its_controller(option), why, true)
        },
    }
}

/// The parts of which the plan lacks a rating, so that no exchange says that they hold; empty where there are none.
fn not_assessed(option: &SeriesOption) -> String {
    let mut names: Vec<&str> = Vec::new();
    for line in option.limits.iter().filter(|line| counted(line) == Verdict::NotAssessed) {
        if !names.contains(&line.component.as_str()) {
            names.push(&line.component);
        }
    }
    if names.is_empty() {
        return String::new();
    }
    format!("; not assessed for want of a figure in the plan, so look first: {}", names.join(", "))
}

/// The planned disconnect in each string, where its amps alone are too few for all of them.
fn in_each_string(option: &SeriesOption, parts: &[Part]) -> Option<String> {
    let of_disconnect = |line: &&LimitLine| line.unit == "A" && string_disconnects::may_be(&line.kind);
    option.broken().filter(of_disconnect).find_map(|line| {
        let own = parts.iter().find(|part| part.name == line.component && part.kind == line.kind)?;
        let strings = u32::try_from(option.in_parallel).ok()?;
        let string_isc_a = option.isc_a / f64::from(strings.max(1));
        let volts =
            option.limits.iter().filter(|other| other.component == line.component && other.unit == "V");
        let holds = own.buy.len() == 1 && string_disconnects::hold_volts(volts);
        string_disconnects::instead(&line.component, strings, string_isc_a, line.rating?).filter(|_| holds)
    })
}

/// "it uses all eight panels".
pub(super) fn uses(option: &SeriesOption) -> String {
    let panels = option.in_series * option.in_parallel + option.panels_left_over;
    let all = number_in_words(panels as u64);
    match option.panels_left_over {
        0 if panels == 1 => "it uses the one panel".to_owned(),
        0 => format!("it uses all {all} panels"),
        left => format!("it leaves {} of {all} panels over", number_in_words(left as u64)),
    }
}

/// The option without what its controller clips, where that is one that must be exchanged: of the other one that is not known.
pub(super) fn with_its_controller(option: &SeriesOption) -> SeriesOption {
    let mut option = option.clone();
    if option.broken().any(|line| line.kind == "controller") {
        option.clips_w = None;
        option.clipped_percent = None;
    }
    option
}
