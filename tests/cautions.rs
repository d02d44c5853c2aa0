//! Every caution stands in the report and in the closing lines of `assess`, and the checklist in the report.
#![expect(clippy::unwrap_used)]

use dawnvolt::limits::mistakes::CHECKLIST;
use dawnvolt::plan;
use dawnvolt::report::{self, charts, text};
use dawnvolt::study::{Choice, assess};
use std::path::Path;

/// What has to be said in every report, in its own key words (common practice, no source; 60 V, 30 V: IEC 60364-4-41).
const SAID: [&str; 22] = [
    "live whenever light falls on it",
    "at dusk",
    "under snow edges",
    "by lamps",
    "not make the roof side dead",
    "work in the dark, and test before touching",
    "Above 60 V dc (30 to 35 V where wet)",
    "open-circuit volts decide, not battery volts",
    "A dc arc does not stop by itself",
    "Never pull connectors under load",
    "dc-rated, correctly poled load-break devices",
    "Battery first on, array first off",
    "its own fuse near the battery",
    "frost hollows and ridges can be several degrees colder",
    "bright bursts of seconds",
    "cooled below the air on clear nights",
    "The code sum governs; a lower weather figure is not permission",
    "tolerance beyond the stated one",
    "ageing, mixed panels and shade are yours to add",
    "the makers' manuals (the largest PV volts above all) and a licensed or competent person come first",
    "rules differ by country, vehicle and boat",
    "Not for buildings, grid-tied systems or more than 1000 V",
];

/// One blank between words, whatever the line breaks.
fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_caution_in_every_text() {
    for path in ["data/demo/plan.toml", "tests/plans/golden/04-van-2s2p-24v-sound.toml"] {
        let plan = plan::load(Path::new(path)).unwrap();
        let found = assess(&plan, &Choice::default()).unwrap();
        let options = text::TextOptions::default();
        let [full, brief] = [text::assess(&found, &options), text::assess_in_brief(&found, &options)]
            .map(|page| joined(page.split("\nCautions\n").nth(1).unwrap()));
        let html = report::html(&found, &charts::all(&found).unwrap());
        let html = joined(&html.replace("&#39;", "'").replace("&quot;", "\"").replace("&amp;", "&"));
        for words in SAID {
            assert!(full.contains(words) && brief.contains(words), "{path}, closing lines: {words}");
            assert!(html.contains(words), "{path}, report: {words}");
        }
        for line in CHECKLIST {
            assert!(html.contains(line), "{path}, checklist: {line}");
        }
    }
}

/// `series` says those that bear on its question, and where the others stand; its JSON holds all.
#[test]
fn what_can_hurt_is_said_by_series_too() {
    use dawnvolt::study::series::{SeriesAsk, series};
    let plan = plan::load(Path::new("data/demo/plan.toml")).unwrap();
    let found = series(&plan, &Choice::default(), &SeriesAsk::default()).unwrap();
    let shown = joined(&text::series(&found, &text::TextOptions::default()));
    let all = found.cautions.join(" ");
    for (words, said) in SAID.iter().zip(SAID.map(|words| shown.contains(words))) {
        assert!(all.contains(words), "{words}");
        let hurts = [
            "Battery first on",
            "its own fuse",
            "frost",
            "bursts",
            "cooled below",
            "The code sum governs",
            "tolerance",
            "ageing",
            "Not for",
        ];
        assert_eq!(said, !hurts.iter().any(|other| words.contains(other)), "{words}");
    }
    assert!(shown.contains("`dawnvolt assess` and the report print all"));
}

/// A label beside a box says what must hold, not what a device is that opens one conductor only.
#[test]
fn a_label_claims_nothing_of_a_device_of_one_pole() {
    let text = std::fs::read_to_string("data/demo/plan.toml").unwrap();
    let text = text.replace("poles_opened = 2", "poles_opened = 1");
    let plan = plan::from_text(text.as_bytes(), Path::new("plan.toml"), Path::new("data/demo")).unwrap();
    let found = assess(&plan, &Choice::default()).unwrap();
    let html = report::html(&found, &charts::all(&found).unwrap());
    assert!(html.contains("It must open both conductors at once"));
    assert!(!html.contains("Opens both conductors"));
}
