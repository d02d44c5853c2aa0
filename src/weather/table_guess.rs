//! A table of no known format, described as far as its header tells: the lines to paste into the plan, filled with the
//! file's own names. Guesses are marked; nothing is read by them.

use super::cells;
use super::head::Head;
use super::open::MEAN_C;
use super::scan;
use super::table_described::DescribedTable;
use super::table_light::{self, Clock, Told};
use super::table_place::{StopLines, Zone, clock_line, like_a_grid, stop_lines, zone_hours, zone_text};
use crate::place::Place;

/// Delimiters that are tried.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];
/// Lines before the header that are tolerated.
const PREAMBLE: usize = 12;
/// Rows that are looked at for the form of the stamps.
const ROWS: usize = 40;
/// Patterns of stamps that loggers write. Day first and month first are told apart by a number above twelve, else
/// guessed.
const PATTERNS: [&str; 12] = [
    "%d.%m.%Y %H:%M:%S",
    "%d.%m.%Y %H:%M",
    "%m/%d/%Y %H:%M:%S",
    "%m/%d/%Y %H:%M",
    "%d/%m/%Y %H:%M:%S",
    "%d/%m/%Y %H:%M",
    "%m/%d/%Y %I:%M:%S %p",
    "%m/%d/%Y %I:%M %p",
    "%Y/%m/%d %H:%M:%S",
    "%Y/%m/%d %H:%M",
    "%d-%m-%Y %H:%M",
    "%Y%m%d%H%M",
];

/// Headers that commonly name a station: where such a column changes, the file holds several.
pub(super) const STATION_HEADERS: &[&str] = &[
    "station",
    "station_id",
    "stationid",
    "station_name",
    "origin",
    "site",
    "site_id",
    "location_id",
    "stid",
];

/// What a header seems to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Holds {
    Air,
    Ghi,
    Dni,
    Dhi,
    Wind,
    Cloud,
}

/// Whether a header names light, whatever of it.
pub(super) fn is_light(header: &str) -> bool {
    matches!(holds(header), Some(Holds::Ghi | Holds::Dni | Holds::Dhi))
}

fn has_any(text: &str, words: &[&str]) -> bool {
    words.iter().any(|word| text.contains(word))
}

