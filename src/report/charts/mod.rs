//! Charts: each is composed once as a `drawing::Drawing` and painted twice, as SVG and as PNG.
//!
//! One file a chart. Colours, sizes and the font stand in `style`; axes and the placing of labels in `frame`.

mod annual_lows;
mod bars;
mod calendar;
mod coast;
mod diagram;
mod drawing;
mod duration;
mod frame;
mod key;
mod letters;
mod light_and_air;
mod map;
mod paint;
mod ratings;
mod route;
mod season_maxima;
mod series_ladder;
mod style;
mod voltages;
mod worst_week;

pub use annual_lows::annual_lows;
pub use bars::{departure, lost_starts};
pub use calendar::calendar;
pub use diagram::diagram;
pub use duration::{amps_exceeded, volts_exceeded};
pub(super) use frame::minus;
pub use light_and_air::light_and_air;
pub use map::{MapPoint, map};
pub use route::route;
pub use season_maxima::season_maxima;
pub use series_ladder::series_ladder;
pub(super) use style::css;
pub use worst_week::worst_week;

use crate::report::{clean, view};
use crate::study::results::{ArrayAtStop, ArrayFacts, Assessment, StopResult};
use rayon::prelude::{IntoParallelIterator, ParallelIterator};

/// A finished chart.
#[derive(Clone, Debug)]
pub struct Chart {
    /// Name of its file and anchor: lower case letters, digits, hyphens.
    pub id: String,
    /// What it shows.
    pub title: String,
    /// What it finds, in a sentence or two, for those who cannot see it.
    pub alt: String,
    /// As a self-contained SVG document.
    pub svg: String,
    /// As a PNG file.
    pub png: Vec<u8>,
    /// Where in the report it stands.
    pub role: Role,
    /// What its signs mean.
    pub key: Vec<KeyEntry>,
}

/// An entry of a chart's key.
#[derive(Clone, Debug)]
pub struct KeyEntry {
    /// The sign as a small SVG; empty for words without one.
    pub sign: String,
    /// What it means.
    pub text: String,
}

/// What a chart is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// How an array is wired.
    Wiring,
    /// The analysis as a whole.
    Whole,
    /// One stop, counted from 0.
    Stop(usize),
}

/// Why a chart could not be drawn. Neither happens with the embedded font and in memory, but neither is silent.
#[derive(Debug, thiserror::Error)]
pub enum ChartError {
    /// The embedded font was refused.
    #[error("the embedded font could not be read; the program is damaged, build it anew")]
    Font,
    /// The plotting crate refused to draw.
    #[error("chart '{id}' could not be drawn: {reason}; please report this with the plan file")]
    Drawing {
        /// Which chart.
        id: String,
        /// What the plotting crate says.
        reason: String,
    },
    /// The bitmap could not be encoded.
    #[error("chart '{id}' could not be encoded as PNG: {reason}; please report this with the plan file")]
    Png {
        /// Which chart.
        id: String,
        /// What the encoder says.
        reason: String,
    },
}

/// A place as the end of a title: a name too long for it is cut, and then has its number among the stops, since places
/// of one trip may begin alike.
fn place(assessment: &Assessment, stop: &StopResult, most: usize) -> String {
    let name = clean::line(&stop.place);
    let number = assessment.stops.iter().position(|other| std::ptr::eq(other, stop));
    match number.filter(|_| assessment.stops.len() > 1 && name.chars().count() > most) {
        Some(index) => format!("stop {}, {}", index + 1, clean::short(&name, most.saturating_sub(9))),
        None => clean::short(&name, most),
    }
}

/// Place and, where a plan has several, array: the end of a title.
fn heading(assessment: &Assessment, stop: &StopResult, array: &ArrayAtStop) -> String {
    let place = place(assessment, stop, 52);
    if assessment.arrays.len() > 1 {
        format!("{place}, array {}", clean::short(&array.name, 24))
    } else {
        place
    }
}

/// A chart of one array at one stop.
type AtStop = fn(&Assessment, usize, usize) -> Result<Option<Chart>, ChartError>;

/// Charts that only the worst stop of an array gets, after its annual lows: they explain or show all stops,
/// and once is enough.
const AFTER_LOWS: [AtStop; 5] = [season_maxima, calendar, light_and_air, amps_exceeded, lost_starts];

/// All charts of an assessment, in the order in which the report shows them: of each array first those at the
/// stop where it fares worst, then the whole trip, then the other stops.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn all(assessment: &Assessment) -> Result<Vec<Chart>, ChartError> {
    let charts: Vec<Option<Chart>> =
        jobs(assessment).into_par_iter().map(|job| job(assessment)).collect::<Result<_, _>>()?;
    Ok(charts.into_iter().flatten().collect())
}

/// A chart still to be drawn; each is drawn on its own.
type Job<'a> = Box<dyn Fn(&Assessment) -> Result<Option<Chart>, ChartError> + Send + Sync + 'a>;

/// What is to be drawn, in the order of the report.
fn jobs(assessment: &Assessment) -> Vec<Job<'_>> {
    let mut jobs: Vec<Job<'_>> = Vec::new();
    let at = |chart: AtStop, stop: usize, array: usize| -> Job<'_> {
        Box::new(move |assessment| chart(assessment, stop, array))
    };
    for array in 0..assessment.arrays.len() {
        jobs.push(Box::new(move |assessment| diagram(assessment, array)));
    }
    let mut lows_drawn = vec![false; assessment.stops.len()];
    let mut departures_drawn = false;
    for (index, facts) in assessment.arrays.iter().enumerate() {
        let worst = view::leading_stop(assessment, &facts.name);
        if let Some((stop, array)) = worst.and_then(|stop| Some((stop, find(assessment, stop, facts)?))) {
            jobs.push(at(worst_week, stop, array));
            jobs.push(Box::new(move |assessment| series_ladder(assessment, index)));
            jobs.push(at(volts_exceeded, stop, array));
            if !std::mem::replace(&mut lows_drawn[stop], true) {
                jobs.push(Box::new(move |assessment| annual_lows(assessment, stop)));
            }
            jobs.extend(AFTER_LOWS.map(|chart| at(chart, stop, array)));
            if !std::mem::replace(&mut departures_drawn, true) {
                jobs.push(Box::new(departure));
            }
            jobs.push(Box::new(|assessment| route(assessment, &facts.name)));
        } else {
            jobs.push(Box::new(move |assessment| series_ladder(assessment, index)));
            jobs.push(Box::new(|assessment| route(assessment, &facts.name)));
        }
    }
    if !departures_drawn {
        jobs.push(Box::new(departure));
    }
    for (stop, drawn) in lows_drawn.iter().enumerate() {
        for facts in &assessment.arrays {
            let array = find(assessment, stop, facts);
            if let Some(array) = array.filter(|_| view::leading_stop(assessment, &facts.name) != Some(stop)) {
                jobs.push(at(worst_week, stop, array));
            }
        }
        if !drawn {
            jobs.push(Box::new(move |assessment| annual_lows(assessment, stop)));
        }
    }
    jobs
}

/// Index of an array among those of a stop.
fn find(assessment: &Assessment, stop: usize, facts: &ArrayFacts) -> Option<usize> {
    assessment.stops[stop].arrays.iter().position(|array| array.name == facts.name)
}
