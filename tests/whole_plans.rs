//! What must hold for any plan: fewer panels, larger ratings, recommended arrangements, `series` beside `assess`. Plans are
//! random and invented, without weather or with ten invented days of it.
#![expect(clippy::unwrap_used)]

use dawnvolt::limits::Verdict;
use dawnvolt::plan::{self, Plan};
use dawnvolt::study::results::{Assessment, LimitLine};
use dawnvolt::study::series::{SeriesAsk, SeriesOption, SeriesResult, series};
use dawnvolt::study::{Choice, assess, counted};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// One component of a random plan.
#[derive(Clone, Debug)]
struct Part {
    kind: &'static str,
    max_v: f64,
    amps: f64,
    of_string: bool,
    more: String,
}

/// A random plan.
#[derive(Clone, Debug)]
struct Draft {
    voc: f64,
    isc: f64,
    per_k: Option<f64>,
    label_fuse: Option<f64>,
    in_series: usize,
    in_parallel: usize,
    mount: &'static str,
    parts: Vec<Part>,
    air: f64,
    weather: Option<&'static str>,
    touch: bool,
    /// The only controller that is fitted, of several to choose from; `None`: all.
    fitted: Option<String>,
}

impl Draft {
    fn text(&self) -> String {
        let mut text = format!(
            "[[module]]\nid = 'p'\nvoc_v = {:.2}\nisc_a = {:.2}\nvmp_v = {:.2}\nimp_a = {:.2}\n",
            self.voc,
            self.isc,
            self.voc * 0.82,
            self.isc * 0.93
        );
        if let Some(per_k) = self.per_k {
            writeln!(text, "voc_temp_coeff = '{per_k:.3} %/K'").unwrap();
        }
        if let Some(amps) = self.label_fuse {
            writeln!(text, "max_series_fuse_a = {amps}").unwrap();
        }
        writeln!(
            text,
            "[[string]]\nmodules = 'p'\nin_series = {}\nin_parallel = {}\nmount = '{}'\n\
             [battery]\nchemistry = 'lfp'\nnominal_v = 12",
            self.in_series, self.in_parallel, self.mount
        )
        .unwrap();
        for (index, part) in self.parts.iter().enumerate() {
            let is_chosen = |name: &String| *name == format!("part {index}");
            if part.kind == "controller" && !self.fitted.as_ref().is_none_or(is_chosen) {
                continue;
            }
            writeln!(text, "[[component]]\nkind = '{}'\nname = 'part {index}'", part.kind).unwrap();
            let amps_key = match part.kind {
                "controller" => "max_isc_a",
                "cable" => "mm2",
                _ => "rated_a",
            };
            writeln!(text, "max_v = {:.1}\n{amps_key} = {:.1}", part.max_v, part.amps).unwrap();
            if part.of_string && part.kind != "controller" {
                writeln!(text, "carries = 'string'").unwrap();
            }
            writeln!(text, "{}", part.more).unwrap();
        }
        match self.weather {
            None => writeln!(text, "[assumptions]\ncode_temperature = {:.1}", self.air).unwrap(),
            Some(name) => {
                writeln!(
                    text,
                    "[[stop]]\nplace = 'invented'\nweather = ['{name}']\nlatitude_deg = 45.0\nlongitude_deg = -30.0\n\
                     elevation_m = 100\n[assumptions]\nreturn_years = 20"
                )
                .unwrap();
            }
        }
        if self.touch {
            text.push_str("touch_limit_v = 60\n");
        }
        text
    }

    fn plan(&self) -> Plan {
        let find = |name: &str| Ok(vec![PathBuf::from(format!("tests/plans/golden/weather/{name}.csv"))]);
        plan::read(&self.text(), Path::new("plan.toml"), Path::new("."), &find)
            .unwrap_or_else(|error| panic!("{error}\n{}", self.text()))
    }

    fn assessed(&self) -> Assessment {
        assess(&self.plan(), &Choice::default()).unwrap()
    }

    fn series(&self) -> SeriesResult {
        series(&self.plan(), &Choice::default(), &SeriesAsk::default()).unwrap()
    }

