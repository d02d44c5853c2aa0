//! Where the sun stands at a moment, and the clear sky that goes with it.

use super::worked::{Chain, Formula, Kind, Quantity};
use crate::place::Place;
use crate::sky::{ClearSky, Enhancement, IneichenInput, LARGEST_AIR_MASS, Parts, ineichen};
use crate::sun::{
    LIT_ELEVATION_DEG, Nodes, PARALLAX_ARCSECONDS, Refraction, SOLAR_CONSTANT_W_M2, STANDARD_PRESSURE_PA,
    pressure_pa, refraction_deg, relative_air_mass,
};
use crate::units::Celsius;

/// Air temperature of standard refraction, C.
const REFRACTION_AIR_C: f64 = 12.0;

/// What a place and an hour share.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    pub(super) latitude: Quantity,
    pub(super) longitude: Quantity,
    pub(super) height: Quantity,
    pub(super) pressure: Quantity,
    pub(super) turbidity: Quantity,
    fh1: Quantity,
    fh2: Quantity,
    cg1: Quantity,
    cg2: Quantity,
}

impl Ground {
    pub(super) fn new(place: &Place, sky: &ClearSky) -> Self {
        let height = Quantity::new("h", Kind::Metres, place.elevation_m);
        let h = height.value;
        Self {
            latitude: Quantity::new("φ", Kind::Degrees, place.latitude_deg),
            longitude: Quantity::new("L", Kind::Degrees, place.longitude_deg),
            pressure: Quantity::new("p", Kind::Pressure, pressure_pa(h)),
            turbidity: Quantity::new("TL", Kind::Plain, sky.turbidity()),
            fh1: Quantity::new("f1", Kind::Height, (-h / 8000.0).exp()),
            fh2: Quantity::new("f2", Kind::Height, (-h / 1250.0).exp()),
            cg1: Quantity::new("c1", Kind::Height, 5.09e-5 * h + 0.868),
            cg2: Quantity::new("c2", Kind::Height, 3.92e-5 * h + 0.0387),
            height,
        }
    }

    /// What the height of the place sets.
    pub(super) fn work(&self, chain: &mut Chain) {
        chain.given("height of the place", self.height.clone(), "from the plan, else the station's", None);
        chain.given(
            "clearness of the air",
            self.turbidity.clone(),
            "Linke turbidity of cold, clean air: 2.0, above 1500 m 1.8, unless the plan sets it",
            Some("INEICHEN2002"),
        );
        let h = [&self.height];
        for (id, what, text, source, result) in [
            (
                "pressure",
                "air pressure",
                "100 ((44331.514 - h) / 11880.516)^(1 / 0.1902632)",
                None,
                &self.pressure,
            ),
            ("f1", "height factor", "exp(-h / 8000)", Some("INEICHEN2002"), &self.fh1),
            ("f2", "height factor", "exp(-h / 1250)", Some("INEICHEN2002"), &self.fh2),
            ("c1", "height factor", "0.0000509 h + 0.868", Some("INEICHEN2002"), &self.cg1),
            ("c2", "height factor", "0.0000392 h + 0.0387", Some("INEICHEN2002"), &self.cg2),
        ] {
            chain.step(Formula { id, what, text, source }, &h, result.clone());
        }
    }
}

/// The sun at one moment, as printed.
#[derive(Clone, Debug)]
pub(super) struct SunAt {
    pub(super) declination: Quantity,
    greenwich: Quantity,
    distance: Quantity,
    pub(super) hour_angle: Quantity,
    geocentric: Quantity,
    pub(super) cos_zenith: Quantity,
    elevation: Quantity,
    refraction: Quantity,
    pub(super) apparent: Quantity,
    pub(super) cos_apparent: Quantity,
    pub(super) azimuth: Quantity,
    pub(super) above_air: Quantity,
}

