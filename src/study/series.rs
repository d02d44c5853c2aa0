//! `series`: how many panels in series, and how many strings in parallel, over battery and controller classes.
//!
//! One loop a stop with one panel serves every count, since all volts of a string are sums over its panels.

mod arrangement;
mod beside_controllers;
mod choose;
mod exchange;
mod few_seasons;
mod fitting;
mod for_amps;
mod frost;
mod larger;
mod results;
mod room;

pub use frost::Frost;
pub use results::{
    Arrangement, ControllerOfPlan, Exchange, LargerClass, SeriesOption, SeriesResult, Starving,
};

use crate::array::{Array, Battery, Chemistry, Component, ComponentKind, StringGroup};
use crate::assumptions::CodeTemperature;
use crate::hourly::{Blocks, Loop, Over, ReadyGroup, Seen, fold};
use crate::note::{Note, NoteKind};
use crate::plan::Plan;
use crate::study::blocks::{cut, refuse_empty_window};
use crate::study::choice::Choice;
use crate::study::figures::{self, ArrayFigures};
use crate::study::lines::{self, ArrayAt, VoltageRating};
use crate::study::low_side::{self, Demand, LowJob, LowRun};
use crate::study::outside::outside;
use crate::study::results::LimitLine;
use crate::study::{OpenStop, StudyError, doubts, temperatures, winter};
use crate::units::{Celsius, Volts};
use arrangement::{Case, Cases};
use fitting::Fitting;

/// Panels in series past the largest count that holds, for the picture.
const PAST_CEILING: usize = 2;
/// Counts beyond which nothing is tried. Chosen because forty small panels pass 1000 V.
const MOST_IN_SERIES: usize = 40;
/// Ceiling where neither plan nor options name a voltage: extra-low voltage `[IEC60364-4-41]`.
const CEILING_WITHOUT_RATING_V: f64 = 120.0;

/// What is asked besides the plan.
#[derive(Clone, Debug, Default)]
pub struct SeriesAsk {
    /// Panels in all; `None`: as many as the plan has.
    pub panels: Option<usize>,
    /// Nominal battery volts to compare; empty: the plan's.
    pub battery_v: Vec<f64>,
    /// Controller classes to compare; empty: the plan's.
    pub controller_v: Vec<f64>,
}

/// Answers how many in series.
///
/// # Errors
/// As `assess`; several arrays, unlike panels, an array without a controller of its own choosing is no error.
pub fn series(plan: &Plan, choice: &Choice, ask: &SeriesAsk) -> Result<SeriesResult, StudyError> {
    let arrays = choice.arrays(plan)?;
    let [array] = arrays.as_slice() else {
        let known = arrays.iter().map(|array| format!("\"{}\"", array.name)).collect::<Vec<_>>().join(", ");
        return Err(StudyError::Several { what: "array", known });
    };
    let mut counts = Counts::new(array, ask)?;
    let stops = choice.stops(plan)?;
    let mut missing = Vec::new();
    let mut doubts: Vec<String> = Vec::new();
    let untrimmed = if stops.is_empty() {
        let CodeTemperature::Fixed(air) = plan.assumptions.code_temperature else {
            return Err(StudyError::NoStops);
        };
        missing.push(
            "no [[stop]] in the plan: these are the code answers alone; steady and worst-case volts, the hot side and the \
             harvest need weather"
                .to_owned(),
        );
        code_alone(&counts.cases, plan, air)
    } else {
        let mut nodes = None;
        for (index, stop) in stops {
            let open = OpenStop::open(stop, &plan.assumptions)?;
            refuse_empty_window(&open, stop.window)?;
            let blocks = cut(plan, index, &open);
            let unseen = winter::is_missed(&open)
                .then(|| format!("the cold is not covered: no winter in the record of {}", stop.place));
            let one_year =
                winter::of_one_year(&open).map(|why| format!("at {}: the record {why}", stop.place));
            let others =
                doubts::clauses(&open).into_iter().map(|clause| format!("at {}: {clause}", stop.place));
            doubts.extend(unseen.into_iter().chain(one_year).chain(others));
            missing.extend(low_side::unseen(&open));
            let nodes = open.sun_nodes(&mut nodes)?;
            counts.look(plan, &open, nodes, blocks);
        }
        std::mem::take(&mut counts.options).unwrap_or_default()
    };
    let Counts { panels, mut notes, frost, .. } = counts;
    let mut options = untrimmed.clone();
    trim(&mut options);
    let (mut recommended, mut runner_up) = choose::choose(&options, panels);
    let larger_classes = larger::with_larger_classes(&untrimmed, recommended.as_ref());
    let exchange::Exchanges { best: exchange, other: other_exchange } =
        exchange::of(&untrimmed, recommended.as_ref());
    if !options.is_empty() && options.iter().all(|option| option.harvest_lost_percent.is_none()) {
        missing.push(unchecked_starving(&options));
        if let Some(first) = recommended.as_mut().or(runner_up.as_mut()) {
            first.why.push_str("; whether low volts starve it was not checked");
        }
    }
    if low_side::is_guessed(array) && options.iter().any(|option| option.harvest_lost_percent.is_some()) {
        for found in recommended.iter_mut().chain(&mut runner_up) {
            found.why.push_str(&format!("; {}", low_side::GUESSED));
        }
    }
    if panels == 0 {
        notes.push(Note::once(NoteKind::Wiring, "no panels to arrange"));
    }
    Ok(SeriesResult {
        schema: crate::study::SCHEMA,
        title: plan.title.clone(),
        array: array.name.clone(),
        panel: counts
            .unit
            .first()
            .and_then(|group| group.modules.first())
            .map_or_else(String::new, |label| label.id.clone()),
        panels,
        doubts,
        places: choice.stops(plan)?.into_iter().map(|(_, stop)| stop.place.clone()).collect(),
        options,
        recommended,
        runner_up,
        larger_classes,
        exchange,
        other_exchange,
        controllers: results::ControllerOfPlan::all(&plan.arrays),
        frost,
        missing,
        notes,
        cautions: crate::study::summary::cautions(),
    })
}

