//! What is wrong in a plan, where, and how it is shown: path, line, column, the line itself, the next step.

use std::fmt::Write as _;
use std::ops::Range;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Faults shown at once; more would scroll the first one away.
const SHOWN_FAULTS: usize = 12;
/// Characters of a plan's line shown beneath a message, chosen because a terminal is 80 to 100 wide.
const EXCERPT_CHARS: usize = 88;

/// Why a plan could not be used.
#[derive(Debug, Error)]
pub enum PlanError {
    /// There is nothing at that path.
    #[error("{}: no such file; {advice}", clean(.path))]
    NotFound {
        /// The path as given.
        path: PathBuf,
        /// What lies near, and what to do.
        advice: String,
    },
    /// The path names a folder.
    #[error("{}: this is a folder, and a plan is a file; {advice}", clean(.path))]
    Folder {
        /// The path as given.
        path: PathBuf,
        /// What lies in it, and what to do.
        advice: String,
    },
    /// The system refuses to read the file.
    #[error("{}: cannot be read: {source}; check that the file may be read and that no other program holds it", clean(.path))]
    Unreadable {
        /// The path as given.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The file is something else.
    #[error("{}: {found}; expected a plan, which is a text file (TOML) that begins like `title = \"Winter loop\"`; {advice}", clean(.path))]
    NotAPlan {
        /// The path as given.
        path: PathBuf,
        /// What it looks like.
        found: String,
        /// What to do.
        advice: String,
    },
    /// The text was read and something in it is wrong.
    #[error("{}", shown(.path, .faults))]
    Faults {
        /// The path as given.
        path: PathBuf,
        /// At least one, in the order of the file.
        faults: Vec<Fault>,
    },
}

/// One thing that is wrong in a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where; `None` where the plan as a whole lacks something.
    pub at: Option<Position>,
    /// What was found, what is expected, the next step.
    pub message: String,
}

/// A place in the text of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The part of that line around the column, made harmless for a terminal.
    pub excerpt: String,
    /// Characters of `excerpt` before the marked part.
    pub mark: usize,
    /// Characters marked, at least 1.
    pub width: usize,
}

impl Position {
    /// The position of the bytes `span` of `text`.
    pub(super) fn of(text: &str, span: &Range<usize>) -> Self {
        let start = floor_char(text, span.start);
        let end = floor_char(text, span.end.max(start));
        let line_start = text[..start].rfind('\n').map_or(0, |i| i + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |i| start + i);
        let line = text[..start].matches('\n').count() + 1;
        let before = text[line_start..start].trim_start_matches('\u{feff}').chars().count();
        let marked = text[start..end.min(line_end)].chars().count().max(1);
        let whole: Vec<char> = text[line_start..line_end]
            .trim_start_matches('\u{feff}')
            .trim_end_matches('\r')
            .chars()
            .collect();
        let from = if before < EXCERPT_CHARS * 3 / 4 { 0 } else { before.saturating_sub(EXCERPT_CHARS / 2) };
        let to = whole.len().min(from + EXCERPT_CHARS);
        let from = from.min(to);
        let excerpt: String = whole[from..to].iter().map(|&c| harmless(c)).collect();
        let mark = before.saturating_sub(from);
        let width = marked.min(EXCERPT_CHARS.saturating_sub(mark).max(1));
        Self { line, column: before + 1, excerpt, mark, width }
    }
}

/// The nearest boundary of a character at or before `index`.
fn floor_char(text: &str, index: usize) -> usize {
    let mut index = index.min(text.len());
    while !text.is_char_boundary(index) {
        index -= 1;
    }
    index
}

/// A character as it may go to a terminal: controls and marks that turn the writing direction do not.
fn harmless(c: char) -> char {
    match c {
        '\t' | '\u{a0}' => ' ',
        c if c.is_control()
            || ('\u{202a}'..='\u{202e}').contains(&c)
            || ('\u{2066}'..='\u{2069}').contains(&c) =>
        {
            '\u{fffd}'
        }
        c => c,
    }
}

/// A path as a message shows it.
fn clean(path: &Path) -> String {
    path.to_string_lossy().chars().map(harmless).collect()
}

