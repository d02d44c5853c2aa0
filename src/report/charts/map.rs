//! The stations of a survey: longitude against latitude, in the colour of the largest series count, or of the mean
//! annual low where no count can be told; coasts in thin lines.

use super::coast;
use super::drawing::{Across, Drawing, Stroke};
use super::frame::{Frame, minus, ticks, widened};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint};
use crate::report::{clean, show};
use crate::units::so_many;

/// One station on the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapPoint {
    /// Degrees east.
    pub longitude_deg: f32,
    /// Degrees north.
    pub latitude_deg: f32,
    /// Largest series count.
    pub in_series: Option<u16>,
    /// Mean annual low, else the record low, C.
    pub low_c: Option<f32>,
    /// Whether the strings as planned hold there; `None` where no voltage rating was judged.
    pub holds: Option<bool>,
}

/// Words of the second line of the legend, with the sign of each.
const SIGNS: [(Option<bool>, &str); 3] = [
    (Some(true), "dot: the strings as planned hold"),
    (Some(false), "cross: a voltage rating is passed"),
    (None, "ring: not judged"),
];

/// Colours from few panels (or cold) to many (or mild), with the size of the dot as a second sign.
const STEPS: [(Ink, f64); 5] =
    [(Ink::Limit, 4.6), (Ink::SuddenSun, 4.1), (Ink::Step3, 3.6), (Ink::Step4, 3.1), (Ink::WorstCase, 2.6)];

/// What colours the map.
enum Scale {
    /// Series counts, each step one count or more.
    Counts(Vec<u16>),
    /// Upper ends of the steps of temperature, C.
    Lows([f32; STEPS.len() - 1]),
}

impl Scale {
    fn of(points: &[MapPoint]) -> Option<Self> {
        let mut counts: Vec<u16> = points.iter().filter_map(|point| point.in_series).collect();
        counts.sort_unstable();
        counts.dedup();
        if !counts.is_empty() {
            return Some(Self::Counts(counts));
        }
        let mut lows: Vec<f32> = points.iter().filter_map(|point| point.low_c).collect();
        lows.sort_by(f32::total_cmp);
        let at = |share: usize| lows.get(lows.len() * share / STEPS.len()).copied();
        Some(Self::Lows([at(1)?, at(2)?, at(3)?, at(4)?]))
    }

    fn step(&self, point: &MapPoint) -> Option<usize> {
        match self {
            Self::Counts(counts) => {
                let at = counts.iter().position(|count| Some(*count) == point.in_series)?;
                // With more counts than colours neighbours share one.
                Some(if counts.len() <= STEPS.len() { at } else { at * STEPS.len() / counts.len() })
            }
            Self::Lows(ends) => {
                let low = point.low_c?;
                Some(ends.iter().position(|end| low < *end).unwrap_or(ends.len()))
            }
        }
    }

    fn names(&self) -> Vec<(usize, String)> {
        match self {
            Self::Counts(counts) => {
                let mut names: Vec<(usize, String)> = Vec::new();
                for (at, count) in counts.iter().enumerate() {
                    let step = if counts.len() <= STEPS.len() { at } else { at * STEPS.len() / counts.len() };
                    match names.last_mut() {
                        Some((last, name)) if *last == step => {
                            let first = name.split(" to ").next().unwrap_or_default().to_owned();
                            *name = format!("{first} to {count}");
                        }
                        _ => names.push((step, count.to_string())),
                    }
                }
                names
            }
            Self::Lows(ends) => {
                let degree = |value: f32| minus(&show::fixed(value.into(), 0));
                let mut names: Vec<(usize, String)> = ends
                    .iter()
                    .enumerate()
                    .map(|(step, end)| (step, format!("below {} °C", degree(*end))))
                    .collect();
                names.push((ends.len(), "milder".to_owned()));
                names
            }
        }
    }

    fn title(&self) -> &'static str {
        match self {
            Self::Counts(_) => "Most panels in series that hold",
            Self::Lows(_) => "Mean annual low",
        }
    }
}

/// Top and bottom of the plot, page units.
const TOP: f64 = 82.0;
/// Lines of the legend, page units.
const COLOURS_AT: f64 = 42.0;
const SIGNS_AT: f64 = 62.0;
/// Width of the plot, page units.
const SIDE: f64 = 64.0;

