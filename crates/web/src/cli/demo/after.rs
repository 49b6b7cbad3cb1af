//! What follows an approval in the demo: conditions and actions, orders to units, a held lot and the case with its
//! maker, a hand-over, and who reads the digest.

use chrono::NaiveDate;
use domain::action::{Action, ActionKind, Done};
use domain::analysis::Recurrence;
use domain::analysis::analyse;
use domain::change_record::Disposition;
use domain::concerned::Concerned;
use domain::docket::Meeting;
use domain::field::LotId;
use domain::instruction::{Instruction, InstructionKind};
use domain::lot_condition::{LotCondition, Scope, StockCondition};
use domain::mail_address::MailAddress;
use domain::maker_case::{MakerCase, SampleSplit};
use domain::permission::{Actor, Role};
use domain::proof_plan::ProofPlan;
use domain::variance::{Departure, Variance};
use store::{NewDecision, NewHandover, NewUser, Shown, User};

use super::story::{Teller, key};
use super::{Failure, drafts};
use crate::evidence;
use crate::pages::hand_over::carry_out;
use crate::picture::Picture;

/// Tells it of the worst recurrence, whose change waits for the board, and of one whose change was approved.
pub(super) async fn tell(
    teller: &Teller<'_>,
    picked: &[&Recurrence],
    change_no: Option<&str>,
) -> Result<(), Failure> {
    let Some(first) = picked.first() else { return Ok(()) };
    let before = predecessor(teller).await?;
    orders(teller, first, change_no).await?;
    if let Some(lot) = suspect(first) {
        held(teller, lot).await?;
    }
    if let Some(third) = picked.get(2) {
        approved(teller, third, &before).await?;
    }
    let store = teller.state.store();
    if let Some(chair) = store.find_user_named("skerry").await? {
        let address = Some("jon.skerry@rescue.example");
        store.set_digest_address(&chair.actor(), teller.days_ago(9), chair.id, address).await?;
        if let Some(change_no) = change_no {
            meeting(teller, &chair, change_no).await?;
        }
    }
    Ok(())
}

/// The board's next meeting, with the change that waits and what a member advises on it.
async fn meeting(teller: &Teller<'_>, member: &User, change_no: &str) -> Result<(), Failure> {
    let store = teller.state.store();
    let next = Meeting {
        held_on: teller.days_ago(-5).date_naive(),
        title: "Demo: the board's monthly meeting".into(),
    };
    let id = store.add_meeting(&teller.engineer, teller.days_ago(10), &next).await?;
    store.put_on_docket(&teller.engineer, teller.days_ago(10), id, change_no).await?;
    let words = "Demo text: weigh the sizes that were never weighed before the first lot.";
    let advised = (id, change_no);
    let recommends = Disposition::ApproveWithConditions;
    store.advise(&member.actor(), teller.days_ago(8), advised, recommends, words).await?;
    Ok(())
}

/// The lot that stands out, or the one with most reports where none does.
fn suspect(r: &Recurrence) -> Option<LotId> {
    let most = || r.lots.iter().max_by_key(|line| line.reports);
    r.lots.iter().find(|line| line.flagged).or_else(most).map(|line| line.lot)
}

/// The engineer who had the work before, and has left since.
async fn predecessor(teller: &Teller<'_>) -> Result<User, Failure> {
    let store = teller.state.store();
    let new = NewUser {
        name: "bight".into(),
        full_name: "Tove Bight".into(),
        role: Role::Engineer,
        unit: None,
        password_hash: None,
    };
    let id = store.add_user(&Actor::Program, teller.days_ago(20), &new).await?;
    Ok(store.find_user(id).await?.ok_or("the predecessor was not added")?)
}

fn day(teller: &Teller<'_>, days_ago: i64) -> NaiveDate {
    teller.days_ago(days_ago).date_naive()
}

/// Everything that is made of the lots that stand out, or of the whole part where none does.
fn concerned(teller: &Teller<'_>, r: &Recurrence) -> Concerned {
    let field = &teller.picture.field;
    match suspect(r) {
        Some(lot) => Concerned {
            part_no: field.part_names[field.part_of_lot(lot)].to_owned(),
            maker: field.lots[lot].maker.map(|maker| field.makers[maker].to_owned()),
            lots: vec![field.lots[lot].lot_no.to_string()],
        },
        None => Concerned { part_no: key(field, r).0.to_owned(), maker: None, lots: Vec::new() },
    }
}

async fn orders(teller: &Teller<'_>, r: &Recurrence, change_no: Option<&str>) -> Result<(), Failure> {
    let (store, field) = (teller.state.store(), &teller.picture.field);
    let (part, mode) = key(field, r);
    let inspect = Instruction {
        kind: InstructionKind::Inspect,
        concerned: Concerned { part_no: part.to_owned(), maker: None, lots: Vec::new() },
        from: day(teller, 15),
        to: None,
        words: "Demo text: look at the seam and the end of the part in good light; pull once by hand.".into(),
        authority: "Demo text: equipment engineer".into(),
        change_no: change_no.map(Into::into),
        recurrence: Some((part.to_owned(), mode.to_owned())),
        withdrawn: None,
    };
    let number = store.add_instruction(&teller.engineer, teller.days_ago(15), &inspect).await?;
    let stop = Instruction {
        kind: InstructionKind::StopUse,
        concerned: concerned(teller, r),
        from: day(teller, 11),
        words: "Demo text: take it off, tag it and hand it to your store keeper; draw one of another lot."
            .into(),
        authority: "Demo text: head of the service, on the engineer's advice".into(),
        ..inspect.clone()
    };
    store.add_instruction(&teller.engineer, teller.days_ago(11), &stop).await?;
    if !stop.concerned.lots.is_empty() {
        let why = "Demo text: the lots that stand out are out of use; the others are looked at once a year.";
        store.withdraw_instruction(&teller.engineer, teller.days_ago(10), &number, why).await?;
    }
    let variance = Variance {
        concerned: Concerned { part_no: part.to_owned(), maker: None, lots: Vec::new() },
        departure: "Demo text: thread of one size smaller in the bar tacks than the drawing says.".into(),
        touches: vec![Departure::Durability],
        quantity: Some(400),
        from: day(teller, 18),
        expires: Some(day(teller, -120)),
        recurring: false,
        reason: "Demo text: the thread of the drawing can't be had before summer.".into(),
        approved_by: "Demo text: Jon Skerry".into(),
        change_no: change_no.map(Into::into),
        withdrawn: None,
    };
    store.add_variance(&teller.engineer, teller.days_ago(18), &variance).await?;
    Ok(())
}

