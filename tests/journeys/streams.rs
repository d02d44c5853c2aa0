//! Pipes and streams: a reader that has enough is no fault, a full device is.

use super::ride::{CHICAGO, Ride, command, every_command, text};
use std::io::{BufRead, BufReader};
use std::process::Stdio;

/// Reads one line, then closes the pipe.
fn first_line_only(arguments: &[&str]) -> (String, Option<i32>, String) {
    let mut child = command(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut line = String::new();
    let mut reader = BufReader::with_capacity(64, child.stdout.take().unwrap());
    reader.read_line(&mut line).unwrap();
    drop(reader);
    let output = child.wait_with_output().unwrap();
    (line, output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn a_closed_pipe_is_success() {
    let (line, status, err) = first_line_only(&["hours", CHICAGO]);
    assert!(line.starts_with("time_utc,"), "{line}");
    assert_eq!((status, err.as_str()), (Some(0), ""));
    let (line, status, err) = first_line_only(&["man"]);
    assert!(!line.is_empty());
    assert_eq!((status, err.as_str()), (Some(0), ""));
}

/// The pipe is closed before the first byte is written.
#[cfg(unix)]
#[test]
fn a_pipe_that_nobody_reads_is_success() {
    let folder = tempfile::tempdir().unwrap();
    for (arguments, _) in every_command(folder.path()) {
        let mut child = command(&arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let run: Ride = child.wait_with_output().unwrap().into();
        assert_eq!((run.status, run.err.as_str()), (Some(0), ""), "{arguments:?}");
    }
}

/// `/dev/full` takes no byte, like a disk without room.
#[cfg(target_os = "linux")]
#[test]
fn a_full_device_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let mut runs = every_command(folder.path());
    let table =
        ["survey", CHICAGO, "tests/formats/tmy3", "--csv", "--out", &text(&folder.path().join("table"))];
    runs.push((table.map(str::to_owned).to_vec(), 0));
    for (arguments, _) in runs {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = command(&arguments).stdout(full).stderr(Stdio::piped()).output().unwrap();
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {err}");
        assert!(err.starts_with("error: writing ") && err.contains("No space left"), "{arguments:?}: {err}");
    }
}

/// Standard error that nobody reads stops nothing.
#[cfg(target_os = "linux")]
#[test]
fn lost_remarks_stop_nothing() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = command(&["assess", "nowhere.toml"]).stderr(full).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
}
