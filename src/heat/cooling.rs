//! How far a cell falls below the air in a clear night.

use crate::heat::Mount;

/// Kelvin below the air that the cell of an unlit panel is credited with after a clear night: frame 3, gap 4,
/// roof 5.
///
/// The radiative balance [DRIESSE2022] gives 3.1 to 3.6 K for an open module under a clear sky and 4.7 to 5.4 K
/// for an insulated one; open measurements of module less air at night lie at -1.5 to -3.1 K in the mean, with a
/// 5th percentile of -3.6 to -8.9 K.
#[must_use]
pub fn sky_cooling_k(mount: Mount) -> f64 {
    match mount {
        Mount::Frame => 3.0,
        Mount::Gap => 4.0,
        Mount::Roof => 5.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The balance of [DRIESSE2022]: 3.1 to 3.6 K for an open module, 4.7 to 5.4 K for an insulated one; air behind lies between.
    #[test]
    fn the_more_insulated_the_colder() {
        let [frame, gap, roof] = [Mount::Frame, Mount::Gap, Mount::Roof].map(sky_cooling_k);
        assert!((2.9..=3.6).contains(&frame) && (4.7..=5.4).contains(&roof), "{frame} {roof}");
        assert!(frame < gap && gap < roof, "{gap}");
    }
}