    fn arranged(&self, in_series: usize, in_parallel: usize) -> Self {
        Self { in_series, in_parallel, ..self.clone() }
    }

    /// With that controller alone, as `series` holds it.
    fn on(&self, controller: Option<&String>) -> Self {
        Self { fitted: controller.cloned(), ..self.clone() }
    }
}

fn lines(found: &Assessment) -> Vec<&LimitLine> {
    let alone = found.arrays.iter().filter_map(|array| array.code_alone.as_ref());
    let at_stops = found.stops.iter().flat_map(|stop| &stop.arrays);
    alone.flat_map(|code| &code.limits).chain(at_stops.flat_map(|array| &array.limits)).collect()
}

fn severity(line: &LimitLine) -> u8 {
    counted(line).severity()
}

prop_compose! {
    fn part()(
        kind in prop::sample::select(vec!["disconnect", "breaker", "switch", "controller", "connector", "cable", "fuse"]),
        max_v in 20.0..300.0_f64,
        amps in 3.0..80.0_f64,
        of_string in any::<bool>(),
        poles in 0..4_u32,
        insulation in prop::sample::select(vec![60.0, 75.0, 90.0, 120.0]),
        ambient in 20.0..85.0_f64,
    ) -> Part {
        let (amps, more) = match kind {
            "disconnect" if poles > 0 => (amps, format!("poles_opened = {}", poles.min(2))),
            "breaker" if poles > 2 => (amps, "continuous_100_percent = true".to_owned()),
            // from 2.5 mm2: below lies the end of the table, where nothing can be said
            "cable" => (2.5 + amps, format!("insulation_c = {insulation}\nambient_c = {ambient:.0}")),
            _ => (amps, String::new()),
        };
        Part { kind, max_v, amps, of_string, more }
    }
}

prop_compose! {
    fn drafts()(
        voc in 19.0..50.0_f64,
        isc in 3.0..15.0_f64,
        per_k in prop::option::weighted(0.8, -0.38..-0.24_f64),
        label_fuse in prop::option::of(prop::sample::select(vec![10.0, 15.0, 20.0, 25.0])),
        in_series in 1..6_usize,
        in_parallel in 1..4_usize,
        mount in prop::sample::select(vec!["roof", "gap", "frame"]),
        parts in prop::collection::vec(part(), 1..5),
        air in -40.0..20.0_f64,
        weather in prop::option::of(prop::sample::select(vec!["cold-basin", "mild-harbour"])),
        touch in any::<bool>(),
    ) -> Draft {
        Draft { voc, isc, per_k, label_fuse, in_series, in_parallel, mount, parts, air, weather, touch, fitted: None }
    }
}

/// The line of the same component and rule.
fn same<'a>(lines: &[&'a LimitLine], line: &LimitLine) -> Option<&'a LimitLine> {
    lines.iter().copied().find(|other| other.component == line.component && other.rule == line.rule)
}

/// Figures that come by two ways: of one panel times a count, and of the whole string.
fn close(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * b.abs().max(1.0),
        (None, None) => true,
        _ => false,
    }
}

