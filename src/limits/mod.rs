//! The rules: a rating against what was observed, counted and expected.

pub mod current;
pub mod mistakes;
pub mod poles;
pub mod rules;
mod verdict;
pub mod voltage;

pub use verdict::{DecidedBy, Verdict};
