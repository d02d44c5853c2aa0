//! How people write a place and a clock: coordinates as maps show them, and the zone of a table's stamps.

use super::asked::Question;
use super::given::number_meant;
use super::keys::STOP;
use crate::time::UtcOffset;

/// Metres in an international foot (exact by definition).
const FOOT_M: f64 = 0.3048;

/// The question about the place where only its height is missing.
pub(super) static HEIGHT: Question = Question {
    ask: "How high is the weather station, which its file does not say?",
    help: "metres above the sea, such as 1450; any map shows it",
    otherwise: "",
    table: &STOP,
    key: "station_elevation_m",
    follows: None,
};

/// The question about the place where the file is a table that does not tell its clock.
pub(super) static PLACE_AND_CLOCK: Question = Question {
    ask: "Where is the weather station, and which clock do the stamps keep?",
    help: "latitude, longitude, metres above the sea, then UTC or the clock there\n\
           (its winter clock, from UTC): 46.1, -110.2, 1450, UTC or\n\
           46.1, -110.2, 1450, -07:00; the maker of the table knows which; with\n\
           the wrong one light and cold meet at the wrong hours",
    otherwise: "",
    table: &STOP,
    key: "latitude_deg",
    follows: None,
};

/// One to three numbers; letters for the quarters of the sky, and a unit behind the height, are understood.
pub(super) fn coordinates(typed: &str) -> Option<Vec<f64>> {
    let separators: &[char] = match typed {
        _ if typed.contains(';') => &[';'],
        // where points mark the decimals, commas part the numbers, with a blank behind them or without
        _ if typed.contains('.') => &[',', ' ', '\t'],
        _ if typed.trim().contains(char::is_whitespace) => &[' ', '\t'],
        _ => &[','],
    };
    let mut parts: Vec<String> = Vec::new();
    for part in
        typed.split(separators).map(|part| part.trim().trim_end_matches(',')).filter(|part| !part.is_empty())
    {
        // a unit or a quarter that stands by itself belongs to the number before
        match parts.last_mut() {
            Some(before) if part.chars().all(char::is_alphabetic) => before.push_str(part),
            _ => parts.push(part.to_owned()),
        }
    }
    let numbers: Option<Vec<f64>> = parts.iter().map(|part| coordinate(part)).collect();
    numbers.filter(|numbers| (1..=3).contains(&numbers.len()))
}

fn coordinate(part: &str) -> Option<f64> {
    let letters = part.trim_end_matches(char::is_alphabetic);
    let number = number_meant(letters)?;
    match part[letters.len()..].to_lowercase().as_str() {
        "" | "n" | "e" | "m" => Some(number),
        "s" | "w" => Some(-number.abs()),
        "ft" | "feet" => Some((number * FOOT_M).round()),
        _ => None,
    }
}

/// The clock that stamps keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Clock {
    /// UTC.
    Utc,
    /// The clock of the place.
    There(UtcOffset),
}

/// What stands before a clock, and that clock: behind the last comma or blank a "UTC", "UTC-7" or "-07:00".
pub(super) fn clock_behind(typed: &str) -> (&str, Option<Clock>) {
    let typed = typed.trim();
    let separators: &[char] = &[',', ';', ' ', '\t'];
    let cut = typed.rfind(separators).map_or(0, |at| at + 1);
    let (before, last) = typed.split_at(cut);
    match clock(last) {
        Some(clock) => (before.trim_end_matches(separators), Some(clock)),
        None => (typed, None),
    }
}

fn clock(typed: &str) -> Option<Clock> {
    let upper = typed.to_uppercase();
    let offset = match ["UTC", "GMT", "Z"].into_iter().find_map(|name| upper.strip_prefix(name)) {
        Some("") => UtcOffset::UTC,
        Some(behind) => UtcOffset::parse(behind)?,
        // a number alone may be metres
        None => UtcOffset::parse(&upper).filter(|_| upper.contains(':'))?,
    };
    Some(if offset == UtcOffset::UTC { Clock::Utc } else { Clock::There(offset) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_stands_behind_the_place_of_a_table() {
        let there = |text: &str| UtcOffset::parse(text).map(Clock::There);
        for (typed, before, clock) in [
            ("46.1, -110.2, 1450, UTC", "46.1, -110.2, 1450", Some(Clock::Utc)),
            ("46.1 -110.2 1450 m -07:00", "46.1 -110.2 1450 m", there("-07:00")),
            ("46.1; 8.2; UTC+5:30", "46.1; 8.2", there("+05:30")),
            ("46.1, 8.2, gmt-3", "46.1, 8.2", there("-03:00")),
            ("46.1, 8.2, 1450", "46.1, 8.2, 1450", None),
            ("46.1, -110", "46.1, -110", None),
            ("+00:00", "", Some(Clock::Utc)),
            ("46.1, 8.2, UTCx", "46.1, 8.2, UTCx", None),
        ] {
            assert_eq!(clock_behind(typed), (before, clock), "{typed}");
        }
    }
}
