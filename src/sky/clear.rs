//! The light of a clear sky.

use crate::num::{larger, smaller};
use crate::sky::Parts;
use crate::sun::{
    HourSun, LIT_ELEVATION_DEG, Refraction, STANDARD_PRESSURE_PA, STEPS, apparent_zenith_deg, pressure_pa,
    relative_air_mass,
};

/// Whether the low-sun enhancement exp(0.01 AM^1.8) multiplies the global light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Enhancement {
    /// As published by Ineichen and Perez.
    Off,
    /// With the later factor, without which the model is 20 to 150 % low below 10 deg on a cloudless day at
    /// 2300 m: the unsafe side.
    On,
}

/// What the clear-sky model needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IneichenInput {
    /// Cosine of the apparent zenith angle; below 0 it counts as 0.
    pub cos_apparent_zenith: f64,
    /// Air mass times pressure over standard pressure.
    pub absolute_air_mass: f64,
    /// Linke turbidity at air mass 2, 1 or more.
    pub linke_turbidity: f64,
    /// Elevation of the place, m.
    pub elevation_m: f64,
    /// Above the air, on a plane that faces the sun, W/m2.
    pub extraterrestrial_w_m2: f64,
}

/// Clear-sky light [INEICHEN2002], W/m2.
///
/// GHI = cg1 E0 cos z exp(-cg2 AM (fh1 + fh2 (TL - 1))), fh1 = exp(-h/8000), fh2 = exp(-h/1250),
/// cg1 = 5.09e-5 h + 0.868, cg2 = 3.92e-5 h + 0.0387; DNI the smaller of (0.664 + 0.163/fh1) E0
/// exp(-0.09 AM (TL - 1)) and of what GHI leaves; DHI = GHI - DNI cos z. b = 0.664 + 0.163/fh1 as the reference
/// library has it (0.16268 in another paper). The air mass is taken as given: with the enhancement on, a caller
/// must hold it to 10, since exp(0.01 AM^1.8) runs away at the horizon. About 5 % in clear air of known
/// turbidity.
#[must_use]
pub fn ineichen(input: IneichenInput, enhancement: Enhancement) -> Parts {
    OverPlace::new(input.elevation_m, input.linke_turbidity).light(&input, enhancement)
}

/// What of [`ineichen`] hangs on the place alone: worked out once for all the zeniths of a table.
#[derive(Clone, Copy, Debug)]
struct OverPlace {
    cg1: f64,
    cg2: f64,
    /// fh1 + fh2 (TL - 1)
    haze: f64,
    /// TL - 1
    turbid: f64,
    b: f64,
    /// Share of GHI that DNI cos z is at most.
    direct_share: f64,
}

impl OverPlace {
    fn new(elevation_m: f64, linke_turbidity: f64) -> Self {
        let (h, tl) = (elevation_m, linke_turbidity);
        let fh1 = (-h / 8000.0).exp();
        let fh2 = (-h / 1250.0).exp();
        Self {
            cg1: 5.09e-5 * h + 0.868,
            cg2: 3.92e-5 * h + 0.0387,
            haze: fh1 + fh2 * (tl - 1.0),
            turbid: tl - 1.0,
            b: 0.664 + 0.163 / fh1,
            direct_share: (1.0 - (0.1 - 0.2 * (-tl).exp()) / (0.1 + 0.882 / fh1)).max(0.0),
        }
    }

    fn light(&self, input: &IneichenInput, enhancement: Enhancement) -> Parts {
        let (am, e0) = (input.absolute_air_mass, input.extraterrestrial_w_m2);
        let cos_z = input.cos_apparent_zenith.max(0.0);
        if cos_z == 0.0 {
            return Parts::default();
        }
        let mut exponent = -self.cg2 * am * self.haze;
        if enhancement == Enhancement::On {
            exponent += 0.01 * am.powf(1.8);
        }
        let ghi = self.cg1 * e0 * cos_z * exponent.exp();
        let direct = self.b * e0 * (-0.09 * am * self.turbid).exp();
        let dni = direct.min(ghi * self.direct_share / cos_z);
        Parts { ghi, dni, dhi: ghi - dni * cos_z }
    }
}

