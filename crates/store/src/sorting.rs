//! Sorting: part, mode, lot, the two flags and their reasons; setting aside; and taking either back.

use chrono::{DateTime, Utc};
use domain::handling::{ReportState, Sorting};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Expr;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};
use serde_json::Value as Json;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{self, Entry, enter, enter_all, moment, named};
use crate::stored::ASKED_AT_ONCE;
use crate::upload::need_not_taken_back;
use crate::{catalogue_mode, handling, meanwhile, part, question, report};

pub(crate) const SORT: &str = "sort";
pub(crate) const SET_ASIDE: &str = "set aside";
pub(crate) const UNDO: &str = "undo";

/// The columns of a report that sorting sets.
const SORTED: [&str; 5] = ["part_no", "mode", "lot_text", "relevant", "chargeable"];

/// A report and where it stands, as sorting finds and leaves them.
#[derive(Clone)]
struct Standing {
    report: report::Model,
    handling: handling::Model,
}

impl Standing {
    async fn read(db: &impl ConnectionTrait, report_ref: &str) -> Result<Self> {
        let report = report::need_row(db, report_ref).await?;
        let handling = handling::of(db, &report).await?;
        Ok(Self { report, handling })
    }

    async fn keep(self, db: &impl ConnectionTrait) -> Result<()> {
        let Self { report, handling } = self;
        let mut row = report.clone().into_active_model();
        row.part_no = Set(report.part_no);
        row.mode = Set(report.mode);
        row.lot_text = Set(report.lot_text);
        row.relevant = Set(report.relevant);
        row.chargeable = Set(report.chargeable);
        row.update(db).await?;
        handling::keep(db, handling).await
    }

    /// The state as the journal keeps it: enough to bring it back.
    fn json(&self) -> Json {
        let mut report = crate::json::row(self.report.clone());
        if let Json::Object(columns) = &mut report {
            columns.retain(|name, _| SORTED.contains(&name.as_str()));
        }
        serde_json::json!({ "report": report, "handling": crate::json::row(self.handling.clone()) })
    }

    /// This report as it stood when the journal kept `state`.
    fn back_to(&self, state: &Json) -> Option<Self> {
        let (of_report, of_handling) = (state.get("report")?, state.get("handling")?);
        let text = |of: &Json, name: &str| of.get(name).and_then(Json::as_str).map(str::to_owned);
        let flag = |name: &str| of_report.get(name).and_then(Json::as_bool);
        let sorted_at = match text(of_handling, "sorted_at") {
            Some(at) => Some(DateTime::parse_from_rfc3339(&at).ok()?.with_timezone(&Utc)),
            None => None,
        };
        Some(Self {
            report: report::Model {
                part_no: text(of_report, "part_no"),
                mode: text(of_report, "mode"),
                lot_text: text(of_report, "lot_text"),
                relevant: flag("relevant"),
                chargeable: flag("chargeable"),
                ..self.report.clone()
            },
            handling: handling::Model {
                report_ref: self.report.report_ref.clone(),
                state: text(of_handling, "state")?,
                lot_text_as_sent: text(of_handling, "lot_text_as_sent"),
                cause: text(of_handling, "cause"),
                relevant_reason: text(of_handling, "relevant_reason"),
                chargeable_reason: text(of_handling, "chargeable_reason"),
                set_aside_reason: text(of_handling, "set_aside_reason"),
                sorted_by: of_handling.get("sorted_by").and_then(Json::as_i64),
                sorted_at,
            },
        })
    }

    /// This report set aside.
    fn put_aside(&self, by: &Actor, now: DateTime<Utc>, reason: &str) -> Self {
        let mut after = self.clone();
        after.report.relevant = Some(false);
        after.report.chargeable = Some(false);
        ReportState::SetAside.word().clone_into(&mut after.handling.state);
        after.handling.set_aside_reason = Some(reason.to_owned());
        after.handling.sorted_by = named(by).1;
        after.handling.sorted_at = Some(moment(now));
        after
    }

    /// This report in the state that its questions and answers bear out: they stay, whatever decision is taken back.
    async fn brought_up_to_date(mut self, db: &impl ConnectionTrait) -> Result<Self> {
        let report_ref = &self.report.report_ref;
        let state = match handling::state_of(&self.handling)? {
            ReportState::Received | ReportState::Asked => {
                let is_open = question::is_open(db, report_ref).await?;
                if is_open { ReportState::Asked } else { ReportState::Received }
            }
            ReportState::Sorted => {
                let has_its_answer = has_its_answer(db, report_ref).await?;
                if has_its_answer { ReportState::Answered } else { ReportState::Sorted }
            }
            stands @ (ReportState::SetAside | ReportState::Answered) => stands,
        };
        state.word().clone_into(&mut self.handling.state);
        Ok(self)
    }

