//! The cases to compare: counts in series and in parallel, batteries, controllers.

use super::fitting::{self, Fitting, RUN_ABOVE_BATTERY, START_ABOVE_BATTERY};
use super::for_amps;
use super::results::SeriesOption;
use super::{
    Battery, CEILING_WITHOUT_RATING_V, Component, Demand, LimitLine, MOST_IN_SERIES, PAST_CEILING,
    StringGroup, low_side,
};
use crate::array::{Array, Carries, ComponentKind, ControllerType};
use crate::assumptions::Rules;
use crate::limits::rules::fuse;
use crate::limits::{Verdict, poles};
use crate::study::information;
use crate::study::low_side::ChargeLimit;
use crate::study::one_pole::halves;
use crate::study::trunk::Asked;

/// One arrangement with one battery and one controller.
pub(super) struct Case {
    pub(super) in_series: usize,
    pub(super) in_parallel: usize,
    pub(super) panels_left_over: usize,
    pub(super) panels_missing: usize,
    pub(super) battery: Option<Battery>,
    /// The plan's controller that it stands on; `None` where it is of a class that was asked for, or none is named.
    pub(super) controller: Option<String>,
    pub(super) array: Array,
}

/// All of them.
pub(super) struct Cases {
    pub(super) list: Vec<Case>,
}

impl Cases {
    pub(super) fn new(
        array: &Array,
        unit: &[StringGroup],
        batteries: &[Option<Battery>],
        fittings: &[Fitting],
        panels: usize,
    ) -> Self {
        let mut list = Vec::new();
        for battery in batteries {
            for fitting in fittings {
                for in_series in 1..=largest_count(unit, &fitting.components) {
                    // A count beyond the panels that there are is shown with one string.
                    for in_parallel in 1..=(panels / in_series).max(1) {
                        let used = in_series * in_parallel;
                        list.push(Case {
                            in_series,
                            in_parallel,
                            panels_left_over: panels.saturating_sub(used),
                            panels_missing: used.saturating_sub(panels),
                            battery: *battery,
                            controller: fitting.controller.clone(),
                            array: Array {
                                name: array.name.clone(),
                                groups: groups(unit, in_series, in_parallel),
                                components: fitting.components.clone(),
                                battery: *battery,
                            },
                        });
                    }
                }
            }
        }
        Self { list }
    }
}

/// The largest count worth a look: label volts are below any cold figure, so the count that holds cannot be larger than
/// the smallest rating over the label's volts.
fn largest_count(unit: &[StringGroup], components: &[Component]) -> usize {
    let rating = components
        .iter()
        .filter_map(|component| poles::dc_volts(component).ok())
        .fold(f64::INFINITY, f64::min);
    let rating = if rating.is_finite() { rating } else { CEILING_WITHOUT_RATING_V };
    let label = unit.iter().map(StringGroup::label_voc_v).fold(0.0, f64::max);
    let count = if label > 0.0 { (rating / label).floor() as usize } else { 0 };
    (count + PAST_CEILING).min(MOST_IN_SERIES)
}

/// The strings spread over the mounts of the plan as evenly as they go.
fn groups(unit: &[StringGroup], in_series: usize, in_parallel: usize) -> Vec<StringGroup> {
    let mounts = unit.len().max(1);
    unit.iter()
        .enumerate()
        .filter_map(|(index, one)| {
            let share = share(in_parallel, mounts, index);
            let label = one.modules.first()?;
            (share > 0).then(|| StringGroup {
                modules: vec![label.clone(); in_series],
                in_parallel: u32::try_from(share).unwrap_or(u32::MAX),
                ..one.clone()
            })
        })
        .collect()
}

/// Strings on one of the mounts.
fn share(in_parallel: usize, mounts: usize, index: usize) -> usize {
    in_parallel / mounts + usize::from(index < in_parallel % mounts)
}

impl Case {
    /// What its controller charges with at most, where that is less than the labels give; for groups of one panel on each of so many
    /// mounts.
    pub(super) fn charge_limit(&self, mounts: usize) -> Option<ChargeLimit> {
        let (watts, _) = self.clips_w()?;
        let strings = (0..mounts).map(|index| share(self.in_parallel, mounts, index) as f64).collect();
        Some(ChargeLimit { watts, in_series: self.in_series as f64, strings })
    }

    /// What the controller asks for over this battery; without a controller, what an mppt one would.
    pub(super) fn demand(&self) -> Option<Demand> {
        let battery = self.battery.as_ref()?;
        let stated = self.array.components.iter().find_map(|part| low_side::demand(part, battery));
        let demand = stated.map_or_else(
            || Demand {
                start_v: battery.charge.0 + START_ABOVE_BATTERY.0,
                run_v: battery.charge.0 + RUN_ABOVE_BATTERY.0,
                battery_v: battery.charge.0,
                in_series: 1.0,
                kind: ControllerType::Mppt,
            },
            |(demand, _)| demand,
        );
        Some(Demand { in_series: self.in_series as f64, ..demand })
    }

    /// The largest charging amps of an mppt controller, and the battery's charge volts.
    fn takes(&self) -> Option<(f64, f64)> {
        let battery = self.battery.as_ref()?;
        let most_a = self.array.components.iter().find_map(|part| match part.kind {
            ComponentKind::Controller { max_charge, kind: ControllerType::Mppt, .. } => max_charge,
            _ => None,
        })?;
        Some((most_a.0, battery.charge.0))
    }

    /// What an mppt controller takes at most at the battery's charge volts, where the labels give more, W, and those.
    fn clips_w(&self) -> Option<(f64, f64)> {
        let (most_a, charge_v) = self.takes()?;
        let (takes_w, gives_w) = (most_a * charge_v, information::label_w(&self.array)?);
        (gives_w > takes_w).then_some((takes_w, gives_w))
    }

    /// An option with its limits and nothing else yet.
    pub(super) fn bare(&self, limits: Vec<LimitLine>, rules: Rules) -> SeriesOption {
        let verdict = limits.iter().map(crate::study::counted).fold(Verdict::Within, Verdict::or_worse);
        let demand = self.demand();
        let wanting = fuse::wanting(&self.array);
        let parts = || self.array.components.iter();
        SeriesOption {
            in_series: self.in_series,
            in_parallel: self.in_parallel,
            panels_left_over: self.panels_left_over,
            panels_missing: self.panels_missing,
            battery_v: self.battery.map(|battery| battery.nominal.0),
            controller_v: parts().find_map(fitting::controller_v),
            controller: self.controller.clone(),
            controller_max_isc_a: parts().find_map(fitting::controller_a),
            isc_a: self.array.carried_isc_a(Carries::Array),
            code_v: None,
            worst_case_20_year_v: None,
            steady_max_v: None,
            decide_v: None,
            outside: None,
            halves: halves(&self.array),
            hot_vmp_v: None,
            run_v: demand.map(|demand| demand.run_v),
            start_v: demand.map(|demand| demand.start_v),
            lost_start_hours_per_year: None,
            lost_start_hours_cool: None,
            harvest_lost_percent: None,
            harvest_lost_percent_cool: None,
            starving: None,
            above_battery_percent: None,
            above_battery_percent_cool: None,
            touch_class: None,
            string_fuses: wanting.map(|wanting| wanting.in_words(rules)),
            wanting,
            clips_w: self.clips_w(),
            clipped_percent: None,
            takes: self.takes(),
            for_amps: for_amps::of(&self.array, &limits, rules),
            asked: Asked::of(&self.array, rules),
            limits,
            rules,
            verdict,
        }
    }
}
