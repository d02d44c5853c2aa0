//! Cables of the plan that their fuse or breaker does not protect against what could come back from a battery.

use super::words::strict_words;
use super::{Cable, Device, by_each, cables, offered};
use crate::array::{Array, Carries, Component};
use crate::assumptions::Rules;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::rules::behind::{Behind, IEC};
use crate::limits::rules::lead;
use crate::note::{Note, NoteKind};
use crate::study::cable_with_device::with_device;
use crate::units::at_most;

/// A cable of the plan whose fuse or breaker does not protect it against what could come back from a battery.
#[derive(Clone, Debug, PartialEq)]
pub struct Unprotected {
    /// The fuse or breaker.
    pub device: String,
    /// Its rating, A.
    pub rated_a: f64,
    /// The cable.
    pub cable: String,
    /// What that carries where it runs, A.
    pub carries_a: f64,
}

/// The cables of the plan whose fuse or breaker lets more through than may protect them. Where the other strings can overload a
/// lead a limit says so; what is left can come from a battery alone, and is a remark.
pub(in crate::study) fn not_protected(array: &Array, rules: Rules) -> Vec<Note> {
    open_to_a_battery(array, rules).filter_map(|cable| from_a_battery(&cable, array, rules)).collect()
}

/// The same cables, each with its device.
pub(in crate::study) fn unprotected(array: &Array, rules: Rules) -> Vec<Unprotected> {
    let of = |cable: Cable<'_>| {
        let behind = cable.behind()?;
        let (device, rated_a) = too_large(&cable, &behind, array, rules)?;
        Some(Unprotected {
            device: device.name.clone(),
            rated_a,
            cable: cable.component.name.clone(),
            carries_a: at_most(behind.carries_a),
        })
    };
    open_to_a_battery(array, rules).filter_map(of).collect()
}

fn open_to_a_battery(array: &Array, rules: Rules) -> impl Iterator<Item = Cable<'_>> {
    cables(array).filter(move |cable| {
        lead::overfed(cable.component, array, rules).is_none_or(|lead| lead.too_large().is_none())
    })
}

/// The device of a cable's circuit, where that lets more through than may protect the cable.
fn too_large<'a>(
    cable: &Cable<'_>,
    behind: &Behind,
    array: &'a Array,
    rules: Rules,
) -> Option<(&'a Component, f64)> {
    lead::device_of(array, cable.component.carries).filter(|(_, amps)| !behind.allows(*amps, rules))
}

fn from_a_battery(cable: &Cable<'_>, array: &Array, rules: Rules) -> Option<Note> {
    let carries = cable.component.carries;
    let behind = cable.behind()?;
    let (device, rated_a) = too_large(cable, &behind, array, rules)?;
    let isc_a = array.carried_isc_a(carries);
    let most_a = at_most(behind.most_a(rules));
    let mut ways = Vec::new();
    let least_a = isc_a * CONTINUOUS_FACTOR;
    // A device that is sold for both rules leaves nothing to be said of thicker cables by the strict one.
    let mut is_open = true;
    if let Some(sold_a) = behind.device_that_fits_a(least_a, rules) {
        let strict_a = behind.strict_device_a(least_a).filter(|_| rules == Rules::All);
        is_open = strict_a.is_none();
        let strict = strict_a.filter(|strict_a| *strict_a < sold_a);
        let strict = strict.map_or_else(String::new, |strict_a| format!(", {strict_a} A by {IEC}"));
        ways.push(format!("a device of at most {sold_a} A ({}){strict}", behind.clause(rules)));
    }
    let own = Device::of_plan(rated_a);
    let size = offered(cable.run, isc_a, own, rules);
    let exchanged = with_device(array, cable, rules).filter(|_| ways.is_empty());
    is_open &= exchanged.is_none();
    ways.extend(exchanged.map(|found| found.words()));
    let is_by_one = rules == Rules::All && by_each(cable.run, isc_a, own, rules).is_none();
    let by = if is_by_one && !is_open { " by NEC 240.4 alone" } else { "" };
    ways.extend(size.map(|size| size.words() + by));
    let strict = size
        .filter(|_| is_open)
        .map_or_else(String::new, |size| strict_words(size, cable.run, isc_a, own, rules));
    let would = match ways.as_slice() {
        [] => {
            format!("at most {most_a} A may ({}): a thicker cable and a smaller device", behind.clause(rules))
        }
        [way] => format!("{way} would"),
        ways => format!("{}, would", ways.join(", or ")),
    };
    let harmless = if carries == Carries::Array && isc_a * CIRCUIT_FACTOR <= behind.carries_a {
        ". The array alone cannot overload it"
    } else {
        ""
    };
    let text = format!(
        "{} of {rated_a} A does not protect {}, which carries {} A where it runs, against what could come back from the battery, where \
         the controller lets any back (its manual says): {would}{strict}{harmless}",
        device.name,
        cable.component.name,
        at_most(behind.carries_a)
    );
    Some(Note::once(NoteKind::Wiring, text).asking())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::{array, two_in_series};

    // NEC 240.4(D): 10 AWG may stand behind 30 A. 16 mm2 counts as 6 AWG: at 50 °C 75 x 0.82 = 61.5 A, so 70 A is next
    // (240.4(B)); 1.5625 x 44.8 A = 70.0 A. 4 AWG carries 77.9 A there, so 80 A may protect it, and no size 150 A. By hand.
    #[test]
    fn a_breaker_too_large_for_its_cable_is_told() {
        let said = |array: &Array| -> String {
            not_protected(array, Rules::All).into_iter().map(|note| note.text).collect()
        };
        let ten_awg = |rated_a: u32| {
            two_in_series(&format!(
                "[[component]]\nkind = 'cable'\nawg = 10\ninsulation_c = 90\nambient_c = 55\n\
                 [[component]]\nkind = 'breaker'\nmax_v = 150\nrated_a = {rated_a}\npoles_opened = 2\n"
            ))
        };
        assert!(said(&ten_awg(40)).contains("at most 30 A (NEC 240.4(D))"), "{}", said(&ten_awg(40)));
        assert_eq!(said(&ten_awg(30)), "");
        let four = |rated_a: u32| {
            array(&format!(
                "[[module]]\nid = 'p'\nvoc_v = 37\nisc_a = 11.2\n[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\n\
                 mount = 'roof'\n[[component]]\nkind = 'cable'\nmm2 = 16\ninsulation_c = 90\nambient_c = 50\n\
                 [[component]]\nkind = 'breaker'\nmax_v = 150\nrated_a = {rated_a}\npoles_opened = 2\n"
            ))
        };
        assert_eq!(said(&four(70)), "");
        assert!(
            said(&four(80)).contains(
                "breaker of 80 A does not protect cable, which carries 61.5 A where it runs, against what could come back from the \
                 battery"
            ) && said(&four(80)).contains(
                ": a device of at most 70 A (NEC 240.4(B)), or 25 mm2 or 4 AWG, would; by IEC 60364-4-43 no size up to 25 mm2 or 4 \
                 AWG may stand behind 80 A there: take a thicker cable than the tables here hold, or split the array. The array alone"
            ),
            "{}",
            said(&four(80))
        );
        assert!(
            said(&four(150)).contains(": a device of at most 70 A (NEC 240.4(B)) would"),
            "{}",
            said(&four(150))
        );
    }
}
