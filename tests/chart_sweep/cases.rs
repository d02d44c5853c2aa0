//! Plans and weather at the edges of what charts must show. All of it is invented; the places lie in the open ocean.

use std::f64::consts::TAU;
use std::fmt::Write as _;

/// What one set of charts is drawn from.
#[derive(Clone, Copy)]
pub struct Case {
    pub name: &'static str,
    pub stops: usize,
    pub winters: usize,
    /// Hours between two reports.
    pub step_h: usize,
    pub climate: Climate,
    /// Whether the stops have dates.
    pub dated: bool,
    pub names: Names,
    /// Panels in series.
    pub in_series: usize,
    pub battery_v: u32,
    /// Components as TOML.
    pub components: &'static str,
    pub arrays: usize,
}

#[derive(Clone, Copy, PartialEq)]
pub enum Names {
    Short,
    Long,
}

/// Air at the coldest and warmest time of the year, latitude.
#[derive(Clone, Copy)]
pub struct Climate {
    pub winter_c: f64,
    pub summer_c: f64,
    pub latitude_deg: f64,
}

const COLD: Climate = Climate { winter_c: -18.0, summer_c: 16.0, latitude_deg: 46.0 };
const HOT: Climate = Climate { winter_c: 24.0, summer_c: 41.0, latitude_deg: 12.0 };
const SOUTH: Climate = Climate { winter_c: -9.0, summer_c: 14.0, latitude_deg: -44.0 };
const POLAR_SOUTH: Climate = Climate { winter_c: -34.0, summer_c: -4.0, latitude_deg: -74.0 };

const ONE: &str = r#"
[[component]]
kind = "disconnect"
name = "roof disconnect"
max_v = 50
"#;

const SIX: &str = r#"
[[component]]
kind = "disconnect"
name = "roof disconnect with a long name upon it"
max_v = 50
rated_a = 32
poles_opened = 2

[[component]]
kind = "controller"
name = "charge controller"
max_v = 51
max_operating_v = 49.5
max_isc_a = 16
max_charge_a = 20

[[component]]
kind = "breaker"
name = "array breaker"
max_v = 50.5
rated_a = 20

[[component]]
kind = "connector"
name = "gland plugs"
carries = "array"
rated_a = 16.5
max_v = 52

[[component]]
kind = "fuse"
name = "string fuse"
carries = "string"
rated_a = 15
max_v = 60

[[component]]
kind = "cable"
name = "roof cable"
mm2 = 2.5
insulation_c = 90
ambient_c = 60
max_v = 100
"#;

const WIDE: &str = r#"
[[component]]
kind = "disconnect"
name = "mains-size disconnect"
max_v = 1000
rated_a = 63
poles_opened = 2
"#;

const LONG_NAMES: &str = r#"
[[component]]
kind = "disconnect"
name = "combined roof disconnect and isolator in the grey housing above the rear door of the workshop side"
max_v = 50
rated_a = 32

[[component]]
kind = "controller"
name = "Wanderwintersonnenladereglervorschaltgeraet-1712-b"
max_v = 51
max_isc_a = 16

[[component]]
kind = "breaker"
name = "array breaker beside the fuse board under the driver's seat, left of the two"
max_v = 50
rated_a = 20
poles_opened = 2

[[component]]
kind = "connector"
name = "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW"
carries = "array"
rated_a = 16
max_v = 1000
"#;

const LOW: &str = r#"
[[component]]
kind = "switch"
name = "cabin switch"
max_v = 24
rated_a = 5
poles_opened = 1

[[component]]
kind = "controller"
name = "small controller"
max_v = 25
max_isc_a = 5
"#;

const USUAL: Case = Case {
    name: "",
    stops: 1,
    winters: 2,
    step_h: 1,
    climate: COLD,
    dated: false,
    names: Names::Short,
    in_series: 2,
    battery_v: 12,
    components: ONE,
    arrays: 1,
};

