use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema, transform};
use serde_json::Value;

use super::file::{CaseFile, JointSetsFile, StructuresFile};
use super::scatter_rules::{ScatterTable, let_scatter};

/// The JSON Schema of the case file, for editors that complete and check TOML by one.
#[must_use]
pub fn schema() -> Value {
    schema_of::<CaseFile>()
}

/// The schema of a file of joint sets.
pub(super) fn joint_sets_schema() -> Value {
    schema_of::<JointSetsFile>()
}

/// The schema of a file of mapped structures.
pub(super) fn structures_schema() -> Value {
    schema_of::<StructuresFile>()
}

fn schema_of<T: JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().with(|s| s.transforms.push(Box::new(WithoutNull)));
    let of = |settings: SchemaSettings| settings.into_generator();
    let mut schema = of(settings.clone()).into_root_schema_for::<T>().to_value();
    let_scatter(&mut schema, of(settings).into_root_schema_for::<ScatterTable>().to_value());
    schema
}

/// TOML has no null: an optional key is there or it is not.
#[derive(Debug, Clone)]
struct WithoutNull;

impl transform::Transform for WithoutNull {
    fn transform(&mut self, schema: &mut Schema) {
        transform::transform_subschemas(self, schema);
        if let Some(Value::Array(types)) = schema.get_mut("type") {
            types.retain(|t| t != "null");
            if let [only] = types.as_slice() {
                let only = only.clone();
                schema.insert("type".to_owned(), only);
            }
        }
        if let Some(Value::Array(branches)) = schema.get_mut("anyOf") {
            branches.retain(|b| b.get("type") != Some(&Value::from("null")));
            if let [Value::Object(only)] = branches.as_slice() {
                let only = only.clone();
                schema.remove("anyOf");
                for (key, value) in only {
                    schema.insert(key, value);
                }
            }
        }
        // A Rust number type says nothing to somebody who types TOML.
        schema.remove("format");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The committed schema is the one that the structs give. `BACKHOLD_WRITE_SCHEMA=1` rewrites
    /// it.
    #[test]
    fn the_committed_schema_is_up_to_date() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/case.schema.json");
        let text = format!("{}\n", serde_json::to_string_pretty(&schema()).unwrap());
        if std::env::var_os("BACKHOLD_WRITE_SCHEMA").is_some() {
            std::fs::write(&path, &text).unwrap();
        }
        let committed = std::fs::read_to_string(&path).unwrap();
        assert!(committed == text, "write it anew: BACKHOLD_WRITE_SCHEMA=1 cargo test schema");
    }

    #[test]
    fn every_key_is_described_and_none_may_be_null() {
        fn walk(value: &Value, path: &str) {
            match value {
                Value::Object(map) => {
                    if let Some(Value::Object(keys)) = map.get("properties") {
                        for (key, schema) in keys {
                            let told = schema.get("description").is_some()
                                || schema.get("const").is_some()
                                || path.contains("then")
                                || path.contains("else")
                                || path.contains("/if");
                            assert!(told, "{path}/{key} has no description");
                        }
                    }
                    for (key, inner) in map {
                        walk(inner, &format!("{path}/{key}"));
                    }
                }
                Value::Array(list) => list.iter().for_each(|inner| walk(inner, path)),
                other => assert_ne!(other, "null", "{path}"),
            }
        }
        walk(&schema(), "");
        walk(&joint_sets_schema(), "");
        walk(&structures_schema(), "");
    }
}
