//! The cells of a row: a header looked up by name once, then only the wanted cells of each row, without copying.

use std::borrow::Cow;

/// Most cells that a reader may want of a row.
pub(super) const SLOTS: usize = 24;

/// The wanted cells of one row, by slot. A cell that the row does not have is empty.
pub(super) type Cells<'r> = [&'r [u8]; SLOTS];

/// Marks a column that no slot wants.
const UNWANTED: u8 = u8::MAX;

/// Cuts rows at a separator, quote-aware, and stops behind the last wanted cell.
#[derive(Clone, Debug)]
pub(super) struct Picker {
    separator: u8,
    /// Slot of each column up to the last wanted one.
    slots: Vec<u8>,
}

impl Picker {
    /// `wanted` pairs a slot with the column that fills it; columns that do not exist are left out by the caller.
    pub(super) fn new(separator: u8, wanted: &[(usize, usize)]) -> Self {
        let mut slots = Vec::new();
        for &(slot, column) in wanted {
            debug_assert!(slot < SLOTS, "slot {slot}");
            if slots.len() <= column {
                slots.resize(column + 1, UNWANTED);
            }
            slots[column] = u8::try_from(slot).unwrap_or(UNWANTED);
        }
        Self { separator, slots }
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

    /// Whether `slot` has a column.
    #[cfg_attr(not(test), expect(dead_code, reason = "for readers whose temperature column may be absent"))]
    pub(super) fn has(&self, slot: usize) -> bool {
        self.slots.iter().any(|&held| usize::from(held) == slot)
    }

    /// Fills the slots from one row. A doubled quote inside a quoted cell stays doubled: no wanted cell holds one.
    pub(super) fn pick<'r>(&self, row: &'r [u8]) -> Cells<'r> {
        let mut cells: Cells<'r> = [&[]; SLOTS];
        let mut at = 0;
        for &slot in &self.slots {
            let Some(rest) = row.get(at..) else { break };
            let (cell, length) = first_cell(rest, self.separator);
            if let Some(place) = cells.get_mut(usize::from(slot)) {
                *place = cell;
            }
            at += length + 1;
        }
        cells
    }
}

/// Column of a header cell, blanks and case aside.
pub(super) fn position(header: &[String], name: &str) -> Option<usize> {
    header.iter().position(|cell| cell.eq_ignore_ascii_case(name))
}

/// The first cell of `row` without its quotes, and the bytes it takes up.
fn first_cell(row: &[u8], separator: u8) -> (&[u8], usize) {
    if row.first() == Some(&b'"') {
        let mut at = 1;
        while let Some(found) = row[at..].iter().position(|&byte| byte == b'"') {
            let close = at + found;
            if row.get(close + 1) == Some(&b'"') {
                at = close + 2;
                continue;
            }
            let tail = row[close + 1..].iter().position(|&byte| byte == separator);
            return (&row[1..close], tail.map_or(row.len(), |tail| close + 1 + tail));
        }
        // The quote never closes: the rest of the row is the cell.
        return (&row[1..], row.len());
    }
    let length = row.iter().position(|&byte| byte == separator).unwrap_or(row.len());
    (&row[..length], length)
}

/// All cells of a row as text, trimmed and unquoted: for headers.
pub(super) fn header(row: &[u8], separator: u8) -> Vec<String> {
    let mut cells = Vec::new();
    let mut at = 0;
    while let Some(rest) = row.get(at..) {
        let (cell, length) = first_cell(rest, separator);
        cells.push(text(cell).trim().trim_matches('"').trim().to_owned());
        at += length + 1;
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
            let picker = Picker::new(b',', &(0..cells.len()).map(|at| (at, at)).collect::<Vec<_>>());
            let ours = picker.pick(row.as_bytes());
            let ours: Vec<_> = ours[..cells.len()].iter().map(|cell| text(cell).into_owned()).collect();
            prop_assert_eq!(&ours, &plain(&row, b','));
            prop_assert_eq!(ours, cells);
        }
    }

    #[test]
    fn only_wanted_cells_are_filled() {
        let header = header(b"\"Date/Time\", b ,\xe9t\xe9", b',');
        assert_eq!(header, ["Date/Time", "b", "\u{e9}t\u{e9}"]);
        let picker = Picker::by_name(b',', &header, &[(3, &["B"]), (4, &["none"])]);
        assert!(picker.has(3) && !picker.has(4));
        assert_eq!(picker.pick(b"\"x,\"\"y\",2,3")[3], b"2");
        assert_eq!(picker.pick(b"short")[3], b"");
    }
}
