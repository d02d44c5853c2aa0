//! Text of files, plans and the command line that would steer a terminal reaches none.

use super::ride::{Ride, ride, ride_with, text};
use std::fs;

/// Clears the screen, sets a title, turns red by the two-byte and the one-byte form, and turns the direction of text.
const HOSTILE: &str = "Inn\u{1b}[2J\u{1b}]0;owned\u{7}\u{1b}[31m\u{9b}31m\u{202e}ner\u{8}\u{0}";

/// What a plan may hold and a terminal should not see: marks that turn or hide text.
const TURNED_TOML: &str = "Inn\\u202e\\u2066ner\\u200b";

/// [`HOSTILE`] as a TOML string writes it.
const HOSTILE_TOML: &str = "Inn\\u001b[2J\\u001b]0;owned\\u0007\\u001b[31m\\u009b31m\\u202ener\\b";

#[track_caller]
fn tame(run: &Ride) {
    for (stream, text) in [("out", &run.out), ("err", &run.err)] {
        let steers =
            |c: char| (c.is_control() && c != '\n' && c != '\t') || ('\u{200b}'..='\u{206f}').contains(&c);
        assert!(!text.contains(steers), "{stream}: {text:?}");
    }
}

fn plan(weather: &str, text: &str) -> String {
    format!(
        "title = \"{text}\"\nprepared_for = \"{text}\"\n\
         [[module]]\nid = \"{text}\"\nvoc_v = 22.5\nisc_a = 5.8\n\
         [[string]]\narray = \"{text}\"\nmodules = \"{text}\"\nin_series = 2\nmount = \"roof\"\n\
         [[component]]\nkind = \"disconnect\"\nname = \"{text}\"\nmax_v = 48\n\
         [[stop]]\nplace = \"{text}\"\nweather = [\"{weather}\"]\nlatitude_deg = 45.0\nlongitude_deg = -140.0\n\
         published_low_c = {{ mean = -18.3, sd = 3.4, source = \"{text}\" }}\n"
    )
}

/// A year of invented hours.
fn year() -> String {
    let mut csv = String::from("time,temp_c\n");
    for month in 1..=12 {
        for day in 1..=28 {
            for hour in 0..24 {
                csv.push_str(&format!(
                    "2031-{month:02}-{day:02}T{hour:02}:00Z,{}\n",
                    if month == 1 { hour / 3 - 12 } else { hour / 3 + 4 }
                ));
            }
        }
    }
    csv
}

#[test]
fn a_hostile_plan_steers_nothing_in_any_command() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("w.csv"), year()).unwrap();
    let path = folder.path().join("plan.toml");
    fs::write(&path, plan("w.csv", TURNED_TOML)).unwrap();
    let path = text(&path);
    let out = text(&folder.path().join("report"));
    let readings = folder.path().join("readings.csv");
    let hostile = HOSTILE.replace('\0', "");
    fs::write(&readings, format!("remark,irradiance_w_m2,cell_c\n{hostile},640,21\n")).unwrap();
    let readings = text(&readings);
    for arguments in [
        &["assess", &path][..],
        &["assess", &path, "--json"],
        &["report", &path, "--out", &out],
        &["hours", &path],
        &["explain", &path],
        &["explain", &path, "--json"],
        &["series", &path],
        &["series", &path, "--json"],
        &["meter", &path, "--irradiance", "640", "--cell", "21"],
        &["meter", &path, "--irradiance", "640", "--cell", "21", "--json"],
        &["meter", &path, "--from", &readings],
        &["hours", &path, "--stop", "2"],
        &["assess", &path, "--array", "none"],
    ] {
        let run = ride(arguments);
        assert!(run.out.len() + run.err.len() > 20, "{arguments:?}");
        tame(&run);
    }
    let json = ride(&["assess", &path, "--json"]);
    let found: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert!(found["title"].as_str().unwrap().contains("ner"), "the text itself stays: {found}");
    for name in ["numbers.json", "limits.csv", "seasons.csv"] {
        let bytes = fs::read(folder.path().join("report").join(name)).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert!(!text.contains(['\u{202e}', '\u{2066}', '\u{200b}']), "{name}");
    }
}

