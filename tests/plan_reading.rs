//! Plans that are right: what they are read as, and that no change to their text makes the reader panic.
#![expect(clippy::unwrap_used)]

use dawnvolt::array::{Carries, ComponentKind, Conductor, ControllerType, Heading, Tilt};
use dawnvolt::assumptions::{CodeTemperature, Rules};
use dawnvolt::heat::Mount;
use dawnvolt::plan::{self, Plan};
use dawnvolt::time::MonthDay;
use proptest::prelude::*;
use std::path::{Path, PathBuf};

/// Every key of a plan once; names invented.
const WHOLE: &str = include_str!("plan_reading/whole.toml");

fn read(text: &str) -> Result<Plan, plan::PlanError> {
    plan::read(text, Path::new("plan.toml"), Path::new("van"), &|pattern| {
        Ok(vec![PathBuf::from(pattern.replace('*', "b")), PathBuf::from(pattern.replace('*', "a"))])
    })
}

#[test]
fn a_plan_with_every_key_is_read_as_written() {
    let plan = read(WHOLE).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(plan.title, "Winter loop of the library van");
    assert_eq!(plan.prepared_for.as_deref(), Some("Harbour Lending Library"));
    assert_eq!(plan.date.as_deref(), Some("2031-11-02"));
    let [roof, awning] = plan.arrays.as_slice() else { panic!("{} arrays", plan.arrays.len()) };
    assert_eq!((roof.name.as_str(), roof.modules_in_series(), roof.strings()), ("roof", 3, 2));
    assert_eq!(roof.groups[0].tilt, Tilt::Fixed(0.0));
    assert_eq!(roof.groups[0].heading, Heading::Any);
    assert_eq!(roof.groups[0].mount, Mount::Roof);
    let ids: Vec<&str> = awning.groups[0].modules.iter().map(|label| label.id.as_str()).collect();
    assert_eq!(ids, ["roof100", "roof100", "flex80"]);
    assert_eq!(awning.groups[0].tilt, Tilt::Any);
    assert_eq!(awning.groups[0].heading, Heading::Fixed(180.0));
    assert!(awning.groups[0].snow_ground);
    assert!((roof.groups[0].modules[0].voc_coefficient.per_k() + 0.0030).abs() < 1e-12);

    let names: Vec<&str> = roof.components.iter().map(|component| component.name.as_str()).collect();
    assert_eq!(names, ["roof disconnect", "charge controller", "connector", "cable", "fuse", "cable 2"]);
    let poles = roof.components[0].kind.poles().unwrap();
    assert_eq!((poles.opened, poles.polarised, poles.load_break), (Some(2), Some(false), Some(true)));
    let ComponentKind::Controller { start_above_battery, kind, max_isc, .. } = roof.components[1].kind else {
        panic!("no controller")
    };
    assert_eq!((start_above_battery.0, kind, max_isc.map(|a| a.0)), (5.0, ControllerType::Mppt, Some(35.0)));
    assert_eq!(roof.components[2].carries, Carries::String);
    assert_eq!(roof.components[3].carries, Carries::Array);
    let ComponentKind::Cable { conductor, ambient_c: Some(ambient_c), .. } = roof.components[5].kind else {
        panic!("no cable")
    };
    assert_eq!(conductor, Conductor::Awg(8));
    assert!((ambient_c - 65.0).abs() < 1e-9, "149 F are 65 C: {ambient_c}");
    let battery = roof.battery.unwrap();
    assert!(battery.charge_is_default && (battery.charge.0 - 28.4).abs() < 1e-9, "{battery:?}");

    let [flat, pass, quay] = plan.stops.as_slice() else { panic!("{} stops", plan.stops.len()) };
    let window = flat.window.unwrap();
    assert_eq!(window.arrive, MonthDay { month: 12, day: 20 });
    assert_eq!(window.leave, MonthDay { month: 1, day: 15 });
    assert_eq!(flat.files, [PathBuf::from("weather/flat-a.csv"), PathBuf::from("weather/flat-b.csv")]);
    assert_eq!(flat.published_low.as_ref().unwrap().sd_k, Some(3.4));
    assert_eq!(pass.window.unwrap().arrive, MonthDay { month: 1, day: 16 });
    assert!((pass.elevation_m.unwrap() - 1828.8).abs() < 1e-9, "6000 ft");
    assert_eq!(pass.utc_offset.unwrap().to_string(), "-07:00");
    assert!(quay.columns.as_ref().is_some_and(|columns| columns.time.len() == 5 && columns.decimal == ','));

    assert_eq!(plan.assumptions.code_temperature, CodeTemperature::RecordLow);
    assert_eq!(plan.assumptions.rules, Rules::Nec2023);
    assert!(plan.notes.iter().any(|note| note.text.contains("Quay")), "{:?}", plan.notes);
}