/// The counts of one array, looked at stop by stop: each option is kept at the stop where it fares worst.
pub(super) struct Counts {
    unit: Vec<StringGroup>,
    panels: usize,
    cases: Cases,
    notes: Vec<Note>,
    frost: Vec<Frost>,
    /// `None` until a stop was looked at.
    options: Option<Vec<SeriesOption>>,
}

impl Counts {
    /// What is to be compared.
    ///
    /// # Errors
    /// Unlike panels.
    pub(super) fn new(array: &Array, ask: &SeriesAsk) -> Result<Self, StudyError> {
        let unit = unit_groups(array)?;
        let panels = ask.panels.unwrap_or_else(|| {
            array.groups.iter().map(|group| group.modules.len() * group.in_parallel as usize).sum()
        });
        let mut notes: Vec<Note> =
            unit.iter().flat_map(|group| &group.modules).fold(Vec::new(), |mut notes, label| {
                notes.extend(
                    label.doubts.iter().filter(|doubt| !notes.contains(doubt)).cloned().collect::<Vec<_>>(),
                );
                notes
            });
        let batteries = batteries(array, &ask.battery_v, &mut notes);
        if batteries.iter().any(Option::is_some) {
            notes.extend(assumed_controller(array));
        }
        notes.extend(fitting::classes_unlike_the_plan(array, &ask.controller_v));
        let cases =
            Cases::new(array, &unit, &batteries, &fitting::fittings(array, &ask.controller_v), panels);
        Ok(Self { unit, panels, cases, notes, frost: Vec::new(), options: None })
    }

    /// The counts of an array with everything in it as the plan has it, several controllers together.
    ///
    /// # Errors
    /// Unlike panels.
    pub(super) fn as_planned(array: &Array) -> Result<Self, StudyError> {
        let mut counts = Self::new(array, &SeriesAsk::default())?;
        let fittings = [Fitting::as_planned(array)];
        counts.cases = Cases::new(array, &counts.unit, &[array.battery], &fittings, counts.panels);
        Ok(counts)
    }

    /// Looks at one more stop.
    pub(super) fn look(
        &mut self,
        plan: &Plan,
        open: &OpenStop<'_>,
        nodes: &crate::sun::Nodes,
        blocks: Option<Blocks>,
    ) {
        let AtStop { options: here, few_seasons, frost } =
            at_stop(plan, open, nodes, blocks, &self.unit, &self.cases);
        self.notes.extend(few_seasons);
        self.frost.extend(frost);
        self.options = Some(match self.options.take() {
            None => here,
            Some(before) => before.into_iter().zip(here).map(|(a, b)| a.worse_of(b)).collect(),
        });
    }

    /// The options up to two counts past the ceiling.
    pub(super) fn trimmed(self) -> Vec<SeriesOption> {
        let mut options = self.options.unwrap_or_default();
        trim(&mut options);
        options
    }
}

/// The groups of the array with one panel each: its mounts, tilts and headings.
fn unit_groups(array: &Array) -> Result<Vec<StringGroup>, StudyError> {
    let mut ids: Vec<&str> = Vec::new();
    for label in array.groups.iter().flat_map(|group| &group.modules) {
        if !ids.contains(&label.id.as_str()) {
            ids.push(&label.id);
        }
    }
    if ids.len() != 1 {
        return Err(StudyError::UnlikePanels { array: array.name.clone(), panels: ids.join(", ") });
    }
    let mut unit: Vec<StringGroup> = Vec::new();
    for group in &array.groups {
        let one = StringGroup {
            modules: group.modules.iter().take(1).cloned().collect(),
            in_parallel: 1,
            ..group.clone()
        };
        if !unit.contains(&one) {
            unit.push(one);
        }
    }
    Ok(unit)
}

