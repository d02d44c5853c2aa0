//! The needs of every component, by hand.

use super::*;
use crate::limits::mistakes::testing::{PANEL, array};

fn volts(largest: f64) -> VoltsNeeded {
    VoltsNeeded::of_sum(None, Some(largest))
}

fn need(needs: &[ComponentNeed], name: &str) -> ComponentNeed {
    needs.iter().find(|need| need.component == name).cloned().unwrap_or_else(|| ComponentNeed {
        component: "missing".into(),
        volts: None,
        next_class_v: None,
        amps: 0.0,
        next_class_a: None,
        size: None,
        in_plan: Planned::Needed,
        remark: String::new(),
    })
}

// Worked by hand: four strings of 5.8 A: 1.25 x 23.2 = 29.0 A, 1.5625 x 23.2 = 36.25 A; one: 7.25 A. 10 AWG in air of
// 65 C carries 26.0 A, 8 AWG 35.75 A. Three other strings feed 21.75 A, more than a label of 15 A; 9.06 A ask for 10 A.
#[test]
fn every_component_has_its_class() {
    let four =
        array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\nmount = 'roof'\n"));
    let needs = component_needs(&four, &volts(51.1), &Assumptions::default());
    for (name, class_v, amps, class_a) in [
        ("connector of a string", 600.0, 7.25, Some(17.0)),
        ("connector of the array", 600.0, 29.0, Some(30.0)),
        ("string fuse", 600.0, 9.0625, Some(10.0)),
        ("array cable", 600.0, 36.25, None),
        ("disconnect", 60.0, 36.25, Some(40.0)),
        ("breaker or array fuse", 60.0, 36.25, Some(40.0)),
        ("controller", 60.0, 29.0, Some(30.0)),
    ] {
        let found = need(&needs, name);
        assert_eq!((found.next_class_v, found.next_class_a), (Some(class_v), class_a), "{name}");
        assert!((found.amps - amps).abs() < 1e-9, "{name}: {}", found.amps);
    }
    let cable = need(&needs, "array cable").remark;
    assert!(cable.starts_with("16 mm2 or 6 AWG ("), "{cable}");
    // 35.75 A are less than a device of 40 A, the next standard size; 6 AWG carries 75 x 0.65 = 48.75 A
    assert!(
        cable.contains("; so it may stand behind a fuse or breaker of 40 A (NEC 240.4 and IEC 60364-4-43)"),
        "{cable}"
    );
    assert!(
        cable.contains(
            "; 10 mm2 or 8 AWG is enough where none stands in it, and behind 40 A by NEC 240.4 alone"
        ),
        "{cable}"
    );
    assert!(need(&needs, "disconnect").remark.contains("2 conductors"));
    // A lead of one string: 9.06 A at 30 °C, and a fuse of 10 A before it: 14 AWG may stand behind 15 A.
    let lead = need(&needs, "string cable");
    assert!((lead.amps - 9.0625).abs() < 1e-9 && lead.remark.starts_with("2.5 mm2 or 14 AWG ("), "{lead:?}");
    assert!(
        lead.remark
            .ends_with("; not judged until it is in the plan (kind = \"cable\" and carries = \"string\")")
    );
}

#[test]
fn one_string_needs_no_fuse_and_too_many_amps_no_plug() {
    let one = array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 2\nmount = 'roof'\n"));
    let earthed = Assumptions { array_earthed: true, ..Assumptions::default() };
    let needs = component_needs(&one, &VoltsNeeded::default(), &earthed);
    assert_eq!(need(&needs, "string fuse").component, "missing");
    assert_eq!(need(&needs, "controller").next_class_v, None);
    assert!(need(&needs, "disconnect").remark.contains("1 conductor"));
    let six =
        array(&format!("{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 6\nmount = 'roof'\n"));
    // 1.25 x 34.8 = 43.5 A
    let trunk = need(&component_needs(&six, &volts(26.0), &Assumptions::default()), "connector of the array");
    assert_eq!(trunk.next_class_a, None);
    // Each string by itself: 1.25 x 5.8 = 7.25 A.
    assert!(trunk.remark.contains("more than common plugs carry (30 A)"), "{}", trunk.remark);
    assert!(trunk.remark.contains("every plug carries one string alone, 7.3 A"), "{}", trunk.remark);
}

