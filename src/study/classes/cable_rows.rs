//! The rows of the needs about cables, and what is to be known of them behind a device.

use crate::array::{Array, Carries, Component};
use crate::assumptions::Rules;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::limits::rules::fuse::{StringFuses, string_fuses};
use crate::limits::rules::lead;
use crate::study::cables::{self, Cable, Device, Unprotected};
use crate::study::planned;
use crate::units::at_least;

/// That the plan's own fuse or breaker of the array does not protect a cable, though its ratings hold; empty where it does.
pub(super) fn unprotected(array: &Array, rules: Rules) -> String {
    let of_array = |found: &Unprotected| {
        let is_device = |part: &Component| {
            planned::serves(part.kind.word(), &part.name, part.carries, planned::BREAKER, array.strings())
        };
        array.components.iter().any(|part| part.name == found.device && is_device(part))
    };
    let found = cables::unprotected(array, rules).into_iter().filter(of_array);
    let texts: Vec<String> = found
        .map(|found| format!("{} does not protect {}, see What to change", found.device, found.cable))
        .collect();
    texts.join("; ")
}

/// What is to be known of the planned cables of a circuit behind a device of so many amps; empty where all may stand there by
/// every rule, or where none is planned: then the row of the cable says which size may.
pub(super) fn too_thin(array: &Array, carries: Carries, device: Device, rules: Rules) -> String {
    let isc_a = array.carried_isc_a(carries);
    let planned = cables::cables(array).filter(|cable| cable.component.carries == carries);
    let texts: Vec<String> =
        planned.filter_map(|cable| cables::behind_in_words(&cable, isc_a, device, rules)).collect();
    texts.join("; ")
}

/// A row of the needs about a cable.
pub(super) struct CableRow {
    pub(super) name: String,
    pub(super) remark: String,
    pub(super) size: Option<String>,
}

/// A row for each planned cable of a circuit, its own run; one on a usual roof where none is planned, with what to give so
/// that it is judged. The leads of an only string are the array's.
pub(super) fn cable_rows(
    array: &Array,
    carries: Carries,
    device: Option<Device>,
    rules: Rules,
) -> Vec<CableRow> {
    let isc_a = array.carried_isc_a(carries);
    let planned: Vec<Cable<'_>> =
        cables::cables(array).filter(|cable| cable.component.carries == carries).collect();
    let word = match carries {
        Carries::String => "string cable",
        Carries::Array => "array cable",
    };
    // The limit shows the tighter of two demands, the row the larger: both stand beside the size.
    let (own, table) = (at_least(isc_a * CIRCUIT_FACTOR), at_least(isc_a * CONTINUOUS_FACTOR));
    let whence =
        |from: &str| format!("{from}: must carry {own:.1} A in that air and {table:.1} A in air of 30 °C");
    // A string's device is its fuse, named only where the strings need one.
    let remark = |run: cables::Run, from: &str| match (carries, device) {
        (Carries::String, Some(fuse)) => cables::behind_a_fuse(run, &whence(from), isc_a, fuse, rules),
        _ => cables::remark(run, &whence(from), isc_a, device, rules),
    };
    let size = |run: cables::Run| cables::to_take_in_words(run, isc_a, device, rules);
    if planned.is_empty() {
        let mut remark = remark(cables::USUAL, "taken as usual on a roof");
        let judge = match carries {
            Carries::Array => "kind = \"cable\"",
            Carries::String if array.strings() < 2 => return Vec::new(),
            Carries::String => "kind = \"cable\" and carries = \"string\"",
        };
        if carries == Carries::String
            && matches!(string_fuses(array), StringFuses::Unknown { .. })
            && array.strings() > 2
        {
            remark.push_str("; without a fuse in each string also what the others feed into it");
        }
        let of_plan =
            array.components.iter().find(|part| part.carries == carries && part.cable_lacks().is_some());
        if let Some((part, lacks)) = of_plan.and_then(|part| Some((part, part.cable_lacks()?))) {
            remark.push_str(&format!("; {} is not judged: give {lacks}", part.name));
            return vec![CableRow { name: word.to_owned(), remark, size: size(cables::USUAL) }];
        }
        remark.push_str("; not judged");
        // Beside a cable of the array a remark of its own says what to give.
        if cables::cables(array).next().is_none() {
            remark.push_str(&format!(" until it is in the plan ({judge})"));
        }
        return vec![CableRow { name: word.to_owned(), remark, size: size(cables::USUAL) }];
    }
    let several = planned.len() > 1;
    let row = |cable: &Cable<'_>| {
        let name = if several { format!("{word}: {}", cable.component.name) } else { word.to_owned() };
        let from = "as in the plan";
        // What the other strings can feed into a lead, and no fuse ends, is told by a limit or a remark of its own.
        let is_overfed = device.is_none() && lead::overfed(cable.component, array, rules).is_some();
        let meets = cables::meets(cable, &whence(from), isc_a, device, rules).filter(|_| !is_overfed);
        let remark = meets.unwrap_or_else(|| remark(cable.run, from));
        CableRow { name, remark, size: size(cable.run) }
    };
    planned.iter().map(row).collect()
}
