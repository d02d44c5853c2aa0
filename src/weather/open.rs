//! From files to the record of a station.

use super::at_rest::AtRest;
use super::detect;
use super::formats::{Input, TABLE, generic};
use super::gather::{Gather, Gathered};
use super::head::{HEAD_BYTES, Head};
use super::rows::Rows;
use super::source::{self, Part, Take};
use super::station;
use super::tally::{Count, Tally, Why};
use super::{
    Chronological, Columns, FileFacts, Hour, Lows, Origin, Published, Record, Stamps, Station, TypicalYear,
    WeatherError,
};
use super::{clean, clock_check, misread, strays};
use crate::note::{Note, NoteKind};
use crate::place::Place;
use crate::time::{HOUR_S, UtcOffset};
use std::collections::{BTreeMap, HashSet};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

/// UTF-8 byte order mark.
const BOM: &[u8] = b"\xef\xbb\xbf";

/// Fewest readings from which a wrong unit is told.
const UNIT_ROWS: u64 = 24;
/// Where one in so many readings is too hot to be, the unit is another one. Chosen because bad readings are rarer.
const UNIT_SHARE: u64 = 100;
/// Means of air temperature that a place can have over any day or longer, C. Chosen outside the coldest (-57) and the
/// hottest (35) annual means, with room for a record of a season only.
pub(super) const MEAN_C: RangeInclusive<f64> = -75.0..=45.0;

/// What to open.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// Files of one station, of any known formats, in any order. "-" is standard input.
    pub files: &'a [PathBuf],
    /// Columns of a CSV of no known format.
    pub columns: Option<&'a Columns>,
    /// The zone of stamps, where a format leaves it open.
    pub utc_offset: Option<UtcOffset>,
}

/// A station's record with everything that is known about its making.
#[derive(Clone, Debug)]
pub struct Opened {
    /// Who measured, and where.
    pub station: Station,
    /// Its hours.
    pub record: Record,
    /// What each file gave; an [`Origin`] counts in this list.
    pub files: Vec<FileFacts>,
    /// What the record knows of the air between its readings.
    pub lows: Lows,
    /// Counted remarks.
    pub notes: Vec<Note>,
    /// Design conditions that a file carries.
    pub published: Option<Published>,
}

impl Opened {
    /// "file:line" of a value.
    #[must_use]
    pub fn locate(&self, origin: Origin) -> String {
        place(&self.files, origin)
    }

    /// Names of the formats, each once, joined.
    #[must_use]
    pub fn format(&self) -> String {
        let mut names: Vec<&str> = Vec::new();
        for file in &self.files {
            if !names.contains(&file.format) {
                names.push(file.format);
            }
        }
        names.join(" + ")
    }
}

fn place(files: &[FileFacts], origin: Origin) -> String {
    match files.get(usize::from(origin.file)) {
        // The name alone: reports travel, and folders of one machine mean nothing on another.
        Some(file) => {
            let name = file.path.file_name().unwrap_or(file.path.as_os_str());
            format!("{}:{}", name.to_string_lossy(), origin.line)
        }
        None => format!("line {}", origin.line),
    }
}

/// Reads all files of a station.
///
/// # Errors
///
/// Where a file cannot be read, is of no known format, holds no air temperature, or the files are of several
/// stations.
pub fn open(request: &Request<'_>) -> Result<Opened, WeatherError> {
    let parts = |path: &Path, take: &mut Take<'_>| source::each_part(path, take);
    match assemble(request, &parts, As::Detected) {
        // What the message asks for was done.
        Err(error) if request.columns.is_some() && error.wants_columns() => {
            assemble(request, &parts, As::ByColumns).map_err(|_| error)
        }
        other => other,
    }
}

/// How the format of bytes is found.
#[derive(Clone, Copy, Debug)]
pub enum As<'a> {
    /// By their first lines.
    Detected,
    /// By its name, one of [`formats`]: detection is passed by.
    Named(&'a str),
    /// By the columns of the request, whatever archive it is like.
    ByColumns,
}

/// Reads bytes that are in memory; the first of `request.files` is what messages call them.
///
/// # Errors
///
/// As [`open`].
pub fn open_bytes(bytes: &[u8], request: &Request<'_>, format: As<'_>) -> Result<Opened, WeatherError> {
    let request = Request { files: request.files.get(..1).unwrap_or_default(), ..*request };
    assemble(&request, &|path, take| source::each_part_of(path, bytes, take), format)
}

