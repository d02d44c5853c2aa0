//! Files that are not what they say, or meant to harm: one clear message each, bounded memory, no panic.

#![expect(clippy::unwrap_used)]

use dawnvolt::weather::{As, Opened, Request, WeatherError, open, open_bytes};
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::{Cursor, Write};
use std::path::PathBuf;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn try_open(path: PathBuf) -> Result<Opened, WeatherError> {
    open(&Request { files: &[path], columns: None, utc_offset: None })
}

fn try_bytes(name: &str, bytes: &[u8]) -> Result<Opened, WeatherError> {
    let files = [PathBuf::from(name)];
    open_bytes(bytes, &Request { files: &files, columns: None, utc_offset: None }, As::Detected)
}

/// The message, which must name the file and hold `parts`.
fn message(name: &str, bytes: &[u8], parts: &[&str]) {
    let text = try_bytes(name, bytes).unwrap_err().to_string();
    assert!(text.contains(name), "{text}");
    for part in parts {
        assert!(text.contains(part), "{part} is not in: {text}");
    }
    assert!(!text.contains('\n'), "{text}");
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}

fn zipped(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in members {
        writer.start_file(*name, SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// Largest memory that the process has held, MB, where the system says.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_ascii_whitespace().nth(1)?.parse::<f64>().ok().map(|kib| kib * 1.024e-3)
}

#[test]
fn what_is_not_there_or_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let missing = try_open(folder.path().join("none.csv")).unwrap_err().to_string();
    assert!(missing.contains("no such file"), "{missing}");
    let directory = try_open(folder.path().to_path_buf()).unwrap_err().to_string();
    assert!(directory.contains("is a folder") && directory.contains("*.csv"), "{directory}");
    let none = open(&Request { files: &[], columns: None, utc_offset: None }).unwrap_err().to_string();
    assert!(none.contains("no weather file was named"), "{none}");
}

#[test]
fn nothing_in_it() {
    message("nothing.csv", b"", &["empty"]);
    message("blanks.csv", b"\n\n  \r\n", &["empty"]);
    message("nothing.gz", &gzip(b""), &["empty"]);
    message("header.csv", b"time,temp_c\n", &["not one usable reading"]);
}

#[test]
fn no_text() {
    message("picture.csv", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", &["PNG"]);
    message("zeros.csv", &[0; 5000], &["zero bytes"]);
    message("wide.csv", b"\xff\xfet\0i\0m\0e\0", &["UTF-16"]);
    message("page.csv", b"<!DOCTYPE html><html>404</html>", &["web page"]);
    message("twice.gz", &gzip(&gzip(b"time,temp_c\n")), &["packed twice"]);
    message("prose.csv", b"It was cold.\nVery cold.\n", &["\"It was cold.\"", "[stop.columns]"]);
}

#[test]
fn packed_and_damaged() {
    let rows = "2031-01-05T06:00:00Z,-31.5\n".repeat(100_000);
    let whole = gzip(format!("time,temp_c\n{rows}").as_bytes());
    message("cut.gz", &whole[..whole.len() / 2], &["ends too early or is damaged", "download it again"]);
    message("head.gz", &whole[..6], &["ends too early or is damaged"]);
    let mut bad = whole.clone();
    let middle = bad.len() / 2;
    bad[middle..middle + 40].fill(0xa5);
    message("bad.gz", &bad, &["damaged"]);
    let archive = zipped(&[("a.csv", rows.as_bytes())]);
    message("cut.zip", &archive[..archive.len() / 2], &["damaged"]);
    message("pictures.zip", &zipped(&[("a.png", b"x")]), &["no table of readings", "a.png", "unpack it"]);
    message("book.xlsx", &zipped(&[("xl/workbook.xml", b"x")]), &["workbook", "save its sheet as CSV"]);
    message("nested.zip", &zipped(&[("inner.zip", b"x")]), &["archive inside the archive (inner.zip)"]);
    let names: Vec<String> = (0..1201).map(|at| format!("{at}.csv")).collect();
    let many: Vec<(&str, &[u8])> = names.iter().map(|name| (&**name, &b"x"[..])).collect();
    message("many.zip", &zipped(&many), &["1201 tables in one archive", "files of one station"]);
    message("old.csv", b"time,temp_c\r2031-01-05T06:00:00Z,-31.5\r", &["carriage return alone"]);
}

#[test]
fn a_bomb_costs_time_and_no_memory() {
    // 200 MB of one row out of some hundred kilobytes, and 64 MB without a line's end.
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(b"time,temp_c\n").unwrap();
    let block = "2031-01-05T06:00:00Z,-31.5\n".repeat(40_000);
    for _ in 0..180 {
        packer.write_all(block.as_bytes()).unwrap();
    }
    let bomb = packer.finish().unwrap();
    assert!(bomb.len() < 4_000_000, "{}", bomb.len());
    let opened = try_bytes("bomb.gz", &bomb).unwrap();
    assert_eq!(opened.record.hours().len(), 1);
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    let block = vec![b'7'; 1 << 20];
    for _ in 0..64 {
        packer.write_all(&block).unwrap();
    }
    let bomb = packer.finish().unwrap();
    message("line.gz", &bomb, &["no known format"]);
    let mut first = b"time,temp_c\n".to_vec();
    first.extend(std::iter::repeat_n(b'7', 10 << 20));
    message("line.csv", &first, &["line 2", "longer than 1024 KiB"]);
    if let Some(peak) = peak_mb() {
        assert!(peak < 200.0, "{peak} MB");
    }
}

#[test]
fn sizes_that_an_archive_claims_are_not_believed() {
    // The member says that it holds 4 GB.
    let mut archive = zipped(&[("a.csv", b"time,temp_c\n2031-01-05T06:00:00Z,-31.5\n")]);
    let central = archive.windows(4).position(|window| window == b"PK\x01\x02").unwrap();
    archive[central + 24..central + 28].copy_from_slice(&[0xff, 0xff, 0xff, 0xf0]);
    // Whether it opens or is refused as damaged: no panic, no allocation of that size.
    let _ = try_bytes("claims.zip", &archive).map(|opened| assert_eq!(opened.record.hours().len(), 1));
    if let Some(peak) = peak_mb() {
        assert!(peak < 200.0, "{peak} MB");
    }
}

#[test]
fn temperatures_of_another_unit_are_refused() {
    let day = |from: u32| {
        (0..48_u32).fold(String::from("time,temp_c\n"), |text, hour| {
            text + &format!("2031-07-{:02}T{:02}:00:00Z,{}\n", 1 + hour / 24, hour % 24, from + hour % 24)
        })
    };
    for (name, from) in [("fahrenheit.csv", 50), ("hot.csv", 46)] {
        message(name, day(from).as_bytes(), &["Fahrenheit", "air_unit"]);
    }
    message("kelvin.csv", day(280).as_bytes(), &["above 60 C"]);
    assert!(try_bytes("summer.csv", day(12).as_bytes()).is_ok());
}

/// Thirty days of hours and one row of a mistyped year: the row is left out and told with its line (1 + 720 + 1), and the record is
/// what it is without it. A whole day of readings years away is a mistake too; more was measured on purpose and stays.
#[test]
fn a_row_years_away_from_all_others_does_not_stretch_the_record() {
    let hours = |count: i64, first: &str| -> String {
        let first = chrono::DateTime::parse_from_rfc3339(first).unwrap();
        (0..count)
            .map(|hour| {
                let stamp = first + chrono::Duration::hours(hour);
                format!("{},{:.1}\n", stamp.format("%Y-%m-%dT%H:%MZ"), 5.0 - (hour % 24) as f64 / 4.0)
            })
            .collect()
    };
    let record = |more: &str| {
        let text = format!("time,temp_c\n{}{more}", hours(720, "2012-01-01T00:00:00Z"));
        try_bytes("stray.csv", text.as_bytes()).unwrap()
    };
    let whole = record("");
    let stray = record("2091-01-15T12:00Z,-3.0\n");
    assert_eq!(stray.record.span(), whole.record.span());
    assert_eq!(stray.record.hours().len(), 720);
    let told = |opened: &Opened| -> Vec<String> {
        let of_strays = |text: &&String| text.contains("more than two years from all others");
        opened.notes.iter().map(|note| &note.text).filter(of_strays).cloned().collect()
    };
    let notes = told(&stray);
    assert_eq!(notes.len(), 1, "{notes:?}");
    for words in ["stray.csv:722 (2091-01-15)", "left out", "the lowest is -3.0 °C", "correct the year"] {
        assert!(notes[0].contains(words), "{words}: {}", notes[0]);
    }
    assert!(told(&whole).is_empty());
    let campaign = record(&hours(25, "1991-01-15T00:00:00Z"));
    assert_eq!((campaign.record.hours().len(), told(&campaign).len()), (745, 0));
}
