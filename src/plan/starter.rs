//! The plan to start from, and the questions that fill it in.

use super::given::number_meant;
use super::keys::{COMPONENT, Holds, MODULE, PLAN, STOP, STRING, Table};
use crate::module::{Label, RawLabel};

/// The weather file that the starter plan names, seen from its folder. It is invented, and says so.
pub const STARTER_WEATHER: &str = "weather/invented-valley.csv.gz";
/// Where the starter plan's invented place lies: degrees north, degrees east, metres above the sea.
pub const STARTER_PLACE: (f64, f64, f64) = (46.0, -110.0, 1450.0);

/// One question of the guided start.
#[derive(Debug)]
pub struct Question {
    /// What is asked.
    pub ask: &'static str,
    /// Where the answer stands, or what it means.
    pub help: &'static str,
    /// The answer that an empty line stands for, as a person would type it; empty where that leaves the line out.
    pub otherwise: &'static str,
    table: &'static Table,
    key: &'static str,
}

/// The questions, in the order in which they are asked.
pub static QUESTIONS: [Question; 12] = [
    Question {
        ask: "What shall the plan be called?",
        help: "the title of the report",
        otherwise: "My van",
        table: &PLAN,
        key: "title",
    },
    Question {
        ask: "Open-circuit voltage (Voc) on a panel's label, in volts?",
        help: "on the back of the panel; about 22 for a \"12 V\" panel",
        otherwise: "22.5",
        table: &MODULE,
        key: "voc_v",
    },
    Question {
        ask: "Short-circuit current (Isc) on the same label, in amps?",
        help: "about 6 for a 100 W panel",
        otherwise: "5.8",
        table: &MODULE,
        key: "isc_a",
    },
    Question {
        ask: "Temperature coefficient of Voc, with its unit?",
        help: "often only in the data sheet, like -0.30 %/K; an empty line where it is not known: a stated bound is taken",
        otherwise: "",
        table: &MODULE,
        key: "voc_temp_coeff",
    },
    Question {
        ask: "How many panels in series, plus of one to minus of the next?",
        help: "their volts add up; 1 where all are in parallel",
        otherwise: "2",
        table: &STRING,
        key: "in_series",
    },
    Question {
        ask: "How many such strings in parallel?",
        help: "their amps add up",
        otherwise: "1",
        table: &STRING,
        key: "in_parallel",
    },
    Question {
        ask: "How are the panels mounted: roof, gap or frame?",
        help: "roof: close to the skin; gap: 20 to 50 mm of air behind; frame: open, folding, on the ground",
        otherwise: "roof",
        table: &STRING,
        key: "mount",
    },
    Question {
        ask: "DC volts printed on the disconnect, switch or breaker between panels and controller?",
        help: "an empty line where there is none yet: the report then says what is needed",
        otherwise: "",
        table: &COMPONENT,
        key: "max_v",
    },
    Question {
        ask: "Largest PV volts that the charge controller's manual allows?",
        help: "50, 75, 100, 150 or 250 are common; an empty line where there is none yet",
        otherwise: "",
        table: &COMPONENT,
        key: "max_v",
    },
    Question {
        ask: "Weather file, or files with * in the name?",
        help: "seen from the plan's folder; an empty line takes an invented file, to try things out",
        otherwise: "",
        table: &STOP,
        key: "weather",
    },
    // Behind the others, so that answers that are piped keep their places.
    Question {
        ask: "Voltage at maximum power (Vmp or Vmpp) on the panel's label, in volts?",
        help: "whether hot panels still charge the battery hangs on it; an empty line where it is not known",
        otherwise: "",
        table: &MODULE,
        key: "vmp_v",
    },
    Question {
        ask: "Current at maximum power (Imp or Impp) on the same label, in amps?",
        help: "watts over Vmp; an empty line where it is not known",
        otherwise: "",
        table: &MODULE,
        key: "imp_a",
    },
];

/// Places of the questions in [`QUESTIONS`].
mod at {
    pub const TITLE: usize = 0;
    pub const VOC: usize = 1;
    pub const ISC: usize = 2;
    pub const COEFFICIENT: usize = 3;
    pub const IN_SERIES: usize = 4;
    pub const IN_PARALLEL: usize = 5;
    pub const MOUNT: usize = 6;
    pub const DISCONNECT: usize = 7;
    pub const CONTROLLER: usize = 8;
    pub const WEATHER: usize = 9;
    pub const VMP: usize = 10;
    pub const IMP: usize = 11;
}

