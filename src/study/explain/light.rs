//! The file's own light at a moment, and its parts.

use super::sun::{ClearAt, SunAt};
use super::worked::{Chain, Formula, Kind, Quantity};
use crate::hourly::{BURST, NEARLY_CLEAR};
use crate::sky::{self, Clearness, Light};
use crate::sun::STEPS;

/// What turns clear sky into the file's own light, the same for the whole hour.
#[derive(Clone, Debug)]
pub(super) enum Shaping {
    /// The file has irradiance: its mean, and its ratio to the mean of clear sky.
    Index { mean: Quantity, index: Quantity },
    /// The file has clouds: the share that they leave.
    Factor(Quantity),
    /// The file has neither.
    None,
}

/// Light of an hour over the horizontal.
#[derive(Clone, Debug)]
pub(super) struct HourLight {
    pub(super) light: Light,
    pub(super) shaping: Shaping,
    /// Hour mean of the file's own global light.
    pub(super) mean: Quantity,
}

impl HourLight {
    /// From the light of clear sky at the twelve steps (0 where unlit), with the steps.
    pub(super) fn work(chain: &mut Chain, light: Light, clear: &[Quantity]) -> Self {
        let sum: f64 = clear.iter().map(|quantity| quantity.value).sum();
        let inputs: Vec<&Quantity> = clear.iter().collect();
        let clear_mean = chain.step(
            Formula {
                id: "mean-of-twelve",
                what: "hour mean of clear sky",
                text: "sum of the twelve steps / 12 (unlit ones 0)",
                source: None,
            },
            &inputs,
            Quantity::new("Gcm", Kind::Light, sum / STEPS as f64),
        );
        let (shaping, mean) = match light {
            Light::Parts { ghi, .. } | Light::GlobalOnly { ghi } => {
                let mean = chain.given(
                    "hour mean of global light",
                    Quantity::new("Gm", Kind::Light, ghi.into()),
                    "the file's own",
                    None,
                );
                let ratio = if clear_mean.value > 0.0 { mean.value / clear_mean.value } else { 0.0 };
                let index = chain.step(
                    Formula {
                        id: "ratio",
                        what: "the file's light over clear sky",
                        text: "Gm / Gcm",
                        source: None,
                    },
                    &[&mean, &clear_mean],
                    Quantity::new("k", Kind::Share, ratio),
                );
                (Shaping::Index { mean: mean.clone(), index }, mean)
            }
            Light::Clouds { oktas } => {
                let cover = chain.given(
                    "cover of the sky",
                    Quantity::new("N", Kind::Oktas, oktas.into()),
                    "the file's own, eighths",
                    None,
                );
                let factor = chain.step(
                    Formula {
                        id: "cloud-factor",
                        what: "share that clouds leave",
                        text: "1 - 0.75 (N / 8)^3.4",
                        source: Some("KASTEN1980"),
                    },
                    &[&cover],
                    Quantity::new("k", Kind::Share, sky::cloud_factor(cover.value)),
                );
                let mean = chain.step(
                    Formula {
                        id: "product",
                        what: "hour mean of the file's own light",
                        text: "k Gcm",
                        source: None,
                    },
                    &[&factor, &clear_mean],
                    Quantity::new("Gm", Kind::Light, factor.value * clear_mean.value),
                );
                (Shaping::Factor(factor), mean)
            }
            Light::Unknown => {
                chain.because(
                    "the file has neither irradiance nor clouds: clear sky is taken for its own light",
                );
                (Shaping::None, clear_mean.named("Gm"))
            }
        };
        Self { light, shaping, mean }
    }

    /// The file's own global light at a step, without steps.
    pub(super) fn at(&self, clear: &ClearAt) -> Quantity {
        let own = match &self.shaping {
            Shaping::Index { mean, index } => {
                (index.value * clear.ghi.value).min((BURST * clear.ghi.value).max(mean.value))
            }
            Shaping::Factor(factor) => factor.value * clear.ghi.value,
            Shaping::None => clear.ghi.value,
        };
        Quantity::new("G", Kind::Light, own)
    }

    /// The same with its step.
    pub(super) fn work_at(&self, chain: &mut Chain, clear: &ClearAt) -> Quantity {
        let own = self.at(clear);
        match &self.shaping {
            Shaping::Index { mean, index } => chain.step(
                Formula {
                    id: "shaped",
                    what: "the file's own light at this moment",
                    text: "k Gc, but at most the larger of 1.5 Gc and Gm",
                    source: Some("YORDANOV2013"),
                },
                &[index, &clear.ghi, mean],
                own,
            ),
            Shaping::Factor(factor) => chain.step(
                Formula {
                    id: "product",
                    what: "the file's own light at this moment",
                    text: "k Gc",
                    source: Some("KASTEN1980"),
                },
                &[factor, &clear.ghi],
                own,
            ),
            Shaping::None => own,
        }
    }

    /// The file's light on a plane where it can be: with a step where the bound bites. `clear` is what clear sky puts on
    /// the same plane, `own` the file's global light at that moment.
    pub(super) fn credible_on_plane(
        &self,
        chain: &mut Chain,
        on_plane: Quantity,
        clear: &Quantity,
        own: &Quantity,
    ) -> Quantity {
        let Shaping::Index { mean, .. } = &self.shaping else { return on_plane };
        let most = (BURST * clear.value).max(own.value).max(mean.value);
        if on_plane.value <= most {
            return on_plane;
        }
        chain.step(
            Formula {
                id: "credible-on-plane",
                what: "the file's light on the panel, at most what a cloud's edge adds to clear sky",
                text: "the smaller of GP and the largest of 1.5 Gcp, G and Gm, Gcp under clear sky on the same panel",
                source: Some("YORDANOV2013"),
            },
            &[&on_plane, &clear.named("Gcp"), &own.named("G"), &mean.named("Gm")],
            Quantity::new("GP", Kind::Light, most),
        )
    }

