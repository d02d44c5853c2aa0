//! `explain`: one hour as a worked calculation that a reader can redo with a calculator.

mod beyond;
mod cells;
mod curve;
mod hour;
mod light;
mod plane;
mod sun;
mod volts;
mod worked;

pub(super) use beyond::Beyond;
pub(super) use hour::string_words;
pub(super) use volts::kinds as panel_kinds;
pub use worked::{Kind, Part, Places, Quantity, TableRow, WorkedStep, WorkedTable};

use crate::array::Array;
use crate::assumptions::Rules;
use crate::hourly::{Blocks, GroupHour, Loop, ReadyGroup, ReadyPower, Seen, array_power, each_hour, fold};
use crate::limits::DecidedBy;
use crate::plan::Plan;
use crate::study::blocks::cut;
use crate::study::figures::code_sum;
use crate::study::lines::ArrayAt;
use crate::study::results::Step;
use crate::study::steps;
use crate::study::{Choice, OpenStop, StudyError, temperatures};
use crate::sun::{HourSun, Nodes};
use crate::time::{HOUR_S, Stamp, UtcOffset};
use crate::units::Celsius;
use crate::weather::Hour;
use serde::Serialize;

/// One hour, explained.
#[derive(Clone, Debug, Serialize)]
pub struct Explained {
    /// The plan's title.
    pub title: String,
    /// The stop.
    pub place: String,
    /// The array.
    pub array: String,
    /// The string that is worked: the one with the highest worst case in this hour.
    pub string: String,
    /// Start of the hour.
    pub at: Stamp,
    /// The same on the place's own clock.
    pub local: String,
    /// Why this hour.
    pub chosen: String,
    /// File and line of its reading.
    pub line: String,
    /// The answer before its steps.
    pub in_short: InShort,
    /// The calculation.
    pub parts: Vec<Part>,
    /// What the run has for this hour, without rounding between steps.
    pub figures: HourFigures,
    /// What the steps leave out.
    pub remarks: Vec<String>,
}

/// What the hour comes to, before its steps.
#[derive(Clone, Debug, Default, Serialize)]
pub struct InShort {
    /// The string's code sum, V; it belongs to no hour.
    pub code_v: Option<f64>,
    /// Its temperature, C.
    pub code_temperature_c: Option<f64>,
    /// The figure that decides for the array there, V; null for an hour that was asked for.
    pub decides_v: Option<f64>,
    /// Who decides; null likewise.
    pub decided_by: Option<DecidedBy>,
    /// Where no hour was asked for and the plan's largest figure belongs to another place: which, and how to see it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elsewhere: Option<String>,
    /// From the label to the hour's worst case, and to what decides where that rests on it. Empty in the dark.
    pub steps: Vec<Step>,
}

/// The string's figures in one hour as the run has them; null where too dim, or the label is silent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct HourFigures {
    /// Steady, V.
    pub steady_v: Option<f64>,
    /// Sudden sun, V.
    pub sudden_sun_v: Option<f64>,
    /// Worst case, V.
    pub worst_case_v: Option<f64>,
    /// Short-circuit current of the group, A.
    pub isc_a: Option<f64>,
    /// At maximum power, V.
    pub vmp_v: Option<f64>,
    /// At maximum power, A.
    pub imp_a: Option<f64>,
}

/// What the hour is that nobody asked for.
const WORST_HOUR: &str = "the hour of this place's largest worst case";

