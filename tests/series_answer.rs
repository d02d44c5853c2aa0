//! What `series` says first: which controller, how much room, what larger parts would allow, what frost does. Figures worked by
//! hand from the labels; names and weather invented.
#![expect(clippy::unwrap_used)]

use dawnvolt::limits::Verdict;
use dawnvolt::plan;
use dawnvolt::plan::Plan;
use dawnvolt::report::text::TextOptions;
use dawnvolt::study::series::{Arrangement, SeriesAsk, SeriesOption, SeriesResult, series};
use dawnvolt::study::{Choice, assess};
use std::path::{Path, PathBuf};

/// Six panels of 22.5 V, 5.8 A, -0.30 %/K at -20 C: 25.5375 V each; 1.25 x 5.8 A = 7.25 A a string.
fn plan_of(parts: &str) -> Plan {
    let text = format!(
        "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\nvoc_temp_coeff = '-0.30 %/K'\n\
         [[string]]\nmodules = 'p'\nin_series = 3\nin_parallel = 2\nmount = 'roof'\n{parts}\n\
         [assumptions]\ncode_temperature = -20\n"
    );
    plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap()
}

fn asked(plan: &Plan, controller_v: &[f64]) -> SeriesResult {
    let ask = SeriesAsk { controller_v: controller_v.to_vec(), ..SeriesAsk::default() };
    series(plan, &Choice::default(), &ask).unwrap()
}

fn shown(found: &SeriesResult) -> String {
    let text = dawnvolt::report::text::series(found, &TextOptions { width: 100, ..TextOptions::default() });
    text.replace('\u{a0}', " ")
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn controller(name: &str, max_v: f64, more: &str) -> String {
    format!("[[component]]\nkind = 'controller'\nname = '{name}'\nmax_v = {max_v}\n{more}\n")
}

fn options<'a>(found: &'a SeriesResult, in_series: usize, in_parallel: usize) -> Vec<&'a SeriesOption> {
    let same = |option: &&'a SeriesOption| (option.in_series, option.in_parallel) == (in_series, in_parallel);
    found.options.iter().filter(same).collect()
}

fn layout(found: Option<&Arrangement>) -> Option<(usize, usize, Option<&str>)> {
    found.map(|one| (one.in_series, one.in_parallel, one.controller.as_deref()))
}

/// Two controllers to choose from: 100 V and 20 A, 60 V and 30 A. 2S3P has 51.1 V and asks for 21.75 A: too much for the first, within
/// the second. 3S2P has 76.6 V and 14.5 A: too much for the second, within the first. 1S6P asks for 43.5 A: neither. By hand.
#[test]
fn controllers_of_one_array_are_alternatives() {
    let parts =
        [controller("Big", 100.0, "max_isc_a = 20"), controller("Low", 60.0, "max_isc_a = 30")].concat();
    let plan = plan_of(&parts);
    let found = asked(&plan, &[]);
    for (in_series, in_parallel, name, expected) in [
        (1, 6, "Big", Verdict::Exceeded),
        (1, 6, "Low", Verdict::Exceeded),
        (2, 3, "Big", Verdict::Exceeded),
        (2, 3, "Low", Verdict::Within),
        (3, 2, "Big", Verdict::Within),
        (3, 2, "Low", Verdict::Exceeded),
    ] {
        let on = options(&found, in_series, in_parallel);
        let one = on.iter().find(|option| option.controller.as_deref() == Some(name)).unwrap();
        assert_eq!(one.verdict, expected, "{in_series}S{in_parallel}P on {name}");
        // nothing of the other one is held against it
        assert!(one.limits.iter().all(|line| line.component == name), "{:?}", one.limits);
    }
    assert_eq!(layout(found.recommended.as_ref()), Some((2, 3, Some("Low"))));
    assert_eq!(layout(found.runner_up.as_ref()), Some((3, 2, Some("Big"))));
    let best = found.recommended.as_ref().unwrap();
    assert_eq!(best.controller_v, Some(60.0));
    assert!(best.why.contains("of those that hold (30 to 60 V, not 60 to 120 V)"), "{}", best.why);
    let text = flat(&shown(&found));
    assert!(text.contains("2 in series, 3 in parallel, controller Low (60 V, 30 A)"), "{text}");
    assert!(text.contains("Runner-up: 3 in series, 2 in parallel, controller Big (100 V, 20 A)"), "{text}");
    // Asked for by their volts, in any order, they come with their own amps and names.
    let same = asked(&plan, &[60.0, 100.0]);
    assert_eq!(layout(same.recommended.as_ref()), Some((2, 3, Some("Low"))));
    assert!(same.notes.iter().all(|note| !note.text.starts_with("controller of")), "{:?}", same.notes);
    // `assess` judges both as fitted, and says so once.
    let both = assess(&plan, &Choice::default()).unwrap();
    let lines = &both.arrays[0].code_alone.as_ref().unwrap().limits;
    assert!(["Big", "Low"].iter().all(|name| lines.iter().any(|line| line.component == *name)));
    let judged = flat(&dawnvolt::report::text::assess(&both, &TextOptions::default()));
    assert_eq!(judged.matches("each is judged as fitted").count(), 1, "{judged}");
}

