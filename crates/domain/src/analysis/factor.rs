//! What reports can sit on: a factor (lot, maker, size, ...) and one of its levels.

use crate::field::{ActivityId, Day, Field, LotId, MakerId, PartId, RevisionId, SizeId, UnitId};

/// One level of one factor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FactorLevel {
    /// A lot of the failed part, or of what that was made from.
    UsedLot(LotId),
    /// A lot of end items.
    ItemLot(LotId),
    /// Who made the items.
    Maker(MakerId),
    /// The revision of the item.
    Revision(RevisionId),
    /// First day of the month in which the items were made.
    MonthMade(Day),
    /// The size of the items.
    Size(SizeId),
    /// Who wears them.
    Unit(UnitId),
    /// What they were doing.
    Activity(ActivityId),
}

impl FactorLevel {
    /// The factor, as the data pack's format names it.
    pub const fn factor(self) -> &'static str {
        match self {
            Self::UsedLot(_) => "used_lot",
            Self::ItemLot(_) => "item_lot",
            Self::Maker(_) => "maker",
            Self::Revision(_) => "revision",
            Self::MonthMade(_) => "month_made",
            Self::Size(_) => "size",
            Self::Unit(_) => "unit",
            Self::Activity(_) => "activity",
        }
    }

    /// The level by its bare value: a lot number, a maker, a month.
    pub fn value(self, field: &Field) -> String {
        match self {
            Self::UsedLot(lot) | Self::ItemLot(lot) => field.lots[lot].lot_no.to_string(),
            Self::Maker(maker) => field.makers[maker].to_owned(),
            Self::Revision(revision) => field.revisions[revision].revision.to_string(),
            Self::MonthMade(day) => day.date().format("%Y-%m").to_string(),
            Self::Size(size) => field.sizes[size].to_owned(),
            Self::Unit(unit) => field.unit_names[unit].to_owned(),
            Self::Activity(activity) => field.activities[activity].to_owned(),
        }
    }

    /// What a lot or a revision is of; `None` for other factors.
    pub fn part(self, field: &Field) -> Option<PartId> {
        match self {
            Self::UsedLot(lot) | Self::ItemLot(lot) => Some(field.part_of_lot(lot)),
            Self::Revision(revision) => Some(field.revisions[revision].part),
            _ => None,
        }
    }

    /// `factor:level`.
    pub fn key(self, field: &Field) -> String {
        format!("{}:{}", self.factor(), self.value(field))
    }

    /// How far the factor is from a cause that somebody can act on. Of two that explain the same reports about equally
    /// well the nearer one is named: the part's own lot before the items it went into, those before their month or maker.
    pub(super) fn distance(self, field: &Field, failed: PartId) -> u8 {
        match self {
            Self::UsedLot(lot) if field.part_of_lot(lot) == failed => 0,
            Self::UsedLot(_) => 1,
            Self::ItemLot(_) => 2,
            Self::Revision(_) => 3,
            Self::Maker(_) => 4,
            Self::MonthMade(_) => 5,
            Self::Size(_) => 6,
            Self::Unit(_) => 7,
            Self::Activity(_) => 8,
        }
    }
}
