//! Factors that simulation gives for records of few seasons, and how they are interpolated.
//!
//! `cargo bench --bench factors` computes the three tables again, seed and all. Each row rests on a million Gumbel
//! records (200 000 for the critical values). Another seed moves the predictive factors by up to 0.006 at 20 years and
//! 0.02 at 200, the multiples by up to 0.01, the critical values by up to 0.02.

use super::gumbel::frequency_factor;

/// Seasons of the rows.
const SEASONS: [f64; 14] = [5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 60.0, 100.0, 200.0];

/// Return periods of the columns, years.
const YEARS: [f64; 9] = [2.0, 3.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0];

/// k such that the next season passes mean + k sd with chance 1 / years.
#[rustfmt::skip]
const PREDICTIVE: [[f64; 9]; 14] = [
    [-0.144, 0.394, 1.058, 2.010, 3.061, 3.426, 4.658, 6.063, 7.676], // 5 seasons
    [-0.148, 0.367, 0.993, 1.869, 2.811, 3.131, 4.191, 5.362, 6.663], // 6 seasons
    [-0.151, 0.350, 0.951, 1.780, 2.655, 2.950, 3.913, 4.957, 6.094], // 7 seasons
    [-0.153, 0.338, 0.920, 1.714, 2.542, 2.818, 3.714, 4.672, 5.700], // 8 seasons
    [-0.155, 0.321, 0.879, 1.628, 2.396, 2.650, 3.464, 4.320, 5.224], // 10 seasons
    [-0.157, 0.309, 0.851, 1.572, 2.303, 2.543, 3.306, 4.102, 4.933], // 12 seasons
    [-0.158, 0.298, 0.825, 1.517, 2.212, 2.439, 3.156, 3.897, 4.663], // 15 seasons
    [-0.160, 0.287, 0.798, 1.463, 2.124, 2.338, 3.011, 3.700, 4.406], // 20 seasons
    [-0.161, 0.280, 0.783, 1.432, 2.073, 2.280, 2.929, 3.588, 4.261], // 25 seasons
    [-0.162, 0.275, 0.771, 1.410, 2.037, 2.239, 2.870, 3.509, 4.159], // 30 seasons
    [-0.162, 0.270, 0.759, 1.384, 1.995, 2.191, 2.802, 3.418, 4.041], // 40 seasons
    [-0.163, 0.265, 0.746, 1.357, 1.952, 2.142, 2.732, 3.324, 3.920], // 60 seasons
    [-0.163, 0.260, 0.735, 1.337, 1.918, 2.103, 2.677, 3.250, 3.825], // 100 seasons
    [-0.164, 0.257, 0.727, 1.321, 1.892, 2.074, 2.635, 3.194, 3.753], // 200 seasons
];

/// Standard errors between a fitted level and its one-sided 90 % bound.
#[rustfmt::skip]
const BOUND: [[f64; 9]; 14] = [
    [1.937, 2.244, 2.396, 2.477, 2.514, 2.521, 2.537, 2.548, 2.555], // 5 seasons
    [1.828, 2.088, 2.205, 2.267, 2.293, 2.299, 2.310, 2.316, 2.321], // 6 seasons
    [1.764, 1.999, 2.102, 2.147, 2.165, 2.168, 2.176, 2.181, 2.183], // 7 seasons
    [1.706, 1.922, 2.013, 2.053, 2.066, 2.069, 2.074, 2.077, 2.079], // 8 seasons
    [1.637, 1.829, 1.906, 1.935, 1.945, 1.946, 1.949, 1.950, 1.951], // 10 seasons
    [1.587, 1.759, 1.827, 1.854, 1.865, 1.866, 1.866, 1.867, 1.868], // 12 seasons
    [1.540, 1.693, 1.755, 1.777, 1.782, 1.783, 1.785, 1.785, 1.785], // 15 seasons
    [1.485, 1.619, 1.672, 1.693, 1.697, 1.698, 1.699, 1.699, 1.699], // 20 seasons
    [1.460, 1.584, 1.629, 1.646, 1.651, 1.653, 1.653, 1.653, 1.652], // 25 seasons
    [1.436, 1.546, 1.587, 1.603, 1.607, 1.608, 1.609, 1.609, 1.609], // 30 seasons
    [1.406, 1.505, 1.545, 1.559, 1.562, 1.563, 1.563, 1.564, 1.563], // 40 seasons
    [1.377, 1.456, 1.489, 1.499, 1.502, 1.503, 1.503, 1.503, 1.504], // 60 seasons
    [1.349, 1.413, 1.441, 1.452, 1.455, 1.455, 1.455, 1.455, 1.455], // 100 seasons
    [1.325, 1.373, 1.392, 1.399, 1.402, 1.402, 1.403, 1.402, 1.402], // 200 seasons
];

