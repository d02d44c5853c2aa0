//! The journal of a survey: one line a finished station, appended as it is finished.
//!
//! A run may be killed between any two bytes. A line counts once its line break is written; a torn last line is cut off
//! before the next run appends. Nothing else is ever changed in place, so what the journal holds is always whole.

use crate::cli::CliError;
use crate::cli::files::survey_folder;
use crate::study::survey::SurveyRow;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Name of the journal in the folder of a survey, by which the folder is known as one.
const NAME: &str = ".dawnvolt-survey.jsonl";

/// What is kept of one station.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Entry {
    /// Its key.
    pub station: String,
    /// What its rows rest on, as one number: version, plan, place, and the bytes of its files.
    pub inputs: String,
    /// Its rows; none where it could not be used.
    pub rows: Vec<SurveyRow>,
    /// Why it could not be used.
    pub fault: Option<String>,
    /// Whether that is because nothing says where it stands.
    #[serde(default)]
    pub placeless: bool,
}

/// Where a line of the journal lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slot {
    at: u64,
    length: usize,
}

/// An open journal; a second run on the same folder is refused.
#[derive(Debug)]
pub(super) struct Journal {
    path: PathBuf,
    file: Mutex<File>,
    held: HashMap<String, (u64, String, usize)>,
}

/// What happens to the lines of an earlier run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Earlier {
    /// They are used where the inputs are the same.
    Resumed,
    /// They are dropped.
    Dropped,
}

impl Journal {
    /// Opens the journal of `folder`, which must be new, empty or an earlier survey's.
    pub(super) fn open(folder: &Path, earlier: Earlier) -> Result<Self, CliError> {
        survey_folder(folder, NAME)?;
        let path = folder.join(NAME);
        let failed = |doing| move |source| CliError::File { path: folder.join(NAME), doing, source };
        let file = OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(&path)
            .map_err(failed("opening the journal"))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(CliError::SurveyRuns { path: folder.into() }),
            // Some file systems know no locks; the journal is safe without, as long as one run writes it.
            Err(TryLockError::Error(_)) => {}
        }
        let mut journal = Self { path, file: Mutex::new(file), held: HashMap::new() };
        match earlier {
            Earlier::Dropped => journal.lock().set_len(0).map_err(failed("emptying the journal"))?,
            Earlier::Resumed => {
                let (held, whole) = read(&mut journal.lock()).map_err(failed("reading the journal"))?;
                journal.held = held;
                journal.lock().set_len(whole).map_err(failed("cutting a torn line off the journal"))?;
            }
        }
        Ok(journal)
    }

    /// Whether the journal holds anything of a station.
    pub(super) fn knows(&self, station: &str) -> bool {
        self.held.contains_key(station)
    }

    /// The line of a station whose inputs are the same.
    pub(super) fn unchanged(&self, station: &str, inputs: &str) -> Option<Slot> {
        let (at, held, length) = self.held.get(station)?;
        (held == inputs).then_some(Slot { at: *at, length: *length })
    }

    /// Appends one line.
    pub(super) fn append(&self, entry: &Entry) -> Result<Slot, CliError> {
        let failed =
            |source| CliError::File { path: self.path.clone(), doing: "writing the journal", source };
        let mut line = serde_json::to_string(entry).map_err(|error| failed(error.into()))?;
        line.push('\n');
        let mut file = self.lock();
        let at = file.seek(SeekFrom::End(0)).map_err(failed)?;
        file.write_all(line.as_bytes()).map_err(failed)?;
        Ok(Slot { at, length: line.len() })
    }

    /// Reads one line again.
    pub(super) fn entry(&self, slot: Slot) -> Result<Entry, CliError> {
        let failed =
            |source| CliError::File { path: self.path.clone(), doing: "reading the journal", source };
        let mut line = vec![0; slot.length];
        let mut file = self.lock();
        file.seek(SeekFrom::Start(slot.at)).and_then(|_| file.read_exact(&mut line)).map_err(failed)?;
        serde_json::from_slice(&line).map_err(|error| failed(error.into()))
    }

    fn lock(&self) -> MutexGuard<'_, File> {
        // A thread that panicked inside left at most a torn line, which the next run cuts off.
        self.file.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Offset, inputs and length of each station's last line, and the bytes up to the end of the last whole line.
type Held = (HashMap<String, (u64, String, usize)>, u64);

fn read(file: &mut File) -> std::io::Result<Held> {
    file.seek(SeekFrom::Start(0))?;
    let mut lines = BufReader::new(file);
    let mut held = HashMap::new();
    let mut whole = 0;
    let mut line = Vec::new();
    loop {
        line.clear();
        let length = lines.read_until(b'\n', &mut line)?;
        if line.last() != Some(&b'\n') {
            return Ok((held, whole));
        }
        // A line that a failing disk spoilt is passed over: its station is run again.
        if let Ok(Entry { station, inputs, .. }) = serde_json::from_slice(&line) {
            held.insert(station, (whole, inputs, length));
        }
        whole += length as u64;
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::fs;

    fn entry(station: &str, inputs: &str) -> Entry {
        let row =
            SurveyRow { station: station.into(), hours: 7, coverage: 0.1 + 0.2, ..SurveyRow::default() };
        Entry {
            station: station.into(),
            inputs: inputs.into(),
            rows: vec![row],
            fault: None,
            placeless: false,
        }
    }

    #[test]
    fn a_journal_cut_at_any_byte_keeps_its_whole_lines() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("survey");
        let journal = Journal::open(&folder, Earlier::Dropped).unwrap();
        for station in ["a", "b", "c"] {
            journal.append(&entry(station, "1")).unwrap();
        }
        drop(journal);
        let path = folder.join(NAME);
        let bytes = fs::read(&path).unwrap();
        let ends: Vec<usize> =
            bytes.iter().enumerate().filter(|(_, byte)| **byte == b'\n').map(|(at, _)| at + 1).collect();
        for cut in 0..=bytes.len() {
            fs::write(&path, &bytes[..cut]).unwrap();
            let journal = Journal::open(&folder, Earlier::Resumed).unwrap();
            let whole = ends.iter().filter(|end| **end <= cut).count();
            assert_eq!(journal.held.len(), whole, "cut at {cut}");
            let slot = journal.append(&entry("d", "2")).unwrap();
            assert_eq!(journal.entry(slot).unwrap().rows, entry("d", "2").rows);
            drop(journal);
            let again = Journal::open(&folder, Earlier::Resumed).unwrap();
            assert_eq!(again.held.len(), whole + 1);
            assert!(again.unchanged("d", "2").is_some() && again.unchanged("d", "3").is_none());
        }
    }

    #[test]
    fn one_run_at_a_time_and_only_in_its_own_folder() {
        let folder = tempfile::tempdir().unwrap();
        let first = Journal::open(folder.path(), Earlier::Dropped).unwrap();
        let second = Journal::open(folder.path(), Earlier::Resumed).unwrap_err();
        assert!(matches!(second, CliError::SurveyRuns { .. }));
        drop(first);
        let other = tempfile::tempdir().unwrap();
        fs::write(other.path().join("letter.txt"), "dear").unwrap();
        let foreign = Journal::open(other.path(), Earlier::Dropped).unwrap_err();
        assert!(matches!(foreign, CliError::ForeignFolder { .. }));
    }
}
