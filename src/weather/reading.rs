//! What a reader hands over: one reading as its file gives it, already in SI, missing values already absent.

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
    /// Air temperature, C.
    pub air_c: Option<f64>,
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
            air_c: None,
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
