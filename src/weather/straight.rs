//! Rows without quotes, cut and read in one pass: what most tables of numbers hold. Whatever is out of the ordinary is
//! left to the plain form, [`super::cells::Picker`] with [`super::scan::decimal_with`]; tests hold both equal.

use super::cells::{self, HIGHS, ONES};
use super::scan::{Civil, POWERS, Stamps};

/// Most numbers that are read of a row.
pub(super) const NUMBERS: usize = 6;

/// Digits of a number beyond which the plain form reads it: all below are whole numbers below 2^53.
const DIGITS: usize = 15;

/// What a column holds.
#[derive(Clone, Copy, Debug)]
enum Column {
    /// Nothing that is wanted.
    Unwanted,
    /// The stamp.
    Stamp,
    /// The number of that place.
    Number(usize),
    /// The name of the station, which has to be the one known already.
    Station,
}

/// How the cells of a table are written.
#[derive(Clone, Copy, Debug)]
struct Marks {
    separator: u8,
    point: u8,
    /// The separator in each byte.
    separators: u64,
    /// The point in each byte.
    points: u64,
    /// "0.0" and the separator behind it.
    nought: u64,
}

impl Marks {
    fn new(separator: u8, point: u8) -> Self {
        let [separators, points] = [separator, point].map(|mark| ONES * u64::from(mark));
        let nought = u64::from(u32::from_le_bytes([b'0', point, b'0', separator]));
        Self { separator, point, separators, points, nought }
    }
}

/// Reads rows of one layout.
#[derive(Clone, Debug)]
pub(super) struct Straight {
    marks: Marks,
    /// Up to the last wanted one.
    columns: Vec<Column>,
    stamps: Stamps,
    names_station: bool,
    /// The station known already; blank where none is.
    station: Vec<u8>,
    /// Of the row at hand; `None` where a cell is blank, or not there.
    numbers: [Option<f64>; NUMBERS],
}

impl Straight {
    /// `stamp` is the column of ISO stamps, `numbers` pair the place of a number with its column.
    pub(super) fn new(separator: u8, point: u8, stamp: usize, numbers: &[(usize, usize)]) -> Self {
        let last = numbers.iter().map(|&(_, column)| column).fold(stamp, usize::max);
        let mut columns = vec![Column::Unwanted; last + 1];
        for &(place, column) in numbers {
            debug_assert!(place < NUMBERS, "place {place}");
            columns[column] = Column::Number(place.min(NUMBERS - 1));
        }
        columns[stamp] = Column::Stamp;
        Self {
            marks: Marks::new(separator, point),
            columns,
            stamps: Stamps::default(),
            names_station: false,
            station: Vec::new(),
            numbers: [None; NUMBERS],
        }
    }

    /// The numbers of the row that was read last.
    pub(super) fn numbers(&self) -> &[Option<f64>; NUMBERS] {
        &self.numbers
    }

    /// Rows name their station in `column`.
    pub(super) fn with_station(mut self, column: usize) -> Self {
        if self.columns.len() <= column {
            self.columns.resize(column + 1, Column::Unwanted);
        }
        self.columns[column] = Column::Station;
        self.names_station = true;
        self
    }

    /// The plain form has taken a row of this station: others like it need not be looked at again.
    pub(super) fn knows_station(&mut self, cell: &[u8]) {
        if self.station != cell {
            self.station.clear();
            self.station.extend_from_slice(cell);
        }
    }

    /// The stamp of a row that holds no quotation mark, with its numbers kept; `None` where the stamp or a number is not
    /// plainly written, and the plain form has to say what it is.
    #[inline]
    pub(super) fn read(&mut self, row: &[u8]) -> Option<Civil> {
        let marks = self.marks;
        let mut civil = None;
        let mut named = false;
        let mut at = 0;
        for &column in &self.columns {
            if at > row.len() {
                // Columns that this row does not have.
                if let Column::Number(place) = column {
                    self.numbers[place] = None;
                }
                continue;
            }
            at = match column {
                Column::Unwanted => cells::find(row, at, marks.separator),
                Column::Stamp => {
                    let end = cells::find(row, at, marks.separator);
                    civil = Some(self.stamps.iso(&row[at..end])?);
                    end
                }
                Column::Station => {
                    let end = cells::find(row, at, marks.separator);
                    if self.station.is_empty() || row[at..end] != self.station {
                        return None;
                    }
                    named = true;
                    end
                }
                Column::Number(place) => {
                    let (number, end) = number(row, at, marks)?;
                    self.numbers[place] = number;
                    end
                }
            } + 1;
        }
        // A row that ends before its station is the plain form's to judge.
        civil.filter(|_| named || !self.names_station)
    }
}

