//! Panels and strings that do not belong together.

use super::ask;
use crate::array::{Array, StringGroup};
use crate::module::{Label, VocCoefficient};
use crate::note::Note;

/// Difference that is worth a remark, as a share; the trade keeps parallel strings within 5 % (common practice, no
/// source).
const NOTABLE: f64 = 0.05;
/// Label volts that are a nominal name and no open-circuit voltage.
const NOMINAL_V: [f64; 5] = [6.0, 12.0, 18.0, 24.0, 36.0];
/// Coefficient of Voc from which one may think of the coefficient of power, fraction per kelvin: crystalline power falls by
/// 0.34 to 0.5 %/K, Voc by 0.24 to 0.35, of old panels by up to 0.44 (common practice, no source).
const LIKE_POWER_PER_K: f64 = -0.0038;
/// Working volts of 36-cell panels, where an open-circuit voltage of 36 cells (21 to 25 V) is never found.
const WORKING_V: std::ops::RangeInclusive<f64> = 16.5..=20.4;

pub(super) fn remarks(array: &Array, notes: &mut Vec<Note>) {
    for label in labels(array) {
        vmp_for_voc(label, notes);
        power_for_voc(label, notes);
    }
    for group in &array.groups {
        mixed_in_series(group, notes);
    }
    mixed_in_parallel(array, notes);
}

fn labels(array: &Array) -> Vec<&Label> {
    let mut labels: Vec<&Label> = Vec::new();
    for label in array.groups.iter().flat_map(|group| &group.modules) {
        if !labels.iter().any(|known| known.id == label.id) {
            labels.push(label);
        }
    }
    labels
}

/// Least ratio of Voc to Vmp of a label that fits; crystalline panels have 1.15 to 1.25 (common practice, no source).
const LEAST_ABOVE_VMP: f64 = 1.1;

/// Vmp, or the "12 V" of a panel's name, in place of Voc.
fn vmp_for_voc(label: &Label, notes: &mut Vec<Note>) {
    let voc = label.voc.0;
    // A Vmp that fits says that this is Voc.
    if label.vmp.is_some_and(|vmp| voc >= LEAST_ABOVE_VMP * vmp.0) {
        return;
    }
    if NOMINAL_V.contains(&voc) {
        ask(
            notes,
            format!(
                "panel \"{}\": voc_v = {voc} looks like the name of a panel, not its open-circuit voltage: a \"12 V\" panel has 21 to \
                 25 V open-circuit, a \"24 V\" panel about twice that. Compare with Voc on the label; if it is right, add its vmp_v",
                label.id
            ),
        );
    } else if WORKING_V.contains(&voc) && label.cells.printed.is_none() {
        ask(
            notes,
            format!(
                "panel \"{}\": voc_v = {voc} looks like the working voltage (Vmp) of a \"12 V\" panel, whose open-circuit \
                 voltage is 21 to 25 V. Compare with Voc on the label; if it is right, add cells_in_series",
                label.id
            ),
        );
    }
}

/// The coefficient of power in place of that of Voc.
fn power_for_voc(label: &Label, notes: &mut Vec<Note>) {
    let per_k = label.voc_coefficient.per_k();
    if matches!(label.voc_coefficient, VocCoefficient::Printed(_))
        && label.technology.is_crystalline()
        && per_k <= LIKE_POWER_PER_K
    {
        ask(
            notes,
            format!(
                "panel \"{}\": {:.2} %/K is steep for open-circuit volts and usual for power: look whether the data sheet's line \
                 is that of Voc. Taken as typed, which is the safe side for cold volts",
                label.id,
                per_k * 100.0
            ),
        );
    }
}

