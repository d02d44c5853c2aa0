//! Rules that need no weather, one file each, each with its standard, clause and how sure the project is of it.

pub mod ampacity;
pub mod behind;
pub mod fuse;
pub mod lead;
pub mod pwm;
pub mod short;
pub mod touch;

use crate::cite::Rule;
use crate::limits::Verdict;

/// A rule about amps, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The rule.
    pub rule: Rule,
    /// Amps that the component may have or carry.
    pub rating_a: f64,
    /// Amps that are asked of it.
    pub demand_a: f64,
    /// What it comes to.
    pub verdict: Verdict,
    /// The sentence.
    pub reason: String,
}
