//! Whole processes: `assess` on 30 years of hours, against `wc -l` and against reading the same file in 256 KiB blocks and
//! counting newlines, in the same rounds; and what `survey` makes of more years and more stations.
//!
//! `cargo bench --bench whole`; behind `--`: `--years N`, `--runs N`, `--survey` (the tables of years and stations),
//! `--smoke` (one year, one run), `--write DIR` (only the files and plans, for `compare.py`). Times are medians; peak
//! memory as /usr/bin/time gives it, where it is there.

#![expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "figures for the eye"
)]

#[path = "../survey_archive/mod.rs"]
mod archive;
#[path = "parsing/files.rs"]
mod files;

use archive::Archive;
use std::fs::{self, File};
use std::hint::black_box;
use std::io::{Read, Result};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

/// The program, as it is released.
const PROGRAM: &str = env!("CARGO_BIN_EXE_dawnvolt");

/// What is asked of the bench.
struct Asked {
    years: i32,
    runs: usize,
    survey: bool,
    write: Option<PathBuf>,
}

fn asked() -> Asked {
    let mut asked = Asked { years: 30, runs: 7, survey: false, write: None };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut number = || words.next().and_then(|number| number.parse::<u16>().ok()).unwrap_or(1);
        match word.as_str() {
            "--years" => asked.years = i32::from(number()),
            "--runs" => asked.runs = usize::from(number()),
            "--survey" => asked.survey = true,
            "--smoke" => (asked.years, asked.runs) = (1, 1),
            "--write" => asked.write = words.next().map(PathBuf::from),
            // What cargo itself passes.
            _ => {}
        }
    }
    asked
}

/// A panel and a string of no maker; the components are inventions too.
const PLAN: &str = r#"title = "Bench"

[[module]]
id = "invented"
voc_v = 22.5
isc_a = 5.8
vmp_v = 18.6
imp_a = 5.38
cells_in_series = 36
voc_temp_coeff = "-0.30 %/K"
isc_temp_coeff = "0.05 %/K"

[[string]]
modules = "invented"
in_series = 2
mount = "roof"

[[component]]
kind = "disconnect"
name = "roof disconnect"
max_v = 48
rated_a = 63
poles_opened = 2

[[component]]
kind = "controller"
name = "charge controller"
max_v = 75
max_isc_a = 15
"#;

/// The jobs: name, and the file's name.
const JOBS: [(&str, &str); 3] = [
    ("generic CSV, temperature only", "temperature"),
    ("generic CSV with irradiance", "irradiance"),
    ("Global Hourly", "global-hourly"),
];

