//! Archives of stations. Values of files marked as real were computed with pandas 3.1.1 from the same files; the
//! other fixtures are invented and read off by eye.

use super::opened::{at, coldest, count, opened, same, try_open, try_open_as};
use dawnvolt::note::NoteKind;
use dawnvolt::sky::Light;
use dawnvolt::time::UtcOffset;
use dawnvolt::weather::{Opened, Record};

fn mean_c(opened: &Opened) -> f64 {
    let hours = opened.record.hours();
    hours.iter().map(|hour| hour.air_mean_c).sum::<f64>() / f64::from(u32::try_from(hours.len()).unwrap())
}

#[test]
fn lcd_first_generation_is_fahrenheit_and_tells_its_zone_in_the_reports() {
    // Real.
    let atlanta = opened(&["lcd/first_generation.csv"]);
    assert_eq!(atlanta.files[0].rows, 58);
    assert_eq!(atlanta.record.hours().len(), 42);
    assert_eq!(atlanta.station.id.as_deref(), Some("72219013874"));
    assert_eq!(atlanta.station.utc_offset.unwrap().to_string(), "-05:00");
    same(coldest(&atlanta).air_low_c, 36.0 / 1.8 - 32.0 / 1.8);
    assert_eq!(coldest(&atlanta).start.iso(), "2020-01-01T12:00:00Z");
    same(mean_c(&atlanta), 7.893_518_518_518_517);
    assert_eq!(count(&atlanta, NoteKind::SeveralReadings), 12);
    // 00:52 local standard time, 40 F, 9 mph, FEW:02.
    let first = at(&atlanta, "2020-01-01T05:00:00Z");
    assert_eq!(first.light, Light::Clouds { oktas: 2.0 });
    assert!((f64::from(first.wind_m_s.unwrap()) - 9.0 * 0.447_04).abs() < 1e-6);
    assert!(atlanta.notes.iter().any(|note| note.text.contains("Fahrenheit")));
}

#[test]
fn lcd_second_generation_is_celsius_under_the_same_names() {
    // Real.
    let lincoln = opened(&["lcd/second_generation.csv"]);
    assert_eq!(lincoln.files[0].rows, 56);
    assert_eq!(lincoln.record.hours().len(), 41);
    assert_eq!(lincoln.station.name.as_deref(), Some("LINCOLN AIRPORT, NE US"));
    assert_eq!(lincoln.station.utc_offset.unwrap().to_string(), "-06:00");
    same(lincoln.station.elevation_m.unwrap(), 362.7);
    same(coldest(&lincoln).air_low_c, -3.3);
    same(mean_c(&lincoln), 2.009_349_593_495_935_3);
    assert!(lincoln.notes.iter().any(|note| note.text.contains("Celsius")));
}

#[test]
fn lcd_suffixes_mark_doubt_and_summaries_are_no_hours() {
    let suffixes = opened(&["lcd/suffixes.csv"]);
    assert_eq!(suffixes.record.hours().len(), 1);
    same(coldest(&suffixes).air_low_c, -30.0);
    assert_eq!(count(&suffixes, NoteKind::Flagged), 2);
    assert_eq!(count(&suffixes, NoteKind::RowsPassedOver), 1);
    assert_eq!(suffixes.station.utc_offset.unwrap().to_string(), "-07:00");
    // A zone of the user that the reports contradict is not followed silently.
    let other = try_open_as(&["lcd/suffixes.csv"], None, UtcOffset::from_hours(-6.0)).unwrap();
    assert_eq!(count(&other, NoteKind::Clock), 1);
    assert_eq!(other.station.utc_offset.unwrap().to_string(), "-07:00");
}

#[test]
fn lcd_without_pressure_is_refused_since_its_unit_cannot_be_told() {
    let error = try_open(&["lcd/without_pressure.csv"]).unwrap_err().to_string();
    assert!(error.contains("Fahrenheit") && error.contains("air_unit"), "{error}");
}

#[test]
fn ghcnh_with_a_date_column() {
    // Real.
    let kennedy = opened(&["ghcnh/ghcnh_jfk_2025_sample.psv"]);
    assert_eq!(kennedy.files[0].rows, 49);
    assert_eq!(kennedy.record.hours().len(), 26);
    assert_eq!(kennedy.station.id.as_deref(), Some("USW00094789"));
    same(kennedy.station.latitude_deg.unwrap(), 40.6392);
    same(coldest(&kennedy).air_low_c, 7.2);
    same(mean_c(&kennedy), 8.840_705_128_205_128);
    assert_eq!(count(&kennedy, NoteKind::SeveralReadings), 18);
    assert_eq!(at(&kennedy, "2025-01-01T00:00:00Z").light, Light::Clouds { oktas: 7.0 });
}

