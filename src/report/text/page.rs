//! Setting text: headings, wrapped paragraphs, aligned tables.

use super::{Colour, TextOptions, colour_of};
use crate::limits::Verdict;
use crate::report::clean;
use crate::report::show::{self, Units};
use comfy_table::{
    Cell, CellAlignment, ColumnConstraint, ContentArrangement, Table, TableComponent, Width, presets,
};

/// Narrowest page that is set; narrower terminals wrap by themselves.
const LEAST_WIDTH: usize = 40;
/// Widest page: longer lines of prose are hard to follow.
const MOST_WIDTH: usize = 160;
/// Ends a colour (ECMA-48 SGR 0).
const PLAIN: &str = "\u{1b}[0m";
/// Blanks per depth.
const INDENT: usize = 2;

/// Blanks between columns.
const GAP: usize = 2;
const GAP_16: u16 = 2;
/// Header of the column whose words carry colour.
const VERDICT: &str = "verdict";
/// Width of the longest verdict word with the gap behind it.
const VERDICT_WIDTH: usize = 14;

/// Alignment of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::report) enum Align {
    Left,
    Right,
}

/// A page under way.
pub(in crate::report) struct Page {
    out: String,
    width: usize,
    colour: Colour,
    pub(in crate::report) units: Units,
}

impl Page {
    pub(in crate::report) fn new(options: &TextOptions) -> Self {
        Self {
            out: String::new(),
            width: options.width.clamp(LEAST_WIDTH, MOST_WIDTH),
            colour: options.colour,
            units: options.units,
        }
    }

    pub(in crate::report) fn finish(self) -> String {
        self.out
    }

    /// Columns of the page.
    pub(in crate::report) fn width(&self) -> usize {
        self.width
    }

    /// A line as it is, blanks and all.
    pub(in crate::report) fn line(&mut self, depth: usize, text: &str) {
        self.out.push_str(&" ".repeat(depth * INDENT));
        self.out.push_str(&clean::line(text));
        self.out.push('\n');
    }

    /// "EXCEEDED  title".
    pub(in crate::report) fn verdict_line(&mut self, (word, verdict): (&str, Verdict), title: &str) {
        self.out.push_str(&self.coloured(verdict, &word.to_uppercase()));
        self.out.push_str(": ");
        self.out.push_str(&clean::line(title));
        self.out.push('\n');
    }

    fn coloured(&self, verdict: Verdict, word: &str) -> String {
        match self.colour {
            Colour::Never => word.to_owned(),
            Colour::Always => format!("{}{word}{PLAIN}", colour_of(verdict)),
        }
    }

    pub(in crate::report) fn heading(&mut self, text: &str) {
        let text = clean::line(text);
        if !self.out.is_empty() {
            self.out.push('\n');
        }
        self.out.push_str(&text);
        self.out.push('\n');
        let rule = text.chars().count().min(self.width);
        self.out.push_str(&"-".repeat(rule));
        self.out.push('\n');
    }

    pub(in crate::report) fn subheading(&mut self, text: &str) {
        self.out.push('\n');
        self.out.push_str(&clean::line(text));
        self.out.push('\n');
    }

    pub(in crate::report) fn paragraph(&mut self, depth: usize, text: &str) {
        let indent = " ".repeat(depth * INDENT);
        self.wrapped(&indent, &indent, text);
    }

    pub(in crate::report) fn bullet(&mut self, depth: usize, text: &str) {
        let indent = " ".repeat(depth * INDENT);
        self.wrapped(&format!("{indent}- "), &format!("{indent}  "), text);
    }

    /// "name: " and its text, hung under the name's first letter plus two.
    pub(in crate::report) fn named(&mut self, depth: usize, name: &str, text: &str) {
        let indent = " ".repeat(depth * INDENT);
        self.wrapped(&indent, &format!("{indent}  "), &format!("{name}: {text}"));
    }

