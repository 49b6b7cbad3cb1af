//! What the units of the demo send: reports that wait, one with a question asked, one with its answer.

use chrono::Duration;
use domain::analysis::{Holders, Recurrence};
use domain::field::{Field, PartId};
use domain::handling::Sorting;
use domain::language::Language;
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::receipt::ReceiptCode;
use domain::report::{FoundWhen, Harm, ItemFate, LotKnown, Report};
use domain::unit::UnitKind;
use store::{IntakeFacts, NewContact};

use super::story::{Teller, key};
use super::{Failure, UNIT, photograph};
use crate::pages::recurrences::part_name;
use crate::photo::Photo;
use crate::secrets::Token;

/// One report to be sent.
struct Letter {
    /// Place of the sender: the demo's own unit is 0.
    from: usize,
    item: &'static str,
    story: &'static str,
    harm: Harm,
    when: FoundWhen,
    label: LotKnown,
    days_ago: i64,
    photographed: bool,
    /// What the engineer asks, and what the unit says.
    question: Option<(&'static str, Option<&'static str>)>,
}

const LETTERS: [Letter; 6] = [
    Letter {
        from: 0,
        item: "LP-200",
        story: "Demo: main zip burst open half way up the sea cliff, the rope bag fell past two of us",
        harm: Harm::NearMiss,
        when: FoundWhen::InUse,
        label: LotKnown::Read,
        days_ago: 2,
        photographed: true,
        question: None,
    },
    Letter {
        from: 1,
        item: "RC-100",
        story: "Demo: front closure peels open when I breathe in, worse when wet",
        harm: Harm::None,
        when: FoundWhen::InUse,
        label: LotKnown::Unreadable,
        days_ago: 9,
        photographed: false,
        question: Some((
            "Demo: is the hook side worn or the loop side? A photograph of both would help.",
            None,
        )),
    },
    Letter {
        from: 2,
        item: "RC-100",
        story: "Demo: side tube slid out of its channel again, third time pushed back in",
        harm: Harm::None,
        when: FoundWhen::InUse,
        label: LotKnown::Read,
        days_ago: 7,
        photographed: false,
        question: Some(("Demo: which side, left or right?", Some("Demo: left, always left."))),
    },
    Letter {
        from: 0,
        item: "LP-200",
        story: "Demo: bottom seam came unsewn over a hand's length after the wash",
        harm: Harm::None,
        when: FoundWhen::AfterWash,
        label: LotKnown::Read,
        days_ago: 5,
        photographed: true,
        question: None,
    },
    Letter {
        from: 1,
        item: "LH-300",
        story: "Demo: webbing at the waist has gone furry where the rope runs",
        harm: Harm::None,
        when: FoundWhen::Inspection,
        label: LotKnown::NotLooked,
        days_ago: 4,
        photographed: false,
        question: None,
    },
    Letter {
        from: 2,
        item: "RC-100",
        story: "Demo: cannot read size or lot on the label any more",
        harm: Harm::None,
        when: FoundWhen::TurnIn,
        label: LotKnown::Unreadable,
        days_ago: 1,
        photographed: false,
        question: None,
    },
];

/// Sends everything; gives what opens the receipt of the report that is answered.
pub(super) async fn send_all(
    teller: &Teller<'_>,
    answered: Option<&Recurrence>,
) -> Result<Option<Token>, Failure> {
    let field = &teller.picture.field;
    let others = field
        .units
        .iter()
        .filter(|(id, unit)| unit.kind == UnitKind::Wearing && &field.unit_names[*id] != UNIT);
    let mut senders = vec![UNIT.to_owned()];
    senders.extend(others.take(2).map(|(id, _)| field.unit_names[id].to_owned()));
    for letter in &LETTERS {
        let Some(item) = field.part_names.find(letter.item) else { continue };
        let unit = &senders[letter.from % senders.len()];
        let report = report_of(teller, unit, item, letter);
        send(teller, &report, letter.days_ago, letter.photographed).await?;
        if let Some((question, said)) = letter.question {
            ask(teller, &report, letter.days_ago, question, said).await?;
        }
    }
    match answered {
        Some(r) => answered_letter(teller, r).await.map(Some),
        None => Ok(None),
    }
}

