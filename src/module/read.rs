//! Reading a label as the plan types it: checked, resolved, every guess said.

use crate::module::cells::{cell_volts, resolve};
use crate::module::coefficient::{Quantity, Refusal, of_isc, of_voc, parse};
use crate::module::{Cells, Curve, FitQuality, Label, Technology, VocCoefficient};
use crate::note::{Note, NoteKind};
use crate::units::{Amps, Volts};

/// A panel's label as the plan types it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RawLabel {
    /// Its name in the plan.
    pub id: String,
    /// Open-circuit voltage, V.
    pub voc_v: f64,
    /// Short-circuit current, A.
    pub isc_a: f64,
    /// Voltage at maximum power, V.
    pub vmp_v: Option<f64>,
    /// Current at maximum power, A.
    pub imp_a: Option<f64>,
    /// Cells as printed.
    pub cells_in_series: Option<u32>,
    /// What the cells are made of.
    pub technology: Option<Technology>,
    /// Coefficient of Voc as printed, with its unit.
    pub voc_temp_coeff: Option<String>,
    /// Coefficient of Isc as printed, with its unit.
    pub isc_temp_coeff: Option<String>,
    /// Largest series fuse, A.
    pub max_series_fuse_a: Option<f64>,
    /// Largest system voltage, V.
    pub max_system_v: Option<f64>,
    /// How far Voc may lie above the label, per cent.
    pub voc_tolerance_percent: Option<f64>,
    /// Rear over front.
    pub bifacial: Option<f64>,
}

/// A label that cannot be true.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("module \"{module}\", {key}: found {found}, expected {expected}; {next_step}")]
pub struct LabelError {
    /// The module's name in the plan.
    pub module: String,
    /// The key at fault.
    pub key: &'static str,
    /// What stands there.
    pub found: String,
    /// What should.
    pub expected: String,
    /// What to do.
    pub next_step: String,
}

/// Voc tolerance of a label where the plan gives none: plus and minus 3 % is printed by makers of crystalline
/// panels; thin film begins above its label before it has seen sun.
const TOLERANCE: f64 = 0.03;
const TOLERANCE_UNSETTLED: f64 = 0.10;

/// Largest tolerance that a plan may give, per cent. Chosen because a wider one is no label at all.
const LARGEST_TOLERANCE_PERCENT: f64 = 25.0;

/// What a number of a label may be at all, V or A. Chosen wider than any device of a vehicle, so that what follows from
/// it stays a number; a plan's own ranges are closer.
const SENSIBLE: std::ops::RangeInclusive<f64> = 0.01..=2000.0;

/// Coefficient of Isc where none is printed, per kelvin: the median of 20,946 crystalline labels.
const ISC_PER_K: f64 = 0.0005;

/// What a coefficient with one decimal can hide, fraction per kelvin.
const HIDDEN_PER_K: f64 = 0.0005;

/// Kelvin from 25 C down to cells at -40 C.
const COLDEST_TOLD_K: f64 = 65.0;

/// Kelvin below 25 C at which the hidden part is told in volts: a cell at -20 C.
const TOLD_AT_K: f64 = 45.0;

/// Coefficient of Voc that stands in for a missing one: steeper than 95 % of crystalline labels (-0.40 %/K) and
/// than common thin-film ones.
fn voc_bound_per_k(technology: Technology) -> f64 {
    match technology {
        Technology::Mono | Technology::Poly | Technology::Hjt => -0.0040,
        Technology::Cdte => -0.0035,
        Technology::Cigs | Technology::ASi => -0.0045,
    }
}

