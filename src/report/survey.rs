//! A survey as rows of CSV and JSON, and as a summary in words.

use super::csv::Table;
use super::text::{Align, Page, TextOptions};
use super::{clean, show};
use crate::extreme::SEASONS_FOR_PREDICTIVE;
use crate::limits::voltage::ALLOWANCE_K;
use crate::study::survey::{ArraySummary, SurveyRow, SurveySummary};
use crate::units::so_many;
use std::collections::HashMap;

/// Headers of the CSV, in the order of the fields of [`SurveyRow`].
const HEADERS: [&str; 37] = [
    "station",
    "name",
    "latitude_deg",
    "longitude_deg",
    "elevation_m",
    "format",
    "files",
    "kind",
    "first",
    "last",
    "hours",
    "complete_winters",
    "coverage",
    "record_low_c",
    "record_low_at",
    "mean_annual_low_c",
    "sd_k",
    "low_20_year_c",
    "low_50_year_c",
    "array",
    "modules_in_series",
    "code_temperature_c",
    "code_v",
    "steady_max_v",
    "sudden_sun_max_v",
    "sudden_sun_20_year_v",
    "worst_case_max_v",
    "worst_case_at",
    "worst_case_20_year_v",
    "worst_case_predictive_v",
    "worst_case_allowance_v",
    "verdict",
    "largest_series_count",
    "deciding_limit",
    "deciding_rating_v",
    "decided_by",
    "remarks",
];

/// The header line of the CSV.
#[must_use]
pub fn csv_header() -> String {
    Table::new(&HEADERS).finish()
}

/// One line of the CSV, with its line break.
#[must_use]
pub fn csv_row(row: &SurveyRow) -> String {
    let mut table = Table::bare();
    let text = |table: &mut Table, cell: &Option<String>| table.text(cell.as_deref().unwrap_or_default());
    let whole = |table: &mut Table, count: usize| table.raw(&count.to_string());
    table.text(&row.station);
    text(&mut table, &row.name);
    table.number(Some(row.latitude_deg), 4);
    table.number(Some(row.longitude_deg), 4);
    table.number(row.elevation_m, 1);
    table.text(&row.format);
    whole(&mut table, row.files);
    table.raw(&row.kind);
    table.raw(&row.first);
    table.raw(&row.last);
    whole(&mut table, row.hours);
    whole(&mut table, row.complete_winters);
    table.number(Some(row.coverage), 4);
    table.number(row.record_low_c, 2);
    text(&mut table, &row.record_low_at);
    for celsius in [row.mean_annual_low_c, row.sd_k, row.low_20_year_c, row.low_50_year_c] {
        table.number(celsius, 2);
    }
    table.text(&row.array);
    whole(&mut table, row.modules_in_series);
    table.number(row.code_temperature_c, 2);
    for volts in
        [row.code_v, row.steady_max_v, row.sudden_sun_max_v, row.sudden_sun_20_year_v, row.worst_case_max_v]
    {
        table.number(volts, 3);
    }
    text(&mut table, &row.worst_case_at);
    for volts in [row.worst_case_20_year_v, row.worst_case_predictive_v, row.worst_case_allowance_v] {
        table.number(volts, 3);
    }
    table.raw(&row.verdict);
    table.raw(&row.largest_series_count.map(|count| count.to_string()).unwrap_or_default());
    text(&mut table, &row.deciding_limit);
    table.number(row.deciding_rating_v, 3);
    text(&mut table, &row.decided_by);
    table.text(&row.remarks);
    table.end_row();
    table.finish()
}

/// One row as JSON on one line, without a line break: unrounded, `null` where the record cannot support a value.
#[must_use]
pub fn json_row(row: &SurveyRow) -> String {
    // Keys are strings and numbers are finite, so nothing here refuses to be written.
    clean::json(serde_json::to_string(row).unwrap_or_default())
}

/// Files that were bad, as CSV: path and reason.
#[must_use]
pub fn bad_files_csv(bad: &[(String, String)]) -> String {
    let mut table = Table::new(&["file", "reason"]);
    for (file, reason) in bad {
        table.text(file);
        table.text(reason);
        table.end_row();
    }
    table.finish()
}

