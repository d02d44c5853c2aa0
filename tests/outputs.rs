//! What is printed: JSON, CSV, text, HTML and charts of an invented assessment.
#![expect(clippy::unwrap_used)]

mod invented;
mod svg_texts;

use dawnvolt::limits::Verdict;
use dawnvolt::report::{self, Units, charts, text};
use dawnvolt::study::results::Assessment;
use invented::{Size, assessment};
use serde_json::Value;
use std::collections::BTreeSet;

/// Text that is out to harm each sink.
const HOSTILE: &str =
    "=cmd|'/c'!A1 <script>alert(1)</script> \"'&\u{1b}[31m\u{202E}txt\u{7}\n# שלום 🚐 ]]> </style>";

/// The same assessment with hostile text in every place where a user or a file may write.
fn hostile() -> Assessment {
    let mut results = assessment(Size { stops: 2, seasons: 12, limits: 6 });
    let bad = || HOSTILE.to_owned();
    results.title = bad();
    results.prepared_for = Some(bad());
    results.prepared_by = Some(bad());
    results.date = Some(bad());
    results.summary = bad();
    results.cautions.push(bad());
    results.missing.push(bad());
    results.changes.push(bad());
    results.plan_text = Some(bad());
    results.notes[0].text = bad();
    results.arrays[0].name = bad();
    results.arrays[0].layout = vec![bad()];
    let wiring = &mut results.arrays[0].wiring;
    wiring.battery = Some(bad());
    wiring.strings[0].panels[1] = bad();
    wiring.strings[0].mount = bad();
    wiring.expected[0].string = bad();
    for component in &mut wiring.components {
        component.name = bad();
        component.detail = Some(bad());
    }
    results.arrays[0].needs.volts_from = bad();
    results.assumptions[0].name = bad();
    results.assumptions[0].value = bad();
    results.assumptions[0].why = bad();
    let trip = results.trip.as_mut().unwrap();
    trip.deciding_stop = Some(bad());
    trip.deciding_component = Some(bad());
    trip.deciding_window = Some(bad());
    trip.in_words = bad();
    for stop in &mut results.stops {
        stop.place = bad();
        stop.window = Some(bad());
        stop.station.name = Some(bad());
        stop.record.format = bad();
        stop.record.files = vec![bad(), bad()];
        stop.notes[0].text = bad();
        if let Some(published) = &mut stop.design_temperature_c.published {
            published.source = bad();
        }
        let array = &mut stop.arrays[0];
        array.name = bad();
        array.touch.class = bad();
        array.pictures.light_and_air.as_mut().unwrap().curves[0].component = bad();
        array.voltage_v.code_temperature_from = bad();
        array.voltage_v.not_held[0].what = bad();
        array.voltage_v.worst_case.source = Some(bad());
        for (index, limit) in array.limits.iter_mut().enumerate() {
            limit.component = format!("{HOSTILE}{index}");
            limit.kind = bad();
            limit.rule = bad();
            limit.reason = bad();
            limit.how_often = bad();
            limit.out_of_reach = Some(bad());
            limit.steps[0].what = bad();
            limit.steps[0].text = bad();
        }
    }
    results
}

/// Every path of keys in a JSON value; list items share one path.
fn paths(value: &Value, path: &str, out: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                out.insert(path.clone());
                paths(value, &path, out);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| paths(item, path, out)),
        _ => {}
    }
}

/// The keys that scripts rely on (the contract of `assess --json`), group by group.
const CONTRACT: &[(&str, &str)] = &[
    ("", "schema title verdict arrays trip stops assumptions"),
    ("arrays", "name modules_in_series strings stc_v isc_a max_circuit_a conductor_a needs"),
    (
        "arrays.needs",
        "disconnect_v disconnect_a breaker_a poles controller_v controller_isc_a connector_a cable_a",
    ),
    ("trip", "chance_per_season deciding_stop deciding_component by_departure"),
    ("trip.chance_per_season", "low best high"),
    ("trip.by_departure", "shift_days chance"),
    ("stops", "place station record design_temperature_c arrays notes"),
    ("stops.station", "name latitude_deg longitude_deg elevation_m"),
    (
        "stops.record",
        "format files kind first last hours winters complete_winters coverage lowest_c lowest_at",
    ),
    (
        "stops.design_temperature_c",
        "record_low record_low_at mean_annual_low sd low_5_year low_10_year low_20_year low_50_year \
         daylight_record_low daylight_mean_annual_low window_low published",
    ),
    ("stops.arrays", "name voltage_v current_a touch limits"),
    (
        "stops.arrays.voltage_v",
        "code code_temperature_c code_basis table window_code steady sudden_sun worst_case",
    ),
    ("stops.arrays.voltage_v.steady", "max at cell_c irradiance_w_m2"),
    ("stops.arrays.voltage_v.sudden_sun", "max at cell_c irradiance_w_m2 level_20_year level_50_year"),
    (
        "stops.arrays.voltage_v.worst_case",
        "max at cell_c irradiance_w_m2 level_20_year level_50_year predictive_level",
    ),
    ("stops.arrays.current_a", "max_hour at highest_3_hour_mean"),
    ("stops.arrays.touch", "class hours_per_year_above_60_v"),
    (
        "stops.arrays.limits",
        "component kind rule rating unit worst decided_by margin_percent verdict code_verdict reason reached_at_c \
         out_of_reach hours_per_year days_per_year seasons seasons_broken chance_per_season longest_run_h \
         first_broken last_broken",
    ),
    ("stops.arrays.limits.hours_per_year", "steady sudden_sun worst_case"),
    ("stops.arrays.limits.days_per_year", "steady sudden_sun worst_case"),
    ("stops.arrays.limits.seasons_broken", "steady sudden_sun worst_case"),
    ("stops.arrays.limits.chance_per_season", "low best high"),
    ("stops.notes", "kind count text"),
    ("assumptions", "name value unit why"),
];

