//! Every reader on bytes that detection would not give it.

#![no_main]

#[expect(dead_code, reason = "each target uses its own check")]
#[path = "../checks.rs"]
mod checks;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| checks::readers(bytes));