/// 5 % and 1 % critical values of the goodness of fit.
#[rustfmt::skip]
const CRITICAL: [[f64; 2]; 14] = [
    [0.767, 1.117], // 5 seasons
    [0.817, 1.177], // 6 seasons
    [0.849, 1.231], // 7 seasons
    [0.874, 1.264], // 8 seasons
    [0.905, 1.307], // 10 seasons
    [0.925, 1.330], // 12 seasons
    [0.951, 1.381], // 15 seasons
    [0.977, 1.408], // 20 seasons
    [0.995, 1.458], // 25 seasons
    [1.009, 1.485], // 30 seasons
    [1.037, 1.531], // 40 seasons
    [1.053, 1.577], // 60 seasons
    [1.083, 1.616], // 100 seasons
    [1.100, 1.660], // 200 seasons
];

/// The multiple of an endless record: the 90 % point of the normal law.
const BOUND_AT_INFINITY: f64 = 1.2816;

/// k of the predictive level. `None` below 5 seasons and for `years` outside 2 to 200.
///
/// Cubic in 1 / seasons, towards the plain frequency factor of an endless record, and cubic in the frequency factor of
/// `years`. Between rows and columns the level is broken within 3 % of the nominal share by fresh simulation.
pub(super) fn predictive(seasons: usize, years: f64) -> Option<f64> {
    let row = |column: usize| {
        let endless = frequency_factor(YEARS[column]);
        between_seasons(seasons, |n| 1.0 / n, |row| PREDICTIVE[row][column], endless)
    };
    between_years(seasons, years, row)
}

/// Standard errors between level and bound. `None` as above.
///
/// Cubic in 1 / sqrt(seasons), the order in which skewness fades, towards the normal multiple.
pub(super) fn bound_multiple(seasons: usize, years: f64) -> Option<f64> {
    let row = |column: usize| {
        between_seasons(seasons, |n| 1.0 / n.sqrt(), |row| BOUND[row][column], BOUND_AT_INFINITY)
    };
    between_years(seasons, years, row)
}

/// 5 % and 1 % critical values. `None` below 5 seasons.
///
/// Cubic in 1 / sqrt(seasons) up to 200; a longer record takes the values of 200, which are within 0.04 of the limit.
pub(super) fn critical(seasons: usize) -> Option<[f64; 2]> {
    if (seasons as f64) < SEASONS[0] {
        return None;
    }
    let at = |n: f64| 1.0 / n.sqrt();
    let held = at((seasons as f64).min(SEASONS[SEASONS.len() - 1]));
    Some([0, 1].map(|column| {
        let nodes: Vec<(f64, f64)> =
            (0..SEASONS.len()).map(|row| (at(SEASONS[row]), CRITICAL[row][column])).collect();
        local_cubic(&nodes, held)
    }))
}

/// Interpolates a column of a table between its rows and the value of an endless record.
fn between_seasons(seasons: usize, at: fn(f64) -> f64, entry: impl Fn(usize) -> f64, endless: f64) -> f64 {
    let mut nodes: Vec<(f64, f64)> = (0..SEASONS.len()).map(|row| (at(SEASONS[row]), entry(row))).collect();
    nodes.push((0.0, endless));
    local_cubic(&nodes, at(seasons as f64))
}

