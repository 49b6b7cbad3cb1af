//! People who sign in.

use std::collections::{HashMap, HashSet};

use chrono::{DateTime, Utc};
use domain::permission::{Actor, Role};
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment};
use crate::json;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "app_user")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub name: String,
    pub full_name: String,
    pub role: String,
    pub unit: Option<String>,
    pub password_hash: Option<String>,
    pub retired_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Somebody to be added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewUser {
    /// What they type to sign in.
    pub name: String,
    /// How pages and the journal name them.
    pub full_name: String,
    /// What they are here for.
    pub role: Role,
    /// The unit they report for, on a unit reporter.
    pub unit: Option<String>,
    /// Their password's argon2id hash; `None` lets them in by link only.
    pub password_hash: Option<String>,
}

/// What may be changed of somebody.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UserEdit {
    /// How pages and the journal name them.
    pub full_name: String,
    /// What they are here for.
    pub role: Role,
    /// The unit they report for, on a unit reporter.
    pub unit: Option<String>,
}

/// Somebody who may sign in, or could once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct User {
    /// The store's number.
    pub id: i64,
    /// What they type to sign in.
    pub name: String,
    /// How pages and the journal name them.
    pub full_name: String,
    /// What they are here for.
    pub role: Role,
    /// The unit they report for, on a unit reporter.
    pub unit: Option<String>,
    /// Whether they have a password.
    pub has_password: bool,
    /// When they were retired; they can't sign in since.
    pub retired_at: Option<DateTime<Utc>>,
}

impl User {
    /// This person as one who acts.
    pub fn actor(&self) -> Actor {
        Actor::Person { id: self.id, name: self.full_name.clone(), role: self.role, unit: self.unit.clone() }
    }
}

pub(crate) fn user_of(row: Model) -> Result<User> {
    let role = Row { table: "app_user", id: &row.id }.word("role", &row.role)?;
    Ok(User {
        id: row.id,
        name: row.name,
        full_name: row.full_name,
        role,
        unit: row.unit,
        has_password: row.password_hash.is_some(),
        retired_at: row.retired_at,
    })
}

/// Somebody who is not retired.
pub(crate) async fn find_active(db: &impl ConnectionTrait, id: i64) -> Result<Option<User>> {
    let row = Entity::find_by_id(id).filter(Column::RetiredAt.is_null()).one(db).await?;
    row.map(user_of).transpose()
}

/// Somebody, retired or not.
pub(crate) async fn need(db: &impl ConnectionTrait, id: i64) -> Result<User> {
    let row = Entity::find_by_id(id).one(db).await?;
    row.map(user_of).transpose()?.ok_or_else(|| StoreError::missing("user", id))
}

/// How everybody is named.
pub(crate) async fn names(db: &impl ConnectionTrait) -> Result<HashMap<i64, String>> {
    let rows = Entity::find().all(db).await?;
    Ok(rows.into_iter().map(|row| (row.id, row.full_name)).collect())
}

/// Every full name that somebody has had: what they wrote stays under the name of its day.
pub(crate) async fn names_of(db: &impl ConnectionTrait, whose: &Model) -> Result<HashSet<String>> {
    use crate::journal::{Column as C, Entity as Journal};
    let entries = Journal::find().filter(C::Noun.eq("user")).filter(C::Key.eq(whose.name.as_str()));
    let mut names = HashSet::from([whose.full_name.clone()]);
    for entry in entries.all(db).await? {
        let rows = [entry.before, entry.after].into_iter().flatten();
        let rows = rows.filter_map(|row| serde_json::from_str::<serde_json::Value>(&row).ok());
        names.extend(rows.filter_map(|row| Some(row.get("full_name")?.as_str()?.to_owned())));
    }
    Ok(names)
}

