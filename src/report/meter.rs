//! What a meter should read, as text and as CSV.

use super::show::{self, Units};
use super::text::TextOptions;
use super::text::page::{Align, Page};
use crate::report::clean;
use crate::study::meter::{Fit, MeterAnswer, MeterRows, StringMeter};

/// The answer as text, ending with a line break.
#[must_use]
pub fn meter(answer: &MeterAnswer, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    page.paragraph(
        0,
        &format!("{}: what a meter should read on array \"{}\" now", answer.title, answer.array),
    );
    for string in &answer.strings {
        string_of(&mut page, string);
    }
    page.heading("To mind");
    for remark in &answer.remarks {
        page.bullet(0, remark);
    }
    page.finish()
}

fn string_of(page: &mut Page, string: &StringMeter) {
    let parallel = match string.in_parallel {
        1 => String::new(),
        count => format!(", one of {count} in parallel"),
    };
    page.heading(&format!("String of {}{parallel}", string.string));
    let (light, cell) = (&string.conditions.irradiance_w_m2, &string.conditions.cell_c);
    page.paragraph(0, &string.conditions.from);
    let cell = [cell.expected, cell.low, cell.high].map(|celsius| show::fixed(celsius, 1));
    let cell = match page.units {
        Units::Si => format!("cell {} °C ({} to {})", cell[0], cell[1], cell[2]),
        // °F goes behind each of them
        Units::Us => format!("cell {} °C, from {} °C to {} °C", cell[0], cell[1], cell[2]),
    };
    page.paragraph(
        0,
        &format!(
            "light {} W/m2 ({} to {}), {cell}",
            show::fixed(light.expected, 0),
            show::fixed(light.low, 0),
            show::fixed(light.high, 0),
        ),
    );
    let value = |value: Option<f64>, unit: &str, decimals: usize| {
        value.map_or_else(|| "-".to_owned(), |value| format!("{} {unit}", show::fixed(value, decimals)))
    };
    let range = |range: Option<[f64; 2]>, unit: &str, decimals: usize| {
        range.map_or_else(String::new, |[low, high]| {
            format!("{} to {} {unit}", show::fixed(low, decimals), show::fixed(high, decimals))
        })
    };
    let row = |name: &str, expected: String, spread: String| vec![name.to_owned(), expected, spread];
    page.table(
        &["figure", "expected", "can be"],
        &[Align::Left, Align::Right, Align::Right],
        vec![
            row("open-circuit voltage", value(string.voc_v, "V", 2), range(string.voc_range_v, "V", 1)),
            row("of the strongest panels", value(string.voc_worst_case_v, "V", 2), String::new()),
            row("short-circuit current", value(string.isc_a, "A", 2), range(string.isc_range_a, "A", 2)),
            row("voltage at maximum power", value(string.vmp_v, "V", 2), String::new()),
            row("current at maximum power", value(string.imp_a, "A", 2), String::new()),
        ],
    );
    let Some(reading) = &string.reading else { return };
    page.subheading("The reading");
    for sentence in &reading.sentences {
        page.bullet(0, sentence);
    }
    // Amps that contradict the light have said theirs already.
    let contradicted = matches!(reading.amps, Some(Fit::High | Fit::Low));
    if let Some(light) = reading.light_by_amps_w_m2.filter(|_| !contradicted) {
        page.bullet(0, &format!("by its amps the string has {} W/m2 on it", show::fixed(light, 0)));
    }
    for support in &reading.supports {
        if !support.raises {
            page.bullet(
                0,
                &format!(
                    "panel \"{}\": by this reading {} V, {} % either way, no more than its label with its tolerance. Keep the \
                     label's values in the plan: lower ones would take room away that a colder day may need",
                    support.module,
                    show::fixed(support.voc_v, 2),
                    show::fixed(support.voc_tolerance_percent, 1)
                ),
            );
            continue;
        }
        page.paragraph(0, &format!("for [[module]] \"{}\" in the plan:", support.module));
        for line in support.plan_lines.lines() {
            page.paragraph(2, line);
        }
    }
}

/// The rows as CSV: the input's columns as they came, then the figures with four decimals.
#[must_use]
pub fn meter_csv(rows: &MeterRows) -> String {
    let mut out = Vec::new();
    let mut writer = csv::Writer::from_writer(&mut out);
    let names = ["voc_v", "voc_worst_case_v", "isc_a", "vmp_v", "imp_a"];
    let header: Vec<&str> = rows.header.iter().map(String::as_str).chain(names).collect();
    // Writing to memory cannot fail, and every record has as many cells as the header.
    let _ = writer.write_record(header);
    for row in &rows.rows {
        let mut cells = row.input.clone();
        for value in [row.voc_v, row.voc_worst_case_v, row.isc_a, row.vmp_v, row.imp_a] {
            cells.push(value.map_or_else(String::new, |value| show::fixed(value, 4)));
        }
        let _ = writer.write_record(&cells);
    }
    drop(writer);
    clean::block(&String::from_utf8_lossy(&out))
}
