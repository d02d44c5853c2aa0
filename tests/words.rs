//! What the sentences claim: no count above what it is counted in, no praise where nothing was checked, no temperature
//! that nothing can have, no odds from a season or none. The counts are known by construction of the invented weather.
#![expect(clippy::unwrap_used)]

#[path = "seasons/invented_weather.rs"]
#[expect(dead_code, reason = "shared with the tests of seasons")]
mod invented_weather;

use dawnvolt::limits::{DecidedBy, Verdict};
use dawnvolt::plan;
use dawnvolt::report::text::{self, TextOptions};
use dawnvolt::report::{self, charts};
use dawnvolt::study::results::{Assessment, LimitLine};
use dawnvolt::study::{Choice, assess, counted};
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
    assert!(page.contains("6 of 6 ") && !page.contains("6 of 3"), "how often");
    assert!(page.contains("3 of the 6 seasons are complete"), "both are said");
    assert!(page.contains("6 of 6 seasons (3 of 3 complete)"), "the complete ones by themselves");
    let brief = text::assess_in_brief(&found, &TextOptions::default());
    assert!(brief.contains("6 of 6 (3 of 3 complete)"), "{brief}");
    let table = report::csv::limits(&found);
    let mut rows = table.lines();
    let header: Vec<&str> = rows.next().unwrap().split(',').collect();
    assert_eq!(header[header.len() - 3..], ["seasons_seen", "seasons_counted", "hours_are_per"]);
    assert!(rows.next().unwrap().ends_with(",6,6,year"), "{table}");
}

/// Two panels of 5.8 A: 1.25 x 5.8 A = 7.25 A hold a rating of 7.5 A, and a cloud's edge gives more than full sun's 5.8 A, at
/// Chicago some 1.3 times as much and more. A part that carries far more is not named.
#[test]
fn cloud_edges_above_a_rating_are_told_and_left_to_its_manual() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/plans");
    let text = std::fs::read_to_string(folder.join("chicago.toml")).unwrap();
    let said = |max_isc_a: &str| {
        let text = text.replace("max_isc_a = 15", &format!("max_isc_a = {max_isc_a}"));
        let plan = plan::from_text(text.as_bytes(), Path::new("p.toml"), &folder).unwrap();
        let found = assess(&plan, &Choice::default()).unwrap();
        let burst_a = found.stops[0].arrays[0].current_a.burst.unwrap();
        (text::assess_in_brief(&found, &TextOptions { width: 160, ..TextOptions::default() }), burst_a)
    };
    let (brief, burst_a) = said("7.5");
    assert!(burst_a > 7.5, "{burst_a}");
    assert!(brief.contains("for seconds to minutes, more than charge controller (7.5 A)"), "{brief}");
    assert!(!said("15").0.contains("At cloud edges"));
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
    // By hand: a panel 3 % above its label, 20.6 V (1 + 0.003 (25 - t)), has 27 V at -78.6 C, one just as labelled at -91.7 C. Both
    // stand side by side, each with what it is.
    let near = assessed_against(&[Place::north("Near", 2001, 2007).cold(&cold)], 27);
    let line = volts(&near, 0);
    let sentence = line.out_of_reach.as_deref().unwrap();
    assert!(
        sentence.contains(
            "cells of the strongest panels would have to be below -79 °C in full sun (of panels just as their label says, by \
             the code sum: -92 °C)"
        ),
        "{sentence}"
    );
    assert!(
        html(&near)
            .contains("Their reached_at_c is the cell temperature at which panels just as their label says")
    );
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
        assert!(page(&found).contains("The chance for the whole trip is not printed:"));
        assert!(!page(&found).to_lowercase().contains("no chance"), "it would read as a chance of zero");
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
    assert!(page.contains("a [[component]] with its kind and max_v"), "{page}");
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

/// A chronological record of a few days beside the typical year that decides: its name stands once.
#[test]
fn a_typical_year_is_named_once_beside_another_record() {
    let harbour = "tests/plans/golden/weather/mild-harbour.csv\"]\nlatitude_deg = 40.0\nlongitude_deg = -30.0\nelevation_m = 0\n\
                   utc_offset = \"-02:00\"\n[[stop]]\nplace = \"Inland\"\nweather = [\"tests/formats/tmy3/*TYA.CSV.gz";
    let switch = "[[component]]\nkind = \"disconnect\"\nname = \"switch\"\nmax_v = 53\nrated_a = 40\npoles_opened = 2\n";
    let found = planned(switch, harbour);
    assert!(found.summary.contains("at Inland"), "{}", found.summary);
    assert_eq!(found.summary.matches("typical year").count(), 1, "{}", found.summary);
}

