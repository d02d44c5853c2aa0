//! From a panel's label to its voltages and currents.

mod cells;
mod code;
mod coefficient;
mod label;
mod open_circuit;
mod read;
mod short_circuit;

pub use code::{CodeBasis, CodeSum, code_sum, table_factor};
pub use label::{Cells, Label, Technology, VocCoefficient};
pub use open_circuit::{DIMMEST_W_M2, StringCurve};
pub use read::{LabelError, RawLabel};
pub use short_circuit::short_circuit;