/// Names of the formats that are read, in the order in which they are tried.
pub fn formats() -> impl Iterator<Item = &'static str> {
    TABLE.iter().map(|format| format.name)
}

/// Hands the parts of a file to a taker.
type EachPart<'e> = dyn Fn(&Path, &mut Take<'_>) -> Result<(), WeatherError> + 'e;

fn assemble(
    request: &Request<'_>,
    each_part: &EachPart<'_>,
    as_format: As<'_>,
) -> Result<Opened, WeatherError> {
    let Some(first) = request.files.first() else { return Err(WeatherError::NoFiles) };
    let mut gather = Gather::default();
    let mut files: Vec<FileFacts> = Vec::with_capacity(request.files.len());
    let mut gathered = Vec::with_capacity(request.files.len());
    let watched: Vec<AtRest> = request.files.iter().map(|path| AtRest::before(path)).collect();
    for path in request.files {
        each_part(path, &mut |part| {
            let Ok(index) = u16::try_from(files.len()) else {
                return Err(WeatherError::TooManyFiles { count: request.files.len() });
            };
            gather.begin(index);
            let path = part.path.clone();
            let (format, recognised_by) = read(part, request, &mut gather, as_format)?;
            let one = gather.end();
            let rows_out = one.tally.iter().filter(|(why, _)| why.is_of_the_row());
            let dropped = rows_out.map(|(_, count)| count.count).sum();
            files.push(FileFacts { path, format, recognised_by, rows: one.rows, dropped });
            gathered.push(one);
            Ok(())
        })?;
    }
    watched.iter().try_for_each(AtRest::after)?;
    misread::refuse(&files, &gathered, request.columns)?;
    let mut notes = counted(&files, &gathered);
    let advice = advice(&files, &gathered, request.columns);
    let too_hot: u64 = gathered.iter().map(|one| one.tally.count(Why::TooHotAir)).sum();
    let typical = typical(&files, &gathered)?;
    let joining: Vec<PathBuf> = files
        .iter()
        .zip(&gathered)
        .filter(|(_, one)| one.declared.joins)
        .map(|(file, _)| file.path.clone())
        .collect();
    let declared: Vec<_> = gathered.into_iter().map(|one| one.declared).collect();
    let station = station::joined(&files, &declared, &mut notes)?;
    let within = declared.iter().all(|one| one.lows == Lows::OfWholeHours);
    let lows = if within { Lows::OfWholeHours } else { Lows::OfReadings };
    let mut published = None;
    for one in declared {
        notes.extend(one.notes);
        published = published.or(one.published);
    }
    let record = if typical {
        notes.push(Note::once(
            NoteKind::TypicalYear,
            "a typical year is put together from unremarkable months of different years: it misses the cold extremes (by 5 to 6 K \
             against the record low) and gives no record low, no n-year level and no odds. Take a station's hourly record of 20 \
             winters or more for the question how often",
        ));
        let mut hours = gather.typical();
        notes.extend(clean::clean(&mut hours, 1, |origin| place(&files, origin)));
        Record::TypicalYear(TypicalYear { hours })
    } else {
        let doubted = std::mem::take(&mut gather.doubted);
        let (mut hours, [several, overlap]) = gather.chronological();
        meetings(&files, several, overlap, &mut notes);
        if lows == Lows::OfReadings {
            notes.extend(apart(&hours, &files));
        }
        notes.extend(strays::leave_out(&mut hours, |origin| place(&files, origin)));
        let step_h = step_h(&hours);
        notes.extend(clean::clean(&mut hours, step_h, |origin| place(&files, origin)));
        notes.extend(doubted.notes(&hours, |origin| place(&files, origin)));
        Record::Chronological(Chronological { hours, step_h })
    };
    let mut told = HashSet::new();
    notes.retain(|note| told.insert(note.text.clone()));
    unit(first, &files, too_hot, record.hours())?;
    if record.hours().is_empty() {
        if let Some(file) = joining.first() {
            return Err(WeatherError::NoAir {
                path: file.clone(),
                format: files[0].format,
                found: "it holds other quantities of the station only".to_owned(),
                expected: "a file of the same station with air temperature",
                next: "name the product with air temperature beside it",
            });
        }
        let found = notes.first().map_or("no rows below the header".to_owned(), |note| note.text.clone());
        let (shown, next) =
            advice.unwrap_or((String::new(), "download another period or station".to_owned()));
        return Err(WeatherError::NoReadings { path: first.clone(), found: format!("{shown}{found}"), next });
    }
    if let Some(place) = where_it_stands(&station) {
        notes.extend(clock_check::clock_note(record.hours(), place, Stamps::of(request.columns)));
    }
    Ok(Opened { station, record, files, lows, notes, published })
}

