//! What light falls: what a record holds, clear sky, clouds, splitting, light on a tilted plane.

mod clear;
mod cloud;
mod light;
mod plane;
mod split;

pub(crate) use clear::LARGEST_AIR_MASS;
pub use clear::{ClearSky, Enhancement, IneichenInput, default_turbidity, haurwitz, ineichen};
pub use cloud::{cloud_edge_factor, cloud_factor};
pub use light::{Light, Parts};
pub(crate) use plane::CAP_FROM_DEG;
pub use plane::{
    ALBEDO, ALBEDO_SNOW, Aim, HayDaviesInput, PlaneInput, PlaneLight, PlaneSun, hay_davies, plane,
};
pub use split::{Clearness, erbs};
