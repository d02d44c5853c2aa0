//! What people answer to the questions that fill in a plan to start from, and how it is understood.

use super::asked::{QUESTIONS, Question, at};
use super::draft::meant;
use super::given::number_meant;
use super::keys::Holds;
use super::own_words::{battery, conductors, is_any_lithium, is_glued, volts_and_amps};
use super::printed::{LEAST_POLES, Plate, Printed, Way};
use super::stop_questions::{Look, Seen, part_of};
use crate::module::{Label, RawLabel};
use std::collections::BTreeMap;

/// Words for an answer that is not known, where an empty line says the same.
pub(super) const NOT_KNOWN: [&str; 7] = ["none", "no", "unknown", "not known", "n/a", "-", "?"];

/// One answer: keys with their values as the plan writes them, the first one the question's own.
pub(super) type Answer = Vec<(&'static str, String)>;

/// Why an answer is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// What is expected instead.
    pub expected: String,
    /// The answer that was probably meant.
    pub meant: Option<String>,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.expected)?;
        self.meant.as_ref().map_or(Ok(()), |meant| write!(f, "; did you mean {meant}?"))
    }
}

impl From<String> for Refusal {
    fn from(expected: String) -> Self {
        Self { expected, meant: None }
    }
}

/// Answers so far.
#[derive(Clone, Debug, Default)]
pub struct Answers {
    /// By the number of the question.
    values: BTreeMap<usize, Option<Answer>>,
    /// What the look into the weather of each stop found.
    pub(super) seen: BTreeMap<usize, Seen>,
}

impl Answers {
    /// Takes what was typed as the answer to question `index`; a decimal comma or a unit behind a number is
    /// understood. Says how an answer was understood that holds more than its own figure.
    ///
    /// # Errors
    /// What is expected instead, for asking again, and what was probably meant.
    pub fn take(&mut self, index: usize, typed: &str, look: &Look<'_>) -> Result<Option<String>, Refusal> {
        let typed = typed.trim();
        if let Some(part) = part_of(index) {
            return self.take_of_stop(part, typed, look);
        }
        let Some(question) = QUESTIONS.get(index) else { return Ok(None) };
        let is_open = typed.is_empty()
            || question.otherwise.is_empty() && NOT_KNOWN.iter().any(|word| word.eq_ignore_ascii_case(typed));
        let typed = if is_open { question.otherwise } else { typed };
        let answer = if typed.is_empty() { None } else { Some(self.answer(index, question, typed)?) };
        self.put(index, answer);
        // What was said of a device that is no longer there goes with it.
        for follower in (0..QUESTIONS.len()).filter(|&other| QUESTIONS[other].follows == Some(index)) {
            if !self.makes_sense(follower) {
                self.values.remove(&follower);
            }
        }
        let in_own_words = match index {
            at::MOUNT if is_glued(typed) => Some("taken as roof: close to the skin".to_owned()),
            at::BATTERY if is_any_lithium(typed) => Some(
                "taken as lfp (LiFePO4), as most that are built in today (common practice, no source);\n\
                 where its label says Li-ion or NMC, change chemistry in the plan to nmc"
                    .to_owned(),
            ),
            at::CONDUCTORS => conductors(typed).map(|count| {
                format!("taken as {count}; where several poles are wired one behind the other in one conductor, type 1")
            }),
            _ => None,
        };
        Ok(self.understood(index).or(in_own_words))
    }

    /// Whether question `index` makes sense after the answers so far, and is not answered by them.
    #[must_use]
    pub fn makes_sense(&self, index: usize) -> bool {
        if let Some((stop, part)) = part_of(index) {
            return self.part_makes_sense(stop, part);
        }
        let follows = QUESTIONS.get(index).and_then(|question| question.follows);
        let has_amps = index == at::DISCONNECT_AMPS && self.key(&[at::DISCONNECT], "rated_a").is_some();
        !has_amps && follows.is_none_or(|before| self.values.get(&before).is_none_or(Option::is_some))
    }

