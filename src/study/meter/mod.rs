//! `meter`: what a meter should read on a string now, how far it may stray, and whether a reading fits.

mod label;
mod outdoors;
mod reading;
mod table;

pub use outdoors::{Outdoors, SkyWord};
pub use reading::{Fit, LabelSupport, ReadingAnswer};
pub use table::{MeterRow, MeterRows, rows};

use crate::array::{Array, StringGroup};
use crate::heat;
use crate::hourly::ReadyPower;
use crate::module::{DIMMEST_W_M2, StringCurve, string_short_circuit};
use crate::plan::Plan;
use crate::study::{Choice, StudyError};
use crate::units::Celsius;
use serde::Serialize;

/// What the closed form strays by against open measurements, a share: the 95th percentile of 17 crystalline modules.
const MODEL_SHARE: f64 = 0.010;
/// What short-circuit current strays by, likewise.
const MODEL_SHARE_A: f64 = 0.016;
/// How far a panel's Isc may lie from its label (a manufacturer's manual: 5 %).
const ISC_TOLERANCE: f64 = 0.05;
/// How far a hand-held light meter may be off (common practice, no source).
const LIGHT_SHARE: f64 = 0.05;
/// How far a thermometer on the back of a panel may be from its cells, K (common practice, no source: 2 to 3 K).
const CELL_K: f64 = 3.0;

/// What is known of the moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moment {
    /// Light on the panel and its cell temperature, both measured.
    Measured {
        /// W/m2.
        irradiance_w_m2: f64,
        /// C.
        cell_c: f64,
    },
    /// Light measured, and the air; the cell follows from the mount.
    AirMeasured {
        /// W/m2.
        irradiance_w_m2: f64,
        /// C.
        air_c: f64,
    },
}

/// A quantity between two bounds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// Lower end.
    pub low: f64,
    /// As labelled.
    pub expected: f64,
    /// Upper end.
    pub high: f64,
}

/// Light and cell, each between bounds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Conditions {
    /// Light on the panel, W/m2.
    pub irradiance_w_m2: Spread,
    /// Cell temperature, C.
    pub cell_c: Spread,
    /// Where both come from.
    pub from: String,
    /// What of them was measured.
    #[serde(skip)]
    pub known: Known,
}

/// What of light and cell was measured: a label value follows from a reading only where both were.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// Both.
    Both,
    /// The light; the cell follows from the air.
    Light,
    /// Neither.
    Neither,
}

/// What to expect of one string.
#[derive(Clone, Debug, Serialize)]
pub struct StringMeter {
    /// "3 x roof100".
    pub string: String,
    /// Strings like it in parallel.
    pub in_parallel: u32,
    /// Light and cell.
    pub conditions: Conditions,
    /// Open-circuit volts as labelled, n = 1.1; null where too dim to compute.
    pub voc_v: Option<f64>,
    /// Their bounds: the label's tolerance, the model, and what is uncertain of light and cell.
    pub voc_range_v: Option<[f64; 2]>,
    /// Volts of the strongest panels that the label allows.
    pub voc_worst_case_v: Option<f64>,
    /// Short-circuit current of one string.
    pub isc_a: Option<f64>,
    /// Its bounds.
    pub isc_range_a: Option<[f64; 2]>,
    /// Volts at maximum power; null where a label has none.
    pub vmp_v: Option<f64>,
    /// Amps there.
    pub imp_a: Option<f64>,
    /// What the readings say; null without one.
    pub reading: Option<ReadingAnswer>,
}

/// The answer of `meter`.
#[derive(Clone, Debug, Serialize)]
pub struct MeterAnswer {
    /// The plan's title.
    pub title: String,
    /// The array.
    pub array: String,
    /// String by string; equal strings once.
    pub strings: Vec<StringMeter>,
    /// What to mind.
    pub remarks: Vec<String>,
}

/// Volts and amps as read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reading {
    /// Open-circuit volts of one string.
    pub volts: Option<f64>,
    /// Short-circuit amps of one string.
    pub amps: Option<f64>,
}

/// What a meter should read in the light and temperature given.
///
/// # Errors
/// A light or a temperature that cannot be meant; several arrays and none chosen.
pub fn meter(
    plan: &Plan,
    choice: &Choice,
    moment: Moment,
    reading: Reading,
) -> Result<MeterAnswer, StudyError> {
    let array = one_array(plan, choice)?;
    check(&moment, &reading)?;
    answer(plan, array, reading, |group| conditions(group, moment))
}

/// The same where no light meter is at hand: from place, time, air and a word for the sky.
///
/// # Errors
/// As [`meter`], and a stop or a time that is none, unreadable weather, no coordinates.
pub fn meter_outdoors(
    plan: &Plan,
    choice: &Choice,
    outdoors: &Outdoors<'_>,
    reading: Reading,
) -> Result<MeterAnswer, StudyError> {
    let array = one_array(plan, choice)?;
    check_celsius("--air", outdoors.air_c)?;
    check_reading(&reading)?;
    let place = outdoors::Place::find(plan, choice, outdoors)?;
    let mut answer = answer(plan, array, reading, |group| place.conditions(group, outdoors))?;
    answer.remarks.push(
        "without a light meter the light is a guess; volts hardly mind it, amps follow it one to one. Look straight at no \
         sun, and take the reading with nothing between sky and panel"
            .into(),
    );
    Ok(answer)
}

