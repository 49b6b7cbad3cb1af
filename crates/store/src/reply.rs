//! What units say to instructions: that they came, and what was found. A reply is an inspection in the books as well, and
//! both are replaced together where the unit mends its counts.

mod receipt;

use chrono::{DateTime, NaiveDate, Utc};
use domain::permission::Actor;
use domain::reply::Reply;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set, Unchanged};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::Twins;
use crate::insert::prepare;
use crate::journal::{Entry, enter, moment};
use crate::read_back::Row;
use crate::stored::{Stored as _, find, seen};
use crate::{inspection, instruction, json, lot, unit};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "instruction_reply")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub instruction_id: i64,
    pub unit: String,
    /// Empty for all lots.
    pub lot_no: String,
    pub replied_on: NaiveDate,
    pub held: i64,
    pub checked: i64,
    pub found: i64,
    pub not_located: i64,
    pub turned_in: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// What a reply without a lot is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfNoLot {
    /// All that the unit holds: no lot of it is known.
    Everything,
    /// What it holds of no known lot, beside lots that are known.
    TheRest,
}

/// What units said to one instruction.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Replies {
    /// Units that said it came, and when.
    pub received: Vec<(String, DateTime<Utc>)>,
    /// Replies, lot by lot.
    pub replies: Vec<Reply>,
}

fn reply_of(row: Model, instruction_no: &str) -> Result<Reply> {
    let read = Row { table: "instruction_reply", id: &row.id };
    Ok(Reply {
        instruction_no: instruction_no.to_owned(),
        held: read.number("held", row.held)?,
        checked: read.number("checked", row.checked)?,
        found: read.number("found", row.found)?,
        not_located: read.number("not_located", row.not_located)?,
        turned_in: read.number("turned_in", row.turned_in)?,
        unit: row.unit,
        lot_no: (!row.lot_no.is_empty()).then_some(row.lot_no),
        replied_on: row.replied_on,
    })
}

fn row_of(instruction_id: i64, new: &Reply) -> ActiveModel {
    ActiveModel {
        id: NotSet,
        instruction_id: Set(instruction_id),
        unit: Set(new.unit.clone()),
        lot_no: Set(new.lot_no.clone().unwrap_or_default()),
        replied_on: Set(new.replied_on),
        held: Set(new.held.into()),
        checked: Set(new.checked.into()),
        found: Set(new.found.into()),
        not_located: Set(new.not_located.into()),
        turned_in: Set(new.turned_in.into()),
    }
}

/// How many lots of the books a number names; no number stands for every lot.
async fn lots_called(db: &impl ConnectionTrait, lot_no: &str) -> Result<u64> {
    if lot_no.is_empty() {
        return Ok(1);
    }
    match find::<lot::Entity>().filter(lot::Column::LotNo.eq(lot_no)).count(db).await? {
        0 => Err(Problem::new("lot_no", "no lot in the books has this number").into()),
        several => Ok(several),
    }
}

/// What the unit said before for the lot of a reply; no lot stands for all.
async fn said_before(db: &impl ConnectionTrait, instruction_id: i64, reply: &Reply) -> Result<Option<Model>> {
    let of_unit =
        Entity::find().filter(Column::InstructionId.eq(instruction_id)).filter(Column::Unit.eq(&reply.unit));
    let lot_no = reply.lot_no.as_deref().unwrap_or_default();
    Ok(of_unit.filter(Column::LotNo.eq(lot_no)).one(db).await?)
}

/// Keeps one reply, in the place of the one before where there is one.
async fn keep(
    db: &impl ConnectionTrait,
    instruction_id: i64,
    reply: &Reply,
    before: Option<&Model>,
) -> Result<Model> {
    let row = row_of(instruction_id, reply);
    Ok(match before {
        Some(before) => ActiveModel { id: Unchanged(before.id), ..row }.update(db).await?,
        None => Entity::insert(row).exec_with_returning(db).await?,
    })
}

/// Whether two replies for one lot say the same, on whatever days.
fn counts_alike(one: &Reply, other: &Reply) -> bool {
    Reply { replied_on: other.replied_on, ..one.clone() } == *other
}

