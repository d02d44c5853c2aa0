//! One station against the plan: a row for each array.

use crate::hourly::{self, Blocks, Loop, ReadyGroup, fold};
use crate::limits::{DecidedBy, Verdict, voltage};
use crate::note::Note;
use crate::study::survey::{SurveyPlan, SurveyStation, ceiling, plain};
use crate::study::{
    OpenStop, StudyError, doubts, figures, lines, record_facts::record_facts, temperatures, winter,
};
use crate::sun::SharedNodes;
use crate::trip::Stop;
use serde::{Deserialize, Serialize};

/// The kind of record that is no record of real winters.
pub(super) const TYPICAL_YEAR: &str = "typical-year";

/// What a survey says of one array at one station. Names of fields are the headers of the CSV and the keys of the JSON;
/// `None` stands for what the record cannot support.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SurveyRow {
    /// The archive's identifier, else the file's name.
    pub station: String,
    /// Name.
    pub name: Option<String>,
    /// Degrees north.
    pub latitude_deg: f64,
    /// Degrees east.
    pub longitude_deg: f64,
    /// Metres above sea level; sea level is assumed where nothing says.
    pub elevation_m: Option<f64>,
    /// Format, or formats joined by " + ".
    pub format: String,
    /// Number of files.
    pub files: usize,
    /// "chronological" or "typical-year".
    pub kind: String,
    /// First hour, UTC.
    pub first: String,
    /// Last hour, UTC.
    pub last: String,
    /// Hours with air temperature.
    pub hours: usize,
    /// Complete winters.
    pub complete_winters: usize,
    /// Share of the promised reports, 0 to 1.
    pub coverage: f64,
    /// Lowest air of the record, C.
    pub record_low_c: Option<f64>,
    /// When.
    pub record_low_at: Option<String>,
    /// Mean of annual lows, C.
    pub mean_annual_low_c: Option<f64>,
    /// Their standard deviation, K.
    pub sd_k: Option<f64>,
    /// 20-year low, C.
    pub low_20_year_c: Option<f64>,
    /// 50-year low, C.
    pub low_50_year_c: Option<f64>,
    /// The array.
    pub array: String,
    /// Panels in series as planned.
    pub modules_in_series: usize,
    /// Air of the code sum, C.
    pub code_temperature_c: Option<f64>,
    /// The code sum, V.
    pub code_v: Option<f64>,
    /// Largest steady voltage, V.
    pub steady_max_v: Option<f64>,
    /// Largest sudden-sun voltage, V.
    pub sudden_sun_max_v: Option<f64>,
    /// Its 20-year level, V.
    pub sudden_sun_20_year_v: Option<f64>,
    /// Largest worst case, V.
    pub worst_case_max_v: Option<f64>,
    /// When, UTC.
    pub worst_case_at: Option<String>,
    /// Its 20-year level, V.
    pub worst_case_20_year_v: Option<f64>,
    /// Its predictive level, V.
    pub worst_case_predictive_v: Option<f64>,
    /// The same raised by 10 K colder air, where there is no level, V.
    pub worst_case_allowance_v: Option<f64>,
    /// Worst verdict of the voltage ratings for the strings as planned; "not-assessed" without a rating.
    pub verdict: String,
    /// Most panels in series that every voltage rating carries.
    pub largest_series_count: Option<usize>,
    /// The component that forbids one more.
    pub deciding_limit: Option<String>,
    /// Its rating, V.
    pub deciding_rating_v: Option<f64>,
    /// The figure that would pass it: "code", "seen", "level" or "allowance".
    pub decided_by: Option<String>,
    /// Kinds of the remarks on these files, each once; `dawnvolt weather` on them prints the remarks.
    pub remarks: String,
}

impl SurveyRow {
    /// Whether its record is put together from months of different years.
    #[must_use]
    pub fn is_typical(&self) -> bool {
        self.kind == TYPICAL_YEAR
    }

    /// Whether something speaks against its weather, so that its verdict is no all-clear.
    #[must_use]
    pub fn is_in_doubt(&self) -> bool {
        self.remarks.starts_with(CHECK_FIRST)
    }

    /// The largest of the code sum, the worst case found, and the level or allowance that stands in for it: what a rating
    /// has to carry, V.
    #[must_use]
    pub fn deciding_v(&self) -> Option<f64> {
        [self.code_v, self.worst_case_max_v, self.worst_case_predictive_v, self.worst_case_allowance_v]
            .into_iter()
            .flatten()
            .max_by(f64::total_cmp)
    }
}

