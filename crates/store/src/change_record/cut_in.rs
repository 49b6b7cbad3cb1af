//! The cut-in of a change: the first lot built to it, from which day, and the correction of that day.

use chrono::{DateTime, NaiveDate, Utc};
use domain::change::ChangeState;
use domain::change_record::{CutInGround, may_become};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::Set;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use super::edit::state_of;
use super::{accomplish, text};
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::journal::{Entry, enter};
use crate::stored::{Stored as _, find};
use crate::written_here::need_reason;
use crate::{action, change, effectivity, json, lot};

impl Store {
    /// Records the first lot built to an approved change.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such change; [`StoreError::NotAllowed`] where it is not approved;
    /// [`StoreError::Refused`] while a condition of the approval is open, where the books have no such lot, or several
    /// makers have one of that number, and for a day that can't be.
    pub async fn cut_in_change(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        lot_no: &str,
        on: NaiveDate,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let before = super::need(&tx, change_no).await?;
        may_become(state_of(&before)?, ChangeState::CutIn)?;
        action::need_conditions_met(&tx, change_no).await?;
        let mut lots = find::<lot::Entity>().filter(lot::Column::LotNo.eq(lot_no)).all(&tx).await?;
        let made_on = match (lots.pop(), lots.is_empty()) {
            (Some(lot), true) => lot.made_on,
            (None, _) => return Err(unusable("no lot in the books has this number")),
            _ => return Err(unusable("several makers have a lot of this number")),
        };
        let submitted_on = submitted_on(&tx, &before).await?;
        CutInGround { lot_no, made_on, submitted_on }.check(on)?;
        let mut row = before.clone().into_active_model();
        row.state = Set(Some(ChangeState::CutIn.word().to_owned()));
        row.cut_in_lot = Set(Some(lot_no.to_owned()));
        row.cut_in_on = Set(Some(on));
        let after = row.update(&tx).await?;
        let entry = Entry::new("cut in", "change", change_no);
        enter(&tx, by, now, entry.before(json::row(before)).after(json::row(after))).await?;
        match accomplish::keep(&tx, by, now, accomplished(change_no, lot_no, on)).await {
            // Books may have brought this very line.
            Ok(()) | Err(StoreError::Taken { .. }) => Ok(tx.commit().await?),
            Err(error) => Err(error),
        }
    }

    /// Corrects the day of a cut-in, with the reason; the journal keeps both days.
    ///
    /// # Errors
    /// [`StoreError::Refused`] where the change is not cut in or is proved already, for a day that can't be or is
    /// on record already, and without a reason; [`StoreError::Missing`] where there is no such change.
    pub async fn correct_cut_in(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        on: NaiveDate,
        reason: &str,
    ) -> Result<()> {
        let reason = need_reason(reason)?;
        let tx = self.begin().await?;
        let before = super::need(&tx, change_no).await?;
        let state = state_of(&before)?;
        let lot_no = before.cut_in_lot.clone().filter(|_| state.has_open_cut_in());
        let lot_no = lot_no.ok_or_else(|| {
            Problem::new("cut_in_on", format!("the change is {state}, so there is no cut-in to correct"))
        })?;
        if before.cut_in_on == Some(on) {
            return Err(Problem::new("cut_in_on", "this day is on record already").into());
        }
        let lots = find::<lot::Entity>().filter(lot::Column::LotNo.eq(&lot_no)).all(&tx).await?;
        // Where several makers have a lot of this number, the earliest of them bounds the day.
        let made_on = lots.into_iter().filter_map(|lot| lot.made_on).min();
        let submitted_on = submitted_on(&tx, &before).await?;
        CutInGround { lot_no: &lot_no, made_on, submitted_on }.check(on)?;
        let was = before.cut_in_on;
        let mut row = before.into_active_model();
        row.cut_in_on = Set(Some(on));
        row.update(&tx).await?;
        if let Some(was) = was {
            move_line(&tx, change_no, &lot_no, (was, on)).await?;
        }
        let entry = Entry::new("correct cut-in", "change", change_no)
            .before(serde_json::json!({ "cut_in_on": was.map(|day| day.to_string()) }))
            .after(serde_json::json!({ "cut_in_on": on.to_string(), "reason": reason }));
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
}

fn unusable(why: &str) -> StoreError {
    Problem::new("cut_in_lot", why).into()
}

/// The first lot and all after it, as the cut-in says.
fn accomplished(change_no: &str, lot_no: &str, on: NaiveDate) -> Effectivity {
    Effectivity {
        change_no: change_no.to_owned(),
        stage: Stage::Accomplished,
        maker: None,
        from_lot: Some(lot_no.to_owned()),
        to_lot: None,
        share_new: 1.0,
        from_date: Some(on),
    }
}

/// What tells the line of a cut-in from others.
fn identity(change_no: &str, lot_no: &str, on: NaiveDate) -> String {
    effectivity::Entity::model(&accomplished(change_no, lot_no, on), None, &mut Twins::default()).identity
}

/// Whether a line is the one that the cut-in of a change wrote.
pub(super) fn wrote(change: &change::Model, line: &str) -> bool {
    let lot_and_day = change.cut_in_lot.as_deref().zip(change.cut_in_on);
    lot_and_day.is_some_and(|(lot_no, on)| identity(&change.change_no, lot_no, on) == line)
}

/// When a change first went before the board; nothing for one that came with books.
async fn submitted_on(db: &impl ConnectionTrait, row: &change::Model) -> Result<Option<NaiveDate>> {
    if row.import_id.is_some() {
        return Ok(None);
    }
    let first = text::first_submission(db, &row.change_no).await?;
    Ok(first.map(|at| at.date_naive()))
}

/// Moves the line that the cut-in wrote to the day it is corrected to; lines that came with books stay as they came. It
/// keeps its place, for where lines differ about a lot the latest counts.
async fn move_line(
    db: &impl ConnectionTrait,
    change_no: &str,
    lot_no: &str,
    (was, on): (NaiveDate, NaiveDate),
) -> Result<()> {
    use effectivity::Column as C;
    let identity = |day| identity(change_no, lot_no, day);
    let of = |identity: &str| find::<effectivity::Entity>().filter(C::Identity.eq(identity));
    let written = of(&identity(was)).filter(C::ImportId.is_null()).one(db).await?;
    let Some(written) = written else { return Ok(()) };
    let moved = identity(on);
    if let Some(other) = of(&moved).one(db).await? {
        // Two lines of one day are one, in the later place.
        effectivity::Entity::delete_by_id(written.id.min(other.id)).exec(db).await?;
        if other.id > written.id {
            return Ok(());
        }
    }
    let mut row = written.into_active_model();
    row.from_date = Set(Some(on));
    row.identity = Set(moved);
    row.update(db).await?;
    Ok(())
}
