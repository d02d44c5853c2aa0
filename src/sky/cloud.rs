//! Light under clouds.

/// Share of clear-sky global light that is left under `oktas` eighths of cloud: 1 - 0.75 (N/8)^3.4
/// [KASTEN1980].
///
/// Oktas below 0 count as 0, above 8 (sky obscured) as 8. Fitted to hourly means at Hamburg; one hour strays by
/// 30 to 50 % around it.
#[must_use]
pub fn cloud_factor(oktas: f64) -> f64 {
    1.0 - 0.75 * (oktas.clamp(0.0, 8.0) / 8.0).powf(3.4)
}

/// How many times clear-sky light falls on a plane for seconds to minutes at the edge of a cloud: 1.5 up to 2000 m,
/// 1.6 above.
///
/// Published: above 1.5 times clear sky, 1413 W/m2 (slow) and 1528 W/m2 (10 ms) on a tilted plane at 58 N and sea
/// level [YORDANOV2013]; 2177 W/m2 above 5000 m. A figure for currents of protective devices, never a way around
/// a code's factor.
#[must_use]
pub fn cloud_edge_factor(elevation_m: f64) -> f64 {
    if elevation_m > 2000.0 { 1.6 } else { 1.5 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_of_kasten_and_czeplak() {
        // [KASTEN1980]: the formula at 0 to 8 oktas.
        let table = [1.0, 0.9994, 0.9933, 0.9733, 0.9290, 0.8483, 0.7180, 0.5237, 0.2500];
        for (oktas, factor) in table.into_iter().enumerate() {
            assert!((cloud_factor(oktas as f64) - factor).abs() < 5.1e-5, "{oktas}");
        }
        assert!((cloud_factor(9.0) - 0.25).abs() < 1e-12);
    }
}