    fn answer(&self, index: usize, question: &Question, typed: &str) -> Result<Answer, Refusal> {
        let key = question.key;
        match index {
            at::COEFFICIENT => Ok(vec![(key, self.coefficient(typed)?)]),
            at::DISCONNECT if let Some(Plate { volts, amps, way: Way::Dc, poles: Some(poles) }) = Plate::read(typed) => {
                Err(Refusal {
                    expected: format!(
                        "expected what the {volts} V are for, since it has {poles} {}: the device as it is wired, or one pole \
                         (then \"{volts} V per pole, {amps} A, {poles} poles\"; its sheet says)",
                        if poles == 1 { "pole" } else { "poles" }
                    ),
                    meant: Some(format!("{volts} V, {amps} A")),
                })
            }
            at::DISCONNECT if let Some(plate) = Plate::read(typed) => {
                let key = match plate.way {
                    Way::Dc => "max_v",
                    Way::DcPerPole => "max_v_per_pole",
                    Way::Ac => "max_v_ac",
                };
                let mut answer = vec![(key, in_range(question, key, plate.volts)?)];
                if plate.way == Way::DcPerPole {
                    answer.push(("poles_in_series", LEAST_POLES.to_string()));
                }
                if let Some(poles) = plate.poles {
                    answer.push(("poles_opened", poles.to_string()));
                }
                answer.push(("rated_a", in_range(question, "rated_a", plate.amps)?));
                Ok(answer)
            }
            at::DISCONNECT => match Printed::read(typed) {
                Some(Printed::PerPole { volts }) => Ok(vec![
                    ("max_v_per_pole", in_range(question, "max_v_per_pole", volts)?),
                    ("poles_in_series", LEAST_POLES.to_string()),
                ]),
                Some(Printed::Ac { volts }) => {
                    Ok(vec![("max_v_ac", in_range(question, "max_v_ac", volts)?)])
                }
                _ => plain(question, typed),
            },
            at::CONTROLLER => match volts_and_amps(typed) {
                Some((volts, amps)) => Ok(vec![
                    (key, in_range(question, key, volts)?),
                    ("max_charge_a", in_range(question, "max_charge_a", amps)?),
                ]),
                _ => plain(question, typed).map_err(|Refusal { expected, meant }| Refusal {
                    expected: format!("{expected}, the largest PV volts; or both numbers of a name such as 100/30, volts first"),
                    meant,
                }),
            },
            at::DISCONNECT_AMPS if self.key(&[at::DISCONNECT], "rated_a").is_some() => {
                let known = self.key(&[at::DISCONNECT], "rated_a").unwrap_or_default().to_owned();
                match plain(question, typed)? {
                    answer if answer.iter().all(|(_, amps)| *amps == known) => Ok(answer),
                    _ => Err(format!("expected an empty line: {known} A stand behind the disconnect's volts").into()),
                }
            }
            at::BATTERY => battery(typed),
            at::CONDUCTORS => plain(question, conductors(typed).unwrap_or(typed)),
            at::MOUNT if is_glued(typed) => Ok(vec![(key, literal("roof"))]),
            _ => plain(question, typed),
        }
    }

    /// How the answer was understood, where that is more than what was typed.
    fn understood(&self, index: usize) -> Option<String> {
        let answer = self.values.get(&index)?.as_deref()?;
        match answer {
            [(_, volts), .., ("rated_a", amps)] => {
                let volts_for = match answer {
                    [("max_v_ac", _), ..] => " of alternating current, which is no dc rating,",
                    [_, ("poles_in_series", _), ..] => " for one pole, with one pole in series,",
                    _ => "",
                };
                let poles = match answer.iter().find(|(key, _)| *key == "poles_opened") {
                    Some((_, poles)) if poles != "1" => format!(
                        ", and {poles} poles that open as many conductors;\n\
                         where poles are wired one behind the other, change poles_in_series in the plan"
                    ),
                    _ => String::new(),
                };
                let and = if poles.is_empty() { " and" } else { "" };
                Some(format!("taken as {volts} V{volts_for}{and} {amps} A{poles}"))
            }
            [(_, volts), ("poles_in_series", poles)] => Some(format!(
                "taken as {volts} V for one pole, and {poles} pole in series in one conductor;\n\
                 where more are wired one behind the other, change poles_in_series in the plan"
            )),
            [("max_v_ac", volts)] => Some(format!(
                "taken as {volts} V of alternating current, which is no dc rating: the answer will\nsay so"
            )),
            [(_, volts), ("max_charge_a", amps)] => Some(format!(
                "taken as at most {volts} V from the panels and {amps} A into the battery;\nthe manual decides"
            )),
            _ => None,
        }
    }

