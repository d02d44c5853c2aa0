//! Temperature coefficients as data sheets print them.

use crate::module::Technology;

/// What a coefficient belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Quantity {
    /// "V" or "A".
    pub unit: char,
    /// The label's value, V or A.
    pub value: f64,
    /// Cells in series, where known; for coefficients per cell.
    pub cells: Option<f64>,
}

/// A unit that a coefficient may carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unit {
    Percent,
    Fraction,
    PartsPerMillion,
    Whole,
    Milli,
    WholePerCell,
    MilliPerCell,
}

const UNITS: [Unit; 7] = [
    Unit::Percent,
    Unit::Whole,
    Unit::Milli,
    Unit::MilliPerCell,
    Unit::Fraction,
    Unit::PartsPerMillion,
    Unit::WholePerCell,
];

/// A coefficient as printed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Printed {
    number: f64,
    decimals: usize,
    unit: Option<Unit>,
    unknown_unit: String,
}

/// Reads a number and its unit; `None` where there is no number at all.
pub(super) fn parse(text: &str, quantity: Quantity) -> Option<Printed> {
    let plain: String = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            '\u{2212}' | '\u{2013}' | '\u{2014}' | '\u{2010}' | '\u{2011}' => '-',
            ',' => '.',
            other => other.to_ascii_lowercase(),
        })
        .collect();
    let signed = plain.strip_prefix(['-', '+']).unwrap_or(&plain);
    let sign = if plain.starts_with('-') { -1.0 } else { 1.0 };
    let end = signed.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(signed.len());
    let (digits, rest) = signed.split_at(end);
    let (exponent, rest) = exponent(rest);
    let number = sign * format!("{digits}{exponent}").parse::<f64>().ok()?;
    let decimals = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let unit = unit(rest, quantity.unit.to_ascii_lowercase());
    Some(Printed { number, decimals, unit, unknown_unit: rest.to_owned() })
}

/// A power of ten in front of the unit, as in "9.5e-5 A/K".
fn exponent(text: &str) -> (&str, &str) {
    let digits = text.strip_prefix('e').map(|rest| rest.strip_prefix(['-', '+']).unwrap_or(rest));
    let Some(digits) = digits.filter(|digits| digits.starts_with(|c: char| c.is_ascii_digit())) else {
        return ("", text);
    };
    let after = digits.trim_start_matches(|c: char| c.is_ascii_digit());
    text.split_at(text.len() - after.len())
}

fn unit(text: &str, whole: char) -> Option<Unit> {
    let text = text.replace(['°', 'º', '˚', '(', ')', '[', ']'], "");
    let text = text.replace("percell", "/cell").replace("per", "/").replace("deg", "");
    let text = text.replace("celsius", "c").replace("kelvin", "k").replace("pct", "%");
    let (text, per_cell) = if let Some(rest) = text.strip_suffix("/cell") {
        (rest.to_owned(), true)
    } else if text.contains("/cell/") {
        (text.replace("/cell/", "/"), true)
    } else {
        (text, false)
    };
    let amount = text.strip_suffix("/k").or_else(|| text.strip_suffix("/c"))?;
    let is_whole = amount.len() == 1 && amount.starts_with(whole);
    let is_milli = amount.len() == 2 && amount.starts_with('m') && amount.ends_with(whole);
    match (amount, per_cell) {
        ("%", false) => Some(Unit::Percent),
        ("", false) => Some(Unit::Fraction),
        ("ppm", false) => Some(Unit::PartsPerMillion),
        (_, false) if is_whole => Some(Unit::Whole),
        (_, false) if is_milli => Some(Unit::Milli),
        (_, true) if is_whole && whole == 'v' => Some(Unit::WholePerCell),
        (_, true) if is_milli && whole == 'v' => Some(Unit::MilliPerCell),
        _ => None,
    }
}

