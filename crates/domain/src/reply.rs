//! A unit's reply to an instruction: how many it holds, how many it looked at, and what it found.

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;

use crate::concerned::Concerned;
use crate::field::{Field, LotId, PartId, Stock, UnitId};
use crate::inspection::Inspection;
use crate::instruction::{Holds, Instruction};
use crate::ledger::{Held, Ledger};
use crate::words::{Problem, words};

/// Counts of one lot at one unit, or of what it holds beside known lots. Zero is an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reply {
    /// The number of the instruction.
    pub instruction_no: String,
    /// Who replies.
    pub unit: String,
    /// The lot; what the unit holds of no known lot when `None`, which is everything where no lot of it is known.
    pub lot_no: Option<String>,
    /// The day.
    pub replied_on: NaiveDate,
    /// Items the unit holds.
    pub held: u32,
    /// Of these, looked at.
    pub checked: u32,
    /// Of those looked at, showing what was looked for.
    pub found: u32,
    /// Of those held, not to be found.
    pub not_located: u32,
    /// Of those looked at, turned in.
    pub turned_in: u32,
}

impl Reply {
    /// Refuses counts that don't add up.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self) -> Result<(), Problem> {
        let accounted = u64::from(self.checked) + u64::from(self.not_located);
        if accounted != u64::from(self.held) {
            let why = format!(
                "{} held, but {} checked and {} not located come to {accounted}",
                self.held, self.checked, self.not_located
            );
            return Err(Problem::new("held", why));
        }
        for (field, count) in [("found", self.found), ("turned_in", self.turned_in)] {
            if count > self.checked {
                return Err(Problem::new(field, format!("more than the {} checked", self.checked)));
            }
        }
        Ok(())
    }

    /// The inspection that the reply is, where something was looked at for a part's mode.
    pub fn inspection(&self, part_no: &str, mode: &str) -> Option<Inspection> {
        (self.checked > 0).then(|| Inspection {
            inspected_on: self.replied_on,
            unit: self.unit.clone(),
            lot_no: self.lot_no.clone(),
            part_no: part_no.to_owned(),
            mode: mode.to_owned(),
            inspected: self.checked,
            found: self.found,
            notice_no: Some(self.instruction_no.clone()),
        })
    }
}

/// What an instruction asks one unit about, by the books.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// Items of each known lot.
    pub lots: BTreeMap<LotId, u64>,
    /// Items of no known lot, by what they are: no label can be ruled out.
    pub unknown: BTreeMap<PartId, u64>,
    /// Items of no known lot that were given a part it bears on, by what they are: it is about them whatever their label says.
    pub given: BTreeMap<PartId, u64>,
}

impl Asked {
    /// All items.
    pub fn items(&self) -> u64 {
        self.lots.values().sum::<u64>() + self.of_no_lot()
    }

    /// Items of no known lot.
    pub fn of_no_lot(&self) -> u64 {
        self.unknown.values().chain(self.given.values()).sum()
    }
}

/// Whom an instruction asks about which of the items held: every unit that holds items it bears on, by their lot or by a
/// part they were given, and items of no known lot that it may bear on, in use or in store.
pub fn asked<'a>(
    field: &Field,
    ledger: &Ledger,
    held: impl IntoIterator<Item = &'a Held>,
    concerned: &Concerned,
) -> BTreeMap<UnitId, Asked> {
    let given = concerned.given(field, ledger);
    let (mut bears, mut may_bear) = (HashMap::new(), HashMap::new());
    let mut asked: BTreeMap<UnitId, Asked> = BTreeMap::new();
    for held in held.into_iter().filter(|held| held.quantity > 0) {
        let Some(unit) = held.unit else { continue };
        let is_given = given.binary_search(&held.clocks).is_ok();
        let quantity = u64::from(held.quantity);
        match held.stock {
            Stock::Lot(lot)
                if is_given || *bears.entry(lot).or_insert_with(|| concerned.bears_on(field, lot)) =>
            {
                *asked.entry(unit).or_default().lots.entry(lot).or_default() += quantity;
            }
            Stock::Unknown(item, _) if is_given => {
                *asked.entry(unit).or_default().given.entry(item).or_default() += quantity;
            }
            Stock::Unknown(item, _)
                if *may_bear.entry(item).or_insert_with(|| concerned.may_bear_on(field, item)) =>
            {
                *asked.entry(unit).or_default().unknown.entry(item).or_default() += quantity;
            }
            Stock::Lot(_) | Stock::Unknown(..) => {}
        }
    }
    asked
}

