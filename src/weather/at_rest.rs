//! A file that grows or is replaced while it is read gives half a record: that is said, not guessed at.

use super::WeatherError;
use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};

/// How a file stood before it was read.
#[derive(Debug)]
pub(super) struct AtRest {
    path: PathBuf,
    before: Option<Metadata>,
}

impl AtRest {
    /// Looks at a file. Streams are not watched; where the system keeps no time of change, the size alone is.
    pub(super) fn before(path: &Path) -> Self {
        Self { path: path.to_path_buf(), before: facts(path) }
    }

    /// An error where the file no longer stands as it did.
    pub(super) fn after(&self) -> Result<(), WeatherError> {
        let Some(before) = &self.before else { return Ok(()) };
        let same = facts(&self.path).is_some_and(|after| {
            after.len() == before.len() && after.modified().ok() == before.modified().ok()
        });
        if same { Ok(()) } else { Err(WeatherError::Changed { path: self.path.clone() }) }
    }
}

fn facts(path: &Path) -> Option<Metadata> {
    fs::metadata(path).ok().filter(Metadata::is_file)
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