/// Fraction of the label's value per kelvin; `None` where a count of cells is needed and unknown.
fn per_k(number: f64, unit: Unit, quantity: Quantity) -> Option<f64> {
    Some(match unit {
        Unit::Percent => number / 100.0,
        Unit::Fraction => number,
        Unit::PartsPerMillion => number / 1e6,
        Unit::Whole => number / quantity.value,
        Unit::Milli => number / 1000.0 / quantity.value,
        Unit::WholePerCell => number * quantity.cells? / quantity.value,
        Unit::MilliPerCell => number / 1000.0 * quantity.cells? / quantity.value,
    })
}

fn print(number: f64, unit: Unit, quantity: Quantity) -> String {
    let whole = quantity.unit;
    match unit {
        Unit::Percent => format!("{number} %/K"),
        Unit::Fraction => format!("{number} /K"),
        Unit::PartsPerMillion => format!("{number} ppm/K"),
        Unit::Whole => format!("{number} {whole}/K"),
        Unit::Milli => format!("{number} m{whole}/K"),
        Unit::WholePerCell => format!("{number} {whole}/K per cell"),
        Unit::MilliPerCell => format!("{number} m{whole}/K per cell"),
    }
}

/// Why a coefficient is not taken: what is expected, and what to do.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Refusal {
    pub expected: String,
    pub next_step: String,
}

/// Coefficients of Voc that any sold technology has, fraction per kelvin, without its sign. Labels of 20,946
/// crystalline modules lie within 0.26 to 0.44 %/K, heterojunction and thin film within 0.2 to 0.5.
const VOC_PER_K: std::ops::RangeInclusive<f64> = 0.0020..=0.0050;

/// The same of Isc: 0.004 to 0.13 %/K in 98 % of crystalline labels; none falls with temperature.
const ISC_PER_K: std::ops::RangeInclusive<f64> = 0.0..=0.0020;

/// Steepest fall of Isc with temperature that a thin-film label may print, fraction per kelvin: some of them print small
/// negative ones (common practice, no source). Chosen so small that cells at -40 C give 3.3 % more than the label, inside
/// the quarter that code factors allow for.
const THIN_FILM_ISC_FALL_PER_K: f64 = 0.0005;

/// Coefficient of Voc, a negative fraction per kelvin.
pub(super) fn of_voc(printed: &Printed, quantity: Quantity) -> Result<f64, Refusal> {
    let expected =
        "a negative number with its unit, -0.20 to -0.50 %/K or the same in V/K, mV/K or \"mV/K per cell\"";
    // Readings of the same digits that would be plausible, sign put right.
    let meant = || {
        let number = -printed.number.abs();
        let texts: Vec<String> = UNITS
            .into_iter()
            .filter(|&unit| per_k(number, unit, quantity).is_some_and(|value| VOC_PER_K.contains(&-value)))
            .map(|unit| format!("\"{}\"", print(number, unit, quantity)))
            .collect();
        texts.join(" or ")
    };
    let refuse = |why: &str| {
        let meant = meant();
        let next_step = if meant.is_empty() {
            format!("{why}copy it from the label, or leave the key out: a stated bound is then taken")
        } else {
            format!("{why}if the label means {meant}, write that")
        };
        Refusal { expected: expected.to_owned(), next_step }
    };
    let Some(unit) = printed.unit else {
        return Err(refuse(&unit_trouble(printed)));
    };
    let Some(value) = per_k(printed.number, unit, quantity) else {
        return Err(Refusal {
            expected: expected.to_owned(),
            next_step: "a value per cell needs cells_in_series: add it".to_owned(),
        });
    };
    if VOC_PER_K.contains(&-value) {
        return Ok(value);
    }
    if value > 0.0 && value <= *ISC_PER_K.end() {
        return Err(refuse(
            "this looks like the coefficient of the short-circuit current (isc_temp_coeff); ",
        ));
    }
    if value > 0.0 {
        return Err(refuse("open-circuit volts rise as cells cool, so the sign is negative; "));
    }
    Err(refuse(&format!("that would be {:.2} %/K, which no panel has; ", value * 100.0)))
}

