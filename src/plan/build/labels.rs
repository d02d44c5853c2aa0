//! Panels: from `[[module]]` to validated labels.

use super::owner;
use crate::module::{Label, RawLabel, Technology};
use crate::plan::draft::{Draft, Owner};
use crate::plan::fault::quoted;
use crate::plan::given::{Coefficient, Given};
use crate::plan::keys::MODULE;
use crate::plan::schema::ModuleTable;
use std::ops::Range;
use toml::Spanned;

/// The panels of a plan.
pub struct Labels {
    /// All ids that were given, also those of panels at fault.
    pub ids: Vec<String>,
    /// Whether a panel has no readable id, so that an unknown one may be its.
    pub some_unnamed: bool,
    /// The panels that could be read.
    pub good: Vec<Label>,
}

/// All panels in the order of the plan.
pub fn labels(tables: Vec<Spanned<ModuleTable>>, draft: &mut Draft<'_>) -> Labels {
    let mut labels = Labels { ids: Vec::new(), some_unnamed: draft.meant(0..0, "module"), good: Vec::new() };
    for (index, table) in tables.into_iter().enumerate() {
        let span = table.span();
        let table = table.into_inner();
        let owner = owner(&MODULE, table.id.as_ref(), index, span);
        let id = draft.read(table.id.clone(), "id", &owner);
        if let Some((id, span)) = &id {
            if labels.ids.contains(id) {
                draft.fault(
                    span.clone(),
                    format!("{}: found {} a second time; expected an id of its own for each kind of panel; give one of the two another name", owner.the("id"), quoted(id)),
                );
                continue;
            }
            labels.ids.push(id.clone());
        } else {
            labels.some_unnamed = true;
        }
        let label = label(id.map(|(id, _)| id), table, &owner, draft);
        labels.good.extend(label);
    }
    labels
}

fn label(id: Option<String>, table: ModuleTable, owner: &Owner, draft: &mut Draft<'_>) -> Option<Label> {
    let spans = spans(&table);
    let voc = draft.number(table.voc_v, "voc_v", owner);
    let isc = draft.number(table.isc_a, "isc_a", owner);
    let technology = draft.word(table.technology, "technology", owner);
    let faults_before = draft.count();
    let raw = RawLabel {
        vmp_v: draft.number(table.vmp_v, "vmp_v", owner),
        imp_a: draft.number(table.imp_a, "imp_a", owner),
        cells_in_series: draft.count_of(table.cells_in_series, "cells_in_series", owner),
        technology: Technology::ALL.into_iter().find(|known| Some(known.word()) == technology),
        voc_temp_coeff: draft
            .plain(table.voc_temp_coeff, "voc_temp_coeff", owner)
            .map(|Coefficient(text)| text),
        isc_temp_coeff: draft
            .plain(table.isc_temp_coeff, "isc_temp_coeff", owner)
            .map(|Coefficient(text)| text),
        max_series_fuse_a: draft.number(table.max_series_fuse_a, "max_series_fuse_a", owner),
        max_system_v: draft.number(table.max_system_v, "max_system_v", owner),
        voc_tolerance_percent: draft.number(table.voc_tolerance_percent, "voc_tolerance_percent", owner),
        bifacial: draft.number(table.bifacial, "bifacial", owner),
        id: id?,
        voc_v: voc?,
        isc_a: isc?,
    };
    if draft.count() > faults_before {
        return None;
    }
    match Label::read(raw) {
        Ok(label) => Some(label),
        Err(error) => {
            let span = spans.into_iter().find(|(key, _)| *key == error.key).and_then(|(_, span)| span);
            let message = format!(
                "{}: found {}; expected {}; {}",
                owner.the(error.key),
                error.found,
                error.expected,
                error.next_step
            );
            draft.fault(span.unwrap_or_else(|| owner.span.clone()), message);
            None
        }
    }
}

/// Where the values stand that a label may contradict.
fn spans(table: &ModuleTable) -> [(&'static str, Option<Range<usize>>); 11] {
    fn at<T>(given: Option<&Given<T>>) -> Option<Range<usize>> {
        given.map(|given| given.span.clone())
    }
    [
        ("voc_v", at(table.voc_v.as_ref())),
        ("isc_a", at(table.isc_a.as_ref())),
        ("vmp_v", at(table.vmp_v.as_ref())),
        ("imp_a", at(table.imp_a.as_ref())),
        ("cells_in_series", at(table.cells_in_series.as_ref())),
        ("voc_temp_coeff", at(table.voc_temp_coeff.as_ref())),
        ("isc_temp_coeff", at(table.isc_temp_coeff.as_ref())),
        ("max_series_fuse_a", at(table.max_series_fuse_a.as_ref())),
        ("max_system_v", at(table.max_system_v.as_ref())),
        ("voc_tolerance_percent", at(table.voc_tolerance_percent.as_ref())),
        ("bifacial", at(table.bifacial.as_ref())),
    ]
}
