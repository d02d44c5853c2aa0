//! What is cited for a rule, by the rules that a plan names: one place, so that a plan which names the IEC's is not told clauses of
//! the NEC, nor the other way round. A plan that names none is told all that apply.
//!
//! Where the computation itself is the NEC's and stays so ("a figure of NEC ..."), the words say so under every name.

use crate::assumptions::Rules;

/// For what a clause is cited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clause {
    /// Largest open-circuit volts against a dc rating `[NEC690.7]`, `[IEC60364-7-712]`.
    LargestVolts,
    /// The panel's largest system voltage.
    SystemVolts,
    /// The absolute limit of a controller.
    Manual,
    /// Its largest current.
    MakersLimit,
    /// Crystalline volts at freezing over those of the label, a figure of one code `[NEC690.7]`.
    AtFreezing,
    /// 1.25 x Isc for a rating `[NEC690.8]`, `[IEC60364-7-712]`.
    CircuitAmps,
    /// The same of the whole circuit.
    LargestAmps,
    /// The same for what is listed for continuous use at 100 %.
    ListedAmps,
    /// 1.5625 x Isc for a rating: the code's, and more than the others ask for.
    ContinuousAmps,
    /// Both factors, where a rating holds one.
    BothFactors,
    /// Both factors on the leads of a string.
    LeadAmps,
    /// That the circuits of the array can be disconnected `[NEC690.13]`.
    Disconnect,
    /// All conductors that are not solidly earthed, at once.
    AllConductors,
    /// A device made for direct current `[NEC690.13]`, `[IEC60947-3]`.
    DirectCurrent,
    /// That a plug connector is no switch.
    PlugsBreakNothing,
    /// Overcurrent protection of strings `[NEC690.9]`, `[IEC62548]`.
    Strings,
    /// The label's largest series fuse.
    LabelsFuse,
    /// A lead of a string against the others.
    Leads,
    /// What a cable carries `[NEC310.16]`, `[IEC60364-5-52]`.
    Ampacity,
    /// What a roof in the sun adds to the air around a cable, a figure of one code.
    RoofHeat,
    /// What may stand behind a cable `[NEC240.4]`, `[IEC60364-4-43]`, `[ASNZS5033]`.
    Behind,
    /// The next standard size above what it carries.
    BehindNextSize,
    /// The most of a small conductor.
    BehindSmall,
}

impl Clause {
    /// The words that are cited.
    #[must_use]
    pub fn under(self, rules: Rules) -> &'static str {
        // all that apply, the NEC's, the IEC's, those of AS/NZS
        let [all, nec, iec, as_nzs] = match self {
            Self::LargestVolts => {
                ["NEC 690.7, IEC 60364-7-712", "NEC 690.7", "IEC 60364-7-712", "AS/NZS 5033"]
            }
            Self::SystemVolts => ["label, IEC 61730"; 4],
            Self::Manual => ["maker's manual"; 4],
            Self::MakersLimit => ["maker's limit"; 4],
            Self::AtFreezing => of_the_code("NEC 690.7", "a figure of NEC 690.7"),
            Self::CircuitAmps => ["NEC 690.8(A)(1)", "NEC 690.8(A)(1)", "IEC 60364-7-712", "AS/NZS 5033"],
            Self::LargestAmps => {
                ["NEC 690.8(A)(1), IEC 60364-7-712", "NEC 690.8(A)(1)", "IEC 60364-7-712", "AS/NZS 5033"]
            }
            Self::ListedAmps => ["NEC 690.8", "NEC 690.8", "IEC 60364-7-712", "AS/NZS 5033"],
            Self::ContinuousAmps => stricter("NEC 690.8(A)(1) and (B)"),
            Self::BothFactors => stricter("NEC 690.8, 690.9"),
            Self::LeadAmps => stricter("NEC 690.8"),
            Self::Disconnect => ["NEC 690.13", "NEC 690.13", "IEC 60364-7-712", "AS/NZS 5033"],
            Self::AllConductors => ["NEC 690.13(E)", "NEC 690.13(E)", "IEC 60364-7-712", "AS/NZS 5033"],
            Self::DirectCurrent => {
                ["NEC 690.13, IEC 60947-3", "NEC 690.13", "IEC 60947-3", "AS/NZS 5033, IEC 60947-3"]
            }
            Self::PlugsBreakNothing => {
                let made = "IEC 62852: without breaking capacity";
                [made, "by their standard without breaking capacity", made, made]
            }
            Self::Strings => ["NEC 690.9(A)", "NEC 690.9(A)", "IEC 62548-1", "AS/NZS 5033"],
            Self::LabelsFuse => [
                "label, IEC 61730; NEC 690.9",
                "label; NEC 690.9",
                "label, IEC 61730; IEC 62548-1",
                "label, IEC 61730; AS/NZS 5033",
            ],
            Self::Leads => [
                "NEC 690.9(A), 240.4; IEC 60364-4-43",
                "NEC 690.9(A), 240.4",
                "IEC 62548-1, IEC 60364-4-43",
                "AS/NZS 5033, AS/NZS 3000",
            ],
            Self::Ampacity => [
                "NEC 690.8(B), Table 310.16",
                "NEC 690.8(B), Table 310.16",
                "amps of NEC Table 310.16, in place of IEC 60364-5-52",
                "amps of NEC Table 310.16, in place of AS/NZS 3008.1",
            ],
            Self::RoofHeat => of_the_code("NEC 310.15(B)", "a figure of NEC 310.15(B)"),
            Self::Behind => ["NEC 240.4", "NEC 240.4", "IEC 60364-4-43", "AS/NZS 3000"],
            Self::BehindNextSize => ["NEC 240.4(B)", "NEC 240.4(B)", "IEC 60364-4-43", "AS/NZS 3000"],
            Self::BehindSmall => ["NEC 240.4(D)", "NEC 240.4(D)", "IEC 60364-4-43", "AS/NZS 3000"],
        };
        match rules {
            Rules::All => all,
            Rules::Nec2023 => nec,
            Rules::Iec => iec,
            Rules::AsNzs => as_nzs,
        }
    }
}

