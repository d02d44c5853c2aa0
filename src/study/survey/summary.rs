//! A survey in a few numbers, gathered row by row.

use crate::extreme::SEASONS_FOR_PREDICTIVE;
use crate::study::survey::SurveyRow;
use std::collections::BTreeMap;

/// Stations named at the end of a list.
const NAMED: usize = 8;

/// A survey in a few numbers. Its size does not grow with the number of stations.
#[derive(Clone, Debug, Default)]
pub struct SurveySummary {
    /// By array, in the order of the plan.
    pub arrays: Vec<ArraySummary>,
    /// Hours of weather read.
    pub hours: u64,
    /// Stations with at least one row.
    pub stations: u64,
    /// Those of them with too few complete winters for a level: an allowance stands in for it.
    pub few_winters: u64,
    /// Those of these without any complete winter.
    pub no_winter: u64,
    /// Stations whose weather is in doubt, and the first of them by name.
    pub doubted: u64,
    /// Their names, as many as a line holds.
    pub doubted_names: Vec<String>,
}

/// One array over all stations.
#[derive(Clone, Debug, Default)]
pub struct ArraySummary {
    /// Its name.
    pub name: String,
    /// Panels in series as planned.
    pub modules_in_series: usize,
    /// Stations by verdict of the strings as planned.
    pub verdicts: BTreeMap<String, u64>,
    /// Stations by largest series count; `None`: no count could be told.
    pub series: BTreeMap<Option<usize>, u64>,
    /// Stations by the component that decides.
    pub limits: BTreeMap<String, u64>,
    /// Those with the largest deciding voltage, from high to low.
    pub highest: Vec<SurveyRow>,
}

impl SurveySummary {
    /// Adds a row.
    pub fn add(&mut self, row: &SurveyRow) {
        if self.arrays.first().is_none_or(|first| first.name == row.array) {
            self.stations += 1;
            self.hours += row.hours as u64;
            self.few_winters += u64::from(row.complete_winters < SEASONS_FOR_PREDICTIVE);
            self.no_winter += u64::from(row.complete_winters == 0);
            if row.is_in_doubt() {
                self.doubted += 1;
                if self.doubted_names.len() < NAMED {
                    self.doubted_names.push(row.name.clone().unwrap_or_else(|| row.station.clone()));
                }
            }
        }
        let at = self.arrays.iter().position(|array| array.name == row.array).unwrap_or_else(|| {
            self.arrays.push(ArraySummary {
                name: row.array.clone(),
                modules_in_series: row.modules_in_series,
                ..ArraySummary::default()
            });
            self.arrays.len() - 1
        });
        let array = &mut self.arrays[at];
        *array.verdicts.entry(row.verdict.clone()).or_default() += 1;
        *array.series.entry(row.largest_series_count).or_default() += 1;
        if let Some(limit) = &row.deciding_limit {
            *array.limits.entry(limit.clone()).or_default() += 1;
        }
        let Some(volts) = row.deciding_v() else { return };
        // Behind those that are as high, so that the order of the rows settles a tie.
        let place = array.highest.partition_point(|held| held.deciding_v().is_some_and(|held| held >= volts));
        if place < NAMED {
            array.highest.insert(place, row.clone());
            array.highest.truncate(NAMED);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_counted_and_the_highest_kept_in_order() {
        let mut summary = SurveySummary::default();
        for number in 0..20_u32 {
            summary.add(&SurveyRow {
                station: format!("s{number}"),
                array: "roof".into(),
                hours: 10,
                complete_winters: number as usize / 2,
                verdict: "within".into(),
                largest_series_count: (number % 2 == 0).then_some(3),
                worst_case_max_v: Some(f64::from(number * 7 % 20)),
                ..SurveyRow::default()
            });
        }
        assert_eq!((summary.stations, summary.hours), (20, 200));
        assert_eq!((summary.few_winters, summary.no_winter), (10, 2));
        let array = &summary.arrays[0];
        assert_eq!(array.series.get(&None), Some(&10));
        let volts: Vec<_> = array.highest.iter().filter_map(|row| row.worst_case_max_v).collect();
        assert_eq!(volts, [19.0, 18.0, 17.0, 16.0, 15.0, 14.0, 13.0, 12.0]);
    }
}