/// The words of a header in lower case: letters and digits, everything else a blank.
pub(super) fn words(header: &str) -> String {
    let spaced: String =
        header.to_lowercase().chars().map(|sign| if sign.is_alphanumeric() { sign } else { ' ' }).collect();
    format!(" {} ", spaced.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn holds(header: &str) -> Option<Holds> {
    let text = words(header);
    if has_any(&text, &["flag", "quality", "qc ", "uncertainty", "energy", " uv", "index"]) {
        return None;
    }
    let light = has_any(&text, &["solar", "radiation", "irradiance", "shortwave", " ghi ", " dni ", " dhi "]);
    if light && !has_any(&text, &["long", "zenith", "elevation", "azimuth", "angle", "net "]) {
        return Some(if has_any(&text, &["diffuse", " dhi "]) {
            Holds::Dhi
        } else if has_any(&text, &["direct normal", "beam", " dni "]) {
            Holds::Dni
        } else {
            Holds::Ghi
        });
    }
    if has_any(&text, &["wind", " ws "]) {
        let other = has_any(&text, &["dir", "gust", "chill", "max", "run"]);
        return (!other).then_some(Holds::Wind);
    }
    if has_any(&text, &["cloud cover", "cloudcover", "cloud amount", "sky cover", "oktas"]) {
        return Some(Holds::Cloud);
    }
    let not_air =
        ["dew", "soil", "panel", "module", "cell", "battery", "indoor", "inside", "water", "feels", "wet"];
    let warmth = has_any(&text, &["temp", " air ", " ta ", " t2m ", "outside", "outdoor", " tair "]);
    (warmth && !has_any(&text, &not_air)).then_some(Holds::Air)
}

/// The unit that the header of an air temperature prints.
fn air_unit(header: &str) -> Option<&'static str> {
    let (text, lower) = (words(header), header.to_lowercase());
    if has_any(&lower, &["°f", "ºf", "degf", "deg_f", "fahrenheit"]) || text.ends_with(" f ") {
        Some("F")
    } else if has_any(&lower, &["°c", "ºc", "degc", "deg_c", "celsius"]) || text.ends_with(" c ") {
        Some("C")
    } else if lower.contains("kelvin") || text.ends_with(" k ") {
        Some("K")
    } else {
        None
    }
}

/// Different readings from which tenths of a degree in another unit are told. Chosen so that chance does not: of whole numbers
/// one in nine is such a tenth.
const TOLD_BY_TENTHS: usize = 8;

/// The unit from the numbers, where the header is silent, with what tells it. No air on earth is 60 C or 200 C, none is on
/// average 45 C (as [`super::open`] has it), and numbers that are whole tenths of Celsius only once they are turned from
/// Fahrenheit were turned into it.
fn air_unit_of(numbers: &[f64]) -> (&'static str, String) {
    let there: Vec<f64> = numbers.iter().copied().filter(|number| number.abs() < 900.0).collect();
    let (least, most) = there
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), &one| (least.min(one), most.max(one)));
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    let mean = there.iter().sum::<f64>() / there.len() as f64;
    if there.is_empty() {
        ("C", "? C, F or K; the header is silent".to_owned())
    } else if most > 200.0 {
        ("K", "? by its numbers; the header is silent".to_owned())
    } else if most > 60.0 || mean > *MEAN_C.end() {
        ("F", "? by its numbers; the header is silent".to_owned())
    } else if are_turned_tenths(&there) {
        ("F", "its numbers are tenths of C, turned into F; the header is silent".to_owned())
    } else {
        ("C", format!("? C, F or K; the header is silent; its first numbers are {least:.0} to {most:.0}"))
    }
}

/// Whether all are whole tenths of Celsius in Fahrenheit, to the hundredth: 39.02 is 3.9 C.
fn are_turned_tenths(numbers: &[f64]) -> bool {
    let is_tenth = |number: &f64| {
        let tenths = (number - 32.0) / 0.18;
        (tenths - tenths.round()).abs() * 0.18 < 0.0051
    };
    let mut different: Vec<f64> = numbers.to_vec();
    different.sort_by(f64::total_cmp);
    different.dedup();
    different.len() >= TOLD_BY_TENTHS && different.iter().all(is_tenth)
}

fn wind_unit(header: &str) -> Option<&'static str> {
    let text = header.to_lowercase();
    [("km/h", "km/h"), ("kph", "km/h"), ("mph", "mph"), ("kt", "kn"), ("knot", "kn"), ("m/s", "m/s")]
        .into_iter()
        .find_map(|(sign, unit)| text.contains(sign).then_some(unit))
}

/// A table that is like a record of weather.
struct Seen {
    separator: u8,
    /// Place of the header among the lines.
    line: usize,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// The first line that has a column of air, and rows below that are cut alike.
fn seen(head: &Head) -> Option<Seen> {
    (0..head.lines.len().min(PREAMBLE)).find_map(|line| {
        DELIMITERS.into_iter().find_map(|separator| {
            let header = head.cells(line, separator);
            let rows: Vec<Vec<String>> =
                (line + 1..head.lines.len()).take(ROWS).map(|at| head.cells(at, separator)).collect();
            let fits = header.len() >= 2
                && header.iter().any(|name| holds(name) == Some(Holds::Air))
                && rows.first().is_some_and(|row| row.len().abs_diff(header.len()) <= 1);
            fits.then_some(Seen { separator, line, header, rows })
        })
    })
}

/// The column whose stamps say their zone, all of them and not one moment throughout. It is better than any other: it
/// needs no word about the clock.
fn zoned(header: &[String], rows: &[Vec<String>]) -> Option<usize> {
    (0..header.len()).find(|&at| {
        let stamps: Vec<&str> = rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.trim()).collect();
        let has_zone =
            |stamp: &&str| scan::iso(stamp.as_bytes()).is_some_and(|civil| civil.offset_s.is_some());
        stamps.len() > 1 && stamps.iter().all(has_zone) && stamps.iter().any(|stamp| *stamp != stamps[0])
    })
}

