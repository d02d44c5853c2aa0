//! Devices of two poles whose volts in the plan may be those of both poles one behind the other: the rating holds, and half of it,
//! which is what one pole in each conductor stands then, does not. No limit, since the plan says otherwise, and nothing that may be
//! read far below the verdict.

use crate::array::Array;
use crate::limits::mistakes::half_of_one_pole_v;
use crate::units::{at_least, listed};

/// Devices of one rating that hold only if it is that of one pole.
#[derive(Clone, Debug, PartialEq)]
pub struct OnePole {
    /// Their names.
    pub devices: Vec<String>,
    /// The rating in the plan, V.
    pub max_v: f64,
    /// Half of it, V.
    pub half_v: f64,
    /// The largest figure that it is held against, V.
    pub needs_v: f64,
}

impl OnePole {
    /// The same beside their names: "only if the 250 V are what one pole stands: ..."
    #[must_use]
    pub fn of_them_in_words(&self) -> String {
        self.worded("")
    }

    /// "only if the 250 V of drawer breaker are what one pole stands: ..."
    #[must_use]
    pub fn in_words(&self) -> String {
        self.worded(&format!(" of {}", listed(&self.devices)))
    }

    fn worded(&self, whose: &str) -> String {
        format!(
            "only if the {} V{whose} are what one pole stands: where they are for two poles in series it is {} V a pole, and {:.1} V are \
             needed",
            self.max_v,
            self.half_v,
            at_least(self.needs_v)
        )
    }
}

/// The devices of an array whose volts may be those of two poles, each with half of them, V.
#[must_use]
pub(super) fn halves(array: &Array) -> Vec<(String, f64)> {
    array.components.iter().filter_map(|part| Some((part.name.clone(), half_of_one_pole_v(part)?))).collect()
}

/// Those of them of which half decides where `needs_v` is the largest figure.
#[must_use]
pub(super) fn one_pole(halves: &[(String, f64)], needs_v: Option<f64>) -> Vec<OnePole> {
    let mut found: Vec<OnePole> = Vec::new();
    let Some(needs_v) = needs_v else { return found };
    for (name, half_v) in halves.iter().filter(|(_, half_v)| needs_v > *half_v && needs_v <= 2.0 * half_v) {
        match found.iter_mut().find(|other| other.half_v == *half_v) {
            Some(other) => other.devices.push(name.clone()),
            None => found.push(OnePole {
                devices: vec![name.clone()],
                max_v: 2.0 * half_v,
                half_v: *half_v,
                needs_v,
            }),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::two_in_series;

    /// By hand: half of 250 V is 125 V; 179.3 V lie above that and below 250 V. Common practice, no source: rail-mounted dc breakers
    /// of two poles often carry the volts of both poles in series.
    #[test]
    fn half_a_rating_is_told_only_where_it_decides() {
        let breaker = |more: &str| {
            two_in_series(&format!("[[component]]\nkind = 'disconnect'\nname = 'b'\nmax_v = 250\n{more}\n"))
        };
        let two = breaker("poles_opened = 2");
        let found = one_pole(&halves(&two), Some(179.21));
        assert_eq!(found.len(), 1);
        assert_eq!(
            found[0].in_words(),
            "only if the 250 V of b are what one pole stands: where they are for two poles in series it is 125 V a pole, and 179.3 V are \
             needed"
        );
        for volts in [None, Some(125.0), Some(250.1)] {
            assert_eq!(one_pole(&halves(&two), volts), [], "{volts:?}");
        }
        assert_eq!(one_pole(&halves(&breaker("poles_opened = 1")), Some(179.21)), []);
    }
}
