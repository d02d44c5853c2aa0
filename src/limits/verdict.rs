//! The words of a verdict and their order.

use serde::Serialize;

/// What a limit line, or the whole analysis, comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Holds with room to spare.
    Within,
    /// Holds by less than the stated band.
    Close,
    /// Could not be assessed; the reason stands beside it.
    NotAssessed,
    /// A rule without a number is not met.
    NotMet,
    /// The rating is passed.
    Exceeded,
}

impl Verdict {
    /// The word in text and JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Close => "close",
            Self::NotAssessed => "not-assessed",
            Self::NotMet => "not-met",
            Self::Exceeded => "exceeded",
        }
    }

    /// Place in the order of the top verdict: exceeded or not met, not assessed, close, within.
    #[must_use]
    pub fn severity(self) -> u8 {
        match self {
            Self::Within => 0,
            Self::Close => 1,
            Self::NotAssessed => 2,
            Self::NotMet => 3,
            Self::Exceeded => 4,
        }
    }

    /// The worse of two.
    #[must_use]
    pub fn or_worse(self, other: Self) -> Self {
        if other.severity() > self.severity() { other } else { self }
    }
}

/// Who decided a limit's verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecidedBy {
    /// The code sum.
    Code,
    /// The largest worst case in the record.
    Seen,
    /// The worst case's predictive level.
    Level,
    /// The largest worst case found, raised by the volts of 10 K colder air.
    Allowance,
    /// A rule without a number, or a current factor.
    Rule,
}
