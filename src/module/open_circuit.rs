//! Open-circuit voltage of a string, in closed form from its labels.

use crate::module::Label;
use crate::module::test_conditions::{BOLTZMANN_OVER_CHARGE_V_K, LABEL_CELL_C, LABEL_W_M2};
use crate::units::{Celsius, Volts};

/// Light below which nothing is computed, W/m2: the closed form has no source there. The panel is not dead.
pub const DIMMEST_W_M2: f64 = 10.0;

/// Light above which nothing is computed, W/m2. Chosen because the strongest burst ever published is 2177 W/m2.
const BRIGHTEST_W_M2: f64 = 3000.0;

/// Ideality factor of the central figures. Against open matrices of 17 crystalline modules the 95th percentile of
/// the error is 0.8 to 1.0 %.
const CENTRAL_IDEALITY: f64 = 1.1;

/// Ideality factor of the bound up to 1000 W/m2: below nearly every measured module (522 of 523), so that dim
/// light costs less than it really does.
const WORST_IDEALITY: f64 = 1.0;

/// The same above 1000 W/m2, where a larger one is the safe side.
const WORST_IDEALITY_ABOVE: f64 = 1.5;

/// Open-circuit voltage of panels in series as a function of light and cell temperature.
///
/// Each panel: V (1 + beta (T - 25)) + N n k/q T_K ln(G/1000), after [KING2004] eq. for Voc with the label's
/// coefficient. The sum over panels is V = a + b T + c T_K ln(G/1000). Valid from 10 W/m2 (below: `None`) to 3000.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringCurve {
    /// Volts at 0 C in full light.
    a: f64,
    /// Volts per kelvin.
    b: f64,
    /// Sum of N n k/q up to 1000 W/m2, V/K.
    c: f64,
    /// The same above 1000 W/m2.
    c_above: f64,
}

impl StringCurve {
    /// As labelled, n = 1.1: `steady` and `sudden_sun`.
    #[must_use]
    pub fn central(modules: &[Label]) -> Self {
        Self::sum(modules, |module| Panel {
            voc: module.voc.0,
            cells: module.cells.central,
            ideality: CENTRAL_IDEALITY,
            ideality_above: CENTRAL_IDEALITY,
        })
    }

    /// The strongest panel that the labels allow: each label raised by its tolerance, the fewest cells that fit
    /// it, n = 1.0 up to 1000 W/m2 and 1.5 above: `worst_case`.
    #[must_use]
    pub fn worst(modules: &[Label]) -> Self {
        Self::sum(modules, |module| Panel {
            voc: module.voc.0 * (1.0 + module.tolerance),
            cells: module.cells.bound,
            ideality: WORST_IDEALITY,
            ideality_above: WORST_IDEALITY_ABOVE,
        })
    }

    /// As labelled with an ideality factor of one's own, 0.5 to 2, the same at all light: for comparisons.
    #[must_use]
    pub fn with_ideality(modules: &[Label], ideality: f64) -> Self {
        Self::sum(modules, |module| Panel {
            voc: module.voc.0,
            cells: module.cells.central,
            ideality,
            ideality_above: ideality,
        })
    }

    fn sum(modules: &[Label], panel: impl Fn(&Label) -> Panel) -> Self {
        let mut curve = Self { a: 0.0, b: 0.0, c: 0.0, c_above: 0.0 };
        for module in modules {
            let panel = panel(module);
            let beta = module.voc_coefficient.per_k();
            curve.a += panel.voc * (1.0 - beta * LABEL_CELL_C);
            curve.b += panel.voc * beta;
            curve.c += panel.cells * panel.ideality * BOLTZMANN_OVER_CHARGE_V_K;
            curve.c_above += panel.cells * panel.ideality_above * BOLTZMANN_OVER_CHARGE_V_K;
        }
        curve
    }

    /// Volts in a light of `irradiance_w_m2`; `None` below 10 W/m2.
    #[must_use]
    pub fn volts(&self, irradiance_w_m2: f64, cell: Celsius) -> Option<Volts> {
        (irradiance_w_m2 >= DIMMEST_W_M2).then(|| Volts(self.closed_form(irradiance_w_m2, cell)))
    }

