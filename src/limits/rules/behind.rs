//! What fuse or breaker may stand behind a conductor: one answer for the limit, the remarks and the sizes that are offered.
//!
//! The code lets the next standard size above the ampacity pass (240.4(B)), and a small conductor no more than a size of its
//! own (240.4(D)) [NEC240.4]; IEC 60364 lets no device pass what the conductor carries [IEC60364-4-43]. A plan that names no
//! rules is judged by the code; what is offered to it then holds by both where such a size is sold.

use super::ampacity::{carries_as_read_a, largest_overcurrent_a};
use crate::array::Conductor;
use crate::assumptions::Rules;
use crate::cite::Clause;
use crate::units::at_most;

/// Standard ratings of fuses and breakers, A (NEC 240.6(A), from memory).
const STANDARD_A: [f64; 23] = [
    1.0, 3.0, 6.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0,
    110.0, 125.0, 150.0, 175.0, 200.0, 225.0,
];

/// Preferred ratings of breakers and fuses in the IEC's world, A (IEC 60898, IEC 60269; from memory).
const IEC_STANDARD_A: [f64; 15] =
    [6.0, 10.0, 13.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0];

/// The clause of the strict rule.
pub const IEC: &str = "IEC 60364-4-43";

/// The devices that one conductor may stand behind, A.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Behind {
    /// What it carries in the air around it. A size whose figure is from memory counts as the thickest one that was read.
    pub carries_a: f64,
    /// The next standard size above that, or the most of a small conductor.
    nec_a: f64,
    /// Whether the most of a small conductor decides.
    is_small: bool,
}

/// What may stand behind a copper cable. `None` for a size or class below the table's.
#[must_use]
pub fn behind(conductor: Conductor, insulation_c: f64, air_c: f64) -> Option<Behind> {
    let carries_a = carries_as_read_a(conductor, insulation_c, air_c)?;
    let next_a = match carries_a {
        // Nothing is left for current: no size is next.
        carries_a if carries_a <= 0.0 => 0.0,
        _ => STANDARD_A.into_iter().find(|&size| size >= carries_a - 1e-9).unwrap_or(carries_a),
    };
    let small_a = largest_overcurrent_a(conductor).filter(|&most| most < next_a);
    Some(Behind { carries_a, nec_a: small_a.unwrap_or(next_a), is_small: small_a.is_some() })
}

impl Behind {
    /// The largest device by the rules of a plan, A; where it names none, by the code.
    #[must_use]
    pub fn most_a(&self, rules: Rules) -> f64 {
        match rules {
            Rules::All | Rules::Nec2023 => self.nec_a,
            Rules::Iec | Rules::AsNzs => self.carries_a,
        }
    }

    /// Whether a device of so many amps may protect it by the rules of a plan.
    #[must_use]
    pub fn allows(&self, device_a: f64, rules: Rules) -> bool {
        device_a <= self.most_a(rules) + 1e-9
    }

    /// Whether it may by each of the rules that a plan may mean.
    #[must_use]
    pub fn allows_by_each(&self, device_a: f64, rules: Rules) -> bool {
        self.allows(device_a, rules) && (rules != Rules::All || self.allows(device_a, Rules::Iec))
    }

    /// The largest device that is sold in the IEC's series and may protect it by the strict rule, A; `None` where that would not
    /// carry the `least_a` that its circuit asks for.
    #[must_use]
    pub fn strict_device_a(&self, least_a: f64) -> Option<f64> {
        let sold = IEC_STANDARD_A.into_iter().rev().find(|&sold| sold <= self.carries_a + 1e-9);
        sold.filter(|&sold| sold >= least_a - 1e-9)
    }

    /// The largest device by the rules of a plan that is sold and carries the `least_a` of its circuit; `None` where none does.
    #[must_use]
    pub fn device_that_fits_a(&self, least_a: f64, rules: Rules) -> Option<f64> {
        match rules {
            Rules::All | Rules::Nec2023 => {
                let sold = STANDARD_A.into_iter().rev().find(|&sold| sold <= self.nec_a + 1e-9);
                sold.filter(|&sold| sold >= least_a - 1e-9)
            }
            Rules::Iec | Rules::AsNzs => self.strict_device_a(least_a),
        }
    }

