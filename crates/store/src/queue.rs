//! Lists of reports: what a unit sent, what was said of a recurrence, what may be the same failure twice.

use std::collections::{HashMap, HashSet};

use chrono::{DateTime, Days, NaiveDate, Utc};
use domain::danger::{self, Danger, QUICK_RELEASE};
use domain::doubles::NEAR_DAYS;
use domain::handling::ReportState;
use domain::report::{Harm, Report};
use sea_orm::entity::prelude::*;
use sea_orm::{Condition, QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::Result;
use crate::page::Page;
use crate::report::{self, Column, Entity};
use crate::stored::{ASKED_AT_ONCE, Stored as _, seen};
use crate::{answer, handling, intake, meanwhile, part, photo, question, upload};

/// A report and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct ReportLine {
    /// The report.
    pub report: Report,
    /// Where it stands.
    pub state: ReportState,
    /// The clock of a report of danger, which runs until it is sorted or set aside.
    pub danger: Option<Danger>,
    /// When the unit's answer to a question came, where it waits to be read: nobody has sorted the report, set it aside,
    /// answered the unit or asked on since. A report that was sorted before has it too.
    pub answer_came: Option<DateTime<Utc>>,
}

/// Everything that is kept of one report.
#[derive(Clone, Debug, PartialEq)]
pub struct ReportFile {
    /// The report.
    pub report: Report,
    /// The clock of a report of danger, whether or not it has stopped.
    pub danger: Option<Danger>,
    /// Where it stands.
    pub handling: handling::Handling,
    /// How it came in; nothing where it was imported.
    pub receipt: Option<intake::Receipt>,
    /// Questions to the unit.
    pub questions: Vec<question::Question>,
    /// Answers to the unit.
    pub answers: Vec<answer::Answer>,
    /// Its photos, without their bytes.
    pub photos: Vec<photo::PhotoFacts>,
    /// The list it came with, where it came with one.
    pub upload: Option<upload::CameWith>,
    /// The journal's number of the latest decision about it, for a decision on what this says; 0 where there is none.
    pub shown: i64,
}

impl ReportFile {
    /// Whether nobody has decided on it yet.
    pub const fn is_waiting(&self) -> bool {
        matches!(self.handling.state, ReportState::Received | ReportState::Asked)
    }

    /// Whether the unit's answer to a question waits to be read, as [`ReportLine::answer_came`].
    pub fn has_answer_to_read(&self) -> bool {
        let told = self.answers.iter().map(|answer| answer.at).max();
        question::to_read(self.handling.state, &self.questions, self.handling.sorted_at.max(told)).is_some()
    }
}

/// Reports with where each stands.
pub(crate) async fn lines(db: &impl ConnectionTrait, rows: Vec<report::Model>) -> Result<Vec<ReportLine>> {
    let mut lines = Vec::with_capacity(rows.len());
    let mut rows = rows.into_iter();
    loop {
        let some: Vec<report::Model> = rows.by_ref().take(ASKED_AT_ONCE).collect();
        if some.is_empty() {
            return Ok(lines);
        }
        lines.extend(few_lines(db, some).await?);
    }
}

/// The same of so few that one query can name them all.
async fn few_lines(db: &impl ConnectionTrait, rows: Vec<report::Model>) -> Result<Vec<ReportLine>> {
    let refs: Vec<&str> = rows.iter().map(|row| row.report_ref.as_str()).collect();
    let handled = handling::of_each(db, &rows).await?;
    let clocks = Clocks::read(db, &rows).await?;
    let questions = question::of_reports(db, &refs).await?;
    let told = told(db, questions.keys().map(String::as_str).collect()).await?;
    rows.into_iter()
        .zip(handled)
        .map(|(row, standing)| {
            let (state, report) = (handling::state_of(&standing)?, Entity::noun(row)?);
            let waits = matches!(state, ReportState::Received | ReportState::Asked);
            let acted = standing.sorted_at.max(told.get(&report.report_ref).copied());
            let asked = questions.get(&report.report_ref);
            Ok(ReportLine {
                danger: clocks.of(&report).filter(|_| waits),
                answer_came: asked.and_then(|asked| question::to_read(state, asked, acted)),
                state,
                report,
            })
        })
        .collect()
}

