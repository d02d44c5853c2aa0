//! Every key of a plan with what it may hold: the source of messages, of ranges, and of the schema for editors.

use super::fault::either;

/// One table of the plan.
#[derive(Debug)]
pub(super) struct Table {
    /// Its name in messages, as it is typed.
    pub header: &'static str,
    /// What it describes.
    pub help: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

/// One key.
#[derive(Debug)]
pub(super) struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it holds.
    pub holds: Holds,
    /// Whether a plan without it is refused (where that does not hang on other keys).
    pub presence: Presence,
    /// A value that could stand there, as typed.
    pub example: &'static str,
    /// One line that says what it is.
    pub help: &'static str,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Presence {
    Required,
    Optional,
}

/// What a key may hold.
#[derive(Clone, Copy, Debug)]
pub(super) enum Holds {
    /// Any text.
    Text,
    /// One text or a list of texts.
    Texts,
    /// A number with its unit behind it, in quotes.
    Measured,
    /// `true` or `false`.
    Flag,
    /// A day, `"MM-DD"` or `"YYYY-MM-DD"`.
    Day,
    /// A whole number.
    Count { min: u32, max: u32 },
    /// A number.
    Number { of: &'static str, min: f64, max: f64 },
    /// One of these words.
    Words(&'static [&'static str]),
    /// One of these words, or a number.
    NumberOrWords { of: &'static str, min: f64, max: f64, words: &'static [&'static str] },
    /// A table inside this one.
    Inner(&'static Table),
    /// Any number of tables.
    Repeated(&'static Table),
}

impl Holds {
    /// What a message says is expected.
    pub fn expected(self) -> String {
        match self {
            Self::Text => "a text in straight quotes".to_owned(),
            Self::Texts => "a text in straight quotes, or a list of them in square brackets".to_owned(),
            Self::Measured => "a number with its unit, together in straight quotes".to_owned(),
            Self::Flag => "true or false, without quotes".to_owned(),
            Self::Day => "a day as \"MM-DD\" or \"YYYY-MM-DD\"".to_owned(),
            Self::Count { min, max } => format!("a whole number from {min} to {max}, without quotes"),
            Self::Number { of, min, max } => {
                format!(
                    "a number {of} from {min} to {max}, without quotes or unit, with a point as the decimal sign"
                )
            }
            Self::Words(words) => either(&in_quotes(words)),
            Self::NumberOrWords { of, min, max, words } => {
                format!("{}, or a number {of} from {min} to {max} without quotes", either(&in_quotes(words)))
            }
            Self::Inner(table) | Self::Repeated(table) => format!("the table {}", table.header),
        }
    }
}

fn in_quotes(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| format!("\"{word}\"")).collect()
}

impl Table {
    /// The key of that name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

const fn required(name: &'static str, holds: Holds, example: &'static str, help: &'static str) -> Key {
    Key { name, holds, presence: Presence::Required, example, help }
}

const fn optional(name: &'static str, holds: Holds, example: &'static str, help: &'static str) -> Key {
    Key { name, holds, presence: Presence::Optional, example, help }
}

const fn volts(min: f64, max: f64) -> Holds {
    Holds::Number { of: "of volts", min, max }
}

const fn amps(min: f64, max: f64) -> Holds {
    Holds::Number { of: "of amps", min, max }
}

const fn metres() -> Holds {
    // the range of `place::ELEVATION_RANGE_M`, which a test compares
    Holds::Number { of: "of metres above the sea", min: -450.0, max: 9000.0 }
}

const fn number(of: &'static str, min: f64, max: f64) -> Holds {
    Holds::Number { of, min, max }
}

use Holds::{Count, Day, Flag, Inner, Measured, NumberOrWords, Repeated, Text, Texts, Words};

/// Highest voltage that any entry may have, V: common dc devices end at 1500 V (common practice, no source).
const HIGHEST_V: f64 = 2000.0;

pub(super) const CHEMISTRIES: &[&str] = &["lfp", "agm", "gel", "flooded", "nmc"];
pub(super) const KINDS: &[&str] =
    &["disconnect", "breaker", "switch", "controller", "connector", "cable", "fuse"];
pub(super) const MOUNTS: &[&str] = &["roof", "gap", "frame"];
pub(super) const CODE_TEMPERATURES: &[&str] = &["mean-annual-low", "record-low", "20-year-low"];

pub(super) static MODULE: Table = Table {
    header: "[[module]]",
    help: "one kind of panel, with the values of its label or data sheet",
    keys: &[
        required("id", Text, "\"roof100\"", "a short name of your own, used by [[string]]"),
        required("voc_v", volts(0.2, 200.0), "22.5", "open-circuit voltage (Voc) at 1000 W/m2 and 25 C"),
        required("isc_a", amps(0.01, 60.0), "5.8", "short-circuit current (Isc)"),
        optional("vmp_v", volts(0.1, 200.0), "18.6", "voltage at maximum power (Vmp)"),
        optional("imp_a", amps(0.01, 60.0), "5.38", "current at maximum power (Imp)"),
        optional("cells_in_series", Count { min: 1, max: 400 }, "36", "cells, as the label counts them"),
        optional(
            "technology",
            Words(&["mono", "poly", "hjt", "cdte", "cigs", "a-si"]),
            "\"mono\"",
            "what the cells are made of",
        ),
        optional(
            "voc_temp_coeff",
            Measured,
            "\"-0.30 %/K\"",
            "temperature coefficient of Voc with its unit, as printed",
        ),
        optional(
            "isc_temp_coeff",
            Measured,
            "\"0.05 %/K\"",
            "temperature coefficient of Isc with its unit, as printed",
        ),
        optional("max_series_fuse_a", amps(1.0, 100.0), "15", "largest series fuse"),
        optional("max_system_v", volts(10.0, HIGHEST_V), "600", "largest system voltage"),
        optional(
            "voc_tolerance_percent",
            number("of per cent", 0.0, 25.0),
            "3",
            "how far a panel's Voc may lie above its label",
        ),
        optional("bifacial", number("(rear over front)", 0.0, 1.0), "0.7", "rear over front efficiency"),
    ],
};

pub(super) static STRING: Table = Table {
    header: "[[string]]",
    help: "one group of equal strings",
    keys: &[
        optional("array", Text, "\"roof\"", "strings of one array meet at the same controller"),
        required(
            "modules",
            Texts,
            "\"roof100\"",
            "id of the panel, or a list with one id a panel for a mixed string",
        ),
        optional("in_series", Count { min: 1, max: 100 }, "3", "panels in series; not given with a list"),
        optional("in_parallel", Count { min: 1, max: 200 }, "1", "equal strings in parallel"),
        required(
            "mount",
            Words(MOUNTS),
            "\"roof\"",
            "roof (close to the skin), gap (20 to 50 mm of air) or frame (open, folding, on the ground)",
        ),
        optional(
            "tilt_deg",
            NumberOrWords { of: "of degrees", min: 0.0, max: 90.0, words: &["any"] },
            "0",
            "degrees from flat",
        ),
        optional(
            "heading",
            NumberOrWords { of: "of degrees clockwise from north", min: 0.0, max: 360.0, words: &["any"] },
            "\"any\"",
            "where the panels look",
        ),
        optional("snow_ground", Flag, "true", "snow on the ground in front of tilted panels"),
    ],
};

pub(super) static BATTERY: Table = Table {
    header: "[battery]",
    help: "the battery behind the controller",
    keys: &[
        required("chemistry", Words(CHEMISTRIES), "\"lfp\"", "kind of battery"),
        required("nominal_v", volts(12.0, 48.0), "12", "nominal volts: 12, 24, 36 or 48"),
        optional("charge_v", volts(10.0, 80.0), "14.2", "charge volts set at the controller"),
    ],
};

pub(super) static COMPONENT: Table = Table {
    header: "[[component]]",
    help: "a device that the current of an array meets, with the ratings printed on it",
    keys: &[
        required("kind", Words(KINDS), "\"disconnect\"", "what it is"),
        optional("array", Text, "\"roof\"", "the array that it belongs to"),
        optional("name", Text, "\"roof disconnect\"", "a name of your own, for the report"),
        optional("carries", Words(&["string", "array"]), "\"array\"", "which current flows through it"),
        optional(
            "max_v",
            volts(1.0, HIGHEST_V),
            "150",
            "dc volts that it stands as it is wired, not those of one pole",
        ),
        optional("rated_a", amps(0.5, 1000.0), "40", "rated amps"),
        optional("poles_opened", Count { min: 1, max: 8 }, "2", "conductors that it opens at once"),
        optional("polarised", Flag, "false", "marked + and -, or line and load"),
        optional("load_break", Flag, "true", "may be opened under load"),
        optional(
            "max_v_per_pole",
            volts(1.0, HIGHEST_V),
            "125",
            "dc volts of one pole, with poles_in_series",
        ),
        optional("poles_in_series", Count { min: 1, max: 8 }, "2", "poles wired in series in one conductor"),
        optional("max_v_ac", volts(1.0, HIGHEST_V), "250", "ac volts printed on it; no dc rating"),
        optional("continuous_100_percent", Flag, "true", "listed for continuous use at 100 % of its rating"),
        optional(
            "max_operating_v",
            volts(1.0, HIGHEST_V),
            "95",
            "largest volts at which the controller works",
        ),
        optional("max_isc_a", amps(0.5, 1000.0), "35", "largest short-circuit current of the array"),
        optional("max_charge_a", amps(0.5, 1000.0), "30", "largest amps into the battery"),
        optional("start_above_battery_v", volts(0.0, 50.0), "5", "volts over the battery at which it starts"),
        optional(
            "run_above_battery_v",
            volts(0.0, 50.0),
            "1",
            "volts over the battery at which it keeps running",
        ),
        optional("type", Words(&["mppt", "pwm"]), "\"mppt\"", "type of controller"),
        optional("mm2", number("of mm2", 0.5, 300.0), "6", "cross-section of the cable"),
        optional("awg", Count { min: 0, max: 20 }, "8", "gauge of the cable; 0 is 1/0"),
        optional(
            "insulation_c",
            number("of degrees C", 60.0, 200.0),
            "90",
            "temperature class of the insulation",
        ),
        optional("ambient_c", number("of degrees C", -20.0, 120.0), "65", "where the cable runs hottest"),
        optional("ambient_f", number("of degrees F", -4.0, 248.0), "150", "the same in F"),
    ],
};

pub(super) static PUBLISHED: Table = Table {
    header: "published_low_c",
    help: "a published low of the place, printed beside ours",
    keys: &[
        required("mean", number("of degrees C", -70.0, 40.0), "-18.3", "mean of the annual lows"),
        optional("sd", number("of kelvin", 0.1, 20.0), "3.4", "their standard deviation"),
        required("source", Text, "\"handbook, edition, station\"", "where it is published"),
    ],
};

pub(super) static COLUMNS: Table = Table {
    header: "[stop.columns]",
    help: "how to read a CSV of no known format",
    keys: &[
        required(
            "time",
            Texts,
            "\"when\"",
            "header of the time, or several headers: year, month, day, hour, minute",
        ),
        optional("time_format", Text, "\"%d.%m.%Y %H:%M\"", "pattern of the time where it is not ISO-8601"),
        optional("utc_offset", Text, "\"+00:00\"", "zone of the stamps, where it is not the stop's own"),
        required("air", Text, "\"outside\"", "header of the air temperature"),
        optional("air_unit", Words(&["C", "F", "K"]), "\"C\"", "its unit"),
        optional("ghi", Text, "\"global\"", "header of the global horizontal irradiance, W/m2"),
        optional("dni", Text, "\"direct\"", "header of the direct normal irradiance, W/m2"),
        optional("dhi", Text, "\"diffuse\"", "header of the diffuse horizontal irradiance, W/m2"),
        optional("wind", Text, "\"wind\"", "header of the wind speed"),
        optional("wind_unit", Words(&["m/s", "km/h", "mph", "kn"]), "\"m/s\"", "its unit"),
        optional("cloud", Text, "\"cloud\"", "header of the cloud cover"),
        optional("cloud_unit", Words(&["oktas", "tenths", "percent"]), "\"oktas\"", "its unit"),
        optional(
            "label",
            Words(&["instant", "hour-ending", "hour-beginning"]),
            "\"instant\"",
            "what a stamp means",
        ),
        optional(
            "station_column",
            Text,
            "\"origin\"",
            "header that names the station, where one file holds several",
        ),
        optional("station", Text, "\"EWR\"", "the station to take"),
        optional("delimiter", Text, "\";\"", "one character between fields, or \"tab\""),
        optional("decimal", Words(&[".", ","]), "\".\"", "decimal sign"),
    ],
};

pub(super) static STOP: Table = Table {
    header: "[[stop]]",
    help: "one place of the trip",
    keys: &[
        required("place", Text, "\"Juniper Flat\"", "its name"),
        required("weather", Texts, "[\"weather/juniper-flat-*.csv\"]", "weather files, relative to the plan"),
        optional("arrive", Day, "\"12-20\"", "first day there"),
        optional("leave", Day, "\"01-15\"", "last day there"),
        optional("elevation_m", metres(), "1450", "where the vehicle stands"),
        optional(
            "elevation_ft",
            number("of feet above the sea", -1476.0, 29_527.0),
            "4760",
            "the same in feet",
        ),
        optional(
            "station_elevation_m",
            metres(),
            "700",
            "elevation of the weather station where the file has none",
        ),
        optional(
            "latitude_deg",
            number("of degrees north", -90.0, 90.0),
            "46.2",
            "only where the file does not say",
        ),
        optional(
            "longitude_deg",
            number("of degrees east", -180.0, 180.0),
            "-112.5",
            "only where the file does not say",
        ),
        optional("utc_offset", Text, "\"-07:00\"", "distance of the local clock from UTC"),
        optional(
            "code_temperature",
            number("of degrees C", -70.0, 40.0),
            "-24",
            "a published or agreed value for this place",
        ),
        optional(
            "published_low_c",
            Inner(&PUBLISHED),
            "{ mean = -18.3, sd = 3.4, source = \"...\" }",
            "printed beside ours",
        ),
        optional("columns", Inner(&COLUMNS), "", "how to read a CSV of no known format"),
    ],
};

pub(super) static ASSUMPTIONS: Table = Table {
    header: "[assumptions]",
    help: "settings of the analysis",
    keys: &[
        optional(
            "code_temperature",
            NumberOrWords { of: "of degrees C", min: -70.0, max: 40.0, words: CODE_TEMPERATURES },
            "\"mean-annual-low\"",
            "temperature of the code sum",
        ),
        optional("return_years", number("of years", 2.0, 200.0), "20", "n of the n-year level that decides"),
        optional(
            "sky_cooling_k",
            number("of kelvin", 0.0, 15.0),
            "4",
            "cell below the air after a clear night",
        ),
        optional("linke_turbidity", number("(Linke turbidity)", 1.0, 8.0), "2.0", "haze of the clear sky"),
        optional("array_earthed", Flag, "false", "whether one conductor of the array is solidly earthed"),
        optional("touch_limit_v", volts(1.0, 1500.0), "60", "a touch-voltage line that counts as a limit"),
    ],
};

pub(super) static PLAN: Table = Table {
    header: "the top of the plan",
    help: "an array of solar panels on a vehicle, and the places it will stand",
    keys: &[
        optional("title", Text, "\"Winter loop\"", "title of the report"),
        optional("prepared_for", Text, "\"Harbour Lending Library\"", "printed in the report"),
        optional("prepared_by", Text, "\"A. Smith\"", "printed in the report"),
        optional("date", Text, "\"2031-11-02\"", "printed in the report, as typed"),
        optional(
            "rules",
            Words(&["nec-2023", "iec", "as-nzs"]),
            "\"iec\"",
            "whose clauses are cited, what may protect a cable and which breaker sizes are named; left out, all that apply",
        ),
        required("module", Repeated(&MODULE), "", "kinds of panel"),
        required("string", Repeated(&STRING), "", "strings of panels"),
        optional("battery", Inner(&BATTERY), "", "the battery"),
        optional("component", Repeated(&COMPONENT), "", "devices that the current meets"),
        optional("stop", Repeated(&STOP), "", "places of the trip"),
        optional("assumptions", Inner(&ASSUMPTIONS), "", "settings of the analysis"),
    ],
};

/// All tables, the outermost first.
pub(super) static TABLES: [&Table; 9] =
    [&PLAN, &MODULE, &STRING, &BATTERY, &COMPONENT, &STOP, &PUBLISHED, &COLUMNS, &ASSUMPTIONS];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::schema::{self, names};

    #[test]
    fn the_described_keys_are_the_keys_that_are_read() {
        let read = [
            names::of::<schema::PlanFile>(),
            names::of::<schema::ModuleTable>(),
            names::of::<schema::StringTable>(),
            names::of::<schema::BatteryTable>(),
            names::of::<schema::ComponentTable>(),
            names::of::<schema::StopTable>(),
            names::of::<schema::PublishedTable>(),
            names::of::<schema::ColumnsTable>(),
            names::of::<schema::AssumptionsTable>(),
        ];
        for (table, read) in TABLES.iter().zip(read) {
            let described: Vec<&str> = table.keys.iter().map(|key| key.name).collect();
            assert_eq!(described, read, "{}", table.header);
        }
    }

    #[test]
    fn elevations_have_the_range_of_places() {
        for name in ["elevation_m", "station_elevation_m"] {
            let Some(Key { holds: Holds::Number { min, max, .. }, .. }) = STOP.key(name) else {
                panic!("{name} is no number")
            };
            assert_eq!(*min..=*max, crate::place::ELEVATION_RANGE_M);
        }
    }
}
