//! A failure report: what a unit sends in.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// What the reporter could say of the lot label.
    pub enum LotKnown {
        /// Read it.
        Read = "read",
        /// Could not read it.
        Unreadable = "unreadable",
        /// There is none.
        Absent = "absent",
        /// Did not look.
        NotLooked = "not_looked",
    }
}

words! {
    /// When the failure was found.
    pub enum FoundWhen {
        /// Unpacking a new item; a rate of its own.
        OnReceipt = "on_receipt",
        /// Fitting it to a wearer.
        Fitting = "fitting",
        /// At work.
        InUse = "in_use",
        /// After washing.
        AfterWash = "after_wash",
        /// While being mended.
        InRepair = "in_repair",
        /// On turning it in.
        TurnIn = "turn_in",
        /// At an inspection.
        Inspection = "inspection",
    }
}

words! {
    /// Whether the item had been changed since it was made.
    pub enum Altered {
        /// No.
        No = "no",
        /// By somebody allowed to.
        Authorised = "authorised",
        /// By the unit itself.
        ByUnit = "by_unit",
    }
}

words! {
    /// Whether anybody was hurt.
    pub enum Harm {
        /// Nobody.
        None = "none",
        /// Somebody could have been.
        NearMiss = "near_miss",
        /// Somebody was.
        Injury = "injury",
    }
}

impl Harm {
    /// Whether somebody was hurt or could have been.
    pub const fn is_harm(self) -> bool {
        !matches!(self, Self::None)
    }
}

words! {
    /// What became of the item.
    pub enum ItemFate {
        /// Still worn.
        Kept = "kept",
        /// Mended.
        Repaired = "repaired",
        /// Exchanged for another.
        Exchanged = "exchanged",
        /// Taken out of use.
        Withdrawn = "withdrawn",
        /// Lost.
        Lost = "lost",
        /// Kept for examination.
        Exhibit = "exhibit",
    }
}

/// A failure report.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// Its reference, the key; the receipt code where it came through the form.
    pub report_ref: String,
    /// When the failure was found.
    pub found_on: NaiveDate,
    /// When the report arrived.
    pub received_on: NaiveDate,
    /// The unit that reports.
    pub unit: String,
    /// The end item.
    pub item_part_no: String,
    /// Its size.
    pub size: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// What the lot label says, as written.
    pub lot_text: Option<String>,
    /// What could be said of the label.
    pub lot_known: Option<LotKnown>,
    /// The maker on the label.
    pub maker: Option<String>,
    /// The contract on the label.
    pub contract_no: Option<String>,
    /// First day of the month of make on the label.
    pub made_month: Option<NaiveDate>,
    /// The part that failed; `None` until sorted.
    pub part_no: Option<String>,
    /// How it failed, a mode of the catalogue; `None` until sorted.
    pub mode: Option<String>,
    /// What happened, in the reporter's words.
    pub narrative: Option<String>,
    /// What they were doing.
    pub activity: Option<String>,
    /// When it was found.
    pub found_when: Option<FoundWhen>,
    /// Weeks worn, as the reporter judges, 0 or more.
    pub worn_weeks: Option<f64>,
    /// Whether the item had been changed.
    pub altered: Option<Altered>,
    /// The notice that prompted the report.
    pub prompted_by: Option<String>,
    /// Whether anybody was hurt.
    pub harm: Option<Harm>,
    /// What became of the item.
    pub item_fate: Option<ItemFate>,
    /// Whether it counts as a failure of the equipment at all; `None` = not yet judged.
    pub relevant: Option<bool>,
    /// Whether it counts against the design; `None` = not yet judged.
    pub chargeable: Option<bool>,
    /// Items alike in this one report, at least 1.
    pub quantity: u32,
}

impl Report {
    /// A report of one item, found and received on one day, that says nothing more.
    pub fn bare(
        report_ref: impl Into<String>,
        on: NaiveDate,
        unit: impl Into<String>,
        item_part_no: impl Into<String>,
    ) -> Self {
        Self {
            report_ref: report_ref.into(),
            found_on: on,
            received_on: on,
            unit: unit.into(),
            item_part_no: item_part_no.into(),
            size: None,
            serial: None,
            lot_text: None,
            lot_known: None,
            maker: None,
            contract_no: None,
            made_month: None,
            part_no: None,
            mode: None,
            narrative: None,
            activity: None,
            found_when: None,
            worn_weeks: None,
            altered: None,
            prompted_by: None,
            harm: None,
            item_fate: None,
            relevant: None,
            chargeable: None,
            quantity: 1,
        }
    }

    /// Whether a part and a mode are set.
    pub const fn is_sorted(&self) -> bool {
        self.part_no.is_some() && self.mode.is_some()
    }

    /// Refuses dates in the future or out of order and empty quantities.
    ///
    /// `today` is the reader's date; a report can't be found or received after it.
    pub fn check(&self, today: NaiveDate) -> Result<(), Problem> {
        if self.found_on > today {
            return Err(Problem::new("found_on", format!("is in the future (today is {today})")));
        }
        if self.received_on > today {
            return Err(Problem::new("received_on", format!("is in the future (today is {today})")));
        }
        if self.received_on < self.found_on {
            return Err(Problem::new("received_on", "is before found_on"));
        }
        if self.quantity == 0 {
            return Err(Problem::new("quantity", "expected at least 1"));
        }
        if self.worn_weeks.is_some_and(|w| !(0.0..=5200.0).contains(&w)) {
            return Err(Problem::new("worn_weeks", "expected 0 to 5200 weeks"));
        }
        if self.chargeable == Some(true) && self.relevant == Some(false) {
            return Err(Problem::new("chargeable", "a report that isn't relevant can't be chargeable"));
        }
        Ok(())
    }
}

impl Record for Report {
    const TABLE: Table = Table::Reports;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        self.check(today)
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_unit("unit", &self.unit, problems);
        known.need_item("item_part_no", &self.item_part_no, problems);
        if let Some(part_no) = &self.part_no {
            known.need_part("part_no", part_no, problems);
        }
        if let Some(mode) = &self.mode {
            known.need_mode("mode", mode, problems);
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.report_ref);
    }

    fn learn(&self, known: &mut Known) {
        known.add_report(&self.report_ref);
    }

    fn is_known(&self, known: &Known) -> Option<bool> {
        Some(known.has_report(&self.report_ref))
    }
}
