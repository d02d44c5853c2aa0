//! What people typed who had nothing but the README, and what they are told.

use super::ride::{Ride, command, ride, text};
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// The starter plan in a folder of its own, changed.
fn starter(change: impl Fn(String) -> String) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("trip");
    ride(&["new", &text(&trip)]).ends(0);
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    fs::write(trip.join("plan.toml"), change(plan)).unwrap();
    folder
}

fn run_in(folder: &Path, arguments: &[&str]) -> Ride {
    command(arguments).current_dir(folder).output().unwrap().into()
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The lines that the refusal prints go into the plan as they are, and the file is read by them.
#[test]
fn a_logger_is_read_after_its_lines_are_pasted() {
    let folder = starter(|plan| plan.replace("weather/invented-valley.csv.gz", "weather/logger.csv"));
    let trip = folder.path().join("trip");
    let mut table = String::from("Timestamp,Outside Temp (°F),Solar Rad W/m2,Humidity,Wind mph\n");
    for hour in 0..24 {
        table.push_str(&format!("2031-01-05 {hour:02}:00,14.0,{},50,10\n", if hour == 12 { 300 } else { 0 }));
    }
    fs::write(trip.join("weather/logger.csv"), table).unwrap();
    let message = run_in(&trip, &["assess", "plan.toml"]).refused();
    let block = &message[message.find("[stop.columns]").expect("a block to paste")..];
    assert!(
        block.contains("time = \"Timestamp\"") && block.contains("air = \"Outside Temp (°F)\""),
        "{block}"
    );
    assert!(block.contains("air_unit = \"F\"") && block.contains("wind_unit = \"mph\""), "{block}");
    assert!(block.contains("ghi = \"Solar Rad W/m2\"") && block.contains("# not read: Humidity"), "{block}");
    assert!(message.contains("utc_offset"), "{message}");
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    fs::write(trip.join("plan.toml"), format!("{plan}utc_offset = \"-07:00\"\n{block}")).unwrap();
    let run = run_in(&trip, &["assess", "plan.toml"]);
    // 14 F is -10 C.
    assert!(run.out.contains("-10.0 °C"), "{}{}", run.out, run.err);
    // Without the light's line the column is still seen, and said.
    let dark: String =
        block.lines().filter(|line| !line.starts_with("ghi")).map(|line| format!("{line}\n")).collect();
    fs::write(trip.join("plan.toml"), format!("{plan}utc_offset = \"-07:00\"\n{dark}")).unwrap();
    let said = flat(&run_in(&trip, &["assess", "plan.toml"]).out);
    assert!(said.contains("light that is not read: Solar Rad W/m2"), "{said}");
}

/// A grid's point says where it lies: the lines that the refusal prints stand in the plan as they are, also the last one,
/// which says how to look at the file.
#[test]
fn a_grid_s_place_and_clock_are_pasted_too() {
    let folder = starter(|plan| {
        plan.replace("weather/invented-valley.csv.gz", "weather/point.csv")
            .replace("latitude_deg = 46.0 ", "# ")
            .replace("longitude_deg = -110.0 ", "# ")
    });
    let trip = folder.path().join("trip");
    let mut table = String::from("when,Latitude,LONGITUDE,Temp (C),GHI,DNI\n");
    for hour in 0..24 {
        table.push_str(&format!("2031-01-05 {hour:02}:00,46.5,-111.25,-12.5,0,0\n"));
    }
    fs::write(trip.join("weather/point.csv"), table).unwrap();
    let message = run_in(&trip, &["assess", "plan.toml"]).refused();
    let block = &message[message.find("latitude_deg = 46.5").expect("a block to paste")..];
    // -111.25 / 15 = -7.4
    assert!(
        block.contains("longitude_deg = -111.25 ") && block.contains("utc_offset = \"-07:00\" "),
        "{block}"
    );
    assert!(block.contains("# utc_offset = \"+00:00\"") && block.contains("nearly always in UTC"), "{block}");
    assert!(!block.contains("not read"), "{block}");
    assert_eq!(block.matches("towards the sun").count(), 1, "{block}");
    assert!(block.contains("`dawnvolt weather FILE --columns PLAN`"), "{block}");
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    fs::write(trip.join("plan.toml"), format!("{plan}{block}")).unwrap();
    let run = run_in(&trip, &["weather", "weather/point.csv", "--columns", "plan.toml"]).ends(0);
    assert!(run.out.contains("-12.5 °C"), "{}", run.out);
    let run = run_in(&trip, &["assess", "plan.toml", "--json"]);
    let answer: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(answer["stops"][0]["station"]["longitude_deg"], -111.25, "{}", run.out);
}

/// A real table of three airports whose hour parts follow daylight saving and whose one column says its zone
/// (tests/formats/generic/PROVENANCE.md).
#[test]
fn a_table_of_airports_is_read_after_its_lines_are_pasted() {
    let folder = starter(|plan| plan.replace("weather/invented-valley.csv.gz", "weather/flights.csv"));
    let trip = folder.path().join("trip");
    fs::copy(super::ride::at_home("tests/formats/generic/flights.csv"), trip.join("weather/flights.csv"))
        .unwrap();
    let message = run_in(&trip, &["assess", "plan.toml"]).refused();
    let block = &message[message.find("[stop.columns]").expect("a block to paste")..];
    assert!(block.contains("time = \"time_hour\"\n") && !block.contains("utc_offset"), "{block}");
    assert!(block.contains("station_column = \"origin\"") && block.contains("station = \"EWR\""), "{block}");
    assert!(block.contains("one of EWR, JFK, LGA, of the first lines"), "{block}");
    let plan = fs::read_to_string(trip.join("plan.toml")).unwrap();
    // The unit stands in no header; its numbers, up to 62.96, can be no Celsius.
    assert!(block.contains("air_unit = \"F\""), "{block}");
    fs::write(trip.join("plan.toml"), format!("{plan}{block}")).unwrap();
    let run = run_in(&trip, &["assess", "plan.toml"]);
    // (33.08 - 32) / 1.8 = 0.6 C.
    assert!(run.out.contains("0.6 °C"), "{}{}", run.out, run.err);
}

/// A month of invented light around the equinox, when days are twelve hours long everywhere: half a sine from six to six
/// by the sun. At 110 W the sun is highest at 19:20 UTC. Stamps are in UTC, each the beginning of its hour, without a zone.
fn light_in_utc() -> String {
    let mut table = String::from("when,outside,global\n");
    for day in 5..31 {
        for hour in 0..24_u32 {
            let angle = std::f64::consts::PI * (f64::from(hour) + 0.5 - 19.0 - 1.0 / 3.0) / 12.0;
            let global = (800.0 * angle.cos()).max(0.0);
            // Coldest on the 20th: 5 - 8 C, nearly, in the hour in which the cosine is least, which is that of 9:00 UTC.
            let air = 5.0 + 8.0 * (angle - 0.7).cos() + 0.3 * f64::from(20_i32 - day).abs();
            table.push_str(&format!("2031-03-{day:02} {hour:02}:00,{air:.1},{global:.0}\n"));
        }
    }
    table
}

#[test]
fn stamps_in_utc_and_a_clock_of_the_place_have_a_key_each() {
    let folder = starter(|plan| plan.replace("weather/invented-valley.csv.gz", "weather/grid.csv"));
    let trip = folder.path().join("trip");
    fs::write(trip.join("weather/grid.csv"), light_in_utc()).unwrap();
    let plan: String = fs::read_to_string(trip.join("plan.toml"))
        .unwrap()
        .lines()
        .filter(|line| {
            !["latitude_deg", "longitude_deg"]
                .iter()
                .any(|key| line.trim_start_matches("# ").starts_with(key))
        })
        .map(|line| format!("{line}\n"))
        .collect();
    let assess = |label: &str, zone: &str| {
        let table = format!(
            "latitude_deg = 45.0\nlongitude_deg = -110.0\nutc_offset = \"-07:00\"\n[stop.columns]\ntime = \"when\"\n{zone}air = \
             \"outside\"\nghi = \"global\"\nlabel = \"{label}\"\n"
        );
        fs::write(trip.join("plan.toml"), format!("{plan}{table}")).unwrap();
        let run = run_in(&trip, &["assess", "plan.toml", "--full"]);
        assert!(!run.out.is_empty(), "{}", run.err);
        flat(&run.out)
    };
    let utc = "utc_offset = \"+00:00\"\n";
    let wrong = assess("hour-beginning", "");
    let clause = "its light fits the sun best with stamps 7 hours earlier";
    // Every limit holds, and no hurried reader may take that for an answer.
    assert!(
        wrong.starts_with("CHECK THE WEATHER FIRST: My van No all-clear before this is settled: "),
        "{wrong}"
    );
    assert!(wrong.contains(&format!("settled: {clause}")), "{wrong}");
    assert!(wrong.contains("utc_offset = \"+00:00\" under [stop.columns]"), "{wrong}");
    // Once in the summary, once among the notes.
    assert_eq!(wrong.matches(clause).count(), 2, "{wrong}");
    let right = assess("hour-beginning", utc);
    assert!(!right.contains("fits the sun best"), "{right}");
    // 09:00 UTC is 02:00 seven hours behind.
    assert!(
        right.contains("2031-03-20 09:00 UTC") && right.contains("2031-03-20 02:00 local time"),
        "{right}"
    );
    let label = assess("hour-ending", utc);
    assert!(
        label.contains("stamps 60 minutes later") && label.contains("try label = \"hour-beginning\""),
        "{label}"
    );
    assert!(!label.contains("settled: its light"), "{label}");
}

/// The days of a stay are some of its season's, so no stay can pass its season: where the sum of mean and standard deviation
/// says more of the stay, it says why. Both figures come from runs of their own, the standard deviations from the largest of each
/// year by the formula of the textbooks.
#[test]
fn a_stay_that_is_expected_to_pass_its_season_says_why() {
    let asked = |dates: Option<(&str, &str)>| -> serde_json::Value {
        let folder = starter(|plan| match dates {
            Some((arrive, leave)) => plan
                .replace("# arrive = ...", &format!("arrive = \"{arrive}\""))
                .replace("# leave = ...", &format!("leave = \"{leave}\"")),
            None => plan,
        });
        let run = run_in(&folder.path().join("trip"), &["assess", "plan.toml", "--json"]);
        serde_json::from_str(&run.out).unwrap()
    };
    let level = |found: &serde_json::Value| {
        found["stops"][0]["arrays"][0]["voltage_v"]["worst_case"]["predictive_level"].as_f64().unwrap()
    };
    let sd = |found: &serde_json::Value| {
        let seasons = found["stops"][0]["arrays"][0]["season_maxima_v"].as_array().unwrap();
        let volts: Vec<f64> = seasons.iter().map(|season| season["worst_case"].as_f64().unwrap()).collect();
        let mean = volts.iter().sum::<f64>() / volts.len() as f64;
        (volts.iter().map(|volts| (volts - mean).powi(2)).sum::<f64>() / (volts.len() - 1) as f64).sqrt()
    };
    let notes = |found: &serde_json::Value| found["stops"][0]["notes"].to_string();
    let (season, stay, other) =
        (asked(None), asked(Some(("01-28", "01-31"))), asked(Some(("01-01", "01-10"))));
    assert!(level(&stay) > level(&season) + 0.05 && level(&other) < level(&season));
    let said = format!(
        "the {:.1} V expected in this stay are more than the {:.1} V expected of whole seasons there",
        level(&stay),
        level(&season)
    );
    assert!(notes(&stay).contains(&said), "{}", notes(&stay));
    let why = format!("(standard deviation {:.2} V against {:.2} V)", sd(&stay), sd(&season));
    assert!(notes(&stay).contains(&why), "{why}: {}", notes(&stay));
    assert!(!notes(&other).contains("in this stay") && !notes(&season).contains("in this stay"));
}

#[test]
fn words_for_a_zone_lead_to_the_one_key_for_it() {
    for word in ["zone", "timezone", "tz"] {
        let folder = starter(|plan| format!("{plan}{word} = \"-07:00\"\n"));
        let message = run_in(folder.path(), &["assess", "trip/plan.toml"]).refused();
        assert!(message.contains("did you mean `utc_offset`?"), "{message}");
    }
}

#[test]
fn backslashes_lead_to_slashes_whatever_letter_follows() {
    for name in [r"weather\invented-valley.csv.gz", r"weather\new-valley.csv.gz", r"weather\tall.csv"] {
        let folder = starter(|plan| plan.replace("weather/invented-valley.csv.gz", name));
        let message = run_in(folder.path(), &["assess", "trip/plan.toml"]).refused();
        assert!(message.contains("write the path with forward slashes"), "{name}: {message}");
    }
    // In single quotes a backslash is itself, and serves.
    let folder = starter(|plan| {
        plan.replace("\"weather/invented-valley.csv.gz\"", r"'weather\invented-valley.csv.gz'")
    });
    run_in(folder.path(), &["assess", "trip/plan.toml"]).ends(0);
}

#[test]
fn as_much_of_a_place_as_tells_it_apart_is_enough() {
    let two = |plan: String| {
        let stop = plan[plan.find("[[stop]]\n").unwrap()..].to_owned();
        format!("{plan}\n{}", stop.replace("Invented Valley", "Invented Pass"))
    };
    let folder = starter(two);
    let run = run_in(folder.path(), &["assess", "trip/plan.toml", "--stop", "invented v"]).ends(0);
    assert!(run.out.contains("Invented Valley, 1450 m") && !run.out.contains("Invented Pass"), "{}", run.out);
    let message = run_in(folder.path(), &["assess", "trip/plan.toml", "--stop", "invented"]).refused();
    assert!(message.contains("\"Invented Valley\", \"Invented Pass\""), "{message}");
}

/// 1 to 20 December at one place and 15 to 31 at the other share six days; a day between two stops is as it should be.
#[test]
fn overlapping_and_endless_stays_are_doubted() {
    let dated = |first: (&'static str, &'static str), second: (&'static str, &'static str)| {
        starter(move |plan| {
            let dates =
                |(arrive, leave): (&str, &str)| format!("arrive = \"{arrive}\"\nleave = \"{leave}\"\n");
            let stop = plan[plan.find("[[stop]]\n").unwrap()..].replace("Invented Valley", "Invented Pass");
            format!("{plan}{}\n{stop}{}", dates(first), dates(second))
        })
    };
    let said = |folder: &TempDir| run_in(folder.path(), &["assess", "trip/plan.toml"]).err;
    let over = said(&dated(("12-01", "12-20"), ("12-15", "12-31")));
    assert!(over.contains("Invented Valley and Invented Pass share 6 days"), "{over}");
    assert_eq!(said(&dated(("12-01", "12-15"), ("12-15", "12-31"))), "");
    let long = said(&dated(("01-10", "01-12"), ("01-15", "12-20")));
    assert!(long.contains("Invented Pass are a stay of 340 days"), "{long}");
}

#[test]
fn a_count_of_panels_in_letters_is_answered_in_words() {
    let folder = starter(|plan| plan);
    let message = run_in(folder.path(), &["series", "trip/plan.toml", "--panels", "six"]).refused();
    assert!(message.contains("expected a whole number of panels from 1 to 500"), "{message}");
}

/// Eight panels in threes: two strings, and two panels without a place.
#[test]
fn panels_left_over_are_named_and_never_cut() {
    let folder = starter(|plan| plan);
    let run = run_in(folder.path(), &["series", "trip/plan.toml", "--panels", "8"]).ends(0);
    assert!(run.out.contains("3S2P+2"), "{}", run.out);
    for (panels, words) in [("5", "one panel left over"), ("7", "one panel left over")] {
        let said =
            flat(&run_in(folder.path(), &["series", "trip/plan.toml", "--panels", panels]).ends(0).out);
        assert!(said.contains(words), "{panels}: {said}");
    }
}

/// Two plans in a folder share its default report: every run says so, the first too, and names the other.
#[test]
fn a_report_that_may_be_another_plans_is_said() {
    let folder = starter(|plan| plan);
    let trip = folder.path().join("trip");
    fs::copy(trip.join("plan.toml"), trip.join("other.toml")).unwrap();
    assert_eq!(run_in(folder.path(), &["report", "trip/plan.toml", "--out", "mine"]).ends(0).err, "");
    let first = run_in(folder.path(), &["report", "trip/plan.toml"]).ends(0).err;
    assert!(first.contains("also: other.toml"), "{first}");
    let second = run_in(folder.path(), &["report", "trip/other.toml"]).ends(0).err;
    assert!(second.contains("also: plan.toml") && second.contains("--out DIR"), "{second}");
    assert_eq!(run_in(folder.path(), &["report", "trip/other.toml", "--out", "mine"]).ends(0).err, "");
}

/// The text, the table of `series` and the numbers beside a report agree on the volts that decide.
#[test]
fn one_figure_decides_wherever_it_is_printed() {
    let folder = starter(|plan| plan);
    let run = run_in(folder.path(), &["report", "trip/plan.toml", "--out", "r"]).ends(0);
    let numbers: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(folder.path().join("r/numbers.json")).unwrap()).unwrap();
    let worst = numbers["stops"][0]["arrays"][0]["limits"][0]["worst"].as_f64().unwrap();
    let printed = format!("{worst:.1} V");
    assert!(flat(&run.out).contains(&printed), "{printed}: {}", run.out);
    let csv = fs::read_to_string(folder.path().join("r/limits.csv")).unwrap();
    assert!(csv.contains(&format!(",{worst:.3},")), "{worst}: {csv}");
    let page = fs::read_to_string(folder.path().join("r/report.html")).unwrap();
    assert!(page.contains(&printed));
    let series = run_in(folder.path(), &["series", "trip/plan.toml"]).ends(0).out;
    let row = series.lines().find(|line| line.contains("2S1P")).unwrap();
    assert!(row.contains(&format!("{worst:.1}")), "{row}");
    let ladder = series.lines().find(|line| line.trim_start().starts_with("2S ")).unwrap();
    assert!(ladder.ends_with(&printed), "{ladder}");
}
