//! What the parts of an arrangement must become for its amps: the size of a cable, the class of a device. Worked out beside its
//! array, since a cable's amps rest on insulation and air, and those of what protects it on the panels' label.

use crate::array::{Array, Carries, Component, ComponentKind};
use crate::assumptions::Rules;
use crate::limits::Verdict;
use crate::limits::rules::{fuse, lead};
use crate::study::cable_with_device::{may_be_leads, with_device};
use crate::study::cables::{self, Cable, Device, Run};
use crate::study::classes::{array_device, label_cap_a, next_class_a, next_class_a_words};
use crate::study::counted;
use crate::study::results::LimitLine;
use crate::units::{at_least, at_most};

/// How the rule begins that holds what protects a string against its panels' label.
pub(super) const STRING_FUSE: &str = "string fuse";

/// What one part must become.
#[derive(Clone, Debug)]
pub(in crate::study) struct ForAmps {
    pub component: String,
    pub rule: String,
    /// "at least 70.0 A (16 mm2 or 6 AWG)"; `None` where nothing that is commonly sold does.
    pub buy: Option<String>,
    /// "55 A".
    pub have: String,
    /// The devices that must become smaller with it, since no cable that was read may stand behind them: "breaker of 40 A instead of
    /// 63 A" each.
    pub with: Vec<String>,
    /// That a cable carries nothing where it runs, and what to do; `None` for all others.
    pub nothing: Option<String>,
}

/// Of each part that breaks a limit in amps, or is a lead that its fuse does not protect.
pub(super) fn of(array: &Array, limits: &[LimitLine], rules: Rules) -> Vec<ForAmps> {
    let is_broken = |line: &&LimitLine| matches!(counted(line), Verdict::Exceeded | Verdict::NotMet);
    let broken: Vec<&LimitLine> = limits
        .iter()
        .filter(is_broken)
        .filter(|line| line.unit == "A" || lead::RULE.is(&line.rule))
        .collect();
    broken
        .iter()
        .filter_map(|line| {
            let part = component_of(array, line)?;
            Some(match cables::cable(part) {
                Some(cable) => of_cable(array, &cable, line, &broken, rules),
                None => of_device(array, part, line, &broken, rules),
            })
        })
        .collect()
}

/// The component of a line; of several that bear one name the one of which the line tells.
fn component_of<'a>(array: &'a Array, line: &LimitLine) -> Option<&'a Component> {
    let named = || {
        array.components.iter().filter(|part| part.name == line.component && part.kind.word() == line.kind)
    };
    let told = |part: &&Component| match cables::cable(part) {
        Some(cable) => cable.judge(array.carried_isc_a(part.carries)).reason == line.reason,
        None => part.rated_a.map(|amps| amps.0) == line.rating,
    };
    named().find(told).or_else(|| named().next())
}

fn amps(value: f64) -> String {
    format!("{} A", at_most(value))
}

/// The size that carries the current where the cable runs, and may stand behind what protects it.
fn of_cable(
    array: &Array,
    cable: &Cable<'_>,
    line: &LimitLine,
    broken: &[&LimitLine],
    rules: Rules,
) -> ForAmps {
    let carries = cable.component.carries;
    let isc_a = array.carried_isc_a(carries);
    let behind_a = device_a(array, carries, broken, rules);
    let Run { insulation_c, air_c } = cable.run;
    let device = Device::of_plan(behind_a);
    let own = cables::offered(cable.run, isc_a, device, rules);
    let hotter = Run { insulation_c: cables::USUAL.insulation_c, ..cable.run };
    let other = || {
        let is_hotter = insulation_c < hotter.insulation_c;
        cables::offered(hotter, isc_a, device, rules).filter(|_| is_hotter)
    };
    let is_nothing = line.rating.is_some_and(|rating| rating <= 0.0);
    let asks = match (line.rating, line.worst) {
        (Some(rating), Some(worst)) if !is_nothing => {
            // A guess of the air may be all that breaks it.
            let cooler = cable.holds_up_to_c(isc_a);
            let mut asides: Vec<String> = Vec::new();
            asides.extend(cooler.map(|air_c| format!("as it is it holds in air of up to {air_c:.0} °C")));
            if may_be_leads(array, cable, rules) {
                asides.push("it may serve as the leads of the strings".to_owned());
            }
            let asides = if asides.is_empty() { String::new() } else { format!(" ({})", asides.join("; ")) };
            Some((format!("at least {:.1} A", at_least(worst)), amps(rating) + &asides))
        }
        _ => None,
    };
    let insulation = format!("{:.0} °C insulation", hotter.insulation_c);
    let (own, with) = match with_device(array, cable, rules) {
        Some(found) => (Some(found.size), found.devices),
        None => (own, Vec::new()),
    };
    let (buy, have) = match (own, other(), asks) {
        (Some(size), _, Some((asks, has))) => {
            let sizes = behind_the_advised(array, cable, rules).filter(|_| behind_a <= 0.0);
            (Some(format!("{asks} ({})", sizes.unwrap_or_else(|| size.words()))), has)
        }
        (Some(size), _, None) => (Some(size.words()), cable.size_words()),
        (None, Some(size), Some((asks, has))) => (
            Some(format!("{insulation} and {asks} ({})", size.words())),
            format!("{insulation_c:.0} °C and {has}"),
        ),
        (None, Some(size), None) => {
            (Some(format!("{insulation} ({})", size.words())), format!("{insulation_c:.0} °C"))
        }
        (None, None, asks) => (None, asks.map_or_else(|| cable.size_words(), |(_, has)| has)),
    };
    let nothing = is_nothing.then(|| {
        let way = match &buy {
            Some(buy) => format!("take {buy}"),
            None => "a cooler way for it".to_owned(),
        };
        format!("{insulation_c:.0} °C insulation carries nothing in air of {air_c:.0} °C: {way}")
    });
    ForAmps { component: line.component.clone(), rule: line.rule.clone(), buy, have, with, nothing }
}

