//! The files of a plan: its own text, and the weather that it names.

use super::fault::{PlanError, nearest, quoted};
use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// Largest plan that is read, bytes. The largest sensible one (hundreds of stops) takes a tenth of that.
pub const LARGEST_PLAN: u64 = 1 << 20;
/// Entries of a folder looked at for a near name.
const MOST_ENTRIES: usize = 5000;
/// Weather files that one pattern may name: a century of monthly files for several stations.
const MOST_FILES: usize = 5000;
/// Names offered in a message.
const NAMES_OFFERED: usize = 6;

/// Finds the weather files of a pattern; an error says in words what was searched and what lies near.
pub type Find<'a> = dyn Fn(&str) -> Result<Vec<PathBuf>, String> + 'a;

/// The text of the plan at `path`.
pub(super) fn text(path: &Path) -> Result<String, PlanError> {
    let unreadable = |source| PlanError::Unreadable { path: path.to_owned(), source };
    let about = match fs::metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            return Err(PlanError::NotFound { path: path.to_owned(), advice: missing(path) });
        }
        Err(error) => return Err(unreadable(error)),
    };
    if about.is_dir() {
        return Err(PlanError::Folder { path: path.to_owned(), advice: inside(path) });
    }
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(unreadable)?;
    file.take(LARGEST_PLAN + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    decoded(path, &bytes)
}

/// The bytes of a plan as text.
pub(super) fn decoded(path: &Path, bytes: &[u8]) -> Result<String, PlanError> {
    let other = |found: &str, advice: &str| PlanError::NotAPlan {
        path: path.to_owned(),
        found: found.to_owned(),
        advice: advice.to_owned(),
    };
    const WEATHER: &str = "to see what is in a weather file: dawnvolt weather FILE";
    const NAME_THE_PLAN: &str = "name the plan itself, often plan.toml";
    match bytes {
        [0x1f, 0x8b, ..] => return Err(other("this is a gzip archive", WEATHER)),
        [b'P', b'K', 3, 4, ..] => return Err(other("this is a zip archive or an office document", WEATHER)),
        [b'%', b'P', b'D', b'F', ..] => return Err(other("this is a PDF document", NAME_THE_PLAN)),
        [0x89, b'P', b'N', b'G', ..] | [0xff, 0xd8, 0xff, ..] => {
            return Err(other("this is a picture", NAME_THE_PLAN));
        }
        [b'{', b'\\', b'r', b't', b'f', ..] => {
            return Err(other(
                "this is a word processor's document (RTF)",
                "save it as plain text, with an editor for plain text",
            ));
        }
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => {
            let (text, _, had_errors) = encoding_rs::UTF_16LE.decode(bytes);
            if had_errors || text.contains('\0') {
                return Err(other("this is no text", NAME_THE_PLAN));
            }
            return Ok(text.into_owned());
        }
        _ => {}
    }
    if bytes.len() as u64 > LARGEST_PLAN {
        return Err(other("this file is larger than 1 MB", NAME_THE_PLAN));
    }
    if bytes.contains(&0) {
        return Err(other("this file holds bytes that are no text", NAME_THE_PLAN));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(error) => {
            let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]).into_owned();
            let line = good.matches('\n').count() + 1;
            let before = good.rsplit('\n').next().unwrap_or_default();
            Err(other(
                &format!(
                    "line {line} holds a letter in an old encoding, after {}",
                    quoted(before.trim_start())
                ),
                "in your editor, save the file again with the encoding UTF-8",
            ))
        }
    }
}

/// What to say about a plan that is not there.
fn missing(path: &Path) -> String {
    const START: &str = "to begin with a plan that runs as it is: dawnvolt new DIR";
    let folder = folder_of(path);
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let Ok(names) = names_in(&folder) else {
        return format!("there is no folder {} either; check the path; {START}", folder.display());
    };
    let with_ending = names.iter().find(|other| {
        other.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with('.'))
            || other.eq_ignore_ascii_case(&name)
    });
    if let Some(other) = with_ending {
        let hidden = if other.ends_with(".txt") {
            " (editors add .txt, and the file list may hide it): rename it, or give that name"
        } else {
            ": give that name"
        };
        return format!("there is {}{hidden}", quoted(other));
    }
    if let Some(other) = nearest(&name, names.iter().map(String::as_str)) {
        return format!("did you mean {}?", quoted(&folder.join(other).to_string_lossy()));
    }
    let plans: Vec<String> = names
        .iter()
        .filter(|name| name.ends_with(".toml"))
        .take(NAMES_OFFERED)
        .map(|name| quoted(name))
        .collect();
    if plans.is_empty() { START.to_owned() } else { format!("plans in that folder: {}", plans.join(", ")) }
}