/// The lines that take one station, where a header names stations: of the first lines, no more is looked at.
fn station_lines(header: &[String], rows: &[Vec<String>]) -> Option<(usize, String)> {
    let at = STATION_HEADERS.iter().find_map(|name| cells::position(header, name))?;
    let mut names: Vec<String> = Vec::new();
    for cell in rows.iter().filter_map(|row| row.get(at)) {
        let name = cells::shown(cell.trim());
        if !name.is_empty() && !names.contains(&name) {
            names.push(name);
        }
    }
    let remark = match names.as_slice() {
        [] => return None,
        [_] => "the only one of the first lines".to_owned(),
        several => format!("? one of {}, of the first lines", several.join(", ")),
    };
    let column = row(&format!("station_column = {}", literal(&cells::shown(&header[at]))), "");
    Some((at, format!("{column}{}", row(&format!("station = {}", literal(&names[0])), &remark))))
}

/// The headers of the time: one, or those of its parts.
fn time_headers(header: &[String]) -> Vec<usize> {
    let find = |names: &[&str]| header.iter().position(|name| names.contains(&words(name).trim()));
    if let (Some(year), Some(month), Some(day)) =
        (find(&["year", "yr", "yyyy"]), find(&["month", "mo", "mm"]), find(&["day", "dd"]))
    {
        let rest = [find(&["hour", "hr", "hh"]), find(&["minute", "min", "mi"])];
        return [year, month, day].into_iter().chain(rest.into_iter().flatten()).collect();
    }
    let date = find(&["date", "datum", "day"]);
    let clock = find(&["time", "hour", "clock", "time of day", "local time", "uhrzeit"]);
    if let (Some(date), Some(clock)) = (date, clock) {
        return vec![date, clock];
    }
    let like = ["time", "date", "stamp", "when", "datum", "utc"];
    let one = header.iter().position(|name| has_any(&words(name), &like));
    vec![one.unwrap_or(0)]
}

/// The stamps of the rows, put together of these columns.
fn stamps(rows: &[Vec<String>], columns: &[usize]) -> Vec<String> {
    rows.iter()
        .map(|row| columns.iter().filter_map(|&at| row.get(at)).cloned().collect::<Vec<_>>().join(" "))
        .filter(|stamp| !stamp.trim().is_empty())
        .collect()
}

/// A pattern for stamps that are not ISO-8601, with whether it is a guess.
fn time_format(rows: &[Vec<String>], columns: &[usize]) -> Option<(&'static str, bool)> {
    let stamps = stamps(rows, columns);
    let iso = |stamp: &String| scan::iso(stamp.replacen(' ', "T", 1).as_bytes()).is_some();
    if stamps.is_empty() || columns.len() > 2 || stamps.iter().all(iso) {
        return None;
    }
    let fits = |pattern: &&&str| {
        stamps.iter().all(|stamp| chrono::NaiveDateTime::parse_from_str(stamp, pattern).is_ok())
    };
    let fitting: Vec<&&str> = PATTERNS.iter().filter(fits).collect();
    fitting.first().map(|pattern| (**pattern, fitting.len() > 1))
}

/// A header as TOML writes it.
fn literal(text: &str) -> String {
    let plain: String = text.chars().filter(|sign| !sign.is_control()).collect();
    format!("\"{}\"", plain.replace('\\', "\\\\").replace('"', "\\\""))
}

/// A line of the block with its remark.
pub(super) fn row(line: &str, remark: &str) -> String {
    if remark.is_empty() { format!("{line}\n") } else { format!("{line:<32} # {remark}\n") }
}

