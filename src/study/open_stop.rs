//! A stop made ready: its weather read, its place known, its sky drawn.

use crate::assumptions::Assumptions;
use crate::hourly::{Loop, ReadyGroup, Site};
use crate::note::{Note, NoteKind};
use crate::place::{ELEVATION_RANGE_M, Place};
use crate::sky::ClearSky;
use crate::study::StudyError;
use crate::sun::Nodes;
use crate::time::{DAY_S, Stamp, UtcOffset};
use crate::trip::Stop;
use crate::weather::{self, Opened, Record, Request, SeasonCoverage};

/// Up to this height a place lies so little above a station of unknown height that the air differs by less than whole degrees
/// round: 50 m at 9.8 K/km are 0.5 K, m.
const NEAR_THE_SEA_M: f64 = 50.0;

/// A stop with its weather and its sky.
#[derive(Debug)]
pub struct OpenStop<'p> {
    /// As the plan gives it.
    pub stop: &'p Stop,
    /// Its weather.
    pub opened: Opened,
    /// Elevation of the station, m; `None` where neither file nor plan says.
    pub station_elevation_m: Option<f64>,
    /// Place of the vehicle.
    pub site: Site,
    /// Its clear sky.
    pub sky: ClearSky,
    /// Temperature seasons at the station; empty for a typical year.
    pub seasons: Vec<SeasonCoverage>,
    /// First and last hour.
    pub span: (Stamp, Stamp),
    /// Remarks of this step, besides those of the reader.
    pub notes: Vec<Note>,
}

impl<'p> OpenStop<'p> {
    /// Reads the weather of a stop and finds its place.
    ///
    /// # Errors
    /// Unreadable weather; no coordinates; coordinates out of range.
    pub fn open(stop: &'p Stop, assumptions: &Assumptions) -> Result<Self, StudyError> {
        let request =
            Request { files: &stop.files, columns: stop.columns.as_ref(), utc_offset: stop.utc_offset };
        let opened = weather::open(&request)
            .map_err(|source| StudyError::Weather { place: stop.place.clone(), source: Box::new(source) })?;
        let mut notes = Vec::new();
        let (latitude_deg, longitude_deg) = coordinates(stop, &opened)?;
        let station_elevation_m = opened.station.elevation_m.or(stop.station_elevation_m);
        let elevation_m = stop.elevation_m.or(station_elevation_m).unwrap_or_else(|| {
            notes.push(Note::once(
                NoteKind::Assumed,
                "neither the files nor the plan say how high this place lies: sea level is assumed for the light, and \
                 the air is the station's. Find out the height of the place, and of the station where it differs (elevation_m, \
                 station_elevation_m)",
            ).asking());
            0.0
        });
        // A place near the sea has hardly a station below it.
        let may_lie_above = stop.elevation_m.is_some_and(|place| place > NEAR_THE_SEA_M);
        if station_elevation_m.is_none() && may_lie_above {
            notes.push(Note::once(
                NoteKind::Elevation,
                "neither the files nor the plan say how high the station lies, so its air is taken as it is: where the \
                 place lies 1000 m above it the air is 6.5 to 9.8 K colder. Find out how high the station lies (station_elevation_m)",
            ).asking());
        }
        let above_station_m = station_elevation_m.map_or(0.0, |station| elevation_m - station);
        let place = Place { latitude_deg, longitude_deg, elevation_m };
        if let Some((key, found)) = place.fault() {
            let expected = match key {
                "latitude_deg" => "-90 to 90 degrees, north positive",
                "longitude_deg" => "-180 to 180 degrees, east positive",
                _ => "-450 to 9000 m",
            };
            return Err(StudyError::BadCoordinate { place: stop.place.clone(), key, found, expected });
        }
        debug_assert!(ELEVATION_RANGE_M.contains(&elevation_m), "checked by Place::fault");
        let (hemisphere, note) = weather::hemisphere(Some(latitude_deg), opened.record.hours());
        notes.extend(note);
        let offset = local_clock(stop.utc_offset, &opened, Some(longitude_deg));
        let site = Site { place, above_station_m, offset, hemisphere };
        let seasons = match &opened.record {
            Record::Chronological(record) => weather::seasons(record, hemisphere, offset),
            Record::TypicalYear(_) => Vec::new(),
        };
        let span = opened.record.span();
        let sky = ClearSky::at(elevation_m, assumptions.linke_turbidity);
        Ok(Self { stop, station_elevation_m, site, sky, seasons, span, notes, opened })
    }

