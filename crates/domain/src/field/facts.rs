//! The facts of the field: each noun with its references as ids and without its prose.

use super::day::Day;
use super::ids::{
    ActivityId, ConfigurationId, LotId, LotTextId, MakerId, ModeId, PartId, RevisionId, SerialId, SizeId,
    TextId, UnitId,
};
use crate::event::EventKind;
use crate::lot::LotPurpose;
use crate::movement::{Condition, MovementKind, ReturnReason};
use crate::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown};
use crate::sketch::Sketch;
use crate::unit::UnitKind;

/// A unit.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitFacts {
    /// Its name in words.
    pub name: Option<Box<str>>,
    /// What it does with items.
    pub kind: UnitKind,
    /// The unit it belongs to.
    pub parent: Option<UnitId>,
}

/// A part number.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartFacts {
    /// Its revisions, in the order they came.
    pub revisions: Vec<RevisionId>,
    /// Tariff of its sizes: items among 1,000.
    pub tariff: Vec<(SizeId, f64)>,
}

/// One revision of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct RevisionFacts {
    /// The part.
    pub part: PartId,
    /// The revision's letter.
    pub revision: Box<str>,
    /// Name in plain words.
    pub name: Box<str>,
    /// Kind code.
    pub kind: Box<str>,
    /// When it was released.
    pub released_on: Option<Day>,
    /// The revision of the same part that it replaces.
    pub replaces: Option<RevisionId>,
    /// The change that brought it.
    pub change_no: Option<Box<str>>,
    /// Years an item serves, where somebody has said so.
    pub life_years: Option<f64>,
    /// What it is made of.
    pub components: Vec<ComponentFacts>,
    /// What it is a component of.
    pub parents: Vec<RevisionId>,
    /// Its weighings: size and grams of one specimen.
    pub weighings: Vec<(Option<SizeId>, f64)>,
}

/// One line of a structure.
#[derive(Clone, Debug, PartialEq)]
pub struct ComponentFacts {
    /// The child.
    pub child: RevisionId,
    /// How many.
    pub quantity: f64,
    /// Where.
    pub position: Option<TextId>,
    /// Only in this size.
    pub size: Option<SizeId>,
    /// Only in this configuration.
    pub configuration: Option<ConfigurationId>,
}

/// A lot.
#[derive(Clone, Debug, PartialEq)]
pub struct LotFacts {
    /// Its number as marked.
    pub lot_no: Box<str>,
    /// What was made.
    pub revision: RevisionId,
    /// Its size.
    pub size: Option<SizeId>,
    /// When it was made.
    pub made_on: Option<Day>,
    /// How many were made.
    pub quantity: Option<u32>,
    /// Who made it.
    pub maker: Option<MakerId>,
    /// Its contract.
    pub contract: Option<TextId>,
    /// Why it was made.
    pub purpose: LotPurpose,
    /// What it was made from, by part, with quantities.
    pub used: Vec<(LotId, Option<f64>)>,
    /// What it went into, with quantities.
    pub used_in: Vec<(LotId, Option<f64>)>,
    /// Lots whose items became this one, with how many on which days; `None` for those whose lot before is not known.
    pub converted_from: Vec<(Option<LotId>, ByDay)>,
    /// Lots that items of this one became, with how many on which days.
    pub converted_into: Vec<(LotId, ByDay)>,
}

/// Items by the day on which something became of them.
pub type ByDay = Vec<(Day, u32)>;

/// Where a serial was, when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SerialFacts {
    /// The serial.
    pub serial: SerialId,
    /// Its lot.
    pub lot: LotId,
    /// Where.
    pub unit: Option<UnitId>,
    /// Since when.
    pub from: Option<Day>,
    /// Until when.
    pub to: Option<Day>,
}

/// What moved: a lot, or a part and size where the lot is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stock {
    /// Items of a known lot.
    Lot(LotId),
    /// Items of a part, of a size where known.
    Unknown(PartId, Option<SizeId>),
}

/// One line of the ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MovementFacts {
    /// The day.
    pub day: Day,
    /// What happened.
    pub kind: MovementKind,
    /// What moved.
    pub stock: Stock,
    /// The unit.
    pub unit: UnitId,
    /// How many.
    pub quantity: u32,
    /// The receiving unit of a transfer.
    pub to_unit: Option<UnitId>,
    /// The lot items become in a conversion.
    pub to_lot: Option<LotId>,
    /// New or used, on issue.
    pub condition: Option<Condition>,
    /// Why, on return.
    pub reason: Option<ReturnReason>,
}

