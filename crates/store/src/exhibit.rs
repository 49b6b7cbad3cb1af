//! Exhibits: failed items that were taken in, where they were and are, and where they went.

use std::collections::HashMap;

use chrono::{DateTime, NaiveDate, Utc};
use domain::exhibit::{Exhibit, Matter, Release, Stay};
use domain::handling::ReportState;
use domain::permission::Actor;
use domain::recurrence::{ComeBack, RecurrenceState};
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{Condition, IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::kept::{Kept, next_number};
use crate::stored::find;
use crate::twice;
use crate::{exhibit_place, handling, json, recurrence, report};

/// Exhibits whose places are asked for in one statement: databases take only so many values.
const AT_ONCE: usize = 1_000;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "exhibit")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub number: String,
    pub report_ref: String,
    pub what: String,
    pub received_on: NaiveDate,
    pub hold_until: NaiveDate,
    pub released_on: Option<NaiveDate>,
    pub released_to: Option<String>,
    pub released_why: Option<String>,
    pub released_by: Option<String>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

fn kept_of(row: Model, places: Vec<Stay>) -> Kept<Exhibit> {
    let released = row.released_on.map(|on| Release {
        on,
        to: row.released_to.unwrap_or_default(),
        why: row.released_why,
    });
    let what = Exhibit {
        report_ref: row.report_ref,
        what: row.what,
        received_on: row.received_on,
        hold_until: row.hold_until,
        places,
        released,
    };
    Kept { number: row.number, what, by: row.made_by, at: row.made_at }
}

async fn with_places(db: &impl ConnectionTrait, rows: Vec<Model>) -> Result<Vec<Kept<Exhibit>>> {
    use exhibit_place::Column as C;
    let mut places: HashMap<i64, Vec<Stay>> = HashMap::new();
    for rows in rows.chunks(AT_ONCE) {
        let own = C::ExhibitId.is_in(rows.iter().map(|row| row.id));
        for stay in exhibit_place::Entity::find().filter(own).order_by_asc(C::Id).all(db).await? {
            let (place, since) = (stay.place, stay.since);
            places.entry(stay.exhibit_id).or_default().push(Stay { place, since });
        }
    }
    let kept = rows.into_iter().map(|row| {
        let places = places.remove(&row.id).unwrap_or_default();
        kept_of(row, places)
    });
    Ok(kept.collect())
}

async fn need(db: &impl ConnectionTrait, number: &str) -> Result<(Model, Exhibit)> {
    let row = Entity::find().filter(Column::Number.eq(number)).one(db).await?;
    let row = row.ok_or_else(|| StoreError::missing("exhibit", number))?;
    let kept = with_places(db, vec![row.clone()]).await?.pop();
    kept.map(|kept| (row, kept.what)).ok_or_else(|| StoreError::missing("exhibit", number))
}

async fn add_place(db: &impl ConnectionTrait, exhibit_id: i64, stay: &Stay) -> Result<exhibit_place::Model> {
    let row = exhibit_place::ActiveModel {
        id: NotSet,
        exhibit_id: Set(exhibit_id),
        place: Set(stay.place.trim().to_owned()),
        since: Set(stay.since),
    };
    Ok(exhibit_place::Entity::insert(row).exec_with_returning(db).await?)
}

