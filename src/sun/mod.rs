//! Where the sun is, and what the air does to its light on the way down.

mod atmosphere;
mod geocentric;
mod moment;
mod node_table;
mod shared;
mod track;
mod turn;

pub use atmosphere::{
    Refraction, STANDARD_PRESSURE_PA, apparent_zenith_deg, pressure_pa, refraction_deg, relative_air_mass,
};
pub use geocentric::{Geocentric, Nodes, SOLAR_CONSTANT_W_M2, SunError};
pub use moment::{HourSun, LIT_ELEVATION_DEG, STEPS, SunMoment};
pub use shared::SharedNodes;
pub(crate) use track::PARALLAX_ARCSECONDS;
pub use track::Track;
