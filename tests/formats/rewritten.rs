//! Files that passed through a spreadsheet, an editor or a script since they were downloaded: read right, or refused with
//! the cell that cannot be read. All values are invented; each expectation follows from how the file is made here.

use dawnvolt::note::NoteKind;
use dawnvolt::time::UtcOffset;
use dawnvolt::weather::open_bytes;
use dawnvolt::weather::{
    AirUnit, As, CloudUnit, Columns, Opened, Request, StampMeaning, WeatherError, WindUnit,
};
use std::path::PathBuf;

fn read_as(name: &str, text: &str, columns: Option<&Columns>) -> Result<Opened, WeatherError> {
    let files = [PathBuf::from(name)];
    let utc_offset = columns.and_then(|_| UtcOffset::from_hours(0.0));
    open_bytes(text.as_bytes(), &Request { files: &files, columns, utc_offset }, As::Detected)
}

fn refused(name: &str, text: &str, columns: Option<&Columns>, parts: &[&str]) {
    let message = match read_as(name, text, columns) {
        Err(error) => error.to_string(),
        Ok(opened) => panic!("{name} is read: {} hours, {:?}", opened.record.hours().len(), opened.notes),
    };
    for part in parts.iter().chain(&[name]) {
        assert!(message.contains(part), "\"{part}\" is not in: {message}");
    }
    assert!(!message.contains('\n') && message.len() < 600, "{message}");
}

fn columns(time_format: Option<&str>, decimal: char) -> Columns {
    Columns {
        time: vec!["when".to_owned()],
        time_format: time_format.map(str::to_owned),
        utc_offset: None,
        air: "t".to_owned(),
        air_unit: AirUnit::Celsius,
        ghi: None,
        dni: None,
        dhi: None,
        wind: None,
        wind_unit: WindUnit::MetresPerSecond,
        cloud: None,
        cloud_unit: CloudUnit::Oktas,
        label: StampMeaning::Instant,
        station_column: None,
        station: None,
        delimiter: None,
        decimal,
    }
}

/// Month, day, hour and tenths of a degree of 28 days a month from January to June: below nought before April, -20.7 at the
/// lowest, in the night of 1 January at 3 h.
fn half_year() -> Vec<(u32, u32, u32, i32)> {
    let mut rows = Vec::new();
    for month in 1..=6 {
        for day in 1..=28 {
            for hour in 0..24_u32 {
                let tenths = -217
                    + 60 * i32::try_from(month).unwrap()
                    + 10 * i32::try_from(hour.abs_diff(3)).unwrap()
                    + i32::try_from(day).unwrap() % 7
                    - 1;
                rows.push((month, day, hour, if (month, day, hour) == (1, 1, 3) { -207 } else { tenths }));
            }
        }
    }
    rows
}

/// A file of the half year; `row` writes a line.
fn written(header: &str, row: impl Fn(u32, u32, u32, &str) -> String) -> String {
    let mut text = format!("{header}\n");
    for (month, day, hour, tenths) in half_year() {
        let sign = if tenths < 0 { "-" } else { "" };
        let celsius = format!("{sign}{}.{}", tenths.abs() / 10, tenths.abs() % 10);
        text.push_str(&row(month, day, hour, &celsius));
        text.push('\n');
    }
    text
}

fn iso(month: u32, day: u32, hour: u32) -> String {
    format!("2031-{month:02}-{day:02}T{hour:02}:00Z")
}

/// Whole, with its low where it was put.
fn whole(opened: &Opened) {
    let hours = opened.record.hours();
    assert_eq!(hours.len(), half_year().len());
    let low = hours.iter().min_by(|one, other| one.air_low_c.total_cmp(&other.air_low_c)).unwrap();
    assert_eq!((low.air_low_c, low.start.iso().as_str()), (-20.7, "2031-01-01T03:00:00Z"));
}

