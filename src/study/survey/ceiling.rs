//! How many panels in series an array may have at a place, and which component decides.

use crate::array::{Array, StringGroup};
use crate::limits::DecidedBy;
use crate::limits::voltage::VoltageFigures;
use crate::study::lines::VoltageRating;

/// The largest series count that no voltage rating forbids.
#[derive(Clone, Debug, PartialEq)]
pub struct Ceiling {
    /// Panels in series; 0 where not even one holds.
    pub in_series: usize,
    /// The component whose rating forbids one more.
    pub limit: String,
    /// Its rating, V.
    pub rating_v: f64,
    /// The figure that passes it.
    pub decided_by: DecidedBy,
}

/// Panels in series in every string, where all strings have as many and each is of one kind of panel: then every
/// voltage of the array is proportional to that count.
pub(super) fn equal_count(array: &Array) -> Option<usize> {
    let count = array.groups.first()?.modules.len();
    let uniform = |group: &StringGroup| {
        group.modules.len() == count && group.modules.windows(2).all(|pair| pair[0] == pair[1])
    };
    (count > 0 && array.groups.iter().all(uniform)).then_some(count)
}

/// The ceiling of an array; `None` for unequal or mixed strings, without a voltage rating, and without any figure.
///
/// All four voltages are sums over the panels of a string, and the n-year levels are linear in them, so the figures of
/// `in_series` panels are those found, times the ratio of the counts. A rating holds while neither the code sum nor
/// the figure that decides for the worst case is above it.
#[must_use]
pub fn ceiling(array: &Array, ratings: &[VoltageRating], figures: &VoltageFigures) -> Option<Ceiling> {
    let count = equal_count(array)?;
    let (volts, decided_by) = figures.largest()?;
    let lowest = ratings.iter().min_by(|one, other| one.volts.total_cmp(&other.volts))?;
    let per_panel = volts / count as f64;
    if per_panel.is_nan() || per_panel <= 0.0 {
        return None;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a rating over the volts of a panel, both positive"
    )]
    let mut in_series = (lowest.volts / per_panel) as usize;
    // Rounding of the quotient is settled by the comparison that a limit line makes.
    while per_panel * (in_series + 1) as f64 <= lowest.volts {
        in_series += 1;
    }
    while in_series > 0 && per_panel * in_series as f64 > lowest.volts {
        in_series -= 1;
    }
    Some(Ceiling { in_series, limit: lowest.component.clone(), rating_v: lowest.volts, decided_by })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::array::{Heading, Tilt};
    use crate::heat::Mount;
    use crate::module::{Label, RawLabel};

    fn array(counts: &[usize]) -> Array {
        let label =
            Label::read(RawLabel { id: "invented".into(), voc_v: 22.5, isc_a: 5.8, ..RawLabel::default() })
                .unwrap();
        let group = |&count: &usize| StringGroup {
            modules: vec![label.clone(); count],
            in_parallel: 1,
            mount: Mount::Roof,
            tilt: Tilt::Fixed(0.0),
            heading: Heading::Any,
            snow_ground: false,
        };
        Array {
            name: "roof".into(),
            groups: counts.iter().map(group).collect(),
            components: Vec::new(),
            battery: None,
        }
    }

    fn rating(component: &str, volts: f64) -> VoltageRating {
        VoltageRating { component: component.into(), kind: "disconnect".into(), rule: String::new(), volts }
    }

    // Worked by hand: two panels at 50 V are 25 V a panel, so 75 V carries three and 48 V one.
    #[test]
    fn the_lowest_rating_decides_and_equality_holds() {
        let figures = VoltageFigures { code: Some(50.0), seen: Some(49.0), ..VoltageFigures::default() };
        let both = [rating("controller", 75.0), rating("disconnect", 100.0)];
        let found = ceiling(&array(&[2]), &both, &figures).unwrap();
        assert_eq!((found.in_series, found.limit.as_str()), (3, "controller"));
        assert_eq!(found.decided_by, DecidedBy::Code);
        let low = [rating("controller", 75.0), rating("disconnect", 24.9)];
        assert_eq!(ceiling(&array(&[2, 2]), &low, &figures).unwrap().in_series, 0);
    }

    #[test]
    fn unequal_strings_have_no_common_count() {
        let figures = VoltageFigures { code: Some(50.0), ..VoltageFigures::default() };
        assert_eq!(ceiling(&array(&[2, 3]), &[rating("a", 75.0)], &figures), None);
        assert_eq!(ceiling(&array(&[2]), &[], &figures), None);
        assert_eq!(ceiling(&array(&[2]), &[rating("a", 75.0)], &VoltageFigures::default()), None);
    }
}
