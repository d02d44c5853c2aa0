//! TMY3. Expected values: pandas 3.1.1, `read_csv(skiprows=1)` on the same file.

use super::opened::{at, coldest, count, opened, same, try_open};
use dawnvolt::note::NoteKind;
use dawnvolt::sky::Light;
use dawnvolt::weather::Record;

#[test]
fn greensboro_is_a_typical_year() {
    let year = opened(&["tmy3/723170TYA.CSV.gz"]);
    assert!(matches!(year.record, Record::TypicalYear(_)));
    assert_eq!(count(&year, NoteKind::TypicalYear), 1);
    let station = &year.station;
    assert_eq!(station.id.as_deref(), Some("723170"));
    assert_eq!(station.name.as_deref(), Some("GREENSBORO PIEDMONT TRIAD INT, NC"));
    same(station.latitude_deg.unwrap(), 36.1);
    same(station.longitude_deg.unwrap(), -79.95);
    same(station.elevation_m.unwrap(), 273.0);
    assert_eq!(station.utc_offset.unwrap().to_string(), "-05:00");
    let hours = year.record.hours();
    assert_eq!(hours.len(), 8760);
    let mean = hours.iter().map(|hour| hour.air_mean_c).sum::<f64>() / 8760.0;
    assert!((mean - 14.421_849_315_068_492).abs() < 1e-9, "{mean}");
    // 02/05/1996 05:00 is the hour from 04:00 to 05:00 local standard time, 09:00 to 10:00 UTC; line 847.
    let low = coldest(&year);
    same(low.air_low_c, -16.7);
    assert_eq!(low.start.iso(), "1996-02-05T09:00:00Z");
    assert_eq!(low.origin.line, 847);
    // 06/10/1989 13:00, the hour of most light.
    let bright = at(&year, "1989-06-10T17:00:00Z");
    assert_eq!(bright.light, Light::Parts { ghi: 1013.0, dni: 668.0, dhi: 363.0 });
    same(bright.air_mean_c, 26.7);
    assert_eq!(bright.wind_m_s, Some(3.6));
    let energy: f64 = hours
        .iter()
        .map(|hour| match hour.light {
            Light::Parts { ghi, .. } => f64::from(ghi),
            _ => 0.0,
        })
        .sum();
    same(energy, 1_566_203.0);
}

#[test]
fn hour_24_belongs_to_the_date_that_is_printed() {
    let year = opened(&["tmy3/723170TYA.CSV.gz"]);
    let hours = year.record.hours();
    // 01/01/1988 01:00 is the first row, 01/01/1988 24:00 the 24th: from 23:00 to 24:00 local, 04:00 UTC next day.
    assert_eq!(hours[0].start.iso(), "1988-01-01T05:00:00Z");
    assert_eq!(hours[23].start.iso(), "1988-01-02T04:00:00Z");
}

#[test]
fn a_typical_year_stands_alone() {
    let error = try_open(&["tmy3/723170TYA.CSV.gz", "isd_lite/725300-2010.gz"]).unwrap_err().to_string();
    assert!(error.contains("typical year"), "{error}");
}
