//! What the renderers share: one line per limit over all stops, who decides, and sentences that stand in text and page alike.

mod judged;
mod lacking;
mod names;
mod notes;
mod others;
mod records;
mod served;
mod to_buy;
mod trip;
mod unprotected;

pub(crate) use judged::{
    Judged, all_limits, broken_too, counting_verdict, decider, leading_stop, tightest_volts, volt_ratings,
    volts_decider, worst_of_each,
};
pub(crate) use lacking::{is_told_first, lacking, lacking_above_a_list};
pub(crate) use names::shown_name;
pub(crate) use notes::{is_about_method, is_detail, is_poor_fit, note_text, told};
pub(crate) use others::{other_dates, other_way, other_way_in_short};
pub(crate) use records::{design_rows, design_rows_of, lit_hours, record_sentence, station_sentence};
pub(crate) use served::{class_to_buy, served};
pub(crate) use to_buy::part_to_buy;
pub(crate) use trip::{
    DEPARTURES_SEEN, DEPARTURES_SEEN_SAY_LITTLE, departures, departures_seen, seen_words, shift_words,
    trip_remarks, trip_sentence,
};
pub(crate) use unprotected::unprotected;

use super::show::{self, fixed};
use crate::array::Carries;
use crate::limits::Verdict;
use crate::study::results::{
    ArrayAtStop, ArrayFacts, Assessment, Chance, CodeBasis, ComponentNeed, FourVoltages, LimitLine, Needs,
    NotGiven, RecordKind, StopResult, Touch,
};
use crate::study::{is_anything_checked, is_in_doubt, outside_in_words};
use crate::time::UtcOffset;
use crate::units::at_least;

/// The word at the top of the answer with the verdict that colours it. A plan in which nothing has a rating, or whose weather
/// is in doubt, is `within` for scripts; a person must not read that as an answer.
pub(crate) fn headline(assessment: &Assessment) -> (&'static str, Verdict) {
    if is_in_doubt(assessment) {
        ("check the weather first", Verdict::NotAssessed)
    } else if assessment.verdict != Verdict::Within || is_anything_checked(assessment) {
        (show::verdict(assessment.verdict), assessment.verdict)
    } else {
        ("nothing to check", Verdict::NotAssessed)
    }
}

/// Who reads a sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reader {
    /// Who keeps the plan and types commands.
    Planner,
    /// Who was handed the page.
    Client,
}

/// What belongs beside the first sentence of the answer: controllers judged together, that there is no code sum, and what lies outside the figures where
/// little room is left.
pub(crate) fn beside_the_answer(assessment: &Assessment) -> Vec<String> {
    beside(assessment, Reader::Planner)
}

/// The same for a client, who does not see the plan.
pub(crate) fn beside_the_answer_of_a_client(assessment: &Assessment) -> Vec<String> {
    beside(assessment, Reader::Client)
}

fn beside(assessment: &Assessment, reader: Reader) -> Vec<String> {
    let has_code = |stop: &StopResult| stop.arrays.iter().all(|array| array.voltage_v.code.is_some());
    let typical = |stop: &&StopResult| stop.record.kind == RecordKind::TypicalYear && !has_code(stop);
    let mut places: Vec<&str> = Vec::new();
    for stop in assessment.stops.iter().filter(typical) {
        if !places.contains(&stop.place.as_str()) {
            places.push(&stop.place);
        }
    }
    let at = match assessment.stops.len() {
        0 | 1 => String::new(),
        _ => format!(" at {}", places.join(", ")),
    };
    let no_code =
        (!places.is_empty()).then(|| format!("Code sum not assessed{at}: a typical year gives none."));
    let rivals = assessment.arrays.iter().filter_map(|facts| rival_controllers(assessment, facts, reader));
    rivals.chain(no_code).chain(outside_in_words(assessment)).collect()
}

