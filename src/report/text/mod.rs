//! Results as text for a terminal: the answer first.

mod brief;
mod explain;
pub(in crate::report) mod page;
mod picture;
mod series;
mod station;
mod stop;

use super::asides;
use super::show::{self, Units};
use super::view::{self, Judged};
use crate::limits::rules::short;
use crate::limits::{DecidedBy, Verdict};
use crate::note::Note;
use crate::study::results::{ArrayFacts, Assessment, NotGiven, TripOdds};
use crate::units::at_least;
pub(in crate::report) use page::{Align, Page};

pub use brief::assess_in_brief;
pub use explain::explain;
pub use picture::Picture;
pub use series::series;
pub use station::{station_in_brief, stations};

/// Whether verdict words carry colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Colour {
    /// Never.
    #[default]
    Never,
    /// Always.
    Always,
}

/// How text is set.
#[derive(Clone, Copy, Debug)]
pub struct TextOptions {
    /// Columns of the terminal; below 40 it is set as if there were 40.
    pub width: usize,
    /// Whether verdict words carry colour.
    pub colour: Colour,
    /// Units beside the SI ones.
    pub units: Units,
}

impl Default for TextOptions {
    fn default() -> Self {
        Self { width: 100, colour: Colour::Never, units: Units::Si }
    }
}

/// The verdict and its sentence alone, ending with a line break.
#[must_use]
pub fn headline(assessment: &Assessment, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    head(&mut page, assessment);
    page.finish()
}

fn head(page: &mut Page, assessment: &Assessment) {
    page.verdict_line(view::headline(assessment), &assessment.title);
    let summary = view::sentence(&assessment.summary);
    // What breaks is told before what is not there; where nothing breaks nobody is to stop reading before what is not there.
    let breaks = matches!(assessment.verdict, Verdict::Exceeded | Verdict::NotMet);
    if breaks {
        page.paragraph(0, &summary);
    }
    for lacking in view::lacking(assessment) {
        page.paragraph(0, &lacking);
    }
    view::unprotected(assessment).iter().for_each(|unprotected| page.paragraph(0, unprotected));
    if !breaks {
        page.paragraph(0, &summary);
    }
}

/// The assessment as text, ending with a line break: everything that was found.
#[must_use]
pub fn assess(assessment: &Assessment, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    head_and_missing(&mut page, assessment);
    if assessment.stops.len() > 1 {
        page.heading("Limits, each at the stop where it fares worst");
        overview(&mut page, assessment);
    }
    if let Some(counts) = asides::counts_sentence(assessment) {
        page.named(0, "Counts", &counts);
    }
    all_needs(&mut page, assessment);
    changes(&mut page, assessment);
    if let Some(odds) = &assessment.trip {
        page.heading("The whole trip");
        trip(&mut page, assessment, odds);
    }
    for (index, result) in assessment.stops.iter().enumerate() {
        stop::stop(&mut page, assessment, index, result);
    }
    let on_the_plan: Vec<&Note> = view::told(&assessment.notes).collect();
    if !on_the_plan.is_empty() {
        page.heading("Notes on the plan");
        notes(&mut page, 0, &on_the_plan);
    }
    page.heading("Assumptions");
    for assumption in &assessment.assumptions {
        let unit = if assumption.unit.is_empty() { "" } else { " " };
        page.bullet(
            0,
            &format!(
                "{}: {}{unit}{} ({})",
                assumption.name, assumption.value, assumption.unit, assumption.why
            ),
        );
    }
    cautions(&mut page, assessment);
    page.finish()
}

fn head_and_missing(page: &mut Page, assessment: &Assessment) {
    head(page, assessment);
    if let Some(dates) = view::other_dates(assessment) {
        page.paragraph(0, &dates);
    }
    for beside in view::beside_the_answer(assessment) {
        page.paragraph(0, &beside);
    }
    for missing in &assessment.missing {
        page.bullet(0, missing);
    }
    prepared(page, assessment);
}

fn all_needs(page: &mut Page, assessment: &Assessment) {
    for facts in &assessment.arrays {
        if assessment.arrays.len() > 1 {
            page.heading(&format!("What array {} needs", facts.name));
        } else {
            page.heading("What the array needs");
        }
        needs(page, assessment, facts);
    }
}

