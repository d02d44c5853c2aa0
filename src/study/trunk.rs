//! What lies behind the point where strings join, in a few words: its plug and its cable. One answer for the needs of a plan and for
//! an arrangement that is only looked at.

use crate::array::{Array, Carries};
use crate::assumptions::Rules;
use crate::cite::own_table_of_cables;
use crate::limits::current::CIRCUIT_FACTOR;
use crate::study::cables::{self, Cable, Run};
use crate::study::classes::{MOST_OF_PLUGS_A, array_device};
use crate::units::{at_least, listed};

/// How it is usually done where the sum of the strings is more than a plug carries, and that one which joins them carries it too:
/// common practice, no source. Empty where common plugs do.
pub(super) fn too_much_for_plugs(array: &Array) -> String {
    if array.label_isc_a() * CIRCUIT_FACTOR <= MOST_OF_PLUGS_A + 1e-9 {
        return String::new();
    }
    let too_much = format!("more than common plugs carry ({MOST_OF_PLUGS_A} A)");
    let string_a = array.carried_isc_a(Carries::String) * CIRCUIT_FACTOR;
    if array.strings() < 2 || string_a > MOST_OF_PLUGS_A + 1e-9 {
        return format!(
            "{too_much}: screwed terminals in its place, or split the array (common practice, no source)"
        );
    }
    format!(
        "{too_much}: each string on its own pair of leads to a combiner box, a busbar or a terminal block with screws, so that ahead \
         of it every plug carries one string alone, {:.1} A; a branch connector carries the sum. Or split the array (common \
         practice, no source)",
        at_least(string_a)
    )
}

/// What an arrangement asks of its cable and its plug beyond what the plan has, and how that is to be read and done, which is told
/// once for several arrangements.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Asked {
    cable: Option<String>,
    /// On what that size rests.
    cable_where: Option<String>,
    plug: Option<String>,
    /// How that is done.
    plug_how: Option<String>,
}

impl Asked {
    /// Of an array; a cable that breaks a limit as it is has its size told there.
    pub(super) fn of(array: &Array, rules: Rules) -> Self {
        let circuit_a = array.label_isc_a() * CIRCUIT_FACTOR;
        let too_much = too_much_for_plugs(array);
        let (plug, plug_how) = match too_much.split_once(": ") {
            Some((too_much, how)) if !has_plug_for(array, circuit_a) => (
                Some(format!(
                    "{:.1} A where its strings join (1.25 x Isc) are {too_much}",
                    at_least(circuit_a)
                )),
                Some(format!("What is {too_much}: {how}")),
            ),
            _ => (None, None),
        };
        let (cable, cable_where) = cable(array, rules).map_or((None, None), |(a, b)| (Some(a), b));
        Self { cable, cable_where, plug, plug_how }
    }

    /// Clauses of one sentence; `None` where nothing more is asked.
    pub(super) fn words(&self) -> Option<String> {
        let cable = self.cable.as_ref().map(|cable| format!("it asks for {cable}"));
        let both: Vec<String> = cable.into_iter().chain(self.plug.clone()).collect();
        (!both.is_empty()).then(|| both.join("; "))
    }

    /// How that is to be read and done: sentences without their full stop.
    pub(super) fn how(&self) -> Vec<String> {
        self.cable_where.iter().chain(&self.plug_how).cloned().collect()
    }
}

/// Whether the plan has a connector of the array that carries so much; one whose amps are not known says nothing.
fn has_plug_for(array: &Array, circuit_a: f64) -> bool {
    let own = array
        .components
        .iter()
        .filter(|part| part.kind.word() == "connector" && part.carries == Carries::Array);
    own.filter_map(|part| part.rated_a).any(|rated| rated.0 >= circuit_a)
}