/// Interpolates between columns; guards the range of the table.
fn between_years(seasons: usize, years: f64, value: impl Fn(usize) -> f64) -> Option<f64> {
    if (seasons as f64) < SEASONS[0] || !(YEARS[0]..=YEARS[YEARS.len() - 1]).contains(&years) {
        return None;
    }
    let nodes: Vec<(f64, f64)> =
        (0..YEARS.len()).map(|column| (frequency_factor(YEARS[column]), value(column))).collect();
    Some(local_cubic(&nodes, frequency_factor(years)))
}

/// The cubic through the four nodes around `x` (Lagrange); exact at the nodes. `nodes` has at least four entries whose
/// places rise or fall throughout.
fn local_cubic(nodes: &[(f64, f64)], x: f64) -> f64 {
    let rising = nodes[0].0 < nodes[1].0;
    let passed = nodes.iter().take_while(|&&(place, _)| if rising { place <= x } else { place >= x }).count();
    let first = passed.saturating_sub(2).min(nodes.len() - 4);
    let near = &nodes[first..first + 4];
    near.iter()
        .enumerate()
        .map(|(i, &(place, value))| {
            let weight: f64 =
                (0..4).filter(|&j| j != i).map(|j| (x - near[j].0) / (place - near[j].0)).product();
            value * weight
        })
        .sum()
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn nodes_are_kept_and_cubics_are_exact() {
        let cubic = |x: f64| 1.0 - 2.0 * x + 0.5 * x * x - 0.25 * x.powi(3);
        let falling: Vec<(f64, f64)> = [3.0, 2.5, 1.0, 0.2, -1.0, -4.0].map(|x| (x, cubic(x))).to_vec();
        for x in [3.0, 2.7, 1.0, 0.9, 0.0, -3.9, -4.0] {
            assert!((local_cubic(&falling, x) - cubic(x)).abs() < 1e-12);
        }
        assert!((predictive(20, 20.0).unwrap() - 2.124).abs() < 1e-12);
        assert!((bound_multiple(10, 20.0).unwrap() - 1.945).abs() < 1e-12);
        assert_eq!(critical(20), Some([0.977, 1.408]));
    }

    /// More seasons never ask for more, a longer return period never for less; all above the plain factor.
    #[test]
    fn factors_are_monotone() {
        for seasons in 5..400 {
            for years in [4.0, 5.0, 8.0, 10.0, 15.0, 20.0, 35.0, 50.0, 100.0, 150.0, 200.0] {
                let here = predictive(seasons, years).unwrap();
                assert!(here > frequency_factor(years), "{seasons} {years}");
                assert!(here > predictive(seasons + 1, years).unwrap() - 1e-3, "{seasons} {years}");
                assert!(predictive(seasons, years * 0.99).unwrap_or(f64::MIN) < here, "{seasons} {years}");
                let multiple = bound_multiple(seasons, years).unwrap();
                assert!(multiple > BOUND_AT_INFINITY && multiple < 2.6, "{seasons} {years}");
            }
        }
    }

    /// Rows rise with the years; the median of the next season lies near that of an endless record, -0.164 sd.
    #[test]
    fn tables_rise_from_column_to_column() {
        for (row, bounds) in PREDICTIVE.iter().zip(&BOUND) {
            assert!(row.is_sorted_by(|a, b| a < b) && bounds[..5].is_sorted(), "{row:?} {bounds:?}");
            assert!((row[0] - frequency_factor(2.0)).abs() < 0.021, "{row:?}");
        }
        assert!(CRITICAL.iter().all(|[five, one]| five < one) && CRITICAL.is_sorted());
    }

    #[test]
    fn silent_outside_the_tables() {
        assert_eq!(critical(5), Some([0.767, 1.117]));
        assert!((predictive(5, 200.0).unwrap() - 7.676).abs() < 1e-9);
        assert_eq!(critical(201), critical(200));
        assert_eq!(predictive(4, 20.0), None);
        assert_eq!(predictive(20, 1.5), None);
        assert_eq!(predictive(20, 201.0), None);
        assert_eq!(predictive(20, f64::NAN), None);
        assert_eq!(critical(4), None);
    }
}
