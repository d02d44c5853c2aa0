//! What is said of a cable's size and of what it may stand behind: rows of the needs, changes, and arrangements that are only looked at.

use super::{Cable, Device, Run, Size, THICKER, THICKEST, alone, by_each, by_its_rules, clause, offered};
use crate::assumptions::Rules;
use crate::limits::Verdict;
use crate::limits::current::CONTINUOUS_FACTOR;
use crate::limits::rules::behind::IEC;
use crate::units::{at_least, at_most};

/// What the strict rule asks for where the plan names none, and the size holds by the code alone; else empty.
pub(super) fn strict_words(size: Size, run: Run, isc_a: f64, device: Device, rules: Rules) -> String {
    if rules != Rules::All || size.behind(run).is_none_or(|found| found.allows(device.iec_a, Rules::Iec)) {
        return String::new();
    }
    match by_each(run, isc_a, device, rules) {
        Some(strict) => format!("; {IEC} asks for {}{}", strict.words(), device.other_series()),
        None => format!("; {}", none_by_iec(device)),
    }
}

/// That no size may stand behind a device by the strict rule, and what is done then: one answer for every plan's needs and for an
/// arrangement that is only looked at.
fn none_by_iec(device: Device) -> String {
    format!("by {IEC} no size up to {THICKEST} may stand behind {} A there: take {THICKER}", device.iec_a)
}

/// The size for a run in a few words, alone and behind a device, by each of the rules that the plan may mean.
pub(in crate::study) fn in_short(run: Run, isc_a: f64, device: Option<Device>, rules: Rules) -> String {
    let Some(alone) = alone(run, isc_a) else {
        return format!("more than {THICKEST}: take {THICKER}");
    };
    let Some(device) = device else { return alone.words() };
    let Some(size) = offered(run, isc_a, device, rules) else {
        return format!(
            "{}, and none up to {THICKEST} behind a fuse or breaker of {}: take {THICKER}",
            alone.words(),
            device.words(rules)
        );
    };
    // One size to buy, as the needs say it, and behind it when less is enough.
    let enough = match size == alone {
        true => String::new(),
        false => format!(" ({} is enough where none stands in it)", alone.words()),
    };
    let behind = format!("{}, which may stand behind a fuse or breaker of", size.words());
    match (rules == Rules::All && by_each(run, isc_a, device, rules).is_none(), size == alone) {
        (false, true) => size.words(),
        (false, false) => format!("{behind} {}{enough}", device.words(rules)),
        (true, _) => {
            format!("{behind} {} A by NEC 240.4 alone{enough}; {}", device.nec_a, none_by_iec(device))
        }
    }
}

/// The same of a cable of the plan that carries its circuit as it is, behind a device; `None` where it may stand there by each.
pub(in crate::study) fn behind_in_short(
    cable: &Cable<'_>,
    isc_a: f64,
    device: Device,
    rules: Rules,
) -> Option<String> {
    if cable.judge(isc_a).verdict != Verdict::Within || meets(cable, "", isc_a, Some(device), rules).is_some()
    {
        return None;
    }
    let (name, today) = (&cable.component.name, cable.size_words());
    let alone = format!("(its {today} holds without one)");
    let size = offered(cable.run, isc_a, device, rules);
    let is_by_one = rules == Rules::All && by_each(cable.run, isc_a, device, rules).is_none();
    Some(match size {
        None => format!(
            "{THICKER}, as {name} where a fuse or breaker of {} protects it: no size up to {THICKEST} may stand there {alone}",
            device.words(rules)
        ),
        Some(size) if is_by_one => format!(
            "{} as {name} where a fuse or breaker of {} A protects it by NEC 240.4 alone {alone}; {}",
            size.words(),
            device.nec_a,
            none_by_iec(device)
        ),
        Some(size) => format!(
            "{} as {name} where a fuse or breaker of {} protects it {alone}",
            size.words(),
            device.words(rules)
        ),
    })
}

/// The size for a run and a current in words, alone and behind a device, with its conditions.
pub(in crate::study) fn remark(
    run: Run,
    whence: &str,
    isc_a: f64,
    device: Option<Device>,
    rules: Rules,
) -> String {
    let Run { insulation_c, air_c } = run;
    let conditions = format!("{insulation_c:.0} °C insulation in air of {air_c:.0} °C, {whence}");
    let Some(alone) = alone(run, isc_a) else {
        return format!("more than {THICKEST} ({conditions})");
    };
    let mut text = format!("{} ({conditions})", alone.words());
    let Some(device) = device else { return text };
    let device_a = device.by(rules);
    match offered(run, isc_a, device, rules) {
        Some(size) => {
            return format!("{} ({conditions}){}", size.words(), less(size, run, isc_a, device, rules));
        }
        None => {
            let cooler = (6..=26).rev().map(|row| f64::from(row) * 5.0).filter(|&cooler_c| cooler_c < air_c);
            let way = cooler
                .into_iter()
                .find(|&cooler_c| {
                    by_its_rules(Run { air_c: cooler_c, ..run }, isc_a, device, rules).is_some()
                })
                .map_or_else(String::new, |cooler_c| format!(", in air up to {cooler_c:.0} °C it may"));
            text.push_str(&format!(
                "; no size up to {THICKEST} may stand behind a fuse or breaker of {device_a} A there ({}){way}: take {THICKER} in \
                 two, each with its own controller, which halves the amps",
                clause(rules)
            ));
        }
    }
    text
}

