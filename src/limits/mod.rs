//! The rules: a rating against what was observed, counted and expected.

pub mod current;
pub mod poles;
mod verdict;
pub mod voltage;

pub use verdict::{DecidedBy, Verdict};