/// What to say about a folder given as a plan.
fn inside(path: &Path) -> String {
    let names = names_in(path).unwrap_or_default();
    let plans: Vec<String> = names
        .iter()
        .filter(|name| name.ends_with(".toml") || name.ends_with(".toml.txt"))
        .take(NAMES_OFFERED)
        .map(|name| quoted(&path.join(name).to_string_lossy()))
        .collect();
    if plans.is_empty() {
        format!("no file in it ends in .toml; to write a starter plan there: dawnvolt new {}", path.display())
    } else {
        format!("give {}", super::fault::either(&plans))
    }
}

/// The folder that a path lies in; `.` where it names none.
pub(super) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Names in a folder, sorted.
fn names_in(folder: &Path) -> std::io::Result<Vec<String>> {
    let mut names: Vec<String> = fs::read_dir(folder)?
        .take(MOST_ENTRIES)
        .filter_map(|entry| entry.ok().map(|entry| entry.file_name().to_string_lossy().into_owned()))
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    Ok(names)
}

/// The weather files that `pattern` names, seen from `folder`: sorted, at least one.
pub(super) fn weather(folder: &Path, pattern: &str) -> Result<Vec<PathBuf>, String> {
    // Windows takes both signs; elsewhere a backslash in a plan came from there.
    let pattern = pattern.replace('\\', "/");
    if pattern.starts_with('~') {
        return Err("a leading ~ is not replaced by your home folder here; write the whole path, or one relative to the plan".to_owned());
    }
    // a file of exactly that name comes first: its name may hold brackets
    let exact = folder.join(&pattern);
    if exact.is_file() {
        return Ok(vec![exact]);
    }
    if exact.is_dir() {
        return Err(format!(
            "it names a folder; write which files in it: {}",
            quoted(&format!("{}/*", pattern.trim_end_matches('/')))
        ));
    }
    let absolute = Path::new(&pattern).is_absolute();
    let whole = if absolute {
        pattern.clone()
    } else {
        let folder = glob::Pattern::escape(&folder.to_string_lossy());
        format!("{}/{pattern}", folder.trim_end_matches('/'))
    };
    let options = glob::MatchOptions {
        case_sensitive: true,
        require_literal_separator: true,
        require_literal_leading_dot: true,
    };
    let paths = glob::glob_with(&whole, options).map_err(|error| {
        format!("the pattern is wrong ({}); * stands for any letters, ? for one, [ab] for a or b", error.msg)
    })?;
    let mut files: Vec<PathBuf> = Vec::new();
    for path in paths.take(MOST_FILES + 1) {
        let path =
            path.map_err(|error| format!("{} cannot be read: {}", error.path().display(), error.error()))?;
        if path.is_file() {
            files.push(path.strip_prefix("./").map(Path::to_owned).unwrap_or(path));
        }
    }
    if files.len() > MOST_FILES {
        return Err(format!(
            "it names more than {MOST_FILES} files; name a folder or a station more closely"
        ));
    }
    files.sort();
    if files.is_empty() { Err(nothing(folder, &pattern)) } else { Ok(files) }
}

/// Where a pattern that matches nothing looked, and what lies there.
fn nothing(folder: &Path, pattern: &str) -> String {
    let searched = folder_of(&folder.join(pattern));
    let wanted = pattern.rsplit('/').next().unwrap_or(pattern).to_owned();
    // a folder with a * in its name cannot be listed; the deepest one without is
    let mut listed = searched.clone();
    while listed.to_string_lossy().contains(['*', '?', '[']) || !listed.is_dir() {
        if !listed.pop() || listed.as_os_str().is_empty() {
            listed = PathBuf::from(".");
            break;
        }
    }
    let names = names_in(&listed).unwrap_or_default();
    if listed != searched {
        let wanted = searched.strip_prefix(&listed).ok().and_then(|rest| rest.iter().next());
        let wanted = wanted.map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        if let Some(near) = nearest(&wanted, names.iter().map(String::as_str)) {
            return format!(
                "there is no folder {} in {}; did you mean {}?",
                quoted(&wanted),
                quoted(&listed.to_string_lossy()),
                quoted(near)
            );
        }
        return format!(
            "there is no folder {}; {} holds {}; paths are taken from the plan's folder",
            quoted(&searched.to_string_lossy()),
            quoted(&listed.to_string_lossy()),
            some_of(&names)
        );
    }
    let in_folder = quoted(&searched.to_string_lossy());
    match nearest(&wanted, names.iter().map(String::as_str)) {
        Some(near) => {
            format!("searched {in_folder}, which holds {}; did you mean {}?", some_of(&names), quoted(near))
        }
        None => format!(
            "searched {in_folder}, which holds {}; check the name, or put the files there",
            some_of(&names)
        ),
    }
}

fn some_of(names: &[String]) -> String {
    if names.is_empty() {
        return "no files".to_owned();
    }
    let shown: Vec<String> = names.iter().take(NAMES_OFFERED).map(|name| quoted(name)).collect();
    match names.len() - shown.len() {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}
