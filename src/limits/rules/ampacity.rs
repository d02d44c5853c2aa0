//! What a cable carries, by size, insulation and the air around it [NEC310.16].
//!
//! The table for copper conductors in a bundle of up to three is used for cross-sections in mm2 too, through the next
//! thinner gauge: it reads lower than the tables for single cables, which is the safe side.

use super::Judged;
use crate::array::Conductor;
use crate::cite::{Clause, Rule};
use crate::limits::Verdict;
use crate::limits::current::{CIRCUIT_FACTOR, CONTINUOUS_FACTOR};
use crate::sources::Confidence;
use std::f64::consts::PI;

/// Air temperature that the table is made for, °C.
const TABLE_AIR_C: f64 = 30.0;
/// Width of a row of the correction table, K.
const CORRECTION_ROW_K: f64 = 5.0;

/// Temperature class of a conductor: a column of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// 60 °C.
    C60,
    /// 75 °C.
    C75,
    /// 90 °C, also taken for classes above.
    C90,
}

impl Column {
    /// The highest column that an insulation of that temperature class allows; `None` below 60 °C.
    #[must_use]
    pub fn of_insulation(insulation_c: f64) -> Option<Self> {
        match insulation_c {
            c if c >= 90.0 => Some(Self::C90),
            c if c >= 75.0 => Some(Self::C75),
            c if c >= 60.0 => Some(Self::C60),
            _ => None,
        }
    }

    fn celsius(self) -> f64 {
        match self {
            Self::C60 => 60.0,
            Self::C75 => 75.0,
            Self::C90 => 90.0,
        }
    }
}

/// One size of the table: gauge (0 is 1/0, -1 is 2/0), amps at 60, 75 and 90 °C, and how sure they are.
struct Size {
    gauge: i32,
    amps: [Option<f64>; 3],
    confidence: Confidence,
}

const fn read(gauge: i32, c60: f64, c75: f64, c90: f64) -> Size {
    Size { gauge, amps: [Some(c60), Some(c75), Some(c90)], confidence: Confidence::Secondary }
}

const fn memory(gauge: i32, c60: f64, c75: f64, c90: f64) -> Size {
    Size { gauge, amps: [Some(c60), Some(c75), Some(c90)], confidence: Confidence::Memory }
}

/// Table 310.16, copper, up to three conductors, 30 °C, A. 14 to 4 AWG read in secondary texts, the others from
/// memory. Thinnest first.
const SIZES: [Size; 15] = [
    Size { gauge: 18, amps: [None, None, Some(14.0)], confidence: Confidence::Memory },
    Size { gauge: 16, amps: [None, None, Some(18.0)], confidence: Confidence::Memory },
    read(14, 15.0, 20.0, 25.0),
    read(12, 20.0, 25.0, 30.0),
    read(10, 30.0, 35.0, 40.0),
    read(8, 40.0, 50.0, 55.0),
    read(6, 55.0, 65.0, 75.0),
    read(4, 70.0, 85.0, 95.0),
    memory(3, 85.0, 100.0, 115.0),
    memory(2, 95.0, 115.0, 130.0),
    memory(1, 110.0, 130.0, 145.0),
    memory(0, 125.0, 150.0, 170.0),
    memory(-1, 145.0, 175.0, 195.0),
    memory(-2, 165.0, 200.0, 225.0),
    memory(-3, 195.0, 230.0, 260.0),
];

/// Cross-section of a gauge, mm2: diameter 0.127 mm x 92^((36 - n)/39), by definition of the American wire gauge.
#[must_use]
pub fn cross_section_mm2(gauge: i32) -> f64 {
    let diameter_mm = 0.127 * 92.0_f64.powf(f64::from(36 - gauge) / 39.0);
    PI / 4.0 * diameter_mm * diameter_mm
}

/// How a gauge is written: "10 AWG", "1/0 AWG", "2/0 AWG".
fn gauge_words(gauge: i32) -> String {
    if gauge > 0 { format!("{gauge} AWG") } else { format!("{}/0 AWG", 1 - gauge) }
}

fn size_of(conductor: Conductor) -> Option<&'static Size> {
    let mm2 = match conductor {
        Conductor::Mm2(mm2) => mm2,
        Conductor::Awg(gauge) => cross_section_mm2(i32::try_from(gauge).ok()?),
    };
    // a thousandth for the rounding of catalogues (6 AWG is sold as 13.3 mm2)
    SIZES.iter().rev().find(|size| cross_section_mm2(size.gauge) <= mm2 * 1.001)
}

