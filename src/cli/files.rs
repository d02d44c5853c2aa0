//! Writing a report's folder: every file to a temporary name beside it, then renamed; what a failed run touched stays
//! as it was.

use crate::cli::CliError;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// The file that marks a folder as a report's, and lists what was written.
const MARK: &str = ".dawnvolt-report";

/// One file of a report: its path below the folder, and its bytes.
#[derive(Debug)]
pub struct OutFile {
    /// Path below the folder, with forward slashes.
    pub name: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// Writes the files into `folder`, which must be new, empty, or an earlier report's.
///
/// All files are first written in full to temporary names; only then are they renamed. Files of an earlier report that
/// this one does not have are removed.
///
/// # Errors
/// A foreign folder; a folder or file that cannot be made.
pub fn write_report(folder: &Path, files: &[OutFile]) -> Result<(), CliError> {
    let before = earlier_files(folder)?;
    let mut waiting: Vec<(NamedTempFile, PathBuf)> = Vec::with_capacity(files.len() + 1);
    let mark = OutFile {
        name: MARK.into(),
        bytes: files.iter().map(|file| format!("{}\n", file.name)).collect::<String>().into_bytes(),
    };
    for file in files.iter().chain([&mark]) {
        let path = folder.join(&file.name);
        let parent = path.parent().unwrap_or(folder);
        fs::create_dir_all(parent).map_err(|source| failed(parent, "making the folder", source))?;
        let mut temporary = NamedTempFile::new_in(parent)
            .map_err(|source| failed(parent, "making a temporary file", source))?;
        temporary
            .write_all(&file.bytes)
            .and_then(|()| temporary.flush())
            .map_err(|source| failed(&path, "writing", source))?;
        readable_by_all(&temporary).map_err(|source| failed(&path, "setting permissions", source))?;
        waiting.push((temporary, path));
    }
    for (temporary, path) in waiting {
        temporary.persist(&path).map_err(|error| failed(&path, "renaming into place", error.error))?;
    }
    for name in before {
        if !files.iter().any(|file| file.name == name) {
            // A leftover that cannot be removed harms nothing; the mark no longer lists it.
            let _ = fs::remove_file(folder.join(name));
        }
    }
    Ok(())
}

/// Temporary files are private; a report is not.
#[cfg(unix)]
fn readable_by_all(file: &NamedTempFile) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.as_file().set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_all(_: &NamedTempFile) -> std::io::Result<()> {
    Ok(())
}

/// Names that an earlier report wrote here; an error for a folder with other contents.
fn earlier_files(folder: &Path) -> Result<Vec<String>, CliError> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(source) => return Err(failed(folder, "opening the folder", source)),
    };
    if let Ok(mark) = fs::read_to_string(folder.join(MARK)) {
        // Only plain names below this folder: a mark edited by hand must not reach elsewhere.
        return Ok(mark
            .lines()
            .filter(|line| {
                !line.is_empty() && !line.starts_with('/') && !line.split('/').any(|part| part == "..")
            })
            .map(String::from)
            .collect());
    }
    match entries.flatten().next() {
        None => Ok(Vec::new()),
        Some(entry) => Err(CliError::ForeignFolder {
            path: folder.into(),
            example: entry.file_name().to_string_lossy().into_owned(),
        }),
    }
}

fn failed(path: &Path, doing: &'static str, source: std::io::Error) -> CliError {
    CliError::File { path: path.into(), doing, source }
}
