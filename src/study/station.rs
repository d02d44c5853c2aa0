//! What is in weather files: one result a station, without a plan and without panels.

use crate::hourly::{Site, daylight_lows};
use crate::note::{Note, NoteKind};
use crate::place::Place;
use crate::study::doubts::{self, Doubt};
use crate::study::open_stop::local_clock;
use crate::study::record_facts::record_facts;
use crate::study::results::{DesignTemperature, RecordFacts, SeasonLow, StationFacts};
use crate::study::{StudyError, extremes, notes, temperatures};
use crate::sun::Nodes;
use crate::time::{DAY_S, Stamp, UtcOffset};
use crate::trip::Stop;
use crate::weather::{self, Opened, Record, Request, SeasonCoverage, WeatherError};
use serde::Serialize;
use std::path::PathBuf;

/// n of the level that the next season goes below with chance 1/n, as a plan without that setting has it.
const RETURN_YEARS: f64 = 20.0;

/// What the files of one station hold.
#[derive(Clone, Debug, Serialize)]
pub struct StationWeather {
    /// The station.
    pub station: StationFacts,
    /// The archive's own identifier.
    pub station_id: Option<String>,
    /// The record.
    pub record: RecordFacts,
    /// The record's own reporting interval, h.
    pub step_h: u32,
    /// Design temperatures at the station.
    pub design_temperature_c: DesignTemperature,
    /// Published n-year lows that a file carries.
    pub published_low_c: Vec<LevelLow>,
    /// Season by season.
    pub annual_low_c: Vec<SeasonLow>,
    /// Lowest air by month and hour of the local day.
    pub low_by_month_c: Vec<MonthLows>,
    /// Clock of local days and of `low_by_month_c`, as "-07:00".
    #[serde(serialize_with = "clock")]
    pub utc_offset: UtcOffset,
    /// File by file.
    pub files: Vec<FileRead>,
    /// Remarks.
    pub notes: Vec<Note>,
}

/// A published low.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LevelLow {
    /// n of the n-year low.
    pub years: u32,
    /// C.
    pub low: f64,
}

/// One month of all years.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthLows {
    /// 1 to 12.
    pub month: u32,
    /// Lowest air in each hour of the local day, C; null where the record has no such hour.
    pub by_hour: [Option<f64>; 24],
}

/// What one file gave.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FileRead {
    /// The file as named, with the member of an archive behind it.
    pub file: String,
    /// Its format.
    pub format: &'static str,
    /// Why it was recognised as that.
    pub recognised_by: String,
    /// Rows that gave a reading.
    pub rows: u64,
    /// Rows that gave no air temperature.
    pub left_out: u64,
}

fn clock<S: serde::Serializer>(offset: &UtcOffset, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(offset)
}

/// Opens the files and says what they hold, one result a station. `like` is a stop of a plan whose columns, zone and
/// place serve files that do not say.
///
/// # Errors
/// A file cannot be read, is of no known format, or holds several stations itself.
pub fn stations(files: &[PathBuf], like: Option<&Stop>) -> Result<Vec<StationWeather>, StudyError> {
    let (columns, utc_offset) = like.map_or((None, None), |stop| (stop.columns.as_ref(), stop.utc_offset));
    let request = Request { files, columns, utc_offset };
    let several = match weather::open(&request) {
        Ok(opened) if weather::is_mixture(&opened.station, files) => None,
        Ok(opened) => return Ok(vec![station(&opened, like)?]),
        Err(error @ (WeatherError::SeveralStations { .. } | WeatherError::TypicalWithOthers { .. })) => {
            Some(error)
        }
        Err(error) => return Err(StudyError::Files(Box::new(error))),
    };
    let groups = weather::by_station(&request).map_err(Box::new)?;
    if let (1, Some(error)) = (groups.len(), several) {
        // One file holds them all: its own message says how to name one.
        return Err(StudyError::Files(Box::new(error)));
    }
    let open = |files: &[PathBuf]| weather::open(&Request { files, ..request }).map_err(Box::new);
    groups.iter().map(|files| station(&open(files)?, like)).collect()
}

