//! What units say to instructions: that they came, and what was found. A reply is an inspection in the books as well.

mod receipt;

use chrono::{DateTime, NaiveDate, Utc};
use domain::permission::Actor;
use domain::reply::Reply;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::Twins;
use crate::insert::prepare;
use crate::journal::{Entry, enter, moment};
use crate::read_back::Row;
use crate::stored::{Stored as _, find};
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

/// Keeps one reply, once a lot and unit; the row, and whether its number names one lot: an inspection of a lot that several
/// makers have could not be read back.
async fn add(db: &impl ConnectionTrait, instruction_id: i64, reply: &Reply) -> Result<(Model, bool)> {
    reply.check()?;
    unit::need(db, &reply.unit).await?;
    let lot_no = reply.lot_no.as_deref().unwrap_or_default();
    let one_lot = lots_called(db, lot_no).await? == 1;
    let of_unit =
        Entity::find().filter(Column::InstructionId.eq(instruction_id)).filter(Column::Unit.eq(&reply.unit));
    if of_unit.filter(Column::LotNo.eq(lot_no)).count(db).await? > 0 {
        let why = "your unit has replied for this already; ask the engineer to mend it";
        return Err(Problem::new("lot_no", why).into());
    }
    let row = Entity::insert(row_of(instruction_id, reply)).exec_with_returning(db).await?;
    Ok((row, one_lot))
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
    /// lot of the books, or none, is an inspection in them.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such instruction or unit; [`crate::StoreError::Refused`] where
    /// counts don't add up, the books have no such lot, or the unit has replied for it.
    pub async fn reply_to_instruction(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        replies: &[Reply],
    ) -> Result<()> {
        let tx = self.begin().await?;
        let asked = instruction::need(&tx, number).await?;
        let kept = instruction::kept_of(asked.clone())?.what;
        let mut twins = Twins::default();
        let mut looked = Vec::new();
        for reply in replies {
            let (row, one_lot) = add(&tx, asked.id, reply).await?;
            let key = format!("{number} {} {}", row.unit, row.lot_no);
            let entry = Entry::new("give", "reply", key.trim_end());
            enter(&tx, by, now, entry.after(json::row(row))).await?;
            let recurrence = kept.recurrence.as_ref().filter(|_| one_lot);
            let inspection = recurrence.and_then(|(part_no, mode)| reply.inspection(part_no, mode));
            looked.extend(inspection.map(|looked| inspection::Entity::model(&looked, None, &mut twins)));
        }
        prepare::<inspection::Entity>(looked).insert(&tx).await?;
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
