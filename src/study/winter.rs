//! A record that never saw a winter, and what is said about it.

use crate::note::{Note, NoteKind};
use crate::study::OpenStop;
use crate::study::results::ArrayAtStop;

/// Share of the cold window's reports below which a winter was not seen. Chosen: fewer than five of its ninety days say
/// nothing about its lows.
const SEEN_SHARE: f64 = 0.05;

/// Whether the record of a stop without dates holds no winter.
#[must_use]
pub fn is_missed(open: &OpenStop<'_>) -> bool {
    let saw_winter = open.seasons.iter().any(|season| season.share >= SEEN_SHARE);
    open.stop.window.is_none() && open.is_chronological() && !saw_winter
}

/// What follows for the figures of a stop without dates whose record holds no winter; `None` where it holds one, or where
/// the trip's dates say that none is meant.
#[must_use]
pub fn unseen(open: &OpenStop<'_>, arrays: &[ArrayAtStop]) -> Option<String> {
    if !is_missed(open) {
        return None;
    }
    let from_the_record = arrays.first().is_none_or(|array| {
        // Else the plan or a handbook gives it, which may well know winters.
        array.voltage_v.code_temperature_from.starts_with("lowest of this record")
    });
    let figures = if from_the_record {
        "neither the code sum nor the 10 K allowance reaches a winter's"
    } else {
        "the 10 K allowance does not make it a winter's"
    };
    Some(format!("holds no winter: its low is that of its milder months, and {figures}"))
}

/// Most seasons that a record may touch to count as one of a single year.
const OF_ONE_YEAR: usize = 2;

/// That a record is too short for any all-clear: it touches a winter or two and holds none whole, so that its cold is that of
/// one year, and what is added for short records may not reach an extreme one.
#[must_use]
pub fn of_one_year(open: &OpenStop<'_>) -> Option<&'static str> {
    let whole = open.seasons.iter().any(|season| season.complete);
    let is_short = open.is_chronological() && open.seasons.len() <= OF_ONE_YEAR && !whole;
    (is_short && !is_missed(open)).then_some(
        "holds no complete winter, and the cold of one year, 10 K added, may lie below that of an extreme winter: take files of \
         ten or more",
    )
}

/// The remark on the stop.
#[must_use]
pub fn note(unseen: &str) -> Note {
    Note::once(
        NoteKind::ShortRecord,
        format!(
            "this record {unseen}. Whatever is said here about whole years holds for those months alone; take a record with \
             winters, or give the stop its dates (arrive, leave)"
        ),
    )
}

/// The clause of the sentence at the top, one a stop concerned, with what follows for it.
#[must_use]
pub fn clauses(places: &[(String, String)], several: bool) -> Vec<String> {
    let clause = |(place, unseen): &(String, String)| match several {
        true => format!("the record of {place} {unseen}"),
        false => format!("this record {unseen}"),
    };
    places.iter().map(clause).collect()
}
