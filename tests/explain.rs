//! `explain`: every printed number of the worst hour of a real record (see tests/formats/isd_lite), worked again by
//! plain code that shares nothing with the program but the formulas of the cited papers.
#![expect(clippy::unwrap_used)]

use dawnvolt::plan::{self, Plan};
use dawnvolt::study::explain::{Explained, Places, Quantity, WorkedStep};
use dawnvolt::study::{Choice, explain};
use flate2::read::GzDecoder;
use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::io::Read;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/plans")
}

fn plan_with(change: impl Fn(&str) -> String) -> Plan {
    let text = std::fs::read_to_string(folder().join("chicago.toml")).unwrap();
    plan::from_text(change(&text).as_bytes(), Path::new("chicago.toml"), &folder()).unwrap()
}

fn explained(plan: &Plan, at: Option<&str>) -> Explained {
    explain(plan, &Choice::default(), at).unwrap_or_else(|error| panic!("{error}"))
}

/// Half of the last printed digit, and a little for numbers that lie between two.
fn half_a_digit(quantity: &Quantity) -> f64 {
    let text = quantity.places.text(quantity.value);
    let (digits, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, after)| after.len());
    0.5001 * 10_f64.powi(exponent.parse::<i32>().unwrap() - i32::try_from(decimals).unwrap())
}

fn assert_printed(what: &str, found: &Quantity, expected: f64) {
    let apart = (found.value - expected).abs();
    assert!(apart <= half_a_digit(found), "{what}: {} printed, {expected} by hand", found.text());
}

/// The input of a step by its symbol.
fn input(step: &WorkedStep, symbol: &str) -> f64 {
    let found: Vec<&Quantity> = step.inputs.iter().filter(|input| input.symbol == symbol).collect();
    assert_eq!(found.len(), 1, "{}: {symbol}", step.what);
    found[0].value
}

fn sin(degrees: f64) -> f64 {
    (degrees * PI / 180.0).sin()
}

fn cos(degrees: f64) -> f64 {
    (degrees * PI / 180.0).cos()
}

fn refraction(p: f64, e: f64) -> f64 {
    if e < -0.833_37 {
        return 0.0;
    }
    let bent = (e + 10.3 / (e + 5.11)) * PI / 180.0;
    p / 101_000.0 * 283.0 / 285.0 * 1.02 / (60.0 * bent.tan())
}

fn air_mass(apparent: f64) -> f64 {
    let z = apparent.min(90.0);
    1.0 / (cos(z) + 0.505_72 * (96.079_95 - z).powf(-1.636_4))
}

/// Current of the single diode at a terminal voltage, by bisection on the current.
struct Curve {
    il: f64,
    id: f64,
    a: f64,
    rs: f64,
    gs: f64,
}

impl Curve {
    fn amps(&self, volts: f64) -> f64 {
        let miss = |amps: f64| {
            let junction = volts + amps * self.rs;
            self.il - self.id * ((junction / self.a).exp() - 1.0) - junction * self.gs - amps
        };
        bisect(miss, -2.0 * self.il, 2.0 * self.il)
    }

    /// Voltage of largest power, by narrowing in on the top.
    fn top(&self) -> (f64, f64) {
        let open = bisect(|v| self.il - self.id * ((v / self.a).exp() - 1.0) - v * self.gs, 0.0, 200.0);
        let slope = |v: f64| {
            let step = 1e-4;
            let power = |v: f64| v * self.amps(v);
            (power(v + step) - power(v - step)) / (2.0 * step)
        };
        (open, bisect(slope, 0.4 * open, open))
    }
}

