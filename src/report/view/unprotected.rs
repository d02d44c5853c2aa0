//! A fuse or breaker that holds its ratings and does not protect the cable behind it: no limit, since it depends on the controller,
//! and nothing that may be read far below the verdict.

use crate::report::show;
use crate::study::results::Assessment;
use crate::units::listed;

/// One sentence a cable: it belongs right below the verdict.
pub(crate) fn unprotected(assessment: &Assessment) -> Vec<String> {
    let several = assessment.arrays.len() > 1;
    let of =
        assessment.arrays.iter().flat_map(|facts| facts.unprotected.iter().map(move |found| (facts, found)));
    of.map(|(facts, found)| {
        let whose = if several { format!("array {}: ", facts.name) } else { String::new() };
        format!(
            "No limit, but to be settled first: {whose}{} ({}) does not protect {}, which carries {} where it runs, against the battery, \
             if the controller lets amps back (its manual says). See What to change.",
            found.device,
            show::rating(found.rated_a, "A"),
            found.cable,
            show::rating(found.carries_a, "A"),
        )
    })
    .chain(one_pole(assessment))
    .collect()
}

/// Devices that hold only if their volts are those of one pole, a sentence a rating.
fn one_pole(assessment: &Assessment) -> impl Iterator<Item = String> + '_ {
    let several = assessment.arrays.len() > 1;
    assessment.arrays.iter().flat_map(move |facts| {
        let whose = if several { format!("array {}: ", facts.name) } else { String::new() };
        facts.one_pole.iter().map(move |found| {
            let verb = if found.devices.len() == 1 { "holds" } else { "hold" };
            format!(
                "No limit, but to be settled first: {whose}{} {verb} {}.",
                listed(&found.devices),
                found.of_them_in_words()
            )
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan;
    use crate::study::{Choice, assess};
    use std::path::Path;

    /// Four strings of 9.2 A ask a breaker for 1.5625 x 36.8 = 57.5 A: 63 A hold. 16 mm2 (6 AWG) carry 75 x 0.65 = 48.75 A at 65 °C,
    /// so 50 A are the most behind it (NEC 240.4(B)); 25 mm2 (4 AWG) 95 x 0.65 = 61.75 A, so 70 A. By hand from Table 310.16.
    #[test]
    fn a_breaker_that_does_not_protect_its_cable_is_told_below_the_verdict()
    -> Result<(), Box<dyn std::error::Error>> {
        let with = |mm2: u32| -> Result<Assessment, Box<dyn std::error::Error>> {
            let text = format!(
                "[[module]]\nid = 'p'\nvoc_v = 24.1\nisc_a = 9.2\nvoc_temp_coeff = '-0.27 %/K'\nmax_series_fuse_a = 15\n\
                 [[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\nmount = 'roof'\n\
                 [[component]]\nkind = 'breaker'\nname = 'b'\nmax_v = 100\nrated_a = 63\npoles_opened = 2\n\
                 [[component]]\nkind = 'cable'\nname = 'main'\nmm2 = {mm2}\ninsulation_c = 90\nambient_c = 65\n\
                 [assumptions]\ncode_temperature = -20\n"
            );
            let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new()))?;
            Ok(assess(&plan, &Choice::default())?)
        };
        let row = |found: &Assessment| -> Option<(String, String)> {
            let facts = found.arrays.first()?;
            let needs = crate::report::view::needs(&facts.needs);
            let need = needs.iter().find(|need| need.component == "breaker or array fuse")?;
            Some((crate::report::view::class_to_buy(found, facts, need), need.remark.to_owned()))
        };
        let thin = with(16)?;
        assert_eq!(
            unprotected(&thin),
            [
                "No limit, but to be settled first: b (63 A) does not protect main, which carries 48.7 A where it runs, against the \
              battery, if the controller lets amps back (its manual says). See What to change."
            ]
        );
        let (class, remark) = row(&thin).unwrap_or_default();
        assert_eq!(class, "its ratings hold");
        assert!(remark.starts_with("b does not protect main, see What to change"), "{remark}");
        let thick = with(25)?;
        assert!(unprotected(&thick).is_empty());
        let (class, remark) = row(&thick).unwrap_or_default();
        assert!(class == "the plan's holds" && !remark.contains("protect main, see"), "{class} {remark}");
        Ok(())
    }
}
