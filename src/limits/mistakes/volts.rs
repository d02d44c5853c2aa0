//! Ratings in volts that are read wrongly, and devices used for what they are not.

use super::{ask, named, unjudged, wiring};
use crate::array::{Array, Component, ComponentKind, ControllerType, Poles};
use crate::assumptions::Rules;
use crate::cite::Clause;
use crate::limits::rules::pwm;
use crate::note::Note;

/// Names of battery systems that small dc devices carry as their absolute rating, V.
const SYSTEM_NAMES_V: [f64; 6] = [12.0, 24.0, 32.0, 36.0, 42.0, 48.0];
/// Mains voltages, V ac.
const MAINS_V: [f64; 7] = [110.0, 120.0, 220.0, 230.0, 240.0, 400.0, 415.0];
/// Volts of rail-mounted dc breakers that usually hold for two poles in series, V.
const TWO_POLE_V: [f64; 3] = [250.0, 440.0, 500.0];
/// Label volts above which bare parts are a shock hazard, V [IEC60364-4-41].
const TOUCH_V: f64 = crate::limits::rules::touch::DRY_V;
/// Volts of blade fuses, V dc.
const BLADE_FUSE_V: f64 = 58.0;
/// Crystalline volts at 0 °C over the label's: the table of codes [NEC690.7].
const AT_FREEZING: f64 = 1.10;
/// Hottest cells of a roof in a desert, °C.
const DESERT_CELL_C: f64 = 80.0;

pub(super) fn remarks(array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    let is_switched = array.components.iter().any(|component| component.kind.poles().is_some());
    let has_connector = array.components.iter().any(|component| component.kind == ComponentKind::Connector);
    for component in &array.components {
        if let Some(poles) = component.kind.poles() {
            system_name(component, notes);
            mains_rating(component, poles, notes);
            poles_in_series(component, poles, notes);
            handling(component, poles, notes);
        }
        barely_above_label(component, array, rules, notes);
        match &component.kind {
            ComponentKind::Fuse => blade_fuse(component, array, notes),
            ComponentKind::Controller { .. } => controller(component, array, notes),
            _ => {}
        }
    }
    if has_connector && !is_switched {
        ask(
            notes,
            format!(
                "array \"{}\" has connectors and no disconnect: a plug connector is no switch, and pulled under load it draws \
                 an arc that does not go out ({})",
                array.name,
                Clause::PlugsBreakNothing.under(rules)
            ),
        );
    }
    if array.label_voc_v() > TOUCH_V {
        wiring(
            notes,
            format!(
                "array \"{}\": {:.0} V open-circuit on the label alone are a shock hazard (60 V dc dry, 30 V wet), whatever the \
                 battery's volts",
                array.name,
                array.label_voc_v()
            ),
        );
    }
}

/// A rating chosen by the label's own Voc, which is that of a warm day.
fn barely_above_label(component: &Component, array: &Array, rules: Rules, notes: &mut Vec<Note>) {
    let label_v = array.label_voc_v();
    let max_v = component.max_v.map(|volts| volts.0);
    let Some(max_v) = max_v.filter(|&volts| volts >= label_v && volts < label_v * AT_FREEZING) else {
        return;
    };
    wiring(
        notes,
        format!(
            "{}: {max_v} V lie only {:.0} % above the label's {label_v:.1} V, which holds at 25 °C: crystalline panels give 10 % \
             more at freezing ({})",
            named(component),
            (max_v / label_v - 1.0) * 100.0,
            Clause::AtFreezing.under(rules)
        ),
    );
}

/// Whether a rating in volts is also the name of a battery system, for whose circuits most switches and breakers of it are made.
#[must_use]
pub fn is_name_of_a_system(max_v: f64) -> bool {
    SYSTEM_NAMES_V.contains(&max_v)
}

/// What has to stand on such a switch or breaker before it may open an array.
pub const MADE_TO_BREAK_DC: &str = "marked as made to break dc under load";