impl Straight {
    /// The stamp of the line at the begin of `bytes`, which hold no quotation mark, and its length with its end: as
    /// [`Self::read`] without the search for the line's end before. `None` also where a number is long, where the line ends
    /// in a carriage return, or not at all.
    #[inline]
    pub(super) fn read_line(&mut self, bytes: &[u8]) -> Option<(Civil, usize)> {
        let marks = self.marks;
        let ends = [marks.separator, b'\n'];
        let mut civil = None;
        let mut named = false;
        let mut at = 0;
        let mut ended = false;
        for &column in &self.columns {
            if ended {
                // Columns that this row does not have.
                if let Column::Number(place) = column {
                    self.numbers[place] = None;
                }
                continue;
            }
            let end = match column {
                Column::Unwanted => cells::find_either(bytes, at, ends),
                Column::Stamp => {
                    let end = cells::find_either(bytes, at, ends);
                    civil = Some(self.stamps.iso(&bytes[at..end])?);
                    end
                }
                Column::Station => {
                    let end = cells::find_either(bytes, at, ends);
                    if self.station.is_empty() || bytes[at..end] != self.station {
                        return None;
                    }
                    named = true;
                    end
                }
                Column::Number(place) => {
                    let word = u64::from_le_bytes(*bytes.get(at..)?.first_chunk::<8>()?);
                    let (number, length) =
                        match word & 0xffff_ffff == marks.nought && marks.point != marks.separator {
                            // Every night's light.
                            true => (Some(0.0), 3),
                            false => {
                                let ends = cells::noughts(word ^ marks.separators)
                                    | cells::noughts(word ^ LINE_ENDS);
                                short_number(word, ends, marks)?
                            }
                        };
                    self.numbers[place] = number;
                    at + length as usize
                }
            };
            ended = *bytes.get(end)? == b'\n';
            at = end + 1;
        }
        if !ended {
            at = cells::find(bytes, at, b'\n') + 1;
            if at > bytes.len() {
                return None;
            }
        }
        Some((civil?, at)).filter(|_| named || !self.names_station)
    }
}

/// A line's end in each byte.
const LINE_ENDS: u64 = ONES * b'\n' as u64;

/// The number at `at` and where its cell ends; `None` where it is not plainly written.
///
/// Cells of up to seven bytes, which are nearly all, are read as one word: the separator found, the point taken out, the
/// digits weighed all at once, without a branch on any of them.
#[inline(always)]
fn number(row: &[u8], at: usize, marks: Marks) -> Option<(Option<f64>, usize)> {
    let Marks { separator, point, separators, nought, .. } = marks;
    let Some(word) = word(row, at, separators) else { return long_number(row, at, separator, point) };
    if word & 0xffff_ffff == nought && point != separator {
        // Every night's light.
        return Some((Some(0.0), at + 3));
    }
    let ends = cells::noughts(word ^ separators);
    if ends == 0 {
        return long_number(row, at, separator, point);
    }
    let (number, length) = short_number(word, ends, marks)?;
    Some((number, at + length as usize))
}

