//! A controller as its volts decide: it starts when the array's open-circuit volts reach the battery's with a margin,
//! and stops when they fall below another under load. Common practice, no source; margins come from the plan.

use crate::array::{Battery, Component, ComponentKind, ControllerType};
use crate::hourly::LowSide;
use crate::study::results::LowLost;

/// What a controller asks of the volts of an array.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Open-circuit volts at which it starts.
    pub start_v: f64,
    /// Volts under load that it needs.
    pub run_v: f64,
    /// Charge volts of the battery.
    pub battery_v: f64,
    /// Panels in series for one panel of the groups that are looked at.
    pub in_series: f64,
    /// Its type.
    pub kind: ControllerType,
}

impl Demand {
    /// The plan's word for its type.
    #[must_use]
    pub fn kind_word(&self) -> &'static str {
        match self.kind {
            ControllerType::Mppt => "mppt",
            ControllerType::Pwm => "pwm",
        }
    }
}

/// What a controller asks for over a battery, and its largest charge current; `None` for other components. A pwm
/// controller joins array and battery: no margin, but volts under load above the battery's.
#[must_use]
pub fn demand(component: &Component, battery: &Battery) -> Option<(Demand, Option<f64>)> {
    let ComponentKind::Controller { start_above_battery, run_above_battery, max_charge, kind, .. } =
        &component.kind
    else {
        return None;
    };
    let charge = battery.charge.0;
    let (start_v, run_v) = match kind {
        ControllerType::Mppt => (charge + start_above_battery.0, charge + run_above_battery.0),
        ControllerType::Pwm => (charge, charge),
    };
    let demand = Demand { start_v, run_v, battery_v: charge, in_series: 1.0, kind: *kind };
    Some((demand, max_charge.map(|amps| amps.0)))
}

/// One end of the band.
#[derive(Clone, Copy, Debug, Default)]
struct End {
    runs: bool,
    lost_h: [f64; 12],
    /// By month, W times hours: whole; lost because it does not run; wasted in the volts above the battery's.
    whole: [f64; 12],
    lost: [f64; 12],
    above: [f64; 12],
}

impl End {
    fn take(
        &mut self,
        demand: &Demand,
        (open_v, load_v): (f64, f64),
        imp_a: f64,
        month: usize,
        is_sun: bool,
    ) {
        let (open_v, load_v) = (open_v * demand.in_series, load_v * demand.in_series);
        self.runs = if self.runs {
            load_v >= demand.run_v
        } else {
            open_v >= demand.start_v && load_v >= demand.run_v
        };
        let watts = load_v * imp_a;
        self.whole[month] += watts;
        if !self.runs {
            self.lost[month] += watts;
            self.lost_h[month] += f64::from(u8::from(is_sun));
        } else if demand.kind == ControllerType::Pwm && load_v > 0.0 {
            // Current passes straight: the volts above the battery's are wasted.
            self.above[month] += watts * (1.0 - demand.battery_v / load_v).max(0.0);
        }
    }

    fn result(&self, kind: ControllerType, scale: &[f64; 12]) -> LowLost {
        let by_month: [f64; 12] = std::array::from_fn(|month| self.lost_h[month] * scale[month]);
        let total =
            |values: &[f64; 12]| values.iter().zip(scale).map(|(value, scale)| value * scale).sum::<f64>();
        let whole = total(&self.whole);
        let percent = |part: &[f64; 12]| if whole > 0.0 { 100.0 * total(part) / whole } else { 0.0 };
        LowLost {
            hours: by_month.iter().sum(),
            by_month,
            harvest_percent: percent(&self.lost),
            above_battery_percent: (kind == ControllerType::Pwm).then(|| percent(&self.above)),
        }
    }
}

/// A controller through the hours, at both ends of the band.
pub(super) struct Tracker {
    demand: Demand,
    hot: End,
    cool: End,
}

impl Tracker {
    pub(super) fn new(demand: Demand) -> Self {
        Self { demand, hot: End::default(), cool: End::default() }
    }

    /// Night, or an hour outside the trip: it stops.
    pub(super) fn rest(&mut self) {
        self.hot.runs = false;
        self.cool.runs = false;
    }

