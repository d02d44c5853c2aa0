//! The parts of another arrangement of the same panels: what is bought for it, what the plan lacks for it, and what may stay.

use super::Way;
use super::fewer::Rearranged;
use crate::array::{Carries, Component};
use crate::assumptions::Rules;
use crate::limits::Verdict;
use crate::limits::rules::lead;
use crate::study::buying::{lacking_name, volts_to_buy_by};
use crate::study::classes::{MOST_OF_PLUGS_A, component_needs, next_class_a_words};
use crate::study::lines::{other_lines, voltage_ratings};
use crate::study::planned::{Planned, serves};
use crate::study::results::{ComponentNeed, LimitLine};
use crate::study::trunk;
use crate::units::{at_least, listed};

impl Way<'_> {
    /// A sentence that names every part of an arrangement, so that it can be bought by it alone. `share`: its volts, of those planned.
    pub(super) fn parts_of(&self, changed: &Rearranged, share: f64) -> String {
        let array = &changed.array;
        let rows = component_needs(array, &self.needed.times(share), &self.plan.assumptions);
        let lines = other_lines(array, &self.plan.assumptions);
        let is_too_much = !trunk::too_much_for_plugs(array).is_empty();
        let needed = self.needed.times(share);
        let (ratings, without) = voltage_ratings(array, &self.plan.assumptions);
        let has_no_dc_rating = |part: &Component, verdict: Verdict| {
            without.iter().any(|(name, kind, judged)| {
                *name == part.name && kind == part.kind.word() && judged.verdict == verdict
            })
        };
        let is_passed = |part: &Component| {
            ratings.iter().any(|rating| {
                rating.component == part.name
                    && rating.kind == part.kind.word()
                    && !matches!(needed.verdict(rating.volts), Verdict::Within | Verdict::Close)
            })
        };
        let mut unread: Vec<String> = Vec::new();
        let mut is_joined = array.strings() <= self.array.strings();
        let (mut buy, mut stay): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        for part in &array.components {
            let kind = part.kind.word();
            let is_own = |line: &&LimitLine| line.component == part.name && line.kind == kind;
            let fails = |line: &&LimitLine| {
                matches!(line.verdict, Verdict::Exceeded | Verdict::NotMet) && is_own(line)
            };
            let row = || {
                rows.iter()
                    .find(|row| serves(kind, &part.name, part.carries, &row.component, array.strings()))
            };
            let failing: Vec<&LimitLine> = lines.iter().filter(fails).collect();
            let text = match failing.as_slice() {
                // Volts are judged by no line of these: an ac figure is none, and a rating may be too low for fewer panels too.
                [] if has_no_dc_rating(part, Verdict::NotMet) => {
                    format!("{} (one with printed dc volts)", part.name)
                }
                [] if has_no_dc_rating(part, Verdict::NotAssessed) => {
                    add_once(&mut unread, part.name.clone());
                    continue;
                }
                [] if is_passed(part) => format!("{} (of more volts)", part.name),
                [] if changed.is_unknown(&part.name) => continue,
                [] => {
                    add_once(&mut stay, part.name.clone());
                    continue;
                }
                failing => {
                    let joins = kind == "connector" && part.carries == Carries::Array;
                    let screwed = (is_too_much && joins && array.strings() > 1).then_some(SCREWED);
                    is_joined |= screwed.is_some();
                    let screwed = screwed.map_or_else(String::new, |screwed| {
                        format!(": {screwed}, as common plugs carry {MOST_OF_PLUGS_A} A")
                    });
                    format!("{} ({}{screwed})", part.name, asked(failing, row(), self.plan.assumptions.rules))
                }
            };
            add_once(&mut buy, text);
        }
        let lacking: Vec<String> = rows
            .iter()
            .filter(|row| row.in_plan == Planned::Needed)
            .filter(|row| !(changed.no_fuse_fits && row.component == "string fuse"))
            .map(|row| {
                let size = size(row, &row.component);
                let hot = if row.size.is_some() { " on a hot roof" } else { "" };
                format!("{} ({size}{hot})", lacking_name(array.strings(), &row.component))
            })
            .collect();
        let mut clauses: Vec<String> = Vec::new();
        if !buy.is_empty() {
            clauses.push(format!("to buy {}", listed(&buy)));
        }
        if !lacking.is_empty() {
            clauses.push(format!("needed and not in the plan: {}", listed(&lacking)));
        }
        if !is_joined {
            clauses.push(match is_too_much {
                true => {
                    format!("{SCREWED} that joins the strings, as common plugs carry {MOST_OF_PLUGS_A} A")
                }
                false => "plugs that join the strings".to_owned(),
            });
        }
        match stay.as_slice() {
            [] if changed.unknown.is_empty() && unread.is_empty() && !buy.is_empty() => {
                clauses.push("nothing of the plan may stay".to_owned());
            }
            [] => {}
            names => clauses.push(format!("{} may stay", listed(names))),
        }
        clauses.extend(
            changed
                .unknown
                .iter()
                .map(|(name, text)| format!("{name} may stay only if {text}: look before rewiring")),
        );
        if !unread.is_empty() {
            clauses.push(format!("{} may stay only if made for these dc volts: look first", listed(&unread)));
        }
        let volts = volts_to_buy_by(self.assessment, self.facts).map_or_else(String::new, |(volts, why)| {
            format!(", for at least {:.1} V dc{why}", at_least(volts * share))
        });
        let asks_volts = !(buy.is_empty() && lacking.is_empty() && unread.is_empty());
        let volts = if asks_volts { volts } else { String::new() };
        format!("Its parts{volts}: {}.", clauses.join("; "))
    }
}

fn add_once(texts: &mut Vec<String>, text: String) {
    if !texts.contains(&text) {
        texts.push(text);
    }
}

/// What joins strings of more amps than plugs carry: common practice, no source.
const SCREWED: &str = "a terminal block or busbar with screws";

/// What a part of the plan has to become.
fn asked(failing: &[&LimitLine], row: Option<&ComponentNeed>, rules: Rules) -> String {
    // A lead that its own string fuse then protects no more.
    if failing.iter().any(|line| lead::RULE.is(&line.rule)) {
        return "a smaller fuse or a thicker lead".to_owned();
    }
    let amps = failing.iter().find(|line| line.unit == "A");
    match (amps.and_then(|line| Some((line, line.worst?))), row) {
        (Some((line, _)), Some(row)) if line.kind == "cable" => size(row, &line.kind),
        (Some((line, worst)), _) => next_class_a_words(&line.kind, worst, rules)
            .unwrap_or_else(|| format!("{:.1} A", at_least(worst))),
        (None, _) => failing.iter().map(|line| line.rule.as_str()).collect::<Vec<_>>().join(", "),
    }
}

/// The size of a cable, or the class of amps of another part, to order.
fn size(row: &ComponentNeed, kind: &str) -> String {
    if kind.ends_with("cable") {
        return row.size.clone().unwrap_or_else(|| "thicker than the sizes known here".to_owned());
    }
    row.next_class_a.map_or_else(|| format!("{:.1} A", at_least(row.amps)), |class| format!("{class} A"))
}
