//! The one results type of `assess`: what the JSON holds, key by key, and what the report draws from.
//!
//! Names of fields are the keys of the JSON contract; `null` stands for what the record cannot support.

use crate::assumptions::{Assumption, Rules};
use crate::limits::{DecidedBy, Verdict};
use crate::note::Note;
use crate::study::explain::Explained;
pub use crate::study::low_side::BatteryFrost;
use crate::study::one_pole::OnePole;
use crate::study::pictures::{Ladder, Pictures, Wiring};
use crate::time::{Season, Stamp, UtcOffset};
use serde::Serialize;

pub use crate::extreme::{Odds, ReturnPeriod};
pub use crate::hourly::ByVoltage;
pub use crate::module::CodeBasis;
pub use crate::study::currents::{Currents, Touch};
pub use crate::study::{cables::Unprotected, classes::ComponentNeed};
pub use crate::study::{changes::OtherWay, not_given::NotGiven, planned::Planned};

/// Everything that `assess` found.
#[derive(Clone, Debug, Serialize)]
pub struct Assessment {
    /// Version of this layout.
    pub schema: u32,
    /// The plan's title.
    pub title: String,
    /// For whom, as typed.
    pub prepared_for: Option<String>,
    /// By whom, as typed.
    pub prepared_by: Option<String>,
    /// Date as typed.
    pub date: Option<String>,
    /// The worst verdict of all limits.
    pub verdict: Verdict,
    /// One sentence that says why.
    pub summary: String,
    /// Why the weather may not be that of the place and its dates, so that a verdict that holds is no all-clear; or empty.
    pub doubts: Vec<String>,
    /// The arrays, without weather.
    pub arrays: Vec<ArrayFacts>,
    /// The whole trip; null without dates.
    pub trip: Option<TripOdds>,
    /// Place by place.
    pub stops: Vec<StopResult>,
    /// What is assumed.
    pub assumptions: Vec<Assumption>,
    /// Remarks about the plan as a whole.
    pub notes: Vec<Note>,
    /// Short cautions, always printed.
    pub cautions: Vec<String>,
    /// What is missing, where no stop could be assessed.
    pub missing: Vec<String>,
    /// What to change so that every limit holds, one sentence a change with what it does; empty where nothing must.
    pub changes: Vec<String>,
    /// What other dates do at the stop that decides, without its place, where a limit in volts is broken on the dates of a plan.
    #[serde(skip)]
    pub other_dates: Option<String>,
    /// Arrangements of the same panels that hold what breaks, each told under the changes with a list of its own.
    #[serde(skip)]
    pub other_ways: Vec<OtherWay>,
    /// The worst hour of the stop and array that decide, as a calculation, for the report.
    #[serde(skip)]
    pub explained: Option<Explained>,
    /// The plan file as typed, for the report.
    #[serde(skip)]
    pub plan_text: Option<String>,
    /// The rules that the plan names, for what is cited.
    #[serde(skip)]
    pub rules: Rules,
}

/// An array as its labels give it.
#[derive(Clone, Debug, Serialize)]
pub struct ArrayFacts {
    /// Its name.
    pub name: String,
    /// Panels in series in the longest string.
    pub modules_in_series: usize,
    /// Strings in parallel.
    pub strings: u32,
    /// One line: "3 x roof100 in series, 2 in parallel, roof, flat".
    pub layout: Vec<String>,
    /// Label volts of the highest string.
    pub stc_v: f64,
    /// Label short-circuit current, summed.
    pub isc_a: f64,
    /// 1.25 times that.
    pub max_circuit_a: f64,
    /// 1.5625 times that.
    pub conductor_a: f64,
    /// What the array asks of its components.
    pub needs: Needs,
    /// The code sum against its components, for a plan that names a temperature and no stop; else null.
    pub code_alone: Option<CodeAlone>,
    /// Remarks about its labels and wiring.
    pub notes: Vec<Note>,
    /// Controllers that stand on it together and may be there to choose from; empty where there is one or none.
    #[serde(skip)]
    pub rival_controllers: Vec<String>,
    /// Ratings that the plan does not give, for the eye: they are no limits.
    #[serde(skip)]
    pub not_given: Vec<NotGiven>,
    /// Cables that their fuse or breaker does not protect against what could come back from a battery: no limits.
    #[serde(skip)]
    pub unprotected: Vec<Unprotected>,
    /// Devices that hold only if their volts are those of one pole: no limits.
    #[serde(skip)]
    pub one_pole: Vec<OnePole>,
    /// How it is wired, for the report.
    #[serde(skip)]
    pub wiring: Wiring,
    /// Its volts by the count in series, for the report; `None` without pictures, and where panels are unlike.
    #[serde(skip)]
    pub ladder: Option<Ladder>,
}