/// Eight panels of 37.6 V, 11.2 A, -0.28 %/K at -20 C: 42.34 V each. On 100 V, 60 A or 150 V, 70 A, with leads of 4 mm2 and a trunk of
/// 10 mm2 (8 AWG, 55 A at 30 C) in air of 65 and 50 C.
fn eight(trunk_mm2: u32, insulation_c: u32) -> SeriesResult {
    let cable = |carries: &str, mm2: u32, air_c: u32| {
        format!(
            "[[component]]\nkind = 'cable'\nname = '{carries} cable'\ncarries = '{carries}'\nmm2 = {mm2}\n\
             insulation_c = {insulation_c}\nambient_c = {air_c}\n"
        )
    };
    let text = format!(
        "[[module]]\nid = 'p'\nvoc_v = 37.6\nisc_a = 11.2\nvmp_v = 31.4\nimp_a = 10.5\nvoc_temp_coeff = '-0.28 %/K'\n\
         max_series_fuse_a = 20\n[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\nmount = 'gap'\n{}{}{}{}\
         [assumptions]\ncode_temperature = -20\n",
        controller("100/50", 100.0, "max_isc_a = 60"),
        controller("150/60", 150.0, "max_isc_a = 70"),
        cable("string", 4, 65),
        cable("array", trunk_mm2, 50)
    );
    asked(&plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap(), &[])
}

/// Four strings ask the trunk for 1.5625 x 44.8 A = 70.0 A, more than the 55 A of 10 mm2 and within the 75 A of 16 mm2 (6 AWG, NEC Table
/// 310.16), which in air of 50 C carries 75 x 0.82 = 61.5 A of the 56.0 A that are asked for there. A controller of 250 V (4S2P: 169.4 V)
/// would do too: the cable goes first. Bought, it is the recommendation. By hand.
#[test]
fn a_thicker_cable_is_exchanged_before_a_controller() {
    let found = eight(10, 90);
    assert_eq!(layout(found.recommended.as_ref()), Some((2, 3, Some("100/50"))));
    let exchange = found.exchange.as_ref().unwrap();
    assert_eq!(exchange.with, "array cable of at least 70.0 A (16 mm2 or 6 AWG) instead of 55 A");
    assert_eq!(layout(Some(&exchange.arrangement)), Some((2, 4, Some("100/50"))));
    let text = flat(&shown(&found));
    let (first, rest) = text.split_once("Without exchanging any part (string fuses are to buy)").unwrap();
    let all = "Recommended by volts and amps alone, harvest not judged, for all eight panels, with one part and string fuses to buy: \
               2 in series, 4 in parallel";
    assert!(first.contains(all), "{text}");
    let buy = "To buy: array cable of at least 70.0 A (16 mm2 or 6 AWG) instead of 55 A";
    assert!(first.contains(buy) && rest.starts_with(": 2 in series, 3 in parallel"), "{text}");
    assert!(!text.contains("250 V"), "{text}");
    let bought = eight(16, 90);
    assert_eq!(layout(bought.recommended.as_ref()), Some((2, 4, Some("100/50"))));
    assert!(bought.exchange.is_none());
}

/// 2S3P has 84.7 V: 43 % below 150 V (65.3 / 150, rounded down). A row that passes 100 V says by how much: three in series have
/// 127.0 V. By hand.
#[test]
fn the_same_wiring_on_the_other_controller_is_told() {
    let text = flat(&shown(&eight(10, 90)));
    let also = "Controller 150/60 carries it too, with 43 % to spare in volts; 100/50 comes first because a smaller controller \
                class is enough.";
    assert!(text.contains(also), "{text}");
    assert!(text.contains("127.0 on 100 V"), "{text}");
}

