//! `survey` as a whole command, on invented archives and on real files: rows do not depend on threads, folders, or how
//! often a run was killed.

mod survey_archive;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use survey_archive::{Archive, write};

fn plan() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/plans/chicago.toml")
}

fn command(folders: &[&Path], out: &Path, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_dawnvolt"));
    command.arg("survey").arg(plan()).args(folders).arg("--out").arg(out).args(more);
    command
}

fn survey(folders: &[&Path], out: &Path, more: &[&str]) -> Output {
    command(folders, out, more).output().expect("the program runs")
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The files of a finished survey that must be the same, however it came about.
fn results(out: &Path) -> [String; 4] {
    ["rows.csv", "rows.jsonl", "map.svg", "bad.csv"].map(|name| text(&out.join(name)))
}

const SMALL: Archive = Archive { stations: 4, first: 0, years: 2, step_h: 3 };

#[test]
fn merged_shards_equal_the_whole_and_threads_change_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let [one, two] = ["one", "two"].map(|name| folder.path().join(name));
    write(&one, &SMALL).expect("written");
    write(&two, &Archive { first: 4, ..SMALL }).expect("written");
    let [whole, alone, first, second] =
        ["whole", "alone", "first", "second"].map(|name| folder.path().join(name));
    assert!(survey(&[&one, &two], &whole, &["--threads", "2"]).status.success());
    assert!(survey(&[&one, &two], &alone, &["--threads", "1"]).status.success());
    assert_eq!(results(&whole), results(&alone));
    assert!(survey(&[&one], &first, &[]).status.success());
    assert!(survey(&[&two], &second, &[]).status.success());
    let merged = text(&first.join("rows.jsonl")) + &text(&second.join("rows.jsonl"));
    assert_eq!(merged, text(&whole.join("rows.jsonl")));
    let body = |out: &Path| text(&out.join("rows.csv")).split_once('\n').map(|(_, body)| body.to_owned());
    assert_eq!(body(&first).zip(body(&second)).map(|(a, b)| a + &b), body(&whole));
    assert_eq!(merged.lines().count(), 8);
}

#[test]
fn killed_at_any_moment_and_resumed_it_gives_the_same_rows() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive");
    write(&archive, &Archive { stations: 12, ..SMALL }).expect("written");
    let [calm, killed] = ["calm", "killed"].map(|name| folder.path().join(name));
    let begin = std::time::Instant::now();
    assert!(survey(&[&archive], &calm, &["--threads", "1"]).status.success());
    let whole = begin.elapsed();
    for twentieth in [1_u32, 7, 3, 11, 5, 16, 9, 13, 2, 18] {
        let mut run = command(&[&archive], &killed, &["--threads", "2", "--resume"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program runs");
        std::thread::sleep(whole * twentieth / 20);
        // SIGKILL on Unix.
        let _ = run.kill();
        run.wait().expect("it ended");
    }
    let last = survey(&[&archive], &killed, &["--resume"]);
    assert!(last.status.success(), "{}", String::from_utf8_lossy(&last.stderr));
    assert_eq!(results(&killed), results(&calm));
    // Nothing is left but what a calm run leaves.
    let names = |out: &Path| {
        let mut names: Vec<_> =
            fs::read_dir(out).expect("listed").flatten().map(|entry| entry.file_name()).collect();
        names.sort();
        names
    };
    assert_eq!(names(&killed), names(&calm));
}

#[test]
fn resuming_runs_only_what_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive");
    write(&archive, &Archive { stations: 3, ..SMALL }).expect("written");
    let [out, fresh] = ["out", "fresh"].map(|name| folder.path().join(name));
    assert!(survey(&[&archive], &out, &[]).status.success());
    let journal = || text(&out.join(".dawnvolt-survey.jsonl")).lines().count();
    assert_eq!(journal(), 3);
    assert!(survey(&[&archive], &out, &["--resume"]).status.success());
    assert_eq!(journal(), 3);
    let changed = archive.join("invented-0001.csv");
    let longer = text(&changed) + "2003-01-01T00:00:00Z,-4.0,S0001,0,0,0\n";
    fs::write(&changed, longer).expect("written");
    assert!(survey(&[&archive], &out, &["--resume"]).status.success());
    assert_eq!(journal(), 4);
    assert!(text(&out.join("rows.csv")).contains("2003-01-01T00:00:00Z"));
    assert!(survey(&[&archive], &fresh, &[]).status.success());
    assert_eq!(results(&out), results(&fresh));
}

