//! Invented changes of an invented field, for samples and tests of these pages.

use std::sync::Arc;

use chrono::{DateTime, Days, NaiveDate, Utc};
use domain::analysis::analyse;
use domain::bench_test::{BenchTest, TestOutcome};
use domain::change::{Change, ChangeState};
use domain::change_record::{Disposition, DocumentKind, Prediction, PredictionBasis, Retrofit, Verdict};
use domain::class::{Criterion, Justification, Priority};
use domain::effectivity::{Effectivity, Stage};
use domain::field::FieldBuilder;
use domain::inspection::Inspection;
use domain::part::PartRevision;
use domain::permission::{Actor, Role};
use domain::proof_plan::ProofPlan;
use domain::reidentification::LevelAnswer;
use domain::requirement::{LimitKind, Measure, Requirement};
use domain::retrofit::Costs;
use domain::weighing::Weighing;
use domain::words::Problem;
use store::{
    AffectedDocument, ApprovedPlan, Argued, ChangeRecord, CriterionAnswer, Decision, EnclosureFacts,
    FrozenEvidence, JournalEntry, NewDecision, NewReports, RecordBody, Remark, RequirementAnswer, digest_of,
};

use super::load::Loaded;
use crate::evidence;
use crate::pages::recurrences::sample;
use crate::pages::status::line::unsettled_by;
use crate::picture::Picture;

const NO: &str = "2026-014";
const PART: &str = "RC-131";

/// The day of all samples.
pub(super) fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 3).unwrap_or_default()
}

/// A member of the board.
pub(super) fn board() -> Actor {
    Actor::Person { id: 2, name: "Jon Skerry".into(), role: Role::Board, unit: None }
}

fn moment() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_539_200, 0).unwrap_or_default()
}

/// Records of the change in each state that shows something of its own.
pub(super) fn records() -> Vec<ChangeRecord> {
    let blank = ChangeRecord {
        change: change(None),
        body: None,
        effectivity: Vec::new(),
        criteria: Vec::new(),
        answers: Vec::new(),
        decisions: Vec::new(),
        argued: Argued::default(),
        plan: None,
        since: None,
    };
    let empty = ChangeRecord { body: Some(empty_body()), since: Some(moment()), ..blank.clone() };
    let whole = whole();
    let in_state =
        |state, record: &ChangeRecord| ChangeRecord { change: change(Some(state)), ..record.clone() };
    let mut own = in_state(ChangeState::Submitted, &whole);
    own.body.iter_mut().for_each(|body| body.drafted_by = Some(2));
    let decided = ChangeRecord { decisions: vec![decision()], plan: Some(plan()), ..whole.clone() };
    vec![
        in_state(ChangeState::CutIn, &blank),
        in_state(ChangeState::Draft, &empty),
        in_state(ChangeState::Draft, &whole),
        in_state(ChangeState::Submitted, &whole),
        own,
        in_state(ChangeState::Approved, &decided),
        in_state(ChangeState::CutIn, &decided),
        in_state(ChangeState::Proved, &decided),
    ]
}

/// Each record with its field.
pub(super) fn loaded() -> Vec<Loaded> {
    let loaded = records().into_iter().map(|record| {
        let picture = Arc::new(picture(record.change.state, record.body.is_some()));
        Loaded {
            unsettled: unsettled_by((&picture.field, &picture.analysis), &record, &[]),
            picture,
            after: super::after_sample::facts(&record, today(), moment()),
            since: since(&record),
            record,
            today: today(),
        }
    });
    loaded.collect()
}

/// More reports for a record before the board, with harm among them; without harm for one that is approved.
fn since(record: &ChangeRecord) -> Option<NewReports> {
    let (near_misses, injuries) = match record.change.state {
        Some(ChangeState::Submitted) => (2, 1),
        Some(ChangeState::Approved) => (0, 0),
        _ => return None,
    };
    Some(NewReports { since: moment(), reports: 5, near_misses, injuries })
}

fn picture(state: Option<ChangeState>, weighed: bool) -> Picture {
    let built = fill(sample::builder(), state, weighed);
    // The nouns above name each other and nothing else, so none is refused.
    let field = built.map(FieldBuilder::build).unwrap_or_default();
    let analysis = analyse(&field, today());
    Picture::of(field, analysis, moment())
}

