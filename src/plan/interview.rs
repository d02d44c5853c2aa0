//! How a person at a terminal is asked: each device's questions behind each other, with a way back, and a second look at
//! what cannot be right. Answers from a pipe keep the order of [`QUESTIONS`].

use super::answers::{Answers, Refusal};
use super::asked::{QUESTIONS, Question, at};
use super::stop_questions::{Look, part_of};
use std::collections::BTreeMap;

/// The order for a person: label, wiring, then one device after the other, then the stops, which follow in their own.
const ORDER: [usize; QUESTIONS.len()] = [
    at::TITLE,
    at::VOC,
    at::ISC,
    at::COEFFICIENT,
    at::VMP,
    at::IMP,
    at::SERIES_FUSE,
    at::IN_SERIES,
    at::IN_PARALLEL,
    at::MOUNT,
    at::DISCONNECT,
    at::DISCONNECT_AMPS,
    at::CONDUCTORS,
    at::CONTROLLER,
    at::CONTROLLER_ISC,
    at::BATTERY,
    at::WEATHER,
];

/// Words that return to the question before.
const BACK: [&str; 2] = ["back", "<"];

/// A conversation, and where it stands.
pub struct Interview<'a> {
    look: &'a Look<'a>,
    answers: Answers,
    /// How many questions lie behind, in a person's order.
    place: usize,
    /// What was typed and taken, for an empty line where the question comes again.
    typed: BTreeMap<usize, String>,
    /// What was probably meant by the answer before.
    offered: Option<String>,
    /// Why the answer before was doubted.
    doubted: Option<String>,
    /// Whether the answer before was refused.
    refused: bool,
    /// The doubts against which an answer was kept.
    kept: BTreeMap<usize, String>,
}

/// What an answer led to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reply {
    /// The next question; with how the answer was understood, where that is more than what was typed.
    Next(Option<String>),
    /// The same question, for this reason.
    Again(String),
    /// The question before.
    Back,
}

impl<'a> Interview<'a> {
    /// Begins one; `look` looks into weather files that are named.
    #[must_use]
    pub fn new(look: &'a Look<'a>) -> Self {
        Self {
            look,
            answers: Answers::default(),
            place: 0,
            typed: BTreeMap::new(),
            offered: None,
            doubted: None,
            refused: false,
            kept: BTreeMap::new(),
        }
    }

    /// Which question stands at that place; `None` behind the last.
    fn index(&self, place: usize) -> Option<usize> {
        (place < self.answers.count()).then(|| ORDER.get(place).copied().unwrap_or(place))
    }

