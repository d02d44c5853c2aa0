//! `series` as text: the answer, the table of arrangements, the ladder.

mod answer;
mod controllers;
mod ladder;
mod table;
mod ways;

use super::TextOptions;
use super::page::{Align, Page};
use crate::study::series::{SeriesOption, SeriesResult};
use crate::units::so_many;

/// The arrangements as text, ending with a line break.
#[must_use]
pub fn series(result: &SeriesResult, options: &TextOptions) -> String {
    let mut page = Page::new(options);
    page.paragraph(
        0,
        &format!(
            "{}: {} \"{}\" in array \"{}\"",
            result.title,
            so_many(result.panels, "panel"),
            result.panel,
            result.array
        ),
    );
    answer::answer(&mut page, result);
    controllers::next_step(&mut page, result);
    for missing in &result.missing {
        page.bullet(0, missing);
    }
    for note in &result.notes {
        page.bullet(0, &note.text);
    }
    lines_to_paste(&mut page, result);
    page.heading("Arrangements");
    let shown = table::shown(result);
    table::table(&mut page, result, &shown);
    table::legend(&mut page, result, &shown);
    controllers::on_controllers(&mut page, result, &shown);
    page.heading("Ladder: from hot volts under load to cold open-circuit volts");
    ladder::ladder(&mut page, &shown);
    page.heading("Cautions");
    for caution in result.cautions.iter().filter(|caution| SAID.iter().any(|said| caution.starts_with(said)))
    {
        page.bullet(0, caution);
    }
    page.bullet(0, "These are the first; `dawnvolt assess` and the report print all.");
    page.finish()
}

/// How the cautions begin that stand here too; the others are about weather and labels, and about what is not for this tool.
const SAID: [&str; 4] = ["An array is live", "Above 60 V dc", "Never pull connectors", "Local codes"];

/// What the plan lacks for the harvest to be judged, as it is typed.
fn lines_to_paste(page: &mut Page, result: &SeriesResult) {
    let lacks =
        |of: fn(&SeriesOption) -> Option<f64>| result.options.iter().all(|option| of(option).is_none());
    let (battery, controller) = (lacks(|option| option.battery_v), lacks(|option| option.controller_v));
    if !battery && !controller {
        return;
    }
    page.line(0, "Lines for the plan, with your own figures:");
    if battery {
        for line in ["[battery]", "chemistry = \"lfp\"", "nominal_v = 12"] {
            page.line(1, line);
        }
    }
    if controller {
        for line in [
            "[[component]]",
            "kind = \"controller\"",
            "max_v = 100        # the largest PV volts of its manual",
            "max_isc_a = 60     # the largest PV short-circuit amps of its manual",
        ] {
            page.line(1, line);
        }
    }
}
