//! A plan read again with another value in it, by the reader that every plan goes through.

use super::given::FromValue;
use super::{Plan, PlanError, read};
use toml::{Table, Value};

/// Reads the plan again with other volts and tolerance on the label of the panel `id`. Its stops are left out: no file is
/// looked for.
///
/// # Errors
/// Why no plan takes them: what was found, and what is expected.
pub(crate) fn with_voc(plan: &Plan, id: &str, voc_v: f64, tolerance_percent: f64) -> Result<(), String> {
    let mut tables: Table = plan.text.parse().map_err(|error: toml::de::Error| error.message().to_owned())?;
    tables.remove("stop");
    let panels = tables.get_mut("module").and_then(Value::as_array_mut);
    let label = panels
        .and_then(|panels| {
            panels.iter_mut().filter_map(Value::as_table_mut).find(|label| {
                let found = label.get("id").cloned().map(String::from_value);
                found.is_some_and(|found| found.is_ok_and(|found| found == id))
            })
        })
        .ok_or("its label is not in the plan's text")?;
    label.insert("voc_v".into(), Value::Float(voc_v));
    label.insert("voc_tolerance_percent".into(), Value::Float(tolerance_percent));
    let text = toml::to_string(&tables).map_err(|error| error.to_string())?;
    let nothing = |_: &str| Ok(Vec::new());
    match read(&text, &plan.folder, &plan.folder, &nothing) {
        Ok(_) => Ok(()),
        Err(PlanError::Faults { faults, .. }) => {
            let message = faults.first().map_or_else(String::new, |fault| fault.message.clone());
            // What to do about it is another matter here than in a plan.
            Err(message.splitn(3, "; ").take(2).collect::<Vec<_>>().join("; "))
        }
        Err(error) => Err(error.to_string()),
    }
}