impl SunAt {
    /// The sun `seconds` after 1970-01-01T00:00Z.
    pub(super) fn new(nodes: &Nodes, ground: &Ground, seconds: f64) -> Self {
        let sun = nodes.at(seconds);
        let declination = Quantity::new("δ", Kind::Degrees, sun.declination_rad.to_degrees());
        let greenwich =
            Quantity::new("HG", Kind::Degrees, sun.greenwich_hour_angle_rad.to_degrees().rem_euclid(360.0));
        let distance = Quantity::new("r", Kind::Distance, sun.distance_au);
        let around = (greenwich.value + ground.longitude.value + 180.0).rem_euclid(360.0) - 180.0;
        let hour_angle = Quantity::new("H", Kind::Degrees, around);
        let (sin_phi, cos_phi) = ground.latitude.value.to_radians().sin_cos();
        let (sin_delta, cos_delta) = declination.value.to_radians().sin_cos();
        let (sin_hour, cos_hour) = hour_angle.value.to_radians().sin_cos();
        let geocentric =
            Quantity::new("c0", Kind::Share, sin_phi * sin_delta + cos_phi * cos_delta * cos_hour);
        let parallax = (PARALLAX_ARCSECONDS / 3600.0 / distance.value).to_radians();
        let lowered = geocentric.value - parallax * (1.0 - geocentric.value * geocentric.value);
        let cos_zenith = Quantity::new("cos z", Kind::Share, lowered.clamp(-1.0, 1.0));
        let elevation = Quantity::new("e", Kind::Degrees, 90.0 - cos_zenith.value.acos().to_degrees());
        let air = Refraction { pressure_pa: ground.pressure.value, air: Celsius(REFRACTION_AIR_C) };
        let refraction = Quantity::new("Δe", Kind::Degrees, refraction_deg(elevation.value, air));
        let apparent = Quantity::new("z'", Kind::Degrees, 90.0 - elevation.value - refraction.value);
        let cos_apparent = Quantity::new("cos z'", Kind::Share, apparent.value.to_radians().cos());
        let east = -cos_delta * sin_hour;
        let north = cos_phi * sin_delta - sin_phi * cos_delta * cos_hour;
        let azimuth = Quantity::new("γ", Kind::Degrees, east.atan2(north).to_degrees().rem_euclid(360.0));
        let above_air =
            Quantity::new("E0", Kind::Light, SOLAR_CONSTANT_W_M2 / (distance.value * distance.value));
        Self {
            declination,
            greenwich,
            distance,
            hour_angle,
            geocentric,
            cos_zenith,
            elevation,
            refraction,
            apparent,
            cos_apparent,
            azimuth,
            above_air,
        }
    }

    pub(super) fn is_lit(&self) -> bool {
        self.elevation.value > LIT_ELEVATION_DEG
    }

    /// All that a row of the hour's table holds.
    pub(super) fn row(&self, clear: &ClearAt) -> Vec<Quantity> {
        [
            &self.declination,
            &self.distance,
            &self.hour_angle,
            &self.geocentric,
            &self.cos_zenith,
            &self.elevation,
            &self.refraction,
            &self.apparent,
            &self.cos_apparent,
            &self.above_air,
            &clear.relative,
            &clear.air_mass,
            &clear.ghi,
        ]
        .into_iter()
        .cloned()
        .collect()
    }

