//! Logical rows of a text file, read in blocks: one line, or several where a quoted cell holds line breaks.

use super::WeatherError;
use super::cells;
use super::source::FILE_LIMIT;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

/// Bytes asked for at once. Chosen because larger blocks bring nothing (measured) and it fits the second-level
/// cache.
const BLOCK: usize = 256 << 10;

/// Longest row that is read. Chosen because the widest known layout has about 16 KiB a row.
const ROW_LIMIT: usize = 1 << 20;

/// Most lines that one quoted cell may span before the quote is taken for a stray one. Chosen because remarks in
/// weather files hold at most a few lines.
const QUOTED_LINES: u32 = 64;

/// Whether a quotation mark protects line breaks and separators.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quotes {
    /// As in CSV.
    Honoured,
    /// The format knows no quotes.
    Plain,
}

/// One logical row without its line end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row<'a> {
    /// Its bytes.
    pub bytes: &'a [u8],
    /// Its first line, counted from 1.
    pub line: u32,
    /// Whether it is known to hold no quotation mark; where quotes mean nothing it is not asked.
    pub unquoted: bool,
}

/// Reads rows. Holds one block, whatever the size of the file.
pub(super) struct Rows<'a> {
    input: Box<dyn Read + 'a>,
    path: PathBuf,
    buffer: Vec<u8>,
    at: usize,
    filled: usize,
    ended: bool,
    total: u64,
    line: u32,
    /// No quotation mark stands in the buffer between the row at hand and this place.
    clear_to: usize,
    /// Length of the line before.
    usual: usize,
    /// Whether quotes count; readers set it before the first row.
    pub quotes: Quotes,
}

/// A row as found in the buffer.
struct Found {
    /// Bytes without the line end.
    length: usize,
    /// Lines that it spans.
    lines: u32,
    /// Bytes to pass over with its line end.
    consumed: usize,
    unquoted: bool,
}

impl<'a> Rows<'a> {
    /// Starts at the first byte of `input`.
    pub(super) fn new(input: Box<dyn Read + 'a>, path: &Path) -> Self {
        Self {
            input,
            path: path.to_path_buf(),
            buffer: vec![0; BLOCK],
            at: 0,
            filled: 0,
            ended: false,
            total: 0,
            line: 0,
            clear_to: 0,
            usual: 0,
            quotes: Quotes::Honoured,
        }
    }

    /// At least the first `wanted` bytes of the file, or all of it where it is shorter. Consumes nothing.
    pub(super) fn peek(&mut self, wanted: usize) -> Result<&[u8], WeatherError> {
        while self.filled - self.at < wanted && !self.ended {
            self.fill()?;
        }
        Ok(&self.buffer[self.at..self.filled])
    }

    /// Passes over bytes that [`Self::peek`] has shown.
    pub(super) fn skip(&mut self, bytes: usize) {
        self.at = (self.at + bytes).min(self.filled);
    }

