//! How fast a cell warms after the light has changed.

use crate::units::Celsius;

/// Mass of a glass panel with a polymer back, kg/m2 (the reference library's default).
pub const GLASS_PANEL_KG_M2: f64 = 11.1;

/// How long the past is felt, s [PRILLIMAN2020].
const WINDOW_S: f64 = 1200.0;

/// Smallest rate, 1/s. Chosen because the fitted plane reaches zero for panels of 20 kg/m2 in calm air, where it
/// has no data.
const SLOWEST_PER_S: f64 = 0.0005;

/// How fast past temperatures are forgotten, 1/s: 0.0046 + 0.00046 v - 0.00023 m - 0.000016 v m [PRILLIMAN2020]
/// table II.
///
/// `wind_m_s` 0 or more, `mass_kg_m2` 5 to 20 of the panel; open racks, steps of a minute or more. A panel glued to
/// a roof warms more slowly than this.
#[must_use]
pub fn response_per_s(wind_m_s: f64, mass_kg_m2: f64) -> f64 {
    let rate = 0.0046 + 0.000_46 * wind_m_s - 0.000_23 * mass_kg_m2 - 1.6e-5 * wind_m_s * mass_kg_m2;
    rate.max(SLOWEST_PER_S)
}

/// Cell temperature as the weighted mean of past steady temperatures, sum(w T) / sum(w), w = exp(-P t)
/// [PRILLIMAN2020] eq. 1 and 2.
///
/// `history` holds steady temperatures every `interval_s`, oldest first; the last one is one interval old. What is
/// older than 20 minutes is left out. `None` without a history.
#[must_use]
pub fn lagged(history: &[Celsius], interval_s: f64, response_per_s: f64) -> Option<Celsius> {
    let (mut sum, mut weights) = (0.0, 0.0);
    for (index, steady) in history.iter().rev().enumerate() {
        let age = (index as f64 + 1.0) * interval_s;
        if age > WINDOW_S {
            break;
        }
        let weight = (-response_per_s * age).exp();
        sum += weight * steady.0;
        weights += weight;
    }
    (weights > 0.0).then(|| Celsius(sum / weights))
}

/// A panel rolled into the sun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntoSun {
    /// Cell before, as a rule the air.
    pub before: Celsius,
    /// Cell in steady sun, warmer than before.
    pub steady: Celsius,
    /// Wind, m/s.
    pub wind_m_s: f64,
    /// Mass of the panel, kg/m2.
    pub mass_kg_m2: f64,
}

/// Seconds until the cell has warmed by `kelvin`; `None` where it never does.
///
/// The continuous form of [`lagged`] after a step: T = T0 + (T1 - T0)(1 - exp(-P t)) / (1 - exp(-1200 P)).
#[must_use]
pub fn seconds_to_warm_by(kelvin: f64, step: IntoSun) -> Option<f64> {
    let rate = response_per_s(step.wind_m_s, step.mass_kg_m2);
    let share = kelvin / (step.steady.0 - step.before.0);
    if !(0.0..1.0).contains(&share) {
        return None;
    }
    Some(-(-share * -(-rate * WINDOW_S).exp_m1()).ln_1p() / rate)
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    const STEP: IntoSun = IntoSun {
        before: Celsius(-20.0),
        steady: Celsius(22.0),
        wind_m_s: 1.0,
        mass_kg_m2: GLASS_PANEL_KG_M2,
    };

    #[test]
    fn the_time_constant_of_a_glass_panel() {
        // [PRILLIMAN2020]: 429 s at 1 m/s and 11.1 kg/m2 from the coefficients of table II.
        assert!((1.0 / response_per_s(1.0, 11.1) - 429.0).abs() < 1.0);
        assert!(response_per_s(0.0, 25.0) > 0.0);
        // By hand: 0.0046 + 0.00046 x 5 - 0.00023 x 20 - 0.000016 x 5 x 20 = 0.0007.
        assert!((response_per_s(5.0, 20.0) - 0.0007).abs() < 1e-12);
        // What is twenty minutes old is still felt, older is not.
        let past = |interval_s| lagged(&[Celsius(-7.0)], interval_s, 0.002);
        assert!((past(1200.0).unwrap().0 + 7.0).abs() < 1e-9 && past(1201.0).is_none());
    }

    #[test]
    fn the_step_is_the_limit_of_the_weighted_mean() {
        let kelvin = 8.0;
        let seconds = seconds_to_warm_by(kelvin, STEP).unwrap();
        let fine = 0.05;
        let mut history = vec![STEP.before; (WINDOW_S / fine) as usize];
        history.extend(vec![STEP.steady; (seconds / fine).round() as usize]);
        let rate = response_per_s(STEP.wind_m_s, STEP.mass_kg_m2);
        let cell = lagged(&history, fine, rate).unwrap();
        assert!((cell.0 - STEP.before.0 - kelvin).abs() < 0.01, "{cell:?}");
    }

    #[test]
    fn nothing_warms_beyond_its_steady_state() {
        assert_eq!(seconds_to_warm_by(42.0, STEP), None);
        assert_eq!(seconds_to_warm_by(0.0, STEP), Some(0.0));
        assert_eq!(lagged(&[], 60.0, 0.002), None);
        let calm = IntoSun { steady: STEP.before, ..STEP };
        assert_eq!(seconds_to_warm_by(1.0, calm), None);
    }
}
