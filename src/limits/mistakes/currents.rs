//! Ratings in amps that are read wrongly.

use super::{ask, named, unjudged, wiring};
use crate::array::{Array, Carries, Component, ComponentKind};
use crate::assumptions::Rules;
use crate::cite::Clause;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::rules::fuse::{StringFuses, against_label, string_fuses, switch_above_label};
use crate::limits::rules::lead::{Overfed, overfed};
use crate::note::Note;
use crate::units::{at_least, at_most};

/// A breaker rated so many times the array's current never trips on it.
const NEVER_TRIPS: f64 = 2.0;
/// Air around a cable on a roof, °C: below this, a roof was probably not thought of.
const WARM_ROOF_C: f64 = 50.0;

pub(super) fn remarks(array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    parallel_strings(array, rules, notes);
    for component in &array.components {
        match &component.kind {
            ComponentKind::Disconnect(poles)
            | ComponentKind::Breaker(poles)
            | ComponentKind::Switch(poles) => {
                if !poles.continuous_100_percent {
                    one_factor_only(component, array, rules, notes);
                }
                never_trips(component, array, rules, notes);
                breaker_by_name(component, array, notes);
                above_label(component, array, rules, notes);
            }
            ComponentKind::Fuse => {
                one_factor_only(component, array, rules, notes);
                above_label(component, array, rules, notes);
            }
            ComponentKind::Cable { ambient_c, .. } => {
                if let Some(ambient_c) = ambient_c.filter(|air_c| *air_c < WARM_ROOF_C) {
                    ask(
                        notes,
                        format!(
                            "{}: air of {ambient_c:.0} °C where it runs hottest? Under panels on a roof 65 to 75 °C are usual, in \
                             a locker 40 to 60; a cable in sun closer than 23 mm to a roof counts 33 K more ({})",
                            named(component),
                            Clause::RoofHeat.under(rules)
                        ),
                    );
                }
                // Where its fuse does not protect it a limit of its own says so.
                let lead = overfed(component, array, rules);
                if let Some(lead) = lead.filter(|lead| lead.device.is_none()) {
                    lead_without_fuse(component, &lead, rules, notes);
                }
            }
            ComponentKind::Controller { .. } | ComponentKind::Connector => {}
        }
    }
}

/// Three and more strings without fuses.
fn parallel_strings(array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    let is_fused = array.components.iter().any(|component| {
        matches!(component.kind, ComponentKind::Fuse | ComponentKind::Breaker(_))
            && component.carries == Carries::String
    });
    let fuses = string_fuses(array);
    match fuses {
        StringFuses::Needed { .. } if !is_fused => {
            ask(notes, format!("array \"{}\": {}", array.name, fuses.in_words(rules)));
        }
        StringFuses::Unknown { .. } if !is_fused && array.strings() > 2 => {
            ask(notes, format!("array \"{}\": {}", array.name, fuses.in_words(rules)));
        }
        _ => {}
    }
}

/// 1.25 once where 1.5625 is asked for.
fn one_factor_only(component: &Component, array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    let isc_a = array.carried_isc_a(component.carries);
    let Some(rated) = component
        .rated_a
        .map(|amps| amps.0)
        .filter(|rated| *rated >= isc_a && *rated < CONTINUOUS_FACTOR * isc_a)
    else {
        return;
    };
    let holds = if rated >= CIRCUIT_FACTOR * isc_a { "holds 1.25 x Isc" } else { "holds Isc" };
    wiring(
        notes,
        format!(
            "{}: {rated} A {holds}, not the {:.1} A of 1.5625 x Isc: 1.25 for bright skies and once more 1.25 for continuous use \
             ({})",
            named(component),
            at_least(CONTINUOUS_FACTOR * isc_a),
            Clause::BothFactors.under(rules)
        ),
    );
}

/// A breaker far above its circuit's current is a switch, unless it is what protects a string against the others.
fn never_trips(component: &Component, array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    let isc_a = array.carried_isc_a(component.carries);
    let Some(rated) = component.rated_a.map(|amps| amps.0) else { return };
    let is_large = isc_a > 0.0 && rated >= NEVER_TRIPS * isc_a;
    if matches!(component.kind, ComponentKind::Breaker(_))
        && is_large
        && against_label(component, array, rules).is_none()
    {
        let above = switch_above_label(component, array).map_or_else(String::new, |label_a| {
            format!(" and protects no panel, whose label allows a series fuse of {label_a} A")
        });
        let whole = match component.carries {
            Carries::String if array.strings() > 1 => "string",
            Carries::String | Carries::Array => "array",
        };
        ask(
            notes,
            format!(
                "{}: {rated} A for {} {whole} of {isc_a:.1} A is no fault, and no overcurrent protection either: it never trips on \
                 the {whole}'s own current{above}. It may stay as a switch alone; the battery side needs a fuse of its own",
                named(component),
                if whole == "array" { "an" } else { "a" }
            ),
        );
    }
}

