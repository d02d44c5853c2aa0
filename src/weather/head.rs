//! The first lines of a file, from which its format is told.

use super::cells;

/// Bytes of a file that detection looks at. Chosen because the longest known preamble has about 25 KiB.
pub(super) const HEAD_BYTES: usize = 64 << 10;
/// Lines that detection looks at, at most.
const HEAD_LINES: usize = 400;

/// The first lines of a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Head {
    /// Lines that are not blank, decoded.
    pub lines: Vec<String>,
}

impl Head {
    /// From the first bytes.
    pub(super) fn new(bytes: &[u8]) -> Self {
        let lines = bytes
            .split(|&byte| byte == b'\n')
            .map(|line| cells::text(line).trim_end().to_owned())
            .filter(|line| !line.trim().is_empty())
            .take(HEAD_LINES)
            .collect();
        Self { lines }
    }

    /// Line `at`, counted from 0 without blank ones; empty where there is none.
    pub(super) fn line(&self, at: usize) -> &str {
        self.lines.get(at).map_or("", String::as_str)
    }

    /// The cells of line `at`.
    pub(super) fn cells(&self, at: usize, separator: u8) -> Vec<String> {
        cells::header(self.line(at).as_bytes(), separator)
    }

    /// Whether the cells of line `at` hold all of `names`, case aside.
    pub(super) fn has_cells(&self, at: usize, separator: u8, names: &[&str]) -> bool {
        let cells = self.cells(at, separator);
        names.iter().all(|name| cells::position(&cells, name).is_some())
    }
}
