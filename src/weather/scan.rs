//! Numbers and civil stamps straight from bytes. Beside each stands a plain reading that tests hold it against.

use super::cells::{HIGHS, ONES};
use crate::time::DAY_S;

/// A cell without surrounding blanks.
pub(super) fn trim(cell: &[u8]) -> &[u8] {
    cell.trim_ascii()
}

/// Largest power of ten that an `f64` holds exactly.
const EXACT_POWERS: usize = 22;
pub(super) const POWERS: [f64; EXACT_POWERS + 1] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// A finite decimal number with `point` as its decimal sign; `None` for anything else. Gives the same value, bit
/// for bit, as the standard library: a whole number below 2^53 divided by an exact power of ten is rounded once.
#[inline]
pub(super) fn decimal_with(cell: &[u8], point: u8) -> Option<f64> {
    let (negative, digits) = match cell {
        [b'-', digits @ ..] => (true, digits),
        [b'+', digits @ ..] => (false, digits),
        digits => (false, digits),
    };
    if digits.len() > 16 {
        return slow(cell, point);
    }
    let mut whole: u64 = 0;
    let mut before_point = digits.len();
    for (at, &byte) in digits.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            whole = whole * 10 + u64::from(digit);
        } else if byte == point && before_point == digits.len() {
            before_point = at + 1;
        } else {
            return slow(cell, point);
        }
    }
    let places = digits.len() - before_point;
    // A lone point, a lone sign, or nothing.
    if digits.len() == usize::from(digits.contains(&point)) {
        return None;
    }
    if whole >= 1 << 53 {
        return slow(cell, point);
    }
    #[expect(clippy::cast_precision_loss, reason = "below 2^53")]
    let value = if places == 0 { whole as f64 } else { whole as f64 / POWERS[places] };
    Some(if negative { -value } else { value })
}

/// [`decimal_with`] for a point.
pub(super) fn decimal(cell: &[u8]) -> Option<f64> {
    decimal_with(cell, b'.')
}

/// Blanks around, long or scientific notation, a minus sign or dash of print: rare, and left to the standard library.
#[cold]
fn slow(cell: &[u8], point: u8) -> Option<f64> {
    let cell = trim(cell);
    if cell.len() > 64 || (point != b'.' && cell.contains(&b'.')) {
        return None;
    }
    let text = std::str::from_utf8(cell).ok()?;
    // Word processors make dashes of minus signs, and blanks that no line breaks at.
    let text = text.trim().replace(['\u{2212}', '\u{2013}'], "-").replace(char::from(point), ".");
    // "inf" and "nan" are words of the standard library, not numbers of a weather file.
    if !text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'+' | b'-' | b'.' | b'e' | b'E')) {
        return None;
    }
    text.parse::<f64>().ok().filter(|value| value.is_finite())
}

/// A whole number with an optional sign; `None` beyond nine digits.
pub(super) fn integer(cell: &[u8]) -> Option<i32> {
    let (negative, digits) = match cell.first()? {
        b'-' => (true, &cell[1..]),
        b'+' => (false, &cell[1..]),
        _ => (false, cell),
    };
    let value = digits_value(digits)?;
    Some(if negative { -value } else { value })
}

fn digits_value(digits: &[u8]) -> Option<i32> {
    if digits.is_empty() || digits.len() > 9 {
        return None;
    }
    digits
        .iter()
        .try_fold(0_i32, |value, &byte| byte.is_ascii_digit().then(|| value * 10 + i32::from(byte - b'0')))
}

fn two(bytes: &[u8]) -> Option<u32> {
    match bytes {
        [a @ b'0'..=b'9', b @ b'0'..=b'9'] => Some(u32::from(a - b'0') * 10 + u32::from(b - b'0')),
        _ => None,
    }
}

/// Days since 1970-01-01 of a date of the proleptic Gregorian calendar; `None` where there is no such day.
pub(super) fn day_number(year: i32, month: u32, day: u32) -> Option<i64> {
    const LENGTHS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    let length = *LENGTHS.get(month.checked_sub(1)? as usize)? + u32::from(month == 2 && leap);
    if day < 1 || day > length || !(0..=9999).contains(&year) {
        return None;
    }
    // Years that begin in March put the leap day last.
    let year = i64::from(year) - i64::from(month <= 2);
    let era = year.div_euclid(400);
    let of_era = year.rem_euclid(400);
    let of_year = (153 * i64::from((month + 9) % 12) + 2) / 5 + i64::from(day) - 1;
    Some(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468)
}

