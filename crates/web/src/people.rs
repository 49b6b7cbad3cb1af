//! Who may sign in, their sessions and one-time links, kept in memory while the program runs.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, Utc};
use domain::permission::{Actor, Role};

/// Somebody to be added.
#[derive(Clone, Debug)]
pub struct NewPerson {
    /// What they type to sign in.
    pub sign_in_name: String,
    /// How pages and the journal name them.
    pub shown_name: String,
    /// What they are here for.
    pub role: Role,
    /// The unit they report for, on a unit reporter.
    pub unit: Option<String>,
    /// Their password's argon2id hash; `None` lets them in by link only.
    pub password_hash: Option<String>,
}

/// What went wrong with the people kept.
#[derive(Debug, thiserror::Error)]
pub enum PeopleError {
    /// The sign-in name is somebody else's.
    #[error("the sign-in name `{0}` is taken")]
    Taken(String),
}

/// The people kept.
#[derive(Debug, Default)]
pub struct People(Mutex<Kept>);

#[derive(Debug, Default)]
struct Kept {
    persons: Vec<NewPerson>,
    sessions: HashMap<String, (i64, DateTime<Utc>)>,
    links: HashMap<String, (i64, DateTime<Utc>)>,
}

impl Kept {
    fn actor(&self, id: i64) -> Option<Actor> {
        let person = self.persons.get(usize::try_from(id).ok()?)?;
        Some(Actor::Person {
            id,
            name: person.shown_name.clone(),
            role: person.role,
            unit: person.unit.clone(),
        })
    }
}

fn number(place: usize) -> i64 {
    i64::try_from(place).expect("fewer people than numbers")
}

impl People {
    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds somebody and gives their number.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn add(&self, person: NewPerson) -> Result<i64, PeopleError> {
        let mut kept = self.kept();
        if kept.persons.iter().any(|other| other.sign_in_name == person.sign_in_name) {
            return Err(PeopleError::Taken(person.sign_in_name));
        }
        kept.persons.push(person);
        Ok(number(kept.persons.len() - 1))
    }

    /// The number and password hash behind a sign-in name.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn find_password(&self, sign_in_name: &str) -> Result<Option<(i64, String)>, PeopleError> {
        let kept = self.kept();
        let found = kept.persons.iter().enumerate().find(|(_, person)| person.sign_in_name == sign_in_name);
        Ok(found.and_then(|(id, person)| Some((number(id), person.password_hash.clone()?))))
    }

    /// Keeps a session under the digest of its token.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn add_session(
        &self,
        digest: &str,
        person: i64,
        until: DateTime<Utc>,
    ) -> Result<(), PeopleError> {
        self.kept().sessions.insert(digest.to_owned(), (person, until));
        Ok(())
    }

    /// Who is signed in under a digest, if the session still lasts.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn find_session(&self, digest: &str, now: DateTime<Utc>) -> Result<Option<Actor>, PeopleError> {
        let kept = self.kept();
        let live = kept.sessions.get(digest).filter(|(_, until)| now < *until);
        Ok(live.and_then(|(id, _)| kept.actor(*id)))
    }

    /// Ends a session.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn end_session(&self, digest: &str) -> Result<(), PeopleError> {
        self.kept().sessions.remove(digest);
        Ok(())
    }

    /// Keeps a one-time sign-in link under the digest of its token.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn add_sign_in_link(
        &self,
        digest: &str,
        person: i64,
        until: DateTime<Utc>,
    ) -> Result<(), PeopleError> {
        self.kept().links.insert(digest.to_owned(), (person, until));
        Ok(())
    }

    /// Who a link would let in, without using it up.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn find_sign_in_link(
        &self,
        digest: &str,
        now: DateTime<Utc>,
    ) -> Result<Option<Actor>, PeopleError> {
        let kept = self.kept();
        let live = kept.links.get(digest).filter(|(_, until)| now < *until);
        Ok(live.and_then(|(id, _)| kept.actor(*id)))
    }

    /// Uses a link up and gives the person's number.
    #[expect(clippy::unused_async, reason = "the database behind it answers later")]
    pub async fn use_sign_in_link(
        &self,
        digest: &str,
        now: DateTime<Utc>,
    ) -> Result<Option<i64>, PeopleError> {
        let used = self.kept().links.remove(digest);
        Ok(used.filter(|(_, until)| now < *until).map(|(id, _)| id))
    }
}
