//! Plain numbers: root finding, interpolation, quantiles.

mod root;

pub use root::{bisect, edge};
