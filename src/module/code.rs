//! The hand sum that codes ask for.

use crate::module::{Label, VocCoefficient};
use crate::units::{Celsius, Volts};
use serde::Serialize;

/// What a code sum rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CodeBasis {
    /// The labels' coefficients.
    Coefficient,
    /// The crystalline table of voltage factors, for a label without a coefficient.
    Table,
    /// The stated bound of the technology, where label and table are silent or the bound lies higher.
    Bound,
}

/// The code sum of one string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CodeSum {
    /// Volts of the string.
    pub volts: Volts,
    /// What they rest on; of a mixed string the weakest basis.
    pub basis: CodeBasis,
    /// The same string by the crystalline table alone, where every panel is crystalline and the table has a row.
    pub table: Option<Volts>,
    /// `volts` over the sum of the labels.
    pub factor: f64,
}

/// Rows of Table 690.7(A): down to this air temperature (C), this factor. [NEC690.7]
const TABLE: [(f64, f64); 13] = [
    (20.0, 1.02),
    (15.0, 1.04),
    (10.0, 1.06),
    (5.0, 1.08),
    (0.0, 1.10),
    (-5.0, 1.12),
    (-10.0, 1.14),
    (-15.0, 1.16),
    (-20.0, 1.18),
    (-25.0, 1.20),
    (-30.0, 1.21),
    (-35.0, 1.23),
    (-40.0, 1.25),
];

/// Air temperature at which the table begins, C, excluded.
const TABLE_BEGINS_C: f64 = 25.0;

/// Factor of the crystalline table for the lowest expected air temperature [NEC690.7].
///
/// Between the whole degrees of two rows the colder row counts. `None` from 25 C up and below -40 C, where the
/// table has no row.
#[must_use]
pub fn table_factor(air: Celsius) -> Option<f64> {
    if air.0 >= TABLE_BEGINS_C {
        return None;
    }
    TABLE.iter().find(|(down_to, _)| air.0 >= *down_to).map(|(_, factor)| *factor)
}

/// The code sum of panels in series at the lowest expected air temperature: V (1 + beta (T - 25)) with the
/// label's coefficient.
///
/// Where a crystalline label has none, the larger of the table's factor and the bound of -0.40 %/K; a thin-film
/// label without one takes its bound. The two are never both applied. No tolerance, no sky cooling.
#[must_use]
pub fn code_sum(modules: &[Label], air: Celsius) -> CodeSum {
    let mut sum = 0.0;
    let mut labels = 0.0;
    let mut basis = CodeBasis::Coefficient;
    for module in modules {
        let straight = 1.0 + module.voc_coefficient.per_k() * (air.0 - 25.0);
        let (factor, rests_on) = match module.voc_coefficient {
            VocCoefficient::Printed(_) => (straight, CodeBasis::Coefficient),
            VocCoefficient::Bound(_) => match table_factor(air) {
                Some(factor) if module.technology.is_crystalline() && factor >= straight - 1e-9 => {
                    (factor, CodeBasis::Table)
                }
                _ => (straight, CodeBasis::Bound),
            },
        };
        sum += module.voc.0 * factor;
        labels += module.voc.0;
        basis = match (basis, rests_on) {
            (CodeBasis::Bound, _) | (_, CodeBasis::Bound) => CodeBasis::Bound,
            (CodeBasis::Table, _) | (_, CodeBasis::Table) => CodeBasis::Table,
            (CodeBasis::Coefficient, CodeBasis::Coefficient) => CodeBasis::Coefficient,
        };
    }
    let crystalline = modules.iter().all(|module| module.technology.is_crystalline());
    CodeSum {
        volts: Volts(sum),
        basis,
        table: table_factor(air).filter(|_| crystalline).map(|factor| Volts(labels * factor)),
        factor: if labels > 0.0 { sum / labels } else { 1.0 },
    }
}

