//! What is expected beyond the worst hour that was seen, worked: the level of the next season, or the allowance in its
//! place.

use super::worked::{Chain, Formula, Kind, Part, Quantity};
use super::{Explained, hour, volts};
use crate::assumptions::Assumptions;
use crate::extreme::{self, Side};
use crate::hourly::{ReadyGroup, Seen, Voltage};
use crate::limits::voltage::{ALLOWANCE_K, VoltageFigures};
use crate::study::figures::block_maxima;
use crate::study::temperatures::counted_values;
use crate::units::Celsius;

/// How the largest figure is found among those of the worst case and the code.
const LARGEST: &str =
    "Parts are bought by the largest of three: this level, the largest hour seen, the code sum";

/// What the figure beyond the worst hour is worked from.
pub(in crate::study) struct Beyond<'a> {
    pub(in crate::study) groups: &'a [ReadyGroup<'a>],
    pub(in crate::study) seen: &'a Seen,
    pub(in crate::study) decide: &'a VoltageFigures,
    pub(in crate::study) assumptions: &'a Assumptions,
}

impl Explained {
    /// Adds the last part, and points to it.
    pub(in crate::study) fn add(&mut self, beyond: &Beyond<'_>) {
        let allowance = || Some(("allowance", beyond.allowance()?));
        let Some((name, (volts, parts))) = allowance().or_else(|| Some(("level", beyond.level()?))) else {
            return;
        };
        self.remarks.push(format!(
            "this hour is the largest of these days; the {name}, {volts:.2} V, is worked in the last part"
        ));
        self.parts.extend(parts);
    }
}

impl Beyond<'_> {
    /// The worst hour's light on cells so much colder, of the string that is highest there.
    fn allowance(&self) -> Option<(f64, Vec<Part>)> {
        let figure = self.decide.allowance?;
        let spot = self.seen.peak.worst_case?.spot;
        let colder = Celsius(spot.cell_c).colder_by(ALLOWANCE_K);
        let of =
            |ready: &ReadyGroup<'_>| ready.worst.volts(spot.irradiance_w_m2, colder).map_or(0.0, |v| v.0);
        let ready = self.groups.iter().max_by(|a, b| of(a).total_cmp(&of(b)))?;
        let mut chain = Chain::default();
        chain.part(format!(
            "The allowance: the same light on cells {ALLOWANCE_K:.0} K colder, since the record is short or typical"
        ));
        let light = Quantity::new("G", Kind::Light, spot.irradiance_w_m2);
        let light = chain.given("light of the worst case", light, "from the worst hour", None);
        let cell = Quantity::new("Tw", Kind::Celsius, spot.cell_c);
        let cell = chain.given("cells of the worst case", cell, "from the worst hour", None);
        let allowance = Quantity::new("ΔTa", Kind::Kelvin, ALLOWANCE_K);
        let colder = Quantity::new("Tc", Kind::Celsius, cell.value - allowance.value);
        let text = "Tw - ΔTa";
        let colder = chain.step(
            Formula { id: "colder", what: "the colder cells", text, source: None },
            &[&cell, &allowance],
            colder,
        );
        volts::open_circuit(&mut chain, ready.group, volts::Strength::Strongest, &light, &colder);
        let string = match self.groups.len() {
            1 => String::new(),
            _ => format!("string {}; ", hour::string_words(ready.group)),
        };
        chain.remark(format!("{string}{LARGEST}"));
        Some((figure, chain.finish()))
    }

    /// Mean and standard deviation of the seasons, and the factor that so few of them need.
    fn level(&self) -> Option<(f64, Vec<Part>)> {
        let figure = self.decide.level?;
        let years = self.assumptions.return_years;
        let maxima = block_maxima(self.seen, Voltage::WorstCase);
        let moments = extreme::moments(&counted_values(&maxima, Side::High))?;
        let factor = extreme::predictive_factor(moments.n, years)?;
        let mut chain = Chain::default();
        chain.part(format!("The level: what the next season passes with a chance of 1 in {years:.0}"));
        let mean = chain.given(
            format!("mean of the largest worst cases of {} seasons or stays", moments.n),
            Quantity::new("m", Kind::Volts, moments.mean),
            "",
            None,
        );
        let sd = Quantity::new("s", Kind::Volts, moments.sd);
        let sd = chain.given("their standard deviation", sd, "", None);
        let factor = chain.given(
            format!("factor of 1 in {years:.0} from {} of them", moments.n),
            Quantity::new("k", Kind::Share, factor),
            "by simulation of Gumbel records",
            None,
        );
        chain.step(
            Formula {
                id: "level",
                what: "what the next one passes so seldom",
                text: "m + k s",
                source: None,
            },
            &[&mean, &factor, &sd],
            Quantity::new("V", Kind::Volts, mean.value + factor.value * sd.value),
        );
        chain.remark(LARGEST);
        Some((figure, chain.finish()))
    }
}
