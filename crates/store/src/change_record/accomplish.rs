//! Effectivity as accomplished: the lots that were in fact built to a change, and the share of each.

use chrono::{DateTime, Utc};
use domain::change::ChangeState;
use domain::effectivity::{Effectivity, Stage};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::entity::prelude::*;

use super::cut_in;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::insert::insert_live;
use crate::journal::{Entry, enter};
use crate::stored::{Stored as _, find};
use crate::written_here::{WrittenHere, need_reason, numbered, take_off};
use crate::{effectivity, lot};

/// Said of a line that is there already. It would change nothing: where lines differ about a lot, the latest counts, and the
/// line keeps its place.
const ON_RECORD: &str = "this very line is on record already, and was not written down again; to go back to it after a \
                         later line about the same lots, write it with another day";

/// Said of the line that stands for the cut-in itself.
const OF_THE_CUT_IN: &str =
    "this line is the cut-in itself: correct its day, or write a later line about its lots";

impl Store {
    /// Adds a line to the effectivity of a change as accomplished.
    ///
    /// # Errors
    /// [`StoreError::Refused`] where the change isn't cut in, the line names a maker or a lot that the books don't have,
    /// is on record already or breaks a rule; [`StoreError::Missing`] where there is no such change.
    pub async fn accomplish(&self, by: &Actor, now: DateTime<Utc>, line: &Effectivity) -> Result<()> {
        let line = Effectivity { stage: Stage::Accomplished, ..line.clone() };
        line.check()?;
        line.check_order()?;
        let tx = self.begin().await?;
        let state = super::state(&tx, &line.change_no).await?;
        if !ChangeState::is_built(state) {
            return Err(Problem::new("change_no", "expected a change that is cut in").into());
        }
        if line.from_lot.is_none() && line.from_date.is_none() {
            return Err(Problem::new("from_lot", "expected a lot or a day").into());
        }
        if let Some(maker) = &line.maker
            && find::<lot::Entity>().filter(lot::Column::Maker.eq(maker)).one(&tx).await?.is_none()
        {
            return Err(Problem::new("maker", format!("no lot in the books is made by {maker}")).into());
        }
        for (field, lot_no) in [("from_lot", &line.from_lot), ("to_lot", &line.to_lot)] {
            if let Some(lot_no) = lot_no {
                need_lot(&tx, field, lot_no, line.maker.as_deref()).await?;
            }
        }
        let kept = keep(&tx, by, now, line).await;
        if matches!(kept, Err(StoreError::Taken { .. })) {
            return Err(Problem::new("from_lot", ON_RECORD).into());
        }
        kept?;
        Ok(tx.commit().await?)
    }

    /// Lines as accomplished that were written down here, in the order they came; those of books are corrected in the books.
    ///
    /// # Errors
    /// A failure of the database.
    pub async fn accomplished_here(&self, change_no: &str) -> Result<Vec<WrittenHere<Effectivity>>> {
        let rows = written_here(change_no).all(self.reader()).await?;
        numbered::<effectivity::Entity>(rows, |row| row.id)
    }

    /// Takes back a line as accomplished that was written down here wrongly, with the reason; the journal keeps both.
    ///
    /// # Errors
    /// [`StoreError::Refused`] where no such line of the change was written down here, it is the cut-in's own, or without a reason.
    pub async fn take_back_accomplished(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (change_no, id): (&str, i64),
        reason: &str,
    ) -> Result<()> {
        use effectivity::Column as C;
        let reason = need_reason(reason)?;
        let tx = self.begin().await?;
        let row = written_here(change_no).filter(C::Id.eq(id)).one(&tx).await?;
        let row = row.ok_or_else(|| Problem::new("line", "this line is no longer on record"))?;
        if cut_in::wrote(&super::need(&tx, change_no).await?, &row.identity) {
            return Err(Problem::new("line", OF_THE_CUT_IN).into());
        }
        let entry = Entry::new("take back accomplished", "change", change_no);
        take_off::<effectivity::Entity>(&tx, by, now, (entry, row), reason).await?;
        Ok(tx.commit().await?)
    }
}

fn written_here(change_no: &str) -> Select<effectivity::Entity> {
    use effectivity::Column as C;
    find::<effectivity::Entity>()
        .filter(C::ChangeNo.eq(change_no))
        .filter(C::Stage.eq(Stage::Accomplished.word()))
        .filter(C::ImportId.is_null())
}

/// Keeps a line with its entry in the journal.
///
/// # Errors
/// [`StoreError::Taken`] where this very line is on record; then nothing is written.
pub(super) async fn keep(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    line: Effectivity,
) -> Result<()> {
    let said = serde_json::json!({
        "maker": line.maker, "from_lot": line.from_lot, "to_lot": line.to_lot,
        "share_new": line.share_new, "from_date": line.from_date.map(|day| day.to_string()),
    });
    let row = effectivity::Entity::model(&line, None, &mut Twins::default());
    insert_live::<effectivity::Entity>(db, row, "line of the effectivity", &line.change_no).await?;
    enter(db, by, now, Entry::new("accomplish", "change", &line.change_no).after(said)).await?;
    Ok(())
}

async fn need_lot(
    db: &impl ConnectionTrait,
    field: &'static str,
    lot_no: &str,
    maker: Option<&str>,
) -> Result<()> {
    let mut of_number = find::<lot::Entity>().filter(lot::Column::LotNo.eq(lot_no));
    if let Some(maker) = maker {
        of_number = of_number.filter(lot::Column::Maker.eq(maker));
    }
    let why = match (of_number.count(db).await?, maker) {
        (1, _) => return Ok(()),
        (0, Some(maker)) => format!("{maker} has no lot {lot_no} in the books"),
        (0, None) => format!("no lot in the books has the number {lot_no}"),
        _ => format!("several makers have a lot {lot_no}: name the maker"),
    };
    Err(Problem::new(field, why).into())
}
