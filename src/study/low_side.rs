//! What heat and dim light cost: hours in which the volts of an array do not start its controller, or do not keep it
//! running, and the share of the harvest that goes with them. A band and never a limit.

mod clock;
mod controller;
mod fewer;
mod frost;
mod words;

use crate::array::{Array, Battery};
use crate::hourly::{LowGroup, LowHour, LowLosses, LowSide, ReadyGroup, each_hour};
use crate::study::OpenStop;
use crate::study::results::{LowLost, LowSide as LowSideResult};
use crate::sun::Nodes;
use crate::time::{Stamp, YEAR_H};
use crate::units::Celsius;
use clock::Months;
use controller::Tracker;
pub use controller::{Demand, demand};
pub use fewer::{FewerInSeries, RUN_ABOVE_BATTERY_V, START_ABOVE_BATTERY_V};
pub use frost::{BatteryFrost, hours_of_frost, is_lithium};
use words::Charged;

/// Light from which an hour counts as an hour of sun, W/m2 on the plane. Chosen because below a twentieth of full sun
/// there is next to nothing to harvest; the share of the harvest counts dimmer hours too.
pub const SUN_W_M2: f64 = 50.0;
/// Light from which the fewest volts under load are looked for, W/m2: the curve keeps its accuracy from here up.
const GOOD_LIGHT_W_M2: f64 = 400.0;
/// Years of a record that are looked at, its latest. Chosen because means of heat need no more, and the latest stand
/// nearest to what is to come.
const YEARS: f64 = 10.0;
/// Imp over Isc where a label prints no Imp: ordinary crystalline labels lie between 0.92 and 0.95.
const IMP_OVER_ISC: f64 = 0.93;
/// Air below which a lithium battery takes no charge, C (common practice, no source: makers' charge windows begin at 0).
const LITHIUM_CHARGES_FROM_C: f64 = 0.0;

/// What one array gives one controller, or several at once, over a record.
#[derive(Clone, Debug)]
pub struct LowRun {
    /// By demand, in the order asked: lost with hot cells, lost with cool ones.
    pub lost: Vec<(LowLost, LowLost)>,
    /// Hours of sun a year, or in the trip's days.
    pub sun_hours: f64,
    /// Fewest volts under load on the hottest cells seen in good light, one string.
    pub hot_vmp_v: Option<f64>,
    /// Months from 0, of the year or of the trip's days, of which the record holds no hour.
    pub unseen_months: Vec<usize>,
    /// Hours of sun with air below 0 C, by calendar month.
    pub below_0_c: [f64; 12],
    /// Share of the harvest, per cent, above each of the charge limits, in the order asked; `None` where there is no harvest.
    pub above_charge_percent: Vec<Option<f64>>,
    /// The most of any hour, W, on the panels of each of the charge limits; `None` where there is no harvest.
    pub most_w: Vec<Option<f64>>,
}

/// What is looked at.
#[derive(Clone, Copy)]
pub struct LowJob<'a> {
    /// The stop.
    pub open: &'a OpenStop<'a>,
    /// The sun's nodes.
    pub nodes: &'a Nodes,
    /// The groups; in `series` of one panel each.
    pub groups: &'a [ReadyGroup<'a>],
    /// What controllers ask for.
    pub demands: &'a [Demand],
    /// What controllers charge with at most, for the shares above it.
    pub charge_limits: &'a [ChargeLimit],
}

/// What a controller charges with at most, and the panels that stand on it.
#[derive(Clone, Debug, PartialEq)]
pub struct ChargeLimit {
    /// Its largest charge amps at the battery's charge volts, W.
    pub watts: f64,
    /// Panels in series for one panel of the groups that are looked at.
    pub in_series: f64,
    /// Strings for each string of the groups that are looked at, group by group.
    pub strings: Vec<f64>,
}