/// Clear-sky global light from the zenith angle alone, W/m2: 1098 cos z exp(-0.059 / cos z) [HAURWITZ1945].
///
/// An independent check of [`ineichen`], within 10 % of it in mid-turbidity at sea level; no elevation.
#[must_use]
pub fn haurwitz(cos_apparent_zenith: f64) -> f64 {
    if cos_apparent_zenith <= 0.0 {
        return 0.0;
    }
    1098.0 * cos_apparent_zenith * (-0.059 / cos_apparent_zenith).exp()
}

/// Air mass up to which the enhancement is trusted [INEICHEN2002].
pub(crate) const LARGEST_AIR_MASS: f64 = 10.0;

/// Linke turbidity of cold, dry, clean air where the plan gives none: 2.0, above 1500 m 1.8. Chosen as the
/// clear end of published winter values, since clearer air means more light.
#[must_use]
pub fn default_turbidity(elevation_m: f64) -> f64 {
    if elevation_m > 1500.0 { 1.8 } else { 2.0 }
}

/// Cells of the table: keeps interpolation within 1e-4 of the plain form.
const CELLS: usize = 8192;

/// What the table holds at one true zenith, for 1 W/m2 above the air. Both lights are continued below the apparent
/// horizon, where the model cuts them off, so that nothing in the table jumps.
#[derive(Clone, Copy, Debug, Default)]
struct Row {
    ghi_over_cos_apparent: Straight,
    cos_apparent: Straight,
    dni: Straight,
}

/// One quantity from a row of the table to the next.
#[derive(Clone, Copy, Debug, Default)]
struct Straight {
    at_row: f32,
    rise: f32,
}

impl Straight {
    #[expect(clippy::cast_possible_truncation, reason = "relative error 6e-8")]
    fn new(at_row: f64, at_next: f64) -> Self {
        let [at_row, at_next] = [at_row as f32, at_next as f32];
        Self { at_row, rise: at_next - at_row }
    }

    /// At a share of the way to the next row, 0 to 1.
    #[inline]
    fn at(self, share: f64) -> f64 {
        f64::from(self.at_row) + f64::from(self.rise) * share
    }
}

/// Stands for a sun on the apparent horizon, where GHI over cos z has a limit.
const SMALL_COS: f64 = 1e-6;

/// The clear sky over one place: the enhancement on, air mass held to 10, standard refraction.
///
/// The model is proportional to the light above the air, so one table over the true zenith serves all hours.
#[derive(Clone, Debug)]
pub struct ClearSky {
    elevation_m: f64,
    turbidity: f64,
    refraction: Refraction,
    lowest_cos: f64,
    scale: f64,
    pressure_pa: f64,
    over_place: OverPlace,
    /// Of a length known to the compiler, so that no place in it needs a check.
    table: Box<[Row; CELLS]>,
}

impl ClearSky {
    /// The clear sky at an elevation in metres, with a Linke turbidity or the default for it.
    #[must_use]
    pub fn at(elevation_m: f64, turbidity: Option<f64>) -> Self {
        let lowest_cos = LIT_ELEVATION_DEG.to_radians().sin();
        let turbidity = turbidity.unwrap_or_else(|| default_turbidity(elevation_m));
        let mut sky = Self {
            elevation_m,
            turbidity,
            pressure_pa: pressure_pa(elevation_m),
            over_place: OverPlace::new(elevation_m, turbidity),
            refraction: Refraction::at_elevation(elevation_m),
            lowest_cos,
            scale: CELLS as f64 / (1.0 - lowest_cos).sqrt(),
            table: Box::new([Row::default(); CELLS]),
        };
        let at_row = |row: usize| {
            let root = row as f64 / sky.scale;
            let cos_zenith = (lowest_cos + root * root).min(1.0);
            let (parts, cos_apparent) = sky.model(cos_zenith, 1.0, SMALL_COS);
            [parts.ghi / cos_apparent.max(SMALL_COS), cos_apparent, parts.dni]
        };
        let mut table = Box::new([Row::default(); CELLS]);
        let mut here = at_row(0);
        for (cell, row) in table.iter_mut().enumerate() {
            let next = at_row(cell + 1);
            let [ghi_over_cos_apparent, cos_apparent, dni] =
                std::array::from_fn(|quantity| Straight::new(here[quantity], next[quantity]));
            *row = Row { ghi_over_cos_apparent, cos_apparent, dni };
            here = next;
        }
        sky.table = table;
        sky
    }

    /// The turbidity in use.
    #[must_use]
    pub fn turbidity(&self) -> f64 {
        self.turbidity
    }

