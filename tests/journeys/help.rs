//! What the command says of itself.

use super::ride::{COMMAND, Ride, command, every_command, ride, shown};
use std::fs;
use std::path::Path;
use std::process::Command;

const COMMANDS: &[&str] = &[
    "new",
    "weather",
    "assess",
    "series",
    "report",
    "hours",
    "explain",
    "meter",
    "survey",
    "completions",
    "man",
];

/// A run in a terminal of 80 columns, in which no line is broken by the terminal itself.
#[track_caller]
fn narrow(arguments: &[&str]) -> String {
    let run: Ride = command(arguments).env("COLUMNS", "80").output().unwrap().into();
    let out = run.ends(0).quiet();
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "{arguments:?}: wider than 80 columns: {line}");
    }
    out
}

#[test]
fn alone_it_says_what_it_does_and_three_commands() {
    let out = narrow(&[]);
    assert_eq!(out.lines().filter(|line| line.starts_with("  dawnvolt ")).count(), 3, "{out}");
    shown("alone", &out, None);
}

#[test]
fn help_of_every_command_ends_with_a_worked_example() {
    let all = narrow(&["--help"]);
    for name in COMMANDS {
        assert!(all.lines().any(|line| line.trim_start().starts_with(name)), "{name} is not listed:\n{all}");
        let help = narrow(&[name, "--help"]);
        assert_eq!(ride(&["help", name]).ends(0).quiet(), ride(&[name, "--help"]).ends(0).quiet());
        let example = example(&help).unwrap_or_else(|| panic!("no example:\n{help}"));
        assert!(example.trim_start().starts_with(&format!("dawnvolt {name}")), "{help}");
        shown(&format!("help-{name}"), &help, None);
    }
    // The list above is whole: clap's own list holds nothing else.
    let listed = all.split_once("Commands:\n").unwrap().1.split_once("\n\n").unwrap().0;
    let mut listed: Vec<&str> = listed
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    listed.retain(|name| *name != "help");
    assert_eq!(listed, COMMANDS);
    // And the runs that meet faults leave none out.
    let folder = tempfile::tempdir().unwrap();
    let runs = every_command(folder.path());
    for name in COMMANDS {
        assert!(runs.iter().any(|(run, _)| run.first().is_some_and(|first| first == name)), "{name}");
    }
}

/// The examples run as they stand, one command after the other, in the folder where `new my-trip` was typed.
#[cfg(unix)]
#[test]
fn the_examples_run() {
    let folder = tempfile::tempdir().unwrap();
    let bin = Path::new(COMMAND).parent().unwrap().to_str().unwrap();
    let path = format!("{bin}:{}", std::env::var("PATH").unwrap_or_default());
    let mut runs = 0;
    for name in COMMANDS {
        let help = narrow(&[name, "--help"]);
        let example = example(&help).unwrap();
        // A table that an example needs stands behind it, from its header on.
        for (file, header) in [("places.csv", "id,name,"), ("readings.csv", "irradiance_w_m2,")] {
            let rows: Vec<&str> =
                example.lines().map(str::trim).skip_while(|line| !line.starts_with(header)).collect();
            if !rows.is_empty() {
                fs::write(folder.path().join(file), rows.join("\n")).unwrap();
            }
        }
        for line in
            example.lines().filter_map(|line| line.strip_prefix("  ")).filter(|l| l.starts_with("dawnvolt"))
        {
            let run: Ride = Command::new("sh")
                .args(["-c", line])
                .current_dir(folder.path())
                .env("PATH", &path)
                .env("COLUMNS", "80")
                .output()
                .unwrap()
                .into();
            let run = run.ends(0);
            assert_eq!(run.err, "", "{line}");
            let kept = line.split_once("> ").map(|(_, file)| fs::read(folder.path().join(file)).unwrap());
            assert!(run.out.len() > 50 || kept.is_some_and(|bytes| bytes.len() > 50), "{line}: {}", run.out);
            runs += 1;
        }
    }
    assert!(runs >= COMMANDS.len());
}

/// What stands behind "Example:" or "Examples:".
fn example(help: &str) -> Option<&str> {
    help.split_once("Example:\n").or_else(|| help.split_once("Examples:\n")).map(|(_, example)| example)
}

#[test]
fn the_version_is_the_crates() {
    assert_eq!(ride(&["--version"]).ends(0).quiet(), format!("dawnvolt {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn what_is_not_known_is_refused_with_a_way_on() {
    let message = ride(&["asess", "plan.toml"]).refused();
    assert!(message.contains("similar subcommand") && message.contains("'assess'"), "{message}");
    let message = ride(&["my-trip/plan.toml"]).refused();
    assert!(message.contains("dawnvolt assess PLAN"), "{message}");
    let message = ride(&["assess", "plan.toml", "--jason"]).refused();
    assert!(message.contains("a similar argument exists: '--json'"), "{message}");
    let message = ride(&["assess"]).refused();
    assert!(message.contains("<PLAN>"), "{message}");
    let message = ride(&["assess", "plan.toml", "--units", "metric"]).refused();
    assert!(message.contains("[possible values: si, us]"), "{message}");
    let message = ride(&["new"]).refused();
    assert!(message.contains("<DIR>"), "{message}");
    let message = ride(&["weather"]).refused();
    assert!(message.contains("<FILE>"), "{message}");
    let message = ride(&["completions", "tcsh"]).refused();
    assert!(message.contains("bash"), "{message}");
}

#[test]
fn every_shell_gets_completions_that_know_the_commands() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = ride(&["completions", shell]).ends(0).quiet();
        for name in COMMANDS {
            assert!(script.contains(name), "{shell} lacks {name}");
        }
    }
}

/// bash itself must take the script, and complete by it.
#[cfg(unix)]
#[test]
fn bash_completes_a_command() {
    let script = ride(&["completions", "bash"]).ends(0).quiet();
    let ask =
        "COMP_WORDS=(dawnvolt wea); COMP_CWORD=1; _dawnvolt dawnvolt wea dawnvolt; echo \"${COMPREPLY[@]}\"";
    let run = std::process::Command::new("bash").args(["-c", &format!("{script}\n{ask}")]).output();
    // A machine without bash cannot ask it.
    if let Ok(run) = run {
        assert_eq!(
            String::from_utf8_lossy(&run.stdout),
            "weather\n",
            "{}",
            String::from_utf8_lossy(&run.stderr)
        );
    }
}

#[test]
fn the_manual_is_roff_and_names_every_command() {
    let page = ride(&["man"]).ends(0).quiet();
    assert!(page.starts_with(".ie \\n(.g .ds Aq") || page.starts_with(".TH"), "{}", &page[..80]);
    for name in COMMANDS {
        assert!(page.contains(&format!(".SH \"DAWNVOLT {}\"", name.to_uppercase())), "{name}");
    }
}

#[test]
fn the_schema_is_json_and_knows_the_tables_of_a_plan() {
    let schema: serde_json::Value =
        serde_json::from_str(&ride(&["new", "--schema"]).ends(0).quiet()).unwrap();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    for table in ["module", "string", "battery", "component", "stop", "assumptions"] {
        assert!(schema["properties"][table].is_object(), "{table}");
    }
    ride(&["new", "--schema", "somewhere"]).refused();
}
