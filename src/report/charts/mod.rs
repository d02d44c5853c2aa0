//! Charts: each is composed once as a [`drawing::Drawing`] and painted twice, as SVG and as PNG.
//!
//! One file a chart. Colours, sizes and the font stand in [`style`]; axes and the placing of labels in [`frame`].

mod annual_lows;
mod drawing;
mod frame;
mod paint;
mod style;
mod worst_week;

pub use annual_lows::annual_lows;
pub(super) use frame::minus;
pub(super) use style::css;
pub use worst_week::worst_week;

use crate::report::view;
use crate::study::results::Assessment;

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
    /// The stop that it belongs to, counted from 0; `None`: the analysis as a whole.
    pub stop: Option<usize>,
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

/// All charts of an assessment: of each array first at the stop where it fares worst, then the other stops.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn all(assessment: &Assessment) -> Result<Vec<Chart>, ChartError> {
    let mut charts = Vec::new();
    for facts in &assessment.arrays {
        let first = view::coldest_stop(assessment, &facts.name);
        let mut order: Vec<usize> = (0..assessment.stops.len()).collect();
        order.sort_by_key(|&stop| Some(stop) != first);
        for stop in order {
            let arrays = &assessment.stops[stop].arrays;
            if let Some(array) = arrays.iter().position(|array| array.name == facts.name) {
                charts.extend(worst_week(assessment, stop, array)?);
            }
        }
    }
    for stop in 0..assessment.stops.len() {
        charts.extend(annual_lows(assessment, stop)?);
    }
    Ok(charts)
}
