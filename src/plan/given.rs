//! A value as it stands in the plan: where, and what it reads as. Reading a value never fails here; the fault is
//! kept beside it, so that one run can name all that is wrong in a plan.

use super::fault::quoted;
use crate::time::{LocalDay, MonthDay};
use serde::{Deserialize, Deserializer};
use std::ops::Range;
use toml::{Spanned, Value};

/// One value of the plan.
#[derive(Clone, Debug)]
pub(super) struct Given<T> {
    /// Bytes of the plan's text where it stands.
    pub span: Range<usize>,
    /// What it reads as.
    pub read: Result<T, Wrong>,
}

/// A value of the wrong kind.
#[derive(Clone, Debug)]
pub(super) struct Wrong {
    /// What was found.
    pub found: String,
    /// What was probably meant, as TOML, where that can be told.
    pub meant: Option<String>,
}

impl Wrong {
    fn new(found: impl Into<String>) -> Self {
        Self { found: found.into(), meant: None }
    }
}

/// A kind of value that plans hold.
pub(super) trait FromValue: Sized {
    fn from_value(value: Value) -> Result<Self, Wrong>;
}

impl<'de, T: FromValue> Deserialize<'de> for Given<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = Spanned::<Value>::deserialize(deserializer)?;
        Ok(Self { span: spanned.span(), read: T::from_value(spanned.into_inner()) })
    }
}

/// A value as a message names it.
fn described(value: &Value) -> String {
    match value {
        Value::String(text) => format!("the text {}", quoted(text)),
        Value::Integer(number) => format!("the number {number}"),
        Value::Float(number) => format!("the number {number}"),
        Value::Boolean(flag) => format!("{flag}"),
        Value::Datetime(moment) => format!("the date {moment}"),
        Value::Array(_) => "a list in square brackets".to_owned(),
        Value::Table(_) => "a table in curly brackets".to_owned(),
    }
}

/// Units that people write behind a number, where the key already says the unit. Never one that would change the
/// number: no F, no ft, no mV.
const UNITS_SAID_BY_THE_KEY: [&str; 20] = [
    "v", "vdc", "v dc", "volt", "volts", "a", "amp", "amps", "%", "percent", "c", "°c", "k", "m", "mm2",
    "mm²", "deg", "°", "years", "degrees",
];

/// The number that a text was meant as: decimal comma, real minus sign, a unit behind it.
pub(super) fn number_meant(text: &str) -> Option<f64> {
    let text = text.trim().replace(['\u{2212}', '\u{2013}'], "-");
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | ',')))
        .unwrap_or(text.len());
    let unit = text[end..].trim().to_lowercase();
    if !unit.is_empty() && !UNITS_SAID_BY_THE_KEY.contains(&unit.as_str()) {
        return None;
    }
    let digits = &text[..end];
    let digits = if digits.contains('.') { digits.to_owned() } else { digits.replacen(',', ".", 1) };
    digits.parse::<f64>().ok().filter(|number| number.is_finite())
}

impl FromValue for f64 {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            #[expect(
                clippy::cast_precision_loss,
                reason = "numbers of a plan are far below 2^52; ranges are checked"
            )]
            Value::Integer(number) => Ok(number as Self),
            Value::Float(number) if number.is_finite() => Ok(number),
            Value::String(text) => {
                let meant = number_meant(&text).map(|number| number.to_string());
                Err(Wrong { found: format!("the text {}", quoted(&text)), meant })
            }
            other => Err(Wrong::new(described(&other))),
        }
    }
}

impl FromValue for u32 {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::Integer(number) => {
                Self::try_from(number).map_err(|_| Wrong::new(described(&Value::Integer(number))))
            }
            Value::Float(number)
                if number.is_finite() && number.fract() == 0.0 && (0.0..1e9).contains(&number) =>
            {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "whole and bounded above"
                )]
                Ok(number as Self)
            }
            Value::String(text) => {
                let meant = number_meant(&text).filter(|n| n.fract() == 0.0).map(|number| number.to_string());
                Err(Wrong { found: format!("the text {}", quoted(&text)), meant })
            }
            other => Err(Wrong::new(described(&other))),
        }
    }
}

