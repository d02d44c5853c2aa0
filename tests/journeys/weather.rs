//! `weather`: what is in these files.

use super::ride::{at_home, ride, ride_with, shown, text};
use serde_json::Value;
use std::fs;

const CHICAGO: &[&str] = &[
    "tests/formats/isd_lite/725300-2010.gz",
    "tests/formats/isd_lite/725300-2011.gz",
    "tests/formats/isd_lite/725300-2012.gz",
    "tests/formats/isd_lite/725300-2013.gz",
    "tests/formats/isd_lite/725300-2015.gz",
    "tests/formats/isd_lite/725300-2016.gz",
    "tests/formats/isd_lite/725300-2017.gz",
];
const UTQIAGVIK: &[&str] =
    &["tests/formats/isd_lite/702910-2018.gz", "tests/formats/isd_lite/702910-2019.gz"];

fn json(arguments: &[&str]) -> Value {
    let mut all = vec!["weather", "--json"];
    all.extend(arguments);
    serde_json::from_str(&ride(&all).ends(0).quiet()).unwrap()
}

/// Counts and lows as pandas 3.1.1 finds them in the same files (see tests/formats/isd_lite/PROVENANCE.md).
#[test]
fn a_real_station_winter_by_winter() {
    let found = json(CHICAGO);
    let [station] = &found.as_array().unwrap()[..] else { panic!("{found}") };
    assert_eq!(station["station"]["name"], "725300");
    assert_eq!(station["station"]["latitude_deg"], Value::Null);
    assert_eq!(station["record"]["format"], "ISD-Lite");
    assert_eq!(station["record"]["winters"], 9);
    assert_eq!(station["record"]["complete_winters"], 5);
    assert_eq!(station["record"]["lowest_c"], -24.4);
    assert_eq!(station["record"]["lowest_at"], "2016-12-19T11:00:00Z");
    let complete: Vec<(&str, f64)> = station["annual_low_c"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|low| low["counted"] == true)
        .map(|low| (low["season"].as_str().unwrap(), low["low"].as_f64().unwrap()))
        .collect();
    assert_eq!(
        complete,
        [("2010/11", -21.7), ("2011/12", -15.0), ("2012/13", -18.3), ("2015/16", -20.0), ("2016/17", -24.4)]
    );
    let design = &station["design_temperature_c"];
    // The mean of the five complete winters, and of the one incomplete winter that was colder than it: 2014/15 with
    // -22.2 C. An incomplete winter may add to the cold, never to the mild.
    let counted = [-21.7, -15.0, -18.3, -20.0, -24.4, -22.2];
    let mean = counted.iter().sum::<f64>() / counted.len() as f64;
    assert!((design["mean_annual_low"].as_f64().unwrap() - mean).abs() < 1e-9, "{design}");
    assert_eq!(design["low_20_year"], Value::Null, "five winters are too few");
    let rows: u64 =
        station["files"].as_array().unwrap().iter().map(|file| file["rows"].as_u64().unwrap()).sum();
    assert_eq!(rows, 61_343);
    assert!(station["files"][0]["recognised_by"].as_str().unwrap().contains("twelve whole numbers"));
    // Month by month and hour by hour: the lowest of all is the record low.
    let lowest = station["low_by_month_c"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|month| month["by_hour"].as_array().unwrap())
        .filter_map(Value::as_f64)
        .fold(f64::INFINITY, f64::min);
    assert_eq!(lowest, -24.4);
}

#[test]
fn a_real_station_as_text() {
    let mut arguments = vec!["weather"];
    arguments.extend(CHICAGO);
    shown("weather-chicago", &ride(&arguments).ends(0).quiet(), None);
    arguments.extend(["--units", "us"]);
    let out = ride(&arguments).ends(0).quiet();
    // -24.4 C are -11.9 F by the definition of the scales.
    assert!(out.contains("-24.4 °C (-11.9 °F)"), "{out}");
}

#[test]
fn published_conditions_stand_beside_our_own() {
    shown("weather-typical-year", &ride(&["weather", "tests/formats/epw/mcguire.epw"]).ends(0).quiet(), None);
    let found = json(&["tests/formats/epw/mcguire.epw"]);
    assert_eq!(found[0]["record"]["kind"], "typical-year");
    assert_eq!(found[0]["design_temperature_c"]["record_low"], Value::Null);
    assert!(found[0]["design_temperature_c"]["published"]["mean"].is_number());
    assert_eq!(found[0]["annual_low_c"].as_array().unwrap().len(), 0);
}

