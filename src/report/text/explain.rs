//! A worked calculation as text.

use super::page::{Align, Page};
use super::{TextOptions, show};
use crate::report::view;
use crate::sources;
use crate::study::explain::{Explained, HourFigures, Part, Quantity, WorkedStep};

/// The calculation as text, ending with a line break.
#[must_use]
pub fn explain(explained: &Explained, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    page.paragraph(
        0,
        &format!(
            "{}: array \"{}\" at {}, string {}, the hour from {} ({} local time), {}",
            explained.title,
            explained.array,
            explained.place,
            explained.string,
            explained.at,
            explained.local,
            explained.chosen
        ),
    );
    page.paragraph(0, &format!("Reading: {}", explained.line));
    in_short(&mut page, explained);
    let mut keys = Vec::new();
    for part in &explained.parts {
        part_of(&mut page, part, &mut keys);
    }
    page.heading("What the run itself has for this hour");
    page.table(&["figure", "value"], &[Align::Left, Align::Right], figures(&explained.figures));
    for remark in &explained.remarks {
        page.bullet(0, remark);
    }
    page.heading("Sources");
    for key in keys {
        let text = sources::find(key).map_or("", |source| source.text);
        page.bullet(0, &format!("{key}: {text}"));
    }
    page.finish()
}

/// The answer first: the four voltages, who decides, and the way from the label.
fn in_short(page: &mut Page, explained: &Explained) {
    let short = &explained.in_short;
    page.heading("In short");
    // In an hour of sun no worst case is nothing.
    let dark = if explained.figures.worst_case_v == Some(0.0) { " (dark)" } else { "" };
    let volts = |volts: Option<f64>, dark: &str| {
        volts.map_or_else(|| "-".to_owned(), |volts| format!("{}{dark}", show::volts(volts)))
    };
    let code = match short.code_temperature_c {
        Some(air_c) => {
            format!("full sun on cells at {}, whatever the hour", show::temperature(air_c, page.units))
        }
        None => "no code temperature".to_owned(),
    };
    let rows = [
        ("code sum", short.code_v, code.as_str()),
        ("steady", explained.figures.steady_v, "parked and unloaded in this hour's sun"),
        ("sudden sun", explained.figures.sudden_sun_v, "the panel at air temperature in this hour's sun"),
        (
            "worst case",
            explained.figures.worst_case_v,
            "the strongest panel, after a clear night, in full clear sun",
        ),
    ];
    let rows = rows.map(|(name, value, what)| {
        let dark = if name == "code sum" { "" } else { dark };
        vec![name.to_owned(), volts(value, dark), what.to_owned()]
    });
    page.table(&["voltage", "volts", "what"], &[Align::Left, Align::Right, Align::Left], rows.to_vec());
    if let (Some(decides), Some(by)) = (short.decides_v, short.decided_by) {
        page.paragraph(
            1,
            &format!(
                "The largest figure at this stop, by which parts are bought: {}, {}.",
                show::decided_by(by),
                show::volts(decides)
            ),
        );
    }
    if let Some(elsewhere) = &short.elsewhere {
        page.paragraph(1, &view::sentence(elsewhere));
    }
    let chain: Vec<String> = short
        .steps
        .iter()
        .map(|step| format!("{} {}", step.what, show::step(step.value, &step.unit)))
        .collect();
    if !chain.is_empty() {
        page.paragraph(1, &format!("Step by step: {}.", chain.join(", ")));
    }
}

fn part_of(page: &mut Page, part: &Part, keys: &mut Vec<&'static str>) {
    page.heading(&part.title);
    if let Some(table) = &part.table {
        page.paragraph(0, &format!("{}:", table.what));
        let symbols: Vec<&str> = table
            .rows
            .first()
            .map(|row| row.values.iter().map(|value| value.symbol.as_str()).collect())
            .unwrap_or_default();
        let header: Vec<&str> = std::iter::once("moment").chain(symbols).collect();
        let mut align = vec![Align::Right; header.len()];
        align[0] = Align::Left;
        let rows = table
            .rows
            .iter()
            .map(|row| {
                let values = row.values.iter().map(|value| value.places.text(value.value));
                std::iter::once(row.moment.clone()).chain(values).collect()
            })
            .collect();
        page.table(&header, &align, rows);
    }
    for step in &part.steps {
        step_of(page, step, keys);
    }
    if let Some(remark) = &part.remark {
        page.paragraph(0, remark);
    }
}

fn step_of(page: &mut Page, step: &WorkedStep, keys: &mut Vec<&'static str>) {
    let source = match step.source {
        Some(key) => {
            if !keys.contains(&key) {
                keys.push(key);
            }
            format!(" [{key}]")
        }
        None => String::new(),
    };
    let symbol = &step.result.symbol;
    let result = step.result.text();
    let Some(formula) = step.formula else {
        let from = step.remark.as_ref().map_or_else(String::new, |remark| format!(" ({remark})"));
        page.named(0, &step.what, &format!("{symbol} = {result}{from}{source}"));
        return;
    };
    page.paragraph(0, &format!("{}:", step.what));
    page.paragraph(2, &format!("{symbol} = {formula}"));
    page.paragraph(2, &format!("with {}", listed(&step.inputs)));
    page.paragraph(2, &format!("= {result}{source}"));
    if let Some(remark) = &step.remark {
        page.paragraph(2, remark);
    }
}

fn listed(inputs: &[Quantity]) -> String {
    inputs.iter().map(|input| format!("{} = {}", input.symbol, input.text())).collect::<Vec<_>>().join(", ")
}

/// The run's figures, name and value.
fn figures(figures: &HourFigures) -> Vec<Vec<String>> {
    let dark = if figures.worst_case_v == Some(0.0) { " (dark)" } else { "" };
    let row = |name: &str, value: Option<f64>, unit: &str| {
        let value = value.map_or_else(
            || "not computed".to_owned(),
            |value| format!("{} {unit}{dark}", show::fixed(value, 3)),
        );
        vec![name.to_owned(), value]
    };
    vec![
        row("steady", figures.steady_v, "V"),
        row("sudden sun", figures.sudden_sun_v, "V"),
        row("worst case", figures.worst_case_v, "V"),
        row("short-circuit current", figures.isc_a, "A"),
        row("voltage at maximum power", figures.vmp_v, "V"),
        row("current at maximum power", figures.imp_a, "A"),
    ]
}
