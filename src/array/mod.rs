//! The arrangement on the vehicle: strings, mounts, battery, components, as validated types.

mod component;
mod string;

pub use component::{
    Battery, Carries, Chemistry, Component, ComponentKind, Conductor, ControllerType, Poles,
};
pub use string::{Array, Heading, StringGroup, Tilt};
