//! The current-voltage curve of a panel, step by step, for the point of maximum power.

use super::volts::{coefficient, kinds};
use super::worked::{Chain, Formula, Kind, Quantity};
use crate::array::StringGroup;
use crate::module::{Curve, DIMMEST_W_M2, Diode, FitQuality, Label};
use crate::units::Celsius;

/// Volts and amps at maximum power, from the steady volts of the string; `None` where the label has none, or it is
/// too dim.
pub(super) fn power(
    chain: &mut Chain,
    group: &StringGroup,
    light: &Quantity,
    cell: &Quantity,
    steady: &Quantity,
) -> Option<(Quantity, Quantity)> {
    if light.value < DIMMEST_W_M2
        || group.modules.iter().any(|label| label.vmp.is_none() || label.imp.is_none())
    {
        return None;
    }
    let mut gaps: Vec<Quantity> = Vec::new();
    let mut weakest: Option<Quantity> = None;
    for (label, count) in kinds(group) {
        let (gap, amps) = one_curve(chain, label, light, cell);
        let count = Quantity::new("Np", Kind::Count, count as f64);
        gaps.push(chain.step(
            Formula { id: "product-gap", what: "gap of these panels", text: "Np d", source: None },
            &[&count, &gap],
            Quantity::new("d", Kind::CurveVolts, count.value * gap.value),
        ));
        if weakest.as_ref().is_none_or(|least| amps.value < least.value) {
            weakest = Some(amps);
        }
    }
    let weakest = weakest?;
    let gap: f64 = gaps.iter().map(|gap| gap.value).sum();
    let steady = steady.named("V");
    let mut inputs: Vec<&Quantity> = vec![&steady];
    inputs.extend(&gaps);
    let vmp = chain.step(
        Formula {
            id: "vmp",
            what: "voltage at maximum power of the string",
            text: "V (steady) less every d",
            source: None,
        },
        &inputs,
        Quantity::new("Vmp", Kind::Volts, (steady.value - gap).max(0.0)),
    );
    let strings = Quantity::new("Nst", Kind::Count, f64::from(group.in_parallel));
    let imp = chain.step(
        Formula {
            id: "strings",
            what: "current at maximum power of all strings, of unlike panels the weakest",
            text: "Nst I",
            source: None,
        },
        &[&strings, &weakest.named("I")],
        Quantity::new("Imp", Kind::Amps, strings.value * weakest.value),
    );
    Some((vmp, imp))
}