/// Stamps of a row as seconds, as if they were UTC unless they say their zone.
fn seconds(stamp: &str, pattern: Option<&str>, parts: usize) -> Option<i64> {
    if parts > 2 {
        let numbers: Vec<u32> = stamp.split(' ').map(str::parse).collect::<Result<_, _>>().ok()?;
        let at = |index: usize| numbers.get(index).copied().unwrap_or(0);
        return scan::civil(i32::try_from(at(0)).ok()?, at(1), at(2), at(3), at(4), 0);
    }
    match pattern {
        Some(pattern) => chrono::NaiveDateTime::parse_from_str(stamp, pattern)
            .ok()
            .map(|stamp| stamp.and_utc().timestamp()),
        None => {
            let civil = scan::iso(stamp.as_bytes())?;
            Some(civil.seconds - i64::from(civil.offset_s.unwrap_or(0)))
        }
    }
}

/// The rows of these bytes below the header; the last one is left out where it may be cut.
fn rows_of<'b>(bytes: &'b [u8], table: &Seen) -> impl Iterator<Item = Vec<String>> + 'b {
    let bytes = memchr::memrchr(b'\n', bytes).map_or(bytes, |end| &bytes[..end]);
    let (skipped, separator) = (table.line + 1, table.separator);
    let lines = bytes.split(|&byte| byte == b'\n').filter(|line| !line.trim_ascii().is_empty());
    lines.skip(skipped).map(move |line| cells::header(cells::text(line).trim_end().as_bytes(), separator))
}

/// The numbers of one column.
fn numbers(bytes: &[u8], table: &Seen, column: usize) -> Vec<f64> {
    rows_of(bytes, table)
        .filter_map(|cells| scan::decimal(cells.get(column)?.trim().replace(',', ".").as_bytes()))
        .collect()
}

/// What the light in these bytes says of the clock, at that place.
fn light_says(
    bytes: &[u8],
    table: &Seen,
    columns: (&[usize], usize),
    pattern: Option<&str>,
    place: (f64, f64),
) -> Option<Told> {
    let (time, ghi) = columns;
    let place = Place { latitude_deg: place.0, longitude_deg: place.1, elevation_m: 0.0 };
    let readings: Vec<(i64, f64)> = rows_of(bytes, table)
        .filter_map(|cells| {
            let stamp = stamps(std::slice::from_ref(&cells), time).pop()?;
            let ghi = scan::decimal(cells.get(ghi)?.trim().replace(',', ".").as_bytes())?;
            Some((seconds(&stamp, pattern, time.len())?, ghi.max(0.0)))
        })
        .collect();
    table_light::told(&readings, place)
}

