//! Coasts under the map of a survey, from `data/coast/land.bin` (provenance beside it).

/// Lines one after the other: how many points, then longitude and latitude of each in hundredths of a degree.
const LAND: &[u8] = include_bytes!("../../../data/coast/land.bin");

/// A point: degrees east, degrees north.
type Point = (f64, f64);

/// A line on a map.
type Line = Vec<Point>;

/// From and to, degrees.
type Span = (f64, f64);

/// The coasts within a rectangle of longitudes and latitudes, cut at its edges.
pub(super) fn within(x: Span, y: Span) -> Vec<Line> {
    let mut found = Vec::new();
    for line in lines() {
        let mut run: Line = Vec::new();
        for pair in line.windows(2) {
            let Some((from, to)) = cut(pair[0], pair[1], x, y) else { continue };
            if run.last() != Some(&from) {
                found.extend(whole(std::mem::take(&mut run)));
                run.push(from);
            }
            run.push(to);
        }
        found.extend(whole(run));
    }
    found
}

fn whole(run: Line) -> Option<Line> {
    (run.len() > 1).then_some(run)
}

/// All lines.
fn lines() -> impl Iterator<Item = Line> {
    let mut rest = LAND;
    std::iter::from_fn(move || {
        let (count, behind) = rest.split_first_chunk::<2>()?;
        let (points, behind) = behind.split_at_checked(4 * usize::from(u16::from_le_bytes(*count)))?;
        rest = behind;
        let degrees = |bytes: [u8; 2]| f64::from(i16::from_le_bytes(bytes)) / 100.0;
        let points = points.as_chunks::<4>().0;
        Some(points.iter().map(|&[a, b, c, d]| (degrees([a, b]), degrees([c, d]))).collect())
    })
}

/// The part of a straight line inside the rectangle; `None` where it lies outside.
fn cut(from: Point, to: Point, x: Span, y: Span) -> Option<(Point, Point)> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let (mut begin, mut end) = (0.0_f64, 1.0_f64);
    // Each edge lets through one side of the line.
    for (along, room) in [(-dx, from.0 - x.0), (dx, x.1 - from.0), (-dy, from.1 - y.0), (dy, y.1 - from.1)] {
        if along == 0.0 {
            if room < 0.0 {
                return None;
            }
            continue;
        }
        let at = room / along;
        if along < 0.0 {
            begin = begin.max(at);
        } else {
            end = end.min(at);
        }
    }
    let at = |share: f64| match share {
        // Ends inside stay as they are, so that neighbours meet.
        0.0 => from,
        1.0 => to,
        // Not a rounding beyond the edge.
        share => ((from.0 + share * dx).clamp(x.0, x.1), (from.1 + share * dy).clamp(y.0, y.1)),
    };
    (begin < end).then(|| (at(begin), at(end)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_holds_the_coasts_of_the_world() {
        let all: Vec<Line> = lines().collect();
        let points: usize = all.iter().map(Vec::len).sum();
        assert_eq!(LAND.len(), all.iter().map(|line| 2 + 4 * line.len()).sum::<usize>(), "read to its end");
        assert!(all.len() > 100 && points > 4000, "{} lines, {points} points", all.len());
        assert!(all.iter().flatten().all(|at| at.0.abs() <= 180.0 && at.1.abs() <= 90.0));
        // No line runs across the map where the earth closes.
        let pairs = all.iter().flat_map(|line| line.windows(2));
        assert!(pairs.map(|pair| (pair[0].0 - pair[1].0).abs()).all(|step| step < 20.0));
        // Capes that any atlas shows, to a degree: Cape Agulhas 34.8 S 20.0 E, North Cape 71.2 N 25.7 E.
        let near = |longitude: f64, latitude: f64| {
            all.iter().flatten().any(|at| (at.0 - longitude).abs() < 1.5 && (at.1 - latitude).abs() < 1.0)
        };
        assert!(near(20.0, -34.8) && near(25.7, 71.2));
        assert!(!near(0.0, 40.0 - 90.0) && !near(-100.0, 40.0), "open sea and the middle of a continent");
    }

    #[test]
    fn lines_are_cut_at_the_edges() {
        let (x, y) = ((0.0, 10.0), (0.0, 5.0));
        assert_eq!(cut((-5.0, 2.0), (5.0, 2.0), x, y), Some(((0.0, 2.0), (5.0, 2.0))));
        assert_eq!(cut((5.0, 2.0), (5.0, 9.0), x, y), Some(((5.0, 2.0), (5.0, 5.0))));
        assert_eq!(cut((1.0, 1.0), (2.0, 2.0), x, y), Some(((1.0, 1.0), (2.0, 2.0))));
        for outside in [((-5.0, 2.0), (-1.0, 2.0)), ((5.0, 6.0), (5.0, 9.0)), ((-3.0, 3.0), (1.0, 8.0))] {
            assert_eq!(cut(outside.0, outside.1, x, y), None);
        }
        let inside = |at: &Point| (-25.0..=45.0).contains(&at.0) && (34.0..=72.0).contains(&at.1);
        let europe = within((-25.0, 45.0), (34.0, 72.0));
        assert!(europe.len() > 10 && europe.iter().flatten().all(inside));
    }
}
