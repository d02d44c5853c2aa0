//! Deterministic weather files of 30 years, with invented values: the wide layout of Global Hourly with two or three
//! reports an hour and about 400 bytes a row, and the generic CSV with 44 bytes a row.

use std::fs::File;
use std::io::{BufWriter, Result, Write};
use std::path::Path;

/// A small generator of numbers (xorshift64*), so that files are the same everywhere.
pub struct Numbers(u64);

impl Numbers {
    /// Begins at `seed`.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number, 0 to 1.
    pub fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// First year and years of both files.
const FIRST_YEAR: i32 = 1991;

/// Every hour of `years` years with an invented temperature.
fn hours(
    years: i32,
    mut take: impl FnMut(chrono::NaiveDateTime, f64, &mut Numbers) -> Result<()>,
) -> Result<()> {
    let mut numbers = Numbers::new(7);
    let begin = chrono::NaiveDate::from_ymd_opt(FIRST_YEAR, 1, 1).and_then(|day| day.and_hms_opt(0, 0, 0));
    let end =
        chrono::NaiveDate::from_ymd_opt(FIRST_YEAR + years, 1, 1).and_then(|day| day.and_hms_opt(0, 0, 0));
    let (Some(mut at), Some(end)) = (begin, end) else { return Ok(()) };
    let mut weather = 0.0;
    while at < end {
        let day = f64::from(chrono::Datelike::ordinal(&at)) / 365.25;
        let clock = f64::from(chrono::Timelike::hour(&at)) / 24.0;
        weather = 0.98 * weather + 1.6 * (numbers.next() - 0.5);
        let air = 10.0
            - 12.0 * ((day - 0.05) * std::f64::consts::TAU).cos()
            - 5.0 * ((clock - 0.1) * std::f64::consts::TAU).cos()
            + 3.0 * weather;
        take(at, air, &mut numbers)?;
        at += chrono::TimeDelta::hours(1);
    }
    Ok(())
}

/// The generic CSV with time and temperature alone.
#[allow(dead_code, reason = "not every bench that uses this file writes all kinds")]
pub fn write_temperature(path: &Path, years: i32) -> Result<()> {
    let mut out = BufWriter::new(File::create(path)?);
    writeln!(out, "time,temp_c")?;
    hours(years, |at, air, _| writeln!(out, "{},{air:.1}", at.format("%Y-%m-%dT%H:%M:%SZ")))?;
    out.flush()
}

/// The generic CSV: time, temperature, three irradiances, wind.
pub fn write_generic(path: &Path, years: i32) -> Result<()> {
    let mut out = BufWriter::new(File::create(path)?);
    writeln!(out, "time,temp_c,ghi,dni,dhi,wind")?;
    hours(years, |at, air, numbers| {
        let sun =
            ((f64::from(chrono::Timelike::hour(&at)) - 19.0) / 12.0 * std::f64::consts::PI).cos().max(0.0);
        let (ghi, wind) = (sun * 800.0 * numbers.next(), 6.0 * numbers.next());
        writeln!(
            out,
            "{},{air:.1},{ghi:.1},{:.1},{:.1},{wind:.2}",
            at.format("%Y-%m-%dT%H:%M:%SZ"),
            ghi * 0.8,
            ghi * 0.3
        )
    })?;
    out.flush()
}

/// Global Hourly: 37 columns, all quoted, remarks with commas.
pub fn write_global_hourly(path: &Path, years: i32) -> Result<()> {
    let mut out = BufWriter::with_capacity(1 << 20, File::create(path)?);
    let groups = "\"AA1\",\"AA2\",\"AJ1\",\"AT1\",\"AU1\",\"GA1\",\"GA2\",\"GA3\",\"GD1\",\"GD2\",\"GE1\",\"GF1\",\"KA1\",\"MA1\",\"MD1\",\"MW1\",\"OC1\",\"OD1\",\"REM\",\"EQD\",\"UA1\"";
    writeln!(
        out,
        "\"STATION\",\"DATE\",\"SOURCE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"REPORT_TYPE\",\"CALL_SIGN\",\"QUALITY_CONTROL\",\"WND\",\"CIG\",\"VIS\",\"TMP\",\"DEW\",\"SLP\",{groups}"
    )?;
    hours(years, |at, air, numbers| {
        let date = at.format("%Y-%m-%d");
        let hour = chrono::Timelike::hour(&at);
        let reports = if numbers.next() < 1.0 / 3.0 { 3 } else { 2 };
        for report in 0..reports {
            let (minute, kind) = [(0, "FM-12"), (53, "FM-15"), (30 + hour % 20, "FM-16")][report];
            let tenths = ((air + numbers.next() - 0.5) * 10.0).round();
            let tmp = if numbers.next() < 0.004 { "+9999,9".to_owned() } else { format!("{tenths:+05.0},5") };
            let (speed, oktas) = ((numbers.next() * 90.0) as u32, (numbers.next() * 9.0) as u32);
            let sky = if report == 0 {
                format!("{oktas:02},99,1,99,9,99,9,99999,9,99,9,99,9")
            } else {
                String::new()
            };
            writeln!(
                out,
                "\"99999900001\",\"{date}T{hour:02}:{minute:02}:00\",\"7\",\"39.74\",\"-104.98\",\"1610.0\",\"INVENTED PLAIN, XX US\",\"{kind}\",\"KXXX \",\"V030\",\"{:03},5,N,{speed:04},5\",\"22000,5,9,N\",\"016093,5,N,5\",\"{tmp}\",\"{:+05.0},5\",\"10{:03},5\",\"01,0000,9,5\",\"\",\"\",\"\",\"\",\"{oktas:02},5,+01500,5,99,9\",\"\",\"\",\"{},99,5,+01500,9,9\",\"\",\"9,AGL ,+99999,+99999\",\"{sky}\",\"\",\"10180,5,08340,5\",\"\",\"\",\"\",\"\",\"MET10501/01/31 {hour:02}:{minute:02}:00 METAR KXXX 01{hour:02}{minute:02}Z 27010KT 10SM FEW050, invented, RMK AO2 SLP180 T00441017\",\"\",\"\"",
                (numbers.next() * 36.0) as u32 * 10,
                tenths - 40.0,
                180 + oktas,
                oktas / 2,
            )?;
        }
        Ok(())
    })?;
    out.flush()
}
