//! How a table of no known format is read, as far as it tells by itself: lines for a plan, in the pieces that somebody
//! else may have to complete.

use std::fmt;

/// The description of a table. Printed, it is what a person pastes into a plan's stop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DescribedTable {
    /// Lines for the stop itself: its place and clock, or a line that waits for them.
    pub stop_lines: String,
    /// Latitude and longitude of its own columns, degrees, where no row has others.
    pub place: Option<(f64, f64)>,
    /// The clock of the place in quotes, where the light says that the stamps keep it.
    pub own_clock: Option<String>,
    /// `[stop.columns]` and the lines below it.
    pub columns: String,
    /// Where nothing tells the zone of the stamps: the line that waits for it, with what is usual.
    pub open_clock: Option<String>,
}

impl fmt::Display for DescribedTable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}{}", self.stop_lines, self.columns, self.open_clock.as_deref().unwrap_or_default())
    }
}
