//! Numbers that the curves of a module share.

/// Boltzmann's constant over the elementary charge, V/K [CODATA2018].
pub(super) const BOLTZMANN_OVER_CHARGE_V_K: f64 = 8.617_333_262e-5;

/// Light of the label, W/m2 (standard test conditions, IEC 60904-3).
pub(super) const LABEL_W_M2: f64 = 1000.0;

/// Cell temperature of the label, C.
pub(super) const LABEL_CELL_C: f64 = 25.0;