    /// Global light, W/m2, for the cosine of the true zenith angle and the light above the air in W/m2.
    ///
    /// From the table: within 1e-4 of [`ClearSky::exact`]. Zero where the apparent sun is below the horizon.
    #[must_use]
    pub fn global(&self, cos_zenith: f64, extraterrestrial_w_m2: f64) -> f64 {
        let Some(between) = self.between(cos_zenith) else {
            return 0.0;
        };
        let cos_apparent = between.of(|row| row.cos_apparent).max(0.0);
        between.of(|row| row.ghi_over_cos_apparent) * cos_apparent * extraterrestrial_w_m2
    }

    /// [`ClearSky::global`] at the lit midpoints of an hour, 0 at the others: the places in the table for all at once.
    #[must_use]
    pub fn global_over(&self, sun: &HourSun) -> [f64; STEPS] {
        if sun.lit == 0 {
            return [0.0; STEPS];
        }
        // The square roots go through vector registers; only the looking up is done one by one.
        let mut places = [0.0; STEPS];
        for (place, &cos_zenith) in places.iter_mut().zip(&sun.cos_zenith) {
            let above = smaller(cos_zenith, 1.0) - self.lowest_cos;
            *place = larger(above, 0.0).sqrt() * self.scale;
        }
        let mut light = [0.0; STEPS];
        for (step, (light, place)) in light.iter_mut().zip(places).enumerate() {
            if sun.is_lit(step) {
                let between = self.at_place(place);
                let cos_apparent = larger(between.of(|row| row.cos_apparent), 0.0);
                *light =
                    between.of(|row| row.ghi_over_cos_apparent) * cos_apparent * sun.extraterrestrial_w_m2;
            }
        }
        light
    }

    /// Global, direct and diffuse light, W/m2, as [`ClearSky::global`].
    #[must_use]
    pub fn parts(&self, cos_zenith: f64, extraterrestrial_w_m2: f64) -> Parts {
        let Some(between) = self.between(cos_zenith) else {
            return Parts::default();
        };
        let cos_apparent = between.of(|row| row.cos_apparent);
        if cos_apparent <= 0.0 {
            return Parts::default();
        }
        let ghi = between.of(|row| row.ghi_over_cos_apparent) * cos_apparent * extraterrestrial_w_m2;
        let dni = between.of(|row| row.dni) * extraterrestrial_w_m2;
        Parts { ghi, dni, dhi: (ghi - dni * cos_apparent).max(0.0) }
    }

    /// Cosine of the apparent zenith angle under standard refraction, from the table.
    #[must_use]
    pub fn apparent_cos_zenith(&self, cos_zenith: f64) -> f64 {
        self.between(cos_zenith).map_or(cos_zenith, |between| between.of(|row| row.cos_apparent))
    }

    /// The plain form of [`ClearSky::parts`].
    #[must_use]
    pub fn exact(&self, cos_zenith: f64, extraterrestrial_w_m2: f64) -> Parts {
        if cos_zenith < self.lowest_cos {
            return Parts::default();
        }
        self.model(cos_zenith, extraterrestrial_w_m2, 0.0).0
    }

    /// Light and the cosine of the apparent zenith angle, which counts as `least_cos` at least.
    fn model(&self, cos_zenith: f64, extraterrestrial_w_m2: f64, least_cos: f64) -> (Parts, f64) {
        let zenith_deg =
            apparent_zenith_deg(cos_zenith.clamp(-1.0, 1.0).acos().to_degrees(), self.refraction);
        let cos_apparent = zenith_deg.to_radians().cos();
        let air_mass = relative_air_mass(zenith_deg) * self.pressure_pa / STANDARD_PRESSURE_PA;
        let input = IneichenInput {
            cos_apparent_zenith: cos_apparent.max(least_cos),
            absolute_air_mass: air_mass.min(LARGEST_AIR_MASS),
            linke_turbidity: self.turbidity,
            elevation_m: self.elevation_m,
            extraterrestrial_w_m2,
        };
        (self.over_place.light(&input, Enhancement::On), cos_apparent)
    }