/// An option of `series` beside `assess` of the same arrangement.
fn differs(option: &SeriesOption, found: &Assessment) -> Option<String> {
    let lines = lines(found);
    if option.verdict != found.verdict {
        return Some(format!("verdict {:?} and {:?}", option.verdict, found.verdict));
    }
    if option.limits.len() != lines.len() {
        return Some(format!("{} lines and {}", option.limits.len(), lines.len()));
    }
    for line in &option.limits {
        let Some(other) = same(&lines, line) else {
            return Some(format!("{} is missing", line.component));
        };
        if (line.verdict, line.code_verdict, line.decided_by, line.seasons, line.seasons_broken)
            != (other.verdict, other.code_verdict, other.decided_by, other.seasons, other.seasons_broken)
        {
            return Some(format!("{line:?}\n{other:?}"));
        }
        let hours = |line: &LimitLine| line.hours_per_year.map(|hours| hours.sudden_sun);
        for (a, b) in [
            (line.rating, other.rating),
            (line.worst, other.worst),
            (line.margin_percent, other.margin_percent),
            (line.reached_at_c, other.reached_at_c),
            (hours(line), hours(other)),
        ] {
            if !close(a, b) {
                return Some(format!("{}: {a:?} and {b:?}", line.component));
            }
        }
    }
    let at = found.stops.first().map(|stop| &stop.arrays[0])?;
    let four = &at.voltage_v;
    let low = at.low_side.as_ref();
    for (what, a, b) in [
        ("code", option.code_v, four.code),
        ("steady", option.steady_max_v, four.steady.max),
        ("hot", option.hot_vmp_v, low.map_or(option.hot_vmp_v, |low| low.hot_vmp_v)),
        (
            "hours lost",
            option.lost_start_hours_per_year,
            low.map_or(option.lost_start_hours_per_year, |low| Some(low.hot.hours)),
        ),
        (
            "harvest lost",
            option.harvest_lost_percent,
            low.map_or(option.harvest_lost_percent, |low| Some(low.hot.harvest_percent)),
        ),
    ] {
        if !close(a, b) {
            return Some(format!("{what}: {a:?} and {b:?}"));
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, rng_seed: RngSeed::Fixed(6), ..ProptestConfig::default() })]

    #[test]
    fn removing_a_panel_in_series_never_worsens_a_voltage_limit(draft in drafts()) {
        prop_assume!(draft.in_series > 1);
        let longer = draft.assessed();
        let shorter = draft.arranged(draft.in_series - 1, draft.in_parallel).assessed();
        let shorter = lines(&shorter);
        for line in lines(&longer).into_iter().filter(|line| line.unit == "V") {
            let other = same(&shorter, line).unwrap();
            prop_assert!(severity(other) <= severity(line), "{line:?}\n{other:?}");
            prop_assert!(other.worst < line.worst);
        }
    }

    #[test]
    fn raising_a_rating_never_worsens_a_verdict(draft in drafts(), which in 0..5_usize, by in 1.0..3.0_f64, amps in any::<bool>()) {
        let which = which % draft.parts.len();
        let mut raised = draft.clone();
        if amps {
            raised.parts[which].amps *= by;
        } else {
            raised.parts[which].max_v *= by;
        }
        let (before, after) = (draft.assessed(), raised.assessed());
        let after_lines = lines(&after);
        for line in lines(&before) {
            let other = same(&after_lines, line).unwrap();
            // There a larger fuse is the mistake: the rating is the panel's own.
            if line.rule.starts_with("string fuse not above") && amps {
                prop_assert!(severity(other) >= severity(line));
            } else {
                prop_assert!(severity(other) <= severity(line), "{line:?}\n{other:?}");
            }
        }
    }

    #[test]
    fn raising_the_fuse_of_the_label_never_worsens_a_verdict(draft in drafts(), by in 0.0..20.0_f64) {
        prop_assume!(draft.label_fuse.is_some());
        let raised = Draft { label_fuse: draft.label_fuse.map(|amps| amps + by.floor()), ..draft.clone() };
        let (before, after) = (draft.assessed(), raised.assessed());
        let after = lines(&after);
        for line in lines(&before) {
            // Strings that need no protection any more leave a breaker in them a switch, which no label limits.
            let is_freed = line.kind == "breaker" && line.rule.starts_with("string fuse not above");
            match same(&after, line) {
                Some(other) => prop_assert!(severity(other) <= severity(line)),
                None => prop_assert!(is_freed, "{line:?}"),
            }
        }
    }

    #[test]
    fn what_is_recommended_breaks_no_limit(draft in drafts()) {
        let found = draft.series();
        if let Some(best) = &found.recommended {
            let assessed = draft.arranged(best.in_series, best.in_parallel).on(best.controller.as_ref()).assessed();
            for line in lines(&assessed) {
                prop_assert!(!matches!(counted(line), Verdict::Exceeded | Verdict::NotMet), "{line:?}");
            }
            prop_assert!(best.in_series * best.in_parallel <= found.panels);
        } else {
            // Then every arrangement of the panels that there are breaks something, or starves.
            for option in found.options.iter().filter(|option| option.panels_missing == 0) {
                let breaks = option.limits.iter().any(|line| matches!(counted(line), Verdict::Exceeded | Verdict::NotMet));
                prop_assert!(breaks || option.harvest_lost_percent.is_some_and(|lost| lost >= 2.0), "{option:?}");
            }
        }
    }

    #[test]
    fn what_a_larger_class_would_allow_holds_once_it_is_bought(draft in drafts()) {
        let found = draft.series();
        for larger in &found.larger_classes {
            let chosen = &larger.arrangement;
            let mut bought =
                draft.arranged(chosen.in_series, chosen.in_parallel).on(chosen.controller.as_ref());
            for part in &mut bought.parts {
                part.max_v = part.max_v.max(larger.class_v);
            }
            let assessed = bought.assessed();
            for line in lines(&assessed) {
                prop_assert!(!matches!(counted(line), Verdict::Exceeded | Verdict::NotMet), "{line:?}");
            }
        }
    }

    #[test]
    fn an_option_of_series_equals_assess_of_the_same_arrangement(draft in drafts(), pick in 0..1000_usize) {
        let found = draft.series();
        prop_assume!(!found.options.is_empty());
        let option = &found.options[pick % found.options.len()];
        let assessed =
            draft.arranged(option.in_series, option.in_parallel).on(option.controller.as_ref()).assessed();
        let apart = differs(option, &assessed);
        prop_assert!(apart.is_none(), "{}S{}P: {}", option.in_series, option.in_parallel, apart.unwrap());
    }
}

