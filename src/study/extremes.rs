//! Remarks that the statistics of extremes ask for: how well the law fits, trends, a record beyond its own level, lows in
//! the dark, and published values beside our own.

use crate::extreme::{self, Direction, Side};
use crate::hourly::{Seen, Voltage};
use crate::note::{Note, NoteKind};
use crate::study::results::{ArrayAtStop, DesignTemperature, Peak, SeasonLow};
use crate::study::temperatures::{LEVEL_WINTERS, MEAN_WINTERS, counted_values};
use crate::time::Stamp;

/// Kelvin under which two lows count as the same: half the last digit that is printed.
const SAME_K: f64 = 0.05;

/// Remarks on the annual lows.
#[must_use]
pub fn of_lows(lows: &[SeasonLow], design: &DesignTemperature) -> Vec<Note> {
    let blocks: Vec<(f64, bool)> = lows.iter().map(|low| (low.low, low.counted)).collect();
    let beyond = match (design.record_low, design.low_20_year) {
        (Some(lowest), Some(level)) if lowest < level => {
            Some(format!("lowest air {lowest:.1} °C, 20-year low {level:.1} °C"))
        }
        _ => None,
    };
    fit("annual lows", &blocks, Side::Low, beyond).into_iter().collect()
}

/// How the extremes of at least ten complete blocks fit the law of the levels; `beyond`: the figures, where the record
/// lies beyond its own 20-year level.
fn fit(name: &str, blocks: &[(f64, bool)], side: Side, beyond: Option<String>) -> Option<Note> {
    if blocks.iter().filter(|(_, complete)| *complete).count() < LEVEL_WINTERS {
        return None;
    }
    let values = counted_values(blocks, side);
    let mut text = format!("{name}: {}", extreme::goodness_of_fit(&values, side)?.in_words());
    if let Some(figures) = beyond {
        text.push_str(&format!("; {figures}: {}", extreme::beyond_own_level_in_words(20.0, values.len())));
    }
    Some(Note::once(NoteKind::Fit, text))
}

/// Remarks on the season maxima of an array's volts.
#[must_use]
pub fn of_volts(array: &ArrayAtStop, seen: &Seen, several: bool) -> Vec<Note> {
    let mut notes = Vec::new();
    let of = if several { format!(" of array \"{}\"", array.name) } else { String::new() };
    for (voltage, name, peak) in [
        (Voltage::SuddenSun, "sudden-sun", &array.voltage_v.sudden_sun),
        (Voltage::WorstCase, "worst-case", &array.voltage_v.worst_case),
    ] {
        let maxima: Vec<(i32, f64, bool)> = seen
            .blocks
            .iter()
            .filter_map(|block| {
                block.peak.of(voltage).map(|peak| (block.key, peak.spot.volts, block.complete))
            })
            .collect();
        let blocks: Vec<(f64, bool)> = maxima.iter().map(|&(_, volts, complete)| (volts, complete)).collect();
        let beyond = match peak {
            Peak { max: Some(most), level_20_year: Some(level), .. } if most > level => {
                Some(format!("largest {most:.1} V, 20-year level {level:.1} V"))
            }
            _ => None,
        };
        notes.extend(fit(&format!("{name} maxima{of}"), &blocks, Side::High, beyond));
        let yearly: Vec<(i32, f64)> =
            maxima.iter().filter(|(.., complete)| *complete).map(|&(key, volts, _)| (key, volts)).collect();
        if let Some(trend) = extreme::trend(&yearly).filter(|trend| trend.direction != Direction::Unclear) {
            notes.push(Note::once(NoteKind::Trend, format!("{name} maxima{of}: {}", trend.in_words("V"))));
        }
    }
    notes
}