    /// A coefficient is checked against the label that was typed before it.
    fn coefficient(&self, typed: &str) -> Result<String, String> {
        let number = |index: usize| {
            let typed = self.given(index).unwrap_or(QUESTIONS[index].otherwise);
            typed.parse::<f64>().map_err(|error| error.to_string())
        };
        let raw = RawLabel {
            id: "panel".to_owned(),
            voc_v: number(at::VOC)?,
            isc_a: number(at::ISC)?,
            voc_temp_coeff: Some(typed.to_owned()),
            ..RawLabel::default()
        };
        match Label::read(raw) {
            Ok(_) => Ok(literal(typed)),
            Err(error) => Err(format!("expected {}; {}", error.expected, error.next_step)),
        }
    }

    /// The value of the question's own key, as the plan writes it; `None` where the line is left out.
    pub(super) fn given(&self, index: usize) -> Option<&str> {
        Some(self.values.get(&index)?.as_ref()?.first()?.1.as_str())
    }

    /// The value of any key that one of these questions filled in.
    pub(super) fn key(&self, questions: &[usize], key: &str) -> Option<&str> {
        let answers = questions.iter().filter_map(|index| self.values.get(index)?.as_ref());
        answers.flatten().find(|(name, _)| *name == key).map(|(_, value)| value.as_str())
    }

    /// The value of the question's own key, or what an empty line stands for.
    pub(super) fn value(&self, index: usize) -> String {
        let question = &QUESTIONS[index];
        self.given(index).map_or_else(
            || match question.table.key(question.key).map(|key| key.holds) {
                Some(Holds::Text | Holds::Words(_)) => literal(question.otherwise),
                _ => question.otherwise.to_owned(),
            },
            str::to_owned,
        )
    }

    /// Whether anybody was asked.
    pub(super) fn was_asked(&self) -> bool {
        !self.values.is_empty()
    }

    /// Keeps an answer; `None` where the line is left out.
    pub(super) fn put(&mut self, index: usize, answer: Option<Answer>) {
        self.values.insert(index, answer);
    }
}

/// The answer to a question that asks for what its one key holds.
fn plain(question: &Question, typed: &str) -> Result<Answer, Refusal> {
    let key = question.key;
    let Some(known) = question.table.key(key) else { return Err("nothing fits here".to_owned().into()) };
    let value = match known.holds {
        Holds::Number { of, min, max } if has_other_unit(key, typed) => {
            return Err(format!("expected a number {of} from {min} to {max}, in that unit").into());
        }
        Holds::Number { of, min, max } => match number_meant(typed) {
            Some(number) => in_range(question, key, number)?,
            None => return Err(format!("expected a number {of} from {min} to {max}").into()),
        },
        Holds::Count { min, max } => typed
            .parse::<u32>()
            .ok()
            .filter(|count| (min..=max).contains(count))
            .map(|count| count.to_string())
            .ok_or_else(|| format!("expected a whole number from {min} to {max}"))?,
        Holds::Words(words) => {
            words.iter().find(|word| word.eq_ignore_ascii_case(typed)).map(|word| literal(word)).ok_or_else(
                || Refusal {
                    expected: format!("expected {}", known.holds.expected()),
                    meant: meant(typed, words).map(str::to_owned),
                },
            )?
        }
        _ => literal(typed),
    };
    Ok(vec![(key, value)])
}

