//! The rules: a rating against what was observed, counted and expected.

mod verdict;

pub use verdict::{DecidedBy, Verdict};
