//! The committed report is what the program writes today, and the demo is what it says it is.
//!
//! Text is equal after rounding to 0.01; bitmaps are not compared. After a change that is meant, regenerate with
//! `cargo run --release -- report data/demo/plan.toml` and read what changed.

use dawnvolt::limits::Verdict;
use dawnvolt::plan;
use dawnvolt::report;
use dawnvolt::study::{Choice, Detail, assess, counted, results::Assessment};
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn demo() -> Assessment {
    let plan = plan::load(&root().join("data/demo/plan.toml")).unwrap_or_else(|error| panic!("{error}"));
    let choice = Choice { detail: Detail::Pictures, ..Choice::default() };
    assess(&plan, &choice).unwrap_or_else(|error| panic!("{error}"))
}

/// Numbers apart from the text between them.
fn pieces(text: &str) -> (Vec<f64>, String) {
    let mut numbers = Vec::new();
    let mut rest = String::with_capacity(text.len());
    let mut number = String::new();
    for c in text.chars().chain(['\0']) {
        if c.is_ascii_digit() || (c == '.' && !number.is_empty() && !number.contains('.')) {
            number.push(c);
            continue;
        }
        if !number.is_empty() {
            // A dot at the end is the sentence's.
            let dot = number.ends_with('.');
            let digits = number.trim_end_matches('.');
            if let Ok(value) = digits.parse() {
                numbers.push(value);
                rest.push('#');
            }
            if dot {
                rest.push('.');
            }
            number.clear();
        }
        rest.push(c);
    }
    (numbers, rest)
}

fn same(name: &str, written: &str, now: &str) {
    let ((then_numbers, then_text), (now_numbers, now_text)) = (pieces(written), pieces(now));
    if then_text != now_text {
        let line = then_text.lines().zip(now_text.lines()).position(|(a, b)| a != b).unwrap_or(0);
        panic!(
            "{name}: the words changed, first in line {}:\n  committed: {}\n  now:       {}\nregenerate the report if that is meant",
            line + 1,
            written.lines().nth(line).unwrap_or("").chars().take(300).collect::<String>(),
            now.lines().nth(line).unwrap_or("").chars().take(300).collect::<String>()
        );
    }
    for (then, now) in then_numbers.iter().zip(&now_numbers) {
        assert!((then - now).abs() <= 0.011, "{name}: {then} became {now}");
    }
}

#[test]
fn the_committed_report_is_todays() {
    let assessment = demo();
    let charts = report::charts::all(&assessment).unwrap_or_else(|error| panic!("{error}"));
    let mut now: BTreeMap<String, String> = BTreeMap::from([
        ("report.html".into(), report::html(&assessment, &charts)),
        ("numbers.json".into(), report::json(&assessment)),
        ("limits.csv".into(), report::csv::limits(&assessment)),
        ("seasons.csv".into(), report::csv::seasons(&assessment)),
    ]);
    for chart in charts {
        now.insert(format!("charts/{}.svg", chart.id), chart.svg);
    }
    let folder = root().join("reports/demo");
    for (name, text) in &now {
        let written = fs::read_to_string(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        same(name, &written, text);
    }
    let mark = fs::read_to_string(folder.join(".dawnvolt-report")).expect("the mark of the folder");
    for name in mark.lines().filter(|name| !name.ends_with(".png")) {
        assert!(now.contains_key(name), "{name} is committed but no longer written");
    }
}

#[test]
fn the_demo_shows_one_exceeded_one_close_and_one_that_holds() {
    let assessment = demo();
    let mut worst: BTreeMap<&str, Verdict> = BTreeMap::new();
    for stop in &assessment.stops {
        for line in stop.arrays.iter().flat_map(|array| &array.limits) {
            let verdict = worst.entry(&line.component).or_insert(Verdict::Within);
            *verdict = verdict.or_worse(counted(line));
        }
    }
    for wanted in [Verdict::Exceeded, Verdict::Close, Verdict::Within] {
        assert!(worst.values().any(|found| *found == wanted), "no component is {}: {worst:?}", wanted.word());
    }
    // Levels are shown on the demo: twenty-five winters, one place a pass above its station.
    let pass =
        assessment.stops.iter().find(|stop| stop.station.elevation_m < stop.elevation_m).expect("a pass");
    assert!(pass.record.complete_winters >= 24 && pass.design_temperature_c.low_20_year.is_some());
    let volts = &pass.arrays[0].voltage_v;
    assert!(volts.worst_case.level_20_year.is_some() && volts.worst_case.predictive_level.is_some());
}

#[test]
fn numbers_are_told_from_words() {
    assert_eq!(pieces("at 12.5 V. Then 3"), (vec![12.5, 3.0], "at # V. Then #\0".into()));
}
