//! The low-voltage side of an hour: how few volts a hot array may have left to start and to charge with. A band, since
//! nobody knows the wind between a panel and a roof.

use crate::array::StringGroup;
use crate::heat;
use crate::hourly::power::ReadyPower;
use crate::module::StringCurve;
use crate::units::{Celsius, Volts};

/// Share of its volts that a panel has lost with the years. Chosen as a few years of the half per cent a year of power
/// that makers allow for, of which volts lose less (common practice, no source).
pub const AGEING: f64 = 0.02;

/// Share of the volts at maximum power lost in the cable from panel to controller (common practice, no source: cables
/// are usually sized for 2 to 3 %).
pub const CABLE_DROP: f64 = 0.02;

/// What a group loses between its label and the controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowLosses {
    /// Share lost by age.
    pub ageing: f64,
    /// Share of the volts at maximum power lost in the cable; none without current.
    pub cable_drop: f64,
}

impl Default for LowLosses {
    fn default() -> Self {
        Self { ageing: AGEING, cable_drop: CABLE_DROP }
    }
}

/// A group made ready for its low side.
#[derive(Clone, Debug)]
pub struct LowGroup<'a> {
    group: &'a StringGroup,
    power: ReadyPower,
    open: StringCurve,
    /// Share of the labels' volts that a weak panel has, at no current.
    weak: f64,
    /// The same with current in the cable.
    weak_loaded: f64,
}

/// The hour as the low side sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowHour {
    /// Highest reading of the hour's air at the place.
    pub air_high: Celsius,
    /// Mean of the hour's air at the place.
    pub air_mean: Celsius,
    /// Wind, m/s.
    pub wind_m_s: f64,
    /// Mean light on the plane, W/m2.
    pub light_w_m2: f64,
}

/// How few volts are left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowSide {
    /// Volts at maximum power on the hottest credible cell: still air.
    pub vmp_hot: Volts,
    /// The same on a cell cooled by the file's wind: the other end of the band.
    pub vmp_cool: Volts,
    /// Open-circuit volts on the hottest credible cell: what a controller sees before it starts.
    pub voc_hot: Volts,
    /// The same on a cell cooled by the file's wind.
    pub voc_cool: Volts,
}

impl<'a> LowGroup<'a> {
    /// Makes a group ready.
    #[must_use]
    pub fn new(group: &'a StringGroup, losses: LowLosses) -> Self {
        let labels: f64 = group.modules.iter().map(|label| label.voc.0).sum();
        let weakest: f64 = group.modules.iter().map(|label| label.voc.0 * (1.0 - label.tolerance)).sum();
        let weak = weakest / labels * (1.0 - losses.ageing);
        Self {
            group,
            power: ReadyPower::new(group),
            open: StringCurve::central(&group.modules),
            weak,
            weak_loaded: weak * (1.0 - losses.cable_drop),
        }
    }

    /// The low side of one hour; `None` below 10 W/m2.
    ///
    /// Cells: [`heat::hottest`] on the hour's highest air, and [`heat::steady`] with the file's wind on its mean air.
    /// Volts: as labelled, less the label's tolerance, age and, under load, the cable's drop.
    #[must_use]
    pub fn hour(&self, hour: &LowHour) -> Option<LowSide> {
        let mount = self.group.mount;
        let hot = heat::hottest(mount, hour.air_high, hour.light_w_m2);
        let cool = heat::steady(mount, hour.air_mean, hour.light_w_m2, Some(hour.wind_m_s));
        let loaded = |cell| Some(Volts(self.power.string(hour.light_w_m2, cell)?.vmp.0 * self.weak_loaded));
        Some(LowSide {
            vmp_hot: loaded(hot)?,
            vmp_cool: loaded(cool)?,
            voc_hot: self.open_volts(hour)?,
            voc_cool: Volts(self.open.volts(hour.light_w_m2, cool)?.0 * self.weak),
        })
    }