impl FromValue for bool {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::Boolean(flag) => Ok(flag),
            Value::String(text) => {
                let meant = match text.trim().to_lowercase().as_str() {
                    "yes" | "true" | "on" | "y" => Some("true".to_owned()),
                    "no" | "false" | "off" | "n" => Some("false".to_owned()),
                    _ => None,
                };
                Err(Wrong { found: format!("the text {}", quoted(&text)), meant })
            }
            Value::Integer(number @ (0 | 1)) => {
                Err(Wrong { found: described(&value), meant: Some((number == 1).to_string()) })
            }
            other => Err(Wrong::new(described(&other))),
        }
    }
}

/// A text with its blanks tidied: a tab counts as a space, and none stand at the ends.
fn tidied(text: &str) -> Result<String, Wrong> {
    let text = text.split(|c: char| c.is_whitespace() || c == '\u{a0}').filter(|part| !part.is_empty());
    let text = text.collect::<Vec<_>>().join(" ");
    if text.is_empty() {
        return Err(Wrong::new("an empty text"));
    }
    if text.chars().any(char::is_control) {
        return Err(Wrong::new(format!("the text {} with control characters in it", quoted(&text))));
    }
    Ok(text)
}

impl FromValue for String {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::String(text) => tidied(&text),
            Value::Datetime(moment) => Ok(moment.to_string()),
            other => {
                let meant = match &other {
                    Value::Integer(_) | Value::Float(_) | Value::Boolean(_) => Some(format!("\"{other}\"")),
                    _ => None,
                };
                Err(Wrong { found: described(&other), meant })
            }
        }
    }
}

/// One text, or several: both may be written.
impl FromValue for Vec<String> {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::String(text) => Ok(vec![tidied(&text)?]),
            Value::Array(items) if items.is_empty() => Err(Wrong::new("an empty list")),
            Value::Array(items) => items
                .into_iter()
                .map(|item| match item {
                    Value::String(text) => tidied(&text),
                    other => Err(Wrong::new(format!("a list with {} in it", described(&other)))),
                })
                .collect(),
            other => Err(Wrong::new(described(&other))),
        }
    }
}

/// `modules`: the panels of a string.
#[derive(Clone, Debug)]
pub(super) enum ModuleNames {
    /// All alike; `in_series` says how many.
    Alike(String),
    /// One name a panel.
    Listed(Vec<String>),
}

impl FromValue for ModuleNames {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::String(text) => Ok(Self::Alike(tidied(&text)?)),
            other => Vec::<String>::from_value(other).map(Self::Listed),
        }
    }
}

/// A temperature coefficient as typed. A bare number is kept as text too: the label's reader then says which unit
/// could be meant.
#[derive(Clone, Debug)]
pub(super) struct Coefficient(pub String);

impl FromValue for Coefficient {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::String(text) => tidied(&text).map(Self),
            Value::Integer(number) => Ok(Self(number.to_string())),
            Value::Float(number) if number.is_finite() => Ok(Self(number.to_string())),
            other => Err(Wrong::new(described(&other))),
        }
    }
}

/// A number, or a word in its place (`"any"`, `"record-low"`).
#[derive(Clone, Debug)]
pub(super) enum NumberOrWord {
    /// A number.
    Number(f64),
    /// A word, in lower case.
    Word(String),
}

impl FromValue for NumberOrWord {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::String(text) => match number_meant(&text) {
                Some(number) => Err(Wrong {
                    found: format!("the text {}", quoted(&text)),
                    meant: Some(number.to_string()),
                }),
                None => Ok(Self::Word(tidied(&text)?.to_lowercase())),
            },
            other => f64::from_value(other).map(Self::Number),
        }
    }
}

/// The day of an arrival or a departure.
#[derive(Clone, Copy, Debug)]
pub(super) struct Day {
    /// The year, where it is written.
    pub year: Option<i32>,
    /// Month and day.
    pub month_day: MonthDay,
}

impl Day {
    fn checked(year: Option<i32>, month: u32, day: u32) -> Option<Self> {
        // a year that has 29 February, where none is written
        LocalDay::from_civil(year.unwrap_or(2000), month, day)?;
        Some(Self { year, month_day: MonthDay { month, day } })
    }
}

