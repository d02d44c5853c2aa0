//! The questions about each stop: its weather, its place where the file does not say it, its days.

use super::answers::{Answers, NOT_KNOWN, Refusal, literal, without_quotes};
use super::asked::{QUESTIONS, Question, at};
use super::days::{self, Days};
use super::keys::STOP;
use super::stop_place::{Clock, HEIGHT, PLACE_AND_CLOCK, clock_behind, coordinates};
use crate::time::{LocalDay, MonthDay};
use crate::trip::Window;
use crate::weather::DescribedTable;

/// Stops that are asked for. Chosen so that an endless answer ends; a plan may hold more.
const MOST_STOPS: usize = 50;
/// Questions a stop.
const EACH: usize = PARTS.len();

/// What is asked about a stop, in the order of the questions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Weather,
    Place,
    Position,
    Arrive,
    Leave,
}

const PARTS: [Part; 5] = [Part::Weather, Part::Place, Part::Position, Part::Arrive, Part::Leave];

/// What a look into the named weather files found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seen {
    /// The files as the plan names them.
    pub weather: String,
    /// The place that they name.
    pub name: Option<String>,
    /// Whether they hold latitude and longitude.
    pub has_coordinates: bool,
    /// Whether they say how high the station lies.
    pub has_height: bool,
    /// The first and the last day that they hold.
    pub span: Option<(LocalDay, LocalDay)>,
    /// What they hold, in lines.
    pub said: String,
    /// How they are read, where they are a table of no known format.
    pub table: Option<DescribedTable>,
}

impl Seen {
    /// Whether nobody but the reader knows which clock the stamps keep.
    fn lacks_clock(&self) -> bool {
        self.table.as_ref().is_some_and(|table| table.open_clock.is_some())
    }
}

/// Looks into weather files by their name as typed; an error says what was found and how to go on.
pub type Look<'a> = dyn Fn(&str) -> Result<Seen, String> + 'a;

/// A stop as it was answered; values as the plan writes them.
#[derive(Debug)]
pub(super) struct AnsweredStop {
    /// `None` for the invented file.
    pub weather: Option<String>,
    pub place: String,
    /// What the look found.
    pub seen: Seen,
    pub latitude: Option<String>,
    pub longitude: Option<String>,
    pub station_height: Option<String>,
    /// The clock of the place, where it was told or the table's light tells it.
    pub utc_offset: Option<String>,
    /// The zone of the stamps, where it was told and is not that clock.
    pub stamps: Option<String>,
    pub arrive: Option<String>,
    pub leave: Option<String>,
}

static STOP_QUESTIONS: [Question; EACH] = [
    Question {
        ask: "Weather file or folder of another stop?",
        help: "the next place of the trip; an empty line where there is none",
        otherwise: "",
        table: &STOP,
        key: "weather",
        follows: None,
    },
    Question {
        ask: "Name of this place, which its weather file does not say?",
        help: "as the report shall call it",
        otherwise: "",
        table: &STOP,
        key: "place",
        follows: None,
    },
    Question {
        ask: "Where is the weather station, which its file does not say?",
        help: "latitude, longitude, metres above the sea, such as 46.1, -110.2, 1450;\n\
               any map shows them; south and west are negative; the height alone\n\
               where only that is missing",
        otherwise: "",
        table: &STOP,
        key: "latitude_deg",
        follows: None,
    },
    Question {
        ask: "First day there, or first and last day?",
        help: "such as 12-20 (month-day), 20 Dec, or Dec 20 to Jan 15; an empty line:\n\
               the whole year counts",
        otherwise: "",
        table: &STOP,
        key: "arrive",
        follows: None,
    },
    Question {
        ask: "Last day there?",
        help: "likewise; the day itself still counts",
        otherwise: "",
        table: &STOP,
        key: "leave",
        follows: None,
    },
];