fn changes(page: &mut Page, assessment: &Assessment) {
    if !assessment.changes.is_empty() {
        page.heading("What to change");
        for change in &assessment.changes {
            page.bullet(0, change);
        }
    }
}

fn cautions(page: &mut Page, assessment: &Assessment) {
    page.heading("Cautions");
    for caution in &assessment.cautions {
        page.bullet(0, caution);
    }
}

fn prepared(page: &mut Page, assessment: &Assessment) {
    let mut parts = Vec::new();
    if let Some(client) = &assessment.prepared_for {
        parts.push(format!("for {client}"));
    }
    if let Some(author) = &assessment.prepared_by {
        parts.push(format!("by {author}"));
    }
    if let Some(date) = &assessment.date {
        parts.push(date.clone());
    }
    if !parts.is_empty() {
        page.paragraph(0, &format!("Prepared {}", parts.join(", ")));
    }
}

/// One line a limit, at the stop where it fares worst; which stop that is where there are several.
fn overview(page: &mut Page, assessment: &Assessment) {
    let (arrays, stops) = (assessment.arrays.len() > 1, assessment.stops.len() > 1);
    let mut header = vec!["verdict", "component", "rating", "decides", "margin", "decided by"];
    let mut align = vec![Align::Left, Align::Left, Align::Right, Align::Right, Align::Left, Align::Left];
    if stops {
        header.push("stop");
        align.push(Align::Left);
    }
    if arrays {
        header.insert(1, "array");
        align.insert(1, Align::Left);
    }
    let all = view::worst_of_each(assessment);
    let mut rows = Vec::new();
    for facts in &assessment.arrays {
        let own = all.iter().filter(|judged| judged.array.name == facts.name).map(|judged| {
            let name = view::shown_name(assessment, &facts.name, &judged.limit.component);
            let mut row = vec![verdict_of(judged).to_owned(), name];
            row.extend(limit_figures(judged));
            if stops {
                let everywhere = judged.is_everywhere();
                row.push(if everywhere { "every stop".to_owned() } else { judged.stop.place.clone() });
            }
            row
        });
        let mut own: Vec<Vec<String>> = own.collect();
        for lacking in &facts.not_given {
            let mut row = not_given(assessment, &facts.name, lacking);
            if stops {
                row.push("every stop".to_owned());
            }
            put_below_its_own(&mut own, row);
        }
        if arrays {
            own.iter_mut().for_each(|row| row.insert(1, facts.name.clone()));
        }
        rows.extend(own);
    }
    page.table(&header, &align, rows);
    why_not_judged(page, assessment.arrays.iter().any(|facts| !facts.not_given.is_empty()));
}

/// The row of a rating that the plan does not give: no limit, and no praise either.
fn not_given(assessment: &Assessment, array: &str, lacking: &NotGiven) -> Vec<String> {
    vec![
        view::NOT_GIVEN.to_owned(),
        view::shown_name(assessment, array, &lacking.component),
        "-".to_owned(),
        view::must_stand(lacking),
        "-".to_owned(),
        format!("no {}", lacking.key),
    ]
}

/// Puts a row behind the others of the same component, which is the second cell; behind all where there are none.
fn put_below_its_own(rows: &mut Vec<Vec<String>>, row: Vec<String>) {
    let last = rows.iter().rposition(|other| other.get(1) == row.get(1));
    rows.insert(last.map_or(rows.len(), |last| last + 1), row);
}

/// What stands under a table with such rows.
fn why_not_judged(page: &mut Page, any: bool) {
    if any {
        page.paragraph(1, view::WHY_NOT_JUDGED);
    }
}

