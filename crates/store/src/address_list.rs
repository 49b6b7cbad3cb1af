//! Lists of people who are mailed something, each at an address of theirs: who is on call, and who reads the digest.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use sea_orm::{ActiveModelTrait, IntoActiveModel};

use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::{json, user};

/// A table of such a list.
pub(crate) trait AddressList:
    EntityTrait<
        Model: IntoActiveModel<<Self as EntityTrait>::ActiveModel>,
        ActiveModel: ActiveModelTrait<Entity = Self> + Send,
    >
{
    /// What the journal calls a place on it.
    const NOUN: &'static str;
    /// The column by which it is in order.
    const ID: Self::Column;
    /// The column of the person.
    const USER_ID: Self::Column;

    /// A row that is new.
    fn new_row(person: i64, address: &str) -> Self::ActiveModel;
    /// The person and the address of a row.
    fn parts(row: Self::Model) -> (i64, String);
}

/// Everybody on a list who is not retired: number and address.
pub(crate) async fn readers<L: AddressList>(db: &impl ConnectionTrait) -> Result<Vec<(i64, String)>> {
    let mut readers = Vec::new();
    for (person, address) in L::find().order_by_asc(L::ID).all(db).await?.into_iter().map(L::parts) {
        if user::find_active(db, person).await?.is_some() {
            readers.push((person, address));
        }
    }
    Ok(readers)
}

/// Where somebody on a list is mailed; nothing where they are not on it.
pub(crate) async fn address_of<L: AddressList>(
    db: &impl ConnectionTrait,
    person: i64,
) -> Result<Option<String>> {
    let row = L::find().filter(L::USER_ID.eq(person)).one(db).await?;
    Ok(row.map(|row| L::parts(row).1))
}

/// Puts somebody on a list at an address, or takes them off where there is none.
pub(crate) async fn keep<L: AddressList>(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    act: &str,
    person: i64,
    address: Option<&str>,
) -> Result<()> {
    let name = user::need(db, person).await?.name;
    let before = L::find().filter(L::USER_ID.eq(person)).one(db).await?;
    L::delete_many().filter(L::USER_ID.eq(person)).exec(db).await?;
    let mut entry = Entry::new(act, L::NOUN, &name);
    entry.before = before.map(json::row);
    if let Some(address) = address {
        let row = L::insert(L::new_row(person, address)).exec_with_returning(db).await?;
        entry.after = Some(json::row(row));
    }
    enter(db, by, now, entry).await?;
    Ok(())
}

/// Puts the successor in somebody's place; one who is on the list already stays there at their own address.
pub(crate) async fn pass<L: AddressList>(
    db: &impl ConnectionTrait,
    at: (&Actor, DateTime<Utc>),
    (from, to): (i64, i64),
    address: &str,
) -> Result<()> {
    keep::<L>(db, at, "pass on", from, None).await?;
    if address_of::<L>(db, to).await?.is_none() {
        keep::<L>(db, at, "pass on", to, Some(address)).await?;
    }
    Ok(())
}
