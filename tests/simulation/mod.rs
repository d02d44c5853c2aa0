//! Simulated records whose truth is known, and how often levels and intervals hold on them.
//!
//! Used by `tests/calibration.rs` (few records) and by `tests/bench/calibration.rs` (many; prints the table).

use dawnvolt::extreme::{
    Random, Side, chance_beyond_level, gumbel, level, moments, n_year_value, odds, predictive,
    resampled_interval, trip,
};

/// Where the season extremes of a record come from.
#[derive(Clone, Debug)]
pub enum Law {
    /// The law that the levels assume.
    Gumbel,
    /// Generalised extreme values of shape -0.2: a bounded tail, as minima of air temperature have.
    Bounded,
    /// Largest daily value within so many days of an autocorrelated winter. Holds a large sorted sample as its truth.
    Window {
        /// Days in the window.
        days: usize,
        /// Sorted maxima.
        truth: Vec<f64>,
    },
}

/// Shape of the bounded law.
const SHAPE: f64 = 0.2;

/// Correlation of one day's value with the next. Chosen to resemble daily winter lows: common practice, no source.
const DAY_TO_DAY: f64 = 0.75;

impl Law {
    /// A window of `days`; `draws` set how well its truth is known.
    pub fn window(days: usize, draws: usize) -> Self {
        let mut random = Random::seeded(days as u64);
        let mut truth: Vec<f64> = (0..draws).map(|_| window_maximum(&mut random, days)).collect();
        truth.sort_by(f64::total_cmp);
        Self::Window { days, truth }
    }

    /// Its name in the table.
    pub fn name(&self) -> String {
        match self {
            Self::Gumbel => "Gumbel".to_owned(),
            Self::Bounded => "bounded tail".to_owned(),
            Self::Window { days, .. } => format!("{days}-day window"),
        }
    }

    /// One season's extreme.
    pub fn draw(&self, random: &mut Random) -> f64 {
        match self {
            Self::Window { days, .. } => window_maximum(random, *days),
            _ => self.quantile(random.unit()),
        }
    }

    /// The value that a season stays below with chance `p`.
    pub fn quantile(&self, p: f64) -> f64 {
        match self {
            Self::Gumbel => gumbel::quantile(p),
            Self::Bounded => (1.0 - (-p.ln()).powf(SHAPE)) / SHAPE,
            Self::Window { truth, .. } => truth[((p * truth.len() as f64) as usize).min(truth.len() - 1)],
        }
    }

    /// The chance that a season lies above `x`.
    pub fn above(&self, x: f64) -> f64 {
        match self {
            Self::Gumbel => gumbel::above(x),
            Self::Bounded if x >= 1.0 / SHAPE => 0.0,
            Self::Bounded => -(-(1.0 - SHAPE * x).powf(1.0 / SHAPE)).exp_m1(),
            Self::Window { truth, .. } => {
                let below = truth.partition_point(|&value| value <= x);
                (truth.len() - below) as f64 / truth.len() as f64
            }
        }
    }
}

/// The largest of `days` values of a stationary autoregression of order one with normal steps.
fn window_maximum(random: &mut Random, days: usize) -> f64 {
    winter(random, days).fold(f64::MIN, f64::max)
}

/// Those daily values: mean 0, standard deviation 1.
fn winter(random: &mut Random, days: usize) -> impl Iterator<Item = f64> + '_ {
    let mut day = normal(random);
    (0..days).map(move |_| {
        let today = day;
        day = DAY_TO_DAY * day + (1.0 - DAY_TO_DAY * DAY_TO_DAY).sqrt() * normal(random);
        today
    })
}

/// A normal draw (Box and Muller).
fn normal(random: &mut Random) -> f64 {
    (-2.0 * random.unit().ln()).sqrt() * (std::f64::consts::TAU * random.unit()).cos()
}

/// How levels did on many records of one length.
#[derive(Clone, Copy, Debug)]
pub struct LevelFigures {
    /// Chance that the next season breaks the plain n-year value, over its nominal chance.
    pub plain: f64,
    /// The same of the predictive level.
    pub predictive: f64,
    /// Share of records whose one-sided 90 % bound holds the true level.
    pub bound: f64,
}

/// Fits many records of `seasons` seasons; lows are simulated as mirrored maxima in every second record.
pub fn levels(law: &Law, seasons: usize, years: f64, records: usize, seed: u64) -> LevelFigures {
    let mut random = Random::seeded(seed);
    let truth = law.quantile(1.0 - 1.0 / years);
    let (mut plain, mut foreseen, mut held) = (0.0, 0.0, 0usize);
    for record in 0..records {
        let (side, sign) = if record % 2 == 0 { (Side::High, 1.0) } else { (Side::Low, -1.0) };
        let extremes: Vec<f64> = (0..seasons).map(|_| sign * law.draw(&mut random)).collect();
        let seen = moments(&extremes).expect("two seasons or more");
        plain += law.above(sign * n_year_value(&seen, years, side));
        foreseen += law.above(sign * predictive(&seen, years, side).expect("five seasons or more"));
        if let Some(level) = level(&seen, years, side) {
            held += usize::from(!side.breaks(sign * truth, level.bound_90));
        }
    }
    let share = |sum: f64| sum / records as f64;
    LevelFigures {
        plain: share(plain) * years,
        predictive: share(foreseen) * years,
        bound: share(held as f64),
    }
}

