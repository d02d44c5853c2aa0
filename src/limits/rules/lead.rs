//! Leads of strings: what the other strings can feed into one, and whether the fuse of the string stops it in time.

use super::behind::{Behind, behind};
use super::fuse::window;
use crate::array::{Array, Carries, Component, ComponentKind};
use crate::assumptions::Rules;
use crate::cite::{Clause, Rule};
use crate::limits::current::CIRCUIT_FACTOR;

/// The rule, for a limit's line.
pub const RULE: Rule = Rule { words: "lead protected against the other strings", clause: Clause::Leads };

/// A lead of a string into which the others can feed more than it carries where it runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Overfed<'a> {
    /// What the others can feed into it, A: 1.25 x Isc of each.
    pub fed_a: f64,
    /// What it may stand behind.
    pub behind: Behind,
    /// The largest device of these by the rules of the plan.
    pub allowed_a: f64,
    /// The smallest common fuse that carries the string, and that label and lead allow.
    pub fits_a: Option<f64>,
    /// The fuse or breaker of the string in the plan with its rating, the smallest of several.
    pub device: Option<(&'a Component, f64)>,
}

impl Overfed<'_> {
    /// The fuse or breaker of the plan that lets through more than the lead may carry; `None` where it protects, and where
    /// there is none: that strings need fuses is information and no limit.
    #[must_use]
    pub fn too_large(&self) -> Option<(&Component, f64)> {
        self.device.filter(|(_, rated_a)| *rated_a > self.allowed_a)
    }
}

/// The most that the other strings of an array can feed into one of them, A: 0 of an only string [NEC690.9].
#[must_use]
pub fn fed_into_a_string_a(array: &Array) -> f64 {
    if array.strings() < 2 {
        return 0.0;
    }
    let least = array.groups.iter().map(|group| group.label_isc_a()).reduce(f64::min).unwrap_or(0.0);
    (array.label_isc_a() - least) * CIRCUIT_FACTOR
}

/// What overloads a lead of a string; `None` for other components, where nothing can, and for sizes below the table.
///
/// A fault in a lead is fed by its own string from one side, which its size carries or not by a rule of its own, and by all the
/// others from where the strings join: that current has no end but a fuse in the string.
#[must_use]
pub fn overfed<'a>(lead: &Component, array: &'a Array, rules: Rules) -> Option<Overfed<'a>> {
    let ComponentKind::Cable { conductor, insulation_c: Some(insulation_c), ambient_c: Some(ambient_c) } =
        lead.kind
    else {
        return None;
    };
    if lead.carries != Carries::String {
        return None;
    }
    let fed_a = fed_into_a_string_a(array);
    let behind = behind(conductor, insulation_c, ambient_c)?;
    if fed_a <= behind.carries_a {
        return None;
    }
    let label_a = array.groups.iter().filter_map(|group| group.label_fuse_a()).reduce(f64::min);
    let allowed_a = behind.most_a(rules);
    let most_a = label_a.map_or(allowed_a, |label_a| label_a.min(allowed_a));
    Some(Overfed {
        fed_a,
        behind,
        allowed_a,
        fits_a: window(array.carried_isc_a(Carries::String), Some(most_a)).common_a,
        device: device_of(array, Carries::String),
    })
}