/// The number in the lowest bytes of a word and its length, where `ends` marks what ends it; `None` where nothing does, or
/// where it is not plainly written.
#[inline(always)]
fn short_number(word: u64, ends: u64, marks: Marks) -> Option<(Option<f64>, u32)> {
    let Marks { separator, point, points, .. } = marks;
    if ends == 0 {
        return None;
    }
    let length = ends.trailing_zeros() / 8;
    if length == 0 {
        return Some((None, 0));
    }
    let negative = word & 0xff == u64::from(b'-');
    let mut count = length - u32::from(negative);
    // Separators behind the cell go.
    let mut digits = (word >> (8 * u32::from(negative))) & !(u64::MAX << (8 * count));
    let mut places = 0;
    let points = cells::noughts(digits ^ points);
    if points != 0 && point != separator {
        let before = points.trailing_zeros() / 8;
        let low = !(u64::MAX << (8 * before));
        digits = (digits & low) | ((digits >> 8) & !low);
        count -= 1;
        places = count - before;
    }
    if count == 0 {
        // A lone sign or point.
        return None;
    }
    // The last digit to the highest byte; noughts before the first.
    let unused = 8 * (8 - count);
    let digits = (digits << unused) ^ ((ONES * u64::from(b'0')) << unused);
    if (digits.wrapping_add(ONES * 0x76) | digits) & HIGHS != 0 {
        // Not all of them are digits.
        return None;
    }
    let pairs = digits.wrapping_mul(10).wrapping_add(digits >> 8);
    const EVEN: u64 = 0x0000_00ff_0000_00ff;
    // Pairs weighed by 1,000,000 and 100, by 10,000 and 1.
    let whole = (pairs & EVEN)
        .wrapping_mul(0x000f_4240_0000_0064)
        .wrapping_add(((pairs >> 16) & EVEN).wrapping_mul(0x0000_2710_0000_0001))
        >> 32;
    #[expect(clippy::cast_precision_loss, reason = "seven digits")]
    let value = whole as f64 / POWERS[places as usize];
    Some((Some(if negative { -value } else { value }), length))
}

/// The eight bytes at `at`, with separators behind the row's end; `None` of a row shorter than that.
#[inline(always)]
fn word(row: &[u8], at: usize, separators: u64) -> Option<u64> {
    if let Some(word) = row.get(at..)?.first_chunk::<8>() {
        return Some(u64::from_le_bytes(*word));
    }
    let last = u64::from_le_bytes(*row.last_chunk::<8>()?);
    match 8 * (row.len() - at) {
        0 => Some(separators),
        held => Some((last >> (64 - held)) | (separators << held)),
    }
}

/// [`number`] digit by digit.
#[inline(never)]
fn long_number(row: &[u8], at: usize, separator: u8, point: u8) -> Option<(Option<f64>, usize)> {
    let negative = row.get(at) == Some(&b'-');
    let begin = at + usize::from(negative);
    let (mut end, mut whole) = digits(row, begin, 0);
    let mut count = end - begin;
    let mut places = 0;
    if point != separator && row.get(end) == Some(&point) {
        let behind = end + 1;
        (end, whole) = digits(row, behind, whole);
        places = end - behind;
        count += places;
    }
    if row.get(end).is_some_and(|&byte| byte != separator) {
        return None;
    }
    if count == 0 {
        // Nothing, not a lone sign or point.
        return (end == at).then_some((None, end));
    }
    if count > DIGITS {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "15 digits are below 2^53")]
    let value = if places == 0 { whole as f64 } else { whole as f64 / POWERS[places] };
    Some((Some(if negative { -value } else { value }), end))
}

/// Behind the digits that begin at `at`, and `whole` with them appended; meaningless beyond [`DIGITS`] of them.
#[inline]
fn digits(row: &[u8], mut at: usize, mut whole: u64) -> (usize, u64) {
    while let Some(digit) = row.get(at).map(|byte| byte.wrapping_sub(b'0'))
        && digit < 10
    {
        whole = whole.wrapping_mul(10).wrapping_add(u64::from(digit));
        at += 1;
    }
    (at, whole)
}

#[cfg(test)]
mod tests {
    use super::super::cells::Picker;
    use super::super::reading::absent;
    use super::super::scan;
    use super::*;
    use proptest::prelude::*;

    const STAMP: usize = 10;

