//! Strings, the arrays that they make, and their battery.

use super::components::components;
use super::labels::Labels;
use super::owner;
use crate::array::{Array, Battery, Chemistry, Heading, StringGroup, Tilt};
use crate::heat::Mount;
use crate::module::Label;
use crate::plan::draft::{Draft, Owner};
use crate::plan::fault::{nearest, quoted};
use crate::plan::given::{Given, ModuleNames};
use crate::plan::keys::{BATTERY, STRING};
use crate::plan::schema::{BatteryTable, ComponentTable, StringTable};
use crate::units::Volts;
use toml::Spanned;

/// The name of the only array of a plan that names none.
const ONLY_ARRAY: &str = "array";
/// Most panels in one string, as `in_series` allows.
const LONGEST_STRING: usize = 100;

/// All arrays of the plan, in the order in which their first string stands.
pub fn arrays(
    strings: Vec<Spanned<StringTable>>,
    battery: Option<Spanned<BatteryTable>>,
    parts: Vec<Spanned<ComponentTable>>,
    labels: &Labels,
    draft: &mut Draft<'_>,
) -> Vec<Array> {
    let battery = battery.and_then(|table| read_battery(table, draft));
    let mut arrays: Vec<Array> = Vec::new();
    for (index, table) in strings.into_iter().enumerate() {
        let span = table.span();
        let table = table.into_inner();
        let owner = owner(&STRING, None, index, span);
        let name = draft.plain(table.array.clone(), "array", &owner).unwrap_or_else(|| ONLY_ARRAY.to_owned());
        let group = group(table, &owner, labels, draft);
        let place = arrays.iter().position(|array| array.name == name).unwrap_or_else(|| {
            arrays.push(Array { name, groups: Vec::new(), components: Vec::new(), battery });
            arrays.len() - 1
        });
        arrays[place].groups.extend(group);
    }
    components(parts, &mut arrays, draft);
    arrays
}

fn group(table: StringTable, owner: &Owner, labels: &Labels, draft: &mut Draft<'_>) -> Option<StringGroup> {
    let modules = panels(table.modules, table.in_series, owner, labels, draft);
    let in_parallel = draft.count_of(table.in_parallel, "in_parallel", owner).unwrap_or(1);
    let mount = draft.word(table.mount, "mount", owner).map(|word| match word {
        "gap" => Mount::Gap,
        "frame" => Mount::Frame,
        _ => Mount::Roof,
    });
    let tilt = match draft.number_or_word(table.tilt_deg, "tilt_deg", owner) {
        Some(Ok(degrees)) => Tilt::Fixed(degrees),
        Some(Err(_)) => Tilt::Any,
        None => Tilt::Fixed(0.0),
    };
    let heading = match draft.number_or_word(table.heading, "heading", owner) {
        // 360 is north again
        Some(Ok(degrees)) => Heading::Fixed(degrees % 360.0),
        Some(Err(_)) | None => Heading::Any,
    };
    let snow_ground = draft.plain(table.snow_ground, "snow_ground", owner).unwrap_or(false);
    Some(StringGroup { modules: modules?, in_parallel, mount: mount?, tilt, heading, snow_ground })
}

/// The panels of one string, one label a panel.
fn panels(
    names: Option<Given<ModuleNames>>,
    in_series: Option<Given<u32>>,
    owner: &Owner,
    labels: &Labels,
    draft: &mut Draft<'_>,
) -> Option<Vec<Label>> {
    let (names, span) = draft.read(names, "modules", owner)?;
    match names {
        ModuleNames::Alike(name) => {
            if in_series.is_none() {
                draft.fault(
                    span.clone(),
                    format!(
                        "{} has no `in_series`; expected how many panels of {} stand in series, on which all volts rest; add a line like: in_series = 2",
                        owner.name,
                        quoted(&name)
                    ),
                );
            }
            let count = draft.count_of(in_series, "in_series", owner);
            let label = find(&name, span, owner, labels, draft);
            Some(vec![label?.clone(); usize::try_from(count?).ok()?])
        }
        ModuleNames::Listed(names) => {
            if let Some(given) = in_series {
                draft.fault(
                    given.span,
                    format!(
                        "{} lists its panels one by one ({} of them) and has `in_series` too; leave `in_series` out, or write one id: modules = {}",
                        owner.name,
                        names.len(),
                        quoted(&names[0])
                    ),
                );
            }
            if names.len() > LONGEST_STRING {
                draft.fault(
                    span.clone(),
                    format!(
                        "{}: found {} panels; expected at most {LONGEST_STRING}",
                        owner.the("modules"),
                        names.len()
                    ),
                );
                return None;
            }
            names.iter().map(|name| find(name, span.clone(), owner, labels, draft).cloned()).collect()
        }
    }
}

