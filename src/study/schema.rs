//! The JSON Schema of scenario files, for editors and for whoever writes them by program.
//!
//! Generated from the structures below; a test holds them to what `scenario.rs` reads, another holds
//! docs/scenario.schema.json to them.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema, schema_for};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A scenario: which line, which layouts, how to run it, what to expect.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields, title = "Taktwright scenario")]
#[expect(dead_code, reason = "described, never built: the reader reports every fault, serde only the first")]
struct Scenario {
    /// The line file, written from the scenario's folder.
    #[schemars(length(min = 1))]
    line: String,
    /// The layouts to run; all of the file's when left out.
    #[schemars(default)]
    layouts: Vec<String>,
    /// Other values for `let` names of the file: numbers or quantities such as `20 min`.
    #[schemars(default)]
    set: BTreeMap<String, Quantity>,
    /// How to run it.
    #[schemars(default)]
    run: Option<Run>,
    /// What must hold.
    #[schemars(default)]
    expect: Vec<Expectation>,
    /// What an earlier run gave, written by `taktwright verify --bless`; from the scenario's folder.
    #[schemars(default)]
    baseline: Option<String>,
    /// How far a figure may be from the baseline, as in `1 %`; counts must agree. Default: 0.1 %.
    #[schemars(default)]
    band: Option<Share>,
}

/// How long, how often, from which seed. One of `shifts`, `units`, `for`; one of `replications`,
/// `within`.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
#[expect(dead_code, reason = "described, never built")]
struct Run {
    /// Shifts counted in each replication, after its warm-up.
    #[schemars(range(min = 1, max = 100_000), default)]
    shifts: Option<u32>,
    /// Finished units counted in each replication.
    #[schemars(range(min = 1, max = 1_000_000_000), default)]
    units: Option<u64>,
    /// Clock time counted in each replication, as in `40 h`.
    #[schemars(rename = "for", default)]
    lasting: Option<String>,
    /// Independent runs. Default: 100.
    #[schemars(range(min = 2, max = 1_000_000), default)]
    replications: Option<u32>,
    /// Go on until the band of the mean output is this narrow, as in `1 %`.
    #[schemars(default)]
    within: Option<Share>,
    /// Default: 1.
    #[schemars(range(max = 9_007_199_254_740_992_u64), default)]
    seed: Option<u64>,
    /// `auto`, `none` or a time.
    #[schemars(rename = "warm-up", default)]
    warm_up: Option<String>,
    /// Replications for each station's gain. Default: 0, none.
    #[schemars(range(max = 100_000), default)]
    gains: Option<u32>,
}

/// A number, or a quantity with its unit.
struct Quantity;

impl JsonSchema for Quantity {
    fn schema_name() -> Cow<'static, str> {
        "Quantity".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A number, or a quantity with its unit.",
            "type": ["number", "string"]
        })
    }
}

/// A share such as `1 %`.
struct Share;

impl JsonSchema for Share {
    fn schema_name() -> Cow<'static, str> {
        "Share".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A share such as `1 %`.",
            "type": "string",
            "pattern": "^[0-9]+(\\.[0-9]+)? ?%$"
        })
    }
}

/// A sentence, or a measure with its limit.
struct Expectation;

impl JsonSchema for Expectation {
    fn schema_name() -> Cow<'static, str> {
        "Expectation".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let limit = |side: &str| {
            json_schema!({
                "type": "object",
                "properties": { side: { "type": ["number", "string"] } },
                "required": [side],
                "additionalProperties": false
            })
        };
        json_schema!({
            "description": "A sentence as a promise has it (`no hold under its minimum`), a comparison (`A better than B on \
                            units per shift`), or a measure with its limit (`units per shift: { at least: 17.5 }`).",
            "oneOf": [
                { "type": "string" },
                {
                    "type": "object",
                    "minProperties": 1,
                    "maxProperties": 1,
                    "additionalProperties": { "oneOf": [limit("at least"), limit("at most")] }
                }
            ]
        })
    }
}

/// The schema as it stands in docs/scenario.schema.json.
pub fn scenario_schema() -> String {
    serde_json::to_string_pretty(&schema_for!(Scenario)).expect("a schema holds only text and numbers") + "\n"
}

#[cfg(test)]
mod tests {
    use super::scenario_schema;
    use crate::study::scenario::{KEYS, RUN_KEYS};

    #[test]
    fn the_schema_has_exactly_the_keys_that_are_read() {
        let schema: serde_json::Value = serde_json::from_str(&scenario_schema()).expect("valid JSON");
        let keys = |of: &serde_json::Value| {
            let map = of["properties"].as_object().expect("an object has properties");
            let mut keys: Vec<String> = map.keys().cloned().collect();
            keys.sort();
            keys
        };
        let sorted = |keys: &[&str]| {
            let mut keys: Vec<String> = keys.iter().map(|k| (*k).to_string()).collect();
            keys.sort();
            keys
        };
        assert_eq!(keys(&schema), sorted(&KEYS));
        assert_eq!(keys(&schema["$defs"]["Run"]), sorted(&RUN_KEYS));
    }
}
