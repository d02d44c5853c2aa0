//! Which arrangement to take, by a stated objective: no limit broken that the count in series or in parallel can help, and a
//! fuse that fits where its strings need one; under 2 % of the harvest lost to low volts; as many of the panels as possible; then
//! the lowest class of touch voltage; then fewer strings in parallel; then room to every limit; then the smaller controller and
//! the battery of fewer volts.

use super::exchange::{another_controller, for_amps, with_its_controller};
use super::for_amps::STRING_FUSE;
use super::results::{Arrangement, HARVEST_PERCENT, SeriesOption};
use super::{beside_controllers, room};
use crate::cite::Clause;
use crate::extreme::number_in_words;
use crate::limits::Verdict;
use crate::limits::current::{CONTINUOUS_FACTOR, controller_demand};
use crate::limits::rules::fuse::Wanting;
use crate::limits::rules::touch::TouchClass;
use crate::study::classes::{class_v, class_v_words, is_sold, next_class_a_words};
use crate::study::counted;
use crate::study::needed::VoltsNeeded;
use crate::study::one_pole::one_pole;
use crate::study::results::LimitLine;
use crate::study::words::tidy;
use crate::units::at_least;

/// The rank of an option, the smaller the better, step by step.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(super) struct Rank {
    missing: usize,
    /// Limits broken, one more where low volts cost too much of the harvest, and one more where strings need fuses of which none
    /// fits: that is no limit, and by the rule such strings cannot be wired (NEC 690.9(A), the label's largest series fuse).
    failing: usize,
    starved: f64,
    left_over: usize,
    touch: u8,
    strings: usize,
    /// Within goes before close.
    pub(super) is_close: bool,
    /// Devices that would have to be of a larger class.
    raised: usize,
    pub(super) controller_v: f64,
    /// Infinite where they are not judged: a controller that is known goes before one that is not.
    controller_a: f64,
    pub(super) battery_v: f64,
    in_series: usize,
}

/// Steps in words, in the order of the fields; the first two are told by what the other one lacks.
const STEPS: [&str; 12] = [
    "the others need more panels than there are",
    "",
    "",
    "it uses more of the panels",
    "it has the lowest class of touch voltage of those that hold",
    "it needs fewer strings in parallel",
    "no limit of it is close",
    "it needs no larger device",
    "a smaller controller class is enough",
    "a controller of fewer amps is enough",
    "a lower battery voltage is enough",
    "it has fewer panels in series",
];

/// The step of the touch voltage, which says both classes.
const TOUCH: usize = 4;

/// An option with its rank.
#[derive(Clone, Copy)]
pub(super) struct Ranked<'a> {
    pub(super) rank: Rank,
    pub(super) option: &'a SeriesOption,
}

impl Ranked<'_> {
    pub(super) fn holds(&self) -> bool {
        self.rank.missing == 0 && self.rank.failing == 0
    }

    pub(super) fn is_same_layout(&self, other: &Self) -> bool {
        (self.option.in_series, self.option.in_parallel) == (other.option.in_series, other.option.in_parallel)
    }
}

/// The limits that an option breaks; with `class_v`, if no device stood below that class.
fn broken(option: &SeriesOption, class_v: Option<f64>) -> impl Iterator<Item = &LimitLine> {
    option.broken().filter(move |line| !is_raised(option, line, class_v))
}

/// Whether the line would be within, if no device stood below a class.
pub(super) fn is_raised(option: &SeriesOption, line: &LimitLine, class_v: Option<f64>) -> bool {
    class_v.is_some_and(|class| {
        is_device(line)
            && line.rating.is_some_and(|rating| rating < class)
            && needed(option).verdict(class) == Verdict::Within
    })
}

/// The first limit that has too little room.
fn first_close(option: &SeriesOption, class_v: Option<f64>) -> Option<&LimitLine> {
    option.limits.iter().find(|line| counted(line) == Verdict::Close && !is_raised(option, line, class_v))
}

/// The volts of an option, at the worst of its stops.
pub(super) fn needed(option: &SeriesOption) -> VoltsNeeded {
    VoltsNeeded::of_sum(option.code_v, option.decide_v)
}

