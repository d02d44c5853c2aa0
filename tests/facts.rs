//! Facts of the trade that any answer must keep to. Common practice, no source, unless a line says otherwise.

use dawnvolt::heat::{self, Mount};
use dawnvolt::module::{self, Label, RawLabel, StringCurve};
use dawnvolt::units::{Celsius, Volts};

/// An ordinary small panel of the 12 V class, 100 W: no maker's, invented within what such labels print.
fn panel(voc_v: f64, coefficient: &str) -> Label {
    Label::read(RawLabel {
        id: "invented 100 W".into(),
        voc_v,
        isc_a: 5.8,
        vmp_v: Some(voc_v * 0.825),
        imp_a: Some(5.4),
        cells_in_series: Some(36),
        voc_temp_coeff: Some(coefficient.into()),
        ..RawLabel::default()
    })
    .unwrap_or_else(|error| panic!("{error}"))
}

fn string(count: usize, voc_v: f64, coefficient: &str) -> Vec<Label> {
    vec![panel(voc_v, coefficient); count]
}

#[test]
fn two_in_series_pass_48_v_when_it_gets_cold() {
    // Labels of 22 to 23 V with usual coefficients: by the code sum somewhere between about +3 and -9 C.
    for (voc, coefficient, low, high) in
        [(22.5, "-0.30 %/K", 2.0, 3.5), (22.0, "-0.30 %/K", -6.0, -4.0), (21.6, "-0.33 %/K", -9.5, -8.0)]
    {
        let reached =
            module::code_reaches(&string(2, voc, coefficient), Volts(48.0)).expect("a coefficient").0;
        assert!((low..=high).contains(&reached), "{voc} V {coefficient}: {reached} C");
    }
    // In sudden sun too: -20 C and 600 W/m2 pass it for the middle label.
    let sudden =
        StringCurve::central(&string(2, 22.5, "-0.30 %/K")).volts(600.0, Celsius(-20.0)).expect("bright");
    assert!(sudden.0 > 48.0, "{sudden}");
}

#[test]
fn three_in_series_pass_48_v_in_every_usable_hour() {
    // At least 50 W/m2 on the plane, air up to 35 C, coefficient -0.33 %/K or flatter, the warmest mount without wind.
    for (voc, coefficient) in [(21.6, "-0.33 %/K"), (22.0, "-0.30 %/K"), (23.0, "-0.28 %/K")] {
        let curve = StringCurve::central(&string(3, voc, coefficient));
        for air in [-30.0, 0.0, 20.0, 35.0] {
            for light in [50.0, 100.0, 200.0, 400.0, 600.0, 800.0, 1000.0] {
                let cell = heat::steady(Mount::Roof, Celsius(air), light, Some(0.0));
                let volts = curve.volts(light, cell).expect("bright enough").0;
                assert!(volts > 48.0, "{voc} V {coefficient}, {light} W/m2, air {air}: {volts} V");
            }
        }
    }
}

#[test]
fn up_to_four_such_panels_stay_below_250_v_everywhere() {
    for count in 1..=4 {
        let worst = StringCurve::worst(&string(count, 24.3, "-0.33 %/K"));
        // Colder than any place with a public record, brighter than any published burst.
        let volts = worst.volts(2200.0, Celsius(-75.0)).expect("bright").0;
        assert!(volts < 250.0, "{count} panels: {volts} V");
    }
}

#[test]
fn one_such_panel_stays_below_30_v_at_minus_40() {
    let volts = module::code_sum(&string(1, 22.5, "-0.30 %/K"), Celsius(-40.0)).volts.0;
    assert!((volts - 26.9).abs() < 0.05, "{volts}");
}

/// An array of invented 100 W panels, 2 in series, with one component.
fn plan_with(component: &str, in_parallel: u32) -> dawnvolt::study::results::Assessment {
    let text = format!(
        "[[module]]\nid = \"p\"\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\ncells_in_series = 36\n\
         voc_temp_coeff = \"-0.30 %/K\"\n[[string]]\nmodules = \"p\"\nin_series = 2\nin_parallel = {in_parallel}\n\
         mount = \"roof\"\n[[component]]\n{component}\n[assumptions]\ncode_temperature = -20\n"
    );
    let path = std::path::Path::new("invented.toml");
    let plan = dawnvolt::plan::read(&text, path, std::path::Path::new("."), &|_| Ok(Vec::new()))
        .unwrap_or_else(|error| panic!("{error}"));
    dawnvolt::study::assess(&plan, &dawnvolt::study::Choice::default())
        .unwrap_or_else(|error| panic!("{error}"))
}

fn verdicts(assessment: &dawnvolt::study::results::Assessment, unit: &str) -> Vec<&'static str> {
    let code = assessment.arrays[0].code_alone.as_ref().expect("a plan without a stop");
    code.limits.iter().filter(|line| line.unit == unit).map(|line| line.verdict.word()).collect()
}

#[test]
fn a_disconnect_of_63_a_on_a_small_array_is_no_fault() {
    // Four strings of 5.8 A: 23.2 A, below 30 A. 1.5625 times that is 36.25 A.
    let assessment = plan_with("kind = \"disconnect\"\nmax_v = 150\nrated_a = 63\npoles_opened = 2", 4);
    assert_eq!(verdicts(&assessment, "A"), ["within"]);
    assert_eq!(verdicts(&assessment, ""), ["within"]);
}

#[test]
fn one_pole_of_an_array_without_earth_is_not_met() {
    let assessment = plan_with("kind = \"disconnect\"\nmax_v = 150\nrated_a = 63\npoles_opened = 1", 1);
    assert_eq!(verdicts(&assessment, ""), ["not-met"]);
    assert_eq!(assessment.verdict.word(), "not-met");
}

#[test]
fn an_alternating_current_rating_alone_is_not_met() {
    let assessment = plan_with("kind = \"switch\"\nmax_v_ac = 250\nrated_a = 16", 1);
    assert_eq!(verdicts(&assessment, ""), ["not-met"]);
}

#[test]
fn connectors_of_30_a_carry_four_such_strings_and_not_five() {
    // Connectors are commonly limited to about 30 A. 4 x 5.8 x 1.25 = 29.0 A; 5 x 5.8 x 1.25 = 36.25 A.
    for (strings, verdict) in [(4, "within"), (5, "exceeded")] {
        let assessment = plan_with("kind = \"connector\"\nrated_a = 30\nmax_v = 1000", strings);
        assert_eq!(verdicts(&assessment, "A"), [verdict], "{strings} strings");
    }
}
