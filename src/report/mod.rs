//! Results become a document: text, HTML, CSV, JSON and charts. Pure: results in, strings or bytes out.

mod asides;
pub mod charts;
mod clean;
pub mod csv;
mod glance;
pub mod hours;
mod html;
mod json;
mod meter;
mod show;
pub mod survey;
pub mod text;
mod view;

pub use clean::block as clean_text;
pub use html::html;
pub use json::{json, stations_json};
pub use meter::{meter, meter_csv};
pub use show::Units;
