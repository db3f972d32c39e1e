//! YAML as a tree of values with their places, so that every fault of a scenario can be reported,
//! not only the first. The only place that knows the YAML reader.

use crate::diagnostic::words::scenario as words;
use crate::diagnostic::{Diagnostic, FileId, Span};
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;
use std::fmt;

/// A scenario file is small; what is larger is not one.
pub const LARGEST_SCENARIO: usize = 1024 * 1024;

#[derive(Clone, PartialEq, Debug)]
pub(super) enum Value {
    Nothing,
    Flag(bool),
    Number(f64),
    Text(String),
    List(Vec<Node>),
    /// Keys in their order; the reader has refused equal ones.
    Map(Vec<(Node, Node)>),
}

/// A value and the bytes it stands in.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Node {
    pub value: Value,
    start: usize,
    end: usize,
}

impl Node {
    pub fn span(&self, file: FileId) -> Span {
        Span::new(file, self.start, self.end)
    }

    /// The text of a scalar as typed; `None` for lists, maps and nothing.
    pub fn scalar(&self) -> Option<String> {
        match &self.value {
            Value::Text(text) => Some(text.clone()),
            Value::Number(number) => Some(number.to_string()),
            Value::Flag(flag) => Some(flag.to_string()),
            Value::Nothing | Value::List(_) | Value::Map(_) => None,
        }
    }

    /// `a text`, `a list`: for a message about what stands here.
    pub fn kind(&self) -> &'static str {
        match self.value {
            Value::Nothing => "nothing",
            Value::Flag(_) => "true or false",
            Value::Number(_) => "a number",
            Value::Text(_) => "text",
            Value::List(_) => "a list",
            Value::Map(_) => "a map",
        }
    }
}

/// Reads one YAML document.
///
/// # Errors
/// The text is not YAML, or is larger or deeper than a scenario may be.
pub(super) fn read(file: FileId, text: &str) -> Result<Node, Box<Diagnostic>> {
    if text.len() > LARGEST_SCENARIO {
        return Err(Box::new(words::too_large(Span::new(file, 0, 0), text.len(), LARGEST_SCENARIO)));
    }
    let options = serde_yaml::options! {
        strict_booleans: true,
        with_snippet: false,
        budget: serde_yaml::budget! {
            max_depth: 32,
            max_nodes: 50_000,
            max_aliases: 1_000,
            max_merge_keys: 1_000,
        },
    };
    serde_yaml::from_str_with_options(text, options).map_err(|error| {
        let at = error.location().map_or((0, 0), |place| {
            let start = place.span().byte_offset().unwrap_or(0);
            (start, start + place.span().byte_len().unwrap_or(0))
        });
        let whole = |n: u64| usize::try_from(n).unwrap_or(usize::MAX).min(text.len());
        let span = Span::new(file, whole(at.0), whole(at.1));
        Box::new(words::not_yaml(span, &reason(&error)))
    })
}

/// The reader's reason without its place, which we show ourselves.
fn reason(error: &serde_yaml::Error) -> String {
    use serde_yaml::Error as E;
    match error.without_snippet() {
        E::DuplicateMappingKey { key: Some(key), .. } => format!("`{key}` stands twice"),
        E::MultipleDocuments { .. } => "a scenario file holds one document".to_string(),
        E::Budget { .. } => "it is nested or repeated beyond the limit".to_string(),
        E::UnknownAnchor { .. } => "an alias names nothing that stands before it".to_string(),
        E::Eof { .. } => "the file is empty".to_string(),
        other => {
            let text = other.to_string();
            let end = text.find(" at line ").unwrap_or(text.len());
            text[..end].lines().next().unwrap_or_default().trim_start_matches("error: ").to_string()
        }
    }
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Node, D::Error> {
        let Spanned { value, referenced, .. } = Spanned::<Value>::deserialize(deserializer)?;
        let whole = |n: Option<u64>| n.and_then(|n| usize::try_from(n).ok()).unwrap_or(0);
        let start = whole(referenced.span().byte_offset());
        let end = start + whole(referenced.span().byte_len());
        // The reader gives a list or map its opening only: it reaches at least to its last part.
        let last = match &value {
            Value::List(items) => items.last().map_or(end, |item| item.end),
            Value::Map(entries) => entries.last().map_or(end, |(_, value)| value.end),
            Value::Nothing | Value::Flag(_) | Value::Number(_) | Value::Text(_) => end,
        };
        Ok(Node { value, start, end: end.max(last) })
    }
}

impl<'de> Deserialize<'de> for Value {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(AnyValue)
    }
}

struct AnyValue;

impl<'de> Visitor<'de> for AnyValue {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Nothing)
    }

    fn visit_none<E>(self) -> Result<Value, E> {
        Ok(Value::Nothing)
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        Value::deserialize(deserializer)
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Value, E> {
        Ok(Value::Flag(flag))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        Ok(Value::Number(number as f64))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        Ok(Value::Number(number as f64))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
        Ok(Value::Number(number))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::Text(text.to_string()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Value::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Vec::new();
        while let Some(entry) = entries.next_entry()? {
            map.push(entry);
        }
        Ok(Value::Map(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_one(text: &str) -> Node {
        read(FileId(0), text).expect("good YAML")
    }

    #[test]
    fn every_value_knows_its_bytes_even_after_other_alphabets() {
        let text = "über: [1, zwölf]\nrun: { shifts: 20 }\n";
        let Value::Map(entries) = read_one(text).value else { panic!("a map was written") };
        let piece = |node: &Node| &text[node.start..node.end];
        assert_eq!(piece(&entries[0].0), "über");
        let Value::List(items) = &entries[0].1.value else { panic!("a list was written") };
        assert_eq!(piece(&items[1]), "zwölf");
        let Value::Map(run) = &entries[1].1.value else { panic!("a map was written") };
        assert_eq!((piece(&run[0].0), piece(&run[0].1)), ("shifts", "20"));
    }

    #[test]
    fn what_is_not_yaml_is_refused_at_its_place() {
        let fault = |text: &str| read(FileId(0), text).expect_err("bad YAML");
        let twice = fault("line: a.line\nline: b.line\n");
        assert!(twice.headline.contains("`line` stands twice"), "{}", twice.headline);
        assert_eq!(twice.primary.start, 13);
        assert!(fault("a: [1, 2\nb: 3\n").headline.starts_with("this is not YAML"));
        assert!(fault(&"{a: ".repeat(100_000)).headline.contains("YAML"));
        assert!(fault(&format!("a: {}", "x".repeat(LARGEST_SCENARIO))).headline.contains("larger"));
    }
}
