//! Why a run could not be done.

use crate::sun::SunError;
use crate::weather::WeatherError;
use std::path::PathBuf;
use thiserror::Error;

/// A run that could not be done.
#[derive(Debug, Error)]
pub enum StudyError {
    /// Weather files that no stop names could not be read.
    #[error(transparent)]
    Files(#[from] Box<WeatherError>),
    /// A file of a survey of no known format; what `weather` says of it, too long for a list of files, is left to that.
    #[error(
        "{}: left out, no known format ({looks}); `dawnvolt weather` on it says more, and of a table of weather how the plan describes it",
        path.display()
    )]
    Foreign {
        /// The file.
        path: PathBuf,
        /// What it looks like.
        looks: String,
    },
    /// A file of a survey that the columns of two stops fit, which differ.
    #[error(
        "{}: found a file that the [stop.columns] of stop \"{first}\" and of stop \"{second}\" both fit, and they read it in two \
         ways; expected one description that fits; give the survey a plan with the right one alone", path.display()
    )]
    TwoDescriptions {
        /// The file.
        path: PathBuf,
        /// The first stop.
        first: String,
        /// The next one.
        second: String,
    },
    /// The weather of a stop could not be read.
    #[error("stop \"{place}\": {source}")]
    Weather {
        /// The stop.
        place: String,
        /// Why.
        source: Box<WeatherError>,
    },
    /// Stamps beyond reason.
    #[error("stop \"{place}\": {source}")]
    Sun {
        /// The stop.
        place: String,
        /// Why.
        source: SunError,
    },
    /// No coordinates.
    #[error(
        "stop \"{place}\": found no {missing} in {format}, and the plan gives none; the sun cannot be placed without \
         it. Add {add} (degrees, south and west negative; any map shows them) to this [[stop]]"
    )]
    NoCoordinates {
        /// The stop.
        place: String,
        /// "latitude", "longitude" or both.
        missing: &'static str,
        /// What to write into the plan.
        add: &'static str,
        /// Format of its files.
        format: String,
    },
    /// No coordinates for a station of a survey.
    #[error(
        "{station}: found no {missing} in {format}, so the sun cannot be placed; expected the station in a table of places: \
         --places FILE.csv"
    )]
    NoPlace {
        /// The station.
        station: String,
        /// "latitude", "longitude" or both.
        missing: &'static str,
        /// Format of its files.
        format: String,
    },
    /// A coordinate out of range.
    #[error("stop \"{place}\": {key} is {found}, which is no place on the earth; expected {expected}")]
    BadCoordinate {
        /// The stop.
        place: String,
        /// The coordinate.
        key: &'static str,
        /// What was found.
        found: f64,
        /// What is expected.
        expected: &'static str,
    },
    /// No weather in the trip's dates.
    #[error(
        "stop \"{place}\": no hour of its weather lies in the trip's dates {window}; the files hold {first} to {last}. \
         Check `arrive` and `leave`, or take files that cover these weeks"
    )]
    NothingInWindow {
        /// The stop.
        place: String,
        /// The dates.
        window: String,
        /// First hour.
        first: String,
        /// Last hour.
        last: String,
    },
    /// The plan has no stop, and the run needs one.
    #[error(
        "the plan has no [[stop]], so there is no weather to go by; expected at least one [[stop]] with `place` and \
         `weather`, or a number for `code_temperature` under [assumptions] for the code answers alone"
    )]
    NoStops,
    /// A stop or array that was asked for does not exist.
    #[error("no {what} \"{asked}\" in the plan; it has: {known}")]
    Unknown {
        /// "stop" or "array".
        what: &'static str,
        /// What was asked for.
        asked: String,
        /// What exists.
        known: String,
    },
    /// Panels of several kinds in an array whose count is asked for.
    #[error(
        "array \"{array}\" holds panels of several kinds: {panels}. The number in series is asked for one kind of panel; \
         expected one; give each kind an array of its own"
    )]
    UnlikePanels {
        /// The array.
        array: String,
        /// Its panels.
        panels: String,
    },
    /// Several stops or arrays, and the run takes one.
    #[error("the plan has several {what}s: {known}. Choose one with --{what} NAME")]
    Several {
        /// "stop" or "array".
        what: &'static str,
        /// What exists.
        known: String,
    },
    /// A time that is none.
    #[error(
        "\"{asked}\" is no time; expected a time with its zone, as 2018-01-08T14:00Z or 2018-01-08T08:00-06:00, or one on \
         the place's own clock ({offset}), as \"2018-01-08 08:00\""
    )]
    BadTime {
        /// What was asked for.
        asked: String,
        /// The place's clock.
        offset: String,
    },
    /// No reading at a time.
    #[error(
        "stop \"{place}\": its weather has no reading in the hour of {asked}; the nearest is that of {nearest}. Hours that \
         the files lack are never filled; ask for one that is there"
    )]
    NoSuchHour {
        /// The stop.
        place: String,
        /// The time.
        asked: String,
        /// The nearest hour.
        nearest: String,
    },
    /// A number that cannot be meant.
    #[error("{name}: found {found}; expected {expected}")]
    NoSuchValue {
        /// What it is for.
        name: String,
        /// What was found.
        found: String,
        /// What is expected.
        expected: String,
    },
    /// A table of readings that cannot be read.
    #[error("{name}: line {line}: found {found}; expected {expected}")]
    Table {
        /// Its name.
        name: String,
        /// Line, counted from 1.
        line: u64,
        /// What was found.
        found: String,
        /// What is expected.
        expected: String,
    },
    /// Too little to say what a meter should read.
    #[error(
        "nothing says how much light falls on the panel; expected --irradiance W with --cell C or --air C, or --stop PLACE \
         --at TIME --air C --sky clear|hazy|overcast, or --from FILE.csv with the columns irradiance_w_m2 and cell_c"
    )]
    MeterNeeds,
    /// `meter` knows the light and no temperature.
    #[error(
        "--irradiance says the light, and nothing how warm the cells are; expected --cell C (a thermometer on the panel's back), \
         else --air C"
    )]
    MeterNeedsCell,
    /// No lit hour at all.
    #[error(
        "stop \"{place}\": no hour of its weather (within the trip's dates) has the sun above the horizon, so none is the \
         worst; ask for one with --at TIME"
    )]
    AllDark {
        /// The stop.
        place: String,
    },
    /// Rows could not be written.
    #[error("writing the table: {0}")]
    Write(#[from] std::io::Error),
}
