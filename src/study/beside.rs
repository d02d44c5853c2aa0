//! What stands beside the figures and decides nothing: bursts of current at cloud edges, how long a sudden voltage
//! lasts, what a basin or a weather grid may hide.

use crate::heat::{self, GLASS_PANEL_KG_M2, IntoSun, seconds_to_warm_by};
use crate::hourly::{Air, ReadyGroup, Seen};
use crate::note::{Note, NoteKind};
use crate::sky;
use crate::study::OpenStop;
use crate::study::results::{ArrayAtStop, Currents};
use crate::units::Celsius;

/// Share of its peak that the sudden voltage may lose and still count as lasting.
const LASTING_SHARE: f64 = 0.02;

/// Currents of an array over a record.
///
/// The burst is the largest short-circuit current of any 5 minutes under clear sky (or the file's own light), with snow
/// and rear light, times what cloud edges are measured to add for seconds to minutes `[YORDANOV2013]`.
#[must_use]
pub fn currents(open: &OpenStop<'_>, seen: &Seen) -> Currents {
    let factor = sky::cloud_edge_factor(open.site.place.elevation_m);
    Currents {
        max_hour: seen.current.max_hour.map(|(amps, _)| amps),
        at: seen.current.max_hour.map(|(_, at)| at),
        highest_3_hour_mean: seen.current.highest_3_hour_mean,
        burst: seen.current.brightest.map(|(amps, _)| amps * factor),
        burst_at: seen.current.brightest.map(|(_, at)| at),
        burst_factor: factor,
    }
}

/// Seconds that the largest sudden-sun voltage stays within 2 % of its peak while that hour's sun and wind warm a glass
/// panel `[PRILLIMAN2020]`; `None` without such a voltage, and where the sun never takes so much.
#[must_use]
pub fn lasts_s(open: &OpenStop<'_>, groups: &[ReadyGroup<'_>], seen: &Seen) -> Option<f64> {
    let peak = seen.peak.sudden_sun?;
    let spot = peak.spot;
    let before = Celsius(spot.cell_c);
    let miss = |ready: &ReadyGroup<'_>| {
        let volts = ready.central.volts(spot.irradiance_w_m2, before);
        volts.map_or(f64::INFINITY, |volts| (volts.0 - spot.volts).abs())
    };
    let ready = groups.iter().min_by(|a, b| miss(a).total_cmp(&miss(b)))?;
    let hour = open
        .opened
        .record
        .hours()
        .iter()
        .find(|hour| hour.start == peak.start && hour.origin == peak.origin)?;
    let wind_m_s = Air::at(&open.site, hour).wind_m_s;
    let steady = heat::steady(ready.group.mount, before, spot.irradiance_w_m2, Some(wind_m_s));
    let kelvin = ready.central.kelvin_taking(LASTING_SHARE, spot.irradiance_w_m2, before)?;
    seconds_to_warm_by(kelvin, IntoSun { before, steady, wind_m_s, mass_kg_m2: GLASS_PANEL_KG_M2 })
}

/// Kelvin that a clear calm night in a closed basin may be colder than a station on a slope or a coast. Chosen as the
/// lower end of published 5 to 15 K (common practice, no source to cite).
pub(super) const BASIN_K: f64 = 5.0;
/// Kelvin that a weather grid is to be credited with on such nights: grids are 2 to 5 K too warm in valleys (from memory
/// of the literature, no source to cite).
const GRID_K: f64 = 3.0;
/// Formats that carry the weather of grid cells.
const GRIDS: [&str; 6] =
    ["ERA5 time series", "NASA POWER", "NSRDB", "Open-Meteo", "PVGIS hourly", "PVGIS typical year"];

/// The allowances of place and grid, in volts where an array has a code sum.
#[must_use]
pub fn allowances(open: &OpenStop<'_>, arrays: &[ArrayAtStop]) -> Vec<Note> {
    let per_k = arrays
        .iter()
        .filter_map(|array| array.voltage_v.code.and(array.voltage_v.code_volts_per_k))
        .fold(0.0, f64::max);
    let worth = |kelvin: f64| {
        if per_k > 0.0 { format!(": worth {:.1} V", per_k * kelvin) } else { String::new() }
    };
    let mut notes = vec![Note::once(
        NoteKind::Place,
        format!(
            "a camp in a closed basin or on a plain can be {BASIN_K:.0} K colder on clear calm nights than a station on a \
             slope or a coast{}; it is in no figure here",
            worth(BASIN_K)
        ),
    )];
    let format = open.opened.format();
    if GRIDS.iter().any(|grid| format.contains(grid)) {
        notes.push(Note::once(
            NoteKind::Place,
            format!(
                "the weather is that of a grid cell, not of a thermometer: on clear calm nights it is 2 to 5 K too warm in \
                 valleys. Allow {GRID_K:.0} K{}; it is in no figure here",
                worth(GRID_K)
            ),
        ));
    }
    notes
}