/// "48 V" read as a system class.
fn system_name(component: &Component, notes: &mut Vec<Note>) {
    let Some(max_v) = component.max_v.map(|volts| volts.0).filter(|volts| is_name_of_a_system(*volts)) else {
        return;
    };
    // Its owner has looked.
    if component.kind.poles().is_some_and(|poles| poles.load_break == Some(true)) {
        return;
    }
    wiring(
        notes,
        format!(
            "{}: {max_v} V on a small breaker or switch is nearly always its absolute dc rating, not the name of a system it \
             suits; such devices are seldom made to open a solar array under load: take only one {MADE_TO_BREAK_DC}, and say so \
             (load_break = true)",
            named(component)
        ),
    );
}

/// An ac figure read as dc.
fn mains_rating(component: &Component, poles: &Poles, notes: &mut Vec<Note>) {
    let Some(max_v) = component.max_v.map(|volts| volts.0) else { return };
    let as_much_as_ac = poles.max_v_ac.is_some_and(|ac| max_v >= ac.0);
    if as_much_as_ac || (poles.max_v_ac.is_none() && MAINS_V.contains(&max_v)) {
        ask(
            notes,
            format!(
                "{}: max_v = {max_v} looks like an ac rating; dc volts are lower, since a dc arc does not go out at a zero \
                 crossing. Look for the figure marked dc, or with a straight and a broken line",
                named(component)
            ),
        );
    }
}

/// A rating for poles in series taken for a device with one pole in each conductor.
fn poles_in_series(component: &Component, poles: &Poles, notes: &mut Vec<Note>) {
    let opened = poles.opened.unwrap_or(1);
    if let Some((each, in_series)) = poles.max_v_per_pole.filter(|(_, in_series)| *in_series > 1) {
        ask(
            notes,
            format!(
                "{}: {in_series} poles in series in one conductor and {opened} conductors opened take {} poles; with one pole in \
                 each conductor its rating is {} V",
                named(component),
                in_series * opened,
                each.0
            ),
        );
    } else if let Some(half_v) = half_of_one_pole_v(component) {
        ask(
            notes,
            format!(
                "{}: is {} V printed for one pole, or for two in series? With one pole in each conductor a fault to earth leaves \
                 all volts to one pole; unsure, take half: {half_v}",
                named(component),
                2.0 * half_v
            ),
        );
    }
}

/// Half the volts of a device of two poles whose figure is often that of two poles in series, V: what one pole in each conductor
/// stands then. `None` where the plan says the volts of one pole, where one conductor is opened, and for other figures.
#[must_use]
pub fn half_of_one_pole_v(component: &Component) -> Option<f64> {
    let poles = component.kind.poles()?;
    let max_v = component.max_v?.0;
    let asks =
        poles.opened.unwrap_or(1) >= 2 && poles.max_v_per_pole.is_none() && TWO_POLE_V.contains(&max_v);
    asks.then_some(max_v / 2.0)
}

/// Polarised breakers and devices that only isolate.
fn handling(component: &Component, poles: &Poles, notes: &mut Vec<Note>) {
    if poles.polarised == Some(true) {
        ask(
            notes,
            format!(
                "{}: polarised: its source end belongs to the array, not to the battery; fed from the wrong end it fails to clear \
                 the arc on the day it is opened under load. An unpolarised one is the safer choice",
                named(component)
            ),
        );
    }
    if poles.load_break.is_none() && component.kind.word() == "disconnect" {
        unjudged(
            notes,
            format!(
                "{}: not judged: whether it may be opened under load stands on it or in its manual (load_break = true or false in the \
                 plan); until you know, treat it as one that only isolates",
                named(component)
            ),
        );
    }
    if poles.load_break == Some(false) {
        ask(
            notes,
            format!(
                "{}: isolates only: open it in the dark, or with the controller's charging stopped and the panels covered, and \
                 mark it so",
                named(component)
            ),
        );
    }
}