#[test]
fn json_holds_every_key_of_the_contract() {
    let value: Value = serde_json::from_str(&report::json(&assessment(Size::default()))).unwrap();
    let mut found = BTreeSet::new();
    paths(&value, "", &mut found);
    for (group, keys) in CONTRACT {
        for key in keys.split_whitespace() {
            let path = if group.is_empty() { key.to_owned() } else { format!("{group}.{key}") };
            assert!(found.contains(&path), "{path} is missing");
        }
    }
    // The mirror is strict: a key that is neither in the contract nor in this snapshot is a change of the layout.
    insta::assert_snapshot!("json_keys", found.into_iter().collect::<Vec<_>>().join("\n"));
}

#[test]
fn json_words_stamps_and_nulls_are_those_of_the_contract() {
    let mut results = assessment(Size { stops: 1, seasons: 2, limits: 6 });
    results.trip = None;
    let value: Value = serde_json::from_str(&report::json(&results)).unwrap();
    assert_eq!(value["schema"], 1);
    assert_eq!(value["verdict"], "exceeded");
    assert!(value["trip"].is_null());
    let stop = &value["stops"][0];
    assert_eq!(stop["record"]["kind"], "chronological");
    assert_eq!(stop["record"]["first"], "1995-07-01T00:00:00Z");
    assert!(stop["design_temperature_c"]["low_20_year"].is_null());
    let limits = &stop["arrays"][0]["limits"];
    let verdicts: Vec<_> = limits.as_array().unwrap().iter().map(|limit| &limit["verdict"]).collect();
    assert_eq!(verdicts, ["exceeded", "close", "within", "within", "not-met", "not-assessed"]);
    assert_eq!(limits[0]["decided_by"], "code");
    assert!(limits[4]["rating"].is_null());
    assert_eq!(stop["arrays"][0]["voltage_v"]["code_basis"], "coefficient");
    assert!(stop.get("utc_offset").is_none());
}

#[test]
fn text_reads_as_this() {
    let results = assessment(Size { stops: 2, seasons: 12, limits: 6 });
    insta::assert_snapshot!("text_100", text::assess(&results, &text::TextOptions::default()));
    let options = text::TextOptions { width: 60, units: Units::Us, ..text::TextOptions::default() };
    insta::assert_snapshot!("text_60_us", text::assess(&results, &options));
    insta::assert_snapshot!("brief_100", text::assess_in_brief(&results, &text::TextOptions::default()));
    insta::assert_snapshot!("brief_60_us", text::assess_in_brief(&results, &options));
    let alone = assessment(Size { stops: 1, seasons: 12, limits: 6 });
    insta::assert_snapshot!(
        "brief_of_one_stop",
        text::assess_in_brief(&alone, &text::TextOptions::default())
    );
}

#[test]
fn text_keeps_to_its_width() {
    let results = assessment(Size::default());
    for width in [60, 80, 100, 140] {
        let options = text::TextOptions { width, ..text::TextOptions::default() };
        let both = text::assess(&results, &options) + &text::assess_in_brief(&results, &options);
        for line in both.lines() {
            // Tables are indented by two beyond their own width.
            assert!(line.chars().count() <= width + 2, "{width}: {line}");
        }
    }
}

