//! Any bytes, as a user would hand them over.
//!
//! `cargo fuzz run -s none --fuzz-dir tests/fuzz detection -- -max_len=8192 -rss_limit_mb=512 -max_total_time=120`

#![no_main]

use dawnvolt::time::UtcOffset;
use dawnvolt::weather::{As, Request, open_bytes};
use libfuzzer_sys::fuzz_target;
use std::path::PathBuf;

fuzz_target!(|bytes: &[u8]| {
    let files = [PathBuf::from("fuzzed.csv")];
    let request = Request { files: &files, columns: None, utc_offset: UtcOffset::from_hours(-7.0) };
    let _ = open_bytes(bytes, &request, As::Detected);
});