/// By hand: 20 V (1 + 0.003 x 55) are 23.3 V at -30 °C, the code sum of so short a record; a panel 3 % above that, in the light of
/// those hours, stays below 24 V, and 10 K more are about 0.6 V and pass it. Winters are all alike, so that seven of them have a
/// level that is what was seen.
#[test]
fn more_years_of_weather_do_what_is_said_of_them() {
    let winters = |last: i32| {
        let cold: Vec<Day> = (2001..last).map(|year| (year, 12, 5)).collect();
        assessed_against(&[Place::north("Few", 2001, last).cold(&cold)], 24)
    };
    let few = winters(2004);
    assert_eq!(counted(volts(&few, 0)), Verdict::Exceeded);
    assert_eq!(volts(&few, 0).decided_by, Some(DecidedBy::Allowance));
    let said = "more years of weather for Few: 5 complete seasons or more would replace the 10 K allowance that decides for switch \
                (the record has 3 complete seasons); by the largest figure seen alone, ";
    let offer = few.changes.iter().find_map(|change| change.strip_prefix(said)).unwrap();
    let more = winters(2008);
    let line = volts(&more, 0);
    assert_eq!(counted(line), Verdict::Close, "{}", line.reason);
    assert!(!more.changes.iter().any(|change| change.contains("more years of weather")));
    let promised = format!("{:.1} V", line.worst.unwrap());
    assert!(offer.starts_with(&promised), "{offer}: {promised}");
    let spare = (line.margin_percent.unwrap() * 10.0).floor() / 10.0;
    assert!(
        offer.contains(&format!(" V, switch would stay {spare:.1} % below 24 V (not a promise).")),
        "{offer}"
    );
}

/// Three cold winters of six: their level lies far above what was seen (24 V hold that, see above), and holds a margin for so few.
#[test]
fn a_level_of_few_seasons_asks_for_more_years() {
    let cold: Vec<Day> = (2001..2007).step_by(2).map(|year| (year, 12, 5)).collect();
    let found = assessed_against(&[Place::north("Few", 2001, 2007).cold(&cold)], 24);
    let line = volts(&found, 0);
    assert_eq!((counted(line), line.decided_by), (Verdict::Exceeded, Some(DecidedBy::Level)));
    let offer =
        found.changes.iter().find(|change| change.starts_with("more years of weather for Few: ")).unwrap();
    assert!(offer.contains("the level that decides for switch rests on 6 complete seasons only"), "{offer}");
    assert!(offer.contains("% below 24 V (not a promise)"), "{offer}");
}

/// Months that clear one stop are offered for it alone where another stop breaks the same limit by its code sum.
#[test]
fn months_of_one_stop_do_not_clear_a_trip() {
    let place = |name: &'static str, code_c: i32| {
        let cold: Vec<Day> = (2001..2008).map(|year| (year, 12, 5)).collect();
        let mut place = Place::north(name, 2001, 2008).cold(&cold);
        place.code_temperature = Some(code_c);
        place
    };
    // 20 V (1 + 0.003 x 25) = 21.5 V at 0 °C hold 22 V; at -40 °C 23.9 V do not.
    let offered = |found: &Assessment| {
        let offers: Vec<String> =
            found.changes.iter().filter(|change| change.contains("stays in")).cloned().collect();
        assert_eq!(offers.len(), 1, "{:?}", found.changes);
        offers[0].clone()
    };
    let alone = offered(&assessed(&[place("Mild", 0), place("Hard", -40)]));
    assert!(
        alone.contains("at Mild stays in") && alone.contains("for this stop alone (Hard still passes it)"),
        "{alone}"
    );
    let both = offered(&assessed(&[place("Mild", 0), place("Second", 0)]));
    assert!(both.contains("at Mild and Second stays in") && !both.contains("alone"), "{both}");
}