/// That several controllers of one array are judged together, and what to do where only one of them will be fitted.
pub(crate) fn rival_controllers(
    assessment: &Assessment,
    facts: &ArrayFacts,
    reader: Reader,
) -> Option<String> {
    let names = &facts.rival_controllers;
    let [_, _, ..] = names.as_slice() else { return None };
    let with_weather = all_limits(assessment).filter(|judged| judged.array.name == facts.name);
    let alone = facts.code_alone.iter().flat_map(|alone| &alone.limits);
    let limits: Vec<&LimitLine> = with_weather.map(|judged| judged.limit).chain(alone).collect();
    let own = |name: &String| -> Vec<&LimitLine> {
        let is_own = |limit: &&LimitLine| limit.kind == "controller" && limit.component == *name;
        limits.iter().copied().filter(is_own).collect()
    };
    let breaks = |name: &&String| {
        own(name).iter().any(|line| matches!(counting_verdict(line), Verdict::Exceeded | Verdict::NotMet))
    };
    // Of what lacks a rating nobody knows whether it holds.
    let is_judged = |name: &String| {
        let lines = own(name);
        !lines.is_empty()
            && lines.iter().all(|line| counting_verdict(line) != Verdict::NotAssessed)
            && facts.not_given.iter().all(|lacking| lacking.component != *name)
    };
    let (failing, others): (Vec<&String>, Vec<&String>) = names.iter().partition(breaks);
    let all = names.join(" and ");
    if reader == Reader::Client {
        let which = match (others.as_slice(), failing.as_slice()) {
            ([one], [_, ..]) if is_judged(one) => format!(" ({one} holds by itself)"),
            _ => String::new(),
        };
        return Some(format!(
            "{}, {all}; if only one will be built in{which}, whoever made this plan should judge \
             it alone.",
            match names.len() {
                2 => "Two controllers are judged as both fitted".to_owned(),
                several => format!("{several} controllers are judged as all fitted"),
            }
        ));
    }
    let next = match (others.as_slice(), failing.as_slice()) {
        ([one], [_, ..]) => format!(
            "If only {one} will be, which {}, delete the [[component]] of {} from the plan",
            if is_judged(one) { "holds" } else { "breaks nothing but is not wholly judged" },
            failing.iter().map(|name| name.as_str()).collect::<Vec<_>>().join(" and ")
        ),
        _ => format!(
            "If only one will be, delete the [[component]] of the {} from the plan",
            if names.len() == 2 { "other" } else { "others" }
        ),
    };
    Some(format!(
        "{all} stand on one array: each is judged as fitted. {next} (to choose: `dawnvolt series`); where each has panels of its own, \
         give each an array of its own."
    ))
}

/// The word for a rating that the plan does not give, where a verdict would stand.
pub(crate) const NOT_GIVEN: &str = "not judged";

/// What such rows mean.
pub(crate) const WHY_NOT_JUDGED: &str = "Not judged: the plan does not give that rating, so look on the part or in its manual; the \
figure is what it must stand. No limit, and not in the verdict.";

/// What a part whose rating the plan does not give must stand.
pub(crate) fn must_stand(lacking: &NotGiven) -> String {
    lacking.least.map_or_else(|| "unknown".to_owned(), |least| show::figure(at_least(least), lacking.unit))
}

/// What one component must stand, printed.
pub(crate) struct Need<'a> {
    /// Which component.
    pub component: &'a str,
    /// Volts.
    pub volts: String,
    /// Amps.
    pub amps: String,
    /// The next common class.
    pub class: String,
    /// Whether the plan has it: "yes", "no: needed", "no: only if".
    pub in_plan: &'static str,
    /// What else.
    pub remark: &'a str,
}

/// The needs of an array as rows.
pub(crate) fn needs(needs: &Needs) -> Vec<Need<'_>> {
    let up = |value: f64| fixed(at_least(value), 1);
    let row = |need: &'_ ComponentNeed| {
        let classes = [(need.next_class_v, "V"), (need.next_class_a, "A")];
        let classes: Vec<String> =
            classes.into_iter().filter_map(|(class, unit)| Some(show::rating(class?, unit))).collect();
        (
            need.volts.map_or_else(|| "unknown".to_owned(), |volts| format!("{} V dc", up(volts))),
            format!("{} A", up(need.amps)),
            if classes.is_empty() { "-".to_owned() } else { classes.join(", ") },
        )
    };
    let rows = needs.components.iter().map(|need| {
        let (volts, amps, class) = row(need);
        let remark = if need.remark.is_empty() { "-" } else { need.remark.as_str() };
        Need { component: &need.component, volts, amps, class, in_plan: need.in_plan.word(), remark }
    });
    rows.collect()
}

/// "8 % (2 % to 23 %)".
pub(crate) fn chance_words(chance: &Chance) -> String {
    format!("{} ({} to {})", show::chance(chance.best), show::chance(chance.low), show::chance(chance.high))
}

/// "2 of 25", by sudden sun.
pub(crate) fn seasons_words(limit: &LimitLine) -> String {
    match limit.seasons_broken {
        Some(broken) => format!("{} of {}", broken.sudden_sun, limit.seasons_counted),
        None => "-".to_owned(),
    }
}

