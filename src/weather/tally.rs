//! Counts of what was left out, each with the place where it happened first. Nothing here grows with a file.

use super::Origin;
use crate::note::NoteKind;

/// Why something of a row was not used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Why {
    /// The air temperature is blank or stands at the format's value for "missing".
    NoAir,
    /// The air temperature's quality flag says suspect or wrong.
    FlaggedAir,
    /// The air temperature lies below what the earth's surface has ever seen.
    TooColdAir,
    /// The air temperature lies above it.
    TooHotAir,
    /// An irradiance lies outside the possible.
    ImpossibleLight,
    /// A wind speed lies outside the possible.
    ImpossibleWind,
    /// A daily or monthly summary between the hours.
    Summary,
    /// The stamp cannot be read.
    NoStamp,
    /// The stamp lies in a year in which nobody has measured.
    FarStamp,
    /// A header line, a footer or a line of another table.
    OtherLine,
    /// The row belongs to another station than the one named.
    OtherStation,
    /// The row is the output of a forecast model.
    Forecast,
    /// The air temperature's cell cannot be read as a number.
    UnreadableAir,
}

/// All reasons, in the order in which notes are printed.
const ALL: [Why; 13] = [
    Why::NoAir,
    Why::FlaggedAir,
    Why::TooColdAir,
    Why::TooHotAir,
    Why::UnreadableAir,
    Why::ImpossibleLight,
    Why::ImpossibleWind,
    Why::Forecast,
    Why::NoStamp,
    Why::FarStamp,
    Why::Summary,
    Why::OtherLine,
    Why::OtherStation,
];

impl Why {
    /// Whether a whole row gives no air temperature; else one of its other values is left out.
    pub(super) fn is_of_the_row(self) -> bool {
        !matches!(self, Self::ImpossibleLight | Self::ImpossibleWind)
    }

    /// Kind of the note, what was left out (behind "n x"), and advice.
    pub(super) fn words(self) -> (NoteKind, &'static str, &'static str) {
        match self {
            Self::NoAir => (
                NoteKind::Missing,
                "a reading without air temperature",
                "they count as missing, never as mild",
            ),
            Self::FlaggedAir => (
                NoteKind::Flagged,
                "an air temperature that the archive itself flags as suspect or wrong",
                "left out",
            ),
            Self::TooColdAir => (
                NoteKind::Impossible,
                "an air temperature below -90 C",
                "left out; such numbers usually stand for \"missing\"",
            ),
            Self::TooHotAir => (
                NoteKind::Impossible,
                "an air temperature above 60 C",
                "left out; such numbers usually stand for \"missing\"",
            ),
            Self::UnreadableAir => (
                NoteKind::Flagged,
                "an air temperature that is not a plain number (a letter behind it marks a doubtful one)",
                "left out",
            ),
            Self::ImpossibleLight => (
                NoteKind::Impossible,
                "an irradiance below -20 or above 2000 W/m2",
                "left out; the hour falls back on clouds or clear sky",
            ),
            Self::ImpossibleWind => {
                (NoteKind::Impossible, "a wind speed below 0 or above 120 m/s", "left out")
            }
            Self::Summary => {
                (NoteKind::RowsPassedOver, "a daily or monthly summary row", "not an hourly reading")
            }
            Self::NoStamp => {
                (NoteKind::RowsPassedOver, "a row whose date or time cannot be read", "passed over")
            }
            Self::FarStamp => (
                NoteKind::RowsPassedOver,
                "a row stamped before 1850 or after 2149",
                "passed over; such years usually stand for \"missing\"",
            ),
            Self::OtherLine => (
                NoteKind::RowsPassedOver,
                "a line that is not a reading (a repeated header, a footer, another table)",
                "passed over",
            ),
            Self::OtherStation => {
                (NoteKind::RowsPassedOver, "a row of another station", "passed over as asked")
            }
            Self::Forecast => (
                NoteKind::RowsPassedOver,
                "a row that a forecast model made",
                "not a measurement, and not used for anything",
            ),
        }
    }
}

/// How often, and where first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Count {
    /// How often.
    pub count: u64,
    /// Where first.
    pub first: Origin,
}

/// Counts by reason.
#[derive(Clone, Debug, Default)]
pub(super) struct Tally {
    counts: [Option<Count>; ALL.len()],
}

impl Tally {
    /// One more.
    pub(super) fn add(&mut self, why: Why, at: Origin) {
        let count = self.counts[why as usize].get_or_insert(Count { count: 0, first: at });
        count.count += 1;
    }

    /// All reasons in the order of printing.
    pub(super) fn order() -> &'static [Why] {
        &ALL
    }

    /// What was counted, in the order of printing.
    pub(super) fn iter(&self) -> impl Iterator<Item = (Why, Count)> + '_ {
        ALL.iter().filter_map(|&why| self.counts[why as usize].map(|count| (why, count)))
    }

    /// How often `why` was counted, and where first.
    pub(super) fn of(&self, why: Why) -> Option<Count> {
        self.counts[why as usize]
    }

    /// How often `why` was counted.
    pub(super) fn count(&self, why: Why) -> u64 {
        self.of(why).map_or(0, |count| count.count)
    }
}
