//! A panel's label.

#![no_main]

#[expect(dead_code, reason = "each target uses its own check")]
#[path = "../checks.rs"]
mod checks;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| checks::label(bytes));