/// What the code sum alone says, without weather.
#[derive(Clone, Debug, Serialize)]
pub struct CodeAlone {
    /// The code sum, V.
    pub code: f64,
    /// Its air temperature, C.
    pub code_temperature_c: f64,
    /// What it rests on.
    pub code_basis: CodeBasis,
    /// The same with the table's factor, V.
    pub table: Option<f64>,
    /// Limit by limit.
    pub limits: Vec<LimitLine>,
}

/// The smallest ratings that hold; null volts where no temperature is known.
#[derive(Clone, Debug, Serialize)]
pub struct Needs {
    /// dc volts of the disconnect.
    pub disconnect_v: Option<f64>,
    /// Amps of the disconnect.
    pub disconnect_a: f64,
    /// Amps of a breaker or fuse.
    pub breaker_a: f64,
    /// Conductors opened at once.
    pub poles: u32,
    /// Volts of the controller.
    pub controller_v: Option<f64>,
    /// Short-circuit amps of the controller.
    pub controller_isc_a: f64,
    /// Amps of a connector that carries the whole array.
    pub connector_a: f64,
    /// Amps of the array cable, before derating.
    pub cable_a: f64,
    /// Amps into the battery at most, for the controller; null where no battery is named. Below it, a loss and no danger.
    pub charge_a: Option<f64>,
    /// The next common class of controllers for them.
    pub charge_class_a: Option<f64>,
    /// What they rest on.
    pub charge_from: Option<String>,
    /// The next common class for the disconnect and the controller that holds with room, volts.
    pub next_class_v: Option<f64>,
    /// Which figure sets the volts, in a few words.
    pub volts_from: String,
    /// What else is to be known of them, whole sentences without their full stop.
    pub remarks: Vec<String>,
    /// What the array cannot do without and the plan does not have: no limit judges it.
    pub lacking: Vec<String>,
    /// Component by component, each with the next common class.
    pub components: Vec<ComponentNeed>,
}

/// The chance of a whole trip; `best` is null where the common seasons are too few and only bounds stand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TripChance {
    /// Lower end.
    pub low: f64,
    /// k of N.
    pub best: Option<f64>,
    /// Upper end.
    pub high: f64,
}

/// A chance with its interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// Lower end of the 90 % interval.
    pub low: f64,
    /// k of N.
    pub best: f64,
    /// Upper end of the 90 % interval.
    pub high: f64,
}

impl Chance {
    /// The same as the odds that it comes from.
    #[must_use]
    pub fn odds(&self) -> Odds {
        Odds { low: self.low, best: self.best, high: self.high }
    }
}

/// The trip as a whole.
#[derive(Clone, Debug, Serialize)]
pub struct TripOdds {
    /// Chance that any voltage rating is passed on the trip in one season (sudden sun); null without a rating.
    pub chance_per_season: Option<TripChance>,
    /// Seasons common to all stops.
    pub common_seasons: usize,
    /// Of these, broken.
    pub seasons_broken: usize,
    /// One-sided 95 % upper bound of the chance, which also speaks where no season broke.
    pub at_most: Option<f64>,
    /// The same chance with every window a week longer at both ends: how much hangs on the exact dates.
    pub padded_chance: Option<TripChance>,
    /// The chance in words, or why there is none.
    pub in_words: String,
    /// The stop with the worst margin.
    pub deciding_stop: Option<String>,
    /// Its dates, where one place is visited twice.
    pub deciding_window: Option<String>,
    /// The component with the worst margin.
    pub deciding_component: Option<String>,
    /// The hour of the largest worst case there, in its days: the night that decides.
    pub deciding_at: Option<Stamp>,
    /// The same trip begun earlier or later; empty where too few seasons are common to all stops for a chance.
    pub by_departure: Vec<Departure>,
    /// What its seasons did, counted, on every departure; speaks where they are too few for a chance too.
    pub by_departure_seen: Vec<DepartureSeen>,
}

