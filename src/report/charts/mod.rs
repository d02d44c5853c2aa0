//! Charts: each is composed once as a `drawing::Drawing` and painted twice, as SVG and as PNG.
//!
//! One file a chart. Colours, sizes and the font stand in `style`; axes and the placing of labels in `frame`.

mod annual_lows;
mod bars;
mod calendar;
mod diagram;
mod drawing;
mod duration;
mod frame;
mod light_and_air;
mod paint;
mod ratings;
mod route;
mod season_maxima;
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
pub use route::route;
pub use season_maxima::season_maxima;
pub(super) use style::css;
pub use worst_week::worst_week;

use crate::report::{clean, view};
use crate::study::results::{ArrayAtStop, Assessment, StopResult};

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

/// Place and, where a plan has several, array: the end of a title.
fn heading(assessment: &Assessment, stop: &StopResult, array: &ArrayAtStop) -> String {
    let place = clean::short(&stop.place, 40);
    if assessment.arrays.len() > 1 {
        format!("{place}, array {}", clean::short(&array.name, 24))
    } else {
        place
    }
}

/// A chart of one array at one stop.
type AtStop = fn(&Assessment, usize, usize) -> Result<Option<Chart>, ChartError>;

/// Charts that every stop gets.
const EVERYWHERE: [AtStop; 2] = [worst_week, volts_exceeded];
/// Charts that only the worst stop of an array gets: they explain, and once is enough.
const AT_THE_WORST: [AtStop; 5] = [season_maxima, calendar, light_and_air, amps_exceeded, lost_starts];

/// All charts of an assessment, in the order in which the report shows them: of each array first those at the
/// stop where it fares worst, then the whole trip, then the other stops.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn all(assessment: &Assessment) -> Result<Vec<Chart>, ChartError> {
    let mut charts = Vec::new();
    for array in 0..assessment.arrays.len() {
        charts.extend(diagram(assessment, array)?);
    }
    for facts in &assessment.arrays {
        let worst = view::coldest_stop(assessment, &facts.name);
        let find =
            |stop: usize| assessment.stops[stop].arrays.iter().position(|array| array.name == facts.name);
        if let Some((stop, array)) = worst.and_then(|stop| find(stop).map(|array| (stop, array))) {
            for chart in EVERYWHERE {
                charts.extend(chart(assessment, stop, array)?);
            }
            charts.extend(annual_lows(assessment, stop)?);
            for chart in AT_THE_WORST {
                charts.extend(chart(assessment, stop, array)?);
            }
        }
        charts.extend(route(assessment, &facts.name)?);
    }
    charts.extend(departure(assessment)?);
    for stop in 0..assessment.stops.len() {
        for facts in &assessment.arrays {
            let array = assessment.stops[stop].arrays.iter().position(|array| array.name == facts.name);
            if let Some(array) = array.filter(|_| view::coldest_stop(assessment, &facts.name) != Some(stop)) {
                for chart in EVERYWHERE {
                    charts.extend(chart(assessment, stop, array)?);
                }
            }
        }
        let id = annual_lows::id(stop);
        if !charts.iter().any(|chart: &Chart| chart.id == id) {
            charts.extend(annual_lows(assessment, stop)?);
        }
    }
    Ok(charts)
}
