//! A validator for the part of JSON Schema (draft 2020-12) that `docs/schema.json` uses.
//!
//! A keyword that it does not know is a failure of the schema, so that the schema cannot grow past what is checked.

use serde_json::Value;

/// Everything in which the instance departs from the schema, each with its place; empty if nothing.
pub fn violations(schema: &Value, instance: &Value) -> Vec<String> {
    let mut found = Vec::new();
    check(schema, schema, instance, "$", &mut found);
    found
}

fn check(root: &Value, schema: &Value, instance: &Value, place: &str, found: &mut Vec<String>) {
    let Some(keywords) = schema.as_object() else {
        return found.push(format!("{place}: the schema is not an object"));
    };
    for (keyword, rule) in keywords {
        let holds = match keyword.as_str() {
            "$schema" | "$defs" | "title" | "description" => true,
            "$ref" => match rule.as_str().and_then(|path| path.strip_prefix('#')).and_then(|pointer| root.pointer(pointer)) {
                Some(target) => {
                    check(root, target, instance, place, found);
                    true
                }
                None => false,
            },
            "allOf" => {
                rule.as_array().into_iter().flatten().for_each(|part| check(root, part, instance, place, found));
                rule.is_array()
            }
            "type" => match rule {
                Value::Array(kinds) => kinds.iter().any(|kind| is(kind, instance)),
                kind => is(kind, instance),
            },
            "const" => instance == rule,
            "enum" => rule.as_array().is_some_and(|values| values.contains(instance)),
            "minimum" => instance.as_f64().is_none_or(|number| rule.as_f64().is_some_and(|least| number >= least)),
            "maximum" => instance.as_f64().is_none_or(|number| rule.as_f64().is_some_and(|most| number <= most)),
            "minItems" => instance.as_array().is_none_or(|items| rule.as_u64().is_some_and(|least| items.len() as u64 >= least)),
            "maxItems" => instance.as_array().is_none_or(|items| rule.as_u64().is_some_and(|most| items.len() as u64 <= most)),
            "required" => instance.as_object().is_none_or(|members| {
                rule.as_array().is_some_and(|names| names.iter().all(|name| name.as_str().is_some_and(|name| members.contains_key(name))))
            }),
            "items" => {
                for (index, item) in instance.as_array().into_iter().flatten().enumerate() {
                    check(root, rule, item, &format!("{place}[{index}]"), found);
                }
                true
            }
            "properties" => {
                for (name, member) in instance.as_object().into_iter().flatten() {
                    if let Some(rule) = rule.get(name) {
                        check(root, rule, member, &format!("{place}.{name}"), found);
                    }
                }
                true
            }
            "additionalProperties" => {
                let known = schema.get("properties").and_then(Value::as_object);
                let extra =
                    instance.as_object().into_iter().flatten().find(|(name, _)| known.is_none_or(|known| !known.contains_key(*name)));
                *rule == Value::Bool(false) && extra.is_none()
            }
            other => {
                found.push(format!("{place}: the validator does not know \"{other}\""));
                true
            }
        };
        if !holds {
            found.push(format!("{place}: \"{keyword}\": {rule} does not hold for {instance}"));
        }
    }
}

fn is(kind: &Value, instance: &Value) -> bool {
    match kind.as_str() {
        Some("object") => instance.is_object(),
        Some("array") => instance.is_array(),
        Some("string") => instance.is_string(),
        Some("number") => instance.is_number(),
        Some("integer") => instance.is_i64() || instance.is_u64(),
        Some("null") => instance.is_null(),
        _ => false,
    }
}
