//! The README's commands are run as a reader types them, and what it shows of their output is what they print.
//!
//! Blocks marked `console` hold commands behind `$ ` and their output, set for a terminal of 80 columns. A line `...` stands
//! for lines that are left out. They are run in order, in one folder that holds a copy of `data/`, by a shell that finds the
//! built command. After a change that is meant: `README=write cargo test --test readme`, then read what changed.

#![cfg(unix)]
#![expect(clippy::unwrap_used)]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What stands in blocks marked `sh`: commands that a test cannot run, each with the reason.
const NOT_RUN: &[(&str, &str)] = &[
    ("cargo install --path . --locked", "installs into the home of whoever tests"),
    ("cargo run --release -- report data/demo/plan.toml", "builds; `.ci/run` runs it"),
    ("cargo test", "is what runs"),
    (
        "dawnvolt survey my-trip/plan.toml archive/ --out reports/survey",
        "wants an archive; tests/survey.rs has one",
    ),
];

const LEFT_OUT: &str = "...";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn readme() -> String {
    fs::read_to_string(root().join("README.md")).unwrap()
}

/// A fenced block: its mark, its lines.
struct Block<'t> {
    mark: &'t str,
    lines: Vec<&'t str>,
}

fn blocks(text: &str) -> Vec<Block<'_>> {
    let mut found = Vec::new();
    let mut open: Option<Block<'_>> = None;
    for line in text.lines() {
        match (line.strip_prefix("```"), open.take()) {
            (Some(mark), None) => open = Some(Block { mark, lines: Vec::new() }),
            (Some(_), Some(block)) => found.push(block),
            (None, Some(mut block)) => {
                block.lines.push(line);
                open = Some(block);
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a block is not closed");
    found
}

/// A command and what is shown of its output.
struct Shown<'t> {
    command: &'t str,
    output: Vec<&'t str>,
}

fn shown<'t>(block: &Block<'t>) -> Vec<Shown<'t>> {
    let mut all: Vec<Shown<'t>> = Vec::new();
    for line in &block.lines {
        match line.strip_prefix("$ ") {
            Some(command) => all.push(Shown { command, output: Vec::new() }),
            None => all.last_mut().expect("a block begins with a command").output.push(line),
        }
    }
    all
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// What a terminal shows of a command: both streams together.
fn typed(folder: &Path, command: &str) -> String {
    let bin = Path::new(env!("CARGO_BIN_EXE_dawnvolt")).parent().unwrap().to_str().unwrap();
    let path = std::env::var("PATH").unwrap_or_default();
    let run = Command::new("sh")
        .args(["-c", &format!("{{ {command}\n}} 2>&1")])
        .current_dir(folder)
        .env("PATH", format!("{bin}:{path}"))
        .env("COLUMNS", "80")
        .env("NO_COLOR", "1")
        .env("LC_ALL", "C")
        .output()
        .unwrap();
    String::from_utf8(run.stdout).unwrap()
}

/// The pieces between lines that are left out; an empty first or last piece stands for a left-out end.
fn pieces<'t>(output: &[&'t str]) -> Vec<Vec<&'t str>> {
    output.split(|line| line.trim() == LEFT_OUT).map(<[&str]>::to_vec).collect()
}

/// Whether the shown pieces stand in the printed lines in order, the first at the beginning, the last at the end.
fn agrees(shown: &[&str], printed: &[&str]) -> Result<(), String> {
    let pieces = pieces(shown);
    let last = pieces.len() - 1;
    let mut from = 0;
    for (index, piece) in pieces.iter().enumerate() {
        if piece.is_empty() {
            continue;
        }
        let fits = |at: usize| printed.get(at..at + piece.len()).is_some_and(|lines| lines == &piece[..]);
        let found = match index {
            0 => Some(0).filter(|_| fits(0)),
            _ => (from..printed.len()).find(|&at| fits(at)),
        };
        let Some(at) = found else { return Err(piece.join("\n")) };
        from = at + piece.len();
        if index == last && from != printed.len() && (index > 0 || printed.len() > piece.len()) {
            let ends = printed.len() >= piece.len() && fits(printed.len() - piece.len());
            if !ends {
                return Err(format!("the output goes on behind:\n{}", piece.join("\n")));
            }
        }
    }
    Ok(())
}

