//! Five parameters from a label: bracketing instead of solving all equations at once, which fails on most
//! ordinary labels.

use crate::module::curve::Curve;
use crate::module::test_conditions::{BOLTZMANN_OVER_CHARGE_V_K, LABEL_CELL_C};
use crate::module::{Label, Technology};
use crate::num::{bisect, edge};
use crate::units::Celsius;

/// Parameters at 1000 W/m2 and 25 C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FiveParameters {
    /// n N k T / q, V.
    pub a_v: f64,
    /// Light-generated current, A.
    pub photo_a: f64,
    /// Saturation current, A.
    pub saturation_a: f64,
    /// Series resistance, ohm.
    pub series_ohm: f64,
    /// Shunt conductance, 1/ohm.
    pub shunt_s: f64,
}

/// How much of the label the parameters meet. Voc's coefficient is exact in every case, by construction of
/// [`Curve::diode`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitQuality {
    /// Voc, Isc, Vmp, Imp, the flat top of power and the coefficient.
    Whole,
    /// All but the coefficient, which no ideality factor reaches by the paper's laws.
    WithoutCoefficient,
    /// No five parameters meet Voc, Isc, Vmp and Imp together: shunt left out, Isc as IL. The label does not agree
    /// with itself, as rounded data sheets often do not.
    Inconsistent,
}

impl FitQuality {
    /// In words, for a report.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Whole => "the curve meets the whole label",
            Self::WithoutCoefficient => {
                "the curve meets the label's four points; its voltage coefficient is imposed on it"
            }
            Self::Inconsistent => {
                "no single-diode curve meets all four points of this label, so voltage and current at maximum power \
                 are approximate"
            }
        }
    }
}

/// A fitted curve and how well it fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The curve.
    pub curve: Curve,
    /// How much of the label it meets.
    pub quality: FitQuality,
    /// Ideality factor found, per cell in series.
    pub ideality: f64,
}

/// Vmp over Voc and Imp over Isc where the label has none: the 1st percentile and the median of 20,946 crystalline
/// labels. A low Vmp is the safe side of the low-voltage questions.
const VMP_OVER_VOC: f64 = 0.776;
const IMP_OVER_ISC: f64 = 0.939;

/// Ideality factors tried: below 1 is normal, since the paper's law for I0 leaves no other freedom for the
/// coefficient. Cells of several junctions count several times.
const IDEALITY_FROM: f64 = 0.5;
const IDEALITY_TO: f64 = 2.0;
const IDEALITY_TO_JUNCTIONS: f64 = 5.0;
const IDEALITY_STEP: f64 = 0.01;

/// Series resistances tried for each ideality factor before bisecting.
const RESISTANCE_STEPS: u32 = 40;

/// The four points of a label.
struct Points {
    voc: f64,
    isc: f64,
    vmp: f64,
    imp: f64,
}

impl Points {
    fn of(label: &Label) -> Self {
        let (voc, isc) = (label.voc.0, label.isc.0);
        Self {
            voc,
            isc,
            vmp: label.vmp.map_or(VMP_OVER_VOC * voc, |vmp| vmp.0),
            imp: label.imp.map_or(IMP_OVER_ISC * isc, |imp| imp.0),
        }
    }

    /// For a given a and Rs the equations of short circuit, open circuit and maximum power are linear in IL, I0
    /// and Gsh. I0 is scaled by exp(Voc/a), or it would drown. The second value is the slope of power there,
    /// Imp + Vmp dI/dV, A.
    fn solve(&self, a: f64, series: f64) -> (FiveParameters, f64) {
        let Self { voc, isc, vmp, imp } = *self;
        let empty = (-voc / a).exp();
        let open = 1.0 - empty;
        let short = ((isc * series - voc) / a).exp() - empty;
        let top_grown = ((vmp + imp * series - voc) / a).exp();
        let top = top_grown - empty;
        // Rows: open circuit less short circuit, open circuit less maximum power.
        let (m11, m12) = (open - short, voc - isc * series);
        let (m21, m22) = (open - top, voc - vmp - imp * series);
        let determinant = m11 * m22 - m12 * m21;
        let scaled = (isc * m22 - imp * m12) / determinant;
        let shunt = (m11 * imp - m21 * isc) / determinant;
        let conductance = scaled / a * top_grown + shunt;
        let slope = imp - vmp * conductance / (1.0 + series * conductance);
        let parameters = FiveParameters {
            a_v: a,
            photo_a: scaled * open + shunt * voc,
            saturation_a: scaled * empty,
            series_ohm: series,
            shunt_s: shunt,
        };
        (parameters, slope)
    }

