//! How to read a CSV of no known format: which header is what, in which unit.

use crate::time::UtcOffset;

/// Unit of an air temperature column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AirUnit {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Kelvin.
    Kelvin,
}

/// Unit of a wind speed column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WindUnit {
    /// m/s.
    MetresPerSecond,
    /// km/h.
    KilometresPerHour,
    /// Miles an hour.
    MilesPerHour,
    /// Knots.
    Knots,
}

/// Unit of a cloud cover column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CloudUnit {
    /// Eighths.
    Oktas,
    /// Tenths.
    Tenths,
    /// Per cent.
    Percent,
}

/// What a stamp means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StampMeaning {
    /// A reading at that instant.
    Instant,
    /// The mean of the hour that ends there.
    HourEnding,
    /// The mean of the hour that begins there.
    HourBeginning,
}

/// The columns of a CSV of no known format.
#[derive(Clone, Debug, PartialEq)]
pub struct Columns {
    /// One header, or several (year, month, day, hour, minute).
    pub time: Vec<String>,
    /// A chrono format where the stamps are not ISO-8601.
    pub time_format: Option<String>,
    /// The zone of stamps that print none, where it is not the stop's own clock.
    pub utc_offset: Option<UtcOffset>,
    /// Header of the air temperature.
    pub air: String,
    /// Its unit.
    pub air_unit: AirUnit,
    /// Header of global horizontal irradiance, W/m2.
    pub ghi: Option<String>,
    /// Header of direct normal irradiance, W/m2.
    pub dni: Option<String>,
    /// Header of diffuse horizontal irradiance, W/m2.
    pub dhi: Option<String>,
    /// Header of wind speed.
    pub wind: Option<String>,
    /// Its unit.
    pub wind_unit: WindUnit,
    /// Header of cloud cover.
    pub cloud: Option<String>,
    /// Its unit.
    pub cloud_unit: CloudUnit,
    /// What a stamp means.
    pub label: StampMeaning,
    /// Header that names the station, where one file holds several.
    pub station_column: Option<String>,
    /// The station to take.
    pub station: Option<String>,
    /// Field delimiter; found by itself where absent.
    pub delimiter: Option<char>,
    /// Decimal sign, `.` or `,`.
    pub decimal: char,
}