pub const CASES: &[Case] = &[
    Case { name: "one-stop-two-winters-one-limit", ..USUAL },
    Case { name: "one-stop-sixty-winters-six-limits", winters: 60, step_h: 3, components: SIX, ..USUAL },
    Case {
        name: "three-stops-dated-six-limits",
        stops: 3,
        winters: 6,
        dated: true,
        components: SIX,
        ..USUAL
    },
    Case { name: "twelve-stops-long-names-one-limit", stops: 12, names: Names::Long, step_h: 3, ..USUAL },
    Case {
        name: "twelve-stops-dated-six-limits",
        stops: 12,
        dated: true,
        components: SIX,
        step_h: 3,
        ..USUAL
    },
    Case { name: "all-within", winters: 6, step_h: 3, components: WIDE, ..USUAL },
    Case { name: "every-hour-over", components: LOW, step_h: 3, ..USUAL },
    Case { name: "no-limit-two-arrays", stops: 3, components: "", arrays: 2, step_h: 3, ..USUAL },
    Case { name: "too-hot-to-start", climate: HOT, in_series: 1, battery_v: 12, components: LOW, ..USUAL },
    Case { name: "polar-south", climate: POLAR_SOUTH, components: SIX, winters: 3, ..USUAL },
    Case { name: "one-season", winters: 1, components: SIX, ..USUAL },
    Case { name: "twelve-winters-dated", stops: 3, winters: 12, dated: true, step_h: 3, ..USUAL },
    Case { name: "south-dated", stops: 2, winters: 11, dated: true, step_h: 3, climate: SOUTH, ..USUAL },
    Case {
        name: "long-names-everywhere",
        stops: 3,
        step_h: 3,
        names: Names::Long,
        components: LONG_NAMES,
        ..USUAL
    },
    Case { name: "forty-stops", stops: 40, winters: 1, step_h: 6, dated: true, ..USUAL },
    Case { name: "many-in-series", in_series: 8, components: WIDE, step_h: 3, ..USUAL },
];

const PLACES: [&str; 12] = [
    "Cinder Ford",
    "Marrow Saddle",
    "Saltreed Bay",
    "Thorn Mere",
    "Gull Stair",
    "Ash Hollow",
    "Kettle Bar",
    "Rime Gate",
    "Otter Sound",
    "Dun Shelf",
    "Larkspur",
    "Wick",
];

fn place(case: &Case, stop: usize) -> String {
    match case.names {
        Names::Short => PLACES[stop % 12].to_owned(),
        Names::Long => format!(
            "The upper parking area behind the old {} ferry landing, Whistlewhitherwardshirebury",
            PLACES[stop % 12]
        ),
    }
}

/// A number between -1 and 1 that is the same on every run.
fn noise(seed: u64) -> f64 {
    let mut x = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d;
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((x >> 11) as f64 / (1_u64 << 52) as f64) - 1.0
}