// 48 V on a small switch or breaker is mostly that of battery circuits (common practice, no source): what is advised here is what the
// remark about such a part of the plan asks for, and neither says more where the plan has looked it up.
#[test]
fn a_class_that_is_a_systems_name_is_advised_with_its_condition() {
    use crate::limits::mistakes::testing::says;
    let with = |part: &str| {
        array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = 2\nmount = 'roof'\n{part}"
        ))
    };
    let disconnect = |max_v: f64, more: &str| {
        with(&format!(
            "[[component]]\nkind = 'disconnect'\nmax_v = {max_v}\nrated_a = 32\npoles_opened = 2\n{more}"
        ))
    };
    let row = |array: &Array, volts: f64, name: &str| {
        need(&component_needs(array, &VoltsNeeded::of_sum(None, Some(volts)), &Assumptions::default()), name)
    };
    let needed = |array: &Array, name: &str| row(array, 27.0, name);
    for (array, doubted) in
        [(with(""), true), (disconnect(48.0, ""), true), (disconnect(48.0, "load_break = true"), false)]
    {
        let found = needed(&array, "disconnect");
        assert_eq!(found.next_class_v, Some(48.0));
        assert_eq!(
            found.remark.starts_with(&format!("of 48 V only one {MADE_TO_BREAK_DC}")),
            doubted,
            "{found:?}"
        );
    }
    assert!(says(&disconnect(48.0, ""), MADE_TO_BREAK_DC));
    assert!(!says(&disconnect(48.0, "load_break = true"), MADE_TO_BREAK_DC));
    assert!(needed(&with(""), planned::BREAKER).remark.starts_with("a breaker of 48 V only one"));
    // Of a controller nothing is opened, and no battery system is called 60 V.
    assert!(!needed(&with(""), "controller").remark.contains("48 V"));
    assert_eq!(row(&with(""), 55.0, "disconnect").next_class_v, Some(60.0));
    assert!(!row(&with(""), 55.0, "disconnect").remark.contains("only one"));
    assert_eq!(class_v_words("switch", 48.0), "48 V (only one marked as made to break dc under load)");
    assert_eq!(
        (class_v_words("controller", 48.0), class_v_words("switch", 60.0)),
        ("48 V".into(), "60 V".into())
    );
}

fn strings(isc_a: f64, label: &str, in_parallel: u32, rest: &str) -> Vec<ComponentNeed> {
    let array = array(&format!(
        "[[module]]\nid = 'p'\nvoc_v = 22\nisc_a = {isc_a}\n{label}\n\
         [[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {in_parallel}\nmount = 'roof'\n{rest}"
    ));
    component_needs(&array, &volts(26.0), &Assumptions::default())
}

// One string of 10.3 A asks for 1.5625 x 10.3 = 16.09 A, so a breaker of 20 A: more than a label of 15 A allows in a string,
// and no fuse lies between. With a label of 20 A the 20 A hold. Two strings: 32.2 A ask for 35 A (40 A in the IEC's series), which protects the trunk
// and not the panel. By hand; NEC 690.9, and the label's largest series fuse (IEC 61730).
#[test]
fn nothing_larger_than_the_label_protects_a_string() {
    let breaker = |needs: &[ComponentNeed]| need(needs, "breaker or array fuse");
    let small = strings(10.3, "max_series_fuse_a = 15", 1, "");
    assert_eq!(breaker(&small).next_class_a, None);
    assert!(breaker(&small).remark.contains("none fits below the label's 15 A"));
    assert_eq!(need(&small, "disconnect").next_class_a, Some(20.0));
    assert!(need(&small, "disconnect").remark.contains("as a plain switch"));
    assert_eq!(breaker(&strings(10.3, "max_series_fuse_a = 20", 1, "")).next_class_a, Some(20.0));
    let two = breaker(&strings(10.3, "max_series_fuse_a = 20", 2, ""));
    assert_eq!(two.next_class_a, Some(35.0));
    assert!(two.remark.contains("; 35 A (NEC 240.6(A)) or 40 A (IEC 60059)"), "{}", two.remark);
    assert!(breaker(&strings(10.3, "", 1, "")).remark.contains("give max_series_fuse_a"));
}

