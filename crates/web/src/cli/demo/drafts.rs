//! Two changes of the demo: one with every section filled, before the board; one that the engineer has just begun.

use std::collections::BTreeMap;

use chrono::Days;
use domain::analysis::{Holders, Recurrence};
use domain::change_record::{
    AfterRate, DocumentKind, Prediction, PredictionBasis, Retrofit, Verdict, check_requirement,
    suggested_revisions,
};
use domain::class::{Criterion, Justification, Priority, decide};
use domain::effectivity::{Effectivity, Stage};
use domain::reidentification::{LevelAnswer, climb};
use domain::retrofit::Costs;
use domain::risk::Severity;
use store::{AffectedDocument, CriterionAnswer, NewChange, NewWeighings, RecordEdit, RequirementAnswer};

use super::Failure;
use super::story::{Teller, key};
use crate::pages::recurrences::{part_name, sentence};

/// What the drafted change touches, with the reason.
const TOUCHED: [(Criterion, &str); 4] = [
    (Criterion::Safety, "Demo text: the part holds a load."),
    (Criterion::Reliability, "Demo text: fewer failures are the purpose."),
    (Criterion::Weight, "Demo text: a heavier grade."),
    (Criterion::Retrofit, "Demo text: issued items get the part when they come back."),
];

/// Drafts, fills and submits, and gives the number.
pub(super) async fn whole(teller: &Teller<'_>, r: &Recurrence) -> Result<Option<String>, Failure> {
    let store = teller.state.store();
    let Some(new) = new_change(teller, r) else { return Ok(None) };
    let change_no = store.draft_change(&teller.engineer, teller.days_ago(14), &new).await?;
    for weighed in specimens(teller, r, (&change_no, &new)) {
        store.add_weighings(&teller.engineer, teller.days_ago(13), &weighed).await?;
    }
    let mut version = 1;
    for edit in sections(teller, r, &new, &change_no) {
        store.edit_record(&teller.engineer, teller.days_ago(13), &change_no, version, &edit).await?;
        version += 1;
    }
    let class = decide(TOUCHED.iter().map(|_| true));
    store.submit_change(&teller.engineer, teller.days_ago(12), &change_no, version, class, None).await?;
    let remark = "Demo text: weigh the sizes that were never weighed before the meeting.";
    store.remark(&teller.engineer, teller.days_ago(11), &change_no, remark).await?;
    Ok(Some(change_no))
}

/// Drafts and fills the words only.
pub(super) async fn half(teller: &Teller<'_>, r: &Recurrence) -> Result<(), Failure> {
    let store = teller.state.store();
    let Some(new) = new_change(teller, r) else { return Ok(()) };
    let change_no = store.draft_change(&teller.engineer, teller.days_ago(4), &new).await?;
    let edit = words(&new);
    store.edit_record(&teller.engineer, teller.days_ago(3), &change_no, 1, &edit).await?;
    Ok(())
}

fn new_change(teller: &Teller<'_>, r: &Recurrence) -> Option<NewChange> {
    let field = &teller.picture.field;
    let (part_no, mode) = key(field, r);
    let (from_revision, to_revision) = suggested_revisions(field, r.part)?;
    let severity = Severity::from_number(field.modes[r.mode].severity).unwrap_or(Severity::Marginal);
    Some(NewChange {
        title: format!("Strengthen the {}", part_name(field, r.part)),
        part_no: part_no.to_owned(),
        from_revision,
        to_revision,
        modes: vec![mode.to_owned()],
        recurrence: Some((part_no.to_owned(), mode.to_owned())),
        problem: sentence(field, r, severity),
    })
}

fn words(new: &NewChange) -> RecordEdit {
    RecordEdit::Words {
        title: new.title.clone(),
        problem: new.problem.clone(),
        description:
            "Demo text: a heavier grade of the same part, held by two more bar tacks at each end. Fit, \
                      colour and the way it is worn stay as they are."
                .to_owned(),
    }
}

