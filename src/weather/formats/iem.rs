//! Iowa Environmental Mesonet: airport reports (METAR) as CSV.
//!
//! Instants at any minute, in the zone that was chosen when downloading: it stands in a "#DEBUG: Time Zone" line of
//! the "comma" layout only. Without that line UTC, the form's default, is assumed and said. Any other zone is a
//! clock with daylight saving and is refused. `tmpf` is Fahrenheit, `tmpc` Celsius; wind in knots. Layout seen in
//! a real file; coordinates in columns are from memory.

use super::KNOT;
use super::{Format, Input, Stations, Stop, Table, elevation, latitude, longitude, stamp, words};
use crate::note::{Note, NoteKind};
use crate::time::UtcOffset;
use crate::units::Celsius;
use crate::weather::cells;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span, oktas_of_word};
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "Iowa Mesonet ASOS", detect, read };

const STATION: usize = 0;
const VALID: usize = 1;
const FAHRENHEIT: usize = 2;
const CELSIUS: usize = 3;
const KNOTS: usize = 4;
const SKY: usize = 5;
const SKY_COUNT: usize = 4;
const LATITUDE: usize = 9;
const LONGITUDE: usize = 10;
const ELEVATION: usize = 11;

const COLUMNS: &[(usize, &[&str])] = &[
    (STATION, &["station"]),
    (VALID, &["valid"]),
    (FAHRENHEIT, &["tmpf"]),
    (CELSIUS, &["tmpc"]),
    (KNOTS, &["sknt"]),
    (SKY, &["skyc1"]),
    (SKY + 1, &["skyc2"]),
    (SKY + 2, &["skyc3"]),
    (SKY + 3, &["skyc4"]),
    (LATITUDE, &["lat"]),
    (LONGITUDE, &["lon"]),
    (ELEVATION, &["elevation"]),
];

/// The line that names the zone.
const ZONE_LINE: &str = "#DEBUG: Time Zone";

/// Line of the header: the first that is no comment.
fn header_line(head: &Head) -> usize {
    head.lines.iter().position(|line| !line.starts_with('#')).unwrap_or(0)
}

fn detect(head: &Head) -> Option<String> {
    let at = header_line(head);
    let cells = head.cells(at, b',');
    let begins = cells.first().is_some_and(|cell| cell == "station");
    let held = |name: &str| cells::position(&cells, name).is_some();
    (begins && held("valid") && (held("tmpf") || held("tmpc")))
        .then(|| "its header begins \"station\" and holds valid and tmpf or tmpc".to_owned())
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    let header = header_line(input.head);
    let zone_line = input.head.lines[..header].iter().position(|line| line.starts_with(ZONE_LINE));
    let zone = match zone_line {
        Some(at) => {
            let name = input.head.line(at).rsplit("->").next().unwrap_or_default().trim().to_owned();
            if !matches!(name.as_str(), "Etc/UTC" | "UTC" | "GMT" | "Etc/GMT") {
                return Err(input.layout(
                    u32::try_from(at + 1).unwrap_or(1),
                    format!("stamps on the clock of {name}"),
                    "stamps in UTC: that clock jumps with daylight saving",
                    "download again with the time zone UTC",
                ));
            }
            UtcOffset::UTC
        }
        None => {
            let zone = input.utc_offset.unwrap_or(UtcOffset::UTC);
            if input.utc_offset.is_none() {
                let text = "the file does not say the zone of its stamps; UTC, the archive's default, is assumed; \
                            set `utc_offset` if another one was chosen when downloading";
                gather.declare().notes.push(Note::once(NoteKind::Assumed, text));
            }
            zone
        }
    };
    let mut stations = Stations::default();
    let table = Table { separator: b',', header, columns: COLUMNS, keys: &[VALID] };
    table.read(input, gather, |cells, line, gather| {
        if cells.at(STATION).first() == Some(&b'#') {
            return Err(Stop::Row(Why::OtherLine));
        }
        let civil = scan::iso(cells.at(VALID)).ok_or(Why::NoStamp)?;
        if stations.names().is_empty() {
            gather.declare().station = Station {
                id: words(cells.at(STATION)),
                name: words(cells.at(STATION)),
                latitude_deg: latitude(cells.at(LATITUDE)),
                longitude_deg: longitude(cells.at(LONGITUDE)),
                elevation_m: elevation(cells.at(ELEVATION)),
                utc_offset: None,
            };
        }
        stations.meet(cells.at(STATION), String::new);
        let mut reading = Reading::new(Span::Instant(stamp(civil.seconds, zone)), line);
        reading.air = match reading::air(cells.at(CELSIUS), |_| false) {
            Err(Why::NoAir) => {
                reading::air(cells.at(FAHRENHEIT), |_| false).map(|f| Celsius::from_fahrenheit(f).0)
            }
            air => air,
        };
        reading.wind_m_s = scan::decimal(cells.at(KNOTS)).map(|knots| knots * KNOT);
        reading.oktas = (SKY..SKY + SKY_COUNT)
            .filter_map(|slot| oktas_of_word(scan::trim(cells.at(slot))))
            .reduce(f64::max);
        Ok(reading)
    })?;
    stations.one(input.path)
}
