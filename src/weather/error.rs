//! What can stop a weather file from being read.

use super::cells::listed;
use super::table_described::DescribedTable;
use std::path::PathBuf;

/// Why files of a station could not be read. Every text says where, what was found, what is expected and what to
/// do next.
#[derive(Debug, thiserror::Error)]
pub enum WeatherError {
    /// No file was named.
    #[error("no weather file was named; expected at least one; name a file of hourly readings")]
    NoFiles,
    /// A file does not exist.
    #[error("{}: no such file; expected a weather file there; check the name and the folder", path.display())]
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// A file exists and cannot be read.
    #[error("{}: cannot be read ({source}); expected a readable file; check its permissions and the disk", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A folder was named.
    #[error("{}: is a folder; expected a file; name the files in it, for instance {}", path.display(), path.join("*.csv").display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// Nothing is in the file.
    #[error("{}: the file is empty; expected hourly readings; download it again", path.display())]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// A compressed file ends too early or is damaged.
    #[error("{}, line {line}: the compressed data ends too early or is damaged ({detail}); expected a whole file; download it again", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// The line that was being read.
        line: u32,
        /// What the decoder said.
        detail: String,
    },
    /// An archive without a table of readings to read.
    #[error("{}: found {found}; expected tables of one station in it (.csv, .txt, .psv, .epw, .dat or .gz); {next}", path.display())]
    Archive {
        /// The archive.
        path: PathBuf,
        /// What it is.
        found: String,
        /// The next step.
        next: &'static str,
    },
    /// A file that did not stand still.
    #[error("{}: changed while it was read; expected a file at rest; wait until its download or copy is finished, then run this again", path.display())]
    Changed {
        /// The file.
        path: PathBuf,
    },
    /// More bytes than a weather file of a station can have.
    #[error("{}: holds more than {limit_mib} MiB when unpacked; expected the record of one station; cut it down to one station", path.display())]
    TooBig {
        /// The file.
        path: PathBuf,
        /// Largest size that is read.
        limit_mib: u64,
    },
    /// A line that no weather file has.
    #[error("{}, line {line}: longer than {limit_kib} KiB; expected one reading a line; this is not a table of readings", path.display())]
    LongLine {
        /// The file.
        path: PathBuf,
        /// The line.
        line: u32,
        /// Longest line that is read.
        limit_kib: usize,
    },
    /// No format of the table fits.
    #[error("{}: no known format; {looks}; expected one of: {known}; for another CSV name its columns in the plan, below its [[stop]]: [stop.columns], time = \"HEADER\", air = \"HEADER\", air_unit = \"C\"", path.display())]
    Unknown {
        /// The file.
        path: PathBuf,
        /// The first line, or what it looks like.
        looks: String,
        /// Names of the formats that are read.
        known: String,
    },
    /// A table of no known format, described as far as its header tells.
    #[error("{}: no known format; {looks}; it seems a table of weather: describe it in the plan. Paste these lines below the other keys of its [[stop]], and check what is marked with ?:\n\n{table}# Then `dawnvolt weather FILE --columns PLAN` reads it.", path.display())]
    UnknownTable {
        /// The file.
        path: PathBuf,
        /// The first line.
        looks: String,
        /// The lines to paste.
        table: Box<DescribedTable>,
    },
    /// A format that is recognised and deliberately not read.
    #[error("{}: this is {format}, which is not read; {instead}", path.display())]
    Refused {
        /// The file.
        path: PathBuf,
        /// The format.
        format: &'static str,
        /// What to download instead.
        instead: &'static str,
    },
    /// The format was recognised and the layout does not hold.
    #[error("{}, line {line}: found {found}; expected {expected}; {next}", path.display())]
    Layout {
        /// The file.
        path: PathBuf,
        /// The line.
        line: u32,
        /// What stands there.
        found: String,
        /// What should.
        expected: String,
        /// The next step.
        next: String,
    },
    /// The file holds no air temperature.
    #[error("{} ({format}): no air temperature: {found}; expected {expected}; {next}", path.display())]
    NoAir {
        /// The file.
        path: PathBuf,
        /// Its format.
        format: &'static str,
        /// What it holds instead.
        found: String,
        /// The column that was expected.
        expected: &'static str,
        /// The next step.
        next: &'static str,
    },
    /// The numbers can only be of another unit.
    #[error("{}: {found}; expected Celsius; the column is probably in Fahrenheit or kelvin: name the columns and `air_unit` under [stop.columns]", path.display())]
    Unit {
        /// The first file.
        path: PathBuf,
        /// What gives it away.
        found: String,
    },
    /// Every reading was missing or was left out.
    #[error("{}: not one usable reading of air temperature ({found}); expected at least one; {next}", path.display())]
    NoReadings {
        /// The first file.
        path: PathBuf,
        /// What was found instead.
        found: String,
        /// The next step.
        next: String,
    },
    /// The files belong to several stations.
    #[error("{place}: several stations: {}; expected one; {next}", listed(names))]
    SeveralStations {
        /// The file, or "these files".
        place: String,
        /// Who, with the file where each was first met.
        names: Vec<String>,
        /// The next step.
        next: &'static str,
    },
    /// Stamps that do not tell their zone.
    #[error("{}, line {line}: the stamp {found} carries no zone; expected \"...Z\" or \"...-07:00\"; set `utc_offset` for this stop (its clock, and the zone of the stamps; where these are in UTC, also utc_offset = \"+00:00\" under [stop.columns]), or write the zone into the stamps", path.display())]
    NoZone {
        /// The file.
        path: PathBuf,
        /// The line.
        line: u32,
        /// The stamp.
        found: String,
    },
    /// A typical year beside other files.
    #[error("{} is a typical year and {} is not the same one; expected a typical year alone; a typical year cannot be joined with other files", typical.display(), other.display())]
    TypicalWithOthers {
        /// The typical year.
        typical: PathBuf,
        /// The other file.
        other: PathBuf,
    },
    /// A table of places that cannot be used.
    #[error("{}, line {line}: {found}; expected a CSV with the headers id, latitude_deg (-90 to 90), longitude_deg (-180 to 180) and, where known, name and elevation_m; correct this line", path.display())]
    PlaceTable {
        /// The table.
        path: PathBuf,
        /// The line.
        line: u32,
        /// What stands there.
        found: String,
    },
    /// More files below the folders of a survey than are listed.
    #[error("{}: the folders hold more than {most} files; expected fewer; name their parts, one survey a part", path.display())]
    ManyFiles {
        /// The first file too many.
        path: PathBuf,
        /// The bound.
        most: usize,
    },
    /// More files than an origin can number.
    #[error("{count} files for one station; expected at most 65535; join them first")]
    TooManyFiles {
        /// How many.
        count: usize,
    },
}

impl WeatherError {
    /// Whether the next step of a file of a known format is to name its columns all the same.
    pub(super) fn wants_columns(&self) -> bool {
        match self {
            Self::Unit { .. } => true,
            Self::Layout { next, .. } => next.contains("under [stop.columns]"),
            _ => false,
        }
    }
}