impl Label {
    /// Checks and resolves a label.
    ///
    /// Missing values become the stated bounds, and a note says so. Half-cut and shingled counts are divided by 2
    /// to 6 until volts per cell fit the technology.
    ///
    /// # Errors
    /// Where the label cannot be true: volts or amps outside 0.01 to 2000, Vmp not below Voc, Imp not below Isc, a
    /// coefficient with the wrong sign or unit, cells that do not fit Voc.
    pub fn read(raw: RawLabel) -> Result<Self, LabelError> {
        let reader = Reader { raw: &raw };
        let mut notes = Vec::new();
        reader.check_numbers()?;
        let technology = raw.technology.unwrap_or(Technology::Mono);
        if raw.technology.is_none() {
            notes.push(reader.note("no technology: crystalline silicon (mono) is taken"));
        }
        let cells = reader.cells(technology, &mut notes)?;
        let voc_coefficient = reader.voc_coefficient(technology, cells, &mut notes)?;
        let isc_per_k = reader.isc_coefficient(technology)?;
        if let Some(falls) = isc_per_k.filter(|per_k| *per_k < 0.0) {
            let more = -falls * COLDEST_TOLD_K * 100.0;
            notes.push(reader.note(&format!(
                "isc_temp_coeff is below zero, as some thin film prints: cells at -40 °C give {more:.1} % more amps than the \
                 label; the factor of 1.25 of codes counts from the label"
            )));
        }
        if isc_per_k.is_none() {
            notes.push(reader.note("no isc_temp_coeff: 0.05 %/K is taken, the median of crystalline labels"));
        }
        let tolerance = match raw.voc_tolerance_percent {
            Some(percent) => percent / 100.0,
            None if matches!(technology, Technology::ASi | Technology::Cigs) => {
                let text = "10 % above the label is taken for the worst case: a new thin-film panel begins above \
                            its label and settles in its first weeks of sun";
                notes.push(reader.note(text));
                TOLERANCE_UNSETTLED
            }
            None => TOLERANCE,
        };
        let mut doubts = reader.odd_ratios(technology);
        notes.extend(doubts.iter().cloned());
        if !technology.is_crystalline() {
            let text = "thin film: volts in at least 400 W/m2 are within about 3.5 % of measured ones (crystalline: \
                        1.3 %) and less sure in dim light; the crystalline table of codes does not apply";
            notes.push(reader.note(text));
        }
        if raw.bifacial.is_some_and(|ratio| ratio > 0.0) {
            let text = "bifacial: its values must be those of the front alone; a label that already counts light on \
                        the rear would count it twice";
            notes.push(reader.note(text));
        }
        if raw.vmp_v.is_none() || raw.imp_a.is_none() {
            let text = "without vmp_v and imp_a, 0.776 of voc_v (a low one, the safe side for a controller's start) \
                        and 0.939 of isc_a (the median) are taken";
            notes.push(reader.note(text));
        }
        let mut label = Self {
            voc: Volts(raw.voc_v),
            isc: Amps(raw.isc_a),
            vmp: raw.vmp_v.map(Volts),
            imp: raw.imp_a.map(Amps),
            technology,
            cells,
            voc_coefficient,
            isc_per_k: isc_per_k.unwrap_or(ISC_PER_K),
            isc_coefficient_is_printed: isc_per_k.is_some(),
            max_series_fuse: raw.max_series_fuse_a.map(Amps),
            max_system: raw.max_system_v.map(Volts),
            tolerance,
            bifacial: raw.bifacial.unwrap_or(0.0),
            notes,
            doubts: Vec::new(),
            id: raw.id,
        };
        let quality = Curve::fit(&label).quality;
        if quality == FitQuality::Inconsistent {
            let text = format!("module \"{}\": {}", label.id, quality.sentence());
            let note = Note::once(NoteKind::Label, text);
            label.notes.push(note.clone());
            doubts.push(note);
        }
        label.doubts = doubts;
        Ok(label)
    }
}

/// The label under the pen.
struct Reader<'raw> {
    raw: &'raw RawLabel,
}