/// Days from 1970-01-01 to a civil date (proleptic Gregorian).
fn days(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year - era * 400;
    let of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// The day of a number of days from 1970-01-01.
fn civil(days: i64) -> (i64, i64, i64) {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z - era * 146_097;
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let (day, month) = (doy - (153 * mp + 2) / 5 + 1, if mp < 10 { mp + 3 } else { mp - 9 });
    (yoe + era * 400 + i64::from(month <= 2), month, day)
}

/// The record of a stop: a year's swing, spells of a week, a day's swing, winters of their own.
pub fn weather(case: &Case, stop: usize) -> String {
    let south = case.climate.latitude_deg < 0.0;
    let first_year = 2020 - case.winters as i64;
    let start_month = if south { 1 } else { 7 };
    let (first, end) = (days(first_year, start_month, 1), days(2020, start_month, 1));
    let Climate { winter_c, summer_c, latitude_deg } = case.climate;
    let warmer = [0.0, -6.0, 9.0][stop % 3];
    let mut text = String::from("time,temp_c,ghi\n");
    for day in first..end {
        let (year, month, date) = civil(day);
        let of_year = (day - days(year, 1, 1)) as f64;
        let shift = if south { 0.5 } else { 0.0 };
        // Coldest and darkest near mid-January and the December solstice of the north.
        let season = -((of_year - 17.0) / 365.25 * TAU + shift * TAU).cos();
        let base = f64::midpoint(winter_c, summer_c) + (summer_c - winter_c) / 2.0 * season + warmer;
        let key = (stop as u64) << 40 | (day as u64);
        let spell =
            5.0 * noise(key / 5) * (1.0 - 0.4 * season) + 2.0 * noise((year as u64) << 8 | stop as u64);
        let cloud = noise(key ^ 0xabc).mul_add(0.4, 0.55).clamp(0.1, 1.0);
        let declination = (23.4 * (TAU * (of_year - 80.0) / 365.25).sin()).to_radians();
        for hour in (0..24).step_by(case.step_h) {
            // The places lie on the meridian of their clock, ten hours behind UTC.
            let local = (hour as f64 + 14.0) % 24.0;
            let angle = ((local - 12.0) / 24.0 * TAU).cos();
            let latitude = latitude_deg.to_radians();
            let height = latitude.sin() * declination.sin() + latitude.cos() * declination.cos() * angle;
            let light = (990.0 * height.max(0.0).powf(1.15) * cloud).round();
            let air = base
                + spell
                + 5.0 * ((local - 15.0) / 24.0 * TAU).cos()
                + noise(key.wrapping_mul(31).wrapping_add(hour as u64));
            writeln!(text, "{year}-{month:02}-{date:02}T{hour:02}:00:00Z,{air:.1},{light}").unwrap();
        }
    }
    text
}

/// The plan, with `rating` in place of the first component's volts where one is given.
pub fn plan(case: &Case, rating: Option<f64>) -> String {
    let mut text = format!("title = \"Sweep: {} (invented)\"\n", case.name);
    text.push_str(
        "[[module]]\nid = \"roof110\"\nvoc_v = 22.9\nisc_a = 6.15\nvmp_v = 19.0\nimp_a = 5.79\n\
         cells_in_series = 36\ntechnology = \"mono\"\nvoc_temp_coeff = \"-0.30 %/K\"\n\n",
    );
    for array in 0..case.arrays {
        let name = if case.arrays > 1 {
            format!("array = \"{}\"\n", ["roof", "awning"][array])
        } else {
            String::new()
        };
        write!(
            text,
            "[[string]]\n{name}modules = \"roof110\"\nin_series = {}\nin_parallel = 2\nmount = \"gap\"\n\n",
            case.in_series
        )
        .unwrap();
    }
    write!(text, "[battery]\nchemistry = \"lfp\"\nnominal_v = {}\n", case.battery_v).unwrap();
    match rating {
        Some(rating) => {
            text.push_str(&case.components.replacen("max_v = 50\n", &format!("max_v = {rating}\n"), 1));
        }
        None => text.push_str(case.components),
    }
    for stop in 0..case.stops {
        let Climate { latitude_deg, .. } = case.climate;
        write!(
            text,
            "\n[[stop]]\nplace = \"{}\"\nweather = [\"{stop}.csv\"]\nlatitude_deg = {latitude_deg:?}\n\
             longitude_deg = -150.0\nelevation_m = {}\nutc_offset = \"-10:00\"\n",
            place(case, stop),
            [1240, 2310, 8][stop % 3]
        )
        .unwrap();
        if case.dated {
            let day = |at: usize| format!("{:02}-{:02}", [12, 1, 2][at / 28 % 3], at % 28 + 1);
            let each = 60 / case.stops;
            writeln!(text, "arrive = \"{}\"\nleave = \"{}\"", day(stop * each), day((stop + 1) * each))
                .unwrap();
        }
    }
    text
}