fn fill(
    b: Result<FieldBuilder, Problem>,
    state: Option<ChangeState>,
    weighed: bool,
) -> Result<FieldBuilder, Problem> {
    let mut b = b?;
    b.part(&PartRevision {
        part_no: PART.into(),
        revision: "B".into(),
        name: "Front slide fastener".into(),
        kind: "ZIP".into(),
        released_on: None,
        replaces_revision: Some("A".into()),
        change_no: Some(NO.into()),
        life_years: None,
    })?;
    let (before, after) = ([3850.0, 3861.0], [2941.0, 2950.0]);
    for (revision, grams) in [("A", before), ("B", after)] {
        for (at, mass_g) in grams.into_iter().enumerate().filter(|_| weighed || revision == "A") {
            b.weighing(&Weighing {
                part_no: PART.into(),
                revision: revision.into(),
                size: None,
                specimen: at.to_string(),
                mass_g,
            })?;
            b.bench_test(&bench(revision, mass_g / 10.0, at == 0))?;
        }
    }
    for (number, measure, limit) in
        [("3.2", Some(Measure::MassG), Some(3000.0)), ("3.4", None, None), ("3.9", None, None)]
    {
        b.requirement(&Requirement {
            item_part_no: "RC-100".into(),
            requirement_no: number.into(),
            text: format!("Requirement {number} in words."),
            measure,
            limit_kind: limit.map(|_| LimitKind::AtMost),
            limit,
            configuration: None,
            size: None,
        })?;
    }
    b.change(&change(state))?;
    if state == Some(ChangeState::Proved) {
        b.inspection(&Inspection {
            inspected_on: today() - Days::new(90),
            unit: "COVE-2".into(),
            lot_no: None,
            part_no: PART.into(),
            mode: "ZIP-1".into(),
            inspected: 60,
            found: 3,
            notice_no: None,
        })?;
    }
    Ok(b)
}

fn bench(revision: &str, value: f64, failed: bool) -> BenchTest {
    BenchTest {
        part_no: PART.into(),
        revision: revision.into(),
        lot_no: None,
        purpose: None,
        method: "ASTM D2061".into(),
        measure: "crosswise strength".into(),
        specimen: value.to_string(),
        specimen_source: None,
        conditioning: None,
        limit: None,
        limit_source: None,
        tested_on: None,
        measure_unit: "N".into(),
        value,
        outcome: if failed { TestOutcome::Failed } else { TestOutcome::Measured },
        laboratory: Some("Fjord Laboratory".into()),
    }
}

fn change(state: Option<ChangeState>) -> Change {
    let built = matches!(state, Some(ChangeState::CutIn | ChangeState::Proved));
    Change {
        change_no: NO.into(),
        title: "Coated slider".into(),
        part_no: PART.into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: vec!["ZIP-1".into()],
        state,
        cut_in_lot: built.then(|| "TB-0420".to_owned()),
        cut_in_on: built.then(|| today() - Days::new(60)),
    }
}

fn empty_body() -> RecordBody {
    RecordBody {
        recurrence: Some((PART.into(), "ZIP-1".into())),
        problem: String::new(),
        description: String::new(),
        prediction: None,
        retrofit: None,
        retrofit_note: None,
        priority: None,
        justification: None,
        cost_note: None,
        drafted_by: Some(1),
        drafted_by_name: Some("Oda Fell".into()),
        drafted_at: moment(),
        submitted_at: None,
        revision: 0,
        version: 1,
    }
}

