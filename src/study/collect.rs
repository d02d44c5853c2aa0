//! A second pass over a record for the report's pictures: calendar, exceedance, light against air, currents.

use crate::array::{Array, ComponentKind};
use crate::hourly::{Air, GroupHour, LitHour, Loop, LowGroup, LowHour, LowLosses, ReadyGroup, each_hour};
use crate::study::OpenStop;
use crate::study::pictures::{Calendar, CurrentDuration, Exceedance, LightAndAir, LimitCurve, Pictures};
use crate::study::results::ByVoltage;
use crate::time::{LocalDay, YEAR_H};
use crate::units::{Celsius, Volts};

/// Steps of the exceedance curve, V: finer than anyone reads off a chart.
const VOLT_STEP: f64 = 0.25;
/// Where that curve begins, as a share of the label's volts.
const FIRST_VOLTS: f64 = 0.6;
/// Where it ends.
const LAST_VOLTS: f64 = 1.45;
/// Steps of the current curve, as a share of the label's short-circuit current.
const AMP_STEP: f64 = 0.02;
/// Cells of the map of light against air.
const AIR_STEP_K: f64 = 1.0;
const LIGHT_STEP_W_M2: f64 = 25.0;
/// Ranges of that map: what lies outside is counted at its edge.
const AIR_C: (f64, f64) = (-70.0, 60.0);
const LIGHT_W_M2: f64 = 1400.0;
/// Light between points of a limit curve, W/m2.
const CURVE_STEP_W_M2: f64 = 20.0;
/// Days of the calendar, 29 February among them.
const DAYS: usize = 366;

/// A rating with its component's name, V.
pub type Rating<'a> = (&'a str, f64);

/// Goes through the whole record once more, whatever the trip's dates.
#[must_use]
pub fn pictures(job: &Loop<'_>, open: &OpenStop<'_>, ratings: &[Rating<'_>], array: &Array) -> Pictures {
    let mut tally = Tally::new(LabelFigures::of(array));
    let mut starts = LostStarts::new(array);
    let hours = open.opened.record.hours();
    each_hour(job, hours, |hour, sun, air, lit| {
        tally.hours += 1;
        let Some((state, groups)) = lit else { return };
        let day = hour.start.local_day(job.site.offset);
        tally.calendar(day, hour.start.local_hour(job.site.offset), state);
        tally.light_and_air(air.mean, state);
        tally.volts(job.groups, groups, air, sun.sun_up_fraction());
        tally.amps(state);
        if let Some(starts) = &mut starts {
            starts.take(day, air, groups, sun.sun_up_fraction());
        }
    });
    let lost_start_h = starts.map(|starts| starts.finish(tally.hours));
    Pictures { lost_start_h, ..tally.finish(job.groups, ratings) }
}

/// What the curves are scaled by.
#[derive(Clone, Copy, Debug)]
struct LabelFigures {
    /// Label volts of the highest string.
    voc_v: f64,
    /// Label short-circuit current of the array.
    isc_a: f64,
}

impl LabelFigures {
    /// From the array's labels.
    fn of(array: &Array) -> Self {
        let sums = array.groups.iter().map(|group| group.modules.iter().map(|label| label.voc.0).sum());
        Self { voc_v: sums.fold(0.0, f64::max), isc_a: array.label_isc_a() }
    }
}

/// Hours that are lit but in which the hottest credible, weakest array does not reach the volts at which its controller
/// starts.
struct LostStarts<'a> {
    groups: Vec<LowGroup<'a>>,
    /// Volts of the battery at charge and above it, of the controller that starts first.
    needed: f64,
    months: [f64; 12],
}

impl<'a> LostStarts<'a> {
    /// `None` where the plan names no battery or no controller.
    fn new(array: &'a Array) -> Option<Self> {
        let charge = array.battery.as_ref()?.charge.0;
        let above = array.components.iter().filter_map(|component| match &component.kind {
            ComponentKind::Controller { start_above_battery, .. } => Some(start_above_battery.0),
            _ => None,
        });
        let needed = charge + above.reduce(f64::min)?;
        let groups = array.groups.iter().map(|group| LowGroup::new(group, LowLosses::default())).collect();
        Some(Self { groups, needed, months: [0.0; 12] })
    }

