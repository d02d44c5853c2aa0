//! Files of which too much cannot be read: refused, where going on with the rest would call the rest a record.
//!
//! Months and days that are swapped leave the days up to the 12th, hours without their first nought leave the days
//! without their nights, minus signs of another kind leave the days without frost: what is left looks like weather.

use super::cells;
use super::gather::Gathered;
use super::scan;
use super::tally::{Count, Why};
use super::{Columns, FileFacts, WeatherError};

/// Fewest rows from which a share is told.
const FEWEST: u64 = 24;
/// Where one row in so many has no date, or no number where there should be one, the file is written in another way than it
/// is read. Chosen because footers, joined headers and flags are rarer in every file that was seen.
const SHARE: u64 = 10;
/// The same for air temperatures of a file of anybody's: its reader lets words for "missing" pass, and counts those only
/// that hold digits. Cold readings can be so few.
const SHARE_OF_ODD_NUMBERS: u64 = 100;

/// What a reader met that it could not read; nothing here grows with a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Unread {
    /// The first date that could not be read, or the begin of its row.
    stamp: Option<String>,
    /// The first air temperature.
    air: Option<String>,
    /// Air temperatures of a file of anybody's that hold digits and are no plain numbers.
    odd: Odd,
    /// Those among them that are a number with one letter or star behind, as archives mark doubtful ones.
    lettered: Odd,
}

/// How many, and the line of the first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Odd {
    count: u64,
    line: u32,
}

impl Odd {
    fn add(&mut self, line: u32) {
        if self.count == 0 {
            self.line = line;
        }
        self.count += 1;
    }
}

impl Unread {
    /// A row of which `why` is to be said.
    pub(super) fn row(&mut self, why: Why, bytes: &[u8]) {
        let kept = match why {
            Why::NoStamp => &mut self.stamp,
            Why::UnreadableAir => &mut self.air,
            _ => return,
        };
        if kept.is_none() {
            let text = cells::text(&bytes[..bytes.len().min(400)]);
            let plain: String = text.chars().filter(|letter| !letter.is_control()).collect();
            *kept = Some(cells::shown(plain.trim()));
        }
    }

    /// An air temperature that is no plain number; one without a digit is a word for "missing".
    pub(super) fn odd_air(&mut self, cell: &[u8], line: u32) {
        if !cell.iter().any(u8::is_ascii_digit) {
            return;
        }
        self.row(Why::UnreadableAir, cell);
        let lettered = cell.split_last().is_some_and(|(mark, number)| {
            (mark.is_ascii_alphabetic() || *mark == b'*') && scan::decimal(number).is_some()
        });
        if lettered { self.lettered.add(line) } else { self.odd.add(line) }
    }

    /// What was found, for a message: the first such cell of either kind.
    pub(super) fn shown(&self, why: Why) -> Option<&str> {
        match why {
            Why::NoStamp => self.stamp.as_deref(),
            Why::UnreadableAir => self.air.as_deref(),
            _ => None,
        }
    }
}

/// What is to be done about cells that cannot be read.
pub(super) fn next_step(why: Why, generic: bool, columns: Option<&Columns>) -> Option<String> {
    let whole =
        "take the file as it was downloaded: a spreadsheet writes dates and numbers anew when it saves";
    let pattern = columns.and_then(|columns| columns.time_format.as_deref());
    Some(match (why, generic) {
        (Why::NoStamp, true) if pattern.is_some() => {
            "correct `time_format`: is the month before the day, and has it %p with %I for hours of am and pm?".to_owned()
        }
        (Why::NoStamp, true) => {
            "say how they are written as `time_format` under [stop.columns], such as \"%m/%d/%Y %H:%M\"".to_owned()
        }
        (Why::UnreadableAir, true) => {
            "write plain numbers without a unit; for decimal commas set `decimal = \",\"` under [stop.columns]".to_owned()
        }
        (Why::NoStamp | Why::UnreadableAir, false) => whole.to_owned(),
        _ => return None,
    })
}

/// Refuses a file of which too much cannot be read.
pub(super) fn refuse(
    files: &[FileFacts],
    gathered: &[Gathered],
    columns: Option<&Columns>,
) -> Result<(), WeatherError> {
    for (file, one) in files.iter().zip(gathered) {
        let of = |why: Why| one.tally.of(why).map_or((0, 0), |Count { count, first }| (count, first.line));
        let Unread { odd, lettered, .. } = &one.unread;
        let air = if is_generic(file) { (lettered.count, lettered.line) } else { of(Why::UnreadableAir) };
        for (why, (count, line), share) in [
            (Why::NoStamp, of(Why::NoStamp), SHARE),
            (Why::UnreadableAir, air, SHARE),
            (Why::UnreadableAir, (odd.count, odd.line), SHARE_OF_ODD_NUMBERS),
        ] {
            if count >= FEWEST && count * share >= count + file.rows {
                return Err(refused(file, one, (why, count, line), columns));
            }
        }
    }
    Ok(())
}

/// Whether the file is one of anybody's.
pub(super) fn is_generic(file: &FileFacts) -> bool {
    file.format == super::formats::generic::FORMAT.name
}

