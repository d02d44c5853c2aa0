//! The frame of the document: head, contents, and the sections in the order in which a client reads them.

use super::{answer, cards, checklist, client, explain, places, sure, tables};
use crate::limits::Verdict;
use crate::report::charts::{self, Chart, Role};
use crate::report::clean::{block, line};
use crate::report::show::{self, Units};
use crate::sources::{Confidence, SOURCES};
use crate::study::results::Assessment;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("style.css");

/// Forbids every request, whatever text finds its way in.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// A section with its anchor.
struct Section {
    id: &'static str,
    title: &'static str,
    body: Markup,
}

pub(super) fn document(assessment: &Assessment, charts: &[Chart]) -> Markup {
    let sections = sections(assessment, charts);
    let title = line(&assessment.title);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Cold voltage report: " (title) }
                style { (PreEscaped(STYLE)) "@media screen and (prefers-color-scheme:dark){" (PreEscaped(charts::css())) "}" }
            }
            body {
                a.skip href="#main" { "Skip to the answer" }
                header.top {
                    p.kind { "Cold voltage and current of a vehicle's solar strings" }
                    h1 dir="auto" { (title) }
                    (prepared(assessment))
                }
                main #main {
                    // The answer first: the contents follow it, so that both stand on one screen.
                    @for (index, section) in sections.iter().enumerate() {
                        section id=(section.id) aria-labelledby={ (section.id) "-title" } {
                            h2 id={ (section.id) "-title" } { (section.title) }
                            (section.body)
                        }
                        @if index == 0 { (contents(&sections)) (answer::words(assessment)) }
                    }
                }
                footer {
                    p { "Beside this page lie the charts as pictures (charts/) and the numbers as tables: limits.csv, seasons.csv and \
                         numbers.json. Their reached_at_c is the cell temperature at which panels just as their label says reach a rating in \
                         full sun (the code sum); the strongest panels reach it in less cold." }
                    p { "Made by dawnvolt " (env!("CARGO_PKG_VERSION")) ". It informs; it does not certify." }
                }
            }
        }
    }
}

fn contents(sections: &[Section]) -> Markup {
    html! {
        nav.contents aria-label="Contents" {
            ul { @for section in sections { li { a href={ "#" (section.id) } { (section.title) } } } }
        }
    }
}

fn sections(assessment: &Assessment, charts: &[Chart]) -> Vec<Section> {
    let mut sections = vec![Section { id: "answer", title: "The answer", body: answer::answer(assessment) }];
    let mut add = |id, title, body: Option<Markup>| {
        sections.extend(body.map(|body| Section { id, title, body }));
    };
    add("arrangement", "The arrangement", wiring(charts));
    add("sure", "How sure is this", sure::sure(assessment));
    add("limits", "Limits", tables::limits(assessment));
    add("charts", "Charts", leading_charts(assessment, charts));
    add("often", "How often and why", tables::how_often(assessment));
    add("places", "Places and dates", places::places(assessment, charts));
    add("trip", "The whole trip", assessment.trip.as_ref().map(|odds| tables::trip(assessment, odds)));
    add("needs", "What the array needs", tables::needs(assessment));
    // Only where some of them do not stand in the box have they a section.
    let changes: Vec<String> = assessment.changes.iter().map(|change| client::words(change)).collect();
    let changes = list(changes.iter().map(String::as_str));
    add("change", "What to change", changes.filter(|_| !answer::tells_all_changes(assessment)));
    add("label", "Label for the box", cards::labels(assessment));
    add("commissioning", "Commissioning card", cards::commissioning(assessment));
    add("by-hand", "To check by hand", Some(checklist::checklist()));
    add("cautions", "Cautions", list(assessment.cautions.iter().map(String::as_str)));
    // From here on what an inspector looks up.
    add("method", "Method and data", Some(method(assessment)));
    add("assumptions", "Assumptions", tables::assumptions(assessment));
    let several = assessment.arrays.len() > 1;
    let worked = assessment.explained.as_ref().map(|hour| explain::explained(hour, several));
    add("worked", "The worst hour by hand", worked);
    add("sources", "Sources", Some(sources()));
    add("inputs", "Inputs as typed", assessment.plan_text.as_deref().map(inputs));
    add("record", "Record details", tables::records(assessment));
    sections
}

