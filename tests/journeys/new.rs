//! `new`: from nothing to a first answer.

use super::ride::{COMMAND, Ride, at_home, command, files, names, ride, ride_with, shown, text};
use std::fs;
use std::path::Path;

/// Nothing but line breaks: every question takes its default.
const DEFAULTS: &[u8] = &[b'\n'; 22];

fn assess(plan: &Path) -> Ride {
    ride(&["assess", &text(plan)])
}

#[test]
fn a_new_folder_holds_a_plan_that_runs_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trips/first");
    let out = ride(&["new", &text(&trip)]).ends(0).quiet();
    shown("new", &out, Some(folder.path()));
    assert_eq!(names(&trip), ["plan.toml", "weather/invented-valley.csv.gz"]);
    assert!(fs::metadata(trip.join("weather/invented-valley.csv.gz")).unwrap().len() < 400_000);
    let run = assess(&trip.join("plan.toml")).ends(0);
    assert!(run.out.starts_with("WITHIN: My van\n"), "{}", run.out);
    // Eight whole winters are enough for the mean of annual lows, which decides the code sum.
    assert!(run.out.contains("mean annual low of 8 complete winters"), "{}", run.out);
    assert_eq!(run.err, "");
}

#[test]
fn the_same_bytes_come_out_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let made = |name: &str| {
        let trip = folder.path().join(name);
        ride(&["new", &text(&trip)]).ends(0);
        files(&trip)
    };
    assert_eq!(made("one"), made("two"));
}

#[test]
fn an_empty_folder_serves_and_any_other_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let empty = folder.path().join("empty");
    fs::create_dir(&empty).unwrap();
    ride(&["new", &text(&empty)]).ends(0);
    let before = files(&empty);
    let message = ride(&["new", &text(&empty)]).refused();
    shown("new-twice", &message, Some(folder.path()));
    assert_eq!(files(&empty), before);

    let mine = folder.path().join("mine");
    fs::create_dir(&mine).unwrap();
    fs::write(mine.join("notes.txt"), "mine").unwrap();
    let message = ride(&["new", &text(&mine)]).refused();
    assert!(message.contains("notes.txt"), "{message}");
    assert_eq!(names(&mine), ["notes.txt"]);

    let file = mine.join("notes.txt");
    ride(&["new", &text(&file)]).refused();
    assert_eq!(fs::read(&file).unwrap(), b"mine");
}

#[test]
fn the_folder_that_one_stands_in_serves_too() {
    let folder = tempfile::tempdir().unwrap();
    let run: Ride = command(&["new", "."]).current_dir(folder.path()).output().unwrap().into();
    run.ends(0);
    assert_eq!(names(folder.path()), ["plan.toml", "weather/invented-valley.csv.gz"]);
    let run: Ride = command(&["assess", "plan.toml"]).current_dir(folder.path()).output().unwrap().into();
    run.ends(0);
}

#[test]
fn questions_have_defaults_and_the_plan_runs() {
    let folder = tempfile::tempdir().unwrap();
    for (name, input) in [("lines", DEFAULTS), ("nothing", b"".as_slice())] {
        let trip = folder.path().join(name);
        let run = ride_with(&["new", "--ask", &text(&trip)], input).ends(0);
        if name == "lines" {
            shown("new-questions", &run.err, Some(folder.path()));
        }
        // Nobody named a disconnect or a controller, so no limit stands against the volts.
        let run = assess(&trip.join("plan.toml")).ends(0);
        assert!(run.out.contains("What the array needs"), "{}", run.out);
    }
    assert_eq!(files(&folder.path().join("lines")), files(&folder.path().join("nothing")));
}

#[test]
fn answers_from_a_pipe_become_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    let weather = at_home("tests/formats/isd_lite/725300-*.gz");
    let input =
        format!("Bread van\n22,5 V\n5.8\n-0.30 %/K\n4\n1\ngap\n100\n\n{}\n", weather.to_str().unwrap());
    let run = ride_with(&["new", "--ask", &text(&trip)], input.as_bytes()).ends(0);
    assert!(run.out.contains("looked for from the plan's folder"), "{}", run.out);
    assert!(run.out.contains("write latitude_deg and longitude_deg for: First stop"), "{}", run.out);
    assert!(run.err.contains("7 files, 725300-2010.gz to 725300-2017.gz"), "{}", run.err);
    assert_eq!(names(&trip), ["plan.toml"], "own weather needs no invented one");
    assert!(trip.join("weather").is_dir(), "the folder for it is there");
    // The archive names no place, so the first run says what to add.
    let message = assess(&trip.join("plan.toml")).refused();
    assert!(message.contains("latitude_deg"), "{message}");
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    // O'Hare lies at 41.995 N, 87.934 W by the archive's own list of stations.
    let plan = plan
        .replace("# latitude_deg = ... ", "latitude_deg = 41.995 ")
        .replace("# longitude_deg = ... ", "longitude_deg = -87.934 ");
    fs::write(trip.join("plan.toml"), plan).unwrap();
    // Four panels of 22.5 V give 90 V on the label: at -20 C, 45 K below 25 C, -0.30 %/K add 13.5 %, over 100 V.
    let run = assess(&trip.join("plan.toml")).ends(1);
    assert!(run.out.starts_with("EXCEEDED: Bread van\n"), "{}", run.out);
}

