//! Plain numbers: root finding, interpolation, quantiles.

mod order;
mod root;

pub use order::{larger, smaller};
pub use root::{bisect, edge};
