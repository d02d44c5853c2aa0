//! `meter`: what a meter should read, whether a reading fits, and many rows. Vehicle and readings are invented.
#![expect(clippy::unwrap_used)]

use dawnvolt::plan::{self, Plan};
use dawnvolt::report;
use dawnvolt::study::Choice;
use dawnvolt::study::meter::{self, Fit, Moment, Outdoors, Reading, SkyWord};
use std::path::Path;

const LABEL: &str = "[[module]]\nid = \"roof100\"\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\ncells_in_series = 36\n\
                     technology = \"mono\"\nvoc_temp_coeff = \"-0.30 %/K\"\nisc_temp_coeff = \"0.05 %/K\"\n";

fn plan_of(text: &str) -> Plan {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/plans");
    plan::from_text(text.as_bytes(), Path::new("plan.toml"), &folder)
        .unwrap_or_else(|error| panic!("{error}"))
}

/// A plan without stops.
fn string_of(panels: u32, mount: &str) -> Plan {
    plan_of(&format!("{LABEL}[[string]]\nmodules = \"roof100\"\nin_series = {panels}\nmount = \"{mount}\"\n"))
}

fn measured(plan: &Plan, irradiance_w_m2: f64, cell_c: f64, reading: Reading) -> meter::StringMeter {
    let moment = Moment::Measured { irradiance_w_m2, cell_c };
    meter::meter(plan, &Choice::default(), moment, reading).unwrap().strings.remove(0)
}

fn volts(value: f64) -> Reading {
    Reading { volts: Some(value), amps: None }
}

#[test]
fn dim_light_lowers_the_volts_as_the_trade_has_them() {
    // Voc of a 36-cell, 22.5 V panel at 25 C (common practice, worked with n = 1.1; no source): W/m2, V.
    for (light, expected) in [
        (1000.0, 22.5),
        (500.0, 21.8),
        (200.0, 20.9),
        (100.0, 20.2),
        (50.0, 19.5),
        (20.0, 18.5),
        (10.0, 17.8),
    ] {
        let found = measured(&string_of(1, "roof"), light, 25.0, Reading::default());
        assert!((found.voc_v.unwrap() - expected).abs() < 0.06, "{light}: {found:?}");
        assert!((found.isc_a.unwrap() - 5.8 * light / 1000.0).abs() < 1e-12);
    }
    let found = measured(&string_of(3, "roof"), 1000.0, 25.0, Reading::default());
    assert!((found.voc_v.unwrap() - 67.5).abs() < 1e-9);
    assert!((found.voc_worst_case_v.unwrap() - 67.5 * 1.03).abs() < 1e-9);
    // Vmp and Imp of the label, through the fitted curve.
    assert!((found.vmp_v.unwrap() - 3.0 * 18.6).abs() < 0.01 && (found.imp_a.unwrap() - 5.38).abs() < 0.003);
}

/// 10 to 1200 W/m2 and -40 to 90 C: finite, monotone in both, zero in the dark.
#[test]
fn a_grid_of_rows_is_finite_and_monotone_and_dark_is_zero() {
    let plan = string_of(2, "roof");
    let lights: Vec<f64> = (0..=120).map(|n| f64::from(n) * 10.0).collect();
    let cells: Vec<f64> = (-8..=18).map(|n| f64::from(n) * 5.0).collect();
    let mut text = String::from("irradiance_w_m2,cell_c\n");
    for light in &lights {
        for cell in &cells {
            text.push_str(&format!("{light},{cell}\n"));
        }
    }
    let rows = meter::rows(&plan, &Choice::default(), "grid.csv", &text).unwrap().rows;
    assert_eq!(rows.len(), lights.len() * cells.len());
    let at = |light: usize, cell: usize| &rows[light * cells.len() + cell];
    for light in 0..lights.len() {
        for cell in 0..cells.len() {
            let row = at(light, cell);
            let all = [row.voc_v, row.voc_worst_case_v, row.isc_a, row.vmp_v, row.imp_a].map(Option::unwrap);
            assert!(all.iter().all(|value| value.is_finite() && *value >= 0.0), "{row:?}");
            if light == 0 {
                assert!(all.iter().all(|value| *value == 0.0), "{row:?}");
                continue;
            }
            assert!(
                row.voc_worst_case_v >= row.voc_v && row.voc_v > row.vmp_v && row.isc_a > row.imp_a,
                "{row:?}"
            );
            let before = at(light - 1, cell);
            assert!(row.voc_v > before.voc_v && row.voc_worst_case_v > before.voc_worst_case_v, "{row:?}");
            assert!(row.isc_a > before.isc_a && row.imp_a > before.imp_a, "{row:?}");
            if cell > 0 {
                let colder = at(light, cell - 1);
                assert!(
                    row.voc_v < colder.voc_v && row.voc_worst_case_v < colder.voc_worst_case_v,
                    "{row:?}"
                );
                assert!(row.vmp_v < colder.vmp_v && row.isc_a > colder.isc_a, "{row:?}");
            }
        }
    }
}