/// A failure report without its prose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReportFacts {
    /// When it was found.
    pub found_on: Day,
    /// When the report arrived.
    pub received_on: Day,
    /// Who reports.
    pub unit: UnitId,
    /// The end item.
    pub item: PartId,
    /// Its size.
    pub size: Option<SizeId>,
    /// Its serial number.
    pub serial: Option<SerialId>,
    /// What the label says.
    pub lot_text: Option<LotTextId>,
    /// The lot a person chose when sorting; overrules the label.
    pub lot_chosen: Option<LotId>,
    /// The maker on the label.
    pub maker: Option<MakerId>,
    /// The contract on the label.
    pub contract: Option<TextId>,
    /// First day of the month of make.
    pub made_month: Option<Day>,
    /// The part that failed.
    pub part: Option<PartId>,
    /// How.
    pub mode: Option<ModeId>,
    /// What they were doing.
    pub activity: Option<ActivityId>,
    /// Weeks worn, as judged.
    pub worn_weeks: Option<f32>,
    /// The notice that prompted it.
    pub prompted_by: Option<TextId>,
    /// Items alike.
    pub quantity: u32,
    /// What could be said of the label.
    pub lot_known: Option<LotKnown>,
    /// When it was found.
    pub found_when: Option<FoundWhen>,
    /// Whether the item had been changed.
    pub altered: Option<Altered>,
    /// Whether anybody was hurt.
    pub harm: Option<Harm>,
    /// What became of the item.
    pub item_fate: Option<ItemFate>,
    /// Counts as a failure of the equipment; `None` = not yet judged.
    pub relevant: Option<bool>,
    /// Counts against the design; `None` = not yet judged.
    pub chargeable: Option<bool>,
    /// A sketch of what was told, where the narrative was at hand.
    pub words: Sketch,
}

impl ReportFacts {
    /// Counts as a failure: so judged, or sorted and not judged otherwise.
    pub fn is_relevant(&self) -> bool {
        self.part.is_some() && self.mode.is_some() && self.relevant != Some(false)
    }

    /// Counts against the design: relevant, and not judged otherwise.
    pub fn is_chargeable(&self) -> bool {
        self.is_relevant() && self.chargeable != Some(false)
    }

    /// Whether somebody was hurt or could have been.
    pub fn is_harm(&self) -> bool {
        self.harm.is_some_and(Harm::is_harm)
    }
}

/// An inspection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InspectionFacts {
    /// The day.
    pub day: Day,
    /// Who looked.
    pub unit: UnitId,
    /// The lot looked at; all when `None`.
    pub lot: Option<LotId>,
    /// The part looked at.
    pub part: PartId,
    /// The mode looked for.
    pub mode: ModeId,
    /// Items looked at.
    pub inspected: u32,
    /// Items that showed it.
    pub found: u32,
    /// The notice that asked for it.
    pub notice: Option<TextId>,
}

/// An event on one or several items.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EventFacts {
    /// The day.
    pub day: Day,
    /// Where.
    pub unit: UnitId,
    /// The item, where known by number.
    pub serial: Option<SerialId>,
    /// The lot, where known.
    pub lot: Option<LotId>,
    /// Items concerned.
    pub quantity: u32,
    /// What was done.
    pub kind: EventKind,
    /// The part concerned.
    pub part: Option<PartId>,
    /// The lot of the new part.
    pub new_lot: Option<LotId>,
}

/// How much a unit wears its items over a span of dates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UseFacts {
    /// The unit.
    pub unit: UnitId,
    /// First day.
    pub from: Day,
    /// Last day; open when `None`.
    pub to: Option<Day>,
    /// What it does meanwhile.
    pub activity: Option<ActivityId>,
    /// Hours one item is worn in a month of 1/12 year.
    pub wear_hours_per_item_month: f64,
}

/// Spare parts drawn in a month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DemandFacts {
    /// First day of the month.
    pub month: Day,
    /// The part.
    pub part: PartId,
    /// How many.
    pub quantity_drawn: u32,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_million_reports_fit_a_hundred_megabytes() {
        assert!(size_of::<ReportFacts>() <= 96, "{}", size_of::<ReportFacts>());
    }
}
