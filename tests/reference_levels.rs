//! Levels and odds against values from outside the project. Each check names its source.

#![expect(clippy::unwrap_used)]

use dawnvolt::extreme::{
    Moments, Side, clopper_pearson, frequency_factor, level, moments, n_year_value, odds, predictive_factor,
};
use dawnvolt::weather::{self, Request};
use std::path::PathBuf;

/// K. Both sides compute the same quantity in double precision; the file prints nine digits.
const TOLERANCE_K: f64 = 1e-6;

/// `tests/reference/h_levels.csv`: computed with numpy by the script beside it.
#[test]
fn n_year_lows_of_family_h() {
    const YEARS: [f64; 5] = [5.0, 10.0, 20.0, 50.0, 100.0];
    let mut rows = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(include_str!("reference/h_levels.csv").as_bytes());
    assert_eq!(
        rows.headers().unwrap(),
        [
            "lows_c",
            "mean_c",
            "sd_k",
            "low_5_year_c",
            "low_10_year_c",
            "low_20_year_c",
            "low_50_year_c",
            "low_100_year_c"
        ]
        .as_slice()
    );
    let mut count = 0;
    for row in rows.records() {
        let row = row.unwrap();
        let number = |text: &str| text.parse::<f64>().unwrap();
        let lows: Vec<f64> = row[0].split(' ').map(number).collect();
        let seen = moments(&lows).unwrap();
        assert_eq!(seen.n, lows.len());
        assert!((seen.mean - number(&row[1])).abs() < TOLERANCE_K);
        assert!((seen.sd - number(&row[2])).abs() < TOLERANCE_K);
        for (column, years) in YEARS.into_iter().enumerate() {
            let expected = number(&row[3 + column]);
            let value = n_year_value(&seen, years, Side::Low);
            assert!((value - expected).abs() < TOLERANCE_K, "row {count}, {years} years: {value} {expected}");
            assert_eq!(
                level(&seen, years, Side::Low).map(|level| level.value),
                (lows.len() >= 10).then_some(value)
            );
            // The same record mirrored: maxima have the mirrored level.
            let mirrored: Vec<f64> = lows.iter().map(|low| -low).collect();
            let high = n_year_value(&moments(&mirrored).unwrap(), years, Side::High);
            assert!((high + value).abs() < TOLERANCE_K);
        }
        count += 1;
    }
    assert_eq!(count, 24);
}

/// A published station: mean and standard deviation of annual extremes, then 5, 10, 20 and 50-year values, C.
struct Station {
    name: &'static str,
    side: Side,
    mean: f64,
    sd: f64,
    published: [f64; 4],
}

/// ASHRAE Handbook of Fundamentals 2009 station records, as printed in the DESIGN CONDITIONS line ("Extremes") of public
/// EPW files of these places: mean and sd of annual extremes, and the n-year pairs that the handbook derives from them.
#[rustfmt::skip]
const STATIONS: [Station; 8] = [
    Station { name: "Amsterdam 062400",      side: Side::Low,  mean: -8.7,  sd: 3.8, published: [-11.4, -13.6, -15.7, -18.4] },
    Station { name: "Copenhagen 061800",     side: Side::Low,  mean: -11.0, sd: 3.6, published: [-13.6, -15.6, -17.6, -20.2] },
    Station { name: "Golden/Denver 724666",  side: Side::Low,  mean: -22.9, sd: 3.8, published: [-25.7, -27.9, -30.1, -32.8] },
    Station { name: "Montreal 716270",       side: Side::Low,  mean: -26.5, sd: 2.9, published: [-28.6, -30.4, -32.0, -34.2] },
    Station { name: "Santiago 855740",       side: Side::Low,  mean: -3.5,  sd: 1.3, published: [-4.4, -5.2, -5.9, -6.8] },
    Station { name: "Chongqing 575160",      side: Side::Low,  mean: 1.1,   sd: 1.3, published: [0.1, -0.6, -1.4, -2.3] },
    Station { name: "Amsterdam 062400",      side: Side::High, mean: 31.2,  sd: 1.8, published: [32.5, 33.6, 34.6, 36.0] },
    Station { name: "Golden/Denver 724666",  side: Side::High, mean: 36.1,  sd: 1.2, published: [37.0, 37.7, 38.3, 39.2] },
];

/// 0.25 K: mean, sd and the printed values are each rounded to 0.1 K, and an error of 0.05 in the sd counts F times.
#[test]
fn published_station_extremes() {
    for station in &STATIONS {
        // The handbook's records hold about 30 years; the value does not depend on the number.
        let seen = Moments { n: 30, mean: station.mean, sd: station.sd };
        for (years, published) in [5.0, 10.0, 20.0, 50.0].into_iter().zip(station.published) {
            let value = level(&seen, years, station.side).unwrap().value;
            assert!((value - published).abs() <= 0.25, "{} {years}: {value} {published}", station.name);
        }
    }
}

