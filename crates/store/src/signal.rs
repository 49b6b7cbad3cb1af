//! Signals of the watch as they were raised.

use chrono::{DateTime, NaiveDate, Utc};
use domain::permission::Actor;
use domain::signal::{KeptSignal, RaisedSignal, Series, Turned};
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::Result;
use crate::insert::insert_all;
use crate::journal::{Entry, enter_all};
use crate::read_back::Row;
use crate::stored::ASKED_AT_ONCE;

/// How the journal names a signal.
const NOUN: &str = "signal";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "signal")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub part_no: String,
    pub mode: String,
    pub used_lot: Option<String>,
    pub first_on: NaiveDate,
    pub weeks: i64,
    pub reports: i64,
    pub expected: f64,
    pub raised_on: NaiveDate,
    pub ended_on: Option<NaiveDate>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

fn row_of(signal: &RaisedSignal, on: NaiveDate) -> ActiveModel {
    ActiveModel {
        id: NotSet,
        part_no: Set(signal.of.part_no.clone()),
        mode: Set(signal.of.mode.clone()),
        used_lot: Set(signal.of.used_lot.clone()),
        first_on: Set(signal.first_on),
        weeks: Set(signal.weeks.into()),
        reports: Set(i64::try_from(signal.reports).unwrap_or(i64::MAX)),
        expected: Set(signal.expected),
        raised_on: Set(on),
        ended_on: Set(None),
    }
}

fn kept_of(row: Model) -> Result<KeptSignal> {
    let read = Row { table: "signal", id: &row.id };
    let raised = RaisedSignal {
        first_on: row.first_on,
        weeks: read.number("weeks", row.weeks)?,
        reports: read.number("reports", row.reports)?,
        expected: row.expected,
        of: Series { part_no: row.part_no, mode: row.mode, used_lot: row.used_lot },
    };
    Ok(KeptSignal { number: row.id, raised, raised_on: row.raised_on, ended_on: row.ended_on })
}

async fn open(db: &impl ConnectionTrait) -> Result<Vec<KeptSignal>> {
    let rows = Entity::find().filter(Column::EndedOn.is_null()).order_by_asc(Column::Id);
    rows.all(db).await?.into_iter().map(kept_of).collect()
}

/// A series as the journal names it.
fn key(of: &Series) -> String {
    let lot = of.used_lot.as_ref().map_or(String::new(), |lot| format!(", {lot}"));
    format!("{} {}{lot}", of.part_no, of.mode)
}

impl Store {
    /// Puts on record which signals are on, and says what has come and gone since that was last done. Where nothing has,
    /// nothing is written.
    pub async fn keep_signals(&self, now: DateTime<Utc>, on: &[RaisedSignal]) -> Result<Turned> {
        if Turned::between(&open(self.reader()).await?, on).is_nothing() {
            return Ok(Turned::default());
        }
        let tx = self.begin().await?;
        // Read again: another server may have kept them while this one waited for its turn.
        let before = open(&tx).await?;
        let turned = Turned::between(&before, on);
        let today = now.date_naive();
        insert_all(&tx, turned.raised.iter().map(|signal| row_of(signal, today)).collect()).await?;
        for ended in turned.ended.chunks(ASKED_AT_ONCE) {
            let ended = Entity::update_many().filter(Column::Id.is_in(ended.iter().copied()));
            ended.col_expr(Column::EndedOn, Expr::value(today)).exec(&tx).await?;
        }
        let raised = turned.raised.iter().map(|signal| ("raise", key(&signal.of)));
        let gone = before.iter().filter(|kept| turned.ended.contains(&kept.number));
        let acts: Vec<_> = raised.chain(gone.map(|kept| ("end", key(&kept.raised.of)))).collect();
        let entries = acts.iter().map(|(act, key)| Entry::new(act, NOUN, key)).collect();
        enter_all(&tx, &Actor::Program, now, entries).await?;
        tx.commit().await?;
        Ok(turned)
    }

    /// All signals on record as on, in the order in which they were raised.
    pub async fn open_signals(&self) -> Result<Vec<KeptSignal>> {
        open(self.reader()).await
    }

    /// The signals of a recurrence and of the lots in it, as they were raised, the latest first.
    pub async fn signals_of(&self, (part_no, mode): (&str, &str), most: u64) -> Result<Vec<KeptSignal>> {
        let of = Entity::find().filter(Column::PartNo.eq(part_no)).filter(Column::Mode.eq(mode));
        let rows = of.order_by_desc(Column::Id).limit(most).all(self.reader()).await?;
        rows.into_iter().map(kept_of).collect()
    }
}