#[test]
fn a_bad_file_is_reported_and_the_run_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive");
    write(&archive, &Archive { stations: 2, ..SMALL }).expect("written");
    fs::write(archive.join("broken.csv"), "no,weather\n1,2\n").expect("written");
    fs::write(archive.join("nowhere.csv"), "time,temp_c\n2001-01-01T00:00Z,-3\n").expect("written");
    fs::write(archive.join("README.txt"), "not weather, and not meant to be\n").expect("written");
    let out = folder.path().join("out");
    let run = survey(&[&archive], &out, &["--json"]);
    assert_eq!(run.status.code(), Some(2));
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(said.contains("broken.csv") && said.contains("nowhere") && said.contains("--places"), "{said}");
    let rows: serde_json::Value = serde_json::from_slice(&run.stdout).expect("a JSON list");
    assert_eq!(rows.as_array().map(Vec::len), Some(2));
    let bad = text(&out.join("bad.csv"));
    assert_eq!(bad.lines().count(), 3, "{bad}");
    assert!(!bad.contains("README"));
}

/// A file of no known format is told in one line: lines to paste are for whoever asks `weather` about it.
#[test]
fn a_foreign_file_is_told_in_one_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive");
    write(&archive, &Archive { stations: 1, ..SMALL }).expect("written");
    let rows: String = (1..29).map(|day| format!("2001,1,{day},12,-3,2\n")).collect();
    let table = format!("Year,Month,Day,Hour,Temperature,Wind Speed\n{rows}");
    for name in ["own-1.csv", "own-2.csv"] {
        fs::write(archive.join(name), &table).expect("written");
    }
    let out = folder.path().join("out");
    let run = survey(&[&archive], &out, &[]);
    assert_eq!(run.status.code(), Some(2));
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(said.lines().count(), 1, "{said}");
    for words in ["own-1.csv: left out, no known format", "`dawnvolt weather`", "(and one more like it)"] {
        assert!(said.contains(words), "{said}");
    }
    // And there the lines are.
    let weather =
        Command::new(env!("CARGO_BIN_EXE_dawnvolt")).arg("weather").arg(archive.join("own-1.csv")).output();
    let told = String::from_utf8(weather.expect("the program runs").stderr).expect("text");
    assert!(told.contains("[stop.columns]") && told.contains("air = \"Temperature\""), "{told}");
}

/// Stations without a place stand in a table to fill in; filled in and given back, they have their rows.
#[test]
fn a_table_of_the_places_that_are_wanted_is_written_and_taken_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive");
    write(&archive, &Archive { stations: 1, ..SMALL }).expect("written");
    for name in ["nowhere", "noplace"] {
        let rows: String = (1..29).map(|day| format!("2001-01-{day:02}T12:00Z,-3\n")).collect();
        fs::write(archive.join(format!("{name}.csv")), format!("time,temp_c\n{rows}")).expect("written");
    }
    let out = folder.path().join("out");
    let run = survey(&[&archive], &out, &[]);
    assert_eq!(run.status.code(), Some(2));
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    // Two with the same reason are told once.
    assert_eq!(said.matches("the sun cannot be placed").count(), 1, "{said}");
    assert!(
        said.contains("2 stations stand without a place in") && said.contains("places-wanted.csv --resume"),
        "{said}"
    );
    assert!(text(&out.join("summary.txt")).contains("bad.csv, places-wanted.csv"), "listed where it lies");
    let table = out.join("places-wanted.csv");
    assert_eq!(text(&table), "id,name,latitude_deg,longitude_deg,elevation_m\nnoplace,,,,\nnowhere,,,,\n");
    let filled = text(&table).replace("noplace,,,,", "noplace,,46.5,7.5,600");
    fs::write(&table, &filled).expect("written");
    let again = || survey(&[&archive], &out, &["--resume", "--places", &table.to_string_lossy()]);
    // A row that is not filled in yet is passed over, and nobody's work is written over.
    assert_eq!(again().status.code(), Some(2));
    assert_eq!(text(&table), filled);
    let filled = filled.replace("nowhere,,,,", "nowhere,,-33.0,18.0,");
    fs::write(&table, &filled).expect("written");
    let run = again();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    assert_eq!(text(&table), filled);
    assert!(text(&out.join("rows.csv")).contains("noplace,,46.5000,7.5000,600.0"));
    assert!(!text(&out.join("summary.txt")).contains("places-wanted.csv"));
    // A record of a few days of one month holds no winter, and the summary says so.
    let summary = text(&out.join("summary.txt")).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        summary.contains("fewer than 5 complete winters") && summary.contains("hold no winter"),
        "{summary}"
    );
}