    pub(super) fn take(&mut self, side: &LowSide, imp_a: f64, month: usize, is_sun: bool) {
        self.hot.take(&self.demand, (side.voc_hot.0, side.vmp_hot.0), imp_a, month, is_sun);
        self.cool.take(&self.demand, (side.voc_cool.0, side.vmp_cool.0), imp_a, month, is_sun);
    }

    pub(super) fn lost(&self, scale: &[f64; 12]) -> (LowLost, LowLost) {
        (self.hot.result(self.demand.kind, scale), self.cool.result(self.demand.kind, scale))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Volts;

    fn side(open_v: f64, load_v: f64) -> LowSide {
        LowSide {
            vmp_hot: Volts(load_v),
            vmp_cool: Volts(load_v),
            voc_hot: Volts(open_v),
            voc_cool: Volts(open_v),
        }
    }

    fn mppt(battery_v: f64, in_series: f64) -> Demand {
        Demand {
            start_v: battery_v + 5.0,
            run_v: battery_v + 1.0,
            battery_v,
            in_series,
            kind: ControllerType::Mppt,
        }
    }

    fn lost_hours(demand: Demand, hours: &[(f64, f64)]) -> f64 {
        let mut tracker = Tracker::new(demand);
        for &(open_v, load_v) in hours {
            tracker.take(&side(open_v, load_v), 5.0, 6, true);
        }
        tracker.lost(&[1.0; 12]).0.hours
    }

    // One panel of 22.5 V (-0.30 %/K; 18.6 V at -0.40 %/K under load) on 14.2 V, worked by hand: cells at 70 C give
    // 19.5 V and 15.3 V, which start (19.2 V) and run (15.2 V); at 80 C 18.8 V and 14.5 V do neither. Margins of 5 and
    // 1 V: common practice, no source.
    #[test]
    fn one_panel_on_twelve_volts_in_the_heat() {
        assert!(lost_hours(mppt(14.2, 1.0), &[(19.46, 15.25)]).abs() < 1e-9);
        assert!((lost_hours(mppt(14.2, 1.0), &[(18.79, 14.51)]) - 1.0).abs() < 1e-9);
        // started in the cool of the morning, stopped by the heat at noon
        assert!((lost_hours(mppt(14.2, 1.0), &[(21.0, 17.0), (18.79, 14.51)]) - 1.0).abs() < 1e-9);
        // once running it stays on below the volts at which it would start
        assert!(lost_hours(mppt(14.2, 1.0), &[(21.0, 17.0), (18.9, 15.3)]).abs() < 1e-9);
    }

    // 24 V (28.4 V): two such panels at 80 C open at 37.6 V and hold 29.0 V: they would start (33.4 V) and fall below
    // the 29.4 V that it needs; three do both. 48 V (56.8 V): three at 70 C open at 58.4 V, below 61.8 V; four start.
    #[test]
    fn more_volts_of_battery_ask_for_more_panels() {
        assert!((lost_hours(mppt(28.4, 2.0), &[(18.79, 14.51)]) - 1.0).abs() < 1e-9);
        assert!(lost_hours(mppt(28.4, 3.0), &[(18.79, 14.51)]).abs() < 1e-9);
        assert!((lost_hours(mppt(56.8, 3.0), &[(19.46, 15.25)]) - 1.0).abs() < 1e-9);
        assert!(lost_hours(mppt(56.8, 4.0), &[(19.46, 15.25)]).abs() < 1e-9);
    }

    // Two panels in series on a 12 V pwm controller bring about half their power, three a third (read in trade pages).
    #[test]
    fn pwm_loses_the_volts_above_the_battery() {
        for (in_series, share) in [(2.0, 0.5), (3.0, 1.0 / 3.0)] {
            let demand =
                Demand { start_v: 14.2, run_v: 14.2, battery_v: 14.2, in_series, kind: ControllerType::Pwm };
            let mut tracker = Tracker::new(demand);
            tracker.take(&side(18.0, 14.2), 5.0, 6, true);
            let lost = tracker.lost(&[1.0; 12]).0;
            let above = lost.above_battery_percent.unwrap_or_default();
            assert!((above - 100.0 * (1.0 - share)).abs() < 1e-9, "{in_series}: {above}");
            assert!(lost.harvest_percent.abs() < 1e-9, "it runs: nothing is lost to low volts");
        }
    }
}
