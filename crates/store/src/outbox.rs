//! Mail that waits to be sent: written in the transaction of what it tells of, sent after it, tried again on failure.

use std::collections::HashSet;

use chrono::{DateTime, Duration, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::CaseStatement;
use sea_orm::{IntoActiveModel as _, Order, QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment};
use crate::json;

/// A mail is given up after so many tries, which with the waits below is after a little more than four days: RFC 5321, section
/// 4.5.4.1, wants four to five, for a server may be down over a long weekend.
const TRIES: i64 = 25;
/// Minutes until a mail that failed once is tried again: an alarm can't wait for long. Each further wait is twice as long ...
const FIRST_WAIT_MINUTES: i64 = 1;
/// ... up to six hours.
const LONGEST_WAIT_MINUTES: i64 = 360;
/// Until a mail that was taken out to be sent may be taken out again: longer than any server takes to answer.
const LEASE_MINUTES: i64 = 10;

/// How keys of alarms of danger begin.
pub(crate) const ALARM: &str = "alarm ";
/// How keys of orders to stop using begin.
const ORDER: &str = "instruction ";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "outbox")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub key: String,
    pub to_address: String,
    pub subject: String,
    pub body_text: String,
    pub body_html: String,
    pub made_at: DateTime<Utc>,
    pub run_at: DateTime<Utc>,
    pub attempts: i64,
    pub sent_at: Option<DateTime<Utc>>,
    pub last_error: Option<String>,
    pub is_personal: bool,
    pub stop_url: Option<String>,
    pub sent_as: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// What a mail says, whomever it goes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MailWords {
    /// Its subject.
    pub subject: String,
    /// Its words as plain text.
    pub text: String,
    /// ... and as a page.
    pub html: String,
}

/// A mail to be sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewMail {
    /// What keeps it from being sent twice: `digest 2026-W48 3`. Those that begin with `alarm` and `instruction` go first.
    pub key: String,
    /// Where to.
    pub to: String,
    /// Its subject.
    pub subject: String,
    /// Its words as plain text.
    pub text: String,
    /// ... and as a page.
    pub html: String,
    /// Whether it goes to somebody outside the house: address and words are blanked once it is sent or given up, and the
    /// journal never has them.
    pub is_personal: bool,
    /// Where its reader stops such mail by one request (RFC 8058).
    pub stop_url: Option<String>,
}

/// A mail that was taken out to be sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitingMail {
    /// The store's number.
    pub id: i64,
    /// The mail.
    pub mail: NewMail,
}

/// How a mail of the past fared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MailFate {
    /// Where to; empty where it went outside the house.
    pub to: String,
    /// Its subject; empty where it went outside the house.
    pub subject: String,
    /// Whether it went outside the house: who runs the installation has no business with whom it told what.
    pub is_personal: bool,
    /// Whether it is an order to stop using, which goes to a unit.
    pub is_order: bool,
    /// When it was written.
    pub made_at: DateTime<Utc>,
    /// When it was sent.
    pub sent_at: Option<DateTime<Utc>>,
    /// What went wrong at the last try.
    pub last_error: Option<String>,
    /// Whether it is not tried any more: it failed too often, or its address gets no more mail.
    pub is_given_up: bool,
}

/// Mails the same words to people of the house, under a key that each of their numbers ends.
pub(crate) async fn put_for_each(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    key: &str,
    readers: Vec<(i64, String)>,
    words: &MailWords,
) -> Result<()> {
    for (id, to) in readers {
        let MailWords { subject, text, html } = words.clone();
        let key = format!("{key} {id}");
        put(db, by, now, &NewMail { key, to, subject, text, html, is_personal: false, stop_url: None })
            .await?;
    }
    Ok(())
}