#[test]
fn a_bad_answer_from_a_pipe_ends_the_run_before_anything_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    let run = ride_with(&["new", "--ask", &text(&trip)], b"Van\nmany\n").ends(2);
    assert_eq!(run.out, "");
    let message = run.err.lines().last().unwrap();
    assert!(message.starts_with("error: answer 2 of "), "{message}");
    assert!(message.contains("\"many\"") && message.contains("expected a number"), "{message}");
    assert!(!trip.exists());
}

#[test]
fn a_folder_that_is_taken_is_said_before_the_questions() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("notes.txt"), "mine").unwrap();
    let run = ride_with(&["new", "--ask", &text(folder.path())], DEFAULTS);
    run.refused();
}

/// All lines of the devices, as someone would type them from a breaker, a controller's name and a label.
#[test]
fn devices_and_battery_are_asked_and_judged() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    let input = "Van\n22.5\n5.8\nnone\n2\n1\nroof\n60 V per pole\n100 | 30\n\n18.6\n5.38\n15\n32\n2\n35\n12 V LiFePO4\n";
    let run = ride_with(&["new", "--ask", &text(&trip)], input.as_bytes()).ends(0);
    assert!(run.err.contains("taken as 60 V for one pole"), "{}", run.err);
    assert!(run.err.contains("at most 100 V from the panels and 30 A into the battery"), "{}", run.err);
    let run = ride(&["assess", &text(&trip.join("plan.toml")), "--json"]);
    let answer: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let limits = answer["stops"][0]["arrays"][0]["limits"].as_array().unwrap();
    let judged = |component: &str, unit: &str| {
        let one = limits
            .iter()
            .find(|one| one["component"] == component && one["unit"] == unit && one["rating"].is_number());
        (one.unwrap_or_else(|| panic!("{limits:?}"))["rating"].as_f64(), one.unwrap()["verdict"].clone())
    };
    // one pole of 60 V, in series with no other, stands 60 V
    assert_eq!(judged("disconnect", "V").0, Some(60.0));
    // 1.5625 x 5.8 A = 9.1 A against 32, and 1.25 x 5.8 A = 7.3 A against 35
    assert_eq!(judged("disconnect", "A"), (Some(32.0), "within".into()));
    assert_eq!(judged("controller", "V"), (Some(100.0), "within".into()));
    assert_eq!(judged("controller", "A"), (Some(35.0), "within".into()));
    assert!(!run.out.contains("not-assessed"), "every figure is there: {}", run.out);
}

#[test]
fn what_is_no_weather_file_is_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    let named = |weather: &str| {
        let input = format!("{}{weather}\n", "\n".repeat(9));
        let run = ride_with(&["new", "--ask", &text(&trip)], input.as_bytes()).ends(2);
        assert!(!trip.exists());
        run.err
    };
    let said = named("O'Hare");
    assert!(said.contains("no weather file \"O'Hare\"") && said.contains("not a place"), "{said}");
    let said = named(&text(&at_home("README.md")));
    assert!(said.contains("is no weather file that can be read") && said.contains("dawnvolt"), "{said}");
    // a table of air that does not hold what its header says
    let torn = folder.path().join("torn.csv");
    fs::write(&torn, "when;outside\n32.13.2019 00:00;-1,0\n32.13.2019 01:00;-2,0\n").unwrap();
    let said = named(&text(&torn));
    assert!(
        said.contains("cannot be read as its header suggests")
            && said.contains("prints the lines that describe it"),
        "{said}"
    );
    let said = named(&text(&at_home("tests/formats/generic/no_zone.csv")));
    assert!(said.contains("carries no zone"), "{said}");
    // a folder of two stations
    let said = named(&text(&at_home("tests/formats/isd_lite/*.gz")));
    assert!(said.contains("files of 2 stations"), "{said}");
}