/// One word for one thing: a stay is one stop's, a trip all of them, and a winter stands in the record's own count alone.
#[test]
fn stays_trips_and_seasons_keep_their_names() {
    for name in ["data/demo/plan.toml", "data/stories/traveller.toml", "tests/plans/chicago.toml"] {
        let plan = plan::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap();
        let page = page(&assess(&plan, &Choice::default()).unwrap());
        for word in
            ["window", "in one winter", "once in 25 winters", "hours a trip", "sun a trip", "trip's own days"]
        {
            assert!(!page.to_lowercase().contains(word), "{name}: {word}");
        }
        assert!(!page.contains("full clear sky fell"), "{name}");
        let hours = page.find("How often: hours a").unwrap();
        assert!(page[hours..].contains("5-minute steps"), "{name}");
    }
}

/// What a controller does with more than it takes: an mppt one clips, a pwm one cannot (common practice, no source).
#[test]
fn amps_above_a_controllers_own_are_no_fault_of_an_mppt_and_one_of_a_pwm() {
    let text = |kind: &str, most: u32| {
        let battery = "[battery]\nchemistry = \"agm\"\nnominal_v = 12\n[[component]]\nkind = \"controller\"\nname = \"box\"\n";
        let found =
            planned(&format!("{battery}max_v = 100\nmax_charge_a = {most}\ntype = \"{kind}\"\n"), TYPICAL);
        let of_line =
            found.stops[0].arrays[0].information.iter().find(|line| line.component == "box").unwrap();
        (found.arrays[0].needs.remarks.join(" "), of_line.text.clone())
    };
    // Two panels without a working point, taken as 2 x 22.5 x 5.8 x 0.805 W: 17.5 A at 12 V.
    let (need, line) = text("mppt", 10);
    assert!(need.contains("up to 17.6 A") && need.contains("box clips at 10 A ("), "{need}");
    assert!(need.contains(" % of the modelled harvest): a loss, no danger"), "{need}");
    assert!(line.contains("the controller clips: a loss, no danger"), "{line}");
    assert!(text("mppt", 20).0.contains("the planned controller takes it all"));
    // 1.25 x 5.8 A = 7.25 A
    let (need, line) = text("pwm", 7);
    assert!(need.contains("does not clip") && !need.contains("no danger"), "{need}");
    assert!(line.contains("up to 7.3 A") && line.contains("more than it is made for"), "{line}");
    assert!(text("pwm", 10).1.contains("which it is made for"));
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

/// Volts far below every rating, amps that decide: the page says both, no text says a chance of what is out of reach, and nine
/// departures of no chance are one sentence.
#[test]
fn where_amps_decide_the_cold_is_still_answered() {
    let path = Path::new("data/stories/traveller-parallel.toml");
    let found = assess(&plan::load(path).unwrap(), &Choice::default()).unwrap();
    let (text, page) = (page(&found), html(&found));
    assert!(
        found
            .stops
            .iter()
            .flat_map(|stop| &stop.arrays[0].limits)
            .all(|line| { line.unit != "V" || line.out_of_reach.is_some() })
    );
    for told in [&text, &page] {
        assert!(told.contains("out of reach of the cold at every stop, so there are no odds"));
        // The nine departures are one sentence.
        assert_eq!(told.matches("28 days earlier").count(), 1);
        assert!(
            told.contains(
                "No season breaks a rating on any departure up to 28 days earlier or later either."
            )
        );
    }
    assert!(
        page.contains("<dt>The cold</dt>") && page.contains("of its volts old switch has the least room")
    );
    assert!(page.contains("Ratings that the plan does not give were not judged and are not counted here."));
    // Within reach, and passed on no departure: one sentence for nine.
    let text =
        std::fs::read_to_string("data/stories/traveller.toml").unwrap().replace("max_v = 48", "max_v = 53");
    let plan = plan::from_text(text.as_bytes(), Path::new("plan.toml"), Path::new("data/stories")).unwrap();
    let found = assess(&plan, &Choice::default()).unwrap();
    for told in [self::page(&found), html(&found)] {
        assert!(told.contains("on any departure up to 28 days earlier or later"));
        assert!(!told.contains("28 days earlier 0") && !told.contains("28 days earlier <b>"));
    }
    // Where volts decide they are the answer itself.
    let demo = assess(&plan::load(Path::new("data/demo/plan.toml")).unwrap(), &Choice::default()).unwrap();
    let page = html(&demo);
    assert!(!page.contains("<dt>The cold</dt>") && !page.contains("were not judged."));
    assert!(report::csv::limits(&demo).lines().nth(1).unwrap().ends_with(",stay"));
}
