//! What `series` found: the keys of its JSON.

use super::for_amps::ForAmps;
use super::{ArrayFigures, Frost};
use crate::array::{Array, Component, ComponentKind};
use crate::assumptions::Rules;
use crate::limits::Verdict;
use crate::limits::current;
use crate::limits::rules::fuse::Wanting;
use crate::limits::rules::touch::TouchClass;
use crate::note::Note;
use crate::study::counted;
use crate::study::outside::Outside;
use crate::study::results::LimitLine;
use crate::study::trunk::Asked;
use serde::Serialize;

/// Everything that `series` found.
#[derive(Clone, Debug, Serialize)]
pub struct SeriesResult {
    /// Version of the layout.
    pub schema: u32,
    /// The plan's title.
    pub title: String,
    /// The array.
    pub array: String,
    /// Its panel.
    pub panel: String,
    /// Panels in all.
    pub panels: usize,
    /// What speaks against its weather, a clause each; empty where nothing does. A recommendation before it is settled is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub doubts: Vec<String>,
    /// The stops; every option is held against the worst of them.
    pub places: Vec<String>,
    /// Every arrangement.
    pub options: Vec<SeriesOption>,
    /// The one to take; null where none holds.
    pub recommended: Option<Arrangement>,
    /// The next one, and what it would need.
    pub runner_up: Option<Arrangement>,
    /// What the recommendation becomes with larger devices, class by class; empty where nothing changes.
    pub larger_classes: Vec<LargerClass>,
    /// The exchange of parts by which most panels find a place; null where the recommended arrangement uses as many.
    pub exchange: Option<Exchange>,
    /// Another exchange for as many panels, of lower volts to touch or with no more to buy; null where there is none.
    pub other_exchange: Option<Exchange>,
    /// Where a lithium battery takes no charge in the cold: in no share lost to low volts.
    pub frost: Vec<Frost>,
    /// The controllers of the whole plan, to see which of them carries which arrangement.
    pub controllers: Vec<ControllerOfPlan>,
    /// What is missing without weather.
    pub missing: Vec<String>,
    /// Remarks.
    pub notes: Vec<Note>,
    /// Short cautions.
    pub cautions: Vec<String>,
}

/// A controller of the plan, whatever array it serves, with what it carries.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ControllerOfPlan {
    /// Its name.
    pub name: String,
    /// The array that it serves.
    pub array: String,
    /// Largest volts of its manual.
    pub max_v: Option<f64>,
    /// Largest short-circuit amps of its manual.
    pub max_isc_a: Option<f64>,
}

impl ControllerOfPlan {
    /// Those of all arrays.
    pub(super) fn all(arrays: &[Array]) -> Vec<Self> {
        let own = |array: &Array, part: &Component| match part.kind {
            ComponentKind::Controller { max_isc, .. } => Some(Self {
                name: part.name.clone(),
                array: array.name.clone(),
                max_v: part.max_v.map(|volts| volts.0),
                max_isc_a: max_isc.map(|amps| amps.0),
            }),
            _ => None,
        };
        arrays
            .iter()
            .flat_map(|array| array.components.iter().filter_map(move |part| own(array, part)))
            .collect()
    }

    /// Whether the volts of that arrangement hold; `None` where a figure lacks.
    #[must_use]
    pub fn holds_volts(&self, option: &SeriesOption) -> Option<bool> {
        Some(option.decide_v? <= self.max_v?)
    }

    /// Whether the amps of that arrangement hold, by the rule for controllers; `None` where it names none.
    #[must_use]
    pub fn holds_amps(&self, option: &SeriesOption) -> Option<bool> {
        let judged = current::judge(self.max_isc_a?, option.isc_a, current::controller_demand());
        Some(judged.verdict == Verdict::Within)
    }
}

/// Share of the harvest that may be lost to low volts, per cent: nothing is recommended that loses more.
pub const HARVEST_PERCENT: f64 = 2.0;
/// Share that prints as the whole.
const WHOLE_PERCENT: f64 = 99.5;
/// Share from which on charging is the exception.
const HALF_PERCENT: f64 = 50.0;