#[test]
fn files_of_several_stations_give_one_answer_each() {
    let mut mixed: Vec<&str> = vec![UTQIAGVIK[0]];
    mixed.extend(CHICAGO);
    mixed.push(UTQIAGVIK[1]);
    mixed.push("tests/formats/epw/mcguire.epw");
    let found = json(&mixed);
    let names: Vec<&str> =
        found.as_array().unwrap().iter().map(|one| one["station"]["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["702910", "725300", "Mcguire Afb, NJ, USA"]);
    assert_eq!(found[0]["files"].as_array().unwrap().len(), 2);
    assert_eq!(found[1], json(CHICAGO)[0]);
}

#[test]
fn files_that_name_no_station_are_told_apart_by_their_names() {
    let folder = tempfile::tempdir().unwrap();
    let rows = |air: i32| {
        let hours: String = (0..24).map(|hour| format!("2031-01-20T{hour:02}:00Z,{air}\n")).collect();
        format!("time,temp_c\n{hours}")
    };
    let write = |name: &str, air: i32| {
        let path = folder.path().join(name);
        fs::write(&path, rows(air)).unwrap();
        text(&path)
    };
    let (one, two) = (write("invented-ford-2030.csv", -3), write("invented-halt-2030.csv", -9));
    let more = write("invented-ford-2031.csv", -3);
    let found = json(&[&one, &two, &more]);
    let files: Vec<usize> =
        found.as_array().unwrap().iter().map(|one| one["files"].as_array().unwrap().len()).collect();
    assert_eq!(files, [2, 1]);
    assert_eq!(found[1]["record"]["lowest_c"], -9.0);
}

#[test]
fn a_record_without_latitude_is_seated_by_its_warmer_month() {
    let folder = tempfile::tempdir().unwrap();
    let mut csv = String::from("time,temp_c\n");
    for month in 1..=12 {
        for day in 1..=28 {
            // Warm in January, cold in July.
            let air = if (4..10).contains(&month) { -2 } else { 21 };
            csv.push_str(&format!("2031-{month:02}-{day:02}T12:00Z,{air}\n"));
        }
    }
    let path = folder.path().join("invented.csv");
    fs::write(&path, csv).unwrap();
    let found = json(&[&text(&path)]);
    assert_eq!(
        found[0]["annual_low_c"][0]["season"], "2031",
        "seasons south of the equator are calendar years"
    );
    let notes = found[0]["notes"].to_string();
    assert!(notes.contains("January is warmer than July"), "{notes}");
}

#[test]
fn a_plan_says_how_to_read_a_file_of_no_known_layout() {
    let folder = tempfile::tempdir().unwrap();
    let weather = folder.path().join("logger.csv");
    // -4 F are -20 C by the definition of the scales.
    let rows: String = (0..24).map(|hour| format!("20/01/2031 {hour:02}:00;-4,0\n")).collect();
    fs::write(&weather, format!("when;outside\n{rows}")).unwrap();
    let plan = folder.path().join("plan.toml");
    let columns = r#"
[stop.columns]
time = "when"
time_format = "%d/%m/%Y %H:%M"
air = "outside"
air_unit = "F"
label = "instant"
delimiter = ";"
decimal = ","
"#;
    let head = "[[module]]\nid = \"a\"\nvoc_v = 22.5\nisc_a = 5.8\n[[string]]\nmodules = \"a\"\nin_series = 2\nmount = \"roof\"\n";
    let stop = "[[stop]]\nplace = \"Invented\"\nweather = [\"logger.csv\"]\nlatitude_deg = 45.0\nlongitude_deg = -110.0\nutc_offset = \"-07:00\"\n";
    fs::write(&plan, format!("{head}{stop}{columns}")).unwrap();
    let message = ride(&["weather", &text(&weather)]).refused();
    assert!(message.contains("no known format"), "{message}");
    let found = json(&["--columns", &text(&plan), &text(&weather)]);
    assert!((found[0]["record"]["lowest_c"].as_f64().unwrap() + 20.0).abs() < 1e-9);
    assert_eq!(found[0]["record"]["first"], "2031-01-20T07:00:00Z");
    assert_eq!(found[0]["utc_offset"], "-07:00");
    assert_eq!(found[0]["station"]["latitude_deg"], 45.0);
    // The stop alone serves as well, wherever its own files are; another file is read by its columns too.
    let full = found;
    fs::write(&plan, format!("{}{columns}", stop.replace("logger.csv", "not-there-yet-*.csv"))).unwrap();
    assert_eq!(json(&["--columns", &text(&plan), &text(&weather)]), full);
    fs::write(&plan, head).unwrap();
    let message = ride(&["weather", "--columns", &text(&plan), &text(&weather)]).refused();
    assert!(message.contains("no [[stop]]; expected") && message.contains("[stop.columns]"), "{message}");
    // A plan without columns serves nothing.
    let message = ride(&["weather", "--columns", "tests/plans/chicago.toml", &text(&weather)]).refused();
    assert!(message.contains("[stop.columns]"), "{message}");
}

#[test]
fn standard_input_is_a_file_too() {
    let bytes = fs::read(at_home("tests/formats/epw/mcguire.epw")).unwrap();
    let run = ride_with(&["weather", "-"], &bytes).ends(0);
    assert!(run.out.contains("Mcguire"), "{}", run.out);
}

#[test]
fn what_cannot_be_read_is_said_in_one_message() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        text(&path)
    };
    let cases = [
        (write("empty.csv", b""), "the file is empty"),
        (write("picture.csv", b"\x89PNG\r\n\x1a\n0000"), "a PNG picture"),
        (write("none.gz", b"\x1f\x8b"), "damaged"),
        (write("line.csv", &vec![b'1'; 10 << 20]), "no known format"),
        (write("line-below.csv", &[b"time,temp_c\n", &vec![b'1'; 10 << 20][..]].concat()), "longer than"),
        (write("prose.csv", b"Dear reader,\nit was cold.\n"), "no known format"),
        (text(folder.path()), "is a folder"),
        (text(&folder.path().join("gone.csv")), "no such file"),
        ("tests/formats/generic/flights.csv".to_owned(), "no known format"),
    ];
    for (path, words) in cases {
        let message = ride(&["weather", &path]).refused();
        assert!(message.contains(words), "{path}: {message}");
        // A table that can be described comes with the lines to paste.
        let block = message.split_once(":\n\n").filter(|(_, block)| block.contains("\n[stop.columns]\n"));
        let lines = block.map_or(message.as_str(), |(said, _)| said).lines();
        assert_eq!(lines.count(), 1, "{message}");
    }
}

