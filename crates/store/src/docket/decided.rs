//! What the board decided on a change of a docket: the first decision since it was put on. Later ones are of later dockets.

use sea_orm::entity::prelude::*;
use serde_json::Value as Json;

use super::line::{self, PUT_ON};
use crate::change_record::decision::{self, DECIDE, Decision};
use crate::error::Result;
use crate::journal;
use crate::overtaken::About;

/// The first decision on a change since it was put on a docket: what members advised there was for that one.
///
/// The journal says what came first, for its numbers can't be equal as moments can.
pub(super) async fn decided(db: &impl ConnectionTrait, line: &line::Model) -> Result<Option<Decision>> {
    let put_on = put_on(db, line).await?;
    let of_change = About { noun: "change", nouns: &["change"], key: &line.change_no, acts: &[DECIDE] };
    let before = of_change.since(db, 0).await?.into_iter().filter(|entry| entry.id < put_on).count();
    Ok(decision::of_change(db, &line.change_no).await?.into_iter().nth(before))
}

/// The journal's number of a change being put on a docket, the last time where it was taken off in between; 0 where it
/// doesn't say, so that every decision counts as made since.
async fn put_on(db: &impl ConnectionTrait, line: &line::Model) -> Result<i64> {
    let key = line.meeting_id.to_string();
    let of_meeting = About { noun: "meeting", nouns: &["meeting"], key: &key, acts: &[PUT_ON] };
    let entries = of_meeting.since(db, 0).await?;
    let is_of_line = |entry: &&journal::Model| {
        let after = entry.after.as_deref().and_then(|after| serde_json::from_str::<Json>(after).ok());
        after.is_some_and(|after| after["change_no"] == line.change_no.as_str())
    };
    Ok(entries.iter().filter(is_of_line).map(|entry| entry.id).max().unwrap_or(0))
}
