//! Plain numbers: root finding, interpolation, quantiles.
