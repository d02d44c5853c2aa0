//! Grids and typical years. Values of files marked as real were computed with pandas 3.1.1 from the same files; the
//! other fixtures are invented and read off by eye.

use super::opened::{at, coldest, count, opened, same, try_open, try_open_as};
use dawnvolt::note::NoteKind;
use dawnvolt::sky::Light;
use dawnvolt::time::UtcOffset;
use dawnvolt::weather::{AirUnit, CloudUnit, Columns, Record, StampMeaning, WindUnit};

#[test]
fn open_meteo_keeps_one_offset_and_stops_at_the_days() {
    let cell = opened(&["open_meteo/hours_and_days.csv"]);
    assert_eq!(cell.station.utc_offset.unwrap().to_string(), "-09:00");
    same(cell.station.latitude_deg.unwrap(), 61.25);
    same(cell.station.elevation_m.unwrap(), 140.0);
    assert_eq!(cell.record.hours().len(), 2);
    let first = at(&cell, "2031-01-05T09:00:00Z");
    same(first.air_low_c, -31.5);
    assert_eq!(first.light, Light::Clouds { oktas: 4.0 });
    assert_eq!(first.wind_m_s, Some(10.0));
    assert_eq!(count(&cell, NoteKind::Missing), 1);
    // That it is a grid changes how far the answer is to be believed.
    assert_eq!(count(&cell, NoteKind::Place), 1);
    same(coldest(&cell).air_low_c, -32.0);
}

#[test]
fn open_meteo_with_radiation_stands_for_the_hour_before() {
    let cell = opened(&["open_meteo/radiation_old_names.csv"]);
    let first = at(&cell, "2031-06-05T19:00:00Z");
    same(first.air_low_c, 10.0);
    assert_eq!(first.light, Light::Parts { ghi: 600.0, dni: 500.0, dhi: 150.0 });
    assert_eq!(first.wind_m_s, Some(2.0));
}

#[test]
fn open_meteo_without_its_head_needs_a_zone() {
    let error = try_open(&["open_meteo/head_cut_off.csv"]).unwrap_err().to_string();
    assert!(error.contains("utc_offset"), "{error}");
    let cell = try_open_as(&["open_meteo/head_cut_off.csv"], None, UtcOffset::from_hours(1.0)).unwrap();
    same(at(&cell, "2031-01-04T23:00:00Z").air_low_c, -31.5);
}

#[test]
fn nsrdb_snapshots_of_half_hours() {
    // Real.
    let cell = opened(&["nsrdb/psm3.csv"]);
    assert_eq!(cell.files[0].rows, 48);
    assert_eq!(cell.record.hours().len(), 24);
    assert_eq!(cell.station.utc_offset.unwrap().to_string(), "-07:00");
    same(cell.station.elevation_m.unwrap(), 2168.0);
    same(coldest(&cell).air_low_c, -11.8);
    assert_eq!(coldest(&cell).start.iso(), "2017-01-01T13:00:00Z");
    let noon = at(&cell, "2017-01-01T19:00:00Z");
    same(noon.air_mean_c, 0.5);
    assert_eq!(noon.light, Light::Parts { ghi: 397.0, dni: 585.5, dhi: 136.0 });
    assert!(matches!(cell.record, Record::Chronological(_)));
}

#[test]
fn nsrdb_without_temperature_says_so() {
    // Real.
    let error = try_open(&["nsrdb/polar_without_air.csv"]).unwrap_err().to_string();
    assert!(error.contains("no air temperature") && error.contains("air_temperature"), "{error}");
}

#[test]
fn nsrdb_months_of_different_years_are_a_typical_year() {
    let year = opened(&["nsrdb/typical_year.csv"]);
    assert!(matches!(year.record, Record::TypicalYear(_)));
    assert_eq!(year.station.utc_offset.unwrap().to_string(), "-07:00");
    assert_eq!(year.record.hours()[0].start.iso(), "2001-01-31T23:00:00Z");
}

