//! Builder methods for units, parts, structure, weighings and lots.

use super::{FieldBuilder, day, double};
use crate::field::facts::{ComponentFacts, LotFacts, RevisionFacts, UnitFacts};
use crate::lot::Lot;
use crate::lot_use::LotUse;
use crate::part::PartRevision;
use crate::size_share::SizeShare;
use crate::structure::Component;
use crate::unit::Unit;
use crate::weighing::Weighing;
use crate::words::Problem;

impl FieldBuilder {
    /// Adds a unit.
    ///
    /// # Errors
    /// The code is taken.
    pub fn unit(&mut self, unit: &Unit) -> Result<(), Problem> {
        if self.field.unit_names.find(&unit.unit).is_some() {
            return Err(double("unit", &unit.unit));
        }
        let id = self.field.unit_names.intern(&unit.unit);
        self.field.units.push(UnitFacts {
            name: unit.name.as_deref().map(Into::into),
            kind: unit.kind,
            parent: None,
        });
        if let Some(parent) = &unit.parent_unit {
            self.unit_parents.push((id, parent.as_str().into()));
        }
        Ok(())
    }

    /// Adds a revision of a part, and the part with its first.
    ///
    /// # Errors
    /// The revision is known already.
    pub fn part(&mut self, part: &PartRevision) -> Result<(), Problem> {
        let field = &mut self.field;
        let id = field.part_names.intern(&part.part_no);
        if id_is_new(field.parts.len(), id) {
            field.parts.push(crate::field::PartFacts::default());
        }
        let key = (id, part.revision.as_str().into());
        if field.revision_keys.contains_key(&key) {
            return Err(double("revision", &part.revision));
        }
        let revision = field.revisions.push(RevisionFacts {
            part: id,
            revision: part.revision.as_str().into(),
            name: part.name.as_str().into(),
            kind: part.kind.as_str().into(),
            released_on: day(part.released_on),
            replaces: None,
            change_no: part.change_no.as_deref().map(Into::into),
            life_years: part.life_years,
            components: Vec::new(),
            parents: Vec::new(),
            weighings: Vec::new(),
        });
        field.revision_keys.insert(key, revision);
        field.parts[id].revisions.push(revision);
        if let Some(replaced) = &part.replaces_revision {
            self.replaced.push((revision, replaced.as_str().into()));
        }
        Ok(())
    }

    /// Adds the share of one size.
    ///
    /// # Errors
    /// The part is not known; the size has a share already.
    pub fn size_share(&mut self, share: &SizeShare) -> Result<(), Problem> {
        let part = self.find_part("part_no", &share.part_no)?;
        let size = self.field.sizes.intern(&share.size);
        let tariff = &mut self.field.parts[part].tariff;
        if tariff.iter().any(|(s, _)| *s == size) {
            return Err(double("size", &share.size));
        }
        tariff.push((size, share.share_per_1000));
        Ok(())
    }

    /// Adds one line of a structure.
    ///
    /// # Errors
    /// Parent or child is not known; the line would put a part inside itself through other parts.
    pub fn component(&mut self, line: &Component) -> Result<(), Problem> {
        let parent = self.find_revision(
            ["parent_part_no", "parent_revision"],
            &line.parent_part_no,
            &line.parent_revision,
        )?;
        let child = self.find_revision(
            ["child_part_no", "child_revision"],
            &line.child_part_no,
            &line.child_revision,
        )?;
        if parent == child || self.contains(child, parent) {
            return Err(Problem::new("child_part_no", "the part would be inside itself"));
        }
        let size = self.size(line.size.as_deref());
        let field = &mut self.field;
        let configuration = line.configuration.as_deref().map(|c| field.configurations.intern(c));
        let position = line.position.as_deref().map(|p| field.texts.intern(p));
        let quantity = line.quantity;
        field.revisions[parent].components.push(ComponentFacts {
            child,
            quantity,
            position,
            size,
            configuration,
        });
        if !field.revisions[child].parents.contains(&parent) {
            field.revisions[child].parents.push(parent);
        }
        Ok(())
    }

    fn contains(&self, outer: super::RevisionId, inner: super::RevisionId) -> bool {
        let revisions = &self.field.revisions;
        reaches(outer, inner, |r| revisions[r].components.iter().map(|c| c.child).collect())
    }

    /// Adds the mass of one specimen.
    ///
    /// # Errors
    /// The revision is not known.
    pub fn weighing(&mut self, weighing: &Weighing) -> Result<(), Problem> {
        let revision = self.find_revision(["part_no", "revision"], &weighing.part_no, &weighing.revision)?;
        let size = self.size(weighing.size.as_deref());
        self.field.revisions[revision].weighings.push((size, weighing.mass_g));
        Ok(())
    }

    /// Adds a lot.
    ///
    /// # Errors
    /// The revision is not known; this maker has a lot of that number already.
    pub fn lot(&mut self, lot: &Lot) -> Result<(), Problem> {
        let revision = self.find_revision(["part_no", "revision"], &lot.part_no, &lot.revision)?;
        let maker = lot.maker.as_deref().map(|m| self.field.makers.intern(m));
        let size = self.size(lot.size.as_deref());
        let field = &mut self.field;
        let contract = lot.contract_no.as_deref().map(|c| field.texts.intern(c));
        let id = super::Id::from_index(field.lots.len());
        if !field.lot_keys.add(&lot.lot_no, maker, id) {
            return Err(double("lot_no", &lot.lot_no));
        }
        field.lots.push(LotFacts {
            lot_no: lot.lot_no.as_str().into(),
            revision,
            size,
            made_on: day(lot.made_on),
            quantity: lot.quantity,
            maker,
            contract,
            purpose: lot.purpose,
            used: Vec::new(),
            used_in: Vec::new(),
            converted_from: Vec::new(),
            converted_into: Vec::new(),
        });
        Ok(())
    }

    /// Adds what a lot was made from.
    ///
    /// # Errors
    /// Either lot is not known or is named by several makers; a lot would be made from itself.
    pub fn lot_use(&mut self, lot_use: &LotUse) -> Result<(), Problem> {
        let lot = self.find_lot("lot_no", &lot_use.lot_no, None)?;
        let used = self.find_lot("used_lot_no", &lot_use.used_lot_no, None)?;
        if lot == used || self.made_from(used, lot) {
            return Err(Problem::new("used_lot_no", "a lot would be made from itself"));
        }
        let part = |lot| self.field.part_of_lot(lot);
        let at = self.field.lots[lot].used.partition_point(|known| part(known.0) <= part(used));
        self.field.lots[lot].used.insert(at, (used, lot_use.quantity));
        self.field.lots[used].used_in.push((lot, lot_use.quantity));
        Ok(())
    }

    /// Whether `lot` was made from `source` through any number of lots.
    fn made_from(&self, lot: super::LotId, source: super::LotId) -> bool {
        let lots = &self.field.lots;
        reaches(lot, source, |l| lots[l].used.iter().map(|&(used, _)| used).collect())
    }
}

/// Whether `goal` is among the steps from `start`, each thing visited once.
fn reaches<I: super::Id>(start: I, goal: I, steps: impl Fn(I) -> Vec<I>) -> bool {
    let mut seen = std::collections::HashSet::new();
    let mut todo = steps(start);
    while let Some(next) = todo.pop() {
        if next == goal {
            return true;
        }
        if seen.insert(next) {
            todo.extend(steps(next));
        }
    }
    false
}

fn id_is_new(rows: usize, id: super::PartId) -> bool {
    super::Id::index(id) == rows
}
