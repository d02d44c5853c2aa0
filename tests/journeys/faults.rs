//! Faults from outside: no room, no permission, little memory, a signal in the middle. Nothing is ever half-written.

#![cfg(unix)]

use super::ride::{CHICAGO, COMMAND, Ride, at_home, command, every_command, files, names, ride, text};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// The command behind a line of the shell that sets a limit.
fn limited<S: AsRef<std::ffi::OsStr>>(limit: &str, arguments: &[S]) -> Ride {
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
    let mut runs = every_command(folder.path());
    let demo =
        ["report", "data/demo/plan.toml", "--out", &text(&folder.path().join("demo"))].map(str::to_owned);
    runs.push((demo.to_vec(), 0));
    for (arguments, status) in runs {
        let run = limited(LIMIT, &arguments);
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

/// The disk fills after every power of two of blocks: each command ends well or says so, and each folder is the old one or
/// the new one, file by file, without litter.
#[test]
fn a_disk_that_fills_at_any_moment_leaves_whole_files() {
    let folder = tempfile::tempdir().unwrap();
    let all = every_command(folder.path());
    let writes = |run: &[String]| {
        run.iter().any(|part| part == "--out") || run.len() == 2 && run[0] == "new" && run[1] != "--schema"
    };
    let tables: Vec<&Vec<String>> = all.iter().map(|(run, _)| run).filter(|run| writes(run)).collect();
    assert_eq!(tables.len(), 3, "new, report, survey");
    for run in tables {
        let out = Path::new(run.iter().rev().find(|part| part.starts_with(&text(folder.path()))).unwrap());
        command(run).output().unwrap();
        let undisturbed = files(out);
        let (mut failed, mut went_well) = (0, 0);
        for blocks in [0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048, 4096] {
            let _ = fs::remove_dir_all(out);
            let ended = limited(&format!("trap '' XFSZ; ulimit -f {blocks}"), run);
            let left = files(out);
            if ended.status == Some(0) {
                went_well += 1;
            } else {
                failed += 1;
                let message = ended.err;
                assert_eq!(ended.status, Some(2), "{run:?} {blocks}: {message}");
                assert!(message.contains("File too large"), "{run:?} {blocks}: {message}");
                // A survey keeps its journal, from which it goes on, and the files that were whole before.
                let kept = |file: &(String, Vec<u8>)| {
                    run[0] == "survey" && (file.0 == ".dawnvolt-survey.jsonl" || undisturbed.contains(file))
                };
                assert!(left.iter().all(kept), "{run:?} {blocks}: {:?}", names(out));
            }
        }
        assert!(failed >= 2 && went_well >= 2, "{run:?}: {failed} failed, {went_well} went well");
    }
}

/// Standard output goes to a file on a disk that fills: the command says so instead of ending as if all were there.
#[test]
fn an_answer_that_does_not_fit_is_said() {
    let folder = tempfile::tempdir().unwrap();
    for (run, _) in every_command(folder.path()) {
        let out = folder.path().join("answer");
        let whole = command(&run).output().unwrap().stdout;
        for name in ["trip", "report", "survey"] {
            let _ = fs::remove_dir_all(folder.path().join(name));
        }
        if whole.len() <= 1024 {
            continue;
        }
        let ended = Command::new("sh")
            .args(["-c", "trap '' XFSZ; ulimit -f 2; exec \"$@\" > \"$ANSWER\"", "sh", COMMAND])
            .args(&run)
            .env("ANSWER", &out)
            .env("COLUMNS", "100")
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let err = String::from_utf8(ended.stderr).unwrap();
        assert_eq!(ended.status.code(), Some(2), "{run:?}: {err}");
        assert!(err.contains("File too large"), "{run:?}: {err}");
        assert!(whole.starts_with(&fs::read(&out).unwrap()), "{run:?}");
    }
}

/// Streams without an end, in every place that takes a file: a bound is met, memory stays small.
#[cfg(target_os = "linux")]
#[test]
fn input_without_an_end_meets_a_bound() {
    let folder = tempfile::tempdir().unwrap();
    let out = text(&folder.path().join("survey"));
    for (arguments, words) in [
        (&["assess", "/dev/zero"][..], "is larger than"),
        (&["weather", "/dev/zero"], "zero bytes"),
        (&["meter", CHICAGO, "--from", "/dev/zero"], "more than 64 MiB"),
        (&["survey", CHICAGO, "/dev/zero", "--out", &out], "zero bytes"),
    ] {
        let run = limited("ulimit -v 409600", arguments);
        assert_eq!(run.status, Some(2), "{arguments:?}: {}", run.err);
        assert!(run.err.contains("error: ") && run.err.contains(words), "{arguments:?}: {}", run.err);
        let piped: Vec<&str> =
            arguments.iter().map(|part| if *part == "/dev/zero" { "-" } else { part }).collect();
        if piped[0] == "survey" {
            continue;
        }
        let run = limited("ulimit -v 409600; exec < /dev/zero", &piped);
        assert_eq!(run.status, Some(2), "{piped:?}: {}", run.err);
    }
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

/// SIGINT; where the tests themselves were started with it ignored, as shells do behind `&`, children never see it, and
/// SIGTERM stands for it.
fn interrupting_signal() -> &'static str {
    let probe = Command::new("sh").args(["-c", "kill -INT $$; exit 7"]).status().unwrap();
    if probe.code() == Some(7) { "-TERM" } else { "-INT" }
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
    let signal = interrupting_signal();
    for step in 1..=12 {
        let child = Command::new(COMMAND)
            .args(["report", &new_plan, "--out", &text(&out)])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(whole * step / 10);
        let killed = Command::new("kill").args([signal, &child.id().to_string()]).output().unwrap();
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
