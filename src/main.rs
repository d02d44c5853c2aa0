//! The command line. Everything happens in the library; this only exits.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(dawnvolt::cli::run(std::env::args_os()).code())
}
