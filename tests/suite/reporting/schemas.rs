//! Records are as their published schemas say: every key that must be there is, and none that is not in them.

use super::super::harness::taktwright;
use serde_json::Value;
use std::path::PathBuf;

/// What a record has against its schema, by the path of its keys.
struct Against<'a> {
    schema: &'a Value,
    wrong: Vec<String>,
}

impl<'a> Against<'a> {
    /// `says`, or what it refers to.
    fn meant(&self, says: &'a Value) -> &'a Value {
        let name = says["$ref"].as_str().and_then(|whole| whole.strip_prefix("#/$defs/"));
        name.map_or(says, |name| &self.schema["$defs"][name])
    }

    fn look(&mut self, at: &str, says: &'a Value, value: &Value) {
        let says = self.meant(says);
        if let Some(ways) = says["anyOf"].as_array() {
            // Null, or the other.
            let other = ways.iter().find(|way| way["type"] != "null");
            match (value, other) {
                (Value::Null, _) | (_, None) => {}
                (_, Some(other)) => self.look(at, other, value),
            }
            return;
        }
        match value {
            Value::Object(keys) => self.look_at_keys(at, says, keys),
            Value::Array(rows) => {
                for (k, row) in rows.iter().enumerate() {
                    self.look(&format!("{at}/{k}"), &says["items"], row);
                }
            }
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }

    fn look_at_keys(&mut self, at: &str, says: &'a Value, keys: &serde_json::Map<String, Value>) {
        for key in says["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !keys.contains_key(key) {
                self.wrong.push(format!("{at} lacks {key}"));
            }
        }
        for (key, value) in keys {
            match (says["properties"].get(key), says.get("additionalProperties")) {
                (Some(stated), _) => self.look(&format!("{at}/{key}"), stated, value),
                (None, Some(stated)) if stated.is_object() => {
                    self.look(&format!("{at}/{key}"), stated, value)
                }
                (None, _) => self.wrong.push(format!("{at} has {key}, which the schema has not")),
            }
        }
    }
}

#[test]
fn records_are_as_their_schemas_say() {
    let quick = "--replications 2 --shifts 5 --warm-up none --format json";
    for (command, schema, status) in [
        (format!("simulate scenarios/first.line {quick}"), "report", 1),
        (format!("simulate scenarios/heat-pumps.line {quick}"), "report", 1),
        (format!("simulate scenarios/pump-skids.line {quick}"), "report", 1),
        (format!("compare scenarios/first.line {quick}"), "compare", 1),
        (format!("losses scenarios/first.line {quick}"), "losses", 0),
        ("balance scenarios/first.line --format json".to_string(), "balance", 0),
    ] {
        let json = taktwright(&command).with_scenarios().stdout_holds(&["\"schema\""]).status(status).run();
        let record: Value = serde_json::from_str(&json).expect("a record");
        let page = [env!("CARGO_MANIFEST_DIR"), "docs", &format!("{schema}.schema.json")];
        #[expect(clippy::disallowed_methods, reason = "a test reads the published page")]
        let page = std::fs::read_to_string(page.iter().collect::<PathBuf>()).expect("it is published");
        let schema: Value = serde_json::from_str(&page).expect("a schema");
        let mut against = Against { schema: &schema, wrong: Vec::new() };
        against.look("", &schema, &record);
        assert_eq!(against.wrong, Vec::<String>::new(), "{command}");
    }
}