    /// The next row that is not blank.
    pub(super) fn next(&mut self) -> Result<Option<Row<'_>>, WeatherError> {
        loop {
            let Some(found) = self.scan()? else { return Ok(None) };
            let Found { length, lines, consumed, unquoted } = found;
            let start = self.at;
            self.at += consumed;
            let line = self.line + 1;
            self.line = self.line.saturating_add(lines);
            let mut end = start + length;
            if end > start && self.buffer[end - 1] == b'\r' {
                end -= 1;
            }
            if self.buffer[start..end].iter().any(|&byte| !matches!(byte, b' ' | b'\t' | b'\r')) {
                return Ok(Some(Row { bytes: &self.buffer[start..end], line, unquoted }));
            }
        }
    }

    /// Bytes from the row at hand on that are known to hold no quotation mark; the last line may be cut.
    pub(super) fn clear(&self) -> &[u8] {
        let end = if self.quotes == Quotes::Honoured { self.clear_to.min(self.filled) } else { 0 };
        self.buffer.get(self.at..end).unwrap_or_default()
    }

    /// Passes over a line that [`Self::clear`] has shown, `length` bytes with its end; gives its number.
    pub(super) fn pass_line(&mut self, length: usize) -> u32 {
        self.at += length;
        self.line = self.line.saturating_add(1);
        self.line
    }

    /// The row at hand.
    fn scan(&mut self) -> Result<Option<Found>, WeatherError> {
        let alone = |length: usize| Found { length, lines: 1, consumed: length + 1, unquoted: false };
        let mut seen = 0;
        let mut open = false;
        let mut unquoted = true;
        let mut lines = 0;
        let mut first = None;
        loop {
            let window = &self.buffer[self.at + seen..self.filled];
            if let Some(found) = line_end(window, self.usual) {
                self.usual = found;
                if self.quotes == Quotes::Honoured && !self.is_clear(seen, found) {
                    unquoted = false;
                    let window = &self.buffer[self.at + seen..self.at + seen + found];
                    open ^= cells::quotes(window) % 2 == 1;
                }
                seen += found + 1;
                lines += 1;
                if !open {
                    return Ok(Some(Found { length: seen - 1, lines, consumed: seen, unquoted }));
                }
                let first = *first.get_or_insert(seen);
                if lines >= QUOTED_LINES {
                    return Ok(Some(alone(first - 1)));
                }
                continue;
            }
            let held = self.filled - self.at;
            if self.ended {
                return Ok(match first {
                    // The quote never closes: it is a stray one, and the line stands alone.
                    Some(first) if open => Some(alone(first - 1)),
                    // The last line, without its end.
                    _ => (held > 0).then_some(Found {
                        length: held,
                        lines: lines + 1,
                        consumed: held,
                        unquoted: false,
                    }),
                });
            }
            if held - seen > ROW_LIMIT {
                return Err(WeatherError::LongLine {
                    path: self.path.clone(),
                    line: self.line + lines + 1,
                    limit_kib: ROW_LIMIT >> 10,
                });
            }
            if held > ROW_LIMIT
                && let Some(first) = first
            {
                return Ok(Some(alone(first - 1)));
            }
            self.fill()?;
        }
    }

    /// Whether no quotation mark stands in the `length` bytes from `seen` behind the row's begin on. Where the buffer
    /// holds none for a long way it is searched once, not row by row.
    #[inline]
    fn is_clear(&mut self, seen: usize, length: usize) -> bool {
        let begin = self.at + seen;
        if begin + length <= self.clear_to {
            return true;
        }
        // Wide archives quote every cell: there the first byte tells.
        if self.buffer[begin] == b'"' {
            return false;
        }
        let held = &self.buffer[begin..self.filled];
        self.clear_to = begin + memchr::memchr(b'"', held).unwrap_or(held.len());
        begin + length <= self.clear_to
    }

    fn fill(&mut self) -> Result<(), WeatherError> {
        if self.at > 0 {
            self.buffer.copy_within(self.at..self.filled, 0);
            self.filled -= self.at;
            self.clear_to = self.clear_to.saturating_sub(self.at);
            self.at = 0;
        }
        if self.filled == self.buffer.len() {
            self.buffer.resize(self.buffer.len() * 2, 0);
        }
        let count = loop {
            match self.input.read(&mut self.buffer[self.filled..]) {
                Ok(count) => break count,
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(source) => return Err(self.broken(source)),
            }
        };
        self.ended = count == 0;
        self.filled += count;
        self.total += count as u64;
        if self.total > FILE_LIMIT {
            return Err(WeatherError::TooBig { path: self.path.clone(), limit_mib: FILE_LIMIT >> 20 });
        }
        Ok(())
    }

    fn broken(&self, source: std::io::Error) -> WeatherError {
        let path = self.path.clone();
        match source.kind() {
            ErrorKind::UnexpectedEof | ErrorKind::InvalidData | ErrorKind::InvalidInput => {
                WeatherError::Damaged { path, line: self.line + 1, detail: source.to_string() }
            }
            ErrorKind::IsADirectory => WeatherError::Folder { path },
            _ => WeatherError::Unreadable { path, source },
        }
    }
}

/// Lines up to this length are searched word by word: calling the search for long ones costs more. Measured.
const SHORT: usize = 64;

/// Place of the line's end in `window`, where lines are about `usual` long.
#[inline]
fn line_end(window: &[u8], usual: usize) -> Option<usize> {
    if usual > SHORT {
        return memchr::memchr(b'\n', window);
    }
    let near = &window[..window.len().min(2 * SHORT)];
    match cells::find(near, 0, b'\n') {
        found if found < near.len() => Some(found),
        passed => memchr::memchr(b'\n', &window[passed..]).map(|found| passed + found),
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn rows(text: &str, quotes: Quotes) -> Vec<(u32, String)> {
        let mut rows = Rows::new(Box::new(text.as_bytes()), Path::new("invented.csv"));
        rows.quotes = quotes;
        let mut all = Vec::new();
        while let Some(row) = rows.next().unwrap() {
            all.push((row.line, String::from_utf8_lossy(row.bytes).into_owned()));
        }
        all
    }

    #[test]
    fn a_quoted_line_break_does_not_end_a_row() {
        let text = "a,b\r\n1,\"two\nlines\"\n\n2,x";
        assert_eq!(
            rows(text, Quotes::Honoured),
            [(1, "a,b".into()), (2, "1,\"two\nlines\"".into()), (5, "2,x".into())]
        );
        assert_eq!(rows(text, Quotes::Plain).len(), 4);
    }

    #[test]
    fn a_stray_quote_costs_one_row_at_most() {
        let text = format!("1,stray\"\n{}", "2,x\n".repeat(100));
        let rows = rows(&text, Quotes::Honoured);
        assert_eq!(rows.len(), 101);
        assert_eq!(rows[0], (1, "1,stray\"".into()));
        assert_eq!(rows[100].0, 101);
    }

    #[test]
    fn lines_of_any_length_end_where_they_end() {
        for length in 0..400 {
            let text = format!("{}\nrest\n", "x".repeat(length));
            for usual in [0, SHORT, SHORT + 1] {
                assert_eq!(line_end(text.as_bytes(), usual), Some(length));
                assert_eq!(line_end(&text.as_bytes()[..length], usual), None);
            }
        }
    }

    #[test]
    fn a_line_without_end_is_refused_within_bounds() {
        let input = std::io::repeat(b'x').take(10 << 20);
        let mut rows = Rows::new(Box::new(input), Path::new("invented.csv"));
        assert!(matches!(rows.next(), Err(WeatherError::LongLine { line: 1, .. })));
        assert!(rows.buffer.len() <= 4 * ROW_LIMIT);
    }
}