/// A person at a terminal gets the picture of the lows; a pipe does not. `script` of util-linux lends a terminal.
#[cfg(target_os = "linux")]
#[test]
fn a_terminal_gets_a_picture() {
    use super::ride::COMMAND;
    let line = format!("{COMMAND} weather {}", CHICAGO.join(" "));
    for (columns, january) in [
        ("90", "Jan %%%%############################%%%%%%%%%%%%%%%%  -22.2 °C"),
        ("60", "Jan %%##############%%%%%%%%  -22.2 °C"),
    ] {
        let run = std::process::Command::new("script")
            .args(["-qec", &line, "/dev/null"])
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .env("COLUMNS", columns)
            .stdin(std::process::Stdio::null())
            .output();
        // A machine without `script` cannot lend a terminal.
        let Ok(run) = run else { return };
        let out = String::from_utf8_lossy(&run.stdout).replace("\r\n", "\n");
        assert!(out.contains(january), "{out}");
        assert!(out.contains("note: a plan names such files"), "{out}");
        let widest = out.lines().map(|line| line.chars().count()).max().unwrap_or(0);
        // The closing note is one line of its own, which the terminal wraps.
        let page =
            out.lines().filter(|line| !line.starts_with("note: ")).map(|line| line.chars().count()).max();
        assert!(page.unwrap_or(0) <= columns.parse::<usize>().unwrap() + 4, "{widest}: {out}");
    }
    let mut arguments = vec!["weather"];
    arguments.extend(CHICAGO);
    assert!(!ride(&arguments).ends(0).quiet().contains("Jan "));
}

/// A download under way: rows come in while the file is read.
#[test]
fn a_file_that_changes_while_it_is_read_is_said() {
    use std::io::Write;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("growing.csv");
    let mut csv = String::from("time,temp_c\n");
    for year in 1990..2030 {
        for month in 1..=12 {
            for day in 1..=28 {
                for hour in 0..24 {
                    csv.push_str(&format!("{year}-{month:02}-{day:02}T{hour:02}:00Z,-3.5\n"));
                }
            }
        }
    }
    fs::write(&path, csv).unwrap();
    let mut child = super::ride::command(&["weather", &text(&path)])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut growing = fs::OpenOptions::new().append(true).open(&path).unwrap();
    let mut hour = 0;
    while child.try_wait().unwrap().is_none() {
        hour += 1;
        growing.write_all(format!("2031-01-01T{:02}:00Z,-3.5\n", hour % 24).as_bytes()).unwrap();
        std::thread::sleep(std::time::Duration::from_micros(200));
    }
    let run: super::ride::Ride = child.wait_with_output().unwrap().into();
    let message = run.refused();
    assert!(message.contains("growing.csv: changed while it was read"), "{message}");
}