/// A controller of other volts never bears the name of the plan's: 3S2P has 76.6 V, which 52 V do not stand.
#[test]
fn another_controller_has_no_name_of_the_plan() {
    let trunk = "[[component]]\nkind = 'connector'\nname = 'trunk'\nrated_a = 17\nmax_v = 1000\n";
    let found = asked(&plan_of(&format!("{trunk}{}", controller("Low", 52.0, "max_isc_a = 30"))), &[]);
    let exchange = found.exchange.as_ref().unwrap();
    // 2S3P asks the trunk for 21.75 A of its 17: a plug is exchanged before a controller.
    assert_eq!(exchange.with, "trunk of 22 A instead of 17 A");
    let needs = found.options.iter().find(|option| (option.in_series, option.in_parallel) == (3, 2));
    assert!(needs.is_some());
    let wide =
        asked(&plan_of(&format!("{}{}", trunk.replace("17", "7.5"), controller("Low", 20.0, ""))), &[]);
    let text = flat(&shown(&wide));
    assert!(text.contains("another controller of ") && text.contains(" in place of Low"), "{text}");
    assert!(!text.contains("Low of "), "{text}");
}

/// Insulation of 60 C carries nothing in air of 65 C (NEC Table 310.15(B)(1) ends there): said, with the one that does, and never as
/// amps on 0 A.
#[test]
fn insulation_that_carries_nothing_is_said_to() {
    let found = eight(10, 60);
    assert!(found.recommended.is_none());
    let needs = found.runner_up.as_ref().unwrap().would_need.as_ref().unwrap();
    let nothing = "string cable: 60 °C insulation carries nothing in air of 65 °C: take 90 °C insulation (";
    assert!(needs.contains(nothing), "{needs}");
    let with = &found.exchange.as_ref().unwrap().with;
    assert!(
        with.starts_with("string cable of 90 °C insulation (6 mm2 or 10 AWG) instead of 60 °C"),
        "{with}"
    );
    let above = shown(&found).split("Arrangements").next().unwrap().to_owned();
    assert!(!flat(&above).contains("0 A."), "{above}");
}

/// Two controllers of one class and unlike amps, 20 and 30 A: 2S3P asks for 21.75 A. By hand.
#[test]
fn controllers_of_one_class_are_told_apart_by_their_amps() {
    let parts =
        [controller("Small", 60.0, "max_isc_a = 20"), controller("Large", 60.0, "max_isc_a = 30")].concat();
    let found = asked(&plan_of(&parts), &[60.0]);
    assert_eq!(layout(found.recommended.as_ref()), Some((2, 3, Some("Large"))));
    let text = shown(&found);
    let rows: Vec<_> = text.lines().map(str::trim_start).filter(|line| line.contains(" 2S3P ")).collect();
    assert!(rows.iter().any(|row| row.starts_with("exceeded") && row.contains(" 60/20A ")), "{text}");
    assert!(rows.iter().any(|row| row.starts_with("within") && row.contains(" 60/30A ")), "{text}");
}

/// A class that no controller of the plan has. Beside several, and beside none, its amps are not judged: 2S3P asks for 21.75 A, which
/// 20 A would not stand. Beside an only one its amps are kept, and named. By hand.
#[test]
fn a_class_without_a_controller_says_what_its_amps_are() {
    let several =
        [controller("Big", 100.0, "max_isc_a = 20"), controller("Huge", 150.0, "max_isc_a = 20")].concat();
    for parts in [several.as_str(), ""] {
        let found = asked(&plan_of(parts), &[60.0]);
        let best = found.recommended.as_ref().unwrap();
        assert_eq!((best.controller_v, best.controller.as_deref()), (Some(60.0), None));
        assert!(options(&found, 2, 3)[0].limits.iter().all(|line| line.unit == "V"), "{found:?}");
        assert!(best.why.contains("A (1.25 x Isc), not judged without max_isc_a"), "{}", best.why);
        let told = found.notes.iter().filter(|note| note.text.contains("amps are not judged"));
        assert_eq!(told.count(), 1, "{:?}", found.notes);
    }
    let found = asked(&plan_of(&controller("Big", 100.0, "max_isc_a = 20")), &[60.0]);
    assert_eq!(options(&found, 2, 3)[0].verdict, Verdict::Exceeded);
    let told = found.notes.iter().filter(|note| {
        note.text.starts_with("controller of 60 V: held against the amps of Big (20 A of short circuit)")
    });
    assert_eq!(told.count(), 1, "{:?}", found.notes);
}

