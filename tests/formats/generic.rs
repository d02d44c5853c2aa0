//! Generic CSV. Values of the fixtures are invented and read off them by eye.

use super::opened::{at, count, opened, same, try_open, try_open_as};
use dawnvolt::note::NoteKind;
use dawnvolt::sky::Light;
use dawnvolt::time::UtcOffset;
use dawnvolt::weather::{AirUnit, CloudUnit, Columns, Request, StampMeaning, WindUnit, open};

fn described() -> Columns {
    Columns {
        time: vec!["wann".to_owned()],
        time_format: Some("%d.%m.%Y %H:%M".to_owned()),
        utc_offset: None,
        air: "Aussen".to_owned(),
        air_unit: AirUnit::Fahrenheit,
        ghi: Some("Global".to_owned()),
        dni: None,
        dhi: None,
        wind: Some("Wind".to_owned()),
        wind_unit: WindUnit::KilometresPerHour,
        cloud: Some("Wolken".to_owned()),
        cloud_unit: CloudUnit::Tenths,
        label: StampMeaning::HourEnding,
        station_column: Some("Ort".to_owned()),
        station: Some("Pass".to_owned()),
        delimiter: None,
        decimal: ',',
    }
}

/// A table whose stamps are spread over five columns, as an archive of a grid writes it.
fn of_a_grid(light: Option<&str>) -> Columns {
    Columns {
        time: ["Year", "Month", "Day", "Hour", "Minute"].map(str::to_owned).to_vec(),
        time_format: None,
        air: "Temperature".to_owned(),
        ghi: light.map(str::to_owned),
        wind: None,
        cloud: None,
        station_column: None,
        station: None,
        decimal: '.',
        ..described()
    }
}

#[test]
fn plain_headers_need_no_table() {
    let plain = opened(&["generic/plain.csv"]);
    assert_eq!(plain.record.hours().len(), 3);
    let first = at(&plain, "2031-01-05T06:00:00Z");
    same(first.air_low_c, -31.5);
    assert_eq!(first.light, Light::Parts { ghi: 0.0, dni: 0.0, dhi: 0.0 });
    assert_eq!(first.wind_m_s, Some(2.5));
    // Midnight at -07:00 is 07:00 UTC; no irradiance, so the clouds count.
    let second = at(&plain, "2031-01-05T07:00:00Z");
    same(second.air_low_c, -32.25);
    assert_eq!(second.light, Light::Clouds { oktas: 3.0 });
    let noon = at(&plain, "2031-01-05T17:00:00Z");
    assert_eq!(noon.light, Light::Parts { ghi: 120.0, dni: 300.0, dhi: 60.0 });
    assert_eq!(noon.wind_m_s, None);
    // Blank, -9999 and NaN are missing; "-30*" is no plain number; wind -1 cannot be.
    assert_eq!(count(&plain, NoteKind::Missing), 3);
    assert_eq!(count(&plain, NoteKind::Flagged), 1);
    assert_eq!(count(&plain, NoteKind::Impossible), 1);
}

#[test]
fn a_table_of_columns_says_unit_zone_label_and_station() {
    let columns = described();
    let zone = UtcOffset::from_hours(1.0);
    let pass = try_open_as(&["generic/described.csv"], Some(&columns), zone).unwrap();
    assert_eq!(pass.station.id.as_deref(), Some("Pass"));
    assert_eq!(pass.record.hours().len(), 3);
    // 07:00 at +01:00 names the hour from 05:00 to 06:00 UTC; 14 F is -10 C; 36 km/h is 10 m/s.
    let first = at(&pass, "2031-01-05T05:00:00Z");
    same(first.air_low_c, -10.0);
    assert_eq!(first.light, Light::GlobalOnly { ghi: 100.5 });
    assert_eq!(first.wind_m_s, Some(10.0));
    assert_eq!(first.origin.line, 5);
    same(at(&pass, "2031-01-05T06:00:00Z").air_low_c, -30.0);
    // 24:00 belongs to the date printed: from 22:00 to 23:00 UTC.
    same(at(&pass, "2031-01-05T22:00:00Z").air_low_c, -15.0);
    // The other station's row and the footer.
    assert_eq!(count(&pass, NoteKind::RowsPassedOver), 2);
}

#[test]
fn several_stations_are_refused_until_one_is_named() {
    let columns = Columns { station: None, ..described() };
    let error =
        try_open_as(&["generic/described.csv"], Some(&columns), UtcOffset::from_hours(1.0)).unwrap_err();
    let error = error.to_string();
    assert!(error.contains("Pass, Tal") && error.contains("station_column"), "{error}");
    let columns = Columns { station: Some("Gipfel".to_owned()), ..described() };
    let error =
        try_open_as(&["generic/described.csv"], Some(&columns), UtcOffset::from_hours(1.0)).unwrap_err();
    assert!(
        error.to_string().contains("no row of station \"Gipfel\"; expected one of: Pass, Tal"),
        "{error}"
    );
}