/// What remains of a conductor's ampacity in warm air [NEC310.16].
///
/// `air_c`: air around the cable, °C. sqrt((Tc - Ta)/(Tc - 30)) at the warm end of the 5 K row that `air_c` falls in,
/// rounded to two decimals, which gives the printed Table 310.15(B)(1). Never above 1: cold air is not counted in
/// favour. `None` where the air reaches the conductor's class, so that nothing remains.
#[must_use]
pub fn correction(column: Column, air_c: f64) -> Option<f64> {
    if air_c <= TABLE_AIR_C {
        return Some(1.0);
    }
    let warm_end = TABLE_AIR_C + CORRECTION_ROW_K * ((air_c - TABLE_AIR_C) / CORRECTION_ROW_K).ceil();
    let left = (column.celsius() - warm_end) / (column.celsius() - TABLE_AIR_C);
    (left > 0.0).then(|| (left.sqrt() * 100.0).round() / 100.0)
}

/// What a cable carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Ampacity {
    /// The size of the table that stands for it.
    pub taken_as: String,
    /// The column.
    pub column: Column,
    /// In air of 30 °C, A.
    pub at_30_c_a: f64,
    /// In the air around it, A; 0 where the air is as hot as its insulation may be.
    pub derated_a: f64,
    /// The correction; 0 likewise.
    pub correction: f64,
    /// How sure the table's figure is.
    pub confidence: Confidence,
}

/// Ampacity of a copper cable. `insulation_c`: its temperature class, from 60; `air_c`: the hottest air around it.
/// `None` for a size or class below the table's.
#[must_use]
pub fn ampacity(conductor: Conductor, insulation_c: f64, air_c: f64) -> Option<Ampacity> {
    let column = Column::of_insulation(insulation_c)?;
    of_size(size_of(conductor)?, column, air_c)
}

fn of_size(size: &Size, column: Column, air_c: f64) -> Option<Ampacity> {
    let at_30_c_a = match column {
        Column::C60 => size.amps[0],
        Column::C75 => size.amps[1],
        Column::C90 => size.amps[2],
    }?;
    let correction = correction(column, air_c).unwrap_or(0.0);
    Some(Ampacity {
        taken_as: gauge_words(size.gauge),
        column,
        at_30_c_a,
        derated_a: at_30_c_a * correction,
        correction,
        confidence: size.confidence,
    })
}

/// The rule about a cable.
pub const RULE: Rule =
    Rule { words: "ampacity: 1.5625 x Isc at 30 °C, 1.25 x Isc in its own air", clause: Clause::Ampacity };
/// Judges a cable that carries `isc_a` of label short-circuit current: the larger demand of 1.5625 x Isc against its
/// ampacity at 30 °C and 1.25 x Isc against the derated one [NEC690.8].
///
/// A figure from memory may refuse a cable, never pass one: then the line is `not-assessed`, unless a thinner size
/// whose figure was read holds too.
#[must_use]
pub fn judge(conductor: Conductor, insulation_c: f64, air_c: f64, isc_a: f64) -> Judged {
    let Some(found) = ampacity(conductor, insulation_c, air_c) else {
        let reason = "size or temperature class lies below the table, which begins at 14 AWG (2.08 mm2; 18 AWG at 90 °C) \
                      and 60 °C; look it up in the cable's data sheet";
        return Judged {
            rule: RULE,
            rating_a: 0.0,
            demand_a: isc_a * CONTINUOUS_FACTOR,
            verdict: Verdict::NotAssessed,
            reason: reason.to_owned(),
        };
    };
    let judged = against(&found, air_c, isc_a);
    if judged.verdict != Verdict::Within || found.confidence != Confidence::Memory {
        return with_solar_cable(judged, conductor, insulation_c, air_c);
    }
    let thickest_read = SIZES.iter().rev().find(|size| size.confidence != Confidence::Memory);
    let thinner = thickest_read
        .filter(|read| size_of(conductor).is_some_and(|size| size.gauge < read.gauge))
        .and_then(|read| of_size(read, found.column, air_c))
        .map(|read| against(&read, air_c, isc_a));
    match thinner {
        Some(thinner) if thinner.verdict == Verdict::Within => Judged {
            reason: format!(
                "counted as the thickest size whose figure is not from memory: {}",
                thinner.reason
            ),
            ..thinner
        },
        _ => Judged {
            verdict: Verdict::NotAssessed,
            reason: format!(
                "{}; but this figure is from memory: look the size up in the table",
                judged.reason
            ),
            ..judged
        },
    }
}

