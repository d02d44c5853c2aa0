//! `survey`: every station of whole folders. Rows go to a journal as stations are finished, and from there, in the order
//! of the files, into a folder of results.

use super::plan_args::load;
use super::report::default_folder;
use crate::cli::args::{ColorChoice, PlanArgs, SurveyArgs};
use crate::cli::files::write_whole;
use crate::cli::journal::{Earlier, Entry, Journal, Slot};
use crate::cli::terminal::{remark, text_options};
use crate::cli::{CliError, Status};
use crate::report::charts::{self, MapPoint};
use crate::report::survey::{self as render, SurveyEnd};
use crate::report::text::TextOptions;
use crate::study::StudyError;
use crate::study::survey::{SurveyPlan, SurveyRow, SurveyStation, SurveySummary, grouped, survey};
use crate::weather::{self, Places};
use indicatif::{ProgressBar, ProgressStyle};
use rayon::ThreadPoolBuilder;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, PoisonError};
use xxhash_rust::xxh3::xxh3_128;

/// The table of stations without a place, for the user to fill in.
const PLACES_WANTED: &str = "places-wanted.csv";

/// Kinds of bad files that are told on standard error; the file of bad files holds all.
const TOLD: usize = 50;

/// Runs it.
pub(in crate::cli) fn run(args: &SurveyArgs, color: ColorChoice) -> Result<Status, CliError> {
    let plan_args = PlanArgs { plan: args.plan.clone(), stop: None, array: args.array.clone() };
    let (plan, choice) = load(&plan_args)?;
    let arrays = choice.arrays(&plan)?;
    let job = SurveyPlan::new(&plan, arrays);
    let folder = args.out.clone().unwrap_or_else(|| {
        let mut folder = default_folder(&args.plan).into_os_string();
        folder.push("-survey");
        PathBuf::from(folder)
    });
    let threads = ThreadPoolBuilder::new()
        .num_threads(args.threads.map_or(0, usize::from))
        .build()
        .map_err(|error| CliError::Threads { reason: error.to_string() })?;
    threads.install(|| run_on(args, &job, &folder, &text_options(color, args.units)))
}

fn run_on(
    args: &SurveyArgs,
    job: &SurveyPlan<'_>,
    folder: &Path,
    options: &TextOptions,
) -> Result<Status, CliError> {
    let places = args.places.as_deref().map(Places::read).transpose().map_err(weather_error)?;
    let no_count: Vec<String> = job.arrays.iter().filter_map(|array| job.why_no_count(array)).collect();
    no_count.iter().for_each(|why| remark(why));
    let mut own = vec![args.plan.clone(), folder.to_path_buf()];
    own.extend(args.places.clone());
    let files = weather::files_below(&args.folders, &own).map_err(weather_error)?;
    let found = grouped(job, files, &places.unwrap_or_default());
    let mut bad: Vec<(String, String)> = found
        .unread
        .into_iter()
        .map(|unread| (unread.path.display().to_string(), unread.error.to_string()))
        .collect();
    tell(&bad);
    let unread = bad.len();
    if found.stations.is_empty() {
        let folders =
            args.folders.iter().map(|folder| folder.display().to_string()).collect::<Vec<_>>().join(", ");
        return Err(CliError::NoStations { folders, bad: bad.len() });
    }
    let earlier = if args.resume { Earlier::Resumed } else { Earlier::Dropped };
    let journal = Journal::open(folder, earlier)?;
    let slots = all_stations(job, &found.stations, &journal)?;

    let written = Written { job, folder, stations: &found.stations, journal: &journal, slots: &slots };
    let summary = written.tables(&mut bad)?;
    tell(&bad[unread..]);
    let more = written.places_wanted()?.then_some(PLACES_WANTED);
    let text = written.rest(&summary, &bad, more, options)?;
    let mut out = BufWriter::new(std::io::stdout().lock());
    if args.json {
        written.json_list(&mut out)?;
    } else if args.csv {
        written.csv(&mut out)?;
    } else {
        out.write_all(text.as_bytes()).map_err(CliError::Stdout)?;
    }
    out.flush().map_err(CliError::Stdout)?;
    Ok(if bad.is_empty() { Status::Done } else { Status::CouldNotRun })
}

/// Says what was bad, on standard error.
fn tell(bad: &[(String, String)]) {
    let reasons = render::alike(bad);
    for reason in reasons.iter().take(TOLD) {
        remark(reason);
    }
    if reasons.len() > TOLD {
        remark(&format!("{} more kinds; bad.csv in the folder of results holds all", reasons.len() - TOLD));
    }
}

fn weather_error(error: weather::WeatherError) -> CliError {
    CliError::Study(error.into())
}