/// "3 of 5 complete", where seasons that are not complete stand among those counted: whether they broke a rating is known, whether
/// they held it is not.
pub(crate) fn of_complete(judged: &Judged<'_>) -> Option<String> {
    let rating = judged.limit.rating.filter(|_| judged.limit.unit == "V")?;
    let maxima = &judged.array.season_maxima_v;
    let complete = maxima.iter().filter(|season| season.counted);
    let count = complete.clone().count();
    let broken = complete.filter(|season| season.sudden_sun.is_some_and(|volts| volts > rating)).count();
    (count > 0 && count < judged.limit.seasons_counted).then(|| format!("{broken} of {count} complete"))
}

/// The worst case that is expected: its level, or the largest seen with the allowance.
pub(crate) fn expected(four: &FourVoltages) -> Option<f64> {
    four.worst_case.predictive_level.or(four.allowance)
}

/// What hours of sudden sun are: hours of such moments, and not how long it would last. Where the parked volts of one of the limits
/// pass it too, warm panels do not end it.
pub(crate) fn rolling<'a>(mut limits: impl Iterator<Item = &'a LimitLine>) -> String {
    let is_passed = limits.any(|limit| limit.hours_per_year.is_some_and(|hours| hours.steady > 0.0));
    format!(
        "rolling into that sun would pass the rating, each time for minutes until the panels are warm{}",
        if is_passed { " (longer where parked volts pass it too)" } else { "" }
    )
}

/// What must stand beside worst-case hours wherever they are printed.
pub(crate) fn worst_case_hours<'a>(limits: impl Iterator<Item = &'a LimitLine>) -> String {
    format!(
        "* if full clear sun fell then. Sudden sun and worst case count 5-minute steps in which {}. Parked counts the daylight of \
         each hour whose mean is over the rating, so it can show more hours than the others.",
        rolling(limits)
    )
}

/// What stands under the four voltages.
pub(crate) fn voltage_remarks(four: &FourVoltages) -> Vec<String> {
    let mut lines = Vec::new();
    let basis = match four.code_basis {
        Some(CodeBasis::Coefficient) => Some("the label's coefficient"),
        Some(CodeBasis::Table) => Some("the crystalline table's factor"),
        Some(CodeBasis::Bound) => Some("the stated bound, since label and table are silent"),
        None => None,
    };
    if let Some(basis) = basis {
        let mut line = format!("The code sum rests on {basis}");
        if let Some(table) = four.table.filter(|_| four.code_basis != Some(CodeBasis::Table)) {
            line.push_str(&format!("; with the crystalline table's factor it is {}", show::volts(table)));
        }
        lines.push(line + ".");
    }
    if let Some(window) = four.window_code {
        lines.push(format!(
            "At the lowest air of the stay's own days the same sum is {} (information; codes know no travel dates).",
            show::volts(window)
        ));
    }
    if let Some(sum) = &four.decides {
        lines.push(format!("The worst case that is expected (seen or expected, the larger decides): {sum}."));
        if let (Some(level), Some(expected)) =
            (four.worst_case.level_20_year, four.worst_case.predictive_level)
        {
            lines.push(format!(
                "The plain 20-year level, {}, takes the seasons seen for the whole truth; the expected figure, {}, adds what so few \
                 of them leave open.",
                show::volts(level),
                show::volts(expected)
            ));
        }
    }
    if let Some(seconds) = four.sudden_sun.within_2_percent_s {
        lines.push(format!(
            "The largest sudden-sun voltage stays within 2 % of its peak for about {} each time, while that sun warms a glass \
             panel; glued to a roof it warms more slowly.",
            show::seconds(seconds)
        ));
    }
    if !four.not_held.is_empty() {
        let parts: Vec<String> =
            four.not_held.iter().map(|part| format!("{} {}", part.what, show::volts(part.volts))).collect();
        let all: f64 = four.not_held.iter().map(|part| part.volts).sum();
        let together = if parts.len() > 1 {
            format!("; together {}", show::volts(at_least(all)))
        } else {
            String::new()
        };
        lines.push(format!("Not inside the worst case: {}{together}.", parts.join(", ")));
    }
    lines
}

/// Largest currents, if any hour was computed.
pub(crate) fn current_sentence(array: &ArrayAtStop, stop: &StopResult) -> Option<String> {
    let current = &array.current_a;
    let most = current.max_hour?;
    let mut text = format!("largest hour mean {}", show::amps(most));
    if let Some(at) = current.at {
        text.push_str(&format!(" on {} local time", at.local(stop.utc_offset)));
    }
    if let Some(three) = current.highest_3_hour_mean {
        text.push_str(&format!(
            "; highest mean of three hours in a row {} (information, never a way to pass)",
            show::amps(three)
        ));
    }
    if let Some(burst) = current.burst {
        text.push_str(&format!(
            "; at cloud edges up to {} for seconds to minutes ({} times clear sky with snow and rear light where the plan has \
             them; information)",
            show::amps(burst),
            current.burst_factor
        ));
    }
    Some(text)
}

