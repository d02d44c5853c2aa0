//! Light on a plane that is not flat, and the light that a rear adds.

use super::light::Three;
use super::sun::SunAt;
use super::worked::{Chain, Formula, Kind, Quantity};
use crate::hourly::Rear;
use crate::module::{RearInput, rear_light};
use crate::sky::{Aim, CAP_FROM_DEG, HayDaviesInput, hay_davies};

/// The cap, in multiples of diffuse light.
const CAP: f64 = 2.5;

/// A plane in one of its roles.
#[derive(Clone, Debug)]
pub(super) struct PlaneAt {
    pub(super) aim: Aim,
    pub(super) albedo: f64,
    pub(super) rear: Option<Rear>,
}

impl PlaneAt {
    /// Cosine of the tilt and of the angle of incidence, with their steps.
    fn cosines(&self, chain: &mut Chain, sun: &SunAt) -> (Quantity, Quantity) {
        let cos_z = sun.cos_apparent.value;
        let sin_z = (1.0 - cos_z * cos_z).max(0.0).sqrt();
        let tilted = |chain: &mut Chain, tilt_deg: f64| {
            let tilt =
                chain.given("tilt", Quantity::new("β", Kind::Degrees, tilt_deg), "from the plan", None);
            let cos = chain.step(
                Formula { id: "cos-tilt", what: "its cosine", text: "cos β", source: None },
                &[&tilt],
                Quantity::new("cos β", Kind::Share, tilt.value.to_radians().cos()),
            );
            (tilt, cos)
        };
        let share = |value: f64| Quantity::new("cos θ", Kind::Share, value.max(0.0));
        match self.aim {
            Aim::SunNormal => {
                let cos = chain.step(
                    Formula {
                        id: "square-to-sun",
                        what: "cosine of the tilt of a plane square to the sun",
                        text: "cos z', not below 0",
                        source: None,
                    },
                    &[&sun.cos_apparent],
                    Quantity::new("cos β", Kind::Share, cos_z.max(0.0)),
                );
                let incidence = chain.given(
                    "cosine of the angle of incidence",
                    share(1.0),
                    "the tilt may be anything, so the plane is taken square to the sun",
                    None,
                );
                (cos, incidence)
            }
            Aim::FacingSun { tilt_deg } => {
                let (tilt, cos) = tilted(chain, tilt_deg);
                let value = cos.value * cos_z + tilt.value.to_radians().sin() * sin_z;
                let incidence = chain.step(
                    Formula {
                        id: "incidence-facing",
                        what: "cosine of the angle of incidence, turned to the sun",
                        text: "cos β cos z' + sin β sin z', not below 0, sin z' = sqrt(1 - cos^2 z')",
                        source: None,
                    },
                    &[&tilt, &cos, &sun.cos_apparent],
                    share(value),
                );
                (cos, incidence)
            }
            Aim::Fixed { tilt_deg, heading_deg } => {
                let (tilt, cos) = tilted(chain, tilt_deg);
                let heading = chain.given(
                    "heading",
                    Quantity::new("ψ", Kind::Degrees, heading_deg),
                    "from the plan",
                    None,
                );
                let turned = (sun.azimuth.value - heading.value).to_radians().cos();
                let value = cos.value * cos_z + tilt.value.to_radians().sin() * sin_z * turned;
                let incidence = chain.step(
                    Formula {
                        id: "incidence-fixed",
                        what: "cosine of the angle of incidence",
                        text: "cos β cos z' + sin β sin z' cos(γ - ψ), not below 0, sin z' = sqrt(1 - cos^2 z')",
                        source: None,
                    },
                    &[&tilt, &cos, &sun.cos_apparent, &sun.azimuth, &heading],
                    share(value),
                );
                (cos, incidence)
            }
            Aim::EveryHeading { tilt_deg } => {
                let (tilt, cos) = tilted(chain, tilt_deg);
                let (a, b) = (cos.value * cos_z, tilt.value.to_radians().sin() * sin_z);
                let value = if a >= b {
                    a
                } else if a <= -b {
                    0.0
                } else {
                    let edge = (-a / b).acos();
                    (a * edge + b * edge.sin()) / std::f64::consts::PI
                };
                let incidence = chain.step(
                    Formula {
                        id: "incidence-mean",
                        what: "cosine of the angle of incidence, mean over all headings",
                        text: "a where a >= b, else (a x + b sin x) / π with x = arccos(-a / b) in radians, a = cos β cos \
                               z', b = sin β sqrt(1 - cos^2 z')",
                        source: None,
                    },
                    &[&tilt, &cos, &sun.cos_apparent],
                    share(value),
                );
                (cos, incidence)
            }
        }
    }

