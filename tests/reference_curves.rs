//! The five-parameter curve against an independent exact fit and measured coefficients.
//!
//! Tables under `tests/reference/`; see `reference.rs`.
#![expect(clippy::unwrap_used)]

#[path = "reference/labels.rs"]
mod labels;
#[path = "reference/table.rs"]
mod table;

use dawnvolt::module::{
    Curve, FitQuality, Label, RawLabel, StringCurve, StringPower, Technology, short_circuit,
};
use dawnvolt::units::Celsius;
use labels::{measured_label, percentile, reference_label};
use table::Table;

#[test]
fn e_the_fit_against_an_independent_one() {
    let modules = Table::read("e_modules.csv", 22);
    let grid = Table::read("e_grid.csv", 1980);
    let mut compared = 0;
    for module in modules.rows() {
        let label = reference_label(&module);
        let fit = Curve::fit(&label);
        let whole = module.number("fit_beta_ok") == 1.0;
        if whole {
            assert_eq!(fit.quality, FitQuality::Whole, "{}", label.id);
            let n = module.number("fit_n");
            assert!((fit.ideality / n - 1.0).abs() < 1e-3, "{}: {} {n}", label.id, fit.ideality);
        }
        let parameters = fit.curve.parameters();
        for row in grid.rows().filter(|row| whole && row.text("module") == module.text("module")) {
            let cell = Celsius(row.number("tc"));
            let diode = parameters.by_paper(row.number("g"), cell, module.number("alpha_sc_a_per_k"));
            let top = diode.max_power();
            for (column, found) in [
                ("fit_voc", diode.open_circuit_v()),
                ("fit_isc", diode.short_circuit_a()),
                ("fit_vmp", top.vmp_v),
                ("fit_imp", top.imp_a),
            ] {
                let expected = row.number(column);
                assert!((found / expected - 1.0).abs() < 1e-3, "{}: {found} {expected}", row.at(column));
            }
            compared += 1;
        }
    }
    assert!(compared >= 18 * 90, "{compared}");
}

fn assert_label_is_met(label: &Label) -> FitQuality {
    let fit = Curve::fit(label);
    let slope = label.voc.0 * label.voc_coefficient.per_k();
    // The label's coefficient, by construction.
    for cell in [-40.0, -10.0, 25.0, 70.0] {
        let open = fit.curve.diode(1000.0, Celsius(cell)).open_circuit_v();
        let line = label.voc.0 + slope * (cell - 25.0);
        assert!((open - line).abs() < 1e-7 * line, "{}: {open} {line}", label.id);
    }
    let diode = fit.curve.diode(1000.0, Celsius(25.0));
    let (vmp, imp) = (diode.max_power().vmp_v, diode.max_power().imp_a);
    assert!(vmp.is_finite() && imp.is_finite() && vmp > 0.0 && imp > 0.0, "{}", label.id);
    if fit.quality != FitQuality::Inconsistent {
        let isc = diode.short_circuit_a();
        for (found, expected) in
            [(isc, label.isc.0), (vmp, label.vmp.unwrap().0), (imp, label.imp.unwrap().0)]
        {
            assert!((found / expected - 1.0).abs() < 1e-5, "{}: {found} {expected}", label.id);
        }
    }
    fit.quality
}

#[test]
fn e_every_label_is_met_or_said_to_be_inconsistent() {
    for module in Table::read("e_modules.csv", 22).rows() {
        let label = reference_label(&module);
        assert_ne!(assert_label_is_met(&label), FitQuality::Inconsistent, "{}", label.id);
    }
}

/// Numbers from 0 to 1 in a fixed order (splitmix64 by Steele, Lea & Flood, from memory).
struct Numbers(u64);

