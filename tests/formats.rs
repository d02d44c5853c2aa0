//! Readers against real and hand-made files: station, first, last and chosen hours, notes, refusals.
//!
//! Each folder under `tests/formats/` says in its PROVENANCE.md where its files come from. Expected values of real
//! files were computed with pandas 3.1.1 from the files themselves, beside this code and without it.

#![expect(clippy::unwrap_used)]

mod formats {
    mod clock;
    mod extremes;
    mod generic;
    mod global_hourly;
    mod isd_lite;
    mod opened;
    mod readers_grids;
    mod readers_stations;
    mod rewritten;
    mod tmy3;
}
