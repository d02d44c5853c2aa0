//! Sizes of cables, each judged where it runs, and chosen together with the fuse or breaker that it stands behind.

use crate::array::{Array, Component, ComponentKind, Conductor};
use crate::limits::Verdict;
use crate::limits::rules::Judged;
use crate::limits::rules::ampacity::{self, largest_device_a};

/// Sizes in which cables are sold, mm2 and the gauge that stands for it; those whose ampacity was read.
const SIZES: [(f64, u32); 6] = [(2.5, 14), (4.0, 12), (6.0, 10), (10.0, 8), (16.0, 6), (25.0, 4)];
/// The thickest of them in words.
pub(super) const THICKEST: &str = "25 mm2 or 4 AWG";
/// Insulation of solar cables and air under panels on a roof, C, where the plan names no cable.
pub(super) const USUAL: Run = Run { insulation_c: 90.0, air_c: 65.0 };

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

    /// The largest fuse or breaker that it may stand behind there, A.
    pub(super) fn most_a(self, run: Run) -> f64 {
        largest_device_a(Conductor::Awg(self.gauge), run.insulation_c, run.air_c).unwrap_or(0.0)
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
    /// The largest fuse or breaker that it may stand behind, A; `None` for a size that the table does not have.
    pub(super) fn most_a(&self) -> Option<f64> {
        largest_device_a(self.conductor, self.run.insulation_c, self.run.air_c)
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

/// The smallest size that carries `isc_a` of label short-circuit current there and may stand behind a device of `device_a`.
pub(super) fn smallest(run: Run, isc_a: f64, device_a: f64) -> Option<Size> {
    SIZES.into_iter().map(|(mm2, gauge)| Size { mm2, gauge }).find(|size| {
        let holds = |conductor: Conductor| {
            let judged = ampacity::judge(conductor, run.insulation_c, run.air_c, isc_a);
            judged.verdict == Verdict::Within
        };
        holds(Conductor::Awg(size.gauge)) && holds(Conductor::Mm2(size.mm2)) && size.most_a(run) >= device_a
    })
}

/// The size for a run and a current in words, alone and behind a device of `device_a`, with its conditions.
pub(super) fn remark(run: Run, whence: &str, isc_a: f64, device_a: Option<f64>) -> String {
    let Run { insulation_c, air_c } = run;
    let conditions = format!("{insulation_c:.0} °C insulation in air of {air_c:.0} °C, {whence}");
    let Some(alone) = smallest(run, isc_a, 0.0) else {
        return format!("more than {THICKEST} ({conditions})");
    };
    let mut text = format!("{} ({conditions})", alone.words());
    if let Some(device_a) = device_a.filter(|&device_a| alone.most_a(run) < device_a) {
        text.push_str(&match smallest(run, isc_a, device_a) {
            Some(size) => {
                format!("; {} where a fuse or breaker of {device_a} A protects it (NEC 240.4)", size.words())
            }
            None => {
                let cooler = (6..=26).rev().map(|row| f64::from(row) * 5.0).filter(|&cooler_c| cooler_c < air_c);
                let way = cooler
                    .into_iter()
                    .find(|&cooler_c| smallest(Run { air_c: cooler_c, ..run }, isc_a, device_a).is_some())
                    .map_or_else(String::new, |cooler_c| format!(", in air up to {cooler_c:.0} °C it may"));
                format!(
                    "; no size up to {THICKEST} may stand behind a fuse or breaker of {device_a} A there (NEC 240.4){way}; thicker \
                     ones are for the code's own table, and an array split in two, each with its own controller, halves the amps"
                )
            }
        });
    }
    text
}

/// The size of a lead that cannot do without its fuse of `device_a`: behind that alone, where thinner ones would carry the
/// string but not stand behind the fuse.
pub(super) fn behind_a_fuse(run: Run, whence: &str, isc_a: f64, device_a: f64) -> String {
    let Run { insulation_c, air_c } = run;
    match (smallest(run, isc_a, 0.0), smallest(run, isc_a, device_a)) {
        (Some(alone), Some(size)) if alone.most_a(run) < device_a => format!(
            "{} ({insulation_c:.0} °C insulation in air of {air_c:.0} °C, {whence}; thinner ones may not stand behind the string fuse \
             of {device_a} A, NEC 240.4)",
            size.words()
        ),
        _ => remark(run, whence, isc_a, Some(device_a)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOF: Run = Run { insulation_c: 90.0, air_c: 65.0 };

    // By hand, 90 °C column at 65 °C (x 0.65): 14 AWG 16.25 A, 12 AWG 19.5 A, 10 AWG 26.0 A, 8 AWG 35.75 A, 6 AWG 48.75 A. 11.6 A
    // ask for 14.5 A hot and 18.1 A cold: 14 AWG carries both (25 A at 30 °C), but a device of 20 A takes 10 AWG.
    // 23.2 A ask for 29.0 A and 36.25 A: 8 AWG; behind 40 A 6 AWG.
    #[test]
    fn a_size_is_chosen_with_its_device() {
        let gauge = |isc_a: f64, device_a: f64| smallest(ROOF, isc_a, device_a).map(|size| size.gauge);
        assert_eq!((gauge(11.6, 0.0), gauge(11.6, 20.0)), (Some(14), Some(10)));
        assert_eq!((gauge(23.2, 0.0), gauge(23.2, 40.0)), (Some(8), Some(6)));
        // 4 AWG at 65 °C carries 61.75 A
        assert_eq!(gauge(23.2, 63.0), None);
        let text = remark(ROOF, "as in the plan", 23.2, Some(40.0));
        assert!(
            text.starts_with("10 mm2 or 8 AWG (90 °C insulation in air of 65 °C, as in the plan)"),
            "{text}"
        );
        assert!(
            text.ends_with("; 16 mm2 or 6 AWG where a fuse or breaker of 40 A protects it (NEC 240.4)"),
            "{text}"
        );
        // 4 AWG in air of 60 °C: 95 A x 0.71 = 67 A, which 63 A stay below; the row of 65 °C gives 61.75 A.
        let none = remark(ROOF, "", 23.2, Some(63.0));
        assert!(
            none.contains("no size up to 25 mm2 or 4 AWG") && none.contains("in air up to 60 °C it may"),
            "{none}"
        );
    }
}
