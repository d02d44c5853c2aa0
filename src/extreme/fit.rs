//! Goodness of fit: do the season extremes look like the Gumbel law that the levels assume?

use super::factors;
use super::gumbel;
use super::moments::{Side, moments};
use serde::Serialize;

/// Seasons from which the fit is judged. Chosen to match the n-year levels.
pub const SEASONS_FOR_FIT: usize = 10;

/// What the record says about the law.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Agreement {
    /// Below the 5 % critical value.
    Agrees,
    /// Between the 5 % and the 1 % critical value.
    Doubtful,
    /// Beyond the 1 % critical value.
    Disagrees,
}

/// How well the Gumbel law fits.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// Seasons.
    pub seasons: usize,
    /// Anderson-Darling statistic; larger is worse.
    pub statistic: f64,
    /// The value that one in twenty true Gumbel records of this length passes.
    pub critical_5_percent: f64,
    /// The value that one in a hundred passes.
    pub critical_1_percent: f64,
    /// The plain answer.
    pub agreement: Agreement,
}

impl Fit {
    /// The answer as a sentence without a capital or a full stop.
    #[must_use]
    pub fn in_words(&self) -> String {
        let figures = format!(
            "Anderson-Darling {:.2}; one in twenty true records of this length passes {:.2}",
            self.statistic, self.critical_5_percent
        );
        let seasons = self.seasons;
        match self.agreement {
            Agreement::Agrees => {
                format!("the {seasons} season extremes do not contradict the Gumbel law ({figures})")
            }
            Agreement::Doubtful => {
                format!(
                    "the {seasons} season extremes fit the Gumbel law poorly: take the levels as rough ({figures})"
                )
            }
            Agreement::Disagrees => format!(
                "the {seasons} season extremes do not follow the Gumbel law: go by what was seen and by the counts rather than by the levels ({figures})"
            ),
        }
    }
}

/// Anderson-Darling distance [ANDERSON1954] of values from the Gumbel law of maxima with their own moments.
///
/// A^2 = -N - (1/N) sum (2i - 1) (ln G(x_i) + ln(1 - G(x_{N+1-i}))), x sorted. `None` below two values or without any
/// spread. Unlike the textbook cases the parameters come from moments, so the critical values are our own.
#[must_use]
pub fn goodness_statistic(maxima: &[f64]) -> Option<f64> {
    let fitted = moments(maxima)?;
    if fitted.sd <= 0.0 {
        return None;
    }
    let scale = fitted.sd / gumbel::SD;
    let mode = fitted.mean - gumbel::MEAN * scale;
    let mut reduced: Vec<f64> = maxima.iter().map(|x| (x - mode) / scale).collect();
    reduced.sort_by(f64::total_cmp);
    let n = reduced.len();
    let sum: f64 = (0..n)
        .map(|rank| {
            let below = -(-reduced[rank]).exp(); // ln G
            let above = gumbel::above(reduced[n - 1 - rank]).max(f64::MIN_POSITIVE).ln();
            (2 * rank + 1) as f64 * (below + above)
        })
        .sum();
    Some(-(n as f64) - sum / n as f64)
}

/// Compares season extremes with the Gumbel law.
///
/// `None` below 10 seasons or without any spread. A test of this kind finds gross misfit only: thirty winters of a
/// bounded law pass it most of the time.
#[must_use]
pub fn goodness_of_fit(extremes: &[f64], side: Side) -> Option<Fit> {
    if extremes.len() < SEASONS_FOR_FIT {
        return None;
    }
    let maxima: Vec<f64> = extremes.iter().map(|&x| if side == Side::Low { -x } else { x }).collect();
    let statistic = goodness_statistic(&maxima)?;
    let [critical_5_percent, critical_1_percent] = factors::critical(extremes.len())?;
    let agreement = if statistic <= critical_5_percent {
        Agreement::Agrees
    } else if statistic <= critical_1_percent {
        Agreement::Doubtful
    } else {
        Agreement::Disagrees
    };
    Some(Fit { seasons: extremes.len(), statistic, critical_5_percent, critical_1_percent, agreement })
}
