//! The demo's story on a small invented service: what waits, what is answered, what is before the board; told once.

use domain::change::ChangeState;
use domain::class::Criterion;
use domain::exhibit::Standing;
use domain::handling::ReportState;
use domain::recurrence::RecurrenceState;
use domain::report::Harm;
use store::Page;

use super::{books, people_with_links, story, unit_link};
use crate::simulate::Request;
use crate::state::AppState;

async fn told() -> AppState {
    let state = crate::testing::state().await;
    let request = Request { items: 600, years: 3.0, end_date: state.today(), ..Request::default() };
    books(&state, &request, state.now()).await.unwrap();
    unit_link(&state).await.unwrap();
    people_with_links(&state).await.unwrap();
    assert!(story::tell(&state).await.unwrap().is_some());
    state
}

#[tokio::test]
async fn each_page_has_something_to_show() {
    let state = told().await;
    let store = state.store();
    let waiting = store.waiting_reports(Page::first(50)).await.unwrap();
    assert_eq!(waiting[0].report.harm, Some(Harm::NearMiss));
    let told =
        |line: &&store::ReportLine| line.report.narrative.as_deref().is_some_and(|s| s.starts_with("Demo"));
    assert_eq!(waiting.iter().filter(told).count(), 9, "six by the form and three of a list");
    assert_eq!(waiting.iter().filter(|line| line.state == ReportState::Asked).count(), 1);
    let own = store.reports_of_unit("COVE-2", Page::first(100)).await.unwrap();
    assert_eq!(own.iter().filter(|line| line.state == ReportState::Answered).count(), 1);

    let list = store.list_uploads(Some("unit COVE-2"), Page::first(9)).await.unwrap().remove(0);
    assert_eq!((list.reports, list.taken_back), (3, None));
    let exhibits = store.list_exhibits().await.unwrap();
    let stand =
        |standing| exhibits.iter().filter(|kept| kept.what.standing(state.today()) == standing).count();
    assert_eq!((stand(Standing::Overdue), stand(Standing::Held)), (1, 1));
    assert_eq!(store.count_waiting_mailed().await.unwrap(), 1);

    let recurrences = store.list_recurrences().await.unwrap();
    assert_eq!(recurrences.len(), 1);
    assert_eq!(recurrences[0].state, RecurrenceState::TakenUp);
    assert!(
        recurrences[0].judgement.is_some()
            && recurrences[0].cause.is_some()
            && recurrences[0].next_step.is_some()
    );

    let records = store.list_change_records().await.unwrap();
    let of = |state| records.iter().filter(move |r| r.change.state == Some(state) && r.body.is_some());
    let submitted = of(ChangeState::Submitted).next().unwrap();
    let body = submitted.body.as_ref().unwrap();
    assert!(body.prediction.is_some() && body.retrofit.is_some() && body.priority.is_some());
    assert!(!body.description.is_empty() && submitted.criteria.len() == Criterion::ALL.len());
    assert!(!submitted.effectivity.is_empty());
    let meetings = store.list_meetings().await.unwrap();
    let docket = store.find_docket(meetings[0].id).await.unwrap().unwrap();
    assert_eq!((docket.lines.len(), docket.lines[0].advice.len()), (1, 1));
    assert_eq!(of(ChangeState::Draft).filter(|r| r.body.as_ref().unwrap().prediction.is_none()).count(), 1);
}

#[tokio::test]
async fn a_demo_that_is_started_again_repeats_nothing() {
    let state = told().await;
    let counts = async || {
        let store = state.store();
        let reports = store.count_waiting_reports().await.unwrap();
        (reports, store.list_change_records().await.unwrap().len(), store.list_lots().await.unwrap().len())
    };
    let before = counts().await;
    let other = Request { seed: 2, items: 600, years: 3.0, ..Request::default() };
    books(&state, &other, state.now()).await.unwrap();
    assert!(story::tell(&state).await.unwrap().is_none());
    assert_eq!(counts().await, before);
    assert!(state.store().find_setting("demo story").await.unwrap().is_some());
}
