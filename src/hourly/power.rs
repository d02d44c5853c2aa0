//! Voltage and current at maximum power of an array in an hour's mean light. Kept out of the loop of `assess`, which
//! needs neither: the curve costs more than all else in an hour.

use crate::array::StringGroup;
use crate::hourly::hour::GroupHour;
use crate::module::{Power, StringPower};
use crate::units::Celsius;

/// A group's curve, made ready once.
#[derive(Clone, Debug)]
pub struct ReadyPower {
    curve: StringPower,
    in_parallel: f64,
    printed: bool,
}

impl ReadyPower {
    /// Fits the panels of one string of a group.
    #[must_use]
    pub fn new(group: &StringGroup) -> Self {
        Self {
            curve: StringPower::fit(&group.modules),
            in_parallel: f64::from(group.in_parallel),
            printed: group.modules.iter().all(|label| label.vmp.is_some() && label.imp.is_some()),
        }
    }

    /// Whether every label of the string prints Vmp and Imp. Where one does not, the curve stands on a low stand-in
    /// for it: good for a low side, not for a figure to show.
    #[must_use]
    pub fn is_printed(&self) -> bool {
        self.printed
    }

    /// The string at maximum power; `None` below 10 W/m2.
    #[must_use]
    pub fn string(&self, irradiance_w_m2: f64, cell: Celsius) -> Option<Power> {
        self.curve.at(irradiance_w_m2, cell)
    }
}

/// An array at maximum power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArrayPower {
    /// Volts of the highest string.
    pub vmp_v: f64,
    /// Currents of all strings summed, A.
    pub imp_a: f64,
}

/// The array at maximum power in the hour's mean light on its steady cells: volts of the highest string, currents
/// summed. `None` where it is too dim, and where a label does not print Vmp and Imp.
#[must_use]
pub fn array_power(ready: &[ReadyPower], groups: &[GroupHour]) -> Option<ArrayPower> {
    let mut joined: Option<ArrayPower> = None;
    for (ready, group) in ready.iter().zip(groups) {
        if !ready.printed {
            return None;
        }
        let Some(power) = ready.string(group.light.mean, group.cell_steady) else { continue };
        let (volts, amps) = (power.vmp.0, power.imp.0 * ready.in_parallel);
        joined = Some(joined.map_or(ArrayPower { vmp_v: volts, imp_a: amps }, |sum| ArrayPower {
            vmp_v: sum.vmp_v.max(volts),
            imp_a: sum.imp_a + amps,
        }));
    }
    joined
}