async fn rewrite(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    act: &str,
    (before, row): (Model, ActiveModel),
) -> Result<()> {
    let number = before.number.clone();
    let after = row.update(db).await?;
    let entry = Entry::new(act, "exhibit", &number).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

/// The number of the exhibit that somebody has just taken in with the same words, where nothing became of it since.
async fn twin(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    new: &Exhibit,
) -> Result<Option<String>> {
    let place = |stay: &Stay| Stay { place: stay.place.trim().to_owned(), since: stay.since };
    let meant = Exhibit {
        what: new.what.trim().to_owned(),
        places: new.places.iter().map(place).collect(),
        released: None,
        ..new.clone()
    };
    let just_written = twice::just_written((Column::MadeBy, Column::MadeAt), by, now);
    let of_report = Entity::find().filter(just_written).filter(Column::ReportRef.eq(&new.report_ref));
    let kept = with_places(db, of_report.order_by_asc(Column::Id).all(db).await?).await?;
    Ok(kept.into_iter().find(|kept| kept.what == meant).map(|kept| kept.number))
}

/// What of its report speaks for keeping an exhibit, given which settled recurrences are back.
async fn matter(db: &impl ConnectionTrait, report_ref: &str, back: &ComeBack) -> Result<Matter> {
    let row = report::need_row(db, report_ref).await?;
    let state = handling::state_of(&handling::of(db, &row).await?)?;
    if matches!(state, ReportState::Received | ReportState::Asked) {
        return Ok(Matter::NotSorted);
    }
    let (Some(part_no), Some(mode)) = (&row.part_no, &row.mode) else { return Ok(Matter::Closed) };
    if row.relevant == Some(false) {
        return Ok(Matter::Closed);
    }
    if let Some(state) = recurrence::state_of(db, part_no, mode).await? {
        return Ok(Matter::Recurrence(back.standing(part_no, mode, state)));
    }
    let alike = find::<report::Entity>()
        .filter(report::Column::PartNo.eq(part_no.as_str()))
        .filter(report::Column::Mode.eq(mode.as_str()))
        .filter(
            Condition::any().add(report::Column::Relevant.is_null()).add(report::Column::Relevant.eq(true)),
        );
    // Two alike or one with harm make a recurrence, whether or not anybody has taken it up.
    let is_one = alike.count(db).await? > 1 || matches!(row.harm.as_deref(), Some("injury" | "near_miss"));
    Ok(if is_one { Matter::Recurrence(RecurrenceState::Standing) } else { Matter::Closed })
}

impl Store {
    /// Takes an item in under the next tag number of the year, and gives the number. The same sent twice is the first one,
    /// under its number: two things that are alike are told apart in words.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report; [`StoreError::Refused`] where it breaks a rule.
    pub async fn add_exhibit(&self, by: &Actor, now: DateTime<Utc>, new: &Exhibit) -> Result<String> {
        new.check(now.date_naive())?;
        let tx = self.begin().await?;
        let found_on = report::need_row(&tx, &new.report_ref).await?.found_on;
        if new.received_on < found_on {
            return Err(Problem::new(
                "received_on",
                format!("is before the failure was found, on {found_on}"),
            )
            .into());
        }
        if let Some(first) = twin(&tx, by, now, new).await? {
            return Ok(first);
        }
        let number = next_number::<Entity>(&tx, Column::Number, "E-", now).await?;
        let row = ActiveModel {
            id: NotSet,
            number: Set(number.clone()),
            report_ref: Set(new.report_ref.clone()),
            what: Set(new.what.trim().to_owned()),
            received_on: Set(new.received_on),
            hold_until: Set(new.hold_until),
            released_on: Set(None),
            released_to: Set(None),
            released_why: Set(None),
            released_by: Set(None),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
        };
        let added = Entity::insert(row).exec_with_returning(&tx).await?;
        for stay in &new.places {
            add_place(&tx, added.id, stay).await?;
        }
        enter(&tx, by, now, Entry::new("take in", "exhibit", &number).after(json::row(added))).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Says where an exhibit is now; where it was stays on record.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it breaks a rule.
    pub async fn move_exhibit(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        stay: &Stay,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let (row, exhibit) = need(&tx, number).await?;
        exhibit.check_move(stay, now.date_naive())?;
        let place = add_place(&tx, row.id, stay).await?;
        enter(&tx, by, now, Entry::new("move", "exhibit", number).after(json::row(place))).await?;
        Ok(tx.commit().await?)
    }

    /// Holds an exhibit until another day.
    ///
    /// # Errors
    /// As [`Store::move_exhibit`].
    pub async fn hold_exhibit(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        until: NaiveDate,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let (before, exhibit) = need(&tx, number).await?;
        exhibit.check_hold(until, now.date_naive())?;
        let mut row = before.clone().into_active_model();
        row.hold_until = Set(until);
        rewrite(&tx, (by, now), "hold", (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// Releases an exhibit: it is not ours to keep any more. `back` says which settled recurrences are open again.
    ///
    /// # Errors
    /// As [`Store::move_exhibit`]; refused without a reason while its report is unsorted or its recurrence open.
    pub async fn release_exhibit(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        (release, back): (&Release, &ComeBack),
    ) -> Result<()> {
        let tx = self.begin().await?;
        let (before, exhibit) = need(&tx, number).await?;
        exhibit.check_release(release, matter(&tx, &exhibit.report_ref, back).await?, now.date_naive())?;
        let why = release.why.as_deref().map(str::trim).filter(|why| !why.is_empty());
        let mut row = before.clone().into_active_model();
        row.released_on = Set(Some(release.on));
        row.released_to = Set(Some(release.to.trim().to_owned()));
        row.released_why = Set(why.map(str::to_owned));
        row.released_by = Set(Some(named(by).0));
        rewrite(&tx, (by, now), "release", (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// What of its report speaks for keeping an exhibit, given which settled recurrences are back.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report.
    pub async fn matter_of(&self, report_ref: &str, back: &ComeBack) -> Result<Matter> {
        matter(self.reader(), report_ref, back).await
    }

    /// Every exhibit, the latest first.
    pub async fn list_exhibits(&self) -> Result<Vec<Kept<Exhibit>>> {
        let rows = Entity::find().order_by_desc(Column::Id).all(self.reader()).await?;
        with_places(self.reader(), rows).await
    }

    /// Exhibits of one report, in the order they came.
    pub async fn exhibits_of_report(&self, report_ref: &str) -> Result<Vec<Kept<Exhibit>>> {
        let rows = Entity::find().filter(Column::ReportRef.eq(report_ref)).order_by_asc(Column::Id);
        with_places(self.reader(), rows.all(self.reader()).await?).await
    }

    /// The exhibit of a tag number, and who released it.
    pub async fn find_exhibit(&self, number: &str) -> Result<Option<(Kept<Exhibit>, Option<String>)>> {
        let Some(row) = Entity::find().filter(Column::Number.eq(number)).one(self.reader()).await? else {
            return Ok(None);
        };
        let released_by = row.released_by.clone();
        let kept = with_places(self.reader(), vec![row]).await?.pop();
        Ok(kept.map(|kept| (kept, released_by)))
    }
}