/// Explains one hour of a plan: the one that holds `at`, else the hour of the largest worst case of all the stops and
/// arrays asked for (within the trip's dates, where the plan has them).
///
/// `at` is an ISO-8601 time with a zone, or a time on the place's own clock.
///
/// # Errors
/// Unreadable weather, missing coordinates, a choice that does not exist, a time that is none or has no reading.
pub fn explain(plan: &Plan, choice: &Choice, at: Option<&str>) -> Result<Explained, StudyError> {
    let stops = choice.stops(plan)?;
    let arrays = choice.arrays(plan)?;
    if stops.is_empty() {
        return Err(StudyError::NoStops);
    }
    if at.is_some() && stops.len() > 1 {
        let known = stops.iter().map(|(_, stop)| format!("\"{}\"", stop.place)).collect::<Vec<_>>();
        return Err(StudyError::Several { what: "stop", known: known.join(", ") });
    }
    let mut best: Option<(f64, Explained)> = None;
    let mut elsewhere: Option<(f64, String, String)> = None;
    let mut nodes = None;
    for (index, stop) in stops {
        let open = OpenStop::open(stop, &plan.assumptions)?;
        let blocks = cut(plan, index, &open);
        let nodes = open.sun_nodes(&mut nodes)?;
        let asked = at.map(|text| asked_hour(&open, text)).transpose()?;
        for array in &arrays {
            let found = in_array(plan, &open, array, nodes, blocks, asked)?;
            let volts = found.figures.worst_case_v.unwrap_or(0.0);
            if let Some(most) = found.in_short.decides_v
                && elsewhere.as_ref().is_none_or(|(before, ..)| most > *before)
            {
                elsewhere = Some((most, found.place.clone(), found.array.clone()));
            }
            if best.as_ref().is_none_or(|(most, _)| volts > *most) {
                best = Some((volts, found));
            }
        }
    }
    let decides = |found: &Explained| found.in_short.decides_v.unwrap_or(0.0);
    let mut found = best.map(|(_, found)| found).ok_or(StudyError::NoStops)?;
    // The volts to buy by can belong to another place: that of a short record, or of another law of extremes.
    if let Some((volts, place, array)) =
        elsewhere.filter(|(volts, ..)| at.is_none() && *volts > decides(&found))
    {
        let whose = if arrays.len() > 1 { format!(" of array {array}") } else { String::new() };
        found.in_short.elsewhere = Some(format!(
            "the largest figure of the plan{whose} belongs to another place: {volts:.1} V at {place}, where no single hour of the \
             record is as high as this one; `explain` with --stop \"{place}\" works it"
        ));
    }
    Ok(found)
}

fn in_array(
    plan: &Plan,
    open: &OpenStop<'_>,
    array: &Array,
    nodes: &Nodes,
    blocks: Option<Blocks>,
    asked: Option<Hour>,
) -> Result<Explained, StudyError> {
    let groups: Vec<ReadyGroup<'_>> =
        array.groups.iter().map(|group| ReadyGroup::new(group, plan.assumptions.sky_cooling_k)).collect();
    let job = Loop {
        site: &open.site,
        sky: &open.sky,
        nodes,
        groups: &groups,
        ratings: &[],
        steady_only: &[],
        blocks,
        only: open.stop.window,
        step_h: open.step_h(),
    };
    let seen = fold(&job, open.opened.record.hours());
    let lows = temperatures::annual_lows(open);
    let design = temperatures::design_temperature(open, &lows, None, &plan.assumptions);
    let code_air = temperatures::code_temperature(open, &design, &plan.assumptions);
    let asking = Asking {
        title: &plan.title,
        array,
        job: &job,
        open,
        code_air: &code_air,
        rules: plan.assumptions.rules,
    };
    if let Some(hour) = asked {
        return Ok(asking.explained(&hour, "the hour asked for"));
    }
    let mut found =
        asking.worst(&seen).ok_or_else(|| StudyError::AllDark { place: open.stop.place.clone() })?;
    let figures =
        crate::study::figures::figures(open, &groups, &seen, code_air, design.window_low, &plan.assumptions);
    found.add(&Beyond {
        groups: &groups,
        seen: &seen,
        decide: &figures.decide,
        assumptions: &plan.assumptions,
    });
    let at = ArrayAt {
        open,
        groups: &groups,
        seen: &seen,
        figures: &figures,
        blocks,
        dated: open.stop.window.is_some(),
        assumptions: &plan.assumptions,
    };
    if let Some((volts, by)) = figures.decide.worst_case() {
        found.in_short.steps.extend(steps::beyond_the_hour(&at, volts, by));
    }
    (found.in_short.decides_v, found.in_short.decided_by) = figures.decide.largest().unzip();
    Ok(found)
}

/// What an hour of one array at one stop is explained from.
pub(super) struct Asking<'a> {
    pub(super) title: &'a str,
    pub(super) array: &'a Array,
    pub(super) job: &'a Loop<'a>,
    pub(super) open: &'a OpenStop<'a>,
    pub(super) code_air: &'a (Option<Celsius>, String),
    pub(super) rules: Rules,
}

