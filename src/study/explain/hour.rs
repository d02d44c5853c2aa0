//! One hour of one group of strings, worked from the file's line to volts and amps.

use super::cells::AirAt;
use super::light::{HourLight, Three};
use super::plane::PlaneAt;
use super::sun::{Azimuth, ClearAt, Ground, SunAt};
use super::volts::Strength;
use super::worked::{Chain, Formula, Kind, Part, Quantity, TableRow};
use super::{curve, plane as planes, volts};
use crate::array::{Heading, StringGroup};
use crate::assumptions::Rules;
use crate::hourly::{GroupHour, Loop, ReadyGroup};
use crate::sky::Light;
use crate::sun::{HourSun, STEPS};
use crate::time::{HOUR_S, Stamp};
use crate::units::Celsius;
use crate::weather::Hour;

/// Seconds of a step.
const STEP_S: i64 = HOUR_S / STEPS as i64;

/// What an hour is worked from.
pub(super) struct Work<'a> {
    pub(super) job: &'a Loop<'a>,
    pub(super) ready: &'a ReadyGroup<'a>,
    pub(super) hour: &'a Hour,
    /// "file:line".
    pub(super) line: &'a str,
    pub(super) sun: &'a HourSun,
    /// The group in this hour, as the run has it; `None` in the dark.
    pub(super) lit: Option<&'a GroupHour>,
    /// Air of the code sum.
    pub(super) code_air: Option<(Celsius, &'a str)>,
    /// The rules that the plan names.
    pub(super) rules: Rules,
}

/// The moment whose light decides a voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Moment {
    Step(usize),
    /// No step is brighter than the hour's mean.
    Mean,
}

impl Moment {
    fn brightest(steps: &[f64; STEPS], mean: f64) -> Self {
        let mut best = 0;
        for (step, light) in steps.iter().enumerate() {
            if *light > steps[best] {
                best = step;
            }
        }
        if steps[best] >= mean { Self::Step(best) } else { Self::Mean }
    }
}

fn middle(start: Stamp, step: usize) -> Stamp {
    start.plus_s(STEP_S * i64::try_from(step).unwrap_or(0) + STEP_S / 2)
}

