//! No reader panics, whatever the bytes: fixtures, mutated, read as what they are and as every other format; and the
//! corpora of the fuzz targets, replayed.

#![expect(clippy::unwrap_used)]

use dawnvolt::time::UtcOffset;
use dawnvolt::weather::{As, Record, Request, formats, open_bytes};
use proptest::prelude::*;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// Bytes of every fixture that is small, and of every corpus.
static SEEDS: LazyLock<Vec<Vec<u8>>> = LazyLock::new(|| {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let mut seeds = Vec::new();
    collect(&root.join("formats"), &mut seeds);
    assert!(seeds.len() > 40, "{} fixtures", seeds.len());
    collect(&root.join("fuzz/corpus"), &mut seeds);
    seeds
});

/// Larger ones would only make the test slow.
const LARGEST: usize = 30_000;

fn collect(folder: &Path, seeds: &mut Vec<Vec<u8>>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            collect(&path, seeds);
        } else if path.extension().is_none_or(|end| end != "md" && end != "rs") {
            let mut bytes = std::fs::read(&path).unwrap();
            bytes.truncate(LARGEST);
            seeds.push(bytes);
        }
    }
}

/// Opens, and holds what must be true of every record.
fn survive(bytes: &[u8], format: As<'_>) {
    let files = [PathBuf::from("mutated.csv")];
    let request = Request { files: &files, columns: None, utc_offset: UtcOffset::from_hours(-7.0) };
    let Ok(opened) = open_bytes(bytes, &request, format) else { return };
    for hour in opened.record.hours() {
        assert!(
            hour.air_low_c <= hour.air_mean_c + 1e-9 && hour.air_mean_c <= f64::from(hour.air_high_c) + 1e-4
        );
        assert!((-90.0..=60.0).contains(&hour.air_low_c));
        assert!(hour.wind_m_s.is_none_or(f32::is_finite));
    }
    if let Record::Chronological(record) = &opened.record {
        assert!(record.hours.windows(2).all(|pair| pair[0].start < pair[1].start));
    }
}

/// What is done to bytes.
#[derive(Clone, Debug)]
enum Change {
    Set(usize, u8),
    Remove(usize, usize),
    Double(usize, usize),
    Cut(usize),
    Insert(usize, &'static [u8]),
}

/// Pieces that readers may trip over.
const PIECES: &[&[u8]] = &[
    b"\"",
    b",",
    b"\n",
    b"\r\n",
    b";",
    b"|",
    b"-",
    b"9999999999999999999999",
    b"1e308",
    b"NaN",
    b"24:00",
    b"\xff",
    b"\0",
    b"0000-00-00T00:00",
    b"-999.0",
    b"\xc2\xb0",
    b"Z",
];

fn change() -> impl Strategy<Value = Change> {
    let place = 0..LARGEST;
    prop_oneof![
        (place.clone(), any::<u8>()).prop_map(|(at, byte)| Change::Set(at, byte)),
        (place.clone(), 1..400_usize).prop_map(|(at, count)| Change::Remove(at, count)),
        (place.clone(), 1..400_usize).prop_map(|(at, count)| Change::Double(at, count)),
        place.clone().prop_map(Change::Cut),
        (place, prop::sample::select(PIECES)).prop_map(|(at, piece)| Change::Insert(at, piece)),
    ]
}

fn apply(bytes: &mut Vec<u8>, change: &Change) {
    let within = |at: usize| at % (bytes.len() + 1);
    match *change {
        Change::Set(at, byte) => {
            let at = within(at);
            if let Some(place) = bytes.get_mut(at) {
                *place = byte;
            }
        }
        Change::Remove(at, count) => {
            let at = within(at);
            bytes.drain(at..(at + count).min(bytes.len()));
        }
        Change::Double(at, count) => {
            let at = within(at);
            let piece = bytes[at..(at + count).min(bytes.len())].to_vec();
            bytes.splice(at..at, piece);
        }
        Change::Cut(at) => bytes.truncate(within(at)),
        Change::Insert(at, piece) => {
            let at = within(at);
            bytes.splice(at..at, piece.iter().copied());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn mutated_files_are_read_or_refused(seed in 0..1000_usize, changes in prop::collection::vec(change(), 1..6)) {
        let mut bytes = SEEDS[seed % SEEDS.len()].clone();
        for change in &changes {
            apply(&mut bytes, change);
        }
        survive(&bytes, As::Detected);
    }

    #[test]
    fn any_reader_survives_any_file(seed in 0..1000_usize, changes in prop::collection::vec(change(), 0..3)) {
        let mut bytes = SEEDS[seed % SEEDS.len()].clone();
        for change in &changes {
            apply(&mut bytes, change);
        }
        for format in formats() {
            survive(&bytes, As::Named(format));
        }
    }
}

#[test]
fn corpora_of_the_fuzz_targets_are_read_or_refused() {
    let names: Vec<&str> = formats().collect();
    for seed in SEEDS.iter() {
        survive(seed, As::Detected);
        // The target for readers takes the format from the first byte.
        if let Some((first, rest)) = seed.split_first() {
            survive(rest, As::Named(names[usize::from(*first) % names.len()]));
        }
    }
}
