//! What a change brings: grams in every size, failure rates before and after, and the proof.

use rustc_hash::FxHashMap;

use super::counts::{ChangeCounts, MixedShare, Occasions};
use super::holders::Holders;
use super::part_exposure::{PartExposure, by_age};
use super::proof::{Proof, fixed_date, shared};
use super::rate::Rate;
use super::reach::{Reach, WhileWaiting};
use super::recurrences::issued_new;
use super::seen::{Seen, comparable, in_service};
use super::side::{Side, Sides};
use super::side_effects::{OtherMode, Others, StillTold, still_told};
use super::telling::Telling;
use super::two_sides::TwoSides;
use super::window::Window;
use crate::change::ChangeState;
use crate::field::{ChangeFacts, ChangeId, Day, Field, LotId, ModeId, RevisionId, UnitId};
use crate::ledger::Ledger;
use crate::mass::{MassChange, TariffChange, mass_changes, tariff_change};

/// Lots built partly to a change: on neither side of the proof, shown apart.
#[derive(Clone, Debug, PartialEq)]
pub struct MixedLots {
    /// The lots with the share built to the change.
    pub lots: Vec<(LotId, f64)>,
    /// Their item-years.
    pub item_years: f64,
    /// Failures seen.
    pub failures: u64,
    /// Failures expected from the rates of both sides and the shares; `None` where a side has no rate.
    pub expected: Option<f64>,
}

/// What a change brings.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeResult {
    /// The change.
    pub change: ChangeId,
    /// Grams by item, size and configuration; lines without figures say what was never weighed.
    pub mass: Vec<MassChange>,
    /// Means over the tariff, of the first item and configuration; `None` where a size was never weighed.
    pub mass_tariff_mean: Option<TariffChange>,
    /// Failure rate of items before the change.
    pub rate_before: Option<Rate>,
    /// Failure rate of items built to the change.
    pub rate_after: Option<Rate>,
    /// The comparison at equal age; `None` where one side has no exposure.
    pub proof: Option<Proof>,
    /// Whether the verdict is the same when movements take the newest items first; `None` without a proof.
    pub holds_newest_first: Option<bool>,
    /// Lots built partly to the change.
    pub mixed: Option<MixedLots>,
    /// Failures whose label was not read and whose side no other record tells.
    pub unread: u64,
    /// How far it has reached the items in service.
    pub reach: Reach,
    /// What waiting for it costs; `None` where the rate before it isn't known.
    pub while_waiting: Option<WhileWaiting>,
    /// What the figures of failures above rest on.
    pub counts: ChangeCounts,
    /// Other modes on the part, before and after, once the change is built; those that rise first.
    pub other_modes: Vec<OtherMode>,
    /// Whether units go on reporting old items, once the change is built.
    pub still_told: Option<StillTold>,
    /// How much of what it is to cure was reported before the cut-in and is reported since, once the change is built.
    pub telling: Option<Telling>,
    /// Failures of the modes concerned on items built to the change: mode, day, and whether there was harm.
    pub failures_with_change: Vec<(ModeId, Day, bool)>,
}

impl ChangeResult {
    /// What a change brings by what was counted of it; grams come from the field's weighings. Lots built partly to the
    /// change are told apart in the counts only.
    pub fn from_counts(field: &Field, id: ChangeId, counts: ChangeCounts) -> Self {
        let mass = mass(field, &field.changes[id]);
        let first = mass.first().map(|line| (line.item, line.configuration));
        let of_first: Vec<MassChange> =
            mass.iter().filter(|line| Some(line.item) == first.map(|f| f.0)).cloned().collect();
        Self {
            change: id,
            mass_tariff_mean: first
                .and_then(|(_, configuration)| tariff_change(field, &of_first, configuration)),
            mass,
            rate_before: counts.rate_before(),
            rate_after: counts.rate_after(),
            proof: counts.proof(),
            holds_newest_first: None,
            mixed: None,
            unread: counts.unread,
            reach: counts.reach,
            while_waiting: counts.while_waiting(),
            counts,
            other_modes: Vec::new(),
            still_told: None,
            telling: None,
            failures_with_change: Vec::new(),
        }
    }
}