fn prepared(assessment: &Assessment) -> Markup {
    let parts = [
        ("Prepared for", &assessment.prepared_for),
        ("by", &assessment.prepared_by),
        ("date", &assessment.date),
    ];
    html! {
        @if parts.iter().any(|(_, value)| value.is_some()) {
            p.prepared {
                @for (name, value) in parts {
                    @if let Some(value) = value { span { (name) " " bdi { (line(value)) } } " " }
                }
            }
        }
    }
}

/// The class that colours a verdict.
pub(super) fn class_of(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "within",
        Verdict::Close => "close",
        Verdict::NotAssessed => "unknown",
        Verdict::NotMet | Verdict::Exceeded => "over",
    }
}

/// A verdict word with its colour and a sign that does not need one.
pub(super) fn verdict(verdict: Verdict) -> Markup {
    verdict_word((show::verdict(verdict), verdict))
}

/// The same with a word of its own.
pub(super) fn verdict_word((word, verdict): (&str, Verdict)) -> Markup {
    let sign = match verdict {
        Verdict::Within => "✓",
        Verdict::Close => "≈",
        Verdict::NotAssessed => "?",
        Verdict::NotMet | Verdict::Exceeded => "✕",
    };
    html! { span.verdict.(class_of(verdict)) { span aria-hidden="true" { (sign) " " } (word) } }
}

/// The wiring diagrams.
fn wiring(charts: &[Chart]) -> Option<Markup> {
    let shown: Vec<&Chart> = charts.iter().filter(|chart| chart.role == Role::Wiring).collect();
    (!shown.is_empty()).then(|| html! { @for chart in shown { (figure(chart)) } })
}

/// The plan file, line by line as typed, without characters that steer. Its comments stay on the screen.
fn inputs(text: &str) -> Markup {
    let text = block(text);
    // In a text over several lines a sharp sign is no comment.
    let splits = !text.contains("\"\"\"") && !text.contains("'''");
    let lines = text.split_inclusive('\n').map(|line| if splits { comment(line) } else { (line, "", "") });
    html! {
        @if splits { p.paper { "On paper without the comments of the file; the screen has them." } }
        pre tabindex="0" {
            @for (typed, remark, end) in lines {
                (typed)
                @if !remark.is_empty() { span.remark { (remark) } }
                (end)
            }
        }
    }
}

/// A line of the plan as what counts, its comment, and its end; a line that says nothing is a comment as a whole.
fn comment(line: &str) -> (&str, &str, &str) {
    let mut quote = None;
    let mut escaped = false;
    let sharp = line.char_indices().find_map(|(at, c)| {
        match quote {
            Some('"') if escaped => escaped = false,
            Some('"') if c == '\\' => escaped = true,
            Some(open) if c == open => quote = None,
            None if c == '"' || c == '\'' => quote = Some(c),
            None if c == '#' => return Some(at),
            _ => {}
        }
        None
    });
    let typed = line[..sharp.unwrap_or(line.len())].trim_end();
    if typed.is_empty() {
        return ("", line, "");
    }
    let (remark, end) = match line.strip_suffix('\n') {
        Some(_) => (&line[typed.len()..line.len() - 1], "\n"),
        None => (&line[typed.len()..], ""),
    };
    (typed, remark, end)
}

/// The charts of each array's worst stop, and the seasons of that stop.
fn leading_charts(assessment: &Assessment, charts: &[Chart]) -> Option<Markup> {
    let leading = places::leading_stops(assessment);
    let leads = |chart: &&Chart| match chart.role {
        Role::Wiring => false,
        Role::Whole => true,
        Role::Stop(stop) => leading.contains(&stop),
    };
    let shown: Vec<&Chart> = charts.iter().filter(leads).collect();
    (!shown.is_empty()).then(|| html! { @for chart in shown { (figure(chart)) } })
}

/// Charts whose sentence is enough on paper: how they look is for the screen and for the files beside the report. The
/// shares by day of departure stand in words with the whole trip.
const SENTENCE_ON_PAPER: [&str; 5] =
    ["hours-above-volts", "season-maxima", "light-and-air", "hours-above-amps", "departure"];