    /// Volts at the label's light: the first term alone.
    #[must_use]
    pub fn full_light(&self, cell: Celsius) -> Volts {
        Volts(self.a + self.b * cell.0)
    }

    /// The light above which `volts` is passed, W/m2, 10 or more; `None` where no light passes it.
    #[must_use]
    pub fn light_reaching(&self, volts: Volts, cell: Celsius) -> Option<f64> {
        let above = volts.0 - self.full_light(cell).0;
        let per_e = if above > 0.0 { self.c_above } else { self.c };
        let light = LABEL_W_M2 * (above / (per_e * cell.kelvin())).exp();
        (light <= BRIGHTEST_W_M2).then_some(light.max(DIMMEST_W_M2))
    }

    /// The cell temperature below which `volts` is passed in a light of `irradiance_w_m2`; `None` below 10 W/m2.
    #[must_use]
    pub fn cell_reaching(&self, volts: Volts, irradiance_w_m2: f64) -> Option<Celsius> {
        if irradiance_w_m2 < DIMMEST_W_M2 {
            return None;
        }
        let light = self.light_term(irradiance_w_m2);
        let slope = self.b + light;
        // a + b T + light (T + zero) = volts, zero being 0 C in kelvin.
        let zero_k = Celsius(0.0).kelvin();
        (slope < 0.0).then(|| Celsius((volts.0 - self.a - light * zero_k) / slope))
    }

    /// How many kelvin of warming take a share (such as 0.02) off the volts at this light and cell; `None` below 10
    /// W/m2 and where warming takes nothing.
    #[must_use]
    pub fn kelvin_taking(&self, share: f64, irradiance_w_m2: f64, cell: Celsius) -> Option<f64> {
        let volts = self.volts(irradiance_w_m2, cell)?;
        let slope = self.b + self.light_term(irradiance_w_m2);
        (slope < 0.0).then(|| -share * volts.0 / slope)
    }

    fn closed_form(&self, irradiance_w_m2: f64, cell: Celsius) -> f64 {
        self.a + self.b * cell.0 + self.light_term(irradiance_w_m2) * cell.kelvin()
    }

    /// c ln(G/1000), V/K.
    fn light_term(&self, irradiance_w_m2: f64) -> f64 {
        let c = if irradiance_w_m2 > LABEL_W_M2 { self.c_above } else { self.c };
        c * (irradiance_w_m2 / LABEL_W_M2).ln()
    }
}

/// One panel's share of a string.
struct Panel {
    voc: f64,
    cells: f64,
    ideality: f64,
    ideality_above: f64,
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::module::RawLabel;
    use proptest::prelude::*;

    fn label(voc_v: f64, percent: f64) -> Label {
        Label::read(RawLabel {
            id: "invented".to_owned(),
            voc_v,
            isc_a: 6.0,
            voc_temp_coeff: Some(format!("{percent} %/K")),
            ..RawLabel::default()
        })
        .unwrap()
    }

    #[test]
    fn at_the_labels_light_and_cell_the_label_comes_back() {
        let one = [label(22.3, -0.31)];
        assert!((StringCurve::central(&one).volts(1000.0, Celsius(25.0)).unwrap().0 - 22.3).abs() < 1e-12);
        let worst = StringCurve::worst(&one).volts(1000.0, Celsius(25.0)).unwrap().0;
        assert!((worst - 22.3 * 1.03).abs() < 1e-12);
    }

    /// The diode's law by hand: 22.3 V at 0.64 V a cell are 34.84 cells; kT/q at 25 °C is 0.0256926 V [CODATA2018]; with an ideality of
    /// 1.1 so 0.98475 V for each step of e. ln(0.2) = -1.60944 takes 1.5849 V, ln(1.25) = 0.22314 gives 0.2197 V. Two panels: twice that.
    #[test]
    fn light_goes_by_its_logarithm() {
        let panels = [label(22.3, -0.31), label(22.3, -0.31)];
        let curve = |count: usize| StringCurve::with_ideality(&panels[..count], 1.1);
        for (light, expected) in [(200.0, 20.7151), (1250.0, 22.5197)] {
            for count in [1, 2] {
                let volts = curve(count).volts(light, Celsius(25.0)).unwrap().0;
                assert!((volts / count as f64 - expected).abs() < 1e-4, "{light} W/m2, {count}: {volts}");
            }
        }
    }

