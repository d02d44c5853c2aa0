//! `new`: a plan to start from, with invented weather, in a folder of its own; from a few questions with `--ask`.

use super::named_weather;
use crate::cli::args::NewArgs;
use crate::cli::files::{OutFile, refuse_unless_new, write_new};
use crate::cli::terminal::print;
use crate::cli::{CliError, Status};
use crate::plan::{self, Answers, Interview, Look, Question, Reply, STARTER_WEATHER};
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
    let answers = if args.ask { asked(folder)? } else { Answers::default() };
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
    print(&report::clean_text(&next_steps(folder, invented, args.ask, &answers)))?;
    Ok(Status::Done)
}

fn next_steps(folder: &Path, invented: bool, asked: bool, answers: &Answers) -> String {
    let plan = folder.join("plan.toml");
    let plan = plan.display();
    let mut weather = if invented {
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
    for (places, what) in [
        (answers.without_coordinates(), "Before it runs, write latitude_deg and longitude_deg for"),
        (
            answers.without_clock(),
            "Before it runs, write the clock of the stamps (utc_offset, of the stop\n\
             or, where they are UTC, of [stop.columns]) for",
        ),
        (
            answers.with_guesses(),
            "Check the lines marked with ? under [stop.columns], how the table is read, of",
        ),
    ] {
        if !places.is_empty() {
            weather.push_str(&format!("{what}: {}.\n", places.join(", ")));
        }
    }
    let steps = if asked {
        "Your answers stand in it. What was not asked waits there as remarks, lines that\n\
         begin with #; look it over in any text editor:\n\
         \x20 1. of the label: cells_in_series, isc_temp_coeff, max_system_v, and\n\
         \x20    voc_tolerance_percent, how far Voc may lie above its figure\n\
         \x20 2. of the wiring: tilt_deg and heading, where the panels do not lie flat\n\
         \x20 3. of the battery: charge_v, the charge volts set at the controller\n\
         \x20 4. of the stop: elevation_m, where you do not stand as high as the station\n\
         \x20 5. plugs, cable and fuses: a [[component]] each\n"
    } else {
        "Change first, in any text editor:\n\
         \x20 1. voc_v, isc_a, voc_temp_coeff, vmp_v and imp_a: from your panel's label\n\
         \x20 2. in_series and in_parallel: how they are wired\n\
         \x20 3. max_v, rated_a, poles_opened: what is printed on disconnect and controller\n\
         \x20 4. place and weather: hourly files of where you will stand\n"
    };
    format!("a plan to start from: {plan}\n{weather}\n{steps}\nThen:  dawnvolt assess {plan}\n")
}

/// Asks the questions on standard error and reads the answers from standard input. An empty line, or the end of the
/// input, takes what stands in brackets.
fn asked(folder: &Path) -> Result<Answers, CliError> {
    let stdin = std::io::stdin();
    let look = |typed: &str| named_weather::look(folder, typed);
    let answers =
        if stdin.is_terminal() { of_a_person(stdin.lock(), &look) } else { of_a_pipe(stdin.lock(), &look) };
    // Where nobody reads the questions, they are lost without harm.
    let _ = writeln!(std::io::stderr());
    answers
}

/// A person is asked again after a bad answer, may go back, and is spared what makes no sense after the answers so far.
fn of_a_person(mut lines: impl BufRead, look: &Look<'_>) -> Result<Answers, CliError> {
    let mut interview = Interview::new(look);
    let _ = writeln!(
        std::io::stderr(),
        "About twenty questions, and a few for each further stop. An empty line takes what\n\
         stands in brackets; \"back\" or \"<\" returns to the question before."
    );
    while let Some(question) = interview.question() {
        put(question, interview.number(), &interview.taken_otherwise());
        match interview.take(&line(&mut lines)?) {
            Reply::Next(understood) => say(understood.as_deref()),
            Reply::Again(reason) => say(Some(&reason)),
            Reply::Back => {}
        }
    }
    Ok(interview.into_answers())
}

/// From a pipe every question has its line, and a bad answer ends the run, since the lines that follow would answer the
/// wrong questions.
fn of_a_pipe(mut lines: impl BufRead, look: &Look<'_>) -> Result<Answers, CliError> {
    let mut answers = Answers::default();
    let _ = writeln!(
        std::io::stderr(),
        "{} questions, one line each, and five for each further stop; their order is that of\n\
         `dawnvolt new --help`, another than at a terminal. An empty line takes what stands in\n\
         brackets.",
        answers.count()
    );
    let mut index = 0;
    while let Some(question) = answers.question(index) {
        index += 1;
        let (number, count) = (index, answers.count());
        put(question, number, &answers.otherwise(index - 1));
        let typed = line(&mut lines)?;
        match answers.take(index - 1, &typed, look) {
            Ok(understood) => say(understood.as_deref()),
            Err(refusal) => {
                let (typed, expected) = (typed.trim().to_owned(), refusal.to_string());
                return Err(CliError::Answer { number, count, ask: question.ask, typed, expected });
            }
        }
    }
    Ok(answers)
}

/// Puts a question: its number, what an empty line takes.
fn put(question: &Question, number: usize, otherwise: &str) {
    let mut out = std::io::stderr();
    let help = question.help.replace('\n', "\n     ");
    let otherwise = report::clean_text(otherwise);
    let _ = write!(out, "\n{number:>2}  {}\n    ({help})\n[{otherwise}] ", question.ask);
    let _ = out.flush();
}

/// Says something to the answer.
fn say(text: Option<&str>) {
    for line in text.unwrap_or_default().lines() {
        for piece in pieces(&report::clean_text(line)) {
            let _ = writeln!(std::io::stderr(), "      {piece}");
        }
    }
}

/// A line cut between words, so that it fits a terminal behind its margin.
fn pieces(line: &str) -> Vec<String> {
    const WIDEST: usize = 74;
    let mut pieces = vec![String::new()];
    for word in line.split(' ') {
        if let Some(last) = pieces.last_mut()
            && (last.is_empty() || last.chars().count() + word.chars().count() < WIDEST)
        {
            last.push_str(if last.is_empty() { "" } else { " " });
            last.push_str(word);
        } else {
            pieces.push(word.to_owned());
        }
    }
    pieces
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
