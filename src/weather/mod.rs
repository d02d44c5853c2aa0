//! Public hourly weather files: detected, read, cleaned, joined to the record of a station.

mod at_rest;
mod by_station;
mod cells;
mod civil_clock;
mod clean;
mod clock_check;
mod columns;
mod detect;
mod error;
mod folders;
mod formats;
mod gaps;
mod gather;
mod open;
mod places;
mod reading;
mod record;
mod rows;
mod scan;
mod seasons;
mod source;
mod station;
mod straight;
mod tally;

pub use by_station::{by_station, is_mixture};
pub use clock_check::{best_shift_min, clock_note};
pub use columns::{AirUnit, CloudUnit, Columns, StampMeaning, WindUnit};
pub use error::WeatherError;
pub use folders::{Found, Identity, files_below, fingerprint, identity};
pub use gaps::{Gap, gap_note, gaps_near_lows};
pub use open::{As, Opened, Request, formats, open, open_bytes};
pub use places::{ListedPlace, Places};
pub use record::{Chronological, FileFacts, Hour, Origin, Published, Record, Station, TypicalYear};
pub use seasons::{COMPLETE_SHARE, SeasonCoverage, hemisphere, seasons};