/// Words by which a name says that a device is a breaker.
const BREAKERS: [&str; 4] = ["breaker", "breakers", "mcb", "mccb"];

/// A breaker that stands in the plan as what isolates alone: nothing holds its amps against the cable behind it.
fn breaker_by_name(component: &Component, array: &Array, notes: &mut Vec<Note>) {
    let name = component.name.to_lowercase();
    let mut words = name.split(|sign: char| !sign.is_alphanumeric());
    let says_so = words.any(|word| BREAKERS.contains(&word));
    let of_place = |other: &&Component| other.carries == component.carries || array.strings() == 1;
    let is_protected = array
        .components
        .iter()
        .filter(of_place)
        .any(|other| matches!(other.kind, ComponentKind::Breaker(_) | ComponentKind::Fuse));
    if matches!(component.kind, ComponentKind::Disconnect(_)) && says_so && !is_protected {
        unjudged(
            notes,
            format!(
                "{}: a breaker also trips on overcurrent, and whether it protects the cable behind it was not judged: for that \
                 enter the same device a second time (kind = \"breaker\")",
                named(component)
            ),
        );
    }
}

/// What protects a string, above the label's largest; and a breaker there that is no protection.
fn above_label(component: &Component, array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    if let Some(judged) = against_label(component, array, rules)
        && judged.demand_a > judged.rating_a
    {
        wiring(notes, format!("{}: {}", named(component), judged.reason));
    }
    if let (ComponentKind::Disconnect(_), Some(label_a), Some(rated)) =
        (&component.kind, switch_above_label(component, array), component.rated_a)
    {
        // Entered a second time as a breaker it has the words of one.
        let is_twice = array.components.iter().any(|part| {
            matches!(part.kind, ComponentKind::Breaker(_))
                && part.carries == component.carries
                && part.rated_a == component.rated_a
        });
        if is_twice {
            return;
        }
        ask(
            notes,
            format!(
                "{}: at {} A it protects no panel, also where it is a breaker (the label allows a series fuse of {label_a} A): it \
                 may stay as a switch alone{}",
                named(component),
                rated.0,
                needs_none(array, rules)
            ),
        );
        return;
    }
    // Far above the current the remark on a breaker that never trips says it.
    let small = |rated: &f64| *rated < NEVER_TRIPS * array.carried_isc_a(component.carries);
    let rated = component.rated_a.map(|amps| amps.0).filter(small);
    if let (Some(label_a), Some(rated)) = (switch_above_label(component, array), rated) {
        ask(
            notes,
            format!(
                "{}: {rated} A, above the label's largest series fuse of {label_a} A, so it protects no panel: it may stay as a \
                 switch alone{}",
                named(component),
                needs_none(array, rules)
            ),
        );
    }
}

/// Why a switch alone does, where the strings need no protection.
fn needs_none(array: &Array, rules: Rules) -> String {
    let why = match string_fuses(array) {
        StringFuses::OneString => "one string needs no protection",
        StringFuses::NotNeeded { .. } => "the other strings can feed no more into one than its label allows",
        StringFuses::Needed { .. } | StringFuses::Unknown { .. } => return String::new(),
    };
    format!(", which is no fault: {why} ({})", Clause::Strings.under(rules))
}

/// A lead that the other strings overload, and no fuse in the plan: information, as "needs fuses" is.
fn lead_without_fuse(cable: &Component, lead: &Overfed<'_>, rules: Rules, notes: &mut Vec<Note>) {
    let fuse = match lead.fits_a {
        Some(fits_a) => format!("a fuse in each string, such as {fits_a} A, or a thicker lead"),
        None => "a thicker lead, with a fuse in each string where it asks for one then".to_owned(),
    };
    ask(
        notes,
        format!(
            "{}: the other strings can feed {:.1} A into it, and where it runs it carries {:.1} A ({}): {fuse}",
            named(cable),
            at_least(lead.fed_a),
            at_most(lead.behind.carries_a),
            Clause::Strings.under(rules)
        ),
    );
}

#[cfg(test)]
mod tests {
    use super::super::testing::{PANEL, array, says, two_in_series};

