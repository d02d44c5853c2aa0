//! Invented weather whose counts are known by construction, written as plain CSV, and the plan that reads it.
//!
//! Air is 20 °C, on cold days -30 °C. Light is 600 W/m2 in the hours from 11 and from 12 UTC, else 0. The place lies on
//! the meridian of UTC, so local days are UTC days. One panel of 20.0 V, -0.30 %/K, 36 cells. By hand, as labelled
//! (n = 1.1): at -30 °C in 600 W/m2 20 (1 + 0.003 * 55) + 36 * 1.1 * 8.617e-5 * 243.15 * ln 0.6 = 23.30 - 0.42 = 22.9 V;
//! at 20 °C in 900 W/m2 20.2 V; parked at -30 °C (cell 34 K warmer) 20.8 V. With 3 % more, in full clear sky at 15 °C, below
//! 21.3 V. So a rating of 22 V is passed in sudden sun for two hours on each cold day, and at no other time.

use dawnvolt::plan;
use dawnvolt::study::{Choice, assess, results::Assessment};
use dawnvolt::time::{LocalDay, MonthDay, Stamp, UtcOffset};
use std::fmt::Write as _;
use std::ops::Range;
use std::path::Path;
use tempfile::TempDir;

/// A year, a month, a day.
pub type Day = (i32, u32, u32);

pub fn day(day: Day) -> LocalDay {
    LocalDay::from_civil(day.0, day.1, day.2).unwrap()
}

/// One stop's weather and dates.
pub struct Place {
    pub name: &'static str,
    /// First day, and first day after the end.
    pub span: (Day, Day),
    pub step_h: usize,
    pub cold: Vec<Day>,
    /// First and last day of each hole.
    pub holes: Vec<(Day, Day)>,
    /// First and last day of which the nights alone are there.
    pub nights_alone: Option<(Day, Day)>,
    /// First and last day with a report every hour.
    pub hourly: Option<(Day, Day)>,
    /// Months with a report every hour.
    pub hourly_months: &'static [u32],
    /// Hours of 600 W/m2, UTC.
    pub light: Range<usize>,
    /// As the stop gives it, C.
    pub code_temperature: Option<i32>,
    /// Months and days.
    pub window: Option<(&'static str, &'static str)>,
    pub latitude_deg: f64,
}

impl Place {
    /// Whole seasons of the north from July of `from` to July of `to`.
    pub fn north(name: &'static str, from: i32, to: i32) -> Self {
        Self {
            name,
            span: ((from, 7, 1), (to, 7, 1)),
            step_h: 1,
            cold: Vec::new(),
            holes: Vec::new(),
            nights_alone: None,
            hourly: None,
            hourly_months: &[],
            light: 11..13,
            code_temperature: None,
            window: None,
            latitude_deg: 45.0,
        }
    }

    pub fn cold(mut self, days: &[Day]) -> Self {
        self.cold.extend(days);
        self
    }

    pub fn hole(mut self, first: Day, last: Day) -> Self {
        self.holes.push((first, last));
        self
    }

    pub fn every(mut self, step_h: usize) -> Self {
        self.step_h = step_h;
        self
    }

    pub fn window(mut self, arrive: &'static str, leave: &'static str) -> Self {
        self.window = Some((arrive, leave));
        self
    }

    fn csv(&self) -> String {
        let mut text = String::from("time,temp_c,ghi\n");
        for number in day(self.span.0).0..day(self.span.1).0 {
            let today = LocalDay(number);
            if self.holes.iter().any(|&(first, last)| (day(first)..=day(last)).contains(&today)) {
                continue;
            }
            let air = if self.cold.iter().any(|&cold| day(cold) == today) { -30.0 } else { 20.0 };
            let inside = |days: Option<(Day, Day)>| {
                days.is_some_and(|(first, last)| (day(first)..=day(last)).contains(&today))
            };
            let dense = inside(self.hourly) || self.hourly_months.contains(&today.month_day().month);
            for hour in (0..24).step_by(if dense { 1 } else { self.step_h }) {
                if inside(self.nights_alone) && (6..=18).contains(&hour) {
                    continue;
                }
                let light = if self.light.contains(&hour) { 600 } else { 0 };
                writeln!(text, "{today}T{hour:02}:00:00Z,{air},{light}").unwrap();
            }
        }
        text
    }
}

const PLAN: &str = r#"
title = "Invented panel in invented weather"
[[module]]
id = "panel"
voc_v = 20.0
isc_a = 5.0
cells_in_series = 36
technology = "mono"
voc_temp_coeff = "-0.30 %/K"
[[string]]
modules = "panel"
in_series = 1
mount = "roof"
[[component]]
kind = "disconnect"
name = "switch"
max_v = 22
rated_a = 20
poles_opened = 2
"#;

/// The answer for these places, through files.
pub fn assessed(places: &[Place]) -> Assessment {
    let folder = TempDir::new().unwrap();
    assessed_in(folder.path(), places, PLAN)
}

/// The same with four panels in series.
pub fn assessed_four_in_series(places: &[Place]) -> Assessment {
    let folder = TempDir::new().unwrap();
    assessed_in(folder.path(), places, &PLAN.replace("in_series = 1", "in_series = 4"))
}

/// The same with one panel, held against another rating, V.
pub fn assessed_against(places: &[Place], rating_v: u32) -> Assessment {
    let folder = TempDir::new().unwrap();
    assessed_in(folder.path(), places, &PLAN.replace("max_v = 22", &format!("max_v = {rating_v}")))
}

fn assessed_in(folder: &Path, places: &[Place], plan: &str) -> Assessment {
    let mut text = plan.to_owned();
    for (index, place) in places.iter().enumerate() {
        std::fs::write(folder.join(format!("{index}.csv")), place.csv()).unwrap();
        let Place { name, latitude_deg, .. } = place;
        write!(
            text,
            "\n[[stop]]\nplace = \"{name}\"\nweather = [\"{index}.csv\"]\nlatitude_deg = {latitude_deg:?}\n\
             longitude_deg = 0.0\nelevation_m = 100\nutc_offset = \"+00:00\"\n"
        )
        .unwrap();
        if let Some(air_c) = place.code_temperature {
            writeln!(text, "code_temperature = {air_c}").unwrap();
        }
        if let Some((arrive, leave)) = place.window {
            writeln!(text, "arrive = \"{arrive}\"\nleave = \"{leave}\"").unwrap();
        }
    }
    let path = folder.join("plan.toml");
    std::fs::write(&path, text).unwrap();
    let plan = plan::load(&path).unwrap_or_else(|error| panic!("{error}"));
    assess(&plan, &Choice::default()).unwrap_or_else(|error| panic!("{error}"))
}

/// UTC, with its local month and day.
pub fn stamp(at: Day, hour: u32) -> Stamp {
    Stamp::from_utc(at.0, at.1, at.2, hour, 0, 0).unwrap()
}

/// Month and day of a stamp in UTC.
pub fn month_day(stamp: Stamp) -> MonthDay {
    stamp.local_day(UtcOffset::UTC).month_day()
}