/// When the units of some reports were last answered.
async fn told(db: &impl ConnectionTrait, report_refs: Vec<&str>) -> Result<HashMap<String, DateTime<Utc>>> {
    let rows = answer::Entity::find()
        .filter(answer::Column::ReportRef.is_in(report_refs))
        .order_by_asc(answer::Column::At)
        .all(db)
        .await?;
    Ok(rows.into_iter().map(|row| (row.report_ref, row.at)).collect())
}

/// What the clocks of some reports are read from.
struct Clocks {
    releases: HashSet<String>,
    sent: HashMap<String, DateTime<Utc>>,
}

impl Clocks {
    async fn read(db: &impl ConnectionTrait, rows: &[report::Model]) -> Result<Self> {
        let releases = part::of_kind(db, QUICK_RELEASE).await?;
        let mut clocks = Self { releases, sent: HashMap::new() };
        let harmed = |row: &report::Model| row.harm.as_deref().is_some_and(|harm| harm != Harm::None.word());
        let is_release =
            |row: &report::Model| row.part_no.as_ref().is_some_and(|part| clocks.is_release(part));
        let of = rows.iter().filter(|row| harmed(row) || is_release(row)).map(|row| row.report_ref.as_str());
        let sent = intake::Entity::find().filter(intake::Column::ReportRef.is_in(of)).all(db).await?;
        clocks.sent = sent.into_iter().map(|row| (row.report_ref, row.sent_at)).collect();
        Ok(clocks)
    }

    fn is_release(&self, part_no: &str) -> bool {
        self.releases.contains(part_no)
    }

    fn of(&self, report: &Report) -> Option<Danger> {
        let is_release = report.part_no.as_ref().is_some_and(|part_no| self.is_release(part_no));
        let sent = self.sent.get(&report.report_ref).copied();
        danger::of(report, is_release.then_some(QUICK_RELEASE), sent)
    }
}

impl Store {
    /// Reports of one unit, latest first.
    pub async fn reports_of_unit(&self, unit: &str, page: Page) -> Result<Vec<ReportLine>> {
        let rows = seen::<Entity>()
            .filter(Column::Unit.eq(unit))
            .order_by_desc(Column::ReceivedOn)
            .order_by_desc(Column::Id)
            .offset(page.offset())
            .limit(page.size);
        lines(self.reader(), rows.all(self.reader()).await?).await
    }

    /// Reports that no longer wait to be sorted, and whose unit answered a question since: the answer waits to be read.
    /// Whoever has waited longest comes first.
    pub async fn reports_with_answer_to_read(&self) -> Result<Vec<ReportLine>> {
        let rows = seen::<Entity>()
            .filter(Column::ReportRef.in_subquery(question::answered_since_sorted()))
            .filter(Column::Waits.is_null());
        let mut found = lines(self.reader(), rows.all(self.reader()).await?).await?;
        found.retain(|line| line.answer_came.is_some());
        found.sort_by_key(|line| line.answer_came);
        Ok(found)
    }

    /// Reports on an item that were sorted as relevant, latest first: what a new one may be like.
    pub async fn sorted_reports_on(&self, item_part_no: &str, page: Page) -> Result<Vec<ReportLine>> {
        let rows = seen::<Entity>()
            .filter(Column::ItemPartNo.eq(item_part_no))
            .filter(Column::PartNo.is_not_null())
            .filter(Column::Mode.is_not_null())
            .filter(Condition::any().add(Column::Relevant.is_null()).add(Column::Relevant.eq(true)))
            .order_by_desc(Column::Id)
            .offset(page.offset())
            .limit(page.size);
        let mut found = lines(self.reader(), rows.all(self.reader()).await?).await?;
        // Of a report that waits, part and mode are only the unit's guess.
        found.retain(|line| matches!(line.state, ReportState::Sorted | ReportState::Answered));
        Ok(found)
    }