fn whole() -> ChangeRecord {
    let body = RecordBody {
        problem: "The chain splits <on the ladder>.\nSalt wears the slider.".into(),
        description: "A coated slider.".into(),
        prediction: Some(Prediction {
            basis: PredictionBasis::Bench,
            ratio_low: 0.2,
            ratio_best: 0.4,
            ratio_high: 0.8,
            source: "crosswise strength, ten specimens each".into(),
        }),
        retrofit: Some(Retrofit::OnReturn),
        retrofit_note: Some("At the next wash.".into()),
        priority: Some(Priority::Urgent),
        justification: Some(Justification::Deficiency),
        cost_note: Some("4 a piece, 9,600 for the fleet".into()),
        submitted_at: Some(moment()),
        revision: 1,
        version: 7,
        ..empty_body()
    };
    let line = |stage, from_lot: Option<&str>, to_lot: Option<&str>| Effectivity {
        change_no: NO.into(),
        stage,
        maker: from_lot.map(|_| "Harbour Loft".to_owned()),
        from_lot: from_lot.map(Into::into),
        to_lot: to_lot.map(Into::into),
        share_new: 1.0,
        from_date: from_lot.map(|_| today()),
    };
    let criteria = Criterion::ALL.iter().map(|&criterion| CriterionAnswer {
        criterion,
        touched: criterion == Criterion::Safety,
        reason: (criterion == Criterion::Safety).then(|| "the closure holds the carrier shut".to_owned()),
    });
    let answer = |number: &str, note: Option<&str>| RequirementAnswer {
        requirement_no: number.into(),
        verdict: Verdict::NotAffected,
        note: note.map(Into::into),
    };
    ChangeRecord {
        change: change(Some(ChangeState::Draft)),
        body: Some(body),
        effectivity: vec![
            line(Stage::Proposed, Some("TB-0420"), None),
            line(Stage::Proposed, Some("TB-0420"), Some("TB-0430")),
            line(Stage::Approved, None, Some("TB-0430")),
            line(Stage::Accomplished, None, None),
            Effectivity { share_new: 0.4, ..line(Stage::Accomplished, Some("TB-0420"), Some("TB-0420")) },
        ],
        criteria: criteria.collect(),
        answers: vec![answer("3.4", Some("the release is not touched")), answer("3.9", None)],
        decisions: Vec::new(),
        argued: argued(),
        plan: None,
        since: Some(moment()),
    }
}

/// Answers that reach the item, with a departure from the rule, a remark and an enclosure.
fn argued() -> Argued {
    let level = |part_no: &str, interchangeable, new_number, words: &str| LevelAnswer {
        part_no: part_no.into(),
        interchangeable,
        new_number,
        words: words.into(),
    };
    Argued {
        priority_edition: Some("480B".into()),
        levels: vec![
            level(PART, false, true, "wider chain"),
            level("RC-100", false, false, "one level lower"),
        ],
        levels_signed: Some(("Oda Fell".into(), moment())),
        costs: Costs {
            currency: Some("EUR".into()),
            new_item: Some(4.0),
            conversion: Some(14.0),
            scrapped_item: Some(180.0),
            recall_months: Some(9.0),
            source: Some("workshop, January".into()),
        },
        documents: vec![AffectedDocument {
            kind: DocumentKind::Drawing,
            number: "RC-131-02".into(),
            revision: Some("B".into()),
            note: Some("slider coating".into()),
        }],
        remarks: vec![Remark { by: "skerry".into(), at: moment(), words: "Weigh <XL> first.".into() }],
        enclosures: vec![EnclosureFacts {
            id: 1,
            name: "bench report.pdf".into(),
            sha256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08".into(),
            size: 48_200,
            by: "fell".into(),
            at: moment(),
        }],
    }
}

fn plan() -> ApprovedPlan {
    let plan = ProofPlan::default();
    ApprovedPlan {
        plan,
        item_years: Some(2400.0),
        reached_on: Some(today() + Days::new(500)),
        planned_at: moment(),
    }
}

/// Evidence as it was frozen; with a figure and a method that no longer agree; and torn.
pub(super) fn evidence(loaded: &Loaded) -> Vec<FrozenEvidence> {
    let plan = loaded.record.plan.map(|plan| plan.plan);
    let frozen = evidence::freeze(&loaded.record, &loaded.picture, "approve", plan, Vec::new());
    let document = frozen.map(|new| new.document).unwrap_or_default();
    let altered =
        document.replace("\"mass_g\":2950.0", "\"mass_g\":3950.0").replace("\"version\":1", "\"version\":0");
    let one = |id, document: String| FrozenEvidence {
        id,
        change_no: NO.into(),
        occasion: "approve".into(),
        revision: 1,
        digest: digest_of(&document),
        document,
        frozen_at: moment(),
    };
    let torn = FrozenEvidence { digest: "0".repeat(64), ..one(3, "{}".into()) };
    vec![one(1, document), one(2, altered), torn]
}

/// Somebody tried what is not allowed.
pub(super) fn attempt() -> JournalEntry {
    JournalEntry {
        id: 9,
        at: moment(),
        actor: "Jon Skerry".into(),
        user_id: Some(2),
        act: "refused: decide".into(),
        noun: "change".into(),
        key: NO.into(),
        before: None,
        after: None,
    }
}

fn decision() -> Decision {
    Decision {
        decided: NewDecision {
            disposition: Disposition::ApproveWithConditions,
            reason: "The bench shows enough.".into(),
            conditions: Some("Weigh size XL first.".into()),
            signature: "Jon Skerry".into(),
        },
        by: Some("Jon Skerry".into()),
        at: moment(),
    }
}