/// The rows of one station, one an array. The whole year counts; the plan's stops and dates do not.
///
/// # Errors
/// Unreadable weather, no coordinates, stamps beyond reason.
pub fn rows(
    job: &SurveyPlan<'_>,
    station: &SurveyStation,
    nodes: &SharedNodes,
) -> Result<Vec<SurveyRow>, StudyError> {
    let stop = stop_of(job, station);
    let assumptions = &job.plan.assumptions;
    let open = OpenStop::open(&stop, assumptions).map_err(|error| plain(error, station))?;
    let (first, last) = open.sun_span();
    let nodes = nodes
        .covering(first, last)
        .map_err(|source| StudyError::Sun { place: station.name().to_owned(), source })?;
    let lows = temperatures::annual_lows(&open);
    let daylight = hourly::daylight_lows(&open.site, &nodes, open.opened.record.hours(), &open.seasons);
    let design = temperatures::design_temperature(&open, &lows, Some(&daylight), assumptions);
    let facts = record_facts(&open.opened, &open.seasons);
    let place = open.site.place;
    let common = SurveyRow {
        station: station.station.id.clone().unwrap_or_else(|| station.name().to_owned()),
        name: station.station.name.clone(),
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        elevation_m: open.station_elevation_m,
        format: facts.format,
        files: facts.files.len(),
        kind: if open.is_chronological() { "chronological" } else { TYPICAL_YEAR }.to_owned(),
        first: facts.first.iso(),
        last: facts.last.iso(),
        hours: facts.hours,
        complete_winters: facts.complete_winters,
        coverage: facts.coverage,
        record_low_c: design.record_low,
        record_low_at: design.record_low_at.map(crate::time::Stamp::iso),
        mean_annual_low_c: design.mean_annual_low,
        sd_k: design.sd,
        low_20_year_c: design.low_20_year,
        low_50_year_c: design.low_50_year,
        remarks: remarks(&open),
        ..SurveyRow::default()
    };
    let blocks = open.is_chronological().then_some(Blocks::Seasons(open.site.hemisphere));
    let row = |array: &&crate::array::Array| {
        let groups: Vec<ReadyGroup<'_>> =
            array.groups.iter().map(|group| ReadyGroup::new(group, assumptions.sky_cooling_k)).collect();
        let seen = fold(
            &Loop {
                site: &open.site,
                sky: &open.sky,
                nodes: &nodes,
                groups: &groups,
                // Nothing is counted here: a survey asks how high, not how often.
                ratings: &[],
                steady_only: &[],
                blocks,
                only: None,
                step_h: open.step_h(),
            },
            open.opened.record.hours(),
        );
        let code = temperatures::code_temperature(&open, &design, assumptions);
        let found = figures::figures(&open, &groups, &seen, code, None, assumptions);
        let (ratings, _) = lines::voltage_ratings(array, assumptions);
        let verdict = ratings
            .iter()
            .map(|rating| voltage::judge(rating.volts, &found.decide).both)
            .reduce(Verdict::or_worse)
            .unwrap_or(Verdict::NotAssessed);
        let ceiling = ceiling(array, &ratings, &found.decide);
        let volts = &found.voltage;
        SurveyRow {
            array: array.name.clone(),
            modules_in_series: array.modules_in_series(),
            code_temperature_c: volts.code_temperature_c,
            code_v: volts.code,
            steady_max_v: volts.steady.max,
            sudden_sun_max_v: volts.sudden_sun.max,
            sudden_sun_20_year_v: volts.sudden_sun.level_20_year,
            worst_case_max_v: volts.worst_case.max,
            worst_case_at: volts.worst_case.at.map(crate::time::Stamp::iso),
            worst_case_20_year_v: volts.worst_case.level_20_year,
            worst_case_predictive_v: volts.worst_case.predictive_level,
            worst_case_allowance_v: volts.allowance,
            verdict: verdict.word().to_owned(),
            largest_series_count: ceiling.as_ref().map(|ceiling| ceiling.in_series),
            deciding_rating_v: ceiling.as_ref().map(|ceiling| ceiling.rating_v),
            decided_by: ceiling.as_ref().map(|ceiling| word(ceiling.decided_by).to_owned()),
            deciding_limit: ceiling.map(|ceiling| ceiling.limit),
            ..common.clone()
        }
    };
    Ok(job.arrays.iter().map(row).collect())
}

/// How the remarks of a station begin whose verdict is no all-clear.
pub(super) const CHECK_FIRST: &str = "check the weather first";

/// What speaks against the weather, then the kinds of the remarks on its files.
fn remarks(open: &OpenStop<'_>) -> String {
    let mut doubts: Vec<&str> = Vec::new();
    if winter::is_missed(open) {
        doubts.push("no winter in the record");
    }
    if !doubts::clauses(open).is_empty() {
        doubts.push("its clock or its coordinates are in doubt");
    }
    let kinds = kinds(open.opened.notes.iter().chain(&open.notes));
    match (doubts.is_empty(), kinds.is_empty()) {
        (true, _) => kinds,
        (false, true) => format!("{CHECK_FIRST}: {}", doubts.join(", ")),
        (false, false) => format!("{CHECK_FIRST}: {}; {kinds}", doubts.join(", ")),
    }
}

fn kinds<'n>(notes: impl Iterator<Item = &'n Note>) -> String {
    let mut words: Vec<&str> = Vec::new();
    for word in notes.map(|note| note.kind.word()) {
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words.join("; ")
}

fn word(by: DecidedBy) -> &'static str {
    match by {
        DecidedBy::Code => "code",
        DecidedBy::Seen => "seen",
        DecidedBy::Level => "level",
        DecidedBy::Allowance => "allowance",
        DecidedBy::Rule => "rule",
    }
}

/// The station as a stop: the vehicle stands where the station does, the whole year.
fn stop_of(job: &SurveyPlan<'_>, station: &SurveyStation) -> Stop {
    Stop {
        place: station.name().to_owned(),
        weather: Vec::new(),
        files: station.files.clone(),
        window: None,
        elevation_m: None,
        station_elevation_m: station.station.elevation_m,
        latitude_deg: station.station.latitude_deg,
        longitude_deg: station.station.longitude_deg,
        utc_offset: station.like.and_then(|at| job.likes.get(at)?.utc_offset),
        code_temperature: None,
        published_low: None,
        columns: station.like.and_then(|at| job.likes.get(at)?.columns.clone()),
    }
}
