//! The runs: each returns one results type or hands rows to a sink.

mod assess;
mod changes;
mod collect;
mod error;
mod figures;
mod hours;
mod hours_row;
mod information;
mod lines;
mod needs;
mod notes;
mod often;
mod open_stop;
pub mod pictures;
mod record_facts;
pub mod results;
mod starter_weather;
mod station;
mod steps;
mod strip;
mod summary;
mod temperatures;
mod trip;
mod wiring;
mod words;

pub use assess::{Choice, Detail, SCHEMA, assess};
pub use error::StudyError;
pub use hours::hours;
pub use hours_row::HourRow;
pub use needs::next_class_v;
pub use open_stop::OpenStop;
pub use starter_weather::starter_weather;
pub use station::{FileRead, LevelLow, MonthLows, StationWeather, station, stations};
pub use summary::counted;
pub use words::tidy;
