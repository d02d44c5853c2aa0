//! Does the record belong to the place in the plan? Doubts that come before every other remark.

use crate::note::{Note, NoteKind};
use crate::place::Place;
use crate::study::OpenStop;
use crate::study::results::StopResult;
use crate::time::Hemisphere;
use crate::trip::Stop;
use crate::weather::{Hour, Station, daily_course};

/// Distance of the plan's place from the file's from which on the two are taken as a mistake, km. Chosen because
/// farther away the weather is another one, and a camp and its station mostly lie nearer.
const FAR_KM: f64 = 50.0;
/// Distance below which nothing is said, km: coordinates in hundredths of a degree differ by this much.
const SAME_KM: f64 = 2.0;

/// A doubt: as a clause of the summary, and what to do.
#[derive(Clone, Debug)]
pub(super) struct Doubt {
    kind: NoteKind,
    pub(super) clause: String,
    advice: &'static str,
}

impl Doubt {
    pub(super) fn note(&self) -> Note {
        Note::once(self.kind, format!("{}{}", self.clause, self.advice))
    }
}

/// Adds the doubt that a remark about stamps that are off by hours is; that remark is brought to the front of the others. The
/// warmest hour of the day says the same less exactly, so it is left out then.
pub(super) fn add_clock(doubts: &mut Vec<Doubt>, notes: &mut Vec<Note>) {
    let Some(at) = notes.iter().position(|note| note.kind == NoteKind::ClockHours) else { return };
    let mut by_light = notes.remove(at);
    for by_air in doubts.extract_if(.., |doubt| doubt.kind == NoteKind::Clock) {
        notes.retain(|note| note.text != by_air.note().text);
        if !by_light.text.contains("longitude_deg") {
            by_light.text.push_str("; or is the sign of longitude_deg wrong (west is negative)?");
        }
    }
    if let Some((clause, _)) = by_light.text.split_once(": ") {
        doubts.push(Doubt { kind: NoteKind::ClockHours, clause: clause.to_owned(), advice: "" });
    }
    notes.insert(0, by_light);
}

/// All doubts of an opened stop as clauses, that about its clock too.
pub(super) fn clauses(open: &OpenStop<'_>) -> Vec<String> {
    let mut doubts = of_stop(open);
    let mut notes: Vec<Note> = open.opened.notes.iter().chain(&open.notes).cloned().collect();
    add_clock(&mut doubts, &mut notes);
    doubts.into_iter().map(|doubt| doubt.clause).collect()
}

/// How far the station of the files lies from the place that the plan gives, km; `None` where only one says.
fn distance_km(stop: &Stop, station: &Station) -> Option<f64> {
    let place = |latitude_deg: Option<f64>, longitude_deg: Option<f64>| {
        Some(Place { latitude_deg: latitude_deg?, longitude_deg: longitude_deg?, elevation_m: 0.0 })
    };
    let plan = place(stop.latitude_deg, stop.longitude_deg)?;
    Some(plan.distance_km(&place(station.latitude_deg, station.longitude_deg)?))
}

/// The doubts about a stop.
pub(super) fn of_stop(open: &OpenStop<'_>) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    if let Some(km) = distance_km(open.stop, &open.opened.station).filter(|km| *km > FAR_KM) {
        doubts.push(Doubt {
            kind: NoteKind::Place,
            clause: format!("the file's station lies {km:.0} km from the coordinates in the plan"),
            advice: "; sun and weather here are those of the file's place: name the file of the place, or correct \
                     latitude_deg and longitude_deg",
        });
    }
    let place = open.site.place;
    doubts.extend(of_record(open.opened.record.hours(), Some(place.latitude_deg), Some(place.longitude_deg)));
    doubts
}

/// The doubts about a record alone, at these coordinates.
pub(super) fn of_record(hours: &[Hour], latitude_deg: Option<f64>, longitude_deg: Option<f64>) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    if let Some(by_sun_h) = longitude_deg.and_then(|deg| daily_course::warmest_hour_apart(hours, deg)) {
        let clock = by_sun_h.round().rem_euclid(24.0);
        doubts.push(Doubt {
            kind: NoteKind::Clock,
            clause: format!(
                "the warmest hour of the day comes at about {clock:02.0}:00 by the sun at this longitude"
            ),
            advice: ", not in the afternoon: is the sign of longitude_deg right (west is negative), or the zone of the \
                     stamps? Light, and the hours over a limit, are wrong where it is not",
        });
    }
    if let Some(side) = latitude_deg.and_then(|deg| daily_course::other_side(hours, deg)) {
        let clause = match side {
            Hemisphere::North => {
                "July is warmer than January here, though the latitude is south of the equator"
            }
            Hemisphere::South => {
                "January is warmer than July here, though the latitude is north of the equator"
            }
        };
        doubts.push(Doubt {
            kind: NoteKind::Place,
            clause: clause.to_owned(),
            advice: ": is the sign of latitude_deg right (south is negative)? Light and seasons are wrong where it is \
                     not",
        });
    }
    doubts
}

/// A plain word where the plan's place and the file's differ a little.
pub(super) fn nearby(open: &OpenStop<'_>) -> Option<Note> {
    let km = distance_km(open.stop, &open.opened.station).filter(|km| (SAME_KM..=FAR_KM).contains(km))?;
    Some(Note::once(
        NoteKind::Place,
        format!(
            "the coordinates in the plan lie {km:.0} km from those in the file; the file's place counts for the sun"
        ),
    ))
}

/// The doubts as clauses, with their place where there are several; `by_stop` is in the order of the stops.
pub(super) fn in_words(stops: &[StopResult], by_stop: &[Vec<Doubt>]) -> Vec<String> {
    let several = stops.len() > 1;
    let mut clauses = Vec::new();
    for (stop, doubts) in stops.iter().zip(by_stop) {
        let place = if several { format!("at {}: ", stop.place) } else { String::new() };
        clauses.extend(doubts.iter().map(|doubt| format!("{place}{}", doubt.clause)));
    }
    clauses
}
