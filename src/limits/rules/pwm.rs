//! Controllers that connect the array to the battery in pulses (pwm): the current passes straight, so the battery fixes
//! how many panels in series make sense. Common practice, no source.

use crate::module::Label;

/// Working volts left of the label's when cells are warm, as a share: 60 °C at -0.4 %/K. Chosen because a panel on a
/// roof is about that warm in the sun of a mild day.
const WARM_SHARE: f64 = 0.86;
/// Working volts over open-circuit volts where the label has no Vmp: the median of 20,946 crystalline labels.
const VMP_OVER_VOC: f64 = 0.81;
/// Share of its rated amps that the array's label current may reach: 1 / 1.25.
const RATED_SHARE: f64 = 0.8;

/// Working volts of a panel's label, V.
#[must_use]
pub fn working_v(label: &Label) -> f64 {
    label.vmp.map_or(label.voc.0 * VMP_OVER_VOC, |vmp| vmp.0)
}

/// Panels in series that a battery with those charge volts asks for: the fewest whose warm working volts reach it. More
/// add nothing.
#[must_use]
pub fn panels_in_series(label: &Label, charge_v: f64) -> usize {
    let warm_v = working_v(label) * WARM_SHARE;
    let mut panels = 1;
    let mut volts = warm_v;
    while volts < charge_v && panels < 100 {
        panels += 1;
        volts += warm_v;
    }
    panels
}

/// Share of the panels' power that reaches the battery with `in_series` panels where `enough` would do: amps are the
/// same with every panel more, and volts are the battery's.
#[must_use]
pub fn share_of_power(in_series: usize, enough: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "at most 100 panels")]
    if in_series > enough { enough as f64 / in_series as f64 } else { 1.0 }
}

/// Largest label short-circuit current of the array on a controller of that rating, A: nothing in it limits current.
#[must_use]
pub fn largest_isc_a(rated_a: f64) -> f64 {
    rated_a * RATED_SHARE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::array;

    fn panel(voc: f64, vmp: f64) -> Label {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = {voc}\nisc_a = 6\nvmp_v = {vmp}\n[[string]]\nmodules = ['p']\nmount = 'roof'\n"
        );
        array(&text).groups[0].modules[0].clone()
    }

    // One 36-cell panel for 12 V, two for 24 V, four for 48 V (common practice, no source).
    #[test]
    fn the_battery_fixes_the_count() {
        for (voc, vmp) in [(21.6, 17.8), (22.5, 18.6), (24.3, 20.4)] {
            let label = panel(voc, vmp);
            let counts = [14.2, 28.4, 56.8].map(|charge_v| panels_in_series(&label, charge_v));
            assert_eq!(counts, [1, 2, 4], "{voc} V");
        }
    }

    // Two 12 V panels in series on a 12 V pwm controller give about half the power, three a third (read in trade pages).
    #[test]
    fn every_panel_too_many_is_lost() {
        assert!((share_of_power(2, 1) - 0.5).abs() < 1e-12);
        assert!((share_of_power(3, 1) - 1.0 / 3.0).abs() < 1e-12);
        assert!((share_of_power(1, 1) - 1.0).abs() < 1e-12);
        assert!((largest_isc_a(30.0) - 24.0).abs() < 1e-12);
    }
}
