//! A worked calculation: steps with formula, numbers and source. Every result is rounded to the digits that it prints
//! before the next step takes it, so that a calculator fed with the printed numbers gives the printed numbers.

use serde::Serialize;

/// How many digits a quantity prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Places {
    /// So many after the point.
    Decimals(usize),
    /// So many that count, for numbers of any size.
    Significant(usize),
}

impl Places {
    /// The number as it is printed.
    #[must_use]
    pub fn text(self, value: f64) -> String {
        let text = match self {
            Self::Decimals(count) => format!("{value:.count$}"),
            Self::Significant(count) => {
                let text = format!("{value:.digits$e}", digits = count.saturating_sub(1));
                match text.split_once('e').and_then(|(_, exponent)| exponent.parse::<i32>().ok()) {
                    // Numbers of usual size without a power of ten.
                    Some(exponent @ -2..=3) => {
                        let decimals =
                            i32::try_from(count).unwrap_or(i32::MAX).saturating_sub(1 + exponent).max(0);
                        format!("{value:.digits$}", digits = usize::try_from(decimals).unwrap_or(0))
                    }
                    _ => text,
                }
            }
        };
        match text.strip_prefix('-') {
            Some(rest) if !rest.contains(|c: char| ('1'..='9').contains(&c)) => rest.to_owned(),
            _ => text,
        }
    }

    /// The number that the printed text stands for.
    fn rounded(self, value: f64) -> f64 {
        self.text(value).parse().unwrap_or(value)
    }
}

/// What a quantity is, which sets its unit and its digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An angle.
    Degrees,
    /// A cosine, a share, a factor.
    Share,
    /// A number of few digits: an ideality, a turbidity.
    Plain,
    /// A factor of the height, with digits to spare: the clear-sky model takes it unrounded.
    Height,
    /// Distance of earth and sun.
    Distance,
    /// Light.
    Light,
    /// Air mass.
    AirMass,
    /// Pressure.
    Pressure,
    /// Height.
    Metres,
    /// Wind.
    Wind,
    /// A temperature.
    Celsius,
    /// A difference of temperatures.
    Kelvin,
    /// An absolute temperature.
    Absolute,
    /// A coefficient of a label.
    PercentPerKelvin,
    /// A tolerance.
    Percent,
    /// Cells in series.
    Cells,
    /// Panels or strings.
    Count,
    /// Cover of the sky.
    Oktas,
    /// Volts.
    Volts,
    /// Amps.
    Amps,
    /// Volts or amps of the curve, of any size.
    CurveVolts,
    /// The same in amps.
    CurveAmps,
    /// Resistance.
    Ohms,
    /// Conductance.
    Siemens,
}

impl Kind {
    fn unit_and_places(self) -> (&'static str, Places) {
        use Places::{Decimals, Significant};
        match self {
            Self::Degrees => ("°", Decimals(4)),
            Self::Share => ("", Decimals(6)),
            Self::Plain => ("", Decimals(3)),
            Self::Height => ("", Decimals(9)),
            Self::Distance => ("au", Decimals(6)),
            Self::Light => ("W/m2", Decimals(2)),
            Self::AirMass => ("", Decimals(4)),
            Self::Pressure => ("Pa", Decimals(1)),
            Self::Metres => ("m", Decimals(1)),
            Self::Wind => ("m/s", Decimals(2)),
            Self::Celsius => ("°C", Decimals(2)),
            Self::Kelvin | Self::Absolute => ("K", Decimals(2)),
            Self::PercentPerKelvin => ("%/K", Decimals(6)),
            Self::Percent => ("%", Decimals(3)),
            Self::Cells => ("cells", Decimals(4)),
            Self::Count => ("", Decimals(0)),
            Self::Oktas => ("oktas", Decimals(2)),
            Self::Volts => ("V", Decimals(4)),
            Self::Amps => ("A", Decimals(4)),
            Self::CurveVolts => ("V", Decimals(6)),
            Self::CurveAmps => ("A", Significant(7)),
            Self::Ohms => ("ohm", Decimals(6)),
            Self::Siemens => ("1/ohm", Significant(7)),
        }
    }
}

/// A number with its symbol and unit, as printed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Quantity {
    /// Symbol as it stands in formulas.
    pub symbol: String,
    /// The printed value.
    pub value: f64,
    /// Unit; empty for plain numbers.
    pub unit: &'static str,
    /// Digits that are printed.
    #[serde(skip)]
    pub places: Places,
}

impl Quantity {
    /// A quantity, rounded to what it prints.
    #[must_use]
    pub fn new(symbol: impl Into<String>, kind: Kind, value: f64) -> Self {
        let (unit, places) = kind.unit_and_places();
        Self { symbol: symbol.into(), value: places.rounded(value), unit, places }
    }