/// What one change brings. The two sides are compared over the window in which nearly all reports have arrived: the
/// latest weeks are those of the new design, and would flatter it.
pub(super) fn change_result(
    field: &Field,
    ledger: &Ledger,
    (seen, window): (&Seen, Window),
    id: ChangeId,
    change: &ChangeFacts,
) -> ChangeResult {
    let sides = Sides::new(field, change);
    let side_of = |spell: &_| sides.of_spell(ledger, spell);
    let exposure = |wanted: fn(Side) -> bool| {
        PartExposure::among(ledger, change.part, move |spell| wanted(side_of(spell)))
    };
    let before = exposure(|side| side == Side::Before);
    let after = exposure(|side| side == Side::After);
    let mixed = exposure(|side| matches!(side, Side::Mixed(_)));
    let spans = UnitSpans::new(ledger, &sides);

    let within = |wanted: Side| {
        PartExposure::within(ledger, change.part, window, move |spell| side_of(spell) == wanted)
    };
    let mut compared = TwoSides::new(field.units.len(), [within(Side::Before), within(Side::After)]);
    let (mut seen_before, mut seen_after, mut seen_mixed, mut unread) = (0, 0, 0, 0);
    let built = change.state.is_some_and(ChangeState::is_built);
    let mut others = Others::new(&compared);
    let mut on_old_items: Vec<(UnitId, Day)> = Vec::new();
    let mut with_change = Vec::new();
    let of_part = seen.of_part(change.part);
    for (mode, report_id) in of_part.flat_map(|(mode, group)| group.iter().map(move |&id| (mode, id))) {
        let report = &field.reports[report_id];
        let concerned = change.modes.is_empty() || change.modes.contains(&mode);
        if !(report.is_chargeable() && in_service(report)) {
            continue;
        }
        if !concerned {
            if built
                && window.has(report.found_on)
                && comparable(report)
                && let Some(lot) = seen.sure_lot(report_id)
                && let Some(band) = before.band_of(report, lot)
            {
                others.add(mode, sides.of_failure(ledger, lot, report), report.unit, band);
            }
            continue;
        }
        let Some(lot) = seen.lot(report_id).lot else {
            match spans.side(report.unit, report.found_on) {
                Some(Side::Before) => seen_before += 1,
                Some(Side::After) => seen_after += 1,
                _ => unread += 1,
            }
            continue;
        };
        let side = sides.of_failure(ledger, lot, report);
        let count = match side {
            Side::Before => &mut seen_before,
            Side::After => &mut seen_after,
            Side::Mixed(_) => &mut seen_mixed,
            Side::Neither => continue,
        };
        *count += 1;
        match side {
            Side::Before => on_old_items.push((report.unit, report.found_on)),
            Side::After => with_change.push((mode, report.found_on, report.is_harm())),
            Side::Mixed(_) | Side::Neither => {}
        }
        // A comparison takes read labels on both sides, so that an era with fewer mix-ups does not look worse.
        if comparable(report)
            && window.has(report.found_on)
            && seen.sure_lot(report_id).is_some()
            && let Some(band) = before.band_of(report, lot)
        {
            compared.add_failure(side, report.unit, band);
        }
    }
    let as_of = ledger.as_of;
    let mixed_lots = mixed_lots(&sides, &mixed);
    let named = |&(lot, share, item_years): &(LotId, f64, f64)| MixedShare {
        lot_no: field.lots[lot].lot_no.to_string(),
        share,
        item_years,
    };
    let by_age = compared.strata();
    let ratio = fixed_date(&shared(&by_age)).map(|fixed| fixed.estimate);
    let counts = ChangeCounts {
        before: Occasions { occasions: seen_before, item_years: before.years.best },
        after: Occasions { occasions: seen_after, item_years: after.years.best },
        scatter: ratio.map(|ratio| compared.scatter(ratio)).filter(|scatter| *scatter > 1.0),
        by_age,
        mixed: mixed_lots.iter().map(named).collect(),
        mixed_failures: seen_mixed,
        unread,
        reach: Reach::new(field, ledger, change, &sides),
        issued_last_year: issued_new(field, change.part, as_of)
            - issued_new(field, change.part, Day(as_of.0 - DAYS_A_YEAR)),
    };
    let mut result = ChangeResult::from_counts(field, id, counts);
    result.mixed = (!mixed_lots.is_empty()).then(|| MixedLots {
        lots: mixed_lots.iter().map(|&(lot, share, _)| (lot, share)).collect(),
        item_years: mixed.years.best,
        failures: seen_mixed,
        expected: result.counts.mixed_expected(),
    });
    result.failures_with_change = with_change;
    if built {
        result.other_modes = others.told();
        result.still_told = still_told(ledger, &sides, change, window, &on_old_items);
    }
    result
}