    fn with(component: &str) -> crate::array::Array {
        two_in_series(&format!("[[component]]\n{component}\n"))
    }

    // 5.8 A: 1.25 times 7.25 A, 1.5625 times 9.06 A.
    #[test]
    fn one_factor_where_two_are_asked_for() {
        assert!(says(
            &with("kind = 'breaker'\nmax_v = 150\nrated_a = 8"),
            "8 A holds 1.25 x Isc, not the 9.1 A"
        ));
        assert!(says(&with("kind = 'fuse'\nmax_v = 600\nrated_a = 6"), "6 A holds Isc, not"));
        assert!(!says(
            &with("kind = 'breaker'\nmax_v = 150\nrated_a = 8\ncontinuous_100_percent = true"),
            "holds"
        ));
        assert!(!says(&with("kind = 'breaker'\nmax_v = 150\nrated_a = 10"), "holds"));
        // Just 1.5625 times 5.8 A is enough.
        assert!(!says(&with("kind = 'breaker'\nmax_v = 150\nrated_a = 9.0625"), "holds"));
    }

    // Four strings of 5.8 A: the other three feed 17.4 A into one, above the label's 15 A (NEC 690.9(A)). What protects the whole array
    // stands in no string.
    #[test]
    fn a_breaker_of_the_array_is_no_fuse_of_a_string() {
        let four = |carries: &str| {
            array(&format!(
                "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 4\nmount = 'roof'\n\
                 [[component]]\nkind = 'fuse'\ncarries = '{carries}'\nmax_v = 600\nrated_a = 15\n"
            ))
        };
        assert!(says(&four("array"), "strings need fuses") && !says(&four("string"), "strings need fuses"));
    }

    // One string of 5.8 A, label 15 A: a breaker of 11 A stays below it; one of 16 A is 2.8 times the current, far above it. Of
    // 9 A panels 16 A are 1.8 times the current. By hand; NEC 690.9(A): one string needs no protection.
    #[test]
    fn a_breaker_above_the_label_of_an_only_string_is_told() {
        let breaker = |rated_a: u32| with(&format!("kind = 'breaker'\nmax_v = 150\nrated_a = {rated_a}"));
        assert!(!says(&breaker(11), "series fuse"));
        assert!(says(
            &breaker(16),
            "protects no panel, whose label allows a series fuse of 15 A. It may stay as a switch alone"
        ));
        let larger = PANEL.replace("isc_a = 5.8", "isc_a = 9").replace("imp_a = 5.38", "imp_a = 8.4");
        let of_nine = |rated_a: u32| {
            array(&format!(
                "{larger}[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n\
                 [[component]]\nkind = 'breaker'\nmax_v = 150\nrated_a = {rated_a}\n"
            ))
        };
        assert!(says(
            &of_nine(16),
            "16 A, above the label's largest series fuse of 15 A, so it protects no panel: it may stay as a switch alone, which is no \
             fault: one string"
        ));
        assert!(!says(&of_nine(15), "series fuse"));
    }