#[test]
fn rows_keep_their_columns_and_name_what_is_wrong() {
    let plan = string_of(3, "frame");
    let choice = Choice::default();
    let text = "when,irradiance_w_m2,air_c,read_v\n9:00,640,-4,69.1\n9:05,5,-4,\n9:10,0,-4,0\n";
    let rows = meter::rows(&plan, &choice, "readings.csv", text).unwrap();
    let csv = report::meter_csv(&rows);
    let lines: Vec<&str> = csv.lines().collect();
    assert_eq!(lines[0], "when,irradiance_w_m2,air_c,read_v,voc_v,voc_worst_case_v,isc_a,vmp_v,imp_a");
    assert!(lines[1].starts_with("9:00,640,-4,69.1,"), "{}", lines[1]);
    assert_eq!(lines[2], "9:05,5,-4,,,,,,", "lit but below 10 W/m2: empty, never dead");
    assert_eq!(lines[3], "9:10,0,-4,0,0.0000,0.0000,0.0000,0.0000,0.0000");
    // Frame, 1 m/s [FAIMAN2008]: -4 + 640 / 31.84 = 16.10 C.
    assert!((rows.rows[0].cell_c - 16.1005).abs() < 1e-3, "{}", rows.rows[0].cell_c);
    let fault = |text: &str| meter::rows(&plan, &choice, "readings.csv", text).unwrap_err().to_string();
    for (text, said) in [
        ("light,cell_c\n1,2\n", "a column irradiance_w_m2"),
        ("irradiance_w_m2\n1\n", "a column cell_c or air_c"),
        ("irradiance_w_m2,cell_c\n640,warm\n", "line 2: found \"warm\" under cell_c"),
        ("irradiance_w_m2,cell_c\n640,20\n-3,20\n", "line 3"),
        ("irradiance_w_m2,cell_c\n640\n", "line 2"),
        ("irradiance_w_m2,cell_c\n640,NaN\n", "line 2"),
    ] {
        assert!(fault(text).contains(said), "{}", fault(text));
    }
}

#[test]
fn a_good_reading_supports_its_label() {
    // A panel of 23.0 V and not 22.5: at 820 W/m2 and 34 C three of them in series give, by hand,
    // 3 (23.0 (1 - 0.003 x 9) + 36 x 1.1 x 8.617333262e-5 x 307.15 x ln 0.82) = 66.5129 V.
    let by_hand = 3.0 * (23.0 * (1.0 - 0.003 * 9.0) + 36.0 * 1.1 * 8.617_333_262e-5 * 307.15 * 0.82_f64.ln());
    let found = measured(&string_of(3, "roof"), 820.0, 34.0, volts(by_hand)).reading.unwrap();
    assert_eq!(found.volts, Some(Fit::Fits));
    let [support] = &found.supports[..] else { panic!("{found:?}") };
    assert_eq!(support.module, "roof100");
    assert!((support.voc_v - 23.0).abs() <= 0.011, "{support:?}");
    assert!((1.0..4.0).contains(&support.voc_tolerance_percent), "{support:?}");
    // Its two lines are a label that a plan can hold, and the reading then fits in the middle.
    let lines = LABEL.replace("voc_v = 22.5", &support.plan_lines);
    let again =
        plan_of(&format!("{lines}[[string]]\nmodules = \"roof100\"\nin_series = 3\nmount = \"roof\"\n"));
    let expected = measured(&again, 820.0, 34.0, Reading::default()).voc_v.unwrap();
    assert!((expected / by_hand - 1.0).abs() < 1e-3);
    // Little light supports nothing.
    let dim = measured(&string_of(3, "roof"), 150.0, 10.0, volts(65.0)).reading.unwrap();
    assert!(dim.supports.is_empty(), "{dim:?}");
}