fn answer(
    plan: &Plan,
    array: &Array,
    reading: Reading,
    conditions: impl Fn(&StringGroup) -> Conditions,
) -> Result<MeterAnswer, StudyError> {
    let strings: Vec<StringMeter> =
        array.groups.iter().map(|group| string_meter(plan, group, conditions(group), reading)).collect();
    let mut remarks = vec![
        "volts at the array's end of an open disconnect: one string at a time, parallel strings apart, nothing connected. \
         The string is live: meter, leads and gloves for its volts, and a short circuit only through a dc clamp or a meter \
         and switch that are made for it"
            .to_owned(),
    ];
    if strings.iter().any(|string| string.conditions.irradiance_w_m2.expected < DIMMEST_W_M2) {
        remarks.push("below 10 W/m2 nothing is computed; a panel there is dim, not dead".into());
    } else if strings.iter().any(|string| string.conditions.irradiance_w_m2.expected < GOOD_LIGHT_W_M2) {
        remarks.push(
            "in less than 400 W/m2 labels say less: measure again in more light before you judge a panel"
                .into(),
        );
    }
    if array.groups.iter().flat_map(|group| &group.modules).any(|label| label.bifacial > 0.0) {
        remarks.push(
            "a bifacial label: the light on its rear is not in the figure; cover it, or add it to the light"
                .into(),
        );
    }
    Ok(MeterAnswer { title: plan.title.clone(), array: array.name.clone(), strings, remarks })
}

/// Light from which a reading says something about a label, W/m2. Chosen because from there the model's 95th percentile
/// is 1.0 % and clouds' edges are weak.
const GOOD_LIGHT_W_M2: f64 = 400.0;

fn one_array<'p>(plan: &'p Plan, choice: &Choice) -> Result<&'p Array, StudyError> {
    match choice.arrays(plan)?[..] {
        [array] => Ok(array),
        ref several => Err(StudyError::Several {
            what: "array",
            known: several.iter().map(|array| format!("\"{}\"", array.name)).collect::<Vec<_>>().join(", "),
        }),
    }
}

/// Light beyond which no reading can be meant, W/m2: the strongest burst ever published is 2177.
const BRIGHTEST_W_M2: f64 = 2500.0;
/// Temperatures of cells and air that can be meant, C.
const CELSIUS: std::ops::RangeInclusive<f64> = -90.0..=130.0;

fn check(moment: &Moment, reading: &Reading) -> Result<(), StudyError> {
    let (irradiance, name, celsius) = match *moment {
        Moment::Measured { irradiance_w_m2, cell_c } => (irradiance_w_m2, "--cell", cell_c),
        Moment::AirMeasured { irradiance_w_m2, air_c } => (irradiance_w_m2, "--air", air_c),
    };
    if !(0.0..=BRIGHTEST_W_M2).contains(&irradiance) {
        return Err(StudyError::NoSuchValue {
            name: "--irradiance".into(),
            found: irradiance.to_string(),
            expected: "0 to 2500 W/m2".into(),
        });
    }
    check_celsius(name, celsius)?;
    check_reading(reading)
}

fn check_celsius(name: &str, celsius: f64) -> Result<(), StudyError> {
    if CELSIUS.contains(&celsius) {
        return Ok(());
    }
    Err(StudyError::NoSuchValue {
        name: name.into(),
        found: celsius.to_string(),
        expected: "-90 to 130 degrees Celsius".into(),
    })
}

fn check_reading(reading: &Reading) -> Result<(), StudyError> {
    for (name, value, most, expected) in [
        ("--read-v", reading.volts, 2000.0, "0 to 2000 V, of one string with nothing connected"),
        ("--read-a", reading.amps, 1000.0, "0 to 1000 A, of one string short-circuited"),
    ] {
        if let Some(value) = value.filter(|value| !(0.0..=most).contains(value)) {
            return Err(StudyError::NoSuchValue {
                name: name.into(),
                found: value.to_string(),
                expected: expected.into(),
            });
        }
    }
    Ok(())
}

