//! The list of assumptions, as every report prints it: name, value, unit, why.

use super::Plan;
use super::build::{RUN_ABOVE_BATTERY_V, START_ABOVE_BATTERY_V};
use crate::array::{Array, ComponentKind, Heading, StringGroup, Tilt};
use crate::assumptions::{Assumption, CodeTemperature, Rules};
use crate::cite::{Clause, own_table_of_cables};
use crate::heat::{CALM_UNKNOWN_M_S, Mount, sky_cooling_k};
use crate::module::{DIMMEST_W_M2, Label, VocCoefficient};
use crate::sky::{ALBEDO, ALBEDO_SNOW};

fn line(name: impl Into<String>, value: impl Into<String>, unit: &str, why: impl Into<String>) -> Assumption {
    Assumption { name: name.into(), value: value.into(), unit: unit.to_owned(), why: why.into() }
}

const FROM_PLAN: &str = "from the plan";

/// All assumptions of a plan, those that matter most first.
pub(super) fn stated(plan: &Plan) -> Vec<Assumption> {
    let mut list = settings(plan);
    let mut labels: Vec<&Label> = Vec::new();
    for label in groups(plan).flat_map(|group| &group.modules) {
        if !labels.iter().any(|known| known.id == label.id) {
            labels.push(label);
        }
    }
    for label in labels {
        list.extend(of_label(label));
    }
    list.extend(mounting(plan));
    list.extend(weather_models(plan));
    list.extend(rules_and_currents(plan.assumptions.rules));
    list.extend(verdicts());
    for array in &plan.arrays {
        list.extend(low_side(array));
    }
    list
}

fn groups(plan: &Plan) -> impl Iterator<Item = &StringGroup> {
    plan.arrays.iter().flat_map(|array| &array.groups)
}

/// What other rules ask of the code temperature than the NEC.
fn lowest_expected(rules: Rules) -> String {
    match rules {
        Rules::All | Rules::Nec2023 => String::new(),
        Rules::Iec | Rules::AsNzs => format!(
            "; {} asks for the lowest that is expected (from memory): code_temperature = \"record-low\" is nearer to that",
            Clause::LargestVolts.under(rules)
        ),
    }
}

fn settings(plan: &Plan) -> Vec<Assumption> {
    let given = &plan.assumptions;
    let code = match given.code_temperature {
        CodeTemperature::MeanAnnualLow => line(
            "code temperature",
            "mean annual low",
            "",
            format!(
                "mean of the lowest air temperatures of all years, as the note to NEC 690.7(A) suggests; from 5 complete winters on, else the record low{}",
                lowest_expected(given.rules)
            ),
        ),
        CodeTemperature::RecordLow => line("code temperature", "record low", "", FROM_PLAN),
        CodeTemperature::TwentyYearLow => line(
            "code temperature",
            "20-year low",
            "",
            "from the plan; from 10 complete winters on, else the record low",
        ),
        CodeTemperature::Fixed(celsius) => {
            line("code temperature", format!("{:.1}", celsius.0), "°C", FROM_PLAN)
        }
    };
    let touch = match given.touch_limit {
        Some(volts) => line("touch-voltage limit", format!("{:.0}", volts.0), "V", FROM_PLAN),
        None => line(
            "touch-voltage limit",
            "none",
            "",
            "touch classes (30, 60, 120 V) are shown as information; touch_limit_v makes one a limit",
        ),
    };
    let earthed = if given.array_earthed {
        line("array earthed", "yes", "", "from the plan: one conductor is solidly earthed")
    } else {
        line(
            "array earthed",
            "no",
            "",
            "usual in vehicles: no conductor is solidly earthed, so a disconnect opens both",
        )
    };
    vec![
        code,
        line(
            "level that decides",
            format!("{}", given.return_years),
            "years",
            "the next season passes the worst-case level with a chance of 1 in so many",
        ),
        touch,
        earthed,
    ]
}

