//! `assess` and `hours`: the answer, its exit status, its numbers.

use super::ride::{CHICAGO, at_home, command, ride, ride_with, text};
use serde_json::Value;
use std::fs;

const GREENSBORO: &str = "tests/plans/greensboro.toml";

#[test]
fn the_answer_comes_first_and_the_status_says_it() {
    let run = ride(&["assess", CHICAGO]).ends(1);
    let mut lines = run.out.lines();
    assert_eq!(lines.next(), Some("EXCEEDED: Invented van at a real station"));
    // 45 V x (1 + 0.0030 x 45.3), at the mean annual low of -20.3 C: 51.1 V.
    let sentence =
        "Roof disconnect: exceeded by the code sum: 51.1 V at -20.3 °C against 48 V, 6.5 % over; the largest";
    assert_eq!(lines.next(), Some(sentence));
    assert_eq!(run.err, "");
}

#[test]
fn every_verdict_has_its_status() {
    let plan = fs::read_to_string(at_home(CHICAGO)).unwrap();
    let home = at_home("tests/plans");
    let with = |disconnect: &str| {
        let plan = plan
            .replace("max_v = 48", disconnect)
            .replace("../formats", home.join("../formats").to_str().unwrap());
        ride_with(&["assess", "-", "--json"], plan.as_bytes())
    };
    // The code sum of this plan: 45 V x (1 + 0.003 x 45.3) = 51.1 V at the mean annual low of -20.3 C; the worst case
    // with a panel 3 % above its label stays below 60 V.
    for (disconnect, verdict, status) in
        [("max_v = 150", "within", 0), ("max_v = 48", "exceeded", 1), ("max_v_ac = 400", "not-met", 1)]
    {
        let run = with(disconnect).ends(status);
        let found: Value = serde_json::from_str(&run.out).unwrap();
        assert_eq!(found["verdict"], verdict, "{disconnect}");
    }
}

#[test]
fn json_holds_the_same_numbers_as_the_text() {
    let found: Value = serde_json::from_str(&ride(&["assess", CHICAGO, "--json"]).ends(1).quiet()).unwrap();
    assert_eq!(found["schema"], 1);
    assert_eq!(found["verdict"], "exceeded");
    let text = ride(&["assess", CHICAGO]).ends(1).quiet();
    let voltages = &found["stops"][0]["arrays"][0]["voltage_v"];
    for (name, value) in [
        ("code sum", &voltages["code"]),
        ("steady", &voltages["steady"]["max"]),
        ("sudden sun", &voltages["sudden_sun"]["max"]),
        ("worst case", &voltages["worst_case"]["max"]),
    ] {
        let row = text.lines().find(|line| line.starts_with(&format!("  {name}  "))).unwrap();
        assert!(row.contains(&format!("{:.1} V", value.as_f64().unwrap())), "{name}: {row}");
    }
    // `weather` and `assess` read the same record: the vehicle stands at the station's height, so the lows agree.
    let files = glob("tests/formats/isd_lite", "725300-");
    let mut arguments = vec!["weather".to_owned(), "--json".to_owned()];
    arguments.extend(files);
    let weather: Value = serde_json::from_str(&ride(&arguments).ends(0).quiet()).unwrap();
    assert_eq!(weather[0]["record"]["lowest_c"], found["stops"][0]["record"]["lowest_c"]);
    for key in ["record_low", "sd"] {
        let [one, other] =
            [&weather[0], &found["stops"][0]].map(|at| at["design_temperature_c"][key].as_f64());
        assert!((one.unwrap() - other.unwrap()).abs() < 1e-9, "{key}");
    }
}

fn glob(folder: &str, begin: &str) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(at_home(folder))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.starts_with(begin))
        .map(|name| format!("{folder}/{name}"))
        .collect();
    names.sort();
    names
}

#[test]
fn a_typical_year_holds_no_odds() {
    let run = ride(&["assess", GREENSBORO, "--json"]);
    let found: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(run.status, Some(1), "{}", run.err);
    let stop = &found["stops"][0];
    assert_eq!(stop["record"]["kind"], "typical-year");
    assert_eq!(stop["record"]["hours"], 8760);
    assert_eq!(stop["design_temperature_c"]["record_low"], Value::Null);
    for limit in stop["arrays"][0]["limits"].as_array().unwrap() {
        assert_eq!(limit["chance_per_season"], Value::Null);
    }
}

