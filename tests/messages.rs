//! Bad input and the message that it gets. Every file under `tests/broken` is globbed; every message is a snapshot
//! that was read by a person before it was kept.
#![expect(clippy::unwrap_used)]

use dawnvolt::plan;
use std::fs;
use std::path::{Path, PathBuf};

fn broken(kind: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(Path::new("tests/broken").join(kind))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .collect();
    files.sort();
    files
}

fn with_settings(check: impl FnOnce()) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("broken/snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(check);
}

#[test]
fn every_broken_plan_says_where_what_and_what_next() {
    let files = broken("plans");
    assert!(files.len() >= 45, "only {} cases", files.len());
    for path in files {
        let message = match plan::load(&path) {
            Ok(_) => panic!("{} loads", path.display()),
            Err(error) => error.to_string(),
        };
        assert!(message.starts_with(&path.display().to_string()), "no path: {message}");
        assert!(!message.chars().any(|c| c.is_control() && c != '\n'), "control characters: {message:?}");
        let name = format!("plan-{}", path.file_stem().unwrap().to_string_lossy());
        with_settings(|| insta::assert_snapshot!(name, message));
    }
}

/// Paths that are no file with a plan, tried in a folder of their own.
#[test]
fn a_path_that_is_no_plan_says_what_lies_near() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::write(at("plan.toml.txt"), "title = \"x\"\n").unwrap();
    fs::write(at("winter-loop.toml"), "title = \"x\"\n").unwrap();
    fs::create_dir(at("trip")).unwrap();
    fs::create_dir(at("photos")).unwrap();
    fs::write(at("trip/plan.toml"), "title = \"x\"\n").unwrap();
    fs::write(at("large.toml"), vec![b' '; (1 << 20) + 1]).unwrap();
    for (name, file) in [
        ("txt-ending", "plan.toml"),
        ("near-name", "winter-lop.toml"),
        ("far-name", "something else"),
        ("no-folder", "nowhere/plan.toml"),
        ("folder-with-plan", "trip"),
        ("folder-without-plan", "photos"),
        ("too-large", "large.toml"),
    ] {
        let message = plan::load(&at(file)).unwrap_err().to_string();
        let message = message.replace(&folder.path().display().to_string(), "FOLDER");
        with_settings(|| insta::assert_snapshot!(format!("path-{name}"), message));
    }
}
