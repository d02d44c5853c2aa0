//! Guards the house: which room may use which, how long a file may be, where files are opened, and that DEVELOPERS.md
//! shows the same table.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms, lowest first: floor, names (a folder with a slash, else files), purpose in one line. A room may use
/// itself and every row above it.
const ROOMS: &[(u8, &[&str], &str)] = &[
    (0, &["num/"], "root finding and other plain numbers"),
    (
        0,
        &["units.rs", "time.rs", "place.rs"],
        "quantities and how they print; stamps, zones, local days, seasons; a point on the earth",
    ),
    (
        0,
        &["note.rs", "sources.rs"],
        "a counted, located remark with advice; the keys of the literature that numbers rest on",
    ),
    (1, &["sun/"], "where the sun is: exact nodes, interpolated; refraction; air mass; light above the air"),
    (1, &["sky/"], "what light a record holds; clear sky, clouds, splitting global light, light on a plane"),
    (
        1,
        &["heat/"],
        "cell temperature: steady by mount, night cooling, the hot side, what follows sudden sun",
    ),
    (1, &["module/"], "from a label to open-circuit voltage, short-circuit current, and the curve between"),
    (
        1,
        &["extreme/"],
        "block extremes: n-year and predictive levels, errors, intervals, odds, goodness of fit",
    ),
    (1, &["weather/"], "public hourly files: detected, read, cleaned, joined to the record of a station"),
    (2, &["array/"], "strings, mounts, battery, components with their ratings: validated types"),
    (
        2,
        &["trip.rs", "assumptions.rs", "cite.rs"],
        "stops and windows; the assumptions with value, unit, reason; what is cited by the rules of a plan",
    ),
    (2, &["plan/"], "the TOML file: schema, defaults, messages; builds array, trip, assumptions"),
    (
        3,
        &["hourly/"],
        "one hour of weather in, one hour of electrical state out; the loop; seasons and windows",
    ),
    (4, &["limits/"], "the rules: a rating against what was observed, counted and expected"),
    (5, &["study/"], "the runs: each returns one results type or hands rows to a sink"),
    (6, &["report/"], "results become a document: text, HTML, CSV, JSON, charts, as strings or bytes"),
    (7, &["cli/", "main.rs"], "arguments, files, colour, exit status"),
];

/// Lines that no file of src may pass.
const LONGEST_FILE: usize = 700;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("src is readable") {
        let path = entry.expect("an entry of src").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

fn all_sources() -> Vec<(String, String)> {
    let src = root().join("src");
    let mut paths = Vec::new();
    sources(&src, &mut paths);
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let name = path.strip_prefix(&src).expect("below src").to_string_lossy().replace('\\', "/");
            (name, fs::read_to_string(&path).expect("a source file is text"))
        })
        .collect()
}

/// Row of the room that a file or a path's first segment belongs to.
fn row_of(name: &str) -> Option<usize> {
    let first = name.split('/').next().unwrap_or(name);
    let module = first.trim_end_matches(".rs");
    ROOMS.iter().position(|(_, names, _)| {
        names.iter().any(|room| room.trim_end_matches('/').trim_end_matches(".rs") == module)
    })
}

/// First segments of the crate's own paths in a file.
fn used_rooms(name: &str, text: &str) -> BTreeSet<String> {
    let prefix = if name == "main.rs" { "dawnvolt::" } else { "crate::" };
    let mut used = BTreeSet::new();
    for line in text.lines() {
        let code = line.split("//").next().unwrap_or("");
        for piece in code.split(prefix).skip(1) {
            // A braced list names several rooms at once.
            let names: Vec<&str> = match piece.strip_prefix('{') {
                Some(list) => list.split(['}', ',']).collect(),
                None => vec![piece],
            };
            for found in names {
                let segment: String =
                    found.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                if !segment.is_empty() {
                    used.insert(segment);
                }
            }
        }
    }
    used
}

#[test]
fn arrows_point_up_the_table_only() {
    let mut faults = Vec::new();
    for (name, text) in all_sources() {
        if name == "lib.rs" {
            continue;
        }
        let Some(row) = row_of(&name) else {
            faults.push(format!("{name} belongs to no room of the table"));
            continue;
        };
        for used in used_rooms(&name, &text) {
            match row_of(&used) {
                Some(other) if other <= row => {}
                Some(_) => {
                    faults.push(format!("{name} uses crate::{used}, which lies below it in the table"));
                }
                None => faults.push(format!("{name} uses crate::{used}, which is no room of the table")),
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_room_of_the_table_exists() {
    for (_, names, _) in ROOMS {
        for name in *names {
            assert!(
                root().join("src").join(name).exists(),
                "src/{name} is in the table but not in the house"
            );
        }
    }
}

#[test]
fn no_source_file_passes_700_lines() {
    let long: Vec<String> = all_sources()
        .into_iter()
        .filter_map(|(name, text)| {
            let lines = text.lines().count();
            (lines > LONGEST_FILE).then(|| format!("src/{name}: {lines} lines"))
        })
        .collect();
    assert!(long.is_empty(), "longer than {LONGEST_FILE} lines:\n{}", long.join("\n"));
}

#[test]
fn files_are_opened_in_three_rooms_only() {
    let mut faults = Vec::new();
    for (name, text) in all_sources() {
        let body = text.split("#[cfg(test)]").next().unwrap_or("");
        let room = name.split('/').next().unwrap_or("");
        for (number, line) in body.lines().enumerate() {
            let code = line.split("//").next().unwrap_or("");
            let opens =
                ["std::fs", "File::open", "fs::read", "OpenOptions"].iter().any(|word| code.contains(word));
            if opens && !["weather", "plan", "cli"].contains(&room) {
                faults.push(format!("src/{name}:{} opens files", number + 1));
            }
            let asks =
                ["std::env", "SystemTime", "Local::now", "Utc::now"].iter().any(|word| code.contains(word));
            if asks && room != "cli" && name != "main.rs" {
                faults.push(format!("src/{name}:{} asks the clock or the environment", number + 1));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_developers_page_shows_the_same_table() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    for (floor, names, purpose) in ROOMS {
        let rooms = names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
        let row = format!("| {floor} | {rooms} | {purpose} |");
        assert!(page.contains(&row), "DEVELOPERS.md lacks the row:\n{row}");
    }
    let shown = page.lines().filter(|line| {
        line.starts_with("| ")
            && line.chars().nth(2).is_some_and(|c| c.is_ascii_digit())
            && line.contains("| `")
    });
    assert_eq!(shown.count(), ROOMS.len(), "DEVELOPERS.md shows rows that the table does not have");
}

#[test]
fn the_top_level_holds_what_it_should() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "data",
        "tests",
        "reports",
        "target",
    ];
    for entry in fs::read_dir(root()).expect("the top level") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        let fine = name.starts_with('.') || name.starts_with("LICENSE") || allowed.contains(&name.as_str());
        assert!(fine, "{name} does not belong to the top level");
    }
}
