//! What `rules` in a plan changes: whose clauses are cited, in every text, and what may protect a cable; nothing else. Plans and
//! places invented. That a clause is the right one stands with its source in `sources.rs`; here is looked at whose it is.
#![expect(clippy::unwrap_used)]

use dawnvolt::assumptions::Rules;
use dawnvolt::plan::{self, Plan};
use dawnvolt::report::{self, text};
use dawnvolt::study::results::{Assessment, LimitLine};
use dawnvolt::study::series::{SeriesAsk, series};
use dawnvolt::study::{Choice, Detail, assess, explain};
use std::path::{Path, PathBuf};

const ALL: [Rules; 4] = [Rules::All, Rules::Nec2023, Rules::Iec, Rules::AsNzs];

/// What a text under other rules may say of the NEC: that a figure is its own, openly, each with the words around it.
const OPENLY: [&str; 6] = [
    "NEC Table 310.16",
    "(NEC Table 690.7(A)) in place of the label's coefficient",
    "the note to NEC 690.7",
    "1.25 x 1.25, as NEC 690.8(B) asks, kept since it is stricter",
    "a figure of NEC 690.7",
    "a figure of NEC 310.15(B)",
];
/// The table of factors and its source, where a label has no coefficient and the worked sum is the table's.
const OF_THE_TABLE: [&str; 2] =
    ["NEC690.7", "NFPA 70 (NEC) 2023, 690.7(A) and Table 690.7(A): largest voltage of a PV circuit"];
/// Standards of products, which stand under all rules.
const OF_PRODUCTS: [&str; 3] = ["label, IEC 61730", "IEC 62852: without breaking capacity", "IEC 60947-3"];

/// A plan's text, and where its files lie.
struct Typed {
    name: String,
    text: String,
    folder: PathBuf,
}

impl Typed {
    fn under(&self, rules: Rules) -> Plan {
        let word = match rules {
            Rules::All => "",
            Rules::Nec2023 => "rules = 'nec-2023'\n",
            Rules::Iec => "rules = 'iec'\n",
            Rules::AsNzs => "rules = 'as-nzs'\n",
        };
        let find = |pattern: &str| plan::weather_files(&self.folder, pattern);
        plan::read(&format!("{word}{}", self.text), Path::new("plan.toml"), &self.folder, &find).unwrap()
    }
}

/// The demo, the stories, and plans with fuses, thin cables, no coefficient, no disconnect.
fn plans() -> Vec<Typed> {
    let golden = ["05", "09", "16", "24"];
    let mut plans = Vec::new();
    for folder in ["data/demo", "data/stories", "tests/plans/golden"] {
        let mut paths: Vec<PathBuf> =
            std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        paths.sort();
        for path in paths.iter().filter(|path| path.extension().is_some_and(|end| end == "toml")) {
            let file = path.file_name().unwrap().to_string_lossy();
            if !folder.ends_with("golden") || golden.iter().any(|number| file.starts_with(number)) {
                plans.push(Typed {
                    name: path.display().to_string(),
                    text: std::fs::read_to_string(path).unwrap(),
                    folder: folder.into(),
                });
            }
        }
    }
    let trunk = "[[component]]\nkind = 'cable'\nmm2 = 10\ninsulation_c = 90\nambient_c = 45\n\
                 [[component]]\nkind = 'breaker'\nmax_v = 150\nrated_a = 63\npoles_opened = 2\n";
    let leads =
        "[[component]]\nkind = 'cable'\ncarries = 'string'\nawg = 14\ninsulation_c = 90\nambient_c = 75\n";
    for (name, strings, more) in [
        ("cable and breaker", 4, trunk.to_owned()),
        ("a string alone", 1, String::new()),
        ("thin leads", 4, leads.to_owned()),
        (
            "thin leads behind fuses",
            4,
            format!("{leads}[[component]]\nkind = 'fuse'\ncarries = 'string'\nmax_v = 600\nrated_a = 25\n"),
        ),
    ] {
        plans.push(Typed {
            name: name.to_owned(),
            text: format!(
                "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = 5.8\nvoc_temp_coeff = '-0.30 %/K'\nmax_series_fuse_a = 10\n\
                 [[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = {strings}\nmount = 'roof'\n{more}\
                 [[component]]\nkind = 'connector'\nmax_v = 50\nrated_a = 30\n[assumptions]\ncode_temperature = -20\n"
            ),
            folder: ".".into(),
        });
    }
    plans
}

