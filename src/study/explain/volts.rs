//! From light and cell to volts and amps of a string.

use super::worked::{Chain, Formula, Kind, Quantity};
use crate::array::StringGroup;
use crate::assumptions::Rules;
use crate::cite;
use crate::module::{self, DIMMEST_W_M2, Label, VocCoefficient, short_circuit};
use crate::units::Celsius;

/// Unlike panels of one string, and how many of each.
pub(in crate::study) fn kinds(group: &StringGroup) -> Vec<(&Label, usize)> {
    let mut kinds: Vec<(&Label, usize)> = Vec::new();
    for label in &group.modules {
        match kinds.iter_mut().find(|(known, _)| *known == label) {
            Some((_, count)) => *count += 1,
            None => kinds.push((label, 1)),
        }
    }
    kinds
}

/// Which panel is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Strength {
    /// As labelled.
    AsLabelled,
    /// The strongest that the label allows.
    Strongest,
}

pub(super) fn coefficient(label: &Label) -> (Quantity, &'static str) {
    let said = match label.voc_coefficient {
        VocCoefficient::Printed(_) => "from the label, per cent of Voc",
        VocCoefficient::Bound(_) => "the label has none: the stated bound of its technology",
    };
    (Quantity::new("β", Kind::PercentPerKelvin, label.voc_coefficient.per_k() * 100.0), said)
}

/// Volts of the string in a light and at a cell temperature; `None` below 10 W/m2.
pub(super) fn open_circuit(
    chain: &mut Chain,
    group: &StringGroup,
    strength: Strength,
    light: &Quantity,
    cell: &Quantity,
) -> Option<Quantity> {
    let light = light.named("G");
    if light.value < DIMMEST_W_M2 {
        chain.remark(format!(
            "{} is below 10 W/m2: not computed, since the formula has no source there; the panel is not dead",
            light.text()
        ));
        return None;
    }
    let kelvin = chain.step(
        Formula { id: "kelvin", what: "cell in kelvin", text: "Tc + 273.15", source: None },
        &[cell],
        Quantity::new("TK", Kind::Absolute, Celsius(cell.value).kelvin()),
    );
    let above = light.value > 1000.0;
    let (ideality, said) = match strength {
        Strength::AsLabelled => (1.1, "of the central figures"),
        Strength::Strongest if above => (1.5, "of the bound above 1000 W/m2"),
        Strength::Strongest => (1.0, "of the bound up to 1000 W/m2"),
    };
    let ideality = chain.given("ideality", Quantity::new("n", Kind::Plain, ideality), said, Some("KING2004"));
    let mut sum = 0.0;
    let mut shares: Vec<Quantity> = Vec::new();
    for (label, count) in kinds(group) {
        let (beta, said) = coefficient(label);
        let printed = Quantity::new("V0", Kind::Volts, label.voc.0);
        chain.given(format!("Voc of {}", label.id), printed.clone(), "from the label", None);
        chain.given(format!("voltage coefficient of {}", label.id), beta.clone(), said, None);
        let cells = match strength {
            Strength::AsLabelled => label.cells.central,
            Strength::Strongest => label.cells.bound,
        };
        let cells = chain.given(
            format!("cells in series of {}", label.id),
            Quantity::new("Ns", Kind::Cells, cells),
            if label.cells.printed.is_some() {
                "from the label, resolved"
            } else {
                "from Voc by volts per cell"
            },
            None,
        );
        let volts = match strength {
            Strength::AsLabelled => printed,
            Strength::Strongest => {
                let tolerance = chain.given(
                    "how far a panel may lie above its label",
                    Quantity::new("t", Kind::Percent, label.tolerance * 100.0),
                    "from the plan, else 3 %, of thin film 10 %",
                    None,
                );
                chain.step(
                    Formula {
                        id: "tolerance",
                        what: "the strongest panel",
                        text: "V0 (1 + t / 100)",
                        source: None,
                    },
                    &[&printed, &tolerance],
                    Quantity::new("V0", Kind::Volts, printed.value * (1.0 + tolerance.value / 100.0)),
                )
            }
        };
        let cold = chain.step(
            Formula {
                id: "cold",
                what: "one panel in full light at this cell temperature",
                text: "V0 (1 + β / 100 (Tc - 25))",
                source: Some("KING2004"),
            },
            &[&volts, &beta, cell],
            Quantity::new("V1", Kind::Volts, volts.value * (1.0 + beta.value / 100.0 * (cell.value - 25.0))),
        );
        let dim = cells.value * ideality.value * K_OVER_Q * kelvin.value * (light.value / 1000.0).ln();
        let dim = chain.step(
            Formula {
                id: "light-term",
                what: "what the light changes",
                text: "Ns n 0.00008617333262 TK ln(G / 1000)",
                source: Some("KING2004"),
            },
            &[&cells, &ideality, &kelvin, &light],
            Quantity::new("V2", Kind::Volts, dim),
        );
        let count = Quantity::new("Np", Kind::Count, count as f64);
        let share = chain.step(
            Formula { id: "panels", what: "these panels in series", text: "Np (V1 + V2)", source: None },
            &[&count, &cold, &dim],
            Quantity::new("V", Kind::Volts, count.value * (cold.value + dim.value)),
        );
        sum += share.value;
        shares.push(share);
    }
    if shares.len() == 1 {
        return shares.pop();
    }
    let inputs: Vec<&Quantity> = shares.iter().collect();
    Some(chain.step(
        Formula { id: "sum", what: "the whole string", text: "sum of V", source: None },
        &inputs,
        Quantity::new("V", Kind::Volts, sum),
    ))
}

