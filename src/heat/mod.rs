//! Cell temperature: warmed by the sun, cooled by the sky.

mod cooling;
mod mount;
mod steady;
mod transient;

pub use cooling::sky_cooling_k;
pub use mount::Mount;
pub use steady::{CALM_UNKNOWN_M_S, FaimanLoss, SandiaHeat, faiman, hottest, sandia, steady};
pub use transient::{GLASS_PANEL_KG_M2, IntoSun, lagged, response_per_s, seconds_to_warm_by};