// Three strings of 11.4 A: 22.8 A (1.25 x 2 x 11.4 = 28.5 A) of the others against a label of 20 A, so fuses of 20 A, behind
// which 12 AWG may stand (at 65 °C 0.65 x 30 = 19.5 A, so 20 A by NEC 240.4(B) and (D)) and 14 AWG (15 A) may not; by IEC
// 60364-4-43 10 AWG (26 A).
#[test]
fn the_lead_of_a_string_is_named_behind_its_fuse_alone() {
    let lead = need(&strings(11.4, "max_series_fuse_a = 20", 3, ""), "string cable").remark;
    assert!(lead.starts_with("6 mm2 or 10 AWG (") && !lead.contains("14 AWG"), "{lead}");
    assert!(lead.contains("; 4 mm2 or 12 AWG is enough by NEC 240.4 alone"), "{lead}");
    assert!(lead.contains("may not stand behind the string fuse of 20 A"), "{lead}");
}

// Two others of 5.8 A feed 1.25 x 11.6 = 14.5 A into the third: only a label below that asks for fuses (NEC 690.9(A)); 1.5625 x
// 5.8 = 9.06 A ask for 10 A. By hand.
#[test]
fn a_silent_label_leaves_a_condition_for_string_fuses() {
    let fuse = need(&strings(5.8, "", 3, ""), "string fuse");
    assert_eq!((fuse.in_plan, fuse.next_class_a), (Planned::OnlyIf, Some(10.0)));
    assert!(
        fuse.remark.starts_with("where the label's largest series fuse")
            && fuse.remark.contains("below 14.5 A")
    );
    assert_eq!(need(&strings(5.8, "max_series_fuse_a = 10", 3, ""), "string fuse").in_plan, Planned::Needed);
    assert_eq!(need(&strings(5.8, "max_series_fuse_a = 15", 3, ""), "string fuse").component, "missing");
}

// 4 x 8.56 A ask for 53.5 A: 60 A in the code's series (NEC 240.6(A)), 63 A in the IEC's; at 65 °C 4 AWG carries
// 95 x 0.65 = 61.75 A, enough for 60 A and not for 63 A. By hand, Table 310.16 and its correction.
#[test]
fn the_advised_cable_holds_behind_the_advised_breaker() {
    use crate::array::Conductor;
    use crate::limits::rules::ampacity::judge;
    use crate::limits::rules::behind::behind;
    let needs = strings(8.56, "", 4, "");
    let breaker = need(&needs, "breaker or array fuse");
    assert_eq!(breaker.next_class_a, Some(60.0));
    // No device is advised under a rule by which no cable here carries it.
    let thicker = "a thicker cable than the tables here hold, or split the array";
    let only = format!("; 60 A (NEC 240.6(A)); 63 A by IEC 60364-4-43 only with {thicker}");
    assert!(breaker.remark.ends_with(&only), "{}", breaker.remark);
    let by_iec = Assumptions { rules: Rules::Iec, ..Assumptions::default() };
    let four = format!(
        "{}[[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = 4\nmount = 'roof'\n",
        PANEL.replace("5.8", "8.56")
    );
    let strict = need(&component_needs(&array(&four), &volts(51.1), &by_iec), planned::BREAKER);
    let none = format!("no cable up to 25 mm2 or 4 AWG may stand behind one of 63 A: take {thicker}");
    assert!(strict.next_class_a.is_none() && strict.remark.ends_with(&none), "{strict:?}");
    let cable = need(&needs, "array cable").remark;
    assert!(cable.contains("25 mm2 or 4 AWG"), "{cable}");
    let mut advised = 0;
    for isc_a in [3.1, 5.8, 8.56, 8.9, 10.3] {
        for in_parallel in 2..=5 {
            let needs = strings(isc_a, "", in_parallel, "");
            let class = need(&needs, "breaker or array fuse").next_class_a.unwrap_or(0.0);
            let remark = need(&needs, "array cable").remark;
            // The one to buy stands first.
            let gauge = remark.split(" mm2 or ").nth(1).and_then(|rest| rest.split(' ').next()?.parse().ok());
            let (Some(gauge), false) =
                (gauge, remark.contains("no size up to") || remark.starts_with("more than"))
            else {
                continue;
            };
            advised += 1;
            let most = behind(Conductor::Awg(gauge), 90.0, 65.0);
            assert!(most.is_some_and(|most| most.allows(class, Rules::All)), "{class} A: {remark}");
            let judged = judge(Conductor::Awg(gauge), 90.0, 65.0, isc_a * f64::from(in_parallel));
            assert_eq!(judged.verdict, Verdict::Within, "{remark}");
        }
    }
    assert!(advised >= 12, "{advised}");
}