#[test]
fn colour_is_for_those_who_ask() {
    const ESCAPE: char = '\u{1b}';
    let plain = ride(&["assess", CHICAGO]).ends(1).quiet();
    assert!(!plain.contains(ESCAPE), "a pipe gets none");
    let coloured = ride(&["assess", CHICAGO, "--color", "always"]).ends(1).quiet();
    assert!(coloured.starts_with("\u{1b}[31mEXCEEDED\u{1b}[0m: "), "{}", &coloured[..60]);
    assert_eq!(strip(&coloured), plain, "colour changes no character");
    assert_eq!(ride(&["--color", "never", "assess", CHICAGO]).ends(1).quiet(), plain);
    let output = command(&["assess", CHICAGO]).env("NO_COLOR", "1").output().unwrap();
    assert_eq!(String::from_utf8(output.stdout).unwrap(), plain);
    // What is asked for in so many words outweighs the environment.
    let output = command(&["assess", CHICAGO, "--color", "always"]).env("NO_COLOR", "1").output().unwrap();
    assert_eq!(String::from_utf8(output.stdout).unwrap(), coloured);
}

/// Without colour sequences (ECMA-48 SGR).
fn strip(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("\u{1b}[") {
        out.push_str(before);
        rest = after.split_once('m').unwrap().1;
    }
    out + rest
}

/// `script` of util-linux lends a terminal.
#[cfg(target_os = "linux")]
#[test]
fn a_terminal_gets_colour_unless_it_declines() {
    let line = format!("{} assess {CHICAGO}", super::ride::COMMAND);
    let run = |no_color: Option<&str>| {
        let mut command = std::process::Command::new("script");
        command.args(["-qec", &line, "/dev/null"]).current_dir(env!("CARGO_MANIFEST_DIR"));
        command.stdin(std::process::Stdio::null()).env_remove("NO_COLOR");
        if let Some(value) = no_color {
            command.env("NO_COLOR", value);
        }
        command.output().ok().map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
    };
    // A machine without `script` cannot lend a terminal.
    let (Some(coloured), Some(plain), Some(empty)) = (run(None), run(Some("1")), run(Some(""))) else {
        return;
    };
    assert!(coloured.contains("\u{1b}[31mEXCEEDED"), "{coloured}");
    assert!(!plain.contains("\u{1b}[31m"));
    assert!(empty.contains("\u{1b}[31mEXCEEDED"), "an empty NO_COLOR says nothing");
}

#[test]
fn a_plan_may_come_as_a_stream() {
    let plan = fs::read(at_home(CHICAGO)).unwrap();
    let in_its_folder = |arguments: &[&str]| {
        use std::io::Write;
        let mut child = command(arguments)
            .current_dir(at_home("tests/plans"))
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(&plan).unwrap();
        child.wait_with_output().unwrap()
    };
    let streamed = in_its_folder(&["assess", "-"]);
    assert_eq!(streamed.status.code(), Some(1));
    assert_eq!(String::from_utf8(streamed.stdout).unwrap(), ride(&["assess", CHICAGO]).ends(1).quiet());
    let message = ride_with(&["assess", "-"], b"titel = \"x\"\n").refused();
    assert!(message.starts_with("error: standard input"), "{message}");
}

#[test]
fn a_missing_plan_and_a_missing_stop_are_said() {
    let message = ride(&["assess", "nowhere/plan.toml"]).refused();
    assert!(message.contains("nowhere/plan.toml: no such file"), "{message}");
    assert!(message.contains("dawnvolt new"), "{message}");
    let message = ride(&["assess", CHICAGO, "--stop", "Duluth"]).refused();
    assert_eq!(message, "error: no stop \"Duluth\" in the plan; it has: \"Chicago O'Hare\"\n");
    let message = ride(&["assess", CHICAGO, "--array", "rear"]).refused();
    assert_eq!(message, "error: no array \"rear\" in the plan; it has: \"array\"\n");
    let named = ride(&["assess", CHICAGO, "--stop", "chicago o'hare"]).ends(1).quiet();
    assert_eq!(ride(&["assess", CHICAGO, "--stop", "1"]).ends(1).quiet(), named);
}

