//! Verbs whose lines are told apart by their `kind`.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::Fault;
use crate::domain::fit::{Finding, Verdict};

/// One kind of line that a verb computes.
pub(super) struct Kind {
    pub(super) name: &'static str,
    pub(super) schema: fn() -> Value,
    pub(super) compute: fn(Value) -> Result<Value, Fault>,
}

/// Computes a line by its kind; `id` and `source` may stand in it and are passed over.
pub(super) fn compute(kinds: &[Kind], code: &'static str, value: Value) -> Result<Value, Fault> {
    let Value::Object(mut object) = value else {
        return Err(Fault::new("calc.line", "a line is an object with a kind"));
    };
    let named = object.remove("kind");
    object.remove("id");
    object.remove("source");
    let found = kinds.iter().find(|it| named.as_ref().and_then(Value::as_str) == Some(it.name));
    let Some(kind) = found else {
        let names: Vec<&str> = kinds.iter().map(|it| it.name).collect();
        let named = named.map_or_else(|| "no kind".to_owned(), |it| format!("kind {it}"));
        return Err(Fault::new(code, format!("{named}: take one of {}", names.join(", "))));
    };
    (kind.compute)(Value::Object(object))
}

/// Returns the schema of one kind's lines, with the types that its fields name set in their place,
/// so that it can be read by itself.
pub(super) fn whole_schema<T: utoipa::ToSchema>() -> Value {
    let mut named = Vec::new();
    T::schemas(&mut named);
    let named: BTreeMap<String, Value> = named
        .into_iter()
        .filter_map(|(name, schema)| Some((name, serde_json::to_value(schema).ok()?)))
        .collect();
    let mut schema = serde_json::to_value(T::schema()).unwrap_or(Value::Null);
    set_in_place(&mut schema, &named);
    schema
}

fn set_in_place(value: &mut Value, named: &BTreeMap<String, Value>) {
    match value {
        Value::Object(object) => {
            let name =
                object.get("$ref").and_then(Value::as_str).and_then(|it| it.rsplit('/').next());
            if let Some(found) = name.and_then(|it| named.get(it)).and_then(Value::as_object) {
                for (key, value) in found {
                    object.entry(key.clone()).or_insert_with(|| value.clone());
                }
                object.remove("$ref");
            }
            object.values_mut().for_each(|it| set_in_place(it, named));
        }
        Value::Array(list) => list.iter_mut().for_each(|it| set_in_place(it, named)),
        _ => {}
    }
}

/// Returns the schema of a verb's lines: one of its kinds.
pub(super) fn schema(kinds: &[Kind]) -> Value {
    let each = kinds.iter().map(|kind| {
        let mut schema = (kind.schema)();
        if let Some(object) = schema.as_object_mut() {
            let kind = json!({ "const": kind.name });
            if let Some(properties) = object.get_mut("properties").and_then(Value::as_object_mut) {
                properties.insert("kind".to_owned(), kind);
            }
            if let Some(Value::Array(required)) = object.get_mut("required") {
                required.insert(0, json!("kind"));
            }
        }
        schema
    });
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "oneOf": each.collect::<Vec<_>>(),
    })
}

/// Returns an answer with the verdict beside it: under `name` true, false, or null where the
/// verdict is not known.
pub(super) fn judged(name: &str, finding: &Finding, further: Value) -> Value {
    let fits = match finding.verdict {
        Verdict::Fits => json!(true),
        Verdict::DoesNotFit => json!(false),
        Verdict::NotKnown => Value::Null,
    };
    let mut object = match further {
        Value::Object(object) => object,
        _ => Map::new(),
    };
    object.insert(name.to_owned(), fits);
    object.insert("verdict".to_owned(), json!(finding.verdict.words()));
    object.insert("reason".to_owned(), json!(finding.reason));
    object.insert("rule".to_owned(), json!(finding.rule.name()));
    object.insert("source".to_owned(), json!(finding.rule.source()));
    Value::Object(object)
}
