//! Which part of a plan is asked for, and how much is worked out.

use crate::array::Array;
use crate::plan::Plan;
use crate::study::StudyError;
use crate::trip::Stop;

/// Which part of a plan is asked for.
#[derive(Clone, Debug, Default)]
pub struct Choice {
    /// Name or number (from 1) of one stop; `None`: all.
    pub stop: Option<String>,
    /// Name of one array; `None`: all.
    pub array: Option<String>,
    /// How much is worked out.
    pub detail: Detail,
}

/// How much is worked out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Detail {
    /// The figures.
    #[default]
    Figures,
    /// The summaries of hours for the report's charts besides, which take a second pass.
    Pictures,
}

impl Choice {
    /// The stops asked for, with their place in the trip.
    ///
    /// # Errors
    /// A stop that the plan does not have.
    pub fn stops<'p>(&self, plan: &'p Plan) -> Result<Vec<(usize, &'p Stop)>, StudyError> {
        let all = plan.stops.iter().enumerate();
        let Some(asked) = &self.stop else { return Ok(all.collect()) };
        let number = asked.parse::<usize>().ok();
        let found: Vec<_> = all
            .filter(|(index, stop)| stop.place.eq_ignore_ascii_case(asked) || number == Some(index + 1))
            .collect();
        if found.is_empty() {
            // As much of a name as tells it from the others; a place visited twice has one name.
            let begun: Vec<_> =
                plan.stops.iter().enumerate().filter(|(_, stop)| begins(&stop.place, asked)).collect();
            if begun.first().is_some_and(|(_, first)| begun.iter().all(|(_, stop)| stop.place == first.place))
            {
                return Ok(begun);
            }
            let known = listed(plan.stops.iter().map(|stop| stop.place.as_str()));
            return Err(StudyError::Unknown { what: "stop", asked: asked.clone(), known });
        }
        Ok(found)
    }

    /// The arrays asked for.
    ///
    /// # Errors
    /// An array that the plan does not have.
    pub fn arrays<'p>(&self, plan: &'p Plan) -> Result<Vec<&'p Array>, StudyError> {
        let Some(asked) = &self.array else { return Ok(plan.arrays.iter().collect()) };
        let found: Vec<_> =
            plan.arrays.iter().filter(|array| array.name.eq_ignore_ascii_case(asked)).collect();
        if found.is_empty() {
            let known = listed(plan.arrays.iter().map(|array| array.name.as_str()));
            return Err(StudyError::Unknown { what: "array", asked: asked.clone(), known });
        }
        Ok(found)
    }
}

/// Whether a name begins with what was typed, case aside.
fn begins(name: &str, typed: &str) -> bool {
    !typed.trim().is_empty() && name.to_lowercase().starts_with(&typed.trim().to_lowercase())
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ")
}
