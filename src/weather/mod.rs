//! Public hourly weather files: detected, read, cleaned, joined to the record of a station.

mod columns;
mod record;

pub use columns::{AirUnit, CloudUnit, Columns, StampMeaning, WindUnit};
pub use record::{Chronological, FileFacts, Hour, Origin, Published, Record, Station, TypicalYear};
