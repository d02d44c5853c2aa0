//! How often levels and intervals hold on simulated records: the table of DEVELOPERS.md, in full size.
//!
//! `cargo bench --bench calibration`. Seeded: the table is the same every time. `tests/calibration.rs` checks the same
//! figures on fewer records.

#[path = "../simulation/mod.rs"]
mod simulation;

use simulation::{Hours, Law, beyond_own_level, hours_coverage, levels, odds_coverage, trips};

const RECORDS: usize = 40_000;
const RECORDS_OF_HOURS: usize = 4_000;
const SEED: u64 = 77;

fn main() {
    let laws = [Law::Gumbel, Law::Bounded, Law::window(7, 1_000_000), Law::window(14, 1_000_000)];
    println!(
        "Next seasons that break a level, over the nominal share, and records whose 90 % bound holds the true level:\n"
    );
    println!("| law | seasons | years | plain | predictive | bound |\n|---|---|---|---|---|---|");
    for law in &laws {
        for seasons in [5, 10, 20, 40] {
            for years in [10.0, 20.0, 50.0] {
                let found = levels(law, seasons, years, RECORDS, SEED);
                let bound = if seasons < 10 { "-".to_owned() } else { format!("{:.3}", found.bound) };
                println!(
                    "| {} | {seasons} | {years} | {:.2} | {:.2} | {bound} |",
                    law.name(),
                    found.plain,
                    found.predictive
                );
            }
        }
    }
    println!("\nRecords whose 90 % Clopper-Pearson interval holds the true chance of a season (any law):\n");
    println!("| seasons | true chance | held |\n|---|---|---|");
    for seasons in [5, 10, 20, 40] {
        for chance in [0.05, 0.1, 0.25, 0.5, 0.9] {
            println!(
                "| {seasons} | {chance} | {:.3} |",
                odds_coverage(&laws[0], seasons, chance, RECORDS, SEED)
            );
        }
    }
    println!("\nRecords whose 90 % interval holds the true hours a year, among those that print one:\n");
    println!("| hours by | seasons | chance of a season | held | print one |\n|---|---|---|---|---|");
    let models = [
        ("Gumbel excess", Hours::Excess(&laws[0], 1.0)),
        ("Gumbel excess^1.5", Hours::Excess(&laws[0], 1.5)),
        ("bounded excess", Hours::Excess(&laws[1], 1.0)),
        ("bounded excess^1.5", Hours::Excess(&laws[1], 1.5)),
        ("7-day window", Hours::Excess(&laws[2], 1.0)),
        ("14-day window", Hours::Excess(&laws[3], 1.0)),
        ("90 days", Hours::Days),
    ];
    for (name, model) in &models {
        for seasons in [20, 40] {
            for chance in [0.1, 0.25, 0.5, 0.9] {
                let (held, printed) = hours_coverage(model, seasons, chance, RECORDS_OF_HOURS, SEED);
                let share = printed as f64 / RECORDS_OF_HOURS as f64;
                let held = if printed < 100 { "-".to_owned() } else { format!("{held:.3}") };
                println!("| {name} | {seasons} | {chance} | {held} | {share:.2} |");
            }
        }
    }
    println!("\nTrips over three stops that share spells:\n");
    println!(
        "| seasons | chance of a stop | shared | true chance | odds | upper bound |\n|---|---|---|---|---|---|"
    );
    for seasons in [5, 10, 20, 40] {
        for (chance, shared) in [(0.1, 0.0), (0.1, 0.7), (0.1, 1.0), (0.3, 0.7)] {
            let found = trips(seasons, chance, shared, RECORDS, SEED);
            let odds = if seasons < 10 { "-".to_owned() } else { format!("{:.3}", found.odds) };
            println!(
                "| {seasons} | {chance} | {shared} | {:.3} | {odds} | {:.3} |",
                found.truth, found.at_most
            );
        }
    }
    println!("\nRecords that go beyond the true 20-year level (simulated, formula):");
    for seasons in [10, 20, 40] {
        let (simulated, formula) = beyond_own_level(&Law::Gumbel, seasons, 20.0, RECORDS, SEED);
        println!("{seasons} seasons: {simulated:.3}, {formula:.3}");
    }
}
