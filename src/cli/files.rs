//! Writing folders of results: every file in full to a temporary name beside its place, then renamed; what a failed run
//! touched stays as it was, and nothing outside the folder is ever touched.

use crate::cli::CliError;
use std::fs;
use std::io::{BufWriter, ErrorKind, Read, Write};
use std::path::{Component, Path, PathBuf};
use tempfile::NamedTempFile;

/// The file that marks a folder as a report's, and lists what was written.
const MARK: &str = ".dawnvolt-report";
/// How the name of a temporary file begins; one that a killed run left behind is known by it.
const TEMPORARY: &str = ".dawnvolt-writing-";
/// Longest list of earlier files that is believed, bytes. Chosen because a report writes a hundred names at most.
const MARK_LIMIT: u64 = 64 << 10;

/// One file of a folder: its path below the folder, and its bytes.
#[derive(Debug)]
pub struct OutFile {
    /// Path below the folder, with forward slashes.
    pub name: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// Writes the files of a report into `folder`, which must be new, empty, or an earlier report's. Files of an earlier
/// report that this one does not have are removed.
///
/// # Errors
/// A foreign folder; a link instead of a folder; a folder or file that cannot be made.
pub fn write_report(folder: &Path, files: &[OutFile]) -> Result<(), CliError> {
    let folder = &bare(folder);
    let before = match contents(folder)? {
        Contents::Nothing => Vec::new(),
        Contents::Report(names) => names,
        Contents::Foreign(example) => return Err(CliError::ForeignFolder { path: folder.into(), example }),
    };
    let mark = OutFile {
        name: MARK.into(),
        bytes: files.iter().map(|file| format!("{}\n", file.name)).collect::<String>().into_bytes(),
    };
    // The page stands by itself, so it follows what lies beside it; the mark closes.
    let (pages, beside): (Vec<&OutFile>, Vec<&OutFile>) =
        files.iter().partition(|file| !file.name.contains('/'));
    let all: Vec<&OutFile> = beside.into_iter().chain(pages).chain([&mark]).collect();
    write_all(folder, &all)?;
    for name in before {
        let path = folder.join(&name);
        if !files.iter().any(|file| file.name == name) && real_folders(folder, &path).is_ok() {
            // A leftover that cannot be removed harms nothing; the mark no longer lists it.
            let _ = fs::remove_file(path);
        }
    }
    Ok(())
}

/// Writes files into `folder`, which must be new or empty.
///
/// # Errors
/// A folder that holds anything; a link instead of a folder; a folder or file that cannot be made.
pub fn write_new(folder: &Path, files: &[OutFile]) -> Result<(), CliError> {
    let folder = &bare(folder);
    refuse_unless_new(folder)?;
    write_all(folder, &files.iter().collect::<Vec<_>>())
}

/// An error unless `folder` is new or empty.
///
/// # Errors
/// A folder that holds anything; something that is no folder.
pub fn refuse_unless_new(folder: &Path) -> Result<(), CliError> {
    match contents(&bare(folder))? {
        Contents::Nothing => Ok(()),
        Contents::Report(_) => Err(CliError::NotEmpty { path: folder.into(), example: MARK.into() }),
        Contents::Foreign(example) => Err(CliError::NotEmpty { path: folder.into(), example }),
    }
}

/// Makes the folder of a survey ready: it must be new, empty, or hold `mark`, the journal of an earlier survey.
///
/// # Errors
/// A foreign folder; a link instead of a folder; a folder that cannot be made.
pub fn survey_folder(folder: &Path, mark: &str) -> Result<(), CliError> {
    let folder = &bare(folder);
    let ours = fs::symlink_metadata(folder.join(mark)).is_ok_and(|facts| facts.is_file());
    match contents(folder)? {
        Contents::Foreign(example) if !ours => Err(CliError::ForeignFolder { path: folder.into(), example }),
        Contents::Report(_) if !ours => {
            Err(CliError::ForeignFolder { path: folder.into(), example: MARK.into() })
        }
        _ => fs::create_dir_all(folder).map_err(|source| failed(folder, "making the folder", source)),
    }
}

/// Writes one file of a folder in full under a temporary name, then its own. `fill` hands over the bytes as they come.
///
/// # Errors
/// What `fill` returns; a file that cannot be made.
pub fn write_whole(
    folder: &Path,
    name: &str,
    fill: impl FnOnce(&mut dyn Write) -> Result<(), CliError>,
) -> Result<(), CliError> {
    let path = folder.join(name);
    let temporary = tempfile::Builder::new()
        .prefix(TEMPORARY)
        .tempfile_in(folder)
        .map_err(|source| failed(folder, "making a temporary file", source))?;
    let mut out = BufWriter::new(temporary);
    fill(&mut out).map_err(|error| match error {
        // What broke is this file and not standard output.
        CliError::Stdout(source) => failed(&path, "writing", source),
        other => other,
    })?;
    let temporary = out.into_inner().map_err(|error| failed(&path, "writing", error.into_error()))?;
    readable_by_all(&temporary).map_err(|source| failed(&path, "setting permissions", source))?;
    temporary.persist(&path).map_err(|error| failed(&path, "renaming into place", error.error))?;
    Ok(())
}

/// The folder without a slash or dot behind it, which would hide that it is a link.
fn bare(folder: &Path) -> PathBuf {
    let bare: PathBuf = folder.components().collect();
    if bare.as_os_str().is_empty() { PathBuf::from(".") } else { bare }
}

/// All files in full under temporary names, only then their own names.
fn write_all(folder: &Path, files: &[&OutFile]) -> Result<(), CliError> {
    let mut waiting: Vec<(NamedTempFile, PathBuf)> = Vec::with_capacity(files.len());
    for file in files {
        let path = folder.join(&file.name);
        let parent = path.parent().unwrap_or(folder);
        real_folders(folder, &path)?;
        fs::create_dir_all(parent).map_err(|source| failed(parent, "making the folder", source))?;
        let mut temporary = tempfile::Builder::new()
            .prefix(TEMPORARY)
            .tempfile_in(parent)
            .map_err(|source| failed(parent, "making a temporary file", source))?;
        temporary
            .write_all(&file.bytes)
            .and_then(|()| temporary.flush())
            .map_err(|source| failed(&path, "writing", source))?;
        readable_by_all(&temporary).map_err(|source| failed(&path, "setting permissions", source))?;
        waiting.push((temporary, path));
    }
    for (_, path) in &waiting {
        // Said before the first file is replaced, not after half of them.
        if path.is_dir() {
            let in_the_way =
                std::io::Error::new(ErrorKind::IsADirectory, "a folder of that name is in the way");
            return Err(failed(path, "renaming into place", in_the_way));
        }
    }
    for (temporary, path) in waiting {
        temporary.persist(&path).map_err(|error| failed(&path, "renaming into place", error.error))?;
    }
    Ok(())
}

/// An error where `folder`, or a folder between it and `path`, is a link: what is written or removed through it would
/// lie elsewhere. Folders above `folder` are the user's own business.
fn real_folders(folder: &Path, path: &Path) -> Result<(), CliError> {
    let inside = path.parent().and_then(|parent| parent.strip_prefix(folder).ok());
    let mut at = folder.to_path_buf();
    let mut steps = inside.map(Path::components);
    loop {
        match fs::symlink_metadata(&at) {
            Ok(facts) if facts.is_symlink() => return Err(CliError::Link { path: at }),
            _ => {}
        }
        match steps.as_mut().and_then(Iterator::next) {
            Some(step) => at.push(step),
            None => return Ok(()),
        }
    }
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

/// What a folder holds.
enum Contents {
    /// It does not exist, or is empty.
    Nothing,
    /// An earlier report, which wrote these names.
    Report(Vec<String>),
    /// Something else; the name of one thing.
    Foreign(String),
}

/// Whether a killed run left this: a temporary file, which is cleared away, or a folder that holds nothing else.
fn is_litter(entry: &fs::DirEntry) -> bool {
    let is_temporary = |entry: &fs::DirEntry| entry.file_name().to_string_lossy().starts_with(TEMPORARY);
    match entry.file_type() {
        Ok(kind) if kind.is_file() && is_temporary(entry) => fs::remove_file(entry.path()).is_ok(),
        Ok(kind) if kind.is_dir() => fs::read_dir(entry.path()).is_ok_and(|inside| {
            // Every entry is looked at, so that all litter goes.
            inside.flatten().filter(|one| !(is_temporary(one) && fs::remove_file(one.path()).is_ok())).count()
                == 0
        }),
        _ => false,
    }
}

/// Looks into a folder, and clears away what a killed run left there under temporary names.
fn contents(folder: &Path) -> Result<Contents, CliError> {
    real_folders(folder, folder)?;
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Contents::Nothing),
        Err(source) => return Err(failed(folder, "opening the folder", source)),
    };
    let mut others = Vec::new();
    for entry in entries.flatten() {
        if !is_litter(&entry) {
            others.push(entry.file_name().to_string_lossy().into_owned());
        }
    }
    others.sort();
    if others.iter().any(|name| name == MARK)
        && let Some(names) = earlier_files(&folder.join(MARK))
    {
        return Ok(Contents::Report(names));
    }
    Ok(match others.into_iter().next() {
        None => Contents::Nothing,
        Some(example) => Contents::Foreign(example),
    })
}

/// The names in a mark: plain names below the folder, since a mark edited by hand must not reach elsewhere. `None`
/// where it is no file of ours.
fn earlier_files(mark: &Path) -> Option<Vec<String>> {
    if !fs::symlink_metadata(mark).ok()?.is_file() {
        return None;
    }
    let mut text = String::new();
    fs::File::open(mark).ok()?.take(MARK_LIMIT).read_to_string(&mut text).ok()?;
    let plain = |line: &&str| {
        !line.is_empty()
            && !line.contains('\\')
            && Path::new(line).components().all(|part| matches!(part, Component::Normal(_)))
    };
    Some(text.lines().filter(plain).map(String::from).collect())
}

fn failed(path: &Path, doing: &'static str, source: std::io::Error) -> CliError {
    CliError::File { path: path.into(), doing, source }
}
