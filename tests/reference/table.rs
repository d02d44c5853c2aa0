//! Reading a reference table: comments, a header, rows of equal length; anything else fails.

use std::path::Path;

/// A table of `tests/reference/`.
pub struct Table {
    name: String,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads a table and insists on its number of rows.
    pub fn read(name: &str, rows: usize) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
        let text =
            std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let table = Self::parse(name, &text);
        assert_eq!(table.rows.len(), rows, "{name}: rows");
        table
    }

    /// Parses a table; a row of another length than the header's fails.
    pub fn parse(name: &str, text: &str) -> Self {
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        let split = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
        let header = split(lines.next().unwrap_or_else(|| panic!("{name}: empty")));
        let rows: Vec<Vec<String>> = lines.map(split).collect();
        for (index, row) in rows.iter().enumerate() {
            assert_eq!(row.len(), header.len(), "{name}: row {index} is malformed");
        }
        Self { name: name.to_owned(), header, rows }
    }

    /// Its rows.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        (0..self.rows.len()).map(move |index| Row { table: self, index })
    }
}

/// One row.
pub struct Row<'table> {
    table: &'table Table,
    index: usize,
}

impl Row<'_> {
    /// A cell as text.
    pub fn text(&self, column: &str) -> &str {
        let at = self.table.header.iter().position(|name| name == column);
        let at = at.unwrap_or_else(|| panic!("{}: no column {column}", self.table.name));
        &self.table.rows[self.index][at]
    }

    /// A cell as a finite number.
    pub fn number(&self, column: &str) -> f64 {
        self.optional(column).unwrap_or_else(|| panic!("{}: empty", self.at(column)))
    }

    /// A cell as a finite number, `None` where it is blank.
    pub fn optional(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        let number: f64 = text.parse().unwrap_or_else(|_| panic!("{}: \"{text}\"", self.at(column)));
        assert!(number.is_finite(), "{}: {number}", self.at(column));
        Some(number)
    }

    /// Where it stands, for messages.
    pub fn at(&self, what: &str) -> String {
        format!("{} row {} {what}", self.table.name, self.index)
    }
}

#[test]
#[should_panic(expected = "row 1 is malformed")]
fn a_malformed_row_fails() {
    let _ = Table::parse("invented.csv", "# comment\na,b\n1,2\n3\n");
}

#[test]
#[should_panic(expected = "row 0 b")]
fn a_word_for_a_number_fails() {
    let table = Table::parse("invented.csv", "a,b\n1,two\n");
    let _ = table.rows().next().map(|row| row.number("b"));
}