/// Puts a mail into the outbox, unless its key is there; says whether it was new.
pub(crate) async fn put(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    mail: &NewMail,
) -> Result<bool> {
    if Entity::find().filter(Column::Key.eq(&mail.key)).one(db).await?.is_some() {
        return Ok(false);
    }
    let row = ActiveModel {
        id: NotSet,
        key: Set(mail.key.clone()),
        to_address: Set(mail.to.clone()),
        subject: Set(mail.subject.clone()),
        body_text: Set(mail.text.clone()),
        body_html: Set(mail.html.clone()),
        made_at: Set(moment(now)),
        run_at: Set(moment(now)),
        attempts: Set(0),
        sent_at: Set(None),
        last_error: Set(None),
        is_personal: Set(mail.is_personal),
        stop_url: Set(mail.stop_url.clone()),
        sent_as: Set(None),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    enter(db, by, now, Entry::new("write", "mail", &mail.key)).await?;
    Ok(true)
}

impl Store {
    /// Puts mails into the outbox, leaving out those whose key is there; says how many were new.
    pub async fn queue_mail(&self, by: &Actor, now: DateTime<Utc>, mails: &[NewMail]) -> Result<usize> {
        let tx = self.begin().await?;
        let mut new = 0;
        for mail in mails {
            new += usize::from(put(&tx, by, now, mail).await?);
        }
        tx.commit().await?;
        Ok(new)
    }

    /// The keys of mails, sent or not, that begin with a text.
    pub async fn mail_keys(&self, beginning: &str) -> Result<HashSet<String>> {
        let keys =
            Entity::find().select_only().column(Column::Key).filter(Column::Key.starts_with(beginning));
        Ok(keys.into_tuple::<String>().all(self.reader()).await?.into_iter().collect())
    }

    /// Takes mails out that are due: alarms of danger first, then orders to stop using, then the rest, the oldest first.
    /// Each is due again later, unless it is said to be sent.
    pub async fn take_mail(&self, now: DateTime<Utc>, most: u64) -> Result<Vec<WaitingMail>> {
        let tx = self.begin().await?;
        let due = Entity::find()
            .filter(Column::SentAt.is_null())
            .filter(Column::Attempts.lt(TRIES))
            .filter(Column::RunAt.lte(moment(now)))
            .order_by(urgency(), Order::Asc)
            .order_by_asc(Column::Id)
            .limit(most)
            .all(&tx)
            .await?;
        let mut taken = Vec::new();
        for row in due {
            let mut leased = row.clone().into_active_model();
            leased.attempts = Set(row.attempts + 1);
            leased.run_at = Set(moment(now + Duration::minutes(LEASE_MINUTES)));
            leased.update(&tx).await?;
            taken.push(WaitingMail { id: row.id, mail: mail_of(row) });
        }
        tx.commit().await?;
        Ok(taken)
    }

    /// Notes as what a mail goes out: a digest of its Message-ID and its receiver, by which what comes back is known when
    /// neither is kept any more.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number.
    pub async fn note_sent_as(&self, id: i64, digest: &str) -> Result<()> {
        let tx = self.begin().await?;
        let row = Entity::find_by_id(id).one(&tx).await?.ok_or_else(|| StoreError::missing("mail", id))?;
        let mut noted = row.into_active_model();
        noted.sent_as = Set(Some(digest.to_owned()));
        noted.update(&tx).await?;
        Ok(tx.commit().await?)
    }

    /// Whether any mail went out as one of these.
    pub async fn was_sent_as(&self, digests: &[String]) -> Result<bool> {
        if digests.is_empty() {
            return Ok(false);
        }
        let found = Entity::find().filter(Column::SentAs.is_in(digests)).one(self.reader()).await?;
        Ok(found.is_some())
    }

    /// Writes down that a mail was sent, or why it was not.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number.
    pub async fn settle_mail(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        sent: std::result::Result<(), String>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let row = Entity::find_by_id(id).one(&tx).await?.ok_or_else(|| StoreError::missing("mail", id))?;
        let (key, is_personal, tries) = (row.key.clone(), row.is_personal, row.attempts);
        let mut settled = row.into_active_model();
        let act = if sent.is_ok() { "send" } else { "fail to send" };
        let ends = sent.is_ok() || tries >= TRIES;
        match sent {
            Ok(()) => settled.sent_at = Set(Some(moment(now))),
            Err(why) => {
                settled.run_at = Set(moment(now + wait_after(tries)));
                settled.last_error = Set(Some(if is_personal { without_addresses(&why) } else { why }));
            }
        }
        if is_personal && ends {
            blank(&mut settled);
        }
        let after = settled.update(&tx).await?;
        let mut entry = Entry::new(act, "mail", &key);
        entry.after = (!is_personal).then(|| json::row(after));
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }

    /// How many mails were written whose key begins so.
    pub async fn count_mail_keyed(&self, prefix: &str) -> Result<u64> {
        Ok(Entity::find().filter(Column::Key.starts_with(prefix)).count(self.reader()).await?)
    }

    /// How the latest mails fared, the latest first. To whom mail went that left the house, and what of, isn't told.
    pub async fn latest_mail(&self, most: u64) -> Result<Vec<MailFate>> {
        let rows = Entity::find().order_by_desc(Column::Id).limit(most).all(self.reader()).await?;
        let fate = |row: Model| {
            let is_given_up = row.sent_at.is_none() && row.attempts >= TRIES;
            let Model { key, to_address, subject, made_at, sent_at, last_error, is_personal, .. } = row;
            let (to, subject) =
                if is_personal { (String::new(), String::new()) } else { (to_address, subject) };
            MailFate {
                to,
                subject,
                is_personal,
                is_order: key.starts_with(ORDER),
                made_at,
                sent_at,
                last_error,
                is_given_up,
            }
        };
        Ok(rows.into_iter().map(fate).collect())
    }
}

fn mail_of(row: Model) -> NewMail {
    let Model {
        key, to_address: to, subject, body_text: text, body_html: html, is_personal, stop_url, ..
    } = row;
    NewMail { key, to, subject, text, html, is_personal, stop_url }
}

/// How long a mail waits after so many tries, one or more.
fn wait_after(tries: i64) -> Duration {
    let doubled = u32::try_from(tries - 1).ok().and_then(|times| FIRST_WAIT_MINUTES.checked_shl(times));
    Duration::minutes(doubled.map_or(LONGEST_WAIT_MINUTES, |wait| wait.clamp(1, LONGEST_WAIT_MINUTES)))
}

/// What is sent before the rest: somebody may be in danger while it waits.
fn urgency() -> Expr {
    let first = CaseStatement::new().case(Column::Key.starts_with(ALARM), 0);
    first.case(Column::Key.starts_with(ORDER), 1).finally(2).into()
}

/// Takes address and words out of a mail.
fn blank(row: &mut ActiveModel) {
    row.to_address = Set(String::new());
    row.subject = Set(String::new());
    row.body_text = Set(String::new());
    row.body_html = Set(String::new());
    row.stop_url = Set(None);
}

/// What a mail server says may name whom it was said of.
fn without_addresses(why: &str) -> String {
    let word = |word: &str| if word.contains('@') { "(address)".to_owned() } else { word.to_owned() };
    why.split_whitespace().map(word).collect::<Vec<_>>().join(" ")
}

async fn give_up(db: &impl ConnectionTrait, rows: Vec<Model>) -> Result<()> {
    for row in rows {
        let tries = row.attempts.max(TRIES);
        let mut blanked = row.into_active_model();
        blank(&mut blanked);
        blanked.attempts = Set(tries);
        blanked.update(db).await?;
    }
    Ok(())
}

/// Gives up what still waits to be sent to an address outside the house, and blanks it. Orders to stop using go to units
/// at addresses that stand in the books: who wants no more news of a report still gets those.
pub(crate) async fn blank_unsent(db: &impl ConnectionTrait, address: &str) -> Result<()> {
    let waiting = Entity::find()
        .filter(Column::IsPersonal.eq(true))
        .filter(Column::Key.not_like(format!("{ORDER}%")))
        .filter(Column::SentAt.is_null())
        .filter(Column::ToAddress.eq(address));
    give_up(db, waiting.all(db).await?).await
}

/// Blanks what was given up while nobody was there to say so: the program ended at the last try.
pub(crate) async fn blank_given_up(db: &impl ConnectionTrait, now: DateTime<Utc>) -> Result<()> {
    let left = Entity::find()
        .filter(Column::IsPersonal.eq(true))
        .filter(Column::SentAt.is_null())
        .filter(Column::Attempts.gte(TRIES))
        .filter(Column::RunAt.lte(moment(now)))
        .filter(Column::ToAddress.ne(""));
    give_up(db, left.all(db).await?).await
}
