//! The cases to compare: counts in series and in parallel, batteries, controller classes.

use super::results::SeriesOption;
use super::{
    Battery, CEILING_WITHOUT_RATING_V, Component, Demand, LimitLine, MOST_IN_SERIES, PAST_CEILING,
    StringGroup, Volts, low_side,
};
use crate::array::{Array, Carries, ComponentKind, ControllerType};
use crate::limits::rules::fuse;
use crate::limits::{Verdict, poles};

/// Margins of a controller that the plan does not describe: common practice, no source.
pub(super) const START_ABOVE_BATTERY: Volts = Volts(low_side::START_ABOVE_BATTERY_V);
pub(super) const RUN_ABOVE_BATTERY: Volts = Volts(low_side::RUN_ABOVE_BATTERY_V);

/// One arrangement with one battery and one controller class.
pub(super) struct Case {
    pub(super) in_series: usize,
    pub(super) in_parallel: usize,
    pub(super) panels_left_over: usize,
    pub(super) panels_missing: usize,
    pub(super) battery: Option<Battery>,
    pub(super) controller_v: Option<f64>,
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
        controllers: &[f64],
        panels: usize,
    ) -> Self {
        let classes: Vec<Option<f64>> =
            if controllers.is_empty() { vec![None] } else { controllers.iter().copied().map(Some).collect() };
        let mut list = Vec::new();
        for battery in batteries {
            for &class in &classes {
                let components = components(array, class);
                for in_series in 1..=largest_count(unit, &components) {
                    // A count beyond the panels that there are is shown with one string.
                    for in_parallel in 1..=(panels / in_series).max(1) {
                        let used = in_series * in_parallel;
                        list.push(Case {
                            in_series,
                            in_parallel,
                            panels_left_over: panels.saturating_sub(used),
                            panels_missing: used.saturating_sub(panels),
                            battery: *battery,
                            controller_v: components.iter().find_map(controller_v),
                            array: Array {
                                name: array.name.clone(),
                                groups: groups(unit, in_series, in_parallel),
                                components: components.clone(),
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

fn controller_v(component: &Component) -> Option<f64> {
    match component.kind {
        ComponentKind::Controller { .. } => component.max_v.map(|volts| volts.0),
        _ => None,
    }
}

/// The components, with the controllers of another class where one is asked for.
fn components(array: &Array, class: Option<f64>) -> Vec<Component> {
    let mut components = array.components.clone();
    let Some(class) = class else { return components };
    let mut any = false;
    for component in &mut components {
        if let ComponentKind::Controller { max_operating, .. } = &mut component.kind {
            any = true;
            if component.max_v != Some(Volts(class)) {
                // Of another class nothing but its volts is known.
                *max_operating = None;
                component.max_v = Some(Volts(class));
            }
        }
    }
    if !any {
        components.push(Component {
            name: format!("controller of {class} V"),
            kind: ComponentKind::Controller {
                max_operating: None,
                max_isc: None,
                max_charge: None,
                start_above_battery: START_ABOVE_BATTERY,
                run_above_battery: RUN_ABOVE_BATTERY,
                kind: ControllerType::Mppt,
            },
            carries: Carries::Array,
            max_v: Some(Volts(class)),
            rated_a: None,
        });
    }
    components
}

/// The strings spread over the mounts of the plan as evenly as they go.
fn groups(unit: &[StringGroup], in_series: usize, in_parallel: usize) -> Vec<StringGroup> {
    let mounts = unit.len().max(1);
    unit.iter()
        .enumerate()
        .filter_map(|(index, one)| {
            let share = in_parallel / mounts + usize::from(index < in_parallel % mounts);
            let label = one.modules.first()?;
            (share > 0).then(|| StringGroup {
                modules: vec![label.clone(); in_series],
                in_parallel: u32::try_from(share).unwrap_or(u32::MAX),
                ..one.clone()
            })
        })
        .collect()
}

impl Case {
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

    /// An option with its limits and nothing else yet.
    pub(super) fn bare(&self, limits: Vec<LimitLine>) -> SeriesOption {
        let verdict = limits.iter().map(crate::study::counted).fold(Verdict::Within, Verdict::or_worse);
        let demand = self.demand();
        let wanting = fuse::wanting(&self.array);
        SeriesOption {
            in_series: self.in_series,
            in_parallel: self.in_parallel,
            panels_left_over: self.panels_left_over,
            panels_missing: self.panels_missing,
            battery_v: self.battery.map(|battery| battery.nominal.0),
            controller_v: self.controller_v,
            isc_a: self.array.carried_isc_a(Carries::Array),
            code_v: None,
            worst_case_20_year_v: None,
            steady_max_v: None,
            decide_v: None,
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
            string_fuses: wanting.map(fuse::Wanting::in_words),
            wanting,
            limits,
            verdict,
        }
    }
}
