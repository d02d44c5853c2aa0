//! Answers in words of one's own: what a person says of a controller, a mount or a battery, as the plan calls it.

use super::answers::{Answer, Refusal, literal};
use super::draft::meant;
use super::given::number_meant;
use super::keys::{BATTERY, Holds};
use super::printed::{Plate, Printed, Way};
use crate::array::Battery;

/// Both figures of a controller: by their units, or as its name has them.
pub(super) fn volts_and_amps(typed: &str) -> Option<(f64, f64)> {
    match (Plate::read(typed), Printed::read(typed)) {
        (Some(Plate { volts, amps, way: Way::Dc, poles: None }), _) => Some((volts, amps)),
        (None, Some(Printed::VoltsAndAmps { volts, amps })) => Some((volts, amps)),
        _ => None,
    }
}

/// Words of an answer that says no more than that the panels are glued to the skin.
const GLUED: [&str; 14] = [
    "glued", "bonded", "stuck", "down", "directly", "flat", "flush", "on", "onto", "to", "the", "skin",
    "roof", "van",
];

/// Whether panels that are mounted so lie on the skin. Every word must be known: "not glued" is something else.
pub(super) fn is_glued(typed: &str) -> bool {
    let lower = typed.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.clone().any(|word| GLUED[..3].contains(&word)) && words.all(|word| GLUED.contains(&word))
}

/// How many conductors, where the answer holds a word: "both", "two", "2 poles".
pub(super) fn conductors(typed: &str) -> Option<&'static str> {
    const NOUNS: [&str; 4] = ["pole", "poles", "conductor", "conductors"];
    let lower = typed.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    let (count, nouns) = words.split_first()?;
    let is_worded = !nouns.is_empty() || count.starts_with(char::is_alphabetic);
    if !is_worded || nouns.len() > 1 || !nouns.iter().all(|noun| NOUNS.contains(noun)) {
        return None;
    }
    match *count {
        "1" | "one" => Some("1"),
        "2" | "two" | "both" => Some("2"),
        "3" | "three" => Some("3"),
        "4" | "four" => Some("4"),
        _ => None,
    }
}

/// Words that leave open which lithium cell is meant.
const ANY_LITHIUM: [&str; 2] = ["lithium", "li"];

/// Whether a battery was called lithium and no more.
pub(super) fn is_any_lithium(typed: &str) -> bool {
    typed.to_lowercase().split([' ', ',', '\t']).any(|word| ANY_LITHIUM.contains(&word))
}

/// Kind and nominal volts of a battery, in either order.
pub(super) fn battery(typed: &str) -> Result<Answer, Refusal> {
    let refused = |meant: Option<String>| Refusal {
        expected: "expected the kind of battery and its volts, such as lfp 12 or agm 24".to_owned(),
        meant,
    };
    let is_word = |part: &&str| part.starts_with(|c: char| c.is_alphabetic());
    let parts = || typed.split([' ', ',', '\t']).filter(|part| !part.is_empty());
    // "12 V" and "12V" alike
    let is_unit = |part: &str| part.eq_ignore_ascii_case("v") || part.eq_ignore_ascii_case("volts");
    let mut words = parts().filter(is_word).filter(|part| !is_unit(part));
    let mut numbers = parts().filter(|part| !is_word(part));
    let (word, Some(number), None, None) = (words.next(), numbers.next(), words.next(), numbers.next())
    else {
        return Err(refused(None));
    };
    let (Some(Holds::Words(kinds)), Some(volts)) =
        (BATTERY.key("chemistry").map(|key| key.holds), number_meant(number))
    else {
        return Err(refused(None));
    };
    let is_nominal = Battery::NOMINAL_V.contains(&volts);
    let Some(word) = word else {
        // asked, never taken: most that are built in today are of this kind (common practice, no source)
        let expected = format!("expected the kind of battery too: {}", kinds.join(", "));
        return Err(Refusal { expected, meant: is_nominal.then(|| format!("lfp {volts}")) });
    };
    // the full name of the one chemistry; of "lithium" the usual one, and the answer says so
    let is_lfp = word.to_lowercase().starts_with("lifepo") || is_any_lithium(word);
    let word = if is_lfp { "lfp" } else { word };
    let Some(kind) = kinds.iter().find(|kind| kind.eq_ignore_ascii_case(word)) else {
        let kind = meant(word, kinds).filter(|_| is_nominal);
        let mut refusal = refused(kind.map(|kind| format!("{kind} {volts}")));
        if refusal.meant.is_none() {
            refusal.expected.push_str(&format!("; the kinds are {}", kinds.join(", ")));
        }
        return Err(refusal);
    };
    if !is_nominal {
        return Err("expected a battery of 12, 24, 36 or 48 V".to_owned().into());
    }
    Ok(vec![("chemistry", literal(kind)), ("nominal_v", volts.to_string())])
}
