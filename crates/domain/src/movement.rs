//! A movement: a dated line of the ledger.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table, not_future};
use crate::words::{Problem, words};

words! {
    /// What happened to the quantity.
    pub enum MovementKind {
        /// What a unit held when records begin.
        Opening = "opening",
        /// New stock arrives from a maker.
        Receive = "receive",
        /// Items go into service at a unit.
        Issue = "issue",
        /// Items come back out of service.
        Return = "return",
        /// Items go from one unit to another.
        Transfer = "transfer",
        /// Items are lost.
        Loss = "loss",
        /// Items leave service for good.
        Retire = "retire",
        /// Items become another lot (a retrofit).
        Convert = "convert",
        /// Somebody counted; restates what is there.
        Count = "count",
        /// Items turn up.
        Found = "found",
    }
}

words! {
    /// Whether an issued item was new.
    pub enum Condition {
        /// New stock.
        New = "new",
        /// Taken from what was returned; keeps its age.
        Used = "used",
    }
}

words! {
    /// Why an item was returned.
    pub enum ReturnReason {
        /// Wrong size.
        SizeExchange = "size_exchange",
        /// Its wearer left.
        Left = "left",
        /// Worn out.
        Worn = "worn",
        /// Damaged.
        Damaged = "damaged",
        /// Called back.
        Recall = "recall",
        /// For repair.
        Repair = "repair",
    }
}

/// One line of the ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct Movement {
    /// The day it happened.
    pub moved_on: NaiveDate,
    /// What happened.
    pub kind: MovementKind,
    /// The lot; `None` where not known, and then part and size say what moved.
    pub lot_no: Option<String>,
    /// The item, where the lot is not known; beside a lot that of the lot.
    pub part_no: Option<String>,
    /// The size, where the lot is not known.
    pub size: Option<String>,
    /// The unit that holds (before a transfer or return), receives or counts.
    pub unit: String,
    /// How many; a count may be zero.
    pub quantity: u32,
    /// The receiving unit of a transfer.
    pub to_unit: Option<String>,
    /// The lot that items become in a conversion.
    pub to_lot_no: Option<String>,
    /// New or used, on issue; new while new stock lasts when `None`.
    pub condition: Option<Condition>,
    /// Why, on return.
    pub reason: Option<ReturnReason>,
    /// The sender's key of this row; makes sending twice harmless.
    pub row_ref: Option<String>,
}

impl Movement {
    /// Refuses rows whose fields do not fit their kind.
    pub fn check(&self) -> Result<(), Problem> {
        use MovementKind as K;
        if self.lot_no.is_none() && self.part_no.is_none() {
            return Err(Problem::new("lot_no", "expected a lot, or a part_no where the lot is not known"));
        }
        if self.quantity == 0 && self.kind != K::Count {
            return Err(Problem::new("quantity", "expected at least 1 (only a count may be 0)"));
        }
        if (self.kind == K::Transfer) != self.to_unit.is_some() {
            return Err(Problem::new("to_unit", "expected on a transfer, and only there"));
        }
        if (self.kind == K::Convert) != self.to_lot_no.is_some() {
            return Err(Problem::new("to_lot_no", "expected on a conversion, and only there"));
        }
        if self.kind == K::Convert && self.to_lot_no == self.lot_no {
            return Err(Problem::new("to_lot_no", "is the lot itself"));
        }
        if self.kind == K::Transfer && self.to_unit.as_deref() == Some(&self.unit) {
            return Err(Problem::new("to_unit", "is the sending unit itself"));
        }
        if self.condition.is_some() && self.kind != K::Issue {
            return Err(Problem::new("condition", "only an issue has a condition"));
        }
        if self.reason.is_some() && self.kind != K::Return {
            return Err(Problem::new("reason", "only a return has a reason"));
        }
        Ok(())
    }
}

impl Record for Movement {
    const TABLE: Table = Table::Movements;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        not_future("moved_on", Some(self.moved_on), today)?;
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_unit("unit", &self.unit, problems);
        if let Some(to_unit) = &self.to_unit {
            known.need_unit("to_unit", to_unit, problems);
        }
        if let Some(lot_no) = &self.lot_no {
            known.need_lot("lot_no", lot_no, problems);
            known.need_part_of_lot("part_no", lot_no, self.part_no.as_deref(), problems);
        }
        if let Some(to_lot_no) = &self.to_lot_no {
            known.need_lot("to_lot_no", to_lot_no, problems);
        }
        if let Some(part_no) = &self.part_no {
            known.need_part("part_no", part_no, problems);
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        if let Some(row_ref) = &self.row_ref {
            key.field(row_ref);
        }
    }

    fn learn(&self, known: &mut Known) {
        self.lot_no.iter().chain(&self.to_lot_no).for_each(|lot_no| known.name_lot(lot_no));
    }
}
