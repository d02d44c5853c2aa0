//! Files of folders, sorted by station.

use crate::study::StudyError;
use crate::study::survey::SurveyPlan;
use crate::trip::Stop;
use crate::weather::{self, Found, Identity, Places, Request, Station, WeatherError};
use rayon::prelude::*;
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// One station of a survey.
#[derive(Clone, Debug)]
pub struct SurveyStation {
    /// Equal for the same station in every run over the same folders.
    pub key: String,
    /// Its files, in the order in which they were found.
    pub files: Vec<PathBuf>,
    /// Their size together, bytes.
    pub bytes: u64,
    /// What the first file says of it, filled up from the table of places.
    pub station: Station,
    /// The plan's description that serves its files, an index into [`SurveyPlan::likes`].
    pub like: Option<usize>,
}

impl SurveyStation {
    /// How it is called.
    #[must_use]
    pub fn name(&self) -> &str {
        let station = &self.station;
        station.name.as_deref().or(station.id.as_deref()).unwrap_or_default()
    }

    /// What a table of places calls it.
    #[must_use]
    pub fn id(&self) -> &str {
        let station = &self.station;
        station.id.as_deref().or(station.name.as_deref()).unwrap_or_default()
    }
}

/// A file that no station could be told from.
#[derive(Debug)]
pub struct UnreadFile {
    /// Its path.
    pub path: PathBuf,
    /// Why.
    pub error: StudyError,
}

/// Files sorted by station.
#[derive(Debug, Default)]
pub struct Grouped {
    /// In the order of each one's first file, so that the rows of several folders are the rows of each, one behind the
    /// other.
    pub stations: Vec<SurveyStation>,
    /// In the order of the files.
    pub unread: Vec<UnreadFile>,
}

/// Who a file is of, and which description serves it.
fn identity(job: &SurveyPlan<'_>, path: &Path) -> Result<(Identity, Option<usize>), StudyError> {
    let as_described = |stop: Option<&&Stop>| {
        weather::identity(
            path,
            &Request {
                files: &[],
                columns: stop.and_then(|stop| stop.columns.as_ref()),
                utc_offset: stop.and_then(|stop| stop.utc_offset),
            },
        )
    };
    if job.likes.len() < 2 {
        return Ok((as_described(job.likes.first())?, job.likes.first().map(|_| 0)));
    }
    let mut fitting = job.likes.iter().enumerate().filter_map(|(at, stop)| {
        as_described(Some(stop)).ok().filter(|found| found.by_columns).map(|found| (found, at, stop))
    });
    match (fitting.next(), fitting.next()) {
        (Some((found, at, _)), None) => Ok((found, Some(at))),
        (Some((.., first)), Some((.., second))) => Err(StudyError::TwoDescriptions {
            path: path.to_path_buf(),
            first: first.place.clone(),
            second: second.place.clone(),
        }),
        (None, _) => Ok((as_described(None)?, None)),
    }
}

/// Of a file of no known format a line: advice to paste is for whoever asks about that file.
fn shorter(error: StudyError) -> StudyError {
    let StudyError::Files(source) = error else { return error };
    match *source {
        WeatherError::Unknown { path, looks, .. } | WeatherError::UnknownTable { path, looks, .. } => {
            StudyError::Foreign { path, looks }
        }
        other => StudyError::Files(Box::new(other)),
    }
}

/// Sorts files by station, looking at the first lines of each.
#[must_use]
pub fn grouped(job: &SurveyPlan<'_>, files: Vec<Found>, places: &Places) -> Grouped {
    // Collected in the order of the files, whatever thread read which.
    let identities: Vec<_> = files.par_iter().map(|file| identity(job, &file.path)).collect();
    let mut grouped = Grouped::default();
    let mut known: HashMap<String, usize> = HashMap::new();
    for (file, identity) in files.into_iter().zip(identities) {
        let (identity, like) = match identity {
            Ok(found) => found,
            Err(error) => {
                grouped.unread.push(UnreadFile { path: file.path, error: shorter(error) });
                continue;
            }
        };
        if let Some(station) = known.get(&identity.key).and_then(|&at| grouped.stations.get_mut(at)) {
            station.files.push(file.path);
            station.bytes += file.bytes;
            continue;
        }
        let mut station = identity.station;
        if station.id.is_none() && station.name.is_none() {
            station.id = Some(identity.bare_name);
        }
        if let Some(listed) = station.id.as_deref().and_then(|id| places.of(id)) {
            station.name = station.name.take().or_else(|| listed.name.clone());
            station.latitude_deg = station.latitude_deg.or(Some(listed.latitude_deg));
            station.longitude_deg = station.longitude_deg.or(Some(listed.longitude_deg));
            station.elevation_m = station.elevation_m.or(listed.elevation_m);
        }
        known.insert(identity.key.clone(), grouped.stations.len());
        grouped.stations.push(SurveyStation {
            key: identity.key,
            files: vec![file.path],
            bytes: file.bytes,
            station,
            like,
        });
    }
    grouped
}