#[test]
fn a_decimal_comma_between_commas_is_refused_and_cuts_nothing_off() {
    let comma =
        |month, day, hour, celsius: &str| format!("{},{}", iso(month, day, hour), celsius.replace('.', ","));
    refused(
        "halves.csv",
        &written("time,temp_c", comma),
        None,
        &["line 2", "3 cells", "expected 2", "decimal point"],
    );
    // Also where the column that is wanted does not stand last.
    let more = |month, day, hour, celsius: &str| format!("{},5.5,clear", comma(month, day, hour, celsius));
    refused("more.csv", &written("time,temp_c,wind,sky", more), None, &["5 cells", "expected 4"]);
    // And where only a text behind the numbers holds a comma, since nobody can tell the two apart.
    let text = |month, day, hour, celsius: &str| format!("{},{celsius},rain, mist", iso(month, day, hour));
    refused("text.csv", &written("time,temp_c,sky", text), None, &["4 cells", "in quotes"]);
    let quoted =
        |month, day, hour, celsius: &str| format!("{},{celsius},\"rain, mist\",,", iso(month, day, hour));
    whole(&read_as("quoted.csv", &written("time,temp_c,sky", quoted), None).unwrap());
    // Reports of aviation hold commas in some archives, and stand behind the numbers.
    let report = "station,valid,tmpf,metar\nXXX,2031-01-05 06:00,14.0,XXX 050600Z 00000KT, RMK A, B\n";
    assert_eq!(read_as("report.csv", report, None).unwrap().record.hours()[0].air_low_c, -10.0);
    // The archive's own layout is held to the same.
    let head =
        "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n1,2,3,0,GMT,GMT\n\n";
    let body = written("time,temperature_2m (°C)", |month, day, hour, celsius| {
        format!("2031-{month:02}-{day:02}T{hour:02}:00,{}", celsius.replace('.', ","))
    });
    refused("grid.csv", &format!("{head}{body}"), None, &["3 cells", "expected 2"]);
}

#[test]
fn semicolons_with_decimal_commas_are_shown_and_read_where_they_are_declared() {
    let row =
        |month, day, hour, celsius: &str| format!("{};{}", iso(month, day, hour), celsius.replace('.', ","));
    refused("plain.csv", &written("time;temp_c", row), None, &["line 2", "\"-12,7\"", "decimal = \",\""]);
    whole(&read_as("declared.csv", &written("when;t", row), Some(&columns(None, ','))).unwrap());
}

#[test]
fn swapped_months_and_days_are_refused() {
    // Up to the 12th such dates are dates: 12 of 28 days would be read, each in a wrong month.
    let row = |month, day, hour, celsius: &str| format!("{month:02}/{day:02}/2031 {hour:02}:00,{celsius}");
    let text = written("when,t", row);
    let swapped = columns(Some("%d/%m/%Y %H:%M"), '.');
    refused("swapped.csv", &text, Some(&swapped), &["\"01/13/2031 00:00\"", "2304 rows", "time_format"]);
    whole(&read_as("right.csv", &text, Some(&columns(Some("%m/%d/%Y %H:%M"), '.'))).unwrap());
    refused("bare.csv", &text, Some(&columns(None, '.')), &["\"01/01/2031 00:00\"", "%m/%d/%Y"]);
}

#[test]
fn hours_of_am_and_pm_are_read_with_the_right_pattern_only() {
    let row = |month, day, hour: u32, celsius: &str| {
        let half = if hour < 12 { "AM" } else { "PM" };
        format!("{month}/{day}/2031 {}:00 {half},{celsius}", (hour + 11) % 12 + 1)
    };
    let text = written("when,t", row);
    refused("half.csv", &text, Some(&columns(Some("%m/%d/%Y %H:%M %p"), '.')), &["12:00 AM", "%p with %I"]);
    whole(&read_as("clock.csv", &text, Some(&columns(Some("%m/%d/%Y %I:%M %p"), '.'))).unwrap());
}

#[test]
fn hours_without_their_nought_keep_their_nights() {
    let row = |month, day, hour, celsius: &str| format!("2031-{month:02}-{day:02} {hour}:00,{celsius}");
    whole(&read_as("nights.csv", &written("when,t", row), Some(&columns(None, '.'))).unwrap());
}

#[test]
fn minus_signs_of_print_are_read_and_accounts_are_refused() {
    for (name, sign) in [("minus.csv", "\u{2212}"), ("dash.csv", "\u{2013}")] {
        let row = |month, day, hour, celsius: &str| {
            format!("{},{}", iso(month, day, hour), celsius.replace('-', sign))
        };
        whole(&read_as(name, &written("time,temp_c", row), None).unwrap());
    }
    // Losses in brackets, as accounts print them: without them no frost would be left.
    let row = |month, day, hour, celsius: &str| match celsius.strip_prefix('-') {
        Some(below) => format!("{},({below})", iso(month, day, hour)),
        None => format!("{},{celsius}", iso(month, day, hour)),
    };
    refused("brackets.csv", &written("time,temp_c", row), None, &["\"(12.7)\"", "numbers such as"]);
}