    fn take(&mut self, day: LocalDay, air: &Air, groups: &[GroupHour], up: f64) {
        let volts = self.groups.iter().zip(groups).filter_map(|(low, group)| {
            low.open_volts(&LowHour {
                air_high: air.high,
                air_mean: air.mean,
                wind_m_s: air.wind_m_s,
                light_w_m2: group.light.mean,
            })
        });
        let Some(volts) = volts.map(|volts| volts.0).reduce(f64::max) else { return };
        if volts < self.needed
            && let Some(month) = self.months.get_mut(day.month_day().month as usize - 1)
        {
            *month += up;
        }
    }

    fn finish(self, hours: u64) -> [f64; 12] {
        self.months.map(|sum| sum * YEAR_H / hours.max(1) as f64)
    }
}

struct Tally {
    hours: u64,
    label: LabelFigures,
    days: Vec<[Option<f32>; 24]>,
    /// Hours whose voltage lies in the step, by voltage.
    volts: Vec<ByVoltage<f64>>,
    amps: Vec<f64>,
    cells: Vec<Vec<u32>>,
    /// Air of the coldest hour in them, C.
    coldest_c: f64,
}

impl Tally {
    fn new(label: LabelFigures) -> Self {
        let steps = ((LAST_VOLTS - FIRST_VOLTS) * label.voc_v / VOLT_STEP).ceil();
        let rows = (AIR_C.1 - AIR_C.0) / AIR_STEP_K;
        let columns = LIGHT_W_M2 / LIGHT_STEP_W_M2;
        Self {
            hours: 0,
            label,
            days: vec![[None; 24]; DAYS],
            volts: vec![ByVoltage::default(); whole(steps) + 1],
            amps: vec![0.0; whole(2.0 / AMP_STEP) + 1],
            cells: vec![vec![0; whole(columns)]; whole(rows)],
            coldest_c: f64::INFINITY,
        }
    }

    fn calendar(&mut self, day: LocalDay, hour: u32, state: &LitHour) {
        let (Some(spot), Some(index)) = (state.peak.sudden_sun, day_of_leap_year(day)) else { return };
        let Some(cell) = self.days.get_mut(index).and_then(|hours| hours.get_mut(hour as usize)) else {
            return;
        };
        #[expect(clippy::cast_possible_truncation, reason = "a colour needs no more than 7 digits")]
        let volts = spot.volts as f32;
        *cell = Some(cell.map_or(volts, |most| most.max(volts)));
    }

    fn light_and_air(&mut self, air: Celsius, state: &LitHour) {
        let Some(spot) = state.peak.sudden_sun else { return };
        self.coldest_c = self.coldest_c.min(air.0);
        let row = whole((air.0 - AIR_C.0) / AIR_STEP_K).min(self.cells.len() - 1);
        let row = &mut self.cells[row];
        let last = row.len() - 1;
        row[whole(spot.irradiance_w_m2 / LIGHT_STEP_W_M2).min(last)] += 1;
    }

