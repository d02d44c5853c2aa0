//! A voltage rating against the code sum and the worst case: who decides, and what it comes to.

use crate::limits::{DecidedBy, Verdict};

/// Share of the rating below which the code sum counts as close.
const CODE_BAND: f64 = 0.05;
/// Share of the rating below which the worst case counts as close: room for a cloud edge, a parking slope and a
/// module soaked by the night, about 1 % each, which the worst case does not hold.
const WORST_CASE_BAND: f64 = 0.03;

/// Kelvin of colder air by which a short record's largest worst case is raised. Our own, chosen because typical
/// years miss the record low by 5-6 K, and a 20-year low lies about 6 K below the mean low.
pub const ALLOWANCE_K: f64 = 10.0;

/// Complete seasons from which the predictive level decides.
pub const LEVEL_SEASONS: usize = 5;

/// The figures that can decide, V; `None` where the record or the plan has none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct VoltageFigures {
    /// The code sum, on whole years.
    pub code: Option<f64>,
    /// The largest worst case found.
    pub seen: Option<f64>,
    /// The worst case's predictive level, from 5 complete seasons.
    pub level: Option<f64>,
    /// The largest worst case found, raised by the volts of 10 K colder air; where there is no level.
    pub allowance: Option<f64>,
}

impl VoltageFigures {
    /// The figure that decides for the worst case: the level or the allowance, or what was seen where that is more.
    #[must_use]
    pub fn worst_case(&self) -> Option<(f64, DecidedBy)> {
        let expected = match (self.level, self.allowance) {
            (Some(level), _) => Some((level, DecidedBy::Level)),
            (None, Some(allowance)) => Some((allowance, DecidedBy::Allowance)),
            (None, None) => None,
        };
        match (self.seen, expected) {
            (Some(seen), Some((figure, by))) => {
                Some(if seen > figure { (seen, DecidedBy::Seen) } else { (figure, by) })
            }
            (Some(seen), None) => Some((seen, DecidedBy::Seen)),
            (None, expected) => expected,
        }
    }

    /// The largest of all figures: what a new component must stand.
    #[must_use]
    pub fn largest(&self) -> Option<(f64, DecidedBy)> {
        let code = self.code.map(|code| (code, DecidedBy::Code));
        match (code, self.worst_case()) {
            (Some(code), Some(worst)) => Some(if worst.0 > code.0 { worst } else { code }),
            (code, worst) => code.or(worst),
        }
    }
}

/// What a rating comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltageJudgement {
    /// The weather lines alone.
    pub weather: Verdict,
    /// The code sum alone; `None` without a code temperature.
    pub code: Option<Verdict>,
    /// The worse of both.
    pub both: Verdict,
    /// The figure that decides, and who.
    pub decides: Option<(f64, DecidedBy)>,
}

/// Judges a rating.
#[must_use]
pub fn judge(rating_v: f64, figures: &VoltageFigures) -> VoltageJudgement {
    let code = figures.code.map(|code| {
        if code > rating_v {
            Verdict::Exceeded
        } else if code >= rating_v * (1.0 - CODE_BAND) {
            Verdict::Close
        } else {
            Verdict::Within
        }
    });
    let worst = figures.worst_case();
    let seen_over = figures.seen.filter(|&seen| seen > rating_v);
    let weather = match worst {
        None => Verdict::NotAssessed,
        Some((figure, _)) if figure > rating_v => Verdict::Exceeded,
        Some((figure, _)) if figure >= rating_v * (1.0 - WORST_CASE_BAND) => Verdict::Close,
        Some(_) => Verdict::Within,
    };
    // Not assessed only where there is neither a lit hour nor a code temperature.
    let both = match (code, weather) {
        (Some(code), Verdict::NotAssessed) => code,
        (Some(code), weather) => code.or_worse(weather),
        (None, weather) => weather,
    };
    let code_figure = figures.code.map(|code| (code, DecidedBy::Code));
    let decides = match both {
        Verdict::Exceeded if code == Some(Verdict::Exceeded) => code_figure,
        Verdict::Exceeded => seen_over.map(|seen| (seen, DecidedBy::Seen)).or(worst),
        Verdict::Close if weather != Verdict::Close => code_figure,
        Verdict::Close if code != Some(Verdict::Close) => worst,
        _ => figures.largest(),
    };
    VoltageJudgement { weather, code, both, decides }
}

