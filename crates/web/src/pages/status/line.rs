//! One change for the program office: where it stands, since when, what it waits for, and the figures beside it.

use std::collections::HashMap;

use chrono::NaiveDate;
use domain::analysis::{
    Analysis, ChangeResult, Proof, ProofVerdict, RATIO_WORTH_HAVING, Recurrence, Recurrences,
};
use domain::change::{ChangeState, Wait};
use domain::field::Field;
use domain::recurrence::RecurrenceState;
use domain::risk::RiskLevel;
use store::{ChangeRecord, RecurrenceRecord};

use crate::address;
use crate::pages::recurrences::{Risk, part_name, risk_of};
use crate::view::Sureness;

/// A change with what the picture of the field says of it.
pub(crate) struct Line<'a> {
    /// The change and its record.
    pub record: &'a ChangeRecord,
    /// Where it stands.
    pub state: ChangeState,
    /// Since when, where that is on record.
    pub since: Option<NaiveDate>,
    /// What it brings; `None` where the picture doesn't know it.
    pub result: Option<&'a ChangeResult>,
    /// The worst risk among the recurrences it is meant to cure, and the page of that one.
    pub risk: Option<(Risk, String)>,
    /// What it cures and is not settled yet, though it is proved.
    pub unsettled: Option<Unsettled>,
}

/// A recurrence that a proved change cures and that nobody has settled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Unsettled {
    /// The part and the mode, in words.
    pub what: String,
    /// Its page.
    pub address: String,
    /// Who has it.
    pub owner: Option<String>,
    /// Their number; two people may share a name.
    pub owner_id: Option<i64>,
    /// Whether it came back after it was settled.
    pub is_back: bool,
}

impl Unsettled {
    /// What is to be done about it.
    pub(crate) fn step(&self) -> String {
        let verb = if self.is_back { "look again at" } else { "settle" };
        format!("{verb} the recurrence of {}", self.what)
    }
}

impl Line<'_> {
    /// What it waits for.
    pub(crate) fn wait(&self) -> Option<Wait> {
        self.state.waits_for().or_else(|| self.unsettled.as_ref().map(|_| Wait::Settlement))
    }

    /// Days since it stands where it stands.
    pub(crate) fn days(&self, today: NaiveDate) -> Option<i64> {
        self.since.map(|since| (today - since).num_days().max(0))
    }

    /// Failures expected in the days it has waited, with limits; nothing once lots are built to it, for then items with
    /// it come in.
    pub(crate) fn expected_in_wait(&self, today: NaiveDate) -> Option<(f64, f64, f64)> {
        let waits = self.result?.while_waiting.filter(|_| self.wait().is_some() && !self.state.is_built())?;
        Some(waits.over_days(self.days(today)?))
    }

    /// The comparison before and after, once lots have been built to it.
    pub(crate) fn proof(&self) -> Option<&Proof> {
        self.result.filter(|_| self.state.is_built()).and_then(|result| result.proof.as_ref())
    }

    /// The fixed word for how sure the proof is, at the ratio it was planned to be worth having at; `None` before the cut-in.
    pub(crate) fn sureness(&self) -> Option<Sureness> {
        let ratio = self.record.plan.map_or(RATIO_WORTH_HAVING, |plan| plan.plan.ratio_worth_having);
        self.state.is_built().then(|| match self.proof().map(|proof| proof.verdict_at(ratio)) {
            Some(ProofVerdict::Worked) => Sureness::Shown,
            Some(ProofVerdict::NotShown | ProofVerdict::Worse) => Sureness::NotShown,
            Some(ProofVerdict::TooEarly) | None => Sureness::TooEarly,
        })
    }
}

/// Every change: by what it waits for, the oldest wait first; those that wait for nothing last.
pub(crate) fn lines<'a>(
    seen: (&'a Field, &'a Analysis),
    records: &'a [ChangeRecord],
    recurrences: &[RecurrenceRecord],
) -> Vec<Line<'a>> {
    let judged = judged(recurrences);
    let mut lines: Vec<Line<'a>> = records.iter().map(|record| line(seen, record, &judged)).collect();
    // A wait that began before records did is the oldest.
    lines.sort_by_key(|line| (line.wait().is_none(), line.wait(), line.since));
    lines
}

/// What a change cures and nobody has settled, though it is proved.
pub(crate) fn unsettled_by(
    (field, analysis): (&Field, &Analysis),
    record: &ChangeRecord,
    recurrences: &[RecurrenceRecord],
) -> Option<Unsettled> {
    line((field, analysis), record, &judged(recurrences)).unsettled
}

fn judged(recurrences: &[RecurrenceRecord]) -> Judged<'_> {
    recurrences.iter().map(|r| ((r.part_no.as_str(), r.mode.as_str()), r)).collect()
}

type Judged<'a> = HashMap<(&'a str, &'a str), &'a RecurrenceRecord>;

