//! Invented archives: stations with their own climates, a file a station or a file a station and year, always the same.

use std::fs::{self, File};
use std::io::{BufWriter, Result, Write};
use std::path::Path;

/// An archive to write.
#[derive(Clone, Copy, Debug)]
pub struct Archive {
    /// Stations.
    pub stations: u32,
    /// Number of the first station.
    pub first: u32,
    /// Years of each, from 2001 on.
    pub years: i32,
    /// Hours from one reading to the next.
    pub step_h: i64,
}

/// A small generator of numbers (xorshift64*).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Writes the archive: generic CSV with the station and its place in every row.
pub fn write(folder: &Path, archive: &Archive) -> Result<()> {
    fs::create_dir_all(folder)?;
    for number in archive.first..archive.first + archive.stations {
        let mut numbers =
            Numbers(0x9E37_79B9_7F4A_7C15 ^ u64::from(number + 1).wrapping_mul(0xD134_2543_DE82_EF95));
        let (latitude, longitude) = (28.0 + 40.0 * numbers.next(), -124.0 + 56.0 * numbers.next());
        let elevation = (1800.0 * numbers.next()).round();
        let mut out = BufWriter::new(File::create(folder.join(format!("invented-{number:04}.csv")))?);
        writeln!(out, "time,temp_c,station,latitude,longitude,elevation")?;
        let begin = dawnvolt::time::Stamp::from_utc(2001, 1, 1, 0, 0, 0);
        let end = dawnvolt::time::Stamp::from_utc(2001 + archive.years, 1, 1, 0, 0, 0);
        let (Some(begin), Some(end)) = (begin, end) else { continue };
        let mut weather = 0.0;
        let mut at = begin;
        while at < end {
            let day = (at.0 - begin.0) as f64 / 86_400.0;
            weather = 0.97 * weather + 1.9 * (numbers.next() - 0.5);
            let air = 26.0
                - 0.45 * latitude
                - 0.0065 * elevation
                - 13.0 * ((day - 18.0) / 365.2425 * std::f64::consts::TAU).cos()
                - 5.0 * ((day.fract() - 0.45) * std::f64::consts::TAU).cos()
                + 3.0 * weather;
            writeln!(out, "{at},{air:.1},S{number:04},{latitude:.3},{longitude:.3},{elevation:.0}")?;
            at = at.plus_s(archive.step_h * 3600);
        }
        out.flush()?;
    }
    Ok(())
}
