//! The JSON Schema of a plan, for editors that complete and check TOML. Made from the key table, so it cannot say
//! anything else than the reader does.

use super::keys::{Holds, Key, PLAN, Presence, Table};
use serde_json::{Map, Value, json};

/// The schema as JSON text (draft 2020-12).
#[must_use]
pub fn json_schema() -> String {
    let mut schema = table(&PLAN);
    if let Some(object) = schema.as_object_mut() {
        object.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.insert("title".to_owned(), json!("dawnvolt plan"));
    }
    format!("{schema:#}\n")
}

fn table(table: &Table) -> Value {
    let properties: Map<String, Value> =
        table.keys.iter().map(|key| (key.name.to_owned(), property(key))).collect();
    let required: Vec<&str> =
        table.keys.iter().filter(|key| key.presence == Presence::Required).map(|key| key.name).collect();
    json!({
        "type": "object",
        "description": table.help,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn property(key: &Key) -> Value {
    let mut value = holds(key.holds);
    if let Some(object) = value.as_object_mut() {
        object.insert("description".to_owned(), json!(key.help));
        // examples are written as TOML; those that are JSON too are shown as values
        if let Ok(example) = serde_json::from_str::<Value>(key.example) {
            object.insert("examples".to_owned(), json!([example]));
        }
    }
    value
}

fn holds(holds: Holds) -> Value {
    match holds {
        Holds::Text => json!({ "type": "string", "minLength": 1 }),
        Holds::Measured => json!({ "type": "string", "pattern": "[0-9]" }),
        Holds::Texts => json!({
            "oneOf": [
                { "type": "string", "minLength": 1 },
                { "type": "array", "minItems": 1, "items": { "type": "string", "minLength": 1 } },
            ]
        }),
        Holds::Flag => json!({ "type": "boolean" }),
        Holds::Day => json!({ "type": "string", "pattern": "^([0-9]{4}-)?[0-1][0-9]-[0-3][0-9]$" }),
        Holds::Count { min, max } => json!({ "type": "integer", "minimum": min, "maximum": max }),
        Holds::Number { min, max, .. } => json!({ "type": "number", "minimum": min, "maximum": max }),
        Holds::Words(words) => json!({ "enum": words }),
        Holds::NumberOrWords { min, max, words, .. } => json!({
            "oneOf": [{ "enum": words }, { "type": "number", "minimum": min, "maximum": max }]
        }),
        Holds::Inner(inner) => table(inner),
        Holds::Repeated(inner) => json!({ "type": "array", "items": table(inner) }),
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::plan::schema::{self, names};

    #[test]
    fn the_schema_is_json_with_the_keys_that_serde_reads() {
        let schema: Value = serde_json::from_str(&json_schema()).unwrap();
        let keys = |value: &Value| {
            let mut keys: Vec<String> = value["properties"].as_object().unwrap().keys().cloned().collect();
            keys.sort();
            keys
        };
        let sorted = |mut names: Vec<&'static str>| {
            names.sort_unstable();
            names
        };
        assert_eq!(keys(&schema), sorted(names::of::<schema::PlanFile>()));
        let properties = &schema["properties"];
        assert_eq!(keys(&properties["module"]["items"]), sorted(names::of::<schema::ModuleTable>()));
        assert_eq!(keys(&properties["component"]["items"]), sorted(names::of::<schema::ComponentTable>()));
        let stop = &properties["stop"]["items"];
        assert_eq!(keys(stop), sorted(names::of::<schema::StopTable>()));
        assert_eq!(keys(&stop["properties"]["columns"]), sorted(names::of::<schema::ColumnsTable>()));
        assert_eq!(keys(&properties["assumptions"]), sorted(names::of::<schema::AssumptionsTable>()));
    }

    #[test]
    fn the_example_of_every_key_is_toml_that_the_key_takes() {
        for table in super::super::keys::TABLES {
            for key in table.keys.iter().filter(|key| !key.example.is_empty()) {
                let read: toml::Table = toml::from_str(&format!("{} = {}", key.name, key.example))
                    .unwrap_or_else(|error| panic!("{} of {}: {error}", key.name, table.header));
                let value = &read[key.name];
                let fits = match key.holds {
                    Holds::Text | Holds::Measured | Holds::Day => value.is_str(),
                    Holds::Texts => value.is_str() || value.is_array(),
                    Holds::Flag => value.is_bool(),
                    Holds::Count { min, max } => {
                        value.as_integer().is_some_and(|n| (i64::from(min)..=i64::from(max)).contains(&n))
                    }
                    Holds::Number { min, max, .. } => {
                        let number = value.as_float().or(value.as_integer().map(|n| n as f64));
                        number.is_some_and(|n| (min..=max).contains(&n))
                    }
                    Holds::Words(words) => value.as_str().is_some_and(|word| words.contains(&word)),
                    Holds::NumberOrWords { words, .. } => {
                        value.as_str().map_or(!value.is_str(), |word| words.contains(&word))
                    }
                    Holds::Inner(_) => value.is_table(),
                    Holds::Repeated(_) => value.is_array(),
                };
                assert!(fits, "{} = {} in {}", key.name, key.example, table.header);
            }
        }
    }
}