/// The map of one array; `None` without a station or anything to colour it by.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn map(id: &str, array: &str, points: &[MapPoint]) -> Result<Option<Chart>, ChartError> {
    let Some(scale) = Scale::of(points) else { return Ok(None) };
    let x = range(points.iter().map(|point| f64::from(point.longitude_deg)), 180.0);
    let y = range(points.iter().map(|point| f64::from(point.latitude_deg)), 90.0);
    // A degree of longitude is as long as a degree of latitude in the middle of the map.
    let squeeze = f64::midpoint(y.0, y.1).to_radians().cos().max(0.2);
    let width = style::WIDTH - 2.0 * SIDE;
    let height = ((y.1 - y.0) / ((x.1 - x.0) * squeeze) * width).clamp(220.0, 620.0);
    let title = format!("{}, array \"{}\"", scale.title(), clean::short(array, 30));
    let mut drawing = Drawing::new(TOP + height + 48.0, &title);
    let frame = Frame { left: SIDE, right: style::WIDTH - SIDE, top: TOP, bottom: TOP + height, x, y };
    frame.upright(&mut drawing, "degrees north", 8);
    for tick in ticks(frame.x, 10) {
        let across = frame.across(tick);
        drawing.line(vec![(across, frame.top), (across, frame.bottom)], Ink::Grid, 1.0, Stroke::Solid);
        frame.under(&mut drawing, tick, &minus(&show::fixed(tick, 0)));
    }
    for line in coast::within(frame.x, frame.y) {
        let line = line.into_iter().map(|(longitude, latitude)| frame.at(longitude, latitude)).collect();
        drawing.line(line, Ink::Faint, 0.8, Stroke::Solid);
    }
    legend(&mut drawing, &scale);
    let is_judged = points.iter().any(|point| point.holds.is_some());
    if is_judged {
        signs(&mut drawing, points);
    }
    // From many panels to few, and those that do not hold last, so that the stations that matter lie on top.
    let mut order: Vec<(usize, &MapPoint)> =
        points.iter().filter_map(|point| scale.step(point).map(|step| (step, point))).collect();
    order.sort_by_key(|(step, point)| (point.holds == Some(false), std::cmp::Reverse(*step)));
    for (step, point) in &order {
        let (ink, radius) = STEPS[*step];
        let at = frame.at(point.longitude_deg.into(), point.latitude_deg.into());
        let radius = if order.len() > 2000 { radius * 0.6 } else { radius };
        sign(&mut drawing, at, radius, ink, if is_judged { point.holds } else { Some(true) });
    }
    frame.border(&mut drawing);
    let middle = f64::midpoint(frame.left, frame.right);
    drawing.text((middle, frame.bottom + 34.0), "degrees east", Ink::Text, style::SMALL, Across::Middle);
    paint::chart(id, &title, &finding(points, &scale), Role::Whole, &drawing).map(Some)
}

fn range(values: impl Iterator<Item = f64> + Clone, most: f64) -> (f64, f64) {
    let low = values.clone().fold(f64::INFINITY, f64::min);
    let high = values.fold(f64::NEG_INFINITY, f64::max);
    let room = ((high - low) * 0.04).max(1.0);
    let (low, high) = widened((low - room, high + room), 1.0);
    (low.max(-most), high.min(most))
}

/// The mark of a station: its colour says the step, its shape the verdict.
fn sign(drawing: &mut Drawing, at: (f64, f64), radius: f64, ink: Ink, holds: Option<bool>) {
    match holds {
        Some(true) => drawing.dot(at, radius, ink),
        None => drawing.ring(at, radius.max(2.6), ink),
        Some(false) => {
            // an arm longer than the dot, so that the shape is seen and not the colour alone
            let arm = radius * 1.35;
            for (rise, width, ink) in
                [(1.0, 4.0, Ink::Paper), (-1.0, 4.0, Ink::Paper), (1.0, 2.2, ink), (-1.0, 2.2, ink)]
            {
                let ends = vec![(at.0 - arm, at.1 + arm * rise), (at.0 + arm, at.1 - arm * rise)];
                drawing.line(ends, ink, width, Stroke::Solid);
            }
        }
    }
}