/// The trip shifted by whole days.
#[derive(Clone, Debug, Serialize)]
pub struct Departure {
    /// Days later than planned; negative: earlier.
    pub shift_days: i32,
    /// k of N.
    pub chance: f64,
}

/// What the seasons did to the trip shifted by whole days: a count, no chance.
#[derive(Clone, Debug, Serialize)]
pub struct DepartureSeen {
    /// Days later than planned; negative: earlier.
    pub shift_days: i32,
    /// Seasons common to all stops in which a voltage rating was passed in sudden sun.
    pub seasons_broken: usize,
    /// Seasons common to all stops.
    pub common_seasons: usize,
}

/// One stop.
#[derive(Clone, Debug, Serialize)]
pub struct StopResult {
    /// Its name.
    pub place: String,
    /// Trip dates as "12-20 to 01-15"; null where the whole year counts.
    pub window: Option<String>,
    /// Elevation of the vehicle, m.
    pub elevation_m: Option<f64>,
    /// The station.
    pub station: StationFacts,
    /// The record.
    pub record: RecordFacts,
    /// Air temperature at the place.
    pub design_temperature_c: DesignTemperature,
    /// Array by array.
    pub arrays: Vec<ArrayAtStop>,
    /// Season by season lows of air temperature at the place.
    pub annual_low_c: Vec<SeasonLow>,
    /// Remarks.
    pub notes: Vec<Note>,
    /// Zone of local days and printed local time.
    #[serde(skip)]
    pub utc_offset: UtcOffset,
}

/// The station behind a stop.
#[derive(Clone, Debug, Serialize)]
pub struct StationFacts {
    /// Name or identifier.
    pub name: Option<String>,
    /// Degrees north.
    pub latitude_deg: Option<f64>,
    /// Degrees east.
    pub longitude_deg: Option<f64>,
    /// Metres above sea level.
    pub elevation_m: Option<f64>,
}

/// Kind of a record in JSON.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RecordKind {
    /// Consecutive time.
    Chronological,
    /// A typical year: no extremes.
    TypicalYear,
}

/// The record behind a stop.
#[derive(Clone, Debug, Serialize)]
pub struct RecordFacts {
    /// Format, or formats joined by " + ".
    pub format: String,
    /// File names, without folders.
    pub files: Vec<String>,
    /// What kind.
    pub kind: RecordKind,
    /// First hour.
    pub first: Stamp,
    /// Last hour.
    pub last: Stamp,
    /// Hours with an air temperature.
    pub hours: usize,
    /// Seasons touched.
    pub winters: usize,
    /// Complete temperature seasons.
    pub complete_winters: usize,
    /// Share of the promised reports that are there, 0 to 1.
    pub coverage: f64,
    /// Lowest reading at the station, C.
    pub lowest_c: f64,
    /// When.
    pub lowest_at: Stamp,
}

/// Air temperatures at the place, C.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DesignTemperature {
    /// Lowest of the record.
    pub record_low: Option<f64>,
    /// When.
    pub record_low_at: Option<Stamp>,
    /// Mean of annual lows.
    pub mean_annual_low: Option<f64>,
    /// Their standard deviation, K.
    pub sd: Option<f64>,
    /// 5-year low.
    pub low_5_year: Option<f64>,
    /// 10-year low.
    pub low_10_year: Option<f64>,
    /// 20-year low.
    pub low_20_year: Option<f64>,
    /// 50-year low.
    pub low_50_year: Option<f64>,
    /// Standard errors of the four, K.
    pub standard_errors: Option<[f64; 4]>,
    /// One-sided 90 % bounds of the four, C.
    pub bounds_90: Option<[f64; 4]>,
    /// Low that the next season goes below with chance 1 in `return_years`.
    pub predictive_low: Option<f64>,
    /// Lowest with the sun up or within two hours before it rises.
    pub daylight_record_low: Option<f64>,
    /// When.
    pub daylight_record_low_at: Option<Stamp>,
    /// Mean of annual lows of the same hours.
    pub daylight_mean_annual_low: Option<f64>,
    /// Lowest in the trip's days.
    pub window_low: Option<f64>,
    /// Published, from file or plan.
    pub published: Option<PublishedLowFacts>,
}