impl Reader<'_> {
    fn note(&self, text: &str) -> Note {
        Note::once(NoteKind::Label, format!("module \"{}\": {text}", self.raw.id))
    }

    fn fault(&self, key: &'static str, found: String, expected: &str, next_step: &str) -> LabelError {
        LabelError {
            module: self.raw.id.clone(),
            key,
            found,
            expected: expected.to_owned(),
            next_step: next_step.to_owned(),
        }
    }

    fn check_numbers(&self) -> Result<(), LabelError> {
        let raw = self.raw;
        let copy = "copy it from the label";
        for (key, value) in [
            ("voc_v", Some(raw.voc_v)),
            ("isc_a", Some(raw.isc_a)),
            ("vmp_v", raw.vmp_v),
            ("imp_a", raw.imp_a),
            ("max_series_fuse_a", raw.max_series_fuse_a),
            ("max_system_v", raw.max_system_v),
        ] {
            if let Some(value) = value
                && !SENSIBLE.contains(&value)
            {
                return Err(self.fault(key, value.to_string(), "a number from 0.01 to 2000", copy));
            }
        }
        if let Some(vmp) = raw.vmp_v
            && vmp >= raw.voc_v
        {
            let next = format!(
                "voltage at maximum power lies below open-circuit voltage (voc_v = {}): the two may be swapped",
                raw.voc_v
            );
            return Err(self.fault("vmp_v", format!("{vmp} V"), "less than voc_v", &next));
        }
        if let Some(imp) = raw.imp_a
            && imp >= raw.isc_a
        {
            let next = format!(
                "current at maximum power lies below short-circuit current (isc_a = {}): the two may be swapped",
                raw.isc_a
            );
            return Err(self.fault("imp_a", format!("{imp} A"), "less than isc_a", &next));
        }
        if raw.cells_in_series == Some(0) {
            return Err(self.fault(
                "cells_in_series",
                "0".to_owned(),
                "1 or more",
                "leave it out if unknown",
            ));
        }
        if let Some(percent) = raw.voc_tolerance_percent
            && !(0.0..=LARGEST_TOLERANCE_PERCENT).contains(&percent)
        {
            let next = "3 is usual for a known maker, 5 for an unknown one";
            return Err(self.fault("voc_tolerance_percent", percent.to_string(), "per cent, 0 to 25", next));
        }
        if let Some(ratio) = raw.bifacial
            && !(0.0..=1.0).contains(&ratio)
        {
            let next = "it is the rear's efficiency over the front's, 0.65 to 0.85 for bifacial panels";
            return Err(self.fault("bifacial", ratio.to_string(), "a ratio from 0 to 1", next));
        }
        Ok(())
    }

    fn cells(&self, technology: Technology, notes: &mut Vec<Note>) -> Result<Cells, LabelError> {
        let raw = self.raw;
        let Some(cells) = resolve(raw.voc_v, raw.cells_in_series, technology) else {
            let count = raw.cells_in_series.unwrap_or(0);
            let volts = cell_volts(technology);
            let found = format!(
                "{count}, so {:.2} V a cell (voc_v = {} V)",
                raw.voc_v / f64::from(count.max(1)),
                raw.voc_v
            );
            let expected = format!(
                "{} to {} V a cell for {}, the count undivided or over 2 to 6 for half-cut and shingled cells",
                volts.lowest,
                volts.highest,
                technology.word()
            );
            let next = "check voc_v, cells_in_series and technology; or leave the count out";
            return Err(self.fault("cells_in_series", found, &expected, next));
        };
        match raw.cells_in_series {
            None => notes.push(self.note(&format!(
                "no cells_in_series: {:.0} cells are taken from voc_v, {:.0} for the worst case (fewer cells, more \
                 volts in dim light)",
                cells.central, cells.bound
            ))),
            Some(count) if cells.central < f64::from(count) => notes.push(self.note(&format!(
                "{count} half-cut or shingled cells are read as {:.0} in series ({:.2} V each)",
                cells.central,
                raw.voc_v / cells.central
            ))),
            Some(_) => {}
        }
        if cells.central > cells.bound && raw.cells_in_series.is_some() {
            notes.push(self.note(&format!(
                "the count can be divided in more than one way: the worst case takes {:.0} in series",
                cells.bound
            )));
        }
        Ok(cells)
    }

    fn voc_coefficient(
        &self,
        technology: Technology,
        cells: Cells,
        notes: &mut Vec<Note>,
    ) -> Result<VocCoefficient, LabelError> {
        let Some(text) = &self.raw.voc_temp_coeff else {
            let bound = voc_bound_per_k(technology);
            let code = if technology.is_crystalline() {
                "; the code sum takes the crystalline table's factor where that is larger"
            } else {
                ""
            };
            notes.push(self.note(&format!(
                "no voc_temp_coeff: {:.2} %/K is taken, steeper than most labels{code}",
                bound * 100.0
            )));
            return Ok(VocCoefficient::Bound(bound));
        };
        let quantity =
            Quantity { unit: 'V', value: self.raw.voc_v, cells: cells.printed.map(|_| cells.central) };
        let (printed, per_k) = self.coefficient("voc_temp_coeff", text, quantity, of_voc)?;
        if printed.is_coarse() {
            notes.push(self.note(&format!(
                "voc_temp_coeff is printed with one decimal: it can hide 0.05 %/K, which is {:.1} V a panel with \
                 cells at -20 °C",
                self.raw.voc_v * HIDDEN_PER_K * TOLD_AT_K
            )));
        }
        Ok(VocCoefficient::Printed(per_k))
    }

    fn isc_coefficient(&self, technology: Technology) -> Result<Option<f64>, LabelError> {
        let Some(text) = &self.raw.isc_temp_coeff else {
            return Ok(None);
        };
        let quantity = Quantity { unit: 'A', value: self.raw.isc_a, cells: None };
        let of = |printed: &super::coefficient::Printed, quantity| of_isc(printed, quantity, technology);
        Ok(Some(self.coefficient("isc_temp_coeff", text, quantity, of)?.1))
    }

    fn coefficient(
        &self,
        key: &'static str,
        text: &str,
        quantity: Quantity,
        of: impl Fn(&super::coefficient::Printed, Quantity) -> Result<f64, Refusal>,
    ) -> Result<(super::coefficient::Printed, f64), LabelError> {
        let found = || format!("\"{}\"", text.trim());
        let Some(printed) = parse(text, quantity) else {
            let expected = "a number and its unit, such as \"-0.30 %/K\" or \"-68 mV/K\"";
            return Err(self.fault(key, found(), expected, "copy it from the label, or leave the key out"));
        };
        match of(&printed, quantity) {
            Ok(per_k) => Ok((printed, per_k)),
            Err(refusal) => Err(self.fault(key, found(), &refusal.expected, &refusal.next_step)),
        }
    }

    /// Ratios well outside the 1st to 99th percentile of 20,946 crystalline labels: Vmp/Voc 0.776 to 0.847, Imp/Isc
    /// 0.882 to 0.970, fill factor 0.712 to 0.799. A remark, not a refusal.
    ///
    /// Well outside: two labels in a hundred lie beyond by right, those of the thirty public crystalline panels in
    /// `tests/reference` by up to 0.012 (an Imp/Isc of 0.870), and new cells reach a fill factor of 0.807. Two swapped digits
    /// move a ratio by several hundredths.
    fn odd_ratios(&self, technology: Technology) -> Vec<Note> {
        let mut notes = Vec::new();
        if !technology.is_crystalline() {
            return notes;
        }
        let raw = self.raw;
        let volts = raw.vmp_v.map(|vmp| vmp / raw.voc_v);
        let amps = raw.imp_a.map(|imp| imp / raw.isc_a);
        let fill = volts.zip(amps).map(|(volts, amps)| volts * amps);
        const BEYOND: f64 = 0.02;
        for (name, ratio, lowest, highest, how) in [
            ("vmp_v over voc_v", volts, 0.776, 0.847, ""),
            ("imp_a over isc_a", amps, 0.882, 0.970, ""),
            ("the fill factor", fill, 0.712, 0.799, " (vmp_v x imp_a over voc_v x isc_a)"),
        ] {
            if let Some(ratio) = ratio
                && !(lowest - BEYOND..=highest + BEYOND).contains(&ratio)
            {
                notes.push(self.note(&format!(
                    "{name} is {ratio:.3}{how}; 98 % of crystalline labels lie within {lowest} to {highest}: check the typing of \
                     the label's figures"
                )));
            }
        }
        notes
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn raw() -> RawLabel {
        RawLabel {
            id: "roof100".to_owned(),
            voc_v: 22.5,
            isc_a: 5.8,
            vmp_v: Some(18.6),
            imp_a: Some(5.38),
            cells_in_series: Some(36),
            technology: Some(Technology::Mono),
            voc_temp_coeff: Some("-0.30 %/K".to_owned()),
            isc_temp_coeff: Some("0.05 %/K".to_owned()),
            ..RawLabel::default()
        }
    }

    #[test]
    fn a_plain_label_needs_no_remark() {
        let label = Label::read(raw()).unwrap();
        assert_eq!(label.notes, []);
        assert_eq!(label.voc_coefficient, VocCoefficient::Printed(-0.0030));
        assert!((label.tolerance - 0.03).abs() < 1e-12);
    }

    #[test]
    fn what_is_missing_becomes_a_bound_and_is_said() {
        let label = Label::read(RawLabel {
            voc_temp_coeff: None,
            isc_temp_coeff: None,
            cells_in_series: None,
            technology: None,
            ..raw()
        })
        .unwrap();
        assert_eq!(label.voc_coefficient, VocCoefficient::Bound(-0.0040));
        assert!((label.cells.bound - 22.5 / 0.74).abs() < 1e-12);
        assert!((label.cells.central - 22.5 / 0.64).abs() < 1e-12);
        assert_eq!(label.notes.len(), 4);
        let thin = Label::read(RawLabel {
            technology: Some(Technology::ASi),
            voc_temp_coeff: None,
            cells_in_series: None,
            ..raw()
        })
        .unwrap();
        assert!((thin.tolerance - 0.10).abs() < 1e-12);
        assert_eq!(thin.voc_coefficient, VocCoefficient::Bound(-0.0045));
    }

    /// By hand: 65 K below the label's 25 °C at -0.02 %/K are 1.3 %; 21.9 V of 22.5 V are 0.973, which no crystalline panel has.
    #[test]
    fn what_is_odd_in_a_label_is_said() {
        let said = |raw: RawLabel| -> String {
            Label::read(raw).unwrap().notes.iter().map(|note| note.text.clone() + "\n").collect()
        };
        let falling = RawLabel {
            technology: Some(Technology::Cdte),
            isc_temp_coeff: Some("-0.02 %/K".to_owned()),
            cells_in_series: None,
            ..raw()
        };
        assert!(said(falling.clone()).contains("give 1.3 % more amps"), "{}", said(falling));
        let swapped = RawLabel { vmp_v: Some(21.9), ..raw() };
        assert!(said(swapped.clone()).contains("vmp_v over voc_v is 0.973"), "{}", said(swapped));
        let bifacial = |ratio: f64| said(RawLabel { bifacial: Some(ratio), ..raw() }).contains("bifacial");
        assert!(bifacial(0.7) && !bifacial(0.0));
    }

    #[test]
    fn impossible_labels_name_key_found_expected_and_next_step() {
        let message = |raw| Label::read(raw).unwrap_err().to_string();
        assert_eq!(
            message(RawLabel { vmp_v: Some(22.6), ..raw() }),
            "module \"roof100\", vmp_v: found 22.6 V, expected less than voc_v; voltage at maximum power lies below \
             open-circuit voltage (voc_v = 22.5): the two may be swapped"
        );
        assert!(message(RawLabel { imp_a: Some(5.8), ..raw() }).contains("less than isc_a"));
        assert!(message(RawLabel { voc_v: f64::NAN, ..raw() }).contains("voc_v: found NaN"));
        assert!(message(RawLabel { isc_a: -1.0, ..raw() }).contains("from 0.01 to 2000"));
        assert!(message(RawLabel { cells_in_series: Some(50), ..raw() }).contains("0.45 V a cell"));
        assert!(message(RawLabel { bifacial: Some(70.0), ..raw() }).contains("0 to 1"));
        assert!(message(RawLabel { voc_tolerance_percent: Some(-1.0), ..raw() }).contains("0 to 25"));
        let slipped = RawLabel { voc_temp_coeff: Some("-0.30 V/K".to_owned()), ..raw() };
        assert!(message(slipped).contains("if the label means \"-0.3 %/K\", write that"));
        let words = RawLabel { voc_temp_coeff: Some("low".to_owned()), ..raw() };
        assert!(message(words).contains("found \"low\""));
    }

    #[test]
    fn half_cells_are_said() {
        let label = Label::read(RawLabel {
            voc_v: 49.5,
            vmp_v: Some(41.0),
            cells_in_series: Some(144),
            voc_temp_coeff: Some("-0.3 %/K".to_owned()),
            ..raw()
        })
        .unwrap();
        assert!((label.cells.central - 72.0).abs() < 1e-12);
        let texts: Vec<&str> = label.notes.iter().map(|note| note.text.as_str()).collect();
        assert!(texts[0].contains("144 half-cut or shingled cells are read as 72 in series (0.69 V each)"));
        assert!(texts[1].contains("one decimal") && texts[1].contains("1.1 V a panel"), "{}", texts[1]);
    }
}