/// A figure that one code alone gives, used under all.
fn of_the_code(clause: &'static str, openly: &'static str) -> [&'static str; 4] {
    [clause, clause, openly, openly]
}

/// The code's factor of 1.5625, kept under rules that ask for less.
fn stricter(clause: &'static str) -> [&'static str; 4] {
    [clause, clause, "on the safe side of IEC 60364-7-712", "on the safe side of AS/NZS 5033"]
}

/// A rule in a few words, by which a limit is known, and the clause that is cited for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// The words, which are the same under all rules.
    pub words: &'static str,
    /// Its clause.
    pub clause: Clause,
}

impl Rule {
    /// "rated for direct current (NEC 690.13)".
    #[must_use]
    pub fn under(self, rules: Rules) -> String {
        format!("{} ({})", self.words, self.clause.under(rules))
    }

    /// Whether a limit's line stands under this rule, whichever clause it cites.
    #[must_use]
    pub fn is(self, line: &str) -> bool {
        line.strip_prefix(self.words).is_some_and(|rest| rest.starts_with(" ("))
    }
}

/// The clause that asks for a disconnect in a sentence, where the plan has none.
#[must_use]
pub fn disconnect_asked_for(rules: Rules) -> String {
    let clause = Clause::Disconnect.under(rules);
    let alike = if rules == Rules::All { "; IEC 60364-7-712 asks alike" } else { "" };
    format!("{clause}: a means to disconnect the PV circuits from all other conductors{alike}")
}

/// The key of the source for the code sum by the label's coefficient.
#[must_use]
pub fn largest_volts_source(rules: Rules) -> &'static str {
    match rules {
        Rules::All | Rules::Nec2023 => "NEC690.7",
        Rules::Iec => "IEC60364-7-712",
        Rules::AsNzs => "ASNZS5033",
    }
}

/// Where the amps that a cable carries are to be looked up; `None` where the table that is used is one of the rules cited.
#[must_use]
pub fn own_table_of_cables(rules: Rules) -> Option<&'static str> {
    match rules {
        Rules::All | Rules::Nec2023 => None,
        Rules::Iec => Some("IEC 60364-5-52"),
        Rules::AsNzs => Some("AS/NZS 3008.1"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line is found again under every rule, and no rule is taken for another that begins alike.
    #[test]
    fn a_rule_is_known_by_its_words_under_every_clause() {
        let rule = Rule { words: "rated current", clause: Clause::ContinuousAmps };
        for rules in [Rules::All, Rules::Nec2023, Rules::Iec, Rules::AsNzs] {
            assert!(rule.is(&rule.under(rules)));
        }
        assert!(!rule.is("rated current of another kind (NEC 690.8)") && !rule.is("rated current"));
    }

    #[test]
    fn a_disconnect_is_asked_for_by_the_rules_named() {
        assert_eq!(
            disconnect_asked_for(Rules::All),
            "NEC 690.13: a means to disconnect the PV circuits from all other conductors; IEC 60364-7-712 asks alike"
        );
        assert!(disconnect_asked_for(Rules::AsNzs).starts_with("AS/NZS 5033: a means"));
    }
}
