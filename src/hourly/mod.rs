//! One hour of weather in, one hour of electrical state out; the loop over a record; seasons and windows.

mod blocks;
mod count;
mod cover;
mod daylight;
mod fold;
mod hour;
mod light;
mod low_side;
mod power;
mod site;
mod voltage;

pub use blocks::Blocks;
pub use count::{Clock, Count, Over};
pub use cover::{DayCover, MARGIN_DAYS};
pub use daylight::{Daylight, daylight_lows, hours_until_light};
pub use fold::{Block, CurrentSeen, Loop, PeakMoment, Seen, each_hour, fold};
pub use hour::{Air, GroupHour, LitHour, ReadyGroup, Spot, middle_elevation_deg};
pub(crate) use light::{BURST, NEARLY_CLEAR};
pub use light::{HourSky, Plane, PlaneLight, Rear};
pub use low_side::{AGEING, CABLE_DROP, LowGroup, LowHour, LowLosses, LowSide};
pub use power::{ArrayPower, ReadyPower, array_power};
pub use site::Site;
pub use voltage::{ByVoltage, Voltage};
