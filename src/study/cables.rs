//! Sizes of cables, each judged where it runs, and chosen together with the fuse or breaker that it stands behind.

use crate::array::{Array, Carries, Component, ComponentKind, Conductor};
use crate::assumptions::Rules;
use crate::cite::{Clause, own_table_of_cables};
use crate::limits::Verdict;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::rules::Judged;
use crate::limits::rules::ampacity;
use crate::limits::rules::behind::{Behind, IEC, behind};
use crate::limits::rules::lead;
use crate::note::{Note, NoteKind};
use crate::units::{at_least, at_most};

/// Sizes in which cables are sold, mm2 and the gauge that stands for it; those whose ampacity was read.
const SIZES: [(f64, u32); 6] = [(2.5, 14), (4.0, 12), (6.0, 10), (10.0, 8), (16.0, 6), (25.0, 4)];
/// The thickest of them in words.
pub(super) const THICKEST: &str = "25 mm2 or 4 AWG";
/// What is done where not even that does.
pub(super) const THICKER: &str = "a thicker cable than the tables here hold, or split the array";
/// Insulation of solar cables and air under panels on a roof, C, where the plan names no cable.
pub(super) const USUAL: Run = Run { insulation_c: 90.0, air_c: 65.0 };

/// What no size holds, once for all of them.
pub(super) const LENGTHS: &str = "Cable sizes are by amps and heat alone: lengths are not asked, so the voltage drop is not in them; a \
long run may want a thicker cable";

/// Whose table the sizes rest on, where that is not one of the rules that the plan names.
pub(super) fn whose_table(rules: Rules) -> Option<String> {
    let own = own_table_of_cables(rules)?;
    Some(format!(
        "What a cable carries, and less of it in warm air, is read from NEC Table 310.16: no table of {own} is in this program, so \
         look each size up there too"
    ))
}

/// Where a cable runs and what its insulation stands, C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Run {
    pub insulation_c: f64,
    pub air_c: f64,
}

/// A cable of the plan.
#[derive(Clone, Copy)]
pub(super) struct Cable<'a> {
    pub component: &'a Component,
    pub conductor: Conductor,
    pub run: Run,
}

/// A size that is sold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Size {
    mm2: f64,
    gauge: u32,
}

impl Size {
    /// "10 mm2 or 8 AWG".
    pub(super) fn words(self) -> String {
        format!("{} mm2 or {} AWG", self.mm2, self.gauge)
    }

    /// The fuses or breakers that it may stand behind there.
    fn behind(self, run: Run) -> Option<Behind> {
        behind(Conductor::Awg(self.gauge), run.insulation_c, run.air_c)
    }
}

/// The cables of an array, each with its own run.
pub(super) fn cables(array: &Array) -> impl Iterator<Item = Cable<'_>> {
    array.components.iter().filter_map(cable)
}

/// A component as a cable.
pub(super) fn cable(component: &Component) -> Option<Cable<'_>> {
    match component.kind {
        ComponentKind::Cable { conductor, insulation_c, ambient_c } => {
            Some(Cable { component, conductor, run: Run { insulation_c, air_c: ambient_c } })
        }
        _ => None,
    }
}

impl Cable<'_> {
    /// The fuses or breakers that it may stand behind; `None` for a size that the table does not have.
    pub(super) fn behind(&self) -> Option<Behind> {
        behind(self.conductor, self.run.insulation_c, self.run.air_c)
    }

    /// How it is judged where it runs.
    pub(super) fn judge(&self, isc_a: f64) -> Judged {
        ampacity::judge(self.conductor, self.run.insulation_c, self.run.air_c, isc_a)
    }

    /// Its own size in words.
    pub(super) fn size_words(&self) -> String {
        match self.conductor {
            Conductor::Mm2(mm2) => format!("{mm2} mm2"),
            Conductor::Awg(gauge) => format!("{gauge} AWG"),
        }
    }

    /// The hottest air, in rows of the correction table, in which it holds as it is; `None` where it holds in none.
    pub(super) fn holds_up_to_c(&self, isc_a: f64) -> Option<f64> {
        let rows = (6..=26).rev().map(|row| f64::from(row) * 5.0);
        let mut cooler = rows.filter(|&air_c| air_c < self.run.air_c);
        cooler.find(|&air_c| {
            let judged = ampacity::judge(self.conductor, self.run.insulation_c, air_c, isc_a);
            judged.verdict == Verdict::Within
        })
    }
}