fn sections(teller: &Teller<'_>, r: &Recurrence, new: &NewChange, change_no: &str) -> Vec<RecordEdit> {
    let proposed = Effectivity {
        change_no: change_no.to_owned(),
        stage: Stage::Proposed,
        maker: None,
        from_lot: None,
        to_lot: None,
        share_new: 1.0,
        from_date: teller.state.today().checked_add_days(Days::new(120)),
    };
    vec![
        words(new),
        RecordEdit::Prediction(Prediction {
            basis: PredictionBasis::Judged,
            ratio_low: 0.25,
            ratio_best: 0.45,
            ratio_high: 0.8,
            source: "Demo text: judged by Oda Fell from the change before it; no bench test yet.".to_owned(),
        }),
        RecordEdit::Criteria(criteria()),
        RecordEdit::Requirements(answers(teller, r)),
        RecordEdit::Effectivity {
            proposed: vec![proposed],
            retrofit: Some(Retrofit::OnReturn),
            note: Some("Demo text: the part is exchanged when an item comes back for any repair.".to_owned()),
        },
        RecordEdit::Handling {
            priority: Priority::Urgent,
            justification: Justification::Deficiency,
            cost_note: Some(
                "Demo text: a few coins an item, and a quarter of an hour at the bench.".to_owned(),
            ),
            edition: None,
        },
        RecordEdit::Levels { answers: levels(teller, new), signature: "Oda Fell".to_owned() },
        RecordEdit::Documents(vec![AffectedDocument {
            kind: DocumentKind::Drawing,
            number: format!("{}-D", new.part_no),
            revision: Some(new.from_revision.clone()),
            note: Some("Demo text: the heavier grade, and the bar tacks at each end.".to_owned()),
        }]),
        RecordEdit::Costs(Costs {
            currency: Some("EUR".to_owned()),
            new_item: Some(1.5),
            conversion: Some(14.0),
            scrapped_item: Some(160.0),
            recall_months: Some(9.0),
            source: Some("Demo text: the workshop, by word of mouth.".to_owned()),
        }),
    ]
}

/// Answers as far as the change reaches: the part doesn't exchange, what holds it does.
fn levels(teller: &Teller<'_>, new: &NewChange) -> Vec<LevelAnswer> {
    let field = &teller.picture.field;
    let Some(from) = field.find_revision(&new.part_no, &new.from_revision) else { return Vec::new() };
    let mut answers = vec![LevelAnswer {
        part_no: new.part_no.clone(),
        interchangeable: false,
        new_number: true,
        words: "Demo text: the heavier grade doesn't mate with the old one.".to_owned(),
    }];
    let above = climb(field, from, &answers);
    answers.extend(above.open().map(|level| LevelAnswer {
        part_no: field.part_names[level.part].to_owned(),
        interchangeable: true,
        new_number: true,
        words: "Demo text: worn and packed as before.".to_owned(),
    }));
    answers
}

/// Weighed specimens of the proposed revision: each of the revision before, a little heavier. A size that nobody
/// weighed before stays unweighed.
fn specimens(teller: &Teller<'_>, r: &Recurrence, (change_no, new): (&str, &NewChange)) -> Vec<NewWeighings> {
    const HEAVIER: f64 = 1.04;
    let field = &teller.picture.field;
    let Some(before) = field.find_revision(&new.part_no, &new.from_revision) else { return Vec::new() };
    let mut by_size = BTreeMap::<Option<String>, Vec<f64>>::new();
    for (size, mass_g) in &field.revisions[before].weighings {
        by_size.entry(size.map(|size| field.sizes[size].to_owned())).or_default().push(*mass_g);
    }
    let made = |(size, before): (Option<String>, Vec<f64>)| NewWeighings {
        change_no: change_no.to_owned(),
        part_no: field.part_names[r.part].to_owned(),
        revision: new.to_revision.clone(),
        size,
        shown: 0,
        grams: before.iter().map(|grams| (grams * HEAVIER * 10.0).round() / 10.0).collect(),
    };
    by_size.into_iter().map(made).collect()
}

fn criteria() -> Vec<CriterionAnswer> {
    let answer = |&criterion: &Criterion| {
        let reason =
            TOUCHED.iter().find(|(touched, _)| *touched == criterion).map(|(_, reason)| (*reason).to_owned());
        CriterionAnswer { criterion, touched: reason.is_some(), reason }
    };
    Criterion::ALL.iter().map(answer).collect()
}

/// Requirements of the items with the part that no figure of the program answers.
fn answers(teller: &Teller<'_>, r: &Recurrence) -> Vec<RequirementAnswer> {
    let field = &teller.picture.field;
    let items = Holders::of_part(field, r.part).items(field);
    // Which requirements a figure answers doesn't hang on the figure.
    let rate = AfterRate { estimate: 1.0, low: 1.0, high: 1.0 };
    let of_items = field.requirements.iter().filter(|facts| items.contains(&facts.item));
    let asks_a_person =
        of_items.filter(|facts| check_requirement(field, facts, &[], Some(rate), None).is_none());
    let mut answers: Vec<RequirementAnswer> = asks_a_person
        .map(|facts| RequirementAnswer {
            requirement_no: facts.requirement.requirement_no.clone(),
            verdict: Verdict::NotAffected,
            note: Some("Demo text: the change doesn't touch it.".to_owned()),
        })
        .collect();
    answers.sort_by(|a, b| a.requirement_no.cmp(&b.requirement_no));
    answers.dedup_by(|a, b| a.requirement_no == b.requirement_no);
    answers
}