/// Root of a falling function.
fn bisect(of: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if of(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// The result of a step by hand.
fn by_hand(step: &WorkedStep) -> f64 {
    let q = |symbol: &str| input(step, symbol);
    let all = || step.inputs.iter().map(|input| input.value);
    match step.id {
        "pressure" => 100.0 * ((44_331.514 - q("h")) / 11_880.516).powf(1.0 / 0.190_263_2),
        "f1" => (-q("h") / 8000.0).exp(),
        "f2" => (-q("h") / 1250.0).exp(),
        "c1" => 0.000_050_9 * q("h") + 0.868,
        "c2" => 0.000_039_2 * q("h") + 0.0387,
        "hour-angle" => {
            let sum = q("HG") + q("L");
            if sum > 180.0 {
                sum - 360.0
            } else if sum < -180.0 {
                sum + 360.0
            } else {
                sum
            }
        }
        "geocentric" => sin(q("φ")) * sin(q("δ")) + cos(q("φ")) * cos(q("δ")) * cos(q("H")),
        "parallax" => q("c0") - 8.794 / 3600.0 / q("r") * PI / 180.0 * (1.0 - q("c0") * q("c0")),
        "elevation" => 90.0 - q("cos z").acos() * 180.0 / PI,
        "refraction" => refraction(q("p"), q("e")),
        "apparent" => 90.0 - q("e") - q("Δe"),
        "cos-apparent" => cos(q("z'")),
        "azimuth" => {
            let (phi, delta, hour) = (q("φ"), q("δ"), q("H"));
            let east = -cos(delta) * sin(hour);
            let north = cos(phi) * sin(delta) - sin(phi) * cos(delta) * cos(hour);
            let azimuth = east.atan2(north) * 180.0 / PI;
            if azimuth < 0.0 { azimuth + 360.0 } else { azimuth }
        }
        "above-air" => 1361.0 / (q("r") * q("r")),
        "air-mass-relative" => air_mass(q("z'")),
        "air-mass" => (q("AMr") * q("p") / 101_325.0).min(10.0),
        "clear-global" => {
            let bracket = q("f1") + q("f2") * (q("TL") - 1.0);
            q("c1") * q("E0") * q("cos z'") * (-q("c2") * q("AM") * bracket + 0.01 * q("AM").powf(1.8)).exp()
        }
        "beam-share" => 0.664 + 0.163 / q("f1"),
        "clear-direct-1" => q("b") * q("E0") * (-0.09 * q("AM") * (q("TL") - 1.0)).exp(),
        "clear-direct-2" => {
            let share = 1.0 - (0.1 - 0.2 * (-q("TL")).exp()) / (0.1 + 0.882 / q("f1"));
            q("Gc") * share / q("cos z'")
        }
        "smaller" => all().fold(f64::INFINITY, f64::min),
        "larger" => all().fold(0.0, f64::max),
        "clear-diffuse" => q("Gc") - q("Bc") * q("cos z'"),
        "mean-of-twelve" => all().sum::<f64>() / 12.0,
        "ratio" => q("Gm") / q("Gcm"),
        "cloud-factor" => 1.0 - 0.75 * (q("N") / 8.0).powf(3.4),
        "shaped" => (q("k") * q("Gc")).min((1.5 * q("Gc")).max(q("Gm"))),
        "credible-on-plane" => q("GP").min((1.5 * q("Gcp")).max(q("G")).max(q("Gm"))),
        "product" | "product-gap" | "strings" => all().product(),
        "own-diffuse" => q("G") * (q("Dm") / q("Gm")).min(1.0),
        "own-direct" => ((q("G") - q("D")) / q("cos z")).min(q("E0")),
        "nearly-clear-diffuse" => (q("G") - q("Bc") * q("cos z")).max(0.0),
        "erbs-diffuse" => {
            let kt = (q("G") / (q("E0") * q("cos z").max(0.065))).min(1.0);
            let quartic =
                0.9511 - 0.1604 * kt + 4.388 * kt * kt - 16.638 * kt.powf(3.0) + 12.336 * kt.powf(4.0);
            let share = if q("cos z") < cos(87.0) {
                1.0
            } else if kt <= 0.22 {
                1.0 - 0.09 * kt
            } else if kt <= 0.8 {
                quartic
            } else {
                0.165
            };
            share * q("G")
        }
        "erbs-direct" => {
            if q("cos z") < cos(87.0) {
                0.0
            } else {
                ((q("G") - q("D")) / q("cos z")).min(q("E0"))
            }
        }
        "cos-tilt" => cos(q("β")),
        "square-to-sun" => q("cos z'").max(0.0),
        "incidence-facing" => {
            let sin_z = (1.0 - q("cos z'") * q("cos z'")).sqrt();
            q("cos β") * q("cos z'") + sin(q("β")) * sin_z
        }
        "incidence-fixed" => {
            let sin_z = (1.0 - q("cos z'") * q("cos z'")).sqrt();
            (q("cos β") * q("cos z'") + sin(q("β")) * sin_z * cos(q("γ") - q("ψ"))).max(0.0)
        }
        "incidence-mean" => {
            // The mean over headings by adding up a fine circle.
            let sin_z = (1.0 - q("cos z'") * q("cos z'")).sqrt();
            let (a, b) = (q("cos β") * q("cos z'"), sin(q("β")) * sin_z);
            let count = 100_000;
            (0..count).map(|n| (a + b * cos(f64::from(n) * 360.0 / f64::from(count))).max(0.0)).sum::<f64>()
                / f64::from(count)
        }
        "plane-direct" => q("B") * q("cos θ"),
        "plane-sky" => {
            let (share, cosine) = (q("B") / q("E0"), q("cos z'").max(0.017_45));
            let sky = q("D") * (share * q("cos θ") / cosine + (1.0 - share) * (1.0 + q("cos β")) / 2.0);
            if q("cos z'") < cos(85.0) { sky.min(2.5 * q("D")) } else { sky }
        }
        "plane-ground" => q("G") * q("ρ") * (1.0 - q("cos β")) / 2.0,
        "sum-of-three" | "sum" => all().sum(),
        "flat-parts" => q("B") * q("cos z'").max(0.0) + q("D"),
        "rear" => (q("G") * q("ρ") * (1.0 + q("cos β")) / 2.0).min(0.3 * q("GF")),
        "with-rear" => q("GF") + q("x") * q("GR"),
        "lapse-usual" => q("Tm") - 0.0065 * q("Δh"),
        "lapse-bound" => q("Tl") - 0.0098 * q("Δh"),
        "cell-roof" => q("Ta") + q("GP") * (-2.81 - 0.0455 * q("v")).exp(),
        "cell-gap" => q("Ta") + q("GP") * (-2.98 - 0.0471 * q("v")).exp() + q("GP") / 1000.0,
        "cell-frame" => q("Ta") + q("GP") / (25.0 + 6.84 * q("v")),
        "same" => q("Ta"),
        "cell-worst" => q("Tb") - q("ΔTs"),
        "colder" => q("Tw") - q("ΔTa"),
        "level" => q("m") + q("k") * q("s"),
        "kelvin" => q("Tc") + 273.15,
        "tolerance" => q("V0") * (1.0 + q("t") / 100.0),
        "cold" => q("V0") * (1.0 + q("β") / 100.0 * (q("Tc") - 25.0)),
        "light-term" => q("Ns") * q("n") * 0.000_086_173_332_62 * q("TK") * (q("G") / 1000.0).ln(),
        "panels" => q("Np") * (q("V1") + q("V2")),
        "short" => q("I0") * (q("G") / 1000.0) * (1.0 + q("α") / 100.0 * (q("Tc") - 25.0)),
        "curve-a" => q("a0") * (q("Tc") + 273.15) / 298.15,
        "curve-photo" => q("IL0") + q("I0") * q("α") / 100.0 * (q("Tc") - 25.0),
        "curve-saturation" => (q("IL1") - q("V1") * q("Gs0")) / ((q("V1") / q("a")).exp() - 1.0),
        "curve-light" => q("IL1") * q("G") / 1000.0,
        "curve-shunt" => q("Gs0") * q("G") / 1000.0,
        "curve-open" => {
            let (il, id, a, gs) = (q("IL"), q("Id"), q("a"), q("Gs"));
            bisect(|v| il - id * ((v / a).exp() - 1.0) - v * gs, 0.0, 200.0)
        }
        "curve-vmp" | "curve-imp" => {
            let curve = Curve { il: q("IL"), id: q("Id"), a: q("a"), rs: q("Rs"), gs: q("Gs") };
            let (_, top) = curve.top();
            if step.id == "curve-vmp" { top } else { curve.amps(top) }
        }
        "gap" => q("Vo") - q("Vm"),
        "vmp" => 2.0 * q("V") - all().sum::<f64>(),
        "code-line" => q("Np") * q("V0") * (1.0 + q("β") / 100.0 * (q("T") - 25.0)),
        "code-table" => all().product(),
        other => panic!("{other}: a formula that this test does not know"),
    }
}

/// Works every step and every row again; gives the formulas met.
fn assert_every_number(found: &Explained) -> BTreeSet<&'static str> {
    let mut met = BTreeSet::new();
    for part in &found.parts {
        for step in part.steps.iter().filter(|step| step.formula.is_some()) {
            met.insert(step.id);
            let what = format!("{}: {} ({})", part.title, step.what, step.id);
            assert_printed(&what, &step.result, by_hand(step));
        }
        let Some(table) = &part.table else { continue };
        for row in &table.rows {
            let q = |symbol: &str| row.values.iter().find(|value| value.symbol == symbol).unwrap();
            let v = |symbol: &str| q(symbol).value;
            let given = |symbol: &str| value_given(found, symbol);
            let at = format!("{} {}", part.title, row.moment);
            let (phi, p, c0) = (given("φ"), given("p"), v("c0"));
            assert_printed(&at, q("c0"), sin(phi) * sin(v("δ")) + cos(phi) * cos(v("δ")) * cos(v("H")));
            assert_printed(&at, q("cos z"), c0 - 8.794 / 3600.0 / v("r") * PI / 180.0 * (1.0 - c0 * c0));
            assert_printed(&at, q("e"), 90.0 - v("cos z").acos() * 180.0 / PI);
            assert_printed(&at, q("Δe"), refraction(p, v("e")));
            assert_printed(&at, q("z'"), 90.0 - v("e") - v("Δe"));
            assert_printed(&at, q("cos z'"), cos(v("z'")));
            assert_printed(&at, q("E0"), 1361.0 / v("r") / v("r"));
            assert_printed(&at, q("AMr"), air_mass(v("z'")));
            assert_printed(&at, q("AM"), (v("AMr") * p / 101_325.0).min(10.0));
            let bracket = given("f1") + given("f2") * (given("TL") - 1.0);
            let exponent = -given("c2") * v("AM") * bracket + 0.01 * v("AM").powf(1.8);
            assert_printed(&at, q("Gc"), given("c1") * v("E0") * v("cos z'") * exponent.exp());
            assert_eq!(row.values.len(), 13);
        }
    }
    met
}

/// The result called `symbol`, wherever it stands first.
fn value_given(found: &Explained, symbol: &str) -> f64 {
    let mut steps = found.parts.iter().flat_map(|part| &part.steps);
    steps.find(|step| step.result.symbol == symbol).unwrap_or_else(|| panic!("{symbol}")).result.value
}

fn result_in(found: &Explained, part: &str) -> f64 {
    let part = found.parts.iter().find(|found| found.title.starts_with(part)).unwrap();
    part.steps.last().unwrap().result.value
}

/// The last steps against the run, which rounds nothing in between: volts to a millivolt a panel.
fn assert_the_run_agrees(found: &Explained) {
    let figures = &found.figures;
    for (part, run, tolerance) in [
        ("Steady", figures.steady_v, 0.005),
        ("Sudden sun", figures.sudden_sun_v, 0.005),
        ("Worst case", figures.worst_case_v, 0.005),
        ("Short-circuit", figures.isc_a, 0.005),
        ("Maximum power", figures.imp_a, 0.005),
    ] {
        let Some(run) = run else { continue };
        let by_steps = result_in(found, part);
        assert!((by_steps - run).abs() < tolerance, "{part}: {by_steps} by steps, {run} in the run");
    }
}

/// Declination, distance and hour angle at Greenwich in the middle of each 5 minutes from 16:00Z on 2015-02-19, by the
/// full solar position algorithm of pvlib 0.16.1 (module spa, its functions one by one, delta T 67.644 s).
const ALMANAC: [(f64, f64, f64); 12] = [
    (-11.229_631, 0.988_586_3, 57.172_391),
    (-11.228_393, 0.988_587_0, 58.422_472),
    (-11.227_154, 0.988_587_8, 59.672_554),
    (-11.225_916, 0.988_588_5, 60.922_636),
    (-11.224_678, 0.988_589_2, 62.172_717),
    (-11.223_439, 0.988_590_0, 63.422_799),
    (-11.222_201, 0.988_590_7, 64.672_881),
    (-11.220_962, 0.988_591_4, 65.922_963),
    (-11.219_724, 0.988_592_1, 67.173_044),
    (-11.218_485, 0.988_592_9, 68.423_126),
    (-11.217_246, 0.988_593_6, 69.673_208),
    (-11.216_008, 0.988_594_3, 70.923_290),
];

#[test]
fn every_number_of_the_worst_hour_of_chicago_by_hand() {
    let found = explained(&plan_with(str::to_owned), None);
    assert_eq!(found.at.iso(), "2015-02-19T16:00:00Z");
    let met = assert_every_number(&found);
    assert!(met.len() >= 35, "{met:?}");
    assert_the_run_agrees(&found);

    // What is given, against its origin: the almanac to one unit of the last digit, since it is interpolated.
    let table = found.parts.iter().find_map(|part| part.table.as_ref()).unwrap();
    assert_eq!(table.rows.len(), 12);
    for (row, (declination, distance, greenwich)) in table.rows.iter().zip(ALMANAC) {
        let v = |symbol: &str| row.values.iter().find(|value| value.symbol == symbol).unwrap().value;
        assert!((v("δ") - declination).abs() < 1e-4, "{}", row.moment);
        assert!((v("r") - distance).abs() < 1e-6, "{}", row.moment);
        assert!((v("H") - (greenwich - 87.934)).abs() < 1e-4, "{}", row.moment);
    }
    let (declination, distance, greenwich) = ALMANAC[11];
    assert!((value_given(&found, "δ") - declination).abs() < 1e-4);
    assert!((value_given(&found, "r") - distance).abs() < 1e-6);
    assert!((value_given(&found, "HG") - greenwich).abs() < 1e-4);
}

#[test]
fn the_reading_is_the_line_that_it_names() {
    let found = explained(&plan_with(str::to_owned), None);
    let (path, line) = found.line.rsplit_once(':').unwrap();
    let mut text = String::new();
    let path = folder().join("../formats/isd_lite").join(path);
    GzDecoder::new(std::fs::File::open(path).unwrap()).read_to_string(&mut text).unwrap();
    let row: Vec<i32> = text
        .lines()
        .nth(line.parse::<usize>().unwrap() - 1)
        .unwrap()
        .split_whitespace()
        .map(|cell| cell.parse().unwrap())
        .collect();
    // ISD-Lite: year, month, day, hour, air in tenths, ..., wind in tenths (column 9), sky cover in oktas (column 10).
    assert_eq!(row[..4], [2015, 2, 19, 16]);
    assert!((value_given(&found, "Tm") - f64::from(row[4]) / 10.0).abs() < 1e-9);
    assert!((value_given(&found, "Tl") - f64::from(row[4]) / 10.0).abs() < 1e-9);
    assert!((value_given(&found, "v") - f64::from(row[8]) / 10.0).abs() < 1e-9);
    assert!((value_given(&found, "N") - f64::from(row[9])).abs() < 1e-9);
    // The plan's own numbers.
    for (symbol, value) in
        [("h", 205.0), ("φ", 41.995), ("L", -87.934), ("V0", 22.5), ("β", -0.3), ("Ns", 36.0), ("I0", 5.8)]
    {
        assert!((value_given(&found, symbol) - value).abs() < 1e-9, "{symbol}");
    }
}

#[test]
fn the_fitted_curve_goes_through_the_label() {
    let found = explained(&plan_with(str::to_owned), None);
    let curve = Curve {
        il: value_given(&found, "IL0"),
        a: value_given(&found, "a0"),
        rs: value_given(&found, "Rs"),
        gs: value_given(&found, "Gs0"),
        id: 0.0,
    };
    // At the label's light and cell the saturation current follows from Voc.
    let id = (curve.il - 22.5 * curve.gs) / ((22.5 / curve.a).exp() - 1.0);
    let curve = Curve { id, ..curve };
    assert!((curve.amps(0.0) - 5.8).abs() < 1e-4, "{}", curve.amps(0.0));
    assert!((curve.amps(18.6) - 5.38).abs() < 1e-4, "{}", curve.amps(18.6));
    let (open, top) = curve.top();
    assert!((open - 22.5).abs() < 1e-4 && (top - 18.6).abs() < 2e-3, "{open} {top}");
}

/// Every way to stand, mount, shape light and join panels: the same steps by hand, and the run.
#[test]
fn every_kind_of_plane_light_and_string_by_hand() {
    let frame =
        |text: &str, more: &str| text.replace("mount = \"roof\"", &format!("mount = \"frame\"\n{more}"));
    let mut met = BTreeSet::new();
    let changes: [&dyn Fn(&str) -> String; 7] = [
        &|text| frame(text, "tilt_deg = 30\nheading = 180"),
        &|text| frame(text, "tilt_deg = 60\nheading = \"any\"\nsnow_ground = true"),
        &|text| frame(text, "tilt_deg = \"any\"\nin_parallel = 3"),
        &|text| {
            text.replace("mount = \"roof\"", "mount = \"gap\"")
                .replace("station_elevation_m", "elevation_m = 900\nstation_elevation_m")
        },
        &|text| text.replace("voc_temp_coeff = \"-0.30 %/K\"", "").replace("cells_in_series = 36", ""),
        &|text| {
            frame(text, "tilt_deg = 45\nheading = 120").replace("technology", "bifacial = 0.7\ntechnology")
        },
        &|text| frame(text, "tilt_deg = 0").replace("technology", "bifacial = 0.7\ntechnology"),
    ];
    for change in changes {
        let plan = plan_with(change);
        for at in [None, Some("2017-01-06 08:30"), Some("2016-12-19T15:00Z"), Some("2015-06-20T12:00Z")] {
            let found = explained(&plan, at);
            met.extend(assert_every_number(&found));
            assert_the_run_agrees(&found);
        }
    }
    // A file with irradiance.
    let folder = folder();
    let text = |stand: &str| {
        format!(
            "title = \"Invented van, typical year\"\n[[module]]\nid = \"roof100\"\nvoc_v = 22.3\nisc_a = 5.95\nvmp_v = 18.0\n\
             imp_a = 5.56\ncells_in_series = 36\nvoc_temp_coeff = \"-0.31 %/K\"\n[[module]]\nid = \"other\"\nvoc_v = 24.3\n\
             isc_a = 10.3\nvmp_v = 20.2\nimp_a = 9.9\n[[string]]\nmodules = [\"roof100\", \"roof100\", \"other\"]\n{stand}\n\
             [[stop]]\nplace = \"Greensboro\"\nweather = [\"../formats/tmy3/723170TYA.CSV.gz\"]\n"
        )
    };
    for stand in [
        "mount = \"roof\"",
        "mount = \"frame\"\ntilt_deg = 30\nheading = 180",
        "mount = \"frame\"\ntilt_deg = 75\nheading = \"any\"",
        "mount = \"frame\"\ntilt_deg = \"any\"",
    ] {
        let plan = plan::from_text(text(stand).as_bytes(), Path::new("plan.toml"), &folder).unwrap();
        let worst = explained(&plan, None);
        let day = &worst.at.iso()[..10];
        for hour in ["13:00Z", "14:00Z", "17:00Z", "21:00Z"] {
            let found = explained(&plan, Some(&format!("{day}T{hour}")));
            met.extend(assert_every_number(&found));
            assert_the_run_agrees(&found);
        }
        met.extend(assert_every_number(&worst));
        assert_the_run_agrees(&worst);
    }
    // Invented light on a clock that is three hours late: noon's light while the sun sets, a sun and a half on the panel.
    let late = tempfile::tempdir().unwrap();
    let mut rows = String::from("time,temp_c,ghi,dni,dhi\n");
    for hour in 0..24 {
        let light = if (11..=16).contains(&hour) { "420,830,70" } else { "0,0,0" };
        rows.push_str(&format!("2031-01-08T{hour:02}:00:00Z,-5,{light}\n"));
    }
    std::fs::write(late.path().join("late.csv"), rows).unwrap();
    for stand in ["tilt_deg = 60\nheading = \"any\"\nsnow_ground = true", "tilt_deg = 70\nheading = 230"] {
        let text = text(&format!("mount = \"frame\"\n{stand}"))
            .replace(
                "Greensboro",
                "Invented Ford\"\nlatitude_deg = 45.0\nlongitude_deg = 0.0\nelevation_m = \"0",
            )
            .replace("elevation_m = \"0\"", "elevation_m = 100.0")
            .replace("../formats/tmy3/723170TYA.CSV.gz", "late.csv");
        let plan = plan::from_text(text.as_bytes(), Path::new("plan.toml"), late.path()).unwrap();
        let found = explained(&plan, Some("2031-01-08T16:00Z"));
        met.extend(assert_every_number(&found));
        assert_the_run_agrees(&found);
    }
    for formula in [
        "incidence-fixed",
        "incidence-facing",
        "incidence-mean",
        "square-to-sun",
        "rear",
        "with-rear",
        "shaped",
        "erbs-direct",
        "nearly-clear-diffuse",
        "own-direct",
        "credible-on-plane",
        "lapse-bound",
        "cell-frame",
        "cell-gap",
        "code-table",
        "sum",
        "strings",
    ] {
        assert!(met.contains(formula), "{formula} was never met: {met:?}");
    }
}

#[test]
fn a_dark_hour_and_hours_that_are_not_there() {
    let plan = plan_with(str::to_owned);
    let found = explained(&plan, Some("2015-02-19 23:30"));
    assert_eq!(found.at.iso(), "2015-02-20T05:00:00Z");
    assert_eq!(found.figures.worst_case_v, Some(0.0));
    assert_every_number(&found);
    let fault = |at: &str| explain(&plan, &Choice::default(), Some(at)).unwrap_err().to_string();
    assert!(fault("noon").contains("is no time") && fault("noon").contains("-06:00"), "{}", fault("noon"));
    // The record has no 2014.
    assert!(fault("2014-06-01T12:00Z").contains("the nearest is that of"), "{}", fault("2014-06-01T12:00Z"));
}

#[test]
fn printed_places_are_what_this_test_takes_them_for() {
    assert_eq!(Places::Significant(7).text(5.921_008e-13), "5.921008e-13");
    assert_eq!(Places::Significant(7).text(5.755_173), "5.755173");
    let quantity = Quantity { symbol: "x".into(), value: 0.043_2, unit: "", places: Places::Significant(3) };
    assert!((half_a_digit(&quantity) - 0.00005).abs() < 1e-7);
}

/// The answer before the steps: the same volts as the steps end with, who decides, and no more than twelve lines.
#[test]
fn the_answer_in_short_is_that_of_the_steps() {
    let plan = plan_with(str::to_owned);
    let worst = explained(&plan, None);
    let short = &worst.in_short;
    let step = |what: &str| short.steps.iter().find(|step| step.what == what).map(|step| step.value);
    // Two panels of 22.5 V.
    assert_eq!(step("label"), Some(45.0));
    assert!((step("cooling").unwrap() - worst.figures.worst_case_v.unwrap()).abs() < 1e-9);
    let names: Vec<&str> = short.steps.iter().map(|step| step.what.as_str()).collect();
    assert_eq!(names, ["label", "cold", "light", "tolerance", "cooling", "level"]);
    // 45 V (1 - 0.003 (T - 25)) by the label's coefficient.
    let code = 45.0 * (1.0 - 0.003 * (short.code_temperature_c.unwrap() - 25.0));
    assert!((short.code_v.unwrap() - code).abs() < 1e-9);
    let level = step("level").unwrap();
    assert_eq!(short.decides_v, Some(level.max(code).max(worst.figures.worst_case_v.unwrap())));
    let text = dawnvolt::report::text::explain(&worst, &dawnvolt::report::text::TextOptions::default());
    let (_, rest) = text.split_once("In short\n").unwrap();
    let lines = rest.split("\n\n").next().unwrap().lines().count();
    assert!(lines <= 12 && text.find("In short").unwrap() < 400, "{lines}\n{text}");
    for volts in [short.code_v, worst.figures.steady_v, worst.figures.sudden_sun_v, short.decides_v] {
        assert!(rest.contains(&format!("{:.1} V", volts.unwrap())), "{volts:?}");
    }
    let dark = explained(&plan, Some("2015-02-19 23:30"));
    assert!(dark.in_short.steps.is_empty() && dark.in_short.decides_v.is_none());
}

/// The factor k by plain simulation: of Gumbel records of `seasons` maxima, 5 % have a next one above mean + k x sd.
fn factor_of_one_in_20(seasons: usize) -> f64 {
    let mut state = 20_260_105_u64;
    let mut drawn = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let uniform = ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64;
        -(-uniform.ln()).ln()
    };
    let mut beyond: Vec<f64> = (0..400_000)
        .map(|_| {
            let record: Vec<f64> = (0..seasons).map(|_| drawn()).collect();
            let (mean, sd) = mean_and_sd(&record);
            (drawn() - mean) / sd
        })
        .collect();
    beyond.sort_by(f64::total_cmp);
    beyond[beyond.len() * 19 / 20]
}

