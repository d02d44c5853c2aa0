//! What to change: each change is made, and the assessment asked again. Weather and vehicle invented.
#![expect(clippy::unwrap_used)]

use dawnvolt::limits::Verdict;
use dawnvolt::plan::{self, Plan};
use dawnvolt::study::results::{Assessment, LimitLine};
use dawnvolt::study::{Choice, assess, counted};
use std::path::{Path, PathBuf};

fn demo(change: &[(&str, &str)]) -> Assessment {
    let mut text = std::fs::read_to_string("data/demo/plan.toml").unwrap();
    for (from, to) in change {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    let base = Path::new("data/demo");
    let plan: Plan =
        plan::read(&text, &base.join("plan.toml"), base, &|name| Ok(vec![base.join(name)])).unwrap();
    assess(&plan, &Choice::default()).unwrap()
}

fn disconnect<'a>(found: &'a Assessment, place: &str) -> &'a LimitLine {
    let stop = found.stops.iter().find(|stop| stop.place == place).unwrap();
    stop.arrays[0].limits.iter().find(|line| line.kind == "disconnect" && line.unit == "V").unwrap()
}

fn says(found: &Assessment, words: &str) -> bool {
    found.changes.iter().any(|change| change.contains(words))
}

/// A disconnect of 54 V: the code sum holds everywhere, the weather of the planned fortnight on the pass does not.
#[test]
fn another_week_clears_it_and_assess_agrees() {
    let rated = ("max_v = 50 ", "max_v = 54 ");
    let planned = demo(&[rated]);
    let line = disconnect(&planned, "Marrow Saddle");
    assert_eq!(line.verdict, Verdict::Exceeded);
    assert_ne!(line.code_verdict, Some(Verdict::Exceeded));
    assert!(
        says(
            &planned,
            "at Marrow Saddle the same stay 14 days earlier (53.4 V) or 14 days later (54.0 V) holds"
        ),
        "{:#?}",
        planned.changes
    );
    // 12-22 to 01-06, moved by days: a week is too little either way, two weeks are enough, to the tenth of a volt.
    for (arrive, leave, holds, volts) in [
        ("12-15", "12-30", false, None),
        ("12-08", "12-23", true, Some(53.4)),
        ("12-29", "01-13", false, None),
        ("01-05", "01-20", true, Some(54.0)),
    ] {
        let moved = demo(&[
            rated,
            ("arrive = \"12-22\"\nleave = \"01-06\"", &format!("arrive = \"{arrive}\"\nleave = \"{leave}\"")),
        ]);
        let line = disconnect(&moved, "Marrow Saddle");
        assert_eq!(line.verdict != Verdict::Exceeded, holds, "{arrive}: {}", line.reason);
        if let Some(volts) = volts {
            let four = &moved.stops[1].arrays[0].voltage_v;
            let most = four.worst_case.max.unwrap().max(four.worst_case.predictive_level.unwrap());
            assert!((most - volts).abs() <= 0.0501, "{arrive}: {most}");
        }
    }
}

/// The same plan: the limit is broken on the pass alone, so leaving it out clears it.
#[test]
fn another_stop_clears_it_and_assess_agrees() {
    let found = demo(&[("max_v = 50 ", "max_v = 54 ")]);
    assert!(says(&found, "without Marrow Saddle it holds: 52.6 V at most at Cinder Ford and Saltreed Bay"));
    let most = ["Cinder Ford", "Saltreed Bay"]
        .map(|place| disconnect(&found, place))
        .iter()
        .map(|line| {
            assert_ne!(counted(line), Verdict::Exceeded);
            line.worst.unwrap()
        })
        .fold(0.0, f64::max);
    assert!((most - 52.6).abs() <= 0.0501, "{most}");
}

/// Where the code sum itself is over, no week helps, and the answer says so.
#[test]
fn no_week_clears_a_code_sum() {
    let found = demo(&[]);
    assert!(says(&found, "at Marrow Saddle no other week clears it: the code sum rests on whole years"));
}

