//! Builder methods for bench tests, requirements, fit, people, changes and their effectivity.

use super::{FieldBuilder, day, double, nothing};
use crate::bench_test::BenchTest;
use crate::change::Change;
use crate::effectivity::{Effectivity, Stage};
use crate::field::plans::{BenchFacts, ChangeFacts, EffectivityFacts, FitFacts, RequirementFacts};
use crate::fit::FitRange;
use crate::person::Person;
use crate::requirement::Requirement;
use crate::words::Problem;

impl FieldBuilder {
    /// Adds a measured specimen.
    ///
    /// # Errors
    /// The revision or lot is not known.
    pub fn bench_test(&mut self, test: &BenchTest) -> Result<(), Problem> {
        let revision = self.find_revision(["part_no", "revision"], &test.part_no, &test.revision)?;
        let lot = self.find_optional_lot("lot_no", test.lot_no.as_deref())?;
        self.field.bench_tests.push(BenchFacts { revision, lot, test: test.clone() });
        Ok(())
    }

    /// Adds a requirement.
    ///
    /// # Errors
    /// The item is not known.
    pub fn requirement(&mut self, requirement: &Requirement) -> Result<(), Problem> {
        let item = self.find_part("item_part_no", &requirement.item_part_no)?;
        self.field.requirements.push(RequirementFacts { item, requirement: requirement.clone() });
        Ok(())
    }

    /// Adds what a size fits.
    ///
    /// # Errors
    /// The item is not known.
    pub fn fit_range(&mut self, range: &FitRange) -> Result<(), Problem> {
        let item = self.find_part("item_part_no", &range.item_part_no)?;
        let size = self.field.sizes.intern(&range.size);
        self.field.fit_ranges.push(FitFacts {
            item,
            size,
            dimension: range.dimension.as_str().into(),
            low_mm: range.low_mm,
            high_mm: range.high_mm,
        });
        Ok(())
    }

    /// Adds a measured person.
    ///
    /// # Errors
    /// None; the signature is that of every noun.
    pub fn person(&mut self, person: &Person) -> Result<(), Problem> {
        self.field.people.push(person.clone());
        Ok(())
    }

    /// Adds a change. Its cut-in lot must exist once the change is cut in; before, it is a plan.
    ///
    /// # Errors
    /// A part, revision, mode or cut-in lot is not known; the number is taken.
    pub fn change(&mut self, change: &Change) -> Result<(), Problem> {
        if self.field.find_change(&change.change_no).is_some() {
            return Err(double("change_no", &change.change_no));
        }
        let cut_in_lot = match self.find_optional_lot("cut_in_lot", change.cut_in_lot.as_deref()) {
            Err(problem) if change.is_built() => return Err(problem),
            found => found.unwrap_or(None),
        };
        let modes = change.modes.iter().map(|m| self.find_mode("modes", m)).collect::<Result<_, _>>()?;
        let facts = ChangeFacts {
            change_no: change.change_no.as_str().into(),
            title: change.title.as_str().into(),
            part: self.find_part("part_no", &change.part_no)?,
            from: self.find_revision(["part_no", "from_revision"], &change.part_no, &change.from_revision)?,
            to: self.find_revision(["part_no", "to_revision"], &change.part_no, &change.to_revision)?,
            modes,
            state: change.state,
            cut_in_lot,
            cut_in_on: day(change.cut_in_on),
            effectivity: Vec::new(),
        };
        self.field.changes.push(facts);
        Ok(())
    }

    /// Adds lots at which a change takes effect. Lots named as accomplished must exist; others are a plan.
    ///
    /// # Errors
    /// The change is not known; a lot named as accomplished is not known.
    pub fn effectivity(&mut self, effectivity: &Effectivity) -> Result<(), Problem> {
        let change = self
            .field
            .find_change(&effectivity.change_no)
            .ok_or_else(|| nothing("change_no", "change", &effectivity.change_no))?;
        let maker = effectivity.maker.as_deref().map(|m| self.field.makers.intern(m));
        if effectivity.stage == Stage::Accomplished {
            for (field, lot_no) in [("from_lot", &effectivity.from_lot), ("to_lot", &effectivity.to_lot)] {
                if let Some(lot_no) = lot_no {
                    self.find_lot(field, lot_no, maker)?;
                }
            }
        }
        self.field.changes[change].effectivity.push(EffectivityFacts {
            stage: effectivity.stage,
            maker,
            from_lot: effectivity.from_lot.as_deref().map(Into::into),
            to_lot: effectivity.to_lot.as_deref().map(Into::into),
            share_new: effectivity.share_new,
            from_date: day(effectivity.from_date),
        });
        Ok(())
    }
}
