//! Days of the calendar as people type them.

use super::answers::Refusal;
use crate::time::{LocalDay, MONTHS, MonthDay};
use crate::trip::Window;

/// Signs and words that stand between the first and the last day.
const BETWEEN: [&str; 7] = [" to ", " until ", " till ", " through ", " - ", "\u{2013}", ".."];
/// Letters of a month's name that tell which.
const MONTH_LETTERS: usize = 3;
/// A year that has 29 February.
const ANY_YEAR: i32 = 2000;

/// One day, or the first and the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Days {
    One(MonthDay),
    Stay(Window),
}

/// Reads "12-20", "20 Dec", "Dec 20", or two of them with "to" between. Nothing is guessed: where two numbers leave open
/// which is the month, it is asked.
pub(super) fn read(typed: &str) -> Result<Days, Refusal> {
    let lower = format!(" {} ", typed.trim().to_lowercase());
    for between in BETWEEN {
        if let Some((first, last)) = lower.split_once(between)
            && [first, last].iter().all(|part| part.chars().any(char::is_alphanumeric))
        {
            return stay(first.trim(), last.trim()).map(Days::Stay);
        }
    }
    // "10-24 Jan"; a sign between two numbers alone parts month and day
    if let Some((first, last)) = lower.trim().split_once('-')
        && let Some(stay) = in_one_month(first.trim(), last.trim())
    {
        return Ok(Days::Stay(stay));
    }
    day(lower.trim()).map(Days::One)
}

fn stay(first: &str, last: &str) -> Result<Window, Refusal> {
    match in_one_month(first, last) {
        Some(stay) => Ok(stay),
        None => Ok(Window { arrive: day(first)?, leave: day(last)? }),
    }
}

/// Two days of which one names no month and is the other's: "10 to 24 January", "Jan 10 to 24". `None` where the first would
/// lie behind the last, since then the months differ.
fn in_one_month(first: &str, last: &str) -> Option<Window> {
    let (of_first, of_last) = (parts(first), parts(last));
    let (named, alone) = match (of_first.1.is_empty(), of_last.1.is_empty()) {
        (true, false) => (last, &of_first.0),
        (false, true) => (first, &of_last.0),
        _ => return None,
    };
    let ([alone], Ok(named)) = (alone.as_slice(), day(named)) else { return None };
    LocalDay::from_civil(ANY_YEAR, named.month, *alone)?;
    let other = MonthDay { day: *alone, ..named };
    let (arrive, leave) = if of_first.1.is_empty() { (other, named) } else { (named, other) };
    (arrive.day <= leave.day).then_some(Window { arrive, leave })
}

/// The day as a person says it: 20 December.
pub(super) fn said(day: MonthDay) -> String {
    let name = MONTHS.get(day.month.saturating_sub(1) as usize).unwrap_or(&"");
    format!("{} {name}", day.day)
}

/// How many days a stay has, both ends included.
pub(super) fn length(stay: Window) -> i32 {
    // a common year, in which no 29 February hides a day
    stay.days_from(2001).map_or(0, |(first, last)| last.0 - first.0 + 1)
}

fn day(text: &str) -> Result<MonthDay, Refusal> {
    let expected = || Refusal::from("expected a day such as 12-20 (month-day), 20 Dec or Dec 20".to_owned());
    let (numbers, words) = parts(text);
    let is_year = |number: &u32| *number >= 1000;
    let (month, day) = match (words.as_slice(), numbers.as_slice()) {
        ([name], [day] | [day, _]) if numbers.get(1).is_none_or(is_year) => {
            let month = MONTHS.iter().position(|month| {
                name.len() >= MONTH_LETTERS && month.to_lowercase().starts_with(name.as_str())
            });
            let month = month.and_then(|at| u32::try_from(at + 1).ok()).ok_or_else(expected)?;
            (month, *day)
        }
        ([], [year, month, day]) if is_year(year) => (*month, *day),
        ([], [month, day]) if text.contains('-') => {
            if *month > 12 && (1..=12).contains(day) {
                return Err(Refusal { meant: Some(format!("{day:02}-{month:02}")), ..expected() });
            }
            (*month, *day)
        }
        ([], [a, b] | [a, b, _]) if numbers.get(2).is_none_or(is_year) => match (*a > 12, *b > 12) {
            (true, false) => (*b, *a),
            (false, true) => (*a, *b),
            (false, false) if a == b => (*a, *b),
            (false, false) => {
                let (one, other) = (MonthDay { month: *b, day: *a }, MonthDay { month: *a, day: *b });
                return Err(Refusal::from(format!(
                    "{text} can be {} or {}: expected month-day, {one} or {other}, or the month by name",
                    said(one),
                    said(other)
                )));
            }
            (true, true) => return Err(expected()),
        },
        _ => return Err(expected()),
    };
    match LocalDay::from_civil(ANY_YEAR, month, day) {
        Some(_) => Ok(MonthDay { month, day }),
        None => Err(Refusal::from(format!(
            "{text} is no day of the calendar: expected month-day, such as 12-20, or 20 Dec"
        ))),
    }
}