fn find<'l>(
    name: &str,
    span: std::ops::Range<usize>,
    owner: &Owner,
    labels: &'l Labels,
    draft: &mut Draft<'_>,
) -> Option<&'l Label> {
    if let Some(label) = labels.good.iter().find(|label| label.id == name) {
        return Some(label);
    }
    // a panel whose own table is at fault is named there, not here again
    if labels.some_unnamed || labels.ids.iter().any(|id| id == name) {
        return None;
    }
    let step = match nearest(name, labels.ids.iter().map(String::as_str)) {
        Some(near) => format!("did you mean {}?", quoted(near)),
        None if labels.ids.is_empty() => "add a [[module]] table with that id".to_owned(),
        None => format!(
            "known here: {}; or add a [[module]] table with that id",
            labels.ids.iter().map(|id| quoted(id)).collect::<Vec<_>>().join(", ")
        ),
    };
    draft.fault(
        span,
        format!("{}: found no [[module]] with the id {}; {step}", owner.the("modules"), quoted(name)),
    );
    None
}

fn read_battery(table: Spanned<BatteryTable>, draft: &mut Draft<'_>) -> Option<Battery> {
    let owner = Owner { table: &BATTERY, name: BATTERY.header.to_owned(), span: table.span() };
    let table = table.into_inner();
    let chemistry = draft.word(table.chemistry, "chemistry", &owner).map(|word| match word {
        "agm" => Chemistry::Agm,
        "gel" => Chemistry::Gel,
        "flooded" => Chemistry::Flooded,
        "nmc" => Chemistry::Nmc,
        _ => Chemistry::Lfp,
    });
    let nominal_span = table.nominal_v.as_ref().map(|given| given.span.clone());
    let nominal = draft.number(table.nominal_v, "nominal_v", &owner).filter(|nominal| {
        let known = Battery::NOMINAL_V.contains(nominal);
        if !known {
            let meant = Battery::NOMINAL_V
                .into_iter()
                .min_by(|a, b| (a - nominal).abs().total_cmp(&(b - nominal).abs()));
            draft.fault(
                nominal_span.unwrap_or_else(|| owner.span.clone()),
                format!(
                    "{}: found {nominal}; expected the system's name, 12, 24, 36 or 48; did you mean {}?",
                    owner.the("nominal_v"),
                    meant.unwrap_or(Battery::NOMINAL_V[0])
                ),
            );
        }
        known
    });
    let charge_span = table.charge_v.as_ref().map(|given| given.span.clone());
    let given_charge = table.charge_v.is_some();
    let charge = draft.number(table.charge_v, "charge_v", &owner);
    let (chemistry, nominal) = (chemistry?, nominal?);
    let charge = match (charge, given_charge) {
        (Some(charge), _) => {
            let range = Battery::charge_range(Volts(nominal));
            if !range.contains(&charge) {
                draft.fault(
                    charge_span.unwrap_or_else(|| owner.span.clone()),
                    format!(
                        "{}: found {charge}; expected {:.1} to {:.1} for a {nominal} V battery; check nominal_v and charge_v",
                        owner.the("charge_v"),
                        range.start(),
                        range.end()
                    ),
                );
                return None;
            }
            charge
        }
        (None, true) => return None,
        (None, false) => match chemistry.usual_charge(Volts(nominal)) {
            Some(volts) => volts.0,
            None => {
                draft.fault(
                    owner.span.clone(),
                    "[battery] has no `charge_v`; charge volts of an nmc battery depend on its maker and its number of cells; add a line like: charge_v = 12.6".to_owned(),
                );
                return None;
            }
        },
    };
    Some(Battery {
        chemistry,
        nominal: Volts(nominal),
        charge: Volts(charge),
        charge_is_default: !given_charge,
    })
}
