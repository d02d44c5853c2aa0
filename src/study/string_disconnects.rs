//! A disconnect in each string in place of one for the whole array: the same device holds where its amps are too few for all
//! strings together.

use crate::extreme::number_in_words;
use crate::limits::Verdict;
use crate::limits::current::CONTINUOUS_FACTOR;
use crate::study::counted;
use crate::study::results::LimitLine;
use crate::units::at_least;

/// Disconnects that may isolate one array: no more than six, grouped in one place (NEC 690.13(D), from memory; local codes go first).
const MOST: u32 = 6;

/// Whether a kind of component isolates and nothing else: a breaker in a string is its overcurrent protection too.
pub(super) fn may_be(kind: &str) -> bool {
    matches!(kind, "disconnect" | "switch")
}

/// Whether it holds the volts, which are the same in a string as in the array.
pub(super) fn hold_volts<'a>(mut of_it: impl Iterator<Item = &'a LimitLine>) -> bool {
    of_it.all(|line| matches!(counted(line), Verdict::Within | Verdict::Close))
}

/// One of them in each string, in words; `None` where it does not carry one, or where they would be too many.
pub(super) fn instead(name: &str, strings: u32, string_isc_a: f64, rated_a: f64) -> Option<String> {
    let each_a = string_isc_a * CONTINUOUS_FACTOR;
    ((2..=MOST).contains(&strings) && rated_a >= each_a).then(|| {
        format!(
            "{name} as it is, one in each of the {strings} strings, so {} more of it (carries = \"string\"): {:.1} A each on {rated_a} A, as switches; \
             to isolate the array all must be opened: put them together and mind the local code",
            number_in_words(u64::from(strings) - 1),
            at_least(each_a)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1.5625 x 10.4 A are 16.25 A (NEC 690.8), by hand; two to six strings (NEC 690.13(D), from memory).
    #[test]
    fn one_in_each_string_carries_its_string_alone() {
        let told = |strings: u32, rated_a: f64| instead("switch", strings, 10.4, rated_a);
        assert!(
            told(3, 32.0)
                .is_some_and(|text| text.contains("3 strings") && text.contains("16.3 A each on 32 A"))
        );
        assert!(told(3, 16.25).is_some() && told(3, 16.2).is_none());
        assert!(told(1, 32.0).is_none() && told(6, 32.0).is_some() && told(7, 32.0).is_none());
    }
}
