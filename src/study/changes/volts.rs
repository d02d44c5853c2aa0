//! What clears a limit in volts.

use super::Way;
use super::fewer::Fewer;
use crate::limits::Verdict;
use crate::study::classes::{
    class_condition, class_that_holds, class_v, class_v_words, close_words, device_class, device_classes_v,
    is_sold,
};
use crate::study::counted;
use crate::study::needed::Class;
use crate::study::outside::{Outside, is_short, outside};
use crate::study::results::{CodeBasis, LimitLine};
use crate::study::words::percent_left;
use crate::units::{at_least, spare};

impl Way<'_> {
    /// All that helps a limit in volts that is broken. `fewer_in_series`: what that does, where it was not told yet.
    pub(super) fn fewer_volts(&self, line: &LimitLine, fewer_in_series: Option<Fewer>) -> Vec<String> {
        let (Some(rating), Some(worst)) = (line.rating, line.worst) else {
            return vec![self.not_assessed(line)];
        };
        let volts = self.needed.largest().map_or(worst, |needed| needed.max(worst));
        let mut out = vec![match line.kind.as_str() {
            "module" => format!(
                "{}: its label allows a system of {rating} V and the string reaches {volts:.1} V: fewer in series, or panels for a \
                 higher system voltage.",
                line.component
            ),
            "touch" => format!(
                "touch voltage: the string reaches {volts:.1} V and the plan asks for {rating} V: fewer in series, or guard every bare \
                 part and leave touch_limit_v out."
            ),
            _ => self.larger(line, volts),
        }];
        if let Some(fewer) = fewer_in_series {
            // What costs nothing comes first.
            out.insert(if fewer.is_free { 0 } else { 1 }, fewer.sentence);
        }
        out.extend(self.measured_panels(line, rating));
        out.extend(self.other_stop(line));
        out.extend(self.other_dates(line));
        out
    }

    /// A device of a larger class, one that holds with room.
    fn larger(&self, line: &LimitLine, volts: f64) -> String {
        let holds = format!("{}: one for at least {:.1} V dc holds", line.component, at_least(volts));
        let class = class_v(&line.kind, &self.needed);
        format!("{holds}{}.", self.class_words(&line.kind, class, "leaves"))
    }

    /// "; the next common class of 75 V leaves 20 % to spare (60 V would leave 2.1 % only)".
    fn class_words(&self, kind: &str, class: Class, leaves: &str) -> String {
        let close = class.close.map(|close| close_words(&self.needed, close));
        match class.with_room {
            Some(volts) => format!(
                "; the next common class of {volts} V{} {leaves} {} to spare{}",
                class_condition(kind, volts),
                spare(self.needed.spare_percent(volts).unwrap_or(0.0)),
                close.map_or_else(String::new, |close| format!(" ({close})"))
            ),
            None => format!(
                "; no common class leaves room{}",
                close.map_or_else(String::new, |close| format!(" ({close})"))
            ),
        }
    }

    /// A limit that holds by little: the class that leaves room.
    pub(super) fn room_to_spare(&self, line: &LimitLine) -> String {
        let margin = line.margin_percent.unwrap_or(0.0);
        let holds = format!("{}: holds by {} only", line.component, percent_left(margin));
        if !is_sold(line) {
            return format!("{holds}; fewer in series would leave more.");
        }
        let class = Class { close: None, ..class_v(&line.kind, &self.needed) };
        format!("{holds}{}.", self.class_words(&line.kind, class, "would leave"))
    }

    /// A class, or a rating of the plan, that the figure which decides leaves standing and that other figures pass: the code sum by
    /// the table of factors, or what lies outside. Only where something in volts is to be bought anyway.
    pub(super) fn between_classes(&self) -> Option<String> {
        let worth = self.worth_a_change();
        let buys = |line: &&&LimitLine| {
            line.unit == "V"
                && is_sold(line)
                && matches!(counted(line), Verdict::Exceeded | Verdict::Close)
                && class_v(&line.kind, &self.needed) == device_class(&self.needed)
        };
        let first = *worth.iter().find(buys)?;
        let decides = self.needed.largest()?;
        let at_stops = || {
            let all = self.assessment.stops.iter().flat_map(|stop| &stop.arrays);
            all.filter(|at| at.name == self.facts.name)
        };
        let table = at_stops()
            .filter(|at| at.voltage_v.code_basis != Some(CodeBasis::Table))
            .filter_map(|at| at.voltage_v.table)
            .reduce(f64::max)
            .filter(|&volts| volts > decides);
        let reaches = at_stops().filter_map(|at| Some(outside(&at.voltage_v)?.reaches_v)).reduce(f64::max);
        let top = table.into_iter().chain(reaches).reduce(f64::max)?;
        let between = |volts: &f64| (decides..top).contains(volts);
        let of_plan = at_stops().flat_map(|at| &at.limits).filter(|line| line.unit == "V" && is_sold(line));
        let low = of_plan
            .filter_map(|line| line.rating)
            .chain(device_classes_v())
            .filter(between)
            .reduce(f64::max)?;
        let buy = class_that_holds("controller", &self.needed, top)?;
        let condition = class_condition(&first.kind, buy);
        let mut passes = Vec::new();
        if let Some(table) = table {
            passes.push(format!("the code sum by the table of factors is {:.1} V", at_least(table)));
        }
        if let Some(reaches) = reaches.filter(|&volts| volts > decides) {
            passes.push(format!("the worst case with what lies outside it is {:.1} V", at_least(reaches)));
        }
        Some(format!(
            "buy for {buy} V{condition}, not for {low} V, where a part is bought: {:.1} V is the figure to buy by, but {}.",
            at_least(decides),
            passes.join(", and ")
        ))
    }

    /// The limits that hold with less room than what lies outside the figures would take.
    pub(super) fn short_of_outside(&self) -> Vec<String> {
        let mut short: Vec<(&LimitLine, f64)> = Vec::new();
        let stops = self.assessment.stops.iter().flat_map(|stop| &stop.arrays);
        for at in stops.filter(|at| at.name == self.facts.name) {
            let Some(Outside { reaches_v, .. }) = outside(&at.voltage_v) else { continue };
            for line in at.limits.iter().filter(|line| is_short(line, &at.voltage_v)) {
                match short.iter_mut().find(|(other, _)| other.component == line.component) {
                    Some(other) if other.1 >= reaches_v => {}
                    Some(other) => *other = (line, reaches_v),
                    None => short.push((line, reaches_v)),
                }
            }
        }
        let fares_worse = self.worth_a_change();
        short.retain(|(line, _)| {
            !fares_worse.iter().any(|other| other.unit == "V" && other.component == line.component)
        });
        let sentence = |(line, reaches_v): &(&LimitLine, f64)| {
            let name = &line.component;
            let outside = format!(
                "{name}: holds, but what lies outside the figures (cloud edge, slope, soaked module) could take it to {:.1} V",
                at_least(*reaches_v)
            );
            match class_that_holds(&line.kind, &self.needed, *reaches_v).filter(|_| is_sold(line)) {
                Some(class) => {
                    let class = class_v_words(&line.kind, class);
                    format!("{outside}: take the next common class, {class}.")
                }
                None => format!("{outside}; fewer in series would leave more."),
            }
        };
        short.iter().map(sentence).collect()
    }

    /// Measuring the panels, where the label's tolerance alone decides: the line's own steps say what it is worth.
    fn measured_panels(&self, line: &LimitLine, rating: f64) -> Option<String> {
        if line.code_verdict == Some(Verdict::Exceeded) {
            return None;
        }
        let after = line.steps.iter().position(|step| step.what == "tolerance")?;
        let (before, with) = (line.steps.get(after.checked_sub(1)?)?.value, line.steps.get(after)?.value);
        // Every figure of the weather, at every stop: what was seen may fall below the rating and what is expected not.
        let as_labelled = self.needed.worst_case()? * before / with;
        let close = match self.needed.times(before / with).worst_case_verdict(rating) {
            Verdict::Close => ", which is close",
            _ => "",
        };
        (with > 0.0 && before < with && as_labelled <= rating).then(|| {
            format!(
                "{}: the tolerance of the label alone decides: panels measured at or below their label reach {:.1} V, {:.1} % \
                 below {rating} V{close}; measure each, and write voc_tolerance_percent = 0 where that is so.",
                line.component,
                as_labelled,
                (rating - as_labelled) / rating * 100.0
            )
        })
    }
}