/// Stations whose place nobody told, as a table of places that is to be filled in: id and name.
#[must_use]
pub fn places_wanted_csv(stations: &[(String, String)]) -> String {
    let mut table = Table::new(&["id", "name", "latitude_deg", "longitude_deg", "elevation_m"]);
    for (id, name) in stations {
        table.text(id);
        table.text(if name == id { "" } else { name });
        for _ in 0..3 {
            table.raw("");
        }
        table.end_row();
    }
    table.finish()
}

/// What was bad in a few lines: files and stations with the same reason are told once, with their number and the first.
/// `bad` pairs each with its message, which begins with its name.
#[must_use]
pub fn alike(bad: &[(String, String)]) -> Vec<String> {
    let mut reasons: Vec<(&str, &str, usize)> = Vec::new();
    let mut known: HashMap<&str, usize> = HashMap::new();
    for (file, message) in bad {
        let named = message.strip_prefix(file.as_str()).map(|rest| rest.trim_start_matches([':', ' ']));
        let reason = named.or_else(|| Some(message.split_once(": ")?.1)).unwrap_or(message);
        match known.get(reason) {
            Some(&at) => reasons[at].2 += 1,
            None => {
                known.insert(reason, reasons.len());
                reasons.push((reason, message, 1));
            }
        }
    }
    reasons
        .into_iter()
        .map(|(_, message, count)| match count {
            1 => message.to_owned(),
            2 => format!("{message} (and one more like it)"),
            _ => format!("{message} (and {} more like it)", count - 1),
        })
        .collect()
}

/// What the summary says besides the counts.
#[derive(Clone, Copy, Debug)]
pub struct SurveyEnd<'a> {
    /// Title of the plan.
    pub title: &'a str,
    /// Files or stations that could not be used.
    pub bad: usize,
    /// Where the rows lie, in words.
    pub written: &'a str,
    /// Why no count can be told of an array, a sentence each.
    pub no_count: &'a [String],
}

const CAUTION: &str = "A station is not the place where you park: valleys are colder than airfields. This informs and \
                       certifies nothing; local codes, makers' manuals and a competent person come first.";

/// The summary in words.
#[must_use]
pub fn summary(summary: &SurveySummary, end: &SurveyEnd<'_>, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    page.heading(&format!("Survey: {}", end.title));
    let bad = match end.bad {
        0 => "none was bad".to_owned(),
        1 => "1 file or station could not be used".to_owned(),
        bad => format!("{bad} files or stations could not be used"),
    };
    page.paragraph(
        0,
        &format!(
            "{}, {} hours of weather; {bad}. The whole year counts at each; the plan's stops and dates do not.",
            so_many(usize::try_from(summary.stations).unwrap_or(usize::MAX), "station"),
            summary.hours
        ),
    );
    if summary.doubted > 0 {
        let more = if summary.doubted > summary.doubted_names.len() as u64 { " and others" } else { "" };
        page.paragraph(
            0,
            &format!(
                "CHECK THE WEATHER FIRST of {} ({}{more}): no winter in the record, or its clock or coordinates in doubt; the \
                 remark of each row says which. What stands there is no all-clear.",
                so_many(usize::try_from(summary.doubted).unwrap_or(usize::MAX), "station"),
                summary.doubted_names.join(", ")
            ),
        );
    }
    if summary.few_winters > 0 {
        page.paragraph(0, &few_winters(summary));
    }
    for why in end.no_count {
        page.bullet(0, why);
    }
    for array in &summary.arrays {
        one_array(&mut page, array);
    }
    page.heading("Written");
    page.paragraph(0, end.written);
    page.heading("Cautions");
    page.bullet(0, CAUTION);
    page.finish()
}