/// Looks at the latest ten years of a record.
#[must_use]
pub fn run(job: &LowJob<'_>) -> LowRun {
    let hours = job.open.opened.record.hours();
    let from = if job.open.is_chronological() {
        hours.last().map_or(Stamp(0), |last| last.start.plus_s(-(YEARS * YEAR_H * 3600.0) as i64))
    } else {
        Stamp(i64::MIN)
    };
    let first = hours.iter().position(|hour| hour.start >= from).unwrap_or(0);
    let recent = hours.get(first..).unwrap_or_default();
    let low: Vec<LowGroup<'_>> =
        job.groups.iter().map(|ready| LowGroup::new(ready.group, LowLosses::default())).collect();
    let amps: Vec<f64> = job.groups.iter().map(full_sun_amps).collect();
    let loop_job = job.open.bare_loop(job.nodes, job.groups);
    let mut months = Months::new(job.open.stop.window, job.open.site.offset);
    let mut trackers: Vec<Tracker> = job.demands.iter().map(|&demand| Tracker::new(demand)).collect();
    let mut sun = [0.0; 12];
    let mut below_0_c = [0.0; 12];
    let mut hot_vmp_v: Option<f64> = None;
    let mut each_a = vec![0.0; amps.len()];
    let mut clipped = vec![(0.0, 0.0); job.charge_limits.len()];
    let mut most_w = vec![0.0_f64; job.charge_limits.len()];
    let colder_k = job.open.site.colder_k();
    each_hour(&loop_job, recent, |hour, _, air, lit| {
        let Some(month) = months.take(hour.start) else {
            trackers.iter_mut().for_each(Tracker::rest);
            return;
        };
        let Some((_, groups)) = lit else {
            trackers.iter_mut().for_each(Tracker::rest);
            return;
        };
        let mut side: Option<LowSide> = None;
        let (mut brightest, mut imp_a) = (0.0_f64, 0.0);
        for (((low, group), full), each_a) in low.iter().zip(groups).zip(&amps).zip(&mut each_a) {
            brightest = brightest.max(group.light.mean);
            *each_a = full * group.light.mean / 1000.0;
            imp_a += *each_a;
            let this = low.hour(&LowHour {
                air_high: Celsius(f64::from(hour.air_high_c) - colder_k),
                air_mean: air.mean,
                wind_m_s: air.wind_m_s,
                light_w_m2: group.light.mean,
            });
            side = match (side, this) {
                (Some(a), Some(b)) => Some(a.higher(b)),
                (a, b) => a.or(b),
            };
        }
        let is_sun = brightest >= SUN_W_M2;
        if is_sun {
            sun[month] += 1.0;
            below_0_c[month] += f64::from(u8::from(air.mean.0 < LITHIUM_CHARGES_FROM_C));
        }
        let Some(side) = side else {
            trackers.iter_mut().for_each(Tracker::rest);
            return;
        };
        if brightest >= GOOD_LIGHT_W_M2 {
            hot_vmp_v = Some(hot_vmp_v.map_or(side.vmp_hot.0, |least| least.min(side.vmp_hot.0)));
        }
        for tracker in &mut trackers {
            tracker.take(&side, imp_a, month, is_sun);
        }
        for ((limit, (clipped, whole)), most_w) in job.charge_limits.iter().zip(&mut clipped).zip(&mut most_w)
        {
            let all_a: f64 = limit.strings.iter().zip(&each_a).map(|(strings, amps)| strings * amps).sum();
            let watts = side.vmp_cool.0 * limit.in_series * all_a;
            *whole += watts;
            *most_w = most_w.max(watts);
            *clipped += (watts - limit.watts).max(0.0);
        }
    });
    let scale = months.scale();
    let unseen_months = months.unseen();
    let scaled = |by_month: [f64; 12]| std::array::from_fn(|month| by_month[month] * scale[month]);
    let below_0_c: [f64; 12] = scaled(below_0_c);
    LowRun {
        lost: trackers.iter().map(|tracker| tracker.lost(&scale)).collect(),
        sun_hours: scaled(sun).iter().sum(),
        hot_vmp_v,
        unseen_months,
        below_0_c,
        above_charge_percent: clipped
            .iter()
            .map(|(clipped, whole)| (*whole > 0.0).then(|| 100.0 * clipped / whole))
            .collect(),
        most_w: most_w.into_iter().map(|watts| (watts > 0.0).then_some(watts)).collect(),
    }
}

/// That the record of a place holds not all months, so that the heat of some is in no figure; `None` where it does.
#[must_use]
pub fn unseen(open: &OpenStop<'_>) -> Option<String> {
    let mut months = Months::new(open.stop.window, open.site.offset);
    for hour in open.opened.record.hours() {
        months.take(hour.start);
    }
    words::unseen(&months.unseen()).map(|text| format!("the record of {} {text}", open.stop.place))
}

