//! What to buy for an array: every part that breaks a limit and every one that it needs and the plan lacks, in classes that are
//! sold, above every figure of this analysis and what lies outside it.

use crate::array::Carries;
use crate::assumptions::Rules;
use crate::limits::Verdict;
use crate::limits::mistakes::MADE_TO_BREAK_DC;
use crate::limits::rules::{fuse, lead};
use crate::study::classes::{class_condition, class_that_holds, is_dc_device, next_class_a};
use crate::study::needed::VoltsNeeded;
use crate::study::outside::{is_short, outside};
use crate::study::planned::{Planned, serves};
use crate::study::results::{ArrayAtStop, ArrayFacts, Assessment, CodeBasis, ComponentNeed, LimitLine};
use crate::study::summary::counted;

/// What is to be bought for an array, and the volts that it rests on.
#[derive(Clone, Debug)]
pub struct ToBuy<'a> {
    /// The smallest class of devices that is sold, V; `None` where none is that large.
    pub device_v: Option<f64>,
    /// The same of plugs, cables and string fuses.
    pub wiring_v: Option<f64>,
    /// The largest figure of all, by which parts are bought, V.
    pub buy_by_v: f64,
    /// The worst case with what lies outside it, V, where that is larger.
    pub reaches_v: Option<f64>,
    /// The code sum by the table of factors, V, where that is larger than all others.
    pub table_v: Option<f64>,
    /// What has to stand on a switch or breaker of it besides, where the class is a battery system's name too.
    pub only_if: Option<&'static str>,
    /// What breaks a limit, in the order of the plan, and what it lacks: devices and fuses, then cables.
    pub must: Vec<PartToBuy<'a>>,
    /// What holds in volts by little, and may stay.
    pub advised: Vec<PartToBuy<'a>>,
}

/// One part to buy.
#[derive(Clone, Debug)]
pub struct PartToBuy<'a> {
    /// The plan's name of it, or that of a row of the needs where the plan has none.
    pub name: &'a str,
    /// The plan's word for its kind.
    pub kind: &'a str,
    /// Whether the plan has it.
    pub is_planned: bool,
    /// Which current flows through it.
    pub carries: Carries,
    /// Amps that it must stand; `None` where no rule asks for any.
    pub least_a: Option<f64>,
    /// The smallest class of amps that is sold.
    pub class_a: Option<f64>,
    /// The row of the needs that it serves.
    pub need: Option<&'a ComponentNeed>,
    /// Another size of the part alone does not settle what it breaks: what to change says what does.
    pub is_open: bool,
}

impl ToBuy<'_> {
    /// The class of volts to buy for a kind of part, V.
    #[must_use]
    pub fn class_v(&self, kind: &str) -> Option<f64> {
        if is_dc_device(kind) { self.device_v } else { self.wiring_v }
    }
}

/// "3 fuses, one in each string", "a disconnect", "array cable": a part that the plan lacks, by its row of the needs.
#[must_use]
pub fn lacking_name(strings: u32, row: &str) -> String {
    match row {
        "string fuse" => format!("{strings} fuses, one in each string"),
        _ if row.ends_with(" cable") => row.to_owned(),
        other => format!("a {other}"),
    }
}

/// An array at every stop.
fn at_stops<'a>(assessment: &'a Assessment, facts: &'a ArrayFacts) -> impl Iterator<Item = &'a ArrayAtStop> {
    assessment.stops.iter().flat_map(|stop| &stop.arrays).filter(|at| at.name == facts.name)
}

/// The figures that parts are bought by, V.
struct BuyBy {
    needed: VoltsNeeded,
    /// The largest that decides a limit.
    largest_v: f64,
    /// With what lies outside it, where that is larger.
    reaches_v: Option<f64>,
    /// By the code's table of factors, where that is larger than all others.
    table_v: Option<f64>,
}

