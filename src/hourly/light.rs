//! The light of one hour on one plane: its mean, and its course in twelve 5-minute steps.
//!
//! Two courses stand side by side. `own` is what the file says (its irradiance, else its clouds, else clear sky),
//! shaped within the hour by the clear sky. `bound` is the larger of clear sky and `own`: cloud never lowers it,
//! since a hole in the clouds lets full light through for minutes.

use crate::array::{Heading, Tilt};
use crate::heat::Mount;
use crate::module::{RearInput, rear_light, with_rear};
use crate::num::{larger, smaller};
use crate::sky::{self, Aim, ClearSky, Clearness, Light, Parts, PlaneInput, PlaneSun};
use crate::sun::{HourSun, STEPS, SunMoment};

/// A step's light may not pass this multiple of its clear sky unless the hour's own mean does. Chosen because
/// cloud edges are measured up to 1.5 times clear sky `[YORDANOV2013]`, and because a ratio of two small numbers
/// near sunrise would otherwise invent midday light. Holds on planes as over the horizontal.
pub(crate) const BURST: f64 = 1.5;

/// How panels of one group stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Tilt.
    pub tilt: Tilt,
    /// Heading.
    pub heading: Heading,
    /// Reflectance of the ground for the steady light.
    pub albedo: f64,
    /// Reflectance of the ground for the bound: snow where the plan says so.
    pub albedo_bound: f64,
    /// What its rear gives; `None` for a closed back, and where the rear sees no light.
    pub rear: Option<Rear>,
}

/// A rear that counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rear {
    /// Rear over front efficiency, above 0.
    pub bifacial: f64,
    /// How the panel is mounted.
    pub mount: Mount,
}

impl Rear {
    /// The rear of panels in series: the largest ratio among them, the safe side for volts and amps. `None` where it
    /// is closed, or lies against a roof.
    #[must_use]
    pub fn of(bifacial: impl Iterator<Item = f64>, mount: Mount) -> Option<Self> {
        let bifacial = bifacial.fold(0.0, f64::max);
        (bifacial > 0.0 && mount == Mount::Frame).then_some(Self { bifacial, mount })
    }

    /// The light that counts, W/m2.
    pub(crate) fn added_to(self, input: RearInput) -> f64 {
        with_rear(input.front_w_m2, rear_light(input), self.bifacial)
    }
}

impl Plane {
    /// Whether the plane lies flat, so that light on it is global horizontal light.
    #[must_use]
    pub fn is_flat(&self) -> bool {
        self.tilt == Tilt::Fixed(0.0)
    }

    /// Where it looks at its brightest: to the sun, wherever the plan leaves that open.
    pub(crate) fn brightest(&self) -> Aim {
        match (self.tilt, self.heading) {
            (Tilt::Any, _) => Aim::SunNormal,
            (Tilt::Fixed(tilt_deg), Heading::Any) => Aim::FacingSun { tilt_deg },
            (Tilt::Fixed(tilt_deg), Heading::Fixed(heading_deg)) => Aim::Fixed { tilt_deg, heading_deg },
        }
    }

    /// Where it looks as a rule: the mean over headings where the plan leaves those open. A plane of any tilt is
    /// taken as turned to the sun here too.
    pub(crate) fn usual(&self) -> Aim {
        match (self.tilt, self.heading) {
            (Tilt::Fixed(tilt_deg), Heading::Any) => Aim::EveryHeading { tilt_deg },
            _ => self.brightest(),
        }
    }
}

/// The light of one hour over the horizontal, shared by all planes of a place.
#[derive(Clone, Copy, Debug)]
pub struct HourSky<'a> {
    sky: &'a ClearSky,
    sun: &'a HourSun,
    light: Light,
    /// Clear global horizontal light at the steps; 0 in unlit steps, W/m2.
    clear: [f64; STEPS],
    /// The file's own, likewise.
    own: [f64; STEPS],
    /// Hour mean of `own`, or the file's own mean, W/m2.
    pub global_mean: f64,
}