/// Civil seconds since 1970 of a date and a time of day; hour 24 is the next day's 0.
pub(super) fn civil(year: i32, month: u32, day: u32, hour: u32, minute: u32, second: u32) -> Option<i64> {
    if minute > 59 || second > 60 || hour > 24 || (hour == 24 && (minute, second) != (0, 0)) {
        return None;
    }
    Some(
        day_number(year, month, day)? * DAY_S
            + i64::from(hour) * 3600
            + i64::from(minute) * 60
            + i64::from(second),
    )
}

/// A stamp as a file prints it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Civil {
    /// Civil seconds since 1970 on the file's own clock.
    pub seconds: i64,
    /// The distance of that clock from UTC in seconds, where the stamp carries it.
    pub offset_s: Option<i32>,
}

/// Reads "2018-01-08T06:00", with a blank for the T, seconds and their fraction, Z or an offset as they come.
pub(super) fn iso(cell: &[u8]) -> Option<Civil> {
    let cell = trim(cell);
    if cell.len() < 10 || cell[4] != b'-' || cell[7] != b'-' {
        return None;
    }
    let year = digits_value(&cell[..4])?;
    let (month, day) = (two(&cell[5..7])?, two(&cell[8..10])?);
    let mut rest = &cell[10..];
    let (mut hour, mut minute, mut second) = (0, 0, 0);
    if let [b'T' | b't' | b' ', clock @ ..] = rest {
        // Spreadsheets drop the first nought of the hour.
        let colon = clock.iter().take(3).position(|&byte| byte == b':')?;
        (hour, rest) = match &clock[..colon] {
            [digit @ b'0'..=b'9'] => (u32::from(digit - b'0'), &clock[2..]),
            digits => (two(digits)?, clock.get(3..)?),
        };
        minute = two(rest.get(..2)?)?;
        rest = &rest[2..];
        if let [b':', more @ ..] = rest {
            second = two(more.get(..2)?)?;
            rest = &more[2..];
            if let [b'.' | b',', fraction @ ..] = rest {
                let digits = fraction.iter().take_while(|byte| byte.is_ascii_digit()).count();
                rest = &fraction[digits..];
            }
        }
    }
    let offset_s = match trim(rest) {
        [] => None,
        [b'Z' | b'z'] | b"UTC" => Some(0),
        [sign @ (b'+' | b'-'), clock @ ..] => {
            let (hours, minutes) = match clock.len() {
                2 => (two(clock)?, 0),
                4 => (two(&clock[..2])?, two(&clock[2..])?),
                5 if clock[2] == b':' => (two(&clock[..2])?, two(&clock[3..])?),
                _ => return None,
            };
            let distance = i32::try_from(hours * 3600 + minutes * 60).ok()?;
            if hours > 15 || minutes > 59 {
                return None;
            }
            Some(if *sign == b'-' { -distance } else { distance })
        }
        _ => return None,
    };
    Some(Civil { seconds: civil(year, month, day, hour, minute, second)?, offset_s })
}

/// Reads stamps of rows that follow each other: most share their date, which is then not worked out again.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stamps {
    date: [u8; 10],
    midnight_s: Option<i64>,
}

impl Stamps {
    /// As [`iso`].
    #[inline]
    pub(super) fn iso(&mut self, cell: &[u8]) -> Option<Civil> {
        if let (Some(midnight_s), Some((date, clock))) = (self.midnight_s, cell.split_first_chunk::<10>())
            && *date == self.date
            && let Some((clock, rest)) = clock.split_first_chunk::<8>()
            && let Some(second) = whole_minute(u64::from_le_bytes(*clock))
        {
            let seconds = midnight_s + second;
            match rest {
                b"0" => return Some(Civil { seconds, offset_s: None }),
                b"0Z" => return Some(Civil { seconds, offset_s: Some(0) }),
                _ => {}
            }
        }
        let civil = iso(cell)?;
        if let Some(date) = cell.first_chunk::<10>()
            && let Some(day) = iso(date)
        {
            self.date = *date;
            self.midnight_s = Some(day.seconds);
        }
        Some(civil)
    }
}