#[test]
fn units_in_the_cells_are_refused_and_words_for_missing_are_not() {
    for (name, unit) in [("c.csv", " C"), ("degrees.csv", " °C"), ("f.csv", "°F"), ("f_alone.csv", "F")] {
        let row = |month, day, hour, celsius: &str| format!("{},{celsius}{unit}", iso(month, day, hour));
        refused(name, &written("time,temp_c", row), None, &["line 2", &format!("\"-12.7{unit}\"")]);
    }
    for word in ["missing", "****", "#N/A", "?"] {
        let row = |month, day, hour, celsius: &str| {
            let cell = if hour == 12 { word } else { celsius };
            format!("{},{cell}", iso(month, day, hour))
        };
        let opened = read_as("words.csv", &written("time,temp_c", row), None).unwrap();
        assert_eq!(opened.record.hours().len(), half_year().len() / 24 * 23);
        let told = opened.notes.iter().find(|note| note.kind == NoteKind::Flagged).unwrap();
        assert!(told.text.starts_with("168 x"), "{}", told.text);
    }
}

#[test]
fn all_kelvin_is_told_as_a_unit() {
    let row = |month, day, hour, celsius: &str| {
        format!("{},{:.1}", iso(month, day, hour), celsius.parse::<f64>().unwrap() + 273.15)
    };
    refused("kelvin.csv", &written("time,temp_c", row), None, &["above 60 C", "kelvin", "air_unit"]);
}

#[test]
fn an_archive_that_was_saved_by_a_spreadsheet_says_so() {
    let header = "Navn;Stasjon;Tid(norsk normaltid);Lufttemperatur";
    let row = |month, day, hour, celsius: &str| {
        format!("Oppfunnet;SN00001;{month:02}.{day:02}.2031 {hour:02}:00;{celsius}")
    };
    refused("swapped.csv", &written(header, row), None, &["01.13.2031", "as it was downloaded"]);
    let comma = |month, day, hour, celsius: &str| {
        format!("7;2031{month:02}{day:02}{hour:02};3;{};90,0;eor", celsius.replace('.', ","))
    };
    refused("commas.txt", &written("STATIONS_ID;MESS_DATUM;QN_9;TT_TU;RF_TU;eor", comma), None, &["-12,7"]);
}

#[test]
fn the_clock_of_joined_editions_is_that_of_the_header_above() {
    let head = |clock: &str| {
        format!(
            "\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time{clock}\",\"Temp (°C)\",\"Temp Flag\"\n"
        )
    };
    let row = |stamp: &str, celsius: &str| {
        format!("\"-75.0\",\"45.0\",\"INVENTED\",\"0000001\",\"{stamp}\",\"{celsius}\",\"\"\n")
    };
    let local = format!("{}{}", head(" (LST)"), row("2031-01-05 03:00", "-20.5"));
    let utc = format!("{}{}", head(" (UTC)"), row("2032-01-05 03:00", "-10.5"));
    for text in [format!("{local}{utc}"), format!("{utc}{local}")] {
        let opened = read_as("joined.csv", &text, None).unwrap();
        // 75 degrees west is five hours behind.
        let hours: Vec<_> =
            opened.record.hours().iter().map(|hour| (hour.start.iso(), hour.air_low_c)).collect();
        assert_eq!(
            hours,
            [("2031-01-05T08:00:00Z".to_owned(), -20.5), ("2032-01-05T03:00:00Z".to_owned(), -10.5)]
        );
        assert_eq!(opened.notes.iter().filter(|note| note.text.contains("local standard time")).count(), 1);
    }
}