/// The gap from open circuit to maximum power of one panel, and its current there.
fn one_curve(chain: &mut Chain, label: &Label, light: &Quantity, cell: &Quantity) -> (Quantity, Quantity) {
    let fit = Curve::fit(label);
    let found = fit.curve.parameters();
    let source = Some("DESOTO2006");
    let said = match fit.quality {
        FitQuality::Inconsistent => fit.quality.sentence(),
        FitQuality::Whole | FitQuality::WithoutCoefficient => {
            "fitted with the three below: with them the curve at 1000 W/m2 and 25 °C goes through the label's Voc, Isc, Vmp and Imp"
        }
    };
    let mut said = said;
    let mut given =
        |what: &str, quantity: Quantity| chain.given(what, quantity, std::mem::take(&mut said), source);
    let a0 = given("n Ns k T / q at 25 °C", Quantity::new("a0", Kind::CurveVolts, found.a_v));
    let photo0 = given("light current at 25 °C", Quantity::new("IL0", Kind::CurveAmps, found.photo_a));
    let series = given("series resistance", Quantity::new("Rs", Kind::Ohms, found.series_ohm));
    let shunt0 = given("shunt conductance", Quantity::new("Gs0", Kind::Siemens, found.shunt_s));
    let (voc, beta) = (Quantity::new("V0", Kind::Volts, label.voc.0), coefficient(label).0);
    let isc = Quantity::new("I0", Kind::Amps, label.isc.0);
    let alpha = Quantity::new("α", Kind::PercentPerKelvin, label.isc_per_k * 100.0);
    let light = light.named("G");
    let warmer = cell.value - 25.0;
    let volts = |value| Quantity::new("a", Kind::CurveVolts, value);
    let a = chain.step(
        Formula { id: "curve-a", what: "a at this cell", text: "a0 (Tc + 273.15) / 298.15", source },
        &[&a0, cell],
        volts(a0.value * Celsius(cell.value).kelvin() / 298.15),
    );
    let photo = chain.step(
        Formula {
            id: "curve-photo",
            what: "light current at this cell in 1000 W/m2",
            text: "IL0 + I0 α / 100 (Tc - 25)",
            source,
        },
        &[&photo0, &isc, &alpha, cell],
        Quantity::new("IL1", Kind::CurveAmps, photo0.value + isc.value * alpha.value / 100.0 * warmer),
    );
    let open = chain.step(
        Formula {
            id: "cold",
            what: "one panel in full light at this cell temperature",
            text: "V0 (1 + β / 100 (Tc - 25))",
            source: Some("KING2004"),
        },
        &[&voc, &beta, cell],
        Quantity::new("V1", Kind::CurveVolts, voc.value * (1.0 + beta.value / 100.0 * warmer)),
    );
    let saturation = (photo.value - open.value * shunt0.value) / ((open.value / a.value).exp() - 1.0);
    let saturation = chain.step(
        Formula {
            id: "curve-saturation",
            what: "saturation current that puts Voc on the label's line",
            text: "(IL1 - V1 Gs0) / (exp(V1 / a) - 1)",
            source: Some("VILLALVA2009"),
        },
        &[&photo, &open, &shunt0, &a],
        Quantity::new("Id", Kind::CurveAmps, saturation),
    );
    let share = light.value / 1000.0;
    let photo = chain.step(
        Formula { id: "curve-light", what: "light current in this light", text: "IL1 G / 1000", source },
        &[&photo, &light],
        Quantity::new("IL", Kind::CurveAmps, photo.value * share),
    );
    let shunt = chain.step(
        Formula { id: "curve-shunt", what: "shunt conductance in this light", text: "Gs0 G / 1000", source },
        &[&shunt0, &light],
        Quantity::new("Gs", Kind::Siemens, shunt0.value * share),
    );
    let diode = Diode {
        a_v: a.value,
        photo_a: photo.value,
        saturation_a: saturation.value,
        series_ohm: series.value,
        shunt_s: shunt.value,
    };
    let top = diode.max_power();
    let open = chain.step(
        Formula {
            id: "curve-open",
            what: "where the curve meets zero current (tried until it fits)",
            text: "V with IL - Id (exp(V / a) - 1) - V Gs = 0",
            source,
        },
        &[&photo, &saturation, &a, &shunt],
        Quantity::new("Vo", Kind::CurveVolts, top.voc_v),
    );
    let inputs = [&photo, &saturation, &a, &series, &shunt];
    let vmp = chain.step(
        Formula {
            id: "curve-vmp",
            what: "where volts times amps are largest (tried until it fits)",
            text: "V of the largest V I with I = IL - Id (exp((V + I Rs) / a) - 1) - (V + I Rs) Gs",
            source,
        },
        &inputs,
        Quantity::new("Vm", Kind::CurveVolts, top.vmp_v),
    );
    let imp = chain.step(
        Formula { id: "curve-imp", what: "amps there", text: "I of the largest V I", source },
        &inputs,
        Quantity::new("Im", Kind::CurveAmps, top.imp_a),
    );
    let gap = chain.step(
        Formula { id: "gap", what: "gap from open circuit to maximum power", text: "Vo - Vm", source },
        &[&open, &vmp],
        Quantity::new("d", Kind::CurveVolts, open.value - vmp.value),
    );
    (gap, imp)
}
