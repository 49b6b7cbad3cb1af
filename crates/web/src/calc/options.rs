//! An input given as options on the command line: `--key value`, lists with commas.

use serde_json::{Map, Value};

use super::{CalcError, Method};

/// Reads `--key value` and `--key=value` into an input object.
///
/// A key whose value in the method's example is a list takes one too: `--counts 3,1,4`. Lists of objects are given as
/// JSON. Dashes within a key stand for underscores.
///
/// # Errors
/// [`CalcError::Input`] for a word that is no option, an option without a value or given twice, or JSON that is none.
pub fn read_options(method: &Method, words: &[String]) -> Result<Value, CalcError> {
    let example: Value = serde_json::from_str(method.example).unwrap_or_default();
    let mut input = Map::new();
    let mut words = words.iter();
    while let Some(word) = words.next() {
        let Some(name) = word.strip_prefix("--") else {
            return Err(CalcError::input(format!("`{word}` is no option; options are --key value")));
        };
        let (name, text) = match name.split_once('=') {
            Some((name, text)) => (name, text),
            None => match words.next() {
                Some(text) => (name, text.as_str()),
                None => return Err(CalcError::input(format!("--{name} needs a value after it"))),
            },
        };
        let key = name.replace('-', "_");
        let value = value(text, example[&key].is_array())
            .map_err(|error| CalcError::input(format!("--{name}: `{text}` isn't JSON: {error}")))?;
        if input.insert(key, value).is_some() {
            return Err(CalcError::input(format!("--{name} is given twice")));
        }
    }
    Ok(Value::Object(input))
}

fn value(text: &str, list: bool) -> Result<Value, serde_json::Error> {
    if text.starts_with(['[', '{']) {
        return serde_json::from_str(text);
    }
    if list || text.contains(',') {
        return Ok(text.split(',').map(str::trim).filter(|word| !word.is_empty()).map(scalar).collect());
    }
    Ok(scalar(text))
}

/// A number, `true`, `false` or `null` where it reads as one, else the text.
fn scalar(text: &str) -> Value {
    match serde_json::from_str(text) {
        Ok(value @ (Value::Number(_) | Value::Bool(_) | Value::Null)) => value,
        _ => Value::from(text),
    }
}
