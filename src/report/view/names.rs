//! Components without a name of their own, as people read them.

use crate::array::Carries;
use crate::study::pictures::ComponentFacts;
use crate::study::results::Assessment;

/// Whether the plan gave the part no name: it is called by its kind, or by its kind and a number.
fn is_unnamed(part: &ComponentFacts) -> bool {
    let number = part.name.strip_prefix(&part.kind).map(str::trim_start);
    number.is_some_and(|number| number.chars().all(|sign| sign.is_ascii_digit()))
}

/// The name, and where an array has several parts of the kind without one, what this one carries and its size: "cable 2
/// (string leads, 2.5 mm2)". The name itself is shared with files and scripts and stays.
pub(crate) fn shown_name(assessment: &Assessment, array: &str, name: &str) -> String {
    let facts = assessment.arrays.iter().find(|facts| facts.name == array);
    let parts: &[ComponentFacts] = facts.map_or(&[], |facts| &facts.wiring.components);
    let own = parts.iter().find(|part| part.name == name && is_unnamed(part));
    let alike = |one: &ComponentFacts| {
        parts.iter().filter(|part| part.kind == one.kind && is_unnamed(part)).count() > 1
    };
    match own.filter(|part| alike(part)) {
        Some(part) => format!("{name} ({})", told_apart(part)),
        None => name.to_owned(),
    }
}

/// "string leads, 2.5 mm2", "whole array, 63 V, 25 A".
fn told_apart(part: &ComponentFacts) -> String {
    let carries = match (part.carries, part.kind.as_str()) {
        (Carries::String, "cable") => "string leads",
        (Carries::String, _) => "of a string",
        (Carries::Array, _) => "whole array",
    };
    let mut words = vec![carries.to_owned()];
    match &part.detail {
        Some(detail) => words.extend(detail.split(", ").next().map(str::to_owned)),
        None => {
            let sizes = [(part.max_v, "V"), (part.rated_a, "A")];
            words.extend(
                sizes.into_iter().filter_map(|(size, unit)| Some(crate::report::show::rating(size?, unit))),
            );
        }
    }
    words.join(", ")
}