#[test]
fn what_is_assumed_is_said_with_value_unit_and_reason() {
    let plan = read(WHOLE).unwrap();
    for assumption in &plan.stated {
        assert!(!assumption.name.is_empty() && !assumption.value.is_empty() && !assumption.why.is_empty());
    }
    let value = |name: &str| {
        let found = plan.stated.iter().find(|assumption| assumption.name == name);
        found.map(|assumption| format!("{} {}", assumption.value, assumption.unit)).unwrap_or_default()
    };
    assert_eq!(value("label tolerance of roof100"), "3.0 %");
    assert_eq!(value("largest circuit current"), "1.25 x Isc");
    assert_eq!(value("night cooling, mount roof"), "4.0 K");
    assert_eq!(value("battery charge volts, roof"), "28.4 V");
    assert_eq!(value("level that decides"), "20 years");
    assert_eq!(value("ground reflectance"), "0.2 (0.8 where snow_ground is set) ");
}

#[test]
fn little_is_needed_for_code_answers_alone() {
    let plan = read(
        "module = [{ id = 'a', voc_v = 22.5, isc_a = 5.8 }]\nstring = [{ modules = 'a', in_series = 2, mount = 'roof' }]\n\
         assumptions = { code_temperature = -20 }\n",
    )
    .unwrap();
    assert_eq!((plan.arrays[0].name.as_str(), plan.stops.len()), ("array", 0));
    assert_eq!(plan.title, "van", "the folder's name");
}

#[test]
fn a_coordinate_or_a_station_column_may_stand_alone() {
    // the other may be in the weather file
    let alone = WHOLE.replace("longitude_deg = -112.5\n", "").replace("station = \"EWR\"\n", "");
    let plan = read(&alone).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!((plan.stops[0].latitude_deg, plan.stops[0].longitude_deg), (Some(46.2), None));
}

#[test]
fn a_code_temperature_that_is_no_extreme_is_remarked_on() {
    let remarks = |text: &str| {
        read(text).unwrap().notes.iter().filter(|note| note.text.contains("code_temperature")).count()
    };
    assert_eq!(remarks(WHOLE), 0);
    let fahrenheit = WHOLE.replace("code_temperature = -24", "code_temperature = 14");
    assert_eq!(remarks(&fahrenheit.replace("\"record-low\"", "8")), 2);
}

#[test]
fn a_plan_of_absurd_size_is_refused_at_once() {
    let string = "[[string]]\nmodules = 'a'\n";
    let long = format!("[[module]]\nid = 'a'\nvoc_v = 22.5\nisc_a = 5.8\n{}", string.repeat(20_000));
    let error = read(&long).unwrap_err().to_string();
    assert!(error.contains("20000 [[string]] tables; expected at most 500"), "{error}");
    for junk in ["x\n".repeat(300_000), "[".repeat(200_000), "a = [".repeat(50_000), "= \"\n".repeat(100_000)]
    {
        assert!(read(&junk).is_err());
    }
}

#[test]
fn marks_and_line_ends_of_windows_change_nothing() {
    let plain = read(WHOLE).unwrap();
    let windows = read(&format!("\u{feff}{}", WHOLE.replace('\n', "\r\n"))).unwrap();
    assert_eq!((plain.arrays, plain.stops), (windows.arrays, windows.stops));
    let tabs = read(&WHOLE.replace(" = ", "\t=\t")).unwrap();
    assert_eq!(plain.stated, tabs.stated);
}

#[test]
fn weather_files_come_sorted_and_only_once() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("odd [1] names")).unwrap();
    for name in ["b.csv", "a.csv", "c[1].csv"] {
        std::fs::write(folder.path().join("odd [1] names").join(name), "").unwrap();
    }
    let at = folder.path().join("odd [1] names/plan.toml");
    let text = "[[module]]\nid = 'a'\nvoc_v = 22.5\nisc_a = 5.8\n[[string]]\nmodules = ['a']\nmount = 'gap'\n\
                [[stop]]\nplace = 'x'\nweather = ['c[1].csv', '?.csv', 'a.csv']\n";
    std::fs::write(&at, text).unwrap();
    let plan = plan::load(&at).unwrap_or_else(|error| panic!("{error}"));
    let names: Vec<String> = plan.stops[0]
        .files
        .iter()
        .map(|path| path.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    assert_eq!(names, ["a.csv", "b.csv", "c[1].csv"]);
}

/// Pieces that people and broken disks put into a plan.
const PIECES: [&str; 24] = [
    "\"",
    "'",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    "\n",
    "\r",
    "\t",
    "#",
    "\\",
    "“",
    "−",
    "\u{a0}",
    "é",
    "\0",
    "1e999",
    "\"\"\"",
    "[[module]]\n",
    "a.b.c = 1\n",
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 512, ..ProptestConfig::default() })]
    #[test]
    fn no_change_of_a_plan_makes_the_reader_panic(
        changes in proptest::collection::vec((0..WHOLE.len(), 0usize..30, 0..PIECES.len()), 1..6)
    ) {
        let mut text: Vec<char> = WHOLE.chars().collect();
        for (at, cut, piece) in changes {
            let at = at.min(text.len());
            let end = (at + cut).min(text.len());
            text.splice(at..end, PIECES[piece].chars());
        }
        let text: String = text.into_iter().collect();
        if let Err(error) = read(&text) {
            let message = error.to_string();
            prop_assert!(message.starts_with("plan.toml"));
            prop_assert!(!message.chars().any(|c| c.is_control() && c != '\n'), "{message:?}");
        }
    }

    #[test]
    fn any_bytes_at_all_get_an_answer(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let _ = plan::from_text(&bytes, Path::new("-"), Path::new("."));
    }
}