/// Whether a limit is one in volts of a part that one can buy in a larger class.
pub(super) fn is_device(line: &LimitLine) -> bool {
    line.unit == "V" && is_sold(line)
}

/// Per cent of the harvest lost to low volts, where that is too much.
pub(super) fn starved(option: &SeriesOption) -> Option<f64> {
    option.harvest_lost_percent.filter(|&lost| lost >= HARVEST_PERCENT)
}

fn ranked(option: &SeriesOption, class_v: Option<f64>) -> Ranked<'_> {
    let lost = starved(option);
    let failing =
        broken(option, class_v).count() + usize::from(lost.is_some()) + usize::from(option.no_fuse_fits());
    let above = option.above_battery_percent.unwrap_or(0.0);
    let rank = Rank {
        missing: option.panels_missing,
        failing,
        // What a pwm controller wastes fails nothing, but of those that fail the nearest is the one that brings most.
        starved: if failing > 0 { lost.unwrap_or(0.0) + above } else { 0.0 },
        left_over: option.panels_left_over,
        touch: option.decide_v.map_or(0, |volts| TouchClass::of(volts) as u8),
        strings: option.in_parallel,
        is_close: first_close(option, class_v).is_some(),
        raised: option.broken().filter(|line| is_raised(option, line, class_v)).count(),
        controller_v: option.controller_v.unwrap_or(0.0),
        controller_a: option.controller_max_isc_a.unwrap_or(f64::INFINITY),
        battery_v: option.battery_v.unwrap_or(0.0),
        in_series: option.in_series,
    };
    Ranked { rank, option }
}

/// All options that the panels allow, the best first.
pub(super) fn in_order(options: &[SeriesOption], class_v: Option<f64>) -> Vec<Ranked<'_>> {
    let mut order: Vec<_> = options
        .iter()
        .filter(|option| option.panels_missing == 0)
        .map(|option| ranked(option, class_v))
        .collect();
    order.sort_by(|a, b| a.rank.partial_cmp(&b.rank).unwrap_or(std::cmp::Ordering::Equal));
    order
}

/// The step by which `a` comes before `b`, of which `b` is told.
pub(super) fn deciding_step(a: &Ranked<'_>, b: &Ranked<'_>) -> String {
    let (x, y) = (&a.rank, &b.rank);
    let differs = [
        x.missing != y.missing,
        x.failing != y.failing,
        x.starved != y.starved,
        x.left_over != y.left_over,
        x.touch != y.touch,
        x.strings != y.strings,
        x.is_close != y.is_close,
        x.raised != y.raised,
        x.controller_v != y.controller_v,
        x.controller_a != y.controller_a,
        x.battery_v != y.battery_v,
        x.in_series != y.in_series,
    ];
    match differs.iter().position(|&differs| differs) {
        Some(1 | 2) => {
            format!("it holds where {}S{}P {}", b.option.in_series, b.option.in_parallel, lacks(b.option))
        }
        Some(TOUCH) => {
            let class = |option: &SeriesOption| {
                option.decide_v.map_or("not known", |volts| TouchClass::of(volts).word())
            };
            format!("{} ({}, not {})", STEPS[TOUCH], class(a.option), class(b.option))
        }
        Some(step) => STEPS.get(step).map_or_else(String::new, |words| (*words).to_owned()),
        None => "it stands first".to_owned(),
    }
}

/// What an option breaks, and what it loses, in a few words.
fn lacks(option: &SeriesOption) -> String {
    let mut parts: Vec<String> = option
        .broken()
        .map(|line| match (line.rating, line.worst) {
            _ if nothing(option, line).is_some() => {
                format!("breaks {}, whose insulation carries nothing in its air", line.component)
            }
            (Some(rating), Some(worst)) => {
                let worst =
                    if line.unit == "V" { option.decide_v.unwrap_or(worst).max(worst) } else { worst };
                let worst = at_least(worst);
                format!("breaks {} ({worst:.1} {unit} on {rating} {unit})", line.component, unit = line.unit)
            }
            _ => format!("does not meet a rule of {}", line.component),
        })
        .collect();
    if let Some(lost) = starved(option) {
        parts.push(format!("loses {lost:.0} % of the harvest to low volts"));
    }
    if let Some(Wanting::NoneFits { least_a, label_a }) = option.wanting {
        parts.push(format!(
            "needs a fuse in each string, and none fits between {:.1} A (1.5625 x Isc) and the label's {label_a} A ({})",
            at_least(least_a),
            Clause::Strings.under(option.rules)
        ));
    }
    parts.join(" and ")
}

