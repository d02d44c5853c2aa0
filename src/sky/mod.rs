//! What light falls: what a record holds, clear sky, clouds, splitting, light on a tilted plane.

mod light;

pub use light::Light;
