//! The arrangement on the vehicle: strings, mounts, battery, components, as validated types.

mod battery;
mod component;
mod string;

pub use battery::{Battery, Chemistry};
pub use component::{Carries, Component, ComponentKind, Conductor, ControllerType, Poles};
pub use string::{Array, Heading, StringGroup, Tilt};