/// A published low with its source.
#[derive(Clone, Debug, Serialize)]
pub struct PublishedLowFacts {
    /// Mean of annual lows.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: Option<f64>,
    /// 20-year low, printed or computed.
    pub low_20_year: Option<f64>,
    /// Where it comes from.
    pub source: String,
}

/// One season's low of air temperature.
#[derive(Clone, Debug, Serialize)]
pub struct SeasonLow {
    /// Season.
    pub season: Season,
    /// Low, C.
    pub low: f64,
    /// When.
    pub at: Stamp,
    /// Share of promised reports in its cold window.
    pub coverage: f64,
    /// The interval between reports that it is held against, h.
    pub step_h: u32,
    /// Whether it counts as complete.
    pub counted: bool,
    /// Whether the mean of annual lows, where there is one, holds it: complete seasons, and colder incomplete ones.
    pub in_mean: bool,
}

/// One array at one stop.
#[derive(Clone, Debug, Serialize)]
pub struct ArrayAtStop {
    /// The array's name.
    pub name: String,
    /// The four voltages.
    pub voltage_v: FourVoltages,
    /// Currents.
    pub current_a: Currents,
    /// Touch-voltage class, as information.
    pub touch: Touch,
    /// What else is worth knowing and never a limit.
    pub information: Vec<Information>,
    /// How few volts the heat leaves to the controller; null without a battery or a controller in the plan.
    pub low_side: Option<LowSide>,
    /// A lithium battery in frost, where no controller's low side tells of it; absent elsewhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_frost: Option<BatteryFrost>,
    /// Limit by limit.
    pub limits: Vec<LimitLine>,
    /// Season by season maxima of the string voltage.
    pub season_maxima_v: Vec<SeasonMaximum>,
    /// The week around the largest sudden-sun voltage, hour by hour, for the report.
    #[serde(skip)]
    pub worst_week: Vec<StripHour>,
    /// Rating by rating in volts the hours of that week in which sudden sun passes it, h, as hours are counted over a record.
    #[serde(skip)]
    pub worst_week_over_h: Vec<(f64, f64)>,
    /// Summaries of all hours, for the report's charts.
    #[serde(skip)]
    pub pictures: Pictures,
}

/// The four cold voltages of the highest string.
#[derive(Clone, Debug, Serialize)]
pub struct FourVoltages {
    /// The code sum.
    pub code: Option<f64>,
    /// Its air temperature.
    pub code_temperature_c: Option<f64>,
    /// Where that temperature comes from, in words.
    pub code_temperature_from: String,
    /// Volts that one kelvin of colder air adds to the code sum.
    pub code_volts_per_k: Option<f64>,
    /// The largest worst case raised by the volts of 10 K colder air; null where a level decides instead.
    pub allowance: Option<f64>,
    /// How the level or the allowance comes about, as a sum that can be redone; null where there is none.
    pub decides: Option<String>,
    /// What the sum rests on.
    pub code_basis: Option<CodeBasis>,
    /// The same with the table's factor.
    pub table: Option<f64>,
    /// The same sum at the window's own low, as information.
    pub window_code: Option<f64>,
    /// Parked, warmed by that hour's sun.
    pub steady: Peak,
    /// At air temperature in that moment's sun.
    pub sudden_sun: Peak,
    /// The strongest panel after a clear night.
    pub worst_case: Peak,
    /// What `worst_case` does not hold, in volts.
    pub not_held: Vec<NotHeld>,
}

/// A contribution that the worst case leaves out.
#[derive(Clone, Debug, Serialize)]
pub struct NotHeld {
    /// What.
    pub what: String,
    /// Volts.
    pub volts: f64,
}