words! {
    /// How an instruction stands with a unit it is addressed to.
    pub enum Standing {
        /// Nobody there has said that it came.
        NotReceived = "not received",
        /// It came, and there is no reply yet.
        Received = "received",
        /// Every lot that it is asked about is answered.
        Complied = "complied",
        /// Its last day is past without a whole reply.
        Overdue = "overdue",
    }
}

/// Whether replies of a unit answer for each lot that it is asked about and, where it is asked about items of no known lot,
/// for those.
pub fn is_whole(lots: &[&str], of_no_lot: bool, replies: &[&Reply]) -> bool {
    let answered = |lot: Option<&str>| replies.iter().any(|reply| reply.lot_no.as_deref() == lot);
    let all = lots.iter().all(|lot| answered(Some(lot))) && (!of_no_lot || answered(None));
    !replies.is_empty() && all
}

/// How an instruction stands with a unit: whether receipt was said, and whether all that it asks the unit about, lots and
/// items of no known lot, has a reply. A unit whose books show nothing of it complies with any reply.
pub fn standing(
    instruction: &Instruction,
    received: bool,
    (lots, of_no_lot): (&[&str], bool),
    replies: &[&Reply],
    today: NaiveDate,
) -> Standing {
    if is_whole(lots, of_no_lot, replies) {
        Standing::Complied
    } else if instruction.holds(today) == Holds::Ended {
        Standing::Overdue
    } else if received || !replies.is_empty() {
        Standing::Received
    } else {
        Standing::NotReceived
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instruction::InstructionKind;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("a day")
    }

    fn reply() -> Reply {
        Reply {
            instruction_no: "I-2026-001".into(),
            unit: "COVE-2".into(),
            lot_no: Some("TB-0418".into()),
            replied_on: day(9),
            held: 14,
            checked: 12,
            found: 2,
            not_located: 2,
            turned_in: 2,
        }
    }

    #[test]
    fn what_is_held_is_checked_or_not_located() {
        assert_eq!(reply().check(), Ok(()));
        let off = Reply { checked: 11, ..reply() };
        assert_eq!(
            off.check().expect_err("one is missing").to_string(),
            "held: 14 held, but 11 checked and 2 not located come to 13"
        );
        assert_eq!(Reply { found: 13, ..reply() }.check().expect_err("too many").field, "found");
        let none = Reply { held: 0, checked: 0, found: 0, not_located: 0, turned_in: 0, ..reply() };
        assert_eq!(none.check(), Ok(()), "zero is an answer");
        assert_eq!(none.inspection("RC-131", "ZIP-1"), None, "and no inspection");
    }

    #[test]
    fn a_reply_is_an_inspection_with_its_denominator() {
        let inspection = reply().inspection("RC-131", "ZIP-1").expect("something was looked at");
        assert_eq!((inspection.inspected, inspection.found), (12, 2));
        assert_eq!(inspection.notice_no.as_deref(), Some("I-2026-001"));
    }

    #[test]
    fn a_unit_has_complied_once_every_lot_is_answered() {
        let instruction = Instruction {
            kind: InstructionKind::Inspect,
            concerned: Concerned { part_no: "RC-100".into(), maker: None, lots: vec!["TAPE-7".into()] },
            from: day(3),
            to: Some(day(20)),
            words: "Look at the seam.".into(),
            authority: "Equipment engineer".into(),
            change_no: None,
            recurrence: None,
            withdrawn: None,
        };
        let of = |lot: &str| Reply { lot_no: Some(lot.into()), ..reply() };
        let (first, second) = (of("A"), of("B"));
        let stands = |received, replies: &[&Reply], on| {
            standing(&instruction, received, (&["A", "B"], false), replies, day(on))
        };
        assert_eq!(stands(false, &[], 9), Standing::NotReceived);
        assert_eq!(stands(true, &[], 9), Standing::Received);
        assert_eq!(stands(false, &[&first], 9), Standing::Received);
        assert_eq!(stands(true, &[&first], 22), Standing::Overdue);
        assert_eq!(stands(true, &[&first, &second], 21), Standing::Complied);
        assert_eq!(standing(&instruction, false, (&[], false), &[&first], day(9)), Standing::Complied);
        assert_eq!(standing(&instruction, false, (&[], false), &[], day(9)), Standing::NotReceived);
        let of_no_lot = Reply { lot_no: None, ..reply() };
        let with_unknown = |replies: &[&Reply]| standing(&instruction, true, (&["A"], true), replies, day(9));
        assert_eq!(with_unknown(&[&first]), Standing::Received, "nobody looked at the items without a label");
        assert_eq!(with_unknown(&[&first, &of_no_lot]), Standing::Complied);
    }
}
