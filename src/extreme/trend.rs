//! Does the record warm or cool: the whole record against its last 20 years.

use super::moments::moments;
use serde::Serialize;

/// Years of the recent part.
pub const RECENT_YEARS: i32 = 20;

/// Seasons needed in the recent part and before it. Chosen so that neither mean rests on a few winters.
const SEASONS_RECENT: usize = 10;
const SEASONS_EARLIER: usize = 5;

/// What the difference says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    /// The recent mean is higher, by more than twice its standard error.
    Higher,
    /// The recent mean is lower, by more than twice its standard error.
    Lower,
    /// The difference may be chance.
    Unclear,
}

/// The last 20 years beside the whole record.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Trend {
    /// Seasons in the whole record.
    pub seasons: usize,
    /// Seasons in its last 20 years.
    pub recent_seasons: usize,
    /// Mean of the whole record, in the unit of the extremes.
    pub mean: f64,
    /// Mean of the last 20 years.
    pub recent_mean: f64,
    /// Recent minus whole.
    pub difference: f64,
    /// Standard error of the difference, if seasons were independent and alike.
    pub standard_error: f64,
    /// What to make of it.
    pub direction: Direction,
}

impl Trend {
    /// The comparison as a sentence without a capital or a full stop; `unit` is that of the extremes.
    #[must_use]
    pub fn in_words(&self, unit: &str) -> String {
        let (size, error, seasons) = (self.difference.abs(), self.standard_error, self.recent_seasons);
        let than = format!("than that of all {} (standard error {error:.1} {unit})", self.seasons);
        match self.direction {
            Direction::Higher => {
                format!(
                    "the mean of the {seasons} seasons in the last 20 years is {size:.1} {unit} higher {than}"
                )
            }
            Direction::Lower => {
                format!(
                    "the mean of the {seasons} seasons in the last 20 years is {size:.1} {unit} lower {than}"
                )
            }
            Direction::Unclear => format!(
                "the mean of the {seasons} seasons in the last 20 years differs by {:+.1} {unit} from that of all {} (standard error {error:.1} {unit}): no clear trend",
                self.difference, self.seasons
            ),
        }
    }
}

/// Compares the mean of the last 20 years with that of the whole record; `extremes` holds (year, value), in any order.
///
/// `None` with fewer than 10 seasons in the last 20 years or fewer than 5 before. The recent seasons are part of the
/// whole, so the variance of the difference is s^2 (1 / recent - 1 / all), s^2 pooled within the two parts.
#[must_use]
pub fn trend(extremes: &[(i32, f64)]) -> Option<Trend> {
    let last = extremes.iter().map(|&(year, _)| year).max()?;
    let part = |recent: bool| -> Vec<f64> {
        extremes
            .iter()
            .filter(|&&(year, _)| (year > last - RECENT_YEARS) == recent)
            .map(|&(_, value)| value)
            .collect()
    };
    let (recent, earlier) = (part(true), part(false));
    if recent.len() < SEASONS_RECENT || earlier.len() < SEASONS_EARLIER {
        return None;
    }
    let (now, before) = (moments(&recent)?, moments(&earlier)?);
    let (r, e) = (now.n as f64, before.n as f64);
    let mean = (now.mean * r + before.mean * e) / (r + e);
    let variance = ((r - 1.0) * now.sd.powi(2) + (e - 1.0) * before.sd.powi(2)) / (r + e - 2.0);
    let difference = now.mean - mean;
    let standard_error = (variance * (1.0 / r - 1.0 / (r + e))).sqrt();
    let direction = if difference > 2.0 * standard_error {
        Direction::Higher
    } else if difference < -2.0 * standard_error {
        Direction::Lower
    } else {
        Direction::Unclear
    };
    Some(Trend {
        seasons: now.n + before.n,
        recent_seasons: now.n,
        mean,
        recent_mean: now.mean,
        difference,
        standard_error,
        direction,
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Thirty winters by hand: ten at -20 +- 1, then twenty at -17 +- 1. Whole mean -18, recent -17.
    #[test]
    fn a_step_is_found() {
        let winters: Vec<(i32, f64)> = (0..30)
            .map(|i| (1990 + i, if i < 10 { -20.0 } else { -17.0 } + if i % 2 == 0 { 1.0 } else { -1.0 }))
            .collect();
        let found = trend(&winters).unwrap();
        assert_eq!((found.seasons, found.recent_seasons), (30, 20));
        assert!((found.mean + 18.0).abs() < 1e-12 && (found.recent_mean + 17.0).abs() < 1e-12);
        assert!((found.difference - 1.0).abs() < 1e-12);
        // Squares within the parts: 10 + 20 = 30 over 28 degrees of freedom, times (1/20 - 1/30).
        assert!((found.standard_error - (30.0_f64 / 28.0 / 60.0).sqrt()).abs() < 1e-12);
        assert_eq!(found.direction, Direction::Higher);
        assert_eq!(
            found.in_words("K"),
            "the mean of the 20 seasons in the last 20 years is 1.0 K higher than that of all 30 (standard error 0.1 K)"
        );
        let cooling: Vec<(i32, f64)> = winters.iter().map(|&(year, value)| (year, -value)).collect();
        assert_eq!(trend(&cooling).unwrap().direction, Direction::Lower);
    }

    #[test]
    fn level_records_and_short_ones() {
        let level: Vec<(i32, f64)> = (0..30).map(|i| (1990 + i, f64::from(i % 3))).collect();
        assert_eq!(trend(&level).unwrap().direction, Direction::Unclear);
        assert_eq!(trend(&level[..24]), None, "four seasons before the last 20 years");
        assert_eq!(trend(&[]), None);
        let gaps: Vec<(i32, f64)> =
            level.iter().copied().filter(|&(year, _)| year < 2000 || year % 3 == 0).collect();
        assert_eq!(trend(&gaps), None, "seven seasons in the last 20 years");
    }
}
