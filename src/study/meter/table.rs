//! Many rows: light and cell (or air) in, the figures of one string out.

use super::{Figures, Moment, Reading, check, one_array};
use crate::array::StringGroup;
use crate::heat;
use crate::hourly::ReadyPower;
use crate::plan::{Plan, quoted};
use crate::study::{Choice, StudyError};
use crate::units::Celsius;
use serde::Serialize;

/// Most rows of a table. Chosen because a year by the minute has 525,600, and so many stay within a laptop's memory.
const MOST_ROWS: usize = 600_000;

/// One row with its figures.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeterRow {
    /// The cells of the input as they came.
    #[serde(skip)]
    pub input: Vec<String>,
    /// Light, W/m2.
    pub irradiance_w_m2: f64,
    /// Cell, C: given, or from the air by the mount.
    pub cell_c: f64,
    /// Volts as read.
    pub read_v: Option<f64>,
    /// Amps as read.
    pub read_a: Option<f64>,
    /// As labelled, n = 1.1.
    pub voc_v: Option<f64>,
    /// Of the strongest panels.
    pub voc_worst_case_v: Option<f64>,
    /// Of one string.
    pub isc_a: Option<f64>,
    /// At maximum power.
    pub vmp_v: Option<f64>,
    /// At maximum power.
    pub imp_a: Option<f64>,
}

/// All rows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeterRows {
    /// The input's header.
    #[serde(skip)]
    pub header: Vec<String>,
    /// The string that is meant.
    pub string: String,
    /// Row by row.
    pub rows: Vec<MeterRow>,
}

/// Works the rows of a CSV text with the columns `irradiance_w_m2`, `cell_c` or `air_c`, and, where they are there,
/// `read_v` and `read_a`. `name` is for messages. Of an array with unlike strings the one of the highest volts is meant.
///
/// # Errors
/// A missing column, a cell that is no number or cannot be meant, more than 600,000 rows, several arrays and none
/// chosen.
pub fn rows(plan: &Plan, choice: &Choice, name: &str, text: &str) -> Result<MeterRows, StudyError> {
    let array = one_array(plan, choice)?;
    let group = highest(&array.groups).ok_or(StudyError::NoStops)?;
    let power = ReadyPower::new(group);
    let fault = |line: u64, found: String, expected: &str| StudyError::Table {
        name: name.to_owned(),
        line,
        found,
        expected: expected.to_owned(),
    };
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let header: Vec<String> = match reader.headers() {
        Ok(header) => header.iter().map(str::to_owned).collect(),
        Err(error) => {
            return Err(fault(1, error.to_string(), "a header line with names, separated by commas"));
        }
    };
    let place = |wanted: &str| header.iter().position(|column| column == wanted);
    let listed = || format!("the columns {}", quoted(&header.join(", ")));
    let light = place("irradiance_w_m2")
        .ok_or_else(|| fault(1, listed(), "a column irradiance_w_m2, and cell_c or air_c"))?;
    let (warm, is_cell) = match (place("cell_c"), place("air_c")) {
        (Some(cell), _) => (cell, true),
        (None, Some(air)) => (air, false),
        (None, None) => return Err(fault(1, listed(), "a column cell_c or air_c beside irradiance_w_m2")),
    };
    let (read_v, read_a) = (place("read_v"), place("read_a"));
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| {
            let line = error.position().map_or(0, csv::Position::line);
            fault(line, error.to_string(), "as many cells as the header has names")
        })?;
        let line = record.position().map_or(0, csv::Position::line);
        if rows.len() == MOST_ROWS {
            let expected = format!("at most {MOST_ROWS} rows; split the table");
            return Err(fault(line, "a further row".into(), &expected));
        }
        let number = |column: usize| {
            let cell = record.get(column).unwrap_or("");
            cell.parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(|| {
                fault(
                    line,
                    format!("{} under {}", quoted(cell), header[column]),
                    "a number with a decimal point",
                )
            })
        };
        let maybe = |column: Option<usize>| match column {
            Some(column) if !record.get(column).unwrap_or("").is_empty() => number(column).map(Some),
            _ => Ok(None),
        };
        let (irradiance_w_m2, warm_c) = (number(light)?, number(warm)?);
        let reading = Reading { volts: maybe(read_v)?, amps: maybe(read_a)? };
        let moment = if is_cell {
            Moment::Measured { irradiance_w_m2, cell_c: warm_c }
        } else {
            Moment::AirMeasured { irradiance_w_m2, air_c: warm_c }
        };
        check(&moment, &reading)
            .map_err(|error| fault(line, error.to_string(), "values that can be meant"))?;
        let cell_c = if is_cell {
            warm_c
        } else {
            heat::steady(group.mount, Celsius(warm_c), irradiance_w_m2, None).0
        };
        let figures = Figures::with(group, &power, irradiance_w_m2, cell_c);
        rows.push(MeterRow {
            input: record.iter().map(str::to_owned).collect(),
            irradiance_w_m2,
            cell_c,
            read_v: reading.volts,
            read_a: reading.amps,
            voc_v: figures.voc_v,
            voc_worst_case_v: figures.voc_worst_case_v,
            isc_a: figures.isc_a,
            vmp_v: figures.vmp_v,
            imp_a: figures.imp_a,
        });
    }
    Ok(MeterRows { header, string: super::words(group), rows })
}

fn highest(groups: &[StringGroup]) -> Option<&StringGroup> {
    let volts = |group: &StringGroup| group.modules.iter().map(|label| label.voc.0).sum::<f64>();
    groups.iter().max_by(|a, b| volts(a).total_cmp(&volts(b)))
}
