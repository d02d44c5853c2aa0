//! Roots of a function of one number.

/// Halvings that shrink any interval of ordinary numbers to the spacing of `f64`.
const HALVINGS: usize = 100;

/// Where `f` changes sign between `low` and `high`, by bisection; `None` where both ends have the same sign or
/// one is not a number.
pub fn bisect(low: f64, high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut low, mut high) = (low, high);
    let at_low = f(low);
    let at_high = f(high);
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    if !at_low.is_finite() || !at_high.is_finite() || (at_low > 0.0) == (at_high > 0.0) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if (f(middle) > 0.0) == (at_low > 0.0) { low = middle } else { high = middle }
    }
    Some(0.5 * (low + high))
}

/// The last point from `inside` towards `outside` at which `holds` is still true, by bisection. `holds(inside)`
/// must be true.
pub fn edge(inside: f64, outside: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut inside, mut outside) = (inside, outside);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (inside + outside);
        if (middle - inside).abs() <= f64::EPSILON * middle.abs() {
            break;
        }
        if holds(middle) { inside = middle } else { outside = middle }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_root_is_found_to_the_last_digit() {
        let root = bisect(0.0, 2.0, |x| x * x - 2.0);
        assert!(root.is_some_and(|root| (root - 2.0_f64.sqrt()).abs() < 1e-15));
        assert_eq!(bisect(2.0, 3.0, |x| x * x - 2.0), None);
        assert_eq!(bisect(0.0, 1.0, |_| f64::NAN), None);
    }

    #[test]
    fn an_edge_is_found_from_inside() {
        let edge = edge(1.0, 5.0, |x| x <= 3.0);
        assert!(edge <= 3.0 && 3.0 - edge < 1e-14);
    }
}
