//! Faults from outside: no room, no permission, little memory, a signal in the middle. Nothing is ever half-written.

#![cfg(unix)]

use super::ride::{CHICAGO, COMMAND, Ride, at_home, files, ride, text};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// The command behind a line of the shell that sets a limit.
fn limited(limit: &str, arguments: &[&str]) -> Ride {
    Command::new("sh")
        .args(["-c", &format!("{limit}; exec \"$@\""), "sh", COMMAND])
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("COLUMNS", "100")
        .env_remove("NO_COLOR")
        .env_remove("RUST_BACKTRACE")
        // One arena of the allocator for each of very many cores would count as address space.
        .env("MALLOC_ARENA_MAX", "2")
        .env("RAYON_NUM_THREADS", "2")
        .stdin(Stdio::null())
        .output()
        .unwrap()
        .into()
}

/// 400 MiB of address space: code, stacks and maps count too, so this is far below what a small computer has.
#[test]
fn every_command_runs_in_little_memory() {
    const LIMIT: &str = "ulimit -v 409600";
    let folder = tempfile::tempdir().unwrap();
    let (trip, report) = (text(&folder.path().join("trip")), text(&folder.path().join("report")));
    let own = format!("{trip}/plan.toml");
    for (arguments, status) in [
        (&["new", &trip][..], 0),
        (&["assess", &own], 0),
        (&["assess", CHICAGO], 1),
        (&["assess", CHICAGO, "--json"], 1),
        (&["report", CHICAGO, "--out", &report], 0),
        (&["report", "data/demo/plan.toml", "--out", &format!("{report}2")], 0),
        (&["series", CHICAGO, "--panels", "4"], 0),
        (&["hours", CHICAGO], 0),
        (&["explain", CHICAGO], 0),
        (&["survey", CHICAGO, "tests/formats/tmy3", "--out", &format!("{report}3"), "--threads", "2"], 0),
        (&["meter", CHICAGO, "--irradiance", "640", "--cell", "21"], 0),
        (&["weather", "data/demo/weather/invented-cinder-ford.csv.gz", "tests/formats/epw/mcguire.epw"], 0),
        (&["completions", "zsh"], 0),
        (&["man"], 0),
        (&["new", "--schema"], 0),
        (&[], 0),
    ] {
        let run = limited(LIMIT, arguments);
        assert_eq!(run.status, Some(status), "{arguments:?}: {}", run.err);
    }
    // The limit is one: with next to nothing even the loader gives up.
    assert_ne!(limited("ulimit -v 1024", &["--version"]).status, Some(0));
}

/// A bound on the size of files stands for a disk without room: writing fails in the middle, as it would there.
#[test]
fn a_full_disk_leaves_the_old_report_and_no_litter() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    ride(&["report", CHICAGO, "--out", &text(&out)]).ends(0);
    fs::write(out.join("report.html"), "earlier").unwrap();
    let before = files(&out);
    // Blocks of 512 bytes: most charts fit, the page does not.
    let run = limited("trap '' XFSZ; ulimit -f 40", &["report", CHICAGO, "--out", &text(&out)]);
    let message = run.refused();
    assert!(message.contains("File too large") && message.contains("nothing was half-written"), "{message}");
    assert_eq!(files(&out), before);

    let fresh = folder.path().join("fresh");
    limited("trap '' XFSZ; ulimit -f 40", &["report", CHICAGO, "--out", &text(&fresh)]).refused();
    assert!(files(&fresh).is_empty(), "{:?}", files(&fresh));
    let trip = folder.path().join("trip");
    limited("trap '' XFSZ; ulimit -f 40", &["new", &text(&trip)]).refused();
    assert!(files(&trip).is_empty());
    // What was left behind, if anything, stands in nobody's way.
    ride(&["report", CHICAGO, "--out", &text(&fresh)]).ends(0);
    ride(&["new", &text(&trip)]).ends(0);
}

