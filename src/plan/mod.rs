//! The plan file: schema, defaults, messages.
//!
//! A plan is read in four steps: its text (`files`), TOML or the slip that it holds instead (`syntax`), its
//! outline (`shape`), its values (`build`). All faults of one step are told at once.

mod again;
mod answers;
mod asked;
mod build;
mod days;
mod draft;
mod editor_schema;
mod fault;
mod files;
mod given;
mod interview;
mod keys;
mod own_words;
mod printed;
mod schema;
mod shape;
mod starter;
mod stated;
mod stop_place;
mod stop_questions;
mod syntax;

pub(crate) use again::with_voc;
pub use answers::{Answers, Refusal};
pub use asked::{QUESTIONS, Question};
pub use editor_schema::json_schema;
pub(crate) use fault::quoted;
pub use fault::{Fault, PlanError, Position};
pub use files::{Find, LARGEST_PLAN};
pub use interview::{Interview, Reply};
pub use starter::{STARTER_PLACE, STARTER_WEATHER, starter};
pub use stop_questions::{Look, Seen, piped_answers};

use crate::array::Array;
use crate::assumptions::{Assumption, Assumptions, CodeTemperature};
use crate::note::{Note, NoteKind};
use crate::time::{LocalDay, MonthDay};
use crate::trip::Stop;
use draft::Draft;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use toml::de::DeTable;

/// Most tables of one kind, chosen so that a run stays within a laptop's memory.
const MOST_TABLES: usize = 500;

/// A plan, validated.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Its title; the name of its folder where it has none.
    pub title: String,
    /// For whom, as typed.
    pub prepared_for: Option<String>,
    /// By whom, as typed.
    pub prepared_by: Option<String>,
    /// Date as typed.
    pub date: Option<String>,
    /// Arrays, at least one, each with at least one string.
    pub arrays: Vec<Array>,
    /// Stops in the order of the trip; none in a plan that asks for code answers alone.
    pub stops: Vec<Stop>,
    /// Settings of the analysis.
    pub assumptions: Assumptions,
    /// Remarks about the plan as a whole.
    pub notes: Vec<Note>,
    /// The list of assumptions for every report.
    pub stated: Vec<Assumption>,
    /// The folder that relative paths are taken from.
    pub folder: PathBuf,
    /// The plan as typed, for the report.
    pub text: String,
}

/// Reads the plan at `path` and finds its weather files, relative to its folder.
///
/// # Errors
/// The file is missing, unreadable or no plan, or something in it is wrong; the message names all faults.
pub fn load(path: &Path) -> Result<Plan, PlanError> {
    let text = files::text(path)?;
    let folder = files::folder_of(path);
    read(&text, path, &folder, &|pattern| files::weather(&folder, pattern))
}

/// The weather files that `pattern` names, seen from `folder`: sorted, at least one.
///
/// # Errors
/// In words, what was searched and what lies near.
pub fn weather_files(folder: &Path, pattern: &str) -> Result<Vec<PathBuf>, String> {
    files::weather(folder, pattern)
}

/// Reads only the stops of the plan at `path`, for weather files that are named elsewhere: nothing of the panels need
/// be there, and the stops' own files may not have come yet.
///
/// # Errors
/// As [`load`], about the stops.
pub fn load_stops(path: &Path) -> Result<Vec<Stop>, PlanError> {
    let folder = files::folder_of(path);
    let find = |pattern: &str| Ok(files::weather(&folder, pattern).unwrap_or_default());
    stops_of(&files::text(path)?, path, &find)
}

/// Reads only the stops of a plan's text. Opens nothing; `path` is for messages.
///
/// # Errors
/// As [`read`], about the stops.
pub fn stops_of(text: &str, path: &Path, find: &Find<'_>) -> Result<Vec<Stop>, PlanError> {
    let mut draft = Draft::new(text);
    let file = parsed(text, path, &mut draft)?;
    let stops = file.map(|file| build::stops(file.stop, find, &mut draft)).unwrap_or_default();
    if stops.is_empty() && draft.count() == 0 {
        draft.lacking("the plan has no [[stop]]; expected one that says how the files are read: [[stop]] with place and weather, and [stop.columns] below it; add one");
    }
    if draft.count() > 0 {
        return Err(PlanError::Faults { path: path.to_owned(), faults: draft.into_faults() });
    }
    Ok(stops)
}