/// All questions in the order in which a pipe answers them, numbered, one a line: those of the first stop, and the one for
/// another, after which the last five come again.
#[must_use]
pub fn piped_answers() -> String {
    let [another, of_a_stop @ ..] = &STOP_QUESTIONS;
    let all = QUESTIONS.iter().chain(of_a_stop).chain([another]);
    all.enumerate().map(|(index, question)| format!("{:>4}  {}\n", index + 1, question.ask)).collect()
}

/// Which stop, and what of it, question `index` asks for.
pub(super) fn part_of(index: usize) -> Option<(usize, Part)> {
    if index == at::WEATHER {
        return Some((0, Part::Weather));
    }
    // the weather of the first stop stands among the others
    let behind = index.checked_sub(QUESTIONS.len())? + 1;
    Some((behind / EACH, PARTS[behind % EACH]))
}

/// Where that is asked.
pub(super) fn index_of(stop: usize, part: Part) -> usize {
    match (stop, part) {
        (0, Part::Weather) => at::WEATHER,
        _ => QUESTIONS.len() + stop * EACH + part as usize - 1,
    }
}

impl Answers {
    /// Question `index`; of the stops behind the first each has its own.
    #[must_use]
    pub fn question(&self, index: usize) -> Option<&'static Question> {
        match part_of(index) {
            _ if index >= self.count() => None,
            Some((stop, Part::Position)) if self.lacks_clock(stop) => Some(&PLACE_AND_CLOCK),
            Some((stop, Part::Position)) if self.has_coordinates(stop) => Some(&HEIGHT),
            Some((_, part)) if index >= QUESTIONS.len() => Some(&STOP_QUESTIONS[part as usize]),
            _ => QUESTIONS.get(index),
        }
    }

    /// How many questions there are after the answers so far: the last asks for another stop.
    #[must_use]
    pub fn count(&self) -> usize {
        match self.stop_count() {
            MOST_STOPS.. => index_of(MOST_STOPS, Part::Weather),
            stops => index_of(stops, Part::Weather) + 1,
        }
    }

    /// Stops so far; the first is there, with invented weather where none was named.
    fn stop_count(&self) -> usize {
        (1..MOST_STOPS).take_while(|&stop| self.given(index_of(stop, Part::Weather)).is_some()).count() + 1
    }

    /// What an empty line takes.
    #[must_use]
    pub fn otherwise(&self, index: usize) -> String {
        match part_of(index) {
            Some((0, Part::Weather)) => "an invented file, to try things out".to_owned(),
            Some((_, Part::Weather)) => "no more stops".to_owned(),
            Some((stop, Part::Place)) => self.default_place(stop),
            Some((_, Part::Position)) => "none".to_owned(),
            Some((_, Part::Arrive)) => "the whole year".to_owned(),
            Some((stop, Part::Leave)) => {
                if self.first_day(stop).is_some() {
                    String::new()
                } else {
                    "none".to_owned()
                }
            }
            None => {
                // what its plate says already
                let known = match index {
                    at::CONDUCTORS => self.key(&[at::DISCONNECT], "poles_opened"),
                    at::DISCONNECT_AMPS => self.key(&[at::DISCONNECT], "rated_a"),
                    _ => None,
                };
                known.or(QUESTIONS.get(index).map(Question::taken_otherwise)).unwrap_or_default().to_owned()
            }
        }
    }

    fn default_place(&self, stop: usize) -> String {
        let name = self.seen.get(&stop).and_then(|seen| seen.name.clone());
        let name = name.unwrap_or_else(|| match stop {
            0 => "First stop".to_owned(),
            _ => format!("Stop {}", stop + 1),
        });
        let is_taken = (0..stop).any(|before| self.place(before) == name);
        if is_taken { format!("{name}, stop {}", stop + 1) } else { name }
    }

    /// The name of a stop.
    pub(super) fn place(&self, stop: usize) -> String {
        match self.given(index_of(stop, Part::Place)) {
            Some(value) => {
                value.parse::<toml::Value>().ok().and_then(|value| value.as_str().map(str::to_owned))
            }
            None => None,
        }
        .unwrap_or_else(|| self.default_place(stop))
    }

    /// Whether what is asked of a stop makes sense after the answers so far.
    pub(super) fn part_makes_sense(&self, stop: usize, part: Part) -> bool {
        let seen = self.seen.get(&stop);
        match part {
            Part::Weather | Part::Arrive => true,
            Part::Place => seen.is_some_and(|seen| seen.name.is_none()),
            Part::Position => {
                seen.is_some_and(|seen| !(seen.has_coordinates && seen.has_height) || seen.lacks_clock())
            }
            Part::Leave => {
                self.first_day(stop).is_some() && self.key(&[index_of(stop, Part::Arrive)], "leave").is_none()
            }
        }
    }

    fn lacks_clock(&self, stop: usize) -> bool {
        self.seen.get(&stop).is_some_and(Seen::lacks_clock)
    }

    fn has_coordinates(&self, stop: usize) -> bool {
        self.seen.get(&stop).is_some_and(|seen| seen.has_coordinates)
    }

    /// The first day as the plan writes it.
    fn first_day(&self, stop: usize) -> Option<&str> {
        self.given(index_of(stop, Part::Arrive))
    }

    /// Takes what was typed about a stop.
    pub(super) fn take_of_stop(
        &mut self,
        (stop, part): (usize, Part),
        typed: &str,
        look: &Look<'_>,
    ) -> Result<Option<String>, Refusal> {
        let index = index_of(stop, part);
        let is_open = typed.is_empty() || NOT_KNOWN.iter().any(|word| word.eq_ignore_ascii_case(typed));
        let answer = match part {
            Part::Leave if is_open && self.part_makes_sense(stop, part) => {
                return Err(Refusal::from(format!(
                    "expected the last day there too, since the first is given: {}; without dates the first is \"none\"",
                    self.first_day(stop).unwrap_or_default()
                )));
            }
            _ if is_open => None,
            Part::Place | Part::Position if !self.seen.contains_key(&stop) => {
                return Err(Refusal::from(
                    "expected an empty line: without a weather file the place is invented too".to_owned(),
                ));
            }
            Part::Leave if !self.part_makes_sense(stop, part) => {
                return Err(Refusal::from(
                    "expected an empty line: no first day waits for a last one".to_owned(),
                ));
            }
            Part::Weather => return self.take_weather(stop, typed, look).map(Some),
            Part::Place => Some(vec![("place", literal(typed))]),
            Part::Position => Some(self.position(stop, typed)?),
            Part::Arrive => Some(match days::read(typed)? {
                Days::One(day) => vec![("arrive", written(day))],
                Days::Stay(stay) => vec![("arrive", written(stay.arrive)), ("leave", written(stay.leave))],
            }),
            Part::Leave => match days::read(typed)? {
                Days::One(day) => Some(vec![("leave", written(day))]),
                Days::Stay(_) => {
                    return Err(Refusal::from("expected one day, the last one there".to_owned()));
                }
            },
        };
        let before = self.clone();
        self.put(index, answer);
        if let Some(refusal) = self.outside_record(stop) {
            *self = before;
            return Err(refusal);
        }
        if part == Part::Weather {
            self.seen.remove(&stop);
        }
        let is_whole = part == Part::Arrive && !self.part_makes_sense(stop, Part::Leave);
        if is_whole {
            self.put(index_of(stop, Part::Leave), None);
        }
        Ok(self.understood_of_stop(stop, part, typed))
    }

    fn take_weather(&mut self, stop: usize, typed: &str, look: &Look<'_>) -> Result<String, Refusal> {
        if typed.starts_with('~') {
            return Err(Refusal::from("expected the whole path: a plan does not know ~".to_owned()));
        }
        let seen = look(&without_quotes(typed).replace('\\', "/")).map_err(Refusal::from)?;
        self.put(index_of(stop, Part::Weather), Some(vec![("weather", literal(&seen.weather))]));
        let said = seen.said.clone();
        if self.seen.insert(stop, seen.clone()).is_some_and(|before| before != seen) {
            // what was said of another file's place
            self.put(index_of(stop, Part::Place), None);
            self.put(index_of(stop, Part::Position), None);
        }
        Ok(said)
    }

    /// Latitude, longitude and height, as far as the file lacks them; of a table also the clock of its stamps.
    fn position(&self, stop: usize, typed: &str) -> Result<Vec<(&'static str, String)>, Refusal> {
        let has_coordinates = self.has_coordinates(stop);
        let lacks_clock = self.lacks_clock(stop);
        let expected = || {
            let place = match has_coordinates {
                true => "the height of the station in metres, such as 1450",
                false => "latitude and longitude, and the height where known, such as 46.1, -110.2, 1450",
            };
            let clock = match lacks_clock {
                true => ", and behind them UTC or the clock there, such as -07:00",
                false => "",
            };
            Refusal::from(format!("expected {place}{clock}"))
        };
        let (typed, clock) = if lacks_clock { clock_behind(typed) } else { (typed, None) };
        let numbers = match coordinates(typed) {
            None if typed.is_empty() && clock.is_some() => Vec::new(),
            numbers => numbers.ok_or_else(expected)?,
        };
        let keys: &[&'static str] = match (numbers.len(), has_coordinates) {
            (0, _) => &[],
            (1, true) => &["station_elevation_m"],
            (2 | 3, _) => &["latitude_deg", "longitude_deg", "station_elevation_m"],
            _ => return Err(expected()),
        };
        for (key, number) in keys.iter().zip(&numbers) {
            if let Some(super::keys::Holds::Number { of, min, max }) = STOP.key(key).map(|key| key.holds)
                && !(min..=max).contains(number)
            {
                return Err(Refusal::from(format!(
                    "expected a number {of} from {min} to {max}, found {number}"
                )));
            }
        }
        let clock = clock.map(|clock| match clock {
            Clock::Utc => (STAMPS, literal("+00:00")),
            Clock::There(offset) => ("utc_offset", literal(&offset.to_string())),
        });
        Ok(keys.iter().zip(&numbers).map(|(key, number)| (*key, number.to_string())).chain(clock).collect())
    }

    fn understood_of_stop(&self, stop: usize, part: Part, typed: &str) -> Option<String> {
        match part {
            Part::Position => {
                let value = |key| self.key(&[index_of(stop, Part::Position)], key);
                let place = [
                    ("latitude ", value("latitude_deg"), ""),
                    ("longitude ", value("longitude_deg"), ""),
                    ("", value("station_elevation_m"), " m"),
                    ("stamps in UTC", value(STAMPS).map(|_| ""), ""),
                    ("stamps by the clock ", value("utc_offset").map(without_quotes), ""),
                ];
                let told: Vec<String> = place
                    .into_iter()
                    .filter_map(|(before, value, unit)| value.map(|value| format!("{before}{value}{unit}")))
                    .collect();
                (told.len() > 1 || value(STAMPS).or(value("utc_offset")).is_some())
                    .then(|| format!("taken as {}", told.join(", ")))
            }
            Part::Arrive | Part::Leave => match self.stay(stop) {
                Some(stay) => Some(format!(
                    "taken as {} to {}, {} days, in every year of the record",
                    days::said(stay.arrive),
                    days::said(stay.leave),
                    days::length(stay)
                )),
                None => {
                    let first = self.first_day(stop).and_then(day_of)?;
                    (!typed.is_empty()).then(|| format!("taken as {}", days::said(first)))
                }
            },
            _ => None,
        }
    }

    /// Why these days cannot be asked of that record: a plan with them would not run.
    fn outside_record(&self, stop: usize) -> Option<Refusal> {
        let (first, last) = self.seen.get(&stop)?.span.filter(|(first, last)| first <= last)?;
        let stay = self.stay(stop)?;
        let is_there = (first.0..=last.0).take(366).any(|day| stay.holds(LocalDay(day).month_day()));
        (!is_there).then(|| {
            Refusal::from(format!(
                "no hour of the weather lies in these days: the files hold {first} to {last} alone"
            ))
        })
    }

    /// The days of a stop, where both are known.
    fn stay(&self, stop: usize) -> Option<Window> {
        let asked = [index_of(stop, Part::Arrive), index_of(stop, Part::Leave)];
        Some(Window {
            arrive: self.key(&asked, "arrive").and_then(day_of)?,
            leave: self.key(&asked, "leave").and_then(day_of)?,
        })
    }

    /// What may be a slip in what was just said of a stop.
    pub(super) fn doubt_of_stop(&self, stop: usize, part: Part) -> Option<String> {
        if part == Part::Position {
            let has = |key, known| known || self.key(&[index_of(stop, part)], key).is_some();
            let seen = self.seen.get(&stop)?;
            let lacks_clock = seen.lacks_clock() && !has(STAMPS, false) && !has("utc_offset", false);
            return match (
                has("latitude_deg", seen.has_coordinates),
                has("station_elevation_m", seen.has_height),
            ) {
                (true, _) if lacks_clock => Some(
                    "without the clock of its stamps the plan does not run yet: UTC, or one such as -07:00.\n\
                     Type all again with it, or the same again to leave it open."
                        .to_owned(),
                ),
                (true, true) => None,
                (false, _) => Some(
                    "without latitude and longitude the plan does not run yet: any map shows them.\n\
                     Type them, or the same again to leave them open."
                        .to_owned(),
                ),
                (true, false) => Some(
                    "without a height the station counts as lying at sea level.\n\
                     Type it too, or the same again to leave it open."
                        .to_owned(),
                ),
            };
        }
        let stay = self.stay(stop).filter(|_| matches!(part, Part::Arrive | Part::Leave))?;
        let length = days::length(stay);
        if usize::try_from(length).is_ok_and(|length| length > super::LONG_STAY_DAYS) {
            return Some(format!(
                "{} to {} is a stay of {length} days: are first and last day swapped?\nType it again to keep it.",
                days::said(stay.arrive),
                days::said(stay.leave)
            ));
        }
        (0..stop).find_map(|other| {
            let theirs = self.stay(other)?;
            let (first, last) = stay.days_from(2001)?;
            let shared = (first.0..=last.0).filter(|&day| theirs.holds(LocalDay(day).month_day())).count();
            (shared > 1).then(|| {
                format!(
                    "these days and those of {} share {shared}, and a vehicle stands at one place.\n\
                     Type it again to keep it.",
                    self.place(other)
                )
            })
        })
    }

    /// The stops as answered.
    pub(super) fn stops(&self) -> Vec<AnsweredStop> {
        (0..self.stop_count())
            .map(|stop| {
                let asked = PARTS.map(|part| index_of(stop, part));
                let value = |key| self.key(&asked, key).map(str::to_owned);
                let seen = self.seen.get(&stop).cloned().unwrap_or_default();
                let (own_place, own_clock) =
                    seen.table.as_ref().map_or((None, None), |table| (table.place, table.own_clock.clone()));
                AnsweredStop {
                    weather: value("weather"),
                    place: self.place(stop),
                    seen,
                    latitude: value("latitude_deg").or(own_place.map(|(latitude, _)| latitude.to_string())),
                    longitude: value("longitude_deg")
                        .or(own_place.map(|(_, longitude)| longitude.to_string())),
                    station_height: value("station_elevation_m"),
                    utc_offset: value("utc_offset").or(own_clock),
                    stamps: value(STAMPS),
                    arrive: value("arrive"),
                    leave: value("leave"),
                }
            })
            .collect()
    }

    /// Stops whose latitude and longitude are not known: such a plan does not run yet.
    #[must_use]
    pub fn without_coordinates(&self) -> Vec<String> {
        self.places(|stop| {
            stop.weather.is_some()
                && !stop.seen.has_coordinates
                && (stop.latitude.is_none() || stop.longitude.is_none())
        })
    }

    /// Stops with a table whose stamps keep an unknown clock: such a plan does not run yet.
    #[must_use]
    pub fn without_clock(&self) -> Vec<String> {
        self.places(|stop| stop.seen.lacks_clock() && stop.stamps.is_none() && stop.utc_offset.is_none())
    }

    /// Stops with a table whose description holds guesses.
    #[must_use]
    pub fn with_guesses(&self) -> Vec<String> {
        let is_guessed = |table: &DescribedTable| table.columns.contains("# ?");
        self.places(|stop| stop.seen.table.as_ref().is_some_and(is_guessed))
    }

    fn places(&self, of: impl Fn(&AnsweredStop) -> bool) -> Vec<String> {
        self.stops().into_iter().filter(of).map(|stop| stop.place).collect()
    }
}

