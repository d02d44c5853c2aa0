//! Cell temperature.

mod mount;

pub use mount::Mount;
