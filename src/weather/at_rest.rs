//! A file that grows or is replaced while it is read gives half a record: that is said, not guessed at.

use super::WeatherError;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// How a file stood before it was read.
#[derive(Debug)]
pub(super) struct AtRest {
    path: PathBuf,
    before: Option<(u64, SystemTime)>,
}

impl AtRest {
    /// Looks at a file. Streams and what has no time of change are not watched.
    pub(super) fn before(path: &Path) -> Self {
        Self { path: path.to_path_buf(), before: size_and_time(path) }
    }

    /// An error where the file no longer stands as it did.
    pub(super) fn after(&self) -> Result<(), WeatherError> {
        match self.before {
            Some(before) if size_and_time(&self.path) != Some(before) => {
                Err(WeatherError::Changed { path: self.path.clone() })
            }
            _ => Ok(()),
        }
    }
}

fn size_and_time(path: &Path) -> Option<(u64, SystemTime)> {
    let facts = fs::metadata(path).ok().filter(fs::Metadata::is_file)?;
    Some((facts.len(), facts.modified().ok()?))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn growth_and_loss_are_seen_and_rest_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        fs::write(&path, "time,temp_c\n").unwrap();
        let watch = AtRest::before(&path);
        assert!(watch.after().is_ok());
        fs::OpenOptions::new().append(true).open(&path).unwrap().write_all(b"2031").unwrap();
        assert!(matches!(watch.after(), Err(WeatherError::Changed { .. })));
        let watch = AtRest::before(&path);
        fs::remove_file(&path).unwrap();
        assert!(watch.after().is_err());
        assert!(AtRest::before(Path::new("-")).after().is_ok());
    }
}
