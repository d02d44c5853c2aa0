//! The current-voltage curve between open and short circuit, for Vmp and Imp alone.
//!
//! Open-circuit voltage never comes from here: a five-parameter fit reads up to 2 % high in low light. The curve
//! gives the gap from Voc to Vmp, and Imp.

mod diode;
mod fit;
mod power;

pub use diode::{Diode, Top};
pub use fit::{Fit, FitQuality, FiveParameters};
pub use power::{Power, StringPower};

use crate::module::Label;
use crate::module::test_conditions::{BOLTZMANN_OVER_CHARGE_V_K, LABEL_CELL_C, LABEL_W_M2};
use crate::units::Celsius;

/// Band gap of silicon at 25 C, eV, and its slope per kelvin, a fraction [DESOTO2006]; used for all technologies,
/// as the reference library does.
const BAND_GAP_EV: f64 = 1.121;
const BAND_GAP_PER_K: f64 = -0.000_267_7;

/// A module's curve at any light and temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    parameters: FiveParameters,
    voc_v: f64,
    voc_per_k: f64,
    isc_a_per_k: f64,
}

impl Curve {
    /// Fits a label; [`Fit::quality`] says how well the label allowed it.
    #[must_use]
    pub fn fit(label: &Label) -> Fit {
        fit::fit(label)
    }

    fn new(parameters: FiveParameters, label: &Label) -> Self {
        Self {
            parameters,
            voc_v: label.voc.0,
            voc_per_k: label.voc_coefficient.per_k(),
            isc_a_per_k: label.isc.0 * label.isc_per_k,
        }
    }

    /// The diode at a light of `irradiance_w_m2` (above 0) and a cell temperature.
    ///
    /// As [`FiveParameters::by_paper`], but the saturation current is what makes Voc at 1000 W/m2 follow the
    /// label's straight line, I0 = (IL - Voc Gsh) / (exp(Voc/a) - 1) [VILLALVA2009]: the label's coefficient is
    /// exact by construction.
    #[must_use]
    pub fn diode(&self, irradiance_w_m2: f64, cell: Celsius) -> Diode {
        let parameters = &self.parameters;
        let warmer = cell.0 - LABEL_CELL_C;
        let a = parameters.a_v * cell.kelvin() / Celsius(LABEL_CELL_C).kelvin();
        let photo = parameters.photo_a + self.isc_a_per_k * warmer;
        let voc = self.voc_v * (1.0 + self.voc_per_k * warmer);
        let saturation = (photo - voc * parameters.shunt_s) / (voc / a).exp_m1();
        let share = irradiance_w_m2 / LABEL_W_M2;
        Diode {
            a_v: a,
            photo_a: photo * share,
            saturation_a: saturation,
            series_ohm: parameters.series_ohm,
            shunt_s: parameters.shunt_s * share,
        }
    }

    /// The fitted parameters.
    #[must_use]
    pub fn parameters(&self) -> FiveParameters {
        self.parameters
    }
}

impl FiveParameters {
    /// The diode at another light and temperature by the paper's own laws [DESOTO2006]: a in proportion to T,
    /// IL = (G/1000)(IL + alpha dT), I0 ~ T^3 exp(-Eg/kT), Rsh in inverse proportion to light, Rs constant.
    ///
    /// `isc_a_per_k` in A/K. For comparison; [`Curve::diode`] is what is used.
    #[must_use]
    pub fn by_paper(&self, irradiance_w_m2: f64, cell: Celsius, isc_a_per_k: f64) -> Diode {
        let (kelvin, reference) = (cell.kelvin(), Celsius(LABEL_CELL_C).kelvin());
        let warmer = kelvin - reference;
        let gap = BAND_GAP_EV * (1.0 + BAND_GAP_PER_K * warmer);
        let k = BOLTZMANN_OVER_CHARGE_V_K;
        let share = irradiance_w_m2 / LABEL_W_M2;
        Diode {
            a_v: self.a_v * kelvin / reference,
            photo_a: share * (self.photo_a + isc_a_per_k * warmer),
            saturation_a: self.saturation_a
                * (kelvin / reference).powi(3)
                * (BAND_GAP_EV / (k * reference) - gap / (k * kelvin)).exp(),
            series_ohm: self.series_ohm,
            shunt_s: self.shunt_s * share,
        }
    }