/// The head of a real typical year carries a handbook's mean, spread and n-year lows of its station: read by the reader,
/// reproduced by the formula within 0.25 K (all are printed to 0.1).
#[test]
fn published_lows_in_the_head_of_a_file() {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/formats/epw/mcguire.epw");
    let opened = weather::open(&Request { files: &[file], columns: None, utc_offset: None }).unwrap();
    let published = opened.published.unwrap();
    let seen = Moments { n: 30, mean: published.mean_c, sd: published.sd_k };
    assert_eq!(published.levels_c.len(), 4);
    for (years, low) in published.levels_c {
        let ours = n_year_value(&seen, f64::from(years), Side::Low);
        assert!((ours - low).abs() <= 0.25, "{years}: {ours} {low}");
    }
}

/// Frequency factors for 5 to 100 years as hydrology texts tabulate them (K_T for an endless record), and the worked
/// example that goes with them: mean 500, standard deviation 100, 100 years: 813.7.
#[test]
fn frequency_factors_of_the_texts() {
    for (years, printed) in [(5.0, 0.719), (10.0, 1.305), (20.0, 1.866), (50.0, 2.592), (100.0, 3.137)] {
        assert!((frequency_factor(years) - printed).abs() < 6e-4);
    }
    let seen = Moments { n: 30, mean: 500.0, sd: 100.0 };
    assert!((n_year_value(&seen, 100.0, Side::High) - 813.7).abs() < 0.05);
}

/// Standard error over sd by Kite's formula for 10, 20 and 30 seasons: independently computed figures, two digits.
#[test]
fn standard_errors_of_the_levels() {
    for (n, printed) in [(10, [0.66, 0.83, 1.07]), (20, [0.47, 0.59, 0.75]), (30, [0.38, 0.48, 0.62])] {
        let unit = Moments { n, mean: 0.0, sd: 1.0 };
        for (years, printed) in [10.0, 20.0, 50.0].into_iter().zip(printed) {
            assert!((level(&unit, years, Side::High).unwrap().standard_error - printed).abs() < 0.006);
        }
    }
}

/// k for 20 years and the multiples of the one-sided 90 % bound at 5 to 30 seasons: an independent simulation in another
/// language, with some 0.01 of its own scatter.
#[test]
fn simulated_factors_agree_with_an_independent_simulation() {
    let printed = [(5, 3.07), (7, 2.67), (10, 2.39), (15, 2.22), (20, 2.12), (30, 2.05)];
    for (seasons, k) in printed {
        assert!((predictive_factor(seasons, 20.0).unwrap() - k).abs() < 0.02, "{seasons}");
    }
    for (n, multiple) in [(10, 1.94), (15, 1.79), (20, 1.69), (30, 1.61)] {
        let fitted = level(&Moments { n, mean: 0.0, sd: 1.0 }, 20.0, Side::High).unwrap();
        assert!(((fitted.bound_90 - fitted.value) / fitted.standard_error - multiple).abs() < 0.015, "{n}");
    }
}

/// Clopper-Pearson ends computed with scipy 1.17.1: `beta.ppf(tail, k, n - k + 1)` and `beta.ppf(1 - tail, k + 1, n - k)`,
/// nine digits; 1e-8 because the incomplete beta function of the statistics crate is good to about 1e-9.
#[test]
fn clopper_pearson_ends() {
    for (broken, seasons, low, high) in [
        (0, 10, 0.0, 0.258_865_551),
        (1, 10, 0.005_116_197, 0.394_163_302),
        (2, 20, 0.018_065_203, 0.282_618_525),
        (2, 25, 0.014_403_198, 0.231_039_934),
        (3, 10, 0.087_264_434, 0.606_624_216),
        (24, 25, 0.823_879_289, 0.997_950_372),
    ] {
        let found = odds(broken, seasons).unwrap();
        assert!((found.low - low).abs() < 1e-8 && (found.high - high).abs() < 1e-8, "{broken} of {seasons}");
        assert!((found.best - broken as f64 / seasons as f64).abs() < 1e-12);
    }
    // One-sided 95 %: the same tail as 90 % two-sided. With none broken it is 1 - 0.05^(1/N).
    for (seasons, high) in [(10, 0.2589), (20, 0.1391), (30, 0.0950)] {
        let (_, found) = clopper_pearson(0, seasons, 0.05).unwrap();
        assert!((found - high).abs() < 5.1e-5);
        assert!((found - (1.0 - 0.05_f64.powf(1.0 / seasons as f64))).abs() < 1e-9);
    }
    // Two-sided 95 %.
    for (broken, seasons, low, high) in [
        (1, 10, 0.002_528_579, 0.445_016_117),
        (2, 20, 0.012_348_527, 0.316_982_714),
        (3, 10, 0.066_739_511, 0.652_452_850),
    ] {
        let (found_low, found_high) = clopper_pearson(broken, seasons, 0.025).unwrap();
        assert!((found_low - low).abs() < 1e-8 && (found_high - high).abs() < 1e-8, "{broken} of {seasons}");
    }
}
