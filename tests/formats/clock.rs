//! The check of stamps against light, on a real typical year whose labels are documented (hour ending, local
//! standard time).

use super::opened::opened;
use dawnvolt::note::NoteKind;
use dawnvolt::place::Place;
use dawnvolt::weather::{Hour, best_shift_min, clock_note};

fn greensboro() -> (Vec<Hour>, Place) {
    let year = opened(&["tmy3/723170TYA.CSV.gz"]);
    assert!(year.notes.iter().all(|note| note.kind != NoteKind::Clock));
    let place = Place { latitude_deg: 36.1, longitude_deg: -79.95, elevation_m: 273.0 };
    (year.record.hours().to_vec(), place)
}

#[test]
fn right_stamps_fit_best_as_they_stand() {
    let (hours, place) = greensboro();
    let (shift, best, now) = best_shift_min(&hours, place).unwrap();
    assert!(shift.abs() <= 15, "{shift}: {best} {now}");
    assert!(now > 0.8, "{now}");
    assert_eq!(clock_note(&hours, place), None);
}

#[test]
fn stamps_that_are_off_are_found_in_both_directions() {
    let (hours, place) = greensboro();
    for minutes in [-60, -30, 30, 60] {
        let moved: Vec<Hour> =
            hours.iter().map(|hour| Hour { start: hour.start.plus_s(minutes * 60), ..*hour }).collect();
        let (shift, ..) = best_shift_min(&moved, place).unwrap();
        assert!((shift + minutes).abs() <= 15, "moved by {minutes}, told {shift}");
        let note = clock_note(&moved, place).unwrap();
        assert!(note.text.contains(if minutes > 0 { "earlier" } else { "later" }), "{}", note.text);
    }
}

#[test]
fn without_light_nothing_is_told() {
    let chicago = opened(&["isd_lite/725300-2010.gz"]);
    let place = Place { latitude_deg: 41.995, longitude_deg: -87.934, elevation_m: 205.0 };
    assert_eq!(best_shift_min(chicago.record.hours(), place), None);
}