/// Coefficient of Isc, a fraction per kelvin: 0 or more, of thin film a little less too.
pub(super) fn of_isc(printed: &Printed, quantity: Quantity, technology: Technology) -> Result<f64, Refusal> {
    let thin_film = !technology.is_crystalline();
    let lowest = if thin_film { -THIN_FILM_ISC_FALL_PER_K } else { *ISC_PER_K.start() };
    let expected = if thin_film {
        "-0.05 to 0.20 %/K, or the same in A/K or mA/K, with its unit"
    } else {
        "0 to 0.20 %/K, or the same in A/K or mA/K, with its unit"
    };
    let refuse = |why: String| {
        let number = printed.number.abs();
        let meant: Vec<String> = [Unit::Percent, Unit::Whole, Unit::Milli, Unit::Fraction]
            .into_iter()
            .filter(|&unit| {
                per_k(number, unit, quantity).is_some_and(|value| value >= 1e-5 && ISC_PER_K.contains(&value))
            })
            .map(|unit| format!("\"{}\"", print(number, unit, quantity)))
            .collect();
        let next_step = if meant.is_empty() {
            format!("{why}copy it from the label, or leave the key out: 0.05 %/K is then taken")
        } else {
            format!("{why}if the label means {}, write that", meant.join(" or "))
        };
        Refusal { expected: expected.to_owned(), next_step }
    };
    let value = printed.unit.and_then(|unit| per_k(printed.number, unit, quantity));
    match value {
        None => Err(refuse(unit_trouble(printed))),
        Some(value) if (lowest..=*ISC_PER_K.end()).contains(&value) => Ok(value),
        Some(value) if VOC_PER_K.contains(&-value) => Err(refuse(
            "this looks like the coefficient of the open-circuit voltage (voc_temp_coeff); ".to_owned(),
        )),
        Some(value) if value < 0.0 => {
            let mut why = "short-circuit current rises as cells warm, so the sign is positive".to_owned();
            if !thin_film && value >= -THIN_FILM_ISC_FALL_PER_K {
                why.push_str(" (for thin film, name its technology: a small fall is taken there)");
            }
            Err(refuse(format!("{why}; ")))
        }
        Some(value) => Err(refuse(format!("that would be {:.2} %/K, which no panel has; ", value * 100.0))),
    }
}

fn unit_trouble(printed: &Printed) -> String {
    if printed.unknown_unit.is_empty() {
        "the unit is missing; ".to_owned()
    } else {
        format!("the unit \"{}\" is not known; ", printed.unknown_unit)
    }
}

