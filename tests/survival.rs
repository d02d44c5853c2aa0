//! No reader panics, whatever the bytes: fixtures, mutated, read as what they are and as every other format; and the
//! corpora of the fuzz targets, replayed: what is in them, and what fuzzing has found, is read or refused.

#![expect(clippy::unwrap_used)]

#[path = "fuzz/checks.rs"]
mod checks;

use checks::open;
use dawnvolt::weather::{As, formats};
use proptest::prelude::*;
use std::collections::BTreeSet;
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
        open(&bytes, As::Detected);
    }

    #[test]
    fn any_reader_survives_any_file(seed in 0..1000_usize, changes in prop::collection::vec(change(), 0..3)) {
        let mut bytes = SEEDS[seed % SEEDS.len()].clone();
        for change in &changes {
            apply(&mut bytes, change);
        }
        for format in formats() {
            open(&bytes, As::Named(format));
        }
    }
}

#[test]
fn every_corpus_is_survived() {
    let fuzz = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz");
    let names = |folder: &str| -> BTreeSet<String> {
        std::fs::read_dir(fuzz.join(folder))
            .unwrap()
            .map(|entry| entry.unwrap().path().file_stem().unwrap().to_str().unwrap().to_owned())
            .collect()
    };
    let listed: BTreeSet<String> = checks::TARGETS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(names("corpus"), listed);
    assert_eq!(names("fuzz_targets"), listed);
    for (name, check) in checks::TARGETS {
        let mut count = 0;
        for entry in std::fs::read_dir(fuzz.join("corpus").join(name)).unwrap() {
            let path = entry.unwrap().path();
            let bytes = std::fs::read(&path).unwrap();
            assert!(std::panic::catch_unwind(|| check(&bytes)).is_ok(), "{}", path.display());
            count += 1;
        }
        assert!(count >= 5, "{name}: {count} seeds");
    }
}