/// Different panels in series: the weakest carries all.
fn mixed_in_series(group: &StringGroup, notes: &mut Vec<Note>) {
    let amps = |label: &Label| label.imp.unwrap_or(label.isc).0;
    let least = group.modules.iter().map(amps).fold(f64::INFINITY, f64::min);
    let most = group.modules.iter().map(amps).fold(0.0, f64::max);
    if most > least * (1.0 + NOTABLE) {
        let weakest =
            group.modules.iter().find(|label| amps(label) <= least).map_or("", |label| label.id.as_str());
        ask(
            notes,
            format!(
                "panels of {least} to {most} A in one string: \"{weakest}\" holds the others back to its own current, {:.0} % \
                 less than theirs. Put panels of alike amps in series",
                (1.0 - least / most) * 100.0
            ),
        );
    }
}

/// Strings of different volts in parallel: the lowest decides.
fn mixed_in_parallel(array: &Array, notes: &mut Vec<Note>) {
    let volts = |group: &StringGroup| group.label_voc_v();
    let low = array.groups.iter().map(volts).fold(f64::INFINITY, f64::min);
    let high = array.groups.iter().map(volts).fold(0.0, f64::max);
    if high > low * (1.0 + NOTABLE) {
        ask(
            notes,
            format!(
                "array \"{}\": strings of {low:.1} and {high:.1} V (label, open-circuit) in parallel: the higher is pulled \
                 down to the lower and its surplus is lost. Keep strings in parallel within 5 %, or give each its own \
                 controller",
                array.name
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{PANEL, array, says, two_in_series};

    #[test]
    fn vmp_or_a_name_in_place_of_voc() {
        let with = |voc: &str| {
            array(&format!(
                "[[module]]\nid = 'p'\nisc_a = 5.8\n{voc}\n[[string]]\nmodules = ['p']\nmount = 'gap'\n"
            ))
        };
        assert!(says(&with("voc_v = 18.6"), "looks like the working voltage"));
        assert!(says(&with("voc_v = 12"), "looks like the name of a panel"));
        // A Vmp of its own below it (common practice, no source: Voc is 1.15 to 1.25 times Vmp) says that it is Voc.
        assert!(says(&with("voc_v = 24"), "looks like the name of a panel"));
        assert!(!says(&with("voc_v = 24\nvmp_v = 20.2\nimp_a = 5.4"), "panel"));
        assert!(!says(&with("voc_v = 18.6\nvmp_v = 15.8\nimp_a = 5.4"), "looks like"));
        assert!(!says(&with("voc_v = 18.6\ncells_in_series = 30"), "looks like"));
        assert!(!says(&with("voc_v = 22.5"), "panel"));
    }

    #[test]
    fn the_coefficient_of_power_in_place_of_voc() {
        let with = |text: &str| {
            array(&format!(
                "{}[[string]]\nmodules = ['p']\nmount = 'gap'\n",
                PANEL.replace("-0.30 %/K", text)
            ))
        };
        assert!(says(&with("-0.39 %/K"), "-0.39 %/K is steep for open-circuit volts"));
        assert!(!says(&with("-0.33 %/K"), "is steep"));
        // without a coefficient the bound of -0.40 %/K is ours, not the label's
        let none = PANEL.replace("voc_temp_coeff = '-0.30 %/K'\n", "");
        assert!(!says(&array(&format!("{none}[[string]]\nmodules = ['p']\nmount = 'gap'\n")), "is steep"));
    }

    #[test]
    fn unlike_panels_in_one_string() {
        let small = "[[module]]\nid = 'q'\nvoc_v = 22\nisc_a = 3.2\nvmp_v = 18\nimp_a = 2.9\n";
        let mixed = array(&format!("{PANEL}{small}[[string]]\nmodules = ['p', 'q']\nmount = 'roof'\n"));
        assert!(says(&mixed, "\"q\" holds the others back to its own current, 46 % less"));
        assert!(!says(&two_in_series(""), "holds the others back"));
    }

    #[test]
    fn unlike_strings_in_parallel() {
        let string = |count: u32| format!("[[string]]\nmodules = 'p'\nin_series = {count}\nmount = 'roof'\n");
        assert!(says(&array(&format!("{PANEL}{}{}", string(2), string(1))), "pulled down to the lower"));
        assert!(!says(&array(&format!("{PANEL}{}{}", string(2), string(2))), "pulled down"));
    }
}
