//! Labels out of the reference tables of modules.

use crate::table::Row;
use dawnvolt::module::{Label, RawLabel, Technology};

/// A label of `e_modules.csv`.
pub fn reference_label(row: &Row<'_>) -> Label {
    let technology = match row.text("technology") {
        "Mono-c-Si" => Technology::Mono,
        "Multi-c-Si" => Technology::Poly,
        "CdTe" => Technology::Cdte,
        "Thin Film" if row.text("cls") == "cigs36" => Technology::Cigs,
        "Thin Film" => Technology::ASi,
        other => panic!("technology {other}"),
    };
    Label::read(RawLabel {
        id: row.text("module").to_owned(),
        voc_v: row.number("voc"),
        isc_a: row.number("isc"),
        vmp_v: Some(row.number("vmp")),
        imp_a: Some(row.number("imp")),
        cells_in_series: Some(row.text("cells").parse().unwrap()),
        technology: Some(technology),
        voc_temp_coeff: Some(format!("{} V/K", row.number("beta_voc_v_per_k"))),
        isc_temp_coeff: Some(format!("{} A/K", row.number("alpha_sc_a_per_k"))),
        ..RawLabel::default()
    })
    .unwrap_or_else(|error| panic!("{error}"))
}

/// The label that the measured coefficients of `f_modules.csv` would print.
pub fn measured_label(row: &Row<'_>) -> Label {
    let technology = match row.text("Material") {
        "c-Si" => Technology::Mono,
        "mc-Si" => Technology::Poly,
        "HIT-Si" => Technology::Hjt,
        "CdTe" => Technology::Cdte,
        "CIS" => Technology::Cigs,
        "3-a-Si" => Technology::ASi,
        other => panic!("material {other}"),
    };
    Label::read(RawLabel {
        id: row.text("module").to_owned(),
        voc_v: row.number("Voco"),
        isc_a: row.number("Isco"),
        vmp_v: Some(row.number("Vmpo")),
        imp_a: Some(row.number("Impo")),
        cells_in_series: Some(row.text("Cells_in_Series").parse().unwrap()),
        technology: Some(technology),
        voc_temp_coeff: Some(format!("{} V/K", row.number("Bvoco"))),
        ..RawLabel::default()
    })
    .unwrap_or_else(|error| panic!("{error}"))
}

/// The value below which `share` of the values lie.
pub fn percentile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share).round() as usize]
}