    fn wrapped(&mut self, first: &str, rest: &str, text: &str) {
        let clean = glued(&clean::line(&show::both_scales(text, self.units)));
        let mut line = first.to_owned();
        let mut empty = true;
        for word in clean.split(' ').filter(|word| !word.is_empty()) {
            let word = word.replace(GLUE, " ");
            let length = line.chars().count() + usize::from(!empty) + word.chars().count();
            if !empty && length > self.width {
                self.out.push_str(&line);
                self.out.push('\n');
                line = rest.to_owned();
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(&word);
            empty = false;
        }
        if !empty {
            self.out.push_str(&line);
            self.out.push('\n');
        }
    }

    /// A table. Where the first header is "verdict", its words carry the colour.
    pub(in crate::report) fn table(&mut self, header: &[&str], align: &[Align], rows: Vec<Vec<String>>) {
        let rows = self.cells(rows);
        self.set(header, align, rows, &[]);
    }

    /// A table whose last column holds remarks. One that does not fit beside its row in one line stands below it instead, as
    /// wide as the page: a narrow column of prose reads badly.
    pub(in crate::report) fn remarked(&mut self, header: &[&str], align: &[Align], rows: Vec<Vec<String>>) {
        let mut rows = self.cells(rows);
        let last = header.len().saturating_sub(1);
        let others: usize = (0..last).map(|column| whole_width(header, &rows, column) + 1).sum();
        let room = self.width.saturating_sub(others + GAP);
        let is_long = |remark: &str| remark.chars().count() > room;
        let too_narrow = word_widths(header, &rows).iter().sum::<usize>() + header.len() > self.width + 1;
        if too_narrow || !rows.iter().filter_map(|row| row.get(last)).any(|remark| is_long(remark)) {
            self.set(header, align, rows, &[]);
            return;
        }
        let below: Vec<String> = rows
            .iter_mut()
            .map(|row| match row.get_mut(last) {
                Some(remark) if is_long(remark) => std::mem::take(remark),
                _ => String::new(),
            })
            .collect();
        let all_below = rows.iter().filter_map(|row| row.get(last)).all(String::is_empty);
        if all_below {
            rows.iter_mut().for_each(|row| row.truncate(last));
        }
        let columns = if all_below { last } else { header.len() };
        self.set(&header[..columns], &align[..columns], rows, &below);
    }

    fn cells(&self, rows: Vec<Vec<String>>) -> Vec<Vec<String>> {
        let cell = |text: String| glued(&clean::line(&show::both_scales(&text, self.units)));
        rows.into_iter().map(|row| row.into_iter().map(cell).collect()).collect()
    }

    /// The table; behind each row what stands below it, where there is any.
    fn set(&mut self, header: &[&str], align: &[Align], rows: Vec<Vec<String>>, below: &[String]) {
        if rows.is_empty() {
            return;
        }
        let words = word_widths(header, &rows);
        let widths = roomy_widths(header, &rows, &words, self.width + 1 - header.len().min(self.width));
        // Between two columns stands one more blank: the table's own.
        if words.iter().sum::<usize>() + header.len() > self.width + 1 {
            self.stacked(header, &rows);
            return;
        }
        let mut table = Table::new();
        table
            .load_preset(presets::NOTHING)
            .set_content_arrangement(ContentArrangement::Dynamic)
            .set_width(u16::try_from(self.width).unwrap_or(u16::MAX));
        if !below.is_empty() {
            table.set_style(TableComponent::HorizontalLines, BETWEEN);
            table.set_style(TableComponent::MiddleIntersections, BETWEEN);
        }
        table.set_style(TableComponent::HeaderLines, '-');
        table.set_style(TableComponent::MiddleHeaderIntersections, ' ');
        table.set_header(header.iter().zip(align).map(|(name, align)| cell(name, *align)));
        for row in rows {
            table.add_row(row.iter().zip(align).map(|(text, align)| cell(text, *align)));
        }
        for (index, column) in table.column_iter_mut().enumerate() {
            column.set_padding((0, GAP_16));
            // Whole words: a verdict is looked for below and read first, and broken names read badly.
            let least = u16::try_from(widths.get(index).copied().unwrap_or(0)).unwrap_or(u16::MAX);
            column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
        }
        let verdicts = header.first() == Some(&VERDICT);
        let indent = " ".repeat(INDENT);
        let under = " ".repeat(INDENT * 4);
        let mut below = below.iter();
        for (index, line) in table.lines().enumerate() {
            if line.contains(BETWEEN) {
                let remark = below.next().map_or("", String::as_str);
                self.wrapped(&under, &under, &remark.replace(GLUE, " "));
                continue;
            }
            // The rule below the header covers the last column's gap too, which would be beyond the page.
            let is_rule = !line.is_empty() && line.chars().all(|c| c == '-' || c == ' ');
            let line = match line.get(..self.width.saturating_sub(INDENT)) {
                Some(cut) if is_rule => cut.to_owned(),
                _ => line.trim_end().replace(GLUE, " "),
            };
            let line = line.as_str();
            self.out.push_str(&indent);
            let painted = (verdicts && index > 1).then(|| self.painted(line)).flatten();
            self.out.push_str(painted.as_deref().unwrap_or(line));
            self.out.push('\n');
        }
        if let Some(remark) = below.next() {
            self.wrapped(&under, &under, &remark.replace(GLUE, " "));
        }
    }

    /// A table as a list, for pages too narrow for it: "- first cell; header: cell; ...".
    fn stacked(&mut self, header: &[&str], rows: &[Vec<String>]) {
        let indent = " ".repeat(INDENT);
        for row in rows {
            let mut parts = vec![row.first().cloned().unwrap_or_default()];
            for (name, cell) in header.iter().zip(row).skip(1) {
                if !cell.is_empty() && cell != "-" {
                    parts.push(format!("{name}: {cell}"));
                }
            }
            let start = self.out.len();
            let text = parts.join("; ").replace(GLUE, " ");
            self.wrapped(&format!("{indent}- "), &format!("{indent}  "), &text);
            if header.first() == Some(&VERDICT) {
                let body = start + INDENT + 2;
                if let Some(painted) = self.out.get(body..).and_then(|line| self.painted(line)) {
                    self.out.truncate(body);
                    self.out.push_str(&painted);
                }
            }
        }
    }

    /// The line with its leading verdict word coloured, if it begins with one.
    fn painted(&self, line: &str) -> Option<String> {
        let all = [Verdict::Within, Verdict::Close, Verdict::NotAssessed, Verdict::NotMet, Verdict::Exceeded];
        all.into_iter().find_map(|verdict| {
            let word = show::verdict(verdict);
            let rest = line.strip_prefix(word)?;
            (rest.is_empty() || rest.starts_with([' ', ';', '\n']))
                .then(|| format!("{}{rest}", self.coloured(verdict, word)))
        })
    }
}

/// Marks the line between two rows while a table is set, where what stands below the first is put.
const BETWEEN: char = '\u{1}';

/// Stands for the blank between a number and its unit while a table is set, so that they stay on one line.
const GLUE: char = '\u{a0}';

/// The text with its units glued to their numbers.
fn glued(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split(' ') {
        let unit = word.trim_end_matches([',', ';', ')', '.']);
        let is_unit = matches!(unit, "V" | "A" | "%" | "K" | "h" | "m" | "ft" | "°C" | "°F" | "W/m2");
        if !out.is_empty() {
            out.push(if is_unit && out.ends_with(|c: char| c.is_ascii_digit()) { GLUE } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// Width that each column needs so that no word is broken, its gap included.
fn word_widths(header: &[&str], rows: &[Vec<String>]) -> Vec<usize> {
    let longest = |text: &str| text.split(' ').map(|word| word.chars().count()).max().unwrap_or(0);
    let width = |(index, name): (usize, &&str)| {
        let cells = rows.iter().filter_map(|row| row.get(index)).map(|cell| longest(cell));
        let verdict = if *name == VERDICT { VERDICT_WIDTH } else { 0 };
        (cells.fold(longest(name), usize::max) + GAP).max(verdict)
    };
    header.iter().enumerate().map(width).collect()
}

/// Width of a column whose cells stand in one line, its gap included.
fn whole_width(header: &[&str], rows: &[Vec<String>], index: usize) -> usize {
    let cells = rows.iter().filter_map(|row| row.get(index)).map(|cell| cell.chars().count());
    cells.fold(header[index].chars().count(), usize::max) + GAP
}

/// The same, and whole lines wherever there is room for them: narrow columns first, so that names stay on one line and prose
/// wraps.
fn roomy_widths(header: &[&str], rows: &[Vec<String>], words: &[usize], room: usize) -> Vec<usize> {
    let mut widths = words.to_vec();
    let mut left = room.saturating_sub(words.iter().sum());
    let mut wants: Vec<(usize, usize)> = (0..words.len())
        .map(|index| (whole_width(header, rows, index).saturating_sub(words[index]), index))
        .collect();
    wants.sort_unstable();
    for (more, index) in wants {
        if more <= left {
            widths[index] += more;
            left -= more;
        }
    }
    widths
}

fn cell(text: &str, align: Align) -> Cell {
    Cell::new(text).set_alignment(match align {
        Align::Left => CellAlignment::Left,
        Align::Right => CellAlignment::Right,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::text::TextOptions;

    #[test]
    fn a_long_remark_stands_below_its_row_and_a_short_one_beside_it() {
        let set = |remark: &str| {
            let mut page = Page::new(&TextOptions { width: 60, ..TextOptions::default() });
            let row = |words: [&str; 3]| words.map(str::to_owned).to_vec();
            page.remarked(
                &["verdict", "component", "remark"],
                &[Align::Left; 3],
                vec![
                    row(["within", "switch", remark]),
                    row(["close", "plug", ""]),
                    row(["within", "cable", "thin"]),
                ],
            );
            page.finish()
        };
        let beside = set("opens two poles");
        assert!(beside.contains("switch") && beside.contains("   opens two poles\n"), "{beside}");
        let long = "opens two poles at once, as the array is not earthed anywhere";
        let below = set(long);
        let lines: Vec<&str> = below.lines().map(str::trim_end).collect();
        assert_eq!(
            lines[2..],
            [
                "  within         switch",
                "        opens two poles at once, as the array is not earthed",
                "        anywhere",
                "  close          plug",
                "  within         cable       thin",
            ]
        );
    }

    #[test]
    fn no_unit_stands_alone_on_a_line() {
        for width in 40..=110 {
            let mut page = Page::new(&TextOptions { width, ..TextOptions::default() });
            let row = |words: &[&str]| words.iter().map(|&word| word.to_owned()).collect::<Vec<_>>();
            page.table(
                &["verdict", "component", "figure", "chance"],
                &[Align::Left, Align::Left, Align::Right, Align::Right],
                vec![row(&["within", "a disconnect of 50 V on the roof", "52.7 V", "0 % (0 % to 11 %)"])],
            );
            for line in page.finish().lines() {
                let first = line.trim_start().trim_start_matches("- ").split(' ').next();
                assert!(!matches!(first, Some("V" | "%" | "%)")), "{width}: {line}");
                assert!(!line.contains(GLUE) && line.chars().count() <= width + INDENT, "{width}: {line}");
            }
        }
    }
}
