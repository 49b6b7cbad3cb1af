//! Builds a [`Field`] from the nouns, one method a noun; each names the field that points to nothing.

mod book_nouns;
mod kept;
mod part_nouns;
mod plan_nouns;

pub use kept::LeftOut;

use super::day::Day;
use super::ids::{Id, LotId, MakerId, ModeId, PartId, RevisionId, SizeId, UnitId};
use super::lot_keys::Found;
use super::{Field, ModeFacts};
use crate::catalogue::{Catalogue, Mode};
use crate::words::Problem;

/// Builds a [`Field`]. Nouns come in the order of the pack's tables: what is named must be known already. A noun that is
/// refused leaves the field as it was, but for names.
#[derive(Clone, Debug)]
pub struct FieldBuilder {
    field: Field,
    unit_parents: Vec<(UnitId, Box<str>)>,
    replaced: Vec<(RevisionId, Box<str>)>,
}

impl FieldBuilder {
    /// An empty field that knows the modes of a catalogue.
    pub fn new(catalogue: &Catalogue) -> Self {
        let mut builder = Self { field: Field::default(), unit_parents: Vec::new(), replaced: Vec::new() };
        for mode in catalogue.modes() {
            builder.mode(mode);
        }
        builder
    }

    /// Goes on with a field that is built already. What is added or replaced doesn't show in other copies of it.
    pub fn resume(field: Field) -> Self {
        Self { field, unit_parents: Vec::new(), replaced: Vec::new() }
    }

    /// Adds a mode; one of its code that is known already stays as it is.
    pub fn mode(&mut self, mode: &Mode) {
        if self.field.mode_codes.contains_key(mode.code.as_str()) {
            return;
        }
        let id = self.field.modes.push(ModeFacts {
            code: mode.code.as_str().into(),
            name: mode.name.as_str().into(),
            severity: mode.default_severity.category(),
        });
        self.field.mode_codes.insert(mode.code.as_str().into(), id);
    }

    /// The finished field. A parent unit or replaced revision that never came is left out.
    pub fn build(mut self) -> Field {
        for (unit, parent) in std::mem::take(&mut self.unit_parents) {
            self.field.units[unit].parent = self.field.unit_names.find(&parent).filter(|&p| p != unit);
        }
        for (revision, replaced) in std::mem::take(&mut self.replaced) {
            let part = self.field.revisions[revision].part;
            self.field.revisions[revision].replaces =
                self.field.revision_keys.get(&(part, replaced)).copied().filter(|&r| r != revision);
        }
        self.field
    }

    fn find_unit(&self, field: &'static str, unit: &str) -> Result<UnitId, Problem> {
        self.field.unit_names.find(unit).ok_or_else(|| nothing(field, "unit", unit))
    }

    fn find_part(&self, field: &'static str, part_no: &str) -> Result<PartId, Problem> {
        self.field.part_names.find(part_no).ok_or_else(|| nothing(field, "part", part_no))
    }

    fn find_revision(
        &self,
        fields: [&'static str; 2],
        part_no: &str,
        revision: &str,
    ) -> Result<RevisionId, Problem> {
        let part = self.find_part(fields[0], part_no)?;
        let key = (part, revision.into());
        self.field.revision_keys.get(&key).copied().ok_or_else(|| nothing(fields[1], "revision", revision))
    }

    fn find_mode(&self, field: &'static str, code: &str) -> Result<ModeId, Problem> {
        self.field.mode_codes.get(code).copied().ok_or_else(|| nothing(field, "mode of the catalogue", code))
    }

    fn find_lot(&self, field: &'static str, lot_no: &str, maker: Option<MakerId>) -> Result<LotId, Problem> {
        match self.field.lot_keys.find(lot_no, maker) {
            Found::One(lot) => Ok(lot),
            Found::Several => Err(Problem::new(
                field,
                format!("`{lot_no}` is a lot of several makers; which one is not said"),
            )),
            Found::Nothing => Err(nothing(field, "lot", lot_no)),
        }
    }

    fn find_optional_lot(&self, field: &'static str, lot_no: Option<&str>) -> Result<Option<LotId>, Problem> {
        lot_no.map(|lot_no| self.find_lot(field, lot_no, None)).transpose()
    }

    fn size(&mut self, size: Option<&str>) -> Option<SizeId> {
        size.map(|size| self.field.sizes.intern(size))
    }
}

fn nothing(field: &'static str, what: &str, value: &str) -> Problem {
    Problem::new(field, format!("no {what} is known as `{value}`"))
}

fn double(field: &'static str, value: &str) -> Problem {
    Problem::new(field, format!("`{value}` is known already"))
}

fn day(date: Option<chrono::NaiveDate>) -> Option<Day> {
    date.map(Day::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nouns::{builder, lot, unit};
    use crate::unit::{Unit, UnitKind};

    #[test]
    fn a_reference_to_nothing_names_its_field() {
        let mut b = builder();
        let problem = b.lot(&lot("L-1", "HARNESS", "A")).unwrap_err();
        assert_eq!(problem.to_string(), "part_no: no part is known as `HARNESS`");
    }

    #[test]
    fn a_parent_unit_may_come_after_its_children() {
        let crew = Unit { parent_unit: Some("COAST".into()), ..unit("CREW-1", UnitKind::Wearing) };
        let mut b = builder();
        b.unit(&crew).expect("new");
        b.unit(&unit("COAST", UnitKind::Wearing)).expect("new");
        assert!(b.unit(&unit("COAST", UnitKind::Wearing)).is_err(), "the code is taken");
        let field = b.build();
        let crew = field.unit_names.find("CREW-1").expect("added");
        assert_eq!(field.units[crew].parent, field.unit_names.find("COAST"));
        assert_eq!(UnitId::from_index(0), crew);
    }
}
