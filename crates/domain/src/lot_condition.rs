//! The condition of a lot in stock: dated, with the authority that set it and how much of the lot it is about.

use chrono::NaiveDate;

use crate::civil_day::is_to_come;
use crate::words::{Problem, words};

words! {
    /// What may be done with what lies in stock.
    pub enum StockCondition {
        /// Nothing is known against it.
        Free = "free",
        /// Each item is looked at before it is issued.
        InspectFirst = "inspect before issue",
        /// Nothing is issued until somebody decides.
        OnHold = "on hold",
        /// Nothing is issued any more.
        Rejected = "rejected",
        /// Free again after a hold or a rejection.
        Released = "released",
    }
}

impl StockCondition {
    /// Whether something stands against issuing it freely.
    pub const fn restricts(self) -> bool {
        matches!(self, Self::InspectFirst | Self::OnHold | Self::Rejected)
    }
}

/// How much of a lot a condition is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    /// All of it.
    Whole,
    /// What one unit holds.
    Unit(String),
    /// So many items.
    Quantity(u32),
}

/// One entry of a lot's history of conditions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotCondition {
    /// The lot's number.
    pub lot_no: String,
    /// Its maker, where several have the number.
    pub maker: Option<String>,
    /// The condition.
    pub condition: StockCondition,
    /// Since when.
    pub on: NaiveDate,
    /// Who set it.
    pub authority: String,
    /// How much of the lot.
    pub scope: Scope,
    /// Why.
    pub reason: String,
}

impl LotCondition {
    /// Refuses an entry of a day still to come, and one without authority, reason or items.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self, today: NaiveDate) -> Result<(), Problem> {
        if is_to_come(self.on, today) {
            return Err(Problem::new("on", "expected a day that is not still to come"));
        }
        if self.authority.trim().is_empty() {
            return Err(Problem::new("authority", "expected who set it"));
        }
        if self.reason.trim().is_empty() {
            return Err(Problem::new("reason", "expected why"));
        }
        match &self.scope {
            Scope::Unit(unit) if unit.trim().is_empty() => {
                Err(Problem::new("unit", "expected the code of the unit"))
            }
            Scope::Quantity(0) => Err(Problem::new("quantity", "expected one item or more")),
            _ => Ok(()),
        }
    }

    /// Refuses a release of what nothing stood against, and an entry dated before the one it follows.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check_after(&self, earlier: &[Self]) -> Result<(), Problem> {
        let before = latest(earlier, &self.scope);
        if before.is_some_and(|before| self.on < before.on) {
            return Err(Problem::new("on", "expected a day not before that of the condition it follows"));
        }
        let held = before.is_some_and(|before| before.condition.restricts());
        if self.condition == StockCondition::Released && !held {
            return Err(Problem::new("condition", "nothing is held that could be released: write free"));
        }
        Ok(())
    }
}

/// The entry that holds for a scope, among those of one lot in the order they were made; an entry about the whole lot
/// holds for each part of it that it came after.
fn latest<'a>(entries: &'a [LotCondition], scope: &Scope) -> Option<&'a LotCondition> {
    entries.iter().rev().find(|entry| entry.scope == *scope || entry.scope == Scope::Whole)
}

/// What holds for a lot today: the entry about the whole lot, if any, and those about parts of it made since.
pub fn standing(entries: &[LotCondition]) -> Vec<&LotCondition> {
    let start = entries.iter().rposition(|entry| entry.scope == Scope::Whole).unwrap_or(0);
    let mut holding: Vec<&LotCondition> = Vec::new();
    for entry in &entries[start..] {
        holding.retain(|known| known.scope != entry.scope);
        holding.push(entry);
    }
    holding
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("a day")
    }

    fn entry(condition: StockCondition, on: u32, scope: Scope) -> LotCondition {
        LotCondition {
            lot_no: "TB-0418".into(),
            maker: None,
            condition,
            on: day(on),
            authority: "Equipment engineer".into(),
            scope,
            reason: "Three tubes pulled out.".into(),
        }
    }

    #[test]
    fn an_entry_about_the_whole_lot_replaces_what_was_said_of_parts_of_it() {
        use StockCondition as C;
        let unit = || Scope::Unit("COVE-2".into());
        let history = [
            entry(C::OnHold, 3, unit()),
            entry(C::OnHold, 4, Scope::Whole),
            entry(C::InspectFirst, 5, unit()),
            entry(C::Released, 6, unit()),
        ];
        let words: Vec<&str> = standing(&history).iter().map(|entry| entry.condition.word()).collect();
        assert_eq!(words, ["on hold", "released"]);
        assert_eq!(standing(&history[..2]).len(), 1);
        assert!(standing(&[]).is_empty());
    }

    #[test]
    fn only_what_is_held_is_released_and_never_before_it_was_held() {
        use StockCondition as C;
        let released = entry(C::Released, 5, Scope::Whole);
        assert_eq!(released.check_after(&[]).expect_err("nothing held").field, "condition");
        assert_eq!(released.check_after(&[entry(C::Rejected, 4, Scope::Whole)]), Ok(()));
        assert_eq!(
            released.check_after(&[entry(C::OnHold, 6, Scope::Whole)]).expect_err("earlier").field,
            "on"
        );
    }

    #[test]
    fn who_set_it_and_why_are_never_left_out() {
        let bare =
            LotCondition { authority: String::new(), ..entry(StockCondition::OnHold, 3, Scope::Whole) };
        assert_eq!(bare.check(day(4)).expect_err("nobody").field, "authority");
        assert_eq!(
            entry(StockCondition::OnHold, 5, Scope::Whole).check(day(3)).expect_err("to come").field,
            "on"
        );
    }
}