    /// The question that stands; `None` at the end.
    #[must_use]
    pub fn question(&self) -> Option<&'static Question> {
        self.answers.question(self.index(self.place)?)
    }

    /// Its number as asked. How many follow hangs on the answers, so that is not said.
    #[must_use]
    pub fn number(&self) -> usize {
        let asked = (0..=self.place).filter_map(|place| self.index(place));
        asked.filter(|&index| self.answers.makes_sense(index)).count()
    }

    /// What an empty line takes: what was offered, what was typed before, or what the question says.
    #[must_use]
    pub fn taken_otherwise(&self) -> String {
        let Some(index) = self.index(self.place) else { return String::new() };
        let before = self.offered.as_ref().or(self.typed.get(&index));
        before.cloned().unwrap_or_else(|| self.answers.otherwise(index))
    }

    /// Takes what was typed.
    pub fn take(&mut self, typed: &str) -> Reply {
        let Some(index) = self.index(self.place) else { return Reply::Next(None) };
        let (offered, doubted) = (self.offered.take(), self.doubted.take());
        let is_one_of = |words: &[&str]| words.iter().any(|word| word.eq_ignore_ascii_case(typed.trim()));
        if is_one_of(&BACK) {
            return self.back();
        }
        let typed = match offered {
            Some(offered) if is_one_of(&["", "yes", "y"]) => offered,
            Some(_) if is_one_of(&["no", "n"]) => return Reply::Again("then in other words:".to_owned()),
            _ if typed.trim().is_empty() => self.typed.get(&index).cloned().unwrap_or_default(),
            _ => typed.trim().to_owned(),
        };
        let before = self.answers.clone();
        let was_refused = std::mem::take(&mut self.refused);
        let understood = match self.answers.take(index, &typed, self.look) {
            // After an answer that was not taken nobody knows what an empty line took.
            Ok(None) if was_refused && typed.is_empty() => {
                Some(format!("taken as {}", self.answers.otherwise(index)))
            }
            Ok(understood) => understood,
            Err(refusal) => return self.again(index, refusal),
        };
        let doubt = self.doubt(index);
        if let Some(reason) = &doubt
            && ![doubted.as_ref(), self.kept.get(&index)].contains(&Some(reason))
        {
            self.answers = before;
            self.typed.remove(&index);
            self.doubted.clone_from(&doubt);
            return Reply::Again(reason.clone());
        }
        keep(&mut self.kept, index, doubt);
        keep(&mut self.typed, index, Some(typed).filter(|typed| !typed.is_empty()));
        self.place += 1;
        while self.index(self.place).is_some_and(|next| !self.answers.makes_sense(next)) {
            self.place += 1;
        }
        Reply::Next(understood)
    }

    /// The answers.
    #[must_use]
    pub fn into_answers(self) -> Answers {
        self.answers
    }

    fn again(&mut self, index: usize, refusal: Refusal) -> Reply {
        let said = refusal.to_string();
        self.typed.remove(&index);
        self.refused = true;
        self.offered = refusal.meant;
        Reply::Again(match self.offered {
            Some(_) => format!("{said}\nAn empty line or yes takes it."),
            None => said,
        })
    }

    fn back(&mut self) -> Reply {
        self.refused = false;
        let makes_sense =
            |&place: &usize| self.index(place).is_some_and(|index| self.answers.makes_sense(index));
        let before = (0..self.place).rev().find(makes_sense);
        let Some(before) = before else { return Reply::Again("this is the first question".to_owned()) };
        self.place = before;
        Reply::Back
    }

    /// What may be a slip: days that hardly are a stay, an open place, or volts of a device below those that the string
    /// has on its label already, which may be amps.
    fn doubt(&self, index: usize) -> Option<String> {
        if let Some((stop, part)) = part_of(index) {
            return self.answers.doubt_of_stop(stop, part);
        }
        if ![at::DISCONNECT, at::CONTROLLER].contains(&index) {
            return None;
        }
        let printed = ["max_v", "max_v_per_pole"].iter().find_map(|key| self.answers.key(&[index], key))?;
        let number = |text: &str| text.parse::<f64>().ok();
        let (voc, count) = (self.answers.value(at::VOC), self.answers.value(at::IN_SERIES));
        let string_v = number(&voc)? * number(&count)?;
        // to the hundredth of a volt, so that 3 x 24.3 prints as 72.9
        let string_v = (string_v * 100.0).round() / 100.0;
        let panels = match count.as_str() {
            "1" => format!("1 panel of {voc} V gives {string_v} V"),
            _ => format!("{count} panels of {voc} V in series give {string_v} V"),
        };
        (number(printed)? < string_v).then(|| {
            format!(
                "{panels} at 25 °C already, more in the cold:\n{printed} V is less. Are these its volts? Type it again to keep it."
            )
        })
    }
}

