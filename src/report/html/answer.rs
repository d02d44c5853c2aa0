//! The first screen: the verdict, who decides, where, when, by how much, how often, and what to change.

use super::document::{class_of, temperature, verdict_word};
use super::tables;
use super::{buying, client};
use crate::limits::Verdict;
use crate::limits::rules::touch::{DRY_V, EXTRA_LOW_V};
use crate::report::clean::line;
use crate::report::glance::CODE_SUM;
use crate::report::glance::{self, Test};
use crate::report::show::{self, Units};
use crate::report::view::{self, Judged};
use crate::study::results::Assessment;
use crate::study::{NO_DISCONNECT, outside_in_words, reach_outside_v};
use crate::units::{at_least, listed};
use maud::{Markup, html};

/// Changes that stand in the box in full; of more of them the box says what they are about.
const CHANGES: usize = 2;

pub(super) fn answer(assessment: &Assessment) -> Markup {
    let headline = view::headline(assessment);
    html! {
        div.box.(class_of(headline.1)) {
            p.word { (verdict_word(headline)) }
            @let plain = glance::plain(assessment);
            @if let Some(plain) = &plain { p.plain dir="auto" { b { (line(plain)) } } }
            @for lacking in view::lacking_above_a_list(assessment) { p dir="auto" { (told(&lacking)) } }
            @for unprotected in view::unprotected(assessment) { p dir="auto" { (told(&unprotected)) } }
            @if is_broken(assessment) { p.danger { (DANGER) } }
            (buying::lines(assessment))
            @if plain.is_none() || !is_told_below(assessment) {
                p.summary dir="auto" { (told(&view::sentence(&assessment.summary))) }
            }
            @for beside in view::beside_the_answer_of_a_client(assessment) { p dir="auto" { (told(&beside)) } }
            @if let Some(decider) = view::decider(assessment) {
                (deciding(assessment, &decider))
            }
            @for missing in &assessment.missing { p { (told(missing)) } }
        }
        (tables::notes(&assessment.notes))
    }
}

/// What a part past its limit can do, in one sentence.
const DANGER: &str = "Past its limit a switch may not break the arc that it draws, a controller can be destroyed, a cable or plug can \
                      burn: danger of shock and fire.";

fn is_broken(assessment: &Assessment) -> bool {
    matches!(assessment.verdict, Verdict::Exceeded | Verdict::NotMet)
}

/// Whether the first sentence of the analysis says no more than the figures below it, each of which stands there by itself.
fn is_told_below(assessment: &Assessment) -> bool {
    let Some(decider) = view::decider(assessment).filter(|_| assessment.verdict == Verdict::Exceeded) else {
        return false;
    };
    let limit = decider.limit;
    let text = &assessment.summary;
    limit.unit == "V"
        && !glance::tests(&decider).is_empty()
        && text.starts_with(&limit.component)
        && text.ends_with(&limit.reason)
}

/// A sentence with both scales of temperature, as a client anywhere reads it.
pub(super) fn told(text: &str) -> String {
    line(&show::both_scales(&client::words(text), Units::Us)).to_string()
}

/// What everyone who opens a cover has to know first.
fn shock(assessment: &Assessment) -> Option<String> {
    let needs = assessment.arrays.iter().map(|array| &array.needs);
    let most =
        needs.filter_map(|needs| needs.disconnect_v.into_iter().chain(needs.controller_v).reduce(f64::max));
    let most = most.reduce(f64::max).filter(|&volts| volts > DRY_V)?;
    Some(format!(
        "The array can reach {}: above {DRY_V} V dc bare parts are a shock hazard, also to dry hands.{}",
        show::volts(most),
        if most > EXTRA_LOW_V {
            format!(
                " Above {EXTRA_LOW_V} V dc the rules of mains wiring apply, in some countries licensed people only."
            )
        } else {
            String::new()
        }
    ))
}