impl Numbers {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// A label with the spread of crystalline labels: ranges are the 1st to 99th percentile of 20,946 public ones
/// where known.
fn random_label(numbers: &mut Numbers) -> Option<Label> {
    let cells = [32, 36, 60, 66, 72, 96][numbers.between(0.0, 6.0) as usize];
    let voc_v = f64::from(cells) * numbers.between(0.59, 0.72);
    let isc_a = numbers.between(3.0, 14.0);
    let (volts, amps) = (numbers.between(0.776, 0.847), numbers.between(0.882, 0.970));
    // Fill factor within its own percentiles.
    if !(0.712..=0.799).contains(&(volts * amps)) {
        return None;
    }
    // Rounded as labels are.
    let round = |value: f64, digits: i32| (value * 10_f64.powi(digits)).round() / 10_f64.powi(digits);
    Some(
        Label::read(RawLabel {
            id: format!("invented {cells} cells {voc_v:.2} V"),
            voc_v: round(voc_v, 1),
            isc_a: round(isc_a, 2),
            vmp_v: Some(round(voc_v * volts, 1)),
            imp_a: Some(round(isc_a * amps, 2)),
            cells_in_series: Some(cells),
            technology: Some(Technology::Mono),
            voc_temp_coeff: Some(format!("{:.2} %/K", -numbers.between(0.26, 0.434))),
            isc_temp_coeff: Some(format!("{:.3} %/K", numbers.between(0.004, 0.13))),
            ..RawLabel::default()
        })
        .unwrap(),
    )
}

#[test]
fn nine_hundred_plausible_labels_are_fitted() {
    let mut numbers = Numbers(20_261_124);
    let (mut tried, mut whole, mut inconsistent) = (0, 0, 0);
    while tried < 900 {
        let Some(label) = random_label(&mut numbers) else { continue };
        tried += 1;
        match assert_label_is_met(&label) {
            FitQuality::Whole => whole += 1,
            FitQuality::WithoutCoefficient => {}
            FitQuality::Inconsistent => inconsistent += 1,
        }
    }
    println!("of {tried} labels {whole} are met whole, {inconsistent} agree with no curve");
    assert!(inconsistent * 100 <= tried * 2, "{inconsistent}");
    assert!(whole * 10 >= tried * 6, "{whole}");
}

#[test]
fn volts_and_amps_run_one_way_over_light_and_cell() {
    for module in Table::read("e_modules.csv", 22).rows() {
        let label = reference_label(&module);
        let power = StringPower::fit(std::slice::from_ref(&label));
        let curves =
            [StringCurve::central, StringCurve::worst].map(|make| make(std::slice::from_ref(&label)));
        let mut cell = -40.0;
        while cell <= 90.0 {
            let mut before = 0.0;
            let mut light = 10.0;
            while light <= 1200.0 {
                let at = power.at(light, Celsius(cell)).unwrap();
                assert!(at.vmp.0.is_finite() && at.imp.0.is_finite(), "{}", module.at("power"));
                assert!(at.imp.0 >= before, "{} {light} {cell}", module.at("imp"));
                let warmer = power.at(light, Celsius(cell + 10.0)).unwrap();
                assert!(warmer.vmp.0 <= at.vmp.0 + 1e-9, "{} {light} {cell}", module.at("vmp"));
                for curve in &curves {
                    let volts = |light: f64, cell: f64| curve.volts(light, Celsius(cell)).unwrap().0;
                    assert!(volts(light, cell).is_finite() && volts(light, cell) > 0.0);
                    assert!(volts(light + 17.0, cell) > volts(light, cell));
                    assert!(volts(light, cell + 10.0) < volts(light, cell));
                }
                assert!(at.vmp.0 < curves[0].volts(light, Celsius(cell)).unwrap().0);
                let isc = |cell: f64| short_circuit(&label, light, Celsius(cell)).0;
                assert!(at.imp.0 < isc(cell) && isc(cell) <= isc(cell + 10.0));
                before = at.imp.0;
                light += 17.0;
            }
            cell += 10.0;
        }
    }
}

#[test]
fn f_vmp_and_imp_against_measured_coefficients() {
    let modules = Table::read("f_modules.csv", 11);
    let grid = Table::read("f_grid.csv", 990);
    let mut rows: Vec<Compared> = Vec::new();
    for module in modules.rows() {
        let label = measured_label(&module);
        let power = StringPower::fit(std::slice::from_ref(&label));
        let central = StringCurve::central(std::slice::from_ref(&label));
        for row in grid.rows().filter(|row| row.text("module") == module.text("module")) {
            let (light, cell) = (row.number("ee"), Celsius(row.number("tc")));
            let at = power.at(light, cell).unwrap();
            let open = central.volts(light, cell).unwrap();
            rows.push(Compared {
                technology: label.technology,
                light,
                errors: [
                    open.0 / row.number("voc") - 1.0,
                    at.vmp.0 / row.number("vmp") - 1.0,
                    at.imp.0 / row.number("imp") - 1.0,
                ],
            });
        }
    }
    let table = accuracy_table(&rows);
    let page = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    assert!(
        std::fs::read_to_string(page).unwrap().contains(&table),
        "DEVELOPERS.md, section accuracy, should hold:\n{table}"
    );
    // Against coefficients measured on other modules of the same label, from 400 W/m2 and -40 to 75 C.
    for (index, name, allowed) in [(1, "vmp", 0.04), (2, "imp", 0.05)] {
        let mut errors: Vec<f64> = rows
            .iter()
            .filter(|row| row.technology.is_crystalline() && row.light >= 400.0)
            .map(|row| row.errors[index].abs())
            .collect();
        let found = percentile(&mut errors, 0.95);
        assert!(found <= allowed, "{name}: {found}");
    }
}

/// Errors of one point of the grid: Voc (n = 1.1), Vmp, Imp.
struct Compared {
    technology: Technology,
    light: f64,
    errors: [f64; 3],
}

/// Mean, 95th percentile and worst error by technology, as it stands in DEVELOPERS.md.
fn accuracy_table(rows: &[Compared]) -> String {
    let mut text = "| technology | light W/m2 | quantity | mean % | 95th percentile % | worst % |\n|---|---|---|---|---|---|".to_owned();
    for technology in Technology::ALL {
        for (name, index, from, to) in [
            ("Voc", 0, 400.0, 1e4),
            ("Voc", 0, 200.0, 400.0),
            ("Voc", 0, 10.0, 200.0),
            ("Vmp", 1, 400.0, 1e4),
            ("Imp", 2, 400.0, 1e4),
            ("Imp", 2, 10.0, 400.0),
        ] {
            let signed: Vec<f64> = rows
                .iter()
                .filter(|row| row.technology == technology && (from..to).contains(&row.light))
                .map(|row| row.errors[index] * 100.0)
                .collect();
            let mut sizes: Vec<f64> = signed.iter().map(|error| error.abs()).collect();
            let mean = signed.iter().sum::<f64>() / signed.len() as f64;
            let band = if to > 1e3 { format!("{from} and more") } else { format!("{from} to {to}") };
            let (p95, worst) = (percentile(&mut sizes, 0.95), percentile(&mut sizes, 1.0));
            text.push_str(&format!(
                "\n| {} | {band} | {name} | {mean:+.2} | {p95:.2} | {worst:.2} |",
                technology.word()
            ));
        }
    }
    text
}
