//! A panel's label, resolved: what it prints, what had to be assumed, and why.

use crate::note::Note;
use crate::units::{Amps, Volts};

/// What the cells are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Technology {
    /// Monocrystalline silicon.
    Mono,
    /// Multicrystalline silicon.
    Poly,
    /// Heterojunction silicon.
    Hjt,
    /// Cadmium telluride.
    Cdte,
    /// Copper indium gallium selenide.
    Cigs,
    /// Amorphous silicon.
    ASi,
}

impl Technology {
    /// All of them, in the order in which they are listed to people.
    pub const ALL: [Self; 6] = [Self::Mono, Self::Poly, Self::Hjt, Self::Cdte, Self::Cigs, Self::ASi];

    /// The plan's word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Mono => "mono",
            Self::Poly => "poly",
            Self::Hjt => "hjt",
            Self::Cdte => "cdte",
            Self::Cigs => "cigs",
            Self::ASi => "a-si",
        }
    }

    /// Whether the crystalline table of voltage factors applies.
    #[must_use]
    pub fn is_crystalline(self) -> bool {
        matches!(self, Self::Mono | Self::Poly | Self::Hjt)
    }
}

/// Cells in series, as resolved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cells {
    /// As the plan prints it.
    pub printed: Option<u32>,
    /// For the central figures: divided where the printed count is of half or shingled cells.
    pub central: f64,
    /// For the bound: never more than the true count, since too many cells read low in dim light.
    pub bound: f64,
}

/// The voltage coefficient of a label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum VocCoefficient {
    /// As printed, a fraction of Voc per kelvin, negative.
    Printed(f64),
    /// Not printed: the stated bound, a fraction of Voc per kelvin, negative.
    Bound(f64),
}

impl VocCoefficient {
    /// Fraction of Voc per kelvin, negative.
    #[must_use]
    pub fn per_k(self) -> f64 {
        match self {
            Self::Printed(value) | Self::Bound(value) => value,
        }
    }
}

/// A label, validated and resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its name in the plan.
    pub id: String,
    /// Open-circuit voltage at 1000 W/m2 and 25 C cell.
    pub voc: Volts,
    /// Short-circuit current there.
    pub isc: Amps,
    /// Voltage at maximum power there.
    pub vmp: Option<Volts>,
    /// Current at maximum power there.
    pub imp: Option<Amps>,
    /// What the cells are made of.
    pub technology: Technology,
    /// Cells in series.
    pub cells: Cells,
    /// Temperature coefficient of Voc.
    pub voc_coefficient: VocCoefficient,
    /// Temperature coefficient of Isc, a fraction per kelvin.
    pub isc_per_k: f64,
    /// Whether `isc_per_k` is printed on the label.
    pub isc_coefficient_is_printed: bool,
    /// Largest series fuse.
    pub max_series_fuse: Option<Amps>,
    /// Largest system voltage.
    pub max_system: Option<Volts>,
    /// How far a panel's Voc may lie above its label, a fraction; `worst_case` alone uses it.
    pub tolerance: f64,
    /// Rear over front efficiency, 0 to 1.
    pub bifacial: f64,
    /// What was assumed or looks odd.
    pub notes: Vec<Note>,
    /// Those of them that doubt what was typed.
    pub doubts: Vec<Note>,
}