#[test]
fn a_bad_reading_says_what_it_may_be() {
    let plan = string_of(3, "roof");
    let expected = measured(&plan, 800.0, 30.0, Reading::default()).voc_v.unwrap();
    let said = |share: f64| {
        let reading = measured(&plan, 800.0, 30.0, volts(expected * share)).reading.unwrap();
        // Only what this string's panels can give, and too much of it, says something about their label.
        assert_eq!(reading.supports.is_empty(), !(1.0..1.1).contains(&share));
        (reading.volts.unwrap(), reading.sentences.join(" "))
    };
    assert_eq!(said(1.0).0, Fit::Fits);
    let (fit, text) = said(2.0 / 3.0);
    assert!(fit == Fit::Low && text.contains("about 2 of 3 panels"), "{text}");
    let (fit, text) = said(4.0 / 3.0);
    assert!(fit == Fit::High && text.contains("about 4 panels"), "{text}");
    let (fit, text) = said(0.0);
    assert!(fit == Fit::Low && text.contains("blown fuse"), "{text}");
    assert!(said(1.08).1.contains("stronger than its label") && said(0.9).1.contains("no proof"));
    let amps = Reading { volts: None, amps: Some(2.9) };
    let found = measured(&plan, 800.0, 25.0, amps).reading.unwrap();
    assert_eq!(found.amps, Some(Fit::Low));
    assert!((found.light_by_amps_w_m2.unwrap() - 500.0).abs() < 1e-9);
}

#[test]
fn place_time_air_and_a_word_for_the_sky() {
    let plan = plan_of(include_str!("plans/chicago.toml"));
    let ask = |at: &str, sky: SkyWord| {
        let outdoors = Outdoors { at, air_c: -8.0, sky };
        meter::meter_outdoors(&plan, &Choice::default(), &outdoors, Reading::default())
            .unwrap()
            .strings
            .remove(0)
    };
    // Solar noon of the solstice at 41.995 N: 24.6 deg. A clear sky gives 400 to 480 W/m2 on the flat there (two
    // clear-sky models of the literature; [HAURWITZ1945]: 1098 x 0.416 x exp(-0.059 / 0.416) = 397).
    let clear = ask("2031-12-21T17:50Z", SkyWord::Clear);
    let light = clear.conditions.irradiance_w_m2;
    assert!((380.0..480.0).contains(&light.expected), "{light:?}");
    assert!(clear.conditions.from.contains("24.6 degrees"), "{}", clear.conditions.from);
    let hazy = ask("2031-12-21T17:50Z", SkyWord::Hazy).conditions.irradiance_w_m2;
    let overcast = ask("2031-12-21T17:50Z", SkyWord::Overcast).conditions.irradiance_w_m2;
    assert!(light.expected > hazy.expected && hazy.expected > overcast.expected);
    // [KASTEN1980]: a closed cover leaves a quarter.
    assert!((overcast.expected / light.expected - 0.25).abs() < 1e-9);
    for spread in [light, hazy, overcast] {
        assert!(spread.low < spread.expected && spread.expected < spread.high);
    }
    // The place's own clock, and night.
    assert_eq!(ask("2031-12-21 11:50", SkyWord::Clear).conditions.irradiance_w_m2, light);
    let night = ask("2031-12-21 23:50", SkyWord::Clear);
    assert_eq!((night.voc_v, night.isc_a), (Some(0.0), Some(0.0)));
}

#[test]
fn what_cannot_be_meant_is_refused() {
    let plan = string_of(2, "roof");
    let fault = |irradiance_w_m2: f64, cell_c: f64, reading: Reading| {
        let moment = Moment::Measured { irradiance_w_m2, cell_c };
        meter::meter(&plan, &Choice::default(), moment, reading).unwrap_err().to_string()
    };
    assert!(fault(-1.0, 20.0, Reading::default()).contains("--irradiance: found -1"));
    assert!(fault(f64::NAN, 20.0, Reading::default()).contains("--irradiance"));
    assert!(fault(800.0, 900.0, Reading::default()).contains("--cell"));
    assert!(fault(800.0, 20.0, volts(f64::INFINITY)).contains("--read-v"));
}