/// k/q, V/K [CODATA2018].
const K_OVER_Q: f64 = 8.617_333_262e-5;

/// Short-circuit current of the group; `None` below 10 W/m2.
pub(super) fn short(
    chain: &mut Chain,
    group: &StringGroup,
    light: &Quantity,
    cell: &Quantity,
) -> Option<Quantity> {
    if light.value < DIMMEST_W_M2 {
        return None;
    }
    let light = light.named("G");
    let mut largest: Option<Quantity> = None;
    for (label, _) in kinds(group) {
        let printed = chain.given(
            format!("Isc of {}", label.id),
            Quantity::new("I0", Kind::Amps, label.isc.0),
            "from the label",
            None,
        );
        let alpha = chain.given(
            format!("current coefficient of {}", label.id),
            Quantity::new("α", Kind::PercentPerKelvin, label.isc_per_k * 100.0),
            if label.isc_coefficient_is_printed {
                "from the label"
            } else {
                "the label has none: a usual value"
            },
            None,
        );
        let exact =
            Label { isc: crate::units::Amps(printed.value), isc_per_k: alpha.value / 100.0, ..label.clone() };
        let amps = chain.step(
            Formula {
                id: "short",
                what: "short-circuit current of one string",
                text: "I0 (G / 1000) (1 + α / 100 (Tc - 25))",
                source: Some("DESOTO2006"),
            },
            &[&printed, &light, &alpha, cell],
            Quantity::new("I", Kind::Amps, short_circuit(&exact, light.value, Celsius(cell.value)).0),
        );
        if largest.as_ref().is_none_or(|most| amps.value > most.value) {
            largest = Some(amps);
        }
    }
    let largest = largest?;
    if group.in_parallel == 1 {
        return Some(largest);
    }
    let strings = Quantity::new("Nst", Kind::Count, f64::from(group.in_parallel));
    Some(chain.step(
        Formula {
            id: "strings",
            what: "all strings in parallel, of unlike panels the strongest",
            text: "Nst I",
            source: None,
        },
        &[&strings, &largest],
        Quantity::new("I", Kind::Amps, strings.value * largest.value),
    ))
}

/// The code sum of the string, beside the hour's own figures.
pub(super) fn code(chain: &mut Chain, group: &StringGroup, air: &Quantity, rules: Rules) -> Quantity {
    let mut shares = Vec::new();
    for (label, count) in kinds(group) {
        let count = Quantity::new("Np", Kind::Count, count as f64);
        let volts = Quantity::new("V0", Kind::Volts, label.voc.0);
        let sum = module::code_sum(std::slice::from_ref(label), Celsius(air.value));
        let share = if sum.basis == module::CodeBasis::Table {
            let factor = chain.given(
                format!("factor of the table for {}", label.id),
                Quantity::new("F", Kind::Share, sum.factor),
                "the label has no coefficient: the crystalline table at this temperature",
                Some("NEC690.7"),
            );
            chain.step(
                Formula {
                    id: "code-table",
                    what: "these panels in series",
                    text: "Np V0 F",
                    source: Some("NEC690.7"),
                },
                &[&count, &volts, &factor],
                Quantity::new("V", Kind::Volts, count.value * volts.value * factor.value),
            )
        } else {
            let (beta, _) = coefficient(label);
            chain.step(
                Formula {
                    id: "code-line",
                    what: "these panels in series, in full sun on cells as cold as the air",
                    text: "Np V0 (1 + β / 100 (T - 25))",
                    source: Some(cite::largest_volts_source(rules)),
                },
                &[&count, &volts, &beta, air],
                Quantity::new(
                    "V",
                    Kind::Volts,
                    count.value * volts.value * (1.0 + beta.value / 100.0 * (air.value - 25.0)),
                ),
            )
        };
        shares.push(share);
    }
    let sum: f64 = shares.iter().map(|share| share.value).sum();
    if shares.len() == 1 {
        return shares.remove(0);
    }
    let inputs: Vec<&Quantity> = shares.iter().collect();
    chain.step(
        Formula { id: "sum", what: "the whole string", text: "sum of V", source: None },
        &inputs,
        Quantity::new("V", Kind::Volts, sum),
    )
}