fn of_label(label: &Label) -> Vec<Assumption> {
    let mut list = vec![line(
        format!("label tolerance of {}", label.id),
        format!("{:.1}", label.tolerance * 100.0),
        "%",
        "how far a panel's Voc may lie above its label; only in the worst case; 5 % is usual for an unknown maker",
    )];
    if let VocCoefficient::Bound(per_k) = label.voc_coefficient {
        list.push(line(
            format!("voltage coefficient of {}", label.id),
            format!("{:.2}", per_k * 100.0),
            "%/K",
            "not on the label; steeper than nearly all panels of its kind",
        ));
    }
    if !label.isc_coefficient_is_printed {
        list.push(line(
            format!("current coefficient of {}", label.id),
            format!("{:.3}", label.isc_per_k * 100.0),
            "%/K",
            "not on the label; usual for panels of its kind",
        ));
    }
    if label.cells.printed.is_none_or(|printed| f64::from(printed) != label.cells.central) {
        list.push(line(
            format!("cells in series of {}", label.id),
            format!("{:.1} (worst case {:.1})", label.cells.central, label.cells.bound),
            "",
            match label.cells.printed {
                Some(printed) => format!(
                    "the label counts {printed} cells, of which so many are in series by the volts of a cell"
                ),
                None => "not on the label; from its Voc and the usual volts of a cell".to_owned(),
            },
        ));
    }
    list
}

fn mounting(plan: &Plan) -> Vec<Assumption> {
    let mut list = Vec::new();
    for mount in [Mount::Frame, Mount::Gap, Mount::Roof] {
        if !groups(plan).any(|group| group.mount == mount) {
            continue;
        }
        let (kelvin, why) = match plan.assumptions.sky_cooling_k {
            Some(kelvin) => (kelvin, FROM_PLAN.to_owned()),
            None => (
                sky_cooling_k(mount),
                "cells lie below the air after a clear night; only in the worst case".to_owned(),
            ),
        };
        list.push(line(format!("night cooling, mount {}", mount.word()), format!("{kelvin:.1}"), "K", why));
    }
    if groups(plan).any(|group| group.tilt != Tilt::Fixed(0.0) && group.heading == Heading::Any) {
        list.push(line(
            "heading",
            "any",
            "",
            "voltages for the azimuth that faces the sun; the steady voltage for the mean of headings",
        ));
    }
    if groups(plan).any(|group| group.tilt == Tilt::Any) {
        list.push(line("tilt", "any", "", "voltages for the plane that faces the sun"));
    }
    list
}

fn weather_models(plan: &Plan) -> Vec<Assumption> {
    let turbidity = match plan.assumptions.linke_turbidity {
        Some(turbidity) => line("Linke turbidity", format!("{turbidity}"), "", FROM_PLAN),
        None => {
            line("Linke turbidity", "2.0 (1.8 above 1500 m)", "", "clean, dry winter air: the bright side")
        }
    };
    let mut list = vec![
        turbidity,
        line(
            "diode ideality n",
            "1.1 (worst case 1.0, above 1000 W/m2 1.5)",
            "",
            "how Voc falls in dim light; 1.0 never reads low there",
        ),
        line(
            "dimmest light",
            DIMMEST_W_M2.to_string(),
            "W/m2",
            "below it no voltage is computed; the array is still live",
        ),
        line(
            "wind where the file has none",
            CALM_UNKNOWN_M_S.to_string(),
            "m/s",
            "nearly calm: the usual assumption for parked vehicles",
        ),
        line(
            "fall of air temperature with height",
            "6.5 (worst case 9.8)",
            "K/km",
            "from the station up to the vehicle; never warmer below it",
        ),
    ];
    if groups(plan).any(|group| group.tilt != Tilt::Fixed(0.0)) {
        let snow = groups(plan).any(|group| group.snow_ground);
        list.push(line(
            "ground reflectance",
            if snow {
                format!("{ALBEDO} ({ALBEDO_SNOW} where snow_ground is set)")
            } else {
                ALBEDO.to_string()
            },
            "",
            "light from the ground onto tilted panels",
        ));
    }
    list
}

