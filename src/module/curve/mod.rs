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