/// How many stations say little, and what stands in for what they cannot say.
fn few_winters(summary: &SurveySummary) -> String {
    let of = |count: u64| match count {
        1 => "1 has".to_owned(),
        count => format!("{count} have"),
    };
    let none = match summary.no_winter {
        0 => String::new(),
        count => {
            format!(", {} not one: typical years, or records that hold no winter and say little", of(count))
        }
    };
    format!(
        "Of these {} fewer than {SEASONS_FOR_PREDICTIVE} complete winters{none}. There the worst-case volts are \
         taken for air {ALLOWANCE_K} K colder, in place of a level; the code sum is not.",
        of(summary.few_winters)
    )
}

fn one_array(page: &mut Page, array: &ArraySummary) {
    page.heading(&format!("Array \"{}\"", array.name));
    let verdicts: Vec<String> =
        array.verdicts.iter().map(|(word, stations)| format!("{word} at {stations}")).collect();
    page.paragraph(
        0,
        &format!(
            "As planned, {} in series: {} (stations, by the worst verdict of its voltage ratings).",
            array.modules_in_series,
            verdicts.join(", ")
        ),
    );
    let rows = array
        .series
        .iter()
        .map(|(count, stations)| {
            let count = count.map_or("not told".to_owned(), |count| count.to_string());
            vec![count, stations.to_string()]
        })
        .collect();
    page.subheading("Most panels in series that every voltage rating carries");
    page.table(&["panels in series", "stations"], &[Align::Right, Align::Right], rows);
    if !array.limits.is_empty() {
        let limits: Vec<String> =
            array.limits.iter().map(|(limit, stations)| format!("{limit} at {stations}")).collect();
        page.paragraph(0, &format!("Decided by: {}.", limits.join(", ")));
    }
    let volts = |value: Option<f64>| value.map_or("-".to_owned(), |value| show::fixed(value, 1));
    let us = page.units == show::Units::Us;
    let low = |value: Option<f64>| match value {
        // the units stand in the header
        Some(low) if us => {
            show::temperature(low, show::Units::Us).replace(" °C ", "\u{a0}").replace(" °F", "")
        }
        low => volts(low),
    };
    let rows = array
        .highest
        .iter()
        .map(|row| {
            vec![
                row.name.clone().unwrap_or_else(|| row.station.clone()),
                if row.is_typical() { "typical".to_owned() } else { row.complete_winters.to_string() },
                low(row.record_low_c),
                volts(row.code_v),
                volts(row.worst_case_max_v),
                volts(row.deciding_v()),
                row.verdict.clone(),
                row.largest_series_count.map_or("-".to_owned(), |count| count.to_string()),
            ]
        })
        .collect();
    page.subheading("Highest volts");
    page.table(
        &[
            "station",
            "winters",
            if us { "record low °C (°F)" } else { "record low °C" },
            "code V",
            "worst case V",
            "decides V",
            &format!("{} in series", array.modules_in_series),
            "most in series",
        ],
        &[
            Align::Left,
            Align::Right,
            Align::Right,
            Align::Right,
            Align::Right,
            Align::Right,
            Align::Left,
            Align::Right,
        ],
        rows,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_are_the_keys_of_the_json_in_order() {
        let json = json_row(&SurveyRow::default());
        let mut at = 0;
        for header in HEADERS {
            let key = format!("\"{header}\":");
            let found = json[at..].find(&key);
            assert!(found.is_some(), "{header} is no key of the row, or out of order");
            at += found.unwrap_or_default();
        }
        assert_eq!(json.matches("\":").count(), HEADERS.len());
        assert_eq!(csv_row(&SurveyRow::default()).trim_end().split(',').count(), HEADERS.len());
        assert_eq!(csv_header().trim_end().split(',').count(), HEADERS.len());
    }

    #[test]
    fn a_row_survives_its_json_to_the_bit() {
        let row = SurveyRow {
            station: "x".into(),
            latitude_deg: 0.1 + 0.2,
            worst_case_max_v: Some(49.123_456_789_012_345),
            ..SurveyRow::default()
        };
        let back: SurveyRow = serde_json::from_str(&json_row(&row)).expect("our own JSON");
        assert_eq!(back, row);
    }
}