/// Behind the one size to take, where it holds by which rule, and when less is enough; empty where no size is smaller.
fn less(size: Size, run: Run, isc_a: f64, device: Device, rules: Rules) -> String {
    let Some(alone) = alone(run, isc_a) else { return String::new() };
    let strict = strict_words(size, run, isc_a, device, rules);
    if alone == size {
        return strict;
    }
    let meets = if rules == Rules::All && strict.is_empty() {
        format!("NEC 240.4 and {IEC}")
    } else {
        clause(rules).to_owned()
    };
    let device_words =
        if strict.is_empty() { device.words(rules) } else { format!("{} A", device.by(rules)) };
    let mut text = format!(
        "; so it may stand behind a fuse or breaker of {device_words} ({meets}){strict}; {}",
        alone.words()
    );
    text.push_str(" is enough where none stands in it");
    if let Some(by_code) = by_its_rules(run, isc_a, device, rules).filter(|by_code| *by_code != size) {
        let which = if by_code == alone { "and".to_owned() } else { by_code.words() };
        text.push_str(&format!(", {which} behind {} A by NEC 240.4 alone", device.by(rules)));
    }
    text
}

/// The size of a lead that cannot do without its fuse: behind that alone, where thinner ones would carry the string but not
/// stand behind the fuse.
pub(in crate::study) fn behind_a_fuse(
    run: Run,
    whence: &str,
    isc_a: f64,
    fuse: Device,
    rules: Rules,
) -> String {
    let Run { insulation_c, air_c } = run;
    match (alone(run, isc_a), offered(run, isc_a, fuse, rules)) {
        (Some(alone), Some(size)) if alone != size => {
            let strict = strict_words(size, run, isc_a, fuse, rules);
            let by_code = by_its_rules(run, isc_a, fuse, rules).filter(|by_code| *by_code != size);
            let enough = by_code.map_or_else(String::new, |by_code| {
                format!("; {} is enough by NEC 240.4 alone", by_code.words())
            });
            let which = match rules {
                Rules::All if strict.is_empty() => format!("NEC 240.4 and {IEC}"),
                _ => clause(rules).to_owned(),
            };
            format!(
                "{} ({insulation_c:.0} °C insulation in air of {air_c:.0} °C, {whence}; thinner ones may not stand behind the string fuse \
                 of {} A by {which}){strict}{enough}",
                size.words(),
                fuse.by(rules)
            )
        }
        _ => remark(run, whence, isc_a, Some(fuse), rules),
    }
}

/// That a cable of the plan carries its circuit and may stand behind its device as it is, by each of the rules that the plan may
/// mean: then no size has to be told. `None` where one has.
pub(in crate::study) fn meets(
    cable: &Cable<'_>,
    whence: &str,
    isc_a: f64,
    device: Option<Device>,
    rules: Rules,
) -> Option<String> {
    let may = |device: Device| cable.behind().is_some_and(|found| device.may_protect(&found, rules));
    if cable.judge(isc_a).verdict != Verdict::Within || !device.is_none_or(may) {
        return None;
    }
    let Run { insulation_c, air_c } = cable.run;
    let which = match (device, rules) {
        (None, _) => "holds".to_owned(),
        (_, Rules::All) => format!("meets both, NEC 240.4 and {IEC}"),
        _ => format!("meets {}", clause(rules)),
    };
    let behind = device
        .map_or_else(String::new, |device| format!(", behind a fuse or breaker of {}", device.words(rules)));
    Some(format!(
        "yours, {}, {which}{behind} ({insulation_c:.0} °C insulation in air of {air_c:.0} °C, {whence})",
        cable.size_words()
    ))
}

/// What is to be known of a cable of the plan behind a device: what it must become, or by which rule it may stay as it is; `None`
/// where it may by each.
pub(in crate::study) fn behind_in_words(
    cable: &Cable<'_>,
    isc_a: f64,
    device: Device,
    rules: Rules,
) -> Option<String> {
    let name = &cable.component.name;
    let behind = cable.behind()?;
    let device_a = device.by(rules);
    if device.may_protect(&behind, rules) {
        return None;
    }
    if behind.allows(device_a, rules) {
        let carries = at_most(behind.carries_a);
        let by_code = behind.by_the_code_alone(name, device_a, rules).unwrap_or_else(|| {
            format!("{device_a} A may protect {name}; {IEC} asks for a device of at most {carries} A")
        });
        return Some(format!("{by_code}{}", strict_device(cable, isc_a, device, rules)));
    }
    let bound = format!("{} A at most ({})", at_most(behind.most_a(rules)), behind.clause(rules));
    Some(match offered(cable.run, isc_a, device, rules) {
        Some(size) => format!(
            "only with {} as {name}: today's {} may stand behind {bound}",
            size.words(),
            cable.size_words()
        ),
        None => {
            format!(
                "{name} may stand behind {bound}, and no size up to {THICKEST} there behind {device_a} A: take {THICKER}"
            )
        }
    })
}

/// Behind what the strict rule asks of a device: which one is sold for it, or that none is and what the cable must become.
fn strict_device(cable: &Cable<'_>, isc_a: f64, device: Device, rules: Rules) -> String {
    let least_a = isc_a * CONTINUOUS_FACTOR;
    let carries_a = cable.behind().map_or(0.0, |found| found.carries_a);
    match cable.behind().and_then(|found| found.strict_device_a(least_a)) {
        Some(sold_a) => format!(", so {sold_a} A, the largest that is sold below it"),
        None => {
            let thicker = match by_each(cable.run, isc_a, device, rules) {
                Some(size) => format!("a thicker cable is needed, {}{}", size.words(), device.other_series()),
                None => format!("no cable up to {THICKEST} would do there, so take {THICKER}"),
            };
            let least_a = at_least(least_a);
            if least_a > carries_a {
                format!(", less than the {least_a:.1} A that the circuit asks for: {thicker}")
            } else {
                format!(
                    ", and no standard device fits between the {least_a:.1} A that the circuit asks for and that: {thicker}"
                )
            }
        }
    }
}