/// The description of this table; `None` where the file is no table with a column of air. `bytes` are as much of the file
/// as is looked at for the light.
pub(super) fn described(head: &Head, bytes: &[u8]) -> Option<DescribedTable> {
    let table = seen(head)?;
    let Seen { separator, header, rows, .. } = &table;
    let separator = *separator;
    let find = |wanted: Holds| header.iter().position(|name| holds(name) == Some(wanted));
    let named: Vec<usize> = (0..header.len()).filter(|&at| holds(&header[at]) == Some(Holds::Air)).collect();
    // "Outside air" before any other temperature.
    let out = ["air", "out", "2m", "t2m"];
    let air = *named.iter().find(|&&at| has_any(&words(&header[at]), &out)).or(named.first())?;
    let with_zone = zoned(header, rows);
    let time = with_zone.map_or_else(|| time_headers(header), |at| vec![at]);
    let mut used = vec![air];
    used.extend(&time);
    let name = |at: usize| literal(&cells::shown(&header[at]));
    let listed = |columns: &[usize]| columns.iter().map(|&at| name(at)).collect::<Vec<_>>().join(", ");
    let StopLines { text: mut stop_lines, columns, place } = stop_lines(header, rows);
    used.extend(columns);
    let format = time_format(rows, &time);
    let pattern = format.map(|(pattern, _)| pattern);
    let told = place
        .zip(find(Holds::Ghi))
        .and_then(|(place, ghi)| light_says(bytes, &table, (&time, ghi), pattern, place));
    // stamps that say their zone are UTC by now
    let zone_h = place.filter(|_| with_zone.is_none()).map_or(0, |(_, longitude)| zone_hours(longitude));
    let clock: Option<Clock> = told.and_then(|told| told.clock(zone_h));
    let zone = match clock {
        _ if with_zone.is_some() => Zone::Other,
        None => Zone::Open,
        Some(clock) if clock.zone_h == zone_h => Zone::Own,
        Some(_) => Zone::Other,
    };
    stop_lines.push_str(&clock_line(place, zone));
    let own_clock = place.filter(|_| zone == Zone::Own).map(|_| literal(&zone_text(zone_h)));
    let mut open_clock = None;
    let mut text = "[stop.columns]\n".to_owned();
    text.push_str(&match time.as_slice() {
        [one] => row(&format!("time = {}", name(*one)), ""),
        several => row(&format!("time = [{}]", listed(several)), ""),
    });
    if let Some((pattern, guessed)) = format {
        let remark = if guessed { "? day first, or month first" } else { "" };
        text.push_str(&row(&format!("time_format = \"{pattern}\""), remark));
    }
    let fits =
        told.map_or_else(String::new, |told| format!("correlation with a clear sky {:.2}", told.correlation));
    if let (Some(clock), None) = (clock, with_zone) {
        if clock.zone_h == 0 {
            let other = if clock.is_ambiguous {
                "; ? or your clock there, with label = \"hour-beginning\""
            } else {
                ""
            };
            text.push_str(&row(
                "utc_offset = \"+00:00\"",
                &format!("the light says that the stamps are UTC ({fits}){other}"),
            ));
        }
    } else if with_zone.is_none() {
        let grid = like_a_grid(&stamps(rows, &time), pattern);
        let usual = if grid { "; grids are nearly always in UTC (common practice, no source)" } else { "" };
        open_clock = Some(row("# utc_offset = \"+00:00\"", &format!("where the stamps are UTC{usual}")));
    }
    text.push_str(&row(
        &format!("air = {}", name(air)),
        if named.len() > 1 { "? there are several" } else { "" },
    ));
    let (unit, remark) = air_unit(&header[air]).map_or_else(
        || air_unit_of(&numbers(bytes, &table, air)),
        |unit| (unit, "as its header says".to_owned()),
    );
    text.push_str(&row(&format!("air_unit = \"{unit}\""), &remark));
    text.push_str(&match clock {
        Some(clock) => row(&format!("label = \"{}\"", clock.label), &format!("the light says so ({fits})")),
        None => {
            let unfit = if told.is_some() {
                "; its light fits neither UTC nor the zone of the longitude"
            } else {
                ""
            };
            row(
                "label = \"instant\"",
                &format!("? or hour-ending, hour-beginning: what a stamp means{unfit}"),
            )
        }
    });
    for (key, wanted, remark) in [
        ("ghi", Holds::Ghi, "? W/m2, on level ground"),
        ("dni", Holds::Dni, "? W/m2, towards the sun"),
        ("dhi", Holds::Dhi, "? W/m2, diffuse, on level ground"),
    ] {
        if let Some(at) = find(wanted) {
            used.push(at);
            text.push_str(&row(&format!("{key} = {}", name(at)), remark));
        }
    }
    if let Some(at) = find(Holds::Wind) {
        used.push(at);
        text.push_str(&row(&format!("wind = {}", name(at)), ""));
        let (unit, remark) =
            wind_unit(&header[at]).map_or(("m/s", "? m/s, km/h, mph or kn"), |unit| (unit, ""));
        text.push_str(&row(&format!("wind_unit = \"{unit}\""), remark));
    }
    if let Some(at) = find(Holds::Cloud) {
        used.push(at);
        text.push_str(&row(&format!("cloud = {}", name(at)), ""));
        let unit = if header[at].contains('%') { "percent" } else { "oktas" };
        text.push_str(&row(&format!("cloud_unit = \"{unit}\""), "? oktas, tenths or percent"));
    }
    if let Some((at, lines)) = station_lines(header, rows) {
        used.push(at);
        text.push_str(&lines);
    }
    let comma = |row: &Vec<String>| row.get(air).is_some_and(|cell| cell.contains(','));
    if separator != b',' && rows.iter().any(comma) {
        text.push_str(&row("decimal = \",\"", ""));
    }
    let rest: Vec<usize> =
        (0..header.len()).filter(|at| !used.contains(at) && !header[*at].is_empty()).collect();
    if !rest.is_empty() {
        let names: Vec<String> = rest.iter().map(|&at| header[at].clone()).collect();
        text.push_str(&format!("# not read: {}\n", cells::listed(&names)));
    }
    Some(DescribedTable { stop_lines, place, own_clock, columns: text, open_clock })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(text: &str) -> String {
        described(&Head::new(text.as_bytes()), text.as_bytes()).unwrap_or_default().to_string()
    }

    #[test]
    fn units_are_taken_from_headers_where_they_stand() {
        for (header, unit) in [
            ("Outside Temp (°F)", Some("F")),
            ("temp_f", Some("F")),
            ("Air temperature [°C]", Some("C")),
            ("t2m (K)", Some("K")),
            ("Temperature", None),
        ] {
            assert_eq!(air_unit(header), unit, "{header}");
        }
    }

    /// By hand: 39.02 F is 3.9 C, 37.04 F 2.8 C. The readings are those of an airport's January, all of which could be Celsius.
    #[test]
    fn a_unit_that_no_header_names_is_looked_for_in_the_numbers() {
        let of = |numbers: &[&str]| {
            let rows: String = numbers.iter().map(|number| format!("2013-01-01T00:00Z,{number}\n")).collect();
            block(&format!("time_hour,temp\n{rows}"))
        };
        let january = ["39.02", "39.92", "37.94", "37.04", "35.96", "33.98", "33.08", "30.02", "NA", "41"];
        let text = of(&january);
        assert!(text.contains("air_unit = \"F\"") && text.contains("turned into F"), "{text}");
        // a logger's tenths, the same in a hotter place than any, and too few to tell
        let text = of(&["39.0", "39.9", "37.9", "37.1", "36.0", "34.0", "33.1", "30.2", "41.0"]);
        assert!(
            text.contains("air_unit = \"C\"") && text.contains("silent; its first numbers are 30 to 41"),
            "{text}"
        );
        assert!(of(&["55.1", "48.3", "52.4"]).contains("air_unit = \"F\" "));
        assert!(of(&["271.3", "280.3"]).contains("air_unit = \"K\" "));
        assert!(of(&january[..4]).contains("air_unit = \"C\" "));
    }

    #[test]
    fn a_table_without_air_is_not_described() {
        assert_eq!(block("name,phone\nA,1\n"), "");
        assert_eq!(block("no table at all\n"), "");
        assert_eq!(block("time,dew point,panel temp\n2021-01-01T00:00Z,1,2\n"), "");
    }

    #[test]
    fn stamps_that_are_not_iso_get_a_pattern() {
        let german = block("Datum;Lufttemperatur Temp (°C);Solar\n13.01.2021 06:00;-3,5;0\n");
        assert!(german.contains("time_format = \"%d.%m.%Y %H:%M\"\n"), "{german}");
        assert!(german.contains("decimal = \",\""), "{german}");
        let unclear = block("Date,Time,Temp F\n01/02/2021,06:00,20\n");
        assert!(
            unclear.contains("time = [\"Date\", \"Time\"]") && unclear.contains("? day first"),
            "{unclear}"
        );
        let parts = block("Year,Month,Day,Hour,Temp\n2021,1,2,3,-4\n");
        assert!(parts.contains("time = [\"Year\", \"Month\", \"Day\", \"Hour\"]"), "{parts}");
        assert!(!parts.contains("time_format"), "{parts}");
    }
}
