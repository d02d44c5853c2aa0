//! `series` against figures worked by hand: code answers without weather. Names invented.
#![expect(clippy::unwrap_used)]

use dawnvolt::limits::Verdict;
use dawnvolt::plan;
use dawnvolt::study::Choice;
use dawnvolt::study::series::{SeriesAsk, SeriesResult, series};
use std::path::Path;

/// Six panels of 22.5 V, 5.8 A, -0.30 %/K at -20 C: 25.5375 V each.
fn six(controllers: &[f64], more: &str) -> SeriesResult {
    let text = format!(
        "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\nvoc_temp_coeff = '-0.30 %/K'\n\
         [[string]]\nmodules = 'p'\nin_series = 3\nin_parallel = 2\nmount = 'roof'\n{more}\n\
         [assumptions]\ncode_temperature = -20\n"
    );
    let plan = plan::read(&text, Path::new("plan.toml"), Path::new("."), &|_: &str| Ok(Vec::new())).unwrap();
    let ask = SeriesAsk { panels: None, battery_v: Vec::new(), controller_v: controllers.to_vec() };
    series(&plan, &Choice::default(), &ask).unwrap()
}

fn verdict(result: &SeriesResult, in_series: usize, in_parallel: usize, controller_v: f64) -> Verdict {
    result
        .options
        .iter()
        .find(|option| {
            (option.in_series, option.in_parallel) == (in_series, in_parallel)
                && option.controller_v == Some(controller_v)
        })
        .unwrap()
        .verdict
}

/// By hand: 25.5, 51.1, 76.6, 102.2 and 153.2 V for one, two, three, four and six in series; 51.1 V pass 50 V, 76.6 V
/// hold 100 V, six need more than 150 V and hold 250 V.
#[test]
fn six_panels_by_hand() {
    let result = six(&[50.0, 100.0, 150.0, 250.0], "");
    for (in_series, in_parallel, class, expected) in [
        (1, 6, 50.0, Verdict::Within),
        (2, 3, 50.0, Verdict::Exceeded),
        (3, 2, 100.0, Verdict::Within),
        (4, 1, 100.0, Verdict::Exceeded),
        (6, 1, 150.0, Verdict::Exceeded),
        (6, 1, 250.0, Verdict::Within),
    ] {
        assert_eq!(verdict(&result, in_series, in_parallel, class), expected, "{in_series}S at {class} V");
    }
}

/// A trunk connector of 30 A: six in parallel ask for 1.25 x 34.8 A = 43.5 A, three for 21.75 A (worked by hand), so the
/// recommendation moves to two in series where the controller stands 51.1 V, and to none without waste where it does not.
#[test]
fn the_recommendation_moves_with_the_controllers_class() {
    let trunk = "[[component]]\nkind = 'connector'\nrated_a = 30\nmax_v = 1000\n";
    let best = |class| six(&[class], trunk).recommended.unwrap();
    assert_eq!((best(100.0).in_series, best(100.0).in_parallel), (2, 3));
    assert_eq!((best(50.0).in_series, best(50.0).in_parallel), (1, 4));
}

#[test]
fn what_is_recommended_breaks_no_limit() {
    for class in [50.0, 60.0, 75.0, 100.0, 150.0, 250.0] {
        let result = six(&[class], "");
        let best = result.recommended.as_ref().unwrap();
        let verdict = verdict(&result, best.in_series, best.in_parallel, class);
        assert!(matches!(verdict, Verdict::Within | Verdict::Close), "{class} V");
    }
}
