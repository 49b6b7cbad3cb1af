//! The field: everything known, as one compact indexed picture that every analysis reads.

mod builder;
mod day;
mod facts;
mod ids;
mod lot_keys;
mod names;
mod plans;
mod rows;

use std::collections::HashMap;
use std::sync::Arc;

pub use builder::{FieldBuilder, LeftOut};
pub use day::{DAYS_PER_YEAR, Day};
pub use facts::{
    ByDay, ComponentFacts, DemandFacts, EventFacts, InspectionFacts, LotFacts, MovementFacts, PartFacts,
    ReportFacts, RevisionFacts, SerialFacts, Stock, UnitFacts, UseFacts,
};
pub use ids::{
    ActivityId, ChangeId, ConfigurationId, Id, LotId, LotTextId, MakerId, ModeId, PartId, ReportId,
    RevisionId, SerialId, SizeId, Table, TextId, UnitId,
};
pub use lot_keys::{Found, LotKeys};
pub use names::{Names, PackedTexts};
pub use plans::{BenchFacts, ChangeFacts, EffectivityFacts, FitFacts, ModeFacts, RequirementFacts};
pub use rows::Rows;

use crate::person::Person;

/// Everything known of the field. Built by [`FieldBuilder`] and read only.
///
/// A copy costs little: it shares all rows with the first, and a report that is taken into it leaves the first as it was.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Field {
    books: Arc<BookFacts>,
    /// Sizes.
    pub sizes: Names<SizeId>,
    /// Makers.
    pub makers: Names<MakerId>,
    /// Activities.
    pub activities: Names<ActivityId>,
    /// What lot labels say, each text once.
    pub lot_texts: Names<LotTextId>,
    /// Serial numbers.
    pub serial_names: Names<SerialId>,
    /// Other short texts.
    pub texts: Names<TextId>,
    /// Failure reports.
    pub reports: Rows<ReportId, ReportFacts>,
    report_refs: PackedTexts,
}

/// What is known beside the reports: read through [`Field`], as if it stood there.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct BookFacts {
    /// Codes of units.
    pub unit_names: Names<UnitId>,
    /// Units.
    pub units: Table<UnitId, UnitFacts>,
    /// Part numbers.
    pub part_names: Names<PartId>,
    /// Parts.
    pub parts: Table<PartId, PartFacts>,
    /// Revisions of parts.
    pub revisions: Table<RevisionId, RevisionFacts>,
    revision_keys: HashMap<(PartId, Box<str>), RevisionId>,
    /// Lots.
    pub lots: Table<LotId, LotFacts>,
    /// Lots by number and maker.
    pub lot_keys: LotKeys,
    /// Modes of the catalogue.
    pub modes: Table<ModeId, ModeFacts>,
    mode_codes: HashMap<Box<str>, ModeId>,
    /// Configurations.
    pub configurations: Names<ConfigurationId>,
    /// Where serials were, when.
    pub serials: Vec<SerialFacts>,
    /// The ledger, as it came.
    pub movements: Vec<MovementFacts>,
    /// Inspections.
    pub inspections: Vec<InspectionFacts>,
    /// Events.
    pub events: Vec<EventFacts>,
    /// Use patterns.
    pub use_patterns: Vec<UseFacts>,
    /// Spare parts drawn.
    pub demand: Vec<DemandFacts>,
    /// Bench tests.
    pub bench_tests: Vec<BenchFacts>,
    /// Requirements.
    pub requirements: Vec<RequirementFacts>,
    /// What sizes fit.
    pub fit_ranges: Vec<FitFacts>,
    /// The measured population.
    pub people: Vec<Person>,
    /// Changes.
    pub changes: Table<ChangeId, ChangeFacts>,
    /// Rows of the books that could not be placed, by table.
    pub left_out: Vec<LeftOut>,
}

impl std::ops::Deref for Field {
    type Target = BookFacts;
    fn deref(&self) -> &BookFacts {
        &self.books
    }
}

impl std::ops::DerefMut for Field {
    fn deref_mut(&mut self) -> &mut BookFacts {
        Arc::make_mut(&mut self.books)
    }
}

impl Field {
    /// A revision of a part, by number and letter.
    pub fn find_revision(&self, part_no: &str, revision: &str) -> Option<RevisionId> {
        let part = self.part_names.find(part_no)?;
        self.revision_keys.get(&(part, revision.into())).copied()
    }

    /// A mode by its code.
    pub fn find_mode(&self, code: &str) -> Option<ModeId> {
        self.mode_codes.get(code).copied()
    }

    /// A change by its number.
    pub fn find_change(&self, change_no: &str) -> Option<ChangeId> {
        self.changes.iter().find(|(_, change)| &*change.change_no == change_no).map(|(id, _)| id)
    }

    /// The reference of a report.
    pub fn report_ref(&self, report: ReportId) -> &str {
        self.report_refs.get(report.index())
    }

    /// The part number of a lot.
    pub fn part_of_lot(&self, lot: LotId) -> PartId {
        self.revisions[self.lots[lot].revision].part
    }

    /// The kind code of a part, from its latest revision.
    pub fn kind_of(&self, part: PartId) -> &str {
        self.parts[part].revisions.last().map_or("", |&revision| &self.revisions[revision].kind)
    }

    /// Whether a mode is of another kind of part than a part is, in any of its revisions. Not where no modes are known of the
    /// part's kind, as of an end item; nor where no part on record is of the mode's kind, as where seams are no parts of their own.
    pub fn is_of_another_kind(&self, mode: ModeId, part: PartId) -> bool {
        let is_of = |part: &PartFacts, mode: &ModeFacts| {
            part.revisions.iter().any(|&revision| {
                let rest = mode.code.strip_prefix(&*self.revisions[revision].kind);
                rest.is_some_and(|rest| rest.starts_with('-'))
            })
        };
        let (own, mode) = (&self.parts[part], &self.modes[mode]);
        !is_of(own, mode)
            && self.modes.rows().iter().any(|mode| is_of(own, mode))
            && self.parts.rows().iter().any(|part| is_of(part, mode))
    }

    /// Whether a part is an end item.
    pub fn is_item(&self, part: PartId) -> bool {
        self.kind_of(part) == crate::part::ITEM
    }

    /// Whether a part is no end item and belongs into one: what units hold of it by itself is spares, worn by nobody until
    /// it is in an item.
    pub fn is_spare(&self, part: PartId) -> bool {
        let belongs = |&revision: &RevisionId| !self.revisions[revision].parents.is_empty();
        self.parts[part].revisions.iter().any(belongs) && !self.is_item(part)
    }
}