/// One blank between words, whatever the line breaks, and the marks of a page as they are read.
fn joined(text: &str) -> String {
    let text = text.replace("&#39;", "'").replace("&quot;", "\"").replace("&amp;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Every text that a plan gives, but the list of sources and the plan itself as typed.
fn texts(plan: &Plan, found: &Assessment) -> Vec<(&'static str, String)> {
    let options = text::TextOptions::default();
    let page = report::html(found, &[]);
    let (first, rest) = page.split_once("id=\"sources\"").unwrap();
    let last = rest.split_once("id=\"inputs\"").unwrap().1.split_once("</section>").unwrap().1;
    let mut texts = vec![
        ("assess --full", text::assess(found, &options)),
        ("assess", text::assess_in_brief(found, &options)),
        ("report", format!("{first}{last}")),
        ("json", report::json(found)),
    ];
    if let [_] = plan.arrays.as_slice() {
        let shown = series(plan, &Choice::default(), &SeriesAsk::default());
        texts.extend(shown.map(|shown| ("series", text::series(&shown, &options))));
    }
    for stop in &plan.stops {
        let choice = Choice { stop: Some(stop.place.clone()), ..Choice::default() };
        let shown = explain(plan, &choice, None);
        texts.extend(shown.map(|shown| ("explain", text::explain(&shown, &options))));
    }
    texts.into_iter().map(|(name, text)| (name, joined(&text))).collect()
}

/// What is left of a text without the sentences that it may say.
fn without(text: &str, allowed: &[&str]) -> String {
    allowed.iter().fold(text.to_owned(), |text, allowed| text.replace(allowed, ""))
}

/// The place where a code is named, with the words before and behind; `None` where none is.
fn named<'a>(text: &'a str, codes: &[&str]) -> Option<&'a str> {
    let at = codes.iter().find_map(|code| {
        text.match_indices(code).map(|(at, _)| at).find(|&at| {
            let before = text[..at].chars().next_back();
            !before.is_some_and(|before| before.is_ascii_alphanumeric())
        })
    })?;
    let from = (0..=at.saturating_sub(60)).rev().find(|&from| text.is_char_boundary(from)).unwrap_or(0);
    let to = (at + 40..=text.len()).find(|&to| text.is_char_boundary(to)).unwrap_or(text.len());
    Some(&text[from..to])
}

/// A limit line without what `rules` is there to change.
fn figures(line: &LimitLine) -> String {
    let rule = line.rule.split(" (").next().unwrap();
    format!(
        "{}, {rule}: {:?} {:?} {:?} {:?} {:?}",
        line.component, line.rating, line.worst, line.verdict, line.code_verdict, line.hours_per_year
    )
}

/// Lines of all stops but of what protects a lead, which the rules decide.
fn lines(found: &Assessment) -> Vec<String> {
    let at_stops = found.stops.iter().flat_map(|stop| &stop.arrays).flat_map(|array| &array.limits);
    let alone = found.arrays.iter().flat_map(|array| &array.code_alone).flat_map(|code| &code.limits);
    at_stops.chain(alone).filter(|line| !line.rule.starts_with("lead protected")).map(figures).collect()
}

/// Two of the figures that must not move: the volts of every stop, and what every part must stand.
fn needs(found: &Assessment) -> String {
    let volts: Vec<String> = found
        .stops
        .iter()
        .flat_map(|stop| stop.arrays.iter().map(move |array| (stop, array)))
        .map(|(stop, array)| format!("{:?} {:?}", stop.design_temperature_c, array.voltage_v))
        .collect();
    let parts = found.arrays.iter().flat_map(|array| &array.needs.components);
    let parts: Vec<String> =
        parts.map(|part| format!("{} {:?} {:.6}", part.component, part.volts, part.amps)).collect();
    format!("{volts:?}{parts:?}")
}

