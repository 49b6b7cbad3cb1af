//! The facts of changes, requirements, fit and the bench: few rows, kept nearly as they came.

use super::day::Day;
use super::ids::{LotId, MakerId, ModeId, PartId, RevisionId, SizeId};
use crate::bench_test::BenchTest;
use crate::change::ChangeState;
use crate::effectivity::Stage;
use crate::requirement::Requirement;

/// A mode of the catalogue.
#[derive(Clone, Debug, PartialEq)]
pub struct ModeFacts {
    /// Its code.
    pub code: Box<str>,
    /// Its name, for engineers.
    pub name: Box<str>,
    /// Severity category 2 to 4 of MIL-STD-882E until a person decides.
    pub severity: u8,
}

/// A change.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeFacts {
    /// Its number.
    pub change_no: Box<str>,
    /// Its title.
    pub title: Box<str>,
    /// The part that changes.
    pub part: PartId,
    /// The revision before.
    pub from: RevisionId,
    /// The revision after.
    pub to: RevisionId,
    /// The modes it is meant to cure; every mode when empty.
    pub modes: Vec<ModeId>,
    /// Where it stands.
    pub state: Option<ChangeState>,
    /// First lot built to it.
    pub cut_in_lot: Option<LotId>,
    /// When.
    pub cut_in_on: Option<Day>,
    /// The lots it takes effect at.
    pub effectivity: Vec<EffectivityFacts>,
}

impl ChangeFacts {
    /// Whether it is meant to cure a mode of its part.
    pub fn is_against(&self, mode: ModeId) -> bool {
        self.modes.is_empty() || self.modes.contains(&mode)
    }

    /// Whether it is meant to cure a recurrence: a part failing in one mode.
    pub fn cures(&self, part: PartId, mode: ModeId) -> bool {
        self.part == part && self.is_against(mode)
    }
}

/// One range of lots at which a change takes effect.
#[derive(Clone, Debug, PartialEq)]
pub struct EffectivityFacts {
    /// Proposed, approved or accomplished.
    pub stage: Stage,
    /// The maker; all when `None`.
    pub maker: Option<MakerId>,
    /// First lot number, inclusive.
    pub from_lot: Option<Box<str>>,
    /// Last lot number, inclusive; open when `None`.
    pub to_lot: Option<Box<str>>,
    /// Share of each lot built to the change.
    pub share_new: f64,
    /// From when.
    pub from_date: Option<Day>,
}

/// A requirement on an item.
#[derive(Clone, Debug, PartialEq)]
pub struct RequirementFacts {
    /// The item.
    pub item: PartId,
    /// What it demands.
    pub requirement: Requirement,
}

/// The span of one body dimension that one size fits.
#[derive(Clone, Debug, PartialEq)]
pub struct FitFacts {
    /// The item.
    pub item: PartId,
    /// The size.
    pub size: SizeId,
    /// The dimension.
    pub dimension: Box<str>,
    /// Smallest, in mm.
    pub low_mm: f64,
    /// Largest, in mm.
    pub high_mm: f64,
}

/// A bench test with its part and lot found.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchFacts {
    /// The part revision.
    pub revision: RevisionId,
    /// Its lot.
    pub lot: Option<LotId>,
    /// The measured specimen.
    pub test: BenchTest,
}
