//! Sizes of cables, each judged where it runs, and chosen together with the fuse or breaker that it stands behind.

mod unprotected;
mod words;

pub use unprotected::Unprotected;
pub(super) use unprotected::{not_protected, unprotected};
pub(super) use words::{behind_a_fuse, behind_in_short, behind_in_words, in_short, meets, remark};

use crate::array::{Array, Carries, Component, ComponentKind, Conductor};
use crate::assumptions::Rules;
use crate::cite::{Clause, own_table_of_cables};
use crate::limits::Verdict;
use crate::limits::rules::Judged;
use crate::limits::rules::ampacity;
use crate::limits::rules::behind::{Behind, IEC, behind};

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

/// A component as a cable whose amps can be judged: its insulation and the air around it are known.
pub(super) fn cable(component: &Component) -> Option<Cable<'_>> {
    match component.kind {
        ComponentKind::Cable { conductor, insulation_c: Some(insulation_c), ambient_c: Some(ambient_c) } => {
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
pub(super) fn by_each(run: Run, isc_a: f64, device: Device, rules: Rules) -> Option<Size> {
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

#[cfg(test)]
mod tests {
    use super::*;

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
}