/// The largest value of one voltage, with the moment that caused it.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Peak {
    /// Volts.
    pub max: Option<f64>,
    /// Start of the hour.
    pub at: Option<Stamp>,
    /// Cell temperature, C.
    pub cell_c: Option<f64>,
    /// Light on the plane, W/m2.
    pub irradiance_w_m2: Option<f64>,
    /// 20-year level of season maxima.
    pub level_20_year: Option<f64>,
    /// 50-year level.
    pub level_50_year: Option<f64>,
    /// Standard errors of the two levels, V.
    pub standard_errors: Option<[f64; 2]>,
    /// One-sided 90 % bounds of the two levels, V.
    pub bounds_90: Option<[f64; 2]>,
    /// The level that decides (worst case only).
    pub predictive_level: Option<f64>,
    /// File and line of the hour.
    pub source: Option<String>,
    /// Seconds that the voltage stays within 2 % of this peak (sudden sun only); null where the sun never takes 2 %.
    pub within_2_percent_s: Option<f64>,
}

/// What is worth knowing about a component and is never a limit.
#[derive(Clone, Debug, Serialize)]
pub struct Information {
    /// The component's name, or "strings".
    pub component: String,
    /// In a few words: "waiting band", "string fuses", "largest charge current".
    pub what: String,
    /// The sentence.
    pub text: String,
    /// Hours a year (or a trip) above the voltage in question, where it is one.
    pub hours_per_year: Option<ByVoltage<f64>>,
}

/// The low-voltage side of an array behind one controller: a band, since nobody knows the wind between a panel and a
/// roof. Hours and shares of a year, or of the trip's days.
#[derive(Clone, Debug, Serialize)]
pub struct LowSide {
    /// The controller's name.
    pub controller: String,
    /// "mppt" or "pwm".
    pub kind: String,
    /// Charge volts of the battery.
    pub battery_v: f64,
    /// Volts that the array must reach before the controller starts.
    pub start_v: f64,
    /// Volts that it must keep under load.
    pub run_v: f64,
    /// Fewest volts under load on the hottest cells seen in good light.
    pub hot_vmp_v: Option<f64>,
    /// Hours of sun in that time.
    pub sun_hours: f64,
    /// With the hottest credible cells.
    pub hot: LowLost,
    /// With cells cooled by the file's wind.
    pub cool: LowLost,
    /// Hours of sun with air below 0 C, in which a lithium battery takes no charge; null for other chemistries.
    pub battery_below_0_c_hours: Option<f64>,
    /// By calendar month from January.
    pub battery_below_0_c_by_month: Option<[f64; 12]>,
    /// Share of the harvest above the controller's largest charge current, per cent; null where the plan gives none.
    pub above_charge_limit_percent: Option<f64>,
    /// In words.
    pub text: String,
}

/// What low volts cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct LowLost {
    /// Hours of sun in which the controller does not run.
    pub hours: f64,
    /// The same by calendar month from January.
    pub by_month: [f64; 12],
    /// Share of the harvest lost with them, per cent.
    pub harvest_percent: f64,
    /// Share that a pwm controller wastes in the volts above the battery's while it runs, per cent; null for others.
    pub above_battery_percent: Option<f64>,
}

