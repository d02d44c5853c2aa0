//! JSON: the results as they are.

use crate::study::results::Assessment;

/// The assessment as indented JSON with a line break at its end.
///
/// Numbers come from the results, unrounded; what the record cannot support is `null`.
#[must_use]
pub fn json(assessment: &Assessment) -> String {
    // Keys are strings and no part of an assessment refuses to be written, so this branch is never taken;
    // an empty document would be worse than a plain sentence.
    let mut text = serde_json::to_string_pretty(assessment)
        .unwrap_or_else(|error| format!("{{ \"error\": \"{}\" }}", error.to_string().replace('"', "'")));
    text.push('\n');
    text
}
