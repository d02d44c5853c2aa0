//! Other stops and other dates.

use super::{Way, listed};
use crate::limits::Verdict;
use crate::limits::voltage::margin_percent;
use crate::study::counted;
use crate::study::needed::VoltsNeeded;
use crate::study::results::{LimitLine, StopResult};
use crate::study::weeks::OtherDates;
use crate::study::words::percent_left;
use crate::trip::Window;

impl Way<'_> {
    /// Leaving out the stops that break a limit, where all others of the trip hold.
    pub(super) fn other_stop(&self, line: &LimitLine) -> Option<String> {
        let name = &self.facts.name;
        let verdict = |stop: &StopResult| {
            let at = stop.arrays.iter().find(|at| at.name == *name)?;
            let same = at
                .limits
                .iter()
                .find(|other| other.component == line.component && other.rule == line.rule)?;
            Some(counted(same))
        };
        let names = |wanted: &dyn Fn(Verdict) -> bool| -> Vec<String> {
            let mut names: Vec<String> = Vec::new();
            for stop in &self.assessment.stops {
                if verdict(stop).is_some_and(wanted) && !names.contains(&stop.place) {
                    names.push(stop.place.clone());
                }
            }
            names
        };
        let broken = names(&|verdict| verdict == Verdict::Exceeded);
        let held = names(&|verdict| matches!(verdict, Verdict::Within | Verdict::Close));
        let unknown = names(&|verdict| matches!(verdict, Verdict::NotAssessed | Verdict::NotMet));
        // A place that is visited twice and holds once is a matter of dates; of one that was not assessed nothing is claimed.
        let twice = held.iter().any(|place| broken.contains(place));
        if held.is_empty() || broken.is_empty() || !unknown.is_empty() || twice {
            return None;
        }
        let left = VoltsNeeded::at(&self.assessment.stops, name, |stop| held.contains(&stop.place));
        let (broken, held, most) = (listed(&broken), listed(&held), left.largest()?);
        let rating = line.rating?;
        Some(match left.verdict(rating) {
            Verdict::Close => format!(
                "{}: without {broken} it would be only close: {most:.1} V at most at {held} ({} to spare).",
                line.component,
                percent_left(margin_percent(rating, most))
            ),
            _ => format!("{}: without {broken} it holds: {most:.1} V at most at {held}.", line.component),
        })
    }

    /// The same stops on other dates.
    pub(super) fn other_dates(&self, line: &LimitLine) -> Option<String> {
        let of_line = |dates: &&OtherDates| {
            dates.array == self.facts.name && dates.component == line.component && dates.rule == line.rule
        };
        let same: Vec<&OtherDates> = self.found.dates.iter().filter(of_line).collect();
        let stays_broken = self.broken_on_any_dates(line, &same);
        let alone = match stays_broken.as_slice() {
            [] => String::new(),
            places => format!(", for this stop alone ({} still passes it)", listed(places)),
        };
        // Places of which the same is told stand together.
        let mut told: Vec<(String, Vec<String>)> = Vec::new();
        for dates in same {
            let place = self.visit(dates);
            let alone = if dates.clears { alone.as_str() } else { "" };
            let text = format!("{}{alone}", dates.text);
            match told.iter_mut().find(|(known, _)| *known == text) {
                Some((_, places)) if places.contains(&place) => {}
                Some((_, places)) => places.push(place),
                None => told.push((text, vec![place])),
            }
        }
        let texts: Vec<String> =
            told.iter().map(|(text, places)| format!("at {} {text}", listed(places))).collect();
        (!texts.is_empty()).then(|| format!("{}: {}.", line.component, texts.join("; ")))
    }

    /// The same of one stop with dates alone, without its place.
    pub(super) fn other_dates_at(&self, line: &LimitLine, stop: &StopResult) -> Option<String> {
        stop.window.as_ref()?;
        let of_line = |dates: &&OtherDates| {
            dates.array == self.facts.name && dates.component == line.component && dates.rule == line.rule
        };
        let same: Vec<&OtherDates> = self.found.dates.iter().filter(of_line).collect();
        let dates = same.iter().find(|dates| dates.place == stop.place && dates.days() == stop.window)?;
        let others = match self.broken_on_any_dates(line, &same) {
            places if !places.is_empty() && dates.clears => {
                format!(", for this stop alone ({} still passes it)", listed(&places))
            }
            _ => String::new(),
        };
        Some(format!("{}{others}", dates.text))
    }

    /// The places of the trip that break a limit and that no dates clear: other dates elsewhere do not clear the trip then.
    fn broken_on_any_dates(&self, line: &LimitLine, dates: &[&OtherDates]) -> Vec<String> {
        let mut places: Vec<String> = Vec::new();
        for stop in &self.assessment.stops {
            let lines = stop.arrays.iter().filter(|at| at.name == self.facts.name).flat_map(|at| &at.limits);
            let is_broken = lines
                .filter(|other| other.component == line.component && other.rule == line.rule)
                .any(|other| counted(other) == Verdict::Exceeded);
            let is_cleared = dates
                .iter()
                .any(|dates| dates.clears && dates.place == stop.place && dates.days() == stop.window);
            if is_broken && !is_cleared && !places.contains(&stop.place) {
                places.push(stop.place.clone());
            }
        }
        places
    }

    /// A place, and of one that is visited more than once which of its stays is meant.
    fn visit(&self, dates: &OtherDates) -> String {
        let visits = self.plan.stops.iter().filter(|stop| stop.place == dates.place).count();
        match dates.window {
            Some(Window { arrive, leave }) if visits > 1 => {
                format!("{} ({arrive} to {leave})", dates.place)
            }
            _ => dates.place.clone(),
        }
    }
}
