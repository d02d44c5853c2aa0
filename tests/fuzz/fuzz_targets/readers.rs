//! Every reader on bytes that detection would not give it: the first byte chooses the reader.
//!
//! With DAWNVOLT_FUZZ_READER=n the n-th reader is taken whatever the byte, so that time can be spread over them.

#![no_main]

use dawnvolt::time::UtcOffset;
use dawnvolt::weather::{As, Request, formats, open_bytes};
use libfuzzer_sys::fuzz_target;
use std::path::PathBuf;
use std::sync::LazyLock;

static CHOSEN: LazyLock<Option<usize>> =
    LazyLock::new(|| std::env::var("DAWNVOLT_FUZZ_READER").ok()?.parse().ok());

fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let names: Vec<&str> = formats().collect();
    let at = CHOSEN.unwrap_or(usize::from(*first)) % names.len();
    let files = [PathBuf::from("fuzzed.csv")];
    let request = Request { files: &files, columns: None, utc_offset: UtcOffset::from_hours(-7.0) };
    let _ = open_bytes(rest, &request, As::Named(names[at]));
});