/// How an arrangement charges that loses too much of the harvest to low volts. It breaks no limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Starving {
    /// With no cells, hot or cooled by wind.
    #[serde(rename = "never charges")]
    Never,
    /// Half of the harvest or more is lost even with cells cooled by wind.
    #[serde(rename = "rarely charges")]
    Rarely,
    /// More than may be lost, on the hottest cells.
    #[serde(rename = "loses harvest")]
    Partly,
}

impl Starving {
    /// As tables and charts print it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Never => "never charges",
            Self::Rarely => "rarely charges",
            Self::Partly => "loses harvest",
        }
    }
}

/// One arrangement, at the stop where it fares worst.
#[derive(Clone, Debug, Serialize)]
pub struct SeriesOption {
    /// Panels in series.
    pub in_series: usize,
    /// Strings in parallel.
    pub in_parallel: usize,
    /// Panels without a place in it.
    pub panels_left_over: usize,
    /// Panels that it needs more than there are.
    pub panels_missing: usize,
    /// Nominal battery volts.
    pub battery_v: Option<f64>,
    /// Controller class.
    pub controller_v: Option<f64>,
    /// The plan's controller that it is held against; null where that is a class alone, or assumed.
    pub controller: Option<String>,
    /// The controller's largest short-circuit amps; null where they are not judged.
    pub controller_max_isc_a: Option<f64>,
    /// Short-circuit current of all its strings by the label, A.
    pub isc_a: f64,
    /// Code sum.
    pub code_v: Option<f64>,
    /// 20-year level of the worst case, else the largest seen or allowed for.
    pub worst_case_20_year_v: Option<f64>,
    /// Largest steady voltage.
    pub steady_max_v: Option<f64>,
    /// The largest figure of all, which decides.
    pub decide_v: Option<f64>,
    /// What lies outside the worst case, at the stop where that reaches highest.
    #[serde(skip)]
    pub(in crate::study) outside: Option<Outside>,
    /// Fewest volts under load in good light on the hottest cells.
    pub hot_vmp_v: Option<f64>,
    /// Volts under load that the controller needs.
    pub run_v: Option<f64>,
    /// Volts at which it starts.
    pub start_v: Option<f64>,
    /// Hours of sun a year (or trip) in which it does not run, with the hottest credible cells.
    pub lost_start_hours_per_year: Option<f64>,
    /// The same with cells cooled by the file's wind.
    pub lost_start_hours_cool: Option<f64>,
    /// Share of the harvest lost to low volts, while it does not run, hottest cells, per cent.
    pub harvest_lost_percent: Option<f64>,
    /// The same with cells cooled by the file's wind.
    pub harvest_lost_percent_cool: Option<f64>,
    /// What a share lost of 2 % or more means; null below it and where it is not known.
    pub starving: Option<Starving>,
    /// Share that a pwm controller wastes in the volts above the battery's, hottest cells, per cent; null for others.
    pub above_battery_percent: Option<f64>,
    /// The same with cells cooled by the file's wind.
    pub above_battery_percent_cool: Option<f64>,
    /// Class of touch voltage.
    pub touch_class: Option<&'static str>,
    /// What its strings need in fuses that the plan does not have; null where they need none.
    pub string_fuses: Option<String>,
    /// The same, for those who compare.
    #[serde(skip)]
    pub wanting: Option<Wanting>,
    /// The rules that the plan names, for what is cited.
    #[serde(skip)]
    pub rules: Rules,
    /// Watts that the controller charges with at most, where the labels give more, and those, W; null for a pwm one.
    pub clips_w: Option<(f64, f64)>,
    /// Share of the harvest above what it charges with at most, cells cooled by the file's wind, at the stop where that is largest, per
    /// cent; null where it takes all that the labels give, and without weather.
    pub clipped_percent: Option<f64>,
    /// Largest charging amps of the controller and the battery's charge volts; null where either is not known, or it is a pwm one.
    #[serde(skip)]
    pub takes: Option<(f64, f64)>,
    /// What the parts that break a limit in amps must become.
    #[serde(skip)]
    pub(in crate::study) for_amps: Vec<ForAmps>,
    /// What it asks of its cable and its plug beyond what the plan has.
    #[serde(skip)]
    pub(in crate::study) asked: Asked,
    /// Devices whose volts may be those of two poles, with half of them.
    #[serde(skip)]
    pub(in crate::study) halves: Vec<(String, f64)>,
    /// Each limit.
    pub limits: Vec<LimitLine>,
    /// The worst of them.
    pub verdict: Verdict,
}

