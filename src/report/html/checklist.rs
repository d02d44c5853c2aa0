//! The mistakes that no plan shows, to be checked by hand.

use super::document::list;
use crate::limits::mistakes::CHECKLIST;
use maud::{Markup, html};

/// The short list, with a word on what it is.
pub(super) fn checklist() -> Markup {
    html! {
        p { "Mistakes that a plan shows stand as notes beside the array. These do not show in any plan; look for them by hand." }
        (list(CHECKLIST.into_iter()).unwrap_or_default())
    }
}
