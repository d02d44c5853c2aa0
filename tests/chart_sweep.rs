//! Every chart at the edges of what it must show, from invented weather through the whole program: no two texts meet,
//! none leaves its page, none is missing. With the variable CHART_SWEEP naming a folder the pictures are written
//! there, to be looked at.
#![expect(clippy::unwrap_used)]

#[path = "chart_sweep/cases.rs"]
mod cases;
mod svg_texts;

use cases::{CASES, Case};
use dawnvolt::plan;
use dawnvolt::report::{self, charts};
use dawnvolt::study::results::Assessment;
use dawnvolt::study::{Choice, Detail, assess};
use std::path::Path;

fn assessment(folder: &Path, case: &Case, rating: Option<f64>) -> Assessment {
    for stop in 0..case.stops {
        std::fs::write(folder.join(format!("{stop}.csv")), cases::weather(case, stop)).unwrap();
    }
    let path = folder.join("plan.toml");
    std::fs::write(&path, cases::plan(case, rating)).unwrap();
    let plan = plan::load(&path).unwrap_or_else(|error| panic!("{}: {error}", case.name));
    let choice = Choice { detail: Detail::Pictures, ..Choice::default() };
    assess(&plan, &choice).unwrap_or_else(|error| panic!("{}: {error}", case.name))
}

/// Colours of the shapes of an SVG, each as often as it is drawn.
fn colours(svg: &str) -> Vec<&str> {
    let shapes = svg.split('<').filter(|tag| !tag.starts_with("text"));
    let values =
        shapes.flat_map(|tag| tag.split('"').filter(|value| value.starts_with('#') && value.len() == 7));
    values.collect()
}

/// Entries of a key of which the picture shows nothing but the key itself. A sign that stands in the picture's own key lies
/// below its title; one of what is named elsewhere lies at the corner.
fn named_and_not_drawn(chart: &charts::Chart) -> Vec<String> {
    let all = colours(&chart.svg);
    let top = |sign: &str| -> f64 {
        let view = sign.split("viewBox=\"").nth(1).unwrap();
        view.split(' ').nth(1).unwrap().parse().unwrap()
    };
    let in_key: Vec<&str> = chart
        .key
        .iter()
        .filter(|entry| !entry.sign.is_empty() && top(&entry.sign) > 20.0)
        .flat_map(|entry| colours(&entry.sign))
        .collect();
    let count = |list: &[&str], colour: &str| list.iter().filter(|other| **other == colour).count();
    // Paper is behind everything.
    let lacks = |colour: &&str| *colour != "#FFFFFF" && count(&all, colour) <= count(&in_key, colour);
    let entries = chart.key.iter().filter(|entry| colours(&entry.sign).iter().any(lacks));
    entries.map(|entry| entry.text.clone()).collect()
}

/// Draws and checks all charts; returns their names.
fn checked(name: &str, results: &Assessment) -> Vec<String> {
    let all = charts::all(results).unwrap();
    let keep = std::env::var_os("CHART_SWEEP");
    for chart in &all {
        let (texts, faults) = svg_texts::faults(&chart.svg);
        if let Some(folder) = &keep {
            let stem = Path::new(folder).join(format!("{name}--{}", chart.id));
            std::fs::write(stem.with_extension("png"), &chart.png).unwrap();
            if !faults.is_empty() {
                println!("{name} {}: {faults:?}", chart.id);
            }
        } else {
            assert!(faults.is_empty(), "{name} {}: {faults:?}", chart.id);
        }
        let lacking = named_and_not_drawn(chart);
        assert!(lacking.is_empty(), "{name} {}: named and not drawn: {lacking:?}", chart.id);
        assert!(texts > 3 && !chart.alt.is_empty(), "{name} {}: {texts} texts", chart.id);
    }
    if let Some(folder) = &keep {
        std::fs::write(Path::new(folder).join(format!("{name}.html")), report::html(results, &all)).unwrap();
    }
    all.into_iter().map(|chart| chart.id).collect()
}

#[test]
fn charts_of_every_case_read() {
    for case in CASES {
        let folder = tempfile::tempdir().unwrap();
        let results = assessment(folder.path(), case, None);
        let names = checked(case.name, &results);
        let count = |begin: &str| names.iter().filter(|name| name.starts_with(begin)).count();
        assert_eq!(count("worst-week"), case.stops * case.arrays, "{}", case.name);
        assert_eq!(count("diagram"), case.arrays, "{}", case.name);
        assert_eq!(count("series-ladder"), case.arrays, "{}", case.name);
        assert_eq!(count("route"), if case.stops > 1 { case.arrays } else { 0 }, "{}", case.name);
    }
}

#[test]
fn a_rating_exactly_at_the_largest_figure_still_draws() {
    let case = CASES.iter().find(|case| case.name == "one-stop-two-winters-one-limit").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let first = assessment(folder.path(), case, None);
    let four = &first.stops[0].arrays[0].voltage_v;
    for (name, rating) in
        [("at-the-worst-case", four.worst_case.max.unwrap()), ("at-the-code-sum", four.code.unwrap())]
    {
        let results = assessment(folder.path(), case, Some(rating));
        assert_eq!(results.stops[0].arrays[0].limits[0].rating, Some(rating));
        checked(name, &results);
    }
}