impl<'a> HourSky<'a> {
    /// The light of an hour with at least one lit step.
    #[must_use]
    pub fn new(sky: &'a ClearSky, sun: &'a HourSun, light: Light) -> Self {
        let clear = sky.global_over(sun);
        let clear_mean = sum(&clear) / STEPS as f64;
        let mut own = clear;
        let global_mean = match light {
            Light::Parts { ghi, .. } | Light::GlobalOnly { ghi } => {
                let mean = f64::from(ghi);
                let index = if clear_mean > 0.0 { mean / clear_mean } else { 0.0 };
                // Unlit steps stay at nought, since a mean is nought or more.
                for value in &mut own {
                    *value = smaller(index * *value, larger(BURST * *value, mean));
                }
                mean
            }
            Light::Clouds { oktas } => {
                let factor = sky::cloud_factor(f64::from(oktas));
                for value in &mut own {
                    *value *= factor;
                }
                factor * clear_mean
            }
            Light::Unknown => clear_mean,
        };
        Self { sky, sun, light, clear, own, global_mean }
    }

    /// The light on a plane.
    #[must_use]
    pub fn on(&self, plane: &Plane, moments: impl Fn(usize) -> SunMoment) -> PlaneLight {
        if plane.is_flat() {
            let mut bound = self.clear;
            for (value, own) in bound.iter_mut().zip(self.own) {
                *value = larger(*value, own);
            }
            let mean = self.flat_mean(plane);
            let front = PlaneLight { mean, mean_snow: mean, own: self.own, bound };
            return if plane.rear.is_some() { front.with_flat_rear(plane) } else { front };
        }
        let mut own = [0.0; STEPS];
        let mut bound = [0.0; STEPS];
        let mut own_usual = [0.0; STEPS];
        let mut own_snow = [0.0; STEPS];
        let snow = plane.albedo_bound > plane.albedo;
        let (mut clear_most, mut clear_most_snow) = (0.0_f64, 0.0_f64);
        for step in 0..STEPS {
            if !self.sun.is_lit(step) {
                continue;
            }
            let sun = match plane.heading {
                Heading::Fixed(_) => moments(step),
                // The azimuth does not matter to a plane that turns with the sun.
                Heading::Any => SunMoment { cos_zenith: self.sun.cos_zenith[step], ..self.sun.middle },
            };
            let clear = self.sky.parts(sun.cos_zenith, self.sun.extraterrestrial_w_m2);
            let parts = self.own_parts(step, sun, &clear);
            let brightest = |albedo: f64| {
                let under_clear_sky = self.plane_light(plane, plane.brightest(), albedo, sun, clear);
                let own = self.plane_light(plane, plane.brightest(), albedo, sun, parts);
                (under_clear_sky, self.credible_on_plane(own, under_clear_sky, self.own[step]))
            };
            // The bound's sky and the bound's ground, never below the file's own on the same ground.
            let (under_clear_sky, own_bound) = brightest(plane.albedo_bound);
            bound[step] = under_clear_sky.max(own_bound);
            clear_most_snow = clear_most_snow.max(under_clear_sky);
            let (under_clear_sky, own_now) =
                if snow { brightest(plane.albedo) } else { (under_clear_sky, own_bound) };
            own[step] = own_now;
            clear_most = clear_most.max(under_clear_sky);
            own_usual[step] = self.plane_light(plane, plane.usual(), plane.albedo, sun, parts);
            if snow {
                own_snow[step] = self.plane_light(plane, plane.usual(), plane.albedo_bound, sun, parts);
            }
        }
        let mean = |albedo: f64, steps: &[f64; STEPS], clear_most: f64| match self.light {
            // The file's own parts: sun at mid-interval, the form of the reference vectors.
            Light::Parts { .. } | Light::GlobalOnly { .. } => {
                let sun = self.sun.middle;
                let mean = self.plane_light(plane, plane.usual(), albedo, sun, self.file_parts(sun));
                self.credible_on_plane(mean, clear_most, self.global_mean)
            }
            Light::Clouds { .. } | Light::Unknown => steps.iter().sum::<f64>() / STEPS as f64,
        };
        let usual = mean(plane.albedo, &own_usual, clear_most);
        let mean_snow = if snow { mean(plane.albedo_bound, &own_snow, clear_most_snow) } else { usual };
        PlaneLight { mean: usual, mean_snow, own, bound }
    }