#[test]
fn the_rules_that_a_plan_names_are_cited_alone_and_change_no_figure() {
    let mut told = [false; OPENLY.len()];
    let mut cited = [false; 4];
    for typed in plans() {
        let mut before: Option<Assessment> = None;
        let of_the_table: &[&str] = if typed.text.contains("voc_temp_coeff") { &[] } else { &OF_THE_TABLE };
        for (index, rules) in ALL.into_iter().enumerate() {
            let plan = typed.under(rules);
            let choice = Choice { detail: Detail::Pictures, ..Choice::default() };
            let found = assess(&plan, &choice).unwrap();
            for (whence, text) in texts(&plan, &found) {
                let left = match rules {
                    Rules::All => text.clone(),
                    Rules::Nec2023 => without(&text, &OF_PRODUCTS),
                    Rules::Iec => without(&without(&text, &OPENLY), of_the_table),
                    Rules::AsNzs => without(&without(&without(&text, &OPENLY), of_the_table), &OF_PRODUCTS),
                };
                let others: &[&str] = match rules {
                    Rules::All => &[],
                    Rules::Nec2023 => &["IEC", "AS/NZS", "ASNZS"],
                    Rules::Iec => &["NEC", "NFPA", "AS/NZS", "ASNZS"],
                    Rules::AsNzs => &["NEC", "NFPA", "IEC 60364", "IEC60364", "IEC 62548", "IEC 60059"],
                };
                let name = &typed.name;
                assert_eq!(named(&left, others), None, "{name}, {rules:?}, {whence}");
                // The figures that stay the NEC's are told as such, and whoever names rules reads them cited.
                if matches!(rules, Rules::Iec | Rules::AsNzs) {
                    for (told, words) in told.iter_mut().zip(OPENLY) {
                        *told |= text.contains(words);
                    }
                }
                // The finder would see what names no rules.
                if rules == Rules::All && whence == "assess --full" {
                    assert!(named(&without(&text, &OPENLY), &["NEC"]).is_some(), "{name}");
                }
                let own = [&["NEC", "IEC"][..], &["NEC"], &["IEC"], &["AS/NZS"]][index];
                cited[index] |= own.iter().all(|own| named(&text, &[own]).is_some());
                if whence == "assess --full" {
                    assert!(text.contains("- rules cited: "), "{name}");
                }
            }
            match &before {
                None => before = Some(found),
                Some(before) => {
                    let name = format!("{}, {rules:?}", typed.name);
                    assert_eq!(lines(before), lines(&found), "{name}");
                    assert_eq!(needs(before), needs(&found), "{name}");
                    let has_leads = |found: &Assessment| {
                        let at_stops = found.stops.iter().flat_map(|stop| &stop.arrays);
                        let alone = found.arrays.iter().flat_map(|array| &array.code_alone);
                        let lines = at_stops.flat_map(|array| &array.limits);
                        lines
                            .chain(alone.flat_map(|code| &code.limits))
                            .any(|line| line.rule.starts_with("lead protected"))
                    };
                    assert!(
                        before.verdict == found.verdict || has_leads(before) || has_leads(&found),
                        "{name}"
                    );
                }
            }
        }
    }
    assert_eq!(cited, [true; 4], "each of the rules is cited somewhere");
    for (told, words) in told.iter().zip(OPENLY) {
        assert!(told, "no text says \"{words}\" any more: take it out of the list");
    }
}

/// The finder itself: it sees a clause of another code, and takes no word for one.
#[test]
fn a_clause_of_another_code_is_seen() {
    assert_eq!(named("one needs none (NEC 690.9(A))", &["NEC"]), Some("one needs none (NEC 690.9(A))"));
    assert_eq!(named("CONNECTOR and DISCONNECT", &["NEC"]), None);
    assert_eq!(named(&without("as the note to NEC 690.7 suggests", &OPENLY), &["NEC"]), None);
}

/// 23.2 A ask for 36.25 A, 1.5625 times: the next breaker is one of 40 A by both series (NEC 240.6(A), IEC 60059, from memory). Two
/// strings of 10.3 A ask for 32.2 A, so 35 A and 40 A; six of 6.2 A for 58.1 A, so 60 A and 63 A. By hand.
#[test]
fn a_breaker_is_advised_in_the_series_of_the_rules_named() {
    let class = |strings: u32, isc_a: f64, rules: Rules| {
        let text = format!(
            "[[module]]\nid = 'p'\nvoc_v = 22.5\nisc_a = {isc_a}\nvoc_temp_coeff = '-0.30 %/K'\nmax_series_fuse_a = 30\n\
             [[string]]\nmodules = 'p'\nin_series = 2\nin_parallel = {strings}\nmount = 'roof'\n\
             [assumptions]\ncode_temperature = -20\n"
        );
        let plan = Typed { name: String::new(), text, folder: ".".into() }.under(rules);
        let found = assess(&plan, &Choice::default()).unwrap();
        let need = found.arrays[0].needs.components.iter().find(|need| need.component.starts_with("breaker"));
        let need = need.unwrap().clone();
        (need.next_class_a, need.remark.contains("IEC 60059"))
    };
    for (strings, isc_a, nec_a, iec_a) in [(4, 5.8, 40.0_f64, 40.0), (2, 10.3, 35.0, 40.0)] {
        assert_eq!(class(strings, isc_a, Rules::All), (Some(nec_a.min(iec_a)), nec_a != iec_a));
        assert_eq!(class(strings, isc_a, Rules::Nec2023), (Some(nec_a), false));
        assert_eq!(class(strings, isc_a, Rules::Iec), (Some(iec_a), false));
        assert_eq!(class(strings, isc_a, Rules::AsNzs), (Some(iec_a), false));
    }
    assert_eq!(class(6, 6.2, Rules::Nec2023), (Some(60.0), false));
}
