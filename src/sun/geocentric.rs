//! The sun as the centre of the earth sees it: exact positions every few days, interpolated between.

use crate::sun::node_table;
use crate::time::{DAY_S, Stamp};
use solar_positioning::{SolarPositions, delta_t, time::JulianDate};

/// Irradiance of the sun at one astronomical unit, W/m2 [KOPP2011].
pub const SOLAR_CONSTANT_W_M2: f64 = 1361.0;

/// Distance of two nodes, s. Chosen because four days keep the cubic within 0.0001 deg at a quarter of the cost
/// of daily nodes.
const NODE_S: i64 = 4 * DAY_S;

/// Years that a record may lie in. Chosen because no public hourly record lies outside.
const YEARS: std::ops::RangeInclusive<i32> = 1800..=2200;

/// J2000.0 (2000-01-01 12:00 UTC) as seconds since 1970.
const J2000_S: f64 = 946_728_000.0;

/// 1970-01-01T00:00:00Z as a Julian date (definition of the Julian date).
const EPOCH_JD: f64 = 2_440_587.5;

const DAY: f64 = 86_400.0;

/// Where the sun stands, seen from the centre of the earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geocentric {
    /// Apparent declination, radians.
    pub declination_rad: f64,
    /// How fast it changes, rad/s.
    pub declination_rad_s: f64,
    /// Hour angle at Greenwich, radians, positive after noon, not reduced to one turn.
    pub greenwich_hour_angle_rad: f64,
    /// How fast it grows, rad/s.
    pub hour_angle_rad_s: f64,
    /// Distance of earth and sun, au.
    pub distance_au: f64,
}

impl Geocentric {
    /// Irradiance above the air on a plane that faces the sun, W/m2: 1361.0 / r2.
    #[must_use]
    pub fn extraterrestrial_w_m2(&self) -> f64 {
        SOLAR_CONSTANT_W_M2 / (self.distance_au * self.distance_au)
    }
}

/// Why no solar positions can be had.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SunError {
    /// A stamp lies outside the years that any record covers.
    #[error(
        "hours from {first} to {last}: expected years {} to {}; check the stamps of the weather file",
        YEARS.start(), YEARS.end()
    )]
    Years {
        /// Earliest stamp asked for.
        first: Stamp,
        /// Latest stamp asked for.
        last: Stamp,
    },
}

/// What is interpolated: degrees from the mean equinox of date (continuous over turns), degrees, au.
#[derive(Clone, Copy, Debug)]
struct Node {
    right_ascension_deg: f64,
    declination_deg: f64,
    distance_au: f64,
}

/// A cubic between two nodes, by rising powers of the share of the way.
type Cubic = [f64; 4];

/// The three cubics between two nodes, worked out once: an hour's sun is asked far more often than there are nodes.
#[derive(Clone, Copy, Debug)]
struct Piece {
    right_ascension_deg: Cubic,
    declination_deg: Cubic,
    distance_au: Cubic,
}

impl Piece {
    fn through(around: &[Node]) -> Self {
        let cubic = |value: fn(&Node) -> f64| {
            let [a, b, c, d] = [value(&around[0]), value(&around[1]), value(&around[2]), value(&around[3])];
            // Newton's form of the cubic through (-1, a), (0, b), (1, c), (2, d).
            let third = (d - a + 3.0 * (b - c)) * (1.0 / 6.0);
            let second = 0.5 * (a + c) - b;
            let first = c - b - second - third;
            [b, first, second, third]
        };
        Self {
            right_ascension_deg: cubic(|node| node.right_ascension_deg),
            declination_deg: cubic(|node| node.declination_deg),
            distance_au: cubic(|node| node.distance_au),
        }
    }
}

fn value(cubic: &Cubic, x: f64) -> f64 {
    cubic[0] + x * (cubic[1] + x * (cubic[2] + x * cubic[3]))
}