/// How much of the cold came in the dark. `dark_h`: hours from the record low to the next light, `None` where the sun
/// does not rise within a day; `volts_per_k`: what a kelvin is worth in the code sum.
#[must_use]
pub fn in_the_dark(
    lows: &[SeasonLow],
    daylight: &[Option<(f64, Stamp)>],
    design: &DesignTemperature,
    dark_h: Option<i64>,
    volts_per_k: Option<f64>,
) -> Option<Note> {
    let (lowest, in_light) = (design.record_low?, design.daylight_record_low?);
    let counted: Vec<_> = lows.iter().zip(daylight).filter(|(low, _)| low.counted).collect();
    let dark =
        counted.iter().filter(|(low, light)| light.is_none_or(|(light, _)| light > low.low + SAME_K)).count();
    let winters = match counted.len() {
        0 => String::new(),
        all => format!("; of the lows of {all} complete winters {dark} came in the dark"),
    };
    let apart = in_light - lowest;
    let text = if apart < SAME_K {
        format!(
            "the record low of {lowest:.1} °C came with the sun up or within two hours before it rose, so sudden sun can \
             meet cells that cold{winters}"
        )
    } else {
        let when = match dark_h {
            Some(hours) => format!("about {hours} h before the sun rose"),
            None => "while the sun did not rise".into(),
        };
        let worth = match volts_per_k {
            Some(per_k) if per_k > 0.0 => format!(", worth {:.1} V of the code sum", per_k * apart),
            _ => String::new(),
        };
        format!(
            "the record low of {lowest:.1} °C came in the dark, {when}{winters}. The lowest air with the sun up or within \
             two hours before it rises was {in_light:.1} °C, {apart:.1} K warmer{worth}. The code sum keeps the lows of \
             all hours; the weather's voltages are computed in light alone"
        )
    };
    Some(Note::once(NoteKind::Daylight, text))
}

/// Published values beside our own, with what each rests on and what may lie between them.
#[must_use]
pub fn beside_published(design: &DesignTemperature, lows: &[SeasonLow], step_h: u32) -> Option<Note> {
    let published = design.published.as_ref()?;
    let counted: Vec<&SeasonLow> = lows.iter().filter(|low| low.counted).collect();
    let complete = counted.len();
    let said = format!("published mean annual low {:.1} °C ({})", published.mean, published.source);
    let (Some(own), Some(sd), Some((first, last))) =
        (design.mean_annual_low, design.sd, counted.first().zip(counted.last()))
    else {
        let lowest = match design.record_low {
            Some(low) => format!("; the lowest air that it holds is {low:.1} °C"),
            None => String::new(),
        };
        if lows.is_empty() {
            return Some(Note::once(
                NoteKind::Published,
                format!("{said}: a typical year has no annual lows of its own to set beside it"),
            ));
        }
        return Some(Note::once(
            NoteKind::Published,
            format!(
                "{said}: this record has no mean annual low of its own to set beside it ({complete} complete winters, \
                 {MEAN_WINTERS} needed){lowest}"
            ),
        ));
    };
    let apart = own - published.mean;
    let error = sd / (complete as f64).sqrt();
    let mut text = format!(
        "{said}; our own {own:.1} °C from {complete} complete winters ({} to {})",
        first.season, last.season
    );
    if apart.abs() < SAME_K {
        text.push_str(": the same");
    } else {
        let word = if apart > 0.0 { "milder" } else { "colder" };
        text.push_str(&format!(": {:.1} K {word} than the published one", apart.abs()));
        text.push_str(if apart.abs() <= 2.0 * error {
            ", which other years alone can explain"
        } else {
            ", more than other years explain by chance"
        });
        text.push_str(&format!(" (standard error of our mean {error:.1} K)"));
        if apart > 0.0 {
            let missed = if step_h >= 3 { "0.5 to 2" } else { "0.3 to 1.5" };
            text.push_str(&format!(
                "; readings every {step_h} h miss the true lows by {missed} K, and another stand of the instrument, a \
                 warming town or warmer years work the same way. The published one is the safer of the two"
            ));
        } else {
            text.push_str(
                "; a colder stand of the instrument, other years or a grid's own error may lie behind it. Our own is the \
                 safer of the two; a plan that is to take it says code_temperature",
            );
        }
    }
    if let (Some(level), Some(own), Some(errors)) =
        (published.low_20_year, design.low_20_year, design.standard_errors)
    {
        text.push_str(&format!(
            ". 20-year low: published {level:.1} °C, our own {own:.1} °C (standard error {:.1} K)",
            errors[2]
        ));
    }
    Some(Note::once(NoteKind::Published, text))
}