/// Blade fuses in strings of more than one panel.
fn blade_fuse(component: &Component, array: &Array, notes: &mut Vec<Note>) {
    if let Some(max_v) = component.max_v.map(|volts| volts.0).filter(|volts| *volts <= BLADE_FUSE_V) {
        ask(
            notes,
            format!(
                "{}: {max_v} V is the rating of a vehicle's blade fuse; the strings have {:.1} V on the label. Fuses for solar \
                 strings are marked gPV, with 600 V or more",
                named(component),
                array.label_voc_v()
            ),
        );
    }
}

/// The battery side of a controller: pwm with too many panels, mppt with too few.
fn controller(component: &Component, array: &Array, notes: &mut Vec<Note>) {
    let ComponentKind::Controller { kind, start_above_battery, max_charge, .. } = &component.kind else {
        return;
    };
    if *kind == ControllerType::Pwm {
        pwm_current(component, array, *max_charge, notes);
    }
    let Some(battery) = &array.battery else { return };
    for group in &array.groups {
        let Some(label) = group.modules.first() else { continue };
        let in_series = group.modules.len();
        let enough = pwm::panels_in_series(label, battery.charge.0);
        if *kind == ControllerType::Pwm && in_series > enough {
            ask(
                notes,
                format!(
                    "{}: a pwm controller passes current straight, so {in_series} in series where {enough} would do bring about \
                     {:.0} % of the panels' power; put them in parallel, or take an mppt controller",
                    named(component),
                    pwm::share_of_power(in_series, enough) * 100.0
                ),
            );
        } else if *kind == ControllerType::Pwm && in_series < enough {
            ask(
                notes,
                format!(
                    "{}: {in_series} in series stay below the battery's {:.1} V once warm: a pwm controller then charges nothing; \
                     {enough} in series are needed",
                    named(component),
                    battery.charge.0
                ),
            );
        } else if *kind == ControllerType::Mppt {
            let factor =
                |label: &crate::module::Label| 1.0 + label.voc_coefficient.per_k() * (DESERT_CELL_C - 25.0);
            let hot: f64 = group.modules.iter().map(|label| label.voc.0 * factor(label)).sum();
            let start = battery.charge.0 + start_above_battery.0;
            if hot < start {
                ask(
                    notes,
                    format!(
                        "{}: with cells at {DESERT_CELL_C:.0} °C the string has {hot:.1} V open-circuit, below the {start:.1} V at \
                         which it starts: panels that hot, as in a still summer noon, do not begin to charge. One panel more in series cures \
                         it, if every part holds its volts in the cold",
                        named(component)
                    ),
                );
            }
        }
    }
}