/// Amps where volts are asked, or volts where amps are.
fn has_other_unit(key: &str, typed: &str) -> bool {
    let unit = typed.trim_start_matches(|c: char| !c.is_alphabetic()).to_lowercase();
    match unit.as_str() {
        "a" | "amp" | "amps" => key.ends_with("_v"),
        "v" | "volt" | "volts" | "vdc" | "v dc" => key.ends_with("_a"),
        _ => false,
    }
}

/// A number inside the range of that key, as the plan writes it.
fn in_range(question: &Question, key: &str, number: f64) -> Result<String, String> {
    match question.table.key(key).map(|key| key.holds) {
        Some(Holds::Number { of, min, max }) if !(min..=max).contains(&number) => {
            Err(format!("expected a number {of} from {min} to {max}"))
        }
        _ => Ok(number.to_string()),
    }
}

/// A path without the quotes that a terminal puts around one that was dragged into it.
pub(super) fn without_quotes(typed: &str) -> &str {
    ['"', '\'']
        .iter()
        .find_map(|&quote| typed.strip_prefix(quote)?.strip_suffix(quote))
        .filter(|inner| !inner.is_empty())
        .unwrap_or(typed)
}

/// A text as TOML writes it.
pub(super) fn literal(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Any file is there.
    fn unseen(typed: &str) -> Result<Seen, String> {
        Ok(Seen { weather: typed.to_owned(), ..Seen::default() })
    }

    fn taken(index: usize, typed: &str) -> Answer {
        let mut answers = Answers::default();
        answers.take(index, typed, &unseen).unwrap_or_else(|error| panic!("{typed}: {error}"));
        answers.values.get(&index).cloned().flatten().unwrap_or_default()
    }

    fn pairs<'a>(answer: &'a [(&'static str, String)]) -> Vec<(&'static str, &'a str)> {
        answer.iter().map(|(key, value)| (*key, value.as_str())).collect()
    }

    #[test]
    fn an_impossible_answer_is_asked_again() {
        let mut answers = Answers::default();
        for (index, typed) in [
            (at::VOC, "many"),
            (at::VOC, "2250"),
            (at::COEFFICIENT, "0.3"),
            (at::IN_SERIES, "0"),
            (at::IN_SERIES, "2.5"),
            (at::MOUNT, "not glued"),
            (at::MOUNT, "glued to a frame"),
            (at::DISCONNECT, "-48"),
            (at::DISCONNECT, "25 A"),
            (at::DISCONNECT_AMPS, "60 V"),
            (at::DISCONNECT, "100/30"),
            (at::DISCONNECT, "9000 per pole"),
            (at::CONTROLLER, "30/100"),
            (at::CONTROLLER, "9000/30"),
            (at::CONTROLLER, "60 V AC 20 A"),
            (at::CONTROLLER, "60 V per pole 20 A"),
            (at::CONTROLLER, "60 V 20 A 30 A"),
            (at::CONDUCTORS, "some"),
            (at::CONDUCTORS, "nine poles"),
            (at::WEATHER, "~/Downloads/hourly.csv"),
            (at::BATTERY, "lfp"),
            (at::BATTERY, "12"),
            (at::BATTERY, "lfp 13"),
            (at::BATTERY, "lfp 12 24"),
            (at::BATTERY, "agm gel 12"),
        ] {
            assert!(answers.take(index, typed, &unseen).is_err(), "{typed}");
        }
        assert!(!answers.was_asked());
        let said = |answers: &mut Answers, index, typed| {
            answers.take(index, typed, &unseen).unwrap_err().to_string()
        };
        assert!(said(&mut answers, at::MOUNT, "flat").contains("did you mean roof?"));
        assert!(said(&mut answers, at::BATTERY, "lead 12").contains("did you mean flooded 12?"));
        let said = said(&mut answers, at::CONTROLLER, "30/100");
        assert!(said.contains("the largest PV volts") && said.contains("volts first"), "{said}");
    }

    #[test]
    fn what_is_printed_in_one_piece_fills_two_keys_and_is_said() {
        let mut answers = Answers::default();
        let said = answers.take(at::CONTROLLER, "100 | 30", &unseen).unwrap().unwrap();
        assert!(said.contains("100 V from the panels") && said.contains("30 A into the battery"), "{said}");
        assert_eq!(pairs(&taken(at::CONTROLLER, "100/30")), [("max_v", "100"), ("max_charge_a", "30")]);
        let said = answers.take(at::DISCONNECT, "60 V per pole", &unseen).unwrap().unwrap();
        assert!(said.contains("60 V for one pole") && said.contains("poles_in_series"), "{said}");
        let per_pole = [("max_v_per_pole", "60"), ("poles_in_series", "1")];
        assert_eq!(pairs(&taken(at::DISCONNECT, "60 per pole")), per_pole);
        assert!(
            answers
                .take(at::DISCONNECT, "250 V AC", &unseen)
                .unwrap()
                .is_some_and(|said| said.contains("no dc"))
        );
        assert_eq!(pairs(&taken(at::DISCONNECT, "250 V AC")), [("max_v_ac", "250")]);
        assert_eq!(answers.take(at::DISCONNECT, "60", &unseen).unwrap(), None, "nothing more than was typed");
        assert_eq!(pairs(&taken(at::DISCONNECT, "48 V")), [("max_v", "48")]);
        let said = answers.take(at::DISCONNECT, "60 V DC 25 A", &unseen).unwrap();
        assert_eq!(said.as_deref(), Some("taken as 60 V and 25 A"));
        assert_eq!(pairs(&taken(at::DISCONNECT, "60 V DC 25 A")), [("max_v", "60"), ("rated_a", "25")]);
        let said = answers.take(at::DISCONNECT, "250 V AC 16 A", &unseen).unwrap();
        assert!(said.is_some_and(|said| said.contains("no dc rating")));
        assert_eq!(pairs(&taken(at::DISCONNECT, "250 V AC 16 A"))[0], ("max_v_ac", "250"));
        for typed in ["60 V, 20 A", "60 V DC 20 A", "20 A 60 V"] {
            let said = answers.take(at::CONTROLLER, typed, &unseen).unwrap().unwrap();
            assert!(
                said.contains("60 V from the panels") && said.contains("20 A into the battery"),
                "{said}"
            );
            assert_eq!(pairs(&taken(at::CONTROLLER, typed)), [("max_v", "60"), ("max_charge_a", "20")]);
        }
        for typed in ["glued", "Glued flat", "glued down to the roof"] {
            let said = answers.take(at::MOUNT, typed, &unseen).unwrap();
            assert!(said.is_some_and(|said| said.starts_with("taken as roof")), "{typed}");
            assert_eq!(pairs(&taken(at::MOUNT, typed)), [("mount", "\"roof\"")]);
        }
        let mut poles = Answers::default();
        let said = poles.take(at::DISCONNECT, "60 V DC 25 A per pole, two poles", &unseen).unwrap().unwrap();
        assert!(said.contains("60 V for one pole, with one pole in series, 25 A, and 2 poles"), "{said}");
        assert_eq!(poles.otherwise(at::CONDUCTORS), "2");
        poles.take(at::CONDUCTORS, "", &unseen).unwrap();
        assert_eq!(poles.key(&[at::CONDUCTORS, at::DISCONNECT], "poles_opened"), Some("2"));
        // who knows better is believed
        poles.take(at::CONDUCTORS, "1", &unseen).unwrap();
        assert_eq!(poles.key(&[at::CONDUCTORS, at::DISCONNECT], "poles_opened"), Some("1"));
        // from a pipe the amps have their line all the same
        assert!(
            answers.take(at::DISCONNECT_AMPS, "", &unseen).is_ok()
                && answers.take(at::DISCONNECT_AMPS, "16", &unseen).is_ok()
        );
        assert!(answers.take(at::DISCONNECT_AMPS, "32", &unseen).is_err());
    }

    #[test]
    fn a_battery_is_understood_as_people_call_it() {
        for (typed, kind) in [
            ("lfp 12", "\"lfp\""),
            ("12 V LiFePO4", "\"lfp\""),
            ("12V, AGM", "\"agm\""),
            ("GEL 12", "\"gel\""),
        ] {
            assert_eq!(
                pairs(&taken(at::BATTERY, typed)),
                [("chemistry", kind), ("nominal_v", "12")],
                "{typed}"
            );
        }
    }

    #[test]
    fn a_lithium_battery_is_taken_as_the_usual_kind_and_it_is_said() {
        let mut answers = Answers::default();
        for typed in ["lithium 12", "12 V lithium", "Li 24"] {
            let said = answers.take(at::BATTERY, typed, &unseen).unwrap().unwrap_or_default();
            assert!(said.contains("taken as lfp") && said.contains("nmc"), "{typed}: {said}");
            assert_eq!(pairs(&taken(at::BATTERY, typed))[0], ("chemistry", "\"lfp\""));
        }
        assert_eq!(answers.take(at::BATTERY, "lfp 12", &unseen).unwrap(), None);
    }

    #[test]
    fn conductors_are_understood_in_words() {
        let mut answers = Answers::default();
        for (typed, count) in
            [("both", "2"), ("two", "2"), ("two poles", "2"), ("2 poles", "2"), ("One conductor", "1")]
        {
            let said = answers.take(at::CONDUCTORS, typed, &unseen).unwrap().unwrap_or_default();
            assert!(said.starts_with(&format!("taken as {count};")), "{typed}: {said}");
            assert_eq!(pairs(&taken(at::CONDUCTORS, typed)), [("poles_opened", count)], "{typed}");
        }
        assert_eq!(answers.take(at::CONDUCTORS, "2", &unseen).unwrap(), None);
    }

    #[test]
    fn what_is_not_known_may_be_said() {
        for typed in ["none", "Unknown", "-", "?", " "] {
            for index in [at::COEFFICIENT, at::DISCONNECT, at::WEATHER, at::BATTERY] {
                assert_eq!(taken(index, typed), [], "{typed}");
            }
        }
        // a plan may be called so, and an answer with a default is never left out
        assert_eq!(pairs(&taken(at::TITLE, "None")), [("title", "\"None\"")]);
        assert!(Answers::default().take(at::VOC, "none", &unseen).is_err());
    }

    #[test]
    fn a_path_that_was_dragged_into_the_terminal_loses_its_quotes() {
        assert_eq!(
            pairs(&taken(at::WEATHER, r"'C:\my files\*.csv'")),
            [("weather", "\"C:/my files/*.csv\"")]
        );
    }

    #[test]
    fn questions_about_a_device_that_is_not_there_make_no_sense() {
        let mut answers = Answers::default();
        let sensible = |answers: &Answers| (0..QUESTIONS.len()).filter(|&i| answers.makes_sense(i)).count();
        assert_eq!(sensible(&answers), QUESTIONS.len(), "nothing is known yet");
        for index in 0..=at::CONTROLLER {
            answers.take(index, "", &unseen).unwrap();
        }
        assert_eq!(sensible(&answers), QUESTIONS.len() - 3);
        for index in [at::DISCONNECT_AMPS, at::CONDUCTORS, at::CONTROLLER_ISC] {
            assert!(!answers.makes_sense(index));
        }
        answers.take(at::DISCONNECT, "60", &unseen).unwrap();
        assert!(answers.makes_sense(at::CONDUCTORS) && !answers.makes_sense(at::CONTROLLER_ISC));
    }

    #[test]
    fn every_question_fits_a_terminal_and_its_key() {
        for question in &QUESTIONS {
            assert!(question.table.key(question.key).is_some(), "{}", question.ask);
            let room = |text: &str, around: usize| text.chars().count() + around <= 80;
            // less than seven signs stand before a question and before a line of its help, a bracket behind the last
            assert!(room(question.ask, 7), "{}", question.ask);
            assert!(question.help.lines().all(|line| room(line, 7)), "{}", question.help);
            assert!(question.help.lines().last().is_some_and(|line| room(line, 8)), "{}", question.help);
        }
    }
}
