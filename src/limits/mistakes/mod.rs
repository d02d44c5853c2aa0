//! Common mistakes that a plan shows, as remarks; the others as a checklist. Facts of the trade: common practice, no
//! source, unless a clause is named.

mod checklist;
mod currents;
mod mixing;
mod volts;

pub use checklist::CHECKLIST;
pub use volts::{MADE_TO_BREAK_DC, is_name_of_a_system};

use crate::array::{Array, Component};
use crate::assumptions::Rules;
use crate::note::{Note, NoteKind};

/// The remarks about one array, its labels and its components, in the order of the current: panels first.
#[must_use]
pub fn notes(array: &Array, rules: Rules) -> Vec<Note> {
    let mut notes = Vec::new();
    mixing::remarks(array, &mut notes);
    volts::remarks(array, rules, &mut notes);
    currents::remarks(array, rules, &mut notes);
    notes
}

/// A remark that asks for something to be done.
fn ask(notes: &mut Vec<Note>, text: String) {
    add(notes, Note::once(NoteKind::Wiring, text).asking());
}

/// A remark that is to be known.
fn wiring(notes: &mut Vec<Note>, text: String) {
    add(notes, Note::once(NoteKind::Wiring, text));
}

/// A remark on what was not judged.
fn unjudged(notes: &mut Vec<Note>, text: String) {
    add(notes, Note::once(NoteKind::Wiring, text).unjudged());
}

fn add(notes: &mut Vec<Note>, note: Note) {
    if !notes.contains(&note) {
        notes.push(note);
    }
}

/// A component as a remark names it.
fn named(component: &Component) -> String {
    if component.name == component.kind.word() {
        component.name.clone()
    } else {
        format!("{} \"{}\"", component.kind.word(), component.name)
    }
}

#[cfg(test)]
pub(crate) mod testing {
    //! Arrays from the text of a plan.
    #![expect(clippy::panic)]

    use crate::array::Array;
    use crate::plan;
    use std::path::Path;

    /// The only array of a plan.
    pub fn array(text: &str) -> Array {
        let find = |_: &str| Ok(Vec::new());
        let mut plan = plan::read(text, Path::new("plan.toml"), Path::new("."), &find)
            .unwrap_or_else(|error| panic!("{error}"));
        plan.arrays.remove(0)
    }

    /// Two panels of 22.5 V and 5.8 A in series, with `more` behind.
    pub fn two_in_series(more: &str) -> Array {
        array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n{more}"))
    }

    /// An ordinary 100 W panel.
    pub const PANEL: &str = "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\n\
                             voc_temp_coeff = '-0.30 %/K'\nmax_series_fuse_a = 15\n";

    /// Whether one of the remarks about `array` holds `words`.
    pub fn says(array: &Array, words: &str) -> bool {
        super::notes(array, super::Rules::All).iter().any(|note| note.text.contains(words))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sound_array_gets_no_remark() {
        let sound = testing::two_in_series(
            "[[component]]\nkind = 'disconnect'\nmax_v = 150\nrated_a = 15\npoles_opened = 2\npolarised = false\nload_break = true\n\
             [[component]]\nkind = 'controller'\nmax_v = 100\nmax_isc_a = 30\n\
             [[component]]\nkind = 'connector'\nmax_v = 1000\nrated_a = 30\n\
             [[component]]\nkind = 'cable'\nmm2 = 6\ninsulation_c = 90\nambient_c = 70\nmax_v = 600\n",
        );
        assert_eq!(notes(&sound, Rules::All), []);
    }
}