fn slope(cubic: &Cubic, x: f64) -> f64 {
    cubic[1] + x * (2.0 * cubic[2] + x * 3.0 * cubic[3])
}

/// Solar positions by the full algorithm [REDA2004] at nodes every four days, shared by all places.
///
/// Nodes lie at fixed moments and each counts its turns from the mean sun, so that the same hour gives the same
/// position, to the bit, whatever span is asked for.
/// Between them right ascension, declination and distance are cubics through the four nearest nodes.
/// Right ascension is kept without the equation of the equinoxes (its four largest terms), which also leaves
/// sidereal time to be the mean one. Accuracy: zenith within 0.001 deg of the full algorithm.
#[derive(Clone, Debug)]
pub struct Nodes {
    first_index: i64,
    count: i64,
    /// Piece `i` lies between node `i + 1` and node `i + 2`.
    pieces: Vec<Piece>,
    span: (Stamp, Stamp),
}

impl Nodes {
    /// Nodes that serve every moment from `first` to `last`, and up to a day beyond.
    ///
    /// # Errors
    /// Where a stamp lies outside the years 1800 to 2200.
    pub fn covering(first: Stamp, last: Stamp) -> Result<Self, SunError> {
        let (first, last) = (first.min(last), first.max(last));
        let fault = || SunError::Years { first, last };
        if !YEARS.contains(&first.year()) || !YEARS.contains(&last.year()) {
            return Err(fault());
        }
        let first_index = (first.0 - DAY_S).div_euclid(NODE_S) - 1;
        let last_index = (last.0 + DAY_S).div_euclid(NODE_S) + 2;
        let mut nodes: Vec<Node> =
            Vec::with_capacity(usize::try_from(last_index - first_index).unwrap_or(0) + 1);
        for index in first_index..=last_index {
            nodes.push(node(index).ok_or_else(fault)?);
        }
        let pieces = nodes.windows(4).map(Piece::through).collect();
        Ok(Self { first_index, count: last_index - first_index + 1, pieces, span: (first, last) })
    }

    /// The span that was asked for.
    #[must_use]
    pub fn span(&self) -> (Stamp, Stamp) {
        self.span
    }

    /// Whether the span from `first` to `last` lies inside the nodes.
    #[must_use]
    pub fn covers(&self, first: Stamp, last: Stamp) -> bool {
        let (from, until) = (first.min(last).0, first.max(last).0);
        (from - DAY_S).div_euclid(NODE_S) > self.first_index
            && (until + DAY_S).div_euclid(NODE_S) + 2 < self.first_index + self.count
    }

    /// The sun at `seconds` since 1970 (UTC taken as UT1, at most 0.9 s apart: 0.004 deg of hour angle).
    ///
    /// Beyond the span given to [`Nodes::covering`] (and its day of grace) the nearest cubic is continued, which
    /// holds for some days only.
    #[must_use]
    pub fn at(&self, seconds: f64) -> Geocentric {
        // The node before, counted from 1970, so that the share of the way does not hang on the span asked for.
        let place = seconds * (1.0 / NODE_S as f64);
        let last = self.first_index + self.count - 3;
        #[expect(clippy::cast_possible_truncation, reason = "clamped to the nodes' range")]
        let towards_nought = place as i64;
        // Rounded down: asking the library costs more than all three cubics.
        let before =
            (towards_nought - i64::from(place < towards_nought as f64)).clamp(self.first_index + 1, last);
        let x = place - before as f64;
        let piece = &self.pieces[usize::try_from(before - self.first_index - 1).unwrap_or(0)];
        let declination_deg = value(&piece.declination_deg, x);
        let right_ascension_deg = value(&piece.right_ascension_deg, x);
        let ascension_rate = slope(&piece.right_ascension_deg, x);
        let per_second = 1.0 / NODE_S as f64;
        Geocentric {
            declination_rad: declination_deg.to_radians(),
            declination_rad_s: (slope(&piece.declination_deg, x) * per_second).to_radians(),
            greenwich_hour_angle_rad: (mean_sidereal_deg(seconds) - right_ascension_deg).to_radians(),
            hour_angle_rad_s: (SIDEREAL_DEG_PER_DAY / DAY - ascension_rate * per_second).to_radians(),
            distance_au: value(&piece.distance_au, x),
        }
    }
}

