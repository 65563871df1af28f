//! The winning values of all texts as one TOML text.

use toml::de::DeValue;
use toml::{Table, Value};

use super::document::Layer;

/// Sections that are merged by their names, as `Document::sections_by_name` reads them.
const BY_NAME: [&str; 1] = ["sensor"];

/// The merged text: tables key by key without the overruled keys, everything else from the first text that
/// has it.
pub(super) fn merged(layers: &[Layer<'_>], overruled: &[(&'static str, &'static str)]) -> String {
    let mut all = Table::new();
    for layer in layers {
        for (key, value) in &layer.table {
            let value = plain(value.get_ref());
            match (all.get_mut(key.get_ref().as_ref()), value) {
                (None, value) => {
                    all.insert(key.get_ref().to_string(), value);
                }
                (Some(Value::Table(winner)), Value::Table(table)) => {
                    for (key, value) in table {
                        winner.entry(key).or_insert(value);
                    }
                }
                (Some(Value::Array(winner)), Value::Array(sections))
                    if BY_NAME.contains(&key.get_ref().as_ref()) =>
                {
                    sections.into_iter().for_each(|section| fill_up(winner, section));
                }
                (Some(_), _) => {}
            }
        }
    }
    for (section, key) in overruled {
        if let Some(Value::Table(table)) = all.get_mut(*section) {
            table.remove(*key);
        }
    }
    all.to_string()
}

/// Gives the section with the same name the keys that it lacks.
fn fill_up(winner: &mut [Value], section: Value) {
    let Value::Table(section) = section else { return };
    let same = |own: &&mut Value| own.get("name").is_some() && own.get("name") == section.get("name");
    if let Some(Value::Table(own)) = winner.iter_mut().find(same) {
        for (key, value) in section {
            own.entry(key).or_insert(value);
        }
    }
}

/// The value without its spans.
fn plain(value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(text) => Value::String(text.to_string()),
        DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
            .map_or_else(|_| Value::String(number.to_string()), Value::Integer),
        DeValue::Float(number) => {
            number.as_str().parse().map_or_else(|_| Value::String(number.to_string()), Value::Float)
        }
        DeValue::Boolean(flag) => Value::Boolean(*flag),
        DeValue::Datetime(time) => Value::Datetime(*time),
        DeValue::Array(array) => Value::Array(array.iter().map(|value| plain(value.get_ref())).collect()),
        DeValue::Table(table) => Value::Table(
            table.iter().map(|(key, value)| (key.get_ref().to_string(), plain(value.get_ref()))).collect(),
        ),
    }
}