/// Three panels of 27.1 V and 36 cells, so 0.753 V a cell, in a plan whose stop is Chicago.
fn strong_string() -> Plan {
    let text = include_str!("plans/chicago.toml").replace("voc_v = 22.5", "voc_v = 27.1");
    plan_of(&text.replace("-0.30 %/K", "-0.26 %/K").replace("in_series = 2", "in_series = 3"))
}

/// The label behind a reading of three panels of 36 cells, by hand: the light's term taken off, then the cold.
fn label_behind(volts: f64, per_k: f64, light: f64, cell_c: f64) -> f64 {
    let term = 36.0 * 1.1 * 8.617_333_262e-5 * (cell_c + 273.15) * (light / 1000.0).ln();
    (volts / 3.0 - term) / (1.0 - per_k * (cell_c - 25.0))
}

fn said(answer: &meter::MeterAnswer) -> (meter::ReadingAnswer, String) {
    let text = report::meter(answer, &report::text::TextOptions::default());
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    (answer.strings[0].reading.clone().unwrap(), text)
}

#[test]
fn a_label_is_supported_only_where_light_and_cell_were_measured() {
    let plan = strong_string();
    let reading = Reading { volts: Some(86.0), amps: Some(2.5) };
    let at = Outdoors { at: "2026-11-28 12:00", air_c: -5.0, sky: SkyWord::Clear };
    let (found, text) = said(&meter::meter_outdoors(&plan, &Choice::default(), &at, reading).unwrap());
    assert_eq!((found.volts, found.amps), (Some(Fit::Fits), Some(Fit::Fits)));
    assert!(found.supports.is_empty() && !text.contains("voc_v ="), "{text}");
    assert!(text.contains("light and cell measured (--irradiance and --cell)"), "{text}");
    let air = Moment::AirMeasured { irradiance_w_m2: 640.0, air_c: 0.0 };
    let (found, text) = said(&meter::meter(&plan, &Choice::default(), air, volts(84.0)).unwrap());
    assert_eq!(found.volts, Some(Fit::Fits));
    assert!(found.supports.is_empty() && text.contains("the cell measured too (--cell)"), "{text}");
    assert!(!text.contains("voc_v =") && !text.contains("printed here"), "{text}");
}

#[test]
fn a_reading_above_its_range_names_the_label_or_says_why_no_plan_takes_it() {
    let cold = Moment::Measured { irradiance_w_m2: 640.0, cell_c: 5.0 };
    let ask =
        |plan: &Plan, read: f64| said(&meter::meter(plan, &Choice::default(), cold, volts(read)).unwrap());
    // 92 V: 29.55 V a panel and 0.82 V a cell, where a plan takes 0.78 at most.
    let by_hand = label_behind(92.0, 0.0026, 640.0, 5.0);
    assert!((by_hand - 29.55).abs() < 0.01 && (by_hand / 36.0 - 0.82).abs() < 0.005);
    let (found, text) = ask(&strong_string(), 92.0);
    assert!(found.volts == Some(Fit::High) && found.supports.is_empty(), "{found:?}");
    for part in ["voc_v = 29.55", "0.82 V a cell", "expected 0.54 to 0.78", "count of panels"] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(!text.contains("voc_tolerance_percent") && !text.contains("Assess with the higher value"));
    // A panel of 24.0 V behind a label of 22.5: above what 3 % and the meter's errors allow, 0.667 V a cell.
    let strong = 3.0 * 24.0 * 1.06 + 3.0 * 36.0 * 1.1 * 8.617_333_262e-5 * 278.15 * 0.64_f64.ln();
    let (found, text) = ask(&string_of(3, "roof"), strong);
    assert_eq!(found.volts, Some(Fit::High));
    let [support] = &found.supports[..] else { panic!("{found:?}") };
    assert!(support.raises && (support.voc_v - 24.0).abs() <= 0.011, "{support:?}");
    assert!(text.contains("voc_v = 24.00") && text.contains("of one panel: assess with them"), "{text}");
    let again = LABEL.replace("voc_v = 22.5", &support.plan_lines);
    let again =
        plan_of(&format!("{again}[[string]]\nmodules = \"roof100\"\nin_series = 3\nmount = \"roof\"\n"));
    assert_eq!(ask(&again, strong).0.volts, Some(Fit::Fits));
}