#[test]
fn ghcnh_of_the_first_generation_with_its_flags() {
    let flat = opened(&["ghcnh/first_generation.psv"]);
    assert_eq!(flat.record.hours().len(), 2);
    same(coldest(&flat).air_low_c, -31.1);
    assert_eq!(coldest(&flat).start.iso(), "2031-01-05T05:00:00Z");
    assert_eq!(coldest(&flat).light, Light::Clouds { oktas: 7.0 });
    // Codes 3 and K.
    assert_eq!(count(&flat, NoteKind::Flagged), 2);
    assert_eq!(count(&flat, NoteKind::Missing), 1);
    same(flat.station.longitude_deg.unwrap(), -110.25);
}

#[test]
fn iowa_mesonet_with_comments_in_utc() {
    // Real.
    let kennedy = opened(&["iem/iem_jfk_metar_sample.csv"]);
    assert_eq!(kennedy.files[0].rows, 37);
    assert_eq!(kennedy.record.hours().len(), 24);
    same(coldest(&kennedy).air_low_c, 45.0 / 1.8 - 32.0 / 1.8);
    same(mean_c(&kennedy), 8.935_185_185_185_185);
    assert_eq!(count(&kennedy, NoteKind::Assumed), 0);
}

#[test]
fn iowa_mesonet_without_comments_is_taken_as_utc_and_says_so() {
    let bare = opened(&["iem/without_comments.csv"]);
    assert_eq!(count(&bare, NoteKind::Assumed), 1);
    let hour = at(&bare, "2031-01-05T05:00:00Z");
    same(hour.air_low_c, -31.1);
    assert_eq!(hour.light, Light::Clouds { oktas: 8.0 });
    assert!((f64::from(hour.wind_m_s.unwrap()) - 5.144_444).abs() < 1e-5);
    assert_eq!(count(&bare, NoteKind::Missing), 2);
    same(bare.station.latitude_deg.unwrap(), 47.5);
}

#[test]
fn iowa_mesonet_on_a_local_clock_is_refused() {
    let error = try_open(&["iem/local_clock.csv"]).unwrap_err().to_string();
    assert!(error.contains("America/Denver") && error.contains("UTC"), "{error}");
}

#[test]
fn meteostat_leaves_out_what_a_forecast_made() {
    let new = opened(&["meteostat/00001.csv"]);
    assert_eq!(new.station.id.as_deref(), Some("00001"));
    assert_eq!(new.record.hours().len(), 2);
    same(coldest(&new).air_low_c, -12.5);
    assert_eq!(count(&new, NoteKind::RowsPassedOver), 1);
    assert_eq!(count(&new, NoteKind::Missing), 1);
    let first = at(&new, "2031-01-05T00:00:00Z");
    assert_eq!(first.wind_m_s, Some(10.0));
    assert_eq!(first.light, Light::Clouds { oktas: 8.0 });
    let old = opened(&["meteostat/00002.csv"]);
    assert_eq!(old.record.hours().len(), 2);
    same(at(&old, "2031-01-05T01:00:00Z").air_low_c, -21.0);
    assert_eq!(at(&old, "2031-01-05T00:00:00Z").wind_m_s, Some(10.0));
}

#[test]
fn canadian_standard_time_short_rows_and_repeated_header() {
    let narrows = try_open_as(&["eccc/standard_time.csv"], None, UtcOffset::from_hours(-6.0)).unwrap();
    assert_eq!(narrows.station.id.as_deref(), Some("0000001"));
    assert_eq!(narrows.station.name.as_deref(), Some("INVENTED NARROWS A"));
    same(narrows.station.latitude_deg.unwrap(), 60.5);
    assert_eq!(narrows.record.hours().len(), 3);
    let first = at(&narrows, "2031-01-05T06:00:00Z");
    same(first.air_low_c, -35.5);
    assert_eq!(first.wind_m_s, Some(2.5));
    assert_eq!(first.light, Light::Clouds { oktas: 5.6 });
    // Flag M and the short row are missing; E (estimated) is used.
    assert_eq!(count(&narrows, NoteKind::Missing), 2);
    same(coldest(&narrows).air_low_c, -36.1);
    assert_eq!(count(&narrows, NoteKind::RowsPassedOver), 1);
    assert_eq!(count(&narrows, NoteKind::Assumed), 0);
    // Without a zone it is taken from the longitude (-105 / 15 = -7), and said.
    let unsaid = opened(&["eccc/standard_time.csv"]);
    assert_eq!(count(&unsaid, NoteKind::Assumed), 1);
    same(at(&unsaid, "2031-01-05T07:00:00Z").air_low_c, -35.5);
}