    /// The place in the table, whose rows crowd at the horizon, where the light changes fastest; `None` below an
    /// elevation of -0.83 deg.
    fn between(&self, cos_zenith: f64) -> Option<Between<'_>> {
        if cos_zenith < self.lowest_cos {
            return None;
        }
        Some(self.at_place((cos_zenith.min(1.0) - self.lowest_cos).sqrt() * self.scale))
    }

    #[inline]
    fn at_place(&self, place: f64) -> Between<'_> {
        // A signed number of 32 bits is what the machine converts at once.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to CELLS by the callers' guards"
        )]
        let cell = (place as i32 as usize).min(CELLS - 1);
        #[expect(clippy::cast_possible_wrap, clippy::cast_possible_truncation, reason = "below CELLS")]
        let whole = f64::from(cell as i32);
        Between { row: &self.table[cell], share: place - whole }
    }
}

/// A row and how far it is to the next.
struct Between<'table> {
    row: &'table Row,
    share: f64,
}

impl Between<'_> {
    #[inline]
    fn of(&self, quantity: impl Fn(&Row) -> Straight) -> f64 {
        quantity(self.row).at(self.share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_keeps_to_the_plain_form() {
        for (elevation, turbidity) in [
            (0.0, None),
            (700.0, Some(3.0)),
            (1450.0, None),
            (2400.0, None),
            (4300.0, Some(1.5)),
            (-400.0, Some(6.0)),
        ] {
            let sky = ClearSky::at(elevation, turbidity);
            let mut degrees = -0.8299_f64;
            while degrees < 90.0 {
                let cos_zenith = degrees.to_radians().sin();
                let (fast, plain) = (sky.parts(cos_zenith, 1400.0), sky.exact(cos_zenith, 1400.0));
                // Diffuse light is what global light leaves, so its error is measured by that.
                for (name, fast, plain, whole) in [
                    ("ghi", fast.ghi, plain.ghi, plain.ghi),
                    ("dni", fast.dni, plain.dni, plain.dni),
                    ("dhi", fast.dhi, plain.dhi, plain.ghi),
                ] {
                    // Absolute where the apparent sun sets: no light below 10 W/m2 is ever computed with.
                    let allowed = if whole < 1.0 { 1e-3 } else { 1e-4 * whole };
                    let at = format!("{name} {elevation} m {degrees} deg");
                    assert!((fast - plain).abs() <= allowed, "{at}: {fast} {plain}");
                }
                let apparent = sky.model(cos_zenith, 1.0, 0.0).1;
                assert!((sky.apparent_cos_zenith(cos_zenith) - apparent).abs() < 1e-6);
                degrees += 0.0137;
            }
        }
    }

    #[test]
    fn an_hours_steps_are_its_moments() {
        for (elevation, latitude) in [(0.0, 64.0), (1610.0, 39.7), (3800.0, -16.5)] {
            let sky = ClearSky::at(elevation, None);
            let begin = crate::time::Stamp(1_600_000_000);
            let nodes = crate::sun::Nodes::covering(begin, begin.plus_s(400 * crate::time::DAY_S))
                .expect("usual years");
            let track = crate::sun::Track::new(&nodes, latitude, -105.0);
            for hour in 0..9000 {
                let sun = track.hour(begin.plus_s(hour * 3600), 3600);
                for (step, light) in sky.global_over(&sun).into_iter().enumerate() {
                    let plain = sky.global(sun.cos_zenith[step], sun.extraterrestrial_w_m2);
                    assert_eq!(light, if sun.is_lit(step) { plain } else { 0.0 }, "{latitude} {hour} {step}");
                }
            }
        }
    }

    #[test]
    fn the_light_grows_with_the_sun_and_fades_only_at_the_horizon() {
        let sky = ClearSky::at(300.0, None);
        let mut before = 0.0;
        for tenth in -8..=900 {
            let ghi = sky.global((f64::from(tenth) / 10.0).to_radians().sin(), 1361.0);
            assert!(ghi >= before, "{tenth}");
            before = ghi;
        }
        assert!(sky.global(0.0, 1361.0) > 1.0, "a sun on the true horizon is refracted above it");
        assert!(sky.global((-0.84_f64).to_radians().sin(), 1361.0) == 0.0);
    }

    #[test]
    fn two_independent_models_agree() {
        // [HAURWITZ1945] knows neither elevation nor turbidity; TL 3 at sea level is its climate.
        for degrees in [10.0_f64, 20.0, 40.0, 60.0, 80.0] {
            let cos = degrees.to_radians().sin();
            let ghi = ClearSky::at(0.0, Some(3.0)).exact(cos, 1361.0).ghi;
            assert!((ghi / haurwitz(cos) - 1.0).abs() < 0.2, "{degrees}: {ghi} {}", haurwitz(cos));
        }
    }
}
