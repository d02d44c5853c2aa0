//! `survey`: every station of whole folders against one plan. Each station stands alone, so the rows do not depend on
//! how many threads work, nor on which other stations there are.

mod ceiling;
mod row;
mod stations;
mod summary;

pub use ceiling::{Ceiling, ceiling};
pub use row::{SurveyRow, rows};
pub use stations::{Grouped, SurveyStation, UnreadFile, grouped};
pub use summary::{ArraySummary, SurveySummary};

use crate::array::Array;
use crate::plan::Plan;
use crate::study::StudyError;
use crate::sun::SharedNodes;
use crate::trip::Stop;
use crate::weather::WeatherError;
use rayon::prelude::*;

/// What a survey holds against every station.
#[derive(Clone, Debug)]
pub struct SurveyPlan<'p> {
    /// The plan; its stops are not used but for [`SurveyPlan::like`].
    pub plan: &'p Plan,
    /// Arrays that are asked for.
    pub arrays: Vec<&'p Array>,
    /// The stop whose columns and zone serve files of no known format.
    pub like: Option<&'p Stop>,
}

impl<'p> SurveyPlan<'p> {
    /// Takes the columns and the zone of the plan's only stop that has columns.
    #[must_use]
    pub fn new(plan: &'p Plan, arrays: Vec<&'p Array>) -> Self {
        let mut with_columns = plan.stops.iter().filter(|stop| stop.columns.is_some());
        let like = with_columns.next().filter(|_| with_columns.next().is_none());
        Self { plan, arrays, like }
    }
}

/// Runs the `stations` that are `wanted` on all threads at hand. `wanted` is asked, and `done` called, for each by its
/// index, in any order, from any thread; an error of `done` stops the run.
///
/// # Errors
/// What `done` returns.
pub fn survey<E: Send>(
    job: &SurveyPlan<'_>,
    stations: &[SurveyStation],
    wanted: impl Fn(usize) -> bool + Sync,
    done: impl Fn(usize, Result<Vec<SurveyRow>, StudyError>) -> Result<(), E> + Sync,
) -> Result<(), E> {
    let nodes = SharedNodes::default();
    stations.par_iter().enumerate().with_max_len(1).try_for_each(|(index, station)| {
        if wanted(index) { done(index, rows(job, station, &nodes)) } else { Ok(()) }
    })
}

/// A message about files of a survey, without the words of a trip.
fn plain(error: StudyError, station: &SurveyStation) -> StudyError {
    match error {
        StudyError::Weather { source, .. } => StudyError::Files(source),
        StudyError::NoCoordinates { missing, format, .. } => {
            StudyError::NoPlace { station: station.name().to_owned(), missing, format }
        }
        other => other,
    }
}

impl From<WeatherError> for StudyError {
    fn from(error: WeatherError) -> Self {
        Self::Files(Box::new(error))
    }
}
