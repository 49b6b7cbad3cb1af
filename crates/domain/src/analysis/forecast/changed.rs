//! Items built to a change beside the others: they fail at a level of their own, as far as they have shown one.

use stats::StatsError;
use stats::forecast::{Made, Renewed, repeated_of};

use super::fleet::Fleet;
use crate::analysis::at_risk::AtRisk;
use crate::analysis::ground::Ground;
use crate::analysis::seen::Row;
use crate::analysis::service::{Service, Stay};
use crate::analysis::side::{Side, Sides};
use crate::analysis::window::Window;
use crate::change::ChangeState;
use crate::field::{ChangeFacts, Field, ModeId, PartId};
use crate::ledger::Ledger;

/// A change to a part that is built, with the use of the part on both sides of it.
pub(in crate::analysis) struct Changed<'a> {
    change: &'a ChangeFacts,
    sides: Sides<'a>,
    ledger: &'a Ledger,
    others: Fleet,
    built: Fleet,
    /// What was at risk, items built to it apart.
    pub(in crate::analysis) at_risk: AtRisk,
}

/// Reports by their side.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct BySide {
    others: f64,
    built: f64,
    /// Of which nothing tells.
    untold: f64,
}

impl<'a> Changed<'a> {
    /// The changes to a part of which items are in service or were, the last cut in last.
    pub(in crate::analysis) fn all(
        field: &'a Field,
        ground: &'a Ground,
        (part, service): (PartId, &Service),
        window: Window,
    ) -> Vec<Self> {
        let is_built = |change: &&ChangeFacts| {
            let cut_in = change.cut_in_on.is_none_or(|day| day <= ground.as_of);
            change.part == part && change.state.is_some_and(ChangeState::is_built) && cut_in
        };
        let ledger = &*ground.ledger;
        let split = |change: &'a ChangeFacts| {
            let sides = Sides::new(field, change);
            let is_built = |stay: &Stay| has_it(&sides, ledger, stay);
            let on = |side: bool| Fleet::of(service, window, ground.as_of, |stay| is_built(stay) == side);
            let (others, built) = (on(false), on(true));
            let at_risk = AtRisk::new(service, window.from, |_| window.to, is_built);
            Self { change, sides, ledger, others, built, at_risk }
        };
        let mut all: Vec<Self> = field.changes.rows().iter().filter(is_built).map(split).collect();
        all.retain(|one| !one.built.past.is_empty() || one.built.in_service > 0);
        all.sort_by_key(|one| one.change.cut_in_on);
        all
    }

    /// Whether it is to cure a mode.
    pub(in crate::analysis) fn is_against(&self, mode: ModeId) -> bool {
        self.change.is_against(mode)
    }

    /// Whether items have it.
    pub(in crate::analysis) fn has(&self, stay: &Stay) -> bool {
        has_it(&self.sides, self.ledger, stay)
    }

    /// Whether a report is of an item built to it; `None` where nothing tells.
    pub(in crate::analysis) fn is_of_built(&self, Row { report, resolved }: &Row) -> Option<bool> {
        let side = resolved.lot.and_then(|lot| self.sides.of_failure(self.ledger, lot, report));
        side.map(|side| side == Side::After)
    }

    /// Counts a report on its side.
    pub(super) fn count(&self, row: &Row, counts: &mut BySide) {
        let count = match self.is_of_built(row) {
            Some(true) => &mut counts.built,
            Some(false) => &mut counts.others,
            None => &mut counts.untold,
        };
        *count += 1.0;
    }

    /// Reports to come over one of the times ahead; those of which nothing tells are shared out as the others.
    ///
    /// # Errors
    /// No service of items without the change is on record.
    pub(super) fn ahead(
        &self,
        at: usize,
        counts: BySide,
        (shape, variance): (f64, f64),
    ) -> Result<Renewed, StatsError> {
        let told = counts.others + counts.built;
        let share = if told > 0.0 { counts.built / told } else { 0.0 };
        let built = counts.built + share * counts.untold;
        let all = told + counts.untold;
        let Self { others: o, built: b, .. } = self;
        let others = Made { failures: all - built, past: &o.past, ahead: &o.ahead[at] };
        let built = Made { failures: built, past: &b.past, ahead: &b.ahead[at] };
        repeated_of([others, built], shape, variance)
    }
}

fn has_it(sides: &Sides<'_>, ledger: &Ledger, stay: &Stay) -> bool {
    sides.of_items(ledger, stay.stock, stay.clocks) == Side::After
}
