//! The smaller and the larger of two numbers: one instruction each, where the library's also ask which is no number.

/// The smaller; neither may be NaN.
#[inline]
#[must_use]
pub fn smaller(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The larger; neither may be NaN.
#[inline]
#[must_use]
pub fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}