/// The inspection that a reply is, as a row. No other reply makes an equal one: it names instruction, unit and lot.
fn inspection_of(reply: &Reply, recurrence: Option<&(String, String)>) -> Option<inspection::Model> {
    let (part_no, mode) = recurrence?;
    let looked = reply.inspection(part_no, mode)?;
    Some(inspection::Entity::model(&looked, None, &mut Twins::default()))
}

/// Takes the inspection that a replaced reply was out of the books.
async fn take_out(db: &impl ConnectionTrait, looked: &inspection::Model) -> Result<()> {
    let same = inspection::Column::Identity.eq(&looked.identity);
    if let Some(row) = seen::<inspection::Entity>().filter(same).one(db).await? {
        inspection::Entity::delete_by_id(row.id).exec(db).await?;
    }
    Ok(())
}

impl Store {
    /// Says that an instruction came to a unit; saying it again changes nothing.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such instruction or unit.
    pub async fn receive_instruction(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        of_unit: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        unit::need(&tx, of_unit).await?;
        let instruction = instruction::need(&tx, number).await?;
        if receipt::add(&tx, instruction.id, of_unit, moment(now)).await? {
            enter(&tx, by, now, Entry::new("receive", "instruction", &format!("{number} {of_unit}"))).await?;
        }
        Ok(tx.commit().await?)
    }

    /// Keeps a unit's replies to one instruction, all or none. Where the instruction answers a recurrence, each that names one
    /// lot of the books, or everything the unit holds, is an inspection in them: of a lot that several makers have it could not
    /// be read back, and what is said of a part of the items without a lot fits no denominator. The
    /// same counts once more change nothing, on whatever day; other counts for the same lot replace those before, and the
    /// inspection with them.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such instruction or unit; [`crate::StoreError::Refused`] where
    /// counts don't add up or the books have no such lot.
    pub async fn reply_to_instruction(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (number, without_lot): (&str, OfNoLot),
        replies: &[Reply],
    ) -> Result<()> {
        let tx = self.begin().await?;
        let asked = instruction::need(&tx, number).await?;
        let of = asked.id;
        let recurrence = instruction::kept_of(asked)?.what.recurrence;
        for reply in replies {
            reply.check()?;
            unit::need(&tx, &reply.unit).await?;
            let one_lot = lots_called(&tx, reply.lot_no.as_deref().unwrap_or_default()).await? == 1;
            let before = said_before(&tx, of, reply).await?;
            let said = before.clone().map(|row| reply_of(row, number)).transpose()?;
            if said.as_ref().is_some_and(|said| counts_alike(said, reply)) {
                continue;
            }
            let after = keep(&tx, of, reply, before.as_ref()).await?;
            let key = format!("{number} {} {}", after.unit, after.lot_no);
            let act = if before.is_some() { "replace" } else { "give" };
            let mut entry = Entry::new(act, "reply", key.trim_end()).after(json::row(after));
            entry.before = before.map(json::row);
            enter(&tx, by, now, entry).await?;
            if let Some(earlier) = said.and_then(|said| inspection_of(&said, recurrence.as_ref())) {
                take_out(&tx, &earlier).await?;
            }
            let is_whole = reply.lot_no.is_some() || without_lot == OfNoLot::Everything;
            let looked = inspection_of(reply, recurrence.as_ref()).filter(|_| one_lot && is_whole);
            prepare::<inspection::Entity>(looked.into_iter().collect()).insert(&tx).await?;
        }
        Ok(tx.commit().await?)
    }

    /// What units said to an instruction.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is none of this number.
    pub async fn replies_to_instruction(&self, number: &str) -> Result<Replies> {
        let db = self.reader();
        let asked = instruction::need(db, number).await?;
        let rows = Entity::find()
            .filter(Column::InstructionId.eq(asked.id))
            .order_by_asc(Column::Id)
            .all(db)
            .await?;
        let replies = rows.into_iter().map(|row| reply_of(row, number)).collect::<Result<_>>()?;
        Ok(Replies { received: receipt::of(db, asked.id).await?, replies })
    }
}
