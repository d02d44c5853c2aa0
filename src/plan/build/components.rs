//! Components: which keys a kind takes, and to which array it belongs.

use super::{not_both, owner};
use crate::array::{Array, Carries, Component, ComponentKind, Conductor, ControllerType, Poles};
use crate::plan::draft::{Draft, Owner};
use crate::plan::fault::{either, nearest, quoted};
use crate::plan::given::Given;
use crate::plan::keys::COMPONENT;
use crate::plan::schema::ComponentTable;
use crate::units::{Amps, Celsius, Volts};
use std::ops::Range;
use toml::Spanned;

/// Margins of a controller over its battery, V: common practice, no source; the maker knows.
pub(in crate::plan) const START_ABOVE_BATTERY_V: f64 = 5.0;
/// The same for running on.
pub(in crate::plan) const RUN_ABOVE_BATTERY_V: f64 = 1.0;

const SWITCHING: &[&str] = &["disconnect", "breaker", "switch"];
const CONTROLLER: &[&str] = &["controller"];
const CABLE: &[&str] = &["cable"];
const ALL_BUT_CONTROLLER: &[&str] = &["disconnect", "breaker", "switch", "connector", "cable", "fuse"];
const RATED: &[&str] = &["disconnect", "breaker", "switch", "connector", "fuse"];

/// Reads all components into their arrays.
pub fn components(parts: Vec<Spanned<ComponentTable>>, arrays: &mut [Array], draft: &mut Draft<'_>) {
    for (index, table) in parts.into_iter().enumerate() {
        let span = table.span();
        let table = table.into_inner();
        let owner = owner(&COMPONENT, table.name.as_ref().or(table.kind.as_ref()), index, span);
        let array = which_array(&table, &owner, arrays, draft);
        let component = component(table, &owner, draft);
        if let (Some(array), Some(mut component)) = (array, component) {
            component.name = free_name(&component.name, &arrays[array]);
            arrays[array].components.push(component);
        }
    }
}

/// A name that no other component of the array has: "breaker", "breaker 2". Limits are told by name, also where the plan gives
/// two components the same one.
fn free_name(wanted: &str, array: &Array) -> String {
    let taken = |name: &str| array.components.iter().any(|component| component.name == name);
    let mut name = wanted.to_owned();
    let mut number = 2;
    while taken(&name) {
        name = format!("{wanted} {number}");
        number += 1;
    }
    name
}

fn which_array(
    table: &ComponentTable,
    owner: &Owner,
    arrays: &[Array],
    draft: &mut Draft<'_>,
) -> Option<usize> {
    let names: Vec<String> = arrays.iter().map(|array| quoted(&array.name)).collect();
    let Some((name, span)) = draft.read(table.array.clone(), "array", owner) else {
        if table.array.is_none() && arrays.len() > 1 {
            draft.fault(
                owner.span.clone(),
                format!(
                    "{} has no `array`, and the plan has {} arrays, {}; add a line like: array = {}",
                    owner.name,
                    arrays.len(),
                    names.join(", "),
                    names[0]
                ),
            );
        }
        return (table.array.is_none() && arrays.len() == 1).then_some(0);
    };
    let found = arrays.iter().position(|array| array.name == name);
    if found.is_none() && !arrays.is_empty() {
        let step = match nearest(&name, arrays.iter().map(|array| array.name.as_str())) {
            Some(near) => format!("did you mean {}?", quoted(near)),
            None => format!("known here: {}", either(&names)),
        };
        draft.fault(
            span,
            format!("{}: found {}, which no [[string]] names; {step}", owner.the("array"), quoted(&name)),
        );
    }
    found
}