/// A survey of one real station says what `assess` says of it, and places come from a table where files have none.
#[test]
fn a_row_is_what_assess_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let data = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/formats/isd_lite");
    let places = folder.path().join("places.csv");
    fs::write(
        &places,
        "id,name,latitude_deg,longitude_deg,elevation_m\n725300,Lake City,41.995,-87.934,205\n",
    )
    .expect("written");
    let out = folder.path().join("out");
    let listed = places.to_string_lossy().into_owned();
    let run = survey(&[&data], &out, &["--json", "--places", &listed]);
    let rows: Vec<serde_json::Value> = serde_json::from_slice(&run.stdout).expect("a JSON list");
    let row = rows.iter().find(|row| row["name"] == "Lake City").expect("the station");
    let assess = Command::new(env!("CARGO_BIN_EXE_dawnvolt"))
        .arg("assess")
        .arg(plan())
        .arg("--json")
        .output()
        .expect("the program runs");
    let assess: serde_json::Value = serde_json::from_slice(&assess.stdout).expect("JSON");
    let at = &assess["stops"][0]["arrays"][0]["voltage_v"];
    for (key, value) in [
        ("code_v", &at["code"]),
        ("steady_max_v", &at["steady"]["max"]),
        ("sudden_sun_max_v", &at["sudden_sun"]["max"]),
        ("worst_case_max_v", &at["worst_case"]["max"]),
        ("worst_case_predictive_v", &at["worst_case"]["predictive_level"]),
        ("record_low_c", &assess["stops"][0]["design_temperature_c"]["record_low"]),
        ("mean_annual_low_c", &assess["stops"][0]["design_temperature_c"]["mean_annual_low"]),
    ] {
        assert_eq!(&row[key], value, "{key}");
    }
    // By hand: the ceiling is the lowest rating (48 V) over the volts of one panel.
    let volts = |key: &str| row[key].as_f64().unwrap_or(0.0);
    let decisive = ["code_v", "worst_case_max_v", "worst_case_predictive_v", "worst_case_allowance_v"]
        .into_iter()
        .map(volts)
        .fold(0.0, f64::max);
    assert_eq!(row["largest_series_count"].as_f64(), Some((48.0 / (decisive / 2.0)).floor()));
    assert_eq!(row["deciding_limit"], "roof disconnect");
    // What the plan's own two in series come to stands beside the count that would hold: 50.9 V and more are over 48 V.
    assert_eq!(row["verdict"], "exceeded");
    let summary = text(&out.join("summary.txt"));
    let line = summary.lines().find(|line| line.contains("Lake City")).expect("the station");
    let cells: Vec<&str> = line.split_whitespace().collect();
    assert_eq!(cells[cells.len() - 2..], ["exceeded", "1"], "{summary}");
    // Remarks are kinds in words, those that `weather` gives as JSON.
    let words = row["remarks"].as_str().expect("words");
    assert!(words.split("; ").all(|word| !word.is_empty() && word.parse::<u32>().is_err()), "{words}");
    let csv = text(&out.join("rows.csv"));
    let line = csv.lines().find(|line| line.contains("Lake City")).expect("the station");
    assert!(line.ends_with(&format!(",{words}")), "{line}");
}

