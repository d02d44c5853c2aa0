//! Links: what is written into a folder never lands elsewhere.

#![cfg(unix)]

use super::ride::{CHICAGO, files, ride, text};
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;

fn report(folder: &str) -> super::ride::Ride {
    ride(&["report", CHICAGO, "--out", folder])
}

/// A folder with something of the user's in it.
fn mine(folder: &Path) -> std::path::PathBuf {
    let mine = folder.join("mine");
    fs::create_dir(&mine).unwrap();
    fs::write(mine.join("voltages.svg"), "mine").unwrap();
    mine
}

#[test]
fn a_link_in_the_folders_place_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let elsewhere = folder.path().join("elsewhere");
    fs::create_dir(&elsewhere).unwrap();
    let link = folder.path().join("link");
    symlink(&elsewhere, &link).unwrap();
    for end in ["", "/", "/."] {
        let message = report(&format!("{}{end}", text(&link))).refused();
        assert_eq!(
            message,
            format!(
                "error: {}: this is a link to another place; expected a folder, since files written or replaced \
                 through it would lie elsewhere. Name the folder that it leads to, or remove the link\n",
                link.display()
            )
        );
    }
    ride(&["new", &text(&link)]).refused();
    ride(&["survey", CHICAGO, "tests/formats/tmy3", "--out", &text(&link)]).refused();
    let dangling = folder.path().join("dangling");
    symlink(folder.path().join("nowhere"), &dangling).unwrap();
    report(&text(&dangling)).refused();
    ride(&["new", &text(&dangling)]).refused();
    assert!(files(&elsewhere).is_empty());
    assert!(!folder.path().join("nowhere").exists());
}

#[test]
fn a_link_inside_the_folder_is_refused_before_anything_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let mine = mine(folder.path());
    let out = folder.path().join("report");
    report(&text(&out)).ends(0);
    fs::remove_dir_all(out.join("charts")).unwrap();
    symlink(&mine, out.join("charts")).unwrap();
    fs::write(out.join("report.html"), "earlier").unwrap();
    let message = report(&text(&out)).refused();
    assert!(message.contains("charts: this is a link"), "{message}");
    assert_eq!(files(&mine), [("voltages.svg".to_owned(), b"mine".to_vec())]);
    assert_eq!(fs::read(out.join("report.html")).unwrap(), b"earlier");
}

#[test]
fn a_link_in_a_files_place_is_replaced_and_what_it_leads_to_stays() {
    let folder = tempfile::tempdir().unwrap();
    let mine = mine(folder.path()).join("voltages.svg");
    let out = folder.path().join("report");
    report(&text(&out)).ends(0);
    fs::remove_file(out.join("report.html")).unwrap();
    symlink(&mine, out.join("report.html")).unwrap();
    report(&text(&out)).ends(0);
    assert!(fs::symlink_metadata(out.join("report.html")).unwrap().is_file());
    assert_eq!(fs::read(&mine).unwrap(), b"mine");
}

#[test]
fn what_an_earlier_report_left_is_not_removed_through_a_link() {
    let folder = tempfile::tempdir().unwrap();
    let mine = mine(folder.path());
    let out = folder.path().join("report");
    report(&text(&out)).ends(0);
    // The mark lists a file in a folder that has become a link since.
    symlink(&mine, out.join("old")).unwrap();
    let mark = fs::read_to_string(out.join(".dawnvolt-report")).unwrap();
    fs::write(out.join(".dawnvolt-report"), format!("{mark}old/voltages.svg\n")).unwrap();
    report(&text(&out)).ends(0);
    assert_eq!(fs::read(mine.join("voltages.svg")).unwrap(), b"mine");
}

#[test]
fn a_mark_that_is_a_link_marks_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    fs::create_dir(&out).unwrap();
    let list = folder.path().join("list");
    fs::write(&list, "").unwrap();
    symlink(&list, out.join(".dawnvolt-report")).unwrap();
    report(&text(&out)).refused();
    assert_eq!(fs::read(&list).unwrap(), b"");
}