    /// The same row by the plain form; `None` where a wanted number is not one, blanks aside.
    fn plain(
        row: &[u8],
        separator: u8,
        point: u8,
        stamp: usize,
        numbers: &[(usize, usize)],
    ) -> Option<(Civil, [Option<f64>; NUMBERS])> {
        let mut wanted = numbers.to_vec();
        wanted.push((STAMP, stamp));
        let mut picker = Picker::new(separator, &wanted);
        let cells = picker.pick(row);
        let civil = scan::iso(cells.at(STAMP))?;
        let mut found = [None; NUMBERS];
        for &(place, _) in numbers {
            let cell = cells.at(place);
            found[place] = scan::decimal_with(cell, point);
            if found[place].is_none() && !absent(cell) {
                return None;
            }
        }
        Some((civil, found))
    }

    proptest! {
        #[test]
        fn a_row_reads_as_by_the_plain_form(
            rows in prop::collection::vec(
                prop::collection::vec("(-?[0-9]{0,9}([.,][0-9]{0,9})?|[+ a-]{0,3}[0-9.]{0,4}|2031-01-0[0-9]T2[0-9]:[0-6]0(:00)?Z?)", 0..6),
                1..6),
            separator in prop::sample::select(&b",;\t"[..]), point in prop::sample::select(&b".,"[..]),
            stamp in 0..3_usize, skip in 0..2_usize,
        ) {
            let numbers: Vec<(usize, usize)> =
                (0..5).filter(|&column| column != stamp).map(|column| (column, column + skip * usize::from(column > stamp))).collect();
            let mut straight = Straight::new(separator, point, stamp, &numbers);
            for (index, mut cells) in rows.into_iter().enumerate() {
                if index % 3 < 2 && cells.len() > stamp {
                    cells[stamp] = format!("2031-01-05T{index:02}:00:00Z");
                }
                let row = cells.join(&*String::from_utf8_lossy(&[separator])).into_bytes();
                // What the fast form reads, the plain form reads alike; what it leaves, anyone may.
                if let Some(read) = straight.read(&row).map(|civil| (civil, *straight.numbers())) {
                    prop_assert_eq!(Some(read), plain(&row, separator, point, stamp, &numbers), "{}", String::from_utf8_lossy(&row));
                }
            }
        }
    }

    proptest! {
        #[test]
        fn a_line_reads_as_a_row(
            rows in prop::collection::vec(
                prop::collection::vec("(-?[0-9]{0,5}([.,][0-9]{0,3})?|0[.,]0|[0-9.]{0,9}|[ -.]{0,3}|2031-01-05T2[0-3]:00:00Z)", 0..6),
                1..6),
            line_end in prop::sample::select(&["\n", "\r\n"][..]), station in prop::option::of(0..5_usize), stamp in 0..3_usize,
            separator in prop::sample::select(&b",;"[..]), point in prop::sample::select(&b".,"[..]),
        ) {
            let numbers: Vec<(usize, usize)> =
                (0..5).filter(|&column| column != stamp && Some(column) != station).map(|column| (column, column)).collect();
            let fresh = || {
                let straight = Straight::new(separator, point, stamp, &numbers);
                match station {
                    Some(column) if column != stamp => {
                        let mut straight = straight.with_station(column);
                        straight.knows_station(b"A");
                        straight
                    }
                    _ => straight,
                }
            };
            let (mut by_lines, mut by_rows) = (fresh(), fresh());
            let mut text = Vec::new();
            for mut cells in rows {
                if cells.len() > stamp {
                    cells[stamp] = "2031-01-05T06:00:00Z".into();
                }
                if let Some(cell) = station.and_then(|column| cells.get_mut(column)) {
                    *cell = "A".into();
                }
                text.extend(cells.join(&*String::from_utf8_lossy(&[separator])).bytes().chain(line_end.bytes()));
            }
            let mut rest = &text[..];
            while !rest.is_empty() {
                let whole = cells::find(rest, 0, b'\n') + 1;
                let row = rest[..whole - 1].strip_suffix(b"\r").unwrap_or(&rest[..whole - 1]);
                let row = by_rows.read(row).map(|civil| (civil, *by_rows.numbers()));
                // What the line form reads, the row form reads alike; what it leaves, the row form may read.
                if let Some((civil, length)) = by_lines.read_line(rest) {
                    prop_assert_eq!(length, whole);
                    prop_assert_eq!(Some((civil, *by_lines.numbers())), row, "{}", String::from_utf8_lossy(rest));
                }
                rest = &rest[whole..];
            }
        }

        #[test]
        fn a_word_reads_as_digit_by_digit(
            cell in "(-?[0-9]{0,7}([.,][0-9]{0,6})?|0[.,]0|[0-9.,;:/ e+-]{0,9})", before in "[0-9]{0,9}", behind in "[0-9,;]{0,9}",
            ended in any::<bool>(), separator in prop::sample::select(&b",;"[..]), point in prop::sample::select(&b".,"[..]),
        ) {
            let end = if ended { String::new() } else { format!("{}{behind}", char::from(separator)) };
            let row = format!("{before}{}{cell}{end}", char::from(separator));
            let at = before.len() + 1;
            let (word, plain) =
                (number(row.as_bytes(), at, Marks::new(separator, point)), long_number(row.as_bytes(), at, separator, point));
            prop_assert_eq!(word, plain, "{}", &row);
            if let (Some((Some(word), _)), Some((Some(plain), _))) = (word, plain) {
                prop_assert_eq!(word.to_bits(), plain.to_bits());
            }
        }
    }

