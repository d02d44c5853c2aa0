//! What the report's charts are drawn from, against the figures that were counted on another way.
#![expect(clippy::unwrap_used)]

use dawnvolt::plan::{self, Plan};
use dawnvolt::study::results::Assessment;
use dawnvolt::study::{Choice, Detail, assess};
use std::path::Path;
use std::sync::OnceLock;

/// The demo's plan without its dates, so that everything counts whole years; the rating of the disconnect moved to
/// the middle of what the weather reaches.
fn demo() -> &'static (Plan, Assessment) {
    static DEMO: OnceLock<(Plan, Assessment)> = OnceLock::new();
    DEMO.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
        let text = std::fs::read_to_string(folder.join("plan.toml")).unwrap();
        let undated: Vec<&str> =
            text.lines().filter(|line| !line.starts_with("arrive") && !line.starts_with("leave")).collect();
        let plan = plan::from_text(undated.join("\n").as_bytes(), Path::new("demo"), &folder).unwrap();
        let choice = Choice { detail: Detail::Pictures, ..Choice::default() };
        let assessment = assess(&plan, &choice).unwrap();
        (plan, assessment)
    })
}

#[test]
fn the_exceedance_curve_agrees_with_the_counts_over_each_rating() {
    let mut compared = 0;
    for stop in &demo().1.stops {
        for array in &stop.arrays {
            let curve = array.pictures.exceedance.as_ref().unwrap();
            for limit in array.limits.iter().filter(|limit| limit.unit == "V") {
                let (rating, counted) = (limit.rating.unwrap(), limit.hours_per_year.unwrap());
                let step = (rating - curve.from_v) / curve.step_v;
                // The demo's ratings in reach lie on a step of the curve.
                assert!((step - step.round()).abs() < 1e-9 || step > curve.hours_per_year.len() as f64);
                let above = curve.hours_per_year.get(step.round() as usize).copied().unwrap_or_default();
                for (drawn, counted) in [
                    (above.steady, counted.steady),
                    (above.sudden_sun, counted.sudden_sun),
                    (above.worst_case, counted.worst_case),
                ] {
                    // Counts are means over complete seasons, the curve one over all hours: a few hours of the first
                    // and last day apart.
                    assert!(
                        (drawn - counted).abs() < 0.05 + 0.002 * counted,
                        "{}: {drawn} {counted}",
                        stop.place
                    );
                    compared += usize::from(counted > 0.0);
                }
            }
        }
    }
    assert!(compared >= 5, "{compared}");
}

#[test]
fn calendar_and_cells_hold_the_largest_voltage_and_every_lit_hour() {
    for stop in &demo().1.stops {
        let array = &stop.arrays[0];
        let most = array.voltage_v.sudden_sun.max.unwrap();
        let calendar = array.pictures.calendar.as_ref().unwrap();
        assert_eq!(calendar.days.len(), 366);
        let drawn = calendar.days.iter().flatten().flatten().copied().fold(0.0, f32::max);
        assert!((f64::from(drawn) - most).abs() < 0.001, "{}: {drawn} {most}", stop.place);
        // Noon is lit on every day at 45 degrees north, midnight on none.
        assert!(calendar.days.iter().all(|hours| hours[12].is_some() && hours[0].is_none()));

        let cells = array.pictures.light_and_air.as_ref().unwrap();
        let lit: u64 = cells.hours.iter().flatten().map(|&hours| u64::from(hours)).sum();
        let of_year = lit as f64 / stop.record.hours as f64 * 8766.0;
        // The sun is up for half the year everywhere (4383 h); hours at the edge of the day count whole (up to one more
        // a day), and the minutes below 10 W/m2 not at all (up to 20 at each end of the day).
        assert!((4383.0 - 365.0 * 0.67..4383.0 + 365.0).contains(&of_year), "{of_year} h a year");
    }
}

#[test]
fn below_a_limit_curve_lies_what_passes_the_rating() {
    for stop in &demo().1.stops {
        let array = &stop.arrays[0];
        let cells = array.pictures.light_and_air.as_ref().unwrap();
        let curve = cells.curves.iter().find(|curve| curve.rating_v == 50.0).unwrap();
        // Air at which the rating is met rises with light: brighter needs less cold.
        assert!(curve.points.windows(2).all(|pair| pair[1].1 > pair[0].1));
        let over: f64 = cells
            .hours
            .iter()
            .enumerate()
            .flat_map(|(row, hours)| {
                hours.iter().enumerate().map(move |(column, hours)| (row, column, *hours))
            })
            .filter(|(row, column, _)| {
                let air = cells.air_from_c + (*row as f64 + 0.5) * cells.air_step_k;
                let light = (*column as f64 + 0.5) * cells.light_step_w_m2;
                let met =
                    curve.points.iter().rev().find(|(at, _)| *at <= light).map_or(f64::MIN, |point| point.1);
                air < met
            })
            .map(|(_, _, hours)| f64::from(hours))
            .sum();
        let limit = array.limits.iter().find(|limit| limit.rating == Some(50.0)).unwrap();
        let steps = limit.hours_per_year.unwrap().sudden_sun * 25.0;
        // Whole hours in cells of 1 K by 25 W/m2 against 5-minute steps: the same to within a third or a few hours.
        assert!((over - steps).abs() < 15.0 + 0.34 * steps.max(over), "{}: {over} {steps}", stop.place);
    }
}