#[test]
fn canadian_universal_time_and_old_edition() {
    let universal = try_open_as(&["eccc/universal_time.csv"], None, UtcOffset::from_hours(-6.0)).unwrap();
    same(at(&universal, "2031-01-05T00:00:00Z").air_low_c, -35.5);
    // Latin-1, CRLF, lines about the station before the header.
    let old = try_open_as(&["eccc/old_edition.csv"], None, UtcOffset::from_hours(-6.0)).unwrap();
    same(at(&old, "2031-01-05T06:00:00Z").air_low_c, -35.5);
    assert_eq!(old.station.id.as_deref(), Some("0000001"));
    same(old.station.elevation_m.unwrap(), 412.0);
    same(old.station.longitude_deg.unwrap(), -105.0);
}

#[test]
fn german_products_of_one_station_are_joined_by_time() {
    let files = [
        "dwd/stundenwerte_FF_00007_akt.zip",
        "dwd/produkt_n_stunde_20310105_20310105_00007.txt",
        "dwd/produkt_st_stunde_20310105_20310105_00007.txt",
        "dwd/stundenwerte_TU_00007_akt.zip",
    ];
    for order in [[0, 1, 2, 3], [3, 2, 1, 0], [2, 3, 0, 1]] {
        let names = order.map(|at| files[at]);
        let mountain = opened(&names);
        assert_eq!(mountain.station.name.as_deref(), Some("Erfundenhäuser Berg"));
        same(mountain.station.latitude_deg.unwrap(), 50.125);
        same(mountain.station.elevation_m.unwrap(), 412.5);
        assert_eq!(mountain.record.hours().len(), 3);
        assert_eq!(count(&mountain, NoteKind::Missing), 1);
        let six = at(&mountain, "2031-01-05T06:00:00Z");
        same(six.air_low_c, -15.5);
        assert_eq!(six.wind_m_s, Some(1.5));
        assert_eq!(six.light, Light::Clouds { oktas: 4.0 });
        // 18 J/cm2 in the solar hour that ends at 09:12 are 50 W/m2, given to the clock hour of its middle, 08:42;
        // wind is missing there, clouds could not be seen.
        let eight = at(&mountain, "2031-01-05T08:00:00Z");
        same(eight.air_low_c, -17.0);
        assert_eq!(eight.wind_m_s, None);
        assert_eq!(eight.light, Light::GlobalOnly { ghi: 50.0 });
        let nine = at(&mountain, "2031-01-05T09:00:00Z");
        assert_eq!(nine.light, Light::Clouds { oktas: 7.0 });
    }
}

#[test]
fn a_german_product_without_temperature_asks_for_it() {
    let error = try_open(&["dwd/stundenwerte_FF_00007_akt.zip"]).unwrap_err().to_string();
    assert!(error.contains("air temperature") && error.contains("stundenwerte_FF"), "{error}");
}

#[test]
fn norwegian_decimal_commas_and_fixed_zone() {
    let place = opened(&["met_norway/oppfunnet.csv"]);
    assert_eq!(place.station.id.as_deref(), Some("SN00001"));
    assert_eq!(place.station.utc_offset.unwrap().to_string(), "+01:00");
    assert_eq!(place.record.hours().len(), 2);
    let first = at(&place, "2031-01-05T00:00:00Z");
    same(first.air_low_c, -8.7);
    assert_eq!(first.wind_m_s, Some(2.5));
    same(at(&place, "2031-01-05T01:00:00Z").air_low_c, -9.0);
    assert_eq!(count(&place, NoteKind::Missing), 1);
    assert_eq!(count(&place, NoteKind::RowsPassedOver), 1);
}

#[test]
fn the_reference_network_gives_each_hours_own_low() {
    let place = opened(&["uscrn/CRNH0203-2031-XX_Invented_2_E.txt"]);
    assert_eq!(place.station.id.as_deref(), Some("99999"));
    assert_eq!(place.station.name.as_deref(), Some("XX Invented 2 E"));
    same(place.station.latitude_deg.unwrap(), 47.5);
    same(place.station.longitude_deg.unwrap(), -110.25);
    assert_eq!(place.station.utc_offset.unwrap().to_string(), "-07:00");
    assert_eq!(place.record.hours().len(), 3);
    // 01:00 UTC ends the hour from 00:00.
    let first = at(&place, "2031-01-05T00:00:00Z");
    same(first.air_mean_c, -20.1);
    same(first.air_low_c, -20.9);
    same(f64::from(first.air_high_c), -19.5);
    // The mean is missing, so the last minutes stand for it; the radiation is flagged.
    let second = at(&place, "2031-01-05T01:00:00Z");
    same(second.air_mean_c, -21.0);
    same(second.air_low_c, -21.4);
    assert_eq!(second.light, Light::Unknown);
    assert_eq!(at(&place, "2031-01-05T18:00:00Z").light, Light::GlobalOnly { ghi: 310.0 });
    assert_eq!(count(&place, NoteKind::Missing), 1);
    assert!(matches!(place.record, Record::Chronological(_)));
}