/// What is assumed where the plan names no controller.
fn assumed_controller(array: &Array) -> Option<Note> {
    let is_controller = |part: &Component| matches!(part.kind, ComponentKind::Controller { .. });
    (!array.components.iter().any(is_controller)).then(|| {
        Note::once(
            NoteKind::Assumed,
            format!(
                "the plan names no controller: an mppt one is assumed that starts {} V above the battery's charge volts and \
                 runs down to {} V above them (common practice, no source); name yours as a [[component]]",
                fitting::START_ABOVE_BATTERY.0,
                fitting::RUN_ABOVE_BATTERY.0
            ),
        )
    })
}

/// Why no option says what it loses to low volts.
fn unchecked_starving(options: &[SeriesOption]) -> String {
    let next = if options.iter().all(|option| option.battery_v.is_none()) {
        "no battery is named: add [battery] to the plan, or --battery-v 12,24"
    } else {
        "it needs the weather of a [[stop]]"
    };
    format!(
        "what is lost to low volts is not known, so whether an arrangement starves was not checked; {next}"
    )
}

/// The batteries to compare: the plan's, or its chemistry at other nominal volts.
fn batteries(array: &Array, asked: &[f64], notes: &mut Vec<Note>) -> Vec<Option<Battery>> {
    if asked.is_empty() {
        return vec![array.battery];
    }
    let chemistry = array.battery.map_or(Chemistry::Lfp, |battery| battery.chemistry);
    if array.battery.is_none() {
        notes.push(Note::once(
            NoteKind::Assumed,
            "the plan names no battery: a lithium iron phosphate one (lfp) is assumed for the volts asked for",
        ));
    }
    asked
        .iter()
        .map(|&nominal| match array.battery {
            Some(own) if (own.nominal.0 - nominal).abs() < 1e-9 => Some(own),
            Some(own) => Some(Battery {
                nominal: Volts(nominal),
                charge: Volts(own.charge.0 * nominal / own.nominal.0),
                ..own
            }),
            None => chemistry.usual_charge(Volts(nominal)).map(|charge| Battery {
                chemistry,
                nominal: Volts(nominal),
                charge,
                charge_is_default: true,
            }),
        })
        .collect()
}

/// What one stop says.
struct AtStop {
    options: Vec<SeriesOption>,
    few_seasons: Option<Note>,
    frost: Option<Frost>,
}

fn at_stop(
    plan: &Plan,
    open: &OpenStop<'_>,
    nodes: &crate::sun::Nodes,
    blocks: Option<Blocks>,
    unit: &[StringGroup],
    cases: &Cases,
) -> AtStop {
    let ready: Vec<ReadyGroup<'_>> =
        unit.iter().map(|group| ReadyGroup::new(group, plan.assumptions.sky_cooling_k)).collect();
    // Every rating of every count, as the volts of one panel at which it is passed.
    let mut thresholds: Vec<f64> = Vec::new();
    for case in &cases.list {
        let (ratings, _) = lines::voltage_ratings(&case.array, &plan.assumptions);
        for rating in ratings {
            let each = rating.volts / case.in_series as f64;
            if !thresholds.contains(&each) {
                thresholds.push(each);
            }
        }
    }
    let job = Loop { ratings: &thresholds, blocks, ..open.bare_loop(nodes, &ready) };
    let seen = fold(&job, open.opened.record.hours());
    let lows = temperatures::annual_lows(open);
    let mut design = temperatures::design_temperature(open, &lows, None, &plan.assumptions);
    design.window_low = open.stop.window.and(seen.block_air_low_c);
    let demands: Vec<Demand> = cases.list.iter().filter_map(Case::demand).collect();
    let charge_limits: Vec<_> = cases.list.iter().filter_map(|case| case.charge_limit(unit.len())).collect();
    let low = low_side::run(&LowJob {
        open,
        nodes,
        groups: &ready,
        demands: &demands,
        charge_limits: &charge_limits,
    });
    let mut lost = low.lost.iter();
    let mut clipped = low.above_charge_percent.iter();
    let at = At { plan, open, blocks, seen: &seen, design: &design, low: &low };
    // What decides is the same for every count: all volts are in proportion to it.
    let few = cases.list.first().and_then(|case| few_seasons::note(&at, &at.figures(case)));
    let options = cases
        .list
        .iter()
        .map(|case| {
            let lost = case.demand().and_then(|_| lost.next());
            let mut option = at.option(case);
            option.clipped_percent = option.clips_w.and_then(|_| clipped.next().copied().flatten());
            if let Some((hot, cool)) = lost {
                option.lost_start_hours_per_year = Some(hot.hours);
                option.lost_start_hours_cool = Some(cool.hours);
                option.lose(Some(hot.harvest_percent), Some(cool.harvest_percent));
                option.above_battery_percent = hot.above_battery_percent;
                option.above_battery_percent_cool = cool.above_battery_percent;
            }
            option
        })
        .collect();
    AtStop { options, few_seasons: few, frost: frost::of(open, cases, &low) }
}

