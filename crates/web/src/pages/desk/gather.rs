//! Gathers what belongs on the desk of one reader; each noun is asked only where the reader may see it.

use domain::permission::{Act, Actor, may};
use store::{JournalFilter, Page};

use super::{Gathered, actions, changes, exhibits, house, recurrences, reports, risks};
use crate::error::AppError;
use crate::pages::recurrences::standings;
use crate::pages::status::line::lines;
use crate::pages::units::orders::{orders_of, unreplied};
use crate::state::AppState;
use crate::tongue::Tongue;

/// Reports of the queue that are looked through for harm; the queue has them first.
const QUEUE: u64 = 50;
/// Own reports on a unit's desk.
const OWN: u64 = 30;
/// Lines of the journal that are looked through for more than signing in.
const JOURNAL: u64 = 60;

/// What waits, and what is looked at besides.
pub(super) async fn gather(state: &AppState, actor: &Actor) -> Result<Gathered, AppError> {
    let (store, allowed) = (state.store(), |act: &Act<'_>| may(actor, act).is_ok());
    let Gathered { mut orders, risks: mut open, mut waiting, mut lists } = Gathered::default();
    if let Actor::Person { unit: Some(unit), .. } = actor
        && allowed(&Act::AnswerQuestion { unit })
    {
        let told = orders_of(state, Tongue::ENGLISH, (unit, "/unit")).await?;
        orders.extend(unreplied(state, unit, told).await?);
        waiting.extend(reports::to_answer(&store.open_questions_of(unit).await?));
        lists.push(reports::own(unit, &store.reports_of_unit(unit, Page::first(OWN)).await?));
    }
    if allowed(&Act::Sort) {
        let queue = store.waiting_reports(Page::first(QUEUE)).await?;
        waiting.extend(reports::to_sort(&queue, store.count_waiting_reports().await?, state.now()));
        waiting.extend(reports::to_read(&store.reports_with_answer_to_read().await?));
        let oldest = store.waiting_mailed(Page::first(1)).await?.pop();
        waiting.extend(reports::mailed(oldest.as_ref(), store.count_waiting_mailed().await?));
    }
    if allowed(&Act::KeepExhibits) {
        waiting.extend(exhibits::waiting(store.list_exhibits().await?, state.today()));
    }
    if allowed(&Act::ReadChanges) && !allowed(&Act::ManagePeople) {
        let picture = state.picture().await?;
        let (field, analysis) = (&picture.field, &*picture.analysis);
        lists.extend(house::left_out(&field.left_out));
        let (records, kept) = (store.list_change_records().await?, store.list_recurrences().await?);
        let kept = standings(field, analysis, kept);
        waiting.extend(changes::waiting(actor, &picture, &lines((field, analysis), &records, &kept)));
        if allowed(&Act::DecideSeverity) {
            let signals = store.open_signals().await?;
            waiting.extend(recurrences::waiting(field, analysis, &kept, &signals));
            open = risks::open(field, analysis, &kept);
        }
    }
    if let Actor::Person { id, .. } = actor
        && allowed(&Act::FinishAction { owner: Some(*id) })
    {
        waiting.extend(actions::waiting(*id, &store.list_actions(None).await?, state.today()));
    }
    if allowed(&Act::ManagePeople) {
        lists.push(house::people(&store.list_users().await?));
    }
    if allowed(&Act::Import) {
        lists.push(house::imports(store.list_imports().await?));
    }
    if allowed(&Act::ManagePeople) && allowed(&Act::ReadJournal) {
        let latest = store.journal(&JournalFilter::default(), Page::first(JOURNAL)).await?;
        lists.push(house::journal(&latest));
    }
    Ok(Gathered { orders, risks: open, waiting, lists })
}