impl Asking<'_> {
    /// The hour of the largest worst case; `None` where no hour was lit.
    pub(super) fn worst(&self, seen: &Seen) -> Option<Explained> {
        let peak = seen.peak.worst_case?;
        let hour = self
            .open
            .opened
            .record
            .hours()
            .iter()
            .find(|hour| hour.start == peak.start && hour.origin == peak.origin)?;
        Some(self.explained(hour, WORST_HOUR))
    }

    fn explained(&self, hour: &Hour, chosen: &str) -> Explained {
        let mut state: Option<(HourSun, Vec<GroupHour>)> = None;
        each_hour(self.job, std::slice::from_ref(hour), |_, sun, _, lit| {
            state = Some((*sun, lit.map(|(_, groups)| groups.to_vec()).unwrap_or_default()));
        });
        let (sun, lit) = state.unwrap_or_else(|| {
            let track = crate::sun::Track::new(self.job.nodes, 0.0, 0.0);
            (track.hour(hour.start, HOUR_S), Vec::new())
        });
        let worst = |group: &GroupHour| group.peak.worst_case.map_or(0.0, |spot| spot.volts);
        let index = (0..lit.len()).max_by(|&a, &b| worst(&lit[a]).total_cmp(&worst(&lit[b]))).unwrap_or(0);
        let ready = &self.job.groups[index];
        let state = lit.get(index);
        let line = self.open.opened.locate(hour.origin);
        let work = hour::Work {
            job: self.job,
            ready,
            hour,
            line: &line,
            sun: &sun,
            lit: state,
            code_air: self.code_air.0.map(|air| (air, self.code_air.1.as_str())),
            rules: self.rules,
        };
        let mut remarks = Vec::new();
        if self.job.groups.len() > 1 {
            remarks.push(format!(
                "array \"{}\" has {} groups of strings; this is the one with the highest worst case in this hour. Of \
                 volts the highest string counts, amps add",
                self.array.name,
                self.job.groups.len()
            ));
        }
        remarks.push(
            "each result is rounded as printed before the next step takes it, so the last digits may differ from the \
             run's own figures"
                .into(),
        );
        let parts = work.parts();
        let code = self.code_air.0.and_then(|air| code_sum(std::slice::from_ref(ready), air));
        let mut in_short = InShort {
            code_v: code.map(|sum| sum.volts.0),
            code_temperature_c: self.code_air.0.map(|air| air.0),
            ..InShort::default()
        };
        if let Some(spot) = state.and_then(|state| state.peak.worst_case) {
            in_short.steps.push(steps::of_label(std::slice::from_ref(ready)));
            in_short.steps.extend(steps::of_spot(std::slice::from_ref(ready), spot));
        }
        Explained {
            title: self.title.to_owned(),
            place: self.open.stop.place.clone(),
            array: self.array.name.clone(),
            string: hour::string_words(ready.group),
            at: hour.start,
            local: hour.start.local(self.open.site.offset),
            chosen: chosen.to_owned(),
            line,
            in_short,
            parts,
            figures: state.map_or_else(HourFigures::dark, |state| HourFigures::of(ready, state)),
            remarks,
        }
    }
}

impl HourFigures {
    fn dark() -> Self {
        let zero = Some(0.0);
        Self { steady_v: zero, sudden_sun_v: zero, worst_case_v: zero, isc_a: zero, vmp_v: zero, imp_a: zero }
    }

    fn of(ready: &ReadyGroup<'_>, state: &GroupHour) -> Self {
        let power =
            array_power(std::slice::from_ref(&ReadyPower::new(ready.group)), std::slice::from_ref(state));
        Self {
            steady_v: state.peak.steady.map(|spot| spot.volts),
            sudden_sun_v: state.peak.sudden_sun.map(|spot| spot.volts),
            worst_case_v: state.peak.worst_case.map(|spot| spot.volts),
            isc_a: state.isc_a,
            vmp_v: power.map(|power| power.vmp_v),
            imp_a: power.map(|power| power.imp_a),
        }
    }
}

/// The hour of the record that holds a moment.
fn asked_hour(open: &OpenStop<'_>, text: &str) -> Result<Hour, StudyError> {
    let place = || open.stop.place.clone();
    let at = moment(text, open.site.offset).ok_or_else(|| StudyError::BadTime {
        asked: text.to_owned(),
        offset: open.site.offset.to_string(),
    })?;
    let hours = open.opened.record.hours();
    if let Some(hour) = hours.iter().find(|hour| hour.start <= at && at < hour.start.plus_s(HOUR_S)) {
        return Ok(*hour);
    }
    let nearest = hours
        .iter()
        .min_by_key(|hour| (hour.start.0 - at.0).abs())
        .map_or_else(|| "none".to_owned(), |hour| hour.start.iso());
    Err(StudyError::NoSuchHour { place: place(), asked: at.iso(), nearest })
}

/// A time with its zone, or on the clock of `offset`.
pub(super) fn moment(text: &str, offset: UtcOffset) -> Option<Stamp> {
    let text = text.trim();
    Stamp::parse_iso(text)
        .or_else(|| Stamp::parse_iso(&format!("{text}{offset}")))
        .or_else(|| Stamp::parse_iso(&format!("{text}:00{offset}")))
}
