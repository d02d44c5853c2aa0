//! The report as one self-contained HTML file: no network, no script, no outside font.

mod answer;
mod buying;
mod cards;
mod checklist;
mod client;
mod document;
mod explain;
mod places;
mod sure;
mod tables;

use super::charts::Chart;
use crate::study::results::Assessment;

/// The whole document. `charts` are inlined as SVG at their places.
#[must_use]
pub fn html(assessment: &Assessment, charts: &[Chart]) -> String {
    document::document(assessment, charts).into_string()
}
