//! Sentences for a client, who does not see the plan: without its keys, and with who is meant. As typed, with the keys, they
//! stand once, in the part of the page for whoever keeps the plan.

use crate::note::Note;
use crate::report::view;
use crate::study::results::Assessment;

/// Keys of the plan that sentences name, and what a client calls them; a key that another one holds stands behind it.
const KEYS: [(&str, &str); 28] = [
    ("[[stop]]", "stop"),
    ("station_elevation_m", "the height of the station"),
    ("elevation_m", "the height of the place"),
    ("latitude_deg", "the latitude"),
    ("longitude_deg", "the longitude"),
    ("code_temperature", "the lowest expected air temperature"),
    ("utc_offset", "the zone of the stamps"),
    ("time_format", "the form of the stamps"),
    ("max_operating_v", "the largest volts at work"),
    ("max_v_per_pole", "the volts of one pole"),
    ("max_v_ac", "the ac volts"),
    ("max_system_v", "the label's largest system volts"),
    ("max_series_fuse_a", "the label's largest series fuse"),
    ("max_isc_a", "the largest short-circuit amps"),
    ("max_charge_a", "the largest charging amps"),
    ("max_v", "the largest volts"),
    ("rated_a", "the rated amps"),
    ("poles_opened", "how many conductors it opens at once"),
    ("voc_temp_coeff", "the label's coefficient of volts"),
    ("isc_temp_coeff", "the label's coefficient of amps"),
    ("cells_in_series", "the cells in series"),
    ("insulation_c", "what its insulation stands"),
    ("ambient_c", "the air around it"),
    ("voc_v", "the open-circuit volts"),
    ("isc_a", "the short-circuit amps"),
    ("vmp_v", "the volts at work"),
    ("imp_a", "the amps at work"),
    ("in_parallel", "the strings in parallel"),
];

/// Signs of the plan file itself.
const TYPED: [&str; 5] = ["[[", "[battery]", "[stop", " = \"", " = '"];

/// Orders that only who has the plan file can follow, each with who is meant.
const ORDERS: [(&str, &str); 12] = [
    (
        "the label's largest series fuse: give max_series_fuse_a",
        "the label's largest series fuse, which whoever made this plan should give",
    ),
    ("give their number (poles_opened; ", "whoever made this plan should give their number ("),
    (
        "enter the same device a second time",
        "whoever made this plan should enter the same device a second time",
    ),
    ("Find out ", "Whoever made this plan should find out "),
    ("put the battery in the plan", "whoever made this plan should put the battery in it"),
    ("put this cable in the plan", "whoever made this plan should put this cable in it"),
    ("add code_temperature", "whoever made this plan should add code_temperature"),
    (
        "look up the temperature coefficient",
        "whoever made this plan should look up the temperature coefficient",
    ),
    ("(give ", "(whoever made this plan should give "),
    (": give ", ": whoever made this plan should give "),
    ("; give ", "; whoever made this plan should give "),
    ("name the file of the place", "whoever made this plan should name the file of the place"),
];

pub(super) fn names_a_key(text: &str) -> bool {
    TYPED.iter().any(|sign| text.contains(sign)) || KEYS.iter().any(|(key, _)| text.contains(key))
}

/// The text without the plan's keys, with who is meant by what it asks for; one without any key stays as it is.
pub(super) fn words(text: &str) -> String {
    if !names_a_key(text) {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut rest = text;
    while let Some(open) = rest.find('(') {
        let Some(length) = closing(&rest[open..]) else { break };
        let bracket = &rest[open..=open + length];
        out.push_str(&rest[..open]);
        if is_only_keys(&bracket[1..bracket.len() - 1]) {
            out.truncate(out.trim_end().len());
        } else {
            out.push_str(bracket);
        }
        rest = &rest[open + length + 1..];
    }
    out.push_str(rest);
    for (order, of_whom) in ORDERS {
        out = out.replace(order, of_whom);
    }
    for (key, words) in KEYS {
        out = out.replace(key, words);
    }
    // An article that stood before the key is enough.
    out.replace("the the ", "the ").replace("a the ", "a ").replace("no the ", "no ")
}

/// Where the bracket that opens a text closes.
fn closing(text: &str) -> Option<usize> {
    let mut depth = 0_usize;
    for (at, sign) in text.char_indices() {
        match sign {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return Some(at);
        }
    }
    None
}

/// Whether a bracket only points at places in the plan file: keys, and the words between them.
fn is_only_keys(inside: &str) -> bool {
    if TYPED.iter().any(|sign| inside.contains(sign)) {
        return true;
    }
    let mut parts =
        inside.split([',', ' ']).filter(|part| !part.is_empty() && !matches!(*part, "and" | "or"));
    parts.all(|part| KEYS.iter().any(|(key, _)| *key == part))
}

/// Every sentence that names keys of the plan, as typed, once.
pub(super) fn for_the_planner(assessment: &Assessment) -> Vec<String> {
    let of_arrays = assessment.arrays.iter().flat_map(|facts| {
        let notes = view::told(&facts.notes).map(view::note_text);
        let rows = facts.needs.components.iter();
        let rows = rows.map(|need| format!("{}: {}", need.component, need.remark));
        notes.chain(rows).chain(facts.needs.remarks.iter().cloned())
    });
    let told = |notes: &[Note]| view::told(notes).map(view::note_text).collect::<Vec<_>>();
    let of_stops = assessment
        .stops
        .iter()
        .flat_map(|stop| told(&stop.notes).into_iter().map(move |text| format!("{}: {text}", stop.place)));
    let rivals = assessment.arrays.iter();
    let rivals = rivals.filter_map(|facts| view::rival_controllers(assessment, facts, view::Reader::Planner));
    let all = rivals.chain(assessment.changes.iter().cloned()).chain(assessment.missing.iter().cloned());
    let all = all.chain(of_arrays).chain(told(&assessment.notes)).chain(of_stops);
    let mut out: Vec<String> = Vec::new();
    for text in all.filter(|text| names_a_key(text)) {
        let text = view::sentence(&text);
        if !out.contains(&text) {
            out.push(text);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_client_reads_no_key_and_who_is_meant() {
        assert_eq!(
            words(
                "weather of A: nobody says so (here). Find out how high the station lies (station_elevation_m)."
            ),
            "weather of A: nobody says so (here). Whoever made this plan should find out how high the station lies."
        );
        assert_eq!(
            words("not judged for want of a figure: box (give max_isc_a: 12.0 A are needed)."),
            "not judged for want of a figure: box (whoever made this plan should give the largest short-circuit amps: 12.0 A \
             are needed)."
        );
        assert_eq!(
            words(
                "to have it judged, put this cable in the plan with its size ([[component]] with kind = \"cable\", mm2)"
            ),
            "to have it judged, whoever made this plan should put this cable in it with its size"
        );
        assert_eq!(words("find both (elevation_m, station_elevation_m)"), "find both");
        for plain in ["switch: one for at least 54.1 V (60 V).", "a (b", "a) b", "Find out why."] {
            assert_eq!(words(plain), plain);
        }
    }

    #[test]
    fn no_key_stands_before_one_that_holds_it() {
        for (at, (key, _)) in KEYS.iter().enumerate() {
            assert!(!KEYS[at + 1..].iter().any(|(later, _)| later.contains(key)), "{key}");
        }
    }
}