/// The random plans reach what the properties speak of: every verdict, recommendations, their absence, larger classes.
#[test]
fn random_plans_reach_every_case() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::{Config, TestRunner};
    let config = Config { failure_persistence: None, rng_seed: RngSeed::Fixed(60), ..Config::default() };
    let mut runner = TestRunner::new(config);
    let (mut recommended, mut none, mut larger) = (0, 0, 0);
    let mut verdicts = std::collections::BTreeMap::<&str, usize>::new();
    for _ in 0..120 {
        let draft = drafts().new_tree(&mut runner).unwrap().current();
        for line in lines(&draft.assessed()) {
            *verdicts.entry(counted(line).word()).or_default() += 1;
        }
        let found = draft.series();
        if found.recommended.is_some() {
            recommended += 1;
        } else {
            none += 1;
        }
        larger += usize::from(!found.larger_classes.is_empty());
    }
    assert!(recommended >= 10 && none >= 10 && larger >= 10, "{recommended} {none} {larger}");
    assert!(verdicts.len() == 5 && verdicts.values().all(|&count| count >= 5), "{verdicts:?}");
}

/// The same on seven real winters, with seasons, hours and odds: Chicago, the plan's own two in series and its neighbours.
#[test]
fn series_equals_assess_on_a_real_record() {
    let text = std::fs::read_to_string("tests/plans/chicago.toml").unwrap();
    let arranged = |in_series: usize| {
        let text = text.replace("in_series = 2", &format!("in_series = {in_series}"));
        let base = Path::new("tests/plans");
        let files = |_: &str| {
            let mut found: Vec<PathBuf> = std::fs::read_dir("tests/formats/isd_lite")
                .unwrap()
                .map(|entry| entry.unwrap().path())
                .filter(|path| {
                    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("725300-"))
                })
                .collect();
            found.sort();
            Ok(found)
        };
        plan::read(&text, &base.join("chicago.toml"), base, &files).unwrap()
    };
    let found = series(&arranged(2), &Choice::default(), &SeriesAsk::default()).unwrap();
    for in_series in 1..=3 {
        let option = found
            .options
            .iter()
            .find(|option| (option.in_series, option.in_parallel) == (in_series, 1))
            .unwrap();
        let assessed = assess(&arranged(in_series), &Choice::default()).unwrap();
        assert_eq!(differs(option, &assessed), None, "{in_series} in series");
    }
}