/// The line that decides, point by point.
fn deciding(assessment: &Assessment, decider: &Judged<'_>) -> Markup {
    let limit = decider.limit;
    let tests = glance::tests(decider);
    html! {
        dl.facts {
            div { dt { "Component" } dd { bdi { (line(&limit.component)) } } }
            div { dt { "Place" } dd {
                @if decider.is_everywhere() {
                    "every stop"
                } @else {
                    bdi { (line(&decider.stop.place)) }
                    @let others = view::broken_too(assessment, decider);
                    @if !others.is_empty() { "; too much also at " bdi { (line(&listed(&others))) } }
                }
            } }
            @if let Some(rating) = limit.rating {
                div { dt { "Rating" } dd { (show::rating(rating, &limit.unit)) } }
            }
            @if !tests.is_empty() {
                div.wide { dt {
                    (glance::tests_words(&tests))
                    // Where something is to be bought, the line above has the volts, and no sentence follows the tests.
                    @if let Some(by) = limit.decided_by.filter(|_| tests.len() > 1 && buying::is_any(assessment)) {
                        "; the verdict goes by the " (show::decided_by(by))
                    }
                } dd { (held_against(assessment, decider, &tests)) } }
            } @else if let Some(worst) = limit.worst {
                div {
                    dt { "Deciding figure" }
                    dd {
                        (show::demand(worst, &limit.unit))
                        @if let Some(by) = limit.decided_by { " " span.small { (show::decided_by(by)) } }
                    }
                }
            }
            @if let Some(margin) = limit.margin_percent.filter(|_| tests.is_empty()) {
                div { dt { "Margin" } dd { (show::margin(margin)) } }
            }
            @if let Some(volts) = view::tightest_volts(assessment).filter(|_| limit.unit != "V") {
                div.wide { dt { "The cold" } dd dir="auto" { (told(&glance::volts(&volts))) } }
            }
            @if let Some(shock) = shock(assessment) {
                div.wide { dt { "Touch" } dd { (shock) } }
            }
            div.wide { dt { "How often" } dd dir="auto" {
                @if !decider.is_everywhere() && assessment.stops.len() > 1 { "At " bdi { (line(&decider.stop.place)) } ": " }
                (told(&glance::how_often(decider)))
                @if let Some(dates) = &assessment.other_dates { " " (told(&view::sentence(dates))) }
            } }
            div.wide { dt { "What to change" } dd { (changes(assessment)) } }
            @if let Some(tally) = glance::tally(assessment) {
                div.wide { dt { "All limits" } dd { (tally) " " a href="#limits" { "Table" } } }
            }
        }
    }
}

/// The figures that a rating in volts has to hold, each with its own margin and its own hour.
fn held_against(assessment: &Assessment, decider: &Judged<'_>, tests: &[Test]) -> Markup {
    let limit = decider.limit;
    let most = tests.iter().map(|test| test.volts).reduce(f64::max);
    html! {
        ul {
            @for test in tests {
                li {
                    (test.name) " " b { (show::volts(test.volts)) }
                    @if let Some(air) = decider.array.voltage_v.code_temperature_c.filter(|_| test.name == CODE_SUM) {
                        " at " (temperature(air))
                    }
                    ", " (show::margin(test.margin_percent)) ": "
                    @match test.at {
                        Some(at) => { "the hour of " (glance::moment(at, decider.stop)) " local time" }
                        None => (test.rests_on),
                    }
                }
            }
        }
        // Where a rating leaves little room, the first sentences say it.
        @let outside = outside_in_words(assessment);
        @if let Some(most) = most.filter(|_| tests.len() > 1 && !buying::is_any(assessment)) {
            @if let Some(by) = limit.decided_by { "The verdict goes by the " (show::decided_by(by)) "; parts" } @else { "Parts" }
            " are bought by the largest: " b { (show::volts(most)) }
            @match reach_outside_v(&decider.array.voltage_v).filter(|&reaches| reaches > most && outside.is_none()) {
                Some(reaches) => { ", with room for the " (show::volts(at_least(reaches))) " that it could come to with what lies outside." }
                None => ".",
            }
        }
    }
}

/// Terms before their use: what a reader who does not wire has to know for the tables below.
const WORDS: [(&str, &str); 6] = [
    (
        "Open-circuit volts (Voc)",
        "what panels give with nothing connected to them: the most that they can give, and more the colder their cells are.",
    ),
    ("Short-circuit amps (Isc)", "the most amps that they give. They grow with light and hardly with cold."),
    (
        "Code sum",
        "what electrical codes ask for: the label's volts in full sun, at the lowest air expected of the place. A rule; it rests \
         on no hour.",
    ),
    (
        "Sudden sun",
        "sun on panels still as cold as the air: out of shade or a garage, or when snow slides off. Parked, or steady: the \
         same sun has warmed them, so the volts are lower.",
    ),
    (
        "Worst case",
        "the most that label and sky allow in an hour of the stay (without dates: of the record): the strongest panel, colder \
         than the air, in full clear sun.",
    ),
    ("Stay", "the days at one stop, looked at in every winter on record."),
];

/// The words, and what a broken limit can do where the box does not say it.
pub(super) fn words(assessment: &Assessment) -> Markup {
    html! {
        div.notes.words {
            p { b { "Words" } }
            dl { @for (word, meaning) in WORDS { div { dt { (word) } dd { (meaning) } } } }
            p {
                @if !is_broken(assessment) { (DANGER) " " }
                "What a \
                 part may be used for is for its maker's manual, local codes and a licensed or competent person to say, not for this \
                 report."
            }
        }
    }
}

/// Behind a change of which the order is left out, where only who has the plan file can follow it.
const FOR_THE_PLANNER: &str = " (for whoever made this plan)";

/// Letters of a clause that still fits beside others.
const LONGEST_CLAUSE: usize = 90;

