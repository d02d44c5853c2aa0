//! From a panel's label to its voltages and currents.

mod bifacial;
mod cells;
mod code;
mod coefficient;
mod curve;
mod label;
mod open_circuit;
mod read;
mod short_circuit;
mod test_conditions;

pub use bifacial::{RearInput, rear_light, with_rear};
pub use code::{CodeBasis, CodeSum, code_reaches, code_sum, table_factor};
pub use curve::{Curve, Diode, Fit, FitQuality, FiveParameters, Power, StringPower, Top};
pub use label::{Cells, Label, Technology, VocCoefficient};
pub use open_circuit::{DIMMEST_W_M2, StringCurve};
pub use read::{LabelError, RawLabel};
pub use short_circuit::{CurrentRange, short_circuit, string_short_circuit};
