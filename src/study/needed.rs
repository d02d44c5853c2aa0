//! The volts that an array asks of its components: the figures of all its stops, and the classes that hold them with room.

use crate::limits::Verdict;
use crate::limits::voltage::{self, VoltageFigures, margin_percent};
use crate::study::results::{FourVoltages, StopResult};

/// The figures that decide for one array, one set a place.
#[derive(Clone, Debug, Default)]
pub(super) struct VoltsNeeded {
    places: Vec<VoltageFigures>,
}

/// A class of volts out of those that are sold.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Class {
    /// The smallest one that holds with room to spare; `None` where none is that large.
    pub with_room: Option<f64>,
    /// A smaller one that holds too, but is close.
    pub close: Option<f64>,
}

impl VoltsNeeded {
    /// Of an array at the stops for which `keep` holds.
    pub(super) fn at(stops: &[StopResult], array: &str, keep: impl Fn(&StopResult) -> bool) -> Self {
        let kept = stops.iter().filter(|stop| keep(stop));
        let places = kept
            .filter_map(|stop| stop.arrays.iter().find(|at| at.name == array))
            .map(|at| of(&at.voltage_v))
            .filter(|figures| figures.largest().is_some());
        Self { places: places.collect() }
    }

    /// By the code sum alone, or by a code sum and the largest figure of all.
    pub(super) fn of_sum(code: Option<f64>, largest: Option<f64>) -> Self {
        Self { places: vec![VoltageFigures { code, seen: largest, ..VoltageFigures::default() }] }
    }

    /// The largest figure of all; `None` where nothing is known.
    pub(super) fn largest(&self) -> Option<f64> {
        self.places.iter().filter_map(|figures| Some(figures.largest()?.0)).reduce(f64::max)
    }

    /// The largest figure of the weather.
    pub(super) fn worst_case(&self) -> Option<f64> {
        self.places.iter().filter_map(|figures| Some(figures.worst_case()?.0)).reduce(f64::max)
    }

    /// The same for strings of so many times the volts.
    pub(super) fn times(&self, factor: f64) -> Self {
        let times = |volts: Option<f64>| volts.map(|volts| volts * factor);
        let scaled = |figures: &VoltageFigures| VoltageFigures {
            code: times(figures.code),
            seen: times(figures.seen),
            level: times(figures.level),
            allowance: times(figures.allowance),
        };
        Self { places: self.places.iter().map(scaled).collect() }
    }

    /// What a rating comes to at the worst of the places.
    pub(super) fn verdict(&self, rating_v: f64) -> Verdict {
        let judged = self.places.iter().map(|figures| voltage::judge(rating_v, figures).both);
        judged.reduce(Verdict::or_worse).unwrap_or(Verdict::NotAssessed)
    }

    /// The same by the weather alone.
    pub(super) fn worst_case_verdict(&self, rating_v: f64) -> Verdict {
        let judged = self.places.iter().map(|figures| voltage::judge(rating_v, figures).weather);
        judged.reduce(Verdict::or_worse).unwrap_or(Verdict::NotAssessed)
    }

    /// The smallest of `classes`, in order, that holds with room, and the one before it that only holds.
    pub(super) fn class(&self, classes: &[f64]) -> Class {
        let first = |wanted: Verdict| classes.iter().copied().find(|&class| self.verdict(class) == wanted);
        Class { with_room: first(Verdict::Within), close: first(Verdict::Close) }
    }

    /// What a rating leaves to spare, per cent of it.
    pub(super) fn spare_percent(&self, rating_v: f64) -> Option<f64> {
        Some(margin_percent(rating_v, self.largest()?))
    }
}

fn of(volts: &FourVoltages) -> VoltageFigures {
    VoltageFigures {
        code: volts.code,
        seen: volts.worst_case.max,
        level: volts.worst_case.predictive_level,
        allowance: volts.allowance,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The bands are the contract's: the code sum is close within 5 % below a rating, the worst case within 3 %. By hand:
    // 58.8 V of worst case are 98 % of 60 V and 78.4 % of 75 V; 57.1 V of code sum 95.2 % of 60 V.
    #[test]
    fn a_class_that_is_only_close_gives_way_to_the_next() {
        let classes = [48.0, 50.0, 60.0, 75.0];
        let class = |code: f64, worst: f64| VoltsNeeded::of_sum(Some(code), Some(worst)).class(&classes);
        assert_eq!(class(52.0, 58.8), Class { with_room: Some(75.0), close: Some(60.0) });
        assert_eq!(class(57.1, 57.1), Class { with_room: Some(75.0), close: Some(60.0) });
        assert_eq!(class(52.0, 58.0), Class { with_room: Some(60.0), close: None });
        assert_eq!(class(80.0, 80.0), Class::default());
        assert_eq!(VoltsNeeded::default().class(&classes), Class::default());
    }
}