/// Where dates or numbers could not be read: the first of them, and what to do about it.
fn advice(files: &[FileFacts], gathered: &[Gathered], columns: Option<&Columns>) -> Option<(String, String)> {
    files.iter().zip(gathered).find_map(|(file, one)| {
        [Why::NoStamp, Why::UnreadableAir].into_iter().find_map(|why| {
            let shown = one.unread.shown(why)?;
            Some((
                format!("found \"{shown}\"; "),
                misread::next_step(why, misread::is_generic(file), columns)?,
            ))
        })
    })
}

/// Bytes of a table of no known format that are looked at for the clock of its light: about a year of hours.
const LIGHT_BYTES: usize = 1 << 20;

/// Reads one text into `gather`: its format's name, and why it was recognised as that.
pub(super) fn read(
    part: Part<'_>,
    request: &Request<'_>,
    gather: &mut Gather,
    as_format: As<'_>,
) -> Result<(&'static str, String), WeatherError> {
    let path = &*part.path;
    let mut rows = Rows::new(part.bytes, path);
    let bytes = rows.peek(HEAD_BYTES)?;
    let mark = if bytes.starts_with(BOM) { BOM.len() } else { 0 };
    let bytes = &bytes[mark..];
    let bytes = &bytes[..bytes.len().min(HEAD_BYTES)];
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(WeatherError::Empty { path: path.to_path_buf() });
    }
    let head = Head::new(bytes);
    let expected = hours_expected(bytes, part.size);
    let (format, why) = match as_format {
        As::Detected => match detect::format(path, bytes, &head, request.columns) {
            Ok(found) => found,
            Err(error @ WeatherError::UnknownTable { .. }) => {
                let more = rows.peek(LIGHT_BYTES)?;
                return Err(detect::with_light(error, &head, &more[mark..more.len().min(LIGHT_BYTES)]));
            }
            Err(error) => return Err(error),
        },
        As::ByColumns => (&generic::FORMAT, detect::BY_COLUMNS.to_owned()),
        As::Named(name) => match TABLE.iter().find(|format| format.name == name) {
            Some(format) => (format, "as named".to_owned()),
            None => return Err(detect::unknown(path, format!("named \"{name}\""))),
        },
    };
    gather.expect(expected);
    rows.skip(mark);
    let mut input = Input {
        path,
        head: &head,
        rows,
        utc_offset: request.utc_offset,
        columns: request.columns,
        beside: part.beside.as_deref(),
    };
    (format.read)(&mut input, gather)?;
    Ok((format.name, why))
}

/// Most hours that are made room for at once. Chosen as seventy years; a record that has more grows.
const EXPECTED: u64 = 70 * 8766;
/// Fewest hours that are made room for at once. Chosen as twelve years: shorter files grow cheaply, and blocks of all sizes
/// would scatter the memory of a survey, which must not grow with its stations.
const WORTH_EXPECTING: u64 = 12 * 8766;

/// One in so many hours is added: rows grow longer and shorter with the season, and room that lacks one hour is doubled.
const SPARE: u64 = 32;

/// Hours that a file of `size` bytes holds at most, if it goes on as it begins with a line an hour. Room that is never
/// filled is never touched, so it costs nothing.
fn hours_expected(begin: &[u8], size: Option<u64>) -> usize {
    let lines = memchr::memchr_iter(b'\n', begin).count() as u64;
    let expected = size.unwrap_or(0).saturating_mul(lines) / (begin.len() as u64).max(1);
    let expected = expected + expected / SPARE;
    if expected < WORTH_EXPECTING { 0 } else { usize::try_from(expected.min(EXPECTED)).unwrap_or(0) }
}

/// Refuses temperatures that can only be in another unit.
fn unit(path: &Path, files: &[FileFacts], too_hot: u64, hours: &[Hour]) -> Result<(), WeatherError> {
    let rows: u64 = files.iter().map(|file| file.rows).sum();
    #[expect(clippy::cast_precision_loss, reason = "counts of hours")]
    let mean_c = hours.iter().map(|hour| hour.air_mean_c).sum::<f64>() / hours.len() as f64;
    let found = if too_hot >= UNIT_ROWS && too_hot * UNIT_SHARE >= rows {
        format!("{too_hot} air temperatures above 60 C beside {rows} below")
    } else if hours.len() as u64 >= UNIT_ROWS && !MEAN_C.contains(&mean_c) {
        format!("a mean air temperature of {mean_c:.0} C")
    } else {
        return Ok(());
    };
    Err(WeatherError::Unit { path: path.to_path_buf(), found })
}

