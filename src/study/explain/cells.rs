//! Air at the place and the temperature of cells.

use super::worked::{Chain, Formula, Kind, Quantity};
use crate::heat::{self, Mount};
use crate::hourly::{ReadyGroup, Site};
use crate::units::Celsius;
use crate::weather::Hour;

/// Fall of temperature with height, K/m, as a share: the standard atmosphere's, and the bound's.
const USUAL_K_PER_M: f64 = 6.5e-3;
const BOUND_K_PER_M: f64 = 9.8e-3;

/// Air at the place, as printed.
#[derive(Clone, Debug)]
pub(super) struct AirAt {
    pub(super) mean: Quantity,
    pub(super) low: Quantity,
    pub(super) wind: Quantity,
}

impl AirAt {
    /// The readings, moved to the height of the place.
    pub(super) fn work(chain: &mut Chain, site: &Site, hour: &Hour, line: &str) -> Self {
        let reading = |symbol: &str, value: f64| Quantity::new(symbol, Kind::Celsius, value);
        let mean = chain.given(
            "air, mean of the hour's readings",
            reading("Tm", hour.air_mean_c),
            line.to_owned(),
            None,
        );
        let low = chain.given(
            "air, lowest of the hour's readings",
            reading("Tl", hour.air_low_c),
            line.to_owned(),
            None,
        );
        let (wind_m_s, said) = match hour.wind_m_s {
            Some(wind) => (f64::from(wind), "the file's own"),
            None => (heat::CALM_UNKNOWN_M_S, "the file has none: 1 m/s is taken"),
        };
        let wind = chain.given("wind", Quantity::new("v", Kind::Wind, wind_m_s), said, None);
        let above = Quantity::new("Δh", Kind::Metres, site.above_station_m);
        if above.value <= 0.0 {
            if above.value < 0.0 {
                chain.because("the place lies below its station: air is taken as it is, never warmer");
            }
            return Self { mean: mean.named("Ta"), low: low.named("Tb"), wind };
        }
        chain.given("height of the place above its station", above.clone(), "from file and plan", None);
        let mean = chain.step(
            Formula { id: "lapse-usual", what: "air at the place", text: "Tm - 0.0065 Δh", source: None },
            &[&mean, &above],
            reading("Ta", mean.value - USUAL_K_PER_M * above.value),
        );
        let low = chain.step(
            Formula {
                id: "lapse-bound",
                what: "lowest air at the place in a windy cold outbreak",
                text: "Tl - 0.0098 Δh",
                source: None,
            },
            &[&low, &above],
            reading("Tb", low.value - BOUND_K_PER_M * above.value),
        );
        Self { mean, low, wind }
    }

    /// Cells of the three voltages.
    pub(super) fn cells(&self, chain: &mut Chain, ready: &ReadyGroup<'_>, light: &Quantity) -> Cells {
        let mount = ready.group.mount;
        let steady = heat::steady(mount, Celsius(self.mean.value), light.value, Some(self.wind.value)).0;
        let (text, source) = match mount {
            Mount::Frame => ("Ta + GP / (25 + 6.84 v)", "FAIMAN2008"),
            Mount::Gap => ("Ta + GP exp(-2.98 - 0.0471 v) + GP / 1000", "KING2004"),
            Mount::Roof => ("Ta + GP exp(-2.81 - 0.0455 v)", "KING2004"),
        };
        let id = match mount {
            Mount::Frame => "cell-frame",
            Mount::Gap => "cell-gap",
            Mount::Roof => "cell-roof",
        };
        let steady = chain.step(
            Formula { id, what: "cell, steady", text, source: Some(source) },
            &[&self.mean, &light.named("GP"), &self.wind],
            Quantity::new("Tc", Kind::Celsius, steady),
        );
        let sudden = chain.step(
            Formula {
                id: "same",
                what: "cell, sudden sun: still as warm as the air",
                text: "Ta",
                source: None,
            },
            &[&self.mean],
            self.mean.named("Tc"),
        );
        let cooling = chain.given(
            "how far a clear night cools a cell below the air",
            Quantity::new("ΔTs", Kind::Kelvin, ready.sky_cooling_k),
            "by mount: frame 3, gap 4, roof 5 K, unless the plan sets it",
            Some("DRIESSE2022"),
        );
        let worst = chain.step(
            Formula { id: "cell-worst", what: "cell, worst case", text: "Tb - ΔTs", source: None },
            &[&self.low, &cooling],
            Quantity::new("Tc", Kind::Celsius, self.low.value - cooling.value),
        );
        Cells { steady, sudden, worst }
    }
}

/// Cell temperatures as printed.
#[derive(Clone, Debug)]
pub(super) struct Cells {
    pub(super) steady: Quantity,
    pub(super) sudden: Quantity,
    pub(super) worst: Quantity,
}
