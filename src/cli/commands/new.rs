//! `new`: a plan to start from, with invented weather, in a folder of its own; from a few questions with `--ask`.

use crate::cli::args::NewArgs;
use crate::cli::files::{OutFile, refuse_unless_new, write_new};
use crate::cli::terminal::print;
use crate::cli::{CliError, Status};
use crate::plan::{self, Answers, QUESTIONS, STARTER_WEATHER};
use crate::{report, study};
use flate2::{Compression, GzBuilder};
use std::io::{BufRead, IsTerminal, Read, Write};
use std::path::Path;

/// Longest answer that is read, bytes.
const LONGEST_ANSWER: u64 = 4096;

/// Runs it.
pub(in crate::cli) fn run(args: &NewArgs) -> Result<Status, CliError> {
    let Some(folder) = args.folder.as_deref().filter(|_| !args.schema) else {
        return print(&plan::json_schema()).map(|()| Status::Done);
    };
    // Asked first, so that nobody answers questions in vain.
    refuse_unless_new(folder)?;
    let answers = if args.ask { asked()? } else { Answers::default() };
    let text = plan::starter(&answers);
    let invented = text.contains(STARTER_WEATHER);
    let mut files = Vec::new();
    if invented {
        let bytes = packed(&study::starter_weather()).map_err(|source| CliError::File {
            path: folder.join(STARTER_WEATHER),
            doing: "packing",
            source,
        })?;
        files.push(OutFile { name: STARTER_WEATHER.into(), bytes });
    }
    files.push(OutFile { name: "plan.toml".into(), bytes: text.into_bytes() });
    write_new(folder, &files)?;
    if !invented {
        // Where the files of a trip are looked for, and where a person would put them.
        let weather = folder.join("weather");
        std::fs::create_dir_all(&weather).map_err(|source| CliError::File {
            path: weather,
            doing: "making",
            source,
        })?;
    }
    print(&report::clean_text(&next_steps(folder, invented, args.ask)))?;
    Ok(Status::Done)
}

fn next_steps(folder: &Path, invented: bool, asked: bool) -> String {
    let plan = folder.join("plan.toml");
    let plan = plan.display();
    let weather = if invented {
        format!(
            "invented weather:     {}\n\
             The weather is invented, so the answer is not yet about any real place.\n",
            folder.join(STARTER_WEATHER).display()
        )
    } else {
        format!(
            "The weather files that you named are looked for from the plan's folder, {}.\n",
            folder.display()
        )
    };
    let steps = if asked {
        "Your answers stand in it. Look over in any text editor what was not asked:\n\
         \x20 1. rated_a and poles_opened of the disconnect\n\
         \x20 2. the place: its name, arrive and leave, heights, and latitude and longitude\n\
         \x20    where the weather file does not say them\n"
    } else {
        "Change first, in any text editor:\n\
         \x20 1. voc_v, isc_a, voc_temp_coeff, vmp_v and imp_a: from your panel's label\n\
         \x20 2. in_series and in_parallel: how they are wired\n\
         \x20 3. max_v of the disconnect and the controller: what is printed on yours\n\
         \x20 4. place and weather: hourly files of where you will stand\n\
         \x20    (dawnvolt weather FILE says what is in one)\n"
    };
    format!("a plan to start from: {plan}\n{weather}\n{steps}\nThen:  dawnvolt assess {plan}\n")
}

/// Asks the questions on standard error and reads the answers from standard input. An empty line, or the end of the
/// input, takes what stands in brackets. On a terminal a bad answer is asked again; from a pipe it ends the run, since
/// the lines that follow would answer the wrong questions.
fn asked() -> Result<Answers, CliError> {
    let stdin = std::io::stdin();
    let person = stdin.is_terminal();
    let mut lines = stdin.lock();
    let mut out = std::io::stderr();
    let mut answers = Answers::default();
    let count = QUESTIONS.len();
    // Where nobody reads the questions, they are lost without harm.
    let _ = writeln!(out, "{count} questions. An empty line takes what stands in brackets.");
    for (index, question) in QUESTIONS.iter().enumerate() {
        let otherwise = if question.otherwise.is_empty() { "none" } else { question.otherwise };
        loop {
            let number = index + 1;
            let _ = write!(
                out,
                "\n{number}/{count}  {}\n      ({})\n[{otherwise}] ",
                question.ask, question.help
            );
            let _ = out.flush();
            let typed = line(&mut lines)?;
            match answers.take(index, &typed) {
                Ok(()) => break,
                Err(expected) if person => {
                    let _ = writeln!(out, "{}", report::clean_text(&expected));
                }
                Err(expected) => {
                    let _ = writeln!(out);
                    let typed = typed.trim().to_owned();
                    return Err(CliError::Answer { number, count, ask: question.ask, typed, expected });
                }
            }
        }
    }
    let _ = writeln!(out);
    Ok(answers)
}

/// One line, without what lies beyond the longest answer; empty at the end of the input.
fn line(lines: &mut impl BufRead) -> Result<String, CliError> {
    let mut bytes = Vec::new();
    lines.by_ref().take(LONGEST_ANSWER).read_until(b'\n', &mut bytes).map_err(CliError::Stdin)?;
    Ok(report::clean_text(&String::from_utf8_lossy(&bytes)))
}

/// The text as gzip, without a name or a time inside: the same text gives the same bytes.
fn packed(text: &str) -> std::io::Result<Vec<u8>> {
    let mut packer = GzBuilder::new().mtime(0).write(Vec::new(), Compression::best());
    packer.write_all(text.as_bytes())?;
    packer.finish()
}