/// The worse of the dated and the whole-year verdict, since that one counts.
fn verdict_of(judged: &Judged<'_>) -> &'static str {
    show::verdict(view::counting_verdict(judged.limit))
}

/// Rating, worst, margin, who decided.
fn limit_figures(judged: &Judged<'_>) -> [String; 4] {
    let limit = judged.limit;
    [
        limit.rating.map_or_else(|| "-".to_owned(), |rating| show::rating(rating, &limit.unit)),
        limit.worst.map_or_else(|| "-".to_owned(), |worst| show::demand(worst, &limit.unit)),
        limit.margin_percent.map_or_else(|| "-".to_owned(), show::margin),
        limit
            .decided_by
            .map_or("-", |by| match by {
                DecidedBy::Rule => short::in_short(&limit.rule).unwrap_or_else(|| show::decided_by(by)),
                _ => show::decided_by(by),
            })
            .to_owned(),
    ]
}

fn needs(page: &mut Page, assessment: &Assessment, facts: &ArrayFacts) {
    for line in &facts.layout {
        page.paragraph(1, line);
    }
    page.paragraph(
        1,
        &format!(
            "label: {} in series, {} short circuit; x 1.25 = {}, x 1.5625 = {}",
            show::volts(facts.stc_v),
            show::amps(facts.isc_a),
            show::exact_amps(facts.max_circuit_a),
            show::exact_amps(facts.conductor_a)
        ),
    );
    let needs = view::needs(&facts.needs);
    let from = match facts.needs.volts_from.as_str() {
        "" => String::new(),
        from => format!(" ({from})"),
    };
    let volts = match facts.needs.components.first().and_then(|need| need.volts) {
        Some(_) => format!("buy by {}, rounded up", needs[0].volts),
        None => "unknown".to_owned(),
    };
    let more = crate::study::to_buy_by_more(assessment, facts)
        .map_or_else(String::new, |(more_v, why)| format!("; better by {:.1} V{why}", at_least(more_v)));
    page.paragraph(1, &format!("Volts of every part: {volts}{from}{more}"));
    if let Some(other) = view::other_way(assessment, facts) {
        page.paragraph(1, &other);
    }
    let rows = needs.iter().map(|need| {
        let in_plan = need.in_plan.to_owned();
        vec![
            need.component.to_owned(),
            in_plan,
            need.amps.clone(),
            view::class_to_buy(assessment, facts, need),
            need.remark.to_owned(),
        ]
    });
    page.remarked(
        &["component", "in plan", "at least", "common class", "remark"],
        &[Align::Left, Align::Left, Align::Right, Align::Left, Align::Left],
        rows.collect(),
    );
    for remark in &facts.needs.remarks {
        page.paragraph(1, remark);
    }
    notes(page, 1, &view::told(&facts.notes).collect::<Vec<_>>());
}

fn trip(page: &mut Page, assessment: &Assessment, odds: &TripOdds) {
    page.paragraph(0, &view::trip_sentence(assessment, odds));
    if let (Some(stop), Some(component)) = (&odds.deciding_stop, &odds.deciding_component) {
        page.paragraph(0, &format!("Worst margin in volts: {component} at {stop}"));
    }
    for remark in view::trip_remarks(assessment, odds) {
        page.paragraph(0, &remark);
    }
    let departures = view::departures(assessment, odds);
    if !departures.is_empty() {
        let rows = departures
            .iter()
            .map(|departure| vec![view::shift_words(departure.shift_days), show::chance(departure.chance)])
            .collect();
        page.table(&["departure", "seasons broken"], &[Align::Left, Align::Right], rows);
    }
    let counted = view::departures_seen(assessment, odds);
    if !counted.is_empty() {
        page.paragraph(0, &format!("{}:", view::DEPARTURES_SEEN));
        let rows = counted
            .iter()
            .map(|departure| vec![view::shift_words(departure.shift_days), view::seen_words(departure)])
            .collect();
        page.table(&["departure", "seasons broken"], &[Align::Left, Align::Right], rows);
        page.paragraph(0, view::DEPARTURES_SEEN_SAY_LITTLE);
    }
}

fn notes(page: &mut Page, depth: usize, notes: &[&Note]) {
    for note in notes {
        page.bullet(depth, &view::note_text(note));
    }
}

/// The colour of a verdict word: an escape sequence that any terminal knows (ECMA-48 SGR).
fn colour_of(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "\u{1b}[32m",
        Verdict::Close | Verdict::NotAssessed => "\u{1b}[33m",
        Verdict::NotMet | Verdict::Exceeded => "\u{1b}[31m",
    }
}