    // The same breaker as the disconnect: its amps are above the label's 15 A as before.
    #[test]
    fn a_disconnect_above_the_label_protects_no_panel_either() {
        let rated = |kind: &str, rated_a: u32| {
            with(&format!("kind = '{kind}'\nmax_v = 150\nrated_a = {rated_a}\npoles_opened = 2"))
        };
        let said = "at 25 A it protects no panel, also where it is a breaker (the label allows a series fuse of 15 A): it may stay \
                    as a switch alone";
        assert!(says(&rated("disconnect", 25), said));
        assert!(says(&rated("breaker", 25), "protects no panel, whose label allows a series fuse of 15 A"));
        assert!(!says(&rated("breaker", 25), said), "a breaker has words of its own");
        assert!(!says(&rated("disconnect", 15), "protects no panel"));
        // a switch is no breaker, and behind joined strings no panel's label is asked
        assert!(!says(&rated("switch", 25), "protects no panel"));
        let joined = array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 2\nmount = 'roof'\n\
             [[component]]\nkind = 'disconnect'\nmax_v = 150\nrated_a = 25\n"
        ));
        assert!(!says(&joined, "protects no panel"));
    }

    // A 63 A breaker for an array below 30 A is not a fault, and is no overcurrent protection either (common practice, no
    // source).
    #[test]
    fn a_large_breaker_is_a_switch() {
        assert!(says(
            &with("kind = 'breaker'\nmax_v = 150\nrated_a = 63"),
            "no overcurrent protection either"
        ));
        assert!(!says(&with("kind = 'breaker'\nmax_v = 150\nrated_a = 10"), "no overcurrent protection"));
    }

    // Into one of three strings of 10.3 A the others feed 25.75 A: a breaker of 25 A there is what protects a panel of 15 A, and
    // no mere switch. Of two strings it is one, and its string is no array. By hand (NEC 690.9).
    #[test]
    fn a_large_breaker_in_one_of_three_strings_is_no_switch() {
        let strings = |count: u32| {
            array(&format!(
                "{}[[string]]\nmodules = ['p']\nin_parallel = {count}\nmount = 'roof'\n\
                 [[component]]\nkind = 'breaker'\ncarries = 'string'\nmax_v = 150\nrated_a = 25\n",
                PANEL.replace("isc_a = 5.8", "isc_a = 10.3")
            ))
        };
        assert!(says(&strings(3), "a breaker of 25 A lets more through a faulty panel than the 15 A"));
        assert!(!says(&strings(3), "It is a switch"));
        assert!(says(&strings(2), "25 A for a string of 10.3 A is no fault"));
    }

    // What isolates and what protects are two questions of one device (NEC 690.13 and 690.9): our own decision, no source.
    #[test]
    fn a_breaker_that_only_isolates_in_the_plan_is_entered_twice() {
        let device = |kind: &str, name: &str| {
            format!(
                "[[component]]\nkind = '{kind}'\nname = '{name}'\nmax_v = 150\nrated_a = 10\npoles_opened = 2\n"
            )
        };
        let told =
            |parts: &[String]| says(&two_in_series(&parts.concat()), "enter the same device a second time");
        for name in ["Roof breaker", "MCB 2P", "circuit-breaker"] {
            assert!(told(&[device("disconnect", name)]), "{name}");
            assert!(!told(&[device("disconnect", name), device("breaker", name)]), "{name}");
        }
        assert!(!told(&[device("disconnect", "roof disconnect")]) && !told(&[device("switch", "a breaker")]));
        // A fuse of one of two strings protects no cable of the array.
        let two = |more: &str| {
            let text = format!(
                "{PANEL}[[string]]\nmodules = 'p'\nin_parallel = 2\nin_series = 1\nmount = 'roof'\n{}{more}",
                device("disconnect", "main breaker")
            );
            says(&array(&text), "enter the same device a second time")
        };
        let fuse = |carries: &str| {
            format!("[[component]]\nkind = 'fuse'\ncarries = '{carries}'\nmax_v = 600\nrated_a = 15\n")
        };
        assert!(two("") && two(&fuse("string")) && !two(&fuse("array")));
    }

    #[test]
    fn three_strings_without_fuses() {
        let strings = |count: u32, more: &str| {
            array(&format!(
                "{}[[string]]\nmodules = ['p']\nin_parallel = {count}\nmount = 'roof'\n{more}",
                PANEL.replace("isc_a = 5.8", "isc_a = 6.1")
            ))
        };
        assert!(says(&strings(3, ""), "strings need fuses"));
        assert!(!says(&strings(2, ""), "strings need fuses"));
        let fuse = "[[component]]\nkind = 'fuse'\ncarries = 'string'\nmax_v = 600\nrated_a = 15\n";
        assert!(!says(&strings(3, fuse), "strings need fuses"));
        // A label without a largest fuse: the question is put, and not where fuses are there.
        let unknown = |more: &str| {
            let panel = PANEL.replace("max_series_fuse_a = 15\n", "");
            array(&format!("{panel}[[string]]\nmodules = ['p']\nin_parallel = 3\nmount = 'roof'\n{more}"))
        };
        assert!(says(&unknown(""), "max_series_fuse_a"));
        assert!(!says(&unknown(fuse), "max_series_fuse_a"));
    }

    #[test]
    fn a_fuse_above_the_label() {
        let fuse =
            |amps: u32| with(&format!("kind = 'fuse'\ncarries = 'string'\nmax_v = 600\nrated_a = {amps}"));
        assert!(says(&fuse(30), "the 15 A for which it was tested"));
        assert!(!says(&fuse(15), "for which it was tested"));
    }

    #[test]
    fn a_cable_on_a_roof_that_is_cool_on_paper() {
        let cable =
            |air: u32| with(&format!("kind = 'cable'\nawg = 10\ninsulation_c = 90\nambient_c = {air}"));
        assert!(says(&cable(30), "65 to 75 °C are usual"));
        assert!(!says(&cable(65), "are usual"));
    }
}
