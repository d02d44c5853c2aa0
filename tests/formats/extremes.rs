//! Cold extremes: kept where air can have been so, listed with their reason where they are left out. All weather here is
//! invented; what counts as a fault is this project's choice (see src/weather/clean.rs).

use dawnvolt::note::{Note, NoteKind};
use dawnvolt::time::Stamp;
use dawnvolt::weather::{As, Opened, Request, open_bytes};
use std::fmt::Write as _;
use std::path::PathBuf;

/// Air of a winter half-year, every hour from 1 October 2030: a daily swing of 6 K around a mean that falls to -18 C.
fn winter() -> Vec<(Stamp, f64)> {
    let begin = Stamp::from_utc(2030, 10, 1, 0, 0, 0).unwrap();
    (0..182 * 24)
        .map(|at| {
            let season = (f64::from(at) / (182.0 * 24.0) * std::f64::consts::PI).sin();
            let clock = (f64::from(at % 24) / 24.0 * std::f64::consts::TAU).cos();
            let air_c = 8.0 - 26.0 * season - 3.0 * clock;
            (begin.plus_s(i64::from(at) * 3600), (air_c * 10.0).round() / 10.0)
        })
        .collect()
}

fn read(bytes: &[u8], name: &str) -> Opened {
    let files = [PathBuf::from(name)];
    open_bytes(bytes, &Request { files: &files, columns: None, utc_offset: None }, As::Detected)
        .unwrap_or_else(|error| panic!("{error}"))
}

fn plain(hours: &[(Stamp, f64)]) -> Opened {
    let mut text = String::from("time,temp_c\n");
    for (stamp, air_c) in hours {
        writeln!(text, "{stamp},{air_c:.1}").unwrap();
    }
    read(text.as_bytes(), "invented.csv")
}

fn low(opened: &Opened) -> f64 {
    opened.record.hours().iter().map(|hour| hour.air_low_c).fold(f64::INFINITY, f64::min)
}

fn dropped(opened: &Opened) -> Vec<&Note> {
    opened.notes.iter().filter(|note| note.kind == NoteKind::ColdExtremeDropped).collect()
}

#[test]
fn a_cold_spell_that_comes_and_goes_by_degrees_is_the_low() {
    let mut hours = winter();
    // Down 2.5 K an hour from -20 to -45 C and back, in the middle of the winter.
    for (step, hour) in hours[2180..2201].iter_mut().enumerate() {
        hour.1 = -45.0 + 2.5 * (step as f64 - 10.0).abs();
    }
    let opened = plain(&hours);
    assert_eq!(low(&opened), -45.0);
    assert_eq!(dropped(&opened), Vec::<&Note>::new());
}

#[test]
fn a_lone_minus_45_in_a_run_of_minus_20_is_listed_with_what_it_would_mean() {
    let mut hours = winter();
    hours[2180..2200].iter_mut().for_each(|hour| hour.1 = -20.0 - f64::from(u32::from(hour.0.0 % 7200 == 0)));
    hours[2190].1 = -45.0;
    let opened = plain(&hours);
    assert_eq!(low(&opened), -21.0);
    let [note] = dropped(&opened)[..] else { panic!("{:?}", opened.notes) };
    let at = hours[2190].0;
    assert!(
        note.text.starts_with(&format!("1 hour from {at} on, as cold as -45.0 C in invented.csv:2192")),
        "{}",
        note.text
    );
    assert!(note.text.contains("would be -45.0 C instead of -21.0 C"), "{}", note.text);
}

#[test]
fn a_sensor_that_sticks_at_its_coldest_is_listed_and_missing() {
    let mut hours = winter();
    hours[2150..2250].iter_mut().for_each(|hour| hour.1 = -23.4);
    let opened = plain(&hours);
    assert_eq!(opened.record.hours().len(), hours.len() - 100);
    let [note] = dropped(&opened)[..] else { panic!("{:?}", opened.notes) };
    for part in ["100 hours", "-23.4 C", "the sensor was stuck", "instead of -2"] {
        assert!(note.text.contains(part), "{part}: {}", note.text);
    }
}

#[test]
fn many_faults_are_listed_coldest_first() {
    let mut hours = winter();
    for at in 0..40 {
        hours[100 + at * 100].1 = -50.0 - at as f64 / 2.0;
    }
    let opened = plain(&hours);
    let notes = dropped(&opened);
    assert_eq!(notes.len(), 12);
    assert!(notes[0].text.contains("as cold as -69.5 C"), "{}", notes[0].text);
    let rest = opened.notes.iter().find(|note| note.kind == NoteKind::Doubtful).unwrap();
    assert!(
        rest.text.starts_with("28 hours more left out (more cold extremes among them, the coldest -63.5 C)"),
        "{}",
        rest.text
    );
}

/// Quality codes of Global Hourly: 3 is "erroneous" [from memory of the format's documentation].
#[test]
fn a_cold_reading_that_the_archive_doubts_is_listed() {
    let mut text = String::from(
        "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"REPORT_TYPE\",\"WND\",\"CIG\",\"TMP\"\n",
    );
    for (at, (stamp, air_c)) in winter().into_iter().enumerate() {
        let (air_c, code) = match at {
            2190 => (-39.4, 3),
            // Doubted and no extreme: counted alone.
            2195 => (-2.0, 3),
            _ => (air_c, 1),
        };
        let date = stamp.iso().replace('Z', "");
        let tenths = (air_c * 10.0_f64).round() as i32;
        writeln!(
            text,
            "\"99999900001\",\"{date}\",\"60.1\",\"25.2\",\"50.0\",\"INVENTED\",\"FM-12\",\"999,9,C,0000,1\",\"99999,9,9,N\",\"{tenths:+05},{code}\""
        )
        .unwrap();
    }
    let opened = read(text.as_bytes(), "99999900001.csv");
    let [note] = dropped(&opened)[..] else { panic!("{:?}", opened.notes) };
    for part in [
        "-39.4 C on 2030-12-31T06:00:00Z in 99999900001.csv:2192",
        "instead of -21.0 C",
        "marks it as doubtful",
    ] {
        assert!(note.text.contains(part), "{part}: {}", note.text);
    }
    let flagged = opened.notes.iter().find(|note| note.kind == NoteKind::Flagged).unwrap();
    assert_eq!(flagged.count, 2);
}

/// Local climatological data: a letter behind a dry bulb marks a doubtful one [from users' reports].
#[test]
fn a_letter_behind_a_cold_reading_is_no_silence() {
    let mut text = String::from("STATION,DATE,REPORT_TYPE,HourlyDryBulbTemperature,HourlyStationPressure\n");
    for (at, (stamp, air_c)) in winter().into_iter().enumerate() {
        let letter = if at == 2190 { "s" } else { "" };
        let f = if at == 2190 { -31.0 } else { (air_c * 1.8 + 32.0).round() };
        let date = stamp.iso().replace('Z', "");
        writeln!(text, "99999900001,{date},FM-15,{f:.0}{letter},29.3").unwrap();
    }
    let files = [PathBuf::from("lcd.csv")];
    let utc_offset = dawnvolt::time::UtcOffset::from_hours(-6.0);
    let opened =
        open_bytes(text.as_bytes(), &Request { files: &files, columns: None, utc_offset }, As::Detected)
            .unwrap();
    let [note] = dropped(&opened)[..] else { panic!("{:?}", opened.notes) };
    assert!(note.text.contains("-35.0 C on 2030-12-31T12:00:00Z in lcd.csv:2192"), "{}", note.text);
}