    /// The same number under another symbol.
    #[must_use]
    pub fn named(&self, symbol: &str) -> Self {
        Self { symbol: symbol.to_owned(), ..self.clone() }
    }

    /// "-21.9612 °".
    #[must_use]
    pub fn text(&self) -> String {
        let number = self.places.text(self.value);
        let gap = if self.unit.is_empty() { "" } else { " " };
        format!("{number}{gap}{}", self.unit)
    }
}

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkedStep {
    /// Names the formula: the same for every step that uses it.
    pub id: &'static str,
    /// What is found.
    pub what: String,
    /// The formula in plain text; null for a number that is given and not computed here.
    pub formula: Option<&'static str>,
    /// What goes in.
    pub inputs: Vec<Quantity>,
    /// What comes out.
    pub result: Quantity,
    /// Key of the source.
    pub source: Option<&'static str>,
    /// Where a given number comes from, or why a step is as it is.
    pub remark: Option<String>,
}

/// The same formulas again, for the twelve 5-minute steps of an hour.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkedTable {
    /// What it holds.
    pub what: String,
    /// Row by row; every row has the same symbols in the same order.
    pub rows: Vec<TableRow>,
}

/// One row: a moment and its quantities.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TableRow {
    /// "17:32:30".
    pub moment: String,
    /// Its quantities.
    pub values: Vec<Quantity>,
}

/// Steps that belong together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Heading.
    pub title: String,
    /// Steps in order.
    pub steps: Vec<WorkedStep>,
    /// A table, after the steps.
    pub table: Option<WorkedTable>,
    /// A remark, after both.
    pub remark: Option<String>,
}

/// A formula with its name and source.
#[derive(Clone, Copy, Debug)]
pub(super) struct Formula {
    pub(super) id: &'static str,
    pub(super) what: &'static str,
    pub(super) text: &'static str,
    pub(super) source: Option<&'static str>,
}

/// Gathers steps.
#[derive(Debug, Default)]
pub(super) struct Chain {
    parts: Vec<Part>,
}

impl Chain {
    pub(super) fn finish(self) -> Vec<Part> {
        self.parts.into_iter().filter(|part| !part.is_empty()).collect()
    }

    /// Begins a part.
    pub(super) fn part(&mut self, title: impl Into<String>) {
        self.parts.push(Part { title: title.into(), steps: Vec::new(), table: None, remark: None });
    }

    fn last(&mut self) -> &mut Part {
        if self.parts.is_empty() {
            self.part("");
        }
        let last = self.parts.len() - 1;
        &mut self.parts[last]
    }

    /// A number that is given.
    pub(super) fn given(
        &mut self,
        what: impl Into<String>,
        quantity: Quantity,
        remark: impl Into<String>,
        source: Option<&'static str>,
    ) -> Quantity {
        self.last().steps.push(WorkedStep {
            id: "given",
            what: what.into(),
            formula: None,
            inputs: Vec::new(),
            result: quantity.clone(),
            source,
            remark: Some(remark.into()).filter(|remark| !remark.is_empty()),
        });
        quantity
    }

    /// A step; hands its result back.
    pub(super) fn step(&mut self, formula: Formula, inputs: &[&Quantity], result: Quantity) -> Quantity {
        self.last().steps.push(WorkedStep {
            id: formula.id,
            what: formula.what.to_owned(),
            formula: Some(formula.text),
            inputs: inputs.iter().map(|&quantity| quantity.clone()).collect(),
            result: result.clone(),
            source: formula.source,
            remark: None,
        });
        result
    }

    /// Adds a remark to the last step.
    pub(super) fn because(&mut self, remark: impl Into<String>) {
        if let Some(step) = self.last().steps.last_mut() {
            step.remark = Some(remark.into());
        }
    }

    /// Adds a remark to the part.
    pub(super) fn remark(&mut self, remark: impl Into<String>) {
        self.last().remark = Some(remark.into());
    }

    pub(super) fn table(&mut self, what: impl Into<String>, rows: Vec<TableRow>) {
        self.last().table = Some(WorkedTable { what: what.into(), rows });
    }
}

impl Part {
    fn is_empty(&self) -> bool {
        self.steps.is_empty() && self.table.is_none() && self.remark.is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_is_what_it_prints() {
        let angle = Quantity::new("z", Kind::Degrees, 66.123_456_789);
        assert_eq!(angle.text(), "66.1235 °");
        assert!((angle.value - 66.1235).abs() < 1e-12);
        let tiny = Quantity::new("I0", Kind::CurveAmps, 3.122_165_970_222e-11);
        assert_eq!(tiny.text(), "3.122166e-11 A");
        assert!((tiny.value / 3.122_166e-11 - 1.0).abs() < 1e-12);
        assert_eq!(Quantity::new("T", Kind::Celsius, -0.001).text(), "0.00 °C");
    }
}