#[test]
fn two_stations_or_places_in_one_file_are_no_record() {
    let header = "STATIONS_ID;MESS_DATUM;QN_9;TT_TU;RF_TU;eor\n";
    let row = |id: &str| format!("{id};2031010500;3;-5.0;90.0;eor\n");
    refused(
        "two.txt",
        &format!("{header}{}{}", row("    7"), row("    8")),
        None,
        &["several stations: 7, 8"],
    );
    assert!(read_as("one.txt", &format!("{header}{}{}", row("    7"), row("7")), None).is_ok());
    let place = |latitude: &str, offset: &str| {
        format!(
            "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n{latitude},8.5,100.0,{offset},Z,Z\n\n\
             time,temperature_2m (°C)\n2031-01-05T00:00,-5.0\n\n"
        )
    };
    refused(
        "places.csv",
        &format!("{}{}", place("50.0", "3600"), place("48.25", "3600")),
        None,
        &["several stations", "50, 8.5", "48.25, 8.5"],
    );
    let two_clocks =
        read_as("clocks.csv", &format!("{}{}", place("50.0", "0"), place("50.0", "3600")), None).unwrap();
    assert_eq!(two_clocks.record.hours().len(), 2);
    // Two points of a grid, and one that is joined from two downloads.
    let points = |other: &str| {
        format!(
            "valid_time,t2m,latitude,longitude\n2031-01-05 00:00:00,260.0,45.0,8.0\n2031-01-05 01:00:00,261.0,{other},8.0\n"
        )
    };
    refused("points.csv", &points("45.1"), None, &["several stations: 45.0, 8.0, 45.1, 8.0"]);
    assert_eq!(read_as("point.csv", &points("45.0"), None).unwrap().record.hours().len(), 2);
    let cell = |id: &str, year: u32| {
        format!(
            "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\n\
             NSRDB,{id},-,-,-,40.5,-108.5,-7,2168,-7\nYear,Month,Day,Hour,Minute,Temperature\n{year},1,5,0,30,-5\n"
        )
    };
    refused(
        "cells.csv",
        &format!("{}{}", cell("401182", 2031), cell("401183", 2032)),
        None,
        &["401182, 401183"],
    );
    let years =
        read_as("years.csv", &format!("{}{}", cell("401182", 2031), cell("401182", 2032)), None).unwrap();
    assert_eq!(years.record.hours().len(), 2);
    // An offset in hours, where seconds are declared.
    refused("hours.csv", &place("50.0", "2"), None, &["utc_offset_seconds"]);
}

#[test]
fn a_unit_that_the_head_declares_is_believed() {
    let text = |unit: &str| {
        format!(
            "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Temperature Units\n\
             NSRDB,1,-,-,-,40.5,-108.5,-7,2168,-7,{unit}\nYear,Month,Day,Hour,Minute,Temperature\n2031,1,5,0,30,-5\n"
        )
    };
    assert!(read_as("c.csv", &text("c"), None).is_ok());
    refused("f.csv", &text("F"), None, &["\"F\" as Temperature Units", "air_unit"]);
    let power = |unit: &str| {
        format!(
            "-BEGIN HEADER-\nDates (month/day/year): 01/05/2031 through 01/05/2031 in UTC\nLocation: Latitude  34.2   Longitude 77.6\n\
             T2M     Temperature at 2 Meters ({unit})\n-END HEADER-\nYEAR,MO,DY,HR,T2M\n2031,1,5,0,-5\n"
        )
    };
    assert!(read_as("power.csv", &power("C"), None).is_ok());
    refused("power_k.csv", &power("K"), None, &["(K)", "T2M in C"]);
}

#[test]
fn readings_of_one_hour_that_contradict_each_other_are_told() {
    let row = |month, day, hour, celsius: &str| format!("{},{celsius}", iso(month, day, hour));
    let one = written("time,temp_c", row);
    let other = |warmer: f64| {
        let row = |month, day, hour, celsius: &str| {
            format!("{},{:.1}", iso(month, day, hour), celsius.parse::<f64>().unwrap() + warmer)
        };
        format!("{one}{}", written("time,temp_c", row))
    };
    let told = |text: &str| {
        let opened = read_as("both.csv", text, None).unwrap();
        whole(&opened);
        opened
            .notes
            .iter()
            .filter(|note| note.text.contains("are these two stations"))
            .map(|note| note.count)
            .sum::<u64>()
    };
    // A second sensor of the same place, and one of another.
    assert_eq!((told(&other(0.5)), told(&other(9.0))), (0, 28 * 6 * 24));
}