    /// The steps; the azimuth only where a plane asks for it.
    pub(super) fn work(&self, chain: &mut Chain, ground: &Ground, azimuth: Azimuth) {
        let almanac = "full-accuracy position, as a nautical almanac prints it";
        let source = Some("REDA2004");
        chain.given("declination of the sun", self.declination.clone(), almanac, source);
        chain.given("hour angle at Greenwich", self.greenwich.clone(), almanac, source);
        chain.given("distance of earth and sun", self.distance.clone(), almanac, source);
        chain.given("latitude, north positive", ground.latitude.clone(), "", None);
        chain.given("longitude, east positive", ground.longitude.clone(), "", None);
        chain.step(
            Formula {
                id: "hour-angle",
                what: "hour angle of the place, -180 to 180",
                text: "HG + L",
                source: None,
            },
            &[&self.greenwich, &ground.longitude],
            self.hour_angle.clone(),
        );
        chain.step(
            Formula {
                id: "geocentric",
                what: "cosine of the zenith angle, from the earth's centre",
                text: "sin φ sin δ + cos φ cos δ cos H",
                source,
            },
            &[&ground.latitude, &self.declination, &self.hour_angle],
            self.geocentric.clone(),
        );
        chain.step(
            Formula {
                id: "parallax",
                what: "the same from the ground",
                text: "c0 - (8.794 / 3600 / r) (π / 180) (1 - c0^2)",
                source,
            },
            &[&self.geocentric, &self.distance],
            self.cos_zenith.clone(),
        );
        chain.step(
            Formula {
                id: "elevation",
                what: "elevation of the sun",
                text: "90 - arccos(cos z)",
                source: None,
            },
            &[&self.cos_zenith],
            self.elevation.clone(),
        );
        chain.step(
            Formula {
                id: "refraction",
                what: "how much higher it appears",
                text: "(p / 101000) (283 / (273 + 12)) 1.02 / (60 tan(e + 10.3 / (e + 5.11))), below -0.83337 nothing",
                source,
            },
            &[&ground.pressure, &self.elevation],
            self.refraction.clone(),
        );
        chain.step(
            Formula { id: "apparent", what: "apparent zenith angle", text: "90 - e - Δe", source: None },
            &[&self.elevation, &self.refraction],
            self.apparent.clone(),
        );
        chain.step(
            Formula { id: "cos-apparent", what: "its cosine", text: "cos z'", source: None },
            &[&self.apparent],
            self.cos_apparent.clone(),
        );
        if azimuth == Azimuth::Needed {
            chain.step(
                Formula {
                    id: "azimuth",
                    what: "azimuth, clockwise from north",
                    text: "atan2(-cos δ sin H, cos φ sin δ - sin φ cos δ cos H)",
                    source,
                },
                &[&ground.latitude, &self.declination, &self.hour_angle],
                self.azimuth.clone(),
            );
        }
        chain.step(
            Formula {
                id: "above-air",
                what: "light above the air, facing the sun",
                text: "1361.0 / r^2",
                source: Some("KOPP2011"),
            },
            &[&self.distance],
            self.above_air.clone(),
        );
    }
}

/// Whether a plane asks where the sun stands along the horizon.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Azimuth {
    /// Yes.
    Needed,
    /// No: it is flat, or turns to the sun.
    Idle,
}

/// Light of a clear sky at a moment, as printed.
#[derive(Clone, Debug)]
pub(super) struct ClearAt {
    relative: Quantity,
    pub(super) air_mass: Quantity,
    pub(super) ghi: Quantity,
    direct_1: Quantity,
    direct_2: Quantity,
    pub(super) dni: Quantity,
    pub(super) dhi: Quantity,
    beam_share: Quantity,
}