impl BuyBy {
    /// `None` where no volts are known.
    fn of(assessment: &Assessment, facts: &ArrayFacts) -> Option<Self> {
        let needed = match VoltsNeeded::at(&assessment.stops, &facts.name, |_| true) {
            needed if needed.largest().is_some() => needed,
            _ => VoltsNeeded::of_sum(Some(facts.code_alone.as_ref()?.code), None),
        };
        let largest_v = needed.largest()?;
        let at_stops = || at_stops(assessment, facts);
        let reaches_v = at_stops().filter_map(|at| Some(outside(&at.voltage_v)?.reaches_v)).reduce(f64::max);
        let reaches_v = reaches_v.filter(|&volts| volts > largest_v);
        let table_v = at_stops()
            .filter(|at| at.voltage_v.code_basis != Some(CodeBasis::Table))
            .filter_map(|at| at.voltage_v.table)
            .reduce(f64::max)
            .filter(|&volts| volts > reaches_v.unwrap_or(largest_v));
        Some(Self { needed, largest_v, reaches_v, table_v })
    }

    /// What the largest is, where it is not the figure that parts are bought by at least.
    fn why(&self) -> &'static str {
        match (self.table_v, self.reaches_v) {
            (Some(_), _) => " (the code's table of factors)",
            // What lies outside is named beside the figures themselves.
            (None, _) => "",
        }
    }

    fn top_v(&self) -> f64 {
        self.table_v.or(self.reaches_v).unwrap_or(self.largest_v)
    }
}

/// The largest of all figures that parts of an array are bought by, with what lies outside, V, and what it is; `None` where no volts are known.
pub(super) fn volts_to_buy_by(assessment: &Assessment, facts: &ArrayFacts) -> Option<(f64, &'static str)> {
    BuyBy::of(assessment, facts).map(|by| (by.top_v(), by.why()))
}

/// The same where it asks for another class of devices than the figure that parts are bought by at least, or passes a rating of the
/// plan that holds that figure: then both are told.
#[must_use]
pub fn to_buy_by_more(assessment: &Assessment, facts: &ArrayFacts) -> Option<(f64, &'static str)> {
    let by = BuyBy::of(assessment, facts)?;
    let class = |volts: f64| class_that_holds("controller", &by.needed, volts);
    let (low, top) = (by.largest_v, by.top_v());
    // A rating of the plan between the two is as well no sign that such a part is the one to buy.
    let mut ratings = facts.wiring.components.iter().filter_map(|part| part.max_v);
    (class(top) != class(low) || ratings.any(|rating| (low..top).contains(&rating)))
        .then(|| (top, if by.table_v.is_some() { by.why() } else { " (with what lies outside)" }))
}

