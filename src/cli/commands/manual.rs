//! `completions` and `man`: made from the arguments themselves at run time.

use crate::cli::args::Cli;
use crate::cli::terminal::print_bytes;
use crate::cli::{CliError, Status};
use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;

/// The command as its users type it.
const NAME: &str = "dawnvolt";

/// Completions for a shell.
pub(in crate::cli) fn completions(shell: Shell) -> Result<Status, CliError> {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), NAME, &mut bytes);
    print_bytes(&bytes).map(|()| Status::Done)
}

/// The manual: what holds for all commands, then command by command, as one roff document.
pub(in crate::cli) fn man() -> Result<Status, CliError> {
    let mut bytes = Vec::new();
    let made = |source| CliError::Made { what: "manual page", source };
    let mut command = Cli::command();
    command.build();
    let page = Man::new(command.clone()).manual("dawnvolt manual");
    page.render_title(&mut bytes).map_err(made)?;
    page.render_name_section(&mut bytes).map_err(made)?;
    page.render_synopsis_section(&mut bytes).map_err(made)?;
    page.render_description_section(&mut bytes).map_err(made)?;
    page.render_options_section(&mut bytes).map_err(made)?;
    page.render_extra_section(&mut bytes).map_err(made)?;
    for sub in command.get_subcommands() {
        let page = Man::new(sub.clone());
        roff_section(&mut bytes, &format!("{NAME} {}", sub.get_name()));
        page.render_synopsis_section(&mut bytes).map_err(made)?;
        page.render_description_section(&mut bytes).map_err(made)?;
        page.render_options_section(&mut bytes).map_err(made)?;
        page.render_extra_section(&mut bytes).map_err(made)?;
    }
    print_bytes(&bytes).map(|()| Status::Done)
}

/// A heading between the pages.
fn roff_section(bytes: &mut Vec<u8>, title: &str) {
    bytes.extend_from_slice(format!(".SH \"{}\"\n", title.to_uppercase()).as_bytes());
}
