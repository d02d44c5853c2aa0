//! What the sentences claim: no count above what it is counted in, no praise where nothing was checked, no temperature
//! that nothing can have, no odds from a season or none. The counts are known by construction of the invented weather.
#![expect(clippy::unwrap_used)]

#[path = "seasons/invented_weather.rs"]
#[expect(dead_code, reason = "shared with the tests of seasons")]
mod invented_weather;

use dawnvolt::plan;
use dawnvolt::report::text::{self, TextOptions};
use dawnvolt::report::{self, charts};
use dawnvolt::study::results::{Assessment, LimitLine};
use dawnvolt::study::{Choice, assess};
use invented_weather::{Day, Place, assessed, assessed_against};
use std::path::Path;

fn page(found: &Assessment) -> String {
    // One line a paragraph, so that a sentence can be looked for.
    text::assess(found, &TextOptions { width: 160, ..TextOptions::default() })
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn html(found: &Assessment) -> String {
    report::html(found, &charts::all(found).unwrap())
}

fn volts(found: &Assessment, stop: usize) -> &LimitLine {
    found.stops[stop].arrays[0].limits.iter().find(|line| line.unit == "V").unwrap()
}

/// Six winters, each with one cold day; of three of them January is missing, so three are complete and six were seen.
fn six_seen_three_complete() -> Assessment {
    let cold: Vec<Day> = (2001..2007).map(|year| (year, 12, 5)).collect();
    let place = Place::north("Gaps", 2001, 2007).cold(&cold);
    let place = (2002..=2004).fold(place, |place, year| place.hole((year, 1, 1), (year, 1, 31)));
    assessed(&[place])
}

#[test]
fn no_count_stands_above_what_it_is_counted_in() {
    let found = six_seen_three_complete();
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_seen), (3, 6));
    assert_eq!(line.seasons_broken.unwrap().sudden_sun, 6);
    let page = html(&found);
    assert!(page.contains(">6 of 6<") && !page.contains(">6 of 3<"), "the table of counts");
    assert!(page.contains("3 of the 6 are complete"), "both are said");
    let table = report::csv::limits(&found);
    let mut rows = table.lines();
    let header: Vec<&str> = rows.next().unwrap().split(',').collect();
    assert_eq!(header[header.len() - 2..], ["seasons_seen", "seasons_counted"]);
    assert!(rows.next().unwrap().ends_with(",6,6"), "{table}");
}

/// Half a winter: none is complete, so the seasons seen are the only denominator.
#[test]
fn without_a_complete_season_the_seasons_seen_are_said() {
    let mut place = Place::north("Half", 2001, 2002).cold(&[(2001, 12, 5)]);
    place.span = ((2001, 11, 1), (2001, 12, 31));
    let found = assessed(&[place]);
    let said = &volts(&found, 0).how_often;
    assert!(said.contains("of 1 season seen 1 passed it in sudden sun"), "{said}");
    let short = &volts(&found, 0).reason;
    assert!(short.contains("exceeded") || short.contains("no complete season"), "{short}");
}

/// By hand from the label, 20 V (1 + 0.003 (25 - t)): 26 V need cells of -75 C, which can be said; 100 V would take -1308 C,
/// which nothing can have.
#[test]
fn no_temperature_below_a_hundred_is_printed() {
    let cold = [(2001, 12, 24), (2003, 1, 10)];
    let far = assessed_against(&[Place::north("Far", 2001, 2007).cold(&cold)], 100);
    let line = volts(&far, 0);
    let sentence = line.out_of_reach.as_deref().unwrap();
    assert!(sentence.contains("no air seen comes near") && !sentence.contains("-1"), "{sentence}");
    assert!(line.reached_at_c.unwrap() < -1300.0, "the plain sum, for scripts");
    assert!(!report::csv::limits(&far).contains(",-1308"), "{}", report::csv::limits(&far));
    let near = assessed_against(&[Place::north("Near", 2001, 2007).cold(&cold)], 26);
    let line = volts(&near, 0);
    assert!((line.reached_at_c.unwrap() + 75.0).abs() < 1e-9, "{:?}", line.reached_at_c);
}

