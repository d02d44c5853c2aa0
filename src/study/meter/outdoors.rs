//! Light and cell from place, time, air and a word for the sky.

use super::{Conditions, Known, Spread, warmed};
use crate::array::StringGroup;
use crate::hourly::{HourSky, Plane, ReadyGroup};
use crate::plan::Plan;
use crate::sky::{self, ClearSky, Light};
use crate::study::explain::moment;
use crate::study::{Choice, OpenStop, StudyError};
use crate::sun::{HourSun, Nodes, STEPS, Track};
use crate::time::Stamp;

/// A word for the sky.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SkyWord {
    /// Blue, sharp shadows.
    Clear,
    /// Whitish, shadows soft.
    Hazy,
    /// Grey all over, no shadow.
    Overcast,
}

impl SkyWord {
    /// Linke turbidity: least, usual, most. Clear winter air to usual air; haze as published for humid and polluted air
    /// `[INEICHEN2002]`. Overcast is laid over usual air.
    fn turbidity(self) -> [f64; 3] {
        match self {
            Self::Clear => [2.0, 3.0, 4.0],
            Self::Hazy => [3.5, 5.0, 7.0],
            Self::Overcast => [3.0, 3.0, 3.0],
        }
    }

    /// Share of the light that is left: most, usual, least. A closed cover leaves a quarter `[KASTEN1980]`, single hours
    /// half or double as much.
    fn share(self) -> [f64; 3] {
        match self {
            Self::Clear | Self::Hazy => [1.0; 3],
            Self::Overcast => {
                let closed = sky::cloud_factor(8.0);
                [2.0 * closed, closed, 0.5 * closed]
            }
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Clear => "a clear sky",
            Self::Hazy => "a hazy sky",
            Self::Overcast => "an overcast sky",
        }
    }
}

/// What is known without a light meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outdoors<'a> {
    /// Time, with a zone or on the place's own clock.
    pub at: &'a str,
    /// Air, C.
    pub air_c: f64,
    /// The sky.
    pub sky: SkyWord,
}

/// The place and the sun at that time.
pub(super) struct Place {
    name: String,
    at: Stamp,
    elevation_m: f64,
    sun: HourSun,
}

impl Place {
    pub(super) fn find(plan: &Plan, choice: &Choice, outdoors: &Outdoors<'_>) -> Result<Self, StudyError> {
        let stops = choice.stops(plan)?;
        let stop = match &stops[..] {
            [] => return Err(StudyError::NoStops),
            [(_, stop)] => *stop,
            several => {
                let known = several.iter().map(|(_, stop)| format!("\"{}\"", stop.place)).collect::<Vec<_>>();
                return Err(StudyError::Several { what: "stop", known: known.join(", ") });
            }
        };
        let open = OpenStop::open(stop, &plan.assumptions)?;
        let at = moment(outdoors.at, open.site.offset).ok_or_else(|| StudyError::BadTime {
            asked: outdoors.at.to_owned(),
            offset: open.site.offset.to_string(),
        })?;
        let nodes = Nodes::covering(at, at)
            .map_err(|source| StudyError::Sun { place: stop.place.clone(), source })?;
        let place = open.site.place;
        let track = Track::new(&nodes, place.latitude_deg, place.longitude_deg);
        let mut sun = track.hour(at, 0);
        // One moment, not an hour: all twelve steps stand for it.
        sun.cos_zenith = [sun.middle.cos_zenith; STEPS];
        Ok(Self { name: stop.place.clone(), at, elevation_m: place.elevation_m, sun })
    }

    /// Light and cell of one group.
    pub(super) fn conditions(&self, group: &StringGroup, outdoors: &Outdoors<'_>) -> Conditions {
        let plane = ReadyGroup::new(group, None).plane;
        let turbidity = outdoors.sky.turbidity();
        let share = outdoors.sky.share();
        let lights: [f64; 3] =
            std::array::from_fn(|index| share[index] * self.light(turbidity[index], &plane));
        // Low sun on a panel whose heading is open may come from any side.
        let light =
            Spread { low: lights[2].min(lights[1]), expected: lights[1], high: lights[0].max(lights[1]) };
        let height = 90.0 - self.sun.middle.cos_zenith.clamp(-1.0, 1.0).acos().to_degrees();
        Conditions {
            cell_c: warmed(group, outdoors.air_c, light.expected),
            irradiance_w_m2: light,
            from: format!(
                "{} at {} under {}, the sun {height:.1} degrees high; the cell from the air by its mount ({}), between the air \
                 (just uncovered) and still air",
                self.name,
                self.at,
                outdoors.sky.word(),
                group.mount.word()
            ),
            known: Known::Neither,
        }
    }

    fn light(&self, turbidity: f64, plane: &Plane) -> f64 {
        if self.sun.lit == 0 {
            return 0.0;
        }
        let sky = ClearSky::at(self.elevation_m, Some(turbidity));
        HourSky::new(&sky, &self.sun, Light::Unknown).on(plane, |_| self.sun.middle).mean
    }
}
