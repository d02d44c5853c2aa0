//! Whether the plan has the part that a row of the needs is about, and whether it wants one where it has none.

use crate::array::{Array, Carries};
use crate::limits::rules::fuse::{StringFuses, string_fuses};
use serde::Serialize;

/// What a row of the needs asks a reader to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Planned {
    /// The plan has it.
    InPlan,
    /// The plan has none, and the array cannot do without.
    Needed,
    /// The plan has none, and the row's remark says when one is needed.
    OnlyIf,
}

impl Planned {
    /// In two words at most.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::InPlan => "yes",
            Self::Needed => "no: needed",
            Self::OnlyIf => "no: only if",
        }
    }
}

/// Whether the plan has a part for a row; an array may do without plugs, its own overcurrent device, and string fuses of which a
/// silent label leaves open whether they are needed.
pub(super) fn planned(array: &Array, need: &str) -> Planned {
    let strings = array.strings();
    let has =
        array.components.iter().any(|part| serves(part.kind.word(), &part.name, part.carries, need, strings));
    match need {
        _ if has => Planned::InPlan,
        "connector of a string" | "connector of the array" | BREAKER => Planned::OnlyIf,
        "string fuse" if !matches!(string_fuses(array), StringFuses::Needed { .. }) => Planned::OnlyIf,
        _ => Planned::Needed,
    }
}

/// The row of a disconnect that opens one string, one in each.
pub(super) const OF_A_STRING: &str = "disconnect of a string";

/// The row of an overcurrent device of the whole array.
pub(super) const BREAKER: &str = "breaker or array fuse";

/// When a row without a part in the plan asks for one; empty where it always does.
pub(super) fn condition(planned: Planned, need: &str) -> &'static str {
    match (planned, need) {
        (Planned::OnlyIf, BREAKER) => {
            "one of the two, where amps can come back from the battery (the controller's manual says)"
        }
        (Planned::OnlyIf, "connector of a string" | "connector of the array") => "where plugs are used",
        _ => "",
    }
}

/// Whether a part of that kind and name stands in a row of the needs. In an array of one string the string's current is the
/// array's.
#[must_use]
pub fn serves(kind: &str, name: &str, carries: Carries, need: &str, strings: u32) -> bool {
    let of_string = carries == Carries::String || strings < 2;
    let of_array = carries == Carries::Array || strings < 2;
    // Several cables have a row each, with their name.
    let (need, wanted) = need.split_once(": ").map_or((need, None), |(need, wanted)| (need, Some(wanted)));
    if wanted.is_some_and(|wanted| wanted != name) {
        return false;
    }
    match need {
        "connector of a string" => kind == "connector" && of_string,
        "connector of the array" => kind == "connector" && of_array,
        "string fuse" => matches!(kind, "fuse" | "breaker") && carries == Carries::String,
        "string cable" => kind == "cable" && of_string,
        "array cable" => kind == "cable" && of_array,
        BREAKER => matches!(kind, "fuse" | "breaker") && of_array,
        "disconnect" => kind == need && of_array,
        OF_A_STRING => kind == "disconnect" && of_string,
        _ => kind == need,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::two_in_series;

    /// NEC 690.13 asks for a disconnect in any case, 690.9(A) for overcurrent protection only where a current can come from
    /// elsewhere; that plugs may be left out is common practice, no source.
    #[test]
    fn what_an_array_can_do_without_is_said_to_be_conditional() {
        let bare = two_in_series("");
        assert_eq!(planned(&bare, "disconnect"), Planned::Needed);
        assert_eq!(planned(&bare, "array cable"), Planned::Needed);
        assert_eq!(planned(&bare, BREAKER), Planned::OnlyIf);
        assert_eq!(planned(&bare, "connector of a string"), Planned::OnlyIf);
        let fused =
            two_in_series("[[component]]\nkind = 'fuse'\ncarries = 'string'\nmax_v = 600\nrated_a = 10\n");
        assert_eq!(planned(&fused, BREAKER), Planned::InPlan, "one string's fuse is the array's");
    }
}