/// Which rules are cited, and what stays another's under them.
fn rules_and_currents(rules: Rules) -> Vec<Assumption> {
    let (named, why) = match rules {
        Rules::All => (
            "all that apply are named",
            "the plan names none; rules = \"nec-2023\", \"iec\" or \"as-nzs\" cites those alone",
        ),
        Rules::Nec2023 => {
            ("NEC", "from the plan; the sources say which editions were read, and what is from memory")
        }
        Rules::Iec => ("IEC", "from the plan; the sources say what is from memory"),
        Rules::AsNzs => ("AS/NZS", "from the plan; from memory, so without clauses"),
    };
    let mut list = vec![line("rules cited", named, "", why)];
    list.push(line("largest circuit current", "1.25", "x Isc", Clause::LargestAmps.under(rules)));
    let why = match rules {
        Rules::All | Rules::Nec2023 => "1.25 x 1.25, NEC 690.8(B) and 690.9(B)".to_owned(),
        Rules::Iec | Rules::AsNzs => format!(
            "1.25 x 1.25, as NEC 690.8(B) asks, kept since it is stricter than the 1.25 that {} asks for, from memory",
            Clause::LargestAmps.under(rules)
        ),
    };
    list.push(line("conductors, breakers and fuses", "1.5625", "x Isc", why));
    list.extend(own_table_of_cables(rules).map(|own| {
        let why = format!(
            "and its correction for warm air: no table of {own} is in this program; look each size up there too"
        );
        line("what a cable carries", "NEC Table 310.16", "", why)
    }));
    list
}

fn verdicts() -> Vec<Assumption> {
    vec![
        line(
            "close below a limit",
            "5 (code), 3 (worst case)",
            "%",
            "chosen because cloud edges, a parking slope and a soaked panel add about 1 % each",
        ),
        line(
            "allowance for short records",
            "10",
            "K",
            "chosen because a typical year misses the record low by 5 to 6 K, and a 20-year low lies about 6 K below the mean low",
        ),
        line(
            "complete season",
            "95",
            "%",
            "of the reports that the file promises, in the coldest 90 days (lows) or the lit hours of the colder half year (volts)",
        ),
    ]
}

fn low_side(array: &Array) -> Vec<Assumption> {
    let mut list = Vec::new();
    let Some(battery) = &array.battery else { return list };
    let word = battery.chemistry.word();
    let why = match battery.chemistry.usual_charge_of_12_v().filter(|_| battery.charge_is_default) {
        Some((low, _, high)) => format!(
            "usual for {word}: {low} to {high} V a 12 V block, part read in makers' sheets, part from memory; yours stands in the battery's manual"
        ),
        None => FROM_PLAN.to_owned(),
    };
    list.push(line(
        format!("battery charge volts, {}", array.name),
        format!("{:.1}", battery.charge.0),
        "V",
        why,
    ));
    for component in &array.components {
        let ComponentKind::Controller { start_above_battery, run_above_battery, .. } = &component.kind else {
            continue;
        };
        let is_default =
            start_above_battery.0 == START_ABOVE_BATTERY_V && run_above_battery.0 == RUN_ABOVE_BATTERY_V;
        list.push(line(
            format!("start and run margins of {}", component.name),
            format!("{} and {}", start_above_battery.0, run_above_battery.0),
            "V",
            if is_default {
                "over the battery's volts; common practice, no source; ask the maker"
            } else {
                FROM_PLAN
            },
        ));
    }
    list.push(line(
        format!("ageing and cable drop, {}", array.name),
        "2 and 2",
        "%",
        "off the working voltage on the hot side; common practice, no source",
    ));
    list
}