/// A logger's table in no known format (invented): described by itself, placed by its owner, and the plan runs as written.
/// By hand: the reading of the coldest hour, -20.5, and its hour by the clock of the answer.
#[test]
fn a_table_of_no_known_format_is_described_by_itself_and_placed_by_its_owner() {
    let folder = tempfile::tempdir().unwrap();
    let table = folder.path().join("logger.csv");
    let hours = (0..24 * 365).map(|hour| {
        let (day, clock) = (hour / 24, hour % 24);
        let date = chrono::NaiveDate::from_ymd_opt(2019, 7, 1).unwrap() + chrono::Days::new(day);
        // 1 January is the 184th day behind 1 July; the cold comes and goes by 0.8 K an hour
        let from_coldest = (hour as i64 - (184 * 24 + 11)).abs();
        let air = (8 * from_coldest - 205).min(40 - (clock as i64 - 12).abs());
        let sign = if air < 0 { "-" } else { "" };
        format!("{} {clock:02}:00;{sign}{},{}\n", date.format("%d.%m.%Y"), air.abs() / 10, air.abs() % 10)
    });
    fs::write(&table, format!("when;outside\n{}", hours.collect::<String>())).unwrap();
    let made = |name: &str, place: &str| {
        let trip = folder.path().join(name);
        let input = format!(
            "Van\n22\n6\n-0.30 %/K\n2\n1\n\n60\n100\n{}\n\n\n\n\n\n\n\nOdd Hill\n{place}\n\n\n\n",
            table.to_str().unwrap()
        );
        let run = ride_with(&["new", "--ask", &text(&trip)], input.as_bytes()).ends(0);
        (run, trip.join("plan.toml"))
    };
    let coldest = |plan: &Path| {
        let run = ride(&["assess", &text(plan), "--json"]);
        let answer: serde_json::Value = serde_json::from_str(&run.out).unwrap();
        let lows = &answer["stops"][0]["design_temperature_c"];
        (lows["record_low"].as_f64(), lows["record_low_at"].as_str().unwrap_or_default().to_owned())
    };
    let (run, plan) = made("there", "46.1, -110.2, 1450, -07:00");
    assert!(run.err.contains("air = \"outside\"") && run.err.contains("? C, F or K"), "{}", run.err);
    assert!(run.err.contains("stamps by the clock") && run.err.contains("-07:00"), "{}", run.err);
    assert!(run.out.contains("Check the lines marked with ?") && run.out.contains("Odd Hill"), "{}", run.out);
    assert_eq!(coldest(&plan), (Some(-20.5), "2020-01-01T18:00:00Z".to_owned()));
    let (_, plan) = made("utc", "46.1, -110.2, 1450, UTC");
    assert_eq!(coldest(&plan), (Some(-20.5), "2020-01-01T11:00:00Z".to_owned()));
    assert!(fs::read_to_string(&plan).unwrap().contains("utc_offset = \"+00:00\""));
    // who does not know the clock is told before the first run, and by it
    let (run, plan) = made("open", "46.1, -110.2, 1450");
    assert!(run.out.contains("write the clock of the stamps"), "{}", run.out);
    assert!(assess(&plan).refused().contains("carries no zone"));
}

/// A trip of two places from a pipe: the plan runs as it was written. Place of Chicago O'Hare by the archive's own list of
/// stations, as in tests/formats/isd_lite/PROVENANCE.md.
#[test]
fn a_trip_of_two_stops_is_written_and_runs() {
    let folder = tempfile::tempdir().unwrap();
    let years = folder.path().join("years");
    fs::create_dir(&years).unwrap();
    for year in [2010, 2011, 2012, 2013, 2015] {
        let name = format!("725300-{year}.gz");
        fs::copy(at_home("tests/formats/isd_lite").join(&name), years.join(&name)).unwrap();
    }
    fs::write(years.join("notes.md"), "where I found them").unwrap();
    fs::copy(at_home("tests/formats/epw/mcguire.epw"), folder.path().join("mcguire.epw")).unwrap();
    let label = "Van\n24.3\n10\n-0.30 %/K\n2\n1\nroof\n60\n100/30\n";
    let stops = "O'Hare\n41.995 N, 87.934 W, 205 m\n20 Dec\nJan 15\nmcguire.epw\n\n\n01-02 to 01-05\n\n\n";
    let input = format!("{label}years\n{}{stops}", "\n".repeat(7));
    let run: Ride = {
        let mut child = command(&["new", "--ask", "trips/one"])
            .current_dir(folder.path())
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        std::io::Write::write_all(&mut child.stdin.take().unwrap(), input.as_bytes()).unwrap();
        child.wait_with_output().unwrap().into()
    };
    let run = run.ends(0);
    assert!(run.err.contains("left out, since no weather was read in them: notes.md"), "{}", run.err);
    assert!(run.err.contains("20 December to 15 January, 27 days"), "{}", run.err);
    assert!(!run.out.contains("Before it runs"), "{}", run.out);
    // what was not asked is named by its keys, and each waits in the plan without a figure
    let plain = fs::read_to_string(folder.path().join("trips/one/plan.toml")).unwrap();
    for key in [
        "cells_in_series",
        "isc_temp_coeff",
        "voc_tolerance_percent",
        "tilt_deg",
        "heading",
        "charge_v",
        "elevation_m",
    ] {
        assert!(run.out.contains(key) && plain.contains(&format!("\n# {key} = ... ")), "{key}: {plain}");
    }
    let plan = folder.path().join("trips/one/plan.toml");
    let written = fs::read_to_string(&plan).unwrap();
    for line in [
        "place = \"O'Hare\" ",
        "weather = [\"../../years/*.gz\"] ",
        "arrive = \"12-20\" ",
        "leave = \"01-15\" ",
        "station_elevation_m = 205 ",
        "latitude_deg = 41.995 ",
        "longitude_deg = -87.934 ",
        "weather = [\"../../mcguire.epw\"] ",
        "leave = \"01-05\" ",
    ] {
        assert!(written.contains(&format!("\n{line}")), "{line}: {written}");
    }
    let run = ride(&["assess", &text(&plan), "--json"]);
    let answer: serde_json::Value = serde_json::from_str(&run.out).unwrap_or_else(|_| panic!("{}", run.err));
    assert_eq!(answer["stops"].as_array().unwrap().len(), 2);
    assert_eq!(answer["stops"][0]["place"], "O'Hare");
}