    /// The physical parameters for a given a, if there are any: Rs is bracketed and bisected for the flat top of
    /// power, and I0 above 0, Gsh not below 0 are insisted on.
    fn feasible(&self, a: f64) -> Option<FiveParameters> {
        let largest = (self.voc - self.vmp) / self.imp;
        let at = |step: u32| largest * f64::from(step) / f64::from(RESISTANCE_STEPS);
        let slope = |series: f64| self.solve(a, series).1;
        // The last step has Vmp + Imp Rs = Voc, where the equations fall together.
        (0..RESISTANCE_STEPS - 1).find_map(|step| {
            let series = bisect(at(step), at(step + 1), slope)?;
            let (parameters, left) = self.solve(a, series);
            let physical = parameters.saturation_a > 0.0 && parameters.shunt_s >= 0.0 && left.abs() < 1e-6;
            physical.then_some(parameters)
        })
    }
}

/// Fits five parameters to a label.
///
/// Scans the ideality factor for the range in which physical parameters exist, and bisects it for the label's
/// voltage coefficient by the paper's laws. Where no factor reaches that, the nearest physical one is taken.
pub(super) fn fit(label: &Label) -> Fit {
    let points = Points::of(label);
    let per_ideality = label.cells.central * BOLTZMANN_OVER_CHARGE_V_K * Celsius(LABEL_CELL_C).kelvin();
    let isc_a_per_k = label.isc.0 * label.isc_per_k;
    let target = label.voc.0 * label.voc_coefficient.per_k();
    let feasible = |ideality: f64| points.feasible(ideality * per_ideality);
    let steeper = |ideality: f64| {
        feasible(ideality)
            .map_or(f64::NAN, |parameters| parameters.voc_slope_v_per_k(points.voc, isc_a_per_k) - target)
    };
    let done = |ideality: f64, quality: FitQuality| {
        feasible(ideality).map(|parameters| Fit { curve: Curve::new(parameters, label), quality, ideality })
    };

    let idealities = physical_idealities(label.technology, |ideality| feasible(ideality).is_some());
    let mut nearest: Option<(f64, f64)> = None;
    for pair in idealities.windows(2) {
        if let &[Some(low), Some(high)] = pair
            && let Some(fit) = bisect(low, high, steeper).and_then(|root| done(root, FitQuality::Whole))
        {
            return fit;
        }
    }
    for ideality in idealities.into_iter().flatten() {
        let apart = steeper(ideality).abs();
        if nearest.is_none_or(|(_, least)| apart < least) {
            nearest = Some((ideality, apart));
        }
    }
    nearest
        .and_then(|(ideality, _)| done(ideality, FitQuality::WithoutCoefficient))
        .unwrap_or_else(|| inconsistent(label, &points, per_ideality))
}

/// The ideality factors with physical parameters, in order; `None` stands for a gap. The ends of each range are
/// found to the last digit.
fn physical_idealities(technology: Technology, holds: impl Fn(f64) -> bool) -> Vec<Option<f64>> {
    let to = if technology == Technology::ASi { IDEALITY_TO_JUNCTIONS } else { IDEALITY_TO };
    let mut found = Vec::new();
    let mut before: Option<(f64, bool)> = None;
    let mut ideality = IDEALITY_FROM;
    while ideality <= to + 1e-9 {
        let held = holds(ideality);
        match before {
            Some((last, false)) if held => found.push(Some(edge(ideality, last, &holds))),
            Some((last, true)) if !held => {
                found.push(Some(edge(last, ideality, &holds)));
                found.push(None);
            }
            _ => {}
        }
        if held {
            found.push(Some(ideality));
        }
        before = Some((ideality, held));
        ideality += IDEALITY_STEP;
    }
    found
}

/// No physical parameters: no shunt, IL = Isc, the smallest n from 1 on that leaves a series resistance of 0 or
/// more, Rs from the point of maximum power.
fn inconsistent(label: &Label, points: &Points, per_ideality: f64) -> Fit {
    let resistance = |ideality: f64| {
        let a = ideality * per_ideality;
        let saturation = points.isc / (points.voc / a).exp_m1();
        ((a * ((points.isc - points.imp) / saturation).ln_1p() - points.vmp) / points.imp, saturation)
    };
    let ideality = if resistance(1.0).0 >= 0.0 {
        1.0
    } else {
        // Rs grows as n falls: the largest n that leaves it at 0.
        bisect(0.05, 1.0, |ideality| resistance(ideality).0).unwrap_or(1.0)
    };
    let (series, saturation) = resistance(ideality);
    let parameters = FiveParameters {
        a_v: ideality * per_ideality,
        photo_a: points.isc,
        saturation_a: saturation,
        series_ohm: series.max(0.0),
        shunt_s: 0.0,
    };
    Fit { curve: Curve::new(parameters, label), quality: FitQuality::Inconsistent, ideality }
}