#[test]
fn pvgis_hourly_on_a_tilted_plane_gives_air_and_on_a_flat_one_light() {
    // Real.
    let tilted = opened(&["pvgis/hourly.csv"]);
    assert_eq!(tilted.record.hours().len(), 14);
    same(tilted.station.elevation_m.unwrap(), 250.0);
    same(coldest(&tilted).air_low_c, 1.93);
    assert!(tilted.record.hours().iter().all(|hour| hour.light == Light::Unknown));
    assert!(tilted.notes.iter().any(|note| note.text.contains("tilted by 30 deg")));
    let flat = opened(&["pvgis/flat.csv"]);
    let hour = at(&flat, "2031-01-05T18:00:00Z");
    assert_eq!(hour.light, Light::GlobalOnly { ghi: 280.0 });
    assert_eq!(hour.wind_m_s, Some(2.0));
}

#[test]
fn pvgis_typical_year_with_and_without_head() {
    // Real.
    let year = opened(&["pvgis/typical.csv"]);
    assert!(matches!(year.record, Record::TypicalYear(_)));
    assert_eq!(year.record.hours().len(), 48);
    same(year.station.longitude_deg.unwrap(), 8.0);
    let noon = at(&year, "2018-01-01T11:00:00Z");
    same(noon.air_mean_c, 5.97);
    assert_eq!(noon.light, Light::Parts { ghi: 140.0, dni: 8.07, dhi: 137.0 });
    assert!(year.notes.iter().any(|note| note.text.contains("11 minutes")));
    let headless = opened(&["pvgis/typical_headless.csv"]);
    assert!(matches!(headless.record, Record::TypicalYear(_)));
    assert_eq!(headless.station.latitude_deg, None);
    assert_eq!(headless.record.hours().len(), 24);
}

#[test]
fn epw_hours_end_at_their_number_and_its_head_carries_design_conditions() {
    // Real; the published figures are those of the file's own head.
    let year = opened(&["epw/mcguire.epw"]);
    assert!(matches!(year.record, Record::TypicalYear(_)));
    assert_eq!(year.record.hours().len(), 48);
    assert_eq!(year.station.name.as_deref(), Some("Mcguire Afb, NJ, USA"));
    same(year.station.latitude_deg.unwrap(), 40.02);
    assert_eq!(year.record.hours()[0].start.iso(), "2005-01-01T05:00:00Z");
    let published = year.published.as_ref().unwrap();
    same(published.mean_c, -15.8);
    same(published.sd_k, 2.9);
    assert_eq!(published.levels_c, [(5, -17.9), (10, -19.6), (20, -21.2), (50, -23.3)]);
    assert!(published.source.contains("2009") && published.source.contains("724096"));
}

#[test]
fn epw_sentinels_and_the_block_of_later_editions() {
    let year = opened(&["epw/invented.epw"]);
    assert_eq!(year.record.hours().len(), 2);
    assert_eq!(count(&year, NoteKind::Missing), 1);
    assert_eq!(year.station.utc_offset.unwrap().to_string(), "+10:00");
    // 24:00 on 1 July at +10:00 ends the hour from 13:00 UTC.
    let last = at(&year, "1998-07-01T13:00:00Z");
    same(last.air_low_c, -3.5);
    assert_eq!(last.light, Light::Parts { ghi: 0.0, dni: 0.0, dhi: 0.0 });
    let published = year.published.as_ref().unwrap();
    same(published.mean_c, -15.8);
    assert_eq!(published.levels_c[2], (20, -21.2));
}

#[test]
fn nasa_power_says_utc_or_solar_time_in_its_head() {
    let universal = opened(&["nasa_power/universal_time.csv"]);
    same(universal.station.elevation_m.unwrap(), 1204.5);
    assert_eq!(universal.station.utc_offset, None);
    let hour = at(&universal, "2031-01-05T17:00:00Z");
    same(hour.air_low_c, -18.5);
    // 0.72 MJ a square metre and hour are 200 W/m2.
    assert_eq!(hour.light, Light::GlobalOnly { ghi: 200.0 });
    assert_eq!(at(&universal, "2031-01-05T18:00:00Z").light, Light::Unknown);
    assert_eq!(count(&universal, NoteKind::Missing), 1);
    // 110.25 deg west are 7.35 hours, whole hours: 7.
    let solar = opened(&["nasa_power/solar_time.csv"]);
    same(at(&solar, "2031-01-05T07:00:00Z").air_low_c, -28.5);
    assert_eq!(count(&solar, NoteKind::Assumed), 1);
    assert!(try_open(&["nasa_power/head_cut_off.csv"]).unwrap_err().to_string().contains("in UTC"));
}