    /// Sudden sun and worst case by 5-minute steps, steady by the hour's sun-up share: as limits are counted.
    fn volts(&mut self, ready: &[ReadyGroup<'_>], groups: &[GroupHour], air: &Air, up: f64) {
        let twelfth = 1.0 / 12.0;
        for step in 0..crate::sun::STEPS {
            let volts = |pick: &dyn Fn(&ReadyGroup<'_>, &GroupHour) -> Option<Volts>| {
                let pairs = ready.iter().zip(groups);
                pairs.filter_map(|(ready, group)| pick(ready, group)).map(|volts| volts.0).reduce(f64::max)
            };
            let sudden = volts(&|ready, group| ready.central.volts(group.light.own[step], air.mean));
            let worst =
                volts(&|ready, group| ready.worst.volts(group.light.bound[step], ready.cell_worst(air)));
            if let Some(index) = sudden.map(|volts| self.volt_step(volts)) {
                self.volts[index].sudden_sun += twelfth;
            }
            if let Some(index) = worst.map(|volts| self.volt_step(volts)) {
                self.volts[index].worst_case += twelfth;
            }
        }
        let steady =
            groups.iter().filter_map(|group| group.peak.steady).map(|spot| spot.volts).reduce(f64::max);
        if let Some(index) = steady.map(|volts| self.volt_step(volts)) {
            self.volts[index].steady += up;
        }
    }

    fn volt_step(&self, volts: f64) -> usize {
        whole((volts - self.first_v()) / VOLT_STEP).min(self.volts.len() - 1)
    }

    fn first_v(&self) -> f64 {
        (self.label.voc_v * FIRST_VOLTS / VOLT_STEP).floor() * VOLT_STEP
    }

    fn amps(&mut self, state: &LitHour) {
        let Some(amps) = state.isc_a else { return };
        let index = whole(amps / (self.label.isc_a * AMP_STEP)).min(self.amps.len() - 1);
        self.amps[index] += 1.0;
    }

    fn finish(self, ready: &[ReadyGroup<'_>], ratings: &[Rating<'_>]) -> Pictures {
        if self.hours == 0 || self.label.voc_v <= 0.0 || self.label.isc_a <= 0.0 {
            return Pictures::default();
        }
        let a_year = YEAR_H / self.hours as f64;
        let from_v = self.first_v();
        let step_a = self.label.isc_a * AMP_STEP;
        Pictures {
            calendar: Some(Calendar { days: self.days }),
            exceedance: Some(Exceedance {
                from_v,
                step_v: VOLT_STEP,
                hours_per_year: above(&self.volts, a_year),
            }),
            light_and_air: cut(&self.cells).map(|(air_from_c, hours)| LightAndAir {
                air_from_c,
                coldest_c: self.coldest_c,
                air_step_k: AIR_STEP_K,
                light_step_w_m2: LIGHT_STEP_W_M2,
                curves: ratings.iter().filter_map(|rating| curve(ready, *rating, hours[0].len())).collect(),
                hours,
            }),
            current: Some(CurrentDuration { step_a, hours_per_year: above_one(&self.amps, a_year) }),
            lost_start_h: None,
        }
    }
}

/// From hours in each step to hours a year above the lower edge of each.
fn above(steps: &[ByVoltage<f64>], a_year: f64) -> Vec<ByVoltage<f64>> {
    let pick =
        |value: fn(&ByVoltage<f64>) -> f64| above_one(&steps.iter().map(value).collect::<Vec<_>>(), a_year);
    let (steady, sudden, worst) =
        (pick(|step| step.steady), pick(|step| step.sudden_sun), pick(|step| step.worst_case));
    (0..steps.len())
        .map(|i| ByVoltage { steady: steady[i], sudden_sun: sudden[i], worst_case: worst[i] })
        .collect()
}

fn above_one(steps: &[f64], a_year: f64) -> Vec<f64> {
    let mut sum = 0.0;
    let mut out: Vec<f64> = steps
        .iter()
        .rev()
        .map(|hours| {
            sum += hours;
            sum * a_year
        })
        .collect();
    out.reverse();
    out
}

/// The rows and columns that hold an hour, with the air at the lower edge of the first.
fn cut(cells: &[Vec<u32>]) -> Option<(f64, Vec<Vec<u32>>)> {
    let any = |row: &Vec<u32>| row.iter().any(|hours| *hours > 0);
    let first = cells.iter().position(any)?;
    let last = cells.iter().rposition(any)?;
    let columns = cells.iter().filter_map(|row| row.iter().rposition(|hours| *hours > 0)).max()? + 1;
    let rows = cells[first..=last].iter().map(|row| row[..columns].to_vec()).collect();
    Some((AIR_C.0 + first as f64 * AIR_STEP_K, rows))
}

/// Where the highest string's sudden-sun volts meet a rating.
fn curve(ready: &[ReadyGroup<'_>], (component, rating_v): Rating<'_>, columns: usize) -> Option<LimitCurve> {
    let brightest = columns as f64 * LIGHT_STEP_W_M2;
    let mut points = Vec::new();
    let mut light = CURVE_STEP_W_M2;
    while light <= brightest + 1e-9 {
        let cells = ready.iter().filter_map(|ready| ready.central.cell_reaching(Volts(rating_v), light));
        if let Some(air) = cells.map(|cell| cell.0).reduce(f64::max) {
            points.push((light, air));
        }
        light += CURVE_STEP_W_M2;
    }
    (points.len() > 1).then(|| LimitCurve { component: component.to_owned(), rating_v, points })
}

/// Day of a year of 366 days, from 0.
fn day_of_leap_year(day: LocalDay) -> Option<usize> {
    let month_day = day.month_day();
    let leap = LocalDay::from_civil(2000, month_day.month, month_day.day)?;
    let first = LocalDay::from_civil(2000, 1, 1)?;
    usize::try_from(leap.0 - first.0).ok()
}

/// A whole number of steps, none below zero.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates; clamped by the caller"
)]
fn whole(value: f64) -> usize {
    value.max(0.0) as usize
}