fn report_of(teller: &Teller<'_>, unit: &str, item: PartId, letter: &Letter) -> Report {
    let field = &teller.picture.field;
    let day = teller.days_ago(letter.days_ago).date_naive();
    Report {
        report_ref: ReceiptCode::draw(&mut || teller.state.secrets().bits()).to_string(),
        found_on: day,
        received_on: day,
        unit: unit.to_owned(),
        item_part_no: field.part_names[item].to_owned(),
        size: None,
        serial: None,
        lot_text: (letter.label == LotKnown::Read).then(|| newest_lot(field, item)).flatten(),
        lot_known: Some(letter.label),
        maker: None,
        contract_no: None,
        made_month: None,
        part_no: None,
        mode: None,
        narrative: Some(letter.story.to_owned()),
        activity: None,
        found_when: Some(letter.when),
        worn_weeks: None,
        altered: None,
        prompted_by: None,
        harm: Some(letter.harm),
        item_fate: Some(ItemFate::Withdrawn),
        relevant: None,
        chargeable: None,
        quantity: 1,
    }
}

fn newest_lot(field: &Field, item: PartId) -> Option<String> {
    let lots = field.lots.iter().filter(|&(id, _)| field.part_of_lot(id) == item);
    lots.max_by_key(|(_, lot)| lot.made_on).map(|(_, lot)| lot.lot_no.to_string())
}

async fn send(
    teller: &Teller<'_>,
    report: &Report,
    days_ago: i64,
    photographed: bool,
) -> Result<Token, Failure> {
    let (secrets, opens) = (teller.state.secrets(), teller.state.secrets().token());
    let facts = IntakeFacts {
        receipt_code: report.report_ref.clone(),
        client_key: secrets.token().digest(),
        secret_hash: opens.digest(),
        unit_link_id: None,
        altered_by: None,
        contact: contact(photographed),
        alarm: None,
    };
    let taken: Vec<Photo> = if photographed { vec![photograph::taken()?] } else { Vec::new() };
    let photos = teller.state.album().keep(&taken).await?;
    let unit = Actor::UnitLink { unit: report.unit.clone() };
    teller.state.store().send_report(&unit, teller.days_ago(days_ago), report, &facts, &photos).await?;
    Ok(opens)
}

/// Who takes the trouble of a photograph wants the answer mailed.
fn contact(photographed: bool) -> Option<NewContact> {
    let address = MailAddress::parse("oda.fell@cove.example").ok().filter(|_| photographed)?;
    Some(NewContact { address, language: Language::English })
}

async fn ask(
    teller: &Teller<'_>,
    report: &Report,
    days_ago: i64,
    question: &str,
    said: Option<&str>,
) -> Result<(), Failure> {
    let (store, sent) = (teller.state.store(), teller.days_ago(days_ago));
    let id = store.ask(&teller.engineer, sent + Duration::hours(5), &report.report_ref, question).await?;
    if let Some(said) = said {
        let unit = Actor::UnitLink { unit: report.unit.clone() };
        store.answer_question(&unit, sent + Duration::hours(20), id, said).await?;
    }
    Ok(())
}

/// A report of the recurrence that is taken up: sorted as such and answered.
async fn answered_letter(teller: &Teller<'_>, r: &Recurrence) -> Result<Token, Failure> {
    let (field, store) = (&teller.picture.field, teller.state.store());
    let items = Holders::of_part(field, r.part).items(field);
    let item = items.first().copied().unwrap_or(r.part);
    let letter = Letter {
        from: 0,
        item: "",
        story: "",
        harm: Harm::None,
        when: FoundWhen::InUse,
        label: LotKnown::Read,
        days_ago: 19,
        photographed: true,
        question: None,
    };
    let (part_no, mode) = key(field, r);
    let name = part_name(field, r.part);
    let story = format!("Demo: the {name} has failed again: {}", field.modes[r.mode].name.to_lowercase());
    let report = Report { narrative: Some(story), ..report_of(teller, UNIT, item, &letter) };
    let opens = send(teller, &report, letter.days_ago, letter.photographed).await?;
    let sorting = Sorting {
        part_no: part_no.to_owned(),
        mode: mode.to_owned(),
        lot_no: None,
        relevant: true,
        relevant_reason: None,
        chargeable: true,
        chargeable_reason: None,
        cause: None,
    };
    store.sort_report(&teller.engineer, teller.days_ago(18), (&report.report_ref, None), &sorting).await?;
    let told = format!(
        "Demo: thank you. Others have reported the same of the {name}. Keep the item tagged and out of use; a change \
         is being drafted, and this page will say what becomes of it."
    );
    store.answer_report(&teller.engineer, teller.days_ago(10), (&report.report_ref, None), &told).await?;
    Ok(opens)
}
