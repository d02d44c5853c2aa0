//! What a reader hands over: one reading as its file gives it, already in SI, missing values already absent.

use super::scan;
use super::tally::Why;
use crate::time::Stamp;

/// What the stamp of a reading means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Span {
    /// A reading at that instant.
    Instant(Stamp),
    /// A mean over an interval.
    Mean {
        /// Its begin.
        start: Stamp,
        /// Its end.
        end: Stamp,
    },
}

impl Span {
    /// The hour that ends at `end`.
    pub(super) fn hour_ending(end: Stamp) -> Self {
        Self::Mean { start: end.plus_s(-crate::time::HOUR_S), end }
    }

    /// The hour that begins at `start`.
    pub(super) fn hour_beginning(start: Stamp) -> Self {
        Self::Mean { start, end: start.plus_s(crate::time::HOUR_S) }
    }

    /// Begin of the hour that the reading stands for: of an instant the clock hour (UTC), of an hour's mean its
    /// own begin, of a shorter mean the clock hour that it begins in.
    pub(super) fn hour(self) -> Stamp {
        match self {
            Self::Instant(stamp) => stamp.floor_hour(),
            Self::Mean { start, end } if end.0 - start.0 >= crate::time::HOUR_S => start,
            Self::Mean { start, .. } => start.floor_hour(),
        }
    }
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reading {
    /// When, and what the stamp means.
    pub span: Span,
    /// Air temperature, C, or why there is none.
    pub air: Result<f64, Why>,
    /// An air temperature that is there and not believed, because of its flag or a letter behind it, C; `air` says why.
    pub doubted_c: Option<f64>,
    /// Lowest air temperature within the interval, where the file gives it beside the mean, C.
    pub low_c: Option<f64>,
    /// Highest, likewise, C.
    pub high_c: Option<f64>,
    /// Global horizontal irradiance, W/m2.
    pub ghi: Option<f64>,
    /// Direct normal irradiance, W/m2.
    pub dni: Option<f64>,
    /// Diffuse horizontal irradiance, W/m2.
    pub dhi: Option<f64>,
    /// Covered eighths of the sky.
    pub oktas: Option<f64>,
    /// Wind speed, m/s.
    pub wind_m_s: Option<f64>,
    /// Line of the file.
    pub line: u32,
}

impl Reading {
    /// A reading that holds nothing yet.
    pub(super) fn new(span: Span, line: u32) -> Self {
        Self {
            span,
            air: Err(Why::NoAir),
            doubted_c: None,
            low_c: None,
            high_c: None,
            ghi: None,
            dni: None,
            dhi: None,
            oktas: None,
            wind_m_s: None,
            line,
        }
    }
}

/// Oktas of a cloud cover in tenths; `None` outside 0 to 10.
pub(super) fn oktas_of_tenths(tenths: f64) -> Option<f64> {
    (0.0..=10.0).contains(&tenths).then_some(tenths * 0.8)
}

/// Oktas of a cloud cover in per cent; `None` outside 0 to 100.
pub(super) fn oktas_of_percent(percent: f64) -> Option<f64> {
    (0.0..=100.0).contains(&percent).then_some(percent * 0.08)
}

/// Oktas of a layer's word in aviation reports: the middles of the classes; an obscured sky (VV) is overcast.
pub(super) fn oktas_of_word(word: &[u8]) -> Option<f64> {
    match word {
        b"CLR" | b"SKC" | b"NSC" | b"NCD" | b"CAVOK" => Some(0.0),
        b"FEW" => Some(1.5),
        b"SCT" => Some(3.5),
        b"BKN" => Some(6.0),
        b"OVC" | b"VV" | b"VV " | b"OVX" => Some(8.0),
        _ => None,
    }
}

/// Whether a cell is blank or one of the usual words for "missing".
pub(super) fn absent(cell: &[u8]) -> bool {
    matches!(
        scan::trim(cell),
        b"" | b"NA" | b"N/A" | b"NaN" | b"nan" | b"M" | b"null" | b"NULL" | b"None" | b"-" | b"--" | b"---"
    )
}

/// An air temperature cell: a number, or why it is none. Numbers for which `missing` holds stand for "missing".
pub(super) fn air(cell: &[u8], missing: impl Fn(f64) -> bool) -> Result<f64, Why> {
    match scan::decimal(cell) {
        Some(value) if missing(value) => Err(Why::NoAir),
        Some(value) => Ok(value),
        None if absent(cell) => Err(Why::NoAir),
        None => Err(Why::UnreadableAir),
    }
}
