//! What is shown against a lot before its maker is told that it is suspect: failures that stand out, specimens, cases.

use domain::bench_test::{BenchTest, SpecimenSource, TestOutcome};
use domain::field::LotId;
use domain::maker_case::{CaseResult, MakerCase};
use store::Kept;

use super::on_lot::on_lot;
use crate::error::AppError;
use crate::format;
use crate::picture::Picture;
use crate::state::AppState;

/// What is shown against a lot: without any of it nobody is called suspect.
pub(super) async fn against(
    state: &AppState,
    picture: &Picture,
    lot: LotId,
) -> Result<Vec<String>, AppError> {
    let mut cases = state.store().list_cases().await?;
    let (field, facts) = (&picture.field, &picture.field.lots[lot]);
    let maker = facts.maker.map(|maker| &field.makers[maker]);
    cases.retain(|kept| *kept.what.lot_no == *facts.lot_no && Some(kept.what.maker.as_str()) == maker);
    Ok(grounds(picture, lot, &cases))
}

/// Failures that stand out on it, specimens that failed below their limit, and cases that did not clear it.
pub(super) fn grounds(picture: &Picture, lot: LotId, cases: &[Kept<MakerCase>]) -> Vec<String> {
    let field = &picture.field;
    let mut found: Vec<String> = on_lot(field, &picture.analysis, lot)
        .iter()
        .filter(|line| line.stands_out)
        .map(|line| {
            let mode = field.modes[line.recurrence.mode].name.to_lowercase();
            format!("{mode} stands out on it against the other lots of its kind, {}", line.words)
        })
        .collect();
    // A worn specimen below a limit tells of its wear as well, and accuses nobody by itself.
    let below = |test: &BenchTest| {
        let is_worn = test.specimen_source == Some(SpecimenSource::Returned);
        !is_worn && test.outcome == TestOutcome::Failed && test.limit.is_some_and(|limit| test.value < limit)
    };
    let below = field.bench_tests.iter().filter(|bench| bench.lot == Some(lot) && below(&bench.test)).count();
    if below > 0 {
        let specimens = format::counted(below as u64, "specimen", "specimens");
        found.push(format!("{specimens} of it failed on the bench below the limit"));
    }
    found.extend(cases.iter().filter_map(|kept| match (kept.what.result, &kept.what.settlement) {
        (Some(CaseResult::Nonconforming), _) => Some(format!("case {} found it nonconforming", kept.number)),
        (None | Some(CaseResult::Undecided), None) => Some(format!("case {} about it is open", kept.number)),
        _ => None,
    }));
    found
}

/// What the notice will say, for whoever lets it leave.
pub(super) fn what_it_says(against: &[String]) -> String {
    if against.is_empty() {
        return "Nothing is shown against this lot: no failure stands out on it, no specimen of it failed below its \
                limit (worn ones left aside), and no case speaks against it. The notice asks its maker for information and doesn't call the \
                lot suspect."
            .to_owned();
    }
    format!("It calls the lot suspected nonconforming: {}.", against.join("; "))
}