/// The pieces as they are printed now: each where its first line is found, or the line most like it.
fn renewed(shown: &[&str], printed: &[&str]) -> Vec<String> {
    let pieces = pieces(shown);
    if pieces.len() == 1 {
        return printed.iter().map(|&line| line.to_owned()).collect();
    }
    let mut lines = Vec::new();
    let mut from = 0;
    for (index, piece) in pieces.iter().enumerate() {
        if index > 0 {
            lines.push(LEFT_OUT.to_owned());
        }
        let Some(first) = piece.first() else { continue };
        let at = if index == 0 {
            0
        } else {
            (from..printed.len())
                .max_by(|&a, &b| {
                    let like = |at: usize| strsim::normalized_levenshtein(first, printed[at]);
                    like(a).total_cmp(&like(b)).then(b.cmp(&a))
                })
                .unwrap_or(from)
        };
        let end = (at + piece.len()).min(printed.len());
        lines.extend(printed[at..end].iter().map(|&line| line.to_owned()));
        from = end;
    }
    lines
}

#[test]
fn every_command_prints_what_the_readme_shows() {
    let text = readme();
    let writes = std::env::var("README").is_ok_and(|word| word == "write");
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("data"), &folder.path().join("data"));
    let mut new = text.clone();
    let (mut commands, mut wrong) = (0, String::new());
    for block in blocks(&text).iter().filter(|block| block.mark == "console") {
        for part in shown(block) {
            commands += 1;
            let printed = typed(folder.path(), part.command);
            let printed: Vec<&str> = printed.lines().collect();
            if let Err(missing) = agrees(&part.output, &printed) {
                let _ =
                    writeln!(wrong, "$ {}\nis not printed any more:\n{missing}\n\nprinted:", part.command);
                let _ =
                    writeln!(wrong, "{}\n", printed.iter().take(40).copied().collect::<Vec<_>>().join("\n"));
                let old = format!("$ {}\n{}", part.command, part.output.join("\n"));
                let fresh = format!("$ {}\n{}", part.command, renewed(&part.output, &printed).join("\n"));
                new = new.replacen(&old, &fresh, 1);
            }
        }
    }
    assert!(commands >= 10, "only {commands} commands found: the reading of the README is broken");
    if writes {
        fs::write(root().join("README.md"), new).unwrap();
    } else {
        assert!(wrong.is_empty(), "{wrong}\nREADME=write cargo test --test readme writes it anew");
    }
}

#[test]
fn every_block_is_of_a_known_kind_and_what_is_not_run_is_listed() {
    for block in blocks(&readme()) {
        match block.mark {
            "console" => {
                for part in shown(&block) {
                    assert!(!part.output.is_empty(), "{} shows no output", part.command);
                    assert!(part.command.chars().count() <= 78, "too long to type: {}", part.command);
                    for line in part.output {
                        assert!(line.chars().count() <= 80, "wider than 80 columns: {line}");
                    }
                }
            }
            "toml" => {}
            "sh" => {
                for line in block.lines {
                    assert!(
                        NOT_RUN.iter().any(|(command, _)| *command == line),
                        "neither run nor listed: {line}"
                    );
                }
            }
            other => panic!("a block marked \"{other}\": {:?}", block.lines),
        }
    }
    for (command, _) in NOT_RUN {
        assert!(readme().contains(command), "listed, but not in the README: {command}");
    }
}

