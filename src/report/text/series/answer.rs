//! The first sentences of `series`: what to take as the plan's parts are, what larger parts would allow, what comes next.

use super::{Page, ways};
use crate::extreme::number_in_words;
use crate::report::show;
use crate::report::view::capital;
use crate::study::series::{Arrangement, Exchange, LargerClass, SeriesOption, SeriesResult};

/// What holds is told of an arrangement that would need nothing.
const NOTHING: &str = "nothing";

/// The sentences, each thing once.
pub(super) fn answer(page: &mut Page, result: &SeriesResult) {
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
    // Who asks for six panels does not look for two of them: what uses more of them goes first, with what is to buy.
    let is_second = result.recommended.is_some() && result.exchange.is_some();
    if is_second {
        by_other_parts(page, result, is_doubted);
    }
    page.paragraph(0, &recommended(result, is_doubted, is_second));
    if !is_second {
        by_other_parts(page, result, is_doubted);
    }
    let larger = || larger_classes(result);
    let is_told = |next: &Arrangement| {
        larger().any(|larger| is_same(&larger.arrangement, next))
            || exchanges(result).any(|exchange| is_same(&exchange.arrangement, next))
    };
    // What would have to be bought for fewer panels than a way that was told is no third answer.
    let is_less = |next: &Arrangement| {
        let uses_more = |told: &Exchange| left_over(result, &told.arrangement) < left_over(result, next);
        is_second && needs(next).is_some() && result.exchange.as_ref().is_some_and(uses_more)
    };
    let next = result.runner_up.as_ref().filter(|next| !is_told(next) && !is_less(next));
    if let Some(next) = next {
        page.paragraph(0, &runner_up(result, next));
    }
    if let Some(room) = result.recommended.as_ref().and_then(|best| best.room.as_ref()) {
        // Behind other ways it has to say which one it is about.
        let of = if is_second {
            "with the parts as planned: "
        } else if exchanges(result).next().is_some() || !result.larger_classes.is_empty() {
            "of the recommended one: "
        } else {
            ""
        };
        page.paragraph(0, &format!("{}.", capital(&format!("{of}{room}"))));
    }
    how_it_is_done(page, result);
}

/// What exchanged parts and larger classes of volts allow.
fn by_other_parts(page: &mut Page, result: &SeriesResult, is_doubted: bool) {
    let word = ways::Word { word: word(is_doubted), alone: alone(result, is_doubted) };
    let larger = || larger_classes(result);
    match (&result.exchange, &result.other_exchange) {
        (Some(one), Some(other)) => ways::both(page, result, one, other, &word),
        (Some(one), None) if result.recommended.is_some() => {
            page.paragraph(0, &ways::only(result, one, &word));
        }
        (Some(one), None) => {
            let with = with_parts(result, &one.with, &one.arrangement);
            page.paragraph(0, &format!("{with}{}", ways::by_string(one)));
        }
        // A larger class of volts may have led to the same.
        (None, Some(other))
            if !larger().any(|larger| is_same_layout(&larger.arrangement, &other.arrangement)) =>
        {
            page.paragraph(0, &ways::lower_volts(result, other));
        }
        (None, _) => {}
    }
    for larger in larger() {
        let with = larger.with.clone();
        let with = with.unwrap_or_else(|| format!("nothing below {} V", larger.class_v));
        page.paragraph(0, &with_parts(result, &with, &larger.arrangement));
    }
}

fn exchanges(result: &SeriesResult) -> impl Iterator<Item = &Exchange> {
    result.exchange.iter().chain(&result.other_exchange)
}

/// Those whose arrangement uses more panels than the exchange that was told: fewer for a larger part is no offer.
fn larger_classes(result: &SeriesResult) -> impl Iterator<Item = &LargerClass> {
    let told = result.exchange.as_ref().map(|exchange| left_over(result, &exchange.arrangement));
    result
        .larger_classes
        .iter()
        .filter(move |larger| told.is_none_or(|told| left_over(result, &larger.arrangement) < told))
}

fn word(is_doubted: bool) -> &'static str {
    if is_doubted { "Not yet a recommendation" } else { "Recommended" }
}

/// What no weather could say.
fn alone(result: &SeriesResult, is_doubted: bool) -> &'static str {
    let by_volts_alone = result.options.iter().all(|option| option.harvest_lost_percent.is_none());
    match (by_volts_alone, is_doubted) {
        (true, true) => ", by volts and amps alone, harvest not judged",
        (true, false) => " by volts and amps alone, harvest not judged",
        (false, _) => "",
    }
}