/// Whatever is read: lines that are printed make a plan, and where none are printed for a label that they would make, the
/// reader does refuse it.
#[test]
fn lines_to_paste_are_lines_that_a_plan_takes() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/plans");
    let base = include_str!("plans/chicago.toml").replace("in_series = 2", "in_series = 3");
    let (mut taken, mut refused) = (0, 0);
    for (voc, coefficient) in [("27.1", "-0.26 %/K"), ("22.5", "-46 mV/K"), ("20.0", "-0.30 %/K")] {
        let label = base.replace("voc_v = 22.5", &format!("voc_v = {voc}")).replace("-0.30 %/K", coefficient);
        let plan = plan_of(&label);
        let expected = measured(&plan, 640.0, 5.0, Reading::default()).voc_v.unwrap();
        for step in 0..=26 {
            let read = expected * (0.9 + f64::from(step) * 0.01);
            let found = measured(&plan, 640.0, 5.0, volts(read)).reading.unwrap();
            let text = found.sentences.join(" ");
            let lines = match (&found.supports[..], text.split_once("would have voc_v = ")) {
                ([support], None) => support.plan_lines.clone(),
                ([], Some((_, rest))) => format!("voc_v = {}", rest.split(',').next().unwrap()),
                ([], None) => continue,
                other => panic!("{other:?}"),
            };
            let pasted = label.replace(&format!("voc_v = {voc}"), &lines);
            let read = plan::from_text(pasted.as_bytes(), Path::new("plan.toml"), &folder);
            assert_eq!(read.is_ok(), !found.supports.is_empty(), "{pasted}\n{text}");
            if read.is_ok() { taken += 1 } else { refused += 1 }
        }
    }
    assert!(taken > 20 && refused > 10, "{taken} {refused}");
}

#[test]
fn amps_that_contradict_the_light_come_first_and_no_label_follows() {
    let plan = strong_string();
    let ask = |read_a: f64| {
        let cold = Moment::Measured { irradiance_w_m2: 640.0, cell_c: 5.0 };
        let reading = Reading { volts: Some(86.0), amps: Some(read_a) };
        said(&meter::meter(&plan, &Choice::default(), cold, reading).unwrap())
    };
    // Isc 5.8 A and 0.05 %/K, cells at 5 C: 5.742 A a full sun, so 2 A are 348 W/m2 and 3.675 A are 640.
    for (amps, by_amps) in [(2.0, "348 W/m2"), (5.0, "871 W/m2")] {
        let (found, text) = ask(amps);
        assert!(matches!(found.amps, Some(Fit::Low | Fit::High)) && found.volts == Some(Fit::NotJudged));
        assert!(found.sentences[0].starts_with("the amps contradict the light"), "{found:?}");
        assert!(found.sentences[0].contains(by_amps) && text.matches(by_amps).count() == 1, "{text}");
        assert!(found.supports.is_empty() && !text.contains("V fits") && !text.contains("voc_v ="), "{text}");
    }
    let (found, text) = ask(3.7);
    assert_eq!((found.volts, found.amps, found.supports.len()), (Some(Fit::Fits), Some(Fit::Fits), 1));
    assert!(text.contains("voc_v =") && !text.contains("contradict"), "{text}");
    // A string of a panel too many stays one, whatever the light.
    let cold = Moment::Measured { irradiance_w_m2: 640.0, cell_c: 5.0 };
    let reading = Reading { volts: Some(112.0), amps: Some(2.0) };
    let (found, text) = said(&meter::meter(&plan, &Choice::default(), cold, reading).unwrap());
    assert!(found.volts == Some(Fit::High) && text.contains("about 4 panels"), "{text}");
}

#[test]
fn a_label_that_stays_is_not_said_to_be_printed() {
    let cold = Moment::Measured { irradiance_w_m2: 640.0, cell_c: 5.0 };
    let (found, text) = said(&meter::meter(&strong_string(), &Choice::default(), cold, volts(82.0)).unwrap());
    assert!(found.supports.iter().all(|support| !support.raises) && !found.supports.is_empty());
    assert!(!text.contains("printed here") && text.contains("Keep the label's values"), "{text}");
}