/// Cell temperature at which one string meets `volts` in full sun, as labelled: the straight line of the labels'
/// coefficients, or of their stated bounds.
///
/// `None` where the labels sum to nothing.
#[must_use]
pub fn code_reaches(modules: &[Label], volts: Volts) -> Option<Celsius> {
    let labels: f64 = modules.iter().map(|module| module.voc.0).sum();
    let per_k: f64 = modules.iter().map(|module| module.voc.0 * module.voc_coefficient.per_k()).sum();
    (per_k < 0.0).then(|| Celsius(25.0 + (volts.0 - labels) / per_k))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::module::{RawLabel, Technology};

    fn label(voc_v: f64, coefficient: Option<&str>) -> Label {
        Label::read(RawLabel {
            id: "invented".to_owned(),
            voc_v,
            isc_a: 6.0,
            voc_temp_coeff: coefficient.map(str::to_owned),
            ..RawLabel::default()
        })
        .unwrap()
    }

    /// Rows of Table 690.7(A) as NEC 2023 prints them, in whole degrees: the first and the last air temperature of each.
    #[test]
    fn the_rows_of_the_table() {
        for (first, last, factor) in [
            (24.0, 20.0, 1.02),
            (19.0, 15.0, 1.04),
            (14.0, 10.0, 1.06),
            (9.0, 5.0, 1.08),
            (4.0, 0.0, 1.10),
            (-1.0, -5.0, 1.12),
            (-6.0, -10.0, 1.14),
            (-11.0, -15.0, 1.16),
            (-16.0, -20.0, 1.18),
            (-21.0, -25.0, 1.20),
            (-26.0, -30.0, 1.21),
            (-31.0, -35.0, 1.23),
            (-36.0, -40.0, 1.25),
        ] {
            assert_eq!(table_factor(Celsius(first)), Some(factor), "{first}");
            assert_eq!(table_factor(Celsius(last)), Some(factor), "{last}");
        }
        assert_eq!((table_factor(Celsius(25.0)), table_factor(Celsius(-41.0))), (None, None));
    }

    /// Published worked examples: 49.5 V, -0.27 %/K, -10 C: 54.18 V. Two panels of 38.9 V at -20 C by the table: 91.8 V.
    /// And by hand: three of 22.3 V, -0.31 %/K, -20 C: 76.23255 V.
    #[test]
    fn worked_examples() {
        let one = code_sum(&[label(49.5, Some("-0.27 %/K"))], Celsius(-10.0));
        assert!((one.volts.0 - 54.18).abs() < 0.005 && one.basis == CodeBasis::Coefficient);
        let two = code_sum(&[label(38.9, None), label(38.9, None)], Celsius(-20.0));
        assert!((two.volts.0 - 91.8).abs() < 0.01, "{two:?}");
        assert_eq!((two.basis, two.table), (CodeBasis::Table, Some(two.volts)));
        assert!((two.factor - 1.18).abs() < 1e-12);
        let string = vec![label(22.3, Some("-0.31 %/K")); 3];
        let three = code_sum(&string, Celsius(-20.0));
        assert!((three.volts.0 - 76.232_55).abs() < 1e-9 && (three.factor - 1.1395).abs() < 1e-12);
        // And back: the air at which the string reaches that.
        assert!((code_reaches(&string, three.volts).unwrap().0 + 20.0).abs() < 1e-9);
    }

    #[test]
    fn no_panels_and_no_table() {
        assert_eq!((code_sum(&[], Celsius(0.0)).factor, code_reaches(&[], Volts(48.0))), (1.0, None));
        let film = Label { technology: Technology::Cdte, ..label(60.0, None) };
        assert_eq!(code_sum(std::slice::from_ref(&film), Celsius(0.0)).basis, CodeBasis::Bound);
        assert_eq!(code_sum(&[film], Celsius(0.0)).table, None);
        // Colder than the table: the bound of -0.40 %/K, 1 + 0.004 x 70.
        assert!((code_sum(&[label(40.0, None)], Celsius(-45.0)).factor - 1.28).abs() < 1e-12);
    }
}