impl SeriesOption {
    pub(super) fn fill(&mut self, figures: &ArrayFigures) {
        let four = &figures.voltage;
        self.code_v = four.code;
        self.worst_case_20_year_v =
            four.worst_case.level_20_year.or(figures.decide.worst_case().map(|(volts, _)| volts));
        self.steady_max_v = four.steady.max;
        self.decide_v = figures.decide.largest().map(|(volts, _)| volts);
        self.touch_class = self.decide_v.map(|volts| TouchClass::of(volts).word());
    }

    /// The shares of the harvest lost to low volts, hottest cells and cooled ones.
    pub(super) fn lose(&mut self, hot_percent: Option<f64>, cool_percent: Option<f64>) {
        self.harvest_lost_percent = hot_percent;
        self.harvest_lost_percent_cool = cool_percent;
        let at_best = cool_percent.or(hot_percent).unwrap_or(0.0);
        self.starving = hot_percent.filter(|&lost| lost >= HARVEST_PERCENT).map(|_| match at_best {
            lost if lost >= WHOLE_PERCENT => Starving::Never,
            lost if lost >= HALF_PERCENT => Starving::Rarely,
            _ => Starving::Partly,
        });
    }

    /// Whether its strings need fuses of which none fits.
    pub(super) fn no_fuse_fits(&self) -> bool {
        matches!(self.wanting, Some(Wanting::NoneFits { .. }))
    }

    /// Of the same arrangement at two stops: the larger volts, the larger losses, the worse lines.
    pub(super) fn worse_of(mut self, other: Self) -> Self {
        let most = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        self.code_v = most(self.code_v, other.code_v);
        self.worst_case_20_year_v = most(self.worst_case_20_year_v, other.worst_case_20_year_v);
        self.steady_max_v = most(self.steady_max_v, other.steady_max_v);
        self.decide_v = most(self.decide_v, other.decide_v);
        self.touch_class = self.decide_v.map(|volts| TouchClass::of(volts).word());
        self.outside = match (self.outside, other.outside) {
            (Some(a), Some(b)) => Some(if b.reaches_v > a.reaches_v { b } else { a }),
            (a, b) => a.or(b),
        };
        self.hot_vmp_v = match (self.hot_vmp_v, other.hot_vmp_v) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        self.lost_start_hours_per_year =
            most(self.lost_start_hours_per_year, other.lost_start_hours_per_year);
        self.lost_start_hours_cool = most(self.lost_start_hours_cool, other.lost_start_hours_cool);
        self.lose(
            most(self.harvest_lost_percent, other.harvest_lost_percent),
            most(self.harvest_lost_percent_cool, other.harvest_lost_percent_cool),
        );
        self.above_battery_percent = most(self.above_battery_percent, other.above_battery_percent);
        self.above_battery_percent_cool =
            most(self.above_battery_percent_cool, other.above_battery_percent_cool);
        self.clipped_percent = most(self.clipped_percent, other.clipped_percent);
        for (mine, theirs) in self.limits.iter_mut().zip(other.limits) {
            let (a, b) = (counted(mine).severity(), counted(&theirs).severity());
            let tighter =
                theirs.margin_percent.unwrap_or(f64::INFINITY) < mine.margin_percent.unwrap_or(f64::INFINITY);
            if b > a || (b == a && tighter) {
                *mine = theirs;
            }
        }
        self.verdict = self.verdict.or_worse(other.verdict);
        self
    }