#[test]
fn era5_land_members_are_joined_and_its_sums_undone() {
    let cell = opened(&["era5/land.zip"]);
    assert_eq!(cell.files.len(), 3);
    same(cell.station.latitude_deg.unwrap(), 47.5);
    assert_eq!(cell.record.hours().len(), 3);
    let nine = at(&cell, "2031-06-05T09:00:00Z");
    same(nine.air_low_c, 7.0);
    // From 3.6 to 5.4 MJ/m2 in the hour that ends at 10:00: 500 W/m2.
    assert_eq!(nine.light, Light::GlobalOnly { ghi: 500.0 });
    assert_eq!(nine.wind_m_s, Some(5.0));
    assert_eq!(at(&cell, "2031-06-05T10:00:00Z").light, Light::GlobalOnly { ghi: 600.0 });
    assert_eq!(at(&cell, "2031-06-05T11:00:00Z").light, Light::Unknown);
}

#[test]
fn era5_of_single_levels_sums_over_the_hour() {
    let cell = opened(&["era5/single_levels.csv"]);
    // Radiation is that of the hour before the stamp, and the temperature printed with it goes with it.
    let hour = at(&cell, "2031-06-05T08:00:00Z");
    same(hour.air_low_c, 7.0);
    assert_eq!(hour.light, Light::GlobalOnly { ghi: 500.0 });
    assert_eq!(at(&cell, "2031-06-05T09:00:00Z").light, Light::GlobalOnly { ghi: 600.0 });
}

#[test]
fn formats_that_are_not_read_are_refused_by_name() {
    for (file, name, instead) in [
        ("refused/raw_isd.txt", "raw ISD", "ISD-Lite"),
        ("refused/midas.csv", "MIDAS", "[stop.columns]"),
        ("refused/bom.txt", "Bureau of Meteorology", "[stop.columns]"),
        ("refused/uscrn_subhourly.txt", "USCRN", "hourly02"),
        ("refused/ghcn_daily.csv", "daily", "GHCNh"),
    ] {
        let error = try_open(&[file]).unwrap_err().to_string();
        assert!(error.contains(name) && error.contains(instead), "{error}");
    }
}

fn flights(time: &[&str], station: Option<&str>) -> Columns {
    Columns {
        time: time.iter().map(|&part| part.to_owned()).collect(),
        time_format: None,
        utc_offset: None,
        air: "temp".to_owned(),
        air_unit: AirUnit::Fahrenheit,
        ghi: None,
        dni: None,
        dhi: None,
        wind: Some("wind_speed".to_owned()),
        wind_unit: WindUnit::MilesPerHour,
        cloud: None,
        cloud_unit: CloudUnit::Oktas,
        label: StampMeaning::Instant,
        station_column: station.map(|_| "origin".to_owned()),
        station: station.map(str::to_owned),
        delimiter: None,
        decimal: '.',
    }
}

#[test]
fn a_table_of_several_airports_is_refused_until_one_is_named() {
    // Real.
    let error =
        try_open_as(&["generic/flights.csv"], Some(&flights(&["time_hour"], None)), None).unwrap_err();
    assert!(error.to_string().contains("EWR, JFK, LGA"), "{error}");
    let newark =
        try_open_as(&["generic/flights.csv"], Some(&flights(&["time_hour"], Some("EWR"))), None).unwrap();
    assert_eq!(newark.record.hours().len(), 14);
    same(coldest(&newark).air_low_c, (33.08 - 32.0) / 1.8);
    assert_eq!(coldest(&newark).start.iso(), "2013-03-10T10:00:00Z");
}

#[test]
fn columns_of_a_clock_with_daylight_saving_are_refused() {
    // Real.
    let columns = flights(&["year", "month", "day", "hour"], Some("EWR"));
    let error = try_open_as(&["generic/flights.csv"], Some(&columns), UtcOffset::from_hours(-5.0))
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("daylight saving") && error.contains("line 4") && error.contains("line 12"),
        "{error}"
    );
}
