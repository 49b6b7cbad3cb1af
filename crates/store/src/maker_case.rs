//! Disputes with makers about suspect lots, from the notice to the settlement.

use chrono::{DateTime, NaiveDate, Utc};
use domain::maker_case::{CaseResult, MakerCase, SampleSplit};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use serde_json::{Map, Value as Json};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::kept::{Kept, next_number};
use crate::overtaken::About;
use crate::read_back::{Row, word_of};
use crate::twice;
use crate::{journal, json, lot};

/// How the journal names it.
const NOUN: &str = "maker case";
const WRITE: &str = "write";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "maker_case")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub number: String,
    pub lot_no: String,
    pub maker: String,
    pub about: String,
    pub notice_on: NaiveDate,
    pub reply_due: NaiveDate,
    pub replied_on: Option<NaiveDate>,
    pub reply: Option<String>,
    pub sample_maker: i64,
    pub sample_ours: i64,
    pub sample_referee: i64,
    pub result: Option<String>,
    pub settled_on: Option<NaiveDate>,
    pub settlement: Option<String>,
    pub owner_id: Option<i64>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// What somebody wrote on a case while somebody else had it open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaseWriting {
    /// Who, as the journal names them.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// What they left of what they changed, by column; empty where they took something out.
    pub changed: Vec<(String, String)>,
}

/// What overtakes who writes on a case: what others wrote on it, and that it was passed on, for the form says whose it is.
fn about(number: &str) -> About<'_> {
    About { noun: NOUN, nouns: &[NOUN], key: number, acts: &[WRITE, "pass on"] }
}

fn writing_of(entry: journal::Model) -> Result<CaseWriting> {
    let state = |column, state: Option<&str>| {
        let object = state.and_then(|state| serde_json::from_str::<Map<String, Json>>(state).ok());
        object.ok_or_else(|| StoreError::Corrupt { table: "journal", column, id: entry.id.to_string() })
    };
    let (before, mut after) =
        (state("before", entry.before.as_deref())?, state("after", entry.after.as_deref())?);
    for column in before.keys().filter(|column| !after.contains_key(*column)).cloned().collect::<Vec<_>>() {
        after.insert(column, Json::from(""));
    }
    let changed = after.into_iter().filter(|(column, value)| before.get(column) != Some(value));
    let text = |value: Json| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
    let changed = changed.map(|(column, value)| (column, text(value))).collect();
    Ok(CaseWriting { by: entry.actor, at: entry.at, changed })
}

fn kept_of(row: Model) -> Result<Kept<MakerCase>> {
    let read = Row { table: "maker_case", id: &row.id };
    let what = MakerCase {
        samples: SampleSplit {
            maker: read.number("sample_maker", row.sample_maker)?,
            ours: read.number("sample_ours", row.sample_ours)?,
            referee: read.number("sample_referee", row.sample_referee)?,
        },
        result: read.optional_word("result", row.result.as_deref())?,
        lot_no: row.lot_no,
        maker: row.maker,
        about: row.about,
        notice_on: row.notice_on,
        reply_due: row.reply_due,
        reply: row.replied_on.map(|on| (on, row.reply.unwrap_or_default())),
        settlement: row.settled_on.map(|on| (on, row.settlement.unwrap_or_default())),
        owner: row.owner_id,
    };
    Ok(Kept { number: row.number, what, by: row.made_by, at: row.made_at })
}

fn row_of(case: &MakerCase) -> ActiveModel {
    let (replied_on, reply) = case.reply.clone().unzip();
    let (settled_on, settlement) = case.settlement.clone().unzip();
    ActiveModel {
        lot_no: Set(case.lot_no.clone()),
        maker: Set(case.maker.clone()),
        about: Set(case.about.trim().to_owned()),
        notice_on: Set(case.notice_on),
        reply_due: Set(case.reply_due),
        replied_on: Set(replied_on),
        reply: Set(reply),
        sample_maker: Set(i64::from(case.samples.maker)),
        sample_ours: Set(i64::from(case.samples.ours)),
        sample_referee: Set(i64::from(case.samples.referee)),
        result: Set(word_of(case.result, CaseResult::word)),
        settled_on: Set(settled_on),
        settlement: Set(settlement),
        owner_id: Set(case.owner),
        ..Default::default()
    }
}

/// The number of the case that somebody has just opened in the same words.
async fn twin(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    case: &MakerCase,
) -> Result<Option<String>> {
    let meant = MakerCase { about: case.about.trim().to_owned(), ..case.clone() };
    let just_written = twice::just_written((Column::MadeBy, Column::MadeAt), by, now);
    let rows = Entity::find().filter(just_written).order_by_asc(Column::Id).all(db).await?;
    let kept = rows.into_iter().map(kept_of).collect::<Result<Vec<_>>>()?;
    Ok(kept.into_iter().find(|kept| kept.what == meant).map(|kept| kept.number))
}