    /// The file's light on a plane, where it can be: at most [`BURST`] times what clear sky puts on that plane, unless
    /// the global light itself is more. Where a file's clock is off its light falls while the sun stands low, and on a
    /// plane that faces a low sun it would otherwise become several suns. `global_w_m2` is the file's at that moment.
    fn credible_on_plane(&self, light_w_m2: f64, under_clear_sky_w_m2: f64, global_w_m2: f64) -> f64 {
        match self.light {
            Light::Parts { .. } | Light::GlobalOnly { .. } => {
                light_w_m2.min((BURST * under_clear_sky_w_m2).max(global_w_m2).max(self.global_mean))
            }
            // Never above clear sky to begin with.
            Light::Clouds { .. } | Light::Unknown => light_w_m2,
        }
    }

    /// The hour's mean on a flat plane: the file's direct and diffuse light where it has both, with the sun at
    /// mid-interval (the form of the reference vectors); global light exactly where it has that alone.
    fn flat_mean(&self, plane: &Plane) -> f64 {
        let front = Plane { rear: None, ..*plane };
        let sun = self.sun.middle;
        match self.light {
            Light::Parts { .. } => {
                self.plane_light(&front, front.usual(), front.albedo, sun, self.file_parts(sun))
            }
            Light::GlobalOnly { .. } | Light::Clouds { .. } | Light::Unknown => self.global_mean,
        }
    }

    /// The file's global light at a step, split: by its own diffuse share, else by the clear sky's beam where the
    /// step is nearly clear (a split by the clearness index throws low beams away), else by that index.
    pub(crate) fn own_parts(&self, step: usize, sun: SunMoment, clear: &Parts) -> Parts {
        let ghi = self.own[step];
        let e0 = self.sun.extraterrestrial_w_m2;
        match self.light {
            Light::Unknown => *clear,
            Light::Parts { ghi: hour_ghi, dhi, .. } if hour_ghi > 0.0 => {
                let dhi = ghi * f64::from((dhi / hour_ghi).min(1.0));
                let dni = if sun.cos_zenith > 0.0 { ((ghi - dhi) / sun.cos_zenith).min(e0) } else { 0.0 };
                Parts { ghi, dni, dhi }
            }
            _ if ghi >= NEARLY_CLEAR * clear.ghi => {
                Parts { ghi, dni: clear.dni, dhi: (ghi - clear.dni * sun.cos_zenith.max(0.0)).max(0.0) }
            }
            _ => self.split(ghi, sun),
        }
    }

    /// The parts of the hour's mean light.
    pub(crate) fn file_parts(&self, sun: SunMoment) -> Parts {
        match self.light {
            Light::Parts { ghi, dni, dhi } => {
                self.credible(Parts { ghi: ghi.into(), dni: dni.into(), dhi: dhi.into() })
            }
            _ => self.split(self.global_mean, sun),
        }
    }

    fn split(&self, ghi_w_m2: f64, sun: SunMoment) -> Parts {
        let e0 = self.sun.extraterrestrial_w_m2;
        self.credible(sky::erbs(Clearness {
            ghi_w_m2,
            cos_zenith: sun.cos_zenith,
            extraterrestrial_w_m2: e0,
        }))
    }

