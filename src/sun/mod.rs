//! Where the sun is.

mod moment;

pub use moment::{HourSun, LIT_ELEVATION_DEG, STEPS, SunMoment};
