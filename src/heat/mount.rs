//! How a panel is mounted, which decides how its heat leaves.

/// Mount of a panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mount {
    /// Glued or close to the skin of the roof.
    Roof,
    /// 20 to 50 mm of air behind it.
    Gap,
    /// Open frame, folding, on the ground.
    Frame,
}

impl Mount {
    /// The plan's word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Roof => "roof",
            Self::Gap => "gap",
            Self::Frame => "frame",
        }
    }
}
