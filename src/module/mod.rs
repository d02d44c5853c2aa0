//! From a panel's label to its voltages and currents.

mod label;

pub use label::{Cells, Label, Technology, VocCoefficient};