/// One limit at one stop.
#[derive(Clone, Debug, Serialize)]
pub struct LimitLine {
    /// The component's name.
    pub component: String,
    /// Its kind.
    pub kind: String,
    /// The rule, in a few words with its clause.
    pub rule: String,
    /// The rating; null for a rule without a number.
    pub rating: Option<f64>,
    /// "V" or "A".
    pub unit: String,
    /// The figure that decides.
    pub worst: Option<f64>,
    /// Who decided.
    pub decided_by: Option<DecidedBy>,
    /// (rating - worst) / rating, per cent.
    pub margin_percent: Option<f64>,
    /// Verdict for these dates (weather lines).
    pub verdict: Verdict,
    /// Verdict of the code sum (whole year).
    pub code_verdict: Option<Verdict>,
    /// The sentence.
    pub reason: String,
    /// From label to figure, step by step.
    pub steps: Vec<Step>,
    /// Cell temperature in full sun at which the code sum meets the rating, C.
    pub reached_at_c: Option<f64>,
    /// The rating lies beyond anything the record makes possible; the sentence.
    pub out_of_reach: Option<String>,
    /// Hours a year over the rating.
    pub hours_per_year: Option<ByVoltage<f64>>,
    /// What the hours a year are worth: their 90 % interval where the record allows one, else the range seen.
    pub hours_range: Option<ByVoltage<HoursRange>>,
    /// The season or stay with the most hours of sudden sun, which a mean over all of them hides; null where none was seen.
    pub most_hours: Option<SeasonHours>,
    /// Hours a year of sudden sun by calendar month from January; null where none was seen.
    pub hours_by_month: Option<[f64; 12]>,
    /// Hours a year of sudden sun by local hour of the day from 0 o'clock; null where none was seen.
    pub hours_by_hour_of_day: Option<[f64; 24]>,
    /// Days a year.
    pub days_per_year: Option<ByVoltage<f64>>,
    /// Complete voltage seasons.
    pub seasons: usize,
    /// Seasons seen at all, complete or not: what `seasons_broken` is counted in.
    pub seasons_seen: usize,
    /// Of the seasons seen, broken.
    pub seasons_broken: Option<ByVoltage<u32>>,
    /// Seasons that the chance rests on: the complete ones, and incomplete ones that broke.
    pub seasons_counted: usize,
    /// Chance a season (sudden sun); null when out of reach.
    pub chance_per_season: Option<Chance>,
    /// Seasons between two breaks on average, with the same 90 % interval.
    pub return_period_seasons: Option<ReturnPeriod>,
    /// Longest run of consecutive lit steps over the rating (sudden sun), h.
    pub longest_run_h: Option<f64>,
    /// First hour over the rating in sudden sun; null where sudden sun never passed it.
    pub first_broken: Option<Stamp>,
    /// Last such hour.
    pub last_broken: Option<Stamp>,
    /// First hour over the rating in the worst case, if full clear sun fell then.
    pub worst_case_first_broken: Option<Stamp>,
    /// Last such hour.
    pub worst_case_last_broken: Option<Stamp>,
    /// How often, in words.
    pub how_often: String,
}

/// One season's hours over a rating, in sudden sun.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SeasonHours {
    /// Season (or the season in which the stay begins).
    pub season: Season,
    /// h, of that season or stay.
    pub hours: f64,
    /// Its share of the hours of all complete ones, 0 to 1.
    pub share: f64,
}

/// Around a mean of hours a year.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HoursRange {
    /// Lower end, h.
    pub low: f64,
    /// Upper end, h.
    pub high: f64,
    /// What the ends are.
    pub kind: RangeKind,
}

/// What the ends of a range are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RangeKind {
    /// A 90 % interval of the mean, by resampling whole seasons.
    #[serde(rename = "interval-90")]
    Interval90,
    /// The mildest and the worst season seen: the record is too thin for an interval.
    Observed,
}

/// One step from label to figure.
#[derive(Clone, Debug, Serialize)]
pub struct Step {
    /// "label", "cold", "light", "tolerance", "cooling", "level", "allowance", "factor".
    pub what: String,
    /// Volts or amps after this step.
    pub value: f64,
    /// "V" or "A".
    pub unit: String,
    /// In words: "cell at -27.0 C".
    pub text: String,
}

/// One season's largest voltages.
#[derive(Clone, Debug, Serialize)]
pub struct SeasonMaximum {
    /// Season (or the season in which the window begins).
    pub season: Season,
    /// Steady.
    pub steady: Option<f64>,
    /// Sudden sun.
    pub sudden_sun: Option<f64>,
    /// Worst case.
    pub worst_case: Option<f64>,
    /// Share of the season's lit cold hours that are there.
    pub coverage: f64,
    /// Whether it counts as complete.
    pub counted: bool,
}

/// One hour of the strip chart.
#[derive(Clone, Copy, Debug)]
pub struct StripHour {
    /// Start of the hour.
    pub start: Stamp,
    /// Air, C.
    pub air_c: f64,
    /// Light on the plane, hour mean, W/m2.
    pub plane_w_m2: f64,
    /// Steady volts; 0 in the dark, `None` where too dim to compute.
    pub steady_v: Option<f64>,
    /// Sudden sun.
    pub sudden_sun_v: Option<f64>,
    /// Worst case.
    pub worst_case_v: Option<f64>,
}
