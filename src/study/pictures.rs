//! What only the report draws: pictures and cards need more than the JSON holds.

use crate::array::Carries;
use crate::limits::Verdict;
use crate::study::results::ByVoltage;

/// How an array is wired, for the wiring diagram and the commissioning card.
#[derive(Clone, Debug, Default)]
pub struct Wiring {
    /// Groups of equal strings, in the order of the plan.
    pub strings: Vec<StringFacts>,
    /// Components in the order of the plan.
    pub components: Vec<ComponentFacts>,
    /// The battery in a few words ("12 V lfp, charged at 14.2 V"); `None` where the plan names none.
    pub battery: Option<String>,
    /// What a meter should read on one string of each group, as labelled (n = 1.1).
    pub expected: Vec<ExpectedVolts>,
}

/// Equal strings in parallel.
#[derive(Clone, Debug)]
pub struct StringFacts {
    /// The panels of one string, one name a panel.
    pub panels: Vec<String>,
    /// Equal strings in parallel.
    pub in_parallel: u32,
    /// Mount, tilt and heading in a few words ("gap, flat").
    pub mount: String,
    /// Label volts of one string.
    pub voc_v: f64,
    /// Label short-circuit current of one string.
    pub isc_a: f64,
}

/// A component with the ratings that the diagram prints.
#[derive(Clone, Debug)]
pub struct ComponentFacts {
    /// Its name.
    pub name: String,
    /// The plan's word for its kind.
    pub kind: String,
    /// Which current flows through it.
    pub carries: Carries,
    /// dc volts that it stands.
    pub max_v: Option<f64>,
    /// Its rated amps (a controller: its short-circuit amps).
    pub rated_a: Option<f64>,
    /// Conductors opened at once, for what switches.
    pub poles_opened: Option<u32>,
    /// Whatever else is worth a line ("6 mm2, 90 °C, at 65 °C").
    pub detail: Option<String>,
}

/// Open-circuit volts of one string at chosen moments.
#[derive(Clone, Debug)]
pub struct ExpectedVolts {
    /// Which string ("2 x roof110").
    pub string: String,
    /// Cells from cold to hot under dim and full light, the light changing first.
    pub readings: Vec<ExpectedReading>,
}

/// One line of the commissioning card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedReading {
    /// Light on the plane, W/m2.
    pub irradiance_w_m2: f64,
    /// Cell temperature, C.
    pub cell_c: f64,
    /// Open-circuit volts.
    pub voc_v: f64,
}

/// Volts of one string by the count of its panels in series, over all stops.
#[derive(Clone, Debug)]
pub struct Ladder {
    /// Volts under load at which the controller starts.
    pub start_v: Option<f64>,
    /// Volts under load down to which it runs.
    pub run_v: Option<f64>,
    /// From one panel up to two past the largest count that holds.
    pub rungs: Vec<Rung>,
}

/// One count.
#[derive(Clone, Debug)]
pub struct Rung {
    /// Panels in series.
    pub in_series: usize,
    /// Whether the plan has so many.
    pub is_planned: bool,
    /// Fewest volts under load, in good light on the hottest cells.
    pub hot_v: Option<f64>,
    /// The largest open-circuit figure, which decides.
    pub cold_v: Option<f64>,
    /// The worst verdict of the limits in volts; `None` without one.
    pub verdict: Option<Verdict>,
    /// Components whose amps it passes with all panels in strings of so many; in volts it may hold.
    pub too_small_in_amps: Vec<String>,
    /// What it loses to low volts over the plan's own controller, where that is too much: "never charges".
    pub starving: Option<&'static str>,
}

/// Summaries of all hours of one array at one stop. Each picture is drawn where its part is there.
#[derive(Clone, Debug, Default)]
pub struct Pictures {
    /// Day of the year by hour of the day.
    pub calendar: Option<Calendar>,
    /// Hours a year above so many volts.
    pub exceedance: Option<Exceedance>,
    /// Air temperature against light.
    pub light_and_air: Option<LightAndAir>,
    /// Hours a year above so many amps.
    pub current: Option<CurrentDuration>,
    /// Hours a year, by calendar month from January, in which the array is lit but too low for the controller
    /// to start.
    pub lost_start_h: Option<[f64; 12]>,
}

/// The largest sudden-sun volts seen at each day of the year and hour of the day, whole record.
#[derive(Clone, Debug)]
pub struct Calendar {
    /// 366 local days from 1 January (29 February has its own), each with 24 local hours; `None` where no hour was
    /// lit and computed.
    pub days: Vec<[Option<f32>; 24]>,
}

/// Hours a year above a voltage, counted as the limits are counted, whole years.
#[derive(Clone, Debug)]
pub struct Exceedance {
    /// The first voltage.
    pub from_v: f64,
    /// From each to the next.
    pub step_v: f64,
    /// Hours a year above `from_v + i * step_v`.
    pub hours_per_year: Vec<ByVoltage<f64>>,
}

/// How many lit hours had which air and light (that of sudden sun), whole record.
#[derive(Clone, Debug)]
pub struct LightAndAir {
    /// Coldest edge of the first row, C.
    pub air_from_c: f64,
    /// Air of the coldest lit hour, C.
    pub coldest_c: f64,
    /// Height of a row, K.
    pub air_step_k: f64,
    /// Width of a column, W/m2; the first begins at 0.
    pub light_step_w_m2: f64,
    /// Rows from cold to warm, each with its columns from dim to bright.
    pub hours: Vec<Vec<u32>>,
    /// Lines of equal volts, one a rating.
    pub curves: Vec<LimitCurve>,
}

/// Where sudden-sun volts meet a rating.
#[derive(Clone, Debug)]
pub struct LimitCurve {
    /// The component's name.
    pub component: String,
    /// Its rating, V.
    pub rating_v: f64,
    /// Light in W/m2 and air in C, from dim to bright.
    pub points: Vec<(f64, f64)>,
}

/// Hours a year above a short-circuit current of the whole array.
#[derive(Clone, Debug)]
pub struct CurrentDuration {
    /// Step, A.
    pub step_a: f64,
    /// Hours a year above `i * step_a`.
    pub hours_per_year: Vec<f64>,
}
