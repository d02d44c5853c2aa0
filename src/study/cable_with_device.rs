//! A cable exchanged together with the fuse or breaker in front of it: where that is larger than the array asks for, and no size of
//! cable may stand behind it by each of the rules that the plan may mean. One answer for `assess` and `series`.

use super::cables::{self, Cable, Device, Size};
use super::classes::array_device;
use crate::array::{Array, Carries, Component, ComponentKind};
use crate::assumptions::Rules;
use crate::limits::Verdict;
use crate::limits::rules::fuse::{self, Wanting};
use crate::limits::rules::lead::overfed;
use crate::units::listed;

/// The size to take, and the devices that are exchanged with it.
pub(super) struct WithDevice {
    pub size: Size,
    /// "drawer breaker of 40 A instead of 63 A", each.
    pub devices: Vec<String>,
}

impl WithDevice {
    /// "16 mm2 or 6 AWG with drawer breaker of 40 A instead of 63 A".
    pub fn words(&self) -> String {
        format!("{} with {}", self.size.words(), listed(&self.devices))
    }
}

/// `None` where the plan's devices are no larger than the advised one, where some cable may stand behind them, and where none may
/// behind the advised one either.
pub(super) fn with_device(array: &Array, cable: &Cable<'_>, rules: Rules) -> Option<WithDevice> {
    if cable.component.carries != Carries::Array {
        return None;
    }
    let advised = array_device(array, rules)?;
    let most_a = advised.most_a(rules);
    let larger: Vec<(&str, f64)> = array
        .components
        .iter()
        .filter(|part| matches!(part.kind, ComponentKind::Fuse | ComponentKind::Breaker(_)))
        .filter(|part| part.carries == Carries::Array)
        .filter_map(|part| Some((part.name.as_str(), part.rated_a?.0)))
        .filter(|(_, rated_a)| *rated_a > most_a)
        .collect();
    let largest_a = larger.iter().map(|(_, rated_a)| *rated_a).reduce(f64::max)?;
    let isc_a = array.carried_isc_a(Carries::Array);
    let own = Device::of_plan(largest_a);
    if cables::by_each(cable.run, isc_a, own, rules).is_some() {
        return None;
    }
    // By one rule alone a smaller device is worth its price only where no cable may stand behind today's by any.
    let size = cables::by_each(cable.run, isc_a, advised, rules).or_else(|| {
        let stays = cables::offered(cable.run, isc_a, own, rules).is_some();
        cables::offered(cable.run, isc_a, advised, rules).filter(|_| !stays)
    })?;
    let devices = larger
        .into_iter()
        .map(|(name, rated_a)| format!("{name} of {} instead of {rated_a} A", advised.words(rules)))
        .collect();
    Some(WithDevice { size, devices })
}

/// Whether a cable of the array that is too thin for it may serve as the leads of its strings instead: it carries one string where
/// it runs, and stands behind the fuse that each wants, or bears what the others feed into it.
pub(super) fn may_be_leads(array: &Array, cable: &Cable<'_>, rules: Rules) -> bool {
    let has_leads = cables::cables(array).any(|other| other.component.carries == Carries::String);
    if cable.component.carries != Carries::Array || array.strings() < 2 || has_leads {
        return false;
    }
    let lead = Component { carries: Carries::String, ..cable.component.clone() };
    let is_protected = match fuse::wanting(array) {
        None => overfed(&lead, array, rules).is_none(),
        Some(Wanting::Fuse { fits_a }) => {
            cable.behind().is_some_and(|found| found.allows_by_each(fits_a, rules))
        }
        Some(_) => false,
    };
    is_protected && cable.judge(array.carried_isc_a(Carries::String)).verdict == Verdict::Within
}