/// That a cable carries nothing where it runs, and what to do.
fn nothing<'a>(option: &'a SeriesOption, line: &LimitLine) -> Option<&'a str> {
    for_amps(option, line)?.nothing.as_deref()
}

/// The recommended arrangement and the runner-up.
pub(super) fn choose(options: &[SeriesOption], panels: usize) -> (Option<Arrangement>, Option<Arrangement>) {
    if panels == 0 {
        return (None, None);
    }
    let order = in_order(options, None);
    let Some(best) = order.first().filter(|best| best.holds()) else {
        let nearest = order.first().map(|next| {
            arrangement(
                &with_its_controller(next.option),
                format!("it comes nearest, and {}", lacks(next.option)),
                true,
            )
        });
        return (None, nearest);
    };
    let others = || order.iter().filter(|other| !other.is_same_layout(best));
    // The next one that holds and is more than the best with a string taken off; only where there is none the next with all
    // its panels, with what stands in its way.
    let is_part = |other: &Ranked<'_>| {
        other.option.in_series == best.option.in_series && other.option.in_parallel < best.option.in_parallel
    };
    let runner = others()
        .find(|other| other.holds() && !is_part(other))
        .or_else(|| others().find(|other| other.rank.left_over <= best.rank.left_over))
        .or_else(|| others().next());
    let step = match runner {
        Some(runner) => deciding_step(best, runner),
        None => "it is the only arrangement of these panels".to_owned(),
    };
    let mut why = step.clone();
    if let Some(closer) = closer_class(best, &order) {
        why.push_str(&closer);
    }
    match best.rank.left_over {
        0 => {}
        left => why.push_str(&format!(
            "; it leaves {} of {} panels over all the same, because nothing that uses more of them holds",
            number_in_words(left as u64),
            number_in_words(panels as u64)
        )),
    }
    let runner_up = runner.map(|runner| {
        let why = match deciding_step(best, runner) {
            step if runner.holds() => format!("it holds too; the recommended one comes first because {step}"),
            _ => format!("it {}", lacks(runner.option)),
        };
        let beside = beside(runner.option, best.option);
        Arrangement {
            step: why.clone(),
            beside_recommended: beside.map(|beside| format!("the runner-up has {beside}")),
            ..arrangement(&with_its_controller(runner.option), why, true)
        }
    });
    let recommended = Arrangement {
        step,
        also_on: beside_controllers::of(best, &order),
        room: room::of(best.option, &needed(best.option)),
        ..arrangement(best.option, why, false)
    };
    (Some(recommended), runner_up)
}

/// That the same layout is close on a smaller controller that was asked for, which therefore is not taken.
fn closer_class(best: &Ranked<'_>, order: &[Ranked<'_>]) -> Option<String> {
    let smaller = order.iter().find(|other| {
        other.is_same_layout(best)
            && other.holds()
            && !best.rank.is_close
            && other.rank.is_close
            && other.rank.battery_v == best.rank.battery_v
            && other.rank.controller_v < best.rank.controller_v
    })?;
    let (class_v, line) = (smaller.option.controller_v?, first_close(smaller.option, None)?);
    let worst = smaller.option.decide_v.unwrap_or(0.0).max(line.worst?);
    Some(format!("; on the {class_v} V controller {worst:.1} V would be close"))
}

/// The smallest common class of a kind of device that holds with room.
pub(super) fn smallest_class(kind: &str, option: &SeriesOption) -> Option<f64> {
    class_v(kind, &needed(option)).with_room
}