/// The columns that scripts rely on, in their order.
const COLUMNS: &str = "time_utc,sun_elevation_deg,ghi_w_m2,plane_w_m2,air_c,cell_steady_c,voc_steady_v,voc_sudden_sun_v,\
                       voc_worst_case_v,isc_a,vmp_v,imp_a";

#[test]
fn hours_are_one_row_each_and_nothing_else() {
    let out = ride(&["hours", CHICAGO]).ends(0).quiet();
    let mut lines = out.lines();
    assert!(lines.next().unwrap().starts_with(COLUMNS));
    let rows: Vec<&str> = lines.collect();
    // 61,343 hours with an air temperature stand in the files (counted with pandas 3.1.1).
    assert_eq!(rows.len(), 61_343);
    assert!(rows.windows(2).all(|pair| pair[0][..20] < pair[1][..20]), "sorted, no hour twice");
    let largest =
        rows.iter().filter_map(|row| row.split(',').nth(8)?.parse::<f64>().ok()).fold(0.0, f64::max);
    let found: Value = serde_json::from_str(&ride(&["assess", CHICAGO, "--json"]).ends(1).quiet()).unwrap();
    let worst = found["stops"][0]["arrays"][0]["voltage_v"]["worst_case"]["max"].as_f64().unwrap();
    // The table prints hundredths or finer.
    assert!((largest - worst).abs() <= 0.005, "{largest} against {worst}");
}

/// `--units us` puts °F behind every temperature of these commands, as `assess` and `weather` do. The scales by
/// definition: °F = °C x 1.8 + 32, so that 20 °C are 68 °F and 17 °C are 62.6 °F.
#[test]
fn fahrenheit_stands_beside_celsius_where_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let out = text(&folder.path().join("report"));
    let runs: [&[&str]; 3] = [
        &["report", CHICAGO, "--out", &out],
        &["explain", CHICAGO],
        &["meter", CHICAGO, "--irradiance", "640", "--cell", "20"],
    ];
    for arguments in runs {
        let with = |units: &str| {
            let run = ride(&[arguments, &["--units", units]].concat());
            run.ends(0).out.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        assert!(!with("si").contains("°F"), "{arguments:?}");
        let both = with("us");
        for (before, after) in both.match_indices(" °C").map(|(at, _)| both.split_at(at)) {
            let celsius: f64 = before.rsplit([' ', '(', '=']).next().unwrap().parse().unwrap();
            let fahrenheit =
                after.strip_prefix(" °C (").unwrap_or_else(|| panic!("{arguments:?}: {after:.60}"));
            let fahrenheit: f64 = fahrenheit.split_once(" °F").unwrap().0.parse().unwrap();
            // both are printed to a tenth or finer
            assert!((celsius * 1.8 + 32.0 - fahrenheit).abs() < 0.15, "{celsius} {fahrenheit}");
        }
    }
    let meter = ride(&["meter", CHICAGO, "--irradiance", "640", "--cell", "20", "--units", "us"]).ends(0).out;
    let range = "cell 20.0 °C (68.0 °F), from 17.0 °C (62.6 °F) to 23.0 °C (73.4 °F)";
    assert!(meter.split_whitespace().collect::<Vec<_>>().join(" ").contains(range), "{meter}");
}

/// In the cells of tables too: 65 °C are 149 °F, 90 °C are 194 °F, by definition.
#[test]
fn fahrenheit_stands_in_the_cells_of_tables() {
    let words = |out: &str| out.split_whitespace().collect::<Vec<_>>().join(" ");
    let assess = words(&ride(&["assess", "data/demo/plan.toml", "--units", "us"]).ends(1).out);
    assert!(
        assess.contains("(90 °C (194 °F) insulation in air of 65 °C (149 °F), as in the plan: "),
        "{assess}"
    );
    let folder = tempfile::tempdir().unwrap();
    let out = text(&folder.path().join("survey"));
    let survey = ["survey", CHICAGO, "tests/formats/uscrn", "--out", &out, "--units", "us"];
    let survey = words(&ride(&survey).ends(0).out);
    // -21.4 x 1.8 + 32 = -6.52
    assert!(survey.contains("-21.4 (-6.5)"), "{survey}");
}