/// Two tables of one's own, described below two stops: each file is read by the description that fits it, and one that both fit
/// and read in two ways is refused. By hand: the first stamp of the first is midnight at +1, of the second at +2.
#[test]
fn each_table_is_read_by_the_description_that_fits_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive");
    fs::create_dir(&archive).expect("made");
    let days = |line: &dyn Fn(u32, u32) -> String| -> String {
        (1..29)
            .flat_map(|day| (0..24).map(move |hour| (day, hour)))
            .map(|(day, hour)| line(day, hour))
            .collect()
    };
    let first = days(&|day, hour| format!("2001-01-{day:02} {hour:02}:00,-3.5\n"));
    let second = days(&|day, hour| format!("2001-01-{day:02} {hour:02}:00;-4,5\n"));
    fs::write(archive.join("alder.csv"), format!("when,outside\n{first}")).expect("written");
    fs::write(archive.join("birch.csv"), format!("stamp;luft\n{second}")).expect("written");
    let places = folder.path().join("places.csv");
    fs::write(&places, "id,name,latitude_deg,longitude_deg,elevation_m\nalder,,50,8,100\nbirch,,51,9,100\n")
        .expect("written");
    let plan_of = |parts: &str, second_table: &str| {
        let path = folder.path().join("plan.toml");
        let stop = |place: &str, offset: &str, table: &str| {
            format!(
                "[[stop]]\nplace = '{place}'\nweather = ['archive/alder.csv']\nlatitude_deg = 50.0\nlongitude_deg = 8.0\n\
                 elevation_m = 100\nutc_offset = '{offset}'\n[stop.columns]\nlabel = 'instant'\n{table}"
            )
        };
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\n[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n\
             {parts}{}{}",
            stop("Alder Halt", "+01:00", "time = 'when'\nair = 'outside'\n"),
            stop("Birch Halt", "+02:00", second_table)
        );
        fs::write(&path, text).expect("written");
        path
    };
    let run = |plan: &Path| {
        let out = folder.path().join("out");
        let mut command = Command::new(env!("CARGO_BIN_EXE_dawnvolt"));
        command.arg("survey").arg(plan).arg(&archive).arg("--places").arg(&places).arg("--out").arg(&out);
        let run = command.output().expect("the program runs");
        let joined = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        (
            run.status.code(),
            joined(&String::from_utf8_lossy(&run.stderr)),
            text(&out.join("rows.csv")),
            joined(&text(&out.join("summary.txt"))),
        )
    };
    let switch = "[[component]]\nkind = 'switch'\nmax_v = 60\nrated_a = 20\n";
    let own = "time = 'stamp'\nair = 'luft'\ndelimiter = ';'\ndecimal = ','\n";
    let (status, said, rows, summary) = run(&plan_of(switch, own));
    assert_eq!(status, Some(0), "{said}");
    assert!(rows.contains("2000-12-31T23:00:00Z") && rows.contains("2000-12-31T22:00:00Z"), "{rows}");
    assert!(rows.contains(",-3.50,") && rows.contains(",-4.50,"), "{rows}");
    assert!(!summary.contains("no count can be told"), "{summary}");

    // Both fit the first file, by clocks an hour apart: neither is guessed; the other file is of no known format then.
    fs::write(archive.join("cedar.csv"), "time,temp_c\n2001-01-01T00:00Z,-3\n").expect("written");
    let (status, said, ..) = run(&plan_of(switch, "time = 'when'\nair = 'outside'\n"));
    assert_eq!(status, Some(2));
    for words in [
        "alder.csv",
        "\"Alder Halt\"",
        "\"Birch Halt\"",
        "expected one description",
        "give the survey a plan",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }

    // With no rating in the plan nothing can hold, and what to add is said at once and in the summary.
    let (_, said, _, summary) = run(&plan_of("", own));
    for text in [said, summary] {
        assert!(
            text.contains("nothing in it has a rating in volts") && text.contains("max_v = 100"),
            "{text}"
        );
    }
}