/// The station's place, where the files say enough of it; sea level where only the elevation is missing.
fn where_it_stands(station: &Station) -> Option<Place> {
    Some(Place {
        latitude_deg: station.latitude_deg?,
        longitude_deg: station.longitude_deg?,
        elevation_m: station.elevation_m.unwrap_or(0.0),
    })
    .filter(|place| place.fault().is_none())
}

/// Notes about what was left out, over all files.
fn counted(files: &[FileFacts], gathered: &[Gathered]) -> Vec<Note> {
    let mut sums: BTreeMap<Why, Count> = BTreeMap::new();
    for (why, one) in gathered.iter().flat_map(|one| one.tally.iter()) {
        sums.entry(why).and_modify(|sum| sum.count += one.count).or_insert(one);
    }
    Tally::order()
        .iter()
        .filter_map(|why| sums.get(why).map(|sum| (why, sum)))
        .map(|(why, sum)| {
            let (kind, what, advice) = why.words();
            Note::counted(
                kind,
                sum.count,
                format!("{} x {what}, first in {}: {advice}", sum.count, place(files, sum.first)),
            )
        })
        .collect()
}

fn meetings(files: &[FileFacts], several: Option<Count>, overlap: Option<Count>, notes: &mut Vec<Note>) {
    if let Some(Count { count, first }) = several {
        notes.push(Note::counted(
            NoteKind::SeveralReadings,
            count,
            format!(
                "{count} x an hour with several readings, first in {}: the lowest serves lows, the mean the rest",
                place(files, first)
            ),
        ));
    }
    if let Some(Count { count, first }) = overlap {
        notes.push(Note::counted(
            NoteKind::Overlap,
            count,
            format!(
                "{count} x an hour that stands in several files, first in {}: each is counted once",
                place(files, first)
            ),
        ));
    }
}

/// Readings of one hour that differ by more, K, are hardly of one thermometer. Chosen wide: a front or a storm's outflow
/// moves the air by 8 K within an hour now and then, and never in one hour of ten.
const APART_K: f64 = 8.0;
/// Fewest such hours, and one in so many of all hours, from which they are told.
const APART_HOURS: usize = 24;
const APART_SHARE: usize = 10;

/// A remark where the readings of many hours contradict each other: two stations, or two units, that became one record.
fn apart(hours: &[Hour], files: &[FileFacts]) -> Option<Note> {
    let far = |hour: &&Hour| f64::from(hour.air_high_c) - hour.air_low_c > APART_K;
    let first = hours.iter().find(far)?;
    let count = hours.iter().filter(far).count();
    (count >= APART_HOURS && count * APART_SHARE >= hours.len()).then(|| {
        let text = format!(
            "{count} x an hour whose readings lie more than {APART_K:.0} K apart, first in {}: are these two stations, or \
             two units? The lowest serves lows; take one station's file",
            place(files, first.origin)
        );
        Note::counted(NoteKind::Doubtful, count as u64, text)
    })
}

/// Whether the files are a typical year; an error where they are one and something else.
fn typical(files: &[FileFacts], gathered: &[Gathered]) -> Result<bool, WeatherError> {
    let Some(at) = gathered.iter().position(|one| one.declared.typical_year) else { return Ok(false) };
    match files.iter().enumerate().find(|&(other, _)| other != at) {
        None => Ok(true),
        Some((_, other)) => Err(WeatherError::TypicalWithOthers {
            typical: files[at].path.clone(),
            other: other.path.clone(),
        }),
    }
}

/// The commonest distance between neighbouring hours, as 1, 2, 3 or 6 h.
fn step_h(hours: &[Hour]) -> u32 {
    let mut counts = [0_u32; 7];
    for pair in hours.windows(2) {
        let distance = (pair[1].start.0 - pair[0].start.0).div_euclid(HOUR_S).clamp(1, 7);
        if let Some(count) = usize::try_from(distance - 1).ok().and_then(|at| counts.get_mut(at)) {
            *count += 1;
        }
    }
    let commonest = (0..counts.len()).rev().max_by_key(|&at| counts[at]).unwrap_or(0);
    match commonest {
        at @ 0..=2 => u32::try_from(at + 1).unwrap_or(1),
        _ => 6,
    }
}