pub(super) fn arrangement(option: &SeriesOption, mut why: String, with_needs: bool) -> Arrangement {
    if let Some(above) = option.above_battery_percent_cool.filter(|&above| above >= HARVEST_PERCENT) {
        why.push_str(&format!(
            "; its pwm controller wastes {above:.0} % of the harvest in the volts above the battery's"
        ));
    }
    // Where none fits, that is what stands in its way.
    if let Some(fuses) = option.string_fuses.as_ref().filter(|_| !option.no_fuse_fits()) {
        why.push_str(&format!("; {fuses}"));
    }
    if let Some(unsure) = unsure(option) {
        why.push_str(&format!("; {unsure}"));
    }
    for found in one_pole(&option.halves, option.decide_v) {
        why.push_str(&format!("; it holds {}", found.in_words()));
    }
    // Said of what is taken; of classes that were asked for a note says it too.
    if !with_needs && option.controller_v.is_some() && option.controller_max_isc_a.is_none() {
        let least = at_least(option.isc_a * controller_demand().factor);
        why.push_str(&format!(
            "; its controller must take {least:.1} A (1.25 x Isc), not judged without max_isc_a"
        ));
    }
    if let Some((takes_w, gives_w)) = option.clips_w {
        let at = option.takes.map_or_else(String::new, |(most_a, charge_v)| {
            format!(" ({most_a} A at charge volts of {charge_v:.1} V)")
        });
        // Read by itself the ratio of the watts looks like the loss.
        let clips = match option.clipped_percent {
            Some(percent) => format!("clips {} % of the harvest", tidy(percent)),
            None => {
                "clips far less of the harvest than that, since panels seldom reach their labels".to_owned()
            }
        };
        why.push_str(&format!(
            "; its controller charges with at most {takes_w:.0} W of the labels' {gives_w:.0} W and {clips}: a loss, no danger{at}"
        ));
    }
    Arrangement {
        in_series: option.in_series,
        in_parallel: option.in_parallel,
        battery_v: option.battery_v,
        controller_v: option.controller_v,
        controller: option.controller.clone(),
        controller_max_isc_a: option.controller_max_isc_a,
        why,
        step: String::new(),
        is_close: option.broken().next().is_none() && first_close(option, None).is_some(),
        also_on: None,
        room: None,
        would_need: with_needs.then(|| would_need(option)),
        asks: option.asked.words(),
        asks_how: option.asked.how(),
        beside_recommended: None,
    }
}

/// "87.3 V where the recommended one has 130.9 V, and 52.5 A against 35.0 A (1.5625 x Isc)": what is bought larger or smaller.
pub(super) fn beside(option: &SeriesOption, recommended: &SeriesOption) -> Option<String> {
    let (own, other) = (option.decide_v?, recommended.decide_v?);
    let amps = |option: &SeriesOption| at_least(option.isc_a * CONTINUOUS_FACTOR);
    let fuses = match (&option.string_fuses, &recommended.string_fuses) {
        (None, Some(_)) => "; no fuses in its strings",
        _ => "",
    };
    let against = |own: f64, other: f64, unit: &str, between: &str| {
        if own == other {
            format!("the same {own:.1} {unit}")
        } else {
            format!("{own:.1} {unit} {between} {other:.1} {unit}")
        }
    };
    Some(format!(
        "{}, and {} (1.5625 x Isc){fuses}",
        against(own, other, "V", "where the recommended one has"),
        against(amps(option), amps(recommended), "A", "against")
    ))
}

