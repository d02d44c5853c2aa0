//! ISD-Lite. Expected values: pandas 3.1.1, `read_csv(sep=r"\s+")` on the same files.

use super::opened::{at, coldest, count, opened, same};
use dawnvolt::note::NoteKind;
use dawnvolt::sky::Light;
use dawnvolt::time::{Hemisphere, UtcOffset};
use dawnvolt::weather::{Record, hemisphere, seasons};

const CHICAGO: [&str; 7] = [
    "isd_lite/725300-2017.gz",
    "isd_lite/725300-2010.gz",
    "isd_lite/725300-2011.gz",
    "isd_lite/725300-2012.gz",
    "isd_lite/725300-2013.gz",
    "isd_lite/725300-2015.gz",
    "isd_lite/725300-2016.gz",
];
const NORTHWAY: [&str; 2] = ["isd_lite/702910-2018.gz", "isd_lite/702910-2019.gz"];

#[test]
fn chicago_reads_whole_in_any_order_of_files() {
    let chicago = opened(&CHICAGO);
    assert_eq!(chicago.station.id.as_deref(), Some("725300"));
    assert_eq!(chicago.station.latitude_deg, None);
    let hours = chicago.record.hours();
    assert_eq!(hours.len(), 61_343);
    assert_eq!(count(&chicago, NoteKind::Missing), 12);
    assert_eq!(hours[0].start.iso(), "2010-01-01T00:00:00Z");
    assert_eq!(hours[hours.len() - 1].start.iso(), "2017-12-31T23:00:00Z");
    let mean = hours.iter().map(|hour| hour.air_mean_c).sum::<f64>() / 61_343.0;
    assert!((mean - 11.007_888_430_627_782).abs() < 1e-9, "{mean}");
    let low = coldest(&chicago);
    same(low.air_low_c, -24.4);
    assert_eq!(low.start.iso(), "2016-12-19T11:00:00Z");
    // The first row of 2010 as printed: -89, wind 67, sky code 4.
    let first = at(&chicago, "2010-01-01T00:00:00Z");
    same(first.air_mean_c, -8.9);
    assert_eq!(first.wind_m_s, Some(6.7));
    assert_eq!(first.light, Light::Clouds { oktas: 4.0 });
    assert!(chicago.locate(first.origin).ends_with("725300-2010.gz:1"));
}

#[test]
fn chicago_has_five_complete_winters_and_four_incomplete() {
    let chicago = opened(&CHICAGO);
    let Record::Chronological(record) = &chicago.record else { panic!("not consecutive") };
    assert_eq!(record.step_h, 1);
    let (hemisphere, _) = hemisphere(None, &record.hours);
    assert_eq!(hemisphere, Hemisphere::North);
    let found = seasons(record, hemisphere, UtcOffset::from_hours(-6.0).unwrap());
    // Season, share of the coldest 90 days (6 December to 4 March), low, its hour.
    let expected = [
        ("2009/10", 0.710_674, -18.3, "2010-01-03T13:00:00Z"),
        ("2010/11", 0.999_532, -21.7, "2011-02-10T11:00:00Z"),
        ("2011/12", 0.999_537, -15.0, "2012-01-20T06:00:00Z"),
        ("2012/13", 0.995_318, -18.3, "2013-01-22T13:00:00Z"),
        ("2013/14", 0.288_390, -19.4, "2013-12-12T11:00:00Z"),
        ("2014/15", 0.710_674, -22.2, "2015-01-08T09:00:00Z"),
        ("2015/16", 0.999_537, -20.0, "2016-01-18T11:00:00Z"),
        ("2016/17", 1.0, -24.4, "2016-12-19T11:00:00Z"),
        ("2017/18", 0.289_326, -19.4, "2017-12-26T13:00:00Z"),
    ];
    assert_eq!(found.len(), expected.len());
    for (season, (name, share, low_c, at)) in found.iter().zip(expected) {
        assert_eq!(season.season.to_string(), name);
        assert!((season.share - share).abs() < 1e-6, "{name}: {}", season.share);
        same(season.low_c, low_c);
        assert_eq!(season.low_at.iso(), at, "{name}");
        assert_eq!(season.complete, share >= 0.95, "{name}");
    }
    assert_eq!(found.iter().filter(|season| season.complete).count(), 5);
}

#[test]
fn northway_has_one_complete_winter() {
    let northway = opened(&NORTHWAY);
    let hours = northway.record.hours();
    assert_eq!(hours.len(), 17_177);
    assert_eq!(count(&northway, NoteKind::Missing), 315);
    same(coldest(&northway).air_low_c, -43.9);
    let Record::Chronological(record) = &northway.record else { panic!("not consecutive") };
    let found = seasons(record, Hemisphere::North, UtcOffset::from_hours(-9.0).unwrap());
    let expected =
        [("2017/18", 0.654_630, -43.3), ("2018/19", 0.993_056, -43.9), ("2019/20", 0.335_623, -40.6)];
    assert_eq!(found.len(), expected.len());
    for (season, (name, share, low_c)) in found.iter().zip(expected) {
        assert_eq!(season.season.to_string(), name);
        assert!((season.share - share).abs() < 1e-6, "{name}: {}", season.share);
        same(season.low_c, low_c);
    }
    assert_eq!(found.iter().filter(|season| season.complete).count(), 1);
}

#[test]
fn two_stations_are_refused_by_name() {
    let error = super::opened::try_open(&[CHICAGO[0], NORTHWAY[0]]).unwrap_err().to_string();
    assert!(
        error.contains("several stations") && error.contains("725300 in ") && error.contains("702910 in "),
        "{error}"
    );
}