/// What the record of one station holds.
///
/// # Errors
/// Stamps in years for which the sun's place is not known.
pub fn station(opened: &Opened, like: Option<&Stop>) -> Result<StationWeather, StudyError> {
    let own = &opened.station;
    let facts = StationFacts {
        name: own.name.clone().or_else(|| own.id.clone()),
        latitude_deg: own.latitude_deg.or(like.and_then(|stop| stop.latitude_deg)),
        longitude_deg: own.longitude_deg.or(like.and_then(|stop| stop.longitude_deg)),
        elevation_m: own.elevation_m.or(like.and_then(|stop| stop.station_elevation_m.or(stop.elevation_m))),
    };
    let offset = local_clock(like.and_then(|stop| stop.utc_offset), opened, facts.longitude_deg);
    let (hemisphere, hemisphere_note) = weather::hemisphere(facts.latitude_deg, opened.record.hours());
    let seasons = match &opened.record {
        Record::Chronological(record) => weather::seasons(record, hemisphere, offset),
        Record::TypicalYear(_) => Vec::new(),
    };
    let lows = temperatures::season_lows(&seasons, 0.0);
    let mut design = temperatures::from_lows(&opened.record, &lows, 0.0, RETURN_YEARS);
    design.published = opened.published.as_ref().map(|published| temperatures::carried(published, 0.0));
    if let Some(place) = place(&facts) {
        let site = Site { place, above_station_m: 0.0, offset, hemisphere };
        daylight(opened, &site, &seasons, &lows, &mut design)?;
    }
    let doubts = doubts::of_record(opened.record.hours(), facts.latitude_deg, facts.longitude_deg);
    let mut remarks: Vec<Note> = doubts.iter().map(Doubt::note).collect();
    remarks.extend(opened.notes.iter().cloned());
    remarks.extend(hemisphere_note);
    remarks.extend(without_place(&facts));
    remarks.extend(notes::of_station(opened, hemisphere, &seasons, &design));
    remarks.extend(extremes::of_lows(&lows, &design));
    remarks.extend(extremes::beside_published(&design, &lows, opened.record.step_h()));
    Ok(StationWeather {
        station_id: own.id.clone(),
        station: facts,
        record: record_facts(opened, &seasons),
        step_h: opened.record.step_h(),
        design_temperature_c: design,
        published_low_c: opened.published.as_ref().map_or_else(Vec::new, |published| {
            published.levels_c.iter().map(|&(years, low)| LevelLow { years, low }).collect()
        }),
        annual_low_c: lows,
        low_by_month_c: low_by_month(opened, offset),
        utc_offset: offset,
        files: files(opened),
        notes: remarks,
    })
}

/// The station as a place; `None` where a coordinate is unknown or no coordinate. The sun does not ask for a height.
fn place(facts: &StationFacts) -> Option<Place> {
    let place = Place {
        latitude_deg: facts.latitude_deg?,
        longitude_deg: facts.longitude_deg?,
        elevation_m: facts.elevation_m.unwrap_or(0.0),
    };
    place.fault().is_none().then_some(place)
}

/// Lows of the hours with the sun up or about to rise.
fn daylight(
    opened: &Opened,
    site: &Site,
    seasons: &[SeasonCoverage],
    lows: &[SeasonLow],
    design: &mut DesignTemperature,
) -> Result<(), StudyError> {
    let Record::Chronological(record) = &opened.record else { return Ok(()) };
    let (first, last) = opened.record.span();
    // Days more on both sides: the hours after the last ask whether the sun rises.
    let nodes = Nodes::covering(first.plus_s(-8 * DAY_S), last.plus_s(8 * DAY_S))
        .map_err(|source| StudyError::Sun { place: site_name(opened), source })?;
    temperatures::add_daylight(design, &daylight_lows(site, &nodes, &record.hours, seasons), lows);
    Ok(())
}

fn site_name(opened: &Opened) -> String {
    let station = &opened.station;
    station.name.clone().or_else(|| station.id.clone()).unwrap_or_else(|| "the station".to_owned())
}

fn without_place(facts: &StationFacts) -> Option<Note> {
    let missing = [
        ("latitude_deg", facts.latitude_deg),
        ("longitude_deg", facts.longitude_deg),
        ("elevation_m", facts.elevation_m),
    ];
    let missing: Vec<&str> =
        missing.into_iter().filter(|(_, value)| value.is_none()).map(|(key, _)| key).collect();
    (!missing.is_empty()).then(|| {
        Note::once(
            NoteKind::Place,
            format!(
                "the files do not say {}: the lows here need none, a plan does; give {} in its [[stop]]",
                missing.join(", "),
                if missing.len() == 1 { "it" } else { "them" }
            ),
        )
    })
}