/// A year of a real grid point (ERA5, New York): by the archive's own documentation its light is that of the hour that ends at
/// the stamp, UTC. The same light under other clocks is found again, and a clock that no such table has is not guessed.
#[test]
fn the_light_of_an_unknown_table_tells_its_clock() {
    use std::io::Read as _;
    let mut grid = String::new();
    let packed = fs::File::open(at_home("tests/formats/generic/new-york-grid.csv.gz")).unwrap();
    flate2::read::GzDecoder::new(packed).read_to_string(&mut grid).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("grid.csv");
    let proposed = |shift_min: i64, header: &str, stamp: &str| {
        let mut out = format!("{header},lat,lon,air temp C,GHI\n");
        for row in grid.lines().skip(1).take(8760) {
            let cells: Vec<&str> = row.split(',').collect();
            let number = |at: usize| cells[at].parse::<u32>().unwrap();
            let at = chrono::NaiveDate::from_ymd_opt(number(0) as i32, number(1), number(2)).unwrap();
            let at = at.and_hms_opt(number(3), number(4), 0).unwrap() + chrono::Duration::minutes(shift_min);
            out.push_str(&format!("{},40.71,-74.01,{},{}\n", at.format(stamp), cells[5], cells[6]));
        }
        fs::write(&file, out).unwrap();
        ride(&["weather", &text(&file)]).refused()
    };
    let parts = ("Year,Month,Day,Hour,Minute", "%Y,%-m,%-d,%-H,%-M");
    for (shift_min, (header, stamp), zone, label) in [
        (0, parts, "\nutc_offset = \"+00:00\" ", "hour-ending"),
        (0, ("when", "%Y-%m-%d %H:%M"), "\nutc_offset = \"+00:00\" ", "hour-ending"),
        (-60, ("when", "%d.%m.%Y %H:%M"), "\nutc_offset = \"+00:00\" ", "hour-beginning"),
        (-30, ("when", "%Y-%m-%d %H:%M"), "\nutc_offset = \"+00:00\" ", "instant"),
        (-300, ("when", "%Y-%m-%d %H:%M"), "the light says that it is the zone of the stamps", "hour-ending"),
        (
            -360,
            ("when", "%Y-%m-%d %H:%M"),
            "the light says that it is the zone of the stamps",
            "hour-beginning",
        ),
        (0, ("when", "%Y-%m-%dT%H:%MZ"), "your clock there\n", "hour-ending"),
    ] {
        let said = proposed(shift_min, header, stamp);
        assert!(said.contains(zone), "{shift_min} {stamp}: {said}");
        assert!(said.contains(&format!("\nlabel = \"{label}\" ")), "{shift_min} {stamp}: {said}");
        assert!(said.contains("the light says so (correlation with a clear sky 0."), "{said}");
    }
    let said = proposed(540, "when", "%Y-%m-%d %H:%M");
    assert!(said.contains("its light fits neither UTC nor the zone of the longitude"), "{said}");
    // the lines that are proposed are taken as they are, and no clock is doubted then
    let said = proposed(0, parts.0, parts.1);
    let block: String = said
        .lines()
        .skip_while(|line| !line.starts_with("latitude_deg"))
        .map(|line| format!("{line}\n"))
        .collect();
    let plan = folder.path().join("plan.toml");
    fs::write(&plan, format!("[[stop]]\nplace = \"Grid\"\nweather = [\"grid.csv\"]\n{block}")).unwrap();
    let read = ride(&["weather", &text(&file), "--columns", &text(&plan)]).ends(0);
    assert!(read.out.contains("8760 hours") && !read.out.contains("fits the sun best"), "{}", read.out);
}

/// One bad file among several does not hide what the others hold; the run fails all the same, and a script gets no part.
#[test]
fn a_bad_file_among_good_ones_does_not_hide_them() {
    let folder = tempfile::tempdir().unwrap();
    let bad = text(&folder.path().join("bad.csv"));
    fs::write(&bad, "x\ny\n").unwrap();
    let run = ride(&["weather", UTQIAGVIK[0], &bad]).ends(2);
    assert!(run.out.contains("702910") && run.out.contains("Rows:"), "{}", run.out);
    assert!(run.err.contains("1 file of 2 could not be read") && run.err.contains("bad.csv"), "{}", run.err);
    let run = ride(&["weather", "--json", UTQIAGVIK[0], &bad]).ends(2);
    assert_eq!(run.out, "");
    let run = ride(&["weather", &bad, &bad]).ends(2);
    assert_eq!(run.out, "");
}