/// Three years of a logger in its own columns: degrees Fahrenheit, every hour.
fn logger() -> String {
    let mut csv = String::from("when,outside\n");
    let months = (2029..=2031).flat_map(|year| {
        (1..)
            .zip([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
            .map(move |(month, days)| (year, month, days))
    });
    for (year, month, days) in months {
        for day in 1..=days {
            for hour in 0..24 {
                let warmth = 6 * i32::abs(7 - month);
                let _ = writeln!(
                    csv,
                    "{year}-{month:02}-{day:02} {hour:02}:00,{}.{}",
                    60 - warmth + hour / 3,
                    day % 10
                );
            }
        }
    }
    csv
}

/// The stops that the README shows replace the starter's own and run.
#[test]
fn the_stops_that_are_shown_are_good_ones() {
    let text = readme();
    let folder = tempfile::tempdir().unwrap();
    typed(folder.path(), "dawnvolt new my-trip");
    let weather = folder.path().join("my-trip/weather");
    fs::rename(weather.join("invented-valley.csv.gz"), weather.join("juniper-flat-2001.csv.gz")).unwrap();
    fs::write(weather.join("logger.csv"), logger()).unwrap();
    let plan = folder.path().join("my-trip/plan.toml");
    let starter = fs::read_to_string(&plan).unwrap();
    let (before, _) = starter.rsplit_once("[[stop]]").unwrap();
    let mut shown = 0;
    for block in blocks(&text).iter().filter(|block| block.mark == "toml") {
        shown += 1;
        fs::write(&plan, format!("{before}{}\n", block.lines.join("\n"))).unwrap();
        let out = typed(folder.path(), "dawnvolt assess my-trip/plan.toml; echo \"exit status $?\"");
        assert!(out.starts_with("WITHIN") && out.ends_with("exit status 0\n"), "{out}");
        let place = block.lines.iter().find_map(|line| line.strip_prefix("place = ")).unwrap();
        assert!(out.contains(&place[1..10]), "{place}: {out}");
    }
    assert_eq!(shown, 2);
}

/// Commands named in running text and tables exist, with options that they know.
#[test]
fn commands_in_running_text_are_real() {
    let text = readme();
    let mut seen = 0;
    for code in text.split('`').skip(1).step_by(2).filter(|code| !code.contains('\n')) {
        let Some(rest) = code.strip_prefix("dawnvolt ") else { continue };
        let mut words = rest.split_whitespace();
        let name = words.next().unwrap();
        if name.chars().all(char::is_uppercase) || name.starts_with('-') {
            continue;
        }
        let help = typed(Path::new("."), &format!("dawnvolt {name} --help"));
        assert!(help.contains(&format!("Usage: dawnvolt {name}")), "`{code}`: no command {name}");
        for option in words.filter(|word| word.starts_with("--") && *word != "--help") {
            assert!(help.contains(option), "`{code}`: {name} knows no {option}");
        }
        seen += 1;
    }
    assert!(seen >= 10, "only {seen} commands found in running text");
}

#[test]
fn it_stays_a_page_that_is_read() {
    let text = readme();
    assert!(text.lines().count() <= 400, "the README has {} lines", text.lines().count());
    for (number, line) in text.lines().enumerate() {
        assert!(line.starts_with('|') || line.chars().count() <= 130, "line {}: {line}", number + 1);
    }
    // The list of contents leads somewhere.
    for link in text.split("](#").skip(1) {
        let anchor = link.split(')').next().unwrap();
        let found = text.lines().filter_map(|line| line.strip_prefix("## ")).any(|title| {
            let slug: String = title
                .to_lowercase()
                .chars()
                .filter(|c| c.is_alphanumeric() || *c == ' ' || *c == '-')
                .map(|c| if c == ' ' { '-' } else { c })
                .collect();
            slug == anchor
        });
        assert!(found, "no heading for #{anchor}");
    }
}

#[test]
fn the_comparison_notices() {
    let printed = ["a", "b", "c", "d", "e"];
    assert!(agrees(&["a", "b", "...", "d", "..."], &printed).is_ok());
    assert!(agrees(&["a", "...", "e"], &printed).is_ok());
    assert!(agrees(&["a", "b", "c", "d", "e"], &printed).is_ok());
    assert!(agrees(&["...", "c", "..."], &printed).is_ok());
    for wrong in [
        &["b", "..."][..],
        &["a", "...", "d"],
        &["a", "b", "c", "d"],
        &["a", "...", "d", "...", "b", "..."],
        &["a", "x", "..."],
    ] {
        assert!(agrees(wrong, &printed).is_err(), "{wrong:?}");
    }
    assert_eq!(renewed(&["A", "...", "D", "..."], &printed), ["a", "...", "b", "..."].map(String::from));
}