fn conditions(group: &StringGroup, moment: Moment) -> Conditions {
    let light = |value: f64| Spread {
        low: value * (1.0 - LIGHT_SHARE),
        expected: value,
        high: value * (1.0 + LIGHT_SHARE),
    };
    match moment {
        Moment::Measured { irradiance_w_m2, cell_c } => Conditions {
            irradiance_w_m2: light(irradiance_w_m2),
            cell_c: Spread { low: cell_c - CELL_K, expected: cell_c, high: cell_c + CELL_K },
            from: "light and cell as measured, 5 % and 3 K either way".into(),
            known: Known::Both,
        },
        Moment::AirMeasured { irradiance_w_m2, air_c } => Conditions {
            irradiance_w_m2: light(irradiance_w_m2),
            cell_c: warmed(group, air_c, irradiance_w_m2),
            from: format!(
                "light as measured, 5 % either way; the cell from the air by its mount ({}) in wind of 1 m/s, between the air \
                 (just uncovered) and still air",
                group.mount.word()
            ),
            known: Known::Light,
        },
    }
}

/// The cell between air temperature and the hottest that its mount can make of the light.
fn warmed(group: &StringGroup, air_c: f64, irradiance_w_m2: f64) -> Spread {
    let air = Celsius(air_c);
    Spread {
        low: air_c,
        expected: heat::steady(group.mount, air, irradiance_w_m2, None).0,
        high: heat::hottest(group.mount, air, irradiance_w_m2).0,
    }
}

fn string_meter(plan: &Plan, group: &StringGroup, conditions: Conditions, reading: Reading) -> StringMeter {
    let figures = Figures::of(group, conditions.irradiance_w_m2.expected, conditions.cell_c.expected);
    let central = StringCurve::central(&group.modules);
    let (light, cell) = (&conditions.irradiance_w_m2, &conditions.cell_c);
    let labels: f64 = group.modules.iter().map(|label| label.voc.0).sum();
    let tolerance =
        group.modules.iter().map(|label| label.voc.0 * label.tolerance).sum::<f64>() / labels + MODEL_SHARE;
    let voc_range_v = figures.voc_v.map(|voc| {
        let end = |light: f64, cell: f64, share: f64| {
            central.volts(light, Celsius(cell)).map_or(0.0, |volts| volts.0 * share)
        };
        if voc == 0.0 {
            return [0.0, 0.0];
        }
        [end(light.low, cell.high, 1.0 - tolerance), end(light.high, cell.low, 1.0 + tolerance)]
    });
    let amps = |light: f64, cell: f64| {
        string_short_circuit(&group.modules, light, Celsius(cell)).map_or(0.0, |range| range.largest.0)
    };
    let spread = 1.0 + ISC_TOLERANCE + MODEL_SHARE_A;
    let isc_range_a = figures.isc_a.map(|_| {
        let weakest = string_short_circuit(&group.modules, light.low, Celsius(cell.low))
            .map_or(0.0, |range| range.smallest.0);
        [weakest * (2.0 - spread), amps(light.high, cell.high) * spread]
    });
    let mut string = StringMeter {
        string: words(group),
        in_parallel: group.in_parallel,
        conditions,
        voc_v: figures.voc_v,
        voc_range_v,
        voc_worst_case_v: figures.voc_worst_case_v,
        isc_a: figures.isc_a,
        isc_range_a,
        vmp_v: figures.vmp_v,
        imp_a: figures.imp_a,
        reading: None,
    };
    string.reading = reading::judged(plan, group, &string, reading);
    string
}

fn words(group: &StringGroup) -> String {
    super::explain::string_words(group)
}

/// The five figures of one string; 0 in the dark, `None` where too dim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Figures {
    pub(super) voc_v: Option<f64>,
    pub(super) voc_worst_case_v: Option<f64>,
    pub(super) isc_a: Option<f64>,
    pub(super) vmp_v: Option<f64>,
    pub(super) imp_a: Option<f64>,
}

impl Figures {
    pub(super) fn of(group: &StringGroup, irradiance_w_m2: f64, cell_c: f64) -> Self {
        Self::with(group, &ReadyPower::new(group), irradiance_w_m2, cell_c)
    }

    /// With a curve that is made ready once for many rows.
    pub(super) fn with(group: &StringGroup, power: &ReadyPower, irradiance_w_m2: f64, cell_c: f64) -> Self {
        let cell = Celsius(cell_c);
        if irradiance_w_m2 <= 0.0 {
            let dark = Some(0.0);
            let most = power.is_printed().then_some(0.0);
            return Self { voc_v: dark, voc_worst_case_v: dark, isc_a: dark, vmp_v: most, imp_a: most };
        }
        let top = power.is_printed().then(|| power.string(irradiance_w_m2, cell)).flatten();
        let bright = irradiance_w_m2 >= DIMMEST_W_M2;
        Self {
            voc_v: StringCurve::central(&group.modules).volts(irradiance_w_m2, cell).map(|volts| volts.0),
            voc_worst_case_v: StringCurve::worst(&group.modules)
                .volts(irradiance_w_m2, cell)
                .map(|volts| volts.0),
            isc_a: bright
                .then(|| string_short_circuit(&group.modules, irradiance_w_m2, cell))
                .flatten()
                .map(|range| range.largest.0),
            vmp_v: top.map(|top| top.vmp.0),
            imp_a: top.map(|top| top.imp.0),
        }
    }
}