    /// Limits that it breaks, or that could not be assessed for want of a rating.
    pub fn broken(&self) -> impl Iterator<Item = &LimitLine> {
        self.limits.iter().filter(|line| matches!(counted(line), Verdict::Exceeded | Verdict::NotMet))
    }

    pub(super) fn has_voltage_limit(&self) -> bool {
        self.limits.iter().any(|line| line.unit == "V")
    }

    pub(super) fn holds_volts(&self) -> bool {
        !self.broken().any(|line| line.unit == "V")
    }
}

/// An arrangement that is recommended, or comes next.
#[derive(Clone, Debug, Serialize)]
pub struct Arrangement {
    /// Panels in series.
    pub in_series: usize,
    /// Strings in parallel.
    pub in_parallel: usize,
    /// Nominal battery volts.
    pub battery_v: Option<f64>,
    /// Controller class.
    pub controller_v: Option<f64>,
    /// The plan's controller; null where it is a class alone, or assumed.
    pub controller: Option<String>,
    /// The controller's largest short-circuit amps; null where they are not judged.
    pub controller_max_isc_a: Option<f64>,
    /// The step that decided.
    pub why: String,
    /// The same without what else is to be known.
    #[serde(skip)]
    pub step: String,
    /// Whether a limit has too little room.
    pub is_close: bool,
    /// Which other controllers of the plan carry it too, and why they come later; null where none does, and for all but the
    /// recommended one.
    pub also_on: Option<String>,
    /// Which common classes hold its volts, and what lies outside the figures; null for all but the recommended one.
    pub room: Option<String>,
    /// What one would have to change to use it; null for the recommended one.
    pub would_need: Option<String>,
    /// What it asks of its array cable and of the plug where its strings join, beyond what the plan has; null where nothing.
    pub asks: Option<String>,
    /// How that is to be read and done, sentences; empty where nothing is asked.
    pub asks_how: Vec<String>,
    /// Its volts and amps beside the recommended one's, by which devices, fuses and cable are bought; null for that one.
    pub beside_recommended: Option<String>,
}

/// The recommendation if no device stood below a class of volts.
#[derive(Clone, Debug, Serialize)]
pub struct LargerClass {
    /// The class, V.
    pub class_v: f64,
    /// What to buy for it: "roof disconnect of 60 V instead of 50 V"; null where it breaks nothing, and only leaves more room.
    pub with: Option<String>,
    /// The arrangement, with what it would need.
    #[serde(flatten)]
    pub arrangement: Arrangement,
}

/// By which exchanged parts more of the panels find a place than with those of the plan.
#[derive(Clone, Debug, Serialize)]
pub struct Exchange {
    /// What to exchange: "cable 2 of at least 70.0 A (16 mm2 or 6 AWG) instead of 55 A".
    pub with: String,
    /// Parts that are exchanged.
    pub parts: usize,
    /// Kinds of things to buy: those parts, and fuses for strings that need them.
    pub to_buy: usize,
    /// Its largest figure in volts.
    pub most_v: Option<f64>,
    /// Class of touch voltage.
    pub touch_class: Option<&'static str>,
    /// 1.5625 x Isc of all its strings, A.
    pub amps_a: f64,
    /// Share of the harvest lost to low volts, hottest cells, per cent.
    pub harvest_lost_percent: Option<f64>,
    /// The same with cells cooled by the file's wind.
    pub harvest_lost_percent_cool: Option<f64>,
    /// Share of the harvest that its controller clips, per cent; null where it clips nothing, or is to be exchanged.
    pub clipped_percent: Option<f64>,
    /// The same disconnect in each string in place of a larger one; null where that does not hold.
    pub string_disconnects: Option<String>,
    /// What else is to be known of it, each behind "; ": fuses, what is close, what a pwm controller wastes.
    #[serde(skip)]
    pub remarks: String,
    /// The arrangement, with what it would need.
    #[serde(flatten)]
    pub arrangement: Arrangement,
}
