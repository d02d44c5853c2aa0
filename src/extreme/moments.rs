//! Mean and standard deviation of season extremes.

use serde::Serialize;

/// Which end of the seasons the extremes belong to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Season lows: a level lies below the mean.
    Low,
    /// Season maxima: a level lies above the mean.
    High,
}

impl Side {
    /// The value that lies `steps` beyond `mean` on this side.
    #[must_use]
    pub fn beyond(self, mean: f64, steps: f64) -> f64 {
        match self {
            Self::Low => mean - steps,
            Self::High => mean + steps,
        }
    }

    /// Whether `value` lies strictly beyond `level` on this side.
    #[must_use]
    pub fn breaks(self, value: f64, level: f64) -> bool {
        match self {
            Self::Low => value < level,
            Self::High => value > level,
        }
    }
}

/// What the levels are computed from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Moments {
    /// Seasons.
    pub n: usize,
    /// Mean of the season extremes, in their unit.
    pub mean: f64,
    /// Sample standard deviation (divided by n - 1), in their unit.
    pub sd: f64,
}

/// Mean and sample standard deviation of season extremes, one value a season.
///
/// `None` for fewer than two seasons, or where a value is not finite.
#[must_use]
pub fn moments(extremes: &[f64]) -> Option<Moments> {
    let n = extremes.len();
    if n < 2 || extremes.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let mean = extremes.iter().sum::<f64>() / n as f64;
    let squares: f64 = extremes.iter().map(|value| (value - mean).powi(2)).sum();
    Some(Moments { n, mean, sd: (squares / (n - 1) as f64).sqrt() })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn beyond_is_colder_for_lows_and_higher_for_maxima() {
        assert!(Side::Low.breaks(-21.0, -20.0) && !Side::Low.breaks(-20.0, -20.0));
        assert!(Side::High.breaks(49.0, 48.0) && !Side::High.breaks(48.0, 48.0));
        assert_eq!((Side::Low.beyond(-20.0, 3.0), Side::High.beyond(48.0, 3.0)), (-23.0, 51.0));
    }

    #[test]
    fn needs_two_finite_seasons() {
        assert_eq!(moments(&[]), None);
        assert_eq!(moments(&[-4.0]), None);
        assert_eq!(moments(&[-4.0, f64::NAN]), None);
        assert_eq!(moments(&[-4.0, -4.0]), Some(Moments { n: 2, mean: -4.0, sd: 0.0 }));
    }

    #[test]
    fn moves_with_its_values() {
        let plain = moments(&[-3.0, -8.0, -5.5, -1.0]).unwrap();
        let moved = moments(&[17.0, 12.0, 14.5, 19.0]).unwrap();
        assert!((moved.mean - plain.mean - 20.0).abs() < 1e-12);
        assert!((moved.sd - plain.sd).abs() < 1e-12);
    }
}