/// (rating - worst) / rating, per cent.
#[must_use]
pub fn margin_percent(rating: f64, worst: f64) -> f64 {
    (rating - worst) / rating * 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_is_what_is_left_of_the_rating() {
        assert!((margin_percent(48.0, 45.0) - 6.25).abs() < 1e-12);
        assert!((margin_percent(48.0, 54.0) + 12.5).abs() < 1e-12);
    }

    fn figures(code: f64, seen: f64, level: Option<f64>, allowance: Option<f64>) -> VoltageFigures {
        VoltageFigures { code: Some(code), seen: Some(seen), level, allowance }
    }

    // The rules under test are the project's own definitions; each case is worked by hand from their words.
    #[test]
    fn the_code_sum_speaks_first() {
        let judged = judge(50.0, &figures(50.1, 51.0, Some(52.0), None));
        assert_eq!((judged.both, judged.decides), (Verdict::Exceeded, Some((50.1, DecidedBy::Code))));
    }

    #[test]
    fn what_was_seen_counts_at_any_length_of_record() {
        let judged = judge(50.0, &figures(47.0, 50.2, None, Some(52.0)));
        assert_eq!((judged.both, judged.decides), (Verdict::Exceeded, Some((50.2, DecidedBy::Seen))));
        assert_eq!(judged.code, Some(Verdict::Within));
    }

    #[test]
    fn a_level_replaces_the_allowance() {
        let judged = judge(50.0, &figures(47.0, 48.0, Some(48.4), Some(52.0)));
        assert_eq!((judged.both, judged.decides), (Verdict::Within, Some((48.4, DecidedBy::Level))));
        let judged = judge(50.0, &figures(47.0, 48.0, None, Some(50.1)));
        assert_eq!((judged.both, judged.decides), (Verdict::Exceeded, Some((50.1, DecidedBy::Allowance))));
    }

    #[test]
    fn the_close_bands_are_five_and_three_per_cent() {
        assert_eq!(judge(100.0, &figures(95.0, 80.0, Some(82.0), None)).both, Verdict::Close);
        assert_eq!(judge(100.0, &figures(94.9, 80.0, Some(82.0), None)).both, Verdict::Within);
        let judged = judge(100.0, &figures(90.0, 96.0, Some(97.0), None));
        assert_eq!((judged.both, judged.decides), (Verdict::Close, Some((97.0, DecidedBy::Level))));
        assert_eq!(judge(100.0, &figures(90.0, 96.0, Some(96.9), None)).both, Verdict::Within);
    }

    #[test]
    fn a_level_below_what_was_seen_does_not_hide_it() {
        let judged = judge(100.0, &figures(90.0, 98.0, Some(96.0), None));
        assert_eq!((judged.both, judged.decides), (Verdict::Close, Some((98.0, DecidedBy::Seen))));
    }

    #[test]
    fn nothing_known_is_not_assessed_and_one_side_is_enough() {
        assert_eq!(judge(50.0, &VoltageFigures::default()).both, Verdict::NotAssessed);
        let only_code = VoltageFigures { code: Some(40.0), ..VoltageFigures::default() };
        assert_eq!(judge(50.0, &only_code).both, Verdict::Within);
        let only_weather =
            VoltageFigures { seen: Some(40.0), allowance: Some(43.0), ..VoltageFigures::default() };
        assert_eq!(judge(50.0, &only_weather).both, Verdict::Within);
    }
}