fn against(found: &Ampacity, air_c: f64, isc_a: f64) -> Judged {
    let cold = (isc_a * CONTINUOUS_FACTOR, found.at_30_c_a);
    let hot = (isc_a * CIRCUIT_FACTOR, found.derated_a);
    // the tighter of the two, without dividing by an ampacity of 0
    let hot_is_tighter = hot.0 * cold.1 >= cold.0 * hot.1;
    let (demand_a, rating_a) = if hot_is_tighter { hot } else { cold };
    let holds = demand_a <= rating_a && found.correction > 0.0;
    let size = format!("{}, {} °C column", found.taken_as, found.column.celsius());
    // Both pairs stand together: the larger demand would else be read against the smaller ampacity.
    let demands = [format!("1.5625 x Isc = {:.2} A", cold.0), format!("1.25 x Isc = {:.2} A", hot.0)];
    let carries = [
        format!("the table's {:.0} A at 30 °C", cold.1),
        format!("{:.0} A x {:.2} = {:.1} A in air of {air_c:.0} °C", cold.1, found.correction, hot.1),
    ];
    let figure = if found.correction <= 0.0 {
        format!("{size}: air of {air_c:.0} °C is as hot as it may become: nothing is left for current")
    } else {
        let (first, second) = if hot_is_tighter { (1, 0) } else { (0, 1) };
        format!(
            "{} decides, against {}; {} is held against {} ({size})",
            demands[first], carries[first], demands[second], carries[second]
        )
    };
    Judged {
        rule: RULE,
        rating_a,
        demand_a,
        verdict: if holds { Verdict::Within } else { Verdict::Exceeded },
        reason: figure,
    }
}

/// Solar cables in free air at 60 °C, conductor at 120 °C, mm2 and A [EN50618]; from memory: shown, never passed by.
const SOLAR_CABLE: [(f64, f64); 5] = [(1.5, 30.0), (2.5, 41.0), (4.0, 55.0), (6.0, 70.0), (10.0, 98.0)];
/// What remains of them in warmer air, up to that °C.
const SOLAR_CABLE_CORRECTION: [(f64, f64); 4] = [(60.0, 1.0), (70.0, 0.92), (80.0, 0.84), (90.0, 0.75)];

/// What a single solar cable in free air carries at its own 120 °C class [EN50618], from memory: information only.
/// `None` for a size that the table does not have, or in air above 90 °C.
#[must_use]
pub fn solar_cable_a(mm2: f64, air_c: f64) -> Option<f64> {
    let (_, amps) = SOLAR_CABLE.into_iter().find(|(size, _)| (size - mm2).abs() < 1e-6)?;
    let (_, correction) = SOLAR_CABLE_CORRECTION.into_iter().find(|(up_to, _)| air_c <= *up_to)?;
    Some(amps * correction)
}

/// Adds what a solar cable carries where a cross-section in mm2 fails by the general table.
fn with_solar_cable(judged: Judged, conductor: Conductor, insulation_c: f64, air_c: f64) -> Judged {
    let Conductor::Mm2(mm2) = conductor else { return judged };
    if judged.verdict != Verdict::Exceeded || insulation_c < 90.0 {
        return judged;
    }
    let Some(amps) = solar_cable_a(mm2, air_c) else { return judged };
    Judged {
        reason: format!(
            "{}. A solar cable of {mm2} mm2, single and in free air, is given about {amps:.0} A there (EN 50618, from \
             memory: ask its maker); terminals then limit",
            judged.reason
        ),
        ..judged
    }
}

/// Largest overcurrent device of a small copper conductor, A [NEC240.4]: 14 AWG 15, 12 AWG 20, 10 AWG 30; 18 AWG 7 and 16 AWG
/// 10 from memory, which may refuse a device and passes none. `None` for others.
#[must_use]
pub fn largest_overcurrent_a(conductor: Conductor) -> Option<f64> {
    match size_of(conductor)?.gauge {
        18 => Some(7.0),
        16 => Some(10.0),
        14 => Some(15.0),
        12 => Some(20.0),
        10 => Some(30.0),
        _ => None,
    }
}

