//! One run of the command, and short ways to look at what it left.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The built command.
pub const COMMAND: &str = env!("CARGO_BIN_EXE_dawnvolt");
/// A plan on a real record with five complete winters.
pub const CHICAGO: &str = "tests/plans/chicago.toml";

/// What a run left behind.
#[derive(Debug)]
pub struct Ride {
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
    /// Exit status; `None` where a signal ended it.
    pub status: Option<i32>,
}

impl From<Output> for Ride {
    fn from(output: Output) -> Self {
        Self {
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
            status: output.status.code(),
        }
    }
}

impl Ride {
    /// Fails unless the run ended with that status; hands the run back.
    #[track_caller]
    pub fn ends(self, status: i32) -> Self {
        assert_eq!(self.status, Some(status), "out: {}\nerr: {}", self.out, self.err);
        self
    }

    /// Fails unless the run could not start, said one error and printed nothing; hands the error back.
    #[track_caller]
    pub fn refused(self) -> String {
        assert_eq!((self.status, self.out.as_str()), (Some(2), ""), "err: {}", self.err);
        assert!(self.err.starts_with("error: "), "{}", self.err);
        self.err
    }

    /// Fails unless standard error is empty; hands standard output back.
    #[track_caller]
    pub fn quiet(self) -> String {
        assert_eq!(self.err, "");
        self.out
    }
}

/// The command with these arguments, in the repository's folder, 100 columns wide, without colour settings.
pub fn command<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Command {
    let mut command = Command::new(COMMAND);
    command
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("COLUMNS", "100")
        .env_remove("NO_COLOR")
        .stdin(Stdio::null());
    command
}

/// A run to its end.
pub fn ride<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Ride {
    command(arguments).output().unwrap().into()
}

/// A run with something on standard input.
pub fn ride_with<S: AsRef<std::ffi::OsStr>>(arguments: &[S], input: &[u8]) -> Ride {
    let mut child = command(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    // A run that is refused early closes its end first; its message is what counts.
    let _ = stdin.write_all(input);
    drop(stdin);
    child.wait_with_output().unwrap().into()
}

/// Every command once or more, with arguments that serve and the status that it ends with. What is written goes below
/// `folder`, which the caller keeps fresh.
pub fn every_command(folder: &Path) -> Vec<(Vec<String>, i32)> {
    fs::write(folder.join("readings.csv"), "irradiance_w_m2,cell_c\n640,21\n200,-12.5\n").unwrap();
    let part = |part: &str| match (part, part.strip_prefix("FOLDER/")) {
        ("PLAN", _) => CHICAGO.to_owned(),
        (_, Some(name)) => text(&folder.join(name)),
        _ => part.to_owned(),
    };
    [
        ("new FOLDER/trip", 0),
        ("new --schema", 0),
        ("weather data/demo/weather/invented-cinder-ford.csv.gz tests/formats/epw/mcguire.epw", 0),
        ("assess PLAN", 1),
        ("assess PLAN --json", 1),
        ("series PLAN --panels 4 --battery-v 12 --controller-v 75,100", 0),
        ("report PLAN --out FOLDER/report", 0),
        ("hours PLAN", 0),
        ("explain PLAN", 0),
        ("meter PLAN --irradiance 640 --cell 21", 0),
        ("meter PLAN --from FOLDER/readings.csv", 0),
        ("survey PLAN tests/formats/tmy3 --out FOLDER/survey --threads 2", 0),
        ("completions zsh", 0),
        ("man", 0),
        ("", 0),
    ]
    .map(|(run, status)| (run.split_whitespace().map(part).collect(), status))
    .to_vec()
}

/// A path as an argument.
pub fn text(path: &Path) -> String {
    path.to_str().unwrap().to_owned()
}

/// Everything below a folder: path with forward slashes, and contents. Links are not followed.
pub fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    fn walk(folder: &Path, below: &str, found: &mut Vec<(String, Vec<u8>)>) {
        for entry in fs::read_dir(folder).unwrap() {
            let entry = entry.unwrap();
            let name = format!("{below}{}", entry.file_name().to_str().unwrap());
            if entry.file_type().unwrap().is_dir() {
                walk(&entry.path(), &format!("{name}/"), found);
            } else {
                found.push((name, fs::read(entry.path()).unwrap_or_default()));
            }
        }
    }
    let mut found = Vec::new();
    walk(folder, "", &mut found);
    found.sort();
    found
}

/// The names of [`files`].
pub fn names(folder: &Path) -> Vec<String> {
    files(folder).into_iter().map(|(name, _)| name).collect()
}

/// An absolute path of this repository.
pub fn at_home(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Runs a check with the settings of these snapshots; `hide` becomes "FOLDER" in them.
pub fn shown(name: &str, text: &str, hide: Option<&Path>) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let text = match hide {
        Some(folder) => text.replace(&text_of(folder), "FOLDER"),
        None => text.to_owned(),
    };
    settings.bind(|| insta::assert_snapshot!(name, text));
}

fn text_of(path: &Path) -> String {
    path.to_str().unwrap().to_owned()
}
