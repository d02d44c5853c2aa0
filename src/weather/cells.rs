//! The cells of a row: a header looked up by name once, then only the wanted cells of each row, without copying.

use std::borrow::Cow;

/// Most cells that a reader may want of a row.
pub(super) const SLOTS: usize = 24;

/// Where the wanted cells of a row begin and end, by slot; the last place takes those that nobody wants.
type Spans = [(u32, u32); SLOTS + 1];

/// The wanted cells of one row, by slot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cells<'r> {
    row: &'r [u8],
    spans: &'r Spans,
}

impl<'r> Cells<'r> {
    /// The cell of a slot without its quotes; empty where the row, or the table, does not have it.
    pub(super) fn at(&self, slot: usize) -> &'r [u8] {
        let (begin, end) = self.spans[slot];
        self.row.get(begin as usize..end as usize).unwrap_or_default()
    }
}

/// Cuts rows at a separator, quote-aware, and stops behind the last wanted cell.
#[derive(Clone, Debug)]
pub(super) struct Picker {
    separator: u8,
    /// Slot of each column up to the last wanted one.
    slots: Vec<u8>,
    spans: Spans,
    /// Closing quotes of the row before, column by column as long as its cells were quoted.
    edges: Vec<usize>,
}

impl Picker {
    /// `wanted` pairs a slot with the column that fills it; columns that do not exist are left out by the caller.
    pub(super) fn new(separator: u8, wanted: &[(usize, usize)]) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "24 fits")]
        const UNWANTED: u8 = SLOTS as u8;
        let mut slots = Vec::new();
        for &(slot, column) in wanted {
            debug_assert!(slot < SLOTS, "slot {slot}");
            if slots.len() <= column {
                slots.resize(column + 1, UNWANTED);
            }
            slots[column] = u8::try_from(slot).unwrap_or(UNWANTED);
        }
        Self { separator, slots, spans: [(0, 0); SLOTS + 1], edges: Vec::new() }
    }

    /// Looks each slot's header up: the first of its names that the header row holds.
    pub(super) fn by_name(separator: u8, header: &[String], names: &[(usize, &[&str])]) -> Self {
        let wanted: Vec<_> = names
            .iter()
            .filter_map(|&(slot, names)| {
                names.iter().find_map(|name| position(header, name)).map(|at| (slot, at))
            })
            .collect();
        Self::new(separator, &wanted)
    }

    /// Fills the slots from one row. A doubled quote inside a quoted cell stays doubled: no wanted cell holds one.
    pub(super) fn pick<'r>(&'r mut self, row: &'r [u8]) -> Cells<'r> {
        let known = self.known(row);
        self.edges.truncate(known);
        let mut at = self.edges.last().map_or(0, |edge| edge + 2);
        let mut slots = self.slots[known..].iter();
        for (column, &slot) in (known..).zip(slots.by_ref()) {
            let (begin, end, next) = cell(row, at, self.separator);
            if begin > at && column == self.edges.len() {
                self.edges.push(end);
            }
            // Rows are below 4 GiB by far.
            #[expect(clippy::cast_possible_truncation, reason = "see above")]
            let span = (begin as u32, end as u32);
            self.spans[usize::from(slot)] = span;
            at = next;
            if at > row.len() {
                break;
            }
        }
        // Columns that this row does not have.
        for &slot in slots {
            self.spans[usize::from(slot)] = (0, 0);
        }
        Cells { row, spans: &self.spans }
    }

    /// How many leading cells lie where those of the row before lay, so that their spans hold again.
    ///
    /// Wide archives quote every cell and pad most, so neighbouring rows are cut alike; finding that out costs less
    /// than cutting. It is proven, not guessed: the row begins with a quote, quote-separator-quote stands at each
    /// remembered edge, and no other quote stands before the last of them.
    #[inline]
    fn known(&self, row: &[u8]) -> usize {
        if self.edges.is_empty() || row.first() != Some(&b'"') {
            return 0;
        }
        let border = [b'"', self.separator, b'"'];
        let alike = self
            .edges
            .iter()
            .take_while(|&&edge| row.get(edge..).and_then(<[u8]>::first_chunk::<3>) == Some(&border))
            .count();
        match alike.checked_sub(1).map(|last| self.edges[last]) {
            Some(last) if quotes(&row[..=last]) == 2 * alike => alike,
            _ => 0,
        }
    }
}

