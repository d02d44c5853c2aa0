//! Cell temperature: warmed by the sun, cooled by the sky.

mod cooling;
mod mount;
mod steady;

pub use cooling::sky_cooling_k;
pub use mount::Mount;
pub use steady::{CALM_UNKNOWN_M_S, FaimanLoss, SandiaHeat, faiman, hottest, sandia, steady};
