//! The battery: the volts that an array must beat.

use crate::units::Volts;
use std::ops::RangeInclusive;

/// Chemistry of a battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chemistry {
    /// Lithium iron phosphate.
    Lfp,
    /// Absorbed glass mat lead-acid.
    Agm,
    /// Gel lead-acid.
    Gel,
    /// Flooded lead-acid.
    Flooded,
    /// Lithium nickel manganese cobalt.
    Nmc,
}

/// The battery behind the controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Battery {
    /// Its chemistry.
    pub chemistry: Chemistry,
    /// Nominal volts: 12, 24, 36 or 48.
    pub nominal: Volts,
    /// Charge volts that the array must beat.
    pub charge: Volts,
    /// Whether `charge` is the chemistry's default.
    pub charge_is_default: bool,
}

/// Nominal volts that the charge volts below are for.
const BLOCK_V: f64 = 12.0;

impl Battery {
    /// Systems that vehicles and boats use, V.
    pub const NOMINAL_V: [f64; 4] = [12.0, 24.0, 36.0, 48.0];

    /// Charge volts that can be meant for a battery of that name, V: below, it would not charge; above, even the
    /// equalising charge of a flooded battery (15.5 to 16 V, from memory of the trade) and a four-cell nmc block
    /// (16.8 V) end. Chosen to catch the volts of another system, not to judge a setting.
    #[must_use]
    pub fn charge_range(nominal: Volts) -> RangeInclusive<f64> {
        12.2 / BLOCK_V * nominal.0..=17.0 / BLOCK_V * nominal.0
    }
}

impl Chemistry {
    /// The plan's word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Lfp => "lfp",
            Self::Agm => "agm",
            Self::Gel => "gel",
            Self::Flooded => "flooded",
            Self::Nmc => "nmc",
        }
    }

    /// Charge volts that makers usually print for a 12 V block, V: lowest, the one taken, highest. Absorption for
    /// lead-acid. Common practice, part read in makers' sheets, part from memory: a default to show, never a limit
    /// to pass by. `None` for nmc, whose charge volts depend on the maker and the number of cells.
    #[must_use]
    pub fn usual_charge_of_12_v(self) -> Option<(f64, f64, f64)> {
        match self {
            Self::Lfp => Some((14.0, 14.2, 14.6)),
            Self::Agm => Some((14.2, 14.4, 14.7)),
            Self::Gel => Some((14.0, 14.1, 14.2)),
            Self::Flooded => Some((14.4, 14.6, 14.8)),
            Self::Nmc => None,
        }
    }

    /// Charge volts of a battery of that name: those of a 12 V block, in proportion.
    #[must_use]
    pub fn usual_charge(self, nominal: Volts) -> Option<Volts> {
        self.usual_charge_of_12_v().map(|(_, taken, _)| Volts(taken * nominal.0 / BLOCK_V))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_charge_volts_lie_where_the_trade_has_them() {
        // A 16-cell lithium iron phosphate battery charges at 56.0 to 58.4 V (3.50 to 3.65 V a cell; common
        // practice, no source).
        let volts = Chemistry::Lfp.usual_charge(Volts(48.0)).map_or(0.0, |volts| volts.0);
        assert!((56.0..=58.4).contains(&volts), "{volts}");
        for chemistry in [Chemistry::Lfp, Chemistry::Agm, Chemistry::Gel, Chemistry::Flooded] {
            for nominal in Battery::NOMINAL_V {
                let volts = chemistry.usual_charge(Volts(nominal)).map_or(0.0, |volts| volts.0);
                assert!(
                    Battery::charge_range(Volts(nominal)).contains(&volts),
                    "{chemistry:?} {nominal}: {volts}"
                );
            }
            let (low, taken, high) = chemistry.usual_charge_of_12_v().unwrap_or_default();
            assert!(low <= taken && taken <= high);
        }
    }

    #[test]
    fn the_volts_of_another_system_are_not_charge_volts() {
        assert!(!Battery::charge_range(Volts(12.0)).contains(&28.4));
        assert!(!Battery::charge_range(Volts(24.0)).contains(&14.2));
        assert!(!Battery::charge_range(Volts(48.0)).contains(&42.6));
        assert!(!Battery::charge_range(Volts(36.0)).contains(&56.8));
    }
}