    /// Light on the plane under given parts, with its steps.
    pub(super) fn work(&self, chain: &mut Chain, sun: &SunAt, light: &Three) -> Quantity {
        let (cos_tilt, cos_incidence) = self.cosines(chain, sun);
        let direct = if sun.cos_apparent.value > 0.0 { light.dni.value * cos_incidence.value } else { 0.0 };
        let direct = chain.step(
            Formula { id: "plane-direct", what: "direct light on the plane", text: "B cos θ", source: None },
            &[&light.dni.named("B"), &cos_incidence],
            Quantity::new("P1", Kind::Light, direct),
        );
        let mut sky = hay_davies(HayDaviesInput {
            dhi_w_m2: light.dhi.value,
            dni_w_m2: light.dni.value,
            extraterrestrial_w_m2: sun.above_air.value,
            cos_zenith: sun.cos_apparent.value,
            cos_incidence: cos_incidence.value,
            cos_tilt: cos_tilt.value,
        });
        if sun.cos_apparent.value < CAP_FROM_DEG.to_radians().cos() {
            sky = sky.min(CAP * light.dhi.value);
        }
        let sky = chain.step(
            Formula {
                id: "plane-sky",
                what: "sky light on the plane",
                text: "D (A R + (1 - A)(1 + cos β) / 2), A = B / E0, R = cos θ / cos z', cos z' at least 0.01745; at most \
                       2.5 D where cos z' is below 0.087156",
                source: Some("HAYDAVIES1980"),
            },
            &[
                &light.dhi.named("D"),
                &light.dni.named("B"),
                &sun.above_air,
                &cos_incidence,
                &sun.cos_apparent,
                &cos_tilt,
            ],
            Quantity::new("P2", Kind::Light, sky),
        );
        let albedo = chain.given(
            "share of light that the ground throws back",
            Quantity::new("ρ", Kind::Share, self.albedo),
            if self.albedo > 0.5 { "snow, as the plan says" } else { "grass (common practice)" },
            None,
        );
        let ground = chain.step(
            Formula {
                id: "plane-ground",
                what: "light from the ground",
                text: "G ρ (1 - cos β) / 2",
                source: None,
            },
            &[&light.ghi.named("G"), &albedo, &cos_tilt],
            Quantity::new("P3", Kind::Light, light.ghi.value * albedo.value * (1.0 - cos_tilt.value) / 2.0),
        );
        let front = chain.step(
            Formula { id: "sum-of-three", what: "light on the plane", text: "P1 + P2 + P3", source: None },
            &[&direct, &sky, &ground],
            Quantity::new("GP", Kind::Light, direct.value + sky.value + ground.value),
        );
        match self.rear {
            Some(rear) => rear_step(chain, rear, &front, &light.ghi.named("G"), &albedo, &cos_tilt),
            None => front,
        }
    }

    /// What a flat plane sees: its front's light, and what a rear adds.
    pub(super) fn flat(&self, chain: &mut Chain, front: &Quantity) -> Quantity {
        let Some(rear) = self.rear else { return front.clone() };
        let albedo = Quantity::new("ρ", Kind::Share, self.albedo);
        let cos_tilt = Quantity::new("cos β", Kind::Share, 1.0);
        rear_step(chain, rear, front, &front.named("G"), &albedo, &cos_tilt)
    }
}

/// Light on a flat plane from the file's direct and diffuse light, with the sun at mid-interval.
pub(super) fn flat_of_parts(chain: &mut Chain, sun: &SunAt, light: &Three) -> Quantity {
    chain.step(
        Formula {
            id: "flat-parts",
            what: "light on the flat panel, hour mean",
            text: "B cos z' (0 where the sun is down) + D",
            source: None,
        },
        &[&light.dni, &light.dhi, &sun.cos_apparent],
        Quantity::new("GP", Kind::Light, light.dni.value * sun.cos_apparent.value.max(0.0) + light.dhi.value),
    )
}

fn rear_step(
    chain: &mut Chain,
    rear: Rear,
    front: &Quantity,
    ghi: &Quantity,
    albedo: &Quantity,
    cos_tilt: &Quantity,
) -> Quantity {
    let ratio = Quantity::new("x", Kind::Share, rear.bifacial);
    let front = front.named("GF");
    let behind = rear_light(RearInput {
        mount: rear.mount,
        front_w_m2: front.value,
        ghi_w_m2: ghi.value,
        albedo: albedo.value,
        tilt_deg: cos_tilt.value.acos().to_degrees(),
    });
    let behind = chain.step(
        Formula {
            id: "rear",
            what: "light on the rear",
            text: "G ρ (1 + cos β) / 2, at most 0.3 GF",
            source: None,
        },
        &[ghi, albedo, cos_tilt, &front],
        Quantity::new("GR", Kind::Light, behind),
    );
    chain.step(
        Formula { id: "with-rear", what: "light that counts, both sides", text: "GF + x GR", source: None },
        &[&front, &ratio, &behind],
        Quantity::new("GP", Kind::Light, front.value + ratio.value * behind.value),
    )
}
