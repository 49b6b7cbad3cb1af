//! Rows as JSON for the journal, without what must stay secret or is too large.

use sea_orm::{
    ActiveModelTrait, EntityTrait, IdenStatic as _, IntoActiveModel, Iterable as _, ModelTrait, Value,
};
use serde_json::Value as Json;

/// Columns that never reach the journal: secrets, bytes, and a report's place in the queue, which follows from the rest.
const LEFT_OUT: [&str; 6] = ["password_hash", "token_hash", "secret_hash", "client_key", "bytes", "waits"];

/// A row as a JSON object of its columns; columns without a value are left out.
pub(crate) fn row<M>(model: M) -> Json
where
    M: ModelTrait + IntoActiveModel<<M::Entity as EntityTrait>::ActiveModel>,
    <M::Entity as EntityTrait>::ActiveModel: ActiveModelTrait<Entity = M::Entity>,
{
    let mut active = model.into_active_model();
    let mut object = serde_json::Map::new();
    for column in <M::Entity as EntityTrait>::Column::iter() {
        let name = column.as_str();
        if LEFT_OUT.contains(&name) {
            continue;
        }
        if let Some(value) = active.take(column).into_value().and_then(json) {
            object.insert(name.to_owned(), value);
        }
    }
    Json::Object(object)
}

fn json(value: Value) -> Option<Json> {
    match value {
        Value::Bool(flag) => flag.map(Json::from),
        Value::BigInt(number) => number.map(Json::from),
        Value::Int(number) => number.map(Json::from),
        Value::Double(number) => number.map(Json::from),
        Value::String(text) => text.map(Json::from),
        Value::ChronoDate(date) => date.map(|date| Json::from(date.to_string())),
        Value::ChronoDateTimeUtc(moment) => moment.map(|moment| Json::from(moment.to_rfc3339())),
        other => Some(Json::from(format!("{other:?}"))),
    }
}
