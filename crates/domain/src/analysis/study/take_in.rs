//! Reports taken into a study: their counts, rates and risks follow at once.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::Study;
use crate::analysis::Analysis;
use crate::analysis::recurrences::{Counted, Recurrences};
use crate::analysis::seen::{Key, key_of};
use crate::field::{Field, Id as _, ReportFacts, ReportId};

impl Study {
    /// Takes in a later state of the field, in which nothing but these reports is new or changed. Counts, rates and
    /// risks follow at once; the rest when [`Study::catch_up`] is asked to.
    pub fn take_in(&mut self, field: Field, changed: &[ReportId]) {
        // In their order, so that new ones are put behind those known, and each once.
        let changed: BTreeSet<ReportId> = changed.iter().copied().collect();
        let before = std::mem::replace(&mut self.field, field);
        let mut analysis = Analysis::clone(&self.analysis);
        let mut touched = BTreeSet::new();
        for id in changed {
            let old = (id.index() < before.reports.len()).then(|| before.reports[id]);
            let new = self.field.reports[id];
            let lot = self.ground.labels.resolve(&self.field, &new);
            self.seen.take_in(&self.field, id, old.as_ref(), &new, lot);
            let old = old.filter(|report| report.received_on <= self.seen.as_of);
            let new = Some(new).filter(|report| report.received_on <= self.seen.as_of);
            let keys = [old.as_ref().and_then(key_of), new.as_ref().and_then(key_of)];
            touched.extend(keys.into_iter().flatten());
            self.recount(&mut analysis.recurrences, keys, (old.as_ref(), new.as_ref()));
        }
        // The others that are stale share what they were before, and a copy of each would cost more than all the rest.
        for &key in &touched {
            if let Some(recurrence) = analysis.recurrences.find_mut(key) {
                self.seen.of_mode(key.0, key.1).clone_into(&mut recurrence.report_ids);
            }
        }
        self.stale.append(&mut touched);
        analysis.recurrences.sort();
        analysis.counts = self.seen.counts;
        analysis.warnings = self.warnings();
        self.analysis = Arc::new(analysis);
    }

    /// Takes a report out of the counts of one recurrence and into those of another.
    fn recount(
        &self,
        recurrences: &mut Recurrences,
        keys: [Option<Key>; 2],
        (old, new): (Option<&ReportFacts>, Option<&ReportFacts>),
    ) {
        for ((report, key), comes) in [((old, keys[0]), false), ((new, keys[1]), true)] {
            let Some((report, key)) = report.zip(key) else { continue };
            let Some(recurrence) = recurrences.find_mut(key) else { continue };
            let mut counted = Counted::of(recurrence);
            let looks = self.ground.inspections_of(key.0, key.1);
            if comes {
                counted.add(looks, report);
                recurrence.spread.add(report);
            } else {
                counted.take_off(looks, report);
                recurrence.spread.take_off(report);
            }
            recurrence.newer += u32::from(comes || keys[0] != keys[1]);
            recurrence.set_counts(&self.field, &self.ground.ledger, counted);
        }
    }
}
