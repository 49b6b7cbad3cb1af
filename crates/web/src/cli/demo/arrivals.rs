//! What came in otherwise in the demo: a list of failures, two failed items that were taken in, and a mail that waits.

use domain::analysis::Recurrence;
use domain::exhibit::{Exhibit, Stay, hold_from};
use domain::permission::Actor;
use domain::receipt::ReceiptCode;
use store::{NewMailed, NewUpload, NewUploadRow, Page};

use super::story::{Teller, key};
use super::{Failure, UNIT};
use crate::pages::report::answers::Answers;
use crate::secrets::digest_hex;
use crate::tongue::Tongue;

/// Rows of the unit's list.
const ROWS: [&str; 3] = [
    "Demo text: from the spring list, stitching of the shoulder strap frayed",
    "Demo text: from the spring list, hook-and-loop closure lets go when wet",
    "Demo text: from the spring list, slide fastener runs hard with sand in it",
];

/// Tells it; exhibits are of the worst recurrence.
pub(super) async fn tell(teller: &Teller<'_>, worst: Option<&Recurrence>) -> Result<(), Failure> {
    list(teller).await?;
    if let Some(worst) = worst {
        exhibits(teller, worst).await?;
    }
    mail(teller).await
}

async fn list(teller: &Teller<'_>) -> Result<(), Failure> {
    let (state, store) = (teller.state, teller.state.store());
    let (Some(keeper), Some(item)) =
        (store.find_user_named("tarn").await?, store.list_items().await?.into_iter().next())
    else {
        return Ok(());
    };
    let sent = teller.days_ago(6);
    let upload = NewUpload {
        key: digest_hex(b"demo list"),
        sender: format!("unit {UNIT}"),
        sha256: digest_hex(ROWS.join("\n").as_bytes()),
        file_name: "demo spring list.xlsx".to_owned(),
        refused: 1,
    };
    let mut rows = Vec::new();
    for (line, story) in (2..).zip(ROWS) {
        let answers = Answers {
            story: story.to_owned(),
            item: item.part_no.clone(),
            harm: "none".to_owned(),
            ..Answers::default()
        };
        let report = answers.report(Tongue::ENGLISH, "", UNIT, sent.date_naive());
        rows.push(NewUploadRow {
            line,
            report: report.map_err(|_| "the demo's own list can't be read")?,
            client_key: state.secrets().token().digest(),
            secret_hash: state.secrets().token().digest(),
            altered_by: None,
        });
    }
    let mut draw = || ReceiptCode::draw(&mut || state.secrets().bits()).to_string();
    store.send_upload(&keeper.actor(), sent, (&upload, rows), &mut draw).await?;
    Ok(())
}

async fn exhibits(teller: &Teller<'_>, worst: &Recurrence) -> Result<(), Failure> {
    let store = teller.state.store();
    let (part, mode) = key(&teller.picture.field, worst);
    let reports = store.reports_of_recurrence(part, mode, Page::first(100)).await?;
    // The first was taken in before the books came, and its hold has ended meanwhile.
    for (days_ago, place) in [(70, "Demo: base store, shelf 4"), (9, "Demo: base store, shelf 5")] {
        let received_on = teller.days_ago(days_ago).date_naive();
        let Some(line) = reports.iter().find(|line| line.report.found_on < received_on) else { continue };
        let exhibit = Exhibit {
            report_ref: line.report.report_ref.clone(),
            what: format!("Demo: the part {part} with the cloth around it"),
            received_on,
            hold_until: hold_from(received_on),
            places: vec![Stay { place: place.to_owned(), since: received_on }],
            released: None,
        };
        let number = store.add_exhibit(&teller.engineer, teller.days_ago(9), &exhibit).await?;
        let bench = Stay { place: "Demo: workshop bench".to_owned(), since: teller.days_ago(5).date_naive() };
        if days_ago == 9 {
            store.move_exhibit(&teller.engineer, teller.days_ago(5), &number, &bench).await?;
        }
    }
    Ok(())
}

async fn mail(teller: &Teller<'_>) -> Result<(), Failure> {
    let mail = NewMailed {
        key: digest_hex(b"demo mail"),
        sender: "crew@ridge.example".to_owned(),
        subject: "Demo: buckle cracked".to_owned(),
        story: "Demo: buckle cracked\nDemo text: the side buckle cracked in the cold, nobody was hurt."
            .to_owned(),
        unit: None,
        photos: Vec::new(),
    };
    teller.state.store().add_mailed(&Actor::Program, teller.days_ago(2), &mail).await?;
    Ok(())
}
