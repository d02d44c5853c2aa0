//! A plan while it is being read: its text, and all that was found wrong so far.

use super::fault::{Fault, Position, nearest, quoted, told};
use super::given::{FromValue, Given, NumberOrWord, Wrong};
use super::keys::{Holds, Key, PLAN, Presence, Table};
use super::printed::Printed;
use std::ops::Range;

/// Faults kept, chosen because nobody mends more in one go, and a broken file may hold thousands.
pub(super) const MOST_FAULTS: usize = 200;

/// The text and its faults.
pub(super) struct Draft<'a> {
    text: &'a str,
    faults: Vec<(usize, Fault)>,
    too_much: bool,
    /// Keys that were told as the one meant by an unknown key, with the header of their table.
    meant: Vec<(Range<usize>, &'static str)>,
}

/// A table of the plan, for messages: which one, and where it begins.
#[derive(Clone, Debug)]
pub(super) struct Owner {
    /// Its description.
    pub table: &'static Table,
    /// As a message names it: `[[module]] "roof100"`.
    pub name: String,
    /// Its header.
    pub span: Range<usize>,
}

impl Owner {
    fn key(&self, name: &str) -> Option<&'static Key> {
        self.table.key(name)
    }

    /// How a message calls one of its keys.
    pub fn the(&self, key: &str) -> String {
        if std::ptr::eq(self.table, &raw const PLAN) {
            format!("`{key}`")
        } else {
            format!("`{key}` of {}", self.name)
        }
    }
}

impl<'a> Draft<'a> {
    pub fn new(text: &'a str) -> Self {
        Self { text, faults: Vec::new(), too_much: false, meant: Vec::new() }
    }

    /// Those bytes as they were typed.
    pub fn typed(&self, span: &Range<usize>) -> &'a str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    /// Adds a fault at those bytes.
    pub fn fault(&mut self, span: Range<usize>, message: impl Into<String>) {
        if self.faults.len() >= MOST_FAULTS {
            return;
        }
        let fault = Fault { at: Some(Position::of(self.text, &span)), message: told(&message.into()) };
        if !self.faults.iter().any(|(_, known)| *known == fault) {
            self.faults.push((span.start, fault));
        }
    }

    /// Adds a fault of the plan as a whole.
    pub fn lacking(&mut self, message: impl Into<String>) {
        self.faults.push((self.text.len(), Fault { at: None, message: told(&message.into()) }));
    }

    /// Adds a fault of the plan as a whole after which its values are not worth reading.
    pub fn refuse(&mut self, message: impl Into<String>) {
        self.too_much = true;
        self.lacking(message);
    }

    /// Whether the plan holds more than is read.
    pub fn too_much(&self) -> bool {
        self.too_much
    }

    /// Remembers that `key` is probably there under another name, so that it is not told as missing too.
    pub fn note_meant(&mut self, header: Range<usize>, key: &'static str) {
        self.meant.push((header, key));
    }

    /// Whether `key` is probably there under another name.
    pub fn meant(&self, header: Range<usize>, key: &str) -> bool {
        self.meant.iter().any(|(at, name)| *at == header && *name == key)
    }

    /// How many faults were found so far.
    pub fn count(&self) -> usize {
        self.faults.len()
    }

    /// The faults in the order of the file.
    pub fn into_faults(mut self) -> Vec<Fault> {
        self.faults.sort_by_key(|(at, _)| *at);
        self.faults.into_iter().map(|(_, fault)| fault).collect()
    }

    /// What a value reads as, with its place; a wrong one becomes a fault.
    pub fn read<T: FromValue>(
        &mut self,
        given: Option<Given<T>>,
        key: &str,
        owner: &Owner,
    ) -> Option<(T, Range<usize>)> {
        let Some(given) = given else {
            let is_missing =
                |known: &&Key| known.presence == Presence::Required && !self.meant(owner.span.clone(), key);
            if let Some(known) = owner.key(key).filter(is_missing) {
                self.fault(
                    owner.span.clone(),
                    format!(
                        "{} has no `{key}` ({}); expected {}; add a line like: {key} = {}",
                        owner.name,
                        known.help,
                        known.holds.expected(),
                        known.example
                    ),
                );
            }
            return None;
        };
        match given.read {
            Ok(value) => Some((value, given.span)),
            Err(wrong) => {
                self.wrong(given.span, &wrong, key, owner);
                None
            }
        }
    }

    fn wrong(&mut self, span: Range<usize>, wrong: &Wrong, key: &str, owner: &Owner) {
        let Some(known) = owner.key(key) else { return };
        let printed = Printed::read(self.typed(&span)).filter(|_| key == "max_v");
        let step = match (&wrong.meant, printed) {
            (Some(meant), _) => format!("did you mean: {key} = {meant}"),
            (None, Some(printed)) => printed.step(),
            (None, None) => format!("write for example: {key} = {}", known.example),
        };
        self.fault(
            span,
            format!("{}: found {}; expected {}; {step}", owner.the(key), wrong.found, known.holds.expected()),
        );
    }