/// Cloud edges that pass a rating in amps which the rules hold: why that is no verdict, and who decides it.
pub(crate) fn bursts_above(assessment: &Assessment, array: &str) -> Option<String> {
    let at_stops = || assessment.stops.iter().flat_map(|stop| &stop.arrays).filter(|at| at.name == array);
    let burst = at_stops().filter_map(|at| at.current_a.burst).reduce(f64::max)?;
    // A part of a single string meets its own share alone.
    let facts = assessment.arrays.iter().find(|facts| facts.name == array)?;
    let parts = &facts.wiring.components;
    let carries_all =
        |name: &str| parts.iter().any(|part| part.name == name && part.carries == Carries::Array);
    let mut passed: Vec<String> = Vec::new();
    for limit in
        at_stops().flat_map(|at| &at.limits).filter(|limit| limit.unit == "A" && limit.kind != "cable")
    {
        let Some(rating) = limit.rating.filter(|rating| *rating < burst) else { continue };
        let name = format!("{} ({})", limit.component, show::rating(rating, "A"));
        if carries_all(&limit.component)
            && counting_verdict(limit) == Verdict::Within
            && !passed.contains(&name)
        {
            passed.push(name);
        }
    }
    (!passed.is_empty()).then(|| {
        format!(
            "At cloud edges up to {} for seconds to minutes, more than {}: the rules' factors stand for such moments, and the \
             manual of each says what it takes for how long (information).",
            show::amps(burst),
            crate::units::listed(&passed)
        )
    })
}

/// Touch class and hours over its lines.
pub(crate) fn touch_sentence(touch: &Touch) -> String {
    let mut text = format!("{}: {} (information)", touch.class, touch.meaning);
    let hours = [
        (30, touch.hours_per_year_above_30_v),
        (60, touch.hours_per_year_above_60_v),
        (120, touch.hours_per_year_above_120_v),
    ];
    let counted: Vec<String> = hours
        .into_iter()
        .filter_map(|(volts, hours)| hours.map(|hours| format!("{volts} V in {}", show::count(hours))))
        .collect();
    if !counted.is_empty() {
        text.push_str(&format!("; parked, hours a year above {}", counted.join(", ")));
    }
    text
}

/// What is worth knowing and never a limit: a name and its sentence.
pub(crate) fn information(array: &ArrayAtStop) -> Vec<(String, &str)> {
    let mut lines: Vec<(String, &str)> = array
        .information
        .iter()
        .map(|line| (format!("{}, {}", line.component, line.what), line.text.as_str()))
        .collect();
    if let Some(low) = &array.low_side {
        lines.push((format!("{}, frost and heat", low.controller), low.text.as_str()));
    }
    if let Some(frost) = array.battery_frost.as_ref().filter(|frost| frost.hours_below_0_c > 0.0) {
        lines.push(("battery, frost".to_owned(), frost.text.as_str()));
    }
    lines
}

/// The steps from label to figure, one line each.
pub(crate) fn step_lines(limit: &LimitLine) -> Vec<String> {
    limit
        .steps
        .iter()
        .map(|step| format!("{}: {} ({})", step.what, show::step(step.value, &step.unit), step.text))
        .collect()
}

/// Longest run and first and last day over the rating.
pub(crate) fn run_sentence(limit: &LimitLine, offset: UtcOffset) -> Option<String> {
    let mut parts = Vec::new();
    if let Some(run) = limit.longest_run_h.filter(|run| *run > 0.0) {
        parts.push(format!("longest in one go, in sudden sun: {} hours of such moments", show::count(run)));
    }
    for (voltage, span) in [
        ("sudden sun", limit.first_broken.zip(limit.last_broken)),
        ("the worst case", limit.worst_case_first_broken.zip(limit.worst_case_last_broken)),
    ] {
        if let Some((first, last)) = span {
            let (first, last) = (first.local_day(offset), last.local_day(offset));
            parts.push(format!("in {voltage} first on {first}, last on {last}"));
        }
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// The text with a capital at its beginning and a full stop at its end.
pub(crate) fn sentence(text: &str) -> String {
    let mut out = capital(text.trim());
    if !out.is_empty() && !out.ends_with(['.', '!', '?', ':']) {
        out.push('.');
    }
    out
}

/// The text with a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
    first + letters.as_str()
}
