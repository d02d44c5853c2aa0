//! A remark about the data or the plan: what happened, how often, where first, and what to do.

use serde::{Serialize, Serializer};
use std::fmt;

/// What a note is about. The word is part of the JSON output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum NoteKind {
    /// A value that stands for "missing" was left out.
    Missing,
    /// A value was left out because its quality flag says so.
    Flagged,
    /// A value was left out because it is physically impossible.
    Impossible,
    /// A value is doubtful; what was done with it is in the text.
    Doubtful,
    /// A cold extreme was left out; the text says what the result would be with it.
    ColdExtremeDropped,
    /// Several readings met in one hour.
    SeveralReadings,
    /// Several files gave the same hour.
    Overlap,
    /// Rows that carry no hourly reading were passed over.
    RowsPassedOver,
    /// Something that the file leaves open was assumed.
    Assumed,
    /// The stamps do not fit the light.
    Clock,
    /// Stamps that are off by hours: light, and the hours over a limit, are wrong.
    ClockHours,
    /// The place of the station changes or differs.
    Place,
    /// The record is short, or holds no complete season.
    ShortRecord,
    /// A typical year, which carries no extremes.
    TypicalYear,
    /// Air or light was moved from the station's elevation to the place's.
    Elevation,
    /// A gap lies near a season's low.
    Gap,
    /// How well season extremes fit the law of the levels, and extremes beyond their own levels.
    Fit,
    /// How much of the cold came in the dark.
    Daylight,
    /// The record warms or cools.
    Trend,
    /// What recorded lows miss between readings.
    Sampling,
    /// A remark about a panel's label.
    Label,
    /// A remark about the arrangement of panels and components.
    Wiring,
    /// A remark about trip dates.
    Trip,
    /// A comparison with published figures.
    Published,
}

impl NoteKind {
    /// The word in JSON and text.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Flagged => "flagged",
            Self::Impossible => "impossible",
            Self::Doubtful => "doubtful",
            Self::ColdExtremeDropped => "cold-extreme-dropped",
            Self::SeveralReadings => "several-readings",
            Self::Overlap => "overlap",
            Self::RowsPassedOver => "rows-passed-over",
            Self::Assumed => "assumed",
            Self::Clock | Self::ClockHours => "clock",
            Self::Place => "place",
            Self::ShortRecord => "short-record",
            Self::TypicalYear => "typical-year",
            Self::Elevation => "elevation",
            Self::Gap => "gap",
            Self::Fit => "fit",
            Self::Daylight => "daylight",
            Self::Trend => "trend",
            Self::Sampling => "sampling",
            Self::Label => "label",
            Self::Wiring => "wiring",
            Self::Trip => "trip",
            Self::Published => "published",
        }
    }
}

impl Serialize for NoteKind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// A counted remark. Where a file is concerned the text names the first file and line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// What it is about.
    pub kind: NoteKind,
    /// How often it happened (1 where counting makes no sense).
    pub count: u64,
    /// One or two plain sentences: what, where first, what to do.
    pub text: String,
    /// Whether it asks for something to be done: then it stands under what to change, and nobody is told that nothing must.
    #[serde(skip)]
    pub asks: bool,
    /// Whether it says that something was not judged: then nobody is told that everything was.
    #[serde(skip)]
    pub leaves_unjudged: bool,
}

impl Note {
    /// A note that stands once.
    #[must_use]
    pub fn once(kind: NoteKind, text: impl Into<String>) -> Self {
        Self { kind, count: 1, text: text.into(), asks: false, leaves_unjudged: false }
    }

    /// A note with a count.
    #[must_use]
    pub fn counted(kind: NoteKind, count: u64, text: impl Into<String>) -> Self {
        Self { kind, count, text: text.into(), asks: false, leaves_unjudged: false }
    }

    /// The same, as one that asks for something to be done.
    #[must_use]
    pub fn asking(self) -> Self {
        Self { asks: true, ..self }
    }

    /// The same, as one that says what was not judged.
    #[must_use]
    pub fn unjudged(self) -> Self {
        Self { leaves_unjudged: true, ..self }
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}