    /// The open-circuit volts of [`Self::hour`] alone, which need no curve: `voc_hot`.
    #[must_use]
    pub fn open_volts(&self, hour: &LowHour) -> Option<Volts> {
        let hot = heat::hottest(self.group.mount, hour.air_high, hour.light_w_m2);
        Some(Volts(self.open.volts(hour.light_w_m2, hot)?.0 * self.weak))
    }
}

impl LowSide {
    /// Of two strings at one controller the higher counts: it is the one that starts it.
    #[must_use]
    pub fn higher(self, other: Self) -> Self {
        Self {
            vmp_hot: Volts(self.vmp_hot.0.max(other.vmp_hot.0)),
            vmp_cool: Volts(self.vmp_cool.0.max(other.vmp_cool.0)),
            voc_hot: Volts(self.voc_hot.0.max(other.voc_hot.0)),
            voc_cool: Volts(self.voc_cool.0.max(other.voc_cool.0)),
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::array::{Heading, Tilt};
    use crate::heat::Mount;
    use crate::module::{Label, RawLabel};

    /// A 12 V, 100 W panel of no maker (Voc 22.5, Isc 5.8, Vmp 18.6 V, -0.30 %/K), which stands for many.
    fn group(panels: usize, mount: Mount) -> StringGroup {
        let label = Label::read(RawLabel {
            id: "invented".into(),
            voc_v: 22.5,
            isc_a: 5.8,
            vmp_v: Some(18.6),
            imp_a: Some(5.38),
            cells_in_series: Some(36),
            voc_temp_coeff: Some("-0.30 %/K".into()),
            ..RawLabel::default()
        })
        .unwrap();
        StringGroup {
            modules: vec![label; panels],
            in_parallel: 1,
            mount,
            tilt: Tilt::Fixed(0.0),
            heading: Heading::Any,
            snow_ground: false,
        }
    }

    fn noon(air: f64, wind_m_s: f64, light_w_m2: f64) -> LowHour {
        LowHour { air_high: Celsius(air), air_mean: Celsius(air), wind_m_s, light_w_m2 }
    }

    #[test]
    fn a_hot_roof_leaves_what_the_trade_expects_of_such_a_panel() {
        // Common practice, no source: at 70 C cell such a panel opens at 19.5 V and holds about 15.3 V at maximum
        // power; at 80 C 18.8 and 14.5 V. Full sun on still 17 C air brings a roof panel to 80 C (63 K per kW/m2).
        let group = group(1, Mount::Roof);
        let ready = LowGroup::new(&group, LowLosses { ageing: 0.0, cable_drop: 0.0 });
        let side = ready.hour(&noon(17.0, 1.0, 1000.0)).unwrap();
        assert!((side.voc_hot.0 / 0.97 - 18.8).abs() < 0.05, "{side:?}");
        assert!((side.vmp_hot.0 / 0.97 - 14.5).abs() < 0.4, "{side:?}");
    }

    #[test]
    fn the_band_has_two_ends_and_every_loss_takes_its_share() {
        for mount in [Mount::Roof, Mount::Gap, Mount::Frame] {
            let group = group(2, mount);
            let bare = LowGroup::new(&group, LowLosses { ageing: 0.0, cable_drop: 0.0 });
            let worn = LowGroup::new(&group, LowLosses::default());
            for light in [50.0, 300.0, 1000.0] {
                let hour = noon(38.0, 4.0, light);
                let (bare, worn) = (bare.hour(&hour).unwrap(), worn.hour(&hour).unwrap());
                assert!(worn.vmp_hot.0 < worn.vmp_cool.0 && worn.vmp_hot.0 < worn.voc_hot.0);
                assert!((worn.vmp_hot.0 / bare.vmp_hot.0 - 0.98 * 0.98).abs() < 1e-12);
                assert!((worn.voc_hot.0 / bare.voc_hot.0 - 0.98).abs() < 1e-12);
            }
            assert_eq!(worn.hour(&noon(38.0, 4.0, 9.9)), None);
        }
    }
}