/// Two stops, of which `meter` needs none where light and cell are given: what is missing is named, not the stops.
#[test]
fn meter_names_what_is_missing() {
    let text = std::fs::read_to_string(CHICAGO).unwrap();
    let stop = text.split_once("[[stop]]").unwrap().1;
    let two = format!("{text}\n[[stop]]{}", stop.replace("Chicago O'Hare", "Invented Ford"));
    let formats = std::path::Path::new("tests/formats").canonicalize().unwrap();
    let two = two.replace("../formats", &formats.display().to_string());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, two).unwrap();
    let path = path.display().to_string();
    let said = |more: &[&str]| ride(&[&["meter", path.as_str()], more].concat()).refused();
    for more in [&[][..], &["--read-v", "40"], &["--air", "3"]] {
        let said = said(more);
        assert!(said.contains("nothing says how much light") && !said.contains("several stops"), "{said}");
    }
    for more in [&["--irradiance", "640"][..], &["--irradiance", "640", "--read-v", "84"]] {
        let said = said(more);
        assert!(said.contains("--cell C") && said.contains("--air C"), "{said}");
        assert!(!said.contains("how much light") && !said.contains("several stops"), "{said}");
    }
    let outdoors = ["--at", "2031-01-08 12:00", "--air", "-5", "--sky", "clear"];
    assert!(said(&outdoors).contains("several stops"));
    ride(&["meter", &path, "--irradiance", "640", "--air", "5"]).ends(0);
}

/// Three strings of 10.3 A on leads of 12 AWG in air of 65 °C, 30 A x 0.65 = 19.5 A (NEC Table 310.16), into which the two
/// others can feed 2 x 1.25 x 10.3 = 25.75 A (NEC 690.9(A)). A fuse of 25 A lets that pass, where 240.4(B) allows the next
/// standard size of 20 A; without a fuse it is a remark, since "needs fuses" is no limit; of two strings 12.9 A harm no lead.
#[test]
fn a_fuse_that_does_not_protect_the_lead_of_its_string_is_not_met() {
    let plan = |in_parallel: u32, fuse: &str| {
        format!(
            "title = 't'\n[assumptions]\ncode_temperature = -20\n\
             [[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 10.3\nvoc_temp_coeff = '-0.30 %/K'\nmax_series_fuse_a = 30\n\
             [[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {in_parallel}\nmount = 'roof'\n\
             [[component]]\nkind = 'cable'\nname = 'leads'\ncarries = 'string'\nawg = 12\ninsulation_c = 90\nambient_c = 65\n\
             max_v = 600\n{fuse}"
        )
    };
    let fuse = |rated_a: u32| {
        format!("[[component]]\nkind = 'fuse'\ncarries = 'string'\nmax_v = 600\nrated_a = {rated_a}\n")
    };
    for (in_parallel, device, verdict, status) in [
        (3, fuse(25), "not-met", 1),
        (3, fuse(20), "within", 0),
        (3, String::new(), "within", 0),
        (2, fuse(25), "within", 0),
    ] {
        let run = ride_with(&["assess", "-", "--json"], plan(in_parallel, &device).as_bytes()).ends(status);
        let found: Value = serde_json::from_str(&run.out).unwrap();
        assert_eq!(found["verdict"], verdict, "{in_parallel} {device}");
        let limits = found["arrays"][0]["code_alone"]["limits"].as_array().unwrap();
        let unmet: Vec<&Value> = limits.iter().filter(|limit| limit["verdict"] == "not-met").collect();
        assert_eq!(unmet.len(), usize::from(status == 1), "{unmet:?}");
        for limit in unmet {
            assert_eq!((&limit["component"], &limit["rating"]), (&"leads".into(), &Value::Null));
            let reason = limit["reason"].as_str().unwrap();
            for figure in
                ["can feed 25.8 A", "carries 19.5 A", "25 A where 20 A is the most", "6 mm2 or 10 AWG"]
            {
                assert!(reason.contains(figure), "{figure}: {reason}");
            }
        }
        let asks = found["changes"].as_array().unwrap().iter().any(|change| {
            let change = change.as_str().unwrap();
            change.contains("feed 25.8 A into it, and where it runs it carries 19.5 A (NEC 690.9(A))")
        });
        assert_eq!(asks, in_parallel == 3 && device.is_empty(), "{}", found["changes"]);
    }
    // A fuse of 20 A: 14 AWG carries 25 A x 0.65 = 16.25 A and may stand behind 15 A (240.4(D)); 12 AWG behind 20 A by the code,
    // and behind no more than its 19.5 A by IEC 60364-4-43 (433.1, from memory), as by AS/NZS 3000 (In <= Iz, from memory).
    let strict = |rules: &str| format!("rules = '{rules}'\n{}", plan(3, &fuse(20)));
    for (text, most) in [
        (plan(3, &fuse(20)).replace("awg = 12", "awg = 14"), "15 A is the most allowed (NEC 240.4(D))"),
        (strict("iec"), "19.5 A is the most allowed (IEC 60364-4-43)"),
        (strict("as-nzs"), "19.5 A is the most allowed (AS/NZS 3000)"),
    ] {
        let run = ride_with(&["assess", "-"], text.as_bytes()).ends(1);
        let said = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(most), "{said}");
    }
    let run = ride_with(&["assess", "-"], strict("nec-2023").as_bytes()).ends(0);
    assert!(!run.out.contains("only with") && !run.out.contains("does not protect"), "{}", run.out);
}