/// The cable, and on what its size rests.
fn cable(array: &Array, rules: Rules) -> Option<(String, Option<String>)> {
    let isc_a = array.label_isc_a();
    let device = array_device(array, rules);
    let planned: Vec<Cable<'_>> =
        cables::cables(array).filter(|cable| cable.component.carries == Carries::Array).collect();
    if planned.is_empty() {
        let Run { insulation_c, air_c } = cables::USUAL;
        return Some((
            format!("an array cable of {}", cables::in_short(cables::USUAL, isc_a, device, rules)),
            Some(format!(
                "Its cable is sized for {insulation_c:.0} °C insulation in air of {air_c:.0} °C, taken as usual on a roof{}",
                own_table_of_cables(rules).map_or_else(String::new, |own| format!(
                    ", by the amps of NEC Table 310.16: look it up in {own} too"
                ))
            )),
        ));
    }
    let behind = |cable: &Cable<'_>| cables::behind_in_short(cable, isc_a, device?, rules);
    let clauses: Vec<String> = planned.iter().filter_map(behind).collect();
    (!clauses.is_empty()).then(|| (listed(&clauses), None))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::{PANEL, array};

    fn in_parallel(strings: u32, more: &str) -> Array {
        array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {strings}\nmount = 'roof'\n{more}"
        ))
    }

    fn told(strings: u32, more: &str) -> String {
        let asked = Asked::of(&in_parallel(strings, more), Rules::All);
        asked.words().into_iter().chain(asked.how()).collect::<Vec<_>>().join(". ")
    }

    // Six strings of 5.8 A ask for 1.25 x 34.8 = 43.5 A at 65 °C, 6 AWG (48.75 A), and 54.4 A: 60 A by NEC 240.6(A), 63 A in the IEC's
    // series (from memory). 4 AWG carries 95 x 0.65 = 61.75 A: enough behind 60 A, and by IEC 60364-4-43 not behind 63 A. By hand.
    #[test]
    fn what_no_cable_carries_by_a_rule_is_told_alike_by_series_and_by_the_needs() {
        use crate::assumptions::Assumptions;
        use crate::study::classes::component_needs;
        use crate::study::needed::VoltsNeeded;
        let clause = "; by IEC 60364-4-43 no size up to 25 mm2 or 4 AWG may stand behind 63 A there: take a thicker cable than the tables \
                      here hold, or split the array";
        let looked_at = told(6, "");
        let begins = "it asks for an array cable of 25 mm2 or 4 AWG, which may stand behind a fuse or breaker of 60 A by NEC 240.4 alone (16 mm2 or 6 AWG is enough where none stands in it)";
        assert!(looked_at.starts_with(&format!("{begins}{clause}")), "{looked_at}");
        let needs = component_needs(
            &in_parallel(6, ""),
            &VoltsNeeded::of_sum(None, Some(26.0)),
            &Assumptions::default(),
        );
        let row = needs.iter().find(|need| need.component == "array cable").map(|need| need.remark.as_str());
        assert!(row.is_some_and(|remark| remark.contains(clause)), "{row:?}");
        let size =
            needs.iter().find(|need| need.component == "array cable").and_then(|need| need.size.as_deref());
        assert_eq!(size, Some("25 mm2 or 4 AWG by NEC 240.4, a thicker one by IEC 60364-4-43"));
        // The same of a cable of the plan, which carries the array and not its device.
        let own = told(6, &format!("{CABLE}name = 'trunk'\nmm2 = 16\n"));
        assert!(own.contains("25 mm2 or 4 AWG as trunk") && own.contains(clause), "{own}");
    }

    const CABLE: &str = "[[component]]\nkind = 'cable'\ninsulation_c = 90\nambient_c = 65\n";

    // Strings of 5.8 A, by hand: five 1.25 x 29.0 = 36.25 A, four 29.0 A; common plugs carry 30 A (a data sheet). Four at 65 °C ask for 8
    // AWG (35.75 A), behind 40 A by IEC 60364-4-43 for 6 AWG (48.75 A); Table 310.16 and its correction.
    #[test]
    fn what_strings_side_by_side_ask_of_plug_and_cable_is_told() {
        let five = told(5, "");
        assert!(
            five.contains(
                "36.3 A where its strings join (1.25 x Isc) are more than common plugs carry (30 A). "
            ),
            "{five}"
        );
        assert!(
            five.contains(
                "What is more than common plugs carry (30 A): each string on its own pair of leads"
            ),
            "{five}"
        );
        assert!(
            told(5, "").contains("every plug carries one string alone, 7.3 A")
                && told(5, "").contains("common practice, no source")
        );
        assert!(!told(4, "").contains("plug"), "{}", told(4, ""));
        assert!(
            told(4, "").starts_with("it asks for an array cable of 16 mm2 or 6 AWG, which may stand behind a fuse or breaker of 40 A (10 mm2 or 8 AWG is enough where none stands in it). Its cable is sized for 90 °C"),
            "{}",
            told(4, "")
        );
        let plug = "[[component]]\nkind = 'connector'\nrated_a = 60\nmax_v = 600\n";
        assert!(!told(5, plug).contains("plugs carry"), "one that carries it");
        assert!(told(5, &plug.replace("60", "30")).contains("plugs carry"), "one that does not");
    }

    // The same: 16 mm2 hold behind 40 A by both, 10 mm2 by NEC 240.4(B) alone, and 6 mm2 (26.0 A) break a limit that says their size.
    #[test]
    fn a_cable_of_the_plan_that_is_too_thin_for_its_breaker_is_told_with_its_size() {
        assert_eq!(told(4, &format!("{CABLE}mm2 = 16\n")), "");
        let ten = told(4, &format!("{CABLE}name = 'trunk'\nmm2 = 10\n"));
        assert!(
            ten.starts_with(
                "it asks for 16 mm2 or 6 AWG as trunk where a fuse or breaker of 40 A protects it (its 10 mm2"
            ),
            "{ten}"
        );
        assert_eq!(told(4, &format!("{CABLE}mm2 = 6\n")), "");
    }

    // A panel of 26 A is more than one plug carries by itself: 32.5 A.
    #[test]
    fn plugs_are_no_way_out_for_a_string_that_is_too_much_for_them() {
        let large = |strings: u32| {
            array(&format!(
                "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 26\n[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {strings}\n\
                 mount = 'roof'\n"
            ))
        };
        for strings in [1, 2] {
            assert!(too_much_for_plugs(&large(strings)).contains("screwed terminals"));
        }
        assert_eq!(too_much_for_plugs(&in_parallel(1, "")), "");
    }
}
