//! Quantities whose mix-up would be silent and plausible.
//!
//! Everything else in the crate is `f64` with its unit in the name.

use serde::Serialize;
use std::fmt;

/// Kelvin at 0 °C. The only place where this number stands.
const ZERO_CELSIUS_K: f64 = 273.15;

/// A temperature in degrees Celsius.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Celsius(pub f64);

impl Celsius {
    /// The same temperature in kelvin.
    #[must_use]
    pub fn kelvin(self) -> f64 {
        self.0 + ZERO_CELSIUS_K
    }

    /// From kelvin.
    #[must_use]
    pub fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin - ZERO_CELSIUS_K)
    }

    /// From degrees Fahrenheit.
    #[must_use]
    pub fn from_fahrenheit(fahrenheit: f64) -> Self {
        Self((fahrenheit - 32.0) / 1.8)
    }

    /// The same temperature in degrees Fahrenheit.
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }

    /// Colder by so many kelvin.
    #[must_use]
    pub fn colder_by(self, kelvin: f64) -> Self {
        Self(self.0 - kelvin)
    }
}

impl fmt::Display for Celsius {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} °C", self.0)
    }
}

/// An electric potential difference in volts.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Volts(pub f64);

impl fmt::Display for Volts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} V", self.0)
    }
}

/// An electric current in amperes.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Amps(pub f64);

impl fmt::Display for Amps {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} A", self.0)
    }
}

/// A value that something must at least stand, rounded up to a tenth: rounded down it would not hold. A millionth of a
/// tenth is left to the rounding of products.
#[must_use]
pub fn at_least(value: f64) -> f64 {
    (value * 10.0 - 1e-6).ceil() / 10.0
}

/// A value that something may at most be, rounded down to a tenth.
#[must_use]
pub fn at_most(value: f64) -> f64 {
    (value * 10.0 + 1e-6).floor() / 10.0
}

/// Per cents that something leaves, rounded down since no more is there: to a tenth below ten, to whole ones above.
#[must_use]
pub fn spare(percent: f64) -> String {
    if percent + 1e-6 < 10.0 {
        format!("{:.1} %", at_most(percent))
    } else {
        format!("{:.0} %", (percent + 1e-6).floor())
    }
}

/// Per cents by which something is passed, rounded up since no less is there: to a tenth below ten, to whole ones above.
#[must_use]
pub fn over(percent: f64) -> String {
    if percent < 0.05 {
        "less than 0.1 %".to_owned()
    } else if percent < 10.0 {
        format!("{:.1} %", at_least(percent))
    } else {
        format!("{:.0} %", (percent - 1e-6).ceil())
    }
}

/// A plane angle, kept in radians, made and read in degrees.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// From degrees.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        Self(degrees.to_radians())
    }

    /// From radians.
    #[must_use]
    pub fn from_radians(radians: f64) -> Self {
        Self(radians)
    }

    /// In degrees.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// In radians.
    #[must_use]
    pub fn radians(self) -> f64 {
        self.0
    }

    /// Its sine.
    #[must_use]
    pub fn sin(self) -> f64 {
        self.0.sin()
    }

    /// Its cosine.
    #[must_use]
    pub fn cos(self) -> f64 {
        self.0.cos()
    }
}

/// "1 season", "3 seasons": a whole count with its noun, which takes an s.
#[must_use]
pub fn so_many(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// "A", "A and B", "A, B and C".
#[must_use]
pub fn listed<S: AsRef<str>>(names: &[S]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    match names[..] {
        [] => String::new(),
        [one] => one.to_owned(),
        [ref most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 51.61 V on 50 V are 3.22 % over, which is more than 3.2 %; a tenth that comes of products stays.
    #[test]
    fn what_is_passed_is_never_printed_as_less() {
        assert_eq!((over(3.22), over(3.2), over(9.94)), ("3.3 %".into(), "3.2 %".into(), "10.0 %".into()));
        assert_eq!(
            (over(15.2), over(10.0), over(0.02)),
            ("16 %".into(), "10 %".into(), "less than 0.1 %".into())
        );
    }

    #[test]
    fn scales_meet_where_they_should() {
        // -40 is the one number that both scales share (definition of the scales).
        assert!((Celsius::from_fahrenheit(-40.0).0 + 40.0).abs() < 1e-12);
        assert!((Celsius(0.0).kelvin() - 273.15).abs() < 1e-12);
        assert!((Celsius(100.0).fahrenheit() - 212.0).abs() < 1e-12);
        assert!((Celsius::from_kelvin(300.0).kelvin() - 300.0).abs() < 1e-12);
    }
}