#[test]
fn colour_changes_nothing_but_the_verdict_words() {
    let results = assessment(Size { stops: 2, seasons: 12, limits: 6 });
    let plain = text::assess(&results, &text::TextOptions::default());
    let options = text::TextOptions { colour: text::Colour::Always, ..text::TextOptions::default() };
    let coloured = text::assess(&results, &options);
    assert!(!plain.contains('\u{1b}'));
    assert!(coloured.contains("\u{1b}[31mEXCEEDED\u{1b}[0m"));
    let mut words = BTreeSet::new();
    for part in coloured.split("\u{1b}[").skip(1) {
        let (code, rest) = part.split_once('m').unwrap();
        if code != "0" {
            words.insert(rest.to_owned());
        }
    }
    let expected = ["EXCEEDED", "close", "exceeded", "not assessed", "not met", "within"];
    assert_eq!(words, expected.map(str::to_owned).into());
    let stripped = ["\u{1b}[31m", "\u{1b}[32m", "\u{1b}[33m", "\u{1b}[0m"]
        .iter()
        .fold(coloured, |s, c| s.replace(c, ""));
    assert_eq!(stripped, plain);
}

#[test]
fn html_stands_alone() {
    let results = assessment(Size::default());
    let html = report::html(&results, &charts::all(&results).unwrap());
    for outside in ["http:", "https:", "//", "src=", "<link", "<script", "@import", "url(", "<iframe", "<img"]
    {
        assert!(!html.contains(outside), "{outside}");
    }
    // Every inner link has its anchor, and no anchor stands twice.
    let ids: Vec<&str> = html.split(" id=\"").skip(1).map(|part| part.split('"').next().unwrap()).collect();
    let unique: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(ids.len(), unique.len());
    for target in html.split("href=\"#").skip(1).map(|part| part.split('"').next().unwrap()) {
        assert!(unique.contains(target), "{target}");
    }
    for name in html.split("aria-labelledby=\"").skip(1).map(|part| part.split('"').next().unwrap()) {
        assert!(name.split(' ').all(|id| unique.contains(id)), "{name}");
    }
    assert!(html.len() < 3_000_000);
}

#[test]
fn html_headings_go_down_one_level_at_a_time() {
    let results = assessment(Size { stops: 12, seasons: 60, limits: 6 });
    let html = report::html(&results, &charts::all(&results).unwrap());
    let mut last = 0;
    for part in html.split("<h").skip(1) {
        let Some(level) = part.chars().next().and_then(|c| c.to_digit(10)) else { continue };
        assert!(level <= last + 1, "h{level} after h{last}: {}", &part[..60.min(part.len())]);
        last = level;
    }
    assert_eq!(html.matches("<h1").count(), 1);
    // Every header cell says what it heads, and every chart says what it finds.
    assert_eq!(
        html.matches("<th").count() - html.matches("<thead").count(),
        html.matches("scope=\"").count()
    );
    let signs = html.matches("<svg class=\"sign\" aria-hidden=\"true\"").count();
    assert!(signs > 20);
    assert_eq!(html.matches("<svg").count() - signs, html.matches("<desc").count());
}

#[test]
fn csv_has_one_row_a_limit_and_a_season() {
    let results = assessment(Size { stops: 2, seasons: 12, limits: 6 });
    let limits = report::csv::limits(&results);
    insta::assert_snapshot!("limits_csv", limits);
    assert_eq!(limits.lines().count(), 1 + 2 * 6);
    let seasons = report::csv::seasons(&results);
    assert_eq!(seasons.lines().count(), 1 + 2 * 12);
    insta::assert_snapshot!("seasons_csv", seasons.lines().take(4).collect::<Vec<_>>().join("\n"));
}

#[test]
fn hostile_text_stays_text_in_every_sink() {
    let results = hostile();
    let charts = charts::all(&results).unwrap();

    let html = report::html(&results, &charts);
    assert!(!html.contains("<script") && !html.contains('\u{1b}') && !html.contains('\u{202E}'));
    assert!(html.contains("&lt;script&gt;") && html.contains("🚐"));
    assert_eq!(html.matches("</style>").count(), 1);

    for chart in &charts {
        assert!(!chart.svg.contains("<script") && !chart.svg.contains(|c: char| c.is_control() && c != '\n'));
        assert!(chart.id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'));
    }

    let text = text::assess(&results, &text::TextOptions::default());
    assert!(!text.chars().any(|c| (c.is_control() && c != '\n') || c == '\u{202E}'));

    for csv in [report::csv::limits(&results), report::csv::seasons(&results)] {
        let mut reader = csv::ReaderBuilder::new().from_reader(csv.as_bytes());
        let width = reader.headers().unwrap().len();
        for row in reader.records() {
            let row = row.unwrap();
            assert_eq!(row.len(), width);
            for cell in &row {
                let formula = cell.starts_with(['=', '+', '@', '\t', '\r'])
                    || (cell.starts_with('-') && cell.parse::<f64>().is_err());
                assert!(!formula, "{cell}");
            }
        }
    }

    let json: Value = serde_json::from_str(&report::json(&results)).unwrap();
    assert_eq!(json["title"], HOSTILE);
}

#[test]
fn charts_are_files_that_can_be_read() {
    let results = assessment(Size { stops: 1, seasons: 12, limits: 6 });
    for chart in charts::all(&results).unwrap() {
        assert!(
            chart.svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\"")
                && chart.svg.ends_with("</svg>\n")
        );
        let mut reader = png::Decoder::new(std::io::Cursor::new(&chart.png)).read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        let frame = reader.next_frame(&mut pixels).unwrap();
        assert_eq!(frame.width, 1720);
        // A drawn page has paper, ink and something in between.
        let colours: BTreeSet<&[u8]> = pixels.chunks_exact(3).collect();
        assert!(colours.len() > 20, "{}", colours.len());
        assert!(!chart.alt.is_empty() && !chart.title.is_empty());
    }
}

