//! Computes the tables of `src/extreme/factors.rs` by simulation and prints them as Rust source.
//!
//! `cargo bench --bench factors`. The seed is fixed, so the printed tables are the committed ones to the last digit.
//! Nothing of the tables is read here: only the generator, the Gumbel law and the moments formulas.

use dawnvolt::extreme::gumbel;
use dawnvolt::extreme::{Moments, Random, frequency_factor, goodness_statistic, standard_error};

/// Any number; this one is kept so that the tables can be computed again.
const SEED: u64 = 1_958;
/// Simulated records for each number of seasons. Chosen because it puts the factors within about 0.003.
const RECORDS: usize = 1_000_000;
/// Simulated records for the critical values of the goodness of fit.
const RECORDS_OF_FIT: usize = 200_000;
/// Seasons in a record.
const SEASONS: [usize; 14] = [5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 60, 100, 200];
/// Return periods in years.
const YEARS: [f64; 9] = [2.0, 3.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0];

fn main() {
    let mut predictive = Vec::new();
    let mut multiples = Vec::new();
    let mut critical = Vec::new();
    for seasons in SEASONS {
        let mut random = Random::seeded(SEED + seasons as u64);
        let records: Vec<(f64, f64)> =
            (0..RECORDS).map(|_| moments_of_record(&mut random, seasons)).collect();
        predictive.push(YEARS.map(|years| predictive_factor(&records, years)));
        multiples.push(YEARS.map(|years| bound_multiple(&records, seasons, years)));
        critical.push(critical_values(&mut random, seasons));
    }
    print_table("PREDICTIVE", &predictive);
    print_table("BOUND", &multiples);
    print_table("CRITICAL", &critical);
}

/// Mean and standard deviation of one simulated record.
fn moments_of_record(random: &mut Random, seasons: usize) -> (f64, f64) {
    let (mut sum, mut squares) = (0.0, 0.0);
    for _ in 0..seasons {
        let x = gumbel::draw(random);
        sum += x;
        squares += x * x;
    }
    let n = seasons as f64;
    let mean = sum / n;
    (mean, ((squares - n * mean * mean) / (n - 1.0)).sqrt())
}

/// k such that the chance of the next season to pass mean + k sd, averaged over the records, is 1 / years. The chance
/// in one record is known exactly from the law, so nothing is counted.
fn predictive_factor(records: &[(f64, f64)], years: f64) -> f64 {
    let share = |k: f64| {
        records.iter().map(|&(mean, sd)| gumbel::above(mean + k * sd)).sum::<f64>() / records.len() as f64
            - 1.0 / years
    };
    // Secant on the logarithm of the share would be quicker; bisection cannot fail.
    let (mut low, mut high) = (-2.0, 60.0);
    while high - low > 1e-5 {
        let middle = 0.5 * (low + high);
        if share(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// How many standard errors lie between the fitted level and a bound that holds the true level in 90 % of records.
fn bound_multiple(records: &[(f64, f64)], seasons: usize, years: f64) -> f64 {
    let truth = gumbel::quantile(1.0 - 1.0 / years);
    let mut needed: Vec<f64> = records.iter().map(|&(mean, sd)| (truth - mean) / sd).collect();
    let rank = (0.9 * needed.len() as f64) as usize;
    let (_, &mut steps, _) = needed.select_nth_unstable_by(rank, f64::total_cmp);
    let unit = Moments { n: seasons, mean: 0.0, sd: 1.0 };
    (steps - frequency_factor(years)) / standard_error(&unit, years)
}

/// 5 % and 1 % critical values of the goodness-of-fit statistic.
fn critical_values(random: &mut Random, seasons: usize) -> [f64; 2] {
    let mut statistics: Vec<f64> = (0..RECORDS_OF_FIT)
        .filter_map(|_| {
            let record: Vec<f64> = (0..seasons).map(|_| gumbel::draw(random)).collect();
            goodness_statistic(&record)
        })
        .collect();
    statistics.sort_by(f64::total_cmp);
    [0.95, 0.99].map(|share| statistics[(share * statistics.len() as f64) as usize])
}

fn print_table<const COLUMNS: usize>(name: &str, rows: &[[f64; COLUMNS]]) {
    println!("{name}: [[f64; {COLUMNS}]; {}] = [", rows.len());
    for (row, seasons) in rows.iter().zip(SEASONS) {
        let cells: Vec<String> = row.iter().map(|value| format!("{value:.3}")).collect();
        println!("    [{}], // {seasons}", cells.join(", "));
    }
    println!("];");
}
