//! Panels: from `[[module]]` to validated labels.

use super::owner;
use crate::module::{Cells, Label, Technology, VocCoefficient};
use crate::plan::draft::{Draft, Owner};
use crate::plan::fault::quoted;
use crate::plan::keys::MODULE;
use crate::plan::schema::ModuleTable;
use crate::units::{Amps, Volts};
use toml::Spanned;

/// The panels of a plan.
pub struct Labels {
    /// All ids that were given, also those of panels at fault.
    pub ids: Vec<String>,
    /// The panels that could be read.
    pub good: Vec<Label>,
}

/// All panels in the order of the plan.
pub fn labels(tables: Vec<Spanned<ModuleTable>>, draft: &mut Draft<'_>) -> Labels {
    let mut labels = Labels { ids: Vec::new(), good: Vec::new() };
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
        }
        let label = label(id.map(|(id, _)| id), table, &owner, draft);
        labels.good.extend(label);
    }
    labels
}

fn label(id: Option<String>, table: ModuleTable, owner: &Owner, draft: &mut Draft<'_>) -> Option<Label> {
    let voc = draft.number(table.voc_v, "voc_v", owner);
    let isc = draft.number(table.isc_a, "isc_a", owner);
    let vmp = draft.number(table.vmp_v, "vmp_v", owner).map(Volts);
    let imp = draft.number(table.imp_a, "imp_a", owner).map(Amps);
    let printed = draft.count_of(table.cells_in_series, "cells_in_series", owner);
    let technology = match draft.word(table.technology, "technology", owner) {
        Some("poly") => Technology::Poly,
        Some("hjt") => Technology::Hjt,
        Some("cdte") => Technology::Cdte,
        Some("cigs") => Technology::Cigs,
        Some("a-si") => Technology::ASi,
        _ => Technology::Mono,
    };
    let voc_temp_coeff = draft.plain(table.voc_temp_coeff, "voc_temp_coeff", owner);
    let isc_temp_coeff = draft.plain(table.isc_temp_coeff, "isc_temp_coeff", owner);
    let max_series_fuse = draft.number(table.max_series_fuse_a, "max_series_fuse_a", owner).map(Amps);
    let max_system = draft.number(table.max_system_v, "max_system_v", owner).map(Volts);
    let tolerance = draft.number(table.voc_tolerance_percent, "voc_tolerance_percent", owner);
    let bifacial = draft.number(table.bifacial, "bifacial", owner).unwrap_or(0.0);
    let (id, voc, isc) = (id?, voc?, isc?);
    let fraction = |text: &Option<String>| {
        text.as_ref().and_then(|text| {
            crate::plan::given::number_meant(text.split('%').next().unwrap_or(text))
                .map(|percent| percent / 100.0)
        })
    };
    Some(Label {
        id,
        voc: Volts(voc),
        isc: Amps(isc),
        vmp,
        imp,
        technology,
        cells: Cells {
            printed,
            central: printed.map_or(voc / 0.64, f64::from),
            bound: printed.map_or(voc / 0.74, f64::from),
        },
        voc_coefficient: match fraction(&voc_temp_coeff) {
            Some(per_k) => VocCoefficient::Printed(per_k),
            None => VocCoefficient::Bound(-0.004),
        },
        isc_per_k: fraction(&isc_temp_coeff).unwrap_or(0.0005),
        isc_coefficient_is_printed: isc_temp_coeff.is_some(),
        max_series_fuse,
        max_system,
        tolerance: tolerance.unwrap_or(3.0) / 100.0,
        bifacial,
        notes: Vec::new(),
    })
}