/// Answers so far, each as the plan writes it.
#[derive(Clone, Debug, Default)]
pub struct Answers {
    values: [Option<String>; QUESTIONS.len()],
}

impl Answers {
    /// Takes what was typed as the answer to question `index`; a decimal comma or a unit behind a number is
    /// understood.
    ///
    /// # Errors
    /// What is expected instead, for asking again.
    pub fn take(&mut self, index: usize, typed: &str) -> Result<(), String> {
        let Some(question) = QUESTIONS.get(index) else { return Ok(()) };
        let typed = typed.trim();
        let typed = if typed.is_empty() { question.otherwise } else { typed };
        self.values[index] = if typed.is_empty() { None } else { Some(self.answer(index, question, typed)?) };
        Ok(())
    }

    fn answer(&self, index: usize, question: &Question, typed: &str) -> Result<String, String> {
        let Some(key) = question.table.key(question.key) else { return Err("nothing fits here".to_owned()) };
        match key.holds {
            Holds::Number { of, min, max } => number_meant(typed)
                .filter(|number| (min..=max).contains(number))
                .map(|number| number.to_string())
                .ok_or_else(|| format!("expected a number {of} from {min} to {max}")),
            Holds::Count { min, max } => typed
                .parse::<u32>()
                .ok()
                .filter(|count| (min..=max).contains(count))
                .map(|count| count.to_string())
                .ok_or_else(|| format!("expected a whole number from {min} to {max}")),
            Holds::Words(words) => words
                .iter()
                .find(|word| word.eq_ignore_ascii_case(typed))
                .map(|word| literal(word))
                .ok_or_else(|| format!("expected {}", key.holds.expected())),
            Holds::Measured => self.coefficient(typed),
            _ if index == at::WEATHER => Ok(literal(&typed.replace('\\', "/"))),
            _ => Ok(literal(typed)),
        }
    }

