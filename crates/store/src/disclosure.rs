//! Disclosures: drafted by one person, released or refused by another, and kept as they left.

use chrono::{DateTime, Utc};
use domain::disclosure::Disclosure;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{FromQueryResult, IntoActiveModel as _, Iterable as _, QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::kept::{Kept, lines, next_number, of_lines};
use crate::part;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "disclosure")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub number: String,
    pub part_no: String,
    pub mode: String,
    pub receiver: String,
    /// What is removed and why, a line each, with a tab between.
    pub removals: String,
    /// Words struck besides, one a line.
    pub struck: String,
    pub threshold: i64,
    pub drafted_by: String,
    pub drafted_by_id: Option<i64>,
    pub drafted_at: DateTime<Utc>,
    pub reviewed_by: Option<String>,
    pub verdict: Option<String>,
    pub sha256: Option<String>,
    pub reviewed_at: Option<DateTime<Utc>>,
    /// Empty until it is released.
    pub file: Vec<u8>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A row without its file, which may be large: lists and sheets don't show it.
#[derive(FromQueryResult)]
struct Sheet {
    id: i64,
    number: String,
    part_no: String,
    mode: String,
    receiver: String,
    removals: String,
    struck: String,
    threshold: i64,
    drafted_by: String,
    drafted_by_id: Option<i64>,
    drafted_at: DateTime<Utc>,
    reviewed_by: Option<String>,
    verdict: Option<String>,
    sha256: Option<String>,
    reviewed_at: Option<DateTime<Utc>>,
}

fn sheets() -> Select<Entity> {
    let columns = Column::iter().filter(|column| !matches!(column, Column::File));
    Entity::find().select_only().columns(columns)
}

/// How a review ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Review {
    /// By whom.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// In words: what was looked at, or why it may not leave.
    pub words: String,
    /// The digest of the file that left; nothing where it was refused.
    pub sha256: Option<String>,
}

/// A disclosure with its review.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DisclosureFile {
    /// What was drafted.
    pub kept: Kept<Disclosure>,
    /// Whose number drafted it.
    pub drafted_by_id: Option<i64>,
    /// How the review ended, once it has.
    pub review: Option<Review>,
}

fn file_of(row: Sheet) -> Result<DisclosureFile> {
    let read = Row { table: "disclosure", id: &row.id };
    let removal = |line: &str| {
        let (word, reason) = line.split_once('\t').unwrap_or((line, ""));
        Ok((read.word("removals", word)?, reason.to_owned()))
    };
    let what = Disclosure {
        removals: row.removals.lines().map(removal).collect::<Result<_>>()?,
        threshold: read.number("threshold", row.threshold)?,
        struck: of_lines(&row.struck),
        part_no: row.part_no,
        mode: row.mode,
        to: row.receiver,
    };
    let review = row.reviewed_at.map(|at| Review {
        by: row.reviewed_by.unwrap_or_default(),
        at,
        words: row.verdict.unwrap_or_default(),
        sha256: row.sha256,
    });
    let kept = Kept { number: row.number, what, by: row.drafted_by, at: row.drafted_at };
    Ok(DisclosureFile { kept, drafted_by_id: row.drafted_by_id, review })
}

/// A text in one line, so that it stays one line of its column.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Store {
    /// Writes down what is to leave, under the next sheet number of the year, and says the number. Nothing leaves by it.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such part; [`StoreError::Refused`] where it breaks a rule.
    pub async fn draft_disclosure(&self, by: &Actor, now: DateTime<Utc>, new: &Disclosure) -> Result<String> {
        new.check()?;
        let tx = self.begin().await?;
        part::need(&tx, &new.part_no).await?;
        let number = next_number::<Entity>(&tx, Column::Number, "D-", now).await?;
        let (drafted_by, drafted_by_id) = named(by);
        let removals =
            new.removals.iter().map(|(removal, reason)| format!("{removal}\t{}", one_line(reason)));
        let row = ActiveModel {
            id: NotSet,
            number: Set(number.clone()),
            part_no: Set(new.part_no.clone()),
            mode: Set(new.mode.clone()),
            receiver: Set(new.to.trim().to_owned()),
            removals: Set(removals.collect::<Vec<_>>().join("\n")),
            struck: Set(lines(&new.struck.iter().map(|word| one_line(word)).collect::<Vec<_>>())),
            threshold: Set(i64::from(new.threshold)),
            drafted_by: Set(drafted_by),
            drafted_by_id: Set(drafted_by_id),
            drafted_at: Set(moment(now)),
            reviewed_by: Set(None),
            verdict: Set(None),
            sha256: Set(None),
            reviewed_at: Set(None),
            file: Set(Vec::new()),
        };
        Entity::insert(row).exec_without_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("draft", "disclosure", &number)).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Ends the review: with the file that leaves and its digest, or without one.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it was reviewed before, or
    /// nothing is said.
    pub async fn review_disclosure(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        number: &str,
        words: &str,
        file: Option<(String, Vec<u8>)>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let row = Entity::find().filter(Column::Number.eq(number)).one(&tx).await?;
        let row = row.ok_or_else(|| StoreError::missing("disclosure", number))?;
        if row.reviewed_at.is_some() {
            return Err(StoreError::Refused(Problem::new("words", "was reviewed before")));
        }
        if words.trim().is_empty() {
            return Err(StoreError::Refused(Problem::new(
                "words",
                "expected what was looked at, or why not",
            )));
        }
        let act = if file.is_some() { "release" } else { "refuse" };
        let mut reviewed = row.into_active_model();
        reviewed.reviewed_by = Set(Some(named(by).0));
        reviewed.reviewed_at = Set(Some(moment(now)));
        reviewed.verdict = Set(Some(words.trim().to_owned()));
        if let Some((sha256, bytes)) = file {
            reviewed.sha256 = Set(Some(sha256));
            reviewed.file = Set(bytes);
        }
        reviewed.update(&tx).await?;
        enter(&tx, by, now, Entry::new(act, "disclosure", number)).await?;
        Ok(tx.commit().await?)
    }

    /// Every disclosure, the latest first.
    pub async fn list_disclosures(&self) -> Result<Vec<DisclosureFile>> {
        let rows = sheets().order_by_desc(Column::Id).into_model::<Sheet>().all(self.reader()).await?;
        rows.into_iter().map(file_of).collect()
    }

    /// The disclosure of a number.
    pub async fn find_disclosure(&self, number: &str) -> Result<Option<DisclosureFile>> {
        let of_number = sheets().filter(Column::Number.eq(number)).into_model::<Sheet>();
        of_number.one(self.reader()).await?.map(file_of).transpose()
    }

    /// The file as it left; nothing where none has.
    pub async fn disclosed_file(&self, number: &str) -> Result<Option<Vec<u8>>> {
        let row = Entity::find().filter(Column::Number.eq(number)).one(self.reader()).await?;
        Ok(row.map(|row| row.file).filter(|file| !file.is_empty()))
    }
}
