//! Short-circuit current.

use crate::module::Label;
use crate::units::{Amps, Celsius};

/// Short-circuit current of one panel: Isc (G/1000) (1 + alpha (T - 25)) [DESOTO2006].
///
/// `irradiance_w_m2` on the front of the panel, 0 or more; below 10 W/m2 it is not a figure to show. 95 % of open
/// measurements lie within 1.6 %.
#[must_use]
pub fn short_circuit(label: &Label, irradiance_w_m2: f64, cell: Celsius) -> Amps {
    Amps(label.isc.0 * (irradiance_w_m2 / 1000.0) * (1.0 + label.isc_per_k * (cell.0 - 25.0)))
}
