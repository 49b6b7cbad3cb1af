//! What somebody took in, ordered, asked or held back, and what of it is still open: it is theirs, unless it was passed on.

use std::collections::HashSet;

use chrono::NaiveDate;
use domain::handover::{HandoverItem, HandoverKind};
use domain::lot_condition::{StockCondition, standing};
use sea_orm::Condition;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::kept::Kept;
use crate::{disclosure, exhibit, hold, instruction, keeper, lot_condition, question, user, variance};

/// A thing with whether this person made it, by any name they had.
type Made = (HandoverItem, bool);

/// Everything of these kinds that somebody answers for.
pub(super) async fn open_of(
    db: &impl ConnectionTrait,
    whose: &user::Model,
    today: NaiveDate,
) -> Result<Vec<HandoverItem>> {
    let names = user::names_of(db, whose).await?;
    let mut made = Vec::new();
    made.extend(exhibits(db, &names).await?);
    made.extend(lots(db, &names).await?);
    made.extend(orders(db, &names, today).await?);
    made.extend(of_reports(db, &names).await?);
    made.extend(disclosures(db, whose.id).await?);
    let keepers = keeper::all(db).await?;
    made.retain(|(item, is_own)| match keepers.get(&(item.kind.word().to_owned(), item.key.clone())) {
        Some(keeper) => *keeper == whose.id,
        None => *is_own,
    });
    Ok(made.into_iter().map(|(item, _)| item).collect())
}

fn item(kind: HandoverKind, key: String, title: String, due: Option<NaiveDate>) -> HandoverItem {
    HandoverItem { kind, key, title, due }
}

async fn exhibits(db: &impl ConnectionTrait, names: &HashSet<String>) -> Result<Vec<Made>> {
    let held = exhibit::Entity::find().filter(exhibit::Column::ReleasedOn.is_null());
    let rows = held.order_by_asc(exhibit::Column::Id).all(db).await?;
    let made = rows.into_iter().map(|row| {
        let title = format!("{}: {}", row.number, row.what);
        let is_own = names.contains(&row.made_by);
        (item(HandoverKind::Exhibit, row.number, title, Some(row.hold_until)), is_own)
    });
    Ok(made.collect())
}

/// Lots that are on hold today, whoever put them there last.
async fn lots(db: &impl ConnectionTrait, names: &HashSet<String>) -> Result<Vec<Made>> {
    let mut made = Vec::new();
    for history in lot_condition::histories(db).await? {
        let (kept, entries): (Vec<_>, Vec<_>) = history.into_iter().map(split).unzip();
        for held in standing(&entries).into_iter().filter(|entry| entry.condition == StockCondition::OnHold) {
            let Some(at) = entries.iter().position(|entry| std::ptr::eq(entry, held)) else { continue };
            let (number, by): &(String, String) = &kept[at];
            let title = format!("lot {}: {}", held.lot_no, held.reason);
            let key = format!("{} {number}", held.lot_no);
            made.push((item(HandoverKind::LotOnHold, key, title, None), names.contains(by)));
        }
    }
    Ok(made)
}

fn split<T>(kept: Kept<T>) -> ((String, String), T) {
    ((kept.number, kept.by), kept.what)
}

/// Instructions and variances that hold today or are to.
async fn orders(db: &impl ConnectionTrait, names: &HashSet<String>, today: NaiveDate) -> Result<Vec<Made>> {
    let given = instruction::Entity::find()
        .filter(instruction::Column::WithdrawnOn.is_null())
        .filter(not_before(instruction::Column::ToDay, today))
        .order_by_asc(instruction::Column::Id);
    let mut made = Vec::new();
    for row in given.all(db).await? {
        let title = format!("{}: {}, {}", row.number, row.kind, row.part_no);
        let is_own = names.contains(&row.made_by);
        made.push((item(HandoverKind::Instruction, row.number, title, row.to_day), is_own));
    }
    let given = variance::Entity::find()
        .filter(variance::Column::WithdrawnOn.is_null())
        .filter(not_before(variance::Column::Expires, today))
        .order_by_asc(variance::Column::Id);
    for row in given.all(db).await? {
        let title = format!("{}: {}, {}", row.number, row.part_no, row.departure);
        let is_own = names.contains(&row.made_by);
        made.push((item(HandoverKind::Variance, row.number, title, row.expires), is_own));
    }
    Ok(made)
}

/// A last day that is not past, or none.
fn not_before(last: impl ColumnTrait, today: NaiveDate) -> Condition {
    Condition::any().add(last.is_null()).add(last.gte(today))
}

/// Questions that wait for their unit, and holds that nobody lifted.
async fn of_reports(db: &impl ConnectionTrait, names: &HashSet<String>) -> Result<Vec<Made>> {
    let asked = question::Entity::find().filter(question::Column::Answer.is_null());
    let mut made = Vec::new();
    for row in asked.order_by_asc(question::Column::Id).all(db).await? {
        let key = format!("{} {}", row.report_ref, row.id);
        let title = format!("report {}: {}", row.report_ref, row.question);
        made.push((item(HandoverKind::Question, key, title, None), names.contains(&row.asked_by)));
    }
    let standing = hold::Entity::find().filter(hold::Column::LiftedAt.is_null());
    for row in standing.order_by_asc(hold::Column::Id).all(db).await? {
        let key = format!("{} {}", row.report_ref, row.id);
        let title = format!("report {}: {}", row.report_ref, row.reason);
        made.push((item(HandoverKind::Hold, key, title, None), names.contains(&row.held_by)));
    }
    Ok(made)
}

async fn disclosures(db: &impl ConnectionTrait, person: i64) -> Result<Vec<Made>> {
    let waiting = disclosure::Entity::find().filter(disclosure::Column::ReviewedAt.is_null());
    let rows = waiting.order_by_asc(disclosure::Column::Id).all(db).await?;
    let made = rows.into_iter().map(|row| {
        let title = format!("{}: {} {}, for {}", row.number, row.part_no, row.mode, row.receiver);
        (item(HandoverKind::Disclosure, row.number, title, None), row.drafted_by_id == Some(person))
    });
    Ok(made.collect())
}