fn line<'a>(
    (field, analysis): (&'a Field, &'a Analysis),
    record: &'a ChangeRecord,
    judged: &Judged<'_>,
) -> Line<'a> {
    let state = record.change.state.unwrap_or(ChangeState::Draft);
    let id = field.find_change(&record.change.change_no);
    Line {
        record,
        state,
        since: since(record, state),
        result: id.and_then(|id| analysis.changes.iter().find(|result| result.change == id)),
        risk: worst_risk(field, &analysis.recurrences, record, judged),
        unsettled: (state == ChangeState::Proved)
            .then(|| unsettled(field, &analysis.recurrences, record, judged))
            .flatten(),
    }
}

/// The journal's day; for a change that came with a pack only its cut-in is dated.
fn since(record: &ChangeRecord, state: ChangeState) -> Option<NaiveDate> {
    let journal = record.since.map(|time| time.date_naive());
    journal.or_else(|| record.change.cut_in_on.filter(|_| state.is_built()))
}

/// Whether a change is meant to cure a recurrence.
fn cures(field: &Field, record: &ChangeRecord, r: &Recurrence) -> bool {
    record.change.cures(&field.part_names[r.part], &field.modes[r.mode].code)
}

/// The first recurrence that it cures and that is not settled.
fn unsettled(
    field: &Field,
    recurrences: &Recurrences,
    record: &ChangeRecord,
    judged: &Judged<'_>,
) -> Option<Unsettled> {
    recurrences.iter().filter(|r| cures(field, record, r)).find_map(|r| {
        let key = (&field.part_names[r.part], &*field.modes[r.mode].code);
        let kept = judged.get(&key);
        let state = kept.map_or(RecurrenceState::Standing, |kept| kept.state);
        (state != RecurrenceState::Settled).then(|| Unsettled {
            what: format!(
                "{}: {}",
                part_name(field, r.part).to_lowercase(),
                field.modes[r.mode].name.to_lowercase()
            ),
            address: address::recurrence(field, r.part, r.mode),
            owner: kept.and_then(|kept| kept.owner.clone()),
            owner_id: kept.and_then(|kept| kept.owner_id),
            is_back: state == RecurrenceState::Back,
        })
    })
}

fn worst_risk(
    field: &Field,
    recurrences: &Recurrences,
    record: &ChangeRecord,
    judged: &Judged<'_>,
) -> Option<(Risk, String)> {
    let risks = recurrences.iter().filter(|r| cures(field, record, r)).map(|r| {
        let key = (&field.part_names[r.part], &*field.modes[r.mode].code);
        (risk_of(field, r, judged.get(&key).copied()), address::recurrence(field, r.part, r.mode))
    });
    // A level that isn't known stands behind every known one.
    risks.min_by_key(|(risk, _)| {
        (risk.level().map_or((1, RiskLevel::Eliminated), |level| (0, level)), risk.severity)
    })
}

#[cfg(test)]
mod tests {
    use domain::analysis::ChangeCounts;
    use domain::catalogue::Catalogue;
    use domain::field::FieldBuilder;
    use domain::part::PartRevision;
    use domain::proof_plan::ProofPlan;
    use stats::stratified::Stratum;
    use store::ApprovedPlan;

    use super::*;
    use crate::testing::change_record;

    /// 60 failures in 4,000 item-years and 15 in 1,500: too early to tell for a change worth having at a half of the failures,
    /// and not shown for one that was planned to leave a tenth, as the test of the verdict in the domain has it.
    #[test]
    fn a_proof_is_as_sure_as_its_plan_wants_it() {
        let mut record = change_record(ChangeState::CutIn);
        let mut b = FieldBuilder::new(Catalogue::shipped());
        for revision in ["A", "B"] {
            b.part(&PartRevision {
                part_no: record.change.part_no.clone(),
                revision: revision.into(),
                name: "front slide fastener".into(),
                kind: "ZIP".into(),
                released_on: None,
                replaces_revision: None,
                change_no: None,
                life_years: None,
            })
            .unwrap();
        }
        b.change(&record.change).unwrap();
        let field = b.build();
        let both =
            Stratum { before_count: 60, before_exposure: 4000.0, after_count: 15, after_exposure: 1500.0 };
        let counts = ChangeCounts { by_age: vec![both], ..ChangeCounts::default() };
        let id = field.find_change(&record.change.change_no).unwrap();
        let result = ChangeResult::from_counts(&field, id, counts);
        let sureness = |record: &ChangeRecord| {
            let (state, result) = (ChangeState::CutIn, Some(&result));
            Line { record, state, since: None, result, risk: None, unsettled: None }.sureness()
        };
        assert_eq!(sureness(&record), Some(Sureness::TooEarly));
        record.plan = Some(ApprovedPlan {
            plan: ProofPlan { ratio_worth_having: 0.1, power: 0.8 },
            item_years: None,
            reached_on: None,
            planned_at: chrono::DateTime::from_timestamp(1_771_000_000, 0).unwrap(),
        });
        assert_eq!(sureness(&record), Some(Sureness::NotShown));
    }
}
