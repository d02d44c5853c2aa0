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
            "at Marrow Saddle the same stay 14 days earlier (53.4 V at most, which is close) or 14 days later (54.0 V at \
             most, which is close) holds"
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
            // Printed as everywhere, to the nearest tenth, and what is close says so.
            assert!((most - volts).abs() <= 0.05, "{arrive}: {most}");
            assert_eq!(line.verdict, Verdict::Close, "{arrive}");
        }
    }
}

/// Of a place that is visited twice it is said which stay is meant: another week for the other one clears nothing.
#[test]
fn of_two_stays_at_a_place_the_right_one_is_named() {
    let twice =
        demo(&[("max_v = 50 ", "max_v = 54 "), ("place = \"Saltreed Bay\"", "place = \"Marrow Saddle\"")]);
    assert!(
        says(&twice, "at Marrow Saddle (12-22 to 01-06) the same stay 14 days earlier"),
        "{:#?}",
        twice.changes
    );
}

/// The same plan: the limit is broken on the pass alone, so leaving it out clears it.
#[test]
fn another_stop_clears_it_and_assess_agrees() {
    let found = demo(&[("max_v = 50 ", "max_v = 54 ")]);
    // 52.6 V are less than 3 % below 54 V: close, by hand.
    assert!(says(
        &found,
        "without Marrow Saddle it would be only close: 52.6 V at most at Cinder Ford and Saltreed Bay"
    ));
    let most = ["Cinder Ford", "Saltreed Bay"]
        .map(|place| disconnect(&found, place))
        .iter()
        .map(|line| {
            assert_ne!(counted(line), Verdict::Exceeded);
            line.worst.unwrap()
        })
        .fold(0.0, f64::max);
    // Printed as everywhere, to the nearest tenth.
    assert!((most - 52.6).abs() <= 0.05, "{most}");
}