    /// Direct light never passes what falls above the air: near the horizon a little too much global light, or a clock
    /// that is off, would otherwise be divided by nearly nothing.
    fn credible(&self, parts: Parts) -> Parts {
        Parts { dni: parts.dni.min(self.sun.extraterrestrial_w_m2), ..parts }
    }

    fn plane_light(&self, plane: &Plane, aim: Aim, albedo: f64, sun: SunMoment, parts: Parts) -> f64 {
        let cos_apparent_zenith = self.sky.apparent_cos_zenith(sun.cos_zenith);
        let front = sky::plane(PlaneInput {
            aim,
            light: sky::PlaneLight::Parts(parts),
            sun: PlaneSun {
                cos_zenith: sun.cos_zenith,
                cos_apparent_zenith,
                azimuth_rad: match aim {
                    Aim::Fixed { .. } => sun.azimuth_rad(),
                    Aim::FacingSun { .. } | Aim::EveryHeading { .. } | Aim::SunNormal => 0.0,
                },
            },
            extraterrestrial_w_m2: self.sun.extraterrestrial_w_m2,
            albedo,
        });
        let Some(rear) = plane.rear else { return front };
        let tilt_deg = match plane.tilt {
            Tilt::Fixed(degrees) => degrees,
            Tilt::Any => cos_apparent_zenith.clamp(0.0, 1.0).acos().to_degrees(),
        };
        rear.added_to(RearInput {
            mount: rear.mount,
            front_w_m2: front,
            ghi_w_m2: parts.ghi,
            albedo,
            tilt_deg,
        })
    }
}

/// Share of clear sky from which a step counts as nearly clear.
pub(crate) const NEARLY_CLEAR: f64 = 0.9;

/// The light of one hour on one plane, W/m2; of a panel with an open rear the light that counts, front + ratio x rear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneLight {
    /// Mean over the whole hour, averaged over heading where that is any.
    pub mean: f64,
    /// The same with snow on the ground where the plan says so, for currents: more light is their safe side.
    pub mean_snow: f64,
    /// The file's own light at the steps; 0 where unlit.
    pub own: [f64; STEPS],
    /// The larger of clear sky and the file's own; 0 where unlit.
    pub bound: [f64; STEPS],
}

impl PlaneLight {
    /// A flat plane whose rear sees the ground.
    fn with_flat_rear(self, plane: &Plane) -> Self {
        let Some(rear) = plane.rear else { return self };
        let both = |albedo: f64, front: f64| {
            let flat =
                RearInput { mount: rear.mount, front_w_m2: front, ghi_w_m2: front, albedo, tilt_deg: 0.0 };
            rear.added_to(flat)
        };
        Self {
            mean: both(plane.albedo, self.mean),
            mean_snow: both(plane.albedo_bound, self.mean_snow),
            own: self.own.map(|front| both(plane.albedo, front)),
            bound: self.bound.map(|front| both(plane.albedo_bound, front)),
        }
    }

    /// Most light of the file's own course, the hour's mean included.
    #[must_use]
    pub fn own_most(&self) -> f64 {
        most(&self.own).max(self.mean)
    }

    /// Most light of the bound, the hour's mean included.
    #[must_use]
    pub fn bound_most(&self) -> f64 {
        most(&self.bound).max(self.own_most())
    }
}

fn most(steps: &[f64; STEPS]) -> f64 {
    // Four at a time, so that one comparison need not wait for the one before.
    let mut most = [0.0; 4];
    for four in steps.chunks_exact(4) {
        for (most, &step) in most.iter_mut().zip(four) {
            *most = larger(*most, step);
        }
    }
    larger(larger(most[0], most[1]), larger(most[2], most[3]))
}

/// The sum of the steps, in four parts for the same reason.
fn sum(steps: &[f64; STEPS]) -> f64 {
    let mut sums = [0.0; 4];
    for four in steps.chunks_exact(4) {
        for (sum, step) in sums.iter_mut().zip(four) {
            *sum += step;
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3])
}