/// Quotation marks in `bytes`.
#[inline]
pub(super) fn quotes(bytes: &[u8]) -> usize {
    // A byte-wide count lets the loop run in vector registers.
    let count = |chunk: &[u8]| chunk.iter().fold(0_u8, |count, &byte| count + u8::from(byte == b'"'));
    bytes.chunks(128).map(|chunk| usize::from(count(chunk))).sum()
}

/// A one in each byte.
pub(super) const ONES: u64 = 0x0101_0101_0101_0101;
/// The highest bit of each byte.
pub(super) const HIGHS: u64 = ONES << 7;

/// Marks at the highest bits of the bytes that are nought; only the lowest mark is sure.
#[inline]
pub(super) fn noughts(word: u64) -> u64 {
    word.wrapping_sub(ONES) & !word & HIGHS
}

/// First place of `needle` in `row` from `at` on, or the row's end; eight bytes at a time.
#[inline]
pub(super) fn find(row: &[u8], mut at: usize, needle: u8) -> usize {
    let pattern = ONES * u64::from(needle);
    while let Some(word) = row.get(at..).and_then(<[u8]>::first_chunk::<8>) {
        let found = noughts(u64::from_le_bytes(*word) ^ pattern);
        if found != 0 {
            return at + (found.trailing_zeros() / 8) as usize;
        }
        at += 8;
    }
    while at < row.len() && row[at] != needle {
        at += 1;
    }
    at
}

/// As [`find`], of either needle.
#[inline]
pub(super) fn find_either(row: &[u8], mut at: usize, needles: [u8; 2]) -> usize {
    let patterns = needles.map(|needle| ONES * u64::from(needle));
    while let Some(word) = row.get(at..).and_then(<[u8]>::first_chunk::<8>) {
        let word = u64::from_le_bytes(*word);
        // The lowest mark of both is sure, as each one's lowest is.
        let found = noughts(word ^ patterns[0]) | noughts(word ^ patterns[1]);
        if found != 0 {
            return at + (found.trailing_zeros() / 8) as usize;
        }
        at += 8;
    }
    while at < row.len() && !needles.contains(&row[at]) {
        at += 1;
    }
    at
}

/// Begin and end of the cell at `at` without its quotes, and where the next one begins.
// Called, it would hand its three numbers over in memory, where the two that make a span are read as one at once:
// that stalls for longer than the whole search takes.
#[inline(always)]
fn cell(row: &[u8], at: usize, separator: u8) -> (usize, usize, usize) {
    if row.get(at) != Some(&b'"') {
        let end = find(row, at, separator);
        return (at, end, end + 1);
    }
    let begin = at + 1;
    let mut close = find(row, begin, b'"');
    while row.get(close + 1) == Some(&b'"') {
        close = find(row, close + 2, b'"');
    }
    // Where the quote never closes, the rest of the row is the cell.
    let close = close.min(row.len());
    let next = if row.get(close + 1) == Some(&separator) { close + 1 } else { find(row, close, separator) };
    (begin, close, next + 1)
}

/// Column of a header cell, blanks and case aside.
pub(super) fn position(header: &[String], name: &str) -> Option<usize> {
    header.iter().position(|cell| cell.eq_ignore_ascii_case(name))
}

/// All cells of a row as text, trimmed and unquoted: for headers.
pub(super) fn header(row: &[u8], separator: u8) -> Vec<String> {
    let mut cells = Vec::new();
    let mut at = 0;
    while at <= row.len() {
        let (begin, end, next) = cell(row, at, separator);
        cells.push(text(&row[begin..end]).trim().trim_matches('"').trim().to_owned());
        at = next;
    }
    cells
}

/// A cell as text: UTF-8, or else the Western European code page that old archives write.
pub(super) fn text(cell: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(cell) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => encoding_rs::WINDOWS_1252.decode_without_bom_handling(cell).0,
    }
}

