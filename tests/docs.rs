//! The documents are true: source keys exist, both lists of them agree, the README's commands are real.

use dawnvolt::sources::{Confidence, SOURCES};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder of the source") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// Keys as they stand in comments: upper-case letters followed by digits, dots and hyphens, in brackets.
fn keys_in(text: &str) -> Vec<String> {
    let mut keys = Vec::new();
    for line in text.lines().filter(|line| line.contains("//")) {
        for piece in line.split('[').skip(1) {
            let Some((key, _)) = piece.split_once(']') else { continue };
            let letters = key.chars().take_while(char::is_ascii_uppercase).count();
            let rest = &key[letters..];
            let is_key = letters >= 3
                && rest.chars().any(|c| c.is_ascii_digit())
                && rest.chars().all(|c| c.is_ascii_digit() || c == '.' || c == '-');
            if is_key {
                keys.push(key.to_string());
            }
        }
    }
    keys
}

#[test]
fn every_source_key_in_the_code_is_listed() {
    let mut files = Vec::new();
    rust_files(&root().join("src"), &mut files);
    let mut used = 0;
    for path in files {
        let text = fs::read_to_string(&path).expect("source");
        for key in keys_in(&text) {
            used += 1;
            assert!(
                dawnvolt::sources::find(&key).is_some(),
                "{}: unknown source key [{key}]",
                path.display()
            );
        }
    }
    assert!(used > 20, "only {used} keys found: the scan itself is broken");
}

#[test]
fn the_developers_page_lists_the_same_sources() {
    let page = read("DEVELOPERS.md");
    for source in SOURCES {
        let sure = match source.confidence {
            Confidence::Read => "read",
            Confidence::Secondary => "secondary",
            Confidence::Memory => "memory",
        };
        let row = format!("| {} | {sure} | {} |", source.key, source.text);
        assert!(page.contains(&row), "DEVELOPERS.md lacks the row:\n{row}");
    }
}

#[test]
fn keys_stand_in_order_and_once() {
    for pair in SOURCES.windows(2) {
        assert!(pair[0].key < pair[1].key, "{} before {}", pair[0].key, pair[1].key);
    }
}

#[test]
fn the_readme_opens_with_the_job_in_one_paragraph() {
    let readme = read("README.md");
    let first = readme.split("\n\n").nth(1).expect("a paragraph after the title");
    for word in ["weather", "volt", "disconnect", "controller", "cold"] {
        assert!(first.contains(word), "the first paragraph does not say \"{word}\"");
    }
}

#[test]
fn files_that_the_documents_name_exist() {
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = read(document);
        for name in text.split('`').skip(1).step_by(2) {
            let is_path =
                (name.starts_with("tests/") || name.starts_with("data/") || name.starts_with("src/"))
                    && !name.contains([' ', '<', '*']);
            if is_path {
                assert!(root().join(name).exists(), "{document} names {name}, which does not exist");
            }
        }
    }
}