/// A controller without its amps has a row that is no limit: 1.25 x 31.2 A = 39.0 A (NEC 690.8), and neither JSON nor status
/// knows of it. The battery is of lithium, which must not be charged below 0 °C (common practice, no source). What a
/// plan may do without is said row by row (NEC 690.13 asks for the disconnect, 690.9(A) for fuses only where current can come).
#[test]
fn what_is_not_judged_or_not_planned_has_its_word() {
    // The designer's plan with one controller, of which nothing but the volts is known.
    let folder = tempfile::tempdir().unwrap();
    let story = std::fs::read_to_string("data/stories/designer.toml").unwrap();
    let (head, rest) = story.split_once("# Two controllers").unwrap();
    let (_, stops) = rest.split_once("# No dates").unwrap();
    let part =
        "[[component]]\nkind = \"controller\"\nname = \"charge controller\"\nmax_v = 100\n\n# No dates";
    let demo = std::path::absolute("data/demo").unwrap().to_string_lossy().replace('\\', "/");
    let plan = folder.path().join("plan.toml");
    std::fs::write(&plan, format!("{head}{part}{stops}").replace("../demo", &demo)).unwrap();
    let designer = plan.to_string_lossy().into_owned();
    let row = |text: &str, begin: &[&str]| {
        text.lines()
            .map(|line| line.split_whitespace().collect::<Vec<_>>())
            .find(|cells| cells.len() >= begin.len() && cells.windows(begin.len()).next() == Some(begin))
            .map(|cells| cells.join(" "))
            .unwrap_or_default()
    };
    for form in [vec!["assess", &designer], vec!["assess", &designer, "--full"]] {
        let text = ride(&form).ends(0).out;
        let lacking = row(&text, &["not", "judged", "charge", "controller"]);
        assert_eq!(lacking, "not judged charge controller - 39.0 A - no max_isc_a");
        assert!(text.contains("Not judged: the plan does not give that rating"), "{text}");
        for (begin, word) in [
            (["disconnect", "no:", "needed"], "48.8 A"),
            (["controller", "yes", "39.0"], "A"),
            (["connector", "of", "a"], "string no: only if 13.0 A"),
            (["breaker", "or", "array"], "fuse no: only if 48.8 A"),
        ] {
            let found = row(&text, &begin);
            assert!(found.starts_with(&format!("{} {word}", begin.join(" "))), "{begin:?}: {found}");
        }
    }
    let brief = ride(&["assess", &designer]).ends(0).out;
    assert!(brief.contains("Battery in frost: lithium must not be charged below 0 °C"), "{brief}");
    let found: Value = serde_json::from_str(&ride(&["assess", &designer, "--json"]).ends(0).quiet()).unwrap();
    let limits = found["stops"][0]["arrays"][0]["limits"].as_array().unwrap();
    assert!(limits.iter().all(|limit| limit["unit"] == "V"), "no limit in amps: {limits:?}");
}