/// Share of records whose Clopper-Pearson interval holds the true chance.
pub fn odds_coverage(law: &Law, seasons: usize, chance: f64, records: usize, seed: u64) -> f64 {
    let mut random = Random::seeded(seed);
    let rating = law.quantile(1.0 - chance);
    let truth = law.above(rating);
    let held = (0..records)
        .filter(|_| {
            let broken = (0..seasons).filter(|_| law.draw(&mut random) > rating).count();
            let interval = odds(broken as u64, seasons as u64).expect("there are seasons");
            interval.low <= truth && truth <= interval.high
        })
        .count();
    held as f64 / records as f64
}

/// How a season's hours arise from its weather.
#[derive(Clone, Debug)]
pub enum Hours<'a> {
    /// They grow with what the season's extreme has above the rating, to this power.
    Excess(&'a Law, f64),
    /// A winter of ninety autocorrelated days; each day over the rating brings hours in proportion.
    Days,
}

/// Share of records whose interval of hours a year holds the true mean, among those that print one; and how many do.
/// `chance` is that of a season to be broken.
pub fn hours_coverage(model: &Hours, seasons: usize, chance: f64, records: usize, seed: u64) -> (f64, usize) {
    let mut random = Random::seeded(seed);
    let (rating, truth) = match model {
        Hours::Excess(law, power) => {
            // Mean of the law by its own quantiles, far finer than any record.
            const SLICES: usize = 200_000;
            let rating = law.quantile(1.0 - chance);
            let slice =
                |i: usize| (law.quantile((i as f64 + 0.5) / SLICES as f64) - rating).max(0.0).powf(*power);
            (rating, (0..SLICES).map(slice).sum::<f64>() / SLICES as f64)
        }
        Hours::Days => {
            let Law::Window { truth: maxima, .. } = Law::window(WINTER_DAYS, 20_000) else {
                unreachable!("a window was asked for")
            };
            let rating = maxima[((1.0 - chance) * maxima.len() as f64) as usize];
            (rating, WINTER_DAYS as f64 * mean_above(rating))
        }
    };
    let (mut printed, mut held) = (0_usize, 0_usize);
    for record in 0..records {
        let observed: Vec<f64> = (0..seasons)
            .map(|_| match model {
                Hours::Excess(law, power) => (law.draw(&mut random) - rating).max(0.0).powf(*power),
                Hours::Days => winter(&mut random, WINTER_DAYS).map(|day| (day - rating).max(0.0)).sum(),
            })
            .collect();
        if let Some((low, high)) = resampled_interval(&observed, record as u64) {
            printed += 1;
            held += usize::from(low <= truth && truth <= high);
        }
    }
    (held as f64 / printed.max(1) as f64, printed)
}

/// Days of a simulated winter.
const WINTER_DAYS: usize = 90;

/// Mean of max(x - u, 0) of a standard normal: density(u) - u (1 - Phi(u)), the tail by adding up the density.
fn mean_above(u: f64) -> f64 {
    let density = |x: f64| (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt();
    const STEP: f64 = 1e-4;
    let tail: f64 = (0..100_000).map(|i| density(u + (f64::from(i) + 0.5) * STEP)).sum::<f64>() * STEP;
    density(u) - u * tail
}

/// How a trip of three stops did: cold spells are shared with the strength `shared` (0: apart, 1: one and the same).
#[derive(Clone, Copy, Debug)]
pub struct TripFigures {
    /// The true chance of the trip in a season.
    pub truth: f64,
    /// Share of records whose interval holds it.
    pub odds: f64,
    /// Share of records whose upper bound holds it.
    pub at_most: f64,
}

/// Replays trips over three stops whose season extremes share spells.
pub fn trips(seasons: usize, chance: f64, shared: f64, records: usize, seed: u64) -> TripFigures {
    let mut random = Random::seeded(seed);
    let rating = gumbel::quantile(1.0 - chance);
    let season = |random: &mut Random| -> [bool; 3] {
        let spell = gumbel::draw(random);
        std::array::from_fn(|_| (if random.unit() < shared { spell } else { gumbel::draw(random) }) > rating)
    };
    // Three stops take the shared spell with chance `shared` each: a season holds where the spell, if any takes it, and
    // every stop apart hold.
    let hold = 1.0 - chance;
    let all_apart = (1.0 - shared).powi(3) * hold.powi(3);
    let one = 3.0 * shared * (1.0 - shared).powi(2) * hold.powi(3);
    let two = 3.0 * shared.powi(2) * (1.0 - shared) * hold.powi(2);
    let truth = 1.0 - (all_apart + one + two + shared.powi(3) * hold);
    let (mut odds_held, mut bound_held) = (0usize, 0usize);
    for _ in 0..records {
        let mut stops = [trip::StopSeasons::new(), trip::StopSeasons::new(), trip::StopSeasons::new()];
        for year in 0..seasons {
            for (stop, broken) in stops.iter_mut().zip(season(&mut random)) {
                stop.insert(year as i32, broken);
            }
        }
        let found = trip::chance(&stops).expect("every stop has seasons");
        odds_held += usize::from(found.odds.is_none_or(|odds| odds.low <= truth && truth <= odds.high));
        bound_held += usize::from(truth <= found.bounds.at_most);
    }
    TripFigures {
        truth,
        odds: odds_held as f64 / records as f64,
        at_most: bound_held as f64 / records as f64,
    }
}

/// Share of records whose largest season lies beyond the true n-year level, and what the formula says.
pub fn beyond_own_level(law: &Law, seasons: usize, years: f64, records: usize, seed: u64) -> (f64, f64) {
    let mut random = Random::seeded(seed);
    let truth = law.quantile(1.0 - 1.0 / years);
    let passed = (0..records).filter(|_| (0..seasons).any(|_| law.draw(&mut random) > truth)).count();
    (passed as f64 / records as f64, chance_beyond_level(years, seasons))
}