/// What the rows of a station rest on, as one number: this version, the plan, the place, and the bytes of its files.
fn inputs(
    job: &SurveyPlan<'_>,
    plan: u128,
    station: &SurveyStation,
) -> Result<String, weather::WeatherError> {
    use std::fmt::Write as _;
    let mut text =
        format!("{} {plan:032x} {:?} {:?}", env!("CARGO_PKG_VERSION"), station.key, station.station);
    for file in &station.files {
        // Writing to a String cannot fail.
        let _ = write!(text, " {:?} {:032x}", file.file_name(), weather::fingerprint(file)?);
    }
    let _ = write!(text, " {}", job.arrays.len());
    Ok(format!("{:032x}", xxh3_128(text.as_bytes())))
}

/// Runs every station that the journal does not hold already.
fn all_stations(
    job: &SurveyPlan<'_>,
    stations: &[SurveyStation],
    journal: &Journal,
) -> Result<Vec<OnceLock<Slot>>, CliError> {
    let slots: Vec<OnceLock<Slot>> = stations.iter().map(|_| OnceLock::new()).collect();
    let sums: Vec<OnceLock<String>> = stations.iter().map(|_| OnceLock::new()).collect();
    let zones_and_columns: Vec<_> =
        job.likes.iter().map(|stop| (stop.utc_offset, stop.columns.as_ref())).collect();
    let plan =
        xxh3_128(format!("{:?} {:?} {zones_and_columns:?}", job.arrays, job.plan.assumptions).as_bytes());
    let progress = progress(stations);
    let finished = Mutex::new(0_usize);
    let step = |index: usize| {
        let mut finished = finished.lock().unwrap_or_else(PoisonError::into_inner);
        *finished += 1;
        progress.set_message(format!("{finished} of {} stations", stations.len()));
        progress.inc(stations[index].bytes);
    };
    let wanted = |index: usize| {
        let station = &stations[index];
        // A file that cannot be read is told by the run itself; its station is tried again next time.
        let sum = inputs(job, plan, station).unwrap_or_default();
        let held = journal.knows(&station.key).then(|| journal.unchanged(&station.key, &sum)).flatten();
        let held = held.filter(|_| !sum.is_empty());
        let _ = sums[index].set(sum);
        match held {
            Some(slot) => {
                let _ = slots[index].set(slot);
                step(index);
                false
            }
            None => true,
        }
    };
    survey(job, stations, wanted, |index, outcome| {
        let placeless = matches!(outcome, Err(StudyError::NoPlace { .. }));
        let (rows, fault) = match outcome {
            Ok(rows) => (rows, None),
            Err(error) => (Vec::new(), Some(error.to_string())),
        };
        let entry = Entry {
            station: stations[index].key.clone(),
            inputs: sums[index].get().cloned().unwrap_or_default(),
            rows,
            fault,
            placeless,
        };
        let _ = slots[index].set(journal.append(&entry)?);
        step(index);
        Ok::<(), CliError>(())
    })?;
    progress.finish_and_clear();
    Ok(slots)
}

/// Rate and time left, on a terminal only.
fn progress(stations: &[SurveyStation]) -> ProgressBar {
    let bar = ProgressBar::new(stations.iter().map(|station| station.bytes).sum());
    let style =
        ProgressStyle::with_template("{bar:30} {msg}, {bytes} of {total_bytes}, {bytes_per_sec}, {eta} left");
    if let Ok(style) = style {
        bar.set_style(style);
    }
    bar
}

/// The finished survey on its way into files.
struct Written<'a> {
    job: &'a SurveyPlan<'a>,
    folder: &'a Path,
    stations: &'a [SurveyStation],
    journal: &'a Journal,
    slots: &'a [OnceLock<Slot>],
}

