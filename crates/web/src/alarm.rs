//! What engineers on call are mailed at once when a report of danger arrives.

use chrono::{DateTime, Utc};
use domain::danger;
use domain::report::Report;
use serde::Serialize;
use store::MailWords;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::state::AppState;

/// What the mail says. It leaves out what the unit wrote: who is on call reads that where it is kept.
#[derive(Serialize)]
struct Words {
    subject: String,
    report_ref: String,
    unit: String,
    item: String,
    why: String,
    category: &'static str,
    allows: &'static str,
    due: String,
    source: &'static str,
    address: String,
    /// Where one is no more on call.
    own: String,
}

/// What kind of part is said to have failed, from the books: a report never waits for the picture of the field.
///
/// # Errors
/// A failure of the store.
pub(crate) async fn failed_kind(state: &AppState, report: &Report) -> Result<Option<String>, AppError> {
    let Some(part_no) = &report.part_no else { return Ok(None) };
    Ok(state.store().revisions_of(part_no).await?.pop().map(|revision| revision.kind))
}

/// The alarm of a report that arrives now, where it is one of danger.
///
/// # Errors
/// A failure of the store, or a template that asks for what isn't there.
pub(crate) async fn of(state: &AppState, report: &Report) -> Result<Option<MailWords>, AppError> {
    of_arrived(state, report, state.now()).await
}

/// The same of a report that arrived at another moment, from which its clock runs.
///
/// # Errors
/// As [`of`].
pub(crate) async fn of_arrived(
    state: &AppState,
    report: &Report,
    arrived: DateTime<Utc>,
) -> Result<Option<MailWords>, AppError> {
    let kind = failed_kind(state, report).await?;
    let Some(danger) = danger::of(report, kind.as_deref(), Some(arrived)) else { return Ok(None) };
    let why = format::titled(danger.why.word());
    let due = format::moment(danger.due);
    let words = Words {
        subject: format!("{why}: report {} from {}, look at it by {due}", report.report_ref, report.unit),
        report_ref: report.report_ref.clone(),
        unit: report.unit.clone(),
        item: report.item_part_no.clone(),
        why,
        category: danger.category.word(),
        allows: danger.category.allows(),
        due,
        source: danger::SOURCE,
        address: format!("{}/sorting/{}", state.base_url(), address::segment(&report.report_ref)),
        own: format!("{}/on-call", state.base_url()),
    };
    let (text, html) = state.templates().mail("alarm", &words)?;
    Ok(Some(MailWords { subject: words.subject, text, html }))
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use crate::testing::books::{bring_in, link, send, signed_in, three_answers};
    use crate::testing::{get, post, service, state, text};

    #[tokio::test]
    async fn who_is_on_call_is_told_of_danger_at_once_and_reads_until_when() {
        let state = state().await;
        bring_in(&state).await;
        let service = service(&state);
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let wrong = post(&service, "/on-call", &fell, "address=fell").await;
        assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let set = post(&service, "/on-call", &fell, "address=fell%40rescue.example").await;
        assert_eq!(set.status(), StatusCode::SEE_OTHER);
        assert!(text(get(&service, "/on-call", &fell).await).await.contains("On call now: FELL."));

        let form = format!("/report/{}", link(&state, "COVE-2").await);
        send(&service, &form, "", &three_answers('a'), &[]).await;
        assert!(state.store().take_mail(state.now(), 9).await.expect("taken").is_empty(), "nobody in danger");
        let mut release = three_answers('b');
        release.push(("part", "RC-140".to_owned()));
        let mut near = three_answers('c');
        near.retain(|(name, _)| *name != "harm");
        near.push(("harm", "near_miss".to_owned()));
        for answers in [release, near] {
            assert_eq!(send(&service, &form, "", &answers, &[]).await.status(), StatusCode::SEE_OTHER);
        }
        let mails = state.store().take_mail(state.now(), 9).await.expect("taken");
        let subjects: Vec<&str> = mails.iter().map(|one| one.mail.subject.as_str()).collect();
        assert!(
            subjects[0].starts_with("Failed release: ") && subjects[1].starts_with("Near miss: "),
            "{subjects:?}"
        );
        assert!(
            subjects.iter().all(|said| said.ends_with("look at it by 4 Mar 2026, 12:00 UTC")),
            "{subjects:?}"
        );
        assert_eq!((mails.len(), mails[0].mail.to.as_str()), (2, "fell@rescue.example"));
        assert!(!mails[0].mail.text.contains("zipper"), "what the unit wrote stays where it is kept");

        for page in ["/", "/sorting"] {
            let page = text(get(&service, page, &fell).await).await;
            assert!(page.contains("Look at it by 4 Mar 2026, 12:00 UTC, within 24 hours"), "{page}");
        }
        let waiting = state.store().waiting_reports(store::Page::first(9)).await.expect("read");
        let near = &waiting[0].report.report_ref;
        let sheet = text(get(&service, &format!("/reports/{near}"), &fell).await).await;
        assert!(sheet.contains(&format!("/instructions/new?report&#x3D;{near}")), "{sheet}");
        let order = text(get(&service, &format!("/instructions/new?report={near}"), &fell).await).await;
        assert!(
            order.contains(r#"value="RC-100""#) && order.contains("Take every item of this out of use"),
            "{order}"
        );
        let stop = order.split("stop use").nth(1).unwrap_or_default();
        assert!(stop[..80].contains("checked"), "{order}");
    }
}
