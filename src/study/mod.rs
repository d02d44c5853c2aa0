//! The runs: each returns one results type.

mod hours_row;
pub mod pictures;
pub mod results;

pub use hours_row::HourRow;
