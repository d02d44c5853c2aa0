//! Reading weather files against the cheapest thing that can be done with them: reading them in 256 KiB blocks and
//! counting newlines. Prints medians and ratios; ends with status 1 where a ratio breaks its bound.
//!
//! `cargo bench --bench parsing`, on one core: `taskset -c 0`. Bounds: Global Hourly with temperature and cloud at
//! most 4 times the count (goal 3), generic CSV at least 400 MB/s, peak memory below 40 MB for the wide file.

#![expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "figures for the eye"
)]

#[path = "parsing/files.rs"]
mod files;

use dawnvolt::weather::{Request, open};
use std::fs::File;
use std::hint::black_box;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// Years in the files.
const YEARS: i32 = 30;
/// Runs of which the median is printed.
const RUNS: usize = 7;
/// Largest ratio to the count for Global Hourly.
const WIDE_RATIO: f64 = 4.0;
/// Slowest reading of generic CSV, MB/s.
const GENERIC_MB_S: f64 = 400.0;
/// Largest peak of memory, MB.
const PEAK_MB: f64 = 40.0;

/// Milliseconds of several runs: the first, which asks the system for its memory, and the median.
struct Times {
    first_ms: f64,
    median_ms: f64,
}

fn times(mut run: impl FnMut()) -> Times {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let begin = Instant::now();
            run();
            begin.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    let first_ms = times[0];
    times.sort_by(f64::total_cmp);
    Times { first_ms, median_ms: times[RUNS / 2] }
}

fn newlines(path: &Path) -> usize {
    let mut block = vec![0; 256 << 10];
    let Ok(mut file) = File::open(path) else { return 0 };
    let mut count = 0;
    while let Ok(read @ 1..) = file.read(&mut block) {
        count += memchr::memchr_iter(b'\n', &block[..read]).count();
    }
    count
}

/// Peak of resident memory so far, MB, where the system says.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_ascii_whitespace().nth(1)?.parse::<f64>().ok().map(|kib| kib * 1.024e-3)
}

fn main() -> std::io::Result<()> {
    let folder = tempfile::tempdir()?;
    let wide = folder.path().join("wide.csv");
    let generic = folder.path().join("generic.csv");
    files::write_global_hourly(&wide, YEARS)?;
    files::write_generic(&generic, YEARS)?;
    let mut held = true;
    // The wide file first, so that the peak of memory is its own.
    for (name, path) in [("Global Hourly", &wide), ("generic CSV", &generic)] {
        let size_mb = std::fs::metadata(path)?.len() as f64 / 1e6;
        let list: Vec<PathBuf> = vec![path.clone()];
        let request = Request { files: &list, columns: None, utc_offset: None };
        let count = times(|| {
            black_box(newlines(path));
        });
        let mut hours = 0;
        let read = times(|| {
            hours = open(&request).map_or(0, |opened| black_box(opened).record.hours().len());
        });
        let ratio = read.median_ms / count.median_ms;
        let speed_of = |ms: f64| size_mb / ms * 1e3;
        let speed = speed_of(read.median_ms);
        let bytes_a_row = size_mb * 1e6 / newlines(path) as f64;
        println!(
            "{name}: {size_mb:.1} MB, {bytes_a_row:.0} bytes a row, {hours} hours: read {:.1} ms, {speed:.0} MB/s \
             (the first time {:.1} ms, {:.0} MB/s); count newlines {:.1} ms; ratio {ratio:.2}",
            read.median_ms,
            read.first_ms,
            speed_of(read.first_ms),
            count.median_ms
        );
        if name == "generic CSV" {
            held &= speed >= GENERIC_MB_S;
        } else {
            held &= ratio <= WIDE_RATIO;
            if let Some(peak) = peak_mb() {
                println!("peak of memory {peak:.1} MB");
                held &= peak < PEAK_MB;
            }
        }
    }
    if !held {
        eprintln!("a bound is broken: ratio {WIDE_RATIO}, {GENERIC_MB_S} MB/s, {PEAK_MB} MB");
        std::process::exit(1);
    }
    Ok(())
}
