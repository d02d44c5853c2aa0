//! Files of folders, sorted by station.

use crate::study::survey::SurveyPlan;
use crate::weather::{self, Found, Places, Request, Station, WeatherError};
use rayon::prelude::*;
use std::collections::HashMap;
use std::path::PathBuf;

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
    pub error: WeatherError,
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

/// Sorts files by station, looking at the first lines of each.
#[must_use]
pub fn grouped(job: &SurveyPlan<'_>, files: Vec<Found>, places: &Places) -> Grouped {
    let request = Request {
        files: &[],
        columns: job.like.and_then(|stop| stop.columns.as_ref()),
        utc_offset: job.like.and_then(|stop| stop.utc_offset),
    };
    // Collected in the order of the files, whatever thread read which.
    let identities: Vec<_> = files.par_iter().map(|file| weather::identity(&file.path, &request)).collect();
    let mut grouped = Grouped::default();
    let mut known: HashMap<String, usize> = HashMap::new();
    for (file, identity) in files.into_iter().zip(identities) {
        let identity = match identity {
            Ok(identity) => identity,
            Err(error) => {
                grouped.unread.push(UnreadFile { path: file.path, error });
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
        });
    }
    grouped
}