/// Nothing in a pwm controller limits the array's current.
fn pwm_current(
    component: &Component,
    array: &Array,
    max_charge: Option<crate::units::Amps>,
    notes: &mut Vec<Note>,
) {
    let Some(rated) = max_charge else { return };
    let isc_a = array.label_isc_a();
    let most = pwm::largest_isc_a(rated.0);
    if isc_a > most {
        ask(
            notes,
            format!(
                "{}: a pwm controller passes the array's current straight: {isc_a:.1} A of short-circuit current are more than \
                 0.8 x {} A = {:.1} A",
                named(component),
                rated.0,
                (most * 10.0 + 1e-6).floor() / 10.0
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{PANEL, array, says, two_in_series};

    fn with(component: &str) -> crate::array::Array {
        two_in_series(&format!("[[component]]\n{component}\n"))
    }

    #[test]
    fn forty_eight_volts_read_as_a_system_class() {
        assert!(says(&with("kind = 'breaker'\nmax_v = 48"), "absolute dc rating"));
        assert!(!says(&with("kind = 'breaker'\nmax_v = 150"), "absolute dc rating"));
        assert!(
            !says(&with("kind = 'breaker'\nmax_v = 48\nload_break = true"), "absolute dc rating"),
            "looked up"
        );
    }

    // 45 V on the label: 48 V are 7 % more, 50 V 11 %.
    #[test]
    fn a_rating_chosen_by_the_label_alone() {
        assert!(says(&with("kind = 'breaker'\nmax_v = 48"), "only 7 % above the label's 45.0 V"));
        assert!(says(&with("kind = 'controller'\nmax_v = 49"), "above the label's"));
        assert!(!says(&with("kind = 'breaker'\nmax_v = 50"), "above the label's"));
        assert!(!says(&with("kind = 'breaker'\nmax_v = 40"), "above the label's"));
    }

    #[test]
    fn an_ac_rating_read_as_dc() {
        assert!(says(&with("kind = 'switch'\nmax_v = 230"), "looks like an ac rating"));
        assert!(says(&with("kind = 'switch'\nmax_v = 250\nmax_v_ac = 250"), "looks like an ac rating"));
        assert!(!says(&with("kind = 'switch'\nmax_v = 150\nmax_v_ac = 400"), "looks like an ac rating"));
    }

    #[test]
    fn a_rating_of_two_poles_used_on_one() {
        let two = with("kind = 'disconnect'\nmax_v = 500\npoles_opened = 2");
        assert!(says(&two, "unsure, take half: 250"));
        let four = with("kind = 'disconnect'\nmax_v_per_pole = 250\npoles_in_series = 2\npoles_opened = 2");
        assert!(says(&four, "take 4 poles"));
        assert!(!says(
            &with("kind = 'disconnect'\nmax_v_per_pole = 250\npoles_in_series = 1\npoles_opened = 2"),
            "poles;"
        ));
    }

    #[test]
    fn polarised_and_isolate_only_devices_are_cautioned() {
        assert!(says(
            &with("kind = 'breaker'\nmax_v = 150\npolarised = true"),
            "source end belongs to the array"
        ));
        assert!(says(&with("kind = 'disconnect'\nmax_v = 150\nload_break = false"), "isolates only"));
        let told = |more: &str| {
            says(
                &with(&format!("kind = 'disconnect'\nmax_v = 150\n{more}")),
                "opened under load stands on it",
            )
        };
        assert!(told("") && !told("load_break = true") && !told("load_break = false"));
    }

    #[test]
    fn a_plug_is_no_switch() {
        assert!(says(&with("kind = 'connector'\nrated_a = 30"), "a plug connector is no switch"));
    }

    #[test]
    fn a_blade_fuse_in_a_string() {
        assert!(says(&with("kind = 'fuse'\nmax_v = 32\nrated_a = 15\ncarries = 'string'"), "blade fuse"));
    }

    #[test]
    fn a_long_string_is_a_shock_hazard() {
        let three = array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 3\nmount = 'roof'\n"));
        assert!(says(&three, "shock hazard"));
        assert!(!says(&two_in_series(""), "shock hazard"));
    }

    // One 12 V panel (22.5 V, -0.30 %/K) on a 12 V battery at 14.2 V, start +5 V: 18.8 V at 80 C do not start, 19.5 V at
    // 70 C do. Computed by hand.
    #[test]
    fn one_panel_on_mppt_does_not_start_in_the_desert() {
        let battery =
            "[battery]\nchemistry = 'lfp'\nnominal_v = 12\n[[component]]\nkind = 'controller'\nmax_v = 100\n";
        let one = array(&format!("{PANEL}[[string]]\nmodules = ['p']\nmount = 'roof'\n{battery}"));
        assert!(says(&one, "18.8 V open-circuit, below the 19.2 V"));
        assert!(!says(&two_in_series(battery), "do not begin to charge"));
    }

    #[test]
    fn pwm_with_too_many_too_few_and_too_much_current() {
        let pwm = |volts: u32| {
            format!(
                "[battery]\nchemistry = 'lfp'\nnominal_v = {volts}\n\
                 [[component]]\nkind = 'controller'\ntype = 'pwm'\nmax_v = 50\nmax_charge_a = 6\n"
            )
        };
        assert!(says(&two_in_series(&pwm(12)), "about 50 % of the panels' power"));
        assert!(!says(&two_in_series(&pwm(24)), "of the panels' power"));
        assert!(says(&two_in_series(&pwm(48)), "4 in series are needed"));
        assert!(says(&two_in_series(&pwm(24)), "0.8 x 6 A = 4.8 A"));
    }
}