/// Cases of somebody that are not settled, for a hand-over.
pub(crate) async fn open_of(db: &impl ConnectionTrait, owner: i64) -> Result<Vec<Model>> {
    let open = Entity::find().filter(Column::OwnerId.eq(owner)).filter(Column::SettledOn.is_null());
    Ok(open.order_by_asc(Column::Id).all(db).await?)
}

/// Writes a new state of a case with its entry in the journal.
pub(crate) async fn rewrite(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    act: &str,
    (before, row): (Model, ActiveModel),
) -> Result<()> {
    let after = row.update(db).await?;
    let number = after.number.clone();
    let entry = Entry::new(act, NOUN, &number).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// Opens a case under the next sheet number of the year, and says the number. The same sent twice is the first one,
    /// under its number.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such lot of this maker; [`StoreError::Refused`] where it breaks a rule.
    pub async fn open_case(&self, by: &Actor, now: DateTime<Utc>, case: &MakerCase) -> Result<String> {
        case.check(now.date_naive())?;
        let tx = self.begin().await?;
        lot::need(&tx, &case.lot_no, Some(&case.maker)).await?;
        if let Some(first) = twin(&tx, by, now, case).await? {
            return Ok(first);
        }
        let number = next_number::<Entity>(&tx, Column::Number, "M-", now).await?;
        let row = ActiveModel {
            id: NotSet,
            number: Set(number.clone()),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
            ..row_of(case)
        };
        let added = Entity::insert(row).exec_with_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("open", NOUN, &number).after(json::row(added))).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Writes a case anew; its lot and maker stay. `shown` is the number of the latest writing that whoever writes has
    /// seen, as [`Store::find_case_to_write`] gives it; `None` where nobody looked. The same sent twice is kept once.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Overtaken`] where somebody wrote it since
    /// what was shown; [`StoreError::Refused`] where it is settled or breaks a rule.
    pub async fn write_case(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (number, shown): (&str, Option<i64>),
        case: &MakerCase,
    ) -> Result<()> {
        case.check(now.date_naive())?;
        let tx = self.begin().await?;
        let before = Entity::find().filter(Column::Number.eq(number)).one(&tx).await?;
        let before = before.ok_or_else(|| StoreError::missing(NOUN, number))?;
        let of = about(number);
        let twin = of.check(&tx, (by, WRITE), shown).await?;
        let standing = kept_of(before.clone())?.what;
        let new = MakerCase {
            lot_no: standing.lot_no.clone(),
            maker: standing.maker.clone(),
            about: case.about.trim().to_owned(),
            ..case.clone()
        };
        if twin.is_some() {
            return of.repeats(new == standing);
        }
        if standing.settlement.is_some() {
            return Err(Problem::new("settled_on", "this case is settled and is not altered any more").into());
        }
        let row = ActiveModel { id: Set(before.id), ..row_of(&new) };
        rewrite(&tx, by, now, WRITE, (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// The case of a number with the journal's number of the latest writing on it, 0 where there is none, for whoever
    /// writes on what this says.
    pub async fn find_case_to_write(&self, number: &str) -> Result<Option<(Kept<MakerCase>, i64)>> {
        let snapshot = self.snapshot().await?;
        let row = Entity::find().filter(Column::Number.eq(number)).one(&snapshot).await?;
        let Some(kept) = row.map(kept_of).transpose()? else { return Ok(None) };
        Ok(Some((kept, about(number).latest(&snapshot).await?)))
    }

    /// What was written on a case after what was shown, in its order.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`] where an entry of the journal can't be read.
    pub async fn case_written_since(&self, number: &str, shown: i64) -> Result<Vec<CaseWriting>> {
        about(number).since(self.reader(), shown).await?.into_iter().map(writing_of).collect()
    }

    /// Every case, the latest first.
    pub async fn list_cases(&self) -> Result<Vec<Kept<MakerCase>>> {
        let rows = Entity::find().order_by_desc(Column::Id).all(self.reader()).await?;
        rows.into_iter().map(kept_of).collect()
    }

    /// The case of a number.
    pub async fn find_case(&self, number: &str) -> Result<Option<Kept<MakerCase>>> {
        let row = Entity::find().filter(Column::Number.eq(number)).one(self.reader()).await?;
        row.map(kept_of).transpose()
    }
}