/// On a terminal a bad answer is asked again, and nothing is asked of a device that is not there. `script` of util-linux
/// lends a terminal.
#[cfg(target_os = "linux")]
#[test]
fn on_a_terminal_a_bad_answer_is_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    let Some(out) = typed_on_a_terminal(&trip, "Van\nmany\n24\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n") else { return };
    assert_eq!(out.matches("\n 2  Open-circuit").count(), 2, "{out}");
    assert!(fs::read_to_string(trip.join("plan.toml")).unwrap().contains("voc_v = 24"));
    assert!(!out.contains("Amps printed on the disconnect") && out.contains("\n13  Battery"), "{out}");

    let trip = folder.path().join("other");
    let label = "\n".repeat(10);
    let Some(out) = typed_on_a_terminal(&trip, &format!("{label}48\n40\n2\n\nagm 12\n\n\n\n")) else {
        return;
    };
    assert!(out.contains("\n12  Amps printed on the disconnect") && out.contains("\n15  Battery"), "{out}");
    assert!(!out.contains("controller's manual?"), "{out}");
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    for line in ["max_v = 48 ", "rated_a = 40 ", "poles_opened = 2 ", "chemistry = \"agm\" "] {
        assert!(plan.contains(&format!("\n{line}")), "{line}: {plan}");
    }
}

/// What a person typed who read a breaker's amps where volts were asked: the way back, the second look, both figures in one
/// piece, and what was meant.
#[cfg(target_os = "linux")]
#[test]
fn on_a_terminal_there_is_a_way_back_and_a_second_look() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    let label = "Van\n42.3\nback\n24.3\n10\n\n\n\n15\n2\n\n\n";
    let devices = "60 V DC 25 A\n2\n25\n100 | 20\n\n12 V\nyes\n\n\n\n";
    let Some(out) = typed_on_a_terminal(&trip, &format!("{label}{devices}")) else { return };
    assert!(out.contains("\"back\" or \"<\" returns to the question before"), "{out}");
    assert!(out.contains("[42.3] "), "the answer before stands in brackets: {out}");
    assert!(
        out.contains("taken as 60 V and 25 A") && !out.contains("Amps printed on the disconnect"),
        "{out}"
    );
    assert!(out.contains("2 panels of 24.3 V in series give 48.6 V at 25 °C already"), "{out}");
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("did you mean lfp 12?") && out.contains("[lfp 12] "), "{out}");
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    for line in [
        "voc_v = 24.3 ",
        "max_v = 60 ",
        "rated_a = 25 ",
        "poles_opened = 2 ",
        "max_v = 100 ",
        "max_charge_a = 20 ",
        "chemistry = \"lfp\" ",
        "nominal_v = 12 ",
    ] {
        assert!(plan.contains(&format!("\n{line}")), "{line}: {plan}");
    }
}

/// What the terminal shows while these lines are typed; `None` on a machine without `script`.
#[cfg(target_os = "linux")]
fn typed_on_a_terminal(trip: &Path, typed: &str) -> Option<String> {
    use std::io::Write;
    use std::process::{Command, Stdio};
    let line = format!("{COMMAND} new --ask {}", trip.to_str().unwrap());
    let mut child = Command::new("script")
        .args(["-qec", &line, "/dev/null"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .ok()?;
    let mut stdin = child.stdin.take().unwrap();
    stdin.write_all(typed.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    drop(stdin);
    let out = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(0), "{out}");
    Some(out)
}