/// What a cable carries in air of `air_c` as far as the table was read, A: a size whose figure is from memory counts as the
/// thickest one that was read, where it is thicker. `None` for a size or class below the table's.
#[must_use]
pub fn carries_as_read_a(conductor: Conductor, insulation_c: f64, air_c: f64) -> Option<f64> {
    let column = Column::of_insulation(insulation_c)?;
    let own = size_of(conductor)?;
    let thickest_read = SIZES.iter().rev().find(|size| size.confidence != Confidence::Memory);
    let counted = match thickest_read {
        Some(read) if own.confidence == Confidence::Memory && own.gauge < read.gauge => read,
        _ => own,
    };
    Some(of_size(counted, column, air_c)?.derated_a)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn carries(conductor: Conductor, insulation_c: f64, air_c: f64) -> (f64, f64) {
        ampacity(conductor, insulation_c, air_c)
            .map_or((0.0, 0.0), |found| (found.at_30_c_a, found.derated_a))
    }

    // Table 310.15(B)(1), 90 °C column: the six rows up to 60 °C were read in secondary texts; those from 65 °C on
    // are from memory.
    #[test]
    fn the_equation_gives_the_printed_corrections() {
        let read = [(35.0, 0.96), (40.0, 0.91), (45.0, 0.87), (50.0, 0.82), (55.0, 0.76), (60.0, 0.71)];
        let memory = [(65.0, 0.65), (70.0, 0.58), (75.0, 0.50), (80.0, 0.41), (85.0, 0.29)];
        for (air_c, factor) in read.into_iter().chain(memory) {
            for within_row in [air_c, air_c - 4.0] {
                assert_eq!(correction(Column::C90, within_row), Some(factor), "{within_row} C");
            }
        }
        assert_eq!(correction(Column::C90, 86.0), None);
        assert_eq!(correction(Column::C60, 60.0), None);
        assert_eq!(correction(Column::C75, 20.0), Some(1.0));
    }

    // 10 AWG in the 90 °C column, computed by hand from the table: 40 A at 30 °C, 32.8 at 50, 28.4 at 60, 26.0 at 65,
    // 23.2 at 70, 20.0 at 75, 16.4 at 80. A 40 °C day on a roof: 73 °C, 10 AWG 20 A, 8 AWG 27.5 A.
    #[test]
    fn ten_awg_on_a_warm_roof() {
        for (air_c, amps) in
            [(30.0, 40.0), (50.0, 32.8), (60.0, 28.4), (65.0, 26.0), (70.0, 23.2), (75.0, 20.0), (80.0, 16.4)]
        {
            let (cold, derated) = carries(Conductor::Awg(10), 90.0, air_c);
            assert!((cold - 40.0).abs() < 1e-9 && (derated - amps).abs() < 1e-9, "{air_c} C: {derated}");
        }
        assert!((carries(Conductor::Awg(10), 90.0, 73.0).1 - 20.0).abs() < 1e-9);
        assert!((carries(Conductor::Awg(8), 90.0, 73.0).1 - 27.5).abs() < 1e-9);
    }

    // Table 310.16, copper, 60/75/90 °C, read in secondary texts.
    #[test]
    fn the_rows_that_were_read() {
        for (gauge, amps) in [
            (14, [15.0, 20.0, 25.0]),
            (12, [20.0, 25.0, 30.0]),
            (10, [30.0, 35.0, 40.0]),
            (8, [40.0, 50.0, 55.0]),
            (6, [55.0, 65.0, 75.0]),
            (4, [70.0, 85.0, 95.0]),
        ] {
            for (insulation_c, amps) in [60.0, 75.0, 90.0].into_iter().zip(amps) {
                assert_eq!(
                    carries(Conductor::Awg(gauge), insulation_c, 30.0).0,
                    amps,
                    "{gauge} AWG {insulation_c}"
                );
            }
        }
    }

    // Handbook cross-sections of the American wire gauge, to the digits printed (from memory): 10 AWG 5.26 mm2, 4 AWG
    // 21.15 mm2, 1/0 AWG 53.5 mm2.
    #[test]
    fn a_cross_section_counts_as_the_next_thinner_gauge() {
        for (gauge, mm2, half_digit) in [(10, 5.26, 0.005), (4, 21.15, 0.005), (0, 53.5, 0.05)] {
            let found = cross_section_mm2(gauge);
            assert!((found - mm2).abs() <= half_digit, "{gauge}: {found}");
        }
        for (mm2, taken_as) in [
            (2.5, "14 AWG"),
            (4.0, "12 AWG"),
            (6.0, "10 AWG"),
            (10.0, "8 AWG"),
            (13.3, "6 AWG"),
            (70.0, "2/0 AWG"),
        ] {
            let found = ampacity(Conductor::Mm2(mm2), 90.0, 30.0).map(|found| found.taken_as);
            assert_eq!(found.as_deref(), Some(taken_as), "{mm2} mm2");
        }
        assert_eq!(ampacity(Conductor::Mm2(0.5), 90.0, 30.0), None);
        assert_eq!(ampacity(Conductor::Awg(11), 90.0, 30.0).map(|found| found.at_30_c_a), Some(30.0));
    }

    // 23.2 A of short-circuit current are 29.0 A: 10 AWG fails at 65 °C by the 90 °C column (26.0 A), and holds at
    // 50 °C (32.8 A); computed by hand.
    #[test]
    fn an_array_of_23_amps_on_ten_awg() {
        let hot = judge(Conductor::Awg(10), 90.0, 65.0, 23.2);
        assert_eq!(hot.verdict, Verdict::Exceeded);
        assert!((hot.demand_a - 29.0).abs() < 1e-9 && (hot.rating_a - 26.0).abs() < 1e-9);
        assert_eq!(
            hot.reason,
            "1.25 x Isc = 29.00 A decides, against 40 A x 0.65 = 26.0 A in air of 65 °C; 1.5625 x Isc = 36.25 A is held against \
             the table's 40 A at 30 °C (10 AWG, 90 °C column)"
        );
        let mild = judge(Conductor::Awg(10), 90.0, 50.0, 23.2);
        assert_eq!(mild.verdict, Verdict::Within, "{}", mild.reason);
        // 1.5625 x 26 A = 40.6 A is more than 40 A at 30 °C, where nothing is derated
        assert_eq!(judge(Conductor::Awg(10), 90.0, 30.0, 26.0).verdict, Verdict::Exceeded);
    }

    #[test]
    fn air_as_hot_as_the_insulation_leaves_nothing() {
        let judged = judge(Conductor::Awg(10), 60.0, 65.0, 0.1);
        assert_eq!(judged.verdict, Verdict::Exceeded);
        assert!(judged.reason.contains("nothing is left"), "{}", judged.reason);
    }

    #[test]
    fn a_figure_from_memory_never_passes_a_cable() {
        // 2 AWG from memory holds 80 A x 1.5625 = 125 A, and the 95 A of 4 AWG, which was read, does not
        let judged = judge(Conductor::Awg(2), 90.0, 30.0, 80.0);
        assert_eq!(judged.verdict, Verdict::NotAssessed);
        assert!(judged.reason.contains("memory"), "{}", judged.reason);
        // 40 A need 62.5 A: 4 AWG alone would do
        assert_eq!(judge(Conductor::Awg(2), 90.0, 30.0, 40.0).verdict, Verdict::Within);
        assert_eq!(judge(Conductor::Awg(2), 90.0, 30.0, 100.0).verdict, Verdict::Exceeded);
        assert_eq!(judge(Conductor::Awg(16), 90.0, 30.0, 5.0).verdict, Verdict::NotAssessed);
        assert_eq!(judge(Conductor::Awg(18), 75.0, 30.0, 1.0).verdict, Verdict::NotAssessed);
    }

    #[test]
    fn a_solar_cable_is_mentioned_and_passes_nothing() {
        let judged = judge(Conductor::Mm2(6.0), 90.0, 65.0, 23.2);
        assert_eq!(judged.verdict, Verdict::Exceeded);
        assert!(judged.reason.contains("64 A"), "{}", judged.reason);
    }

    #[test]
    fn thicker_never_carries_less_and_hotter_never_more() {
        for insulation_c in [60.0, 75.0, 90.0, 120.0] {
            let mut before = 0.0;
            for mm2 in [2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0] {
                let (_, derated) = carries(Conductor::Mm2(mm2), insulation_c, 48.0);
                assert!(derated >= before, "{mm2} mm2");
                before = derated;
            }
            let mut before = f64::INFINITY;
            for air_c in 0..100 {
                let (_, derated) = carries(Conductor::Mm2(6.0), insulation_c, f64::from(air_c));
                assert!(derated <= before, "{air_c} C");
                before = derated;
            }
        }
    }
}