/// A chart as a figure. The SVG escapes its own texts.
pub(super) fn figure(chart: &Chart) -> Markup {
    let sentence = SENTENCE_ON_PAPER.iter().any(|kind| chart.id.starts_with(kind));
    html! {
        figure.chart.aside[sentence] id=(chart.id) {
            // On a narrow screen alone: there a part of the picture is seen, and its title and key go beyond the edge.
            div.key {
                p.title dir="auto" { (line(&chart.title)) }
                @if !chart.key.is_empty() {
                    ul { @for entry in &chart.key { li dir="auto" { (PreEscaped(&entry.sign)) (line(&entry.text)) } } }
                }
            }
            p.swipe { "Wider than this screen: swipe the chart sideways." }
            div.scroll role="region" tabindex="0" aria-label={ "Chart: " (line(&chart.title)) } {
                (PreEscaped(chart.svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1)))
            }
            // The diagram says in words what its text for screen readers would repeat.
            @if chart.role != Role::Wiring {
                figcaption dir="auto" {
                    @if sentence { b.paper { (line(&chart.title)) " (not printed: see report.html on a screen, or charts/" (chart.id) ".png). " } }
                    (line(&chart.alt))
                }
            }
        }
    }
}

pub(super) fn list<'a>(items: impl Iterator<Item = &'a str>) -> Option<Markup> {
    let items: Vec<&str> = items.collect();
    (!items.is_empty()).then(|| html! { ul { @for item in items { li dir="auto" { (line(item)) } } } })
}

/// A temperature on both scales, with real minus signs.
pub(super) fn temperature(celsius: f64) -> String {
    charts::minus(&show::temperature(celsius, Units::Us))
}

fn method(assessment: &Assessment) -> Markup {
    let planner = client::for_the_planner(assessment);
    html! {
        p {
            "Each hour of the weather record is turned into the volts that a string gives with nothing connected to it \
             (open-circuit). Four such voltages of the cold stand side by side; each answers a question of its own:"
        }
        dl.terms {
            dt { "Code sum (a rule)" }
            dd { "What electrical codes ask for: the label's voltage corrected to the lowest expected air temperature of \
                  the place, in full sun of 1000 W/m². It rests on whole years, whatever the dates of the trip." }
            dt { "Steady (seen)" }
            dd { "Parked and unloaded, the cells warmed by that hour's sun as their mount lets them." }
            dt { "Sudden sun (seen)" }
            dd { "The panel still at air temperature while that moment's sun falls on it: out of a garage or shade, snow \
                  that slides off, driving in wind. In steps of five minutes." }
            dt { "Worst case (a bound)" }
            dd { "The same for the strongest panel that its label allows, cooled below the air by a clear night, under the \
                  larger of a clear sky and the file's own light. A bound: “if full clear sun fell then”." }
        }
        p {
            "A limit is exceeded where the code sum passes the rating, or the largest worst case in the days that count (those of the stay, \
             where the plan has dates), or, from \
             five complete seasons on, the worst-case level that the next season passes with the chance 1 in the number of \
             return years. It is close where the code sum lies within 5 % below the rating or the worst case within 3 %."
        }
        p {
            "Seasons run from July to June north of the equator and from January to December south of it. Chances are seasons \
             broken out of seasons seen, with a 90 % interval; none seen is not never. n-year lows follow from the mean and \
             the standard deviation of annual lows, from ten complete seasons on."
        }
        @if let Some(planner) = list(planner.iter().map(String::as_str)) {
            h3 { "For whoever made this plan: what this page asks for, with the plan's keys" }
            div.planner { (planner) }
        }
    }
}

/// What stands above the sources of each confidence.
const CONFIDENCES: [(Confidence, &str); 3] = [
    (Confidence::Read, "Read in the text itself"),
    (Confidence::Secondary, "Known through another text or a reference library that cites them"),
    (Confidence::Memory, "Cited from memory, not checked in the text: look there before you rely on one"),
];

fn sources() -> Markup {
    html! {
        @for (confidence, title) in CONFIDENCES {
            h3 { (title) }
            ul.sources {
                @for source in SOURCES.iter().filter(|source| source.confidence == confidence) {
                    li { b { (source.key) } ": " (source.text) }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_comments_stay_off_paper() {
        assert_eq!(comment("max_v = 50   # dc volts\n"), ("max_v = 50", "   # dc volts", "\n"));
        assert_eq!(comment("name = \"box # 2\"\n"), ("name = \"box # 2\"", "", "\n"));
        assert_eq!(comment("name = 'a \\' # b"), ("name = 'a \\'", " # b", ""));
        assert_eq!(comment("name = \"a \\\" # b\" # c\n"), ("name = \"a \\\" # b\"", " # c", "\n"));
        assert_eq!(comment("# all of it\n"), ("", "# all of it\n", ""));
        assert_eq!(comment("\n"), ("", "\n", ""));
    }
}