/// Keeps what is there, and forgets what was.
fn keep(all: &mut BTreeMap<usize, String>, index: usize, one: Option<String>) {
    match one {
        Some(one) => all.insert(index, one),
        None => all.remove(&index),
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Seen;

    /// One file is there, and it does not say where it was written.
    const LOOK: &Look<'static> = &|typed| match typed {
        "a.csv" => Ok(Seen { weather: typed.to_owned(), ..Seen::default() }),
        _ => Err(format!("there is no {typed}")),
    };

    /// Takes each; what the last led to.
    fn told(interview: &mut Interview<'_>, typed: &[&str]) -> Reply {
        typed.iter().map(|typed| interview.take(typed)).last().unwrap_or(Reply::Back)
    }

    fn asks(interview: &Interview<'_>) -> &'static str {
        interview.question().map_or("", |question| question.ask)
    }

    /// At the disconnect, behind `in_series` panels of 24.3 V.
    fn at_disconnect(in_series: &str) -> Interview<'static> {
        let mut interview = Interview::new(LOOK);
        told(&mut interview, &["Van", "24.3", "10", "", "", "", "", in_series, "", ""]);
        assert!(asks(&interview).contains("printed on the disconnect between"), "{}", asks(&interview));
        interview
    }

    #[test]
    fn every_question_is_asked_once_and_each_device_in_one_piece() {
        let mut all = ORDER;
        all.sort_unstable();
        assert!(all.iter().copied().eq(0..QUESTIONS.len()), "those of the stops follow");
        let mut interview = at_disconnect("2");
        let mut asked = Vec::new();
        for typed in ["60", "25", "2", "100", "20", "", "", "", ""] {
            asked.push((interview.number(), asks(&interview)));
            assert_eq!(interview.take(typed), Reply::Next(None), "{typed}");
        }
        assert_eq!(asked[1], (12, "Amps printed on the disconnect?"));
        assert!(asked[3].1.contains("Largest PV volts") && asked[4].1.contains("controller's manual"));
        assert!(interview.question().is_none());
        let answers = interview.into_answers();
        assert_eq!(answers.key(&[at::DISCONNECT_AMPS], "rated_a"), Some("25"));
    }

    #[test]
    fn back_returns_to_the_question_before_with_its_answer() {
        let mut interview = Interview::new(LOOK);
        assert!(matches!(interview.take("back"), Reply::Again(_)), "nothing is before the first");
        told(&mut interview, &["Van", "42.3"]);
        assert_eq!(interview.take("<"), Reply::Back);
        assert_eq!((interview.number(), interview.taken_otherwise()), (2, "42.3".to_owned()));
        told(&mut interview, &["24.3", "Back", ""]);
        assert_eq!(interview.answers.value(at::VOC), "24.3", "an empty line keeps it");
        // a device that is not there has nothing to go back to, and its figures go with it
        let mut interview = at_disconnect("2");
        told(&mut interview, &["60", "25", "2", "back", "back", "back", "none"]);
        assert!(asks(&interview).contains("Largest PV volts"), "{}", asks(&interview));
        assert_eq!(interview.answers.key(&[at::DISCONNECT_AMPS, at::CONDUCTORS], "rated_a"), None);
        assert_eq!(interview.take("BACK"), Reply::Back);
        assert!(asks(&interview).contains("printed on the disconnect between"));
    }

    // 2 x 24.3 V = 48.6 V, by hand.
    #[test]
    fn volts_below_those_of_the_string_are_asked_again() {
        let mut interview = at_disconnect("2");
        let Reply::Again(said) = interview.take("25") else { panic!("taken without a word") };
        assert!(said.contains("2 panels of 24.3 V in series give 48.6 V at 25 °C already"), "{said}");
        assert!(said.contains("25 V is less") && said.contains("again to keep it"), "{said}");
        assert_eq!(interview.answers.key(&[at::DISCONNECT], "max_v"), None, "not yet taken");
        // another such answer is doubted anew; the same once more is kept
        assert!(matches!(interview.take("30"), Reply::Again(_)));
        assert_eq!(interview.take("30 V"), Reply::Next(None));
        assert_eq!(interview.answers.key(&[at::DISCONNECT], "max_v"), Some("30"));
        // once kept, it is kept on the way through, but not behind more panels
        told(&mut interview, &["back", ""]);
        assert_eq!(interview.answers.key(&[at::DISCONNECT], "max_v"), Some("30"));
        let more = told(&mut interview, &["back", "back", "back", "back", "3", "", "", ""]);
        assert!(
            matches!(&more, Reply::Again(said) if said.contains("3 panels of 24.3 V in series give 72.9 V"))
        );
        told(&mut interview, &["back", "back", "back", "2", "", "", "48.6", "25", ""]);
        assert!(matches!(interview.take("25"), Reply::Again(_)), "the controller's volts likewise");
        assert!(matches!(interview.take("100 | 30"), Reply::Next(Some(_))));
        for (in_series, typed) in [("2", "48.6"), ("1", "25"), ("3", "60 V DC per pole"), ("2", "")] {
            let doubted = matches!(at_disconnect(in_series).take(typed), Reply::Again(_));
            assert_eq!(doubted, typed.contains("pole"), "{in_series} {typed}");
        }
    }

    #[test]
    fn what_was_probably_meant_is_taken_by_an_empty_line_or_yes() {
        for typed in ["", "yes", "Y"] {
            let mut interview = at_disconnect("2");
            told(&mut interview, &["", "", "lead 12 V"]);
            assert_eq!(interview.taken_otherwise(), "flooded 12");
            assert_eq!(interview.take(typed), Reply::Next(None), "{typed}");
            assert_eq!(interview.answers.key(&[at::BATTERY], "chemistry"), Some("\"flooded\""));
        }
        let mut interview = at_disconnect("2");
        let Reply::Again(said) = told(&mut interview, &["", "", "12"]) else { panic!("no kind was said") };
        assert!(
            said.contains("agm") && said.contains("did you mean lfp 12?\nAn empty line or yes"),
            "{said}"
        );
        assert!(matches!(interview.take("no"), Reply::Again(_)));
        assert_eq!(interview.taken_otherwise(), "none");
        assert_eq!(interview.take("agm 12"), Reply::Next(None));
        assert_eq!(interview.answers.key(&[at::BATTERY], "chemistry"), Some("\"agm\""));
        // and of the mount
        let mut interview = Interview::new(LOOK);
        told(&mut interview, &["", "", "", "", "", "", "", "", "", "fraem", "yes"]);
        assert_eq!(interview.answers.value(at::MOUNT), "\"frame\"");
    }

    /// "the whole year" would else follow days that were typed, without a word.
    #[test]
    fn an_empty_line_behind_a_refusal_says_what_it_took() {
        let mut interview = at_disconnect("2");
        told(&mut interview, &["", "", "", "a.csv", "Cold Ford", "46.1, -110.2, 1450"]);
        assert!(matches!(interview.take("in winter"), Reply::Again(_)));
        assert_eq!(interview.take(""), Reply::Next(Some("taken as the whole year".to_owned())));
        told(&mut interview, &["back"]);
        assert_eq!(interview.take(""), Reply::Next(None), "nothing was refused this time");
    }

    #[test]
    fn poles_without_a_word_on_their_wiring_are_asked_about() {
        let mut interview = at_disconnect("2");
        let Reply::Again(said) = interview.take("63 V DC, 16 A, 2P") else { panic!("taken without a word") };
        assert!(said.contains("what the 63 V are for, since it has 2 poles"), "{said}");
        assert!(
            said.contains("63 V per pole, 16 A, 2 poles") && said.contains("did you mean 63 V, 16 A?"),
            "{said}"
        );
        assert!(matches!(interview.take("yes"), Reply::Next(Some(_))));
        assert_eq!(interview.answers.key(&[at::DISCONNECT], "max_v"), Some("63"));
    }

    #[test]
    fn amps_that_were_typed_with_the_volts_are_not_asked_again() {
        let mut interview = at_disconnect("2");
        assert!(matches!(interview.take("60 V DC 25 A"), Reply::Next(Some(_))));
        assert!(asks(&interview).contains("How many conductors"), "{}", asks(&interview));
        assert_eq!(interview.number(), 12, "no number is left out");
    }

    #[test]
    fn a_trip_is_asked_stop_by_stop() {
        let mut interview = at_disconnect("2");
        told(&mut interview, &["", "", ""]);
        assert!(asks(&interview).contains("first stop"), "{}", asks(&interview));
        assert_eq!(interview.number(), 14);
        let Reply::Again(said) = interview.take("O'Hare") else { panic!("a place is no file") };
        assert_eq!(said, "there is no O'Hare");
        told(&mut interview, &["a.csv"]);
        assert!(asks(&interview).contains("Name of this place"), "{}", asks(&interview));
        told(&mut interview, &["Cold Ford"]);
        // an empty line where the plan cannot run without is doubted once
        assert!(matches!(interview.take(""), Reply::Again(said) if said.contains("does not run yet")));
        told(&mut interview, &["46.1, -110.2, 1450"]);
        assert!(asks(&interview).contains("First day there"), "{}", asks(&interview));
        told(&mut interview, &["20 Dec"]);
        assert!(asks(&interview).contains("Last day there"), "{}", asks(&interview));
        assert!(matches!(interview.take("Dec 10"), Reply::Again(said) if said.contains("swapped")));
        told(&mut interview, &["Jan 15"]);
        assert!(asks(&interview).contains("another stop"), "{}", asks(&interview));
        told(&mut interview, &["<", "<", "20 Dec to Jan 10"]);
        assert!(asks(&interview).contains("another stop"), "the last day was said with the first");
        told(&mut interview, &["a.csv", "", "46, -110, 900", "", ""]);
        assert!(interview.question().is_none());
        let stops = interview.into_answers().stops();
        assert_eq!(stops.iter().map(|stop| stop.place.as_str()).collect::<Vec<_>>(), ["Cold Ford", "Stop 2"]);
        assert_eq!(stops[0].leave.as_deref(), Some("\"01-10\""));
    }
}
