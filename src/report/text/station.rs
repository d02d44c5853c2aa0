//! What weather files hold, as text: one section a station.

use super::page::{Align, Page};
use super::picture::{self, Picture};
use super::{TextOptions, notes};
use crate::report::show::{self, fixed};
use crate::report::view;
use crate::study::results::RecordKind;
use crate::study::{FileRead, MEAN_WINTERS, StationWeather};

/// Longest list of files that is printed file by file. Chosen because thirty yearly files would push the answer off a
/// screen.
const FILE_LINES: usize = 12;

/// The stations as text, ending with a line break.
#[must_use]
pub fn stations(stations: &[StationWeather], options: &TextOptions, picture: Picture) -> String {
    let mut page = Page::new(options);
    for (index, one) in stations.iter().enumerate() {
        page.heading(&name(one, index, stations.len()));
        station(&mut page, one, picture);
    }
    page.finish()
}

/// One station in a few lines: who, where, and what record.
#[must_use]
pub fn station_in_brief(one: &StationWeather) -> String {
    let units = show::Units::default();
    let winters = match one.record.kind {
        RecordKind::TypicalYear => "\nhow cold it can get is not in it: a station's years say more",
        RecordKind::Chronological if one.record.complete_winters < MEAN_WINTERS => {
            "\nfewer than five complete winters: worst-case volts are taken for air 10 K colder; the code sum is not"
        }
        RecordKind::Chronological => "",
    };
    let name = name(one, 0, 1);
    format!("{name}; place: {}\n{}{winters}", place(one, units), view::record_sentence(&one.record, units))
}

fn name(one: &StationWeather, index: usize, count: usize) -> String {
    let name = match (&one.station.name, &one.station_id) {
        (Some(name), Some(id)) if name != id => format!("{name} ({id})"),
        (Some(name), _) => name.clone(),
        (None, _) => match &one.record.files[..] {
            [file, ..] => format!("{file}, which names no station"),
            [] => "A station without a name".to_owned(),
        },
    };
    if count > 1 { format!("Station {} of {count}: {name}", index + 1) } else { name }
}

fn station(page: &mut Page, one: &StationWeather, picture: Picture) {
    let units = page.units;
    page.named(0, "Place", &place(one, units));
    page.named(0, "Record", &view::record_sentence(&one.record, units));
    page.named(
        0,
        "Readings",
        &format!("every {} h; days and times of day below are those of UTC{}", one.step_h, one.utc_offset),
    );
    recognised(page, &one.files);

    page.subheading("Air temperature at the station");
    let rows: Vec<Vec<String>> = view::design_rows_of(&one.design_temperature_c, one.utc_offset, units)
        .into_iter()
        .map(|row| vec![row.name.to_owned(), row.value, row.remark])
        .collect();
    if rows.is_empty() {
        page.paragraph(1, "none that this record can support");
    }
    page.table(&["what", "value", "remark"], &[Align::Left, Align::Right, Align::Left], rows);
    published(page, one);
    annual_lows(page, one);
    if picture == Picture::Drawn {
        picture::lows(page, one);
    }
    if !one.notes.is_empty() {
        page.subheading("Notes");
        notes(page, 0, &one.notes.iter().collect::<Vec<_>>());
    }
}

fn place(one: &StationWeather, units: show::Units) -> String {
    let station = &one.station;
    let mut parts = Vec::new();
    match (station.latitude_deg, station.longitude_deg) {
        (Some(latitude), Some(longitude)) => parts.push(show::coordinates(latitude, longitude)),
        _ => parts.push("not in the files".to_owned()),
    }
    if let Some(elevation) = station.elevation_m {
        parts.push(show::elevation(elevation, units));
    }
    parts.join(", ")
}

/// Format by format why it was recognised, then file by file what it gave.
fn recognised(page: &mut Page, files: &[FileRead]) {
    let mut told: Vec<(&str, &str)> = Vec::new();
    for file in files {
        let one = (file.format, file.recognised_by.as_str());
        if !told.contains(&one) {
            told.push(one);
        }
    }
    for (format, why) in told.iter().take(FILE_LINES) {
        page.named(0, "Recognised as", &format!("{format}: {why}"));
    }
    if told.len() > FILE_LINES {
        page.paragraph(0, &format!("and {} formats more", told.len() - FILE_LINES));
    }
    if files.len() < 2 {
        if let [file] = files {
            page.named(0, "Rows", &format!("{} with a reading, {} left out", file.rows, file.left_out));
        }
        return;
    }
    page.subheading("Files");
    let rows = files
        .iter()
        .take(FILE_LINES)
        .map(|file| vec![file.file.clone(), file.rows.to_string(), file.left_out.to_string()])
        .collect();
    page.table(&["file", "readings", "left out"], &[Align::Left, Align::Right, Align::Right], rows);
    if let Some(rest) = files.get(FILE_LINES..).filter(|rest| !rest.is_empty()) {
        page.paragraph(
            1,
            &format!(
                "and {} files more with {} readings, {} left out",
                rest.len(),
                rest.iter().map(|file| file.rows).sum::<u64>(),
                rest.iter().map(|file| file.left_out).sum::<u64>()
            ),
        );
    }
}

/// Published lows beside our own.
fn published(page: &mut Page, one: &StationWeather) {
    let design = &one.design_temperature_c;
    let Some(published) = &design.published else { return };
    let units = page.units;
    let shown =
        |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| show::temperature(value, units));
    let own_level = |years: u32| match years {
        5 => design.low_5_year,
        10 => design.low_10_year,
        20 => design.low_20_year,
        50 => design.low_50_year,
        _ => None,
    };
    let mut rows = vec![vec![
        "mean annual low".to_owned(),
        show::temperature(published.mean, units),
        shown(design.mean_annual_low),
    ]];
    rows.extend(one.published_low_c.iter().map(|level| {
        vec![
            format!("{}-year low", level.years),
            show::temperature(level.low, units),
            shown(own_level(level.years)),
        ]
    }));
    page.subheading("Published design conditions beside our own");
    page.table(&["what", "published", "from these files"], &[Align::Left, Align::Right, Align::Right], rows);
    page.paragraph(1, &format!("published: {}", published.source));
}

fn annual_lows(page: &mut Page, one: &StationWeather) {
    if one.annual_low_c.is_empty() {
        return;
    }
    page.subheading("Annual lows, season by season");
    let units = page.units;
    // The interval is a column only where winters differ in it.
    let has_mean = one.design_temperature_c.mean_annual_low.is_some();
    let intervals = one.annual_low_c.iter().any(|season| season.step_h != one.step_h);
    let rows = one
        .annual_low_c
        .iter()
        .map(|season| {
            let mut row = vec![
                season.season.to_string(),
                show::temperature(season.low, units),
                season.at.local(one.utc_offset),
                format!("{} %", fixed(season.coverage * 100.0, 1)),
                match (season.counted, season.in_mean && has_mean) {
                    (true, _) => "complete",
                    (false, true) => "incomplete, but colder: in the mean",
                    (false, false) => "incomplete",
                }
                .to_owned(),
            ];
            if intervals {
                row.insert(3, format!("{} h", season.step_h));
            }
            row
        })
        .collect();
    let mut heads = vec!["season", "low", "when", "cold window there", "counts as"];
    let mut aligned = vec![Align::Left, Align::Right, Align::Left, Align::Right, Align::Left];
    if intervals {
        heads.insert(3, "reports every");
        aligned.insert(3, Align::Right);
    }
    page.table(&heads, &aligned, rows);
}