fn mean_and_sd(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
}

/// What decides beyond the worst hour is the last part: from the season maxima of `assess` for a record of seasons, from the
/// worst hour in cells 10 K colder for a typical year; both again by plain code.
#[test]
fn what_is_expected_beyond_the_worst_hour_is_the_last_part() {
    let last_of = |found: &Explained| {
        let part = found.parts.last().unwrap();
        assert!(
            part.title.starts_with("The level") || part.title.starts_with("The allowance"),
            "{}",
            part.title
        );
        assert_every_number(found);
        let volts = part.steps.last().unwrap().result.value;
        let text = dawnvolt::report::text::explain(found, &dawnvolt::report::text::TextOptions::default());
        assert!(
            text.contains(&format!("= {volts:.4} V"))
                && text.contains(&format!(", {volts:.2} V, is worked in the last"))
        );
        let step = found.in_short.steps.last().unwrap();
        assert!(matches!(step.what.as_str(), "level" | "allowance") && (step.value - volts).abs() < 0.005);
        volts
    };
    let assessed = |plan: &Plan| {
        let found = dawnvolt::study::assess(plan, &Choice::default()).unwrap();
        found.stops[0].arrays[0].clone()
    };
    let plan = plan_with(str::to_owned);
    let found = explained(&plan, None);
    let level = last_of(&found);
    // Complete seasons, and of the others those that lie above their mean: a hole takes nothing off an extreme.
    let seasons = assessed(&plan).season_maxima_v;
    let complete: Vec<f64> =
        seasons.iter().filter(|row| row.counted).filter_map(|row| row.worst_case).collect();
    let above = |row: &&dawnvolt::study::results::SeasonMaximum| {
        !row.counted && row.worst_case.is_some_and(|volts| volts > mean_and_sd(&complete).0)
    };
    let more = seasons.iter().filter(above).filter_map(|row| row.worst_case);
    let maxima: Vec<f64> = complete.iter().copied().chain(more).collect();
    let (mean, sd) = mean_and_sd(&maxima);
    assert!((value_given(&found, "m") - mean).abs() < 1e-4 && (value_given(&found, "s") - sd).abs() < 1e-4);
    let k =
        found.parts.last().unwrap().steps.iter().find(|step| step.result.symbol == "k").unwrap().result.value;
    assert!(
        (k - factor_of_one_in_20(maxima.len())).abs() < 0.03,
        "{k} {}",
        factor_of_one_in_20(maxima.len())
    );
    assert!(
        (level - (mean + k * sd)).abs() < 0.001 && (found.in_short.decides_v.unwrap() - level).abs() < 0.001
    );

    let text = std::fs::read_to_string(folder().join("greensboro.toml")).unwrap();
    let plan = |text: &str| plan::from_text(text.as_bytes(), Path::new("plan.toml"), &folder()).unwrap();
    let found = explained(&plan(&text), None);
    let allowance = last_of(&found);
    let worst = &assessed(&plan(&text)).voltage_v.worst_case;
    let (light, cell) = (worst.irradiance_w_m2.unwrap(), worst.cell_c.unwrap() - 10.0);
    // Two panels of 22.5 V and 36 cells, 3 % above their label, n = 1 below full sun.
    let term = 36.0 * 8.617_333_262e-5 * (cell + 273.15) * (light / 1000.0).ln();
    let by_hand = 2.0 * (22.5 * 1.03 * (1.0 - 0.003 * (cell - 25.0)) + term);
    assert!((allowance - by_hand).abs() < 0.002 && allowance > worst.max.unwrap(), "{allowance} {by_hand}");
    // Unlike strings on unlike planes.
    let string = "[[string]]\nmodules = \"roof100\"\nin_series = 3\nmount = \"frame\"\ntilt_deg = 40\nheading = 180\n\n[[component]]";
    let found = explained(&plan(&text.replacen("[[component]]", string, 1)), None);
    assert!(last_of(&found) > 1.4 * allowance);
    // An hour that was asked for ends without it.
    let asked = explained(&plan(&text), Some(&found.at.iso()));
    assert!(asked.parts.last().unwrap().title.starts_with("Maximum power"));
}