/// The fuse or breaker of a circuit with its rating, the smallest of several: that one ends the current.
#[must_use]
pub fn device_of(array: &Array, carries: Carries) -> Option<(&Component, f64)> {
    let devices = array.components.iter().filter(|part| {
        part.carries == carries && matches!(part.kind, ComponentKind::Fuse | ComponentKind::Breaker(_))
    });
    devices.filter_map(|part| Some((part, part.rated_a?.0))).min_by(|a, b| a.1.total_cmp(&b.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::array;

    fn plan(in_parallel: u32, air_c: u32, more: &str) -> Array {
        array(&format!(
            "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 10.3\nmax_series_fuse_a = 30\n\
             [[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {in_parallel}\nmount = 'roof'\n\
             [[component]]\nkind = 'cable'\ncarries = 'string'\nawg = 12\ninsulation_c = 90\nambient_c = {air_c}\n{more}"
        ))
    }

    fn too_large(in_parallel: u32, air_c: u32, device: &str) -> Option<bool> {
        let array = plan(in_parallel, air_c, device);
        overfed(&array.components[0], &array, Rules::All).map(|lead| lead.too_large().is_some())
    }

    /// By hand from Table 310.16 and its correction: 12 AWG at 90 °C carries 30 A, in air of 65 °C 19.5 A, so that the next
    /// standard size above is 20 A (NEC 240.6(A), 240.4(B)), in air of 75 °C 15.0 A, a standard size itself. The others of three
    /// strings feed 2 x 1.25 x 10.3 = 25.75 A into one (NEC 690.9(A)), of two 12.9 A.
    #[test]
    fn a_fuse_above_the_next_standard_size_does_not_protect_the_lead() {
        let fuse = |rated_a: u32| {
            format!("[[component]]\nkind = 'fuse'\ncarries = 'string'\nmax_v = 600\nrated_a = {rated_a}\n")
        };
        assert_eq!(too_large(3, 65, &fuse(20)), Some(false));
        assert_eq!(too_large(3, 65, &fuse(25)), Some(true));
        assert_eq!(too_large(3, 75, &fuse(20)), Some(true));
        // The others cannot harm it: any fuse is as good.
        assert_eq!(too_large(2, 65, &fuse(30)), None);
        assert_eq!(too_large(3, 30, &fuse(30)), None);
        // Of two devices in a string the smaller one ends the current; without one it is information.
        assert_eq!(too_large(3, 65, &(fuse(30) + &fuse(20))), Some(false));
        assert_eq!(too_large(3, 65, ""), Some(false));
        let breaker = "[[component]]\nkind = 'breaker'\ncarries = 'string'\nmax_v = 150\nrated_a = 32\npoles_opened = 2\n";
        assert_eq!(too_large(3, 65, breaker), Some(true));
        assert_eq!(too_large(3, 65, &(fuse(20) + breaker)), Some(false));
    }

    /// 1.5625 x 10.3 A = 16.1 A ask for 20 A, which 12 AWG takes in air of 30 °C (NEC 240.4(D)) and at 65 °C, where it carries
    /// 19.5 A (240.4(B)), not by IEC 60364-4-43; at 75 °C it carries 15.0 A, a standard size itself. By hand.
    #[test]
    fn a_smaller_fuse_is_named_where_one_carries_the_string() {
        let fits = |in_parallel: u32, air_c: u32| {
            let array = plan(in_parallel, air_c, "");
            overfed(&array.components[0], &array, Rules::All).map(|lead| (lead.allowed_a, lead.fits_a))
        };
        assert_eq!(fits(3, 65), Some((20.0, Some(20.0))));
        assert_eq!(fits(4, 30), Some((20.0, Some(20.0))));
        assert_eq!(fits(3, 75), Some((15.0, None)));
        let strict = plan(3, 65, "");
        let found =
            overfed(&strict.components[0], &strict, Rules::Iec).map(|lead| (lead.allowed_a, lead.fits_a));
        assert_eq!(found, Some((19.5, None)));
    }

    /// Into the small one of two unlike strings the large one feeds its own: 1.25 x 10 A.
    #[test]
    fn the_weakest_of_unlike_strings_is_fed_most() {
        let mixed = array(
            "[[module]]\nid = 'a'\nvoc_v = 22\nisc_a = 10\n[[module]]\nid = 'b'\nvoc_v = 22\nisc_a = 4\n\
             [[string]]\nmodules = 'a'\nin_series = 1\nmount = 'roof'\n\
             [[string]]\nmodules = 'b'\nin_series = 1\nmount = 'roof'\n",
        );
        assert_eq!(fed_into_a_string_a(&mixed), 12.5);
    }
}
