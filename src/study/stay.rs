//! A stay whose deciding level lies above that of the whole seasons around it.

use crate::extreme::{self, Moments, Side};
use crate::hourly::{Blocks, Loop, Voltage, fold};
use crate::limits::DecidedBy;
use crate::note::{Note, NoteKind};
use crate::study::figures::{block_maxima, weather_figures};
use crate::study::lines::ArrayAt;
use crate::study::temperatures::counted_values;
use crate::weather::Hour;

/// Volts by which the two must differ as they are printed.
const PRINTED_V: f64 = 0.05;

/// Why the stay's level is the larger: no stay holds more volts than its season, so a reader takes it for an error. `job` is
/// the loop of the stay.
#[must_use]
pub fn above_its_season(at: &ArrayAt<'_>, job: &Loop<'_>, hours: &[Hour], whose: &str) -> Option<Note> {
    let Some(Blocks::Windows { hemisphere, .. }) = at.blocks else { return None };
    let Some((stay_v, DecidedBy::Level)) = at.figures.decide.worst_case() else { return None };
    let job = Loop {
        ratings: &[],
        steady_only: &[],
        blocks: Some(Blocks::Seasons(hemisphere)),
        only: None,
        ..*job
    };
    let seasons = fold(&job, hours);
    let complete = seasons.blocks.iter().filter(|block| block.complete).count();
    let maxima = block_maxima(&seasons, Voltage::WorstCase);
    let worst = seasons.peak.worst_case.map(|peak| peak.spot);
    let figures = weather_figures(at.groups, worst, &maxima, complete, at.assumptions);
    figures.level?;
    let (season_v, by) = figures.worst_case()?;
    if stay_v - season_v < PRINTED_V {
        return None;
    }
    let stay = extreme::moments(&counted_values(&block_maxima(at.seen, Voltage::WorstCase), Side::High))?;
    let season = extreme::moments(&counted_values(&maxima, Side::High))?;
    let what = match by {
        DecidedBy::Level => "expected of whole seasons there by the same sum",
        _ => "of whole seasons there, the largest seen",
    };
    Some(Note::once(
        NoteKind::Trip,
        format!(
            "the {stay_v:.1} V expected{whose} in this stay are more than the {season_v:.1} V {what}, though no stay can pass its \
             season: {}. No error, and the larger figure is kept",
            why(&stay, &season)
        ),
    ))
}

fn why(stay: &Moments, season: &Moments) -> String {
    if stay.sd > season.sd {
        format!(
            "the largest volts of a stay differ more from year to year (standard deviation {:.2} V against {:.2} V), and what is \
             expected allows for that",
            stay.sd, season.sd
        )
    } else {
        format!("{} stays were counted against {} seasons, and fewer ask for more room", stay.n, season.n)
    }
}