/// Of further changes the first clause, so that none of them is missed; one about the same thing as a change before it
/// leaves the reader nothing to look for.
fn told_of(before: &[String], further: &[String]) -> Vec<String> {
    let subject = |change: &str| change.split_once(": ").map(|(subject, _)| subject.to_owned());
    let mut subjects: Vec<Option<String>> = before.iter().map(|change| subject(change)).collect();
    let mut told = Vec::new();
    for change in further {
        let about = subject(change);
        if about.is_some() && subjects.contains(&about) {
            continue;
        }
        // What is to be bought is said before its reason.
        if let Some(whole) = about.as_ref().filter(|about| about.starts_with("buy ")) {
            told.push(whole.clone());
            continue;
        }
        let after_subject = about.as_ref().map_or(0, |about| about.len() + 2);
        let clause = &change[..after_subject + clause_end(&change[after_subject..])];
        // A long clause is not read in a box; what it is about is.
        let clause = about.as_deref().filter(|_| clause.chars().count() > LONGEST_CLAUSE).unwrap_or(clause);
        let who =
            if client::names_a_key(change) && !client::names_a_key(clause) { FOR_THE_PLANNER } else { "" };
        told.push(format!("{}{who}", clause.trim_end_matches('.')));
        subjects.push(about);
    }
    told
}

/// Where the first clause of a text ends; what stands in brackets belongs to it whole.
fn clause_end(text: &str) -> usize {
    let mut depth = 0_usize;
    for (at, sign) in text.char_indices() {
        match sign {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            ':' | ';' | '.' if depth == 0 && text[at + 1..].starts_with([' ']) => return at,
            _ => {}
        }
    }
    text.len()
}

/// The changes with a lack of any means to disconnect among those that stand in the box.
fn in_order(changes: &[String]) -> Vec<String> {
    let mut all = changes.to_vec();
    if let Some(at) = all.iter().position(|change| change.contains(NO_DISCONNECT)).filter(|at| *at >= CHANGES)
    {
        let lack = all.remove(at);
        all.insert(CHANGES - 1, lack);
    }
    all
}

/// The changes behind those of the box, without the class to buy for where a line of its own has it.
fn without_class(assessment: &Assessment, all: &[String]) -> Vec<String> {
    let has_line = buying::is_any(assessment);
    all.iter().filter(|change| !(has_line && change.starts_with("buy for "))).cloned().collect()
}

/// The changes as the box tells them.
struct Sorted {
    /// What the list of what to buy says already.
    listed: Vec<String>,
    /// What stands in full.
    shown: Vec<String>,
    /// The others.
    further: Vec<String>,
}

/// Beside what the list says already one change in full is enough.
fn sorted(assessment: &Assessment, all: &[String]) -> Sorted {
    let (listed, mut shown): (Vec<String>, Vec<String>) =
        all.iter().cloned().partition(|change| buying::is_listed(assessment, change));
    let most = if listed.is_empty() { CHANGES } else { 1 };
    let further = shown.split_off(most.min(shown.len()));
    Sorted { listed, shown, further }
}

/// Whether every change stands in the box in full.
pub(super) fn tells_all_changes(assessment: &Assessment) -> bool {
    let Sorted { listed, further, .. } = sorted(assessment, &in_order(&assessment.changes));
    listed.is_empty() && further.is_empty()
}

fn changes(assessment: &Assessment) -> Markup {
    let all = &in_order(&assessment.changes);
    let Sorted { listed, shown, further } = sorted(assessment, all);
    let before: Vec<String> = listed.iter().chain(&shown).cloned().collect();
    html! {
        @if all.is_empty() && !assessment.doubts.is_empty() {
            "First settle what speaks against the weather; then ask again."
        } @else if all.is_empty() {
            "Nothing: every limit that the plan names was judged and holds."
            @if assessment.arrays.iter().flat_map(|facts| &facts.notes).any(|note| note.leaves_unjudged) {
                " What the plan does not say, and so was not judged, stands under " a href="#needs" { "What the array needs" } "."
            }
        } @else {
            ul { @for change in &shown { li dir="auto" { (told(change)) } } }
            // A list names all three for each part.
            @if listed.is_empty() {
                "What is bought has to fit in volts, amps and poles at once: " a href="#needs" { "What the array needs" } ". "
            }
            @if !further.is_empty() {
                @let about = told_of(&before, &without_class(assessment, &further));
                a href="#change" { (further.len()) " more" }
                @if !about.is_empty() { span dir="auto" { ", among them: " (told(&about.join("; "))) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn further_changes_are_told_by_their_first_clause() {
        let all = [
            "switch: one for at least 54.1 V dc holds.",
            "1 in series instead of 2: the volts fall.",
            "switch: at no week it clears.",
            "controller: holds by 1.7 % only; the next common class of 60 V would leave 9 % to spare.",
            "weather of A: nobody says how high it lies: find out (station_elevation_m).",
            "not judged for want of a figure: controller (give max_isc_a: 12.0 A are needed).",
            "buy for 60 V, not for 55 V: 54.1 V is the figure to buy by, but the table's sum is 55.0 V.",
            "a whole sentence.",
        ]
        .map(str::to_owned);
        let told = told_of(&all[..CHANGES], &all[CHANGES..]);
        assert_eq!(
            told,
            [
                "controller: holds by 1.7 % only",
                "weather of A: nobody says how high it lies (for whoever made this plan)",
                "not judged for want of a figure: controller (give max_isc_a: 12.0 A are needed)",
                "buy for 60 V, not for 55 V",
                "a whole sentence"
            ]
        );
    }
}
