//! The numbers beside the report as CSV.

use super::clean;
use super::show::fixed;
use crate::study::COLDEST_C;
use crate::study::results::{Assessment, ByVoltage};
use ::csv::{Terminator, Writer, WriterBuilder};

/// One row a limit, array and stop.
#[must_use]
pub fn limits(assessment: &Assessment) -> String {
    let mut table = Table::new(&[
        "stop",
        "array",
        "component",
        "kind",
        "rule",
        "rating",
        "unit",
        "worst",
        "decided_by",
        "margin_percent",
        "verdict",
        "code_verdict",
        "code_v",
        "reached_at_c",
        "out_of_reach",
        "steady_hours_per_year",
        "sudden_sun_hours_per_year",
        "worst_case_hours_per_year",
        "steady_days_per_year",
        "sudden_sun_days_per_year",
        "worst_case_days_per_year",
        "seasons",
        "steady_seasons_broken",
        "sudden_sun_seasons_broken",
        "worst_case_seasons_broken",
        "chance_low",
        "chance_best",
        "chance_high",
        "longest_run_h",
        "first_broken",
        "last_broken",
        "worst_case_first_broken",
        "worst_case_last_broken",
        "reason",
        "seasons_seen",
        "seasons_counted",
        "hours_are_per",
    ]);
    for stop in &assessment.stops {
        for array in &stop.arrays {
            for limit in &array.limits {
                table.text(&stop.place);
                table.text(&array.name);
                table.text(&limit.component);
                table.text(&limit.kind);
                table.text(&limit.rule);
                table.number(limit.rating, 3);
                table.text(&limit.unit);
                table.number(limit.worst, 3);
                table.word(&limit.decided_by);
                table.number(limit.margin_percent, 2);
                table.raw(limit.verdict.word());
                table.raw(limit.code_verdict.map_or("", |verdict| verdict.word()));
                table.number(array.voltage_v.code.filter(|_| limit.unit == "V"), 3);
                table.number(limit.reached_at_c.filter(|&cell| cell >= COLDEST_C), 1);
                table.text(limit.out_of_reach.as_deref().unwrap_or_default());
                table.three(limit.hours_per_year);
                table.three(limit.days_per_year);
                table.raw(&limit.seasons.to_string());
                let broken = limit.seasons_broken;
                for count in [
                    broken.map(|count| count.steady),
                    broken.map(|count| count.sudden_sun),
                    broken.map(|count| count.worst_case),
                ] {
                    table.raw(&count.map(|count| count.to_string()).unwrap_or_default());
                }
                table.number(limit.chance_per_season.map(|chance| chance.low), 4);
                table.number(limit.chance_per_season.map(|chance| chance.best), 4);
                table.number(limit.chance_per_season.map(|chance| chance.high), 4);
                table.number(limit.longest_run_h, 2);
                table.raw(&limit.first_broken.map(|at| at.iso()).unwrap_or_default());
                table.raw(&limit.last_broken.map(|at| at.iso()).unwrap_or_default());
                table.raw(&limit.worst_case_first_broken.map(|at| at.iso()).unwrap_or_default());
                table.raw(&limit.worst_case_last_broken.map(|at| at.iso()).unwrap_or_default());
                table.text(&limit.reason);
                // What the broken seasons are counted in; what the chance is.
                table.raw(&limit.seasons_seen.to_string());
                table.raw(&limit.seasons_counted.to_string());
                // Where a stop has dates its hours and days "per year" are those of one stay.
                table.raw(if stop.window.is_some() { "stay" } else { "year" });
                table.end_row();
            }
        }
    }
    table.finish()
}

/// One row a season, array and stop: the season's low of air and its largest voltages.
#[must_use]
pub fn seasons(assessment: &Assessment) -> String {
    let mut table = Table::new(&[
        "stop",
        "array",
        "season",
        "air_low_c",
        "air_low_at",
        "air_coverage",
        "air_counted",
        "steady_v",
        "sudden_sun_v",
        "worst_case_v",
        "voltage_coverage",
        "voltage_counted",
    ]);
    for stop in &assessment.stops {
        for array in &stop.arrays {
            // A season can have one of the two and lack the other, so both lists name seasons.
            let mut names: Vec<_> = stop
                .annual_low_c
                .iter()
                .map(|low| low.season)
                .chain(array.season_maxima_v.iter().map(|maximum| maximum.season))
                .collect();
            names.sort_unstable();
            names.dedup();
            for season in names {
                let low = stop.annual_low_c.iter().find(|low| low.season == season);
                let maximum = array.season_maxima_v.iter().find(|maximum| maximum.season == season);
                table.text(&stop.place);
                table.text(&array.name);
                table.raw(&season.to_string());
                table.number(low.map(|low| low.low), 2);
                table.raw(&low.map(|low| low.at.iso()).unwrap_or_default());
                table.number(low.map(|low| low.coverage), 4);
                table.raw(low.map_or("", |low| yes_no(low.counted)));
                table.number(maximum.and_then(|maximum| maximum.steady), 3);
                table.number(maximum.and_then(|maximum| maximum.sudden_sun), 3);
                table.number(maximum.and_then(|maximum| maximum.worst_case), 3);
                table.number(maximum.map(|maximum| maximum.coverage), 4);
                table.raw(maximum.map_or("", |maximum| yes_no(maximum.counted)));
                table.end_row();
            }
        }
    }
    table.finish()
}

fn yes_no(value: bool) -> &'static str {
    if value { "yes" } else { "no" }
}

/// A CSV in memory. Text of others passes [`clean::cell`]; numbers and own words do not need it.
pub(super) struct Table {
    writer: Writer<Vec<u8>>,
}

impl Table {
    pub(super) fn new(header: &[&str]) -> Self {
        let mut table = Self::bare();
        for name in header {
            table.raw(name);
        }
        table.end_row();
        table
    }

    /// Without a header.
    pub(super) fn bare() -> Self {
        Self { writer: WriterBuilder::new().terminator(Terminator::Any(b'\n')).from_writer(Vec::new()) }
    }

    pub(super) fn raw(&mut self, cell: &str) {
        // Writing to memory cannot fail.
        let _ = self.writer.write_field(cell);
    }

    pub(super) fn text(&mut self, cell: &str) {
        self.raw(&clean::cell(cell));
    }

    /// The word under which JSON prints an enum, so that both files agree.
    fn word<T: serde::Serialize>(&mut self, value: &T) {
        let word = serde_json::to_value(value).ok();
        self.raw(word.as_ref().and_then(|word| word.as_str()).unwrap_or_default());
    }

    pub(super) fn number(&mut self, value: Option<f64>, decimals: usize) {
        let cell = value.filter(|value| value.is_finite()).map(|value| fixed(value, decimals));
        self.raw(&cell.unwrap_or_default());
    }

    fn three(&mut self, values: Option<ByVoltage<f64>>) {
        self.number(values.map(|value| value.steady), 3);
        self.number(values.map(|value| value.sudden_sun), 3);
        self.number(values.map(|value| value.worst_case), 3);
    }

    pub(super) fn end_row(&mut self) {
        let _ = self.writer.write_record(None::<&[u8]>);
    }

    pub(super) fn finish(self) -> String {
        let bytes = self.writer.into_inner().unwrap_or_default();
        String::from_utf8(bytes).unwrap_or_default()
    }
}