/// Second of the day of the eight bytes "T06:30:0" (or with a blank for the T), the first in the lowest byte; `None` for
/// anything else.
#[inline]
fn whole_minute(clock: u64) -> Option<i64> {
    const FORM: u64 = u64::from_le_bytes(*b"T00:00:0");
    const DIGITS: u64 = 0x0000_ffff_00ff_ff00;
    const T_TO_BLANK: u64 = (b'T' ^ b' ') as u64;
    let parts = clock ^ FORM;
    let rest = parts & !DIGITS;
    let digits = parts & DIGITS;
    if (rest != 0 && rest != T_TO_BLANK) || (digits.wrapping_add(ONES * 0x76) | digits) & HIGHS != 0 {
        return None;
    }
    let pair = |from: u32| (digits >> from & 0xff) * 10 + (digits >> (from + 8) & 0xff);
    let (hour, minute) = (pair(8), pair(32));
    (hour < 24 && minute < 60).then_some((hour * 3600 + minute * 60).cast_signed())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Stamp;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn decimals_are_those_of_the_standard_library(text in "[+-]?[0-9]{1,19}(\\.[0-9]{0,19})?([eE][+-]?[0-9]{1,2})?") {
            prop_assert_eq!(decimal(text.as_bytes()), text.parse::<f64>().ok().filter(|v| v.is_finite()));
        }

        #[test]
        fn anything_else_is_no_number(text in "\\PC{0,20}") {
            if let Some(value) = decimal(text.as_bytes()) {
                let plain = text.trim().replace(['\u{2212}', '\u{2013}'], "-");
                prop_assert_eq!(Some(value), plain.parse::<f64>().ok());
            }
        }

        #[test]
        fn stamps_that_follow_each_other_are_read_alike(
            texts in prop::collection::vec("203[01]-01-0[12][Tt ]2[0-9]:[0-6][05](:0[01/])?(Z|[+]01:00)?", 1..8))
        {
            let mut stamps = Stamps::default();
            for text in texts {
                prop_assert_eq!(stamps.iso(text.as_bytes()), iso(text.as_bytes()), "{}", text);
            }
        }

        #[test]
        fn stamps_are_those_of_the_calendar_crate(year in 1800_i32..2200, month in 0_u32..14, day in 0_u32..33,
                hour in 0_u32..26, minute in 0_u32..62) {
            let text = format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}");
            let ours = iso(text.as_bytes()).map(|stamp| Stamp(stamp.seconds));
            prop_assert_eq!(ours, Stamp::from_utc(year, month, day, hour, minute, 0));
        }
    }

    #[test]
    fn zones_are_read_where_they_stand() {
        for (text, seconds, offset_s) in [
            ("1970-01-01T00:00:00Z", 0, Some(0)),
            ("1970-01-01 01:30:15.25+05:30", 5415, Some(19_800)),
            ("1970-01-02T00:00-0700", 86_400, Some(-25_200)),
            ("1970-01-01 6:05", 21_900, None),
            ("1970-01-01T6:05:09Z", 21_909, Some(0)),
            ("1970-01-02", 86_400, None),
            ("1970-01-01T24:00", 86_400, None),
        ] {
            assert_eq!(iso(text.as_bytes()), Some(Civil { seconds, offset_s }), "{text}");
        }
        for text in [
            "",
            "1970-1-1",
            "1970-01-01T",
            "1970-01-01T1:0",
            "1970-01-01T:00",
            "1970-01-01 001:00",
            "1970-02-30",
            "1970-01-01T00:00 ET",
        ] {
            assert_eq!(iso(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn a_decimal_comma_is_read_where_it_is_declared() {
        assert_eq!(decimal_with(b"-8,7", b','), Some(-8.7));
        assert_eq!(decimal_with(b"8.7", b','), None);
        assert_eq!(decimal(b"8,7"), None);
        assert_eq!(decimal("\u{2212}8.7".as_bytes()), Some(-8.7));
        assert_eq!(decimal("\u{a0}\u{2013}8.7".as_bytes()), Some(-8.7));
        for word in ["nan", "inf", "-", "", ".", "M", "1.2.3"] {
            assert_eq!(decimal(word.as_bytes()), None, "{word}");
        }
    }
}