/// The smallest size that carries `isc_a` of label short-circuit current there and may stand behind what `allowed` asks.
fn smallest(run: Run, isc_a: f64, allowed: impl Fn(Behind) -> bool) -> Option<Size> {
    SIZES.into_iter().map(|(mm2, gauge)| Size { mm2, gauge }).find(|size| {
        let holds = |conductor: Conductor| {
            let judged = ampacity::judge(conductor, run.insulation_c, run.air_c, isc_a);
            judged.verdict == Verdict::Within
        };
        holds(Conductor::Awg(size.gauge))
            && holds(Conductor::Mm2(size.mm2))
            && size.behind(run).is_some_and(&allowed)
    })
}

/// The smallest size that carries `isc_a` there, whatever it stands behind.
pub(super) fn alone(run: Run, isc_a: f64) -> Option<Size> {
    smallest(run, isc_a, |_| true)
}

/// A fuse or breaker that a cable is to stand behind: the two series in which they are sold part at 30, 35 and 60 A.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Device {
    /// In the code's series, A.
    pub nec_a: f64,
    /// In the IEC's, A.
    pub iec_a: f64,
}

impl Device {
    /// One that the plan has, or of a kind whose sizes are the same everywhere.
    pub(super) fn of_plan(rated_a: f64) -> Self {
        Self { nec_a: rated_a, iec_a: rated_a }
    }

    /// By the rules of a plan, A.
    fn by(self, rules: Rules) -> f64 {
        match rules {
            Rules::All | Rules::Nec2023 => self.nec_a,
            Rules::Iec | Rules::AsNzs => self.iec_a,
        }
    }

    /// The larger of both series; of a plan that names its rules the size of those.
    pub(super) fn most_a(self, rules: Rules) -> f64 {
        match rules {
            Rules::All => self.nec_a.max(self.iec_a),
            _ => self.by(rules),
        }
    }

    /// Whether it may protect a conductor by each of the rules that a plan may mean.
    fn may_protect(self, behind: &Behind, rules: Rules) -> bool {
        behind.allows(self.by(rules), rules) && (rules != Rules::All || behind.allows(self.iec_a, Rules::Iec))
    }

    /// "60 A", or "60 A or 63 A" where the series part and the plan names no rules.
    pub(super) fn words(self, rules: Rules) -> String {
        if rules == Rules::All && self.nec_a != self.iec_a {
            return format!("{} A or {} A", self.nec_a, self.iec_a);
        }
        format!("{} A", self.by(rules))
    }

    /// " for its 63 A", where the IEC's series has another size.
    fn other_series(self) -> String {
        if self.nec_a == self.iec_a { String::new() } else { format!(" for its {} A", self.iec_a) }
    }
}

/// The smallest that may besides stand behind a device by the rules of the plan.
fn by_its_rules(run: Run, isc_a: f64, device: Device, rules: Rules) -> Option<Size> {
    smallest(run, isc_a, |found| found.allows(device.by(rules), rules))
}

/// The smallest that may by each of the rules that a plan may mean.
fn by_each(run: Run, isc_a: f64, device: Device, rules: Rules) -> Option<Size> {
    smallest(run, isc_a, |found| device.may_protect(&found, rules))
}

/// The size to take behind a device: one that holds by each of the rules, else by those that judge.
pub(super) fn offered(run: Run, isc_a: f64, device: Device, rules: Rules) -> Option<Size> {
    by_each(run, isc_a, device, rules).or_else(|| by_its_rules(run, isc_a, device, rules))
}

