//! Global Hourly. Values of the fixture are invented and read off it by eye.

use super::opened::{at, count, opened, same};
use dawnvolt::note::NoteKind;
use dawnvolt::sky::Light;

#[test]
fn reports_become_hours() {
    let flat = opened(&["global_hourly/invented.csv"]);
    assert_eq!(flat.station.id.as_deref(), Some("99999900001"));
    assert_eq!(flat.station.name.as_deref(), Some("INVENTED FLAT, XX US"));
    same(flat.station.latitude_deg.unwrap(), 47.52);
    same(flat.station.longitude_deg.unwrap(), -110.25);
    same(flat.station.elevation_m.unwrap(), 1204.0);
    let hours = flat.record.hours();
    let starts: Vec<String> = hours.iter().map(|hour| hour.start.iso()).collect();
    assert_eq!(
        starts,
        ["2031-01-05T05:00:00Z", "2031-01-05T06:00:00Z", "2031-01-05T10:00:00Z", "2031-01-06T00:00:00Z"]
    );
    // One report; the thicker of two layers.
    let single = at(&flat, "2031-01-05T05:00:00Z");
    same(single.air_low_c, -31.1);
    assert_eq!(single.wind_m_s, Some(6.1));
    assert_eq!(single.light, Light::Clouds { oktas: 7.0 });
    // Three reports of one clock hour: on the hour, special, routine.
    let busy = at(&flat, "2031-01-05T06:00:00Z");
    same(busy.air_low_c, -33.0);
    same(busy.air_mean_c, -32.0);
    same(f64::from(busy.air_high_c), f64::from(-31.0_f32));
    assert_eq!(busy.light, Light::Clouds { oktas: 8.0 });
    // Winds of 6.1 m/s and calm; the third is missing.
    assert_eq!(busy.wind_m_s, Some(3.05));
    // The lowest stands behind a quoted line break.
    assert!(flat.locate(busy.origin).ends_with("invented.csv:5"), "{}", flat.locate(busy.origin));
}

#[test]
fn sentinels_flags_and_summaries_are_counted() {
    let flat = opened(&["global_hourly/invented.csv"]);
    assert_eq!(count(&flat, NoteKind::Missing), 1);
    // Quality 3 (wrong, -45.0 C) and 2 (suspect, -29.0 C); quality A (edited) is used.
    assert_eq!(count(&flat, NoteKind::Flagged), 2);
    assert_eq!(count(&flat, NoteKind::RowsPassedOver), 1);
    assert_eq!(count(&flat, NoteKind::SeveralReadings), 1);
    same(at(&flat, "2031-01-05T10:00:00Z").air_low_c, -28.0);
    let flagged = flat.notes.iter().find(|note| note.kind == NoteKind::Flagged).unwrap();
    assert!(flagged.text.contains("invented.csv:8"), "{}", flagged.text);
}