/// `None` where nothing but cables has to be bought, where buying would not do, and where no volts are known.
#[must_use]
pub fn to_buy<'a>(assessment: &'a Assessment, facts: &'a ArrayFacts) -> Option<ToBuy<'a>> {
    let by = BuyBy::of(assessment, facts)?;
    let at_stops = || at_stops(assessment, facts);
    let alone = facts.code_alone.as_ref();
    let lines: Vec<&LimitLine> = {
        let alone = alone.into_iter().flat_map(|alone| &alone.limits);
        at_stops().flat_map(|at| &at.limits).chain(alone).collect()
    };
    let broken: Vec<&LimitLine> = lines.iter().copied().filter(|line| is_broken(line)).collect();
    // A panel's own volts, or those that may be touched, are not raised by a larger device.
    if broken.iter().any(|line| matches!(line.kind.as_str(), "module" | "touch")) {
        return None;
    }
    let mut must: Vec<PartToBuy<'a>> = Vec::new();
    for line in &broken {
        add_once(&mut must, planned_part(facts, line, &lines, assessment.rules));
    }
    let lacking = || facts.needs.components.iter().filter(|need| need.in_plan == Planned::Needed);
    must.extend(lacking().map(lacking_part).filter(|part| part.kind != "cable"));
    if must.is_empty() {
        return None;
    }
    must.extend(lacking().map(lacking_part).filter(|part| part.kind == "cable"));
    let mut advised: Vec<PartToBuy<'a>> = Vec::new();
    let little = lines.iter().copied().filter(|line| counted(line) == Verdict::Close);
    let short = at_stops().flat_map(|at| at.limits.iter().filter(|line| is_short(line, &at.voltage_v)));
    for line in little.chain(short).filter(|line| line.unit == "V" && is_dc_device(&line.kind)) {
        if !must.iter().any(|part| part.is(line)) {
            add_once(&mut advised, planned_part(facts, line, &lines, assessment.rules));
        }
    }
    let top_v = by.top_v();
    let device_v = class_that_holds("controller", &by.needed, top_v);
    let is_named = |kind: &str| device_v.is_some_and(|class_v| !class_condition(kind, class_v).is_empty());
    Some(ToBuy {
        device_v,
        wiring_v: class_that_holds("cable", &by.needed, top_v),
        buy_by_v: by.largest_v,
        reaches_v: by.reaches_v,
        table_v: by.table_v,
        only_if: must.iter().any(|part| is_named(part.kind)).then_some(MADE_TO_BREAK_DC),
        must,
        advised,
    })
}

fn is_broken(line: &LimitLine) -> bool {
    matches!(counted(line), Verdict::Exceeded | Verdict::NotMet)
}

impl PartToBuy<'_> {
    fn is(&self, line: &LimitLine) -> bool {
        self.name == line.component && self.kind == line.kind
    }
}

fn add_once<'a>(parts: &mut Vec<PartToBuy<'a>>, part: PartToBuy<'a>) {
    if !parts.iter().any(|other| other.name == part.name && other.kind == part.kind) {
        parts.push(part);
    }
}

/// A part of the plan, with what the row that it serves asks of it, else its own limit in amps.
fn planned_part<'a>(
    facts: &'a ArrayFacts,
    line: &'a LimitLine,
    lines: &[&'a LimitLine],
    rules: Rules,
) -> PartToBuy<'a> {
    let own = facts.wiring.components.iter();
    let carries = own
        .clone()
        .find(|part| part.name == line.component && part.kind == line.kind)
        .map(|part| part.carries);
    let carries = carries.unwrap_or(Carries::Array);
    let need = facts
        .needs
        .components
        .iter()
        .find(|need| serves(&line.kind, &line.component, carries, &need.component, facts.strings));
    let same = || lines.iter().filter(|other| other.component == line.component && other.kind == line.kind);
    let asked =
        same().find(|other| other.unit == "A" && !fuse::RULE.is(&other.rule)).and_then(|other| other.worst);
    let (least_a, class_a) = match need {
        Some(need) => (Some(need.amps), need.next_class_a),
        None => (asked, asked.and_then(|amps| next_class_a(&line.kind, amps, rules))),
    };
    let mut broken = same().filter(|other| is_broken(other));
    let is_open =
        broken.any(|other| lead::RULE.is(&other.rule) || (fuse::RULE.is(&other.rule) && need.is_none()));
    PartToBuy {
        name: &line.component,
        kind: &line.kind,
        is_planned: true,
        carries,
        least_a,
        class_a,
        need,
        is_open,
    }
}

/// A part that the plan lacks.
fn lacking_part(need: &ComponentNeed) -> PartToBuy<'_> {
    let row = need.component.as_str();
    let kind = match row {
        "string fuse" => "fuse",
        _ if row.ends_with(" cable") => "cable",
        other => other,
    };
    PartToBuy {
        name: row,
        kind,
        is_planned: false,
        carries: if row.starts_with("string ") { Carries::String } else { Carries::Array },
        least_a: Some(need.amps),
        class_a: need.next_class_a,
        need: Some(need),
        is_open: false,
    }
}
