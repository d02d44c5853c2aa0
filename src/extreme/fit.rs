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

/// The words of extremes that agree with the law.
pub const FIT_HOLDS: &str = "do not contradict the Gumbel law";

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
                format!("the {seasons} season extremes {FIT_HOLDS} ({figures})")
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

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Plausible lows turned over, a tight record with one spell far out, and one between. Invented.
    const EVEN: [f64; 10] = [18.4, 22.7, 19.3, 31.2, 20.9, 24.8, 17.6, 21.5, 26.3, 23.1];
    const HEAPED: [f64; 10] = [1.0, 2.0, 3.0, 20.0, 4.0, 21.0, 22.0, 3.0, 2.0, 23.0];
    const ONE_FAR_OUT: [f64; 10] = [18.0, 18.3, 18.1, 18.2, 18.4, 18.6, 18.5, 19.0, 18.7, 30.0];

    /// scipy 1.17.1: the same sum over gumbel_r's logcdf and logsf with mode and scale from numpy's mean and standard
    /// deviation. 0.0005: the law's mean has four digits here.
    #[test]
    fn the_statistic_is_that_of_an_independent_library() {
        for (record, expected) in [(&EVEN, 0.117_655_5), (&HEAPED, 1.200_635_0), (&ONE_FAR_OUT, 2.202_014_8)]
        {
            assert!((goodness_statistic(record).unwrap() - expected).abs() < 5e-4);
            // A distance of shapes: unit and zero of the values, and their order, do not matter.
            let moved: Vec<f64> = record.iter().rev().map(|x| 1.8 * x - 40.0).collect();
            assert!((goodness_statistic(&moved).unwrap() - goodness_statistic(record).unwrap()).abs() < 1e-9);
        }
        assert_eq!(goodness_statistic(&[3.0; 12]), None);
        assert_eq!(goodness_statistic(&[3.0]), None);
    }

    #[test]
    fn the_answer_follows_the_critical_values() {
        let of = |record: &[f64]| goodness_of_fit(record, Side::High).unwrap();
        for (record, agreement, words) in [
            (&EVEN, Agreement::Agrees, "do not contradict"),
            (&HEAPED, Agreement::Doubtful, "fit the Gumbel law poorly"),
            (&ONE_FAR_OUT, Agreement::Disagrees, "do not follow"),
        ] {
            let fit = of(record);
            assert_eq!((fit.seasons, fit.agreement), (10, agreement));
            assert_eq!([fit.critical_5_percent, fit.critical_1_percent], factors::critical(10).unwrap());
            assert!(fit.in_words().contains(words), "{}", fit.in_words());
            assert!(fit.in_words().contains(&format!("{:.2}", fit.statistic)));
            // Lows are the same record turned over.
            let lows: Vec<f64> = record.iter().map(|x| -x).collect();
            assert_eq!(goodness_of_fit(&lows, Side::Low), Some(fit));
        }
        assert_eq!(goodness_of_fit(&EVEN[..9], Side::High), None);
        // The wrong tail is another shape.
        assert!(goodness_of_fit(&ONE_FAR_OUT, Side::Low).unwrap().statistic > of(&ONE_FAR_OUT).statistic);
    }
}
