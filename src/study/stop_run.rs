//! What a stop gave, beyond what is printed of it.

use crate::hourly::{Blocks, Seen};
use crate::study::doubts::Doubt;
use crate::study::explain::Explained;
use crate::study::lines::VoltageRating;
use crate::study::low_side::FewerInSeries;
use crate::study::weeks::OtherDates;

/// What a stop gave, kept until the trip is judged.
pub(super) struct StopRun {
    pub(super) blocks: Option<Blocks>,
    /// By array: what was seen, and the smallest voltage rating with its component.
    pub(super) seen: Vec<(Seen, Vec<VoltageRating>)>,
    /// What other dates do for broken limits.
    pub(super) dates: Vec<OtherDates>,
    /// What fewer panels in series cost in the heat.
    pub(super) fewer: Vec<FewerInSeries>,
    /// By array: its worst hour as a calculation, where the report is asked for.
    pub(super) explained: Vec<Option<Explained>>,
    /// What follows where the record holds no winter and the stop no dates.
    pub(super) no_winter: Option<String>,
    /// What follows where the record is of one year alone.
    pub(super) one_year: Option<&'static str>,
    /// Whether its record belongs to its place.
    pub(super) doubts: Vec<Doubt>,
}
