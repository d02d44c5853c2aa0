//! What clears a limit in amps: a class that holds, never above the panel's own largest series fuse where it protects a string,
//! and never above what the cable behind it may carry.

use super::Way;
use crate::array::{Carries, Component};
use crate::limits::rules::fuse;
use crate::study::cable_with_device::{may_be_leads, with_device};
use crate::study::cables::{self, Cable, Device};
use crate::study::classes::{
    array_device, label_cap_a, next_class_a, next_class_a_words, series_with_a_cable,
};
use crate::study::results::LimitLine;
use crate::study::{string_disconnects, trunk};
use crate::units::at_least;

impl Way<'_> {
    /// What clears a limit in amps.
    pub(super) fn more_amps(&self, line: &LimitLine) -> Vec<String> {
        let (Some(rating), Some(worst)) = (line.rating, line.worst) else {
            return vec![self.not_assessed(line)];
        };
        let Some(component) = self.component_of(line) else { return vec![self.not_assessed(line)] };
        if let Some(cable) = cables::cable(component) {
            return vec![self.thicker(&cable, line)];
        }
        if line.rule.starts_with("string fuse") {
            return vec![self.smaller_fuse(component, line)];
        }
        vec![self.larger_rating(component, line, rating, worst)]
    }

    /// The component of a line; of several that bear one name the one whose size or rating the line tells of.
    pub(super) fn component_of(&self, line: &LimitLine) -> Option<&Component> {
        let named = || {
            self.array
                .components
                .iter()
                .filter(|part| part.name == line.component && part.kind.word() == line.kind)
        };
        let told = |part: &&Component| match cables::cable(part) {
            Some(cable) => {
                let isc_a = self.array.carried_isc_a(part.carries);
                cable.judge(isc_a).reason == line.reason
            }
            None => part.rated_a.map(|amps| amps.0) == line.rating,
        };
        named().find(told).or_else(|| named().next())
    }

    /// The size that holds where this cable runs, with the current that it carries.
    fn thicker(&self, cable: &Cable<'_>, line: &LimitLine) -> String {
        let carries = cable.component.carries;
        let isc_a = self.array.carried_isc_a(carries);
        let name = &cable.component.name;
        let cooler = match cable.holds_up_to_c(isc_a) {
            Some(air_c) => {
                format!("; or a cooler way for it: as it is it holds in air of up to {air_c:.0} °C")
            }
            None => String::new(),
        };
        if cables::alone(cable.run, isc_a).is_none() {
            let hotter = cables::Run { insulation_c: cables::USUAL.insulation_c, ..cable.run };
            let insulation = match cables::alone(hotter, isc_a) {
                Some(size) if cable.run.insulation_c < hotter.insulation_c => {
                    format!("; with insulation of {:.0} °C {}", hotter.insulation_c, size.words())
                }
                _ => String::new(),
            };
            return format!(
                "{name}: {}; no size up to {} holds there{insulation}{cooler}; or split the array.",
                line.reason,
                cables::THICKEST
            );
        }
        let rules = self.plan.assumptions.rules;
        let leads = if may_be_leads(self.array, cable, rules) {
            ", which may serve as the leads of the strings"
        } else {
            ""
        };
        let device = self.device_of(carries);
        if let Some(found) = with_device(self.array, cable, rules) {
            let cables::Run { insulation_c, air_c } = cable.run;
            let keep = device.and_then(|(_, rated)| {
                let size = cables::offered(cable.run, isc_a, Device::of_plan(rated), rules)?;
                Some(format!("; or {} behind today's {rated} A by NEC 240.4 alone", size.words()))
            });
            return format!(
                "{name}: {} ({insulation_c:.0} °C insulation in air of {air_c:.0} °C, where it runs){}; today it is {}{leads}{cooler}.",
                found.words(),
                keep.unwrap_or_default(),
                cable.size_words()
            );
        }
        // Without one in the plan the one that the needs advise, so that both name the same size.
        let advised =
            array_device(self.array, self.plan.assumptions.rules).filter(|_| carries == Carries::Array);
        let behind = device.as_ref().map(|(_, rated)| Device::of_plan(*rated)).or(advised);
        let text = cables::remark(cable.run, "where it runs", isc_a, behind, self.plan.assumptions.rules);
        format!("{name}: {text}; today it is {}{leads}{cooler}.", cable.size_words())
    }

    /// The largest fuse or breaker of a circuit: its name and rating.
    fn device_of(&self, carries: Carries) -> Option<(String, f64)> {
        let rated = |part: &Component| Some((part.name.clone(), part.rated_a?.0));
        let devices = self
            .array
            .components
            .iter()
            .filter(|part| part.carries == carries && matches!(part.kind.word(), "fuse" | "breaker"));
        devices.filter_map(rated).max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// A string fuse above the label: the one that fits.
    fn smaller_fuse(&self, component: &Component, line: &LimitLine) -> String {
        let name = &line.component;
        let cap = label_cap_a(self.array, Carries::String);
        let window = fuse::window(self.array.carried_isc_a(Carries::String), cap);
        let thin = window.common_a.map_or_else(String::new, |fits| self.cables_behind(component, fits));
        format!("{name}: {}{thin}.", line.reason)
    }

    fn larger_rating(&self, component: &Component, line: &LimitLine, rating: f64, worst: f64) -> String {
        let name = &line.component;
        let least = at_least(worst);
        let kind = line.kind.as_str();
        let class = next_class_a(kind, worst, self.plan.assumptions.rules);
        let cap = label_cap_a(self.array, component.carries);
        let protects = matches!(kind, "fuse" | "breaker");
        if let Some(cap) = cap.filter(|&cap| protects && class.is_none_or(|class| class > cap)) {
            let way_out = if self.array.strings() == 1 {
                "one string needs no protection: a plain switch of that rating does"
            } else {
                "fewer strings in parallel, or panels whose label allows more"
            };
            return format!(
                "{name}: {least:.1} A are asked for and it has {rating} A: none fits below the label's {cap} A, the panel's largest \
                 series fuse; {way_out}."
            );
        }
        let most = cap
            .filter(|_| protects)
            .map_or_else(String::new, |cap| format!(" and at most the label's {cap} A"));
        let is_of_array = kind == "breaker" && component.carries == Carries::Array;
        let device = array_device(self.array, self.plan.assumptions.rules).filter(|_| is_of_array);
        let rules = self.plan.assumptions.rules;
        let next = match (next_class_a_words(kind, worst, rules), kind) {
            (Some(_), _)
                if device.is_some_and(|device| series_with_a_cable(self.array, device, rules).is_none()) =>
            {
                format!("; no cable up to {} may stand behind it: take {}", cables::THICKEST, cables::THICKER)
            }
            (Some(class), _) if device.is_some() => {
                let series = device.and_then(|device| series_with_a_cable(self.array, device, rules));
                let series = series.filter(|series| !series.is_empty()).unwrap_or(class);
                format!("; the next common class is {series}")
            }
            (Some(class), _) => format!("; the next common class is {class}"),
            (None, "connector") if component.carries == Carries::Array => {
                format!("; {}", trunk::too_much_for_plugs(self.array))
            }
            (None, "connector") => "; common plugs carry no more than 30 A: split the array".to_owned(),
            (None, _) => "; no common class is that large: split the array".to_owned(),
        };
        let plain = match (cap, class) {
            (Some(cap), Some(class))
                if !protects && class > cap && matches!(kind, "disconnect" | "switch") =>
            {
                format!(" (as a plain switch: a breaker in the string may have at most the label's {cap} A)")
            }
            _ => String::new(),
        };
        let silent = if protects
            && cap.is_none()
            && (component.carries == Carries::String || self.array.strings() == 1)
        {
            "; at most the label's largest series fuse: give max_series_fuse_a"
        } else {
            ""
        };
        let thin =
            class.filter(|_| protects).map_or_else(String::new, |class| self.cables_behind(component, class));
        let by_string =
            self.in_each_string(component, rating).map_or_else(String::new, |way| format!(" Or {way}."));
        format!(
            "{name}: one rated for at least {least:.1} A{most} holds{next}{plain}{silent}{thin}; today it is {rating} A.{by_string}"
        )
    }

    /// The same disconnect in each string.
    fn in_each_string(&self, component: &Component, rated_a: f64) -> Option<String> {
        let isolates =
            component.carries == Carries::Array && string_disconnects::may_be(component.kind.word());
        let at_stops = self.assessment.stops.iter().flat_map(|stop| &stop.arrays);
        let at_stops = at_stops.filter(|at| at.name == self.facts.name).flat_map(|at| &at.limits);
        let alone = self.facts.code_alone.iter().flat_map(|code| &code.limits);
        let volts = at_stops.chain(alone).filter(|line| line.component == component.name && line.unit == "V");
        let string_isc_a = self.array.carried_isc_a(Carries::String);
        let strings = self.array.strings();
        string_disconnects::instead(&component.name, strings, string_isc_a, rated_a)
            .filter(|_| isolates && string_disconnects::hold_volts(volts))
    }

    /// What is to be known of the cables of a circuit behind a device of so many amps.
    fn cables_behind(&self, component: &Component, device_a: f64) -> String {
        let isc_a = self.array.carried_isc_a(component.carries);
        let rules = self.plan.assumptions.rules;
        cables::cables(self.array)
            .filter(|cable| cable.component.carries == component.carries)
            .filter_map(|cable| cables::behind_in_words(&cable, isc_a, Device::of_plan(device_a), rules))
            .map(|text| format!(", {text}"))
            .collect()
    }
}
