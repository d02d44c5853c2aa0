//! Worst-case voltage and current of a camper vehicle's solar strings, hour by hour, from public weather files.
//!
//! The rooms, who may use whom, and the path of one hour are described in `DEVELOPERS.md`.

#![allow(
    rustdoc::broken_intra_doc_links,
    reason = "keys of the source list stand in brackets, as in a paper; `tests/docs.rs` checks each of them"
)]

pub mod array;
pub mod assumptions;
pub mod cli;
pub mod extreme;
pub mod heat;
pub mod hourly;
pub mod limits;
pub mod module;
pub mod note;
pub mod num;
pub mod place;
pub mod plan;
pub mod report;
pub mod sky;
pub mod sources;
pub mod study;
pub mod sun;
pub mod time;
pub mod trip;
pub mod units;
pub mod weather;
