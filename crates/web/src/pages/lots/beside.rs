//! What stands beside a lot's figures: its condition in stock, what bears on it, the case with its maker.

use domain::field::{Field, LotId};
use domain::handover::HandoverKind;
use domain::lot_condition::{LotCondition, Scope, standing};
use domain::maker_case::MakerCase;
use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::cases;
use crate::pages::hand_over::passed_on;
use crate::pages::interim::{Bearing, Interim};
use crate::state::AppState;

/// The sections.
#[derive(Serialize)]
pub(super) struct Beside {
    condition: String,
    restricted: bool,
    history: Vec<Entry>,
    set: Option<String>,
    bearing: Vec<Bearing>,
    instruct: Option<String>,
    cases: Vec<CaseRow>,
    open_case: Option<String>,
}

#[derive(Serialize)]
struct Entry {
    since: String,
    condition: &'static str,
    scope: String,
    authority: String,
    reason: String,
    by: String,
}

#[derive(Serialize)]
struct CaseRow {
    address: String,
    number: String,
    about: String,
    stands: String,
    late: bool,
}

/// How much of a lot, in words.
pub(super) fn scope_words(scope: &Scope) -> String {
    match scope {
        Scope::Whole => "the whole lot".to_owned(),
        Scope::Unit(unit) => format!("what {unit} holds"),
        Scope::Quantity(items) => format!("{} of it", format::counted(u64::from(*items), "item", "items")),
    }
}

/// What holds for a lot, in a few words; nothing where nobody set a condition.
pub(super) fn condition_words(entries: &[LotCondition]) -> Option<(String, bool)> {
    let holding = standing(entries);
    let restricted = holding.iter().any(|entry| entry.condition.restricts());
    let said: Vec<String> = holding
        .iter()
        .map(|entry| match &entry.scope {
            Scope::Whole => entry.condition.word().to_owned(),
            part => format!("{}: {}", scope_words(part), entry.condition.word()),
        })
        .collect();
    (!said.is_empty()).then(|| (said.join("; "), restricted))
}

impl Beside {
    /// Everything kept beside a lot.
    pub(super) async fn find(
        state: &AppState,
        actor: &Actor,
        field: &Field,
        id: LotId,
    ) -> Result<Self, AppError> {
        let (store, today, lot) = (state.store(), state.today(), &field.lots[id]);
        let maker = lot.maker.map(|maker| &field.makers[maker]);
        let mut kept = store.conditions_of_lot(&lot.lot_no, maker).await?;
        let keepers = store.keepers(HandoverKind::LotOnHold).await?;
        for entry in &mut kept {
            if let Some(keeper) = keepers.get(&format!("{} {}", lot.lot_no, entry.number)) {
                entry.by = passed_on(&entry.by, keeper);
            }
        }
        let interim = Interim::on(state, today).await?;
        let of_lot = |kept: &Kept<MakerCase>| {
            *kept.what.lot_no == *lot.lot_no && Some(kept.what.maker.as_str()) == maker
        };
        let mut found: Vec<_> = store.list_cases().await?;
        found.retain(of_lot);
        let judges = may(actor, &Act::JudgeLot).is_ok();
        let mut page = Self::new(&kept, interim.on_lot(field, id));
        page.cases = found.iter().map(|kept| case_row(kept, today)).collect();
        page.set = judges.then(|| address::of_lot(field, id, "condition"));
        let of = format!(
            "lot={}&maker={}",
            address::segment(&lot.lot_no),
            address::segment(maker.unwrap_or_default())
        );
        page.open_case = (judges && maker.is_some()).then(|| format!("/cases/new?{of}"));
        let part = address::segment(&field.part_names[field.part_of_lot(id)]);
        page.instruct =
            may(actor, &Act::Instruct).is_ok().then(|| format!("/instructions/new?part={part}&{of}"));
        Ok(page)
    }

    /// What the entries and the instructions say; nobody may alter it yet.
    pub(super) fn new(kept: &[Kept<LotCondition>], bearing: Vec<Bearing>) -> Self {
        let entries: Vec<LotCondition> = kept.iter().map(|kept| kept.what.clone()).collect();
        let said = condition_words(&entries);
        let (condition, restricted) = said.unwrap_or_else(|| ("No condition was set.".to_owned(), false));
        Self {
            condition: format::titled(&condition),
            restricted,
            history: kept.iter().rev().map(entry).collect(),
            set: None,
            bearing,
            instruct: None,
            cases: Vec::new(),
            open_case: None,
        }
    }

    /// What holds for the lot, in a few words; nothing where nobody set a condition.
    pub(super) fn state(&self) -> Option<String> {
        (!self.history.is_empty()).then(|| self.condition.clone())
    }

    /// Everything there can be, for samples.
    pub(super) fn sample() -> Self {
        let kept = Kept {
            number: "1".into(),
            what: LotCondition {
                lot_no: "TB-0418".into(),
                maker: None,
                condition: domain::lot_condition::StockCondition::OnHold,
                on: chrono::NaiveDate::from_ymd_opt(2026, 3, 3).unwrap_or_default(),
                authority: "Equipment engineer".into(),
                scope: Scope::Unit("COVE-2".into()),
                reason: "Three tubes pulled out.".into(),
            },
            by: "Oda Fell".into(),
            at: chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap_or_default(),
        };
        let case = |late| CaseRow {
            address: "/cases/M-2026-001".into(),
            number: "M-2026-001".into(),
            about: "Tube seams".into(),
            stands: "the reply is due 3 Mar 2026".into(),
            late,
        };
        Self {
            set: Some("/lots/TB-0418/condition".into()),
            instruct: Some("/instructions/new".into()),
            cases: vec![case(true), case(false)],
            open_case: Some("/cases/new".into()),
            ..Self::new(&[kept], Bearing::samples())
        }
    }
}

fn entry(kept: &Kept<LotCondition>) -> Entry {
    let what = &kept.what;
    Entry {
        since: format::date(what.on),
        condition: what.condition.word(),
        scope: scope_words(&what.scope),
        authority: what.authority.clone(),
        reason: what.reason.clone(),
        by: kept.by.clone(),
    }
}

fn case_row(kept: &Kept<MakerCase>, today: chrono::NaiveDate) -> CaseRow {
    let (stands, late) = cases::stands(&kept.what, today);
    CaseRow {
        address: cases::page_of(&kept.number),
        number: kept.number.clone(),
        about: kept.what.about.trim_end_matches('.').to_owned(),
        stands,
        late,
    }
}

#[cfg(test)]
mod tests {
    use domain::lot_condition::StockCondition as C;

    use super::*;

    #[test]
    fn what_holds_is_said_of_the_whole_lot_first_and_then_of_parts_of_it() {
        let entry = |condition, scope| LotCondition {
            lot_no: "TB-1".into(),
            maker: None,
            condition,
            on: chrono::NaiveDate::from_ymd_opt(2026, 3, 3).unwrap(),
            authority: "Equipment engineer".into(),
            scope,
            reason: "Tubes pulled out.".into(),
        };
        let entries = [entry(C::OnHold, Scope::Whole), entry(C::Released, Scope::Quantity(1))];
        assert_eq!(condition_words(&entries), Some(("on hold; 1 item of it: released".to_owned(), true)));
        assert_eq!(condition_words(&entries[1..]), Some(("1 item of it: released".to_owned(), false)));
        assert_eq!(condition_words(&[]), None);
    }
}