/// One stop, looked at once for all cases.
struct At<'a> {
    plan: &'a Plan,
    open: &'a OpenStop<'a>,
    blocks: Option<Blocks>,
    seen: &'a Seen,
    design: &'a crate::study::results::DesignTemperature,
    low: &'a LowRun,
}

impl At<'_> {
    fn figures(&self, case: &Case) -> ArrayFigures {
        let groups = self.groups(case);
        let (ratings, _) = lines::voltage_ratings(&case.array, &self.plan.assumptions);
        self.figures_of(&groups, &self.scaled(case.in_series as f64, &ratings))
    }

    fn groups<'c>(&self, case: &'c Case) -> Vec<ReadyGroup<'c>> {
        let cooling = self.plan.assumptions.sky_cooling_k;
        case.array.groups.iter().map(|group| ReadyGroup::new(group, cooling)).collect()
    }

    fn figures_of(&self, groups: &[ReadyGroup<'_>], seen: &Seen) -> ArrayFigures {
        let assumptions = &self.plan.assumptions;
        let code_temperature = temperatures::code_temperature(self.open, self.design, assumptions);
        figures::figures(self.open, groups, seen, code_temperature, self.design.window_low, assumptions)
    }

    fn option(&self, case: &Case) -> SeriesOption {
        let assumptions = &self.plan.assumptions;
        let groups = self.groups(case);
        let (ratings, without) = lines::voltage_ratings(&case.array, assumptions);
        let seen = self.scaled(case.in_series as f64, &ratings);
        let figures = self.figures_of(&groups, &seen);
        let at = ArrayAt {
            open: self.open,
            groups: &groups,
            seen: &seen,
            figures: &figures,
            blocks: self.blocks,
            dated: self.open.stop.window.is_some(),
            assumptions,
        };
        let limits = lines::all(&at, &case.array, &ratings, &without);
        let mut option = case.bare(limits, assumptions.rules);
        option.fill(&figures);
        option.outside = outside(&figures.voltage);
        option.hot_vmp_v = self.low.hot_vmp_v.map(|volts| volts * case.in_series as f64);
        option
    }

    /// What was seen with one panel, for a string of several: volts in proportion, counts from the same thresholds.
    fn scaled(&self, panels: f64, ratings: &[VoltageRating]) -> Seen {
        let mut seen = self.seen.clone();
        let peak = |peak: &mut crate::hourly::ByVoltage<Option<crate::hourly::PeakMoment>>| {
            for voltage in crate::hourly::Voltage::ALL {
                if let Some(moment) = peak.of_mut(voltage) {
                    moment.spot.volts *= panels;
                }
            }
        };
        peak(&mut seen.peak);
        seen.blocks.iter_mut().for_each(|block| peak(&mut block.peak));
        seen.month_worst_v = seen.month_worst_v.map(|volts| volts.map(|volts| volts * panels));
        seen.over = ratings
            .iter()
            .map(|rating| {
                let each = rating.volts / panels;
                let found = self.seen.over.iter().find(|over| over.rating_v == each);
                Over { rating_v: rating.volts, ..found.cloned().unwrap_or_default() }
            })
            .collect();
        seen
    }
}

/// The code answers of a plan without a stop.
fn code_alone(cases: &Cases, plan: &Plan, air: Celsius) -> Vec<SeriesOption> {
    cases
        .list
        .iter()
        .map(|case| {
            let limits = lines::code_alone(&case.array, &plan.assumptions, air);
            let mut option = case.bare(limits, plan.assumptions.rules);
            let groups: Vec<ReadyGroup<'_>> =
                case.array.groups.iter().map(|group| ReadyGroup::new(group, None)).collect();
            option.code_v = figures::code_sum(&groups, air).map(|sum| sum.volts.0);
            option.decide_v = option.code_v;
            option
        })
        .collect()
}

/// Keeps the counts up to two past the ceiling: the largest count at which some option breaks no voltage limit.
fn trim(options: &mut Vec<SeriesOption>) {
    let holds = |option: &SeriesOption| {
        if option.has_voltage_limit() {
            option.holds_volts()
        } else {
            option.decide_v.is_none_or(|volts| volts <= CEILING_WITHOUT_RATING_V)
        }
    };
    let ceiling =
        options.iter().filter(|option| holds(option)).map(|option| option.in_series).max().unwrap_or(0);
    options.retain(|option| option.in_series <= ceiling + PAST_CEILING);
}