impl Written<'_> {
    /// Hands over the entries in the order of the files, one at a time.
    fn each(
        &self,
        mut take: impl FnMut(&SurveyStation, Entry) -> Result<(), CliError>,
    ) -> Result<(), CliError> {
        for (station, slot) in self.stations.iter().zip(self.slots) {
            if let Some(slot) = slot.get() {
                take(station, self.journal.entry(*slot)?)?;
            }
        }
        Ok(())
    }

    /// The rows as files; stations that could not be used are added to `bad`.
    fn tables(&self, bad: &mut Vec<(String, String)>) -> Result<SurveySummary, CliError> {
        let mut summary = SurveySummary::default();
        write_whole(self.folder, "rows.csv", |csv| self.csv(csv))?;
        write_whole(self.folder, "rows.jsonl", |json| {
            self.each(|station, entry| {
                if let Some(fault) = entry.fault {
                    bad.push((first_file(station), fault));
                }
                for row in &entry.rows {
                    summary.add(row);
                    put(json, &render::json_row(row))?;
                    put(json, "\n")?;
                }
                Ok(())
            })
        })?;
        Ok(summary)
    }

    fn csv(&self, out: &mut dyn Write) -> Result<(), CliError> {
        put(out, &render::csv_header())?;
        self.each(|_, entry| entry.rows.iter().try_for_each(|row| put(out, &render::csv_row(row))))
    }

    fn json_list(&self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut before = "[\n";
        self.each(|_, entry| {
            for row in &entry.rows {
                put(out, std::mem::replace(&mut before, ",\n"))?;
                put(out, &render::json_row(row))?;
            }
            Ok(())
        })?;
        put(out, if before == "[\n" { "[]\n" } else { "\n]\n" })
    }

    /// A table of the stations that lack a place, to be filled in and given back; none, and false, where all have one.
    fn places_wanted(&self) -> Result<bool, CliError> {
        let mut wanted = Vec::new();
        self.each(|station, entry| {
            if entry.placeless {
                wanted.push((station.id().to_owned(), station.name().to_owned()));
            }
            Ok(())
        })?;
        if wanted.is_empty() {
            return Ok(false);
        }
        let table = self.folder.join(PLACES_WANTED);
        // What somebody has begun to fill in stays: the rows that are left are in it too.
        let begun = table.exists() && Places::read(&table).map_or(true, |places| !places.is_empty());
        if !begun {
            write_whole(self.folder, PLACES_WANTED, |out| put(out, &render::places_wanted_csv(&wanted)))?;
        }
        let them = if wanted.len() == 1 {
            "1 station stands".to_owned()
        } else {
            format!("{} stations stand", wanted.len())
        };
        remark(&format!(
            "{them} without a place in {table}: fill the columns in (degrees; south and west negative; metres), and run \
             again with --places {table} --resume",
            table = table.display()
        ));
        Ok(true)
    }

    /// Maps, bad files and the summary, which is returned too; `more`: a further file that was written.
    fn rest(
        &self,
        summary: &SurveySummary,
        bad: &[(String, String)],
        more: Option<&str>,
        options: &TextOptions,
    ) -> Result<String, CliError> {
        let mut names = vec!["rows.csv".to_owned(), "rows.jsonl".to_owned()];
        for (number, array) in self.job.arrays.iter().enumerate() {
            let mut points = Vec::with_capacity(self.stations.len());
            self.each(|_, entry| {
                points.extend(entry.rows.iter().filter(|row| row.array == array.name).map(point));
                Ok(())
            })?;
            let id =
                if self.job.arrays.len() == 1 { "map".to_owned() } else { format!("map-{}", number + 1) };
            if let Some(chart) = charts::map(&id, &array.name, &points)? {
                for (end, bytes) in [("svg", chart.svg.as_bytes()), ("png", &chart.png)] {
                    let name = format!("{id}.{end}");
                    write_whole(self.folder, &name, |out| out.write_all(bytes).map_err(CliError::Stdout))?;
                    names.push(name);
                }
            }
        }
        let bad_files = render::bad_files_csv(bad);
        write_whole(self.folder, "bad.csv", |out| put(out, &bad_files))?;
        names.push("bad.csv".to_owned());
        names.extend(more.map(str::to_owned));
        let written = format!("in {}: {}, summary.txt", self.folder.display(), names.join(", "));
        let no_count: Vec<String> =
            self.job.arrays.iter().filter_map(|array| self.job.why_no_count(array)).collect();
        let end =
            SurveyEnd { title: &self.job.plan.title, bad: bad.len(), written: &written, no_count: &no_count };
        let plain = TextOptions { units: options.units, ..TextOptions::default() };
        write_whole(self.folder, "summary.txt", |out| put(out, &render::summary(summary, &end, &plain)))?;
        Ok(render::summary(summary, &end, options))
    }
}

fn first_file(station: &SurveyStation) -> String {
    station.files.first().map_or_else(String::new, |file| file.display().to_string())
}

#[expect(clippy::cast_possible_truncation, reason = "a dot on a map")]
fn point(row: &SurveyRow) -> MapPoint {
    MapPoint {
        longitude_deg: row.longitude_deg as f32,
        latitude_deg: row.latitude_deg as f32,
        in_series: row.largest_series_count.and_then(|count| u16::try_from(count).ok()),
        low_c: row.mean_annual_low_c.or(row.record_low_c).map(|low| low as f32),
        holds: match row.verdict.as_str() {
            "within" | "close" => Some(true),
            "exceeded" | "not-met" => Some(false),
            _ => None,
        },
    }
}

fn put(out: &mut dyn Write, text: &str) -> Result<(), CliError> {
    out.write_all(text.as_bytes()).map_err(CliError::Stdout)
}