#[test]
fn stamps_without_zone_need_one() {
    let error = try_open(&["generic/no_zone.csv"]).unwrap_err().to_string();
    assert!(error.contains("line 2") && error.contains("utc_offset"), "{error}");
    let with = try_open_as(&["generic/no_zone.csv"], None, UtcOffset::from_hours(-7.0)).unwrap();
    same(at(&with, "2031-01-05T14:00:00Z").air_low_c, -32.5);
    assert_eq!(with.station.utc_offset, UtcOffset::from_hours(-7.0));
}

#[test]
fn a_header_that_is_not_there_names_the_nearest() {
    let columns = Columns { wind: Some("Wnd".to_owned()), ..described() };
    let error =
        try_open_as(&["generic/described.csv"], Some(&columns), UtcOffset::from_hours(1.0)).unwrap_err();
    let error = error.to_string();
    assert!(error.contains("no column \"Wnd\"") && error.contains("nearest is \"Wind\""), "{error}");
}

/// The zone of the table is that of its stamps; the stop's own is the clock of the place, and serves where the table says
/// nothing. A zone in a stamp beats both.
#[test]
fn the_zone_of_a_table_is_nearer_to_its_stamps_than_the_stops() {
    let table = |utc_offset| Columns {
        time: vec!["time".to_owned()],
        time_format: None,
        utc_offset,
        air: "temp_c".to_owned(),
        air_unit: AirUnit::Celsius,
        ghi: None,
        wind: None,
        cloud: None,
        label: StampMeaning::Instant,
        station_column: None,
        station: None,
        decimal: '.',
        ..described()
    };
    let clock = UtcOffset::from_hours(-7.0);
    let read = |file: &str, zone| try_open_as(&[file], Some(&table(zone)), clock).unwrap();
    let of_stop = read("generic/no_zone.csv", None);
    let of_table = read("generic/no_zone.csv", Some(UtcOffset::UTC));
    // By hand: the same cell, at 07:00 of a clock seven hours behind, and at 07:00 UTC.
    same(at(&of_stop, "2031-01-05T14:00:00Z").air_low_c, -32.5);
    same(at(&of_table, "2031-01-05T07:00:00Z").air_low_c, -32.5);
    assert_eq!(of_table.station.utc_offset, None);
    let printed = read("generic/plain.csv", UtcOffset::from_hours(3.0));
    same(at(&printed, "2031-01-05T07:00:00Z").air_low_c, -32.25);
}

/// Columns describe a CSV of no known format: beside them an archive's own files are read as what they are, even where their
/// headers hold those that were named. Expected values as read off the files: PROVENANCE.md of each folder.
#[test]
fn columns_leave_an_archives_own_files_alone() {
    let columns = of_a_grid(Some("Global light"));
    for (name, format) in [
        ("nsrdb/psm3.csv", "NSRDB"),
        ("ghcnh/ghcnh_jfk_2025_sample.psv", "GHCNh"),
        ("ghcnh/first_generation.psv", "GHCNh"),
        ("epw/mcguire.epw", "EPW"),
    ] {
        let [described, plain] = [Some(&columns), None]
            .map(|columns| try_open_as(&[name], columns, None).unwrap_or_else(|error| panic!("{error}")));
        assert!(described.files[0].format.contains(format), "{}", described.files[0].format);
        assert_eq!(described.files[0].recognised_by, plain.files[0].recognised_by);
        assert_eq!(described.record.hours(), plain.record.hours(), "{name}");
    }
}

/// An archive's file that refuses its unit asks for the columns, and takes them. 14 F is -10 C.
#[test]
fn columns_serve_an_archives_file_that_asked_for_them() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("f.csv");
    let text = "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Temperature Units\n\
                NSRDB,1,-,-,-,40.5,-108.5,-7,2168,-7,F\nYear,Month,Day,Hour,Minute,Temperature\n2031,1,5,0,30,14\n";
    std::fs::write(&path, text).unwrap();
    let columns = of_a_grid(None);
    let open = |columns| {
        let utc_offset = UtcOffset::from_hours(-7.0);
        open(&Request { files: std::slice::from_ref(&path), columns, utc_offset })
    };
    assert!(open(None).unwrap_err().to_string().contains("`air_unit` under [stop.columns]"));
    same(open(Some(&columns)).unwrap().record.hours()[0].air_low_c, -10.0);
}
