//! One hour of weather in, one hour of electrical state of one group of strings out. The physics is called here in
//! its order, and nowhere else.

use crate::array::{StringGroup, Tilt};
use crate::heat;
use crate::hourly::light::{HourSky, Plane, PlaneLight, Rear};
use crate::hourly::site::Site;
use crate::hourly::voltage::ByVoltage;
use crate::module::{self, StringCurve};
use crate::sky;
use crate::sun::{HourSun, STEPS, SunMoment};
use crate::units::{Celsius, Volts};
use crate::weather::Hour;

/// A group of equal strings, made ready for the loop.
#[derive(Clone, Debug)]
pub struct ReadyGroup<'a> {
    /// The group.
    pub group: &'a StringGroup,
    /// As labelled, n = 1.1.
    pub central: StringCurve,
    /// With tolerance, n of the bound.
    pub worst: StringCurve,
    /// Its plane.
    pub plane: Plane,
    /// Kelvin below the air after a clear night.
    pub sky_cooling_k: f64,
}

impl<'a> ReadyGroup<'a> {
    /// Makes a group ready; `sky_cooling_k` overrides the mount's own.
    #[must_use]
    pub fn new(group: &'a StringGroup, sky_cooling_k: Option<f64>) -> Self {
        let albedo_bound = if group.snow_ground { sky::ALBEDO_SNOW } else { sky::ALBEDO };
        Self {
            group,
            central: StringCurve::central(&group.modules),
            worst: StringCurve::worst(&group.modules),
            plane: Plane {
                // A flat panel looks nowhere: its heading drops out.
                tilt: if group.tilt == Tilt::Fixed(-0.0) { Tilt::Fixed(0.0) } else { group.tilt },
                heading: group.heading,
                albedo: sky::ALBEDO,
                albedo_bound,
                rear: Rear::of(group.modules.iter().map(|label| label.bifacial), group.mount),
            },
            sky_cooling_k: sky_cooling_k.unwrap_or_else(|| heat::sky_cooling_k(group.mount)),
        }
    }
}

/// A voltage with the cell and the light that made it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Volts of the string.
    pub volts: f64,
    /// Cell temperature, C.
    pub cell_c: f64,
    /// Light on the plane, W/m2.
    pub irradiance_w_m2: f64,
}

/// Air and wind of one hour at the vehicle's place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Mean of the hour's readings, for steady and sudden sun.
    pub mean: Celsius,
    /// Lowest of the hour's readings, with the bound's fall with height.
    pub low: Celsius,
    /// Lowest of the hour's readings, with the usual fall with height: for lows of the air itself.
    pub low_usual: Celsius,
    /// Highest of the hour's readings, for the low-voltage side.
    pub high: Celsius,
    /// Wind, m/s.
    pub wind_m_s: f64,
}

impl Air {
    /// From the station's hour.
    #[must_use]
    pub fn at(site: &Site, hour: &Hour) -> Self {
        Self {
            mean: Celsius(hour.air_mean_c).colder_by(site.colder_k()),
            low: Celsius(hour.air_low_c).colder_by(site.colder_bound_k()),
            low_usual: Celsius(hour.air_low_c).colder_by(site.colder_k()),
            high: Celsius(hour.air_high_c.into()).colder_by(site.colder_k()),
            wind_m_s: hour.wind_m_s.map_or(heat::CALM_UNKNOWN_M_S, f64::from),
        }
    }
}

/// The electrical state of one group in one lit hour.
#[derive(Clone, Copy, Debug)]
pub struct GroupHour {
    /// The light on its plane.
    pub light: PlaneLight,
    /// Steady cell temperature.
    pub cell_steady: Celsius,
    /// The largest of each voltage in the hour; `None` where the light stays below 10 W/m2.
    pub peak: ByVoltage<Option<Spot>>,
    /// Short-circuit current of the group for the hour's mean light, A, with snow on the ground where the plan says so;
    /// `None` below 10 W/m2.
    pub isc_a: Option<f64>,
}

impl GroupHour {
    /// The state of `ready` under `hour_sky`; `moments` gives the sun at a step, where the plane asks for azimuths.
    #[must_use]
    pub fn new(
        ready: &ReadyGroup<'_>,
        air: &Air,
        hour_sky: &HourSky<'_>,
        moments: impl Fn(usize) -> SunMoment,
    ) -> Self {
        let light = hour_sky.on(&ready.plane, moments);
        let cell_steady = heat::steady(ready.group.mount, air.mean, light.mean, Some(air.wind_m_s));
        // While air is held over the hour volts rise with light, so the moment of most light decides the hour.
        let peak = ByVoltage {
            steady: spot(&ready.central, light.mean, cell_steady),
            sudden_sun: spot(&ready.central, light.own_most(), air.mean),
            worst_case: spot(&ready.worst, light.bound_most(), ready.cell_worst(air)),
        };
        let isc_a = (light.mean_snow >= module::DIMMEST_W_M2)
            .then(|| module::string_short_circuit(&ready.group.modules, light.mean_snow, cell_steady))
            .flatten()
            .map(|string| string.largest.0 * f64::from(ready.group.in_parallel));
        Self { light, cell_steady, peak, isc_a }
    }

    /// The steps in which the sudden-sun voltage is over `volts`, as bits.
    #[must_use]
    pub fn sudden_steps_over(&self, ready: &ReadyGroup<'_>, air: &Air, volts: f64) -> u16 {
        steps_over(&ready.central, &self.light.own, air.mean, volts)
    }