fn component(mut table: ComponentTable, owner: &Owner, draft: &mut Draft<'_>) -> Option<Component> {
    let faults_before = draft.count();
    let kind = draft.word(table.kind.take(), "kind", owner);
    if let Some(kind) = kind {
        keys_fit_kind(&table, kind, owner, draft);
    }
    let name = draft.plain(table.name, "name", owner);
    let carries = match draft.word(table.carries, "carries", owner) {
        Some("string") => Carries::String,
        _ => Carries::Array,
    };
    let max_v = draft.number(table.max_v, "max_v", owner).map(Volts);
    let rated_a = draft.number(table.rated_a, "rated_a", owner).map(Amps);
    let kind = kind?;
    let name = name.unwrap_or_else(|| kind.to_owned());
    let kind = match kind {
        "controller" => {
            let mut volts = |given, key| draft.number(given, key, owner).map(Volts);
            let max_operating = volts(table.max_operating_v, "max_operating_v");
            let start = volts(table.start_above_battery_v, "start_above_battery_v");
            let run = volts(table.run_above_battery_v, "run_above_battery_v");
            let mut amps = |given, key| draft.number(given, key, owner).map(Amps);
            let max_isc = amps(table.max_isc_a, "max_isc_a");
            let max_charge = amps(table.max_charge_a, "max_charge_a");
            let kind = match draft.word(table.kind_of_controller, "type", owner) {
                Some("pwm") => ControllerType::Pwm,
                _ => ControllerType::Mppt,
            };
            ComponentKind::Controller {
                max_operating,
                max_isc,
                max_charge,
                start_above_battery: start.unwrap_or(Volts(START_ABOVE_BATTERY_V)),
                run_above_battery: run.unwrap_or(Volts(RUN_ABOVE_BATTERY_V)),
                kind,
            }
        }
        "cable" => cable(
            (table.mm2, table.awg),
            (table.ambient_c, table.ambient_f),
            table.insulation_c,
            owner,
            draft,
        )?,
        "connector" => ComponentKind::Connector,
        "fuse" => ComponentKind::Fuse,
        switching => {
            let poles = poles(
                SwitchingKeys {
                    opened: table.poles_opened,
                    polarised: table.polarised,
                    load_break: table.load_break,
                    max_v_per_pole: table.max_v_per_pole,
                    poles_in_series: table.poles_in_series,
                    max_v_ac: table.max_v_ac,
                    continuous_100_percent: table.continuous_100_percent,
                },
                owner,
                draft,
            );
            match switching {
                "breaker" => ComponentKind::Breaker(poles),
                "switch" => ComponentKind::Switch(poles),
                _ => ComponentKind::Disconnect(poles),
            }
        }
    };
    let component = Component { name, kind, carries, max_v, rated_a };
    if draft.count() == faults_before {
        ratings_make_sense(&component, owner, draft);
    }
    Some(component)
}