impl Printed {
    /// Whether it is in per cent with at most one decimal, which hides up to 0.05 %/K.
    pub(super) fn is_coarse(&self) -> bool {
        self.unit == Some(Unit::Percent) && self.decimals <= 1
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    const VOLTS: Quantity = Quantity { unit: 'V', value: 22.5, cells: Some(36.0) };
    const AMPS: Quantity = Quantity { unit: 'A', value: 5.8, cells: Some(36.0) };

    fn voc(text: &str) -> Result<f64, Refusal> {
        of_voc(&parse(text, VOLTS).unwrap(), VOLTS)
    }

    #[test]
    fn units_as_data_sheets_print_them() {
        for (text, percent) in [
            ("-0.30 %/K", -0.30),
            ("-0.30%/°C", -0.30),
            ("\u{2212}0,30 % / ºC", -0.30),
            ("- 0.30 %/ C", -0.30),
            ("-0.0030 /C", -0.30),
            ("-0.003/K", -0.30),
            ("-0.0675 V/K", -0.30),
            ("-67.5 mV/°C", -0.30),
            ("-1.875 mV/K per cell", -0.30),
            ("-1.875 mV/K/cell", -0.30),
            ("-1.875 mV/cell/°C", -0.30),
            ("-0.30 % per K", -0.30),
            ("-0.30 %/degC", -0.30),
            ("-3000 ppm/K", -0.30),
            ("-6.75e-2 V/K", -0.30),
        ] {
            let value = voc(text).unwrap_or_else(|refusal| panic!("{text}: {refusal:?}"));
            assert!((value * 100.0 - percent).abs() < 1e-9, "{text}: {value}");
        }
        for (text, percent) in
            [("0.05 %/K", 0.05), ("+0,05%/°C", 0.05), ("2.9 mA/K", 0.05), ("0.0029 A/C", 0.05)]
        {
            let value = of_isc(&parse(text, AMPS).unwrap(), AMPS, Technology::Mono).unwrap();
            assert!((value * 100.0 - percent).abs() < 1e-9, "{text}: {value}");
        }
    }

    /// A cell has volts of its own, and the amps of the panel; crystalline amps do not fall, those of thin film a little.
    #[test]
    fn what_no_panel_has_is_refused() {
        assert!(parse("2 mA/K per cell", AMPS).unwrap().unit.is_none());
        assert!(voc("0 %/K").unwrap_err().next_step.contains("which no panel has"));
        let isc =
            |text: &str| of_isc(&parse(text, AMPS).unwrap(), AMPS, Technology::Mono).unwrap_err().next_step;
        assert!(isc("-0.02 %/K").contains("for thin film"));
        assert!(!isc("-0.1 %/K").contains("for thin film"));
    }

    #[test]
    fn slips_are_refused_with_what_was_meant() {
        for (text, meant) in [
            ("0.30 %/K", "\"-0.3 %/K\""),
            ("0.30 %/K", "so the sign is negative"),
            ("-60 %/K", "which no panel has"),
            ("-67.5 x/K", "not known"),
            ("-0.30", "\"-0.3 %/K\""),
            ("-0.30 V/K", "\"-0.3 %/K\""),
            ("-0.30 /C", "\"-0.3 %/K\""),
            ("-67.5 V/K", "\"-67.5 mV/K\""),
            ("-2 mV/K", "\"-2 mV/K per cell\""),
            ("-0.003 %/K", "\"-0.003 /K\""),
            ("0.05 %/K", "isc_temp_coeff"),
            ("-0.30 %/F", "not known"),
            ("-0.30 A/K", "not known"),
        ] {
            let refusal = voc(text).unwrap_err();
            assert!(refusal.next_step.contains(meant), "{text}: {}", refusal.next_step);
        }
        let isc =
            |text: &str| of_isc(&parse(text, AMPS).unwrap(), AMPS, Technology::Mono).unwrap_err().next_step;
        assert!(isc("-0.30 %/K").contains("voc_temp_coeff"));
        assert!(isc("-0.05 %/K").contains("\"0.05 %/K\""));
        assert!(isc("5 %/K").contains("\"5 mA/K\""));
        // Thin film: small falls are taken, larger ones and crystalline ones are not.
        for (text, percent) in [("-0.02 %/K", -0.02), ("-0.05 %/K", -0.05)] {
            let read = of_isc(&parse(text, AMPS).unwrap(), AMPS, Technology::Cigs).unwrap();
            assert!((read * 100.0 - percent).abs() < 1e-9, "{text}: {read}");
        }
        assert!(of_isc(&parse("-0.06 %/K", AMPS).unwrap(), AMPS, Technology::Cigs).is_err());
        assert!(isc("-0.02 %/K").contains("name its technology"));
        assert_eq!(parse("steep", VOLTS), None);
        let no_cells = Quantity { cells: None, ..VOLTS };
        let refusal = of_voc(&parse("-2.1 mV/K per cell", no_cells).unwrap(), no_cells).unwrap_err();
        assert!(refusal.next_step.contains("cells_in_series"));
    }
}