/// "25 mm2 or 4 AWG behind a fuse or breaker of 50 A, 16 mm2 or 6 AWG where none stands in it", of a cable that no device of the plan
/// stands in: the size that the needs name first. `None` where one size serves both.
fn behind_the_advised(array: &Array, cable: &Cable<'_>, rules: Rules) -> Option<String> {
    if cable.component.carries != Carries::Array {
        return None;
    }
    let isc_a = array.carried_isc_a(Carries::Array);
    let advised = array_device(array, rules)?;
    let (behind, alone) =
        (cables::offered(cable.run, isc_a, advised, rules)?, cables::alone(cable.run, isc_a)?);
    let is_by_one = rules == Rules::All && cables::by_each(cable.run, isc_a, advised, rules).is_none();
    (behind != alone).then(|| {
        format!(
            "{} behind a fuse or breaker of {}{}, {} where none stands in it",
            behind.words(),
            if is_by_one { format!("{} A", advised.nec_a) } else { advised.words(rules) },
            if is_by_one { " by NEC 240.4 alone" } else { "" },
            alone.words()
        )
    })
}

/// The largest fuse or breaker of a circuit, with those that must become larger, and the fuses that its strings want, A; 0 where
/// there is none.
fn device_a(array: &Array, carries: Carries, broken: &[&LimitLine], rules: Rules) -> f64 {
    let devices = array.components.iter().filter(|part| {
        part.carries == carries && matches!(part.kind, ComponentKind::Fuse | ComponentKind::Breaker(_))
    });
    let rated = devices.filter_map(|part| {
        let line = broken.iter().find(|line| {
            line.component == part.name
                && line.kind == part.kind.word()
                && !line.rule.starts_with(STRING_FUSE)
        });
        let class_a = line.and_then(|line| next_class_a(part.kind.word(), line.worst?, rules));
        class_a.or(part.rated_a.map(|amps| amps.0))
    });
    let wanted = match fuse::wanting(array) {
        Some(fuse::Wanting::Fuse { fits_a }) if carries == Carries::String => fits_a,
        _ => 0.0,
    };
    rated.fold(wanted, f64::max)
}

/// The next common class; of what protects none above the label, nor above what the cables of the circuit stand behind.
fn of_device(
    array: &Array,
    part: &Component,
    line: &LimitLine,
    broken: &[&LimitLine],
    rules: Rules,
) -> ForAmps {
    let kind = line.kind.as_str();
    let have = part.rated_a.map(|amps| amps.0).or(line.rating).map_or_else(String::new, amps);
    let class_a = if line.rule.starts_with(STRING_FUSE) {
        fuse::window(array.carried_isc_a(Carries::String), line.rating).common_a
    } else {
        line.worst.and_then(|worst| next_class_a(kind, worst, rules))
    };
    let protects = matches!(part.kind, ComponentKind::Fuse | ComponentKind::Breaker(_));
    let fits = |class_a: &f64| {
        let is_exchanged =
            |cable: &Cable<'_>| broken.iter().any(|line| line.component == cable.component.name);
        let stands = |cable: Cable<'_>| {
            cable.component.carries != part.carries
                || is_exchanged(&cable)
                || cable.behind().is_none_or(|found| found.allows_by_each(*class_a, rules))
        };
        !protects
            || (label_cap_a(array, part.carries).is_none_or(|cap| *class_a <= cap)
                && cables::cables(array).all(stands))
    };
    let is_smaller = line.rule.starts_with(STRING_FUSE);
    let words = |class_a: f64| match line.worst.filter(|_| !is_smaller) {
        Some(worst) => next_class_a_words(kind, worst, rules).unwrap_or_else(|| amps(class_a)),
        None => amps(class_a),
    };
    ForAmps {
        component: line.component.clone(),
        rule: line.rule.clone(),
        buy: class_a.filter(fits).map(words),
        have,
        with: Vec::new(),
        nothing: None,
    }
}