#[test]
fn a_hostile_plan_that_is_refused_steers_nothing() {
    for broken in [
        format!("{HOSTILE} = 3\n"),
        format!("titel = \"{HOSTILE}\"\n"),
        plan("nothing-*.csv", TURNED_TOML),
        plan("w.csv", HOSTILE_TOML),
        plan("w.csv", "a").replace("mount = \"roof\"", &format!("mount = \"{HOSTILE_TOML}\"")),
        plan("w.csv", "a").replace("kind = \"disconnect\"", &format!("kind = \"{HOSTILE_TOML}\"")),
        plan("w.csv", "a").replace("in_series = 2", &format!("in_series = \"{HOSTILE_TOML}\"")),
        plan("w.csv", "a").replace("max_v = 48", &format!("\"{HOSTILE_TOML}\" = 48")),
        HOSTILE.to_owned(),
    ] {
        let run = ride_with(&["assess", "-"], broken.as_bytes());
        run_is_refused_tamely(run);
    }
}

#[track_caller]
fn run_is_refused_tamely(run: Ride) {
    tame(&run);
    run.refused();
}

#[test]
fn hostile_weather_steers_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::write(&path, text).unwrap();
        path
    };
    // A first line that no format has is quoted in the message.
    let path = write("a.csv", &HOSTILE.replace('\0', ""));
    run_is_refused_tamely(ride(&["weather", &text(&path)]));
    // A cell is quoted in the message.
    let path = write(
        "b.csv",
        &format!("time,temp_c\n{}{}", HOSTILE.replace('\0', ""), year().replacen("time,temp_c", "", 1)),
    );
    tame(&ride(&["weather", &text(&path)]));
    // Stations carry names.
    let epw = fs::read_to_string(super::ride::at_home("tests/formats/epw/mcguire.epw")).unwrap();
    let path = write("c.epw", &epw.replacen("Mcguire Afb", &HOSTILE.replace('\0', ""), 1));
    for more in [&[][..], &["--json"]] {
        let mut arguments = vec!["weather".to_owned(), text(&path)];
        arguments.extend(more.iter().map(|&flag| flag.to_owned()));
        let run = ride(&arguments).ends(0);
        tame(&run);
        assert!(run.out.contains("Inn"), "{}", run.out);
    }
    for more in [&[][..], &["--json"], &["--csv"]] {
        let out = text(&folder.path().join("survey"));
        let mut arguments =
            vec!["survey", super::ride::CHICAGO, folder.path().to_str().unwrap(), "--out", &out];
        arguments.extend(more);
        let run = ride(&arguments).ends(2);
        tame(&run);
        assert!(run.out.contains("Inn") && run.err.contains("a.csv"), "{}\n{}", run.out, run.err);
    }
}

/// Names of files may hold anything but a slash.
#[cfg(unix)]
#[test]
fn hostile_names_of_files_steer_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let name = HOSTILE.replace('\0', "");
    let path = folder.path().join(format!("{name}.csv"));
    fs::write(&path, year()).unwrap();
    tame(&ride(&["weather", &text(&path)]).ends(0));
    tame(&ride(&["weather", &text(&path), "--json"]).ends(0));
    run_is_refused_tamely(ride(&["assess", &text(&path)]));
    run_is_refused_tamely(ride(&["weather", &text(&folder.path().join(format!("{name}x.csv")))]));
    let trip = folder.path().join(&name);
    tame(&ride(&["new", &text(&trip)]).ends(0));
    run_is_refused_tamely(ride(&["new", &text(&trip)]));
    tame(&ride(&["report", &text(&trip.join("plan.toml")), "--out", &text(&trip.join("r"))]).ends(0));
}

#[test]
fn hostile_arguments_and_answers_steer_nothing() {
    let hostile = HOSTILE.replace('\0', "");
    run_is_refused_tamely(ride(&[&hostile]));
    run_is_refused_tamely(ride(&["assess", "plan.toml", &format!("--{hostile}")]));
    run_is_refused_tamely(ride(&["assess", "plan.toml", "--units", &hostile]));
    run_is_refused_tamely(ride(&["assess", super::ride::CHICAGO, "--stop", &hostile]));
    run_is_refused_tamely(ride(&["explain", super::ride::CHICAGO, "--at", &hostile]));
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path().join("readings.csv");
    for rows in [format!("{hostile},cell_c\n640,21\n"), format!("irradiance_w_m2,cell_c\n{hostile},21\n")] {
        fs::write(&readings, rows).unwrap();
        run_is_refused_tamely(ride(&["meter", super::ride::CHICAGO, "--from", &text(&readings)]));
    }
    let run = ride_with(
        &["new", "--ask", &text(&folder.path().join("trip"))],
        format!("Van\n{hostile}\n").as_bytes(),
    );
    assert_eq!(run.status, Some(2));
    tame(&run);
}