fn low_by_month(opened: &Opened, offset: UtcOffset) -> Vec<MonthLows> {
    let mut months: Vec<MonthLows> = (1..=12).map(|month| MonthLows { month, by_hour: [None; 24] }).collect();
    let mut today: Option<(Stamp, usize)> = None;
    for hour in opened.record.hours() {
        // The calendar is asked once a day.
        let at = match today {
            Some((start, at)) if (0..DAY_S).contains(&(hour.start.0 - start.0)) => at,
            _ => {
                let day = hour.start.local_day(offset);
                let at = day.month_day().month.saturating_sub(1) as usize;
                today = Some((day.start(offset), at));
                at
            }
        };
        let clock = hour.start.local_hour(offset) as usize;
        if let Some(low) = months.get_mut(at).and_then(|month| month.by_hour.get_mut(clock)) {
            *low = Some(low.map_or(hour.air_low_c, |low| low.min(hour.air_low_c)));
        }
    }
    months
}

fn files(opened: &Opened) -> Vec<FileRead> {
    opened
        .files
        .iter()
        .map(|file| FileRead {
            file: file.path.display().to_string(),
            format: file.format,
            recognised_by: file.recognised_by.clone(),
            rows: file.rows,
            left_out: file.dropped,
        })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::sky::Light;
    use crate::weather::{Chronological, Hour, Lows, Origin, Published, Station};

    /// Ten years, hourly; every winter's low falls on 20 January at 04:00 UTC and is one kelvin lower each year.
    fn opened(latitude_deg: Option<f64>) -> Opened {
        let begin = Stamp::from_utc(2001, 7, 1, 0, 0, 0).unwrap();
        let end = Stamp::from_utc(2011, 7, 1, 0, 0, 0).unwrap();
        let hours = (begin.0..end.0)
            .step_by(3600)
            .map(|second| {
                let start = Stamp(second);
                let day = start.local_day(UtcOffset::UTC);
                let (date, clock) = (day.month_day(), start.local_hour(UtcOffset::UTC));
                let summer = if (4..10).contains(&date.month) { 20.0 } else { 0.0 };
                let coldest = date.month == 1 && date.day == 20 && clock == 4;
                let air = if coldest { -10.0 - f64::from(day.year() - 2001) } else { summer };
                Hour {
                    start,
                    air_mean_c: air,
                    air_low_c: air,
                    air_high_c: 0.0,
                    wind_m_s: None,
                    light: Light::Unknown,
                    origin: Origin { file: 0, line: 1 },
                }
            })
            .collect();
        Opened {
            station: Station { latitude_deg, longitude_deg: latitude_deg.map(|_| 0.0), ..Station::default() },
            record: Record::Chronological(Chronological { hours, step_h: 1 }),
            files: Vec::new(),
            lows: Lows::OfReadings,
            notes: Vec::new(),
            published: Some(Published {
                mean_c: -12.0,
                sd_k: 3.0,
                levels_c: vec![(5, -14.0), (20, -17.0)],
                source: "an invented handbook".into(),
            }),
        }
    }

    #[test]
    fn a_station_without_a_place_still_gives_its_lows() {
        let found = station(&opened(None), None).unwrap();
        let design = &found.design_temperature_c;
        // Lows of -11 to -20 C: their mean is -15.5, their standard deviation that of 1..10, 3.02765.
        assert_eq!(found.annual_low_c.len(), 10);
        assert!((design.mean_annual_low.unwrap() + 15.5).abs() < 1e-9);
        assert!((design.sd.unwrap() - 3.027_650_354).abs() < 1e-6);
        assert_eq!(design.record_low, Some(-20.0));
        assert_eq!(design.daylight_record_low, None);
        let kinds: Vec<NoteKind> = found.notes.iter().map(|note| note.kind).collect();
        assert!(kinds.contains(&NoteKind::Assumed) && kinds.contains(&NoteKind::Place), "{kinds:?}");
        assert!(found.notes.iter().any(|note| note.text.contains("3.5 K colder than the published one")));
        assert_eq!(
            found.published_low_c,
            [LevelLow { years: 5, low: -14.0 }, LevelLow { years: 20, low: -17.0 }]
        );
    }

    #[test]
    fn with_a_place_the_dark_hours_are_told_apart() {
        // On 20 January at 50 N the sun rises near 07:50 solar time: the hour of 04:00 ends more than two hours before it.
        let found = station(&opened(Some(50.0)), None).unwrap();
        assert_eq!(found.design_temperature_c.record_low, Some(-20.0));
        assert_eq!(found.design_temperature_c.daylight_record_low, Some(0.0));
        assert!(!found.notes.iter().any(|note| note.kind == NoteKind::Assumed));
    }

    #[test]
    fn the_picture_holds_the_low_where_it_fell() {
        let found = station(&opened(None), None).unwrap();
        assert_eq!(found.low_by_month_c[0].by_hour[4], Some(-20.0));
        assert_eq!(found.low_by_month_c[0].by_hour[5], Some(0.0));
        assert_eq!(found.low_by_month_c[6].by_hour[4], Some(20.0));
    }
}