fn refused(
    file: &FileFacts,
    one: &Gathered,
    (why, count, line): (Why, u64, u32),
    columns: Option<&Columns>,
) -> WeatherError {
    let generic = is_generic(file);
    let shown = one.unread.shown(why).map_or("a row".to_owned(), |cell| format!("\"{cell}\""));
    let kind = if why == Why::NoStamp { "date or time" } else { "air temperature" };
    let pattern = columns.and_then(|columns| columns.time_format.as_deref());
    let expected = match (why, generic, pattern) {
        (Why::NoStamp, true, Some(pattern)) => format!("dates like \"{}\"", cells::shown(pattern)),
        (Why::NoStamp, true, None) => "dates like 2018-01-08T06:00Z".to_owned(),
        (Why::NoStamp, false, _) => format!("dates as {} writes them", file.format),
        _ => "numbers such as -15.9".to_owned(),
    };
    WeatherError::Layout {
        path: file.path.clone(),
        line,
        found: format!(
            "{shown}, the first of {count} rows whose {kind} cannot be read, beside {} that can",
            file.rows
        ),
        expected,
        next: next_step(why, generic, columns).unwrap_or_default(),
    }
}

/// Rows that are looked at one by one, and one in so many of those behind them: what is wrong with rows is wrong with most.
const LOOKED_AT: u32 = 32;
const EVERY: u32 = 61;

/// Watches for rows with more cells than their header: a comma that stands inside a number or a text without quotes moves
/// every cell behind it to another column.
#[derive(Clone, Debug)]
pub(super) struct Width {
    separator: u8,
    columns: usize,
    rows: u32,
    looked: u32,
    wider: u32,
    first: Option<(u32, String, usize)>,
}

impl Width {
    /// Of the rows below this header.
    pub(super) fn new(separator: u8, header: &[String]) -> Self {
        let mut width = Self { separator, columns: 0, rows: 0, looked: 0, wider: 0, first: None };
        width.below(header);
        width
    }

    /// A header stands between the rows, and holds from here on.
    pub(super) fn below(&mut self, header: &[String]) {
        // Reports of aviation are free text that no archive puts in quotes, and stand behind the numbers.
        let free = header.iter().any(|cell| cell.eq_ignore_ascii_case("metar"));
        self.columns = if free { usize::MAX } else { header.len() };
    }

    /// Whether the next row is one of those that are looked at.
    #[inline]
    pub(super) fn is_due(&mut self) -> bool {
        self.rows = self.rows.wrapping_add(1);
        self.rows <= LOOKED_AT || self.rows.is_multiple_of(EVERY)
    }

    /// Looks at a row.
    pub(super) fn look(&mut self, row: &[u8], line: u32) {
        let cells = cells::header(row, self.separator);
        let held = cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1);
        self.looked += 1;
        if held > self.columns {
            self.wider += 1;
            self.first.get_or_insert_with(|| {
                let row: String = cells::text(row).chars().filter(|letter| !letter.is_control()).collect();
                (line, cells::shown(&row), held)
            });
        }
    }

    /// What is to be said where one row in ten is too wide: line, found, expected, next step.
    pub(super) fn fault(&self) -> Option<(u32, String, String, &'static str)> {
        let (line, row, held) =
            self.first.as_ref().filter(|_| u64::from(self.wider) * SHARE >= u64::from(self.looked))?;
        Some((
            *line,
            format!("{held} cells in \"{row}\""),
            format!("{}, as its header has", self.columns),
            "write numbers with a decimal point, and texts that hold a comma in quotes: each comma more moves all behind it",
        ))
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_wide_by_what_it_holds_not_by_blank_cells() {
        let mut width = Width::new(b',', &["time".to_owned(), "air".to_owned()]);
        for (line, row) in
            [&b"2031-01-01T00:00Z,-15,,"[..], b"2031-01-01T01:00Z,\"-15,9\"", b"2031-01-01T02:00Z"]
                .iter()
                .enumerate()
        {
            width.look(row, u32::try_from(line).unwrap());
        }
        assert!(width.fault().is_none());
        width.look(b"2031-01-01T03:00Z,-15,9", 5);
        let (line, found, expected, _) = width.fault().unwrap();
        assert_eq!((line, &*expected), (5, "2, as its header has"));
        assert!(found.starts_with("3 cells in \"2031-01-01T03:00Z,-15,9\""), "{found}");
    }

    #[test]
    fn words_for_missing_are_no_odd_numbers() {
        let mut unread = Unread::default();
        for cell in [&b"missing"[..], b"****", b"#N/A"] {
            unread.odd_air(cell, 3);
        }
        assert_eq!((unread.odd.count, unread.shown(Why::UnreadableAir)), (0, None));
        for (cell, line) in [(&b"(15.9)"[..], 9), (b"-15.9s", 10), (b"-15*", 11), (b"-15.9 C", 12)] {
            unread.odd_air(cell, line);
        }
        assert_eq!((unread.odd, unread.lettered), (Odd { count: 1, line: 9 }, Odd { count: 3, line: 10 }));
        assert_eq!(unread.shown(Why::UnreadableAir), Some("(15.9)"));
    }
}
