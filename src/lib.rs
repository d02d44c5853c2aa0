//! Worst-case voltage and current of a camper vehicle's solar strings, hour by hour, from public weather files.
//!
//! The command line (`cli`) is one user of this library. Three ways to use it without:
//!
//! ## One hour by hand
//!
//! Sun, sky, cell and volts for one place and moment, each a plain function of numbers. The panel and the place are
//! invented.
//!
//! ```
//! use dawnvolt::heat::{self, Mount};
//! use dawnvolt::module::{Label, RawLabel, StringCurve, string_short_circuit};
//! use dawnvolt::sky::ClearSky;
//! use dawnvolt::sun::{Nodes, Track};
//! use dawnvolt::time::Stamp;
//! use dawnvolt::units::Celsius;
//!
//! // Three panels in series, as their label prints them.
//! let label = Label::read(RawLabel {
//!     id: "roof100".into(),
//!     voc_v: 22.5,
//!     isc_a: 5.8,
//!     voc_temp_coeff: Some("-0.30 %/K".into()),
//!     ..RawLabel::default()
//! })?;
//! let string = vec![label; 3];
//!
//! // A clear morning of early March on the plains, 1200 m above the sea: the sun at the interval's middle.
//! let start = Stamp::from_utc(2031, 3, 2, 16, 0, 0).ok_or("no such moment")?;
//! let nodes = Nodes::covering(start, start.plus_s(3600))?;
//! let sun = Track::new(&nodes, 46.2, -103.5).hour(start, 3600);
//! let light = ClearSky::at(1200.0, None).global(sun.middle.cos_zenith, sun.extraterrestrial_w_m2);
//! assert!((350.0..500.0).contains(&light));
//!
//! // Steady: the cell warmed by that light. Sudden sun: the panel still as cold as the air.
//! let air = Celsius(-24.0);
//! let cell = heat::steady(Mount::Roof, air, light, Some(3.0));
//! let curve = StringCurve::central(&string);
//! let steady = curve.volts(light, cell).ok_or("too dim to compute")?;
//! let sudden = curve.volts(light, air).ok_or("too dim to compute")?;
//! assert!(cell.0 > air.0 && sudden.0 > steady.0);
//! // Cold and a fraction of full sun: above the sum of the labels already.
//! assert!(sudden.0 > 3.0 * 22.5);
//! let current = string_short_circuit(&string, light, cell).ok_or("no panels")?;
//! assert!((current.largest.0 - 5.8 * light / 1000.0).abs() < 0.2);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! ## A station's design temperature
//!
//! Any known format, plain or packed, several files of one station at once. These files are invented.
//!
//! ```
//! use dawnvolt::study;
//! use dawnvolt::weather::{Request, open};
//!
//! let files = ["data/demo/weather/invented-cinder-ford.csv.gz".into()];
//! let opened = open(&Request { files: &files, columns: None, utc_offset: None })?;
//! let station = study::station(&opened, None)?;
//! let air = &station.design_temperature_c;
//! let (lowest, usual) = (air.record_low.ok_or("no reading")?, air.mean_annual_low.ok_or("no whole season")?);
//! assert!(lowest <= usual);
//! println!("lowest {lowest:.1} C, mean of the annual lows {usual:.1} C");
//! // Every remark that the files deserve, and every gap, is in the notes.
//! for note in &station.notes {
//!     println!("{}", note.text);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! ## A string's worst voltage
//!
//! A plan, assessed at one of its stops; `None` stands for all of them.
//!
//! ```
//! use dawnvolt::study::{self, Choice};
//! use std::path::Path;
//!
//! let plan = dawnvolt::plan::load(Path::new("data/demo/plan.toml"))?;
//! let choice = Choice { stop: Some("Cinder Ford".into()), ..Choice::default() };
//! let assessment = study::assess(&plan, &choice)?;
//! let array = &assessment.stops[0].arrays[0];
//! let volts = &array.voltage_v;
//! // A panel parked in steady sun shows less than the cold panel that meets sudden sun; the strongest that labels allow
//! // under a clear sky shows most.
//! assert!(volts.steady.max < volts.sudden_sun.max && volts.sudden_sun.max < volts.worst_case.max);
//! println!("{:?}: at most {:?} V, at {:?}", assessment.verdict, volts.worst_case.max, volts.worst_case.at);
//! for limit in &array.limits {
//!     println!("{}: {:?}", limit.component, limit.verdict);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Everything is pure below three rooms: files are opened in [`weather`] (records), [`plan`] (a plan and the names of its
//! weather files) and [`cli`]. The rooms, who may use whom, and the path of one hour are described in `DEVELOPERS.md`.
//! A figure informs and certifies nothing.

#![deny(missing_docs)]
#![forbid(unsafe_code)]
#![allow(
    rustdoc::broken_intra_doc_links,
    reason = "keys of the source list stand in brackets, as in a paper; `tests/docs.rs` checks each of them"
)]

pub mod array;
pub mod assumptions;
pub mod cite;
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
