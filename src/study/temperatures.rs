//! Design temperatures of a stop, and the temperature of its code sum.

use crate::assumptions::{Assumptions, CodeTemperature};
use crate::extreme::{self, Moments, Side};
use crate::hourly::Daylight;
use crate::study::OpenStop;
use crate::study::results::{DesignTemperature, PublishedLowFacts, SeasonLow};
use crate::units::Celsius;
use crate::weather::{Published, Record, SeasonCoverage};

/// Complete winters that the mean of annual lows needs.
pub const MEAN_WINTERS: usize = 5;
/// Complete winters that an n-year level needs.
pub const LEVEL_WINTERS: usize = 10;

/// Values of complete blocks, and of incomplete ones that lie beyond the mean of the complete: a gap in the cold is
/// not random, so an incomplete season may add to an extreme but never speak against it.
#[must_use]
pub fn counted_values(blocks: &[(f64, bool)], side: Side) -> Vec<f64> {
    blocks
        .iter()
        .zip(are_counted(blocks, side))
        .filter(|(_, counted)| *counted)
        .map(|(block, _)| block.0)
        .collect()
}

/// Which of the blocks [`counted_values`] takes.
fn are_counted(blocks: &[(f64, bool)], side: Side) -> Vec<bool> {
    let complete: Vec<f64> =
        blocks.iter().filter(|(_, complete)| *complete).map(|(value, _)| *value).collect();
    let mean = complete.iter().sum::<f64>() / complete.len() as f64;
    let beyond = |value: f64| match side {
        Side::Low => value < mean,
        Side::High => value > mean,
    };
    // Without a complete one there is no mean to be beyond.
    blocks
        .iter()
        .map(|&(value, is_complete)| is_complete || (!complete.is_empty() && beyond(value)))
        .collect()
}

/// The annual lows at the place, season by season.
#[must_use]
pub fn annual_lows(open: &OpenStop<'_>) -> Vec<SeasonLow> {
    season_lows(&open.seasons, open.site.colder_k())
}

/// Annual lows, `colder_k` kelvin below the station's.
#[must_use]
pub fn season_lows(seasons: &[SeasonCoverage], colder_k: f64) -> Vec<SeasonLow> {
    let blocks: Vec<(f64, bool)> = seasons.iter().map(|season| (season.low_c, season.complete)).collect();
    seasons
        .iter()
        .zip(are_counted(&blocks, Side::Low))
        .map(|(season, in_mean)| SeasonLow {
            season: season.season,
            low: season.low_c - colder_k,
            at: season.low_at,
            coverage: season.share,
            step_h: season.step_h,
            counted: season.complete,
            in_mean,
        })
        .collect()
}

/// Everything that the record supports about cold at the place.
#[must_use]
pub fn design_temperature(
    open: &OpenStop<'_>,
    lows: &[SeasonLow],
    daylight: Option<&Daylight>,
    assumptions: &Assumptions,
) -> DesignTemperature {
    let colder_k = open.site.colder_k();
    let mut design = from_lows(&open.opened.record, lows, colder_k, assumptions.return_years);
    design.published = published(open);
    if let Some(daylight) = daylight {
        add_daylight(&mut design, daylight, lows);
    }
    design
}

/// What the annual lows and the hours of a record support; `colder_k`: kelvin that the place lies colder than the
/// station, which the lows already hold.
#[must_use]
pub fn from_lows(record: &Record, lows: &[SeasonLow], colder_k: f64, return_years: f64) -> DesignTemperature {
    let mut design = DesignTemperature::default();
    if record.is_chronological() {
        let lowest = record.lowest().map(|hour| (hour.air_low_c - colder_k, hour.start));
        design.record_low = lowest.map(|(low, _)| low);
        design.record_low_at = lowest.map(|(_, at)| at);
    }
    let complete = lows.iter().filter(|low| low.counted).count();
    let blocks: Vec<(f64, bool)> = lows.iter().map(|low| (low.low, low.counted)).collect();
    let moments = extreme::moments(&counted_values(&blocks, Side::Low));
    if let (Some(moments), true) = (moments, complete >= MEAN_WINTERS) {
        design.mean_annual_low = Some(moments.mean);
        design.sd = Some(moments.sd);
        design.predictive_low = extreme::predictive(&moments, return_years, Side::Low);
        if complete >= LEVEL_WINTERS {
            fill_levels(&mut design, &moments);
        }
    }
    design
}

/// Lows of the hours with the sun up, or within two hours before it rises.
pub fn add_daylight(design: &mut DesignTemperature, daylight: &Daylight, lows: &[SeasonLow]) {
    let lowest = daylight.lows.iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0));
    design.daylight_record_low = lowest.map(|(low, _)| *low);
    design.daylight_record_low_at = lowest.map(|(_, at)| *at);
    let values: Vec<(f64, bool)> = daylight
        .lows
        .iter()
        .zip(lows)
        .filter_map(|(low, season)| low.map(|(low, _)| (low, season.counted)))
        .collect();
    if values.iter().filter(|(_, complete)| *complete).count() >= MEAN_WINTERS {
        design.daylight_mean_annual_low =
            extreme::moments(&counted_values(&values, Side::Low)).map(|moments| moments.mean);
    }
}