#[test]
fn the_same_results_give_the_same_bytes() {
    let results = assessment(Size::default());
    let (first, second) = (charts::all(&results).unwrap(), charts::all(&results).unwrap());
    assert_eq!(report::html(&results, &first), report::html(&results, &second));
    assert!(first.iter().zip(&second).all(|(a, b)| a.png == b.png && a.svg == b.svg));
}

#[test]
fn an_assessment_without_stops_or_seasons_still_reads() {
    let mut results = assessment(Size { stops: 1, seasons: 0, limits: 1 });
    results.verdict = Verdict::NotAssessed;
    for stops in [results.stops.clone(), vec![]] {
        results.stops = stops;
        results.missing = vec!["no stop: give [[stop]] with weather".to_owned()];
        let charts = charts::all(&results).unwrap();
        assert!(report::html(&results, &charts).contains("not assessed"));
        assert!(text::assess(&results, &text::TextOptions::default()).starts_with("NOT ASSESSED: "));
    }
}

/// Writes every output to a folder of the build directory (target/tmp/look), to be looked at by a person.
#[test]
fn every_output_is_written_for_the_eye() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("look");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, results) in [
        ("usual", assessment(Size::default())),
        ("small", assessment(Size { stops: 1, seasons: 2, limits: 1 })),
        ("large", assessment(Size { stops: 12, seasons: 60, limits: 6 })),
        ("hostile", hostile()),
    ] {
        let charts = charts::all(&results).unwrap();
        for chart in &charts {
            std::fs::write(folder.join(format!("{name}-{}.svg", chart.id)), &chart.svg).unwrap();
            std::fs::write(folder.join(format!("{name}-{}.png", chart.id)), &chart.png).unwrap();
        }
        let text = text::assess(&results, &text::TextOptions::default());
        std::fs::write(folder.join(format!("{name}.txt")), text).unwrap();
        std::fs::write(folder.join(format!("{name}.html")), report::html(&results, &charts)).unwrap();
        std::fs::write(folder.join(format!("{name}.json")), report::json(&results)).unwrap();
    }
}

#[test]
fn no_two_texts_of_a_chart_meet_and_none_leaves_the_page() {
    let mut checked = 0;
    for stops in [1, 3, 12] {
        for seasons in [2, 25, 60] {
            for limits in [1, 6] {
                let results = assessment(Size { stops, seasons, limits });
                for chart in charts::all(&results).unwrap() {
                    let (texts, faults) = svg_texts::faults(&chart.svg);
                    assert!(
                        faults.is_empty(),
                        "{} of {stops} stops, {seasons} seasons, {limits} limits: {faults:?}",
                        chart.id
                    );
                    checked += texts;
                }
            }
        }
    }
    assert!(checked > 5000, "{checked}");
}

#[test]
fn the_check_of_texts_notices_what_it_is_for() {
    let page = |texts: &str| format!("<svg viewBox=\"0 0 400 100\">{texts}</svg>");
    let text = |x: i32, y: i32, text: &str| {
        format!("<text x=\"{x}\" y=\"{y}\" text-anchor=\"start\" font-size=\"24\">\n{text}\n</text>")
    };
    let faults = |texts: &str| svg_texts::faults(&page(texts)).1.len();
    assert_eq!(faults(&format!("{}{}", text(10, 20, "abc"), text(10, 60, "abc"))), 0);
    assert_eq!(faults(&format!("{}{}", text(10, 20, "abc"), text(30, 22, "abc"))), 1);
    assert_eq!(faults(&text(380, 20, "abcdef")), 1);
    // A text that reads upwards is as long as it is high.
    let turned = text(20, 50, "abc").replace("font-size", "transform=\"rotate(270, 20, 50)\" font-size");
    assert_eq!(faults(&format!("{turned}{}", text(8, 90, "a"))), 0);
    assert_eq!(faults(&format!("{turned}{}", text(8, 40, "a"))), 1);
}