impl FromValue for Day {
    fn from_value(value: Value) -> Result<Self, Wrong> {
        match value {
            Value::Datetime(moment) => {
                let wrong = Wrong::new(format!("{moment}"));
                match (moment.date, moment.time) {
                    (Some(date), None) => {
                        Self::checked(Some(i32::from(date.year)), u32::from(date.month), u32::from(date.day))
                            .ok_or(wrong)
                    }
                    (Some(date), Some(_)) => Err(Wrong { meant: Some(date.to_string()), ..wrong }),
                    _ => Err(wrong),
                }
            }
            Value::String(text) => day_of_text(text.trim()),
            other => Err(Wrong::new(described(&other))),
        }
    }
}

fn day_of_text(text: &str) -> Result<Day, Wrong> {
    let found = || Wrong::new(format!("the text {}", quoted(text)));
    let parts: Vec<&str> = text.split('-').collect();
    let number = |part: &str| part.parse::<u32>().ok().filter(|_| part.bytes().all(|b| b.is_ascii_digit()));
    let read = match parts.as_slice() {
        [month, day] if month.len() == 2 && day.len() == 2 => {
            number(month).zip(number(day)).map(|(month, day)| (None, month, day))
        }
        [year, month, day] if year.len() == 4 && month.len() == 2 && day.len() == 2 => number(year)
            .and_then(|year| i32::try_from(year).ok())
            .zip(number(month).zip(number(day)))
            .map(|(year, (month, day))| (Some(year), month, day)),
        _ => None,
    };
    let Some((year, month, day)) = read else {
        // 12/20, 20.12., 20/12/2031: which is the month cannot be told for sure, so nothing is suggested unless
        // one of the two numbers can only be the day
        let numbers: Vec<u32> =
            text.split(|c: char| !c.is_ascii_digit()).filter_map(|part| part.parse().ok()).collect();
        let meant = match numbers.as_slice() {
            [a, b] | [a, b, _] if *a <= 12 && (13..=31).contains(b) => Some(format!("\"{a:02}-{b:02}\"")),
            [a, b] | [a, b, _] if *b <= 12 && (13..=31).contains(a) => Some(format!("\"{b:02}-{a:02}\"")),
            _ => None,
        };
        return Err(Wrong { meant, ..found() });
    };
    Day::checked(year, month, day).ok_or_else(|| Wrong::new(format!("{text}, a day that does not exist")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_in_quotes_is_recognised_but_never_one_in_another_unit() {
        for (text, meant) in [
            ("22,5", Some(22.5)),
            ("22.5 V", Some(22.5)),
            (" \u{2212}24 °C", Some(-24.0)),
            ("15A", Some(15.0)),
            ("14 F", None),
            ("1450 ft", None),
            ("-67 mV/K", None),
            ("any", None),
            ("", None),
            ("1.234,5", None),
        ] {
            assert_eq!(number_meant(text), meant, "{text}");
        }
    }

    #[test]
    fn days_are_read_with_and_without_a_year() {
        assert!(day_of_text("02-29").is_ok());
        assert!(day_of_text("2031-02-29").is_err());
        assert!(day_of_text("2031-12-20").is_ok_and(|day| day.year == Some(2031)));
        for text in ["2-3", "12/20", "20.12.", "Dec 20", "1-1-1-1", "", "é-12"] {
            assert!(day_of_text(text).is_err(), "{text}");
        }
        assert_eq!(day_of_text("12/20").err().and_then(|wrong| wrong.meant), Some("\"12-20\"".to_owned()));
        assert_eq!(
            day_of_text("20.12.2031").err().and_then(|wrong| wrong.meant),
            Some("\"12-20\"".to_owned())
        );
        assert_eq!(day_of_text("05/06").err().and_then(|wrong| wrong.meant), None);
    }

    #[test]
    fn a_tab_counts_as_a_space() {
        let read = String::from_value(Value::String("Juniper\tFlat ".to_owned()));
        assert!(read.is_ok_and(|text| text == "Juniper Flat"));
    }
}