fn fill_levels(design: &mut DesignTemperature, moments: &Moments) {
    let level = |years| extreme::level(moments, years, Side::Low);
    let levels = [level(5.0), level(10.0), level(20.0), level(50.0)];
    design.low_5_year = levels[0].map(|level| level.value);
    design.low_10_year = levels[1].map(|level| level.value);
    design.low_20_year = levels[2].map(|level| level.value);
    design.low_50_year = levels[3].map(|level| level.value);
    if let [Some(a), Some(b), Some(c), Some(d)] = levels {
        design.standard_errors = Some([a, b, c, d].map(|level| level.standard_error));
        design.bounds_90 = Some([a, b, c, d].map(|level| level.bound_90));
    }
}

/// A published low: the plan's for this place, else the file's, moved from the station to the place.
fn published(open: &OpenStop<'_>) -> Option<PublishedLowFacts> {
    let factor_20 = extreme::frequency_factor(20.0);
    if let Some(low) = &open.stop.published_low {
        return Some(PublishedLowFacts {
            mean: low.mean.0,
            sd: low.sd_k,
            low_20_year: low.sd_k.map(|sd| low.mean.0 - factor_20 * sd),
            source: low.source.clone(),
        });
    }
    open.opened.published.as_ref().map(|published| carried(published, open.site.colder_k()))
}

/// A published low that the file carries, `colder_k` kelvin below the station's.
#[must_use]
pub fn carried(published: &Published, colder_k: f64) -> PublishedLowFacts {
    let factor_20 = extreme::frequency_factor(20.0);
    let printed = published.levels_c.iter().find(|(years, _)| *years == 20).map(|(_, level)| *level);
    let moved = if colder_k > 0.0 { ", moved to the place by 6.5 K/km" } else { "" };
    PublishedLowFacts {
        mean: published.mean_c - colder_k,
        sd: Some(published.sd_k),
        low_20_year: Some(printed.unwrap_or(published.mean_c - factor_20 * published.sd_k) - colder_k),
        source: format!("{}{moved}", published.source),
    }
}

/// The temperature of the code sum and where it comes from, in the order that the plan format states.
#[must_use]
pub fn code_temperature(
    open: &OpenStop<'_>,
    design: &DesignTemperature,
    assumptions: &Assumptions,
) -> (Option<Celsius>, String) {
    if let Some(own) = open.stop.code_temperature {
        return (Some(own), "given for this stop in the plan".into());
    }
    if let CodeTemperature::Fixed(number) = assumptions.code_temperature {
        return (Some(number), "given for all stops in the plan's assumptions".into());
    }
    if let Some(published) = &design.published {
        let wants_20 = assumptions.code_temperature == CodeTemperature::TwentyYearLow;
        match (wants_20, published.low_20_year) {
            (true, Some(level)) => {
                return (Some(Celsius(level)), format!("published 20-year low: {}", published.source));
            }
            // A published mean is no 20-year low; the record answers instead where it can.
            (true, None) if open.is_chronological() => {}
            _ => {
                return (
                    Some(Celsius(published.mean)),
                    format!("published mean annual low: {}", published.source),
                );
            }
        }
    }
    if !open.is_chronological() {
        return (
            None,
            "none: a typical year is put together from unremarkable months and gives no lowest temperature; add \
             code_temperature to the stop"
                .into(),
        );
    }
    let complete = open.seasons.iter().filter(|season| season.complete).count();
    let record_low = design.record_low.map(Celsius);
    let fallback = |needs: &str| {
        (
            record_low,
            format!(
                "lowest of this record, because {needs} and the record has {complete}: a short record misses colder \
                 winters"
            ),
        )
    };
    match assumptions.code_temperature {
        CodeTemperature::MeanAnnualLow => match design.mean_annual_low {
            Some(mean) => {
                let blocks: Vec<(f64, bool)> =
                    open.seasons.iter().map(|season| (season.low_c, season.complete)).collect();
                let colder = match counted_values(&blocks, Side::Low).len() - complete {
                    0 => String::new(),
                    1 => " and 1 incomplete one that was colder".to_owned(),
                    more => format!(" and {more} incomplete ones that were colder"),
                };
                (Some(Celsius(mean)), format!("mean annual low of {complete} complete winters{colder}"))
            }
            None => fallback("the mean annual low needs 5 complete winters"),
        },
        CodeTemperature::TwentyYearLow => match design.low_20_year {
            Some(level) => (Some(Celsius(level)), format!("20-year low from {complete} complete winters")),
            None => fallback("the 20-year low needs 10 complete winters"),
        },
        CodeTemperature::RecordLow | CodeTemperature::Fixed(_) => {
            (record_low, "lowest of this record".into())
        }
    }
}