/// What one would have to change to use an arrangement.
fn would_need(option: &SeriesOption) -> String {
    let mut needs: Vec<String> = option
        .broken()
        .map(|line| match (line.rating, line.worst, line.unit.as_str()) {
            (Some(rating), Some(worst), "V") => {
                let worst = at_least(option.decide_v.map_or(worst, |volts| volts.max(worst)));
                let class = smallest_class(&line.kind, option).filter(|_| is_device(line));
                match class {
                    Some(class) if line.kind == "controller" => {
                        let other = another_controller(option, &line.component, &format!("{class} V"));
                        format!("{other} ({worst:.1} V on {rating} V)")
                    }
                    Some(class) => {
                        let class = class_v_words(&line.kind, class);
                        format!("{}: {class} instead of {rating} V ({worst:.1} V)", line.component)
                    }
                    None => format!("{}: at least {worst:.1} V instead of {rating} V", line.component),
                }
            }
            // There the label is the rating: the fuse must become smaller.
            _ if line.rule.starts_with(STRING_FUSE) => format!("{}: {}", line.component, line.reason),
            _ if nothing(option, line).is_some() => {
                format!("{}: {}", line.component, nothing(option, line).unwrap_or_default())
            }
            _ if line.kind == "cable" && buy(option, line).is_some() => {
                let (buy, have) = buy(option, line).unwrap_or_default();
                let with = for_amps(option, line).map_or_else(Vec::new, |part| part.with.clone());
                let with: String = with.iter().map(|with| format!(" and {with}")).collect();
                format!("{}: {buy} instead of {have}{with}", line.component)
            }
            (Some(rating), Some(worst), _) => {
                let least = at_least(worst);
                match label_a(option, line).filter(|&label_a| label_a < worst) {
                    Some(label_a) => format!(
                        "{}: {least:.1} A, and none fits below the label's {label_a} A: {}",
                        line.component,
                        match option.in_parallel {
                            1 => "one string needs no protection",
                            _ => "fewer strings in parallel",
                        }
                    ),
                    None => {
                        let class = next_class_a_words(&line.kind, worst, option.rules)
                            .map_or_else(String::new, |class| format!(" (next common class {class})"));
                        format!("{}: at least {least:.1} A{class} instead of {rating} A", line.component)
                    }
                }
            }
            _ => format!("{}: {}", line.component, line.reason),
        })
        .collect();
    if let Some(lost) = starved(option) {
        needs.push(format!(
            "more volts in the heat ({lost:.0} % of the harvest is lost to low volts): more panels in series, panels of more \
             volts, or a battery of fewer"
        ));
    }
    if option.no_fuse_fits() {
        needs.push("fewer strings in parallel, or panels whose label allows a larger series fuse".to_owned());
    }
    let unknown = option.limits.iter().filter(|line| counted(line) == Verdict::NotAssessed);
    needs.extend(unknown.map(|line| format!("{}: to be assessed first ({})", line.component, line.reason)));
    if needs.is_empty() { "nothing: it holds every limit".into() } else { needs.join("; ") }
}

/// What the part of a line must become for its amps, and what it is.
fn buy<'a>(option: &'a SeriesOption, line: &LimitLine) -> Option<(&'a str, &'a str)> {
    let part = for_amps(option, line)?;
    Some((part.buy.as_deref()?, part.have.as_str()))
}

/// The label's largest series fuse, where the line is that of a fuse in a string.
fn label_a(option: &SeriesOption, line: &LimitLine) -> Option<f64> {
    let same = |other: &&LimitLine| other.component == line.component && other.rule.starts_with(STRING_FUSE);
    option.limits.iter().find(same)?.rating
}

/// What is close or could not be assessed in an option that breaks nothing.
fn unsure(option: &SeriesOption) -> Option<String> {
    if option.broken().next().is_some() {
        return None;
    }
    let of = |verdict: Verdict| {
        let mut names: Vec<String> = Vec::new();
        for line in option.limits.iter().filter(|line| counted(line) == verdict) {
            let name = match verdict {
                Verdict::Close => close_in_words(option, line),
                _ => line.component.clone(),
            };
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names.join(", ")
    };
    let parts = [("not assessed", of(Verdict::NotAssessed)), ("close", of(Verdict::Close))];
    let parts: Vec<String> = parts
        .into_iter()
        .filter(|(_, names)| !names.is_empty())
        .map(|(word, names)| format!("{word}: {names}"))
        .collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// "controller of 52 V (51.1 V leave 1.7 %; the next common class of 60 V would leave 14 %)".
fn close_in_words(option: &SeriesOption, line: &LimitLine) -> String {
    let (Some(rating), Some(worst), "V") = (line.rating, line.worst, line.unit.as_str()) else {
        return line.component.clone();
    };
    let worst = option.decide_v.map_or(worst, |volts| volts.max(worst));
    let next =
        smallest_class(&line.kind, option).filter(|_| is_device(line)).map_or_else(String::new, |class| {
            let words = class_v_words(&line.kind, class);
            format!("; the next common class of {words} would leave {}", room::spare(class, worst))
        });
    format!("{} ({worst:.1} V leave {}{next})", line.component, room::spare(rating, worst))
}