fn trip(first: std::ops::Range<i32>, second: std::ops::Range<i32>) -> Assessment {
    assessed(&[
        Place::north("First", first.start, first.end).window("12-01", "12-10"),
        Place::north("Second", second.start, second.end).window("12-11", "12-20"),
    ])
}

/// Records of other years have no winter in common, or one: nothing is said of the trip's chance in per cent.
#[test]
fn a_season_or_none_gives_no_odds_of_a_trip() {
    for (found, said) in [
        (trip(2001..2004, 2005..2008), "no season is common to all stops"),
        (trip(2001..2004, 2003..2006), "a single season is common to all stops"),
    ] {
        let words = &found.trip.as_ref().unwrap().in_words;
        assert!(words.contains(said) && !words.contains('%'), "{words}");
        assert!(page(&found).contains("No chance for the whole trip"));
    }
    // Two winters in common: bounds, and that they are few.
    let words = trip(2001..2005, 2003..2006).trip.unwrap().in_words;
    assert!(words.starts_with("2 seasons are common") && words.contains("too few"), "{words}");
}

fn planned(components: &str, weather: &str) -> Assessment {
    let text = format!(
        "title = \"Invented\"\n[[module]]\nid = \"p\"\nvoc_v = 22.5\nisc_a = 5.8\nvoc_temp_coeff = \"-0.30 %/K\"\n\
         [[string]]\nmodules = \"p\"\nin_series = 2\nmount = \"roof\"\n{components}\n[[stop]]\nplace = \"Somewhere\"\n\
         weather = [\"{weather}\"]\n"
    );
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let plan = plan::from_text(text.as_bytes(), Path::new("plan.toml"), home).unwrap();
    assess(&plan, &Choice::default()).unwrap_or_else(|error| panic!("{error}"))
}

const TYPICAL: &str = "tests/formats/tmy3/*TYA.CSV.gz";

#[test]
fn a_plan_without_a_rating_is_not_praised() {
    let found = planned("", TYPICAL);
    let page = page(&found);
    assert!(page.starts_with("NOTHING TO CHECK: Invented"), "{page}");
    assert!(page.contains("add a [[component]] with its kind and max_v"), "{page}");
    assert!(!page.contains("WITHIN") && !page.contains("Every limit holds"));
    let box_ = html(&found);
    assert!(box_.contains("nothing to check") && !box_.contains("box within"));
    // Scripts keep the word of the contract.
    assert!(report::json(&found).contains("\"verdict\": \"within\""));
    // A cable alone: its amps hold, and that says nothing about volts.
    let cable =
        planned("[[component]]\nkind = \"cable\"\nmm2 = 6\ninsulation_c = 90\nambient_c = 65\n", TYPICAL);
    assert!(cable.summary.contains("no volts were checked"), "{}", cable.summary);
}

/// Whoever decides, code sum or weather or the amps: the sentence names the typical year that it rests on.
#[test]
fn a_sentence_that_rests_on_a_typical_year_says_so() {
    let switch = |volts: u32, amps: f64| {
        format!(
            "[[component]]\nkind = \"disconnect\"\nname = \"switch\"\nmax_v = {volts}\nrated_a = {amps}\npoles_opened = 2\n"
        )
    };
    for (volts, amps) in [(40, 40.0), (48, 40.0), (60, 40.0), (1000, 40.0), (1000, 9.1)] {
        let found = planned(&switch(volts, amps), TYPICAL);
        assert!(found.summary.contains("a typical year"), "{volts} V, {amps} A: {}", found.summary);
        assert_eq!(found.summary.matches("typical year").count(), 1, "{}", found.summary);
    }
}