/// The numbers and the words of a date; the endings of 1st, 2nd, 3rd and 4th are no words.
fn parts(text: &str) -> (Vec<u32>, Vec<String>) {
    let (mut numbers, mut words) = (Vec::new(), Vec::new());
    for part in text.split(|c: char| !c.is_alphanumeric()) {
        let digits = part.find(|c: char| !c.is_ascii_digit()).unwrap_or(part.len());
        let (number, word) = part.split_at(digits);
        numbers.extend(number.parse::<u32>().ok());
        let is_ending = ["st", "nd", "rd", "th"].contains(&word) && !number.is_empty();
        if !(word.is_empty() || is_ending || ["of", "the"].contains(&word)) {
            words.push(word.to_owned());
        }
    }
    (numbers, words)
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn on(month: u32, day: u32) -> MonthDay {
        MonthDay { month, day }
    }

    #[test]
    fn a_day_is_read_as_people_type_it() {
        for typed in [
            "12-20",
            "2031-12-20",
            "20 Dec",
            "Dec 20",
            "20 December 2031",
            "december 20th, 2031",
            "20Dec",
            "12/20",
            "20.12.",
            "20/12/2031",
            "the 20th of Dec.",
        ] {
            assert_eq!(read(typed), Ok(Days::One(on(12, 20))), "{typed}");
        }
        assert_eq!(read("Feb 29"), Ok(Days::One(on(2, 29))));
        assert_eq!(read("05/05"), Ok(Days::One(on(5, 5))));
    }

    #[test]
    fn two_days_are_a_stay() {
        let stay = Window { arrive: on(12, 20), leave: on(1, 15) };
        for typed in [
            "12-20 to 01-15",
            "Dec 20 - 15 Jan",
            "20.12. until 15.1.",
            "12-20..01-15",
            "Dec 20\u{2013}Jan 15",
        ] {
            assert_eq!(read(typed), Ok(Days::Stay(stay)), "{typed}");
        }
        // 12 days of December with the 20th, and 15 of January
        assert_eq!(length(stay), 27);
    }

    #[test]
    fn a_month_that_is_named_once_is_that_of_both_days() {
        let stay = Window { arrive: on(1, 10), leave: on(1, 24) };
        for typed in [
            "10 to 24 January",
            "10-24 Jan",
            "10 - 24 Jan",
            "Jan 10 to 24",
            "January 10-24",
            "10th to 24th of January 2031",
        ] {
            assert_eq!(read(typed), Ok(Days::Stay(stay)), "{typed}");
        }
        let february = Window { arrive: on(2, 5), leave: on(2, 20) };
        assert_eq!(read("5 to 20 February"), Ok(Days::Stay(february)));
        // the months differ, or there is no such day, or no month at all
        for typed in ["20 to 5 February", "10 to 30 Feb", "10 to 24", "2031 to 24 Jan"] {
            assert!(read(typed).is_err(), "{typed}");
        }
        assert_eq!(read("20-Dec-2031"), Ok(Days::One(on(12, 20))));
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_asked() {
        let said = read("05/06").map_err(|refusal| refusal.to_string());
        assert!(said.as_ref().is_err_and(|said| said.contains("5 June or 6 May")), "{said:?}");
        assert!(read("05-06").is_ok_and(|days| days == Days::One(on(5, 6))), "the plan's own order");
        assert!(read("20-12").is_err_and(|refusal| refusal.meant.as_deref() == Some("12-20")));
        for typed in
            ["yes", "12", "Dec", "32 Dec", "02-30", "31/31", "D 20", "2031", "12-20-2031-1", "Dec 20 30"]
        {
            assert!(read(typed).is_err(), "{typed}");
        }
    }
}