/// The answer that holds the zone of a table's stamps, where that is not the clock of the place. The plan writes it among
/// the columns.
const STAMPS: &str = "stamps";

fn written(day: MonthDay) -> String {
    literal(&day.to_string())
}

/// The day of a value that [`written`] wrote.
fn day_of(value: &str) -> Option<MonthDay> {
    let (month, day) = value.trim_matches(['"', '\'']).split_once('-')?;
    Some(MonthDay { month: month.parse().ok()?, day: day.parse().ok()? })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Files that carry no place, those of an airport, and none of that name; "flat" ones lack the height alone.
    fn look(typed: &str) -> Result<Seen, String> {
        let named = typed.contains("airport");
        if !typed.contains('.') {
            return Err(format!("there is no {typed}"));
        }
        Ok(Seen {
            weather: typed.to_owned(),
            name: named.then(|| "Airport".to_owned()),
            has_coordinates: named || typed.contains("flat"),
            has_height: named,
            span: named.then(|| {
                (LocalDay::from_civil(2031, 12, 1).unwrap(), LocalDay::from_civil(2032, 1, 31).unwrap())
            }),
            said: "ten winters".to_owned(),
            table: None,
        })
    }

    fn told(pairs: &[(usize, Part, &str)]) -> Answers {
        let mut answers = Answers::default();
        for &(stop, part, typed) in pairs {
            answers
                .take(index_of(stop, part), typed, &look)
                .unwrap_or_else(|error| panic!("{typed}: {error}"));
        }
        answers
    }

    #[test]
    fn each_question_has_its_own_place() {
        assert_eq!(index_of(0, Part::Weather), at::WEATHER);
        assert_eq!(index_of(0, Part::Place), QUESTIONS.len());
        for stop in 0..4 {
            for part in PARTS {
                assert_eq!(part_of(index_of(stop, part)), Some((stop, part)));
            }
        }
        assert_eq!(Answers::default().count(), QUESTIONS.len() + 5);
    }

    #[test]
    fn the_list_is_the_order_of_a_pipe() {
        let answers = Answers::default();
        let listed: Vec<String> = (0..answers.count())
            .map(|index| format!("{:>4}  {}", index + 1, answers.question(index).unwrap().ask))
            .collect();
        assert_eq!(piped_answers().lines().collect::<Vec<_>>(), listed);
        assert!(listed.iter().all(|line| line.chars().count() <= 80), "{listed:#?}");
    }

    #[test]
    fn another_stop_is_asked_until_none_is_named() {
        let mut answers = told(&[(0, Part::Weather, "airport.csv"), (1, Part::Weather, "hills.csv")]);
        assert_eq!(answers.count(), QUESTIONS.len() + 10);
        assert!(!answers.part_makes_sense(0, Part::Place) && answers.part_makes_sense(1, Part::Place));
        let places: Vec<String> = answers.stops().into_iter().map(|stop| stop.place).collect();
        assert_eq!(places, ["Airport", "Stop 2"]);
        assert_eq!(answers.without_coordinates(), ["Stop 2"]);
        answers.take(index_of(2, Part::Weather), "airport.csv", &look).unwrap();
        assert_eq!(answers.place(2), "Airport, stop 3");
        assert!(answers.take(index_of(3, Part::Weather), "O'Hare", &look).is_err());
    }

    #[test]
    fn a_place_is_understood_as_maps_write_it() {
        for typed in [
            "41.995, -87.934, 205",
            "41.995 N, 87.934 W, 205 m",
            "41,995; -87,934; 205",
            "41.995,-87.934,205",
            "41.995N 87.934W 673 ft",
            "41.995,-87.934, 205",
        ] {
            let answers = told(&[(0, Part::Weather, "a.csv"), (0, Part::Position, typed)]);
            let stop = &answers.stops()[0];
            assert_eq!(stop.latitude.as_deref(), Some("41.995"), "{typed}");
            assert_eq!(stop.longitude.as_deref(), Some("-87.934"), "{typed}");
            assert_eq!(stop.station_height.as_deref(), Some("205"), "{typed}");
        }
        let mut answers = told(&[(0, Part::Weather, "a.csv")]);
        for typed in ["205", "north", "141.995, 87", "41, 87, 205, 3", "41, 87, 20500"] {
            assert!(answers.take(index_of(0, Part::Position), typed, &look).is_err(), "{typed}");
        }
    }

    #[test]
    fn of_a_file_that_lacks_the_height_alone_the_height_is_asked() {
        for typed in ["205", "205 m", "41.995,-87.934, 205"] {
            let answers = told(&[(0, Part::Weather, "flat.csv"), (0, Part::Position, typed)]);
            assert!(answers.question(index_of(0, Part::Position)).unwrap().ask.starts_with("How high"));
            assert_eq!(answers.stops()[0].station_height.as_deref(), Some("205"), "{typed}");
        }
    }

    #[test]
    fn days_are_a_pair_or_none() {
        let both = told(&[(0, Part::Arrive, "20 Dec to Jan 15")]);
        assert!(!both.part_makes_sense(0, Part::Leave));
        let (arrive, leave) = (both.stops()[0].arrive.clone(), both.stops()[0].leave.clone());
        assert_eq!((arrive.as_deref(), leave.as_deref()), (Some("\"12-20\""), Some("\"01-15\"")));
        let mut one = told(&[(0, Part::Arrive, "Dec 20")]);
        assert!(one.part_makes_sense(0, Part::Leave));
        let leave = index_of(0, Part::Leave);
        assert!(one.take(leave, "", &look).is_err());
        let said = one.take(leave, "15 Jan", &look).unwrap().unwrap();
        assert!(said.contains("20 December to 15 January, 27 days"), "{said}");
        // another first and last day takes the old last day away
        one.take(index_of(0, Part::Arrive), "none", &look).unwrap();
        assert_eq!(one.stops()[0].leave, None);
        assert!(one.take(leave, "15 Jan", &look).is_err());
    }

    /// Files of two months, December and January.
    #[test]
    fn days_that_the_files_do_not_hold_are_refused() {
        let mut answers = told(&[(0, Part::Weather, "airport.csv")]);
        let arrive = index_of(0, Part::Arrive);
        let said = answers.take(arrive, "2 Feb to 8 Feb", &look).unwrap_err().to_string();
        assert!(said.contains("the files hold 2031-12-01 to 2032-01-31 alone"), "{said}");
        assert_eq!(answers.stops()[0].arrive, None);
        assert!(answers.take(arrive, "31 Jan to 8 Feb", &look).is_ok());
    }

    #[test]
    fn doubtful_days_and_an_open_place_are_told() {
        let swapped = told(&[(0, Part::Arrive, "01-15 to 12-20")]);
        assert!(swapped.doubt_of_stop(0, Part::Arrive).unwrap().contains("a stay of 340 days"));
        let twice = told(&[
            (0, Part::Weather, "airport.csv"),
            (0, Part::Arrive, "12-20 to 01-15"),
            (1, Part::Weather, "b.csv"),
            (1, Part::Arrive, "01-10 to 01-20"),
        ]);
        assert!(twice.doubt_of_stop(1, Part::Arrive).unwrap().contains("those of Airport share 6"));
        assert!(twice.doubt_of_stop(1, Part::Position).unwrap().contains("does not run yet"));
        assert_eq!(twice.doubt_of_stop(0, Part::Position), None);
    }
}