/// An invented place: ten days, two panels of 22.5 V in series. A rating between the largest sudden sun and the largest worst
/// case was never passed in sudden sun: its dates are the worst case's alone.
#[test]
fn dates_of_the_worst_case_are_not_those_of_sudden_sun() {
    let with = |rating: f64| {
        let text = std::fs::read_to_string("tests/plans/golden/28-van-cold-basin-short-record.toml").unwrap();
        let text = text.replace("max_v = 60", &format!("max_v = {rating}"));
        let find = |_: &str| Ok(vec![PathBuf::from("tests/plans/golden/weather/cold-basin.csv")]);
        let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &find).unwrap();
        assess(&plan, &Choice::default()).unwrap()
    };
    let place = "Cold Basin (invented)";
    let four = with(60.0).stops[0].arrays[0].voltage_v.clone();
    let (sudden, worst) = (four.sudden_sun.max.unwrap(), four.worst_case.max.unwrap());
    assert!(sudden < worst);
    let between = with((sudden + worst) / 2.0);
    let line = disconnect(&between, place);
    assert_eq!((line.first_broken, line.last_broken), (None, None));
    assert!(
        line.worst_case_first_broken.is_some() && line.worst_case_last_broken >= line.worst_case_first_broken
    );
    assert_eq!(between.stops[0].arrays[0].limits[0].longest_run_h, None);
    let below = with(sudden - 0.01);
    let line = disconnect(&below, place);
    assert!(line.first_broken.is_some() && line.worst_case_first_broken <= line.first_broken);
}

/// Largest charge and operating volts of a controller: information, in every report, never a limit.
#[test]
fn what_a_controller_clips_and_where_it_waits_is_information() {
    let found = demo(&[("max_charge_a = 20", "max_charge_a = 20\nmax_operating_v = 52")]);
    let information = &found.stops[1].arrays[0].information;
    let text = |what: &str| &information.iter().find(|line| line.what == what).unwrap().text;
    // 20 A x 14.2 V = 284 W; four panels of 19.0 V x 5.79 A = 440.04 W
    assert!(text("largest charge current").contains("20 A at 14.2 V take 284 W, and the labels give 440 W"));
    assert!(text("waiting band").contains("above 52 V up to its absolute 55 V it waits"));
    assert!(!found.stops[1].arrays[0].limits.iter().any(|line| line.rating == Some(52.0)));
}

/// A code temperature that the plan types and the record contradicts: the demo's pass has a mean annual low of -24.9 C.
#[test]
fn a_mild_code_temperature_is_remarked_on() {
    let notes = |typed: &str| {
        let found =
            demo(&[("elevation_m = 2310", &format!("code_temperature = {typed}\nelevation_m = 2310"))]);
        let notes = found.stops[1].notes.iter().map(|note| note.text.clone()).collect::<Vec<_>>();
        notes.join("\n")
    };
    assert!(notes("-8").contains("16.9 K milder than the mean annual low of this record"));
    assert!(!notes("-24").contains("milder than the mean annual low"));
    assert!(notes("-50").contains("colder than anything in this record"));
}

fn golden(name: &str) -> Assessment {
    let plan = plan::load(&Path::new("tests/plans/golden").join(name)).unwrap();
    assess(&plan, &Choice::default()).unwrap()
}

/// Without a stop too, by the code sum; amps by their class, a cable by its size, a string fuse by the label, and what is
/// only close by the class that leaves room. Figures as in the plans' own lines.
#[test]
fn every_kind_of_limit_has_its_own_way_out() {
    for (name, words) in [
        // 48.19 V on 48 V
        (
            "02-van-two-panels-breaker-48.toml",
            "one for at least 48.2 V dc holds; the next common class of 50 V",
        ),
        ("02-van-two-panels-breaker-48.toml", "1 in series instead of 2"),
        // 34.5 A at 70 C: 6 AWG carries 43.5 A, 8 AWG 31.9 A
        ("05-truck-2400w-48v-thin-cable.toml", "roof cable: 16 mm2 or 6 AWG"),
        // 126.1 V: close on 130 V, 16 % below 150 V
        (
            "06-truck-2400w-48v-close.toml",
            "mppt box: holds by 3.0 % only; the next common class of 150 V would leave 16 %",
        ),
        ("08-van-ac-rating-alone.toml", "household switch: no dc rating"),
        // 16.09 A are more than the label's 15 A: no larger fuse may be named
        (
            "10-boat-no-fuse-fits.toml",
            "string fuse: 16.1 A are asked for and it has 15 A: none fits below the label's 15 A",
        ),
        (
            "27-van-ratings-between-isc-and-factor.toml",
            "holds; the next common class is 20 A; today it is 12 A",
        ),
        ("25-van-four-parallel-wrong-fuse.toml", "string fuse: a fuse of 30 A lets more through"),
        ("25-van-four-parallel-wrong-fuse.toml", "10 A would fit"),
        ("27-van-ratings-between-isc-and-factor.toml", "small breaker: one rated for at least 16.1 A"),
    ] {
        let found = golden(name);
        assert!(says(&found, words), "{name}: {words}\n{:#?}", found.changes);
    }
    assert!(golden("04-van-2s2p-24v-sound.toml").changes.is_empty());
    assert!(!says(&golden("10-boat-no-fuse-fits.toml"), "20 A"));
    // the fuse of 30 A is too large: no larger one is named
    assert!(!says(&golden("25-van-four-parallel-wrong-fuse.toml"), "rated for at least"));
}
