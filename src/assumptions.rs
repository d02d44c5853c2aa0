//! What the analysis assumes, each with value, unit and reason, for every report.

use crate::units::{Celsius, Volts};
use serde::Serialize;

/// Which temperature the code sum takes where the place has no published one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CodeTemperature {
    /// Mean of the annual lows, from 5 complete winters.
    MeanAnnualLow,
    /// Lowest of the record.
    RecordLow,
    /// 20-year low, from 10 complete winters.
    TwentyYearLow,
    /// A number that the plan gives.
    Fixed(Celsius),
}

/// Which rules the report cites, by which a device may stand behind a cable, and in whose series a breaker is advised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rules {
    /// All that apply are named.
    All,
    /// NFPA 70, edition 2023.
    Nec2023,
    /// IEC 62548-1 and IEC 60364.
    Iec,
    /// AS/NZS 5033, 3000 and 3008.1.
    AsNzs,
}

/// The settings of one analysis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Assumptions {
    /// Temperature of the code sum.
    pub code_temperature: CodeTemperature,
    /// n of the predictive level that decides verdicts, years.
    pub return_years: f64,
    /// Kelvin that a cell lies below the air after a clear night; `None`: by mount.
    pub sky_cooling_k: Option<f64>,
    /// Linke turbidity of the clear sky; `None`: 2.0, above 1500 m 1.8.
    pub linke_turbidity: Option<f64>,
    /// Whether one conductor of the array is solidly earthed.
    pub array_earthed: bool,
    /// A touch-voltage line that counts as a limit.
    pub touch_limit: Option<Volts>,
    /// Rules to cite.
    pub rules: Rules,
}

impl Default for Assumptions {
    fn default() -> Self {
        Self {
            code_temperature: CodeTemperature::MeanAnnualLow,
            return_years: 20.0,
            sky_cooling_k: None,
            linke_turbidity: None,
            array_earthed: false,
            touch_limit: None,
            rules: Rules::All,
        }
    }
}

/// One line of the list of assumptions.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assumption {
    /// What is assumed.
    pub name: String,
    /// Its value as printed.
    pub value: String,
    /// Its unit; empty where it has none.
    pub unit: String,
    /// Why this value.
    pub why: String,
}
