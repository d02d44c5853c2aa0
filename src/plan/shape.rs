//! Keys and tables that stand where no plan has them, before any value is looked at.

use super::draft::Draft;
use super::fault::{either, nearest, quoted};
use super::keys::{Holds, PLAN, TABLES, Table};
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// Whether the outline of the file is such that its values can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outline {
    /// It can.
    Readable,
    /// A table stands where a list of tables should, or the like.
    Broken,
}

/// Names every key that no plan has, and every table of the wrong form.
pub(super) fn check(root: &DeTable<'_>, draft: &mut Draft<'_>) -> Outline {
    check_table(root, &PLAN, PLAN.header, &(0..0), draft)
}

fn check_table(
    found: &DeTable<'_>,
    table: &'static Table,
    owner: &str,
    at: &Range<usize>,
    draft: &mut Draft<'_>,
) -> Outline {
    let mut outline = Outline::Readable;
    for (name, value) in found {
        let Some(key) = table.key(name.get_ref()) else {
            let (message, meant) = unknown(name.get_ref(), value.get_ref(), table, owner);
            draft.fault(name.span(), message);
            if let Some(meant) = meant {
                draft.note_meant(at.clone(), meant);
            }
            continue;
        };
        let fine = match (key.holds, value.get_ref()) {
            (Holds::Repeated(inner), DeValue::Array(items)) => {
                items.iter().enumerate().all(|(index, item)| match item.get_ref() {
                    DeValue::Table(content) => {
                        let owner = format!("{} number {}", inner.header, index + 1);
                        check_table(content, inner, &owner, &item.span(), draft) == Outline::Readable
                    }
                    _ => wrong_form(inner, item.span(), draft),
                })
            }
            (Holds::Inner(inner), DeValue::Table(content)) => {
                check_table(content, inner, inner.header, &value.span(), draft) == Outline::Readable
            }
            (Holds::Repeated(inner) | Holds::Inner(inner), _) => wrong_form(inner, value.span(), draft),
            _ => true,
        };
        if !fine {
            outline = Outline::Broken;
        }
    }
    outline
}

/// Says how the table must be written; its content cannot be read.
fn wrong_form(table: &Table, span: Range<usize>, draft: &mut Draft<'_>) -> bool {
    let brackets = if table.header.starts_with("[[") {
        "each with two brackets on a line of its own, since there may be several"
    } else if table.header.starts_with('[') {
        "with one bracket on a line of its own, since there is only one"
    } else {
        "with its values in curly brackets: published_low_c = { mean = -18.3, sd = 3.4, source = \"...\" }"
    };
    draft.fault(span, format!("expected {} here ({}), {brackets}", table.header, table.help));
    false
}

/// Words that people use for a table or key of a plan.
const OTHER_WORDS: [(&str, &str); 20] = [
    ("panel", "module"),
    ("panels", "module"),
    ("modules", "module"),
    ("strings", "string"),
    ("batteries", "battery"),
    ("device", "component"),
    ("place", "stop"),
    ("places", "stop"),
    ("location", "stop"),
    ("site", "stop"),
    ("trip", "stop"),
    ("settings", "assumptions"),
    ("azimuth", "heading"),
    ("tilt", "tilt_deg"),
    ("altitude_m", "elevation_m"),
    ("type", "kind"),
    ("zone", UTC_OFFSET),
    ("timezone", UTC_OFFSET),
    ("time_zone", UTC_OFFSET),
    ("tz", UTC_OFFSET),
];

/// The one key for zones.
const UTC_OFFSET: &str = "utc_offset";

/// The message about an unknown key, and the key of this table that was meant.
fn unknown(
    name: &str,
    value: &DeValue<'_>,
    table: &'static Table,
    owner: &str,
) -> (String, Option<&'static str>) {
    let known = || table.keys.iter().map(|key| key.name);
    let is_table = match value {
        DeValue::Table(_) => true,
        DeValue::Array(items) => !items.is_empty() && items.iter().all(|item| item.get_ref().is_table()),
        _ => false,
    };
    let what = if is_table { "table" } else { "key" };
    let place = if std::ptr::eq(table, &raw const PLAN) { "at" } else { "in" };
    let opening = format!("unknown {what} {} {place} {owner}", quoted(name).replace('"', "`"));
    let did_you_mean = |meant: &'static str| {
        (format!("{opening}; did you mean `{}`?", shown_key(meant, table)), Some(meant))
    };
    let elsewhere: Vec<&str> = TABLES
        .iter()
        .filter(|other| !std::ptr::eq(**other, table) && other.key(name).is_some())
        .map(|other| other.header)
        .collect();
    let other_word = OTHER_WORDS.iter().find(|(word, _)| *word == name).map(|(_, meant)| *meant);
    if table.key(UTC_OFFSET).is_none() && (name == UTC_OFFSET || other_word == Some(UTC_OFFSET)) {
        let step = "utc_offset of a [[stop]] is its clock, and the zone of stamps that carry none: write utc_offset = \
                    \"-07:00\" below [[stop]]; where the stamps of a table have another zone, utc_offset stands below \
                    [stop.columns] too";
        return (format!("{opening}; {step}"), None);
    }
    if let Some(meant) = other_word.filter(|meant| table.key(meant).is_some()) {
        return did_you_mean(meant);
    }
    if name == "columns" {
        let step = "it belongs to a stop: write [stop.columns] below the [[stop]] it is for";
        return (format!("{opening}; {step}"), None);
    }
    if elsewhere == [PLAN.header] {
        let message = if is_table {
            format!("{opening}; it stands on its own: write {}", shown_key(name, &PLAN))
        } else {
            format!("{opening}; it belongs at {}, above the first line in square brackets", PLAN.header)
        };
        return (message, None);
    }
    if let Some(meant) = nearest(name, known()) {
        return did_you_mean(meant);
    }
    if !elsewhere.is_empty() {
        return (format!("{opening}; it belongs in {}", either(&elsewhere)), None);
    }
    // "tolerance" of voc_tolerance_percent
    if let [meant] = with_the_parts(name, known())[..] {
        return did_you_mean(meant);
    }
    let list: Vec<String> = known().map(|key| shown_key(key, table)).collect();
    (format!("{opening}; known here: {}", list.join(", ")), None)
}

/// Keys that hold every word of a name among their own.
fn with_the_parts(name: &str, known: impl Iterator<Item = &'static str>) -> Vec<&'static str> {
    /// A shorter one is a unit or a little word.
    const SHORTEST: usize = 4;
    let name = name.to_lowercase().replace(['-', ' '], "_");
    let holds = |key: &&str| name.split('_').all(|part| key.split('_').any(|own| own == part));
    if name.len() < SHORTEST { Vec::new() } else { known.filter(holds).collect() }
}

fn shown_key(name: &str, table: &Table) -> String {
    match table.key(name).map(|key| key.holds) {
        Some(Holds::Inner(inner) | Holds::Repeated(inner)) => inner.header.to_owned(),
        _ => name.to_owned(),
    }
}
