//! What somebody has open, and how each kind of it is passed on.

use chrono::{DateTime, NaiveDate, Utc};
use domain::handover::{HandoverItem, HandoverKind};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use super::{nobody, promised};
use crate::address_list::{self, address_of};
use crate::error::Result;
use crate::user::User;
use crate::{
    action, change, change_holder, digest_reader, keeper, maker_case, on_call, recurrence, stored, user,
};

/// Everything of somebody that is not at its end, and what they are mailed.
pub(super) async fn open_of(
    db: &impl ConnectionTrait,
    person: i64,
    today: NaiveDate,
) -> Result<Vec<HandoverItem>> {
    let whose = user::Entity::find_by_id(person).one(db).await?.ok_or_else(|| nobody(person))?;
    let item = |kind, key: String, title: String, due| HandoverItem { kind, key, title, due };
    let mut items = Vec::new();
    for row in recurrence::all_of(db, person).await? {
        let title = format!("{} {}, {}", row.part_no, row.mode, row.state);
        items.push(item(HandoverKind::Recurrence, format!("{} {}", row.part_no, row.mode), title, None));
    }
    let holders = change_holder::all(db).await?;
    for change in stored::list::<change::Entity>(db).await? {
        let waits = change.state.is_some_and(|state| state.waits_for().is_some());
        if waits && holders.get(&change.change_no) == Some(&person) {
            let title = format!("{}: {}", change.change_no, change.title);
            items.push(item(HandoverKind::Change, change.change_no, title, None));
        }
    }
    for row in action::open_of(db, person).await? {
        let title = format!("{}: {}", row.change_no, row.what);
        items.push(item(HandoverKind::Action, row.id.to_string(), title, row.due));
    }
    for row in maker_case::open_of(db, person).await? {
        let due = Some(row.reply_due).filter(|_| row.replied_on.is_none());
        let title = format!("{}: lot {}, {}", row.number, row.lot_no, row.about);
        items.push(item(HandoverKind::Case, row.number, title, due));
    }
    items.extend(promised::open_of(db, &whose, today).await?);
    if address_of::<on_call::Entity>(db, person).await?.is_some() {
        let title = "mailed at once when a report of danger arrives".to_owned();
        items.push(item(HandoverKind::OnCall, person.to_string(), title, None));
    }
    if address_of::<digest_reader::Entity>(db, person).await?.is_some() {
        let title = "mailed each Monday where the changes stand".to_owned();
        items.push(item(HandoverKind::Digest, person.to_string(), title, None));
    }
    Ok(items)
}

/// Passes one thing on; mail goes to the successor's address from now on.
pub(super) async fn pass(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    open: &HandoverItem,
    (from, to): (i64, &User),
    address: Option<&str>,
) -> Result<()> {
    let mailed_at = address.unwrap_or_default();
    // What belongs to a report or lot is journalled under it.
    let owned_by = open.key.rsplit_once(' ').map_or(open.key.as_str(), |(first, _)| first);
    let noun = match open.kind {
        HandoverKind::Recurrence => {
            return recurrence::pass(db, by, now, &open.key, to).await;
        }
        HandoverKind::Change => return change_holder::pass(db, by, now, (&open.key, to.id)).await,
        HandoverKind::Action => return pass_action(db, (by, now), &open.key, to).await,
        HandoverKind::Case => return pass_case(db, (by, now), &open.key, to).await,
        HandoverKind::OnCall => {
            return address_list::pass::<on_call::Entity>(db, (by, now), (from, to.id), mailed_at).await;
        }
        HandoverKind::Digest => {
            return address_list::pass::<digest_reader::Entity>(db, (by, now), (from, to.id), mailed_at)
                .await;
        }
        HandoverKind::LotOnHold => "lot condition",
        HandoverKind::Exhibit
        | HandoverKind::Instruction
        | HandoverKind::Variance
        | HandoverKind::Question
        | HandoverKind::Hold
        | HandoverKind::Disclosure => open.kind.word(),
    };
    keeper::pass(db, (by, now), (open.kind, &open.key), (noun, owned_by), to.id).await
}

async fn pass_action(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    key: &str,
    to: &User,
) -> Result<()> {
    let id = key.parse::<i64>().unwrap_or_default();
    let Some(before) = action::Entity::find_by_id(id).one(db).await? else { return Ok(()) };
    let mut row = before.clone().into_active_model();
    row.owner_id = Set(Some(to.id));
    action::rewrite(db, by, now, "pass on", (before, row)).await
}

async fn pass_case(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    number: &str,
    to: &User,
) -> Result<()> {
    let of_number = maker_case::Entity::find().filter(maker_case::Column::Number.eq(number));
    let Some(before) = of_number.one(db).await? else { return Ok(()) };
    let mut row = before.clone().into_active_model();
    row.owner_id = Set(Some(to.id));
    maker_case::rewrite(db, by, now, "pass on", (before, row)).await
}
