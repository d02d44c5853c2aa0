//! How a person at a terminal is asked: each device's questions behind each other, with a way back, and a second look at
//! what cannot be right. Answers from a pipe keep the order of [`QUESTIONS`].

use super::questions::{Answers, QUESTIONS, Question, Refusal, at};

/// The order for a person: label, wiring, then one device after the other.
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
#[derive(Debug, Default)]
pub struct Interview {
    answers: Answers,
    /// Place in [`ORDER`].
    place: usize,
    /// What was typed and taken, for an empty line where the question comes again.
    typed: [Option<String>; QUESTIONS.len()],
    /// What was probably meant by the answer before.
    offered: Option<String>,
    /// Why the answer before was doubted.
    doubted: Option<String>,
    /// The doubts against which an answer was kept.
    kept: [Option<String>; QUESTIONS.len()],
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

impl Interview {
    /// The question that stands; `None` at the end.
    #[must_use]
    pub fn question(&self) -> Option<&'static Question> {
        ORDER.get(self.place).map(|&index| &QUESTIONS[index])
    }

    /// Its number as asked, and how many there are after the answers so far.
    #[must_use]
    pub fn number(&self) -> (usize, usize) {
        let sensible =
            |order: &[usize]| order.iter().filter(|&&index| self.answers.makes_sense(index)).count();
        (sensible(&ORDER[..=self.place.min(ORDER.len() - 1)]), sensible(&ORDER))
    }

    /// What an empty line takes: what was offered, what was typed before, or what the question says.
    #[must_use]
    pub fn taken_otherwise(&self) -> &str {
        let Some(&index) = ORDER.get(self.place) else { return "" };
        let before = self.offered.as_deref().or(self.typed[index].as_deref());
        before.unwrap_or_else(|| QUESTIONS[index].taken_otherwise())
    }

    /// Takes what was typed.
    pub fn take(&mut self, typed: &str) -> Reply {
        let Some(&index) = ORDER.get(self.place) else { return Reply::Next(None) };
        let (offered, doubted) = (self.offered.take(), self.doubted.take());
        let is_one_of = |words: &[&str]| words.iter().any(|word| word.eq_ignore_ascii_case(typed.trim()));
        if is_one_of(&BACK) {
            return self.back();
        }
        let typed = match offered {
            Some(offered) if is_one_of(&["", "yes", "y"]) => offered,
            Some(_) if is_one_of(&["no", "n"]) => return Reply::Again("then in other words:".to_owned()),
            _ if typed.trim().is_empty() => self.typed[index].clone().unwrap_or_default(),
            _ => typed.trim().to_owned(),
        };
        let before = self.answers.clone();
        let understood = match self.answers.take(index, &typed) {
            Ok(understood) => understood,
            Err(refusal) => return self.again(index, refusal),
        };
        let doubt = self.doubt(index);
        if let Some(reason) = &doubt
            && ![&doubted, &self.kept[index]].contains(&&doubt)
        {
            self.answers = before;
            self.typed[index] = None;
            self.doubted.clone_from(&doubt);
            return Reply::Again(reason.clone());
        }
        self.kept[index] = doubt;
        self.typed[index] = Some(typed).filter(|typed| !typed.is_empty());
        self.place += 1;
        while ORDER.get(self.place).is_some_and(|&next| !self.answers.makes_sense(next)) {
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
        self.typed[index] = None;
        self.offered = refusal.meant;
        Reply::Again(match self.offered {
            Some(_) => format!("{said}\nAn empty line or yes takes it."),
            None => said,
        })
    }

    fn back(&mut self) -> Reply {
        let before = (0..self.place).rev().find(|&place| self.answers.makes_sense(ORDER[place]));
        let Some(before) = before else { return Reply::Again("this is the first question".to_owned()) };
        self.place = before;
        Reply::Back
    }

    /// Volts of a device below those that the string has on its label already, which may be amps or a slip.
    fn doubt(&self, index: usize) -> Option<String> {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Takes each; what the last led to.
    fn told(interview: &mut Interview, typed: &[&str]) -> Reply {
        typed.iter().map(|typed| interview.take(typed)).last().unwrap_or(Reply::Back)
    }

    fn asks(interview: &Interview) -> &'static str {
        interview.question().map_or("", |question| question.ask)
    }

    /// At the disconnect, behind `in_series` panels of 24.3 V.
    fn at_disconnect(in_series: &str) -> Interview {
        let mut interview = Interview::default();
        told(&mut interview, &["Van", "24.3", "10", "", "", "", "", in_series, "", ""]);
        assert!(asks(&interview).contains("printed on the disconnect between"), "{}", asks(&interview));
        interview
    }

    #[test]
    fn every_question_is_asked_once_and_each_device_in_one_piece() {
        let mut all = ORDER;
        all.sort_unstable();
        assert!(all.iter().copied().eq(0..QUESTIONS.len()));
        let mut interview = at_disconnect("2");
        let mut asked = Vec::new();
        for typed in ["60", "25", "2", "100", "20", "", ""] {
            asked.push((interview.number().0, asks(&interview)));
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
        let mut interview = Interview::default();
        assert!(matches!(interview.take("back"), Reply::Again(_)), "nothing is before the first");
        told(&mut interview, &["Van", "42.3"]);
        assert_eq!(interview.take("<"), Reply::Back);
        assert_eq!((interview.number().0, interview.taken_otherwise()), (2, "42.3"));
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
            told(&mut interview, &["", "", "lithium 12 V"]);
            assert_eq!(interview.taken_otherwise(), "lfp 12");
            assert_eq!(interview.take(typed), Reply::Next(None), "{typed}");
            assert_eq!(interview.answers.key(&[at::BATTERY], "chemistry"), Some("\"lfp\""));
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
        let mut interview = Interview::default();
        told(&mut interview, &["", "", "", "", "", "", "", "", "", "fraem", "yes"]);
        assert_eq!(interview.answers.value(at::MOUNT), "\"frame\"");
    }

    #[test]
    fn amps_that_were_typed_with_the_volts_are_not_asked_again() {
        let mut interview = at_disconnect("2");
        assert!(matches!(interview.take("60 V DC 25 A"), Reply::Next(Some(_))));
        assert!(asks(&interview).contains("How many conductors"), "{}", asks(&interview));
        assert_eq!(interview.number(), (12, 16), "one less than all");
    }
}