/// Turn of the earth against the mean equinox, degrees a day of UT1 [REDA2004] eq. 28.
const SIDEREAL_DEG_PER_DAY: f64 = 360.985_647_366_29;

/// Greenwich mean sidereal time, degrees [REDA2004] eq. 28, not reduced to one turn.
fn mean_sidereal_deg(seconds: f64) -> f64 {
    let days = (seconds - J2000_S) * (1.0 / DAY);
    let centuries = days * (1.0 / 36_525.0);
    280.460_618_37
        + SIDEREAL_DEG_PER_DAY * days
        + centuries * centuries * (0.000_387_933 - centuries * (1.0 / 38_710_000.0))
}

/// Nutation in longitude times the cosine of the obliquity, degrees: its four largest terms (IAU 1980 series,
/// coefficients from memory; what is left out is below 0.0001 deg). [REDA2004] section 3.4 holds the whole series.
fn equation_of_equinoxes_deg(seconds: f64) -> f64 {
    let centuries = (seconds - J2000_S) / DAY / 36_525.0;
    let node = (125.044_52 - 1_934.136_261 * centuries).to_radians();
    let sun = (280.466_5 + 36_000.769_8 * centuries).to_radians();
    let moon = (218.316_5 + 481_267.881_3 * centuries).to_radians();
    let arcseconds = -17.20 * node.sin() - 1.32 * (2.0 * sun).sin() - 0.23 * (2.0 * moon).sin()
        + 0.21 * (2.0 * node).sin();
    let obliquity = (23.439_291 - 0.013_004 * centuries).to_radians();
    arcseconds / 3600.0 * obliquity.cos()
}

/// Mean longitude of the sun, degrees, not reduced to one turn (its two leading terms, from memory; only whole turns
/// are taken from it).
fn mean_longitude_deg(seconds: f64) -> f64 {
    280.466_46 + 36_000.769_83 * ((seconds - J2000_S) / DAY / 36_525.0)
}

/// Node `index`, from the table where it is there.
fn node(index: i64) -> Option<Node> {
    match node_table::node(index) {
        Some([right_ascension_deg, declination_deg, distance_au]) => {
            Some(Node { right_ascension_deg, declination_deg, distance_au })
        }
        None => exact_node(index * NODE_S),
    }
}