impl Store {
    /// Adds somebody and gives their number.
    ///
    /// # Errors
    /// [`StoreError::Taken`] where the name is somebody else's.
    pub async fn add_user(&self, by: &Actor, now: DateTime<Utc>, user: &NewUser) -> Result<i64> {
        let row = ActiveModel {
            id: NotSet,
            name: Set(user.name.clone()),
            full_name: Set(user.full_name.clone()),
            role: Set(user.role.word().to_owned()),
            unit: Set(user.unit.clone()),
            password_hash: Set(user.password_hash.clone()),
            retired_at: Set(None),
        };
        let tx = self.begin().await?;
        let added = Entity::insert(row).exec_with_returning(&tx).await;
        let added = added.map_err(|error| StoreError::of_insert(error, "user", &user.name))?;
        let id = added.id;
        enter(&tx, by, now, Entry::new("add", "user", &user.name).after(json::row(added))).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// Everybody, by name.
    pub async fn list_users(&self) -> Result<Vec<User>> {
        let rows = Entity::find().order_by_asc(Column::Name).all(self.reader()).await?;
        rows.into_iter().map(user_of).collect()
    }

    /// Somebody by number.
    pub async fn find_user(&self, id: i64) -> Result<Option<User>> {
        Entity::find_by_id(id).one(self.reader()).await?.map(user_of).transpose()
    }

    /// Somebody by the name they sign in with.
    pub async fn find_user_named(&self, name: &str) -> Result<Option<User>> {
        Entity::find().filter(Column::Name.eq(name)).one(self.reader()).await?.map(user_of).transpose()
    }

    /// The number and password hash of somebody who is not retired and has a password.
    pub async fn find_password(&self, name: &str) -> Result<Option<(i64, String)>> {
        let row = Entity::find()
            .filter(Column::Name.eq(name))
            .filter(Column::RetiredAt.is_null())
            .one(self.reader())
            .await?;
        Ok(row.and_then(|row| Some((row.id, row.password_hash?))))
    }

    /// Changes what somebody is called and here for.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number.
    pub async fn edit_user(&self, by: &Actor, now: DateTime<Utc>, id: i64, edit: &UserEdit) -> Result<()> {
        let tx = self.begin().await?;
        change_user(&tx, by, now, id, "edit", |row| {
            row.full_name = Set(edit.full_name.clone());
            row.role = Set(edit.role.word().to_owned());
            row.unit = Set(edit.unit.clone());
        })
        .await?;
        Ok(tx.commit().await?)
    }

    /// Gives somebody a new password, or none, and ends all their sign-ins and one-time links.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number.
    pub async fn set_password(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        password_hash: Option<String>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        change_user(&tx, by, now, id, "set password", |row| row.password_hash = Set(password_hash)).await?;
        crate::sign_in_link::end_all(&tx, id).await?;
        Ok(tx.commit().await?)
    }

    /// Retires somebody: they stay named in the journal, can't sign in, and their one-time links end, so that none opens
    /// again should they be taken back. Nothing happens to whoever is retired already.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number.
    pub async fn retire_user(&self, by: &Actor, now: DateTime<Utc>, id: i64) -> Result<()> {
        let tx = self.begin().await?;
        if need(&tx, id).await?.retired_at.is_some() {
            return Ok(());
        }
        change_user(&tx, by, now, id, "retire", |row| row.retired_at = Set(Some(moment(now)))).await?;
        crate::sign_in_link::end_all(&tx, id).await?;
        Ok(tx.commit().await?)
    }

    /// Takes back somebody who was retired: they are as they were, with their password and what they are mailed. Nothing
    /// happens to whoever is not retired.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number.
    pub async fn take_back_user(&self, by: &Actor, now: DateTime<Utc>, id: i64) -> Result<()> {
        let tx = self.begin().await?;
        if need(&tx, id).await?.retired_at.is_none() {
            return Ok(());
        }
        change_user(&tx, by, now, id, "take back", |row| row.retired_at = Set(None)).await?;
        Ok(tx.commit().await?)
    }
}

/// Every change of a person ends their sign-ins, so that nobody goes on with rights they lost.
async fn change_user(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    id: i64,
    act: &str,
    change: impl FnOnce(&mut ActiveModel) + Send,
) -> Result<()> {
    let before = Entity::find_by_id(id).one(db).await?;
    let before = before.ok_or_else(|| StoreError::missing("user", id))?;
    let mut row = before.clone().into_active_model();
    change(&mut row);
    let after = row.update(db).await?;
    crate::sign_in::end_all(db, id).await?;
    let name = after.name.clone();
    let entry = Entry::new(act, "user", &name).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}