/// Most letters of a cell, and most names of a header, that a message repeats. Chosen wider than any real cell and short
/// enough to be read.
const SHOWN_LETTERS: usize = 80;
const SHOWN_NAMES: usize = 40;

/// A cell as a message repeats it: cut where it is long.
pub(super) fn shown(cell: &str) -> String {
    match cell.char_indices().nth(SHOWN_LETTERS) {
        Some((end, _)) => format!("{}...", &cell[..end]),
        None => cell.to_owned(),
    }
}

/// Names as a message lists them: the first of many, and how many more.
pub(super) fn listed(names: &[impl AsRef<str>]) -> String {
    let mut list =
        names.iter().take(SHOWN_NAMES).map(|name| shown(name.as_ref())).collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN_NAMES {
        list.push_str(&format!(" and {} more", names.len() - SHOWN_NAMES));
    }
    list
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// What the csv crate makes of the same row.
    fn plain(row: &str, separator: u8) -> Vec<String> {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(separator)
            .from_reader(row.as_bytes());
        let mut record = csv::ByteRecord::new();
        reader.read_byte_record(&mut record).unwrap();
        record.iter().map(|cell| String::from_utf8_lossy(cell).into_owned()).collect()
    }

    proptest! {
        #[test]
        fn cells_are_those_of_the_csv_crate(
            cells in prop::collection::vec("[a-z0-9+., -]{0,8}", 1..12), quoted in prop::collection::vec(any::<bool>(), 12)
        ) {
            prop_assume!(!cells.iter().all(String::is_empty));
            let row = cells.iter().zip(&quoted)
                .map(|(cell, &quoted)| if quoted || cell.contains(',') { format!("\"{cell}\"") } else { cell.clone() })
                .collect::<Vec<_>>().join(",");
            let mut picker = Picker::new(b',', &(0..cells.len()).map(|at| (at, at)).collect::<Vec<_>>());
            let ours = picker.pick(row.as_bytes());
            let ours: Vec<_> = (0..cells.len()).map(|slot| text(ours.at(slot)).into_owned()).collect();
            prop_assert_eq!(&ours, &plain(&row, b','));
            prop_assert_eq!(ours, cells);
        }
    }

    proptest! {
        #[test]
        fn rows_cut_alike_or_not_give_the_same_cells(rows in prop::collection::vec(
            prop::collection::vec("(\"[a,]{0,2}(\"\")?[a,]{0,2}\"|[a]{0,2})", 4), 1..6))
        {
            let wanted = [(0, 0), (1, 1), (2, 2), (3, 3)];
            let mut kept = Picker::new(b',', &wanted);
            for row in rows {
                let row = row.join(",");
                let mut fresh = Picker::new(b',', &wanted);
                let (kept, fresh) = (kept.pick(row.as_bytes()), fresh.pick(row.as_bytes()));
                for slot in 0..4 {
                    prop_assert_eq!(kept.at(slot), fresh.at(slot), "{}", &row);
                }
            }
        }
    }

    #[test]
    fn a_wall_of_text_is_cut() {
        assert_eq!(listed(&["a", "b"]), "a, b");
        assert_eq!(shown(&"\u{e9}".repeat(80)).chars().count(), 80);
        assert_eq!(shown(&"\u{e9}".repeat(81)), format!("{}...", "\u{e9}".repeat(80)));
        let many = listed(&vec!["x".repeat(1000); 42]);
        assert!(many.ends_with("x... and 2 more") && many.len() < 3500, "{many}");
    }

    #[test]
    fn only_wanted_cells_are_filled() {
        let header = header(b"\"Date/Time\", b ,\xe9t\xe9", b',');
        assert_eq!(header, ["Date/Time", "b", "\u{e9}t\u{e9}"]);
        let mut picker = Picker::by_name(b',', &header, &[(3, &["B"]), (4, &["none"])]);
        let cells = picker.pick(b"\"x,\"\"y\",2,3");
        assert_eq!((cells.at(3), cells.at(4)), (&b"2"[..], &b""[..]));
        assert_eq!(picker.pick(b"short").at(3), b"");
        assert_eq!(picker.pick(b"\"never,closed").at(3), b"");
    }
}