// 9.06 A ask for 10 A; at 80 °C 14 AWG carries 25 x 0.41 = 10.25 A and may stand behind 10 A; at 85 °C 25 x 0.29 = 7.25 A,
// just what 1.25 x 5.8 A ask for, and 10 A is the next standard size: by IEC 60364-4-43 it may not; 12 AWG carries 8.7 A, 10
// AWG 11.6 A. By hand from Table 310.16 and its correction.
#[test]
fn a_planned_cable_and_its_device_are_chosen_together() {
    let with = |ambient_c: f64| {
        let cable = format!(
            "[[component]]\nkind = 'cable'\nname = 'roof cable'\nawg = 14\ninsulation_c = 90\nambient_c = {ambient_c}\n"
        );
        need(&strings(5.8, "max_series_fuse_a = 15", 1, &cable), "breaker or array fuse").remark
    };
    assert!(!with(80.0).contains("roof cable"), "{}", with(80.0));
    assert!(
        with(85.0).contains(
            "10 A may protect roof cable by NEC 240.4(B), the next standard size above 7.2 A; IEC 60364-4-43 asks for a device of at most 7.2 A"
        ),
        "{}",
        with(85.0)
    );
}

// 23.2 A ask for 36.25 A: 16 mm2, as 6 AWG at 65 °C 48.75 A, hold by both rules, and no size has to be told; 10 mm2 (8 AWG) carry 35.75 A,
// less than a device by IEC 60364-4-43 would have to carry. 11.6 A ask for 18.13 A: 12 AWG (19.5 A) leaves no standard device between
// (IEC 60898: 16 and 20 A), 10 AWG (26.0 A) 25 A. By hand, Table 310.16 and its correction.
#[test]
fn a_cable_that_meets_both_rules_is_told_shortly_and_a_device_that_is_not_sold_never() {
    let with = |strings_: u32, size: &str, rules: Rules| {
        let array = array(&format!(
            "{PANEL}[[string]]\nmodules = 'p'\nin_series = 1\nin_parallel = {strings_}\nmount = 'roof'\n\
             [[component]]\nkind = 'cable'\nname = 'trunk'\n{size}\ninsulation_c = 90\nambient_c = 65\n"
        ));
        component_needs(&array, &volts(26.0), &Assumptions { rules, ..Assumptions::default() })
    };
    let cable = |needs: &[ComponentNeed]| need(needs, "array cable");
    let both = with(4, "mm2 = 16", Rules::All);
    assert!(
        cable(&both).remark.starts_with(
            "yours, 16 mm2, meets both, NEC 240.4 and IEC 60364-4-43, behind a fuse or breaker of 40 A ("
        ),
        "{:?}",
        cable(&both)
    );
    assert!(!need(&both, planned::BREAKER).remark.contains("trunk"));
    assert!(
        cable(&with(4, "mm2 = 16", Rules::Iec))
            .remark
            .starts_with("yours, 16 mm2, meets IEC 60364-4-43, behind")
    );
    let ten = with(4, "mm2 = 10", Rules::All);
    assert!(!cable(&ten).remark.contains("yours") && cable(&ten).size.as_deref() == Some("16 mm2 or 6 AWG"));
    assert!(
        need(&ten, planned::BREAKER).remark.ends_with(
            "at most 35.7 A, less than the 36.3 A that the circuit asks for: a thicker cable is needed, 16 mm2 or 6 AWG"
        ),
        "{:?}",
        need(&ten, planned::BREAKER)
    );
    let twelve = with(2, "awg = 12", Rules::All);
    assert!(
        need(&twelve, planned::BREAKER).remark.ends_with(
            "at most 19.5 A, and no standard device fits between the 18.2 A that the circuit asks for and that: a thicker cable is \
             needed, 6 mm2 or 10 AWG"
        ),
        "{:?}",
        need(&twelve, planned::BREAKER)
    );
    assert!(cable(&with(2, "awg = 10", Rules::All)).remark.starts_with("yours, 10 AWG, meets both"));
}