    /// Slope of Voc at the label's light and temperature by the paper's laws, V/K.
    fn voc_slope_v_per_k(&self, voc_v: f64, isc_a_per_k: f64) -> f64 {
        let reference = Celsius(LABEL_CELL_C).kelvin();
        let k = BOLTZMANN_OVER_CHARGE_V_K;
        let grown = (voc_v / self.a_v).exp();
        let saturation_per_k = 3.0 / reference + BAND_GAP_EV / (k * reference * reference)
            - BAND_GAP_EV * BAND_GAP_PER_K / (k * reference);
        let up = isc_a_per_k - self.saturation_a * saturation_per_k * (grown - 1.0)
            + self.saturation_a * grown * voc_v / self.a_v / reference;
        up / (self.saturation_a * grown / self.a_v + self.shunt_s)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::module::RawLabel;
    use crate::units::{Amps, Volts};

    /// A module of a public list, whose label an independent exact fit meets whole.
    fn label() -> Label {
        Label::read(RawLabel {
            id: "CS5C-90M".to_owned(),
            voc_v: 22.2,
            isc_a: 5.4,
            vmp_v: Some(18.0),
            imp_a: Some(4.99),
            cells_in_series: Some(36),
            voc_temp_coeff: Some("-0.083028 V/K".to_owned()),
            isc_temp_coeff: Some("0.004806 A/K".to_owned()),
            ..RawLabel::default()
        })
        .unwrap()
    }

    fn fitted() -> Curve {
        let fit = Curve::fit(&label());
        assert_eq!(fit.quality, FitQuality::Whole);
        fit.curve
    }

    fn near(found: f64, expected: f64, share: f64) {
        assert!((found / expected - 1.0).abs() < share, "{found} {expected}");
    }

    /// An independent exact fit of the same label (`tests/reference/e_modules.csv`): n, a, IL, I0, Rs, Rsh.
    #[test]
    fn the_parameters_of_an_independent_fit() {
        let fit = Curve::fit(&label());
        let parameters = fit.curve.parameters();
        near(fit.ideality, 1.019_279_590, 1e-4);
        near(parameters.a_v, 0.942_765_175, 1e-4);
        near(parameters.photo_a, 5.411_495_892, 1e-4);
        near(parameters.saturation_a, 3.113_038_06e-10, 5e-3);
        near(parameters.series_ohm, 0.285_877_100, 1e-3);
        near(1.0 / parameters.shunt_s, 134.285_925_55, 5e-3);
        // And the label's own points come back.
        let diode = fit.curve.diode(1000.0, Celsius(25.0));
        near(diode.open_circuit_v(), 22.2, 1e-9);
        near(diode.short_circuit_a(), 5.4, 1e-9);
        near(diode.max_power().vmp_v, 18.0, 1e-6);
        near(diode.max_power().imp_a, 4.99, 1e-6);
        assert!(fit.quality.sentence().contains("the whole label"));
    }

    /// A label that no single diode meets: the curve keeps its open and short circuit, without a shunt.
    #[test]
    fn a_label_that_contradicts_itself() {
        let odd = Label { vmp: Some(Volts(20.9)), imp: Some(Amps(5.3)), ..label() };
        let fit = Curve::fit(&odd);
        assert_eq!(fit.quality, FitQuality::Inconsistent);
        let parameters = fit.curve.parameters();
        assert_eq!((parameters.photo_a, parameters.shunt_s), (5.4, 0.0));
        // The largest ideality that leaves a series resistance of 0 or more.
        assert!(fit.ideality < 1.0 && parameters.series_ohm.abs() < 1e-6, "{fit:?}");
        let diode = fit.curve.diode(1000.0, Celsius(25.0));
        near(diode.open_circuit_v(), 22.2, 1e-6);
        near(diode.short_circuit_a(), 5.4, 1e-6);
        // At its own volts of maximum power the curve carries its own amps.
        let carried = 5.4 - parameters.saturation_a * (20.9 / parameters.a_v).exp_m1();
        near(carried, 5.3, 1e-3);
    }

    /// Two equal panels double the volts, and of unlike ones the weaker gives the amps; the worst fit is told.
    #[test]
    fn panels_in_series_at_maximum_power() {
        let power = StringPower::fit(&[label(), label()]);
        let top = power.at(1000.0, Celsius(25.0)).unwrap();
        near(top.vmp.0, 36.0, 1e-6);
        near(top.imp.0, 4.99, 1e-6);
        assert_eq!((power.quality(), power.at(9.9, Celsius(25.0))), (FitQuality::Whole, None));
        let odd = Label { vmp: Some(Volts(20.9)), imp: Some(Amps(5.3)), ..label() };
        let mixed = StringPower::fit(&[odd.clone(), label(), odd]);
        let top = mixed.at(1000.0, Celsius(25.0)).unwrap();
        near(top.imp.0, 4.99, 1e-6);
        assert!(top.vmp.0 > 18.0 + 2.0 * 20.0 && top.vmp.0 < 18.0 + 2.0 * 21.5, "{top:?}");
        assert_eq!(mixed.quality(), FitQuality::Inconsistent);
    }

    /// pvlib 0.16.1, De Soto with its own fit of the label, -40 C and 200 W/m2 (`tests/reference/e_grid.csv`, where all
    /// modules are held): volts, short circuit, volts and amps at maximum power, within 0.1 %.
    #[test]
    fn a_cold_dim_curve_of_an_independent_library() {
        const EXPECTED: [f64; 4] = [26.351_05, 1.019_387, 23.488_27, 0.955_196_4];
        let diode = fitted().parameters().by_paper(200.0, Celsius(-40.0), 0.004_806);
        let top = diode.max_power();
        let found = [diode.open_circuit_v(), diode.short_circuit_a(), top.vmp_v, top.imp_a];
        for (found, expected) in found.into_iter().zip(EXPECTED) {
            near(found, expected, 1e-3);
        }
    }

    /// The curve that is used follows the label's straight line in full light, 22.2 + 0.083028 x 65 V at -40 C, and in less
    /// light the closed form, here with n = 1 by pvlib 0.16.1 (`label_voc`, 26.43273 V at 200 W/m2): 0.1 %, since the fit has
    /// n = 1.02.
    #[test]
    fn the_labels_coefficient_is_imposed() {
        let at = |light| fitted().diode(light, Celsius(-40.0));
        near(at(1000.0).open_circuit_v(), 27.596_82, 1e-9);
        near(at(200.0).open_circuit_v(), 26.432_73, 1e-3);
        // Isc by the same: (5.4 - 0.004806 x 65) / 5 A.
        near(at(200.0).short_circuit_a(), 1.017_522, 3e-3);
    }

    /// The slope in closed form is that of the curve itself, by differences, and the label's coefficient, which the fit
    /// meets.
    #[test]
    fn the_slope_is_the_derivative() {
        let parameters = fitted().parameters();
        let slope = parameters.voc_slope_v_per_k(22.2, 0.004_806);
        let volts = |cell| parameters.by_paper(1000.0, Celsius(cell), 0.004_806).open_circuit_v();
        let differences = (volts(25.01) - volts(24.99)) / 0.02;
        near(slope, differences, 1e-4);
        near(slope, -0.083_028, 1e-4);
    }
}