    /// Reports of one mode on one part, latest first.
    pub async fn reports_of_recurrence(
        &self,
        part_no: &str,
        mode: &str,
        page: Page,
    ) -> Result<Vec<ReportLine>> {
        let rows = seen::<Entity>()
            .filter(Column::PartNo.eq(part_no))
            .filter(Column::Mode.eq(mode))
            .order_by_desc(Column::ReceivedOn)
            .order_by_desc(Column::Id)
            .offset(page.offset())
            .limit(page.size);
        lines(self.reader(), rows.all(self.reader()).await?).await
    }

    /// How many reports there are of one mode on one part, those that don't count included.
    pub async fn count_reports_of_recurrence(&self, part_no: &str, mode: &str) -> Result<u64> {
        let rows = seen::<Entity>().filter(Column::PartNo.eq(part_no)).filter(Column::Mode.eq(mode));
        Ok(rows.count(self.reader()).await?)
    }

    /// A report by its reference.
    pub async fn find_report(&self, report_ref: &str) -> Result<Option<Report>> {
        report::find_row(self.reader(), report_ref).await?.map(Entity::noun).transpose()
    }

    /// Everything that is kept of a report.
    pub async fn find_report_file(&self, report_ref: &str) -> Result<Option<ReportFile>> {
        let snapshot = self.snapshot().await?;
        let Some(row) = report::find_row(&snapshot, report_ref).await? else { return Ok(None) };
        let standing = handling::of(&snapshot, &row).await?;
        Ok(Some(ReportFile {
            handling: handling::handling_of(standing)?,
            receipt: intake::of_report(&snapshot, &row).await?,
            questions: question::of_report(&snapshot, report_ref).await?,
            answers: answer::of_report(&snapshot, report_ref).await?,
            photos: photo::facts(&snapshot, report_ref).await?,
            upload: upload::of_report(&snapshot, report_ref).await?,
            shown: meanwhile::about(report_ref).latest(&snapshot).await?,
            danger: Clocks::read(&snapshot, std::slice::from_ref(&row))
                .await?
                .of(&Entity::noun(row.clone())?),
            report: Entity::noun(row)?,
        }))
    }

    /// Reports that may tell of the same failure: from the same unit on the same item, found within a week; nearest first, and
    /// the latest of a day.
    ///
    /// What they say is not looked at: labels are misread, and what only one of two reports says is no difference. Of very many,
    /// from a unit that is a name for many, come the nearest: `most` from that day and before it and `most` from after it are
    /// read, and `most` of them given.
    pub async fn possible_doubles(&self, report: &Report, most: u64) -> Result<Vec<ReportLine>> {
        let (day, week) = (report.found_on, Days::new(NEAR_DAYS.unsigned_abs().into()));
        let from = day.checked_sub_days(week).unwrap_or(NaiveDate::MIN);
        let to = day.checked_add_days(week).unwrap_or(NaiveDate::MAX);
        let others = seen::<Entity>()
            .filter(Column::Unit.eq(report.unit.as_str()))
            .filter(Column::ItemPartNo.eq(report.item_part_no.as_str()))
            .filter(Column::ReportRef.ne(report.report_ref.as_str()))
            .limit(most);
        let until = others.clone().filter(Column::FoundOn.between(from, day)).order_by_desc(Column::FoundOn);
        let after = others.filter(Column::FoundOn.gt(day)).filter(Column::FoundOn.lte(to));
        let after = after.order_by_asc(Column::FoundOn);
        let mut rows = until.order_by_desc(Column::Id).all(self.reader()).await?;
        rows.extend(after.order_by_desc(Column::Id).all(self.reader()).await?);
        rows.sort_by_key(|row| (row.found_on - day).num_days().abs());
        rows.truncate(usize::try_from(most).unwrap_or(usize::MAX));
        lines(self.reader(), rows).await
    }
}
