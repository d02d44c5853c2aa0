//! Rules without a number: how many conductors a disconnect opens, and whether it has a dc rating at all.

use crate::array::{Component, ComponentKind, Poles};
use crate::cite::{Clause, Rule};
use crate::limits::Verdict;

/// A rule without a number, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleJudgement {
    /// The rule.
    pub rule: Rule,
    /// What it comes to.
    pub verdict: Verdict,
    /// The sentence.
    pub reason: String,
}

/// The rule about its conductors.
pub const ALL_CONDUCTORS: Rule = Rule {
    words: "opens all conductors that are not solidly earthed, at once",
    clause: Clause::AllConductors,
};

/// Whether the disconnect of an array opens every conductor that it must. `None` for other components.
#[must_use]
pub fn conductors(component: &Component, array_earthed: bool) -> Option<RuleJudgement> {
    let ComponentKind::Disconnect(poles) = &component.kind else { return None };
    let needed = conductors_needed(array_earthed);
    let (verdict, reason) = match poles.opened {
        None => (
            Verdict::NotAssessed,
            format!(
                "the plan does not say how many conductors it opens at once: give their number (poles_opened; {needed} needed)"
            ),
        ),
        Some(opened) if opened >= needed => {
            (Verdict::Within, format!("opens {opened} at once, {needed} needed"))
        }
        Some(opened) => (
            Verdict::NotMet,
            format!(
                "opens {opened} conductor, but the array is not solidly earthed, so both conductors must open at \
                 once: with one pole the roof side stays connected to the vehicle through the other"
            ),
        ),
    };
    Some(RuleJudgement { rule: ALL_CONDUCTORS, verdict, reason })
}

/// Conductors that must open at once.
#[must_use]
pub fn conductors_needed(array_earthed: bool) -> u32 {
    if array_earthed { 1 } else { 2 }
}

/// The rule where no dc volts are given.
pub const DC_RATED: Rule = Rule { words: "rated for direct current", clause: Clause::DirectCurrent };

/// The dc volts of a switching device as wired; a rule that is not met where only an ac figure is printed.
///
/// # Errors
/// The judgement, where there is no dc rating.
pub fn dc_volts(component: &Component) -> Result<f64, RuleJudgement> {
    if let Some(volts) = component.max_v {
        return Ok(volts.0);
    }
    let poles: Option<&Poles> = component.kind.poles();
    if let Some((per_pole, in_series)) = poles.and_then(|poles| poles.max_v_per_pole) {
        return Ok(per_pole.0 * f64::from(in_series));
    }
    Err(match poles.and_then(|poles| poles.max_v_ac) {
        Some(ac) => RuleJudgement {
            rule: DC_RATED,
            verdict: Verdict::NotMet,
            reason: format!(
                "no dc rating: {ac} is printed for alternating current, whose arc dies at every zero crossing; a dc \
                 arc does not. Use a device with printed dc volts"
            ),
        },
        None => RuleJudgement {
            rule: DC_RATED,
            verdict: Verdict::NotAssessed,
            reason: "the plan gives no dc volts: give them as printed for DC and for the way it is wired (max_v; where they are \
                     printed per pole, the volts of one, max_v_per_pole, and how many stand in series, poles_in_series)"
                .into(),
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::two_in_series;

    /// [NEC690.13]: all conductors that are not solidly earthed, at once.
    #[test]
    fn a_floating_array_needs_both() {
        assert_eq!((conductors_needed(false), conductors_needed(true)), (2, 1));
    }

    /// Two poles of 60 V one behind the other stand 120 V, by hand; a printed figure stands as it is; ac volts are no dc rating.
    #[test]
    fn dc_volts_are_those_as_wired() {
        let of = |keys: &str| {
            let array = two_in_series(&format!("[[component]]\nkind = 'disconnect'\n{keys}\n"));
            dc_volts(&array.components[0]).map_err(|judged| judged.verdict)
        };
        assert_eq!(of("max_v_per_pole = 60\npoles_in_series = 2"), Ok(120.0));
        assert_eq!(of("max_v = 150"), Ok(150.0));
        assert_eq!(of("max_v_ac = 250"), Err(Verdict::NotMet));
        assert_eq!(of("rated_a = 20"), Err(Verdict::NotAssessed));
    }
}