impl ClearAt {
    pub(super) fn new(ground: &Ground, sun: &SunAt) -> Self {
        let relative = Quantity::new("AMr", Kind::AirMass, relative_air_mass(sun.apparent.value));
        let absolute = relative.value * ground.pressure.value / STANDARD_PRESSURE_PA;
        let air_mass = Quantity::new("AM", Kind::AirMass, absolute.min(LARGEST_AIR_MASS));
        let lit = sun.is_lit();
        let light = if lit {
            ineichen(
                IneichenInput {
                    cos_apparent_zenith: sun.cos_apparent.value,
                    absolute_air_mass: air_mass.value,
                    linke_turbidity: ground.turbidity.value,
                    elevation_m: ground.height.value,
                    extraterrestrial_w_m2: sun.above_air.value,
                },
                Enhancement::On,
            )
        } else {
            Parts::default()
        };
        let ghi = Quantity::new("Gc", Kind::Light, light.ghi);
        let tl = ground.turbidity.value;
        let beam_share = Quantity::new("b", Kind::Share, 0.664 + 0.163 / ground.fh1.value);
        let direct_1 = beam_share.value * sun.above_air.value * (-0.09 * air_mass.value * (tl - 1.0)).exp();
        let left = (1.0 - (0.1 - 0.2 * (-tl).exp()) / (0.1 + 0.882 / ground.fh1.value)).max(0.0);
        let cos = sun.cos_apparent.value.max(0.0);
        let direct_2 = if cos > 0.0 { ghi.value * left / cos } else { 0.0 };
        let direct_1 = Quantity::new("B1", Kind::Light, direct_1);
        let direct_2 = Quantity::new("B2", Kind::Light, direct_2);
        let dni = Quantity::new("Bc", Kind::Light, direct_1.value.min(direct_2.value));
        let dhi = Quantity::new("Dc", Kind::Light, (ghi.value - dni.value * cos).max(0.0));
        Self { relative, air_mass, ghi, direct_1, direct_2, dni, dhi, beam_share }
    }

    /// Air mass and global light.
    pub(super) fn work(&self, chain: &mut Chain, ground: &Ground, sun: &SunAt) {
        chain.step(
            Formula {
                id: "air-mass-relative",
                what: "air mass at sea level",
                text: "1 / (cos z' + 0.50572 (96.07995 - z')^-1.6364), z' at most 90",
                source: Some("KASTEN1989"),
            },
            &[&sun.apparent],
            self.relative.clone(),
        );
        chain.step(
            Formula {
                id: "air-mass",
                what: "air mass at this height, at most 10",
                text: "AMr p / 101325",
                source: Some("INEICHEN2002"),
            },
            &[&self.relative, &ground.pressure],
            self.air_mass.clone(),
        );
        chain.step(
            Formula {
                id: "clear-global",
                what: "global light of a clear sky",
                text: "c1 E0 cos z' exp(-c2 AM (f1 + f2 (TL - 1)) + 0.01 AM^1.8)",
                source: Some("INEICHEN2002"),
            },
            &[
                &ground.cg1,
                &ground.cg2,
                &ground.fh1,
                &ground.fh2,
                &ground.turbidity,
                &sun.above_air,
                &sun.cos_apparent,
                &self.air_mass,
            ],
            self.ghi.clone(),
        );
    }

    /// Direct and diffuse light, for planes that are not flat.
    pub(super) fn work_parts(&self, chain: &mut Chain, ground: &Ground, sun: &SunAt) {
        let source = Some("INEICHEN2002");
        chain.step(
            Formula { id: "beam-share", what: "beam factor", text: "0.664 + 0.163 / f1", source },
            &[&ground.fh1],
            self.beam_share.clone(),
        );
        chain.step(
            Formula {
                id: "clear-direct-1",
                what: "direct light, first form",
                text: "b E0 exp(-0.09 AM (TL - 1))",
                source,
            },
            &[&self.beam_share, &sun.above_air, &self.air_mass, &ground.turbidity],
            self.direct_1.clone(),
        );
        chain.step(
            Formula {
                id: "clear-direct-2",
                what: "direct light, second form",
                text: "Gc (1 - (0.1 - 0.2 exp(-TL)) / (0.1 + 0.882 / f1)) / cos z'",
                source,
            },
            &[&self.ghi, &ground.turbidity, &ground.fh1, &sun.cos_apparent],
            self.direct_2.clone(),
        );
        chain.step(
            Formula {
                id: "smaller",
                what: "direct light of a clear sky",
                text: "the smaller of B1 and B2",
                source,
            },
            &[&self.direct_1, &self.direct_2],
            self.dni.clone(),
        );
        chain.step(
            Formula {
                id: "clear-diffuse",
                what: "diffuse light of a clear sky",
                text: "Gc - Bc cos z'",
                source,
            },
            &[&self.ghi, &self.dni, &sun.cos_apparent],
            self.dhi.clone(),
        );
    }
}