    /// A number inside the key's range.
    pub fn number(&mut self, given: Option<Given<f64>>, key: &str, owner: &Owner) -> Option<f64> {
        let (value, span) = self.read(given, key, owner)?;
        self.in_range(value, span, key, owner)
    }

    fn in_range(&mut self, value: f64, span: Range<usize>, key: &str, owner: &Owner) -> Option<f64> {
        let known = owner.key(key)?;
        let (Holds::Number { of, min, max } | Holds::NumberOrWords { of, min, max, .. }) = known.holds else {
            return Some(value);
        };
        if (min..=max).contains(&value) {
            return Some(value);
        }
        self.fault(
            span,
            format!(
                "{}: found {value}; expected a number {of} from {min} to {max} ({}); check the number and its unit",
                owner.the(key),
                known.help
            ),
        );
        None
    }

    /// A whole number inside the key's range.
    pub fn count_of(&mut self, given: Option<Given<u32>>, key: &str, owner: &Owner) -> Option<u32> {
        let (value, span) = self.read(given, key, owner)?;
        let known = owner.key(key)?;
        let Holds::Count { min, max } = known.holds else { return Some(value) };
        if (min..=max).contains(&value) {
            return Some(value);
        }
        self.fault(
            span,
            format!(
                "{}: found {value}; expected a whole number from {min} to {max} ({}); check the number",
                owner.the(key),
                known.help
            ),
        );
        None
    }

    /// A value that needs no range.
    pub fn plain<T: FromValue>(&mut self, given: Option<Given<T>>, key: &str, owner: &Owner) -> Option<T> {
        self.read(given, key, owner).map(|(value, _)| value)
    }

    /// One of the key's words, as the key spells it.
    pub fn word(&mut self, given: Option<Given<String>>, key: &str, owner: &Owner) -> Option<&'static str> {
        let (value, span) = self.read(given, key, owner)?;
        let known = owner.key(key)?;
        let Holds::Words(words) = known.holds else { return None };
        self.one_of(&value, words, span, key, owner)
    }

    fn one_of(
        &mut self,
        value: &str,
        words: &'static [&'static str],
        span: Range<usize>,
        key: &str,
        owner: &Owner,
    ) -> Option<&'static str> {
        if let Some(word) = words.iter().find(|word| word.eq_ignore_ascii_case(value)) {
            return Some(word);
        }
        let expected = owner.key(key)?.holds.expected();
        let step = match meant(value, words) {
            Some(word) => format!("did you mean: {key} = \"{word}\""),
            None => format!("write for example: {key} = {}", owner.key(key)?.example),
        };
        self.fault(span, format!("{}: found {}; expected {expected}; {step}", owner.the(key), quoted(value)));
        None
    }

    /// A number inside the key's range (left), or one of its words (right).
    pub fn number_or_word(
        &mut self,
        given: Option<Given<NumberOrWord>>,
        key: &str,
        owner: &Owner,
    ) -> Option<Result<f64, &'static str>> {
        let (value, span) = self.read(given, key, owner)?;
        match value {
            NumberOrWord::Number(value) => self.in_range(value, span, key, owner).map(Ok),
            NumberOrWord::Word(word) => {
                let Holds::NumberOrWords { words, .. } = owner.key(key)?.holds else { return None };
                self.one_of(&word, words, span, key, owner).map(Err)
            }
        }
    }
}

/// The trade's other words for a plan's words.
const OTHER_WORDS: [(&str, &str); 30] = [
    ("celsius", "C"),
    ("fahrenheit", "F"),
    ("kelvin", "K"),
    ("lifepo4", "lfp"),
    ("lifepo", "lfp"),
    ("lithium", "lfp"),
    ("li-ion", "nmc"),
    ("lead", "flooded"),
    ("lead-acid", "flooded"),
    ("wet", "flooded"),
    ("monocrystalline", "mono"),
    ("perc", "mono"),
    ("topcon", "mono"),
    ("polycrystalline", "poly"),
    ("multicrystalline", "poly"),
    ("heterojunction", "hjt"),
    ("amorphous", "a-si"),
    ("isolator", "disconnect"),
    ("mcb", "breaker"),
    ("charger", "controller"),
    ("regulator", "controller"),
    ("wire", "cable"),
    ("plug", "connector"),
    ("flat", "roof"),
    ("glued", "roof"),
    ("ground", "frame"),
    ("folding", "frame"),
    ("%", "percent"),
    ("knots", "kn"),
    ("nec", "nec-2023"),
];

pub(super) fn meant(value: &str, words: &'static [&'static str]) -> Option<&'static str> {
    let value = value.to_lowercase();
    OTHER_WORDS
        .iter()
        .find(|(word, meant)| *word == value && words.contains(meant))
        .map(|(_, meant)| *meant)
        .or_else(|| nearest(&value, words.iter().copied()))
}