/// A message with what it repeats of the plan made harmless and cut.
pub(super) fn told(message: &str) -> String {
    /// Chosen so that a message with all known keys of a table is never cut.
    const LONGEST: usize = 700;
    let mut told: String = message.chars().take(LONGEST).map(harmless).collect();
    if message.chars().nth(LONGEST).is_some() {
        told.push_str("...");
    }
    told
}

/// Text of a user's file as it may stand inside a message: quoted, harmless, cut.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let clean: String = text.chars().map(harmless).collect();
    if clean.chars().count() > LONGEST {
        format!("\"{}...\"", clean.chars().take(LONGEST).collect::<String>())
    } else {
        format!("\"{clean}\"")
    }
}

fn shown(path: &Path, faults: &[Fault]) -> String {
    let mut out = String::new();
    for (index, fault) in faults.iter().take(SHOWN_FAULTS).enumerate() {
        if index > 0 {
            out.push_str("\n\n");
        }
        // writing into a string cannot go wrong
        let _ = match &fault.at {
            Some(at) => {
                let number = at.line.to_string();
                let gutter = " ".repeat(number.len());
                write!(
                    out,
                    "{}:{}:{}: {}\n  {number} | {}\n  {gutter} | {}{}",
                    clean(path),
                    at.line,
                    at.column,
                    fault.message,
                    at.excerpt,
                    " ".repeat(at.mark),
                    "^".repeat(at.width)
                )
            }
            None => write!(out, "{}: {}", clean(path), fault.message),
        };
    }
    if faults.len() > SHOWN_FAULTS {
        let _ = write!(out, "\n\nand {} more; mend these first", faults.len() - SHOWN_FAULTS);
    }
    out
}

/// The nearest of `known` to `typed`, where one is near enough to be meant.
pub(super) fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    /// Chosen because `voc` and `voc_v`, `panels_in_series` and `in_series` are the same to a reader,
    /// while `title` and `tilt_deg` are not.
    const NEAR: f64 = 0.62;
    let typed = typed.to_lowercase().replace(['-', ' '], "_");
    known
        .into_iter()
        .map(|name| {
            let plain = name.to_lowercase().replace(['-', ' '], "_");
            let bare = plain.rsplit_once('_').map_or(plain.as_str(), |(bare, _)| bare);
            let score = if bare == typed || typed.ends_with(&format!("_{plain}")) {
                0.95
            } else if typed.starts_with(&format!("{plain}_")) {
                0.9
            } else {
                strsim::normalized_damerau_levenshtein(&plain, &typed)
            };
            (score, name)
        })
        .filter(|(score, _)| *score >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// Names as a sentence lists them: "a", "a or b", "a, b or c".
pub(super) fn either<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", first.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_position_counts_characters_and_lines_from_one() {
        let text = "a = 1\nplace = \"Tromsø\" # x\n";
        let start = text.find('#').unwrap_or(0);
        let at = Position::of(text, &(start..start + 1));
        assert_eq!((at.line, at.column, at.mark, at.width), (2, 18, 17, 1));
        assert_eq!(at.excerpt, "place = \"Tromsø\" # x");
    }

    #[test]
    fn a_long_line_is_cut_around_the_mark() {
        let text = format!("a = \"{}\" !", "x".repeat(500));
        let start = text.find('!').unwrap_or(0);
        let at = Position::of(&text, &(start..start + 1));
        assert_eq!(at.column, start + 1);
        assert_eq!(at.excerpt.chars().nth(at.mark), Some('!'));
        assert!(at.excerpt.chars().count() <= EXCERPT_CHARS);
    }

    #[test]
    fn the_nearest_name_is_one_that_a_reader_would_guess() {
        let known = ["voc_v", "isc_a", "vmp_v", "cells_in_series", "technology", "air", "air_unit"];
        for (typed, meant) in [
            ("voc", Some("voc_v")),
            ("Voc_V", Some("voc_v")),
            ("isc-a", Some("isc_a")),
            ("cell_in_series", Some("cells_in_series")),
            ("tecnology", Some("technology")),
            ("air_temp", Some("air")),
            ("price", None),
        ] {
            assert_eq!(nearest(typed, known), meant, "{typed}");
        }
    }

    #[test]
    fn nothing_that_moves_a_cursor_reaches_a_message() {
        assert_eq!(quoted("a\u{1b}[2Jb\u{202e}"), "\"a\u{fffd}[2Jb\u{fffd}\"");
    }
}
