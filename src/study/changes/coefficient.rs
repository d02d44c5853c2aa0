//! A coefficient that the label does not give: where the steep value that is taken for it decides, the data sheet may be the
//! cheapest way out.

use super::{Way, listed};
use crate::array::StringGroup;
use crate::limits::Verdict;
use crate::module::{Label, VocCoefficient, code_sum};
use crate::study::counted;
use crate::study::results::LimitLine;
use crate::units::{Celsius, at_least};

/// An ordinary coefficient of a crystalline panel, a fraction per kelvin: an example and no promise (common practice, no source).
const EXAMPLE_PER_K: f64 = -0.0030;

impl Way<'_> {
    /// To look the coefficient up, where a limit in volts is broken or close and a panel's is assumed.
    pub(super) fn look_up_coefficient(&self, lines: &[&LimitLine]) -> Option<String> {
        let in_volts = |line: &&LimitLine| {
            line.unit == "V" && matches!(counted(line), Verdict::Exceeded | Verdict::Close)
        };
        lines.iter().copied().find(in_volts)?;
        let assumed = |label: &&Label| matches!(label.voc_coefficient, VocCoefficient::Bound(_));
        let labels = || self.array.groups.iter().flat_map(|group| &group.modules).filter(assumed);
        let mut ids: Vec<String> = Vec::new();
        for label in labels() {
            if !ids.contains(&label.id) {
                ids.push(label.id.clone());
            }
        }
        let per_k = labels().map(|label| label.voc_coefficient.per_k()).reduce(f64::min)?;
        let steep = if per_k < EXAMPLE_PER_K { ", steeper than most" } else { "" };
        let example = match self.at_the_example().filter(|_| per_k < EXAMPLE_PER_K) {
            Some((volts, today, place)) => format!(
                "; at {:.2} %/K, say, the code sum would be {:.1} V{place} and not {:.1} V, and the worst-case volts would fall too",
                EXAMPLE_PER_K * 100.0,
                at_least(volts),
                at_least(today)
            ),
            None => "; with a flatter one all volts in the cold fall".to_owned(),
        };
        Some(format!(
            "look up the temperature coefficient of {} in the data sheet (voc_temp_coeff): {:.2} %/K is taken{steep}{example}.",
            listed(&ids),
            per_k * 100.0
        ))
    }

    /// The code sum where it is largest with the example in place of what is assumed: volts, those of today, the place.
    fn at_the_example(&self) -> Option<(f64, f64, String)> {
        let at_stops = self.assessment.stops.iter().flat_map(|stop| {
            let same = stop.arrays.iter().filter(|at| at.name == self.facts.name);
            same.filter_map(|at| {
                let place = format!(" at {}", stop.place);
                Some((at.voltage_v.code?, at.voltage_v.code_temperature_c?, place))
            })
        });
        let alone =
            self.facts.code_alone.iter().map(|code| (code.code, code.code_temperature_c, String::new()));
        let (today, air_c, place) = at_stops.chain(alone).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let sum = |group: &StringGroup| {
            let labels: Vec<Label> = group.modules.iter().map(with_example).collect();
            code_sum(&labels, Celsius(air_c)).volts.0
        };
        let volts = self.array.groups.iter().map(sum).reduce(f64::max)?;
        (volts < today).then_some((volts, today, place))
    }
}

fn with_example(label: &Label) -> Label {
    match label.voc_coefficient {
        VocCoefficient::Bound(_) => {
            Label { voc_coefficient: VocCoefficient::Printed(EXAMPLE_PER_K), ..label.clone() }
        }
        VocCoefficient::Printed(_) => label.clone(),
    }
}
