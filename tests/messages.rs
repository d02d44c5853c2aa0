//! Bad input and the message that it gets. Every file under `tests/broken` is globbed; every message is a snapshot
//! that was read by a person before it was kept.
#![expect(clippy::unwrap_used)]

use dawnvolt::plan;
use dawnvolt::weather::{self, Request};
use std::fmt::Write as _;
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

/// The table of bad inputs, `tests/broken/MESSAGES.md`: the first line of what each is told. Made anew where the variable
/// WRITE_TABLES is set.
#[test]
fn the_table_of_bad_inputs_is_true() {
    let mut rows = Vec::new();
    for path in broken("plans") {
        let snapshot = format!("plan-{}.snap", path.file_stem().unwrap().to_string_lossy());
        rows.push((name_of(&path), first_line(&snapshot).replace("tests/broken/plans/", "")));
    }
    for path in broken("snapshots") {
        let name = name_of(&path);
        if let Some(case) = name.strip_prefix("path-").and_then(|name| name.strip_suffix(".snap")) {
            rows.push((
                format!("a path: {}", case.replace('-', " ")),
                first_line(&name).replace("FOLDER/", ""),
            ));
        }
    }
    let refused = Path::new("tests/formats/refused");
    let mut files: Vec<PathBuf> = fs::read_dir(refused).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    for path in files.into_iter().filter(|path| path.extension().is_some_and(|end| end != "md")) {
        let request = Request { files: std::slice::from_ref(&path), columns: None, utc_offset: None };
        let message = weather::open(&request).unwrap_err().to_string();
        let message = message.lines().next().unwrap_or_default();
        rows.push((name_of(&path), message.replace(&format!("{}/", refused.display()), "")));
    }
    assert!(rows.len() >= 100, "{} rows", rows.len());
    let mut table = String::from(
        "# Bad inputs and their messages\n\nMade by `WRITE_TABLES=1 cargo test --test messages`, which also holds it true. \
         Of several lines the first.\n\n| input | message |\n|---|---|\n",
    );
    for (input, message) in &rows {
        writeln!(table, "| {input} | {} |", message.replace('|', "\\|")).unwrap();
    }
    let file = Path::new("tests/broken/MESSAGES.md");
    if std::env::var_os("WRITE_TABLES").is_some() {
        fs::write(file, &table).unwrap();
    }
    assert!(
        fs::read_to_string(file).unwrap_or_default() == table,
        "{} is not what messages say; with WRITE_TABLES=1 the test makes it anew",
        file.display()
    );
}

/// Every test that the developers' table of faults names is there.
#[test]
fn the_table_of_faults_names_tests_that_exist() {
    fn sources(folder: &Path, text: &mut String) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, text);
            } else if path.extension().is_some_and(|end| end == "rs") {
                text.push_str(&fs::read_to_string(&path).unwrap());
            }
        }
    }
    let mut tests = String::new();
    sources(Path::new("tests"), &mut tests);
    let page = fs::read_to_string("DEVELOPERS.md").unwrap();
    let table = page.split_once("| fault | what happens | held by |").unwrap().1;
    let table = table.split_once("\n\n").unwrap().0;
    let mut count = 0;
    for row in table.lines().skip(2) {
        let named = row.trim_end_matches(" |").rsplit(" | ").next().unwrap();
        for name in named.split(", ") {
            let name = name.trim_matches('`');
            assert!(tests.contains(&format!("fn {name}(")), "{name}");
            count += 1;
        }
    }
    assert!(count >= 25, "{count}");
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

/// The first line of a snapshot's own text.
fn first_line(snapshot: &str) -> String {
    let text = fs::read_to_string(Path::new("tests/broken/snapshots").join(snapshot)).unwrap();
    let body = text.splitn(3, "---\n").nth(2).unwrap();
    body.lines().next().unwrap().to_owned()
}
