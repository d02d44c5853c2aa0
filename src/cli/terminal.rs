//! What the terminal is like: its width, its colour, its streams.

use crate::cli::CliError;
use crate::cli::args::{ColorChoice, UnitChoice};
use crate::report::Units;
use crate::report::text::{Colour, TextOptions};
use std::io::{IsTerminal, Write};

/// Writes a result to standard output.
pub(super) fn print(text: &str) -> Result<(), CliError> {
    print_bytes(text.as_bytes())
}

/// The same for bytes.
pub(super) fn print_bytes(bytes: &[u8]) -> Result<(), CliError> {
    let mut out = std::io::stdout().lock();
    out.write_all(bytes).and_then(|()| out.flush()).map_err(CliError::Stdout)
}

/// A remark beside the result, on standard error; lost where that is closed.
pub(super) fn remark(text: &str) {
    let _ = writeln!(std::io::stderr(), "note: {}", crate::report::clean_text(text));
}

/// Whether a person reads standard output as it comes.
pub(super) fn is_terminal() -> bool {
    std::io::stdout().is_terminal()
}

/// How text is set here.
pub(super) fn text_options(color: ColorChoice, units: UnitChoice) -> TextOptions {
    TextOptions {
        width: width(),
        colour: colour(color),
        units: match units {
            UnitChoice::Si => Units::Si,
            UnitChoice::Us => Units::Us,
        },
    }
}

fn colour(choice: ColorChoice) -> Colour {
    let on = match choice {
        ColorChoice::Always => true,
        ColorChoice::Never => false,
        ColorChoice::Auto => {
            std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
                && std::io::stdout().is_terminal()
        }
    };
    if on { Colour::Always } else { Colour::Never }
}

/// Columns of the page where no terminal says.
const PAGE_WIDTH: usize = 100;

/// `COLUMNS` where it is set, else the terminal's own width, else [`PAGE_WIDTH`].
fn width() -> usize {
    let stated = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
    stated
        .filter(|&width: &usize| width > 0)
        .or_else(|| terminal_size::terminal_size_of(std::io::stdout()).map(|(width, _)| width.0.into()))
        .unwrap_or(PAGE_WIDTH)
}
