//! What somebody has open, and how each kind of it is passed on.

use chrono::{DateTime, Utc};
use domain::handover::{HandoverItem, HandoverKind};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use super::nobody;
use crate::error::Result;
use crate::user::User;
use crate::{action, change, change_holder, maker_case, recurrence, stored, user};

/// Recurrences, changes, actions and makers' cases of somebody that are not at their end.
pub(super) async fn open_of(db: &impl ConnectionTrait, person: i64) -> Result<Vec<HandoverItem>> {
    let whose = user::Entity::find_by_id(person).one(db).await?.ok_or_else(|| nobody(person))?;
    let item = |kind, key: String, title: String| HandoverItem { kind, key, title };
    let mut items = Vec::new();
    for row in recurrence::open_of(db, &whose.full_name).await? {
        let title = format!("{} {}, {}", row.part_no, row.mode, row.state);
        items.push(item(HandoverKind::Recurrence, format!("{} {}", row.part_no, row.mode), title));
    }
    let holders = change_holder::all(db).await?;
    for change in stored::list::<change::Entity>(db).await? {
        let waits = change.state.is_some_and(|state| state.waits_for().is_some());
        if waits && holders.get(&change.change_no) == Some(&person) {
            items.push(item(HandoverKind::Change, change.change_no, change.title));
        }
    }
    for row in action::open_of(db, person).await? {
        items.push(item(
            HandoverKind::Action,
            row.id.to_string(),
            format!("{}: {}", row.change_no, row.what),
        ));
    }
    for row in maker_case::open_of(db, person).await? {
        items.push(item(HandoverKind::Case, row.number, format!("lot {}: {}", row.lot_no, row.about)));
    }
    Ok(items)
}

/// Passes one thing on.
pub(super) async fn pass(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    open: &HandoverItem,
    to: &User,
) -> Result<()> {
    match open.kind {
        HandoverKind::Recurrence => recurrence::pass(db, by, now, &open.key, &to.full_name).await,
        HandoverKind::Change => change_holder::pass(db, by, now, (&open.key, to.id)).await,
        HandoverKind::Action => {
            let id = open.key.parse::<i64>().unwrap_or_default();
            let Some(before) = action::Entity::find_by_id(id).one(db).await? else { return Ok(()) };
            let mut row = before.clone().into_active_model();
            row.owner_id = Set(Some(to.id));
            action::rewrite(db, by, now, "pass on", (before, row)).await
        }
        HandoverKind::Case => {
            let of_number = maker_case::Entity::find().filter(maker_case::Column::Number.eq(&open.key));
            let Some(before) = of_number.one(db).await? else { return Ok(()) };
            let mut row = before.clone().into_active_model();
            row.owner_id = Set(Some(to.id));
            maker_case::rewrite(db, by, now, "pass on", (before, row)).await
        }
    }
}