fn recommended(result: &SeriesResult, is_doubted: bool, is_second: bool) -> String {
    let (word, alone) = (word(is_doubted), alone(result, is_doubted));
    let as_planned = if result.larger_classes.is_empty() && exchanges(result).next().is_none() {
        ""
    } else {
        ", with the parts as planned"
    };
    match &result.recommended {
        Some(best) => {
            let close = if best.is_close { ", but close" } else { "" };
            let asks = asks(best);
            let also = best.also_on.as_ref().map_or_else(String::new, |also| format!(" {also}."));
            if is_second {
                let without = if wants_fuses(result, best) {
                    "Without exchanging any part (string fuses are to buy)"
                } else {
                    "Without buying anything"
                };
                return format!("{without}{close}: {}: {}.{also}{asks}", words(best), best.why);
            }
            format!("{word}{alone}{as_planned}{close}: {}: {}.{also}{asks}", words(best), best.why)
        }
        None => format!(
            "{word}{alone}{as_planned}: none. No arrangement of these panels holds every limit and loses under 2 % of the \
             harvest to low volts."
        ),
    }
}

/// What it asks of its cable and of the plug where its strings join.
pub(super) fn asks(this: &Arrangement) -> String {
    this.asks.as_ref().map_or_else(String::new, |asks| format!(" {}.", capital(asks)))
}

/// How what the arrangements ask for is to be read and done, once for all of them.
fn how_it_is_done(page: &mut Page, result: &SeriesResult) {
    let by_exchange = exchanges(result).map(|exchange| &exchange.arrangement);
    let larger = larger_classes(result).map(|larger| &larger.arrangement);
    let told = result.recommended.iter().chain(&result.runner_up).chain(by_exchange).chain(larger);
    let mut sentences: Vec<&str> = Vec::new();
    for how in told.flat_map(|one| &one.asks_how) {
        if !sentences.contains(&how.as_str()) {
            sentences.push(how);
        }
    }
    if !sentences.is_empty() {
        page.paragraph(0, &format!("{}.", sentences.join(". ")));
    }
}

/// Whether its strings ask for fuses, which are to buy too.
fn wants_fuses(result: &SeriesResult, best: &Arrangement) -> bool {
    result.options.iter().any(|option| {
        (option.in_series, option.in_parallel) == (best.in_series, best.in_parallel)
            && option.string_fuses.is_some()
    })
}

/// The other way: what other parts allow.
fn with_parts(result: &SeriesResult, with: &str, this: &Arrangement) -> String {
    let runner_up = result.runner_up.as_ref().filter(|next| is_same(next, this));
    let beside =
        this.beside_recommended.as_ref().or(runner_up.and_then(|next| next.beside_recommended.as_ref()));
    let beside = beside.map_or_else(String::new, |beside| format!(" {}.", it_has(beside)));
    let uses = uses(result, this);
    // The step is what stands before the colon already.
    let rest = this.why.strip_prefix(this.step.as_str()).unwrap_or_default();
    let words = words(&with_the_plans_controller(result, this));
    let asks = asks(this);
    format!("With {with}, {uses}: {words}{rest}.{beside}{asks}")
}

/// "all six panels".
pub(super) fn uses(result: &SeriesResult, this: &Arrangement) -> String {
    let all = so_many_in_words(result.panels);
    match left_over(result, this) {
        0 if result.panels == 1 => "the one panel".to_owned(),
        0 if result.panels == 2 => "both panels".to_owned(),
        0 => format!("all {all}"),
        left => format!("{} of {all}", number_in_words((result.panels - left) as u64)),
    }
}

/// The arrangement without its controller, where that is one that must be exchanged: it has other volts than the plan's then.
pub(super) fn with_the_plans_controller(result: &SeriesResult, this: &Arrangement) -> Arrangement {
    let of_this = |option: &&SeriesOption| {
        (option.in_series, option.in_parallel) == (this.in_series, this.in_parallel)
            && (option.battery_v, option.controller_v) == (this.battery_v, this.controller_v)
            && option.controller == this.controller
    };
    let option = result.options.iter().find(of_this);
    let is_exchanged = option.is_some_and(|option| option.broken().any(|line| line.kind == "controller"));
    let controller_v = this.controller_v.filter(|_| !is_exchanged);
    Arrangement { controller_v, ..this.clone() }
}