/// The size to take with or without a device behind it; `None` where none that was read does.
pub(super) fn to_take(run: Run, isc_a: f64, device: Option<Device>, rules: Rules) -> Option<Size> {
    match device {
        Some(device) => offered(run, isc_a, device, rules),
        None => alone(run, isc_a),
    }
}

/// The same in words, with the rule where it holds by one alone.
pub(super) fn to_take_in_words(run: Run, isc_a: f64, device: Option<Device>, rules: Rules) -> Option<String> {
    let size = to_take(run, isc_a, device, rules)?.words();
    let is_by_one =
        device.is_some_and(|device| rules == Rules::All && by_each(run, isc_a, device, rules).is_none());
    Some(if is_by_one { format!("{size} by NEC 240.4, a thicker one by {IEC}") } else { size })
}

/// The rule about devices behind conductors.
fn clause(rules: Rules) -> &'static str {
    Clause::Behind.under(rules)
}

/// What the strict rule asks for where the plan names none, and the size holds by the code alone; else empty.
fn strict_words(size: Size, run: Run, isc_a: f64, device: Device, rules: Rules) -> String {
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

/// Whether the cables of a circuit, or the usual one where none is planned, are sold in a size that may stand behind a device by a rule.
pub(super) fn is_carried(array: &Array, carries: Carries, device: Device, rules: Rules) -> bool {
    let isc_a = array.carried_isc_a(carries);
    let mut runs: Vec<Run> =
        cables(array).filter(|cable| cable.component.carries == carries).map(|cable| cable.run).collect();
    if runs.is_empty() {
        runs.push(USUAL);
    }
    runs.into_iter().all(|run| by_its_rules(run, isc_a, device, rules).is_some())
}

/// The size for a run in a few words, alone and behind a device, by each of the rules that the plan may mean.
pub(super) fn in_short(run: Run, isc_a: f64, device: Option<Device>, rules: Rules) -> String {
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
    match (rules == Rules::All && by_each(run, isc_a, device, rules).is_none(), size == alone) {
        (false, true) => alone.words(),
        (false, false) => format!(
            "{}, or {} behind a fuse or breaker of {}",
            alone.words(),
            size.words(),
            device.words(rules)
        ),
        (true, is_same) => format!(
            "{}, {} behind a fuse or breaker of {} A by NEC 240.4 alone; {}",
            alone.words(),
            if is_same { "also".to_owned() } else { format!("or {}", size.words()) },
            device.nec_a,
            none_by_iec(device)
        ),
    }
}

/// The same of a cable of the plan that carries its circuit as it is, behind a device; `None` where it may stand there by each.
pub(super) fn behind_in_short(cable: &Cable<'_>, isc_a: f64, device: Device, rules: Rules) -> Option<String> {
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
pub(super) fn remark(run: Run, whence: &str, isc_a: f64, device: Option<Device>, rules: Rules) -> String {
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
pub(super) fn behind_a_fuse(run: Run, whence: &str, isc_a: f64, fuse: Device, rules: Rules) -> String {
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
pub(super) fn meets(
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
pub(super) fn behind_in_words(cable: &Cable<'_>, isc_a: f64, device: Device, rules: Rules) -> Option<String> {
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

/// A cable of the plan whose fuse or breaker does not protect it against what could come back from a battery.
#[derive(Clone, Debug, PartialEq)]
pub struct Unprotected {
    /// The fuse or breaker.
    pub device: String,
    /// Its rating, A.
    pub rated_a: f64,
    /// The cable.
    pub cable: String,
    /// What that carries where it runs, A.
    pub carries_a: f64,
}

/// The cables of the plan whose fuse or breaker lets more through than may protect them. Where the other strings can overload a
/// lead a limit says so; what is left can come from a battery alone, and is a remark.
pub(super) fn not_protected(array: &Array, rules: Rules) -> Vec<Note> {
    open_to_a_battery(array, rules).filter_map(|cable| from_a_battery(&cable, array, rules)).collect()
}

/// The same cables, each with its device.
pub(super) fn unprotected(array: &Array, rules: Rules) -> Vec<Unprotected> {
    let of = |cable: Cable<'_>| {
        let behind = cable.behind()?;
        let (device, rated_a) = too_large(&cable, &behind, array, rules)?;
        Some(Unprotected {
            device: device.name.clone(),
            rated_a,
            cable: cable.component.name.clone(),
            carries_a: at_most(behind.carries_a),
        })
    };
    open_to_a_battery(array, rules).filter_map(of).collect()
}

fn open_to_a_battery(array: &Array, rules: Rules) -> impl Iterator<Item = Cable<'_>> {
    cables(array).filter(move |cable| {
        lead::overfed(cable.component, array, rules).is_none_or(|lead| lead.too_large().is_none())
    })
}

/// The device of a cable's circuit, where that lets more through than may protect the cable.
fn too_large<'a>(
    cable: &Cable<'_>,
    behind: &Behind,
    array: &'a Array,
    rules: Rules,
) -> Option<(&'a Component, f64)> {
    lead::device_of(array, cable.component.carries).filter(|(_, amps)| !behind.allows(*amps, rules))
}

fn from_a_battery(cable: &Cable<'_>, array: &Array, rules: Rules) -> Option<Note> {
    let carries = cable.component.carries;
    let behind = cable.behind()?;
    let (device, rated_a) = too_large(cable, &behind, array, rules)?;
    let isc_a = array.carried_isc_a(carries);
    let most_a = at_most(behind.most_a(rules));
    let mut ways = Vec::new();
    if let Some(sold_a) = behind.device_that_fits_a(isc_a * CONTINUOUS_FACTOR, rules) {
        ways.push(format!("a device of at most {sold_a} A ({})", behind.clause(rules)));
    }
    let own = Device::of_plan(rated_a);
    let size = offered(cable.run, isc_a, own, rules);
    ways.extend(size.map(Size::words));
    let strict = size.map_or_else(String::new, |size| strict_words(size, cable.run, isc_a, own, rules));
    let would = match ways.as_slice() {
        [] => {
            format!("at most {most_a} A may ({}): a thicker cable and a smaller device", behind.clause(rules))
        }
        [way] => format!("{way} would"),
        ways => format!("{}, would", ways.join(", or ")),
    };
    let harmless = if carries == Carries::Array && isc_a * CIRCUIT_FACTOR <= behind.carries_a {
        ". The array alone cannot overload it"
    } else {
        ""
    };
    let text = format!(
        "{} of {rated_a} A does not protect {}, which carries {} A where it runs, against what could come back from the battery, where \
         the controller lets any back (its manual says): {would}{strict}{harmless}",
        device.name,
        cable.component.name,
        at_most(behind.carries_a)
    );
    Some(Note::once(NoteKind::Wiring, text).asking())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::{array, two_in_series};

    const ROOF: Run = Run { insulation_c: 90.0, air_c: 65.0 };

    // By hand, 90 °C column at 65 °C (x 0.65): 14 AWG 16.25 A, 12 AWG 19.5 A, 10 AWG 26.0 A, 8 AWG 35.75 A, 6 AWG 48.75 A. 11.6 A
    // ask for 14.5 A hot and 18.1 A cold: 14 AWG carries both (25 A at 30 °C), but a device of 20 A takes 12 AWG by 240.4(B) and
    // (D), 10 AWG by IEC 60364-4-43. 23.2 A ask for 29.0 A and 36.25 A: 8 AWG, also behind 40 A by 240.4(B); by the other 6 AWG.
    #[test]
    fn a_size_is_chosen_with_its_device() {
        let gauge = |isc_a: f64, device_a: f64, rules: Rules| {
            by_its_rules(ROOF, isc_a, Device::of_plan(device_a), rules).map(|size| size.gauge)
        };
        assert_eq!(alone(ROOF, 11.6).map(|size| size.gauge), Some(14));
        for (isc_a, device_a, nec, iec) in
            [(11.6, 20.0, Some(12), Some(10)), (23.2, 40.0, Some(8), Some(6)), (23.2, 63.0, Some(4), None)]
        {
            assert_eq!(gauge(isc_a, device_a, Rules::All), nec);
            assert_eq!(gauge(isc_a, device_a, Rules::Iec), iec);
        }
        let text = remark(ROOF, "as in the plan", 23.2, Some(Device::of_plan(40.0)), Rules::All);
        assert!(
            text.starts_with("16 mm2 or 6 AWG (90 °C insulation in air of 65 °C, as in the plan)"),
            "{text}"
        );
        assert!(
            text.ends_with(
                "; so it may stand behind a fuse or breaker of 40 A (NEC 240.4 and IEC 60364-4-43); 10 mm2 or 8 AWG is enough where \
                 none stands in it, and behind 40 A by NEC 240.4 alone"
            ),
            "{text}"
        );
        let text = remark(ROOF, "as in the plan", 23.2, Some(Device::of_plan(40.0)), Rules::Iec);
        assert!(
            text.starts_with("16 mm2 or 6 AWG (")
                && text.ends_with(
                    "; so it may stand behind a fuse or breaker of 40 A (IEC 60364-4-43); 10 mm2 or 8 AWG is enough where none stands \
                     in it"
                ),
            "{text}"
        );
        // 4 AWG in air of 60 °C: 95 A x 0.71 = 67 A, which 63 A stay below; the row of 65 °C gives 61.75 A.
        let none = remark(ROOF, "", 23.2, Some(Device::of_plan(63.0)), Rules::Iec);
        assert!(
            none.contains("no size up to 25 mm2 or 4 AWG") && none.contains("in air up to 60 °C it may"),
            "{none}"
        );
    }

    // NEC 240.4(D): 10 AWG may stand behind 30 A. 16 mm2 counts as 6 AWG: at 50 °C 75 x 0.82 = 61.5 A, so 70 A is next
    // (240.4(B)); 1.5625 x 44.8 A = 70.0 A. 4 AWG carries 77.9 A there, so 80 A may protect it, and no size 150 A. By hand.
    #[test]
    fn a_breaker_too_large_for_its_cable_is_told() {
        let said = |array: &Array| -> String {
            not_protected(array, Rules::All).into_iter().map(|note| note.text).collect()
        };
        let ten_awg = |rated_a: u32| {
            two_in_series(&format!(
                "[[component]]\nkind = 'cable'\nawg = 10\ninsulation_c = 90\nambient_c = 55\n\
                 [[component]]\nkind = 'breaker'\nmax_v = 150\nrated_a = {rated_a}\npoles_opened = 2\n"
            ))
        };
        assert!(said(&ten_awg(40)).contains("at most 30 A (NEC 240.4(D))"), "{}", said(&ten_awg(40)));
        assert_eq!(said(&ten_awg(30)), "");
        let four = |rated_a: u32| {
            array(&format!(
                "[[module]]\nid = 'p'\nvoc_v = 37\nisc_a = 11.2\n[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\n\
                 mount = 'roof'\n[[component]]\nkind = 'cable'\nmm2 = 16\ninsulation_c = 90\nambient_c = 50\n\
                 [[component]]\nkind = 'breaker'\nmax_v = 150\nrated_a = {rated_a}\npoles_opened = 2\n"
            ))
        };
        assert_eq!(said(&four(70)), "");
        assert!(
            said(&four(80)).contains(
                "breaker of 80 A does not protect cable, which carries 61.5 A where it runs, against what could come back from the \
                 battery"
            ) && said(&four(80)).contains(
                ": a device of at most 70 A (NEC 240.4(B)), or 25 mm2 or 4 AWG, would; by IEC 60364-4-43 no size up to 25 mm2 or 4 \
                 AWG may stand behind 80 A there: take a thicker cable than the tables here hold, or split the array. The array alone"
            ),
            "{}",
            said(&four(80))
        );
        assert!(
            said(&four(150)).contains(": a device of at most 70 A (NEC 240.4(B)) would"),
            "{}",
            said(&four(150))
        );
    }
}
