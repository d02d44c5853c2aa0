//! Which notes are told where, and how.

use crate::extreme::FIT_HOLDS;
use crate::note::{Note, NoteKind};

/// The remarks that are only to be known: what the others ask for stands under what to change.
pub(crate) fn told(notes: &[Note]) -> impl Iterator<Item = &Note> {
    notes.iter().filter(|note| !note.asks)
}

/// A note with its count.
pub(crate) fn note_text(note: &Note) -> String {
    // Many a text counts by itself.
    if note.count > 1 && !note.text.contains(&note.count.to_string()) {
        format!("{} ({} times)", note.text, note.count)
    } else {
        note.text.clone()
    }
}

/// Whether a note is about how far the statistics of a record go, so that it belongs to the record's details.
pub(crate) fn is_about_method(note: &Note) -> bool {
    matches!(note.kind, NoteKind::Fit | NoteKind::Trend)
}

/// Whether a note says that the levels printed beside it are rough, or not to be gone by.
pub(crate) fn is_poor_fit(note: &Note) -> bool {
    note.kind == NoteKind::Fit && !note.text.contains(FIT_HOLDS)
}

/// Whether a note is about data and method alone: nothing in it changes what a reader does, or how far the answer is to be
/// believed.
pub(crate) fn is_detail(note: &Note) -> bool {
    use NoteKind as Kind;
    (is_about_method(note) && !is_poor_fit(note))
        || matches!(
            note.kind,
            Kind::Missing
                | Kind::Flagged
                | Kind::Impossible
                | Kind::SeveralReadings
                | Kind::Overlap
                | Kind::RowsPassedOver
                | Kind::Daylight
                | Kind::Sampling
        )
}
