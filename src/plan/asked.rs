//! The questions of the guided start: what is asked, where the answer stands, and what an empty line takes.

use super::keys::{BATTERY, COMPONENT, MODULE, PLAN, STOP, STRING, Table};

/// One question of the guided start.
#[derive(Debug)]
pub struct Question {
    /// What is asked.
    pub ask: &'static str,
    /// Where the answer stands, or what it means; in lines.
    pub help: &'static str,
    /// The answer that an empty line stands for, as a person would type it; empty where that leaves the line out.
    pub otherwise: &'static str,
    pub(super) table: &'static Table,
    pub(super) key: &'static str,
    /// The question without whose answer this one makes no sense.
    pub(super) follows: Option<usize>,
}

impl Question {
    /// What stands in brackets: what an empty line takes.
    #[must_use]
    pub fn taken_otherwise(&self) -> &'static str {
        if self.otherwise.is_empty() { "none" } else { self.otherwise }
    }
}

/// The questions, in the order in which a pipe answers them; behind them those about each stop.
pub static QUESTIONS: [Question; 17] = [
    Question {
        ask: "What shall the plan be called?",
        help: "the title of the report",
        otherwise: "My van",
        table: &PLAN,
        key: "title",
        follows: None,
    },
    Question {
        ask: "Open-circuit voltage (Voc) on a panel's label, in volts?",
        help: "on the back of the panel; about 22 for a \"12 V\" panel",
        otherwise: "22.5",
        table: &MODULE,
        key: "voc_v",
        follows: None,
    },
    Question {
        ask: "Short-circuit current (Isc) on the same label, in amps?",
        help: "about 6 for a 100 W panel",
        otherwise: "5.8",
        table: &MODULE,
        key: "isc_a",
        follows: None,
    },
    Question {
        ask: "Temperature coefficient of Voc, with its unit?",
        help: "often only in the data sheet, like -0.30 %/K; an empty line where it is\n\
               not known: a steep one is taken, for safety",
        otherwise: "",
        table: &MODULE,
        key: "voc_temp_coeff",
        follows: None,
    },
    Question {
        ask: "How many panels in series, plus of one to minus of the next?",
        help: "their volts add up; 1 where all are in parallel",
        otherwise: "2",
        table: &STRING,
        key: "in_series",
        follows: None,
    },
    Question {
        ask: "How many such strings in parallel?",
        help: "their amps add up",
        otherwise: "1",
        table: &STRING,
        key: "in_parallel",
        follows: None,
    },
    Question {
        ask: "How are the panels mounted: roof, gap or frame?",
        help: "roof: close to the skin; gap: 20 to 50 mm of air behind;\n\
               frame: open, folding, on the ground",
        otherwise: "roof",
        table: &STRING,
        key: "mount",
        follows: None,
    },
    Question {
        ask: "DC volts printed on the disconnect between panels and controller?",
        help: "a switch or breaker counts too; where it says \"per pole\", type that as\n\
               well: 60 per pole; its amps may stand behind: 60 V DC 25 A; an empty\n\
               line where there is none yet",
        otherwise: "",
        table: &COMPONENT,
        key: "max_v",
        follows: None,
    },
    Question {
        ask: "Largest PV volts that the charge controller's manual allows?",
        help: "in a name such as 100/30 or 100 | 30 it is the first number, and the\n\
               second the amps into the battery (common practice, no source); both may\n\
               be typed; an empty line where there is none yet",
        otherwise: "",
        table: &COMPONENT,
        key: "max_v",
        follows: None,
    },
    Question {
        ask: "Weather file of the first stop, or a folder of its files?",
        help: "as you would type it in this terminal; * stands for any letters, as in\n\
               downloads/juniper-*.csv; it is looked into at once",
        otherwise: "",
        table: &STOP,
        key: "weather",
        follows: None,
    },
    // Behind the others, so that answers that are piped keep their places.
    Question {
        ask: "Voltage at maximum power (Vmp or Vmpp) on the panel's label, in volts?",
        help: "tells whether hot panels still charge the battery",
        otherwise: "",
        table: &MODULE,
        key: "vmp_v",
        follows: None,
    },
    Question {
        ask: "Current at maximum power (Imp or Impp) on the same label, in amps?",
        help: "watts over Vmp",
        otherwise: "",
        table: &MODULE,
        key: "imp_a",
        follows: None,
    },
    Question {
        ask: "Largest series fuse on the same label, in amps?",
        help: "the largest fuse or breaker that may protect one string",
        otherwise: "",
        table: &MODULE,
        key: "max_series_fuse_a",
        follows: None,
    },
    Question {
        ask: "Amps printed on the disconnect?",
        help: "of the switch or breaker that isolates the panels",
        otherwise: "",
        table: &COMPONENT,
        key: "rated_a",
        follows: Some(at::DISCONNECT),
    },
    Question {
        ask: "How many conductors does it open at once?",
        help: "2 where one handle opens plus and minus together, 1 where only one",
        otherwise: "",
        table: &COMPONENT,
        key: "poles_opened",
        follows: Some(at::DISCONNECT),
    },
    Question {
        ask: "Largest PV short-circuit amps in the controller's manual?",
        help: "it stands near the largest PV volts; not the amps into the battery",
        otherwise: "",
        table: &COMPONENT,
        key: "max_isc_a",
        follows: Some(at::CONTROLLER),
    },
    Question {
        ask: "Battery, its kind and its volts, such as: lfp 12?",
        help: "lfp (LiFePO4), agm, gel, flooded or nmc; 12, 24, 36 or 48",
        otherwise: "",
        table: &BATTERY,
        key: "chemistry",
        follows: None,
    },
];

/// Places of the questions in [`QUESTIONS`].
pub(super) mod at {
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
    pub const SERIES_FUSE: usize = 12;
    pub const DISCONNECT_AMPS: usize = 13;
    pub const CONDUCTORS: usize = 14;
    pub const CONTROLLER_ISC: usize = 15;
    pub const BATTERY: usize = 16;
}
