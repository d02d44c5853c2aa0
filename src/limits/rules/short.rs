//! The names of rules in two words, for a column of a table: a device may stand under several, and "rule" alone does not
//! tell them apart.

use super::{ampacity, fuse, lead};
use crate::limits::poles;

/// The rule in two words; `None` for one of open-circuit volts, which goes by figures and not by a rule of its own.
#[must_use]
pub fn in_short(rule: &str) -> Option<&'static str> {
    let named = [
        (poles::ALL_CONDUCTORS, "all conductors"),
        (poles::DC_RATED, "dc rating"),
        (ampacity::RULE, "ampacity"),
        (fuse::RULE, "label's fuse"),
        (lead::RULE, "lead protected"),
    ];
    let by_factor = [("1.5625 x Isc", "1.5625 x Isc"), ("1.25 x Isc", "1.25 x Isc")];
    named
        .into_iter()
        .find_map(|(known, short)| known.is(rule).then_some(short))
        .or_else(|| by_factor.into_iter().find_map(|(part, short)| rule.contains(part).then_some(short)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assumptions::Rules;
    use crate::limits::current::controller_demand;

    #[test]
    fn a_cable_goes_by_its_ampacity_and_a_controller_by_the_first_factor() {
        assert_eq!(in_short(&ampacity::RULE.under(Rules::Iec)), Some("ampacity"));
        assert_eq!(in_short(&controller_demand().rule.under(Rules::All)), Some("1.25 x Isc"));
        assert_eq!(in_short("touch voltage chosen in the plan"), None);
    }
}