/// 2S3P on 52 V alone (the trunk keeps the others out): 51.075 V leave 1.7 % of 52 V, so it is close; 60 V, the next common class,
/// leave 14 %. On 60 V it is within, 14 % to spare. By hand; the bands are the contract's.
#[test]
fn close_is_said_with_the_recommendation_and_the_class_that_leaves_room() {
    let trunk = "[[component]]\nkind = 'connector'\nname = 'trunk'\nrated_a = 30\nmax_v = 1000\n";
    let found = asked(&plan_of(&format!("{trunk}{}", controller("Low", 52.0, ""))), &[]);
    assert_eq!(layout(found.recommended.as_ref()), Some((2, 3, Some("Low"))));
    let text = flat(&shown(&found));
    assert!(text.contains(", but close: 2 in series, 3 in parallel"), "{text}");
    assert!(
        text.contains("close: Low (51.1 V leave 1.7 %; the next common class of 60 V would leave 14 %)"),
        "{text}"
    );
    let room = "51.1 V at most: the smallest common class of devices that holds with room is 60 V (14 % to \
                spare).";
    assert!(text.contains(room), "{text}");
    let roomy = asked(&plan_of(&format!("{trunk}{}", controller("Low", 60.0, ""))), &[]);
    assert!(!flat(&shown(&roomy)).contains("but close"));
}

/// The table says what the tightest rating in volts leaves: 2S3P has 51.075 V, 14.8 % below 60 V (rounded down), and lacks 2.2 % of
/// 50 V (1.075 / 50 = 2.15 %, rounded down); where a row stands for several classes, on the smallest. Each is named. By hand.
#[test]
fn each_class_stands_plainly_with_the_room_on_the_smallest() {
    let found = asked(&plan_of(""), &[50.0, 60.0, 75.0, 100.0]);
    let text = shown(&found);
    let rows: Vec<_> = text.lines().map(str::trim_start).filter(|line| line.contains(" 2S3P ")).collect();
    assert!(rows.iter().any(|row| row.starts_with("exceeded") && row.contains(" -2.2 ")), "{text}");
    let within = rows.iter().find(|row| row.starts_with("within")).unwrap();
    assert!(within.contains(" 60, 75, 100 ") && within.contains(" 14.8 "), "{text}");
}

fn demo() -> SeriesResult {
    demo_with(&[])
}

