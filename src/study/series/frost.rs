//! Lithium batteries in frost: hours in which no arrangement charges, so that a share lost to low volts does not know them.

use super::arrangement::Cases;
use crate::study::OpenStop;
use crate::study::low_side::{LowRun, is_lithium};
use serde::Serialize;

/// A place where the battery, as cold as the air, takes no charge in some hours of sun.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Frost {
    /// The place.
    pub place: String,
    /// Whether the hours are those of a stay, else of a year.
    pub of_a_stay: bool,
    /// Hours of sun with air below 0 C.
    pub hours_below_0_c: f64,
    /// Hours of sun.
    pub sun_hours: f64,
}

/// `None` without a lithium battery, and where no hour is that cold.
pub(super) fn of(open: &OpenStop<'_>, cases: &Cases, low: &LowRun) -> Option<Frost> {
    let battery = cases.list.iter().find_map(|case| case.battery)?;
    let hours_below_0_c: f64 = low.below_0_c.iter().sum();
    (is_lithium(&battery) && hours_below_0_c > 0.0).then(|| Frost {
        place: open.stop.place.clone(),
        of_a_stay: open.stop.window.is_some(),
        hours_below_0_c,
        sun_hours: low.sun_hours,
    })
}