/// The volts and amps beside the recommended one's as a sentence.
pub(super) fn it_has(beside: &str) -> String {
    capital(&beside.replacen("the runner-up has", "it has", 1))
}

fn left_over(result: &SeriesResult, arrangement: &Arrangement) -> usize {
    result.panels.saturating_sub(arrangement.in_series * arrangement.in_parallel)
}

/// "four panels".
fn so_many_in_words(panels: usize) -> String {
    let noun = if panels == 1 { "panel" } else { "panels" };
    format!("{} {noun}", number_in_words(panels as u64))
}

/// What an arrangement would need to hold.
fn needs(next: &Arrangement) -> Option<&str> {
    next.would_need.as_deref().filter(|needs| !needs.starts_with(NOTHING))
}

fn runner_up(result: &SeriesResult, next: &Arrangement) -> String {
    let place = if result.recommended.is_some() { "Runner-up" } else { "Nearest" };
    let needs = needs(next).map_or_else(String::new, |needs| format!(" It would need: {needs}."));
    let carried = carried_elsewhere(result, next).unwrap_or_default();
    let asks = asks(next);
    // Why the recommended one comes first was said of that one.
    let step = result.recommended.as_ref().map_or("", |best| best.step.as_str());
    let why = next.why.replacen(&format!("; the recommended one comes first because {step}"), "", 1);
    let beside = next.beside_recommended.as_ref();
    let beside = beside.map_or_else(String::new, |beside| format!(" {}.", it_has(beside)));
    let left = match left_over(result, next) {
        0 => String::new(),
        1 => ", one panel left over".to_owned(),
        left => format!(", {} panels left over", number_in_words(left as u64)),
    };
    // One that breaks a limit beside one that holds is no second choice: it is what its needs would allow.
    if let Some(best) = result.recommended.as_ref()
        && !needs.is_empty()
    {
        let only = if best.in_parallel > 1 {
            "Beside it nothing holds but the same with fewer strings"
        } else {
            "Beside it nothing holds"
        };
        let rest = why.strip_prefix(next.step.as_str()).unwrap_or_default();
        let needs = next.would_need.as_deref().unwrap_or_default();
        let this = words(&with_the_plans_controller(result, next));
        return format!("{only}. For {this}{left} it would need: {needs}{rest}.{carried}{beside}{asks}");
    }
    format!("{place}: {}{left}: {why}.{needs}{carried}{beside}{asks}", words(next))
}

fn is_same_layout(a: &Arrangement, b: &Arrangement) -> bool {
    let of = |one: &Arrangement| (one.in_series, one.in_parallel, one.battery_v.map(f64::to_bits));
    of(a) == of(b)
}

fn is_same(a: &Arrangement, b: &Arrangement) -> bool {
    is_same_layout(a, b) && a.controller_v == b.controller_v && a.controller == b.controller
}

/// "2 in series, 3 in parallel, 24 V battery, Sample 150/35 controller". What is left over of the recommended one stands in its `why`.
pub(super) fn words(arrangement: &Arrangement) -> String {
    let mut text = format!("{} in series, {} in parallel", arrangement.in_series, arrangement.in_parallel);
    if let Some(volts) = arrangement.battery_v {
        text.push_str(&format!(", {volts} V battery"));
    }
    if let Some(volts) = arrangement.controller_v {
        text.push_str(", ");
        text.push_str(&match &arrangement.controller {
            Some(name) => named(name, volts, arrangement.controller_max_isc_a),
            None => format!("{volts} V controller"),
        });
    }
    text
}

/// A controller by its name, with its figures where the name does not hold its volts.
fn named(name: &str, volts: f64, max_isc_a: Option<f64>) -> String {
    let says = |figure: f64| {
        name.split(|letter: char| !letter.is_ascii_digit() && letter != '.')
            .any(|word| word == figure.to_string())
    };
    let kind = if name.to_lowercase().contains("controller") { "" } else { "controller " };
    if says(volts) {
        return format!("{kind}{name}");
    }
    let amps = max_isc_a.map_or_else(String::new, |amps| format!(", {}", show::rating(amps, "A")));
    format!("{kind}{name} ({volts} V{amps})")
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
