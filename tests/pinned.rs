//! An optimisation changes no figure: every number of the demo and of two real records is what it was, to 1e-9.
//!
//! Chicago and Greensboro are the records under `tests/formats` (provenance there); their figures stand in `tests/pinned`,
//! written by the plain forms before most fast paths were there. The demo's are those of the committed report. After a
//! change of the model that is meant, write them anew with DAWNVOLT_PIN=1 and read the diff.

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Relative; figures near nought are compared within the same, absolutely.
const TOLERANCE: f64 = 1e-9;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn assessed(plan: &Path) -> Value {
    let done = Command::new(env!("CARGO_BIN_EXE_dawnvolt")).arg("assess").arg(plan).arg("--json").output();
    let done = done.expect("the program runs");
    serde_json::from_slice(&done.stdout).unwrap_or_else(|error| panic!("{}: {error}", plan.display()))
}

/// Every number with its path.
fn numbers(value: &Value, path: &str, into: &mut BTreeMap<String, f64>) {
    match value {
        Value::Number(number) => {
            into.insert(path.to_owned(), number.as_f64().expect("a finite number"));
        }
        Value::Array(list) => {
            for (index, item) in list.iter().enumerate() {
                numbers(item, &format!("{path}/{index}"), into);
            }
        }
        Value::Object(fields) => {
            for (key, item) in fields {
                numbers(item, &format!("{path}/{key}"), into);
            }
        }
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

/// The figures of the stops: air, volts, currents, limits, season by season.
fn figures(assessment: &Value) -> BTreeMap<String, f64> {
    let mut found = BTreeMap::new();
    numbers(&assessment["stops"], "stops", &mut found);
    found
}

/// What is pinned has to be there and the same; what was added since is free.
fn held(pinned: &BTreeMap<String, f64>, now: &BTreeMap<String, f64>) {
    assert!(pinned.len() > 50, "{} figures only", pinned.len());
    for (path, &then) in pinned {
        let Some(&now) = now.get(path) else { panic!("{path} is gone") };
        let near = (now - then).abs() <= TOLERANCE * then.abs().max(1.0);
        assert!(near, "{path}: {then} became {now}");
    }
}

fn held_by(name: &str) {
    let now = figures(&assessed(&root().join("tests/plans").join(name).with_extension("toml")));
    let file = root().join("tests/pinned").join(name).with_extension("txt");
    if std::env::var_os("DAWNVOLT_PIN").is_some() {
        let text: String = now.iter().map(|(path, value)| format!("{path} {value}\n")).collect();
        fs::write(&file, text).expect("written");
    }
    let text = fs::read_to_string(&file).expect("committed");
    let pinned = text.lines().filter_map(|line| line.split_once(' '));
    let pinned = pinned.map(|(path, value)| (path.to_owned(), value.parse().expect("a number"))).collect();
    held(&pinned, &now);
}

#[test]
fn chicago() {
    held_by("chicago");
}

#[test]
fn greensboro() {
    held_by("greensboro");
}

#[test]
fn the_demo() {
    let committed = fs::read_to_string(root().join("reports/demo/numbers.json")).expect("committed");
    let committed: Value = serde_json::from_str(&committed).expect("json");
    held(&figures(&committed), &figures(&assessed(&root().join("data/demo/plan.toml"))));
}