/// Reads a plan that came as a stream, called `name` in messages; relative paths are taken from `folder`.
///
/// # Errors
/// As [`load`].
pub fn from_text(bytes: &[u8], name: &Path, folder: &Path) -> Result<Plan, PlanError> {
    let text = files::decoded(name, bytes)?;
    read(&text, name, folder, &|pattern| files::weather(folder, pattern))
}

/// Reads the text of a plan. Opens nothing: `find` looks for weather files. `path` is for messages.
///
/// # Errors
/// Something in the text is wrong; the message names all faults of the first step that found any.
pub fn read(text: &str, path: &Path, folder: &Path, find: &Find<'_>) -> Result<Plan, PlanError> {
    let mut draft = Draft::new(text);
    let Some(file) = parsed(text, path, &mut draft)? else {
        return Err(PlanError::Faults { path: path.to_owned(), faults: draft.into_faults() });
    };
    presence(&file, &mut draft);
    if draft.too_much() {
        return Err(PlanError::Faults { path: path.to_owned(), faults: draft.into_faults() });
    }
    let mut plan = built(file, folder, find, &mut draft);
    if draft.count() > 0 {
        return Err(PlanError::Faults { path: path.to_owned(), faults: draft.into_faults() });
    }
    plan.text = text.to_owned();
    Ok(plan)
}

/// The tables of the text; `None` where the draft now holds the reason.
fn parsed(text: &str, path: &Path, draft: &mut Draft<'_>) -> Result<Option<schema::PlanFile>, PlanError> {
    let (root, errors) = DeTable::parse_recoverable(text);
    let no_plan = root.get_ref().is_empty() || !errors.is_empty();
    if let Some((found, advice)) = syntax::other_document(text).filter(|_| no_plan) {
        return Err(PlanError::NotAPlan {
            path: path.to_owned(),
            found: found.to_owned(),
            advice: advice.to_owned(),
        });
    }
    if !errors.is_empty() {
        syntax::explain(text, &errors, draft);
        return Ok(None);
    }
    if shape::check(root.get_ref(), draft) == shape::Outline::Broken {
        return Ok(None);
    }
    match toml::from_str::<schema::PlanFile>(text) {
        Ok(file) => Ok(Some(file)),
        Err(error) => {
            syntax::explain(text, &[error], draft);
            Ok(None)
        }
    }
}

fn built(file: schema::PlanFile, folder: &Path, find: &Find<'_>, draft: &mut Draft<'_>) -> Plan {
    let owner = draft::Owner { table: &keys::PLAN, name: keys::PLAN.header.to_owned(), span: 0..0 };
    let labels = build::labels(file.module, draft);
    let arrays = build::arrays(file.string, file.battery, file.component, &labels, draft);
    let rules = build::rules(file.rules, draft);
    let assumptions = build::assumptions(file.assumptions, rules, draft);
    let stops = build::stops(file.stop, find, draft);
    let mut text = |given, key| draft.plain(given, key, &owner);
    let mut plan = Plan {
        title: text(file.title, "title").unwrap_or_else(|| untitled(folder)),
        prepared_for: text(file.prepared_for, "prepared_for"),
        prepared_by: text(file.prepared_by, "prepared_by"),
        date: text(file.date, "date"),
        notes: notes(&stops, &assumptions),
        arrays,
        stops,
        assumptions,
        stated: Vec::new(),
        folder: folder.to_owned(),
        text: String::new(),
    };
    plan.stated = stated::stated(&plan);
    plan
}