fn exact_node(seconds: i64) -> Option<Node> {
    let seconds = seconds as f64;
    let year = 1970.0 + seconds / DAY / 365.2425;
    let julian = JulianDate::new(EPOCH_JD + seconds / DAY, delta_t::estimate(year).ok()?).ok()?;
    let position = SolarPositions::new().for_time_from_julian(julian).ok()?;
    let right_ascension_deg = position.right_ascension() - equation_of_equinoxes_deg(seconds);
    // The true sun strays from the mean one by less than 5 deg, so the turn is never in doubt.
    let turns = ((mean_longitude_deg(seconds) - right_ascension_deg) / 360.0).round();
    Some(Node {
        right_ascension_deg: right_ascension_deg + 360.0 * turns,
        declination_deg: position.declination(),
        distance_au: position.earth_radius_vector()?,
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_node_is_met_exactly_and_right_ascension_never_jumps() {
        let nodes = Nodes::covering(Stamp(0), Stamp(800 * DAY_S)).unwrap();
        let at = nodes.at(100.0 * NODE_S as f64);
        let exact = exact_node(100 * NODE_S).unwrap();
        assert!((at.declination_rad.to_degrees() - exact.declination_deg).abs() < 1e-12);
        assert!((at.distance_au - exact.distance_au).abs() < 1e-14);
        for pair in nodes.pieces.windows(2) {
            let step = pair[1].right_ascension_deg[0] - pair[0].right_ascension_deg[0];
            assert!((3.0..5.0).contains(&step), "{step}");
        }
    }

    #[test]
    fn the_table_holds_what_the_algorithm_gives() {
        let last = node_table::FIRST + i64::try_from(node_table::COUNT).unwrap();
        for index in node_table::FIRST..last {
            let exact = exact_node(index * NODE_S).unwrap();
            let [right_ascension_deg, declination_deg, distance_au] = node_table::node(index).unwrap();
            // Other machines' sines may differ in the last digit, which turns counted to 15,000 degrees enlarge.
            assert!((right_ascension_deg - exact.right_ascension_deg).abs() < 1e-10, "{index}");
            assert!((declination_deg - exact.declination_deg).abs() < 1e-12, "{index}");
            assert!((distance_au - exact.distance_au).abs() < 1e-14, "{index}");
        }
        assert!(node_table::node(node_table::FIRST - 1).is_none() && node_table::node(last).is_none());
    }

    /// Makes the bytes of the table; with DAWNVOLT_NODES_TO naming a file they are written there.
    #[test]
    fn the_bytes_of_the_table_can_be_made_anew() {
        let mut bytes = Vec::new();
        for index in node_table::FIRST..node_table::FIRST + i64::try_from(node_table::COUNT).unwrap() {
            let node = exact_node(index * NODE_S).unwrap();
            for number in [node.right_ascension_deg, node.declination_deg, node.distance_au] {
                bytes.extend(number.to_le_bytes());
            }
        }
        assert_eq!(bytes.len(), include_bytes!("../../data/sun/nodes.bin").len());
        if let Ok(path) = std::env::var("DAWNVOLT_NODES_TO") {
            std::fs::write(path, bytes).unwrap();
        }
    }

    #[test]
    fn the_span_does_not_change_the_position() {
        let moment = Stamp::from_utc(2018, 1, 8, 17, 30, 0).unwrap();
        let short = Nodes::covering(moment, moment).unwrap();
        let long =
            Nodes::covering(Stamp::from_utc(1990, 1, 1, 0, 0, 0).unwrap(), moment.plus_s(DAY_S)).unwrap();
        for ahead in 0..20 {
            let at = (moment.0 + ahead * 3600) as f64;
            let (short, long) = (short.at(at), long.at(at));
            assert_eq!(short.declination_rad.to_bits(), long.declination_rad.to_bits());
            let angles = [short, long].map(|sun| sun.greenwich_hour_angle_rad.to_bits());
            assert_eq!(angles[0], angles[1]);
            assert_eq!(short.distance_au.to_bits(), long.distance_au.to_bits());
        }
    }

    #[test]
    fn rates_are_the_slopes() {
        let nodes = Nodes::covering(Stamp(0), Stamp(40 * DAY_S)).unwrap();
        let (before, after) = (nodes.at(1.0e6 - 500.0), nodes.at(1.0e6 + 500.0));
        let at = nodes.at(1.0e6);
        let slope = (after.declination_rad - before.declination_rad) / 1000.0;
        assert!((slope - at.declination_rad_s).abs() < 1e-13);
        let slope = (after.greenwich_hour_angle_rad - before.greenwich_hour_angle_rad) / 1000.0;
        assert!((slope - at.hour_angle_rad_s).abs() < 1e-12);
    }

    #[test]
    fn impossible_years_are_refused() {
        let far = Stamp::from_utc(9999, 1, 1, 0, 0, 0).unwrap();
        let error = Nodes::covering(Stamp(0), far).unwrap_err().to_string();
        assert!(error.contains("1970-01-01") && error.contains("check the stamps"), "{error}");
    }
}