fn demo_with(change: &[(&str, &str)]) -> SeriesResult {
    let base = Path::new("data/demo");
    let mut text = std::fs::read_to_string(base.join("plan.toml")).unwrap();
    for (from, to) in change {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    let plan = plan::read(&text, &base.join("plan.toml"), base, &|name| Ok(vec![base.join(name)])).unwrap();
    series(&plan, &Choice::default(), &SeriesAsk::default()).unwrap()
}

/// The demo with a disconnect of 55 V: two in series have 54.1 V, close to the 55 V of both devices, and some 3 % more (cloud edge, slope,
/// soaked module, as `assess` says them) pass both and not 60 V. By hand: 54.1 x 1.03 = 55.7 V.
#[test]
fn what_lies_outside_is_held_against_close_ratings_and_the_class() {
    let text = flat(&shown(&demo_with(&[("max_v = 50 ", "max_v = 55 ")])));
    assert!(text.contains("Recommended, but close: 2 in series, 2 in parallel"), "{text}");
    let passed =
        ", which passes the 55 V of roof disconnect and the 55 V of charge controller, still below 60 V.";
    assert!(text.contains(passed), "{text}");
}

/// The demo's two ways stand one after the other, each once: all four panels with a disconnect of 60 V, two of them as its parts are.
/// Then the class to buy by, with what lies outside (the three parts of `assess`, some 1 % each of 27.0 V). Its own expectation, no
/// source.
#[test]
fn both_ways_of_the_demo_stand_in_the_first_sentences() {
    let text = shown(&demo());
    let above = flat(text.split("\nArrangements\n").next().unwrap());
    let (first, rest) = above.split_once(" Without buying anything: ").unwrap();
    assert!(rest.starts_with("1 in series, 2 in parallel"), "{above}");
    let all = "Recommended, for all four panels, with one part to buy: 2 in series, 2 in parallel, 12 V battery, charge controller \
               (55 V, 20 A): ";
    assert!(
        first.contains(all) && first.contains("To buy: roof disconnect of 60 V instead of 50 V"),
        "{above}"
    );
    for once in ["Runner-up", "panels over", "60 V instead of 50 V", "Outside these figures lie"] {
        assert!(above.matches(once).count() <= 1, "{once}: {above}");
    }
    assert!(!above.contains("Runner-up"), "the same arrangement was told: {above}");
    assert!(
        rest.contains("27.0 V at most: the smallest common class")
            && rest.contains("room is 48 V")
            && rest.contains("still below 48 V"),
        "{above}"
    );
    assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
    assert!(text.lines().count() <= 60, "{}", text.lines().count());
}

/// The demo's battery is lithium iron phosphate and its stays are cold: the hours of sun below 0 C are told, and are those that
/// `assess` counts. An agm battery (charged in frost too, by its makers; common practice, no source) has none.
#[test]
fn frost_is_said_to_be_in_no_share_lost() {
    let found = demo();
    let base = Path::new("data/demo");
    let text = std::fs::read_to_string(base.join("plan.toml")).unwrap();
    let read = |text: &str| {
        plan::read(text, &base.join("plan.toml"), base, &|name| Ok(vec![base.join(name)])).unwrap()
    };
    let assessed = assess(&read(&text), &Choice::default()).unwrap();
    for stop in &assessed.stops {
        let hours = stop.arrays[0].low_side.as_ref().unwrap().battery_below_0_c_hours.unwrap();
        let told = found.frost.iter().find(|one| one.place == stop.place).unwrap();
        assert!((told.hours_below_0_c - hours).abs() < 1e-9 && told.of_a_stay, "{told:?}");
    }
    let shown_text = flat(&shown(&found));
    assert!(shown_text.contains("Not in % lost: a lithium battery as cold as the air"), "{shown_text}");
    let agm = series(&read(&text.replace("\"lfp\"", "\"agm\"")), &Choice::default(), &SeriesAsk::default())
        .unwrap();
    assert!(agm.frost.is_empty() && !shown(&agm).contains("lithium"));
}

/// 2S3P gives 6 x 18.6 V x 5.38 A = 600.4 W; 20 A at the 14.2 V of an lfp battery take 284 W, 50 A 710 W. By hand.
#[test]
fn a_controller_that_clips_is_said_to() {
    let find = |name: &str| Ok(vec![PathBuf::from(format!("tests/plans/golden/weather/{name}.csv"))]);
    let why = |max_charge_a: u32| {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\nvoc_temp_coeff = '-0.30 %/K'\n\
             [[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 3\nmount = 'roof'\n\
             [battery]\nchemistry = 'lfp'\nnominal_v = 12\n{}\
             [[stop]]\nplace = 'invented'\nweather = ['hot-desert']\nlatitude_deg = 30.0\nlongitude_deg = -30.0\n\
             elevation_m = 300\n[assumptions]\ncode_temperature = -20\n",
            controller("Low", 60.0, &format!("max_isc_a = 30\nmax_charge_a = {max_charge_a}"))
        );
        let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &find).unwrap();
        let found = asked(&plan, &[]);
        let best = found.recommended.clone().unwrap();
        let option = found.options.iter().find(|one| {
            (one.in_series, one.in_parallel, &one.controller)
                == (best.in_series, best.in_parallel, &best.controller)
        });
        let assessed = assess(&plan, &Choice::default()).unwrap();
        let low = assessed.stops[0].arrays[0].low_side.as_ref().unwrap().above_charge_limit_percent;
        (best.why, option.unwrap().clipped_percent, low.unwrap())
    };
    // The share is that of `assess`, which walks the same hours for the plan's own layout.
    let (text, clipped, of_assess) = why(20);
    assert!((clipped.unwrap() - of_assess).abs() < 1e-9 && of_assess > 0.1, "{clipped:?} {of_assess}");
    let share = if of_assess < 10.0 { format!("{of_assess:.1}") } else { format!("{of_assess:.0}") };
    let told = format!(
        "charges with at most 284 W of the labels' 600 W and clips {share} % of the harvest: a loss, no danger (20 A at charge volts \
         of 14.2 V)"
    );
    assert!(text.contains(&told), "{told}: {text}");
    // 35 A take 497 W: less is clipped, and less than one part in 600/497 of a harvest that never reaches its labels.
    let (_, some, _) = why(35);
    assert!(some.unwrap() < clipped.unwrap() && some.unwrap() < 100.0 * (1.0 - 497.0 / 600.4), "{some:?}");
    let (text, none, _) = why(50);
    assert!(none.is_none() && !text.contains("charges with"), "{text}");
}