#[test]
fn the_current_curve_ends_at_the_largest_hour() {
    for stop in &demo().1.stops {
        let array = &stop.arrays[0];
        let curve = array.pictures.current.as_ref().unwrap();
        let largest = array.current_a.max_hour.unwrap();
        let last = curve.hours_per_year.iter().rposition(|hours| *hours > 0.0).unwrap() as f64 * curve.step_a;
        assert!(last <= largest && largest <= last + curve.step_a, "{last} {largest}");
        assert!(curve.hours_per_year.windows(2).all(|pair| pair[1] <= pair[0]));
    }
}

#[test]
fn figures_alone_draw_no_pictures() {
    let assessment = assess(&demo().0, &Choice::default()).unwrap();
    assert!(
        assessment.stops.iter().flat_map(|stop| &stop.arrays).all(|array| array.pictures.calendar.is_none())
    );
    assert_eq!(assessment.verdict, demo().1.verdict);
}

#[test]
fn a_change_of_the_disconnect_holds_and_so_does_a_shorter_string() {
    let (plan, assessment) = demo();
    assert!(
        assessment.changes[0].starts_with("roof disconnect: one for at least"),
        "{:?}",
        assessment.changes
    );
    assert!(assessment.changes.iter().any(|change| change.starts_with("1 in series instead of 2")));
    // Done as the sentences say, no voltage limit is passed any more.
    for (from, to) in [("max_v = 50 ", "max_v = 60 "), ("in_series = 2", "in_series = 1")] {
        let changed = plan.text.replace(from, to);
        assert_ne!(changed, plan.text);
        let plan = plan::from_text(changed.as_bytes(), Path::new("changed"), &plan.folder).unwrap();
        let limits = assess(&plan, &Choice::default()).unwrap();
        let volts = limits.stops.iter().flat_map(|stop| &stop.arrays).flat_map(|array| &array.limits);
        assert!(
            volts
                .filter(|limit| limit.unit == "V")
                .all(|limit| { limit.component != "roof disconnect" || limit.verdict.severity() < 3 })
        );
    }
}

#[test]
fn the_card_shows_the_label_where_the_label_was_measured() {
    // At 1000 W/m2 and 25 °C a string reads its label: the definition of the label's conditions.
    let wiring = &demo().1.arrays[0].wiring;
    let label = wiring.expected[0]
        .readings
        .iter()
        .find(|reading| reading.cell_c == 25.0 && reading.irradiance_w_m2 == 1000.0)
        .unwrap();
    assert!((label.voc_v - 2.0 * 22.9).abs() < 1e-9);
    assert_eq!(wiring.strings[0].in_parallel, 2);
    assert_eq!(wiring.battery.as_deref(), Some("12 V lfp, charged at 14.2 V"));
    assert_eq!(wiring.components.len(), 4);
}

#[test]
fn one_panel_in_series_starts_late_and_two_do_not() {
    // Two 12 V-class panels in series start the controller of a 12 V battery in all but dim light; a single one, open at
    // a hot cell, often does not (common practice, no source: battery at charge plus 5 V).
    let (plan, assessment) = demo();
    let sum = |assessment: &Assessment| -> f64 {
        assessment.stops[0].arrays[0].pictures.lost_start_h.unwrap().iter().sum()
    };
    let single = plan.text.replace("in_series = 2", "in_series = 1");
    let single = plan::from_text(single.as_bytes(), Path::new("single"), &plan.folder).unwrap();
    let choice = Choice { detail: Detail::Pictures, stop: Some("1".into()), array: None };
    let single = assess(&single, &choice).unwrap();
    assert!(sum(assessment) < 1.0, "{}", sum(assessment));
    assert!(sum(&single) > 100.0, "{}", sum(&single));
    // Heat costs them: summer more than winter.
    let months = single.stops[0].arrays[0].pictures.lost_start_h.unwrap();
    assert!(months[6] > 2.0 * months[0], "{months:?}");
}
