//! `report`: the folder that it writes, and what it leaves alone.

use super::ride::{CHICAGO, command, files, names, ride, ride_with, text};
use std::fs;
use std::path::Path;

fn report(folder: &Path) -> super::ride::Ride {
    ride(&["report", CHICAGO, "--out", &text(folder)])
}

#[test]
fn a_new_folder_holds_page_numbers_and_charts() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("clients/invented");
    let run = report(&out).ends(0);
    assert_eq!(run.err, "");
    let written = format!("report written to {}", out.join("report.html").display());
    assert!(run.out.lines().any(|line| line == written), "{}", run.out);
    assert!(run.out.starts_with("EXCEEDED: "), "{}", run.out);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    for words in ["Invented van at a real station", "Chicago O'Hare", "51.1 V"] {
        assert!(page.contains(words) || page.contains(&words.replace('\'', "&#39;")), "{words}");
    }
    let names = names(&out);
    for name in ["report.html", "numbers.json", "limits.csv", "seasons.csv", ".dawnvolt-report"] {
        assert!(names.iter().any(|found| found == name), "{name} is missing: {names:?}");
    }
    let charts =
        |end: &str| names.iter().filter(|name| name.starts_with("charts/") && name.ends_with(end)).count();
    assert!(charts(".svg") >= 2 && charts(".svg") == charts(".png"), "{names:?}");
    // The list in the mark is what lies there, the mark itself aside.
    let mark = fs::read_to_string(out.join(".dawnvolt-report")).unwrap();
    let mut listed: Vec<&str> = mark.lines().collect();
    listed.push(".dawnvolt-report");
    listed.sort_unstable();
    assert_eq!(listed, names);
    // A report is for others to read, too.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(out.join("report.html")).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o644);
    }
    let json = ride(&["assess", CHICAGO, "--json"]).ends(1).quiet();
    assert_eq!(fs::read_to_string(out.join("numbers.json")).unwrap(), json);
}

#[test]
fn a_second_run_replaces_its_own_files_only() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    report(&out).ends(0);
    let first = files(&out);
    fs::write(out.join("letter to the client.txt"), "mine").unwrap();
    fs::write(out.join("charts/sketch.svg"), "mine").unwrap();
    fs::write(out.join("report.html"), "edited").unwrap();
    // An earlier report had one more file.
    fs::write(out.join("old.csv"), "old").unwrap();
    let mark = fs::read_to_string(out.join(".dawnvolt-report")).unwrap();
    fs::write(out.join(".dawnvolt-report"), format!("{mark}old.csv\n")).unwrap();
    report(&out).ends(0);
    assert_eq!(fs::read(out.join("letter to the client.txt")).unwrap(), b"mine");
    assert_eq!(fs::read(out.join("charts/sketch.svg")).unwrap(), b"mine");
    assert!(!out.join("old.csv").exists());
    fs::remove_file(out.join("letter to the client.txt")).unwrap();
    fs::remove_file(out.join("charts/sketch.svg")).unwrap();
    assert!(files(&out) == first, "the same plan gives the same bytes");
}

#[test]
fn a_foreign_folder_is_refused_and_untouched() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("thesis.tex"), "mine").unwrap();
    fs::create_dir(folder.path().join("charts")).unwrap();
    let message = report(folder.path()).refused();
    assert_eq!(
        message,
        format!(
            "error: {}: this folder holds files that no earlier report wrote (thesis.tex); expected an empty or new \
             folder, or one of an earlier report. Name another with --out\n",
            folder.path().display()
        )
    );
    assert_eq!(files(folder.path()), [("thesis.tex".to_owned(), b"mine".to_vec())]);
}

#[test]
fn a_mark_edited_by_hand_reaches_nothing_outside() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    fs::create_dir(&out).unwrap();
    fs::write(folder.path().join("mine.txt"), "mine").unwrap();
    let absolute = text(&folder.path().join("mine.txt"));
    fs::write(
        out.join(".dawnvolt-report"),
        format!("../mine.txt\ncharts/../../mine.txt\n{absolute}\n./../mine.txt\n\n"),
    )
    .unwrap();
    report(&out).ends(0);
    assert_eq!(fs::read(folder.path().join("mine.txt")).unwrap(), b"mine");
}

#[test]
fn without_a_name_it_goes_below_reports() {
    let folder = tempfile::tempdir().unwrap();
    let trip = folder.path().join("winter-loop");
    ride(&["new", &text(&trip)]).ends(0);
    let output = command(&["report", "winter-loop/plan.toml"]).current_dir(folder.path()).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(folder.path().join("reports/winter-loop/report.html").exists());
}

#[test]
fn a_plan_that_does_not_run_leaves_no_folder() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    ride_with(&["report", "-", "--out", &text(&out)], b"title = 3\n").refused();
    ride(&["report", CHICAGO, "--stop", "Duluth", "--out", &text(&out)]).refused();
    assert!(!out.exists());
}

#[test]
fn a_file_in_the_folders_place_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    fs::write(&out, "mine").unwrap();
    let message = report(&out).refused();
    assert!(message.contains(&text(&out)), "{message}");
    let message = report(&out.join("below")).refused();
    assert!(message.contains("nothing was half-written"), "{message}");
    assert_eq!(fs::read(&out).unwrap(), b"mine");
}

#[test]
fn a_folder_in_a_files_place_stops_the_run_before_anything_is_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    report(&out).ends(0);
    fs::remove_file(out.join("limits.csv")).unwrap();
    fs::create_dir(out.join("limits.csv")).unwrap();
    fs::write(out.join("report.html"), "earlier").unwrap();
    let before = files(&out);
    let message = report(&out).refused();
    assert!(message.contains("limits.csv") && message.contains("in the way"), "{message}");
    assert_eq!(files(&out), before);
}