    /// The clause that bounds it.
    #[must_use]
    pub fn clause(&self, rules: Rules) -> &'static str {
        let clause = if self.is_small { Clause::BehindSmall } else { Clause::BehindNextSize };
        clause.under(rules)
    }

    /// What is to be known of a device that may stand there by the code alone, where the plan names no rules: "20 A may protect
    /// leads by NEC 240.4(B), the next standard size above 19.5 A; IEC 60364-4-43 asks for a device of at most 19.5 A".
    #[must_use]
    pub fn by_the_code_alone(&self, name: &str, device_a: f64, rules: Rules) -> Option<String> {
        let carries = at_most(self.carries_a);
        (self.allows(device_a, rules) && !self.allows_by_each(device_a, rules)).then(|| {
            format!(
                "{device_a} A may protect {name} by NEC 240.4(B), the next standard size above {carries} A; {IEC} asks for a device of \
                 at most {carries} A"
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn most(gauge: u32, air_c: f64, rules: Rules) -> f64 {
        behind(Conductor::Awg(gauge), 90.0, air_c).map_or(-1.0, |found| found.most_a(rules))
    }

    // By hand: NEC 240.4(D) gives 15, 20 and 30 A for 14, 12 and 10 AWG (read in secondary texts). In air of 30 °C the 90 °C
    // column carries 25, 30 and 40 A, so the clause decides; at 65 °C 12 AWG carries 30 x 0.65 = 19.5 A, 8 AWG 55 x 0.65 =
    // 35.75 A, so 20 and 40 A are next (240.6(A), from memory); 10 AWG at 75 °C 40 x 0.50 = 20 A, a standard size itself.
    // 2 AWG, from memory, counts as 4 AWG: 95 A, so 100 A. IEC 60364-4-43, 433.1 (from memory): no more than it carries.
    #[test]
    fn a_cable_stands_behind_what_its_rules_allow() {
        for (gauge, air_c, nec_a, iec_a) in [
            (14, 30.0, 15.0, 25.0),
            (12, 30.0, 20.0, 30.0),
            (10, 30.0, 30.0, 40.0),
            (14, 65.0, 15.0, 16.25),
            (12, 65.0, 20.0, 19.5),
            (10, 75.0, 20.0, 20.0),
            (8, 65.0, 40.0, 35.75),
            (2, 30.0, 100.0, 95.0),
            (8, 90.0, 0.0, 0.0),
        ] {
            for (rules, amps) in
                [(Rules::All, nec_a), (Rules::Nec2023, nec_a), (Rules::Iec, iec_a), (Rules::AsNzs, iec_a)]
            {
                let found = most(gauge, air_c, rules);
                assert!((found - amps).abs() < 1e-9, "{gauge} AWG at {air_c}, {rules:?}: {found}");
            }
        }
        assert_eq!(behind(Conductor::Awg(10), 50.0, 30.0), None);
    }

    // IEC 60898 and 60269 prefer 16, 20, 25, 32 and 40 A, among others; NEC 240.6(A) has 15, 30 and 35 A (both from memory). 8 AWG at
    // 65 °C carries 35.75 A, so 32 A, which are no answer to 36.25 A; 10 AWG 26.0 A, so 25 A, by NEC 240.4(D) 30 A.
    #[test]
    fn a_device_that_may_stand_there_is_one_that_is_sold() {
        for (gauge, least_a, iec_a, nec_a) in [
            (8, 29.0, Some(32.0), Some(40.0)),
            (8, 32.0, Some(32.0), Some(40.0)),
            (8, 36.25, None, Some(40.0)),
            (10, 24.0, Some(25.0), Some(30.0)),
            (10, 25.5, None, Some(30.0)),
            (10, 30.5, None, None),
        ] {
            let found = behind(Conductor::Awg(gauge), 90.0, 65.0);
            let fits = |rules: Rules| found.and_then(|found| found.device_that_fits_a(least_a, rules));
            assert_eq!((fits(Rules::Iec), fits(Rules::All)), (iec_a, nec_a), "{gauge} AWG, {least_a} A");
        }
    }

    // 12 AWG at 65 °C: 19.5 A, between 15 and 20 A. By hand, as above.
    #[test]
    fn both_rules_are_told_where_the_plan_names_none() {
        let of = |device_a: f64, rules: Rules| {
            behind(Conductor::Awg(12), 90.0, 65.0)
                .and_then(|found| found.by_the_code_alone("leads", device_a, rules))
        };
        let told = of(20.0, Rules::All).unwrap_or_default();
        assert!(
            told.contains("by NEC 240.4(B), the next standard size above 19.5 A")
                && told.ends_with("at most 19.5 A"),
            "{told}"
        );
        for (device_a, rules) in
            [(15.0, Rules::All), (25.0, Rules::All), (20.0, Rules::Nec2023), (20.0, Rules::Iec)]
        {
            assert_eq!(of(device_a, rules), None, "{device_a} {rules:?}");
        }
    }
}