    #[test]
    fn only_rows_of_the_station_that_is_known_are_read() {
        let mut straight = Straight::new(b',', b'.', 0, &[(0, 1)]).with_station(3);
        let row = |name: &str| format!("2031-01-05T06:00:00Z,-12.5,x,{name}").into_bytes();
        assert_eq!(straight.read(&row("A")), None);
        straight.knows_station(b"A");
        assert!(straight.read(&row("A")).is_some());
        for other in ["B", "AA", " A", ""] {
            assert_eq!(straight.read(&row(other)), None, "{other}");
        }
        assert_eq!(straight.read(b"2031-01-05T06:00:00Z,-12.5"), None);
    }

    #[test]
    fn a_line_is_read_up_to_its_end_and_no_farther() {
        let mut straight = Straight::new(b',', b'.', 0, &[(0, 1), (1, 2)]);
        let text = b"2031-01-05T06:00:00Z,-12.5,0.0\n2031-01-05T07:00:00Z,1.5,7,more\n2031-01-05T08:00:00Z,1.5\n2031-01-05T09:00";
        let mut rest = &text[..];
        for expected in [[Some(-12.5), Some(0.0)], [Some(1.5), Some(7.0)], [Some(1.5), None]] {
            let (_, length) = straight.read_line(rest).unwrap_or_else(|| panic!("{rest:?}"));
            assert_eq!(straight.numbers()[..2], expected);
            rest = &rest[length..];
        }
        assert_eq!(straight.read_line(rest), None);
    }

    #[test]
    fn the_ordinary_is_read_and_the_rest_is_left() {
        let numbers = [(0, 1), (1, 3)];
        let mut straight = Straight::new(b',', b'.', 0, &numbers);
        for row in [
            "2031-01-05T06:00:00Z,-12.5,x,0.0",
            "2031-01-05T07:00:00Z,,\u{e9},812",
            "2031-01-05T08:00:00Z,-0.4",
            "2031-01-05T09:00:00Z,7.,no,.5,more",
            "2031-01-06 10:00:00Z,123456789012.345,,-",
        ] {
            let read = straight.read(row.as_bytes()).map(|civil| (civil, *straight.numbers()));
            let plain = plain(row.as_bytes(), b',', b'.', 0, &numbers);
            if row.ends_with('-') {
                assert_eq!(read, None, "{row}");
            } else {
                assert!(read.is_some(), "{row}");
                assert_eq!(read, plain, "{row}");
            }
        }
        for left in [
            "",
            "noon,1,,2",
            "2031-01-05T06:00:00Z,1e3,,",
            "2031-01-05T06:00:00Z, 1,,",
            "2031-01-05T06:00:00Z,+1,,",
        ] {
            assert_eq!(straight.read(left.as_bytes()), None, "{left}");
        }
    }
}