/// Where the code sum itself is over, no week helps, and the answer says so.
#[test]
fn no_week_clears_a_code_sum() {
    let found = demo(&[]);
    assert!(says(
        &found,
        "at Cinder Ford and Marrow Saddle other dates do not help: the code sum is a rule for the whole year"
    ));
    // The first lines say the same of the stop that decides alone; without dates, and where nothing breaks, nothing of them.
    let first = |changes: &[(&str, &str)]| demo(changes).other_dates;
    assert_eq!(
        first(&[]).as_deref(),
        Some("other dates do not help: the code sum is a rule for the whole year")
    );
    assert!(first(&[("max_v = 50 ", "max_v = 54 ")]).unwrap().starts_with("the same stay 14 days earlier ("));
    assert_eq!(
        first(&[("max_v = 50 ", "max_v = 75 "), ("max_v = 55", "max_v = 75")]).as_deref(),
        Some("other dates change nothing: the cold there reaches no voltage rating")
    );
    let without_dates: Vec<(&str, &str)> =
        ["arrive = ", "leave = "].into_iter().map(|key| (key, "# ")).collect();
    assert_eq!(first(&without_dates), None);
    // Nor where the weather is in doubt: on the other side of the earth the warmest hour would come at night.
    let elsewhere = [
        ("max_v = 50 ", "max_v = 75 "),
        ("max_v = 55", "max_v = 75"),
        ("longitude_deg = -141.0", "longitude_deg = 39.0"),
    ];
    let doubtful = demo(&elsewhere);
    assert!(!doubtful.doubts.is_empty() && doubtful.other_dates.is_none(), "{:?}", doubtful.other_dates);
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
        // 48.19 V on 48 V: 96.4 % of 50 V are close, 80.3 % of 60 V are not
        (
            "02-van-two-panels-breaker-48.toml",
            "one for at least 48.2 V dc holds; the next common class of 60 V leaves 19 % to spare (50 V would leave 3.6 % only)",
        ),
        ("02-van-two-panels-breaker-48.toml", "1 in series instead of 2"),
        // 34.5 A at 70 C: 6 AWG carries 43.5 A, 8 AWG 31.9 A; behind the plan's 50 A by IEC 60364-4-43 4 AWG, 55.1 A
        ("05-truck-2400w-48v-thin-cable.toml", "roof cable: 25 mm2 or 4 AWG"),
        ("05-truck-2400w-48v-thin-cable.toml", "; 16 mm2 or 6 AWG is enough where none stands in it"),
        // 126.1 V: close on 130 V (2.97 % below, rounded down), 15.9 % below 150 V
        (
            "06-truck-2400w-48v-close.toml",
            "mppt box: holds by 2.9 % only; the next common class of 150 V would leave 15 %",
        ),
        ("08-van-ac-rating-alone.toml", "household switch: no dc rating"),
        // 16.09 A are more than the label's 15 A: no larger fuse may be named
        (
            "10-boat-no-fuse-fits.toml",
            "string fuse: 16.1 A are asked for and it has 15 A: none fits below the label's 15 A",
        ),
        (
            "27-van-ratings-between-isc-and-factor.toml",
            "holds; the next common class is 20 A; at most the label's largest series fuse: give max_series_fuse_a; today it is \
             12 A",
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

/// Rounded up at the printed digit: 22.47 x 2 x 1.135 = 51.0069 V ask for 51.1 V, and 1.25 x 5.81 = 7.2625 A for 7.3 A.
#[test]
fn what_is_required_is_rounded_up() {
    let text = "[[module]]\nid = 'p'\nvoc_v = 22.47\nisc_a = 5.81\nvoc_temp_coeff = '-0.30 %/K'\n\
                [[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n\
                [[component]]\nkind = 'controller'\nname = 'box'\nmax_v = 50\nmax_isc_a = 6\n\
                [assumptions]\ncode_temperature = -20\n";
    let plan = plan::read(text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap();
    let found = assess(&plan, &Choice::default()).unwrap();
    assert!(says(&found, "one for at least 51.1 V dc holds"), "{:#?}", found.changes);
    assert!(says(&found, "one rated for at least 7.3 A"), "{:#?}", found.changes);
    // the number itself keeps its digits
    let needed = found.arrays[0].needs.controller_v.unwrap();
    assert!((needed - 51.0069).abs() < 1e-9, "{needed}");
}

/// One string of 10.3 A behind a breaker of 12 A, its label allowing 15 A: 1.5625 x 10.3 = 16.1 A, so 20 A would be sold, and no
/// breaker may be that large in the string. Three strings of 5.8 A behind 20 A: 27.2 A ask for 30 A (32 A in the IEC's series), on a cable of 10 AWG that
/// may stand behind 30 A at most (NEC 240.4(D)), though it carries 40 x 0.71 = 28.4 A at 60 °C: 30 A is the next standard size (240.4(B)).
#[test]
fn a_breaker_is_offered_with_label_and_cable() {
    let found = |isc_a: f64, label_a: f64, in_parallel: u32, breaker_a: f64| {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = {isc_a}\nmax_series_fuse_a = {label_a}\n\
             [[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {in_parallel}\nmount = 'roof'\n\
             [[component]]\nkind = 'breaker'\nname = 'breaker'\nmax_v = 150\nrated_a = {breaker_a}\n\
             [[component]]\nkind = 'cable'\nname = 'trunk'\nawg = 10\ninsulation_c = 90\nambient_c = 60\nmax_v = 600\n\
             [assumptions]\ncode_temperature = -10\n"
        );
        let plan =
            plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap();
        assess(&plan, &Choice::default()).unwrap()
    };
    let single = found(10.3, 15.0, 1, 12.0);
    assert!(
        says(
            &single,
            "none fits below the label's 15 A, the panel's largest series fuse; one string needs no protection"
        ),
        "{:#?}",
        single.changes
    );
    assert!(!says(&single, "20 A"), "{:#?}", single.changes);
    let three = found(5.8, 15.0, 3, 20.0);
    assert!(
        says(
            &three,
            "the next common class is 30 A (NEC 240.6(A)) or 32 A (IEC 60059), 30 A may protect trunk by NEC 240.4(B), the next standard size above 28.4 A; IEC 60364-4-43 asks for a device of at most 28.4 A"
        ),
        "{:#?}",
        three.changes
    );
}

/// A cable on the hot roof and one inside, both of 12 AWG, behind four strings of 5.8 A: 29.0 A derated, 36.25 A at 30 °C. At 75 °C
/// 6 AWG carries 37.5 A; at 40 °C 10 AWG carries 36.4 A and 40 A at 30 °C; by hand from Table 310.16 and its correction.
#[test]
fn each_cable_is_offered_the_size_for_its_own_air() {
    let text = "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 5.8\n\
                [[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 4\nmount = 'roof'\n\
                [[component]]\nkind = 'cable'\nname = 'inside'\nawg = 12\ninsulation_c = 90\nambient_c = 40\nmax_v = 600\n\
                [[component]]\nkind = 'cable'\nname = 'on the roof'\nawg = 12\ninsulation_c = 90\nambient_c = 75\nmax_v = 600\n\
                [[component]]\nkind = 'cable'\nname = 'of a string'\ncarries = 'string'\nawg = 18\ninsulation_c = 90\n\
                ambient_c = 80\nmax_v = 600\n\
                [assumptions]\ncode_temperature = -10\n";
    let plan = plan::read(text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap();
    let found = assess(&plan, &Choice::default()).unwrap();
    assert!(
        says(&found, "inside: 10 mm2 or 8 AWG (90 °C insulation in air of 40 °C"),
        "{:#?}",
        found.changes
    );
    assert!(
        says(&found, "on the roof: 25 mm2 or 4 AWG (90 °C insulation in air of 75 °C"),
        "{:#?}",
        found.changes
    );
    // one string: 7.25 A at 80 °C (x 0.41): 18 AWG has 5.7 A, 14 AWG 10.25 A
    assert!(
        says(&found, "of a string: 2.5 mm2 or 14 AWG (90 °C insulation in air of 80 °C"),
        "{:#?}",
        found.changes
    );
}

/// Nothing is passed over in silence: a rating that the plan does not give is asked for, with what it must be at least.
#[test]
fn what_was_not_judged_is_asked_for() {
    let text = "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 5.8\nvoc_temp_coeff = '-0.30 %/K'\n\
                [[string]]\nmodules = 'p'\nin_series = 1\nmount = 'roof'\n\
                [[component]]\nkind = 'disconnect'\nname = 'switch'\nmax_v = 60\n\
                [[component]]\nkind = 'controller'\nname = 'box'\nmax_v = 60\n\
                [assumptions]\ncode_temperature = -15\n";
    let plan = plan::read(text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap();
    let found = assess(&plan, &Choice::default()).unwrap();
    // 1.5625 x 5.8 = 9.06 A, 1.25 x 5.8 = 7.25 A
    assert!(
        says(
            &found,
            "not judged for want of a figure: switch (give rated_a: 9.1 A are needed); box (give max_isc_a: 7.3 A are needed)"
        ),
        "{:#?}",
        found.changes
    );
    assert!(says(&found, "switch: not assessed: the plan does not say how many conductors it opens at once"));
}

/// What a remark asks for is a change, so that nobody reads "nothing" beside it: 25 A in the only string protect no panel whose
/// label allows a series fuse of 15 A (label, IEC 61730), and one string needs no protection (NEC 690.9(A)).
#[test]
fn what_a_remark_asks_for_is_a_change() {
    let with = |amps: &str| {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = 5.8\nvoc_temp_coeff = '-0.30 %/K'\nmax_series_fuse_a = 15\n\
             [[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n\
             [[component]]\nkind = 'disconnect'\nname = 'switch'\nmax_v = 100\nrated_a = {amps}\npoles_opened = 2\n\
             [assumptions]\ncode_temperature = -15\n"
        );
        let find = |_: &str| Ok(Vec::new());
        let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &find).unwrap();
        assess(&plan, &Choice::default()).unwrap()
    };
    let large = with("25");
    assert_eq!(large.verdict, Verdict::Within);
    let asked =
        "it may stay as a switch alone, which is no fault: one string needs no protection (NEC 690.9(A)).";
    assert!(says(&large, "at 25 A it protects no panel") && says(&large, asked), "{:#?}", large.changes);
    assert!(with("12").changes.is_empty());
    let remarks = &large.arrays[0].needs.remarks;
    assert!(remarks.iter().any(|remark| remark.contains("none needed: one string")), "{remarks:?}");
}

/// Four panels of 10.3 A one by one: the others feed 3 x 1.25 x 10.3 = 38.6 A into each, more than a label of 15 A, and the 16.1 A
/// that 1.5625 x 10.3 A ask for lie above it too: no fuse makes that offer good. A label of 20 A takes one. By hand (NEC 690.9).
#[test]
fn an_offer_that_no_fuse_makes_good_says_so() {
    let with = |label_a: &str| {
        demo(&[
            ("isc_a = 6.15", "isc_a = 10.3"),
            ("imp_a = 5.79", "imp_a = 9.7"),
            ("max_series_fuse_a = 15", label_a),
        ])
    };
    assert!(says(&with("max_series_fuse_a = 15"), "needs a fuse, of which none fits below the label's 15 A"));
    let roomy = with("max_series_fuse_a = 20");
    assert!(
        says(&roomy, "4 fuses, one in each string (20 A)")
            && !says(&roomy, "none fits below the label's 20 A")
    );
}

/// A device without dc volts holds in no arrangement (NEC 690.13, IEC 60947-3: rated for direct current), however few volts there are:
/// one with ac volts alone is to be exchanged, one of which the plan says nothing is to be looked at.
#[test]
fn a_device_without_dc_volts_stays_in_no_arrangement() {
    let of = |volts: &str| {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 24\nisc_a = 5\nvoc_temp_coeff = '-0.30 %/K'\n\
             [[string]]\nmodules = 'p'\nin_series = 4\nmount = 'roof'\n\
             [[component]]\nkind = 'disconnect'\nname = 'house switch'\nrated_a = 40\npoles_opened = 2\n{volts}\n\
             [[component]]\nkind = 'controller'\nname = 'box'\nmax_v = 100\nmax_isc_a = 30\n\
             [assumptions]\ncode_temperature = -10\n"
        );
        let find = |_: &str| Ok(Vec::new());
        let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &find).unwrap();
        let found = assess(&plan, &Choice::default()).unwrap();
        found.changes.into_iter().find(|change| change.contains("in series instead of 4")).unwrap()
    };
    let by_ac = of("max_v_ac = 250");
    assert!(by_ac.contains("to buy house switch (one with printed dc volts)"), "{by_ac}");
    let silent = of("");
    assert!(silent.contains("house switch may stay only if made for these dc volts: look first"), "{silent}");
    for text in [by_ac, silent] {
        assert!(text.contains("box may stay") && !text.contains("house switch may stay;"), "{text}");
        assert!(!text.contains("house switch and box may stay"), "{text}");
    }
}