    /// A coefficient is checked against the label that was typed before it.
    fn coefficient(&self, typed: &str) -> Result<String, String> {
        let number = |index: usize| {
            let typed = self.values[index].as_deref().unwrap_or(QUESTIONS[index].otherwise);
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

    fn value(&self, index: usize) -> String {
        let question = &QUESTIONS[index];
        self.values[index].clone().unwrap_or_else(|| {
            match question.table.key(question.key).map(|key| key.holds) {
                Some(Holds::Text | Holds::Words(_)) => literal(question.otherwise),
                _ => question.otherwise.to_owned(),
            }
        })
    }
}

/// A text as TOML writes it.
fn literal(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// The text of a plan to start from, with remarks that say what each line is and where it comes from. With no
/// answers it is the plan that runs as it is, on the invented weather file [`STARTER_WEATHER`].
#[must_use]
pub fn starter(answers: &Answers) -> String {
    let given = |name: &str, index: usize, remark| row(&format!("{name} = {}", answers.value(index)), remark);
    let maybe = |name: &str, index: usize, example: &str, remark| match &answers.values[index] {
        Some(number) => row(&format!("{name} = {number}"), remark),
        None => row(&format!("# {name} = {example}"), remark),
    };
    let coefficient = match &answers.values[at::COEFFICIENT] {
        Some(text) => {
            row(&format!("voc_temp_coeff = {text}"), "(1) temperature coefficient of Voc, with its unit")
        }
        None => {
            row("# voc_temp_coeff = \"-0.30 %/K\"", "(1) from the data sheet; else a steeper bound is taken")
        }
    };
    let parts = [
        HEAD.to_owned(),
        given("title", at::TITLE, "for the report"),
        row("# prepared_for = \"...\"", "who pays for it; these three stand in the report"),
        row("# prepared_by = \"...\"", "you"),
        row("# date = \"2031-11-02\"", "typed, never taken from a clock"),
        ABOUT_PANELS.to_owned(),
        row("id = \"panel\"", "a name of your own"),
        given("voc_v", at::VOC, "(1) open-circuit voltage, Voc"),
        given("isc_a", at::ISC, "(1) short-circuit current, Isc"),
        maybe(
            "vmp_v",
            at::VMP,
            "18.6",
            "(1) voltage at maximum power, Vmp: how many in series charge hangs on it",
        ),
        maybe("imp_a", at::IMP, "5.38", "(1) current at maximum power, Imp"),
        row("# cells_in_series = 36", "cells, as the label counts them"),
        coefficient,
        row("# max_series_fuse_a = 15", "largest series fuse"),
        row("# max_system_v = 600", "largest system voltage"),
        ABOUT_STRINGS.to_owned(),
        row("modules = \"panel\"", "the id above"),
        given("in_series", at::IN_SERIES, "(2) panels in series: their volts add up"),
        given("in_parallel", at::IN_PARALLEL, "(2) equal strings in parallel: their amps add up"),
        ABOUT_MOUNTS.to_owned(),
        given("mount", at::MOUNT, "(2) roof, gap or frame"),
        ABOUT_COMPONENTS.to_owned(),
        components(answers),
        ABOUT_BATTERY.to_owned(),
        ABOUT_STOPS.to_owned(),
        stop(&answers.values[at::WEATHER]),
    ];
    parts.concat()
}

/// A line with its remark in a column of its own.
fn row(line: &str, remark: &str) -> String {
    format!("{line:<28} # {remark}\n")
}

const HEAD: &str = "\
# A plan for dawnvolt: your panels, what their current meets, and the places where you will stand.
# Change first what is marked: (1) the panel's label, (2) how the panels are wired, (3) what is printed on your
# disconnect and controller, (4) the place and its weather files. What you do not know may stay a remark: what is
# taken instead is said in the answer. A line that begins with # is a remark; take the # away to use it.
# Then ask, in this folder:   dawnvolt assess plan.toml

";

const ABOUT_PANELS: &str = "
# The panel, from the label on its back or its data sheet. One [[module]] for each kind of panel.
[[module]]
";

const ABOUT_STRINGS: &str = "
# How the panels are wired. One [[string]] for each group of equal strings.
[[string]]
";

const ABOUT_MOUNTS: &str = "\
# mount says how much air cools the panels: \"roof\" is glued or screwed close to the skin (the hottest in the sun, the
# coldest after a clear night), \"gap\" has 20 to 50 mm of air behind, \"frame\" is open: folding, on the ground, on a rack.
";

const ABOUT_COMPONENTS: &str = "
# What the current meets. The volts are those printed for dc, for the way it is wired. What is not bought yet:
# delete its lines, and the answer says what is needed. Other kinds: breaker, switch, connector, cable, fuse.
";

const ABOUT_BATTERY: &str = "
# The battery, for the question whether hot panels still charge it.
# [battery]
# chemistry = \"lfp\"          # lfp, agm, gel, flooded or nmc
# nominal_v = 12
";

const ABOUT_STOPS: &str = "
# The places of the trip, one [[stop]] each. Weather files are public hourly records; many formats are known
# (dawnvolt weather FILE). With arrive and leave only these days count, in every year of the record; the code sum
# keeps to whole years.
[[stop]]
";

/// The disconnect and the controller; as remarks where someone was asked and has none.
fn components(answers: &Answers) -> String {
    let was_asked = answers.values[at::VOC].is_some();
    let disconnect = [
        row("kind = \"disconnect\"", "what isolates the panels"),
        row("max_v = 150", "(3) dc volts printed on it"),
        row("rated_a = 40", "(3) amps printed on it"),
        row("poles_opened = 2", "conductors that it opens at once"),
    ];
    let controller = [
        row("kind = \"controller\"", "what charges the battery"),
        row("max_v = 100", "(3) the absolute limit in its manual"),
        row("# max_isc_a = 35", "(3) largest PV short-circuit amps, in its manual"),
        row("# max_charge_a = 30", "amps into the battery: a loss above it, no danger"),
    ];
    let mut text = String::new();
    for (index, lines) in [(at::DISCONNECT, &disconnect[..]), (at::CONTROLLER, &controller[..])] {
        let volts = answers.values[index].as_deref();
        for line in std::iter::once("[[component]]\n").chain(lines.iter().map(String::as_str)) {
            // of what was asked, only what was answered stands; the rest waits as a remark
            let is_answered = line.starts_with('#')
                || match volts {
                    Some(_) => !line.starts_with("rated_a") && !line.starts_with("poles_opened"),
                    None => !was_asked,
                };
            match volts.filter(|_| line.starts_with("max_v")) {
                Some(volts) => text.push_str(&format!("max_v = {volts}\n")),
                None => text.push_str(&format!("{}{line}", if is_answered { "" } else { "# " })),
            }
        }
        text.push('\n');
    }
    text.truncate(text.trim_end().len());
    text + "\n" + OTHER_COMPONENTS
}

/// Kinds that are often left out of a first plan, to be used by taking the marks away.
const OTHER_COMPONENTS: &str = "
# The plugs between the panels. carries says which current flows there: that of one string, or of the whole array.
# [[component]]
# kind = \"connector\"
# carries = \"string\"
# rated_a = 22
# max_v = 1000

# The cable from the roof to the controller, where it runs hottest.
# [[component]]
# kind = \"cable\"
# mm2 = 6                    # or awg = 10
# insulation_c = 90          # printed on its sheath
# ambient_c = 65             # under a roof in the sun; or ambient_f

# A fuse for each string, where strings stand in parallel.
# [[component]]
# kind = \"fuse\"
# carries = \"string\"
# rated_a = 15
# max_v = 600                # dc volts printed on it
";

/// The one stop: the file that was named, or the invented one with its place.
fn stop(weather: &Option<String>) -> String {
    let (latitude, longitude, elevation) = STARTER_PLACE;
    let mark = if weather.is_some() { "# " } else { "" };
    let place = match weather {
        Some(_) => row("place = \"First stop\"", "(4) its name"),
        None => {
            row("place = \"Invented Valley\"", "(4) an invented place with invented weather: replace both")
        }
    };
    let files = weather.clone().unwrap_or_else(|| literal(STARTER_WEATHER));
    [
        place,
        format!("weather = [{files}]\n"),
        row("# arrive = \"12-20\"", "month-day"),
        row("# leave = \"01-15\"", "the last day there"),
        row(&format!("{mark}elevation_m = {elevation}"), "where you stand, metres above the sea"),
        row(
            &format!("{mark}station_elevation_m = {elevation}"),
            "where the weather was read; only where the file does not say",
        ),
        row(
            &format!("{mark}latitude_deg = {latitude:.1}"),
            "only where the file does not say; south is negative",
        ),
        row(&format!("{mark}longitude_deg = {longitude:.1}"), "west is negative"),
        row("# utc_offset = \"-07:00\"", "for days and times as your clock shows them"),
    ]
    .concat()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Plan, read};
    use std::path::{Path, PathBuf};

    fn plan(text: &str) -> Plan {
        let find = |pattern: &str| Ok(vec![PathBuf::from(pattern)]);
        read(text, Path::new("plan.toml"), Path::new("."), &find)
            .unwrap_or_else(|error| panic!("{error}\n{text}"))
    }

    #[test]
    fn the_starter_plan_is_a_plan() {
        let plan = plan(&starter(&Answers::default()));
        assert_eq!((plan.arrays[0].modules_in_series(), plan.arrays[0].components.len()), (2, 2));
        assert_eq!(plan.stops[0].files, [PathBuf::from(STARTER_WEATHER)]);
    }

    #[test]
    fn every_line_behind_a_remark_is_good_too() {
        let text = starter(&Answers::default());
        let all: String = text
            .lines()
            .map(|line| match line.strip_prefix("# ") {
                Some(rest)
                    if rest.starts_with('[')
                        || rest.split_once(" = ").is_some_and(|(key, _)| !key.contains(' ')) =>
                {
                    format!("{rest}\n")
                }
                _ => format!("{line}\n"),
            })
            .collect();
        let plan = plan(&all);
        assert!(plan.arrays[0].battery.is_some() && plan.stops[0].window.is_some());
        assert!(plan.arrays[0].groups[0].modules[0].imp.is_some());
    }

    #[test]
    fn answers_are_understood_as_people_type_them() {
        let mut answers = Answers::default();
        let typed = [
            "Tom's \"blue\" van",
            "24,3",
            "10.3 A",
            "−0,29 %/°C",
            "3",
            "",
            "Gap",
            "48",
            "",
            r"C:\weather\*.csv",
        ];
        for (index, typed) in typed.into_iter().enumerate() {
            answers.take(index, typed).unwrap_or_else(|error| panic!("{typed}: {error}"));
        }
        let plan = plan(&starter(&answers));
        assert_eq!(plan.title, "Tom's \"blue\" van");
        let label = &plan.arrays[0].groups[0].modules[0];
        assert_eq!((label.voc.0, label.isc.0, label.voc_coefficient.per_k()), (24.3, 10.3, -0.0029));
        assert_eq!(plan.arrays[0].components.len(), 1, "no controller was named");
        assert_eq!(plan.stops[0].weather, ["C:/weather/*.csv"]);
    }

    #[test]
    fn an_impossible_answer_is_asked_again() {
        let mut answers = Answers::default();
        for (index, typed) in
            [(1, "many"), (1, "2250"), (3, "0.3"), (4, "0"), (4, "2.5"), (6, "glued on"), (7, "-48")]
        {
            assert!(answers.take(index, typed).is_err(), "{typed}");
        }
        assert_eq!(QUESTIONS.len(), answers.values.len());
    }
}