impl Work<'_> {
    /// All parts.
    pub(super) fn parts(&self) -> Vec<Part> {
        let mut chain = Chain::default();
        let site = self.job.site;
        chain.part("The reading and the air at the place");
        let air = AirAt::work(&mut chain, site, self.hour, self.line);
        chain.part("The place");
        let ground = Ground::new(&site.place, self.job.sky);
        ground.work(&mut chain);
        let Some(lit) = self.lit else {
            let noon = self.hour.start.plus_s(HOUR_S / 2);
            chain.part(format!("The sun in the middle of the hour, {noon}"));
            self.sun_at(&ground, noon).work(&mut chain, &ground, Azimuth::Idle);
            chain.remark("all twelve 5-minute steps have the sun below -0.83 °: dark, 0 V and 0 A");
            self.code(&mut chain);
            return chain.finish();
        };
        let worst_at = Moment::brightest(&lit.light.bound, lit.light.own_most());
        let sudden_at = Moment::brightest(&lit.light.own, lit.light.mean);
        let azimuth = if self.ready.plane.is_flat() || self.ready.plane.heading == Heading::Any {
            Azimuth::Idle
        } else {
            Azimuth::Needed
        };

        let hour_light = self.twelve_steps(&mut chain, &ground);
        chain.part("Light on the panel, hour mean, and what the hour's sun makes of the cells");
        let mean = self.mean_light(&mut chain, &ground, &hour_light, azimuth, self.ready.plane.albedo);
        let cells = air.cells(&mut chain, self.ready, &mean);

        let mut sudden = mean.clone();
        let mut worst = mean.clone();
        let mut worked = None;
        for (moment, bound) in [(sudden_at, false), (worst_at, true)] {
            let Moment::Step(step) = moment else { continue };
            let at = middle(self.hour.start, step);
            let sun = self.sun_at(&ground, at);
            let clear = ClearAt::new(&ground, &sun);
            if worked != Some(step) {
                chain.part(format!("The sun at {at}, the middle of the brightest 5 minutes"));
                sun.work(&mut chain, &ground, azimuth);
                chain.part("Clear sky and the file's own light at that moment");
                clear.work(&mut chain, &ground, &sun);
                if !self.ready.plane.is_flat() {
                    clear.work_parts(&mut chain, &ground, &sun);
                }
                hour_light.work_at(&mut chain, &clear);
                worked = Some(step);
            }
            if bound {
                chain.part("Light of the worst case: the larger of clear sky and the file's own");
                worst = self.bound_light(&mut chain, &hour_light, &sun, &clear);
            } else {
                chain.part("Light of sudden sun: the file's own");
                sudden = self.own_light(&mut chain, &hour_light, &sun, &clear);
            }
        }
        for (moment, what) in [(sudden_at, "sudden sun"), (worst_at, "the worst case")] {
            if moment == Moment::Mean {
                chain.remark(format!(
                    "no 5-minute step is brighter than the hour's mean, which serves {what}"
                ));
            }
        }

        let group = self.ready.group;
        chain.part("Steady: parked and unloaded, warmed by this hour's sun");
        let steady = volts::open_circuit(&mut chain, group, Strength::AsLabelled, &mean, &cells.steady);
        chain.part("Sudden sun: the cell still as warm as the air");
        volts::open_circuit(&mut chain, group, Strength::AsLabelled, &sudden, &cells.sudden);
        chain.part("Worst case: the strongest panel after a clear night, if full clear sun fell then");
        volts::open_circuit(&mut chain, group, Strength::Strongest, &worst, &cells.worst);
        chain.part("Short-circuit current in the hour's mean light");
        let snow = self.ready.plane.albedo_bound > self.ready.plane.albedo
            && (!self.ready.plane.is_flat() || self.ready.plane.rear.is_some());
        let current_light = if snow {
            self.mean_light(&mut chain, &ground, &hour_light, azimuth, self.ready.plane.albedo_bound)
        } else {
            mean.clone()
        };
        volts::short(&mut chain, group, &current_light, &cells.steady);
        if let Some(steady) = steady {
            chain.part("Maximum power in the hour's mean light");
            curve::power(&mut chain, group, &mean, &cells.steady, &steady);
        }
        self.code(&mut chain);
        chain.finish()
    }

    fn sun_at(&self, ground: &Ground, at: Stamp) -> SunAt {
        SunAt::new(self.job.nodes, ground, at.0 as f64)
    }

    fn code(&self, chain: &mut Chain) {
        let Some((air, from)) = self.code_air else { return };
        chain.part("Beside it, the code sum, which knows no hour");
        let air = chain.given(
            "lowest expected air temperature",
            Quantity::new("T", Kind::Celsius, air.0),
            from,
            None,
        );
        volts::code(chain, self.ready.group, &air, self.rules);
    }

    /// Clear sky over the whole hour, and what turns it into the file's own light.
    fn twelve_steps(&self, chain: &mut Chain, ground: &Ground) -> HourLight {
        chain.part("Clear sky over the hour, and the file's own light");
        let mut rows = Vec::new();
        let mut clear_light = Vec::new();
        for step in 0..STEPS {
            if !self.sun.is_lit(step) {
                continue;
            }
            let at = middle(self.hour.start, step);
            let sun = self.sun_at(ground, at);
            let clear = ClearAt::new(ground, &sun);
            clear_light.push(clear.ghi.clone());
            rows.push(TableRow { moment: at.iso(), values: sun.row(&clear) });
        }
        chain.table("the same formulas as below, for the middle of every lit 5 minutes of the hour", rows);
        HourLight::work(chain, self.hour.light, &clear_light)
    }

    /// The hour's mean light on the plane.
    fn mean_light(
        &self,
        chain: &mut Chain,
        ground: &Ground,
        light: &HourLight,
        azimuth: Azimuth,
        albedo: f64,
    ) -> Quantity {
        let plane = self.plane(self.ready.plane.usual(), albedo);
        if self.ready.plane.is_flat() {
            let front = match self.hour.light {
                Light::Parts { .. } => {
                    let sun = self.sun_at(ground, self.hour.start.plus_s(HOUR_S / 2));
                    sun.work(chain, ground, azimuth);
                    let parts = light.parts_of_mean(chain, &sun);
                    planes::flat_of_parts(chain, &sun, &parts)
                }
                Light::GlobalOnly { .. } | Light::Clouds { .. } | Light::Unknown => light.mean.named("GP"),
            };
            return plane.flat(chain, &front);
        }
        match self.hour.light {
            Light::Parts { .. } | Light::GlobalOnly { .. } => {
                let noon = self.hour.start.plus_s(HOUR_S / 2);
                let sun = self.sun_at(ground, noon);
                sun.work(chain, ground, azimuth);
                let parts = light.parts_of_mean(chain, &sun);
                let on_plane = plane.work(chain, &sun, &parts);
                let clear_most = self.clear_most(ground, albedo);
                light.credible_on_plane(chain, on_plane, &clear_most, &light.mean)
            }
            Light::Clouds { .. } | Light::Unknown => {
                let mut lights = Vec::new();
                for step in (0..STEPS).filter(|&step| self.sun.is_lit(step)) {
                    let sun = self.sun_at(ground, middle(self.hour.start, step));
                    let clear = ClearAt::new(ground, &sun);
                    let parts = light.parts_at(&sun, &clear, &light.at(&clear), None);
                    lights.push(plane.work(&mut Chain::default(), &sun, &parts));
                }
                let sum: f64 = lights.iter().map(|light| light.value).sum();
                let inputs: Vec<&Quantity> = lights.iter().collect();
                let mean = chain.step(
                    Formula {
                        id: "mean-of-twelve",
                        what: "hour mean of light on the panel",
                        text: "sum of the twelve steps / 12 (unlit ones 0)",
                        source: None,
                    },
                    &inputs,
                    Quantity::new("GP", Kind::Light, sum / STEPS as f64),
                );
                chain.because(
                    "each step as it is worked below for the brightest one, turned as the plan says, or over every heading",
                );
                mean
            }
        }
    }

    /// The most that clear sky puts on the brightest plane in any lit step of the hour.
    fn clear_most(&self, ground: &Ground, albedo: f64) -> Quantity {
        let plane = self.plane(self.ready.plane.brightest(), albedo);
        let lights = (0..STEPS).filter(|&step| self.sun.is_lit(step)).map(|step| {
            let sun = self.sun_at(ground, middle(self.hour.start, step));
            let clear = ClearAt::new(ground, &sun);
            plane.work(&mut Chain::default(), &sun, &Three::of_clear_sky(&clear)).value
        });
        Quantity::new("Gcp", Kind::Light, lights.fold(0.0, f64::max))
    }

    fn plane(&self, aim: crate::sky::Aim, albedo: f64) -> PlaneAt {
        PlaneAt { aim, albedo, rear: self.ready.plane.rear }
    }

    fn own_light(&self, chain: &mut Chain, light: &HourLight, sun: &SunAt, clear: &ClearAt) -> Quantity {
        let plane = self.plane(self.ready.plane.brightest(), self.ready.plane.albedo);
        let own = light.at(clear);
        if self.ready.plane.is_flat() {
            chain.remark(format!("G = {}, on a flat panel as it is", own.text()));
            return plane.flat(chain, &own.named("GP"));
        }
        let parts = light.parts_at(sun, clear, &own, Some(chain));
        let on_plane = plane.work(chain, sun, &parts);
        let under_clear_sky = plane.work(&mut Chain::default(), sun, &Three::of_clear_sky(clear));
        light.credible_on_plane(chain, on_plane, &under_clear_sky, &own)
    }

    fn bound_light(&self, chain: &mut Chain, light: &HourLight, sun: &SunAt, clear: &ClearAt) -> Quantity {
        let plane = self.plane(self.ready.plane.brightest(), self.ready.plane.albedo_bound);
        let own = light.at(clear);
        let (clear_plane, own_plane) = if self.ready.plane.is_flat() {
            (clear.ghi.clone(), own)
        } else {
            let own_parts = light.parts_at(sun, clear, &own, Some(chain));
            let clear_plane = plane.work(chain, sun, &Three::of_clear_sky(clear));
            let own_plane = plane.work(chain, sun, &own_parts);
            let own_plane = light.credible_on_plane(chain, own_plane, &clear_plane, &own);
            (clear_plane, own_plane)
        };
        let larger = chain.step(
            Formula { id: "larger", what: "light of the bound", text: "the larger of the two", source: None },
            &[&clear_plane, &own_plane],
            Quantity::new("GP", Kind::Light, clear_plane.value.max(own_plane.value)),
        );
        if self.ready.plane.is_flat() { plane.flat(chain, &larger) } else { larger }
    }
}

/// The string in a few words: "2 x roof100".
pub(in crate::study) fn string_words(group: &StringGroup) -> String {
    volts::kinds(group)
        .iter()
        .map(|(label, count)| format!("{count} x {}", label.id))
        .collect::<Vec<_>>()
        .join(" + ")
}