/// Days of the last year.
const DAYS_A_YEAR: i32 = 365;

/// Lots built partly to the change, with their shares and item-years.
fn mixed_lots(sides: &Sides<'_>, mixed: &PartExposure<'_>) -> Vec<(LotId, f64, f64)> {
    let lots = mixed.lots().filter_map(|cells| match sides.of_lot(cells[0].lot) {
        Side::Mixed(share) => Some((cells[0].lot, share, by_age(cells).iter().sum())),
        _ => None,
    });
    lots.collect()
}

/// Grams before and after in every item that contains the changed part.
fn mass(field: &Field, change: &ChangeFacts) -> Vec<MassChange> {
    let (old, new) = (Holders::of_revision(field, change.from), Holders::of_revision(field, change.to));
    let mut lines = Vec::new();
    for item in old.items(field) {
        let holding = |holders: &Holders| -> Vec<RevisionId> {
            let of_item = field.parts[item].revisions.iter().copied();
            of_item.filter(|&revision| holders.has(revision, None)).collect()
        };
        let (olds, news) = (holding(&old), holding(&new));
        let replacing =
            |&&after: &&RevisionId| field.revisions[after].replaces.is_some_and(|b| olds.contains(&b));
        let after = news.iter().find(replacing).or(news.first()).copied();
        let before = after.and_then(|a| field.revisions[a].replaces).filter(|b| olds.contains(b));
        let Some(before) = before.or(olds.last().copied()) else { continue };
        lines.extend(mass_changes(field, (before, after.unwrap_or(before)), (change.from, change.to)));
    }
    lines
}

/// When each unit first had items from after the change and last had some from before: where it never had both on
/// one day, an unread label's side is known all the same.
struct UnitSpans(FxHashMap<UnitId, (Option<Day>, Option<Day>)>);

impl UnitSpans {
    fn new(ledger: &Ledger, sides: &Sides<'_>) -> Self {
        let mut spans: FxHashMap<UnitId, (Option<Day>, Option<Day>)> = FxHashMap::default();
        for spell in &ledger.spells {
            let (last_before, first_after) = spans.entry(spell.unit).or_default();
            match sides.of_spell(ledger, spell) {
                Side::Before => *last_before = (*last_before).max(Some(spell.to)),
                Side::After => *first_after = Some(first_after.map_or(spell.from, |day| day.min(spell.from))),
                Side::Mixed(_) | Side::Neither => {
                    *last_before = (*last_before).max(Some(spell.to));
                    *first_after = Some(first_after.map_or(spell.from, |day| day.min(spell.from)));
                }
            }
        }
        Self(spans)
    }

    fn side(&self, unit: UnitId, day: Day) -> Option<Side> {
        let &(last_before, first_after) = self.0.get(&unit)?;
        match (last_before, first_after) {
            (Some(last), first) if day <= last && first.is_none_or(|first| day < first) => Some(Side::Before),
            (last, Some(first)) if day >= first && last.is_none_or(|last| last < day) => Some(Side::After),
            _ => None,
        }
    }
}
