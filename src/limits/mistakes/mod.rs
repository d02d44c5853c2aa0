//! Common mistakes that a plan shows, as remarks; the others as a checklist. Facts of the trade: common practice, no
//! source, unless a clause is named.

mod checklist;
mod currents;
mod mixing;
mod volts;

pub use checklist::CHECKLIST;
pub use volts::{MADE_TO_BREAK_DC, half_of_one_pole_v, is_name_of_a_system};

use crate::array::{Array, Component};
use crate::assumptions::Rules;
use crate::note::{Note, NoteKind};
use crate::units::listed;

/// The remarks about one array, its labels and its components, in the order of the current: panels first.
#[must_use]
pub fn notes(array: &Array, rules: Rules) -> Vec<Note> {
    let mut notes = Vec::new();
    mixing::remarks(array, &mut notes);
    volts::remarks(array, rules, &mut notes);
    currents::remarks(array, rules, &mut notes);
    of_all(notes, array)
}

/// A remark with the components of which it is said; without any where it is said of the array.
struct Said {
    of: Vec<String>,
    note: Note,
}

/// What is said alike of several components, as of a breaker that isolates and stands in the plan twice, is said once, of all.
fn of_all(notes: Vec<Note>, array: &Array) -> Vec<Note> {
    let names: Vec<String> = array.components.iter().map(named).collect();
    let mut out: Vec<Said> = Vec::new();
    for note in notes {
        let parts = note.text.split_once(": ").filter(|(name, _)| names.iter().any(|own| own == name));
        let Some((name, said)) = parts.map(|(name, said)| (name.to_owned(), said.to_owned())) else {
            out.push(Said { of: Vec::new(), note });
            continue;
        };
        let note = Note { text: said, ..note };
        match out.iter_mut().find(|other| !other.of.is_empty() && other.note == note) {
            Some(other) => other.of.push(name),
            None => out.push(Said { of: vec![name], note }),
        }
    }
    let joined = |Said { of, note }: Said| match of.is_empty() {
        true => note,
        false => Note { text: format!("{}: {}", listed(&of), note.text), ..note },
    };
    out.into_iter().map(joined).collect()
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

    #[test]
    fn what_is_said_alike_of_two_parts_is_said_once() {
        let part = |kind: &str| {
            format!(
                "[[component]]\nkind = '{kind}'\nname = 'rail'\nmax_v = 150\nrated_a = 15\npoles_opened = 2\npolarised = true\n\
                 load_break = true\n"
            )
        };
        let twice = testing::two_in_series(&(part("disconnect") + &part("breaker")));
        let said: Vec<String> = notes(&twice, Rules::All).into_iter().map(|note| note.text).collect();
        let polarised: Vec<&String> = said.iter().filter(|text| text.contains("polarised")).collect();
        assert!(
            matches!(polarised[..], [one] if one.starts_with("disconnect \"rail\" and breaker \"rail 2\": polarised: its source end")),
            "{said:?}"
        );
    }
}