/// What the shapes say, of those that are there.
fn signs(drawing: &mut Drawing, points: &[MapPoint]) {
    let mut left = SIDE;
    for (holds, name) in SIGNS {
        if points.iter().any(|point| point.holds == holds) {
            sign(drawing, (left + 5.0, SIGNS_AT), STEPS[0].1, Ink::Text, holds);
            drawing.text((left + 17.0, SIGNS_AT), name, Ink::Text, style::SMALL, Across::Start);
            left += 36.0 + super::drawing::text_width(name, style::SMALL);
        }
    }
}

fn legend(drawing: &mut Drawing, scale: &Scale) {
    let mut left = SIDE;
    for (step, name) in scale.names() {
        let (ink, radius) = STEPS[step];
        drawing.dot((left + 5.0, COLOURS_AT), radius, ink);
        drawing.text((left + 14.0, COLOURS_AT), &name, Ink::Text, style::SMALL, Across::Start);
        left += 30.0 + super::drawing::text_width(&name, style::SMALL);
    }
}

fn finding(points: &[MapPoint], scale: &Scale) -> String {
    let mut counts = [0_usize; STEPS.len()];
    for step in points.iter().filter_map(|point| scale.step(point)) {
        counts[step] += 1;
    }
    let parts: Vec<String> = scale
        .names()
        .into_iter()
        .map(|(step, name)| format!("{name}: {}", so_many(counts[step], "station")))
        .collect();
    let stations = |holds| so_many(points.iter().filter(|point| point.holds == holds).count(), "station");
    let planned = match points.iter().any(|point| point.holds.is_some()) {
        true => {
            format!(" As planned: within at {}, over at {}.", stations(Some(true)), stations(Some(false)))
        }
        false => String::new(),
    };
    format!("{}. {}: {}.{planned}", so_many(points.len(), "station"), scale.title(), parts.join(", "))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn points(counts: &[Option<u16>]) -> Vec<MapPoint> {
        counts
            .iter()
            .enumerate()
            .map(|(at, &in_series)| MapPoint {
                longitude_deg: -120.0 + at as f32,
                latitude_deg: 35.0 + at as f32 * 0.5,
                in_series,
                low_c: Some(-10.0 - at as f32),
                holds: None,
            })
            .collect()
    }

    #[test]
    fn every_station_has_a_dot_and_the_legend_says_the_counts() {
        let chart = map("map", "roof", &points(&[Some(2), Some(3), Some(3)])).unwrap().unwrap();
        assert!(chart.alt.contains("2: 1 station, 3: 2 stations"), "{}", chart.alt);
        // Two in the legend and three on the map.
        assert_eq!(chart.svg.matches("<circle").count(), 5);
        let lows = map("map", "roof", &points(&[None; 10])).unwrap().unwrap();
        assert!(lows.alt.contains("Mean annual low: below"), "{}", lows.alt);
        assert!(map("map", "roof", &[]).unwrap().is_none());
    }

    #[test]
    fn a_verdict_is_told_by_shape() {
        let mut points = points(&[Some(2), Some(3), Some(3), Some(3)]);
        for (point, holds) in points.iter_mut().zip([Some(false), Some(true), None, Some(true)]) {
            point.holds = holds;
        }
        let chart = map("map", "roof", &points).unwrap().unwrap();
        assert!(chart.alt.contains("within at 2 stations, over at 1 station."), "{}", chart.alt);
        for name in ["dot: the strings", "cross: a voltage rating", "ring: not judged"] {
            assert!(chart.svg.contains(name), "{name}");
        }
        // Colours 2, signs 1 and 2 for the ring; on the map two dots and a ring of two.
        assert_eq!(chart.svg.matches("<circle").count(), 2 + 3 + 4);
    }

    #[test]
    fn more_counts_than_colours_share() {
        let counts: Vec<_> = (1..=9).map(Some).collect();
        let chart = map("map", "roof", &points(&counts)).unwrap().unwrap();
        assert!(chart.alt.contains("1 to 2: 2 stations"), "{}", chart.alt);
    }
}