/// No bare nothing at night: dark stands beside each 0, and beside no figure of a lit hour or of the code.
#[test]
fn a_dark_hour_says_that_it_is_dark() {
    let plan = plan_with(str::to_owned);
    let text = |at: Option<&str>| {
        dawnvolt::report::text::explain(
            &explained(&plan, at),
            &dawnvolt::report::text::TextOptions::default(),
        )
    };
    let dark = text(Some("2015-02-19 23:30"));
    let is_nothing = |line: &&str| line.contains(" 0.0 V") || line.contains(" 0.000 ");
    let rows: Vec<&str> = dark.lines().filter(is_nothing).collect();
    assert!(rows.len() == 9 && rows.iter().all(|row| row.contains("(dark)")), "{rows:?}");
    assert_eq!(dark.matches("(dark)").count(), 9);
    assert!(!text(None).contains("(dark)"));
}

/// The largest single hour and the largest figure can belong to two places: of one year of the same station the hour of all
/// years is seldom the largest, but its volts are taken for air 10 K colder. The answer then names the other place.
#[test]
fn where_the_largest_figure_belongs_to_another_place_it_is_named() {
    let plan = plan_with(|text| {
        let short = "[[stop]]\nplace = \"Short\"\nweather = [\"../formats/isd_lite/725300-2011.gz\"]\n\
                     latitude_deg = 41.995\nlongitude_deg = -87.934\nstation_elevation_m = 205\n";
        format!("{text}\n{short}")
    });
    let of = |stop: &str| {
        let choice = Choice { stop: Some(stop.to_owned()), ..Choice::default() };
        explain(&plan, &choice, None).unwrap()
    };
    let (all, short) = (of("Chicago O'Hare"), of("Short"));
    assert!(all.figures.worst_case_v > short.figures.worst_case_v);
    assert!(short.in_short.decides_v > all.in_short.decides_v, "the case that is meant");
    assert!(all.in_short.elsewhere.is_none() && short.in_short.elsewhere.is_none(), "asked for alone");
    let found = explained(&plan, None);
    assert_eq!(found.place, "Chicago O'Hare");
    let said = found.in_short.elsewhere.unwrap();
    let volts = format!("{:.1} V at Short", short.in_short.decides_v.unwrap());
    assert!(said.contains(&volts) && said.contains("--stop \"Short\""), "{said}");
    assert!(
        dawnvolt::report::text::explain(
            &explained(&plan, None),
            &dawnvolt::report::text::TextOptions::default()
        )
        .contains("belongs to another place")
    );
}