/// A key, where it stands, and the kinds that take it.
type Rule = (&'static str, Option<Range<usize>>, &'static [&'static str]);

/// Refuses keys that another kind takes.
fn keys_fit_kind(table: &ComponentTable, kind: &str, owner: &Owner, draft: &mut Draft<'_>) {
    fn at<T>(given: Option<&Given<T>>) -> Option<Range<usize>> {
        given.map(|given| given.span.clone())
    }
    let rules: [Rule; 20] = [
        ("carries", at(table.carries.as_ref()), ALL_BUT_CONTROLLER),
        ("rated_a", at(table.rated_a.as_ref()), RATED),
        ("poles_opened", at(table.poles_opened.as_ref()), SWITCHING),
        ("polarised", at(table.polarised.as_ref()), SWITCHING),
        ("load_break", at(table.load_break.as_ref()), SWITCHING),
        ("max_v_per_pole", at(table.max_v_per_pole.as_ref()), SWITCHING),
        ("poles_in_series", at(table.poles_in_series.as_ref()), SWITCHING),
        ("max_v_ac", at(table.max_v_ac.as_ref()), SWITCHING),
        ("continuous_100_percent", at(table.continuous_100_percent.as_ref()), SWITCHING),
        ("max_operating_v", at(table.max_operating_v.as_ref()), CONTROLLER),
        ("max_isc_a", at(table.max_isc_a.as_ref()), CONTROLLER),
        ("max_charge_a", at(table.max_charge_a.as_ref()), CONTROLLER),
        ("start_above_battery_v", at(table.start_above_battery_v.as_ref()), CONTROLLER),
        ("run_above_battery_v", at(table.run_above_battery_v.as_ref()), CONTROLLER),
        ("type", at(table.kind_of_controller.as_ref()), CONTROLLER),
        ("mm2", at(table.mm2.as_ref()), CABLE),
        ("awg", at(table.awg.as_ref()), CABLE),
        ("insulation_c", at(table.insulation_c.as_ref()), CABLE),
        ("ambient_c", at(table.ambient_c.as_ref()), CABLE),
        ("ambient_f", at(table.ambient_f.as_ref()), CABLE),
    ];
    for (key, span, kinds) in rules {
        let Some(span) = span.filter(|_| !kinds.contains(&kind)) else { continue };
        let step = match (key, kind) {
            ("rated_a", "controller") => {
                "a controller has `max_isc_a` (short-circuit amps of the array) and `max_charge_a` (amps into the battery)"
                    .to_owned()
            }
            ("rated_a", "cable") => {
                "a cable's amps follow from `mm2` or `awg`, `insulation_c` and `ambient_c`".to_owned()
            }
            _ => format!("it belongs to a {}; take the line out, or check `kind`", either(kinds)),
        };
        draft.fault(span, format!("{} is a {kind}, which has no `{key}`; {step}", owner.name));
    }
}

fn cable(
    (mm2, awg): (Option<Given<f64>>, Option<Given<u32>>),
    (ambient_c, ambient_f): (Option<Given<f64>>, Option<Given<f64>>),
    insulation_c: Option<Given<f64>>,
    owner: &Owner,
    draft: &mut Draft<'_>,
) -> Option<ComponentKind> {
    not_both(("mm2", mm2.as_ref()), ("awg", awg.as_ref()), "a cable has one size", owner, draft);
    not_both(
        ("ambient_c", ambient_c.as_ref()),
        ("ambient_f", ambient_f.as_ref()),
        "they say the same in two units",
        owner,
        draft,
    );
    if mm2.is_none() && awg.is_none() {
        draft.fault(
            owner.span.clone(),
            format!(
                "{} has no size; expected its cross-section or its gauge; add a line like: mm2 = 6 (or: awg = 10)",
                owner.name
            ),
        );
    }
    let conductor = match (draft.number(mm2, "mm2", owner), draft.count_of(awg, "awg", owner)) {
        (Some(mm2), _) => Some(Conductor::Mm2(mm2)),
        (None, gauge) => gauge.map(Conductor::Awg),
    };
    let insulation_c = draft.number(insulation_c, "insulation_c", owner);
    let in_c = draft.number(ambient_c, "ambient_c", owner);
    let in_f = draft.number(ambient_f, "ambient_f", owner).map(|f| Celsius::from_fahrenheit(f).0);
    Some(ComponentKind::Cable { conductor: conductor?, insulation_c, ambient_c: in_c.or(in_f) })
}

struct SwitchingKeys {
    opened: Option<Given<u32>>,
    polarised: Option<Given<bool>>,
    load_break: Option<Given<bool>>,
    max_v_per_pole: Option<Given<f64>>,
    poles_in_series: Option<Given<u32>>,
    max_v_ac: Option<Given<f64>>,
    continuous_100_percent: Option<Given<bool>>,
}

fn poles(keys: SwitchingKeys, owner: &Owner, draft: &mut Draft<'_>) -> Poles {
    match (&keys.max_v_per_pole, &keys.poles_in_series) {
        (Some(given), None) => draft.fault(
            given.span.clone(),
            format!(
                "{} has `max_v_per_pole` and no `poles_in_series`; expected how many poles are wired in series in one conductor; add a line like: poles_in_series = 1",
                owner.name
            ),
        ),
        (None, Some(given)) => draft.fault(
            given.span.clone(),
            format!(
                "{} has `poles_in_series` and no `max_v_per_pole`; expected the dc volts printed for one pole; add a line like: max_v_per_pole = 125, or leave `poles_in_series` out",
                owner.name
            ),
        ),
        _ => {}
    }
    let per_pole = draft.number(keys.max_v_per_pole, "max_v_per_pole", owner).map(Volts);
    Poles {
        opened: draft.count_of(keys.opened, "poles_opened", owner),
        polarised: draft.plain(keys.polarised, "polarised", owner),
        load_break: draft.plain(keys.load_break, "load_break", owner),
        max_v_per_pole: per_pole.zip(draft.count_of(keys.poles_in_series, "poles_in_series", owner)),
        max_v_ac: draft.number(keys.max_v_ac, "max_v_ac", owner).map(Volts),
        continuous_100_percent: draft
            .plain(keys.continuous_100_percent, "continuous_100_percent", owner)
            .unwrap_or(false),
    }
}

/// What to do with a part of which nothing is known yet. That it is refused keeps an empty holder from being taken for the fuse that
/// the strings want.
const UNTIL_READ: &str = "put # before each line of this [[component]] until then: assess says under what the array needs what to buy";

/// Ratings that contradict each other, and components of which nothing can be said.
fn ratings_make_sense(component: &Component, owner: &Owner, draft: &mut Draft<'_>) {
    let at = owner.span.clone();
    match &component.kind {
        ComponentKind::Controller { max_operating, .. } => match (component.max_v, max_operating) {
            (None, _) => draft.fault(
                at,
                format!(
                    "{} has no `max_v`; expected the largest PV volts that its manual allows, the first thing that cold breaks; add a line like: max_v = 100; not at hand? {UNTIL_READ}",
                    owner.name
                ),
            ),
            (Some(most), Some(operating)) if *operating > most => draft.fault(
                at,
                format!(
                    "{}: max_operating_v is {} and max_v only {}; expected the absolute limit in max_v, never below the operating one; check which is which in the manual",
                    owner.name, operating.0, most.0
                ),
            ),
            _ => {}
        },
        kind => {
            let (per_pole, ac) =
                kind.poles().map_or((None, None), |poles| (poles.max_v_per_pole, poles.max_v_ac));
            if let (Some(max_v), Some((each, in_series))) = (component.max_v, per_pole) {
                let total = each.0 * f64::from(in_series);
                if (total - max_v.0).abs() > 0.005 * total {
                    draft.fault(
                        at,
                        format!(
                            "{}: max_v is {}, but {in_series} poles of {} V in series make {total}; leave max_v out, or correct one of the three",
                            owner.name, max_v.0, each.0
                        ),
                    );
                    return;
                }
            }
            let cable = matches!(kind, ComponentKind::Cable { .. });
            if component.max_v.is_none() && per_pole.is_none() && ac.is_none() && component.rated_a.is_none() && !cable {
                draft.fault(
                    at,
                    format!(
                        "{} has no rating; expected at least one of `max_v` (dc volts printed on it) and `rated_a`; add them from its label or data sheet; none yet, as of an empty fuse holder? {UNTIL_READ}",
                        owner.name
                    ),
                );
            }
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use std::path::Path;

    /// Limits are told, compared and mended by name: components that the plan calls alike, or not at all, are numbered in its order,
    /// those of another array by themselves.
    #[test]
    fn no_two_components_of_an_array_bear_one_name() {
        let panels = "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 6\n";
        let string = |array: &str| {
            format!("[[string]]\narray = '{array}'\nmodules = 'p'\nin_series = 1\nmount = 'roof'\n")
        };
        let plug = |array: &str, name: &str| {
            format!(
                "[[component]]\nkind = 'connector'\nmax_v = 600\nrated_a = 30\narray = '{array}'\n{name}\n"
            )
        };
        let text = [
            panels.to_owned(),
            string("roof"),
            string("ground"),
            plug("roof", "name = 'plug'"),
            plug("roof", ""),
            plug("roof", "name = 'plug'"),
            plug("ground", "name = 'plug'"),
            plug("roof", "name = 'connector'"),
        ]
        .concat();
        let plan =
            crate::plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new()))
                .unwrap();
        let names = |at: usize| -> Vec<&str> {
            plan.arrays[at].components.iter().map(|part| part.name.as_str()).collect()
        };
        assert_eq!(names(0), ["plug", "connector", "plug 2", "connector 2"]);
        assert_eq!(names(1), ["plug"]);
    }
}
