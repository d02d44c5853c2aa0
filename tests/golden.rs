//! Thirty invented plans, from small vans to a truck of 2.4 kW and boats, each with the verdict of every limit worked by
//! hand, at the end of its file, before the program ran on it. Where reasoning and program disagreed, the line says who was
//! right and why. Current factors, table of ampacities and voltage corrections: NFPA 70 (NEC) 690.7 to 690.9, 310.16;
//! bands of 5 % and 3 %: the project's own definitions.
#![expect(clippy::unwrap_used)]

use dawnvolt::limits::Verdict;
use dawnvolt::plan;
use dawnvolt::study::results::{Assessment, LimitLine};
use dawnvolt::study::{Choice, assess, counted};
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

fn plans() -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir("tests/plans/golden")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    found.sort();
    found
}

/// The short name of a rule in the expectations.
fn rule(line: &LimitLine) -> &'static str {
    let begins = [
        ("largest open-circuit volts", "volts"),
        ("opens all conductors", "conductors"),
        ("rated for direct current", "dc rating"),
        ("rated current", "amps"),
        ("largest array short-circuit current", "amps"),
        ("ampacity", "ampacity"),
        ("string fuse not above", "label fuse"),
        ("lead protected", "lead"),
        ("touch voltage", "touch"),
    ];
    begins.into_iter().find(|(begin, _)| line.rule.starts_with(begin)).unwrap().1
}

/// Every limit line, with or without weather.
fn lines(found: &Assessment) -> Vec<&LimitLine> {
    let alone = found.arrays.iter().filter_map(|array| array.code_alone.as_ref());
    let at_stops = found.stops.iter().flat_map(|stop| &stop.arrays);
    alone.flat_map(|code| &code.limits).chain(at_stops.flat_map(|array| &array.limits)).collect()
}

/// "within", or with trip dates "within for these dates, exceeded by the code sum".
fn verdict_words(line: &LimitLine, dated: bool) -> String {
    match line.code_verdict.filter(|_| dated) {
        Some(code) => {
            format!("{} for these dates, {} by the code sum", line.verdict.word(), code.word())
        }
        None => counted(line).word().to_owned(),
    }
}

#[test]
fn every_verdict_of_thirty_plans() {
    let paths = plans();
    assert_eq!(paths.len(), 30);
    let mut wrong = Vec::new();
    let mut judged: BTreeMap<String, usize> = BTreeMap::new();
    for path in &paths {
        let text = fs::read_to_string(path).unwrap();
        let name = path.file_stem().unwrap().to_string_lossy();
        let plan = plan::load(path).unwrap_or_else(|error| panic!("{name}: {error}"));
        let found = assess(&plan, &Choice::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        let dated = plan.stops.iter().any(|stop| stop.window.is_some());
        let mut expected: BTreeMap<(String, String), String> = BTreeMap::new();
        for line in text.lines().filter_map(|line| line.strip_prefix("#= ")) {
            let parts: Vec<&str> = line.split(" | ").map(str::trim).collect();
            if let [component, rule, verdict, why] = parts[..] {
                assert!(!why.is_empty(), "{name}: {line}");
                let before = expected.insert((component.into(), rule.into()), verdict.into());
                assert_eq!(before, None, "{name}: {line}");
            } else {
                let verdict = line.strip_prefix("verdict ").unwrap();
                if found.verdict.word() != verdict {
                    wrong.push(format!("{name}: whole: {}, by hand {verdict}", found.verdict.word()));
                }
            }
        }
        for line in lines(&found) {
            let key = (line.component.clone(), rule(line).to_owned());
            let words = verdict_words(line, dated && line.unit == "V");
            match expected.remove(&key) {
                Some(by_hand) if by_hand == words => {
                    *judged.entry(counted(line).word().into()).or_default() += 1;
                }
                by_hand => wrong.push(format!(
                    "{name}: {} {}: {words} ({}), by hand {by_hand:?}",
                    key.0, key.1, line.reason
                )),
            }
        }
        wrong.extend(expected.keys().map(|key| format!("{name}: {key:?} is missing")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // every word of a verdict is reached
    for verdict in [Verdict::Within, Verdict::Close, Verdict::NotAssessed, Verdict::NotMet, Verdict::Exceeded]
    {
        assert!(judged.contains_key(verdict.word()), "{judged:?}");
    }
}
