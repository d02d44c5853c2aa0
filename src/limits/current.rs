//! A current rating against the array's short-circuit current and its factor.

use crate::array::{Component, ComponentKind};
use crate::cite::{Clause, Rule};
use crate::limits::Verdict;

/// Largest circuit current over short-circuit current: bright sky lasting hours `[NEC690.8]`, `[IEC60364-7-712]`.
pub const CIRCUIT_FACTOR: f64 = 1.25;
/// The same for what must carry it continuously: 1.25 times 1.25 `[NEC690.8]`.
pub const CONTINUOUS_FACTOR: f64 = 1.5625;

/// What a component's rated current is held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurrentDemand {
    /// Factor on the short-circuit current.
    pub factor: f64,
    /// The rule.
    pub rule: Rule,
}

/// The demand on the rated current of a component; `None` for a cable, whose rating comes from its ampacity, and
/// for a controller, whose rating is its largest short-circuit current (see [`controller_demand`]).
#[must_use]
pub fn demand(component: &Component) -> Option<CurrentDemand> {
    match &component.kind {
        ComponentKind::Disconnect(poles) | ComponentKind::Breaker(poles) | ComponentKind::Switch(poles) => {
            Some(if poles.continuous_100_percent {
                CurrentDemand {
                    factor: CIRCUIT_FACTOR,
                    rule: Rule {
                        words: "rated current, listed for continuous use at 100 %: 1.25 x Isc",
                        clause: Clause::ListedAmps,
                    },
                }
            } else {
                CONTINUOUS
            })
        }
        ComponentKind::Fuse => Some(CONTINUOUS),
        ComponentKind::Connector => Some(CurrentDemand {
            factor: CIRCUIT_FACTOR,
            rule: Rule { words: "rated current: 1.25 x Isc", clause: Clause::CircuitAmps },
        }),
        ComponentKind::Cable { .. } | ComponentKind::Controller { .. } => None,
    }
}

const CONTINUOUS: CurrentDemand = CurrentDemand {
    factor: CONTINUOUS_FACTOR,
    rule: Rule { words: "rated current: 1.5625 x Isc", clause: Clause::ContinuousAmps },
};

/// The demand on a controller's largest short-circuit current.
#[must_use]
pub fn controller_demand() -> CurrentDemand {
    CurrentDemand {
        factor: CIRCUIT_FACTOR,
        rule: Rule { words: "largest array short-circuit current: 1.25 x Isc", clause: Clause::MakersLimit },
    }
}

/// A current limit judged.
#[derive(Clone, Debug, PartialEq)]
pub struct CurrentJudgement {
    /// What it comes to.
    pub verdict: Verdict,
    /// The demand, A.
    pub demand_a: f64,
    /// The sentence.
    pub reason: String,
}

/// Judges a rated current against `isc_a` times the demand's factor.
#[must_use]
pub fn judge(rating_a: f64, isc_a: f64, demand: CurrentDemand) -> CurrentJudgement {
    let demand_a = isc_a * demand.factor;
    let factor = demand.factor;
    let (verdict, reason) = if demand_a <= rating_a {
        (Verdict::Within, format!("holds: {factor} x {isc_a:.2} A = {demand_a:.2} A against {rating_a} A"))
    } else if isc_a <= rating_a {
        (
            Verdict::Exceeded,
            format!(
                "the rating of {rating_a} A lies between the label's short-circuit current ({isc_a:.2} A) and the \
                 {demand_a:.2} A that {factor} x Isc asks for: it has too little room for {}",
                if factor > CIRCUIT_FACTOR {
                    "skies brighter than the label's, for hours on end"
                } else {
                    "skies brighter than the label's"
                }
            ),
        )
    } else {
        (
            Verdict::Exceeded,
            format!(
                "{isc_a:.2} A of short-circuit current alone pass {rating_a} A; {factor} x Isc is {demand_a:.2} A"
            ),
        )
    };
    CurrentJudgement { verdict, demand_a, reason }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked example c) of the teaching notes on NEC 690.8: Isc 11.2 A -> 14.0 A -> 17.5 A; d) 3 x 10.07 A x 1.25 =
    // 37.76 A (read in teaching notes; checks kept with the standards' factors).
    #[test]
    fn published_worked_examples_of_the_current_factors() {
        assert!((11.2 * CIRCUIT_FACTOR - 14.0).abs() < 1e-9);
        assert!((11.2 * CONTINUOUS_FACTOR - 17.5).abs() < 1e-9);
        assert!((3.0 * 10.07 * CIRCUIT_FACTOR - 37.76).abs() < 0.005);
    }

    #[test]
    fn a_rating_between_isc_and_the_factor_says_so() {
        let judged = judge(8.0, 5.8, CONTINUOUS);
        assert_eq!(judged.verdict, Verdict::Exceeded);
        assert!(judged.reason.contains("lies between"), "{}", judged.reason);
        // 63 A for an array below 30 A: a rating well above is not a fault (common practice, no source).
        assert_eq!(judge(63.0, 29.0, CONTINUOUS).verdict, Verdict::Within);
    }
}
