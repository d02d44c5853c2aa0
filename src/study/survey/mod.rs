//! `survey`: every station of whole folders against one plan. Each station stands alone, so the rows do not depend on
//! how many threads work, nor on which other stations there are.

mod ceiling;
mod row;
mod stations;
mod summary;

use ceiling::equal_count;
pub use ceiling::{Ceiling, ceiling};
pub use row::{SurveyRow, rows};
pub use stations::{Grouped, SurveyStation, UnreadFile, grouped};
pub use summary::{ArraySummary, SurveySummary};

use crate::array::Array;
use crate::plan::Plan;
use crate::study::{StudyError, lines};
use crate::sun::SharedNodes;
use crate::trip::Stop;
use crate::weather::WeatherError;
use rayon::prelude::*;

/// What a survey holds against every station.
#[derive(Clone, Debug)]
pub struct SurveyPlan<'p> {
    /// The plan; its stops are not used but for [`SurveyPlan::likes`].
    pub plan: &'p Plan,
    /// Arrays that are asked for.
    pub arrays: Vec<&'p Array>,
    /// Stops whose columns and zone serve files of no known format, each description once.
    pub likes: Vec<&'p Stop>,
}

impl<'p> SurveyPlan<'p> {
    /// Takes the columns and zones of the plan's stops that have columns.
    #[must_use]
    pub fn new(plan: &'p Plan, arrays: Vec<&'p Array>) -> Self {
        let mut likes: Vec<&Stop> = Vec::new();
        for stop in plan.stops.iter().filter(|stop| stop.columns.is_some()) {
            let same = |other: &&Stop| (&other.columns, other.utc_offset) == (&stop.columns, stop.utc_offset);
            if !likes.iter().any(same) {
                likes.push(stop);
            }
        }
        Self { plan, arrays, likes }
    }

    /// Why no count can be told of an array, and what to add; `None` where one can.
    #[must_use]
    pub fn why_no_count(&self, array: &Array) -> Option<String> {
        let (ratings, _) = lines::voltage_ratings(array, &self.plan.assumptions);
        let why = if ratings.is_empty() {
            "nothing in it has a rating in volts, so there is nothing to hold the volts against; add what it feeds to the plan, \
             such as [[component]], kind = \"controller\", max_v = 100"
        } else if equal_count(array).is_none() {
            "its strings differ, or one mixes kinds of panels, so there is no count for all; give the survey a plan of equal \
             strings"
        } else {
            return None;
        };
        Some(format!("no count can be told for array \"{}\": {why}", array.name))
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