    /// Whether the record is consecutive time.
    #[must_use]
    pub fn is_chronological(&self) -> bool {
        self.opened.record.is_chronological()
    }

    /// The record's own reporting interval, h.
    #[must_use]
    pub fn step_h(&self) -> u32 {
        self.opened.record.step_h()
    }

    /// The span over which the sun is asked: a year more than the record on both sides, since the coverage of a season
    /// asks for the sun of days that the record lacks.
    #[must_use]
    pub fn sun_span(&self) -> (Stamp, Stamp) {
        (self.span.0.plus_s(-366 * DAY_S), self.span.1.plus_s(366 * DAY_S))
    }

    /// A loop over the hours of this place that asks for no counts.
    #[must_use]
    pub fn bare_loop<'l>(&'l self, nodes: &'l Nodes, groups: &'l [ReadyGroup<'l>]) -> Loop<'l> {
        Loop {
            site: &self.site,
            sky: &self.sky,
            nodes,
            groups,
            ratings: &[],
            steady_only: &[],
            blocks: None,
            only: self.stop.window,
            step_h: self.step_h(),
        }
    }

    /// Nodes of the sun over the record, taken from `nodes` where those cover it.
    ///
    /// # Errors
    /// Stamps in years that no record covers.
    pub fn sun_nodes<'n>(&self, nodes: &'n mut Option<Nodes>) -> Result<&'n Nodes, StudyError> {
        let (first, last) = self.sun_span();
        let kept = match nodes.take() {
            Some(kept) if kept.covers(first, last) => kept,
            _ => Nodes::covering(first, last)
                .map_err(|source| StudyError::Sun { place: self.stop.place.clone(), source })?,
        };
        Ok(nodes.insert(kept))
    }
}

/// Latitude and longitude, degrees: the files', else the plan's. What lacks is said at once.
fn coordinates(stop: &Stop, opened: &Opened) -> Result<(f64, f64), StudyError> {
    let station = &opened.station;
    let (missing, add) =
        match (station.latitude_deg.or(stop.latitude_deg), station.longitude_deg.or(stop.longitude_deg)) {
            (Some(latitude), Some(longitude)) => return Ok((latitude, longitude)),
            (None, Some(_)) => ("latitude", "`latitude_deg = ...`"),
            (Some(_), None) => ("longitude", "`longitude_deg = ...`"),
            (None, None) => ("latitude and longitude", "`latitude_deg = ...` and `longitude_deg = ...`"),
        };
    Err(StudyError::NoCoordinates { place: stop.place.clone(), missing, add, format: opened.format() })
}

/// The clock of local days: the plan's, else a local zone that the format declares, else longitude / 15 rounded, else
/// UTC. A format that stamps in UTC declares no local zone by that.
pub(super) fn local_clock(
    stated: Option<UtcOffset>,
    opened: &Opened,
    longitude_deg: Option<f64>,
) -> UtcOffset {
    stated
        .or(opened.station.utc_offset.filter(|&offset| offset != UtcOffset::UTC))
        .or(longitude_deg.map(UtcOffset::from_longitude))
        .unwrap_or(UtcOffset::UTC)
}

/// That files without coordinates belong to this place is the plan's word alone: a station's number is easily mistaken; and a table
/// of one's own does not say that it was measured.
pub(super) fn unplaced(opened: &Opened) -> Option<Note> {
    let is_placed = opened.station.latitude_deg.is_some();
    let source = "whether they were measured or computed for a grid, which is often some degrees too warm on clear nights in a valley";
    let text = match &opened.station.id {
        _ if opened.files.iter().any(|file| file.format == weather::ANY_TABLE) => {
            if is_placed {
                format!("the files do not say {source}")
            } else {
                format!("the files say neither where they belong nor {source}: see that they fit this place")
            }
        }
        Some(id) if !is_placed => format!(
            "the files name no place: that {id} lies here is the plan's word; look the number up in the archive's list of stations"
        ),
        _ => return None,
    };
    Some(Note::once(NoteKind::Place, text))
}