/// Writes the files and their plans.
fn write(folder: &Path, years: i32) -> Result<()> {
    fs::create_dir_all(folder)?;
    for (_, name) in JOBS {
        let path = folder.join(name).with_extension("csv");
        match name {
            "temperature" => files::write_temperature(&path, years)?,
            "irradiance" => files::write_generic(&path, years)?,
            _ => files::write_global_hourly(&path, years)?,
        }
        let place = match name {
            "global-hourly" => "",
            _ => "latitude_deg = 39.74\nlongitude_deg = -104.98\nstation_elevation_m = 1610\n",
        };
        let stop = format!("{PLAN}\n[[stop]]\nplace = \"Bench\"\nweather = [\"{name}.csv\"]\n{place}");
        fs::write(folder.join(name).with_extension("toml"), stop)?;
    }
    Ok(())
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Milliseconds of a whole process.
fn process_ms(command: &mut Command) -> f64 {
    let begin = Instant::now();
    let status = command.stdout(Stdio::null()).stderr(Stdio::null()).status();
    let ms = begin.elapsed().as_secs_f64() * 1e3;
    assert!(status.is_ok_and(|status| matches!(status.code(), Some(0 | 1))), "{command:?} could not run");
    ms
}

/// Reads a file in blocks and counts its lines.
fn newlines(path: &Path) -> usize {
    let mut block = vec![0; 256 << 10];
    let Ok(mut file) = File::open(path) else { return 0 };
    let mut count = 0;
    while let Ok(read @ 1..) = file.read(&mut block) {
        count += memchr::memchr_iter(b'\n', &block[..read]).count();
    }
    count
}

/// Peak memory of a process, MB; `None` where the tool that tells is not there.
fn peak_mb(arguments: &[&std::ffi::OsStr]) -> Option<f64> {
    let told = Command::new("/usr/bin/time").args(["-f", "%M", PROGRAM]).args(arguments).output().ok()?;
    let text = String::from_utf8_lossy(&told.stderr).into_owned();
    text.lines().last()?.trim().parse::<f64>().ok().map(|kib| kib * 1.024e-3)
}

fn assess(folder: &Path, runs: usize) -> Result<()> {
    println!(
        "{:32} {:>8} {:>9} {:>7} {:>8} {:>8} {:>8}",
        "assess", "MB", "ms", "wc ms", "x wc", "x count", "peak MB"
    );
    for (title, name) in JOBS {
        let (file, plan) =
            (folder.join(name).with_extension("csv"), folder.join(name).with_extension("toml"));
        let (mut own, mut wc, mut count) = (Vec::new(), Vec::new(), Vec::new());
        // In turn, so that a noisy moment falls on all.
        for _ in 0..runs {
            own.push(process_ms(Command::new(PROGRAM).arg("assess").arg(&plan).arg("--json")));
            wc.push(process_ms(Command::new("wc").arg("-l").arg(&file)));
            let begin = Instant::now();
            black_box(newlines(&file));
            count.push(begin.elapsed().as_secs_f64() * 1e3);
        }
        let peak = peak_mb(&["assess".as_ref(), plan.as_os_str(), "--json".as_ref()]);
        let (own, wc, count) = (median(own), median(wc), median(count));
        let peak = peak.map_or("?".to_owned(), |mb| format!("{mb:.0}"));
        let size_mb = fs::metadata(&file)?.len() as f64 / 1e6;
        println!(
            "{title:32} {size_mb:8.1} {own:9.1} {wc:7.1} {:8.1} {:8.1} {peak:>8}",
            own / wc,
            own / count
        );
    }
    Ok(())
}

/// Years against time, stations against time, one thread against two.
fn survey(folder: &Path, runs: usize) -> Result<()> {
    let plan = folder.join("temperature.toml");
    let ms = |archive: &Path, threads: &str| {
        let run = || {
            let out = folder.join("survey-out");
            process_ms(
                Command::new(PROGRAM)
                    .arg("survey")
                    .arg(&plan)
                    .arg(archive)
                    .args(["--threads", threads, "--out"])
                    .arg(&out),
            )
        };
        median((0..runs).map(|_| run()).collect())
    };
    println!(
        "{:>9} {:>6} {:>8} {:>10} {:>10} {:>8} {:>10}",
        "stations", "years", "MB", "1 thread", "2 threads", "ratio", "ms/st.year"
    );
    for (stations, years, step_h) in
        [(1, 1, 1), (1, 3, 1), (1, 10, 1), (1, 30, 1), (10, 10, 1), (100, 10, 1), (400, 10, 1)]
    {
        let archive = folder.join(format!("archive-{stations}-{years}"));
        archive::write(&archive, &Archive { stations, first: 0, years, step_h })?;
        let mut bytes = 0;
        for entry in fs::read_dir(&archive)? {
            bytes += entry?.metadata()?.len();
        }
        let (one, two) = (ms(&archive, "1"), ms(&archive, "2"));
        println!(
            "{stations:9} {years:6} {:8.1} {one:10.1} {two:10.1} {:8.2} {:10.3}",
            bytes as f64 / 1e6,
            one / two,
            one / f64::from(stations) / f64::from(years)
        );
        fs::remove_dir_all(&archive)?;
    }
    let peak = |stations: u32| {
        let archive = folder.join(format!("archive-{stations}-memory"));
        archive::write(&archive, &Archive { stations, first: 0, years: 2, step_h: 3 }).ok()?;
        let out = folder.join("survey-out");
        peak_mb(&[
            "survey".as_ref(),
            plan.as_os_str(),
            archive.as_os_str(),
            "--threads".as_ref(),
            "2".as_ref(),
            "--out".as_ref(),
            out.as_os_str(),
        ])
    };
    for stations in [10, 1000] {
        println!(
            "peak memory with {stations} stations of 2 years: {:.1} MB",
            peak(stations).unwrap_or(f64::NAN)
        );
    }
    Ok(())
}

fn main() -> Result<()> {
    let asked = asked();
    if let Some(folder) = &asked.write {
        return write(folder, asked.years);
    }
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    write(folder.path(), asked.years)?;
    assess(folder.path(), asked.runs)?;
    if asked.survey {
        survey(folder.path(), asked.runs)?;
    }
    Ok(())
}
