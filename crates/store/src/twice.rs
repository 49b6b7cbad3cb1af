//! Forms that are sent twice: what the same person wrote in the same words a moment ago is that one, and not another.

use chrono::{DateTime, TimeDelta, Utc};
use domain::permission::Actor;
use sea_orm::{ColumnTrait, Condition};

use crate::journal::{moment, named};

/// How long ago the same may have come and still be the same: two clicks on one button, or a page that is sent again
/// because the first answer was slow. What is written down in the same words later was meant.
const WINDOW: TimeDelta = TimeDelta::minutes(5);

/// Since when the same is the same.
pub(crate) fn since(now: DateTime<Utc>) -> DateTime<Utc> {
    let now = moment(now);
    now.checked_sub_signed(WINDOW).unwrap_or(now)
}

/// Rows that somebody has just written down, by the columns that say who and when.
pub(crate) fn just_written<C: ColumnTrait>((who, at): (C, C), by: &Actor, now: DateTime<Utc>) -> Condition {
    Condition::all().add(who.eq(named(by).0)).add(at.gte(since(now)))
}
