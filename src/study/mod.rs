//! The runs: each returns one results type.

pub mod results;