    /// Direct and diffuse light of the file's own at a step: by its own diffuse share, else by clear sky's beam where
    /// the step is nearly clear, else by the clearness index.
    pub(super) fn parts_at(
        &self,
        sun: &SunAt,
        clear: &ClearAt,
        own: &Quantity,
        chain: Option<&mut Chain>,
    ) -> Three {
        let mut unused = Chain::default();
        let chain = chain.unwrap_or(&mut unused);
        match self.light {
            Light::Unknown => Three::of_clear_sky(clear),
            Light::Parts { ghi, dhi, .. } if ghi > 0.0 => {
                let hour_ghi = Quantity::new("Gm", Kind::Light, ghi.into());
                let hour_dhi = Quantity::new("Dm", Kind::Light, dhi.into());
                let share = (hour_dhi.value / hour_ghi.value).min(1.0);
                let dhi = chain.step(
                    Formula {
                        id: "own-diffuse",
                        what: "diffuse light at this moment",
                        text: "G Dm / Gm, at most G",
                        source: None,
                    },
                    &[own, &hour_dhi, &hour_ghi],
                    Quantity::new("D", Kind::Light, own.value * share),
                );
                let cos = sun.cos_zenith.value;
                let dni =
                    if cos > 0.0 { ((own.value - dhi.value) / cos).min(sun.above_air.value) } else { 0.0 };
                let dni = chain.step(
                    Formula {
                        id: "own-direct",
                        what: "direct light at this moment",
                        text: "(G - D) / cos z, at most E0; nothing where cos z is not above 0",
                        source: None,
                    },
                    &[own, &dhi, &sun.cos_zenith, &sun.above_air],
                    Quantity::new("B", Kind::Light, dni),
                );
                Three { ghi: own.clone(), dni, dhi }
            }
            _ if own.value >= NEARLY_CLEAR * clear.ghi.value => {
                let dni = clear.dni.named("B");
                let left = (own.value - dni.value * sun.cos_zenith.value.max(0.0)).max(0.0);
                let dhi = chain.step(
                    Formula {
                        id: "nearly-clear-diffuse",
                        what: "diffuse light at this moment, nearly clear: the beam is clear sky's",
                        text: "G - Bc cos z, not below 0",
                        source: None,
                    },
                    &[own, &clear.dni, &sun.cos_zenith],
                    Quantity::new("D", Kind::Light, left),
                );
                Three { ghi: own.clone(), dni, dhi }
            }
            _ => split(chain, own, sun),
        }
    }

    /// The parts of the hour's mean light, with the sun at mid-hour.
    pub(super) fn parts_of_mean(&self, chain: &mut Chain, sun: &SunAt) -> Three {
        match self.light {
            Light::Parts { ghi, dni, dhi } => {
                let mut given = |what: &str, symbol: &str, value: f32| {
                    let quantity = Quantity::new(symbol, Kind::Light, value.into());
                    chain.given(what, quantity, "the file's own, hour mean", None)
                };
                let ghi = given("global light", "G", ghi);
                let dhi = given("diffuse light", "D", dhi);
                let mut dni = given("direct light", "B", dni);
                if dni.value > sun.above_air.value {
                    dni = chain.step(
                        Formula {
                            id: "smaller",
                            what: "direct light, at most what falls above the air",
                            text: "the smaller of B and E0",
                            source: None,
                        },
                        &[&dni, &sun.above_air],
                        sun.above_air.named("B"),
                    );
                }
                Three { ghi, dni, dhi }
            }
            _ => split(chain, &self.mean.named("G"), sun),
        }
    }
}

/// Global, direct and diffuse light as printed.
#[derive(Clone, Debug)]
pub(super) struct Three {
    pub(super) ghi: Quantity,
    pub(super) dni: Quantity,
    pub(super) dhi: Quantity,
}

impl Three {
    /// Those of clear sky.
    pub(super) fn of_clear_sky(clear: &ClearAt) -> Self {
        Self { ghi: clear.ghi.clone(), dni: clear.dni.clone(), dhi: clear.dhi.clone() }
    }
}

fn split(chain: &mut Chain, ghi: &Quantity, sun: &SunAt) -> Three {
    let source = Some("ERBS1982");
    let parts = sky::erbs(Clearness {
        ghi_w_m2: ghi.value,
        cos_zenith: sun.cos_zenith.value,
        extraterrestrial_w_m2: sun.above_air.value,
    });
    let dhi = chain.step(
        Formula {
            id: "erbs-diffuse",
            what: "diffuse light",
            text: "Fd G with kt = G / (E0 cos z), cos z at least 0.065, kt at most 1: Fd = 1 - 0.09 kt up to 0.22; \
                   0.9511 - 0.1604 kt + 4.388 kt^2 - 16.638 kt^3 + 12.336 kt^4 up to 0.80; 0.165 above; 1 where z is \
                   beyond 87",
            source,
        },
        &[ghi, &sun.above_air, &sun.cos_zenith],
        Quantity::new("D", Kind::Light, parts.dhi),
    );
    let low = parts.dni == 0.0;
    let dni =
        if low { 0.0 } else { ((ghi.value - dhi.value) / sun.cos_zenith.value).min(sun.above_air.value) };
    let dni = chain.step(
        Formula {
            id: "erbs-direct",
            what: "direct light",
            text: "(G - D) / cos z, at most E0, nothing where z is beyond 87",
            source,
        },
        &[ghi, &dhi, &sun.cos_zenith, &sun.above_air],
        Quantity::new("B", Kind::Light, dni),
    );
    Three { ghi: ghi.clone(), dni, dhi }
}