    /// The steps in which the worst-case voltage is over `volts`, as bits.
    #[must_use]
    pub fn worst_steps_over(&self, ready: &ReadyGroup<'_>, air: &Air, volts: f64) -> u16 {
        steps_over(&ready.worst, &self.light.bound, ready.cell_worst(air), volts)
    }
}

impl ReadyGroup<'_> {
    /// Cell temperature of the worst case.
    #[must_use]
    pub fn cell_worst(&self, air: &Air) -> Celsius {
        air.low.colder_by(self.sky_cooling_k)
    }
}

fn spot(curve: &StringCurve, irradiance: f64, cell: Celsius) -> Option<Spot> {
    let volts = curve.volts(irradiance, cell)?;
    Some(Spot { volts: volts.0, cell_c: cell.0, irradiance_w_m2: irradiance })
}

/// The steps whose voltage is over `volts`. Volts rise with light while the cell is held, so one inversion of the curve
/// stands for twelve logarithms; the two forms are held equal by a test.
fn steps_over(curve: &StringCurve, light: &[f64; STEPS], cell: Celsius, volts: f64) -> u16 {
    let Some(needed) = curve.light_reaching(Volts(volts), cell) else {
        // Beyond any credible light; what a file with a clock that is off claims is still counted as it is shown.
        return steps_over_one_by_one(curve, light, cell, volts);
    };
    let mut bits = 0;
    for (step, &irradiance) in light.iter().enumerate() {
        // At the dimmest computed light the voltage may lie over the rating already.
        let over =
            irradiance > needed || (needed <= module::DIMMEST_W_M2 && irradiance >= module::DIMMEST_W_M2);
        bits |= u16::from(over) << step;
    }
    bits
}

/// The plain form of [`steps_over`].
fn steps_over_one_by_one(curve: &StringCurve, light: &[f64; STEPS], cell: Celsius, volts: f64) -> u16 {
    let mut bits = 0;
    for (step, &irradiance) in light.iter().enumerate() {
        if curve.volts(irradiance, cell).is_some_and(|found| found.0 > volts) {
            bits |= 1 << step;
        }
    }
    bits
}

/// The array in a lit hour.
#[derive(Clone, Copy, Debug)]
pub struct LitHour {
    /// Hour mean of global horizontal light, W/m2.
    pub global_mean_w_m2: f64,
    /// Hour mean on the plane of the group with the highest steady voltage, W/m2.
    pub plane_mean_w_m2: f64,
    /// Steady cell temperature of the same group, C.
    pub cell_steady_c: f64,
    /// Volts of the highest string.
    pub peak: ByVoltage<Option<Spot>>,
    /// Currents of all groups summed, A.
    pub isc_a: Option<f64>,
}

impl LitHour {
    /// Joins the groups of an array: volts of the highest string, currents summed.
    #[must_use]
    pub fn join(hour_sky: &HourSky<'_>, groups: &[GroupHour]) -> Self {
        let mut joined = Self {
            global_mean_w_m2: hour_sky.global_mean,
            plane_mean_w_m2: 0.0,
            cell_steady_c: groups.first().map_or(0.0, |group| group.cell_steady.0),
            peak: ByVoltage::default(),
            isc_a: None,
        };
        for (index, group) in groups.iter().enumerate() {
            let leads = match (group.peak.steady, joined.peak.steady) {
                (Some(this), Some(best)) => this.volts > best.volts,
                (Some(_), None) => true,
                (None, _) => index == 0,
            };
            if leads {
                joined.plane_mean_w_m2 = group.light.mean;
                joined.cell_steady_c = group.cell_steady.0;
            }
            joined.peak.steady = higher(joined.peak.steady, group.peak.steady);
            joined.peak.sudden_sun = higher(joined.peak.sudden_sun, group.peak.sudden_sun);
            joined.peak.worst_case = higher(joined.peak.worst_case, group.peak.worst_case);
            if let Some(amps) = group.isc_a {
                joined.isc_a = Some(joined.isc_a.unwrap_or(0.0) + amps);
            }
        }
        joined
    }
}

fn higher(a: Option<Spot>, b: Option<Spot>) -> Option<Spot> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.volts > a.volts { b } else { a }),
        (a, b) => a.or(b),
    }
}

/// The sun's height in the middle of an hour, deg.
#[must_use]
pub fn middle_elevation_deg(sun: &HourSun) -> f64 {
    90.0 - sun.middle.cos_zenith.clamp(-1.0, 1.0).acos().to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{Label, RawLabel};

    #[test]
    fn one_inversion_counts_the_same_steps_as_twelve_logarithms() {
        let label = Label::read(RawLabel {
            id: "invented".into(),
            voc_v: 22.5,
            isc_a: 5.8,
            cells_in_series: Some(36),
            voc_temp_coeff: Some("-0.30 %/K".into()),
            ..RawLabel::default()
        })
        .expect("a plausible label");
        let strings = [vec![label.clone()], vec![label; 3]];
        for (modules, ratings) in
            strings.iter().zip([[15.0, 18.0, 22.0, 24.0, 60.0], [40.0, 60.0, 66.0, 75.0, 300.0]])
        {
            for curve in [StringCurve::central(modules), StringCurve::worst(modules)] {
                for cell in [-60.0, -30.0, -5.0, 20.0, 60.0] {
                    for seed in 0..40_u32 {
                        let light: [f64; STEPS] =
                            std::array::from_fn(|step| f64::from((seed * 97 + step as u32 * 131) % 1400));
                        for volts in ratings {
                            let cell = Celsius(cell);
                            assert_eq!(
                                steps_over(&curve, &light, cell, volts),
                                steps_over_one_by_one(&curve, &light, cell, volts),
                                "{cell} {volts} V {light:?}"
                            );
                        }
                    }
                }
            }
        }
    }
}