/// A folder below which nothing can be made: permissions, or for a superuser, whom those do not bind, the folder of
/// processes.
#[test]
fn a_read_only_folder_is_said() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let mut fixed = folder.path().join("fixed");
    fs::create_dir(&fixed).unwrap();
    fs::set_permissions(&fixed, fs::Permissions::from_mode(0o555)).unwrap();
    let bound = fs::write(fixed.join("probe"), "").is_err();
    if !bound {
        fixed = PathBuf::from("/proc");
    }
    if bound || fixed.is_dir() {
        for arguments in [&["report", CHICAGO, "--out"][..], &["new"]] {
            let target = text(&fixed.join("below"));
            let mut all = arguments.to_vec();
            all.push(&target);
            let message = ride(&all).refused();
            assert!(message.contains(&target) && message.contains("nothing was half-written"), "{message}");
        }
    }
    if bound {
        let message = ride(&["report", CHICAGO, "--out", &text(&fixed)]).refused();
        assert!(message.contains("ermission denied"), "{message}");
    }
    fs::set_permissions(folder.path().join("fixed"), fs::Permissions::from_mode(0o755)).unwrap();
}

/// A plan whose report takes a while, under a title of its own.
fn plan(folder: &Path, title: &str) -> String {
    let text_of = fs::read_to_string(at_home(CHICAGO)).unwrap();
    let home = at_home("tests/formats");
    let path = folder.join(format!("{title}.toml"));
    fs::write(
        &path,
        text_of
            .replace("Invented van at a real station", title)
            .replace("../formats", home.to_str().unwrap()),
    )
    .unwrap();
    text(&path)
}

#[test]
fn an_interrupt_leaves_the_old_report_or_the_new_one() {
    let folder = tempfile::tempdir().unwrap();
    let (old_plan, new_plan) = (plan(folder.path(), "old"), plan(folder.path(), "new"));
    let (out, other) = (folder.path().join("report"), folder.path().join("other"));
    ride(&["report", &old_plan, "--out", &text(&out)]).ends(0);
    let old = files(&out);
    let begun = std::time::Instant::now();
    ride(&["report", &new_plan, "--out", &text(&other)]).ends(0);
    let whole = begun.elapsed();
    let new = files(&other);
    assert_ne!(old, new);
    let page = |all: &[(String, Vec<u8>)]| {
        all.iter().find(|(name, _)| name == "report.html").map(|(_, bytes)| bytes.clone()).unwrap()
    };
    let mut interrupted = 0;
    for step in 1..=12 {
        let child = Command::new(COMMAND)
            .args(["report", &new_plan, "--out", &text(&out)])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(whole * step / 10);
        let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).output().unwrap();
        let status = child.wait_with_output().unwrap().status;
        interrupted += usize::from(killed.status.success() && status.code().is_none());
        let visible: Vec<(String, Vec<u8>)> =
            files(&out).into_iter().filter(|(name, _)| !name.contains(".dawnvolt-writing-")).collect();
        // Every file is a whole one, of the old report or of the new.
        for (name, bytes) in &visible {
            let whole =
                |all: &[(String, Vec<u8>)]| all.iter().any(|(one, body)| one == name && body == bytes);
            assert!(whole(&old) || whole(&new), "{name} is neither the old nor the new one");
        }
        let shown = page(&visible);
        assert!(shown == page(&old) || shown == page(&new));
        std::thread::sleep(Duration::from_millis(1));
    }
    assert!(interrupted > 0, "no run was interrupted");
    // The next run goes through and clears away what the interrupted ones left.
    ride(&["report", &new_plan, "--out", &text(&out)]).ends(0);
    assert_eq!(files(&out), new);
}

/// A run that was killed before its first report was whole leaves only temporary files, which stand in nobody's way.
#[test]
fn what_a_killed_run_left_stands_in_nobodys_way() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    fs::create_dir_all(out.join("charts")).unwrap();
    fs::write(out.join(".dawnvolt-writing-a1"), "half").unwrap();
    fs::write(out.join("charts/.dawnvolt-writing-b2"), "half").unwrap();
    ride(&["report", CHICAGO, "--out", &text(&out)]).ends(0);
    let left: Vec<String> = files(&out).into_iter().map(|(name, _)| name).collect();
    assert!(!left.iter().any(|name| name.contains("writing")), "{left:?}");
}