async fn held(teller: &Teller<'_>, lot: LotId) -> Result<(), Failure> {
    let (store, field) = (teller.state.store(), &teller.picture.field);
    let facts = &field.lots[lot];
    let maker = facts.maker.map(|maker| field.makers[maker].to_owned());
    let entry = |condition, days_ago, reason: &str| LotCondition {
        lot_no: facts.lot_no.to_string(),
        maker: maker.clone(),
        condition,
        on: day(teller, days_ago),
        authority: "Demo text: equipment engineer".into(),
        scope: Scope::Whole,
        reason: reason.into(),
    };
    for (days_ago, condition, reason) in [
        (15, StockCondition::InspectFirst, "Demo text: more reports than of the other lots."),
        (
            11,
            StockCondition::OnHold,
            "Demo text: suspected nonconforming; specimens are with the laboratory.",
        ),
    ] {
        let entry = entry(condition, days_ago, reason);
        store.set_lot_condition(&teller.engineer, teller.days_ago(days_ago), &entry).await?;
    }
    let Some(maker) = maker else { return Ok(()) };
    let Actor::Person { id, .. } = teller.engineer else { return Ok(()) };
    let case = MakerCase {
        lot_no: facts.lot_no.to_string(),
        maker,
        about: "Demo text: suspected nonconforming, seams below the strength of the drawing.".into(),
        notice_on: day(teller, 13),
        reply_due: day(teller, 3),
        reply: None,
        samples: SampleSplit { maker: 5, ours: 5, referee: 5 },
        result: None,
        settlement: None,
        owner: Some(id),
    };
    store.open_case(&teller.engineer, teller.days_ago(13), &case).await?;
    Ok(())
}

/// A change that the board approved on conditions, with what is to be done before its cut-in; part of it was the
/// predecessor's, and was handed over.
async fn approved(teller: &Teller<'_>, r: &Recurrence, before: &User) -> Result<(), Failure> {
    let store = teller.state.store();
    let Some(no) = drafts::whole(teller, r).await? else { return Ok(()) };
    let Some(chair) = store.find_user_named("skerry").await? else { return Ok(()) };
    let decision = NewDecision {
        disposition: Disposition::ApproveWithConditions,
        reason: "Demo text: the reports are plain, and the change is small.".into(),
        conditions: Some(
            "Demo text: fit check in the smallest size before the first lot\nDemo text: spares laid in at every store"
                .into(),
        ),
        signature: chair.full_name.clone(),
    };
    // The picture the story began with doesn't know the change that was just drafted.
    let field = store.load_field().await?;
    let analysis = analyse(&field, teller.picture.analysis.as_of);
    let picture = Picture::of(field, analysis, teller.days_ago(8));
    if let Some(record) = store.find_change_record(&no).await? {
        let version = record.body.as_ref().map_or(0, |body| body.version);
        let shown = Shown { version, evidence: None };
        let basis = evidence::basis(&record, &picture, shown, (&decision, ProofPlan::default()))?;
        store.decide_change(&chair.actor(), teller.days_ago(8), &no, &decision, &basis).await?;
    }
    let Actor::Person { id, .. } = teller.engineer else { return Ok(()) };
    let action = |kind, what: &str, owner, due| Action {
        change_no: no.clone(),
        kind,
        what: what.into(),
        owner,
        due,
        done: None,
    };
    let contract = action(
        ActionKind::Contract,
        "Demo text: alter the contract with the maker",
        Some(before.id),
        Some(day(teller, 2)),
    );
    let drawing =
        action(ActionKind::Drawing, "Demo text: release the drawing", Some(id), Some(day(teller, 4)));
    let article =
        action(ActionKind::FirstArticle, "Demo text: first article inspection", None, Some(day(teller, -30)));
    store.add_action(&teller.engineer, teller.days_ago(7), &contract).await?;
    store.add_action(&teller.engineer, teller.days_ago(7), &article).await?;
    let released = store.add_action(&teller.engineer, teller.days_ago(7), &drawing).await?;
    let done = Done { on: day(teller, 5), evidence: "Demo text: drawing released as revision B".into() };
    store.finish_action(&teller.engineer, teller.days_ago(5), released, &done).await?;
    let note = "Demo text: Tove leaves the service at the end of the month.";
    let digest = Some("tove.bight@rescue.example");
    store.set_digest_address(&before.actor(), teller.days_ago(7), before.id, digest).await?;
    let address = MailAddress::parse("oda.fell@rescue.example").ok();
    let new = NewHandover { from: before.id, to: id, note: note.into(), address };
    carry_out(teller.state, &before.actor(), teller.days_ago(6), &new).await?;
    Ok(())
}