/// Whether a label has no working point, so that the hot side rests on a guessed one.
#[must_use]
pub fn is_guessed(array: &Array) -> bool {
    let mut labels = array.groups.iter().flat_map(|group| &group.modules);
    labels.any(|label| label.vmp.is_none() || label.imp.is_none())
}

/// What is said wherever the hot side decides and rests on a guess.
pub const GUESSED: &str = "this rests on a guessed operating voltage; give the label's volts and amps at full power (vmp_v and imp_a)";

/// Current at maximum power of a group in full sun, A.
fn full_sun_amps(ready: &ReadyGroup<'_>) -> f64 {
    let weakest = ready
        .group
        .modules
        .iter()
        .map(|label| label.imp.map_or(label.isc.0 * IMP_OVER_ISC, |imp| imp.0))
        .fold(f64::INFINITY, f64::min);
    if weakest.is_finite() { weakest * f64::from(ready.group.in_parallel) } else { 0.0 }
}

/// The low side of an array of the plan, without a battery empty.
#[derive(Default)]
pub struct OfArray {
    /// What its controller loses; `None` without one.
    pub result: Option<LowSideResult>,
    /// A lithium battery in frost, where no controller tells of it.
    pub frost: Option<BatteryFrost>,
    /// What each count in series up to the planned one would lose.
    pub fewer: Vec<FewerInSeries>,
}

/// The low side of an array of the plan.
#[must_use]
pub fn of_array(open: &OpenStop<'_>, nodes: &Nodes, array: &Array, groups: &[ReadyGroup<'_>]) -> OfArray {
    let Some(battery) = array.battery.as_ref() else { return OfArray::default() };
    let stated = array.components.iter().find_map(|component| {
        demand(component, battery).map(|(demand, most)| (component.name.clone(), demand, most))
    });
    let is_only_frost = stated.is_none() && array.modules_in_series() < 2;
    if is_only_frost && !is_lithium(battery) {
        return OfArray::default();
    }
    let demands = if is_only_frost {
        Vec::new()
    } else {
        fewer::demands(array, battery, stated.as_ref().map(|(_, demand, _)| *demand))
    };
    let max_charge = stated.as_ref().and_then(|(_, _, most)| *most);
    let charge_limits: Vec<ChargeLimit> = max_charge
        .map(|amps| ChargeLimit {
            watts: amps * battery.charge.0,
            in_series: 1.0,
            strings: vec![1.0; groups.len()],
        })
        .into_iter()
        .collect();
    let found = run(&LowJob { open, nodes, groups, demands: &demands, charge_limits: &charge_limits });
    let result = stated.and_then(|(name, demand, most)| result(open, battery, name, (demand, most), &found));
    let frost = match &result {
        Some(_) => None,
        None => frost::alone(battery, &found, open.stop.window.is_some()),
    };
    OfArray { result, frost, fewer: fewer::costs(open, array, battery, &found) }
}

fn result(
    open: &OpenStop<'_>,
    battery: &Battery,
    name: String,
    (demand, rated_a): (Demand, Option<f64>),
    found: &LowRun,
) -> Option<LowSideResult> {
    // The planned count stands last.
    let &(hot, cool) = found.lost.last()?;
    let lithium = is_lithium(battery);
    let mut result = LowSideResult {
        controller: name,
        kind: demand.kind_word().into(),
        battery_v: battery.charge.0,
        start_v: demand.start_v,
        run_v: demand.run_v,
        hot_vmp_v: found.hot_vmp_v,
        sun_hours: found.sun_hours,
        hot,
        cool,
        battery_below_0_c_hours: lithium.then(|| found.below_0_c.iter().sum()),
        battery_below_0_c_by_month: lithium.then_some(found.below_0_c),
        above_charge_limit_percent: found.above_charge_percent.first().copied().flatten(),
        text: String::new(),
    };
    let charged = found.most_w.first().copied().flatten().zip(rated_a);
    let charged = charged.map(|(watts, rated_a)| Charged { rated_a, most_a: watts / battery.charge.0 });
    result.text = words::of(&result, charged, open.stop.window.is_some());
    if let Some(unseen) = words::unseen(&found.unseen_months) {
        result.text.push_str(&format!(". The record {unseen}"));
    }
    Some(result)
}