    #[test]
    fn warming_takes_its_share() {
        let curve = StringCurve::central(&[label(22.3, -0.31)]);
        let kelvin = curve.kelvin_taking(0.02, 600.0, Celsius(-20.0)).unwrap();
        let volts = |cell| curve.volts(600.0, Celsius(cell)).unwrap().0;
        assert!((volts(-20.0 + kelvin) / volts(-20.0) - 0.98).abs() < 1e-12);
    }

    /// What light and which cell make these volts, asked back, on both sides of the label's light.
    #[test]
    fn inversions_come_back() {
        let string = [label(22.3, -0.31), label(41.0, -0.26)];
        for curve in [StringCurve::central(&string), StringCurve::worst(&string)] {
            for (light, cell) in [(30.0, -35.0), (420.0, -11.0), (1000.0, 25.0), (1240.0, 60.0)] {
                let volts = curve.volts(light, Celsius(cell)).unwrap();
                assert!((curve.light_reaching(volts, Celsius(cell)).unwrap() / light - 1.0).abs() < 1e-9);
                assert!((curve.cell_reaching(volts, light).unwrap().0 - cell).abs() < 1e-9);
            }
            // Dimmer than is computed: 10 W/m2 is the answer; beyond all light: none.
            assert_eq!(curve.light_reaching(Volts(1.0), Celsius(0.0)), Some(DIMMEST_W_M2));
            assert_eq!(curve.light_reaching(Volts(1e3), Celsius(0.0)), None);
            assert_eq!(curve.cell_reaching(Volts(60.0), 9.9), None);
        }
    }

    #[test]
    fn a_mixed_string_is_the_sum_of_its_panels() {
        let (a, b) = (label(22.3, -0.31), label(41.0, -0.26));
        let volts = |modules: &[Label]| StringCurve::worst(modules).volts(420.0, Celsius(-11.0)).unwrap().0;
        assert!((volts(&[a.clone(), b.clone()]) - volts(&[a]) - volts(&[b])).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn colder_cells_and_more_light_never_lower_the_volts(
            voc in 15.0..60.0_f64, percent in -0.50..-0.20_f64, light in 10.0..1500.0_f64,
            brighter in 0.0..500.0_f64, cell in -60.0..90.0_f64, colder in 0.0..40.0_f64,
        ) {
            let one = [label(voc, percent)];
            for curve in [StringCurve::central(&one), StringCurve::worst(&one)] {
                let at = |light, cell| curve.volts(light, Celsius(cell)).unwrap().0;
                prop_assert!(at(light, cell - colder) >= at(light, cell));
                prop_assert!(at(light + brighter, cell) >= at(light, cell));
            }
        }

        #[test]
        fn volts_are_in_proportion_to_the_panels(
            voc in 15.0..60.0_f64, light in 10.0..1500.0_f64, cell in -60.0..90.0_f64, panels in 1_usize..20,
        ) {
            let one = label(voc, -0.30);
            let volts = |modules: &[Label]| StringCurve::central(modules).volts(light, Celsius(cell)).unwrap().0;
            let single = volts(std::slice::from_ref(&one));
            prop_assert!((volts(&vec![one; panels]) / (single * panels as f64) - 1.0).abs() < 1e-12);
        }

        #[test]
        fn the_worst_case_is_never_below_the_central_figure(
            voc in 15.0..60.0_f64, light in 10.0..1500.0_f64, cell in -60.0..90.0_f64,
        ) {
            let one = [label(voc, -0.30)];
            let (light, cell) = (light, Celsius(cell));
            let worst = StringCurve::worst(&one).volts(light, cell).unwrap();
            prop_assert!(worst.0 >= StringCurve::central(&one).volts(light, cell).unwrap().0);
        }
    }
}