// A cable on the hot roof and one inside: 23.2 A ask for 29.0 A. At 75 °C (x 0.50) 8 AWG carries 27.5 A and 6 AWG 37.5 A; at
// 40 °C (x 0.91) 10 AWG carries 36.4 A, but 36.25 A at 30 °C need its 40 A. Behind 40 A 10 AWG may not stand (240.4(D)), 8 AWG may;
// on the roof 6 AWG by 240.4(B) alone, 4 AWG (47.5 A) by IEC 60364-4-43 too. By hand.
#[test]
fn each_cable_is_sized_in_its_own_air() {
    let cable = |name: &str, ambient_c: f64| {
        format!(
            "[[component]]\nkind = 'cable'\nname = '{name}'\nawg = 14\ninsulation_c = 90\nambient_c = {ambient_c}\n"
        )
    };
    let needs = strings(5.8, "", 4, &format!("{}{}", cable("inside", 40.0), cable("roof", 75.0)));
    assert!(
        need(&needs, "array cable: inside")
            .remark
            .starts_with("10 mm2 or 8 AWG (90 °C insulation in air of 40 °C")
    );
    assert!(
        need(&needs, "array cable: roof")
            .remark
            .starts_with("25 mm2 or 4 AWG (90 °C insulation in air of 75 °C")
    );
}

// 2 x 2 panels of 18.6 V x 5.38 A: 400.3 W over 12 V: 33.4 A, so 35 A; without a working point 0.805 x 22.5 x 5.8 x 4 = 420.2 W,
// 35.02 A; a pwm controller passes on 1.25 x 11.6 = 14.5 A. By hand.
#[test]
fn a_controller_is_told_what_flows_into_the_battery() {
    let of = |label: &str, controller: &str| {
        let array = array(&format!(
            "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\n{label}\n[[string]]\nmodules = 'p'\nin_series = 2\n\
             in_parallel = 2\nmount = 'roof'\n[battery]\nchemistry = 'lfp'\nnominal_v = 12\n{controller}"
        ));
        charging(&array, &[]).unwrap_or(Charging {
            amps: 0.0,
            class_a: None,
            from: String::new(),
            smaller: String::new(),
        })
    };
    let printed = of("vmp_v = 18.6\nimp_a = 5.38", "");
    assert!((printed.amps - 4.0 * 18.6 * 5.38 / 12.0).abs() < 1e-9 && printed.class_a == Some(35.0));
    let told = remarks(&volts(51.1), Some(&printed)).join(" ");
    assert!(
        told.contains(
            "up to 33.4 A, common class 35 A: a size to buy by, not what flows (400 W over its nominal 12 V"
        ),
        "{told}"
    );
    // 59.0 V of worst case leave 1.67 % of 60 V, and never more is printed than there is
    let told = remarks(&volts(59.0), None).join(" ");
    assert!(told.contains("60 V would leave 1.6 % only"), "{told}");
    let guessed = of("", "");
    assert!((guessed.amps - 35.02).abs() < 0.01 && guessed.class_a == Some(40.0), "{guessed:?}");
    assert!(guessed.from.contains("a high guess"));
    let pwm = of("", "[[component]]\nkind = 'controller'\ntype = 'pwm'\nmax_v = 60\n");
    assert!((pwm.amps - 14.5).abs() < 1e-9 && pwm.class_a == Some(15.0));
}
