//! A deciding hour that stands alone in the cold: perhaps a wrong reading, kept on the safe side.

use crate::note::{Note, NoteKind};
use crate::time::{HOUR_S, Stamp};
use crate::weather::Hour;

/// Kelvin below both hours beside it from which the deciding hour is told. Chosen: air seldom falls and comes back by so
/// much within two hours, and less than a panel's own cooling below the air is not worth a word.
const DIP_K: f64 = 5.0;

/// Says that the hour of the largest worst case, which begins at `start` on whatever clock the record keeps, lies far below the hour before and the hour after it.
#[must_use]
pub fn of_largest(start: Stamp, hours: &[Hour], whose: &str) -> Option<Note> {
    let index = hours.binary_search_by_key(&start, |hour| hour.start).ok()?;
    let beside = [index.checked_sub(1)?, index + 1];
    let mut least_k = f64::INFINITY;
    for other in beside {
        let other = hours.get(other)?;
        if (other.start.0 - start.0).abs() != HOUR_S {
            return None;
        }
        least_k = least_k.min(other.air_mean_c - hours[index].air_low_c);
    }
    (least_k >= DIP_K).then(|| {
        Note::once(
            NoteKind::Doubtful,
            format!(
                "the hour of the largest worst case{whose} lies {least_k:.1} K or more below the hours before and after it: perhaps a wrong \
                 reading; it is kept, on the safe side"
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sky::Light;
    use crate::weather::Origin;

    fn hours(air: &[f64]) -> Vec<Hour> {
        let hour = |(index, &air): (usize, &f64)| Hour {
            start: Stamp(i64::try_from(index).unwrap_or(0) * HOUR_S),
            air_mean_c: air,
            air_low_c: air,
            air_high_c: 0.0,
            wind_m_s: None,
            light: Light::Unknown,
            origin: Origin { file: 0, line: 1 },
        };
        air.iter().enumerate().map(hour).collect()
    }

    #[test]
    fn a_lone_cold_hour_is_told_and_kept_and_a_slope_is_not() {
        let told = |air: &[f64]| of_largest(Stamp(HOUR_S), &hours(air), "").map(|note| note.text);
        assert!(told(&[-33.0, -40.2, -34.0]).is_some_and(|text| text.contains("lies 6.2 K or more")));
        assert_eq!(told(&[-33.0, -37.9, -33.0]), None, "less than 5 K");
        assert_eq!(told(&[-30.0, -40.0, -41.0]), None, "it stays cold");
        assert_eq!(told(&[-30.0, -40.0]), None, "nothing behind it to compare");
    }
}