    /// Whether this decision leaves a report as another left it; when it was made is no part of it.
    fn says_as(&self, other: &Self) -> bool {
        let mut same = self.clone();
        same.handling.sorted_at = other.handling.sorted_at;
        same.json() == other.json()
    }

    /// Puts a lot in the place of the label's text, or the label's own text back.
    fn choose_lot(&mut self, lot_no: Option<&str>) {
        let as_sent = self.handling.lot_text_as_sent.take();
        let as_sent = as_sent.or_else(|| self.report.lot_text.clone());
        match lot_no {
            Some(lot_no) => {
                // Kept even where it was blank, so that it can be told from a label that says just this lot.
                self.handling.lot_text_as_sent = Some(as_sent.unwrap_or_default());
                self.report.lot_text = Some(lot_no.to_owned());
            }
            None => self.report.lot_text = as_sent.filter(|text| !text.is_empty()),
        }
    }
}

impl Store {
    /// Sorts a report, or sorts it anew, and gives the number of its entry in the journal. A report whose unit has its
    /// answer stays answered, or is so again where its sorting was taken back since. `shown` is the number of the latest
    /// decision that whoever decides has seen, as [`crate::ReportFile::shown`] has it; `None` where nobody looked. The same
    /// decision sent twice is kept once.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for flags that lack their reasons and a mode that the catalogue lacks;
    /// [`StoreError::Missing`] where there is no such report or part; [`StoreError::Overtaken`] where something was decided
    /// since what was shown.
    pub async fn sort_report(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (report_ref, shown): (&str, Option<i64>),
        sorting: &Sorting,
    ) -> Result<i64> {
        sorting.check()?;
        let tx = self.begin().await?;
        if catalogue_mode::catalogue(&tx).await?.mode(&sorting.mode).is_none() {
            let why = "The catalogue has no such mode. Choose one of the list.";
            return Err(Problem::new("mode", why).into());
        }
        part::need(&tx, &sorting.part_no).await?;
        let before = Standing::read(&tx, report_ref).await?;
        need_not_taken_back(&tx, report_ref).await?;
        let of = meanwhile::about(report_ref);
        let twin = of.check(&tx, (by, SORT), shown).await?;
        let mut after = before.clone();
        after.report.part_no = Some(sorting.part_no.clone());
        after.report.mode = Some(sorting.mode.clone());
        after.report.relevant = Some(sorting.relevant);
        after.report.chargeable = Some(sorting.chargeable);
        after.choose_lot(sorting.lot_no.as_deref());
        let standing = &mut after.handling;
        if standing.state != ReportState::Answered.word() {
            ReportState::Sorted.word().clone_into(&mut standing.state);
        }
        standing.cause.clone_from(&sorting.cause);
        standing.relevant_reason.clone_from(&sorting.relevant_reason);
        standing.chargeable_reason.clone_from(&sorting.chargeable_reason);
        standing.set_aside_reason = None;
        standing.sorted_by = named(by).1;
        standing.sorted_at = Some(moment(now));
        let after = after.brought_up_to_date(&tx).await?;
        if let Some(twin) = twin {
            return of.repeats(after.says_as(&before)).map(|()| twin.id);
        }
        let entry = Entry::new(SORT, "report", report_ref).before(before.json()).after(after.json());
        let number = enter(&tx, by, now, entry).await?;
        after.keep(&tx).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Sets a report aside: it isn't a failure report, or was reported before. It counts nowhere. `shown` and the number
    /// given are as with [`Store::sort_report`].
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report; [`StoreError::Overtaken`] where something was decided
    /// since what was shown.
    pub async fn set_aside(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (report_ref, shown): (&str, Option<i64>),
        reason: &str,
    ) -> Result<i64> {
        let tx = self.begin().await?;
        let standing = Standing::read(&tx, report_ref).await?;
        let of = meanwhile::about(report_ref);
        if let Some(twin) = of.check(&tx, (by, SET_ASIDE), shown).await? {
            return of.repeats(standing.put_aside(by, now, reason).says_as(&standing)).map(|()| twin.id);
        }
        let after = standing.put_aside(by, now, reason);
        let entry = Entry::new(SET_ASIDE, "report", report_ref).before(standing.json()).after(after.json());
        let number = enter(&tx, by, now, entry).await?;
        after.keep(&tx).await?;
        tx.commit().await?;
        Ok(number)
    }

    /// Takes back the latest sorting or setting aside that was not taken back yet: the report is again what the
    /// journal says it was before, but for what its unit was asked, said and was told since. Says `false` where there is
    /// nothing to take back. `shown` is as with [`Store::sort_report`].
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report; [`StoreError::Overtaken`] where something was decided
    /// since what was shown; [`StoreError::Corrupt`] where the entry can't be read.
    pub async fn undo_sorting(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (report_ref, shown): (&str, Option<i64>),
    ) -> Result<bool> {
        let tx = self.begin().await?;
        let now_standing = Standing::read(&tx, report_ref).await?;
        need_not_taken_back(&tx, report_ref).await?;
        if meanwhile::about(report_ref).check(&tx, (by, UNDO), shown).await?.is_some() {
            return Ok(true);
        }
        let Some(entry) = latest_not_undone(&tx, report_ref).await? else { return Ok(false) };
        let corrupt = || StoreError::Corrupt { table: "journal", column: "before", id: entry.id.to_string() };
        let state: Json =
            serde_json::from_str(entry.before.as_deref().unwrap_or_default()).map_err(|_| corrupt())?;
        let restored = now_standing.back_to(&state).ok_or_else(corrupt)?.brought_up_to_date(&tx).await?;
        let undone =
            Entry::new(UNDO, "report", report_ref).before(now_standing.json()).after(restored.json());
        enter(&tx, by, now, undone).await?;
        restored.keep(&tx).await?;
        tx.commit().await?;
        Ok(true)
    }
}

/// Sets reports aside, each with its entry in the journal, in the order of their references.
pub(crate) async fn put_all_aside(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    report_refs: &[&str],
    reason: &str,
) -> Result<()> {
    let reports = report::need_rows(db, report_refs).await?;
    let handled = handling::of_each(db, &reports).await?;
    let before = reports.into_iter().zip(handled).map(|(report, handling)| Standing { report, handling });
    let (mut entries, mut handled) = (Vec::new(), Vec::new());
    for (before, report_ref) in before.zip(report_refs) {
        let after = before.put_aside(by, now, reason);
        entries.push(Entry::new(SET_ASIDE, "report", report_ref).before(before.json()).after(after.json()));
        handled.push(after.handling);
    }
    enter_all(db, by, now, entries).await?;
    for some in report_refs.chunks(ASKED_AT_ONCE) {
        let of = report::Entity::update_many()
            .col_expr(report::Column::Relevant, Expr::value(false))
            .col_expr(report::Column::Chargeable, Expr::value(false));
        of.filter(report::Column::ReportRef.is_in(some.iter().copied())).exec(db).await?;
    }
    handling::keep_all(db, handled).await
}

/// Whether a unit was answered while its report stood decided; what it was told before, or after a decision was taken back, was
/// on the way.
async fn has_its_answer(db: &impl ConnectionTrait, report_ref: &str) -> Result<bool> {
    let entries = journal::Entity::find()
        .filter(journal::Column::Noun.is_in(["report", "answer"]))
        .filter(journal::Column::Key.eq(report_ref))
        .filter(journal::Column::Act.is_in([SORT, SET_ASIDE, UNDO, "answer"]))
        .order_by_asc(journal::Column::Id)
        .all(db)
        .await?;
    let mut decided = 0_u32;
    for entry in &entries {
        match entry.act.as_str() {
            "answer" if decided > 0 => return Ok(true),
            "answer" => {}
            UNDO => decided = decided.saturating_sub(1),
            _ => decided += 1,
        }
    }
    Ok(false)
}

/// Each undoing takes back one act before it.
async fn latest_not_undone(db: &impl ConnectionTrait, report_ref: &str) -> Result<Option<journal::Model>> {
    let entries = journal::Entity::find()
        .filter(journal::Column::Noun.eq("report"))
        .filter(journal::Column::Key.eq(report_ref))
        .filter(journal::Column::Act.is_in([SORT, SET_ASIDE, UNDO]))
        .order_by_desc(journal::Column::Id)
        .all(db)
        .await?;
    let mut undone = 0;
    for entry in entries {
        if entry.act == UNDO {
            undone += 1;
        } else if undone == 0 {
            return Ok(Some(entry));
        } else {
            undone -= 1;
        }
    }
    Ok(None)
}