/// What no plan can be without, and bounds on what one may hold.
fn presence(file: &schema::PlanFile, draft: &mut Draft<'_>) {
    if file.module.is_empty() && !draft.meant(0..0, "module") {
        draft.lacking("the plan has no [[module]]; expected one for each kind of panel, with id, voc_v and isc_a from its label; add one");
    }
    if file.string.is_empty() && !draft.meant(0..0, "string") {
        draft.lacking("the plan has no [[string]]; expected one that says how many panels stand in series, and how they are mounted; add one");
    }
    for (header, count) in [
        ("[[module]]", file.module.len()),
        ("[[string]]", file.string.len()),
        ("[[component]]", file.component.len()),
        ("[[stop]]", file.stop.len()),
    ] {
        if count > MOST_TABLES {
            draft.refuse(format!("the plan has {count} {header} tables; expected at most {MOST_TABLES}; split it into several plans"));
        }
    }
}

/// The folder's own name, for a plan without a title.
fn untitled(folder: &Path) -> String {
    folder.file_name().map_or_else(|| "Untitled plan".to_owned(), |name| name.to_string_lossy().into_owned())
}

/// A code temperature above this gets a remark, °C. Chosen because hardly a place for which a winter trip is planned
/// stays above it, and 14 °F or a mean winter temperature lie here.
const WARM_CODE_C: f64 = 5.0;

/// Remarks about dates and about a code temperature that is no extreme.
fn notes(stops: &[Stop], assumptions: &Assumptions) -> Vec<Note> {
    let mut notes = Vec::new();
    let of_all = match assumptions.code_temperature {
        CodeTemperature::Fixed(celsius) => Some(("[assumptions]", celsius)),
        _ => None,
    };
    let of_stops =
        stops.iter().filter_map(|stop| stop.code_temperature.map(|celsius| (stop.place.as_str(), celsius)));
    for (place, celsius) in of_all.into_iter().chain(of_stops) {
        if celsius.0 > WARM_CODE_C {
            notes.push(Note::once(
                NoteKind::Doubtful,
                format!("code_temperature of {place} is {celsius}: the code sum asks for the lowest expected air temperature of whole years, in °C, not for an average and not for the trip's days"),
            ));
        }
    }
    notes.extend(date_notes(stops));
    let dated = stops.iter().filter(|stop| stop.window.is_some()).count();
    if dated > 0 && dated < stops.len() {
        let names: Vec<&str> =
            stops.iter().filter(|stop| stop.window.is_none()).map(|stop| stop.place.as_str()).collect();
        notes.push(Note::once(
            NoteKind::Trip,
            format!("{} has no dates, so the whole year counts there while other stops count only their days; add arrive and leave", names.join(", ")),
        ));
    }
    notes
}

/// Days from which a stay gets a remark. Chosen: ten months are hardly a stay, and often two dates that were swapped.
const LONG_STAY_DAYS: usize = 300;
/// A common year, in which no 29 February hides a day.
const ANY_YEAR: i32 = 2001;

/// Remarks about stays that are very long, and stays that overlap by more than the day between two stops.
fn date_notes(stops: &[Stop]) -> Vec<Note> {
    let mut notes = Vec::new();
    let days = |stop: &Stop| -> Option<BTreeSet<MonthDay>> {
        let (first, last) = stop.window?.days_from(ANY_YEAR)?;
        Some((first.0..=last.0).map(|day| LocalDay(day).month_day()).collect())
    };
    let stays: Vec<(&Stop, BTreeSet<MonthDay>)> =
        stops.iter().filter_map(|stop| Some((stop, days(stop)?))).collect();
    for (stop, stay) in &stays {
        if stay.len() > LONG_STAY_DAYS {
            notes.push(Note::once(
                NoteKind::Trip,
                format!(
                    "the dates of {} are a stay of {} days: are arrive and leave swapped? Without dates the whole year counts",
                    stop.place,
                    stay.len()
                ),
            ));
        }
    }
    for (index, (stop, one)) in stays.iter().enumerate() {
        for (other, two) in &stays[index + 1..] {
            let shared = one.intersection(two).count();
            if shared > 1 {
                notes.push(Note::once(
                    NoteKind::Trip,
                    format!(
                        "the dates of {} and {} share {shared} days, and a vehicle stands at one place: both count for both; \
                         check arrive and leave",
                        stop.place, other.place
                    ),
                ));
            }
        }
    }
    notes
}
